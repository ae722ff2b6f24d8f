package clash

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/scene"
	"voidline/void"
)

// into returns the least moves of service s that bring it into an opening of w with the room that is asked, the least
// first: up or down, and sideways (of a row to its left or right), else the two together. fits is false where the opening
// is too small.
func (r *run) into(s int32, in *measure.InOpening, asked float64) (moves []finding.Move, fits bool) {
	z, S, o := r.Zone(s), r.Full(s), in.O
	level, place := r.holds(s)
	normal := o.Across.Cross(o.Up)
	// How the cuts go when the service goes sideways: a row that passes askew goes further along the web than it is shifted,
	// and one that falls goes up or down in it.
	left, row := leftOf(z, S)
	way := r2.Point{X: left.Dot(o.Across), Y: left.Dot(o.Up)}
	if !row {
		left, way = o.Across, r2.Point{X: 1}
	} else if lean := S.Along.Dot(normal); math.Abs(lean) < 1e-6*S.Along.Norm() {
		place = true // it runs along the web: no way sideways brings it through
	} else {
		by := left.Dot(normal) / lean
		way = way.Sub(r2.Point{X: S.Along.Dot(o.Across), Y: S.Along.Dot(o.Up)}.Mul(by))
	}
	name := func(by r3.Vector) string {
		n, _ := r.levelName(s, by)
		return n
	}
	upright := r2.Point{Y: 1}
	reaches := func(by float64) bool { return math.Abs(by) <= r.headroom(s, scene.Up.Mul(by))+void.Hair }
	word := func(by float64) string {
		if by > 0 {
			return "up"
		}
		return "down"
	}
	if t, ok := in.Line(r2.Point{}, upright, asked); ok && !level && reaches(t) {
		moves = append(moves, r.moveOf(s, o.Centre, word(t), scene.Up.Mul(t)))
	}
	if t, ok := in.Line(r2.Point{}, way, asked); ok && !place {
		moves = append(moves, r.moveOf(s, o.Centre, name(left.Mul(t)), left.Mul(t)))
	}
	if len(moves) > 0 {
		slices.SortStableFunc(moves, func(a, b finding.Move) int { return cmp.Compare(a.By, b.By) })
		return moves, true
	}
	t, u, ok := in.Nearest(way, upright, asked)
	if ok && !level && !place && reaches(u) {
		moves = append(moves, r.moveOf(s, o.Centre, word(u)+" and "+name(left.Mul(t)), left.Mul(t).Add(scene.Up.Mul(u))))
	}
	return moves, ok
}

// orInto adds to the moves of service s that clear structure w whole those that bring it into one of its openings, where they
// are less; what is moved into an opening is not told, too, to go hundreds down.
func (r *run) orInto(moves []finding.Move, s, w int32) []finding.Move {
	var best []finding.Move
	for _, k := range r.OpeningsIn[w] {
		in, ok := measure.Passing(r.Full(s), r.Full(w), r.Zone(w), &r.Project.Openings[k])
		if !ok {
			continue
		}
		asked, _ := r.MarginOf(s, w, in.O)
		if into, _ := r.into(s, &in, asked); len(into) > 0 && (best == nil || into[0].By < best[0].By-void.Hair) {
			best = into
		}
	}
	if best == nil {
		return moves
	}
	var out []finding.Move
	for _, m := range moves {
		if m.By < best[0].By {
			out = append(out, m)
		}
	}
	for _, m := range best {
		if len(out) == 0 || m.By <= farAside {
			out = append(out, m)
		}
	}
	return out
}

// riserInto returns the least level move of upright service s that brings it into a level opening with the room that is asked.
func (r *run) riserInto(s int32, o *void.Opening, asked float64) []finding.Move {
	if _, place := r.holds(s); place {
		return nil
	}
	in := measure.RiserIn(r.Full(s), o)
	t, u, ok := in.Nearest(r2.Point{X: 1}, r2.Point{Y: 1}, asked)
	if !ok {
		return nil
	}
	by := r3.Vector{X: t, Y: u}
	name, ok := r.levelName(s, by)
	if !ok {
		return nil
	}
	return []finding.Move{r.moveOf(s, o.Centre, name, by)}
}
