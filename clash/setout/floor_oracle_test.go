package setout_test

import (
	"context"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
)

var (
	floorOracle = flag.Int("floor.oracle", 1, "random floors of TestFloorAgainstEveryLevel, each checked at every mm")
	floorTwos   = flag.Int("floor.twos", 30, "random floors of TestTwoLinesLaid")
	floorFrom   = flag.Int("floor.from", 0, "number of the first of them")
	oracleStep  = 1.0 // mm from one level to the next
)

const (
	oracleCut = 100.0 // mm that a tray is cut into for the check
	oracleLow = 2600.0
	oracleTop = 3500.0
)

// laidAt is what the check says of a floor with every tray at one level: of each run which of its pieces have a finding.
type laidAt [][]bool

// oracleFloor is a random floor of two ceilings: trays along it, each on its own, and ducts, pipes and beams across whose edges are in the middle of a piece, so
// that what the check asks beside a thing stays in the piece where it ends.
type oracleFloor struct {
	tables map[string]string
	runs   []string  // ids of the trays
	y      []float64 // of each
	from   float64
	pieces int   // of each tray
	split  int   // pieces over the first ceiling
	wide   []int // of each tray
}

func randomOracleFloor(r *rand.Rand) *oracleFloor {
	f := &oracleFloor{from: 1000, pieces: 60, split: 24 + 6*r.IntN(3)}
	edge := int(f.from) + f.split*int(oracleCut)
	second := []int{2600, 2600, 2850, 3000}[r.IntN(4)]
	f.tables = map[string]string{
		"bays.csv": fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,%d,8000,3600,2600\nB,%[1]d,0,8000,8000,3600,%d\n", edge, second),
		"gaps.csv": "of,to,gap\nany,any,25\n",
	}
	var things strings.Builder
	things.WriteString("id,kind,trade,x1,y1,x2,y2,size,level\n")
	trays := 1 + r.IntN(3)
	for k := range trays {
		f.runs, f.y, f.wide = append(f.runs, "T"+strconv.Itoa(k)), append(f.y, 1000+2500*float64(k)), append(f.wide, 100*(1+r.IntN(4)))
	}
	n := 0
	for k := range trays {
		// Across this tray alone: so what is in the way of each is its own.
		for at := 3 + r.IntN(6); at < f.pieces-4; at += 4 + r.IntN(8) {
			long := 1 + r.IntN(4) // from the middle of a piece to the middle of another
			x := f.from + (float64(at)+0.5)*oracleCut + float64(long)*oracleCut/2
			if end := float64(long) * oracleCut / 2; math.Abs(x-end-float64(edge)) < oracleCut || math.Abs(x+end-float64(edge)) < oracleCut {
				continue // so near the other ceiling that the pieces between them leave no room to come back to the line
			}
			kind, trade := "duct", "ductwork"
			if r.IntN(4) == 0 {
				kind, trade = "beam", "steel"
			}
			high := 100 + r.IntN(500)
			fmt.Fprintf(&things, "D%d,%s,%s,%g,%g,%[4]g,%[6]g,%[7]gx%[8]d,%[9]d\n", n, kind, trade, x, f.y[k]-900, f.y[k]+900, float64(long)*oracleCut, high, 2560+r.IntN(880))
			n, at = n+1, at+long
		}
	}
	f.tables["things.csv"] = things.String()
	return f
}

// trays is the table of the trays, whole or cut into pieces, at a level.
func (f *oracleFloor) trays(cut bool, z float64) string {
	var b strings.Builder
	b.WriteString("id,trade,kind,run,x1,y1,x2,y2,size,level\n")
	for k, id := range f.runs {
		n, long := 1, float64(f.pieces)*oracleCut
		if cut {
			n, long = f.pieces, oracleCut
		}
		for i := range n {
			x := f.from + float64(i)*long
			fmt.Fprintf(&b, "%[1]s-%[2]d,containment,tray,%[1]s,%[3]g,%[4]g,%[5]g,%[4]g,%[6]dx60,%[7]g\n", id, i, x, f.y[k], x+long, f.wide[k], z)
		}
	}
	return b.String()
}

// check lays all trays at a level and asks the check.
func (f *oracleFloor) check(t *testing.T, z float64) laidAt {
	t.Helper()
	files := map[string]string{"tray.csv": f.trays(true, z)}
	for k, v := range f.tables {
		files[k] = v
	}
	p := openFloor(t, files)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems[0])
	}
	opt := clash.Options{Touch: clash.None, Firm: true, Once: true}
	opt.Supports.Off = true
	res, err := clash.Open(p, opt).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	out := make(laidAt, len(f.runs))
	for k := range out {
		out[k] = make([]bool, f.pieces)
	}
	mark := func(id string) {
		name, no, ok := strings.Cut(id, "-")
		if k := slices.Index(f.runs, name); ok && k >= 0 {
			i, _ := strconv.Atoi(no)
			out[k][i] = true
		}
	}
	for i := range res.Findings {
		if mark(res.Findings[i].A); res.Findings[i].B != nil {
			mark(*res.Findings[i].B)
		}
	}
	return out
}

// sum is what pieces come to, in a stretch of every run.
type oracleSum struct {
	never, places int
	off           float64
}

func (a oracleSum) worse(b oracleSum) bool {
	return a.never > b.never || a.never == b.never && a.places > b.places
}

// sum counts runs with nothing on the line, places, and what is off.
func (l laidAt) sum(at func(run, piece int) bool) (s oracleSum) {
	for k := range l {
		before, all := false, true
		for i := range l[k] {
			is := at(k, i)
			if is && !before {
				s.places++
			}
			if is {
				s.off += oracleCut
			}
			before, all = is, all && is
		}
		if all {
			s.never++
		}
	}
	return s
}

// Random floors, every level laid and checked, 1 mm apart: the check itself says which pieces of 100 of the trays have a finding. No level has fewer runs that have
// nothing on it, or as few and fewer places, than the one that is struck; and what is said of that one is what the check finds there: as many
// places, and so much of the length. Two lines are held against every two levels and every way in which the two ceilings take them.
func TestFloorAgainstEveryLevel(t *testing.T) {
	ones, twos, places := 0, 0, 0
	for seed := *floorFrom; seed < *floorFrom+*floorOracle; seed++ {
		f := randomOracleFloor(rand.New(rand.NewPCG(uint64(seed), 2000)))
		files := map[string]string{"tray.csv": f.trays(false, 2800)}
		for k, v := range f.tables {
			files[k] = v
		}
		line := struck(t, true, setout.FloorSettings{Lines: 2}, files)
		var levels []float64
		var laid []laidAt
		for z := oracleLow - 20; z <= oracleTop+40; z += oracleStep {
			levels, laid = append(levels, z), append(laid, f.check(t, z))
		}
		told := func(what string, args ...any) {
			t.Errorf("floor %d: %s\n%s%s%s", seed, fmt.Sprintf(what, args...), files["bays.csv"], files["things.csv"], files["tray.csv"])
		}
		whole := func(l laidAt) oracleSum { return l.sum(func(k, i int) bool { return l[k][i] }) }
		is := whole(f.check(t, line.Level))
		never := 0
		for _, o := range line.Runs {
			n := 0.0
			for i := range line.Places {
				if line.Places[i].Run == o {
					n += line.Places[i].To - line.Places[i].From
				}
			}
			if n > o.Run.Length-1 {
				never++
			}
		}
		if is.places != len(line.Places) || is.never != never {
			told("struck at %g: %d places, %d with nothing on it; the check finds %+v", line.Level, len(line.Places), never, is)
		}
		if off := line.All - line.Clear; is.off < off-0.1 || is.off > off+2*oracleCut*float64(is.places)+0.1 {
			told("struck at %g: %g is off the line, the check finds %g", line.Level, off, is.off)
		}
		best := oracleSum{never: math.MaxInt}
		for i, l := range laid {
			s := whole(l)
			if is.worse(s) {
				told("struck at %g with %+v, at %g the check finds %+v", line.Level, is, levels[i], s)
				break
			}
			if best.worse(s) {
				best = s
			}
		}
		ones, places = ones+1, places+is.places

		// Two lines: pieces over the first ceiling at the one level, those over the second at the other; a change is a place of its own.
		two := line.Two
		if two.Groups != 2 {
			continue
		}
		twos++
		least := oracleSum{never: math.MaxInt}
		for i := range laid {
			for j := range laid {
				s := oracleSum{}
				if i == j {
					s = whole(laid[i])
				} else {
					a := laid[i].sum(func(k, n int) bool { return n < f.split && laid[i][k][n] })
					b := laid[j].sum(func(k, n int) bool { return n >= f.split && laid[j][k][n] })
					s.places = a.places + b.places + len(f.runs)
					for k := range f.runs {
						if !slices.Contains(laid[i][k][:f.split], false) && !slices.Contains(laid[j][k][f.split:], false) {
							s.never++
						}
					}
				}
				if least.worse(s) {
					least = s
				}
			}
		}
		if two.Places > least.places && never >= least.never {
			told("two lines %+v come to %d places; two levels are found with %+v", two.Lines, two.Places, least)
		}
	}
	t.Logf("%d floors, %d of them with two lines, %d places", ones, twos, places)
	if ones > 1 && (twos == 0 || places == 0) {
		t.Error("too few say anything")
	}
}

// Two lines of random floors, laid: three trays over two ceilings, two along the floor from the one to the other and one along their border or near it, so that trays on
// the one line pass those on the other. Each is cut into pieces, which are laid at the line of the bay that their middle is in; the check says which have a finding. In
// the order of who stays, a piece is off its line where it has one with a thing, a ceiling or a piece that stays on its own: as many places, with a change of each run
// that goes from one line to the other, are what is told.
func TestTwoLinesLaid(t *testing.T) {
	twos, met := 0, 0
	for seed := range *floorTwos {
		r := rand.New(rand.NewPCG(uint64(seed), 41))
		const edge, cut = 4000.0, 50.0
		// In each bay the trays, 60 high, go between its ceiling and ducts that come down across them, with 25 over and under: the second bay's line is some 30 to 100
		// over that of the first, and what has 85 from the one underside to the other is clear.
		ceiling := [2]int{2700, 2730 + r.IntN(70)}
		files := map[string]string{
			"bays.csv": fmt.Sprintf("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,4000,8000,3600,%d\nB,4000,0,8000,8000,3600,%d\n", ceiling[0], ceiling[1]),
			"gaps.csv": "of,to,gap,basis\nany,any,25,law\n",
		}
		rank := r.Perm(3)
		aside := float64(50*r.IntN(8)) + 27
		if r.IntN(2) == 0 {
			aside = -aside
		}
		type tray struct {
			x, y, dx, dy, long float64
			wide               int
		}
		trays := [3]tray{
			{1000, 2000, 1, 0, 6000, 200 + 50*r.IntN(3)},
			{1000, 5000, 1, 0, 6000, 200 + 50*r.IntN(3)},
			{edge + aside, 500, 0, 1, 6000, 200 + 50*r.IntN(3)},
		}
		things := "id,kind,trade,x1,y1,x2,y2,size,level\n"
		for k := range 2 { // across each of the first two, in each bay, well away from the border
			for j, x := range []float64{1525, 2525, 5525, 6525} {
				if r.IntN(5) > 0 {
					low := ceiling[j/2] + 110 + r.IntN(10)
					things += fmt.Sprintf("D%d%d,duct,ductwork,%g,%g,%[3]g,%[5]g,300x%[6]d,%[7]d\n", k, j, x, trays[k].y-700, trays[k].y+700, 3590-low, low)
				}
			}
		}
		files["things.csv"] = things
		table := func(piece float64, level func(x float64) float64) string {
			var b strings.Builder
			b.WriteString("id,trade,kind,run,rank,x1,y1,x2,y2,size,level\n")
			for k, y := range trays {
				for s := 0.0; s < y.long; s += piece {
					x := y.x + y.dx*(s+piece/2)
					fmt.Fprintf(&b, "T%d-%g,containment,tray,T%[1]d,%[3]d,%[4]g,%[5]g,%[6]g,%[7]g,%[8]dx60,%[9]g\n", k, s/piece, rank[k]+1, y.x+y.dx*s, y.y+y.dy*s, y.x+y.dx*(s+piece), y.y+y.dy*(s+piece), y.wide, level(x))
				}
			}
			return b.String()
		}
		files["tray.csv"] = table(6000, func(float64) float64 { return 2800 })
		two := struck(t, true, setout.FloorSettings{Lines: 2}, files).Two
		if len(two.Lines) != 2 {
			continue
		}
		twos++
		first := two.Lines[0].Level // of the bay A
		second := two.Lines[1].Level
		if two.Lines[0].Bays[0] != 0 {
			first, second = second, first
		}
		told := files["tray.csv"]
		files["tray.csv"] = table(cut, func(x float64) float64 {
			if x < edge {
				return first
			}
			return second
		})
		p := openFloor(t, files)
		opt := clash.Options{Touch: clash.None, Firm: true, Once: true}
		opt.Supports.Off = true
		res, err := clash.Open(p, opt).Findings(context.Background())
		if err != nil {
			t.Fatal(err)
		}
		at := func(id string) (k, piece int, ok bool) {
			_, err := fmt.Sscanf(id, "T%d-%d", &k, &piece)
			return k, piece, err == nil
		}
		n := int(6000 / cut)
		off := [3][]bool{make([]bool, n), make([]bool, n), make([]bool, n)}
		order := []int{0, 1, 2}
		slices.SortFunc(order, func(a, b int) int { return rank[a] - rank[b] })
		for _, k := range order {
			for i := range res.Findings {
				ids := []string{res.Findings[i].A, ""}
				if b := res.Findings[i].B; b != nil {
					ids[1] = *b
				}
				for side := range 2 {
					own, piece, ok := at(ids[side])
					if !ok || own != k {
						continue
					}
					other, its, is := at(ids[1-side])
					if is && (rank[other] > rank[k] || off[other][its]) {
						continue
					}
					if is && (trays[k].x+trays[k].dx*(float64(piece)+0.5)*cut < edge) != (trays[other].x+trays[other].dx*(float64(its)+0.5)*cut < edge) {
						met++
					}
					off[k][piece] = true
				}
			}
		}
		places, changes := 0, 0
		for k := range trays {
			crosses := trays[k].dx > 0
			if crosses {
				changes++
			}
			last := -1000
			for i := range n {
				border := crosses && i == int((edge-trays[k].x)/cut)
				if border {
					last = -1000
				}
				if off[k][i] {
					if float64(i-last-1)*cut >= 100 {
						places++
					}
					last = i
				}
			}
		}
		if two.Changes != changes || two.Places != places+changes || two.Lines[0].Places+two.Lines[1].Places != places {
			t.Errorf("floor %d: two lines %+v, told with %d places and %d changes; laid there are %d and %d\n%s%s%s", seed, two.Lines, two.Places, two.Changes, places+changes, changes, files["bays.csv"], things, told)
		}
	}
	t.Logf("%d with two lines, %d findings of one with the other", twos, met)
	if twos == 0 || met == 0 {
		t.Error("too few say anything")
	}
}
