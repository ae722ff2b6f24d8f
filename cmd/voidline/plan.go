package main

import (
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/reports/plan"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/vocabulary"
)

func planCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "plan",
		Usage:     "draw a storey or a bay from above, with its findings numbered",
		ArgsUsage: "DIR",
		Description: "Draws grid lines, bays and zones from above, to scale, with the findings numbered where they are and listed\n" +
			"beside. Findings of one problem share a number; report and check --format lines give the same numbers.\n" +
			"Where one sheet cannot hold them, the first is a key with how many problems each bay has, and further sheets\n" +
			"show its parts larger, until each problem is marked and listed on one. A PDF has them all.\n\n" +
			"Without -o the drawing goes to standard output as SVG. With -o its form is that of the file's ending:\n" +
			".svg, .png or .pdf. The numbers in an SVG are millimetres of the building.",
		OnUsageError: usageError,
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "storey", Usage: "the `STOREY`; not needed where there is one"},
			&cli.StringFlag{Name: "bay", Usage: "only `BAY`, larger"},
			&cli.IntFlag{Name: "no", Usage: "of a plan on several sheets, only `SHEET` (1 is the key)"},
		}, drawingFlags()...),
		Action: func(c *cli.Context) error { return planOf(w, c) },
	}
}

func planOf(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	k, err := canvasOf(c, dir)
	if err != nil {
		return err
	}
	opt := clash.Options{Touch: 1, Surveyed: true}
	if err := supported(c, &opt); err != nil {
		return err
	}
	p, ch, err := open(w, c, dir, opt, c.Bool("partial"))
	if err != nil {
		return err
	}
	in := plan.Input{Project: p, Bay: -1}
	if name := c.String("bay"); name != "" {
		if in.Bay, err = bayNamed(p, name); err != nil {
			return err
		}
		in.Storey = p.Bays[in.Bay].Storey
	}
	if name := c.String("storey"); name != "" || in.Bay < 0 {
		s, err := storeyNamed(p, name)
		if err != nil {
			return err
		}
		if in.Bay >= 0 && s != in.Storey {
			return exit{statusUsage, fmt.Errorf("--storey %q: bay %s is not in it", name, p.Bays[in.Bay].Label)}
		}
		in.Storey = s
	}
	res, err := ch.Findings(c.Context)
	if err != nil {
		return err
	}
	in.Findings, in.Numbers, in.Holes = res.Findings, finding.Numbers(res.Findings), res.BuildersWork
	in.Supports = ch.SupportPlan().FromAbove(finding.SupportNos(res.Findings))
	if k.sheet.Name != "" && k.sheet.H == 0 {
		return k.write(w, plan.Draw(in, plan.Options{Sheet: k.sheet}))
	}
	all := plan.Sheets(in, plan.Options{Sheet: k.sheet})
	switch no := c.Int("no"); {
	case no < 0 || no > len(all):
		return exit{statusUsage, fmt.Errorf("--no %d: the plan has %s", no, words.Count(len(all), "sheet", "sheets"))}
	case no > 0:
		return k.write(w, all[no-1])
	}
	return k.write(w, all[0], all[1:]...)
}

// storeyNamed finds a storey by its name; blank is the only one.
func storeyNamed(p *void.Project, name string) (int, error) {
	var names []string
	for i := range p.Storeys {
		if strings.EqualFold(strings.TrimSpace(name), p.Storeys[i].Name) {
			return i, nil
		}
		names = append(names, p.Storeys[i].Name)
	}
	if name == "" && len(names) == 1 {
		return 0, nil
	}
	if name == "" {
		return 0, exit{statusUsage, fmt.Errorf("plan needs a storey: --storey S, one of %s", list(names))}
	}
	hint := "one of " + list(names)
	if m, ok := vocabulary.Nearest(name, names); ok {
		hint = fmt.Sprintf("did you mean %q?", m)
	}
	return 0, exit{statusUsage, fmt.Errorf("--storey %q: there is none in the project (%s)", name, hint)}
}
