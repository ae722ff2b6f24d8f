package void

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"
	"pgregory.net/rapid"

	"voidline/void/body"
	"voidline/void/cell"
)

// aName draws a name; names of one project are often near each other.
func aName(t *rapid.T) string {
	letter := rapid.SampledFrom([]string{"a", "A", "b", "7", "-", " ", "  ", "\t", "é", "É", "K", "k", "\u212a", "ß", "\u00a0", "_", "@", "`", "[", "{"})
	return strings.Join(rapid.SliceOfN(letter, 0, 5).Draw(t, "name"), "")
}

// Names are the same where fold makes them the same, and then their hashes are.
func TestNames(t *testing.T) {
	same := 0
	one := func(t *rapid.T) {
		a, b := aName(t), aName(t)
		if rapid.Bool().Draw(t, "the same in another case") {
			b = strings.ToUpper(a)
		}
		want := fold(a) == fold(b)
		if got := sameName(a, b); got != want {
			t.Fatalf("sameName(%q, %q) = %t, folded %q and %q", a, b, got, fold(a), fold(b))
		}
		if want && hashName(a) != hashName(b) {
			t.Fatalf("%q and %q are the same and their hashes %x and %x", a, b, hashName(a), hashName(b))
		}
		if want && a != b {
			same++
		}
	}
	for range 5 { // some nine in a hundred differ and are the same at worst: five times a hundred are enough in every run
		rapid.Check(t, one)
	}
	if same < 10 && !testing.Short() {
		t.Errorf("%d pairs of names that differ and are the same: that says little", same)
	}
}

// The table of ids says what a map of folded ids says, while zones come and go.
func TestIDs(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		var zones zoneList
		var ids idTable
		want := map[string]int32{}
		for range rapid.IntRange(1, 300).Draw(t, "steps") {
			id := aName(t) + fmt.Sprint(rapid.IntRange(0, 60).Draw(t, "number"))
			if n, there := want[fold(id)]; there && rapid.Bool().Draw(t, "remove") {
				ids.remove(&zones, id)
				zones.at(int(n)).Gone = true
				delete(want, fold(id))
			} else {
				n := int32(zones.n)
				zones.add().ID = id
				got, ok := ids.add(&zones, n)
				if first, there := want[fold(id)]; there {
					if ok || got != first {
						t.Fatalf("add(%q) = %d, %t; zone %d has the id", id, got, ok, first)
					}
					zones.cut(int(n))
				} else {
					if !ok || got != n {
						t.Fatalf("add(%q) = %d, %t, want %d", id, got, ok, n)
					}
					want[fold(id)] = n
				}
			}
		}
		if rapid.Bool().Draw(t, "renew") {
			ids.renew(&zones)
		}
		for id, n := range want {
			if got, ok := ids.find(&zones, strings.ToUpper(id)); fold(strings.ToUpper(id)) == id && (!ok || got != n) {
				t.Fatalf("find(%q) = %d, %t, want %d", strings.ToUpper(id), got, ok, n)
			}
		}
		for range 20 {
			id := aName(t)
			if got, ok := ids.find(&zones, id); ok != func() bool { _, there := want[fold(id)]; return there }() || ok && got != want[fold(id)] {
				t.Fatalf("find(%q) = %d, %t", id, got, ok)
			}
		}
		if live := len(want); ids.taken < live || len(ids.slots) > 0 && ids.taken > len(ids.slots)/5*4+1 {
			t.Fatalf("%d places taken of %d by %d ids", ids.taken, len(ids.slots), live)
		}
	})
}

// What lies near a rectangle is all that touches it, ascending and each once, whatever was added later or was
// elsewhere before.
func TestTiles(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		side := rapid.SampledFrom([]float64{100, 5e4, 1e6, 1e7}).Draw(t, "side")
		rect := func() r2.Rect {
			size := rapid.SampledFrom([]float64{0, 10, 8000, 5e4, 4e5, 2e7}).Draw(t, "size")
			x, y := rapid.Float64Range(-side, side).Draw(t, "x"), rapid.Float64Range(-side, side).Draw(t, "y")
			return r2.Rect{X: r1.Interval{Lo: x, Hi: x + size*rapid.Float64Range(0, 1).Draw(t, "dx")}, Y: r1.Interval{Lo: y, Hi: y + size*rapid.Float64Range(0, 1).Draw(t, "dy")}}
		}
		n := rapid.IntRange(0, 40).Draw(t, "entries")
		at := map[int32]r2.Rect{}
		var entries []int32
		for i := range n {
			at[int32(i)] = rect()
			entries = append(entries, int32(i))
		}
		l := lay(entries, func(i int32) r2.Rect { return at[i] })
		for range rapid.IntRange(0, 10).Draw(t, "later") {
			i := int32(rapid.IntRange(0, n+5).Draw(t, "entry"))
			at[i] = rect()
			l.add(at[i], i)
		}
		for range 5 {
			q := rect()
			near := l.near(q, []int32{99})
			if !slices.IsSorted(near) || len(slices.Compact(slices.Clone(near))) != len(near) {
				t.Fatalf("near(%v) = %v", q, near)
			}
			for i, r := range at {
				if r.Intersects(q) && !slices.Contains(near, i) {
					t.Fatalf("near(%v) = %v without %d at %v", q, near, i, r)
				}
			}
		}
	})
}

// The bare body is what package body makes of the same section and ends, to the last bit.
func TestBare(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		mm := func(name string) float64 {
			return float64(rapid.IntRange(-20, 20).Draw(t, name)) * rapid.SampledFrom([]float64{0.1, 100, 1234.567}).Draw(t, "of")
		}
		size := func(name string) float64 { return rapid.Float64Range(1, 3000).Draw(t, name) }
		z := Zone{alike: &alike{}, x1: mm("x1"), y1: mm("y1"), x2: mm("x2"), y2: mm("y2"), at: mm("level")}
		z.a, z.b, z.c = size("a"), size("b"), size("c")
		z.face = cell.Facing(rapid.IntRange(int(cell.Unsaid), int(cell.Top)).Draw(t, "face"))
		if math.Hypot(z.x2-z.x1, z.y2-z.y1) == 0 {
			z.x2++
		}
		start, end := r3.Vector{X: z.x1, Y: z.y1}, r3.Vector{X: z.x2, Y: z.y2}
		var want body.Body
		half := z.b / 2 // from the underside to the middle of the start
		switch rapid.IntRange(0, 4).Draw(t, "what") {
		case 0:
			z.form, z.end = cell.Rectangle, rapid.SampledFrom([]float64{0, 0.0125, -0.3}).Draw(t, "fall")
			end.Z = -z.end * z.length()
			want = body.Box(start, end, z.a, z.b)
		case 1:
			z.form, z.end = cell.Circle, rapid.SampledFrom([]float64{0, 0.0125, 0.3}).Draw(t, "fall")
			end.Z = -z.end * z.length()
			want = body.Cylinder(start, end, z.a)
			half = z.a / 2
			if z.end != 0 {
				half = want.W * math.Hypot(1, want.Along.Z/math.Hypot(want.Along.X, want.Along.Y))
			}
		case 2:
			z.Item, z.form = true, cell.Solid
			want = body.Body{Centre: start, Along: r3.Vector{X: z.a / 2}, Across: r2.Point{Y: 1}, W: z.b / 2, H: z.c / 2}
			half = z.c / 2
		case 3:
			z.Item, z.form = true, cell.Disc
			want = body.Cylinder(start.Sub(r3.Vector{Z: z.b / 2}), start.Add(r3.Vector{Z: z.b / 2}), z.a)
		default:
			z.Item, z.Upright, z.form = true, true, cell.Rectangle
			z.end = z.at + size("high")
			want = body.Body{Centre: r3.Vector{X: z.x1, Y: z.y1, Z: (z.at + z.end) / 2}, Along: r3.Vector{X: z.a / 2}, Across: r2.Point{Y: 1}, W: z.b / 2, H: (z.end - z.at) / 2}
		}
		if !z.Upright {
			switch z.face {
			case cell.Centre:
				half = 0
			case cell.Top:
				half = -half
			}
			want.Centre.Z += z.at + half
		}
		want.Block = z.Item && !want.Round
		if got := z.Bare(); got != want {
			t.Fatalf("%+v %+v: %+v, want %+v", z, z.said, got, want)
		}
	})
}

// A zone enters the bays whose plan its own overlaps by more than a hair, by the measure of package body.
func TestEnters(t *testing.T) {
	in, out, near := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		mm := func(name string) float64 {
			return rapid.SampledFrom([]float64{0, 0, 5, -40, 700, -2500, 6000}).Draw(t, name) + rapid.SampledFrom([]float64{0, 0, 1e-3, 0.02, -0.3}).Draw(t, "and")
		}
		p, q := r3.Vector{X: mm("x1"), Y: mm("y1")}, r3.Vector{X: mm("x2"), Y: mm("y2"), Z: rapid.SampledFrom([]float64{0, 0, -20, 900}).Draw(t, "rise")}
		if p.Sub(q).Norm() < 1 {
			q.X++
		}
		var b body.Body
		switch size := rapid.SampledFrom([]float64{2, 80, 600}).Draw(t, "size"); {
		case rapid.Bool().Draw(t, "round"):
			b = body.Cylinder(p, q, size)
		case math.Hypot(q.X-p.X, q.Y-p.Y) < 1:
			return
		default:
			b = body.Box(p, q, size, 100)
		}
		x, y := mm("bay x"), mm("bay y")
		bay := &Bay{Plan: r2.Rect{X: r1.Interval{Lo: x, Hi: x + 2500}, Y: r1.Interval{Lo: y, Hi: y + 700}}}
		shared := body.PlanOverlap(b, body.Upright(bay.Plan, b.Height()))
		if math.Abs(shared-Hair) < 1e-4 {
			near++
			return
		}
		ask := asking(&b)
		if got := ask.enters(bay); got != (shared > Hair) {
			t.Fatalf("%+v enters %v: %t, and they overlap by %v", b, bay.Plan, got, shared)
		}
		if shared > Hair {
			in++
		} else {
			out++
		}
	})
	if t.Logf("%d in, %d out, %d about a hair", in, out, near); (in < 10 || out < 10) && !testing.Short() {
		t.Error("that says little")
	}
}

// An entry over more tiles than are kept for one (33 by 33 tiles of 8 m, of 1024) is looked at always; the entries behind it are
// found all the same: 130 of them, so that the tiles stay 8 m wide.
func TestLayGoesOnBehindALargeEntry(t *testing.T) {
	at := []r2.Rect{{X: r1.Interval{Lo: 1, Hi: 33*tileSize - 1}, Y: r1.Interval{Lo: 1, Hi: 33*tileSize - 1}}}
	entries := []int32{0}
	for i := range 130 {
		lo := float64(1000 * (i + 1))
		at = append(at, r2.Rect{X: r1.Interval{Lo: lo, Hi: lo + 500}, Y: r1.Interval{Lo: lo, Hi: lo + 500}})
		entries = append(entries, int32(i+1))
	}
	l := lay(entries, func(i int32) r2.Rect { return at[i] })
	if l.size != tileSize || !slices.Equal(l.big, []int32{0}) {
		t.Fatalf("tiles of %v, large are %v", l.size, l.big)
	}
	for i := range at {
		if near := l.near(at[i], nil); !slices.Contains(near, int32(i)) {
			t.Errorf("near(%v) = %v, without %d itself", at[i], near, i)
		}
	}
}

// A grid line that is there twice stays where the first row has it; the second is counted as missing.
func TestGridLineTwice(t *testing.T) {
	p := New("p", []string{"grid.csv"})
	tableOf(t, "axis,label,position\nx,A,0\nx,a,6000\ny,A,500\nx,B,9000", p.AddGrid)
	p.Resolve()
	want := []GridLine{{Label: "A", Position: 0}, {Label: "B", Position: 9000}}
	if !slices.Equal(p.GridX, want) || len(p.GridY) != 1 || p.RowsMissing != 1 {
		t.Errorf("x %v, y %v, %d rows missing; want x %v, one y, 1 row", p.GridX, p.GridY, p.RowsMissing, want)
	}
}

// An opening in a wall that runs from 1000, 2000 to 1000, 8000, by x and y: 1500 from its start. What is no size of an opening, and half
// a place, are refused.
func TestOpeningByItsPlace(t *testing.T) {
	for _, test := range []struct{ row, want string }{
		{",1000,3500,ø200", ""},
		{"1500,,,ø200", ""},
		{",,3500,ø200", "no place"},
		{",1000,,ø200", "no place"},
		{",,,ø200", "no place"},
		{"1500,1000,,ø200", "both at and x, y are given"},
		{"1500,,3500,ø200", "both at and x, y are given"},
		{",1000,8001,ø200", "6001 mm is not on the 6000 mm of \"W\""},
		{"1500,,,UB 254x146x31", "is not the size of an opening"},
		{"1500,,,600x400x100", "is not the size of an opening"},
		{"1500,,,DN150", "is not the size of an opening"},
		{"1500,,,", "blank"},
	} {
		p := New("p", []string{"bays.csv", "partitions.csv"})
		tableOf(t, "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,2700", p.AddBay)
		tableOf(t, "id,x1,y1,x2,y2,size,level,kind\nW,1000,2000,1000,8000,100,FFL..soffit,wall", func(r ZoneRow) {
			r.At.File = 1
			p.AddZone("partitions.csv", &r)
		})
		tableOf(t, "in,at,x,y,size,level\nW,"+test.row+",3000", p.AddOpening)
		p.Resolve()
		switch {
		case test.want != "":
			if len(p.Problems) != 1 || !strings.Contains(p.Problems[0].What, test.want) {
				t.Errorf("%s: %v, want %q", test.row, p.Problems, test.want)
			}
		case len(p.Problems) > 0 || len(p.Openings) != 1 || p.Openings[0].Centre.X != 1000 || p.Openings[0].Centre.Y != 3500:
			t.Errorf("%s: %v, %+v", test.row, p.Problems, p.Openings)
		}
	}
}

// Under a beam that falls 1 in 100 from an underside of 3300 at its start: over a duct from 1000 to 3000 along it the lowest is 3270.
func TestLevelUnderABeamThatFalls(t *testing.T) {
	p := New("p", []string{"bays.csv", "steel.csv", "ductwork.csv"})
	tableOf(t, "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,12000,9000,4000,2500", p.AddBay)
	for k, text := range []string{
		"id,x1,y1,x2,y2,size,level,fall,kind\nB,0,3000,10000,3000,200x300,3300,1 in 100,beam",
		"id,x1,y1,x2,y2,size,level\nD,1000,3000,3000,3000,100x100,steel-200",
	} {
		tableOf(t, text, func(r ZoneRow) {
			r.At.File = int32(k + 1)
			p.AddZone(p.Files[k+1], &r)
		})
	}
	p.Resolve()
	i, ok := p.ZoneByID("D")
	if !ok || len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	if got := p.Zone(i).Bare().Height().Lo; math.Abs(got-3070) > Hair {
		t.Errorf("its underside is at %v, want 3270 - 200", got)
	}
}
