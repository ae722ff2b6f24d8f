package ifc

import (
	"cmp"
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void"
)

// Form is one piece of an element as it stands in the project's axes, in mm.
type Form struct {
	Low, High r3.Vector // of its box along the axes
	// Straight is its centre line and section where it is straight, nil where it is not.
	Straight *Straight
	// Turned is its box, upright, and turned in plan to its longest level face.
	Turned Box
	// Fill is how much of the body by which it is told (its straight length, else its turned box) it fills as seen from its three
	// sides, 1 for all of it. The inside of what is hollow counts as filled.
	Fill float64
}

// Straight is a straight length.
type Straight struct {
	A, B         r3.Vector // the centre line of the box round its section
	Across, High float64   // of that box: level, and square to that and to the line. Of an upright length along Turn, and square to it
	Turn         float64   // of an upright length: which way Across goes in plan, degrees from x towards y, 0 <= Turn < 180
	Round        bool      // a circle: Across is its diameter, and High too
	Exact        bool      // one section that is pushed along a line; else measured from its faces
	// Sheared: its ends are upright, though it slopes, and High is measured upright.
	Sheared bool
	// SecA, SecB, Roll are the least rectangle round its section, and how far that is turned about the line from level, degrees.
	SecA, SecB, Roll float64
}

// Upright reports whether the length stands upright.
func (s *Straight) Upright() bool { return upright(s.B.Sub(s.A)) }

// Box is an upright box, turned in plan.
type Box struct {
	Middle     r3.Vector
	Long, Wide float64 // in plan; Long is along Turn
	Tall       float64
	Turn       float64 // degrees from x towards y, 0 <= Turn < 180
}

// How near is the same, mm, or of directions.
const (
	weld     = 0.05 // corners of one piece
	apart    = 5.0  // what is further from the others is a piece of its own
	flatness = 1e-3 // of directions
)

// Limits are the lengths that decide what one piece of an element is.
func Limits() []void.Limit {
	return void.Practised([]void.Limit{
		{Name: "corners of a form that are one, apart at most", MM: weld, Why: "files round"},
		{Name: "pieces of an element that are one, apart at most", MM: apart, Why: "a lamp in its housing, a lid over its box: what is further is a piece of its own"},
	})
}

// mostPieces is how many pieces an element is split into; of more the box round all of them is told.
const mostPieces = 12

// forms makes the pieces of an element of its solids, and whether they were too many to be told apart.
func forms(solids []solid) (out []Form, whole bool) {
	groups := pieces(solids)
	if len(groups) > mostPieces {
		var all []solid
		for _, g := range groups {
			all = append(all, g...)
		}
		groups, whole = [][]solid{all}, true
	}
	for _, g := range groups {
		out = append(out, measured(g))
	}
	return out, whole
}

// boxOf returns the box along the axes round solids.
func boxOf(s []solid) (low, high r3.Vector) {
	low = r3.Vector{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high = low.Mul(-1)
	for i := range s {
		if w := s[i].sweep; w != nil && w.radius > 0 {
			// A circle's box is that of the circle, not of its corners.
			n := w.by.Normalize()
			for _, c := range [2]r3.Vector{w.centre, w.centre.Add(w.by)} {
				d := r3.Vector{X: w.radius * math.Sqrt(max(0, 1-n.X*n.X)), Y: w.radius * math.Sqrt(max(0, 1-n.Y*n.Y)), Z: w.radius * math.Sqrt(max(0, 1-n.Z*n.Z))}
				low, high = least(low, c.Sub(d)), most(high, c.Add(d))
			}
			if circleSquare(w) {
				continue
			}
		}
		for _, f := range s[i].faces {
			for _, l := range f {
				for _, v := range l {
					low, high = least(low, s[i].pts[v]), most(high, s[i].pts[v])
				}
			}
		}
	}
	return low, high
}

// circleSquare reports whether a circle is pushed square to its plane.
func circleSquare(w *sweep) bool {
	n := normal(w.base)
	return n.Cross(w.by.Normalize()).Norm() < 1e-6
}

func least(a, b r3.Vector) r3.Vector {
	return r3.Vector{X: min(a.X, b.X), Y: min(a.Y, b.Y), Z: min(a.Z, b.Z)}
}

func most(a, b r3.Vector) r3.Vector {
	return r3.Vector{X: max(a.X, b.X), Y: max(a.Y, b.Y), Z: max(a.Z, b.Z)}
}

// normal returns the direction square to a flat outline, of length 1; none of one without area.
func normal(c []r3.Vector) r3.Vector {
	n := across(c)
	if l := n.Norm(); l > 0 {
		return n.Mul(1 / l)
	}
	return n
}

// across is the outline's area vector, doubled.
func across(c []r3.Vector) r3.Vector {
	var n r3.Vector
	for i := 2; i < len(c); i++ {
		n = n.Add(c[i-1].Sub(c[0]).Cross(c[i].Sub(c[0])))
	}
	return n
}

// pieces puts together what belongs together: what shares corners, or is no more than apart from each other by its boxes.
func pieces(solids []solid) [][]solid {
	var parts []solid
	for _, s := range solids {
		if s.sweep != nil {
			parts = append(parts, s)
			continue
		}
		parts = append(parts, split(s)...)
	}
	if len(parts) < 2 {
		if len(parts) == 0 {
			return nil
		}
		return [][]solid{parts}
	}
	type box struct{ low, high r3.Vector }
	boxes := make([]box, len(parts))
	of := make([]int, len(parts))
	for i := range parts {
		boxes[i].low, boxes[i].high = boxOf(parts[i : i+1])
		of[i] = i
	}
	root := func(i int) int {
		for of[i] != i {
			of[i] = of[of[i]]
			i = of[i]
		}
		return i
	}
	near := func(a, b box) bool {
		return a.low.X <= b.high.X+apart && b.low.X <= a.high.X+apart && a.low.Y <= b.high.Y+apart && b.low.Y <= a.high.Y+apart && a.low.Z <= b.high.Z+apart && b.low.Z <= a.high.Z+apart
	}
	order := make([]int, len(parts))
	for i := range order {
		order[i] = i
	}
	// A group is the box round it, so what joined it may bring it near to others: until nothing joins any more.
	for joined := true; joined; {
		joined = false
		order = slices.DeleteFunc(order, func(i int) bool { return root(i) != i })
		slices.SortFunc(order, func(a, b int) int { return cmp.Compare(boxes[a].low.X, boxes[b].low.X) })
		for k, i := range order {
			for _, j := range order[k+1:] {
				if boxes[j].low.X > boxes[i].high.X+apart {
					break
				}
				if a, b := root(i), root(j); a != b && near(boxes[a], boxes[b]) {
					of[b] = a
					boxes[a] = box{least(boxes[a].low, boxes[b].low), most(boxes[a].high, boxes[b].high)}
					joined = true
				}
			}
		}
	}
	var out [][]solid
	number := map[int]int{}
	for i := range parts {
		r := root(i)
		n, ok := number[r]
		if !ok {
			n = len(out)
			number[r] = n
			out = append(out, nil)
		}
		out[n] = append(out[n], parts[i])
	}
	return out
}

// split takes a mesh apart into what shares corners.
func split(s solid) []solid {
	type key [3]int64
	at := make(map[key]int32, len(s.pts))
	same := make([]int32, len(s.pts))
	of := make([]int32, len(s.pts))
	for i, p := range s.pts {
		k := key{int64(math.Round(p.X / weld)), int64(math.Round(p.Y / weld)), int64(math.Round(p.Z / weld))}
		j, ok := at[k]
		if !ok {
			j = int32(i)
			at[k] = j
		}
		same[i], of[i] = j, int32(i)
	}
	root := func(i int32) int32 {
		for of[i] != i {
			of[i] = of[of[i]]
			i = of[i]
		}
		return i
	}
	for _, f := range s.faces {
		a := root(same[f[0][0]])
		for _, l := range f {
			for _, v := range l {
				of[root(same[v])] = a
			}
		}
	}
	number := map[int32]int{}
	var out []solid
	for _, f := range s.faces {
		r := root(same[f[0][0]])
		n, ok := number[r]
		if !ok {
			n = len(out)
			number[r] = n
			out = append(out, solid{pts: s.pts})
		}
		out[n].faces = append(out[n].faces, f)
	}
	return out
}

// measured measures one piece.
func measured(s []solid) Form {
	var f Form
	f.Low, f.High = boxOf(s)
	m := gather(s)
	f.Turned = m.turned(f.Low, f.High)
	if len(s) == 1 && s[0].sweep != nil {
		f.Straight = m.pushed(s[0].sweep)
	} else {
		f.Straight = m.straight()
	}
	switch {
	case f.Straight != nil:
		f.Fill = m.filled(f.Straight)
	default:
		f.Fill = m.shadow(f.Turned)
	}
	return f
}

// pushed measures a section that is pushed along a line, nil where that is no length: a plate, a thing pushed upwards from its plan.
func (m *mesh) pushed(w *sweep) *Straight {
	long := w.by.Norm()
	if !(long > 0) {
		return nil
	}
	d := w.by.Mul(1 / long)
	n := normal(w.base)
	if n.Dot(d) < 0 {
		n = n.Mul(-1)
	}
	st := Straight{Exact: true}
	slanted := n.Cross(d).Norm() > 1e-6
	if slanted {
		// Pushed aslant. Only what has upright ends and slopes is a length all the same.
		level := r3.Vector{X: d.X, Y: d.Y}
		if math.Abs(n.Z) > 1e-6 || level.Norm() < 1e-6 || level.Normalize().Cross(n).Norm() > 1e-6 {
			return nil
		}
		st.Sheared = true
	}
	if w.radius > 0 && !slanted {
		st.A, st.B = w.centre, w.centre.Add(w.by)
		st.Across, st.High, st.Round = 2*w.radius, 2*w.radius, true
		st.SecA, st.SecB = st.Across, st.High
		return &st
	}
	h, c := frame(n)
	if upright(d) {
		h, c = sides(w.base, n)
	}
	st.section(w.base, w.base[0], n, h, c)
	// A stick that is pushed across its length, as a tray that is pushed upwards from its plan: the length is along the section.
	if a, b := max(st.SecA, st.SecB), min(st.SecA, st.SecB); !slanted && a > 4*long {
		if !rectangular(w.base) {
			return m.straight()
		}
		if a > 4*b {
			return pushedAcross(w, d)
		}
	}
	st.B = st.A.Add(w.by)
	if upright(d) {
		st.Turn = turnOf(c)
	}
	return &st
}

// upright reports whether a direction is upright.
func upright(d r3.Vector) bool { return math.Hypot(d.X, d.Y) <= 1e-4*math.Abs(d.Z) }

// frame returns, for the direction of a length, what is level and square to it (c) and what is square to both (h), upwards.
func frame(d r3.Vector) (h, c r3.Vector) {
	h = r3.Vector{Z: 1}
	h = h.Sub(d.Mul(d.Z))
	if h.Norm() < 1e-4 {
		h = r3.Vector{Y: 1}
		h = h.Sub(d.Mul(d.Y))
	}
	h = h.Normalize()
	return h, d.Cross(h)
}

// sides returns the directions of the longest side of an outline and square to it.
func sides(c []r3.Vector, n r3.Vector) (h, x r3.Vector) {
	best := 0.0
	for i := range c {
		if e := c[(i+1)%len(c)].Sub(c[i]); e.Norm() > best*(1+1e-9) {
			best, x = e.Norm(), e.Normalize()
		}
	}
	if x.X < -1e-9 || math.Abs(x.X) <= 1e-9 && x.Y < 0 {
		x = x.Mul(-1)
	}
	return n.Cross(x), x
}

// section measures corners across a line by the point o in direction d: along c and h, and the least rectangle round them.
func (s *Straight) section(pts []r3.Vector, o, d, h, c r3.Vector) {
	flat := make([]r3.Vector, len(pts))
	for i, p := range pts {
		q := p.Sub(o)
		flat[i] = r3.Vector{X: q.Dot(c), Y: q.Dot(h)}
	}
	low, high := bounds(flat)
	s.Across, s.High = high.X-low.X, high.Y-low.Y
	s.A = o.Add(c.Mul((low.X + high.X) / 2)).Add(h.Mul((low.Y + high.Y) / 2))
	s.SecA, s.SecB, s.Roll = leastRectangle(flat)
}

func bounds(pts []r3.Vector) (low, high r3.Vector) {
	low = r3.Vector{X: math.Inf(1), Y: math.Inf(1), Z: math.Inf(1)}
	high = low.Mul(-1)
	for _, p := range pts {
		low, high = least(low, p), most(high, p)
	}
	return low, high
}

// leastRectangle returns the least rectangle round points of a plane, and how far its first side is turned from x, 0 to 90 degrees.
func leastRectangle(pts []r3.Vector) (a, b, turn float64) {
	h := hull(pts)
	best := math.Inf(1)
	try := func(u r3.Vector) {
		v := r3.Vector{X: -u.Y, Y: u.X}
		x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range h {
			x, y := p.Dot(u), p.Dot(v)
			x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
		}
		if area := (x1 - x0) * (y1 - y0); area < best*(1-1e-6) {
			best, a, b = area, x1-x0, y1-y0
			turn = math.Mod(math.Atan2(u.Y, u.X)*180/math.Pi+360, 180)
			if turn >= 90-1e-9 {
				turn -= 90
				a, b = b, a
			}
			if turn < 1e-6 || turn > 90-1e-6 {
				turn = 0
			}
		}
	}
	try(r3.Vector{X: 1})
	for i := range h {
		if e := h[(i+1)%len(h)].Sub(h[i]); e.Norm() > 0 {
			try(e.Normalize())
		}
	}
	return a, b, turn
}

// hull returns the corners of the convex outline round points of the plane z = 0, anticlockwise.
func hull(pts []r3.Vector) []r3.Vector {
	p := slices.Clone(pts)
	slices.SortFunc(p, func(a, b r3.Vector) int { return cmp.Or(cmp.Compare(a.X, b.X), cmp.Compare(a.Y, b.Y)) })
	p = slices.CompactFunc(p, func(a, b r3.Vector) bool { return a.X == b.X && a.Y == b.Y })
	if len(p) < 3 {
		return p
	}
	var out []r3.Vector
	half := func(next func(i int) r3.Vector) {
		from := len(out)
		for i := range p {
			q := next(i)
			for len(out)-from >= 2 {
				a, b := out[len(out)-2], out[len(out)-1]
				if (b.X-a.X)*(q.Y-a.Y)-(b.Y-a.Y)*(q.X-a.X) > 0 {
					break
				}
				out = out[:len(out)-1]
			}
			out = append(out, q)
		}
		out = out[:len(out)-1]
	}
	half(func(i int) r3.Vector { return p[i] })
	half(func(i int) r3.Vector { return p[len(p)-1-i] })
	return out
}

// rectangular reports whether an outline is a rectangle, by its corners.
func rectangular(c []r3.Vector) bool {
	n := len(c)
	var corners []r3.Vector
	for i := range c {
		u, v := c[i].Sub(c[(i+n-1)%n]), c[(i+1)%n].Sub(c[i])
		if u.Norm() == 0 || v.Norm() == 0 {
			continue
		}
		if s := u.Normalize().Cross(v.Normalize()).Norm(); s > 1e-6 {
			if s < 1-1e-6 {
				return false
			}
			corners = append(corners, c[i])
		}
	}
	return len(corners) == 4
}

// pushedAcross is the length of a rectangle that is pushed across: along the rectangle's longer side.
func pushedAcross(w *sweep, by r3.Vector) *Straight {
	n := len(w.base)
	var d r3.Vector
	best := 0.0
	for i := range w.base {
		if e := w.base[(i+1)%n].Sub(w.base[i]); e.Norm() > best {
			best, d = e.Norm(), e.Normalize()
		}
	}
	var pts []r3.Vector
	for _, p := range w.base {
		pts = append(pts, p, p.Add(w.by))
	}
	return along(pts, d, by)
}

// along is the straight length in a direction that holds points; side is the direction of a side face, for what is upright.
func along(pts []r3.Vector, d, side r3.Vector) *Straight {
	// From the smaller coordinate.
	big := d.X
	if math.Abs(d.Y) > math.Abs(big)+1e-9 {
		big = d.Y
	}
	if math.Abs(d.Z) > math.Abs(big)+1e-9 {
		big = d.Z
	}
	if big < 0 {
		d = d.Mul(-1)
	}
	st := &Straight{}
	h, c := frame(d)
	if upright(d) {
		c = side.Sub(d.Mul(side.Dot(d)))
		if c.Norm() < 1e-9 {
			c = r3.Vector{X: 1}
		}
		c = c.Normalize()
		if c.X < -1e-9 || math.Abs(c.X) <= 1e-9 && c.Y < 0 {
			c = c.Mul(-1)
		}
		h = d.Cross(c)
		st.Turn = turnOf(c)
	}
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range pts {
		low, high = min(low, p.Sub(pts[0]).Dot(d)), max(high, p.Sub(pts[0]).Dot(d))
	}
	st.section(pts, pts[0], d, h, c)
	st.B = st.A.Add(d.Mul(high))
	st.A = st.A.Add(d.Mul(low))
	return st
}

func turnOf(c r3.Vector) float64 {
	t := math.Mod(math.Atan2(c.Y, c.X)*180/math.Pi+360, 180)
	if t > 180-1e-6 || t < 1e-6 {
		return 0
	}
	return t
}

// mesh is what all faces of a piece come to: their corners, and which way they look with how much area.
type mesh struct {
	s      []solid
	pts    []r3.Vector // those that a face has
	facing []facing    // by area, the largest first
	area   float64
}

type facing struct {
	n    r3.Vector
	area float64
}

func gather(s []solid) *mesh {
	m := &mesh{s: s}
	type key [3]int32
	at := map[key]int{}
	for i := range s {
		used := make([]bool, len(s[i].pts))
		for _, f := range s[i].faces {
			var n r3.Vector
			for _, l := range f {
				var c []r3.Vector
				for _, v := range l {
					c = append(c, s[i].pts[v])
					if !used[v] {
						used[v] = true
						m.pts = append(m.pts, s[i].pts[v])
					}
				}
				n = n.Add(across(c)) // a hole goes round the other way
			}
			a := n.Norm() / 2
			if a < 1e-6 {
				continue
			}
			n = n.Mul(0.5 / a)
			if n.X < -1e-9 || math.Abs(n.X) <= 1e-9 && (n.Y < -1e-9 || math.Abs(n.Y) <= 1e-9 && n.Z < 0) {
				n = n.Mul(-1)
			}
			k := key{int32(math.Round(n.X * 2e4)), int32(math.Round(n.Y * 2e4)), int32(math.Round(n.Z * 2e4))}
			j, ok := at[k]
			if !ok {
				j = len(m.facing)
				at[k] = j
				m.facing = append(m.facing, facing{n: n})
			}
			m.facing[j].area += a
			m.area += a
		}
	}
	slices.SortStableFunc(m.facing, func(a, b facing) int { return cmp.Compare(b.area, a.area) })
	return m
}

// turned returns the box turned to the longest level face: of the ways upright faces look, and along the axes, that with the least plan.
func (m *mesh) turned(low, high r3.Vector) Box {
	flat := make([]r3.Vector, len(m.pts))
	mid := low.Add(high).Mul(0.5)
	for i, p := range m.pts {
		flat[i] = r3.Vector{X: p.X - mid.X, Y: p.Y - mid.Y}
	}
	h := hull(flat)
	b := Box{Middle: mid, Long: high.X - low.X, Wide: high.Y - low.Y, Tall: high.Z - low.Z}
	best := b.Long * b.Wide
	tried := 0
	for _, f := range m.facing {
		if math.Abs(f.n.Z) > flatness || f.area < m.area/50 {
			continue
		}
		if tried++; tried > 8 {
			break
		}
		u := r3.Vector{X: f.n.X, Y: f.n.Y}.Normalize()
		if math.Abs(u.X) < 1e-6 || math.Abs(u.Y) < 1e-6 {
			continue
		}
		v := r3.Vector{X: -u.Y, Y: u.X}
		x0, x1, y0, y1 := math.Inf(1), math.Inf(-1), math.Inf(1), math.Inf(-1)
		for _, p := range h {
			x, y := p.Dot(u), p.Dot(v)
			x0, x1, y0, y1 = min(x0, x), max(x1, x), min(y0, y), max(y1, y)
		}
		if (x1-x0)*(y1-y0) < best*0.98 {
			best = (x1 - x0) * (y1 - y0)
			o := u.Mul((x0 + x1) / 2).Add(v.Mul((y0 + y1) / 2))
			b.Middle = r3.Vector{X: mid.X + o.X, Y: mid.Y + o.Y, Z: mid.Z}
			b.Long, b.Wide, b.Turn = x1-x0, y1-y0, turnOf(u)
		}
	}
	if b.Wide > b.Long && b.Turn != 0 {
		b.Long, b.Wide = b.Wide, b.Long
		b.Turn = math.Mod(b.Turn+90, 180)
	}
	return b
}

// straightShare is how much of the area of what is straight looks along its line or square to it.
const straightShare = 0.97

// straight looks for the line along which the piece is straight, nil where it is not.
func (m *mesh) straight() *Straight {
	top := m.facing[:min(len(m.facing), 8)]
	var dirs []r3.Vector
	add := func(d r3.Vector) {
		for _, e := range dirs {
			if math.Abs(e.Dot(d)) > 0.999999 {
				return
			}
		}
		dirs = append(dirs, d)
	}
	for _, f := range top {
		add(f.n)
	}
	for i := range top {
		for j := range i {
			if c := top[i].n.Cross(top[j].n); c.Norm() > 0.05 {
				add(c.Normalize())
			}
		}
	}
	var best *Straight
	var full bool // its section fills its box
	long := 0.0
	for _, d := range dirs {
		// What looks square to the line is its sides, what looks along it its ends; or they are cut aslant, both alike.
		sides, square, cut, look := 0.0, 0.0, 0.0, d
		for _, f := range m.facing { // by area
			switch q := math.Abs(f.n.Dot(d)); {
			case q < 0.01:
				sides += f.area
			case q > 0.99:
				square += f.area
			case q > 0.1 && cut == 0:
				cut, look = f.area, f.n
			}
		}
		if sides+square >= straightShare*m.area {
			look = d
			for _, f := range m.facing {
				if math.Abs(f.n.Dot(d)) > 0.99 {
					look = f.n
					break
				}
			}
		} else if sides+cut < straightShare*m.area {
			continue
		}
		// How long it is along its sides, however its ends are cut.
		low, high := math.Inf(1), math.Inf(-1)
		for _, p := range m.pts {
			q := p.Sub(m.pts[0]).Dot(look)
			low, high = min(low, q), max(high, q)
		}
		l := (high - low) / math.Abs(look.Dot(d))
		// A prism may be one in several ways: the longest counts, and of such as are nearly as long one whose section fills its box.
		const nearly = 0.8
		if l < nearly*long {
			continue
		}
		st := m.along(d)
		fills := m.filled(st) > 0.9995
		if best == nil || nearly*l > long || fills && !full || fills == full && l > long*(1+1e-9) {
			best, long, full = st, l, fills
		}
	}
	return best
}

// along measures the piece along a line by which it is straight.
func (m *mesh) along(d r3.Vector) *Straight {
	if n, ok := m.shearedEnds(d); ok {
		return sheared(m.pts, d, n)
	}
	var side r3.Vector
	for _, f := range m.facing {
		if math.Abs(f.n.Dot(d)) < 0.01 {
			side = f.n
			break
		}
	}
	st := along(m.pts, d, side)
	m.circle(st, d)
	return st
}

// shearedEnds reports whether a length that slopes has upright ends, and which way they look.
func (m *mesh) shearedEnds(d r3.Vector) (r3.Vector, bool) {
	level := r3.Vector{X: d.X, Y: d.Y}
	if math.Abs(d.Z) < 1e-6 || level.Norm() < 1e-6 {
		return level, false
	}
	n := level.Normalize()
	ends, others := 0.0, 0.0
	for _, f := range m.facing {
		switch {
		case math.Abs(f.n.Dot(d)) <= 1e-3:
		case f.n.Cross(n).Norm() < 1e-4:
			ends += f.area
		default:
			others += f.area
		}
	}
	return n, ends > 0 && others < 0.01*ends
}

// sheared measures a length that slopes and has upright ends, which look along n.
func sheared(pts []r3.Vector, d, n r3.Vector) *Straight {
	st := &Straight{Sheared: true}
	low, high := math.Inf(1), math.Inf(-1)
	flat := make([]r3.Vector, len(pts))
	for i, p := range pts {
		s := p.Sub(pts[0]).Dot(n)
		low, high = min(low, s), max(high, s)
		flat[i] = p.Sub(d.Mul(s / d.Dot(n))) // pushed along the length into the plane of the first corner
	}
	up := r3.Vector{Z: 1}
	st.section(flat, pts[0], n, up, n.Cross(up))
	st.B = st.A.Add(d.Mul(high / d.Dot(n)))
	st.A = st.A.Add(d.Mul(low / d.Dot(n)))
	return st
}

// circle finds whether a section is a circle cut into straight pieces: its corners are as far from its middle.
func (m *mesh) circle(st *Straight, d r3.Vector) {
	var flat []r3.Vector
	h, c := frame(d)
	for _, p := range m.pts {
		q := p.Sub(m.pts[0])
		flat = append(flat, r3.Vector{X: q.Dot(c), Y: q.Dot(h)})
	}
	low, high := bounds(flat)
	// Corners that rounding parts are one; with fewer than eight it is a rectangle, all of whose corners lie on a circle too, and the like.
	o := slices.CompactFunc(hull(flat), func(a, b r3.Vector) bool { return a.Sub(b).Norm() < 0.005*high.Sub(low).Norm() })
	if len(o) < 8 {
		return
	}
	// The circle by which the corners of the outline lie: least squares.
	var mid r3.Vector
	for _, p := range o {
		mid = mid.Add(p)
	}
	mid = mid.Mul(1 / float64(len(o)))
	var sxx, sxy, syy, bx, by float64
	for _, p := range o {
		q := p.Sub(mid)
		k := q.X*q.X + q.Y*q.Y
		sxx, sxy, syy = sxx+q.X*q.X, sxy+q.X*q.Y, syy+q.Y*q.Y
		bx, by = bx+k*q.X/2, by+k*q.Y/2
	}
	det := sxx*syy - sxy*sxy
	if det <= 0 {
		return
	}
	mid = mid.Add(r3.Vector{X: (bx*syy - by*sxy) / det, Y: (by*sxx - bx*sxy) / det})
	lo, hi := math.Inf(1), 0.0
	for _, p := range o {
		r := p.Sub(mid).Norm()
		lo, hi = min(lo, r), max(hi, r)
	}
	if hi-lo > max(0.1, 0.002*hi) {
		return
	}
	r := (lo + hi) / 2
	st.Round, st.Across, st.High = true, 2*r, 2*r
	st.SecA, st.SecB, st.Roll = 2*r, 2*r, 0
	at := m.pts[0].Add(c.Mul(mid.X)).Add(h.Mul(mid.Y))
	st.A = at.Add(d.Mul(st.A.Sub(at).Dot(d)))
	st.B = at.Add(d.Mul(st.B.Sub(at).Dot(d)))
}

// filled is how much of a straight length's section the hull of its corners fills.
func (m *mesh) filled(st *Straight) float64 {
	if st.Round {
		return 1
	}
	d := st.B.Sub(st.A)
	if d.Norm() == 0 || st.Across == 0 || st.High == 0 {
		return 1
	}
	d = d.Normalize()
	h, c := frame(d)
	var flat []r3.Vector
	for _, p := range m.pts {
		q := p.Sub(m.pts[0])
		flat = append(flat, r3.Vector{X: q.Dot(c), Y: q.Dot(h)})
	}
	high := st.High
	if st.Sheared { // which is measured upright
		high *= math.Hypot(d.X, d.Y)
	}
	return min(1, math.Abs(across(hull(flat)).Z)/2/(st.Across*high))
}

// cells is how finely the shadow of a piece is looked at.
const cells = 24

// shadow is how much of a box the piece fills, as far as its three shadows tell.
func (m *mesh) shadow(b Box) float64 {
	if b.Long <= 0 || b.Wide <= 0 || b.Tall <= 0 {
		return 1
	}
	sin, cos := math.Sincos(b.Turn * math.Pi / 180)
	u, v := r3.Vector{X: cos, Y: sin}, r3.Vector{X: -sin, Y: cos}
	local := func(p r3.Vector) [3]float64 {
		q := p.Sub(b.Middle)
		return [3]float64{(q.Dot(u)/b.Long + 0.5) * cells, (q.Dot(v)/b.Wide + 0.5) * cells, (q.Z/b.Tall + 0.5) * cells}
	}
	var seen [3][cells][cells]bool
	for i := range m.s {
		for _, f := range m.s[i].faces {
			var loops [][][3]float64
			for _, l := range f {
				var c [][3]float64
				for _, k := range l {
					c = append(c, local(m.s[i].pts[k]))
				}
				loops = append(loops, c)
			}
			for a := range 3 {
				x, y := (a+1)%3, (a+2)%3
				flat := make([][]r2.Point, len(loops))
				for j, c := range loops {
					for _, p := range c {
						flat[j] = append(flat[j], r2.Point{X: p[x], Y: p[y]})
					}
				}
				raster(&seen[a], flat)
			}
		}
	}
	n := 0
	for i := range cells {
		for j := range cells {
			if !seen[2][i][j] {
				continue
			}
			for k := range cells {
				if seen[0][j][k] && seen[1][k][i] {
					n++
				}
			}
		}
	}
	return float64(n) / (cells * cells * cells)
}

// raster marks the cells whose middle a face covers.
func raster(seen *[cells][cells]bool, loops [][]r2.Point) {
	var xs []float64
	low, high := math.Inf(1), math.Inf(-1)
	for _, p := range loops[0] {
		low, high = min(low, p.X), max(high, p.X)
	}
	for i := max(0, int(low-0.5)); i < min(cells, int(high+0.5)); i++ {
		x := float64(i) + 0.5
		xs = xs[:0]
		for _, l := range loops {
			for k, p := range l {
				q := l[(k+1)%len(l)]
				if (p.X > x) != (q.X > x) {
					xs = append(xs, p.Y+(q.Y-p.Y)*(x-p.X)/(q.X-p.X))
				}
			}
		}
		slices.Sort(xs)
		for k := 0; k+1 < len(xs); k += 2 {
			for j := max(0, int(math.Ceil(xs[k]-0.5))); j < cells && float64(j)+0.5 <= xs[k+1]; j++ {
				seen[i][j] = true
			}
		}
	}
}
