package void

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
	"voidline/void/cell"
)

// Opening is a way through a beam, a wall (upright, square to its length), a soffit or a ceiling (level).
type Opening struct {
	In        int32 // index of the zone it is in, -1 for a soffit
	Bay       int32 // bay of the soffit or the ceiling it is in, -1 otherwise
	Ceiling   bool  // it is in the bay's ceiling, not in its soffit
	Centre    r3.Vector
	Across    r3.Vector // unit, along the beam or wall; x for a soffit
	Up        r3.Vector // unit, upright; y for a soffit
	HalfA     float64   // half the size along Across; the radius when Round
	HalfB     float64   // half the size along Up; the radius when Round
	Round     bool
	Margin    float64
	HasMargin bool // the row names a margin of its own
	Row       At
}

func (p *Project) resolveOpenings() {
	p.Openings, p.openingAt = make([]Opening, 0, p.rows.openings.n), make([]int32, p.rows.openings.n)
	for i := range p.rows.openings.n {
		p.by = teller{byOpening, int32(i)}
		if o, ok := p.resolveOpening(p.rows.openings.at(i)); ok {
			p.openingAt[i] = int32(len(p.Openings))
			p.Openings = append(p.Openings, o)
		} else {
			p.openingAt[i] = -1
			p.miss(1)
		}
	}
}

func (p *Project) resolveOpening(r *OpeningRow) (Opening, bool) {
	o := Opening{In: -1, Bay: -1, Margin: r.Margin.MM, HasMargin: r.Margin.Text != "", Row: r.At}
	ok := true
	bad := func(column, what, want, hint string) {
		p.problem(r.At, column, what, want, hint)
		ok = false
	}
	if r.In.Text == "" {
		bad("in", "blank", "the id of a beam or a wall, or soffit or ceiling and a bay", "")
		return o, false
	}
	if o.Margin < 0 {
		bad("margin", fmt.Sprintf("%q is negative", r.Margin.Text), "millimetres", "")
	}
	s := r.Size
	if s.Form == cell.SteelName || s.Form == cell.Solid || s.Form == cell.Disc || s.Form == cell.NoSize || s.Form == cell.NominalDN || s.A <= 0 || s.Form == cell.Rectangle && s.B <= 0 {
		bad("size", blank(s.Text, "is not the size of an opening"), "ø300 or 600x300", "")
	}
	o.HalfA, o.HalfB = s.A/2, s.B/2
	switch s.Form {
	case cell.Circle:
		o.Round, o.HalfB = true, s.A/2
	case cell.Single:
		o.HalfB = s.A / 2
	}
	place := func(column string, c cell.Place, axis int) float64 {
		v, why := p.place(c, axis)
		if why.what != "" {
			p.troubled(r.At, column, why)
			ok = false
		}
		return v
	}
	rest, is := strings.CutPrefix(fold(r.In.Text), "soffit ")
	if !is {
		rest, is = strings.CutPrefix(fold(r.In.Text), "ceiling ")
		o.Ceiling = is
	}
	if is {
		var same []string
		j, exact := p.bayLabelled(rest)
		if exact {
			o.Bay = j
		} else if j, ok := p.bayNamed[rest]; ok {
			for ; j >= 0; j = p.Bays[j].next {
				o.Bay, same = j, append(same, p.Bays[j].Label)
			}
		}
		if !exact && len(same) > 1 {
			bad("in", fmt.Sprintf("bay %q is in %d storeys", p.Bays[o.Bay].Name, len(same)), "the bay with its storey, such as "+strings.Fields(fold(r.In.Text))[0]+" "+same[0], "")
			return o, false
		}
		if o.Bay < 0 && p.broken["bays"] {
			bad("in", leans, "", "")
		} else if o.Bay < 0 {
			hint := p.guess(r.At, func() string {
				var names []string
				for j := range p.Bays {
					names = append(names, p.Bays[j].Label)
				}
				return near(rest, names)
			})
			bad("in", fmt.Sprintf("no bay %q", strings.TrimSpace(r.In.Text[strings.IndexByte(r.In.Text, ' ')+1:])), "soffit or ceiling, and a bay of bays.csv", hint)
		}
		if r.X.Text == "" || r.Y.Text == "" {
			bad("x", "blank", "x and y of the opening's middle", "")
		}
		if !ok {
			return o, false
		}
		o.Centre = r3.Vector{X: place("x", r.X, 0), Y: place("y", r.Y, 1), Z: p.Bays[o.Bay].Soffit}
		if o.Ceiling {
			o.Centre.Z = p.Bays[o.Bay].Ceiling
		}
		o.Across, o.Up = r3.Vector{X: 1}, r3.Vector{Y: 1}
		return o, ok
	}
	i, there := p.ZoneByID(r.In.Text)
	if !there && p.zonesMissing {
		return o, false
	}
	if !there {
		bad("in", fmt.Sprintf("no zone %q", r.In.Text), "the id of a beam or a wall, or soffit or ceiling and a bay", "")
		return o, false
	}
	z := p.Zone(i)
	o.In = int32(i)
	bare := z.Bare()
	n := math.Hypot(bare.Along.X, bare.Along.Y)
	if z.ByHeight || z.Item || n == 0 {
		bad("in", fmt.Sprintf("%q has no length", r.In.Text), "a beam or a wall with x1, y1, x2, y2", "")
		return o, false
	}
	e := r2.Point{X: bare.Along.X / n, Y: bare.Along.Y / n}
	start := bare.Start()
	var at float64
	switch {
	case r.Along.Text != "" && (r.X.Text != "" || r.Y.Text != ""):
		bad("at", "both at and x, y are given", "one of the two", "")
	case r.Along.Text != "":
		at = r.Along.MM
	case r.X.Text == "" || r.Y.Text == "":
		bad("at", "no place", "at (mm from the start), or x and y", "")
	default:
		x, y := place("x", r.X, 0), place("y", r.Y, 1)
		at = (x-start.X)*e.X + (y-start.Y)*e.Y
	}
	if ok && (at < -Hair || at > 2*n+Hair) {
		bad("at", fmt.Sprintf("%.0f mm is not on the %.0f mm of %q", at, 2*n, r.In.Text), "a place between its ends", "")
	}
	if !ok {
		return o, false
	}
	o.Across, o.Up = r3.Vector{X: e.X, Y: e.Y}, r3.Vector{Z: 1}
	o.Centre = start.Add(bare.Along.Mul(at / n))
	if r.Level.Text != "" {
		if r.Level.Range || r.Level.None {
			bad("level", fmt.Sprintf("%q is not one level", r.Level.Text), "the level of the opening's underside", "")
			return o, false
		}
		v, why := p.level(z, &bare, r.Level.Low)
		if why.what != "" {
			bad("level", why.what, why.want, why.hint)
			return o, false
		}
		if p.survey != nil && !z.Upright && r.Level.Low.Ref != cell.Steel {
			// It is in the steel, and was found with it.
			if v, why = p.levelAs(z, &bare, r.Level.Low, true); why.what == "" {
				v += z.at - p.drawnAt(z)
			}
		}
		face := r.Face.Is
		if face == cell.Unsaid {
			face = r.Level.Says
		}
		switch face {
		case cell.Centre:
		case cell.Top:
			v -= o.HalfB
		default:
			v += o.HalfB
		}
		o.Centre.Z = v
	}
	// What is higher than its beam, or beside it, is a slip of a level or of a beam's id.
	if high := bare.Height(); !bare.Round {
		switch {
		case 2*o.HalfB > 2*bare.H+Hair:
			bad("size", fmt.Sprintf("%q is higher than %q, %.1f", r.Size.Text, r.In.Text, 2*bare.H), "an opening in its height", "")
		case o.Centre.Z-o.HalfB < high.Lo-Hair || o.Centre.Z+o.HalfB > high.Hi+Hair:
			if from, to := high.Lo-(z.at-p.drawnAt(z)), high.Hi-p.Followed(z); p.survey != nil && o.Centre.Z-o.HalfB >= from-Hair && o.Centre.Z+o.HalfB <= to+Hair {
				ffl := p.Storeys[z.Storey].FFL // it is in it as drawn: what was found is no slip
				p.note(Note{Row: r.At, Text: fmt.Sprintf("the opening, %.1f to %.1f above FFL, is not within %q as that was found, %.1f to %.1f: where that ends it ends", o.Centre.Z-o.HalfB-ffl, o.Centre.Z+o.HalfB-ffl, r.In.Text, high.Lo-ffl, high.Hi-ffl)})
				break
			}
			bad("level", fmt.Sprintf("the opening, %.1f to %.1f above FFL, is not within %q, %.1f to %.1f", o.Centre.Z-o.HalfB-p.Storeys[z.Storey].FFL,
				o.Centre.Z+o.HalfB-p.Storeys[z.Storey].FFL, r.In.Text, high.Lo-p.Storeys[z.Storey].FFL, high.Hi-p.Storeys[z.Storey].FFL), "the level of its underside", "")
		}
	}
	return o, ok
}

// SpaceKind is what an access space is for.
type SpaceKind uint8

// The kinds of access space.
const (
	Hatch SpaceKind = iota
	WorkingSpace
	Withdrawal
)

// String returns the kind in words.
func (k SpaceKind) String() string {
	return [...]string{"hatch", "working space", "withdrawal"}[k]
}

// Space is room that must stay free to reach a zone.
type Space struct {
	For  int32
	Kind SpaceKind
	Body body.Body // of a hatch: the shaft from the finished face to the underside of what it serves
	// Open is false where the room could not be worked out (a hatch in a bay without a ceiling): it is
	// told, and only the hatch's plan counts.
	Open bool
	Side cell.Towards
	Row  At
}

func (p *Project) resolveAccess() {
	p.Spaces, p.spaceAt = make([]Space, 0, p.rows.access.n), make([]int32, p.rows.access.n)
	for i := range p.rows.access.n {
		p.by = teller{bySpace, int32(i)}
		if s, ok := p.resolveSpace(p.rows.access.at(i)); ok {
			p.spaceAt[i] = int32(len(p.Spaces))
			p.Spaces = append(p.Spaces, s)
		} else {
			p.spaceAt[i] = -1
			p.miss(1)
		}
	}
}

// HatchSize is the usual hatch, 600 x 600 mm (access-panel handbook, see the facts on access hatches).
const HatchSize = 600.0

func (p *Project) resolveSpace(r *AccessRow) (Space, bool) {
	s := Space{Row: r.At, Side: r.Side.Is, Open: true}
	ok := true
	bad := func(column, what, want, hint string) {
		p.problem(r.At, column, what, want, hint)
		ok = false
	}
	i, there := p.ZoneByID(r.For.Text)
	if !there && p.zonesMissing {
		return s, false
	}
	if !there {
		bad("for", fmt.Sprintf("no zone %q", r.For.Text), "the id of a zone", date(r.For.Text, ""))
		return s, false
	}
	s.For = int32(i)
	z := p.Zone(i)
	words := []string{"hatch", "working space", "withdrawal"}
	switch fold(r.Kind.Text) {
	case "hatch", "access hatch", "access panel", "panel":
		s.Kind = Hatch
	case "working space", "working", "work space":
		s.Kind = WorkingSpace
	case "withdrawal", "withdraw":
		s.Kind = Withdrawal
	default:
		bad("kind", blank(r.Kind.Text, "is not a kind of access"), strings.Join(words, ", "), near(r.Kind.Text, words))
		return s, false
	}
	if z.ByHeight {
		bad("for", fmt.Sprintf("%q lies over its whole bay: it has no place to be reached at", r.For.Text), "a zone with a place", "")
		return s, false
	}
	f := z.Full()
	if s.Kind == Hatch {
		at := r2.Point{X: f.Centre.X, Y: f.Centre.Y}
		if (r.X.Text == "") != (r.Y.Text == "") {
			bad("x", "one of x and y is blank", "both, or neither for a hatch under the middle of the zone", "")
		} else if r.X.Text != "" {
			for axis, c := range []cell.Place{r.X, r.Y} {
				v, why := p.place(c, axis)
				if why.what != "" {
					p.troubled(r.At, []string{"x", "y"}[axis], why)
					ok = false
				}
				if axis == 0 {
					at.X = v
				} else {
					at.Y = v
				}
			}
		}
		size := r2.Point{X: HatchSize, Y: HatchSize}
		switch r.Size.Form {
		case cell.NoSize:
		case cell.Rectangle:
			size = r2.Point{X: r.Size.A, Y: r.Size.B}
		case cell.Single, cell.Circle:
			size = r2.Point{X: r.Size.A, Y: r.Size.A}
		default:
			bad("size", fmt.Sprintf("%q is not the size of a hatch", r.Size.Text), "600x600", "")
		}
		if size.X <= 0 || size.Y <= 0 {
			bad("size", fmt.Sprintf("%q is not the size of a hatch", r.Size.Text), "600x600", "")
		}
		if !ok {
			return s, false
		}
		var why string
		if s.Body, why = p.Shaft(z, at, size); why != "" {
			s.Open = false
			p.note(Note{Zone: z.ID, Row: r.At, Text: why})
		}
		return s, true
	}
	depth := r.Depth.MM
	if depth <= 0 {
		bad("depth", blank(r.Depth.Text, "is not how far the room reaches"), "millimetres out from the side", "")
	}
	if r.Width.Text != "" && r.Width.MM <= 0 {
		bad("width", fmt.Sprintf("%q is not a width", r.Width.Text), "millimetres along the side, blank for the whole side", "")
	}
	if s.Side == cell.NoSide {
		bad("side", "blank", "start, end, left, right, above or below; for items east, north, west, south, above or below", "")
	}
	if !ok {
		return s, false
	}
	b, want := beside(f, z.Item || z.Upright && f.Round, s.Side, depth, r.Width.MM)
	if want != "" {
		bad("side", fmt.Sprintf("%q is not a side of %q", r.Side.Text, r.For.Text), want, "")
		return s, false
	}
	s.Body = b
	return s, true
}

// Shaft returns the shaft of a hatch for a zone, of a size along x and y, mm, with its middle at a plan point: from the finished face there to the
// zone's underside. why says what it then lacks, "" nothing; such a shaft has no height.
func (p *Project) Shaft(z *Zone, at, size r2.Point) (shaft body.Body, why string) {
	plan := r2.RectFromCenterSize(at, size)
	under := z.Full().Height().Lo
	b, found := p.BayAt(int(z.Storey), at)
	switch {
	case !found:
		return body.Upright(plan, r1.Interval{Lo: under, Hi: under}), "the hatch has no ceiling to be in: no bay holds it"
	case !p.Bays[b].HasCeiling:
		return body.Upright(plan, r1.Interval{Lo: under, Hi: under}), fmt.Sprintf("the hatch has no ceiling to be in: bay %q has no ceiling", p.Bays[b].Name)
	}
	face := p.Bays[b].Ceiling
	if under <= face+Hair {
		return body.Upright(plan, r1.Interval{Lo: face, Hi: face}), "the hatch serves something that is not above the ceiling"
	}
	return body.Upright(plan, r1.Interval{Lo: face, Hi: under}), ""
}

// beside returns the box of the given depth out from a side of a body; width 0 is the whole side. An
// item's sides are named by the compass, a length's as seen from its start.
func beside(f body.Body, item bool, side cell.Towards, depth, width float64) (body.Body, string) {
	if f.Round {
		// The room beside a round body starts at its widest, and is as high as it is.
		h := f.Height()
		if math.Hypot(f.Along.X, f.Along.Y) == 0 {
			f = body.Body{Centre: f.Centre, Along: r3.Vector{X: f.W}, Across: r2.Point{Y: 1}, W: f.W, H: h.Length() / 2}
		} else {
			f.Round, f.H = false, f.W
		}
	}
	n := math.Hypot(f.Along.X, f.Along.Y)
	e := r3.Vector{X: f.Along.X / n, Y: f.Along.Y / n}
	a := r3.Vector{X: f.Across.X, Y: f.Across.Y}
	if item {
		switch side {
		case cell.East:
			side = cell.End
		case cell.West:
			side = cell.Start
		case cell.North:
			side = cell.Left
		case cell.South:
			side = cell.Right
		case cell.Above, cell.Below:
		default:
			return f, "east, north, west, south, above or below: an item has no start"
		}
	}
	b := f
	half := func(whole float64) float64 {
		if width > 0 {
			return width / 2
		}
		return whole
	}
	switch side {
	case cell.Left, cell.Right:
		s := 1.0
		if side == cell.Right {
			s = -1
		}
		b.Centre = f.Centre.Add(a.Mul(s * (f.W + depth/2)))
		b.W = depth / 2
		b.Along = f.Along.Mul(half(n) / n)
	case cell.Start, cell.End:
		s, at := 1.0, f.End()
		if side == cell.Start {
			s, at = -1, f.Start()
		}
		b.Centre = at.Add(e.Mul(s * depth / 2))
		b.Along = e.Mul(depth / 2)
		b.W = half(f.W)
	case cell.Above, cell.Below:
		s := 1.0
		if side == cell.Below {
			s = -1
		}
		b.Centre.Z += s * (f.H + depth/2)
		b.H = depth / 2
		b.Along = f.Along.Mul(half(n) / n)
	default:
		return f, "start, end, left, right, above or below"
	}
	return b, ""
}

// SideOf returns a plate of 1 mm over one side of a body of zone z, and the way that the side looks; false where it has no
// such side.
func SideOf(z *Zone, f body.Body, side cell.Towards) (plate body.Body, out r3.Vector, ok bool) {
	plate, want := beside(f, z.Item || z.Upright && f.Round, side, 1, 0)
	if want != "" {
		return plate, out, false
	}
	if side == cell.Above || side == cell.Below {
		return plate, r3.Vector{Z: math.Copysign(1, plate.Centre.Z-f.Centre.Z)}, true
	}
	out = plate.Centre.Sub(f.Centre)
	out.Z = 0
	return plate, out.Normalize(), out.Norm() > 0
}

// BayAt returns the first bay by order whose plan holds the point, inside first, edges after.
func (p *Project) BayAt(storey int, at r2.Point) (int, bool) {
	edge := -1
	var scratch [16]int32
	for _, j := range p.bayTiles[storey].near(r2.RectFromPoints(at), scratch[:0]) {
		b := &p.Bays[j]
		if b.Plan.InteriorContainsPoint(at) {
			return int(j), true
		}
		if edge < 0 && b.Plan.Expanded(r2.Point{X: Hair, Y: Hair}).ContainsPoint(at) {
			edge = int(j)
		}
	}
	return edge, edge >= 0
}

// BayRound returns the one bay of a storey that holds a plan rectangle whole, false where more than one touches it or
// none holds it: what BayAt says of every point in it.
func (p *Project) BayRound(storey int, r r2.Rect) (int, bool) {
	one := -1
	var scratch [16]int32
	for _, j := range p.bayTiles[storey].near(r, scratch[:0]) {
		b := &p.Bays[j]
		if !b.Plan.Expanded(r2.Point{X: Hair, Y: Hair}).Intersects(r) {
			continue
		}
		if one >= 0 || !b.Plan.InteriorContains(r) {
			return -1, false
		}
		one = int(j)
	}
	return one, one >= 0
}

// BaysNear returns the bays of a storey that may touch a plan rectangle, ascending.
func (p *Project) BaysNear(storey int, plan r2.Rect) []int32 {
	return p.bayTiles[storey].near(plan, nil)
}

// whole rounds to the nearest 0.1 mm and then to whole mm, so that noise in the last bits does not show.
func whole(v float64) float64 {
	w := math.Round(math.Round(v*10) / 10)
	if w == 0 {
		return 0
	}
	return w
}

// Where says a plan point in words: by the nearest grid lines where there are any.
func (p *Project) Where(at r2.Point) string {
	x, y := p.Places(at)
	return x + ", " + y
}

// Places says where a plan point is on each axis, as Where does.
func (p *Project) Places(at r2.Point) (x, y string) {
	figure := func(mm float64) string { return strconv.FormatFloat(mm, 'f', 0, 64) }
	word := func(lines []GridLine, v float64, axis string) string {
		if len(lines) == 0 {
			return axis + " " + figure(whole(v))
		}
		best := lines[0]
		for _, l := range lines {
			if math.Abs(v-l.Position) < math.Abs(v-best.Position)-Hair { // midway the lower line
				best = l
			}
		}
		name := best.Label
		if strings.TrimLeft(name, "0123456789") == "" {
			name = "grid " + name
		}
		switch d := whole(v - best.Position); {
		case d > 0:
			return name + "+" + figure(d)
		case d < 0:
			return name + "-" + figure(-d)
		}
		return name
	}
	return word(p.GridX, at.X, "x"), word(p.GridY, at.Y, "y")
}

// squareTo is the cosine of the angle up to which a way is said to go towards a grid line: 10 degrees.
const squareTo = 0.985

// Towards says where one comes to who goes from a point of the plan along dir: "grid C", the first grid line ahead where the
// way is all but square to it, else one of the eight points of the compass, "north-east"; "" where dir is zero.
func (p *Project) Towards(from, dir r2.Point) string {
	n := dir.Norm()
	if n == 0 {
		return ""
	}
	dir = dir.Mul(1 / n)
	ahead := func(lines []GridLine, at, way float64) string {
		best := -1
		for k := range lines {
			by := (lines[k].Position - at) * way
			if by > 1 && (best < 0 || by < (lines[best].Position-at)*way) {
				best = k
			}
		}
		if best < 0 {
			return ""
		}
		return "grid " + lines[best].Label
	}
	line := ""
	switch {
	case math.Abs(dir.X) >= squareTo:
		line = ahead(p.GridX, from.X, math.Copysign(1, dir.X))
	case math.Abs(dir.Y) >= squareTo:
		line = ahead(p.GridY, from.Y, math.Copysign(1, dir.Y))
	}
	if line != "" {
		return line
	}
	eighth := int(math.Round(math.Atan2(dir.Y, dir.X)/(math.Pi/4)+8)) % 8
	return [...]string{"east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east"}[eighth]
}

// Point returns the plan point that two places name, numbers being as in an answer: less the project's origin. The text
// says why there is none.
func (p *Project) Point(x, y cell.Place) (r2.Point, string) {
	vx, why := p.point(x, 0)
	if why.what != "" {
		return r2.Point{}, why.what
	}
	vy, why := p.point(y, 1)
	return r2.Point{X: vx, Y: vy}, why.what
}
