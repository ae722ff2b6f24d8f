package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/io/ifc"
	"voidline/io/model"
	"voidline/reports/reference"
	"voidline/reports/text"
	"voidline/reports/words"
	"voidline/void"
)

func importCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "import",
		Usage:     "make tables of building models (IFC)",
		ArgsUsage: "FILE...",
		Description: "Reads models of one building (IFC2x3 and IFC4 in STEP form, .ifc or .ifczip), one file or one for each trade, and\n" +
			"writes their elements as tables into a new folder that people can read and edit. What an element becomes is said\n" +
			"by mapping.csv of the folder that --mapping names, then by the built-in table (voidline tables classes); what no\n" +
			"line fits is listed. Nothing is left out without being told.\n\n" +
			"With --again it compares the next revision with what was imported (model.csv) and with the tables: what only the\n" +
			"model changed is changed, what people wrote stays, what is gone is taken out and listed. Where both changed place,\n" +
			"size or level, nothing is written until --take says whose change counts. The old tables are kept beside.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			&cli.StringFlag{Name: "o", Usage: "the `FOLDER` to make; it must not be there"},
			&cli.StringFlag{Name: "again", Usage: "the next revision of the models of the project in `FOLDER`: what only the model changed is changed there"},
			&cli.StringSliceFlag{Name: "take", Usage: "with --again, `WHOSE` change counts where a row changed in both: model or table; or, for one row, ID=model or ID=table (repeatable)"},
			&cli.StringFlag{Name: "mapping", Usage: "`FOLDER` whose mapping.csv says first what elements become"},
			&cli.Float64Flag{Name: "lattice", Usage: "cut storeys without rooms, ceilings and grid lines into squares of `MM`"},
			&cli.Float64Flag{Name: "turn", Usage: "the building stands turned by so many `DEGREES`; 0 leaves it as it stands; without it it is found"},
		},
		Action: func(c *cli.Context) error { return importModels(w, c) },
	}
}

func importModels(w *world, c *cli.Context) error {
	if c.NArg() == 0 {
		return exit{statusUsage, errors.New("import needs a model file: voidline import FILE.ifc -o FOLDER")}
	}
	if c.IsSet("again") {
		return importAgain(w, c)
	}
	if c.IsSet("take") {
		return exit{statusUsage, errors.New("--take goes with --again")}
	}
	dir := c.String("o")
	if dir == "" {
		return exit{statusUsage, errors.New("import needs a folder to make: -o FOLDER")}
	}
	if _, err := os.Lstat(dir); err == nil {
		return exit{statusUsage, fmt.Errorf("%s is there already: nothing was written; give another name", dir)}
	} else if !errors.Is(err, fs.ErrNotExist) {
		return exit{statusUsage, err}
	}
	opt, err := modelOptions(w, c)
	if err != nil {
		return err
	}
	im, err := model.Read(w.ctx, c.Args().Slice(), opt)
	w.line.end()
	if err != nil {
		return unread(w, err)
	}
	if err := w.write(w.ctx, func() error { return im.Write(dir) }); err != nil {
		return exit{statusUsage, err}
	}
	if err := tellImport(w, im); err != nil {
		return err
	}
	fmt.Fprintf(w.out, "Wrote %d tables to %s. Next: voidline check %s\n", len(im.Files)+1, words.Clean(dir), words.Clean(dir))
	if len(im.Problems) > 0 {
		return exit{statusInput, nil}
	}
	return nil
}

// importAgain takes the next revision of the models of a project.
func importAgain(w *world, c *cli.Context) error {
	dir := c.String("again")
	for _, not := range []string{"o", "mapping", "turn"} {
		if c.IsSet(not) {
			return exit{statusUsage, fmt.Errorf("--%s does not go with --again: the project has that already", not)}
		}
	}
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return exit{statusUsage, fmt.Errorf("%s is no project folder", dir)}
	}
	choices := model.Choices{Of: map[string]model.Whose{}}
	for _, t := range c.StringSlice("take") {
		id, whose, one := strings.Cut(t, "=")
		if !one {
			whose = id
		}
		switch v := model.Whose(whose); {
		case v != model.Model && v != model.Table:
			return exit{statusUsage, fmt.Errorf("--take %s: give model or table, or ID=model, ID=table", t)}
		case one:
			choices.Of[strings.ToLower(id)] = v
		default:
			choices.All = v
		}
	}
	opt, err := modelOptions(w, c)
	if err != nil {
		return err
	}
	r, err := model.Again(w.ctx, dir, c.Args().Slice(), opt, choices)
	w.line.end()
	if err != nil {
		return unread(w, err)
	}
	if err := tellImport(w, r.Import); err != nil {
		return err
	}
	for _, l := range []struct {
		head string
		rows []string
	}{{"Changed", r.Changed}, {"New", r.Added}, {"Gone", r.Gone}, {"Told", r.Told}} {
		listed(w, l.head, l.rows)
	}
	if len(r.Open) > 0 {
		for _, p := range r.Open {
			w.tell(p.String())
		}
		w.tell(fmt.Sprintf("voidline: %s to be chosen about: nothing was written", words.Count(len(r.Open), "row", "rows")))
		return exit{statusInput, nil}
	}
	var kept []string
	if err := w.write(w.ctx, func() error {
		var err error
		kept, err = r.Write()
		return err
	}); err != nil {
		return exit{statusUsage, err}
	}
	fmt.Fprintf(w.out, "%d changed, %d new, %d gone, %d as before. Kept beside: %s\n", len(r.Changed), len(r.Added), len(r.Gone), r.Same, words.Clean(strings.Join(append(kept, []string{"nothing"}[:max(0, 1-len(kept))]...), ", ")))
	if len(r.Import.Problems) > 0 {
		return exit{statusInput, nil}
	}
	return nil
}

// mostListed is how many lines of a list are printed.
const mostListed = 40

// listed prints a list of lines.
func listed(w *world, head string, rows []string) {
	if len(rows) == 0 {
		return
	}
	fmt.Fprintln(w.out, head)
	for i, t := range rows {
		if i == mostListed && len(rows) > mostListed+1 {
			fmt.Fprintf(w.out, "  and %d more\n", len(rows)-i)
			break
		}
		for k, l := range words.Wrap(words.Clean(t), w.width-4) {
			lead := "    "
			if k == 0 {
				lead = "  · "
			}
			fmt.Fprintln(w.out, lead+l)
		}
	}
	fmt.Fprintln(w.out)
}

// modelOptions reads the flags by which models are read.
func modelOptions(w *world, c *cli.Context) (model.Options, error) {
	opt := model.Options{Lattice: c.Float64("lattice")}
	if c.IsSet("lattice") && !(opt.Lattice >= 500 && opt.Lattice <= 1e5) {
		return opt, exit{statusUsage, fmt.Errorf("--lattice %g is out of range: give 500 to 100000 mm", opt.Lattice)}
	}
	if c.IsSet("turn") {
		turn := c.Float64("turn")
		if !(turn > -360 && turn < 360) {
			return opt, exit{statusUsage, fmt.Errorf("--turn %g is out of range: give degrees", turn)}
		}
		opt.Turn = &turn
	}
	if dir := c.String("mapping"); dir != "" {
		if info, err := os.Stat(dir); err != nil || !info.IsDir() {
			return opt, exit{statusUsage, fmt.Errorf("--mapping %s: give the folder in which mapping.csv stands", dir)}
		}
		opt.Mapping = os.DirFS(dir)
	}
	opt.Progress = w.watch().models
	return opt, nil
}

// unread says why models were not read.
func unread(w *world, err error) error {
	if w.ctx.Err() != nil {
		return w.ctx.Err()
	}
	var ps void.Problems
	var p void.Problem
	switch {
	case errors.As(err, &ps):
		for _, p := range ps {
			w.tell(p.String())
		}
		return exit{statusInput, errors.New("nothing was written")}
	case errors.As(err, &p):
		w.tell(p.String())
		return exit{statusInput, errors.New("nothing was written")}
	}
	return exit{statusUsage, err}
}

// tellImport prints what became of what.
func tellImport(w *world, im *model.Import) error {
	s := &im.Summary
	for _, h := range s.Head {
		for _, l := range words.Wrap(words.Clean(h), w.width) {
			fmt.Fprintln(w.out, l)
		}
	}
	table := func(name, about string, t words.Table) error {
		if len(t.Rows) == 0 {
			return nil
		}
		fmt.Fprintln(w.out)
		return text.Reference(w.out, reference.List{Name: name, About: about, Table: func() words.Table { return t }}, w.options())
	}
	classes := words.Table{Columns: []words.Column{{Head: "Class"}, {Head: "Elements", Right: true}, {Head: "What became of them"}}}
	for _, c := range append(slices.Clone(s.Classes), s.All) {
		classes.Rows = append(classes.Rows, []string{words.Clean(c.Class), fmt.Sprint(c.Count), words.Clean(strings.Join(c.Became, "; "))})
	}
	lines := words.Table{Columns: []words.Column{{Head: "Elements"}, {Head: "Become"}, {Head: "Took", Right: true}, {Head: "By"}}}
	for _, l := range s.Mapped {
		lines.Rows = append(lines.Rows, []string{words.Clean(l.Which), words.Clean(l.Becomes), fmt.Sprint(l.Took), l.From})
	}
	open := words.Table{Columns: []words.Column{{Head: "Class"}, {Head: "Type"}, {Head: "Name"}, {Head: "Elements", Right: true}}}
	for _, o := range s.Open {
		open.Rows = append(open.Rows, []string{words.Clean(o.Class), words.Clean(o.Predefined), words.Clean(o.Name), fmt.Sprint(o.Count)})
	}
	for _, t := range []struct {
		name, about string
		t           words.Table
	}{
		{"Elements", "by class, and what became of them", classes},
		{"Mapping", "what each line of it took", lines},
		{"Not mapped", "elements that no line of the mapping fits, for a person to say in mapping.csv what they become", open},
	} {
		if err := table(t.name, t.about, t.t); err != nil {
			return err
		}
	}
	fmt.Fprintln(w.out)
	listed(w, "Told", s.Told)
	for _, p := range im.Problems {
		w.tell(p.String())
	}
	if n := void.CountProblems(im.Problems); n > 0 {
		w.tell(fmt.Sprintf("voidline: %s of the models could not be read; the rest was", words.Count(n, "part", "parts")))
	}
	return nil
}

// modelLists are the lists of voidline tables that models are read by.
func modelLists() []reference.List {
	return []reference.List{
		{Name: "importing", About: "the lengths that decide how building models become tables; mm", Table: func() words.Table { return reference.Limits(append(ifc.Limits(), model.Limits()...)) }},
		{Name: "modelfiles", About: "how much of a building model's file is read", Table: func() words.Table { return reference.Bounds(ifc.Bounds()) }},
	}
}
