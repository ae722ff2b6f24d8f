package measure

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// How a service gets through structure: through an opening made for it, through a hole that is yet to be made in a wall or a
// slab, or not at all.

// IsWall reports whether holes are made through what is of a kind, so that a service through it is builder's work.
func IsWall(kind string) bool { return kind == "wall" || kind == "slab" || kind == "cavity barrier" }

// Way is whether a service gets through structure.
type Way uint8

const (
	solid  Way = iota // it does not get through
	Passes            // through an opening
	Bored             // through a hole to be made
)

// Passage is how a service gets through a beam, a wall or a slab.
type Passage struct {
	How  Way
	In   InOpening // the opening that it passes, or comes nearest to; without one where a soffit's opening is meant
	Room float64   // between it and the edge of that opening, mm; negative where it is outside
	Bore Bore      // the hole to be made
	// Missed says that it is outside an opening that is meant for it; noneNear that none of the openings is.
	Missed, NoneNear bool
}

// passage says how service s gets through structure w.
func (t *Tape) passage(s, w scene.Put) (p Passage) {
	kind := t.Char(w.Zone).Kind
	wall := IsWall(kind)
	if os := t.OpeningsIn[w.Zone]; len(os) > 0 {
		found, near := false, false
		p.Room = math.Inf(-1)
		for _, o := range os {
			if in, ok := Passing(s.Full, w.Full, t.Zone(w.Zone), &t.Project.Openings[o]); ok {
				near = near || in.meets()
				if room := in.room(r2.Point{}); room > p.Room {
					p.Room, p.In, found = room, in, true
				}
			}
		}
		if wall && !near {
			found = false // no opening is meant for it
		}
		switch {
		case found && p.Room >= -void.Hair:
			p.How = Passes
			return p
		case wall && !near:
		case found:
			p.Missed = true
		default:
			p.NoneNear = true
		}
	}
	switch {
	case !wall:
	case kind == "slab" && t.openInSoffit(s, w):
		p.How, p.In = Passes, InOpening{}
	case !p.Missed && !p.NoneNear:
		if b, ok := t.bore(s, w); ok {
			p.How, p.Bore = Bored, b
		}
	}
	return p
}

// openInSoffit reports whether a soffit that slab w lies on has an opening that service s goes through.
func (t *Tape) openInSoffit(s, w scene.Put) bool {
	under := w.Full.Height().Lo
	for _, j := range t.Zone(s.Zone).Bays() {
		if math.Abs(t.Project.Bays[j].Soffit-under) > rules.MeetEnds {
			continue
		}
		if _, _, _, ok := t.InHole(s.Full, t.SoffitHole[j]); ok {
			return true
		}
	}
	return false
}

// MarginOf returns what is to be left round a service in an opening, and the rule that asks it: the opening's
// own margin, else the project's rule between the two, else the built-in one.
func (t *Tape) MarginOf(s, w int32, o *void.Opening) (float64, *rules.Rule) {
	if o.HasMargin {
		// Its own rule, not the built-in one, which firm leaves out.
		return o.Margin, &rules.Rule{Name: t.Set.Opening.Name, Basis: rules.Maker}
	}
	if u := t.Set.Between(t.Trait(s), t.Trait(w)).Around; u.Valid && u.Rule.Row != "" {
		return u.Gap, u.Rule
	}
	return t.Set.Opening.Gap, &t.Set.Opening
}

// Bore is the hole that a service wants in a wall or a slab: mid is a point of the cut through its middle, across and rise the two
// directions of that plane, width and height how far the cut reaches along them, as seen from mid.
type Bore struct {
	Mid, Across, Rise r3.Vector
	Width, Height     r1.Interval
	Slab              bool
}

// bore returns the hole where service s goes right through wall or slab w: its axis comes in at one face and out at the other.
func (t *Tape) bore(s, w scene.Put) (b Bore, ok bool) {
	S, W, zw := s.Full, w.Full, t.Zone(w.Zone)
	b.Slab = t.Char(w.Zone).Kind == "slab"
	normal := r3.Vector{X: W.Across.X, Y: W.Across.Y}
	b.Across, b.Rise = r3.Vector{X: -W.Across.Y, Y: W.Across.X}, scene.Up
	switch {
	case b.Slab:
		normal, b.Across, b.Rise = scene.Up, r3.Vector{X: 1}, r3.Vector{Y: 1}
	case zw.Item && W.Along.Norm() < W.W: // a wall given as an upright prism, thin along x
		normal, b.Across = b.Across, normal
	}
	face := W.Reach(normal)
	// A length goes through where its axis does; an item where it stands out at both faces.
	through := S.Reach(normal)
	p, q := through.Lo, through.Hi
	var room [2]End
	if es := Ends(t.Zone(s.Zone), &S, &room); len(es) > 0 {
		p, q = es[0].At.Dot(normal), es[1].At.Dot(normal)
		if p > q {
			p, q = q, p
		}
	}
	if p > face.Lo-void.Hair || q < face.Hi+void.Hair {
		return b, false
	}
	if d := S.Along.Dot(normal); math.Abs(d) > 1e-9 {
		b.Mid = S.Centre.Add(S.Along.Mul((face.Center() - S.Centre.Dot(normal)) / d))
	} else {
		b.Mid = S.Centre.Add(normal.Mul(face.Center() - S.Centre.Dot(normal)))
	}
	var okA, okB bool
	b.Width, okA = body.CutReach(S, b.Mid, normal, b.Across)
	b.Height, okB = body.CutReach(S, b.Mid, normal, b.Rise)
	return b, okA && okB
}
