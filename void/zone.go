package void

import (
	"math"
	"slices"

	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/void/body"
	"voidline/void/cell"
)

// Zone is the room that a trade claims: one row, resolved. Lengths in mm, z above the project datum.
//
// What it shares with many others is kept once, behind a pointer (Char, Storey, Bay, Hanger, Grow, Top,
// Item, Upright, ByHeight, Recessed, Reach), and bodies are worked out when they are asked for: there may be a
// million zones.
type Zone struct {
	ID string
	*alike
	more *more // what few rows have; nil for none of it

	// The plan as written: an item's middle, the two ends of a length, from the grid lines if there are some; of a row
	// by its height the middle of its bay's plan and half of that plan's sides.
	x1, y1, x2, y2 float64

	low float64 // the level as written, of a range its lower end
	at  float64 // the same above the project datum
	end float64 // the fall of a length; of an upright zone the upper end of its range above the project datum

	line int32
	run  int32    // a word
	grid int32    // index into the project's gridded, 0 for none
	in   [2]int32 // the bays that it enters, ascending; -1 for none. Where they are more, they are in more
	Gone bool     // taken out by an edit: the zone counts for nothing, and stays so that others keep their index
}

// more is what few zones have.
type more struct {
	high  float64 // the upper end of a range as written
	in    []int32 // the bays that the zone enters, where they are more than two
	rare  *rare
	found *At // the row of the reading that its level is by, nil where it was not surveyed
}

// gridded is the grid lines that x1, y1, x2 and y2 are from: their words, 0 for none, and where they are, 0 for none.
type gridded struct {
	line  [4]int32
	at    [4]float64
	found bool // all of them
}

// rare holds what few rows say.
type rare struct {
	guid, note             string
	joins                  []string
	rank                   float64
	tolerance              float64
	frame, tier            int32 // words
	tolerates              bool  // a tolerance is written, 0 too
	holdsLevel, holdsPlace bool
	letGo                  bool // holds nothing, whatever its kind holds
	stage                  Stage
}

// rare returns what few rows say, nothing where it is blank.
func (z *Zone) rare() rare {
	if z.more == nil || z.more.rare == nil {
		return rare{}
	}
	return *z.more.rare
}

// At says where the zone's row stands: file and line. Its Offset is not kept.
func (z *Zone) At() At { return At{File: z.file, Line: z.line} }

// Run returns the name of the run that the zone belongs to, "" for none.
func (z *Zone) Run() string {
	return z.p.word(z.run)
}

// Bare returns the body of the bare section.
func (z *Zone) Bare() (b body.Body) {
	z.bare(&b)
	return b
}

// bare sets b to the body of the bare section.
func (z *Zone) bare(b *body.Body) {
	z.flat(b)
	if z.Upright {
		b.Centre.Z = (z.at + z.end) / 2
		if b.Round {
			b.Along.Z = (z.end - z.at) / 2
		} else {
			b.H = (z.end - z.at) / 2
		}
		return
	}
	at := z.at
	if face := z.facing(); face != cell.Centre {
		half := b.H
		if b.Round {
			switch n := across(b.Along.X, b.Along.Y); {
			case n == 0:
				half = b.Along.Z // an upright disc
			case b.Along.Z == 0:
				half = b.W
			default:
				half = b.W * math.Hypot(1, b.Along.Z/n) // upright from the axis to the underside
			}
		}
		if face == cell.Top {
			at -= half
		} else {
			at += half
		}
	}
	b.Centre.Z += at
}

// across is math.Hypot, quickly where one of the two is zero.
func across(x, y float64) float64 {
	switch {
	case y == 0:
		return math.Abs(x)
	case x == 0:
		return math.Abs(y)
	}
	return math.Hypot(x, y)
}

// flat sets b, which is blank, to the bare body in plan, with its fall: its section's middle is at level 0 at the
// start.
func (z *Zone) flat(b *body.Body) {
	switch {
	case z.ByHeight:
		b.Centre = r3.Vector{X: z.x1, Y: z.y1}
		b.Along.X, b.Across.Y = z.x2, 1
		h := z.a // Single, Circle
		switch z.form {
		case cell.Rectangle, cell.Disc:
			h = z.b
		case cell.Solid:
			h = z.c
		}
		b.W, b.H = z.y2, h/2
	case z.Item && (z.form == cell.Circle || z.form == cell.Disc):
		b.Centre.X, b.Centre.Y, _, _ = z.ends()
		b.Along.Z, b.W, b.Round = z.b/2, z.a/2, true
	case z.Item: // Rectangle (its height is the range), Solid
		b.Centre.X, b.Centre.Y, _, _ = z.ends()
		b.Along.X, b.Across.Y = z.a/2, 1
		b.W, b.H, b.Block = z.b/2, z.c/2, true
	default:
		// As body.Box and body.Cylinder of the two ends.
		drop := 0.0
		if z.end != 0 && !z.Upright {
			drop = z.end * z.length()
		}
		x1, y1, x2, y2 := z.ends()
		b.Centre = r3.Vector{X: (x1 + x2) * 0.5, Y: (y1 + y2) * 0.5, Z: -drop * 0.5}
		b.Along = r3.Vector{X: (x2 - x1) * 0.5, Y: (y2 - y1) * 0.5, Z: -drop * 0.5}
		if n := across(b.Along.X, b.Along.Y); n > 0 {
			b.Across = r2.Point{X: -b.Along.Y / n, Y: b.Along.X / n}
		}
		b.W = z.a / 2
		if b.Round = z.form == cell.Circle; !b.Round {
			b.H = z.b / 2
		}
	}
}

// ends returns the plan without grid lines.
func (z *Zone) ends() (x1, y1, x2, y2 float64) {
	if z.grid == 0 {
		return z.x1, z.y1, z.x2, z.y2
	}
	at := &z.p.gridded[z.grid].at
	return at[0] + z.x1, at[1] + z.y1, at[2] + z.x2, at[3] + z.y2
}

// length returns the length of a length in plan.
func (z *Zone) length() float64 {
	x1, y1, x2, y2 := z.ends()
	return r2.Point{X: x2, Y: y2}.Sub(r2.Point{X: x1, Y: y1}).Norm()
}

// Full returns the body with joint, insulation and top. They go outside the bare section on every side
// but not on the ends: an upright prism's ends are its foot and its head; an item has no ends; a row
// over its whole bay has its section's height alone.
func (z *Zone) Full() (b body.Body) {
	z.bare(&b)
	z.around(&b)
	return b
}

// Around returns what Full does for a bare body that is the zone's own or one in its stead: of the same
// section, elsewhere.
func (z *Zone) Around(b body.Body) body.Body {
	z.around(&b)
	return b
}

func (z *Zone) around(b *body.Body) {
	if z.Grow > 0 {
		switch {
		case z.ByHeight:
			b.H += z.Grow
		case z.Item:
			b.W += z.Grow
			if !b.Round {
				n := b.Along.Norm()
				b.Along = b.Along.Mul((n + z.Grow) / n)
			}
			if !z.Upright {
				b.H += z.Grow
				if b.Round {
					b.Along.Z += z.Grow
				}
			}
		case z.Upright:
			b.W += z.Grow
		default:
			b.W += z.Grow
			b.H += z.Grow
		}
	}
	if z.Top > 0 {
		b.H += z.Top / 2
		b.Centre.Z += z.Top / 2
	}
}

// Frame returns the name of the shared frame and the tier in it, "" for none.
func (z *Zone) Frame() (frame, tier string) {
	if z.more == nil || z.more.rare == nil {
		return "", ""
	}
	return z.p.word(z.more.rare.frame), z.p.word(z.more.rare.tier)
}

// Joins returns the ids that the row says it connects to.
func (z *Zone) Joins() []string {
	if z.more == nil || z.more.rare == nil {
		return nil
	}
	return z.more.rare.joins
}

// Rank returns the rank that the row sets (1 stays longest), false where it is blank.
func (z *Zone) Rank() (float64, bool) {
	x := z.rare()
	return x.rank, x.rank != 0
}

// Stage is how far a row has come on its way onto the site.
type Stage uint8

// The stages of a row.
const (
	Drawn   Stage = iota
	Ordered       // it can still be changed, at a price
	Made          // it moves last
	Fixed         // it does not move
)

var stages = [...]string{"drawn", "ordered", "made", "fixed"}

func (s Stage) String() string { return stages[s] }

// Stage returns how far the row has come.
func (z *Zone) Stage() Stage { return z.rare().stage }

// LetGo reports whether the row says that it holds nothing, whatever its kind usually holds.
func (z *Zone) LetGo() bool { return z.rare().letGo }

// Holds reports whether the level and the place may not change: because the row says so, or is fixed.
func (z *Zone) Holds() (level, place bool) {
	x := z.rare()
	fixed := x.stage == Fixed
	return x.holdsLevel || fixed, x.holdsPlace || fixed
}

// Tolerance returns how far off its level the row says that it may be built, plus or minus, mm; false where
// the cell is blank.
func (z *Zone) Tolerance() (float64, bool) {
	x := z.rare()
	return x.tolerance, x.tolerates
}

// InRoom reports whether the row says that it is, or is not, meant to be in the room under the ceiling; said is false
// where it is left to its kind.
func (z *Zone) InRoom() (meant, said bool) { return z.room == flagYes, z.room != blankFlag }

// Web returns the thickness of a steel section's web in mm, false where only its outside is known.
func (z *Zone) Web() (float64, bool) { return z.web, z.web > 0 }

// GUID returns the zone's id in a building model, "" where blank.
func (z *Zone) GUID() string { return z.rare().guid }

// Bays returns the indices of the bays whose plan the zone's own plan enters, ascending. They are not to be
// changed.
func (z *Zone) Bays() []int32 {
	switch {
	case z.more != nil && z.more.in != nil:
		return z.more.in
	case z.in[0] < 0:
		return nil
	case z.in[1] < 0:
		return z.in[:1]
	}
	return z.in[:]
}

// Stands reports whether a zone stands in the storey of a bay: it is a row of that storey, or stands through others and in
// that bay.
func (p *Project) Stands(z *Zone, bay int) bool {
	return int(z.Storey) == p.Bays[bay].Storey || slices.Contains(z.Bays(), int32(bay))
}

// Under returns the height of what hangs under the zone, mm.
func (p *Project) Under(z *Zone) float64 {
	if z.Hanger < 0 {
		return 0
	}
	return p.Hangers[z.Hanger].Under
}

// Hang returns the body of what hangs under a zone along its whole length, false where nothing does.
func (p *Project) Hang(z *Zone) (body.Body, bool) {
	if p.Under(z) <= 0 {
		return body.Body{}, false
	}
	return p.HangFrom(z, z.Full())
}

// hangWider is how much longer a channel is than what it carries is wide, mm: rods 50 clear each side and 30 of channel beyond
// them (common practice, no source).
const hangWider = 160.0

// HangFrom is Hang for a full body that is the zone's own or one in its stead (see Around).
func (p *Project) HangFrom(z *Zone, f body.Body) (body.Body, bool) {
	under := p.Under(z)
	if under <= 0 {
		return body.Body{}, false
	}
	half := f.H
	if f.Round {
		half = f.W
		if n := math.Hypot(f.Along.X, f.Along.Y); n > 0 {
			half *= math.Hypot(1, f.Along.Z/n) // the underside of a sloping pipe, measured upright
		}
		f.Round = false
		if f.Across == (r2.Point{}) {
			f.Across = r2.Point{Y: 1}
		}
	}
	w := p.Hangers[z.Hanger].UnderWidth
	if w == 0 {
		w = 2*f.W + hangWider
	}
	f.W, f.H = w/2, under/2
	f.Centre.Z -= half + under/2
	return f, true
}

// zoneList keeps zones in blocks that never move, so that a pointer to a zone stays good.
type zoneList struct {
	blocks []*[zoneBlock]Zone
	n      int
}

const zoneBlock = 1024

func (l *zoneList) at(i int) *Zone { return &l.blocks[i/zoneBlock][i%zoneBlock] }

func (l *zoneList) add() *Zone {
	if l.n == len(l.blocks)*zoneBlock {
		l.blocks = append(l.blocks, new([zoneBlock]Zone))
	}
	l.n++
	return l.at(l.n - 1)
}

// cut takes zones out at the end, so that n are left.
func (l *zoneList) cut(n int) {
	for i := n; i < l.n; i++ {
		*l.at(i) = Zone{}
	}
	l.n = n
}

// Zones returns the number of zones, those that are gone included.
func (p *Project) Zones() int { return p.zones.n }

// Zone returns zone i, 0 <= i < Zones(). It is not to be changed.
func (p *Project) Zone(i int) *Zone { return p.zones.at(i) }

// ZoneByID returns the index of a zone by its id (case and blanks do not count), false where there is none.
func (p *Project) ZoneByID(id string) (int, bool) {
	i, ok := p.ids.find(&p.zones, id)
	return int(i), ok
}
