package ifc

import (
	"math"

	"github.com/golang/geo/r3"
)

// profile is the section that is swept: its outline in its own plane, and the outlines of its holes.
type profile struct {
	outer  []r3.Vector
	inner  [][]r3.Vector
	radius float64   // of a circle, else 0
	centre r3.Vector // of a circle
}

// profile reads a section.
func (g *shaper) profile(id uint32, depth int) profile {
	e := g.f.get(id)
	g.step(&e, depth)
	var p profile
	switch e.kind {
	case "IFCARBITRARYCLOSEDPROFILEDEF", "IFCARBITRARYPROFILEDEFWITHVOIDS":
		p.outer = tidy(g.curve(e.must(2), 0))
		if c := g.f.get(e.must(2)); c.kind == "IFCCIRCLE" {
			m, r, _ := g.conic(&c)
			p.radius, p.centre = r, m.o
		}
		if e.kind == "IFCARBITRARYPROFILEDEFWITHVOIDS" {
			for _, c := range e.refs(3) {
				p.inner = append(p.inner, tidy(g.curve(c, 0)))
			}
		}
		if len(p.outer) < 3 {
			e.wrong("a section of fewer than three corners")
		}
		return p
	case "IFCCOMPOSITEPROFILEDEF":
		for _, q := range e.refs(2) {
			p.outer = append(p.outer, g.profile(q, depth+1).outer...)
		}
		p.outer = hull(p.outer) // of several apart the outline round all of them
		return p
	case "IFCDERIVEDPROFILEDEF", "IFCMIRROREDPROFILEDEF":
		p = g.profile(e.must(2), depth+1)
		m := identity
		if e.kind == "IFCMIRROREDPROFILEDEF" {
			m.x.X = -1
		} else {
			m = g.f.operator(e.must(3))
		}
		return p.moved(m)
	}
	at := identity
	if e.has(2) {
		at = g.f.axes(e.ref(2))
	}
	n := func(i int) float64 {
		x := e.num(i)
		if !(x > 0 && x < 1e9) {
			e.wrong("a size of %g", x)
		}
		return x
	}
	v := func(xy ...float64) []r3.Vector {
		var out []r3.Vector
		for i := 0; i < len(xy); i += 2 {
			out = append(out, r3.Vector{X: xy[i], Y: xy[i+1]})
		}
		return out
	}
	box := func(w, h float64) []r3.Vector { return v(-w/2, -h/2, w/2, -h/2, w/2, h/2, -w/2, h/2) }
	switch e.kind {
	case "IFCRECTANGLEPROFILEDEF", "IFCROUNDEDRECTANGLEPROFILEDEF":
		p.outer = box(n(3), n(4))
	case "IFCRECTANGLEHOLLOWPROFILEDEF":
		p.outer = box(n(3), n(4))
		if t := 2 * n(5); t < n(3) && t < n(4) {
			p.inner = [][]r3.Vector{box(n(3)-t, n(4)-t)}
		}
	case "IFCCIRCLEPROFILEDEF", "IFCCIRCLEHOLLOWPROFILEDEF":
		p.radius = n(3)
		p.outer = arc(identity, p.radius, p.radius, 0, 2*math.Pi)[:round]
		if e.kind == "IFCCIRCLEHOLLOWPROFILEDEF" {
			if r := p.radius - n(4); r > 0 {
				p.inner = [][]r3.Vector{arc(identity, r, r, 0, 2*math.Pi)[:round]}
			}
		}
	case "IFCELLIPSEPROFILEDEF":
		p.outer = arc(identity, n(3), n(4), 0, 2*math.Pi)[:round]
	case "IFCISHAPEPROFILEDEF":
		w, h, web, t := n(3), n(4), n(5), n(6)
		p.outer = v(-w/2, -h/2, w/2, -h/2, w/2, -h/2+t, web/2, -h/2+t, web/2, h/2-t, w/2, h/2-t, w/2, h/2, -w/2, h/2, -w/2, h/2-t, -web/2, h/2-t, -web/2, -h/2+t, -w/2, -h/2+t)
	case "IFCASYMMETRICISHAPEPROFILEDEF":
		w, h, web, t, top := n(3), n(4), n(5), n(6), n(8)
		p.outer = v(-w/2, -h/2, w/2, -h/2, w/2, -h/2+t, web/2, -h/2+t, web/2, h/2-t, top/2, h/2-t, top/2, h/2, -top/2, h/2, -top/2, h/2-t, -web/2, h/2-t, -web/2, -h/2+t, -w/2, -h/2+t)
	case "IFCLSHAPEPROFILEDEF":
		h, t := n(3), n(5)
		w := h
		if e.has(4) {
			w = n(4)
		}
		p.outer = v(-w/2, -h/2, w/2, -h/2, w/2, -h/2+t, -w/2+t, -h/2+t, -w/2+t, h/2, -w/2, h/2)
	case "IFCTSHAPEPROFILEDEF":
		h, w, web, t := n(3), n(4), n(5), n(6)
		p.outer = v(-w/2, h/2, -w/2, h/2-t, -web/2, h/2-t, -web/2, -h/2, web/2, -h/2, web/2, h/2-t, w/2, h/2-t, w/2, h/2)
	case "IFCUSHAPEPROFILEDEF":
		h, w, web, t := n(3), n(4), n(5), n(6)
		p.outer = v(-w/2, -h/2, w/2, -h/2, w/2, -h/2+t, -w/2+web, -h/2+t, -w/2+web, h/2-t, w/2, h/2-t, w/2, h/2, -w/2, h/2)
	case "IFCCSHAPEPROFILEDEF":
		h, w, t, lip := n(3), n(4), n(5), n(6)
		p.outer = v(-w/2, -h/2, w/2, -h/2, w/2, -h/2+lip, w/2-t, -h/2+lip, w/2-t, -h/2+t, -w/2+t, -h/2+t, -w/2+t, h/2-t, w/2-t, h/2-t, w/2-t, h/2-lip, w/2, h/2-lip, w/2, h/2, -w/2, h/2)
	case "IFCZSHAPEPROFILEDEF":
		h, w, web, t := n(3), n(4), n(5), n(6)
		p.outer = v(-web/2, -h/2, w-web/2, -h/2, w-web/2, -h/2+t, web/2, -h/2+t, web/2, h/2, -w+web/2, h/2, -w+web/2, h/2-t, -web/2, h/2-t)
	case "IFCTRAPEZIUMPROFILEDEF":
		b, top, h, off := n(3), n(4), n(5), e.num(6)
		p.outer = v(-b/2, -h/2, b/2, -h/2, -b/2+off+top, h/2, -b/2+off, h/2)
	default:
		e.wrong("a section that is not read")
	}
	return p.moved(at)
}

// moved returns the section somewhere else in its plane.
func (p profile) moved(m matrix) profile {
	by, same := m.alike()
	q := profile{radius: p.radius * by, centre: m.point(p.centre), outer: each(m, p.outer)}
	if !same {
		q.radius = 0
	}
	for _, c := range p.inner {
		q.inner = append(q.inner, each(m, c))
	}
	return q
}

func each(m matrix, pts []r3.Vector) []r3.Vector {
	out := make([]r3.Vector, len(pts))
	for i, p := range pts {
		out[i] = m.point(p)
	}
	return out
}
