package model

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"

	"voidline/void"
	"voidline/void/vocabulary"
)

// bay is a bay as it is written.
type bay struct {
	name   string
	storey int
	r      r2.Rect
	soffit float64
	found  bool   // the soffit stands in the model
	over   *thing // the ceiling, nil for none
	slab   *thing // whose underside the soffit is, nil for none or several
	face   float64
	layers []layer
	note   string
	piece  int
	of     *thing // the room or the ceiling that it was made of, nil for none
	row    *Row   // of bays.csv
}

// layer is a layer of a build-up, from the finished face up.
type layer struct {
	name string
	mm   float64
}

// The lengths that decide how bays are cut, mm.
const (
	ceilingLeast = 1500.0 // over the floor: what is lower is a plinth, a seat, a floor finish
	soffitOver   = 1000.0 // how far over the next floor a soffit is still looked for
	openStorey   = 10e3   // how far over the topmost floor
	sliver       = 100.0  // edges that are nearer to each other are one
	askew        = 500.0  // steps in which an outline that is not square is cut
	holeLeast    = 4e6    // square millimetres: a smaller opening in a slab is a hole in the soffit, a larger one is no slab there
	mostEdges    = 240    // of one outline, each way
)

// Limits are the lengths that decide how models become tables.
func Limits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "ceiling over the floor, at least", MM: ceilingLeast, Why: "what is lower is a plinth or a finish"},
		{Name: "soffit over the next floor, furthest", MM: soffitOver, Why: "a slab with a step or a fall"},
		{Name: "soffit over the topmost floor, furthest", MM: openStorey, Why: "a hall"},
		{Name: "edges of outlines that are one", MM: sliver, Why: "a ceiling stops short of its walls; no bay is as narrow as that"},
		{Name: "steps of outlines that are not square", MM: askew, Why: "a bay is a rectangle"},
		{Name: "opening in a slab that is no hole, side of its square", MM: math.Sqrt(holeLeast), Why: "a stair or an atrium has no soffit there; what is smaller is a hole in the soffit"},
		{Name: "in a bay without a ceiling what stands in the room reaches over the floor, at most", MM: inReach, Why: "doors and what hangs on walls end there; it counts for what is a row only over a ceiling"},
		{Name: "walls and columns from a bay, furthest", MM: nearBay, Why: "they stand between rooms"},
		{Name: "height and breadth of what is taken, at least", MM: leastHigh, Why: "what is flatter is a surface, a line, a mark"},
		{Name: "ends of one run without ports, apart at most", MM: runEnds, Why: "what the drawing joins meets to a hair"},
		{Name: "file from the others, furthest", MM: liesApart, Why: "what is further has another origin, or is another building's; it is told and taken"},
		{Name: "level that is one storey's, apart at most", MM: sameLevel, Why: "files round"},
	})
}

// makeBays cuts the storeys into bays: by rooms where there are any, else by the outlines of ceilings, else by grid lines, else by a lattice.
func (b *building) makeBays() {
	rooms, ceilings := make([][]*thing, len(b.storeys)), make([][]*thing, len(b.storeys))
	services := make([]r2.Rect, len(b.storeys))
	for i := range services {
		services[i] = r2.EmptyRect()
	}
	for _, t := range b.things {
		if len(t.forms) == 0 {
			continue
		}
		switch t.line.Becomes {
		case vocabulary.AsRoom:
			t.storey = b.storeyAt(t.low.Z + 300) // a room may begin in the build-up of its floor
			rooms[t.storey] = append(rooms[t.storey], t)
		case vocabulary.AsCeiling:
			t.storey = b.storeyAt(t.low.Z - ceilingLeast)
			ceilings[t.storey] = append(ceilings[t.storey], t)
			t.became = "a ceiling"
		case vocabulary.AsSoffit:
			t.storey = b.storeyAt(t.low.Z)
			t.became = "soffits"
			b.soffits = append(b.soffits, t)
		case vocabulary.AsOpening:
			if t.el.In >= 0 {
				host := b.of[&b.files[t.file].m.Elements[t.el.In]]
				b.openings[host] = append(b.openings[host], t)
			}
		case vocabulary.AsZone, vocabulary.AsAbove:
			if vocabulary.IsService(t.el.Kind()) {
				s := b.storeyAt(t.low.Z)
				services[s] = services[s].AddRect(r2.RectFromPoints(r2.Point{X: t.low.X, Y: t.low.Y}, r2.Point{X: t.high.X, Y: t.high.Y}))
			}
		}
	}
	any := slices.ContainsFunc(rooms, func(r []*thing) bool { return len(r) > 0 })
	for s := range b.storeys {
		switch {
		case len(rooms[s]) > 0:
			for _, t := range rooms[s] {
				b.roomBays(s, t, ceilings[s])
			}
		case len(ceilings[s]) > 0:
			if any {
				b.told.add("bays", "%s has no rooms: its bays are cut from its ceilings", b.storeys[s].name)
			}
			for _, t := range ceilings[s] {
				b.outlineBays(s, t, ceilings[s])
			}
		case services[s].IsEmpty():
		case b.cells(s, services[s]):
		case b.opt.Lattice > 0:
			b.lattice(s, services[s])
		default:
			b.told.add("bays", "%s has neither rooms nor ceilings nor grid lines: it has no bays (--lattice MM cuts it into squares)", b.storeys[s].name)
		}
	}
	slices.SortStableFunc(b.bays, func(x, y bay) int {
		return cmp.Or(cmp.Compare(x.storey, y.storey), void.Natural(x.name, y.name))
	})
}

// roomBays cuts a room into bays.
func (b *building) roomBays(s int, t *thing, ceilings []*thing) {
	name := cmp.Or(t.el.Name, t.el.LongName, "room")
	note := ""
	if t.el.LongName != "" && t.el.LongName != name {
		note = t.el.LongName
	}
	n := len(b.bays)
	b.cut(s, b.outline(t), bay{name: name, note: note, of: t}, ceilings)
	t.became = "bays"
	if len(b.bays) == n {
		t.out("too small for a bay")
		b.told.at("bays", b.files[t.file].m, t.el, "gives no bay: it is smaller than %s", mm(sliver))
	}
}

// outlineBays makes bays of a ceiling's own outline.
func (b *building) outlineBays(s int, t *thing, ceilings []*thing) {
	b.cut(s, b.outline(t), bay{name: cmp.Or(t.el.Name, "ceiling"), of: t}, ceilings)
	t.became = "a ceiling with its bays"
}

// outline returns where an element is in plan: the outlines of its underside, else of its box.
func (b *building) outline(t *thing) [][]r2.Point {
	if o := t.body.Outlines(); len(o) > 0 {
		return o
	}
	b.told.at("bays", b.files[t.file].m, t.el, "has no level underside: the box round it is taken")
	return rectangle(r2.RectFromPoints(r2.Point{X: t.low.X, Y: t.low.Y}, r2.Point{X: t.high.X, Y: t.high.Y}))
}

func rectangle(r r2.Rect) [][]r2.Point {
	v := r.Vertices()
	return [][]r2.Point{v[:]}
}

// cells makes a bay of each field between grid lines; false where there are no two of each.
func (b *building) cells(s int, round r2.Rect) bool {
	var x, y []axis
	for _, a := range b.axes {
		if a.axis == "x" {
			x = append(x, a)
		} else {
			y = append(y, a)
		}
	}
	if len(x) < 2 || len(y) < 2 {
		return false
	}
	b.told.add("bays", "%s has no rooms and no ceilings: its bays lie between the grid lines", b.storeys[s].name)
	for i := 1; i < len(x); i++ {
		for j := 1; j < len(y); j++ {
			r := r2.RectFromPoints(r2.Point{X: x[i-1].at, Y: y[j-1].at}, r2.Point{X: x[i].at, Y: y[j].at})
			b.cut(s, rectangle(r), bay{name: fmt.Sprintf("%s-%s/%s-%s", x[i-1].label, x[i].label, y[j-1].label, y[j].label)}, nil)
		}
	}
	return true
}

// lattice cuts a storey into squares, over all that is in it.
func (b *building) lattice(s int, round r2.Rect) {
	step := b.opt.Lattice
	b.told.add("bays", "%s is cut into squares of %s, as was asked", b.storeys[s].name, mm(step))
	x0, y0 := math.Floor(round.X.Lo/step), math.Floor(round.Y.Lo/step)
	nx, ny := int(math.Ceil(round.X.Hi/step)-x0), int(math.Ceil(round.Y.Hi/step)-y0)
	if nx*ny > 10_000 {
		b.told.first("%s would be cut into %d squares: give a larger --lattice; it has no bays", b.storeys[s].name, nx*ny)
		return
	}
	for i := range max(nx, 1) {
		for j := range max(ny, 1) {
			lo := r2.Point{X: (x0 + float64(i)) * step, Y: (y0 + float64(j)) * step}
			r := r2.RectFromPoints(lo, r2.Point{X: lo.X + step, Y: lo.Y + step})
			b.cut(s, rectangle(r), bay{name: fmt.Sprintf("%d/%d", i+1, j+1)}, nil)
		}
	}
}

// field is what a piece of the plan has over it.
type field struct {
	in            bool
	over          *thing
	face, top     int64 // of the ceiling, in tenths of a millimetre
	soffit        int64
	found, sloped bool
	slab          *thing // whose underside the soffit is; several are none
}

// alike reports whether two pieces may be of one bay: slabs at one level are one soffit.
func (f field) alike(o field) bool {
	f.slab = o.slab
	return f == o
}

// and returns what two pieces that are alike have over them together.
func (f field) and(o field) field {
	if f.slab != o.slab {
		f.slab = nil
	}
	return f
}

// cut cuts an outline into rectangles of one ceiling and one soffit each, and makes bays of them.
func (b *building) cut(s int, outline [][]r2.Point, as bay, ceilings []*thing) {
	box := r2.EmptyRect()
	for _, l := range outline {
		for _, p := range l {
			box = box.AddPoint(p)
		}
	}
	if box.IsEmpty() || box.X.Length() < sliver || box.Y.Length() < sliver {
		return
	}
	xs, ys := edges{lo: box.X.Lo, hi: box.X.Hi}, edges{lo: box.Y.Lo, hi: box.Y.Hi}
	slanted := false
	for _, l := range outline {
		for k, p := range l {
			q := l[(k+1)%len(l)]
			xs.own, ys.own = append(xs.own, p.X), append(ys.own, p.Y)
			if math.Abs(p.X-q.X) > 1 && math.Abs(p.Y-q.Y) > 1 {
				slanted = true
				xs.step(p.X, q.X)
				ys.step(p.Y, q.Y)
			}
		}
	}
	for _, t := range ceilings {
		if t.low.X > box.X.Hi || t.high.X < box.X.Lo || t.low.Y > box.Y.Hi || t.high.Y < box.Y.Lo {
			continue
		}
		for _, l := range t.body.Outlines() {
			for _, p := range l {
				xs.others, ys.others = append(xs.others, p.X), append(ys.others, p.Y)
			}
		}
	}
	slabs := b.slabs(s, box)
	for _, sl := range slabs {
		xs.others, ys.others = append(xs.others, sl.t.low.X, sl.t.high.X), append(ys.others, sl.t.low.Y, sl.t.high.Y)
		for _, l := range sl.t.body.Outlines() {
			if len(l) <= 24 {
				for _, p := range l {
					xs.others, ys.others = append(xs.others, p.X), append(ys.others, p.Y)
				}
			}
		}
		for _, o := range sl.holes {
			xs.others, ys.others = append(xs.others, o.low.X, o.high.X), append(ys.others, o.low.Y, o.high.Y)
		}
	}
	x, y := xs.cut(), ys.cut()
	fields := make([]field, (len(x)-1)*(len(y)-1))
	for i := range len(x) - 1 {
		for j := range len(y) - 1 {
			f := &fields[j*(len(x)-1)+i]
			r := r2.RectFromPoints(r2.Point{X: x[i], Y: y[j]}, r2.Point{X: x[i+1], Y: y[j+1]})
			for _, l := range outline {
				f.in = f.in != within(l, r.Center())
			}
			if f.in {
				b.look(s, f, r, ceilings, slabs)
			}
		}
	}
	if slanted {
		b.told.count("bays", "Outlines that are not square, cut in steps")
	}
	b.merge(s, x, y, fields, as)
}

// edges are where an outline is cut along one axis.
type edges struct {
	lo, hi      float64
	own, others []float64
}

// step cuts an edge that stands askew.
func (e *edges) step(a, b float64) {
	n := int(math.Abs(b-a) / askew)
	for k := 1; k < n && n < mostEdges; k++ {
		e.own = append(e.own, a+(b-a)*float64(k)/float64(n))
	}
}

// cut returns the edges in order: the ends, then the outline's own, then others that are no slivers.
func (e *edges) cut() []float64 {
	out := []float64{e.lo, e.hi}
	add := func(v []float64, least float64) {
		slices.Sort(v)
		for _, x := range v {
			if x <= e.lo || x >= e.hi || len(out) > mostEdges {
				continue
			}
			i, _ := slices.BinarySearch(out, x)
			if x-out[i-1] >= least && out[i]-x >= least {
				out = slices.Insert(out, i, x)
			}
		}
	}
	add(e.own, 1)
	add(e.others, sliver)
	return out
}

func within(l []r2.Point, p r2.Point) bool {
	in := false
	for k, a := range l {
		c := l[(k+1)%len(l)]
		if (a.X > p.X) != (c.X > p.X) && a.Y+(c.Y-a.Y)*(p.X-a.X)/(c.X-a.X) > p.Y {
			in = !in
		}
	}
	return in
}

// slab is what may be the soffit of a storey, with the openings in it that are no slab.
type slab struct {
	t     *thing
	holes []*thing
}

// slabs returns what may be the soffit over a part of a storey.
func (b *building) slabs(s int, box r2.Rect) []slab {
	least, most := b.reach(s)
	var out []slab
	for _, t := range b.soffits {
		if t.low.Z < least || t.low.Z > most {
			continue
		}
		if t.low.X > box.X.Hi || t.high.X < box.X.Lo || t.low.Y > box.Y.Hi || t.high.Y < box.Y.Lo {
			continue
		}
		sl := slab{t: t}
		for _, o := range b.openingsIn(t) {
			if (o.high.X-o.low.X)*(o.high.Y-o.low.Y) >= holeLeast {
				sl.holes = append(sl.holes, o)
			}
		}
		out = append(out, sl)
	}
	return out
}

// reach returns between which levels the soffit of a storey is looked for.
func (b *building) reach(s int) (least, most float64) {
	ffl := b.storeys[s].z
	if next, ok := b.above(s); ok {
		return ffl + ceilingLeast, next + soffitOver
	}
	return ffl + ceilingLeast, ffl + openStorey
}

// openingsIn returns the openings in an element.
func (b *building) openingsIn(t *thing) []*thing { return b.openings[t] }

// lower returns which of two things lies lower, nil where two are level.
func lower(t *thing, at float64, o *thing, other float64) *thing {
	switch {
	case other < at-void.Hair:
		return o
	case other <= at+void.Hair && o != t:
		return nil
	}
	return t
}

// look finds what is over a piece of the plan.
func (b *building) look(s int, f *field, r r2.Rect, ceilings []*thing, slabs []slab) {
	ffl := b.storeys[s].z
	c := r.Center()
	tenth := func(z float64) int64 { return int64(math.Round(10 * z)) }
	best := math.Inf(1)
	for _, t := range ceilings {
		if c.X < t.low.X || c.X > t.high.X || c.Y < t.low.Y || c.Y > t.high.Y {
			continue
		}
		low, high, ok := t.body.Under(c.X, c.Y)
		if ok && low >= ffl+ceilingLeast && low < best {
			best = low
			f.over, f.face, f.top = t, tenth(low), tenth(high)
		}
	}
	inset := func(u, v float64) r2.Point {
		return r2.Point{X: c.X + u*(r.X.Length()/2-min(20, r.X.Length()/4)), Y: c.Y + v*(r.Y.Length()/2-min(20, r.Y.Length()/4))}
	}
	lowest, highest := math.Inf(1), math.Inf(-1)
	var lies *thing
	_, most := b.reach(s)
	for _, p := range []r2.Point{c, inset(-1, -1), inset(1, -1), inset(1, 1), inset(-1, 1)} {
		here, of := math.Inf(1), (*thing)(nil)
	each:
		for _, sl := range slabs {
			if p.X < sl.t.low.X || p.X > sl.t.high.X || p.Y < sl.t.low.Y || p.Y > sl.t.high.Y {
				continue
			}
			for _, o := range sl.holes {
				if p.X > o.low.X && p.X < o.high.X && p.Y > o.low.Y && p.Y < o.high.Y {
					continue each
				}
			}
			if low, _, ok := sl.t.body.Under(p.X, p.Y); ok && low >= ffl+ceilingLeast && low <= most && (f.over == nil || low > float64(f.top)/10-1) {
				of = lower(of, here, sl.t, low)
				here = min(here, low)
			}
		}
		if !math.IsInf(here, 0) {
			lies = lower(lies, lowest, of, here)
		}
		lowest = min(lowest, here)
		if !math.IsInf(here, 0) {
			highest = max(highest, here)
		}
	}
	if !math.IsInf(lowest, 0) {
		f.found, f.soffit, f.sloped, f.slab = true, tenth(lowest), highest-lowest > 10, lies
	}
}

// merge makes as few rectangles of fields that are alike as rows of them allow, and a bay of each.
func (b *building) merge(s int, x, y []float64, fields []field, as bay) {
	type strip struct {
		i0, i1, j0, j1 int
		f              field
	}
	n := len(x) - 1
	var open, done []strip
	for j := range len(y) - 1 {
		var now []strip
		for i := 0; i < n; {
			f := fields[j*n+i]
			k := i + 1
			for k < n && fields[j*n+k].alike(f) {
				f = f.and(fields[j*n+k])
				k++
			}
			if f.in {
				now = append(now, strip{i, k, j, j + 1, f})
			}
			i = k
		}
		for _, o := range open {
			if k := slices.IndexFunc(now, func(s strip) bool { return s.i0 == o.i0 && s.i1 == o.i1 && s.f.alike(o.f) }); k >= 0 {
				now[k].j0, now[k].f = o.j0, now[k].f.and(o.f)
			} else {
				done = append(done, o)
			}
		}
		open = now
	}
	done = append(done, open...)
	done = slices.DeleteFunc(done, func(t strip) bool {
		w, h := x[t.i1]-x[t.i0], y[t.j1]-y[t.j0]
		if w < sliver && h < sliver || min(w, h) < 10 {
			b.told.count("bays", "Slivers of outlines that are no bays")
			return true
		}
		return false
	})
	slices.SortFunc(done, func(p, q strip) int { return cmp.Or(cmp.Compare(p.j0, q.j0), cmp.Compare(p.i0, q.i0)) })
	name := strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		return r
	}, as.name)
	named := func() bayName { return bayName{s, strings.ToLower(name)} }
	for k, base := 2, name; b.taken[named()]; k++ {
		name = fmt.Sprintf("%s (%d)", base, k)
	}
	b.taken[named()] = true
	for k, t := range done {
		v := as
		v.storey, v.name = s, name
		if len(done) > 1 {
			v.name = fmt.Sprintf("%s.%d", name, k+1)
		}
		v.piece = k
		v.r = r2.RectFromPoints(r2.Point{X: round(x[t.i0]), Y: round(y[t.j0])}, r2.Point{X: round(x[t.i1]), Y: round(y[t.j1])})
		b.top(&v, t.f)
	}
}

// top gives a bay its ceiling and its soffit, and keeps it.
func (b *building) top(v *bay, f field) {
	ffl := b.storeys[v.storey].z
	v.over, v.slab, v.face = f.over, f.slab, round(float64(f.face)/10)
	v.soffit, v.found = round(float64(f.soffit)/10), f.found
	say := func(text string) { v.note = strings.TrimPrefix(v.note+"; "+text, "; ") }
	if !v.found {
		next, ok := b.above(v.storey)
		if !ok {
			next = ffl + 2500
			for _, t := range b.things { // over all that is there
				if len(t.forms) > 0 && t.low.X < v.r.X.Hi && t.high.X > v.r.X.Lo && t.low.Y < v.r.Y.Hi && t.high.Y > v.r.Y.Lo {
					next = max(next, round(t.high.Z))
				}
			}
		}
		v.soffit = next
		say("soffit not in the model")
		b.told.count("soffits", "Bays over which no slab or roof was found: their soffit is taken at the next floor, on the topmost storey over all that is there")
	}
	if f.sloped {
		say("soffit slopes")
		b.told.count("soffits", "Bays under a soffit that slopes: its lowest place counts")
	}
	if v.over != nil {
		thick := float64(f.top-f.face) / 10
		if v.soffit < v.face+thick {
			v.slab = nil
			say("soffit not over the ceiling")
			b.told.count("soffits", "Bays whose soffit would lie in their ceiling: taken at the ceiling's top")
			v.soffit = round(v.face + thick + 1)
		}
		if thick >= leastHigh {
			sum := 0.0
			for _, l := range v.over.layers {
				sum += l.Thickness
			}
			if len(v.over.layers) > 0 && math.Abs(sum-thick) <= 1 {
				for _, l := range v.over.layers {
					v.layers = append(v.layers, layer{cmp.Or(l.Material, "layer"), round(l.Thickness)})
				}
			} else {
				v.layers = []layer{{"ceiling", round(thick)}}
			}
		}
	}
	b.bays = append(b.bays, *v)
}

// bayAt returns the bay over which a point lies, nil for none.
func (b *building) bayAt(s int, p r2.Point) *bay {
	for i := range b.bays {
		if v := &b.bays[i]; v.storey == s && v.r.ContainsPoint(p) {
			return v
		}
	}
	return nil
}
