package support

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// Support is one place where a row, or the rows of a frame, are held up. Levels are above the project datum, lengths mm.
type Support struct {
	Zone int32 // the row it is a support of; of a frame the first by id of the rows it holds
	N    int   // which of that row's supports, from 1 in the order of its length
	At   float64
	// At is along the row from its start, in plan; Station along the length that the row is part of. Between Low and High it
	// may stand: no further from its neighbours than the spacing, and from an end than the first. Prev and Next are the
	// stations of its neighbours, or the ends of the length.
	Station, Low, High, Prev, Next float64
	Where                          r2.Point // middle of the service in plan, of a frame that between its rods
	Dir                            r2.Point // of the row in plan, a unit; of a frame that of its length
	Along                          r2.Point // in which Station grows: Dir, or against it
	Back                           bool     // the length goes from the row's end to its start
	Hanger                         int32    // index of the project's hanger
	Tiers                          []Tier   // from the lowest; one for a row without a frame
	Rods                           int      // 0, 1 or 2
	Rod                            float64  // diameter
	RodAt                          [2]float64
	// RodAt is where the rods stand to the left of Where, the right one first.
	Tail float64 // level of the rods' lower ends
	// Up is, by rod, the level that it goes up to: the underside of what is over that very rod, less the clamp; at least the service's
	// top, and just that where nothing is over it. Hung says what it is.
	Up   [2]float64
	Hung [2]Hold
	Top  float64 // the lower of them; the service's top where there are no rods
	Held bool    // there is something over every rod to hang from

	Highest float64 // the higher
	// FromBay is the bay whose soffit, FromSteel the zone of the steel that the lower of the rods hangs from; -1 for none.
	FromBay, FromSteel int32

	Set   bool // somebody has set it out: it stands there
	Made  Made // and what it is made of, otherwise than its row's hanger says
	Fixed bool // and it does not move
	Stage void.Stage
	Note  string
	Row   void.At // of supports.csv

	one [1]Tier
}

// Hold is what a rod hangs from: the soffit of a bay, or steel, a zone; -1 for none. Nothing holds a rod of which both are none.
type Hold struct{ Bay, Steel int32 }

// holds reports whether there is something to hang from.
func (h Hold) holds() bool { return h.Bay >= 0 || h.Steel >= 0 }

// hangsFrom reports whether a rod of the support hangs from a zone.
func (s *Support) hangsFrom(steel int32) bool {
	for k := range s.Rods {
		if s.Hung[k].Steel == steel && steel >= 0 {
			return true
		}
	}
	return false
}

// Tier is one level of services in a support: the channel, or whatever carries them, and what is under it.
type Tier struct {
	Zone   int32      // the first by id of the rows that lie there
	Rows   []int32    // of a frame: all rows that lie there, by id; nil for a row without a frame
	Under  float64    // level of the service's underside, the top of what carries it
	Over   float64    // level of its top
	Across [2]float64 // how far the services reach to the left of Where, the right end first
	Carry  float64    // height of the channel under the service, 0 for none
	Below  float64    // height of what is under that: washers, nut, thread
	Wide   float64    // and its width at each rod
	Above  float64    // height of a channel over the service, 0 for none
	Long   [2]float64 // the channel's ends to the left of Where
}

// What a body of a support is.
type What string

// The bodies of a support.
const (
	Rod     What = "rod"
	Channel What = "channel"
	Under   What = "washer and nut"
)

// Part is one body of a support.
type Part struct {
	What What
	Body body.Body
}

// gear is what a hanger is made of, as far as its bodies go.
type gear struct {
	rods        int
	rod         float64
	from        string
	carry       float64 // height of the part next to the service
	below, wide float64
	above       float64
	width       float64
}

// FromWall is what a bracket hangs from, as a hanger says it: it has no rods.
const FromWall = "wall"

// gearOf reads a hanger.
//
//   - Rods are as many as it says. Where it says none: 2 where something is under the service or a channel over it, none for
//     a bracket or what hangs from a wall, else 1.
//   - The part next to the service on its underside carries it: a channel or what stands for one. All parts after it are
//     taken as one block at each rod, as wide as the widest of them is known to be.
func gearOf(h *void.Hanger) gear {
	g := gear{rod: h.Rod, from: h.From, width: h.Width}
	if g.rod == 0 {
		g.rod = usualRod
	}
	bracket := h.From == FromWall || h.From == "" && strings.Contains(strings.ToLower(h.Name), "bracket")
	switch {
	case h.From == FromWall:
	case h.Rods > 0:
		g.rods = min(h.Rods, 2)
	case bracket:
	case h.Under > 0 || h.Over > 0:
		g.rods = 2
	default:
		g.rods = 1
	}
	for _, part := range h.Parts {
		switch {
		case part.Inside || part.Height == 0:
		case part.Over:
			g.above += part.Height
		case g.carry == 0:
			g.carry = part.Height
		default:
			g.below += part.Height
			if h.Row == (void.At{}) {
				g.wide = math.Max(g.wide, part.Width)
			} else if strings.Contains(strings.ToLower(part.Name), "plate") {
				g.wide = plateWide
			}
		}
	}
	g.wide = math.Max(g.wide, g.rod)
	return g
}

// bodies reports whether a support with the hanger has a body at all.
func (g *gear) bodies() bool { return g.rods > 0 || g.carry > 0 || g.above > 0 }

// Has reports whether a row has supports of its own: it is hung, has a place, and its hanger has a body. Of a frame only some rows
// may come out with supports, for each is told by the first row that it holds.
func (pl *Plan) Has(i int) bool {
	if i >= len(pl.placeOf) || pl.placeOf[i] == none {
		return false
	}
	if pl.placeOf[i] != alone && pl.lengths[pl.places[pl.placeOf[i]].length].frame {
		return true
	}
	return pl.hangers[pl.p.Zone(i).Hanger].bodies()
}

// Zone returns the supports of a row in the order of its length, nil where it has none.
func (pl *Plan) Zone(i int) []Support { return pl.append(nil, i) }

// append adds the supports of a row to a list, in the order of its length.
func (pl *Plan) append(list []Support, i int) []Support {
	if !pl.Has(i) {
		return list
	}
	var one [1]int32
	at, l := pl.where(int32(i), one[:])
	st := pl.stand(int32(i), at)
	n := 0
	pl.spots(&l, at.from, at.to, func(x spot) {
		if !pl.tells(&l, int32(i), &at, x.station) {
			return // told by another row of the length
		}
		n++
		list = append(list, Support{})
		s := &list[len(list)-1]
		m := Made{}
		if x.set != nil {
			m = madeAs(x.set)
		}
		pl.at(s, &l, &st, x.station, m)
		s.N, s.Low, s.High, s.Prev, s.Next = n, x.low, x.high, x.prev, x.next
		if x.set != nil {
			s.setAs(x.set)
		}
	})
	return list
}

// setAs takes in what somebody says of a support who has set it out.
func (s *Support) setAs(x *void.SetSupport) {
	s.N, s.Set, s.Made, s.Stage, s.Fixed, s.Note = int(x.Number), true, madeAs(x), x.Stage, x.Stage == void.Fixed, x.Note
	s.Row = x.Row
}

// tells reports whether it is a row of a length that tells of the support at a station, where others lie too.
func (pl *Plan) tells(l *length, i int32, at *place, station float64) bool {
	if l.frame {
		return pl.owner(l, station) == i
	}
	return at.from <= void.Hair || station > at.from+void.Hair
}

// owner returns the first by id of the rows of a frame that lie at a station, -1 for none.
func (pl *Plan) owner(l *length, s float64) int32 {
	if len(l.zones) == 1 {
		return l.zones[0]
	}
	for _, i := range l.zones {
		if at := &pl.places[pl.placeOf[i]]; at.from-void.Hair <= s && s <= at.to+void.Hair {
			return i
		}
	}
	return -1
}

// At returns the support of a row's length at a station of it, between 0 and its end, made as somebody says: of the row that lies there. ok is
// false where none does.
func (pl *Plan) At(i int, station float64, m Made) (s Support, ok bool) {
	if !pl.Has(i) {
		return s, false
	}
	var one [1]int32
	at, l := pl.where(int32(i), one[:])
	k := pl.owner(&l, station)
	if k < 0 {
		return s, false
	}
	if k != int32(i) {
		at = pl.places[pl.placeOf[k]]
	}
	st := pl.stand(k, at)
	pl.at(&s, &l, &st, station, m)
	s.Made = m
	return s, true
}

// Spacing returns how far apart the supports of a row's length may stand, mm, 0 for a row without any.
func (pl *Plan) Spacing(i int) float64 {
	if !pl.Has(i) {
		return 0
	}
	var one [1]int32
	_, l := pl.where(int32(i), one[:])
	return l.spacing
}

// spot is where a support of a length stands.
type spot struct {
	station float64
	set     *void.SetSupport // who has set it out there; nil: it is usual
	// It may shift between low and high, its neighbours, or the ends, are at prev and next.
	low, high, prev, next float64
}

// spots calls each with the places of a length between from and to, closed: those that are set out, else those that are usual.
func (pl *Plan) spots(l *length, from, to float64, each func(x spot)) {
	if set := pl.setOut(l); set != nil {
		pl.eachOf(l, set, from, to, each)
		return
	}
	a := Apart{First: pl.opt.First, Most: l.spacing, Between: channelWide}
	if OnSteel(pl.hangerOf(l).from) {
		pl.eachOf(l, pl.onSteel(l, a), from, to, each)
		return
	}
	// All is clear, so the places are the even ones, of which those between from and to are worked out alone.
	first := math.Min(a.First, l.end/2)
	n := 1
	if long := l.end - 2*first; long > void.Hair {
		n = 1 + int(math.Ceil(long/l.spacing-1e-9))
	}
	at := func(k int) float64 { return even(0, l.end, n, k, a) }
	k := 0
	if n > 1 {
		lo := at(0)
		k = max(0, int(math.Ceil((from-void.Hair-lo)/(at(1)-lo))))
	}
	for ; k < n; k++ {
		x := spot{station: at(k), prev: 0, next: l.end}
		if x.station > to+void.Hair {
			return
		}
		if k > 0 {
			x.prev = at(k - 1)
		}
		if k < n-1 {
			x.next = at(k + 1)
		}
		pl.margin(l, &x, k == 0, k == n-1)
		if x.station >= from-void.Hair {
			each(x)
		}
	}
}

// margin says how far a support may shift with its neighbours where they are: no further from them than the spacing, and from an end than the
// first.
func (pl *Plan) margin(l *length, x *spot, first, last bool) {
	x.low, x.high = x.next-l.spacing, x.prev+l.spacing
	if first {
		x.high = pl.opt.First
	}
	if last {
		x.low = l.end - pl.opt.First
	}
	x.low, x.high = math.Max(0, math.Min(x.low, x.station)), math.Min(l.end, math.Max(x.high, x.station))
}

// eachOf calls each with those of some places, ascending, that lie between from and to.
func (pl *Plan) eachOf(l *length, list []spot, from, to float64, each func(x spot)) {
	for k, x := range list {
		if x.station < from-void.Hair || x.station > to+void.Hair {
			continue
		}
		x.prev, x.next = 0, l.end
		if k > 0 {
			x.prev = list[k-1].station
		}
		if k < len(list)-1 {
			x.next = list[k+1].station
		}
		pl.margin(l, &x, k == 0, k == len(list)-1)
		each(x)
	}
}

// setOut returns the places of a length that somebody has set out, in the order along it; nil where nobody has set out any of its run.
func (pl *Plan) setOut(l *length) (list []spot) {
	if len(pl.set) == 0 {
		return nil
	}
	for _, i := range l.zones {
		var one [1]int32
		at, _ := pl.where(i, one[:])
		for k := range pl.set[i] {
			x := &pl.set[i][k]
			s := at.from + x.Along
			if at.back {
				s = at.to - x.Along
			}
			list = append(list, spot{station: s, set: x})
		}
	}
	if list == nil && pl.setRuns[pl.runOf(l.zones[0])] {
		list = []spot{}
	}
	slices.SortStableFunc(list, func(a, b spot) int { return cmp.Compare(a.station, b.station) })
	return list
}

// hangerOf returns what a length hangs on.
func (pl *Plan) hangerOf(l *length) *gear {
	i := l.zones[0]
	if l.frame {
		i = l.like
	}
	return &pl.hangers[pl.p.Zone(int(i)).Hanger]
}

// OnSteel reports whether what a hanger hangs from, as it says it, is steel.
func OnSteel(from string) bool { return from == "beam flange" || from == "purlin" }

// onSteel returns the places of supports that hang from steel: as few as will do where steel is over all their rods, as setting out places
// them. Where there is none within reach they stand as far on as the spacing lets them all the same, and nothing holds them.
func (pl *Plan) onSteel(l *length, a Apart) (list []spot) {
	stands, gaps := Place(0, l.end, pl.steelOver(l), a)
	for _, s := range stands {
		list = append(list, spot{station: s.At})
	}
	for _, g := range gaps {
		at, reach, last := g.Lo, a.Most, a.Most
		if g.Lo == 0 && (len(stands) == 0 || stands[0].At > 0) {
			reach = a.First
		}
		if g.Hi == l.end {
			last = a.First
		}
		for ; g.Hi-at > last+void.Hair; reach = a.Most {
			if left := g.Hi - at; at > 0 && g.Hi == l.end && left <= reach+last {
				reach = left - last/2 // the last
			}
			at += reach
			list = append(list, spot{station: at})
		}
	}
	slices.SortFunc(list, func(a, b spot) int { return cmp.Compare(a.station, b.station) })
	return list
}

// steelOver returns the stations of a length at which steel is over all rods, as closed intervals in ascending order.
func (pl *Plan) steelOver(l *length) []r1.Interval {
	var out []r1.Interval
	for _, i := range l.zones {
		var one [1]int32
		at, _ := pl.where(i, one[:])
		mid := (at.from + at.to) / 2
		var s Support
		st := pl.stand(i, at)
		pl.at(&s, l, &st, mid, Made{})
		z := pl.p.Zone(int(i))
		near := pl.p.SteelNear(int(z.Storey), z.Full().Plan().ExpandedByMargin(pl.opt.Beside+1000))
		dir := r3.Vector{X: s.Dir.X, Y: s.Dir.Y}
		if at.back {
			dir = dir.Mul(-1) // along the length
		}
		var all []r1.Interval
		for k := range s.Rods {
			q := s.rodPoint(k)
			line := body.Cylinder(r3.Vector{X: q.X, Y: q.Y, Z: s.top()}, r3.Vector{X: q.X, Y: q.Y, Z: s.top() + 1e5}, 0)
			var over []r1.Interval
			for _, j := range near {
				if v, ok := body.Span(line, pl.p.Zone(int(j)).Bare(), dir); ok && v.Lo < v.Hi {
					over = append(over, r1.Interval{Lo: math.Max(at.from, mid+v.Lo), Hi: math.Min(at.to, mid+v.Hi)})
				}
			}
			over = slices.DeleteFunc(over, func(v r1.Interval) bool { return v.Lo > v.Hi })
			if k == 0 {
				all = over
				continue
			}
			var both []r1.Interval
			for _, a := range all {
				for _, b := range over {
					if v := a.Intersection(b); !v.IsEmpty() {
						both = append(both, v)
					}
				}
			}
			all = both
		}
		out = append(out, all...)
	}
	slices.SortFunc(out, func(a, b r1.Interval) int {
		switch {
		case a.Lo < b.Lo, a.Lo == b.Lo && a.Hi < b.Hi:
			return -1
		case a == b:
			return 0
		}
		return 1
	})
	return out
}

// stand is a row as its supports see it.
type stand struct {
	place
	zone        int32
	z           *void.Zone
	start, dir  r2.Point // of the row in plan
	level, rise float64  // of its section's middle at the start, and by how much it rises a millimetre
	half, wide  float64  // of its section upright and across, with what is round it
}

func (pl *Plan) stand(i int32, at place) stand {
	z := pl.p.Zone(int(i))
	f := z.Full()
	n := math.Hypot(f.Along.X, f.Along.Y)
	st := stand{
		place: at, zone: i, z: z, dir: r2.Point{X: f.Along.X / n, Y: f.Along.Y / n},
		start: r2.Point{X: f.Centre.X - f.Along.X, Y: f.Centre.Y - f.Along.Y}, level: f.Centre.Z - f.Along.Z, rise: f.Along.Z / n, half: f.H, wide: f.W,
	}
	if f.Round {
		st.half = f.W * math.Hypot(1, st.rise)
	}
	return st
}

// along returns how far from the row's start a station is.
func (at *place) along(station float64) float64 {
	if at.back {
		return at.to - station
	}
	return station - at.from
}

// tier returns what the row is at a station, seen from a point so far to the right of its axis.
func (st *stand) tier(station, off float64, g *gear) Tier {
	z := st.level + st.rise*st.along(station)
	return Tier{
		Zone: st.zone, Under: z - st.half, Over: z + st.half, Across: [2]float64{off - st.wide, off + st.wide},
		Carry: g.carry, Below: g.below, Wide: g.wide, Above: g.above,
	}
}

// at works out the support of a row at a station of its length.
func (pl *Plan) at(s *Support, l *length, st *stand, station float64, m Made) {
	*s = Support{
		Zone: st.zone, Station: station, Hanger: st.z.Hanger, FromBay: -1, FromSteel: -1, Dir: st.dir, Along: st.dir, Back: st.back,
		At: st.along(station),
	}
	if st.back {
		s.Along = st.dir.Mul(-1)
	}
	var g *gear
	if !l.frame {
		g = pl.made(&pl.hangers[st.z.Hanger], m)
		s.Where = st.start.Add(s.Dir.Mul(s.At))
		s.one[0] = st.tier(station, 0, g)
		s.Rods = g.rods
	} else {
		g = pl.frameAt(l, s, m)
	}
	if m.Hanger > 0 {
		s.Hanger = m.Hanger - 1
	}
	s.Rod = g.rod
	lo, hi := math.Inf(1), math.Inf(-1)
	tail, top := math.Inf(1), math.Inf(-1)
	for _, t := range s.tiers() {
		lo, hi = math.Min(lo, t.Across[0]), math.Max(hi, t.Across[1])
		foot := t.Over + t.Above
		switch {
		case t.Carry > 0:
			foot = t.Under - t.Carry - t.Below
		case t.Above > 0:
			foot = t.Over
		}
		tail, top = math.Min(tail, foot), math.Max(top, t.Over+t.Above)
	}
	s.Tail, s.Top, s.Highest = tail, top, top
	beside := pl.opt.Beside
	if g.width > hi-lo+g.rod {
		beside = math.Max(g.rod/2, g.width/2-pl.opt.Past-(hi-lo)/2) // it says how long what carries is
	}
	past := pl.opt.Past
	switch s.Rods {
	case 2:
		beside += pl.wider
		s.RodAt = [2]float64{lo - beside, hi + beside}
	case 1:
		s.RodAt = [2]float64{(lo + hi) / 2, (lo + hi) / 2}
		s.Tail = top
		beside, past = 0, 0
	default:
		beside, past = 0, 0
	}
	ends := [2]float64{lo - beside - past, hi + beside + past}
	if w := g.width - (ends[1] - ends[0]); w > 0 && g.width > 0 {
		ends[0], ends[1] = ends[0]-w/2, ends[1]+w/2
	}
	tiers := s.tiers()
	for k := range tiers {
		tiers[k].Long = ends
	}
	pl.hang(s, g, st.z)
}

// tiers returns the tiers of a support that is being worked out, or was copied since.
func (s *Support) tiers() []Tier {
	if s.Tiers != nil {
		return s.Tiers
	}
	return s.one[:]
}

// Levels returns the tiers of the support from the lowest; one for a row without a frame.
func (s *Support) Levels() []Tier { return s.tiers() }

// top returns the level of the highest service, with a channel over it.
func (s *Support) top() float64 {
	t := math.Inf(-1)
	for _, x := range s.tiers() {
		t = math.Max(t, x.Over+x.Above)
	}
	return t
}

// frameAt gathers the tiers of a frame at a station and returns what they hang on.
func (pl *Plan) frameAt(l *length, s *Support, m Made) *gear {
	e := r2.Point{X: -l.dir.Y, Y: l.dir.X}
	s.Where, s.Dir, s.Along = l.origin.Add(l.dir.Mul(s.Station)), l.dir, l.dir
	own := pl.made(pl.hangerOf(l), m)
	g := gear{from: own.from}
	type named struct {
		Tier
		name string
	}
	var list []named
	for _, i := range l.zones {
		at := &pl.places[pl.placeOf[i]]
		if s.Station < at.from-void.Hair || s.Station > at.to+void.Hair {
			continue
		}
		z := pl.p.Zone(int(i))
		h := own
		if z.Hanger >= 0 && m.Hanger == 0 {
			h = &pl.hangers[z.Hanger]
		}
		if s.Hanger < 0 {
			s.Hanger = z.Hanger
		}
		st := pl.stand(i, *at)
		t := st.tier(s.Station, at.off, h)
		g.rod, g.width = math.Max(g.rod, h.rod), math.Max(g.width, h.width)
		if g.rods = 2; m.Rods > 0 {
			g.rods = int(m.Rods - 1)
		}
		_, name := z.Frame()
		k := slices.IndexFunc(list, func(x named) bool {
			return name != "" && strings.EqualFold(x.name, name) || name == "" && x.name == "" && math.Abs(x.Under-t.Under) <= meetStep
		})
		if k < 0 {
			t.Rows = []int32{i}
			list = append(list, named{t, name})
			continue
		}
		x := &list[k]
		x.Rows = append(x.Rows, i)
		x.Under, x.Over = math.Min(x.Under, t.Under), math.Max(x.Over, t.Over)
		x.Across = [2]float64{math.Min(x.Across[0], t.Across[0]), math.Max(x.Across[1], t.Across[1])}
		x.Carry, x.Below, x.Wide, x.Above = math.Max(x.Carry, t.Carry), math.Max(x.Below, t.Below), math.Max(x.Wide, t.Wide), math.Max(x.Above, t.Above)
	}
	if s.Hanger < 0 {
		s.Hanger = pl.p.Zone(int(l.like)).Hanger
	}
	slices.SortStableFunc(list, func(a, b named) int {
		switch {
		case a.Under < b.Under:
			return -1
		case a.Under > b.Under:
			return 1
		}
		return 0
	})
	s.Tiers = make([]Tier, len(list))
	lo, hi := math.Inf(1), math.Inf(-1)
	for k := range list {
		s.Tiers[k] = list[k].Tier
		lo, hi = math.Min(lo, list[k].Across[0]), math.Max(hi, list[k].Across[1])
	}
	// Seen from the middle between the rods.
	mid := (lo + hi) / 2
	s.Where = s.Where.Add(e.Mul(mid))
	for k := range s.Tiers {
		t := &s.Tiers[k]
		t.Across = [2]float64{t.Across[0] - mid, t.Across[1] - mid}
	}
	s.Rods = g.rods
	return &g
}

// levelSteel is by how much the undersides of two beams may differ that the rods of one support hang from where nobody says that
// they hang from steel, mm.
const levelSteel = 1.0

// hang finds what each rod of a support hangs from, where it stands: what the hanger says; where it says nothing, from the soffit, but
// from steel where that is over all rods, one beam or two that are level, and lower than the soffit there: a fitter puts a clamp on
// it, for the rod does not go through the beam (common practice, no source).
func (pl *Plan) hang(s *Support, g *gear, z *void.Zone) {
	top, storey := s.Top, int(z.Storey)
	s.Highest, s.Held, s.FromBay, s.FromSteel = top, true, -1, -1
	s.Up = [2]float64{top, top}
	s.Hung = [2]Hold{{-1, -1}, {-1, -1}}
	if s.Rods == 0 {
		return // a bracket: what it is fixed to is not looked for
	}
	var steel, soffit [2]Hold
	var under, high [2]float64
	clamps := g.from != "soffit"
	for k := range s.Rods {
		q := s.rodPoint(k)
		steel[k], soffit[k] = Hold{-1, -1}, Hold{-1, -1}
		if clamps {
			if j, u, ok := pl.p.SteelAt(storey, q, top); ok {
				steel[k].Steel, under[k] = j, math.Max(top, u-pl.opt.Clamp)
			}
		}
		if OnSteel(g.from) {
			continue
		}
		if j, level, ok := pl.p.SoffitAt(storey, q, top); ok {
			soffit[k].Bay, high[k] = j, math.Max(top, level)
			// Of a service that comes up to the soffit, or is above it, that is no business of its rods.
			clamps = clamps && level >= top-void.Hair
		}
		clamps = clamps && steel[k].holds() && (!soffit[k].holds() || under[k] < high[k]-void.Hair)
	}
	if s.Rods == 2 && steel[0] != steel[1] && math.Abs(under[0]-under[1]) > levelSteel+void.Hair {
		clamps = false
	}
	if OnSteel(g.from) || clamps {
		s.Hung, high = steel, under
	} else {
		s.Hung = soffit
	}
	s.Top, s.Highest = math.Inf(1), math.Inf(-1)
	for k := range s.Rods {
		if !s.Hung[k].holds() {
			s.Held, high[k] = false, top
		}
		s.Up[k] = high[k]
		if s.Up[k] < s.Top {
			s.Top, s.FromBay, s.FromSteel = s.Up[k], s.Hung[k].Bay, s.Hung[k].Steel
		}
		s.Highest = math.Max(s.Highest, s.Up[k])
	}
}

// rodPoint returns where rod k stands in plan.
func (s *Support) rodPoint(k int) r2.Point {
	return s.Where.Add(r2.Point{X: -s.Dir.Y, Y: s.Dir.X}.Mul(s.RodAt[k]))
}

// RodPoint returns where rod k stands in plan, 0 <= k < Rods.
func (s *Support) RodPoint(k int) r2.Point { return s.rodPoint(k) }

// Bodies adds the bodies of the support to a list: rods from the tail to what they hang from, channels, and under a
// channel one block at each rod for washers and nut. Rods that nothing holds end at the service's top.
func (s *Support) Bodies(list []Part) []Part {
	e := r2.Point{X: -s.Dir.Y, Y: s.Dir.X}
	at := func(off, z float64) r3.Vector { return r3.Vector{X: s.Where.X + e.X*off, Y: s.Where.Y + e.Y*off, Z: z} }
	for k := range s.Rods {
		if s.Up[k] > s.Tail+void.Hair {
			list = append(list, Part{Rod, body.Cylinder(at(s.RodAt[k], s.Tail), at(s.RodAt[k], s.Up[k]), s.Rod)})
		}
	}
	for _, t := range s.tiers() {
		long := func(mid, high float64) Part {
			return Part{Channel, body.Box(at(t.Long[0], mid), at(t.Long[1], mid), channelWide, high)}
		}
		if t.Carry > 0 {
			list = append(list, long(t.Under-t.Carry/2, t.Carry))
		}
		if t.Above > 0 {
			list = append(list, long(t.Over+t.Above/2, t.Above))
		}
		if t.Carry > 0 && t.Below > 0 && s.Rods == 2 {
			for k := range s.Rods {
				mid := at(s.RodAt[k], t.Under-t.Carry-t.Below/2)
				d := r3.Vector{X: s.Dir.X, Y: s.Dir.Y}.Mul(t.Wide / 2)
				list = append(list, Part{Under, body.Box(mid.Sub(d), mid.Add(d), t.Wide, t.Below)})
			}
		}
	}
	return list
}

// TierBody returns what carries tier k with all that is under it, as one body from end to end of the channel: as what hangs
// under a row is taken everywhere. ok is false where nothing is under the tier.
func (s *Support) TierBody(k int) (b body.Body, ok bool) {
	t := &s.tiers()[k]
	high := t.Carry + t.Below
	if t.Carry == 0 || t.Long[1] <= t.Long[0] {
		return b, false
	}
	e := r2.Point{X: -s.Dir.Y, Y: s.Dir.X}
	at := func(off float64) r3.Vector {
		return r3.Vector{X: s.Where.X + e.X*off, Y: s.Where.Y + e.Y*off, Z: t.Under - high/2}
	}
	return body.Box(at(t.Long[0]), at(t.Long[1]), channelWide, high), true
}

// Box returns the smallest upright box square to the axes round all bodies of the support: its corners.
func (s *Support) Box() (lo, hi r3.Vector) {
	reach := 0.0
	from, to := math.Inf(1), math.Inf(-1)
	lowest, highest := math.Inf(1), math.Inf(-1)
	if s.Rods > 0 {
		reach = s.Rod / 2
		from, to = math.Min(s.RodAt[0], s.RodAt[1])-reach, math.Max(s.RodAt[0], s.RodAt[1])+reach
		lowest, highest = s.Tail, s.Highest
	}
	for _, t := range s.tiers() {
		if t.Carry > 0 || t.Above > 0 {
			reach = math.Max(reach, channelWide/2)
			from, to = math.Min(from, t.Long[0]), math.Max(to, t.Long[1])
		}
		if t.Below > 0 && s.Rods == 2 {
			reach = math.Max(reach, t.Wide/2)
			from, to = math.Min(from, s.RodAt[0]-t.Wide/2), math.Max(to, s.RodAt[1]+t.Wide/2)
		}
		if t.Carry > 0 {
			lowest, highest = math.Min(lowest, t.Under-t.Carry), math.Max(highest, t.Under) // what is under it the tail is under
		}
		if t.Above > 0 {
			lowest, highest = math.Min(lowest, t.Over), math.Max(highest, t.Over+t.Above)
		}
	}
	if from > to {
		p := s.Where
		return r3.Vector{X: p.X, Y: p.Y, Z: s.Tail}, r3.Vector{X: p.X, Y: p.Y, Z: s.Tail}
	}
	e := r2.Point{X: -s.Dir.Y, Y: s.Dir.X}
	mid := s.Where.Add(e.Mul((from + to) / 2))
	half := (to - from) / 2
	x := math.Abs(e.X)*half + math.Abs(s.Dir.X)*reach
	y := math.Abs(e.Y)*half + math.Abs(s.Dir.Y)*reach
	return r3.Vector{X: mid.X - x, Y: mid.Y - y, Z: lowest}, r3.Vector{X: mid.X + x, Y: mid.Y + y, Z: highest}
}

// OnSteel reports whether a row's length hangs from steel: its hanger says so.
func (pl *Plan) OnSteel(i int) bool { return pl.Has(i) && OnSteel(pl.from(i)) }

// MayHangFromSteel reports whether a row's length hangs from steel where there is some over it: its hanger does not say from what.
func (pl *Plan) MayHangFromSteel(i int) bool { return pl.Has(i) && pl.from(i) == "" }

// from returns what the hanger of a row's length says that it hangs from.
func (pl *Plan) from(i int) string {
	var one [1]int32
	_, l := pl.where(int32(i), one[:])
	return pl.hangerOf(&l).from
}
