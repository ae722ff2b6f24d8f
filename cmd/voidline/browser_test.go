package main

import (
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/chromedp"

	"voidline/void/need"
)

// browser is a real one with one page open, which keeps what the page says and asks for.
type browser struct {
	t    *testing.T
	ctx  context.Context
	mu   sync.Mutex
	said []string // console messages and exceptions
	asks []string // URLs that are neither files nor data
}

// openBrowser starts a browser; the test skips where there is none, and with -short.
func openBrowser(t *testing.T) *browser {
	t.Helper()
	if testing.Short() {
		t.Skip("a browser is slow to start")
	}
	path := ""
	for _, name := range []string{"chromium", "chromium-browser", "google-chrome"} {
		if p, err := exec.LookPath(name); err == nil {
			path = p
			break
		}
	}
	if path == "" {
		need.Skip(t, "no chromium is installed: the page is not looked at in a real browser")
	}
	profile, err := os.MkdirTemp("", "voidline-browser-*")
	if err != nil {
		t.Fatal(err)
	}
	ctx, stop := context.WithTimeout(context.Background(), 4*time.Minute)
	ctx, cancelAll := chromedp.NewExecAllocator(ctx,
		chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU,
		chromedp.NoFirstRun, chromedp.Flag("disable-quic", true), chromedp.Flag("disable-background-networking", true),
		chromedp.Flag("disable-component-update", true), chromedp.Flag("disable-sync", true), chromedp.Flag("disable-dev-shm-usage", true),
		chromedp.WSURLReadTimeout(time.Minute),
	)
	ctx, cancel := chromedp.NewContext(ctx)
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx) // waits until the browser is gone, so that its folder can be removed
		cancel()
		cancelAll()
		stop()
		if err := os.RemoveAll(profile); err != nil {
			t.Log(err)
		}
	})
	b := &browser{t: t, ctx: ctx}
	messages := chromedp.Console(ctx)
	requests := chromedp.Events(ctx, network.RequestWillBeSent)
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			b.mu.Lock()
			b.said = append(b.said, m.String())
			b.mu.Unlock()
		}
	}()
	go func() {
		for e, err := range requests {
			if err != nil {
				return
			}
			if u := e.Request.URL; !strings.HasPrefix(u, "file:") && !strings.HasPrefix(u, "data:") {
				b.mu.Lock()
				b.asks = append(b.asks, u)
				b.mu.Unlock()
			}
		}
	}()
	return b
}

// do runs steps that give nothing back.
func (b *browser) do(steps ...chromedp.Action[chromedp.Void]) {
	b.t.Helper()
	if err := chromedp.Do(b.ctx, steps...); err != nil {
		b.t.Fatal(err)
	}
}

// ask runs an expression in the page.
func ask[T any](b *browser, expression string) T {
	b.t.Helper()
	v, err := chromedp.Run(b.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		b.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// open opens a file.
func (b *browser) open(file string) {
	b.t.Helper()
	abs, err := filepath.Abs(file)
	if err != nil {
		b.t.Fatal(err)
	}
	b.do(chromedp.Navigate("file://" + abs))
}

// quiet fails the test where the page said or asked for anything.
func (b *browser) quiet() {
	b.t.Helper()
	time.Sleep(200 * time.Millisecond) // what is on its way comes in
	b.mu.Lock()
	defer b.mu.Unlock()
	if len(b.said) > 0 {
		b.t.Errorf("the console says: %q", b.said)
	}
	if len(b.asks) > 0 {
		b.t.Errorf("the page asks for: %q", b.asks)
	}
}

// screen sets the size of the window and the colours that are preferred.
func (b *browser) screen(width int64, dark bool) {
	b.t.Helper()
	scheme := "light"
	if dark {
		scheme = "dark"
	}
	b.do(chromedp.EmulateViewport(width, 900))
	_, err := chromedp.Call(b.ctx, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{
		Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: scheme}},
	})
	if err != nil {
		b.t.Fatal(err)
	}
}

// look keeps a picture of the window where VOIDLINE_LOOK names a folder, for somebody to look at.
func (b *browser) look(name string) {
	b.t.Helper()
	dir := os.Getenv("VOIDLINE_LOOK")
	if dir == "" {
		return
	}
	png, err := chromedp.Run(b.ctx, chromedp.CaptureScreenshot())
	if err == nil {
		err = os.WriteFile(filepath.Join(dir, name+".png"), png, 0o644)
	}
	if err != nil {
		b.t.Fatal(err)
	}
}

// reportOf writes the report of a project folder and returns the folder that it was written to.
func reportOf(t *testing.T, dir string, args ...string) string {
	t.Helper()
	out := filepath.Join(t.TempDir(), "out")
	var said, errs strings.Builder
	status := run(append([]string{"voidline", "report", dir, "-o", out, "--date", "2026-03-09"}, args...), strings.NewReader(""), &said, &errs)
	if status != statusFindings {
		t.Fatalf("report %s ends with %d, want %d (findings): %s", dir, status, statusFindings, errs.String())
	}
	return out
}

// clinic returns the folder of the open building data, and skips where it is not there.
func clinic(t *testing.T) string {
	t.Helper()
	dir := filepath.Join("..", "..", "..", "shared", "realdata", "clinic")
	if _, err := os.Stat(dir); err != nil {
		need.Skip(t, "the open building data is not at %s", dir)
	}
	return dir
}

// axe runs the rules of accessibility, which .ci/run fetches (VOIDLINE_AXE names their file), over the page as it is, and returns what breaks one.
func (b *browser) axe() []string {
	b.t.Helper()
	type result struct {
		Broken []string
		Kept   int // rules that had something to look at and found it good
	}
	ask[int](b, `(window.told = null, axe.run(document).then(
		r => window.told = {Kept: r.passes.length, Broken: r.violations.map(v => v.id + ": " + v.help + ": " + v.nodes.slice(0, 3).map(n => n.html.slice(0, 120)).join(" | "))},
		e => window.told = {Kept: 0, Broken: [String(e)]}), 0)`)
	for range 900 {
		if ask[bool](b, `window.told !== null`) {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	r := ask[result](b, `window.told || {Kept: 0, Broken: ["it did not end"]}`)
	if len(r.Broken) == 0 && r.Kept < 20 {
		b.t.Errorf("the rules had next to nothing to look at: %d were kept", r.Kept)
	}
	return r.Broken
}

// TestPageHoldsToAxe holds the page, on a phone and on a desk, light and dark, as it opens and with everything unfolded, to rules of accessibility that
// are not ours. It is the page of a project with a register, with owners, dates past and to come, what is agreed and what is cleared, for that has every part.
func TestPageHoldsToAxe(t *testing.T) {
	file := os.Getenv("VOIDLINE_AXE")
	if file == "" {
		need.Skip(t, "VOIDLINE_AXE names no file of axe-core (axe.min.js; .ci/run fetches it): the page is not held to its rules")
	}
	rules := string(bytesOf(t, file))
	dir := t.TempDir()
	if err := os.CopyFS(dir, os.DirFS("../../testdata/demo")); err != nil {
		t.Fatal(err)
	}
	if status, _, errs := voidline("check", dir, "--register", "--date", "2026-02-23"); status != statusFindings {
		t.Fatal(errs)
	}
	name := filepath.Join(dir, "register.csv")
	rows, err := csv.NewReader(strings.NewReader(string(bytesOf(t, name)))).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	for i, r := range rows[1:] {
		set := func(column, text string) { r[slices.Index(rows[0], column)] = text }
		switch i % 5 {
		case 0:
			set("owner", "J. Nowak")
			set("due", "2026-03-02")
		case 1:
			set("owner", "Z. Okafor")
			set("due", "2026-03-20")
		case 2:
			set("state", "agreed")
			set("reason", "short run, seen on site")
			set("agreed by", "A. Bell")
		}
	}
	var text strings.Builder
	if err := csv.NewWriter(&text).WriteAll(rows); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	name = filepath.Join(dir, "containment.csv")
	trays := string(bytesOf(t, name))
	higher := strings.ReplaceAll(trays, "FFL+2900", "FFL+2960")
	if higher == trays {
		t.Fatal("no tray of the demo is at FFL+2900: nothing is new or cleared")
	}
	if err := os.WriteFile(name, []byte(higher), 0o644); err != nil {
		t.Fatal(err)
	}
	out := reportOf(t, dir, "--register")

	b := openBrowser(t)
	b.open(filepath.Join(out, "report.html"))
	ask[int](b, rules+";0")
	for _, at := range []struct {
		width      int64
		dark, open bool
	}{{360, true, false}, {1280, false, false}, {360, false, true}, {1280, true, true}} {
		ask[int](b, fmt.Sprintf(`(document.querySelectorAll("details").forEach(d => d.open = %v), 0)`, at.open))
		b.screen(at.width, at.dark)
		if broken := b.axe(); len(broken) > 0 {
			t.Errorf("at %d, dark %v, unfolded %v:\n  %s", at.width, at.dark, at.open, strings.Join(broken, "\n  "))
		}
	}
	// The rules find what is broken on purpose.
	ask[int](b, `(document.querySelectorAll("details").forEach(d => d.open = false), document.getElementById("main").append(document.createElement("img")), 0)`)
	if broken := b.axe(); len(broken) != 1 || !strings.HasPrefix(broken[0], "image-alt: ") {
		t.Errorf("of a picture without words the rules say %q", broken)
	}
}

func TestPageInBrowser(t *testing.T) {
	for _, test := range []struct {
		name string
		dir  func(*testing.T) string
	}{
		{"demo", func(*testing.T) string { return "../../testdata/demo" }},
		{"clinic", clinic},
	} {
		t.Run(test.name, func(t *testing.T) {
			b := openBrowser(t)
			out := reportOf(t, test.dir(t))
			b.open(filepath.Join(out, "report.html"))
			all := ask[int](b, `document.querySelectorAll("#list tbody tr").length`)
			// The demo's are all said in full, of the clinic's those of the bays of most need.
			full := ask[int](b, `document.querySelectorAll("li.f").length`)
			if full == 0 || full > all || test.name == "demo" && full != all {
				t.Fatalf("%d findings in the list, %d bay by bay", all, full)
			}
			b.screen(360, false)
			if high := ask[int](b, `document.documentElement.scrollHeight`); high > 12*780 {
				t.Errorf("before anything is unfolded the page is %d high at 360, want a dozen screens of 780 at most", high)
			}
			if bad := ask[[]string](b, collisions); len(bad) > 0 {
				t.Errorf("headings that collide at 360: %q", bad)
			}
			if test.name == "demo" { // folded, it is printed whole
				b.do(chromedp.Click(chromedp.ID("unfold")))
			} else { // so many pictures at once are slow
				ask[int](b, `(document.querySelectorAll("section:not(.bay) > details").forEach(d => d.open = true), document.querySelectorAll(".bay details").forEach((d, i) => d.open = i < 40), 0)`)
			}
			if bad := ask[[]string](b, collisions); len(bad) > 0 {
				t.Errorf("headings that collide at 360, unfolded: %q", bad)
			}
			shown := func() int {
				return ask[int](b, `[...document.querySelectorAll("#list tbody tr")].filter(r => r.getClientRects().length).length`)
			}

			// No page is wider than its window, on a phone as on a desk; tables and pictures may scroll in their own box.
			for _, width := range []int64{360, 1280} {
				for _, dark := range []bool{false, true} {
					b.screen(width, dark)
					if over := ask[int](b, `document.documentElement.scrollWidth - document.documentElement.clientWidth`); over > 0 {
						t.Errorf("at %d the page is %d wider than the window", width, over)
					}
					if bad := ask[[]string](b, drawingsAmiss); len(bad) > 0 {
						t.Errorf("at %d, dark %v: drawings that cannot be read: %q", width, dark, bad)
					}
					name := fmt.Sprintf("%s-%d-%v", test.name, width, map[bool]string{false: "light", true: "dark"}[dark])
					for _, place := range []string{"top", "today", "decide", "since", "whose", "bays", "bay-1", "all", "work", "objections", "rules", "excused"} {
						ask[int](b, `(e => { e ? e.scrollIntoView() : scrollTo(0, 0); return 0 })(document.getElementById("`+place+`"))`)
						time.Sleep(50 * time.Millisecond)
						b.look(name + "-" + place)
					}
				}
			}
			b.screen(1280, false)

			// Filter by whose it is: the list, the bays and the count agree.
			trade := ask[string](b, `document.querySelector("#by-trade option:nth-child(2)").value`)
			b.do(chromedp.SetValue(chromedp.ID("by-trade"), trade))
			ask[int](b, `(document.getElementById("by-trade").dispatchEvent(new Event("input", {bubbles: true})), 0)`)
			want := ask[int](b, `[...document.querySelectorAll("#list tbody tr")].filter(r => r.dataset.t === `+fmt.Sprintf("%q", trade)+`).length`)
			if n := shown(); n != want || n == 0 || n == all {
				t.Errorf("filtered to %s: %d rows shown, want %d of %d", trade, n, want, all)
			}
			if n := ask[int](b, `document.querySelectorAll("li.f:not([hidden])").length`); n > want || full == all && n != want {
				t.Errorf("filtered to %s: %d bay by bay, want %d", trade, n, want)
			}
			if said := ask[string](b, `document.getElementById("count").textContent`); !strings.HasPrefix(said, fmt.Sprintf("%d of %d findings", want, all)) {
				t.Errorf("the count says %q", said)
			}
			if n := ask[int](b, `[...document.querySelectorAll(".bay:not([hidden])")].filter(x => !x.querySelector("li.f:not([hidden])")).length`); n != 0 {
				t.Errorf("%d bays are shown without a finding", n)
			}

			// By bay: its rows alone.
			b.do(chromedp.Click(chromedp.CSS("#sieve button[type=reset]")))
			bay := ask[string](b, `document.querySelector("#by-bay option:nth-child(2)").value`)
			b.do(chromedp.SetValue(chromedp.ID("by-bay"), bay))
			ask[int](b, `(document.getElementById("by-bay").dispatchEvent(new Event("input", {bubbles: true})), 0)`)
			if n, want := shown(), ask[int](b, `[...document.querySelectorAll("#list tbody tr")].filter(r => r.dataset.b === `+fmt.Sprintf("%q", bay)+`).length`); n != want || n == 0 || n == all {
				t.Errorf("filtered to a bay: %d rows shown, want %d of %d", n, want, all)
			}

			// By a word, typed: the id of the last finding leaves one row.
			b.do(chromedp.Click(chromedp.CSS("#sieve button[type=reset]")))
			id := ask[string](b, `[...document.querySelectorAll("#list tbody tr")].at(-1).dataset.f`)
			b.do(chromedp.SendKeys(chromedp.ID("by-text"), id))
			if n := shown(); n != 1 {
				t.Errorf("filtered to %s: %d rows shown, want 1", id, n)
			}
			// A link to a finding that the filter hides shows it.
			first := ask[string](b, `document.querySelector("li.f").dataset.f`)
			if first != id {
				ask[int](b, `(location.hash = "f-`+first+`", 0)`)
				time.Sleep(150 * time.Millisecond)
				if hidden := ask[bool](b, `document.getElementById("f-`+first+`").closest("[hidden]") !== null`); hidden {
					t.Error("a link leads to a finding that stays hidden")
				}
			}
			b.do(chromedp.Click(chromedp.CSS("#sieve button[type=reset]")))
			time.Sleep(100 * time.Millisecond)
			if n := shown(); n != all {
				t.Errorf("after Show all %d rows are shown, want %d", n, all)
			}

			// Sort by the amount, the largest first, then the smallest, then by bay again.
			amounts := `[...document.querySelectorAll("#list td:nth-child(3)")].map(c => Number(c.dataset.v))`
			before := ask[[]float64](b, amounts)
			press := func() (string, []float64) {
				b.do(chromedp.Click(chromedp.CSS("#list th[data-number]:nth-child(3) button")))
				return ask[string](b, `document.querySelector("#list th[data-number]:nth-child(3)").getAttribute("aria-sort")`), ask[[]float64](b, amounts)
			}
			for _, way := range []string{"descending", "ascending", "none"} {
				said, got := press()
				if said != way {
					t.Errorf("aria-sort is %q, want %q", said, way)
				}
				for i := range got {
					if way == "none" && got[i] != before[i] || i > 0 && (way == "descending" && got[i] > got[i-1] || way == "ascending" && got[i] < got[i-1]) {
						t.Errorf("sorted %s: %v stands at %d", way, got[i], i)
						break
					}
				}
			}

			// By keyboard alone: the first stop is the way past the contents, every stop can be seen, and the filter
			// and the heads of the list are stops.
			ask[int](b, `(document.activeElement.blur(), location.hash = "", scrollTo(0, 0), getSelection().removeAllRanges(), 0)`)
			b.open(filepath.Join(out, "report.html"))
			stops := map[string]bool{}
			for i := range 400 {
				b.do(chromedp.KeyEvent("\t"))
				at := ask[string](b, `(e => (e.id || e.className || e.textContent).slice(0, 40) + "|" + (getComputedStyle(e).outlineStyle !== "none") + "|" + (e.getClientRects().length > 0) + "|" + !!e.closest("#list thead"))(document.activeElement)`)
				f := strings.Split(at, "|")
				if i == 0 && f[0] != "skip" {
					t.Errorf("the first stop is %q, want the way past the contents", at)
				}
				if len(f) != 4 || f[1] != "true" || f[2] != "true" {
					t.Errorf("stop %d cannot be seen: %q", i, at)
					break
				}
				if i == 1 && ask[bool](b, `document.activeElement.matches("nav summary")`) {
					ask[int](b, `(document.querySelectorAll("details").forEach(d => d.open = d.querySelector("#list") !== null), 0)`)
				}
				stops[f[0]] = true
				if f[3] == "true" {
					stops["head of the list"] = true
					break
				}
			}
			for _, want := range []string{"by-trade", "by-text", "head of the list"} {
				if !stops[want] {
					t.Errorf("the tab key does not reach %s", want)
				}
			}

			// What a screen reader goes by.
			if n := ask[int](b, `document.querySelectorAll("main").length`); n != 1 {
				t.Errorf("%d main landmarks, want 1", n)
			}
			if bad := ask[[]string](b, `(() => { let last = 0, bad = []; for (const h of document.querySelectorAll("h1,h2,h3,h4")) { const n = Number(h.tagName[1]); if (n > last + 1) bad.push(h.textContent); last = n; } return bad; })()`); len(bad) > 0 {
				t.Errorf("headings that leave a level out: %q", bad)
			}
			if bad := ask[[]string](b, `[...document.querySelectorAll("table")].filter(t => !t.caption || !t.caption.textContent.trim() || [...t.querySelectorAll("th")].some(h => !h.scope)).map(t => t.textContent.slice(0, 60))`); len(bad) > 0 {
				t.Errorf("tables without caption or scope: %q", bad)
			}
			if bad := ask[[]string](b, `(() => { const seen = new Set(), bad = []; for (const e of document.querySelectorAll("[id]")) { if (seen.has(e.id)) bad.push(e.id); seen.add(e.id); } return bad; })()`); len(bad) > 0 {
				t.Errorf("ids that stand twice: %q", bad)
			}
			if bad := ask[[]string](b, `[...document.querySelectorAll("a[href^='#']")].filter(a => !document.getElementById(a.getAttribute("href").slice(1))).map(a => a.getAttribute("href"))`); len(bad) > 0 {
				t.Errorf("links that lead nowhere: %q", bad)
			}
			for _, scheme := range []bool{false, true} {
				b.screen(1280, scheme)
				if bad := ask[[]string](b, contrasts); len(bad) > 0 {
					t.Errorf("dark %v: too little contrast: %q", scheme, bad)
				}
			}

			// Printed.
			if test.name == "demo" {
				b.screen(1280, false)
				pdf, err := chromedp.Run(b.ctx, chromedp.PrintToPDF(chromedp.PDFPreferCSSPageSize()))
				if err != nil {
					t.Fatal(err)
				}
				if dir := os.Getenv("VOIDLINE_LOOK"); dir != "" {
					if err := os.WriteFile(filepath.Join(dir, "printed.pdf"), pdf, 0o644); err != nil {
						t.Fatal(err)
					}
				}
				if !strings.HasPrefix(string(pdf), "%PDF-") || len(pdf) < 50000 {
					t.Errorf("printed to %d bytes", len(pdf))
				}
				file := filepath.Join(out, "printed.pdf")
				if err := os.WriteFile(file, pdf, 0o644); err != nil {
					t.Fatal(err)
				}
				captions := ask[[]string](b, `[...document.querySelectorAll("caption")].map(e => e.textContent.trim())`)
				listed := false
				for i, page := range strings.Split(strings.TrimRight(textOf(t, file), "\f"), "\f") {
					lines := slices.DeleteFunc(strings.Split(strings.TrimSpace(page), "\n"), func(l string) bool { return strings.HasPrefix(l, "page ") })
					if listed = listed || slices.Contains(lines, "All findings, by storey and bay"); listed && !strings.Contains(page, "Between Bay Where To move Status") {
						t.Errorf("printed page %d has rows of the list without their heads", i+1)
					}
					if strings.Contains(page, "Joints of runs to put right") {
						listed = false
					}
					if last := lines[len(lines)-1]; slices.Contains(captions, last) {
						t.Errorf("printed page %d ends with the heading of a table that is on the next: %q", i+1, last)
					}
				}
			}
			b.quiet()
		})
	}
}

// drawingsAmiss lists drawings on the screen that are wider than it without saying so, or with letters less than 8 dots high
// (7.5 on a desk, where a page is zoomed with two keys), and bays that show none or one twice.
const drawingsAmiss = `(() => {
	const seen = e => e.getClientRects().length > 0 && e.checkVisibility(), bad = [];
	for (const f of document.querySelectorAll(".drawing")) {
		if (!seen(f)) continue;
		const svg = f.querySelector("svg"), again = svg.querySelector("use"); // a picture that is shown a second time
		const shown = again ? document.getElementById(again.getAttribute("href").slice(1)) : svg, box = e => e.viewBox.baseVal;
		if (!shown || Math.abs(box(shown).width / box(shown).height - box(svg).width / box(svg).height) > 0.001) { bad.push(f.getAttribute("aria-label") + " shows nothing, or out of shape"); continue; }
		const k = svg.getBoundingClientRect().width / box(shown).width;
		const hint = f.nextElementSibling;
		if (f.scrollWidth > f.clientWidth + 1 && !(hint && hint.matches(".slide") && seen(hint))) bad.push(svg.id + " is " + f.scrollWidth + " wide in " + f.clientWidth);
		if (f.scrollWidth <= f.clientWidth + 1 && innerWidth < 700 && hint && hint.matches(".slide") && seen(hint)) bad.push(svg.id + " fits, and is said not to");
		const texts = [...shown.querySelectorAll("text")];
		if (!texts.length) bad.push((svg.id || f.getAttribute("aria-label")) + " has no letters");
		const least = Math.min(...texts.map(t => Number(t.getAttribute("font-size")) * k));
		if (least < (innerWidth < 700 ? 8 : 7.5)) bad.push(svg.id + ": letters of " + least.toFixed(1));
	}
	for (const b of document.querySelectorAll(".bay")) {
		if (!b.querySelector("details").open) continue;
		const all = b.querySelectorAll(".drawing:not(.narrow)").length, shown = [...b.querySelectorAll(".drawing")].filter(seen).length;
		if (all !== shown) bad.push(b.querySelector("h3").id + " shows " + shown + " of " + all);
	}
	return bad.slice(0, 6);
})()`

// collisions lists headings of which two lie over each other, or whose letters stand out of their box.
const collisions = `(() => {
	const seen = [...document.querySelectorAll("h1, h2, h3, h4, caption, thead th")].filter(e => e.getClientRects().length && e.checkVisibility && e.checkVisibility() && !e.closest("table.fold thead"));
	const bad = [];
	const boxes = seen.map(e => [e, e.getBoundingClientRect()]);
	for (const [e, r] of boxes) if (e.scrollWidth > e.clientWidth + 1 && e.clientWidth > 0 && !e.closest(".slides")) bad.push(e.textContent.trim().slice(0, 40) + " is " + e.scrollWidth + " wide in " + e.clientWidth);
	for (let i = 1; i < boxes.length; i++) {
		const [e, a] = boxes[i - 1], [f, b] = boxes[i];
		if (e.contains(f) || f.contains(e)) continue;
		if (a.left < b.right - 1 && b.left < a.right - 1 && a.top < b.bottom - 1 && b.top < a.bottom - 1) bad.push(e.textContent.trim().slice(0, 30) + " | " + f.textContent.trim().slice(0, 30));
	}
	return bad.slice(0, 6);
})()`

// contrasts lists texts whose colour stands out less than 4.5:1 from what is behind them (WCAG 2.2, 1.4.3).
const contrasts = `(() => {
	const bare = c => c.match(/[\d.]+/g).map(Number);
	const light = c => { const [r, g, b] = bare(c).slice(0, 3).map(v => (v /= 255) <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4); return 0.2126 * r + 0.7152 * g + 0.0722 * b; };
	const behind = e => { for (; e; e = e.parentElement) { const c = getComputedStyle(e).backgroundColor; if ((bare(c)[3] ?? 1) > 0) return c; } return "rgb(255,255,255)"; };
	const bad = new Set();
	let left = 3000;
	for (const e of document.querySelectorAll("body *:not(svg):not(svg *):not(script)")) {
		if (![...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()) || --left < 0) continue;
		const a = light(getComputedStyle(e).color), b = light(behind(e));
		const ratio = (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
		if (ratio < 4.5) bad.add(e.tagName + "." + e.className + " " + ratio.toFixed(2));
	}
	return [...bad];
})()`
