package clash_test

import (
	"fmt"
	"math/rand/v2"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/void"
	"voidline/void/cell"
)

// After every edit of a long random sequence, asking again says what a check opened anew on the same project says.
func TestAgainIsInFull(t *testing.T) {
	steps, taken, differ := 0, 0, 0
	for seed := range uint64(8 * *more) {
		b := random(900+seed, mix{zones: 120, storeys: 2, gaps: 3})
		p := b.opened(t, spelling{})
		opt := clash.Options{Touch: 1, Firm: seed%4 == 3, Surveyed: true}
		if seed%2 == 1 {
			p = b.openedAsFound(t)
		}
		if seed%8 == 0 || seed%8 == 6 {
			p = b.openedSetOut(t)
		}
		if seed%4 == 2 {
			opt.Trades = []string{"ductwork", "pipework"}
		}
		check := clash.Open(p, opt)
		was := answerOf(t, check)
		rng := rand.New(rand.NewPCG(seed, 1))
		for range 60 {
			steps++
			said, change, pr := someEdit(p, rng)
			if pr != nil {
				continue
			}
			taken++
			check.Changed(change)
			if rng.IntN(4) == 0 {
				continue // several edits, then asked
			}
			got, want := answerOf(t, check), answerOf(t, clash.Open(p, opt))
			if got != want {
				t.Fatalf("seed %d: after %s (%+v) asked again differs from in full:\n%s", seed, said, change, difference(got, want))
			}
			if got != was {
				differ++
			}
			was = got
		}
	}
	t.Logf("%d edits, %d taken, %d answers changed", steps, taken, differ)
	if taken < steps/3 || differ < taken/4 {
		t.Error("too few edits do anything")
	}
}

// someEdit makes a random edit and says in words what it was.
func someEdit(p *void.Project, rng *rand.Rand) (string, void.Change, *void.Problem) {
	var live []int
	for i := range p.Zones() {
		if !p.Zone(i).Gone {
			live = append(live, i)
		}
	}
	pick := func(words ...string) string { return words[rng.IntN(len(words))] }
	i := live[rng.IntN(len(live))]
	z := p.Zone(i)
	column, text := "level", ""
	switch rng.IntN(20) {
	case 0, 1, 2:
		text = fmt.Sprintf("FFL+%d", 2500+10*rng.IntN(120))
	case 3:
		text = pick("soffit-400", "steel-100", "ceiling+30", "soffit-700")
	case 4, 5:
		column = pick("x1", "y1", "x2", "y2")
		text = fmt.Sprint(100 * rng.IntN(200))
	case 6:
		column, text = "size", pick("300x200", "600x300", "ø110", "150x60", "DN50")
	case 7:
		column, text = "run", pick("R001", "R002", "R003", "")
	case 8:
		column, text = "service", pick("LTHW", "chilled water", "power", "data", "supply air", "")
	case 9:
		column, text = "joins", p.Zone(live[rng.IntN(len(live))]).ID
	case 10:
		column, text = pick("insulation", "joint"), fmt.Sprint(5*rng.IntN(10))
	case 11:
		column, text = "hanger", pick("channel 41 M10", "")
	case 12:
		column, text = pick("recessed", "reach"), pick("yes", "no")
	case 13:
		id := z.ID
		ch, pr := p.Remove(id)
		return "removal of " + id, ch, pr
	case 14, 15:
		row := p.Row(i)
		row.ID.Text = fmt.Sprintf("N-%d", rng.IntN(1<<30))
		row.Level = cell.ParseLevel(fmt.Sprintf("FFL+%d", 2500+10*rng.IntN(120)))
		ch, pr := p.Add(p.Files[row.At.File], &row)
		return fmt.Sprintf("%s as a copy of %s", row.ID.Text, z.ID), ch, pr
	case 16, 17:
		bay := &p.Bays[rng.IntN(len(p.Bays))]
		column = pick("soffit", "ceiling", "ceiling", "buildup", "x2")
		switch column {
		case "buildup":
			text = ""
			if len(p.BuildUps) > 0 {
				text = p.BuildUps[rng.IntN(len(p.BuildUps))].Name
			}
		case "x2":
			text = fmt.Sprint(100 * (10 + rng.IntN(200)))
		default:
			text = fmt.Sprintf("FFL+%d", map[string]int{"soffit": 3300, "ceiling": 2500}[column]+10*rng.IntN(60))
		}
		ch, pr := p.EditBay(bay.Label, column, text)
		return fmt.Sprintf("%s of bay %s to %q", column, bay.Label, text), ch, pr
	case 18:
		if len(p.Gaps) > 0 {
			k := rng.IntN(len(p.Gaps))
			text = fmt.Sprint(10 * rng.IntN(20))
			ch, pr := p.EditGap(k, "gap", text)
			return fmt.Sprintf("gap row %d to %s", k, text), ch, pr
		}
		fallthrough
	default:
		column, text = "fall", pick("1 in 80", "1 in 40", "")
	}
	ch, pr := p.Edit(z.ID, column, text)
	return fmt.Sprintf("%s of %s to %q", column, z.ID, text), ch, pr
}

// difference returns the lines that only one of two documents has, at most eight.
func difference(got, want string) string {
	var out []string
	only := func(a, b, mark string) {
		has := map[string]int{}
		for _, l := range strings.Split(b, "\n") {
			has[strings.TrimSuffix(l, ",")]++
		}
		for _, l := range strings.Split(a, "\n") {
			l = strings.TrimSuffix(l, ",")
			has[l]--
			if has[l] < 0 {
				out = append(out, mark+l)
			}
		}
	}
	only(got, want, "+ ")
	only(want, got, "- ")
	return strings.Join(out[:min(8, len(out))], "\n")
}

// Moves are tried on the project itself, with the check that is asked: after that, and an edit, it says what one that is opened anew says.
func TestAgainAfterTrials(t *testing.T) {
	taken, proved := 0, 0
	for seed := range uint64(4 * *more) {
		b := random(4900+seed, mix{zones: 60, storeys: 1 + int(seed%2), gaps: 3})
		p := b.opened(t, spelling{})
		if seed%3 == 1 {
			p = b.openedAsFound(t)
		}
		if seed%3 == 2 {
			p = b.openedSetOut(t)
		}
		opt := clash.Options{Touch: 1, Proved: true}
		check := clash.Open(p, opt)
		proved += strings.Count(answerOf(t, check), `"clear"`)
		rng := rand.New(rand.NewPCG(seed, 2))
		for range 6 {
			said, change, pr := someEdit(p, rng)
			if pr != nil {
				continue
			}
			taken++
			check.Changed(change)
			if got, want := answerOf(t, check), answerOf(t, clash.Open(p, opt)); got != want {
				t.Fatalf("seed %d: after %s (%+v) asked again differs from in full:\n%s", seed, said, change, difference(got, want))
			}
		}
	}
	t.Logf("%d edits taken, %d moves proved clear at first", taken, proved)
	if taken < 12 || proved < 20 {
		t.Error("too little was tried")
	}
}
