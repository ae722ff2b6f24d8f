package register_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"math"
	"math/rand"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"voidline/clash/finding"
	"voidline/clash/register"
	file "voidline/io/register"
)

// trouble is one thing that is wrong in the simulated building, and what its row should say. It is kept by
// rules of its own, written down here from design.md, so that the register has somebody to disagree with.
type trouble struct {
	a, b    string // zone ids
	run     string // of a
	bay     string
	x, base float64 // place; a renamed zone's is within 0.4 m of base
	tenths  int     // short, in tenths of a millimetre
	present bool

	row     bool   // it has a row
	state   string // what it counts as
	cell    string // what stands in the cell
	agreed  int    // tenths; -1 where the cell is blank
	full    bool   // reason and name are there
	last    int    // week last found
	first   int
	shown   int // tenths that the row shows: whole mm, up
	renamed bool
	shared  bool // b is another trouble's too, so it is not renamed for one of them
}

func (t *trouble) id() string {
	return finding.ID(strings.ToLower(t.a), strings.ToLower(t.b), "")
}

func (t *trouble) finding() finding.Finding {
	return finding.Finding{
		ID: t.id(), Kind: finding.Tight, A: t.a, B: &t.b, ATrade: "containment", BTrade: "ductwork", AKind: "tray", BKind: "duct", ARun: t.run,
		Bay: &t.bay, Storey: "L1", At: finding.Spot{X: t.x, Y: 500, Z: 3000, Level: 3000, Where: "A+1, grid 1"},
		Short: float64(t.tenths) / 10, GivesWay: t.a, Rule: "=1+1",
	}
}

// next is the state machine: what the row should say after a check in a week.
func (t *trouble) next(week int) {
	if !t.present {
		if !t.row {
			return
		}
		t.state = "cleared"
		if t.cell != "on hold" {
			t.cell = "cleared"
		}
		return
	}
	was := t.state
	if !t.row {
		t.row, t.first, t.agreed, was = true, week, -1, ""
	}
	again := "open"
	if was == "cleared" || was == "back" {
		again = "back"
	}
	switch {
	case t.cell == "agreed" && !t.full:
		t.state = again // and the word stays
	case t.cell == "agreed":
		if t.agreed < 0 {
			t.agreed = t.shown
		}
		t.state = "agreed"
		if t.tenths > t.agreed+10 {
			t.state, t.cell = "back", "back"
		}
	case t.cell == "on hold":
		t.state = again
	default:
		t.state, t.cell = again, again
	}
	t.last, t.shown = week, (t.tenths+9)/10*10
}

// book is the register as a spreadsheet program knows it: its cells, and how it was last saved.
type book struct {
	head []string
	rows [][]string
	sep  rune
}

func load(t *testing.T, data []byte) book {
	t.Helper()
	data = bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))
	b := book{sep: ','}
	line, _, _ := bytes.Cut(data, []byte("\n"))
	for _, s := range ";\t" {
		if bytes.ContainsRune(line, s) {
			b.sep = s
		}
	}
	r := csv.NewReader(bytes.NewReader(data))
	r.Comma, r.FieldsPerRecord = b.sep, -1
	all, err := r.ReadAll()
	if err != nil {
		t.Fatalf("%v in\n%s", err, data)
	}
	b.head = all[0]
	for _, row := range all[1:] {
		for len(row) < len(b.head) {
			row = append(row, "")
		}
		b.rows = append(b.rows, row)
	}
	return b
}

// save writes it as one of several programs would.
func (b *book) save(r *rand.Rand) []byte {
	sep := string(b.sep)
	if r.Intn(4) == 0 {
		sep = []string{",", ";", "\t"}[r.Intn(3)]
	}
	end := []string{"\n", "\r\n"}[r.Intn(2)]
	always := r.Intn(2) == 0
	var out strings.Builder
	if r.Intn(3) == 0 {
		out.WriteString("\xef\xbb\xbf")
	}
	for _, row := range append([][]string{b.head}, b.rows...) {
		if !always && r.Intn(2) == 0 {
			for len(row) > 1 && row[len(row)-1] == "" {
				row = row[:len(row)-1] // blank cells at the end are left away
			}
		}
		for i, c := range row {
			if i > 0 {
				out.WriteString(sep)
			}
			if always || strings.ContainsAny(c, ",;\t\"\r\n") || strings.HasPrefix(c, " ") {
				c = `"` + strings.ReplaceAll(c, `"`, `""`) + `"`
			}
			out.WriteString(c)
		}
		out.WriteString(end)
	}
	return []byte(out.String())
}

func (b *book) col(name string) int { return slices.Index(b.head, name) }

func (b *book) row(id string) []string {
	for _, row := range b.rows {
		if row[b.col("finding")] == id {
			return row
		}
	}
	return nil
}

// peoples are the columns that no update may change, but where they are blank.
var peoples = []string{"owner", "due", "action", "reason", "agreed by", "raised", "query number", "confirm", "our notes", "cost"}

// rewriters are the ways in which spreadsheets write a day anew that they took for one; the first leaves it.
var rewriters = []func(time.Time) string{
	func(d time.Time) string { return d.Format("2006-01-02") },
	func(d time.Time) string { return d.Format("02/01/2006") },
	func(d time.Time) string { return d.Format("1/2/2006") },
	func(d time.Time) string { return d.Format("1/2/06") },
	func(d time.Time) string { return d.Format("2-Jan-06") },
	func(d time.Time) string {
		return strconv.Itoa(int(d.Sub(time.Date(1899, 12, 30, 0, 0, 0, 0, time.UTC)).Hours() / 24))
	},
}

// monday is the day of the check of a week.
func monday(week int) time.Time {
	return time.Date(2026, 1, 5, 0, 0, 0, 0, time.UTC).AddDate(0, 0, 7*(week-1))
}

// people edits the register as people do between two checks; their spreadsheet writes the days of findings so.
func (b *book) people(r *rand.Rand, all []*trouble, n int, rewrite func(time.Time) string) {
	texts := []string{"J. Nowak", "5\" pipe; see, \"minutes\"", "=1+1", "two\nlines", " me ", "Łódź", "12/3/26", "'quoted"}
	if r.Intn(3) == 0 && b.col("our notes") < 0 {
		at := r.Intn(len(b.head) + 1)
		b.head = slices.Insert(b.head, at, "our notes")
		for i := range b.rows {
			b.rows[i] = slices.Insert(b.rows[i], at, texts[r.Intn(len(texts))])
		}
	}
	if r.Intn(4) == 0 { // a row of their own
		row := make([]string, len(b.head))
		row[b.col("finding")], row[b.col("state")], row[b.col("owner")] = fmt.Sprint("M-", n), "waiting", texts[r.Intn(len(texts))]
		b.rows = slices.Insert(b.rows, r.Intn(len(b.rows)+1), row)
	}
	if r.Intn(3) == 0 {
		r.Shuffle(len(b.rows), func(i, j int) { b.rows[i], b.rows[j] = b.rows[j], b.rows[i] })
	}
	for _, t := range all {
		row := b.row(t.id())
		if row == nil {
			continue
		}
		row[b.col("first seen")], row[b.col("last seen")] = rewrite(monday(t.first)), rewrite(monday(t.last))
		for _, c := range []string{"owner", "due", "action", "raised", "query number", "our notes"} {
			if at := b.col(c); at >= 0 && r.Intn(8) == 0 {
				row[at] = texts[r.Intn(len(texts))]
			}
		}
		switch r.Intn(8) {
		case 0, 1:
			row[b.col("state")], t.cell = "agreed", "agreed"
			row[b.col("reason")], row[b.col("agreed by")], t.full = "it fits", "A. Bell", true
			if r.Intn(4) == 0 {
				row[b.col("agreed by")], t.full = "", false
			}
			row[b.col("agreed")], t.agreed = "", -1
			if r.Intn(2) == 0 {
				t.agreed = t.shown + r.Intn(100) - 20
				if t.agreed < 0 {
					t.agreed = 0
				}
				row[b.col("agreed")] = strconv.FormatFloat(float64(t.agreed)/10, 'f', -1, 64)
				if b.sep != ',' && r.Intn(2) == 0 {
					row[b.col("agreed")] = strings.Replace(row[b.col("agreed")], ".", ",", 1)
				}
			}
		case 2:
			row[b.col("state")], t.cell = "on hold", "on hold"
		case 3:
			row[b.col("state")], t.cell = "", ""
		}
	}
}

// world moves the building on by a week. Each trouble has a bay of its own, so that what a renamed zone is to
// be matched with can be told without asking the register.
func world(r *rand.Rand, all []*trouble, week int) []*trouble {
	for range 1 + r.Intn(4) {
		k := len(all)
		run := ""
		if r.Intn(2) == 0 {
			run = fmt.Sprint("R", k)
		}
		all = append(all, &trouble{
			a: fmt.Sprint("T-", k), b: fmt.Sprint("D-", k), run: run, bay: fmt.Sprint("B", k), x: float64(20000 * k), base: float64(20000 * k), tenths: 1 + r.Intn(1500), present: true,
		})
	}
	for k, t := range all {
		switch r.Intn(10) {
		case 0:
			t.present = false
		case 1:
			t.present = true
		case 2:
			t.tenths = 1 + r.Intn(1500)
		case 3:
			t.tenths = max(1, t.tenths+r.Intn(31)-10) // about the tolerance
		case 4:
			if !t.shared { // moved, its id as it was
				t.x += float64(r.Intn(6000) - 3000)
				t.base = t.x
			}
		case 5, 6:
			// Renamed, or cut in two, and its place a little elsewhere. Only what has a row whose finding is there
			// can be known again.
			if !t.present || !t.row || t.last != week-1 || t.state == "cleared" {
				break
			}
			t.a = fmt.Sprint("T-", k, "w", week)
			t.x = t.base + float64(r.Intn(800)-400)
			t.renamed = true
			if r.Intn(3) == 0 && !t.shared {
				t.b = fmt.Sprint("D-", k, "w", week)
			}
			if r.Intn(2) == 0 && !t.shared {
				t.shared = true
				all = append(all, &trouble{ // the other part: farther away in the same bay
					a: fmt.Sprint("T-", k, "w", week, "x"), b: t.b, run: t.run, bay: t.bay, x: t.base + 2500, base: t.base + 2500, tenths: 1 + r.Intn(1500), present: true, shared: true,
				})
			}
		}
	}
	return all
}

// TestTenWeeks simulates ten weeks of a building and of people at its register, many times over: no cell of
// theirs changes, no finding is lost, the states are what the model says.
func TestTenWeeks(t *testing.T) {
	runs := 60
	if testing.Short() {
		runs = 8
	}
	var updates, matched, backs, agreements, kept int
	for seed := range int64(runs) {
		r := rand.New(rand.NewSource(seed))
		rewrite := rewriters[int(seed)%len(rewriters)]
		name := filepath.Join(t.TempDir(), file.Name)
		var all []*trouble
		for week := 1; week <= 10; week++ {
			fail := func(format string, args ...any) {
				t.Helper()
				data, _ := os.ReadFile(name)
				t.Fatalf("seed %d, week %d: %s\n%s", seed, week, fmt.Sprintf(format, args...), data)
			}
			partial := week > 1 && r.Intn(8) == 0
			if !partial {
				all = world(r, all, week)
			}
			var before book
			if data, err := os.ReadFile(name); err == nil {
				before = load(t, data)
				before.people(r, all, week, rewrite)
				if err := os.WriteFile(name, before.save(r), 0o644); err != nil {
					t.Fatal(err)
				}
				data, _ := os.ReadFile(name)
				before = load(t, data)
			}

			res := &finding.Result{}
			zones := map[string]bool{}
			for _, tr := range all {
				zones[strings.ToLower(tr.a)], zones[strings.ToLower(tr.b)] = true, true
				if tr.present && !(partial && r.Intn(2) == 0) {
					res.Findings = append(res.Findings, tr.finding())
				}
			}
			if partial {
				res.RowsMissing = 1 + r.Intn(5)
			}
			r.Shuffle(len(res.Findings), func(i, j int) { res.Findings[i], res.Findings[j] = res.Findings[j], res.Findings[i] })
			day := register.Date("2026-01-05").Add(7 * (week - 1))

			f, err := file.Open(name)
			if err != nil {
				fail("%v", err)
			}
			o, err := register.Update(f.Rows(), res, register.Options{Date: day, Touch: 1, Zone: func(id string) bool { return zones[strings.ToLower(id)] }})
			if err != nil {
				fail("%v", err)
			}
			if _, err := f.Write(o.Rows); err != nil {
				fail("%v", err)
			}
			updates++
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			after := load(t, data)

			// People's cells, and rows of theirs, in their places.
			if len(after.rows) < len(before.rows) {
				fail("%d rows, %d before", len(after.rows), len(before.rows))
			}
			for i, was := range before.rows {
				is := after.rows[i]
				own := strings.HasPrefix(was[before.col("finding")], "M-")
				for c, h := range before.head {
					if was[c] != is[c] && (own || slices.Contains(peoples, h) || h == "agreed" && was[c] != "") {
						fail("row %d, %s: %q was %q", i, h, is[c], was[c])
					}
					if was[c] != "" {
						kept++
					}
				}
			}

			// The model.
			there := map[string]bool{}
			for i := range res.Findings {
				there[res.Findings[i].ID] = true
			}
			for _, tr := range all {
				switch {
				case !partial:
					tr.next(week)
				case there[tr.id()]:
					tr.next(week)
				}
				row := after.row(tr.id())
				if row == nil {
					if tr.row {
						fail("%s / %s is lost", tr.a, tr.b)
					}
					continue
				}
				if !tr.row {
					fail("%s / %s has a row before it was found", tr.a, tr.b)
				}
				var e *register.Entry
				for i := range o.Entries {
					if o.Entries[i].ID == tr.id() {
						e = &o.Entries[i]
					}
				}
				if e == nil || string(e.State) != tr.state && !(partial && !there[tr.id()]) || row[after.col("state")] != tr.cell && !(partial && !there[tr.id()]) {
					fail("%s / %s: %+v, cell %q, want %q, cell %q", tr.a, tr.b, e, row[after.col("state")], tr.state, tr.cell)
				}
				first, last := register.Date(monday(tr.first).Format("2006-01-02")), register.Date(monday(tr.last).Format("2006-01-02"))
				if e.First != first || e.Last != last {
					fail("%s: first seen %q, last seen %q, want %q and %q", tr.a, e.First, e.Last, first, last)
				}
				if cell := row[after.col("last seen")]; tr.last == week && cell != string(last) {
					fail("%s: last seen says %q, want %q", tr.a, cell, last)
				}
				short, err := strconv.ParseFloat(strings.Replace(row[after.col("short")], ",", ".", 1), 64)
				if err != nil || math.Abs(short-float64(tr.shown)/10) > 1e-9 {
					fail("%s: short %q, want %v", tr.a, row[after.col("short")], float64(tr.shown)/10)
				}
				if tr.renamed {
					if !strings.HasPrefix(row[after.col("matched")], "was ") {
						fail("%s: renamed, and matched says %q", tr.a, row[after.col("matched")])
					}
					matched++
					tr.renamed = false
				}
				switch tr.state {
				case "back":
					backs++
				case "agreed":
					agreements++
				}
			}
			rows := 0
			for _, row := range after.rows {
				if !strings.HasPrefix(row[after.col("finding")], "M-") {
					rows++
				}
			}
			for _, tr := range all {
				if tr.row {
					rows--
				}
			}
			if rows != 0 {
				fail("%d rows more than findings that ever were", rows)
			}

			// The same check again changes no byte.
			f, err = file.Open(name)
			if err != nil {
				t.Fatal(err)
			}
			o, err = register.Update(f.Rows(), res, register.Options{Date: day, Touch: 1})
			if err != nil {
				fail("%v", err)
			}
			if wrote, err := f.Write(o.Rows); wrote || err != nil {
				fail("the same check again: written %v, %v", wrote, err)
			}
		}
	}
	t.Logf("%d updates, %d cells kept, %d renamed, %d back, %d agreed", updates, kept, matched, backs, agreements)
	if matched == 0 || backs == 0 || agreements == 0 {
		t.Error("the simulation leaves out what it is for")
	}
}
