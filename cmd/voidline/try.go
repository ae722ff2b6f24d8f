package main

import (
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/reports/comparison"
	"voidline/reports/record"
	"voidline/reports/words"
	"voidline/void"
)

func tryCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "try",
		Usage:     "say what a change would come to before anything is written: cells, moves in words, or the moves of the findings",
		ArgsUsage: "DIR [CHANGE …]",
		Description: "A CHANGE is a cell or a move, as one says it:\n\n" +
			"  \"T-07 level FFL+2950\"           a cell of a row: id, column, text\n" +
			"  \"bay OFF ceiling 2650\"          a cell of a bay\n" +
			"  \"D-3 up 40\"                     up, down, north, south-east …, mm\n" +
			"  \"P2 16 towards grid C\"          or \"P2 up 40 and 30 north\"\n" +
			"  \"CD1-21 up 163 with its run\"    or \"run CHW-F up 40\"\n\n" +
			"With --from moves no CHANGE is given: the moves of the findings that are clear are made, those that clear the most for the\n" +
			"least first, one after the other, until none improves anything.\n\n" +
			"Nothing is written unless --write is given: then the tables are checked in full with the change, and those cells alone are changed, the\n" +
			"old files kept beside the new ones. A table that somebody changed meanwhile is not written.\n\n" +
			"Exit status: 0 nothing is new or worse, 1 something is, or a run no longer comes in the lengths along which its supports are set out, 2 the tables or a change have problems, 3 wrong usage or anything else.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			tryForms.flag("result"),
			&cli.StringFlag{Name: "from", Usage: "where the changes come from: `moves` of the findings"},
			&cli.BoolFlag{Name: "write", Usage: "write the changes into the tables"},
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
			&cli.StringFlag{Name: "touch", Value: "1", Usage: "depth in `MM` up to which things may rest on each other"},
			supportsFlag(),
			&cli.BoolFlag{Name: "firm", Usage: "leave out rules that rest on common practice only"},
			&cli.StringFlag{Name: "most", Value: "100", Usage: "print at most `N` findings of each sort as text (0: all)"},
		},
		Action: func(c *cli.Context) error { return try(w, c) },
	}
}

var tryForms = forms[func(io.Writer, *finding.Tried, comparison.Options) error]{
	{"text", comparison.Tried},
	{"json", func(to io.Writer, t *finding.Tried, _ comparison.Options) error { return record.Tried(to, t) }},
}

func try(w *world, c *cli.Context) error {
	args := c.Args().Slice()
	if len(args) == 0 || args[0] == "" {
		return exit{statusUsage, errors.New(`try needs a project folder and a change: voidline try DIR "D-3 up 40"`)}
	}
	dir, said := args[0], args[1:]
	moves := c.String("from") == "moves"
	switch {
	case c.String("from") != "" && !moves:
		return exit{statusUsage, fmt.Errorf("--from %q: moves", c.String("from"))}
	case moves && len(said) > 0:
		return exit{statusUsage, errors.New("--from moves makes the moves of the findings: give no change with it")}
	case !moves && len(said) == 0:
		return exit{statusUsage, errors.New(`try needs a change, such as "D-3 up 40", or --from moves`)}
	}
	opt := clash.Options{Firm: c.Bool("firm"), Surveyed: true}
	var err error
	if opt.Touch, err = touchOf(c); err != nil {
		return err
	}
	if err := supported(c, &opt); err != nil {
		return err
	}
	most, err := mostOf(c)
	if err != nil {
		return err
	}
	form, err := tryForms.chosen(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	if err := mayWrite(out, false, dir); err != nil {
		return err
	}
	line := w.watch()
	p, tables, err := table.OpenKept(c.Context, dir, table.Options{Progress: line.read})
	if err != nil {
		if p != nil {
			err = void.Problems(table.Placed(dir, p.Problems)).Err()
		}
		return problematic(w, err, fmt.Sprintf("the tables of %s have errors: nothing was tried", dir))
	}
	var changes []void.RowChange
	for _, s := range said {
		rows, pr := p.Said(s)
		if pr != nil {
			return exit{statusInput, *pr}
		}
		changes = append(changes, rows...)
	}
	opt.Progress = line.check
	ch := clash.Open(p, opt)
	var tried *finding.Tried
	if moves {
		tried, err = ch.Improve(c.Context)
	} else {
		tried, err = ch.Try(c.Context, changes)
	}
	var refused *void.Problem
	if errors.As(err, &refused) {
		return exit{statusInput, *refused}
	} else if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := form(&b, tried, comparison.Options{Width: w.width, Color: w.color && !c.IsSet("o"), Most: most}); err != nil {
		return err
	}
	if c.Bool("write") {
		if err := writeTried(w, c, p, tables, opt, tried); err != nil {
			return err
		}
	}
	if err := put(w, out, b.Bytes()); err != nil {
		return err
	}
	if tried.Harms() {
		return exit{status: statusFindings}
	}
	return nil
}

// writeTried checks the changed project anew, in full, and writes its cells into the tables.
func writeTried(w *world, c *cli.Context, p *void.Project, tables *table.Originals, opt clash.Options, tried *finding.Tried) error {
	if old := p.Outdated(); len(old) > 0 {
		return exit{statusInput, fmt.Errorf("nothing was written: surveyed.csv would put back what moved: %s; take those readings out, or read again", strings.Join(old, ", "))}
	}
	opt.Once = true
	res, err := clash.Open(p, opt).Findings(c.Context)
	if err != nil {
		return err
	}
	if res.Counts != tried.After.Counts {
		return fmt.Errorf("checked in full the change comes to other counts (%+v, not %+v): nothing was written; please report this", res.Counts, tried.After.Counts)
	}
	cells := table.Changes(p)
	if len(cells) == 0 {
		w.tell("No cell changes: nothing was written.")
		return nil
	}
	if table.IsBook(c.Args().First()) {
		return bookNotWritten(w, c.Args().First(), cells)
	}
	var kept []string
	if err := w.write(w.ctx, func() (err error) { kept, err = tables.Rewrite(cells); return err }); err != nil {
		return err
	}
	for _, k := range kept {
		w.tell("Kept the table as it was: " + k)
	}
	w.tell(fmt.Sprintf("Wrote %s.", words.Count(len(cells), "cell", "cells")))
	return nil
}

// bookNotWritten lists the cells of a workbook for a person to change: it is never written.
func bookNotWritten(w *world, book string, cells []table.CellChange) error {
	w.tell("Change these cells:")
	for _, x := range cells {
		where := table.PlaceOf(book, x)
		if where == "" {
			where = x.ID + ", " + x.Column
		}
		w.tell(fmt.Sprintf("  %s (%s, %s): %s", where, x.ID, x.Column, cmp.Or(x.Text, "blank")))
	}
	return exit{statusInput, fmt.Errorf("%s is a workbook, which is never written: change the cells in it", book)}
}
