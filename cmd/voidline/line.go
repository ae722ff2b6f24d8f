package main

import (
	"bytes"
	"fmt"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/reports/draw"
	papers "voidline/reports/draw/look"
	"voidline/reports/floor"
	sheets "voidline/reports/setout"
	"voidline/reports/sheet"
	"voidline/reports/text"
	"voidline/void"
	"voidline/void/vocabulary"
)

func lineCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "line",
		Usage:     "find the one level to strike for a floor, and where it does not work",
		ArgsUsage: "DIR",
		Description: "Finds the level at which the fewest runs have nothing at all on the line, then the fewest places where a run must\n" +
			"leave it, then what its sets take (where the floor is not too large to lay it at each such level), then the greatest length\n" +
			"clear on it, then the most to spare; in whole 5 mm from the datum line. It goes by\n" +
			"all rules that check goes by, with what hangs under. For each place it says what is in the way, and the sets that\n" +
			"pass it or what would have to move.\n\n" +
			"It takes what carries cables, lies level and has a hanger, on one storey; rows that hold their level, are set into a\n" +
			"ceiling, are upright or fall are left out, and listed.\n\n" +
			"--format rows gives the rows that take the place of those in the tables; svg, pdf and png are one sheet for the wall.\n\n" +
			"Exit status: 0 it works everywhere, 1 there are places where it does not, 2 the tables have problems, 3 wrong usage or anything else.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "storey", Usage: "the `STOREY`; not needed where there is one"},
			&cli.StringFlag{Name: "trade", Usage: "that `TRADE`, instead of what carries cables"},
			&cli.StringFlag{Name: "service", Usage: "that `SERVICE`"},
			&cli.StringFlag{Name: "run", Usage: "that `RUN`, or the one row of that id"},
			&cli.StringFlag{Name: "bay", Usage: "rows in that `BAY`"},
			&cli.BoolFlag{Name: "falling", Usage: "take rows that fall, too, laid level"},
			&cli.StringFlag{Name: "prefer", Usage: "keep as near as the fewest places allow to `LEVEL`, which somebody has struck already"},
			&cli.StringFlag{Name: "lines", Value: "1", Usage: "1 or 2 `LINES`: 2 says what a second line gains"},
			&cli.StringFlag{Name: "by", Value: "height", Usage: "with --lines 2, `WHAT` takes one of the two: all ceilings of one height, or each room or corridor: bays of one ceiling that adjoin with no wall all along between them: height, room"},
			&cli.StringFlag{Name: "angle", Value: "45", Usage: "angle of a set in `DEGREES`"},
			&cli.StringFlag{Name: "straight", Value: "100", Usage: "least straight in `MM` between two bends, to a corner and to an end"},
			&cli.BoolFlag{Name: "firm", Usage: "leave out rules that rest on common practice only"},
			&cli.BoolFlag{Name: "partial", Usage: "use what can be read although rows have errors"},
			&cli.StringFlag{Name: "sheet", Usage: "`PAPER` of svg, pdf and png: a4 (if not given), a3 (both landscape), or phone for a narrow screen"},
			&cli.StringFlag{Name: "format", Usage: "`FORM` of the result: " + lineForms.names(", ") + "; by the name of -o if not given"},
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
		},
		Action: func(c *cli.Context) error { return strike(w, c) },
	}
}

// lineSet is the line of a floor, for what makes an answer of it.
type lineSet struct {
	ch *clash.Check
	w  *world
	s  *floor.Sheet
	r  rune // what parts the cells of a table

	paper papers.Sheet
}

var lineForms = forms[func(to *bytes.Buffer, l *lineSet) error]{
	{"text", func(to *bytes.Buffer, l *lineSet) error {
		return text.Answer(to, l.s.Words(), text.Options{Width: l.w.width})
	}},
	{"csv", func(to *bytes.Buffer, l *lineSet) error {
		return sheet.Table(to, l.s.Table(), sheet.Options{Separator: l.r})
	}},
	{"json", func(to *bytes.Buffer, l *lineSet) error { return l.s.JSON(to) }},
	{"rows", lineRows},
	{"svg", func(to *bytes.Buffer, l *lineSet) error { return draw.SVG(to, l.s.Drawn(l.paper), draw.SVGOptions{}) }},
	{"pdf", func(to *bytes.Buffer, l *lineSet) error { return draw.PDF(to, l.s.Drawn(l.paper), draw.PDFOptions{}) }},
	{"png", func(to *bytes.Buffer, l *lineSet) error { return draw.PNG(to, l.s.Drawn(l.paper), draw.PNGOptions{}) }},
}

// lineRows writes the rows that take the place of those that are struck: of every length for which there is a way.
func lineRows(to *bytes.Buffer, l *lineSet) error {
	var rows [][]string
	var gone, without []string
	for _, o := range l.s.Floor.Runs {
		if !o.Answer.Found || len(o.Answer.Unproved) > 0 {
			without = append(without, o.Run.Name)
			continue
		}
		rs, g := setout.Rows(l.s.Project, o.Answer, setout.SupportRun(l.s.Project, l.ch, o.Answer, setout.Hanging{}))
		rows, gone = append(rows, rs...), append(gone, g...)
	}
	if len(without) > 0 {
		l.w.tell("voidline: no rows for " + strings.Join(without, ", ") + ": not all of it is clear as it would be laid")
	}
	if len(gone) > 0 {
		l.w.tell(fmt.Sprintf("voidline: these rows take the place of %s", strings.Join(gone, ", ")))
	}
	return sheets.Rows(to, rows, l.r)
}

func strike(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	if err := mayWrite(out, strings.EqualFold(c.String("format"), "rows"), dir); err != nil {
		return err
	}
	form, err := lineForms.chosen(c)
	if err != nil {
		return err
	}
	paper, err := sheetOf(c)
	if err != nil {
		return err
	}
	if paper.Name == "" {
		paper = papers.A4()
	}
	set := setout.FloorSettings{Run: c.String("run"), Bay: c.String("bay"), Falling: c.Bool("falling")}
	for _, f := range []struct {
		name   string
		to     *float64
		lo, hi float64
	}{{"angle", &set.Steps.Angle, 1, 90}, {"straight", &set.Steps.Straight, 0, 10000}} {
		if err := numberFlag(c, f.name, f.to, f.lo, f.hi); err != nil {
			return err
		}
	}
	switch c.String("lines") {
	case "1":
	case "2":
		set.Lines = 2
	default:
		return exit{statusUsage, fmt.Errorf("--lines %q: 1 or 2", c.String("lines"))}
	}
	switch {
	case c.IsSet("by") && set.Lines != 2:
		return exit{statusUsage, fmt.Errorf("--by %q goes with --lines 2", c.String("by"))}
	case strings.EqualFold(c.String("by"), string(setout.ByRoom)):
		set.By = setout.ByRoom
	case !strings.EqualFold(c.String("by"), "height"):
		return exit{statusUsage, fmt.Errorf("--by %q: height or room", c.String("by"))}
	}
	if t := c.String("trade"); t != "" {
		e, ok := vocabulary.TradeWord(t)
		if !ok {
			return exit{statusUsage, fmt.Errorf("--trade %q: one of %s", t, strings.Join(vocabulary.Trades(), ", "))}
		}
		set.Trade = e.Word
	}
	if t := c.String("service"); t != "" {
		set.Service = t
		if e, ok := vocabulary.ServiceWord(t); ok {
			set.Service = e.Word
		}
	}
	p, ch, err := open(w, c, dir, clash.Options{Touch: clash.None, Firm: c.Bool("firm")}, c.Bool("partial"))
	if err != nil {
		return err
	}
	if set.Storey, err = storeyOf(p, c.String("storey")); err != nil {
		return err
	}
	if t := c.String("prefer"); t != "" {
		z, err := levelOf(&p.Storeys[set.Storey], "prefer", t)
		if err != nil {
			return err
		}
		set.Prefer = &z
	}
	fl, err := setout.Strike(p, ch, set)
	if err != nil {
		return exit{statusUsage, err}
	}
	var b bytes.Buffer
	if err := form(&b, &lineSet{ch, w, &floor.Sheet{Project: p, Floor: fl}, table.Separator(dir), paper}); err != nil {
		return err
	}
	if err := put(w, out, b.Bytes()); err != nil {
		return err
	}
	switch {
	case len(fl.Places) > 0:
		return exit{status: statusFindings}
	case len(p.Problems) > 0:
		return exit{status: statusInput}
	}
	return nil
}

// storeyOf returns the storey of a name; of a project with one storey that one needs no name.
func storeyOf(p *void.Project, name string) (int, error) {
	var names []string
	for k := range p.Storeys {
		if name != "" && strings.EqualFold(p.Storeys[k].Name, name) {
			return k, nil
		}
		names = append(names, p.Storeys[k].Name)
	}
	switch {
	case name == "" && len(p.Storeys) == 1:
		return 0, nil
	case name == "":
		return 0, exit{statusUsage, fmt.Errorf("a line is for one storey: give --storey with one of %s", strings.Join(names, ", "))}
	}
	return 0, exit{statusUsage, fmt.Errorf("--storey %q: no such storey; there is %s", name, strings.Join(names, ", "))}
}
