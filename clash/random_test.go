package clash_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/void"
)

// This file makes random buildings and writes them as tables. A building is kept as numbers, so that a
// test can write it in other spellings, move it, turn it, or take rows out of it, and so that the
// brute-force check need not read tables.

// place is where a row begins or ends along one axis: mm from a grid line, or from the origin where line is "".
type place struct {
	line string
	mm   float64
}

// end is one end of a level: mm from a reference.
type end struct {
	ref string // FFL, SSL, datum, project, ceiling, build-up, soffit, steel
	mm  float64
}

// row is a row of a trade's table. Lengths in mm.
type row struct {
	id, file                     string // file: the table's name without .csv, the trade
	service, kind, storey, bay   string
	run, hanger, frame, tier     string
	joins, class, holds          string
	recessed, reach, named, face string // named: a size by name (DN50, UB …)
	x1, y1, x2, y2               place
	placed, length               bool    // has x1, y1; has x2, y2
	a, b, c                      float64 // size across, high; of an item along x, along y, high; ø a
	round                        bool
	joint, insulation, top       float64
	level                        end
	upper                        *end // of a range
	fall                         float64
	circuits, rank               float64
}

// bayRow is a row of bays.csv.
type bayRow struct {
	name, storey   string
	x1, y1, x2, y2 float64
	soffit         end
	ceiling        *end
	buildup        string
}

type storeyRow struct {
	name            string
	ffl, ssl, datum float64
}

type gridRow struct {
	axis, label string
	at          float64
}

type layerRow struct {
	buildup, layer string
	thickness      float64
	lifts          bool
}

type gapRow struct {
	of, to, side string
	gap, over    float64
	basis, why   string
}

type openingRow struct {
	in             string
	at             float64
	a, b           float64
	level          *end
	margin         float64
	x, y           place
	byPlace, round bool
}

type accessRow struct {
	target, kind, side string
	depth, width       float64
	x, y               place
	a, b               float64
}

// building is a project as numbers.
type building struct {
	seed     uint64
	storeys  []storeyRow
	grid     []gridRow
	layers   []layerRow
	bays     []bayRow
	gaps     []gapRow
	openings []openingRow
	access   []accessRow
	rows     []row
}

// tenth rounds to the nearest 0.1 mm, so that a number is the same in every spelling.
func tenth(v float64) float64 { return math.Round(v*10) / 10 }

// spelling is a way to write the tables.
type spelling struct {
	metres  bool
	comma   bool       // semicolons and decimal commas
	shuffle *rand.Rand // rows in another order, but for layers and storeys
	upside  bool       // storeys from the top down
	split   bool       // each trade's table in two, whose rows carry the trade
}

// plain writes a number that is no length.
func (s spelling) plain(v float64) string {
	t := strconv.FormatFloat(v, 'f', -1, 64)
	if s.comma {
		t = strings.Replace(t, ".", ",", 1)
	}
	return t
}

// n writes a length; in metres the decimal point is moved in the text.
func (s spelling) n(v float64) string {
	if !s.metres {
		return s.plain(v)
	}
	t := strconv.FormatFloat(math.Abs(v), 'f', -1, 64)
	whole, part, _ := strings.Cut(t, ".")
	for len(whole) < 4 {
		whole = "0" + whole
	}
	part = strings.TrimRight(whole[len(whole)-3:]+part, "0")
	whole = whole[:len(whole)-3]
	if part != "" {
		point := "."
		if s.comma {
			point = ","
		}
		whole += point + part
	}
	if v < 0 {
		whole = "-" + whole
	}
	return whole
}

// signed writes an offset behind a reference, "" for 0.
func (s spelling) signed(v float64) string {
	switch {
	case v == 0:
		return ""
	case v < 0:
		return s.n(v)
	}
	return "+" + s.n(v)
}

func (s spelling) place(p place) string {
	if p.line == "" {
		return s.n(p.mm)
	}
	return "grid " + p.line + s.signed(p.mm)
}

func (s spelling) end(e end) string { return e.ref + s.signed(e.mm) }

func (s spelling) size(r *row) string {
	switch {
	case r.named != "":
		return r.named
	case r.round && r.b > 0:
		return "ø" + s.n(r.a) + "x" + s.n(r.b)
	case r.round:
		return "ø" + s.n(r.a)
	}
	t := s.n(r.a)
	for _, v := range []float64{r.b, r.c} {
		if v > 0 {
			t += "x" + s.n(v)
		}
	}
	return t
}

// sheet is a table as texts.
type sheet struct {
	head []string
	rows [][]string
}

// lengths are the headings that take a unit.
var lengths = map[string]bool{
	"x1": true, "y1": true, "x2": true, "y2": true, "size": true, "joint": true, "top": true, "insulation": true,
	"level": true, "ffl": true, "ssl": true, "datum": true, "soffit": true, "ceiling": true, "position": true,
	"thickness": true, "gap": true, "over": true, "at": true, "margin": true, "depth": true, "width": true, "x": true, "y": true,
}

func (s spelling) write(t sheet) []byte {
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if s.comma {
		w.Comma = ';'
	}
	head := slices.Clone(t.head)
	for i, h := range head {
		if s.metres && lengths[h] {
			head[i] = h + "_m"
		}
	}
	rows := slices.Clone(t.rows)
	if s.shuffle != nil {
		s.shuffle.Shuffle(len(rows), func(i, j int) { rows[i], rows[j] = rows[j], rows[i] })
	}
	_ = w.Write(head) // a bytes.Buffer takes everything
	_ = w.WriteAll(rows)
	return b.Bytes()
}

// zoneHead is the heading of a trade's table.
var zoneHead = strings.Split("id,trade,service,kind,storey,bay,x1,y1,x2,y2,size,joint,top,insulation,level,face,fall,hanger,frame,tier,run,joins,recessed,reach,circuits,class,rank,holds", ",")

func (s spelling) row(r *row) []string {
	m := map[string]string{
		"id": r.id, "service": r.service, "kind": r.kind, "storey": r.storey, "bay": r.bay, "size": s.size(r),
		"level": s.end(r.level), "face": r.face, "hanger": r.hanger, "frame": r.frame, "tier": r.tier, "run": r.run,
		"joins": r.joins, "recessed": r.recessed, "reach": r.reach, "class": r.class, "holds": r.holds,
	}
	if s.split {
		m["trade"] = r.file
	}
	if r.upper != nil {
		m["level"] += ".." + s.end(*r.upper)
	}
	if r.placed {
		m["x1"], m["y1"] = s.place(r.x1), s.place(r.y1)
	}
	if r.length {
		m["x2"], m["y2"] = s.place(r.x2), s.place(r.y2)
	}
	for k, v := range map[string]float64{"joint": r.joint, "top": r.top, "insulation": r.insulation} {
		if v > 0 {
			m[k] = s.n(v)
		}
	}
	if r.fall != 0 {
		m["fall"] = "1 in " + s.plain(r.fall)
	}
	for k, v := range map[string]float64{"circuits": r.circuits, "rank": r.rank} {
		if v > 0 {
			m[k] = s.plain(v)
		}
	}
	out := make([]string, len(zoneHead))
	for i, h := range zoneHead {
		out[i] = m[h]
	}
	return out
}

// files writes the building's tables.
func (b *building) files(s spelling) fstest.MapFS {
	fs := fstest.MapFS{}
	put := func(name string, t sheet) {
		if len(t.rows) > 0 {
			fs[name+".csv"] = &fstest.MapFile{Data: s.write(t)}
		}
	}
	yes := map[bool]string{true: "yes", false: "no"}
	t := sheet{head: strings.Split("storey,ffl,ssl,datum", ",")}
	for _, r := range b.storeys {
		t.rows = append(t.rows, []string{r.name, s.n(r.ffl), s.n(r.ssl), s.n(r.datum)})
	}
	if s.upside {
		slices.Reverse(t.rows)
	}
	keep := s.shuffle
	s.shuffle = nil
	put("levels", t)
	s.shuffle = keep
	t = sheet{head: strings.Split("axis,label,position", ",")}
	for _, r := range b.grid {
		t.rows = append(t.rows, []string{r.axis, r.label, s.n(r.at)})
	}
	put("grid", t)
	s.shuffle = nil // the order of layers counts, from the finished face up
	t = sheet{head: strings.Split("build-up,layer,thickness,lifts out", ",")}
	for _, r := range b.layers {
		t.rows = append(t.rows, []string{r.buildup, r.layer, s.n(r.thickness), yes[r.lifts]})
	}
	put("buildups", t)
	s.shuffle = keep
	t = sheet{head: strings.Split("bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up", ",")}
	for _, r := range b.bays {
		ceiling := "none"
		if r.ceiling != nil {
			ceiling = s.end(*r.ceiling)
		}
		t.rows = append(t.rows, []string{r.name, r.storey, s.n(r.x1), s.n(r.y1), s.n(r.x2), s.n(r.y2), s.end(r.soffit), ceiling, r.buildup})
	}
	put("bays", t)
	t = sheet{head: strings.Split("of,to,side,gap,over,basis,why", ",")}
	for _, r := range b.gaps {
		t.rows = append(t.rows, []string{r.of, r.to, r.side, s.n(r.gap), s.n(r.over), r.basis, r.why})
	}
	put("gaps", t)
	t = sheet{head: strings.Split("in,at,x,y,size,level,margin", ",")}
	for _, r := range b.openings {
		at, x, y, level := s.n(r.at), "", "", ""
		if r.byPlace {
			at, x, y = "", s.place(r.x), s.place(r.y)
		}
		if r.level != nil {
			level = s.end(*r.level)
		}
		t.rows = append(t.rows, []string{r.in, at, x, y, s.size(&row{a: r.a, b: r.b, round: r.round}), level, s.n(r.margin)})
	}
	put("openings", t)
	t = sheet{head: strings.Split("for,kind,side,depth,width,x,y,size", ",")}
	for _, r := range b.access {
		c := []string{r.target, r.kind, r.side, "", "", "", "", ""}
		if r.kind == "hatch" {
			c[5], c[6], c[7] = s.place(r.x), s.place(r.y), s.n(r.a)+"x"+s.n(r.b)
		} else {
			c[3], c[4] = s.n(r.depth), s.n(r.width)
		}
		t.rows = append(t.rows, c)
	}
	put("access", t)
	trades := map[string]*sheet{}
	for i := range b.rows {
		r := &b.rows[i]
		name := r.file
		if s.split {
			name = []string{"part one ", "part two "}[i%2] + name
		}
		if trades[name] == nil {
			trades[name] = &sheet{head: zoneHead}
		}
		trades[name].rows = append(trades[name].rows, s.row(r))
	}
	names := []string{}
	for name := range trades {
		names = append(names, name)
	}
	slices.Sort(names)
	for _, name := range names {
		put(name, *trades[name])
	}
	return fs
}

// opened writes and opens the building; problems fail the test, with the seed.
func (b *building) opened(t testing.TB, s spelling) *void.Project {
	t.Helper()
	p, err := table.Open(context.Background(), "random", table.Options{FS: b.files(s)})
	if err != nil {
		t.Fatalf("seed %d: %v", b.seed, err)
	}
	for i, pr := range p.Problems {
		if i == 10 {
			break
		}
		t.Errorf("seed %d: %v", b.seed, pr)
	}
	if len(p.Problems) > 0 {
		t.FailNow()
	}
	return p
}

// checked opens the building and asks for its findings.
func (b *building) checked(t testing.TB, s spelling, opt clash.Options) *finding.Result {
	t.Helper()
	ch := clash.Open(b.opened(t, s), opt)
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatalf("seed %d: %v", b.seed, err)
	}
	return res
}

// only returns the building with the rows that keep takes.
func (b *building) only(keep func(*row) bool) *building {
	c := *b
	c.rows = nil
	for i := range b.rows {
		if keep(&b.rows[i]) {
			c.rows = append(c.rows, b.rows[i])
		}
	}
	return &c
}

// mix says what a random building is made of.
type mix struct {
	zones   int
	storeys int
	// plain leaves out what the brute-force check does not know: falls, runs of several rows, ends at units, walls,
	// openings, access, steel as a reference, rows by height, power beside data.
	plain bool
	gaps  int // project rules
}

// random makes a building. The same seed and mix make the same building.
func random(seed uint64, m mix) *building {
	g := &maker{r: rand.New(rand.NewPCG(seed, 0x766f6964)), m: m}
	g.b = &building{seed: seed}
	g.site()
	g.fill()
	return g.b
}

type maker struct {
	r    *rand.Rand
	m    mix
	b    *building
	runs int
	xs   []float64
	ys   []float64
}

func (g *maker) pick(of ...string) string { return of[g.r.IntN(len(of))] }
func (g *maker) one(of ...float64) float64 {
	return of[g.r.IntN(len(of))]
}
func (g *maker) chance(p float64) bool           { return g.r.Float64() < p }
func (g *maker) between(lo, hi float64) float64  { return tenth(lo + g.r.Float64()*(hi-lo)) }
func (g *maker) step(lo, hi, by float64) float64 { return lo + by*float64(g.r.IntN(int((hi-lo)/by)+1)) }

func (g *maker) id(prefix string) string { return fmt.Sprintf("%s-%03d", prefix, len(g.b.rows)+1) }
func (g *maker) newRun() string          { g.runs++; return fmt.Sprintf("R%03d", g.runs) }
func (b *building) storey(name string) *storeyRow {
	for i := range b.storeys {
		if b.storeys[i].name == name {
			return &b.storeys[i]
		}
	}
	return nil
}

// site makes storeys, grid, build-ups and bays.
func (g *maker) site() {
	b, r := g.b, g.r
	ffl := g.between(100, 2000)
	for i := range g.m.storeys {
		b.storeys = append(b.storeys, storeyRow{fmt.Sprintf("Level %d", i+1), tenth(ffl), tenth(ffl - 75), 1000 + 100*float64(r.IntN(2))})
		ffl += 4200
	}
	nx, ny := 3, 2
	x, y := g.between(-3000, 3000), g.between(-3000, 3000)
	g.xs, g.ys = []float64{x}, []float64{y}
	for range nx {
		x = tenth(x + g.step(4800, 6600, 300))
		g.xs = append(g.xs, x)
	}
	for range ny {
		y = tenth(y + g.step(4200, 6000, 300))
		g.ys = append(g.ys, y)
	}
	for i, v := range g.xs {
		b.grid = append(b.grid, gridRow{"x", string(rune('A' + i)), v})
	}
	for i, v := range g.ys {
		b.grid = append(b.grid, gridRow{"y", strconv.Itoa(i + 1), v})
	}
	b.layers = []layerRow{
		{"boards", "board", 12.5, false},
		{"boards", "second board", 12.5, false},
		{"boards", "top-hat", 25, false},
		{"tiles", "tile", 15, true},
		{"tiles", "grid", 38, true},
		{"frame", "board", 12.5, false},
		{"frame", "furring", 26, false},
		{"frame", "primary", 45, false},
	}
	for s, st := range b.storeys {
		for i := range nx {
			for j := range ny {
				bay := bayRow{
					name:   fmt.Sprintf("%c-%c/%d-%d", 'A'+i, 'B'+i, j+1, j+2),
					storey: st.name, x1: g.xs[i], y1: g.ys[j], x2: g.xs[i+1], y2: g.ys[j+1],
					soffit: end{"FFL", g.step(3500, 3700, 100)},
				}
				if s == 1 && g.chance(0.5) {
					bay.soffit = end{"SSL", bay.soffit.mm + 75}
				}
				if !g.chance(0.12) {
					bay.ceiling = &end{"FFL", g.one(2700, 2700, 2750, 2600)}
					bay.buildup = g.pick("boards", "tiles", "tiles", "frame", "")
				}
				b.bays = append(b.bays, bay)
			}
		}
	}
	words := []string{"duct", "tray", "pipe", "basket", "ductwork", "containment", "pipework", "wet", "electrical", "structure", "any", "supply air", "cold water", "light fitting"}
	for range g.m.gaps {
		of, to := g.pick(words[:12]...), g.pick(words...)
		if slices.ContainsFunc(b.gaps, func(r gapRow) bool { return r.of == of && r.to == to || r.of == to && r.to == of }) {
			continue
		}
		b.gaps = append(b.gaps, gapRow{
			of: of, to: to, side: g.pick("around", "around", "above", "below", "beside"), gap: g.step(0, 120, 5),
			over: g.one(0, 0, 0, 500), basis: g.pick("law", "maker", "practice"), why: "as agreed",
		})
	}
}

func (b *building) ceilingTop(bay *bayRow) (face, top float64, ok bool) {
	if bay.ceiling == nil {
		return 0, 0, false
	}
	t := 0.0
	for _, l := range b.layers {
		if l.buildup == bay.buildup {
			t += l.thickness
		}
	}
	face = b.z(bay.storey, *bay.ceiling)
	return face, face + t, true
}

// z returns a level that hangs on the storey alone.
func (b *building) z(storey string, e end) float64 {
	s := b.storey(storey)
	switch e.ref {
	case "FFL":
		return s.ffl + e.mm
	case "SSL":
		return s.ssl + e.mm
	case "datum":
		return s.ffl + s.datum + e.mm
	case "project":
		return e.mm
	}
	panic("not a level of the storey: " + e.ref)
}

// at writes a coordinate as a number or by a grid line.
func (g *maker) at(axis string, v float64) place {
	v = tenth(v)
	if g.chance(0.3) {
		n := 0
		for _, l := range g.b.grid {
			if l.axis == axis {
				n++
			}
		}
		k := g.r.IntN(n)
		for _, l := range g.b.grid {
			if l.axis != axis {
				continue
			}
			if k == 0 {
				return place{l.label, tenth(v - l.at)}
			}
			k--
		}
	}
	return place{"", v}
}

// xy returns the numbers of a place.
func (b *building) xy(p place, axis string) float64 {
	if p.line == "" {
		return p.mm
	}
	for _, l := range b.grid {
		if l.axis == axis && l.label == p.line {
			return l.at + p.mm
		}
	}
	panic("no grid line " + p.line)
}

// run lays a length into a storey: square to the axes mostly, now and then turned, within a bay or through several.
func (g *maker) lay(r *row, bay *bayRow, width float64) {
	r.placed, r.length = true, true
	m := width/2 + 60
	x, y := g.between(bay.x1+m, bay.x2-m), g.between(bay.y1+m, bay.y2-m)
	lo, hi := [2]float64{bay.x1 + m, bay.y1 + m}, [2]float64{bay.x2 - m, bay.y2 - m}
	if r.bay == "across" {
		lo, hi = [2]float64{g.xs[0] - 400, g.ys[0] - 400}, [2]float64{g.xs[len(g.xs)-1] + 400, g.ys[len(g.ys)-1] + 400}
	}
	r.bay = ""
	length := g.between(700, 6500)
	var x2, y2 float64
	switch k := g.r.Float64(); {
	case k < 0.42:
		x2, y2 = x+length, y
	case k < 0.84:
		x2, y2 = x, y+length
	default:
		a := g.r.Float64() * 2 * math.Pi
		x2, y2 = x+length*math.Cos(a), y+length*math.Sin(a)
	}
	x2, y2 = min(max(x2, lo[0]), hi[0]), min(max(y2, lo[1]), hi[1])
	if math.Hypot(x2-x, y2-y) < 300 {
		x2, y2 = x, y
		if x-lo[0] > 400 {
			x2 = x - 350
		} else {
			x2 = x + 350
		}
	}
	if g.chance(0.5) {
		x, y, x2, y2 = x2, y2, x, y
	}
	r.x1, r.y1, r.x2, r.y2 = g.at("x", x), g.at("y", y), g.at("x", x2), g.at("y", y2)
	if r.x1 != r.x2 && tenth(x) == tenth(x2) {
		r.x2 = r.x1 // written alike: square stays square to the last bit
	}
	if r.y1 != r.y2 && tenth(y) == tenth(y2) {
		r.y2 = r.y1
	}
}

// hang gives a row its level: inside gives references of the bay, else those of the storey.
func (g *maker) hang(r *row, bay *bayRow, inside bool, high float64) {
	st := g.b.storey(bay.storey)
	soffit := g.b.z(bay.storey, bay.soffit)
	low := st.ffl + 2750
	_, top, closed := g.b.ceilingTop(bay)
	if closed {
		low = top
	}
	z := g.between(low-40, max(low+50, soffit-high+15))
	if g.chance(0.4) {
		z = st.ffl + 25*math.Round((z-st.ffl)/25)
	}
	switch k := g.r.Float64(); {
	case inside && closed && k < 0.2:
		r.level = end{"build-up", tenth(z - top)}
	case inside && closed && k < 0.3:
		face, _, _ := g.b.ceilingTop(bay)
		r.level = end{"ceiling", tenth(z - face)}
	case inside && k < 0.45:
		r.level = end{"soffit", tenth(z - soffit)}
	case k < 0.55:
		r.level = end{"datum", tenth(z - st.ffl - st.datum)}
	case k < 0.62:
		r.level = end{"project", tenth(z)}
	case k < 0.7:
		r.level = end{"SSL", tenth(z - st.ssl)}
	default:
		r.level = end{"FFL", tenth(z - st.ffl)}
	}
	if r.level.ref == "project" && math.Abs(r.level.mm) <= 20 || r.level.ref == "FFL" && r.level.mm <= 20 {
		r.level = end{"FFL", tenth(2800.5)}
	}
	if g.chance(0.3) {
		r.face = g.pick("top", "centre", "bottom")
		up := map[string]float64{"top": high, "centre": high / 2}[r.face]
		r.level.mm = tenth(r.level.mm + up)
	}
}

// set puts an item at a point of the bay.
func (g *maker) set(r *row, bay *bayRow, reach float64) {
	r.placed, r.bay = true, ""
	m := reach/2 + 20
	r.x1, r.y1 = g.at("x", g.between(bay.x1+m, bay.x2-m)), g.at("y", g.between(bay.y1+m, bay.y2-m))
}

func (g *maker) fill() {
	for len(g.b.rows) < g.m.zones {
		bay := &g.b.bays[g.r.IntN(len(g.b.bays))]
		r := row{storey: bay.storey, run: g.newRun()}
		inside := g.chance(0.6)
		if !inside {
			r.bay = "across"
		}
		switch k := g.r.Float64(); {
		case k < 0.08:
			g.steel(&r, bay)
		case k < 0.28:
			r.id, r.file, r.service = g.id("D"), "ductwork", g.pick("supply air", "extract air", "fresh air", "")
			r.a, r.b = g.step(150, 700, 50), g.step(100, 350, 50)
			r.insulation, r.joint = g.one(0, 0, 25, 40), g.one(0, 0, 0, 30)
			g.lay(&r, bay, r.a)
			g.hang(&r, bay, inside, r.b)
			if g.chance(0.1) {
				r.hanger = "channel 41 M10"
			}
		case k < 0.48:
			r.id, r.file = g.id("P"), "pipework"
			r.service = g.pick("LTHW", "chilled water", "cold water", "gas", "hot water")
			r.round, r.a = true, g.one(15, 22, 28, 42, 60.3, 76.1, 114.3)
			if g.chance(0.3) {
				r.named, r.a = "DN50", 60.3
			}
			r.insulation = g.one(0, 20, 25, 30)
			g.lay(&r, bay, r.a)
			g.hang(&r, bay, inside, r.a)
			if !g.m.plain && g.chance(0.1) {
				r.fall = g.one(80, 100, 200)
			}
		case k < 0.54 && !g.m.plain:
			r.id, r.file, r.service = g.id("W"), "drainage", g.pick("soil", "waste", "condensate")
			r.round, r.a, r.fall = true, g.one(43, 54, 110), g.one(40, 60, 80)
			g.lay(&r, bay, r.a)
			g.hang(&r, bay, inside, r.a)
			r.level.mm = tenth(r.level.mm + 30)
		case k < 0.72:
			r.id, r.file = g.id("T"), "containment"
			r.kind = g.pick("tray", "tray", "basket", "ladder", "trunking")
			r.service = g.pick("fire alarm", "earthing", "power")
			if !g.m.plain {
				r.service = g.pick("power", "data", "fire alarm", "")
				if g.chance(0.5) {
					r.class, r.circuits = g.pick("a", "b", "c", "d"), g.step(1, 20, 1)
				}
			}
			r.a, r.b = g.step(100, 450, 50), g.one(50, 60, 100)
			r.top = g.one(0, 0, 0, 20)
			g.lay(&r, bay, r.a)
			g.hang(&r, bay, inside, r.b)
			if g.chance(0.2) {
				r.hanger = g.pick("channel 41 M10", "channel 21 M10", "channel 21 nut inside")
			}
		case k < 0.8:
			r.id, r.file, r.kind = g.id("L"), "lighting", "light fitting"
			r.a, r.b, r.c = g.one(300, 600), g.one(600, 1200), g.one(80, 100, 120)
			if g.chance(0.3) {
				r.round, r.a, r.b, r.c = true, g.one(150, 220), g.one(90, 110), 0
			}
			g.set(&r, bay, max(r.a, r.b))
			if bay.ceiling != nil {
				r.level = end{"ceiling", 0}
			} else {
				r.level, r.recessed = end{"FFL", 2850}, "no"
			}
		case k < 0.88:
			// Items that no end stops at.
			r.id, r.file, r.kind = g.id("I"), g.pick("ductwork", "pipework"), g.pick("duct", "pipe fitting", "access door")
			r.a, r.b, r.c = g.step(100, 700, 50), g.step(100, 700, 50), g.step(100, 350, 50)
			high := r.c
			if g.chance(0.35) {
				r.round, r.a, r.b, r.c = true, g.step(80, 400, 20), g.step(60, 300, 20), 0
				high = r.b
			}
			g.set(&r, bay, max(r.a, r.b))
			g.hang(&r, bay, true, high)
			if r.kind == "access door" && g.m.plain {
				r.reach = "no"
			}
		case k < 0.9:
			// An upright piece within the void.
			r.id, r.file, r.service = g.id("V"), "pipework", g.pick("cold water", "chilled water")
			r.round, r.a = true, g.one(28, 54, 114.3)
			if g.chance(0.4) {
				r.round, r.a, r.b = false, g.step(60, 300, 20), g.step(60, 300, 20)
			}
			g.set(&r, bay, max(r.a, r.b))
			z := g.step(2850, 3050, 10)
			r.level, r.upper = end{"FFL", z}, &end{"FFL", z + g.step(150, 400, 10)}
		case g.m.plain:
			continue
		case k < 0.92:
			r.id, r.file = g.id("S"), "sprinklers"
			r.kind = "sprinkler head"
			r.round, r.a, r.b = true, 50, 90
			g.set(&r, bay, 50)
			if bay.ceiling == nil {
				continue
			}
			r.level = end{"ceiling", -10}
		case k < 0.95:
			r.id, r.file, r.kind = g.id("U"), "mechanical", g.pick("fan coil", "unit", "fan coil")
			r.service = "chilled water"
			r.a, r.b, r.c = g.step(700, 1100, 100), g.step(500, 900, 100), g.step(250, 350, 50)
			g.set(&r, bay, max(r.a, r.b))
			g.hang(&r, bay, true, r.c)
			if g.chance(0.6) {
				a := accessRow{target: r.id, kind: g.pick("working space", "withdrawal"), side: g.pick("east", "north", "west", "south"), depth: g.step(300, 800, 50), width: g.step(300, 700, 50)}
				g.b.access = append(g.b.access, a)
			}
			if g.chance(0.5) {
				g.b.access = append(g.b.access, accessRow{target: r.id, kind: "hatch", x: r.x1, y: r.y1, a: 600, b: 600})
			}
		case k < 0.97:
			r.id, r.file, r.service, r.kind = g.id("K"), "pipework", "cold water", "valve"
			r.a, r.b, r.c = 150, 120, 180
			g.set(&r, bay, 150)
			g.hang(&r, bay, true, r.c)
		case k < 0.985:
			r.id, r.file, r.kind = g.id("N"), "partitions", "wall"
			r.a = g.one(100, 140)
			g.lay(&r, bay, r.a)
			r.level, r.upper = end{"FFL", 0}, &end{"FFL", 3500}
			r.run = ""
		default:
			r.id, r.file, r.kind = g.id("H"), "containment", "conduit"
			r.bay, r.storey, r.run = bay.name, bay.storey, ""
			r.a = 25
			g.hang(&r, bay, false, 25)
			r.face = ""
		}
		g.b.rows = append(g.b.rows, r)
		if !g.m.plain && r.length && r.fall == 0 && r.upper == nil && g.chance(0.15) {
			g.carryOn(r)
		}
	}
}

// carryOn lays a second piece of the same run, end to end with the first.
func (g *maker) carryOn(r row) {
	x1, y1 := g.b.xy(r.x1, "x"), g.b.xy(r.y1, "y")
	x2, y2 := g.b.xy(r.x2, "x"), g.b.xy(r.y2, "y")
	if r.level.ref != "FFL" && r.level.ref != "datum" && r.level.ref != "SSL" && r.level.ref != "project" {
		return
	}
	s := r
	s.id = g.id(r.id[:1])
	s.x1, s.y1 = r.x2, r.y2
	dx, dy := x2-x1, y2-y1
	if g.chance(0.5) {
		dx, dy = -dy, dx
	}
	n := math.Hypot(dx, dy)
	l := g.between(600, 3000)
	s.x2, s.y2 = place{"", tenth(x2 + dx/n*l)}, place{"", tenth(y2 + dy/n*l)}
	if dx == 0 {
		s.x2 = s.x1
	}
	if dy == 0 {
		s.y2 = s.y1
	}
	g.b.rows = append(g.b.rows, s)
}

// steel lays a beam under the soffit, or stands a column.
func (g *maker) steel(r *row, bay *bayRow) {
	r.file, r.run = "steel", ""
	if g.chance(0.2) {
		r.id, r.kind = g.id("C"), "column"
		r.a, r.b = g.step(200, 300, 50), g.step(200, 300, 50)
		r.bay = ""
		g.set(r, bay, 300)
		r.level, r.upper = end{"FFL", 0}, &end{"FFL", 3500}
		return
	}
	r.id, r.kind = g.id("B"), "beam"
	r.a, r.b = 0, 0
	if g.chance(0.5) {
		r.named = g.pick("UB 254x146x31", "UB 203x133x25", "IPE 300")
	}
	// The dimensions of the named sections: EN 10365.
	switch r.named {
	case "UB 254x146x31":
		r.a, r.b = 146.1, 251.4
	case "UB 203x133x25":
		r.a, r.b = 133.2, 203.2
	case "IPE 300":
		r.a, r.b = 150, 300
	default:
		r.a, r.b = g.step(100, 200, 50), g.step(150, 300, 50)
	}
	g.lay(r, bay, r.a)
	r.level, r.face = end{"FFL", 3500}, "top"
	if !g.m.plain && r.named != "" && g.chance(0.6) {
		d := math.Hypot(g.b.xy(r.x2, "x")-g.b.xy(r.x1, "x"), g.b.xy(r.y2, "y")-g.b.xy(r.y1, "y"))
		o := openingRow{in: r.id, at: tenth(d * 0.5), a: 140, margin: g.one(0, 20)}
		o.b, o.round = 140, false
		if g.chance(0.5) {
			o.round, o.b = true, 0
		}
		g.b.openings = append(g.b.openings, o)
		// Something that may go through it, square to the beam.
		x1, y1, x2, y2 := g.b.xy(r.x1, "x"), g.b.xy(r.y1, "y"), g.b.xy(r.x2, "x"), g.b.xy(r.y2, "y")
		mx, my, dx, dy := (x1+x2)/2, (y1+y2)/2, (x2-x1)/d, (y2-y1)/d
		g.b.rows = append(g.b.rows, *r)
		*r = row{
			id: g.id("P"), file: "pipework", service: "cold water", storey: r.storey, run: g.newRun(), placed: true, length: true,
			round: true, a: g.one(28, 54, 76.1), insulation: g.one(0, 20), level: end{"FFL", tenth(3500 - r.b/2 + g.between(-15, 15))}, face: "centre",
			x1: place{"", tenth(mx + 700*dy)}, y1: place{"", tenth(my - 700*dx)}, x2: place{"", tenth(mx - 700*dy)}, y2: place{"", tenth(my + 700*dx)},
		}
	}
}

// more is how many times as many random projects are made as in a normal run.
var more = flag.Int("random.times", 1, "so many times the random projects")

// TestRandomProjectsAreDense keeps the other tests honest: they have something to find.
func TestRandomProjectsAreDense(t *testing.T) {
	for n := range uint64(4) {
		b := random(n, mix{zones: 300, storeys: 1 + int(n%2), gaps: int(n)})
		res := b.checked(t, spelling{}, clash.Options{Touch: 1})
		if c := res.Counts; c.Overlap < 50 || c.Tight < 10 || c.Access < 2 {
			t.Errorf("seed %d: only %+v", n, c)
		}
		if len(res.Excused) < 3 || len(res.BuildersWork) == 0 || len(res.ToBeProtected) == 0 {
			t.Errorf("seed %d: excused %v, %d holes, %d to be protected", n, res.Excused, len(res.BuildersWork), len(res.ToBeProtected))
		}
	}
}

// extreme stretches a random building out of shape: sizes of 1 mm, lengths of 1 mm and of 190 m, rows that lie in each other
// exactly, insulation of a metre, falls of 1 in 1, levels at the ends of the void.
func extreme(seed uint64) *building {
	b := random(seed, mix{zones: 120, storeys: 1, gaps: 5})
	r := rand.New(rand.NewPCG(seed, 0x65787472))
	pick := func(of ...float64) float64 { return of[r.IntN(len(of))] }
	for i := range b.rows {
		w := &b.rows[i]
		switch r.IntN(9) {
		case 0:
			if w.named == "" && w.kind != "light fitting" {
				w.a = pick(1, 1.1, 5000)
				if w.b > 0 {
					w.b = pick(1, 1.1, 900)
				}
			}
		case 1:
			if w.length {
				w.x2, w.y2 = w.x1, w.y1
				w.x2.mm = tenth(w.x2.mm + pick(0.1, 1, -1, 190000))
			}
		case 2:
			if i > 0 && b.rows[i-1].length == w.length && b.rows[i-1].placed && w.placed {
				id, run := w.id, w.run
				*w = b.rows[i-1]
				w.id, w.run, w.joins = id, run, ""
			}
		case 3:
			w.insulation = pick(1000, 0.1)
		case 4:
			if w.length && w.upper == nil {
				w.fall = pick(1, 2, 10000)
			}
		case 5:
			if w.length && w.placed { // end to end, or a hair off
				w.x1, w.y1 = b.rows[(i+1)%len(b.rows)].x1, b.rows[(i+1)%len(b.rows)].y1
				if w.x1 == w.x2 && w.y1 == w.y2 || w.x1 == (place{}) && w.y1 == (place{}) {
					w.x1.mm += 1000
				}
			}
		}
		if w.level.ref != "FFL" && w.upper == nil {
			w.level, w.face = end{"FFL", tenth(2700 + 100*float64(r.IntN(9)))}, ""
		}
	}
	b.openings = nil // their beams may have become shorter than they are wide
	return b
}

// TestExtremesAreMeasured asks for findings of buildings out of shape: no panic, every number finite, the same answer
// from one and from two workers.
func TestExtremesAreMeasured(t *testing.T) {
	for n := range uint64(3 * *more) {
		b := extreme(5000 + n)
		for _, touch := range []float64{0, 1} {
			for _, firm := range []bool{false, true} {
				opt := clash.Options{Touch: clash.Length(touch), Firm: firm, Workers: 1}
				one := document(t, b.checked(t, spelling{}, opt))
				opt.Workers = 2
				if d := differ(one, document(t, b.checked(t, spelling{}, opt))); d != "" {
					t.Errorf("seed %d touch %g firm %v: %s", b.seed, touch, firm, d)
				}
			}
		}
	}
}
