package setout

import (
	"math"
	"slices"

	"voidline/void"
)

// Stretch is a part of a length, and whether it lies on the line of its floor.
type Stretch struct {
	From, To float64 // stations
	Is       Lies
}

// Lies says how a stretch lies to the line of its floor.
type Lies uint8

// How a stretch can lie.
const (
	OnIt    Lies = iota // on the line
	OffIt               // clear on the line, and yet laid off it on the way past a place beside it
	AtPlace             // a place: the line does not work there
)

// Stretches returns the parts of a length from its start to its end, none beside another of its sort.
func (f *Floor) Stretches(o *OnLine) []Stretch {
	cuts := []float64{0, o.Run.Length}
	for i := range o.Run.Pieces {
		cuts = append(cuts, o.Run.Pieces[i].From, o.Run.Pieces[i].To)
	}
	var places []*Place
	for i := range f.Places {
		if pl := &f.Places[i]; pl.Run == o {
			places, cuts = append(places, pl), append(cuts, pl.From, pl.To)
		}
	}
	var laid []Section
	if o.Answer != nil && o.Answer.Found {
		laid = o.Answer.Line.Sections
	}
	for _, s := range laid {
		cuts = append(cuts, s.From, s.To)
	}
	slices.Sort(cuts)
	var out []Stretch
	for i, to := range cuts[1:] {
		from := cuts[i]
		if from < 0 || to > o.Run.Length || to-from <= void.Hair {
			continue
		}
		mid := (from + to) / 2
		is := OnIt
		switch {
		case slices.ContainsFunc(places, func(pl *Place) bool { return pl.From <= mid && mid <= pl.To }):
			is = AtPlace
		case len(laid) > 0 && !slices.ContainsFunc(laid, func(s Section) bool {
			return s.From <= mid && mid <= s.To && math.Abs(s.Level-f.Level-o.Offset) <= void.Hair
		}):
			is = OffIt // at another level, or on the set to one
		}
		if k := len(out) - 1; k >= 0 && out[k].Is == is && (is != AtPlace || !slices.ContainsFunc(places, func(pl *Place) bool { return pl.From == from })) {
			out[k].To = to
			continue
		}
		out = append(out, Stretch{from, to, is})
	}
	return out
}

// Kept returns the length that stays on the line when everything is laid: less than what is clear on it where a run leaves it for longer than
// its place.
func (f *Floor) Kept() float64 {
	l := 0.0
	for _, o := range f.Runs {
		for _, s := range f.Stretches(o) {
			if s.Is == OnIt {
				l += s.To - s.From
			}
		}
	}
	return l
}
