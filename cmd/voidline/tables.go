package main

import (
	"bytes"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/urfave/cli/v2"

	"voidline/io/table"
	"voidline/reports/reference"
	"voidline/reports/sheet"
	"voidline/reports/text"
	"voidline/reports/words"
	"voidline/void/vocabulary"
)

func tablesCommand(w *world) *cli.Command {
	return &cli.Command{
		Name:      "tables",
		Usage:     "print what a table takes, column by column, and the words and figures the program goes by",
		ArgsUsage: "[NAME]",
		Description: "Without a name it lists what there is. voidline tables bays says what bays.csv takes; voidline tables kinds\n" +
			"lists the kinds that are known. Where a table and a list have one name, hangers.csv is the table. Lengths are in\n" +
			"mm; a heading of lengths that ends in _m is in metres.",
		OnUsageError: usageError,
		Flags: []cli.Flag{
			tablesForms.flag("result"),
			&cli.StringFlag{Name: "o", Usage: "write the result to `FILE`, never part-written"},
		},
		Action: func(c *cli.Context) error { return printTables(w, c) },
	}
}

var tablesForms = forms[func(io.Writer, reference.List, text.Options) error]{
	{"text", text.Reference},
	{"csv", func(to io.Writer, l reference.List, _ text.Options) error {
		return sheet.Table(to, l.Table(), sheet.Options{})
	}},
}

func printTables(w *world, c *cli.Context) error {
	if c.NArg() > 1 {
		return exit{statusUsage, fmt.Errorf("tables takes one name, not %d: %s", c.NArg(), strings.Join(c.Args().Slice(), " "))}
	}
	lists := slices.Concat(takes(), reference.Lists(), modelLists())
	l := contents(lists)
	if name := c.Args().First(); name != "" {
		var ok bool
		if l, ok = listNamed(lists, name); !ok {
			hint := ""
			var names []string
			for _, l := range lists {
				names = append(names, strings.TrimSuffix(l.Name, ".csv"))
			}
			if n, ok := vocabulary.Nearest(name, names); ok {
				hint = fmt.Sprintf(" (did you mean %q?)", n)
			}
			return exit{statusUsage, fmt.Errorf("no table %q%s; voidline tables lists them", name, hint)}
		}
	}
	out := c.String("o")
	var b bytes.Buffer
	form, err := tablesForms.chosen(c)
	if err != nil {
		return err
	}
	o := w.options()
	o.Color = o.Color && !c.IsSet("o")
	if err := form(&b, l, o); err != nil {
		return err
	}
	return put(w, out, b.Bytes())
}

// listNamed finds a list by its name, or a table by its file name with or without .csv; case, blanks, hyphens and
// underscores do not count. A list goes before a table of its name.
func listNamed(lists []reference.List, name string) (reference.List, bool) {
	plain := func(s string) string {
		return strings.NewReplacer(" ", "", "-", "", "_", "").Replace(strings.ToLower(s))
	}
	for _, want := range []string{plain(name), plain(name) + ".csv"} {
		if i := slices.IndexFunc(lists, func(l reference.List) bool { return l.Name == want }); i >= 0 {
			return lists[i], true
		}
	}
	return reference.List{}, false
}

// contents lists the lists.
func contents(lists []reference.List) reference.List {
	return reference.List{
		Name:  "tables",
		About: "what each table of a project takes (names with .csv), and the words and figures that the program goes by",
		Note:  "voidline tables NAME prints one of them",
		Table: func() words.Table {
			t := words.Table{Columns: []words.Column{{Head: "Name"}, {Head: "What it holds"}}}
			for _, l := range lists {
				t.Rows = append(t.Rows, []string{l.Name, l.About})
			}
			return t
		},
	}
}

// takes says what the tables of a project take.
func takes() []reference.List {
	var out []reference.List
	for _, a := range table.Abouts() {
		out = append(out, reference.List{Name: a.Name, About: a.What, Note: "Needed: " + strings.Join(a.Needs, ", "), Table: func() words.Table { return columns(a) }})
	}
	return out
}

func columns(a table.About) words.Table {
	t := words.Table{Columns: []words.Column{{Head: "Column"}, {Head: "Needed"}, {Head: "Unit"}, {Head: "Example"}, {Head: "What it holds"}}}
	for _, c := range a.Columns {
		unit := ""
		if c.Length {
			unit = "mm"
		}
		t.Rows = append(t.Rows, []string{c.Name, c.Needed, unit, c.Like, c.What})
	}
	return t
}
