package main

import (
	"bytes"
	"fmt"
	"reflect"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"voidline/clash/schema"
	"voidline/io/findings"
	"voidline/reports/record"
)

// The demo's answer with tolerances fits the schema, is read back as it was written, and is without them but for those
// two keys what it is without the flag.
func TestToleranceRecord(t *testing.T) {
	doc, err := jsonschema.UnmarshalJSON(bytes.NewReader(schema.Findings()))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("findings.schema.json", doc); err != nil {
		t.Fatal(err)
	}
	s := c.MustCompile("findings.schema.json")
	ask := func(more ...string) []byte {
		var out, errs bytes.Buffer
		args := append([]string{"voidline", "check", "../../testdata/demo", "--format", "json"}, more...)
		if status := run(args, nil, &out, &errs); status != statusFindings {
			t.Fatalf("%v: status %d, %s", more, status, errs.String())
		}
		return out.Bytes()
	}
	plain := ask()
	for _, way := range []string{"rss", "worst"} {
		text := ask("--tolerance", way)
		v, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(v); err != nil {
			t.Errorf("%s: %v", way, err)
		}
		res, problems := findings.Parse("answer.json", text)
		if len(problems) > 0 {
			t.Fatal(problems[0])
		}
		if len(res.Doubtful) < 5 {
			t.Errorf("%s: %d doubts in the demo: too few to show anything", way, len(res.Doubtful))
		}
		var again bytes.Buffer
		if err := record.Check(&again, res); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(again.Bytes(), text) {
			t.Errorf("%s: read and written again it is another document", way)
		}
		res.Tolerance, res.Doubtful = nil, nil
		again.Reset()
		if err := record.Check(&again, res); err != nil {
			t.Fatal(err)
		}
		if !bytes.Equal(again.Bytes(), plain) {
			t.Errorf("%s: the rest of the answer is another", way)
		}
	}
}

// What is said with the flag left out is said with --tolerance none, in every form, to the byte.
func TestToleranceNone(t *testing.T) {
	for _, form := range []string{"text", "markdown", "json", "csv"} {
		var got [2]string
		for i, more := range [][]string{nil, {"--tolerance", "none"}} {
			var out, errs bytes.Buffer
			status := run(append([]string{"voidline", "check", "../../testdata/demo", "--format", form}, more...), nil, &out, &errs)
			got[i] = fmt.Sprint(status, out.String(), errs.String())
		}
		if !reflect.DeepEqual(got[0], got[1]) {
			t.Errorf("%s: --tolerance none says another thing", form)
		}
	}
}
