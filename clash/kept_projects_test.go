package clash_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"
)

// This file makes the projects whose answers are kept (kept_test.go). They come of fixed seeds, and of nothing else that could change: what is
// changed here changes them all. Places, sizes and gaps are drawn from a lattice, so that what just touches, what has exactly what a rule asks, and a tenth
// more and less, are as frequent as everything else.

// kept is a project in the making. Lengths are mm, levels above FFL.
type kept struct {
	rnd    *rand.Rand
	n      int // rows so far, for their names
	tables map[string][]map[string]string
	grid   bool    // places are written from grid lines
	east   float64 // of the origin: what every x has more
	north  float64
	storey string
	x, y   float64 // corner of the strip that is being filled: 6000 by 3000, the half of a bay
	bay    string
	runs   []string // to be set out
	edits  [][3]string
}

// The building: three bays by two of 6 m, on each storey.
const (
	keptBay     = 6000.0
	keptCeiling = 2700.0
	keptSoffit  = 3600.0
)

// one draws one of several.
func one[T any](k *kept, of ...T) T { return of[k.rnd.IntN(len(of))] }

// edge draws a length at or about one at which something changes.
func (k *kept) edge(at float64) float64 { return at + one(k, -20, -0.1, 0, 0, 0.1, 20) }

// in names the bay of the strip to who names its storey besides.
func (k *kept) in() string {
	name, _, _ := strings.Cut(k.bay, ",")
	return name
}

func mm(v float64) string { return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64) }

// above writes a level over a reference.
func above(ref string, v float64) string {
	switch v = math.Round(v*10) / 10; {
	case v == 0:
		return ref
	case v < 0:
		return ref + mm(v)
	}
	return ref + "+" + mm(v)
}

func ffl(v float64) string { return above("FFL", v) }

// px and py write a place of the strip.
func (k *kept) px(x float64) string {
	if x += k.x; k.grid {
		line := math.Floor(x / keptBay)
		return above(string(rune('A'+int(line))), x-line*keptBay)
	}
	return mm(x + k.east)
}

func (k *kept) py(y float64) string {
	if y += k.y; k.grid {
		line := math.Floor(y / keptBay)
		return above("grid "+strconv.Itoa(1+int(line)), y-line*keptBay)
	}
	return mm(y + k.north)
}

// put adds a row to a table: its cells as pairs of heading and text, of which blank ones are left out.
func (k *kept) put(table string, cells ...string) map[string]string {
	row := map[string]string{}
	for i := 0; i+1 < len(cells); i += 2 {
		if cells[i+1] != "" {
			row[cells[i]] = cells[i+1]
		}
	}
	k.tables[table] = append(k.tables[table], row)
	return row
}

// length adds a row from one place of the strip to another; item one that stands at one. Both return its name.
func (k *kept) length(trade string, x1, y1, x2, y2 float64, cells ...string) string {
	return k.zone(trade, append(cells, "x1", k.px(x1), "y1", k.py(y1), "x2", k.px(x2), "y2", k.py(y2))...)
}

func (k *kept) item(trade string, x, y float64, cells ...string) string {
	return k.zone(trade, append(cells, "x1", k.px(x), "y1", k.py(y))...)
}

func (k *kept) zone(trade string, cells ...string) string {
	k.n++
	id := strings.ToUpper(trade[:1]) + fmt.Sprintf("%02d", k.n)
	k.put(trade, append([]string{"id", id, "storey", k.storey}, cells...)...)
	return id
}

// keptThing is something that is drawn as a length, with its height and how much it is wide.
type keptThing struct {
	trade, service, kind, size string
	wide, high                 float64
	more                       []string
}

// keptThings are what crosses and runs beside each other.
var keptThings = []keptThing{
	{"ductwork", "supply air", "", "400x200", 400, 200, nil},
	{"ductwork", "extract", "duct", "ø250", 250, 250, nil},
	{"ductwork", "supply air", "", "300x150", 350, 200, []string{"insulation", "25"}},
	{"ductwork", "extract", "", "500x250", 560, 310, []string{"joint", "30"}},
	{"pipework", "LTHW flow", "", "ø60", 120, 120, []string{"insulation", "30"}},
	{"pipework", "cold water", "", "ø42", 42, 42, nil},
	{"pipework", "natural gas", "", "ø28", 28, 28, nil},
	{"containment", "LV power", "tray", "300x60", 300, 60, []string{"circuits", "12"}},
	{"containment", "LV power", "ladder", "450x100", 450, 120, []string{"top", "20", "circuits", "30"}},
	{"containment", "data", "basket", "200x60", 200, 60, []string{"class", "c"}},
	{"containment", "fire alarm", "conduit", "ø25", 25, 25, nil},
	{"sprinklers", "sprinkler", "", "ø50", 50, 50, nil},
	{"drainage", "waste", "", "ø110", 110, 110, nil},
}

func (t *keptThing) cells(more ...string) []string {
	return append(append([]string{"service", t.service, "kind", t.kind, "size", t.size}, t.more...), more...)
}

// under is how far the bare section of a thing lies above the underside of all of it.
func (t *keptThing) under() float64 {
	for i := 0; i+1 < len(t.more); i += 2 {
		if h := t.more[i]; h == "insulation" || h == "joint" {
			v, _ := strconv.ParseFloat(t.more[i+1], 64)
			return v
		}
	}
	return 0
}

// needs are lengths that rules ask, and nothing.
var keptNeeds = []float64{-50, -1, 0, 25, 25, 50, 100, 150}

// crossing: one thing over another, square or at a skew, level or falling, with a gap about what a rule asks.
func (k *kept) crossing() {
	a, b := one(k, keptThings...), one(k, keptThings...)
	low := one(k, 2850, 2900, 3000.0)
	gap := k.edge(one(k, keptNeeds...))
	fall := one(k, "", "", "", "1 in 100", "1 in 60")
	k.length(a.trade, 500, 1500, 5500, 1500, a.cells("level", ffl(low+a.under()), "rank", one(k, "", "", "3"), "stage", one(k, "", "", "made", "fixed"))...)
	skew := one(k, 0, 0, 500, 1200.0)
	k.length(b.trade, 3000-skew, 300, 3000+skew, 2700, b.cells("level", ffl(low+a.high+gap+b.under()), "fall", fall, "holds", one(k, "", "", "level", "place", "both"))...)
}

// alongside: two things side by side, over a length about that at which rules begin to count.
func (k *kept) alongside() {
	a, b := one(k, keptThings...), one(k, keptThings...)
	level := one(k, 2900, 3000.0)
	gap := k.edge(one(k, keptNeeds...))
	long := one(k, 599.9, 600, 600.1, 620, 3000)
	y := 1300 + a.wide/2 + b.wide/2 + gap
	k.length(a.trade, 500, 1300, 5500, 1300, a.cells("level", ffl(level+a.under()))...)
	k.length(b.trade, 1500, y, 1500+long, y+one(k, 0, 0, 0, 100.0), b.cells("level", ffl(level+b.under()+one(k, 0, 0, a.high, a.high-1, -b.high)))...)
}

// levels: what lies about the ceiling and about the soffit, some of it across into the next bay.
func (k *kept) levels() {
	a := one(k, keptThings...)
	long := one(k, 5400, 6000, 6000.1, 6400.0)
	ref := one(k, above("build-up", k.edge(one(k, 0, 25, 100.0))+a.under()), above("ceiling", k.edge(one(k, -150, 0, 38, 63.0))), ffl(2738+k.edge(25)+a.under()))
	k.length(a.trade, 400, 800, 400+long, 800, a.cells("level", ref, "fall", one(k, "", "", "1 in 200"))...)
	b := one(k, keptThings...)
	k.length(b.trade, 400, 2000, 400+long, 2000+one(k, 0, 0, 500.0), b.cells("level", above("soffit", -k.edge(one(k, -30, 0, 1, 25, 150.0))-b.under()), "face", "top")...)
	k.item("lighting", 2000, one(k, 800, 1000, 1095, 1097.5, 1300), "kind", "light fitting", "size", "595x595x90", "level", "ceiling", "recessed", one(k, "", "yes"))
	k.item("lighting", 4000, 2600, "kind", one(k, "light fitting", "detector", "radiator"), "size", "ø200x90", "level", above("ceiling", one(k, -90, -600, -600.1, -690, -690.1)), "in room", one(k, "", "", "yes"))
}

// run: lengths of one run that nearly meet, with steps, a bend, a tee and an item in line.
func (k *kept) run() {
	a := one(k, keptThings...)
	name := fmt.Sprintf("R%d", k.n)
	level := one(k, 2900, 2950.0)
	gap := one(k, 0, 0, 49.9, 50, 50.1, 149.9, 150, 150.1, 300, 300.1, 600, 600.1, 1500, 1500.1)
	step := one(k, 0, 0, 4.9, 5, 5.1, 9.9, 10, 25, 25.1, 50, 50.1)
	hanger := one(k, "", "channel 41 M10", "channel 21 M8")
	tail := []string{"run", name, "hanger", hanger}
	k.length(a.trade, 200, 900, 2000, 900, a.cells(append(tail, "level", ffl(level+a.under()))...)...)
	second := k.length(a.trade, 2000+gap, 900, 4500, 900, a.cells(append(tail, "level", ffl(level+step+a.under()))...)...)
	k.length(a.trade, 4500, 900+one(k, 0, a.wide/2, k.edge(50), a.wide/2+k.edge(50)), 4500, 2700, a.cells(append(tail, "level", ffl(level+step+a.under()))...)...)
	joins := one(k, "", second)
	branch := one(k, "", name, name+"b")
	k.length(a.trade, 3000, 900+a.wide/2+one(k, -a.wide/2, 0, k.edge(50), k.edge(300), k.edge(600)), 3000, 2600,
		a.cells("run", branch, "joins", joins, "level", ffl(level+step+a.under()+one(k, 0, 0, 25, 25.1, a.high+50.1)))...)
	if a.trade == "ductwork" {
		k.item("ductwork", 1200, 900, "service", a.service, "kind", one(k, "damper", "fire damper"), "size", "200x"+mm(a.wide+100)+"x"+mm(a.high), "level", ffl(level), "joins", joins, "reach", one(k, "", "yes", "no"))
	}
	k.runs = append(k.runs, name)
	k.edits = append(k.edits, [3]string{second, "level", ffl(level + step + a.under() + 30)}, [3]string{second, "x1", k.px(2150)})
}

// drain: lengths that fall to a stack, with branches that come in high enough or not.
func (k *kept) drain() {
	name := fmt.Sprintf("DR%d", k.n)
	step := one(k, 0, 5, 5.1, -20, 30.0)
	tail := []string{"service", one(k, "soil", "waste", "condensate"), "run", name}
	first := k.length("drainage", 400, 1000, 3400, 1000, append(tail, "size", "ø110", "level", ffl(3150), "fall", one(k, "1 in 60", "1 in 100", "12.5 mm/m"), "face", "centre")...)
	k.length("drainage", 3400, 1000, 5400, 1000, append(tail, "size", "ø110", "level", ffl(3100+step), "fall", "1 in 100", "face", "centre")...)
	k.item("drainage", 5400, 1000+one(k, 0, 0, 600, 655.1), append(tail, "size", "ø110", "level", "FFL"+one(k, "", "+2500")+".."+one(k, "FFL+3600", "FFL+3900", "soffit"))...)
	k.length("drainage", 1500, 2600, 1500, 1000+one(k, 0, 55, 105, 105.1), append(tail, "size", "ø50", "level", ffl(one(k, 3200, 3122.5, 3100, 3060.0)), "fall", one(k, "1 in 40", ""), "face", "centre", "joins", one(k, "", first))...)
	k.runs = append(k.runs, name)
	k.edits = append(k.edits, [3]string{first, "level", ffl(3160)}, [3]string{first, "fall", "1 in 80"})
}

// steel: a beam and a wall across the strip with openings, and what goes through, under and beside them.
func (k *kept) steel() {
	beam := k.length("steel", 1500, 0, 1500, 3000, "kind", one(k, "beam", "beam", "joist"), "size", "UB 406x178x60", "level", one(k, "soffit", ffl(keptSoffit), ffl(keptSoffit-50)), "face", "top")
	wall := k.length("partitions", 4500, 0, 4500, 3000, "kind", one(k, "wall", "fire wall", "cavity barrier"), "size", "150", "level", "FFL"+one(k, "", "+2700")+".."+one(k, "soffit", "FFL+3200", "FFL+3300"))
	k.put("openings", "in", beam, "at", "1000", "size", one(k, "ø150", "200x150"), "level", one(k, "", ffl(3300)), "face", one(k, "", "centre"), "margin", one(k, "", "25", "0"))
	k.put("openings", "in", wall, "x", k.px(4500), "y", k.py(1000), "size", "500x400", "level", ffl(2800), "margin", one(k, "", "50"), "note", "as drawn")
	size := one(k, 90, 99.9, 100, 100.1, 120)
	k.length("pipework", 500, 1000+one(k, 0, 0, 15, 25.0), 5500, 1000, "service", "CHW flow", "size", "ø"+mm(size), "level", one(k, ffl(3375-size/2), ffl(3300), ffl(3200)), "hanger", one(k, "", "strap"))
	k.length("ductwork", 500, 2200, 5500, 2200, "service", "supply air", "size", "400x150", "level", above("steel", -150-k.edge(one(k, 0, 25.0))), "run", fmt.Sprintf("S%d", k.n))
	k.length("containment", 1500+90+100+k.edge(one(k, 0, 25, 150.0)), 200, 1690+k.edge(25), 2800, "service", "LV power", "kind", "tray", "size", "200x60", "level", ffl(3250))
	k.length("pipework", 4575+30+k.edge(25), 100, 4605+k.edge(25), 1600, "service", "cold water", "size", "ø60", "level", ffl(2900))
	k.length("ductwork", 3500, 1000+one(k, 0, 0, 0.1, 25), 5500, 1000, "service", "extract", "size", "400x300", "level", ffl(2800+k.edge(50)))
	near := 2600 + 42 + one(k, 100, 149.9, 150, 150.1, 170.0) // holes 25 larger all round
	k.length("pipework", 3600, 2600, 5400, 2600, "service", "cold water", "size", "ø42", "level", ffl(2860))
	k.length("pipework", 3600, near, 5400, near, "service", "cold water", "size", "ø42", "level", ffl(2860))
	k.edits = append(k.edits, [3]string{beam, "level", ffl(keptSoffit - 80)}, [3]string{wall, "y2", k.py(2400)})
}

// units: items that must be reached, with hatches, spaces and what is in the way.
func (k *kept) units() {
	boards := one(k, true, false)
	unit := k.item("ductwork", 2000, 1500, "kind", one(k, "fan coil", "VAV", "fan coil"), "size", "900x600x250", "level", ffl(one(k, 2838, 2900, 3000.0)), "hanger", one(k, "", "wire"), "stage", one(k, "", "ordered"))
	valve := k.item("pipework", 4500, one(k, 1500, 1800.0), "kind", "valve", "service", "LTHW flow", "size", "150x150x200", "level", ffl(one(k, 2850, 3100.0)), "reach", one(k, "", "yes"))
	if boards {
		k.put("access", "for", unit, "kind", "hatch", "x", k.px(2000+k.edge(one(k, 0, 600.0))), "y", k.py(1500), "size", one(k, "450x450", "300x300", "600x600", "449x449", "150x150", "149x600"))
	} else {
		k.put("access", "for", unit, "kind", "hatch", "note", "under it")
	}
	k.put("access", "for", unit, "kind", one(k, "working space", "withdrawal"), "side", one(k, "east", "west", "north", "below"), "depth", mm(one(k, 300, 600.0)), "width", one(k, "", "500"))
	k.put("access", "for", valve, "kind", "working space", "side", one(k, "east", "south", "above"), "depth", mm(k.edge(200)))
	k.length("sprinklers", 2450+k.edge(one(k, 25, 300, 600.0))+25, 200, 2475+k.edge(300), 2800, "service", "sprinkler", "size", "ø50", "level", ffl(2950))
	k.length("pipework", 2450+one(k, -150, 0, 50, 300.0), 1600, 4500, 1600, "service", "LTHW flow", "size", "ø28", "insulation", "25", "level", ffl(2950), "joins", one(k, "", unit, unit+"; "+valve))
	k.length("ductwork", 3300, 1300, 5800, 1300, "service", "supply air", "size", "ø200", "level", ffl(2850), "joins", one(k, "", unit))
	k.length("partitions", 3200, 600, 3200, 2400, "kind", "wall", "size", "100", "level", "FFL.."+one(k, "ceiling", "FFL+3000", "soffit"))
	k.edits = append(k.edits, [3]string{unit, "level", ffl(2920)}, [3]string{unit, "x1", k.px(2060)})
}

// hung: containment and pipes on hangers over what is in their way, a frame of two tiers, supports that are set out.
func (k *kept) hung() {
	name, frame := fmt.Sprintf("H%d", k.n), fmt.Sprintf("F%d", k.n)
	end := one(k, 3300, 4400, 5800, 7000.0)
	from, to := 300.0, end
	if one(k, true, false) {
		from, to = to, from
	}
	first := k.length("containment", from, 700, to, 700, "service", "LV power", "kind", "tray", "size", "300x60", "level", ffl(3000), "hanger", one(k, "channel 41 M10", "kept channel", "channel 21 M10"), "run", name, "circuits", "8", "tolerance", one(k, "", "15"))
	k.length("ductwork", one(k, 590, 600, 1950, 2100.0), 200, one(k, 600, 1950.0), 2800, "service", "extract", "size", "200x200", "level", ffl(2944.1-200-one(k, -10, 0, 0.1, 25.0)))
	low, high := 2900.0, 2900+one(k, 150, 200.0)
	lower := k.length("containment", 300, 1800, 5700, 1800, "service", "LV power", "kind", "tray", "size", "300x60", "level", ffl(low), "hanger", "channel 41 M10", "frame", frame, "tier", "1", "run", name+"L")
	k.length("containment", 300, 1800+one(k, 0, 50.0), 5700, 1800, "service", "data", "kind", "basket", "size", "200x60", "level", ffl(high), "hanger", "channel 41 M10", "frame", frame, "tier", "2", "run", name+"U", "class", "b")
	k.length("pipework", 300, 2500, 5700, 2500, "service", "chilled water flow", "size", "DN50", "insulation", "25 over joint", "joint", "10", "level", ffl(2950), "hanger", one(k, "strap", "pipe clip"), "run", name+"P")
	if one(k, true, false, true) {
		for i, at := range []float64{one(k, 300, 350.0), 1500, 2500 + one(k, 0, 0.1, 300.0)} {
			k.put("supports", "run", name, "number", strconv.Itoa(i+1), "along", mm(at), "stage", one(k, "", "fixed"), "rods", one(k, "", "", "2"), "hanger", one(k, "", "channel 21 M10"), "from", one(k, "", "soffit"))
		}
	}
	k.put("structure", "id", fmt.Sprintf("NF%d", k.n), "storey", k.storey, "kind", "no fixing", "x1", k.px(2500), "y1", k.py(2500), "size", "600x400x50", "level", "soffit", "note", "tendon")
	k.runs = append(k.runs, name, name+"L", name+"P")
	k.edits = append(k.edits, [3]string{first, "level", ffl(2990)}, [3]string{lower, "level", ffl(low - 20)}, [3]string{first, "x2", k.px(to + (from-to)/8)})
}

// inRoom: what is set into the ceiling or stands in the room, and what serves it.
func (k *kept) inRoom() {
	x := one(k, 1500, 2100.0)
	diffuser := k.item("ductwork", x, 900, "kind", "diffuser", "service", "supply air", "size", "595x595x"+one(k, "60", "300"), "level", "ceiling")
	k.length("ductwork", 300, 900, x, 900+one(k, 0, 0, 150.0), "kind", "flexible", "service", one(k, "supply air", "extract"), "size", "ø200", "level", ffl(keptCeiling+one(k, 60, 100, 340.0)), "joins", one(k, "", diffuser))
	k.item("fire alarm", x+one(k, 400, 997.5, 1347.4, 1347.5, 1347.6), 900, "kind", "detector", "size", "ø100x80", "level", above("ceiling", -45))
	drop := fmt.Sprintf("SP%d", k.n)
	k.length("sprinklers", 300, 2000, 5500, 2000, "service", "sprinkler", "size", "DN40", "level", ffl(3300), "face", "centre", "run", drop)
	k.item("sprinklers", 4000, 2000+one(k, 0, 0, 74.2, 80.0), "size", "DN25", "service", "sprinkler", "level", "ceiling..FFL+3300", "run", one(k, drop, ""), "recessed", one(k, "yes", ""))
	k.item("sprinklers", 4000, 2000, "kind", "sprinkler head", "service", "sprinkler", "size", "ø60x60", "level", above("ceiling", -40))
	k.length("pipework", 4800, 300, 4800, 2700, "service", "LTHW return", "size", "ø22", "level", one(k, "FFL+2600", "FFL+1000", "FFL+2078", "FFL+2077.9"), "run", fmt.Sprintf("W%d", k.n), "in room", one(k, "", "yes"))
	k.zone("pipework", "service", "cold water", "bay", k.in(), "size", "ø"+one(k, "50", "100"), "level", one(k, "FFL+2740", "soffit-100", "ceiling+60"))
	k.zone("containment", "service", "data", "kind", "conduit", "bay", k.in(), "width", "50", "height", "50", "level", ffl(one(k, 2790, 2840, 2865.0)))
	k.edits = append(k.edits, [3]string{diffuser, "x1", k.px(x + 75)})
}

// riser: what goes up through ceiling and soffit, with and without its opening, beside what it passes.
func (k *kept) riser() {
	name := fmt.Sprintf("V%d", k.n)
	top := one(k, "FFL+3600", "FFL+3900", "FFL+4600")
	up := k.item("pipework", 1500, 1500, "service", "LTHW flow", "diameter", "60", "insulation", "30", "level", one(k, "FFL", "FFL+2800", "FFL+3000")+".."+top, "run", name)
	k.length("pipework", 1500+one(k, 0, 30, 80.1, 600, 660.1), 1500, 5500, 1500, "service", "LTHW flow", "size", "ø60", "insulation", "30", "level", one(k, "FFL+3000", "FFL+3550", "FFL+2900"), "run", one(k, name, name, name+"b"))
	k.item("ductwork", 2500, 700, "service", "extract", "kind", "duct", "size", "300x300", "level", one(k, "FFL", "FFL+2900")+"..FFL+4500", "run", fmt.Sprintf("X%d", k.n))
	k.put("openings", "in", "soffit "+k.bay, "x", k.px(2500), "y", k.py(700+one(k, 0, 0, 25.0)), "size", one(k, "350x350", "349x400", "300x300"))
	k.put("openings", "in", "ceiling "+k.bay, "x", k.px(1500), "y", k.py(1500), "size", one(k, "ø170", "ø169", "200x200"))
	k.length("structure", 4000, 500, 5500, 500, "kind", "slab", "size", "800x200", "level", ffl(one(k, 3400, 3350.0)))
	k.length("ductwork", 3000, 600+one(k, 0, 700, 700.1), 5900, 500, "service", "supply air", "size", "300x150", "level", ffl(3350-150-k.edge(25)))
	if k.storey == "L1" {
		k.item("pipework", 1500+one(k, 0, 0, 50, 50.1), 1500, "storey", "L2", "service", "LTHW flow", "diameter", "60", "insulation", "30", "level", one(k, "FFL", "FFL+50", "FFL+50.1", "FFL+300")+"..FFL+3000", "run", name)
	}
	k.runs = append(k.runs, name)
	k.edits = append(k.edits, [3]string{up, "x1", k.px(1580)})
}

// files writes the tables.
func (k *kept) files() map[string]string {
	out := map[string]string{}
	for name, rows := range k.tables {
		var head []string
		for _, r := range rows {
			for h := range r {
				if !slices.Contains(head, h) {
					head = append(head, h)
				}
			}
		}
		first := []string{"id", "bay", "storey", "axis", "build-up", "hanger", "of", "in", "for", "what", "run"}
		slices.SortFunc(head, func(a, b string) int {
			at := func(h string) int {
				if i := slices.Index(first, h); i >= 0 {
					return i
				}
				return len(first)
			}
			if x, y := at(a), at(b); x != y {
				return x - y
			}
			return strings.Compare(a, b)
		})
		var b bytes.Buffer
		w := csv.NewWriter(&b)
		_ = w.Write(head) // a bytes.Buffer takes everything
		for _, r := range rows {
			cells := make([]string, len(head))
			for i, h := range head {
				cells[i] = r[h]
			}
			_ = w.Write(cells)
		}
		w.Flush()
		out[strings.ReplaceAll(name, " ", "-")+".csv"] = b.String()
	}
	return out
}

// keptProject makes the project of a seed.
func keptProject(seed uint64) *kept {
	k := &kept{rnd: rand.New(rand.NewPCG(seed, 0x6b657074)), tables: map[string][]map[string]string{}}
	k.grid = seed%3 == 1
	storeys := []string{"L1", "L2"}
	for i, s := range storeys {
		k.put("levels", "storey", s, "ffl", mm(4000*float64(i)), "ssl", mm(4000*float64(i)-80), "datum", one(k, "1000", "1200"))
	}
	if seed%3 == 2 { // survey coordinates
		k.east, k.north = 530120000, 180340000
		k.put("origin", "x", mm(k.east), "y", mm(k.north), "turn", one(k, "", "30"))
	}
	if k.grid {
		for i := range 4 {
			k.put("grid", "axis", "x", "label", string(rune('A'+i)), "position", mm(keptBay*float64(i)))
		}
		for i := range 3 {
			k.put("grid", "axis", "y", "label", strconv.Itoa(1+i), "position", mm(keptBay*float64(i)))
		}
	}
	k.put("buildups", "build-up", "tiles", "layer", "tile", "thickness", "15", "lifts out", "yes", "module", one(k, "", "300"))
	k.put("buildups", "build-up", "tiles", "layer", "tee", "thickness", "23", "lifts out", "yes")
	k.put("buildups", "build-up", "boards", "layer", "board", "thickness", "12.5", "lifts out", "no")
	k.put("buildups", "build-up", "boards", "layer", "furring", "thickness", "25.5", "lifts out", "no")
	k.put("hangers", "hanger", "kept channel", "part", "channel", "height", "41", "side", "under", "width", one(k, "", "82"), "rods", "2", "from", one(k, "", "soffit", "beam flange"))
	k.put("hangers", "hanger", "kept channel", "part", "nut M10", "height", one(k, "8.4", "10"), "side", one(k, "under", "inside"))
	k.put("hangers", "hanger", "kept channel", "part", "plate washer", "height", "5", "side", one(k, "inside", "under"), "width", one(k, "", "40"))
	for _, g := range [][]string{
		{"of", "duct", "to", "tray", "side", "above", "gap", mm(k.edge(60)), "basis", "practice", "why", "cables are laid in"},
		{"of", "pipe", "to", "duct", "side", "beside", "gap", "50", "over", one(k, "", "600"), "basis", "maker", "source", "specification 4.2"},
		{"of", "data", "to", "electrical", "side", "around", "gap", "100", "over", "600", "basis", "law"},
		{"of", "sprinklers", "to", "any", "side", "below", "gap", one(k, "25", "40"), "basis", one(k, "law", "practice")},
		{"of", "detector", "to", "diffuser", "side", "beside", "gap", "1000", "basis", "law", "why", "air from the diffuser"},
		{"of", "gas", "to", "ductwork", "side", "one side", "gap", "80"},
		{"of", "wet", "to", "data", "side", "above", "gap", "told"},
	} {
		if one(k, true, true, false) {
			k.put("gaps", g...)
		}
	}
	for i, s := range storeys {
		for b := range 6 {
			x, y := keptBay*float64(b%3), keptBay*float64(b/3)
			k.x, k.y = 0, 0
			ceiling := one(k, ffl(keptCeiling), ffl(keptCeiling), above("soffit", -900), ffl(2750))
			if b == 5 {
				ceiling = "none"
			}
			k.put("bays", "bay", fmt.Sprintf("B%d", b+1), "storey", s, "x1", k.px(x), "y1", k.py(y), "x2", k.px(x+keptBay), "y2", k.py(y+keptBay),
				"soffit", one(k, ffl(keptSoffit), ffl(keptSoffit), above("SSL", keptSoffit+80), ffl(keptSoffit-50)), "ceiling", ceiling,
				"build-up", one(k, "tiles", "tiles", "boards", ""), "trough", one(k, "", "", "", "30"), "note", one(k, "", "as survey"), "guid", one(k, "", "", fmt.Sprintf("1vX7pQ0jT5RwK2bN8s%d%03d", i, b)))
		}
	}
	scenes := []func(*kept){
		(*kept).run, (*kept).drain, (*kept).units, (*kept).hung, (*kept).inRoom, (*kept).riser, (*kept).levels, (*kept).steel,
		(*kept).crossing, (*kept).alongside, (*kept).crossing, (*kept).alongside, (*kept).run, (*kept).crossing,
	}
	strips := []int{0, 1, 2, 3, 4, 5, 12, 13, 14, 15, 10, 11} // of 24; the last two have no ceiling over them
	at := k.rnd.Perm(10)
	for i, scene := range scenes {
		if i < 8 && i%4 == int(seed%4) {
			continue // two of the larger ones are not in each project
		}
		s := strips[at[i%10]] // some share a strip
		if i > 7 && one(k, true, false, false) {
			s = one(k, strips...)
		}
		b := s / 2 % 6
		k.storey = storeys[s/12]
		k.bay = fmt.Sprintf("B%d, %s", b+1, k.storey)
		k.x, k.y = keptBay*float64(b%3), keptBay*float64(b/3)+3000*float64(s%2)
		scene(k)
	}
	if seed%2 == 0 {
		k.put("surveyed", "no", "1", "what", "soffit", "bay", "B2", "storey", "L1", "level", above("FFL", keptSoffit-one(k, 30, 0.1, 100.0)), "day", "2026-11-30", "by", "site engineer")
		k.put("surveyed", "no", "2", "what", "ceiling", "bay", "B1", "storey", "L1", "reading", mm(1700-one(k, 0, 15.0)), "set-up", "1")
		k.put("surveyed", "no", "3", "what", "datum", "storey", "L1", "reading", mm(one(k, 0, 2.0)), "set-up", "1")
		if rows := k.tables["steel"]; len(rows) > 0 {
			k.put("surveyed", "no", "4", "what", "zone", "zone", rows[0]["id"], "storey", rows[0]["storey"], "face", "bottom", "level", ffl(3180))
		}
		k.put("surveyed", "no", "5", "what", "soffit", "bay", "B3", "storey", "L1", "not seen", "yes")
	}
	return k
}
