package main

import (
	"errors"
	"fmt"
	"path/filepath"
	"time"

	"github.com/urfave/cli/v2"

	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/io/bcf"
	file "voidline/io/register"
	"voidline/io/table"
	"voidline/reports/comparison"
	"voidline/void"
)

// mostToldOfRegister is how much is printed of what is told of single rows of the register.
const mostToldOfRegister = 50

func registerCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "register",
		Usage:     "enter into the register replies in a BCF file",
		ArgsUsage: "DIR",
		Description: "Reads the replies in a BCF file (2.1 or 3.0) that was written by report --bcf and answered elsewhere, and enters\n" +
			"them into DIR/register.csv: comments, due dates, and as the owner whoever a topic was given to. Agreed there is a\n" +
			"proposal until somebody writes it here. What people wrote is not touched; what cannot be taken over is listed.\n" +
			"The register itself is kept by check --register and report --register.",
		OnUsageError: usageError,
		Flags:        []cli.Flag{&cli.StringFlag{Name: "answers", Usage: "the BCF `FILE` with the replies"}},
		Action: func(c *cli.Context) error {
			dir, err := folder(c)
			if err != nil {
				return err
			}
			if c.String("answers") == "" {
				return exit{statusUsage, fmt.Errorf("register needs --answers FILE, the exchange file with the replies")}
			}
			return answersFrom(w, dir, c.String("answers"))
		},
	}
}

// dateFlag is the day of a check, for the register and for what is written with a date.
func dateFlag() cli.Flag {
	return &cli.StringFlag{Name: "date", Usage: "the `DAY` of the check, such as 2026-03-09 (today if not given)"}
}

// dateOf returns the day that --date gives, today where it gives none.
func dateOf(c *cli.Context) (register.Date, error) {
	text := c.String("date")
	if text == "" {
		return register.Date(time.Now().Format("2006-01-02")), nil
	}
	d, ok := register.ParseDate(text)
	if !ok {
		return "", exit{statusUsage, fmt.Errorf("--date %q: a day such as 2026-03-09", text)}
	}
	return d, nil
}

// openRegister reads the register of a project folder. What is wrong with it is printed, and is an error of
// status 2: a register that cannot be read whole is not touched.
func openRegister(w *world, dir string) (*file.File, error) {
	name := filepath.Join(table.Home(dir), file.Name)
	f, err := file.Open(name)
	if err != nil {
		return nil, problematic(w, err, name+" cannot be read: nothing was written to it")
	}
	f.Begin(table.Separator(dir))
	return f, nil
}

// errNoSupports says why a check without supports keeps no register.
var errNoSupports = errors.New("supports are left out (--supports none), so their findings may still be there: a register needs the whole result")

// heldUp returns errNoSupports for an answer in which supports were left out although rows are hung.
func heldUp(res *finding.Result) error {
	if res.SupportsLeftOut {
		return exit{statusUsage, errNoSupports}
	}
	return nil
}

// updateRegister brings the register of a project folder up to date with the whole answer of a check, writes
// it, and prints what it did on the error stream. p is the project, for the names of its zones. The touch
// tolerance is that of the check. Nothing is written where anything stands against it.
func updateRegister(w *world, dir string, p *void.Project, res *finding.Result, touch float64, date register.Date) (*register.Outcome, error) {
	if err := heldUp(res); err != nil {
		return nil, err
	}
	f, err := openRegister(w, dir)
	if err != nil {
		return nil, err
	}
	opt := register.Options{Date: date, Touch: touch}
	if p != nil {
		opt.Zone = standing(p)
	}
	o, err := register.Update(f.Rows(), res, opt)
	if err != nil {
		return nil, exit{statusUsage, err}
	}
	if err := w.write(w.ctx, func() error { _, err := f.Write(o.Rows); return err }); err != nil {
		return nil, err
	}
	for _, l := range comparison.Register(o, mostToldOfRegister) {
		w.tell(l)
	}
	return o, nil
}

// answersFrom enters replies in a BCF file into the register of a project folder, and prints what
// it did not take over.
func answersFrom(w *world, dir, exchange string) error {
	f, err := openRegister(w, dir)
	if err != nil {
		return err
	}
	p, told, err := bcf.Open(exchange)
	if err != nil {
		return problematic(w, err, exchange+" cannot be read: nothing was taken over")
	}
	rows := f.Rows()
	answers, strange := p.Answers(filepath.Base(exchange), register.KnownIDs(rows))
	after, notes := register.Apply(rows, answers)
	if err := w.write(w.ctx, func() error { _, err := f.Write(after); return err }); err != nil {
		return err
	}
	printProblems(w, append(told, strange...), "more that was not taken over")
	for _, l := range comparison.Told(notes, mostToldOfRegister) {
		w.tell(l)
	}
	return nil
}

// exchange makes the exchange file of an answer: a topic a finding, in the order of the answer, then closed topics of what
// is cleared. o is the register brought up to date, since the comparison with last time, each nil for none; p the
// project, nil for none: then there are no views. picture gives the PNG of a finding's section, nil for none.
func exchange(p *void.Project, res *finding.Result, o *register.Outcome, since *register.Comparison, date register.Date, picture func(*finding.Finding) []byte) *bcf.Package {
	out := &bcf.Package{Project: res.Project, Date: date}
	entry := map[string]*register.Entry{}
	if o != nil {
		for i := range o.Entries {
			entry[o.Entries[i].ID] = &o.Entries[i]
		}
	}
	there := map[string]bool{}
	add := func(t bcf.Topic) {
		if !there[t.ID] {
			there[t.ID] = true
			out.Topics = append(out.Topics, t)
		}
	}
	for i := range res.Findings {
		f := &res.Findings[i]
		t := bcf.TopicOf(f, entry[f.ID])
		if p != nil {
			t.View = bcf.ViewOf(p, f)
			if picture != nil {
				t.Snapshot = picture(f)
			}
		}
		add(t)
	}
	switch {
	case o != nil:
		for i := range o.Entries {
			if e := &o.Entries[i]; e.State == register.Cleared {
				f := o.Rows[e.Row].Finding()
				add(bcf.ClosedTopic(&f, e))
			}
		}
		for i := range o.Entries {
			e := &o.Entries[i]
			if before, ok := o.Rows[e.Row].Before(); ok {
				f := o.Rows[e.Row].Finding()
				add(bcf.RenamedTopic(before, &f))
			}
		}
	case since != nil:
		for i := range since.Changes {
			if ch := &since.Changes[i]; ch.Turn == register.TurnCleared {
				add(bcf.ClosedTopic(ch.Old, nil))
			}
		}
	}
	return out
}
