package clash_test

import (
	"context"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/support"
	"voidline/io/table"
	"voidline/void"
)

// twoRuns are a tray TA along y 1000 and a tray TB across it, along x 3000 and 300 higher, both 150 wide and 3 m long or more, with supports as
// supports.csv says.
func twoRuns(supports string) map[string]string {
	return map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,4000,3600,2400\n",
		"tray.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run,rank\nTA,data,tray,0,1000,6000,1000,150x50,2900,channel 41 M10,RA,2\n" +
			"TB,data,tray,3000,0,3000,4000,150x50,3200,channel 41 M10,RB,5\n",
		"supports.csv": "run,number,along,stage\nRB,6,300,\nRB,8,2500,\nRB,9,3700,\n" + supports,
	}
}

// Rods and channels of two runs that are set out are measured against each other. TA's rods stand at y 1000 +- 125 (half of 150 and 50), M10; its
// channels are 310 long (2 x 125 and 30 each end). TB's channel at y 1100 reaches from x 2845 to 3155, is 41 wide, and 41 high under 3200; so the
// rod of TA at x 2950, y 1125 goes through it: it is 10 wide, from y 1120 to 1130, and the channel from y 1079.5 to 1120.5. So sideways it is 0.5, no
// more than what may touch; at y 1120 the channel reaches to 1140.5: from its edge 1140.5 to the rod's side 1120 are 20.5, and it is clear 21 nearer the start.
func TestSupportsOfTwoRuns(t *testing.T) {
	for _, test := range []struct{ what, supports, want string }{
		{
			"a rod through a channel: the run that ranks lower moves", "RA,1,2950,\nRB,7,1120,\n",
			"overlap: supports of TB / supports of TA: 20.5 aside, channel at 1120, support TB 7 with TA 1, TB gives way, move -21",
		},
		{"it touches by half a millimetre", "RA,1,2950,\nRB,7,1100,\n", ""},
		{
			"TB is fixed: TA moves", "RA,1,2950,\nRB,7,1120,fixed\n",
			"overlap: supports of TA / supports of TB: 20.5 aside, rod at 2950, support TA 1 with TB 7, TA gives way, no move",
		},
		{
			"both are fixed", "RA,1,2950,fixed\nRB,7,1120,fixed\n",
			"overlap: supports of TB / supports of TA: 20.5 aside, channel at 1120, support TB 7 with TA 1, TB gives way, fixed",
		},
		{"only one is set out: the usual places are no one's", "RB,7,1120,\n", ""},
		{"elsewhere", "RA,1,1000,\nRB,7,1120,\n", ""},
	} {
		p := openText(t, twoRuns(test.supports))
		for _, pr := range p.Problems {
			t.Fatalf("%s: problem: %v", test.what, pr)
		}
		res, err := clash.Open(p, clash.Options{Touch: 1, Rules: supportsOnly()}).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		for _, f := range res.Findings {
			if f.BKind != "support" {
				continue
			}
			move := "no move"
			switch h := f.Support; {
			case h.Move != nil:
				move = fmt.Sprintf("move %.0f", *h.Move)
			case h.Fixed:
				move = "fixed"
			}
			got = append(got, fmt.Sprintf("%s: %s / %s: %.1f aside, %s at %.0f, support %s %d with %s %d, %s gives way, %s", f.Kind, f.A, *f.B, *f.Depth.Sideways,
				f.Support.Part, f.Support.At, f.SupportNo.Row, f.SupportNo.Number, f.SupportWith.Row, f.SupportWith.Number, f.GivesWay, move))
		}
		if g := strings.Join(got, "\n"); g != test.want {
			t.Errorf("%s:\n%s\nwant\n%s", test.what, g, test.want)
		}
	}
}

// After every edit of rows whose supports are set out close to each other, asking again says what a check opened anew says.
func TestAgainIsInFullOfSupports(t *testing.T) {
	differ, taken, meet := 0, 0, 0
	for seed := range uint64(4 * *more) {
		rng := rand.New(rand.NewPCG(seed, 7))
		trays, set := "id,kind,trade,x1,y1,x2,y2,size,level,hanger,frame,tier,run,rank\n", "run,length,row,number,along,stage\n"
		for k := range 14 {
			x, y := 500+300*rng.IntN(12), 500+300*rng.IntN(8)
			far := [4]int{x, y, x + 3000, y}
			if k%2 == 1 {
				far = [4]int{x, y, x, y + 2400}
			}
			frame := ""
			if k%7 == 0 {
				frame = "F"
			}
			trays += fmt.Sprintf("T%02d,tray,containment,%d,%d,%d,%d,150x50,%d,channel 41 M10,%s,,R%d,%d\n", k, far[0], far[1], far[2], far[3], 2700+150*rng.IntN(5), frame, k/2, 1+rng.IntN(4))
			for n := range 6 {
				set += fmt.Sprintf(",,T%02d,%d,%d,%s\n", k, n+1, 200+400*n, []string{"", "", "fixed"}[rng.IntN(3)])
			}
			if k%4 == 3 {
				set += fmt.Sprintf("R%d,1 of 2,,%d,%d,\n", k/2, 10+k, 60)
			}
		}
		p := openText(t, map[string]string{
			"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,4000,9000,3600,2400\nB,4000,0,9000,9000,3500,2400\n", "containment.csv": trays, "supports.csv": set,
		})
		if len(p.Problems) > 0 || len(p.Supports) != 14*6+3 {
			t.Fatal(p.Problems, len(p.Supports))
		}
		opt := clash.Options{Touch: 1}
		check := clash.Open(p, opt)
		was := answerOf(t, check)
		for range 40 {
			i := rng.IntN(14)
			id := p.Zone(i).ID
			column, text := "level", fmt.Sprint(2600+50*rng.IntN(16))
			switch rng.IntN(6) {
			case 0:
				column, text = "y1", fmt.Sprint(500+100*rng.IntN(24))
			case 1:
				column, text = "x1", fmt.Sprint(500+100*rng.IntN(30))
			case 2:
				column, text = "run", fmt.Sprintf("R%d", rng.IntN(7))
			case 3:
				column, text = "frame", []string{"", "F"}[rng.IntN(2)]
			}
			change, pr := p.Edit(id, column, text)
			if pr != nil {
				continue
			}
			taken++
			check.Changed(change)
			got, want := answerOf(t, check), answerOf(t, clash.Open(p, opt))
			if got != want {
				t.Fatalf("seed %d: after %s of %s to %s (%+v) asked again differs from in full:\n%s", seed, column, id, text, change, difference(got, want))
			}
			if n := strings.Count(got, `"support_with"`); n > 0 {
				meet++
				if n != strings.Count(was, `"support_with"`) {
					differ++
				}
			}
			was = got
		}
	}
	t.Logf("%d edits taken, after %d of them supports meet, after %d others than before", taken, meet, differ)
	if taken < 50 || meet < 50 || differ < 20 {
		t.Error("too few edits do anything")
	}
}

// openedSetOut opens the building, with more rows hung, and the supports of two thirds of its runs and rows set out, many more than is usual:
// runs along their lengths, others along their rows, some fixed, some made otherwise.
func (b *building) openedSetOut(t *testing.T) *void.Project {
	t.Helper()
	hung := *b
	hung.rows = slices.Clone(b.rows)
	for i := range hung.rows {
		if r := &hung.rows[i]; i%2 == 0 && slices.Contains([]string{"ductwork", "pipework", "containment"}, r.file) && r.upper == nil {
			r.hanger = "channel 41 M10"
		}
	}
	b = &hung
	p := b.opened(t, spelling{})
	plan := support.Of(p, support.Options{})
	lengths := map[string][]void.RunLength{}
	for i := range p.Zones() {
		if z := p.Zone(i); z.Run() != "" && !z.Item && !z.Upright && !z.ByHeight {
			key := strings.ToLower(z.Run())
			if lengths[key] == nil {
				var rows []int
				for k := range p.Zones() {
					if o := p.Zone(k); strings.EqualFold(o.Run(), z.Run()) && !o.Item && !o.Upright && !o.ByHeight && !p.Character(o.Char).Structure() {
						rows = append(rows, k)
					}
				}
				lengths[key] = p.RunLengths(rows)
			}
		}
	}
	text := "run,length,row,number,along,rods,from,stage\n"
	for i := range p.Zones() {
		z := p.Zone(i)
		if strings.HasSuffix(z.Run(), "3") || z.Run() == "" && strings.HasSuffix(z.ID, "3") {
			continue
		}
		full := z.Full()
		for n, at := 0, 100.0; plan.Has(i) && at < 2*math.Hypot(full.Along.X, full.Along.Y); n, at = n+1, at+240 {
			made := []string{",,", "1,soffit,", ",,fixed"}[n%3]
			run, length, row, along := "", "", z.ID, at
			for k, l := range lengths[strings.ToLower(z.Run())] {
				for _, c := range l.Pieces {
					if c.Zone == i && i%2 == 0 {
						run, length, row, along = z.Run(), fmt.Sprintf("%d of %d", k+1, len(lengths[strings.ToLower(z.Run())])), "", c.From+at
						if c.Reversed {
							along = c.To - at
						}
					}
				}
			}
			text += fmt.Sprintf("%s,%s,%s,,%.3f,%s\n", run, length, row, along, made)
		}
	}
	fs := b.files(spelling{})
	fs["supports.csv"] = &fstest.MapFile{Data: []byte(text)}
	for n := 0; ; n++ {
		q, err := table.Open(context.Background(), "random", table.Options{FS: fs})
		if err == nil {
			return q
		}
		if n > 3 {
			t.Fatal(err)
		}
		// What stands past an end, or where another does, is left out.
		lines := strings.Split(string(fs["supports.csv"].Data), "\n")
		for _, pr := range q.Problems {
			if pr.File == "supports.csv" {
				lines[pr.Line-1] = ""
			}
		}
		fs["supports.csv"] = &fstest.MapFile{Data: []byte(strings.Join(lines, "\n"))}
	}
}
