package clash

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
)

// How a service gets through structure: through an opening made for it, through a hole that is yet to be made in a wall or a
// slab, or not at all.

// isWall reports whether holes are made through what is of a kind, so that a service through it is builder's work.
func isWall(kind string) bool { return kind == "wall" || kind == "slab" || kind == "cavity barrier" }

// how is whether a service gets through structure.
type how uint8

const (
	solid  how = iota // it does not get through
	passes            // through an opening
	bored             // through a hole to be made
)

// passage is how a service gets through a beam, a wall or a slab.
type passage struct {
	how  how
	in   inOpening // the opening that it passes, or comes nearest to; without one where a soffit's opening is meant
	room float64   // between it and the edge of that opening, mm; negative where it is outside
	bore bore      // the hole to be made
	// missed says that it is outside an opening that is meant for it; noneNear that none of the openings is.
	missed, noneNear bool
}

// passage says how service s gets through structure w.
func (t *tape) passage(s, w put) (p passage) {
	kind := t.char(w.zone).Kind
	wall := isWall(kind)
	if os := t.openingsIn[w.zone]; len(os) > 0 {
		found, near := false, false
		p.room = math.Inf(-1)
		for _, o := range os {
			if in, ok := passing(s.full, w.full, t.zone(w.zone), &t.p.Openings[o]); ok {
				near = near || in.meets()
				if room := in.room(r2.Point{}); room > p.room {
					p.room, p.in, found = room, in, true
				}
			}
		}
		if wall && !near {
			found = false // no opening is meant for it
		}
		switch {
		case found && p.room >= -void.Hair:
			p.how = passes
			return p
		case wall && !near:
		case found:
			p.missed = true
		default:
			p.noneNear = true
		}
	}
	switch {
	case !wall:
	case kind == "slab" && t.openInSoffit(s, w):
		p.how, p.in = passes, inOpening{}
	case !p.missed && !p.noneNear:
		if b, ok := t.bore(s, w); ok {
			p.how, p.bore = bored, b
		}
	}
	return p
}

// openInSoffit reports whether a soffit that slab w lies on has an opening that service s goes through.
func (t *tape) openInSoffit(s, w put) bool {
	under := w.full.Height().Lo
	for _, j := range t.zone(s.zone).Bays() {
		if math.Abs(t.p.Bays[j].Soffit-under) > rules.MeetEnds {
			continue
		}
		if _, _, _, ok := t.inHole(s.full, t.soffitHole[j]); ok {
			return true
		}
	}
	return false
}

// marginOf returns what is to be left round a service in an opening, and the rule that asks it: the opening's
// own margin, else the project's rule between the two, else the built-in one.
func (t *tape) marginOf(s, w int32, o *void.Opening) (float64, *rules.Rule) {
	if o.HasMargin {
		// Its own rule, not the built-in one, which firm leaves out.
		return o.Margin, &rules.Rule{Name: t.rules.Opening.Name, Basis: rules.Maker}
	}
	if u := t.rules.Between(t.trait(s), t.trait(w)).Around; u.Valid && u.Rule.Row != "" {
		return u.Gap, u.Rule
	}
	return t.rules.Opening.Gap, &t.rules.Opening
}

// bore is the hole that a service wants in a wall or a slab: mid is a point of the cut through its middle, across and rise the two
// directions of that plane, width and height how far the cut reaches along them, as seen from mid.
type bore struct {
	mid, across, rise r3.Vector
	width, height     r1.Interval
	slab              bool
}

// bore returns the hole where service s goes right through wall or slab w: its axis comes in at one face and out at the other.
func (t *tape) bore(s, w put) (b bore, ok bool) {
	S, W, zw := s.full, w.full, t.zone(w.zone)
	b.slab = t.char(w.zone).Kind == "slab"
	normal := r3.Vector{X: W.Across.X, Y: W.Across.Y}
	b.across, b.rise = r3.Vector{X: -W.Across.Y, Y: W.Across.X}, up
	switch {
	case b.slab:
		normal, b.across, b.rise = up, r3.Vector{X: 1}, r3.Vector{Y: 1}
	case zw.Item && W.Along.Norm() < W.W: // a wall given as an upright prism, thin along x
		normal, b.across = b.across, normal
	}
	face := W.Reach(normal)
	// A length goes through where its axis does; an item where it stands out at both faces.
	through := S.Reach(normal)
	p, q := through.Lo, through.Hi
	var room [2]end
	if es := ends(t.zone(s.zone), &S, &room); len(es) > 0 {
		p, q = es[0].at.Dot(normal), es[1].at.Dot(normal)
		if p > q {
			p, q = q, p
		}
	}
	if p > face.Lo-void.Hair || q < face.Hi+void.Hair {
		return b, false
	}
	if d := S.Along.Dot(normal); math.Abs(d) > 1e-9 {
		b.mid = S.Centre.Add(S.Along.Mul((face.Center() - S.Centre.Dot(normal)) / d))
	} else {
		b.mid = S.Centre.Add(normal.Mul(face.Center() - S.Centre.Dot(normal)))
	}
	var okA, okB bool
	b.width, okA = body.CutReach(S, b.mid, normal, b.across)
	b.height, okB = body.CutReach(S, b.mid, normal, b.rise)
	return b, okA && okB
}
