package cell

const wantSide = "around, above, below, beside, one side, start, end, left, right, east, north, west or south"

// ParseSide reads the side of a rule or of an access space. Which of them a table allows, the table knows.
func ParseSide(text string) Side {
	t := clean(text)
	if t == "" {
		return Side{}
	}
	var buf [24]byte
	var f *Fault
	switch string(fold(&buf, t)) {
	case "around", "round", "allaround", "allround", "allsides":
		return Side{Text: t, Is: Around}
	case "above", "over", "ontop", "top":
		return Side{Text: t, Is: Above}
	case "below", "under", "underneath", "beneath", "bottom":
		return Side{Text: t, Is: Below}
	case "beside", "besides", "alongside", "bothsides", "sides":
		return Side{Text: t, Is: Beside}
	case "oneside":
		return Side{Text: t, Is: OneSide}
	case "start":
		return Side{Text: t, Is: Start}
	case "end":
		return Side{Text: t, Is: End}
	case "left", "lh", "lhs", "lefthand":
		return Side{Text: t, Is: Left}
	case "right", "rh", "rhs", "righthand":
		return Side{Text: t, Is: Right}
	case "east", "e":
		return Side{Text: t, Is: East}
	case "north", "n":
		return Side{Text: t, Is: North}
	case "west", "w":
		return Side{Text: t, Is: West}
	case "south", "s":
		return Side{Text: t, Is: South}
	case "eitherside", "side":
		f = fault(t, "may mean one side or both", wantSide)
		f.Hint = "write beside for both sides, one side where either will do"
	default:
		f = fault(t, "is not a side", wantSide)
	}
	return Side{Text: t, Fault: f}
}

// UnmarshalCSV reads the cell; it never returns an error, the fault is kept in the cell.
func (c *Side) UnmarshalCSV(text string) error { *c = ParseSide(text); return nil }

// Blank reports whether nothing is written in the cell.
func (c Side) Blank() bool { return c.Text == "" }

// String returns the side as ParseSide takes it; "" when blank, and the text as written where there is
// a fault.
func (c Side) String() string {
	if c.Text == "" || c.Fault != nil {
		return c.Text
	}
	return c.Is.String()
}

// String returns the side as it is written in a table; "" for NoSide.
func (t Towards) String() string {
	switch t {
	case Around:
		return "around"
	case Above:
		return "above"
	case Below:
		return "below"
	case Beside:
		return "beside"
	case OneSide:
		return "one side"
	case Start:
		return "start"
	case End:
		return "end"
	case Left:
		return "left"
	case Right:
		return "right"
	case East:
		return "east"
	case North:
		return "north"
	case West:
		return "west"
	case South:
		return "south"
	}
	return ""
}

// MarshalText writes the side as String does, for records.
func (t Towards) MarshalText() ([]byte, error) { return []byte(t.String()), nil }

// UnmarshalText reads what MarshalText writes, and nothing else.
func (t *Towards) UnmarshalText(text []byte) error {
	for is := NoSide; is <= South; is++ {
		if is.String() == string(text) {
			*t = is
			return nil
		}
	}
	return &Fault{What: quote(string(text)) + " is no side", Want: "around, above, below, beside, one side, start, end, left, right, or a point of the compass"}
}
