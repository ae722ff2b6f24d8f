package clash

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"

	"voidline/clash/book"
	"voidline/clash/forbid"
	"voidline/clash/measure"
	"voidline/clash/rules"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Bar is a band of heights that one thing forbids a row: a shift straight up by t, Lo < t < Hi, is a
// finding between the two. Lo may be -Inf (a ceiling) and Hi +Inf (a soffit).
type Bar struct {
	By   string // zone id, or the id of a ceiling or a soffit
	Zone int    // index of the zone, -1 for a ceiling or a soffit
	Bay  int    // index of the bay of a ceiling or a soffit, -1 for a zone
	// From and To are where along the row it counts: mm in plan from the row's start. Clearances all round
	// reach that far along the row too, so that a row that ends before From is clear at any height.
	From, To float64
	Lo, Hi   float64
	// Open are shifts between Lo and Hi that are allowed all the same: through an opening made for it, through a
	// wall as builder's work, or where the two meet and belong together. Closed intervals, ascending.
	Open []r1.Interval
	// Still: no bend may stand between From and To (inside a wall).
	Still bool
	// Structure: By is structure and does not move.
	Structure bool
	// Over: the rule counts over a length alone.
	Over  bool
	Rule  string
	Basis rules.Basis
	Asked float64 // what the rule asks, mm; 0 for an overlap
	Side  cell.Towards
}

// Bars returns the heights that are forbidden to zone i, were its bare section the body given, each with what forbids
// it: all that a check would find of it if it were shifted straight up or down, with nothing resting on
// anything. Rows of its own run count for nothing: they are shifted with it. Rules that count only over a length
// are asked of the whole body, and of what the rows of two runs come to together. The other's slope is taken in lengths of
// half a metre, so that the bar follows it.
//
// What stands wholly under the ceiling's finished face or above the soffit is forbidden however far: the row is to lie in the void.
//
// Several goroutines may ask it at once, once the zones are Laid, as long as nobody edits the project or asks for findings.
func (c *Check) Bars(i int, bare body.Body) []Bar {
	return c.bars(i, c.Project.Zone(i).Around(bare), false, true)
}

// BarsAtOnce is Bars with rules that count over a length counting at once, however short a stretch is.
func (c *Check) BarsAtOnce(i int, bare body.Body) []Bar {
	return c.bars(i, c.Project.Zone(i).Around(bare), true, true)
}

// Struck returns which of the bars forbid zone i where it is, were its body, with joint, insulation and top, the one given. hung:
// with what hangs under it. Under a soffit a rule that counts over a length is asked of that body alone: what lengths of the
// run come to together is Summed.
func (c *Check) Struck(i int, full body.Body, hung bool) []Bar {
	r, h := &run{Check: c}, c.Set.Reader()
	return slices.DeleteFunc(c.bars(i, full, false, hung), func(x Bar) bool {
		return x.Lo >= -void.Hair || x.Hi <= void.Hair ||
			x.Bay >= 0 && x.Structure && len(r.besideBay(h, int32(i), int32(x.Bay), full, false).Hits) == 0 ||
			slices.ContainsFunc(x.Open, func(w r1.Interval) bool { return w.Lo <= void.Hair && w.Hi >= -void.Hair })
	})
}

func (c *Check) bars(i int, full body.Body, atOnce, hung bool) []Bar {
	c.Laid(scene.StraysMost)
	bans := forbid.Forbidden(c.tape, forbid.Query{Zone: int32(i), Full: full, Dir: scene.Up, Within: r1.Interval{Lo: math.Inf(-1), Hi: math.Inf(1)}, Hung: hung, AtOnce: atOnce})
	out := make([]Bar, len(bans))
	for k := range bans {
		out[k] = c.bar(&bans[k])
	}
	slices.SortStableFunc(out, func(a, b Bar) int {
		return cmp.Or(cmp.Compare(a.From, b.From), cmp.Compare(a.Lo, b.Lo), cmp.Compare(a.Hi, b.Hi), strings.Compare(a.By, b.By))
	})
	return out
}

// bar says a ban in names.
func (c *Check) bar(b *forbid.Ban) Bar {
	x := Bar{
		Zone: int(b.Zone), Bay: int(b.Bay), From: b.From, To: b.To, Lo: b.Lo, Hi: b.Hi, Open: b.Holes, Still: b.Still, Over: b.Along,
		Rule: inOnePlace, Basis: rules.Geometry, Asked: b.Asked, Side: b.Side,
	}
	switch {
	case b.Bay >= 0 && b.Soffit:
		x.By, x.Structure = c.Project.Bays[b.Bay].SoffitID(), true
	case b.Bay >= 0:
		x.By = c.Project.Bays[b.Bay].CeilingID()
	default:
		x.By, x.Structure = c.Zone(b.Zone).ID, c.Structure(b.Zone) && b.Space < 0
	}
	switch {
	case b.Rule != nil:
		x.Rule, x.Basis = b.Rule.Name, b.Rule.Basis
	case b.Space >= 0:
		x.Rule, x.Basis = c.Project.Spaces[b.Space].Kind.String()+" of "+x.By, rules.Maker
	}
	return x
}

// Finds reports whether a check would find something between zone i and zone j, were i's body, with joint, insulation and top, the
// one given, and nothing rested on anything.
func (c *Check) Finds(i int, full body.Body, j int) bool {
	a, b := int32(i), int32(j)
	return !forbid.Allowed(c.tape, c.Put(a, full), c.Drawn(b), c.Set.Between(c.Trait(a), c.Trait(b)), 0)
}

// Laid is a zone, or a part of it, with the bare section where it is laid.
type Laid struct {
	Zone int
	Bare body.Body
}

// Summed returns what a check would find of lengths added up along a run (rules that count over a length) were it laid as
// given: its rows cut, each part at its level, sets as they slope. Found is one bar for each rule and thing, without heights;
// of the soffits or ceilings of a storey, along which lengths add up together, one for the first bay.
func (c *Check) Summed(parts []Laid) []Bar {
	c.Laid(scene.StraysMost)
	r, h := &run{Check: c}, c.Set.Reader()
	type sum struct {
		found  Bar
		over   float64
		pieces map[int][]measure.Piece // by the row that the rule is of and the way along it: the parts below zero
	}
	sums := map[book.Along]*sum{}
	for k, part := range parts {
		i := int32(part.Zone)
		laid := c.Put(i, c.Project.Zone(part.Zone).Around(part.Bare))
		var near []int32
		c.Near(laid.Box, c.Set.Widest(), func(j int32) {
			own := slices.ContainsFunc(parts, func(p Laid) bool { return int32(p.Zone) == j || c.SameNamedRun(int32(p.Zone), j) })
			if !own && !c.Zone(j).ByHeight {
				near = append(near, j)
			}
		})
		slices.Sort(near)
		count := func(out *book.Book, j int32, by Bar) {
			for _, x := range out.Crossed {
				s := sums[x.Key]
				if s == nil {
					by.Lo, by.Hi, by.Rule, by.Basis, by.Asked = math.Inf(-1), math.Inf(1), x.Rule.Name, x.Rule.Basis, x.Rule.Gap
					s = &sum{by, x.Rule.Over, map[int][]measure.Piece{}}
					sums[x.Key] = s
				}
				of, full := int(x.Of), laid.Full
				if x.Of == i {
					of = -k - 1
				} else {
					full = c.Full(j)
				}
				of = of*4 + int(x.Way) // of ways there are three
				s.pieces[of] = append(s.pieces[of], measure.Piece{Row: of, B: measure.Along(full, x.Way), Lo: x.Lo, Hi: x.Hi})
			}
		}
		for _, j := range c.Project.BaysNear(int(c.Zone(i).Storey), laid.Full.Plan()) {
			for _, ceiling := range [...]bool{false, true} {
				count(r.besideBay(h, i, j, laid.Full, ceiling), book.NoZone, Bar{By: r.surfaceID(j, ceiling), Zone: book.NoZone, Bay: int(j), Structure: !ceiling})
			}
		}
		for _, j := range near {
			e := measure.Encounter{A: laid, B: c.Drawn(j)}
			if c.Zone(j).ID < c.Zone(i).ID {
				e.A, e.B = e.B, e.A
			}
			e.Ch = h.Between(c.Trait(e.A.Zone), c.Trait(e.B.Zone))
			if e.A.Box.Apart(&e.B.Box) > e.Ch.Need || !measure.Judge(e.A.Full, e.B.Full, e.Ch, 0, false).Crossed {
				continue
			}
			out := &book.Book{}
			r.crossing(out, &e, 0)
			count(out, j, Bar{By: c.Zone(j).ID, Zone: int(j), Bay: -1, Structure: c.Structure(j)})
		}
	}
	keys := slices.SortedFunc(maps.Keys(sums), func(a, b book.Along) int {
		return cmp.Or(cmp.Compare(a.Rule, b.Rule), cmp.Compare(a.Of, b.Of), cmp.Compare(a.To, b.To))
	})
	var out []Bar
	for _, k := range keys {
		s := sums[k]
		var ps []measure.Piece
		for _, of := range slices.Sorted(maps.Keys(s.pieces)) {
			ps = append(ps, s.pieces[of]...)
		}
		if measure.Longest(ps) > s.over+void.Hair {
			out = append(out, s.found)
		}
	}
	return out
}

// besideBay notes over which length zone i, were its body the given one, is too near the soffit or the ceiling of bay j for
// rules that count over a length.
func (r *run) besideBay(h *rules.Reader, i, j int32, full body.Body, ceiling bool) *book.Book {
	out, bay := &book.Book{}, &r.Project.Bays[j]
	hi := scene.Highest(full, bay)
	switch {
	case math.IsInf(hi, -1):
	case !ceiling:
		ch := h.Between(r.Trait(i), r.Set.Soffit)
		r.oneSided(out, book.OfSoffit, i, ch, ch.Over, r.roofOver(bay, hi)-hi, false, j, full)
	case bay.HasCeiling && hi > bay.Ceiling+void.Hair:
		lo, low, hung := r.Under(i, full, bay)
		ch := h.Between(r.Trait(i), r.Set.Ceiling)
		r.oneSided(out, book.OfCeiling, i, ch, ch.Under, lo-bay.Top, hung, j, low)
	}
	return out
}
