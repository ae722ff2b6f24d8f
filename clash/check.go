// Package clash checks a building: it knows the rules, searches for what is near, measures it,
// and says what was found, what it breaks, who gives way and the least move that clears it: in the record of package finding. It knows no
// file and no screen.
//
// A Check is opened on a project and asked for findings, again and again:
//
//	check := clash.Open(project, clash.Options{})
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
	"slices"
	"sync/atomic"

	"voidline/clash/book"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/void"
)

// None says of a length of Options that there is none of it, where 0 stands for what is built in.
const None = -1

// What is built in where Options name no length; of Reach a rule says it, of ReachIn hatchReaches.
const usualTouch = 1.0 // mm

// Options say how to check and what to tell. The zero value is what is usual: of the lengths Touch, Reach and ReachIn 0 means the
// built-in figure, None (or any below 0) nothing at all.
type Options struct {
	// Touch is the depth in mm up to which things may rest on each other; an overlap is deeper. 0: the built-in 1.
	Touch float64
	// Firm leaves rules that rest on practice out of findings and status.
	Firm bool
	// Reach is how far an arm reaches from the middle of a hatch, mm. 0: what the rule says, the built-in 600;
	// None: nothing is asked to be in reach.
	Reach float64
	// ReachIn is how much further one reaches with head and shoulders in the hatch, mm, where it is wide enough for them. 0: the
	// built-in 300.
	ReachIn float64
	// Bays, Trades and Only narrow what is told and counted; empty means all. Bays are names or labels.
	Bays, Trades []string
	Only         []finding.Kind
	// Rules replaces the built-in rules where it is not nil; the project's own rows stay before it.
	Rules []rules.Rule
	// Tolerance tells besides the findings what is clear as drawn but may not fit once built, adding tolerances of level up
	// this way; AsDrawn tells nothing. Deflection: a beam comes down by its span over this under imposed load; 0: it does not.
	Tolerance  tolerance.Way
	Deflection float64
	// Supports say how far apart supports stand until they are set out; the zero value is what is usual.
	Supports support.Options
	// Workers is the number of goroutines that measure; 0 means one a processor. The answer does not
	// depend on it.
	Workers int
	// Once says that the check is asked only once: nothing is kept for a second asking.
	Once bool
	// Proved puts the moves of findings to the proof: each is tried in full, and says whether it is clear or what it meets. Of very large
	// projects and of very many findings none are; see ProofBounds.
	Proved bool
	// Surveyed says of each finding whether it came only with what was found on site: the project is checked as drawn, too.
	Surveyed bool
	// Excused gives the pairs that are excused with the answer, one by one.
	Excused bool
	// Progress is called now and then while everything is measured, from several goroutines at once: with what is
	// being done, how much of it is done and how much there is.
	Progress func(stage Stage, done, of int)
}

// Length returns the field of Options that means exactly so many mm: 0 is none.
func Length(mm float64) float64 {
	if mm == 0 {
		return None
	}
	return mm
}

// Resting returns how deep things may rest on each other, mm: Touch in figures.
func (o *Options) Resting() float64 {
	if o.Touch == 0 {
		return usualTouch
	}
	return math.Max(0, o.Touch)
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

// tape is the tape of a check, over its scene: what the two know and measure is said to a check as to them.
type tape = measure.Tape

// Check is a project with its rules, ready to be asked for findings.
type Check struct {
	*tape
	opt   Options
	touch float64 // mm, see Options.Touch
	// builtIn are the rules that apply after the project's own.
	builtIn []rules.Rule
	spy     func(a, b int32, why measure.Tie) // hears of every pair that is excused; for tests

	book    *book.Book // what was measured when last asked; nil: everything is to be measured
	pending *void.Change
	marked  []bool               // by zone, for again
	was     []void.Opening       // when last asked
	putOff  *putOff              // what is put off while moves are made one after the other; nil: nothing is
	proved  map[trialKey]outcome // what trials of the last answer whose moves were proved came to; for who makes them

	holders   *holders            // what holds rows up; nil until it is wanted
	toReach   *scene.Scatter      // items that must be reached; for trials, nil until one asks
	toProve   atomic.Bool         // moves are to be tried with what is measured; not any more once there are too many findings for that
	ways      map[int32]scene.Box // by item: round a way by which it is reached as things stand; for trials
	hatchways *hatchways          // nil until they are asked for, and where one of them, or what it is made for, may have changed
	parties   parties
	runRows   *runRows         // of a check that is asked again; nil until joints were looked at
	bayRank   []int32          // by bay: its place among all in the order of their labels
	bayLabel  map[string]int32 // bay by label

	wantedBays map[string]bool // by label: those that the filter names; nil until it is asked
}

// Open opens a resolved project for checking. What is wrong with the project's own rules is added to
// the project's problems.
func Open(p *void.Project, opt Options) *Check {
	builtIn := opt.Rules
	if builtIn == nil {
		builtIn = rules.BuiltIn()
	}
	opt.Proved = opt.Proved && p.Zones() <= provedIn
	c := &Check{tape: measure.On(scene.Of(p, opt.Workers)), opt: opt, touch: opt.Resting(), builtIn: builtIn}
	c.toProve.Store(opt.Proved)
	c.readRules(nil)
	c.ready()
	return c
}

// letsGo reports whether what was measured is let go once it has been told: the check is asked once, and no moves are to be tried with it.
func (c *Check) letsGo() bool { return c.opt.Once && !c.toProve.Load() }

// Findings returns the whole answer: everything is measured at the first asking, and what changed since at later ones.
// It returns the context's error when it is cancelled, and then no result; the next asking measures everything.
func (c *Check) Findings(ctx context.Context) (*finding.Result, error) {
	a, err := c.Answer(ctx)
	if err != nil {
		return nil, err
	}
	return a.Result(ctx)
}

// Answer measures like Findings and returns the answer with its findings yet to be worded, so that a building of very
// many can be written without ever being held whole. It is good until the project is edited.
func (c *Check) Answer(ctx context.Context) (*Answer, error) {
	r := &run{Check: c, kept: c.book}
	c.book, c.proved = nil, nil // until all went well
	var err error
	if r.kept == nil || c.pending != nil && (c.pending.All || c.pending.Rules) {
		err = r.all(ctx)
	} else if c.pending != nil {
		err = r.again(ctx, c.pending)
	}
	if err == nil {
		err = ctx.Err()
	}
	if err != nil {
		c.Grid = nil
		return nil, err
	}
	a, err := r.doubt(ctx, r.answer())
	if err != nil {
		return nil, err
	}
	if a.drawn, err = c.foundAsDrawn(ctx); err != nil {
		return nil, err
	}
	a.survey()
	c.pending = nil
	if !c.letsGo() {
		c.book, c.was = r.kept, slices.Clone(c.Project.Openings)
	}
	if c.opt.Proved && r.kept.Found > 0 && r.kept.Found <= provedOf {
		if err := a.prove(ctx); err != nil {
			return nil, err
		}
	}
	return a, nil
}

// follow measures again what changed, as Answer does, and answers nothing: joints and the parties that rows are counted with are left as they were but for
// the rows that changed, until catchUp.
func (c *Check) follow(ctx context.Context) error {
	if c.pending == nil || c.pending.All || c.pending.Rules || c.book == nil {
		_, err := c.Answer(ctx)
		return err
	}
	r := &run{Check: c, kept: c.book}
	c.book = nil // until all went well
	if c.putOff == nil {
		c.putOff = &putOff{}
	}
	if err := r.again(ctx, c.pending); err != nil {
		c.Grid = nil
		return err
	}
	c.pending, c.book, c.was = nil, r.kept, slices.Clone(c.Project.Openings)
	return nil
}

// putOff is what follow left for catchUp: zones that changed, and the boxes in which they stood.
type putOff struct {
	dirty []int32
	was   []scene.Box
}

// catchUp does what follow put off.
func (c *Check) catchUp() {
	o := c.putOff
	if c.putOff = nil; o != nil && c.book != nil {
		r := &run{Check: c, kept: c.book}
		r.jointsAgain(o.dirty, o.was)
		slices.Sort(o.dirty)
		r.kept.Order.Recount = r.networkAgain(slices.Compact(o.dirty)) || r.kept.Order.Recount
	}
}

// readRules reads the project's rules and puts them before the built-in ones. What they or those before them (nil: none) told the project
// is told once, however many checks are opened on it.
func (c *Check) readRules(before *rules.Set) {
	p := c.Project
	c.Set = rules.New(p, c.builtIn, c.opt.Firm)
	missed := map[int]bool{} // lines of gaps.csv
	p.Unsay(func(pr *void.Problem) bool {
		now, missing := c.Set.Told(pr)
		then, was := before.Told(pr)
		if missing || was {
			missed[pr.Line] = true
		}
		return now || then
	})
	p.Problems, p.Warnings = append(p.Problems, c.Set.Problems...), append(p.Warnings, c.Set.Warnings...)
	p.RowsMissing += c.Set.RowsMissing() - len(missed)
}

// all measures everything.
func (r *run) all(ctx context.Context) error {
	if r.pending != nil {
		if r.pending.Rules {
			r.readRules(r.Set)
		}
		r.ready()
	}
	r.kept, r.Check.runRows = book.New(false, false), nil
	if err := r.pairs(ctx); err != nil {
		return err
	}
	for _, s := range r.kept.Serves {
		r.kept.Serve(s.Zone, 1)
	}
	r.stage = Levels
	r.oneSides(slices.Clone(r.kept.Sides))
	if err := r.levels(ctx); err != nil {
		return err
	}
	r.alongRuns(r.kept.Crossed)
	r.underFaces(func(int32) bool { return true })
	r.tileFindings(r.kept.Tiles)
	if err := r.access(ctx); err != nil {
		return err
	}
	if err := r.joints(ctx); err != nil {
		return err
	}
	if err := r.supports(ctx); err != nil {
		return err
	}
	if r.letsGo() {
		r.letHoldersGo()
		if r.opt.Tolerance == tolerance.AsDrawn {
			r.Grid = nil
		}
	}
	r.stage = Relations
	if err := r.relations(ctx); err != nil {
		return err
	}
	r.kept.Parties(r.party)
	return nil
}

// run is one asking.
type run struct {
	*Check
	kept  *book.Book // what was measured
	stage Stage

	// later measures what of a trial takes long, and matters only where nothing else is worse.
	later func()
	// takenBack: the trial is over, and what it changed is taken back. held are the rows whose supports it touched.
	takenBack bool
	held      []int32
}

// Rules returns the rules in force, the project's own first.
func (c *Check) Rules() []rules.Rule { return slices.Clone(c.Set.Rules) }

// Changed says what an edit did to the project since the last asking. The next asking measures what that touches, and
// no more; several changes may be said before it.
func (c *Check) Changed(ch void.Change) {
	if c.pending == nil {
		c.pending = &void.Change{}
	}
	c.pending.Add(ch)
}

// ready makes the check look at the project as it now is, and forget what it measured.
func (c *Check) ready() {
	c.Look()
	c.book, c.pending, c.holders, c.hatchways, c.ways, c.toReach, c.runRows = nil, nil, nil, nil, nil, nil, nil
	c.bayRank, c.bayLabel, c.marked, c.wantedBays, c.parties = nil, nil, nil, nil, parties{}
}
