package support

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// Looker looks at the supports of one row after the other: room for one.
type Looker struct {
	*Site
	List   []Support // of the row
	boxes  []scene.Box
	parts  [][]Part // of each support, nil until wanted
	free   [][]Part
	shifts []Shift // of each support
	hits   []struct{ o, s int32 }
	met    []Met
}

// Shift is how far a support may move along its length to be clear, or where two may stand in its place: before (less
// than 0) and after it.
type Shift struct {
	known         bool
	May, Two      bool
	Crowded       bool // too much is near to look for a place
	Fixed         bool // it is fixed where it stands
	By            float64
	Before, After float64
}

// Clears reports whether there is a way to be clear.
func (s *Shift) Clears() bool { return s.May || s.Two }

// Met is what the supports of a row have to do with one other thing.
type Met struct {
	What  Meets
	Of    int32 // zone, or space; -1 for nothing
	N     int   // how many of the row's supports
	Stuck int   // how many of them cannot move
	S     int32 // the worst: which of the Looker's list
	Part  int   // and which of its bodies; of MeetsTier which of its tiers
	Tier  int32 // of MeetsTier: the first by id of the rows that are carried
	Deep  float64
	V     measure.Verdict
	// Of MeetsSupport: the worst of the other row's supports, and its body; whether all of these supports that meet are fixed and none of those is,
	// or the other way about.
	Other        *Support
	OtherPart    int
	Stays, Moves bool
}

// Meets says in which way supports meet something.
type Meets uint8

// What supports may have to do with something.
const (
	MeetsZone    Meets = iota
	MeetsSpace         // the room that an access space asks for
	MeetsMark          // nothing may be fixed there
	MeetsNothing       // nothing to hang from
	MeetsTier          // a row on another tier of the frame
	MeetsSupport       // supports of another run, of the row Of; both are set out
)

// Row returns what the supports of zone i have to do with other things, each thing once: what is in the way of them, and what they
// lack. It is good until the Looker is asked for another row. What comes of it hangs on the zone and the others of its run and frame
// (Plan.Changed names them), on the zones, marks and access spaces near its supports, or near where they may move
// (a spacing along the length), on its bays and the openings in their soffits, and, where it hangs from steel, on the
// beams along its whole length.
func (w *Looker) Row(i int32) []Met {
	if !w.Plan.Has(int(i)) {
		return nil
	}
	w.List = w.Plan.append(w.List[:0], int(i))
	return w.meetings(i)
}

// At returns what one support of zone i has to do with other things, wherever it is taken to be.
func (w *Looker) At(i int32, s Support) []Met {
	w.List = append(w.List[:0], s)
	return w.meetings(i)
}

// meetings is Row for the supports in the list.
func (w *Looker) meetings(i int32) []Met {
	if len(w.List) == 0 {
		return nil
	}
	w.ready()
	touch, run, trade := w.touch, w.tape.Zone(i).Run(), w.tape.Char(i).Trade
	w.hits = w.hits[:0]
	for from := 0; from < len(w.List); from += together {
		to := min(from+together, len(w.List))
		all := w.boxes[from]
		for _, b := range w.boxes[from+1 : to] {
			all = scene.Union(all, b)
		}
		w.tape.Near(all, 0, func(o int32) {
			if o == i || run != "" && w.tape.Zone(o).Run() == run && w.tape.Char(o).Trade == trade {
				return // its own run, the quick way
			}
			for s := from; s < to; s++ {
				if w.boxes[s].Apart(&w.tape.Boxes[o]) < -touch {
					w.hits = append(w.hits, struct{ o, s int32 }{o, int32(s)})
				}
			}
		})
		w.spaces.Near(all, func(k int) {
			for s := from; s < to; s++ {
				if w.boxes[s].Apart(&w.spaces.Box[k]) < -touch {
					w.inSpace(i, int32(s), int32(k))
				}
			}
		})
		w.marks.Near(scene.Column(all), func(k int) {
			for s := from; s < to; s++ {
				if w.marked(&w.List[s], k) {
					w.meet(Met{What: MeetsMark, Of: w.marks.Of[k], S: int32(s)})
				}
			}
		})
	}
	slices.SortFunc(w.hits, func(a, b struct{ o, s int32 }) int { return cmp.Or(cmp.Compare(a.o, b.o), cmp.Compare(a.s, b.s)) })
	for at := 0; at < len(w.hits); {
		end := at
		for end < len(w.hits) && w.hits[end].o == w.hits[at].o {
			end++
		}
		o := w.hits[at].o
		known, free := false, false
		var O body.Body
		for ; at < end; at++ {
			s := w.hits[at].s
			if !known {
				known, O = true, w.tape.Full(o)
			}
			m, deep := w.deepest(s, O)
			if !deep {
				continue
			}
			if !free && !w.InTheWay(i, o, &w.List[s]) {
				at = end
				break
			}
			free = true
			m.What, m.Of = MeetsZone, o
			w.meet(m)
		}
	}
	if w.Plan.IsSet(int(i)) {
		w.supportsMeet(i)
	}
	if len(w.tape.Zone(i).Bays()) > 0 || w.Plan.OnSteel(int(i)) {
		for s := range w.List {
			if sup := &w.List[s]; sup.Rods > 0 && (!sup.Held || w.OverHole(sup) != nil) {
				w.meet(Met{What: MeetsNothing, Of: -1, S: int32(s)})
			}
		}
	}
	for s := range w.List {
		if len(w.List[s].Levels()) > 1 {
			w.tiersMeet(int32(s))
		}
	}
	if len(w.met) > 0 {
		w.settle(i)
	}
	return w.met
}

// Again makes ready for the supports of zone i alone, as Row did.
func (w *Looker) Again(i int32) {
	w.List = w.Plan.append(w.List[:0], int(i))
	w.ready()
}

// Known says how support s may move, of which that is known.
func (w *Looker) Known(s int32, move Shift) {
	move.known = true
	w.shifts[s] = move
}

// together is how many supports are looked round for at once.
const together = 4

// ready makes room for the supports of one row.
func (w *Looker) ready() {
	for _, p := range w.parts {
		if p != nil {
			w.free = append(w.free, p)
		}
	}
	n := len(w.List)
	w.boxes, w.parts, w.shifts, w.met = w.boxes[:0], w.parts[:0], w.shifts[:0], w.met[:0]
	for s := range n {
		lo, hi := w.List[s].Box()
		w.boxes = append(w.boxes, scene.Within(lo, hi))
		w.parts = append(w.parts, nil)
		w.shifts = append(w.shifts, Shift{})
	}
}

// Bodies returns the bodies of support s of the row.
func (w *Looker) Bodies(s int32) []Part {
	if w.parts[s] == nil {
		var room []Part
		if k := len(w.free); k > 0 {
			room, w.free = w.free[k-1][:0], w.free[:k-1]
		}
		w.parts[s] = w.List[s].Bodies(room)
	}
	return w.parts[s]
}

// deepest returns which body of a support is deepest in another body, false where none is in it.
func (w *Looker) deepest(s int32, o body.Body) (m Met, deep bool) {
	for k, part := range w.Bodies(s) {
		if v, in := inEachOther(part.Body, o, w.touch); in && (!deep || v.Depth() > m.Deep+void.Hair) {
			m, deep = Met{S: s, Part: k, Deep: v.Depth(), V: v}, true
		}
	}
	return m, deep
}

// inEachOther reports whether two bodies share space deeper than a tolerance, and how deep.
func inEachOther(a, b body.Body, touch float64) (measure.Verdict, bool) {
	A, B := scene.BoxOf(a), scene.BoxOf(b)
	if A.Apart(&B) >= -touch-void.Hair {
		return measure.Verdict{}, false
	}
	v := measure.Judge(a, b, &rules.Choice{}, touch, false)
	return v, v.Overlap
}

// InTheWay reports whether a zone that a row's support meets is in its way. Not in the way are the row's own run and frame, what it joins or meets as
// belonging to it, the steel that it is clamped to, a slab over it (it is fixed to that), and what lies over its whole bay.
func (h *Site) InTheWay(i, o int32, s *Support) bool {
	zo := h.tape.Zone(o)
	if o == i || zo.ByHeight || s.hangsFrom(o) {
		return false
	}
	co := h.tape.Char(o)
	if SameFrame(h.tape.Zone(i), zo) {
		return false
	}
	if co.Structure() {
		tiers := s.Levels()
		return co.Kind != "slab" || h.tape.Full(o).Height().Lo < tiers[len(tiers)-1].Under-void.Hair
	}
	mates := h.Plan.Frame(int(i))
	if mates == nil {
		mates = []int32{i}
	}
	for _, m := range mates {
		switch why := h.tape.Belong(m, o); why {
		case measure.NoTie:
		case measure.SameRun:
			return false
		default:
			if _, _, _, met := h.tape.Apart(h.tape.Drawn(m), h.tape.Drawn(o), why); met {
				return false
			}
		}
	}
	return true
}

// Barring returns what is met as what bars a support there.
func (w *Looker) Barring(i int32, m *Met) Barring {
	p := w.tape.Project
	b := Barring{Zone: int(m.Of)}
	part := func() string { return string(w.Bodies(m.S)[m.Part].What) }
	switch m.What {
	case MeetsZone:
		b.Part = part()
	case MeetsSupport:
		b.What, b.Part, b.No = BarredBySupport, part(), m.Other.N
	case MeetsSpace:
		b.What, b.Part, b.Zone = BarredByRoom, part(), int(p.Spaces[m.Of].For)
	case MeetsMark:
		b.What = BarredByMark
	case MeetsTier:
		b.Part = string(Channel)
	case MeetsNothing:
		switch o := w.OverHole(&w.List[m.S]); {
		case o != nil:
			b.What, b.Name = BarredByHole, p.FileLine(o.Row)
		case w.Plan.OnSteel(int(i)) || OnSteel(w.List[m.S].Made.From):
			b.What = BarredBySteel
		default:
			b.What = BarredByNothing
		}
	}
	if b.Zone >= 0 {
		b.Name = p.Zone(b.Zone).ID
	}
	return b
}

// SameFrame reports whether two rows hang on one frame.
func SameFrame(a, b *void.Zone) bool {
	if a.Storey != b.Storey {
		return false
	}
	frame, _ := a.Frame()
	other, _ := b.Frame()
	return frame != "" && strings.EqualFold(frame, other)
}

// tiersMeet notes where what carries a tier of a frame, with all that is under it, is in a row of a tier below: the rods are
// shared, but a channel needs its height between the tiers. It is as deep as the tier must rise.
func (w *Looker) tiersMeet(s int32) {
	tiers := w.List[s].Levels()
	for k := 1; k < len(tiers); k++ {
		carries, ok := w.List[s].TierBody(k)
		if !ok {
			continue
		}
		for j := range tiers[:k] {
			for _, o := range tiers[j].Rows {
				O := w.tape.Full(o)
				if _, in := inEachOther(carries, O, w.touch); !in {
					continue
				}
				if span, ok := body.Span(carries, O, scene.Up); ok {
					w.meet(Met{What: MeetsTier, Of: o, Tier: tiers[k].Zone, S: s, Part: k, Deep: span.Hi})
				}
			}
		}
	}
}

// setNear calls each with the supports that somebody has set out whose boxes meet a box.
func (h *Site) setNear(b scene.Box, each func(s *Support)) {
	if len(h.Plan.set) == 0 {
		return
	}
	h.tape.Near(scene.Column(b), h.Plan.reach(), func(o int32) {
		if !h.Plan.IsSet(int(o)) {
			return
		}
		list := h.Plan.Zone(int(o))
		for k := range list {
			lo, hi := list[k].Box()
			if at := scene.Within(lo, hi); at.Apart(&b) < 0 {
				each(&list[k])
			}
		}
	})
}

// otherRun reports whether supports of two rows are of two runs, each on rods of its own.
func (h *Site) otherRun(i, o int32) bool {
	a, b := h.tape.Zone(i), h.tape.Zone(o)
	sameRun := a.Run() != "" && strings.EqualFold(a.Run(), b.Run()) && h.tape.Char(i).Trade == h.tape.Char(o).Trade
	return i != o && !sameRun && !SameFrame(a, b)
}

// supportsMeet notes where supports of the row meet those of another run, both set out. Each of the two rows hears of it.
func (w *Looker) supportsMeet(i int32) {
	for s := range int32(len(w.List)) {
		w.setNear(w.boxes[s], func(o *Support) {
			if !w.otherRun(i, o.Zone) {
				return
			}
			worst := Met{}
			for k, of := range o.Bodies(nil) {
				if m, deep := w.deepest(s, of.Body); deep && m.Deep > worst.Deep+void.Hair {
					worst, worst.OtherPart = m, k
				}
			}
			if worst.Deep > 0 {
				worst.What, worst.Of, worst.Other = MeetsSupport, o.Zone, o
				mine := w.List[s].Fixed
				worst.Stays, worst.Moves = mine && !o.Fixed, o.Fixed && !mine
				w.meet(worst)
			}
		})
	}
}

// OverHole returns the opening in the soffit under which a rod would be fixed, nil where there is none.
func (h *Site) OverHole(s *Support) *void.Opening {
	for rod := range s.Rods {
		if s.Hung[rod].Bay < 0 {
			continue
		}
		for _, k := range h.tape.SoffitHole[s.Hung[rod].Bay] {
			o := &h.tape.Project.Openings[k]
			q := s.RodPoint(rod).Sub(r2.Point{X: o.Centre.X, Y: o.Centre.Y})
			if o.Round && q.Norm() < o.HalfA-void.Hair || !o.Round && math.Abs(q.X) < o.HalfA-void.Hair && math.Abs(q.Y) < o.HalfB-void.Hair {
				return o
			}
		}
	}
	return nil
}

// marked reports whether a rod would be fixed where a mark says that nothing may be: in its plan, and the mark not
// lower than the service.
func (w *Looker) marked(s *Support, k int) bool {
	if !w.forbidsFixing(w.marks.Of[k], s) {
		return false
	}
	for rod := range s.Rods {
		q := s.RodPoint(rod)
		if body.PlanOverlap(body.Cylinder(r3.Vector{X: q.X, Y: q.Y}, r3.Vector{X: q.X, Y: q.Y, Z: 1}, s.Rod), w.marks.Body[k]) > w.touch+void.Hair {
			return true
		}
	}
	return false
}

// inSpace notes a support in the room that an access space asks for; its own row's does not count.
func (w *Looker) inSpace(i, s, k int32) {
	sp := &w.tape.Project.Spaces[w.spaces.Of[k]]
	if sp.For == i {
		return
	}
	if m, deep := w.deepest(s, sp.Body); deep {
		m.What, m.Of = MeetsSpace, w.spaces.Of[k]
		w.meet(m)
	}
}

// In reports whether a support, of any row but one, stands in a room.
func (h *Site) In(room body.Body, but int32) bool {
	b := scene.BoxOf(room)
	near := map[int32]bool{}
	h.tape.Near(scene.Column(b), h.Plan.reach(), func(i int32) {
		for _, k := range h.Plan.near(int(i)) {
			near[k] = k != but
		}
	})
	var list []Support
	for i, is := range near {
		if !is {
			continue
		}
		list = h.Plan.append(list[:0], int(i))
		for k := range list {
			lo, hi := list[k].Box()
			if s := scene.Within(lo, hi); s.Apart(&b) < -h.touch && slices.ContainsFunc(list[k].Bodies(nil), func(p Part) bool {
				_, in := inEachOther(p.Body, room, h.touch)
				return in
			}) {
				return true
			}
		}
	}
	return false
}

// meet gathers the supports that meet one thing; which is the worst is settled later, when it is known which can move.
func (w *Looker) meet(m Met) { w.met = append(w.met, m) }

// settle makes one of the meetings with each thing.
func (w *Looker) settle(i int32) {
	for k := range w.met {
		m := &w.met[k]
		m.N = 1
		if m.What == MeetsTier {
			m.Stuck = 1 // along the run the tiers stay where they are
		} else if move := w.Move(i, m.S); !move.Clears() {
			m.Stuck = 1
		}
	}
	// About as it is told, and so that what is as deep but for the last bits is as deep.
	deep := func(m *Met) float64 { return math.Round(m.Deep*10 + 0.137) }
	slices.SortFunc(w.met, func(a, b Met) int {
		return cmp.Or(cmp.Compare(a.What, b.What), cmp.Compare(a.Of, b.Of), cmp.Compare(a.Tier, b.Tier), -cmp.Compare(a.Stuck, b.Stuck), -cmp.Compare(deep(&a), deep(&b)),
			cmp.Compare(w.List[a.S].At, w.List[b.S].At))
	})
	n := 0
	for k := range w.met {
		if m := &w.met[k]; n > 0 && w.met[n-1].What == m.What && w.met[n-1].Of == m.Of && w.met[n-1].Tier == m.Tier {
			w.met[n-1].N++
			w.met[n-1].Stuck += m.Stuck
			w.met[n-1].Stays, w.met[n-1].Moves = w.met[n-1].Stays && m.Stays, w.met[n-1].Moves && m.Moves
			continue
		}
		w.met[n] = w.met[k]
		n++
	}
	w.met = w.met[:n]
}
