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
	"fmt"
	"runtime"
	"slices"
	"strings"
	"sync"

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
	// Bays, Trades and Only narrow what is told and counted; empty means all. Bays are names or labels.
	Bays, Trades []string
	Only         []Kind
	// Rules replaces the built-in rules where it is not nil; the project's own rows stay before it.
	Rules []Rule
	// Workers is the number of goroutines that measure; 0 means one a processor. The answer does not
	// depend on it.
	Workers int
}

// Check is a project with its rules, ready to be asked for findings.
type Check struct {
	p     *void.Project
	opt   Options
	rules *ruleSet
	spy   func(a, b int32, why string) // hears of every pair that is excused; for tests

	ceilingChar, soffitChar void.Character
	traits                  []trait
	traitOf                 []int32 // by character
	ceilingTrait            int32
	soffitTrait             int32
	mu                      sync.Mutex
	choices                 map[[2]int32]*choice

	openingsIn  map[int32][]int32 // zone -> openings
	soffitHole  map[int32][]int32 // bay -> openings in its soffit
	ceilingHole map[int32][]int32 // bay -> openings in its ceiling
	full        []body.Body
	box         []box
	traitAt     []int32 // by zone
	built       []bool  // by zone: structure
}

// trait is one of the characters that are alike to every rule.
type trait struct{ c *void.Character }

// box is a bounding box.
type box struct {
	lo, hi [3]float64
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
		builtIn = BuiltIn()
	}
	c := &Check{p: p, opt: opt, choices: map[[2]int32]*choice{}}
	c.rules = newRuleSet(p, builtIn, opt.Firm)
	p.Warnings = append(p.Warnings, c.rules.warnings...)
	c.ceilingChar = void.Character{Trade: "ceilings", Kind: "ceiling", Groups: []string{vocabulary.Ceiling}, Order: 1}
	c.soffitChar = void.Character{Trade: "structure", Kind: "soffit", Groups: []string{vocabulary.Structure}, Order: 1}
	c.ready()
	return c
}

// Rules returns the rules in force, the project's own first.
func (c *Check) Rules() []Rule { return slices.Clone(c.rules.rules) }

// Changed says that zones changed since the last Findings (by index, as Edit returns them). The next
// Findings measures anew.
func (c *Check) Changed([]int) { c.ready() }

// ready works out what the measuring needs of every zone.
func (c *Check) ready() {
	p := c.p
	n := p.Zones()
	c.full, c.box = make([]body.Body, n), make([]box, n)
	for i := 0; i < n; i++ {
		c.full[i] = p.Zone(i).Full()
		c.box[i] = boxOf(c.full[i])
	}
	c.traits, c.traitOf = nil, make([]int32, p.Characters())
	seen := map[string]int32{}
	add := func(ch *void.Character) int32 {
		var key strings.Builder
		for i := range c.rules.rules {
			fmt.Fprintf(&key, "%d,%d;", meets(c.rules.of[i], ch), meets(c.rules.to[i], ch))
		}
		fmt.Fprintf(&key, "%v%v%v%v", ch.Structure(), ch.Power, ch.Data, carries(ch))
		if ch.Power || ch.Data {
			fmt.Fprintf(&key, "%d %g %s", barrierOf(ch.Kind), ch.Circuits, ch.Class)
		}
		k, ok := seen[key.String()]
		if !ok {
			k = int32(len(c.traits))
			seen[key.String()] = k
			c.traits = append(c.traits, trait{ch})
		}
		return k
	}
	for i := range c.traitOf {
		c.traitOf[i] = add(p.Character(int32(i)))
	}
	c.ceilingTrait, c.soffitTrait = add(&c.ceilingChar), add(&c.soffitChar)
	c.traitAt, c.built = make([]int32, n), make([]bool, n)
	for i := range n {
		z := p.Zone(i)
		c.traitAt[i] = c.traitOf[z.Char]
		c.built[i] = p.Character(z.Char).Structure()
	}
	c.choices = map[[2]int32]*choice{}
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

// choiceOf returns what two traits ask of each other, seen from a.
func (c *Check) choiceOf(a, b int32) *choice {
	c.mu.Lock()
	defer c.mu.Unlock()
	k := [2]int32{a, b}
	if ch, ok := c.choices[k]; ok {
		return ch
	}
	ch := c.rules.choose(c.traits[a].c, c.traits[b].c)
	c.choices[k] = &ch
	return &ch
}

// chooser keeps a worker's own copy of the choices, so that workers do not wait for each other.
type chooser struct {
	c    *Check
	n    int32
	mine []*choice // by a*n+b; nil where there are too many traits for a table
}

// tableMost is the number of traits up to which a worker keeps a table of all pairs.
const tableMost = 512

func (c *Check) chooser() *chooser {
	h := &chooser{c: c, n: int32(len(c.traits))}
	if h.n <= tableMost {
		h.mine = make([]*choice, h.n*h.n)
	}
	return h
}

func (h *chooser) of(a, b int32) *choice {
	if h.mine == nil {
		return h.c.choiceOf(a, b)
	}
	k := a*h.n + b
	if h.mine[k] == nil {
		h.mine[k] = h.c.choiceOf(a, b)
	}
	return h.mine[k]
}

func (c *Check) zone(i int32) *void.Zone      { return c.p.Zone(int(i)) }
func (c *Check) char(i int32) *void.Character { return c.p.Character(c.zone(i).Char) }
func (c *Check) trait(i int32) int32          { return c.traitAt[i] }
func (c *Check) structure(i int32) bool       { return c.built[i] }
func (c *Check) workers() int {
	if c.opt.Workers > 0 {
		return c.opt.Workers
	}
	return runtime.GOMAXPROCS(0)
}

// Findings measures the whole project and returns the answer. It returns the context's error when it
// is cancelled, and then no result.
func (c *Check) Findings(ctx context.Context) (*Result, error) {
	run := &run{Check: c, excused: map[string]int{}}
	if err := run.pairs(ctx); err != nil {
		return nil, err
	}
	run.oneSides()
	run.alongRuns()
	if err := run.levels(ctx); err != nil {
		return nil, err
	}
	run.access()
	if err := run.told(ctx); err != nil {
		return nil, err
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	return run.result(), nil
}

// run gathers one asking.
type run struct {
	*Check
	findings  []Finding
	holes     []Hole
	protected []protection
	excused   map[string]int
	notes     []Note
	sides     []sideBlock
	crossed   []crossing
	near      int
	warned    map[string][2]string
	serves    map[int32]bool // zones that meet something set into the ceiling
}
