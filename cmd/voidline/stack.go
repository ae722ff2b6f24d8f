package main

import (
	"fmt"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/tolerance"
	"voidline/reports/text"
	"voidline/void"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

func stackCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "stack",
		Usage:     "print the stack over a point of a bay, from soffit to ceiling",
		ArgsUsage: "DIR",
		Description: "Prints everything over one point in order of height with every gap: the sum that one would do on\n" +
			"paper. Without --at the point is the place of the worst finding in the bay, or its middle.\n\n" +
			"--tolerance worst (or rss; both show the same two columns) gives, too, what is left of every gap once built: at\n" +
			"worst, when all tolerances of level go the wrong way at once, and by the root of the sum of their squares; below\n" +
			"nothing the two do not fit any more. What hangs from a beam comes down with it, as far as the beam does over the\n" +
			"point. A row's own tolerance counts before the default of its kind. Where nothing is found in the bay, the point is\n" +
			"then the place of what is likeliest not to fit.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "bay", Usage: "the `BAY`"},
			&cli.StringFlag{Name: "at", Usage: "the point `X,Y`: numbers in mm, or grid lines such as B+1200,grid 2-450"},
			toleranceFlag(), deflectionFlag(),
			&cli.BoolFlag{Name: "partial", Usage: "use what can be read although rows have errors"},
		},
		Action: func(c *cli.Context) error { return stack(w, c) },
	}
}

func stack(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	opt := clash.Options{Touch: 1}
	if err := tolerated(c, &opt); err != nil {
		return err
	}
	p, ch, err := open(w, c, dir, opt, c.Bool("partial"))
	if err != nil {
		return err
	}
	bay, err := bayNamed(p, c.String("bay"))
	if err != nil {
		return err
	}
	at, why := p.Bays[bay].Plan.Center(), "the middle of the bay; nothing was found in it"
	if c.IsSet("at") {
		if at, err = point(p, c.String("at")); err != nil {
			return err
		}
		why = ""
		if !p.Bays[bay].Plan.ContainsPoint(at) {
			return exit{statusUsage, fmt.Errorf("--at %s is not in bay %s", c.String("at"), p.Bays[bay].Label)}
		}
	} else {
		res, err := ch.Findings(c.Context)
		if err != nil {
			return err
		}
		if f, ok := finding.Worst(res.Findings, p.Bays[bay].Label); ok {
			at, why = r2.Point{X: f.At.X, Y: f.At.Y}, fmt.Sprintf("the place of the worst finding in the bay, %s", f.ID)
		} else if d := slices.IndexFunc(res.Doubtful, func(d finding.Doubt) bool { return d.Bay != nil && *d.Bay == p.Bays[bay].Label }); d >= 0 {
			f := &res.Doubtful[d] // in a bay the worst stands first
			at, why = r2.Point{X: f.At.X, Y: f.At.Y}, fmt.Sprintf("nothing was found in the bay; the place of what is likeliest not to fit once built, %s", f.ID)
		}
	}
	var s clash.Stack
	var used *finding.ToleranceUsed
	if opt.Tolerance == tolerance.AsDrawn {
		s = ch.StackOver(bay, at)
	} else {
		s = ch.StackBuilt(bay, at, opt.Deflection)
		used = &finding.ToleranceUsed{By: opt.Tolerance, Deflection: opt.Deflection}
		for _, t := range tolerance.Defaults() {
			used.Defaults = append(used.Defaults, finding.ToleranceDefault(t))
		}
	}
	st := &p.Storeys[s.Bay.Storey]
	t := text.StackTable{
		Bay: s.Bay.Name, Storey: st.Name, X: at.X, Y: at.Y, Why: why, FFL: st.FFL, Datum: st.Datum, Bodies: s.Bodies, Gaps: s.Gaps, Notes: s.Notes, Built: used,
	}
	if len(p.GridX)+len(p.GridY) > 0 {
		t.Where = p.Where(at)
	}
	if s.HasVoid {
		t.Void = &s.Void
	}
	kinds := map[clash.LayerKind]text.StackKind{
		clash.SoffitLayer: text.StackSoffit, clash.ZoneLayer: text.StackZone, clash.HangerLayer: text.StackHanger,
		clash.BuildUpLayer: text.StackLayer, clash.CeilingLayer: text.StackCeiling,
	}
	for i := range s.Layers {
		l := &s.Layers[i]
		line := text.StackLine{
			Kind: kinds[l.Kind], Name: l.Name, Trade: l.Trade, What: l.What, Row: l.Row, Top: l.Top, Bottom: l.Bottom, Short: l.Short, Rule: l.Rule,
			Tolerance: l.Tolerance, Built: l.Built,
		}
		if l.HasGap {
			line.Gap = &l.Gap
		}
		if l.HasAsked {
			line.Asked = &l.Asked
		}
		t.Lines = append(t.Lines, line)
	}
	return text.Stack(w.out, t, w.options())
}

// bayNamed finds a bay by its name or label.
func bayNamed(p *void.Project, name string) (int, error) {
	in := p.BaysNamed(name)
	if len(in) == 1 {
		return int(in[0]), nil
	}
	var labels []string
	for i := range p.Bays {
		labels = append(labels, p.Bays[i].Label)
	}
	hits := len(in)
	switch {
	case name == "":
		return 0, exit{statusUsage, fmt.Errorf("stack needs a bay: --bay B, one of %s", list(labels))}
	case hits > 1:
		return 0, exit{statusUsage, fmt.Errorf("--bay %q is in %d storeys: say one of %s", name, hits, list(labels))}
	}
	hint := "one of " + list(labels)
	if m, ok := vocabulary.Nearest(name, labels); ok {
		hint = fmt.Sprintf("did you mean %q?", m)
	}
	return 0, exit{statusUsage, fmt.Errorf("--bay %q: there is none in the project (%s)", name, hint)}
}

// list names the first dozen of some names.
func list(names []string) string {
	if len(names) > 12 {
		return strings.Join(names[:12], ", ") + fmt.Sprintf(" and %d more", len(names)-12)
	}
	return strings.Join(names, ", ")
}

// point reads a plan point: two places with a comma between them.
func point(p *void.Project, s string) (r2.Point, error) {
	x, y, ok := strings.Cut(s, ",")
	if !ok {
		return r2.Point{}, exit{statusUsage, fmt.Errorf("--at %q: expected X,Y", s)}
	}
	cx, cy := cell.ParsePlace(x), cell.ParsePlace(y)
	for _, f := range []*cell.Fault{cx.Fault, cy.Fault} {
		if f != nil {
			return r2.Point{}, exit{statusUsage, fmt.Errorf("--at: %w", f)}
		}
	}
	if cx.Blank() || cy.Blank() {
		return r2.Point{}, exit{statusUsage, fmt.Errorf("--at %q: expected X,Y", s)}
	}
	at, what := p.Point(cx, cy)
	if what != "" {
		return r2.Point{}, exit{statusUsage, fmt.Errorf("--at: %s", what)}
	}
	return at, nil
}
