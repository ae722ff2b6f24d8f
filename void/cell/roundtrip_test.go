package cell

import (
	"math"
	"slices"
	"strconv"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// checkCell checks what holds for any text: no panic, a trimmed text, a value only where there is no
// fault, everything finite and inside the bound, and a printed form that is read as the same value
// and printed the same again.
func checkCell(t interface {
	Helper()
	Errorf(string, ...any)
}, name string, parse func(string) anyCell, zero any, text string,
) {
	t.Helper()
	c := parse(text)
	if c.text != trim(c.text) {
		t.Errorf("Parse%s(%q): text %q is not trimmed", name, text, c.text)
	}
	if c.blank != (c.text == "") {
		t.Errorf("Parse%s(%q): text %q, blank %v", name, text, c.text, c.blank)
	}
	if c.blank && (c.fault != nil || c.value != zero) {
		t.Errorf("Parse%s(%q): a blank cell with %+v", name, text, c)
	}
	if c.fault != nil {
		if c.value != zero {
			t.Errorf("Parse%s(%q): fault %v and yet %+v", name, text, c.fault, c.value)
		}
		if c.fault.What == "" || c.fault.Want == "" || len(c.fault.Error()) > 4096 {
			t.Errorf("Parse%s(%q): fault %+v", name, text, c.fault)
		}
		if name != "Word" && name != "Names" && c.print != c.text {
			t.Errorf("Parse%s(%q) with a fault prints as %q, want the text", name, text, c.print)
		}
		return
	}
	inside := within
	if at, ok := c.value.(Place); ok && at.Line == "" || name == "Coordinate" {
		inside = surveyed // before the origin is subtracted
	}
	for _, v := range numbersOf(c.value) {
		if !inside(v) || v == 0 && math.Signbit(v) {
			t.Errorf("Parse%s(%q): %v in %+v", name, text, v, c.value)
		}
	}
	again := parse(c.print)
	if again.fault != nil || again.value != c.value {
		t.Errorf("Parse%s(%q) = %+v, printed as %q, read again as %+v (%v)", name, text, c.value, c.print, again.value, again.fault)
	}
	if again.print != c.print {
		t.Errorf("Parse%s(%q) printed as %q, then as %q", name, text, c.print, again.print)
	}
}

// numbersOf returns the numbers in the value of a cell.
func numbersOf(value any) []float64 {
	switch v := value.(type) {
	case float64:
		return []float64{v}
	case Place:
		return []float64{v.MM}
	case Size:
		return []float64{v.A, v.B, v.C}
	case Level:
		return []float64{v.Low.MM, v.High.MM}
	case Asked:
		return []float64{v.MM}
	case Covering:
		return []float64{v.MM}
	}
	return nil
}

// lengths are lengths inside the bound: whole, with a few decimals, and any float64.
func lengths() *rapid.Generator[float64] {
	return rapid.OneOf(
		rapid.Map(rapid.IntRange(-1e7, 1e7), func(n int) float64 { return float64(n) }),
		rapid.Map(rapid.IntRange(-1e7, 1e7), func(n int) float64 { return float64(n) / 10 }),
		rapid.Map(rapid.IntRange(-30, 30), func(n int) float64 { return float64(n) }),
		rapid.Map(rapid.Float64Range(-Bound, Bound), func(v float64) float64 { return v + 0 }), // no negative zero
	)
}

// sizes are lengths greater than zero.
func sizes() *rapid.Generator[float64] {
	return rapid.Map(lengths().Filter(func(v float64) bool { return math.Abs(v) >= LeastSide }), math.Abs)
}

// labels are labels of grid lines as they may stand behind the word grid.
func labels() *rapid.Generator[string] {
	return rapid.OneOf(
		rapid.StringMatching(`[A-Z]{1,2}`),
		rapid.StringMatching(`[0-9]{1,3}`),
		rapid.StringMatching(`[A-Z0-9]{1,3}[.'/-][A-Z0-9]{1,2}`),
		rapid.StringMatching(`[0-9]{1,2}[A-Za-z]{1,4}`),
		rapid.StringMatching(`[A-Za-zø0-9 .+'_-]{1,8}`),
		rapid.SampledFrom([]string{"grid", "line", "grid 3", "NaN", "Inf", "Apr", "3E", "m", "mm", "M", "x", "Ä", "(3)"}),
	)
}

// A value that is printed is read as the same value.
func TestValueRoundTrip(t *testing.T) {
	t.Run("Length", rapid.MakeCheck(func(t *rapid.T) {
		want := lengths().Draw(t, "mm")
		c := Length{Text: "-", MM: want}
		if got := ParseLength(c.String()); got.Fault != nil || got.MM != want {
			t.Errorf("ParseLength(%q) = %v (%v), want %v", c, got.MM, got.Fault, want)
		}
	}))
	t.Run("Number", rapid.MakeCheck(func(t *rapid.T) {
		want := math.Abs(lengths().Draw(t, "value"))
		c := Number{Text: "-", Value: want}
		if got := ParseNumber(c.String()); got.Fault != nil || got.Value != want {
			t.Errorf("ParseNumber(%q) = %v (%v), want %v", c, got.Value, got.Fault, want)
		}
	}))
	t.Run("Asked", rapid.MakeCheck(func(t *rapid.T) {
		c := Asked{Text: "-", Told: rapid.Bool().Draw(t, "told")}
		if !c.Told {
			c.MM = math.Abs(lengths().Draw(t, "mm"))
		}
		if got := ParseAsked(c.String()); got.Fault != nil || got.MM != c.MM || got.Told != c.Told {
			t.Errorf("ParseAsked(%q) = %+v (%v), want %+v", c, got, got.Fault, c)
		}
	}))
	t.Run("Covering", rapid.MakeCheck(func(t *rapid.T) {
		c := Covering{Text: "-", MM: math.Abs(lengths().Draw(t, "mm")), OverJoint: rapid.Bool().Draw(t, "over")}
		if got := ParseCovering(c.String()); got.Fault != nil || got.MM != c.MM || got.OverJoint != c.OverJoint {
			t.Errorf("ParseCovering(%q) = %+v (%v), want %+v", c, got, got.Fault, c)
		}
	}))
	t.Run("Place", rapid.MakeCheck(func(t *rapid.T) {
		c := Place{Text: "-", MM: lengths().Draw(t, "mm")}
		if rapid.Bool().Draw(t, "on a grid line") {
			c.Line = trim(labels().Draw(t, "label"))
			if !isLabel(c.Line, true) {
				c.Line = "A"
			}
		}
		if got := ParsePlace(c.String()); got.Fault != nil || got.MM != c.MM || got.Line != c.Line {
			t.Errorf("ParsePlace(%q) = %q %v (%v), want %q %v", c, got.Line, got.MM, got.Fault, c.Line, c.MM)
		}
	}))
	t.Run("Size", rapid.MakeCheck(func(t *rapid.T) {
		c := Size{Text: "-", Form: SizeForm(rapid.IntRange(int(Rectangle), int(SteelName)).Draw(t, "form"))}
		a, b := sizes().Draw(t, "a"), sizes().Draw(t, "b")
		switch c.Form {
		case Rectangle, Disc:
			c.A, c.B = a, b
		case Solid:
			c.A, c.B, c.C = a, b, sizes().Draw(t, "c")
		case Circle, Single:
			c.A = a
		case NominalDN:
			c.A = a
			c.Standard = rapid.SampledFrom([]string{"", "EN 10255", "EN 1329-1"}).Draw(t, "standard")
		case SteelName:
			c.Name = rapid.SampledFrom([]string{
				"UB 406x178x60", "UC 203x203x46", "UBP 305x305x79", "PFC 230x90x32", "SHS 100x100x5", "RHS 200x100x6.3",
				"CHS 168.3x5", "IPE 300", "IPN 300", "UPN 200", "UPE 200", "HE 200 A", "HE 300 B", "HE 200 M", "HE 200 AA",
			}).Draw(t, "name")
		}
		got := ParseSize(c.String())
		fault := got.Fault
		got.Text, got.Fault = "-", nil
		if fault != nil || got != c {
			t.Errorf("ParseSize(%q) = %+v (%v), want %+v", c, got, fault, c)
		}
	}))
	t.Run("Level", rapid.MakeCheck(func(t *rapid.T) {
		height := func(label string) Height {
			return Height{Ref(rapid.IntRange(int(FFL), int(Project)).Draw(t, label+" from")), lengths().Draw(t, label)}
		}
		c := Level{Text: "-", Low: height("low")}
		switch rapid.IntRange(0, 3).Draw(t, "form") {
		case 0:
			c.None, c.Low = true, Height{}
		case 1:
			c.Range, c.High = true, height("high")
			if c.Low.Ref == c.High.Ref {
				if c.Low.MM == c.High.MM {
					t.Skip("no height")
				}
				if c.Low.MM > c.High.MM {
					c.Low, c.High = c.High, c.Low
				}
			}
		case 2:
			c.Says = Facing(rapid.IntRange(int(Bottom), int(Top)).Draw(t, "says"))
		}
		got := ParseLevel(c.String())
		fault := got.Fault
		got.Text, got.Fault = "-", nil
		if fault != nil || got != c {
			t.Errorf("ParseLevel(%q) = %+v (%v), want %+v", c, got, fault, c)
		}
	}))
	t.Run("Fall", rapid.MakeCheck(func(t *rapid.T) {
		slope := rapid.OneOf(
			rapid.Float64Range(-1, 1),
			rapid.Float64Range(-steepest, steepest),
			rapid.Map(rapid.IntRange(1, 2e6), func(n int) float64 { return 1 / float64(n) }),
			rapid.Map(rapid.IntRange(-1000, 1000), func(n int) float64 { return float64(n) / 1000 }),
		).Draw(t, "slope") + 0
		c := Fall{Text: "-", Slope: slope}
		if got := ParseFall(c.String()); got.Fault != nil || got.Slope != slope {
			t.Errorf("ParseFall(%q) = %v (%v), want %v", c, got.Slope, got.Fault, slope)
		}
	}))
	t.Run("Names", rapid.MakeCheck(func(t *rapid.T) {
		list := rapid.SliceOf(rapid.StringMatching(`'?[A-Za-z0-9.' -]*[A-Za-z0-9]`)).Draw(t, "list")
		var want []string
		for _, name := range list {
			want = append(want, trim(name))
		}
		c := Names{Text: "-", List: want}
		if got := ParseNames(c.String()); got.Fault != nil || !slices.Equal(got.List, want) {
			t.Errorf("ParseNames(%q) = %q (%v), want %q", c, got.List, got.Fault, want)
		}
	}))
	t.Run("Word", rapid.MakeCheck(func(t *rapid.T) {
		c := ParseWord(rapid.String().Draw(t, "text"))
		if got := ParseWord(c.String()); got.Text != c.Text {
			t.Errorf("ParseWord(%q) = %q, want %q", c, got.Text, c.Text)
		}
	}))
}

// Texts put together from the words and signs of all the grammars are read or refused, and what is read
// is printed and read again as the same.
func TestTextRoundTrip(t *testing.T) {
	pieces := rapid.SampledFrom([]string{
		"0", "2700", "2.7", "15", "0.06", ".5", "12.", "80", "1", "2", "03", "3", "99999999", " ", "\u00a0", "\u2009", "+", "-", "\u2212", "\u2013",
		"m", "mm", " m", " mm", "x", "×", "X", "*", " by ", "ø", "dia", "dia.", "DN", "EN 10255", " EN 1057", "UB", "UC", "HE", "HEA", "IPE", " A", "B",
		"FFL", "AFFL", "SSL", "datum", "ceiling", "build-up", "soffit", "steel", "beam", "project", "u/s", "BOD", "TOT", "CL", "TOS", " of ", "top", "bottom",
		"above", " below ", "..", "…", " to ", "none", "open", "line", "grid ", "A", "3A", "Apr", "in", " in ", ":", "/", "%", "mm/m", "level", "told",
		"over joint", "yes", "no", "one side", "left", ";", ",", "'", "E+03", "e5", "#REF!", "NaN", "£", "_", "１", "\x00", "\xff",
	})
	for _, p := range parsers {
		t.Run(p.name, rapid.MakeCheck(func(t *rapid.T) {
			text := strings.Join(rapid.SliceOfN(pieces, 0, 8).Draw(t, "pieces"), "")
			checkCell(t, p.name, p.parse, p.zero, text)
		}))
	}
}

// The value of a number is that of the library's own reading with an exponent, to the last bit, and so
// for lengths in metres.
func TestNumeralAgainstLibrary(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.OneOf(
			rapid.StringMatching(`[0-9]{1,5}(\.[0-9]{0,6})?`),
			rapid.StringMatching(`[0-9]{0,30}\.[0-9]{1,40}`),
			rapid.StringMatching(`[0-9]{14,20}`),
		).Draw(t, "text")
		for shift := -3; shift <= 3; shift++ {
			s := scan{text: text}
			n, ok := s.numeral()
			if !ok || !s.done() {
				t.Fatalf("numeral(%q) is not read", text)
			}
			want, err := strconv.ParseFloat(text+"e"+strconv.Itoa(shift), 64)
			if err != nil {
				t.Fatal(err)
			}
			if got := n.value(shift); got != want {
				t.Errorf("%q moved by %d = %v, want %v", text, shift, got, want)
			}
		}
	})
}

// A cell in millimetres and the same cell in a column in metres are the same value.
func TestMetresAgainstMillimetres(t *testing.T) {
	// inMetres writes a number of tenths of a millimetre in metres, by its digits alone.
	inMetres := func(tenths int) string {
		digits := strconv.Itoa(tenths)
		if len(digits) < 5 {
			digits = strings.Repeat("0", 5-len(digits)) + digits
		}
		return digits[:len(digits)-4] + "." + digits[len(digits)-4:]
	}
	inMillimetres := func(tenths int) string {
		return strconv.Itoa(tenths/10) + "." + strconv.Itoa(tenths%10)
	}
	forms := []struct {
		name  string
		forms []string
	}{
		{"Length", []string{"#", "-#", "+ #"}},
		{"Place", []string{"#", "-#", "B+#", "grid 3 - #", "3A + #", "grid A-1+#"}},
		{"Size", []string{"#", "#x#", "# × #", "#x#x#", "ø#", "dia #", "# dia", "#ø", "ø#x#", "DN50", "UB 406x178x60", "406x178 UB 60"}},
		{"Level", []string{
			"#", "FFL+#", "FFL + #", "# AFFL", "#AFFL", "ceiling+#", "soffit-#", "# below soffit", "BOD #", "# BOD", "datum line+#",
			"#..soffit", "FFL-#..FFL+#", "- # to soffit", "ceiling\u2026FFL+#",
		}},
		{"Asked", []string{"#", "told"}},
		{"Covering", []string{"#", "# over joint"}},
	}
	rapid.Check(t, func(t *rapid.T) {
		form := rapid.SampledFrom(forms).Draw(t, "type")
		text := rapid.SampledFrom(form.forms).Draw(t, "form")
		comma := rapid.Bool().Draw(t, "decimal comma")
		mm, m := "", ""
		for _, r := range text {
			if r != '#' {
				mm += string(r)
				m += string(r)
				continue
			}
			most := 99999999
			if form.name == "Size" {
				most = 999999 // a section of 100 m by a few millimetres is refused in metres
			}
			tenths := rapid.IntRange(200, most).Draw(t, "tenths")
			mm += inMillimetres(tenths)
			m += inMetres(tenths)
		}
		if comma {
			mm = DecimalComma(strings.ReplaceAll(mm, ".", ","))
			m = DecimalCommaMetres(strings.ReplaceAll(m, ".", ","))
			if strings.Contains(text, "..") {
				t.Skip("the points of the range are gone")
			}
		}
		m = Metres(m)
		for _, p := range parsers {
			if p.name != form.name {
				continue
			}
			a, b := p.parse(mm), p.parse(m)
			if (a.fault == nil) != (b.fault == nil) || a.value != b.value {
				t.Errorf("%s %q = %+v (%v), in metres %q = %+v (%v)", p.name, mm, a.value, a.fault, m, b.value, b.fault)
			}
			if a.fault != nil && strings.Count(text, "#") < 2 {
				t.Errorf("%s %q: %v", p.name, mm, a.fault)
			}
		}
	})
}
