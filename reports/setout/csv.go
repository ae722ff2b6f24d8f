package setout

import (
	"encoding/csv"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"voidline/clash/setout"
	"voidline/clash/support"
	"voidline/reports/sheet"
	"voidline/reports/words"
	"voidline/void"
)

// CSV writes the sheets of a run's lengths as one table; sep stands between the cells. What: not proved and not supported (with why, before
// all else), tier (where another of the run's frame is taken to be; rise: by how much it has to move), line, set, block (what stands where it
// cannot be done), give, support, rod (one by one, by support), channel (of a frame, by support), cut or part; last a seal of all of them, by
// which it is known later whether a cell was changed. Lengths are mm; levels to the nearest tenth; what does not belong to a row is empty.
//
// order is what several runs want together; its rows stand after those of the sheets: order (a support, a cut, a part, a fitting), between (of two
// runs that are not clear of each other when both are laid). nil: there is none.
func CSV(w io.Writer, all []*Sheet, order *setout.Order, sep rune) error {
	c := csv.NewWriter(w)
	c.UseCRLF, c.Comma = true, sep
	cols := setout.SheetColumns()
	rows := slices.Concat(Table(all), orderRows(all, order))
	seal := make([]string, len(cols))
	for i, n := range cols {
		switch n {
		case "run":
			seal[i] = sheet.Text(strings.Join(runNames(all), ", "))
		case "what":
			seal[i] = setout.RowSeal
		case "count":
			seal[i] = strconv.Itoa(len(rows))
		case "note":
			seal[i] = setout.Seal(rows)
		}
	}
	return c.WriteAll(slices.Concat([][]string{cols}, rows, [][]string{seal}))
}

// runNames returns the runs that the sheets are of, each once.
func runNames(all []*Sheet) []string {
	var names []string
	for _, s := range all {
		if n := s.Run().Name; !slices.Contains(names, n) {
			names = append(names, n)
		}
	}
	return names
}

// Table returns the rows of the sheets, one cell for each of setout.SheetColumns.
func Table(all []*Sheet) [][]string {
	var out [][]string
	for _, s := range all {
		out = append(out, s.rows()...)
	}
	return out
}

// orderRows returns the rows of what several runs want together.
func orderRows(all []*Sheet, o *setout.Order) [][]string {
	if o == nil {
		return nil
	}
	var out [][]string
	cols := setout.SheetColumns()
	names := sheet.Text(strings.Join(runNames(all), ", "))
	row := func(what, part string, count int, note string) {
		r := make([]string, len(cols))
		for i, n := range cols {
			switch n {
			case "run":
				r[i] = names
			case "what":
				r[i] = what
			case "part":
				r[i] = sheet.Text(part)
			case "count":
				if count > 0 {
					r[i] = strconv.Itoa(count)
				}
			case "note":
				r[i] = sheet.Text(note)
			}
		}
		out = append(out, r)
	}
	if u := o.Supports; u != nil {
		row(setout.RowOrder, "support", o.Counted(), "")
		for _, x := range stocks(u) {
			for _, cut := range x.Cuts {
				row(setout.RowOrder, x.of+", "+exact(cut.Stock)+": "+plus(cut.Pieces), cut.Times, "cut from stock, all together")
			}
		}
		for _, c := range u.Parts {
			row(setout.RowOrder, c.Part, c.N, "")
		}
	}
	for _, c := range o.Fittings {
		row(setout.RowOrder, c.Part, c.N, "fitting")
	}
	for i := range o.Between {
		row(setout.RowBetween, words.Between(&o.Between[i]), 0, betweenWords(&o.Between[i]))
	}
	return out
}

// rows returns the rows of one length.
func (s *Sheet) rows() [][]string {
	var rows [][]string
	cols := setout.SheetColumns()
	at := map[string]int{}
	for i, n := range cols {
		at[n] = i
	}
	row := func(what string, cells map[string]string) {
		out := make([]string, len(cols))
		out[at["run"]], out[at["length"]], out[at["what"]] = sheet.Text(s.Run().Name), sheet.Text(s.Part), what
		for k, v := range cells {
			out[at[k]] = sheet.Text(v)
		}
		rows = append(rows, out)
	}
	ffl, datum := s.storey().FFL, s.storey().Datum
	levels := func(z float64, m map[string]string) map[string]string {
		m["ffl"], m["datum"], m["project"] = exact(z-ffl), exact(z-ffl-datum), exact(z)
		return m
	}
	where := func(along float64, m map[string]string) map[string]string {
		q := s.Run().Point(along)
		m["place"], m["x"], m["y"] = s.place(along), words.Near(q.X), words.Near(q.Y)
		return m
	}
	for _, l := range s.Lacks() {
		m := map[string]string{"note": l.Why}
		if g := l.Gap; g != nil {
			m["from"], m["to"] = exact(g.From), exact(g.To)
			if g.Channel > 0 {
				m["channel"] = exact(g.Channel)
			}
			m = where(g.From, m)
		}
		row(l.What, m)
	}
	if a := s.Answer; a != nil {
		for i := range a.Mates {
			m := &a.Mates[i]
			row(setout.RowTier, levels(m.Line, map[string]string{"no": m.Tier, "part": m.Name, "rise": exact(m.Line - m.Now), "note": s.mateWords(m)}))
		}
	}
	if a := s.Answer; a != nil && a.Found {
		for i, sec := range a.Line.Sections {
			row(setout.RowLine, where(sec.From, levels(sec.Level, map[string]string{"no": strconv.Itoa(i + 1), "from": exact(sec.From), "to": exact(sec.To)})))
			if i < len(a.Line.Steps) {
				x := a.Line.Steps[i]
				row(setout.RowSet, where(x.From, map[string]string{
					"note": bendWords(i+1, &a.Bends(s.Angle)[i]),
					"no":   strconv.Itoa(i + 1), "from": exact(x.From), "to": exact(x.To), "rise": exact(x.Rise), "earliest": exact(x.Earliest), "latest": exact(x.Latest),
				}))
			}
		}
	}
	for _, t := range s.tightest() {
		rise := -t.c.MM
		if t.over {
			rise = t.c.MM
		}
		row(setout.RowClear, where(t.c.From, map[string]string{
			"from": exact(t.c.From), "to": exact(t.c.To), "rise": exact(rise), "part": t.c.Thing.Name, "note": strings.ToLower(strings.TrimPrefix(t.head, "Tightest ")) + ": " + s.clearWords(t.c),
		}))
	}
	for i := range s.Next.Passed {
		x := &s.Next.Passed[i]
		row(setout.RowPassed, where(x.From, map[string]string{"from": exact(x.From), "to": exact(x.To), "part": x.Thing.Name, "note": s.passWords(x)}))
	}
	for i := range s.Doubts {
		row(setout.RowDoubt, map[string]string{"part": s.doubtOf(&s.Doubts[i]), "note": words.SayDoubt(&s.Doubts[i])})
	}
	if a := s.Answer; a != nil && !a.Found {
		for _, k := range a.Blocks {
			for i := len(k.Things) - 1; i >= 0; i-- {
				t := &k.Things[i]
				row(setout.RowBlock, where(k.From, map[string]string{"from": exact(k.From), "to": exact(k.To), "part": t.Name, "note": s.kept(t) + orBlank(", ", asks(t))}))
			}
		}
		for i := range a.Gives {
			for k := range a.Gives[i].Moves {
				m := &a.Gives[i].Moves[k]
				row(setout.RowGive, map[string]string{"no": strconv.Itoa(i + 1), "part": m.Name, "rise": exact(m.By), "note": meetWords(m)})
			}
		}
	}
	if f := s.Fall; f != nil && f.Out != nil {
		row(setout.RowBlock, where(f.Out.At, map[string]string{"from": exact(f.Out.At), "note": s.outWords()}))
	}
	if f := s.Fall; f != nil && f.Start != nil {
		z := *f.Start
		for k := range f.Run.Pieces {
			p := &f.Run.Pieces[k]
			down := f.Falls[k] * (p.To - p.From)
			row(setout.RowLine, where(p.From, levels(z, map[string]string{"no": strconv.Itoa(k + 1), "from": exact(p.From), "to": exact(p.To), "rise": exact(-down)})))
			z -= down
		}
	}
	if u := s.Supports; u != nil {
		for _, x := range u.List {
			m := where(x.At, levels(x.Line, map[string]string{
				"no": strconv.Itoa(x.N), "from": exact(x.At), "hangs from": x.Of, "rods": strconv.Itoa(x.Rods), "moved": exact(x.Moved),
			}))
			if x.With != "" {
				m["note"] = "rods and channel on the sheet of " + x.With
			}
			if x.Cut > 0 {
				m["rod exact"], m["rod cut"] = exact(x.Rod), exact(x.Cut)
			}
			if x.Channel > 0 {
				m["channel"], m["channel top ffl"] = exact(x.Channel), exact(x.Top-ffl)
			}
			row(setout.RowSupport, m)
			for k := range x.Each {
				if x.With == "" {
					m := rodCells(x.N, x.At, &x.Each[k], len(x.Each))
					if len(s.Project.GridX) > 0 && len(s.Project.GridY) > 0 {
						m["note"] = "drill at " + s.drillAt(x.Each[k].Where) + orBlank("; ", m["note"])
					}
					row(setout.RowRod, m)
				}
			}
			for _, t := range x.Tiers {
				for _, top := range t.Tops {
					if x.With == "" {
						row(setout.RowChannel, map[string]string{"no": strconv.Itoa(x.N), "part": t.Row, "channel": exact(t.Channel), "channel top ffl": exact(top - ffl)})
					}
				}
			}
		}
		n := 0
		for _, x := range stocks(u) {
			for _, cut := range x.Cuts {
				n++
				row(setout.RowCut, map[string]string{"no": strconv.Itoa(n), "part": x.of + ", " + exact(cut.Stock) + ": " + plus(cut.Pieces), "count": strconv.Itoa(cut.Times)})
			}
		}
		for _, p := range u.Parts {
			row(setout.RowPart, map[string]string{"part": p.Part, "count": strconv.Itoa(p.N)})
		}
	}
	return rows
}

// rodCells says where a rod of a support is, from what it hangs and how long it is; of two on which side.
func rodCells(no int, at float64, r *support.RodCut, of int) map[string]string {
	m := map[string]string{
		"no": strconv.Itoa(no), "from": exact(at), "x": words.Near(r.Where.X), "y": words.Near(r.Where.Y),
		"hangs from": r.Of, "rod exact": exact(r.Length), "rod cut": exact(r.Cut),
	}
	if of > 1 {
		m["place"] = way(r.Beside)
	}
	if len(r.Pieces) > 1 {
		m["note"] = "joined with couplers, from the top: " + plus(r.Pieces)
	}
	return m
}

// plus lists lengths: 3000 + 595.
func plus(lengths []float64) string {
	var out []string
	for _, l := range lengths {
		out = append(out, exact(l))
	}
	return strings.Join(out, " + ")
}

func orBlank(before, text string) string {
	if text == "" {
		return ""
	}
	return before + text
}

// Rows writes rows of a trade's table: what the run is in the tables once it is set out. sep stands between the cells.
func Rows(w io.Writer, rows [][]string, sep rune) error {
	return rowsOf(w, setout.Columns(), rows, sep)
}

// Places writes rows of supports.csv: where supports are set out. sep stands between the cells.
func Places(w io.Writer, rows [][]string, sep rune) error {
	return rowsOf(w, setout.SupportColumns(), rows, sep)
}

// rowsOf writes rows of a table that is read.
func rowsOf(w io.Writer, columns []string, rows [][]string, sep rune) error {
	c := csv.NewWriter(w)
	c.Comma = sep
	if err := c.Write(columns); err != nil {
		return err
	}
	for _, r := range rows {
		cells := make([]string, len(r))
		for i, v := range r {
			cells[i] = words.Plain(v)
		}
		if err := c.Write(cells); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// levelColumns returns the header of LevelsCSV. All levels are mm to the nearest tenth: to the storey's FFL, to the datum
// line and to the project datum.
func levelColumns() []string {
	out := []string{"storey", "bay", "beam"}
	for _, what := range []string{"soffit", "steel", "build-up", "ceiling"} {
		out = append(out, what+" ffl", what+" datum", what+" project")
	}
	return append(out, "void", "under steel")
}

// foundColumns returns what LevelsCSV has after that where there is a survey; mm above FFL, of the steel the beam's underside where it was read.
func foundColumns() []string {
	var out []string
	for _, what := range surveyedOf {
		out = append(out, string(what)+" drawn", string(what)+" found", string(what)+" difference", string(what)+" readings")
	}
	return out
}

// surveyedOf is what is surveyed of a bay.
var surveyedOf = []void.Surveyed{void.SurveyedSoffit, void.SurveyedSteel, void.SurveyedCeiling, void.SurveyedFloor}

// LevelsCSV writes the levels of every bay; sep stands between the cells.
func LevelsCSV(w io.Writer, ls []setout.BayLevels, sep rune) error {
	c := csv.NewWriter(w)
	c.UseCRLF, c.Comma = true, sep
	head := levelColumns()
	if len(ls) > 0 && ls[0].Surveyed {
		head = append(head, foundColumns()...)
	}
	if err := c.Write(head); err != nil {
		return err
	}
	for i := range ls {
		l := &ls[i]
		row := []string{sheet.Text(l.Storey.Name), sheet.Text(l.Bay.Name), sheet.Text(l.BeamID)}
		add := func(z float64, has bool) {
			if !has {
				row = append(row, "", "", "")
				return
			}
			row = append(row, exact(z-l.Storey.FFL), exact(z-l.Storey.FFL-l.Storey.Datum), exact(z))
		}
		add(l.Soffit, true)
		add(l.Steel, l.HasSteel)
		add(l.Top, l.Bay.HasCeiling)
		add(l.Ceiling, l.Bay.HasCeiling)
		if l.Bay.HasCeiling {
			row = append(row, exact(l.Void), exact(l.Under))
		} else {
			row = append(row, "", "")
		}
		for _, what := range surveyedOf {
			if !l.Surveyed {
				break
			}
			zone := -1
			if what == void.SurveyedSteel {
				zone = l.Beam
			}
			if f, ok := l.FoundOf(what, zone); ok && (what != void.SurveyedSteel || zone >= 0) {
				row = append(row, exact(f.Drawn-l.Storey.FFL), exact(f.Found.Found-l.Storey.FFL), exact(f.Found.Found-f.Drawn), strconv.Itoa(f.Readings))
			} else {
				row = append(row, "", "", "", "")
			}
		}
		if err := c.Write(row); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// foundText prints what was found of a bay, and that its soffit was not surveyed.
func foundText(p *page, l *setout.BayLevels) {
	if !l.Surveyed {
		return
	}
	if _, ok := l.FoundOf(void.SurveyedSoffit, -1); !ok {
		p.para("  ", "    ", "Soffit not surveyed: it is as drawn.")
	}
	var rows [][]string
	for _, f := range l.Found {
		what, note := string(f.What), ""
		if f.Zone >= 0 {
			what = words.Clean(f.ID)
		}
		switch {
		case f.What != void.SurveyedFloor && math.Abs(f.Counts-f.Found.Found) > void.Hair:
			note = "as drawn counts: one reading"
		case f.Off():
			note = "more than " + words.Near(f.Tolerance)
		}
		rows = append(rows, []string{"  " + what, signed(f.Drawn - l.Storey.FFL), signed(f.Found.Found - l.Storey.FFL), signed(f.Found.Found - f.Drawn), note})
	}
	if len(rows) > 0 {
		p.table([]string{"  as found, to FFL", "Drawn", "Found", "Diff", ""}, "123", rows)
	}
}

// LevelsText prints the levels of every bay, storey by storey: the sheet with which the laser is checked. Undersides are
// rounded down, tops up.
func LevelsText(w io.Writer, ls []setout.BayLevels, width int) error {
	if width == 0 {
		width = 80
	}
	p := newPage(w, width)
	p.line("Levels")
	p.para("", "", "In mm: above FFL, from the datum line, above the project datum. Undersides are rounded down, tops up.")
	for i := range ls {
		l := &ls[i]
		if i == 0 || ls[i-1].Storey != l.Storey {
			said := "Storey " + words.Name(l.Storey.Name)
			if l.Storey.Name == "" {
				said = "The storey"
			}
			p.head(said + ": FFL " + signed(l.Storey.FFL) + " to the project datum, datum line FFL" + signed(l.Storey.Datum))
		}
		p.line("")
		void := "open: no ceiling"
		if l.Bay.HasCeiling {
			void = "void " + words.Down(l.Void)
			if l.HasSteel {
				void += ", " + words.Down(l.Under) + " under the steel"
			}
		}
		p.para("", "  ", "Bay "+words.Name(l.Bay.Name)+": "+void)
		var rows [][]string
		add := func(what string, z float64, to func(float64) string, note string) {
			rows = append(rows, []string{"  " + what, to(z - l.Storey.FFL), to(z - l.Storey.FFL - l.Storey.Datum), to(z), note})
		}
		add("soffit", l.Soffit, words.AboveDown, "")
		if l.HasSteel {
			add("lowest steel", l.Steel, words.AboveDown, words.Clean(l.BeamID))
		}
		if l.Bay.HasCeiling {
			if math.Abs(l.Top-l.Ceiling) > 0.05 {
				add("top of build-up", l.Top, words.AboveUp, "")
			}
			add("ceiling, finished face", l.Ceiling, words.AboveDown, "")
		}
		p.table([]string{"", "FFL", "Datum", "Project", ""}, "123", rows)
		foundText(p, l)
	}
	return p.w.Flush()
}
