package model

import (
	"cmp"
	"fmt"
	"maps"
	"slices"
	"strings"

	"voidline/io/ifc"
	"voidline/void"
	"voidline/void/vocabulary"
)

// mostTold is how many of one kind are told one by one; of the rest the number is told.
const mostTold = 8

// teller gathers what is to be told.
type teller struct {
	head     []string            // first of all
	lines    map[string][]string // by topic
	more     map[string]int
	counted  map[string]map[string]int
	problems []void.Problem
}

// first tells something before all else.
func (t *teller) first(format string, a ...any) { t.head = append(t.head, fmt.Sprintf(format, a...)) }

// add tells something under a topic, always.
func (t *teller) add(topic, format string, a ...any) {
	if t.lines == nil {
		t.lines, t.more = map[string][]string{}, map[string]int{}
	}
	t.lines[topic] = append(t.lines[topic], fmt.Sprintf(format, a...))
}

// at tells something of an element, with its line; of many the first, and how many more there are.
func (t *teller) at(topic string, m *ifc.Model, e *ifc.Element, format string, a ...any) {
	if len(t.lines[topic]) >= mostTold {
		t.more[topic]++
		return
	}
	name := e.Name
	if name == "" {
		name = e.GUID
	}
	t.add(topic, "%s:%d: %s %s %s", m.Name, m.LineOf(e), strings.ToLower(strings.TrimPrefix(e.Kind(), "IFC")), name, fmt.Sprintf(format, a...))
}

// count tells how often something was so.
func (t *teller) count(topic, format string, a ...any) {
	text := format
	if len(a) > 0 {
		text = fmt.Sprintf(format, a...)
	}
	if t.counted == nil {
		t.counted = map[string]map[string]int{}
	}
	if t.counted[topic] == nil {
		t.counted[topic] = map[string]int{}
	}
	t.counted[topic][text]++
}

// problem tells what is wrong with a file.
func (t *teller) problem(err error) {
	if p, ok := err.(void.Problem); ok {
		t.problems = append(t.problems, p)
		return
	}
	t.problems = append(t.problems, void.Problem{What: err.Error()})
}

// count is what became of the elements of a class.
type count struct {
	class   string
	n       int
	becames map[string]int
}

func (c *count) told() ClassCount {
	out := ClassCount{Class: c.class, Count: c.n}
	what := slices.SortedFunc(maps.Keys(c.becames), func(x, y string) int { return cmp.Or(cmp.Compare(c.becames[y], c.becames[x]), cmp.Compare(x, y)) })
	for _, w := range what {
		out.Became = append(out.Became, fmt.Sprintf("%d %s", c.becames[w], w))
	}
	return out
}

// Summary is what an import has to tell.
type Summary struct {
	Head    []string // first of all
	Classes []ClassCount
	All     ClassCount // of all classes: taken, and each way of not being taken
	Mapped  []MappedLine
	Open    []OpenLine // what no line fits
	Told    []string   // the rest, by topic
}

// ClassCount is what became of the elements of a class.
type ClassCount struct {
	Class  string
	Count  int
	Became []string
}

// MappedLine is a line of the mapping with how many elements it took.
type MappedLine struct {
	Which, Becomes, From string
	Took                 int
}

// OpenLine is what no line of the mapping fits: elements of a class and a name.
type OpenLine struct {
	Class, Predefined, Name string
	Count                   int
}

// summary puts together what is to be told.
func (b *building) summary(im *Import) {
	s := &im.Summary
	none := 0
	for _, v := range b.bays {
		if v.over == nil {
			none++
		}
	}
	s.Head = append(s.Head, fmt.Sprintf("%d of %d bays have no ceiling", none, len(b.bays)))
	if none > 0 || len(b.bays) == 0 {
		s.Head[0] += ": unchecked"
	}
	s.Head[0] += "."
	for _, h := range b.told.head {
		s.Head = append(s.Head, h+".")
	}
	by := map[string]*count{}
	open := map[OpenLine]int{}
	all := &count{class: "All", becames: map[string]int{}}
	for _, t := range b.things {
		class := vocabulary.ClassName(t.el.Kind())
		c := by[class]
		if c == nil {
			c = &count{class: class, becames: map[string]int{}}
			by[class] = c
		}
		c.n++
		became := t.became
		if became == "" {
			became = "read"
			if t.line != nil && t.line.Becomes == vocabulary.AsCover {
				became = "insulation of what it is on"
			}
		}
		c.becames[became]++
		all.n++
		switch {
		case strings.HasPrefix(became, leftOut):
			became = "left out"
		case became != notMapped && became != inParts:
			became = "taken"
		}
		all.becames[became]++
		if t.became == notMapped {
			name := cmp.Or(t.el.TypeName, t.el.ObjectType, family(t.el.Name))
			open[OpenLine{class, t.el.Predefined, name, 0}]++
		}
	}
	for _, c := range by {
		s.Classes = append(s.Classes, c.told())
	}
	s.All = all.told()
	slices.SortFunc(s.Classes, func(x, y ClassCount) int { return cmp.Or(cmp.Compare(y.Count, x.Count), cmp.Compare(x.Class, y.Class)) })
	for _, l := range b.mapping.lines {
		if l.took == 0 && !l.user {
			continue
		}
		m := MappedLine{Took: l.took, From: "built in"}
		if l.user {
			m.From = fmt.Sprintf("%s:%d", b.user, l.at)
		}
		var which []string
		for _, w := range []string{l.Class, l.Predefined} {
			if w != "" {
				which = append(which, w)
			}
		}
		if l.Name != "" {
			which = append(which, "called "+l.Name)
		}
		if l.System != "" {
			which = append(which, "of "+l.System)
		}
		m.Which = strings.Join(which, ", ")
		m.Becomes = l.Becomes
		if l.Trade != "" {
			m.Becomes = fmt.Sprintf("%s: %s, %s", l.Becomes, l.Trade, l.Kind)
		}
		s.Mapped = append(s.Mapped, m)
	}
	for o, n := range open {
		o.Count = n
		s.Open = append(s.Open, o)
	}
	slices.SortFunc(s.Open, func(x, y OpenLine) int {
		return cmp.Or(cmp.Compare(x.Class, y.Class), cmp.Compare(y.Count, x.Count), cmp.Compare(x.Name, y.Name), cmp.Compare(x.Predefined, y.Predefined))
	})
	topics := map[string]bool{}
	for k := range b.told.lines {
		topics[k] = true
	}
	for k := range b.told.counted {
		topics[k] = true
	}
	var names []string
	for k := range topics {
		names = append(names, k)
	}
	slices.Sort(names)
	for _, k := range names {
		var counted []string
		for text := range b.told.counted[k] {
			counted = append(counted, text)
		}
		slices.Sort(counted)
		for _, text := range counted {
			s.Told = append(s.Told, fmt.Sprintf("%s: %d", text, b.told.counted[k][text]))
		}
		s.Told = append(s.Told, b.told.lines[k]...)
		if n := b.told.more[k]; n > 0 {
			s.Told = append(s.Told, fmt.Sprintf("and %d more (%s)", n, k))
		}
	}
	im.Problems = void.Bounded(b.told.problems)
}

// family is the part of an element's name that others of its kind share: what stands before the last colon.
func family(name string) string {
	if i := strings.LastIndexByte(name, ':'); i > 0 {
		return name[:i]
	}
	return name
}
