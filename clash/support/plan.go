package support

import (
	"cmp"
	"iter"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// How rows are put together, mm and degrees.
const (
	meetEnds = 50.0   // ends that meet (as in the check)
	meetStep = 10.0   // by how much their levels may differ without a step
	straight = 1.0    // degrees by which rows that follow each other may turn and still be straight on
	aside    = 1000.0 // how far beside each other rows of one frame may lie; common practice, no source
)

// Plan is where the supports of a project stand.
//
// Rows are gathered by what may decide together where supports stand: the rows of one run, the rows of one frame, else the
// row alone. Of such a gathering, lengths are made:
//
//  1. Two ends of rows of one run meet straight on where no other end of the run meets either, their directions
//     differ by no more than a degree and their levels by no more than a step; rows so chained are one length.
//  2. Rows of one frame that lie side by side or over each other, or follow each other, are one length along the
//     first of them.
//  3. Every other hung row is a length of its own.
type Plan struct {
	p        *void.Project
	opt      Options
	groupOf  []int32 // by zone, -1 for none or where it has neither run nor frame
	places   []place // of zones that belong to a length
	placeOf  []int32 // by zone: index into places, none, or alone
	groups   []group
	byKey    map[key]int32
	lengths  []length
	spare    []int32 // lengths that are free
	free     []int32 // and places
	kinds    []float64
	hangers  []gear
	set      map[int32][]void.SetSupport // by row: what is set out along it
	setRuns  map[key]bool                // runs of which anything is set out
	raised   map[int32]float64           // by row of a frame: how much higher Along takes it to be
	chaining chainer                     // room for Changed
	wider    float64                     // by which rods stand further out than is usual
}

// Of a zone that has no place kept: it is not hung, or is a length by itself, which is worked out when asked for.
const (
	none  = -1
	alone = -2
)

// key is what gathers rows: a run of a trade, or a frame of a storey.
type key struct {
	frame bool
	of    string // the trade; of a frame ""
	name  string
	at    int32 // storey of a frame
}

type group struct {
	frame   bool
	zones   []int32
	lengths []int32
}

// place is where a row lies along its length.
type place struct {
	length   int32
	back     bool    // the length goes from the row's end to its start
	from, to float64 // stations
	off      float64 // of a frame: of the row's axis to the left of the frame's
}

// length is rows along which supports stand evenly.
type length struct {
	zones   []int32 // in order along it; of a frame by id
	end     float64 // its last station; the first is 0
	spacing float64
	frame   bool
	like    int32    // of a frame: the row whose hanger those have that name none
	origin  r2.Point // of a frame's axis
	dir     r2.Point
}

// Of gathers the rows of a resolved project.
func Of(p *void.Project, opt Options) *Plan {
	pl := &Plan{p: p, opt: opt.Filled(), byKey: map[key]int32{}}
	pl.takeSet()
	pl.grow()
	// Groups are counted and then filled, so that their rows lie in one piece.
	total := int32(0)
	var counts []int32
	for i := range int32(p.Zones()) {
		if g := pl.groupFor(i); g >= 0 {
			for len(counts) <= int(g) {
				counts = append(counts, 0)
			}
			counts[g]++
			total++
		}
	}
	room := make([]int32, total)
	at := int32(0)
	for g, n := range counts {
		pl.groups[g].zones = room[at : at : at+n]
		at += n
	}
	for i, g := range pl.groupOf {
		if g >= 0 {
			pl.groups[g].zones = append(pl.groups[g].zones, int32(i))
		}
	}
	// Rows are chained run by run, several at a time; then they are laid in order.
	chained := make([][]chain, len(pl.groups))
	const some = 256
	var next atomic.Int64
	var wg sync.WaitGroup
	for range opt.workers() {
		wg.Go(func() {
			var c chainer
			for {
				from := int(next.Add(some)) - some
				if from >= len(chained) {
					return
				}
				for g := from; g < min(from+some, len(chained)); g++ {
					chained[g] = pl.chains(&c, int32(g))
				}
			}
		})
	}
	wg.Wait()
	placed := 0
	for _, c := range chained {
		for k := range c {
			if n := len(c[k].zones); n > 1 {
				placed += n
			}
		}
	}
	pl.places = make([]place, 0, placed)
	for g := range pl.groups {
		pl.measure(int32(g), chained[g])
	}
	return pl
}

// How much longer channels are tried where rods are in the way: at each end so much more, up to so much, mm.
const (
	widerBy   = 5.0
	widerMost = 150.0
)

// Wider gives the plan with each rod further out, mm, and channels as much longer at either end, the least first: to ask what a longer
// channel would clear. Each is good as long as the plan itself does not change.
func (pl *Plan) Wider() iter.Seq2[float64, *Plan] {
	return func(yield func(float64, *Plan) bool) {
		for by := widerBy; by <= widerMost; by += widerBy {
			w := *pl
			if w.wider = by; !yield(by, &w) {
				return
			}
		}
	}
}

// Lifted returns the plan with rows of frames so much higher than in the project, mm by zone, for Along. It is good as long as the
// plan itself does not change.
func (pl *Plan) Lifted(lift map[int32]float64) *Plan {
	w := *pl
	w.raised = lift
	return &w
}

// Changed takes note of zones that changed (by index, as Edit returns them), and of supports that are set out elsewhere where those did,
// and returns, ascending, all rows whose supports may stand elsewhere for it: these and the others of their runs and frames, before and
// after. What supports hang from, soffits and steel, is looked up whenever they are asked for.
func (pl *Plan) Changed(zones []int, set bool) []int32 {
	pl.grow()
	dirty := map[int32]bool{}
	rows := map[int32]bool{}
	if set || slices.ContainsFunc(zones, func(i int) bool { return len(pl.set[int32(i)]) > 0 }) { // it may be of another run now
		was := pl.set
		pl.takeSet()
		for _, list := range [2][2]map[int32][]void.SetSupport{{was, pl.set}, {pl.set, was}} {
			for i, x := range list[0] {
				if !slices.Equal(x, list[1][i]) {
					rows[i] = true
					if g := pl.groupOf[i]; g >= 0 {
						dirty[g] = true
					}
				}
			}
		}
	}
	for _, z := range zones {
		i := int32(z)
		rows[i] = true
		if g := pl.groupOf[i]; g >= 0 {
			dirty[g] = true
			gr := &pl.groups[g]
			gr.zones = slices.DeleteFunc(gr.zones, func(k int32) bool { return k == i })
			pl.groupOf[i] = -1
		}
		pl.lift(i)
		pl.join(i)
		if g := pl.groupOf[i]; g >= 0 {
			dirty[g] = true
		}
	}
	for g := range dirty {
		for _, i := range pl.groups[g].zones {
			pl.lift(i)
		}
		pl.measure(g, pl.chains(&pl.chaining, g))
		for _, i := range pl.groups[g].zones {
			rows[i] = true
		}
	}
	out := make([]int32, 0, len(rows))
	for i := range rows {
		out = append(out, i)
	}
	slices.Sort(out)
	return out
}

// takeSet takes in what somebody has set out.
func (pl *Plan) takeSet() {
	pl.set, pl.setRuns = map[int32][]void.SetSupport{}, map[key]bool{}
	for _, x := range pl.p.Supports {
		if x.Zone < 0 {
			continue
		}
		pl.set[x.Zone] = append(pl.set[x.Zone], x)
		if of := pl.runOf(x.Zone); of.name != "" {
			pl.setRuns[of] = true
		}
	}
}

// runOf names the run of a row.
func (pl *Plan) runOf(i int32) key {
	z := pl.p.Zone(int(i))
	return key{of: pl.p.Character(z.Char).Trade, name: strings.ToLower(z.Run())}
}

// IsSet reports whether somebody has set out the supports of a row's length.
func (pl *Plan) IsSet(i int) bool {
	if len(pl.set) == 0 || i >= len(pl.placeOf) || pl.placeOf[i] == none {
		return false
	}
	var one [1]int32
	_, l := pl.where(int32(i), one[:])
	return pl.setOut(&l) != nil
}

// SetOut returns the supports of a row that somebody has set out, in the order of its length, by number, place and what is said of them alone: those of a
// hanger that has no body, too.
func (pl *Plan) SetOut(i int) (list []Support) {
	if !pl.IsSet(i) {
		return nil
	}
	var one [1]int32
	at, l := pl.where(int32(i), one[:])
	pl.eachOf(&l, pl.setOut(&l), at.from, at.to, func(x spot) {
		if pl.tells(&l, int32(i), &at, x.station) {
			s := Support{Zone: int32(i), At: at.along(x.station)}
			s.setAs(x.set)
			list = append(list, s)
		}
	})
	return list
}

// Bare is a stretch of a run along which supports that are set out leave more than they may.
type Bare struct {
	Zone        int32   // the row in which it begins
	Long, Most  float64 // how long the stretch is, and may be, mm
	After, Next int     // numbers of the supports before and after it; 0: an end of the run, or a corner
}

// TooFar returns where supports that are set out are further apart than the spacing, or from an end or a corner than the first: run by run, along its
// lengths. Rows that are not hung, or whose supports are not set out, part a run.
func (pl *Plan) TooFar() (out []Bare) {
	if len(pl.set) == 0 {
		return nil
	}
	runs := map[key][]int{}
	var lengths []void.RunLength
	for i := range pl.placeOf {
		if !pl.isLength(int32(i)) {
			continue
		}
		switch of := pl.runOf(int32(i)); {
		case of.name == "" && len(pl.set[int32(i)]) > 0:
			lengths = append(lengths, pl.p.RunLengths([]int{i})...)
		case pl.setRuns[of]:
			runs[of] = append(runs[of], i)
		}
	}
	for _, of := range slices.SortedFunc(maps.Keys(runs), func(a, b key) int { return cmp.Or(cmp.Compare(a.name, b.name), cmp.Compare(a.of, b.of)) }) {
		lengths = append(lengths, pl.p.RunLengths(runs[of])...)
	}
	for _, l := range lengths {
		out = append(out, pl.bare(&l)...)
	}
	return out
}

// bare returns the stretches of one length of a run along which supports that are set out leave more than they may.
func (pl *Plan) bare(l *void.RunLength) (out []Bare) {
	type mark struct {
		at   float64
		no   int  // of a support; 0: an end, a corner, or where what is set out begins or ends
		end  bool // an end or a corner
		set  bool // from there on supports are set out
		zone int32
	}
	var marks []mark
	spacing := 0.0
	for k := range l.Pieces {
		c := &l.Pieces[k]
		zone, set := int32(c.Zone), pl.IsSet(c.Zone)
		corner := k == 0 || pl.turns(&l.Pieces[k-1], c)
		if corner || set != marks[len(marks)-1].set {
			marks = append(marks, mark{c.From, 0, corner, set, zone})
		}
		if !set {
			continue
		}
		var one [1]int32
		at, of := pl.where(zone, one[:])
		spacing = math.Max(spacing, of.spacing)
		pl.eachOf(&of, pl.setOut(&of), at.from, at.to, func(x spot) {
			along := c.From + at.along(x.station)
			if c.Reversed {
				along = c.To - at.along(x.station)
			}
			marks = append(marks, mark{along, int(x.set.Number), false, true, zone})
		})
	}
	marks = append(marks, mark{at: l.Length, end: true})
	slices.SortStableFunc(marks, func(a, b mark) int { return cmp.Compare(a.at, b.at) })
	for k := 1; k < len(marks); k++ {
		a, b := &marks[k-1], &marks[k]
		most := spacing
		switch {
		case !a.set, a.no == 0 && !a.end, b.no == 0 && !b.end:
			continue
		case a.end && b.end:
			most = 2 * pl.opt.First // what is shorter its neighbours hold
		case a.end, b.end:
			most = pl.opt.First
		}
		if b.at-a.at > most+void.Hair {
			out = append(out, Bare{Zone: a.zone, Long: b.at - a.at, Most: math.Min(most, spacing), After: a.no, Next: b.no})
		}
	}
	return out
}

// turns reports whether a run turns in plan from one row to the next.
func (pl *Plan) turns(a, b *void.RunPiece) bool {
	dir := func(c *void.RunPiece) r2.Point {
		d := planDir(pl.p.Zone(c.Zone).Bare())
		if c.Reversed {
			return d.Mul(-1)
		}
		return d
	}
	return dir(a).Dot(dir(b)) < math.Cos(straight*math.Pi/180)
}

// grow makes room for zones, characters and hangers that are new.
func (pl *Plan) grow() {
	if n := pl.p.Zones() - len(pl.groupOf); n > 1 {
		pl.groupOf, pl.placeOf = slices.Grow(pl.groupOf, n), slices.Grow(pl.placeOf, n)
	}
	for n := pl.p.Zones(); len(pl.groupOf) < n; {
		pl.groupOf = append(pl.groupOf, -1)
		pl.placeOf = append(pl.placeOf, none)
	}
	for n := pl.p.Characters(); len(pl.kinds) < n; {
		pl.kinds = append(pl.kinds, pl.opt.Of(pl.p.Character(int32(len(pl.kinds))).Kind))
	}
	pl.hangers = pl.hangers[:0]
	for i := range pl.p.Hangers {
		pl.hangers = append(pl.hangers, gearOf(&pl.p.Hangers[i]))
	}
}

// length reports whether a zone is a length of a service with a place, which may be hung.
func (pl *Plan) isLength(i int32) bool {
	z := pl.p.Zone(int(i))
	return !z.Gone && !z.Item && !z.Upright && !z.ByHeight && !pl.p.Character(z.Char).Structure()
}

// join puts a zone into its group: one that is hung, or names a frame.
func (pl *Plan) join(i int32) {
	if g := pl.groupFor(i); g >= 0 {
		pl.groups[g].zones = append(pl.groups[g].zones, i)
	}
}

// groupFor finds the group of a zone, none for one that is alone or not hung.
func (pl *Plan) groupFor(i int32) int32 {
	z := pl.p.Zone(int(i))
	frame, _ := z.Frame()
	if z.Hanger < 0 && frame == "" || !pl.isLength(i) {
		return none
	}
	k := key{of: pl.p.Character(z.Char).Trade, name: z.Run()}
	if frame != "" {
		k = key{frame: true, name: frame, at: z.Storey}
	}
	if k.name == "" {
		pl.placeOf[i] = alone
		return none
	}
	g, ok := pl.byKey[k]
	if !ok {
		// Case does not count: each spelling is looked up once.
		low := k
		low.name = strings.ToLower(k.name)
		if g, ok = pl.byKey[low]; !ok {
			g = int32(len(pl.groups))
			pl.groups = append(pl.groups, group{frame: k.frame})
			pl.byKey[low] = g
		}
		pl.byKey[k] = g
	}
	pl.groupOf[i] = g
	return g
}

// measure makes the lengths of a group, of a run out of its chains.
func (pl *Plan) measure(g int32, chained []chain) {
	gr := &pl.groups[g]
	for _, l := range gr.lengths {
		pl.lengths[l] = length{}
		pl.spare = append(pl.spare, l)
	}
	gr.lengths = gr.lengths[:0]
	if gr.frame {
		pl.frames(g)
	}
	for _, c := range chained {
		pl.lay(g, c.zones, c.back)
	}
}

// lift takes a zone out of the length that it is part of.
func (pl *Plan) lift(i int32) {
	if k := pl.placeOf[i]; k >= 0 {
		pl.free = append(pl.free, k)
	}
	pl.placeOf[i] = none
}

// lay adds a length of rows that follow each other.
func (pl *Plan) lay(g int32, zones []int32, back []bool) {
	if len(zones) == 1 {
		pl.placeOf[zones[0]] = alone
		return
	}
	at := 0.0
	n := pl.keep(g)
	for k, i := range zones {
		b := pl.p.Zone(int(i)).Bare()
		long := 2 * math.Hypot(b.Along.X, b.Along.Y)
		pl.put(i, place{length: n, back: back[k], from: at, to: at + long})
		at += long
	}
	pl.lengths[n] = length{zones: zones, end: at, spacing: pl.kinds[pl.p.Zone(int(zones[0])).Char]}
}

// keep returns the index of a new length of a group.
func (pl *Plan) keep(g int32) int32 {
	var n int32
	if k := len(pl.spare); k > 0 {
		n, pl.spare = pl.spare[k-1], pl.spare[:k-1]
	} else {
		n = int32(len(pl.lengths))
		pl.lengths = append(pl.lengths, length{})
	}
	pl.groups[g].lengths = append(pl.groups[g].lengths, n)
	return n
}

func (pl *Plan) put(i int32, at place) {
	if k := len(pl.free); k > 0 {
		pl.placeOf[i], pl.free = pl.free[k-1], pl.free[:k-1]
		pl.places[pl.placeOf[i]] = at
		return
	}
	pl.placeOf[i] = int32(len(pl.places))
	pl.places = append(pl.places, at)
}

// where returns the length that a hung zone is part of, and where it lies along it. one has room for a zone.
func (pl *Plan) where(i int32, one []int32) (place, length) {
	if k := pl.placeOf[i]; k >= 0 {
		return pl.places[k], pl.lengths[pl.places[k].length]
	}
	z := pl.p.Zone(int(i))
	b := z.Bare()
	one[0] = i
	l := length{zones: one, end: 2 * math.Hypot(b.Along.X, b.Along.Y), spacing: pl.kinds[z.Char]}
	return place{length: none, to: l.end}, l
}

// tip is one end of a row.
type tip struct {
	at    r3.Vector
	out   r3.Vector // unit, out of the row
	zone  int32
	end   bool  // the row's end, else its start
	mates int   // ends of other rows that meet it straight on
	mate  int32 // index of the last such
}

// chain is rows of a run that follow each other straight on; back says which of them it goes through from their end.
type chain struct {
	zones []int32
	back  []bool
}

// chainer is room for chaining.
type chainer struct {
	tips  []tip
	order []int32
	done  []bool
	zones []int32 // what is left of a block that chains are cut from
	block int     // how much was last made for it
	back  []bool
}

// chains returns what the rows of a run make, those by themselves too; nil for a frame.
//
// From each row that is not taken yet it goes on, end to end, to where the chain ends, and comes back through all of it.
// Rows that turn a little each may close to a ring: that begins with the first of them by id.
func (pl *Plan) chains(c *chainer, g int32) []chain {
	zones := pl.groups[g].zones
	if pl.groups[g].frame || len(zones) == 0 {
		return nil
	}
	if len(zones) == 1 {
		return []chain{{zones: zones}}
	}
	c.tips, c.order, c.done = c.tips[:0], c.order[:0], c.done[:0]
	for _, i := range zones {
		b := pl.p.Zone(int(i)).Bare()
		u := b.Along.Mul(1 / b.Along.Norm())
		c.tips = append(c.tips, tip{at: b.Start(), out: u.Mul(-1), zone: i, mate: -1}, tip{at: b.End(), out: u, zone: i, end: true, mate: -1})
		c.done = append(c.done, false)
	}
	tips := c.tips
	// Sorted along x, so that only near ends are looked at; of equals the order does not matter.
	for k := range tips {
		c.order = append(c.order, int32(k))
	}
	slices.SortFunc(c.order, func(a, b int32) int { return cmp.Compare(tips[a].at.X, tips[b].at.X) })
	for x, a := range c.order {
		for _, b := range c.order[x+1:] {
			if tips[b].at.X-tips[a].at.X > meetEnds {
				break
			}
			if tips[a].zone != tips[b].zone && pl.straightOn(&tips[a], &tips[b]) {
				tips[a].mates++
				tips[b].mates++
				tips[a].mate, tips[b].mate = b, a
			}
		}
	}
	next := func(k int32) (int32, bool) { // the end that meets this one, alone
		m := tips[k].mate
		return m, tips[k].mates == 1 && tips[m].mates == 1
	}
	first := func(a, b int32) bool {
		return void.Natural(pl.p.Zone(int(tips[a].zone)).ID, pl.p.Zone(int(tips[b].zone)).ID) < 0
	}
	var out []chain
	// Tips 2n and 2n+1 are those of one row.
	for k := range int32(len(zones)) {
		if c.done[k] {
			continue
		}
		at, least := 2*k, 2*k
		for m, ok := next(at); ok; m, ok = next(at) {
			if at = m ^ 1; at/2 == k { // round a ring
				at = least &^ 1
				break
			}
			if first(at, least) {
				least = at
			}
		}
		if len(c.zones) < len(zones) {
			c.block = max(len(zones), min(2*c.block, 1<<12)) // a run by itself takes no more than it needs
			c.zones, c.back = make([]int32, c.block), make([]bool, c.block)
		}
		n, lead := 0, int32(0)
		for ok := true; ok && !c.done[at/2]; n++ {
			c.done[at/2] = true
			c.zones[n], c.back[n] = tips[at].zone, tips[at].end
			if n == 0 || first(at, lead) {
				lead = at
			}
			if at, ok = next(at ^ 1); !ok {
				n++
				break
			}
		}
		in, back := c.zones[:n:n], c.back[:n:n]
		c.zones, c.back = c.zones[n:], c.back[n:]
		if tips[lead].end { // as the first of them by id is drawn
			slices.Reverse(in)
			slices.Reverse(back)
			for k := range back {
				back[k] = !back[k]
			}
		}
		out = append(out, chain{in, back})
	}
	return out
}

// straightOn reports whether two ends of rows that are held up alike meet straight on, without a step.
func (pl *Plan) straightOn(a, b *tip) bool {
	za, zb := pl.p.Zone(int(a.zone)), pl.p.Zone(int(b.zone))
	return a.at.Sub(b.at).Norm() <= meetEnds+void.Hair && math.Abs(a.at.Z-b.at.Z) <= meetStep+void.Hair &&
		-a.out.Dot(b.out) >= math.Cos(straight*math.Pi/180) && za.Hanger == zb.Hanger && pl.kinds[za.Char] == pl.kinds[zb.Char] && za.Storey == zb.Storey
}

// frames makes the lengths of the rows of a frame.
func (pl *Plan) frames(g int32) {
	zones := slices.Clone(pl.groups[g].zones)
	p := pl.p
	hung := func(i int32) bool { return p.Zone(int(i)).Hanger >= 0 }
	if !slices.ContainsFunc(zones, hung) {
		return // nobody says what it hangs on
	}
	slices.SortFunc(zones, func(a, b int32) int { return void.Natural(p.Zone(int(a)).ID, p.Zone(int(b)).ID) })
	for done := map[int32]bool{}; ; {
		// The rows along the first that is left, as far as they hold together.
		k := slices.IndexFunc(zones, func(i int32) bool { return !done[i] })
		if k < 0 {
			return
		}
		seed := p.Zone(int(zones[k])).Bare()
		l := length{frame: true, dir: planDir(seed)} // as the first of them is drawn
		type span struct{ from, to, lo, hi float64 } // along and across
		spanOf := func(i int32) span {
			b := p.Zone(int(i)).Full()
			along := b.Reach(r3.Vector{X: l.dir.X, Y: l.dir.Y})
			across := b.Reach(r3.Vector{X: -l.dir.Y, Y: l.dir.X})
			return span{along.Lo, along.Hi, across.Lo, across.Hi}
		}
		in := []int32{zones[k]}
		spans := []span{spanOf(zones[k])}
		done[zones[k]] = true
		for n := 0; n < len(in); n++ {
			for _, j := range zones {
				if done[j] || math.Abs(planDir(p.Zone(int(j)).Bare()).Dot(l.dir)) < math.Cos(straight*math.Pi/180) {
					continue
				}
				s, o := spanOf(j), spans[n]
				if math.Max(s.from-o.to, o.from-s.to) <= meetEnds && math.Max(s.lo-o.hi, o.lo-s.hi) <= aside {
					in, spans = append(in, j), append(spans, s)
					done[j] = true
				}
			}
		}
		from, to := math.Inf(1), math.Inf(-1)
		for _, s := range spans {
			from, to = math.Min(from, s.from), math.Max(to, s.to)
		}
		e := r2.Point{X: -l.dir.Y, Y: l.dir.X}
		c := r2.Point{X: seed.Centre.X, Y: seed.Centre.Y}
		l.origin = c.Add(l.dir.Mul(from - c.Dot(l.dir)))
		l.end, l.spacing = to-from, math.Inf(1)
		slices.SortFunc(in, func(a, b int32) int { return void.Natural(p.Zone(int(a)).ID, p.Zone(int(b)).ID) })
		l.zones, l.like = in, zones[slices.IndexFunc(zones, hung)]
		if k := slices.IndexFunc(in, hung); k >= 0 {
			l.like = in[k]
		}
		n := pl.keep(g)
		for _, i := range in {
			z := p.Zone(int(i))
			l.spacing = math.Min(l.spacing, pl.kinds[z.Char])
			s := spanOf(i)
			pl.put(i, place{
				length: n, back: planDir(z.Bare()).Dot(l.dir) < 0, from: s.from - from, to: s.to - from,
				off: r2.Point{X: z.Bare().Centre.X, Y: z.Bare().Centre.Y}.Sub(l.origin).Dot(e),
			})
		}
		pl.lengths[n] = l
	}
}

// planDir returns the direction of a body in plan, a unit.
func planDir(b body.Body) r2.Point {
	n := math.Hypot(b.Along.X, b.Along.Y)
	return r2.Point{X: b.Along.X / n, Y: b.Along.Y / n}
}

// Frame returns the rows that hang on the same rods as a row of a frame somewhere, itself included, by id; nil for
// a row without a frame.
func (pl *Plan) Frame(i int) []int32 {
	if i >= len(pl.placeOf) || pl.placeOf[i] < 0 {
		return nil
	}
	l := &pl.lengths[pl.places[pl.placeOf[i]].length]
	if !l.frame {
		return nil
	}
	return l.zones
}

// near returns the rows of a row's length whose supports may stand within a spacing of it, itself included: what is beside
// it is in the way of theirs. Where the length hangs from steel they are all its rows.
func (pl *Plan) near(i int) []int32 {
	if i >= len(pl.placeOf) || pl.placeOf[i] == none {
		return nil
	}
	if pl.placeOf[i] == alone {
		return []int32{int32(i)}
	}
	at := &pl.places[pl.placeOf[i]]
	l := &pl.lengths[at.length]
	if OnSteel(pl.hangerOf(l).from) {
		return l.zones
	}
	var out []int32
	for _, k := range l.zones {
		if o := &pl.places[pl.placeOf[k]]; math.Max(o.from-at.to, at.from-o.to) <= 2*l.spacing {
			out = append(out, k)
		}
	}
	return out
}

// depth returns how far below a row what carries it may reach, mm.
func (pl *Plan) depth() float64 {
	depth := 0.0
	for k := range pl.hangers {
		depth = math.Max(depth, pl.hangers[k].carry+pl.hangers[k].below)
	}
	return depth + pl.opt.Past + aside
}

// reach returns how far beside a row the bodies of its supports may stand out, mm.
func (pl *Plan) reach() float64 {
	reach := pl.opt.Beside + pl.opt.Past + aside
	for k := range pl.hangers {
		reach = math.Max(reach, pl.hangers[k].width/2+aside)
	}
	return reach
}
