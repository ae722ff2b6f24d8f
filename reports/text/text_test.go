package text_test

import (
	"bytes"
	"errors"
	"fmt"
	"strconv"
	"strings"
	"testing"
	"unicode"

	"pgregory.net/rapid"

	"voidline/clash/finding"
	"voidline/reports/internal/example"
	"voidline/reports/internal/golden"
	"voidline/reports/text"
	"voidline/reports/words"
)

var widths = []int{60, 80, 120}

// fits fails unless every line of out is at most width columns wide, ends in no blank and holds
// nothing that a terminal would act on.
func fits(t interface {
	Helper()
	Errorf(string, ...any)
}, out string, width int,
) {
	t.Helper()
	for i, l := range strings.Split(out, "\n") {
		if w := words.Width(l); w > width {
			t.Errorf("line %d is %d columns wide, want at most %d:\n%s", i+1, w, width, l)
		}
		if strings.HasSuffix(l, " ") {
			t.Errorf("line %d ends in a blank: %q", i+1, l)
		}
		for _, r := range l {
			if unicode.IsControl(r) || unicode.Is(unicode.Cf, r) {
				t.Errorf("line %d holds the control sign %U", i+1, r)
			}
		}
	}
}

func check(t *testing.T, r *finding.Result, opt text.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := text.Check(&b, r, opt); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestCheck(t *testing.T) {
	for _, w := range widths {
		out := check(t, example.Result(), text.Options{Width: w})
		fits(t, out, w)
		golden.Equal(t, fmt.Sprintf("check-%d.txt", w), []byte(out))
	}
	out := check(t, example.Empty(), text.Options{})
	fits(t, out, 80)
	golden.Equal(t, "empty.txt", []byte(out))
}

// What the answer must say stands in this order.
func TestCheckOrder(t *testing.T) {
	out := check(t, example.Result(), text.Options{Width: 120})
	at := 0
	for _, want := range []string{
		"2 rows are MISSING", "2 storeys, 8 bays, 104 zones, 14 rules", "14 problems, 14 findings: 4 overlaps", "ceiling / containment",
		"bay by bay", "── Bay A-B/1-2", "run SA1 (ductwork) against 6 zones of lighting", "── Outside every bay",
		"Builder's work", "To be protected", "Meant to meet", "Could not be checked", "Warnings about the tables", "asbestos",
	} {
		i := strings.Index(out[at:], want)
		if i < 0 {
			t.Fatalf("%q does not stand after %q", want, out[max(0, at-60):at])
		}
		at += i
	}
}

func TestCheckColourAddsNoText(t *testing.T) {
	plain := check(t, example.Result(), text.Options{})
	bright := check(t, example.Result(), text.Options{Color: true})
	for _, code := range []string{"\x1b[0m", "\x1b[1m", "\x1b[2m"} {
		if !strings.Contains(bright, code) {
			t.Errorf("no %q in the coloured answer", code)
		}
		bright = strings.ReplaceAll(bright, code, "")
	}
	if bright != plain {
		t.Error("the coloured answer says something else than the plain one")
	}
}

func TestCheckMost(t *testing.T) {
	r := example.Result()
	all := strings.Count(check(t, r, text.Options{Most: -1}), "k7")
	if all != len(r.Findings) {
		t.Errorf("%d findings printed, want %d", all, len(r.Findings))
	}
	out := check(t, r, text.Options{Most: 5})
	if got := strings.Count(out, "k7"); got != 5 {
		t.Errorf("%d findings printed, want 5", got)
	}
	for _, want := range []string{"The worst 5 of 14", "9 are not shown", "5 of them not shown here"} {
		if !strings.Contains(out, want) {
			t.Errorf("%q is not said", want)
		}
	}
}

func TestCheckIsDeterministic(t *testing.T) {
	want := check(t, example.Result(), text.Options{})
	for range 20 {
		if got := check(t, example.Result(), text.Options{}); got != want {
			t.Fatal("two answers differ")
		}
	}
	// The order in which findings come does not matter.
	r := example.Result()
	for i, j := 0, len(r.Findings)-1; i < j; i, j = i+1, j-1 {
		r.Findings[i], r.Findings[j] = r.Findings[j], r.Findings[i]
	}
	if got := check(t, r, text.Options{}); got != want {
		t.Error("the answer hangs on the order of the findings")
	}
}

// Any names, at any width: no line too wide, nothing that a terminal acts on, every finding there.
func TestCheckAnyNames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.String(), rapid.StringMatching(`[A-Z]{1,3}-[0-9]{1,90}`), rapid.Just("漢字\t\u202e漢字 \xff👩‍🔧"))
		r := &finding.Result{Project: name.Draw(t, "project")}
		n := rapid.IntRange(0, 12).Draw(t, "findings")
		for i := range n {
			f := finding.Finding{
				ID: "id" + strconv.Itoa(1000+i), A: name.Draw(t, "a"), ATrade: name.Draw(t, "trade"), ARun: rapid.SampledFrom([]string{"", "R1"}).Draw(t, "run"),
				Kind: rapid.SampledFrom([]finding.Kind{finding.Overlap, finding.Tight, finding.Access}).Draw(t, "kind"),
				Rule: name.Draw(t, "rule"), Gap: rapid.Float64().Draw(t, "gap"), Short: rapid.Float64Range(-10, 1e7).Draw(t, "short"),
			}
			if rapid.Bool().Draw(t, "two") {
				b := name.Draw(t, "b")
				f.B, f.BTrade, f.GivesWay = &b, "x", b
			}
			if rapid.Bool().Draw(t, "in a bay") {
				b := name.Draw(t, "bay")
				f.Bay = &b
			}
			r.Findings = append(r.Findings, f)
			r.BuildersWork = append(r.BuildersWork, finding.Hole{Service: f.A, In: f.ATrade, Width: f.Short})
			r.Unchecked = append(r.Unchecked, finding.Note{Zone: f.A, Text: f.Rule})
		}
		width := rapid.IntRange(40, 130).Draw(t, "width")
		var b bytes.Buffer
		if err := text.Check(&b, r, text.Options{Width: width}); err != nil {
			t.Fatal(err)
		}
		fits(t, b.String(), width)
		for i := range n {
			if !strings.Contains(b.String(), "id"+strconv.Itoa(1000+i)) {
				t.Errorf("finding %d is not printed", i)
			}
		}
	})
}

type broken struct{}

var errDisk = errors.New("disk full")

func (broken) Write([]byte) (int, error) { return 0, errDisk }

func TestWriteErrors(t *testing.T) {
	if err := text.Check(broken{}, example.Result(), text.Options{}); !errors.Is(err, errDisk) {
		t.Errorf("Check returned %v", err)
	}
	if err := text.Rules(broken{}, example.Rules(), text.Options{}); !errors.Is(err, errDisk) {
		t.Errorf("Rules returned %v", err)
	}
	if err := text.Stack(broken{}, stack(), text.Options{}); !errors.Is(err, errDisk) {
		t.Errorf("Stack returned %v", err)
	}
}

func TestRules(t *testing.T) {
	for _, w := range widths {
		var b bytes.Buffer
		if err := text.Rules(&b, example.Rules(), text.Options{Width: w}); err != nil {
			t.Fatal(err)
		}
		fits(t, b.String(), w)
		golden.Equal(t, fmt.Sprintf("rules-%d.txt", w), b.Bytes())
	}
}

func stack() text.StackTable {
	f := func(v float64) *float64 { return &v }
	return text.StackTable{
		Bay: "A-B/1-2", Storey: "Level 2", Where: "B+1200, grid 2-450", X: 7200, Y: 11550, Why: "the tightest point found in the bay",
		FFL: 3700, Datum: 1000,
		Lines: []text.StackLine{
			{Kind: text.StackSoffit, Name: "soffit A-B/1-2", Row: "bays.csv:4", Top: 3400, Bottom: 3400, Gap: f(40)},
			{Kind: text.StackZone, Name: "SA1-02", Trade: "ductwork", What: "duct 600x300, insulated 25", Row: "duct.csv:10", Top: 3360, Bottom: 3010, Gap: f(10), Asked: f(25), Short: 15, Rule: "insulation to insulation (common practice)"},
			{Kind: text.StackZone, Name: "B-07", Trade: "containment", What: "basket 300x60", Row: "tray.csv:9", Top: 3000, Bottom: 2940, Gap: f(0)},
			{Kind: text.StackHanger, Name: "hanger of B-07", What: "channel 41, plate washer, nut and rod tail", Top: 2940, Bottom: 2884.1, Gap: f(-35.9), Asked: f(0), Short: 35.9, Rule: "nothing hangs into the build-up (geometry)"},
			{Kind: text.StackLayer, Name: "top-hat", Top: 2920, Bottom: 2895},
			{Kind: text.StackLayer, Name: "two boards", What: "12.5 each", Top: 2895, Bottom: 2870},
			{Kind: text.StackCeiling, Name: "ceiling A-B/1-2", Row: "bays.csv:4", Top: 2870, Bottom: 2870},
		},
		Void: f(480), Bodies: 465.9, Gaps: 14.1,
		Notes: []string{"P-90 lies over the whole bay: only its height is known"},
	}
}

func TestStack(t *testing.T) {
	for _, w := range widths {
		var b bytes.Buffer
		if err := text.Stack(&b, stack(), text.Options{Width: w}); err != nil {
			t.Fatal(err)
		}
		fits(t, b.String(), w)
		golden.Equal(t, fmt.Sprintf("stack-%d.txt", w), b.Bytes())
	}
}
