package clash_test

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
)

// roomTold writes what was found against ceilings and soffits, what is in the room and what passes through.
func roomTold(res *finding.Result) string {
	var out []string
	for _, f := range res.Findings {
		if f.BKind == "ceiling" || f.BKind == "soffit" {
			out = append(out, fmt.Sprintf("%s/%s %g", f.A, *f.B, f.Short-f.Asked))
		}
	}
	slices.Sort(out)
	for _, in := range res.InRoom {
		out = append(out, fmt.Sprintf("%d %s %s", in.Number, in.Trade, in.Kind))
	}
	for _, x := range res.Through {
		out = append(out, x.Zone+" through "+strings.Join(x.Ceilings, " and "))
	}
	return strings.Join(out, "; ")
}

// What lies wholly under the finished face, or above the soffit, worked out by hand. The build-up of A is 2400 to 2490, of
// B 2700 to 2790; the soffit is 3800 over both.
func TestUnderTheFace(t *testing.T) {
	const (
		bays   = "bay,x1,y1,x2,y2,soffit,ceiling,build-up,trough\nA,0,0,6000,6000,3800,2400,b,\nB,6000,0,12000,6000,3800,2700,b,\nC,12000,0,18000,6000,3800,none,,60\n"
		layers = "build-up,layer,thickness,lifts out\nb,board,90,no\n"
		head   = "id,kind,x1,y1,x2,y2,size,level,run,in room\n"
	)
	for _, test := range []struct{ name, rows, want string }{
		{"80 under the face: 2490 - 2300", "P,pipe,1000,1000,5000,1000,ø20,2300,,\n", "P/ceiling A 190"},
		{"its crown 600 under the face", "P,pipe,1000,1000,5000,1000,ø20,1780,,\n", "P/ceiling A 710"},
		{"further down it was meant for the room", "P,pipe,1000,1000,5000,1000,ø20,1770,,\n", "1 pipework pipe"},
		{"further down, and its run is in the void", "P,pipe,1000,1000,5000,1000,ø20,1000,S,\nQ,pipe,1000,3000,5000,3000,ø20,2900,s,\n", "P/ceiling A 1490"},
		{"a run of that name in another trade is another", "P,pipe,1000,1000,5000,1000,ø20,1000,S,\nQ,duct,1000,3000,5000,3000,ø20,2900,T,\n", "1 pipework pipe"},
		{"out of A's void into B's room: in A it is clear, and 790 - 100 in B", "P,pipe,1000,1000,11000,1000,ø20,2550,,\n", "P/ceiling B 240"},
		{"the row says that it is meant to be there", "P,pipe,1000,1000,5000,1000,ø20,2300,,yes\n", "1 pipework pipe"},
		{"the row says that it is not", "P,pipe,1000,1000,5000,1000,ø20,1000,,no\n", "P/ceiling A 1490"},
		{"a radiator is in the room, and so is the tail that goes to it", "R,radiator,3000,5000,,,1000x100x600,200,,\nP,pipe,1000,5000,2500,5000,ø20,500,S,\nQ,pipe,1000,3000,5000,3000,ø20,2900,S,\n", "1 pipework pipe; 1 pipework radiator"},
		{"a tail too high is a finding", "R,radiator,3000,5000,,,1000x100x600,1750,,\nP,pipe,1000,5000,2500,5000,ø20,2200,S,\n", "P/ceiling A 290; 1 pipework radiator"},
		{"a drop passes through, once, and one that stands in the room is in it", "P,pipe,6000,1000,,,ø50,500..3000,,\nQ,pipe,3000,1000,,,ø50,0..2300,,\n", "1 pipework pipe; P through ceiling A and ceiling B"},
		{"a pendant hangs in the room, a wall stands in it", "L,light fitting,3000,3000,,,200x200x300,2000,,\nW,wall,1000,4000,5000,4000,100,0..2400,,\n", "1 pipework light fitting; 1 pipework wall"},
		{"wholly above the soffit: 3920 - 3800", "P,pipe,1000,1000,5000,1000,ø20,3900,,\n", "P/soffit A 120"},
		{"in the trough of 60", "P,pipe,13000,1000,17000,1000,ø20,3820,,\n", ""},
		{"20 above the trough: 3800 + 60 and 20", "P,pipe,13000,1000,17000,1000,ø20,3860,,\n", "P/soffit C 20"},
	} {
		t.Run(test.name, func(t *testing.T) {
			_, _, res := findingsOf(t, map[string]string{"bays.csv": bays, "buildups.csv": layers, "pipework.csv": head + test.rows})
			if got := roomTold(res); got != test.want {
				t.Errorf("told %q, want %q", got, test.want)
			}
		})
	}
}

// Where the rest of a run is decides again after an edit: as a check opened anew says.
func TestUnderTheFaceAfterAnEdit(t *testing.T) {
	files := map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3800,2400\nB,6000,0,12000,6000,3800,2700\n",
		"pipework.csv": "id,kind,x1,y1,x2,y2,size,level,run\nP,pipe,1000,1000,5000,1000,ø20,1000,S\nQ,pipe,7000,3000,9000,3000,ø20,2900,S\nR,radiator,3000,5000,,,1000x100x900,200,\n",
	}
	p, ch, res := findingsOf(t, files)
	if got := roomTold(res); got != "P/ceiling A 1400; 1 pipework radiator" {
		t.Fatalf("told %q", got)
	}
	for _, e := range []struct{ id, column, text, want string }{
		{"Q", "level", "1500", "2 pipework pipe; 1 pipework radiator"},
		{"Q", "level", "2800", "P/ceiling A 1400; 1 pipework radiator"},
		{"Q", "run", "T", "1 pipework pipe; 1 pipework radiator"},
		{"Q", "run", "S", "P/ceiling A 1400; 1 pipework radiator"},
		{"R", "y1", "1000", "1 pipework pipe; 1 pipework radiator"},
		{"R", "y1", "4000", "P/ceiling A 1400; 1 pipework radiator"},
		{"P", "in room", "yes", "1 pipework pipe; 1 pipework radiator"},
	} {
		column := strings.ReplaceAll(e.column, " ", "")
		change, pr := p.Edit(e.id, column, e.text)
		if pr != nil {
			t.Fatal(pr)
		}
		ch.Changed(change)
		if got := roomTold(mustFind(t, ch)); got != e.want {
			t.Errorf("%s %s %s: told %q, want %q", e.id, e.column, e.text, got, e.want)
		}
		if now, anew := answerOf(t, ch), answerOf(t, clash.Open(p, clash.Options{Touch: 1})); now != anew {
			t.Errorf("%s %s %s: asked again it says\n%s\nanew\n%s", e.id, e.column, e.text, now, anew)
		}
	}
}

func mustFind(t *testing.T, ch *clash.Check) *finding.Result {
	t.Helper()
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	return res
}

// P is told under the ceiling because the rest of its run, Q, is in the void. The move that clears Q of the duct D, alone, for P stands beside the duct E, takes
// it into B, where there is no ceiling: while that is tried P is in the room. What was tried is forgotten: after the next edit the check says what one that is opened anew says.
func TestUnderTheFaceAfterATrial(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3800,2400\nB,6000,0,12000,6000,3800,none\n",
		"pipework.csv": "id,kind,x1,y1,x2,y2,size,level,run\nP,pipe,1000,1000,1000,5000,ø20,1000,S\nQ,pipe,5900,1000,5900,5000,ø100,3100,S\n",
		"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level,in room\nD,duct,5690,500,5690,5500,600x1300,2450,\nE,duct,1300,500,1300,5500,400x400,800,yes\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	opt := clash.Options{Touch: 1, Proved: true}
	check := clash.Open(p, opt)
	res := mustFind(t, check)
	into := slices.ContainsFunc(res.Findings, func(f finding.Finding) bool {
		return slices.ContainsFunc(f.Moves, func(m finding.Move) bool { return m.Zone == "Q" && m.DX > 60 })
	})
	if !into {
		t.Fatalf("no move takes Q into B: %+v", res.Findings)
	}
	for _, level := range []string{"3090", "3100"} {
		change, pr := p.Edit("Q", "level", level)
		if pr != nil {
			t.Fatal(pr)
		}
		check.Changed(change)
		if got, anew := answerOf(t, check), answerOf(t, clash.Open(p, opt)); got != anew {
			t.Errorf("Q at %s: asked again and anew differ:\n%s", level, difference(got, anew))
		}
	}
}
