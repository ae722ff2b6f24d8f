package clash

import (
	"cmp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// People count problems, not pairs: of two parties in a bay all findings are one problem. A party is a run, or a row without
// one. A run that branches is a network, in which one name says little: each of its branches is a party.
//
//  1. Ends of rows of a run meet where they are within 50 of each other, or at one item of the run; an end that lies in the
//     section of another row meets that row's end where it is no further from it than the section is wide (a corner), else
//     its side (a tee).
//  2. Where two ends and nothing else meet, the two rows are one branch. Where more meets, those that go straight on are.
//  3. A run in which nowhere more than two meet is one party, gaps or no gaps.
//
// Structure is a party by itself, row by row, and the same in every bay: a duct through one beam is one problem, though the beam
// lies on the line between two bays.

// partyName is a run of a trade, and the first row by id of a branch of it.
type partyName struct{ run, trade, branch string }

// parties are the parties that the zones of a project belong to.
type parties struct {
	names  []partyName
	of     map[partyName]int32
	runAt  []int32           // by zone: its run, 0 for none
	rows   map[int32][]int32 // by run
	cut    map[int32]bool    // runs whose branches are known
	branch map[int32]int32   // by zone, of runs that branch
}

// named returns the number of a name: -1, -2, …; case does not count.
func (c *Check) named(n partyName) int32 {
	ps := &c.parties
	if k, ok := ps.of[n]; ok {
		return k
	}
	if ps.of == nil {
		ps.of = map[partyName]int32{}
	}
	low := partyName{strings.ToLower(n.run), n.trade, strings.ToLower(n.branch)}
	k, ok := ps.of[low]
	if !ok {
		ps.names = append(ps.names, n)
		k = -int32(len(ps.names))
		ps.of[low] = k
	}
	ps.of[n] = k
	return k
}

// party returns a number that is the same for all rows of a run of one trade; of a row without a run its own.
func (c *Check) party(i int32) int32 {
	if z := c.Zone(i); z.Run() != "" {
		return c.named(partyName{run: z.Run(), trade: c.Char(i).Trade})
	}
	return i
}

// branch returns the party that a zone is counted with.
func (c *Check) branch(i int32) int32 {
	if c.Structure(i) {
		return i
	}
	if k, ok := c.parties.branch[i]; ok {
		return k
	}
	return c.party(i)
}

// says returns the text of a party.
func (c *Check) says(party int32) string {
	if party >= 0 {
		return sideText("", "", c.Zone(party).ID, "")
	}
	n := c.parties.names[-1-party]
	return sideText(n.run, n.trade, n.branch, n.branch)
}

// sideText is what one side of a problem is: a run of a trade or a branch of it, else what has an id.
func sideText(run, trade, id, branch string) string {
	switch {
	case run == "":
		return "zone " + strings.ToLower(id)
	case branch != "":
		return "run " + strings.ToLower(run) + " of " + trade + " at " + strings.ToLower(branch)
	}
	return "run " + strings.ToLower(run) + " of " + trade
}

// network cuts the runs of some zones into their branches, those that are not cut yet.
func (c *Check) network(zones func(yield func(i int32) bool)) {
	ps := &c.parties
	if ps.cut == nil {
		ps.cut, ps.branch, ps.rows = map[int32]bool{}, map[int32]int32{}, map[int32][]int32{}
	}
	if len(ps.runAt) < c.Project.Zones() {
		var last partyName
		run := int32(0)
		for i := int32(len(ps.runAt)); i < int32(c.Project.Zones()); i++ {
			at := int32(0)
			if z := c.Zone(i); !z.Gone && z.Run() != "" && !c.Structure(i) {
				if n := (partyName{run: z.Run(), trade: c.Char(i).Trade}); n != last {
					last, run = n, c.named(n)
				}
				at = run
				ps.rows[at] = append(ps.rows[at], i)
			}
			ps.runAt = append(ps.runAt, at)
		}
	}
	var runs []int32
	for i := range zones {
		if run := ps.runAt[i]; run != 0 && !ps.cut[run] {
			ps.cut[run] = true
			if len(ps.rows[run]) > 1 {
				runs = append(runs, run)
			}
		}
	}
	firsts := make([][]int32, len(runs))
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(c.Workers, len(runs)) {
		wg.Go(func() {
			for k := int(next.Add(1)) - 1; k < len(runs); k = int(next.Add(1)) - 1 {
				firsts[k] = c.branches(ps.rows[runs[k]])
			}
		})
	}
	wg.Wait()
	for k, run := range runs {
		for n, first := range firsts[k] {
			i := ps.rows[run][n]
			ps.branch[i] = c.named(partyName{c.Zone(i).Run(), c.Char(i).Trade, c.Zone(first).ID})
		}
	}
}

// networkAgain follows zones that changed and reports whether a row is counted with another party than before.
func (c *Check) networkAgain(dirty []int32) (changed bool) {
	ps := &c.parties
	if ps.cut == nil {
		return false
	}
	was := map[int32]map[int32]int32{} // by run that is to be cut again, what its rows were counted with
	again := func(run int32) {
		if run == 0 || !ps.cut[run] || was[run] != nil {
			return
		}
		was[run] = map[int32]int32{}
		for _, i := range ps.rows[run] {
			if k, ok := ps.branch[i]; ok {
				was[run][i] = k
			}
		}
	}
	known := len(ps.runAt)
	for _, i := range dirty {
		if int(i) >= known {
			continue
		}
		again(ps.runAt[i])
		now := int32(0)
		if z := c.Zone(i); !z.Gone && z.Run() != "" && !c.Structure(i) {
			now = c.named(partyName{run: z.Run(), trade: c.Char(i).Trade})
		}
		again(now)
		if old := ps.runAt[i]; old != now {
			ps.rows[old] = slices.DeleteFunc(ps.rows[old], func(k int32) bool { return k == i })
			if now != 0 {
				k, _ := slices.BinarySearch(ps.rows[now], i)
				ps.rows[now] = slices.Insert(ps.rows[now], k, i)
			}
			ps.runAt[i] = now
		}
	}
	c.network(func(yield func(int32) bool) {}) // takes in the zones that are new
	for _, i := range dirty {
		if int(i) >= known {
			again(ps.runAt[i])
		}
	}
	var of []int32
	for run := range was {
		delete(ps.cut, run)
		for i := range was[run] {
			delete(ps.branch, i)
		}
		if rows := ps.rows[run]; len(rows) > 0 {
			of = append(of, rows[0])
		}
	}
	slices.Sort(of)
	c.network(slices.Values(of))
	for run, old := range was {
		for _, i := range ps.rows[run] {
			now, is := ps.branch[i]
			k, had := old[i]
			changed = changed || is != had || now != k
		}
	}
	return changed
}

// tip is one end of a row of a run, or the whole of an item of it.
type tip struct {
	row    int // index into the rows of the run
	at     r3.Vector
	out    r3.Vector
	item   bool
	joined int // the tip that stands for all that meet at one place
	sides  int // how many rows' sides meet there, where it stands for them
}

// branches returns for each of the rows of one run the first by id of its branch; nil where the run does not branch.
func (c *Check) branches(rows []int32) []int32 {
	var tips []tip
	var at []int32 // by row: its first tip
	var near scene.Scatter
	bodies := make([]body.Body, len(rows))
	for n, i := range rows {
		at = append(at, int32(len(tips)))
		f := c.Full(i)
		bodies[n] = f
		var room [2]measure.End
		es := measure.Ends(c.Zone(i), &f, &room)
		for _, e := range es {
			tips = append(tips, tip{row: n, at: e.At, out: e.Out, joined: len(tips)})
		}
		if len(es) == 0 {
			tips = append(tips, tip{row: n, at: f.Centre, item: true, joined: len(tips)})
		}
		bx := scene.BoxOf(f)
		for k := range 3 {
			bx.Lo[k], bx.Hi[k] = bx.Lo[k]-rules.MeetEnds, bx.Hi[k]+rules.MeetEnds
		}
		near.Add(int32(n), f, bx)
	}
	at = append(at, int32(len(tips)))
	near.Lay(1)
	root := func(k int) int {
		for tips[k].joined != k {
			tips[k].joined = tips[tips[k].joined].joined
			k = tips[k].joined
		}
		return k
	}
	join := func(a, b int) {
		if a, b = root(a), root(b); a != b {
			tips[max(a, b)].joined = min(a, b)
			tips[min(a, b)].sides += tips[max(a, b)].sides
		}
	}
	type meeting struct {
		with int // a tip, or the first tip of the row whose side is met
		far  float64
		side bool
	}
	var sides [][2]int // tips that meet the side of a row
	for k := range tips {
		e := &tips[k]
		if e.item {
			continue
		}
		var ends, others []meeting
		point := body.Cylinder(e.at, e.at, 0)
		pb := scene.BoxOf(point)
		near.Near(pb, func(n int) {
			if n == e.row {
				return
			}
			first, last := int(at[n]), int(at[n+1])
			if tips[first].item {
				if body.Gap(point, bodies[n]).MM <= rules.MeetEnds+void.Hair {
					ends = append(ends, meeting{with: first})
				}
				return
			}
			best := meeting{with: first, far: e.at.Sub(tips[first].at).Norm()}
			for j := first + 1; j < last; j++ {
				if d := e.at.Sub(tips[j].at).Norm(); d < best.far {
					best = meeting{with: j, far: d}
				}
			}
			switch {
			case best.far <= rules.MeetEnds+void.Hair:
				ends = append(ends, best)
			case body.Gap(point, bodies[n]).MM <= rules.MeetEnds+void.Hair:
				best.side = best.far > measure.Section(bodies[n])+rules.MeetEnds
				others = append(others, best)
			}
		})
		nearest := 0.0
		for j, m := range ends {
			if j == 0 || m.far < nearest {
				nearest = m.far
			}
		}
		for _, m := range ends {
			if m.far <= nearest+1 { // of a run in rows shorter than 50 only what is next
				join(k, m.with)
			}
		}
		if len(ends) > 0 {
			continue
		}
		for _, m := range others {
			if m.side {
				sides = append(sides, [2]int{k, m.with})
			} else {
				join(k, m.with)
			}
		}
	}
	for _, s := range sides {
		tips[root(s[0])].sides++
	}
	// What meets at one place, and what goes on there.
	meets := map[int][]int{}
	for k := range tips {
		meets[root(k)] = append(meets[root(k)], k)
	}
	next := make([]int, len(rows)) // of each row another of its branch, the branch's least last
	for n := range next {
		next[n] = n
	}
	first := func(n int) int {
		for next[n] != n {
			next[n] = next[next[n]]
			n = next[n]
		}
		return n
	}
	one := func(a, b int) {
		if a, b = first(a), first(b); a != b {
			if void.Natural(c.Zone(rows[b]).ID, c.Zone(rows[a]).ID) < 0 {
				a, b = b, a
			}
			next[b] = a
		}
	}
	branched := false
	for k, here := range meets {
		var es []int
		for _, t := range here {
			if !tips[t].item {
				es = append(es, t)
			}
		}
		if len(es) <= 2 && tips[k].sides == 0 {
			for _, t := range here {
				one(tips[here[0]].row, tips[t].row)
			}
			continue
		}
		branched = true
		type pairOn struct {
			a, b int
			turn float64
		}
		var on []pairOn
		for x, a := range es {
			for _, b := range es[x+1:] {
				if turn := tips[a].out.Dot(tips[b].out); turn < -straightOn {
					on = append(on, pairOn{a, b, turn})
				}
			}
		}
		id := func(t int) string { return c.Zone(rows[tips[t].row]).ID }
		slices.SortFunc(on, func(x, y pairOn) int {
			return cmp.Or(cmp.Compare(x.turn, y.turn), void.Natural(min(id(x.a), id(x.b)), min(id(y.a), id(y.b))), void.Natural(max(id(x.a), id(x.b)), max(id(y.a), id(y.b))))
		})
		taken := map[int]bool{}
		for _, p := range on {
			if !taken[p.a] && !taken[p.b] {
				taken[p.a], taken[p.b] = true, true
				one(tips[p.a].row, tips[p.b].row)
			}
		}
		for _, t := range here { // a fitting, a valve: with the first row that it meets
			if tips[t].item && len(es) > 0 {
				least := slices.MinFunc(es, func(a, b int) int { return void.Natural(id(a), id(b)) })
				one(tips[least].row, tips[t].row)
			}
		}
	}
	if !branched {
		return nil
	}
	out := make([]int32, len(rows))
	for n := range rows {
		out[n] = rows[first(n)]
	}
	return out
}

// straightOn is the cosine down to which one end goes straight on into another.
const straightOn = 0.966

// problem is what people count as one: two parties in a bay of a storey.
type problem [4]int32

// anyBay stands for the bay where structure is one of the two.
const anyBay = -2

// problem returns the problem of a hit whose parties are known.
func (x *hit) problem() problem { return problem{min(x.p, x.q), max(x.p, x.q), x.storey, x.in} }

// count takes in with whom a hit is counted.
func (r *run) count(x *hit) {
	x.in = x.bay
	if x.f == nil && x.of.surface() {
		x.p, x.q = r.branch(x.a), r.named(partyName{branch: r.surfaceID(x.bay, x.of != ofSoffit)})
		return
	}
	if x.f == nil {
		x.p, x.q = r.branch(x.a), r.branch(x.b)
		if r.Structure(x.a) || r.Structure(x.b) {
			x.in = anyBay
		}
		return
	}
	of := func(id string) int32 {
		i, ok := r.zoneOf(id)
		if !ok {
			return r.named(partyName{branch: id})
		}
		if r.Structure(i) {
			x.in = anyBay
		}
		return r.branch(i)
	}
	x.p, x.q = of(x.f.A), r.named(partyName{})
	if x.f.B != nil {
		x.q = of(*x.f.B)
	}
}

// zonesOfHit returns the zones that a hit is between, -1 for none.
func (r *run) zonesOfHit(x *hit) [2]int32 {
	if x.f == nil {
		return [2]int32{x.a, x.b}
	}
	out := [2]int32{-1, -1}
	if i, ok := r.zoneOf(x.f.A); ok {
		out[0] = i
	}
	if x.f.B != nil {
		if i, ok := r.zoneOf(*x.f.B); ok {
			out[1] = i
		}
	}
	return out
}

// zoneOf returns the zone of an id that a finding names: a zone's own, or that of its supports.
func (r *run) zoneOf(id string) (int32, bool) {
	if is, of := void.Identity(id); is == void.OwnSupports {
		id = of
	}
	i, ok := r.Project.ZoneByID(id)
	return int32(i), ok
}

// problemID returns the text of a hit's problem.
func (r *run) problemID(x *hit) string {
	bay := ""
	switch x.in {
	case anyBay:
		bay = "*"
	case noBay:
	default:
		bay = r.Project.Bays[x.in].Label
	}
	storey := ""
	if int(x.storey) < len(r.Project.Storeys) {
		storey = r.Project.Storeys[x.storey].Name
	}
	return problemText(r.says(x.p), r.says(x.q), storey, bay)
}

// problemText returns what is the same for all findings of one problem: two sides in a bay ("*": any) of a storey.
func problemText(a, b, storey, bay string) string {
	return idText(idNumber([]byte(a), []byte(b), []byte(storey+"\x00"+bay)))
}

// Problem returns a key that is the same for all findings that people count as one problem. Of a finding that does not say
// it, as older answers and rows of a register do not, it is that of runs without branches.
func (f *Finding) Problem() string {
	if f.ProblemID != "" {
		return f.ProblemID
	}
	side := func(run, trade, id string) string {
		if is, of := void.Identity(id); is == void.OwnSupports {
			id = of // supports count with their row
		}
		return sideText(run, trade, id, "")
	}
	b, bay := sideText("", "", "", ""), ""
	if f.B != nil {
		b = side(f.BRun, f.BTrade, *f.B)
	}
	if f.Bay != nil {
		bay = *f.Bay
	}
	return problemText(side(f.ARun, f.ATrade, f.A), b, f.Storey, bay)
}

// CountProblems returns how many problems findings come to.
func CountProblems(fs []Finding) int { return len(Numbers(fs)) }

// Numbers numbers the problems of answers from 1, in the order of their findings (by storey, by bay, the worst first); what
// only a later answer has goes on from there. Every form of answer calls a problem by this number.
func Numbers(answers ...[]Finding) map[string]int {
	numbers := map[string]int{}
	for _, fs := range answers {
		for i := range fs {
			if p := fs[i].Problem(); numbers[p] == 0 {
				numbers[p] = len(numbers) + 1
			}
		}
	}
	return numbers
}
