package words

import (
	"encoding/json"
	"math"
	"slices"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"

	"voidline/clash/finding"
	"voidline/reports/internal/example"
	"voidline/void/cell"
)

func TestRounding(t *testing.T) {
	for _, test := range []struct {
		mm             float64
		up, down, near string
		tenth          float64
	}{
		{0, "0", "0", "0", 0},
		{math.Copysign(0, -1), "0", "0", "0", 0},
		{-0.04, "0", "0", "0", 0},
		{0.04, "0", "0", "0", 0},
		{59.99999, "60", "60", "60", 60},
		{60.00001, "60", "60", "60", 60},
		{35.9, "36", "35", "36", 35.9},
		{146.6, "147", "146", "147", 146.6},
		{0.1 + 0.2, "1", "0", "0", 0.3},
		{-0.3, "0", "-1", "0", -0.3},
		{-35.9, "-35", "-36", "-36", -35.9},
		{0.5, "1", "0", "1", 0.5},
		{-0.5, "0", "-1", "-1", -0.5},
		{1e7 + 0.1, "10000001", "10000000", "10000000", 1e7 + 0.1},
		{math.NaN(), "?", "?", "?", math.NaN()},
		{math.Inf(-1), "?", "?", "?", math.Inf(-1)},
	} {
		if got := Up(test.mm); got != test.up {
			t.Errorf("Up(%v) = %q, want %q", test.mm, got, test.up)
		}
		if got := Down(test.mm); got != test.down {
			t.Errorf("Down(%v) = %q, want %q", test.mm, got, test.down)
		}
		if got := Near(test.mm); got != test.near {
			t.Errorf("Near(%v) = %q, want %q", test.mm, got, test.near)
		}
		got := Tenth(test.mm)
		if got != test.tenth && !(math.IsNaN(got) && math.IsNaN(test.tenth)) || got == 0 && math.Signbit(got) {
			t.Errorf("Tenth(%v) = %v, want %v", test.mm, got, test.tenth)
		}
	}
}

// Up never tells less, Down never more, than the length to the nearest 0.1; both by less than 1; and
// whole tenths come out of Tenth with one decimal.
func TestRoundingBounds(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(-1e8, 1e8).Draw(t, "tenths")
		hair := rapid.Float64Range(-0.04, 0.04).Draw(t, "hair")
		mm := float64(n)/10 + hair
		if got := Tenth(mm); got != float64(n)/10 {
			t.Fatalf("Tenth(%v) = %v, want %v", mm, got, float64(n)/10)
		}
		up, down := number(t, Up(mm)), number(t, Down(mm))
		if 10*up < n || 10*up >= n+10 {
			t.Fatalf("Up(%v) = %d", mm, up)
		}
		if 10*down > n || 10*down <= n-10 {
			t.Fatalf("Down(%v) = %d", mm, down)
		}
	})
}

func number(t *rapid.T, s string) int {
	n, sign := 0, 1
	for i, r := range s {
		if i == 0 && r == '-' && s != "-0" {
			sign = -1
			continue
		}
		if r < '0' || r > '9' {
			t.Fatalf("%q is no whole number", s)
		}
		n = 10*n + int(r-'0')
	}
	return sign * n
}

func TestLevel(t *testing.T) {
	for mm, want := range map[float64]string{2964: "FFL+2964", 0: "FFL+0", -0.01: "FFL+0", -120.4: "FFL-120", math.NaN(): "FFL?"} {
		if got := Level(mm); got != want {
			t.Errorf("Level(%v) = %q, want %q", mm, got, want)
		}
	}
}

func TestClean(t *testing.T) {
	for _, test := range []struct{ in, want string }{
		{"", ""},
		{"B-07", "B-07"},
		{"  two\t\r\n words ", "two words"},
		{"Tŷ Gŵyr, Łódź", "Tŷ Gŵyr, Łódź"},
		{"a\x1b[31mb", "a\ufffd[31mb"},
		{"a\u009b31mb", "a\ufffd31mb"},         // the one-byte form of the same
		{"a\u202egpj.b", "a\ufffdgpj.b"},       // turns the writing direction
		{"a\u200bb\u00adc", "a\ufffdb\ufffdc"}, // no width
		{"bad \xff", "bad \ufffd"},
		{"a\u00a0b", "a b"},
		{"\x00", "\ufffd"},
	} {
		if got := Clean(test.in); got != test.want {
			t.Errorf("Clean(%q) = %q, want %q", test.in, got, test.want)
		}
	}
}

func TestCleanTwice(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := rapid.OneOf(rapid.String(), rapid.Map(rapid.SliceOf(rapid.Byte()), func(b []byte) string { return string(b) })).Draw(t, "s")
		c := Clean(s)
		if Clean(c) != c {
			t.Fatalf("Clean(%q) = %q, cleaned again %q", s, c, Clean(c))
		}
		if !utf8.ValidString(c) || strings.ContainsAny(c, "\n\r\t\x1b") {
			t.Fatalf("Clean(%q) = %q", s, c)
		}
	})
}

func TestWrap(t *testing.T) {
	for _, test := range []struct {
		in    string
		width int
		want  []string
	}{
		{"", 5, []string{""}},
		{"abc", 5, []string{"abc"}},
		{"abc de", 6, []string{"abc de"}},
		{"abc def", 6, []string{"abc", "def"}},
		{"abcdefgh i", 3, []string{"abc", "def", "gh", "i"}},
		{"steel-15/16", 8, []string{"steel-", "15/16"}},
		{"漢字漢", 4, []string{"漢字", "漢"}},
		{"漢", 1, []string{"漢"}}, // nothing narrower can be had
		{"abc", 0, []string{"a", "b", "c"}},
	} {
		if d := cmp.Diff(test.want, Wrap(test.in, test.width)); d != "" {
			t.Errorf("Wrap(%q, %d) (-want +got):\n%s", test.in, test.width, d)
		}
	}
}

// Wrapped lines fit and lose nothing but blanks.
func TestWrapKeeps(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		s := Clean(rapid.OneOf(rapid.String(), rapid.StringMatching(`[a-f漢ŷ:/. -]{0,90}`)).Draw(t, "s"))
		width := rapid.IntRange(2, 40).Draw(t, "width")
		ls := Wrap(s, width)
		for _, l := range ls {
			if Width(l) > width {
				t.Fatalf("Wrap(%q, %d) has the line %q, %d wide", s, width, l, Width(l))
			}
		}
		if got, want := strings.Join(ls, ""), s; strings.ReplaceAll(got, " ", "") != strings.ReplaceAll(want, " ", "") {
			t.Fatalf("Wrap(%q, %d) = %q", s, width, ls)
		}
	})
}

func TestShort(t *testing.T) {
	for _, test := range []struct {
		in   string
		most int
		want string
	}{
		{"abc", 3, "abc"},
		{"abcdefghij-01", 10, "abcdef…-01"},
		{"漢字漢字漢字", 7, "漢字…字"},
		{"abcd", 2, "…"},
	} {
		got := Short(test.in, test.most)
		if got != test.want || Width(got) > test.most {
			t.Errorf("Short(%q, %d) = %q, want %q", test.in, test.most, got, test.want)
		}
	}
}

// Every finding is said once, however they are gathered; a bundle is no smaller than it must be.
func TestGatherKeepsAll(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(0, 40).Draw(t, "findings")
		name := rapid.SampledFrom([]string{"", "a", "b", "c"})
		var fs []*finding.Finding
		for range n {
			f := &finding.Finding{A: name.Draw(t, "a"), ATrade: name.Draw(t, "trade"), ARun: name.Draw(t, "run")}
			if rapid.Bool().Draw(t, "two") {
				b := name.Draw(t, "b")
				f.B, f.BTrade, f.BRun = &b, name.Draw(t, "btrade"), name.Draw(t, "brun")
			}
			fs = append(fs, f)
		}
		var got []*finding.Finding
		for _, g := range gather(fs) {
			if g.of != (bundle{}) && len(g.fs) == 0 || g.of == (bundle{}) && len(g.fs) != 1 {
				t.Fatalf("bundle %v has %d findings", g.of, len(g.fs))
			}
			for _, f := range g.fs {
				if a, b := bundles(f); g.of != (bundle{}) && a != g.of && b != g.of {
					t.Fatalf("%v stands under %v", f, g.of)
				}
			}
			got = append(got, g.fs...)
		}
		if len(got) != n {
			t.Fatalf("%d findings gathered, want %d", len(got), n)
		}
		for _, f := range fs {
			if !slices.Contains(got, f) {
				t.Fatalf("%v is lost", f)
			}
		}
	})
}

func TestCheckLeavesTheResult(t *testing.T) {
	r := example.Result()
	Check(r, 3)
	if d := cmp.Diff(example.Result(), r); d != "" {
		t.Errorf("Check changed the result:\n%s", d)
	}
}

func TestSentences(t *testing.T) {
	b, c, s := "SA1", "ceiling X", "soffit X"
	wide := 120.0
	for _, test := range []struct {
		f         finding.Finding
		what, say string
	}{
		{finding.Finding{Kind: finding.Overlap, A: "B-07", B: &c, Depth: &finding.Depth{Vertical: 35.9}, Short: 35.9}, "overlap 36", "B-07 reaches 36 down into the ceiling"},
		{finding.Finding{Kind: finding.Overlap, A: c, B: &b, Depth: &finding.Depth{Vertical: 35.9}, Asked: 25, Short: 60.9}, "overlap 36", "SA1 reaches 36 down into the ceiling; with the 25 gap needed, 61 short in all"},
		{finding.Finding{Kind: finding.Overlap, A: "P", B: &s, Depth: &finding.Depth{Vertical: 1.04}}, "overlap 1", "P reaches 1 up into the soffit"},
		{finding.Finding{Kind: finding.Overlap, A: "P", B: &b, Depth: &finding.Depth{Vertical: 200, Sideways: &wide}}, "overlap 120", "they overlap by 200 in height, 120 sideways"},
		{finding.Finding{Kind: finding.Tight, A: "P", B: &b, Gap: 146.6, Asked: 150, Short: 3.4, Side: cell.Above}, "tight, 4 short", "146 clear above P, 150 needed, 4 short"},
		{finding.Finding{Kind: finding.Tight, A: "P", B: &b, Gap: 0, Asked: 25, Short: 25, Side: cell.Around}, "tight, 25 short", "no gap between them, 25 needed, 25 short"},
		{finding.Finding{Kind: finding.Access, A: "P", Gap: 410.96, Asked: 600, Short: 189.04}, "access, 189 short", "411 clear, 600 needed, 189 short"},
		{finding.Finding{Kind: finding.Access, A: "P", Gap: 940, Asked: 600, Short: 340}, "access, 340 too far", "nearest hatch 940 away, 600 at most, 340 too far"},
		{finding.Finding{Kind: finding.Access, A: "P"}, "access", "cannot be reached"},
	} {
		if got := what(&test.f); got != test.what {
			t.Errorf("what(%+v) = %q, want %q", test.f, got, test.what)
		}
		if got := there(&test.f); got != test.say {
			t.Errorf("there(%+v) = %q, want %q", test.f, got, test.say)
		}
	}
}

func TestSupportToMove(t *testing.T) {
	by := func(mm float64) *float64 { return &mm }
	f := finding.Finding{A: "supports of T-1", AKind: "support", GivesWay: "T-1"}
	for _, test := range []struct {
		held   *finding.Held
		say    string
		clears bool
	}{
		{&finding.Held{Part: "rod", At: 3300, Count: 1, Of: 5, Can: 1, Move: by(-54.3)}, "Move the rod 3300 from the start of T-1 by 55, towards its start (1 of 5 supports)", true},
		{&finding.Held{Part: "channel", At: 3300, Count: 1, Of: 1, Can: 1, Move: by(180)}, "Move the channel 3300 from the start of T-1 by 180, towards its end (1 of 1 support)", true},
		{
			&finding.Held{Part: "rod", At: 505, Count: 1, Of: 5, Can: 1, Two: []float64{84, 73}},
			"Put two in place of the rod 505 from the start of T-1: one 84 nearer the start of the row, one 73 nearer its end (1 of 5 supports)", true,
		},
		{
			&finding.Held{Part: "rod", At: 502, Count: 2, Of: 4, Can: 1},
			"No clear position along the run within the spacing for the rod 502 from the start of T-1, the worst (2 of 4 supports); 1 of them can move", false,
		},
	} {
		f.Support = test.held
		if got := toMove(&f); got != test.say || test.held.Clears() != test.clears {
			t.Errorf("%+v: %q, %v, want %q, %v", test.held, got, test.held.Clears(), test.say, test.clears)
		}
	}
	// Of the supports of a frame no place along a row is known.
	frame := finding.Finding{A: "supports of T-1", AKind: "support", GivesWay: "T-1"}
	if got, want := toMove(&frame), "supports of T-1 to move: no single move is known that clears them"; got != want {
		t.Errorf("a frame: %q, want %q", got, want)
	}
	if row, ok := SupportsOf(&f); row != "T-1" || !ok {
		t.Errorf("SupportsOf = %q, %v, want T-1", row, ok)
	}
	if _, ok := SupportsOf(&finding.Finding{A: "supports of T-1", AKind: "tray"}); ok {
		t.Error("a tray with such a name is taken for supports")
	}
}

// Signs that a terminal may obey are spelled out, and read back as they were.
func TestSpelled(t *testing.T) {
	for _, text := range []string{"DU-1 ø250 é", "a\u009b2Jb", "\x7f", "\u202e\u2066", "\U000e0041x", "\u00adx\u0085"} {
		data, err := json.Marshal(text)
		if err != nil {
			t.Fatal(err)
		}
		out := Spelled(data)
		for _, r := range string(out) {
			if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
				t.Errorf("%+q is written as %+q", text, out)
				break
			}
		}
		var back string
		if err := json.Unmarshal(out, &back); err != nil || back != text {
			t.Errorf("%+q read back as %+q, %v", text, back, err)
		}
	}
}

// TestProved: what was proved of moves is said as a question wants it: all that are clear, whosever they are; else two at once; else what the
// least one meets. A move that was not put to the proof says nothing.
func TestProved(t *testing.T) {
	yes, no := true, false
	up := finding.Move{Zone: "D-1", Direction: "up", By: 41, DZ: 41, Clear: &yes}
	down := finding.Move{Zone: "D-1", Direction: "down", By: 12, DZ: -12, Clear: &no, Meets: &finding.Meets{With: "T-7", By: 11.2}}
	other := finding.Move{Zone: "T-7", Direction: "up", By: 30, DZ: 30, Clear: &yes, Takes: finding.TakesRun}
	parts := finding.Move{Zone: "D-1", Direction: "down", By: 9, DZ: -9, Clear: &no, Meets: &finding.Meets{With: "D-2"}}
	bare := finding.Move{Zone: "D-1", Direction: "up", By: 5, DZ: 5}
	for _, test := range []struct {
		f     finding.Finding
		want  string
		clear bool
	}{
		{finding.Finding{Moves: []finding.Move{down, up}}, "D-1 up 41 clears it and meets nothing", true},
		{finding.Finding{Moves: []finding.Move{up, other}}, "D-1 up 41 or T-7 up 30 with its run clears it and meets nothing", true},
		{finding.Finding{Moves: []finding.Move{down}}, "D-1 down 12 clears it, but is then 12 short of T-7", false},
		{finding.Finding{Moves: []finding.Move{parts}}, "D-1 down 9 clears it, but then it parts from D-2", false},
		{finding.Finding{Tried: []finding.Move{down}}, "D-1 down 12 clears it, but is then 12 short of T-7", false},
		{finding.Finding{Moves: []finding.Move{down}, Together: []finding.Move{up, other}}, "D-1 up 41 together with T-7 up 30 with its run clears it and meets nothing", true},
		{finding.Finding{Moves: []finding.Move{bare}}, "", false},
		{finding.Finding{}, "", false},
	} {
		if got := Proof(&test.f); got != test.want {
			t.Errorf("%q, want %q", got, test.want)
		}
		if got := Clears(&test.f); got != test.clear {
			t.Errorf("%q is clear: %v, want %v", test.want, got, test.clear)
		}
	}
}

// The label of a bay has its storey where several storeys have a bay of that name: it is not said twice.
func TestBayIsSaidInItsStorey(t *testing.T) {
	for _, x := range [][3]string{
		{"bay A/5", "Level 1", "bay A/5, Level 1"},
		{"bay A/5, Level 1", "Level 1", "bay A/5, Level 1"},
		{"bay A/5, 1", "1", "bay A/5, storey 1"},
		{"bay A/5", "", "bay A/5"},
	} {
		if got := InStorey(x[0], x[1]); got != x[2] {
			t.Errorf("%s of %q: %q, want %q", x[0], x[1], got, x[2])
		}
	}
}
