package clash

import (
	"cmp"
	"context"
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"voidline/clash/book"
	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/void"
)

// Answer is what was found: the counts, and findings that are worded as they are read.
type Answer struct {
	r    *run
	head finding.Result
	hits []book.Hit // in order
	told []book.Group
	// excused is in order once it is asked for.
	excused []book.Excuse
	proved  proofs          // nil unless they are asked for
	drawn   map[uint64]bool // ids of what is found without the survey; nil unless that is asked
}

// answer sorts and counts what was measured, and applies the filters.
func (r *run) answer() *Answer {
	p := r.Project
	a := &Answer{r: r, head: finding.Result{
		SupportsLeftOut: !r.supported() && slices.Contains(r.Hung, true),
		Voidline:        finding.Version, Project: p.Name, RowsMissing: p.RowsMissing, Filter: r.filterWords(), Limits: r.limits(), Excused: map[string]int{}, Cautions: finding.Cautions(),
		ExcusedPairs: []finding.ExcusedPair{}, Questions: r.questions(), Joints: r.jointsTold(), Findings: []finding.Finding{}, BuildersWork: []finding.Hole{}, ToBeProtected: []finding.Protection{},
		Warnings: finding.Issues(p.Warnings), InputProblems: finding.Issues(p.Problems), Unchecked: []finding.Note{},
		Checked: finding.Checked{Storeys: len(p.Storeys), Bays: len(p.Bays), ByTrade: map[string]int{}, Rules: len(r.Set.Rules), Pairs: r.kept.Measured},
	}}
	res := &a.head
	chars := make([]int, p.Characters())
	for _, k := range r.CharAt {
		if k >= 0 {
			chars[k]++
			res.Checked.Zones++
		}
	}
	for k, n := range chars {
		if n > 0 {
			res.Checked.ByTrade[p.Character(int32(k)).Trade] += n
		}
	}
	excused := r.kept.Excuses
	if !r.letsGo() {
		for i := range r.kept.Excused {
			excused[r.kept.Excused[i].Why]++
		}
	}
	if r.opt.Excused {
		a.excused = r.kept.Excused
	}
	for k, n := range excused {
		if n > 0 {
			res.Excused[tieWords[k]] = n
		}
	}
	res.JointCount = len(res.Joints)
	r.bringUp()
	a.hits = r.kept.Order.Hits
	for i := range a.hits {
		switch finding.KindOf(a.hits[i].Kind) {
		case finding.Overlap:
			res.Counts.Overlap++
		case finding.Tight:
			res.Counts.Tight++
		case finding.Access:
			res.Counts.Access++
		}
	}
	res.Problems = r.countProblems()
	for _, h := range r.numbered(r.buildersWork()) {
		if r.wantsAt(h.Bay, h.Trade, "") {
			res.BuildersWork = append(res.BuildersWork, h)
		}
	}
	res.Together = finding.HolesTogether(res.BuildersWork)
	res.InRoom, res.Through = r.roomOf(), r.throughOf()
	r.bringGroupsUp()
	a.told = r.kept.Groups
	if len(r.opt.Bays)+len(r.opt.Trades) > 0 {
		a.told = chosen(a.told, func(g *book.Group) bool {
			return r.wantsAt(r.protection(g).Bay, r.Char(g.Of).Trade, r.Char(g.From).Trade)
		})
	}
	a.notes()
	return a
}

// before is the order of findings: by storey, by bay (those outside every bay last), worst first.
func (r *run) before(rank []int32) func(x, y *book.Hit) int {
	place := func(h *book.Hit) int32 {
		if h.Bay == book.NoBay {
			return math.MaxInt32
		}
		return rank[h.Bay]
	}
	return func(x, y *book.Hit) int {
		if x.Storey != y.Storey {
			return cmp.Compare(x.Storey, y.Storey)
		}
		if c := cmp.Compare(place(x), place(y)); c != 0 {
			return c
		}
		return book.Worse(x, y)
	}
}

// bringUp puts the findings that pass the filters in their order, and counts the problems that they come to. Where
// they were in order before, only those that came or went since are looked at.
//
// Those of one id become one: the worst stays and names the rest. A pair may come of a rule between the two, of hand
// room along one of them, and of more than one storey's bays.
func (r *run) bringUp() {
	first := r.kept.Order.Problems == nil
	var hits []book.Hit
	if first {
		r.kept.Found = len(r.kept.Hits) + len(r.kept.Findings)
		if hits = r.kept.Hits; !r.letsGo() {
			hits = slices.Grow(slices.Clone(hits), len(r.kept.Findings))
		}
		for _, f := range r.kept.Findings {
			hits = append(hits, r.hitOf(f))
		}
		r.kept.Order.Problems = map[book.Problem]int32{}
	} else {
		hits = chosen(r.kept.Hits, func(x *book.Hit) bool { return r.kept.Touched[x.ID] })
		for _, f := range r.kept.Findings {
			if h := r.hitOf(f); r.kept.Touched[h.ID] {
				hits = append(hits, h)
			}
		}
		r.kept.Order.Outdated(r.kept.Touched)
	}
	r.kept.Touched = map[uint64]bool{}
	sortParallel(hits, r.Workers, func(x, y *book.Hit) int {
		if x.ID != y.ID {
			return cmp.Compare(x.ID, y.ID)
		}
		return cmp.Or(cmp.Compare(x.A, y.A), cmp.Compare(x.B, y.B))
	})
	h := r.Set.Reader()
	n := 0
	for i := 0; i < len(hits); {
		j := i + 1
		for j < len(hits) && hits[j].ID == hits[i].ID {
			j++
		}
		one := hits[i]
		if j > i+1 {
			var fs []finding.Finding
			for k := i; k < j; k++ {
				fs = append(fs, r.word(h, &hits[k]))
			}
			f := finding.Merge(fs)
			one = r.briefOf(&f)
		}
		i = j
		if r.wants(&one) {
			hits[n] = one
			n++
		}
	}
	hits = hits[:n]
	before := r.before(r.ranks())
	sortParallel(hits, r.Workers, before)
	r.network(func(yield func(int32) bool) {
		for i := range hits {
			for _, z := range r.zonesOfHit(&hits[i]) {
				if z >= 0 && !yield(z) {
					return
				}
			}
		}
	})
	for i := range hits {
		r.count(&hits[i])
	}
	if r.letsGo() {
		r.kept.Order.Hits, r.kept.Hits = hits, nil
		return
	}
	for i := range hits {
		r.kept.Order.Problems[hits[i].Problem()]++
	}
	if first {
		r.kept.Order.Hits = hits
		return
	}
	if r.kept.Order.Recount {
		clear(r.kept.Order.Problems)
		for i := range r.kept.Order.Hits {
			r.count(&r.kept.Order.Hits[i])
			r.kept.Order.Problems[r.kept.Order.Hits[i].Problem()]++
		}
		for i := range hits {
			r.kept.Order.Problems[hits[i].Problem()]++
		}
		r.kept.Order.Recount = false
	}
	r.kept.Order.Insert(hits, before)
}

// word returns the finding of a hit in words.
func (r *run) word(h *rules.Reader, x *book.Hit) finding.Finding {
	if x.Worded != nil {
		return *x.Worded
	}
	b := book.Book{Words: true}
	switch x.Of {
	case book.OfCeiling:
		r.ceiling(&b, h, x.A, x.Bay)
	case book.OfSoffit:
		r.soffit(&b, h, x.A, x.Bay)
	case book.OfRoom:
		r.overHead(&b, h, x.A, x.Bay)
	case book.OfSupport:
		r.sayHeld(&b, x)
	default:
		r.pair(&b, h, x.A, x.B)
	}
	return b.Findings[0].Finding
}

// countProblems returns how many problems the findings come to.
func (r *run) countProblems() int {
	if !r.letsGo() {
		return len(r.kept.Order.Problems)
	}
	all := make([]book.Problem, len(r.kept.Order.Hits))
	for i := range r.kept.Order.Hits {
		all[i] = r.kept.Order.Hits[i].Problem()
	}
	sortParallel(all, r.Workers, func(a, b *book.Problem) int { return slices.Compare(a[:], b[:]) })
	return len(slices.Compact(all))
}

// notes gathers what is told about the input and the check.
func (a *Answer) notes() {
	r, p, res := a.r, a.r.Project, &a.head
	for _, n := range p.Told {
		res.Unchecked = append(res.Unchecked, finding.Note{Zone: n.Zone, Bay: n.Bay, Row: p.FileLine(n.Row), Text: n.Text})
	}
	unknown := map[string]int{}
	for i := range r.kept.Notes {
		if n := &r.kept.Notes[i]; n.Of == book.OfReach {
			unknown[n.Bay]++
		} else {
			res.Unchecked = append(res.Unchecked, n.Note)
		}
	}
	r.bayNotes(&res.Unchecked)
	r.reachNotes(&res.Unchecked, unknown)
	slices.SortFunc(res.Unchecked, func(a, b finding.Note) int {
		return cmp.Or(void.Natural(a.Bay, b.Bay), void.Natural(a.Zone, b.Zone), strings.Compare(a.Text, b.Text))
	})
	warned := map[string][2]string{}
	for _, w := range r.kept.Warned {
		ids := [2]string{r.Zone(w.A).ID, r.Zone(w.B).ID}
		slices.Sort(ids[:])
		if old, ok := warned[w.Text]; !ok || slices.Compare(ids[:], old[:]) < 0 {
			warned[w.Text] = ids
		}
	}
	for _, w := range slices.Sorted(maps.Keys(warned)) {
		ids := warned[w]
		res.Unchecked = append(res.Unchecked, finding.Note{Zone: ids[0], Text: fmt.Sprintf("%s (first met between %s and %s)", w, ids[0], ids[1])})
	}
}

// Head returns the answer without its findings and without what is to be protected: counts, builder's work and
// everything else.
func (a *Answer) Head() *finding.Result { h := a.head; return &h }

// Len returns the number of findings.
func (a *Answer) Len() int { return len(a.hits) }

// wordedBatch is how many things stream makes at a time.
const wordedBatch = 256

// Findings calls each with the findings in their order, worded as they are read, in lists of no promised length; it ends
// early with the error that each returns, or the context's.
func (a *Answer) Findings(ctx context.Context, each func([]finding.Finding) error) error {
	return stream(ctx, a.r.Check, len(a.hits), func(h *rules.Reader, k int) finding.Finding {
		f := a.r.word(h, &a.hits[k])
		if p, ok := a.proved[a.hits[k].ID]; ok {
			p.of(&f)
		}
		if len(f.Moves) == 0 {
			f.Holds = a.r.keeps(f.GivesWay)
		}
		f.Surveyed = a.onlySurveyed(&a.hits[k])
		f.ProblemID = a.r.problemID(&a.hits[k])
		return f
	}, each)
}

// ToBeProtected calls each with the relations that are told, like Findings.
func (a *Answer) ToBeProtected(ctx context.Context, each func([]finding.Protection) error) error {
	return stream(ctx, a.r.Check, len(a.told), func(_ *rules.Reader, k int) finding.Protection { return a.r.protection(&a.told[k]) }, each)
}

// ExcusedPairs calls each with the pairs that are excused, ordered by their names, like Findings: none unless
// Options.Excused asks for them.
func (a *Answer) ExcusedPairs(ctx context.Context, each func([]finding.ExcusedPair) error) error {
	list := make([]namedExcuse, len(a.excused))
	a.r.Blocks(len(list), 1<<11, func(from, to int) {
		for k := from; k < to; k++ {
			list[k] = a.r.withNames(a.excused[k])
		}
	})
	sortParallel(list, a.r.Workers, func(x, y *namedExcuse) int {
		if c := strings.Compare(x.a, y.a); c != 0 {
			return c
		}
		if c := strings.Compare(x.b, y.b); c != 0 {
			return c
		}
		return cmp.Or(cmp.Compare(x.Why, y.Why), cmp.Compare(x.Of, y.Of), cmp.Compare(x.Excuse.A, y.Excuse.A))
	})
	return stream(ctx, a.r.Check, len(list), func(_ *rules.Reader, k int) finding.ExcusedPair { return a.r.excusedPair(&list[k]) }, each)
}

// stream makes n things, several goroutines at a time, and gives them in order, some at a time: while those are read, the next are made. No
// goroutine runs on after it.
func stream[T any](ctx context.Context, c *Check, n int, make1 func(h *rules.Reader, k int) T, each func([]T) error) error {
	type shelf struct{ empty, full chan []T }
	blocks := (n + wordedBatch - 1) / wordedBatch
	shelves := make([]shelf, min(blocks, 2*c.Workers)) // block b goes over shelf b modulo their number
	for k := range shelves {
		shelves[k] = shelf{make(chan []T, 1), make(chan []T, 1)}
		shelves[k].empty <- make([]T, min(n, wordedBatch))
	}
	ctx, stop := context.WithCancel(ctx)
	var wg sync.WaitGroup
	defer wg.Wait()
	defer stop()
	var begun atomic.Int64
	for range min(blocks, c.Workers) {
		wg.Go(func() {
			h := c.Set.Reader()
			for b := int(begun.Add(1)) - 1; b < blocks; b = int(begun.Add(1)) - 1 {
				select {
				case list := <-shelves[b%len(shelves)].empty:
					from := b * wordedBatch
					list = list[:min(len(list), n-from)]
					for k := 0; k < len(list) && ctx.Err() == nil; k++ {
						list[k] = make1(h, from+k)
					}
					shelves[b%len(shelves)].full <- list
				case <-ctx.Done():
					return
				}
			}
		})
	}
	for b := range blocks {
		var list []T
		select {
		case list = <-shelves[b%len(shelves)].full:
		case <-ctx.Done():
		}
		if err := ctx.Err(); err != nil {
			return err // what is on the shelf may be half made
		}
		c.progress(Words, b*wordedBatch+len(list), n)
		if err := each(list); err != nil {
			return err
		}
		shelves[b%len(shelves)].empty <- list
	}
	return nil
}

// Result returns the whole answer, worded. It is not to be changed while the check is asked again.
func (a *Answer) Result(ctx context.Context) (*finding.Result, error) {
	res := a.Head()
	res.Findings = make([]finding.Finding, 0, len(a.hits))
	if err := a.Findings(ctx, func(fs []finding.Finding) error { res.Findings = append(res.Findings, fs...); return nil }); err != nil {
		return nil, err
	}
	res.ToBeProtected = make([]finding.Protection, 0, len(a.told))
	if err := a.ToBeProtected(ctx, func(ps []finding.Protection) error { res.ToBeProtected = append(res.ToBeProtected, ps...); return nil }); err != nil {
		return nil, err
	}
	if a.r.opt.Excused {
		if err := a.ExcusedPairs(ctx, func(xs []finding.ExcusedPair) error { res.ExcusedPairs = append(res.ExcusedPairs, xs...); return nil }); err != nil {
			return nil, err
		}
	}
	// What was worded is kept: after an edit most of it is told again. What was proved is not: an edit far away may be in the way of a move.
	for k := range a.hits {
		if a.proved == nil {
			a.hits[k].Worded = &res.Findings[k]
		}
	}
	for k := range a.told {
		a.told[k].Words = &res.ToBeProtected[k]
	}
	return res, nil
}

// Worst returns the answer with no more than most findings, the worst, in words; how many were held back stands
// in Held. Counts are those of all.
func (a *Answer) Worst(ctx context.Context, most int) (*finding.Result, error) {
	if len(a.hits) <= most {
		return a.Result(ctx)
	}
	hits := slices.Clone(a.hits)
	sortParallel(hits, a.r.Workers, book.Worse)
	hits = slices.Clone(hits[:most])
	sortParallel(hits, a.r.Workers, a.r.before(a.r.ranks()))
	some := *a
	some.hits = hits
	some.head.Held = len(a.hits) - most
	return some.Result(ctx)
}

// ranks returns the place of each bay in the order of their labels.
func (c *Check) ranks() []int32 {
	if c.bayRank == nil {
		at := make([]int32, len(c.Project.Bays))
		for i := range at {
			at[i] = int32(i)
		}
		sortParallel(at, c.Workers, func(a, b *int32) int {
			return cmp.Or(void.Natural(c.Project.Bays[*a].Label, c.Project.Bays[*b].Label), cmp.Compare(*a, *b))
		})
		c.bayRank = make([]int32, len(at))
		for k, j := range at {
			c.bayRank[j] = int32(k)
			if k > 0 && void.Natural(c.Project.Bays[at[k-1]].Label, c.Project.Bays[j].Label) == 0 {
				c.bayRank[j] = c.bayRank[at[k-1]]
			}
		}
	}
	return c.bayRank
}

// bayNamed returns the bay of a label.
func (c *Check) bayNamed(label string) int32 {
	if c.bayLabel == nil {
		c.bayLabel = make(map[string]int32, len(c.Project.Bays))
		for i := range c.Project.Bays {
			c.bayLabel[c.Project.Bays[i].Label] = int32(i)
		}
	}
	if j, ok := c.bayLabel[label]; ok {
		return j
	}
	return book.NoBay
}

// storeyNamed returns the storey of a name.
func (c *Check) storeyNamed(name string) (int, bool) {
	j := slices.IndexFunc(c.Project.Storeys, func(s void.Storey) bool { return s.Name == name })
	return j, j >= 0
}

// wants reports whether a finding passes the filters.
func (r *run) wants(x *book.Hit) bool {
	if len(r.opt.Only) > 0 && !slices.Contains(r.opt.Only, finding.KindOf(x.Kind)) {
		return false
	}
	if r.opt.Firm && x.Practice {
		return false
	}
	if len(r.opt.Bays)+len(r.opt.Trades) == 0 {
		return true
	}
	var bay *string
	if x.Bay != book.NoBay {
		bay = &r.Project.Bays[x.Bay].Label
	}
	if x.Worded == nil {
		other := finding.StructureTrade
		switch {
		case !x.Of.Surface():
			other = r.Char(x.B).Trade
		case x.Of != book.OfSoffit:
			other = finding.CeilingTrade
		}
		return r.wantsAt(bay, r.Char(x.A).Trade, other)
	}
	return r.wantsAt(bay, x.Worded.ATrade, x.Worded.BTrade)
}

func (r *run) wantsAt(bay *string, a, b string) bool {
	if len(r.opt.Bays) > 0 {
		if bay == nil {
			return false
		}
		if r.wantedBays == nil {
			r.wantedBays = map[string]bool{}
			for _, s := range r.opt.Bays {
				for _, j := range r.Project.BaysNamed(s) {
					r.wantedBays[r.Project.Bays[j].Label] = true
				}
			}
		}
		if !r.wantedBays[*bay] {
			return false
		}
	}
	if len(r.opt.Trades) > 0 && (a != "" || b != "") {
		return slices.Contains(r.opt.Trades, a) || slices.Contains(r.opt.Trades, b)
	}
	return true
}

func (r *run) tradeOf(id string) string {
	if i, ok := r.Project.ZoneByID(id); ok {
		return r.Char(int32(i)).Trade
	}
	return ""
}

// limits returns what narrows the answer, nil for nothing.
func (r *run) limits() *finding.Limits {
	o := &r.opt
	if len(o.Bays)+len(o.Trades)+len(o.Only) == 0 && !o.Firm {
		return nil
	}
	return &finding.Limits{Bays: slices.Clone(o.Bays), Trades: slices.Clone(o.Trades), Only: slices.Clone(o.Only), Firm: o.Firm}
}

// filterWords says in words what narrows the answer, "" for nothing.
func (r *run) filterWords() string {
	var w []string
	if len(r.opt.Bays) > 0 {
		w = append(w, "bay "+strings.Join(r.opt.Bays, ", "))
	}
	if len(r.opt.Trades) > 0 {
		w = append(w, "trade "+strings.Join(r.opt.Trades, ", "))
	}
	if len(r.opt.Only) > 0 {
		var k []string
		for _, o := range r.opt.Only {
			k = append(k, string(o))
		}
		w = append(w, "only "+strings.Join(k, ", "))
	}
	if r.opt.Firm {
		w = append(w, "firm rules: those that rest on common practice are left out")
	}
	return strings.Join(w, "; ")
}
