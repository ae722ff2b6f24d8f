package clash

import (
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/finding"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Distance is a measured distance between two points, for a drawing to dimension. Of an overlap it is from the
// underside of the upper to the top of the lower: by so much one of them would have to rise or drop.
type Distance struct {
	From, To r3.Vector
	MM       float64
	Overlap  bool
}

// View is a section with what is told on it.
type View struct {
	Cut      void.Section
	Supports []support.Cut
	Stack    *Stack    // over the point of the cut at s = StackAt; nil for none
	StackAt  float64   // mm along the cut
	Between  *Distance // of the finding; nil without one, and where it has none
}

// How far a section shows more than its bay, and takes a finding to lie in its plane, mm.
const (
	viewBeyond = 300.0 // half of a beam on the grid line, and some
	inPlane    = 25.0  // nearer makes no difference that one sees
)

// View cuts a bay by a plane; the stack is told at the finding, nil for none at the middle of the bay. What the plane cuts of supports comes from
// their plan. It returns false for a plane that does not cut the bay.
func (c *Check) View(bay int, plane body.Plane, f *finding.Finding, held *support.Plan) (View, bool) {
	cut, ok := c.Project.Section(bay, plane, viewBeyond)
	if !ok {
		return View{}, false
	}
	v := View{Cut: cut, Supports: held.Cut(cut), StackAt: cut.Inside.Center()}
	over := func() {
		at := plane.Point(v.StackAt, 0)
		s := c.StackOver(bay, r2.Point{X: at.X, Y: at.Y})
		v.Stack = &s
	}
	if f == nil {
		over()
		return v, true
	}
	v.StackAt = cut.Inside.ClampPoint(plane.Along(r3.Vector{X: f.At.X, Y: f.At.Y}))
	if d, ok := c.Between(f); ok {
		v.Between = &d
	}
	over()
	if slices.ContainsFunc(v.Stack.Layers, func(l Layer) bool { return l.Kind == ZoneLayer }) {
		return v, true
	}
	// Between two things that stand side by side there is nothing over the point: the stack is told over what gives way.
	for i := range cut.Pieces {
		q := &cut.Pieces[i]
		if o, ok := q.Outer(); ok && c.Project.Zone(q.Zone).ID == f.GivesWay {
			if e := r2.RectFromPoints(o.Outline...).X.Intersection(cut.Inside); !e.IsEmpty() {
				v.StackAt = e.Center()
				over()
			}
		}
	}
	return v, true
}

// InPlane reports whether a finding lies in an upright plane, or as near as makes no difference.
func InPlane(f *finding.Finding, plane body.Plane) bool {
	return math.Abs(plane.Beyond(r3.Vector{X: f.At.X, Y: f.At.Y})) <= inPlane
}

// PlaneThrough returns the upright plane, square to the grid, that shows a finding best, and the index of its
// bay: through the finding's place, so that it cuts both of the two, and square to their runs (rather to that of
// what gives way), rather across a long bay than along it, and not along the inside of a wall, a beam or a duct, which would fill the picture. Of a finding about supports it goes by their row, and so rather across
// that, where it shows rods and channel. It returns false for a finding outside every bay.
func (c *Check) PlaneThrough(f *finding.Finding) (bay int, plane body.Plane, ok bool) {
	bay, ok = c.bayOf(f)
	if !ok {
		return 0, plane, false
	}
	b := &c.Project.Bays[bay]
	clamp := func(v, lo, hi float64) float64 { return math.Max(lo, math.Min(hi, v)) }
	across := b.AcrossX(clamp(f.At.X, b.Plan.X.Lo, b.Plan.X.Hi))
	along := b.AcrossY(clamp(f.At.Y, b.Plan.Y.Lo, b.Plan.Y.Hi))
	// How much each of the two planes shows: it cuts the two, and cuts them square.
	var x, y float64
	add := func(id string, weight float64) {
		i, ok := c.Project.ZoneByID(id)
		if !ok {
			return
		}
		if _, cut := body.Cut(c.Full(int32(i)), across); cut {
			x += weight
		}
		if _, cut := body.Cut(c.Full(int32(i)), along); cut {
			y += weight
		}
		if c.Project.Zone(i).Item {
			return
		}
		a := c.Full(int32(i)).Along
		if n := a.Norm(); n > 0 {
			x += weight * math.Abs(a.X) / n
			y += weight * math.Abs(a.Y) / n
		}
	}
	_, row := void.Identity(f.A) // of supports their row; a ceiling's bay is no zone
	add(row, 1)
	if f.B != nil {
		_, row = void.Identity(*f.B)
		add(row, 1)
	}
	add(f.GivesWay, 0.3)
	// A corridor is shown across.
	if l, w := b.Plan.X.Length(), b.Plan.Y.Length(); l > w {
		x += 1 - w/l
	} else {
		y += 1 - l/w
	}
	// What leads is looked at first: where little fills it, it leads whatever fills the other.
	lead, other, by := along, across, y-x
	if x > y {
		lead, other, by = across, along, x-y
	}
	if f := full * c.fills(bay, lead); f > by && f-full*c.fills(bay, other) > by {
		lead = other
	}
	return bay, lead, true
}

// full is how much a picture that is all filled weighs against it; more than that a plane runs along both of the two.
const full = 3.0

// fills returns how much of what a section shows of a bay is filled by what it cuts, 0 to 1, largest piece by largest piece: a wall that the plane runs
// inside fills it.
func (c *Check) fills(bay int, plane body.Plane) float64 {
	cut, ok := c.Project.Section(bay, plane, 0)
	if !ok {
		return 1
	}
	b := &c.Project.Bays[bay]
	low := c.Project.Storeys[b.Storey].FFL
	if b.HasCeiling {
		low = b.Ceiling
	}
	window := r2.RectFromPoints(r2.Point{X: cut.Inside.Lo, Y: low}, r2.Point{X: cut.Inside.Hi, Y: b.Soffit})
	all := window.X.Length() * window.Y.Length()
	if all <= 0 {
		return 0
	}
	most := 0.0
	for i := range cut.Pieces {
		if o, ok := cut.Pieces[i].Outer(); ok {
			if r := r2.RectFromPoints(o.Outline...).Intersection(window); !r.IsEmpty() {
				most = math.Max(most, r.X.Length()*r.Y.Length()/all)
			}
		}
	}
	return most
}

// bayOf returns the index of a finding's bay.
func (c *Check) bayOf(f *finding.Finding) (int, bool) {
	if f.Bay == nil {
		return 0, false
	}
	for i := range c.Project.Bays {
		if b := &c.Project.Bays[i]; b.Label == *f.Bay && c.Project.Storeys[b.Storey].Name == f.Storey {
			return i, true
		}
	}
	return 0, false
}

// Between measures a finding again for a drawing: the two points between which its gap lies, or the upright
// depth of an overlap at its place. It returns false where the finding has no such distance (access), or
// where the one at its place is not the one that it was judged by (falling bodies that overlap).
func (c *Check) Between(f *finding.Finding) (Distance, bool) {
	at := r2.Point{X: f.At.X, Y: f.At.Y}
	point := func(z float64) r3.Vector { return r3.Vector{X: at.X, Y: at.Y, Z: z} }
	if f.Kind == finding.Access || f.B == nil {
		return Distance{}, false
	}
	upright := f.Gap
	if f.Kind == finding.Overlap {
		if f.Depth == nil {
			return Distance{}, false
		}
		upright = -f.Depth.Vertical
	}
	// A ceiling or a soffit is level: the other end is known by the amount.
	ceiling := func(id string) (float64, float64, bool) {
		bay, ok := c.bayOf(f)
		if !ok {
			return 0, 0, false
		}
		b := &c.Project.Bays[bay]
		switch {
		case strings.EqualFold(id, b.CeilingID()):
			return b.Top, b.Top + upright, true
		case strings.EqualFold(id, b.SoffitID()):
			return b.Soffit - upright, b.Soffit, true
		}
		return 0, 0, false
	}
	for _, id := range []string{f.A, *f.B} {
		if lo, hi, ok := ceiling(id); ok {
			return Distance{point(lo), point(hi), math.Abs(upright), f.Kind == finding.Overlap}, true
		}
	}
	i, okA := c.Project.ZoneByID(f.A)
	j, okB := c.Project.ZoneByID(*f.B)
	if !okA || !okB {
		return Distance{}, false
	}
	a, b := c.Full(int32(i)), c.Full(int32(j))
	if f.Kind == finding.Overlap || f.Side == cell.Above || f.Side == cell.Below {
		alo, ahi, okA := over(a, at)
		blo, bhi, okB := over(b, at)
		if okA && okB {
			lo, hi := ahi, blo // a under b
			if alo+ahi > blo+bhi {
				lo, hi = bhi, alo
			}
			if d := hi - lo; math.Abs(d-upright) <= 0.1+void.Hair {
				return Distance{point(lo), point(hi), math.Abs(d), f.Kind == finding.Overlap}, true
			}
		}
		if f.Kind == finding.Overlap {
			return Distance{}, false
		}
	}
	m := body.Gap(a, b)
	if f.Side == cell.Beside {
		if s, ok := body.Beside(a, b); ok {
			m = s
		}
	}
	if m.MM <= 0 || math.Abs(m.MM-f.Gap) > 0.1+void.Hair {
		return Distance{}, false
	}
	return Distance{m.A, m.B, m.MM, false}, true
}
