package support

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// BarredBy says in which way something bars supports.
type BarredBy int

// What bars supports.
const (
	BarredByThing   BarredBy = iota // something stands there
	BarredByRoom                    // room that must stay free for something
	BarredByMark                    // nothing may be fixed there
	BarredByHole                    // an opening in the soffit
	BarredByNothing                 // a rod has no soffit over it: it is outside every bay
	BarredBySteel                   // it hangs from steel, and none is over all its rods
	BarredBySupport                 // a support of another run that somebody has set out stands there: of the row Zone
)

// Barring is what bars supports a stretch.
type Barring struct {
	What   BarredBy
	Part   string  // what of the support meets it: rod, channel, washer and nut; "" where that is not what counts
	Zone   int     // index of the zone that is in the way, or whose room it is; -1 for none
	Name   string  // its id; of an opening in a soffit its row
	No     int     // of a support that is set out: its number
	Length float64 // of the stretch, mm along the run
}

// Bar is stations at which a support may not stand, Lo and Hi themselves not among them, and why.
type Bar struct {
	Lo, Hi float64
	Barring
	thing int32 // of what stands there, or is to stay free: the zone, or -1 less the index of the access space
}

// Stretch is a part of a row along which it is asked where a support may stand: wherever the row is taken to be.
type Stretch struct {
	Row      int
	From, To float64    // along the row, mm in plan from its start; of a frame as far as that goes on
	Up       [2]float64 // how much higher than in the project the row is at From and at To
	Made     Made       // what its supports are made of
	Room     float64    // least from the middle of a rod to anything, mm; 0: it asks for its own room alone
}

// up returns how much higher than in the project the row is so far along it.
func (st *Stretch) up(along float64) float64 {
	if st.To-st.From <= void.Hair {
		return st.Up[0]
	}
	return st.Up[0] + (st.Up[1]-st.Up[0])*(along-st.From)/(st.To-st.From)
}

// How a stretch is cut, mm.
const (
	fallingSlice = 250.0 // parts of a falling stretch in which rods are taken as long as the longest of them
	pastEnd      = 1e-5  // what bars a part to its end is taken so far past it, so that the end itself is barred
)

// cell is a part of a stretch in which all supports are made alike, but for where they stand, and hang from the same.
type cell struct {
	from, to float64
	lo, hi   float64 // how far its bars count: a little past its ends
	mid      Support // the one in its middle
	whole    bool    // steel that its rods hang from, without anybody saying so, is over their whole width
}

// Bars returns the stations of a stretch, along its row, at which a support may not stand: there something is in the way of it, or it has
// nothing to hang from. nil for a row without supports.
//
//  1. The stretch is cut where supports come to be made otherwise, or to hang from something else: where a row of its frame begins or
//     ends, where a rod comes from one bay to another or under steel.
//  2. In each part the support is shifted as it is, so that the stations that one thing forbids one body of it are an interval
//     (body.Span). A falling row takes its channel along its slope; its rods are taken as long as the longest within a slice.
//  3. In the way is what InTheWay says, and rooms that must stay free; each rod counts from its tail to what it hangs from. Where nobody says
//     that it hangs from steel, it does only where steel is over the whole width of its rods. For where a rod is fixed, marks of no
//     fixing that are not lower than the service count, and openings in the soffit that it hangs from.
//
// met, where it is not nil, hears of each thing that is looked at; where it says false no more is, and Bars returns false.
func (h *Site) Bars(st Stretch, met func(zone int32) bool) (bars []Bar, ok bool) {
	for _, c := range h.cells(&st) {
		if bars, ok = h.barsOf(bars, &st, &c, met); !ok {
			return nil, false
		}
	}
	slices.SortStableFunc(bars, func(a, b Bar) int { return cmp.Compare(a.Lo, b.Lo) })
	return bars, true
}

// dirOf returns the direction of a row in plan.
func (h *Site) dirOf(row int) r3.Vector {
	d := planDir(h.tape.Project.Zone(row).Bare())
	return r3.Vector{X: d.X, Y: d.Y}
}

// rise returns by how much a stretch rises from its beginning to its end.
func (h *Site) rise(st *Stretch) float64 {
	a := h.tape.Project.Zone(st.Row).Bare().Along
	return a.Z/math.Hypot(a.X, a.Y)*(st.To-st.From) + st.Up[1] - st.Up[0]
}

// cells cuts a stretch.
func (h *Site) cells(st *Stretch) []cell {
	mid := (st.From + st.To) / 2
	s, ok := h.Plan.Along(st.Row, mid, st.up(mid), st.Made)
	if !ok || st.To-st.From <= void.Hair {
		return nil
	}
	cuts := append(h.bayCuts(st, &s, mid), h.Plan.frameCuts(st)...)
	if math.Abs(h.rise(st)) > void.Hair {
		cuts = finer(within(cuts, st.From, st.To), fallingSlice)
	}
	cuts = within(append(cuts, h.steelCuts(st, &s, mid)...), st.From, st.To)
	var out []cell
	for k := 1; k < len(cuts); k++ {
		c := cell{from: cuts[k-1], to: cuts[k], lo: cuts[k-1] - pastEnd, hi: cuts[k] + pastEnd}
		at := (c.from + c.to) / 2
		c.mid, _ = h.Plan.Along(st.Row, at, st.up(at), st.Made)
		if c.whole = !h.mayHang(st) || h.Plan.whole(&c.mid); !c.whole {
			m := st.Made
			m.From = "soffit"
			c.mid, _ = h.Plan.Along(st.Row, at, st.up(at), m) // no clamp holds there
		}
		if n := len(out) - 1; n >= 0 && c.good() != out[n].good() { // where one of two has something to hang from, so has what is between them
			if c.good() {
				out[n].hi = c.from
			} else {
				c.lo = c.from
			}
		}
		out = append(out, c)
	}
	return out
}

// good reports whether supports have something to hang from there.
func (c *cell) good() bool { return c.mid.Held && c.whole }

// within returns the ends of a stretch with the cuts between them, ascending, no two nearer than a hair.
func within(cuts []float64, from, to float64) []float64 {
	cuts = slices.Clone(cuts)
	slices.Sort(cuts)
	out := []float64{from}
	for _, x := range cuts {
		if x > out[len(out)-1]+void.Hair && x < to-void.Hair {
			out = append(out, x)
		}
	}
	return append(out, to)
}

// finer returns cuts with others between them, evenly, so that no part is longer than a length.
func finer(cuts []float64, most float64) []float64 {
	out := cuts[:1:1]
	for k := 1; k < len(cuts); k++ {
		n := math.Ceil((cuts[k] - cuts[k-1]) / most)
		for i := 1.0; i < n; i++ {
			out = append(out, cuts[k-1]+i/n*(cuts[k]-cuts[k-1]))
		}
		out = append(out, cuts[k])
	}
	return out
}

// mayHang reports whether rods hang from steel where some is over them: nobody says from what.
func (h *Site) mayHang(st *Stretch) bool { return h.Plan.Has(st.Row) && h.from(st) == "" }

// onSteel reports whether rods hang from steel because somebody says so.
func (h *Site) onSteel(st *Stretch) bool { return h.Plan.Has(st.Row) && OnSteel(h.from(st)) }

// from returns what the supports of a stretch hang from, as a hanger says it.
func (h *Site) from(st *Stretch) string {
	var one [1]int32
	_, l := h.Plan.where(int32(st.Row), one[:])
	return h.Plan.made(h.Plan.hangerOf(&l), st.Made).from
}

// bayCuts returns where along the row one of its rods comes from one bay to another; s is the support in the middle.
func (h *Site) bayCuts(st *Stretch, s *Support, mid float64) []float64 {
	var out []float64
	d := h.dirOf(st.Row)
	for k := range s.Rods {
		q := s.RodPoint(k)
		half := r2.Point{X: d.X, Y: d.Y}.Mul((st.To - st.From) / 2)
		for _, j := range h.tape.Project.BaysNear(int(h.tape.Project.Zone(st.Row).Storey), r2.RectFromPoints(q.Sub(half), q.Add(half))) {
			b := h.tape.Project.Bays[j].Plan
			for _, e := range [4][3]float64{{b.X.Lo, q.X, d.X}, {b.X.Hi, q.X, d.X}, {b.Y.Lo, q.Y, d.Y}, {b.Y.Hi, q.Y, d.Y}} {
				if e[2] != 0 {
					out = append(out, mid+(e[0]-e[1])/e[2])
				}
			}
		}
	}
	return out
}

// frameCuts returns where along a row of a frame another row of it begins or ends.
func (pl *Plan) frameCuts(st *Stretch) []float64 {
	var out []float64
	own := pl.placeOf[st.Row]
	for _, j := range pl.Frame(st.Row) {
		o := &pl.places[pl.placeOf[j]]
		for _, x := range [2]float64{o.from, o.to} {
			if at := &pl.places[own]; at.back {
				out = append(out, at.to-x)
			} else {
				out = append(out, x-at.from)
			}
		}
	}
	return out
}

// steelCuts returns where along the row one of its rods comes under steel or from under it, of rods that may hang from it by where
// their whole width does.
func (h *Site) steelCuts(st *Stretch, s *Support, mid float64) []float64 {
	may := h.mayHang(st)
	if !may && !h.onSteel(st) {
		return nil
	}
	var out []float64
	z, dir := h.tape.Project.Zone(st.Row), h.dirOf(st.Row)
	reach := z.Bare().Plan()
	for k := range s.Rods {
		reach = reach.AddPoint(s.RodPoint(k))
	}
	for _, j := range h.tape.Project.SteelNear(int(z.Storey), reach.ExpandedByMargin(1000)) {
		beam := measure.Tall(h.tape.Zone(j).Bare())
		for k := range s.Rods {
			points := []r2.Point{{}}
			if may {
				points = append(points, sides(s.Rod)...)
			}
			for _, off := range points {
				q := s.RodPoint(k).Add(off)
				if v, ok := body.Span(body.Cylinder(r3.Vector{X: q.X, Y: q.Y}, r3.Vector{X: q.X, Y: q.Y, Z: 1}, 0), beam, dir); ok {
					out = append(out, mid+v.Lo, mid+v.Hi)
				}
			}
		}
	}
	return out
}

// sides returns the points of a rod's side to either side of its middle, along either axis.
func sides(rod float64) []r2.Point {
	return []r2.Point{{X: rod / 2}, {X: -rod / 2}, {Y: rod / 2}, {Y: -rod / 2}}
}

// whole reports whether rods that hang from steel have it over their whole width, and none of it higher.
func (pl *Plan) whole(s *Support) bool {
	if s.FromSteel < 0 {
		return true
	}
	for k := range s.Rods {
		for _, off := range sides(s.Rod) {
			at := s.RodPoint(k).Add(off)
			if _, u, ok := pl.p.SteelAt(int(pl.p.Zone(int(s.Zone)).Storey), at, s.top()); !ok || u-pl.opt.Clamp < s.Up[k]-void.Hair {
				return false
			}
		}
	}
	return true
}

// barsOf adds what bars the stations of one part of a stretch.
func (h *Site) barsOf(bars []Bar, st *Stretch, c *cell, met func(zone int32) bool) ([]Bar, bool) {
	p, s := h.tape.Project, &c.mid
	mid, half := (c.from+c.to)/2, (c.to-c.from)/2
	dir := h.dirOf(st.Row)
	slope := dir
	slope.Z = h.rise(st) / (st.To - st.From)
	drop := math.Abs(slope.Z) * half
	add := func(v r1.Interval, why Barring, thing int32) {
		lo, hi := math.Max(mid+v.Lo, c.lo), math.Min(mid+v.Hi, c.hi)
		if v.Length() > void.Hair && hi > lo {
			bars = append(bars, Bar{lo, hi, why, thing})
		}
	}
	all := r1.Interval{Lo: c.lo - mid, Hi: c.hi - mid}
	clamped := h.onSteel(st)
	if s.Rods > 0 && !s.Held {
		why := Barring{What: BarredByNothing, Zone: -1}
		if clamped {
			why.What = BarredBySteel
		}
		add(all, why, 0)
	}
	rods := h.longRods(s, st, drop)
	parts := slices.Clone(rods)
	for _, part := range s.Bodies(nil) {
		if part.What != Rod {
			parts = append(parts, part)
		}
	}
	if len(parts) == 0 {
		return bars, true
	}
	swept := scene.BoxOf(parts[0].Body)
	for _, part := range parts[1:] {
		swept = scene.Union(swept, scene.BoxOf(part.Body))
	}
	swept = sweptBy(swept, slope.Mul(half))
	span := func(part *Part, o body.Body) (r1.Interval, bool) {
		d := slope
		if part.What == Rod {
			d = dir
		}
		v, in := body.Span(part.Body, o, d)
		if in {
			_, in = body.Span(lessAHair(part.Body), o, d) // else it rests against it on its way
		}
		return v, in
	}
	if h.tape.Some(swept, 0, func(o int32) bool {
		if !h.InTheWay(int32(st.Row), o, s) || clamped && !s.Held && h.tape.Char(o).Entry.Beam {
			return false // steel is what it lacks there
		}
		full := h.tape.Full(o)
		for k := range parts {
			if v, ok := span(&parts[k], full); ok {
				add(v, Barring{Zone: int(o), Name: p.Zone(int(o)).ID, Part: string(parts[k].What)}, o)
			}
		}
		return met != nil && !met(o)
	}) {
		return nil, false
	}
	h.setNear(swept, func(o *Support) {
		if !h.otherRun(int32(st.Row), o.Zone) {
			return
		}
		for _, of := range o.Bodies(nil) {
			for k := range parts {
				if v, ok := span(&parts[k], of.Body); ok {
					add(v, Barring{What: BarredBySupport, Part: string(parts[k].What), Zone: int(o.Zone), Name: p.Zone(int(o.Zone)).ID, No: o.N}, o.Zone)
				}
			}
		}
	})
	h.spaces.Near(swept, func(n int) {
		sp := &p.Spaces[h.spaces.Of[n]]
		if int(sp.For) == st.Row {
			return
		}
		for k := range parts {
			if v, ok := span(&parts[k], h.spaces.Body[n]); ok {
				add(v, Barring{What: BarredByRoom, Part: string(parts[k].What), Zone: int(sp.For), Name: p.Zone(int(sp.For)).ID}, -1-h.spaces.Of[n])
			}
		}
	})
	fixed := func(k int, over body.Body, why Barring) {
		if v, ok := body.Span(measure.Tall(rods[k].Body), over, dir); ok {
			add(v, why, 0)
		}
	}
	h.marks.Near(scene.Column(swept), func(n int) {
		if i := h.marks.Of[n]; h.forbidsFixing(i, s) {
			for k := range rods {
				fixed(k, h.marks.Body[n], Barring{What: BarredByMark, Zone: int(i), Name: p.Zone(int(i)).ID})
			}
		}
	})
	for k := range rods {
		if s.Hung[k].Bay < 0 {
			continue
		}
		for _, n := range h.tape.SoffitHole[s.Hung[k].Bay] {
			op := &p.Openings[n]
			fixed(k, tallHole(op), Barring{What: BarredByHole, Zone: -1, Name: p.FileLine(op.Row)})
		}
	}
	return bars, true
}

// longRods returns the rods of a support with the room that they ask for, each as long as it is anywhere in a part in which its tail drops
// by so much to either side. What has nothing to hang from goes up to the soffit.
func (h *Site) longRods(s *Support, st *Stretch, drop float64) []Part {
	var out []Part
	for k := range s.Rods {
		q, top := s.RodPoint(k), s.Up[k]
		if !s.Hung[k].holds() {
			if _, soffit, ok := h.tape.Project.SoffitAt(int(h.tape.Project.Zone(st.Row).Storey), q, top); ok {
				top = math.Max(top, soffit)
			}
		}
		from, to := r3.Vector{X: q.X, Y: q.Y, Z: s.Tail - drop}, r3.Vector{X: q.X, Y: q.Y, Z: math.Max(top, s.Tail-drop+2*void.Hair)}
		out = append(out, Part{Rod, body.Cylinder(from, to, math.Max(s.Rod, 2*st.Room))})
	}
	return out
}

// lessAHair returns a body smaller by a hair all round: what is in it by no more rests against it.
func lessAHair(b body.Body) body.Body {
	b.W = math.Max(0, b.W-void.Hair)
	b.H = math.Max(0, b.H-void.Hair)
	if n := b.Along.Norm(); n > 2*void.Hair {
		b.Along = b.Along.Mul((n - void.Hair) / n)
	}
	return b
}

// sweptBy returns a box with all places that it has when it is shifted by a vector, and against it.
func sweptBy(b scene.Box, v r3.Vector) scene.Box {
	for k, d := range [3]float64{math.Abs(v.X), math.Abs(v.Y), math.Abs(v.Z)} {
		b.Lo[k], b.Hi[k] = b.Lo[k]-d, b.Hi[k]+d
	}
	return b
}

// forbidsFixing reports whether a mark forbids what is fixed over a support: it is of its storey, and not lower than the service.
func (h *Site) forbidsFixing(mark int32, s *Support) bool {
	z := h.tape.Zone(mark)
	return z.Storey == h.tape.Zone(s.Zone).Storey && z.Full().Height().Hi >= s.Levels()[0].Over-void.Hair
}

// tallHole returns an opening in a soffit as high as the building, a round one with its corners.
func tallHole(o *void.Opening) body.Body {
	return measure.Tall(body.Upright(r2.RectFromCenterSize(r2.Point{X: o.Centre.X, Y: o.Centre.Y}, r2.Point{X: 2 * o.HalfA, Y: 2 * o.HalfB}), r1.Interval{}))
}

// Clear returns what bars leave of stations between two, as closed intervals, ascending.
func Clear(from, to float64, bars []Bar) []r1.Interval {
	var out []r1.Interval
	for _, b := range mergedBars(bars) {
		if hi := math.Min(b.Lo, to); hi >= from {
			out = append(out, r1.Interval{Lo: from, Hi: hi})
		}
		from = math.Max(from, b.Hi)
	}
	if from <= to {
		out = append(out, r1.Interval{Lo: from, Hi: to})
	}
	return out
}

// mergedBars returns stretches that are barred, put together where they meet, ascending.
func mergedBars(bars []Bar) []r1.Interval {
	list := make([]r1.Interval, 0, len(bars))
	for _, b := range bars {
		list = append(list, r1.Interval{Lo: b.Lo, Hi: b.Hi})
	}
	slices.SortFunc(list, func(a, b r1.Interval) int { return cmp.Compare(a.Lo, b.Lo) })
	var out []r1.Interval
	for _, b := range list {
		if n := len(out); n > 0 && b.Lo <= out[n-1].Hi+void.Hair {
			out[n-1].Hi = math.Max(out[n-1].Hi, b.Hi)
		} else {
			out = append(out, b)
		}
	}
	return out
}

// Barrings returns what of bars lies between two stations, each thing with the length that it bars, that which bars the most first.
func Barrings(bars []Bar, from, to float64) []Barring {
	type of struct {
		what       BarredBy
		part, name string
		zone, no   int
	}
	found := map[of][]Bar{}
	for _, b := range bars {
		if b.Lo, b.Hi = math.Max(b.Lo, from), math.Min(b.Hi, to); b.Hi > b.Lo+void.Hair {
			k := of{b.What, b.Part, b.Name, b.Zone, b.No}
			found[k] = append(found[k], b)
		}
	}
	var out []Barring
	for k, list := range found {
		sum := 0.0
		for _, v := range mergedBars(list) {
			sum += v.Length()
		}
		out = append(out, Barring{k.what, k.part, k.zone, k.name, k.no, sum})
	}
	return Together(nil, out)
}

// Together returns what bars one stretch and another, what is the same in one, that which bars the most of both first.
func Together(a, b []Barring) []Barring {
	a = slices.Clone(a)
	for _, x := range b {
		if at := slices.IndexFunc(a, func(y Barring) bool {
			return y.What == x.What && y.Zone == x.Zone && y.Name == x.Name && y.No == x.No && y.Part == x.Part
		}); at >= 0 {
			a[at].Length += x.Length
		} else {
			a = append(a, x)
		}
	}
	slices.SortFunc(a, func(a, b Barring) int {
		return cmp.Or(cmp.Compare(math.Round(b.Length), math.Round(a.Length)), cmp.Compare(a.What, b.What), void.Natural(a.Name, b.Name), cmp.Compare(a.No, b.No), cmp.Compare(a.Part, b.Part))
	})
	return a
}
