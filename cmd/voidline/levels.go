package main

import (
	"bytes"
	"io"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/reports/paper"
	sheets "voidline/reports/setout"
	"voidline/void"
)

func levelsCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "levels",
		Usage:     "print the levels of every bay: the sheet with which the laser is checked",
		ArgsUsage: "DIR",
		Description: "For every bay: soffit, lowest steel, top of the build-up, ceiling, depth of the void; to FFL, to the\n" +
			"datum line and to the project datum. With surveyed.csv in the folder also what is drawn, what was found and the difference.\n\n" +
			"--form gives the form to walk the floor with: every point to be read, by grid, with blank columns for the reading.\n" +
			"--form -o form.csv writes it as a table: filled in and saved as surveyed.csv in DIR it goes before what is drawn.\n" +
			"--form -o form.pdf writes it on A4.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.BoolFlag{Name: "form", Usage: "the form to walk the floor with, instead of the levels"},
			&cli.StringFlag{Name: "format", Value: "text", Usage: "`FORM` of the result: " + levelsForms.names(", ") + "; with --form " + walkForms.names(", ") + " (pdf and csv by the name of the file, too)"},
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
			&cli.BoolFlag{Name: "partial", Usage: "use what can be read although rows have errors"},
		},
		Action: func(c *cli.Context) error { return levels(w, c) },
	}
}

var levelsForms = forms[func(to io.Writer, w *world, dir string, ls []setout.BayLevels) error]{
	{"text", func(to io.Writer, w *world, _ string, ls []setout.BayLevels) error {
		return sheets.LevelsText(to, ls, w.width)
	}},
	{"csv", func(to io.Writer, _ *world, dir string, ls []setout.BayLevels) error {
		return sheets.LevelsCSV(to, ls, table.Separator(dir))
	}},
}

// walkForms are the forms of the form to walk the floor with.
var walkForms = forms[func(to io.Writer, w *world, dir string, p *void.Project) error]{
	{"text", func(to io.Writer, w *world, _ string, p *void.Project) error {
		return sheets.FormText(to, setout.Form(p), storeyNames(p), w.width)
	}},
	{"csv", func(to io.Writer, _ *world, dir string, p *void.Project) error {
		return sheets.FormCSV(to, setout.Form(p), storeyNames(p), table.Separator(dir))
	}},
	{"pdf", func(to io.Writer, _ *world, _ string, p *void.Project) error {
		return paper.Form(to, setout.Form(p), p.Name, storeyNames(p))
	}},
}

// storeyNames returns the names of the storeys in their order.
func storeyNames(p *void.Project) []string {
	var names []string
	for i := range p.Storeys {
		names = append(names, p.Storeys[i].Name)
	}
	return names
}

// levelsForm returns what makes the answer of levels.
func levelsForm(c *cli.Context) (func(to io.Writer, w *world, dir string, p *void.Project) error, error) {
	if c.Bool("form") {
		return walkForms.chosen(c)
	}
	form, err := levelsForms.chosen(c)
	if err != nil {
		return nil, err
	}
	return func(to io.Writer, w *world, dir string, p *void.Project) error {
		return form(to, w, dir, setout.Levels(p))
	}, nil
}

func levels(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	if err := mayWrite(out, false, dir); err != nil {
		return err
	}
	form, err := levelsForm(c)
	if err != nil {
		return err
	}
	p, _, err := open(w, c, dir, clash.Options{Touch: 1}, c.Bool("partial"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := form(&b, w, dir, p); err != nil {
		return err
	}
	if err := put(w, out, b.Bytes()); err != nil {
		return err
	}
	if len(p.Problems) > 0 {
		return exit{status: statusInput}
	}
	return nil
}
