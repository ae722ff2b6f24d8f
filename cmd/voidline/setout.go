package main

import (
	"bytes"
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/io/issued"
	"voidline/io/table"
	"voidline/reports/draw"
	sheets "voidline/reports/setout"
	"voidline/void"
	"voidline/void/catalogue"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

func setoutCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "setout",
		Usage:     "set out a run: the line to strike, where it steps, its supports and rods",
		ArgsUsage: "DIR RUN...",
		Description: "Works out the levels at which the whole run is clear from end to end, with what hangs under it and the\n" +
			"room it needs, and the line to strike: the nearest to as drawn, in whole 5 mm with 10 to spare over and under\n" +
			"it where there is room. Where no one level is clear, the fewest sets (steps) that make it clear. A run that\n" +
			"falls keeps its fall. RUN is the name of a run, or the id of one row.\n\n" +
			"--format rows gives the rows that take the place of the run's in the tables. --format supports gives the places of the supports as\n" +
			"supports.csv: in the folder under that name they take the place of the usual ones, here and in every other command.\n\n" +
			"--since OLD.csv says what of a sheet that was issued (written with --format csv and the same flags) is no longer so: levels, sets,\n" +
			"supports that move, are gone or are new, rods; first what is already drilled, which is where a row's stage is fixed.\n\n" +
			"Several runs, or --all, come with one order for all of them, cut from stock together. Each is set out with the others as the tables have\n" +
			"them; then all are laid together, and those that are not clear of each other are said with the order.\n\n" +
			"--tolerance worst (or rss) adds what is clear as laid and may not fit once it is built, as check says it.\n\n" +
			"Levels are written as in the tables: 2700, FFL+2700, datum+1650, project+7250.\n\n" +
			"Exit status: 0 it can be done, 1 it cannot, or not all of it is proved clear and supported, 2 the tables have problems, 3 wrong usage or anything else.\n" +
			"With --since: 0 the issued sheet still holds, 1 it does not, 2 it is no such sheet.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "face", Value: "bottom", Usage: "what the line is to: `FACE` bottom, centre or top"},
			&cli.StringFlag{Name: "angle", Value: "45", Usage: "angle of a set in `DEGREES`"},
			&cli.StringFlag{Name: "straight", Value: "100", Usage: "least straight in `MM` between two bends, to a corner and to an end"},
			&cli.StringFlag{Name: "min", Usage: "keep the line at or above `LEVEL`"},
			&cli.StringFlag{Name: "max", Usage: "keep the line at or below `LEVEL`"},
			&cli.StringFlag{Name: "above", Usage: "keep at least `MM` clear above the run, besides what the rules need"},
			&cli.StringFlag{Name: "prefer", Usage: "keep near to `LEVEL`, or as high as possible: highest (default: as drawn)"},
			&cli.StringFlag{Name: "start", Usage: "the line begins at `LEVEL`"},
			&cli.StringFlag{Name: "end", Usage: "the line ends at `LEVEL`"},
			&cli.StringFlag{Name: "fall", Usage: "lay it to a `FALL` from end to end: 1 in 80, 12.5 mm/m"},
			&cli.StringFlag{Name: "spacing", Usage: "most `MM` between supports (else by kind)"},
			&cli.StringFlag{Name: "first", Usage: "most `MM` from an end to the first support"},
			&cli.StringFlag{Name: "from", Usage: "rods hang from `WHAT`: soffit, steel (else as hangers.csv says; where it says nothing, steel over both rods, else the soffit)"},
			&cli.StringFlag{Name: "clamp", Value: "0", Usage: "height in `MM` of the clamp under a flange"},
			&cli.StringFlag{Name: "adjust", Usage: "`MM` added to a rod for levelling (0: none)"},
			&cli.StringFlag{Name: "stock", Value: lengths(catalogue.RodStock()), Usage: "rod stock lengths in `MM`"},
			&cli.StringFlag{Name: "channel-stock", Value: lengths(catalogue.ChannelStock()), Usage: "channel stock lengths in `MM`"},
			&cli.StringFlag{Name: "kerf", Value: "2", Usage: "`MM` lost at each cut"},
			&cli.BoolFlag{Name: "firm", Usage: "leave out rules that rest on common practice only"},
			toleranceFlag(),
			deflectionFlag(),
			&cli.BoolFlag{Name: "partial", Usage: "use what can be read although rows have errors"},
			&cli.BoolFlag{Name: "all", Usage: "every run that names a hanger, or whose frame does"},
			&cli.StringFlag{Name: "since", Usage: "say what of the issued sheet `OLD.csv` is no longer so"},
			&cli.StringFlag{Name: "format", Usage: "`FORM` of the result: " + setoutForms.names(", ") + "; by the name of -o if not given"},
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
		},
		Action: func(c *cli.Context) error { return setOut(w, c) },
	}
}

// lengths writes lengths as a flag takes them.
func lengths(mm []float64) string {
	var out []string
	for _, v := range mm {
		out = append(out, strconv.FormatFloat(v, 'f', -1, 64))
	}
	return strings.Join(out, ",")
}

// setOut sets out the runs that are named, or all, and writes their sheets in the form asked for.
func setOut(w *world, c *cli.Context) error {
	args, every := c.Args().Slice(), c.Bool("all")
	if len(args) < 2 && !every || len(args) != 1 && every || slices.Contains(args, "") {
		return exit{statusUsage, fmt.Errorf("setout needs a project folder and a run, or several, or --all: voidline setout DIR RUN")}
	}
	dir, names := args[0], args[1:]
	if c.String("since") != "" && len(names) != 1 {
		return exit{statusUsage, fmt.Errorf("--since goes with one run: a sheet that was issued is of one")}
	}
	out := c.String("o")
	asTable := strings.EqualFold(c.String("format"), "rows") || strings.EqualFold(c.String("format"), "supports") && strings.EqualFold(filepath.Base(out), "supports.csv")
	if err := mayWrite(out, asTable, dir); err != nil {
		return err
	}
	form, err := setoutForms.chosen(c)
	if err != nil {
		return err
	}
	how, err := howToSetOut(c)
	if err != nil {
		return err
	}
	opt := clash.Options{Touch: clash.None, Firm: c.Bool("firm")}
	p, ch, err := open(w, c, dir, opt, c.Bool("partial"))
	if err != nil {
		return err
	}
	if err := tolerated(c, &opt); err != nil {
		return err
	}
	if every {
		if names = hungRuns(p); len(names) == 0 {
			return exit{statusUsage, fmt.Errorf("no run names a hanger: give the names of the runs that are to be set out")}
		}
	}
	names = setout.InOrder(p, names)
	k := &runSet{w: w, p: p, name: strings.Join(names, ", "), sep: table.Separator(dir), old: c.String("since")}
	done, err := k.setOut(c, ch, names, how, opt)
	if err != nil {
		return err
	}
	var b bytes.Buffer
	if err := form(&b, k); err != nil {
		return err
	}
	if k.since != nil && !k.told {
		for _, l := range sheets.Since(k.since, k.old) {
			w.tell("voidline: " + l)
		}
	}
	if err := put(w, out, b.Bytes()); err != nil {
		return err
	}
	switch {
	case !done:
		return exit{status: statusFindings}
	case len(p.Problems) > 0:
		return exit{status: statusInput}
	}
	return nil
}

// toSetOut is how runs are to be set out, as the flags say it.
type toSetOut struct {
	face cell.Facing
	set  setout.Settings
	hang setout.Hanging
	fall *float64 // nil: as the tables have it
}

// howToSetOut reads the flags that hang on no project.
func howToSetOut(c *cli.Context) (how toSetOut, err error) {
	face := cell.ParseFace(c.String("face"))
	if face.Fault != nil || face.Is == cell.Unsaid {
		return how, exit{statusUsage, fmt.Errorf("--face %q: bottom, centre or top", c.String("face"))}
	}
	how.face = face.Is
	how.set.Steps.AsDrawn = !strings.EqualFold(c.String("prefer"), highest)
	h := &how.hang
	for _, f := range []struct {
		name   string
		to     *float64
		lo, hi float64
	}{
		{"angle", &how.set.Steps.Angle, 1, 90},
		{"straight", &how.set.Steps.Straight, 0, 10000},
		{"above", &how.set.Steps.Above, 0, 10000},
		{"spacing", &h.Spacing, 100, 10000},
		{"first", &h.First, 1, 10000},
		{"clamp", &h.Clamp, 0, 500},
		{"adjust", &h.Adjust, 0, 500},
		{"kerf", &h.Kerf, 0, 20},
	} {
		if err := numberFlag(c, f.name, f.to, f.lo, f.hi); err != nil {
			return how, err
		}
	}
	if c.IsSet("adjust") && h.Adjust == 0 {
		h.Adjust = -1
	}
	if h.From = setout.Fixing(strings.ToLower(c.String("from"))); h.From != setout.AsHanger && h.From != setout.FromSoffit && h.From != setout.FromSteel {
		return how, exit{statusUsage, fmt.Errorf("--from %q: soffit or steel", c.String("from"))}
	}
	if h.Stock, err = lengthsFlag(c, "stock"); err != nil {
		return how, err
	}
	if h.Bars, err = lengthsFlag(c, "channel-stock"); err != nil {
		return how, err
	}
	if t := c.String("fall"); t != "" {
		f := cell.ParseFall(t)
		if f.Fault != nil || f.Slope < 0 {
			return how, exit{statusUsage, fmt.Errorf("--fall %q: 1 in 80, 12.5 mm/m or 1.25 %%", t)}
		}
		how.fall = &f.Slope
	}
	return how, nil
}

// lengthsFlag reads lengths of stock, mm.
func lengthsFlag(c *cli.Context, name string) (mm []float64, err error) {
	for _, s := range strings.Split(c.String(name), ",") {
		v, err := strconv.ParseFloat(strings.TrimSpace(s), 64)
		if err != nil || !(v >= 100 && v <= 20000) {
			return nil, exit{statusUsage, fmt.Errorf("--%s %q: lengths from 100 to 20000 mm with commas between", name, c.String(name))}
		}
		mm = append(mm, v)
	}
	return mm, nil
}

// setOut sets out the runs of the set one by one; of several it makes one order and measures them against each other as built. It reports whether all
// is done that was asked.
func (k *runSet) setOut(c *cli.Context, ch *clash.Check, names []string, how toSetOut, opt clash.Options) (done bool, err error) {
	p := k.p
	var lengths []setout.Ordered
	done = true
	for _, name := range names {
		runs, err := setout.Assemble(p, name, how.face)
		if err != nil {
			return false, exit{statusUsage, fmt.Errorf("%w%s", err, nearRun(p, name))}
		}
		its, err := levelFlags(c, &p.Storeys[runs[0].Storey], how.set)
		if err != nil {
			return false, err
		}
		ss, ok := setAll(p, ch, runs, its, how.fall, how.hang)
		done = done && ok
		for _, s := range ss {
			lengths = append(lengths, setout.Ordered{Answer: s.Answer, Fall: s.Fall, Supports: s.Supports, Joints: s.Joints, Angle: how.set.Steps.Angle})
		}
		k.all = append(k.all, ss...)
	}
	if len(names) > 1 {
		k.order = setout.OrderFor(p, lengths)
	}
	if len(names) > 1 || opt.Tolerance != tolerance.AsDrawn {
		built, err := setout.AsBuilt(c.Context, p, lengths, opt)
		if err != nil {
			return false, err
		}
		for i, s := range k.all {
			s.Tolerance, s.Doubts = built.Tolerance, built.Doubts[i]
		}
		if k.order != nil {
			k.order.Between = built.Between
			done = done && len(built.Between) == 0
		}
	}
	if k.old != "" {
		if k.since, err = sinceIssued(p, k.all, k.old); err != nil {
			return false, problematic(k.w, err, k.old+" cannot be compared with what is so now")
		}
		done = k.since.Holds() // that is what was asked
	}
	return done, nil
}

// numberFlag reads a number from a flag, where it is given.
func numberFlag(c *cli.Context, name string, to *float64, lo, hi float64) error {
	if c.String(name) == "" {
		return nil
	}
	v, err := strconv.ParseFloat(c.String(name), 64)
	if err != nil || !(v >= lo && v <= hi) {
		return exit{statusUsage, fmt.Errorf("--%s %s is out of range: give %g to %g", name, c.String(name), lo, hi)}
	}
	*to = v
	return nil
}

// levelFlags reads the levels that the flags keep a line to, as they are said to a storey.
func levelFlags(c *cli.Context, st *void.Storey, set setout.Settings) (setout.Settings, error) {
	for _, f := range []struct {
		name string
		to   **float64
	}{{"min", &set.Steps.Min}, {"max", &set.Steps.Max}, {"prefer", &set.Steps.Prefer}, {"start", &set.Steps.Start}, {"end", &set.Steps.End}} {
		if t := c.String(f.name); t == "" || f.name == "prefer" && strings.EqualFold(t, highest) {
			continue
		}
		z, err := levelOf(st, f.name, c.String(f.name))
		if err != nil {
			return set, err
		}
		*f.to = &z
	}
	return set, contradiction(st, &set.Steps)
}

// hungRuns returns the names of all runs of which a length names a hanger, or hangs in a frame of which another row names one, and the ids of such rows
// without a run.
func hungRuns(p *void.Project) []string {
	var names []string
	seen := map[string]bool{}
	plan := support.Of(p, support.Options{})
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Gone || z.Item || z.Upright || z.ByHeight || z.Recessed || z.Hanger < 0 && plan.Frame(i) == nil || p.Character(z.Char).Structure() {
			continue
		}
		name := cmp.Or(z.Run(), z.ID)
		if key := strings.ToLower(name); !seen[key] {
			seen[key] = true
			names = append(names, name)
		}
	}
	slices.SortFunc(names, void.Natural)
	return names
}

// highest is what --prefer says for as high as possible.
const highest = "highest"

// contradiction says which levels that were asked for leave none.
func contradiction(st *void.Storey, o *setout.Steps) error {
	over := func(a string, x *float64, b string, y *float64) error {
		if x == nil || y == nil || *x <= *y+void.Hair {
			return nil
		}
		return exit{statusUsage, fmt.Errorf("--%s FFL%+g is over --%s FFL%+g: no level is both", a, *x-st.FFL, b, *y-st.FFL)}
	}
	return cmp.Or(over("min", o.Min, "max", o.Max), over("min", o.Min, "start", o.Start), over("min", o.Min, "end", o.End),
		over("start", o.Start, "max", o.Max), over("end", o.End, "max", o.Max))
}

// levelOf reads a level that hangs on no bay.
func levelOf(st *void.Storey, flag, text string) (float64, error) {
	l := cell.ParseLevel(text)
	bad := exit{statusUsage, fmt.Errorf("--%s %q: a level such as 2700, FFL+2700, datum+1650 or project+7250", flag, text)}
	if l.Fault != nil || l.None || l.Range || l.Blank() {
		return 0, bad
	}
	switch l.Low.Ref {
	case cell.FFL:
		return st.FFL + l.Low.MM, nil
	case cell.Datum:
		return st.FFL + st.Datum + l.Low.MM, nil
	case cell.Project:
		return l.Low.MM, nil
	case cell.SSL:
		if st.HasSSL {
			return st.SSL + l.Low.MM, nil
		}
	}
	return 0, bad
}

// nearRun hints at a run or a row that may be meant.
func nearRun(p *void.Project, name string) string {
	var names []string
	for i := range p.Zones() {
		z := p.Zone(i)
		if z.Run() != "" && !slices.Contains(names, z.Run()) {
			names = append(names, z.Run())
		}
	}
	if n, ok := vocabulary.Nearest(name, names); ok && !strings.EqualFold(n, name) {
		return fmt.Sprintf(" (did you mean %q?)", n)
	}
	return ""
}

// setAll sets out every length that the run comes in; done is false where one cannot be.
func setAll(p *void.Project, ch *clash.Check, runs []setout.Run, set setout.Settings, fall *float64, h setout.Hanging) (all []*sheets.Sheet, done bool) {
	done = true
	var level []*setout.Answer
	falls := make([]*setout.Fall, len(runs))
	joints := setout.Joints(runs)
	for k := range runs {
		s := &sheets.Sheet{Project: p, Joints: joints[k], Lengths: &all, Angle: set.Steps.Angle}
		if len(runs) > 1 {
			s.Part = fmt.Sprintf("%d of %d", k+1, len(runs))
		}
		if fall != nil || runs[k].Falls() {
			s.Fall = setout.SetFall(p, ch, &runs[k], fall, set.Steps)
			falls[k] = s.Fall
		} else {
			s.Answer = setout.SetOut(p, ch, &runs[k], set)
			done = done && s.Answer.Found
			level = append(level, s.Answer)
		}
		all = append(all, s)
	}
	setout.OneLevel(p, ch, level, set)
	setout.Drain(p, runs, falls)
	for _, s := range all {
		switch {
		case s.Fall != nil:
			s.Next = s.Fall.NextTo(p, ch)
			done = done && s.Fall.Start != nil && (s.Fall.Into == nil || s.Fall.Into.Under == 0)
			s.Supports = setout.SupportFall(p, ch, s.Fall, h)
		case s.Answer.Found:
			s.Next = s.Answer.NextTo(p, ch)
			s.Supports = setout.SupportRun(p, ch, s.Answer, h)
		}
		done = done && len(s.Lacks()) == 0
	}
	return all, done
}

// runSet is a run that was set out, for what makes an answer of it.
type runSet struct {
	w     *world
	p     *void.Project
	name  string
	all   []*sheets.Sheet // a sheet for each length that it comes in
	sep   rune
	order *setout.Order // of several runs; nil of one
	// old is the sheet that was issued, and since what of it is no longer so; nil where that is not asked for.
	old   string
	since *setout.Since
	told  bool // the form has a place for that, and says it there
}

// sinceIssued says what of the sheet in a file is no longer so. Both sheets are compared as their tables say them.
func sinceIssued(p *void.Project, all []*sheets.Sheet, old string) (*setout.Since, error) {
	var b bytes.Buffer
	if err := sheets.CSV(&b, all, nil, ','); err != nil {
		return nil, err
	}
	now, problems := issued.Parse("", b.Bytes(), "")
	if len(problems) > 0 {
		return nil, fmt.Errorf("the sheet of now cannot be read back (%s); please report this", problems[0])
	}
	then, err := issued.Open(old, now.Run)
	if err != nil {
		return nil, err
	}
	var runs []*setout.Run
	for _, s := range all {
		runs = append(runs, s.Run())
	}
	return setout.SinceIssued(p, runs, then, now), nil
}

type setoutForm func(to *bytes.Buffer, k *runSet) error

var setoutForms = forms[setoutForm]{
	{"text", func(to *bytes.Buffer, k *runSet) error {
		k.told = true
		if k.since != nil {
			if err := sheets.SinceText(to, k.since, k.old, k.w.width); err != nil {
				return err
			}
		}
		err := k.each(func(i int, s *sheets.Sheet) error {
			if i > 0 {
				to.WriteString("\n")
			}
			return sheets.Text(to, s, k.w.width)
		})
		if err != nil || k.order == nil {
			return err
		}
		return sheets.OrderText(to, k.order, k.w.width)
	}},
	{"csv", func(to *bytes.Buffer, k *runSet) error { return sheets.CSV(to, k.all, k.order, k.sep) }},
	{"json", func(to *bytes.Buffer, k *runSet) error {
		k.told = true
		return sheets.JSON(to, k.all, k.order, k.since)
	}},
	{"rows", setoutRows},
	{"supports", setoutSupports},
	{"svg", func(to *bytes.Buffer, k *runSet) error {
		return draw.SVG(to, sheets.Strip(k.all, k.order), draw.SVGOptions{})
	}},
	{"pdf", func(to *bytes.Buffer, k *runSet) error {
		pages := sheets.Drawn(k.all, k.order)
		return draw.PDF(to, pages[0], draw.PDFOptions{}, pages[1:]...)
	}},
	{"png", func(to *bytes.Buffer, k *runSet) error {
		return draw.PNG(to, sheets.Strip(k.all, k.order), draw.PNGOptions{})
	}},
}

// each calls write for the sheets until one fails.
func (k *runSet) each(write func(i int, s *sheets.Sheet) error) error {
	for i, s := range k.all {
		if err := write(i, s); err != nil {
			return err
		}
	}
	return nil
}

// setoutSupports writes the places of supports as supports.csv has them.
func setoutSupports(to *bytes.Buffer, k *runSet) error {
	var rows [][]string
	for _, s := range k.all {
		for _, l := range s.Lacks() {
			k.w.tell(fmt.Sprintf("voidline: %s: %s: %s", s.Run().Name, l.What, l.Why))
		}
		if s.Supports == nil {
			k.w.tell(fmt.Sprintf("voidline: %s: no line is clear, so no support is set out", s.Run().Name))
			continue
		}
		rows = append(rows, setout.SupportRows(k.p, s.Run(), s.Part, s.Supports)...)
	}
	return sheets.Places(to, rows, k.sep)
}

// setoutRows writes the rows that take the place of the run's in the tables.
func setoutRows(to *bytes.Buffer, k *runSet) error {
	var rows [][]string
	var gone []string
	for _, s := range k.all {
		if t := s.Tiers(); t != "" {
			k.w.tell("voidline: " + t)
		}
		for _, l := range s.Lacks() {
			k.w.tell(fmt.Sprintf("voidline: %s: %s", l.What, l.Why))
		}
		var rs [][]string
		var g []string
		switch {
		case s.Fall != nil && s.Fall.Start != nil:
			rs, g = setout.FallRows(k.p, s.Fall)
		case s.Answer != nil && s.Answer.Found:
			rs, g = setout.Rows(k.p, s.Answer, s.Supports)
		default:
			return exit{statusFindings, fmt.Errorf("run %s cannot be put into rows: it cannot be done as it is; --format text says more", k.name)}
		}
		rows, gone = append(rows, rs...), append(gone, g...)
	}
	k.w.tell(fmt.Sprintf("voidline: these rows take the place of %s", strings.Join(gone, ", ")))
	return sheets.Rows(to, rows, k.sep)
}
