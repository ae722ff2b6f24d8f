package record_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"
	"pgregory.net/rapid"

	"voidline/clash/finding"
	"voidline/clash/rules"
	"voidline/clash/schema"
	"voidline/reports/internal/example"
	"voidline/reports/internal/golden"
	"voidline/reports/record"
	"voidline/void/cell"
)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema.Findings()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("findings.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	return c.MustCompile("findings.schema.json")
}

func validate(s *jsonschema.Schema, doc []byte) error {
	v, err := jsonschema.UnmarshalJSON(bytes.NewReader(doc))
	if err != nil {
		return err
	}
	return s.Validate(v)
}

func written(t interface {
	Helper()
	Fatal(...any)
}, r *finding.Result,
) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := record.Check(&b, r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestCheck(t *testing.T) {
	s := compiled(t)
	for name, r := range map[string]*finding.Result{"check.json": example.Result(), "empty.json": example.Empty()} {
		doc := written(t, r)
		golden.Equal(t, name, doc)
		if err := validate(s, doc); err != nil {
			t.Errorf("%s: %v", name, err)
		}
	}
}

func TestCheckLeavesTheResult(t *testing.T) {
	r := example.Result()
	written(t, r)
	if d := cmp.Diff(example.Result(), r); d != "" {
		t.Errorf("Check changed the result:\n%s", d)
	}
}

// A document of another form is refused: one key at a time is given another type, left out, or joined
// by one that does not belong.
func TestSchemaRefuses(t *testing.T) {
	s := compiled(t)
	doc := written(t, example.Result())
	tried := 0
	var walk func(at string, v any, put func(any))
	var whole any
	if err := json.Unmarshal(doc, &whole); err != nil {
		t.Fatal(err)
	}
	try := func(at string) {
		t.Helper()
		text, err := json.Marshal(whole)
		if err != nil {
			t.Fatal(err)
		}
		if validate(s, text) == nil {
			t.Errorf("%s: accepted", at)
		}
		tried++
	}
	walk = func(at string, v any, put func(any)) {
		put([]any{[]any{}}) // nothing in a document is a list of a list
		try(at + " of another type")
		put(v)
		switch v := v.(type) {
		case map[string]any:
			free := strings.HasSuffix(at, ".by_trade") || strings.HasSuffix(at, ".excused")
			if !free {
				v["colour"] = "red"
				try(at + " with a key too many")
				delete(v, "colour")
			}
			for k, member := range v {
				walk(at+"."+k, member, func(x any) { v[k] = x })
				if may := free || k == "filter" || k == "cost" || k == "problem" || k == "in_room" || k == "through_ceiling" || // answers of older versions have none of these
					strings.HasPrefix(at, ".unchecked") && k != "text"; !may {
					delete(v, k)
					try(at + " without " + k)
				}
				v[k] = member
			}
		case []any:
			for i, member := range v {
				if i < 3 || i == len(v)-3 { // enough to meet each sort of finding
					walk(fmt.Sprintf("%s[%d]", at, i), member, func(x any) { v[i] = x })
				}
			}
		}
	}
	walk("", whole, func(x any) { whole = x })
	if tried < 300 {
		t.Errorf("only %d changes tried", tried)
	}
	if text, _ := json.Marshal(whole); validate(s, text) != nil {
		t.Error("the document is not put back as it was")
	}

	// Words that are none of the record's.
	for _, change := range [][2]string{
		{`"kind":"tight"`, `"kind":"clash"`},
		{`"basis":"practice"`, `"basis":"habit"`},
		{`"direction":"up"`, `"direction":"upwards"`},
		{`"side":"above"`, `"side":"over"`},
		{`"id":"k701mq3n4x2a"`, `"id":"k701"`},
		{`"kind":"overlap"`, `"kind":"tight"`}, // an overlap's depth with a tight gap
		{`"a":"B-07"`, `"a":""`},
		{`"bays":8`, `"bays":-8`},
		{`"rules":14`, `"rules":1.5`},
	} {
		other := strings.Replace(string(doc), change[0], change[1], 1)
		if other == string(doc) {
			t.Errorf("%s is not in the document", change[0])
		} else if validate(s, []byte(other)) == nil {
			t.Errorf("%s: accepted", change[1])
		}
	}
}

var spot = rapid.Custom(func(t *rapid.T) finding.Spot {
	l := rapid.Float64Range(-1e7, 1e7)
	return finding.Spot{X: l.Draw(t, "x"), Y: l.Draw(t, "y"), Z: l.Draw(t, "z"), Level: l.Draw(t, "level"), Where: rapid.String().Draw(t, "where")}
})

// results draws results as a check makes them: any names, any lengths.
func results(t *rapid.T) *finding.Result {
	name := rapid.StringN(1, -1, 30)
	text := rapid.String()
	length := rapid.OneOf(rapid.Float64Range(0, 1e6), rapid.SampledFrom([]float64{0, math.Copysign(0, -1), 1e-9, 0.05, 59.99999, 1e7}))
	may := func(g *rapid.Generator[string]) *string {
		if rapid.Bool().Draw(t, "null") {
			return nil
		}
		s := g.Draw(t, "text")
		return &s
	}
	side := rapid.SampledFrom([]cell.Towards{cell.Around, cell.Above, cell.Below, cell.Beside, cell.OneSide})
	basis := rapid.SampledFrom([]rules.Basis{rules.Law, rules.Maker, rules.Practice, rules.Geometry})
	n := func(label string) int { return rapid.IntRange(0, 3).Draw(t, label) }
	r := &finding.Result{
		Voidline: text.Draw(t, "version"), Project: text.Draw(t, "project"), Filter: text.Draw(t, "filter"),
		RowsMissing: n("missing"), Counts: finding.Counts{Overlap: n("overlap")}, Checked: finding.Checked{Bays: n("bays")},
	}
	if rapid.Bool().Draw(t, "trades") {
		r.Checked.ByTrade = rapid.MapOf(name, rapid.IntRange(0, 9)).Draw(t, "by trade")
		r.Excused = rapid.MapOf(name, rapid.IntRange(0, 9)).Draw(t, "excused")
	}
	for range n("findings") {
		f := finding.Finding{
			ID: rapid.StringMatching(`[a-z2-7]{12}`).Draw(t, "id"), Kind: rapid.SampledFrom([]finding.Kind{finding.Overlap, finding.Tight, finding.Access}).Draw(t, "kind"),
			A: name.Draw(t, "a"), ATrade: name.Draw(t, "a trade"), ARow: text.Draw(t, "a row"), ARun: text.Draw(t, "a run"), Bay: may(text), Storey: text.Draw(t, "storey"),
			At: spot.Draw(t, "at"), Asked: length.Draw(t, "asked"), Short: length.Draw(t, "short"), Side: side.Draw(t, "side"), Rule: text.Draw(t, "rule"),
			Basis: basis.Draw(t, "basis"), ByHeight: rapid.Bool().Draw(t, "by height"), GivesWay: text.Draw(t, "way"), Note: text.Draw(t, "note"),
		}
		if f.Kind != finding.Access || rapid.Bool().Draw(t, "two") {
			b := text.Draw(t, "b")
			f.B, f.BTrade, f.BRow, f.BRun = &b, name.Draw(t, "b trade"), text.Draw(t, "b row"), text.Draw(t, "b run")
		}
		if f.Kind == finding.Overlap {
			f.Depth = &finding.Depth{Vertical: length.Draw(t, "vertical")}
			if rapid.Bool().Draw(t, "sideways") {
				v := length.Draw(t, "sideways")
				f.Depth.Sideways = &v
			}
		} else {
			f.Gap = length.Draw(t, "gap")
		}
		for range n("also") {
			f.Also = append(f.Also, finding.Also{Rule: text.Draw(t, "rule"), Side: side.Draw(t, "side"), Gap: length.Draw(t, "gap"), Asked: 1, Short: 2, Basis: basis.Draw(t, "basis")})
		}
		for range n("moves") {
			f.Moves = append(f.Moves, finding.Move{Zone: name.Draw(t, "zone"), Direction: rapid.SampledFrom([]string{"up", "down", "left", "right"}).Draw(t, "direction"), By: length.Draw(t, "by")})
		}
		r.Findings = append(r.Findings, f)
	}
	for range n("holes") {
		r.BuildersWork = append(r.BuildersWork, finding.Hole{Service: name.Draw(t, "service"), In: name.Draw(t, "in"), Bay: may(text), At: spot.Draw(t, "at"), Width: length.Draw(t, "width")})
		r.ToBeProtected = append(r.ToBeProtected, finding.Protection{Of: name.Draw(t, "of"), From: name.Draw(t, "from"), Bay: may(text), Basis: basis.Draw(t, "basis"), At: spot.Draw(t, "at")})
		r.Warnings = append(r.Warnings, finding.Issue{File: text.Draw(t, "file"), Text: text.Draw(t, "text")})
		r.InputProblems = append(r.InputProblems, finding.Issue{Line: n("line")})
		r.Unchecked = append(r.Unchecked, finding.Note{Zone: text.Draw(t, "zone"), Text: text.Draw(t, "text")})
		r.Cautions = append(r.Cautions, text.Draw(t, "caution"))
	}
	return r
}

// Whatever a check finds: the document is as its schema says, reads back, comes out the same when it is
// written again, and holds no length with more than one decimal and no minus zero.
func TestCheckAnyResult(t *testing.T) {
	s := compiled(t)
	rapid.Check(t, func(t *rapid.T) {
		doc := written(t, results(t))
		if err := validate(s, doc); err != nil {
			t.Fatalf("%v\n%s", err, doc)
		}
		var back finding.Result
		d := json.NewDecoder(bytes.NewReader(doc))
		d.DisallowUnknownFields()
		if err := d.Decode(&back); err != nil {
			t.Fatal(err)
		}
		if again := written(t, &back); !bytes.Equal(doc, again) {
			t.Fatalf("written again:\n%s\nfirst:\n%s", again, doc)
		}
		d = json.NewDecoder(bytes.NewReader(doc))
		d.UseNumber()
		for {
			tok, err := d.Token()
			if err != nil {
				break
			}
			if n, ok := tok.(json.Number); ok {
				_, frac, _ := strings.Cut(n.String(), ".")
				if n == "-0" || len(frac) > 1 || strings.ContainsAny(n.String(), "eE") {
					t.Fatalf("the number %s", n)
				}
			}
		}
	})
}

func TestCheckNotFinite(t *testing.T) {
	r := example.Result()
	r.Findings[1].Moves[0].By = math.NaN()
	var b bytes.Buffer
	err := record.Check(&b, r)
	if !errors.Is(err, record.ErrNotFinite) || !strings.Contains(fmt.Sprint(err), "findings[1].moves[0].by") || b.Len() > 0 {
		t.Errorf("Check returned %v and wrote %d bytes, want %v at findings[1].moves[0].by and nothing", err, b.Len(), record.ErrNotFinite)
	}
	r = example.Result()
	*r.Findings[1].Depth.Sideways = math.Inf(1)
	if err := record.Check(&b, r); !errors.Is(err, record.ErrNotFinite) {
		t.Errorf("Check returned %v, want %v", err, record.ErrNotFinite)
	}
}

type broken struct{}

var errDisk = errors.New("disk full")

func (broken) Write([]byte) (int, error) { return 0, errDisk }

func TestCheckWriteError(t *testing.T) {
	if err := record.Check(broken{}, example.Result()); !errors.Is(err, errDisk) {
		t.Errorf("Check returned %v, want %v", err, errDisk)
	}
}
