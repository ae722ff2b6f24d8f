package void

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// Section is the cut through a bay by an upright plane: what the plane truly cuts, in section coordinates
// (s along the cut, z above the project datum), mm.
type Section struct {
	Bay   int
	Plane body.Plane
	// Inside is the stretch of s over the bay's plan, Shown the stretch that was asked for, a little beyond.
	Inside, Shown r1.Interval
	Pieces        []Piece       // by zone
	Holes         []SectionGap  // openings that the plane cuts, in the order of Project.Openings
	Rooms         []SectionRoom // access spaces that the plane cuts, in the order of Project.Spaces
	Layers        []SectionLayer
	Grid          []SectionMark // grid lines that the cut crosses in Shown, by s
}

// Piece is the cut of one zone. Of its three cuts at least one is there.
type Piece struct {
	Zone int
	// Bare is the bare section; nil where the plane meets only what is round it or hangs under it.
	Bare *body.Section
	// Full is with joint, insulation and top; nil where it is the bare section.
	Full *body.Section
	// Hang is what hangs under it: channel, plate, nut, rod tail; nil where nothing does.
	Hang *body.Section
}

// Outer returns the outermost cut of the service itself, false where only its hanger is cut.
func (p *Piece) Outer() (*body.Section, bool) {
	if p.Full != nil {
		return p.Full, true
	}
	return p.Bare, p.Bare != nil
}

// SectionGap is the cut of an opening.
type SectionGap struct {
	Opening int // index into Project.Openings
	Cut     body.Section
}

// SectionRoom is the cut of an access space.
type SectionRoom struct {
	Space int // index into Project.Spaces
	Cut   body.Section
}

// SectionLayer is one layer of the ceiling's build-up with its levels above the project datum.
type SectionLayer struct {
	Layer
	Z r1.Interval
}

// SectionMark is a grid line that crosses the cut.
type SectionMark struct {
	Label string
	S     float64
}

// Middle returns the plane through the middle of a bay that shows its longer side.
func (b *Bay) Middle() body.Plane {
	c := b.Plan.Center()
	if b.Plan.Y.Length() > b.Plan.X.Length() {
		return b.AcrossX(c.X)
	}
	return b.AcrossY(c.Y)
}

// AcrossX returns the plane x = at through a bay: s runs north from the bay's south side, and one looks west.
func (b *Bay) AcrossX(at float64) body.Plane {
	return body.Plane{At: r2.Point{X: at, Y: b.Plan.Y.Lo}, Dir: r2.Point{Y: 1}}
}

// AcrossY returns the plane y = at through a bay: s runs east from the bay's west side, and one looks north.
func (b *Bay) AcrossY(at float64) body.Plane {
	return body.Plane{At: r2.Point{X: b.Plan.X.Lo, Y: at}, Dir: r2.Point{X: 1}}
}

// far reports whether a body, with so much round it, lies wholly to one side of a plane or beside what a section shows: most do, and are looked at no
// further.
func far(b *body.Body, plane body.Plane, s *Section, round float64) bool {
	reach := math.Hypot(b.Along.X, b.Along.Y) + b.W + b.H + round
	at := plane.Along(b.Centre)
	return math.Abs(plane.Beyond(b.Centre)) > reach || at < s.Shown.Lo-reach || at > s.Shown.Hi+reach
}

// Section cuts a bay and what lies up to beyond mm outside it along the cut. It returns false where the
// plane misses the bay's plan.
//
// A plane that only touches a body cuts it where the body lies behind the plane and not where it lies before
// it: a cut where two pieces of a run meet shows one of them. The rows that stand in the bay's storey count, those
// known by height alone in their own bay.
func (p *Project) Section(bay int, plane body.Plane, beyond float64) (Section, bool) {
	b := &p.Bays[bay]
	s := Section{Bay: bay, Plane: plane}
	floor, ok := body.Cut(body.Upright(b.Plan, r1.Interval{Hi: 1}), plane)
	if !ok {
		return s, false
	}
	s.Inside = reach(floor.Outline)
	if s.Inside.Length() <= Hair {
		return s, false
	}
	s.Shown = s.Inside.Expanded(beyond)
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone || !p.Stands(z, bay) || z.ByHeight && int(z.Bay) != bay {
			continue
		}
		q := Piece{Zone: i}
		bare := z.Bare()
		if far(&bare, plane, &s, hangWider+z.Grow+z.Top) {
			continue
		}
		if c, ok := p.cut(&s, bare); ok {
			q.Bare = &c
		}
		full := z.Around(bare)
		if z.Grow > 0 || z.Top > 0 {
			if c, ok := p.cut(&s, full); ok {
				q.Full = &c
			}
		}
		if hang, ok := p.HangFrom(z, full); ok {
			if c, ok := p.cut(&s, hang); ok {
				q.Hang = &c
			}
		}
		if q.Bare != nil || q.Full != nil || q.Hang != nil {
			s.Pieces = append(s.Pieces, q)
		}
	}
	for i := range p.Openings {
		o := &p.Openings[i]
		if in, ok := p.openingBody(o); ok && p.openingStorey(o) == b.Storey {
			if c, ok := p.cut(&s, in); ok {
				s.Holes = append(s.Holes, SectionGap{i, c})
			}
		}
	}
	for i := range p.Spaces {
		r := &p.Spaces[i]
		if !r.Open || int(p.Zone(int(r.For)).Storey) != b.Storey {
			continue
		}
		if c, ok := p.cut(&s, r.Body); ok {
			s.Rooms = append(s.Rooms, SectionRoom{i, c})
		}
	}
	if b.HasCeiling && b.BuildUp >= 0 {
		at := b.Ceiling
		for _, l := range p.BuildUps[b.BuildUp].Layers {
			s.Layers = append(s.Layers, SectionLayer{l, r1.Interval{Lo: at, Hi: at + l.Thickness}})
			at += l.Thickness
		}
	}
	for axis, lines := range [][]GridLine{p.GridX, p.GridY} {
		at, d := plane.At.X, plane.Dir.X
		if axis == 1 {
			at, d = plane.At.Y, plane.Dir.Y
		}
		for _, l := range lines {
			if math.Abs(d) < 1e-9 {
				break // the cut runs along these
			}
			if v := (l.Position - at) / d; s.Shown.Contains(v) {
				s.Grid = append(s.Grid, SectionMark{l.Label, v})
			}
		}
	}
	sortMarks(s.Grid)
	return s, true
}

// cut cuts a body by the section's plane where it reaches into what is shown.
func (p *Project) cut(s *Section, b body.Body) (body.Section, bool) {
	n := s.Plane.Dir.Ortho()
	at := s.Plane.At.Dot(n)
	r := b.Reach(r3.Vector{X: n.X, Y: n.Y})
	if r.Lo > at+Hair || r.Hi < at-Hair || r.Hi <= at+Hair && r.Lo < at-Hair {
		return body.Section{}, false
	}
	plane := s.Plane
	if off := r.Lo - at; math.Abs(off) <= Hair && r.Hi > at+Hair {
		plane.At = plane.At.Add(n.Mul(off + 1e-6)) // just inside: a face in the plane is found whole
	}
	c, ok := body.Cut(b, plane)
	if !ok {
		return c, false
	}
	e := reach(c.Outline)
	return c, e.Hi >= s.Shown.Lo && e.Lo <= s.Shown.Hi
}

// reach returns the stretch of s that an outline covers.
func reach(outline []r2.Point) r1.Interval {
	e := r1.EmptyInterval()
	for _, q := range outline {
		e = e.AddPoint(q.X)
	}
	return e
}

func sortMarks(m []SectionMark) {
	for i := 1; i < len(m); i++ {
		for j := i; j > 0 && m[j].S < m[j-1].S; j-- {
			m[j], m[j-1] = m[j-1], m[j]
		}
	}
}

// openingStorey returns the storey that an opening belongs to.
func (p *Project) openingStorey(o *Opening) int {
	if o.In >= 0 {
		return int(p.Zone(int(o.In)).Storey)
	}
	return p.Bays[o.Bay].Storey
}

// openingBody returns the room of an opening through the beam or wall that it is in, as wide as that is. It
// returns false for an opening in a soffit or a ceiling, which is level and has no depth of its own.
func (p *Project) openingBody(o *Opening) (body.Body, bool) {
	if o.In < 0 {
		return body.Body{}, false
	}
	host := p.Zone(int(o.In)).Bare()
	through := host.W
	if host.Round || through <= 0 {
		return body.Body{}, false
	}
	d := r3.Vector{X: -o.Across.Y, Y: o.Across.X}
	if o.Round {
		return body.Cylinder(o.Centre.Sub(d.Mul(through)), o.Centre.Add(d.Mul(through)), 2*o.HalfA), true
	}
	return body.Body{
		Centre: o.Centre, Along: o.Across.Mul(o.HalfA), Across: r2.Point{X: d.X, Y: d.Y}, W: through, H: o.HalfB,
	}, true
}
