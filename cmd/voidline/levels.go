package main

import (
	"bytes"
	"io"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	sheets "voidline/reports/setout"
)

func levelsCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "levels",
		Usage:     "print the levels of every bay: the sheet with which the laser is checked",
		ArgsUsage: "DIR",
		Description: "For every bay: soffit, lowest steel, top of the build-up, ceiling, depth of the void; to FFL, to the\n" +
			"datum line and to the project datum.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			levelsForms.flag("result"),
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

func levels(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	if err := mayWrite(out, false, dir); err != nil {
		return err
	}
	form, err := levelsForms.chosen(c)
	if err != nil {
		return err
	}
	p, _, err := open(w, c, dir, clash.Options{Touch: 1}, c.Bool("partial"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := form(&b, w, dir, setout.Levels(p)); err != nil {
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
