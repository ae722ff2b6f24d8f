package setout

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"

	"voidline/void"
)

// Since is what of a sheet that was issued is no longer so.
type Since struct {
	Starts   []StartSince   `json:"starts"`
	Levels   []LevelSince   `json:"levels"`
	Sets     []SetSince     `json:"sets"`
	Supports []SupportSince `json:"supports"`
	Parts    []CountSince   `json:"parts"`
	Notes    []NoteSince    `json:"notes"`
}

// StartSince is a start from which stations are counted and that is elsewhere now.
type StartSince struct {
	Length string  `json:"length,omitempty"`
	Along  float64 `json:"along"`  // mm along the run, above zero towards its end
	Across float64 `json:"across"` // mm square to it
	Turned bool    `json:"turned,omitempty"`
}

// LevelSince is a stretch of the run where the line was struck at another level. Then or Now is nil where there was none, or is none.
type LevelSince struct {
	Length  string  `json:"length,omitempty"`
	From    float64 `json:"from"` // stations as they are now
	To      float64 `json:"to"`
	Then    *Struck `json:"then,omitempty"`
	Now     *Struck `json:"now,omitempty"`
	Drilled bool    `json:"drilled"` // the row there is fixed
}

// SetSince is a set that is another. Then is nil where it is new, Now where it is gone.
type SetSince struct {
	Length  string     `json:"length,omitempty"`
	No      int        `json:"no"` // on the sheet that was issued; of a new one on the sheet of now
	Then    *IssuedSet `json:"then,omitempty"`
	Now     *IssuedSet `json:"now,omitempty"`
	Drilled bool       `json:"drilled"`
}

// SupportSince is a support that is not as it was issued.
type SupportSince struct {
	Length      string            `json:"length,omitempty"`
	No          int               `json:"no"`            // on the sheet that was issued; of a new one on the sheet of now
	Now         int               `json:"now,omitempty"` // on the sheet of now; 0 where it is gone
	Is          SupportBecame     `json:"is"`
	Along       float64           `json:"along,omitempty"`  // by how much it moves, mm along the run, above zero towards its end
	Across      float64           `json:"across,omitempty"` // and square to it
	Rods        []float64         `json:"rods,omitempty"`   // by how much each rod is longer, mm as cut; nil where none is
	RodCount    *Changed[int]     `json:"rod_count,omitempty"`
	HangsFrom   *Changed[string]  `json:"hangs_from,omitempty"`
	Channel     *Changed[float64] `json:"channel,omitempty"`      // its length
	OtherLength string            `json:"other_length,omitempty"` // on the sheet of which length it is now, where that is another
	Drilled     bool              `json:"drilled"`
}

// SupportBecame says what became of a support.
type SupportBecame string

// What became of a support: it moves, it is gone or new, or it stays where it is and something else about it is other.
const (
	SupportMoves SupportBecame = "moves"
	SupportGone  SupportBecame = "gone"
	SupportNew   SupportBecame = "new"
	SupportStays SupportBecame = "stays"
)

// Changed is a value then and now.
type Changed[T any] struct {
	Then T `json:"then"`
	Now  T `json:"now"`
}

// CountSince is a part, or a cut of stock, of which the sheet counts another number now.
type CountSince struct {
	Length string `json:"length,omitempty"`
	Part   string `json:"part"`
	Cut    bool   `json:"cut,omitempty"` // of the cutting list
	Then   int    `json:"then"`
	Now    int    `json:"now"`
}

// NoteSince is what the sheet holds only with, or what it lacks, that was not said then, or is not now.
type NoteSince struct {
	Length string `json:"length,omitempty"`
	Text   string `json:"text"`
	Now    bool   `json:"now"` // it is said now; else it was said then
}

// Holds reports whether the sheet still says what is so.
func (s *Since) Holds() bool {
	return len(s.Starts)+len(s.Levels)+len(s.Sets)+len(s.Supports)+len(s.Parts)+len(s.Notes) == 0
}

const (
	// toldSince is by how much something must differ to be told, mm: sheets are in whole mm (common practice, no source).
	toldSince = 0.5
	// mostMove is how far a support moves at the most and is still the same one, mm: half of a usual spacing of 3 m. One that is
	// further off is gone, and another is new (common practice, no source).
	mostMove = 1500.0
)

// since compares two sheets of a run.
type since struct {
	Since
	p    *void.Project
	runs []*Run
}

// SinceIssued says what of a sheet is no longer so: then is what was issued, now what the sheet would be now, whose lengths are those of runs, in order.
func SinceIssued(p *void.Project, runs []*Run, then, now *Issued) *Since {
	s := &since{p: p, runs: runs}
	s.Since = Since{[]StartSince{}, []LevelSince{}, []SetSince{}, []SupportSince{}, []CountSince{}, []NoteSince{}}
	old := make([]IssuedLength, len(now.Lengths)) // what was issued, by length of now and in its stations
	var was, is []standing
	for i := range then.Lengths {
		l := &then.Lengths[i]
		on := s.onto(i, l)
		s.start(l, on)
		o := &old[on.length]
		for _, x := range l.Lines {
			rises := x.Rise
			if x.From, x.To = on.station(x.From), on.station(x.To); on.turned {
				x.From, x.To = x.To, x.From
				x.FFL, x.Datum, x.Project, x.Rise = x.FFL+rises, x.Datum+rises, x.Project+rises, -rises
			}
			o.Lines = append(o.Lines, x)
		}
		for _, x := range l.Sets {
			if x.From, x.To = on.station(x.From), on.station(x.To); on.turned {
				x.From, x.To, x.Rise = x.To, x.From, -x.Rise
			}
			o.Sets = append(o.Sets, x)
		}
		for k := range l.Supports {
			was = append(was, standing{&l.Supports[k], on.length, l.Part, on.station(l.Supports[k].From)})
		}
		o.Parts, o.Cuts, o.Holds = added(o.Parts, l.Parts), added(o.Cuts, l.Cuts), append(o.Holds, l.Holds...)
	}
	for j := range now.Lengths {
		l := &now.Lengths[j]
		byStation := func(a, b IssuedLine) int { return cmp.Compare(a.From, b.From) }
		slices.SortStableFunc(old[j].Lines, byStation)
		slices.SortStableFunc(old[j].Sets, func(a, b IssuedSet) int { return cmp.Compare(a.From, b.From) })
		s.levels(j, &old[j], l)
		s.sets(j, &old[j], l)
		for k := range l.Supports {
			is = append(is, standing{&l.Supports[k], j, l.Part, l.Supports[k].From})
		}
		s.counts(l.Part, false, old[j].Parts, l.Parts)
		s.counts(l.Part, true, old[j].Cuts, added(nil, l.Cuts))
		s.notes(l.Part, old[j].Holds, l.Holds)
	}
	s.supports(was, is)
	return &s.Since
}

// onto says where the stations of a length that was issued are now.
type onto struct {
	length int // index of the length of now
	shift  float64
	turned bool // stations count from the other end
	across float64
}

func (o *onto) station(x float64) float64 {
	if o.turned {
		x = -x
	}
	return x + o.shift
}

// onto finds the length of now on which one that was issued lies, by the plan points of its sheet: the nearest; of two as near that of the
// same place in the list.
func (s *since) onto(i int, l *IssuedLength) onto {
	type mark struct {
		at    float64
		where r2.Point
	}
	var marks []mark
	for _, x := range l.Lines {
		marks = append(marks, mark{x.From, x.Where})
	}
	for _, x := range l.Supports {
		marks = append(marks, mark{x.From, x.Where})
	}
	o := onto{length: min(i, len(s.runs)-1)}
	if len(marks) == 0 {
		return o
	}
	slices.SortStableFunc(marks, func(a, b mark) int { return cmp.Compare(a.at, b.at) })
	first, last := marks[0], marks[len(marks)-1]
	far := math.Inf(1)
	for _, j := range append([]int{o.length}, others(len(s.runs), o.length)...) {
		at, off, away := s.runs[j].nearest(first.where)
		end, _, awayEnd := s.runs[j].nearest(last.where)
		if away+awayEnd < far-void.Hair {
			far = away + awayEnd
			o = onto{length: j, turned: end < at-void.Hair, across: off}
			if o.shift = at - first.at; o.turned {
				o.shift = at + first.at
			} else if math.Abs(o.shift) < 1 { // plan points are in whole mm
				o.shift = 0
			}
		}
	}
	return o
}

// others returns the numbers under n but for one.
func others(n, but int) []int {
	var out []int
	for j := range n {
		if j != but {
			out = append(out, j)
		}
	}
	return out
}

// start tells a start that is elsewhere.
func (s *since) start(l *IssuedLength, o onto) {
	x := StartSince{Length: l.Part, Along: 0 - o.shift, Turned: o.turned} // no -0
	if o.turned {
		x.Along = 0
	}
	if o.across >= 1 { // plan points are in whole mm
		x.Across = o.across
	}
	if x.Turned || math.Abs(x.Along) > toldSince || x.Across > 0 {
		s.Starts = append(s.Starts, x)
	}
}

// drilled reports whether the row that a stretch of a run lies on is fixed.
func (s *since) drilled(length int, from, to float64) bool {
	r := s.runs[length]
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		if s.p.Zone(pc.Zone).Stage() == void.Fixed && (from < pc.To-void.Hair && to > pc.From+void.Hair || from == to && pc == r.PieceAt(from)) {
			return true
		}
	}
	return false
}

// isDrilled reports whether a support that was issued is drilled: by its own stage, where supports.csv has it, by its number or where it stands, and says more
// than drawn; else by that of its row.
func (s *since) isDrilled(a *standing) bool {
	r := s.runs[a.length]
	var own *void.SetSupport
	for k := range s.p.Supports {
		x := &s.p.Supports[k]
		for _, at := range r.stationsOf(s.p, x) {
			if int(x.Number) == a.No && r.has(int(x.Zone)) || own == nil && math.Abs(at-a.at) <= toldSince {
				own = x
			}
		}
	}
	if own != nil && own.Stage != void.Drawn {
		return own.Stage == void.Fixed
	}
	return s.drilled(a.length, a.at, a.at)
}

// levels tells where the line is at another level, or where there was none, or is none.
func (s *since) levels(j int, then, now *IssuedLength) {
	var cuts []float64
	for _, l := range [][]IssuedLine{then.Lines, now.Lines} {
		for _, x := range l {
			cuts = append(cuts, x.From, x.To)
		}
	}
	for _, l := range [][]IssuedSet{then.Sets, now.Sets} {
		for _, x := range l {
			cuts = append(cuts, x.From, x.To)
		}
	}
	for k := range s.runs[j].Pieces {
		if pc := &s.runs[j].Pieces[k]; s.p.Zone(pc.Zone).Stage() == void.Fixed {
			cuts = append(cuts, pc.From, pc.To)
		}
	}
	slices.Sort(cuts)
	for i := 1; i < len(cuts); i++ {
		from, to := cuts[i-1], cuts[i]
		if to-from <= toldSince {
			continue
		}
		a, b := over(then.Lines, from, to), over(now.Lines, from, to)
		if a == nil && b == nil || a == nil && inSet(then.Sets, from, to) || b == nil && inSet(now.Sets, from, to) {
			continue // a set is told by itself
		}
		if a != nil && b != nil && !a.differs(b) {
			continue
		}
		x := LevelSince{now.Part, from, to, a, b, s.drilled(j, from, to)}
		if n := len(s.Levels); n > 0 && s.Levels[n-1].goesOn(&x) {
			s.Levels[n-1].To = to
			continue
		}
		s.Levels = append(s.Levels, x)
	}
}

// over returns what is struck over a stretch, nil where nothing is.
func over(lines []IssuedLine, from, to float64) *Struck {
	for _, l := range lines {
		if l.From <= from+toldSince && l.To >= to-toldSince {
			per := l.Rise / max(l.To-l.From, 1)
			up := per * (from - l.From)
			return &Struck{l.FFL + up, l.Datum + up, l.Project + up, per * (to - from)}
		}
	}
	return nil
}

func inSet(sets []IssuedSet, from, to float64) bool {
	return slices.ContainsFunc(sets, func(x IssuedSet) bool { return x.From <= from+toldSince && x.To >= to-toldSince })
}

func (a *Struck) differs(b *Struck) bool {
	far := func(x, y float64) bool { return math.Abs(x-y) > toldSince }
	return far(a.FFL, b.FFL) || far(a.Datum, b.Datum) || far(a.Project, b.Project) || far(a.FFL+a.Rise, b.FFL+b.Rise)
}

// goesOn reports whether b tells the same of the stretch behind.
func (a *LevelSince) goesOn(b *LevelSince) bool {
	same := func(x, y *Struck) bool { return (x == nil) == (y == nil) && (x == nil || *x == *y && x.Rise == 0) }
	return a.Length == b.Length && a.Drilled == b.Drilled && b.From-a.To <= toldSince && same(a.Then, b.Then) && same(a.Now, b.Now)
}

// sets tells sets that are others: those that are not as they were are taken in the order of the run.
func (s *since) sets(j int, then, now *IssuedLength) {
	type numbered struct {
		no int
		*IssuedSet
	}
	left := func(list, not []IssuedSet) []numbered {
		var out []numbered
		for k := range list {
			x := &list[k]
			if !slices.ContainsFunc(not, func(y IssuedSet) bool {
				return math.Abs(x.From-y.From) <= toldSince && math.Abs(x.To-y.To) <= toldSince && math.Abs(x.Rise-y.Rise) <= toldSince
			}) {
				out = append(out, numbered{k + 1, x})
			}
		}
		return out
	}
	was, is := left(then.Sets, now.Sets), left(now.Sets, then.Sets)
	for k := range max(len(was), len(is)) {
		x := SetSince{Length: now.Part}
		if k < len(is) {
			x.No, x.Now = is[k].no, is[k].IssuedSet
			x.Drilled = s.drilled(j, x.Now.From, x.Now.To)
		}
		if k < len(was) {
			x.No, x.Then = was[k].no, was[k].IssuedSet
			x.Drilled = s.drilled(j, x.Then.From, x.Then.To)
		}
		s.Sets = append(s.Sets, x)
	}
}

// standing is a support with the length of now on which it is, and its station there.
type standing struct {
	*IssuedSupport
	length int
	part   string // of its own sheet
	at     float64
}

// supports tells supports that move, are gone or new, or are hung otherwise. Which is which goes in the order of the run, so that all together
// move the least; one that would move further than mostMove is another.
func (s *since) supports(was, is []standing) {
	byPlace := func(a, b standing) int { return cmp.Or(cmp.Compare(a.length, b.length), cmp.Compare(a.at, b.at)) }
	slices.SortStableFunc(was, byPlace)
	slices.SortStableFunc(is, byPlace)
	off := func(a, b *standing) float64 {
		if a.length != b.length {
			return math.Inf(1)
		}
		if d := math.Abs(b.at - a.at); d > mostMove {
			return math.Inf(1)
		} else {
			return d
		}
	}
	// least[i][k]: what is moved at the least of the first i and k, one without another counting half of mostMove.
	least := make([][]float64, len(was)+1)
	for i := range least {
		least[i] = make([]float64, len(is)+1)
		for k := range least[i] {
			switch {
			case i == 0 || k == 0:
				least[i][k] = float64(i+k) * mostMove / 2
			default:
				least[i][k] = min(least[i-1][k-1]+off(&was[i-1], &is[k-1]), least[i-1][k]+mostMove/2, least[i][k-1]+mostMove/2)
			}
		}
	}
	i, k := len(was), len(is)
	for i > 0 || k > 0 {
		switch {
		case i > 0 && k > 0 && least[i][k] == least[i-1][k-1]+off(&was[i-1], &is[k-1]):
			i, k = i-1, k-1
			s.became(&was[i], &is[k])
		case i > 0 && least[i][k] == least[i-1][k]+mostMove/2:
			i--
			s.Supports = append(s.Supports, SupportSince{Length: was[i].part, No: was[i].No, Is: SupportGone, Drilled: s.isDrilled(&was[i])})
		default:
			k--
			s.Supports = append(s.Supports, SupportSince{Length: is[k].part, No: is[k].No, Now: is[k].No, Is: SupportNew})
		}
	}
	slices.Reverse(s.Supports)
}

// became tells what a support is now, where that is not what it was.
func (s *since) became(a, b *standing) {
	x := SupportSince{Length: a.part, No: a.No, Now: b.No, Is: SupportStays, Drilled: s.isDrilled(a)}
	if d := b.at - a.at; math.Abs(d) > toldSince {
		x.Is, x.Along = SupportMoves, d
	}
	r := s.runs[b.length]
	if d := r.Point(a.at).Sub(a.Where).Norm(); d >= 1.5 { // both are in whole mm
		x.Is, x.Across = SupportMoves, d
	}
	if len(a.Cuts) == len(b.Cuts) {
		rods, longer := make([]float64, len(a.Cuts)), false
		for k := range rods {
			if d := b.Cuts[k] - a.Cuts[k]; math.Abs(d) > toldSince {
				rods[k], longer = d, true
			}
		}
		if longer {
			x.Rods = rods
		}
	}
	if a.Rods != b.Rods {
		x.RodCount = &Changed[int]{a.Rods, b.Rods}
	}
	if a.Of != b.Of {
		x.HangsFrom = &Changed[string]{a.Of, b.Of}
	}
	if math.Abs(a.Channel-b.Channel) > toldSince {
		x.Channel = &Changed[float64]{a.Channel, b.Channel}
	}
	if a.part != b.part {
		x.OtherLength = b.part
	}
	if x.Is == SupportMoves || x.Rods != nil || x.RodCount != nil || x.HangsFrom != nil || x.Channel != nil || a.No != b.No || a.part != b.part {
		s.Supports = append(s.Supports, x)
	}
}

// added adds up counts of the same part.
func added(to, more []Count) []Count {
	for _, c := range more {
		if k := slices.IndexFunc(to, func(o Count) bool { return o.Part == c.Part }); k >= 0 {
			to[k].N += c.N
		} else {
			to = append(to, c)
		}
	}
	return to
}

// counts tells what is counted otherwise.
func (s *since) counts(part string, cut bool, then, now []Count) {
	tell := func(c Count, was, is int) {
		if was != is {
			s.Parts = append(s.Parts, CountSince{part, c.Part, cut, was, is})
		}
	}
	in := func(list []Count, c Count) int {
		if k := slices.IndexFunc(list, func(o Count) bool { return o.Part == c.Part }); k >= 0 {
			return list[k].N
		}
		return 0
	}
	for _, c := range then {
		tell(c, c.N, in(now, c))
	}
	for _, c := range now {
		if in(then, c) == 0 {
			tell(c, 0, c.N)
		}
	}
}

// notes tells what the sheet says now that it did not say, and the other way about.
func (s *since) notes(part string, then, now []string) {
	for _, n := range now {
		if !slices.Contains(then, n) {
			s.Notes = append(s.Notes, NoteSince{part, n, true})
		}
	}
	for _, n := range then {
		if !slices.Contains(now, n) {
			s.Notes = append(s.Notes, NoteSince{part, n, false})
		}
	}
}

// nearest returns the station nearest to a plan point, on the run or before its start or past its end, how far the point is to the side there,
// and how far it is away from the run itself.
func (r *Run) nearest(q r2.Point) (station, side, away float64) {
	away = math.Inf(1)
	for i := range r.Pieces {
		c := &r.Pieces[i]
		along := q.Sub(c.At(c.From)).Dot(c.dir())
		on := math.Max(0, math.Min(c.To-c.From, along))
		d := c.At(c.From + on).Sub(q).Norm()
		if d >= away-void.Hair {
			continue
		}
		if i == 0 && along < on || i == len(r.Pieces)-1 && along > on {
			on = along
		}
		station, side, away = c.From+on, c.At(c.From+on).Sub(q).Norm(), d
	}
	return station, side, away
}
