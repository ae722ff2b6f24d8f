package ifc

import (
	"math"

	"github.com/golang/geo/r3"
)

// round is into how many straight pieces a full turn is cut; corners lie on the circle, also where it crosses its own axes.
const round = 96

// curve returns the corners of a curve, its arcs cut into straight pieces. A closed one does not repeat its first corner.
func (g *shaper) curve(id uint32, depth int) []r3.Vector {
	f := g.f
	e := f.get(id)
	g.step(&e, depth)
	switch e.kind {
	case "IFCPOLYLINE", "IFCPOLYLOOP":
		ids := e.refs(0)
		out := make([]r3.Vector, len(ids))
		for i, p := range ids {
			out[i] = f.vector(p)
		}
		return out
	case "IFCINDEXEDPOLYCURVE":
		return g.indexed(&e)
	case "IFCCIRCLE", "IFCELLIPSE":
		m, a, b := g.conic(&e)
		return arc(m, a, b, 0, 2*math.Pi)[:round]
	case "IFCTRIMMEDCURVE":
		return g.trimmed(&e, depth)
	case "IFCCOMPOSITECURVE", "IFC2DCOMPOSITECURVE":
		var out []r3.Vector
		for _, s := range e.refs(0) {
			seg := f.get(s)
			if seg.kind != "IFCCOMPOSITECURVESEGMENT" && seg.kind != "IFCREPARAMETRISEDCOMPOSITECURVESEGMENT" {
				seg.wrong("a piece of a curve that is not read")
			}
			c := g.curve(seg.must(2), depth+1)
			if seg.str(1) == "F" {
				for i, j := 0, len(c)-1; i < j; i, j = i+1, j-1 {
					c[i], c[j] = c[j], c[i]
				}
			}
			out = append(out, c...)
		}
		return out
	case "IFCBSPLINECURVE", "IFCBSPLINECURVEWITHKNOTS", "IFCRATIONALBSPLINECURVEWITHKNOTS", "IFCBEZIERCURVE":
		ids := e.refs(1) // the corners that it lies between: the safe, larger outline
		out := make([]r3.Vector, len(ids))
		for i, p := range ids {
			out[i] = f.vector(p)
		}
		return out
	case "IFCEDGECURVE":
		return []r3.Vector{f.vector(e.must(0)), f.vector(e.must(1))}
	}
	e.wrong("a curve that is not read")
	return nil
}

// conic returns axes and half axes of a circle or an ellipse.
func (g *shaper) conic(e *entity) (m matrix, a, b float64) {
	m = g.f.axes(e.must(0))
	a = e.num(1)
	b = a
	if e.kind == "IFCELLIPSE" {
		b = e.num(2)
	}
	return m, a, b
}

// arc returns an arc from one angle to another in straight pieces, both ends with it.
func arc(m matrix, a, b, from, to float64) []r3.Vector {
	n := max(1, int(math.Ceil(math.Abs(to-from)/(2*math.Pi/round)-1e-9)))
	out := make([]r3.Vector, n+1)
	for i := range out {
		s, c := math.Sincos(from + (to-from)*float64(i)/float64(n))
		out[i] = m.point(r3.Vector{X: a * c, Y: b * s})
	}
	return out
}

func (g *shaper) trimmed(e *entity, depth int) []r3.Vector {
	basis := g.f.get(e.must(0))
	forwards := e.str(3) != "F"
	switch basis.kind {
	case "IFCCIRCLE", "IFCELLIPSE":
		m, a, b := g.conic(&basis)
		at := func(i int) float64 {
			var angle float64
			found := false
			for _, v := range e.arg(i).list {
				switch {
				case v.form == typed && v.str == "IFCPARAMETERVALUE" && len(v.list) == 1:
					angle = v.list[0].num * g.unit.angle
					found = true
				case v.form == ref && (!found || e.str(4) == "CARTESIAN"):
					p := g.f.vector(uint32(v.num)).Sub(m.o)
					angle = math.Atan2(p.Dot(m.y)/b, p.Dot(m.x)/a)
					if e.str(4) == "CARTESIAN" {
						return angle
					}
					found = true
				}
			}
			if !found {
				e.wrong("an arc without its end")
			}
			return angle
		}
		from, to := at(1), at(2)
		if !(math.Abs(from) < 1e6 && math.Abs(to) < 1e6) {
			e.wrong("an arc of so many turns")
		}
		turn := 2 * math.Pi
		if forwards {
			to += turn * math.Ceil((from-to)/turn+1e-12)
		} else {
			to -= turn * math.Ceil((to-from)/turn+1e-12)
		}
		return arc(m, a, b, from, to)
	case "IFCLINE":
		o := g.f.vector(basis.must(0))
		v := g.f.get(basis.must(1))
		d := g.f.direction(v.must(0), r3.Vector{X: 1}).Mul(v.num(1))
		at := func(i int) r3.Vector {
			for _, v := range e.arg(i).list {
				if v.form == ref {
					return g.f.vector(uint32(v.num))
				}
			}
			for _, v := range e.arg(i).list {
				if v.form == typed && len(v.list) == 1 {
					return o.Add(d.Mul(v.list[0].num))
				}
			}
			e.wrong("a line without its end")
			return o
		}
		return []r3.Vector{at(1), at(2)}
	}
	return g.curve(e.must(0), depth+1) // of what else may be trimmed the whole: the safe, larger outline
}

func (g *shaper) indexed(e *entity) []r3.Vector {
	pts := g.f.points(e.must(0))
	at := func(v value) r3.Vector {
		i := int(v.num)
		if v.form != number || i < 1 || i > len(pts) {
			e.wrong("corner %d of %d", i, len(pts))
		}
		return pts[i-1]
	}
	if !e.has(1) {
		return pts
	}
	var out []r3.Vector
	for _, s := range e.arg(1).list {
		if s.form != typed || len(s.list) != 1 {
			e.wrong("a piece that is neither a line nor an arc")
		}
		ix := s.list[0].list
		if s.str == "IFCARCINDEX" && len(ix) == 3 {
			out = append(out, through(at(ix[0]), at(ix[1]), at(ix[2]))...)
			continue
		}
		for _, v := range ix {
			out = append(out, at(v))
		}
	}
	return out
}

// through returns the arc from a by way of b to c.
func through(a, b, c r3.Vector) []r3.Vector {
	u, v := b.Sub(a), c.Sub(a)
	n := u.Cross(v)
	if n.Norm() < 1e-9*u.Norm()*v.Norm() || n.Norm() == 0 {
		return []r3.Vector{a, b, c}
	}
	// The middle of the circle round a triangle.
	k := n.Norm2()
	o := a.Add(v.Mul(u.Norm2()).Sub(u.Mul(v.Norm2())).Cross(n).Mul(1 / (2 * k)))
	x := a.Sub(o)
	r := x.Norm()
	m := matrix{x: x.Mul(1 / r), z: n.Normalize(), o: o}
	m.y = m.z.Cross(m.x)
	p := c.Sub(o)
	to := math.Atan2(p.Dot(m.y), p.Dot(m.x))
	if to <= 0 {
		to += 2 * math.Pi
	}
	return arc(m, r, r, 0, to)
}

// points reads a list of coordinates.
func (f *File) points(id uint32) []r3.Vector {
	e := f.get(id)
	if e.kind != "IFCCARTESIANPOINTLIST3D" && e.kind != "IFCCARTESIANPOINTLIST2D" {
		e.wrong("where a list of points should be")
	}
	rows := e.arg(0).list
	out := make([]r3.Vector, len(rows))
	for i, r := range rows {
		c := r.list
		if len(c) < 2 || c[0].form != number || c[1].form != number {
			e.wrong("point %d has no two numbers", i+1)
		}
		out[i] = r3.Vector{X: c[0].num, Y: c[1].num}
		if len(c) > 2 {
			out[i].Z = c[2].num
		}
	}
	return out
}

// tidy takes corners that repeat the one before, and a last one that repeats the first, out of an outline.
func tidy(c []r3.Vector) []r3.Vector {
	out := c[:0:0]
	size := 0.0
	for _, p := range c {
		size = max(size, p.Sub(c[0]).Norm())
	}
	same := func(a, b r3.Vector) bool { return a.Sub(b).Norm() <= 1e-7*size }
	for _, p := range c {
		if len(out) == 0 || !same(out[len(out)-1], p) {
			out = append(out, p)
		}
	}
	for len(out) > 1 && same(out[0], out[len(out)-1]) {
		out = out[:len(out)-1]
	}
	return out
}
