package main

import (
	"cmp"
	"fmt"
	"path/filepath"
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

// asked returns the name of the form that is wanted: that of --format; where nobody gives it, that which the ending of the file to be written names.
func (f forms[F]) asked(c *cli.Context) string {
	if !c.IsSet("format") {
		ending := strings.ToLower(strings.TrimPrefix(filepath.Ext(c.String("o")), "."))
		if ending == "md" {
			ending = "markdown"
		}
		if _, ok := f.named(ending); ok {
			return ending
		}
	}
	return cmp.Or(strings.ToLower(c.String("format")), f[0].name)
}

// chosen returns the form that is wanted.
func (f forms[F]) chosen(c *cli.Context) (F, error) {
	form, ok := f.named(f.asked(c))
	if !ok {
		return form, exit{statusUsage, fmt.Errorf("--format %q: %s", c.String("format"), f.names(" or "))}
	}
	return form, nil
}
