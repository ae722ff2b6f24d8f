package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/png"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"time"

	"github.com/golang/geo/r3"
	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/clash/support"
	"voidline/clash/tolerance"
	"voidline/io/bcf"
	file "voidline/io/register"
	drawings "voidline/io/sources"
	"voidline/io/table"
	"voidline/io/whole"
	"voidline/reports/comparison"
	"voidline/reports/draw"
	sheets "voidline/reports/draw/look"
	mark "voidline/reports/markdown"
	"voidline/reports/meeting"
	"voidline/reports/message"
	"voidline/reports/page"
	"voidline/reports/paper"
	"voidline/reports/plan"
	"voidline/reports/record"
	"voidline/reports/section"
	"voidline/reports/sheet"
	"voidline/reports/text"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/vocabulary"
)

func reportCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "report",
		Usage:     "write the meeting's report: a web page, a PDF, the findings as CSV and JSON",
		ArgsUsage: "DIR",
		Description: "Checks the project and writes report.html, report.pdf, findings.csv and findings.json to the folder given\n" +
			"with -o, all of them or none. The report says what changed since last time: by the project's register.csv\n" +
			"where there is one, and by the answer given with --since. --register brings the register up to date, too.\n" +
			"Which drawing each table was taken from is read from sources.csv (file, drawing, revision, date, by).\n\n" +
			"--tolerance rss (or worst) also lists what may not fit once built, and writes may-not-fit.csv; voidline check --help\n" +
			"says how it adds up. It is no finding.\n\n" +
			"Page one says what must be decided today, by whom, and by how much it is overdue; --summary writes that page alone, with\n" +
			"--format to the terminal or to the file given with -o. The PDF is the edition to be printed, of at most 40 pages, and says\n" +
			"what it leaves out; --all puts everything into it.\n\n" +
			"With --trade it writes a message instead: only what that trade must do, in order of place.\n\n" +
			"Exit status: 0 nothing found, 1 findings, 2 the tables have problems (nothing is written then, unless\n" +
			"--partial is given), 3 wrong usage or anything else.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "o", Usage: "write to the folder `OUT` (with --trade: to that file)"},
			&cli.StringFlag{Name: "since", Usage: "compare with the result `FILE` of last time: its findings.json"},
			&cli.BoolFlag{Name: "register", Usage: "bring register.csv up to date"},
			dateFlag(),
			supportsFlag(),
			toleranceFlag(), deflectionFlag(),
			&cli.StringFlag{Name: "bcf", Usage: "write findings.bcf, too, in this `VERSION`: 3.0 or 2.1"},
			&cli.BoolFlag{Name: "summary", Usage: "write page one alone: summary.html and summary.pdf; with --format as text or markdown"},
			&cli.BoolFlag{Name: "all", Usage: "put everything into the PDF, not only the edition to be printed"},
			&cli.StringFlag{Name: "trade", Usage: "write a message to trade `T` instead"},
			messageForms.flag("message"),
			&cli.BoolFlag{Name: "firm", Usage: "leave out rules that rest on common practice only"},
			&cli.BoolFlag{Name: "partial", Usage: "report what can be read although rows have errors"},
		},
		Action: func(c *cli.Context) error { return report(w, c) },
	}
}

// messageForms says of each form whether it is Markdown.
var messageForms = forms[bool]{{"text", false}, {"markdown", true}}

// reportTouch is the touch tolerance of a report, mm: the default of check.
const reportTouch = 1

// report checks a project and writes what is asked: a message to one trade, page one as text, or the folder of a report.
func report(w *world, c *cli.Context) error {
	k := &reporting{w: w, c: c, opt: clash.Options{Touch: reportTouch, Firm: c.Bool("firm"), Excused: true, Proved: true, Surveyed: true}}
	if err := k.asked(); err != nil {
		return err
	}
	if err := k.check(); err != nil {
		return err
	}
	if err := k.againstRegister(); err != nil {
		return err
	}
	if err := k.againstLast(); err != nil {
		return err
	}
	switch {
	case k.trade != "":
		return k.text(func(b *bytes.Buffer) error {
			return message.Write(b, meeting.Make(k.in), message.Options{
				Trade: k.trade, Markdown: k.markdown, Result: k.res, TradeOf: tradeOf(k.p), Tables: tablesOf(k.p, k.trade),
			})
		})
	case k.oneText:
		return k.text(func(b *bytes.Buffer) error {
			if k.markdown {
				return mark.Answer(b, meeting.Make(k.in).Summary())
			}
			o := w.options()
			o.Color = o.Color && k.out == ""
			return text.Answer(b, meeting.Make(k.in).Summary(), o)
		})
	}
	return k.folder()
}

// reporting is a report that is being written.
type reporting struct {
	w   *world
	c   *cli.Context
	opt clash.Options

	// What is asked for.
	dir, out string
	date     register.Date
	trade    string // of a message; "" for a report
	summary  bool   // page one alone
	oneText  bool   // what is written is one text, to a file or the terminal
	markdown bool
	version  bcf.Version // "" for no exchange file

	// What is known once it is checked.
	p       *void.Project
	ch      *clash.Check
	res     *finding.Result
	numbers map[string]int
	in      meeting.Input
	reg     *file.File
}

// asked reads the flags. What stands in the way of the output is told before the work, not after it.
func (k *reporting) asked() (err error) {
	c := k.c
	if k.dir, err = folder(c); err != nil {
		return err
	}
	if k.date, err = dateOf(c); err != nil {
		return err
	}
	if c.IsSet("trade") {
		k.trade = strings.ToLower(strings.TrimSpace(c.String("trade")))
		if e, ok := vocabulary.TradeWord(k.trade); ok {
			k.trade = e.Word
		}
	}
	if k.markdown, err = messageForms.chosen(c); err != nil {
		return err
	}
	k.out, k.version, k.summary = c.String("o"), bcf.Version(c.String("bcf")), c.Bool("summary")
	k.oneText = k.trade != "" || k.summary && c.IsSet("format")
	if err := k.contradiction(); err != nil {
		return exit{statusUsage, err}
	}
	if k.oneText {
		err = mayWrite(k.out, false, k.dir)
	} else {
		err = mayHold(k.out)
	}
	if err != nil {
		return err
	}
	if err := supported(c, &k.opt); err != nil {
		return err
	}
	return tolerated(c, &k.opt)
}

// contradiction says which flags do not go together; nil where all do.
func (k *reporting) contradiction() error {
	format, version := k.c.IsSet("format"), k.version
	switch {
	case !k.oneText && format:
		return errors.New("--format goes with --trade or --summary: without them a report is a web page, a PDF, CSV and JSON")
	case k.trade != "" && k.summary:
		return errors.New("--summary does not go with --trade: a message is one trade's")
	case k.summary && version != "", k.summary && k.c.Bool("all"):
		return errors.New("--summary is page one alone: --all and --bcf do not go with it")
	case k.trade != "" && version != "":
		return errors.New("--bcf does not go with --trade: a message is one text")
	case version != "" && version != bcf.V30 && version != bcf.V21:
		return fmt.Errorf("--bcf %s: 3.0 or 2.1", version)
	case !k.oneText && (k.out == "" || k.out == "-"):
		return errors.New("report needs an output folder: -o OUT")
	case !k.oneText && sameFile(k.dir, k.out):
		return fmt.Errorf("-o %s: that is the project's own folder; give another, such as %s", k.out, filepath.Join(k.dir, "report"))
	}
	return nil
}

// mayHold says why a folder cannot be written; nil where nothing is in the way.
func mayHold(out string) error {
	switch info, err := os.Stat(out); {
	case err == nil && !info.IsDir():
		return exit{statusUsage, fmt.Errorf("-o %s: it is a file, and a report needs a folder", out)}
	case errors.Is(err, fs.ErrNotExist):
		if _, err := os.Stat(filepath.Dir(filepath.Clean(out))); err != nil {
			return exit{statusUsage, fmt.Errorf("-o %s: there is no folder %s to put it in", out, filepath.Dir(filepath.Clean(out)))}
		}
	}
	return nil
}

// check opens the project, asks it, and gathers what a report tells of it.
func (k *reporting) check() (err error) {
	w, c := k.w, k.c
	if k.p, k.ch, err = open(w, c, k.dir, k.opt, c.Bool("partial")); err != nil {
		return err
	}
	p := k.p
	from, err := drawings.Read(c.Context, k.dir, p.Files, drawings.Options{})
	if err != nil {
		return err
	}
	if k.trade != "" {
		if err := known(p, clash.Options{Trades: []string{k.trade}}); err != nil {
			return err
		}
	}
	if k.res, err = k.ch.Findings(c.Context); err != nil {
		return err
	}
	if k.numbers, err = numbersOf(c.Context, p, k.opt, k.res); err != nil {
		return err
	}
	k.in = meeting.Input{Result: k.res, Numbers: k.numbers, Rules: k.ch.Rules(), Date: k.date, SourcesNamed: from.Name != ""}
	for i := range p.Storeys {
		k.in.Order = append(k.in.Order, p.Storeys[i].Name)
	}
	for _, s := range from.Sources {
		k.in.Sources = append(k.in.Sources, meeting.Source{File: s.File, Drawing: s.Drawing, Revision: s.Revision, Date: s.Date, By: s.By})
	}
	for _, t := range from.Told {
		k.in.Told = append(k.in.Told, t.String())
	}
	return nil
}

// againstRegister holds what was found against the register, where there is one or one is asked for.
func (k *reporting) againstRegister() (err error) {
	asked := k.c.Bool("register")
	if k.reg, err = openRegister(k.w, k.dir); err != nil {
		return err
	}
	without := heldUp(k.res)
	switch {
	case without != nil && asked:
		return without
	case without != nil && k.reg.There():
		k.in.Told = append(k.in.Told, "supports are left out of this check, so it is not held against register.csv")
	case k.reg.There() || asked:
		k.in.Register, err = register.Update(k.reg.Rows(), k.res, register.Options{Date: k.date, Touch: k.opt.Resting(), Zone: standing(k.p)})
		switch {
		case errors.Is(err, register.ErrNarrowed) && !asked:
			k.in.Register = nil
			k.in.Told = append(k.in.Told, "rules that rest on practice are left out of this check, so it is not held against register.csv")
		case err != nil:
			return exit{statusUsage, err}
		}
	}
	return nil
}

// againstLast compares with the result of last time, where one is named.
func (k *reporting) againstLast() error {
	if !k.c.IsSet("since") {
		return nil
	}
	last, err := sideOf(k.w, k.c, k.c.String("since"), k.opt)
	if err != nil {
		return err
	}
	if err := alike(last.res, k.res); err != nil {
		return err
	}
	how := register.CompareOptions{Touch: k.opt.Resting(), Zone: standing(k.p)}
	if k.in.Since, err = register.Compare(last.res, k.res, how); err != nil {
		return exit{statusUsage, err}
	}
	for i := range k.in.Since.Changes {
		if ch := &k.in.Since.Changes[i]; ch.Matched && k.in.Register == nil {
			k.in.Told = append(k.in.Told, fmt.Sprintf("%s (%s) is treated as the earlier %s (%s): see whether it is the same", words.Between(ch.New), ch.New.ID, words.Between(ch.Old), ch.Old.ID))
		}
	}
	return nil
}

// text writes what is one text, and the register before it where that is asked for.
func (k *reporting) text(write func(b *bytes.Buffer) error) error {
	var b bytes.Buffer
	if err := write(&b); err != nil {
		return err
	}
	if k.c.Bool("register") {
		if err := keepRegister(k.w, k.reg.Write, k.in.Register); err != nil {
			return err
		}
	}
	if err := put(k.w, k.out, b.Bytes()); err != nil {
		return err
	}
	return reported(k.p, k.res)
}

// folder writes the files of a report, or of its page one.
func (k *reporting) folder() error {
	a := album{p: k.p, ch: k.ch, held: k.ch.SupportPlan(), res: k.res, numbers: k.numbers}
	names := [2]string{"summary.html", "summary.pdf"}
	if !k.summary {
		names = [2]string{"report.html", "report.pdf"}
		k.in.Closings = register.Closings(k.p, k.res, k.in.Register)
		k.in.Pictures, k.in.Plan, k.in.Section = a.bay, a.storey, a.low
	}
	rep := meeting.Make(k.in)
	if !k.summary {
		rep.Beside = []string{"report.pdf", "findings.csv", "findings.json"}
		if k.opt.Tolerance != tolerance.AsDrawn {
			rep.Beside = append(rep.Beside, "may-not-fit.csv")
		}
		if k.version != "" {
			rep.Beside = append(rep.Beside, "findings.bcf")
		}
	}
	var files []whole.File
	var err error
	add := func(name string, write func(b *bytes.Buffer) error) {
		if err == nil {
			var b bytes.Buffer
			if err = write(&b); err == nil {
				files = append(files, whole.File{Name: name, Data: b.Bytes()})
			}
		}
		if e := k.c.Context.Err(); err == nil {
			err = e
		}
	}
	add(names[0], func(b *bytes.Buffer) error { return page.Write(b, rep, page.Options{Summary: k.summary}) })
	if err == nil {
		html := files[0].Data
		files[0].Linked = func(folder string) []byte { return page.Link(html, rep.Beside, folder) }
	}
	day, _ := time.Parse("2006-01-02", string(k.date))
	add(names[1], func(b *bytes.Buffer) error {
		return paper.Write(b, rep, paper.Options{Date: day, Summary: k.summary, All: k.c.Bool("all")})
	})
	if !k.summary {
		k.beside(add, &a)
	}
	if err != nil {
		return err
	}
	return k.end(files)
}

// beside adds the tables and the exchange file of a report.
func (k *reporting) beside(add func(name string, write func(b *bytes.Buffer) error), a *album) {
	o := sheet.Options{BOM: true, Separator: table.Separator(k.dir)}
	numbered := o
	numbered.Numbers = k.numbers
	add("findings.csv", func(b *bytes.Buffer) error { return sheet.Check(b, k.res, numbered) })
	if k.opt.Tolerance != tolerance.AsDrawn {
		add("may-not-fit.csv", func(b *bytes.Buffer) error { return sheet.Doubts(b, k.res, o) })
	}
	add("findings.json", func(b *bytes.Buffer) error { return record.Check(b, k.res) })
	if k.version == "" {
		return
	}
	add("findings.bcf", func(b *bytes.Buffer) error {
		pictures := a.snapshots(k.c.Context)
		if len(k.res.Findings) > mostSnapshots {
			k.w.tell(fmt.Sprintf("findings.bcf: the worst %d of %d findings have a picture", mostSnapshots, len(k.res.Findings)))
		}
		printProblems(k.w, table.Placed(k.dir, bcf.StrangeGUIDs(k.p)), "that are no GUID")
		return bcf.Write(b, exchange(k.p, k.res, k.in.Register, k.in.Since, k.date, func(f *finding.Finding) []byte { return pictures[f.ID] }), k.version)
	})
}

// end writes the files, all of them or none, and the register with them where that is asked for.
func (k *reporting) end(files []whole.File) error {
	w := k.w
	if err := w.write(w.ctx, func() error {
		set, err := whole.Stage(k.out, files)
		if err != nil {
			return err
		}
		if k.c.Bool("register") {
			if err := keepRegister(w, k.reg.Write, k.in.Register); err != nil {
				set.Discard()
				return err
			}
		}
		return set.Commit()
	}); err != nil {
		return err
	}
	var names []string
	for _, f := range files {
		names = append(names, f.Name)
	}
	fmt.Fprintf(w.out, "Wrote %s to %s.\n", strings.Join(names, ", "), words.Clean(k.out))
	return reported(k.p, k.res)
}

// reported is how a report ends: as a check does.
func reported(p *void.Project, res *finding.Result) error {
	if len(res.Findings)+res.JointCount > 0 {
		return exit{status: statusFindings}
	}
	if len(p.Problems) > 0 {
		return exit{status: statusInput}
	}
	return nil
}

// keepRegister writes the register and says what was done to it.
func keepRegister(w *world, write func([]register.Row) (bool, error), o *register.Outcome) error {
	if _, err := write(o.Rows); err != nil {
		return err
	}
	for _, l := range comparison.Register(o, mostToldOfRegister) {
		w.tell(l)
	}
	return nil
}

// tradeOf says of a zone or a run what trade it is of.
func tradeOf(p *void.Project) func(string) string {
	runs := map[string]string{}
	for i := range p.Zones() {
		z := p.Zone(i)
		if run := z.Run(); run != "" && runs[run] == "" {
			runs[run] = p.Character(z.Char).Trade
		}
	}
	return func(name string) string {
		if t := runs[name]; t != "" {
			return t
		}
		if i, ok := p.ZoneByID(name); ok {
			return p.Character(p.Zone(i).Char).Trade
		}
		return ""
	}
}

// tablesOf returns the tables that hold zones of a trade.
func tablesOf(p *void.Project, trade string) []string {
	has := map[int32]bool{}
	for i := range p.Zones() {
		z := p.Zone(i)
		if p.Character(z.Char).Trade == trade {
			has[z.At().File] = true
		}
	}
	var names []string
	for i, n := range p.Files {
		if has[int32(i)] {
			names = append(names, n)
		}
	}
	return names
}

// The sheets of the pictures in a report, mm. A plan stands among the words of a page of A4 upright; a section has
// a page of A4 lying to itself, less its margins and header, so that its scale is true on paper.
var (
	planSheet    = sheets.Sheet{Name: "A4", W: 184, H: 106, Text: 2.4, Margin: 1}
	sectionSheet = sheets.Sheet{Name: "A4", W: 269, H: 180, Text: 2.5, Margin: 1}
)

// A plan with few problems takes a lower sheet where it is drawn as large on it: two such bays stand on a page.
const (
	lowPlan     = 84
	fewProblems = 4
)

// album draws the pictures of a report.
type album struct {
	p       *void.Project
	ch      *clash.Check
	held    *support.Plan
	res     *finding.Result
	numbers map[string]int
}

// A bay has so many sections at most, through findings that lie so far apart, mm, that one section does not show them.
const (
	mostCuts = 2
	cutApart = 1500
)

// planInput is what a plan shows.
func (a *album) planInput(storey, bay int, fs []finding.Finding) plan.Input {
	return plan.Input{Project: a.p, Storey: storey, Bay: bay, Findings: fs, Numbers: a.numbers, Supports: a.held.FromAbove(finding.SupportNos(fs)), Holes: a.res.BuildersWork}
}

// bay draws a bay's plan and the sections through its worst finding and those that lie apart from it, each for paper and for a phone.
func (a *album) bay(fs []*finding.Finding) []meeting.Picture {
	p := a.p
	bay := -1
	for i := range p.Bays {
		if f := fs[0]; f.Bay != nil && p.Bays[i].Label == *f.Bay && p.Storeys[p.Bays[i].Storey].Name == f.Storey {
			bay = i
		}
	}
	if bay < 0 {
		return nil // outside every bay there is no plan to draw
	}
	all := make([]finding.Finding, len(fs))
	for i, f := range fs {
		all[i] = *f
	}
	in := a.planInput(p.Bays[bay].Storey, bay, all)
	best := plan.Draw(in, plan.Options{Sheet: planSheet})
	if finding.CountProblems(all) <= fewProblems { // else the list beside the plan wants its height
		low := planSheet
		low.H = lowPlan
		if d := plan.Draw(in, plan.Options{Sheet: low}); d.Scale <= best.Scale {
			best = d // as large on less paper
		}
	}
	out := []meeting.Picture{{Paper: best, Phone: func() *draw.Drawing { return plan.Draw(in, plan.Options{Sheet: sheets.Phone()}) }}}
	var cuts []body.Plane
	for _, f := range fs { // the worst first; of some no section can be cut
		at := r3.Vector{X: f.At.X, Y: f.At.Y}
		if slices.ContainsFunc(cuts, func(c body.Plane) bool { return math.Abs(c.Beyond(at)) <= cutApart }) {
			continue
		}
		if in := a.through(f); in != nil {
			cuts = append(cuts, in.Cut.Plane)
			out = append(out, meeting.Picture{Of: f.ID, Paper: sectionOnPaper(*in), Phone: onPhone(in)})
		}
		if len(cuts) == mostCuts {
			break
		}
	}
	return out
}

// onPhone draws a section for a narrow screen, when it is wanted.
func onPhone(in *section.Input) func() *draw.Drawing {
	return func() *draw.Drawing { return section.Draw(*in, section.Options{Sheet: sheets.Phone()}) }
}

// storey draws a storey with its findings for a page lying, nil where the project has no such storey.
func (a *album) storey(storey string) *draw.Drawing {
	i := slices.IndexFunc(a.p.Storeys, func(s void.Storey) bool { return s.Name == storey })
	if i < 0 || !slices.ContainsFunc(a.p.Bays, func(b void.Bay) bool { return b.Storey == i }) {
		return nil
	}
	return plan.Draw(a.planInput(i, -1, a.res.Findings), plan.Options{Sheet: sectionSheet})
}

// lowSheet is that of a section of which two stand on a page of A4 upright, mm.
var lowSheet = sheets.Sheet{Name: "A4", W: 184, H: 118, Text: 2.2, Margin: 1}

// low draws the section through a finding low enough that two stand on a page, without a drawing where none can be cut; one that would be small so and
// much larger on a page of its own gets that.
func (a *album) low(f *finding.Finding) meeting.Picture {
	in := a.through(f)
	if in == nil {
		return meeting.Picture{}
	}
	d := section.Draw(*in, section.Options{Sheet: lowSheet})
	if d.Scale > smallSection {
		if other := sectionOnPaper(*in); 2*other.Scale <= d.Scale {
			d = other
		}
	}
	return meeting.Picture{Of: f.ID, Paper: d, Phone: onPhone(in)}
}

// smallSection is the scale beyond which a section is worth a page of its own.
const smallSection = 50

// through cuts the section through a finding, nil where there is none to cut.
func (a *album) through(f *finding.Finding) *section.Input {
	bay, plane, ok := a.ch.PlaneThrough(f)
	if !ok {
		return nil
	}
	v, ok := a.ch.View(bay, plane, f, a.held)
	if !ok {
		return nil
	}
	return &section.Input{
		Project: a.p, View: v, Finding: f, Number: strconv.Itoa(a.numbers[f.Problem()]), Others: othersIn(a.res.Findings, f, plane, a.numbers), Holes: a.res.BuildersWork,
		Why: "through finding " + f.ID,
	}
}

// othersIn returns what else was found in a plane, in the bay of a finding.
func othersIn(fs []finding.Finding, f *finding.Finding, plane body.Plane, numbers map[string]int) []section.Marked {
	var out []section.Marked
	for i := range fs {
		if g := &fs[i]; g.ID != f.ID && g.Bay != nil && *g.Bay == *f.Bay && g.Storey == f.Storey && clash.InPlane(g, plane) {
			out = append(out, section.Marked{Finding: g, Number: strconv.Itoa(numbers[g.Problem()])})
		}
	}
	return out
}

// sectionOnPaper draws a section for a page of its own.
func sectionOnPaper(in section.Input) *draw.Drawing {
	return section.Draw(in, section.Options{Sheet: sectionSheet})
}

// mostSnapshots is how many findings of an exchange file have a picture: a hundred take some three seconds and three
// megabytes.
const mostSnapshots = 300

// snapshots draws the pictures of the findings for an exchange file, of the worst where there are too many.
func (a *album) snapshots(ctx context.Context) map[string][]byte {
	fs := a.res.Findings
	worst := make([]*finding.Finding, len(fs))
	for i := range fs {
		worst[i] = &fs[i]
	}
	slices.SortStableFunc(worst, finding.Worse)
	worst = worst[:min(len(worst), mostSnapshots)]
	pictures := make([][]byte, len(worst))
	next := make(chan int)
	var all sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		all.Go(func() {
			for i := range next {
				if ctx.Err() == nil {
					pictures[i] = snapshot(a.through(worst[i]))
				}
			}
		})
	}
	for i := range worst {
		next <- i
	}
	close(next)
	all.Wait()
	out := map[string][]byte{}
	for i, f := range worst {
		out[f.ID] = pictures[i]
	}
	return out
}

// snapshot writes a section as a small PNG, nil for none.
func snapshot(in *section.Input) []byte {
	if in == nil {
		return nil
	}
	m, err := draw.Raster(sectionOnPaper(*in), draw.PNGOptions{Dots: 4})
	if err != nil {
		return nil
	}
	var b bytes.Buffer
	if err := (&png.Encoder{CompressionLevel: png.DefaultCompression}).Encode(&b, draw.Few(m)); err != nil {
		return nil
	}
	return b.Bytes()
}
