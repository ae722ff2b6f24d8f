package clash_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"pgregory.net/rapid"

	"voidline/clash"
	"voidline/clash/tolerance"
	"voidline/io/table"
	"voidline/void"
)

// with returns tables with a survey beside them.
func with(fs fstest.MapFS, rows ...string) fstest.MapFS {
	fs["surveyed.csv"] = &fstest.MapFile{Data: []byte("what,storey,place,bay,zone,level\n" + strings.Join(rows, "\n") + "\n")}
	return fs
}

// openedAsFound opens the building with a survey of all kinds: soffits lower, a row and beams elsewhere.
func (b *building) openedAsFound(t *testing.T) *void.Project {
	t.Helper()
	var rows []string
	for i := range b.bays {
		if y := &b.bays[i]; i%2 == 0 {
			rows = append(rows, fmt.Sprintf("soffit,%s,,%s,,project%+g", y.storey, y.name, tenth(b.z(y.storey, y.soffit)-25)))
		}
	}
	for i := range b.rows {
		if r := &b.rows[i]; i%9 == 0 && r.level.ref == "FFL" && r.upper == nil {
			rows = append(rows, fmt.Sprintf("zone,,,,%s,FFL%+g", r.id, r.level.mm-15))
		}
	}
	for _, steel := range []string{"steel,Level 1,,B-C/1-2,,FFL+3150", "steel,Level 2,,B-C/1-2,,FFL+3150"} {
		if _, err := table.Open(context.Background(), "random", table.Options{FS: with(b.files(spelling{}), steel)}); err == nil {
			rows = append(rows, steel)
		}
	}
	p, err := table.Open(context.Background(), "random", table.Options{FS: with(b.files(spelling{}), rows...)})
	if err != nil {
		t.Fatal(err)
	}
	return p
}

// unsurveyed returns an answer without what it says of the survey.
func unsurveyed(doc []byte) []byte {
	var out [][]byte
	for _, l := range bytes.Split(doc, []byte("\n")) {
		if !bytes.HasPrefix(l, []byte(`"survey":`)) {
			out = append(out, bytes.ReplaceAll(l, []byte(`,"surveyed":true`), nil))
		}
	}
	return bytes.Join(out, []byte("\n"))
}

// A survey that finds the soffits of a storey, or one of them, lower finds what tables with those soffits find: every finding, move and note.
// A survey that is equal to the drawings changes no byte but its note.
func TestASurveyIsATableWithWhatItFound(t *testing.T) {
	rapid.Check(t, func(rt *rapid.T) {
		seed := rapid.Uint64Range(1, 1000).Draw(rt, "seed")
		b := random(seed, mix{zones: 40, storeys: 2, gaps: 3})
		for i := range b.bays { // one soffit to a storey, so that rows from it may go through bays
			b.bays[i].soffit = end{"FFL", 3700}
		}
		lower := rapid.SampledFrom([]float64{0, 0, 12, 40, 70}).Draw(rt, "lower")
		all := rapid.Bool().Draw(rt, "all bays")
		one := rapid.IntRange(0, len(b.bays)-1).Draw(rt, "bay")
		found := b.copy()
		if !all { // a row from the soffit of several bays could not be written with one of them lower
			for i := range b.rows {
				if r := &b.rows[i]; r.level.ref == "soffit" || r.upper != nil && r.upper.ref == "soffit" {
					b.absolute(r)
				}
			}
			found = b.copy()
		}
		var rows []string
		for i := range b.bays {
			y := &b.bays[i]
			if !all && i != one || all && y.storey != b.bays[one].storey {
				continue
			}
			y2 := &found.bays[i]
			y2.soffit.mm -= lower
			at := tenth(b.z(y2.storey, y2.soffit))
			switch rapid.IntRange(0, 2).Draw(rt, "way") {
			case 0:
				rows = append(rows, fmt.Sprintf("soffit,%s,,%s,,project%+g", y.storey, y.name, at))
			case 1: // the lowest of several counts
				rows = append(rows, fmt.Sprintf("soffit,%s,,%s,,project%+g", y.storey, y.name, at+35), fmt.Sprintf("soffit,%s,\"%g, %g\",,,project%+g", y.storey, y.x1+900, y.y1+900, at))
			case 2:
				rows = append(rows, fmt.Sprintf("soffit,%s,\"%g, %g\",,,project%+g", y.storey, (y.x1+y.x2)/2, (y.y1+y.y2)/2, at))
			}
		}
		opt := clash.Options{Touch: 1, Excused: true, Tolerance: tolerance.WorstCase}
		if lower == 0 { // rows that are where they are drawn, and are moved from there
			opt.Proved = true
			for i := range b.rows {
				if r := &b.rows[i]; r.level.ref == "FFL" && r.upper == nil && r.face == "" {
					rows = append(rows, fmt.Sprintf("zone,,,,%s,FFL%+g", r.id, r.level.mm))
				}
			}
		}
		want := document(t, askFS(t, found.files(spelling{}), opt))
		is := askFS(t, with(b.files(spelling{}), rows...), opt)
		if d := differ(want, unsurveyed(document(t, is))); d != "" {
			rt.Fatalf("seed %d, %g lower, all %t: %s\n%s", seed, lower, all, d, strings.Join(rows, "\n"))
		}
	})
}
