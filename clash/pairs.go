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

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// pairs measures every near pair of zones.
func (r *run) pairs(ctx context.Context) error {
	var mu sync.Mutex
	var got []*book.Book
	var sides []book.SideBlock // of a check that is asked once, together
	most, found := someSides, 0
	err := r.Candidates(ctx, func(done, of int) { r.progress(Pairs, done, of) }, func(h *rules.Reader, k int, ps []scene.Pair) {
		b := r.newBook()
		for i, p := range ps {
			if i%64 == 0 && ctx.Err() != nil {
				return
			}
			r.pairById(b, h, p.A, p.B)
		}
		mu.Lock()
		// Of so many findings no moves are tried: what is kept for that alone is let go.
		if found += len(b.Hits); found > provedOf {
			r.toProve.Store(false)
		}
		if r.letsGo() {
			if sides = append(sides, b.Sides...); len(sides) > most {
				sides = r.sidesTogether(sides)
				most = 2*len(sides) + someSides
			}
			b.Sides = nil
		}
		if k >= len(got) {
			got = append(got, make([]*book.Book, k+1-len(got))...)
		}
		got[k] = b
		mu.Unlock()
	})
	if err != nil {
		return err
	}
	if r.letsGo() {
		for _, b := range got {
			if b != nil {
				sides = append(sides, b.Sides...)
				b.Sides = nil
				b.LetGo()
			}
		}
	}
	r.kept.Take(slices.DeleteFunc(got, func(b *book.Book) bool { return b == nil })...)
	if r.letsGo() {
		r.kept.Sides = r.sidesTogether(sides)
	}
	r.nameSides(r.kept.Sides)
	return nil
}

// pairById measures a pair, the first by id first, so that nothing hangs on the order of rows.
func (r *run) pairById(b *book.Book, h *rules.Reader, x, y int32) {
	if r.Zone(y).ID < r.Zone(x).ID {
		x, y = y, x
	}
	r.pair(b, h, x, y)
	b.Measured++
}

// pair measures one pair and adds what comes of it to the book.
func (r *run) pair(out *book.Book, h *rules.Reader, a, b int32) {
	za, zb := r.Zone(a), r.Zone(b)
	ch := h.Between(r.Trait(a), r.Trait(b))
	e := r.Encounter(r.Drawn(a), r.Drawn(b), ch, r.touch, out.Words)
	if e.Silent {
		return
	}
	if !e.ByHeight {
		A, B := &e.A.Full, &e.B.Full
		if ch.Warn != "" && body.Gap(*A, *B).MM < rules.Segregated && (measure.Long(*A, *B, rules.Segregated, rules.Laying) || measure.Long(*B, *A, rules.Segregated, rules.Laying)) {
			out.Warned = append(out.Warned, book.Warning{A: a, B: b, Text: ch.Warn})
		}
		if len(r.Set.Tiles) > 0 && za.Recessed != zb.Recessed {
			s, o := a, b
			if za.Recessed {
				s, o = b, a
			}
			if !r.Structure(s) && r.Joined(&e).Met {
				out.Serves = append(out.Serves, book.Serving{Zone: s, Other: o})
			}
		}
		if e.Crossed {
			r.crossing(out, &e, r.touch)
		}
	}
	note := ""
	switch e.Comes {
	case measure.ToNothing:
		r.sideBlocks(out, &e)
		return
	case measure.ToExcuse:
		out.Excuse(book.OfPair, e.J.Why, a, b)
		if r.spy != nil && !e.ByHeight {
			r.spy(a, b, e.J.Why)
		}
		return
	case measure.ToPassage:
		r.through(out, &e)
		return
	}
	if e.Passage != nil {
		note = r.missedWords(&e)
	}
	if e.J.Met {
		note = "beyond where the two meet"
	} else if !e.ByHeight && !out.Words {
		r.ask(out, a, b, e.RestA, e.RestB)
	}
	if out.Words {
		f := r.finding(a, b, e.RestA, e.RestB, ch, &e.V, e.ByHeight, note)
		if e.V.Overlap && e.J.Why != measure.NoTie && !e.J.Met {
			if f.TooDeep = r.tooDeep(a, b, e.J.Why); f.TooDeep != nil {
				into := r.Zone(a).ID
				if f.TooDeep.Of == into {
					into = r.Zone(b).ID
				}
				f.Note = f.TooDeep.Words(into)
			}
		}
		if s, w := e.Service(); e.Passage != nil && f.GivesWay == r.Zone(s.Zone).ID {
			f.Moves = r.orInto(f.Moves, s.Zone, w.Zone)
		}
		out.Add(book.OfPair, a, b, book.Along{}, f)
		return
	}
	out.Hits = append(out.Hits, r.brief(a, b, e.RestA, e.RestB, &e.V, e.ByHeight))
	r.sideBlocks(out, &e)
}

// finding words a verdict on two zones; A and B are what was measured of them.
func (r *run) finding(a, b int32, A, B body.Body, ch *rules.Choice, v *measure.Verdict, byHeight bool, note string) finding.Finding {
	main := v.Main()
	f := finding.Finding{Kind: finding.Tight, ByHeight: byHeight, Note: note, Basis: rules.Geometry, Rule: inOnePlace, Side: cell.Around}
	flip := v.N > 0 && !main.OfA // the rule's of is b
	if v.Overlap {
		f.Kind = finding.Overlap
		f.Depth = &finding.Depth{Vertical: v.Vertical}
		if sideways := v.Sideways; !math.IsNaN(sideways) {
			f.Depth.Sideways = &sideways
		}
		f.Asked, f.Short = main.Asked, main.Asked+v.Depth()
		for _, x := range v.Breaches() {
			f.Also = append(f.Also, also(x))
		}
	} else {
		f.Gap, f.Asked, f.Short = main.Gap, main.Asked, main.Short()
		f.Rule, f.Basis, f.Side = main.Rule.Name, main.Rule.Basis, main.Side
		k := measure.Worst(v.Breaches())
		for i, x := range v.Breaches() {
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
	f.Cost = finding.CostWord(r.costOf(f.Kind, f.Basis, a, b))
	m := r.givesWay(a, b)
	f.GivesWay = r.Zone(m).ID
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

func also(x measure.Breach) finding.Also {
	return finding.Also{Rule: x.Rule.Name, Side: x.Side, Gap: x.Gap, Asked: x.Asked, Short: x.Short(), Basis: x.Rule.Basis}
}

// zonesOf fills in who the two are.
func (r *run) zonesOf(f *finding.Finding, a, b int32) {
	za, zb := r.Zone(a), r.Zone(b)
	f.A, f.ATrade, f.ARow, f.ARun = za.ID, r.Char(a).Trade, r.Project.FileLine(za.At()), za.Run()
	id := zb.ID // a copy: a finding outlives an edit of its zone
	f.B, f.BTrade, f.BRow, f.BRun = &id, r.Char(b).Trade, r.Project.FileLine(zb.At()), zb.Run()
	f.AKind, f.BKind = r.Char(a).Kind, r.Char(b).Kind
}

// place fills in where it is: the bay is that of the place, the first by name.
func (r *run) place(f *finding.Finding, at r3.Vector, zones ...int32) {
	storey, bay := r.toldIn(at, zones...)
	f.At, f.Storey = r.spotAt(storey, at), r.Project.Storeys[storey].Name
	if bay != book.NoBay {
		label := r.Project.Bays[bay].Label
		f.Bay = &label
	}
}

func (c *Check) spotAt(storey int, at r3.Vector) finding.Spot {
	return finding.Spot{
		X: at.X, Y: at.Y, Z: at.Z, Level: at.Z - c.Project.Storeys[storey].FFL,
		Where: c.Project.Where(r2.Point{X: at.X, Y: at.Y}),
	}
}

// through notes that a service goes through an opening, perhaps with less room than is asked, or that a hole is builder's work.
func (r *run) through(out *book.Book, e *measure.Encounter) {
	s, w := e.Service()
	p := e.Passage
	if p.How == measure.Bored {
		out.Holes = append(out.Holes, book.Hole{A: s.Zone, B: w.Zone, Hole: r.hole(s, w, &p.Bore)})
		return
	}
	out.Excuse(book.OfPair, measure.MadeWay, s.Zone, w.Zone)
	if p.In.O == nil {
		return
	}
	if asked, rule := r.MarginOf(s.Zone, w.Zone, p.In.O); figure.Lacks(p.Room, asked) {
		r.tightIn(out, s.Zone, w.Zone, p, asked, rule)
	}
}

// missedWords says what a reader must know of a service that is in structure.
func (r *run) missedWords(e *measure.Encounter) string {
	_, w := e.Service()
	p, kind := e.Passage, r.Char(w.Zone).Kind
	switch {
	case p.Missed:
		return fmt.Sprintf("%s mm outside the opening in %s: checked as a solid box", figure.Up(-p.Room), r.Project.FileLine(p.In.O.Row))
	case p.NoneNear:
		return "not in an opening: checked as a solid box"
	case !r.Char(w.Zone).Entry.Beam:
		return ""
	case kind == "joist" || kind == "truss":
		return "an open " + kind + " is checked as a solid box: the service may pass through its web"
	}
	return "no opening given in this beam: checked as a solid box"
}

// tightIn words that a service s has less room in an opening of w than is asked.
func (r *run) tightIn(out *book.Book, s, w int32, p *measure.Passage, asked float64, rule *rules.Rule) {
	room, o := math.Max(0, p.Room), p.In.O
	f := finding.Finding{
		Kind: finding.Tight, Gap: room, Asked: asked, Short: asked - room, Side: cell.Around,
		Rule: rule.Name, Basis: rule.Basis, Note: "in the opening of " + r.Project.FileLine(o.Row),
	}
	if o.HasMargin {
		f.Note += ", margin of that row"
	}
	r.zonesOf(&f, s, w)
	r.place(&f, o.Centre, s, w)
	f.GivesWay = r.Zone(s).ID
	var fits bool
	if f.Moves, fits = r.into(s, &p.In, asked); !fits {
		f.Note += ", which is too small for it"
	}
	out.Add(book.OfPair, s, w, book.Along{}, f)
}

// hole words the hole that service s wants in wall or slab w.
func (r *run) hole(s, w scene.Put, b *measure.Bore) finding.Hole {
	zw := r.Zone(w.Zone)
	o := r.holeOf(s.Zone, zw.ID, r.Project.FileLine(zw.At()), b.Mid, b.Width.Length(), b.Height.Length(), b.Width.Center(), b.Height.Center(), b.Across, b.Rise, b.Slab)
	if high := w.Full.Height(); !b.Slab {
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
func (r *run) holeOf(s int32, in, inRow string, mid r3.Vector, w, h, cw, chh float64, across, rise r3.Vector, slab bool) finding.Hole {
	zs := r.Zone(s)
	m := r.Set.Opening.Gap
	at := mid.Add(across.Mul(cw)).Add(rise.Mul(chh))
	o := finding.Hole{
		Service: zs.ID, In: in, Row: r.Project.FileLine(zs.At()), InRow: inRow, Storey: r.Project.Storeys[zs.Storey].Name,
		At: r.spotAt(int(zs.Storey), at), Width: w + 2*m, Height: h + 2*m, Margin: m,
	}
	if r.Full(s).Round && math.Max(w, h) < 1.05*math.Min(w, h) {
		// A core is drilled round, and large enough for a pipe that falls.
		o.Round = true
		o.Width = math.Max(w, h) + 2*m
		o.Height = o.Width
	}
	o.Level = o.At.Level
	if !slab {
		o.Level -= o.Height / 2
	}
	if b, ok := r.BayAt(int(zs.Storey), r2.Point{X: at.X, Y: at.Y}); ok {
		label := r.Project.Bays[b].Label
		o.Bay = &label
	}
	return o
}

// nameSides says of which run the rows are that blocks stand along.
func (r *run) nameSides(blocks []book.SideBlock) {
	for k := range blocks {
		blocks[k].Run = r.alongName(blocks[k].Of)
	}
}

// sideBlocks notes which of the two stands in the room that the other asks for on one of its sides.
func (r *run) sideBlocks(out *book.Book, e *measure.Encounter) {
	if e.ByHeight {
		return
	}
	try := func(u rules.Use, of, by int32, O, Y body.Body) {
		if !u.Valid || u.Gap <= 0 || r.Zone(of).Item || r.Zone(of).Upright {
			return
		}
		if body.SharedHeight(O, Y) <= r.touch+void.Hair {
			return
		}
		for _, side := range [2]float64{1, -1} {
			room := measure.RoomBeside(O, u.Gap, side)
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
			if span, ok := body.Span(measure.Boxed(O), Y, dir); ok {
				gap = math.Max(0, span.Lo)
			}
			if figure.Lacks(gap, u.Gap) {
				if r.Joined(e).Met {
					return // a branch of its own does not close a side
				}
				out.Sides = append(out.Sides, book.SideBlock{Of: of, By: by, Left: side > 0, Gap: gap, Rule: u.Rule, Asked: u.Gap, Lo: lo, Hi: hi})
			}
		}
	}
	try(e.Ch.OneA, e.A.Zone, e.B.Zone, e.RestA, e.RestB)
	try(e.Ch.OneB, e.B.Zone, e.A.Zone, e.RestB, e.RestA)
}

// someSides is how many blocks are gathered before they are put together.
const someSides = 1 << 16

// sidesTogether makes one block of those along one side of a row that lie over each other, and says of each the nearest of
// that side: of a check that is asked once no more is wanted, and where very many rows cross there are blocks for each pair.
func (r *run) sidesTogether(blocks []book.SideBlock) []book.SideBlock {
	slices.SortFunc(blocks, func(x, y book.SideBlock) int {
		if c := cmp.Or(cmp.Compare(x.Of, y.Of), cmp.Compare(x.Side(), y.Side()), cmp.Compare(x.Lo, y.Lo)); c != 0 {
			return c
		}
		return cmp.Compare(x.Hi, y.Hi)
	})
	n := 0
	for at := 0; at < len(blocks); {
		first, nearest := n, blocks[at]
		for ; at < len(blocks) && blocks[at].Of == nearest.Of && blocks[at].Left == nearest.Left; at++ {
			b := blocks[at]
			if b.Gap < nearest.Gap || b.Gap == nearest.Gap && r.Zone(b.By).ID < r.Zone(nearest.By).ID {
				nearest = b
			}
			if n > first && b.Lo <= blocks[n-1].Hi {
				blocks[n-1].Hi = math.Max(blocks[n-1].Hi, b.Hi)
				continue
			}
			blocks[n] = b
			n++
		}
		for k := first; k < n; k++ {
			lo, hi := blocks[k].Lo, blocks[k].Hi
			blocks[k] = nearest
			blocks[k].Lo, blocks[k].Hi = lo, hi
		}
	}
	return slices.Clone(blocks[:n])
}

// oneSides turns the blocks along both sides of a row into one finding a row. All blocks along the rows of a run are given.
func (r *run) oneSides(blocks []book.SideBlock) {
	slices.SortFunc(blocks, func(x, y book.SideBlock) int {
		return cmp.Or(strings.Compare(x.Run, y.Run), cmp.Compare(x.Of, y.Of), cmp.Compare(x.Gap, y.Gap), strings.Compare(r.Zone(x.By).ID, r.Zone(y.By).ID),
			cmp.Compare(x.Lo, y.Lo), cmp.Compare(x.Hi, y.Hi))
	})
	for at := 0; at < len(blocks); {
		end := at
		for end < len(blocks) && blocks[end].Run == blocks[at].Run {
			end++
		}
		r.oneSidesOf(blocks[at:end])
		at = end
	}
}

// oneSidesOf is oneSides of one run, its blocks in the order of their rows, the nearest first. Along each side of a row counts
// what stands there together with what of the run's other rows joins it end to end.
//
// The side is a row's: it is enough that of each row the left or the right is clear along its length, and a run may have its
// hand room on the one side in this row and on the other in the next. There is a hand for every place of such a run, and next
// to no long run has one side clear from end to end: taken as one length, a tray would be told for a unit at the one end of
// the building and a trunking at the other. What adds up along the run is how long a side is closed, for the rule's over.
func (r *run) oneSidesOf(blocks []book.SideBlock) {
	ps := make([]measure.Piece, len(blocks))
	for k := range blocks {
		b := &blocks[k]
		ps[k] = measure.Piece{Row: int(b.Of), B: r.Full(b.Of), Lo: b.Lo, Hi: b.Hi, Side: b.Side()}
	}
	of, long := measure.JoinUp(ps)
	for at := 0; at < len(blocks); {
		end := at
		var nearest [2]*book.SideBlock // right, left
		var most, own [2]float64       // how long each is closed along the run, and along this row
		for end < len(blocks) && blocks[end].Of == blocks[at].Of {
			s := &blocks[end]
			k := 0
			if s.Left {
				k = 1
			}
			if nearest[k] == nil {
				nearest[k] = s
			}
			most[k] = math.Max(most[k], long[of[end]])
			end++
		}
		for k, side := range [2]int8{-1, 1} {
			own[k] = measure.Longest(slices.DeleteFunc(slices.Clone(ps[at:end]), func(p measure.Piece) bool { return p.Side != side }))
		}
		at = end
		if nearest[0] == nil || nearest[1] == nil || most[0] <= nearest[0].Rule.Over+void.Hair || most[1] <= nearest[1].Rule.Over+void.Hair {
			continue
		}
		better, other := nearest[0], nearest[1]
		if nearest[1].Gap > nearest[0].Gap || nearest[1].Gap == nearest[0].Gap && r.Zone(nearest[1].By).ID < r.Zone(nearest[0].By).ID {
			better, other = nearest[1], nearest[0]
		}
		f := finding.Finding{
			Kind: finding.Tight, Gap: better.Gap, Asked: better.Asked, Short: better.Asked - better.Gap, Side: cell.OneSide,
			Rule: better.Rule.Name, Basis: better.Rule.Basis,
		}
		of := r.Full(better.Of)
		at := measure.Spot(of, r.Full(better.By))
		left := of.Across
		side := func(s *book.SideBlock) string { // where the side looks that s stands on
			if s.Left {
				return finding.TowardsWords(r.towards(better.Of, at, left))
			}
			return finding.TowardsWords(r.towards(better.Of, at, left.Mul(-1)))
		}
		f.Note = fmt.Sprintf("%s leaves %.0f clear %s, %s leaves %.0f %s", r.Zone(better.By).ID, math.Floor(better.Gap+0.05), side(better),
			r.Zone(other.By).ID, math.Floor(other.Gap+0.05), side(other))
		if own[0] <= nearest[0].Rule.Over+void.Hair || own[1] <= nearest[1].Rule.Over+void.Hair {
			f.Note += fmt.Sprintf(", for %s along the run, its rows together", figure.Down(math.Min(most[0], most[1])))
		}
		r.zonesOf(&f, better.Of, better.By)
		r.place(&f, at, better.Of, better.By)
		m := r.givesWay(better.Of, better.By)
		f.GivesWay = r.Zone(m).ID
		if _, held := r.Zone(m).Holds(); !held && (m != better.Of || better.Gap+other.Gap >= better.Asked-void.Hair) {
			// The row goes away from what stands there, or what stands there from the row.
			by := r3.Vector{X: left.X, Y: left.Y}.Mul(f.Short)
			if better.Left == (m == better.Of) {
				by = by.Mul(-1)
			}
			if dir, ok := r.levelName(m, by); ok {
				f.Moves = []finding.Move{r.moveOf(m, at, dir, by)}
			}
		}
		r.kept.Add(book.OfSide, better.Of, better.By, better.Key(), f)
	}
}
