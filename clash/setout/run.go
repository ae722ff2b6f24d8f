// Package setout works out for one run what a foreman builds it by: the band of levels in which it is clear from end to
// end, the line to strike, the fewest steps where there is no such level, falls, supports, rods and what is cut
// from stock. It measures by the check's own bars (clash.Check.Bars) and prints nothing.
package setout

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"github.com/golang/geo/r1"
	"github.com/golang/geo/r2"
	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/rules"
	"voidline/clash/support"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
)

// Piece is one row of a run with its place along the run.
type Piece struct {
	Zone     int
	From, To float64 // stations, mm along the run in plan
	Reversed bool    // the run goes through the row from its end to its start
	Bare     body.Body
	Item     bool // a thing at a point: it keeps its height to the line
}

// Run is one continuous length: rows that follow each other end to end, in order.
type Run struct {
	Name    string
	Storey  int
	Pieces  []Piece
	Items   []Piece
	Length  float64
	Corners []float64 // stations where it turns in plan
	Left    []string  // rows of the run that it does not hold, and why
	Face    cell.Facing
}

const (
	joint = void.RunJoint // between ends that still meet (as in the check)
	turn  = 1.0           // degrees from which on a joint is a corner
)

// Assemble puts the rows of a run, or the one row of that id, in order. A run that branches or has gaps comes back in
// several lengths, the longest first. face says what the line is to: bottom (if unsaid), centre or top of
// the bare section.
func Assemble(p *void.Project, name string, face cell.Facing) ([]Run, error) {
	if face == cell.Unsaid {
		face = cell.Bottom
	}
	var of, rows, items []int
	var left []string
	for i := range p.Zones() {
		if run := p.Zone(i).Run(); run != "" && strings.EqualFold(run, name) {
			of = append(of, i)
		}
	}
	slices.SortFunc(of, func(i, j int) int { return void.Natural(p.Zone(i).ID, p.Zone(j).ID) })
	for _, i := range of {
		z := p.Zone(i)
		switch {
		case z.ByHeight:
			left = append(left, z.ID+" has no place: only its bay and heights are known")
		case z.Upright:
			left = append(left, z.ID+" stands upright through levels")
		case p.Character(z.Char).Structure():
			return nil, fmt.Errorf("%s is structure: it is not set out", z.ID)
		case z.Item:
			items = append(items, i)
		default:
			rows = append(rows, i)
		}
	}
	if len(rows) == 0 && len(left) == 0 && len(items) == 0 {
		i, ok := p.ZoneByID(name)
		if !ok {
			return nil, fmt.Errorf("no run and no row %q", name)
		}
		z := p.Zone(i)
		if z.Item || z.Upright || z.ByHeight || p.Character(z.Char).Structure() {
			return nil, fmt.Errorf("%s is not a length of a service with a place: it has no line", z.ID)
		}
		rows = []int{i}
	}
	if len(rows) == 0 {
		return nil, fmt.Errorf("run %s has no length with a place: %s", name, strings.Join(left, "; "))
	}
	return assembled(p, Run{Name: name, Face: face}, rows, items, left), nil
}

// assembled puts rows of a run in order: the lengths that they come to, the longest first, each with the items that are nearest to
// it. As is what all of them have in common. A length begins as the first of its rows by id is drawn, wherever that stands in the
// tables.
func assembled(p *void.Project, as Run, rows, items []int, left []string) []Run {
	byID := func(i, j int) int { return void.Natural(p.Zone(i).ID, p.Zone(j).ID) }
	items = slices.SortedFunc(slices.Values(items), byID)
	slices.SortFunc(left, void.Natural)
	var out []Run
	for _, l := range p.RunLengths(rows) {
		r := as
		r.Storey = int(p.Zone(l.Pieces[0].Zone).Storey)
		for _, c := range l.Pieces {
			pc := Piece{Zone: c.Zone, From: c.From, To: c.To, Reversed: c.Reversed, Bare: p.Zone(c.Zone).Bare()}
			if k := len(r.Pieces); k > 0 && math.Abs(bend(r.Pieces[k-1], pc)) > turn {
				r.Corners = append(r.Corners, c.From)
			}
			r.Pieces = append(r.Pieces, pc)
		}
		r.Length = l.Length
		out = append(out, r)
	}
	for _, i := range items {
		r, s, ok := nearestTo(out, p.Zone(i).Bare())
		if !ok {
			continue
		}
		half := planRadius(p.Zone(i).Bare())
		r.Items = append(r.Items, Piece{Zone: i, From: s - half, To: s + half, Bare: p.Zone(i).Bare(), Item: true})
	}
	out[0].Left = left
	return out
}

func planRadius(b body.Body) float64 {
	r := b.Plan()
	return math.Hypot(r.X.Length(), r.Y.Length()) / 2
}

// bend returns by how many degrees a run turns from one piece to the next.
func bend(a, b Piece) float64 {
	u, v := a.dir(), b.dir()
	return math.Atan2(u.X*v.Y-u.Y*v.X, u.X*v.X+u.Y*v.Y) * 180 / math.Pi
}

// dir returns the direction of the run through a piece, in plan, a unit.
func (c *Piece) dir() r2.Point {
	d := r2.Point{X: c.Bare.Along.X, Y: c.Bare.Along.Y}
	d = d.Mul(1 / d.Norm())
	if c.Reversed {
		return d.Mul(-1)
	}
	return d
}

// At returns the plan point of the axis at a station of the piece.
func (c *Piece) At(s float64) r2.Point {
	e := c.Bare.PlanEnds()
	from := e[0]
	if c.Reversed {
		from = e[1]
	}
	return from.Add(c.dir().Mul(s - c.From))
}

// nearestTo returns the run nearest to a body's middle and the station there.
func nearestTo(runs []Run, b body.Body) (*Run, float64, bool) {
	var best *Run
	at, d := 0.0, math.Inf(1)
	m := r2.Point{X: b.Centre.X, Y: b.Centre.Y}
	for k := range runs {
		for i := range runs[k].Pieces {
			c := &runs[k].Pieces[i]
			s := math.Max(0, math.Min(c.To-c.From, m.Sub(c.At(c.From)).Dot(c.dir())))
			if x := c.At(c.From + s).Sub(m).Norm(); x < d-void.Hair {
				best, at, d = &runs[k], c.From+s, x
			}
		}
	}
	return best, at, best != nil
}

// Joint is where an end of one length of a run meets another length of it.
type Joint struct {
	End     float64 // station of the end: 0 or the length
	Other   int     // index of the other length
	Station float64 // there
}

// Joints returns, for each of the lengths that a run comes in, where its ends meet others.
func Joints(runs []Run) [][]Joint {
	out := make([][]Joint, len(runs))
	for i := range runs {
		r := &runs[i]
		for _, end := range []float64{0, r.Length} {
			at := r.Pieces[0].At(0)
			if end > 0 {
				last := &r.Pieces[len(r.Pieces)-1]
				at = last.At(last.To)
			}
			for j := range runs {
				if j == i || runs[j].Storey != r.Storey {
					continue
				}
				o := &runs[j]
				for k := range o.Pieces {
					c := &o.Pieces[k]
					s := math.Max(0, math.Min(c.To-c.From, at.Sub(c.At(c.From)).Dot(c.dir())))
					// As far as its side: a branch may end at the middle or at the side of what it branches from.
					if c.At(c.From+s).Sub(at).Norm() <= math.Max(joint, c.Bare.W+joint) {
						out[i] = append(out[i], Joint{end, j, c.From + s})
						break
					}
				}
			}
		}
	}
	return out
}

// PieceAt returns the piece that holds a station; of two that meet there the first.
func (r *Run) PieceAt(s float64) *Piece {
	for i := range r.Pieces {
		if s <= r.Pieces[i].To+void.Hair {
			return &r.Pieces[i]
		}
	}
	return &r.Pieces[len(r.Pieces)-1]
}

// Point returns the plan point at a station.
func (r *Run) Point(s float64) r2.Point { return r.PieceAt(s).At(s) }

// faceAbove returns how far the line's face stands above the bottom of a level body's bare section.
func (r *Run) faceAbove(b body.Body) float64 {
	h := sectionHeight(b)
	switch r.Face {
	case cell.Centre:
		return h / 2
	case cell.Top:
		return h
	}
	return 0
}

func sectionHeight(b body.Body) float64 {
	if b.Round {
		return 2 * b.W
	}
	return 2 * b.H
}

// Falls reports whether some piece of the run falls.
func (r *Run) Falls() bool {
	return slices.ContainsFunc(r.Pieces, func(c Piece) bool { return math.Abs(c.Bare.Along.Z) > void.Hair })
}

// drawnAt returns the level of the line at which the tables have the greatest length of the run; of a row that falls its middle
// counts.
func (r *Run) drawnAt() float64 {
	at := map[float64]float64{}
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		at[math.Round((pc.Bare.Centre.Z-sectionHeight(pc.Bare)/2+r.faceAbove(pc.Bare))*1e3)/1e3] += pc.To - pc.From
	}
	best := math.NaN()
	for _, z := range slices.Sorted(maps.Keys(at)) {
		if math.IsNaN(best) || at[z] > at[best]+void.Hair {
			best = z
		}
	}
	return best
}

// Thing is what bars the run somewhere.
type Thing struct {
	clash.Bar
	Name, What, Row string  // id, what it is in words, file:line
	Piece           int     // index of the zone of the run that it bars
	Line            float64 // level of the line from which Lo and Hi count
	Also            []Ask   // of what stands in a block: all that it asks, the most first
	kept            bool    // it bars for the room that the run keeps above itself, of which the check knows nothing
}

// Ask is what a thing asks by one rule, mm.
type Ask struct {
	Rule string
	MM   float64
}

// levelled returns the body of a piece laid level with its line face at a level.
func (r *Run) levelled(b body.Body, line float64) body.Body {
	b.Along.Z = 0
	b.Centre.Z = line - r.faceAbove(b) + sectionHeight(b)/2
	return b
}

// section returns how far a piece with its joint, insulation and top stands over and under the line, mm.
func (r *Run) section(p *void.Project, pc *Piece) (up, down float64) {
	z, high := p.Zone(pc.Zone), sectionHeight(pc.Bare)
	down = r.faceAbove(pc.Bare) + z.Grow
	return high - r.faceAbove(pc.Bare) + z.Grow + z.Top, down
}

// fixedAway is how far from its level a row is forbidden that is fixed, mm: further than any floor is high.
const fixedAway = 1e5

// field gathers the bars of the run laid level: stations along the run, levels of its line above the project
// datum.
// atOnce: rules that count over a length count at once.
func field(p *void.Project, c *clash.Check, r *Run, o Steps, atOnce bool) (Field, []Thing) {
	ask := c.Bars
	if atOnce {
		ask = c.BarsAtOnce
	}
	f := Field{Length: r.Length, Corners: r.Corners, Rests: rests(p, r)}
	var things []Thing
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		b := r.levelled(pc.Bare, pc.Bare.Height().Center())
		line := b.Height().Lo + r.faceAbove(b)
		up, down := r.section(p, pc)
		f.Up, f.Down = math.Max(f.Up, up), math.Max(f.Down, down)
		for _, x := range ask(pc.Zone, b) {
			kept := o.keepAbove(&x)
			bar := Bar{From: pc.From + x.From, To: pc.From + x.To, Lo: line + x.Lo, Hi: line + x.Hi, Up: up, Down: down, Still: x.Still, Of: len(things)}
			if pc.Reversed {
				bar.From, bar.To = pc.To-x.To, pc.To-x.From
			}
			bar.Open = lifted(x.Open, line)
			f.Bars = append(f.Bars, bar)
			t := thing(p, x, pc.Zone, line)
			t.kept = kept
			things = append(things, t)
		}
		if p.Zone(pc.Zone).Stage() == void.Fixed && pc.Bare.Along.Z == 0 {
			is := pc.Bare.Height().Lo + r.faceAbove(pc.Bare)
			for _, away := range [2]r1.Interval{{Lo: is - fixedAway, Hi: is}, {Lo: is, Hi: is + fixedAway}} {
				x := clash.Bar{
					By: p.Zone(pc.Zone).ID, Zone: pc.Zone, Bay: -1, To: pc.To - pc.From, Lo: away.Lo - line, Hi: away.Hi - line, Structure: true,
					Rule: "what is fixed stays", Basis: rules.Practice,
				}
				f.Bars = append(f.Bars, Bar{From: pc.From, To: pc.To, Lo: away.Lo, Hi: away.Hi, Up: up, Down: down, Of: len(things)})
				t := thing(p, x, pc.Zone, line)
				t.What = "fixed " + t.What
				things = append(things, t)
			}
		}
	}
	for k := range r.Items {
		it := &r.Items[k]
		at := r.PieceAt((it.From + it.To) / 2)
		b := at.Bare
		line := b.Height().Lo + r.faceAbove(b)
		for _, x := range ask(it.Zone, it.Bare) {
			bar := Bar{
				From: math.Max(0, it.From-x.Asked), To: math.Min(r.Length, it.To+x.Asked), Lo: line + x.Lo, Hi: line + x.Hi, Still: true,
				Open: lifted(x.Open, line), Of: len(things),
			}
			f.Bars = append(f.Bars, bar)
			things = append(things, thing(p, x, it.Zone, line))
		}
	}
	return f, things
}

// rests returns the stations of the run that supports hold which are fixed: its own, and those of frames that it hangs in.
func rests(p *void.Project, r *Run) (out []r1.Interval) {
	for k := range p.Supports {
		s := &p.Supports[k]
		if s.Stage != void.Fixed {
			continue
		}
		for _, at := range r.stationsOf(p, s) {
			out = append(out, r1.Interval{Lo: at - support.Wide/2, Hi: at + support.Wide/2})
		}
	}
	return out
}

// stationsOf returns where a support of supports.csv is along the run, if it holds a row of it, or one of a frame that the run hangs in.
func (r *Run) stationsOf(p *void.Project, s *void.SetSupport) (out []float64) {
	if s.Zone < 0 {
		return nil
	}
	z := p.Zone(int(s.Zone))
	for i := range r.Pieces {
		pc := &r.Pieces[i]
		if pc.Zone != int(s.Zone) && !support.SameFrame(z, p.Zone(pc.Zone)) {
			continue
		}
		b := z.Bare()
		u := r2.Point{X: b.Along.X, Y: b.Along.Y}.Normalize()
		at := pc.From + b.PlanEnds()[0].Add(u.Mul(s.Along)).Sub(pc.At(pc.From)).Dot(pc.dir())
		if at >= pc.From-void.Hair && at <= pc.To+void.Hair {
			out = append(out, at)
		}
	}
	return out
}

// keepAbove takes the room that the run keeps above itself into a bar, of what lies over it in plan and of the soffit, and reports whether it did.
func (o Steps) keepAbove(x *clash.Bar) bool {
	soffit := x.Zone < 0 && math.IsInf(x.Hi, 1)
	inPlace := x.Zone >= 0 && x.Asked == 0 && x.Basis == rules.Geometry
	room := o.Above
	if room <= x.Asked || !soffit && !inPlace {
		return false
	}
	x.Lo, x.Asked, x.Rule, x.Basis, x.Side = x.Lo+x.Asked-room, room, "room above the run, as asked", rules.Practice, cell.Above
	return true
}

func thing(p *void.Project, x clash.Bar, piece int, line float64) Thing {
	t := Thing{Bar: x, Name: x.By, Piece: piece, Line: line}
	if x.Zone >= 0 {
		z := p.Zone(x.Zone)
		ch := p.Character(z.Char)
		t.What, t.Row = strings.TrimSpace(ch.Service+" "+ch.Kind), p.FileLine(z.At())
	} else {
		t.Row = p.FileLine(p.Bays[x.Bay].Row)
		if t.What = "ceiling"; x.Structure {
			t.What = "soffit"
		}
	}
	return t
}

// part returns the body of a piece from station a to b with its line at za and zb.
func (r *Run) part(pc *Piece, a, b, za, zb float64) body.Body {
	q := pc.Bare
	p0, p1 := pc.At(a), pc.At(b)
	if pc.Reversed {
		p0, p1, za, zb = p1, p0, zb, za
	}
	up := sectionHeight(q)/2 - r.faceAbove(q)
	if q.Round && za != zb {
		up *= math.Hypot(1, (zb-za)/(b-a)) // a round length is square to its axis
	}
	q.Centre = r3.Vector{X: (p0.X + p1.X) / 2, Y: (p0.Y + p1.Y) / 2, Z: (za+zb)/2 + up}
	q.Along = r3.Vector{X: (p1.X - p0.X) / 2, Y: (p1.Y - p0.Y) / 2, Z: (zb - za) / 2}
	return q
}
