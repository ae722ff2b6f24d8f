package clash

import (
	"cmp"
	"math"
	"slices"
	"strconv"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/finding"
	"voidline/clash/forbid"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/vocabulary"
)

// What may move, and how: practice, each of it settable in the tables.

// MoveRule says of what how it moves.
type MoveRule struct{ What, How, Said, Why string }

// MoveRules returns what may move and how; all of it is common practice, no source.
func MoveRules() []MoveRule {
	return []MoveRule{
		{"structure", "never", "", "it is there, or it is calculated"},
		{"what is fixed", "never", "stage", "it hangs"},
		{"what is made", "last", "stage", "it would have to be made again"},
		{"everything else", "by its rank", "rank", "what must fall, or is large, stays longest (`voidline tables kinds`)"},
		{"what is held", "as far as it is not held", "holds", "somebody has settled its level or its place"},
		{"set into the ceiling", "not up or down", "recessed", "the finished face settles its level"},
		{"diffusers, light fittings, sprinkler heads and detectors set into the ceiling", "never for what can move, unless holds is none", "holds", "light, air and cover are worked out from their places"},
		{"other things set into the ceiling", "where what they meet has no clear way", "holds", "the ceiling plan is settled early, and seen by everyone"},
		{"what takes a whole tile", "by whole tiles, along the grid", "module", "half a tile fits nowhere; tiles that say nothing are " + mmText(void.TileModule)},
		{"rows of a run", "all together, else one with sets", "run", "what is joined goes along; a run of more than " + mmText(runRowsMost) + " rows is a network and its rows go one by one"},
		{"what is struck from a line", "not off it", "holds", "write level there once the line is struck; rows that hold their level are left out of another line"},
		{"sets of a row", "only where they get through", "run", "each a sloping piece at 45 degrees, as long along the row as the row moves, on the row that stays or else on the one that moves; nothing may forbid it to be there"},
		{"what must fall", "all of it together, never one row with sets", "fall", "a set in a drain is a trap for what it carries"},
		{"wet pipes with sets up", "with a vent at the high point", "service", "air gathers there"},
		{"wet pipes with sets down", "with a drain at the low point", "service", "what stands there is not emptied"},
		{"ducts near a terminal unit", "no set within " + mmText(straightWidths) + " widths of it", "kind", "it measures or spreads the air and wants it to come straight"},
		{"ducts near a damper", "no set within " + mmText(straightDamper) + " widths of it", "kind", "its blades want room, and air that comes straight"},
	}
}

func mmText(v float64) string { return strconv.FormatFloat(v, 'f', -1, 64) }

const (
	straightWidths = 3.0 // widths of a duct, straight, at a terminal unit; common practice, no source
	straightDamper = 2.0 // at a damper
)

// holds reports whether zone i keeps its level and its place, whatever it is in the way of.
func (c *Check) holds(i int32) (level, place bool) {
	z := c.Zone(i)
	level, place = z.Holds()
	return level || z.Recessed, place // what is set into the ceiling does not rise or drop
}

// laidOut reports whether zone i has its place by the ceiling plan, and its row does not let it go.
func (c *Check) laidOut(i int32) bool {
	z := c.Zone(i)
	return z.Recessed && c.Char(i).Entry.LaidOut && !z.LetGo()
}

// mayMove reports whether a zone moves for another that would give way before it.
func (c *Check) mayMove(i int32) bool {
	return !c.Structure(i) && (c.rank(i) > orderRecessed || c.Zone(i).Recessed && !c.laidOut(i))
}

// keeps says what a zone keeps, see Finding.Holds.
func (c *Check) keeps(id string) string {
	i, ok := c.Project.ZoneByID(id)
	if !ok || c.Structure(int32(i)) {
		return ""
	}
	switch level, place := c.holds(int32(i)); {
	case level && place:
		return "both"
	case level:
		return "level"
	case place:
		return "place"
	}
	return ""
}

// wholeTile is how much of a tile's module a thing is long that takes a whole tile; common practice, no source.
const wholeTile = 0.9

// module returns by how much zone i moves in plan at a time, mm: the tiles of the ceiling that it is set into, where it takes one or
// more; 0 where it goes anywhere: a hole for it is cut into a tile.
func (c *Check) module(i int32) float64 {
	z := c.Zone(i)
	long := 2 * math.Max(c.Full(i).W, c.Full(i).Along.Norm())
	if !z.Recessed {
		return 0
	}
	for _, j := range z.Bays() {
		if b := c.Project.Bays[j].BuildUp; b >= 0 {
			if m := c.Project.BuildUps[b].Module(); m > 0 && long >= wholeTile*m {
				return m
			}
		}
	}
	return 0
}

// setWants says what a row that leaves its run by so much, with a set at each of its ends, then wants.
func (c *Check) setWants(i int32, by r3.Vector) string {
	ch := c.Char(i)
	switch {
	case c.Zone(i).Item || by.Z == 0 || !ch.In(vocabulary.Wet) || ch.In(vocabulary.Gravity):
		return ""
	case by.Z > 0:
		return finding.WantsVent
	}
	return finding.WantsDrain
}

// straight returns the item that wants the duct straight where a set would be, at the end of row i at which row o joins on, and how
// much of the straight length is lacking; -1 for none.
func (c *Check) straight(i, o int32) (item int32, lack float64) {
	item = -1
	if c.Char(i).Trade != "ductwork" || c.Zone(i).Item {
		return item, 0
	}
	b := c.Full(i)
	at, near := r3.Vector{}, math.Inf(1)
	other := c.Full(o)
	for _, end := range [2]r3.Vector{b.Centre.Sub(b.Along), b.Centre.Add(b.Along)} {
		for _, e := range [3]r3.Vector{other.Centre, other.Centre.Sub(other.Along), other.Centre.Add(other.Along)} {
			if d := end.Sub(e).Norm(); d < near {
				at, near = end, d
			}
		}
	}
	width := 2 * math.Max(b.W, b.H)
	reach := scene.Over(r2.RectFromPoints(r2.Point{X: at.X, Y: at.Y}), at.Z, at.Z)
	c.Near(reach, straightWidths*width, func(k int32) {
		widths := 0.0
		switch c.Char(k).Kind {
		case "terminal unit":
			widths = straightWidths
		case "damper":
			widths = straightDamper
		}
		if widths == 0 || c.Zone(k).Gone || c.Char(k).Trade != "ductwork" || !c.inLine(i, k) && !c.inLine(o, k) {
			return
		}
		if l := widths*width - c.Boxes[k].Apart(&reach); l > lack || l == lack && item >= 0 && c.Zone(k).ID < c.Zone(item).ID {
			item, lack = k, l
		}
	})
	return item, lack
}

// inLine reports whether item k stands on the axis of row i, or at an end of it.
func (c *Check) inLine(i, k int32) bool {
	b := c.Full(i)
	n := b.Along.Norm()
	if n == 0 || c.Zone(i).Item {
		return false
	}
	half := b.W
	if !b.Round {
		half = math.Min(b.W, b.H)
	}
	away := c.Full(k).Centre.Sub(b.Centre)
	along := away.Dot(b.Along) / n
	return away.Sub(b.Along.Mul(along/n)).Norm() <= half/2 && math.Abs(along) <= n+c.Boxes[k].Hi[0]-c.Boxes[k].Lo[0]+c.Boxes[k].Hi[1]-c.Boxes[k].Lo[1]
}

// How many edges of what is in the way of an item are gone along, and how many places at them are tried.
const (
	edgesMost   = 12
	cornersMost = 24
)

// corners returns level shifts of item m at which it comes free, the least first and none of at least most: square to a face of something near,
// to the edge of what that forbids, or from there along the edge until it is free of the next thing, too. Of round things an edge is that of
// the way along which it was asked, so that a shorter shift between two such ways may be missed.
func (v *prover) corners(m int32, most float64) []r3.Vector {
	faces := []r3.Vector{{X: 1}, {Y: 1}}
	face := func(d r2.Point) {
		n := d.Norm()
		if n < void.Hair {
			return
		}
		u := r3.Vector{X: d.X / n, Y: d.Y / n}
		if len(faces) < 6 && !slices.ContainsFunc(faces, func(f r3.Vector) bool { return math.Abs(f.Dot(u)) > 1-1e-9 }) {
			faces = append(faces, u)
		}
	}
	for _, axis := range [2]r3.Vector{{X: 1}, {Y: 1}} {
		for _, b := range v.bansOf(m, axis, most) {
			if b.Zone >= 0 && b.Lo < most && b.Hi > -most {
				o := v.Full(b.Zone)
				face(o.Across)
				face(r2.Point{X: o.Along.X, Y: o.Along.Y})
			}
		}
	}
	type edge struct {
		way r3.Vector
		at  float64
	}
	var edges []edge
	for _, d := range faces {
		for _, b := range v.bansOf(m, d, most) {
			for _, e := range [2]edge{{d, b.Hi}, {d.Mul(-1), -b.Lo}} {
				if e.at > 0 && e.at < most {
					edges = append(edges, e)
				}
			}
		}
	}
	slices.SortStableFunc(edges, func(a, b edge) int { return cmp.Compare(a.at, b.at) })
	var out []r3.Vector
	add := func(s r3.Vector) {
		s = r3.Vector{X: outward(s.X), Y: outward(s.Y)}
		if n := s.Norm(); n > 0 && n < most && !slices.Contains(out, s) {
			out = append(out, s)
		}
	}
	for _, e := range edges[:min(len(edges), edgesMost)] {
		to := e.way.Mul(e.at)
		add(to)
		along := r3.Vector{X: -e.way.Y, Y: e.way.X}
		bans := v.asked(forbid.Query{Zone: m, Full: v.Full(m).Shift(to), Dir: along, Within: r1.Interval{Lo: -most, Hi: most}, Hung: true, Here: true})
		for _, way := range [2]float64{1, -1} {
			if t := forbid.Out(bans, 0, way); math.Abs(t) < most {
				add(to.Add(along.Mul(t)))
			}
		}
	}
	slices.SortFunc(out, func(a, b r3.Vector) int {
		if d := a.Norm2() - b.Norm2(); d != 0 {
			return int(math.Copysign(1, d))
		}
		return a.Cmp(b)
	})
	return out[:min(len(out), cornersMost)]
}

// outward takes a length to the next whole mm away from nothing.
func outward(v float64) float64 {
	w := math.Ceil(math.Abs(v) - void.Hair)
	if w <= 0 {
		return 0
	}
	return math.Copysign(w, v)
}
