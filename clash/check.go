// Package clash checks a building: it knows the rules, searches for what is near, measures it,
// and says what was found, what it breaks, who gives way and the least move that clears it. It knows no
// file and no screen.
//
// A Check is opened on a project and asked for findings, again and again:
//
//	check := clash.Open(project, clash.Options{Touch: 1})
//	result, err := check.Findings(ctx)
//	…
//	changed, problem := project.Edit("T-07", "level", "FFL+2950")
//	check.Changed(changed)
//	result, err = check.Findings(ctx)
//
// A Check keeps nothing global and may not be used by two goroutines at once; two checks may.
package clash

import (
	"context"
	"math"
	"runtime"
	"slices"
	"sync"
	"sync/atomic"

	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/vocabulary"
)

// Options say how to check and what to tell.
type Options struct {
	// Touch is the depth in mm up to which things may rest on each other; an overlap is deeper.
	Touch float64
	// Firm leaves rules that rest on practice out of findings and status.
	Firm bool
	// Reach is how far an arm reaches from the middle of a hatch, mm; 0 means the built-in 600.
	Reach float64
	// ReachIn is how much further one reaches with head and shoulders in the hatch, mm, where it is wide enough for them; 0 means
	// the built-in 300.
	ReachIn float64
	// Bays, Trades and Only narrow what is told and counted; empty means all. Bays are names or labels.
	Bays, Trades []string
	Only         []Kind
	// Rules replaces the built-in rules where it is not nil; the project's own rows stay before it.
	Rules []rules.Rule
	// Tolerance tells besides the findings what is clear as drawn but may not fit once built, adding tolerances of level up
	// this way; AsDrawn tells nothing. Deflection: a beam comes down by its span over this under imposed load; 0: it does not.
	Tolerance  Way
	Deflection float64
	// Supports say how far apart supports stand until they are set out; the zero value is what is usual.
	Supports support.Options
	// Workers is the number of goroutines that measure; 0 means one a processor. The answer does not
	// depend on it.
	Workers int
	// Once says that the check is asked only once: nothing is kept for a second asking.
	Once bool
	// Excused gives the pairs that are excused with the answer, one by one.
	Excused bool
	// Progress is called now and then while everything is measured, from several goroutines at once: with what is
	// being done, how much of it is done and how much there is.
	Progress func(stage Stage, done, of int)
}

// Stage is a part of a check that takes long in a large building.
type Stage int

// The stages of a check, in the order in which they are gone through.
const (
	Pairs     Stage = iota // zones against zones
	Levels                 // zones against ceilings and soffits, supports, access
	Relations              // what runs over what
	Words                  // findings put into words
)

func (c *Check) progress(stage Stage, done, of int) {
	if c.opt.Progress != nil {
		c.opt.Progress(stage, done, of)
	}
}

// Check is a project with its rules, ready to be asked for findings.
type Check struct {
	p     *void.Project
	opt   Options
	rules *rules.Set
	// builtIn are the rules that apply after the project's own.
	builtIn []rules.Rule
	spy     func(a, b int32, why string) // hears of every pair that is excused; for tests

	linkedAs sync.Map // by two characters: linked

	openingsIn  map[int32][]int32 // zone -> openings
	soffitHole  map[int32][]int32 // bay -> openings in its soffit
	ceilingHole map[int32][]int32 // bay -> openings in its ceiling
	box         []box
	traitAt     []int32  // by zone
	charAt      []int32  // by zone, -1 for a slot that holds none
	occupied    []uint32 // by bay: not 0 where a zone lies in it
	hung        []bool   // by zone: something hangs under it
	grid        *grid    // nil until something is searched
	strays      []int32  // zones that have moved since the grid was laid
	stray       map[int32]bool

	held     int32 // a zone that is taken to be another body for a while, -1 for none
	heldBody body.Body

	book    *book // what was measured when last asked; nil: everything is to be measured
	pending *void.Change
	marked  []bool         // by zone, for again
	was     []void.Opening // when last asked

	holders  *holders // what holds rows up; nil until it is wanted
	parties  parties
	bayRank  []int32          // by bay: its place among all in the order of their labels
	bayLabel map[string]int32 // bay by label

	roomy []bool // by character: its kind is usually in the room, under the ceiling

	wantedBays map[string]bool // by label: those that the filter names; nil until it is asked
}

// box is a bounding box.
type box struct {
	lo, hi [3]float64
}

// nowhere is the box of no zone: it is infinitely far from every other.
var nowhere = box{
	[3]float64{math.Inf(1), math.Inf(1), math.Inf(1)},
	[3]float64{math.Inf(-1), math.Inf(-1), math.Inf(-1)},
}

func boxOf(b body.Body) box {
	p, h := b.Plan(), b.Height()
	return box{[3]float64{p.X.Lo, p.Y.Lo, h.Lo}, [3]float64{p.X.Hi, p.Y.Hi, h.Hi}}
}

// apart returns the largest distance between the two boxes along an axis, negative where they overlap on
// all three.
func (a *box) apart(b *box) float64 {
	d := max(a.lo[0]-b.hi[0], b.lo[0]-a.hi[0])
	d = max(d, a.lo[1]-b.hi[1], b.lo[1]-a.hi[1])
	return max(d, a.lo[2]-b.hi[2], b.lo[2]-a.hi[2])
}

// Open opens a resolved project for checking. What is wrong with the project's own rules is added to
// the project's problems.
func Open(p *void.Project, opt Options) *Check {
	builtIn := opt.Rules
	if builtIn == nil {
		builtIn = rules.BuiltIn()
	}
	c := &Check{p: p, opt: opt, builtIn: builtIn, held: -1}
	c.readRules()
	c.ready()
	return c
}

// Findings returns the whole answer: everything is measured at the first asking, and what changed since at later ones.
// It returns the context's error when it is cancelled, and then no result; the next asking measures everything.
func (c *Check) Findings(ctx context.Context) (*Result, error) {
	a, err := c.Answer(ctx)
	if err != nil {
		return nil, err
	}
	return a.Result(ctx)
}

// Answer measures like Findings and returns the answer with its findings yet to be worded, so that a building of very
// many can be written without ever being held whole. It is good until the project is edited.
func (c *Check) Answer(ctx context.Context) (*Answer, error) {
	r := &run{Check: c, book: c.book}
	c.book = nil // until all went well
	var err error
	if r.book == nil || c.pending != nil && (c.pending.All || c.pending.Rules) {
		err = r.all(ctx)
	} else if c.pending != nil {
		err = r.again(ctx, c.pending)
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		c.grid = nil
		return nil, err
	}
	a, err := r.doubt(ctx, r.answer())
	if err != nil {
		return nil, err
	}
	c.pending = nil
	if !c.opt.Once {
		c.book, c.was = r.book, slices.Clone(c.p.Openings)
	}
	return a, nil
}

// readRules reads the project's rules and puts them before the built-in ones.
func (c *Check) readRules() {
	c.rules = rules.New(c.p, c.builtIn, c.opt.Firm)
	c.p.Warnings = append(c.p.Warnings, c.rules.Warnings...)
}

// all measures everything.
func (r *run) all(ctx context.Context) error {
	if r.pending != nil {
		if r.pending.Rules {
			was := r.rules
			r.p.Unsay(func(pr *void.Problem) bool {
				return slices.Contains(was.Warnings, *pr) || slices.Contains(was.Problems, *pr)
			})
			r.readRules()
		}
		r.ready()
	}
	r.book = &book{served: map[int32]int32{}}
	if err := r.pairs(ctx); err != nil {
		return err
	}
	for _, s := range r.serves {
		r.served[s.zone]++
	}
	r.stage = Levels
	r.oneSides(slices.Clone(r.sides))
	if err := r.levels(ctx); err != nil {
		return err
	}
	r.alongRuns(r.crossed)
	r.underFaces()
	r.tileFindings(r.tiles)
	if err := r.access(ctx); err != nil {
		return err
	}
	if err := r.joints(ctx); err != nil {
		return err
	}
	if err := r.supports(ctx); err != nil {
		return err
	}
	if r.opt.Once {
		r.letHoldersGo()
		if r.opt.Tolerance == AsDrawn {
			r.grid = nil
		}
	}
	r.stage = Relations
	if err := r.relations(ctx); err != nil {
		return err
	}
	for i := range r.told {
		t := &r.told[i]
		t.ofParty, t.fromParty = r.party(t.of), r.party(t.from)
	}
	return nil
}

// run is one asking.
type run struct {
	*Check
	*book
	stage Stage
}

// Rules returns the rules in force, the project's own first.
func (c *Check) Rules() []rules.Rule { return slices.Clone(c.rules.Rules) }

// Changed says what an edit did to the project since the last asking. The next asking measures what that touches, and
// no more; several changes may be said before it.
func (c *Check) Changed(ch void.Change) {
	if c.pending == nil {
		c.pending = &void.Change{}
	}
	w := c.pending
	w.Zones = append(w.Zones, ch.Zones...)
	w.Bays = append(w.Bays, ch.Bays...)
	w.Openings, w.Spaces = w.Openings || ch.Openings, w.Spaces || ch.Spaces
	w.Rules, w.All = w.Rules || ch.Rules, w.All || ch.All
}

// ready works out what the measuring needs of every zone.
func (c *Check) ready() {
	p := c.p
	n := p.Zones()
	c.box, c.traitAt, c.charAt = make([]box, n), make([]int32, n), make([]int32, n)
	c.hung = make([]bool, n)
	c.occupied = make([]uint32, len(p.Bays))
	c.grid, c.strays, c.stray, c.book, c.pending = nil, nil, nil, nil, nil
	c.holders = nil
	c.bayRank, c.bayLabel, c.marked, c.wantedBays, c.parties = nil, nil, nil, nil, parties{}
	c.roomy = nil
	c.rules.Forget()
	c.characters()
	c.blocks(n, 1<<12, func(from, to int) {
		for i := from; i < to; i++ {
			c.look(int32(i))
		}
	})
	c.openings()
}

// blocks calls each for stretches of size of 0 to n, from several goroutines at once.
func (c *Check) blocks(n, size int, each func(from, to int)) {
	var next atomic.Int64
	var wg sync.WaitGroup
	for range min(c.workers(), (n+size-1)/size) {
		wg.Go(func() {
			for {
				from := int(next.Add(1)-1) * size
				if from >= n {
					return
				}
				each(from, min(from+size, n))
			}
		})
	}
	wg.Wait()
}

// look takes in the box and the trait of zone i as it now is.
func (c *Check) look(i int32) {
	z := c.p.Zone(int(i))
	if z.Gone {
		c.box[i], c.charAt[i], c.traitAt[i], c.hung[i] = nowhere, -1, 0, false
		return
	}
	if c.p.Character(z.Char).Entry.Mark {
		c.box[i], c.charAt[i], c.traitAt[i], c.hung[i] = nowhere, z.Char, c.rules.TraitOf[z.Char], false // no body
		return
	}
	c.box[i] = boxOf(z.Full())
	c.charAt[i], c.traitAt[i], c.hung[i] = z.Char, c.rules.TraitOf[z.Char], c.p.Under(z) > 0
	for _, j := range z.Bays() {
		if atomic.LoadUint32(&c.occupied[j]) == 0 {
			atomic.StoreUint32(&c.occupied[j], 1)
		}
	}
}

// characters takes in characters that are new.
func (c *Check) characters() {
	c.rules.Learn(c.p)
	for i := len(c.roomy); i < c.p.Characters(); i++ {
		c.roomy = append(c.roomy, vocabulary.UsuallyInRoom(c.p.Character(int32(i)).Kind))
	}
}

// openings sorts the openings by what they are in.
func (c *Check) openings() {
	p := c.p
	c.openingsIn, c.soffitHole, c.ceilingHole = map[int32][]int32{}, map[int32][]int32{}, map[int32][]int32{}
	for i := range p.Openings {
		o := &p.Openings[i]
		switch {
		case o.In >= 0:
			c.openingsIn[o.In] = append(c.openingsIn[o.In], int32(i))
		case o.Ceiling:
			c.ceilingHole[o.Bay] = append(c.ceilingHole[o.Bay], int32(i))
		default:
			c.soffitHole[o.Bay] = append(c.soffitHole[o.Bay], int32(i))
		}
	}
}

func (c *Check) zone(i int32) *void.Zone      { return c.p.Zone(int(i)) }
func (c *Check) char(i int32) *void.Character { return c.p.Character(c.zone(i).Char) }
func (c *Check) trait(i int32) int32          { return c.traitAt[i] }
func (c *Check) structure(i int32) bool       { return c.rules.Traits[c.traitAt[i]].Built }
func (c *Check) workers() int {
	if c.opt.Workers > 0 {
		return c.opt.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// full returns the body of a zone with joint, insulation and top.
func (c *Check) full(i int32) body.Body {
	if i == c.held {
		return c.heldBody
	}
	return c.p.Zone(int(i)).Full()
}

// hold takes zone i to be another body until it is let go.
func (c *Check) hold(i int32, b body.Body) { c.held, c.heldBody, c.box[i] = i, b, boxOf(b) }

// letGo takes a zone that was held for what it is.
func (c *Check) letGo() { c.held = -1 }
