package main

import (
	"bytes"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/io/findings"
	file "voidline/io/register"
	"voidline/io/table"
	"voidline/reports/comparison"
	"voidline/void"
)

func compareCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "compare",
		Usage:     "compare two results or two project folders: what is new, worse, better, cleared",
		ArgsUsage: "OLD NEW",
		Description: "OLD and NEW are each a project folder, which is checked, or an answer that check --format json wrote.\n" +
			"Findings are compared by id and, where an id changed, by run, kinds and place; the latter is listed, for\n" +
			"somebody to confirm. Worse and better are by more than the touch tolerance. What is back is known where NEW,\n" +
			"or else OLD, is a folder with a register.csv.\n\n" +
			"Exit status: 0 nothing is new, back or worse, 1 something is, 2 the tables or an answer have problems\n" +
			"(nothing is compared then, unless --partial is given), 3 wrong usage or anything else.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			compareForms.flag("result"),
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
			&cli.StringFlag{Name: "touch", Value: "1", Usage: "depth in `MM` up to which things may rest on each other, and by which worse is worse"},
			supportsFlag(),
			&cli.BoolFlag{Name: "firm", Usage: "check folders without rules that rest on common practice only"},
			&cli.BoolFlag{Name: "partial", Usage: "compare what can be read although rows of a folder have errors"},
			&cli.StringFlag{Name: "most", Value: "100", Usage: "print at most `N` findings of each turn as text (0: all)"},
		},
		Action: func(c *cli.Context) error { return compareTwo(w, c) },
	}
}

// side is one of the two that are compared.
type side struct {
	res  *finding.Result
	p    *void.Project // nil where it is an answer
	back map[string]bool
	has  bool // it has a register
}

var compareForms = forms[func(io.Writer, *register.Comparison, comparison.Options) error]{{"text", comparison.Text}, {"json", comparison.JSON}}

func compareTwo(w *world, c *cli.Context) error {
	args := c.Args().Slice()
	if len(args) != 2 || args[0] == "" || args[1] == "" {
		return exit{statusUsage, fmt.Errorf("compare needs two results or project folders, not %d: voidline compare OLD NEW", len(args))}
	}
	opt := clash.Options{Firm: c.Bool("firm")}
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
	form, err := compareForms.chosen(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	for _, a := range args {
		err := mayWrite(out, false, a)
		read := sameFile(a, out) // an answer, or a workbook
		if err != nil && !read && !sameFile(a, filepath.Dir(out)) {
			return err
		}
		if err != nil || read {
			return exit{statusUsage, fmt.Errorf("-o %s: that is read here; give another name", out)}
		}
	}
	var sides [2]side
	for i, a := range args {
		if sides[i], err = sideOf(w, c, a, opt); err != nil {
			return err
		}
	}
	old, new := sides[0], sides[1]
	how := register.CompareOptions{Touch: opt.Resting()}
	if new.p != nil {
		how.Zone = standing(new.p)
	}
	known := new
	if !known.has {
		known = old
	}
	if known.has {
		how.Knows = func(id string) bool { return known.back[id] }
	}
	if err := alike(old.res, new.res); err != nil {
		return err
	}
	cmp, err := register.Compare(old.res, new.res, how)
	if errors.Is(err, register.ErrUnlike) {
		return exit{statusUsage, err}
	} else if err != nil {
		return err
	}
	say := comparison.Options{Width: w.width, Color: w.color && !c.IsSet("o"), Most: most, Register: known.has}
	var b bytes.Buffer
	if err := form(&b, cmp, say); err != nil {
		return err
	}
	if err := put(w, out, b.Bytes()); err != nil {
		return err
	}
	switch {
	case cmp.Worse():
		return exit{status: statusFindings}
	case old.res.RowsMissing > 0 || new.res.RowsMissing > 0:
		return exit{status: statusInput}
	}
	return nil
}

// alike returns an error where supports are left out of one of two answers: what was found of them would seem to be
// cleared, or new.
func alike(old, new *finding.Result) error {
	if was, is := old.SupportsLeftOut, new.SupportsLeftOut; was != is {
		which := map[bool]string{true: "old", false: "new"}[was]
		return exit{statusUsage, fmt.Errorf("%w: supports are left out of the %s one (--supports none)", register.ErrUnlike, which)}
	}
	return nil
}

// sameFile reports whether two names are of one file.
func sameFile(a, b string) bool {
	x, errA := os.Stat(a)
	y, errB := os.Stat(b)
	return errA == nil && errB == nil && os.SameFile(x, y)
}

// sideOf checks a folder or reads an answer.
func sideOf(w *world, c *cli.Context, name string, opt clash.Options) (side, error) {
	info, err := os.Stat(name)
	if err != nil {
		return side{}, fmt.Errorf("%s: %w", name, errors.Unwrap(err))
	}
	if !info.IsDir() && !table.IsBook(name) {
		res, err := findings.Open(name)
		if err != nil {
			return side{}, problematic(w, err, name+" is no answer that can be compared")
		}
		return side{res: res}, nil
	}
	p, ch, err := open(w, c, name, opt, c.Bool("partial"))
	if err != nil {
		return side{}, err
	}
	s := side{p: p, back: map[string]bool{}}
	if s.res, err = ch.Findings(c.Context); err != nil {
		return side{}, err
	}
	f, err := file.Open(filepath.Join(table.Home(name), file.Name))
	if err != nil {
		return side{}, problematic(w, err, file.Name+" of "+name+" cannot be read")
	}
	s.has = f.There()
	for _, r := range f.Rows() {
		id := strings.TrimSpace(r.Cells[register.ColFinding])
		state, _ := register.ParseState(r.Cells[register.ColState])
		if events, ok := register.ParseHistory(r.Cells[register.ColHistory]); ok && len(events) > 0 {
			state = events[len(events)-1].To
		}
		if state == register.Cleared || state == register.Back {
			s.back[id] = true
		}
	}
	return s, nil
}
