package message

import (
	"bytes"
	"strings"
	"testing"

	"voidline/clash/finding"
	"voidline/reports/internal/example"
	"voidline/reports/internal/golden"
	"voidline/reports/meeting"
)

func TestMessage(t *testing.T) {
	res := example.Result()
	rep := meeting.Make(meeting.Input{Result: res, Date: "2026-03-09", Sources: []meeting.Source{{File: "duct.csv", Drawing: "M-1"}, {File: "tray.csv"}}, SourcesNamed: true})
	o := Options{
		Trade: "ductwork", Result: res, Tables: []string{"duct.csv"},
		TradeOf: func(id string) string { return map[bool]string{true: "ductwork"}[strings.HasPrefix(id, "SA")] },
	}
	for _, md := range []bool{false, true} {
		o.Markdown = md
		var b bytes.Buffer
		if err := Write(&b, rep, o); err != nil {
			t.Fatal(err)
		}
		golden.Equal(t, map[bool]string{false: "message.txt", true: "message.md"}[md], b.Bytes())
		if !md {
			for i, l := range strings.Split(b.String(), "\n") {
				if n := len([]rune(l)); n > 72 {
					t.Errorf("line %d is %d wide", i+1, n)
				}
			}
		}
	}
}

// TestOnlyTheTradesOwn: what others must do is not in it, nor what is agreed, and it goes by place.
func TestOnlyTheTradesOwn(t *testing.T) {
	bay := "A"
	f := func(id, a, b, way string, x float64) finding.Finding {
		return finding.Finding{
			ID: id, Kind: finding.Tight, A: a, ATrade: "ductwork", B: &b, BTrade: "pipework", Bay: &bay, Short: 5, Asked: 25, Gap: 20,
			At: finding.Spot{X: x}, GivesWay: way, Moves: []finding.Move{{Zone: way, Direction: "up", By: 5}},
		}
	}
	res := &finding.Result{Project: "job", Findings: []finding.Finding{
		f("aaaaaaaaaaaa", "D-1", "P-1", "P-1", 3000), f("bbbbbbbbbbbb", "D-2", "P-2", "P-2", 1000), f("cccccccccccc", "D-3", "P-3", "D-3", 2000), f("dddddddddddd", "D-4", "P-4", "P-4", 2000),
	}}
	rep := meeting.Make(meeting.Input{Result: res, Date: "2026-03-09"})
	for _, g := range rep.Bays[0].All {
		if g.ID == "dddddddddddd" {
			g.Standing.Mark = meeting.MarkAgreed
		}
	}
	var b bytes.Buffer
	if err := Write(&b, rep, Options{Trade: "pipework", Result: res}); err != nil {
		t.Fatal(err)
	}
	said := b.String()
	i, j := strings.Index(said, "bbbbbbbbbbbb"), strings.Index(said, "aaaaaaaaaaaa")
	if i < 0 || j < 0 || i > j {
		t.Errorf("places %d and %d, want the one further west first:\n%s", i, j, said)
	}
	for _, not := range []string{"cccccccccccc", "dddddddddddd"} {
		if strings.Contains(said, not) {
			t.Errorf("%s is in the message and is not this trade's to do", not)
		}
	}
	if !strings.Contains(said, "\n2. Move P-2 up 5\n") {
		t.Errorf("what to do is not said by its number:\n%s", said)
	}
	b.Reset()
	if err := Write(&b, rep, Options{Trade: "lighting", Result: res}); err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(b.String(), "Nothing for lighting to move: no open problem falls to this trade.") {
		t.Errorf("a trade with nothing to do is told:\n%s", b.String())
	}
}

// A duct through one beam over the line of two bays is one problem, and is told once, with both its places.
func TestOneProblemInTwoBays(t *testing.T) {
	beam, west, east := "B-1", "A", "B"
	f := func(id string, bay *string, x float64) finding.Finding {
		return finding.Finding{
			ID: id, Kind: finding.Overlap, A: "D-" + *bay, ATrade: "ductwork", B: &beam, BTrade: "structure", Bay: bay, Short: x / 100,
			At: finding.Spot{X: x}, GivesWay: "D-" + *bay, ProblemID: "pppppppppppp",
		}
	}
	res := &finding.Result{Problems: 1, Findings: []finding.Finding{f("aaaaaaaaaaaa", &west, 1000), f("bbbbbbbbbbbb", &east, 2000)}}
	var b bytes.Buffer
	if err := Write(&b, meeting.Make(meeting.Input{Result: res, Date: "2026-03-09"}), Options{Trade: "ductwork", Result: res}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{"1 problem is yours to clear", "\nBay A\n", "1. D-B to move: no single move is known that clears it", "[aaaaaaaaaaaa]", "[bbbbbbbbbbbb]"} {
		if strings.Count(b.String(), want) != 1 {
			t.Errorf("%q is not there once:\n%s", want, b.String())
		}
	}
	if strings.Contains(b.String(), "Bay B\n") {
		t.Errorf("told in both bays:\n%s", b.String())
	}
}

// TestSupports: of supports it is said where they go, not that nothing is known.
func TestSupports(t *testing.T) {
	bay, duct := "A", "D-1"
	by := 55.0
	f := func(id, row string, held finding.Held) finding.Finding {
		return finding.Finding{
			ID: id, Kind: finding.Overlap, A: "supports of " + row, AKind: "support", ATrade: "containment", ARun: "run " + row, B: &duct, BTrade: "ductwork", Bay: &bay,
			Short: 12, Depth: &finding.Depth{Vertical: 300}, GivesWay: row, Support: &held,
		}
	}
	res := &finding.Result{Project: "job", Findings: []finding.Finding{
		f("aaaaaaaaaaaa", "T-1", finding.Held{Part: "rod", At: 300, Count: 1, Of: 3, Can: 1, Move: &by}),
		f("bbbbbbbbbbbb", "T-2", finding.Held{Part: "rod", At: 300, Count: 1, Of: 3}),
	}}
	var b bytes.Buffer
	if err := Write(&b, meeting.Make(meeting.Input{Result: res, Date: "2026-03-09"}), Options{Trade: "containment", Result: res, Width: 200}); err != nil {
		t.Fatal(err)
	}
	for _, want := range []string{
		"1. Move the rod 300 from the start of T-1 by 55, towards its end (1 of 3 supports)\n",
		"2. No clear position along the run within the spacing for the rod 300 from the start of T-2 (1 of 3 supports); propose one\n",
	} {
		if !strings.Contains(b.String(), want) {
			t.Errorf("not said: %s\n%s", want, b.String())
		}
	}
}
