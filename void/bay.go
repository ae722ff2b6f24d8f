package void

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"

	"voidline/void/cell"
)

// resolveBays works out plan, soffit, ceiling and build-up of each bay. Soffit and ceiling may be given
// by each other; a circle is a problem.
func (p *Project) resolveBays() {
	p.bayNamed, p.labelled = map[string]int32{}, nil
	found := make([]Bay, 0, p.rows.bays.n)
	for i := range p.rows.bays.n {
		r := p.bayRow(i)
		b, ok := p.resolveBay(&r)
		if !ok {
			p.lost("bays")
			continue
		}
		b.row = int32(i)
		name := fold(b.Name)
		first, named := p.bayNamed[name]
		j := first
		for named && j >= 0 && found[j].Storey != b.Storey {
			j = found[j].next
		}
		if named && j >= 0 {
			p.problem(r.At, "bay", fmt.Sprintf("bay %q is already in line %d", b.Name, found[j].Row.Line), "one row for each bay of a storey", "")
			p.lost("bays")
			continue
		}
		if b.next = -1; named {
			b.next = first
		}
		p.bayNamed[name] = int32(len(found))
		found = append(found, b)
	}
	found = p.inMetres(found)
	order := make([]int32, len(found))
	for i := range order {
		order[i] = int32(i)
	}
	slices.SortStableFunc(order, func(i, j int32) int {
		a, b := &found[i], &found[j]
		return cmp.Or(a.Storey-b.Storey, Natural(a.Name, b.Name))
	})
	p.Bays = make([]Bay, len(found))
	clear(p.bayNamed)
	for i := len(order) - 1; i >= 0; i-- { // so that bays of a name come from the lowest storey up
		b := &p.Bays[i]
		*b = found[order[i]]
		name := fold(b.Name)
		b.next = -1
		if j, there := p.bayNamed[name]; there {
			b.next = j
		}
		p.bayNamed[name] = int32(i)
	}
	for _, i := range p.bayNamed {
		several := p.Bays[i].next >= 0
		for ; i >= 0; i = p.Bays[i].next {
			b := &p.Bays[i]
			if b.Label = b.Name; several {
				b.Label = b.Name + ", " + p.Storeys[b.Storey].Name
			}
		}
	}
	byStorey := make([][]int32, len(p.Storeys))
	for i := range p.Bays {
		s := p.Bays[i].Storey
		byStorey[s] = append(byStorey[s], int32(i))
	}
	p.bayTiles = make([]tiles, len(p.Storeys))
	for s := range byStorey {
		p.bayTiles[s] = lay(byStorey[s], func(i int32) r2.Rect { return p.Bays[i].Plan })
	}
	p.by = teller{part: bySurvey}
	p.readSurvey()
	p.surveyBays()
	p.by = teller{part: byBays}
	p.highest = make([]float64, len(p.Storeys))
	for s := range p.highest {
		p.highest[s] = math.Inf(-1)
	}
	for i := range p.Bays {
		b := &p.Bays[i]
		p.highest[b.Storey] = math.Max(p.highest[b.Storey], b.Soffit)
	}
	p.tellOverBays()
}

// bay returns the index of a storey's bay by its name.
func (p *Project) bay(storey int, name string) (int, bool) {
	i, ok := p.bayNamed[fold(name)]
	for ok && i >= 0 && p.Bays[i].Storey != storey {
		i = p.Bays[i].next
	}
	return int(i), ok && i >= 0
}

// bayLabelled returns the index of a bay by its folded label.
func (p *Project) bayLabelled(label string) (int32, bool) {
	if p.labelled == nil {
		p.labelled = make(map[string]int32, len(p.Bays))
		for i := range p.Bays {
			p.labelled[fold(p.Bays[i].Label)] = int32(i)
		}
	}
	i, ok := p.labelled[label]
	return i, ok
}

// troughMost is the deepest trough that is taken, mm: a coffer is a few hundred deep (common practice, no source).
const troughMost = 1500

// BaysNamed returns the bays that a text names: by the bay's label, by its name, which several storeys may use, or by its
// name and its storey, such as "B, L1", where no other storey has the name too. Case does not count.
func (p *Project) BaysNamed(text string) []int32 {
	if j, ok := p.bayLabelled(fold(text)); ok {
		if b := &p.Bays[j]; b.Label != b.Name {
			return []int32{j}
		}
	}
	var in []int32
	for i := range p.Bays {
		if b := &p.Bays[i]; fold(b.Name) == fold(text) || fold(b.Name+", "+p.Storeys[b.Storey].Name) == fold(text) {
			in = append(in, int32(i))
		}
	}
	return in
}

// tellOverBays tells, once, that bays of a storey lie over each other: a zone there meets the ceilings of
// both.
func (p *Project) tellOverBays() {
	pairs, first := 0, ""
	var at At
	var near []int32
	for i := range p.Bays {
		b := &p.Bays[i]
		near = p.bayTiles[b.Storey].near(b.Plan, near)
		for _, j := range near {
			o := &p.Bays[j]
			if int(j) <= i || b.Plan.X.Intersection(o.Plan.X).Length() <= 1 || b.Plan.Y.Intersection(o.Plan.Y).Length() <= 1 {
				continue // neighbours that were drawn a millimetre into each other are neighbours
			}
			if pairs++; pairs == 1 {
				first, at = fmt.Sprintf("%s and %s", b.Label, o.Label), b.Row
			}
		}
	}
	if pairs > 0 {
		by := p.by
		defer func() { p.by = by }()
		p.by = teller{part: byOver}
		p.note(Note{Row: at, Text: fmt.Sprintf("bays lie over each other in plan (%s first, %d pairs in all): what lies there is checked against each of their ceilings", first, pairs)})
	}
}

// leastBay is the side of a square, mm, into which no bay goes: one that does was given in metres, or is a sliver beside a
// bay, as programs leave them where they cut a room into rectangles.
const leastBay = 100

// inMetres refuses bays that were surely given in metres: those that go into a square of leastBay and do not lie against
// a larger bay of their storey, beside it. It returns the others.
func (p *Project) inMetres(found []Bay) []Bay {
	small := func(b *Bay) bool { return b.Plan.X.Length() < leastBay && b.Plan.Y.Length() < leastBay }
	var large []int32
	for i := range found {
		if !small(&found[i]) {
			large = append(large, int32(i))
		}
	}
	if len(large) == len(found) {
		return found
	}
	beside := lay(large, func(i int32) r2.Rect { return found[i].Plan })
	var near []int32
	var kept []Bay
	for k := range found {
		b := &found[k]
		near = beside.near(b.Plan.ExpandedByMargin(1), near)
		if !small(b) || slices.ContainsFunc(near, func(i int32) bool { return found[i].Storey == b.Storey && against(b.Plan, found[i].Plan) }) {
			kept = append(kept, *b)
			continue
		}
		r := p.bayRow(int(b.row))
		hint := "it is surely metres: end the headings x1, y1, x2 and y2 in _m"
		if r.X1.Line != "" && r.X2.Line != "" {
			hint = "it is surely metres: end the heading position in grid.csv in _m"
		}
		p.problem(b.Row, "x2", fmt.Sprintf("a bay of %.4g x %.4g mm is too small", b.Plan.X.Length(), b.Plan.Y.Length()), "corners in millimetres", hint)
		p.lost("bays")
	}
	return kept
}

// against reports whether two rectangles lie against each other, to a millimetre, and neither in the other.
func against(a, b r2.Rect) bool {
	return a.ExpandedByMargin(1).Intersects(b) && (a.X.Intersection(b.X).Length() <= 1 || a.Y.Intersection(b.Y).Length() <= 1)
}

func (p *Project) resolveBay(r *BayRow) (Bay, bool) {
	b := Bay{Name: r.Bay.Text, BuildUp: -1, Row: r.At}
	ok := true
	bad := func(column, what, want, hint string) {
		p.problem(r.At, column, what, want, hint)
		ok = false
	}
	if b.Name == "" {
		bad("bay", "blank", "the name of the bay", "")
	}
	if s, what, hint := p.storey(r.Storey.Text); what != "" {
		bad("storey", what, "a storey of levels.csv", hint)
	} else {
		b.Storey = s
	}
	var v [4]float64
	for k, c := range []struct {
		name string
		at   cell.Place
		axis int
	}{{"x1", r.X1, 0}, {"y1", r.Y1, 1}, {"x2", r.X2, 0}, {"y2", r.Y2, 1}} {
		if c.at.Text == "" {
			bad(c.name, "blank", "a number or a grid line", "")
			continue
		}
		x, why := p.place(c.at, c.axis)
		if why.what != "" {
			p.troubled(r.At, c.name, why)
			ok = false
		}
		v[k] = x
	}
	if !ok {
		return b, false
	}
	b.Plan = r2.Rect{
		X: r1.Interval{Lo: math.Min(v[0], v[2]), Hi: math.Max(v[0], v[2])},
		Y: r1.Interval{Lo: math.Min(v[1], v[3]), Hi: math.Max(v[1], v[3])},
	}
	if b.Plan.X.Length() <= Hair || b.Plan.Y.Length() <= Hair {
		bad("x2", "the bay has no area", "two opposite corners of the bay", "")
	}
	if r.BuildUp.Text != "" {
		j, there := p.buildUpOf[fold(r.BuildUp.Text)]
		if !there && p.broken["buildups"] || there && !p.isWhole("buildups", r.BuildUp.Text) {
			bad("buildup", leans, "", "")
		} else if !there {
			hint := p.guess(r.At, func() string {
				var names []string
				for _, u := range p.BuildUps {
					names = append(names, u.Name)
				}
				return date(r.BuildUp.Text, near(r.BuildUp.Text, names))
			})
			bad("buildup", fmt.Sprintf("no build-up %q in buildups.csv", r.BuildUp.Text), "the name of a build-up", hint)
		} else {
			b.BuildUp = j
		}
	}
	if r.Soffit.Text == "" || r.Soffit.None || r.Soffit.Range {
		bad("soffit", blank(r.Soffit.Text, "is not the level of a soffit"), "one level, such as FFL+3600", "")
	}
	if r.Ceiling.Range {
		bad("ceiling", fmt.Sprintf("%q is a range", r.Ceiling.Text), "one level, or none where the bay is open", "")
	}
	if b.Trough = r.Trough.MM; b.Trough < 0 || b.Trough > troughMost {
		bad("trough", fmt.Sprintf("%q is no depth of a trough", r.Trough.Text), fmt.Sprintf("mm above the soffit, from 0 to %d, or blank", troughMost), "")
	}
	if !ok {
		return b, false
	}
	b.HasCeiling = r.Ceiling.Text != "" && !r.Ceiling.None
	b.Unsaid = r.Ceiling.Text == ""

	// One of soffit and ceiling may hang on the other, never both.
	thick := 0.0
	if b.BuildUp >= 0 {
		thick = p.BuildUps[b.BuildUp].thickness()
	}
	onSoffit := func(l cell.Level) bool { return l.Low.Ref == cell.Soffit }
	onCeiling := func(l cell.Level) bool { return l.Low.Ref == cell.Ceiling || l.Low.Ref == cell.BuildUp }
	switch {
	case onSoffit(r.Soffit):
		bad("soffit", fmt.Sprintf("%q depends on itself", r.Soffit.Text), "a level from FFL, SSL, the datum or the ceiling", "")
	case b.HasCeiling && onCeiling(r.Ceiling):
		bad("ceiling", fmt.Sprintf("%q depends on itself", r.Ceiling.Text), "a level from FFL, SSL, the datum or the soffit", "")
	case onCeiling(r.Soffit) && b.HasCeiling && onSoffit(r.Ceiling):
		bad("soffit", fmt.Sprintf("soffit (%s) and ceiling (%s) depend on each other", r.Soffit.Text, r.Ceiling.Text), "one of them from FFL, SSL or the datum", "")
	case onCeiling(r.Soffit) && !b.HasCeiling:
		bad("soffit", fmt.Sprintf("%q: this bay has no ceiling", r.Soffit.Text), "a level from FFL, SSL or the datum", "")
	case b.HasCeiling && r.Ceiling.Low.Ref == cell.Steel:
		bad("ceiling", "a bay's own levels cannot hang on the steel in it", "a level from FFL, SSL, the datum or the soffit", "")
	case r.Soffit.Low.Ref == cell.Steel:
		bad("soffit", "a bay's own levels cannot hang on the steel in it", "a level from FFL, SSL or the datum", "")
	}
	if !ok {
		return b, false
	}
	level := func(column string, l cell.Level) float64 {
		z, why := p.fixed(b.Storey, l.Low)
		if why.what != "" {
			bad(column, why.what, why.want, why.hint)
		}
		return z
	}
	switch {
	case onCeiling(r.Soffit):
		b.Ceiling = level("ceiling", r.Ceiling)
		b.Top = b.Ceiling + thick
		from := b.Ceiling
		if r.Soffit.Low.Ref == cell.BuildUp {
			from = b.Top
		}
		b.Soffit = from + r.Soffit.Low.MM
	case b.HasCeiling && onSoffit(r.Ceiling):
		b.Soffit = level("soffit", r.Soffit)
		b.Ceiling = b.Soffit + r.Ceiling.Low.MM
		b.Top = b.Ceiling + thick
	default:
		b.Soffit = level("soffit", r.Soffit)
		if b.HasCeiling {
			b.Ceiling = level("ceiling", r.Ceiling)
			b.Top = b.Ceiling + thick
		}
	}
	if !ok {
		return b, false
	}
	if b.HasCeiling && b.Top > b.Soffit+Hair {
		what := fmt.Sprintf("the ceiling (%s) is above the soffit (%s)", r.Ceiling.Text, r.Soffit.Text)
		if b.Ceiling <= b.Soffit+Hair {
			what = fmt.Sprintf("the top of the build-up is %.1f above the soffit", b.Top-b.Soffit)
		}
		bad("ceiling", what, "a ceiling below the soffit", "")
	}
	if math.Abs(b.Soffit) > maxLevel || math.Abs(b.Ceiling) > maxLevel {
		bad("soffit", "more than 2 km from the project datum", "a level within 2 km", "")
	}
	b.Drawn = DrawnLevels{b.Soffit, b.Ceiling, b.Top}
	return b, ok
}

// storey returns the index of a storey by name; a blank name is the only storey.
func (p *Project) storey(name string) (int, string, string) {
	if name == "" {
		if len(p.Storeys) == 1 {
			return 0, "", ""
		}
		if len(p.Storeys) == 0 || p.broken["levels"] {
			return 0, leans, ""
		}
		return 0, "blank, and there is more than one storey", ""
	}
	if i, ok := p.storeyOf[fold(name)]; ok {
		return i, "", ""
	}
	if p.broken["levels"] {
		return 0, leans, ""
	}
	var names []string
	for _, s := range p.Storeys {
		names = append(names, s.Name)
	}
	if len(p.Storeys) == 1 && p.Storeys[0].Name == "" {
		return 0, "", "" // one nameless storey: whatever the rows call it
	}
	return 0, fmt.Sprintf("no storey %q", name), date(name, near(name, names))
}

// fixed returns a height whose reference is the same over the whole storey.
func (p *Project) fixed(storey int, h cell.Height) (float64, trouble) {
	s := &p.Storeys[storey]
	switch h.Ref {
	case cell.FFL:
		return s.FFL + h.MM, trouble{}
	case cell.SSL:
		if !s.HasSSL {
			return 0, trouble{what: "SSL is not known", want: "its column ssl in levels.csv, or a level from FFL"}
		}
		return s.SSL + h.MM, trouble{}
	case cell.Datum:
		return s.FFL + s.Datum + h.MM, trouble{}
	case cell.Project:
		return h.MM, trouble{}
	}
	return 0, trouble{what: fmt.Sprintf("%s is not a level of the storey", h.Ref), want: "a level from FFL, SSL or the datum"}
}
