package body

import (
	"math"
	"testing"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"github.com/peterstace/simplefeatures/geom"
)

// hullOfCut cuts a body as a general-purpose geometry program would: the body as the hull of many corners,
// each edge crossed with the plane, and the convex hull of the crossings by simplefeatures. Of a Round the
// corners are those of a prism of n sides, its corners at scale·W from the axis.
func hullOfCut(t *testing.T, b Body, p Plane, n int, scale float64) geom.Geometry {
	t.Helper()
	var rims [2][]r3.Vector
	if b.Round {
		a := unit(b.Along)
		e, f := frameAbout(a)
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			q := e.Mul(c).Add(f.Mul(s)).Mul(b.W * scale)
			rims[0] = append(rims[0], b.Start().Add(q))
			rims[1] = append(rims[1], b.End().Add(q))
		}
	} else {
		for _, k := range [][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			q := r3.Vector{X: b.Across.X * b.W * k[0], Y: b.Across.Y * b.W * k[0], Z: b.H * k[1]}
			rims[0] = append(rims[0], b.Start().Add(q))
			rims[1] = append(rims[1], b.End().Add(q))
		}
	}
	var xy []float64
	cross := func(u, v r3.Vector) {
		du, dv := p.Beyond(u), p.Beyond(v)
		if du*dv > 0 || du == dv {
			return
		}
		q := u.Add(v.Sub(u).Mul(du / (du - dv)))
		xy = append(xy, p.Along(q), q.Z)
	}
	for i := range rims[0] {
		j := (i + 1) % len(rims[0])
		cross(rims[0][i], rims[1][i])
		cross(rims[0][i], rims[0][j])
		cross(rims[1][i], rims[1][j])
	}
	if len(xy) == 0 {
		return geom.Geometry{}
	}
	return geom.NewLineString(geom.NewSequence(xy, geom.DimXY)).AsGeometry().ConvexHull()
}

// planeNear returns a plane through the body or a little beside it, now and then square to its axis, along
// it, or nearly.
func (r maker) planeNear(b Body) Plane {
	turn := (2*r.Float64() - 1) * math.Pi
	if l := math.Hypot(b.Along.X, b.Along.Y); l > 0 && r.IntN(2) == 0 {
		turn = math.Atan2(b.Along.Y, b.Along.X) + float64(r.IntN(4))*math.Pi/2 + r.angle()*1e-3
	}
	d := r2.Point{X: math.Cos(turn), Y: math.Sin(turn)}
	n := d.Ortho()
	c := r2.Point{X: b.Centre.X, Y: b.Centre.Y}
	h := b.half(r3.Vector{X: n.X, Y: n.Y})
	at := c.Add(n.Mul(1.1 * h * (2*r.Float64() - 1))).Add(d.Mul(1e4 * (2*r.Float64() - 1)))
	return Plane{At: at, Dir: d}
}

// TestCutAgainstHull compares the area of each cut with that of the hull of edge crossings. A Round lies
// between a prism inside it and one outside: where the two agree the area is right to 1e-6 of itself.
func TestCutAgainstHull(t *testing.T) {
	const seed, sides = 31, 4096
	for kind := range shapes {
		r := newMaker(seed, uint64(kind))
		cut, missed, oval, sharp := 0, 0, 0, 0
		worst := 0.0
		for i := range 400 {
			b := r.body(kind, (2*r.Float64()-1)*math.Pi, math.Tan(0.4*r.angle()))
			b = b.Shift(r3.Vector{X: 1e4 * r.Float64(), Y: 1e4 * r.Float64(), Z: 1e3 * r.Float64()})
			if b.W == 0 || !b.Round && b.H == 0 {
				continue // no inside: TestCutFlat
			}
			p := r.planeNear(b)
			got, ok := Cut(b, p)
			n := p.Dir.Ortho()
			off := math.Abs(p.Beyond(b.Centre)) - b.half(r3.Vector{X: n.X, Y: n.Y})
			if !ok {
				missed++
				if off < -1e-6 {
					t.Errorf("seed %d %s %d: Cut(%+v, %+v) misses, and the plane is %v inside", seed, shapeNames[kind], i, b, p, -off)
				}
				continue
			}
			if off > 1e-6 {
				t.Errorf("seed %d %s %d: Cut(%+v, %+v) cuts, and the plane is %v outside", seed, shapeNames[kind], i, b, p, off)
				continue
			}
			cut++
			in := hullOfCut(t, b, p, sides, 1).Area()
			out := in
			if b.Round {
				out = hullOfCut(t, b, p, sides, 1/math.Cos(math.Pi/sides)).Area()
				oval++
			}
			area := got.Area()
			// What the corners lose to rounding at their distance from the origin.
			slack := 1e-6*area + 1e-10*(b.Along.Norm()+1e4)
			if area < in-slack || area > out+slack {
				t.Errorf("seed %d %s %d: Cut(%+v, %+v).Area() = %v, want %v to %v", seed, shapeNames[kind], i, b, p, area, in, out)
			}
			if out-in <= 1e-6*area {
				sharp++
				worst = math.Max(worst, math.Abs(area-(in+out)/2)/area)
			}
			// The outline lies inside the cut and not by more than its bound.
			if a := Area(got.Outline); a > area*(1+1e-9)+1e-9 || a < area-got.Bound*perimeter(got.Outline)-slack {
				t.Errorf("seed %d %s %d: Area(outline of %+v, %+v) = %v, want %v within %v of its edge", seed, shapeNames[kind], i, b, p, a, area, got.Bound)
			}
			if got.Bound > outlineDip {
				t.Errorf("seed %d %s %d: Cut(%+v, %+v) is drawn within %v, want %v", seed, shapeNames[kind], i, b, p, got.Bound, outlineDip)
			}
			// Its extent is that of CutReach, which goes another way.
			for _, dir := range []r3.Vector{{X: p.Dir.X, Y: p.Dir.Y}, {Z: 1}} {
				reach, _ := CutReach(b, r3.Vector{X: p.At.X, Y: p.At.Y}, r3.Vector{X: n.X, Y: n.Y}, dir)
				lo, hi := math.Inf(1), math.Inf(-1)
				for _, q := range got.Outline {
					v := q.X
					if dir.Z != 0 {
						v = q.Y
					}
					lo, hi = math.Min(lo, v), math.Max(hi, v)
				}
				if hold := 2*outlineDip + 1e-6*(hi-lo) + 1e-3; off < -1e-3 && (math.Abs(lo-reach.Lo) > hold || math.Abs(hi-reach.Hi) > hold) {
					t.Errorf("seed %d %s %d: the outline of %+v, %+v reaches %v to %v along %v, CutReach says %v", seed, shapeNames[kind], i, b, p, lo, hi, dir, reach)
				}
			}
		}
		if cut < 200 || kind >= level && sharp < 100 {
			t.Errorf("%s: %d cuts, %d of them sharp: too few", shapeNames[kind], cut, sharp)
		}
		t.Logf("%s: %d cuts (%d round), %d missed; %d known to 1e-6, worst %.1e", shapeNames[kind], cut, oval, missed, sharp, worst)
	}
}

func perimeter(p []r2.Point) float64 {
	sum := 0.0
	for i := range p {
		sum += p[(i+1)%len(p)].Sub(p[i]).Norm()
	}
	return sum
}

// TestCutKnown has cuts whose outline is known.
func TestCutKnown(t *testing.T) {
	duct := Box(r3.Vector{Z: 3000}, r3.Vector{X: 4000, Z: 3000}, 600, 300)
	pipe := Cylinder(r3.Vector{Z: 3000}, r3.Vector{X: 4000, Z: 3000}, 100)
	across := Plane{At: r2.Point{X: 1000, Y: -5000}, Dir: r2.Point{Y: 1}}
	diag := Plane{At: r2.Point{X: 2000}, Dir: r2.Point{X: math.Sqrt2 / 2, Y: math.Sqrt2 / 2}}
	for _, test := range []struct {
		name string
		b    Body
		p    Plane
		area float64
		lo   r2.Point
		hi   r2.Point
	}{
		{"duct across", duct, across, 600 * 300, r2.Point{X: 4700, Y: 2850}, r2.Point{X: 5300, Y: 3150}},
		{"duct at 45 degrees shows its longer cut", duct, diag, 600 * math.Sqrt2 * 300, r2.Point{X: -300 * math.Sqrt2, Y: 2850}, r2.Point{X: 300 * math.Sqrt2, Y: 3150}},
		{"duct along", duct, Plane{At: r2.Point{Y: 299}, Dir: r2.Point{X: 1}}, 4000 * 300, r2.Point{Y: 2850}, r2.Point{X: 4000, Y: 3150}},
		{"pipe across", pipe, across, math.Pi * 2500, r2.Point{X: 4950, Y: 2950}, r2.Point{X: 5050, Y: 3050}},
		{"pipe at 45 degrees is an ellipse", pipe, diag, math.Pi * 2500 * math.Sqrt2, r2.Point{X: -50 * math.Sqrt2, Y: 2950}, r2.Point{X: 50 * math.Sqrt2, Y: 3050}},
		{"pipe along, 30 off its axis", pipe, Plane{At: r2.Point{Y: 30}, Dir: r2.Point{X: 1}}, 4000 * 80, r2.Point{Y: 2960}, r2.Point{X: 4000, Y: 3040}},
		{"upright pipe", Cylinder(r3.Vector{X: 7, Z: 0}, r3.Vector{X: 7, Z: 900}, 100), Plane{At: r2.Point{Y: 40}, Dir: r2.Point{X: 1}}, 60 * 900, r2.Point{X: -23}, r2.Point{X: 37, Y: 900}},
	} {
		got, ok := Cut(test.b, test.p)
		if !ok {
			t.Errorf("%s: missed", test.name)
			continue
		}
		if a := got.Area(); math.Abs(a-test.area) > 1e-9*test.area {
			t.Errorf("%s: area %v, want %v", test.name, a, test.area)
		}
		r := r2.RectFromPoints(got.Outline...)
		if r.Lo().Sub(test.lo).Norm() > 0.02 || r.Hi().Sub(test.hi).Norm() > 0.02 {
			t.Errorf("%s: %v to %v, want %v to %v", test.name, r.Lo(), r.Hi(), test.lo, test.hi)
		}
	}
	// A pipe falling 1 in 2 cut across its plan: the section square to a falling pipe is no circle.
	fall := Cylinder(r3.Vector{}, r3.Vector{X: 2000, Z: -1000}, 100)
	got, _ := Cut(fall, Plane{At: r2.Point{X: 1000}, Dir: r2.Point{Y: 1}})
	o := got.Oval
	if want := 50 * math.Hypot(1, 0.5); o == nil || math.Abs(o.R/math.Abs(o.Lean)-want) > 1e-9 || math.Abs(o.R-50) > 1e-12 || !o.Whole() {
		t.Errorf("a pipe falling 1 in 2: %+v, want an ellipse with half axes 50 and %v", o, want)
	}
	// Cut near its end it has a straight edge.
	got, _ = Cut(fall, Plane{At: r2.Point{X: 5}, Dir: r2.Point{Y: 1}})
	if o := got.Oval; o == nil || o.Whole() || o.half(o.From) == 0 && o.half(o.To) == 0 {
		t.Errorf("a falling pipe cut at its end: %+v, want a straight edge", o)
	}
	if _, ok := Cut(pipe, Plane{At: r2.Point{X: -1}, Dir: r2.Point{Y: 1}}); ok {
		t.Error("a plane before the start of the pipe cuts it")
	}
}

// TestCutFlat cuts what has no inside.
func TestCutFlat(t *testing.T) {
	p := Plane{At: r2.Point{X: 10}, Dir: r2.Point{Y: 1}}
	for _, test := range []struct {
		b    Body
		want int // corners
	}{
		{Body{Centre: r3.Vector{X: 10}, Across: r2.Point{Y: 1}}, 1},
		{Body{Centre: r3.Vector{X: 10}, Across: r2.Point{Y: 1}, W: 5}, 2},
		{Body{Centre: r3.Vector{X: 10}, Across: r2.Point{Y: 1}, W: 5, H: 3}, 4},
		{Body{Centre: r3.Vector{X: 10}, Across: r2.Point{Y: 1}, H: 3}, 2},
		{Cylinder(r3.Vector{}, r3.Vector{X: 20}, 0), 1},
		{Cylinder(r3.Vector{X: 10}, r3.Vector{X: 10, Z: 9}, 0), 2},
		{Cylinder(r3.Vector{X: 11}, r3.Vector{X: 11, Z: 9}, 0), 0},
		{Box(r3.Vector{}, r3.Vector{X: 10}, 4, 6), 4}, // its end
	} {
		got, ok := Cut(test.b, p)
		if ok != (test.want > 0) || len(got.Outline) != test.want {
			t.Errorf("Cut(%+v) = %+v, %v, want %d corners", test.b, got, ok, test.want)
		}
	}
}

// TestShared compares the common part of two cuts with simplefeatures.
func TestShared(t *testing.T) {
	const seed = 32
	r := newMaker(seed, 0)
	met := 0
	for i := range 400 {
		ring := func() []r2.Point {
			b := r.body(r.IntN(shapes), 0, 0.1)
			b.Along = unit(b.Along).Mul(100 + 900*r.Float64())
			b.W, b.H = 10+300*r.Float64(), 10+300*r.Float64()
			b = b.Shift(r3.Vector{X: 300 * r.Float64(), Z: 300 * r.Float64()})
			s, _ := Cut(b, Plane{Dir: r2.Point{X: math.Cos(0.3), Y: math.Sin(0.3)}})
			return s.Outline
		}
		a, b := ring(), ring()
		if len(a) < 3 || len(b) < 3 {
			continue
		}
		poly := func(p []r2.Point) geom.Geometry {
			var xy []float64
			for k := 0; k <= len(p); k++ {
				xy = append(xy, p[k%len(p)].X, p[k%len(p)].Y)
			}
			return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(xy, geom.DimXY))}).AsGeometry()
		}
		g, err := geom.Intersection(poly(a), poly(b))
		if err != nil {
			t.Fatal(err)
		}
		got, want := Area(Shared(a, b)), g.Area()
		if math.Abs(got-want) > 1e-6*want+1e-6 {
			t.Errorf("seed %d %d: Shared(%v, %v) has %v mm², want %v", seed, i, a, b, got, want)
		}
		if want > 0 {
			met++
		}
	}
	if met < 100 {
		t.Errorf("only %d met", met)
	}
	if Shared(nil, nil) != nil || Shared([]r2.Point{{}, {X: 1}}, []r2.Point{{}, {X: 1}, {Y: 1}}) != nil {
		t.Error("Shared of what has no inside is something")
	}
}

// A corner of a square that a triangle cuts off: what is shared is a triangle, and may be shared again.
func TestSharedTriangle(t *testing.T) {
	square := []r2.Point{{X: 0, Y: 0}, {X: 100, Y: 0}, {X: 100, Y: 100}, {X: 0, Y: 100}}
	corner := []r2.Point{{X: -50, Y: -50}, {X: 110, Y: -50}, {X: -50, Y: 110}} // its long side is x + y = 60
	once := Shared(square, corner)
	if len(once) != 3 || Area(once) != 60*60/2 {
		t.Fatalf("Shared(square, corner) = %v with the area %v, want a triangle of %v", once, Area(once), 60*60/2)
	}
	left := []r2.Point{{X: 0, Y: 0}, {X: 30, Y: 0}, {X: 30, Y: 100}, {X: 0, Y: 100}}
	for _, got := range [][]r2.Point{Shared(once, left), Shared(left, once)} {
		if want := 60.0*60/2 - 30*30/2; Area(got) != want { // without the triangle of 30 by 30 on the right
			t.Errorf("the left half of the triangle = %v with the area %v, want %v", got, Area(got), want)
		}
	}
	if got := Shared(once, once[:2]); got != nil {
		t.Errorf("Shared(triangle, line) = %v, want nothing", got)
	}
}
