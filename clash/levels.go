package clash

import (
	"cmp"
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

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

// levels checks every zone against the ceiling and the soffit of every bay that its plan enters, and tells
// what cannot be checked.
func (r *run) levels(ctx context.Context) error {
	return r.gather(ctx, r.Project.Zones(), func(out *book.Book, h *rules.Reader, from, to int) {
		for i := int32(from); i < int32(to); i++ {
			r.level(out, h, i)
		}
	})
}

// level checks one zone against the ceilings and soffits of its bays. What comes of it hangs on the zone, its bays,
// the openings in their ceilings and soffits, and whether the zone serves something set into the ceiling.
func (r *run) level(out *book.Book, h *rules.Reader, i int32) {
	z := r.Zone(i)
	if z.Gone {
		return
	}
	bays := z.Bays()
	if len(bays) == 0 {
		out.Notes = append(out.Notes, book.Note{Of: book.OfLevel, A: i, Note: finding.Note{Zone: z.ID, Row: r.Project.FileLine(z.At()), Text: "is outside every bay: checked against everything else, but not against a ceiling or soffit"}})
		return
	}
	if r.Structure(i) {
		r.structureInRoom(out, i)
		return
	}
	for _, j := range bays {
		r.ceiling(out, h, i, j)
	}
	for _, j := range bays {
		r.soffit(out, h, i, j)
	}
}

// bayNotes tells what is to be said of bays.
func (r *run) bayNotes(out *[]finding.Note) {
	p := r.Project
	unsaid := make(map[int32]int)
	for _, u := range r.kept.Unsaid {
		unsaid[u.Bay]++
	}
	r.supportNote(out)
	for j := range p.Bays {
		b := &p.Bays[j]
		if r.Occupied[j] == 0 {
			*out = append(*out, finding.Note{Bay: b.Label, Row: p.FileLine(b.Row), Text: "no zone is in this bay"})
		}
		if n := unsaid[int32(j)]; n > 0 {
			*out = append(*out, finding.Note{
				Bay: b.Label, Row: p.FileLine(b.Row),
				Text: fmt.Sprintf("its ceiling is not given, so %d services are not checked against one (write none where the bay has no ceiling)", n),
			})
		}
	}
}

// tileFindings words the one finding of every bay whose tiles cannot be lifted out: of the zone that leaves the
// least of what its rule asks.
func (r *run) tileFindings(tiles []book.OverTile) {
	// In the order of zones: which of two that are equal within a hair counts does not hang on what was measured last.
	tiles = slices.SortedFunc(slices.Values(tiles), func(a, b book.OverTile) int { return cmp.Or(cmp.Compare(a.Bay, b.Bay), cmp.Compare(a.Zone, b.Zone)) })
	worst := map[int32]*tileWorst{}
	var bays []int32
	for k := range tiles {
		t := &tiles[k]
		w := worst[t.Bay]
		if w == nil {
			w = &tileWorst{}
			worst[t.Bay] = w
			bays = append(bays, t.Bay)
		}
		w.offer(t, r.Zone(t.Zone).ID, func(i int32) string { return r.Zone(i).ID })
	}
	slices.Sort(bays)
	for _, j := range bays {
		w := worst[j]
		_, w.under, _ = r.Under(w.zone, r.Full(w.zone), &r.Project.Bays[j])
		r.tileFinding(int(j), w)
	}
}

// tileWorst is the zone that leaves the least room to lift a tile in one bay, and how many leave too
// little.
type tileWorst struct {
	zone  int32
	gap   float64
	lack  float64
	rule  *rules.Rule
	under body.Body
	count int
}

func (w *tileWorst) offer(t *book.OverTile, id string, idOf func(int32) string) {
	if w.count == 0 || t.Lack > w.lack+void.Hair || math.Abs(t.Lack-w.lack) <= void.Hair && id < idOf(w.zone) {
		w.zone, w.gap, w.lack, w.rule = t.Zone, t.Gap, t.Lack, t.Rule
	}
	w.count++
}

// ceiling checks a zone against the ceiling of one of its bays. A ceiling is one-sided: the zone only rises.
func (r *run) ceiling(out *book.Book, h *rules.Reader, i, j int32) {
	z, p := r.Zone(i), r.Project
	bay := &p.Bays[j]
	if !bay.HasCeiling {
		if bay.Unsaid {
			out.Unsaid = append(out.Unsaid, book.UnsaidCeiling{Bay: j, Zone: i})
		}
		return
	}
	lo, low, hung := r.Under(i, r.Full(i), bay)
	hi := scene.Highest(r.Full(i), bay)
	switch {
	case hi <= bay.Ceiling+void.Hair:
		r.inRoom(out, i, j, bay.Ceiling-hi)
		return
	case z.Recessed && lo <= bay.Top+r.touch+void.Hair:
		out.Excuse(book.OfLevel, measure.SetInto, i, j)
		return
	case z.Upright && lo < bay.Top-void.Hair:
		if room, _, _, ok := r.InHole(r.Full(i), r.CeilingHole[j]); ok && room >= 0 {
			out.Excuse(book.OfLevel, measure.MadeWay, i, j)
			return
		}
		if lo < bay.Ceiling-void.Hair {
			out.Pierced = append(out.Pierced, book.ThroughCeiling{Zone: i, Bay: j})
			return
		}
		if r.kept.ServedBy(i) > 0 {
			out.Excuse(book.OfLevel, measure.DropsInto, i, j)
			return
		}
	}
	gap := lo - bay.Top
	if t := r.Set.TilesFor(r.Char(i)); t != nil && bay.BuildUp >= 0 && p.BuildUps[bay.BuildUp].LiftsOut() && figure.Lacks(gap, t.Gap) && r.kept.ServedBy(i) == 0 {
		out.Tiles = append(out.Tiles, book.OverTile{Bay: j, Zone: i, Gap: gap, Lack: t.Gap - gap, Rule: t})
	}
	// Any rule that has the zone over the ceiling, or around it.
	ch := h.Between(r.Trait(i), r.Set.Ceiling)
	r.oneSided(out, book.OfCeiling, i, ch, ch.Under, gap, hung, j, low)
}

// soffit checks a zone against the soffit of one of its bays: it only drops. What stands through a soffit is
// builder's work.
func (r *run) soffit(out *book.Book, h *rules.Reader, i, j int32) {
	z, p := r.Zone(i), r.Project
	bay := &p.Bays[j]
	hi := scene.Highest(r.Full(i), bay)
	roof := r.roofOver(bay, hi)
	var missed *void.Opening // that a riser misses, and the room that it needs there
	need := 0.0
	if hi > roof+void.Hair && r.riser(i, bay) {
		room, asked, in, ok := r.InHole(r.Full(i), r.SoffitHole[j])
		if missed, need = in, asked; ok {
			out.Excuse(book.OfLevel, measure.MadeWay, i, j)
			if figure.Lacks(room, asked) {
				r.soffitOpening(out, i, bay, room, asked, in)
			}
			return
		}
		if len(r.SoffitHole[j]) == 0 || !r.NearHole(r.Full(i), j) {
			r.risers(out, i, j)
			return
		}
	}
	ch := h.Between(r.Trait(i), r.Set.Soffit)
	n := len(out.Findings)
	r.oneSided(out, book.OfSoffit, i, ch, ch.Over, roof-hi, false, j, r.Full(i))
	if missed != nil && len(out.Findings) > n {
		if f := &out.Findings[n].Finding; f.GivesWay == z.ID {
			f.Note, f.Moves = "misses the opening of "+p.FileLine(missed.Row), r.riserInto(i, missed, need)
			f.Finish()
		}
	}
}

// roofOver returns the level over which nothing may stand that reaches up to hi: the soffit, or, once it stands above that,
// the top of the bay's troughs. A gap to the soffit counts to the same.
func (c *Check) roofOver(bay *void.Bay, hi float64) float64 {
	if hi > bay.Soffit+c.touch+void.Hair {
		return bay.Soffit + bay.Trough
	}
	return bay.Soffit
}

// riser reports whether a zone stands upright through a soffit.
func (r *run) riser(i int32, bay *void.Bay) bool {
	z := r.Zone(i)
	return z.Upright && r.Full(i).Height().Lo < bay.Soffit-void.Hair
}

func (r *run) soffitOpening(out *book.Book, i int32, bay *void.Bay, room, asked float64, in *void.Opening) {
	f := finding.Finding{
		Kind: finding.Tight, Gap: room, Asked: asked, Short: asked - room, Side: cell.Around, Rule: r.Set.Opening.Name, Basis: rules.Practice,
		Note: "in the opening of " + r.Project.FileLine(in.Row),
	}
	r.against(&f, i, bay, false)
	f.At = r.spotAt(bay.Storey, r3.Vector{X: r.Full(i).Centre.X, Y: r.Full(i).Centre.Y, Z: bay.Soffit})
	f.Bay = &bay.Label
	f.GivesWay, f.Cost = r.Zone(i).ID, finding.CostWord(finding.CostUpright)
	f.Moves = r.riserInto(i, in, asked)
	out.Add(book.OfLevel, i, -1, book.Along{}, f)
}

// risers adds the hole that a riser wants in a soffit.
func (r *run) risers(out *book.Book, i, j int32) {
	bay := &r.Project.Bays[j]
	pl := r.Full(i).Plan()
	c := pl.Center()
	o := r.holeOf(i, bay.SoffitID(), r.Project.FileLine(bay.Row), r3.Vector{X: c.X, Y: c.Y, Z: bay.Soffit}, pl.X.Length(), pl.Y.Length(), 0, 0,
		r3.Vector{X: 1}, r3.Vector{Y: 1}, true)
	o.Storey, o.At = r.Project.Storeys[bay.Storey].Name, r.spotAt(bay.Storey, r3.Vector{X: c.X, Y: c.Y, Z: bay.Soffit})
	o.Level = o.At.Level
	o.Bay = &bay.Label
	out.Holes = append(out.Holes, book.Hole{A: i, B: -1 - j, Hole: o})
}

// buildersWork returns the holes, but for those in a soffit that a slab which lies on it has already.
func (r *run) buildersWork() []finding.Hole {
	slabs := map[int32][]int32{}
	for k := range r.kept.Holes {
		if h := &r.kept.Holes[k]; h.B >= 0 && r.Char(h.B).Kind == "slab" {
			slabs[h.A] = append(slabs[h.A], h.B)
		}
	}
	var out []finding.Hole
	for k := range r.kept.Holes {
		h := &r.kept.Holes[k]
		if h.B < 0 && slices.ContainsFunc(slabs[h.A], func(w int32) bool {
			return math.Abs(r.Full(w).Height().Lo-r.Project.Bays[-1-h.B].Soffit) <= rules.MeetEnds
		}) {
			continue
		}
		out = append(out, h.Hole)
	}
	return out
}

// numbered puts holes in order and numbers them from 1, and says of which trade each service is.
func (r *run) numbered(holes []finding.Hole) []finding.Hole {
	slices.SortFunc(holes, func(a, b finding.Hole) int {
		return cmp.Or(strings.Compare(a.In, b.In), strings.Compare(a.Service, b.Service), cmp.Compare(a.At.X, b.At.X), cmp.Compare(a.At.Y, b.At.Y))
	})
	for i := range holes {
		holes[i].Number, holes[i].Trade = i+1, r.tradeOf(holes[i].Service)
	}
	return holes
}

// against fills in a zone and a bay's ceiling or soffit.
func (r *run) against(f *finding.Finding, i int32, bay *void.Bay, ceiling bool) {
	z, id, trade, kind := r.Zone(i), bay.CeilingID(), finding.CeilingTrade, finding.CeilingKind
	if !ceiling {
		id, trade, kind = bay.SoffitID(), finding.StructureTrade, finding.SoffitKind
	}
	f.A, f.ATrade, f.ARow, f.ARun = z.ID, r.Char(i).Trade, r.Project.FileLine(z.At()), z.Run()
	f.B, f.BTrade, f.BRow = &id, trade, r.Project.FileLine(bay.Row)
	f.AKind = r.Char(i).Kind
	f.BKind = kind
	f.Storey = r.Project.Storeys[bay.Storey].Name
	f.ByHeight = z.ByHeight
}

// oneSided judges a zone against the ceiling or the soffit of bay j, as of says: gap is what is clear, negative
// where it overlaps; u is the rule of that side.
func (r *run) oneSided(out *book.Book, of book.Origin, i int32, ch *rules.Choice, u rules.Use, gap float64, hung bool, j int32, low body.Body) {
	bay := &r.Project.Bays[j]
	z, ceiling := r.Zone(i), of != book.OfSoffit
	over := gap < -r.touch-figure.Slack
	there := math.Max(0, gap)
	// Around and the side that looks at it are both met by the one distance: of those that count along
	// the row, the larger asks.
	var win rules.Use
	for _, u := range [2]rules.Use{u, ch.Around} {
		if !u.Valid || !figure.Lacks(there, u.Gap) || win.Valid && u.Gap <= win.Gap {
			continue
		}
		switch {
		case z.ByHeight || u.Over == 0 || measure.LongBy(low, bay, u, ceiling):
			win = u
		case !over && !z.Upright:
			r.crossingBay(out, i, j, u, ceiling, low)
		}
	}
	if !over && !win.Valid {
		return
	}
	if out.Words {
		out.Add(of, i, book.NoZone, book.Along{}, r.sided(i, bay, ceiling, gap, over, win, hung, low))
		return
	}
	x := book.Hit{Of: of, A: i, B: book.NoZone, ID: finding.PairID(z.ID, r.surfaceID(j, ceiling)), Bay: j, Storey: int32(bay.Storey), Kind: finding.Severity(finding.Tight)}
	basis, _, short := sidedBy(gap, over, win)
	if over {
		x.Kind = finding.Severity(finding.Overlap)
	}
	x.Short, x.Cost = figure.Tenth(short), r.costSided(i, over, basis)
	out.Hits = append(out.Hits, x)
}

// surfaceID returns what the ceiling or the soffit of a bay is called in findings.
func (c *Check) surfaceID(j int32, ceiling bool) string {
	if ceiling {
		return c.Project.Bays[j].CeilingID()
	}
	return c.Project.Bays[j].SoffitID()
}

// sidedBy says by what a zone is too near a ceiling or a soffit, or in it (over), what is asked, and how much that lacks.
func sidedBy(gap float64, over bool, win rules.Use) (basis rules.Basis, asked, short float64) {
	switch {
	case !over:
		return win.Rule.Basis, win.Gap, win.Gap - math.Max(0, gap)
	case win.Valid && win.Gap > 0:
		return rules.Geometry, win.Gap, win.Gap - gap
	}
	return rules.Geometry, 0, -gap
}

// costSided returns the class of a finding of a zone and a ceiling or a soffit.
func (r *run) costSided(i int32, over bool, basis rules.Basis) uint8 {
	kind, z := finding.Tight, r.Zone(i)
	if over {
		kind = finding.Overlap
	}
	switch level, _ := z.Holds(); {
	case z.Upright:
		return finding.CostUpright
	case over && level:
		return finding.CostFixed
	}
	return r.costAlone(kind, basis, i)
}

// sided words that a zone is too near a bay's ceiling or soffit, or in it (over): gap is what is clear, negative where it
// overlaps, win the rule that it breaks, low what of the zone is lowest, hung: what hangs under it.
func (r *run) sided(i int32, bay *void.Bay, ceiling bool, gap float64, over bool, win rules.Use, hung bool, low body.Body) finding.Finding {
	z, there := r.Zone(i), math.Max(0, gap)
	basis, asked, short := sidedBy(gap, over, win)
	f := finding.Finding{Kind: finding.Tight, Gap: there, Asked: asked, Short: short, Rule: inOnePlace, Basis: basis, Side: cell.Below}
	if !ceiling {
		f.Side = cell.Above
	}
	if over {
		f.Kind = finding.Overlap
		f.Depth = &finding.Depth{Vertical: -gap}
		if asked > 0 {
			f.Also = append(f.Also, finding.Also{Rule: win.Rule.Name, Side: f.Side, Asked: win.Gap, Short: win.Gap, Basis: win.Rule.Basis})
		}
	} else {
		f.Rule = win.Rule.Name
	}
	r.against(&f, i, bay, ceiling)
	if !over && !win.OfA {
		f.Swap() // it is the ceiling's or the soffit's rule: seen from there
	}
	if ceiling && scene.Highest(r.Full(i), bay) <= bay.Ceiling+void.Hair {
		f.Note = "lies wholly under the finished face"
	} else if !ceiling && scene.Lowest(r.Full(i), bay) >= bay.Soffit-void.Hair {
		f.Note = "lies wholly above the soffit"
	}
	if hung && f.Note == "" {
		f.Note = fmt.Sprintf("lowest point: the hanger under it (%s, %.1f mm)", r.Project.Hangers[z.Hanger].Name, r.Project.Under(z))
	}
	f.Cost = finding.CostWord(r.costSided(i, over, basis))
	var at r3.Vector
	if ceiling {
		at = measure.UnderAt(r.Full(i), low, bay)
		at.Z = (scene.Lowest(low, bay) + bay.Top) / 2
	} else {
		at = measure.LowestAt(low, bay, true)
		at.Z = scene.Highest(low, bay) + gap/2
	}
	f.At = r.spotAt(bay.Storey, at)
	f.Bay = &bay.Label
	level, _ := z.Holds()
	switch {
	case !level:
		f.GivesWay = z.ID
		dir := "up"
		if !ceiling {
			dir = "down"
		}
		f.Moves = []finding.Move{{Zone: z.ID, Direction: dir, By: f.Short}}
	case ceiling:
		f.GivesWay = bay.CeilingID()
		f.Moves = []finding.Move{{Zone: f.GivesWay, Direction: "down", By: f.Short}}
	default:
		f.GivesWay = z.ID // the soffit cannot; the row holds its level: somebody must decide
	}
	return f
}

// tileFinding words the one finding of a bay whose tiles cannot be lifted out.
func (r *run) tileFinding(j int, w *tileWorst) {
	if w.count == 0 {
		return
	}
	t, bay := w.rule, &r.Project.Bays[j]
	i := w.zone
	z := r.Zone(i)
	there := math.Max(0, w.gap)
	f := finding.Finding{
		Kind: finding.Tight, Gap: there, Asked: t.Gap, Short: t.Gap - there, Side: cell.Above, Rule: t.Name, Basis: t.Basis,
		ByHeight: z.ByHeight,
	}
	id := bay.CeilingID()
	f.A, f.ATrade, f.ARow = id, finding.CeilingTrade, r.Project.FileLine(bay.Row)
	f.B, f.BTrade, f.BRow, f.BRun = &z.ID, r.Char(i).Trade, r.Project.FileLine(z.At()), z.Run()
	f.AKind, f.BKind = finding.CeilingKind, r.Char(i).Kind
	f.Storey = r.Project.Storeys[bay.Storey].Name
	if w.count > 1 {
		f.Note = fmt.Sprintf("the lowest of %d that leave too little to lift a tile in this bay", w.count)
	}
	at := measure.UnderAt(r.Full(i), w.under, bay)
	at.Z = (scene.Lowest(w.under, bay) + bay.Top) / 2
	f.At = r.spotAt(bay.Storey, at)
	f.Bay = &bay.Label
	f.GivesWay = z.ID
	if level, _ := z.Holds(); !level {
		f.Moves = []finding.Move{{Zone: z.ID, Direction: "up", By: f.Short}}
	}
	r.kept.Add(book.OfTiles, int32(j), -1, book.Along{}, f)
}

// access checks the room that zones want kept free, and that what must be reached can be.
func (r *run) access(ctx context.Context) error {
	if err := r.gather(ctx, len(r.Project.Spaces), func(out *book.Book, _ *rules.Reader, from, to int) {
		for k := int32(from); k < int32(to); k++ {
			r.spaceAt(out, k)
		}
	}); err != nil {
		return err
	}
	reach := r.reach()
	return r.gather(ctx, r.Project.Zones(), func(out *book.Book, _ *rules.Reader, from, to int) {
		for i := int32(from); i < int32(to); i++ {
			reach(out, i)
		}
	})
}

// spaceAt checks one access space. What comes of it hangs on the space, what stands near it and, but for a hatch, the
// bays of its storey.
func (r *run) spaceAt(out *book.Book, k int32) {
	s := &r.Project.Spaces[k]
	if !s.Open {
		return
	}
	r.space(out, k, s)
	if s.Kind != void.Hatch {
		r.bounded(out, k, s)
	}
}

// standsIn measures what of zone i, rest, stands in an access space; where only what belongs to the space's own zone does, it does not, and why says so.
func (r *run) standsIn(s *void.Space, i int32) (v measure.Verdict, rest body.Body, why measure.Tie) {
	o, rest := r.Zone(i), r.Full(i)
	if o.ByHeight && s.Kind != void.Hatch {
		return v, rest, why // where it is beside the item is not known
	}
	v = measure.Judge(s.Body, rest, &rules.Choice{}, r.touch, o.ByHeight)
	if !v.Overlap || o.ByHeight {
		return v, rest, why
	}
	if why = r.Belong(s.For, i); why == measure.NoTie {
		return v, rest, why
	}
	_, y, left, met := r.Apart(r.Drawn(s.For), r.Drawn(i), why)
	if !met {
		return v, rest, measure.NoTie
	}
	v = measure.Verdict{}
	if left { // what is joined may be in the way further out
		v = measure.Judge(s.Body, y, &rules.Choice{}, r.touch, false)
	}
	return v, y, why
}

// space finds what stands in one access space.
func (r *run) space(out *book.Book, k int32, s *void.Space) {
	z := r.Zone(s.For)
	sb := scene.BoxOf(s.Body)
	var there []int32
	r.Near(sb, 0, func(i int32) {
		if i != s.For {
			there = append(there, i)
		}
	})
	slices.Sort(there)
	for _, i := range there {
		o := r.Zone(i)
		v, rest, why := r.standsIn(s, i)
		if !v.Overlap {
			if why != measure.NoTie {
				out.Excuse(book.OfSpace, why, k, i)
			}
			continue
		}
		f := finding.Finding{
			Kind: finding.Access, Asked: depthOf(s), Side: s.Side, Basis: rules.Geometry, ByHeight: o.ByHeight,
			Rule: fmt.Sprintf("%s of %s", s.Kind, z.ID), Note: r.askedIn(s), SideTowards: r.sideOf(s),
		}
		if s.Kind == void.Hatch {
			f.Side, f.SideTowards = cell.Below, ""
			f.Rule = "hatch to " + z.ID + ": the shaft from the finished face to its underside"
		} else {
			f.Basis = rules.Maker
		}
		f.Gap = r.freeDepth(s, rest)
		f.Short = math.Max(f.Asked-f.Gap, 0)
		f.Depth = &finding.Depth{Vertical: v.Vertical}
		if !math.IsNaN(v.Sideways) {
			f.Depth.Sideways = &v.Sideways
		}
		r.zonesOf(&f, s.For, i)
		r.place(&f, measure.SpotAlong(rest, s.Body), s.For, i) // along what stands there: the room beside an item has no length of its own
		f.GivesWay = o.ID
		switch {
		case s.Kind == void.Hatch:
			f.GivesWay = z.ID // a hatch is moved more easily than anything over it
			f.Note += ": shift the hatch, or move what is over it"
		case r.Structure(i):
			f.GivesWay = z.ID
		default:
			// Out of the room is not into what the room is for.
			in := &moved{O: r.Full(s.For), ch: r.Set.Between(r.Trait(s.For), r.Trait(i)), second: true, byHeight: o.ByHeight}
			f.Moves = r.movesOf(i, &moved{M: r.Full(i), O: s.Body, ch: &rules.Choice{}, second: true, byHeight: o.ByHeight, beyond: in}, measure.SpotAlong(rest, s.Body))
		}
		out.AddAccess(book.OfSpace, k, i, book.Along{}, f, s.Kind.String())
	}
}

// bounded finds what of a working space or a withdrawal a soffit, or a ceiling that does not lift out,
// takes.
func (r *run) bounded(out *book.Book, k int32, s *void.Space) {
	z := r.Zone(s.For)
	h := s.Body.Height()
	for _, j := range r.Project.BaysNear(int(z.Storey), s.Body.Plan()) {
		bay := &r.Project.Bays[j]
		if body.PlanOverlap(s.Body, body.Upright(bay.Plan, h)) <= r.touch+void.Hair {
			continue
		}
		take := func(ceiling bool, by float64, at float64) {
			f := finding.Finding{
				Kind: finding.Access, Asked: depthOf(s), Side: s.Side, Basis: rules.Maker, Rule: fmt.Sprintf("%s of %s", s.Kind, z.ID),
				Note: r.askedIn(s), SideTowards: r.sideOf(s), Depth: &finding.Depth{Vertical: by},
			}
			if math.Abs(outwards(s, r.Full(s.For)).Z) > 0.5 {
				f.Gap = math.Max(0, f.Asked-by)
			}
			f.Short = f.Asked - f.Gap
			r.against(&f, s.For, bay, ceiling)
			c := measure.OverBay(s.Body, bay)
			f.At = r.spotAt(bay.Storey, r3.Vector{X: c.X, Y: c.Y, Z: at})
			f.Bay = &bay.Label
			f.GivesWay = z.ID
			out.AddAccess(book.OfSpace, k, -1, book.Along{}, f, s.Kind.String())
		}
		if by := h.Hi - bay.Soffit; by > r.touch+figure.Slack {
			take(false, by, bay.Soffit)
		}
		lifts := bay.BuildUp >= 0 && r.Project.BuildUps[bay.BuildUp].LiftsOut()
		if by := bay.Top - h.Lo; bay.HasCeiling && !lifts && by > r.touch+figure.Slack && r.Full(s.For).Height().Lo >= bay.Ceiling {
			take(true, by, bay.Top)
		}
	}
}

// outwards returns the direction in which a space reaches out from the zone that wants it.
func outwards(s *void.Space, f body.Body) r3.Vector {
	switch s.Side {
	case cell.Above:
		return scene.Up
	case cell.Below:
		return scene.Up.Mul(-1)
	}
	d := s.Body.Centre.Sub(f.Centre)
	d.Z = 0
	if n := d.Norm(); n > 0 {
		return d.Mul(1 / n)
	}
	return scene.Up.Mul(-1)
}

// depthOf returns how deep a space is: of a hatch the height of its shaft.
func depthOf(s *void.Space) float64 {
	switch s.Kind {
	case void.Hatch:
		return s.Body.Height().Length()
	}
	b := s.Body
	switch s.Side {
	case cell.Above, cell.Below:
		return 2 * b.H
	case cell.Left, cell.Right, cell.North, cell.South:
		return 2 * b.W
	}
	return measure.LengthOf(b)
}

// freeDepth returns how much of a space's depth is free before what stands in it: how far the space's
// near face goes before it meets it.
func (r *run) freeDepth(s *void.Space, o body.Body) float64 {
	d := scene.Up
	if s.Kind != void.Hatch {
		d = outwards(s, r.Full(s.For))
	}
	face := s.Body
	near := func(v r3.Vector) r3.Vector { // the half size v taken to the near side
		if v.Dot(d) > 0 {
			return v.Mul(-1)
		}
		return v
	}
	across := r3.Vector{X: face.Across.X, Y: face.Across.Y}
	switch {
	case math.Abs(d.Z) > 0.5:
		face.Centre = face.Centre.Add(near(r3.Vector{Z: face.H}))
		face.H = 0
	case math.Abs(across.Dot(d)) > 0.5:
		face.Centre = face.Centre.Add(near(across.Mul(face.W)))
		face.W = 0
	case face.Along.Dot(d) > 0:
		face = body.Slice(face, -1)
	default:
		face = body.Slice(face, 1)
	}
	t, ok := body.Span(face, o, d)
	if !ok {
		return 0
	}
	return math.Max(0, t.Lo)
}

// reachRound returns how far from an item what stands there can bear on whether it is reached.
func (r *run) reachRound(arm float64) float64 {
	most := 0.0
	for _, h := range hatchReaches {
		most = math.Max(most, HatchReach(h.From, arm, r.opt.ReachIn))
	}
	return 2 * (most + armRadius + handReach) // from the item to the hatch, and from there round about
}

// armReach returns how far an arm reaches; 0 where the rule is left out.
func (r *run) armReach() float64 {
	if r.opt.Reach != 0 {
		return math.Max(0, r.opt.Reach)
	}
	return r.Set.Reach.Gap
}

// hatchFar is how far a hatch is looked for, mm: what has none so near has none.
const hatchFar = 10000.0

// reach returns what finds out whether a zone must be reached over a ceiling that does not lift out and has no hatch near enough. It returns
// the box round the way by which the zone is reached, nowhere where no way was wanted or none was found.
func (r *run) reach() func(out *book.Book, i int32) scene.Box {
	limit := r.armReach()
	if limit == 0 {
		return func(*book.Book, int32) scene.Box { return scene.Nowhere } // firm: the rule is left out
	}
	ways := r.hatches(limit)
	return func(out *book.Book, i int32) scene.Box {
		return r.reachOf(out, i, limit, ways.byStorey[r.Zone(i).Storey], ways.sides[i])
	}
}

// reachOf checks one zone that must be reached, from one of the sides if there are any. What comes of it hangs on the zone,
// the bays round it, all hatches of the storey, and what stands within reachRound of it.
func (r *run) reachOf(out *book.Book, i int32, limit float64, hatches []hatch, sides []cell.Towards) scene.Box {
	p, z := r.Project, r.Zone(i)
	if z.Gone || !z.Reach || z.ByHeight || r.Structure(i) {
		return scene.Nowhere
	}
	full := r.Full(i)
	at := r2.Point{X: full.Centre.X, Y: full.Centre.Y}
	j, ok := p.BayAt(int(z.Storey), at)
	if !ok {
		return scene.Nowhere
	}
	bay := &p.Bays[j]
	h := full.Height()
	if !bay.HasCeiling || h.Hi <= bay.Ceiling+void.Hair || z.Recessed && h.Lo <= bay.Top+r.touch+void.Hair {
		return scene.Nowhere
	}
	if bay.BuildUp < 0 {
		out.Notes = append(out.Notes, book.Note{Of: book.OfReach, A: i, Note: finding.Note{Bay: bay.Label}})
		return scene.Nowhere
	}
	if p.BuildUps[bay.BuildUp].LiftsOut() {
		return scene.Nowhere
	}
	nearest, plan := hatchFar, full.Plan()
	var first *hatch
	for k := range hatches {
		h := &hatches[k]
		far := math.Max(nearest, h.limit)
		if dx, dy := max(plan.X.Lo-h.mid.X, h.mid.X-plan.X.Hi), max(plan.Y.Lo-h.mid.Y, h.mid.Y-plan.Y.Hi); dx >= far || dy >= far {
			continue
		}
		v := r3.Vector{X: h.mid.X, Y: h.mid.Y, Z: full.Centre.Z}
		away := planGap(body.Cylinder(v, v, 0), full)
		if away <= h.limit+figure.Slack {
			if q := r.reachingOf(i, h, sides); q.reached() {
				return q.round()
			}
		}
		if away < nearest {
			nearest, first = away, h
		}
	}
	f := finding.Finding{Kind: finding.Access, Asked: limit, Side: cell.Below, Rule: r.Set.Reach.Name, Basis: rules.Practice}
	f.Note = fmt.Sprintf("needs access; the ceiling below is fixed and no hatch is within %.0f m", hatchFar/1000)
	f.Gap, f.Short = nearest, nearest-limit
	if first != nil {
		f.Asked = first.limit
		f.Short = math.Max(0, nearest-first.limit)
		f.Hatch = r.nearestHatch(i, first, nearest, r.reachingOf(i, first, sides), sides)
		f.Note = "needs access; the ceiling below is fixed and " + f.Hatch.Words()
	}
	r.against(&f, i, bay, true)
	f.At = r.spotAt(int(z.Storey), r3.Vector{X: at.X, Y: at.Y, Z: h.Lo})
	f.Bay = &bay.Label
	f.GivesWay = bay.CeilingID() // a hatch is the least change
	out.AddAccess(book.OfReach, i, -1, book.Along{}, f, accessReach)
	return scene.Nowhere
}

// reachNotes tells how many items of a bay could not be checked for reach.
func (r *run) reachNotes(out *[]finding.Note, labels map[string]int) {
	for j := range r.Project.Bays {
		if n := labels[r.Project.Bays[j].Label]; n > 0 {
			*out = append(*out, finding.Note{
				Bay: r.Project.Bays[j].Label, Row: r.Project.FileLine(r.Project.Bays[j].Row),
				Text: fmt.Sprintf("its ceiling has no build-up, so whether it lifts out is not known: %d items that need access are not checked", n),
			})
		}
	}
}

// planGap returns how far apart two bodies are in plan, 0 where their plans meet.
func planGap(a, b body.Body) float64 {
	d := body.PlanOverlap(a, b)
	if d >= 0 {
		return 0
	}
	// Flatten both to one level: their distance is that of their plans.
	return body.Gap(measure.Flat(a), measure.Flat(b)).MM
}
