package setout

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// Spacing is how far apart supports stand, mm, with where it is from.
type Spacing struct {
	Kind   string
	MM     float64
	Source string
}

// Spacings returns the usual spacing by kind: the closer of what is in use.
func Spacings() []Spacing {
	return []Spacing{
		{"basket", 1200, "1.2 to 1.5 m (common practice, no source; the maker's load table counts)"},
		{"tray", 1500, "1.5 to 2.0 m (common practice, no source; the maker's load table counts)"},
		{"ladder", 3000, "3.0 m (common practice, no source; the maker's load table counts)"},
		{"duct", 2400, "2.4 to 3.0 m (common practice, no source)"},
		{"", 1500, "as a tray (common practice, no source)"},
	}
}

// Fixing says what rods hang from.
type Fixing string

// What supports hang from.
const (
	FromSoffit Fixing = "soffit"
	FromSteel  Fixing = "steel" // a clamp at the bottom flange of a beam
)

// NoFixing is the kind of a row that marks a stretch of soffit where nothing may be fixed.
const NoFixing = "no fixing"

// Hanging says how supports are placed and rods cut. The zero value is what is usual; all mm.
type Hanging struct {
	Spacing float64 // 0: by kind
	First   float64 // first support from an end, a corner or a set; 0: 300 (common practice, no source)
	From    Fixing  // "": soffit
	Clamp   float64 // height of the clamp under a flange; rods end in it
	Screw   float64 // how far a rod is screwed in above; 0: its diameter (common practice, no source)
	Adjust  float64 // added to the cut for levelling; 0: 25 (common practice, no source); below 0: none
	Beside  float64 // rod's middle from the service's side; 0: 50 (common practice, no source)
	Clear   float64 // rod's middle from everything else; 0: 25 (common practice, no source)
	Stock   []float64
	Kerf    float64
}

const (
	usualFirst  = 300.0
	usualAdjust = 25.0
	usualBeside = 50.0
	usualClear  = 25.0
	channelPast = 30.0 // channel beyond each rod, mm; common practice, no source
	channelWide = 41.0 // BS 6946:1988, article on support channel
)

func (h Hanging) filled(kind string, rod float64) Hanging {
	or := func(v *float64, usual float64) {
		if *v == 0 {
			*v = usual
		}
	}
	sp := 0.0
	for _, s := range Spacings() {
		if s.Kind == kind || s.Kind == "" && sp == 0 {
			sp = s.MM
		}
	}
	or(&h.Spacing, sp)
	or(&h.First, usualFirst)
	or(&h.Screw, rod)
	or(&h.Adjust, usualAdjust)
	or(&h.Beside, usualBeside)
	or(&h.Clear, usualClear)
	h.Adjust = math.Max(0, h.Adjust)
	if h.From == "" {
		h.From = FromSoffit
	}
	if len(h.Stock) == 0 {
		h.Stock = []float64{1000, 2000, 3000} // common practice, no source
	}
	return h
}

// Support is one place where the run is held up.
type Support struct {
	N       int
	At      float64
	Where   r2.Point
	Line    float64 // level of the line
	Top     float64 // level of the channel's top: the underside of the service with its insulation
	From    float64 // level of what it hangs from
	Of      string  // what that is
	Rod     float64 // exact length of one rod, 0 where the hanger has none
	Cut     float64 // what to cut
	Rods    int
	Channel float64 // length of the channel, 0 for none
	Hanger  string  // "" where the row names none
	Size    string  // of the rods
	Trim    bool    // the rods are trimmed after levelling
	Moved   float64 // how far it was moved from its even place, mm along the run
}

// Supports is the table of supports with what is wanted for them.
type Supports struct {
	Hanging Hanging
	Kind    string
	Hangers []string // in the order of the run; empty where the rows name none: places only
	List    []Support
	Missing []string // stretches where none could be placed, in words
	Parts   []Count
	Rods    []RodStock
	Channel float64 // total length of channel, mm
	gaps    []node
}

// RodStock is what rods of one size are cut from.
type RodStock struct {
	Size string
	CutList
}

// Count is a part and how many.
type Count struct {
	Part string
	N    int
}

// RodLength returns the length of a rod: from what it hangs from to the channel's top, over the channel and the parts
// under it with the tail, and what is screwed in above.
func RodLength(from, channelTop, under, screw float64) float64 {
	return from - channelTop + under + screw
}

// CutLength rounds a rod's length as a fitter would, never short: with room for levelling to the next 5 mm where it is
// trimmed afterwards, else to the next whole one.
func CutLength(rod, adjust float64, trim bool) float64 {
	if trim {
		return math.Ceil((rod+adjust)/5-1e-9) * 5
	}
	return math.Ceil(rod - 1e-9)
}

// SupportRun places supports under a line that is found.
//
//  1. The level stretches of the line between ends, corners and sets are taken one by one: the first support stands
//     no further than First from each end, the others evenly between, no further apart than Spacing.
//  2. What a support may not touch forbids it stations: the shifts along the run for which a rod or the channel meets
//     it are an interval, measured. So does a place with nothing above to hang from.
//  3. A support that stands in one is moved to the nearest clear station. Where two are too far apart then, one more is
//     placed; where there is no clear station within reach, the stretch is told.
func SupportRun(p *void.Project, a *Answer, h Hanging) *Supports {
	r := a.Run
	z0 := p.Zone(r.Pieces[0].Zone)
	kind := p.Character(z0.Char).Kind
	out := &Supports{Kind: kind}
	size := 0.0
	for k := range r.Pieces {
		z := p.Zone(r.Pieces[k].Zone)
		if z.Hanger < 0 || slices.Contains(out.Hangers, p.Hangers[z.Hanger].Name) {
			continue
		}
		out.Hangers = append(out.Hangers, p.Hangers[z.Hanger].Name)
		_, mm := rodSize(p.Hangers[z.Hanger].Name)
		size = math.Max(size, mm)
	}
	h = h.filled(kind, size)
	out.Hanging = h
	for _, st := range stretches(a) {
		out.stretch(p, r, st)
	}
	slices.SortStableFunc(out.List, func(x, y Support) int {
		if x.At < y.At {
			return -1
		}
		return 1
	})
	cuts := map[string][]float64{}
	var sizes []string
	for i := range out.List {
		s := &out.List[i]
		s.N = i + 1
		if i > 0 {
			if was := out.List[i-1].At; s.At-was > h.Spacing+void.Hair && !slices.ContainsFunc(out.gaps, func(g node) bool { return g.lo >= was-void.Hair && g.lo < s.At }) {
				out.gap(was, s.At, h.Spacing)
			}
		}
		out.Channel += s.Channel
		for range s.Rods {
			if cuts[s.Size] == nil {
				sizes = append(sizes, s.Size)
			}
			cuts[s.Size] = append(cuts[s.Size], s.Cut)
		}
	}
	for _, m := range sizes {
		out.Rods = append(out.Rods, RodStock{m, CutStock(cuts[m], h.Stock, h.Kerf)})
	}
	out.count(p)
	return out
}

// rodSize reads the size of the rods out of a hanger's name; M10 where it says none (common practice, no source).
func rodSize(hanger string) (string, float64) {
	for _, w := range strings.FieldsFunc(hanger, func(r rune) bool { return r == ' ' }) {
		for _, m := range []struct {
			name string
			mm   float64
		}{{"M6", 6}, {"M8", 8}, {"M10", 10}, {"M12", 12}, {"M16", 16}} {
			if strings.EqualFold(w, m.name) {
				return m.name, m.mm
			}
		}
	}
	return "M10", 10
}

// level is a level stretch of the line.
type level struct{ from, to, z float64 }

// stretches returns the level stretches between ends, corners and sets.
func stretches(a *Answer) []level {
	var out []level
	for _, s := range a.Line.Sections {
		at := s.From
		for _, c := range a.Run.Corners {
			if c > at+void.Hair && c < s.To-void.Hair {
				out = append(out, level{at, c, s.Level})
				at = c
			}
		}
		if s.To > at+void.Hair {
			out = append(out, level{at, s.To, s.Level})
		}
	}
	return out
}

// stretch places the supports of one level stretch.
func (o *Supports) stretch(p *void.Project, r *Run, st level) {
	h := o.Hanging
	bad := o.barred(p, r, st)
	clear := func(x float64) bool {
		return !slices.ContainsFunc(bad, func(n node) bool { return n.lo+void.Hair < x && x < n.hi-void.Hair })
	}
	first := math.Min(h.First, (st.to-st.from)/2)
	lo, hi := st.from+first, st.to-first
	n := 1
	if hi > lo+void.Hair {
		n = int(math.Ceil((hi-lo)/h.Spacing-1e-9)) + 1
	}
	var best []Support
	for extra := 0; extra <= 3 && best == nil; extra++ {
		best = o.even(st, lo, hi, n+extra, clear, bad)
	}
	if best == nil {
		best = o.greedy(st, clear, bad)
	}
	for _, s := range best {
		pc := r.PieceAt(s.At)
		s.Where = pc.At(s.At)
		z := p.Zone(pc.Zone)
		o.fill(p, r, pc, z, st.z, &s)
		o.List = append(o.List, s)
	}
}

// even places n supports evenly and moves those that cannot stand there; nil where that leaves too wide a gap.
func (o *Supports) even(st level, lo, hi float64, n int, clear func(float64) bool, bad []node) []Support {
	var list []Support
	for i := range n {
		at := (lo + hi) / 2
		if n > 1 {
			at = lo + (hi-lo)*float64(i)/float64(n-1)
		}
		x, ok := nearestClear(at, st.from, st.to, clear, bad)
		if !ok {
			return nil
		}
		list = append(list, Support{At: x, Moved: x - at})
	}
	first := o.Hanging.First
	if list[0].At-st.from > first+void.Hair || st.to-list[len(list)-1].At > first+void.Hair {
		return nil
	}
	for i := 1; i < len(list); i++ {
		if d := list[i].At - list[i-1].At; d > o.Hanging.Spacing+void.Hair || d < void.Hair {
			return nil
		}
	}
	return list
}

// nearestClear returns the clear station nearest to x within a stretch.
func nearestClear(x, from, to float64, clear func(float64) bool, bad []node) (float64, bool) {
	best, found := 0.0, false
	try := func(s float64) {
		if s >= from && s <= to && clear(s) && (!found || math.Abs(s-x) < math.Abs(best-x)-void.Hair) {
			best, found = s, true
		}
	}
	try(x)
	for _, n := range bad {
		try(n.lo)
		try(n.hi)
	}
	return best, found
}

// greedy goes from one end to the other with the widest steps there are, and tells where they are too wide.
func (o *Supports) greedy(st level, clear func(float64) bool, bad []node) []Support {
	var list []Support
	at, reach := st.from, o.Hanging.First
	for {
		want := math.Min(at+reach, st.to)
		x, ok := lastBefore(want, at, clear, bad)
		if !ok {
			x, ok = firstAfter(want, st.to, clear, bad)
			if !ok && len(list) == 0 && st.to-st.from <= 2*o.Hanging.First {
				return nil // too short to want one of its own: whether its neighbours are near enough is asked in the end
			}
			if !ok {
				o.Missing = append(o.Missing, fmt.Sprintf("from %.0f to %.0f along the run no support can stand", at, st.to))
				o.gaps = append(o.gaps, node{at, st.to})
				return list
			}
			o.gap(at, x, reach)
		}
		list = append(list, Support{At: x})
		if st.to-x <= o.Hanging.First+void.Hair {
			return list
		}
		at, reach = x, o.Hanging.Spacing
		if st.to-at <= o.Hanging.Spacing+o.Hanging.First {
			reach = math.Max(st.to-o.Hanging.First/2-at, void.Hair*2)
		}
	}
}

// gap tells two places that are further apart than they may be.
func (o *Supports) gap(from, to, most float64) {
	o.gaps = append(o.gaps, node{from, to})
	o.Missing = append(o.Missing, fmt.Sprintf("from %.0f to %.0f along the run no support can stand: %.0f apart, at most %.0f are asked", from, to, to-from, most))
}

func lastBefore(x, from float64, clear func(float64) bool, bad []node) (float64, bool) {
	best, found := 0.0, false
	try := func(s float64) {
		if s > from+void.Hair && s <= x+void.Hair && clear(s) && (!found || s > best) {
			best, found = s, true
		}
	}
	try(x)
	for _, n := range bad {
		try(n.lo)
		try(n.hi)
	}
	return best, found
}

func firstAfter(x, to float64, clear func(float64) bool, bad []node) (float64, bool) {
	best, found := 0.0, false
	for _, n := range bad {
		for _, s := range []float64{n.lo, n.hi} {
			if s >= x && s <= to && clear(s) && (!found || s < best) {
				best, found = s, true
			}
		}
	}
	return best, found
}

// gear is a support's bodies at one station.
type gear struct {
	rods    []body.Body
	channel body.Body
	hasChan bool
}

// gearAt returns the bodies of a support at a station: rods up to a level, with the room round them, and the channel under
// the service.
func (o *Supports) gearAt(p *void.Project, pc *Piece, r *Run, s, line, from float64) gear {
	z := p.Zone(pc.Zone)
	at := pc.At(s)
	d := pc.dir()
	across := r2.Point{X: -d.Y, Y: d.X}
	b := r.levelled(pc.Bare, line)
	full := *z
	full.Bare = b
	f := full.Full()
	half := f.W
	under := p.Under(z)
	low := f.Height().Lo
	var g gear
	hanger := ""
	if z.Hanger >= 0 {
		hanger = p.Hangers[z.Hanger].Name
	}
	rod := func(off, bottom float64) {
		q := at.Add(across.Mul(off))
		g.rods = append(g.rods, body.Cylinder(r3.Vector{X: q.X, Y: q.Y, Z: bottom}, r3.Vector{X: q.X, Y: q.Y, Z: from}, 2*o.Hanging.Clear))
	}
	switch {
	case hanger == "" || strings.Contains(hanger, "bracket"):
	case under <= 0:
		rod(0, f.Height().Hi)
	default:
		rod(half+o.Hanging.Beside, low-under)
		rod(-half-o.Hanging.Beside, low-under)
		n := half + o.Hanging.Beside + channelPast
		e := across.Mul(n)
		g.channel = body.Box(
			r3.Vector{X: at.X - e.X, Y: at.Y - e.Y, Z: low - under/2}, r3.Vector{X: at.X + e.X, Y: at.Y + e.Y, Z: low - under/2}, channelWide, under)
		g.hasChan = true
	}
	return g
}

// barred returns the stations of a stretch where a support may not stand.
func (o *Supports) barred(p *void.Project, r *Run, st level) []node {
	var bad []node
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		from, to := math.Max(st.from, pc.From), math.Min(st.to, pc.To)
		if to-from <= void.Hair {
			continue
		}
		mid := (from + to) / 2
		d := pc.dir()
		dir := r3.Vector{X: d.X, Y: d.Y}
		add := func(lo, hi float64) {
			// A little past the ends, so that the end itself is barred where what bars it goes on.
			if lo, hi = math.Max(mid+lo, from-1), math.Min(mid+hi, to+1); hi > lo {
				bad = append(bad, node{lo, hi})
			}
		}
		top := math.Inf(-1)
		for _, j := range p.Zone(pc.Zone).Bays() {
			top = math.Max(top, p.Bays[j].Soffit)
		}
		var held [][]node // for each rod the stations where steel is over it
		if math.IsInf(top, -1) {
			add(from-mid, to-mid)
			continue
		}
		g := o.gearAt(p, pc, r, mid, st.z, top)
		bodies := slices.Clone(g.rods)
		if g.hasChan {
			bodies = append(bodies, g.channel)
		}
		steel := map[int]bool{}
		if o.Hanging.From == FromSteel {
			for _, rod := range g.rods {
				var over []node
				for i := range p.Zones() {
					z := p.Zone(i)
					if !p.Character(z.Char).Entry.Beam || z.Storey != p.Zone(pc.Zone).Storey {
						continue
					}
					line := body.Cylinder(rod.Start(), rod.End(), 0)
					if v, ok := body.Span(line, z.Bare, dir); ok {
						steel[i] = true
						over = append(over, node{mid + v.Lo, mid + v.Hi})
					}
				}
				held = append(held, over)
			}
			for _, over := range held {
				bad = append(bad, complement(over, from, to)...)
			}
		}
		run := p.Zone(pc.Zone).Run
		for i := range p.Zones() {
			z := p.Zone(i)
			if i == pc.Zone || run != "" && strings.EqualFold(z.Run, run) || z.ByHeight || steel[i] {
				continue
			}
			for _, b := range bodies {
				if p.Character(z.Char).Kind == NoFixing {
					b = tall(b)
				}
				if v, ok := body.Span(b, z.Full(), dir); ok && v.Length() > void.Hair {
					add(v.Lo, v.Hi)
				}
			}
		}
		for k := range p.Spaces {
			if s := &p.Spaces[k]; s.Open && int(s.For) != pc.Zone {
				for _, b := range bodies {
					if v, ok := body.Span(b, s.Body, dir); ok && v.Length() > void.Hair {
						add(v.Lo, v.Hi)
					}
				}
			}
		}
		for k := range p.Openings {
			if op := &p.Openings[k]; op.In < 0 && !op.Ceiling && o.Hanging.From == FromSoffit {
				hole := body.Upright(r2.RectFromCenterSize(r2.Point{X: op.Centre.X, Y: op.Centre.Y}, r2.Point{X: 2 * op.HalfA, Y: 2 * op.HalfB}),
					r1.Interval{Lo: op.Centre.Z - 1, Hi: op.Centre.Z + 1})
				for _, b := range g.rods {
					if v, ok := body.Span(tall(b), hole, dir); ok {
						add(v.Lo, v.Hi)
					}
				}
			}
		}
	}
	slices.SortFunc(bad, func(a, b node) int {
		if a.lo < b.lo {
			return -1
		}
		return 1
	})
	var merged []node
	for _, b := range bad {
		if n := len(merged); n > 0 && b.lo <= merged[n-1].hi+void.Hair {
			merged[n-1].hi = math.Max(merged[n-1].hi, b.hi)
		} else {
			merged = append(merged, b)
		}
	}
	return merged
}

// tall returns a body through all levels: only its plan counts.
func tall(b body.Body) body.Body {
	pl := b.Plan()
	h := b.Height()
	return body.Upright(pl, r1.Interval{Lo: h.Lo - 1e5, Hi: h.Hi + 1e5})
}

// complement returns what closed stretches leave of a stretch, as open ones.
func complement(over []node, from, to float64) []node {
	slices.SortFunc(over, func(a, b node) int {
		if a.lo < b.lo {
			return -1
		}
		return 1
	})
	var out []node
	at := from - 1
	for _, n := range over {
		if n.lo > at {
			out = append(out, node{at, n.lo})
		}
		at = math.Max(at, n.hi)
	}
	if at < to {
		out = append(out, node{at, to + 1})
	}
	return out
}

// fill works out the levels and lengths of one support.
func (o *Supports) fill(p *void.Project, r *Run, pc *Piece, z *void.Zone, line float64, s *Support) {
	s.Line = line
	full := *z
	full.Bare = r.levelled(pc.Bare, line)
	f := full.Full()
	s.Top = f.Height().Lo
	at := s.Where
	if j, ok := p.BayAt(int(z.Storey), at); ok {
		s.From, s.Of = p.Bays[j].Soffit, p.Bays[j].SoffitID()
	}
	if o.Hanging.From == FromSteel {
		for i := range p.Zones() {
			b := p.Zone(i)
			if !p.Character(b.Char).Entry.Beam || b.Storey != z.Storey {
				continue
			}
			up := body.Cylinder(r3.Vector{X: at.X, Y: at.Y, Z: s.Top}, r3.Vector{X: at.X, Y: at.Y, Z: s.Top + 1e5}, 0)
			if v, ok := body.Span(up, b.Bare, r3.Vector{Z: 1}); ok {
				if under := s.Top + 1e5 + v.Lo; under >= s.Top && (s.Of == "" || strings.HasPrefix(s.Of, "soffit") || under < s.From) {
					s.From, s.Of = under-o.Hanging.Clamp, b.ID
				}
			}
		}
	}
	under := p.Under(z)
	channel := false
	if z.Hanger >= 0 {
		s.Hanger = p.Hangers[z.Hanger].Name
		s.Size, _ = rodSize(s.Hanger)
		s.Trim = !strings.Contains(s.Hanger, "long tail")
		channel = slices.ContainsFunc(p.Hangers[z.Hanger].Parts, func(x void.HangerPart) bool { return strings.Contains(strings.ToLower(x.Name), "channel") })
	}
	switch {
	case s.Hanger == "" || strings.Contains(s.Hanger, "bracket"):
		return
	case under <= 0:
		s.Rods = 1
		s.Rod = RodLength(s.From, f.Height().Hi, 0, o.Hanging.Screw)
	default:
		s.Rods = 2
		s.Rod = RodLength(s.From, s.Top, under, o.Hanging.Screw)
		if channel {
			s.Channel = math.Ceil(2*f.W + 2*o.Hanging.Beside + 2*channelPast - 1e-9)
		}
	}
	s.Cut = CutLength(s.Rod, o.Hanging.Adjust, s.Trim)
}

// count counts the parts: those of each hanger, what locks a channel from above, and what the rods hang from.
func (o *Supports) count(p *void.Project) {
	add := func(part string) {
		for i := range o.Parts {
			if o.Parts[i].Part == part {
				o.Parts[i].N++
				return
			}
		}
		o.Parts = append(o.Parts, Count{part, 1})
	}
	parts := map[string][]void.HangerPart{}
	for i := range p.Hangers {
		parts[p.Hangers[i].Name] = p.Hangers[i].Parts
	}
	for _, s := range o.List {
		for _, x := range parts[s.Hanger] {
			low := strings.ToLower(x.Name)
			switch {
			case strings.Contains(low, "channel"), strings.Contains(low, "thread"), strings.Contains(low, "tail"):
			case strings.Contains(low, "nut"), strings.Contains(low, "washer"):
				for range s.Rods {
					add(x.Name)
				}
			default:
				add(x.Name)
			}
		}
		for range s.Rods {
			if s.Channel > 0 {
				add("nut " + s.Size + " above the channel, to lock it")
			}
			if o.Hanging.From == FromSteel {
				add("clamp for the flange, " + s.Size)
			} else {
				add("fixing into the soffit, " + s.Size)
			}
		}
		if s.Rods == 1 {
			add("clip or strap, as the service")
		}
	}
}

// Fits reports whether parts fit into the inside of a channel: width and height of the inside, and of what goes in. What
// does not fit is told.
func Fits(inside r2.Point, plate float64, heights ...float64) (room float64, why string) {
	if plate > inside.X+1e-9 {
		return 0, fmt.Sprintf("a plate of %g does not go into %g", plate, inside.X)
	}
	sum := 0.0
	for _, h := range heights {
		sum += h
	}
	if sum > inside.Y+1e-9 {
		return 0, fmt.Sprintf("%g of parts do not go into %g", sum, inside.Y)
	}
	return inside.Y - sum, ""
}
