package measure

import (
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// What belongs together does not clash where it meets.

// MeetJoins is how near what a row names in joins counts as meeting, and how far from a meeting the excuse reaches, mm (design).
const MeetJoins = 300.0

// Tie says why two things may be in one place: they belong together, or way is made for the one.
type Tie uint8

const (
	NoTie      Tie = iota // they have nothing to do with each other
	SameRun               // pieces of one run
	SameTrade             // rows of one trade and service
	NamedJoin             // the one names the other in joins
	EndsAtUnit            // an end at a unit, or at another thing at which rows end
	SetInto               // set into the ceiling
	MadeWay               // through an opening
	DropsInto             // comes down to something that is set into the ceiling
	Connected             // by the table of connections
	Ties                  // how many there are
)

// End is one end of a length: its middle, the direction out of it, and its face.
type End struct {
	At  r3.Vector
	Out r3.Vector
	// From is -1 for the start and 1 for the end.
	From float64
}

// Ends returns the ends of a zone, in room. An item has none, but where it stands through levels its foot and
// its head are ends.
func Ends(z *void.Zone, f *body.Body, room *[2]End) []End {
	if z.Item && !z.Upright || z.ByHeight {
		return nil
	}
	axis := f.Along
	if z.Upright && !f.Round {
		if !z.Item {
			return nil // a wall
		}
		axis = r3.Vector{Z: f.H}
	}
	n := axis.Norm()
	if n == 0 {
		return nil
	}
	u := axis.Mul(1 / n)
	*room = [2]End{{f.Centre.Sub(axis), u.Mul(-1), -1}, {f.Centre.Add(axis), u, 1}}
	return room[:]
}

// Tape measures what is in a scene: one thing against another.
type Tape struct {
	*scene.Scene
	linkedAs sync.Map // by two characters: linked
}

// On returns a tape over a scene.
func On(s *scene.Scene) *Tape { return &Tape{Scene: s} }

// Belong says why two zones may belong together.
func (c *Tape) Belong(a, b int32) Tie {
	za, zb := c.Zone(a), c.Zone(b)
	if names(za, zb) || names(zb, za) {
		return NamedJoin
	}
	ca, cb := c.Char(a), c.Char(b)
	if ca.Structure() || cb.Structure() {
		return NoTie // a beam's end in a unit joins nothing
	}
	// Every trade numbers its own runs.
	if za.Run() != "" && ca.Trade == cb.Trade && strings.EqualFold(za.Run(), zb.Run()) {
		return SameRun
	}
	// An end on a row of its own trade and service is a tee, whatever the runs are called; of two runs that say no
	// service nobody knows whether they carry the same.
	units := ca.Entry.EndsAt || cb.Entry.EndsAt
	if !units && ca.Trade == cb.Trade && ca.Service == cb.Service && (ca.Service != "" || za.Run() == "" || zb.Run() == "") {
		return SameTrade
	}
	switch {
	case !c.Links(a, b).connects():
		return NoTie
	case units:
		return EndsAtUnit
	}
	return Connected
}

func names(a, b *void.Zone) bool {
	return slices.ContainsFunc(a.Joins(), func(id string) bool { return strings.EqualFold(strings.TrimSpace(id), b.ID) })
}

// Blob reports whether a zone is a thing without ends of its own: all of it is where others meet it.
func (c *Tape) Blob(i int32) bool {
	z := c.Zone(i)
	return z.Item || c.Char(i).Entry.EndsAt || IsFitting(c.Char(i).Kind)
}

// blobsMeet reports whether two things without ends may meet at all: a fitting with its neighbour in the
// run, what a row joins by name, a unit with what is next in its run. Two light fittings in one place
// do not.
func (c *Tape) blobsMeet(a, b int32, why Tie) bool {
	if !c.Blob(a) || !c.Blob(b) {
		return false
	}
	switch why {
	case NamedJoin:
		return true
	case SameRun:
		return !c.Zone(a).Recessed || !c.Zone(b).Recessed
	case SameTrade:
		return IsFitting(c.Char(a).Kind) || IsFitting(c.Char(b).Kind)
	}
	return false
}

func IsFitting(kind string) bool {
	return strings.HasSuffix(kind, " fitting") && kind != "light fitting"
}

// Apart returns what is left of two zones once the place where they meet is taken off, and whether
// they meet at all. Nothing left of either: they are excused whole.
//
//  1. The end of a that stops in b's section, or within reach of its face, is a meeting; of a that is
//     cut off as far as it is inside b and 300 more. So with the ends of b.
//  2. Two ends that are within reach of each other are a meeting too; both are cut back.
//  3. Two things without ends (fittings, units, items) meet where they touch.
func (c *Tape) Apart(pa, pb scene.Put, why Tie) (A, B body.Body, left, met bool) {
	a, b := pa.Zone, pb.Zone
	A, B = pa.Full, pb.Full
	left = true
	za, zb := c.Zone(a), c.Zone(b)
	reach := rules.MeetEnds
	if why == NamedJoin {
		reach = MeetJoins
	}
	var roomA, roomB [2]End
	ea, eb := Ends(za, &A, &roomA), Ends(zb, &B, &roomB)
	// How far an end may go into the other; of what cannot end there no end counts.
	deepA, deepB := c.Deepest(a, b, why), c.Deepest(b, a, why)
	if deepA < 0 {
		ea = nil
	}
	if deepB < 0 {
		eb = nil
	}
	blunt := why == EndsAtUnit || why == Connected
	cutA, cutB := [2]float64{}, [2]float64{} // mm off the start and the end
	cut := func(cuts *[2]float64, e End, by float64) {
		k := 0
		if e.From > 0 {
			k = 1
		}
		cuts[k] = math.Max(cuts[k], by)
		met = true
	}
	for _, e := range ea {
		if !e.Reaches(&pb.Box, reach) {
			continue
		}
		if in, ok := Inside(e, A, B, reach, c.Blob(b) || blunt); ok && in <= deepA+void.Hair {
			cut(&cutA, e, math.Min(in, 1.5*Section(B))+MeetJoins)
		}
	}
	for _, e := range eb {
		if !e.Reaches(&pa.Box, reach) {
			continue
		}
		if in, ok := Inside(e, B, A, reach, c.Blob(a) || blunt); ok && in <= deepB+void.Hair {
			cut(&cutB, e, math.Min(in, 1.5*Section(A))+MeetJoins)
		}
	}
	for _, e := range ea {
		for _, f := range eb {
			// Ends that meet look at each other, or turn a corner; two that look the same way lie side by
			// side.
			turn := e.Out.Dot(f.Out)
			if turn > 0.5 || e.At.Sub(f.At).Norm() > spread(&A, &e)+spread(&B, &f)+reach+1 || body.Gap(Face(A, e), Face(B, f)).MM > reach+void.Hair {
				continue
			}
			corner := math.Sqrt(math.Max(0, 1-turn*turn))
			cut(&cutA, e, MeetJoins+corner*Section(B))
			cut(&cutB, f, MeetJoins+corner*Section(A))
		}
	}
	// A valve or a damper drawn on a row of its own service, unbroken or not, sits in it.
	if !met && c.SitsInLine(a, b, A, B) {
		return A, B, false, true
	}
	if !met && why != NamedJoin && (blunt || c.Char(a).Entry.EndsAt || c.Char(b).Entry.EndsAt) {
		if c.touches(a, b, A, B, why, reach) || c.touches(b, a, B, A, why, reach) {
			return A, B, false, true
		}
		return A, B, true, false
	}
	// A fitting is drawn as the box round it: any of its faces may be where it meets, as long as the other
	// does not go through its middle.
	if !met && (why == SameRun || why == SameTrade || why == NamedJoin) {
		if c.fittingMeets(a, A, B, reach) || c.fittingMeets(b, B, A, reach) {
			return A, B, false, true
		}
	}
	if !met && c.blobsMeet(a, b, why) && body.Gap(A, B).MM <= reach+void.Hair {
		return A, B, false, true
	}
	if !met && why == NamedJoin && body.Gap(A, B).MM <= MeetJoins+void.Hair && local(A, B) && local(B, A) {
		return A, B, false, true // joined somewhere along its side: the row says so
	}
	if !met {
		return A, B, true, false
	}
	var okA, okB bool
	A, okA = trim(A, cutA)
	B, okB = trim(B, cutB)
	return A, B, okA && okB, true
}

// trim takes lengths off the start and the end; an upright prism stands on its start.
func trim(b body.Body, cut [2]float64) (body.Body, bool) {
	if cut[0] == 0 && cut[1] == 0 {
		return b, true
	}
	if !b.Round && b.Along.Z == 0 && b.H > b.Along.Norm() && b.H > b.W {
		h := b.Height()
		h.Lo, h.Hi = h.Lo+cut[0], h.Hi-cut[1]
		b.Centre.Z, b.H = h.Center(), h.Length()/2
		return b, h.Length() > void.Hair
	}
	return body.Trim(b, cut[0], cut[1])
}

// Face returns the end of a body as a plate.
func Face(b body.Body, e End) body.Body {
	if e.Out.Z != 0 && !b.Round && e.Out.X == 0 && e.Out.Y == 0 {
		b.Centre.Z += e.From * b.H
		b.H = 0
		return b
	}
	return body.Slice(b, e.From)
}

// Section returns the larger side of a body's section, mm; of a block that of the section across its longest side.
func Section(b body.Body) float64 {
	switch {
	case b.Round:
		return 2 * b.W
	case b.Block:
		x, y := b.Along.Norm(), b.W
		return 2 * math.Max(math.Min(x, y), math.Min(math.Max(x, y), b.H))
	}
	return 2 * math.Max(b.W, b.H)
}

// spread returns how far the end e of a body reaches from its middle, no less, mm.
func spread(b *body.Body, e *End) float64 {
	switch {
	case b.Round:
		return b.W + 1
	case e.Out.Z != 0 && e.Out.X == 0 && e.Out.Y == 0:
		return b.W + b.Along.Norm()
	}
	return b.W + b.H
}

// Reaches reports whether the end may come as near to a box as to meet what is in it.
func (e *End) Reaches(b *scene.Box, reach float64) bool {
	far := e.At.Add(e.Out.Mul(math.Max(reach, 1)))
	tip := scene.Box{
		Lo: [3]float64{min(e.At.X, far.X), min(e.At.Y, far.Y), min(e.At.Z, far.Z)},
		Hi: [3]float64{max(e.At.X, far.X), max(e.At.Y, far.Y), max(e.At.Z, far.Z)},
	}
	return tip.Apart(b) <= 1
}

// local reports whether a is near b over no more of its length than b's section and what an excuse
// reaches on either side: where they meet, and not along each other.
func local(a, b body.Body) bool {
	return !Long(a, b, body.Gap(a, b).MM+2*void.Hair, 1.5*Section(b))
}

// Inside reports whether an end of a stops in b, or within reach of meeting it straight on, and how far
// back along a it is inside b. A piece that lies in another along its length does not merely meet it, unless the other
// is a thing without ends (blob).
func Inside(e End, a, b body.Body, reach float64, blob bool) (float64, bool) {
	tip := body.Cylinder(e.At, e.At.Add(e.Out.Mul(math.Max(reach, 1))), 0)
	if body.Gap(tip, b).MM > void.Hair {
		return 0, false
	}
	back, ok := body.Span(Face(a, e), b, e.Out.Mul(-1))
	if !ok {
		return 0, true
	}
	in := math.Max(0, back.Hi)
	if n := b.Along.Norm(); !blob && n > 0 && math.Abs(e.Out.Dot(b.Along))/n > AlongEach && in > reach+void.Hair {
		return 0, false
	}
	return in, true
}

// AlongEach is the cosine from which two lengths run along each other.
const AlongEach = 0.9

// fittingMeets reports whether zone i is a fitting one of whose faces stops in b, or within reach of it
// straight on, with its middle outside b.
func (c *Tape) fittingMeets(i int32, a, b body.Body, reach float64) bool {
	if !IsFitting(c.Char(i).Kind) {
		return false
	}
	if body.Gap(body.Cylinder(a.Centre, a.Centre, 0), b).MM == 0 {
		return false
	}
	x := Boxed(a)
	for _, v := range []r3.Vector{x.Along, {X: x.Across.X * x.W, Y: x.Across.Y * x.W}, {Z: x.H}} {
		n := v.Norm()
		if n == 0 {
			continue
		}
		for _, s := range [2]float64{1, -1} {
			at := x.Centre.Add(v.Mul(s))
			tip := body.Cylinder(x.Centre, at.Add(v.Mul(s*reach/n)), 0)
			if body.Gap(tip, b).MM <= void.Hair {
				return true
			}
		}
	}
	return false
}
