package support

import (
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/clash/measure"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// Site is where supports stand among everything else: a plan over a scene, and what may bar a support that is no zone with a body.
// Many may look at it at once, each by a Looker of its own, as long as nothing changes.
type Site struct {
	Plan   *Plan
	tape   *measure.Tape
	touch  float64       // mm up to which things may rest on each other
	marks  scene.Scatter // rows that say that nothing may be fixed there, as high as the building
	spaces scene.Scatter // access spaces
	was    []void.Space
	bays   []r2.Rect     // where each bay lies, as it was when supports were last looked at
	floors []r1.Interval // by storey: the levels between which its supports stand, mm
}

// On returns the site of a plan.
func On(t *measure.Tape, plan *Plan, touch float64) *Site {
	h := &Site{Plan: plan, tape: t, touch: touch}
	h.gatherSpaces()
	h.gatherMarks()
	h.gatherBays()
	h.gatherFloors()
	return h
}

// Of returns the site with another plan of its project.
func (h *Site) Of(plan *Plan) *Site {
	o := *h
	o.Plan = plan
	return &o
}

// PlanOnly returns the site with what it takes to look at one row's supports by themselves.
func (h *Site) PlanOnly() *Site { return &Site{Plan: h.Plan, tape: h.tape, touch: h.touch} }

func (h *Site) gatherSpaces() {
	h.spaces, h.was = scene.Scatter{}, slices.Clone(h.tape.Project.Spaces)
	for k := range h.tape.Project.Spaces {
		if s := &h.tape.Project.Spaces[k]; s.Open {
			h.spaces.Add(int32(k), s.Body, scene.BoxOf(s.Body))
		}
	}
	h.spaces.Lay(h.tape.Workers)
}

func (h *Site) gatherBays() {
	h.bays = h.bays[:0]
	for j := range h.tape.Project.Bays {
		h.bays = append(h.bays, h.tape.Project.Bays[j].Plan)
	}
}

// gatherFloors finds between which levels the supports of each storey stand.
func (h *Site) gatherFloors() {
	p := h.tape.Project
	h.floors = make([]r1.Interval, len(p.Storeys))
	for s := range h.floors {
		h.floors[s] = r1.EmptyInterval()
	}
	for j := range p.Bays {
		b := &p.Bays[j]
		h.floors[b.Storey] = h.floors[b.Storey].AddPoint(b.Soffit)
	}
	for i := range int32(p.Zones()) {
		h.stands(i)
	}
}

// stands takes in between which levels what carries a row stands, or what hangs from a beam: from under the row up to the soffits and the
// steel of its storey.
func (h *Site) stands(i int32) {
	z, b := h.tape.Zone(i), &h.tape.Boxes[i]
	if b.Gone() || !h.Plan.Has(int(i)) && !h.tape.Char(i).Entry.Beam {
		return
	}
	h.floors[z.Storey] = h.floors[z.Storey].Union(r1.Interval{Lo: b.Lo[2] - h.Plan.depth(), Hi: b.Hi[2]})
}

// inTheWay returns a box with the levels of all supports that it may be in the way of. Supports that somebody has set out may be at any level.
func (h *Site) inTheWay(b scene.Box) scene.Box {
	if len(h.Plan.set) > 0 {
		return scene.Column(b)
	}
	own := r1.Interval{Lo: b.Lo[2], Hi: b.Hi[2]}
	levels := own
	for _, f := range h.floors {
		if f.Expanded(void.Hair).Intersects(own) {
			levels = levels.Union(f)
		}
	}
	b.Lo[2], b.Hi[2] = levels.Lo, levels.Hi
	return b
}

func (h *Site) gatherMarks() {
	h.marks = scene.Scatter{}
	some := false // a mark may be alike to every rule to what is none
	for k := range int32(h.tape.Project.Characters()) {
		some = some || h.tape.Project.Character(k).Entry.Mark
	}
	if some {
		for i := range int32(h.tape.Project.Zones()) {
			if h.tape.IsMark(i) {
				b := measure.Tall(h.tape.Zone(i).Full())
				h.marks.Add(i, b, scene.BoxOf(b))
			}
		}
	}
	h.marks.Lay(h.tape.Workers)
}

// Changed takes note of a change and returns the rows whose supports it may touch: those that changed and those of their runs
// and frames, and rows near what changed, before or now. dirty are the zones that are measured anew, was their boxes before.
func (h *Site) Changed(ch *void.Change, dirty []int32, was []scene.Box) map[int32]bool {
	again := map[int32]bool{}
	for _, i := range h.Plan.Changed(ch.Zones, ch.Supports) {
		again[i] = true
	}
	by := h.Plan.reach()
	beside := func(b scene.Box) {
		if b.Gone() {
			return
		}
		h.tape.Near(h.inTheWay(b), by, func(i int32) {
			for _, k := range h.Plan.near(int(i)) {
				again[k] = true
			}
		})
	}
	// The rows of a run are looked round together: round what is of many of them there is less than round each.
	round := func(b scene.Box) float64 { return (b.Hi[0] - b.Lo[0] + 2*by) * (b.Hi[1] - b.Lo[1] + 2*by) }
	all := scene.Nowhere
	add := func(b scene.Box) {
		if b.Gone() {
			return
		}
		if both := scene.Union(all, b); all.Gone() || round(both) <= round(all)+round(b) {
			all = both
			return
		}
		beside(all)
		all = b
	}
	for _, i := range dirty {
		h.stands(i)
	}
	for k, i := range dirty {
		again[i] = true
		add(was[k])
		add(h.tape.Boxes[i])
	}
	beside(all)
	// What a rod hangs from is over the rod: it may be a bay that its row is not in.
	if len(ch.Bays) > 0 {
		over := func(plan r2.Rect) { beside(scene.BoxOf(measure.Tall(body.Upright(plan, r1.Interval{})))) }
		for _, j := range ch.Bays {
			over(h.bays[j])
			over(h.tape.Project.Bays[j].Plan)
		}
		h.gatherBays()
		h.gatherFloors()
	}
	// Spaces and marks that came, went or are others.
	if ch.Spaces {
		was := h.was
		h.gatherSpaces()
		for _, list := range [2][2][]void.Space{{was, h.was}, {h.was, was}} {
			for k := range list[0] {
				if k >= len(list[1]) || list[0][k] != list[1][k] {
					beside(scene.BoxOf(list[0][k].Body))
				}
			}
		}
	}
	marked := func(i int) bool { return h.tape.IsMark(int32(i)) || slices.Contains(h.marks.Of, int32(i)) }
	if slices.ContainsFunc(ch.Zones, marked) {
		for k, i := range h.marks.Of {
			if slices.Contains(ch.Zones, int(i)) {
				beside(h.marks.Box[k])
			}
		}
		h.gatherMarks()
		for k, i := range h.marks.Of {
			if slices.Contains(ch.Zones, int(i)) {
				beside(h.marks.Box[k])
			}
		}
	}
	// Supports that are set out are measured against each other.
	if len(h.Plan.set) > 0 {
		var meet []scene.Box
		for i := range again {
			meet = append(meet, h.tape.Boxes[i])
		}
		meet = append(meet, was...)
		for _, b := range meet {
			if !b.Gone() {
				h.tape.Near(scene.Column(b), 2*by, func(i int32) {
					if h.Plan.IsSet(int(i)) {
						again[i] = true
					}
				})
			}
		}
	}
	return again
}

// Back takes note of a change that takes back the one that Changed was asked about last: it touches the same rows.
func (h *Site) Back(ch *void.Change) {
	h.Plan.Changed(ch.Zones, ch.Supports)
	if len(ch.Bays) > 0 {
		h.gatherBays()
		h.gatherFloors()
	}
	if ch.Spaces {
		h.gatherSpaces()
	}
	if slices.ContainsFunc(ch.Zones, func(i int) bool { return h.tape.IsMark(int32(i)) || slices.Contains(h.marks.Of, int32(i)) }) {
		h.gatherMarks()
	}
}
