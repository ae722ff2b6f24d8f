package setout_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/golang/geo/r2"

	"voidline/clash/setout"
	"voidline/void/cell"
)

// twoRows is a run of two rows, 6 m each to the east from (1000, 2000), of which the second is fixed.
func twoRows(t *testing.T) func(then, now *setout.Issued) *setout.Since {
	t.Helper()
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,9000,3600,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,run,stage\nR1,tray,1000,2000,7000,2000,300x60,3000,R,\nR2,tray,7000,2000,13000,2000,300x60,3000,R,fixed\n",
	}.open(t)
	runs, err := setout.Assemble(p, "R", cell.Bottom)
	if err != nil || len(runs) != 1 || runs[0].Length != 12000 {
		t.Fatal(runs, err)
	}
	return func(then, now *setout.Issued) *setout.Since {
		return setout.SinceIssued(p, []*setout.Run{&runs[0]}, then, now)
	}
}

// issuedSheet is a sheet of that run: struck at 3000 up to 4000, from there 60 up in 100, and so on to the end; two supports, parts, a cut, a note.
func issuedSheet() *setout.Issued {
	at := func(x float64) r2.Point { return r2.Point{X: 1000 + x, Y: 2000} }
	return &setout.Issued{Run: "R", Lengths: []setout.IssuedLength{{
		Lines: []setout.IssuedLine{
			{From: 0, To: 4000, Where: at(0), Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7000}},
			{From: 4100, To: 12000, Where: at(4100), Struck: setout.Struck{FFL: 3060, Datum: 2060, Project: 7060}},
		},
		Sets: []setout.IssuedSet{{From: 4000, To: 4100, Rise: 60}},
		Supports: []setout.IssuedSupport{
			{No: 1, From: 500, Where: at(500), Of: "soffit", Rods: 2, Channel: 400, Cuts: []float64{500, 510}},
			{No: 2, From: 8000, Where: at(8000), Of: "B1", Rods: 2, Channel: 400, Cuts: []float64{440, 450}},
		},
		Parts: []setout.Count{{Part: "nut", N: 4}, {Part: "washer", N: 4}},
		Cuts:  []setout.Count{{Part: "500", N: 1}},
		Holds: []string{"with T set out"},
	}}}
}

// inWords writes what is no longer so, each in a few words.
func inWords(s *setout.Since) string {
	var out []string
	mark := func(drilled bool) string {
		if drilled {
			return " drilled"
		}
		return ""
	}
	z := func(x *setout.Struck) string {
		if x == nil {
			return "none"
		}
		return fmt.Sprintf("%g %g %g %+g", x.FFL, x.Datum, x.Project, x.Rise)
	}
	set := func(x *setout.IssuedSet) string {
		if x == nil {
			return "none"
		}
		return fmt.Sprintf("%g-%g %+g", x.From, x.To, x.Rise)
	}
	for _, x := range s.Starts {
		out = append(out, fmt.Sprintf("start %s%g %g %t", x.Length, x.Along, x.Across, x.Turned))
	}
	for _, x := range s.Levels {
		out = append(out, fmt.Sprintf("level %s%g-%g: %s, %s%s", x.Length, x.From, x.To, z(x.Then), z(x.Now), mark(x.Drilled)))
	}
	for _, x := range s.Sets {
		out = append(out, fmt.Sprintf("set %s%d: %s, %s%s", x.Length, x.No, set(x.Then), set(x.Now), mark(x.Drilled)))
	}
	for _, x := range s.Supports {
		w := fmt.Sprintf("support %s%d %s %d", x.Length, x.No, x.Is, x.Now)
		if x.Along != 0 || x.Across != 0 {
			w += fmt.Sprintf(" by %g %g", x.Along, x.Across)
		}
		if x.Rods != nil {
			w += fmt.Sprintf(" rods %v", x.Rods)
		}
		if x.RodCount != nil {
			w += fmt.Sprintf(" of %v", *x.RodCount)
		}
		if x.HangsFrom != nil {
			w += fmt.Sprintf(" from %v", *x.HangsFrom)
		}
		if x.Channel != nil {
			w += fmt.Sprintf(" channel %v", *x.Channel)
		}
		out = append(out, w+mark(x.Drilled))
	}
	for _, x := range s.Parts {
		out = append(out, fmt.Sprintf("part %s%s %d, %d, cut %t", x.Length, x.Part, x.Then, x.Now, x.Cut))
	}
	for _, x := range s.Notes {
		out = append(out, fmt.Sprintf("note %s%s %t", x.Length, x.Text, x.Now))
	}
	return strings.Join(out, "; ")
}

// Half a millimetre is not told, a little more is: of every figure of a sheet, one by one. What differs on a row that is fixed is drilled.
func TestSinceAtHalfAMillimetre(t *testing.T) {
	since := twoRows(t)
	for _, test := range []struct {
		name   string
		change func(l *setout.IssuedLength, by float64)
		want   string // changed by 0.6
	}{
		{"level over the floor", func(l *setout.IssuedLength, by float64) { l.Lines[1].FFL += by }, "level 4100-6000: 3060 2060 7060 +0, 3060.6 2060 7060 +0; level 6000-12000: 3060 2060 7060 +0, 3060.6 2060 7060 +0 drilled"},
		{"level from the datum line", func(l *setout.IssuedLength, by float64) { l.Lines[0].Datum -= by }, "level 0-4000: 3000 2000 7000 +0, 3000 1999.4 7000 +0"},
		{"level over the project datum", func(l *setout.IssuedLength, by float64) { l.Lines[0].Project += by }, "level 0-4000: 3000 2000 7000 +0, 3000 2000 7000.6 +0"},
		{"level at the end of what falls", func(l *setout.IssuedLength, by float64) { l.Lines[0].Rise -= by }, "level 0-4000: 3000 2000 7000 +0, 3000 2000 7000 -0.6"},
		{"where a set begins", func(l *setout.IssuedLength, by float64) { l.Sets[0].From += by }, "set 1: 4000-4100 +60, 4000.6-4100 +60"},
		{"where a set ends", func(l *setout.IssuedLength, by float64) { l.Sets[0].To -= by }, "set 1: 4000-4100 +60, 4000-4099.4 +60"},
		{"rise of a set", func(l *setout.IssuedLength, by float64) { l.Sets[0].Rise += by }, "set 1: 4000-4100 +60, 4000-4100 +60.6"},
		{"place of a support", func(l *setout.IssuedLength, by float64) { l.Supports[0].From -= by }, "support 1 moves 1 by -0.6 0"},
		{"place of one on a row that is fixed", func(l *setout.IssuedLength, by float64) { l.Supports[1].From += by }, "support 2 moves 2 by 0.6 0 drilled"},
		{"length of a rod", func(l *setout.IssuedLength, by float64) { l.Supports[0].Cuts[1] -= by }, "support 1 stays 1 rods [0 -0.6]"},
		{"length of a channel", func(l *setout.IssuedLength, by float64) { l.Supports[0].Channel += by }, "support 1 stays 1 channel {400 400.6}"},
	} {
		for _, by := range []float64{0, 0.5, 0.6} {
			a, b := issuedSheet(), issuedSheet()
			test.change(&b.Lengths[0], by)
			want := ""
			if by > 0.5 {
				want = test.want
			}
			if got := round1(inWords(since(a, b))); got != want {
				t.Errorf("%s by %g: came %q, want %q", test.name, by, got, want)
			}
		}
	}
}

// round1 takes the dust of binary figures out of words.
func round1(s string) string {
	for _, x := range [][2]string{{"0.6000000000003638", "0.6"}, {"0.599999999999909", "0.6"}, {"0.6000000000000227", "0.6"}, {"0.5999999999999659", "0.6"}, {"0.6000000000000014", "0.6"}} {
		s = strings.ReplaceAll(s, x[0], x[1])
	}
	return s
}

// What else may be other on a sheet, each by itself, and from whichever of the two sheets it is seen.
func TestSinceOneByOne(t *testing.T) {
	since := twoRows(t)
	for _, test := range []struct {
		name       string
		change     func(l *setout.IssuedLength)
		want, back string // issued as it was and now changed; and the other way about
	}{
		{
			"a set more", func(l *setout.IssuedLength) {
				l.Sets = append(l.Sets, setout.IssuedSet{From: 7000, To: 7200, Rise: -40})
			},
			"set 2: none, 7000-7200 -40 drilled", "set 2: 7000-7200 -40, none drilled",
		},
		{
			"another part", func(l *setout.IssuedLength) { l.Parts = []setout.Count{{Part: "nut", N: 6}, {Part: "plate", N: 2}} },
			"part nut 4, 6, cut false; part washer 4, 0, cut false; part plate 0, 2, cut false", "part nut 6, 4, cut false; part plate 2, 0, cut false; part washer 0, 4, cut false",
		},
		{
			"other cuts, one of them twice on the list", func(l *setout.IssuedLength) {
				l.Cuts = []setout.Count{{Part: "500", N: 1}, {Part: "510", N: 1}, {Part: "500", N: 2}}
			},
			"part 500 1, 3, cut true; part 510 0, 1, cut true", "part 500 3, 1, cut true; part 510 1, 0, cut true",
		},
		{
			"another note", func(l *setout.IssuedLength) { l.Holds = []string{"not proved"} },
			"note not proved true; note with T set out false", "note with T set out true; note not proved false",
		},
		{"hangs from elsewhere", func(l *setout.IssuedLength) { l.Supports[0].Of = "B2" }, "support 1 stays 1 from {soffit B2}", "support 1 stays 1 from {B2 soffit}"},
		{
			"another rod", func(l *setout.IssuedLength) { l.Supports[1].Rods, l.Supports[1].Cuts = 1, []float64{440} },
			"support 2 stays 2 of {2 1} drilled", "support 2 stays 2 of {1 2} drilled",
		},
		{
			"listed in another order", func(l *setout.IssuedLength) {
				slices.Reverse(l.Supports)
				slices.Reverse(l.Lines)
			}, "", "",
		},
		{
			"numbered in another order", func(l *setout.IssuedLength) { l.Supports[0].No, l.Supports[1].No = 2, 1 },
			"support 1 stays 2; support 2 stays 1 drilled", "support 2 stays 1; support 1 stays 2 drilled",
		},
		{
			"1500 on is the same support", func(l *setout.IssuedLength) { l.Supports[0].From, l.Supports[0].Where.X = 2000, 3000 },
			"support 1 moves 1 by 1500 0", "support 1 moves 1 by -1500 0",
		},
		{
			"1501 on is another", func(l *setout.IssuedLength) { l.Supports[0].From, l.Supports[0].Where.X = 2001, 3001 },
			"support 1 new 1; support 1 gone 0", "support 1 new 1; support 1 gone 0",
		},
		{
			"the line is struck up to 11000 alone", func(l *setout.IssuedLength) { l.Lines[1].To = 11000 },
			"level 11000-12000: 3060 2060 7060 +0, none drilled", "level 11000-12000: none, 3060 2060 7060 +0 drilled",
		},
	} {
		a, b := issuedSheet(), issuedSheet()
		test.change(&b.Lengths[0])
		if got := inWords(since(a, b)); got != test.want {
			t.Errorf("%s: came %q, want %q", test.name, got, test.want)
		}
		if got := inWords(since(b, a)); got != test.back {
			t.Errorf("%s, back: came %q, want %q", test.name, got, test.back)
		}
	}
}

// A line that falls is compared where it is: of 12000 that fall 120, cut at 3000, each piece has its own fall; 10 more at the end are told of both
// pieces, each by what is struck where it begins.
func TestSinceOfAFall(t *testing.T) {
	since := twoRows(t)
	sheet := func(lines ...setout.IssuedLine) *setout.Issued {
		for k := range lines {
			lines[k].Where = r2.Point{X: 1000 + lines[k].From, Y: 2000}
		}
		return &setout.Issued{Run: "R", Lengths: []setout.IssuedLength{{Lines: lines}}}
	}
	whole := sheet(setout.IssuedLine{To: 12000, Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7000, Rise: -120}})
	cut := sheet(setout.IssuedLine{To: 3000, Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7000, Rise: -30}},
		setout.IssuedLine{From: 3000, To: 12000, Struck: setout.Struck{FFL: 2970, Datum: 1970, Project: 6970, Rise: -90}})
	for _, s := range []*setout.Since{since(whole, cut), since(cut, whole)} {
		if got := inWords(s); got != "" {
			t.Errorf("cut in two: %s", got)
		}
	}
	steeper := sheet(setout.IssuedLine{To: 3000, Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7000, Rise: -30}},
		setout.IssuedLine{From: 3000, To: 12000, Struck: setout.Struck{FFL: 2970, Datum: 1970, Project: 6970, Rise: -180}})
	// From 3000 to 6000 it falls 30 then and 60 now, from there to the end 60 and 120, from 2940 and 2910.
	want := "level 3000-6000: 2970 1970 6970 -30, 2970 1970 6970 -60; level 6000-12000: 2940 1940 6940 -60, 2910 1910 6910 -120 drilled"
	if got := inWords(since(whole, steeper)); got != want {
		t.Errorf("steeper: came %q, want %q", got, want)
	}
}

// Two lengths of one run, side by side, were issued in the other order: each is found by where it lies, and nothing of either is another.
func TestSinceWhenLengthsCameInAnotherOrder(t *testing.T) {
	p := tables{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,20000,9000,3600,2400\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level,run\nR1,tray,1000,2000,7000,2000,300x60,3000,R\nR2,tray,1000,6000,7000,6000,300x60,3100,R\n",
	}.open(t)
	runs, err := setout.Assemble(p, "R", cell.Bottom)
	if err != nil || len(runs) != 2 {
		t.Fatal(runs, err)
	}
	length := func(y, z float64) setout.IssuedLength {
		return setout.IssuedLength{
			Lines:    []setout.IssuedLine{{To: 6000, Where: r2.Point{X: 1000, Y: y}, Struck: setout.Struck{FFL: z, Datum: z - 1000, Project: z + 4000}}},
			Supports: []setout.IssuedSupport{{No: int(y) / 1000, From: 3000, Where: r2.Point{X: 4000, Y: y}}},
		}
	}
	then := &setout.Issued{Run: "R", Lengths: []setout.IssuedLength{length(6000, 3100), length(2000, 3000)}}
	now := &setout.Issued{Run: "R", Lengths: []setout.IssuedLength{length(2000, 3000), length(6000, 3100)}}
	if got := inWords(setout.SinceIssued(p, []*setout.Run{&runs[0], &runs[1]}, then, now)); got != "" {
		t.Errorf("came %q", got)
	}
}

// A sheet whose stations count from the other end is the same sheet: its line falls the other way, its set goes the other way, its supports stand where
// they stood. A start that is 700 to the side is told by that.
func TestSinceFromTheOtherEnd(t *testing.T) {
	since := twoRows(t)
	a := issuedSheet()
	o := issuedSheet()
	l := &o.Lengths[0]
	l.Lines = []setout.IssuedLine{
		{From: 0, To: 7900, Where: r2.Point{X: 13000, Y: 2000}, Struck: setout.Struck{FFL: 3060, Datum: 2060, Project: 7060}},
		{From: 8000, To: 12000, Where: r2.Point{X: 5000, Y: 2000}, Struck: setout.Struck{FFL: 3000, Datum: 2000, Project: 7000}},
	}
	l.Sets = []setout.IssuedSet{{From: 7900, To: 8000, Rise: -60}}
	l.Supports[0].From, l.Supports[1].From = 11500, 4000
	if got, want := inWords(since(o, a)), "start 0 0 true"; got != want {
		t.Errorf("from the other end: came %q, want %q", got, want)
	}
	fall := func(z, rise, x float64) *setout.Issued {
		return &setout.Issued{Run: "R", Lengths: []setout.IssuedLength{{
			Lines:    []setout.IssuedLine{{To: 12000, Where: r2.Point{X: x, Y: 2000}, Struck: setout.Struck{FFL: z, Datum: z - 1000, Project: z + 4000, Rise: rise}}},
			Supports: []setout.IssuedSupport{{No: 1, From: 3000, Where: r2.Point{X: x + 3000*(7000-x)/6000, Y: 2000}}},
		}}}
	}
	then, now := fall(2880, 120, 13000), fall(3000, -120, 1000)
	now.Lengths[0].Supports[0].From, now.Lengths[0].Supports[0].Where.X = 9000, 10000
	if got, want := inWords(since(then, now)), "start 0 0 true"; got != want {
		t.Errorf("a fall from the other end: came %q, want %q", got, want)
	}
	aside := issuedSheet()
	for k := range aside.Lengths[0].Lines {
		aside.Lengths[0].Lines[k].Where.Y += 700
	}
	for k := range aside.Lengths[0].Supports {
		aside.Lengths[0].Supports[k].Where.Y += 700
	}
	if got, want := inWords(since(aside, a)), "start 0 700 false; support 1 moves 1 by 0 700; support 2 moves 2 by 0 700 drilled"; got != want {
		t.Errorf("700 to the side: came %q, want %q", got, want)
	}
	near := issuedSheet()
	near.Lengths[0].Supports[0].Where.Y += 1.4
	near.Lengths[0].Supports[1].Where.Y += 1.5
	if got, want := inWords(since(near, a)), "support 2 moves 2 by 0 1.5 drilled"; got != want {
		t.Errorf("1.4 and 1.5 to the side: came %q, want %q", got, want)
	}
}
