package clash

import (
	"cmp"
	"context"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/finding"
	"voidline/clash/forbid"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/vocabulary"
)

// Moves that are proved.
//
//  1. What is forbidden along a line, by everything around, proposes the least shifts that are free, in whole mm: up and down, of a row
//     square to itself, of an item along the grid and the way that its pair alone would take.
//  2. Each is tried in full, the least first, until one is clear: the finding is gone, and nothing is new or worse.
//  3. Where none along a line is clear, the least that clears the finding is told with what it meets.
//
// A row of a run is tried with its whole run, and alone: then its run needs a set wherever another row joins on.

const (
	provedIn    = 300000 // zones of a project in which none are proved: a trial costs with the size of the project
	provedOf    = 10000  // findings of which none are proved: a trial in so dense a place takes long, and one move puts little right
	provedMost  = 2000   // findings of an answer whose moves are proved, the first in its order
	triesAlong  = 3      // shifts that are tried along a line, one way, before another way is taken
	runRowsMost = 40     // rows of a run that is shifted whole
)

// ProofBounds returns how much is tried before a move is told as that of its pair alone.
func ProofBounds() []void.Bound {
	const measured = "measured: to prove a finding takes 1 ms of processor time, in 100,000 zones and in 290,000"
	return []void.Bound{
		{Name: "zones of a project whose moves are proved", Most: provedIn, Why: "a trial costs with the size of the project; ask `try` about a part of it, or about one move", Source: measured},
		{Name: "findings of an answer whose moves are proved", Most: provedOf, Why: "of more none are: so dense a place is not put right one move after the other", Source: measured},
		{Name: "findings proved, the first of them", Most: provedMost, Why: "the rest are told with the least move of the pair alone; nobody reads so far", Source: measured},
		{Name: "rows of a run that is moved whole", Most: runRowsMost, Why: "a longer run is a network: its rows are moved alone, with sets", Source: void.NoSource},
		hatchBound(),
		{Name: "shifts tried one way along a line", Most: triesAlong, Why: "what is three times in the way of a move stays in its way", Source: void.NoSource},
	}
}

// proofs are the moves of findings that were proved, by finding.
type proofs map[uint64]proof

// proof is what was proved of a finding: its moves and, where none is clear, two that are together; where a hatch would do, and a longer channel.
type proof struct {
	moves, together, tried []finding.Move
	hatch                  *finding.HatchPlace
	longer                 *finding.Longer
}

// of puts what was proved into the words of a finding.
func (p *proof) of(f *finding.Finding) {
	f.Moves, f.Together, f.Tried, f.HatchPlace = p.moves, p.together, p.tried, p.hatch
	if p.longer != nil {
		held := *f.Support
		held.Longer, f.Support = p.longer, &held
	}
}

// prove proves the moves of the findings of an answer.
func (a *Answer) prove(ctx context.Context) error {
	v := a.r.prover()
	a.proved = proofs{}
	h := a.r.Set.Reader()
	for k := range a.hits[:min(len(a.hits), provedMost)] {
		if err := ctx.Err(); err != nil {
			return err
		}
		x := &a.hits[k]
		f := a.r.word(h, x)
		p, err := v.proof(ctx, &f, x.ID)
		if err != nil {
			return err
		}
		a.proved[x.ID] = p
	}
	if !a.r.opt.Once {
		a.r.Check.proved = v.tried
	}
	return nil
}

// Prove puts the moves of one finding of the last answer to the proof, and returns it with what came of that; as it is where the check was asked once,
// the project has changed since, or is too large for proofs.
func (c *Check) Prove(ctx context.Context, f finding.Finding) (finding.Finding, error) {
	if c.book == nil || c.pending != nil || c.Project.Zones() > provedIn {
		return f, nil
	}
	p, err := (&run{Check: c, kept: c.book}).prover().proof(ctx, &f, f.IDNumber())
	if err != nil {
		return f, err
	}
	p.of(&f)
	return f, nil
}

// proof proves what can be done about a finding.
func (v *prover) proof(ctx context.Context, f *finding.Finding, id uint64) (p proof, err error) {
	v.vain = v.vain[:0]
	if p.moves, err = v.of(ctx, f, id); err != nil {
		return p, err
	}
	if p.moves == nil {
		p.moves = []finding.Move{}
	}
	if p.together, err = v.together(ctx, p.moves, id); err != nil {
		return p, err
	}
	p.tried, p.hatch, p.longer = v.inVain(p.moves, p.together), v.hatchPlace(v.access[id]), v.longer(f)
	return p, nil
}

// prover proves moves, one finding after the other.
type prover struct {
	*trials
	tried map[trialKey]outcome // findings share rows, and so trials
	asks  forbid.Asker
	room  [3][]forbid.Ban // for propose
	vain  []finding.Move  // of the finding at hand: what was tried and is not clear, or has no room at all
	// access are what cannot be reached, and what stands in the room that something wants, by finding.
	access map[uint64]*book.Placed
}

func (r *run) prover() *prover {
	v := &prover{trials: r.trials(), tried: map[trialKey]outcome{}, asks: forbid.Asker{Tape: r.tape}, access: map[uint64]*book.Placed{}}
	for _, x := range r.kept.Findings {
		if x.Of == book.OfReach || x.Of == book.OfSpace {
			v.access[r.hitOf(x).ID] = x
		}
	}
	return v
}

// trialKey is a trial: which row, whether with its whole run, and by how much.
type trialKey struct {
	row   int32
	whole bool
	by    r3.Vector
}

// who is a row that may move, alone or with its run.
type who struct {
	row   int32
	rows  []int32
	whole bool
}

// of returns the moves of a finding: those of the zone that gives way, and those of the other that are clear where it ranks the
// same or where none of the first is. A finding whose moves are no shift of a zone keeps what it has.
func (v *prover) of(ctx context.Context, f *finding.Finding, id uint64) ([]finding.Move, error) {
	m, ok := v.Project.ZoneByID(f.GivesWay)
	if !ok || f.Support != nil {
		return f.Moves, nil
	}
	moves, err := v.ofZone(ctx, int32(m), f, id)
	if err != nil {
		return nil, err
	}
	if f.B == nil {
		return moves, nil
	}
	other := f.A
	if other == f.GivesWay {
		other = *f.B
	}
	if o, ok := v.Project.ZoneByID(other); ok && v.mayMove(int32(o)) && (v.rank(int32(o)) == v.rank(int32(m)) && v.Zone(int32(o)).Stage() < void.Made || !slices.ContainsFunc(moves, finding.Move.IsClear)) {
		more, err := v.ofZone(ctx, int32(o), f, id)
		if err != nil {
			return nil, err
		}
		moves = append(moves, slices.DeleteFunc(more, func(m finding.Move) bool { return !m.IsClear() })...)
	}
	slices.SortStableFunc(moves, clearFirst)
	return moves, nil
}

// together returns two moves of which neither is clear by itself, but both are at once: the least of a finding, and what it meets going the
// same way by what is then lacking. nil where a move is clear alone, or no such two are found.
func (v *prover) together(ctx context.Context, moves []finding.Move, id uint64) ([]finding.Move, error) {
	if slices.ContainsFunc(moves, finding.Move.IsClear) {
		return nil, nil
	}
	for _, m := range moves {
		if m.Clear == nil || m.Meets == nil || m.Meets.By == 0 || m.Takes == finding.TakesSets {
			continue
		}
		i, ok := v.Project.ZoneByID(m.Zone)
		o, is := v.Project.ZoneByID(m.Meets.With)
		if !ok || !is || i == o || !v.mayMove(int32(o)) || slices.Contains(v.RowsOf(int32(i)), int32(o)) {
			continue
		}
		level, place := v.holds(int32(o))
		if by := m.Vector(); by.Z != 0 && level || (by.X != 0 || by.Y != 0) && place {
			continue
		}
		rows := []int32{int32(i)}
		if m.Takes == finding.TakesRun {
			rows = v.RowsOf(int32(i))
		}
		by := m.Vector()
		other := v.moveOf(int32(o), v.Full(int32(o)).Centre, m.Direction, by.Normalize().Mul(math.Ceil(m.Meets.By-void.Hair)))
		if other.Direction == "up" || other.Direction == "down" {
			other.Towards = ""
		}
		other.Round()
		out, ok, err := v.shiftAll(ctx, shifted{rows, by}, shifted{[]int32{int32(o)}, other.Vector()})
		if err != nil {
			return nil, err
		}
		if ok && out.gone[id] && len(out.worse) == 0 && len(out.apart) == 0 {
			m.Clear, m.Meets, other.Clear = nil, nil, nil
			return []finding.Move{m, other}, nil
		}
	}
	return nil, nil
}

// triedTold is how many moves that were tried in vain are told of a finding.
const triedTold = 6

// inVain returns what was tried of a finding that no move clears, besides the moves that are told of it.
func (v *prover) inVain(moves, two []finding.Move) []finding.Move {
	if slices.ContainsFunc(moves, finding.Move.IsClear) || len(two) > 0 {
		return nil
	}
	same := func(a, b *finding.Move) bool {
		return a.Zone == b.Zone && a.Takes == b.Takes && a.Direction == b.Direction && a.By == b.By && a.Towards == b.Towards
	}
	var out []finding.Move
	for k := range v.vain {
		m := &v.vain[k]
		told := func(list []finding.Move) bool {
			return slices.ContainsFunc(list, func(o finding.Move) bool { return same(m, &o) })
		}
		if len(out) < triedTold && !told(moves) && !told(out) {
			out = append(out, *m)
		}
	}
	return out
}

// clearFirst puts what is clear before what is not, and of those alike the shorter first.
func clearFirst(a, b finding.Move) int {
	if ca, cb := a.IsClear(), b.IsClear(); ca != cb {
		if ca {
			return -1
		}
		return 1
	}
	return cmp.Compare(a.By, b.By)
}

// line is a line along which a zone may be shifted, and the words for its two ways.
type line struct {
	dir   r3.Vector
	words [2]string
	least *finding.Move // of the pair alone
}

// lines returns the lines along which zone m may be shifted to clear a finding.
func (v *prover) lines(m int32, f *finding.Finding) []line {
	z := v.Zone(m)
	level, place := v.holds(m)
	var out []line
	if !level {
		out = append(out, line{dir: scene.Up, words: [2]string{"up", "down"}})
	}
	if !place && !f.ByHeight && !z.ByHeight {
		if left, row := leftOf(z, v.Full(m)); row {
			out = append(out, line{dir: left, words: [2]string{"left", "right"}})
		} else {
			out = append(out, line{dir: r3.Vector{Y: 1}, words: [2]string{"left", "right"}}, line{dir: r3.Vector{X: 1}, words: [2]string{"sideways", "sideways"}})
		}
	}
	for k := range f.Moves {
		mv := &f.Moves[k]
		if mv.Zone != z.ID || mv.By <= 0 {
			continue
		}
		d := mv.Vector().Normalize()
		if v.module(m) > 0 && math.Abs(d.X) != 1 && math.Abs(d.Y) != 1 {
			continue // not along the grid
		}
		at := slices.IndexFunc(out, func(l line) bool { return math.Abs(l.dir.Dot(d)) > 1-1e-9 })
		if at < 0 {
			at = len(out)
			out = append(out, line{dir: d, words: [2]string{mv.Direction, mv.Direction}})
		}
		out[at].least = mv
	}
	return out
}

// proposal is a shift that may be clear.
type proposal struct {
	by   float64
	way  float64
	who  *who
	word string
}

// ofZone returns the moves of zone m that clear a finding: along each line the least that is clear, else the least that clears it with what it
// meets.
func (v *prover) ofZone(ctx context.Context, m int32, f *finding.Finding, id uint64) ([]finding.Move, error) {
	at := r3.Vector{X: f.At.X, Y: f.At.Y, Z: f.At.Z}
	parties := v.parties(m)
	var level, out []finding.Move
	for _, l := range v.lines(m, f) {
		found, err := v.leastClear(ctx, m, &l, parties, f, id)
		if err != nil {
			return nil, err
		}
		if found == nil && l.least != nil {
			w := parties[len(parties)-1]
			p := proposal{by: l.least.By, who: &w, word: l.least.Direction}
			mv, err := v.proved(ctx, m, &p, l.least.Vector(), at, id)
			if err != nil {
				return nil, err
			}
			if found = l.least; mv != nil {
				found = mv
			}
		}
		switch {
		case found == nil:
		case found.DX == 0 && found.DY == 0:
			out = append(out, *found)
		default:
			level = append(level, *found)
		}
	}
	corner, err := v.atCorner(ctx, m, level, at, id)
	if err != nil {
		return nil, err
	}
	if corner != nil {
		level = append(level, *corner)
	}
	// Of several lines in plan the least that is clear, else the least.
	if len(level) > 0 {
		out = append(out, slices.MinFunc(level, clearFirst))
	}
	return out, nil
}

// nearFirst is how far along a line is looked first, mm; twice as far each time while nothing there is clear, for most moves are short and
// what lies further off costs to ask.
const nearFirst = 125

// leastClear returns the least move of zone m along a line, with its run or alone, that is clear; nil where none of those tried is.
func (v *prover) leastClear(ctx context.Context, m int32, l *line, parties []who, f *finding.Finding, id uint64) (*finding.Move, error) {
	at := r3.Vector{X: f.At.X, Y: f.At.Y, Z: f.At.Z}
	vain := len(v.vain)
	tried := 0.0
	for within := float64(nearFirst); ; within = math.Min(2*within, farAside) {
		props, all := v.proposals(parties, l, f, within)
		slices.SortStableFunc(props, func(a, b proposal) int { return cmp.Compare(a.by, b.by) })
		for _, p := range props {
			if p.by <= tried {
				continue
			}
			mv, err := v.proved(ctx, m, &p, l.dir.Mul(p.by*p.way), at, id)
			if err != nil || mv != nil && mv.IsClear() {
				return mv, err
			}
		}
		if all {
			v.vain = slices.Insert(v.vain, vain, v.noRoom(m, at, l, props)...)
			return nil, nil
		}
		tried = within
	}
}

// proposals returns what is proposed to parties of which the last is the row alone. Where that alone has no room within so many mm its run has
// none, so the run, which costs the more, is not asked.
func (v *prover) proposals(parties []who, l *line, f *finding.Finding, within float64) (props []proposal, all bool) {
	last := len(parties) - 1
	alone, all := v.propose(&parties[last], l, f, within)
	if len(alone) == 0 {
		return nil, all
	}
	for k := range parties[:last] {
		ps, whole := v.propose(&parties[k], l, f, within)
		props, all = append(props, ps...), all && whole
	}
	return append(props, alone...), all
}

// noRoom returns the ways of a line along which nothing near is free, as moves by nothing.
func (v *prover) noRoom(m int32, at r3.Vector, l *line, props []proposal) (out []finding.Move) {
	for k, way := range [2]float64{1, -1} {
		if slices.ContainsFunc(props, func(p proposal) bool { return p.way == way }) {
			continue
		}
		mv := v.moveOf(m, at, l.words[k], l.dir.Mul(way))
		mv.By, mv.DX, mv.DY, mv.DZ = 0, 0, 0, 0
		if l.dir.Z != 0 {
			mv.Towards = ""
		}
		out = append(out, mv)
	}
	return out
}

// atCorner returns the least clear move of an item to a place between two things, nil where none is less than the least of those along the lines
// that were tried, level.
func (v *prover) atCorner(ctx context.Context, m int32, level []finding.Move, at r3.Vector, id uint64) (*finding.Move, error) {
	z := v.Zone(m)
	if _, place := v.holds(m); place || !z.Item || z.ByHeight || v.module(m) > 0 {
		return nil, nil
	}
	most := farAside + 1.0
	for _, l := range level {
		if l.IsClear() {
			most = math.Min(most, l.By)
		}
	}
	w := who{row: m, rows: []int32{m}}
	for _, by := range v.corners(m, most) {
		mv, err := v.proved(ctx, m, &proposal{who: &w, word: itemWay(by)}, by, at, id)
		if err != nil || mv != nil && mv.IsClear() {
			return mv, err
		}
	}
	return nil, nil
}

// parties returns zone m with its run, where that is more and may be shifted whole, and alone.
func (v *prover) parties(m int32) []who {
	alone := who{row: m, rows: []int32{m}}
	rows := v.RowsOf(m)
	if len(rows) < 2 || len(rows) > runRowsMost {
		return []who{alone}
	}
	for _, i := range rows {
		if l, p := v.holds(i); l || p || v.Zone(i).Storey != v.Zone(m).Storey {
			return []who{alone}
		}
	}
	return []who{{row: m, rows: rows, whole: true}, alone}
}

// propose returns the least shifts along a line, each way, that nothing forbids: first as if what is found of the rows already, other
// than this finding, did not matter; then so that none of that goes deeper; then with all of that. Those of up to within mm; all
// says that there are no others.
func (v *prover) propose(w *who, l *line, f *finding.Finding, within float64) (out []proposal, all bool) {
	bans, others, lenient := v.room[0][:0], v.room[1][:0], v.room[2][:0]
	reach := r1.Interval{Lo: -farAside, Hi: farAside}
	for _, i := range w.rows {
		if l.dir.Z != 0 {
			reach = reach.Intersection(v.upright(i))
		}
	}
	for _, i := range w.rows {
		bans = append(bans, v.bansOf(i, l.dir, within)...)
	}
	for _, b := range bans {
		if b.Lo >= -void.Hair || b.Hi <= void.Hair || v.ofFinding(&b, f) {
			others, lenient = append(others, b), append(lenient, b)
			continue
		}
		// As deep as it is now it may stay.
		if d := math.Min(-b.Lo, b.Hi); !math.IsInf(d, 1) {
			b.Lo, b.Hi = b.Lo+d, b.Hi-d
			lenient = append(lenient, b)
		}
	}
	v.room = [3][]forbid.Ban{bans, others, lenient}
	step := 1.0 // what is told is in whole mm
	if tile := v.module(w.row); tile > 0 && l.dir.Z == 0 {
		step = tile
	}
	all = true
	for k, way := range [2]float64{1, -1} {
		most := math.Abs(map[bool]float64{true: reach.Hi, false: reach.Lo}[way > 0])
		add := func(bans []forbid.Ban, from float64) float64 {
			t := 0.0
			for free := math.Abs(forbid.Out(bans, from*way, way)); t < free-void.Hair && t <= farAside; free = math.Abs(forbid.Out(bans, t*way, way)) {
				t = math.Ceil((free-void.Hair)/step) * step
			}
			t = math.Max(step, t)
			if t > math.Min(most, within)+void.Hair {
				all = all && t > most+void.Hair
				return math.Inf(1)
			}
			if !slices.ContainsFunc(out, func(p proposal) bool { return p.way == way && p.by == t }) {
				out = append(out, proposal{by: t, way: way, who: w, word: l.words[k]})
			}
			return t
		}
		add(others, 0)
		t := add(lenient, 0)
		for range triesAlong - 1 {
			if t = add(bans, t); math.IsInf(t, 1) {
				break
			}
			t += step
		}
	}
	return out, all
}

// bansOf returns what is forbidden to a row along a line, each way up to within mm or a little more, and no further up or down than there is
// headroom. It is good until the next is asked.
func (v *prover) bansOf(i int32, dir r3.Vector, within float64) []forbid.Ban {
	far := float64(nearFirst)
	for far < math.Min(within, farAside) {
		far = math.Min(2*far, farAside)
	}
	asked := r1.Interval{Lo: -far, Hi: far}
	if dir.Z != 0 {
		asked = asked.Intersection(v.upright(i))
	}
	return v.asked(forbid.Query{Zone: i, Full: v.Full(i), Dir: dir, Within: asked, Hung: true, Here: true})
}

// asked returns what is forbidden, good until the next question.
func (v *prover) asked(q forbid.Query) []forbid.Ban {
	v.Laid(scene.StraysMost)
	return v.asks.Forbidden(q)
}

// upright returns the shifts up and down for which a row has headroom.
func (v *prover) upright(i int32) r1.Interval {
	return r1.Interval{Lo: -v.headroom(i, scene.Up.Mul(-1)), Hi: v.headroom(i, scene.Up)}
}

// ofFinding reports whether a ban is what a finding is about.
func (v *prover) ofFinding(b *forbid.Ban, f *finding.Finding) bool {
	name := v.bannedBy(b)
	return name == f.A || f.B != nil && name == *f.B
}

// bannedBy returns the id of what forbids: a zone, ceiling X, soffit X.
func (v *prover) bannedBy(b *forbid.Ban) string {
	switch {
	case b.Bay >= 0 && b.Soffit:
		return v.Project.Bays[b.Bay].SoffitID()
	case b.Bay >= 0:
		return v.Project.Bays[b.Bay].CeilingID()
	case b.Zone >= 0:
		return v.Zone(b.Zone).ID
	}
	return ""
}

// proved puts a proposal to the proof; nil where the rows cannot be written there, or the finding stays.
func (v *prover) proved(ctx context.Context, m int32, p *proposal, by, at r3.Vector, id uint64) (*finding.Move, error) {
	mv := v.moveOf(m, at, p.word, by)
	if by.X == 0 && by.Y == 0 {
		mv.Direction, mv.Towards = "up", ""
		if by.Z < 0 {
			mv.Direction = "down"
		}
	}
	mv.Round()
	by = mv.Vector()
	key := trialKey{p.who.rows[0], p.who.whole, by}
	out, tried := v.tried[key]
	if !tried {
		var ok bool
		var err error
		if out, ok, err = v.shift(ctx, p.who.rows, by); err != nil {
			return nil, err
		}
		if !ok {
			return nil, nil
		}
		v.tried[key] = out
	}
	if !out.gone[id] {
		return nil, nil
	}
	if p.who.whole {
		mv.Takes = finding.TakesRun
	}
	clear := len(out.worse) == 0
	if !clear {
		mv.Meets = v.meets(&out.worse[0], out.by, p.who.rows)
	}
	if len(out.apart) > 0 {
		// A row by itself leaves its run: a set joins it on again, but not where the run must fall.
		mv.Takes = finding.TakesSets
		if len(out.apart) > 1 {
			mv.Wants = v.setWants(m, by)
		}
		for _, x := range out.apart {
			row, o := x[0], x[1]
			if !slices.Contains(p.who.rows, row) {
				row, o = o, row
			}
			if item, lack := v.straight(row, o); item >= 0 && mv.Meets == nil {
				clear = false
				mv.Meets = &finding.Meets{With: v.Zone(item).ID, By: math.Ceil(lack*10-0.01) / 10}
			}
			if m := v.setsMeet(row, o, by); m != nil && clear {
				clear, mv.Meets = false, m
			}
		}
		if p.who.whole || v.Char(m).In(vocabulary.Gravity) {
			clear = false
			if mv.Meets == nil {
				o := out.apart[0][0]
				if slices.Contains(p.who.rows, o) {
					o = out.apart[0][1]
				}
				mv.Meets = &finding.Meets{With: v.Zone(o).ID}
			}
		}
	}
	mv.Clear = &clear
	if !clear {
		v.vain = append(v.vain, mv)
	}
	return &mv, nil
}
