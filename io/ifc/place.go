package ifc

import (
	"fmt"
	"math"

	"github.com/golang/geo/r3"
)

// matrix is where something stands: its axes, with their scale, and its origin.
type matrix struct{ x, y, z, o r3.Vector }

var identity = matrix{x: r3.Vector{X: 1}, y: r3.Vector{Y: 1}, z: r3.Vector{Z: 1}}

func (m *matrix) turn(v r3.Vector) r3.Vector {
	return m.x.Mul(v.X).Add(m.y.Mul(v.Y)).Add(m.z.Mul(v.Z))
}

func (m *matrix) point(v r3.Vector) r3.Vector { return m.turn(v).Add(m.o) }

// times returns the matrix that does n first, then m.
func (m *matrix) times(n matrix) matrix {
	return matrix{m.turn(n.x), m.turn(n.y), m.turn(n.z), m.point(n.o)}
}

// scaled returns the matrix with lengths in another unit.
func (m *matrix) scaled(by float64) matrix {
	return matrix{m.x.Mul(by), m.y.Mul(by), m.z.Mul(by), m.o.Mul(by)}
}

// alike reports whether the matrix leaves forms as they are but for their size, and by how much it enlarges them.
func (m *matrix) alike() (float64, bool) {
	a, b, c := m.x.Norm(), m.y.Norm(), m.z.Norm()
	near := func(x, y float64) bool { return math.Abs(x-y) <= 1e-6*a }
	return a, near(a, b) && near(a, c) && near(m.x.Dot(m.y)/a, 0) && near(m.x.Dot(m.z)/a, 0) && near(m.y.Dot(m.z)/a, 0)
}

// vector reads a point or a direction, of which two numbers are in the plane.
func (f *File) vector(id uint32) r3.Vector {
	e := f.get(id)
	var c []float64
	switch e.kind {
	case "IFCCARTESIANPOINT", "IFCDIRECTION":
		c = e.numbers(0)
	case "IFCVERTEXPOINT":
		return f.vector(e.must(0))
	default:
		e.wrong("where a point or a direction should be")
	}
	for len(c) < 3 {
		c = append(c, 0)
	}
	v := r3.Vector{X: c[0], Y: c[1], Z: c[2]}
	if math.IsInf(v.X, 0) || math.IsInf(v.Y, 0) || math.IsInf(v.Z, 0) {
		e.wrong("a number without end")
	}
	return v
}

// direction reads a direction of length 1; the other one where it is absent or has no length.
func (f *File) direction(id uint32, other r3.Vector) r3.Vector {
	if id == 0 {
		return other
	}
	v := f.vector(id)
	n := v.Norm()
	if !(n > 1e-9) {
		return other
	}
	return v.Mul(1 / n)
}

// square returns the axes whose z is given, x as near to the one given as can be.
func square(z, x r3.Vector) matrix {
	x = x.Sub(z.Mul(x.Dot(z)))
	if x.Norm() < 1e-9 {
		x = z.Ortho()
	}
	x = x.Normalize()
	return matrix{x: x, y: z.Cross(x), z: z}
}

// axes reads a placement of a form: of an item, a profile, a mapping.
func (f *File) axes(id uint32) matrix {
	if id == 0 {
		return identity
	}
	e := f.get(id)
	var m matrix
	switch e.kind {
	case "IFCAXIS2PLACEMENT3D":
		z := f.direction(e.ref(1), r3.Vector{Z: 1})
		x := r3.Vector{X: 1}
		if math.Abs(z.X) > 0.9999999 {
			x = r3.Vector{Y: 1}
		}
		m = square(z, f.direction(e.ref(2), x))
	case "IFCAXIS2PLACEMENT2D":
		m = square(r3.Vector{Z: 1}, f.direction(e.ref(1), r3.Vector{X: 1}))
	case "IFCAXIS1PLACEMENT":
		m = square(f.direction(e.ref(1), r3.Vector{Z: 1}), r3.Vector{X: 1})
	default:
		e.wrong("where a placement should be")
	}
	m.o = f.vector(e.must(0))
	return m
}

// operator reads how a mapped shape is put in its place.
func (f *File) operator(id uint32) matrix {
	e := f.get(id)
	scale := 1.0
	if e.has(3) {
		scale = e.num(3)
	}
	sy, sz := scale, scale
	var z r3.Vector
	switch e.kind {
	case "IFCCARTESIANTRANSFORMATIONOPERATOR3D", "IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM":
		z = r3.Vector{Z: 1}
		if e.has(4) {
			z = f.direction(e.ref(4), z)
		} else if e.has(0) && e.has(1) {
			if c := f.direction(e.ref(0), r3.Vector{X: 1}).Cross(f.direction(e.ref(1), r3.Vector{Y: 1})); c.Norm() > 1e-9 {
				z = c.Normalize()
			}
		}
		if e.kind == "IFCCARTESIANTRANSFORMATIONOPERATOR3DNONUNIFORM" {
			if e.has(5) {
				sy = e.num(5)
			}
			if e.has(6) {
				sz = e.num(6)
			}
		}
	case "IFCCARTESIANTRANSFORMATIONOPERATOR2D", "IFCCARTESIANTRANSFORMATIONOPERATOR2DNONUNIFORM":
		z = r3.Vector{Z: 1}
		if e.kind == "IFCCARTESIANTRANSFORMATIONOPERATOR2DNONUNIFORM" && e.has(4) {
			sy = e.num(4)
		}
	default:
		e.wrong("where a mapping should be")
	}
	m := square(z, f.direction(e.ref(0), r3.Vector{X: 1}))
	if e.has(1) && m.y.Dot(f.direction(e.ref(1), m.y)) < 0 {
		m.y = m.y.Mul(-1) // mirrored
	}
	return matrix{m.x.Mul(scale), m.y.Mul(sy), m.z.Mul(sz), f.vector(e.must(2))}
}

// placements are where elements stand, in the file's unit, each worked out once.
type placements struct {
	f    *File
	have map[uint32]matrix
}

// of returns where a placement is in the project's axes.
func (p *placements) of(id uint32) matrix {
	if id == 0 {
		return identity
	}
	var chain []uint32
	m := identity
	for at := id; at != 0; {
		if have, ok := p.have[at]; ok {
			m = have
			break
		}
		for _, c := range chain {
			if c == at {
				e := p.f.get(at)
				e.wrong("it stands, by way of others, on itself")
			}
		}
		if len(chain) == mostDepth {
			e := p.f.get(id)
			e.wrong("it stands on more than %d others, one on the other", mostDepth)
		}
		chain = append(chain, at)
		e := p.f.get(at)
		if e.kind != "IFCLOCALPLACEMENT" {
			e.wrong("it is placed by %s, which is not read", map[bool]string{true: "grid lines", false: "an alignment"}[e.kind == "IFCGRIDPLACEMENT"])
		}
		at = e.ref(0)
	}
	for i := len(chain) - 1; i >= 0; i-- {
		e := p.f.get(chain[i])
		m = m.times(p.f.axes(e.ref(1)))
		if len(p.have) >= mostPlacements {
			clear(p.have)
		}
		p.have[chain[i]] = m
	}
	return m
}

// mostPlacements is how many placements are kept: 10 MB.
const mostPlacements = 100_000

// unit is what one of a file's units is.
type unit struct {
	mm    float64 // length
	angle float64 // plane angle in radians
}

// units reads the units that the project's assignment lists; those that only other units are made of do not count.
func (f *File) units(project []uint32) (u unit, err error) {
	defer caught(&err)
	u.angle = 1
	if len(project) == 0 {
		return u, f.whole("no IFCPROJECT in it: its units are not known")
	}
	e := f.get(project[0])
	if !e.has(8) {
		e.wrong("it has no units: they are not guessed")
	}
	a := f.get(e.must(8))
	for _, id := range a.refs(0) {
		switch f.typeOf(id) {
		case "IFCSIUNIT", "IFCCONVERSIONBASEDUNIT", "IFCCONVERSIONBASEDUNITWITHOFFSET":
		default:
			continue
		}
		d := f.get(id)
		switch d.str(1) {
		case "LENGTHUNIT":
			if u.mm != 0 {
				a.wrong("it lists two units of length")
			}
			u.mm = 1000 * f.si(id, 0)
		case "PLANEANGLEUNIT":
			u.angle = f.si(id, 0)
		}
	}
	if !(u.mm > 1e-6 && u.mm < 1e7) {
		a.wrong("it lists no unit of length: none is guessed")
	}
	return u, nil
}

// si returns what one of a unit is in metres or radians.
func (f *File) si(id uint32, depth int) float64 {
	e := f.get(id)
	if depth > 8 {
		e.wrong("a unit that is, by way of others, made of itself")
	}
	switch e.kind {
	case "IFCSIUNIT":
		prefix := e.str(2)
		p, ok := map[string]float64{"": 1, "MILLI": 1e-3, "CENTI": 1e-2, "DECI": 1e-1, "DECA": 10, "HECTO": 100, "KILO": 1e3, "MICRO": 1e-6}[prefix]
		if !ok {
			e.wrong("prefix %s", prefix)
		}
		return p
	case "IFCCONVERSIONBASEDUNIT", "IFCCONVERSIONBASEDUNITWITHOFFSET":
		m := f.get(e.must(3))
		return m.num(0) * f.si(m.must(1), depth+1)
	}
	e.wrong("where a unit should be")
	return 0
}

func (f *File) String() string { return fmt.Sprintf("%s (%s)", f.Name, f.Schema) }
