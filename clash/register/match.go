package register

import (
	"cmp"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/finding"
)

// How far apart two findings may be, mm, to be taken for one although an id changed.
//
// A finding's place is the middle of the stretch that is too close, so it jumps when a row is cut in two: by
// up to half its length. Where runs have names, run against run in one bay is what people call one
// problem, and any distance in the bay will do.
const (
	nearPlan   = 1000 // where neither id is the same
	nearHeight = 500
	cutPlan    = 3000 // where one id is the same and the other row has no run
)

// end is one of the two zones of a finding, as far as the register knows it.
type end struct{ id, trade, run, kind string }

// mark is what a finding is known by when its id is not: two ends and a place.
type mark struct {
	id       string
	access   bool
	storey   string
	bay      string
	ends     [2]end // the second empty where there is no second zone
	x, y, z  float64
	position bool // x, y, z are known
}

func markOf(f *finding.Finding) mark {
	m := mark{
		id: f.ID, access: f.Kind == finding.Access, storey: Clean(f.Storey), x: f.At.X, y: f.At.Y, z: f.At.Z, position: true,
		ends: [2]end{{Clean(f.A), Clean(f.ATrade), Clean(f.ARun), Clean(f.AKind)}},
	}
	if f.Bay != nil {
		m.bay = Clean(*f.Bay)
	}
	if f.B != nil {
		m.ends[1] = end{Clean(*f.B), Clean(f.BTrade), Clean(f.BRun), Clean(f.BKind)}
	}
	return m
}

func (r *Row) mark() mark {
	c := &r.Cells
	m := mark{
		id: c[ColFinding], access: strings.TrimSpace(c[ColKind]) == string(finding.Access), storey: c[ColStorey], bay: c[ColBay],
		ends: [2]end{
			{c[ColA], c[ColATrade], c[ColARun], c[ColAKind]},
			{c[ColB], c[ColBTrade], c[ColBRun], c[ColBKind]},
		},
	}
	x, okX := number(c[ColX])
	y, okY := number(c[ColY])
	z, okZ := number(c[ColZ])
	m.x, m.y, m.z, m.position = x, y, z, okX && okY && okZ
	return m
}

// number reads a number as spreadsheets leave it: with a point or a comma, perhaps with mm behind it.
func number(text string) (float64, bool) {
	text = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(text), "mm"))
	if strings.Count(text, ",") == 1 && !strings.Contains(text, ".") {
		text = strings.Replace(text, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil || math.IsNaN(v) || math.Abs(v) > 1e9 {
		return 0, false
	}
	return v, true
}

func sameID(a, b string) bool { return strings.EqualFold(strings.TrimSpace(a), strings.TrimSpace(b)) }

// likeness says how two ends are alike.
type likeness int

const (
	unlike   likeness = iota
	sameKind          // of one trade and kind, no run in either
	sameRun           // of one trade, kind and named run
	sameZone
)

func (a end) like(b end) likeness {
	switch {
	case a.id == "" && b.id == "":
		return sameZone // no second zone in either
	case a.id == "" || b.id == "":
		return unlike
	case sameID(a.id, b.id):
		return sameZone
	case a.trade == "" || a.trade != b.trade || a.kind != b.kind || !strings.EqualFold(a.run, b.run):
		return unlike
	case a.run != "":
		return sameRun
	}
	return sameKind
}

// pairing is how well an old mark fits a new one; fit counts ends that are one zone.
type pairing struct {
	old, new int
	fit      int
	apart    float64
}

// fits says whether a mark that is gone may be another that is new, and how well. gone reports whether a zone
// is no more in the project; nil: not known, so taken for gone.
//
//  1. One kind of trouble: access never matches an overlap or a tight gap.
//  2. The ends, in either order: each is the same zone, or of the same trade, kind and run.
//  3. The place: one storey; near, or for named runs in one bay. Where a zone still exists, its row was cut and
//     the finding went with the other part: then the place is where it was, and the run must have a name.
func (m mark) fits(n mark, gone func(id string) bool) (pairing, bool) {
	if m.access != n.access || m.storey != n.storey || !m.position {
		return pairing{}, false
	}
	p := pairing{apart: math.Hypot(m.x-n.x, m.y-n.y)}
	best := false
	for _, turned := range []bool{false, true} {
		a, b := n.ends[0], n.ends[1]
		if turned {
			a, b = b, a
		}
		la, lb := m.ends[0].like(a), m.ends[1].like(b)
		if la == unlike || lb == unlike || la == sameZone && lb == sameZone {
			continue
		}
		// A zone that is still there may have lost a part to a new row, and the finding with it.
		still := func(l likeness, e end) bool { return l != sameZone && gone != nil && !gone(e.id) }
		cut := still(la, m.ends[0]) || still(lb, m.ends[1])
		fit := 0
		for _, l := range []likeness{la, lb} {
			if l == sameZone {
				fit++
			}
		}
		named := la >= sameRun && lb >= sameRun
		near := p.apart <= nearPlan && math.Abs(m.z-n.z) <= nearHeight
		inBay := m.bay == n.bay && m.bay != ""
		if cut && (!near || !named) {
			continue
		}
		if !near && !(inBay && (named || fit > 0 && p.apart <= cutPlan && math.Abs(m.z-n.z) <= nearHeight)) {
			continue
		}
		if !best || fit > p.fit {
			p.fit, best = fit, true
		}
	}
	return p, best
}

// pair matches marks that are gone with marks that are new, each at most once: those that share a zone first,
// then the nearest; of equals the first. may keeps pairs apart that must not be matched.
func pair(old, new []mark, gone func(id string) bool, may func(old, new int) bool) []pairing {
	var all []pairing
	// What fits is in the same bay, or near: bays and tiles keep it from comparing all with all.
	type bay struct{ storey, bay string }
	type tile struct {
		storey string
		x, y   int
	}
	tileOf := func(m *mark) tile {
		return tile{m.storey, int(math.Floor(m.x / nearPlan)), int(math.Floor(m.y / nearPlan))}
	}
	inBay, inTile := map[bay][]int{}, map[tile][]int{}
	for j := range new {
		m := &new[j]
		if m.bay != "" {
			inBay[bay{m.storey, m.bay}] = append(inBay[bay{m.storey, m.bay}], j)
		}
		inTile[tileOf(m)] = append(inTile[tileOf(m)], j)
	}
	met := make([]int, len(new)) // 1 + the last old that was compared with it
	for i := range old {
		m := &old[i]
		among := slices.Clone(inBay[bay{m.storey, m.bay}])
		for dx := -1; dx <= 1; dx++ {
			for dy := -1; dy <= 1; dy++ {
				t := tileOf(m)
				t.x, t.y = t.x+dx, t.y+dy
				among = append(among, inTile[t]...)
			}
		}
		for _, j := range among {
			if met[j] == i+1 || !may(i, j) {
				continue
			}
			met[j] = i + 1
			if p, ok := m.fits(new[j], gone); ok {
				p.old, p.new = i, j
				all = append(all, p)
			}
		}
	}
	slices.SortFunc(all, func(a, b pairing) int {
		return cmp.Or(cmp.Compare(b.fit, a.fit), cmp.Compare(a.apart, b.apart), cmp.Compare(a.old, b.old), cmp.Compare(a.new, b.new))
	})
	tookOld, tookNew := map[int]bool{}, map[int]bool{}
	out := all[:0]
	for _, p := range all {
		if !tookOld[p.old] && !tookNew[p.new] {
			tookOld[p.old], tookNew[p.new] = true, true
			out = append(out, p)
		}
	}
	return out
}

// names says the two zones of a mark.
func (m mark) names() string {
	if m.ends[1].id == "" {
		return m.ends[0].id
	}
	return m.ends[0].id + " / " + m.ends[1].id
}
