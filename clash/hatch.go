package clash

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash/book"
	"voidline/clash/figure"
	"voidline/clash/finding"
	"voidline/clash/scene"
	"voidline/void"
	"voidline/void/body"
)

// Where a hatch would do: for what is not reached, and for a hatch with something in its shaft, the nearest place from which the item is
// reached and that is clear.
//
//  1. Places are a hatchStep apart, the nearest first: to where the hatch is now, or to the item where it has none of its own.
//  2. Clear is a shaft with nothing in it, no support either, under one bay's ceiling, and beside every other hatch. Whether the item is
//     reached from there, and what stands in the shaft, is asked as the check asks it.
//  3. A hatch is moved only where everything that is reached now still is; else another is proposed for what is not reached.

const (
	hatchStep  = 50.0 // mm
	struck     = 5.0  // mm: what is struck on site is in whole
	hatchTries = 200  // clear places from which it is asked whether the item is reached
)

// hatchBound is how much is tried for a hatch.
func hatchBound() void.Bound {
	return void.Bound{
		Name: "clear places tried for a hatch", Most: hatchTries, Why: fmt.Sprintf("they are %.0f apart, the nearest first; what is not reached from so many is boxed in", hatchStep), Source: void.NoSource,
	}
}

// hatchPlace returns the nearest place for a hatch that a finding wants, nil where there is none, and for a finding that wants none.
func (v *prover) hatchPlace(x *book.Placed) *finding.HatchPlace {
	arm := v.armReach()
	if x == nil || arm == 0 {
		return nil
	}
	item, at := x.A, int32(-1)
	switch s := v.Project.Spaces; {
	case x.Of == book.OfReach:
		at = int32(slices.IndexFunc(s, func(s void.Space) bool { return s.Kind == void.Hatch && s.For == item }))
	case x.Of == book.OfSpace && s[x.A].Kind == void.Hatch:
		item, at = s[x.A].For, x.A
	default:
		return nil
	}
	if at >= 0 {
		if h := v.nearestPlace(item, at, arm); h != nil || x.Of == book.OfSpace {
			return h // what stands in its shaft stands there whatever other hatch there is
		}
	}
	return v.nearestPlace(item, -1, arm)
}

// nearestPlace is the nearest place to which hatch at may be moved, or of one more for the item where at is negative.
func (v *prover) nearestPlace(item, at int32, arm float64) *finding.HatchPlace {
	p, z, full := v.Project, v.Zone(item), v.Full(item)
	from, size := r2.Point{X: math.Round(full.Centre.X/struck) * struck, Y: math.Round(full.Centre.Y/struck) * struck}, r2.Point{X: void.HatchSize, Y: void.HatchSize}
	if at >= 0 {
		plan := p.Spaces[at].Body.Plan()
		from, size = plan.Center(), plan.Size()
	}
	r := &run{Check: v.Check, kept: &book.Book{}}
	limit := HatchReach(math.Min(size.X, size.Y), arm, v.opt.ReachIn)
	ways := r.hatches(arm)
	tries := 0
	for _, mid := range placesRound(from, full.Plan().ExpandedByMargin(limit+hatchStep)) {
		c := r3.Vector{X: mid.X, Y: mid.Y, Z: full.Centre.Z}
		if at >= 0 && mid == from || planGap(body.Cylinder(c, c, 0), full) > limit {
			continue
		}
		shaft, why := p.Shaft(z, mid, size)
		if why != "" || !v.clearShaft(shaft, item, at, ways) {
			continue
		}
		if tries++; tries > hatchTries {
			return nil
		}
		h := hatch{at, mid, shaft.Plan(), shaft.Height().Lo, limit}
		if !r.reachingOf(item, &h, ways.sides[item]).reached() || at >= 0 && r.losesBy(&h, item, arm, ways) {
			continue
		}
		out := &finding.HatchPlace{For: z.ID, X: mid.X, Y: mid.Y, Where: p.PlaceText(mid), Size: fmt.Sprintf("%gx%g", figure.Tenth(size.X), figure.Tenth(size.Y))}
		if at >= 0 {
			by := mid.Sub(from)
			out.Row, out.By, out.Towards = p.FileLine(p.Spaces[at].Row), figure.Tenth(by.Norm()), p.Towards(from, by)
		}
		return out
	}
	return nil
}

// placesRound returns the places within a plan that are whole steps from one, the nearest to it first; of those as near the most southern and western.
func placesRound(from r2.Point, plan r2.Rect) []r2.Point {
	var out []r2.Point
	first := func(lo, at float64) float64 { return at + math.Ceil((lo-at)/hatchStep)*hatchStep }
	for y := first(plan.Y.Lo, from.Y); y <= plan.Y.Hi; y += hatchStep {
		for x := first(plan.X.Lo, from.X); x <= plan.X.Hi; x += hatchStep {
			out = append(out, r2.Point{X: x, Y: y})
		}
	}
	slices.SortStableFunc(out, func(a, b r2.Point) int {
		return cmp.Compare(math.Round(a.Sub(from).Norm()), math.Round(b.Sub(from).Norm()))
	})
	return out
}

// clearShaft reports whether a shaft of a hatch for an item is clear: hatch at is not in the way, for it is moved.
func (v *prover) clearShaft(shaft body.Body, item, at int32, ways *hatchways) bool {
	plan := shaft.Plan()
	bay, ok := v.Project.BayAt(int(v.Zone(item).Storey), plan.Center())
	if !ok || !v.Project.Bays[bay].Plan.Contains(plan) {
		return false
	}
	for k := range ways.byStorey[v.Zone(item).Storey] {
		if h := &ways.byStorey[v.Zone(item).Storey][k]; h.space != at && h.plan.Intersects(plan) {
			return false
		}
	}
	s := void.Space{For: item, Kind: void.Hatch, Body: shaft, Open: true}
	if v.Some(scene.BoxOf(shaft), 0, func(i int32) bool {
		if i == item {
			return false
		}
		stands, _, _ := v.standsIn(&s, i)
		return stands.Overlap
	}) {
		return false
	}
	return !v.supported() || !v.holders.site.In(shaft, item)
}

// losesBy reports whether something else that is reached now would not be, or would be further off than it is, were hatch h where it is now
// said to be.
func (r *run) losesBy(h *hatch, item int32, arm float64, ways *hatchways) bool {
	storey := r.Zone(item).Storey
	moved := slices.Clone(ways.byStorey[storey])
	for k := range moved {
		if moved[k].space == h.space {
			moved[k] = *h
		}
	}
	lacks := func(i int32, hatches []hatch) (short float64) {
		out := &book.Book{}
		if r.reachOf(out, i, arm, hatches, ways.sides[i]); len(out.Findings) == 0 {
			return -1
		}
		return out.Findings[0].Finding.Short
	}
	was := scene.BoxOf(r.Project.Spaces[h.space].Body)
	for _, i := range r.mustReachNear([]scene.Box{was}, hatchFar) {
		if i != item && r.Zone(i).Storey == storey && lacks(i, moved) > lacks(i, ways.byStorey[storey])+figure.Slack {
			return true
		}
	}
	return false
}

// longer returns the least longer channel with which the support that a finding is about is clear, nil where it can move, or none is.
func (v *prover) longer(f *finding.Finding) *finding.Longer {
	if f.Support == nil || f.Support.Clears() || f.Support.Fixed || f.SupportNo == nil {
		return nil
	}
	row, ok := v.Project.ZoneByID(f.GivesWay)
	if !ok || void.SupportsID(f.GivesWay) != f.A {
		if row, ok = v.Project.ZoneByID(f.SupportNo.Row); !ok {
			return nil
		}
	}
	w := v.holding()
	w.look.Again(int32(row))
	for s := range w.look.List {
		if no := w.numbered(&w.look.List[s]); *no == *f.SupportNo {
			if by, channel, ok := w.look.Wider(int32(row), int32(s)); ok {
				return &finding.Longer{By: figure.Tenth(by), Channel: figure.Tenth(channel)}
			}
		}
	}
	return nil
}
