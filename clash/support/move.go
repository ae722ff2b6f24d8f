package support

import (
	"math"
	"slices"

	"voidline/void"
	"voidline/void/body"
)

// Move returns how far support s of the row must move along its length to be clear of everything, and whether it may.
func (w *Looker) Move(i, s int32) Shift {
	if !w.shifts[s].known {
		w.shifts[s] = w.findMove(i, &w.List[s], w.Bodies(s))
		w.shifts[s].known = true
	}
	return w.shifts[s]
}

// crowdedMost is how many things may be near a support on its way to its neighbours; where there are more, it is told that no place was
// looked for.
const crowdedMost = 128

// Bounds returns how much is looked at before an answer says that no more was.
func Bounds() []void.Bound {
	return []void.Bound{
		{
			Name: "things near a support, on its way to its neighbours", Most: crowdedMost,
			Why:    "where more are within 3 m along a run nobody moves a rod, the run moves; the finding says that there are too many",
			Source: "measured: 600 trays that cross in one point take 7 s of processor time with the bound, 13 s without, and that grows faster than the square of their number",
		},
	}
}

// findMove finds the nearest clear station for a support between its neighbours, in whole millimetres from where it stands, as a fitter
// sets it; where none is no further than the spacing lets it go, the nearest before and after that, for two in its place.
//
// What it rests against where it stands, by no more than the touch tolerance, it may rest against as far elsewhere.
func (w *Looker) findMove(i int32, s *Support, parts []Part) Shift {
	lo, hi := s.Prev-s.Station, s.Next-s.Station
	if hi-lo < 1 {
		return Shift{}
	}
	if s.Fixed {
		return Shift{Fixed: true}
	}
	bars, ok := w.barsRound(i, s)
	if !ok {
		return Shift{Crowded: true}
	}
	rests := w.restsOn(parts, bars)
	bars = slices.DeleteFunc(bars, func(b Bar) bool { return b.What <= BarredByRoom && slices.Contains(rests, b.thing) })
	clear := Clear(math.Ceil(lo-void.Hair), math.Floor(hi+void.Hair), bars)
	from, until := s.Low-s.Station-void.Hair, s.High-s.Station+void.Hair
	nearest := func(lo, hi float64) (t float64, ok bool) {
		t = math.Inf(1)
		for _, v := range clear {
			a, b := math.Ceil(math.Max(v.Lo, lo)-rounding), math.Floor(math.Min(v.Hi, hi)+rounding)
			for _, x := range [2]float64{math.Max(a, math.Min(b, 0)), math.Min(b, math.Max(a, 0))} {
				if x != 0 && a <= x && x <= b && math.Abs(x) < math.Abs(t) && w.restsAt(i, s, s.Station+x, rests) {
					t = x
				}
			}
		}
		return t, !math.IsInf(t, 0)
	}
	if t, ok := nearest(from, until); ok {
		return Shift{May: true, By: t}
	}
	two := Shift{}
	var before, after bool
	two.Before, before = nearest(lo-void.Hair, from)
	two.After, after = nearest(until, hi+void.Hair)
	two.Two = before && after && two.After-two.Before <= w.Plan.Spacing(int(i))+void.Hair
	return two
}

// Wider returns the least longer channel with which support s of the row is clear of everything where it stands: how much longer it is
// in all, and how long then, mm, the longest of a frame's. false where none is, and where it has not two rods.
func (w *Looker) Wider(i, s int32) (by, channel float64, ok bool) {
	sup := &w.List[s]
	if sup.Rods != 2 || !sup.Held {
		return 0, 0, false
	}
	for more, plan := range w.Plan.Wider() {
		wide, is := plan.At(int(i), sup.Station, sup.Made)
		if !is {
			return 0, 0, false
		}
		wide.Prev, wide.Next = sup.Prev, sup.Next
		look := Looker{Site: w.Site.Of(plan)}
		bars, few := look.barsRound(i, &wide)
		if !few {
			return 0, 0, false
		}
		rests := look.restsOn(wide.Bodies(nil), bars)
		if !slices.ContainsFunc(bars, func(b Bar) bool {
			return b.Lo < 0 && b.Hi > 0 && (b.What > BarredByRoom || !slices.Contains(rests, b.thing))
		}) {
			for k := range wide.Levels() {
				channel = math.Max(channel, wide.Levels()[k].ChannelLength())
			}
			return 2 * more, channel, true
		}
	}
	return 0, 0, false
}

// barsRound returns what bars the stations between a support's neighbours, as shifts from where it stands; false where too much is near.
func (w *Looker) barsRound(i int32, s *Support) ([]Bar, bool) {
	var one [1]int32
	at, l := w.Plan.where(i, one[:])
	rows := l.zones
	if l.frame {
		rows = []int32{i}
	}
	near := map[int32]bool{}
	few := func(o int32) bool {
		near[o] = true
		return len(near) <= crowdedMost
	}
	var out []Bar
	for _, k := range rows {
		if k != i {
			at = w.Plan.places[w.Plan.placeOf[k]]
		} else {
			at, _ = w.Plan.where(i, one[:])
		}
		from, to := s.Prev, s.Next
		if !l.frame {
			from, to = math.Max(from, at.from), math.Min(to, at.to)
		}
		st := Stretch{Row: int(k), From: from - at.from, To: to - at.from, Made: s.Made}
		if at.back {
			st.From, st.To = at.to-to, at.to-from
		}
		if st.To-st.From <= void.Hair {
			continue
		}
		bars, ok := w.Bars(st, few)
		if !ok {
			return nil, false
		}
		for _, b := range bars {
			if at.back {
				b.Lo, b.Hi = at.to-b.Hi, at.to-b.Lo
			} else {
				b.Lo, b.Hi = at.from+b.Lo, at.from+b.Hi
			}
			b.Lo, b.Hi = b.Lo-s.Station, b.Hi-s.Station
			out = append(out, b)
		}
	}
	return out, true
}

// restsOn returns the things that a support is in where it stands, by no more than the touch tolerance.
func (w *Looker) restsOn(parts []Part, bars []Bar) (things []int32) {
	for _, b := range bars {
		if b.What > BarredByRoom || b.Lo >= 0 || b.Hi <= 0 || slices.Contains(things, b.thing) {
			continue
		}
		if o := w.bodyOf(b.thing); !slices.ContainsFunc(parts, func(p Part) bool {
			_, in := inEachOther(p.Body, o, w.touch)
			return in
		}) {
			things = append(things, b.thing)
		}
	}
	return things
}

// restsAt reports whether a support, at another station of the row's length, is no deeper than the touch tolerance in any of some things.
func (w *Looker) restsAt(i int32, as *Support, station float64, things []int32) bool {
	if len(things) == 0 {
		return true
	}
	s, ok := w.Plan.At(int(i), station, as.Made)
	if !ok {
		return false
	}
	for _, part := range s.Bodies(nil) {
		for _, t := range things {
			if _, in := inEachOther(part.Body, w.bodyOf(t), w.touch); in {
				return false
			}
		}
	}
	return true
}

// bodyOf returns the body of what a bar is of: a zone, or below 0 an access space.
func (h *Site) bodyOf(thing int32) body.Body {
	if thing < 0 {
		return h.tape.Project.Spaces[-1-thing].Body
	}
	return h.tape.Full(thing)
}
