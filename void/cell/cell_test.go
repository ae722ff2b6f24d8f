package cell

import (
	"slices"
	"strings"
	"testing"
	"time"
)

// cells are the types of this package as the tests see them.
type cells interface {
	Blank() bool
	String() string
}

// reader is what a table reader asks of the pointer to a cell.
type reader interface{ UnmarshalCSV(string) error }

var (
	_ reader = (*Word)(nil)
	_ reader = (*Length)(nil)
	_ reader = (*Number)(nil)
	_ reader = (*Flag)(nil)
	_ reader = (*Place)(nil)
	_ reader = (*Size)(nil)
	_ reader = (*Level)(nil)
	_ reader = (*Face)(nil)
	_ reader = (*Fall)(nil)
	_ reader = (*Side)(nil)
	_ reader = (*Asked)(nil)
	_ reader = (*Covering)(nil)
	_ reader = (*Names)(nil)
)

// anyCell holds the value of a cell without its text, so that two can be compared, and its text and
// fault apart.
type anyCell struct {
	value any
	text  string
	fault *Fault
	print string
	blank bool
}

func take[C cells](c C, value any, text string, fault *Fault) anyCell {
	return anyCell{value: value, text: text, fault: fault, print: c.String(), blank: c.Blank()}
}

// parsers are all types by name. The value of each is a comparable one.
var parsers = []struct {
	name  string
	parse func(string) anyCell
	zero  any
}{
	{"Word", func(s string) anyCell { c := ParseWord(s); return take(c, "", c.Text, c.Fault) }, ""},
	{"Length", func(s string) anyCell { c := ParseLength(s); return take(c, c.MM, c.Text, c.Fault) }, 0.0},
	{"Coordinate", func(s string) anyCell { c := ParseCoordinate(s); return take(c, c.MM, c.Text, c.Fault) }, 0.0},
	{"Number", func(s string) anyCell { c := ParseNumber(s); return take(c, c.Value, c.Text, c.Fault) }, 0.0},
	{"Flag", func(s string) anyCell { c := ParseFlag(s); return take(c, c.On, c.Text, c.Fault) }, false},
	{"Place", func(s string) anyCell {
		c := ParsePlace(s)
		return take(c, Place{Line: c.Line, MM: c.MM}, c.Text, c.Fault)
	}, Place{}},
	{"Size", func(s string) anyCell {
		c := ParseSize(s)
		return take(c, Size{Form: c.Form, A: c.A, B: c.B, C: c.C, Name: c.Name, Standard: c.Standard}, c.Text, c.Fault)
	}, Size{}},
	{"Level", func(s string) anyCell {
		c := ParseLevel(s)
		return take(c, Level{Low: c.Low, High: c.High, Range: c.Range, None: c.None, Says: c.Says}, c.Text, c.Fault)
	}, Level{}},
	{"Face", func(s string) anyCell { c := ParseFace(s); return take(c, c.Is, c.Text, c.Fault) }, Unsaid},
	{"Fall", func(s string) anyCell { c := ParseFall(s); return take(c, c.Slope, c.Text, c.Fault) }, 0.0},
	{"Side", func(s string) anyCell { c := ParseSide(s); return take(c, c.Is, c.Text, c.Fault) }, NoSide},
	{"Asked", func(s string) anyCell {
		c := ParseAsked(s)
		return take(c, Asked{MM: c.MM, Told: c.Told}, c.Text, c.Fault)
	}, Asked{}},
	{"Covering", func(s string) anyCell {
		c := ParseCovering(s)
		return take(c, Covering{MM: c.MM, OverJoint: c.OverJoint}, c.Text, c.Fault)
	}, Covering{}},
	{"Names", func(s string) anyCell {
		c := ParseNames(s)
		if slices.Contains(c.List, "") {
			panic("an empty name")
		}
		return take(c, strings.Join(c.List, "\x00"), c.Text, c.Fault)
	}, ""},
}

// blanks are texts with nothing in them.
var blanks = []string{"", " ", "   ", "\t", "\r\n", "\u00a0", "\u202f\u2009", "\u200b", "\ufeff", "\u3000 \u2003", "'", " ' ", "'\u00a0"}

func TestBlankCells(t *testing.T) {
	for _, p := range parsers {
		for _, text := range blanks {
			c := p.parse(text)
			if c.text != "" || c.fault != nil || c.value != p.zero || !c.blank || c.print != "" {
				t.Errorf("Parse%s(%q) = %+v, want a blank cell", p.name, text, c)
			}
		}
	}
}

func TestUnmarshalCSVNeverFails(t *testing.T) {
	for _, text := range []string{"", "2700", "x9", "#REF!", "\xff\xfe", "NaN", "1,200"} {
		for _, c := range []reader{
			new(Word), new(Length), new(Coordinate), new(Number), new(Flag), new(Place), new(Size), new(Level), new(Face),
			new(Fall), new(Side), new(Asked), new(Covering), new(Names),
		} {
			if err := c.UnmarshalCSV(text); err != nil {
				t.Errorf("%T.UnmarshalCSV(%q) = %v, want no error", c, text, err)
			}
		}
	}
	// A cell that is read again keeps nothing of what was there.
	var l Length
	l.UnmarshalCSV("x9")
	l.UnmarshalCSV("2700")
	if l.MM != 2700 || l.Fault != nil || l.Text != "2700" {
		t.Errorf("read again: %+v, want 2700 without a fault", l)
	}
	l.UnmarshalCSV("")
	if l != (Length{}) {
		t.Errorf("read again: %+v, want blank", l)
	}
}

func TestSpreadsheetErrors(t *testing.T) {
	for _, text := range []string{"#REF!", "#N/A", "#VALUE!", "#DIV/0!", "#NAME?", "#num!", "#NULL!", "####", "##"} {
		for _, p := range parsers {
			c := p.parse(text)
			if c.fault == nil {
				t.Errorf("Parse%s(%q) has no fault", p.name, text)
				continue
			}
			wantFault(t, p.name, text, c.fault, "save")
		}
	}
}

// wantFault checks that a fault quotes the text, says what was expected, and hints at each of hints.
func wantFault(t *testing.T, name, text string, f *Fault, hints ...string) {
	t.Helper()
	if f == nil {
		t.Errorf("Parse%s(%q) has no fault, want one with %q", name, text, hints)
		return
	}
	if !strings.Contains(f.What, quote(clean(text))) {
		t.Errorf("Parse%s(%q): fault %q does not quote the text", name, text, f.What)
	}
	if f.Want == "" {
		t.Errorf("Parse%s(%q): fault %q does not say what was expected", name, text, f.What)
	}
	for _, hint := range hints {
		if !strings.Contains(f.Error(), hint) {
			t.Errorf("Parse%s(%q): fault %q, want %q in it", name, text, f.Error(), hint)
		}
	}
}

func TestFaultError(t *testing.T) {
	for _, test := range []struct {
		fault Fault
		want  string
	}{
		{Fault{What: "a"}, "a"},
		{Fault{What: "a", Want: "b"}, "a; give b"},
		{Fault{What: "a", Hint: "c"}, "a (c)"},
		{Fault{What: "a", Want: "b", Hint: "c"}, "a; give b (c)"},
	} {
		if got := test.fault.Error(); got != test.want {
			t.Errorf("%+v.Error() = %q, want %q", test.fault, got, test.want)
		}
	}
}

func TestQuoteCutsLongText(t *testing.T) {
	long := strings.Repeat("é", 1<<20)
	f := ParseLength(long).Fault
	if f == nil || len(f.What) > 200 || !strings.Contains(f.What, strings.Repeat("é", 60)+"…\"") {
		t.Errorf("the fault of a megabyte is %d bytes long", len(f.What))
	}
}

// A cell of a quarter of a megabyte is read or refused at once, whatever it is made of.
func TestLongTexts(t *testing.T) {
	const size = 1 << 18
	for _, piece := range []string{
		"1", "1,", "1.", "1,111", "1,111x", "1 111", "1'", "1x", "a", "a ", "a 1 ", " ", "a\u00a0", "-", "+1", "- 1 ", "'", "UB", "UB ", "UB1", "1UB ",
		"DN", "u/s ", "a/", "..", "1..", "\u2026", "to ", "1to", "grid ", "E+1", "1E+1", "ø", "#", ";", "a;", "\x00", "\xff", "é", "０", "1:", "01-",
	} {
		long := strings.Repeat(piece, size/len(piece))
		for _, text := range []string{long, "1" + long, "B" + long + "9", long + " m", "FFL+" + long} {
			start := time.Now()
			for _, p := range parsers {
				c := p.parse(text)
				if c.fault != nil && len(c.fault.Error()) > 4096 {
					t.Errorf("Parse%s of %.10q...: a fault of %d bytes", p.name, text, len(c.fault.Error()))
				}
			}
			Metres(text)
			DecimalComma(text)
			DecimalCommaMetres(text)
			LooksLikeDate(text)
			Points(text)
			if took := time.Since(start); took > 3*time.Second { // some 10 ms where nothing goes over the text again and again
				t.Errorf("a long text of %q took %v", piece, took)
			}
		}
	}
}
