package page

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"html"
	"regexp"
	"strings"
	"testing"

	"voidline/clash/finding"
	"voidline/reports/draw"
	"voidline/reports/internal/example"
	"voidline/reports/meeting"
)

func written(t *testing.T, r *meeting.Report) string {
	t.Helper()
	var b bytes.Buffer
	if err := Write(&b, r, Options{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func exampleReport() *meeting.Report { return pictured(nil) }

// pictured is the example with pictures of its bays.
func pictured(pictures func([]*finding.Finding) []meeting.Picture) *meeting.Report {
	return meeting.Make(meeting.Input{
		Result: example.Result(), Rules: example.Rules(), Date: "2026-03-09", Sources: []meeting.Source{{File: "duct.csv", Drawing: "<b>M</b>"}}, Pictures: pictures,
	})
}

// TestPolicy: what the page allows is its own script and style and nothing else.
func TestPolicy(t *testing.T) {
	page := written(t, exampleReport())
	content := html.UnescapeString(regexp.MustCompile(`Content-Security-Policy" content="([^"]*)"`).FindStringSubmatch(page)[1])
	for _, part := range []struct{ tag, name string }{{"style", "style-src"}, {"script", "script-src"}} {
		found := regexp.MustCompile(`(?s)<`+part.tag+`[^>]*>(.*?)</`+part.tag+`>`).FindAllStringSubmatch(page, -1)
		if len(found) != 1 {
			t.Fatalf("%d %s elements, want 1", len(found), part.tag)
		}
		h := sha256.Sum256([]byte(found[0][1]))
		if want := part.name + " 'sha256-" + base64.StdEncoding.EncodeToString(h[:]) + "'"; !strings.Contains(content, want+";") {
			t.Errorf("the policy %q does not allow the %s by %s alone", content, part.tag, want)
		}
	}
	if !strings.HasPrefix(content, "default-src 'none';") {
		t.Errorf("the policy begins with %q, want that nothing is allowed", content)
	}
	for _, bad := range []string{" style=", " onclick=", " onload=", "javascript:", "<link", "<img", "<iframe", "@import", "url("} {
		if strings.Contains(strings.ToLower(page), bad) {
			t.Errorf("%q stands in the page", bad)
		}
	}
}

func TestNamesAreData(t *testing.T) {
	page := written(t, exampleReport())
	if strings.Contains(page, "<script>alert") || strings.Contains(page, "<b>M</b>") {
		t.Error("a name from a table stands as a tag")
	}
	for _, want := range []string{"&lt;script&gt;alert(1)&lt;/script&gt;", "Tŷ Gŵyr", "&lt;b&gt;M&lt;/b&gt;", example.Long} {
		if !strings.Contains(page, want) {
			t.Errorf("%q is not in the page", want)
		}
	}
	if strings.ContainsRune(page, '\x1b') {
		t.Error("an escape sign stands in the page")
	}
}

// TestWithoutScripts: what only the script can work is not shown without it, and nothing else is hidden.
func TestWithoutScripts(t *testing.T) {
	page := written(t, exampleReport())
	if got := regexp.MustCompile(`<[^>]* hidden[ >][^>]*`).FindAllString(page, -1); len(got) != 1 || !strings.HasPrefix(got[0], `<form id="sieve" hidden`) {
		t.Errorf("hidden before the script runs: %q, want the filter alone", got)
	}
}

func TestEmpty(t *testing.T) {
	page := written(t, meeting.Make(meeting.Input{Result: example.Empty(), Date: "2026-03-09"}))
	for _, want := range []string{"Nothing was found.", "Nothing is open.", "No bay has a finding.", "There is nothing to compare with yet."} {
		if !strings.Contains(page, want) {
			t.Errorf("the report of a project without findings does not say %q", want)
		}
	}
	if strings.Contains(page, `id="list"`) {
		t.Error("an empty list stands in the page")
	}
}

// TestPicturesAreBounded: where the pictures are too many, bays of least need go without, and say so.
func TestPicturesAreBounded(t *testing.T) {
	big := &draw.Drawing{Name: "big", W: 10, H: 10, Scale: 1}
	for range 1000 {
		big.Add(draw.Text{S: strings.Repeat("x", mostPictures/3000), Size: 1, Tone: draw.Ink})
	}
	r := pictured(func([]*finding.Finding) []meeting.Picture { return []meeting.Picture{{Paper: big}, {Paper: big}} }) // two thirds of what fits
	all := map[int]bool{}
	for i := range r.Bays {
		all[r.Bays[i].Number] = true
	}
	got, err := drawn(r, all)
	if err != nil {
		t.Fatal(err)
	}
	if len(got) != 1 || got[r.Need[0].Number] == nil {
		t.Errorf("pictures of %d bays, want those of the bay of most need alone", len(got))
	}
	if page := written(t, r); strings.Count(page, "pictures are left out here") != len(r.Bays)-1 {
		t.Error("bays do not say that their pictures are left out")
	}
}

// TestDetailIsBounded: bays beyond the first few hundred findings are rows of the list alone, each with a place to link to, and
// nothing is drawn of them.
func TestDetailIsBounded(t *testing.T) {
	res := &finding.Result{Project: "job", Checked: finding.Checked{Storeys: 1}}
	bays := []string{"A", "B", "C"}
	for i := range 3 * (mostDetailed/2 + 1) {
		b := "P"
		res.Findings = append(res.Findings, finding.Finding{
			ID: fmt.Sprintf("id%d", i), ProblemID: fmt.Sprintf("p%d", i), Kind: finding.Tight, A: fmt.Sprintf("D-%d", i), ATrade: "ductwork", B: &b, BTrade: "pipework", Bay: &bays[i%3], Short: 5,
		})
	}
	drawings := 0
	r := meeting.Make(meeting.Input{Result: res, Date: "2026-03-09", Pictures: func([]*finding.Finding) []meeting.Picture { drawings++; return nil }})
	page := written(t, r)
	const one = mostDetailed/2 + 1 // the findings of a bay: of two bays they are more than mostDetailed
	if got := strings.Count(page, `<li class="f `); got != one || drawings != 1 {
		t.Errorf("%d findings in full and %d bays drawn, want %d of one bay", got, drawings, one)
	}
	if got := strings.Count(page, `<tr role="row" id="r-`); got != 3*one {
		t.Errorf("%d rows, want %d", got, 3*one)
	}
	if !strings.Contains(page, fmt.Sprintf("%d findings of the others are rows", 2*one)) {
		t.Error("it is not said that the others are rows alone")
	}
}

// TestPhone: a picture for a phone stands beside the one for a desk, with ids of its own; where there is none it is said that
// the other slides. When room is short the worst bays have theirs first.
func TestPhone(t *testing.T) {
	name := func(s string, more int) *draw.Drawing {
		d := &draw.Drawing{Name: s, W: 100, H: 50, Scale: 10}
		d.Stroke(draw.Ink, 1, draw.Solid, 0, 0, 1, 0)
		d.Say(1, 1, draw.Text{S: strings.Repeat("x", 1+more), Size: 3, Tone: draw.Ink})
		return d
	}
	asked, wide := 0, 0
	first := exampleReport().Bays[0].All[0].ID
	r := pictured(func(fs []*finding.Finding) []meeting.Picture {
		phone := func() *draw.Drawing { asked++; return name("narrow", 0) }
		for _, f := range fs {
			if f.ID == first {
				phone = nil
			}
		}
		return []meeting.Picture{{Paper: name("wide", wide), Phone: phone}}
	})
	page := written(t, r)
	if got, want := strings.Count(page, `class="drawing narrow"`), len(r.Bays)-1; got != want || asked != want {
		t.Errorf("%d narrow pictures (%d asked for), want %d", got, asked, want)
	}
	if got := strings.Count(page, `class="hint slide"`); got != 1 {
		t.Errorf("%d hints to slide, want one for the bay without", got)
	}
	if got := strings.Count(page, `<svg xmlns="http://www.w3.org/2000/svg" id="bay-2-1"`) + strings.Count(page, `<svg xmlns="http://www.w3.org/2000/svg" id="bay-2-1n"`); got != 2 {
		t.Errorf("%d ids of the two pictures of bay 2, want one of each", got)
	}
	// Full: none but those of the worst bays.
	wide, asked = mostWithPhones/len(r.Bays), 0
	written(t, r)
	if asked > worstBays {
		t.Errorf("%d narrow pictures where there is no room for them, want at most %d", asked, worstBays)
	}
}

// TestSummaryAlone: page one alone has the questions and the cautions, no script, no section that it would link to.
func TestSummaryAlone(t *testing.T) {
	var b bytes.Buffer
	if err := Write(&b, exampleReport(), Options{Summary: true}); err != nil {
		t.Fatal(err)
	}
	page := b.String()
	for _, want := range []string{"To be decided today", "Before you rely on this"} {
		if !strings.Contains(page, want) {
			t.Errorf("it does not say %q", want)
		}
	}
	for _, bad := range []string{"<script", "<details", `id="decide"`, `href="#`, `id="list"`} {
		if strings.Contains(page, bad) {
			t.Errorf("%q stands in it", bad)
		}
	}
}

// TestLink: the files beside the page are named in it, and it can be written to look for them in a folder.
func TestLink(t *testing.T) {
	res := example.Result()
	rep := meeting.Make(meeting.Input{Result: res, Date: "2026-03-09"})
	rep.Beside = []string{"report.pdf", "findings.csv"}
	var b bytes.Buffer
	if err := Write(&b, rep, Options{}); err != nil {
		t.Fatal(err)
	}
	there := b.String()
	inside := string(Link(b.Bytes(), rep.Beside, ".new-7"))
	for _, n := range rep.Beside {
		if strings.Count(there, `<a href="`+n+`">`+n+`</a>`) != 1 || strings.Count(inside, `<a href=".new-7/`+n+`">`+n+`</a>`) != 1 || strings.Contains(inside, `href="`+n) {
			t.Errorf("%s is not linked to", n)
		}
	}
	if len(inside)-len(there) != 2*len(".new-7/") {
		t.Error("something else changed")
	}
}
