package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"path/filepath"
	"strings"
	"testing"

	"voidline/clash/figure"
	"voidline/clash/finding"
)

// One thing has one figure: of every finding of the demo the shortfall, the gap and the level are the same in JSON, CSV,
// text, Markdown, the register and the exchange file, whole millimetres being those of the record's tenths.
func TestOneFigure(t *testing.T) {
	dir, _, _ := demo(t, nil)
	ask := func(args ...string) string {
		t.Helper()
		if status, out, errs := voidline(args...); status > 1 {
			t.Fatalf("%v: exit %d, %s", args, status, errs)
		} else {
			return out
		}
		return ""
	}
	var res finding.Result
	if err := json.Unmarshal([]byte(ask("check", dir, "--format", "json")), &res); err != nil {
		t.Fatal(err)
	}
	if len(res.Findings) < 20 {
		t.Fatalf("%d findings: too few to show anything", len(res.Findings))
	}
	table := func(name, id, text string) map[string]map[string]string {
		t.Helper()
		rows, err := csv.NewReader(strings.NewReader(strings.TrimPrefix(text, "\ufeff"))).ReadAll()
		if err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		out := map[string]map[string]string{}
		for _, r := range rows[1:] {
			m := map[string]string{}
			for k, c := range rows[0] {
				m[c] = r[k]
			}
			out[m[id]] = m
		}
		return out
	}
	sheet := table("csv", "finding", ask("check", dir, "--format", "csv"))
	out := filepath.Join(t.TempDir(), "out")
	ask("report", dir, "-o", out, "--register", "--bcf", "3.0")
	register := table("register", "finding", string(bytesOf(t, filepath.Join(dir, "register.csv"))))
	topics := unpacked(t, out)
	text, md := ask("check", dir, "--most", "0"), ask("check", dir, "--format", "markdown", "--most", "0")
	for i := range res.Findings {
		f := &res.Findings[i]
		short, level := figure.Up(f.Short), figure.Near(f.At.Level)
		if got := sheet[f.ID]["short"]; got != short {
			t.Errorf("%s: CSV says %q short, the record %v", f.ID, got, f.Short)
		}
		if got := register[f.ID]["short"]; got != short {
			t.Errorf("%s: the register says %q short, the record %v", f.ID, got, f.Short)
		}
		if s, r := sheet[f.ID]["level"], register[f.ID]["level"]; s != level || r != level {
			t.Errorf("%s: CSV says level %q, the register %q, the record %v", f.ID, s, r, f.At.Level)
		}
		if !strings.Contains(topics, short+" short") || !strings.Contains(topics, figure.Level(f.At.Level)) {
			t.Errorf("%s: no topic says %s short and %s", f.ID, short, figure.Level(f.At.Level))
		}
		for name, all := range map[string]string{"text": text, "markdown": md} {
			if !strings.Contains(all, f.ID) || !strings.Contains(all, figure.Level(f.At.Level)) {
				t.Errorf("%s: %s does not say %s", f.ID, name, figure.Level(f.At.Level))
			}
		}
	}
	if strings.Contains(text, " 0 short") {
		t.Error("something is short by 0")
	}
}

// unpacked returns all that stands in the exchange file of a report's folder.
func unpacked(t *testing.T, dir string) string {
	t.Helper()
	files, err := filepath.Glob(filepath.Join(dir, "*.bcf*"))
	if err != nil || len(files) != 1 {
		t.Fatalf("exchange files in %s: %v %v", dir, files, err)
	}
	var all bytes.Buffer
	repack(t, bytesOf(t, files[0]), func(_, text string) string { all.WriteString(text); return text })
	return all.String()
}
