package void

import (
	"cmp"
	"fmt"
	"maps"
	"math"
	"slices"
	"strconv"
	"strings"
)

// SetSupport is a support that somebody has set out: a row of supports.csv.
type SetSupport struct {
	Zone   int32   // the row that it holds there; -1 where its run comes in other lengths than its row says: a warning says so, and it counts for nothing
	Number int32   // as it is written on the soffit; of one that names none the next that is free along its run or row
	Along  float64 // mm in plan from the row's start
	Hanger int32   // index into Project.Hangers, -1: the row's own
	Rods   int8    // -1: as many as the hanger has
	From   string  // what it hangs from, as a hanger says it; "": as its hanger says
	Stage  Stage
	Note   string
	Row    At
}

// tooFew is below which a length along a run is surely in metres, mm: nobody sets a support so near to an end.
const tooFew = 20.0

// runs finds the lengths of runs, each once.
type runs struct {
	p  *Project
	of map[string][]RunLength
}

func (p *Project) newRuns() *runs { return &runs{p, map[string][]RunLength{}} }

// lengths returns the lengths of a run in the order of its sheets, nil where no row is of it.
func (s *runs) lengths(name string) []RunLength {
	key := runKey(name)
	ls, ok := s.of[key]
	if !ok {
		ls = s.p.RunLengths(s.p.rowsOf(key))
		s.of[key] = ls
	}
	return ls
}

// rowsOf returns the rows of a run that supports.csv names which are lengths with a place, ascending.
func (p *Project) rowsOf(key string) []int {
	if p.runRows == nil {
		p.runRows = map[string][]int32{}
		for i := range p.rows.supports.n {
			p.runRows[runKey(p.rows.supports.at(i).Run.Text)] = nil
		}
		delete(p.runRows, "")
		words := map[int32]string{}
		for i := range int32(p.zones.n) {
			z := p.Zone(int(i))
			name, known := words[z.run]
			if !known {
				name = runKey(z.Run())
				words[z.run] = name
			}
			if rows, named := p.runRows[name]; named {
				p.runRows[name] = append(rows, i)
			}
		}
	}
	var out []int
	for _, i := range p.runRows[key] {
		if int(i) >= p.zones.n { // of an edit that was refused
			continue
		}
		if z := p.Zone(int(i)); p.isLength(z) && runKey(z.Run()) == key {
			out = append(out, int(i))
		}
	}
	slices.Sort(out)
	return out
}

func (p *Project) resolveSupports() {
	n := p.rows.supports.n
	p.Supports, p.supportAt, p.supportNo, p.runRows = make([]SetSupport, 0, n), make([]int32, n), make([]int32, n), nil
	runs := p.newRuns()
	type numbered struct {
		of string
		no int32
	}
	numbers, on, places := map[numbered]int{}, map[numbered]int{}, map[int32][]int{}
	blank := map[string][]int32{}
	for i := range n {
		p.by = teller{bySupport, int32(i)}
		r := p.rows.supports.at(i)
		p.supportAt[i] = -1
		s, ok := p.resolveSupport(int32(i), runs)
		if ok && s.Number > 0 {
			for _, has := range []struct {
				list map[numbered]int
				key  numbered
			}{{numbers, numbered{r.sheet(), s.Number}}, {on, numbered{strconv.Itoa(int(s.Zone)), s.Number}}} {
				if s.Zone < 0 && has.key.of == "-1" {
					break
				}
				if was, there := has.list[has.key]; there && ok {
					p.problem(r.At, "number", fmt.Sprintf("%d is already the number of %s", s.Number, p.FileLine(p.rows.supports.at(was).At)), "each support of a run its own number", "")
					ok = false
				}
				has.list[has.key] = i
			}
		}
		for _, k := range places[s.Zone] {
			if was := p.rows.supports.at(k).At; ok && math.Abs(p.Supports[p.supportAt[k]].Along-s.Along) <= Hair {
				p.problem(r.At, "along", "it stands where that of "+p.FileLine(was)+" does", "a place of its own", "")
				ok = false
			}
		}
		if !ok {
			p.miss(1)
			continue
		}
		if s.Zone >= 0 {
			places[s.Zone] = append(places[s.Zone], i)
		}
		if s.Number == 0 {
			blank[r.sheet()] = append(blank[r.sheet()], int32(i))
		}
		p.supportAt[i], p.supportNo[i] = int32(len(p.Supports)), s.Number
		p.Supports = append(p.Supports, s)
	}
	// Those without a number get the next that is free, in the order in which they stand along the run.
	for _, of := range slices.Sorted(maps.Keys(blank)) {
		rows := blank[of]
		slices.SortStableFunc(rows, func(a, b int32) int {
			return cmp.Compare(p.rows.supports.at(int(a)).Along.MM, p.rows.supports.at(int(b)).Along.MM)
		})
		no := int32(0)
		for _, i := range rows {
			s := &p.Supports[p.supportAt[i]]
			for taken := true; taken; {
				no++
				_, a := numbers[numbered{of, no}]
				_, b := on[numbered{strconv.Itoa(int(s.Zone)), no}]
				taken = a || b
			}
			s.Number, p.supportNo[i] = no, no
			on[numbered{strconv.Itoa(int(s.Zone)), no}] = int(i)
		}
	}
}

// sheet returns what the numbers of supports run along: the length of a run, or the row.
func (r *SupportRow) sheet() string {
	which, _, _ := strings.Cut(fold(r.Length.Text), " ")
	return runKey(r.Run.Text) + "\x00" + which + "\x00" + fold(r.Row.Text)
}

// resolveSupport finds the row that a support holds, and where on it.
func (p *Project) resolveSupport(row int32, runs *runs) (SetSupport, bool) {
	r := p.rows.supports.at(int(row))
	s := SetSupport{Zone: -1, Hanger: -1, Rods: -1, Note: r.Note.Text, Row: r.At}
	ok := true
	bad := func(column, what, want, hint string) {
		p.problem(r.At, column, what, want, hint)
		ok = false
	}
	if v := r.Number.Value; r.Number.Text != "" && (v != math.Trunc(v) || v < 1 || v > 1e6) {
		bad("number", fmt.Sprintf("%q is not the number of a support", r.Number.Text), "a whole number from 1", "")
	} else {
		s.Number = int32(v)
	}
	if v := r.Rods.Value; r.Rods.Text != "" && (v != math.Trunc(v) || v < 0 || v > 2) {
		bad("rods", fmt.Sprintf("%q is not a number of rods", r.Rods.Text), "0, 1 or 2", "")
	} else if r.Rods.Text != "" {
		s.Rods = int8(v)
	}
	if s.From = fold(r.From.Text); s.From != "" && !isFrom(s.From) {
		bad("from", fmt.Sprintf("%q is not a place to hang from known by name", r.From.Text), strings.Join(hangFrom, ", "), near(s.From, hangFrom))
	} else if s.From == "beam" {
		s.From = "beam flange"
	}
	if k := slices.Index(stages[:], fold(r.Stage.Text)); k >= 0 {
		s.Stage = Stage(k)
	} else if r.Stage.Text != "" {
		bad("stage", fmt.Sprintf("%q is not a stage", r.Stage.Text), "drawn, ordered, made or fixed", near(r.Stage.Text, stages[:]))
	}
	switch v := r.Along.MM; {
	case r.Along.Text == "":
		bad("along", "blank", "millimetres from the start of the run, or of the row", "")
	case v < 0:
		bad("along", fmt.Sprintf("%q is negative", r.Along.Text), "millimetres from the start of the run, or of the row", "")
	case v > 0 && v < tooFew && !strings.HasSuffix(strings.TrimSpace(r.Along.Text), "m"):
		bad("along", fmt.Sprintf("%q is too small for millimetres along a run", r.Along.Text), "millimetres from the start of the run, or of the row",
			fmt.Sprintf("%s is surely metres: write %g or %s m; or, if meant, %s mm", r.Along.Text, v*1000, r.Along.Text, r.Along.Text))
	}
	onRow := r.Row.Text != ""
	switch {
	case onRow && r.Run.Text != "":
		bad("row", "both run and row are given", "one of the two", "")
	case !onRow && r.Run.Text == "":
		bad("run", "blank", "the name of a run, or the id of a row under row", "")
	case onRow && r.Length.Text != "":
		bad("length", "a row is one length", "blank where row is given", "")
	}
	if !ok {
		return s, false
	}
	if onRow {
		i, there := p.ZoneByID(r.Row.Text)
		switch {
		case !there && p.zonesMissing:
			return s, false
		case !there:
			bad("row", fmt.Sprintf("no zone %q", r.Row.Text), "the id of a row that is hung", date(r.Row.Text, ""))
		default:
			s.Zone, s.Along = int32(i), r.Along.MM
			p.holdsHere(r, &s, "row", bad)
		}
		return s, ok
	}
	l, found := p.lengthOf(r, runs, bad)
	if l == nil && found {
		p.otherLengths(row, len(runs.lengths(r.Run.Text)))
	}
	if l == nil {
		return s, found
	}
	if r.Along.MM > l.Length+Hair {
		bad("along", fmt.Sprintf("%s is past the end of %q, %.0f mm long", r.Along.Text, r.Run.Text, l.Length), "a place between its ends", "")
		return s, false
	}
	// Where two rows meet, it holds that which is hung.
	for k := range l.Pieces {
		c := &l.Pieces[k]
		if r.Along.MM < c.From-Hair || r.Along.MM > c.To+Hair || s.Zone >= 0 && p.isHung(p.Zone(int(s.Zone))) {
			continue
		}
		s.Zone, s.Along = int32(c.Zone), r.Along.MM-c.From
		if c.Reversed {
			s.Along = c.To - r.Along.MM
		}
		s.Along = math.Max(0, math.Min(c.To-c.From, s.Along))
	}
	p.holdsHere(r, &s, "run", bad)
	return s, ok
}

// lengthOf finds the length of a run that a support is along; nil where the run comes in other lengths than the row says.
func (p *Project) lengthOf(r *SupportRow, runs *runs, bad func(column, what, want, hint string)) (*RunLength, bool) {
	ls := runs.lengths(r.Run.Text)
	if len(ls) == 0 {
		if p.zonesMissing {
			return nil, false
		}
		if _, is := p.ZoneByID(r.Run.Text); is {
			bad("run", fmt.Sprintf("%q is the id of a row, not the name of a run", r.Run.Text), "its id under row", "")
			return nil, false
		}
		bad("run", fmt.Sprintf("no length with a place is of a run %q", r.Run.Text), "the name of a run, as the trades' tables have it", date(r.Run.Text, p.guess(r.At, func() string {
			var names []string
			seen := map[int32]bool{}
			for i := range p.zones.n {
				if z := p.Zone(i); z.run != 0 && !z.Gone && !seen[z.run] {
					seen[z.run] = true
					names = append(names, z.Run())
				}
			}
			return near(r.Run.Text, names)
		})))
		return nil, false
	}
	nth, of, counted := strings.Cut(cmp.Or(fold(r.Length.Text), "1 of 1"), " of ")
	k, err := strconv.Atoi(nth)
	n := len(ls)
	if counted && err == nil {
		n, err = strconv.Atoi(of)
	}
	switch {
	case err != nil || k < 1 || k > n:
		bad("length", fmt.Sprintf("%q is not a length of %q", r.Length.Text, r.Run.Text), fmt.Sprintf("which of its lengths, as its sheets count: 1 of %d", len(ls)), "")
	case n == len(ls):
		return &ls[k-1], true
	case p.zonesMissing: // a row that could not be read may be of it
	default:
		return nil, true
	}
	return nil, false
}

// otherLengths warns, once for each run, that it comes in other lengths than supports.csv says.
func (p *Project) otherLengths(row int32, lengths int) {
	r := p.rows.supports.at(int(row))
	for i := range row {
		if runKey(p.rows.supports.at(int(i)).Run.Text) == runKey(r.Run.Text) {
			return
		}
	}
	p.warn(r.At, "length", fmt.Sprintf("%q comes in %d %s, not as its supports say: until it is set out again they stand at the usual places", r.Run.Text, lengths, either(lengths == 1, "length", "lengths")),
		fmt.Sprintf("which of its lengths, as its sheets count: 1 of %d", lengths), "")
}

// Parted is a run that comes in other lengths than its supports in supports.csv say: they count for nothing until it is set out again.
type Parted struct {
	Run      string `json:"run"`
	Supports int    `json:"supports"` // how many of them
	Fixed    int    `json:"fixed"`    // how many of those are fixed
	Lengths  int    `json:"lengths"`  // in which the run comes
}

// PartedSupports returns the runs whose supports in supports.csv say other lengths than they come in, by name.
func (p *Project) PartedSupports() []Parted {
	var out []Parted
	runs := p.newRuns()
	for i := range p.rows.supports.n {
		if k := p.supportAt[i]; k < 0 || p.Supports[k].Zone >= 0 {
			continue
		}
		name := p.rows.supports.at(i).Run.Text
		k := slices.IndexFunc(out, func(x Parted) bool { return runKey(x.Run) == runKey(name) })
		if k < 0 {
			k = len(out)
			out = append(out, Parted{Run: name, Lengths: len(runs.lengths(name))})
		}
		if out[k].Supports++; p.Supports[p.supportAt[i]].Stage == Fixed {
			out[k].Fixed++
		}
	}
	slices.SortFunc(out, func(a, b Parted) int { return Natural(a.Run, b.Run) })
	return out
}

// isHung reports whether a row is held by supports of its own, or hangs in a frame.
func (p *Project) isHung(z *Zone) bool {
	frame, _ := z.Frame()
	return z.Hanger >= 0 || frame != ""
}

// holdsHere says what is wrong with a support on a row, and finds its hanger.
func (p *Project) holdsHere(r *SupportRow, s *SetSupport, column string, bad func(column, what, want, hint string)) {
	z := p.Zone(int(s.Zone))
	long := 2 * math.Hypot(z.Bare().Along.X, z.Bare().Along.Y)
	switch {
	case !p.isLength(z):
		bad(column, fmt.Sprintf("%q is not a length of a service with a place", z.ID), "a row that is hung, with x1, y1, x2, y2", "")
		return
	case !p.isHung(z):
		bad(column, fmt.Sprintf("%q names no hanger", z.ID), "a row that is hung: its hanger stands in its own table", "")
		return
	case s.Along > long+Hair:
		bad("along", fmt.Sprintf("%s is past the end of %q, %.0f mm long", r.Along.Text, z.ID, long), "a place between its ends", "")
		return
	}
	s.Along = math.Min(s.Along, long)
	if r.Hanger.Text == "" {
		return
	}
	k, ok := p.hanger(r.Hanger.Text)
	switch {
	case !ok && p.broken["hangers"]:
		bad("hanger", leans, "", "")
	case !ok:
		bad("hanger", fmt.Sprintf("no hanger %q in hangers.csv or built in", r.Hanger.Text), "the name of a hanger", p.guess(r.At, func() string { return p.nearHanger(r.Hanger.Text) }))
	case !p.isWhole("hangers", r.Hanger.Text):
		bad("hanger", leans, "", "")
	case z.Hanger >= 0 && p.Hangers[k].Under > p.Hangers[z.Hanger].Under+Hair:
		bad("hanger", fmt.Sprintf("%q takes %.1f under %q, whose own, %q, takes %.1f", p.Hangers[k].Name, p.Hangers[k].Under, z.ID, p.Hangers[z.Hanger].Name, p.Hangers[z.Hanger].Under),
			"no hanger that takes more than the row's own, which is what ceilings are checked against", "give the row the one that takes most")
	default:
		if s.Hanger = int32(k); s.Hanger == z.Hanger {
			s.Hanger = -1
		}
	}
}
