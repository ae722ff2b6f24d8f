package clash

import (
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
)

// What belongs together does not clash where it meets.

// meetJoins is how near what a row names in joins counts as meeting, and how far from a meeting the excuse reaches, mm (design).
const meetJoins = 300.0

// tie says why two things may be in one place: they belong together, or way is made for the one.
type tie uint8

const (
	noTie      tie = iota // they have nothing to do with each other
	sameRun               // pieces of one run
	sameTrade             // rows of one trade and service
	namedJoin             // the one names the other in joins
	endsAtUnit            // an end at a unit, or at another thing at which rows end
	setInto               // set into the ceiling
	madeWay               // through an opening
	dropsInto             // comes down to something that is set into the ceiling
	connected             // by the table of connections
	ties                  // how many there are
)

// end is one end of a length: its middle, the direction out of it, and its face.
type end struct {
	at  r3.Vector
	out r3.Vector
	// from is -1 for the start and 1 for the end.
	from float64
}

// ends returns the ends of a zone, in room. An item has none, but where it stands through levels its foot and
// its head are ends.
func ends(z *void.Zone, f *body.Body, room *[2]end) []end {
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
	*room = [2]end{{f.Centre.Sub(axis), u.Mul(-1), -1}, {f.Centre.Add(axis), u, 1}}
	return room[:]
}

// tape measures what is in a scene: one thing against another.
type tape struct {
	*scene
	linkedAs sync.Map // by two characters: linked
}

// belong says why two zones may belong together.
func (c *tape) belong(a, b int32) tie {
	za, zb := c.zone(a), c.zone(b)
	if names(za, zb) || names(zb, za) {
		return namedJoin
	}
	ca, cb := c.char(a), c.char(b)
	if ca.Structure() || cb.Structure() {
		return noTie // a beam's end in a unit joins nothing
	}
	// Every trade numbers its own runs.
	if za.Run() != "" && ca.Trade == cb.Trade && strings.EqualFold(za.Run(), zb.Run()) {
		return sameRun
	}
	// An end on a row of its own trade and service is a tee, whatever the runs are called; of two runs that say no
	// service nobody knows whether they carry the same.
	units := ca.Entry.EndsAt || cb.Entry.EndsAt
	if !units && ca.Trade == cb.Trade && ca.Service == cb.Service && (ca.Service != "" || za.Run() == "" || zb.Run() == "") {
		return sameTrade
	}
	switch {
	case !c.links(a, b).connects():
		return noTie
	case units:
		return endsAtUnit
	}
	return connected
}

func names(a, b *void.Zone) bool {
	return slices.ContainsFunc(a.Joins(), func(id string) bool { return strings.EqualFold(strings.TrimSpace(id), b.ID) })
}

// blob reports whether a zone is a thing without ends of its own: all of it is where others meet it.
func (c *tape) blob(i int32) bool {
	z := c.zone(i)
	return z.Item || c.char(i).Entry.EndsAt || isFitting(c.char(i).Kind)
}

// blobsMeet reports whether two things without ends may meet at all: a fitting with its neighbour in the
// run, what a row joins by name, a unit with what is next in its run. Two light fittings in one place
// do not.
func (c *tape) blobsMeet(a, b int32, why tie) bool {
	if !c.blob(a) || !c.blob(b) {
		return false
	}
	switch why {
	case namedJoin:
		return true
	case sameRun:
		return !c.zone(a).Recessed || !c.zone(b).Recessed
	case sameTrade:
		return isFitting(c.char(a).Kind) || isFitting(c.char(b).Kind)
	}
	return false
}

func isFitting(kind string) bool {
	return strings.HasSuffix(kind, " fitting") && kind != "light fitting"
}

// apart returns what is left of two zones once the place where they meet is taken off, and whether
// they meet at all. Nothing left of either: they are excused whole.
//
//  1. The end of a that stops in b's section, or within reach of its face, is a meeting; of a that is
//     cut off as far as it is inside b and 300 more. So with the ends of b.
//  2. Two ends that are within reach of each other are a meeting too; both are cut back.
//  3. Two things without ends (fittings, units, items) meet where they touch.
func (c *tape) apart(pa, pb put, why tie) (A, B body.Body, left, met bool) {
	a, b := pa.zone, pb.zone
	A, B = pa.full, pb.full
	left = true
	za, zb := c.zone(a), c.zone(b)
	reach := rules.MeetEnds
	if why == namedJoin {
		reach = meetJoins
	}
	var roomA, roomB [2]end
	ea, eb := ends(za, &A, &roomA), ends(zb, &B, &roomB)
	// How far an end may go into the other; of what cannot end there no end counts.
	deepA, deepB := c.deepest(a, b, why), c.deepest(b, a, why)
	if deepA < 0 {
		ea = nil
	}
	if deepB < 0 {
		eb = nil
	}
	blunt := why == endsAtUnit || why == connected
	cutA, cutB := [2]float64{}, [2]float64{} // mm off the start and the end
	cut := func(cuts *[2]float64, e end, by float64) {
		k := 0
		if e.from > 0 {
			k = 1
		}
		cuts[k] = math.Max(cuts[k], by)
		met = true
	}
	for _, e := range ea {
		if !e.reaches(&pb.box, reach) {
			continue
		}
		if in, ok := inside(e, A, B, reach, c.blob(b) || blunt); ok && in <= deepA+void.Hair {
			cut(&cutA, e, math.Min(in, 1.5*section(B))+meetJoins)
		}
	}
	for _, e := range eb {
		if !e.reaches(&pa.box, reach) {
			continue
		}
		if in, ok := inside(e, B, A, reach, c.blob(a) || blunt); ok && in <= deepB+void.Hair {
			cut(&cutB, e, math.Min(in, 1.5*section(A))+meetJoins)
		}
	}
	for _, e := range ea {
		for _, f := range eb {
			// Ends that meet look at each other, or turn a corner; two that look the same way lie side by
			// side.
			turn := e.out.Dot(f.out)
			if turn > 0.5 || e.at.Sub(f.at).Norm() > spread(&A, &e)+spread(&B, &f)+reach+1 || body.Gap(face(A, e), face(B, f)).MM > reach+void.Hair {
				continue
			}
			corner := math.Sqrt(math.Max(0, 1-turn*turn))
			cut(&cutA, e, meetJoins+corner*section(B))
			cut(&cutB, f, meetJoins+corner*section(A))
		}
	}
	// A valve or a damper drawn on a row of its own service, unbroken or not, sits in it.
	if !met && c.sitsInLine(a, b, A, B) {
		return A, B, false, true
	}
	if !met && why != namedJoin && (blunt || c.char(a).Entry.EndsAt || c.char(b).Entry.EndsAt) {
		if c.touches(a, b, A, B, why, reach) || c.touches(b, a, B, A, why, reach) {
			return A, B, false, true
		}
		return A, B, true, false
	}
	// A fitting is drawn as the box round it: any of its faces may be where it meets, as long as the other
	// does not go through its middle.
	if !met && (why == sameRun || why == sameTrade || why == namedJoin) {
		if c.fittingMeets(a, A, B, reach) || c.fittingMeets(b, B, A, reach) {
			return A, B, false, true
		}
	}
	if !met && c.blobsMeet(a, b, why) && body.Gap(A, B).MM <= reach+void.Hair {
		return A, B, false, true
	}
	if !met && why == namedJoin && body.Gap(A, B).MM <= meetJoins+void.Hair && local(A, B) && local(B, A) {
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

// face returns the end of a body as a plate.
func face(b body.Body, e end) body.Body {
	if e.out.Z != 0 && !b.Round && e.out.X == 0 && e.out.Y == 0 {
		b.Centre.Z += e.from * b.H
		b.H = 0
		return b
	}
	return body.Slice(b, e.from)
}

// section returns the larger side of a body's section, mm.
func section(b body.Body) float64 {
	if b.Round {
		return 2 * b.W
	}
	return 2 * math.Max(b.W, b.H)
}

// spread returns how far the end e of a body reaches from its middle, no less, mm.
func spread(b *body.Body, e *end) float64 {
	switch {
	case b.Round:
		return b.W + 1
	case e.out.Z != 0 && e.out.X == 0 && e.out.Y == 0:
		return b.W + b.Along.Norm()
	}
	return b.W + b.H
}

// reaches reports whether the end may come as near to a box as to meet what is in it.
func (e *end) reaches(b *box, reach float64) bool {
	far := e.at.Add(e.out.Mul(math.Max(reach, 1)))
	tip := box{
		lo: [3]float64{min(e.at.X, far.X), min(e.at.Y, far.Y), min(e.at.Z, far.Z)},
		hi: [3]float64{max(e.at.X, far.X), max(e.at.Y, far.Y), max(e.at.Z, far.Z)},
	}
	return tip.apart(b) <= 1
}

// local reports whether a is near b over no more of its length than b's section and what an excuse
// reaches on either side: where they meet, and not along each other.
func local(a, b body.Body) bool {
	if lengthOf(a) == 0 {
		return true
	}
	lo, hi, ok := body.Stretch(a, b, body.Gap(a, b).MM+void.Hair)
	return !ok || (hi-lo)/2*lengthOf(a) <= 1.5*section(b)+void.Hair
}

// inside reports whether an end of a stops in b, or within reach of meeting it straight on, and how far
// back along a it is inside b. A piece that lies in another along its length does not merely meet it, unless the other
// is a thing without ends (blob).
func inside(e end, a, b body.Body, reach float64, blob bool) (float64, bool) {
	tip := body.Cylinder(e.at, e.at.Add(e.out.Mul(math.Max(reach, 1))), 0)
	if body.Gap(tip, b).MM > void.Hair {
		return 0, false
	}
	back, ok := body.Span(face(a, e), b, e.out.Mul(-1))
	if !ok {
		return 0, true
	}
	in := math.Max(0, back.Hi)
	if n := b.Along.Norm(); !blob && n > 0 && math.Abs(e.out.Dot(b.Along))/n > alongEach && in > reach+void.Hair {
		return 0, false
	}
	return in, true
}

// alongEach is the cosine from which two lengths run along each other.
const alongEach = 0.9

// fittingMeets reports whether zone i is a fitting one of whose faces stops in b, or within reach of it
// straight on, with its middle outside b.
func (c *tape) fittingMeets(i int32, a, b body.Body, reach float64) bool {
	if !isFitting(c.char(i).Kind) {
		return false
	}
	if body.Gap(body.Cylinder(a.Centre, a.Centre, 0), b).MM == 0 {
		return false
	}
	x := boxed(a)
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
