package findings_test

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash/finding"
	"voidline/io/findings"
	"voidline/void"
	"voidline/void/cell"
)

// document is a small answer as it is written, with a line for each key.
const document = `{
"voidline": "0.1",
"project": "Tŷ",
"checked": {"storeys":1,"bays":1,"zones":2,"by_trade":{"ductwork":1,"pipework":1},"rules":3,"pairs":1},
"rows_missing": 0,
"counts": {"overlap":1,"tight":0,"access":0},
"problem_count": 1,
"findings": [
{"id":"abcdefghijkl","kind":"overlap","a":"D-1","b":"P-1","a_trade":"ductwork","b_trade":"pipework","a_row":"d.csv:2","b_row":"p.csv:2","bay":"A-B/1-2","storey":"","at":{"x":1200,"y":-3.5,"z":6700,"level":2700,"where":"B+1200, grid 2"},"gap":0,"overlap":{"vertical":35.9,"sideways":null},"asked":25,"short":60.9,"side":"around","rule":"r","basis":"geometry","by_height":false,"also":[],"gives_way":"P-1","moves":[{"zone":"P-1","direction":"up","by":60.9}],"note":"","a_run":"","b_run":"CHW","a_kind":"duct","b_kind":"pipe","cost":"small","problem":"mnopqrstuvwx"}],
"builders_work": [],
"to_be_protected": [],
"excused": {},
"warnings": [],
"problems": [],
"unchecked": [{"text":"n"}],
"cautions": []
}
`

func to[T any](v T) *T { return &v }

func TestParse(t *testing.T) {
	got, problems := findings.Parse("a.json", []byte(document))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	want := &finding.Result{
		Voidline: "0.1", Project: "Tŷ",
		Checked: finding.Checked{Storeys: 1, Bays: 1, Zones: 2, ByTrade: map[string]int{"ductwork": 1, "pipework": 1}, Rules: 3, Pairs: 1},
		Counts:  finding.Counts{Overlap: 1}, Problems: 1,
		Findings: []finding.Finding{{
			ID: "abcdefghijkl", Kind: finding.Overlap, A: "D-1", B: to("P-1"), ATrade: "ductwork", BTrade: "pipework", ARow: "d.csv:2", BRow: "p.csv:2",
			Bay: to("A-B/1-2"), At: finding.Spot{X: 1200, Y: -3.5, Z: 6700, Level: 2700, Where: "B+1200, grid 2"}, Depth: &finding.Depth{Vertical: 35.9},
			Asked: 25, Short: 60.9, Side: cell.Around, Rule: "r", Basis: "geometry", Also: []finding.Also{}, GivesWay: "P-1",
			Moves: []finding.Move{{Zone: "P-1", Direction: "up", By: 60.9}}, BRun: "CHW", AKind: "duct", BKind: "pipe",
			Cost: "small", ProblemID: "mnopqrstuvwx",
		}},
		BuildersWork: []finding.Hole{}, ToBeProtected: []finding.Protection{}, Excused: map[string]int{}, Warnings: []finding.Issue{},
		InputProblems: []finding.Issue{}, Unchecked: []finding.Note{{Text: "n"}}, Cautions: []string{},
	}
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("Parse (-want +got):\n%s", d)
	}
	withMark, problems := findings.Parse("a.json", append([]byte("\xef\xbb\xbf"), document...))
	if len(problems) > 0 || !cmp.Equal(withMark, got) {
		t.Errorf("with a byte order mark: %v", problems)
	}
}

func TestParseSaysWhere(t *testing.T) {
	for _, test := range []struct{ name, old, new, want string }{
		{"unknown key", `"gap":0`, `"gap":0,"gapp":[{"x":1}]`, `a.json:9:245: unknown key "findings[0].gapp" (was it written by another version?)`},
		{"missing key", `"a":"D-1",`, ``, `a.json:9:1: key "findings[0].a" is missing`},
		{"key twice", `"gap":0`, `"gap":0,"gap":1`, `a.json:9:245: key "findings[0].gap" is there twice; give each key once`},
		{"key in another case", `"gap":0`, `"Gap":0`, `a.json:9:237: unknown key "findings[0].Gap" (was it written by another version?)`},
		{"text for a length", `"gap":0`, `"gap":"0"`, `a.json:9:243: findings[0].gap: a text; give a length in mm`},
		{"list for an object", `"at":{"x":1200,"y":-3.5,"z":6700,"level":2700,"where":"B+1200, grid 2"}`, `"at":[1,[2]]`, `a.json:9:170: findings[0].at: a list; give an object`},
		{"null for text", `"a":"D-1"`, `"a":null`, `a.json:9:43: findings[0].a: a null; give text`},
		{"too long", `"gap":0`, `"gap":1e10`, `a.json:9:243: findings[0].gap: 1e10; give a length in mm`},
		{"half a bay", `"bays":1,`, `"bays":1.5,`, `a.json:4:32: checked.bays: 1.5; give a whole number, not negative`},
		{"no kind", `"kind":"overlap"`, `"kind":"clash"`, `a.json:9:1: findings[0]: kind "clash"; give overlap, tight or access`},
		{"overlap without depth", `"overlap":{"vertical":35.9,"sideways":null}`, `"overlap":null`, `a.json:9:1: findings[0]: an overlap with overlap null; give its depth`},
		{"no id", `abcdefghijkl`, `ABCDEFGHIJKL`, `a.json:9:1: findings[0]: id "ABCDEFGHIJKL"; give 12 letters of a to z and 2 to 7`},
		{"counts", `"counts": {"overlap":1`, `"counts": {"overlap":2`, `a.json:1:1: counts say {Overlap:2 Tight:0 Access:0} where the findings are {Overlap:1 Tight:0 Access:0} (was a part taken out?)`},
		{"problem count", `"problem_count": 1`, `"problem_count": 2`, `a.json:1:1: problem_count says 2 where the findings make 1 (was a part taken out?)`},
		{"broken off", "\"cautions\": []\n}\n", "\"cautions\": [", `a.json:16:14: the document breaks off (was it written to the end?)`},
		{"no JSON", `"rows_missing": 0`, `"rows_missing": zero`, `a.json:5:17: no JSON: invalid character 'z' looking for beginning of value`},
		{"text behind", "\"cautions\": []\n}\n", "\"cautions\": []\n}\n{}", `a.json:18:1: text behind the document`},
		{"same key in a table", `"ductwork":1`, `"pipework":1`, `a.json:4:69: checked.by_trade: key "pipework" is there twice; give each key once`},
		{"not UTF-8", `Tŷ`, "T\xff", `a.json:3:14: not UTF-8; give a JSON document`},
	} {
		if !strings.Contains(document, test.old) {
			t.Fatalf("%s: %q is not in the document", test.name, test.old)
		}
		r, problems := findings.Parse("a.json", []byte(strings.Replace(document, test.old, test.new, 1)))
		if r != nil || len(problems) == 0 {
			t.Errorf("%s: no problem", test.name)
			continue
		}
		if got := problems[0].String(); got != test.want {
			t.Errorf("%s: %s\nwant %s", test.name, got, test.want)
		}
	}
	for _, test := range []struct{ text, want string }{
		{"", "a.json:1:1: the file is empty; give the JSON answer of a check"},
		{"[]", "a.json:1:1: a list; give an object"},
		{"null", "a.json:1:1: a null; give an object"},
	} {
		if _, problems := findings.Parse("a.json", []byte(test.text)); len(problems) != 1 || problems[0].String() != test.want {
			t.Errorf("Parse(%q) says %v, want %s", test.text, problems, test.want)
		}
	}
}

// Older answers say of no finding what it costs and which problem it is part of; how many problems they come to is their word.
func TestParseOlder(t *testing.T) {
	old := strings.Replace(document, `,"cost":"small","problem":"mnopqrstuvwx"`, "", 1)
	old = strings.Replace(old, `"problem_count": 1`, `"problem_count": 7`, 1)
	if r, problems := findings.Parse("a.json", []byte(old)); len(problems) > 0 || r.Problems != 7 || r.Findings[0].Problem() == "" {
		t.Errorf("%v", problems)
	}
}

func TestParseTellsAtMostFifty(t *testing.T) {
	text := strings.Replace(document, `"excused": {}`, `"excused": {`+strings.TrimSuffix(strings.Repeat(`"a":1,`, 200), ",")+`}`, 1)
	if _, problems := findings.Parse("a.json", []byte(text)); len(problems) != 50 {
		t.Errorf("%d problems, want 50", len(problems))
	}
	deep := strings.Replace(document, `"excused": {}`, `"excused": {}, "x": `+strings.Repeat("[", 200000)+strings.Repeat("]", 200000), 1)
	if _, problems := findings.Parse("a.json", []byte(deep)); len(problems) == 0 {
		t.Error("200000 lists in each other: no problem")
	}
}

func TestOpen(t *testing.T) {
	dir := t.TempDir()
	if _, err := findings.Open(dir); err == nil || !strings.Contains(err.Error(), "is a folder") {
		t.Errorf("a folder: %v", err)
	}
	if _, err := findings.Open(filepath.Join(dir, "none.json")); err == nil || !strings.Contains(err.Error(), "none.json: no such file") {
		t.Errorf("a file that is not there: %v", err)
	}
	name := filepath.Join(dir, "week 1.json")
	if err := os.WriteFile(name, []byte(document+"x"), 0o644); err != nil {
		t.Fatal(err)
	}
	var bad void.Problems
	if res, err := findings.Open(name); res != nil || !errors.As(err, &bad) || len(bad) != 1 || bad[0].File != "week 1.json" {
		t.Errorf("Open = %v, %v, want one problem", res, err)
	}
}

// FuzzParse wants no panic, and that what is taken agrees with itself.
func FuzzParse(f *testing.F) {
	f.Add([]byte(document))
	f.Add([]byte(`{"findings":[{}`))
	f.Add([]byte(`[[[{"a":[]}]]]`))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, problems := findings.Parse("f", data)
		if (r == nil) != (len(problems) > 0) {
			t.Fatalf("result %v, problems %v", r != nil, problems)
		}
		lines := bytes.Count(data, []byte("\n")) + 1
		for _, p := range problems {
			if p.Line < 1 || p.Line > lines || p.Column < 1 {
				t.Fatalf("%v: no such place", p)
			}
		}
		if r != nil {
			if n := r.Counts.Overlap + r.Counts.Tight + r.Counts.Access; n != len(r.Findings) {
				t.Fatal(fmt.Sprint(n, " counted of ", len(r.Findings)))
			}
		}
	})
}
