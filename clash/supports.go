package clash

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Supports take part in the check as bodies, at the places that clash/support works out for them; what they meet there, and how far each may
// move to be clear, is that room's to say (support.Looker). Here it becomes findings.
//
// A rod, a channel or what is under it that is deeper than the touch tolerance in another zone is an overlap; in the room that a hatch
// or an access space asks for, an access problem. A support with nothing over its rods to hang from, or under a row of kind
// no fixing, is an access problem too: the rod does not come to where it could be fixed. (It is no overlap and no gap is too
// tight, so of the three kinds this is the least wrong.)
//
// The ceilings' build-ups are the business of levels, which takes what hangs under a row along its whole length.
//
// The identity of such a finding is "supports of" the row, so it stays when the row is moved or has more supports. All of
// them rest on practice.

// holders is what the check of supports wants of the whole project.
type holders struct {
	site *support.Site // nil: let go of
	// By zone what is told of it; how many rows of each character have supports, and how many hung ones have none.
	told    []int32
	placed  []int
	without int
	set     int            // how many rows have supports that somebody has set out
	bare    []support.Bare // and where those are too far apart
}

// holdUp works out where supports stand, and what is told of them.
func (c *Check) holdUp() {
	opt := c.opt.Supports
	opt.Workers = c.Workers
	c.holders = &holders{site: support.On(c.tape, support.Of(c.Project, opt), c.touch), told: make([]int32, c.Project.Zones())}
	for i := range int32(c.Project.Zones()) {
		c.holders.count(c, i)
	}
}

// letHoldersGo lets go of all but what is told of supports, and of where they stand: that, too, where none is yet to be
// worded.
func (r *run) letHoldersGo() {
	if h := r.holders; h != nil {
		r.Check.holders = &holders{placed: h.placed, without: h.without, set: h.set, bare: h.site.Plan.TooFar()}
		if slices.ContainsFunc(r.kept.Hits, func(x book.Hit) bool { return x.Of == book.OfSupport }) {
			r.holders.site = h.site.PlanOnly()
		}
	}
}

// What is told of a zone: nothing, that it is hung and has no place, or 1 and its character where it has supports.
const (
	notHung  = 0
	unplaced = -1
	setOut   = -2 // it has, where somebody has set them out
)

// count counts what is told of zone i, in place of what was.
func (h *holders) count(c *Check, i int32) {
	for len(h.told) <= int(i) {
		h.told = append(h.told, notHung)
	}
	add := func(what int32, n int) {
		switch {
		case what == unplaced:
			h.without += n
		case what == setOut:
			h.set += n
		case what > 0:
			for len(h.placed) < int(what) {
				h.placed = append(h.placed, 0)
			}
			h.placed[what-1] += n
		}
	}
	z, what := c.Zone(i), int32(notHung)
	switch {
	case z.Gone || c.Structure(i):
	case h.site.Plan.Has(int(i)) && h.site.Plan.IsSet(int(i)):
		what = setOut
	case h.site.Plan.Has(int(i)):
		what = z.Char + 1
	case z.Hanger >= 0 && (z.Item || z.Upright || z.ByHeight):
		what = unplaced
	}
	add(h.told[i], -1)
	add(what, 1)
	h.told[i] = what
}

// supported reports whether supports are checked: the rule is in force, and nobody has left them out.
func (c *Check) supported() bool { return c.Set.Support != nil && !c.opt.Supports.Off }

// supports checks what holds up every hung row.
func (r *run) supports(ctx context.Context) error {
	if !r.supported() {
		return nil
	}
	r.holdUp()
	r.Laid(scene.StraysMost)
	return r.gather(ctx, r.Project.Zones(), func(out *book.Book, _ *rules.Reader, from, to int) {
		w := r.holding()
		for i := int32(from); i < int32(to); i++ {
			if i%64 == 0 && ctx.Err() != nil {
				return
			}
			w.supportsOf(out, i)
		}
	})
}

// supportsAgain checks the supports that a change may touch, and takes the rest as they were. dirty are the zones that are measured
// anew, was their boxes before.
func (r *run) supportsAgain(ch *void.Change, dirty []int32, was []scene.Box) {
	if !r.supported() {
		return
	}
	h := r.holders
	if r.takenBack {
		h.site.Back(ch)
		for _, i := range r.held {
			h.count(r.Check, i)
		}
		return
	}
	again := h.site.Changed(ch, dirty, was)
	r.held = sortedKeys(again)
	r.kept.Forget(func(x *book.Placed) bool { return x.Of == book.OfSupport && again[x.A] })
	for _, i := range r.held {
		r.kept.Have(i)
	}
	r.kept.ForgetHits(func(x *book.Hit) bool { return x.Of == book.OfSupport && again[x.A] })
	now := &book.Book{}
	w := r.holding()
	for _, i := range r.held {
		h.count(r.Check, i)
		w.supportsOf(now, i)
	}
	r.keep(now)
}

// holding is one worker's wording of supports.
type holding struct {
	*run
	look *support.Looker
}

func (r *run) holding() holding { return holding{r, &support.Looker{Site: r.holders.site}} }

// supportsOf checks the supports of zone i.
func (w *holding) supportsOf(out *book.Book, i int32) {
	met := w.look.Row(i)
	for k := range met {
		switch m := &met[k]; {
		case m.What == support.MeetsZone, m.What == support.MeetsSupport && w.moves(i, m):
			w.hold(out, i, m)
		case m.What == support.MeetsSupport: // told by the other
		default:
			w.say(out, i, m)
		}
	}
}

// moves reports whether of two rows whose supports meet it is the first whose supports move: those that are fixed stay, else those of the row
// that would stay.
func (w *holding) moves(i int32, m *support.Met) bool {
	return m.Moves || !m.Stays && w.givesWay(i, m.Of) == i
}

// sayHeld words what the supports of a row have to do with another zone.
func (r *run) sayHeld(out *book.Book, x *book.Hit) {
	e := x.Held
	w := r.holding()
	w.look.Again(x.A)
	w.look.Known(e.S, support.Shift{May: e.Can == book.MayMove, Two: e.Can == book.MayBeTwo, Crowded: e.Can == book.TooCrowded, Fixed: e.Can == book.IsFixed, By: e.By, Before: e.By, After: e.After})
	m := support.Met{What: support.MeetsZone, Of: x.B, N: int(e.N), Stuck: int(e.Stuck), S: e.S, Part: int(e.Part)}
	if e.Other > 0 {
		m.What, m.OtherPart = support.MeetsSupport, int(e.OtherPart)
		list := w.look.Plan.Zone(int(x.B))
		m.Other = &list[slices.IndexFunc(list, func(s support.Support) bool { return s.N == int(e.Other) })]
	}
	m.V.Vertical, m.V.Sideways = e.Vertical, e.Sideways
	m.Deep = m.V.Depth()
	w.say(out, x.A, &m)
}

// hold puts down what the supports of zone i have to do with another zone: it says the same as say.
func (w *holding) hold(out *book.Book, i int32, m *support.Met) {
	move, o := w.look.Move(i, m.S), m.Of
	with, in := w.Zone(o).ID, w.Full(o)
	if m.What == support.MeetsSupport {
		with, in = void.SupportsID(with), m.Other.Bodies(nil)[m.OtherPart].Body
	}
	x := book.Hit{
		Of: book.OfSupport, A: i, B: o, ID: finding.PairID(void.SupportsID(w.Zone(i).ID), with), Kind: finding.Severity(finding.Overlap), Short: figure.Tenth(m.Deep), Cost: finding.CostSupport,
	}
	x.Held = &book.Held{N: int32(m.N), Stuck: int32(m.Stuck), S: m.S, Part: uint16(m.Part), Vertical: m.V.Vertical, Sideways: m.V.Sideways}
	if m.What == support.MeetsSupport {
		x.Held.Other, x.Held.OtherPart = int32(m.Other.N), uint16(m.OtherPart)
	}
	switch e := x.Held; {
	case move.May:
		e.Can, e.By = book.MayMove, move.By
	case move.Two:
		e.Can, e.By, e.After = book.MayBeTwo, move.Before, move.After
	case move.Crowded:
		e.Can = book.TooCrowded
	case move.Fixed:
		e.Can = book.IsFixed
	}
	if !move.Clears() && m.What == support.MeetsZone {
		x.Cost = w.costOf(finding.Overlap, rules.Practice, i, o) // the row moves, or the other
	}
	storey, bay := w.toldIn(measure.Spot(w.look.Bodies(m.S)[m.Part].Body, in), i, o)
	x.Storey, x.Bay = int32(storey), int32(bay)
	out.Hits = append(out.Hits, x)
}

// say words what the supports of zone i have to do with one other thing.
func (w *holding) say(out *book.Book, i int32, m *support.Met) {
	if m.What == support.MeetsTier {
		w.sayTier(out, i, m)
		return
	}
	s := &w.look.List[m.S]
	z := w.Zone(i)
	move := w.look.Move(i, m.S)
	f := finding.Finding{Rule: w.Set.Support.Name, Basis: w.Set.Support.Basis, Side: cell.Around}
	var access string
	what, at := "support", r3.Vector{X: s.Where.X, Y: s.Where.Y, Z: s.Top}
	var O body.Body
	other := int32(-1)
	switch m.What {
	case support.MeetsZone:
		f.Kind, other, O = finding.Overlap, m.Of, w.Full(m.Of)
	case support.MeetsSupport:
		f.Kind, other, O, f.Rule = finding.Overlap, m.Of, m.Other.Bodies(nil)[m.OtherPart].Body, ruleSupports
	case support.MeetsSpace:
		sp := &w.Project.Spaces[m.Of]
		f.Kind, other, O = finding.Access, sp.For, sp.Body
		f.Rule = fmt.Sprintf("%s of %s", sp.Kind, w.Zone(other).ID)
		f.Side = sp.Side
		access = sp.Kind.String()
		if sp.Kind == void.Hatch {
			f.Rule = "hatch to " + w.Zone(other).ID + ": the shaft from the finished face to its underside"
			f.Side = cell.Below
		}
	case support.MeetsMark:
		f.Kind, other, f.Rule, f.Side = finding.Access, m.Of, ruleNoFixing, cell.Above
		access = accessFixing
	case support.MeetsNothing:
		f.Kind, f.Rule, f.Side = finding.Access, ruleHang, cell.Above
		access = accessHang
	}
	if m.What <= support.MeetsSpace || m.What == support.MeetsSupport {
		part := w.look.Bodies(m.S)[m.Part]
		what = string(part.What)
		at = measure.Spot(part.Body, O)
		f.Depth = &finding.Depth{Vertical: m.V.Vertical}
		if !math.IsNaN(m.V.Sideways) {
			f.Depth.Sideways = &m.V.Sideways
		}
		f.Short = m.Deep
		if m.What == support.MeetsSpace {
			sp := &w.Project.Spaces[m.Of]
			f.Asked, f.Gap = depthOf(sp), w.freeDepth(sp, part.Body)
			f.Short = math.Max(0, f.Asked-f.Gap)
		}
	}
	if other >= 0 {
		w.zonesOf(&f, i, other)
		w.place(&f, at, i, other)
	} else {
		f.A, f.ATrade, f.ARow, f.ARun = z.ID, w.Char(i).Trade, w.Project.FileLine(z.At()), z.Run()
		w.place(&f, at, i)
	}
	f.A, f.AKind = void.SupportsID(z.ID), finding.SupportKind
	f.GivesWay = z.ID
	if m.What == support.MeetsZone && !move.Clears() && !w.Structure(other) {
		f.GivesWay = w.Zone(w.givesWay(i, other)).ID
		if move.Fixed && w.mayMove(other) {
			f.GivesWay = w.Zone(other).ID
		}
	}
	if m.What == support.MeetsSupport {
		with := void.SupportsID(*f.B)
		f.B, f.BKind, f.Cost = &with, finding.SupportKind, finding.CostWord(finding.CostSupport)
		f.SupportWith = &finding.SupportNo{Row: w.Zone(m.Other.Zone).ID, Number: m.Other.N}
	}
	if m.What == support.MeetsZone {
		if f.Cost = finding.CostWord(finding.CostSupport); !move.Clears() {
			f.Cost = finding.CostWord(w.costOf(finding.Overlap, rules.Practice, i, other))
		}
	}
	f.Support, f.SupportNo, f.Note = w.heldOf(m, s, what, move), w.numbered(s), w.noteOf(i, m, s)
	out.AddAccess(book.OfSupport, i, other, book.Along{}, f, access)
}

// sayTier words what carries a tier of a frame and is in a row of a tier below it. The finding is of the supports of the first
// row by id that is carried, whichever row of the frame tells its supports.
func (w *holding) sayTier(out *book.Book, i int32, m *support.Met) {
	s := &w.look.List[m.S]
	tier := &s.Levels()[m.Part]
	carries, _ := s.TierBody(m.Part)
	f := finding.Finding{
		Kind: finding.Overlap, Rule: w.Set.Support.Name, Basis: w.Set.Support.Basis, Side: cell.Around,
		Depth: &finding.Depth{Vertical: m.Deep}, Short: m.Deep,
	}
	w.zonesOf(&f, m.Tier, m.Of)
	w.place(&f, measure.Spot(carries, w.Full(m.Of)), m.Tier, m.Of)
	z := w.Zone(m.Tier)
	f.A, f.AKind, f.GivesWay = void.SupportsID(z.ID), finding.SupportKind, z.ID
	frame, _ := z.Frame()
	f.Note = fmt.Sprintf("%d of %d supports of frame %s: what carries the upper tier, %.1f mm high, is in the tier below it", m.N, len(w.look.List), frame, tier.Carry+tier.Below)
	f.SupportNo = w.numbered(s)
	f.Cost = finding.CostWord(w.costAlone(finding.Overlap, rules.Practice, m.Tier))
	if level, _ := z.Holds(); !level && len(tier.Rows) == 1 && m.Deep <= w.headroom(m.Tier, scene.Up)+void.Hair {
		f.Moves = []finding.Move{{Zone: z.ID, Direction: "up", By: m.Deep}}
	}
	out.Add(book.OfSupport, i, m.Of, book.Along{}, f)
}

// Rules of supports that are no measure of a pair.
const (
	ruleHang     = "rods want something over them"
	ruleNoFixing = "nothing may be fixed here"
	ruleSupports = "no two supports in the same space"
)

// numbered names a support.
func (w *holding) numbered(s *support.Support) *finding.SupportNo {
	return &finding.SupportNo{Row: w.Zone(s.Zone).ID, Number: s.N}
}

// heldOf says which supports a finding is about, and whether they can move.
func (w *holding) heldOf(m *support.Met, s *support.Support, part string, move support.Shift) *finding.Held {
	h := &finding.Held{Part: part, At: s.At, Count: m.N, Of: len(w.look.List), Can: m.N - m.Stuck, Two: []float64{}, Crowded: move.Crowded, Fixed: move.Fixed}
	switch {
	case move.May:
		by := move.By
		if s.Back {
			by = -by
		}
		h.Move = &by
	case move.Two:
		h.Two = []float64{-move.Before, move.After}
		if s.Back {
			slices.Reverse(h.Two)
		}
	}
	return h
}

// noteOf says what a reader must know of a support beyond which it is: what it lacks over it, and what else would do.
func (w *holding) noteOf(i int32, m *support.Met, s *support.Support) string {
	var said []string
	from := s.Made.From
	if from == "" && s.Hanger >= 0 {
		from = w.Project.Hangers[s.Hanger].From
	}
	steel := support.OnSteel(from)
	switch m.What {
	case support.MeetsNothing:
		switch o := w.look.OverHole(s); {
		case o != nil:
			said = append(said, "it would be fixed in the opening of "+w.Project.FileLine(o.Row))
		case steel:
			said = append(said, fmt.Sprintf("it hangs from a %s, and no steel is over all its rods", from))
		default:
			said = append(said, "there is no soffit over it to hang from")
		}
	case support.MeetsSpace:
		said = append(said, "space needed by "+w.Project.FileLine(w.Project.Spaces[m.Of].Row))
	}
	if s.Fixed && m.What != support.MeetsNothing {
		said = append(said, fmt.Sprintf("support %d is fixed where it is (%s)", s.N, w.Project.FileLine(s.Row)))
	}
	if m.What == support.MeetsZone && w.Char(m.Of).Entry.Beam && !steel && !w.look.Plan.MayHangFromSteel(int(i)) {
		said = append(said, "or hang it from that beam (from in hangers.csv)")
	}
	return strings.Join(said, "; ")
}

// SupportPlan returns where the check takes supports to stand; nil where it leaves them out. It is good until the project is edited.
func (c *Check) SupportPlan() *support.Plan {
	switch {
	case c.opt.Supports.Off:
		return nil
	case c.holders != nil && c.holders.site != nil && c.pending == nil:
		return c.holders.site.Plan
	}
	return support.Of(c.Project, c.opt.Supports)
}

// SupportSite returns where the supports of a plan of the project stand among all that the check looks at.
func (c *Check) SupportSite(plan *support.Plan) *support.Site {
	c.Laid(scene.StraysMost)
	return support.On(c.tape, plan, c.touch)
}

// supportNote tells how supports were placed.
func (r *run) supportNote(out *[]finding.Note) {
	if !r.supported() {
		hung := 0
		for _, on := range r.Hung {
			if on {
				hung++
			}
		}
		if hung > 0 {
			*out = append(*out, finding.Note{Text: fmt.Sprintf("what hangs under %d services is checked against the ceiling alone: their supports are left out", hung)})
		}
		return
	}
	placed := 0
	var spacings []string
	for k, n := range r.holders.placed {
		if n == 0 {
			continue
		}
		placed += n
		kind := r.Project.Character(int32(k)).Kind
		if s := fmt.Sprintf("%s %.0f", kind, r.opt.Supports.Of(kind)); !slices.Contains(spacings, s) {
			spacings = append(spacings, s)
		}
	}
	slices.Sort(spacings)
	if placed > 0 {
		first := r.opt.Supports.Filled().First
		*out = append(*out, finding.Note{Text: fmt.Sprintf("supports of %s are taken at the usual spacing (%s, the first within %.0f of an end or a corner) until they are set out; they are not "+
			"checked against each other, and loads are not checked", rows(placed), strings.Join(spacings, ", "), first)})
	}
	if set := r.holders.set; set > 0 {
		*out = append(*out, finding.Note{Text: fmt.Sprintf("supports of %s are where supports.csv has them, and those of two runs are checked against each other; loads are not checked", rows(set))})
		bare := r.holders.bare
		if h := r.holders; h.site != nil && !r.letsGo() {
			bare = h.site.Plan.TooFar()
		}
		for _, b := range bare {
			*out = append(*out, r.bareNote(&b))
		}
	}
	if without := r.holders.without; without > 0 {
		*out = append(*out, finding.Note{Text: fmt.Sprintf("hung, but without supports in the check: %s (items, upright rows and rows known by height alone have none)", rows(without))})
	}
}

// bareNote tells where supports that are set out are too far apart.
func (r *run) bareNote(b *support.Bare) finding.Note {
	z := r.Zone(b.Zone)
	of := z.ID
	if z.Run() != "" {
		of = "run " + z.Run()
	}
	from, to := "the start of "+z.ID, "its end"
	if b.After > 0 {
		from = fmt.Sprintf("support %d of %s", b.After, of)
	}
	if b.Next > 0 {
		if to = fmt.Sprintf("support %d", b.Next); b.After == 0 {
			to += " of " + of
		}
	} else if b.After > 0 {
		to = "the end of that length"
	}
	return finding.Note{Zone: z.ID, Text: fmt.Sprintf("from %s to %s it is %.0f without a support, %.0f at most; supports.csv has none there", from, to, math.Ceil(b.Long-void.Hair), b.Most)}
}

func rows(n int) string {
	if n == 1 {
		return "1 row"
	}
	return fmt.Sprintf("%d rows", n)
}
