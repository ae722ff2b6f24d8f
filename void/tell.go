package void

import (
	"maps"
	"slices"
)

// teller says which part of the work told something, so that it can be forgotten when that part is done again.
type teller struct {
	part part
	row  int32 // the zone, or the row of the table
}

type part uint8

const (
	byReader part = iota // told while reading, by others than Resolve, or of a row that is missing for good: it stays
	byFixed              // levels, grid, build-ups, hangers
	byBays
	byOver // bays that lie over each other
	byZone
	byJoin
	byWord // the first zone that says an unknown word
	byOpening
	bySpace
	bySurvey // rows of surveyed.csv
	bySupport
	parts
)

// tellings is what was told by those who may have to be forgotten. The lists of the project may be put in another order
// or be given columns by others, so what is forgotten is found in them by what it says.
type tellings map[teller]heard

// heard is what was told by one.
type heard struct {
	problems, warnings []Problem
	notes              []Note
}

func (p *Project) problem(at At, column, what, want, hint string) {
	if what == leans {
		return
	}
	p.addProblem(p.say(at, column, what, want, hint), p.by)
}

// troubled is problem of a cell that cannot be worked out.
func (p *Project) troubled(at At, column string, why trouble) {
	if why.what != leans {
		p.addProblem(p.sayTrouble(at, column, why), p.by)
	}
}

func (p *Project) sayTrouble(at At, column string, why trouble) Problem {
	pr := p.say(at, column, why.what, why.want, why.hint)
	pr.Far, pr.guess = why.far, why.guess
	return pr
}

func (p *Project) addProblem(pr Problem, by teller) {
	if p.tallies.full(&pr) {
		p.Problems = p.onlyCount(p.Problems, p.tallies, &pr, unkept{by: by})
		return
	}
	pr = pr.guessed()
	p.Problems = p.tallies.add(p.Problems, pr)
	if by.part != byReader {
		h := p.told[by]
		h.problems = append(h.problems, pr)
		p.told[by] = h
	}
}

// unkept is who told what was counted and not kept, and of which pile.
type unkept struct {
	by      teller
	pile    int32 // see Project.piles
	warning bool
}

// counts is how many each told.
type counts map[unkept]int32

// onlyCount counts a problem or a warning that is not kept, and for whom, if it may be forgotten.
func (p *Project) onlyCount(list []Problem, t tallies, pr *Problem, of unkept) []Problem {
	if of.by.part != byReader {
		k, there := p.piles[pr.pile()]
		if !there {
			k = int32(len(p.piles))
			p.piles[pr.pile()] = k
		}
		of.pile = k
		p.unkept[of] += int32(max(1, pr.More))
	}
	return t.add(list, *pr)
}

// discount forgets what of one was counted and not kept.
func (p *Project) discount(by teller) {
	if len(p.unkept) == 0 {
		return
	}
	for s, k := range p.piles {
		for _, warning := range [...]bool{false, true} {
			of := unkept{by, k, warning}
			n := int(p.unkept[of])
			switch {
			case n == 0:
				continue
			case warning:
				p.Warnings = p.warned.count(p.Warnings, s, -n)
			default:
				p.Problems = p.tallies.count(p.Problems, s, -n)
			}
			delete(p.unkept, of)
		}
	}
}

// guess looks for a hint to a problem of a row, unless the problem will only be counted.
func (p *Project) guess(at At, near func() string) string {
	if pr := p.say(at, "", "", "", ""); p.tallies.full(&pr) {
		return ""
	}
	return near()
}

func (p *Project) warn(at At, column, what, want, hint string) {
	p.addWarning(p.say(at, column, what, want, hint), p.by)
}

func (p *Project) addWarning(pr Problem, by teller) {
	if p.warned.full(&pr) {
		p.Warnings = p.onlyCount(p.Warnings, p.warned, &pr, unkept{by: by, warning: true})
		return
	}
	pr = pr.guessed()
	p.Warnings = p.warned.add(p.Warnings, pr)
	if by.part != byReader {
		h := p.told[by]
		h.warnings = append(h.warnings, pr)
		p.told[by] = h
	}
}

func (p *Project) note(n Note) {
	p.Told = append(p.Told, n)
	if p.by.part != byReader {
		h := p.told[p.by]
		h.notes = append(h.notes, n)
		p.told[p.by] = h
	}
}

// forget takes out what was told by some. The order of the rest stays.
func (p *Project) forget(some ...teller) {
	var gone heard
	for _, by := range some {
		p.discount(by)
		if h, ok := p.told[by]; ok {
			gone.problems, gone.warnings, gone.notes = append(gone.problems, h.problems...), append(gone.warnings, h.warnings...), append(gone.notes, h.notes...)
			delete(p.told, by)
		}
	}
	p.Problems = p.tallies.less(p.Problems, gone.problems)
	p.Warnings = p.warned.less(p.Warnings, gone.warnings)
	p.Told = without(p.Told, gone.notes, func(n Note) Note { return n })
}

// Unsay takes those problems and warnings out of the lists that fit: others than Resolve told them, and know better now.
func (p *Project) Unsay(fits func(*Problem) bool) {
	p.Problems = slices.DeleteFunc(p.Problems, func(pr Problem) bool { return fits(&pr) })
	p.Warnings = slices.DeleteFunc(p.Warnings, func(pr Problem) bool { return fits(&pr) })
}

// plainProblem returns a problem without its column, which is looked up when it is shown.
func plainProblem(pr Problem) Problem {
	pr.Column = 0
	return pr
}

// without takes what is gone out of a list, as often as it is gone.
func without[T comparable](list, gone []T, plain func(T) T) []T {
	if len(gone) == 0 {
		return list
	}
	times := map[T]int{}
	for _, v := range gone {
		times[plain(v)]++
	}
	return slices.DeleteFunc(list, func(v T) bool {
		v = plain(v)
		if times[v] == 0 {
			return false
		}
		times[v]--
		return true
	})
}

// forgetParts takes out what parts of the work told.
func (p *Project) forgetParts(these ...part) {
	some := map[teller]bool{}
	for by := range p.told {
		some[by] = slices.Contains(these, by.part)
	}
	for of := range p.unkept {
		some[of.by] = slices.Contains(these, of.by.part)
	}
	maps.DeleteFunc(some, func(_ teller, is bool) bool { return !is })
	p.forget(slices.Collect(maps.Keys(some))...)
}

// say words a problem of a row.
func (p *Project) say(at At, column, what, want, hint string) Problem {
	pr := Problem{Line: int(at.Line), Cell: column, What: what, Want: want, Hint: hint}
	if at.Line > 0 && int(at.File) < len(p.Files) {
		pr.File = p.Files[at.File]
	}
	return pr
}

// tellWord warns of an unknown word only the first time it is met; zone is -1 where its row is missing.
func (p *Project) tellWord(at At, zone int32, w *unknownWord) {
	if _, there := p.wordTold[w.key()]; there {
		return
	}
	p.wordTold[w.key()] = zone
	if w.column == "" {
		at = At{File: at.File}
	}
	by := teller{byWord, zone}
	if zone < 0 {
		by = teller{}
	}
	pr := p.say(at, w.column, w.what, "", w.hint)
	pr.guess = &guess{w.near}
	p.addWarning(pr, by)
}

// unsay takes back what a zone told of a word.
func (p *Project) unsay(w *unknownWord, zone int32) {
	delete(p.wordTold, w.key())
	by := teller{byWord, zone}
	h := p.told[by]
	k := slices.IndexFunc(h.warnings, func(pr Problem) bool { return pr.Cell == w.column && pr.What == w.what })
	if k < 0 { // it was only counted
		s := pile{file: p.Files[p.Zone(int(zone)).At().File]}
		if of := (unkept{by, p.piles[s], true}); p.unkept[of] > 0 {
			p.unkept[of]--
			p.Warnings = p.warned.count(p.Warnings, s, -1)
		}
		return
	}
	p.Warnings = p.warned.less(p.Warnings, h.warnings[k:k+1])
	h.warnings = slices.Delete(slices.Clone(h.warnings), k, k+1)
	p.told[by] = h
}

// renumber follows zones whose numbers changed because some, ascending, were dropped.
func (p *Project) renumber(dropped []int32) {
	p.typed = p.typed.renumbered(dropped)
	for word, zone := range p.wordTold {
		k, there := slices.BinarySearch(dropped, zone)
		if there {
			p.wordTold[word] = -1
		} else if zone >= 0 {
			p.wordTold[word] = zone - int32(k)
		}
	}
	follow := func(by *teller) (there bool) {
		if by.part != byZone && by.part != byJoin && by.part != byWord {
			return true
		}
		k, gone := slices.BinarySearch(dropped, by.row)
		by.row -= int32(k)
		return !gone // else its row is missing for good: what it told stays
	}
	was, unkept := p.told, p.unkept
	p.told, p.unkept = tellings{}, counts{}
	for by, h := range was {
		if follow(&by) {
			p.told[by] = h
		}
	}
	for of, n := range unkept {
		if follow(&of.by) {
			p.unkept[of] = n
		}
	}
}
