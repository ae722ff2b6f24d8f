package main

import (
	"archive/zip"
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"voidline/io/findings"
	"voidline/reports/words"
	"voidline/void/need"
)

// voidline runs the program within the test.
func voidline(args ...string) (status int, out, errs string) {
	var o, e strings.Builder
	status = run(append([]string{"voidline"}, args...), strings.NewReader(""), &o, &e)
	return status, o.String(), e.String()
}

// folderOf writes a project folder of these files.
func folderOf(t *testing.T, name string, files map[string]string) string {
	t.Helper()
	dir := filepath.Join(t.TempDir(), name)
	if err := os.Mkdir(dir, 0o755); err != nil {
		t.Fatal(err)
	}
	for n, text := range files {
		if err := os.WriteFile(filepath.Join(dir, n), []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return dir
}

// table writes rows as CSV.
func tableOf(rows ...[]string) string {
	var b strings.Builder
	w := csv.NewWriter(&b)
	_ = w.WriteAll(rows) // a strings.Builder takes all
	return b.String()
}

func bytesOf(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// textOf returns the text of a PDF as pdftotext finds it; the test skips without that.
func textOf(t *testing.T, pdf string) string {
	t.Helper()
	tool, err := exec.LookPath("pdftotext")
	if err != nil {
		need.Skip(t, "pdftotext (poppler-utils) is not installed: the text of the PDF is not looked for")
	}
	out, err := exec.Command(tool, "-raw", pdf, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	return string(out)
}

// pagesOf counts the pages of a PDF by the last that says its number.
func pagesOf(t *testing.T, pdf string) int {
	t.Helper()
	return len(regexp.MustCompile(`page \d+ of \d+`).FindAllString(textOf(t, pdf), -1))
}

// hollow returns the pages of a PDF, but the last, of which three quarters are empty: nothing stands on them under the first quarter but the
// line at the foot.
func hollow(t *testing.T, pdf string) []int {
	t.Helper()
	tool, err := exec.LookPath("pdftoppm")
	if err != nil {
		need.Skip(t, "pdftoppm (poppler-utils) is not installed: the pages are not looked at")
	}
	dir := t.TempDir()
	if out, err := exec.Command(tool, "-r", "20", "-gray", pdf, filepath.Join(dir, "p")).CombinedOutput(); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	names, err := filepath.Glob(filepath.Join(dir, "*.pgm"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no pages: %v", err)
	}
	var bad []int
	for i, n := range names[:len(names)-1] {
		b := bytesOf(t, n)
		var w, h, most int
		if _, err := fmt.Sscanf(string(b[:20]), "P5\n%d %d\n%d\n", &w, &h, &most); err != nil {
			t.Fatal(err)
		}
		dots := b[len(b)-w*h:]
		low := 0
		for y := range h * 94 / 100 { // less the foot
			for _, d := range dots[y*w : y*w+w] {
				if d < 200 {
					low = y
				}
			}
		}
		if low < h/4 {
			bad = append(bad, i+1)
		}
	}
	return bad
}

// TestPrintedEdition: of a building of very many findings the edition to be printed has 40 pages at most and says what it leaves out; no page
// of it, nor of all that there is of the demo, is three quarters empty. Page one is one page.
func TestPrintedEdition(t *testing.T) {
	dir := clinic(t)
	out := reportOf(t, dir)
	pdf := filepath.Join(out, "report.pdf")
	if n := pagesOf(t, pdf); n < 10 || n > 40 {
		t.Errorf("%d pages, want some and 40 at most", n)
	}
	text := textOf(t, pdf)
	for _, said := range []string{"Left out of this edition", "findings.csv has all", "voidline plan --bay", "voidline report --all"} {
		if !strings.Contains(strings.Join(strings.Fields(text), " "), said) {
			t.Errorf("it does not say %q", said)
		}
	}
	if info, err := os.Stat(filepath.Join(out, "report.html")); err != nil || info.Size() > 10e6 {
		t.Errorf("the page has %v bytes, want 10 MB at most: %v", info.Size(), err)
	}
	one := filepath.Join(t.TempDir(), "one")
	if status, _, errs := voidline("report", dir, "--summary", "-o", one, "--date", "2026-03-09"); status != statusFindings {
		t.Fatal(errs)
	}
	if n := pagesOf(t, filepath.Join(one, "summary.pdf")); n != 1 {
		t.Errorf("page one is %d pages", n)
	}
	for name, pdf := range map[string]string{
		"clinic": pdf, "demo": filepath.Join(reportOf(t, "../../testdata/demo"), "report.pdf"), "all of the demo": filepath.Join(reportOf(t, "../../testdata/demo", "--all"), "report.pdf"),
	} {
		if bad := hollow(t, pdf); len(bad) > 0 {
			t.Errorf("%s: three quarters of pages %v are empty", name, bad)
		}
	}
}

// ids returns the ids of the findings that a report wrote.
func ids(t *testing.T, out string) []string {
	t.Helper()
	res, err := findings.Open(filepath.Join(out, "findings.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all []string
	for _, f := range res.Findings {
		all = append(all, f.ID)
	}
	return all
}

func TestReportIsTheSameTwice(t *testing.T) {
	a, b := reportOf(t, "../../testdata/demo", "--bcf", "3.0"), reportOf(t, "../../testdata/demo", "--bcf", "3.0")
	for _, n := range []string{"report.html", "report.pdf", "findings.csv", "findings.json", "findings.bcf"} {
		if !bytes.Equal(bytesOf(t, filepath.Join(a, n)), bytesOf(t, filepath.Join(b, n))) {
			t.Errorf("%s differs from one run to the next", n)
		}
	}
	z, err := zip.OpenReader(filepath.Join(a, "findings.bcf"))
	if err != nil {
		t.Fatal(err)
	}
	defer z.Close()
	topics, pictures := 0, 0
	for _, f := range z.File {
		switch filepath.Base(f.Name) {
		case "markup.bcf":
			topics++
		case "snapshot.png":
			pictures++
		}
	}
	if all := len(ids(t, a)); topics != all || pictures != all {
		t.Errorf("%d topics and %d pictures in the exchange file, want %d of each", topics, pictures, all)
	}
	other := filepath.Join(t.TempDir(), "other")
	if status, _, errs := voidline("report", "../../testdata/demo", "-o", other, "--date", "2026-03-10"); status != statusFindings {
		t.Fatal(errs)
	}
	if bytes.Equal(bytesOf(t, filepath.Join(a, "report.pdf")), bytesOf(t, filepath.Join(other, "report.pdf"))) {
		t.Error("the PDF of another date is the same")
	}
}

// TestReportPDF looks for what the paper must have: every finding, its fonts, the numbers of its pages.
func TestReportPDF(t *testing.T) {
	out := reportOf(t, "../../testdata/demo")
	pdf := filepath.Join(out, "report.pdf")
	text := textOf(t, pdf)
	all := ids(t, out)
	if len(all) == 0 {
		t.Fatal("no findings in the demo")
	}
	for _, id := range all {
		if !strings.Contains(text, id) {
			t.Errorf("finding %s is not in the text of the PDF", id)
		}
	}
	pages := regexp.MustCompile(`page (\d+) of (\d+)`).FindAllStringSubmatch(text, -1)
	for i, p := range pages {
		if p[1] != fmt.Sprint(i+1) || p[2] != fmt.Sprint(len(pages)) {
			t.Errorf("page %d of %d says %q", i+1, len(pages), p[0])
		}
	}
	// The edition to be printed says what it leaves out and where that is; --all has it, under the same numbers.
	whole := textOf(t, filepath.Join(reportOf(t, "../../testdata/demo", "--all"), "report.pdf"))
	page := string(bytesOf(t, filepath.Join(out, "report.html")))
	for _, s := range []struct {
		said    string
		printed bool
	}{
		{"1 To be decided today", true},
		{"2 Decisions needed", true},
		{"3 Changes since last time", true},
		{"4 Action by trade and owner", true},
		{"5 Bays, in order of need", true},
		{"6 All findings", true},
		{"7 Joints of runs to put right", false},
		{"8 Builder’s work", false},
		{"9 To be protected", false},
		{"10 Agreed", true},
		{"11 No coordination objection", false},
		{"12 Drawings used", false},
		{"13 Rules used", false},
		{"14 What was not checked", false},
		{"15 Pairs that are meant to meet", false},
		{"16 Before you rely on this", true},
	} {
		number, title, _ := strings.Cut(s.said, " ")
		if !strings.Contains(page, "<span>"+number+"</span> "+title) {
			t.Errorf("the page has no section %q", s.said)
		}
		if !strings.Contains(whole, s.said) {
			t.Errorf("the whole PDF has no section %q", s.said)
		}
		if got := regexp.MustCompile(`(?m)^\f?` + regexp.QuoteMeta(s.said) + `(:.*)?$`).MatchString(text); got != s.printed {
			t.Errorf("section %q stands in the printed edition: %v, want %v", s.said, got, s.printed)
		}
		if !strings.Contains(strings.Join(strings.Fields(text), " "), s.said) {
			t.Errorf("the printed edition does not say that section %q is elsewhere", s.said)
		}
	}
	for _, said := range []string{"Left out of this edition", "voidline report --all", "Plan of Level 1", "Section through bay"} {
		if !strings.Contains(text, said) {
			t.Errorf("the printed edition does not say %q", said)
		}
	}
	fonts, err := exec.Command("pdffonts", pdf).Output()
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(strings.TrimSpace(string(fonts)), "\n")[2:]
	if len(lines) != 2 {
		t.Errorf("%d fonts, want 2:\n%s", len(lines), fonts)
	}
	for _, l := range lines {
		// emb, sub, uni: embedded, and with a table to Unicode.
		if !regexp.MustCompile(`\byes\s+(yes|no)\s+yes\b`).MatchString(l) {
			t.Errorf("a font that is not embedded, or whose text cannot be taken out: %s", l)
		}
	}
}

// TestHeadIsSeen: the running header of every page is seen at both of its ends, in whatever colours the page was left: what is not set anew there
// was written white on white.
func TestHeadIsSeen(t *testing.T) {
	if _, err := exec.LookPath("pdftoppm"); err != nil {
		need.Skip(t, "pdftoppm (poppler-utils) is not installed: the pages of the PDF are not looked at")
	}
	for _, args := range [][]string{nil, {"--all"}} {
		pdf := filepath.Join(reportOf(t, "../../testdata/demo", args...), "report.pdf")
		root := filepath.Join(t.TempDir(), "page")
		if out, err := exec.Command("pdftoppm", "-r", "72", "-gray", pdf, root).CombinedOutput(); err != nil {
			t.Fatalf("%v: %s", err, out)
		}
		pages, err := filepath.Glob(root + "-*.pgm")
		if err != nil || len(pages) < 10 {
			t.Fatalf("%d pages, %v", len(pages), err)
		}
		lying := 0
		for _, name := range pages {
			text := bytesOf(t, name)
			var w, h, most int
			if _, err := fmt.Sscanf(string(text[:20]), "P5\n%d %d\n%d", &w, &h, &most); err != nil {
				t.Fatal(err)
			}
			if w > h {
				lying++
			}
			dots := text[len(text)-w*h:]
			// Between two places, dots from the left edge: from 10 to 13 mm down at 72 dots to the inch.
			dark := func(from, to int) (n int) {
				for y := 28; y < 37; y++ {
					for _, d := range dots[y*w+from : y*w+to] {
						if d < 128 {
							n++
						}
					}
				}
				return n
			}
			if a, b := dark(40, 110), dark(w-110, w-40); a < 20 || b < 20 {
				t.Errorf("%v, %s: %d dark dots of the title, %d of the number of the page", args, filepath.Base(name), a, b)
			}
		}
		if lying == 0 {
			t.Errorf("%v: no page lies, so none was left in the colours of a drawing", args)
		}
	}
}

// hostile are names as tables may have them.
var hostile = []string{
	`<script>window.ran=1</script>`, `"><img src=x onerror="window.ran=1">`, `'+alert(1)+'`, `=1+1`, `@SUM(A1)`, `a & b &lt; c`,
	"Tŷ Gŵyr", "Łódź Żółć", "風管甲乙", "배관 🔧", "]]></title><script>window.ran=1</script>", "{{.Project}} ${x} `y`", `\"\u003c`,
	"bell \a and \x1b[31mred\x1b[0m", strings.Repeat("DUCT-with-a-long-name-", 14)[:300],
}

func hostileProject(t *testing.T) string {
	t.Helper()
	bays := [][]string{{"bay", "storey", "x1", "y1", "x2", "y2", "soffit", "ceiling", "build-up"}}
	zones := [][]string{{"id", "kind", "storey", "x1", "y1", "x2", "y2", "size", "level", "run", "note", "trade"}}
	rules := [][]string{{"of", "to", "gap", "basis", "why", "source"}}
	sources := [][]string{{"file", "drawing", "revision", "date", "by"}}
	for i, n := range hostile {
		x := float64(10000 * i)
		place := func(dx float64) string { return fmt.Sprint(x + dx) }
		bays = append(bays, []string{n, "S <b>1</b> & Łódź", place(0), "0", place(9000), "9000", "FFL+3600", "FFL+2700", n})
		zones = append(zones,
			[]string{"duct " + n, "duct", "S <b>1</b> & Łódź", place(500), "4000", place(8000), "4000", "600x300", "FFL+3000", "run " + n, n, "ductwork"},
			[]string{n, "pipe", "S <b>1</b> & Łódź", place(4000), "500", place(4000), "8000", "ø100", "FFL+3100", "", n, "pipework"},
			[]string{"tray " + n, "tray", "S <b>1</b> & Łódź", place(6000), "500", place(6000), "8000", "300x60", "FFL+2980", n, n, "<i>trade</i> " + n},
		)
	}
	build := [][]string{{"build-up", "layer", "thickness"}}
	for _, n := range hostile {
		build = append(build, []string{n, "board " + n, "20"})
		rules = append(rules, []string{"duct", "wall", "40", "maker", n, n})
		break
	}
	for _, n := range hostile[1:] {
		build = append(build, []string{n, "board " + n, "20"})
	}
	sources = append(sources, []string{"services.csv", hostile[0], hostile[3], hostile[6], hostile[8]})
	return folderOf(t, "Łódź & <b>tower", map[string]string{
		"bays.csv": tableOf(bays...), "levels.csv": "storey,ffl\nS <b>1</b> & Łódź,0\n", "buildups.csv": tableOf(build...),
		"services.csv": tableOf(zones...), "gaps.csv": tableOf(rules...), "sources.csv": tableOf(sources...),
	})
}

// TestReportHostileNames: names survive everywhere and run nowhere.
func TestReportHostileNames(t *testing.T) {
	dir := hostileProject(t)
	if status, _, errs := voidline("check", dir, "-o", filepath.Join(t.TempDir(), "x.txt")); status != statusFindings {
		t.Fatalf("the project does not read: %s", errs)
	}
	out := reportOf(t, dir)

	t.Run("csv", func(t *testing.T) {
		rows, err := csv.NewReader(bytes.NewReader(bytesOf(t, filepath.Join(out, "findings.csv")))).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		if len(rows) < len(hostile) {
			t.Errorf("%d rows, want one or more for each of %d names", len(rows), len(hostile))
		}
		for _, r := range rows[1:] {
			for _, c := range r {
				if c != "" && strings.ContainsRune("=@", rune(c[0])) {
					t.Errorf("a cell that a spreadsheet runs: %q", c)
				}
			}
		}
	})
	t.Run("pdf", func(t *testing.T) {
		text := textOf(t, filepath.Join(reportOf(t, dir, "--all"), "report.pdf"))
		for _, id := range ids(t, out) {
			if !strings.Contains(text, id) {
				t.Errorf("finding %s is not in the text", id)
			}
		}
		whole := strings.Join(strings.Fields(text), "")
		for _, n := range hostile {
			want := strings.Join(strings.Fields(n), "")
			switch {
			case strings.Contains(n, "🔧"):
				want = "배관□" // no font has the sign: a box, and a note on every page
			case strings.Contains(n, "\x1b"):
				want = "[31mred"
			}
			if !strings.Contains(whole, want) {
				t.Errorf("%q is not in the text of the PDF", n)
			}
		}
		if !strings.Contains(text, "□: a letter that this type does not have") {
			t.Error("no note says what the boxes are")
		}
	})
	t.Run("message", func(t *testing.T) {
		for _, form := range []string{"text", "markdown"} {
			status, said, errs := voidline("report", dir, "--trade", "pipework", "--format", form, "--date", "2026-03-09")
			if status != statusFindings {
				t.Fatal(errs)
			}
			if form == "markdown" && strings.Contains(said, "<script") {
				t.Error("a tag stands in the Markdown")
			}
			for _, n := range []string{"Tŷ Gŵyr", "Łódź Żółć", "風管甲乙"} {
				if !strings.Contains(said, n) {
					t.Errorf("%s: %q is not in the message", form, n)
				}
			}
		}
	})
	t.Run("page", func(t *testing.T) {
		b := openBrowser(t)
		b.open(filepath.Join(out, "report.html"))
		if ask[bool](b, `"ran" in window`) {
			t.Error("a name ran as a script")
		}
		if n := ask[int](b, `document.querySelectorAll("img, iframe, object, b, i, body script").length`); n != 1 {
			t.Errorf("%d elements that the page does not have of its own, want its script alone", n)
		}
		text := ask[string](b, `[...document.querySelectorAll("li.f")].map(e => e.textContent).join("\n")`)
		for _, n := range hostile {
			if !strings.Contains(text, words.Clean(n)) {
				t.Errorf("%q is not in the page", n)
			}
		}
		for _, width := range []int64{360, 1280} {
			b.screen(width, false)
			if over := ask[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
				t.Errorf("at %d the page is %d wider than the window", width, over)
			}
			b.look(fmt.Sprintf("hostile-%d", width))
			ask[int](b, `(document.getElementById("bay-1").scrollIntoView(), 0)`)
			b.look(fmt.Sprintf("hostile-%d-bay", width))
		}
		b.quiet()
	})
}

// big makes a building of bays in rows of twenty, with seven findings or so in each bay.
func big(t *testing.T, bays int) string {
	t.Helper()
	rows := [][]string{{"bay", "x1", "y1", "x2", "y2", "soffit", "ceiling", "build-up"}}
	zones := [][]string{{"id", "kind", "x1", "y1", "x2", "y2", "size", "level", "insulation", "run", "trade"}}
	for i := range bays {
		x, y := float64(i%20)*7500, float64(i/20)*7500
		at := func(dx, dy float64) []string { return []string{fmt.Sprint(x + dx), fmt.Sprint(y + dy)} }
		line := func(id, kind string, x1, y1, x2, y2 float64, size, level, cover, run, trade string) {
			r := append([]string{fmt.Sprintf("%s-%03d", id, i), kind}, append(at(x1, y1), at(x2, y2)...)...)
			zones = append(zones, append(r, size, level, cover, run, trade))
		}
		b := append([]string{fmt.Sprintf("%c/%d", 'A'+i%20, i/20+1)}, append(at(0, 0), at(7500, 7500)...)...)
		rows = append(rows, append(b, "FFL+3600", "FFL+2700", "tiles"))
		line("SB", "beam", 0, 0, 7500, 0, "UB 406x178x60", "FFL+3194", "", "", "steel")
		line("SA", "duct", 500, 2500, 7000, 2500, "600x350", "FFL+2950", "25", fmt.Sprintf("SA%d", i/20), "ductwork")
		line("EA", "duct", 500, 4500, 7000, 4500, "500x300", "FFL+2960", "25", fmt.Sprintf("EA%d", i/20), "ductwork")
		for k := range 3 {
			line(fmt.Sprintf("CW%d", k), "pipe", 1000+float64(k)*180, 400, 1000+float64(k)*180, 7000, "DN50", "FFL+2980", "40", fmt.Sprintf("CW%d-%d", k, i), "pipework")
		}
		line("TR", "tray", 3200, 400, 3200, 7000, "300x60", fmt.Sprintf("FFL+%d", 2900+i%7), "", fmt.Sprintf("TR%d", i), "containment")
		for k := range 2 {
			zones = append(zones, append(append([]string{fmt.Sprintf("L%d-%03d", k, i), "light fitting"}, at(5000, 1500+3000*float64(k))...), "", "", "600x600x120", "ceiling", "", "", "lighting"))
		}
	}
	return folderOf(t, "big", map[string]string{
		"bays.csv": tableOf(rows...), "services.csv": tableOf(zones...),
		"buildups.csv": "build-up,layer,thickness,lifts out\ntiles,tile,15,yes\ntiles,main tee,23,yes\n",
	})
}

// TestReportBig: a building of 300 bays and some 2,000 findings gives a report that is of use.
func TestReportBig(t *testing.T) {
	if testing.Short() {
		t.Skip("300 bays take seconds")
	}
	dir := big(t, 300)
	start := time.Now()
	out := reportOf(t, dir)
	took := time.Since(start)
	n := len(ids(t, out))
	if n < 2000 {
		t.Errorf("%d findings, want 2000 or more for the trial to count", n)
	}
	for _, name := range []string{"report.html", "report.pdf"} {
		info, err := os.Stat(filepath.Join(out, name))
		if err != nil {
			t.Fatal(err)
		}
		t.Logf("%s: %.1f MB", name, float64(info.Size())/1e6)
		if info.Size() >= 10e6 {
			t.Errorf("%s has %d bytes, want below 10 MB", name, info.Size())
		}
	}
	// The bays of most need are said in full, until some hundred findings are; every finding has a row.
	page := string(bytesOf(t, filepath.Join(out, "report.html")))
	full, rows := strings.Count(page, `<li class="f `), strings.Count(page, `<tr role="row" id="r-`)
	if full < 300 || full > 400 || rows != n {
		t.Errorf("%d findings in full and %d rows, want 300 to 400 and %d", full, rows, n)
	}
	if got := pagesOf(t, filepath.Join(out, "report.pdf")); got > 40 {
		t.Errorf("the printed edition has %d pages, want 40 at most", got)
	}
	if took > time.Minute {
		t.Errorf("it took %v, want seconds", took)
	}
	t.Logf("%d findings in %v", n, took.Round(10*time.Millisecond))
}

// TestWithoutSupports: a check that leaves supports out keeps no register, for what was found of them would be told as
// cleared; its report says that it is not held against the register.
func TestWithoutSupports(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(dir, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := voidline("check", dir, "--register", "--date", "2026-03-02"); status != statusFindings {
		t.Fatal(errs)
	}
	name := filepath.Join(dir, "register.csv")
	before := bytesOf(t, name)
	if !bytes.Contains(before, []byte("supports of ")) {
		t.Fatal("no supports in the register of the demo")
	}
	out := filepath.Join(t.TempDir(), "out")
	for _, args := range [][]string{
		{"check", dir, "--register", "--date", "2026-03-09", "--supports", "none"},
		{"report", dir, "--register", "--date", "2026-03-09", "--supports", "none", "-o", out},
	} {
		if status, _, errs := voidline(args...); status != statusUsage || !strings.Contains(errs, "a register needs the whole result") {
			t.Errorf("%q ends with %d: %s", args, status, errs)
		}
	}
	if !bytes.Equal(before, bytesOf(t, name)) {
		t.Error("the register was written")
	}
	last := filepath.Join(t.TempDir(), "last.json")
	if status, _, errs := voidline("check", dir, "--supports", "none", "--format", "json", "-o", last); status != statusFindings {
		t.Fatal(errs)
	}
	for _, args := range [][]string{{"compare", last, dir}, {"compare", dir, last}, {"report", dir, "-o", out, "--since", last}} {
		if status, _, errs := voidline(args...); status != statusUsage || !strings.Contains(errs, "supports are left out of the ") {
			t.Errorf("%q ends with %d: %s", args, status, errs)
		}
	}
	if status, said, errs := voidline("compare", last, dir, "--supports", "none"); status != statusClear {
		t.Errorf("compared with itself, status %d: %s%s", status, said, errs)
	}
	for _, narrow := range [][]string{{"--supports", "none"}, {"--firm"}} {
		if status, _, errs := voidline(append([]string{"report", dir, "--date", "2026-03-09", "-o", out}, narrow...)...); status != statusFindings {
			t.Errorf("report %q ends with %d: %s", narrow, status, errs)
		}
		if page := string(bytesOf(t, filepath.Join(out, "report.html"))); !strings.Contains(page, "so it is not held against register.csv") {
			t.Errorf("report %q does not say that it leaves the register alone", narrow)
		}
	}
}

// TestSupportsAreShown: every finding of supports in the demo that lies in a bay has a section that cuts a support and a plan
// on which it stands, and its row in the register stays when the row of the tray is moved.
func TestSupportsAreShown(t *testing.T) {
	dir := "../../testdata/demo"
	_, said, _ := voidline("check", dir, "--format", "json")
	res, problems := findings.Parse("findings.json", []byte(said))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	n := 0
	for i := range res.Findings {
		f := &res.Findings[i]
		row, ok := words.SupportsOf(f)
		if !ok || f.Bay == nil {
			continue
		}
		n++
		for _, args := range [][]string{{"section", dir, "--cut", "through " + f.ID}, {"plan", dir, "--bay", *f.Bay}} {
			status, svg, errs := voidline(args...)
			if want := regexp.MustCompile(`<title>support \d+ of ` + regexp.QuoteMeta(row) + `[:;]`); status != statusClear || !want.MatchString(svg) {
				t.Errorf("%q, status %d: no support of %s is drawn (%s)", args, status, row, errs)
			}
		}
		if f.Support == nil || f.Support.Of < f.Support.Count || f.Support.Count < 1 {
			t.Errorf("finding %s does not say which support it is about, and whether it can be moved: %+v", f.ID, f.Support)
		}
	}
	if n < 3 {
		t.Errorf("%d findings of supports in the demo: too few to mean anything", n)
	}
}
