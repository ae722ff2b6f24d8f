package setout

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/void"
	"voidline/void/cell"
)

// Columns returns the columns of Rows, in order: those of a trade's table.
func Columns() []string {
	return []string{
		"id", "trade", "service", "kind", "storey", "x1", "y1", "x2", "y2", "size", "joint", "top", "insulation", "level", "face", "fall",
		"hanger", "frame", "tier", "run", "joins", "recessed", "reach", "in room", "circuits", "class", "rank", "holds", "stage", "tolerance", "guid", "note",
	}
}

// Rows returns the rows of the run as it is set out, to take the place of those with the ids in gone: each row cut
// at the steps, level lengths at their level, sets as rows that fall (or rise). The first part of a row keeps its id, the
// others are id/2, id/3 and so on. What other rows name in joins still finds them.
//
// A set names no hanger, nor does a level length between two sets, a corner or an end that is so short that it has no support
// among u; u nil: every row keeps its hanger.
func Rows(p *void.Project, a *Answer, u *Supports) (rows [][]string, gone []string) {
	rows, of := laidRows(p, a, u)
	return rows, idsOf(p, of)
}

// idsOf returns the ids of zones, each once.
func idsOf(p *void.Project, zones []int) (ids []string) {
	seen := map[int]bool{}
	for _, i := range zones {
		if !seen[i] {
			seen[i], ids = true, append(ids, p.Zone(i).ID)
		}
	}
	return ids
}

// laidRows is Rows with the zone that each takes the place of.
func laidRows(p *void.Project, a *Answer, u *Supports) (rows [][]string, of []int) {
	r := a.Run
	held := func(l Length) bool {
		if u == nil {
			return true
		}
		if l.Section < 0 {
			return false
		}
		s := a.Line.Sections[l.Section]
		return s.To-s.From > 2*u.Hanging.First || slices.ContainsFunc(u.List, func(x Support) bool { return s.From <= x.At && x.At <= s.To })
	}
	ffl := p.Storeys[r.Storey].FFL
	x, y := coordinates(p)
	named := map[int][]string{} // rows that name a row of the run
	for i := range p.Zones() {
		for _, j := range p.Zone(i).Joins() {
			if k, ok := p.ZoneByID(j); ok {
				named[k] = append(named[k], p.Zone(i).ID)
			}
		}
	}
	for _, ids := range named {
		slices.SortFunc(ids, void.Natural)
	}
	nth := map[int]int{}
	for _, l := range a.lengths() {
		pc := &r.Pieces[l.Piece]
		row := p.Row(pc.Zone)
		if !held(l) {
			row.Hanger = cell.Word{}
		}
		p0, p1, za, zb := pc.At(l.From), pc.At(l.To), l.Za, l.Zb
		if pc.Reversed {
			p0, p1, za, zb = p1, p0, zb, za
		}
		nth[pc.Zone]++
		id := p.Zone(pc.Zone).ID
		of = append(of, pc.Zone)
		if n := nth[pc.Zone]; n > 1 {
			id += "/" + strconv.Itoa(n)
			row.GUID = cell.Word{}
		}
		joins := append(append([]string{}, p.Zone(pc.Zone).Joins()...), named[pc.Zone]...)
		rows = append(rows, cells(&row, id, [4]string{x(p0.X), y(p0.Y), x(p1.X), y(p1.Y)},
			"FFL"+offset(za-ffl), r.Face.String(), slope(za, zb, l.To-l.From), strings.Join(joins, "; ")))
	}
	for k := range r.Items {
		it := &r.Items[k]
		z := p.Zone(it.Zone)
		if z.Recessed {
			continue
		}
		s := (it.From + it.To) / 2
		at := r.PieceAt(s)
		now := at.Bare.Height().Lo + r.faceAbove(at.Bare)
		row := p.Row(it.Zone)
		of = append(of, it.Zone)
		c := z.Bare().Centre
		rows = append(rows, cells(&row, z.ID, [4]string{x(c.X), y(c.Y), "", ""},
			"FFL"+offset(z.Bare().Height().Lo+a.Line.LevelAt(s)-now-ffl), cell.Bottom.String(), "", strings.Join(z.Joins(), "; ")))
	}
	return rows, of
}

// FallRows returns the rows of a falling run at its start, to take the place of those with the ids in gone.
func FallRows(p *void.Project, f *Fall) (rows [][]string, gone []string) {
	rows, of := fallRows(p, f)
	return rows, idsOf(p, of)
}

// fallRows is FallRows with the zone that each takes the place of.
func fallRows(p *void.Project, f *Fall) (rows [][]string, of []int) {
	r := f.Run
	ffl := p.Storeys[r.Storey].FFL
	x, y := coordinates(p)
	z := *f.Start
	for k := range r.Pieces {
		pc := &r.Pieces[k]
		za := z
		z -= f.Falls[k] * (pc.To - pc.From)
		p0, p1, zb := pc.At(pc.From), pc.At(pc.To), z
		if pc.Reversed {
			p0, p1, za, zb = p1, p0, zb, za
		}
		row := p.Row(pc.Zone)
		id := p.Zone(pc.Zone).ID
		of = append(of, pc.Zone)
		rows = append(rows, cells(&row, id, [4]string{x(p0.X), y(p0.Y), x(p1.X), y(p1.Y)},
			"FFL"+offset(za-ffl), r.Face.String(), slope(za, zb, pc.To-pc.From), strings.Join(p.Zone(pc.Zone).Joins(), "; ")))
		for i := range r.Items {
			it := &r.Items[i]
			s := (it.From + it.To) / 2
			if s < pc.From || s >= pc.To && k+1 < len(r.Pieces) || p.Zone(it.Zone).Recessed {
				continue
			}
			now := lineNow(r, pc) - pieceDrop(pc)*(s-pc.From)/(pc.To-pc.From)
			up := z + f.Falls[k]*(pc.To-s) - now
			row, b := p.Row(it.Zone), p.Zone(it.Zone).Bare()
			of = append(of, it.Zone)
			rows = append(rows, cells(&row, p.Zone(it.Zone).ID, [4]string{x(b.Centre.X), y(b.Centre.Y), "", ""},
				"FFL"+offset(b.Height().Lo+up-ffl), cell.Bottom.String(), "", strings.Join(p.Zone(it.Zone).Joins(), "; ")))
		}
	}
	return rows, of
}

// coordinates returns what writes an x and a y as the project's tables hold them: with its origin.
func coordinates(p *void.Project) (x, y func(float64) string) {
	x0, y0 := p.Whole(0, 0)
	return func(v float64) string { return number(v + x0) }, func(v float64) string { return number(v + y0) }
}

// slope writes a fall, blank where there is none.
func slope(za, zb, length float64) string {
	if za == zb {
		return ""
	}
	return plain(strconv.FormatFloat((za-zb)/length*1000, 'g', 12, 64)) + " mm/m"
}

// number writes a length for a table, to a ten-thousandth of a millimetre. Three places behind the point could be read as thousands in a table with
// semicolons: they get a fourth, 456.4980.
func number(v float64) string {
	return plain(strconv.FormatFloat(math.Round(v*1e4)/1e4+0, 'f', -1, 64))
}

// plain makes a figure one that can be read in one way alone.
func plain(figure string) string {
	if thousands, decimal := cell.Points(figure); thousands && !decimal {
		return figure + "0"
	}
	return figure
}

// offset writes a level with its sign; small ones say mm, for a bare small number may be metres.
func offset(v float64) string {
	v = math.Round(v*1e4)/1e4 + 0
	s := number(v)
	if v >= 0 {
		s = "+" + s
	}
	if math.Abs(v) < 20 {
		s += " mm"
	}
	return s
}

func cells(r *void.ZoneRow, id string, at [4]string, level, face, fall, joins string) []string {
	said := func(v fmt.Stringer, blank bool) string {
		if blank {
			return ""
		}
		return v.String()
	}
	return []string{
		id, r.Trade.Text, r.Service.Text, r.Kind.Text, r.Storey.Text, at[0], at[1], at[2], at[3], r.Size.String(),
		said(r.Joint, r.Joint.Text == ""), said(r.Top, r.Top.Text == ""), said(r.Insulation, r.Insulation.Text == ""), level, face, fall,
		r.Hanger.Text, r.Frame.Text, r.Tier.Text, r.Run.Text, joins, r.Recessed.Text, r.Reach.Text, r.InRoom.Text,
		r.Circuits.Text, r.Class.Text, r.Rank.Text, r.Holds.Text, r.Stage.Text, said(r.Tolerance, r.Tolerance.Text == ""), r.GUID.Text, r.Note.Text,
	}
}
