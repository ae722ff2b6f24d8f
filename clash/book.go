package clash

import (
	"context"
	"math"
	"slices"
	"sync"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void/body"
)

// A book keeps what was measured, entry by entry, each with the zones it came of, so that after an edit the entries of
// the zones that changed can be taken out and measured again. Findings of pairs, and of zones and ceilings or soffits, may
// be very many: of these it keeps no more than how they are to be counted and put in order; they are worded when somebody
// reads them.
type book struct {
	words    bool      // what is measured is wanted worded at once
	hits     []hit     // yet to be worded
	findings []*placed // worded at once: the few that are more than a pair
	holes    []madeOf  // builder's work
	sides    []sideBlock
	crossed  []crossing
	excused  []excuse
	made     []madeJoint // joints of runs to put right
	asked    []asking    // pairs that the table of connections does not know
	warned   []warning
	serves   []serving
	notes    []noted
	tiles    []overTile
	unsaid   []unsaidCeiling
	below    []underFace // wholly under a finished face
	pierced  []throughCeiling
	told     []relation
	measured int // pairs near enough for a rule to matter
	once     bool
	found    int  // findings that were measured, before filters, at the first asking
	onTrial  bool // see trial
	from     *hitsOf
	had      map[int32]bool // of from
	// way is round the way by which the item that was looked at last is reached; nowhere where no way was wanted.
	way scene.Box
	// later measures what of a trial takes long, and matters only where nothing else is worse.
	later func()
	// takenBack: the trial is over, and what it changed is taken back. held are the rows whose supports it touched.
	takenBack bool
	held      []int32
	pairwise  bool              // the pairs that are excused are wanted of a check that is asked once, too
	excuses   [measure.Ties]int // of a check that is asked once: how many for each reason, in place of excused

	served map[int32]int32 // zone -> how many things set into the ceiling it meets
	// servedBefore is that of the book that a trial is taken from: served is then what has changed.
	servedBefore map[int32]int32

	// What the entries come to, brought up to date with them; nil before it is asked for.
	order    []hit             // of one finding an id, those that pass the filters, in order
	problems map[problem]int32 // how many findings each problem has
	groups   []relationGroup   // in order
	grouped  bool
	touched  map[uint64]bool   // ids of findings that came or went since
	related  map[[2]int32]bool // parties whose relations came or went since
	recount  bool              // rows are counted with other parties than before
}

// origin says which part of the check an entry came of.
type origin uint8

const (
	ofPair    origin = iota
	ofSide           // hand room along one of the sides of zone a
	ofRun            // rows of runs a and b, together
	ofLevel          // zone a against ceilings and soffits
	ofTiles          // bay a
	ofSpace          // access space a
	ofReach          // zone a that must be reached
	ofSupport        // the supports of zone a, of a finding yet to be worded in zone b
	ofCeiling        // zone a against the ceiling of a bay
	ofSoffit         // zone a against the soffit of a bay
	ofRoom           // zone a, wholly under the finished face of a bay
)

// surface reports whether a finding is between a zone and the ceiling or the soffit of a bay.
func (o origin) surface() bool { return o == ofCeiling || o == ofSoffit || o == ofRoom }

// hit is a finding that is yet to be worded.
type hit struct {
	id    uint64 // in the order of the id's letters
	short float64
	f     *finding.Finding // in words; nil: it is to be worded
	held  *heldIn          // of supports: what is to be worded
	a, b  int32            // the pair; b is noZone for a ceiling or a soffit, that of bay
	p, q  int32            // the two parties, once it is in order
	bay   int32            // noBay outside every bay
	// storey is that of the finding.
	storey int32
	in     int32  // the bay that it is counted in, anyBay where structure is one of the two; once it is in order
	of     origin // what it is of, where it is to be worded
	kind   uint8
	cost   uint8 // see finding.Costs
	// reach: an access problem that rests on practice.
	reach bool
}

// placed is a worded finding and what it came of.
type placed struct {
	of   origin
	a, b int32
	key  alongKey // of runs
	f    finding.Finding
	hit  hit // of the finding; its f is nil until it is asked for
}

type madeOf struct {
	a, b int32 // b < 0: the soffit of bay -1-b
	finding.Hole
}

type excuse struct {
	of   origin
	why  measure.Tie
	a, b int32
}

// asking is a pair of which nobody knows whether the end of zone a at zone b is a connection.
type asking struct{ a, b int32 }

type warning struct {
	a, b int32
	text string
}

// serving says that zone meets something set into the ceiling, other.
type serving struct{ zone, other int32 }

type noted struct {
	of origin
	a  int32
	finding.Note
}

// overTile is a zone that leaves less than is asked to lift a tile of a bay.
type overTile struct {
	bay, zone int32
	gap, lack float64
	rule      *rules.Rule
}

type unsaidCeiling struct{ bay, zone int32 }

// newBook is an empty book of the check.
func (c *Check) newBook() book { return book{once: c.letsGo(), pairwise: c.opt.Excused} }

// letGo makes a book that of a check that is asked once.
func (b *book) letGo() {
	if b.once {
		return
	}
	b.once = true
	for i := range b.excused {
		b.excuses[b.excused[i].why]++
	}
	if !b.pairwise {
		b.excused = nil
	}
}

func (b *book) excuse(of origin, why measure.Tie, x, y int32) {
	if b.once {
		b.excuses[why]++
		if !b.pairwise {
			return
		}
	}
	b.excused = append(b.excused, excuse{of, why, x, y})
}

// serve notes that a zone meets n more things that are set into the ceiling.
func (b *book) serve(zone, n int32) { b.served[zone] += n }

// servedBy returns how many things that are set into the ceiling a zone meets.
func (b *book) servedBy(zone int32) int32 { return b.served[zone] + b.servedBefore[zone] }

// take adds what other books have.
func (b *book) take(os ...*book) {
	b.hits = with(b.hits, os, func(o *book) []hit { return o.hits })
	b.findings = with(b.findings, os, func(o *book) []*placed { return o.findings })
	b.holes = with(b.holes, os, func(o *book) []madeOf { return o.holes })
	b.sides = with(b.sides, os, func(o *book) []sideBlock { return o.sides })
	b.crossed = with(b.crossed, os, func(o *book) []crossing { return o.crossed })
	b.excused = with(b.excused, os, func(o *book) []excuse { return o.excused })
	b.made = with(b.made, os, func(o *book) []madeJoint { return o.made })
	b.asked = with(b.asked, os, func(o *book) []asking { return o.asked })
	b.warned = with(b.warned, os, func(o *book) []warning { return o.warned })
	b.serves = with(b.serves, os, func(o *book) []serving { return o.serves })
	b.notes = with(b.notes, os, func(o *book) []noted { return o.notes })
	b.tiles = with(b.tiles, os, func(o *book) []overTile { return o.tiles })
	b.unsaid = with(b.unsaid, os, func(o *book) []unsaidCeiling { return o.unsaid })
	b.below = with(b.below, os, func(o *book) []underFace { return o.below })
	b.pierced = with(b.pierced, os, func(o *book) []throughCeiling { return o.pierced })
	b.told = with(b.told, os, func(o *book) []relation { return o.told })
	for _, o := range os {
		b.measured += o.measured
		for k, n := range o.excuses {
			b.excuses[k] += n
		}
	}
}

// with appends what books have of one sort, all at once: growing bit by bit leaves as much again behind.
func with[T any](to []T, books []*book, of func(*book) []T) []T {
	n := 0
	for _, o := range books {
		n += len(of(o))
	}
	to = slices.Grow(to, n)
	for _, o := range books {
		to = append(to, of(o)...)
	}
	return to
}

// gather calls each for blocks of 0 to n, from several goroutines, and adds up their books in the order of the blocks.
func (r *run) gather(ctx context.Context, n int, each func(out *book, h *rules.Reader, from, to int)) error {
	return r.gatherBy(ctx, n, 1<<11, each)
}

// gatherBy is gather with blocks of a size.
func (r *run) gatherBy(ctx context.Context, n, size int, each func(out *book, h *rules.Reader, from, to int)) error {
	books := make([]*book, (n+size-1)/size)
	var mu sync.Mutex
	free := []*rules.Reader{}
	r.Blocks(n, size, func(from, to int) {
		if ctx.Err() != nil {
			return
		}
		mu.Lock()
		var h *rules.Reader
		if k := len(free); k > 0 {
			h, free = free[k-1], free[:k-1]
		}
		mu.Unlock()
		if h == nil {
			h = r.Set.Reader()
		}
		b := r.newBook()
		each(&b, h, from, to)
		r.progress(r.stage, to, n)
		mu.Lock()
		books[from/size] = &b
		free = append(free, h)
		mu.Unlock()
	})
	if err := ctx.Err(); err != nil {
		return err
	}
	r.take(books...)
	return nil
}

// add puts down a worded finding.
func (b *book) add(of origin, x, y int32, key alongKey, f finding.Finding) {
	b.addAccess(of, x, y, key, f, "")
}

// Kinds of access besides those of access spaces, in the words that ids are made of: they stay, whatever a rule is called.
const (
	accessReach  = "reach from a hatch"
	accessFixing = "nothing may be fixed here"
	accessHang   = "rods want something over them"
)

// addAccess puts down a worded finding with what kind of access it is about, "" for none.
func (b *book) addAccess(of origin, x, y int32, key alongKey, f finding.Finding, access string) {
	f.Identify(access)
	f.Finish()
	b.findings = append(b.findings, &placed{of: of, a: x, b: y, key: key, f: f})
}

// brief is what a verdict on a pair comes to before it is worded; A and B are what was measured of the two. It says the
// same as finding.
func (r *run) brief(a, b int32, A, B body.Body, v *measure.Verdict, byHeight bool) hit {
	h := hit{a: a, b: b, id: finding.PairID(r.Zone(a).ID, r.Zone(b).ID), kind: finding.Severity(finding.Tight)}
	basis := rules.Geometry
	if v.N > 0 {
		main := v.Main()
		basis = main.Rule.Basis
		h.short = main.Short()
		if v.Overlap {
			h.short = main.Asked + v.Depth()
		}
		if !main.OfA {
			a, b, A, B = b, a, B, A
		}
	} else {
		h.short = v.Depth()
	}
	if v.Overlap {
		h.kind = finding.Severity(finding.Overlap)
	}
	h.short = figure.Tenth(h.short)
	h.cost = r.costOf(finding.KindOf(h.kind), basis, h.a, h.b)
	h.storey = r.Zone(r.teller(a, b)).Storey
	if j, ok := r.bayRound(int(h.storey), A, B, math.Max(v.Gap, v.Main().Gap), byHeight); ok {
		h.bay = int32(j)
		return h
	}
	storey, bay := r.toldIn(r.spotOf(a, b, A, B, v, byHeight), a, b)
	h.storey, h.bay = int32(storey), int32(bay)
	return h
}

// bayRound returns the bay of a finding where any place that it may have is in that bay. The spot lies between a point
// of the one and a point of the other that are no more than the gap apart.
func (r *run) bayRound(storey int, a, b body.Body, gap float64, byHeight bool) (int, bool) {
	if byHeight {
		return 0, false
	}
	g := r2.Point{X: gap + 2*measure.AsNear, Y: gap + 2*measure.AsNear}
	within := a.Plan().Expanded(g).Intersection(b.Plan().Expanded(g))
	if within.IsEmpty() {
		return 0, false
	}
	return r.Project.BayRound(storey, within)
}

// noBay is the bay of what lies outside every bay.
const noBay = -1

// spotOf returns where a finding of two zones is.
func (r *run) spotOf(a, b int32, A, B body.Body, v *measure.Verdict, byHeight bool) r3.Vector {
	at := measure.PlaceOf(A, B, v)
	if byHeight {
		// The place is the middle of the part of the bay that the row with a place takes.
		row, bay := a, r.Zone(b).Bay
		if r.Zone(a).ByHeight {
			row, bay = b, r.Zone(a).Bay
		}
		over := measure.OverBay(r.Full(row), &r.Project.Bays[bay])
		at.X, at.Y = over.X, over.Y
	}
	return at
}

// teller returns which of two zones a finding between them is told by: that which is no structure, of two such the one of
// the lower storey. A column that stands through storeys is met where the service is.
func (c *Check) teller(a, b int32) int32 {
	if sa, sb := c.Structure(a), c.Structure(b); sa != sb {
		if sa {
			return b
		}
		return a
	}
	if x, y := c.Zone(a).Storey, c.Zone(b).Storey; x != y && c.Project.Storeys[y].FFL < c.Project.Storeys[x].FFL {
		return b
	}
	return a
}

// toldIn returns the storey and the bay, noBay for none, that a finding of one or two zones at a place is told in: those of
// its teller, else, where the place lies in no bay of that storey, of the other.
func (c *Check) toldIn(at r3.Vector, zones ...int32) (storey, bay int) {
	first, last := zones[0], zones[len(zones)-1]
	if c.teller(first, last) == last {
		first, last = last, first
	}
	for _, i := range [2]int32{first, last} {
		s := int(c.Zone(i).Storey)
		if j, ok := c.BayAt(s, r2.Point{X: at.X, Y: at.Y}); ok {
			return s, j
		}
	}
	for _, i := range [2]int32{first, last} {
		if z := c.Zone(i); z.ByHeight {
			return int(z.Storey), int(z.Bay)
		}
	}
	return int(c.Zone(first).Storey), noBay
}

// brief returns the hit of a worded finding.
func (p *placed) brief(r *run) hit {
	if p.hit.f == nil {
		p.hit = r.briefOf(&p.f)
	}
	return p.hit
}

// briefOf is the hit of a worded finding.
func (r *run) briefOf(f *finding.Finding) hit {
	h := hit{
		id: f.IDNumber(), short: f.Short, a: -1, b: -1, f: f, bay: noBay, kind: finding.Severity(f.Kind), cost: f.CostClass(),
		reach: f.Kind == finding.Access && f.Basis == rules.Practice, storey: math.MaxInt32,
	}
	if f.Bay != nil {
		h.bay = r.bayNamed(*f.Bay)
	}
	if j, ok := r.storeyNamed(f.Storey); ok {
		h.storey = int32(j)
	}
	return h
}
