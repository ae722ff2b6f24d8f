package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"github.com/golang/geo/r2"
	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/reports/draw"
	sheets "voidline/reports/draw/look"
	"voidline/reports/section"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/cell"
	"voidline/void/vocabulary"
)

func sectionCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "section",
		Usage:     "draw the section of a bay, through its tightest point or where you say",
		ArgsUsage: "DIR",
		Description: "Draws what an upright plane cuts in a bay: soffit, steel, services with insulation and hangers, build-up,\n" +
			"ceiling, datum and FFL, to scale, with levels, the stack over one point, and the finding that is cut,\n" +
			"with its number, as on the plan.\n" +
			"Without --cut it goes through the place of the worst finding in the bay, or the bay's middle.\n\n" +
			"Without -o the drawing goes to standard output as SVG. With -o its form is that of the file's ending:\n" +
			".svg, .png or .pdf. The numbers in an SVG are millimetres of the building.",
		OnUsageError: usageError,
		Flags: append([]cli.Flag{
			&cli.StringFlag{Name: "bay", Usage: "the `BAY`; not needed with --cut \"through FINDING\""},
			&cli.StringFlag{Name: "cut", Usage: "`WHERE`: x=PLACE (looking west), y=PLACE (looking north), a place being mm or B+1200; or \"through FINDING\", by its id"},
			&cli.StringFlag{Name: "span", Usage: "draw only so many `MM` of the cut, about the finding, and larger"},
		}, drawingFlags()...),
		Action: func(c *cli.Context) error { return sectionOf(w, c) },
	}
}

// drawingFlags are the flags of every command that draws.
func drawingFlags() []cli.Flag {
	return []cli.Flag{
		&cli.StringFlag{Name: "sheet", Usage: "`PAPER`: a4, a3 (both landscape), or phone for a narrow screen; blank: a4 or a3, whichever shows it larger"},
		&cli.StringFlag{Name: "format", Usage: "`FORM`: " + drawingForms.names(" or ") + ", where the file's ending does not say"},
		&cli.StringFlag{Name: "o", Usage: "write the drawing to `FILE`, never part-written"},
		supportsFlag(),
		&cli.BoolFlag{Name: "partial", Usage: "draw what can be read although rows have errors"},
	}
}

// drawingForm writes a drawing of some sheets: all of them, or of many the first.
type drawingForm struct {
	all   bool
	write func(to io.Writer, first *draw.Drawing, more ...*draw.Drawing) error
}

var drawingForms = forms[drawingForm]{
	{"svg", drawingForm{write: func(to io.Writer, d *draw.Drawing, _ ...*draw.Drawing) error {
		return draw.SVG(to, d, draw.SVGOptions{})
	}}},
	{"png", drawingForm{write: func(to io.Writer, d *draw.Drawing, _ ...*draw.Drawing) error {
		return draw.PNG(to, d, draw.PNGOptions{})
	}}},
	{"pdf", drawingForm{true, func(to io.Writer, d *draw.Drawing, more ...*draw.Drawing) error {
		return draw.PDF(to, d, draw.PDFOptions{}, more...)
	}}},
}

// canvas is where and how a drawing is to be written.
type canvas struct {
	file  string
	form  drawingForm
	sheet sheets.Sheet
}

// canvasOf reads the flags of a command that draws.
func canvasOf(c *cli.Context, dir string) (canvas, error) {
	k := canvas{file: c.String("o")}
	var err error
	if c.String("format") != "" {
		k.form, err = drawingForms.chosen(c)
	} else if k.file == "" || k.file == "-" {
		k.form = drawingForms[0].form
	} else if form, ok := drawingForms.named(strings.TrimPrefix(filepath.Ext(k.file), ".")); ok {
		k.form = form
	} else {
		err = exit{statusUsage, fmt.Errorf("-o %s: a drawing is .%s; or say --format", k.file, strings.NewReplacer(", ", ", .", " or ", " or .").Replace(drawingForms.names(" or ")))}
	}
	if err != nil {
		return k, err
	}
	if err := mayWrite(k.file, false, dir); err != nil {
		return k, err
	}
	k.sheet, err = sheetOf(c)
	return k, err
}

// sheetOf reads which paper is asked for; without a name where none is.
func sheetOf(c *cli.Context) (sheets.Sheet, error) {
	switch strings.ToLower(c.String("sheet")) {
	case "":
		return sheets.Sheet{}, nil
	case "a4":
		return sheets.A4(), nil
	case "a3":
		return sheets.A3(), nil
	case "phone":
		return sheets.Phone(), nil
	}
	return sheets.Sheet{}, exit{statusUsage, fmt.Errorf("--sheet %q: a4, a3 or phone", c.String("sheet"))}
}

// write writes a drawing of some sheets; where its form holds one it says that there are more.
func (k canvas) write(w *world, first *draw.Drawing, more ...*draw.Drawing) error {
	if len(more) > 0 && !k.form.all {
		w.tell(fmt.Sprintf("this is sheet 1 of %d; --no writes another, and a PDF has all", len(more)+1))
	}
	var b bytes.Buffer
	if err := k.form.write(&b, first, more...); err != nil {
		return err
	}
	return put(w, k.file, b.Bytes())
}

func sectionOf(w *world, c *cli.Context) error {
	where := strings.TrimSpace(c.String("cut"))
	args := c.Args().Slice()
	if strings.EqualFold(where, "through") && len(args) == 2 {
		// Typed without quotes: the word that is no folder is the finding's.
		if info, err := os.Stat(args[0]); err == nil && info.IsDir() {
			args[0], args[1] = args[1], args[0]
		}
		where, args = "through "+args[0], args[1:]
	}
	if len(args) != 1 || args[0] == "" {
		if _, err := folder(c); err != nil {
			return err
		}
	}
	dir := args[0]
	k, err := canvasOf(c, dir)
	if err != nil {
		return err
	}
	span := 0.0
	if s := c.String("span"); s != "" {
		if span, err = strconv.ParseFloat(s, 64); err != nil || !(span >= 100 && span <= 1e6) {
			return exit{statusUsage, fmt.Errorf("--span %s is out of range: give 100 to 1000000 mm", s)}
		}
	}
	opt := clash.Options{Touch: 1, Surveyed: true}
	if err := supported(c, &opt); err != nil {
		return err
	}
	p, ch, err := openKept(w, c, dir, opt, c.Bool("partial"))
	if err != nil {
		return err
	}
	in, err := cutOf(c.Context, p, ch, where, c.String("bay"))
	if err != nil {
		return err
	}
	if in.Finding != nil {
		f, err := ch.Prove(c.Context, *in.Finding)
		if err != nil {
			return err
		}
		in.Finding = &f
	}
	return k.write(w, section.Draw(in, section.Options{Sheet: k.sheet, Span: span}))
}

// cutOf works out where to cut, cuts, and finds what is to be marked.
func cutOf(ctx context.Context, p *void.Project, ch *clash.Check, where, bayName string) (section.Input, error) {
	in := section.Input{Project: p}
	res, err := ch.Findings(ctx)
	if err != nil {
		return in, err
	}
	bay := -1
	if bayName != "" || !strings.HasPrefix(strings.ToLower(where), "through") {
		if bay, err = bayNamed(p, bayName); err != nil {
			return in, err
		}
	}
	var plane body.Plane
	word, rest, _ := strings.Cut(where, " ")
	axis, value, equals := strings.Cut(where, "=")
	axis = strings.ToLower(strings.TrimSpace(axis))
	switch {
	case where == "":
		if f, ok := finding.Worst(res.Findings, p.Bays[bay].Label); ok {
			if at, pl, ok := ch.PlaneThrough(&f); ok && at == bay {
				in.Finding, plane, in.Why = &f, pl, "through the worst finding in the bay"
			}
		}
		if in.Finding == nil {
			plane, in.Why = p.Bays[bay].Middle(), "through the middle of the bay; nothing was found in it"
		}
	case strings.EqualFold(word, "through"):
		f, err := findingOf(res.Findings, strings.TrimSpace(rest))
		if err != nil {
			return in, err
		}
		at, pl, ok := ch.PlaneThrough(f)
		if !ok {
			return in, exit{statusUsage, fmt.Errorf("--cut: finding %s is outside every bay: there is no section to cut", f.ID)}
		}
		if bay >= 0 && bay != at {
			return in, exit{statusUsage, fmt.Errorf("--cut: finding %s is in bay %s, not in %s", f.ID, p.Bays[at].Label, p.Bays[bay].Label)}
		}
		bay, in.Finding, plane, in.Why = at, f, pl, "through finding "+f.ID
	case equals && (axis == "x" || axis == "y"):
		v := cell.ParsePlace(value)
		if v.Fault != nil {
			return in, exit{statusUsage, fmt.Errorf("--cut %s: %w", where, v.Fault)}
		}
		if v.Blank() {
			return in, exit{statusUsage, fmt.Errorf("--cut %q: no place after =", where)}
		}
		b := &p.Bays[bay]
		var at r2.Point
		var what string
		if axis == "x" {
			at, what = p.Point(v, cell.Place{})
			plane = b.AcrossX(at.X)
		} else {
			at, what = p.Point(cell.Place{}, v)
			plane = b.AcrossY(at.Y)
		}
		if what != "" {
			return in, exit{statusUsage, fmt.Errorf("--cut %s: %s", where, what)}
		}
		// The worst of what lies in the plane, or as near as makes no difference.
		inPlane := slices.DeleteFunc(slices.Clone(res.Findings), func(f finding.Finding) bool { return !clash.InPlane(&f, plane) })
		if f, ok := finding.Worst(inPlane, b.Label); ok {
			in.Finding = &f
		}
	default:
		return in, exit{statusUsage, fmt.Errorf("--cut %q: x=PLACE, y=PLACE or \"through FINDING\"", where)}
	}
	v, ok := ch.View(bay, plane, in.Finding, ch.SupportPlan())
	if !ok {
		b := &p.Bays[bay]
		return in, exit{statusUsage, fmt.Errorf("--cut %s does not cut bay %s: it lies from x %.0f to %.0f and from y %.0f to %.0f", where, b.Label, b.Plan.X.Lo, b.Plan.X.Hi, b.Plan.Y.Lo, b.Plan.Y.Hi)}
	}
	in.View = v
	if in.Finding != nil {
		numbers := finding.Numbers(res.Findings)
		in.Number = strconv.Itoa(numbers[in.Finding.Problem()])
		in.Others = othersIn(res.Findings, in.Finding, plane, numbers)
	}
	in.Holes = res.BuildersWork
	return in, nil
}

// standing reports of an id of a finding whether the project still has what it names: a zone, the supports of one, a bay's
// ceiling or soffit. What still stands was not renamed.
func standing(p *void.Project) func(id string) bool {
	levels := map[string]bool{}
	for i := range p.Bays {
		levels[strings.ToLower(p.Bays[i].CeilingID())] = true
		levels[strings.ToLower(p.Bays[i].SoffitID())] = true
	}
	return func(id string) bool {
		if row, is := words.SupportsOf(&finding.Finding{A: id, AKind: "support"}); is {
			id = row
		}
		_, ok := p.ZoneByID(id)
		return ok || levels[strings.ToLower(id)]
	}
}

// findingOf finds a finding by its id, or the beginning of it that no other has.
func findingOf(fs []finding.Finding, id string) (*finding.Finding, error) {
	if id == "" {
		return nil, exit{statusUsage, fmt.Errorf("--cut through needs the id of a finding, as voidline check --format json gives it")}
	}
	var hits []*finding.Finding
	var ids []string
	for i := range fs {
		if strings.HasPrefix(fs[i].ID, strings.ToLower(id)) {
			hits = append(hits, &fs[i])
		}
		ids = append(ids, fs[i].ID)
	}
	switch len(hits) {
	case 1:
		return hits[0], nil
	case 0:
		hint := ""
		if n, ok := vocabulary.Nearest(id, ids); ok {
			hint = fmt.Sprintf(" (did you mean %s?)", n)
		}
		return nil, exit{statusUsage, fmt.Errorf("--cut: no finding %q in this check%s", id, hint)}
	}
	return nil, exit{statusUsage, fmt.Errorf("--cut: %d findings begin with %q: give more of the id", len(hits), id)}
}
