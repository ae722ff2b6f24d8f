package ifc

import (
	"context"
	"fmt"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
)

// Model is what a file says of a building, but for the forms of its elements, which Body reads one at a time.
type Model struct {
	*File
	MM       float64 // what the file's unit of length is, mm
	Storeys  []Storey
	Axes     []Axis // of its grids
	Elements []Element
	Ports    []Port
	// Map says that the file knows where on the map it stands; it is told and never added to the numbers.
	Map      *Map
	North    float64 // true north, degrees from the project's y towards x; 0 where it is not said
	Problems []void.Problem

	g      shaper
	places placements
	number map[uint32]int // elements by instance
	holds  map[uint32]uint32
	frame  matrix // how far the whole is turned
}

// Storey is a storey as the file has it.
type Storey struct {
	ID        uint32
	GUID      string
	Name      string
	Z         float64 // where it is placed, mm
	Elevation float64 // what it says of its level, mm; NaN where it says nothing
	Line      int
}

// Axis is a grid line.
type Axis struct {
	Tag  string
	A, B r2.Point
	Line int
}

// Map is where on the map the project's origin is said to be, and how far its x axis is turned from east.
type Map struct {
	Eastings, Northings, Height, Turn float64
	CRS                               string
}

// Element is anything that the file places in the building.
type Element struct {
	ID         uint32
	Line       int
	GUID       string
	Class      string // in capitals: IFCDUCTSEGMENT
	TypeClass  string // of its type, without TYPE at the end
	Predefined string // predefined type, its own or its type's
	Name       string
	ObjectType string
	TypeName   string
	LongName   string
	Tag        string
	Unread     bool // what it is could not be read: it has no more than its class
	Storey     int  // of Model.Storeys, by what it is contained in; -1
	Systems    []System
	Ports      []int  // of Model.Ports
	Parent     int    // what it is a part of, -1
	In         int    // of an opening what it is in, -1
	Filled     bool   // of an opening: a door or a window is in it
	Parts      bool   // it has parts
	Covers     []int  // coverings on it
	material   uint32 // what it is associated with
	sets       []uint32
	place      uint32
	shape      uint32
}

// System is what an element is assigned to.
type System struct{ Name, Predefined string }

// Port is where an element connects.
type Port struct {
	Of   int // element
	At   r3.Vector
	Name string
	To   int // the port that it is connected to, -1
}

// Kind returns the class by which the element is told: its own, or its type's where its own says only how it is used, as in 2x3.
func (e *Element) Kind() string {
	switch e.Class {
	case "IFCFLOWSEGMENT", "IFCFLOWFITTING", "IFCFLOWTERMINAL", "IFCFLOWCONTROLLER", "IFCFLOWMOVINGDEVICE", "IFCFLOWTREATMENTDEVICE", "IFCFLOWSTORAGEDEVICE",
		"IFCENERGYCONVERSIONDEVICE", "IFCDISTRIBUTIONCONTROLELEMENT", "IFCDISTRIBUTIONELEMENT", "IFCDISTRIBUTIONFLOWELEMENT", "IFCFURNISHINGELEMENT", "IFCBUILDINGELEMENT", "IFCBUILTELEMENT":
		if e.TypeClass != "" {
			return e.TypeClass
		}
	}
	return e.Class
}

// Turn turns the whole about the project's origin in plan, degrees from x towards y: forms, ports and grid lines are told in the new axes.
func (m *Model) Turn(by float64) {
	sin, cos := math.Sincos(by * math.Pi / 180)
	t := matrix{x: r3.Vector{X: cos, Y: sin}, y: r3.Vector{X: -sin, Y: cos}, z: r3.Vector{Z: 1}}
	m.frame = t.times(m.frame)
	for i := range m.Ports {
		m.Ports[i].At = t.point(m.Ports[i].At)
	}
	for i := range m.Axes {
		for _, p := range []*r2.Point{&m.Axes[i].A, &m.Axes[i].B} {
			q := t.point(r3.Vector{X: p.X, Y: p.Y})
			*p = r2.Point{X: q.X, Y: q.Y}
		}
	}
}

// ReadModel reads what an open file says of its building.
func ReadModel(ctx context.Context, f *File) (m *Model, err error) {
	defer caught(&err)
	by := f.byType()
	u, err := f.units(by["IFCPROJECT"])
	if err != nil {
		return nil, err
	}
	m = &Model{File: f, MM: u.mm, number: map[uint32]int{}, holds: map[uint32]uint32{}, frame: identity}
	m.g = shaper{f: f, unit: u, mapped: map[uint32][]solid{}}
	m.places = placements{f: f, have: map[uint32]matrix{}}
	for _, id := range by["IFCBUILDINGSTOREY"] {
		m.try(id, func() { m.storey(id) })
	}
	slices.SortStableFunc(m.Storeys, func(a, b Storey) int { return int(math.Copysign(1, a.Z-b.Z)) })
	m.context(by)
	contained := m.containers(by)
	for _, kind := range m.products(by, contained) {
		for i, id := range by[kind] {
			if i&1023 == 0 && ctx.Err() != nil {
				return nil, ctx.Err()
			}
			if !m.try(id, func() { m.element(id) }) {
				m.Elements = append(m.Elements, Element{ID: id, Class: kind, Storey: -1, Parent: -1, In: -1, Unread: true})
			}
		}
	}
	if err := ctx.Err(); err != nil {
		return nil, err
	}
	m.relate(by)
	for _, id := range by["IFCGRID"] {
		m.try(id, func() { m.grid(id) })
	}
	return m, ctx.Err()
}

// try reads something of one instance; what is wrong with it becomes a problem, and the rest goes on.
func (m *Model) try(id uint32, read func()) bool {
	var err error
	func() {
		defer caught(&err)
		m.g.steps = 0
		read()
	}()
	if err != nil {
		m.problem(id, err)
	}
	return err == nil
}

// problem notes an error that was met for an instance.
func (m *Model) problem(id uint32, err error) {
	m.Problems = append(m.Problems, m.Wrong(id, err))
}

// Wrong makes a problem with a line of an error that was met for an instance.
func (m *Model) Wrong(id uint32, err error) void.Problem {
	p, ok := err.(void.Problem)
	if !ok {
		p = void.Problem{File: m.Name, What: err.Error()}
	}
	if in, ok := m.find(id); ok && p.Line == 0 {
		p.Line = m.line(in.at)
		p.What = fmt.Sprintf("#%d %s: %s", id, m.types[in.kind], p.What)
	}
	return p
}

// LineOf returns the line in which an element stands.
func (m *Model) LineOf(e *Element) int {
	if e.Line == 0 {
		if in, ok := m.find(e.ID); ok {
			e.Line = m.line(in.at)
		}
	}
	return e.Line
}

func (m *Model) storey(id uint32) {
	e := m.get(id)
	z := m.places.of(e.ref(5)).o.Z * m.MM
	s := Storey{ID: id, GUID: e.str(0), Name: e.str(2), Z: z, Elevation: math.NaN(), Line: m.line(e.at)}
	if e.has(9) {
		s.Elevation = e.num(9) * m.MM
	}
	if s.Name == "" {
		s.Name = e.str(7)
	}
	m.Storeys = append(m.Storeys, s)
}

// context reads where on the map the project stands.
func (m *Model) context(by map[string][]uint32) {
	for _, id := range by["IFCMAPCONVERSION"] {
		m.try(id, func() {
			e := m.get(id)
			mp := Map{Eastings: e.num(2), Northings: e.num(3), Height: e.num(4)}
			if e.has(5) && e.has(6) {
				mp.Turn = math.Atan2(e.num(6), e.num(5)) * 180 / math.Pi
			}
			if e.has(1) {
				crs := m.get(e.must(1))
				mp.CRS = crs.str(0)
			}
			m.Map = &mp
		})
	}
	for _, id := range by["IFCGEOMETRICREPRESENTATIONCONTEXT"] {
		m.try(id, func() {
			if e := m.get(id); e.has(5) {
				d := m.direction(e.ref(5), r3.Vector{Y: 1})
				m.North = math.Atan2(d.X, d.Y) * 180 / math.Pi
			}
		})
	}
}

// containers reads what is contained in what, or is a part of it; it returns what is contained.
func (m *Model) containers(by map[string][]uint32) map[uint32]bool {
	contained := map[uint32]bool{}
	read := func(kind string, parent, child int, direct bool) {
		for _, id := range by[kind] {
			m.try(id, func() {
				e := m.get(id)
				p := e.must(parent)
				for _, c := range e.refs(child) {
					if direct {
						contained[c] = true
					}
					if _, ok := m.holds[c]; !ok {
						m.holds[c] = p
					}
				}
			})
		}
	}
	read("IFCRELCONTAINEDINSPATIALSTRUCTURE", 5, 4, true)
	read("IFCRELAGGREGATES", 4, 5, false)
	read("IFCRELNESTS", 4, 5, false)
	read("IFCRELVOIDSELEMENT", 4, 5, false)
	read("IFCRELFILLSELEMENT", 4, 5, false)
	return contained
}

// products returns the types of which instances are placed in the building, by name.
func (m *Model) products(by map[string][]uint32, contained map[uint32]bool) []string {
	// hasRoot: it begins as what has a GlobalId, and has as many values as a product.
	hasRoot := func(e *entity) bool {
		return len(e.args) >= 7 && (e.args[0].form == text || e.args[0].form == absent)
	}
	placed := func(e *entity) bool {
		if !hasRoot(e) {
			return false
		}
		a, b := e.args[5], e.args[6]
		if a.form != ref && a.form != absent || b.form != ref && b.form != absent {
			return false
		}
		return a.form == ref && strings.HasSuffix(m.typeOf(uint32(a.num)), "PLACEMENT") || b.form == ref && m.typeOf(uint32(b.num)) == "IFCPRODUCTDEFINITIONSHAPE"
	}
	kinds := map[string]bool{}
	for c := range contained {
		kinds[m.typeOf(c)] = true
	}
	for kind, ids := range by {
		if !strings.HasPrefix(kind, "IFC") || strings.HasPrefix(kind, "IFCREL") || strings.HasPrefix(kind, "IFCQUANTITY") || len(ids) == 0 {
			continue
		}
		// A type has one number of values, so a few instances say whether it can be one; not the first alone, which may be damaged.
		if !slices.ContainsFunc(ids[:min(len(ids), 10)], func(id uint32) bool { e := m.peek(id); return hasRoot(&e) }) {
			continue
		}
		for _, id := range ids {
			if e := m.peek(id); placed(&e) {
				kinds[kind] = true
				break
			}
		}
	}
	for _, k := range []string{"", "IFCBUILDINGSTOREY", "IFCBUILDING", "IFCPROJECT", "IFCGRID", "IFCDISTRIBUTIONPORT", "IFCPORT", "IFCANNOTATION"} {
		delete(kinds, k)
	}
	var out []string
	for k := range kinds {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// peek is get of what may be damaged: then it has no values.
func (m *Model) peek(id uint32) (e entity) {
	var err error
	defer caught(&err)
	return m.get(id)
}

func (m *Model) element(id uint32) {
	e := m.get(id)
	el := Element{
		ID: id, GUID: strings.TrimSpace(e.str(0)), Class: e.kind, Name: e.str(2), ObjectType: e.str(4), Storey: -1, Parent: -1, In: -1,
		place: e.ref(5), shape: e.ref(6),
	}
	switch e.kind {
	case "IFCSPACE", "IFCSITE", "IFCSPATIALZONE", "IFCEXTERNALSPATIALELEMENT":
		el.LongName = e.str(7)
	default:
		el.Tag = e.str(7)
	}
	el.Predefined = predefined(&e)
	m.number[id] = len(m.Elements)
	m.Elements = append(m.Elements, el)
}

// predefined returns the predefined type: the first word among the values that follow those which all elements have.
func predefined(e *entity) string {
	for i := 8; i < len(e.args); i++ {
		if e.args[i].form == enum {
			switch e.args[i].str {
			case "ELEMENT", "COMPLEX", "PARTIAL", "INTERNAL", "EXTERNAL", "T", "F": // how a space is made up, a yes or no
				continue
			}
			return e.args[i].str
		}
	}
	return ""
}

// relate reads what belongs to what.
func (m *Model) relate(by map[string][]uint32) {
	for i := range m.Elements {
		e := &m.Elements[i]
		at := e.ID
		for range 24 {
			p, ok := m.holds[at]
			if !ok {
				break
			}
			if m.typeOf(p) == "IFCBUILDINGSTOREY" {
				e.Storey = slices.IndexFunc(m.Storeys, func(s Storey) bool { return s.ID == p })
				break
			}
			at = p
		}
	}
	each := func(kind string, read func(e *entity)) {
		for _, id := range by[kind] {
			m.try(id, func() {
				e := m.get(id)
				read(&e)
			})
		}
	}
	of := func(id uint32, take func(e *Element)) {
		if i, ok := m.number[id]; ok {
			take(&m.Elements[i])
		}
	}
	for _, kind := range []string{"IFCRELAGGREGATES", "IFCRELNESTS"} {
		each(kind, func(e *entity) {
			i, ok := m.number[e.must(4)]
			if !ok {
				return
			}
			for _, c := range e.refs(5) {
				of(c, func(el *Element) {
					el.Parent = i
					m.Elements[i].Parts = true
				})
			}
		})
	}
	each("IFCRELVOIDSELEMENT", func(e *entity) {
		if i, ok := m.number[e.must(4)]; ok {
			of(e.must(5), func(el *Element) { el.In = i })
		}
	})
	each("IFCRELFILLSELEMENT", func(e *entity) { of(e.must(4), func(el *Element) { el.Filled = true }) })
	each("IFCRELCOVERSBLDGELEMENTS", func(e *entity) {
		for _, c := range e.refs(5) {
			if i, ok := m.number[c]; ok {
				of(e.must(4), func(el *Element) { el.Covers = append(el.Covers, i) })
			}
		}
	})
	type kindOf struct {
		class, name, predefined string
		sets                    []uint32
	}
	types := map[uint32]kindOf{}
	each("IFCRELDEFINESBYTYPE", func(e *entity) {
		id := e.must(5)
		t, ok := types[id]
		if !ok {
			d := m.get(id)
			t = kindOf{strings.TrimSuffix(strings.TrimSuffix(d.kind, "TYPE"), "STYLE"), d.str(2), predefined(&d), nil}
			if v := d.arg(5); v.form == list {
				t.sets = d.refs(5)
			}
			types[id] = t
		}
		for _, c := range e.refs(4) {
			of(c, func(el *Element) {
				el.TypeClass, el.TypeName = t.class, t.name
				if el.Predefined == "" || el.Predefined == "NOTDEFINED" {
					if t.predefined != "" {
						el.Predefined = t.predefined
					}
				}
				el.sets = append(el.sets, t.sets...)
			})
		}
	})
	each("IFCRELDEFINESBYPROPERTIES", func(e *entity) {
		sets := e.refs(5)
		for _, c := range e.refs(4) {
			// An element's own properties go before its type's.
			of(c, func(el *Element) { el.sets = append(slices.Clone(sets), el.sets...) })
		}
	})
	systems := map[uint32]System{}
	each("IFCRELASSIGNSTOGROUP", func(e *entity) {
		id := e.must(6)
		s, ok := systems[id]
		if !ok {
			d := m.get(id)
			if !strings.Contains(d.kind, "SYSTEM") && !strings.Contains(d.kind, "CIRCUIT") {
				return
			}
			s.Name = d.str(2)
			for i := 5; i < len(d.args); i++ {
				if d.args[i].form == enum {
					s.Predefined = d.args[i].str
				}
			}
			if s.Name == "" {
				s.Name = d.str(5)
			}
			systems[id] = s
		}
		for _, c := range e.refs(4) {
			of(c, func(el *Element) { el.Systems = append(el.Systems, s) })
		}
	})
	each("IFCRELASSOCIATESMATERIAL", func(e *entity) {
		for _, c := range e.refs(4) {
			of(c, func(el *Element) { el.material = e.ref(5) })
		}
	})
	m.ports(by, each)
}

// ports reads where elements connect, and to what.
func (m *Model) ports(by map[string][]uint32, each func(string, func(*entity))) {
	at := map[uint32]int{}
	add := func(port, element uint32) {
		i, ok := m.number[element]
		if _, twice := at[port]; !ok || twice {
			return
		}
		p := m.get(port)
		if p.kind != "IFCDISTRIBUTIONPORT" && p.kind != "IFCPORT" {
			return
		}
		n := len(m.Ports)
		at[port] = n
		place := m.places.of(p.ref(5))
		m.Ports = append(m.Ports, Port{Of: i, At: place.o.Mul(m.MM), Name: p.str(2), To: -1})
		m.Elements[i].Ports = append(m.Elements[i].Ports, n)
	}
	each("IFCRELCONNECTSPORTTOELEMENT", func(e *entity) { add(e.must(4), e.must(5)) })
	for _, id := range by["IFCDISTRIBUTIONPORT"] {
		if p, ok := m.holds[id]; ok {
			m.try(id, func() { add(id, p) })
		}
	}
	each("IFCRELCONNECTSPORTS", func(e *entity) {
		a, ok := at[e.must(4)]
		b, too := at[e.must(5)]
		if ok && too {
			m.Ports[a].To, m.Ports[b].To = b, a
		}
	})
}

func (m *Model) grid(id uint32) {
	e := m.get(id)
	place := m.places.of(e.ref(5))
	place = place.scaled(m.MM)
	for i := 7; i <= 9; i++ {
		for _, a := range e.refs(i) {
			m.try(a, func() {
				ax := m.get(a)
				c := m.g.curve(ax.must(1), 0)
				if len(c) < 2 {
					ax.wrong("a grid line of no length")
				}
				p, q := place.point(c[0]), place.point(c[len(c)-1])
				m.Axes = append(m.Axes, Axis{ax.str(0), r2.Point{X: p.X, Y: p.Y}, r2.Point{X: q.X, Y: q.Y}, m.line(ax.at)})
			})
		}
	}
}

// Body is the form of an element.
type Body struct {
	Forms []Form
	// Clipped: something is cut away from it that is not seen here, so that it may be smaller.
	Clipped bool
	// Whole: it has more pieces than are told apart.
	Whole bool
	// Other: it has a form beside the one that was read, which was left.
	Other  bool
	solids []solid
}

// Body reads the form of an element. No form is no error: then there are no Forms.
func (m *Model) Body(e *Element) (b Body, err error) {
	defer func() {
		if err != nil {
			err = m.Wrong(e.ID, err)
		}
	}()
	defer caught(&err)
	if e.shape == 0 {
		return b, nil
	}
	m.g.steps, m.g.clipped = 0, false
	items, other := m.body(e.shape)
	b.Other = other
	if len(items) == 0 {
		return b, nil
	}
	place := m.places.of(e.place)
	place = place.scaled(m.MM)
	place = m.frame.times(place)
	for _, s := range m.g.items(items, 0) {
		s = s.moved(place)
		if len(s.faces) == 0 {
			continue
		}
		for _, p := range s.pts {
			if !(math.Abs(p.X) < 1e12 && math.Abs(p.Y) < 1e12 && math.Abs(p.Z) < 1e12) {
				return b, fmt.Errorf("a corner at %g, %g, %g", p.X, p.Y, p.Z)
			}
		}
		b.solids = append(b.solids, s)
	}
	b.Clipped = m.g.clipped
	b.Forms, b.Whole = forms(b.solids)
	return b, nil
}

// body returns the items of the representation that is the body: of what is called Body, else Facetation, else of what says of
// itself that it is a solid or a surface.
func (m *Model) body(shape uint32) (items []uint32, other bool) {
	e := m.get(shape)
	best, of := 0, uint32(0)
	for _, id := range e.refs(2) {
		r := m.get(id)
		if r.kind != "IFCSHAPEREPRESENTATION" {
			continue
		}
		rank := 0
		switch strings.ToUpper(r.str(1)) {
		case "BODY":
			rank = 3
		case "FACETATION", "TESSELLATION":
			rank = 2
		case "", "BODY-FALLBACK", "SURFACE", "MODEL":
			switch strings.ToUpper(r.str(2)) {
			case "SWEPTSOLID", "ADVANCEDSWEPTSOLID", "BREP", "ADVANCEDBREP", "TESSELLATION", "SURFACEMODEL", "CLIPPING", "CSG", "MAPPEDREPRESENTATION", "SOLIDMODEL":
				rank = 1
			}
		}
		if rank > best {
			other = best > 0
			best, of, items = rank, r.ref(0), r.refs(3)
		} else if rank == best && rank > 0 {
			if r.ref(0) == of {
				items = append(items, r.refs(3)...)
			} else {
				other = true
			}
		}
	}
	return items, other
}

// Under returns the lowest and the highest place of the body over a point of the plan.
func (b *Body) Under(x, y float64) (low, high float64, ok bool) {
	low, high = math.Inf(1), math.Inf(-1)
	for i := range b.solids {
		s := &b.solids[i]
		for _, f := range s.faces {
			in := false
			for _, l := range f {
				in = in != inside(s.pts, l, x, y)
			}
			if !in {
				continue
			}
			c := make([]r3.Vector, len(f[0]))
			for k, v := range f[0] {
				c[k] = s.pts[v]
			}
			n := across(c)
			if math.Abs(n.Z) < 1e-6*n.Norm() || n.Norm() == 0 {
				continue
			}
			z := c[0].Z - (n.X*(x-c[0].X)+n.Y*(y-c[0].Y))/n.Z
			low, high = min(low, z), max(high, z)
		}
	}
	return low, high, !math.IsInf(low, 0)
}

func inside(pts []r3.Vector, l []int32, x, y float64) bool {
	in := false
	for k, v := range l {
		p, q := pts[v], pts[l[(k+1)%len(l)]]
		if (p.X > x) != (q.X > x) && p.Y+(q.Y-p.Y)*(x-p.X)/(q.X-p.X) > y {
			in = !in
		}
	}
	return in
}

// Outlines returns the outlines of the level faces at the body's underside, holes among them: where it is in plan.
func (b *Body) Outlines() [][]r2.Point {
	var out [][]r2.Point
	for i := range b.solids {
		s := &b.solids[i]
		low, _ := boxOf(b.solids[i : i+1])
		for _, f := range s.faces {
			level := true
			for _, v := range f[0] {
				level = level && s.pts[v].Z < low.Z+1
			}
			if !level {
				continue
			}
			for _, l := range f {
				c := make([]r2.Point, len(l))
				for k, v := range l {
					c[k] = r2.Point{X: s.pts[v].X, Y: s.pts[v].Y}
				}
				out = append(out, c)
			}
		}
	}
	return out
}

// Property is one property of an element.
type Property struct {
	Set, Name, Text string
	MM              float64 // of a length
	Length          bool
}

// Properties returns the properties of an element, its own before those of its type.
func (m *Model) Properties(e *Element) (out []Property) {
	for _, id := range e.sets {
		m.try(id, func() {
			s := m.get(id)
			if s.kind != "IFCPROPERTYSET" {
				return
			}
			for _, pid := range s.refs(4) {
				if m.typeOf(pid) != "IFCPROPERTYSINGLEVALUE" {
					continue
				}
				p := m.get(pid)
				v := p.arg(2)
				if v.form == typed && len(v.list) == 1 {
					q := Property{Set: s.str(2), Name: p.str(0), Text: v.list[0].str}
					switch {
					case v.list[0].form == number && strings.Contains(v.str, "LENGTHMEASURE"):
						by := m.MM
						if p.has(3) {
							by = 1000 * m.si(p.must(3), 0)
						}
						q.MM, q.Length = v.list[0].num*by, true
					case v.list[0].form == number:
						q.Text = fmt.Sprint(v.list[0].num)
					}
					out = append(out, q)
				}
			}
		})
	}
	return out
}

// Layer is a layer of an element.
type Layer struct {
	Material  string
	Thickness float64 // mm
}

// Layers returns the layers of an element, from the first of its set.
func (m *Model) Layers(e *Element) (out []Layer) {
	if e.material == 0 {
		return nil
	}
	m.try(e.ID, func() {
		s := m.get(e.material)
		if s.kind == "IFCMATERIALLAYERSETUSAGE" {
			s = m.get(s.must(0))
		}
		if s.kind != "IFCMATERIALLAYERSET" {
			return
		}
		for _, id := range s.refs(0) {
			l := m.get(id)
			y := Layer{Thickness: l.num(1) * m.MM}
			if l.has(0) {
				mat := m.get(l.must(0))
				y.Material = mat.str(0)
			}
			out = append(out, y)
		}
	})
	return out
}
