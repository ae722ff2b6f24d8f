package words

import (
	"slices"
	"strconv"
	"strings"

	"voidline/clash/register"
)

// SignedBySite is what a check cannot say of a bay before its ceiling is closed: columns that people sign (common practice, no source).
func SignedBySite() []string {
	return []string{"Tests", "Insulation", "Fire stopping", "Labels", "Inspections", "Signed, date"}
}

// ClosingCaution is what stands over such a table.
const ClosingCaution = "What the tables can say of each bay before its ceiling is closed. \"None open\" is no leave to close it: tests, insulation, fire stopping, labels and inspections are not in the tables, and each has a column to be signed on site."

// closingHeads are the columns that a check fills in.
func closingHeads() []string {
	return []string{"Bay", "Open problems", "Agreed, by", "Holes without an opening", "Joints to put right", "Surveyed"}
}

// closingCells says what a check can say of a bay, as closingHeads has it.
func closingCells(c *register.Closing) []string {
	bay := Name(c.Bay)
	if c.NoCeiling {
		bay += "\nno ceiling given"
	}
	open := "none open"
	if c.Open > 0 {
		open = strconv.Itoa(c.Open)
	}
	agreed := "-"
	if c.Agreed > 0 {
		agreed = strconv.Itoa(c.Agreed)
	}
	if len(c.AgreedBy) > 0 {
		if c.Agreed == 0 {
			agreed = "in part" // other findings of the same problem are open
		}
		agreed += ", " + Clean(strings.Join(c.AgreedBy, ", "))
	}
	holes := "-"
	if n := len(c.Holes); n > 0 {
		var l []string
		for i, h := range c.Holes {
			if i == mostHolesNamed && n > mostHolesNamed+1 {
				l = append(l, "and "+strconv.Itoa(n-i)+" more")
				break
			}
			l = append(l, HoleName(h))
		}
		holes = strconv.Itoa(n) + " (" + strings.Join(l, ", ") + ")"
	}
	surveyed := "no, as drawn"
	if len(c.Surveyed) > 0 {
		surveyed = strings.Join(c.Surveyed, ", ")
		if c.Day != "" {
			surveyed += ", " + Clean(c.Day)
		}
	}
	return []string{bay, open, agreed, holes, orDash(c.Joints), surveyed}
}

// mostHolesNamed is how many holes of a bay are named; of more the first and how many there are.
const mostHolesNamed = 6

// HoleName is what a hole is called by: H12; "-" where it has no number.
func HoleName(number int) string {
	if number == 0 {
		return "-"
	}
	return "H" + strconv.Itoa(number)
}

// Closings says of every bay what a check can say before its ceiling is closed, a table for each storey, with a blank column for each thing
// that people sign.
func Closings(cs []register.Closing) []Section {
	return closings(cs, func(parts []Part, c *register.Closing) []Part {
		if parts == nil {
			t := Table{}
			for _, h := range append(closingHeads(), SignedBySite()...) {
				t.Columns = append(t.Columns, Column{Head: h})
			}
			parts = []Part{t}
		}
		t := parts[0].(Table)
		t.Rows = append(t.Rows, append(closingCells(c), make([]string, len(SignedBySite()))...))
		parts[0] = t
		return parts
	})
}

// closingLines says the same for a terminal, where the columns have no room beside each other: of each bay its lines.
func closingLines(cs []register.Closing) []Section {
	return closings(cs, func(parts []Part, c *register.Closing) []Part {
		k := closingCells(c)
		bay, aside, _ := strings.Cut(k[0], "\n")
		open := Count(c.Open, "problem", "problems") + " open"
		if c.Open == 0 {
			open = "none open"
		}
		lines := []string{open + "; agreed: " + k[2] + "; holes without an opening: " + k[3] + "; joints to put right: " + k[4] + "; surveyed: " + k[5]}
		if aside != "" {
			lines[0] += "; " + aside
		}
		for pair := range slices.Chunk(SignedBySite(), 3) {
			lines = append(lines, strings.Join(pair, " ________  ")+" ________")
		}
		return append(parts, Group{Items: []Item{{What: bay, Lines: lines}}})
	})
}

// closings gathers bays by storey; add puts a bay to the parts of its storey.
func closings(cs []register.Closing, add func(parts []Part, c *register.Closing) []Part) []Section {
	var out []Section
	at := map[string]int{}
	for i := range cs {
		c := &cs[i]
		k, ok := at[c.Storey]
		if !ok {
			k = len(out)
			at[c.Storey] = k
			s := Section{Level: 2, Title: "All bays"}
			if c.Storey != "" {
				s.Title = Storey(c.Storey)
			}
			out = append(out, s)
		}
		out[k].Parts = add(out[k].Parts, c)
	}
	return out
}

// Objections is the answer of a check that is asked what it has against closing ceilings, in tables or, for a terminal, in lines.
func Objections(project string, date register.Date, cs []register.Closing, cautions []string, missing []Part, lines bool) Answer {
	a := Answer{Title: "No coordination objection: " + Name(project) + ", " + string(date), Missing: missing}
	a.Sections = append(a.Sections, Section{Level: 1, Title: "Before ceilings are closed", Parts: []Part{Para(ClosingCaution)}})
	if lines {
		a.Sections = append(a.Sections, closingLines(cs)...)
	} else {
		a.Sections = append(a.Sections, Closings(cs)...)
	}
	last := Section{Level: 1, Title: "Before you rely on this"}
	var l List
	for _, c := range cautions {
		l = append(l, Clean(c))
	}
	if len(l) > 0 {
		last.Parts = append(last.Parts, l)
	}
	a.Sections = append(a.Sections, last)
	return a
}
