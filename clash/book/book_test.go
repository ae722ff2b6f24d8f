package book

import (
	"cmp"
	"encoding/json"
	"math/rand/v2"
	"reflect"
	"slices"
	"testing"

	"voidline/clash/finding"
)

// random is a book of some entries of zones 0 to 9, and bays 0 to 3.
func random(rng *rand.Rand) *Book {
	b := New(false, false)
	b.Touched, b.Related = map[uint64]bool{}, map[[2]int32]bool{}
	zone := func() int32 { return int32(rng.IntN(10)) }
	bay := func() int32 { return int32(rng.IntN(4)) }
	for range 30 {
		b.Hits = append(b.Hits, Hit{ID: rng.Uint64(), A: zone(), B: zone(), Of: []Origin{OfPair, OfSupport}[rng.IntN(2)]}, Hit{ID: rng.Uint64(), A: zone(), B: NoZone, Bay: bay(), Of: OfCeiling})
		b.Sides = append(b.Sides, SideBlock{Of: zone(), By: zone(), Run: "r"})
		b.Crossed = append(b.Crossed, Crossing{A: zone(), B: zone()}, Crossing{A: zone(), B: NoZone, Bay: bay()})
		b.Tiles = append(b.Tiles, OverTile{Bay: bay(), Zone: zone()})
		b.Below = append(b.Below, UnderFace{Zone: zone(), Bay: bay(), Told: rng.IntN(2) == 0})
		b.Pierced = append(b.Pierced, ThroughCeiling{Zone: zone(), Bay: bay()})
		b.Serves = append(b.Serves, Serving{Zone: zone(), Other: zone()})
		f := finding.Finding{A: "A"}
		f.Identify("")
		for _, of := range []Origin{OfPair, OfSide, OfRun, OfLevel, OfTiles, OfSpace, OfReach} {
			b.Findings = append(b.Findings, &Placed{Of: of, A: zone(), B: zone(), Finding: f})
		}
	}
	for _, s := range b.Serves {
		b.Serve(s.Zone, 1)
	}
	return b
}

// stale is what a change of some zones makes stale.
func stale(rng *rand.Rand) Stale {
	s := NewStale(make([]bool, 10))
	for i := range int32(10) {
		if rng.IntN(4) == 0 {
			s.Marked[i], s.Dirty = true, append(s.Dirty, i)
			s.Level[i] = true
		}
	}
	s.Spaces, s.Reached = map[int32]bool{int32(rng.IntN(10)): true}, map[int32]bool{int32(rng.IntN(10)): true}
	return s
}

func text(t *testing.T, b *Book) string {
	t.Helper()
	served := map[int32]int32{}
	for i := range int32(10) {
		served[i] = b.ServedBy(i)
	}
	out, err := json.Marshal([]any{b.Hits, b.Findings, b.Sides, b.Crossed, b.Tiles, b.Below, b.Pierced, b.Serves, served})
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// forget goes through what an asking again does to a book, and puts new entries down.
func forget(b *Book, s *Stale, rng *rand.Rand) {
	b.Turn([]int{0, len(b.Below) - 1})
	b.ForgetPairs(s)
	b.ForgetTiles(s)
	b.ForgetLevels(s)
	b.Keep(random(rng), func(i int32) int32 { return i })
}

// What is done to a book on trial leaves the book that it is taken from as it is, and comes to what it comes to there: of the zones of the change
// alone, for of the hits a trial has no others.
func TestTrialLeavesItsBook(t *testing.T) {
	changed := 0
	for seed := range uint64(200) {
		b := random(rand.New(rand.NewPCG(seed, 1)))
		was := text(t, b)
		trial := b.Trial(b.ByZone())
		of := stale(rand.New(rand.NewPCG(seed, 2)))
		forget(trial, &of, rand.New(rand.NewPCG(seed, 3)))
		if now := text(t, b); now != was {
			t.Fatalf("seed %d: the book was, and is: %s", seed, apart(was, now))
		}
		near := func(x *Hit) bool {
			return x.A >= 0 && (of.Marked[x.A] || of.Level[x.A]) || x.B >= 0 && (of.Marked[x.B] || of.Level[x.B])
		}
		trial.ForgetHits(func(x *Hit) bool { return !near(x) })
		now := sorted(t, trial)
		again := stale(rand.New(rand.NewPCG(seed, 2)))
		forget(b, &again, rand.New(rand.NewPCG(seed, 3)))
		b.ForgetHits(func(x *Hit) bool { return !near(x) })
		if want := sorted(t, b); now != want {
			t.Fatalf("seed %d: on trial and in the book: %s", seed, apart(now, want))
		}
		if len(of.Sides) != len(again.Sides) || len(of.Runs) != len(again.Runs) || len(of.Tiled) != len(again.Tiled) || len(of.Level) != len(again.Level) {
			t.Fatalf("seed %d: stale on trial %+v, in the book %+v", seed, of, again)
		}
		if text(t, b) != was {
			changed++
		}
	}
	if changed < 190 {
		t.Errorf("%d of 200 changes changed anything", changed)
	}
}

// sorted is text with the hits in the order of their ids.
func sorted(t *testing.T, b *Book) string {
	t.Helper()
	slices.SortFunc(b.Hits, func(x, y Hit) int { return cmp.Compare(x.ID, y.ID) })
	return text(t, b)
}

// apart shows two texts from where they differ.
func apart(a, b string) string {
	k := 0
	for k < len(a) && k < len(b) && a[k] == b[k] {
		k++
	}
	from := max(0, k-80)
	return "…" + a[from:min(len(a), k+80)] + "…\n…" + b[from:min(len(b), k+80)] + "…"
}

// There may be millions of hits.
func TestHitIsSmall(t *testing.T) {
	if n := reflect.TypeFor[Hit]().Size(); n > 64 {
		t.Errorf("a hit takes %d bytes, want 64", n)
	}
}
