package main

import (
	"bufio"
	"bytes"
	"context"
	"errors"
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
)

var (
	buildingTo    = flag.String("building.to", "", "the project `FOLDER` that TestWriteBuilding writes")
	buildingZones = flag.Int("building.zones", 100_000, "how many zones TestWriteBuilding writes")
)

// The building: towers on one campus, up to towerHigh storeys each, a storey of baysAlong by baysDeep bays. Sizes,
// levels and room are common practice, no source. A bay, all levels in mm above FFL, y from its south grid line:
//
//	 y 7000  conduit, fire alarm    3300              soffit 3850
//	   6600  data basket            2950
//	   5900  power tray             2950; in corridors a ladder, on channels
//	   5300  sprinkler range        3450, two drops and heads
//	   5100  sprinkler main         3750, through the secondary beams; one row of bays in three
//	   4700  two diffusers, each with its branch, damper and dropper
//	   3600  supply main            3050
//	   2940  fan coil               3050; one bay in three
//	   2400  extract main           3075
//	1750,1900  cold and hot water   3200
//	1300,1500  LTHW flow and return 3200, on a frame
//	 650, 900  chilled water        3150
//	    350  soil, falling from     3240; every other bay
//	      0  primary beam, a column at its west end         tiles or boards on 2700
//
// Secondary beams stand at x 0 and 4200. Every fifth bay has a wall on its east side, with openings for the two mains;
// what else goes through it is builder's work. In one column of bays in four a cold water rising main goes north over it
// all, through openings in the primary beams. In faultyBays of the bays something is wrong.
const (
	towerHigh  = 20
	baysAlong  = 12
	baysDeep   = 8
	towersRow  = 5
	bayAlong   = 8400
	bayDeep    = 7200
	storeyHigh = 4200
	faultyBays = 0.04
)

// zoneCells is a row of a trade's table, a text a column.
type zoneCells struct {
	id, storey, service, kind, x1, y1, x2, y2, size, insulation, level, face, fall, hanger, frame, tier, run, joins, recessed, circuits, class, note string
}

// The headings of the tables of the trades: each trade fills in what it has.
var tradeHeads = map[string]string{
	"steel":       "id,storey,kind,x1,y1,x2,y2,size,level,face",
	"partitions":  "id,storey,x1,y1,x2,y2,size,level,note",
	"ductwork":    "id,storey,service,kind,x1,y1,x2,y2,size,insulation,level,run,joins",
	"pipework":    "id,storey,service,kind,x1,y1,x2,y2,size,insulation,level,frame,tier,run,joins,note",
	"drainage":    "id,storey,service,x1,y1,x2,y2,size,level,fall,run,note",
	"sprinklers":  "id,storey,kind,x1,y1,x2,y2,size,level,face,run,recessed,note",
	"containment": "id,storey,service,kind,x1,y1,x2,y2,size,level,hanger,run,circuits,class,note",
	"lighting":    "id,storey,kind,x1,y1,size,level",
	"fire-alarm":  "id,storey,kind,x1,y1,x2,y2,size,level,run",
}

// building writes itself.
type building struct {
	tables
	r     *rand.Rand
	left  int // zones that may still be written
	heads map[string][]string
	line  []byte

	// The bay at hand.
	tower, storey, i, j int
	st                  string // the storey's name
	tag                 string // of its ids
	x, y                int
	colX, rowY          string // its grid lines
	tiles               bool
}

// writeBuilding writes the tables of a building of so many zones to a folder that is there. The same number and seed
// give the same bytes, and fewer zones are a part of more but for the tables' ends.
func writeBuilding(dir string, zones int, seed uint64) error {
	b := &building{tables: tables{dir: dir}, r: rand.New(rand.NewPCG(seed, 5)), left: zones, heads: map[string][]string{}}
	for name, head := range tradeHeads {
		b.heads[name] = strings.Split(head, ",")
	}
	b.to("buildups", "build-up,layer,thickness,lifts out").WriteString("tiles,mineral tile,15,yes\ntiles,main tee above the tile,38,yes\n" +
		"boards,board 12.5,12.5,no\nboards,board 12.5,12.5,no\nboards,furring section,26,no\n")
	b.to("gaps", "of,to,side,gap,over,basis,why,source").WriteString("fan coil,any,above,50,0,maker,the unit stands on rubber mounts,installation sheet of the unit\n" +
		"detector,diffuser,beside,1000,0,law,supply air keeps smoke away from a detector,BS 5839-1 (from memory): 1 m from an air inlet\n")
	b.to("hangers", "hanger,part,height,side,width,rods,from").WriteString("channel M8,channel 21,21,under,,2,soffit\nchannel M8,nut M8,6.8,under,,,\nchannel M8,one thread,1.25,under,,,\n")
	b.to("levels", "storey,ffl,ssl,datum")
	columns, rows := 0, 0
	for b.tower = 0; b.left > 0; b.tower++ {
		across, deep := b.tower%towersRow*(baysAlong+2), b.tower/towersRow*(baysDeep+2)
		columns, rows = max(columns, across+baysAlong+1), max(rows, deep+baysDeep+1)
		for b.storey = 0; b.storey < towerHigh && b.left > 0; b.storey++ {
			b.st = fmt.Sprintf("Tower %d L%02d", b.tower+1, b.storey)
			ffl := 21000 + 150*b.tower + storeyHigh*b.storey
			fmt.Fprintf(b.to("levels", ""), "%s,%d,%d,1000\n", b.st, ffl, ffl-80)
			for b.j = deep; b.j < deep+baysDeep && b.left > 0; b.j++ {
				for b.i = across; b.i < across+baysAlong && b.left > 0; b.i++ {
					b.bay(b.i == across, b.i == across+baysAlong-1)
				}
			}
		}
	}
	g := b.to("grid", "axis,label,position")
	for i := range columns {
		fmt.Fprintf(g, "x,%s,%d\n", letters(i), i*bayAlong)
	}
	for j := range rows {
		fmt.Fprintf(g, "y,%d,%d\n", j+1, j*bayDeep)
	}
	return b.close()
}

// put writes a row of a trade's table, and reports whether it may: zones are counted.
func (b *building) put(name string, z zoneCells) bool {
	if b.left <= 0 {
		return false
	}
	b.left--
	z.id, z.storey = z.id+b.tag, b.st
	l := b.line[:0]
	for k, h := range b.heads[name] {
		if k > 0 {
			l = append(l, ',')
		}
		l = append(l, z.cell(h)...)
	}
	b.line = append(l, '\n')
	b.to(name, tradeHeads[name]).Write(b.line)
	return true
}

func (z *zoneCells) cell(column string) string {
	switch column {
	case "id":
		return z.id
	case "storey":
		return z.storey
	case "service":
		return z.service
	case "kind":
		return z.kind
	case "x1":
		return z.x1
	case "y1":
		return z.y1
	case "x2":
		return z.x2
	case "y2":
		return z.y2
	case "size":
		return z.size
	case "insulation":
		return z.insulation
	case "level":
		return z.level
	case "face":
		return z.face
	case "fall":
		return z.fall
	case "hanger":
		return z.hanger
	case "frame":
		return z.frame
	case "tier":
		return z.tier
	case "run":
		return z.run
	case "joins":
		return z.joins
	case "recessed":
		return z.recessed
	case "circuits":
		return z.circuits
	case "class":
		return z.class
	case "note":
		return z.note
	}
	panic("no column " + column)
}

// to is tables.to for the tables of building, whose headings are told once.
func (b *building) to(name, head string) *bufio.Writer { return b.tables.to(name, head) }

// px and py write a place from the bay's south-west corner as a number, gx and gy by the grid line.
func (b *building) px(dx int) string { return strconv.Itoa(b.x + dx) }
func (b *building) py(dy int) string { return strconv.Itoa(b.y + dy) }
func (b *building) gx(dx int) string { return b.colX + offset(dx) }
func (b *building) gy(dy int) string { return b.rowY + offset(dy) }

func offset(d int) string {
	switch {
	case d > 0:
		return "+" + strconv.Itoa(d)
	case d < 0:
		return strconv.Itoa(d)
	}
	return ""
}

func pick[T any](b *building, of ...T) T { return of[b.r.IntN(len(of))] }

// bay writes a bay and what is in it; first and last say that it is at an end of its row.
func (b *building) bay(first, last bool) {
	b.x, b.y = b.i*bayAlong, b.j*bayDeep
	b.colX, b.rowY = letters(b.i), "grid "+strconv.Itoa(b.j+1)
	bay := fmt.Sprintf("%s/%d", b.colX, b.j+1)
	b.tag = fmt.Sprintf("-%d.%02d.%s.%d", b.tower+1, b.storey, b.colX, b.j+1)
	b.tiles = b.j%4 != 2 // every fourth row of bays is a corridor under boards
	ceiling := "tiles"
	if !b.tiles {
		ceiling = "boards"
	}
	fmt.Fprintf(b.to("bays", "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up"), "%s,%s,%s,%s,%s,%s,%s,FFL+2700,%s\n",
		bay, b.st, b.colX, b.rowY, letters(b.i+1), "grid "+strconv.Itoa(b.j+2), pick(b, "FFL+3850", "SSL+3930", "datum+2850"), ceiling)
	fault := faultNone
	if b.r.Float64() < faultyBays {
		fault = faults[b.r.IntN(len(faults))]
	}
	if fault == faultDamper && b.tiles {
		fault = faultPipe // over tiles a damper is reached
	}
	b.structure(last)
	b.ducts(last, fault)
	b.pipes(fault)
	b.cables(fault)
	b.ceiling()
	b.wrong(fault)
}

// fault is what is wrong in a bay.
type fault int

const (
	faultNone   fault = iota
	faultPipe         // a pipe through the mains
	faultDuct         // a duct hung into the ceiling
	faultTray         // a tray through the branches
	faultMain         // a sprinkler pipe through a beam that has no opening for it
	faultDamper       // a damper over boards without a hatch
	faultBasket       // a second basket tight beside the power tray
	faultUnit         // a unit where the ducts are
	faultHot          // a heating pipe along the cables
)

var faults = []fault{faultPipe, faultDuct, faultTray, faultMain, faultDamper, faultBasket, faultUnit, faultHot}

// along writes a length of the bay from end to end at a place over its south grid line, in numbers.
func (b *building) along(name, id string, dy int, z zoneCells) bool {
	z.id = id
	z.x1, z.y1, z.x2, z.y2 = b.px(0), b.py(dy), b.px(bayAlong), b.py(dy)
	return b.put(name, z)
}

func (b *building) structure(last bool) {
	beam := func(id string, x1, y1, x2, y2 int, size string) bool {
		return b.put("steel", zoneCells{id: id, x1: b.gx(x1), y1: b.gy(y1), x2: b.gx(x2), y2: b.gy(y2), size: size, level: "soffit", face: "top"})
	}
	b.put("steel", zoneCells{id: "C", kind: "column", x1: b.gx(0), y1: b.gy(0), size: "203x203", level: "FFL..soffit"})
	primary := beam("PB", 110, 0, bayAlong-110, 0, "UB 457x191x67")
	west := beam("SBW", 0, 110, 0, bayDeep-110, "UB 305x127x37")
	mid := beam("SBM", 4200, 110, 4200, bayDeep-110, "UB 305x127x37")
	opening := func(in string, at int, size, level, margin string) {
		fmt.Fprintf(b.to("openings", "in,at,size,level,margin,note"), "%s%s,%d,%s,%s,%s,\n", in, b.tag, at, size, level, margin)
	}
	if b.j%3 == 0 {
		if west {
			opening("SBW", 5100-110, "ø140", "CL FFL+3750", "")
		}
		if mid {
			opening("SBM", 5100-110, "ø140", "CL FFL+3750", "")
		}
	}
	if b.i%4 == 2 && primary {
		opening("PB", 3100-110, "ø170", "CL FFL+3623", "")
	}
	if (b.i+b.j)%5 == 0 && !last {
		if b.put("partitions", zoneCells{id: "W", x1: b.px(bayAlong - 200), y1: b.py(110), x2: b.px(bayAlong - 200), y2: b.py(bayDeep - 110), size: "100", level: "FFL..soffit"}) {
			opening("W", 3600-110, "900x450", "FFL+2975", "30")
			opening("W", 2400-110, "600x400", "FFL+3000", "30")
		}
	}
}

func (b *building) ducts(last bool, fault fault) {
	line := fmt.Sprintf("%d.%02d.%d", b.tower+1, b.storey, b.j+1)
	supply, extract := "SA "+line, "EA "+line
	level := pick(b, "FFL+3050", "3050", "datum+2050", "3.05 m", "SSL+3130")
	size := []string{"700x300", "600x300", "500x300", "400x300"}[b.i%(baysAlong+2)/3%4]
	main := func(id, service, size string, dy int, level, run string) bool {
		return b.put("ductwork", zoneCells{
			id: id, service: service, x1: b.gx(0), y1: b.gy(dy), x2: letters(b.i + 1), y2: b.gy(dy), size: size, insulation: "25", level: level, run: run,
		})
	}
	main("SA", "supply air", size, 3600, level, supply)
	main("EA", "extract air", "400x250", 2400, "FFL+3075", extract)
	b.put("ductwork", zoneCells{id: "G", service: "extract air", kind: "grille", x1: b.gx(4600), y1: b.gy(2400), size: "300x300x150", level: "ceiling", run: extract})
	for k, dx := range []int{2100, 6300} {
		n := strconv.Itoa(k + 1)
		b.put("ductwork", zoneCells{id: "SB" + n, service: "supply air", x1: b.gx(dx), y1: b.gy(3600), x2: b.gx(dx), y2: b.gy(4700), size: "250x200", insulation: "25", level: "FFL+3100", run: supply})
		if b.put("ductwork", zoneCells{id: "VCD" + n, service: "supply air", kind: "VCD", x1: b.gx(dx), y1: b.gy(4250), size: "250x150x220", level: "FFL+3090", run: supply, joins: "SB" + n + b.tag}) && !b.tiles {
			if fault == faultDamper && k == 0 {
				continue
			}
			fmt.Fprintf(b.to("access", "for,kind,side,depth,width,x,y,size,note"), "VCD%s%s,hatch,,,,%s,%s,400x400,\n", n, b.tag, b.gx(dx), b.gy(4190))
		}
		b.put("ductwork", zoneCells{id: "FX" + n, service: "supply air", kind: "flexible", x1: b.gx(dx), y1: b.gy(4700), size: "ø200", level: "FFL+2950..FFL+3100", run: supply})
		b.put("ductwork", zoneCells{id: "D" + n, service: "supply air", kind: "diffuser", x1: b.gx(dx), y1: b.gy(4700), size: pick(b, "595x595x250", "600x600x250"), level: "ceiling", run: supply})
	}
	if b.i%3 == 1 {
		if b.put("ductwork", zoneCells{id: "FCU", service: "supply air", kind: "fan coil", x1: b.gx(7200), y1: b.gy(2937), size: "900x550x280", level: "FFL+3050"}) {
			a := b.to("access", "for,kind,side,depth,width,x,y,size,note")
			fmt.Fprintf(a, "FCU%s,withdrawal,west,450,,,,,filter\n", b.tag)
			if !b.tiles {
				fmt.Fprintf(a, "FCU%s,hatch,,,,%s,%s,550x550,\n", b.tag, b.gx(7200), b.gy(2937))
			}
		}
	}
}

func (b *building) pipes(fault fault) {
	line := fmt.Sprintf("%d.%02d.%d", b.tower+1, b.storey, b.j+1)
	frame := "F" + b.tag
	b.along("pipework", "CHF", 650, zoneCells{service: "chilled water flow", size: "DN80", insulation: "40", level: "FFL+3150", run: "CHF " + line})
	b.along("pipework", "CHR", 900, zoneCells{service: "chilled water return", size: "DN80", insulation: "40", level: "FFL+3150", run: "CHR " + line})
	b.along("pipework", "HF", 1300, zoneCells{service: "LTHW flow", size: "DN50", insulation: "30", level: "CL FFL+3230", frame: frame, tier: "1", run: "HF " + line})
	b.along("pipework", "HR", 1500, zoneCells{service: "LTHW return", size: "DN50", insulation: "30", level: "CL FFL+3230", frame: frame, tier: "1", run: "HR " + line})
	b.along("pipework", "CW", 1750, zoneCells{service: "cold water", size: "ø42", insulation: "25", level: pick(b, "FFL+3200", "3200 AFFL", "soffit-650"), run: "CW " + line})
	b.along("pipework", "HW", 1900, zoneCells{service: "hot water", size: "ø42", insulation: "25", level: "FFL+3200", run: "HW " + line})
	if b.i%3 == 1 {
		b.put("pipework", zoneCells{id: "V", service: "chilled water", kind: "commissioning set", x1: b.px(5600), y1: b.py(900), size: "220x150x180", level: "FFL+3160", run: "CHR " + line})
		if !b.tiles && b.left > 0 {
			fmt.Fprintf(b.to("access", "for,kind,side,depth,width,x,y,size,note"), "V%s,hatch,,,,%s,%s,300x300,\n", b.tag, b.gx(5600), b.gy(1000))
		}
	}
	if b.i%4 == 2 {
		b.put("pipework", zoneCells{id: "RM", service: "boosted cold water", x1: b.px(3100), y1: b.py(0), x2: b.px(3100), y2: b.py(bayDeep), size: "DN50", insulation: "25", level: "CL FFL+3623", run: fmt.Sprintf("RM %d.%02d.%d", b.tower+1, b.storey, b.i)})
	}
	if (b.i+b.j)%2 == 0 {
		b.put("drainage", zoneCells{id: "S", service: pick(b, "soil", "waste", "condensate drain"), x1: b.px(400), y1: b.py(350), x2: b.px(7800), y2: b.py(350), size: "ø110", level: fmt.Sprintf("FFL+%.1f", 3230+b.r.Float64()*10), fall: pick(b, "1 in 80", "12.5 mm/m", "1.25 %"), run: "S" + b.tag})
	}
	b.put("sprinklers", zoneCells{id: "SR", x1: b.gx(0), y1: b.gy(5300), x2: letters(b.i + 1), y2: b.gy(5300), size: "DN32", level: "FFL+3450", face: "centre", run: "SR " + line})
	for k, dx := range []int{1050, 5250} {
		n := strconv.Itoa(k + 1)
		b.put("sprinklers", zoneCells{id: "SD" + n, x1: b.gx(dx), y1: b.gy(5300), size: "DN25", level: "ceiling..FFL+3450", run: "SR " + line, recessed: "yes", note: "drop"})
		b.put("sprinklers", zoneCells{id: "SH" + n, kind: "head", x1: b.gx(dx), y1: b.gy(5300), size: "ø60x60", level: "ceiling-40"})
	}
	if b.j%3 == 0 {
		b.put("sprinklers", zoneCells{id: "SM", x1: b.gx(0), y1: b.gy(5100), x2: letters(b.i + 1), y2: b.gy(5100), size: "DN65", level: "CL FFL+3750", run: "SM " + line})
	}
}

func (b *building) cables(fault fault) {
	line := fmt.Sprintf("%d.%02d.%d", b.tower+1, b.storey, b.j+1)
	kind, size := "tray", "300x60"
	if !b.tiles {
		kind, size = "ladder", "450x60"
	}
	level := pick(b, "FFL+2950", "2950", "build-up+199", "ceiling+250")
	if !b.tiles {
		level = "FFL+2950"
	}
	hanger := "" // that of most is not said; where it is, the places of supports are the check's own
	if b.j%4 == 2 {
		hanger = "channel 41 M10"
	}
	b.along("containment", "T", 5900, zoneCells{service: "LV power", kind: kind, size: size, level: level, hanger: hanger, run: "T " + line, circuits: "6"})
	b.along("containment", "K", 6600, zoneCells{service: "data", kind: "basket", size: "200x50", level: "FFL+2950", hanger: pick(b, "", "", "", "", "", "", "", "channel M8"), run: "K " + line, class: "c"})
	b.put("fire-alarm", zoneCells{id: "FC", kind: "conduit", x1: b.px(0), y1: b.py(7000), x2: b.px(bayAlong), y2: b.py(7000), size: "ø25", level: "FFL+3300", run: "FC " + line})
}

func (b *building) ceiling() {
	for k, at := range [][2]int{{2100, 1500}, {6300, 1500}, {2100, 6300}, {6300, 6300}} {
		b.put("lighting", zoneCells{id: "L" + strconv.Itoa(k+1), kind: "light fitting", x1: b.gx(at[0]), y1: b.gy(at[1]), size: pick(b, "600x600x100", "595x595x90", "1200x300x90"), level: "ceiling"})
	}
	b.put("fire-alarm", zoneCells{id: "SDT", kind: "smoke detector", x1: b.gx(4200), y1: b.gy(3600), size: "ø100x80", level: "ceiling-45"})
}

// wrong adds what is wrong in the bay; its ids begin with X.
func (b *building) wrong(fault fault) {
	run := "X" + b.tag
	switch fault {
	case faultPipe:
		b.put("pipework", zoneCells{id: "XP", service: "chilled water", x1: b.px(3500), y1: b.py(1200), x2: b.px(3500), y2: b.py(5000), size: "DN65", insulation: "30", level: fmt.Sprintf("FFL+%d", 3060+b.r.IntN(120)), run: run})
	case faultDuct:
		b.put("ductwork", zoneCells{id: "XD", service: "extract air", x1: b.px(900), y1: b.py(3050), x2: b.px(900 + 1200 + b.r.IntN(1200)), y2: b.py(3050), size: "400x250", insulation: "25", level: fmt.Sprintf("FFL+%d", 2740+b.r.IntN(60)), run: run})
	case faultTray:
		b.put("containment", zoneCells{id: "XT", service: "power", kind: "tray", x1: b.px(500), y1: b.py(4100), x2: b.px(7000), y2: b.py(4100), size: "225x60", level: fmt.Sprintf("FFL+%d", 3000+b.r.IntN(200)), hanger: "channel 41 M10", run: run, circuits: "3"})
	case faultMain:
		b.put("sprinklers", zoneCells{id: "XM", x1: b.px(2500), y1: b.py(6900), x2: b.px(6000), y2: b.py(6900), size: "DN65", level: fmt.Sprintf("CL FFL+%d", 3600+b.r.IntN(150)), run: run})
	case faultBasket:
		b.put("containment", zoneCells{id: "XK", service: "data", kind: "basket", x1: b.px(1000), y1: b.py(6150 + b.r.IntN(40)), x2: b.px(7000), y2: b.py(6150 + b.r.IntN(40)), size: "100x50", level: "FFL+2950", run: run, class: "c"})
	case faultHot:
		b.put("pipework", zoneCells{id: "XH", service: "LTHW", x1: b.px(700), y1: b.py(6850), x2: b.px(3000 + b.r.IntN(4000)), y2: b.py(6850), size: "DN25", insulation: "25", level: "FFL+2990", run: run})
	case faultUnit:
		b.put("ductwork", zoneCells{id: "XU", service: "supply air", kind: "terminal unit", x1: b.px(4000 + b.r.IntN(400)), y1: b.py(3300), size: "1000x600x350", level: "FFL+3100", run: run})
	}
}

// TestBuilding wants of the building that it can be read without a problem, that it is the same each time, that all
// its tables are there, and that nothing is found where nothing is wrong.
func TestBuilding(t *testing.T) {
	const zones = 20_000
	dir, again, other := t.TempDir(), t.TempDir(), t.TempDir()
	for _, w := range []struct {
		dir  string
		seed uint64
	}{{dir, 1}, {again, 1}, {other, 2}} {
		if err := writeBuilding(w.dir, zones, w.seed); err != nil {
			t.Fatal(err)
		}
	}
	files, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	differ := 0
	var names []string
	for _, f := range files {
		names = append(names, f.Name())
		a, errA := os.ReadFile(filepath.Join(dir, f.Name()))
		b, errB := os.ReadFile(filepath.Join(again, f.Name()))
		c, errC := os.ReadFile(filepath.Join(other, f.Name()))
		if err := errors.Join(errA, errB, errC); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(a, b) {
			t.Errorf("%s: one seed gives two texts", f.Name())
		}
		if !bytes.Equal(a, c) {
			differ++
		}
	}
	if differ < 5 {
		t.Errorf("with another seed only %d tables are different", differ)
	}
	for _, want := range []string{"bays.csv", "levels.csv", "grid.csv", "buildups.csv", "gaps.csv", "hangers.csv", "openings.csv", "access.csv"} {
		if !slices.Contains(names, want) {
			t.Errorf("no %s", want)
		}
	}
	p, err := table.Open(context.Background(), dir, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ch := clash.Open(p, clash.Options{Touch: 1})
	for i, pr := range append(p.Problems, p.Warnings...) {
		if i < 10 {
			t.Error(pr)
		}
	}
	if p.Zones() != zones {
		t.Errorf("%d zones, want %d", p.Zones(), zones)
	}
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	bays := map[string]bool{}
	kinds := map[string]int{}
	strangers, supports := 0, 0
	for i := range res.Findings {
		f := &res.Findings[i]
		b := ""
		if f.B != nil {
			b = *f.B
		}
		if f.AKind == "support" || f.BKind == "support" {
			supports++ // nobody has drawn them: that beams are in the way of some is no fault of the building
			continue
		}
		if f.Bay != nil {
			bays[*f.Bay] = true
		}
		kinds[fmt.Sprintf("%s %s/%s %s", f.Kind, f.AKind, f.BKind, f.Rule)]++
		if strings.HasPrefix(f.A, "X") || strings.HasPrefix(b, "X") || strings.HasPrefix(f.A, "VCD") && f.Rule == "reach from a hatch" {
			continue
		}
		if strangers++; strangers <= 10 {
			t.Errorf("%s %s / %s (%s, gap %g, asked %g, %s): nothing is wrong with these", f.Kind, f.A, b, f.Rule, f.Gap, f.Asked, f.Note)
		}
	}
	if strangers > 10 {
		t.Errorf("%d such findings in all", strangers)
	}
	if k := len(bays); k < len(p.Bays)/50 || k > len(p.Bays)/10 {
		t.Errorf("%d of %d bays have findings", k, len(p.Bays))
	}
	for _, k := range []finding.Kind{finding.Overlap, finding.Tight, finding.Access} {
		if !slices.ContainsFunc(res.Findings, func(f finding.Finding) bool { return f.Kind == k }) {
			t.Errorf("no finding is of kind %s", k)
		}
	}
	if len(res.BuildersWork) == 0 || len(res.ToBeProtected) == 0 || len(res.Excused) == 0 {
		t.Errorf("%d holes, %d to be protected, %d excused: some of it is not met", len(res.BuildersWork), len(res.ToBeProtected), len(res.Excused))
	}
	t.Logf("%d zones in %d bays, findings %+v in %d bays, %d of supports: %v", p.Zones(), len(p.Bays), res.Counts, len(bays), supports, kinds)
	t.Logf("holes %d, to be protected %d, excused %v, not checked %d", len(res.BuildersWork), len(res.ToBeProtected), res.Excused, len(res.Unchecked))
}

// dense is a project in which much is in few places.
type dense struct {
	name    string
	zones   []int
	crowded bool // pairs grow with the square of the zones
	write   func(dir string, zones int) error
}

var denseProjects = []dense{
	// Half of the ducts along x, half along y, all at one level: each meets all of the other half.
	{"over one bay", []int{500, 2000}, true, func(dir string, zones int) error {
		return writeDense(dir, bayAlong, zones, func(d *bufio.Writer, k int) {
			at := bayAlong * (k/2 + 1) / (zones/2 + 1)
			if k%2 == 0 {
				fmt.Fprintf(d, "D%d,supply air,0,%d,%d,%d,100x100,FFL+3000\n", k, at, bayAlong, at)
			} else {
				fmt.Fprintf(d, "D%d,extract air,%d,0,%d,%d,100x100,FFL+3000\n", k, at, at, bayAlong)
			}
		})
	}},
	// A field of short ducts, clear of each other, and one of 200 m from corner to corner through it.
	{"one 200 m long over all others", []int{1000, 100_000}, false, func(dir string, zones int) error {
		const side = 141_400
		row := 1
		for row*row < zones-1 {
			row++
		}
		step := side / row
		return writeDense(dir, side, zones, func(d *bufio.Writer, k int) {
			if k == zones-1 {
				fmt.Fprintf(d, "long,extract air,0,0,%d,%d,300x200,FFL+3000\n", side, side)
				return
			}
			x, y := k%row*step, k/row*step
			fmt.Fprintf(d, "D%d,supply air,%d,%d,%d,%d,100x100,FFL+3000\n", k, x, y+step/2, x+step*2/3, y+step/2)
		})
	}},
	{"in one point", []int{500, 2000, 6000}, true, func(dir string, zones int) error {
		return writeDense(dir, bayAlong, zones, func(d *bufio.Writer, k int) {
			fmt.Fprintf(d, "D%d,supply air,3000,3000,4000,3000,400x300,FFL+3000\n", k)
		})
	}},
}

// writeDense writes a project of one open bay, square with the given side, and ducts that row writes. Ducts
// of one service that meet end to end or in a tee are excused, so crossing ones have two.
func writeDense(dir string, side, zones int, row func(d *bufio.Writer, k int)) error {
	t := tables{dir: dir}
	fmt.Fprintf(t.to("bays", "bay,x1,y1,x2,y2,soffit,ceiling"), "A/1,0,0,%d,%d,FFL+4000,none\n", side, side)
	d := t.to("ductwork", "id,service,x1,y1,x2,y2,size,level")
	for k := range zones {
		row(d, k)
	}
	return t.close()
}

// TestWriteBuilding writes a building to be measured by hand:
//
//	go test ./cmd/voidline -run TestWriteBuilding -building.zones 1000000 -building.to FOLDER
func TestWriteBuilding(t *testing.T) {
	if *buildingTo == "" {
		t.Skip("for use by hand: wants -building.to")
	}
	if err := os.MkdirAll(*buildingTo, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := writeBuilding(*buildingTo, *buildingZones, 1); err != nil {
		t.Fatal(err)
	}
}
