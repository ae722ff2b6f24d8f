package main

import (
	"bytes"
	"fmt"
	"strings"

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
			&cli.StringFlag{Name: "format", Value: "text", Usage: "`FORM` of the result: text, csv"},
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
			&cli.BoolFlag{Name: "partial", Usage: "use what can be read although rows have errors"},
		},
		Action: func(c *cli.Context) error { return levels(w, c) },
	}
}

func levels(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	out, form := c.String("o"), strings.ToLower(c.String("format"))
	if err := mayWrite(out, false, dir); err != nil {
		return err
	}
	if form != "text" && form != "csv" {
		return exit{statusUsage, fmt.Errorf("--format %q: text or csv", c.String("format"))}
	}
	p, _, err := open(w, c, dir, clash.Options{Touch: 1}, c.Bool("partial"))
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if form == "csv" {
		err = sheets.LevelsCSV(&b, setout.Levels(p), table.Separator(dir))
	} else {
		err = sheets.LevelsText(&b, setout.Levels(p), w.width)
	}
	if err != nil {
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
