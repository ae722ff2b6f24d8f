package model

import (
	"strings"

	"voidline/io/ifc"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/vocabulary"
)

// line is a line of the mapping, with how many elements it took.
type line struct {
	vocabulary.ClassEntry
	user  bool // of mapping.csv
	at    int  // line in mapping.csv
	took  int
	class string // as it is compared
}

// mapping is what elements become: the user's lines, then the built-in ones.
type mapping struct {
	lines []*line
	of    map[string][]*line // by class, those that name one
	any   []*line            // those that fit any class, all of them the user's
}

// newMapping reads the user's lines and puts them before the built-in ones.
func newMapping(rows []table.MappingRow, file string) (*mapping, []void.Problem) {
	m := &mapping{of: map[string][]*line{}}
	var wrong []void.Problem
	for _, r := range rows {
		l := &line{user: true, at: int(r.At.Line), ClassEntry: vocabulary.ClassEntry{
			Class: r.Class.Text, Predefined: r.Predefined.Text, Name: r.Name.Text, System: r.System.Text, Becomes: strings.ToLower(r.Becomes.Text),
			Trade: r.Trade.Text, Service: r.Service.Text, Kind: r.Kind.Text, Why: "mapping.csv",
		}}
		bad := func(column, what, want string, words []string, text string) {
			p := void.Problem{File: file, Line: l.at, Cell: column, What: what, Want: want}
			if n, ok := vocabulary.Nearest(text, words); ok {
				p.Hint = "did you mean " + n + "?"
			}
			wrong = append(wrong, p)
		}
		if l.Becomes == "" && l.Trade == "" && l.Kind == "" {
			continue // not yet decided
		}
		if l.Class == "" && l.Name == "" && l.System == "" && l.Predefined == "" {
			bad("class", "fits every element", "a class, a name or a system", nil, "")
			continue
		}
		if l.Becomes == "" {
			l.Becomes = vocabulary.AsZone
		}
		known := false
		for _, b := range vocabulary.Becomes() {
			known = known || b == l.Becomes
		}
		if !known {
			bad("becomes", `"`+l.Becomes+`" is not what an element can become`, strings.Join(vocabulary.Becomes(), ", "), vocabulary.Becomes(), l.Becomes)
			continue
		}
		if l.Becomes == vocabulary.AsZone || l.Becomes == vocabulary.AsAbove {
			k, ok := vocabulary.KindWord(l.Kind)
			switch {
			case l.Kind != "" && !ok:
				bad("kind", `"`+l.Kind+`" is no kind`, "a kind of voidline tables kinds", vocabulary.Kinds(), l.Kind)
				continue
			case l.Kind == "" && l.Trade == "":
				bad("trade", "blank", "a trade or a kind", nil, "")
				continue
			case l.Trade == "":
				l.Trade = k.Trade
			case l.Kind == "":
				l.Kind, _ = vocabulary.DefaultKind(l.Trade)
			}
		}
		m.add(l)
	}
	for _, e := range vocabulary.ClassEntries() {
		m.add(&line{ClassEntry: e})
	}
	return m, wrong
}

func (m *mapping) add(l *line) {
	m.lines = append(m.lines, l)
	l.class = strings.ToUpper(l.Class)
	if l.class == "" || strings.Contains(l.class, "*") {
		m.any = append(m.any, l)
		return
	}
	m.of[l.class] = append(m.of[l.class], l)
}

// find returns the line that an element goes by, nil where none fits it.
func (m *mapping) find(e *ifc.Element, systems []ifc.System) *line {
	fits := func(l *line) bool {
		if l.class != "" && !like(l.class, e.Kind()) && !like(l.class, e.Class) {
			return false
		}
		if l.Predefined != "" && !like(l.Predefined, e.Predefined) {
			return false
		}
		if l.Name != "" && !like(l.Name, e.Name) && !like(l.Name, e.TypeName) && !like(l.Name, e.ObjectType) {
			return false
		}
		if l.System != "" {
			for _, s := range systems {
				if like(l.System, s.Name) || like(l.System, s.Predefined) {
					return true
				}
			}
			return false
		}
		return true
	}
	for _, l := range m.any { // the user's, so before the built-in ones
		if fits(l) {
			return l
		}
	}
	lists := [][]*line{m.of[e.Kind()]}
	if e.Class != e.Kind() {
		lists = append(lists, m.of[e.Class])
	}
	for _, user := range []bool{true, false} {
		for _, list := range lists {
			for _, l := range list {
				if l.user == user && fits(l) {
					return l
				}
			}
		}
	}
	return nil
}

// like reports whether a text fits a pattern, in which * stands for anything; case does not count.
func like(pattern, text string) bool {
	p, t := strings.ToLower(strings.TrimSpace(pattern)), strings.ToLower(strings.TrimSpace(text))
	parts := strings.Split(p, "*")
	if len(parts) == 1 {
		return p == t
	}
	if !strings.HasPrefix(t, parts[0]) {
		return false
	}
	t = t[len(parts[0]):]
	last := parts[len(parts)-1]
	for _, part := range parts[1 : len(parts)-1] {
		i := strings.Index(t, part)
		if i < 0 {
			return false
		}
		t = t[i+len(part):]
	}
	return strings.HasSuffix(t, last)
}
