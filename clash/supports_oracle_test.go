package clash_test

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
)

// The brute-force check of supports: from the design alone, over all supports of all rows against all rows.
//
//  1. A hung row of length l is held up at its middle where l is up to 600, else 300 from both ends and evenly between, by no
//     more than its kind's spacing.
//  2. Each support is two disks (rods), a ring (the channel) and two square rings (plate washers with nut and thread).
//  3. The rods go up to the soffit; but where a beam is over the middle of each, no lower than the service's top and lower than
//     the soffit, and the lowest of these are level within 1, to that: it is not in their way. (None of the hangers says
//     what it hangs from.)
//  4. It is in another row where it shares more than the touch tolerance of height and of plan; what the measures do
//     not know (a rod and a pipe) is left out.

// spacingOf is how far apart supports may stand (common practice, no source).
var spacingOf = map[string]float64{"duct": 2400, "tray": 1500, "basket": 1200, "ladder": 3000, "trunking": 1500}

// heldUp is one support of the brute-force check.
type heldUp struct {
	at    float64 // from the row's start
	parts []solid
	held  bool
	steel [2]int // index of the beam that each rod hangs from, -1 for none
}

// lowestOver returns the lowest beam of a storey that is over a point of the plan and no lower than a level, -1 for none.
func (b *building) lowestOver(things []thing, storey string, q pt, level float64) int {
	found := -1
	for j := range things {
		o := &things[j].bare
		if things[j].kind != "beam" || b.rows[j].storey != storey || o.lo < level-1e-6 || found >= 0 && o.lo >= things[found].bare.lo {
			continue
		}
		inside := true
		for k, p := range o.ring {
			n := o.ring[(k+1)%len(o.ring)]
			inside = inside && (n.x-p.x)*(q.y-p.y)-(n.y-p.y)*(q.x-p.x) >= -1e-6
		}
		if inside {
			found = j
		}
	}
	return found
}

// support returns the support of a row at a distance from its start.
func (b *building) support(things []thing, r *row, t *thing, at float64) heldUp {
	x, y := b.xy(r.x1, "x"), b.xy(r.y1, "y")
	d := t.full.dir
	mid := pt{x + d.x*at, y + d.y*at}
	e := pt{-d.y, d.x}
	wide := r.a/2 + max(r.joint, r.insulation)
	h := heldUp{at: at, held: true, steel: [2]int{-1, -1}}
	// What is over each rod: the lowest soffit that is over the row, else it comes up to a lower one; and the lowest beam.
	var top [2]float64
	beams, beam := true, [2]int{}
	for k, side := range []float64{-1, 1} {
		q := pt{mid.x + side*e.x*(wide+50), mid.y + side*e.y*(wide+50)}
		in, over := false, math.Inf(1)
		for i := range b.bays {
			bay := &b.bays[i]
			const hair = 1e-6
			if bay.storey != r.storey || q.x < bay.x1-hair || q.x > bay.x2+hair || q.y < bay.y1-hair || q.y > bay.y2+hair {
				continue
			}
			in = true
			if z := b.z(bay.storey, bay.soffit); z >= t.full.hi {
				over = min(over, z)
			}
		}
		beam[k] = b.lowestOver(things, r.storey, q, t.full.hi)
		beams = beams && beam[k] >= 0 && (!in || !math.IsInf(over, 1)) && things[beam[k]].bare.lo < over
		if top[k] = over; math.IsInf(over, 1) {
			top[k] = t.full.hi
		}
		h.held = h.held && in
	}
	if beams && math.Abs(things[beam[0]].bare.lo-things[beam[1]].bare.lo) <= 1 {
		h.held, h.steel = true, beam
		top = [2]float64{things[beam[0]].bare.lo, things[beam[1]].bare.lo}
	}
	channel, washers := 41.0, true
	switch r.hanger {
	case "channel 21 M10":
		channel = 21
	case "channel 21 nut inside":
		channel, washers = 21, false
	}
	for k, side := range []float64{-1, 1} {
		q := pt{mid.x + side*e.x*(wide+50), mid.y + side*e.y*(wide+50)}
		h.parts = append(h.parts, solid{lo: t.full.lo - t.under, hi: top[k], mid: q, r: 5})
		if washers {
			h.parts = append(h.parts, solid{lo: t.full.lo - t.under, hi: t.full.lo - channel, ring: ringOf(q, d, 20, 20), dir: d})
		}
	}
	h.parts = append(h.parts, solid{lo: t.full.lo - channel, hi: t.full.lo, ring: ringOf(mid, e, wide+50+30, 41.0/2), dir: e})
	return h
}

// places returns where a row is held up, and by how much each may shift.
func (b *building) places(r *row, t *thing) (at []float64, room float64) {
	l := math.Hypot(b.xy(r.x2, "x")-b.xy(r.x1, "x"), b.xy(r.y2, "y")-b.xy(r.y1, "y"))
	if l <= 600 {
		return []float64{l / 2}, 0
	}
	if l < 641 { // two of 41 wide would stand in each other
		return []float64{l / 4, 3 * l / 4}, spacingOf[t.kind] - l/2
	}
	n := 1
	for (l-600)/float64(n) > spacingOf[t.kind]+1e-6 {
		n++
	}
	for k := range n + 1 {
		at = append(at, 300+(l-600)*float64(k)/float64(n))
	}
	return at, spacingOf[t.kind] - (l-600)/float64(n)
}

// supportMet is what the supports of a row have to do with another row, or with nothing over them.
type supportMet struct {
	n, of  int
	depths [][2]float64 // up and aside, of each body that is in it
	unsure bool
}

// supportsByForce returns what the supports of all rows meet, by "row / other" ("row / " where nothing is over them).
func supportsByForce(b *building, things []thing) map[string]*supportMet {
	out := map[string]*supportMet{}
	for i := range things {
		t, r := &things[i], &b.rows[i]
		if r.hanger == "" || !r.length {
			continue
		}
		at, _ := b.places(r, t)
		var list []heldUp
		for _, s := range at {
			list = append(list, b.support(things, r, t, s))
		}
		met := func(k string) *supportMet {
			if out[k] == nil {
				out[k] = &supportMet{of: len(list)}
			}
			return out[k]
		}
		for _, h := range list {
			if !h.held && len(t.bays) > 0 {
				met(t.id+" / ").n++
			}
		}
		for j := range things {
			o := &things[j]
			unsure := false
			switch {
			case i == j, b.rows[j].run != "" && b.rows[j].file == r.file && b.rows[j].run == r.run:
				continue
			case !o.simple, b.rows[j].run == "" && r.run == "" && o.trade == t.trade && o.service == t.service, mayJoin(t, o), mayJoin(o, t):
				unsure = true // what may belong together
			}
			for _, h := range list {
				if h.steel[0] == j || h.steel[1] == j {
					continue
				}
				in, sure := h.in(o)
				if len(in) > 0 || !sure {
					m := met(t.id + " / " + o.id)
					m.unsure = m.unsure || unsure || !sure
					m.depths = append(m.depths, in...)
					if len(in) > 0 {
						m.n++
					}
				}
			}
		}
	}
	return out
}

// in returns how deep the bodies of a support are in a row, of those that are; sure is false where it is not known, or so near
// the tolerance that either will do.
func (h *heldUp) in(o *thing) (deep [][2]float64, sure bool) { return h.deeper(o, touch) }

func (h *heldUp) deeper(o *thing, touch float64) (deep [][2]float64, sure bool) {
	sure = true
	for k := range h.parts {
		if far(&h.parts[k], &o.full) {
			continue
		}
		m, ok := measuresOf(&h.parts[k], &o.full)
		if !ok {
			// What is apart in height or in the box of its plan is apart.
			if h.parts[k].lo < o.full.hi && h.parts[k].hi > o.full.lo {
				sure = false
			}
			continue
		}
		d := min(m.vertical, m.sideways)
		if math.Abs(d-touch) < near {
			sure = false
		}
		if d > touch {
			deep = append(deep, [2]float64{m.vertical, m.sideways})
		}
	}
	return deep, sure
}

var (
	noteCount = regexp.MustCompile(`^(\d+) of (\d+) supports.*: the (?:rod|channel|washer and nut|support) (\d+) from the row's start`)
	noteMove  = regexp.MustCompile(`may move (\d+) along the run towards the row's (start|end)`)
	noteTwo   = regexp.MustCompile(`clear with two in its place, (\d+) towards the row's start and (\d+) towards its end`)
)

// compareSupports compares the findings of supports with those by brute force, and proves each move that is given by
// measuring the support where it is moved to against all rows. It returns how many findings agree and how many moves
// were proved.
func compareSupports(b *building, things []thing, findings []finding.Finding, say func(string, ...any)) (same, moved int) {
	expect := supportsByForce(b, things)
	at := map[string]int{}
	for i := range things {
		at[things[i].id] = i
	}
	// Clear within a tolerance; not sure where something near cannot be measured.
	clear := func(i int, s, within float64) (clear, sure bool) {
		h := b.support(things, &b.rows[i], &things[i], s)
		if !h.held {
			return false, true
		}
		sure = true
		for j := range things {
			if i == j || j == h.steel[0] || j == h.steel[1] || b.rows[j].run != "" && b.rows[j].file == b.rows[i].file && b.rows[j].run == b.rows[i].run {
				continue
			}
			in, known := h.deeper(&things[j], within)
			known = known && (things[j].simple || len(in) == 0) // a pipe askew is measured as the box round it
			if e := expect[things[i].id+" / "+things[j].id]; e != nil && e.unsure || !known || mayJoin(&things[i], &things[j]) || mayJoin(&things[j], &things[i]) {
				sure = false
			} else if len(in) > 0 {
				return false, true
			}
		}
		return true, sure
	}
	seen := map[string]bool{}
	for n := range findings {
		f := &findings[n]
		id, is := strings.CutPrefix(f.A, "supports of ")
		if !is {
			continue
		}
		k := id + " / "
		if f.B != nil {
			k += *f.B
		}
		seen[k] = true
		e := expect[k]
		note := noteCount.FindStringSubmatch(supportSaid(f))
		if e == nil || note == nil {
			say("%s %s: %q is none by brute force", f.Kind, k, supportSaid(f))
			continue
		}
		if e.unsure {
			continue
		}
		count, _ := strconv.Atoi(note[1])
		of, _ := strconv.Atoi(note[2])
		there := f.Support.At // to 0.1: in words it may be a whole millimetre away
		i := at[id]
		stations, room := b.places(&b.rows[i], &things[i])
		s := stations[0]
		for _, x := range stations {
			if math.Abs(x-there) < math.Abs(s-there) {
				s = x
			}
		}
		switch {
		case e.n == 0 || count != e.n || of != e.of || math.Abs(s-there) > 0.051:
			say("%s %s: %q, by brute force %d of %d, at %v", f.Kind, k, supportSaid(f), e.n, e.of, stations)
		case (f.Kind == finding.Access) != (f.B == nil):
			say("%s %s: not of that kind", f.Kind, k)
		case f.B != nil && !slices.ContainsFunc(e.depths, func(d [2]float64) bool {
			return math.Abs(d[0]-f.Depth.Vertical) < 0.051 && math.Abs(d[1]-*f.Depth.Sideways) < 0.051
		}):
			say("%s %s: depth %s, by brute force %v", f.Kind, k, depth(f.Depth), e.depths)
		default:
			same++
		}
		if m := noteMove.FindStringSubmatch(supportSaid(f)); m != nil {
			by, _ := strconv.ParseFloat(m[1], 64)
			reach := room
			if s <= 300 || s == stations[len(stations)-1] {
				reach = math.Max(room, 300) // towards the end of the row
			}
			if m[2] == "start" {
				by = -by
			}
			moved++
			if ok, _ := clear(i, s+by, touch); !ok || math.Abs(by) > reach+1e-6 {
				say("%s: moved by %g from %g it is not clear, or further than %g", k, by, s, reach)
			}
			// Nearer it is not, all the way.
			for part := 0.1; part < 0.95; part += 0.1 {
				if ok, sure := clear(i, s+by*part, near); ok && sure && math.Abs(by)*(1-part) > 1 {
					say("%s: less than %g from %g is clear too: %g", k, by, s, by*part)
				}
			}
		}
		if m := noteTwo.FindStringSubmatch(supportSaid(f)); m != nil {
			before, _ := strconv.ParseFloat(m[1], 64)
			after, _ := strconv.ParseFloat(m[2], 64)
			moved++
			if a, _ := clear(i, s-before, touch); !a {
				say("%s: %g before %g is not clear", k, before, s)
			}
			if a, _ := clear(i, s+after, touch); !a || before+after > spacingOf[things[i].kind]+1e-6 {
				say("%s: two in the place of %g, %g before and %g after: not clear, or too far apart", k, s, before, after)
			}
		}
	}
	for k, e := range expect {
		if !seen[k] && !e.unsure && e.n > 0 {
			say("supports of %s: missing, by brute force %d of %d: %v", k, e.n, e.of, e.depths)
		}
	}
	return same, moved
}
