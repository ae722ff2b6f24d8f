package clash

import (
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/finding"
	"voidline/clash/forbid"
	"voidline/void"
	"voidline/void/body"
)

// Sets that a move takes.
//
// A row that is shifted by itself leaves the rows that it joins: a set brings each back to it, a sloping piece that is as long along the
// row as the shift is across it (45 degrees, common practice, no source). It lies on the row that stays or, where that is too short or
// something is in the way, on the row that is shifted. What forbids that body to be there is asked as of any other.

// axisOf returns the ends of the centre line of a row, its start first.
func axisOf(b body.Body) [2]r3.Vector {
	return [2]r3.Vector{b.Centre.Sub(b.Along), b.Centre.Add(b.Along)}
}

// near returns the point of a centre line that is nearest to another point.
func near(line [2]r3.Vector, p r3.Vector) r3.Vector {
	d := line[1].Sub(line[0])
	if n := d.Norm2(); n > 0 {
		return line[0].Add(d.Mul(math.Max(0, math.Min(1, p.Sub(line[0]).Dot(d)/n))))
	}
	return line[0]
}

// setPiece returns the sloping piece of a set that brings row stays back to a row moved by a shift: on stays where onMoved is false, else on the row
// that is shifted. short is by how much the row that it lies on is too short for it.
func (v *prover) setPiece(moved, stays int32, by r3.Vector, onMoved bool) (piece body.Body, short float64) {
	m, s := v.Full(moved), v.Full(stays)
	on, other := s, axisOf(m)
	if onMoved {
		on, other = m, axisOf(s)
	}
	line := axisOf(on)
	// The end of the row that the piece lies on, at the other.
	end, far := line[0], line[1]
	if near(other, line[1]).Sub(line[1]).Norm() < near(other, line[0]).Sub(line[0]).Norm() {
		end, far = line[1], line[0]
	}
	long := far.Sub(end)
	n := long.Normalize()
	across := by.Sub(n.Mul(by.Dot(n))).Norm()
	from, to := end.Add(by), end.Add(n.Mul(across+math.Max(0, by.Dot(n))))
	if onMoved {
		from, to = end, end.Add(by).Add(n.Mul(across+math.Max(0, -by.Dot(n))))
	}
	piece = on
	piece.Centre, piece.Along = from.Add(to).Mul(0.5), to.Sub(from).Mul(0.5)
	if a := (r2.Point{X: piece.Along.X, Y: piece.Along.Y}); a.Norm() > void.Hair {
		piece.Across = a.Normalize().Ortho()
	}
	return piece, across - long.Norm()
}

// setsMeet says what is in the way of the sets that a row wants which is shifted by itself away from one that it joins; nil where a set gets
// through.
func (v *prover) setsMeet(moved, stays int32, by r3.Vector) (meets *finding.Meets) {
	if v.Zone(stays).Item || v.Zone(moved).Item || v.Zone(stays).Upright || v.Zone(moved).Upright {
		return nil // a fitting goes along, and a riser is cut
	}
	for _, onMoved := range [2]bool{false, true} {
		row := stays
		if onMoved {
			row = moved
		}
		piece, short := v.setPiece(moved, stays, by, onMoved)
		if short > void.Hair {
			if meets == nil {
				meets = &finding.Meets{With: v.Zone(row).ID, By: math.Ceil(short*10-0.01) / 10}
			}
			continue
		}
		m := v.forbids(row, piece, by.Normalize())
		if m == nil {
			return nil
		}
		meets = m
	}
	return meets
}

// forbids says what forbids a piece of a row to be in a place, besides what forbids the row to be where it is; nil for nothing.
func (v *prover) forbids(row int32, piece body.Body, dir r3.Vector) *finding.Meets {
	const near = 1 // mm: what forbids it where it is
	holds := func(b forbid.Ban) bool {
		return b.Lo < -void.Hair && b.Hi > void.Hair && !slices.ContainsFunc(b.Holes, func(h r1.Interval) bool { return h.Contains(0) })
	}
	bans := slices.Clone(v.asked(forbid.Query{Zone: row, Full: piece, Dir: dir, Within: r1.Interval{Lo: -near, Hi: near}}))
	for k := range bans {
		b := &bans[k]
		if !holds(*b) || slices.ContainsFunc(v.bansOf(row, dir, near), func(o forbid.Ban) bool {
			return holds(o) && o.Zone == b.Zone && o.Bay == b.Bay && o.Soffit == b.Soffit && o.Space == b.Space
		}) {
			continue
		}
		m := &finding.Meets{With: v.bannedBy(b)}
		if lacks := math.Min(-b.Lo, b.Hi); !math.IsInf(lacks, 1) {
			m.By = math.Ceil(lacks*10-0.01) / 10
		}
		return m
	}
	return nil
}
