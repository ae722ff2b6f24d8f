package schema_test

import (
	"bytes"
	"encoding/json"
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"voidline/clash/finding"
	"voidline/clash/schema"
)

func TestFindingsCompiles(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema.Findings()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("findings.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	if _, err := c.Compile("findings.schema.json"); err != nil {
		t.Fatal(err)
	}
}

func TestFindingsIsACopy(t *testing.T) {
	b := schema.Findings()
	b[0] = 'x'
	if schema.Findings()[0] == 'x' {
		t.Error("a change of what Findings returned changed the schema")
	}
}

type object struct {
	Description string
	Properties  map[string]struct{ Description, Ref string }
	Required    []string
	Additional  *bool `json:"additionalProperties"`
}

// The schema names the keys of the records: all of them, no other, and what may be left out is just
// what the records leave out. Every object and every key is described.
func TestFindingsFitsTheRecords(t *testing.T) {
	var all struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(schema.Findings(), &all); err != nil {
		t.Fatal(err)
	}
	records := map[string]reflect.Type{
		"":           reflect.TypeFor[finding.Result](),
		"finding":    reflect.TypeFor[finding.Finding](),
		"support_no": reflect.TypeFor[finding.SupportNo](),
		"spot":       reflect.TypeFor[finding.Spot](),
		"depth":      reflect.TypeFor[finding.Depth](),
		"also":       reflect.TypeFor[finding.Also](),
		"move":       reflect.TypeFor[finding.Move](),
		"meets":      reflect.TypeFor[finding.Meets](),
		"hole":       reflect.TypeFor[finding.Hole](),
		"together":   reflect.TypeFor[finding.Together](),
		"protection": reflect.TypeFor[finding.Protection](),
		"joint":      reflect.TypeFor[finding.Joint](),
		"question":   reflect.TypeFor[finding.Question](),
		"join_cell":  reflect.TypeFor[finding.JoinCell](),
		"doubt":      reflect.TypeFor[finding.Doubt](),
		"tolerance":  reflect.TypeFor[finding.Tolerance](),
		"comes_down": reflect.TypeFor[finding.ComesDown](),

		"excused_pair":      reflect.TypeFor[finding.ExcusedPair](),
		"tolerance_used":    reflect.TypeFor[finding.ToleranceUsed](),
		"tolerance_default": reflect.TypeFor[finding.ToleranceDefault](),

		"in_room":         reflect.TypeFor[finding.InRoom](),
		"through_ceiling": reflect.TypeFor[finding.Through](),

		"survey":  reflect.TypeFor[finding.Survey](),
		"set_up":  reflect.TypeFor[finding.SetUp](),
		"differs": reflect.TypeFor[finding.Differs](),
		"follows": reflect.TypeFor[finding.Follows](),

		"issue":   reflect.TypeFor[finding.Issue](),
		"note":    reflect.TypeFor[finding.Note](),
		"counts":  reflect.TypeFor[finding.Counts](),
		"held":    reflect.TypeFor[finding.Held](),
		"limits":  reflect.TypeFor[finding.Limits](),
		"checked": reflect.TypeFor[finding.Checked](),
	}
	got := slices.Sorted(maps.Keys(all.Defs))
	want := slices.Sorted(maps.Keys(records))[1:] // without the whole
	if d := cmp.Diff(want, got); d != "" {
		t.Errorf("records in the schema (-want +got):\n%s", d)
	}
	for name, typ := range records {
		o := all.object
		if name != "" {
			o = all.Defs[name]
		}
		var keys, required []string
		for i := range typ.NumField() {
			key, rest, _ := strings.Cut(typ.Field(i).Tag.Get("json"), ",")
			keys = append(keys, key)
			if rest != "omitempty" {
				required = append(required, key)
			}
			if p := o.Properties[key]; p.Description == "" && key != "checked" && key != "counts" {
				t.Errorf("%s %q has no description", name, key)
			}
		}
		if d := cmp.Diff(slices.Sorted(slices.Values(keys)), slices.Sorted(maps.Keys(o.Properties))); d != "" {
			t.Errorf("%q: keys (-record +schema):\n%s", name, d)
		}
		if d := cmp.Diff(required, o.Required); d != "" {
			t.Errorf("%q: required (-record +schema):\n%s", name, d)
		}
		if o.Description == "" || o.Additional == nil || *o.Additional {
			t.Errorf("%q: wants a description and no other keys", name)
		}
	}
}
