package setout_test

import (
	"context"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/void/cell"
)

// laid says what is set out of run R of a project, and of the line of its floor: stations and levels alone, to the tenth, which hang on no place.
func laid(t *testing.T, ts tables) string {
	t.Helper()
	p := ts.open(t)
	ch := clash.Open(p, clash.Options{})
	var b strings.Builder
	tenth := func(v float64) string { return strconv.FormatFloat(math.Round(v*10+1e-4)/10+0, 'f', 1, 64) }
	say := func(what string, vs ...float64) {
		b.WriteString(what)
		for _, v := range vs {
			b.WriteString(" " + tenth(v))
		}
		b.WriteString("\n")
	}
	runs, err := setout.Assemble(p, "R", cell.Bottom)
	if err != nil {
		t.Fatal(err)
	}
	for k := range runs {
		a := setout.SetOut(p, ch, &runs[k], setout.Settings{Steps: setout.Steps{AsDrawn: true, Straight: 100, Most: 6}})
		say("run", runs[k].Length, a.Drawn)
		for _, x := range a.Band {
			say(" band", x.Lo, x.Hi)
		}
		for _, x := range a.Line.Sections {
			say(" section", x.From, x.To, x.Level)
		}
		for _, x := range a.Line.Steps {
			say(" set", x.From, x.To, x.Rise, x.Earliest, x.Latest)
		}
		for _, x := range a.Limits {
			say(" limit", x.From, x.To, x.Line, x.High, x.Low)
		}
		for _, x := range a.Blocks {
			say(" block", x.From, x.To)
		}
		fmt.Fprintf(&b, " found %v, %d unproved, %d asked\n", a.Found, len(a.Unproved), len(a.Asked))
		if !a.Found {
			continue
		}
		u := setout.SupportRun(p, ch, a, setout.Hanging{})
		for _, x := range u.List {
			say(" support", float64(x.N), x.At, x.From, x.Rod, x.Cut, x.Channel, x.Moved)
		}
		for _, x := range u.Gaps {
			say(" gap", x.From, x.To, x.Most, x.Channel)
		}
	}
	f, err := setout.Strike(p, ch, setout.FloorSettings{Run: "R"})
	if err != nil {
		fmt.Fprintln(&b, "line:", err)
		return b.String()
	}
	say("line", f.Level, f.Lowest, f.All, f.Clear)
	for _, x := range f.Places {
		say(" place", x.From, x.To, x.Up, x.Down, x.Lack)
	}
	for _, x := range f.Curve {
		say(" level", x.Level, x.Clear, float64(x.Places))
	}
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var found []string
	for _, x := range res.Findings {
		found = append(found, fmt.Sprintf("%s %s %s %s %s %s\n", x.ID, x.Kind, x.A, *x.B, tenth(x.Gap), tenth(x.Short)))
	}
	slices.Sort(found)
	return b.String() + strings.Join(found, "")
}

// placed returns the tables with every place somewhere else, bays as rectangles again, and the rows of every table in another order.
func (ts tables) placed(t *testing.T, to func(x, y int) (int, int), backwards bool) tables {
	t.Helper()
	out := tables{}
	for name, text := range ts {
		recs, err := csv.NewReader(strings.NewReader(text)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		col := func(name string) int { return slices.Index(recs[0], name) }
		if col("x1") >= 0 && col("y2") >= 0 {
			for _, rec := range recs[1:] {
				var v [4]int
				for k, c := range []string{"x1", "y1", "x2", "y2"} {
					v[k], err = strconv.Atoi(rec[col(c)])
					if err != nil {
						t.Fatal(err)
					}
				}
				v[0], v[1] = to(v[0], v[1])
				v[2], v[3] = to(v[2], v[3])
				if name == "bays.csv" {
					v[0], v[2], v[1], v[3] = min(v[0], v[2]), max(v[0], v[2]), min(v[1], v[3]), max(v[1], v[3])
				}
				for k, c := range []string{"x1", "y1", "x2", "y2"} {
					rec[col(c)] = strconv.Itoa(v[k])
				}
			}
			if backwards {
				slices.Reverse(recs[1:])
			}
		}
		var b strings.Builder
		if err := csv.NewWriter(&b).WriteAll(recs); err != nil {
			t.Fatal(err)
		}
		out[name] = b.String()
	}
	return out
}

// A floor that is turned, mirrored or moved, or whose rows stand in another order, is set out alike: sections, sets, limits, supports and rods, and the
// line of the floor.
func TestPlacesChangeNothingOfASheet(t *testing.T) {
	cases := 12
	if testing.Short() {
		cases = 4
	}
	for seed := range cases {
		ts := randomJob(rand.New(rand.NewPCG(uint64(seed), 77)))
		want := laid(t, ts)
		for _, way := range []struct {
			name      string
			to        func(x, y int) (int, int)
			backwards bool
		}{
			{"turned by a quarter", func(x, y int) (int, int) { return 50000 - y, x }, false},
			{"turned by a half", func(x, y int) (int, int) { return 30000 - x, 40000 - y }, false},
			{"mirrored", func(x, y int) (int, int) { return x, 20000 - y }, false},
			{"mirrored across", func(x, y int) (int, int) { return y, x }, true},
			{"moved, rows backwards", func(x, y int) (int, int) { return x + 7000, y - 3000 }, true},
		} {
			if got := laid(t, ts.placed(t, way.to, way.backwards)); got != want {
				t.Errorf("seed %d, %s:\n%s", seed, way.name, lineDiff(want, got))
			}
		}
	}
}

// lineDiff gives the lines that only one of two texts has.
func lineDiff(a, b string) string {
	as, bs := strings.Split(a, "\n"), strings.Split(b, "\n")
	var out strings.Builder
	for _, l := range as {
		if !slices.Contains(bs, l) {
			out.WriteString("- " + l + "\n")
		}
	}
	for _, l := range bs {
		if !slices.Contains(as, l) {
			out.WriteString("+ " + l + "\n")
		}
	}
	return out.String()
}
