package clash

import (
	"cmp"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/finding"
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

// parties are the parties that the zones of a project belong to.
type parties struct {
	names  []book.Party
	of     map[book.Party]int32
	runAt  []int32           // by zone: its run, 0 for none
	rows   map[int32][]int32 // by run
	cut    map[int32]bool    // runs whose branches are known
	branch map[int32]int32   // by zone, of runs that branch
}

// named returns the number of a name: -1, -2, …; case does not count.
func (c *Check) named(n book.Party) int32 {
	ps := &c.parties
	if k, ok := ps.of[n]; ok {
		return k
	}
	if ps.of == nil {
		ps.of = map[book.Party]int32{}
	}
	low := book.Party{Run: strings.ToLower(n.Run), Trade: n.Trade, Branch: strings.ToLower(n.Branch)}
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
		return c.named(book.Party{Run: z.Run(), Trade: c.Char(i).Trade})
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
		return finding.SideText("", "", c.Zone(party).ID, "")
	}
	n := c.parties.names[-1-party]
	return finding.SideText(n.Run, n.Trade, n.Branch, n.Branch)
}

// network cuts the runs of some zones into their branches, those that are not cut yet.
func (c *Check) network(zones func(yield func(i int32) bool)) {
	ps := &c.parties
	if ps.cut == nil {
		ps.cut, ps.branch, ps.rows = map[int32]bool{}, map[int32]int32{}, map[int32][]int32{}
	}
	if len(ps.runAt) < c.Project.Zones() {
		var last book.Party
		run := int32(0)
		for i := int32(len(ps.runAt)); i < int32(c.Project.Zones()); i++ {
			at := int32(0)
			if z := c.Zone(i); !z.Gone && z.Run() != "" && !c.Structure(i) {
				if n := (book.Party{Run: z.Run(), Trade: c.Char(i).Trade}); n != last {
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
			ps.branch[i] = c.named(book.Party{Run: c.Zone(i).Run(), Trade: c.Char(i).Trade, Branch: c.Zone(first).ID})
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
			now = c.named(book.Party{Run: z.Run(), Trade: c.Char(i).Trade})
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
	g := newFork(c, rows)
	var sides [][2]int // tips that meet the side of a row, and the tip of that row that is nearest
	for k := range g.tips {
		if !g.tips[k].item {
			sides = append(sides, g.meet(k)...)
		}
	}
	for _, s := range sides {
		g.tips[g.root(s[0])].sides++
	}
	meets := map[int][]int{} // tips that meet at one place
	for k := range g.tips {
		meets[g.root(k)] = append(meets[g.root(k)], k)
	}
	branched := false
	for k, here := range meets {
		branched = g.goOn(here, g.tips[k].sides) || branched
	}
	if !branched {
		return nil
	}
	out := make([]int32, len(rows))
	for n := range rows {
		out[n] = rows[g.first(n)]
	}
	return out
}

// fork is the rows of one run while it is looked for where they meet and which of them go on into each other.
type fork struct {
	c      *Check
	rows   []int32
	bodies []body.Body
	tips   []tip
	at     []int32 // by row: its first tip; one more: how many there are
	near   scene.Scatter
	next   []int // by row: another of its branch, the branch's least last
}

// newFork lays out the ends of rows.
func newFork(c *Check, rows []int32) *fork {
	g := &fork{c: c, rows: rows, bodies: make([]body.Body, len(rows)), next: make([]int, len(rows))}
	for n, i := range rows {
		g.next[n] = n
		g.at = append(g.at, int32(len(g.tips)))
		f := c.Full(i)
		g.bodies[n] = f
		var room [2]measure.End
		es := measure.Ends(c.Zone(i), &f, &room)
		for _, e := range es {
			g.tips = append(g.tips, tip{row: n, at: e.At, out: e.Out, joined: len(g.tips)})
		}
		if len(es) == 0 {
			g.tips = append(g.tips, tip{row: n, at: f.Centre, item: true, joined: len(g.tips)})
		}
		bx := scene.BoxOf(f)
		for k := range 3 {
			bx.Lo[k], bx.Hi[k] = bx.Lo[k]-rules.MeetEnds, bx.Hi[k]+rules.MeetEnds
		}
		g.near.Add(int32(n), f, bx)
	}
	g.at = append(g.at, int32(len(g.tips)))
	g.near.Lay(1)
	return g
}

// root returns the tip that stands for all that meet where a tip is.
func (g *fork) root(k int) int {
	for g.tips[k].joined != k {
		g.tips[k].joined = g.tips[g.tips[k].joined].joined
		k = g.tips[k].joined
	}
	return k
}

// join says that two tips meet at one place.
func (g *fork) join(a, b int) {
	if a, b = g.root(a), g.root(b); a != b {
		g.tips[max(a, b)].joined = min(a, b)
		g.tips[min(a, b)].sides += g.tips[max(a, b)].sides
	}
}

// meet joins a tip to what it meets: ends that are nearest, else items; where it meets no end, to rows near whose ends it meets them. It returns
// where it meets the side of one.
func (g *fork) meet(k int) (sides [][2]int) {
	type meeting struct {
		with int // a tip, or the nearest tip of the row whose side is met
		far  float64
		side bool
	}
	e := &g.tips[k]
	var ends, others []meeting
	point := body.Cylinder(e.at, e.at, 0)
	g.near.Near(scene.BoxOf(point), func(n int) {
		if n == e.row {
			return
		}
		first, last := int(g.at[n]), int(g.at[n+1])
		touches := func() bool { return body.Gap(point, g.bodies[n]).MM <= rules.MeetEnds+void.Hair }
		if g.tips[first].item {
			if touches() {
				ends = append(ends, meeting{with: first})
			}
			return
		}
		best := meeting{with: first, far: e.at.Sub(g.tips[first].at).Norm()}
		for j := first + 1; j < last; j++ {
			if d := e.at.Sub(g.tips[j].at).Norm(); d < best.far {
				best = meeting{with: j, far: d}
			}
		}
		switch {
		case best.far <= rules.MeetEnds+void.Hair:
			ends = append(ends, best)
		case touches():
			best.side = best.far > measure.Section(g.bodies[n])+rules.MeetEnds
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
			g.join(k, m.with)
		}
	}
	if len(ends) > 0 {
		return nil
	}
	for _, m := range others {
		if m.side {
			sides = append(sides, [2]int{k, m.with})
		} else {
			g.join(k, m.with)
		}
	}
	return sides
}

// first returns the row by which the branch of a row is known so far.
func (g *fork) first(n int) int {
	for g.next[n] != n {
		g.next[n] = g.next[g.next[n]]
		n = g.next[n]
	}
	return n
}

// one says that two rows are of one branch.
func (g *fork) one(a, b int) {
	if a, b = g.first(a), g.first(b); a != b {
		if void.Natural(g.c.Zone(g.rows[b]).ID, g.c.Zone(g.rows[a]).ID) < 0 {
			a, b = b, a
		}
		g.next[b] = a
	}
}

// id returns the id of the row of a tip.
func (g *fork) id(t int) string { return g.c.Zone(g.rows[g.tips[t].row]).ID }

// goOn says of the tips that meet at one place, where they meet the sides of so many rows besides, which rows go on into each other, and
// whether the run branches there. Of two ends alone they do; of more those that look the straightest into each other do, and an item, a fitting or a
// valve, goes with the first row that it meets.
func (g *fork) goOn(here []int, sides int) (branches bool) {
	var ends []int
	for _, t := range here {
		if !g.tips[t].item {
			ends = append(ends, t)
		}
	}
	if len(ends) <= 2 && sides == 0 {
		for _, t := range here {
			g.one(g.tips[here[0]].row, g.tips[t].row)
		}
		return false
	}
	taken := map[int]bool{}
	for _, p := range g.straight(ends) {
		if !taken[p[0]] && !taken[p[1]] {
			taken[p[0]], taken[p[1]] = true, true
			g.one(g.tips[p[0]].row, g.tips[p[1]].row)
		}
	}
	if len(ends) == 0 {
		return true
	}
	least := slices.MinFunc(ends, func(a, b int) int { return void.Natural(g.id(a), g.id(b)) })
	for _, t := range here {
		if g.tips[t].item {
			g.one(g.tips[least].row, g.tips[t].row)
		}
	}
	return true
}

// straight returns the pairs of ends that look straight into each other, the straightest first.
func (g *fork) straight(ends []int) [][2]int {
	type pairOn struct {
		of   [2]int
		turn float64
	}
	var on []pairOn
	for x, a := range ends {
		for _, b := range ends[x+1:] {
			if turn := g.tips[a].out.Dot(g.tips[b].out); turn < -straightOn {
				on = append(on, pairOn{[2]int{a, b}, turn})
			}
		}
	}
	slices.SortFunc(on, func(x, y pairOn) int {
		xa, xb, ya, yb := g.id(x.of[0]), g.id(x.of[1]), g.id(y.of[0]), g.id(y.of[1])
		return cmp.Or(cmp.Compare(x.turn, y.turn), void.Natural(min(xa, xb), min(ya, yb)), void.Natural(max(xa, xb), max(ya, yb)))
	})
	out := make([][2]int, len(on))
	for k := range on {
		out[k] = on[k].of
	}
	return out
}

// straightOn is the cosine down to which one end goes straight on into another.
const straightOn = 0.966

// count takes in with whom a hit is counted.
func (r *run) count(x *book.Hit) {
	x.In = x.Bay
	if x.Worded == nil && x.Of.Surface() {
		x.P, x.Q = r.branch(x.A), r.named(book.Party{Branch: r.surfaceID(x.Bay, x.Of != book.OfSoffit)})
		return
	}
	if x.Worded == nil {
		x.P, x.Q = r.branch(x.A), r.branch(x.B)
		if r.Structure(x.A) || r.Structure(x.B) {
			x.In = book.AnyBay
		}
		return
	}
	of := func(id string) int32 {
		i, ok := r.zoneOf(id)
		if !ok {
			return r.named(book.Party{Branch: id})
		}
		if r.Structure(i) {
			x.In = book.AnyBay
		}
		return r.branch(i)
	}
	x.P, x.Q = of(x.Worded.A), r.named(book.Party{})
	if x.Worded.B != nil {
		x.Q = of(*x.Worded.B)
	}
}

// zonesOfHit returns the zones that a hit is between, -1 for none.
func (r *run) zonesOfHit(x *book.Hit) [2]int32 {
	if x.Worded == nil {
		return [2]int32{x.A, x.B}
	}
	out := [2]int32{-1, -1}
	if i, ok := r.zoneOf(x.Worded.A); ok {
		out[0] = i
	}
	if x.Worded.B != nil {
		if i, ok := r.zoneOf(*x.Worded.B); ok {
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
func (r *run) problemID(x *book.Hit) string {
	bay := ""
	switch x.In {
	case book.AnyBay:
		bay = "*"
	case book.NoBay:
	default:
		bay = r.Project.Bays[x.In].Label
	}
	storey := ""
	if int(x.Storey) < len(r.Project.Storeys) {
		storey = r.Project.Storeys[x.Storey].Name
	}
	return finding.ProblemText(r.says(x.P), r.says(x.Q), storey, bay)
}
