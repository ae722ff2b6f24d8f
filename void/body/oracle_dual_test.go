package body_test

// The smoothed dual. Every measure here is a question to a convex set K that is a sum of a point,
// segments and disks, whose reach h(n) along n is therefore a plain sum
//
//	h(n) = c·n + Σ |g·n| + Σ r |n less its part along the axis|
//
// and every measure is the least value of  ½ Σ rho w² + h(n0 + U w)  over one, two or three numbers w:
//
//	distance           n0 = 0, U all of space, rho = 1
//	end of a span      n0·dir = 1, U square to dir, rho = 0
//	distance in a cut  n0 = 0, U all of space, rho = 1 in plan and 0 upright
//	reach of a cut     n0 = the direction, U = the normal of the plane, rho = 0
//
// Each |x| is rounded off to sqrt(x² + mu²), the sum is minimised by Newton steps, and mu goes to
// nothing. Any w gives one bound (the value of the true sum there), and the slopes of the rounded
// terms are factors between -1 and 1, so they give a point of K, which is the other bound. Doubled
// precision (about 31 figures) lets mu become small enough on lengths that are nearly parallel.

import (
	"math"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// dd is a number of about 31 figures: the sum of two floats, the second less than half the last
// place of the first.
type dd struct{ h, l float64 }

func fl(x float64) dd { return dd{x, 0} }

func quickSum(a, b float64) dd {
	s := a + b
	return dd{s, b - (s - a)}
}

func twoSum(a, b float64) dd {
	s := a + b
	v := s - a
	return dd{s, (a - (s - v)) + (b - v)}
}

func (x dd) add(y dd) dd {
	s, t := twoSum(x.h, y.h), twoSum(x.l, y.l)
	s = quickSum(s.h, s.l+t.h)
	return quickSum(s.h, s.l+t.l)
}

func (x dd) neg() dd     { return dd{-x.h, -x.l} }
func (x dd) sub(y dd) dd { return x.add(y.neg()) }

func (x dd) mul(y dd) dd {
	p := float64(x.h * y.h)
	e := math.FMA(x.h, y.h, -p)
	return quickSum(p, e+(float64(x.h*y.l)+float64(x.l*y.h)))
}

func (x dd) div(y dd) dd {
	q1 := x.h / y.h
	r := x.sub(y.mul(fl(q1)))
	q2 := r.h / y.h
	r = r.sub(y.mul(fl(q2)))
	return quickSum(q1, q2).add(fl(r.h / y.h))
}

func (x dd) sqrt() dd {
	if x.h <= 0 {
		return dd{}
	}
	i := 1 / math.Sqrt(x.h)
	a := fl(x.h * i)
	return a.add(fl(x.sub(a.mul(a)).h * i / 2))
}

func (x dd) abs() dd {
	if x.h < 0 {
		return x.neg()
	}
	return x
}

func (x dd) f() float64 { return x.h + x.l }

type dvec [3]dd

func dv(v r3.Vector) dvec            { return dvec{fl(v.X), fl(v.Y), fl(v.Z)} }
func (v dvec) r3() r3.Vector         { return r3.Vector{X: v[0].f(), Y: v[1].f(), Z: v[2].f()} }
func (v dvec) add(w dvec) dvec       { return dvec{v[0].add(w[0]), v[1].add(w[1]), v[2].add(w[2])} }
func (v dvec) sub(w dvec) dvec       { return dvec{v[0].sub(w[0]), v[1].sub(w[1]), v[2].sub(w[2])} }
func (v dvec) mul(k dd) dvec         { return dvec{v[0].mul(k), v[1].mul(k), v[2].mul(k)} }
func (v dvec) dot(w dvec) dd         { return v[0].mul(w[0]).add(v[1].mul(w[1])).add(v[2].mul(w[2])) }
func (v dvec) norm() dd              { return v.dot(v).sqrt() }
func (v dvec) reject(unit dvec) dvec { return v.sub(unit.mul(unit.dot(v))) }
func (v dvec) cross(w dvec) (c dvec) {
	for i := range c {
		j, k := (i+1)%3, (i+2)%3
		c[i] = v[j].mul(w[k]).sub(v[k].mul(w[j]))
	}
	return c
}

// disk is a flat disk about the origin: r is its radius, e its unit axis.
type disk struct {
	r dd
	e dvec
}

// convexSum is a point c plus segments from -g to +g plus disks.
type convexSum struct {
	c     dvec
	segs  []dvec
	disks []disk
}

func (k *convexSum) take(s body.Body, scale float64) {
	m := fl(scale)
	along := dv(s.Along)
	k.segs = append(k.segs, along.mul(m))
	if s.Round {
		k.disks = append(k.disks, disk{fl(s.W).mul(m), along.mul(fl(1).div(along.norm()))})
		return
	}
	k.segs = append(k.segs,
		dvec{fl(s.W).mul(fl(s.Across.X)).mul(m), fl(s.W).mul(fl(s.Across.Y)).mul(m), dd{}},
		dvec{dd{}, dd{}, fl(s.H).mul(m)})
}

// difference returns b - a, every length times scale.
func difference(a, b body.Body, scale float64) convexSum {
	k := convexSum{c: dv(b.Centre).sub(dv(a.Centre)).mul(fl(scale))}
	k.take(a, scale)
	k.take(b, scale)
	return k
}

func (k convexSum) reach(n dvec) dd {
	s := k.c.dot(n)
	for _, g := range k.segs {
		s = s.add(g.dot(n).abs())
	}
	for _, d := range k.disks {
		s = s.add(d.r.mul(n.reject(d.e).norm()))
	}
	return s
}

// rounding is one state of the search: the variables, the direction n they stand for, and the
// point z of the set that the slopes of the rounded terms give.
type rounding struct {
	w    dvec
	n, z dvec
	mu   float64
}

// search minimises ½ Σ rho w² + h(n0 + Σ w u) for mu going from 0.1 to nothing by tenths (the set
// must be of size about 1) and stops when done says so. It reports whether done did.
func (k convexSum) search(n0 dvec, u []dvec, rho []float64, done func(rounding) bool) bool {
	dim := len(u)
	type term struct {
		m [3]dvec // rows: the term is |rows · w + b|
		b dvec
		d int
		y dvec
	}
	var terms []term
	for _, g := range k.segs {
		t := term{d: 1, b: dvec{g.dot(n0)}}
		for j := range u {
			t.m[0][j] = g.dot(u[j])
		}
		terms = append(terms, t)
	}
	for _, d := range k.disks {
		t := term{d: 3, b: n0.reject(d.e).mul(d.r)}
		for j := range u {
			v := u[j].reject(d.e).mul(d.r)
			for i := 0; i < 3; i++ {
				t.m[i][j] = v[i]
			}
		}
		terms = append(terms, t)
	}
	var q dvec
	for j := range u {
		q[j] = k.c.dot(u[j])
	}
	at := func(t *term, w dvec) (v dvec) {
		for i := 0; i < t.d; i++ {
			v[i] = t.b[i]
			for j := 0; j < dim; j++ {
				v[i] = v[i].add(t.m[i][j].mul(w[j]))
			}
		}
		return v
	}
	round := func(v dvec, mu2 dd) dd { return v.dot(v).add(mu2).sqrt() }
	value := func(w dvec, mu2 dd) dd {
		s := q.dot(w)
		for j := 0; j < dim; j++ {
			s = s.add(w[j].mul(w[j]).mul(fl(rho[j] / 2)))
		}
		for i := range terms {
			s = s.add(round(at(&terms[i], w), mu2))
		}
		return s
	}

	var w dvec
	if rho[0] > 0 {
		for j := 0; j < dim; j++ {
			w[j] = q[j].neg().mul(fl(rho[j]))
		}
	}
	for mu := 0.1; mu > 1e-27; mu *= 0.1 {
		mu2 := fl(mu).mul(fl(mu))
		for step := 0; step < 60; step++ {
			// Newton's matrix with the slopes y of the step before in place of the present ones:
			// it stays sound where the rounded term is all but straight.
			grad := q
			var h [3]dvec
			for j := 0; j < dim; j++ {
				grad[j] = grad[j].add(w[j].mul(fl(rho[j])))
				h[j][j] = fl(rho[j] + 1e-26)
			}
			for i := range terms {
				t := &terms[i]
				v := at(t, w)
				r := round(v, mu2)
				ri := fl(1).div(r)
				for a := 0; a < t.d; a++ {
					va := v[a].mul(ri)
					for j := 0; j < dim; j++ {
						grad[j] = grad[j].add(t.m[a][j].mul(va))
					}
					for b := 0; b < t.d; b++ {
						e := t.y[a].mul(v[b]).add(t.y[b].mul(v[a])).mul(ri).mul(fl(-0.5))
						if a == b {
							e = e.add(fl(1))
						}
						e = e.mul(ri)
						for j := 0; j < dim; j++ {
							for l := 0; l <= j; l++ {
								h[j][l] = h[j][l].add(t.m[a][j].mul(e).mul(t.m[b][l]))
							}
						}
					}
				}
			}
			delta, ok := cholesky(h, grad, dim)
			if !ok {
				return false
			}
			dec := delta.dot(grad).f() // the fall that the step promises, twice
			if dec <= 0 {
				break
			}
			now := value(w, mu2)
			alpha := 1.0
			var next dvec
			for try := 0; ; try++ {
				next = w.sub(delta.mul(fl(alpha)))
				// Close in, a Newton step is sound and its fall too small to be seen.
				if dec <= 1e-4*mu || value(next, mu2).sub(now).f() <= -1e-4*alpha*dec {
					break
				}
				if try == 50 {
					next = w
					break
				}
				alpha /= 2
			}
			for i := range terms {
				t := &terms[i]
				v := at(t, w)
				r := round(v, mu2)
				ri := fl(1).div(r)
				var md dvec
				for a := 0; a < t.d; a++ {
					for j := 0; j < dim; j++ {
						md[a] = md[a].sub(t.m[a][j].mul(delta[j]))
					}
				}
				vm := v.dot(md).mul(ri).mul(ri)
				for a := 0; a < t.d; a++ {
					t.y[a] = v[a].add(md[a]).mul(ri).sub(t.y[a].mul(vm))
				}
				if n := t.y.norm(); n.h > 1 {
					t.y = t.y.mul(fl(1).div(n))
				}
			}
			moved := next != w
			w = next
			if !moved || dec <= 1e-24*mu {
				break
			}
		}
		r := rounding{w: w, n: n0, z: k.c, mu: mu}
		for j := 0; j < dim; j++ {
			r.n = r.n.add(u[j].mul(w[j]))
		}
		for _, g := range k.segs {
			x := g.dot(r.n)
			r.z = r.z.add(g.mul(x.div(round(dvec{x}, mu2))))
		}
		for _, d := range k.disks {
			v := r.n.reject(d.e).mul(d.r)
			r.z = r.z.add(v.mul(d.r).mul(fl(1).div(round(v, mu2))))
		}
		if done(r) {
			return true
		}
	}
	return false
}

// cholesky solves h x = g for the lower triangle h of size dim.
func cholesky(h [3]dvec, g dvec, dim int) (x dvec, ok bool) {
	for j := 0; j < dim; j++ {
		for l := 0; l < j; l++ {
			s := h[j][l]
			for i := 0; i < l; i++ {
				s = s.sub(h[j][i].mul(h[l][i]))
			}
			h[j][l] = s.div(h[l][l])
		}
		s := h[j][j]
		for i := 0; i < j; i++ {
			s = s.sub(h[j][i].mul(h[j][i]))
		}
		if !(s.h > 0) {
			return x, false
		}
		h[j][j] = s.sqrt()
	}
	x = g
	for j := 0; j < dim; j++ {
		for i := 0; i < j; i++ {
			x[j] = x[j].sub(h[j][i].mul(x[i]))
		}
		x[j] = x[j].div(h[j][j])
	}
	for j := dim - 1; j >= 0; j-- {
		for i := j + 1; i < dim; i++ {
			x[j] = x[j].sub(h[i][j].mul(x[i]))
		}
		x[j] = x[j].div(h[j][j])
	}
	return x, true
}

var space = []dvec{{fl(1)}, {dd{}, fl(1)}, {dd{}, dd{}, fl(1)}}

// scaleOf returns a power of two that brings lengths of about l to about 1.
func scaleOf(l float64) float64 { return math.Ldexp(1, -math.Ilogb(math.Max(l, 1e-3))) }

// dualGap encloses the distance between a and b and reports whether the enclosure has closed to tol.
func dualGap(a, b body.Body, tol float64) (bracket, bool) {
	m := scaleOf(longest(a, b))
	k := difference(b, a, m) // A - B: the least point of it is the way from b to a
	best := bracket{Hi: math.Inf(1)}
	ok := k.search(dvec{}, space, []float64{1, 1, 1}, func(r rounding) bool {
		best.Hi = math.Min(best.Hi, r.z.norm().f()/m)
		for _, n := range []dvec{r.w, r.z.mul(fl(-1))} {
			if l := n.norm(); l.h > 0 {
				if lo := k.reach(n).div(l).f() / -m; lo > best.Lo {
					best.Lo, best.Dir = lo, n.mul(fl(1).div(l)).r3()
				}
			}
		}
		return best.Hi <= tol || best.Hi-best.Lo <= tol
	})
	return best, ok
}

// squareTo returns two unit directions square to dir and to one another.
func squareTo(dir dvec) []dvec {
	i := 0
	for j := 1; j < 3; j++ {
		if math.Abs(dir[j].h) < math.Abs(dir[i].h) {
			i = j
		}
	}
	p := dir.cross(space[i])
	p = p.mul(fl(1).div(p.norm()))
	q := dir.cross(p)
	return []dvec{p, q.mul(fl(1).div(q.norm()))}
}

// end encloses the largest t at which t*dir lies in a set: In is a shift that does, Out bounds it
// through a plane with normal N (N·dir = 1).
type end struct {
	In, Out float64
	N       r3.Vector
}

func (e end) mid() float64 { return (e.In + e.Out) / 2 }

// dualEnd encloses the largest t with t*dir in k (of size about 1) to tol, or to 1e-11 of t where
// that is more; the line must meet k.
func (k convexSum) dualEnd(dir dvec, tol float64) (end, bool) {
	len2 := dir.dot(dir)
	best := end{In: math.Inf(-1), Out: math.Inf(1)}
	ok := k.search(dir.mul(fl(1).div(len2)), squareTo(dir), []float64{0, 0}, func(r rounding) bool {
		if along := r.n.dot(dir); along.h > 0 {
			if out := k.reach(r.n).div(along).f(); out < best.Out {
				best.Out, best.N = out, r.n.r3()
			}
		}
		t := r.z.dot(dir).div(len2)
		// The point may lie beside the line by what moves the end by less than can be told.
		if miss := r.z.sub(dir.mul(t)).norm().f(); miss*r.n.norm().f() <= 0.1*tol {
			best.In = math.Max(best.In, t.f())
		}
		return best.Out-best.In <= tol || best.Out-best.In <= 1e-11*math.Abs(best.Out)
	})
	return best, ok
}

// dualMiss encloses the distance of the line through the origin along dir from k.
func (k convexSum) dualMiss(dir dvec, tol float64) (lo, hi float64, ok bool) {
	u := squareTo(dir)
	hi = math.Inf(1)
	ok = k.search(dvec{}, u, []float64{1, 1}, func(r rounding) bool {
		z := dvec{r.z.dot(u[0]), r.z.dot(u[1])}
		hi = math.Min(hi, z.norm().f())
		for _, n := range []dvec{r.n, u[0].mul(z[0].neg()).add(u[1].mul(z[1].neg()))} {
			if l := n.norm(); l.h > 0 {
				lo = math.Max(lo, -k.reach(n).div(l).f())
			}
		}
		return hi <= tol || hi-lo <= tol
	})
	return lo, hi, ok
}

// dualSpan encloses the shifts of a along dir at which it meets b: the upper end, and the lower
// end with its sign turned. missLo and missHi enclose how far a passes by b on that line.
type dualSpan struct {
	up, down       end
	missLo, missHi float64
}

func spanOf(a, b body.Body, dir r3.Vector, tol float64) (dualSpan, bool) {
	m := scaleOf(longest(a, b))
	k := difference(a, b, m)
	d := dv(dir)
	var s dualSpan
	var ok bool
	s.missLo, s.missHi, ok = k.dualMiss(d, 1e-3*tol*m)
	s.missLo /= m
	s.missHi /= m
	if !ok || s.missLo > 0 {
		return s, ok
	}
	for i, e := range []*end{&s.up, &s.down} {
		v := d
		if i == 1 {
			v = d.mul(fl(-1))
		}
		if *e, ok = k.dualEnd(v, tol*m); !ok {
			return s, false
		}
		e.In /= m
		e.Out /= m
	}
	return s, true
}

// beside encloses the distance of two bodies at one height. steep is by how much it changes, at
// most, with the height between them.
type beside struct{ lo, hi, steep float64 }

// dualBeside encloses the distance of the origin from the cut of b - a at z = 0. ok is false where it
// has not closed (as where heights only touch).
func dualBeside(a, b body.Body, tol float64) (s beside, ok bool) {
	m := scaleOf(longest(a, b))
	k := difference(b, a, m)
	s.hi = math.Inf(1)
	ok = k.search(dvec{}, space, []float64{1, 1, 0}, func(r rounding) bool {
		z := dvec{r.z[0], r.z[1]}
		if math.Abs(r.z[2].f()) <= 1e-3*tol*m {
			s.hi = math.Min(s.hi, z.norm().f()/m)
		}
		if l := (dvec{r.n[0], r.n[1]}).norm(); l.h > 0 {
			if lo := -k.reach(r.n).div(l).f() / m; lo > s.lo {
				s.lo, s.steep = lo, math.Abs(r.n[2].div(l).f())
			}
		}
		return s.hi <= tol || s.hi-s.lo <= tol
	})
	return s, ok
}

// dualCut encloses the extent along dir, counted from at, of the cut of b by the plane through at:
// upper end first, then the lower with its sign turned. It must be known that the plane meets b.
func dualCut(b body.Body, at, normal, dir r3.Vector, tol float64) (up, down end, ok bool) {
	m := scaleOf(longest(b, body.Body{Centre: b.Centre}))
	k := convexSum{c: dv(b.Centre).sub(dv(at)).mul(fl(m))}
	k.take(b, m)
	n := dv(normal)
	n = n.mul(fl(1).div(n.norm()))
	for i, e := range []*end{&up, &down} {
		d := dv(dir)
		if i == 1 {
			d = d.mul(fl(-1))
		}
		*e = end{In: math.Inf(-1), Out: math.Inf(1)}
		closed := k.search(d, []dvec{n}, []float64{0}, func(r rounding) bool {
			if out := k.reach(r.n).f() / m; out < e.Out {
				e.Out, e.N = out, r.n.r3()
			}
			if math.Abs(r.z.dot(n).f()) <= 1e-3*tol*m {
				e.In = math.Max(e.In, r.z.dot(d).f()/m)
			}
			return e.Out-e.In <= tol
		})
		if !closed {
			return up, down, false
		}
	}
	return up, down, true
}

// interval returns the middle of the two enclosures as an interval.
func interval(up, down end) r1.Interval { return r1.Interval{Lo: -down.mid(), Hi: up.mid()} }
