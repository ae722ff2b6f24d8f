package cell

const (
	wantLength  = "millimetres, such as 2700, or metres with an m, such as 2.7 m"
	wantBounded = "at most 10 km"
)

// ParseLength reads a plain length with its sign: 1200, -35.5, 2.7 m. Without a unit it is in
// millimetres. Zero is a length; the bound of 10 km is inside.
func ParseLength(text string) Length {
	t := clean(text)
	if t == "" {
		return Length{}
	}
	s := scan{text: t}
	mm, _, _, ok := s.length()
	if !ok || !s.done() {
		return Length{Text: t, Fault: fault(t, "is not a length", wantLength)}
	}
	if !within(mm) {
		return Length{Text: t, Fault: tooFar(t)}
	}
	return Length{Text: t, MM: mm}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Length) UnmarshalCSV(text string) error { *c = ParseLength(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Length) Blank() bool { return c.Text == "" }

// String returns the length in millimetres as ParseLength takes it; "" when blank, and the text as
// written where there is a fault.
func (c Length) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	return plain(c.MM)
}

// ParseCoordinate reads a coordinate in plan, at most 1e10 mm either way.
func ParseCoordinate(text string) Coordinate {
	t := clean(text)
	if t == "" {
		return Coordinate{}
	}
	s := scan{text: t}
	mm, _, _, ok := s.length()
	if !ok || !s.done() {
		return Coordinate{Text: t, Fault: fault(t, "is not a length", wantLength)}
	}
	if !surveyed(mm) {
		return Coordinate{Text: t, Fault: tooFarAway(t)}
	}
	return Coordinate{Text: t, MM: mm}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Coordinate) UnmarshalCSV(text string) error { *c = ParseCoordinate(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Coordinate) Blank() bool { return c.Text == "" }

// String returns the coordinate in millimetres; "" when blank, and the text as written where there is a fault.
func (c Coordinate) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	return plain(c.MM)
}

const wantNumber = "a number that is not negative, such as 3"

// ParseNumber reads a number without a unit, not negative and not over 10 million.
func ParseNumber(text string) Number {
	t := clean(text)
	if t == "" {
		return Number{}
	}
	s := scan{text: t}
	way := s.sign()
	s.blanks()
	n, ok := s.numeral()
	if !ok || !s.done() {
		return Number{Text: t, Fault: fault(t, "is not a number", wantNumber)}
	}
	v := signed(n.value(0), way)
	if v < 0 {
		return Number{Text: t, Fault: &Fault{What: quote(t) + " is negative", Want: wantNumber}}
	}
	if !within(v) {
		return Number{Text: t, Fault: &Fault{What: quote(t) + " is too large", Want: "at most 10000000"}}
	}
	return Number{Text: t, Value: v}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Number) UnmarshalCSV(text string) error { *c = ParseNumber(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Number) Blank() bool { return c.Text == "" }

// String returns the number as ParseNumber takes it; "" when blank, and the text as written where
// there is a fault.
func (c Number) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	return plain(c.Value)
}

const wantAsked = "millimetres, such as 50, or told"

// ParseAsked reads the gap of a rule: a length that is not negative, or told.
func ParseAsked(text string) Asked {
	t := clean(text)
	if t == "" {
		return Asked{}
	}
	s := scan{text: t}
	if s.word("told") && s.done() {
		return Asked{Text: t, Told: true}
	}
	s.at = 0
	mm, _, _, ok := s.length()
	if !ok || !s.done() {
		return Asked{Text: t, Fault: fault(t, "is not a gap", wantAsked)}
	}
	if mm < 0 {
		return Asked{Text: t, Fault: &Fault{What: quote(t) + " is negative", Want: wantAsked}}
	}
	if !within(mm) {
		return Asked{Text: t, Fault: tooFar(t)}
	}
	return Asked{Text: t, MM: mm}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Asked) UnmarshalCSV(text string) error { *c = ParseAsked(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Asked) Blank() bool { return c.Text == "" }

// String returns the gap in millimetres, or told, as ParseAsked takes it; "" when blank, and the
// text as written where there is a fault.
func (c Asked) String() string {
	switch {
	case c.Text == "" || c.Fault != nil:
		return c.Text
	case c.Told:
		return "told"
	}
	return plain(c.MM)
}

const wantCovering = "a thickness in millimetres, such as 25, or 40 over joint"

// ParseCovering reads insulation: a thickness that is not negative, alone (the larger of it and the
// joint counts) or with "over joint" (the two are added). None and no are a thickness of zero.
func ParseCovering(text string) Covering {
	t := clean(text)
	if t == "" {
		return Covering{}
	}
	if lower(t[0]) == 'n' {
		var buf [24]byte
		switch string(fold(&buf, t)) {
		case "none", "no", "nil":
			return Covering{Text: t}
		}
	}
	s := scan{text: t}
	mm, _, _, ok := s.length()
	over := false
	if ok {
		s.blanks()
		if s.word("over") {
			s.blanks()
			if s.word("the") {
				s.blanks()
			}
			over = s.word("joint") || s.word("joints") || s.word("flange") || s.word("flanges")
			ok = over
		}
	}
	if !ok || !s.done() {
		return Covering{Text: t, Fault: fault(t, "is not an insulation thickness", wantCovering)}
	}
	if mm < 0 {
		return Covering{Text: t, Fault: &Fault{What: quote(t) + " is negative", Want: wantCovering}}
	}
	if !within(mm) {
		return Covering{Text: t, Fault: tooFar(t)}
	}
	return Covering{Text: t, MM: mm, OverJoint: over}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Covering) UnmarshalCSV(text string) error { *c = ParseCovering(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Covering) Blank() bool { return c.Text == "" }

// String returns the covering in millimetres as ParseCovering takes it; "" when blank, and the text
// as written where there is a fault.
func (c Covering) String() string {
	switch {
	case c.Text == "" || c.Fault != nil:
		return c.Text
	case c.OverJoint:
		return plain(c.MM) + " over joint"
	}
	return plain(c.MM)
}
