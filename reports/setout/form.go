package setout

import (
	"encoding/csv"
	"io"
	"strconv"

	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/reports/sheet"
	"voidline/reports/words"
)

// formColumns returns the header of FormCSV: columns of surveyed.csv, for that is what it is when it is filled in.
func formColumns() []string {
	return []string{"no", "storey", "what", "place", "bay", "zone", "drawn", "reading", "set-up", "not seen", "day", "by", "note"}
}

// FormCSV writes the form; drawn is mm from the datum line. storeys are their names.
func FormCSV(w io.Writer, points []setout.Point, storeys []string, sep rune) error {
	c := csv.NewWriter(w)
	c.UseCRLF, c.Comma = true, sep
	if err := c.Write(formColumns()); err != nil {
		return err
	}
	for i := range points {
		q := &points[i]
		row := []string{strconv.Itoa(q.No), sheet.Text(storeys[q.Storey]), q.What, sheet.Text(q.Place), sheet.Text(q.Bay), sheet.Text(q.Zone), exact(q.Drawn - q.Datum)}
		if err := c.Write(append(row, "", "", "", "", "", "")); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// FormHead says how the form is filled in.
func FormHead() []string {
	return []string{
		"Reading: mm over the line of the instrument, minus under it. Read the datum line first and last, and at every new set-up: 0 where the laser is on it.",
		"Drawn: mm over the datum line, to the underside; of a floor to its top. What cannot be seen: yes under not seen.",
		"Checks on the datum line may differ by " + words.Near(finding.MiscloseMost) + " (common practice, no source): more, and the set-up is read again.",
		"The CSV of this form, filled in and saved as surveyed.csv in the project's folder, goes before what is drawn.",
	}
}

// PointName says what is read at a point: soffit A-B/1-2; SB-2A, underside; datum line.
func PointName(q *setout.Point) string {
	switch {
	case q.Zone != "":
		return words.Clean(q.Zone) + ", underside"
	case q.Bay != "":
		return q.What + " " + words.Clean(q.Bay)
	}
	return "datum line"
}

// FormText prints the form.
func FormText(w io.Writer, points []setout.Point, storeys []string, width int) error {
	if width == 0 {
		width = 80
	}
	p := newPage(w, width)
	p.line("Form to walk the floor with")
	for _, l := range FormHead() {
		p.para("", "  ", l)
	}
	for i := 0; i < len(points); {
		s := points[i].Storey
		said := "The storey"
		if storeys[s] != "" {
			said = "Storey " + words.Name(storeys[s])
		}
		p.head(said + ": datum line FFL" + signed(points[i].Datum-points[i].FFL))
		for ; i < len(points) && points[i].Storey == s; i++ {
			q := &points[i]
			no := strconv.Itoa(q.No)
			indent := "      "
			p.para(indent[:max(0, 4-len(no))]+no+"  ", indent, PointName(q))
			if q.Place != "" {
				p.para(indent, indent+"  ", words.Clean(q.Place))
			}
			drawn := ""
			if q.What != "datum" {
				drawn = "drawn " + signed(q.Drawn-q.Datum) + "  "
			}
			p.line(indent + drawn + "reading _____  set-up ___  not seen __")
		}
	}
	return p.w.Flush()
}
