package model

import (
	"cmp"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/vocabulary"
)

// runEnds is how far apart ends of one run may be where no ports join them, mm.
const runEnds = 2.0

// straightRow returns the row of an element that is one straight length and may be part of a run, nil where it is none.
func (t *thing) straightRow() *Row {
	if len(t.rows) != 1 || !strings.HasSuffix(t.el.Kind(), "SEGMENT") || t.rows[0].form.Straight == nil {
		return nil
	}
	return t.rows[0]
}

// makeRuns puts together what a fitter calls one run: straight lengths of one system and size that are connected, by ports or by
// ends that meet, through what has two ends; broken at branches. What ports join is written in joins.
func (b *building) makeRuns() {
	of := map[*thing]*thing{}
	root := func(t *thing) *thing {
		for of[t] != nil {
			t = of[t]
		}
		return t
	}
	system := func(t *thing) string {
		if len(t.systems) > 0 {
			return t.systems[0].Name
		}
		return ""
	}
	alike := func(a, c *thing) bool {
		x, y := a.straightRow(), c.straightRow()
		return x.Table == y.Table && x.Cells["kind"] == y.Cells["kind"] && x.Cells["service"] == y.Cells["service"] && section(x) == section(y) && system(a) == system(c)
	}
	join := func(a, c *thing) {
		if x, y := root(a), root(c); x != y {
			of[x] = y
		}
	}
	// What the ports of an element lead to.
	to := map[*thing][]*thing{}
	for i := range b.files {
		m := b.files[i].m
		for k := range m.Ports {
			p := &m.Ports[k]
			if p.To < 0 {
				continue
			}
			a, c := b.of[&m.Elements[p.Of]], b.of[&m.Elements[m.Ports[p.To].Of]]
			if a == nil || c == nil || a == c || slices.Contains(to[a], c) {
				continue
			}
			to[a] = append(to[a], c)
		}
	}
	met := map[*thing]bool{} // by ports
	for _, a := range b.things {
		for _, c := range to[a] {
			if len(a.rows) > 0 && len(c.rows) > 0 && a.rows[0].ID < c.rows[0].ID {
				b.joins = append(b.joins, [2]*thing{a, c})
			}
			if a.straightRow() != nil {
				met[a] = true
			}
			if a.straightRow() != nil && c.straightRow() != nil && alike(a, c) {
				join(a, c)
			}
		}
		if a.straightRow() == nil && len(to[a]) == 2 && len(a.el.Ports) == 2 { // an elbow, a valve: two ends
			if x, y := to[a][0], to[a][1]; x.straightRow() != nil && y.straightRow() != nil && alike(x, y) {
				join(x, y)
			}
		}
	}
	b.joinEnds(alike, join)
	groups := map[*thing][]*thing{}
	for _, t := range b.things {
		if t.straightRow() != nil && vocabulary.IsService(t.el.Kind()) {
			groups[root(t)] = append(groups[root(t)], t)
		}
	}
	for _, g := range groups {
		first := slices.MinFunc(g, func(x, y *thing) int {
			return cmp.Or(void.Natural(x.rows[0].ID, y.rows[0].ID), cmp.Compare(x.rows[0].ID, y.rows[0].ID))
		})
		name := first.rows[0].ID
		if s := system(first); plainName(s) {
			name = s + "/" + name
		}
		for _, t := range g {
			t.rows[0].Cells["run"] = name
		}
	}
	for _, j := range b.joins {
		r := j[0].rows[0]
		r.Cells["joins"] = strings.TrimPrefix(r.Cells["joins"]+"; "+j[1].rows[0].ID, "; ")
	}
}

// section is the size of a row across its length, however it lies.
func section(r *Row) string {
	s := r.form.Straight
	a, c := max(s.Across, s.High), min(s.Across, s.High)
	return mm(math.Round(a)) + "x" + mm(math.Round(c))
}

// joinEnds joins lengths whose ends meet where no third one ends.
func (b *building) joinEnds(alike func(a, c *thing) bool, join func(a, c *thing)) {
	type end struct {
		t  *thing
		at r3.Vector
	}
	var ends []end
	for _, t := range b.things {
		if r := t.straightRow(); r != nil {
			ends = append(ends, end{t, r.form.Straight.A}, end{t, r.form.Straight.B})
		}
	}
	slices.SortStableFunc(ends, func(x, y end) int {
		return cmp.Or(cmp.Compare(x.at.X, y.at.X), cmp.Compare(x.at.Y, y.at.Y), cmp.Compare(x.at.Z, y.at.Z), cmp.Compare(x.t.el.GUID, y.t.el.GUID))
	})
	for i, e := range ends {
		var near []*thing
		for k := i - 1; k >= 0 && e.at.X-ends[k].at.X <= runEnds; k-- {
			if e.at.Sub(ends[k].at).Norm() <= runEnds && ends[k].t != e.t {
				near = append(near, ends[k].t)
			}
		}
		for k := i + 1; k < len(ends) && ends[k].at.X-e.at.X <= runEnds; k++ {
			if e.at.Sub(ends[k].at).Norm() <= runEnds && ends[k].t != e.t {
				near = append(near, ends[k].t)
			}
		}
		if len(near) == 1 && alike(e.t, near[0]) {
			join(e.t, near[0])
		}
	}
}

// makeOpenings makes rows of openings in what became a length, and of small ones in slabs.
func (b *building) makeOpenings() {
	for _, t := range b.things {
		if len(t.forms) == 0 || t.line.Becomes != vocabulary.AsOpening {
			continue
		}
		if t.el.In < 0 {
			t.out("in nothing")
			continue
		}
		m := b.files[t.file].m
		host := b.of[&m.Elements[t.el.In]]
		switch {
		case host == nil:
			t.out("in nothing")
		case len(host.rows) == 0 && host.line != nil && host.line.Becomes == vocabulary.AsSoffit:
			b.hole(t, host)
		case len(host.rows) == 0:
			t.out("in what is left out")
		case t.el.Filled:
			t.out("of a door or a window")
		case host.rows[0].long == nil:
			t.out("in what has no length")
			b.told.at("openings", m, t.el, "is in something that is no length: not written")
		default:
			b.opening(t, host)
		}
	}
}

// opening writes an opening in a length.
func (b *building) opening(t, host *thing) {
	f := &t.forms[0]
	best, at, wide := (*Row)(nil), 0.0, 0.0
	for _, r := range host.rows {
		if r.long == nil {
			continue
		}
		mid := r2.Point{X: f.Turned.Middle.X, Y: f.Turned.Middle.Y}.Sub(r.long.from)
		along := mid.Dot(r.long.dir)
		turn := math.Atan2(r.long.dir.Y, r.long.dir.X) - f.Turned.Turn*math.Pi/180
		w := math.Abs(f.Turned.Long*math.Cos(turn)) + math.Abs(f.Turned.Wide*math.Sin(turn))
		if along > 0 && along < r.long.mm && (best == nil || math.Abs(mid.Dot(r2.Point{X: -r.long.dir.Y, Y: r.long.dir.X})) < 1000) {
			best, at, wide = r, along, w
		}
	}
	if best == nil {
		t.out("beside what it is in")
		b.told.at("openings", b.files[t.file].m, t.el, "lies beside what it is in: not written")
		return
	}
	c := map[string]string{"in": best.ID, "at": mm(at)}
	ffl := b.storeys[host.storey].z
	if s := f.Straight; s != nil && s.Round && !s.Upright() {
		c["size"] = "ø" + mm(s.Across)
		c["level"] = "FFL" + signed((s.A.Z+s.B.Z)/2-s.High/2-ffl)
	} else {
		c["size"] = mm(wide) + "x" + mm(f.High.Z-f.Low.Z)
		c["level"] = "FFL" + signed(f.Low.Z-ffl)
	}
	b.openingRow(t, best.ID, c)
}

// signed writes the offset of a level, with its unit where it is so small that it would be taken for metres.
func signed(v float64) string {
	v = round(v)
	if v == 0 {
		return ""
	}
	text := mm(v)
	if v > 0 {
		text = "+" + text
	}
	if math.Abs(v) < 100 {
		text += " mm"
	}
	return text
}

// hole writes a small opening in a slab as a hole in the soffits under it.
func (b *building) hole(t, host *thing) {
	t.became = "an opening in a slab, cut out of the soffits"
	if (t.high.X-t.low.X)*(t.high.Y-t.low.Y) >= holeLeast {
		return
	}
	p := r2.Point{X: (t.low.X + t.high.X) / 2, Y: (t.low.Y + t.high.Y) / 2}
	for i := range b.bays {
		v := &b.bays[i]
		if v.r.ContainsPoint(p) && math.Abs(v.soffit-host.low.Z) < 50 {
			name := v.name
			for k := range b.bays {
				if k != i && strings.EqualFold(b.bays[k].name, name) {
					name = v.name + ", " + b.storeys[v.storey].name
				}
			}
			c := map[string]string{"in": "soffit " + name, "x": mm(p.X), "y": mm(p.Y), "size": mm(t.high.X-t.low.X) + "x" + mm(t.high.Y-t.low.Y)}
			b.openingRow(t, c["in"], c)
			return
		}
	}
}

func (b *building) openingRow(t *thing, in string, c map[string]string) {
	c["guid"] = t.el.GUID
	if n := t.el.Name; n != "" {
		c["note"] = n
	}
	t.rows = append(t.rows, &Row{
		Table: "openings.csv", ID: in, GUID: t.el.GUID, File: b.files[t.file].name, Class: vocabulary.ClassName(t.el.Class), Name: t.el.Name, Cells: c, t: t,
	})
	t.became = "openings"
}
