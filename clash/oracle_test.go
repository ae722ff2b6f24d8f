package clash_test

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/peterstace/simplefeatures/geom"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/void/cell"
)

// This file checks whole buildings by brute force over all pairs, from the design alone: it shares no search, no
// measure and no choice of rules with the program. It knows level boxes at any angle, upright
// prisms and cylinders, and level pipes square to the axes against boxes square to the axes and pipes
// beside them; other pairs (falling, pipes across pipes) are left out on both sides and counted.
//
// In plain words:
//
//  1. Every row becomes a solid: a plan outline and two heights, or a pipe's interval and disk.
//  2. Every pair that may clash is measured: distance, distance at one height, clear height, depths.
//  3. Overlap deeper than the touch tolerance is a finding; else the greatest shortfall of the rules that win.
//  4. Every zone is compared with ceiling and soffit of every bay that its bare plan enters.

const touch = 1.0

type pt struct{ x, y float64 }

// solid is a level body. One of ring, disk (radius r > 0) and pipe (axis 'x' or 'y').
type solid struct {
	lo, hi float64 // heights
	ring   []pt    // counter-clockwise
	mid    pt      // of a disk
	r      float64 // of a disk or a pipe
	axis   byte    // of a pipe
	from   float64 // along the axis
	to     float64
	off    float64 // of the axis, across
	square bool    // a ring square to the axes
	dir    pt      // unit, along the length; zero for uprights
	block  bool    // an item that is no disk: it has no length, dir is one of its sides
}

// thing is a zone of the brute-force check.
type thing struct {
	id, trade, service, kind string
	groups                   []string
	structure, recessed      bool
	light                    bool
	full, bare               solid
	under                    float64 // of what hangs under it
	ends                     []solid // end faces of a length
	simple                   bool
	bays                     []int
	unsure                   bool // in which bays it is
	standing                 bool // upright, with an end below and above
	run                      bool // it has a run
}

func ringOf(c, d pt, long, wide float64) []pt {
	e := pt{-d.y, d.x}
	at := func(s, t float64) pt {
		return pt{c.x + s*long*d.x + t*wide*e.x, c.y + s*long*d.y + t*wide*e.y}
	}
	return []pt{at(-1, -1), at(1, -1), at(1, 1), at(-1, 1)}
}

// groupsOf is the part of the trade's groups that the generator's plain mix uses (design: what a thing is
// outweighs what it carries, and that who fixes it).
func groupsOf(trade, service, kind string) []string {
	switch kind {
	case "beam", "column":
		return []string{"structure"}
	case "tray", "basket", "ladder", "trunking", "light fitting":
		return []string{"electrical"}
	}
	switch service {
	case "LTHW", "hot water":
		return []string{"wet", "hot"}
	case "chilled water", "cold water":
		return []string{"wet"}
	case "gas":
		return []string{"gas"}
	case "":
		if trade == "pipework" {
			return []string{"wet"}
		}
	}
	return nil
}

func (b *building) thing(r *row) thing {
	kind := r.kind
	if kind == "" {
		kind = map[string]string{"ductwork": "duct", "pipework": "pipe"}[r.file]
	}
	t := thing{id: r.id, trade: r.file, service: r.service, kind: kind, groups: groupsOf(r.file, r.service, kind), simple: true}
	t.structure, t.run = slices.Contains(t.groups, "structure"), r.run != ""
	t.light = kind == "light fitting"
	t.recessed = t.light && r.recessed != "no"
	// What hangs under a service: channel 41 or 21, plate washer 5, M10 nut 8.4, one thread 1.5 (common practice, no source);
	// with the nut inside, the channel alone.
	t.under = map[string]float64{"channel 41 M10": 55.9, "channel 21 M10": 35.9, "channel 21 nut inside": 21}[r.hanger]
	x1, y1 := b.xy(r.x1, "x"), b.xy(r.y1, "y")
	x2, y2 := x1, y1
	var s solid
	grow := max(r.joint, r.insulation)
	high := r.b
	var wide float64
	switch {
	case r.length:
		x2, y2 = b.xy(r.x2, "x"), b.xy(r.y2, "y")
		n := math.Hypot(x2-x1, y2-y1)
		s.dir = pt{(x2 - x1) / n, (y2 - y1) / n}
		s.square = x1 == x2 || y1 == y2
		wide = r.a / 2
		if r.round {
			high = r.a
			s.r = r.a / 2
			switch {
			case y1 == y2:
				s.axis, s.from, s.to, s.off = 'x', min(x1, x2), max(x1, x2), y1
			case x1 == x2:
				s.axis, s.from, s.to, s.off = 'y', min(y1, y2), max(y1, y2), x1
			default:
				t.simple = false
			}
		}
		s.ring = ringOf(pt{(x1 + x2) / 2, (y1 + y2) / 2}, s.dir, n/2, wide)
		if t.simple && s.axis != 0 {
			s.square = true
		}
	case r.round:
		s.mid, s.r = pt{x1, y1}, r.a/2
		high = r.b
	default:
		s.dir, s.square, s.block = pt{1, 0}, true, true
		s.ring = ringOf(pt{x1, y1}, s.dir, r.a/2, r.b/2)
		high = r.c
	}
	t.bare = s
	// Bays that the bare plan enters.
	for i := range b.bays {
		bay := &b.bays[i]
		if bay.storey != r.storey {
			continue
		}
		box := solid{ring: []pt{{bay.x1, bay.y1}, {bay.x2, bay.y1}, {bay.x2, bay.y2}, {bay.x1, bay.y2}}, square: true}
		d, in := plan(&s, &box)
		if in > 0.001 {
			t.bays = append(t.bays, i)
		}
		if in < 0.5 && d < 0.5 {
			t.unsure = true
		}
	}
	z := func(e end) float64 {
		switch e.ref {
		case "ceiling", "build-up", "soffit":
			if len(t.bays) == 0 {
				panic("no bay for " + r.id)
			}
			bay := &b.bays[t.bays[0]]
			if e.ref == "soffit" {
				return b.z(bay.storey, bay.soffit) + e.mm
			}
			face, top, _ := b.ceilingTop(bay)
			if e.ref == "ceiling" {
				return face + e.mm
			}
			return top + e.mm
		}
		return b.z(r.storey, e)
	}
	lo := z(r.level)
	switch r.face {
	case "top":
		lo -= high
	case "centre":
		lo -= high / 2
	}
	hi := lo + high
	if r.upper != nil {
		hi = z(*r.upper)
		t.standing = true
		if !r.round {
			s.ring = ringOf(pt{x1, y1}, pt{1, 0}, r.a/2, r.b/2)
		}
	}
	t.bare.lo, t.bare.hi = lo, hi
	s.lo, s.hi = lo-grow, hi+grow+r.top
	if r.length {
		n := math.Hypot(x2-x1, y2-y1)
		s.ring = ringOf(pt{(x1 + x2) / 2, (y1 + y2) / 2}, s.dir, n/2, wide+grow)
		if s.r > 0 {
			s.r += grow
		}
		for _, e := range []pt{{x1, y1}, {x2, y2}} {
			t.ends = append(t.ends, solid{lo: s.lo, hi: s.hi, ring: ringOf(e, s.dir, 0.01, wide+grow)})
		}
	}
	t.full = s
	return t
}

func polygon(ring []pt) geom.Geometry {
	var f []float64
	for _, p := range append(slices.Clone(ring), ring[0]) {
		f = append(f, p.x, p.y)
	}
	return geom.NewPolygon([]geom.LineString{geom.NewLineString(geom.NewSequence(f, geom.DimXY))}).AsGeometry()
}

// plan returns how far apart two plans are, or how far they must be shifted to part: the distance, by a geometry
// library, and the depth by the least of the edge normals (rings are convex), one of them 0.
func plan(a, b *solid) (apart, deep float64) {
	switch {
	case a.ring != nil && b.ring != nil:
		deep = math.Inf(1)
		for _, s := range []*solid{a, b} {
			for i := range s.ring {
				p, q := s.ring[i], s.ring[(i+1)%len(s.ring)]
				n := math.Hypot(q.x-p.x, q.y-p.y)
				if n < 1e-9 {
					continue
				}
				nx, ny := (q.y-p.y)/n, (p.x-q.x)/n
				alo, ahi := along(a.ring, nx, ny)
				blo, bhi := along(b.ring, nx, ny)
				deep = min(deep, ahi-blo, bhi-alo)
			}
		}
		if deep > 0 {
			return 0, deep
		}
		d, _ := geom.Distance(polygon(a.ring), polygon(b.ring))
		return d, 0
	case a.ring == nil && b.ring == nil:
		d := math.Hypot(a.mid.x-b.mid.x, a.mid.y-b.mid.y) - a.r - b.r
		return max(0, d), max(0, -d)
	case a.ring == nil:
		return plan(b, a)
	}
	// A ring and a disk: how far the middle is outside the ring, or how deep inside.
	in := math.Inf(1)
	for i := range a.ring {
		p, q := a.ring[i], a.ring[(i+1)%len(a.ring)]
		n := math.Hypot(q.x-p.x, q.y-p.y)
		in = min(in, ((q.x-p.x)*(b.mid.y-p.y)-(q.y-p.y)*(b.mid.x-p.x))/n)
	}
	if in >= 0 {
		return 0, in + b.r
	}
	d, _ := geom.Distance(polygon(a.ring), geom.XY{X: b.mid.x, Y: b.mid.y}.AsPoint().AsGeometry())
	return max(0, d-b.r), max(0, b.r-d)
}

func along(ring []pt, nx, ny float64) (lo, hi float64) {
	lo, hi = math.Inf(1), math.Inf(-1)
	for _, p := range ring {
		v := p.x*nx + p.y*ny
		lo, hi = min(lo, v), max(hi, v)
	}
	return lo, hi
}

// measures of a pair. Lengths in mm.
type measures struct {
	gap      float64 // 0 where they touch or overlap
	beside   float64 // at one height
	sameHigh float64 // shared height
	over     float64 // b is clear over a by so much (negative: they share so much height)
	under    float64 // b is clear under a
	shared   float64 // depth of the shared plan
	sideways float64 // least horizontal move that parts them, while they overlap
	vertical float64
}

// profile is a product's cross-section: a rectangle or a disk in (across, height).
type profile struct {
	y0, y1, z0, z1 float64
	disk           bool
	cy, cz, r      float64
}

func (s *solid) product(axis byte) (from, to float64, p profile, ok bool) {
	if s.axis != 0 {
		if s.axis != axis {
			return 0, 0, p, false
		}
		c := (s.lo + s.hi) / 2
		return s.from, s.to, profile{y0: s.off - s.r, y1: s.off + s.r, z0: c - s.r, z1: c + s.r, disk: true, cy: s.off, cz: c, r: s.r}, true
	}
	if s.ring == nil || !s.square {
		return 0, 0, p, false
	}
	xlo, xhi := along(s.ring, 1, 0)
	ylo, yhi := along(s.ring, 0, 1)
	if axis == 'x' {
		return xlo, xhi, profile{y0: ylo, y1: yhi, z0: s.lo, z1: s.hi}, true
	}
	return ylo, yhi, profile{y0: xlo, y1: xhi, z0: s.lo, z1: s.hi}, true
}

// measure measures two solids; false where this check does not know how.
func measuresOf(a, b *solid) (m measures, ok bool) {
	if a.axis == 0 && b.axis == 0 {
		apart, deep := plan(a, b)
		m.over, m.under = b.lo-a.hi, a.lo-b.hi
		m.sameHigh = min(a.hi, b.hi) - max(a.lo, b.lo)
		m.gap = math.Hypot(apart, max(0, m.over, m.under))
		m.beside, m.shared = apart, deep
		m.vertical = max(0, min(-m.over, -m.under))
		m.sideways = deep
		if deep == 0 {
			m.vertical = 0
		}
		if m.sameHigh <= 0 {
			m.sideways = 0
		}
		return m, true
	}
	axis := max(a.axis, b.axis)
	a0, a1, p, ok1 := a.product(axis)
	b0, b1, q, ok2 := b.product(axis)
	if !ok1 || !ok2 {
		return m, false
	}
	along := max(a0-b1, b0-a1) // negative: shared length
	m.sameHigh = min(p.z1, q.z1) - max(p.z0, q.z0)
	d, over, under, across := flat(p, q)
	m.gap = math.Hypot(max(0, along), max(0, d))
	m.over, m.under = over, under
	y := max(p.y0-q.y1, q.y0-p.y1)
	m.shared = max(0, min(-along, a1-b0, b1-a0, -y, p.y1-q.y0, q.y1-p.y0))
	if m.sameHigh > 0 {
		m.beside = math.Hypot(max(0, along), max(0, across))
	}
	if along < 0 && d < 0 {
		m.vertical = max(0, min(-over, -under))
		m.sideways = max(0, min(-across, a1-b0, b1-a0))
	}
	return m, true
}

// flat measures two cross-sections: the distance (negative where they overlap), how far q is clear over p and under p
// (upright), and how far apart they are across at one height (negative: the least shift across that parts them).
func flat(p, q profile) (d, over, under, across float64) {
	switch {
	case !p.disk && !q.disk:
		panic("two rectangles are no pipe")
	case p.disk && q.disk:
		dy, dz := math.Abs(p.cy-q.cy), q.cz-p.cz
		d = math.Hypot(dy, dz) - p.r - q.r
		h := 0.0 // half the upright chord of the sum of the two disks
		if dy < p.r+q.r {
			h = math.Sqrt((p.r+q.r)*(p.r+q.r) - dy*dy)
		}
		over, under = dz-h, -dz-h
		w := 0.0
		if math.Abs(dz) < p.r+q.r {
			w = math.Sqrt((p.r+q.r)*(p.r+q.r) - dz*dz)
		}
		across = dy - w
	case p.disk:
		// q a rectangle.
		y := max(0, q.y0-p.cy, p.cy-q.y1)
		z := max(0, q.z0-p.cz, p.cz-q.z1)
		d = math.Hypot(y, z) - p.r
		h := 0.0
		if y < p.r {
			h = math.Sqrt(p.r*p.r - y*y)
		}
		over, under = q.z0-p.cz-h, p.cz-q.z1-h
		w := 0.0
		if z < p.r {
			w = math.Sqrt(p.r*p.r - z*z)
		}
		across = max(q.y0-p.cy, p.cy-q.y1) - w
		// Inside the rectangle's width the shift across goes out by the nearer side.
	default:
		d, under, over, across = flat(q, p)
	}
	return d, over, under, across
}

// stretch returns the length along a over which b is nearer than gap on a side; false where a has no length or it is not known. Of a block it is
// the longest along its sides and its height; over and under it only along its sides.
func stretch(a, b *solid, side cell.Towards, gap float64) (float64, bool) {
	if !a.block {
		return stretchAlong(a, b, side, gap)
	}
	most, known := stretchAlong(a, b, side, gap)
	turned := *a
	turned.dir = pt{0, 1}
	if l, ok := stretchAlong(&turned, b, side, gap); ok {
		most = max(most, l)
	}
	if apart, _ := plan(a, b); known && apart < gap && (side == cell.Around || side == cell.Beside) {
		e := 0.0
		if side == cell.Around {
			e = math.Sqrt(gap*gap - apart*apart)
		}
		most = max(most, min(a.hi, b.hi+e)-max(a.lo, b.lo-e))
	}
	return most, known
}

// stretchAlong is stretch along the axis of a.
func stretchAlong(a, b *solid, side cell.Towards, gap float64) (float64, bool) {
	if a.axis != 0 || b.axis != 0 {
		axis := max(a.axis, b.axis)
		a0, a1, p, ok1 := a.product(axis)
		b0, b1, q, ok2 := b.product(axis)
		if !ok1 || !ok2 || side != cell.Around || a.axis != axis {
			return 0, false
		}
		d, _, _, _ := flat(p, q)
		d = max(0, d)
		if d >= gap {
			return 0, true
		}
		e := math.Sqrt(gap*gap - d*d)
		return max(0, min(a1, b1+e)-max(a0, b0-e)), true
	}
	if a.dir == (pt{}) || a.ring == nil {
		return 0, false
	}
	lo, hi := along(a.ring, a.dir.x, a.dir.y)
	slice := func(s float64) *solid {
		// The cut of a across its length at s.
		ex, ey := -a.dir.y, a.dir.x
		wlo, whi := along(a.ring, ex, ey)
		at := func(w float64) pt { return pt{s*a.dir.x + w*ex, s*a.dir.y + w*ey} }
		const thin = 1e-6
		p, q := at(wlo), at(whi)
		return &solid{lo: a.lo, hi: a.hi, ring: []pt{
			{p.x - thin*a.dir.x, p.y - thin*a.dir.y},
			{p.x + thin*a.dir.x, p.y + thin*a.dir.y},
			{q.x + thin*a.dir.x, q.y + thin*a.dir.y},
			{q.x - thin*a.dir.x, q.y - thin*a.dir.y},
		}}
	}
	far := func(s float64) float64 {
		apart, _ := plan(slice(s), b)
		switch side {
		case cell.Around:
			return math.Hypot(apart, max(0, b.lo-a.hi, a.lo-b.hi)) - gap
		case cell.Beside:
			return apart - gap
		}
		return apart - 1e-4 // above, below: over one another
	}
	// far is convex in s: find its least, then the two places where it is zero.
	l, h := lo, hi
	for range 80 {
		m1, m2 := l+(h-l)/3, h-(h-l)/3
		if far(m1) <= far(m2) {
			h = m2
		} else {
			l = m1
		}
	}
	best := (l + h) / 2
	if far(best) > 0 {
		return 0, true
	}
	edge := func(out float64) float64 {
		if far(out) <= 0 {
			return out
		}
		in := best
		for range 60 {
			mid := (in + out) / 2
			if far(mid) <= 0 {
				in = mid
			} else {
				out = mid
			}
		}
		return in
	}
	return edge(hi) - edge(lo), true
}

// want is a rule of the brute-force check.
type want struct {
	of, to  string
	side    cell.Towards
	gap     float64
	over    float64
	project bool
}

// builtIn is what `voidline rules` prints, without those that are no measure of a pair (told, reach, tile lift-out, one side,
// openings) and those between power and data, which the plain mix has not.
var builtIn = []want{
	{of: "gas", to: "electrical", side: cell.Around, gap: 25},
	{of: "any", to: "ceiling", side: cell.Below, gap: 25},
	{of: "pipe", to: "pipe", side: cell.Around, gap: 25},
	{of: "pipe", to: "duct", side: cell.Around, gap: 25},
	{of: "duct", to: "duct", side: cell.Around, gap: 25},
	{of: "tray", to: "any", side: cell.Above, gap: 150, over: 600},
	{of: "basket", to: "any", side: cell.Above, gap: 150, over: 600},
	{of: "ladder", to: "any", side: cell.Above, gap: 150, over: 600},
	{of: "hot", to: "electrical", side: cell.Around, gap: 150, over: 600},
	{of: "recessed light fitting", to: "any", side: cell.Above, gap: 50},
}

// rank is how specific a word is of a thing: kind, service, trade, group, any; -1 where it is not of it.
func (t *thing) rank(word string) int {
	switch {
	case word == t.kind, word == "recessed light fitting" && t.kind == "light fitting" && t.recessed:
		return 4
	case word == t.service && word != "":
		return 3
	case word == t.trade:
		return 2
	case slices.Contains(t.groups, word):
		return 1
	case word == "any":
		return 0
	}
	return -1
}

// winner returns what is asked in one of the slots of a pair: around or beside (either way round), or b above a.
func winner(rules []want, a, b *thing, slot cell.Towards) (best want, of *thing, ok bool) {
	score := -1
	try := func(r want, x, y *thing) {
		i, j := x.rank(r.of), y.rank(r.to)
		if i < 0 || j < 0 {
			return
		}
		s := i + j
		if r.project {
			s += 100
		}
		if s > score || s == score && r.gap > best.gap {
			best, of, score = r, x, s
		}
	}
	for _, r := range rules {
		switch {
		case slot == cell.Above && r.side == cell.Above:
			try(r, a, b)
		case slot == cell.Above && r.side == cell.Below:
			try(r, b, a)
		case slot != cell.Above && r.side == slot:
			try(r, a, b)
			try(r, b, a)
		}
	}
	return best, of, score >= 0
}

// found is a finding of the brute-force check.
type found struct {
	a, b       string
	kind       finding.Kind
	gap, asked float64
	short      float64
	vertical   float64
	sideways   float64
	level      bool // against a ceiling or a soffit
	unsure     bool // so near a threshold that either answer will do
	rule       string
}

func key(a, b string) string {
	if a > b {
		a, b = b, a
	}
	return a + " / " + b
}

const near = 0.02 // so near a threshold that the last bits decide

// bruteForce returns the findings of all pairs, and the pairs that it leaves out.
func bruteForce(b *building, rules []want) (map[string]found, map[string]bool, int) {
	var things []thing
	for i := range b.rows {
		things = append(things, b.thing(&b.rows[i]))
	}
	out, left := map[string]found{}, map[string]bool{}
	pairs := 0
	for i := range things {
		for j := i + 1; j < len(things); j++ {
			x, y := &things[i], &things[j]
			k := key(x.id, y.id)
			if x.structure && y.structure {
				continue
			}
			if !x.simple || !y.simple || mayJoin(x, y) || mayJoin(y, x) {
				left[k] = true
				continue
			}
			if far(&x.full, &y.full) {
				pairs++
				continue
			}
			m, ok := measuresOf(&x.full, &y.full)
			if !ok {
				left[k] = true
				continue
			}
			pairs++
			f, there := judgePair(rules, x, y, &m)
			if there || f.unsure {
				out[k] = f
			}
		}
	}
	ceilings(b, things, rules, out, left)
	return out, left, pairs
}

// far reports whether two solids are more than 300 apart along an axis, more than any rule here asks.
func far(a, b *solid) bool {
	box := func(s *solid) (x0, x1, y0, y1 float64) {
		if s.ring == nil {
			return s.mid.x - s.r, s.mid.x + s.r, s.mid.y - s.r, s.mid.y + s.r
		}
		x0, x1 = along(s.ring, 1, 0)
		y0, y1 = along(s.ring, 0, 1)
		return x0, x1, y0, y1
	}
	ax0, ax1, ay0, ay1 := box(a)
	bx0, bx1, by0, by1 := box(b)
	return max(ax0-bx1, bx0-ax1, ay0-by1, by0-ay1, a.lo-b.hi, b.lo-a.hi) > 300
}

// mayJoin reports whether x may be taken as joined to y, of which this check says nothing further: an end on a row of its
// own trade and service is a tee; cables end at light fittings (those of the fire alarm do not, and no pipe or duct);
// a light fitting that is not set into the ceiling may be fixed under a tray, and an access door stands in the side of a duct.
func mayJoin(x, y *thing) bool {
	switch {
	case x.structure || y.structure:
		return false
	case x.kind == "access door" && y.kind == "duct":
		return touches(x, y)
	case x.light && y.trade == "containment":
		return !x.recessed && touches(x, y)
	case x.light || y.kind == "access door":
		return false
	case y.light:
		return x.trade == "containment" && x.service != "fire alarm" && stops(x, y)
	}
	return x.trade == y.trade && x.service == y.service && x.service != "" && stops(x, y)
}

// touches reports whether two are so near that the one may be fixed to the other.
func touches(x, y *thing) bool {
	apart, _ := plan(&x.full, &y.full)
	return apart < 60 && max(y.full.lo-x.full.hi, x.full.lo-y.full.hi) < 60
}

// stops reports whether an end of x is at y, or so near that it may be taken as joined.
func stops(x, y *thing) bool {
	if x.standing {
		return touches(x, y)
	}
	for i := range x.ends {
		e := &x.ends[i]
		apart, _ := plan(e, &y.full)
		if math.Hypot(apart, max(0, e.lo-y.full.hi, y.full.lo-e.hi)) < 60 {
			return true
		}
	}
	return false
}

// judgePair says what a pair is.
func judgePair(rules []want, x, y *thing, m *measures) (found, bool) {
	f := found{a: x.id, b: y.id, vertical: m.vertical, sideways: m.sideways}
	depth := min(m.vertical, m.sideways)
	f.unsure = math.Abs(depth-touch) < near
	overlap := depth > touch
	there := overlap
	for _, slot := range []struct {
		side cell.Towards
		a, b *thing
	}{{cell.Around, x, y}, {cell.Beside, x, y}, {cell.Above, x, y}, {cell.Above, y, x}} {
		r, of, ok := winner(rules, slot.a, slot.b, slot.side)
		if !ok || r.gap == 0 {
			continue
		}
		if r.over > 0 && slot.side != cell.Above && x.rank(r.of)+y.rank(r.to) == y.rank(r.of)+x.rank(r.to) && min(x.rank(r.of), x.rank(r.to), y.rank(r.of), y.rank(r.to)) >= 0 {
			f.unsure = true // along which of the two
		}
		other := y
		if of == y {
			other = x
		}
		var gap float64
		switch slot.side {
		case cell.Around:
			gap = m.gap
		case cell.Beside:
			if math.Abs(m.sameHigh-touch) < near {
				f.unsure = true
			}
			if m.sameHigh <= touch {
				continue
			}
			gap = m.beside
		case cell.Above:
			clear := m.over
			if slot.a == y {
				clear = m.under
			}
			if math.Abs(m.shared-touch) < near && m.shared > 0 {
				f.unsure = true
			}
			if m.shared <= touch {
				continue
			}
			other := m.under
			if slot.a == y {
				other = m.over
			}
			switch {
			case overlap && math.Abs(clear-other) < near:
				f.unsure = true // at one height
			case overlap && clear < other, !overlap && clear < -touch-near:
				continue // of two that overlap the one whose middle is higher is above
			}
			gap = max(0, clear)
		}
		if gap >= r.gap-0.001 {
			continue
		}
		if r.over > 0 {
			l, known := stretch(&of.full, &other.full, r.side, r.gap)
			if !known {
				f.unsure = true
				continue
			}
			if math.Abs(l-r.over) < 0.05 {
				f.unsure = true
			}
			if l <= r.over {
				continue
			}
		}
		short := r.gap - gap
		if overlap {
			if r.gap > f.asked {
				f.asked = r.gap
			}
			continue
		}
		if math.Abs(short) < near {
			f.unsure = true
		}
		if !there || short > f.short {
			f.gap, f.asked, f.short = gap, r.gap, short
			f.rule = fmt.Sprintf("%s %s %s %g over %g", r.of, r.side, r.to, r.gap, r.over)
		}
		there = true
	}
	f.kind = finding.Tight
	if overlap {
		f.kind, f.gap, f.short = finding.Overlap, 0, f.asked+depth
	}
	return f, there
}

// ceilings compares every zone with ceiling and soffit of the bays that it enters.
func ceilings(b *building, things []thing, rules []want, out map[string]found, left map[string]bool) {
	for i := range things {
		t := &things[i]
		if t.structure {
			continue
		}
		for _, n := range t.bays {
			bay := &b.bays[n]
			label := bay.name
			if len(b.storeys) > 1 {
				label += ", " + bay.storey
			}
			top := &thing{id: "soffit " + label, trade: "structure", kind: "soffit", groups: []string{"structure"}}
			level(t, top, bay, t.full.hi-b.z(bay.storey, bay.soffit), false, rules, out, left)
			face, z, ok := b.ceilingTop(bay)
			if !ok || t.recessed {
				continue
			}
			under := &thing{id: "ceiling " + label, trade: "ceilings", kind: "ceiling", groups: []string{"ceiling"}}
			if t.full.hi <= face+near {
				// Wholly under the finished face: a light is meant to hang there, and so is what stands upright; all else is a
				// finding within 600 of the face, or where it is in the void of another of its bays, or its run is.
				down := face - t.full.hi
				switch {
				case t.light || t.standing:
					continue
				case math.Abs(down) <= near || math.Abs(down-600) <= near:
					left[key(t.id, under.id)] = true
					continue
				case down > 600 && !aloft(b, t):
					if t.run {
						left[key(t.id, under.id)] = true // the rest of its run may be in the void
					}
					continue
				}
			}
			level(t, under, bay, z-(t.full.lo-t.under), true, rules, out, left)
		}
	}
}

// aloft reports whether a thing reaches over the finished face of one of its bays.
func aloft(b *building, t *thing) bool {
	return slices.ContainsFunc(t.bays, func(n int) bool {
		face, _, ok := b.ceilingTop(&b.bays[n])
		return ok && t.full.hi > face
	})
}

// within returns the length of a zone over a bay.
func within(s *solid, bay *bayRow) float64 {
	box := []pt{{bay.x1, bay.y1}, {bay.x2, bay.y1}, {bay.x2, bay.y2}, {bay.x1, bay.y2}}
	cut, err := geom.Intersection(polygon(s.ring), polygon(box))
	if err != nil || cut.IsEmpty() {
		return 0
	}
	var ring []pt
	seq := cut.DumpCoordinates()
	for i := range seq.Length() {
		ring = append(ring, pt{seq.GetXY(i).X, seq.GetXY(i).Y})
	}
	lo, hi := along(ring, s.dir.x, s.dir.y)
	if s.block {
		south, north := along(ring, -s.dir.y, s.dir.x)
		return max(hi-lo, north-south)
	}
	return hi - lo
}

// level judges a zone against a plane that it goes deep into (negative: it is clear).
func level(t, plane *thing, bay *bayRow, deep float64, ceiling bool, rules []want, out map[string]found, left map[string]bool) {
	k := key(t.id, plane.id)
	if t.unsure {
		left[k] = true
		return
	}
	f := found{a: t.id, b: plane.id, level: true, unsure: math.Abs(deep-touch) < near, vertical: deep}
	gap := max(0, -deep)
	f.kind = finding.Tight
	if deep > touch {
		f.kind = finding.Overlap
	}
	there := f.kind == finding.Overlap
	for _, side := range []cell.Towards{cell.Above, cell.Around} {
		a, c := t, plane // the soffit is above the zone
		if ceiling {
			a, c = plane, t
		}
		r, of, ok := winner(rules, a, c, side)
		if !ok || r.gap-gap <= 0.001 {
			continue
		}
		if r.over > 0 {
			if of != t || t.full.ring == nil || t.full.dir == (pt{}) {
				f.unsure = true
				continue
			}
			l := within(&t.full, bay)
			if math.Abs(l-r.over) < 0.05 {
				f.unsure = true
			}
			if l <= r.over {
				continue
			}
		}
		if math.Abs(r.gap-gap) < near {
			f.unsure = true
		}
		if r.gap > f.asked {
			f.asked = r.gap
		}
		there = true
	}
	f.gap, f.short = gap, f.asked-gap
	if f.kind == finding.Overlap {
		f.short = f.asked + deep
	}
	if there || f.unsure {
		out[k] = f
	}
}

// measured leaves out the rules that are no measure of a pair.
func measured() []rules.Rule {
	return slices.DeleteFunc(rules.BuiltIn(), func(r rules.Rule) bool {
		return r.Side == cell.OneSide || r.Name == "tile lift-out"
	})
}

func TestOracleBruteForce(t *testing.T) {
	projects := 32 * *more
	pairs, same, leftOut, findings, supports, moved := 0, 0, 0, 0, 0, 0
	for n := range uint64(projects) {
		seed := 1000 + n
		b := random(seed, mix{zones: 300, storeys: 1 + int(n%2), plain: true, gaps: int(n * 3 / 2 % 8)})
		rules := slices.Clone(builtIn)
		for _, g := range b.gaps {
			rules = append(rules, want{of: g.of, to: g.to, side: cell.ParseSide(g.side).Is, gap: g.gap, over: g.over, project: true})
		}
		p := b.opened(t, spelling{})
		res, err := clash.Open(p, clash.Options{Touch: touch, Rules: measured()}).Findings(context.Background())
		if err != nil {
			t.Fatalf("seed %d: %v", seed, err)
		}
		expect, left, count := bruteForce(b, rules)
		pairs += count
		bad := 0
		say := func(format string, args ...any) {
			if bad++; bad <= 6 {
				t.Errorf("seed %d storeys %d gaps %d: "+format, append([]any{seed, 1 + n%2, n * 3 / 2 % 8}, args...)...)
			}
		}
		seen := map[string]bool{}
		for i := range res.Findings {
			f := &res.Findings[i]
			if f.Kind == finding.Access || f.B == nil || strings.HasPrefix(f.A, "supports of ") {
				continue
			}
			findings++
			k := key(f.A, *f.B)
			if left[k] {
				leftOut++
				continue
			}
			seen[k] = true
			e, ok := expect[k]
			switch {
			case !ok:
				say("%s %s: gap %g asked %g short %g (%s, %s) is none by brute force", f.Kind, k, f.Gap, f.Asked, f.Short, f.Side, f.Rule)
			case e.unsure:
				leftOut++
			case f.Kind != e.kind:
				say("%s: %s (gap %g asked %g short %g, %s), by brute force %s %+v", k, f.Kind, f.Gap, f.Asked, f.Short, f.Rule, e.kind, e)
			case math.Abs(f.Gap-e.gap) > 0.051 || math.Abs(f.Asked-e.asked) > 0.051 || math.Abs(f.Short-e.short) > 0.051:
				say("%s %s: gap %g asked %g short %g (%s, %s) also %v, by brute force %+v", f.Kind, k, f.Gap, f.Asked, f.Short, f.Side, f.Rule, f.Also, e)
			case f.Depth != nil && (math.Abs(f.Depth.Vertical-e.vertical) > 0.051 || f.Depth.Sideways == nil != e.level ||
				f.Depth.Sideways != nil && math.Abs(*f.Depth.Sideways-e.sideways) > 0.051):
				say("%s: depth %s, by brute force %+v", k, depth(f.Depth), e)
			default:
				same++
			}
		}
		for k, e := range expect {
			if !seen[k] && !e.unsure && !left[k] {
				say("%s %s: missing, by brute force %+v", e.kind, k, e)
			}
		}
		var things []thing
		for i := range b.rows {
			things = append(things, b.thing(&b.rows[i]))
		}
		agree, clear := compareSupports(b, things, res.Findings, say)
		supports, moved = supports+agree, moved+clear
		if bad > 6 {
			t.Errorf("seed %d: and %d more", seed, bad-6)
		}
	}
	t.Logf("%d findings of supports agree, %d moves of them proved", supports, moved)
	if supports < 15*projects || moved < 5*projects {
		t.Errorf("only %d findings of supports and %d moves were compared", supports, moved)
	}
	t.Logf("%d projects, %d pairs measured by brute force, %d of %d findings agree, %d left out", projects, pairs, same, findings, leftOut)
	if same < 50*projects {
		t.Errorf("only %d findings were compared", same)
	}
}
