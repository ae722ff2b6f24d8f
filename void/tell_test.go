package void

import (
	"fmt"
	"strings"
	"testing"
)

// many is a project of two bays with n rows in A, of the given columns after the level.
func many(t *testing.T, n int, columns string, of func(i int) string) *Project {
	t.Helper()
	p := New("many", []string{"bays.csv", "pipework.csv"})
	tableOf(t, "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000000,8000,3600,2700\nB,0,8000,9000000,16000,3600,2700", p.AddBay)
	var rows strings.Builder
	rows.WriteString("id,x1,y1,x2,y2,size,level," + columns)
	for i := range n {
		fmt.Fprintf(&rows, "\np%d,%d,1000,%d,1000,ø20,3000,%s", i, 800*i, 800*i+400, of(i))
	}
	tableOf(t, rows.String(), func(r ZoneRow) {
		r.At.File = 1
		p.AddZone("pipework.csv", &r)
	})
	p.Resolve()
	return p
}

// counted checks how many problems are kept and how many are only counted.
func counted(t *testing.T, when string, ps []Problem, kept, more int) {
	t.Helper()
	got, rest := 0, 0
	for _, pr := range ps {
		if pr.More > 0 {
			rest += pr.More
			if pr.String() != fmt.Sprintf("pipework.csv: and %d more", pr.More) {
				t.Errorf("%s: %q", when, pr)
			}
		} else {
			got++
		}
	}
	if got != kept || rest != more {
		t.Errorf("%s: %d kept and %d more, want %d and %d", when, got, rest, kept, more)
	}
}

func change(t *testing.T, p *Project, id, column, text string) {
	t.Helper()
	if _, pr := p.Edit(id, column, text); pr != nil {
		t.Fatalf("%s %s=%s: %v", id, column, text, pr)
	}
}

// Of 1,002 rows that say the wrong bay 1,000 are told and 2 counted. An edit takes back what it mends, told or counted, and
// what comes again is told where there is room.
func TestWarningsAreBounded(t *testing.T) {
	p := many(t, 1002, "bay", func(int) string { return "B" })
	counted(t, "read", p.Warnings, 1000, 2)
	change(t, p, "p0", "bay", "A")
	counted(t, "one that was told is mended", p.Warnings, 999, 2)
	change(t, p, "p1001", "bay", "A")
	counted(t, "one that was counted is mended", p.Warnings, 999, 1)
	change(t, p, "p1001", "bay", "B")
	counted(t, "and is wrong again", p.Warnings, 1000, 1)
	change(t, p, "p1000", "bay", "A")
	counted(t, "the last that was counted is mended", p.Warnings, 1000, 0)
	change(t, p, "p1000", "bay", "B")
	change(t, p, "p0", "bay", "B")
	counted(t, "all are wrong again", p.Warnings, 1000, 2)
	p.Resolve()
	counted(t, "worked out again", p.Warnings, 1000, 2)
}

// So with words that nobody knows, of which each is told once: a mended row's word is taken back even where it was counted.
func TestUnknownWordsAreBounded(t *testing.T) {
	p := many(t, 1002, "kind", func(i int) string { return fmt.Sprintf("flexible duct %d", i) })
	counted(t, "read", p.Warnings, 1000, 2)
	change(t, p, "p1001", "kind", "pipe")
	counted(t, "one that was counted is mended", p.Warnings, 1000, 1)
	change(t, p, "p5", "kind", "pipe")
	counted(t, "one that was told is mended", p.Warnings, 999, 1)
	if w := p.Warnings[0]; !strings.Contains(w.String(), `"flexible duct 0"`) || w.Hint != `did you mean "flexible duct"?` {
		t.Errorf("the first is %v", w)
	}
}

// A hint is looked for to what is told one by one, and to no more.
func TestHintsAreLookedForOnlyWhereTold(t *testing.T) {
	p := many(t, 1002, "hanger", func(i int) string { return fmt.Sprintf("channel 41 M10 %d", i%10) })
	counted(t, "read", p.Problems, 1000, 2)
	for _, pr := range p.Problems[:1000] {
		if pr.Hint != `did you mean "channel 41 M10"?` || pr.guess != nil {
			t.Fatalf("hint of %v", pr)
		}
	}
	looked := 0
	pr := Problem{File: "pipework.csv", guess: &guess{func() string { looked++; return "" }}}
	if p.addProblem(pr, teller{}); looked != 0 {
		t.Error("a hint was looked for to what is only counted")
	}
	pr.File = "bays.csv"
	if p.addProblem(pr, teller{}); looked != 1 {
		t.Errorf("looked for a hint %d times, want once", looked)
	}
}

// Rows may differ in character in 10,000 ways: of 10,002 kinds two are too many, and 10,000 zones are left.
func TestCharactersAreBounded(t *testing.T) {
	p := many(t, mostCharacters+2, "kind", func(i int) string { return fmt.Sprintf("q%d", i) })
	counted(t, "read", p.Problems, 2, 0)
	want := "pipework.csv:10002: differs in trade, service, kind, class, circuits or recessed from all rows before, and those differ in 10000 ways already; " +
		"give there what many rows share (ids or notes may stand under one of these headings)"
	if len(p.Problems) == 0 || p.Problems[0].String() != want {
		t.Errorf("told %v", p.Problems)
	}
	if p.RowsMissing != 2 || p.Zones() != mostCharacters {
		t.Errorf("%d rows missing, %d zones", p.RowsMissing, p.Zones())
	}
	counted(t, "read", p.Warnings, 1000, 9000)
	if _, pr := p.Edit("p0", "kind", "another"); pr == nil {
		t.Error("one more kind came in by an edit")
	}
	change(t, p, "p0", "kind", "q1")
}
