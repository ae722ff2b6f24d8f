package rules

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"voidline/void"
	"voidline/void/catalogue"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

const (
	NoSource = void.NoSource
	Laying   = 600 // mm along the run below which a crossing is not running side by side; common practice, no source
)

// BuiltIn returns the rules that come with the program: few, each with its reason and its source. A
// project's own rows go before them.
func BuiltIn() []Rule {
	rules := []Rule{
		{
			Name: "clear of the ceiling", Of: "any", To: "ceiling", Side: cell.Below, Gap: 25, Basis: Practice,
			Why: "the ceiling is hung and levelled after the services and must not bear on them", Source: NoSource,
		},
		{
			Name: "tile lift-out", For: OfTiles, Of: "tiles", To: "any", Side: cell.Above, Gap: 100, Basis: Practice,
			Why: "a tile is tilted and lifted out through its grid", Source: NoSource,
		},
		{
			Name: "insulation to insulation, pipes", Of: "pipe", To: "pipe", Side: cell.Around, Gap: 25, Basis: Practice,
			Why: "insulation is fitted and finished after the pipes are up", Source: NoSource,
		},
		{
			Name: "insulation to insulation, pipe and duct", Of: "pipe", To: "duct", Side: cell.Around, Gap: 25, Basis: Practice,
			Why: "insulation is fitted and finished after pipe and duct are up", Source: NoSource,
		},
		{
			Name: "insulation to insulation, ducts", Of: "duct", To: "duct", Side: cell.Around, Gap: 25, Basis: Practice,
			Why: "insulation is fitted and joints are made after the ducts are up", Source: NoSource,
		},
	}
	for _, k := range []string{"tray", "basket", "ladder"} {
		rules = append(rules,
			Rule{
				Name: "room above " + k + " to lay cables", Of: k, To: "any", Side: cell.Above, Gap: 150, Over: Laying, Basis: Practice,
				Why: "cables are laid in from above; to pass under a beam or a duct it may be fixed tight to it, but not along it", Source: NoSource,
			},
			Rule{
				Name: "hand room on one side of " + k, Of: k, To: "any", Side: cell.OneSide, Gap: 150, Over: Laying, Basis: Practice,
				Why: "one long side must be reached by hand to lay and tie cables", Source: NoSource,
			},
		)
	}
	rules = append(rules,
		Rule{
			Name: "hot pipe to cables", Of: "hot", To: "electrical", Side: cell.Around, Gap: 150, Over: Laying, Basis: Practice,
			Why: "cables lose rating and life beside heat; BS 7671:2018 528.3.1 asks for distance or a shield and gives no figure (from memory)", Source: NoSource,
		},
		Rule{
			Name: "wet above electrical", Of: "electrical", To: "wet", Side: cell.Above, Told: true, Basis: Law,
			Why:    "wiring below a service that can drip is to be protected",
			Source: "BS 7671:2018 528.3.2 (from memory)",
		},
		Rule{
			Name: "power to data", Of: "power", To: "data", Side: cell.Around, Gap: Segregated, Over: Laying, Basis: Law,
			Formula: "S x P by class, containment and circuits, rounded up",
			Why:     "power cables that run beside data cables disturb them",
			Source:  "EN 50174-2:2009 and later, tables of S and P, as quoted in an electrician's pocket book of 2017",
		},
		Rule{
			Name: "power to data, least", Of: "power", To: "data", Side: cell.Around, Gap: catalogue.UKMinimum, Over: Laying, Basis: Practice,
			Why:    "power and telecommunication cables without a divider keep apart whatever S x P gives",
			Source: "BS 6701 (from memory)",
		},
		Rule{
			Name: "gas to electrical", Of: "gas", To: "electrical", Side: cell.Around, Gap: 25, Basis: Law,
			Why:    "a fault on a cable must not reach the gas pipe",
			Source: "BS 6891:2005 8.16.2 b and :2015, as quoted on an installers' page and in course notes; unless separated by insulating material",
		},
		Rule{
			Name: "luminaire lift-out", Of: "recessed light fitting", To: "any", Side: cell.Above, Gap: 50, Basis: Practice,
			Why: "a recessed fitting is lifted to be taken out of the ceiling", Source: NoSource,
		},
		Rule{
			Name: "room round a service in an opening", For: InOpenings, Of: "any", To: "structure", Side: cell.Around, Gap: 25, Basis: Practice,
			Why:    "room to pass, insulate and seal a service in an opening through a beam or a wall, or in a hole to be made; an opening's own margin goes before it",
			Source: NoSource,
		},
		Rule{
			Name: "reach from a hatch", For: OfReach, Of: "any", To: "ceiling", Side: cell.Below, Gap: 600, Basis: Practice,
			Why:    "what needs access over a ceiling that does not lift out needs a hatch whose middle is no further away than an arm reaches, by a way that an arm of 150 can take; through a hatch of 450 or more 300 further",
			Source: NoSource,
		},
		Rule{
			Name: "supports at the usual spacing", For: OfSupports, Of: "any", To: "any", Side: cell.Around, Gap: 0, Basis: Practice,
			Why: "rods and channels take room and need something to hang from; until somebody sets them out they are checked at the usual " +
				"spacing, the first within 300 of an end or a corner",
			Source: NoSource,
		},
	)
	return rules
}

// target is what one end of a rule names.
type Target struct {
	Word     string
	Rank     int // kind 4, service 3, trade 2, group 1, any 0
	recessed bool
}

// targets reads the word of one end of a rule; ok is false where nobody knows the word.
//
// A group's own word means the group. Else the word's own class counts ("duct" is a kind, although
// people also call the trade so), and only for a spelling that is nobody's own word all classes that
// spell it so. A word may be the own word of two classes ("lighting"): both count.
//
// What else does for a trade in a table does here too: "gas pipework", "duct fittings level 2".
func targets(text string) ([]Target, bool) {
	word, recessed := strings.CutPrefix(plainWords(text), "recessed ")
	var own, spelt []Target
	add := func(canonical string, rank int) {
		t := Target{canonical, rank, recessed}
		if strings.EqualFold(canonical, word) {
			own = append(own, t)
		} else {
			spelt = append(spelt, t)
		}
	}
	if g, ok := vocabulary.GroupWord(word); ok {
		r := 1
		if g == vocabulary.Any {
			r = 0
		}
		if g == word {
			return []Target{{g, r, recessed}}, true
		}
		add(g, r)
	}
	if word == "soffit" {
		return []Target{{word, 4, recessed}}, true // what openings and findings call the underside of the slab
	}
	if e, ok := vocabulary.KindWord(word); ok {
		add(e.Word, 4)
	}
	if e, ok := vocabulary.ServiceWord(word); ok {
		add(e.Word, 3)
	}
	if e, ok := vocabulary.TradeWord(word); ok {
		add(e.Word, 2)
	}
	if len(own) > 0 {
		return own, true
	}
	if len(spelt) == 0 {
		// As a row's trade is read: a word of any class in it says what it is, the most specific first.
		trade, kind, _ := vocabulary.TradeOfFile(word)
		service, isService := vocabulary.ServiceOfFile(word)
		switch {
		case kind != "":
			add(kind, 4)
		case isService:
			add(service, 3)
		case trade != "":
			add(trade, 2)
		}
		spelt = append(spelt, own...)
	}
	return spelt, len(spelt) > 0
}

// plainWords returns a text in lower case with single blanks for what parts its words.
func plainWords(text string) string {
	return strings.Join(strings.Fields(strings.NewReplacer("-", " ", "_", " ").Replace(strings.ToLower(text))), " ")
}

// meets returns the highest rank with which the targets name the character, -1 for not at all.
func Meets(ts []Target, c *void.Character) int {
	best := -1
	for _, t := range ts {
		hit := false
		switch t.Rank {
		case 4:
			hit = c.Kind == t.Word
		case 3:
			hit = c.Service == t.Word
		case 2:
			hit = c.Trade == t.Word
		case 1:
			hit = c.In(t.Word)
		case 0:
			hit = true
		}
		if hit && (!t.recessed || c.Recessed) && t.Rank > best {
			best = t.Rank
		}
	}
	return best
}

// ruleSet is the rules in force for one check.
type Set struct {
	Rules    []Rule
	Of, To   [][]Target
	Tiles    []int // rules of the tiles
	Opening  Rule
	Reach    Rule
	Support  *Rule // nil where supports are not checked
	Warnings []void.Problem
	Problems []void.Problem // of rows that ask nothing

	Traits          []Trait
	alikeTo         map[string]int32 // trait by what rules see of it
	TraitOf         []int32          // by character
	Ceiling, Soffit int32            // the traits of a bay's ceiling and soffit
	mu              sync.Mutex
	choices         map[[2]int32]*Choice
}

// newRuleSet reads a project's rows and puts them before the built-in rules. firm leaves out what
// rests on practice.
func New(p *void.Project, builtIn []Rule, firm bool) *Set {
	s := &Set{}
	for i := range p.Gaps {
		if r, ok := s.fromRow(p, &p.Gaps[i]); ok {
			s.Rules = append(s.Rules, r)
		}
	}
	s.Rules = append(s.Rules, builtIn...)
	kept := s.Rules[:0]
	for _, r := range s.Rules {
		if firm && r.Basis == Practice {
			s.name(&r)
			continue
		}
		kept = append(kept, r)
	}
	s.Rules = kept
	for i := range s.Rules {
		r := &s.Rules[i]
		of, ok := targets(r.Of)
		s.name(r)
		switch r.For {
		case InOpenings:
			s.Opening.Gap = r.Gap
		case OfReach:
			s.Reach.Gap = r.Gap
		case OfSupports:
			own := *r
			s.Support = &own
		case OfTiles:
			s.Tiles = append(s.Tiles, i)
			ok = true
			if r.Side != cell.Above {
				s.Warnings = append(s.Warnings, void.Problem{
					File: p.Files[r.At.File], Line: int(r.At.Line), Cell: "side", What: "tiles ask for room above them alone: the rule applies to nothing",
				})
			}
		}
		if !ok {
			of = s.unknown(p, r, "of", r.Of)
		}
		to, ok := targets(r.To)
		if !ok {
			to = s.unknown(p, r, "to", r.To)
		}
		s.Of, s.To = append(s.Of, of), append(s.To, to)
		if r.Side == cell.OneSide && r.Row != "" && len(of) > 0 && of[0].Rank == 4 {
			if e, known := vocabulary.KindWord(of[0].Word); known && e.Item {
				s.Warnings = append(s.Warnings, void.Problem{
					File: p.Files[r.At.File], Line: int(r.At.Line), Cell: "side",
					What: fmt.Sprintf("one side is a side along a length: it applies to no %s given as an item", e.Word),
				})
			}
		}
	}
	return s
}

// Told reports whether a problem or warning of the project is one of the rules', and whether for it a row asks nothing; its column is
// looked up when it is shown. A nil set told nothing.
func (s *Set) Told(pr *void.Problem) (told, missing bool) {
	if s == nil {
		return false, false
	}
	plain := *pr
	plain.Column = 0
	missing = slices.Contains(s.Problems, plain)
	return missing || slices.Contains(s.Warnings, plain), missing
}

// RowsMissing returns how many rows ask nothing.
func (s *Set) RowsMissing() int {
	lines := map[int]bool{}
	for i := range s.Problems {
		lines[s.Problems[i].Line] = true
	}
	return len(lines)
}

// name keeps what a rule of openings or of reach is called, whether it asks for anything or not: what a row asks itself is told by
// that name.
func (s *Set) name(r *Rule) {
	own := *r
	own.Gap = 0
	switch r.For {
	case InOpenings:
		s.Opening = own
	case OfReach:
		s.Reach = own
	}
}

// tilesFor returns the rule of the tiles towards a thing, chosen as the sides of pairs are; nil for none.
func (s *Set) TilesFor(c *void.Character) *Rule {
	var best *Rule
	rank := -1
	for _, i := range s.Tiles {
		r := &s.Rules[i]
		n := Meets(s.To[i], c)
		if n < 0 || r.Side != cell.Above {
			continue
		}
		own := best == nil || (r.Row != "") && best.Row == "" || (r.Row != "") == (best.Row != "") && (n > rank || n == rank && r.Gap > best.Gap)
		if own && (best == nil || best.Row == "" || r.Row != "") {
			best, rank = r, n
		}
	}
	return best
}

// unknown takes a word that nobody knows as the very kind, service or trade that some rows may use.
func (s *Set) unknown(p *void.Project, r *Rule, column, word string) []Target {
	w := strings.ToLower(strings.Join(strings.Fields(word), " "))
	for i := range p.Characters() {
		c := p.Character(int32(i))
		switch w {
		case c.Kind:
			return []Target{{w, 4, false}}
		case c.Service:
			return []Target{{w, 3, false}}
		case c.Trade:
			return []Target{{w, 2, false}}
		}
	}
	known := append(vocabulary.Kinds(), vocabulary.Services()...)
	known = append(append(known, vocabulary.Trades()...), vocabulary.Groups()...)
	hint := ""
	if n, ok := vocabulary.Nearest(word, known); ok {
		hint = fmt.Sprintf("did you mean %q?", n)
	}
	s.Warnings = append(s.Warnings, void.Problem{
		File: p.Files[r.At.File], Line: int(r.At.Line), Cell: column,
		What: fmt.Sprintf("%q is no kind, service, trade or group, and no row uses it: the rule applies to nothing", word), Hint: hint,
	})
	return nil
}

func (s *Set) fromRow(p *void.Project, g *void.GapRow) (Rule, bool) {
	ok := true
	bad := func(column, what, want, hint string) {
		s.Problems = append(s.Problems, void.Problem{
			File: p.Files[g.At.File], Line: int(g.At.Line), Cell: column, What: what, Want: want, Hint: hint,
		})
		ok = false
	}
	r := Rule{
		Of: strings.ToLower(strings.TrimSpace(g.Of.Text)), To: strings.ToLower(strings.TrimSpace(g.To.Text)), Side: g.Side.Is,
		Gap: g.Gap.MM, Told: g.Gap.Told, Over: g.Over.MM, Why: g.Why.Text, Source: g.Source.Text,
		Row: p.FileLine(g.At), At: g.At, Basis: Practice,
	}
	if r.Of == "tiles" || r.Of == "tile" {
		r.For = OfTiles
	}
	if r.Of == "" {
		bad("of", "empty", "a kind, a service, a trade or a group", "")
	}
	if r.To == "" {
		bad("to", "empty", "a kind, a service, a trade or a group", "")
	}
	if r.Side == cell.NoSide {
		r.Side = cell.Around
	}
	if r.Side > cell.OneSide {
		bad("side", fmt.Sprintf("%q is not the side of a rule", g.Side.Text), "around, above, below, beside or one side", "")
	}
	if g.Gap.Text == "" {
		bad("gap", "empty", "millimetres, or told", "")
	}
	if r.Gap < 0 || r.Gap > MostGap {
		bad("gap", fmt.Sprintf("%q is not a gap", g.Gap.Text), "millimetres, from 0 to 10 m", "")
	}
	if r.Over < 0 {
		bad("over", fmt.Sprintf("%q is negative", g.Over.Text), "millimetres along of", "")
	}
	if r.Told && r.Side != cell.Above && r.Side != cell.Below {
		bad("gap", "told is for what lies above or below", "side above or below", "")
	}
	switch b := Basis(strings.ToLower(strings.TrimSpace(g.Basis.Text))); b {
	case "":
	case Law, Maker, Practice:
		r.Basis = b
	case "standard", "code":
		r.Basis = Law
	default:
		bad("basis", fmt.Sprintf("%q is not what a rule rests on", g.Basis.Text), "law, maker or practice", "")
	}
	if r.Told && r.Side == cell.Below {
		r.Of, r.To, r.Side = r.To, r.Of, cell.Above // one relation: what is below is to be protected
	}
	r.Name = fmt.Sprintf("%s %s %s", r.Of, sideWords(r.Side), r.To)
	return r, ok
}

// MostGap bounds a rule's gap, mm: more than any rule asks, and it bounds the search.
const MostGap = 10000

func sideWords(s cell.Towards) string {
	switch s {
	case cell.Above:
		return "clear above to"
	case cell.Below:
		return "clear below to"
	case cell.Beside:
		return "clear beside to"
	case cell.OneSide:
		return "clear on one side to"
	}
	return "clear around to"
}

// use is a rule that won a side for a pair of characters.
type Use struct {
	Rule  *Rule
	Gap   float64 // what it asks of the two, mm
	Over  float64 // mm along of for which they must be closer than that before it counts
	OfA   bool    // of is the first of the pair
	Valid bool
}

// choice is what a pair of characters (a, b) asks of each other.
type Choice struct {
	Around, Beside Use
	Over, Under    Use // b over a; b under a
	OneA, OneB     Use // one side of a towards b; one side of b towards a
	ToldOver       Use // told: b over a
	ToldUnder      Use // told: b under a
	Need           float64
	Warn           string // why a rule could not be worked out
}

// atOnce returns the choice with its rules counting over any length.
func (c *Choice) AtOnce() *Choice {
	n := *c
	for _, u := range []*Use{&n.Around, &n.Beside, &n.Over, &n.Under} {
		u.Over = 0
	}
	return &n
}

// only returns the choice with one of its rules of two bodies alone.
func (c *Choice) Only(rule *Rule) *Choice {
	keep := func(u Use) Use {
		if u.Valid && u.Rule.Name == rule.Name && u.Rule.Row == rule.Row {
			return u
		}
		return Use{}
	}
	return &Choice{Around: keep(c.Around), Beside: keep(c.Beside), Over: keep(c.Over), Under: keep(c.Under), Need: c.Need}
}

// swapped returns the choice as seen from the other of the pair.
func (c *Choice) Swapped() *Choice {
	turn := func(u Use) Use { u.OfA = !u.OfA; return u }
	return &Choice{
		Around: turn(c.Around), Beside: turn(c.Beside), Over: turn(c.Under), Under: turn(c.Over),
		OneA: turn(c.OneB), OneB: turn(c.OneA), ToldOver: turn(c.ToldUnder), ToldUnder: turn(c.ToldOver),
		Need: c.Need, Warn: c.Warn,
	}
}

// offer is the rule that is best so far for one side of a pair.
type offer struct {
	Use
	own  bool // the project's
	rank int  // how specific it is
}

// take takes a rule where it goes before what is there: the project's own, then the more specific, then the larger gap.
func (o *offer) take(r *Rule, gap float64, ofA bool, rank int) {
	own := r.Row != ""
	if !o.Valid || own && !o.own || own == o.own && (rank > o.rank || rank == o.rank && gap > o.Gap+void.Hair) {
		*o = offer{Use{Rule: r, Gap: gap, Over: r.Over, OfA: ofA, Valid: true}, own, rank}
	}
}

// choose picks the winning rule of each side for a pair of characters.
func (s *Set) choose(a, b *void.Character) Choice {
	var c Choice
	var around, beside, over, under, oneA, oneB, toldOver, toldUnder offer
	for i := range s.Rules {
		r := &s.Rules[i]
		if r.For != OfPairs {
			continue
		}
		for _, ofA := range [2]bool{true, false} {
			x, y := a, b
			if !ofA {
				x, y = b, a
			}
			m, n := Meets(s.Of[i], x), Meets(s.To[i], y)
			if x.Power && y.Data || x.Data && y.Power {
				// All that carry power, and all that carry data: lighting and fire alarm are no less, in whosever rule.
				m, n = max(m, carrying(s.Of[i], x)), max(n, carrying(s.To[i], y))
			}
			if m < 0 || n < 0 {
				continue
			}
			gap := r.Gap
			if r.Formula != "" {
				g, why := segregation(x, y)
				if why != "" {
					// Told where the two are cables or carry them: a light fitting has no circuits to count.
					if carries(x) && carries(y) {
						c.Warn = why
						c.Need = Segregated
					}
					continue
				}
				gap = g
			}
			// Where the rule looks upwards or downwards, the other is over a when a asks above, or when b asks below.
			overA := (r.Side == cell.Above) == ofA
			to := &around
			switch {
			case r.Side == cell.Beside:
				to = &beside
			case r.Side == cell.OneSide && ofA:
				to = &oneA
			case r.Side == cell.OneSide:
				to = &oneB
			case r.Side == cell.Around:
			case r.Told && overA:
				to = &toldOver
			case r.Told:
				to = &toldUnder
			case overA:
				to = &over
			default:
				to = &under
			}
			to.take(r, gap, ofA, m+n)
		}
	}
	c.Around, c.Beside, c.Over, c.Under = around.Use, beside.Use, over.Use, under.Use
	c.OneA, c.OneB, c.ToldOver, c.ToldUnder = oneA.Use, oneB.Use, toldOver.Use, toldUnder.Use
	for _, u := range []Use{c.Around, c.Beside, c.Over, c.Under, c.OneA, c.OneB} {
		if u.Valid && u.Gap > c.Need {
			c.Need = u.Gap
		}
	}
	return c
}

// segregated is how near power and data must be for a blank cell to matter, mm: the most that S x P asks
// for the classes that are sure.
const Segregated = 600

// carrying returns the rank with which power or data among the targets names what carries it, -1 for not at all.
func carrying(ts []Target, c *void.Character) int {
	for _, t := range ts {
		if t.Rank == 3 && (!t.recessed || c.Recessed) && (t.Word == "power" && c.Power || t.Word == "data" && c.Data) {
			return t.Rank
		}
	}
	return -1
}

// carries reports whether a thing is cables or carries them.
func carries(c *void.Character) bool { return c.Entry.Containment }

// barrierOf returns what a containment's kind counts as between power and data.
func barrierOf(kind string) catalogue.Barrier {
	switch kind {
	case "basket":
		return catalogue.OpenMetallic
	case "tray", "tray fitting":
		return catalogue.PerforatedMetallic
	case "trunking", "conduit", "bus bar":
		return catalogue.SolidMetallic
	}
	return catalogue.NoBarrier
}

// segregation works out S x P for power x beside data y; the text says why it cannot.
//
// The containment of the two that shields less counts: S is tabled by the containment that the cables
// are in, and which of the two it means is not sure.
func segregation(x, y *void.Character) (float64, string) {
	if y.Class == "" || x.Circuits == 0 {
		missing := "class of the data cables and circuits of the power cables are"
		switch {
		case y.Class != "":
			missing = "circuits of the power cables is"
		case x.Circuits != 0:
			missing = "class of the data cables is"
		}
		return 0, "power to data is not worked out: " + missing + " blank"
	}
	sep, ok := catalogue.Separation(y.Class, min(barrierOf(x.Kind), barrierOf(y.Kind)), x.Circuits)
	if !ok {
		return 0, fmt.Sprintf("power to data is not worked out for class %q and %g circuits", y.Class, x.Circuits)
	}
	if !sep.Sure {
		return 0, fmt.Sprintf("power to data is not worked out for class %q: its figures are from memory (they would ask %g)", y.Class, sep.MM)
	}
	return sep.MM, ""
}

// Firm returns the rules without those that rest on practice, or all of them where firm is false.
func Firm(rules []Rule, firm bool) []Rule {
	var out []Rule
	for _, r := range rules {
		if !firm || r.Basis != Practice {
			out = append(out, r)
		}
	}
	return out
}
