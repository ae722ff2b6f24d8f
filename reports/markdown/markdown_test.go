package markdown_test

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"pgregory.net/rapid"

	"voidline/clash/finding"
	"voidline/reports/internal/example"
	"voidline/reports/internal/golden"
	"voidline/reports/markdown"
)

func check(t *testing.T, r *finding.Result, opt markdown.Options) string {
	t.Helper()
	var b bytes.Buffer
	if err := markdown.Check(&b, r, opt); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func TestCheck(t *testing.T) {
	golden.Equal(t, "check.md", []byte(check(t, example.Result(), markdown.Options{})))
	golden.Equal(t, "empty.md", []byte(check(t, example.Empty(), markdown.Options{})))
}

func TestCheckMost(t *testing.T) {
	out := check(t, example.Result(), markdown.Options{Most: 5})
	if got := strings.Count(out, "k7"); got != 5 {
		t.Errorf("%d findings written, want 5", got)
	}
	if !strings.Contains(out, "9 are not shown") {
		t.Error("that 9 are not shown is not said")
	}
}

func TestEscape(t *testing.T) {
	for _, test := range []struct{ in, want string }{
		{"", ""},
		{"B-07, 25.5 clear (UB 203) + more", "B-07, 25.5 clear (UB 203) + more"},
		{"<script>alert(1)</script> a|b", `&lt;script&gt;alert(1)&lt;/script&gt; a\|b`},
		{"M&E &lt;", "M&amp;E &amp;lt;"},
		{"two\nlines\r\n\r\n# three", "two lines # three"},
		{"# one", `\# one`},
		{"- one", `\- one`},
		{"+ one", `\+ one`},
		{"=1+1", `\=1+1`},
		{"12. one", `12\. one`},
		{"12) one", `12\) one`},
		{"**a** _b_ `c` ~d~ [e](f) ![g](h) \\ $i$", "\\*\\*a\\*\\* \\_b\\_ \\`c\\` \\~d\\~ \\[e\\](f) \\!\\[g\\](h) \\\\ \\$i\\$"},
		{"http://evil", "http&#58;//evil"},
		{"a\x1b[31m", "a\ufffd\\[31m"},
	} {
		if got := markdown.Escape(test.in); got != test.want {
			t.Errorf("Escape(%q) = %q, want %q", test.in, got, test.want)
		}
	}
}

// Whatever the names are, a table row keeps its number of cells and no tag comes from a name.
func TestCheckAnyNames(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.OneOf(rapid.String(), rapid.StringMatching(`[|<>\\&\n\r#a-c*]{0,12}`)).Draw(t, "name")
		bay := name
		r := &finding.Result{
			Project:       name,
			Findings:      []finding.Finding{{ID: name, Kind: finding.Tight, A: name, B: &name, ATrade: name, BTrade: name, Bay: &bay, Rule: name, Note: name}},
			BuildersWork:  []finding.Hole{{Service: name, In: name, Row: name, InRow: name, Bay: &bay, Storey: name}},
			ToBeProtected: []finding.Protection{{Of: name, From: name, Rule: name}},
			Excused:       map[string]int{name: 1},
			Unchecked:     []finding.Note{{Zone: name, Text: name}},
			Warnings:      []finding.Issue{{File: name, Text: name}},
			Cautions:      []string{name},
		}
		var b bytes.Buffer
		if err := markdown.Check(&b, r, markdown.Options{}); err != nil {
			t.Fatal(err)
		}
		out := b.String()
		if s := strings.ReplaceAll(out, "<br>", ""); strings.ContainsAny(s, "<>") {
			t.Fatalf("a tag that is not ours:\n%s", out)
		}
		cells := 0
		for _, l := range strings.Split(out, "\n") {
			if !strings.HasPrefix(l, "|") {
				cells = 0
				continue
			}
			n := bars(l)
			if cells != 0 && n != cells {
				t.Fatalf("%d cell ends in a row of a table of %d:\n%s", n, cells, l)
			}
			cells = n
		}
	})
}

// bars counts the bars of a row that are not escaped.
func bars(l string) int {
	n := 0
	for i := 0; i < len(l); i++ {
		switch l[i] {
		case '\\':
			i++
		case '|':
			n++
		}
	}
	return n
}

type broken struct{}

var errDisk = errors.New("disk full")

func (broken) Write([]byte) (int, error) { return 0, errDisk }

func TestCheckWriteError(t *testing.T) {
	if err := markdown.Check(broken{}, example.Result(), markdown.Options{}); !errors.Is(err, errDisk) {
		t.Errorf("Check returned %v, want %v", err, errDisk)
	}
}
