package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/tolerance"
	"voidline/io/table"
	"voidline/io/whole"
	"voidline/reports/markdown"
	"voidline/reports/record"
	"voidline/reports/sheet"
	"voidline/reports/text"
	"voidline/reports/words"
	"voidline/void"
	"voidline/void/vocabulary"
)

func checkCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "check",
		Usage:     "check a project folder: overlaps, tight gaps, access",
		ArgsUsage: "DIR",
		Description: "Reads the tables in DIR, checks every zone against every other, against the structure, the ceiling and\n" +
			"the soffit of its bays, and prints what was found, worst first.\n\n" +
			aboutLines + aboutObjections + aboutTolerance +
			"Exit status: 0 nothing found, 1 findings, 2 the tables have problems (nothing is checked then, unless\n" +
			"--partial is given), 3 wrong usage or anything else.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.StringSliceFlag{Name: "bay", Usage: "only findings in bay `B`, or \"B, STOREY\" (can be repeated)"},
			&cli.StringSliceFlag{Name: "trade", Usage: "only findings of trade `T` (can be repeated)"},
			&cli.StringSliceFlag{Name: "only", Usage: "only findings of these `KINDS`: overlap,tight,access"},
			&cli.BoolFlag{Name: "firm", Usage: "leave out rules that rest on common practice only"},
			&cli.BoolFlag{Name: "partial", Usage: "check what can be read although rows have errors"},
			checkForms.flag("result"),
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
			&cli.StringFlag{Name: "touch", Value: "1", Usage: "depth in `MM` up to which things may rest on each other"},
			&cli.StringFlag{Name: "reach", Value: "600", Usage: "how far in `MM` an arm reaches from the middle of a hatch"},
			&cli.StringFlag{Name: "reach-in", Value: "300", Usage: "how much further in `MM` with head and shoulders in a hatch of 450 or more"},
			supportsFlag(),
			toleranceFlag(), deflectionFlag(),
			&cli.BoolFlag{Name: "register", Usage: "bring the project's register.csv up to date with the answer"},
			dateFlag(),
			&cli.BoolFlag{Name: "objections", Usage: "a table of every bay before its ceiling is closed, with columns to sign"},
			&cli.StringFlag{Name: "most", Value: "300", Usage: "print at most `N` findings as text (0: all)"},
		},
		Action: func(c *cli.Context) error { return check(w, c) },
	}
}

// folder returns the one folder that a command is given.
func folder(c *cli.Context) (string, error) {
	switch args := c.Args().Slice(); {
	case len(args) == 1 && args[0] != "":
		return args[0], nil
	case len(args) <= 1:
		return "", exit{statusUsage, fmt.Errorf("%s needs a project folder: voidline %s DIR", c.Command.Name, c.Command.Name)}
	default:
		return "", exit{statusUsage, fmt.Errorf("%s takes one folder, not %d: %s", c.Command.Name, len(args), strings.Join(args, " "))}
	}
}

// touchOf returns what --touch says, mm.
func touchOf(c *cli.Context) (float64, error) {
	touch, err := strconv.ParseFloat(c.String("touch"), 64)
	if err != nil || !(touch >= 0 && touch <= 100) {
		return 0, exit{statusUsage, fmt.Errorf("--touch %s is out of range: give 0 to 100 mm", c.String("touch"))}
	}
	return clash.Length(touch), nil
}

// mostOf returns how many findings --most lets be printed.
func mostOf(c *cli.Context) (int, error) {
	most, err := strconv.Atoi(c.String("most"))
	if err != nil || most < 0 {
		return 0, exit{statusUsage, fmt.Errorf("--most %s: a whole number, 0 or more", c.String("most"))}
	}
	if most == 0 {
		most = math.MaxInt
	}
	return most, nil
}

// mostPrinted is how many problems or warnings are printed; of the rest the number is told.
const mostPrinted = 50

// printProblems prints problems, at most fifty of them.
func printProblems(w *world, ps []void.Problem, what string) {
	for i, p := range ps {
		if i == mostPrinted {
			w.tell(fmt.Sprintf("and %d more %s", void.CountProblems(ps[mostPrinted:]), what))
			return
		}
		w.tell(p.String())
	}
}

// problematic returns why a file was not read. Where that is problems in it, they are printed, and the error has status 2 and says what
// comes of them.
func problematic(w *world, err error, so string) error {
	var bad void.Problems
	if !errors.As(err, &bad) {
		return err
	}
	printProblems(w, bad, "problems")
	return exit{statusInput, errors.New(so)}
}

// open reads a project for one question; with problems in its tables it prints them and, unless partial, ends with
// status 2.
func open(w *world, c *cli.Context, dir string, opt clash.Options, partial bool) (*void.Project, *clash.Check, error) {
	opt.Once = true
	return openKept(w, c, dir, opt, partial)
}

// openKept is open for a check that is asked again.
func openKept(w *world, c *cli.Context, dir string, opt clash.Options, partial bool) (*void.Project, *clash.Check, error) {
	line := w.watch()
	p, err := table.Open(c.Context, dir, table.Options{Progress: line.read})
	var bad void.Problems
	if err != nil && !errors.As(err, &bad) {
		return nil, nil, err
	}
	opt.Progress = line.check
	ch := clash.Open(p, opt)
	p.Problems, p.Warnings = table.Placed(dir, p.Problems), table.Placed(dir, p.Warnings)
	if len(p.Problems) == 0 {
		return p, ch, nil
	}
	printProblems(w, p.Problems, "problems")
	if partial {
		return p, ch, nil
	}
	n := void.CountProblems(p.Problems)
	word := "errors"
	if n == 1 {
		word = "error"
	}
	return nil, nil, exit{statusInput, fmt.Errorf("%d %s in the tables of %s: nothing was checked (--partial checks the rows that can be read)", n, word, dir)}
}

func check(w *world, c *cli.Context) error {
	dir, err := folder(c)
	if err != nil {
		return err
	}
	opt := clash.Options{Firm: c.Bool("firm"), Bays: c.StringSlice("bay"), Proved: true, Surveyed: true}
	if opt.Touch, err = touchOf(c); err != nil {
		return err
	}
	if c.IsSet("reach-in") {
		if opt.ReachIn, err = strconv.ParseFloat(c.String("reach-in"), 64); err != nil || !(opt.ReachIn > 0 && opt.ReachIn <= 5000) {
			return exit{statusUsage, fmt.Errorf("--reach-in %q: more than 0, at most 5000 mm", c.String("reach-in"))}
		}
	}
	if c.IsSet("reach") {
		if opt.Reach, err = strconv.ParseFloat(c.String("reach"), 64); err != nil || !(opt.Reach > 0 && opt.Reach <= 5000) {
			return exit{statusUsage, fmt.Errorf("--reach %s is out of range: give more than 0, at most 5000 mm", c.String("reach"))}
		}
	}
	if err := supported(c, &opt); err != nil {
		return err
	}
	if err := tolerated(c, &opt); err != nil {
		return err
	}
	most, err := mostOf(c)
	if err != nil {
		return err
	}
	out := c.String("o")
	if err := mayWrite(out, false, dir); err != nil {
		return err
	}
	for _, k := range strings.Split(strings.Join(c.StringSlice("only"), ","), ",") {
		if k == "" {
			continue
		}
		kind := finding.Kind(strings.ToLower(strings.TrimSpace(k)))
		if kind != finding.Overlap && kind != finding.Tight && kind != finding.Access {
			return exit{statusUsage, fmt.Errorf("--only %q: overlap, tight or access", k)}
		}
		opt.Only = append(opt.Only, kind)
	}
	for _, t := range c.StringSlice("trade") {
		word := strings.ToLower(strings.TrimSpace(t))
		if e, ok := vocabulary.TradeWord(t); ok {
			word = e.Word
		}
		opt.Trades = append(opt.Trades, word)
	}
	form, err := checkForms.chosen(c)
	if c.Bool("objections") {
		if err := mayObject(&answering{c: c}, objectionForms.asked(c)); err != nil {
			return err
		}
		opt.Bays, opt.Proved = nil, false
	} else if err != nil {
		return err
	}
	opt.Excused = form.excused
	date, err := dateOf(c)
	if err != nil {
		return err
	}
	p, ch, err := open(w, c, dir, opt, c.Bool("partial"))
	if err != nil {
		return err
	}
	if err := known(p, opt); err != nil {
		return err
	}
	answer, err := ch.Answer(c.Context)
	if err != nil {
		return err
	}
	k := answering{w: w, c: c, dir: dir, p: p, opt: opt, most: most, answer: answer}
	if c.Bool("objections") {
		if k.res, err = answer.Result(c.Context); err != nil {
			return err
		}
		k.opt.Bays = c.StringSlice("bay")
		if err := known(p, k.opt); err != nil {
			return err
		}
		if err := objections(&k, objectionForms.asked(c), out, date); err != nil {
			return err
		}
		return answered(len(k.res.Findings)+k.res.JointCount, k.p)
	}
	if form.stream != nil && !c.Bool("register") {
		return k.stream(form, out)
	}
	if c.Bool("register") || form.whole {
		k.res, err = answer.Result(c.Context)
	} else {
		k.res, err = answer.Worst(c.Context, max(readMost, most))
	}
	if err != nil {
		return err
	}
	tellMissing(w, k.res)
	if form.doubtless {
		tellDoubtful(w, k.res)
	}
	var b bytes.Buffer
	if err := form.write(&b, &k); err != nil {
		return err
	}
	if c.Bool("register") {
		if _, err := updateRegister(w, dir, p, k.res, opt.Resting(), date); err != nil {
			return err
		}
	}
	if err := put(w, out, b.Bytes()); err != nil {
		return err
	}
	return answered(len(k.res.Findings)+k.res.JointCount, p)
}

// answering is a check that was asked, for what makes an answer of it.
type answering struct {
	w      *world
	c      *cli.Context
	dir    string
	p      *void.Project
	opt    clash.Options
	most   int // findings to be printed
	answer *clash.Answer
	res    *finding.Result // the answer in words, or its worst; nil where it is streamed
}

// checkForm is how an answer of a check is made.
type checkForm struct {
	write func(to io.Writer, k *answering) error
	// stream writes the answer as its findings are worded, so that a building of very many is never held whole; nil: they
	// are worded first.
	stream func(to io.Writer, k *answering) error
	// excused: it lists the pairs that are excused. whole: all findings are wanted in words, not only the worst.
	// doubtless: it has no room for what may not fit, which is told beside it.
	excused, whole, doubtless bool
}

var checkForms = forms[checkForm]{
	{"text", checkForm{write: func(to io.Writer, k *answering) error {
		o := k.w.options()
		o.Most, o.Color = k.most, o.Color && !k.c.IsSet("o")
		return text.Check(to, k.res, o)
	}}},
	{"lines", checkForm{whole: true, doubtless: true, write: func(to io.Writer, k *answering) error {
		numbers, err := numbersOf(k.c.Context, k.p, k.opt, k.res)
		if err != nil {
			return err
		}
		tellJoints(k.w, k.res)
		return text.Lines(to, k.res.Findings, numbers)
	}}},
	{"csv", checkForm{
		whole: true, doubtless: true,
		write: func(to io.Writer, k *answering) error {
			o, err := k.sheet(k.res)
			if err != nil {
				return err
			}
			return sheet.Check(to, k.res, o)
		},
		stream: func(to io.Writer, k *answering) error {
			o, err := k.sheet(k.answer.Head())
			if err != nil {
				return err
			}
			return sheet.Answer(k.c.Context, to, k.answer, o)
		},
	}},
	{"json", checkForm{
		whole: true, excused: true,
		write:  func(to io.Writer, k *answering) error { return record.Check(to, k.res) },
		stream: func(to io.Writer, k *answering) error { return record.Answer(k.c.Context, to, k.answer) },
	}},
	{"markdown", checkForm{write: func(to io.Writer, k *answering) error {
		return markdown.Check(to, k.res, markdown.Options{Most: k.most})
	}}},
}

// sheet is how a CSV is written for the people of the project. Of an answer that is not narrowed problems are numbered as they come.
func (k *answering) sheet(res *finding.Result) (o sheet.Options, err error) {
	o.Separator = table.Separator(k.dir)
	if res.Limits != nil {
		o.Numbers, err = numbersOf(k.c.Context, k.p, k.opt, res)
	}
	return o, err
}

// aboutLines is what the help says of --format lines.
const aboutLines = "--format lines gives one line a finding, never wrapped: the number of its problem, as plan and report number it, however\n" +
	"the result is narrowed; its id; kind and amount; the two; bay; place; level; what to move. Two blanks part them.\n\n"

// numbersOf numbers the problems of an answer as the whole answer numbers them, however it was narrowed.
func numbersOf(ctx context.Context, p *void.Project, opt clash.Options, res *finding.Result) (map[string]int, error) {
	if res.Limits == nil {
		return finding.Numbers(res.Findings), nil
	}
	opt.Bays, opt.Trades, opt.Only, opt.Firm = nil, nil, nil, false
	opt.Tolerance, opt.Once, opt.Surveyed, opt.Progress = tolerance.AsDrawn, true, false, nil
	all, err := clash.Open(p, opt).Findings(ctx)
	if err != nil {
		return nil, err
	}
	return finding.Numbers(all.Findings, res.Findings), nil
}

// tellJoints says what lines of findings leave out.
func tellJoints(w *world, res *finding.Result) {
	if n := res.JointCount; n > 0 {
		w.tell(fmt.Sprintf("voidline: %s to put right, not among these lines: --format text, markdown or json gives them", words.Count(n, "joint of a run", "joints of runs")))
	}
}

// readMost is how many findings are put into words for an answer that people read; of more only the worst are.
const readMost = 20000

// stream writes an answer as its findings are worded.
func (k *answering) stream(form checkForm, out string) error {
	head := k.answer.Head()
	tellMissing(k.w, head)
	if form.doubtless {
		tellDoubtful(k.w, head)
	}
	fill := func(to io.Writer) error { return form.stream(to, k) }
	if out == "" || out == "-" {
		if err := fill(k.w.out); err != nil {
			return err
		}
	} else if err := k.w.write(k.c.Context, func() error { return whole.Write(out, fill) }); err != nil {
		return err
	}
	return answered(k.answer.Len()+head.JointCount, k.p)
}

// tellMissing says how many rows are missing from an answer.
func tellMissing(w *world, res *finding.Result) {
	if res.RowsMissing > 0 {
		w.tell(fmt.Sprintf("voidline: %s missing from this answer", words.Count(res.RowsMissing, "row is", "rows are")))
	}
}

// tellDoubtful says what lines or a CSV of findings leave out.
func tellDoubtful(w *world, res *finding.Result) {
	if n := len(res.Doubtful); n > 0 {
		w.tell(fmt.Sprintf("voidline: %s may not fit once built; lines and a CSV of findings do not hold them: --format text, markdown or json does, and report writes may-not-fit.csv", words.Count(n, "pair", "pairs")))
	}
}

// answered returns the status of an answer of so many findings and joints to put right.
func answered(findings int, p *void.Project) error {
	if findings > 0 {
		return exit{status: statusFindings}
	}
	if len(p.Problems) > 0 {
		return exit{status: statusInput}
	}
	return nil
}

// known refuses a filter that names nothing in the project: an empty answer would pass for a clear one.
func known(p *void.Project, opt clash.Options) error {
	var bays, trades []string
	for i := range p.Bays {
		bays = append(bays, p.Bays[i].Name, p.Bays[i].Label)
	}
	for i := range p.Characters() {
		trades = append(trades, p.Character(int32(i)).Trade)
	}
	if len(p.Bays) > 0 {
		trades = append(trades, "ceilings", "structure")
	}
	for _, want := range []struct {
		flag  string
		names []string
		among []string
	}{{"--bay", opt.Bays, bays}, {"--trade", opt.Trades, trades}} {
		for _, n := range want.names {
			if want.flag == "--bay" && len(p.BaysNamed(n)) > 0 || slices.ContainsFunc(want.among, func(s string) bool { return strings.EqualFold(s, n) }) {
				continue
			}
			hint := ""
			if m, ok := vocabulary.Nearest(n, want.among); ok {
				hint = fmt.Sprintf(" (did you mean %q?)", m)
			}
			return exit{statusUsage, fmt.Errorf("%s %q: there is none in the project%s", want.flag, n, hint)}
		}
	}
	return nil
}

// put writes the answer to a file, never part-written, or to standard output.
func put(w *world, file string, data []byte) error {
	if file == "" || file == "-" {
		_, err := w.out.Write(data)
		return err
	}
	return w.write(w.ctx, func() error { return whole.WriteFile(file, data) })
}
