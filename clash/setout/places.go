package setout

import (
	"strconv"
	"strings"

	"voidline/void"
)

// SupportColumns returns the columns of SupportRows, in order: those of supports.csv.
func SupportColumns() []string {
	return []string{"run", "length", "row", "number", "along", "hanger", "rods", "from", "stage", "note"}
}

// SupportRows returns the rows of supports.csv for the supports of one length of a run, as they are set out; part is which of its lengths it is, 1 of 2,
// "" for its only one. What is on the sheet of another run is left out: it stands in the rows of that. So is
// what nobody says how it hangs: it is a place only.
func SupportRows(p *void.Project, r *Run, part string, u *Supports) (rows [][]string) {
	run, row := r.Name, ""
	if z := p.Zone(r.Pieces[0].Zone); part == "" && !strings.EqualFold(z.Run(), r.Name) {
		run, row = "", r.Name
	}
	for i := range u.List {
		x := &u.List[i]
		if x.With != "" || x.hanger < 0 && x.Frame == "" {
			continue
		}
		hanger := x.Hanger
		if x.Frame != "" && x.Made.Hanger == 0 {
			hanger = "" // each tier has its own
		}
		rows = append(rows, []string{
			run, part, row, strconv.Itoa(x.N), length(x.At), hanger, strconv.Itoa(x.Rods), x.hungFrom(p, &u.Hanging), x.Stage.String(), x.Note,
		})
	}
	return rows
}

// hungFrom returns what a support hangs from, as a hanger says it; "" where nothing holds it, or it is fixed to something that is not looked for.
func (x *Support) hungFrom(p *void.Project, h *Hanging) string {
	switch {
	case x.Made.From != "":
		return x.Made.From
	case h.From != AsHanger:
		return h.From.hanger()
	case x.hanger >= 0 && p.Hangers[x.hanger].From != "":
		return p.Hangers[x.hanger].From
	case len(x.Each) == 0:
		return ""
	case x.Each[0].Steel:
		return FromSteel.hanger()
	}
	return FromSoffit.hanger()
}

// length writes a length along a run; short ones say mm, for a bare small number may be metres.
func length(v float64) string {
	s := number(v)
	if v > 0 && v < 20 && s != number(20) {
		s += " mm"
	}
	return s
}
