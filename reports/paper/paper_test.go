package paper

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"voidline/reports/draw"
	"voidline/reports/internal/example"
	"voidline/reports/meeting"
	"voidline/void/need"
)

// TestFoldLosesNothing: however narrow the column, every sign is there, in order, and no line is wider than it
// but where one sign is.
func TestFoldLosesNothing(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringOf(rapid.SampledFrom([]rune("aAwi-/ . ŷŁó甲"))).Draw(t, "text")
		width := rapid.Float64Range(1, 60).Draw(t, "width")
		lines := draw.Wrap(text, body, width, false)
		if got, want := strings.Join(lines, ""), strings.Join(strings.Fields(text), ""); strings.ReplaceAll(got, " ", "") != want {
			t.Fatalf("Wrap(%q, %v) = %q, want the same signs", text, width, lines)
		}
		for _, l := range lines {
			if w := draw.Width(l, body, false); w > width+1e-9 && len([]rune(l)) > 1 {
				t.Fatalf("Wrap(%q, %v): %q is %v wide", text, width, l, w)
			}
		}
	})
}

func TestClean(t *testing.T) {
	s := newSheet(draw.NewPDF(pageWide, pageHigh, draw.PDFOptions{}))
	for in, want := range map[string]string{
		"Tŷ Łódź ø100 – “x” ’": "Tŷ Łódź ø100 – “x” ’", "plain": "plain", "東区 3階 (北) 배관": "東区 3階 (北) 배관",
		"\u1107\u1162\u110b": "배\u110b", // Hangul in its parts
	} {
		if got := s.clean(in); got != want || s.lacks {
			t.Errorf("clean(%q) = %q, lacks %v", in, got, s.lacks)
		}
	}
	if got := s.clean("風 😀"); got != "風 □" || !s.lacks {
		t.Errorf("clean of other signs = %q, lacks %v, want a box and a note", got, s.lacks)
	}
}

func TestFold(t *testing.T) {
	for _, test := range []struct {
		text  string
		width float64
		want  []string
	}{
		{"東区北側系統のダクト", 4.5, []string{"東区北側", "系統のダ", "クト"}},
		{"北側系統、南側", 4.5, []string{"北側系", "統、南側"}}, // no line begins with 、
		{"배관실 동쪽", 4.5, []string{"배관실", "동쪽"}},
		{"duct 北側系統", 4.5, []string{"duct 北側", "系統"}},
	} {
		if got := draw.Wrap(test.text, 1, test.width, false); !slices.Equal(got, test.want) {
			t.Errorf("Wrap(%q, 1, %v) = %q, want %q", test.text, test.width, got, test.want)
		}
	}
}

// TestNote: names of the far east stand as text in a report, and the note on boxes is there only where one is.
func TestNote(t *testing.T) {
	if _, err := exec.LookPath("pdftotext"); err != nil {
		need.Skip(t, "pdftotext (poppler-utils) is not installed: the text of the PDF is not looked for")
	}
	const note = "□: a letter that this type does not have"
	for _, test := range []struct {
		bay, want string
		note      bool
	}{
		{"A-B/1-2", "A-B/1-2", false},
		{"Tŷ Łódź 東区 3階 (北) シャフト 机电层 배관", "Tŷ Łódź 東区 3階 (北) シャフト 机电层 배관", false},
		{"Tŷ Łódź 東区 🔧 배관", "Tŷ Łódź 東区 □ 배관", true},
	} {
		r := meeting.Make(meeting.Input{Result: example.Result(), Rules: example.Rules(), Date: "2026-03-09"})
		r.Project = test.bay
		for i := range r.Bays {
			r.Bays[i].Name = test.bay
		}
		var b bytes.Buffer
		if err := Write(&b, r, Options{Date: time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC), All: true}); err != nil {
			t.Fatal(err)
		}
		name := filepath.Join(t.TempDir(), "report.pdf")
		if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		// Once in the block of page one, and in the header of every page.
		if n, pages := strings.Count(string(out), test.want), strings.Count(string(out), "\f"); n < 1+pages {
			t.Errorf("%q is %d times in the text of %d pages", test.want, n, pages)
		}
		if got := strings.Contains(string(out), note); got != test.note {
			t.Errorf("%q: the note is there: %v, want %v", test.bay, got, test.note)
		}
	}
}

func TestWriteTwice(t *testing.T) {
	for name, r := range map[string]*meeting.Report{
		"example": meeting.Make(meeting.Input{Result: example.Result(), Rules: example.Rules(), Date: "2026-03-09"}),
		"empty":   meeting.Make(meeting.Input{Result: example.Empty(), Date: "2026-03-09"}),
	} {
		var a, b bytes.Buffer
		day := Options{Date: time.Date(2026, 3, 9, 0, 0, 0, 0, time.UTC)}
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
	s := newSheet(p)
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
