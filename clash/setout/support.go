package setout

import (
	"cmp"
	"iter"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/catalogue"
)

// Fixing says what rods hang from.
type Fixing string

// What supports hang from.
const (
	AsHanger   Fixing = ""       // as the hanger says; where it says nothing, steel that is over all rods, else the soffit
	FromSoffit Fixing = "soffit" // or deck
	FromSteel  Fixing = "steel"  // a clamp at the bottom flange of a beam, or a purlin
)

// hanger returns how a hanger says it.
func (f Fixing) hanger() string {
	if f == FromSteel {
		return "beam flange"
	}
	return string(f)
}

// onSteel reports whether rods of a row with a hanger hang from steel because somebody says so.
func (f Fixing) onSteel(p *void.Project, hanger int32) bool {
	return f == FromSteel || f == AsHanger && hanger >= 0 && support.OnSteel(p.Hangers[hanger].From)
}

// Hanging says how supports are placed and rods cut. The zero value is what is usual; all mm.
type Hanging struct {
	Spacing float64   // 0: by kind
	First   float64   // first support from an end, a corner or a set; 0: 300 (common practice, no source)
	From    Fixing    // what all rods hang from, whatever the hangers say
	Clamp   float64   // height of the clamp under a flange; rods end in it
	Screw   float64   // how far a rod is screwed in above; 0: its diameter (common practice, no source)
	Adjust  float64   // added to the cut for levelling; 0: 25 (common practice, no source); below 0: none
	Beside  float64   // rod's middle from the service's side; 0: 50 (common practice, no source)
	Clear   float64   // rod's middle from everything else; 0: 25 (common practice, no source)
	Stock   []float64 // lengths that rods are bought in; nil: those of the catalogue
	Kerf    float64
	Bars    []float64 // lengths that channel is bought in; nil: those of the catalogue
}

const (
	usualAdjust = 25.0
	usualClear  = 25.0
)

func (h Hanging) filled(kind string) Hanging {
	or := func(v *float64, usual float64) {
		if *v == 0 {
			*v = usual
		}
	}
	or(&h.Spacing, support.Options{}.Of(kind))
	usual := support.Options{}.Filled()
	or(&h.First, usual.First)
	or(&h.Adjust, usualAdjust)
	or(&h.Beside, usual.Beside)
	or(&h.Clear, usualClear)
	h.Adjust = math.Max(0, h.Adjust)
	if len(h.Stock) == 0 {
		h.Stock = catalogue.RodStock()
	}
	if len(h.Bars) == 0 {
		h.Bars = catalogue.ChannelStock()
	}
	return h
}

// Support is one place where the run is held up.
type Support struct {
	N       int
	At      float64
	Where   r2.Point
	Line    float64 // level of the line
	Top     float64 // level of the channel's top: the underside of the service with its insulation; of a channel over it alone, that one's
	From    float64 // level of what it hangs from; of two rods that which goes up further
	Of      string  // what that is, of two rods with the other's where that is something else
	Rod     float64 // exact length of the longest rod, 0 where the hanger has none
	Cut     float64 // what to cut for it
	Rods    int
	Each    []support.RodCut // the rods, one by one; nil where there is nothing to cut
	Channel float64          // length of the channel, 0 for none
	// Channels is how many channels of that length it has: 2 where one is under the service and one over it.
	Channels int
	Hanger   string  // "" where the row names none
	Size     string  // of the rods; "wire"
	Trim     bool    // the rods are trimmed after levelling
	Moved    float64 // how far it was moved from its even place, mm along the run
	Frame    string  // the frame that it is of
	// Tiers are the channels of a frame from the lowest up, this run's among them; nil without a frame.
	Tiers []Tier
	// With is the run, or the row, on whose sheet the rods and channels of a frame are; "" where they are on this one.
	With    string
	zone    int
	spacing float64
	hanger  int32 // index of its hanger, -1 for none
	// Set says that supports.csv has it: there it stands, made as that says.
	Set   bool
	Made  support.Made
	Stage void.Stage // of what is set out; where the row is fixed it is, too
	Note  string     // as supports.csv has it
}

// Stuck is a support that somebody has set out where none can stand.
type Stuck struct {
	N      int
	At     float64
	OnSet  bool              // the line has a set there
	Barred []support.Barring // what is in its way, or what it lacks
}

// Gap is a stretch of the run that wants a support and can have none.
type Gap struct {
	From, To float64
	Most     float64           // how far apart two supports may stand there, or how far from an end the first
	Barred   []support.Barring // what bars it, that which bars the most of it first
	Set      bool              // supports.csv has none there
	// Channel is how long a channel clears it, mm: rods further out with it; 0 where no longer one is known that does.
	Channel float64
	Wider   float64 // by how much that is longer than the one there now
}

// Tier is one channel of a frame.
type Tier struct {
	Row     string    // the first by id of the rows on it
	Top     float64   // level of its top
	Channel float64   // its length
	Tops    []float64 // levels of the tops of the channels of that length: under the service, over it
	Own     bool      // this run lies on it
	hanger  int32
}

// Supports is the table of supports with what is wanted for them.
type Supports struct {
	Hanging  Hanging
	Kind     string
	Hangers  []string // in the order of the run; empty where the rows name none: places only
	Bare     []string // ids of the rows that name none, where others do: their supports have places only
	List     []Support
	Gaps     []Gap   // stretches that want one and can have none, or have none, in the order of the run
	Stuck    []Stuck // those that are set out where none can stand, in the order of the run
	Set      bool    // supports.csv has some elsewhere than this sheet would place them: there they stand
	Frames   []Frame // the frames that the run hangs in, in its order
	Parts    []Count
	Rods     []RodStock
	Channel  float64         // total length of channel, mm
	Channels []float64       // the length of each, in the order of the list
	Bars     CutList         // what channels are cut from
	spacing  float64         // of the length that is being placed
	wide     float64         // how wide its supports are along the run
	lone     [][]support.Bar // what bars the lengths that are too short to have one of their own
}

// Frame is a frame that the run shares with others.
type Frame struct {
	Name string
	Rows []string // of others, by id
	With string   // as in Support
}

// RodStock is what rods of one size are cut from.
type RodStock struct {
	Size string
	CutList
}

// Count is a part and how many.
type Count struct {
	Part string
	N    int
}

// course is a line as far as supports go: lengths between ends, corners and sets.
type course struct {
	p       *void.Project
	run     *Run
	c       *clash.Check
	plan    *support.Plan
	site    *support.Site
	lengths []level
	lifts   map[int32]float64 // by zone of another run of its frames: how much higher it is taken to be than in the tables
}

// level is a length of the line, level or falling evenly.
type level struct {
	from, to float64
	za, zb   float64
}

func (l *level) at(x float64) float64 {
	if l.to-l.from <= void.Hair {
		return l.za
	}
	return l.za + (l.zb-l.za)*(x-l.from)/(l.to-l.from)
}

// SupportRun places supports under a line that is found.
//
//  1. The level lengths of the line between ends, corners and sets are taken one by one: the first support stands
//     no further than First from each end, the others evenly between, no further apart than Spacing.
//  2. What a support may not touch forbids it stations (support.Site.Bars), each rod with room round it. So does a place with nothing
//     above to hang from, or where nothing may be fixed.
//  3. As few supports as will do stand at clear stations (support.Place), each as near to its even place as it may: no two nearer
//     to each other than they are wide. Where there is no clear station within reach, the stretch is told with what bars it.
//  4. Each rod is as long as it takes from what is over that very rod to the channel.
//
// What a support is made of is as in the check (package support), at the levels of this line. So is what it hangs from: where
// the hanger does not say, steel that is over all its rods, else the soffit.
//
// The rods of a frame, outside its widest tier, and its channels, one a tier, are on the sheet of the run whose row is
// the first by id; the other tiers stand as the tables have them. On the sheets of the others the places are those of
// that run as the tables have it.
func SupportRun(p *void.Project, ch *clash.Check, a *Answer, h Hanging) *Supports {
	c := course{p: p, c: ch, run: a.Run, lifts: a.lifts}
	for _, s := range a.Line.Sections {
		at := s.From
		for _, k := range a.Run.Corners {
			if k > at+void.Hair && k < s.To-void.Hair {
				c.lengths = append(c.lengths, level{at, k, s.Level, s.Level})
				at = k
			}
		}
		if s.To > at+void.Hair {
			c.lengths = append(c.lengths, level{at, s.To, s.Level, s.Level})
		}
	}
	return c.supports(h)
}

// SupportFall places supports under a falling run at its highest start; nil where there is none. A length ends at a corner and
// where the fall changes.
func SupportFall(p *void.Project, ch *clash.Check, f *Fall, h Hanging) *Supports {
	if f.Start == nil {
		return nil
	}
	c := course{p: p, c: ch, run: f.Run}
	z := *f.Start
	for k := range f.Run.Pieces {
		pc := &f.Run.Pieces[k]
		down := f.Falls[k] * (pc.To - pc.From)
		on := k > 0 && math.Abs(f.Falls[k]-f.Falls[k-1]) < 1e-9 && !slices.Contains(f.Run.Corners, pc.From)
		if n := len(c.lengths); on {
			c.lengths[n-1].to, c.lengths[n-1].zb = pc.To, z-down
		} else {
			c.lengths = append(c.lengths, level{pc.From, pc.To, z, z - down})
		}
		z -= down
	}
	return c.supports(h)
}

// drawn returns the line of a run as the tables have it, row by row.
func drawn(p *void.Project, ch *clash.Check, r *Run) course {
	c := course{p: p, c: ch, run: r}
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		za := lineNow(r, pc)
		l := level{pc.From, pc.To, za, za - pieceDrop(pc)}
		if n := len(c.lengths); n > 0 && !slices.Contains(r.Corners, pc.From) && math.Abs(c.lengths[n-1].zb-za) < 1 && l.za == l.zb && c.lengths[n-1].za == c.lengths[n-1].zb {
			c.lengths[n-1].to = l.to
			continue
		}
		c.lengths = append(c.lengths, l)
	}
	return c
}

func (c *course) supports(h Hanging) *Supports {
	p, r := c.p, c.run
	z0 := p.Zone(r.Pieces[0].Zone)
	out := &Supports{Kind: p.Character(z0.Char).Kind}
	for k := range r.Pieces {
		z := p.Zone(r.Pieces[k].Zone)
		if z.Hanger >= 0 && !slices.Contains(out.Hangers, p.Hangers[z.Hanger].Name) {
			out.Hangers = append(out.Hangers, p.Hangers[z.Hanger].Name)
		}
		if z.Hanger < 0 {
			out.Bare = append(out.Bare, z.ID)
		}
	}
	if len(out.Hangers) == 0 {
		out.Bare = nil
	}
	asked := h.Spacing
	h = h.filled(out.Kind)
	out.Hanging = h
	c.plan = support.Of(p, support.Options{Spacing: asked, First: h.First, Beside: h.Beside, Clamp: h.Clamp}).Lifted(c.lifts)
	c.site = c.c.SupportSite(c.plan)
	for _, l := range c.shared() {
		// On a frame the closest spacing counts of all that is on it.
		out.spacing = math.Inf(1)
		for pc := range c.within(&l) {
			if v := c.plan.Spacing(pc.Zone); v > 0 {
				out.spacing = math.Min(out.spacing, v)
			}
		}
		if math.IsInf(out.spacing, 1) {
			out.spacing = h.Spacing // places only
		}
		out.Hanging.Spacing = math.Min(out.Hanging.Spacing, out.spacing)
		out.length(c, l)
	}
	slices.SortStableFunc(out.List, func(x, y Support) int {
		if x.At < y.At {
			return -1
		}
		return 1
	})
	out.number()
	out.between(c)
	out.onSets(c)
	out.count(p)
	return out
}

// number numbers the supports in the order of the run; those that are set out keep the number that they have.
func (o *Supports) number() {
	has := map[int]bool{}
	for i := range o.List {
		has[o.List[i].N] = true
	}
	next := 1
	for i := range o.List {
		if o.List[i].N == 0 {
			for has[next] {
				next++
			}
			o.List[i].N = next
			next++
		}
	}
}

// within gives the pieces of the run that lie along a length of it, in order: they may hang differently, and some of them not at all.
func (c *course) within(st *level) iter.Seq[*Piece] {
	return func(yield func(*Piece) bool) {
		for k := range c.run.Pieces {
			if pc := &c.run.Pieces[k]; math.Min(st.to, pc.To)-math.Max(st.from, pc.From) > void.Hair && !yield(pc) {
				return
			}
		}
	}
}

// given returns the supports of a length that somebody has set out, in its order; false where its supports are for this sheet to place.
func (c *course) given(st *level) (list []Support, ok bool) {
	for pc := range c.within(st) {
		ok = ok || c.plan.IsSet(pc.Zone)
	}
	if !ok {
		return nil, false
	}
	for k := range c.run.Pieces {
		pc := &c.run.Pieces[k]
		if pc.To < st.from-void.Hair || pc.From > st.to+void.Hair || !c.plan.IsSet(pc.Zone) {
			continue // where two lengths meet a support may be of the row before
		}
		for _, s := range c.plan.SetOut(pc.Zone) {
			at := pc.From + s.At
			if pc.Reversed {
				at = pc.To - s.At
			}
			if at >= st.from-void.Hair && at <= st.to+void.Hair {
				list = append(list, Support{N: s.N, At: at, Set: true, Made: s.Made, Stage: s.Stage, Note: s.Note})
			}
		}
	}
	slices.SortStableFunc(list, func(a, b Support) int { return cmp.Compare(a.At, b.At) })
	return list, true
}

// asSetOut puts the supports of a length where somebody has set them out. Where that is as they would be placed here, they come out just so.
func (o *Supports) asSetOut(c *course, st level, given []Support) {
	given = slices.DeleteFunc(given, func(x Support) bool { // where two lengths meet it is of the first
		return slices.ContainsFunc(o.List, func(y Support) bool { return y.Set && y.N == x.N && math.Abs(y.At-x.At) <= void.Hair })
	})
	bars := slices.DeleteFunc(o.barred(c, st), func(b support.Bar) bool { return b.What == support.BarredBySupport })
	list, gaps := o.stand(st, bars)
	// Along rows that nobody says how they hang there are places only, and none of them is set out.
	for _, x := range list {
		if !c.plan.IsSet(c.run.PieceAt(x.At).Zone) {
			given = append(given, Support{At: x.At})
		}
	}
	slices.SortStableFunc(given, func(a, b Support) int { return cmp.Compare(a.At, b.At) })
	as := alike(list, given)
	// One that stands where the next length begins is of that, where this one has all its own.
	if n := len(given) - 1; !as && n >= 0 && given[n].At >= st.to-void.Hair && st.to < c.run.Length-void.Hair && alike(list, given[:n]) {
		given, as = given[:n], true
	}
	if !as {
		o.Set = true
		list, gaps = nil, nil
		at, most := st.from, o.Hanging.First
		for k := range given {
			list = append(list, support.Stand{At: given[k].At})
			if given[k].At-at > most+void.Hair {
				gaps = append(gaps, r1.Interval{Lo: at, Hi: given[k].At})
			}
			at, most = given[k].At, o.spacing
		}
		if st.to-at > o.Hanging.First+void.Hair {
			gaps = append(gaps, r1.Interval{Lo: at, Hi: st.to})
		}
	}
	first := len(o.Gaps)
	o.take(c, st, bars, list, gaps, given)
	for k := first; k < len(o.Gaps) && !as; k++ {
		o.Gaps[k].Set, o.Gaps[k].Barred, o.Gaps[k].Channel = true, nil, 0
	}
}

// alike reports whether supports are set out where they would be placed.
func alike(list []support.Stand, given []Support) bool {
	return slices.EqualFunc(list, given, func(x support.Stand, y Support) bool { return math.Abs(x.At-y.At) <= 2*void.Hair })
}

// stuck tells what is in the way of a support that somebody has set out.
func (o *Supports) stuck(c *course, st *level, x *Support) {
	pc := c.run.PieceAt(x.At)
	if !c.plan.Has(pc.Zone) {
		return
	}
	s, ok := c.at(pc, st, x.At, o.made(x))
	if !ok {
		return
	}
	s.Set, s.Made = true, x.Made
	look := support.Looker{Site: c.site}
	why := Stuck{N: x.N, At: x.At}
	for _, m := range look.At(int32(pc.Zone), s) {
		why.Barred = append(why.Barred, look.Barring(int32(pc.Zone), &m))
	}
	if len(why.Barred) > 0 {
		why.Barred = support.Together(nil, why.Barred)
		o.Stuck = append(o.Stuck, why)
	}
}

// made says what a support is made of: as it is set out, else as is asked for all.
func (o *Supports) made(x *Support) support.Made {
	m := x.Made
	if m.From == "" {
		m.From = o.Hanging.From.hanger()
	}
	return m
}

// onSets tells of supports that are set out where the line has a set.
func (o *Supports) onSets(c *course) {
	for k := range c.run.Pieces {
		pc := &c.run.Pieces[k]
		if !c.plan.IsSet(pc.Zone) {
			continue
		}
		for _, s := range c.plan.SetOut(pc.Zone) {
			at := pc.From + s.At
			if pc.Reversed {
				at = pc.To - s.At
			}
			if !slices.ContainsFunc(o.List, func(x Support) bool { return x.Set && x.N == s.N && math.Abs(x.At-at) <= 2*void.Hair }) {
				o.Stuck = append(o.Stuck, Stuck{N: s.N, At: at, OnSet: true})
			}
		}
	}
	slices.SortStableFunc(o.Stuck, func(a, b Stuck) int { return cmp.Compare(a.At, b.At) })
}

// between tells what is left too long without a support where one length of the line meets the next, and at the ends of the run:
// a length may be too short to have one of its own. Every other gap is told already.
func (o *Supports) between(c *course) {
	slices.SortFunc(o.Gaps, func(a, b Gap) int { return cmp.Compare(a.From, b.From) })
	if len(o.lone) == 0 {
		return
	}
	told := func(from, to float64) bool {
		return slices.ContainsFunc(o.Gaps, func(g Gap) bool { return g.From < to-void.Hair && g.To > from+void.Hair })
	}
	was, most := 0.0, o.Hanging.First
	for i := 0; i <= len(o.List); i++ {
		at, next, ours := c.run.Length, o.Hanging.First, true
		if i < len(o.List) {
			at, next, ours = o.List[i].At, o.List[i].spacing, o.List[i].With == ""
		}
		reach := math.Max(most, next)
		if i == 0 || i == len(o.List) {
			reach = o.Hanging.First
		}
		if ours && (at-was > reach+void.Hair || len(o.List) == 0) && !told(was, at) {
			g := Gap{From: was, To: at, Most: reach}
			for _, l := range o.lone {
				g.Barred = support.Together(g.Barred, support.Barrings(l, was, at))
			}
			o.Gaps = append(o.Gaps, g)
		}
		was, most = at, next
	}
	slices.SortFunc(o.Gaps, func(a, b Gap) int { return cmp.Compare(a.From, b.From) })
}

// shared cuts the lengths where a row that shares a frame with the run begins or ends: there the rods may change hands; and where the run itself
// comes to a frame or leaves one.
func (c *course) shared() []level {
	var out []level
	for _, l := range c.lengths {
		cuts := []float64{l.from, l.to}
		for k := range c.run.Pieces {
			pc := &c.run.Pieces[k]
			if k > 0 && (c.plan.Frame(pc.Zone) == nil) != (c.plan.Frame(c.run.Pieces[k-1].Zone) == nil) && pc.From > l.from+joint && pc.From < l.to-joint {
				cuts = append(cuts, pc.From)
			}
			for _, j := range c.plan.Frame(pc.Zone) {
				if c.own(int(j)) {
					continue
				}
				for _, e := range c.p.Zone(int(j)).Bare().PlanEnds() {
					x := pc.From + e.Sub(pc.At(pc.From)).Dot(pc.dir())
					if x >= pc.From && x <= pc.To && x > l.from+joint && x < l.to-joint {
						cuts = append(cuts, x)
					}
				}
			}
		}
		slices.Sort(cuts)
		for k := 1; k < len(cuts); k++ {
			if cuts[k]-cuts[k-1] > void.Hair {
				out = append(out, level{cuts[k-1], cuts[k], l.at(cuts[k-1]), l.at(cuts[k])})
			}
		}
	}
	return out
}

// length places the supports of one length of the line.
func (o *Supports) length(c *course, st level) {
	if o.frame(c, st) {
		return
	}
	o.wide = c.wide(&st, support.Made{From: o.Hanging.From.hanger()})
	if given, is := c.given(&st); is {
		o.asSetOut(c, st, given)
		return
	}
	bars := o.barred(c, st)
	list, gaps := o.stand(st, bars)
	o.take(c, st, bars, list, gaps, nil)
}

// take takes in the supports of a length, with what is left too long without one; given, where it is not nil, has what somebody says of each.
func (o *Supports) take(c *course, st level, bars []support.Bar, list []support.Stand, gaps []r1.Interval, given []Support) {
	if len(list) == 0 && st.to-st.from <= 2*o.Hanging.First {
		o.lone = append(o.lone, bars) // too short to want one of its own: whether its neighbours are near enough is asked in the end
		return
	}
	for _, g := range gaps {
		gap := Gap{From: g.Lo, To: g.Hi, Most: o.spacing}
		if g.Lo == st.from || g.Hi == st.to {
			gap.Most = o.Hanging.First
		}
		gap.Barred = support.Barrings(bars, g.Lo, g.Hi)
		o.Gaps = append(o.Gaps, gap)
	}
	if len(gaps) > 0 {
		o.widen(c, st, len(o.Gaps)-len(gaps))
	}
	for k, x := range list {
		s := Support{At: x.At, Moved: x.Moved}
		if given != nil {
			s = given[k]
			s.Moved = x.Moved
		}
		o.fill(c, &st, &s)
		if s.Set {
			o.stuck(c, &st, &s)
		}
		o.List = append(o.List, s)
	}
}

// stand places supports on a length of the line of which some is barred.
func (o *Supports) stand(st level, bars []support.Bar) ([]support.Stand, []r1.Interval) {
	from := st.from
	if n := len(o.List); n > 0 && o.List[n-1].At <= st.from {
		from = math.Max(from, o.List[n-1].At+o.wide) // no nearer to the last than they are wide
	}
	return support.Place(st.from, st.to, support.Clear(from, st.to, bars), support.Apart{First: o.Hanging.First, Most: o.spacing, Between: math.Min(o.wide, o.spacing)})
}

// widen finds the least longer channel with which the whole length can be supported, for its gaps from the first on.
func (o *Supports) widen(c *course, st level, first int) {
	as := support.Made{From: o.Hanging.From.hanger()}
	long := func(c *course, g *Gap) float64 { // 0 where it has no channel on two rods
		s, ok := c.at(c.run.PieceAt((g.From+g.To)/2), &st, (g.From+g.To)/2, as)
		if !ok || s.Rods != 2 {
			return 0
		}
		return s.Levels()[0].Long[1] - s.Levels()[0].Long[0]
	}
	if !slices.ContainsFunc(o.Gaps[first:], func(g Gap) bool {
		return long(c, &g) > 0 && slices.ContainsFunc(g.Barred, func(b support.Barring) bool { return b.Part == string(support.Rod) })
	}) {
		return
	}
	d := *c
	for _, d.plan = range c.plan.Wider() {
		d.site = c.site.Of(d.plan)
		if _, gaps := o.stand(st, o.barred(&d, st)); len(gaps) > 0 {
			continue
		}
		for k := range o.Gaps[first:] {
			if g := &o.Gaps[first+k]; long(c, g) > 0 {
				g.Channel, g.Wider = math.Ceil(long(&d, g)-1e-9), long(&d, g)-long(c, g)
			}
		}
		return
	}
}

// wide returns how wide the widest supports of a length are along the run.
func (c *course) wide(st *level, m support.Made) float64 {
	wide := 1.0 // places only: they are not one
	for pc := range c.within(st) {
		s, ok := c.at(pc, st, (math.Max(st.from, pc.From)+math.Min(st.to, pc.To))/2, m)
		if !ok {
			continue
		}
		d := pc.dir()
		wide = math.Max(wide, s.Rod)
		for _, part := range s.Bodies(nil) {
			wide = math.Max(wide, part.Body.Reach(r3.Vector{X: d.X, Y: d.Y}).Length())
		}
	}
	return wide
}

// frame places the supports of a length that hangs on rods which are on another run's sheet: where they stand. It reports
// false where the rods, or some of them, are on this one.
func (o *Supports) frame(c *course, st level) bool {
	p := c.p
	pc := c.run.PieceAt((st.from + st.to) / 2)
	rows := c.plan.Frame(pc.Zone)
	if len(rows) == 0 {
		return false
	}
	name, _ := p.Zone(pc.Zone).Frame()
	f := Frame{Name: name}
	for _, j := range rows {
		e := p.Zone(int(j)).Bare().PlanEnds()
		a, b := e[0].Sub(pc.At(pc.From)).Dot(pc.dir()), e[1].Sub(pc.At(pc.From)).Dot(pc.dir())
		mid := (st.from+st.to)/2 - pc.From
		if !c.own(int(j)) && math.Min(a, b) <= mid && mid <= math.Max(a, b) {
			f.Rows = append(f.Rows, p.Zone(int(j)).ID)
		}
	}
	if len(f.Rows) == 0 {
		return false
	}
	s, ok := c.at(pc, &st, (st.from+st.to)/2, support.Made{From: o.Hanging.From.hanger()})
	if ok && !c.own(int(s.Zone)) {
		f.With = c.nameOf(int(s.Zone))
	}
	if !slices.ContainsFunc(o.Frames, func(x Frame) bool { return x.Name == f.Name && x.With == f.With }) {
		o.Frames = append(o.Frames, f)
	}
	if f.With == "" {
		return false
	}
	runs, err := Assemble(p, f.With, c.run.Face)
	if err != nil {
		return false
	}
	for k := range runs {
		other := drawn(p, c.c, &runs[k])
		other.raise(c, &st)
		for _, x := range other.supports(o.Hanging).List {
			if x.Frame == "" {
				continue
			}
			at := pc.From + x.Where.Sub(pc.At(pc.From)).Dot(pc.dir())
			if at < st.from-void.Hair || at > st.to+void.Hair {
				continue
			}
			mine := Support{At: at, With: f.With}
			o.fill(c, &st, &mine)
			o.List = append(o.List, mine)
		}
	}
	return true
}

// raise puts the line of a course where another run of its frame takes it to be, and that run where its own line lies.
func (c *course) raise(by *course, st *level) {
	if len(by.lifts) == 0 {
		return
	}
	up := by.lifts[int32(c.run.Pieces[0].Zone)]
	for k := range c.lengths {
		c.lengths[k].za, c.lengths[k].zb = c.lengths[k].za+up, c.lengths[k].zb+up
	}
	c.lifts = maps.Clone(by.lifts)
	for k := range by.run.Pieces {
		pc := &by.run.Pieces[k]
		c.lifts[int32(pc.Zone)] = st.at((st.from+st.to)/2) - lineNow(by.run, pc)
	}
}

// own reports whether a zone is of the run.
func (c *course) own(j int) bool {
	z := c.p.Zone(j)
	return slices.ContainsFunc(c.run.Pieces, func(x Piece) bool { return x.Zone == j }) || z.Run() != "" && strings.EqualFold(z.Run(), c.run.Name)
}

// nameOf returns the run of a zone, or its id.
func (c *course) nameOf(j int) string {
	if z := c.p.Zone(j); z.Run() == "" {
		return z.ID
	}
	return c.p.Zone(j).Run()
}

// at returns the support of a piece at a station, with the line where it lies there; false where nothing says what it is.
func (c *course) at(pc *Piece, st *level, x float64, m support.Made) (support.Support, bool) {
	along := x - pc.From
	if pc.Reversed {
		along = pc.To - x
	}
	return c.plan.Along(pc.Zone, along, c.up(pc, st, x), m)
}

// up returns how much higher than in the tables the line of a piece is at a station.
func (c *course) up(pc *Piece, l *level, x float64) float64 {
	return l.at(x) - lineNow(c.run, pc) + pieceDrop(pc)*(x-pc.From)/(pc.To-pc.From)
}

// barred returns the stations of a length of the line where a support may not stand, ascending.
func (o *Supports) barred(c *course, l level) []support.Bar {
	var out []support.Bar
	for k := range c.run.Pieces {
		pc := &c.run.Pieces[k]
		from, to := math.Max(l.from, pc.From), math.Min(l.to, pc.To)
		if to-from <= void.Hair {
			continue
		}
		st := support.Stretch{
			Row: pc.Zone, From: from - pc.From, To: to - pc.From, Up: [2]float64{c.up(pc, &l, from), c.up(pc, &l, to)},
			Made: support.Made{From: o.Hanging.From.hanger()}, Room: o.Hanging.Clear,
		}
		if pc.Reversed {
			st.From, st.To, st.Up[0], st.Up[1] = pc.To-to, pc.To-from, st.Up[1], st.Up[0]
		}
		bars, _ := c.site.Bars(st, nil)
		for _, b := range bars {
			if pc.Reversed {
				b.Lo, b.Hi = pc.To-b.Hi, pc.To-b.Lo
			} else {
				b.Lo, b.Hi = pc.From+b.Lo, pc.From+b.Hi
			}
			out = append(out, b)
		}
	}
	slices.SortStableFunc(out, func(a, b support.Bar) int { return cmp.Compare(a.Lo, b.Lo) })
	return out
}

// fill works out the levels and lengths of one support.
func (o *Supports) fill(c *course, st *level, x *Support) {
	p := c.p
	pc := c.run.PieceAt(x.At)
	if x.At < st.from+void.Hair { // at a joint: the piece that the length goes on in
		for k := range c.run.Pieces {
			if q := &c.run.Pieces[k]; q.From <= x.At+void.Hair && x.At < q.To-void.Hair {
				pc = q
			}
		}
	}
	x.Where, x.Line, x.zone, x.spacing = pc.At(x.At), st.at(x.At), pc.Zone, o.spacing
	if p.Zone(pc.Zone).Stage() == void.Fixed {
		x.Stage = void.Fixed // so it is drilled
	}
	x.hanger = p.Zone(pc.Zone).Hanger
	x.Top = p.Zone(pc.Zone).Around(c.run.levelled(pc.Bare, x.Line)).Height().Lo
	if h := p.Zone(pc.Zone).Hanger; h >= 0 {
		x.Hanger = p.Hangers[h].Name
		if p.Hangers[h].From == "wall" {
			x.Of = "wall"
		}
	}
	s, ok := c.at(pc, st, x.At, o.made(x))
	if !ok {
		return
	}
	if s.Hanger >= 0 {
		x.hanger = s.Hanger
		x.Hanger = p.Hangers[s.Hanger].Name
	}
	if of := c.plan.HeldBy(&s); of != "" {
		x.Of = of
	}
	frame := c.plan.Frame(pc.Zone)
	if frame != nil {
		x.Frame, _ = p.Zone(pc.Zone).Frame()
	}
	for _, t := range s.Levels() {
		k := int(t.Zone)
		h := p.Zone(k).Hanger
		if h < 0 || x.Made.Hanger > 0 {
			h = s.Hanger
		}
		tier := Tier{Row: p.Zone(k).ID, Top: t.Under, hanger: h, Own: frame == nil || math.Abs(t.Under-x.Top) <= tierStep}
		if h >= 0 {
			tier.Tops = support.ChannelTops(&p.Hangers[h], &t)
		}
		if len(tier.Tops) > 0 {
			tier.Channel, tier.Top = t.ChannelLength(), tier.Tops[0]
		}
		if tier.Own {
			x.Channel, x.Channels, x.Top = tier.Channel, len(tier.Tops), tier.Top
		}
		x.Tiers = append(x.Tiers, tier)
	}
	if frame == nil {
		x.Tiers = nil
	}
	x.Rods = s.Rods
	if s.Rods == 0 || !s.Held {
		return
	}
	x.Size, x.From, x.Trim = s.Size(x.Hanger), s.Highest, support.Trimmed(x.Hanger)
	x.Each = c.plan.CutRods(&s, x.Hanger, support.Cutting{Screw: o.Hanging.Screw, Adjust: o.Hanging.Adjust, Longest: slices.Max(o.Hanging.Stock)})
	for _, r := range x.Each {
		x.Rod, x.Cut = math.Max(x.Rod, r.Length), math.Max(x.Cut, r.Cut)
	}
}

// tierStep is by how much services on one channel may differ in level, mm.
const tierStep = 10.0

// count counts the parts: those of each hanger, what locks a channel from above, and what the rods hang from; and cuts the rods
// from stock. What is on another run's sheet counts nothing.
func (o *Supports) count(p *void.Project) {
	add := func(part string) {
		for i := range o.Parts {
			if o.Parts[i].Part == part {
				o.Parts[i].N++
				return
			}
		}
		o.Parts = append(o.Parts, Count{part, 1})
	}
	cuts := map[string][]float64{}
	var sizes []string
	for _, s := range o.List {
		if s.With != "" || s.Hanger == "" {
			continue
		}
		tiers := s.Tiers
		if tiers == nil {
			tiers = []Tier{{Channel: s.Channel, Tops: make([]float64, s.Channels), hanger: s.hanger}}
		}
		for _, t := range tiers {
			for range t.Tops {
				o.Channel += t.Channel
				o.Channels = append(o.Channels, t.Channel)
			}
			if t.hanger < 0 {
				continue
			}
			for _, part := range support.Parts(&p.Hangers[t.hanger], s.Rods, s.Size, len(t.Tops)) {
				add(part)
			}
		}
		for k := range s.Rods {
			steel := k < len(s.Each) && s.Each[k].Steel || o.Hanging.From.onSteel(p, s.hanger)
			add(support.FixedBy(s.Size, steel))
			if s.Size == support.Wire || k >= len(s.Each) {
				continue
			}
			if cuts[s.Size] == nil {
				sizes = append(sizes, s.Size)
			}
			cuts[s.Size] = append(cuts[s.Size], s.Each[k].Pieces...)
			for range len(s.Each[k].Pieces) - 1 {
				add("coupler " + s.Size)
			}
		}
		if s.Rods == 0 {
			add(s.Hanger)
		}
		if s.Rods == 1 && s.Size != support.Wire {
			add("clip or strap, as the service")
		}
	}
	if len(o.Channels) > 0 {
		o.Bars = CutStock(o.Channels, o.Hanging.Bars, o.Hanging.Kerf)
	}
	for _, m := range sizes {
		o.Rods = append(o.Rods, RodStock{m, CutStock(cuts[m], o.Hanging.Stock, o.Hanging.Kerf)})
	}
}

// Fits reports whether parts fit into the inside of a channel: width and height of the inside, and of what goes in. What
// does not fit is told.
func Fits(inside r2.Point, plate float64, heights ...float64) (room float64, why string) {
	return catalogue.Fits(inside.X, inside.Y, plate, heights...)
}
