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
	e := r.encounter(r.drawn(a), r.drawn(b), ch, r.opt.Touch, out.words)
	if e.silent {
		return
	}
	if !e.byHeight {
		A, B := &e.a.full, &e.b.full
		if ch.Warn != "" && body.Gap(*A, *B).MM < rules.Segregated && (long(*A, *B, rules.Segregated, rules.Laying) || long(*B, *A, rules.Segregated, rules.Laying)) {
			out.warned = append(out.warned, warning{a, b, ch.Warn})
		}
		if len(r.rules.Tiles) > 0 && za.Recessed != zb.Recessed {
			s, o := a, b
			if za.Recessed {
				s, o = b, a
			}
			if !r.structure(s) && r.joined(&e).met {
				out.serves = append(out.serves, serving{s, o})
			}
		}
		if e.crossed {
			r.crossing(out, &e, r.opt.Touch)
		}
	}
	note := ""
	switch e.comes {
	case toNothing:
		r.sideBlocks(out, &e)
		return
	case toExcuse:
		out.excuse(ofPair, e.j.why, a, b)
		if r.spy != nil && !e.byHeight {
			r.spy(a, b, e.j.why)
		}
		return
	case toPassage:
		r.through(out, &e)
		return
	}
	if e.passage != nil {
		note = r.missedWords(&e)
	}
	if e.j.met {
		note = "beyond where the two meet"
	} else if !e.byHeight && !out.words {
		r.ask(out, a, b, e.restA, e.restB)
	}
	if out.words {
		f := r.finding(a, b, e.restA, e.restB, ch, &e.v, e.byHeight, note)
		if e.v.overlap && e.j.why != noTie && !e.j.met {
			if f.TooDeep = r.tooDeep(a, b, e.j.why); f.TooDeep != nil {
				into := r.zone(a).ID
				if f.TooDeep.Of == into {
					into = r.zone(b).ID
				}
				f.Note = f.TooDeep.Words(into)
			}
		}
		if s, w := e.service(); e.passage != nil && f.GivesWay == r.zone(s.zone).ID {
			f.Moves = r.orInto(f.Moves, s.zone, w.zone)
		}
		out.add(ofPair, a, b, alongKey{}, f)
		return
	}
	out.hits = append(out.hits, r.brief(a, b, e.restA, e.restB, &e.v, e.byHeight))
	r.sideBlocks(out, &e)
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

// through notes that a service goes through an opening, perhaps with less room than is asked, or that a hole is builder's work.
func (r *run) through(out *batch, e *encounter) {
	s, w := e.service()
	p := e.passage
	if p.how == bored {
		out.holes = append(out.holes, madeOf{s.zone, w.zone, r.hole(s, w, &p.bore)})
		return
	}
	out.excuse(ofPair, madeWay, s.zone, w.zone)
	if p.in.o == nil {
		return
	}
	if asked, rule := r.marginOf(s.zone, w.zone, p.in.o); figure.Lacks(p.room, asked) {
		r.tightIn(out, s.zone, w.zone, p, asked, rule)
	}
}

// missedWords says what a reader must know of a service that is in structure.
func (r *run) missedWords(e *encounter) string {
	_, w := e.service()
	p, kind := e.passage, r.char(w.zone).Kind
	switch {
	case p.missed:
		return fmt.Sprintf("%s mm outside the opening in %s: checked as a solid box", figure.Up(-p.room), r.p.FileLine(p.in.o.Row))
	case p.noneNear:
		return "not in an opening: checked as a solid box"
	case !r.char(w.zone).Entry.Beam:
		return ""
	case kind == "joist" || kind == "truss":
		return "an open " + kind + " is checked as a solid box: the service may pass through its web"
	}
	return "no opening given in this beam: checked as a solid box"
}

// tightIn words that a service s has less room in an opening of w than is asked.
func (r *run) tightIn(out *batch, s, w int32, p *passage, asked float64, rule *rules.Rule) {
	room, o := math.Max(0, p.room), p.in.o
	f := Finding{
		Kind: Tight, Gap: room, Asked: asked, Short: asked - room, Side: cell.Around.String(),
		Rule: rule.Name, Basis: string(rule.Basis), Note: "in the opening of " + r.p.FileLine(o.Row),
	}
	if o.HasMargin {
		f.Note += ", margin of that row"
	}
	r.zonesOf(&f, s, w)
	r.place(&f, o.Centre, s, w)
	f.GivesWay = r.zone(s).ID
	var fits bool
	if f.Moves, fits = r.into(s, &p.in, asked); !fits {
		f.Note += ", which is too small for it"
	}
	out.add(ofPair, s, w, alongKey{}, f)
}

// hole words the hole that service s wants in wall or slab w.
func (r *run) hole(s, w put, b *bore) Hole {
	zw := r.zone(w.zone)
	o := r.holeOf(s.zone, zw.ID, r.p.FileLine(zw.At()), b.mid, b.width.Length(), b.height.Length(), b.width.Center(), b.height.Center(), b.across, b.rise, b.slab)
	if high := w.full.Height(); !b.slab {
		switch {
		case o.At.Z+o.Height/2 > high.Hi+void.Hair:
			o.Note = fmt.Sprintf("the hole is %s above the head of the wall", figure.Up(o.At.Z+o.Height/2-high.Hi))
		case o.At.Z-o.Height/2 < high.Lo-void.Hair:
			o.Note = fmt.Sprintf("the hole is %s below the foot of the wall", figure.Up(high.Lo-o.At.Z+o.Height/2))
		}
	}
	return o
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
func (r *run) sideBlocks(out *batch, e *encounter) {
	if e.byHeight {
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
				if r.joined(e).met {
					return // a branch of its own does not close a side
				}
				out.sides = append(out.sides, sideBlock{of, by, side > 0, gap, u.Rule, u.Gap, lo, hi, alongKey{of: r.alongName(of)}})
			}
		}
	}
	try(e.ch.OneA, e.a.zone, e.b.zone, e.restA, e.restB)
	try(e.ch.OneB, e.b.zone, e.a.zone, e.restB, e.restA)
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
