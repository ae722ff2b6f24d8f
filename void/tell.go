package void

import "slices"

// teller says which part of the work told something, so that it can be forgotten when that part is done again.
type teller struct {
	part part
	row  int32 // the zone, or the row of the table
}

type part uint8

const (
	byReader part = iota // told while reading, or by others than Resolve: it stays
	byFixed              // levels, grid, build-ups, hangers
	byBays
	byOver // bays that lie over each other
	byZone
	byJoin
	byWord // the first zone that says an unknown word
	byOpening
	bySpace
	parts
)

// tellers are the tellers of a list from its start on. What lies beyond them was told by others.
type tellers []teller

// mark notes who told the last of n.
func (t *tellers) mark(n int, by teller) {
	for len(*t) < n {
		*t = append(*t, teller{})
	}
	*t = (*t)[:n]
	(*t)[n-1] = by
}

func (p *Project) problem(at At, column, what, want, hint string) {
	if what == leans {
		return
	}
	p.addProblem(p.say(at, column, what, want, hint), p.by)
}

func (p *Project) addProblem(pr Problem, by teller) {
	p.Problems = append(p.Problems, pr)
	p.told.problems.mark(len(p.Problems), by)
}

func (p *Project) warn(at At, column, what, want, hint string) {
	p.addWarning(p.say(at, column, what, want, hint), p.by)
}

func (p *Project) addWarning(pr Problem, by teller) {
	p.Warnings = append(p.Warnings, pr)
	p.told.warnings.mark(len(p.Warnings), by)
}

func (p *Project) note(n Note) {
	p.Told = append(p.Told, n)
	p.told.notes.mark(len(p.Told), p.by)
}

// forget takes out what was told by those that are meant. The order of the rest stays.
func (p *Project) forget(meant func(teller) bool) {
	p.Problems = without(p.Problems, &p.told.problems, meant)
	p.Warnings = without(p.Warnings, &p.told.warnings, meant)
	p.Told = without(p.Told, &p.told.notes, meant)
}

func without[T any](list []T, by *tellers, meant func(teller) bool) []T {
	was := (*by)[:min(len(*by), len(list))]
	*by = was[:0]
	k := 0
	for i := range list {
		if i < len(was) {
			if meant(was[i]) {
				continue
			}
			*by = append(*by, was[i])
		}
		list[k] = list[i]
		k++
	}
	clear(list[k:])
	return list[:k]
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
	p.addWarning(p.say(at, w.column, w.what, "", w.hint), by)
}

// renumber follows zones whose numbers changed because some, ascending, were dropped. What those told stays: their rows
// are missing.
func (p *Project) renumber(dropped []int32) {
	now := func(zone int32) int32 {
		k, there := slices.BinarySearch(dropped, zone)
		if there {
			return -1
		}
		return zone - int32(k)
	}
	for _, t := range []tellers{p.told.problems, p.told.warnings, p.told.notes} {
		for i := range t {
			if t[i].part != byZone && t[i].part != byWord && t[i].part != byJoin {
				continue
			}
			if t[i].row = now(t[i].row); t[i].row < 0 {
				t[i] = teller{}
			}
		}
	}
	for word, zone := range p.wordTold {
		if zone >= 0 {
			p.wordTold[word] = now(zone)
		}
	}
}

// Unsay takes out problems and warnings that others than Resolve have told.
func (p *Project) Unsay(which func(*Problem) bool) {
	p.Problems = unsaid(p.Problems, &p.told.problems, which)
	p.Warnings = unsaid(p.Warnings, &p.told.warnings, which)
}

func unsaid(list []Problem, by *tellers, which func(*Problem) bool) []Problem {
	var kept []Problem
	var of tellers
	for i := range list {
		t := teller{}
		if i < len(*by) {
			t = (*by)[i]
		}
		if t == (teller{}) && which(&list[i]) {
			continue
		}
		kept = append(kept, list[i])
		of = append(of, t)
	}
	*by = of
	return kept
}
