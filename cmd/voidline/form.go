package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"
)

// forms are the forms in which a command gives its answer: what --format calls each, and what makes it. Help and errors name
// them in this order, the first is given where nobody says: a new form is one line in its command's list.
type forms[F any] []struct {
	name string
	form F
}

// names lists them, with what stands before the last.
func (f forms[F]) names(last string) string {
	all := f[0].name
	for i, one := range f[1:] {
		part := ", "
		if i+2 == len(f) {
			part = last
		}
		all += part + one.name
	}
	return all
}

// flag is the flag that chooses one of them, for what.
func (f forms[F]) flag(what string) cli.Flag {
	return &cli.StringFlag{Name: "format", Value: f[0].name, Usage: "`FORM` of the " + what + ": " + f.names(", ")}
}

// named returns the form of a name, whatever its case.
func (f forms[F]) named(name string) (form F, ok bool) {
	for _, one := range f {
		if strings.EqualFold(one.name, name) {
			return one.form, true
		}
	}
	return form, false
}

// chosen returns the form that --format names.
func (f forms[F]) chosen(c *cli.Context) (F, error) {
	form, ok := f.named(c.String("format"))
	if !ok {
		return form, exit{statusUsage, fmt.Errorf("--format %q: %s", c.String("format"), f.names(" or "))}
	}
	return form, nil
}
