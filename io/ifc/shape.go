package ifc

import (
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r3"
)

// solid is one body of an element: its corners and its flat faces, each the outlines of the face and of its holes by number of corner.
type solid struct {
	pts   []r3.Vector
	faces [][][]int32
	sweep *sweep // where it is a section pushed along a straight line
}

// sweep is a section that is pushed along a straight line.
type sweep struct {
	base   []r3.Vector // corners of the section where it begins
	by     r3.Vector   // to where it ends
	radius float64     // of a circle, else 0
	centre r3.Vector   // of a circle
}

// moved returns the solid elsewhere.
func (s *solid) moved(m matrix) solid {
	out := solid{pts: each(m, s.pts), faces: s.faces}
	if s.sweep != nil {
		by, same := m.alike()
		w := &sweep{base: each(m, s.sweep.base), by: m.turn(s.sweep.by), centre: m.point(s.sweep.centre), radius: s.sweep.radius * by}
		if same || s.sweep.radius == 0 {
			out.sweep = w
		}
	}
	return out
}

// shaper makes solids of what a file says.
type shaper struct {
	f    *File
	unit unit
	// mapped are shapes that many elements use, in their own axes; kept is how many corners they have.
	mapped map[uint32][]solid
	kept   int
	// clipped: of the element at hand something is cut away that is not seen.
	clipped bool
	// steps counts what was read for the element at hand: forms that are made of others may be so many that nobody sees the end.
	steps int
}

// mostSteps is how many forms, curves and sections may be read for one element.
const mostSteps = 1_000_000

func (g *shaper) step(e *entity, depth int) {
	if g.steps++; depth > mostDepth || g.steps > mostSteps {
		e.wrong("more than %d forms, one made of the other, or more than %d for one element", mostDepth, mostSteps)
	}
}

// mostKept is how many corners of mapped shapes are kept: 24 bytes each, and as much again for faces.
const mostKept = 1_000_000

// mostCorners is how many corners one element may have: what is more is no building part but an error.
const mostCorners = 2_000_000

// items reads the items of a representation.
func (g *shaper) items(ids []uint32, depth int) []solid {
	var out []solid
	n := 0
	for _, id := range ids {
		for _, s := range g.item(id, depth) {
			if n += len(s.pts); n > mostCorners {
				e := g.f.get(id)
				e.wrong("a form of more than %d corners", mostCorners)
			}
			out = append(out, s)
		}
	}
	return out
}

// item reads a form.
func (g *shaper) item(id uint32, depth int) []solid {
	f := g.f
	e := f.get(id)
	g.step(&e, depth)
	switch e.kind {
	case "IFCEXTRUDEDAREASOLID":
		return []solid{g.extruded(&e)}
	case "IFCEXTRUDEDAREASOLIDTAPERED":
		return []solid{g.tapered(&e)}
	case "IFCREVOLVEDAREASOLID":
		return []solid{g.revolved(&e)}
	case "IFCSWEPTDISKSOLID", "IFCSWEPTDISKSOLIDPOLYGONAL":
		return g.disk(&e)
	case "IFCBOOLEANCLIPPINGRESULT", "IFCBOOLEANRESULT":
		out := g.item(e.must(1), depth+1)
		if e.str(0) == "UNION" {
			return append(slices.Clone(out), g.item(e.must(2), depth+1)...)
		}
		g.clipped = true
		return out
	case "IFCCSGSOLID":
		return g.item(e.must(0), depth+1)
	case "IFCMAPPEDITEM":
		return g.mappedItem(&e, depth)
	case "IFCFACETEDBREP", "IFCFACETEDBREPWITHVOIDS", "IFCADVANCEDBREP", "IFCADVANCEDBREPWITHVOIDS":
		return g.shells(&e, []uint32{e.must(0)})
	case "IFCSHELLBASEDSURFACEMODEL", "IFCFACEBASEDSURFACEMODEL":
		return g.shells(&e, e.refs(0))
	case "IFCOPENSHELL", "IFCCLOSEDSHELL", "IFCCONNECTEDFACESET":
		return g.shells(&e, []uint32{id})
	case "IFCTRIANGULATEDFACESET", "IFCTRIANGULATEDIRREGULARNETWORK":
		return []solid{g.triangles(&e)}
	case "IFCPOLYGONALFACESET":
		return []solid{g.polygons(&e)}
	case "IFCBLOCK":
		x, y, z := e.num(1), e.num(2), e.num(3)
		c := []r3.Vector{{}, {X: x}, {X: x, Y: y}, {Y: y}}
		return []solid{push(profile{outer: c}, r3.Vector{Z: z}).at(f.axes(e.must(0)))}
	case "IFCRIGHTCIRCULARCYLINDER", "IFCRIGHTCIRCULARCONE":
		h, r := e.num(1), e.num(2)
		p := profile{outer: arc(identity, r, r, 0, 2*math.Pi)[:round], radius: r}
		if e.kind == "IFCRIGHTCIRCULARCONE" {
			tip := make([]r3.Vector, round)
			for i := range tip {
				tip[i].Z = h
			}
			s := band(p.outer, tip)
			s.sweep = nil
			return []solid{s.moved(f.axes(e.must(0)))}
		}
		return []solid{push(p, r3.Vector{Z: h}).at(f.axes(e.must(0)))}
	case "IFCSPHERE":
		r := e.num(1)
		half := arc(matrix{x: r3.Vector{Z: -1}, y: r3.Vector{X: 1}}, r, r, 0, math.Pi)
		return []solid{turned(half, identity, 2*math.Pi).at(f.axes(e.must(0)))}
	case "IFCPOLYLINE", "IFCGEOMETRICCURVESET", "IFCGEOMETRICSET", "IFCTEXTLITERAL", "IFCTEXTLITERALWITHEXTENT", "IFCINDEXEDPOLYCURVE", "IFCANNOTATIONFILLAREA":
		return nil // lines on a plan: no body
	}
	e.wrong("a form that is not read")
	return nil
}

func (s solid) at(m matrix) solid { return s.moved(m) }

// push makes the solid of a section that is pushed along a line.
func push(p profile, by r3.Vector) solid {
	end := func(c []r3.Vector) []r3.Vector {
		out := make([]r3.Vector, len(c))
		for i := range c {
			out[i] = c[i].Add(by)
		}
		return out
	}
	s := band(p.outer, end(p.outer))
	for _, c := range p.inner {
		if len(c) < 3 {
			continue
		}
		in := band(c, end(c))
		base := int32(len(s.pts))
		s.pts = append(s.pts, in.pts...)
		for i, face := range in.faces {
			loop := make([]int32, len(face[0]))
			for k, v := range face[0] {
				loop[k] = v + base
			}
			if i < 2 { // the two ends are holes in those of the outer one
				s.faces[i] = append(s.faces[i], loop)
			} else {
				s.faces = append(s.faces, [][]int32{loop})
			}
		}
	}
	s.sweep = &sweep{base: p.outer, by: by, radius: p.radius, centre: p.centre}
	return s
}

// band joins two outlines of as many corners: the two first faces are the ends, the others the sides.
func band(a, b []r3.Vector) solid {
	n := int32(len(a))
	s := solid{pts: append(slices.Clone(a), b...)}
	from, to := make([]int32, n), make([]int32, n)
	for i := range n {
		from[i], to[n-1-i] = n-1-i, n+n-1-i
	}
	s.faces = append(s.faces, [][]int32{from}, [][]int32{to})
	for i := range n {
		j := (i + 1) % n
		s.faces = append(s.faces, [][]int32{{i, j, n + j, n + i}})
	}
	return s
}

func (g *shaper) extruded(e *entity) solid {
	p := g.profile(e.must(0), 0)
	m := g.f.axes(e.ref(1))
	depth := e.num(3)
	if !(math.Abs(depth) < 1e9) {
		e.wrong("pushed by %g", depth)
	}
	d := g.f.direction(e.must(2), r3.Vector{Z: 1})
	s := push(p, d.Mul(depth))
	return s.moved(m)
}

func (g *shaper) tapered(e *entity) solid {
	a, b := g.profile(e.must(0), 0), g.profile(e.must(4), 0)
	m := g.f.axes(e.ref(1))
	by := g.f.direction(e.must(2), r3.Vector{Z: 1}).Mul(e.num(3))
	for i := range b.outer {
		b.outer[i] = b.outer[i].Add(by)
	}
	if len(a.outer) != len(b.outer) {
		// A square to a round: the hull of both is made where its form is measured; here its corners count.
		s := solid{pts: append(slices.Clone(a.outer), b.outer...)}
		loop := func(from, n int) [][]int32 {
			l := make([]int32, n)
			for i := range l {
				l[i] = int32(from + i)
			}
			return [][]int32{l}
		}
		s.faces = [][][]int32{loop(0, len(a.outer)), loop(len(a.outer), len(b.outer))}
		for i := range a.outer { // sides, by the share of the way round
			j := i * len(b.outer) / len(a.outer)
			s.faces = append(s.faces, [][]int32{{int32(i), int32((i + 1) % len(a.outer)), int32(len(a.outer) + j)}})
		}
		return s.moved(m)
	}
	s := band(a.outer, b.outer)
	return s.moved(m)
}

// turned makes the solid of an outline that is turned about the z axis of m by an angle.
func turned(outline []r3.Vector, m matrix, angle float64) solid {
	n := max(2, int(math.Ceil(math.Abs(angle)/(2*math.Pi/round)-1e-9)))
	k := int32(len(outline))
	var s solid
	for i := 0; i <= n; i++ {
		sin, cos := math.Sincos(angle * float64(i) / float64(n))
		for _, p := range outline {
			q := p.Sub(m.o)
			x, y, z := q.Dot(m.x), q.Dot(m.y), q.Dot(m.z)
			s.pts = append(s.pts, m.point(r3.Vector{X: x*cos - y*sin, Y: x*sin + y*cos, Z: z}))
		}
	}
	end := func(from int32) [][]int32 {
		l := make([]int32, k)
		for i := range l {
			l[i] = from + int32(i)
		}
		return [][]int32{l}
	}
	s.faces = [][][]int32{end(0), end(int32(n) * k)}
	for i := range int32(n) {
		for j := range k {
			l := (j + 1) % k
			s.faces = append(s.faces, [][]int32{{i*k + j, i*k + l, (i+1)*k + l, (i+1)*k + j}})
		}
	}
	return s
}

func (g *shaper) revolved(e *entity) solid {
	p := g.profile(e.must(0), 0)
	m := g.f.axes(e.ref(1))
	axis := g.f.axes(e.must(2))
	angle := e.num(3) * g.unit.angle
	if !(math.Abs(angle) <= 2*math.Pi+1e-6) {
		e.wrong("turned by %g", angle)
	}
	s := turned(p.outer, axis, angle)
	return s.moved(m)
}

// disk makes the solids of a disk that is pushed along a curve: a straight length for each straight piece of it, mitred by neither.
func (g *shaper) disk(e *entity) []solid {
	path := g.curve(e.must(0), 0)
	r := e.num(1)
	if !(r > 0 && r < 1e9) {
		e.wrong("a radius of %g", r)
	}
	path = straightened(path)
	if len(path) < 2 {
		e.wrong("a path of no length")
	}
	if len(path)-1 > mostCorners/(2*round) {
		e.wrong("a path of %d pieces", len(path)-1)
	}
	ring := func(at, d r3.Vector, n int) []r3.Vector {
		m := square(d, r3.Vector{X: 0.36, Y: 0.48, Z: 0.8})
		if math.Abs(d.Z) < 0.999 {
			m = square(d, r3.Vector{Z: 1})
		}
		m.o = at
		return arc(m, r, r, 0, 2*math.Pi)[:n]
	}
	if len(path) == 2 {
		by := path[1].Sub(path[0])
		return []solid{push(profile{outer: ring(path[0], by.Normalize(), round), radius: r, centre: path[0]}, by)}
	}
	// Bent: one mesh, its rings square to the halves of its bends.
	var s solid
	x := square(path[1].Sub(path[0]).Normalize(), r3.Vector{X: 0.36, Y: 0.48, Z: 0.8}).x
	const n = 24
	for i, at := range path {
		before, after := path[max(i-1, 0)], path[min(i+1, len(path)-1)]
		d := after.Sub(before)
		if u, v := at.Sub(before), after.Sub(at); u.Norm() > 0 && v.Norm() > 0 {
			d = u.Normalize().Add(v.Normalize())
		}
		if d.Norm() < 1e-9 {
			d = at.Sub(before)
		}
		m := square(d.Normalize(), x)
		x, m.o = m.x, at
		pts := arc(m, r, r, 0, 2*math.Pi)
		for k := range n {
			s.pts = append(s.pts, pts[k*round/n])
		}
	}
	end := func(from int) [][]int32 {
		l := make([]int32, n)
		for i := range l {
			l[i] = int32(from + i)
		}
		return [][]int32{l}
	}
	s.faces = [][][]int32{end(0), end(len(s.pts) - n)}
	for i := range int32(len(path) - 1) {
		for j := range int32(n) {
			l := (j + 1) % n
			s.faces = append(s.faces, [][]int32{{i*n + j, i*n + l, (i+1)*n + l, (i+1)*n + j}})
		}
	}
	return []solid{s}
}

// straightened takes the corners at which a path does not turn out of it.
func straightened(path []r3.Vector) []r3.Vector {
	var out []r3.Vector
	for _, p := range path {
		if n := len(out); n > 0 && p.Sub(out[n-1]).Norm() == 0 {
			continue
		}
		if n := len(out); n > 1 {
			u, v := out[n-1].Sub(out[n-2]).Normalize(), p.Sub(out[n-1]).Normalize()
			if u.Dot(v) > 0 && u.Cross(v).Norm() < 1e-9 {
				out[n-1] = p
				continue
			}
		}
		out = append(out, p)
	}
	return out
}

func (g *shaper) mappedItem(e *entity, depth int) []solid {
	f := g.f
	source := e.must(0)
	shape, ok := g.mapped[source]
	if !ok {
		mp := f.get(source)
		if mp.kind != "IFCREPRESENTATIONMAP" {
			mp.wrong("where a mapped shape should be")
		}
		rep := f.get(mp.must(1))
		m := f.axes(mp.ref(0))
		for _, s := range g.items(rep.refs(3), depth+1) {
			shape = append(shape, s.moved(m))
		}
		n := 0
		for _, s := range shape {
			n += len(s.pts)
		}
		if g.kept += n; g.kept > mostKept || g.mapped == nil {
			g.mapped, g.kept = map[uint32][]solid{}, n
		}
		g.mapped[source] = shape
	}
	m := f.operator(e.must(1))
	out := make([]solid, len(shape))
	for i := range shape {
		out[i] = shape[i].moved(m)
	}
	return out
}

// shells reads faces of shells into one solid each.
func (g *shaper) shells(e *entity, ids []uint32) []solid {
	f := g.f
	var out []solid
	for _, id := range ids {
		sh := f.get(id)
		switch sh.kind {
		case "IFCOPENSHELL", "IFCCLOSEDSHELL", "IFCCONNECTEDFACESET":
		default:
			sh.wrong("where a shell of faces should be")
		}
		var s solid
		at := map[uint32]int32{}
		corner := func(id uint32) int32 {
			i, ok := at[id]
			if !ok {
				i = int32(len(s.pts))
				at[id] = i
				s.pts = append(s.pts, f.vector(id))
				if len(s.pts) > mostCorners {
					e.wrong("a form of more than %d corners", mostCorners)
				}
			}
			return i
		}
		for _, fid := range sh.refs(0) {
			fa := f.get(fid)
			var face [][]int32
			for _, bid := range fa.refs(0) {
				b := f.get(bid)
				l := f.get(b.must(0))
				var loop []int32
				switch l.kind {
				case "IFCPOLYLOOP":
					for _, p := range l.refs(0) {
						loop = append(loop, corner(p))
					}
				case "IFCEDGELOOP":
					for _, oid := range l.refs(0) {
						loop = append(loop, g.edge(oid, &s)...)
					}
				case "IFCVERTEXLOOP":
					continue
				default:
					l.wrong("an outline of a face that is not read")
				}
				if len(loop) < 3 {
					continue
				}
				if b.kind == "IFCFACEOUTERBOUND" {
					face = slices.Insert(face, 0, loop)
				} else {
					face = append(face, loop)
				}
			}
			if len(face) > 0 {
				s.faces = append(s.faces, face)
			}
		}
		out = append(out, s)
	}
	return out
}

// edge returns the corners of an edge of a curved face but its last one.
func (g *shaper) edge(id uint32, s *solid) []int32 {
	f := g.f
	o := f.get(id)
	ec := f.get(o.must(2))
	a, b := f.vector(ec.must(0)), f.vector(ec.must(1))
	pts := []r3.Vector{a, b}
	if ec.kind == "IFCEDGECURVE" {
		c := f.get(ec.must(2))
		if c.kind == "IFCCIRCLE" || c.kind == "IFCELLIPSE" {
			m, p, q := g.conic(&c)
			angle := func(v r3.Vector) float64 { v = v.Sub(m.o); return math.Atan2(v.Dot(m.y)/q, v.Dot(m.x)/p) }
			from, to := angle(a), angle(b)
			if ec.str(3) != "F" {
				if to <= from+1e-9 {
					to += 2 * math.Pi
				}
			} else if to >= from-1e-9 {
				to -= 2 * math.Pi
			}
			pts = arc(m, p, q, from, to)
		} else if c.kind == "IFCPOLYLINE" {
			pts = g.curve(c.id, 0)
			if pts[0].Sub(a).Norm() > pts[len(pts)-1].Sub(a).Norm() {
				slices.Reverse(pts)
			}
		}
	}
	if o.str(3) == "F" {
		slices.Reverse(pts)
	}
	var loop []int32
	for _, p := range pts[:max(1, len(pts)-1)] {
		loop = append(loop, int32(len(s.pts)))
		s.pts = append(s.pts, p)
	}
	return loop
}

// triangles reads a mesh of triangles.
func (g *shaper) triangles(e *entity) solid {
	s := solid{pts: g.f.points(e.must(0))}
	per := e.arg(4).list // numbers of points behind the corners' own numbers, where they are given
	rows := e.arg(3).list
	s.faces = make([][][]int32, 0, len(rows))
	for _, r := range rows {
		loop := make([]int32, 0, 3)
		for _, v := range r.list {
			loop = append(loop, corner(e, v, per, len(s.pts)))
		}
		if len(loop) > 2 {
			s.faces = append(s.faces, [][]int32{loop})
		}
	}
	return s
}

func corner(e *entity, v value, per []value, n int) int32 {
	i := int(v.num)
	if len(per) > 0 && v.form == number && i >= 1 && i <= len(per) {
		v = per[i-1]
		i = int(v.num)
	}
	if v.form != number || i < 1 || i > n {
		e.wrong("corner %d of %d", i, n)
	}
	return int32(i - 1)
}

func (g *shaper) polygons(e *entity) solid {
	s := solid{pts: g.f.points(e.must(0))}
	per := e.arg(3).list
	loop := func(vs []value) []int32 {
		var l []int32
		for _, v := range vs {
			l = append(l, corner(e, v, per, len(s.pts)))
		}
		return l
	}
	for _, id := range e.refs(2) {
		fa := g.f.get(id)
		face := [][]int32{loop(fa.arg(0).list)}
		for _, hole := range fa.arg(1).list {
			face = append(face, loop(hole.list))
		}
		if len(face[0]) > 2 {
			s.faces = append(s.faces, face)
		}
	}
	return s
}

// Along returns the body of an element that has none but an axis, which is one straight line: as if a section across x high, mm, level across,
// went along it, or a circle of the diameter across where high is 0. ok is false where it has no such axis.
func (m *Model) Along(e *Element, across, high float64) (b Body, ok bool, err error) {
	defer func() {
		if err != nil {
			err = m.Wrong(e.ID, err)
		}
	}()
	defer caught(&err)
	if e.shape == 0 {
		return b, false, nil
	}
	m.g.steps = 0
	shape := m.get(e.shape)
	for _, id := range shape.refs(2) {
		r := m.get(id)
		if r.kind != "IFCSHAPEREPRESENTATION" || !strings.EqualFold(r.str(1), "AXIS") {
			continue
		}
		items := r.refs(3)
		if len(items) != 1 {
			continue
		}
		path := straightened(m.g.curve(items[0], 0))
		if len(path) != 2 {
			continue
		}
		place := m.places.of(e.place)
		place = place.scaled(m.MM)
		place = m.frame.times(place)
		from, to := place.point(path[0]), place.point(path[1])
		by := to.Sub(from)
		if n := by.Norm(); !(n > 1 && n < 1e9) {
			continue
		}
		b.solids = []solid{push(sectionAt(from, by.Normalize(), across, high), by)}
		b.Forms, b.Whole = forms(b.solids)
		return b, true, nil
	}
	return b, false, nil
}

// sectionAt is a section square to d about a point.
func sectionAt(at, d r3.Vector, across, high float64) profile {
	m := square(d, r3.Vector{X: 1})
	if math.Abs(d.Z) < 0.999 {
		m = square(d, d.Cross(r3.Vector{Z: 1}))
	}
	m.o = at
	if high == 0 {
		return profile{outer: arc(m, across/2, across/2, 0, 2*math.Pi)[:round], radius: across / 2, centre: at}
	}
	x, y := m.x.Mul(across/2), m.y.Mul(high/2)
	return profile{outer: []r3.Vector{at.Sub(x).Sub(y), at.Add(x).Sub(y), at.Add(x).Add(y), at.Sub(x).Add(y)}}
}
