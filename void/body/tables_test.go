package body

import (
	"math"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
)

func at(x, y, z float64) r3.Vector { return r3.Vector{X: x, Y: y, Z: z} }

// Bodies that the tables share.
var (
	point  = Body{Across: r2.Point{Y: 1}}
	ball   = Body{W: 100, Round: true}
	rod    = Cylinder(at(0, 0, 0), at(1000, 0, 0), 0)
	plate  = Box(at(0, 0, 0), at(1000, 0, 0), 400, 0)
	wall   = Box(at(0, 0, 0), at(1000, 0, 0), 0, 300)
	tray   = Box(at(0, 0, 0), at(3000, 0, 0), 300, 60)
	duct   = Box(at(0, 0, 0), at(0, 4000, 0), 600, 400)
	pipe   = Cylinder(at(0, 0, 0), at(5000, 0, 0), 100)
	cross  = Cylinder(at(0, -2500, 0), at(0, 2500, 0), 200)
	riser  = Cylinder(at(0, 0, 0), at(0, 0, 3000), 150)
	drain  = Cylinder(at(0, 0, 0), at(8000, 0, -100), 110) // 1 in 80
	ramp   = Box(at(0, 0, 0), at(4000, 0, 50), 600, 300)   // 1 in 80
	corner = math.Sqrt2
)

func (b Body) to(x, y, z float64) Body { return b.Shift(at(x, y, z)) }

func TestGap(t *testing.T) {
	tests := []struct {
		name string
		a, b Body
		want float64
	}{
		{"a point and itself", point, point, 0},
		{"two points", point, point.to(3, 4, 12), 13},
		{"a point on a rod's end", rod, point, 0},
		{"a point beyond a rod", rod, point.to(1003, 4, 0), 5},
		{"a point beside a rod", rod, point.to(500, 3, 4), 5},
		{"a rod and itself", rod, rod, 0},
		{"rods along one line", rod, rod.to(1250, 0, 0), 250},
		{"rods that cross in one plane", rod, Cylinder(at(500, -10, 0), at(500, 10, 0), 0), 0},
		{"rods that cross 7 apart", rod, Cylinder(at(500, -10, 7), at(400, 10, 7), 0), 7},
		{"plates in one plane", plate, plate.to(1250, 0, 0), 250},
		{"a plate on itself", plate, plate, 0},
		{"a wall standing on a plate", plate, wall.to(0, 0, 150), 0},
		{"a wall over a plate", plate, wall.to(0, 0, 160), 10},
		{"a point in a ball", ball, point, 0},
		{"balls", ball, ball.to(300, 400, 0), 500 - 200},
		{"a ball and a tray", ball, tray.to(0, 0, 230), 230 - 30 - 100},
		{"a ball off a tray's corner", ball, tray.to(300, 150+400, 30), 500 - 100},
		{"trays on each other", tray, tray.to(0, 0, 60), 0},
		{"trays over each other", tray, tray.to(0, 0, 100), 100 - 60},
		{"trays end on", tray, tray.to(3000, 0, 0), 0},
		{"trays 2 apart at the ends", tray, tray.to(3002, 0, 0), 2},
		{"a tray and a duct over it", tray, duct.to(0, 0, 300), 300 - 30 - 200},
		{"a tray and a duct past its end", tray, duct.to(3000+300+30, 0, 0), 30},
		{"a turned tray off a corner", tray, Box(at(3001, 151, 0), at(3101, 251, 0), 100*corner, 60), corner},
		{"pipes side by side", pipe, pipe.to(0, 150, 0), 150 - 100},
		{"pipes askew in height", pipe, pipe.to(0, 300, 400), 500 - 100},
		{"pipes end on", pipe, pipe.to(5000, 0, 0), 0},
		{"pipes end on, aside", pipe, pipe.to(5003, 104, 0), 5},
		{"pipes crossing", pipe, cross.to(2500, 0, 400), 400 - 50 - 100},
		{"a pipe crossing past the end", pipe, cross.to(5000+100+40, 0, 0), 40},
		{"a pipe under a duct", pipe, duct.to(0, -2000, 400), 400 - 50 - 200},
		{"a riser beside a pipe", pipe, riser.to(1000, 200, -1500), 200 - 50 - 75},
		{"a riser on a pipe", pipe, riser.to(1000, 0, 50), 0},
		{"a riser 5 over a tray", tray, riser.to(1000, 0, 35), 5},
		{"risers", riser, riser.to(300, 400, 0), 500 - 150},
		{"a riser over a riser", riser, riser.to(0, 0, 3010), 10},
		// The top of the pipe's axis line is 1/80 off square: its skin is sqrt(1+1/80^2) closer.
		{
			"a drain under a plate", drain, Box(at(-9000, 0, 0), at(9000, 0, 0), 9000, 0).to(0, 0, 155),
			155 - 55*80/math.Hypot(80, 1),
		},
		{"a drain along a drain", drain, drain.to(0, 0, 220), 220*80/math.Hypot(80, 1) - 110},
		{"a ramp along a ramp", ramp, ramp.to(0, 0, 400), (400 - 300) * 80 / math.Hypot(80, 1)},
		{"a ramp end on", ramp, ramp.to(4000, 0, 50), 0},
		{
			"200 m of pipe, 1e-12 off parallel", Cylinder(at(-1e5, 0, 0), at(1e5, 0, 0), 100),
			Cylinder(at(-1e5, 150, 1e-7), at(1e5, 150, -1e-7), 100), 150 - 100,
		},
	}
	for _, test := range tests {
		for _, far := range []r3.Vector{{}, {X: -4096, Y: 1024, Z: 512}} {
			for _, swap := range []bool{false, true} {
				a, b := test.a.Shift(far), test.b.Shift(far)
				if swap {
					a, b = b, a
				}
				got := Gap(a, b)
				if math.Abs(got.MM-test.want) > 1e-6 {
					t.Errorf("%s: Gap(%v, %v) = %v, want %v", test.name, a, b, got, test.want)
				}
				if e := proof(a, b, got); e > 1e-6 {
					t.Errorf("%s: Gap(%v, %v) = %v: proof fails by %v", test.name, a, b, got, e)
				}
			}
		}
	}
}

func TestSpan(t *testing.T) {
	up, east := at(0, 0, 1), at(2, 0, 0)
	none := r1.EmptyInterval()
	tests := []struct {
		name string
		a, b Body
		dir  r3.Vector
		want r1.Interval
		ok   bool
	}{
		{"no direction", tray, tray, at(0, 0, 0), none, false},
		{"a point to itself", point, point, up, r1.Interval{}, true},
		{"a point up to a point", point, point.to(0, 0, 5), up, r1.Interval{Lo: 5, Hi: 5}, true},
		{"a point past a point", point, point.to(1, 0, 5), up, none, false},
		{"a rod along itself", rod, rod.to(0, 0, 0), east, r1.Interval{Lo: -1000, Hi: 1000}, true},
		{"a rod up to a plate", rod, plate.to(0, 0, 40), up, r1.Interval{Lo: 40, Hi: 40}, true},
		{"a tray up to a tray", tray, tray.to(0, 0, 200), up, r1.Interval{Lo: 200 - 60, Hi: 200 + 60}, true},
		{"a tray up past a tray's side", tray, tray.to(0, 300.01, 200), up, none, false},
		{"a tray up along a tray's side", tray, tray.to(0, 300, 200), up, r1.Interval{Lo: 140, Hi: 260}, true},
		{"a tray up in a duct", tray, duct.to(0, 0, 100), up, r1.Interval{Lo: 100 - 230, Hi: 100 + 230}, true},
		{"a tray east to a duct", tray, duct.to(5000, -1000, 0), east, r1.Interval{Lo: 5000 - 300 - 3000, Hi: 5000 + 300}, true},
		{"a pipe up to a pipe 60 aside", pipe, pipe.to(0, 60, 0), up, r1.Interval{Lo: -80, Hi: 80}, true},
		{"a pipe up to a crossing pipe", pipe, cross.to(2500, 0, 400), up, r1.Interval{Lo: 400 - 150, Hi: 400 + 150}, true},
		{"a pipe up to a duct", pipe, duct.to(1000, -1000, 400), up, r1.Interval{Lo: 400 - 250, Hi: 400 + 250}, true},
		{"a pipe up past the duct's side by 30", pipe, duct.to(1000, 30, 400), up, r1.Interval{Lo: 400 - 200 - 40, Hi: 400 + 200 + 40}, true},
		{"a riser up through a tray", riser, tray, up, r1.Interval{Lo: -3000 - 30, Hi: 30}, true},
		// The fall is 1/80: across the width of the section nothing, along 8000 mm all of it.
		{"a ramp up to itself", ramp, ramp, up, r1.Interval{Lo: -300, Hi: 300}, true},
		{"a point up to a ramp at 800", point, ramp.to(-800, 0, 0), up, r1.Interval{Lo: 10 - 150, Hi: 10 + 150}, true},
		{
			"a drain up to itself", drain, drain, up,
			r1.Interval{Lo: -110 * math.Hypot(80, 1) / 80, Hi: 110 * math.Hypot(80, 1) / 80},
			true,
		},
	}
	for _, test := range tests {
		got, ok := Span(test.a, test.b, test.dir)
		if ok != test.ok || ok && (math.Abs(got.Lo-test.want.Lo) > 1e-6 || math.Abs(got.Hi-test.want.Hi) > 1e-6) {
			t.Errorf("%s: Span(%v, %v, %v) = %v, %v, want %v, %v", test.name, test.a, test.b, test.dir, got, ok, test.want, test.ok)
		}
		lo, hi, ok := spanProof(test.a, test.b, test.dir)
		if ok != test.ok || ok && (math.Abs(lo.T-test.want.Lo) > 1e-6 || math.Abs(hi.T-test.want.Hi) > 1e-6) {
			t.Errorf("%s: spanProof(%v, %v, %v) = %v, %v, %v, want %v, %v", test.name, test.a, test.b, test.dir, lo, hi, ok, test.want, test.ok)
		}
	}
}

func TestBeside(t *testing.T) {
	tests := []struct {
		name string
		a, b Body
		want float64
		ok   bool
	}{
		{"a point and itself", point, point, 0, true},
		{"points at one level", point, point.to(3, 4, 0), 5, true},
		{"points at two levels", point, point.to(3, 4, 1), 0, false},
		{"plates at one level", plate, plate.to(1250, 0, 0), 250, true},
		{"plates at two levels", plate, plate.to(1250, 0, 1), 0, false},
		{"trays beside each other", tray, tray.to(0, 400, 30), 400 - 300, true},
		{"trays over each other", tray, tray.to(0, 400, 61), 0, false},
		{"trays that touch in height", tray, tray.to(0, 400, 60), 400 - 300, true},
		{"trays in each other", tray, tray.to(10, 10, 10), 0, true},
		{"pipes at one level", pipe, pipe.to(0, 300, 0), 300 - 100, true},
		{"pipes 60 askew", pipe, pipe.to(0, 300, 60), 300 - 80, true},
		{"pipes 100 askew", pipe, pipe.to(0, 300, 101), 0, false},
		{"a pipe beside a duct", pipe, duct.to(-400, 0, 0), 400 - 300, true},
		{"a pipe 30 over a duct's top edge", pipe, duct.to(2500, 300, 230), 300 - 40, true},
		{"risers", riser, riser.to(300, 400, 2999), 500 - 150, true},
		{"a riser and a tray", riser, tray.to(300, 400, 0), math.Hypot(300, 250) - 75, true},
		{"pipes crossing at one level", pipe, cross.to(5000+130, 0, 0), 130 - 100, true},
	}
	for _, test := range tests {
		for _, swap := range []bool{false, true} {
			a, b := test.a, test.b
			if swap {
				a, b = b, a
			}
			got, ok := Beside(a, b)
			if ok != test.ok || ok && math.Abs(got.MM-test.want) > 1e-6 {
				t.Errorf("%s: Beside(%v, %v) = %v, %v, want %v, %v", test.name, a, b, got, ok, test.want, test.ok)
			}
			if g, gok := beside(a, b); gok != test.ok || gok && math.Abs(g.MM-test.want) > 1e-6 {
				t.Errorf("%s: beside(%v, %v) = %v, %v, want %v, %v", test.name, a, b, g, gok, test.want, test.ok)
			}
		}
	}
}

func TestPart(t *testing.T) {
	tests := []struct {
		name string
		a, b Body
		want float64
		ok   bool
	}{
		{"a point and itself", point, point, 0, false},
		{"plates in one plane", plate, plate, 0, false},
		{"a wall in a tray", tray, wall.to(1000, 0, 0), 150, true},
		{"trays on each other", tray, tray.to(0, 0, 60), 0, false},
		{"trays that touch at the side", tray, tray.to(0, 300, 0), 0, false},
		{"a tray 20 in a tray", tray, tray.to(0, 280, 0), 20, true},
		{"a tray 20 in a tray's end", tray, tray.to(2980, 0, 0), 20, true},
		{"a duct across a tray", tray, duct.to(1000, -100, 0), 100 + 150, true},
		{"a tray turned 45 over a corner", tray, Box(at(3000, 150, 0), at(3100, 250, 0), 100*corner, 60).to(-10, -10, 0), 10 * corner, true},
		{"pipes side by side, 60 off", pipe, pipe.to(0, 60, 0), 40, true},
		{"pipes 60 askew", pipe, pipe.to(0, 0, 60), 80, true},
		{"pipes 60 askew at the ends", pipe, pipe.to(4950, 0, 60), 50, true},
		{"risers, one in the other", riser, riser.to(30, 40, 0), 150 - 50, true},
		{"risers about one axis", riser, riser, 150, true},
		{"a riser off a tray's corner", tray, riser.to(3030, 150+40, 0), 75 - 50, true},
		{"a riser in a tray", tray, riser.to(1500, 100, 0), 50 + 75, true},
		{"a riser in a pipe", pipe, riser.to(4000, 20, -100), 125 - 20, true},
		{"pipes crossing, same level", pipe, cross.to(4990, 0, 0), 10 + 100, true},
		{"a drain in itself", drain, drain, 110, true},
	}
	for _, test := range tests {
		for _, swap := range []bool{false, true} {
			a, b := test.a, test.b
			if swap {
				a, b = b, a
			}
			for k, f := range []func(a, b Body) (Parting, bool){Part, part} {
				got, ok := f(a, b)
				if ok != test.ok || ok && (got.MM < test.want-1e-6 || got.MM-got.Bound > test.want+1e-6 || got.Bound > 1e-6) {
					t.Errorf("%s: Part(%v, %v) = %v, %v, want %v, %v (way %d)", test.name, a, b, got, ok, test.want, test.ok, k)
				}
				if ok && math.Abs(got.Dir.Norm()-1) > 1e-12 {
					t.Errorf("%s: Part(%v, %v) = %v: not a unit direction", test.name, a, b, got)
				}
			}
			if Meet(a, b) != test.ok || meet(a, b) != test.ok {
				t.Errorf("%s: Meet(%v, %v) = %v, %v, want %v", test.name, a, b, Meet(a, b), meet(a, b), test.ok)
			}
		}
	}
}

func TestPlanOverlap(t *testing.T) {
	tests := []struct {
		name string
		a, b Body
		want float64 // for none: what is at least to be had, minus the distance
	}{
		{"a point and itself", point, point, 0},
		{"a wall on a plate's edge", plate, wall.to(0, 200, 0), 0},
		{"a wall in a plate", plate, wall.to(0, 150, 0), 50},
		{"trays one over the other", tray, tray.to(0, 0, 900), 300},
		{"trays 20 in each other", tray, tray.to(0, 280, 900), 20},
		{"trays side by side", tray, tray.to(0, 300, 900), 0},
		{"trays apart", tray, tray.to(0, 340, 900), -40},
		{"pipes 60 off", pipe, pipe.to(0, 60, 900), 40},
		{"pipes apart", pipe, pipe.to(0, 160, 900), -60},
		{"pipes crossing", pipe, cross.to(4980, 0, 900), 120},
		{"risers", riser, riser.to(30, 40, 9000), 100},
		{"risers apart", riser, riser.to(300, 400, 9000), -350},
		{"a riser off a corner", tray, riser.to(3030, 190, 900), 25},
		{"a drain over itself", drain, drain.to(0, 0, 900), 110},
	}
	for _, test := range tests {
		for k, got := range []float64{PlanOverlap(test.a, test.b), PlanOverlap(test.b, test.a), planOverlap(test.a, test.b)} {
			if test.want > 0 && math.Abs(got-test.want) > 1e-6 || test.want <= 0 && (got > 1e-9 || got < test.want-1e-6) {
				t.Errorf("%s: PlanOverlap(%v, %v) = %v, want %v (way %d)", test.name, test.a, test.b, got, test.want, k)
			}
		}
	}
}

func TestSharedHeight(t *testing.T) {
	tests := []struct {
		a, b Body
		want float64
	}{
		{point, point, 0},
		{point, point.to(0, 0, 3), -3},
		{plate, tray, 0},
		{tray, tray.to(0, 0, 50), 10},
		{tray, duct, 60},
		{tray, duct.to(0, 0, 300), 230 - 300},
		{pipe, riser, 50},
		// The drain's lowest point is below its end's middle by the half of its diameter, plumb.
		{drain, tray.to(0, 0, -300), -270 - (-100 - 55*80/math.Hypot(80, 1))},
	}
	for _, test := range tests {
		for _, got := range []float64{SharedHeight(test.a, test.b), SharedHeight(test.b, test.a)} {
			if math.Abs(got-test.want) > 1e-9 {
				t.Errorf("SharedHeight(%v, %v) = %v, want %v", test.a, test.b, got, test.want)
			}
		}
	}
}
