package setout

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r1"

	"voidline/clash"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/void"
)

// Mate is another run, or row, that hangs in a frame with the one that is set out.
type Mate struct {
	Frame, Tier string // as the tables have it; Tier may be ""
	Name        string // of the run, or the row's id
	IsRun       bool
	Now         float64 // level of its line in the tables
	Line        float64 // and where it is taken to be: elsewhere where the tiers have no room as they are
	Sets        bool    // it has no one level: it is taken to be as in the tables, and its own sheet goes round the others
}

// Moves reports whether it has to go elsewhere.
func (m *Mate) Moves() bool { return math.Abs(m.Line-m.Now) > void.Hair }

// frames is a run with the others that hang in its frames.
type frames struct {
	p     *void.Project
	c     *clash.Check
	r     *Run
	plan  *support.Plan
	mates []mate
	lifts map[int32]float64 // by zone of another run: how much higher it is taken to be than in the tables, mm
}

type mate struct {
	Mate
	run *Run
}

// framed gathers the runs that hang in a frame with a run; one without any where it hangs in none.
func framed(p *void.Project, c *clash.Check, r *Run) *frames {
	fr := &frames{p: p, c: c, r: r}
	own := course{p: p, run: r}
	for k := range r.Pieces {
		if name, _ := p.Zone(r.Pieces[k].Zone).Frame(); name == "" {
			continue
		}
		if fr.plan == nil {
			fr.plan = support.Of(p, support.Options{})
		}
		for _, j := range fr.plan.Frame(r.Pieces[k].Zone) {
			if own.own(int(j)) || slices.ContainsFunc(fr.mates, func(m mate) bool { return m.run.has(int(j)) }) {
				continue
			}
			runs, err := Assemble(p, own.nameOf(int(j)), r.Face)
			if err != nil {
				continue
			}
			for n := range runs {
				if runs[n].has(int(j)) {
					m := mate{run: &runs[n]}
					m.Frame, m.Tier = p.Zone(int(j)).Frame()
					m.Name, m.IsRun = own.nameOf(int(j)), p.Zone(int(j)).Run() != ""
					m.Now = runs[n].drawnAt()
					m.Line = m.Now
					fr.mates = append(fr.mates, m)
				}
			}
		}
	}
	slices.SortFunc(fr.mates, func(a, b mate) int { return cmp.Or(cmp.Compare(a.Now, b.Now), void.Natural(a.Name, b.Name)) })
	return fr
}

// has reports whether a zone is a piece of the run.
func (r *Run) has(zone int) bool {
	return slices.ContainsFunc(r.Pieces, func(pc Piece) bool { return pc.Zone == zone })
}

// field gathers the bars of the run, with those that keep the tiers of its frames in order, and its mates where they are taken
// to be.
func (fr *frames) field(o Steps, atOnce bool) (Field, []Thing) {
	f, things := field(fr.p, fr.c, fr.r, o, atOnce)
	things = fr.order(fr.r, &f, things)
	for i := range f.Bars {
		b := &f.Bars[i]
		if b.Of < 0 {
			continue
		}
		if by := fr.lifts[int32(things[b.Of].Zone)]; by != 0 {
			b.Lo, b.Hi, b.Open = b.Lo+by, b.Hi+by, lifted(b.Open, by)
			things[b.Of].Lo, things[b.Of].Hi = things[b.Of].Lo+by, things[b.Of].Hi+by
		}
	}
	return f, things
}

// order adds the bars that keep the tiers of a frame in order: what is over a row in the tables stays over it with all that carries it,
// and what is under it stays under what carries the row.
func (fr *frames) order(r *Run, f *Field, things []Thing) []Thing {
	if fr.plan == nil {
		return things
	}
	own := course{p: fr.p, run: r}
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		now := fr.p.Zone(pc.Zone).Full().Height()
		b := r.levelled(pc.Bare, pc.Bare.Height().Center())
		line := b.Height().Lo + r.faceAbove(b)
		high := fr.p.Zone(pc.Zone).Around(b).Height()
		up, down := r.section(fr.p, pc)
		for _, j := range fr.plan.Frame(pc.Zone) {
			if own.own(int(j)) {
				continue
			}
			z := fr.p.Zone(int(j))
			full := z.Full()
			e := z.Bare().PlanEnds()
			at := [2]float64{e[0].Sub(pc.At(pc.From)).Dot(pc.dir()) + pc.From, e[1].Sub(pc.At(pc.From)).Dot(pc.dir()) + pc.From}
			from, to := math.Max(pc.From, math.Min(at[0], at[1])), math.Min(pc.To, math.Max(at[0], at[1]))
			if to-from <= void.Hair || math.Abs(full.Height().Lo-now.Lo) <= tierStep {
				continue // it is not beside this piece, or it lies on the same tier
			}
			bar := Bar{From: from, To: to, Lo: math.Inf(-1), Hi: math.Inf(1), Up: up, Down: down, Of: len(things)}
			if full.Height().Lo > now.Lo {
				bar.Lo = full.Height().Lo - fr.carries(int(j)) - (high.Hi - line)
			} else {
				bar.Hi = full.Height().Hi + fr.carries(pc.Zone) + (line - high.Lo)
			}
			name, _ := z.Frame()
			x := clash.Bar{
				By: z.ID, Zone: int(j), Bay: -1, From: from, To: to, Lo: bar.Lo - line, Hi: bar.Hi - line,
				Rule: "tiers of frame " + name + " keep their order", Basis: rules.Geometry,
			}
			f.Bars = append(f.Bars, bar)
			things = append(things, thing(fr.p, x, pc.Zone, line))
		}
	}
	return things
}

// carries returns how far what carries a row of a frame reaches under it: as its own hanger says, else as that of the first of its
// frame that names one.
func (fr *frames) carries(zone int) float64 {
	for _, j := range append([]int32{int32(zone)}, fr.plan.Frame(zone)...) {
		if h := fr.p.Zone(int(j)).Hanger; h >= 0 {
			return fr.p.Hangers[h].Under
		}
	}
	return 0
}

// tierLevels is a run of a frame with the levels that it may have.
type tierLevels struct {
	run  *Run
	now  float64
	want float64
	band []r1.Interval   // clear of all but the frame
	over map[int]float64 // by index of a higher one: how much higher its line is at the least
	may  []float64       // levels that are tried, ascending

	field  Field
	things []Thing
	set    Steps
}

// together finds a level for every run of the frames where they have no room as they are: each clear of all else, in their order with
// what the rules ask between them, moved the least in sum; all stay where they may. A run that has no one level is as the tables have it to the others, and its own
// sheet goes round where they are then. It returns the level of the run itself; none where that has none, or where no such levels are:
// the others are then as the tables have them.
//
// Levels are whole 5 mm above FFL with room to spare, as for one run. From the lowest tier up the least sum is kept for each level.
func (fr *frames) together(o Steps) (own float64, found bool) {
	if len(fr.mates) == 0 || o.Prefer == nil {
		return 0, false
	}
	ffl := fr.p.Storeys[fr.r.Storey].FFL
	tiers := []tierLevels{{run: fr.r, now: fr.r.drawnAt(), want: *o.Prefer}}
	for k := range fr.mates {
		m := &fr.mates[k]
		tiers = append(tiers, tierLevels{run: m.run, now: m.Now, want: m.Now})
	}
	slices.SortStableFunc(tiers, func(a, b tierLevels) int {
		return cmp.Or(cmp.Compare(a.now, b.now), void.Natural(a.run.Name, b.run.Name)) // whichever of them is asked
	})
	for i := range tiers {
		t := &tiers[i]
		if t.set = (Steps{}); t.run == fr.r {
			t.set = o
		}
		t.field, t.things = field(fr.p, fr.c, t.run, t.set, false)
		t.things = fr.order(t.run, &t.field, t.things)
	}
	// All of them, else all but one of those that are in something where they are, the lowest first.
	most := 0
	for out := -1; out < len(tiers); out++ {
		rest := slices.Clone(tiers)
		if out >= 0 {
			if tiers[out].stays() {
				continue
			}
			rest = slices.Delete(rest, out, out+1)
		}
		for n := -1; n != len(rest); { // one that has no level is as it is in the tables, and there may be less room for the others
			n = len(rest)
			for i := range rest {
				rest[i].leave(rest, i)
			}
			rest = slices.DeleteFunc(rest, func(t tierLevels) bool { return len(t.band) == 0 || t.run.Falls() })
		}
		if out < 0 {
			tiers, most = rest, len(rest)
		}
		if zs, ok := levelled(rest, ffl); ok && len(rest) > 0 && (out < 0 || len(rest) == most-1) {
			return fr.put(rest, zs)
		}
	}
	return 0, false
}

// levelled returns a level for each tier: all stay where they may.
func levelled(tiers []tierLevels, ffl float64) (zs []float64, ok bool) {
	stay := true
	for i := range tiers {
		zs = append(zs, tiers[i].want)
		stay = stay && tiers[i].stays()
		for j, d := range tiers[i].over {
			stay = stay && tiers[j].want-tiers[i].want >= d-void.Hair
		}
	}
	for _, room := range []float64{spared, 0} {
		if stay {
			return zs, true
		}
		zs, stay = stacked(tiers, room, ffl)
	}
	return zs, stay
}

// stays reports whether a tier is clear of all but the frame where it is wanted.
func (t *tierLevels) stays() bool {
	return slices.ContainsFunc(t.band, func(v r1.Interval) bool { return v.Expanded(void.Hair).Contains(t.want) })
}

// put puts the other tiers at their levels, and returns that of the run.
func (fr *frames) put(tiers []tierLevels, zs []float64) (own float64, found bool) {
	fr.lifts = map[int32]float64{}
	for k := range fr.mates {
		m := &fr.mates[k]
		i := slices.IndexFunc(tiers, func(t tierLevels) bool { return t.run == m.run })
		if i < 0 {
			m.Sets = !m.run.Falls()
			continue
		}
		m.Line = zs[i]
		for n := range m.run.Pieces {
			fr.lifts[int32(m.run.Pieces[n].Zone)] = m.Line - m.Now
		}
	}
	if i := slices.IndexFunc(tiers, func(t tierLevels) bool { return t.run == fr.r }); i >= 0 {
		return zs[i], true
	}
	return 0, false
}

// leave works out the levels that a tier may have, and how far it is under those over it.
func (t *tierLevels) leave(tiers []tierLevels, i int) {
	t.over = map[int]float64{}
	f := t.field
	f.Bars = nil
	for _, b := range t.field.Bars {
		other := -1
		if b.Of >= 0 && t.things[b.Of].Zone >= 0 {
			other = slices.IndexFunc(tiers, func(x tierLevels) bool { return x.run.has(t.things[b.Of].Zone) })
		}
		if other < 0 {
			f.Bars = append(f.Bars, b)
		} else if other > i && !math.IsInf(b.Lo, 0) {
			if d, had := t.over[other]; tiers[other].now-b.Lo > d || !had {
				t.over[other] = tiers[other].now - b.Lo
			}
		}
	}
	t.band = f.band(t.set)
}

// farthestTier is how far from its level in the tables a tier is tried, mm.
const farthestTier = 3000.0

// mostOrders is in how many orders the runs on one tier are tried.
const mostOrders = 120

// stacked returns a level for each tier, the lowest first, with so much to spare between two, moved the least in sum; false where there is none. Runs on one
// tier ask nothing of each other, and any of them may be the one that counts to what is under them or over them: each order of them is tried.
func stacked(tiers []tierLevels, room, ffl float64) (zs []float64, ok bool) {
	for i := range tiers {
		tiers[i].tried(ffl)
	}
	least, tries := math.Inf(1), 0
	order := make([]int, len(tiers))
	for i := range order {
		order[i] = i
	}
	var from func(at int)
	from = func(at int) {
		if at < len(order) {
			for k := at; k < len(order) && (k == at || tiers[order[k]].now-tiers[order[at]].now <= tierStep) && tries < mostOrders; k++ {
				next := order[k]
				copy(order[at+1:k+1], order[at:k])
				order[at] = next
				from(at + 1)
				copy(order[at:k], order[at+1:k+1])
				order[k] = next
			}
			return
		}
		tries++
		if levels, sum, may := stackedIn(order, tiers, room); may && sum < least-1e-9 {
			zs, least = levels, sum
		}
	}
	from(0)
	return zs, zs != nil
}

// tried works out the levels at which a tier is tried: whole 5 mm above FFL.
func (t *tierLevels) tried(ffl float64) {
	t.may = nil
	for _, v := range t.band {
		v = v.Intersection(r1.Interval{Lo: t.want - farthestTier, Hi: t.want + farthestTier})
		in := v.Expanded(-margin(v.Length()))
		n := len(t.may)
		for z := ffl + math.Ceil((in.Lo-ffl)/whole5-1e-9)*whole5; z <= in.Hi+1e-9; z += whole5 {
			t.may = append(t.may, z)
		}
		if len(t.may) == n && v.Lo <= v.Hi {
			t.may = append(t.may, math.Max(v.Lo, math.Min(v.Hi, t.want)))
		}
	}
	slices.Sort(t.may)
}

// stackedIn is stacked of the tiers in an order, and says what they are moved in sum.
func stackedIn(order []int, tiers []tierLevels, room float64) (zs []float64, sum float64, ok bool) {
	type best struct {
		sum  float64
		from int
	}
	sums := make([][]best, len(order))
	for i := range order {
		t := &tiers[order[i]]
		sums[i] = make([]best, len(t.may))
		least, at, next := math.Inf(1), -1, 0
		for k, z := range t.may {
			sums[i][k] = best{math.Abs(z - t.want), -1}
			if i == 0 {
				continue
			}
			below := &tiers[order[i-1]]
			apart := 0.0
			if d, is := below.over[order[i]]; is {
				apart = d + room
			} else if math.Abs(below.now-t.now) <= tierStep {
				apart = math.Inf(-1) // on one tier: nothing is asked
			}
			for ; next < len(below.may) && z-below.may[next] >= apart-1e-9; next++ {
				if s := sums[i-1][next].sum; s < least-1e-9 {
					least, at = s, next
				}
			}
			sums[i][k] = best{sums[i][k].sum + least, at}
		}
	}
	last := len(order) - 1
	k := -1
	for n := range sums[last] {
		if !math.IsInf(sums[last][n].sum, 1) && (k < 0 || sums[last][n].sum < sums[last][k].sum-1e-9) {
			k = n
		}
	}
	if k < 0 {
		return nil, 0, false
	}
	sum = sums[last][k].sum
	zs = make([]float64, len(order))
	for i := last; i >= 0; i-- {
		zs[order[i]] = tiers[order[i]].may[k]
		k = sums[i][k].from
	}
	// What two that do not follow each other ask of each other.
	for i := range tiers {
		for j, d := range tiers[i].over {
			if zs[j]-zs[i] < d-1e-9 {
				return nil, 0, false
			}
		}
	}
	return zs, sum, true
}

// elsewhere reports whether a thing is a tier of the run's frame that is taken to be elsewhere than in the tables.
func (a *Answer) elsewhere(t Thing) bool { return t.Zone >= 0 && a.lifts[int32(t.Zone)] != 0 }
