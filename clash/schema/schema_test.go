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

	"voidline/clash"
	"voidline/clash/schema"
	"voidline/clash/support"
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
		"":           reflect.TypeFor[clash.Result](),
		"finding":    reflect.TypeFor[clash.Finding](),
		"support_no": reflect.TypeFor[support.No](),
		"spot":       reflect.TypeFor[clash.Spot](),
		"depth":      reflect.TypeFor[clash.Depth](),
		"also":       reflect.TypeFor[clash.Also](),
		"move":       reflect.TypeFor[clash.Move](),
		"meets":      reflect.TypeFor[clash.Meets](),
		"hole":       reflect.TypeFor[clash.Hole](),
		"together":   reflect.TypeFor[clash.Together](),
		"protection": reflect.TypeFor[clash.Protection](),
		"joint":      reflect.TypeFor[clash.Joint](),
		"question":   reflect.TypeFor[clash.Question](),
		"join_cell":  reflect.TypeFor[clash.JoinCell](),
		"doubt":      reflect.TypeFor[clash.Doubt](),
		"tolerance":  reflect.TypeFor[clash.Tolerance](),
		"comes_down": reflect.TypeFor[clash.ComesDown](),

		"excused_pair":      reflect.TypeFor[clash.ExcusedPair](),
		"tolerance_used":    reflect.TypeFor[clash.ToleranceUsed](),
		"tolerance_default": reflect.TypeFor[clash.ToleranceDefault](),

		"in_room":         reflect.TypeFor[clash.InRoom](),
		"through_ceiling": reflect.TypeFor[clash.Through](),

		"survey":  reflect.TypeFor[clash.Survey](),
		"set_up":  reflect.TypeFor[clash.SetUp](),
		"differs": reflect.TypeFor[clash.Differs](),
		"follows": reflect.TypeFor[clash.Follows](),

		"issue":   reflect.TypeFor[clash.Issue](),
		"note":    reflect.TypeFor[clash.Note](),
		"counts":  reflect.TypeFor[clash.Counts](),
		"held":    reflect.TypeFor[clash.Held](),
		"limits":  reflect.TypeFor[clash.Limits](),
		"checked": reflect.TypeFor[clash.Checked](),
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
