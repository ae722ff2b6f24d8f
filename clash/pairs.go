package clash

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/figure"
	"voidline/clash/rules"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// batch is what one batch of pairs came to; words says that findings are wanted worded.
type batch struct {
	book
	words bool
}

// pairs measures every near pair of zones.
func (r *run) pairs(ctx context.Context) error {
	var mu sync.Mutex
	var got []*batch
	err := r.candidates(ctx, func(done, of int) { r.progress(Pairs, done, of) }, func(h *rules.Reader, k int, ps []pair) {
		b := &batch{book: r.opt.newBook()}
		for i, p := range ps {
			if i%64 == 0 && ctx.Err() != nil {
				return
			}
			r.pairById(b, h, p.a, p.b)
		}
		mu.Lock()
		if k >= len(got) {
			got = append(got, make([]*batch, k+1-len(got))...)
		}
		got[k] = b
		mu.Unlock()
	})
	if err != nil {
		return err
	}
	books := make([]*book, 0, len(got))
	for _, b := range got {
		if b != nil {
			books = append(books, &b.book)
		}
	}
	r.take(books...)
	return nil
}

// pairById measures a pair, the first by id first, so that nothing hangs on the order of rows.
func (r *run) pairById(b *batch, h *rules.Reader, x, y int32) {
	if r.zone(y).ID < r.zone(x).ID {
		x, y = y, x
	}
	r.pair(b, h, x, y)
	b.measured++
}

// pair measures one pair and adds what comes of it to the batch.
func (r *run) pair(out *batch, h *rules.Reader, a, b int32) {
	za, zb := r.zone(a), r.zone(b)
	ch := h.Between(r.trait(a), r.trait(b))
	A, B := r.full(a), r.full(b)
	byHeight := za.ByHeight || zb.ByHeight
	if byHeight && (r.upright(a) || r.upright(b)) {
		return // a column or a wall at the bay's edge says nothing against a list of heights
	}
	touch := r.opt.Touch
	if byHeight {
		// Side by side in one ceiling, or of one run: heights alone say nothing against them.
		if za.Recessed && zb.Recessed {
			return
		}
		if why := r.belong(a, b); why == sameRun || why == namedJoin {
			out.excuse(ofPair, why, a, b)
			return
		}
	}
	var j joint
	measure := judgeDepth
	if out.words {
		measure = judge
	}
	v := measure(A, B, ch, touch, byHeight)
	if ch.Warn != "" && !byHeight && body.Gap(A, B).MM < rules.Segregated && (long(A, B, rules.Segregated, rules.Laying) || long(B, A, rules.Segregated, rules.Laying)) {
		out.warned = append(out.warned, warning{a, b, ch.Warn})
	}
	if len(r.rules.Tiles) > 0 && za.Recessed != zb.Recessed && !byHeight {
		s, o := a, b
		if za.Recessed {
			s, o = b, a
		}
		if !r.structure(s) && r.joined(&j, a, b).met {
			out.serves = append(out.serves, serving{s, o})
		}
	}
	if v.crossed && !byHeight {
		r.crossing(out, ch, a, b)
	}
	if !v.any() {
		r.sideBlocks(out, ch, &j, a, b, A, B, byHeight)
		return
	}
	if za.ByHeight && zb.ByHeight && za.Bay != zb.Bay {
		return
	}
	note, through := "", [2]int32{-1, -1} // a service and the structure with an opening that it misses
	// Through a beam, a wall or a slab.
	if sa, sb := r.structure(a), r.structure(b); sa != sb && v.overlap && !byHeight {
		s, w := a, b
		if sa {
			s, w = b, a
		}
		switch done, words := r.through(out, s, w); {
		case done:
			return
		default:
			note, through = words, [2]int32{s, w}
		}
	}
	if !byHeight && r.joined(&j, a, b).met {
		rest := verdict{}
		if j.left {
			rest = measure(j.A, j.B, ch, touch, false)
		}
		if !rest.any() {
			out.excuse(ofPair, j.why, a, b)
			if r.spy != nil {
				r.spy(a, b, j.why)
			}
			return
		}
		A, B, v = j.A, j.B, rest
		note = "beyond where the two meet"
	}
	if !byHeight && !out.words && !j.met {
		r.ask(out, a, b, A, B)
	}
	if out.words {
		f := r.finding(a, b, A, B, ch, &v, byHeight, note)
		if v.overlap && j.why != "" && !j.met {
			if f.TooDeep = r.tooDeep(a, b, j.why); f.TooDeep != nil {
				into := r.zone(a).ID
				if f.TooDeep.Of == into {
					into = r.zone(b).ID
				}
				f.Note = f.TooDeep.Words(into)
			}
		}
		if s := through[0]; s >= 0 && f.GivesWay == r.zone(s).ID {
			f.Moves = r.orInto(f.Moves, s, through[1])
		}
		out.add(ofPair, a, b, alongKey{}, f)
		return
	}
	out.hits = append(out.hits, r.brief(a, b, A, B, &v, byHeight))
	r.sideBlocks(out, ch, &j, a, b, A, B, byHeight)
}

// joint is what apart says of a pair, once it is asked.
type joint struct {
	known     bool
	why       string // "" where the two do not belong together
	A, B      body.Body
	left, met bool
}

// joined asks, at the first time, whether two zones belong together and meet.
func (r *run) joined(j *joint, a, b int32) *joint {
	if !j.known {
		j.known = true
		if j.why = r.belong(a, b); j.why != "" {
			j.A, j.B, j.left, j.met = r.apart(a, b, j.why)
		}
	}
	return j
}

// finding words a verdict on two zones; A and B are what was measured of them.
func (r *run) finding(a, b int32, A, B body.Body, ch *rules.Choice, v *verdict, byHeight bool, note string) Finding {
	main := v.main()
	f := Finding{Kind: Tight, ByHeight: byHeight, Note: note, Basis: string(rules.Geometry), Rule: inOnePlace, Side: cell.Around.String()}
	flip := v.n > 0 && !main.OfA // the rule's of is b
	if v.overlap {
		f.Kind = Overlap
		f.Depth = &Depth{Vertical: v.vertical}
		if sideways := v.sideways; !math.IsNaN(sideways) {
			f.Depth.Sideways = &sideways
		}
		f.Asked, f.Short = main.asked, main.asked+v.depth()
		for _, x := range v.breaches() {
			f.Also = append(f.Also, also(x))
		}
	} else {
		f.Gap, f.Asked, f.Short = main.gap, main.asked, main.short()
		f.Rule, f.Basis, f.Side = main.Rule.Name, string(main.Rule.Basis), main.side.String()
		k := worst(v.breaches())
		for i, x := range v.breaches() {
			if i != k {
				f.Also = append(f.Also, also(x))
			}
		}
	}
	if flip {
		a, b, A, B = b, a, B, A
		ch = ch.Swapped()
	}
	at := r.spotOf(a, b, A, B, v, byHeight)
	r.zonesOf(&f, a, b)
	r.place(&f, at, a, b)
	f.Cost = costs[r.costOf(f.Kind, rules.Basis(f.Basis), a, b)].Word
	m := r.givesWay(a, b)
	f.GivesWay = r.zone(m).ID
	M, O := A, B
	if m == b {
		M, O = B, A
	}
	// What was measured may be less than the whole where the two meet; it moves as one with it. A move
	// goes all the way: it does not leave them in each other by the touch tolerance.
	f.Moves = r.movesOf(m, &moved{M: M, O: O, ch: ch, second: m != a, byHeight: byHeight}, at)
	return f
}

// inOnePlace is the rule that needs no rule.
const inOnePlace = "no two things in the same space"

func also(x breach) Also {
	return Also{Rule: x.Rule.Name, Side: x.side.String(), Gap: x.gap, Asked: x.asked, Short: x.short(), Basis: string(x.Rule.Basis)}
}

// zonesOf fills in who the two are.
func (r *run) zonesOf(f *Finding, a, b int32) {
	za, zb := r.zone(a), r.zone(b)
	f.A, f.ATrade, f.ARow, f.ARun = za.ID, r.char(a).Trade, r.p.FileLine(za.At()), za.Run()
	id := zb.ID // a copy: a finding outlives an edit of its zone
	f.B, f.BTrade, f.BRow, f.BRun = &id, r.char(b).Trade, r.p.FileLine(zb.At()), zb.Run()
	f.AKind, f.BKind = r.char(a).Kind, r.char(b).Kind
}

// place fills in where it is: the bay is that of the place, the first by name.
func (r *run) place(f *Finding, at r3.Vector, zones ...int32) {
	storey, bay := r.toldIn(at, zones...)
	f.At, f.Storey = r.spotAt(storey, at), r.p.Storeys[storey].Name
	if bay != noBay {
		label := r.p.Bays[bay].Label
		f.Bay = &label
	}
}

func (c *Check) spotAt(storey int, at r3.Vector) Spot {
	return Spot{
		X: at.X, Y: at.Y, Z: at.Z, Level: at.Z - c.p.Storeys[storey].FFL,
		Where: c.p.Where(r2.Point{X: at.X, Y: at.Y}),
	}
}

// through deals with a service s that overlaps structure w: done where it goes through an opening with
// its margin, or where the hole is builder's work. Else words say what a reader must know.
func (r *run) through(out *batch, s, w int32) (done bool, words string) {
	kind := r.char(w).Kind
	wall := kind == "wall" || kind == "slab" || kind == "cavity barrier"
	S, W := r.full(s), r.full(w)
	if os := r.openingsIn[w]; len(os) > 0 {
		best, found, near := math.Inf(-1), false, false
		var in inOpening
		for _, o := range os {
			if pass, ok := passing(S, W, r.zone(w), &r.p.Openings[o]); ok {
				near = near || pass.meets()
				if room := pass.room(r2.Point{}); room > best {
					best, in, found = room, pass, true
				}
			}
		}
		if wall && !near {
			found = false // no opening is meant for it
		}
		if found && best >= -void.Hair {
			o := in.o
			asked, rule := r.marginOf(s, w, o)
			out.excuse(ofPair, madeWay, s, w)
			if figure.Lacks(best, asked) {
				f := Finding{
					Kind: Tight, Gap: math.Max(0, best), Asked: asked, Short: asked - math.Max(0, best), Side: cell.Around.String(),
					Rule: rule.Name, Basis: string(rule.Basis), Note: "in the opening of " + r.p.FileLine(o.Row),
				}
				if o.HasMargin {
					f.Note += ", margin of that row"
				}
				r.zonesOf(&f, s, w)
				r.place(&f, o.Centre, s, w)
				f.GivesWay = r.zone(s).ID
				var fits bool
				if f.Moves, fits = r.into(s, &in, asked); !fits {
					f.Note += ", which is too small for it"
				}
				out.add(ofPair, s, w, alongKey{}, f)
			}
			return true, ""
		}
		switch {
		case wall && !near:
		case found:
			words = fmt.Sprintf("%s mm outside the opening in %s: checked as a solid box", figure.Up(-best), r.p.FileLine(in.o.Row))
		default:
			words = "not in an opening: checked as a solid box"
		}
		if !wall {
			return false, words
		}
	}
	if !wall {
		if r.char(w).Entry.Beam {
			if k := r.char(w).Kind; words == "" && (k == "joist" || k == "truss") {
				words = "an open " + k + " is checked as a solid box: the service may pass through its web"
			} else if words == "" {
				words = "no opening given in this beam: checked as a solid box"
			}
		}
		return false, words
	}
	if kind == "slab" && r.openInSoffit(s, w) {
		out.excuse(ofPair, madeWay, s, w)
		return true, ""
	}
	if hole, ok := r.hole(s, w); ok && words == "" {
		out.holes = append(out.holes, madeOf{s, w, hole})
		return true, ""
	}
	return false, words
}

// openInSoffit reports whether a soffit that slab w lies on has an opening that service s goes through.
func (r *run) openInSoffit(s, w int32) bool {
	under := r.full(w).Height().Lo
	for _, j := range r.zone(s).Bays() {
		if math.Abs(r.p.Bays[j].Soffit-under) > rules.MeetEnds {
			continue
		}
		if _, _, _, ok := r.inHole(s, r.soffitHole[j]); ok {
			return true
		}
	}
	return false
}

// marginOf returns what is to be left round a service in an opening, and the rule that asks it: the opening's
// own margin, else the project's rule between the two, else the built-in one.
func (r *run) marginOf(s, w int32, o *void.Opening) (float64, *rules.Rule) {
	if o.HasMargin {
		// Its own rule, not the built-in one, which firm leaves out.
		return o.Margin, &rules.Rule{Name: r.rules.Opening.Name, Basis: rules.Maker}
	}
	if u := r.rules.Between(r.trait(s), r.trait(w)).Around; u.Valid && u.Rule.Row != "" {
		return u.Gap, u.Rule
	}
	return r.rules.Opening.Gap, &r.rules.Opening
}

// hole returns the builder's work where service s goes right through wall or slab w: its axis comes
// in at one face and out at the other.
func (r *run) hole(s, w int32) (Hole, bool) {
	S, W := r.full(s), r.full(w)
	zs, zw := r.zone(s), r.zone(w)
	slab := r.char(w).Kind == "slab"
	normal, across, rise := r3.Vector{X: W.Across.X, Y: W.Across.Y}, r3.Vector{X: -W.Across.Y, Y: W.Across.X}, up
	switch {
	case slab:
		normal, across, rise = up, r3.Vector{X: 1}, r3.Vector{Y: 1}
	case zw.Item && W.Along.Norm() < W.W: // a wall given as an upright prism, thin along x
		normal, across = across, normal
	}
	face := W.Reach(normal)
	// A length goes through where its axis does; an item where it stands out at both faces.
	through := S.Reach(normal)
	p, q := through.Lo, through.Hi
	var room [2]end
	if es := ends(zs, &S, &room); len(es) > 0 {
		p, q = es[0].at.Dot(normal), es[1].at.Dot(normal)
		if p > q {
			p, q = q, p
		}
	}
	if p > face.Lo-void.Hair || q < face.Hi+void.Hair {
		return Hole{}, false
	}
	var mid r3.Vector
	if d := S.Along.Dot(normal); math.Abs(d) > 1e-9 {
		mid = S.Centre.Add(S.Along.Mul((face.Center() - S.Centre.Dot(normal)) / d))
	} else {
		mid = S.Centre.Add(normal.Mul(face.Center() - S.Centre.Dot(normal)))
	}
	width, okA := body.CutReach(S, mid, normal, across)
	height, okB := body.CutReach(S, mid, normal, rise)
	if !okA || !okB {
		return Hole{}, false
	}
	o := r.holeOf(s, zw.ID, r.p.FileLine(zw.At()), mid, width.Length(), height.Length(), width.Center(), height.Center(), across, rise, slab)
	if high := W.Height(); !slab {
		switch {
		case o.At.Z+o.Height/2 > high.Hi+void.Hair:
			o.Note = fmt.Sprintf("the hole is %s above the head of the wall", figure.Up(o.At.Z+o.Height/2-high.Hi))
		case o.At.Z-o.Height/2 < high.Lo-void.Hair:
			o.Note = fmt.Sprintf("the hole is %s below the foot of the wall", figure.Up(high.Lo-o.At.Z+o.Height/2))
		}
	}
	return o, true
}

// holeOf words a hole for service s: mid is a point of the cut's plane, w and h the size of the cut, cw
// and chh its middle as seen from mid.
func (r *run) holeOf(s int32, in, inRow string, mid r3.Vector, w, h, cw, chh float64, across, rise r3.Vector, slab bool) Hole {
	zs := r.zone(s)
	m := r.rules.Opening.Gap
	at := mid.Add(across.Mul(cw)).Add(rise.Mul(chh))
	o := Hole{
		Service: zs.ID, In: in, Row: r.p.FileLine(zs.At()), InRow: inRow, Storey: r.p.Storeys[zs.Storey].Name,
		At: r.spotAt(int(zs.Storey), at), Width: w + 2*m, Height: h + 2*m, Margin: m,
	}
	if r.full(s).Round && math.Max(w, h) < 1.05*math.Min(w, h) {
		// A core is drilled round, and large enough for a pipe that falls.
		o.Round = true
		o.Width = math.Max(w, h) + 2*m
		o.Height = o.Width
	}
	o.Level = o.At.Level
	if !slab {
		o.Level -= o.Height / 2
	}
	if b, ok := r.bayAt(int(zs.Storey), r2.Point{X: at.X, Y: at.Y}); ok {
		label := r.p.Bays[b].Label
		o.Bay = &label
	}
	return o
}

// sideBlock is a zone that stands in the hand room along one side of another.
type sideBlock struct {
	of, by int32
	left   bool
	gap    float64
	rule   *rules.Rule
	asked  float64
	lo, hi float64 // stations of the row between which it stands there, -1 to 1
	key    alongKey
}

// sideBlocks notes which of the two stands in the room that the other asks for on one of its sides.
func (r *run) sideBlocks(out *batch, ch *rules.Choice, j *joint, a, b int32, A, B body.Body, byHeight bool) {
	if byHeight {
		return
	}
	try := func(u rules.Use, of, by int32, O, Y body.Body) {
		if !u.Valid || u.Gap <= 0 || r.zone(of).Item || r.zone(of).Upright {
			return
		}
		if body.SharedHeight(O, Y) <= r.opt.Touch+void.Hair {
			return
		}
		for _, side := range [2]float64{1, -1} {
			room := roomBeside(O, u.Gap, side)
			m, ok := body.Beside(room, Y)
			if !ok || m.MM > void.Hair || !body.Meet(room, Y) {
				continue
			}
			lo, hi, ok := body.Stretch(room, Y, 0)
			if !ok {
				continue
			}
			dir := r3.Vector{X: room.Across.X, Y: room.Across.Y}.Mul(side)
			gap := 0.0
			if span, ok := body.Span(boxed(O), Y, dir); ok {
				gap = math.Max(0, span.Lo)
			}
			if figure.Lacks(gap, u.Gap) {
				if r.joined(j, a, b).met {
					return // a branch of its own does not close a side
				}
				out.sides = append(out.sides, sideBlock{of, by, side > 0, gap, u.Rule, u.Gap, lo, hi, alongKey{of: r.alongName(of)}})
			}
		}
	}
	try(ch.OneA, a, b, A, B)
	try(ch.OneB, b, a, B, A)
}

// oneSides turns the blocks along both sides of a row into one finding a row. All blocks along the rows of a run are given.
func (r *run) oneSides(blocks []sideBlock) {
	slices.SortFunc(blocks, func(x, y sideBlock) int {
		return cmp.Or(strings.Compare(x.key.of, y.key.of), cmp.Compare(x.of, y.of), cmp.Compare(x.gap, y.gap), strings.Compare(r.zone(x.by).ID, r.zone(y.by).ID),
			cmp.Compare(x.lo, y.lo), cmp.Compare(x.hi, y.hi))
	})
	for at := 0; at < len(blocks); {
		end := at
		for end < len(blocks) && blocks[end].key == blocks[at].key {
			end++
		}
		r.oneSidesOf(blocks[at:end])
		at = end
	}
}

// oneSidesOf is oneSides of one run, its blocks in the order of their rows, the nearest first. Along each side of a row counts
// what stands there together with what of the run's other rows joins it end to end.
func (r *run) oneSidesOf(blocks []sideBlock) {
	ps := make([]piece, len(blocks))
	for k := range blocks {
		b := &blocks[k]
		ps[k] = piece{row: int(b.of), b: r.full(b.of), lo: b.lo, hi: b.hi, side: -1}
		if b.left {
			ps[k].side = 1
		}
	}
	of, long := joinUp(ps)
	for at := 0; at < len(blocks); {
		end := at
		var nearest [2]*sideBlock // right, left
		var most, own [2]float64  // how long each is closed along the run, and along this row
		for end < len(blocks) && blocks[end].of == blocks[at].of {
			s := &blocks[end]
			k := 0
			if s.left {
				k = 1
			}
			if nearest[k] == nil {
				nearest[k] = s
			}
			most[k] = math.Max(most[k], long[of[end]])
			end++
		}
		for k, side := range [2]int8{-1, 1} {
			own[k] = longest(slices.DeleteFunc(slices.Clone(ps[at:end]), func(p piece) bool { return p.side != side }))
		}
		at = end
		if nearest[0] == nil || nearest[1] == nil || most[0] <= nearest[0].rule.Over+void.Hair || most[1] <= nearest[1].rule.Over+void.Hair {
			continue
		}
		better, other := nearest[0], nearest[1]
		if nearest[1].gap > nearest[0].gap || nearest[1].gap == nearest[0].gap && r.zone(nearest[1].by).ID < r.zone(nearest[0].by).ID {
			better, other = nearest[1], nearest[0]
		}
		f := Finding{
			Kind: Tight, Gap: better.gap, Asked: better.asked, Short: better.asked - better.gap, Side: cell.OneSide.String(),
			Rule: better.rule.Name, Basis: string(better.rule.Basis),
		}
		of := r.full(better.of)
		at := spot(of, r.full(better.by))
		left := of.Across
		side := func(s *sideBlock) string { // where the side looks that s stands on
			if s.left {
				return TowardsWords(r.towards(better.of, at, left))
			}
			return TowardsWords(r.towards(better.of, at, left.Mul(-1)))
		}
		f.Note = fmt.Sprintf("%s leaves %.0f clear %s, %s leaves %.0f %s", r.zone(better.by).ID, math.Floor(better.gap+0.05), side(better),
			r.zone(other.by).ID, math.Floor(other.gap+0.05), side(other))
		if own[0] <= nearest[0].rule.Over+void.Hair || own[1] <= nearest[1].rule.Over+void.Hair {
			f.Note += fmt.Sprintf(", for %s along the run, its rows together", figure.Down(math.Min(most[0], most[1])))
		}
		r.zonesOf(&f, better.of, better.by)
		r.place(&f, at, better.of, better.by)
		m := r.givesWay(better.of, better.by)
		f.GivesWay = r.zone(m).ID
		if _, held := r.zone(m).Holds(); !held && (m != better.of || better.gap+other.gap >= better.asked-void.Hair) {
			// The row goes away from what stands there, or what stands there from the row.
			by := r3.Vector{X: left.X, Y: left.Y}.Mul(f.Short)
			if better.left == (m == better.of) {
				by = by.Mul(-1)
			}
			if dir, ok := r.levelName(m, by); ok {
				f.Moves = []Move{r.moveOf(m, at, dir, by)}
			}
		}
		r.add(ofSide, better.of, better.by, better.key, f)
	}
}
