package cell

import "strings"

// ParseWord reads a name or a free text: blanks at the ends are taken off, and one apostrophe in front.
// The error texts of spreadsheets (#REF! and the like) are a fault; a date is not, since a project may
// really name something so: see LooksLikeDate.
func ParseWord(text string) Word {
	t := trim(text)
	if t != "" && t[0] == '\'' {
		t = trim(t[1:])
	}
	if t != "" && t[0] == '#' {
		if hint := spreadsheetError(t); hint != "" {
			return Word{Text: t, Fault: &Fault{What: quote(t) + " is not a name or a text", Want: "what was meant to be there", Hint: hint}}
		}
	}
	return Word{Text: t}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Word) UnmarshalCSV(text string) error { *c = ParseWord(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Word) Blank() bool { return c.Text == "" }

// String returns the text as ParseWord takes it: where it begins with an apostrophe, with one more in
// front, as one types it into a spreadsheet. For people, use Text.
func (c Word) String() string {
	if c.Text != "" && c.Text[0] == '\'' {
		return "'" + c.Text
	}
	return c.Text
}

const wantFlag = "yes or no"

// ParseFlag reads yes or no, in the usual spellings: yes, y, true, 1, x and a tick; no, n, false, 0.
func ParseFlag(text string) Flag {
	t := clean(text)
	if t == "" {
		return Flag{}
	}
	var buf [24]byte
	switch string(fold(&buf, t)) {
	case "yes", "y", "true", "1", "x", "✓", "✔":
		return Flag{Text: t, On: true}
	case "no", "n", "false", "0":
		return Flag{Text: t}
	}
	return Flag{Text: t, Fault: fault(t, "is not yes or no", wantFlag)}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Flag) UnmarshalCSV(text string) error { *c = ParseFlag(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Flag) Blank() bool { return c.Text == "" }

// String returns yes or no; "" when blank, and the text as written where there is a fault.
func (c Flag) String() string {
	switch {
	case c.Text == "" || c.Fault != nil:
		return c.Text
	case c.On:
		return "yes"
	}
	return "no"
}

// ParseNames reads a list of names, separated by semicolons, commas or line breaks within the cell.
// Blanks round a name are taken off, empty names are dropped, the order is kept. List is nil when no
// name is left.
func ParseNames(text string) Names {
	t := ParseWord(text).Text
	if t == "" {
		return Names{}
	}
	names := Names{Text: t}
	n := 1
	for i := 0; i < len(t); i++ {
		if isBetweenNames(t[i]) {
			n++
		}
	}
	list := make([]string, 0, n)
	for from, i := 0, 0; i <= len(t); i++ {
		if i < len(t) && !isBetweenNames(t[i]) {
			continue
		}
		name := trim(t[from:i])
		from = i + 1
		if name == "" {
			continue
		}
		if hint := spreadsheetError(name); hint != "" && names.Fault == nil {
			names.Fault = &Fault{What: quote(name) + " is not a name", Want: "names with semicolons between them", Hint: hint}
		}
		list = append(list, name)
	}
	if len(list) > 0 && names.Fault == nil {
		names.List = list
	}
	return names
}

func isBetweenNames(c byte) bool { return c == ';' || c == ',' || c == '\n' || c == '\r' }

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Names) UnmarshalCSV(text string) error { *c = ParseNames(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Names) Blank() bool { return c.Text == "" }

// String returns the names with semicolons between them, as ParseNames takes them; the text as written
// where there is a fault.
func (c Names) String() string {
	list := strings.Join(c.List, "; ")
	if c.Fault != nil {
		list = c.Text
	}
	return Word{Text: list}.String()
}
