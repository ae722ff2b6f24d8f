package setout

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"voidline/clash/finding"
	"voidline/void"
)

// Order is what several lengths want together: rods, couplers, channel and parts, cut from stock together, and fittings.
type Order struct {
	Supports *Supports         // its list are the supports of all lengths; nil where none is supported
	Fittings []Count           // bends of sets, corners, tees and risers, by size
	Between  []finding.Finding // of two of the lengths when all are laid; see Built
}

// Ordered is a length that is to be ordered: as it is set out, or as it falls.
type Ordered struct {
	Answer   *Answer
	Fall     *Fall
	Supports *Supports // nil where it has none
	Joints   []Joint   // where its ends meet other lengths of the run
	Angle    float64   // of its sets, degrees
}

func (l *Ordered) run() *Run {
	if l.Fall != nil {
		return l.Fall.Run
	}
	return l.Answer.Run
}

// OrderFor adds up what lengths want. A support that lengths share is counted once: where the first of a frame names it.
func OrderFor(p *void.Project, lengths []Ordered) *Order {
	o := &Order{}
	add := func(n int, format string, args ...any) {
		if n == 0 {
			return
		}
		part := fmt.Sprintf(format, args...)
		if k := slices.IndexFunc(o.Fittings, func(c Count) bool { return c.Part == part }); k >= 0 {
			o.Fittings[k].N += n
			return
		}
		o.Fittings = append(o.Fittings, Count{part, n})
	}
	risen := map[string]bool{}
	for i := range lengths {
		l := &lengths[i]
		r := l.run()
		if l.Supports != nil {
			if o.Supports == nil {
				o.Supports = &Supports{Hanging: l.Supports.Hanging}
			}
			o.Supports.List = append(o.Supports.List, l.Supports.List...)
		}
		if l.Answer != nil {
			for _, st := range l.Answer.Line.Steps {
				add(2, "bend of %s degrees up or down, %s", number(setAngle(st, l.Angle)), sizeOf(p, r.PieceAt(st.From).Zone))
			}
		}
		for k := 1; k < len(r.Pieces); k++ {
			if d := math.Abs(bend(r.Pieces[k-1], r.Pieces[k])); d > turn {
				add(1, "corner of %s degrees, %s", number(math.Round(d)), sizeOf(p, r.Pieces[k].Zone))
			}
		}
		for _, j := range l.Joints {
			add(1, "tee, %s", sizeOf(p, r.PieceAt(j.End).Zone))
		}
		if name := strings.ToLower(r.Name); !risen[name] {
			risen[name] = true
			for k := range p.Zones() {
				if z := p.Zone(k); z.Upright && !z.Gone && z.Run() != "" && strings.EqualFold(z.Run(), r.Name) {
					add(1, "riser, %s", sizeOf(p, k))
				}
			}
		}
	}
	if o.Supports != nil {
		o.Supports.count(p)
	}
	slices.SortFunc(o.Fittings, func(a, b Count) int { return void.Natural(a.Part, b.Part) })
	return o
}

// Counted returns how many supports there are: one that several lengths share counts once.
func (o *Order) Counted() (n int) {
	if o.Supports == nil {
		return 0
	}
	for i := range o.Supports.List {
		if o.Supports.List[i].With == "" {
			n++
		}
	}
	return n
}

// setAngle is the angle of a set to the level: as asked, else as it lies where a short set needs its straight.
func setAngle(st Step, asked float64) float64 {
	if asked <= 0 {
		asked = usualAngle
	}
	lies := math.Atan2(math.Abs(st.Rise), st.To-st.From) * 180 / math.Pi
	return math.Round(math.Min(asked, lies))
}

// sizeOf is the size of a row as its table has it, with what it is.
func sizeOf(p *void.Project, zone int) string {
	row := p.Row(zone)
	return strings.TrimSpace(row.Size.Text + " " + p.Character(p.Zone(zone).Char).Kind)
}

// InOrder returns names of runs, or ids of rows, in the order in which they are set out: those of one frame follow the first of them, the lowest tier
// first; else as they are.
func InOrder(p *void.Project, names []string) []string {
	type tier struct {
		name, frame string
		low         float64
	}
	tiers := make([]tier, len(names))
	for k, n := range names {
		tiers[k] = tier{name: n, low: math.Inf(1)}
	}
	for i := range p.Zones() {
		z := p.Zone(i)
		frame, _ := z.Frame()
		if z.Gone || frame == "" {
			continue
		}
		for k := range tiers {
			if t := &tiers[k]; strings.EqualFold(t.name, z.Run()) || strings.EqualFold(t.name, z.ID) {
				if low := z.Bare().Height().Lo; low < t.low {
					t.low, t.frame = low, strings.ToLower(frame)
				}
			}
		}
	}
	var out []string
	taken := map[string]bool{}
	for k := range tiers {
		if tiers[k].frame == "" {
			out = append(out, tiers[k].name)
			continue
		}
		if taken[tiers[k].frame] {
			continue
		}
		taken[tiers[k].frame] = true
		var of []tier
		for _, t := range tiers[k:] {
			if t.frame == tiers[k].frame {
				of = append(of, t)
			}
		}
		slices.SortStableFunc(of, func(a, b tier) int { return cmp.Compare(a.low, b.low) })
		for _, t := range of {
			out = append(out, t.name)
		}
	}
	return out
}
