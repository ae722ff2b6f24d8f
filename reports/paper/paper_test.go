package paper

import (
	"bytes"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"voidline/reports/draw"
	"voidline/reports/internal/example"
	"voidline/reports/meeting"
)

// TestFoldLosesNothing: however narrow the column, every sign is there, in order, and no line is wider than it
// but where one sign is.
func TestFoldLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("aAwi-/ . ŷŁó甲"))).Draw(t, "text")
		width := rapid.Float64Range(1, 60).Draw(t, "width")
		lines := fold(text, body, width, false)
		if got, want := strings.Join(lines, ""), strings.Join(strings.Fields(text), ""); strings.ReplaceAll(got, " ", "") != want {
			t.Fatalf("fold(%q, %v) = %q, want the same signs", text, width, lines)
		}
		for _, l := range lines {
			if w := draw.Width(l, body, false); w > width+1e-9 && len([]rune(l)) > 1 {
				t.Fatalf("fold(%q, %v): %q is %v wide", text, width, l, w)
			}
		}
	})
}

func TestClean(t *testing.T) {
	s, err := newSheet(draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{}))
	if err != nil {
		t.Fatal(err)
	}
	for in, want := range map[string]string{"Tŷ Łódź ø100 – “x” ’": "Tŷ Łódź ø100 – “x” ’", "plain": "plain"} {
		if got := s.clean(in); got != want || s.lacks {
			t.Errorf("clean(%q) = %q, lacks %v", in, got, s.lacks)
		}
	}
	if got := s.clean("風 😀"); got != "□ □" || !s.lacks {
		t.Errorf("clean of other signs = %q, lacks %v, want boxes and a note", got, s.lacks)
	}
}

func TestWriteTwice(t *testing.T) {
	for name, r := range map[string]*meeting.Report{
		"example": meeting.Make(meeting.Input{Result: example.Result(), Rules: example.Rules(), Date: "2026-03-09"}),
		"empty":   meeting.Make(meeting.Input{Result: example.Empty(), Date: "2026-03-09"}),
	} {
		var a, b bytes.Buffer
		day := time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC)
		if err := Write(&a, r, day); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if err := Write(&b, r, day); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if !bytes.Equal(a.Bytes(), b.Bytes()) {
			t.Errorf("%s: two writings differ", name)
		}
		if !bytes.Contains(a.Bytes(), []byte("/CreationDate (D:20260309")) {
			t.Errorf("%s: the date is not in the file", name)
		}
	}
}

// TestTallRow: a row higher than a page goes on over the edge and ends.
func TestTallRow(t *testing.T) {
	p := draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{})
	s, err := newSheet(p)
	if err != nil {
		t.Fatal(err)
	}
	s.newPage()
	s.table([]column{{"a", 1, false}, {"b", 9, false}}, [][]cell{{c(strings.Repeat("word ", 600)), c("x")}, {c("last"), c("y")}}, nil)
	if n := p.PageCount(); n < 2 || n > 20 {
		t.Errorf("%d pages, want a few", n)
	}
	s.finish()
	var b bytes.Buffer
	if err := p.Output(&b); err != nil {
		t.Fatal(err)
	}
}
