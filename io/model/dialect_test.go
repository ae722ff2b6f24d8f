package model_test

import (
	"bytes"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/void"
	"voidline/void/body"
)

// dialect is a way in which programs write models.
type dialect struct {
	schema  string  // IFC4, IFC2X3
	mm      float64 // of the unit of length
	form    string  // extruded, triangles, polygons, faces, surface, disk, mapped, clipped
	depth   int     // placements between the element and the storey, each turned some way
	shuffle bool    // instances in any order, with gaps in their numbers, comments and line ends between
	seed    int64   // of all that is drawn
	storeys map[string]float64
	stands  bool    // what is higher than it is long is pushed upwards from its plan, as risers are
	turn    float64 // degrees by which all of it stands turned
}

// part is an element that is to be written.
type part struct {
	class, typeOf, predefined string
	guid, name, object        string
	system                    string
	storey                    string
	insulation                float64
	body                      body.Body
	in                        string // of an opening the guid of what it is in
	layers                    []void.Layer
	stands                    bool // it is pushed upwards from its plan
	long                      string
}

// writer writes a model.
type writer struct {
	d       dialect
	rnd     *rand.Rand
	lines   []string
	n       int
	context int
	place   map[string]int // of storeys
	frames  map[int]frame  // of placements
	storey  map[string]int
	held    map[string][]int
	systems map[string][]int
	of      map[string]int // by guid
	guids   int
	types   map[string]int
	typed   map[string][]int
}

// frame is a placement in the axes of the whole, mm.
type frame struct{ x, y, z, o r3.Vector }

func (f frame) point(v r3.Vector) r3.Vector {
	return f.x.Mul(v.X).Add(f.y.Mul(v.Y)).Add(f.z.Mul(v.Z)).Add(f.o)
}

// within returns a frame as seen from another.
func (f frame) within(g frame) frame {
	in := func(v r3.Vector) r3.Vector { return r3.Vector{X: v.Dot(g.x), Y: v.Dot(g.y), Z: v.Dot(g.z)} }
	return frame{in(f.x), in(f.y), in(f.z), in(f.o.Sub(g.o))}
}

var still = frame{x: r3.Vector{X: 1}, y: r3.Vector{Y: 1}, z: r3.Vector{Z: 1}}

func (w *writer) add(format string, a ...any) int {
	w.n++
	if w.d.shuffle {
		w.n += w.rnd.Intn(3)
	}
	w.lines = append(w.lines, fmt.Sprintf("#%d=%s;", w.n, fmt.Sprintf(format, a...)))
	return w.n
}

func (w *writer) guid() string {
	w.guids++
	return fmt.Sprintf("3%021d", w.guids)
}

func real(v float64) string {
	s := strconv.FormatFloat(v, 'G', 15, 64)
	if !strings.ContainsAny(s, ".E") {
		return s + "."
	}
	if i := strings.IndexByte(s, 'E'); i >= 0 && !strings.Contains(s, ".") {
		return s[:i] + "." + s[i:]
	}
	return s
}

// long writes a length in the file's unit.
func (w *writer) long(mm float64) string { return real(mm / w.d.mm) }

func (w *writer) pt(v r3.Vector) int {
	return w.add("IFCCARTESIANPOINT((%s,%s,%s))", w.long(v.X), w.long(v.Y), w.long(v.Z))
}

func (w *writer) dir(v r3.Vector) int {
	return w.add("IFCDIRECTION((%s,%s,%s))", real(v.X), real(v.Y), real(v.Z))
}

func (w *writer) axes(f frame) int {
	return w.add("IFCAXIS2PLACEMENT3D(#%d,#%d,#%d)", w.pt(f.o), w.dir(f.z), w.dir(f.x))
}

// placed writes a placement of a frame on another.
func (w *writer) placed(on int, f frame) int {
	at := still
	ref := "$"
	if on > 0 {
		at, ref = w.frames[on], fmt.Sprintf("#%d", on)
	}
	id := w.add("IFCLOCALPLACEMENT(%s,#%d)", ref, w.axes(f.within(at)))
	w.frames[id] = f
	return id
}

// somewhere is a frame that is turned and stands anywhere.
func (w *writer) somewhere() frame {
	random := func() r3.Vector {
		return r3.Vector{X: w.rnd.NormFloat64(), Y: w.rnd.NormFloat64(), Z: w.rnd.NormFloat64()}
	}
	z := random().Normalize()
	x := random()
	x = x.Sub(z.Mul(x.Dot(z))).Normalize()
	return frame{x, z.Cross(x), z, random().Mul(5000)}
}

func text(s string) string {
	var b strings.Builder
	for _, r := range s {
		switch {
		case r == '\'':
			b.WriteString("''")
		case r == '\\':
			b.WriteString(`\\`)
		case r < ' ' || r > '~':
			fmt.Fprintf(&b, `\X2\%04X\X0\`, r)
		default:
			b.WriteRune(r)
		}
	}
	return "'" + b.String() + "'"
}

func some(s string) string {
	if s == "" {
		return "$"
	}
	return text(s)
}

func newWriter(d dialect) *writer {
	w := &writer{
		d: d, rnd: rand.New(rand.NewSource(d.seed)), place: map[string]int{}, frames: map[int]frame{}, storey: map[string]int{}, held: map[string][]int{},
		systems: map[string][]int{}, of: map[string]int{}, types: map[string]int{}, typed: map[string][]int{},
	}
	var unit int
	switch d.mm {
	case 1:
		unit = w.add("IFCSIUNIT(*,.LENGTHUNIT.,.MILLI.,.METRE.)")
	case 1000:
		unit = w.add("IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)")
	default:
		metre := w.add("IFCSIUNIT(*,.LENGTHUNIT.,$,.METRE.)") // no unit of the file's own: only what the assignment lists counts
		m := w.add("IFCMEASUREWITHUNIT(IFCRATIOMEASURE(%s),#%d)", real(d.mm/1000), metre)
		unit = w.add("IFCCONVERSIONBASEDUNIT(#%d,.LENGTHUNIT.,'FOOT',#%d)", w.add("IFCDIMENSIONALEXPONENTS(1,0,0,0,0,0,0)"), m)
	}
	angle := w.add("IFCSIUNIT(*,.PLANEANGLEUNIT.,$,.RADIAN.)")
	if d.shuffle {
		m := w.add("IFCMEASUREWITHUNIT(IFCPLANEANGLEMEASURE(0.0174532925199433),#%d)", angle)
		angle = w.add("IFCCONVERSIONBASEDUNIT(#%d,.PLANEANGLEUNIT.,'DEGREE',#%d)", w.add("IFCDIMENSIONALEXPONENTS(0,0,0,0,0,0,0)"), m)
	}
	units := w.add("IFCUNITASSIGNMENT((#%d,#%d))", unit, angle)
	w.context = w.add("IFCGEOMETRICREPRESENTATIONCONTEXT($,'Model',3,1.E-05,#%d,$)", w.axes(still))
	w.add("IFCPROJECT('%s',$,'a project',$,$,$,$,(#%d),#%d)", w.guid(), w.context, units)
	base := still
	if d.turn != 0 {
		sin, cos := math.Sincos(d.turn * math.Pi / 180)
		base = frame{r3.Vector{X: cos, Y: sin}, r3.Vector{X: -sin, Y: cos}, r3.Vector{Z: 1}, r3.Vector{}}
	}
	root := w.placed(0, base)
	for _, name := range sortedKeys(d.storeys) {
		f := base
		f.o = r3.Vector{Z: d.storeys[name]}
		w.place[name] = w.placed(root, f)
		w.storey[name] = w.add("IFCBUILDINGSTOREY('%s',$,%s,$,$,#%d,$,$,.ELEMENT.,%s)", w.guid(), text(name), w.place[name], w.long(d.storeys[name]))
	}
	return w
}

func sortedKeys(m map[string]float64) []string {
	var out []string
	for k := range m {
		out = append(out, k)
	}
	for i := range out {
		for j := i; j > 0 && (m[out[j]] < m[out[j-1]] || m[out[j]] == m[out[j-1]] && out[j] < out[j-1]); j-- {
			out[j], out[j-1] = out[j-1], out[j]
		}
	}
	return out
}

// put writes an element.
func (w *writer) put(p part) {
	base := w.frames[w.place[p.storey]]
	base.o = r3.Vector{}
	// The body in the axes of the whole.
	own := frame{o: base.point(p.body.Centre)}
	own.x = r3.Vector{X: p.body.Across.X, Y: p.body.Across.Y}
	if own.x.Norm() == 0 {
		own.x = r3.Vector{Y: 1}
	}
	along := base.point(p.body.Along)
	own.x = base.point(own.x).Normalize()
	own.y = r3.Vector{Z: 1}
	if math.Hypot(along.X, along.Y) < 1e-9 {
		own.y = r3.Vector{Z: 1}.Cross(own.x)
	}
	own.z = own.x.Cross(own.y) // of a length level, the way it goes; of what is upright up
	on := w.place[p.storey]
	for range w.d.depth {
		on = w.placed(on, w.somewhere())
	}
	at := own
	if w.d.depth == 0 && w.rnd.Intn(2) == 0 {
		at = still // all placed at one origin, and each item where it stands
	}
	place := w.placed(on, at)
	stands := p.stands || w.d.stands && p.body.H > max(p.body.Along.Norm(), p.body.W)
	rep := w.shape(p.body, stands, own.within(at), along, at)
	id := w.element(p, place, rep)
	w.of[p.guid] = id
	if p.in != "" {
		w.add("IFCRELVOIDSELEMENT('%s',$,$,$,#%d,#%d)", w.guid(), w.of[p.in], id)
	} else if p.class == "IFCSPACE" {
		w.add("IFCRELAGGREGATES('%s',$,$,$,#%d,(#%d))", w.guid(), w.storey[p.storey], id)
	} else {
		w.held[p.storey] = append(w.held[p.storey], id)
	}
	if p.system != "" {
		w.systems[p.system] = append(w.systems[p.system], id)
	}
	if len(p.layers) > 0 {
		var ids []string
		for _, l := range p.layers {
			m := w.add("IFCMATERIAL(%s,$,$)", text(l.Name))
			ids = append(ids, fmt.Sprintf("#%d", w.add("IFCMATERIALLAYER(#%d,%s,$,$,$,$,$)", m, w.long(l.Thickness))))
		}
		set := w.add("IFCMATERIALLAYERSET((%s),'layers',$)", strings.Join(ids, ","))
		w.add("IFCRELASSOCIATESMATERIAL('%s',$,$,$,(#%d),#%d)", w.guid(), id, set)
	}
	if p.insulation > 0 {
		prop := w.add("IFCPROPERTYSINGLEVALUE('InsulationThickness',$,IFCLENGTHMEASURE(%s),$)", w.long(p.insulation))
		set := w.add("IFCPROPERTYSET('%s',$,'Insulation',$,(#%d))", w.guid(), prop)
		w.add("IFCRELDEFINESBYPROPERTIES('%s',$,$,$,(#%d),#%d)", w.guid(), id, set)
	}
}

// port writes where an element connects: nested in it, in 2x3 connected to it.
func (w *writer) port(of string, storey string, at r3.Vector) int {
	id := w.add("IFCDISTRIBUTIONPORT('%s',$,'a port',$,$,#%d,$,.SOURCEANDSINK.%s)", w.guid(), w.placed(w.place[storey], frame{still.x, still.y, still.z, at}), map[bool]string{true: "", false: ",.NOTDEFINED.,$"}[w.d.schema == "IFC2X3"])
	if w.d.schema == "IFC2X3" {
		w.add("IFCRELCONNECTSPORTTOELEMENT('%s',$,$,$,#%d,#%d)", w.guid(), id, w.of[of])
	} else {
		w.add("IFCRELNESTS('%s',$,$,$,#%d,(#%d))", w.guid(), w.of[of], id)
	}
	return id
}

// connect joins two elements by a port each.
func (w *writer) connect(a, b, storey string, at r3.Vector) {
	w.add("IFCRELCONNECTSPORTS('%s',$,$,$,#%d,#%d,$)", w.guid(), w.port(a, storey, at), w.port(b, storey, at))
}

func (w *writer) element(p part, place, rep int) int {
	class, predefined := p.class, "$"
	if p.predefined != "" {
		predefined = "." + p.predefined + "."
	}
	switch {
	case class == "IFCSPACE":
		return w.add("IFCSPACE('%s',$,%s,$,%s,#%d,#%d,%s,.ELEMENT.,.INTERNAL.,$)", p.guid, text(p.name), some(p.object), place, rep, some(p.long))
	case w.d.schema == "IFC2X3" && p.typeOf != "":
		id := w.add("%s('%s',$,%s,$,%s,#%d,#%d,$)", p.typeOf, p.guid, text(p.name), some(p.object), place, rep)
		key := class + "TYPE " + p.predefined
		if w.types[key] == 0 {
			if predefined == "$" {
				predefined = ".NOTDEFINED."
			}
			w.types[key] = w.add("%sTYPE('%s',$,'a type',$,$,$,$,$,$,%s)", class, w.guid(), predefined)
		}
		w.typed[key] = append(w.typed[key], id)
		return id
	case w.d.schema == "IFC2X3" && (class == "IFCBEAM" || class == "IFCCOLUMN" || class == "IFCWALL"):
		return w.add("%s('%s',$,%s,$,%s,#%d,#%d,$)", class, p.guid, text(p.name), some(p.object), place, rep)
	}
	return w.add("%s('%s',$,%s,$,%s,#%d,#%d,$,%s)", class, p.guid, text(p.name), some(p.object), place, rep, predefined)
}

// shape writes the form of a body: in the frame in, of a placement that stands at. along is half its length in the axes of the whole.
func (w *writer) shape(b body.Body, stands bool, in frame, along r3.Vector, at frame) int {
	d := r3.Vector{X: along.Dot(at.x), Y: along.Dot(at.y), Z: along.Dot(at.z)} // half the length, in the placement's axes
	long, wide, high := d, b.W, b.H
	if stands && !b.Round && math.Abs(along.Z) < 1e-9 {
		// What stands is pushed upwards from its plan.
		long, high = in.y.Mul(b.H), along.Norm()
		in = frame{in.x, in.z.Mul(-1), in.y, in.o}
	}
	// Corners of the section in its own plane.
	var section []r3.Vector
	n := 4
	if b.Round {
		n = 48
		dir := d.Normalize()
		x := in.x.Sub(dir.Mul(in.x.Dot(dir))).Normalize()
		y := dir.Cross(x)
		for i := range n {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			section = append(section, x.Mul(b.W*c).Add(y.Mul(b.W*s)))
		}
	} else {
		for _, c := range [4][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}} {
			section = append(section, in.x.Mul(c[0]*wide).Add(in.y.Mul(c[1]*high)))
		}
	}
	form := w.d.form
	if form == "disk" && !b.Round {
		form = "extruded"
	}
	kind := "SweptSolid"
	var item int
	switch form {
	case "triangles", "polygons", "faces", "surface":
		pts := make([]r3.Vector, 0, 2*n)
		for _, end := range []float64{-1, 1} {
			for _, s := range section {
				pts = append(pts, in.o.Add(s).Add(long.Mul(end)))
			}
		}
		item, kind = w.mesh(pts, n, form)
	case "disk":
		line := w.add("IFCPOLYLINE((#%d,#%d))", w.pt(in.o.Sub(long)), w.pt(in.o.Add(long)))
		item, kind = w.add("IFCSWEPTDISKSOLID(#%d,%s,$,$,$)", line, w.long(b.W)), "AdvancedSweptSolid"
	default:
		item = w.extruded(b, in, long, wide, high)
	}
	switch form {
	case "mapped":
		// The shape where it would be if it stood elsewhere, mapped to where it stands.
		away := w.somewhere()
		origin := w.axes(away)
		inner := w.add("IFCSHAPEREPRESENTATION(#%d,'Body','%s',(#%d))", w.context, kind, item)
		source := w.add("IFCREPRESENTATIONMAP(#%d,#%d)", origin, inner)
		back := still.within(away) // undoes the mapping's origin
		target := w.add("IFCCARTESIANTRANSFORMATIONOPERATOR3D(#%d,#%d,#%d,1.,#%d)", w.dir(back.x), w.dir(back.y), w.pt(back.o), w.dir(back.z))
		item, kind = w.add("IFCMAPPEDITEM(#%d,#%d)", source, target), "MappedRepresentation"
	case "clipped":
		// Cut far beyond its end, so that nothing of it goes: what is cut away is not followed.
		plane := w.add("IFCPLANE(#%d)", w.axes(frame{in.x, in.y, in.z, in.o.Add(in.z.Mul(1e5))}))
		item, kind = w.add("IFCBOOLEANCLIPPINGRESULT(.DIFFERENCE.,#%d,#%d)", item, w.add("IFCHALFSPACESOLID(#%d,.F.)", plane)), "Clipping"
	}
	rep := w.add("IFCSHAPEREPRESENTATION(#%d,'Body','%s',(#%d))", w.context, kind, item)
	if w.d.shuffle { // a plan of it besides
		line := w.add("IFCPOLYLINE((#%d,#%d))", w.pt(in.o.Sub(long)), w.pt(in.o.Add(long.Mul(3))))
		axis := w.add("IFCSHAPEREPRESENTATION(#%d,'Axis','Curve2D',(#%d))", w.context, line)
		return w.add("IFCPRODUCTDEFINITIONSHAPE($,$,(#%d,#%d))", axis, rep)
	}
	return w.add("IFCPRODUCTDEFINITIONSHAPE($,$,(#%d))", rep)
}

// extruded writes a section that is pushed along a line, aslant where it slopes with upright ends.
func (w *writer) extruded(b body.Body, in frame, long r3.Vector, wide, high float64) int {
	f := in
	if b.Round {
		z := long.Normalize()
		x := in.x.Sub(z.Mul(in.x.Dot(z))).Normalize()
		f = frame{x, z.Cross(x), z, in.o}
	}
	f.o = in.o.Sub(long)
	dir := long.Normalize()
	local := r3.Vector{X: dir.Dot(f.x), Y: dir.Dot(f.y), Z: dir.Dot(f.z)}
	var profile int
	switch {
	case b.Round && w.rnd.Intn(2) == 0:
		profile = w.add("IFCCIRCLEPROFILEDEF(.AREA.,$,$,%s)", w.long(b.W))
	case b.Round:
		at := w.add("IFCAXIS2PLACEMENT2D(#%d,$)", w.add("IFCCARTESIANPOINT((0.,0.))"))
		profile = w.add("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#%d)", w.add("IFCCIRCLE(#%d,%s)", at, w.long(b.W)))
	case w.rnd.Intn(2) == 0:
		profile = w.add("IFCRECTANGLEPROFILEDEF(.AREA.,$,$,%s,%s)", w.long(2*wide), w.long(2*high))
	default:
		var ids []string
		for _, c := range [5][2]float64{{-1, -1}, {1, -1}, {1, 1}, {-1, 1}, {-1, -1}} {
			ids = append(ids, fmt.Sprintf("#%d", w.add("IFCCARTESIANPOINT((%s,%s))", w.long(c[0]*wide), w.long(c[1]*high))))
		}
		profile = w.add("IFCARBITRARYCLOSEDPROFILEDEF(.AREA.,$,#%d)", w.add("IFCPOLYLINE((%s))", strings.Join(ids, ",")))
	}
	return w.add("IFCEXTRUDEDAREASOLID(#%d,#%d,#%d,%s)", profile, w.axes(f), w.dir(local), w.long(2*long.Norm()))
}

// mesh writes a prism as faces: its corners are those of the one end, then of the other.
func (w *writer) mesh(pts []r3.Vector, n int, form string) (item int, kind string) {
	var faces [][]int
	var one, other []int
	for i := range n {
		one, other = append(one, n-1-i), append(other, n+i)
		faces = append(faces, []int{i, (i + 1) % n, n + (i+1)%n, n + i})
	}
	faces = append(faces, one, other)
	list := func(f []int, add int) string {
		var s []string
		for _, i := range f {
			s = append(s, strconv.Itoa(i+add))
		}
		return "(" + strings.Join(s, ",") + ")"
	}
	if form == "triangles" || form == "polygons" {
		var rows []string
		for _, p := range pts {
			rows = append(rows, fmt.Sprintf("(%s,%s,%s)", w.long(p.X), w.long(p.Y), w.long(p.Z)))
		}
		coords := w.add("IFCCARTESIANPOINTLIST3D((%s))", strings.Join(rows, ","))
		if form == "triangles" {
			var tris []string
			for _, f := range faces {
				for i := 2; i < len(f); i++ {
					tris = append(tris, list([]int{f[0], f[i-1], f[i]}, 1))
				}
			}
			return w.add("IFCTRIANGULATEDFACESET(#%d,$,.T.,(%s),$)", coords, strings.Join(tris, ",")), "Tessellation"
		}
		var ids []string
		for _, f := range faces {
			ids = append(ids, fmt.Sprintf("#%d", w.add("IFCINDEXEDPOLYGONALFACE(%s)", list(f, 1))))
		}
		return w.add("IFCPOLYGONALFACESET(#%d,.T.,(%s),$)", coords, strings.Join(ids, ",")), "Tessellation"
	}
	var ids []int
	for _, p := range pts {
		ids = append(ids, w.pt(p))
	}
	var fs []string
	for _, f := range faces {
		var s []string
		for _, i := range f {
			s = append(s, fmt.Sprintf("#%d", ids[i]))
		}
		loop := w.add("IFCPOLYLOOP((%s))", strings.Join(s, ","))
		fs = append(fs, fmt.Sprintf("#%d", w.add("IFCFACE((#%d))", w.add("IFCFACEOUTERBOUND(#%d,.T.)", loop))))
	}
	if form == "surface" {
		return w.add("IFCFACEBASEDSURFACEMODEL((#%d))", w.add("IFCCONNECTEDFACESET((%s))", strings.Join(fs, ","))), "SurfaceModel"
	}
	return w.add("IFCFACETEDBREP(#%d)", w.add("IFCCLOSEDSHELL((%s))", strings.Join(fs, ","))), "Brep"
}

// bytes returns the whole file.
func (w *writer) bytes() []byte {
	refs := func(ids []int) string {
		var s []string
		for _, id := range ids {
			s = append(s, fmt.Sprintf("#%d", id))
		}
		return "(" + strings.Join(s, ",") + ")"
	}
	for _, name := range sortedKeys(w.d.storeys) {
		if ids := w.held[name]; len(ids) > 0 {
			w.add("IFCRELCONTAINEDINSPATIALSTRUCTURE('%s',$,$,$,%s,#%d)", w.guid(), refs(ids), w.storey[name])
		}
	}
	for _, name := range keys(w.systems) {
		class := "IFCDISTRIBUTIONSYSTEM('%s',$,%s,$,$,$,.NOTDEFINED.)"
		if w.d.schema == "IFC2X3" {
			class = "IFCSYSTEM('%s',$,%s,$,$)"
		}
		s := w.add(class, w.guid(), text(name))
		w.add("IFCRELASSIGNSTOGROUP('%s',$,$,$,%s,$,#%d)", w.guid(), refs(w.systems[name]), s)
	}
	for _, key := range keys(w.typed) {
		w.add("IFCRELDEFINESBYTYPE('%s',$,$,$,%s,#%d)", w.guid(), refs(w.typed[key]), w.types[key])
	}
	if w.d.shuffle {
		w.rnd.Shuffle(len(w.lines), func(i, j int) { w.lines[i], w.lines[j] = w.lines[j], w.lines[i] })
	}
	var b bytes.Buffer
	fmt.Fprintf(&b, "ISO-10303-21;\nHEADER;\nFILE_DESCRIPTION((''),'2;1');\nFILE_NAME('x','2026-11-30T10:00:00',(''),(''),'','','');\nFILE_SCHEMA(('%s'));\nENDSEC;\nDATA;\n", w.d.schema)
	for i, l := range w.lines {
		if w.d.shuffle && i%7 == 3 {
			l = strings.Replace(l, "=", " = /* it's a comment; */\r\n ", 1)
		}
		b.WriteString(l)
		b.WriteByte('\n')
	}
	b.WriteString("ENDSEC;\nEND-ISO-10303-21;\n")
	return b.Bytes()
}

func keys(m map[string][]int) []string {
	set := map[string]float64{}
	for k := range m {
		set[k] = 0
	}
	return sortedKeys(set)
}

func (w *writer) save(t testing.TB, name string) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, w.bytes(), 0o644); err != nil {
		t.Fatal(err)
	}
	return file
}
