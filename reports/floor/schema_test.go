package floor

import (
	"bytes"
	"context"
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
	"voidline/clash/setout"
	"voidline/io/table"
)

func compiled(t *testing.T) *jsonschema.Schema {
	t.Helper()
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema.Line()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("line.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("line.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

// The demo's document fits the schema, with one line and with two; a document that is wrong does not.
func TestRecordFitsTheSchema(t *testing.T) {
	s := compiled(t)
	p, err := table.Open(context.Background(), "../../testdata/demo", table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	var text []byte
	for _, set := range []setout.FloorSettings{{Trade: "ductwork"}, {Lines: 2}, {}} {
		f, err := setout.Strike(p, clash.Open(p, clash.Options{Touch: clash.None, Once: true}), set)
		if err != nil {
			t.Fatal(err)
		}
		var b bytes.Buffer
		if err := (&Sheet{Project: p, Floor: f}).JSON(&b); err != nil {
			t.Fatal(err)
		}
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(b.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(v); err != nil {
			t.Errorf("%+v: %v", set, err)
		}
		text = b.Bytes()
		// SA1 comes in a main and six branches, which setout numbers from the longest down.
		if named := bytes.Contains(text, []byte(`"part": "2 of 7"`)); named != (set.Trade != "") {
			t.Errorf("%+v: a place is said to be on length 2 of 7: %v", set, named)
		}
	}
	for _, wrong := range []struct {
		name string
		make func(doc map[string]any)
	}{
		{"a key too many", func(d map[string]any) { d["more"] = 1 }},
		{"no strike", func(d map[string]any) { delete(d, "strike") }},
		{"a level in words", func(d map[string]any) { d["strike"].(map[string]any)["ffl"] = "FFL+2700" }},
		{"a list that is null", func(d map[string]any) { d["left_out"] = nil }},
		{"half a place", func(d map[string]any) { d["places"].([]any)[0].(map[string]any)["at"] = []any{"B+86"} }},
		{"a place before the start", func(d map[string]any) { d["places"].([]any)[0].(map[string]any)["from"] = -1 }},
		{"half a length", func(d map[string]any) { delete(d["length"].(map[string]any), "clear") }},
		{"a place with a part too many", func(d map[string]any) { d["places"].([]any)[0].(map[string]any)["depth"] = 1 }},
		{"2.5 places", func(d map[string]any) { d["curve"].([]any)[0].(map[string]any)["places"] = 2.5 }},
	} {
		var d map[string]any
		if err := json.Unmarshal(text, &d); err != nil {
			t.Fatal(err)
		}
		wrong.make(d)
		if s.Validate(d) == nil {
			t.Errorf("%s: it fits all the same", wrong.name)
		}
	}
}

// The schema names the keys of the record: all of them, no other, and what may be left out is just what the record leaves out. Every
// object and every key is described.
func TestSchemaFitsTheRecord(t *testing.T) {
	type object struct {
		Description string
		Properties  map[string]struct {
			Description string
			Ref         string `json:"$ref"`
		}
		Required   []string
		Additional *bool `json:"additionalProperties"`
	}
	var all struct {
		object
		Defs map[string]object `json:"$defs"`
	}
	if err := json.Unmarshal(schema.Line(), &all); err != nil {
		t.Fatal(err)
	}
	records := map[string]reflect.Type{
		"": reflect.TypeFor[record](), "level": reflect.TypeFor[level](), "bottom": reflect.TypeFor[bottom](), "length": reflect.TypeFor[length](),
		"place": reflect.TypeFor[place](), "laid": reflect.TypeFor[laid](), "set": reflect.TypeFor[set](), "gives": reflect.TypeFor[gives](), "gain": reflect.TypeFor[gain](),
		"curve": reflect.TypeFor[curve](), "hanger": reflect.TypeFor[hanger](), "two": reflect.TypeFor[two](), "line_of": reflect.TypeFor[lineOf](),
		"taken": reflect.TypeFor[taken](), "tier": reflect.TypeFor[tier](), "left_out": reflect.TypeFor[leftOut](),
	}
	if d := cmp.Diff(slices.Sorted(maps.Keys(records))[1:], slices.Sorted(maps.Keys(all.Defs))); d != "" {
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
			p := o.Properties[key]
			if p.Description == "" && all.Defs[strings.TrimPrefix(p.Ref, "#/$defs/")].Description == "" {
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
