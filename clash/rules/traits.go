package rules

import (
	"fmt"
	"math"
	"strings"

	"voidline/void"
	"voidline/void/vocabulary"
)

// Characters are many, and to the rules most of them are alike: what two of them ask of each other is worked out once for
// the two traits that they have.

// trait is one of the characters that are alike to every rule.
type Trait struct {
	C        *void.Character
	Built    bool // structure
	recessed bool
}

// The characters of what is no zone.
var (
	ceilingChar = void.Character{Trade: "ceilings", Kind: "ceiling", Groups: []string{vocabulary.Ceiling}, Order: 1}
	soffitChar  = void.Character{Trade: "structure", Kind: "soffit", Groups: []string{vocabulary.Structure}, Order: 1}
)

// forget lets go of all traits.
func (s *Set) Forget() {
	s.Traits, s.TraitOf, s.alikeTo, s.choices = nil, nil, map[string]int32{}, map[[2]int32]*Choice{}
	s.Ceiling, s.Soffit = s.alike(&ceilingChar), s.alike(&soffitChar)
}

// learn finds the traits of the project's characters that are new.
func (s *Set) Learn(p *void.Project) {
	for i := len(s.TraitOf); i < p.Characters(); i++ {
		s.TraitOf = append(s.TraitOf, s.alike(p.Character(int32(i))))
	}
}

// alike returns the trait of a character.
func (s *Set) alike(ch *void.Character) int32 {
	var key strings.Builder
	for i := range s.Rules {
		fmt.Fprintf(&key, "%d,%d;", Meets(s.Of[i], ch), Meets(s.To[i], ch))
	}
	fmt.Fprintf(&key, "%v%v%v%v%v", ch.Structure(), ch.Recessed, ch.Power, ch.Data, carries(ch))
	if ch.Power || ch.Data {
		fmt.Fprintf(&key, "%d %g %s", barrierOf(ch.Kind), ch.Circuits, ch.Class)
	}
	k, ok := s.alikeTo[key.String()]
	if !ok {
		k = int32(len(s.Traits))
		s.alikeTo[key.String()] = k
		own := *ch // characters may move when more are added
		s.Traits = append(s.Traits, Trait{&own, ch.Structure(), ch.Recessed})
	}
	return k
}

// choiceOf returns what two traits ask of each other, seen from a.
func (s *Set) Between(a, b int32) *Choice {
	s.mu.Lock()
	defer s.mu.Unlock()
	k := [2]int32{a, b}
	if ch, ok := s.choices[k]; ok {
		return ch
	}
	ch := s.choose(s.Traits[a].C, s.Traits[b].C)
	s.choices[k] = &ch
	return &ch
}

// chooser keeps a worker's own copy of the choices, so that workers do not wait for each other.
type Reader struct {
	s     *Set
	n     int32
	mine  []*Choice // by a*n+b; nil where there are too many traits for a table
	needs []float64 // likewise, NaN where not known yet
}

// tableMost is the number of traits up to which a worker keeps a table of all pairs.
const tableMost = 512

// chooser returns a worker's own table of what traits ask of each other.
func (s *Set) Reader() *Reader {
	h := &Reader{s: s, n: int32(len(s.Traits))}
	if h.n <= tableMost {
		h.mine, h.needs = make([]*Choice, h.n*h.n), make([]float64, h.n*h.n)
		for i := range h.needs {
			h.needs[i] = math.NaN()
		}
	}
	return h
}

func (h *Reader) Between(a, b int32) *Choice {
	if h.mine == nil {
		return h.s.Between(a, b)
	}
	k := a*h.n + b
	if h.mine[k] == nil {
		h.mine[k] = h.s.Between(a, b)
	}
	return h.mine[k]
}

// row returns what a asks of every trait as far as it is known (NaN where not); nil where there is no table.
func (h *Reader) Row(a int32) []float64 {
	if h.mine == nil {
		return nil
	}
	return h.needs[a*h.n : (a+1)*h.n]
}

// need returns how near two traits must be for something to come of them.
func (h *Reader) Need(a, b int32) float64 {
	if h.mine == nil {
		return h.s.needOf(a, b, h.s.Between(a, b))
	}
	k := a*h.n + b
	if math.IsNaN(h.needs[k]) {
		h.needs[k] = h.s.needOf(a, b, h.Between(a, b))
	}
	return h.needs[k]
}

// meetEnds is how near pieces of one run count as meeting, end to end or end to side, mm (design).
const MeetEnds = 50.0

// never is how near two must be of which nothing ever comes.
var Never = math.Inf(-1)

// needOf returns how near two traits must be for something to come of them: not at all for structure and structure.
func (s *Set) needOf(a, b int32, ch *Choice) float64 {
	ta, tb := &s.Traits[a], &s.Traits[b]
	if ta.Built && tb.Built {
		return Never
	}
	if len(s.Tiles) > 0 && ta.recessed != tb.recessed {
		return max(ch.Need, MeetEnds) // what comes down to a fitting in the ceiling is no bar to lifting tiles
	}
	return ch.Need
}

// widest returns the largest gap that any pair of traits can ask.
func (s *Set) Widest() float64 {
	w := float64(MeetEnds)
	for i := range s.Rules {
		r := &s.Rules[i]
		if !r.Told && r.For == OfPairs && r.Gap > w {
			w = r.Gap
		}
	}
	return w
}
