package void

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"

	"github.com/golang/geo/r3"

	"voidline/void/body"
)

// Rows of one frame share its rods only where they run alongside each other: straight on within some degrees, and no further
// aside than this; common practice, no source.
const (
	tierAside = 1000.0 // mm between the two
	tierAlong = 0.99   // cosine of the angle between them
)

// tierOf returns the frame of a zone and the number of its tier, counted from the lowest; ok is false for a row without
// either, for one whose tier is a word and for what is no length.
func (p *Project) tierOf(z *Zone) (frame string, tier int, ok bool) {
	name, text := z.Frame()
	if name == "" || text == "" || z.Gone || z.Item || z.Upright || z.ByHeight {
		return "", 0, false
	}
	tier, err := strconv.Atoi(text)
	return fold(name), tier, err == nil
}

// outOfOrder reports whether two rows of one frame contradict the numbers of their tiers: where they run alongside each other
// the lower number is not the lower one.
func (p *Project) outOfOrder(a, b *Zone) bool {
	fa, ta, okA := p.tierOf(a)
	fb, tb, okB := p.tierOf(b)
	if !okA || !okB || fa != fb || ta == tb || a.Storey != b.Storey {
		return false
	}
	if ta > tb {
		a, b = b, a
	}
	A, B := a.Full(), b.Full()
	n := math.Hypot(A.Along.X, A.Along.Y)
	dir, aside := r3.Vector{X: A.Along.X / n, Y: A.Along.Y / n}, r3.Vector{X: -A.Along.Y / n, Y: A.Along.X / n}
	if d := math.Hypot(B.Along.X, B.Along.Y); math.Abs(B.Along.Dot(dir)) < tierAlong*d {
		return false
	}
	ra, rb := A.Reach(aside), B.Reach(aside)
	if max(ra.Lo-rb.Hi, rb.Lo-ra.Hi) > tierAside {
		return false
	}
	both := A.Reach(dir).Intersection(B.Reach(dir))
	if both.Length() <= Hair {
		return false
	}
	return undersideAt(&A, dir, both.Center()) >= undersideAt(&B, dir, both.Center())-Hair
}

// undersideAt returns the level of a length's underside at a station along a direction of the plan.
func undersideAt(b *body.Body, dir r3.Vector, at float64) float64 {
	along := b.Along.X*dir.X + b.Along.Y*dir.Y
	slope := b.Along.Z / along
	half := b.H
	if b.Round {
		half = b.W * math.Hypot(1, slope)
	}
	return b.Centre.Z + slope*(at-b.Centre.Dot(r3.Vector{X: dir.X, Y: dir.Y})) - half
}

// tellTier says that a row contradicts the tier of another.
func (r *resolving) tellTier(z, o *Zone) {
	_, tier, _ := r.p.tierOf(z)
	_, other, _ := r.p.tierOf(o)
	frame, _ := z.Frame()
	where := "below"
	if tier > other {
		where = "above"
	}
	r.bad("tier", fmt.Sprintf("tier %d of frame %q is not %s tier %d (%s, %s)", tier, frame, where, other, o.ID, r.p.FileLine(o.At())),
		"tiers numbered from the lowest", "")
}

// tiers finds rows of frames, given by index, whose levels contradict their tiers: of two the later row is told and dropped.
// dropped are those that are missing already.
func (r *resolving) tiers(framed, dropped []int32) {
	type row struct {
		i int32
		z *Zone
		x [2]float64 // from and to in plan
	}
	frames := map[string][]row{}
	var names []string
	missing := map[int32]bool{}
	for _, i := range dropped {
		missing[i] = true
	}
	for _, i := range framed {
		z := r.p.Zone(int(i))
		frame, _, ok := r.p.tierOf(z)
		if !ok || missing[i] {
			continue
		}
		if frames[frame] == nil {
			names = append(names, frame)
		}
		plan := z.Bare().Plan().ExpandedByMargin(tierAside)
		frames[frame] = append(frames[frame], row{i, z, [2]float64{plan.X.Lo, plan.X.Hi}})
	}
	for _, name := range names {
		rows := frames[name]
		slices.SortFunc(rows, func(a, b row) int { return cmp.Or(cmp.Compare(a.x[0], b.x[0]), cmp.Compare(a.i, b.i)) })
		told := map[int32]*Zone{}
		for k := range rows {
			for _, o := range rows[k+1:] {
				if o.x[0] > rows[k].x[1] {
					break
				}
				a, b := rows[k], o
				if !r.p.outOfOrder(a.z, b.z) {
					continue
				}
				if a.i > b.i {
					a, b = b, a
				}
				if first := told[b.i]; first == nil || Natural(a.z.ID, first.ID) < 0 {
					told[b.i] = a.z
				}
			}
		}
		for _, x := range rows {
			if o := told[x.i]; o != nil {
				r.zone, r.at = x.i, x.z.At()
				r.tellTier(x.z, o)
				r.dropped = append(r.dropped, x.i)
			}
		}
	}
}

// framed returns the rows that hang on the frame of a zone, those that do no longer maybe with them.
func (p *Project) framed(z *Zone) []int32 {
	if p.framedRows == nil {
		p.framedRows = map[string][]int32{}
		for k := range p.zones.n {
			p.frame(int32(k), p.Zone(k))
		}
	}
	name, _ := z.Frame()
	return slices.Sorted(slices.Values(p.framedRows[fold(name)]))
}

// frame notes that row i, which is or will be z, hangs on its frame.
func (p *Project) frame(i int32, z *Zone) {
	if name, _ := z.Frame(); name != "" && p.framedRows != nil {
		name = fold(name)
		p.framedRows[name] = append(p.framedRows[name], i)
	}
}

// tiersHold reports whether the rows that an edit touches go with the tiers of the others; else it says why not.
func (e *edit) tiersHold() bool {
	p := e.p
	for _, i := range slices.Sorted(maps.Keys(e.was)) {
		z := p.Zone(int(i))
		if _, _, ok := p.tierOf(z); !ok {
			continue
		}
		for _, k := range p.framed(z) {
			if o := p.Zone(int(k)); p.outOfOrder(z, o) {
				e.zone, e.at = i, z.At()
				e.tellTier(z, o)
				return false
			}
		}
	}
	return true
}
