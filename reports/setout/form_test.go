package setout_test

import (
	"bytes"
	"context"
	"encoding/csv"
	"io"
	"io/fs"
	"os"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/setout"
	"voidline/io/table"
	"voidline/reports/record"
	sheets "voidline/reports/setout"
)

// filled returns the demo with its form as surveyed.csv; fill writes the reading of a row, of which the drawn level is given from the datum line.
func filled(t *testing.T, sep rune, fill func(row map[string]string, drawn float64)) fstest.MapFS {
	t.Helper()
	p, _ := open(t, demo)
	var form, out bytes.Buffer
	if err := sheets.FormCSV(&form, setout.Form(p), []string{p.Storeys[0].Name}, sep); err != nil {
		t.Fatal(err)
	}
	r := csv.NewReader(&form)
	r.Comma = sep
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	w := csv.NewWriter(&out)
	w.Comma = sep
	for i, row := range rows {
		if i > 0 {
			cells := map[string]string{}
			for k, h := range rows[0] {
				cells[h] = row[k]
			}
			drawn, err := strconv.ParseFloat(cells["drawn"], 64)
			if err != nil {
				t.Fatal(err)
			}
			fill(cells, drawn)
			for k, h := range rows[0] {
				row[k] = cells[h]
			}
		}
		if err := w.Write(row); err != nil {
			t.Fatal(err)
		}
	}
	w.Flush()
	all := fstest.MapFS{"surveyed.csv": {Data: out.Bytes()}}
	for _, f := range must(os.ReadDir(demo)) {
		if strings.HasSuffix(f.Name(), ".csv") {
			all[f.Name()] = &fstest.MapFile{Data: must(os.ReadFile(demo + "/" + f.Name()))}
		}
	}
	return all
}

func must[T any](v T, err error) T {
	if err != nil {
		panic(err)
	}
	return v
}

// ask checks a project and returns the answer, and its JSON without the line of the survey.
func ask(t *testing.T, fsys fs.FS) (*finding.Result, string) {
	t.Helper()
	p, err := table.Open(context.Background(), "demo", table.Options{FS: fsys})
	if err != nil {
		t.Fatal(err)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1, Excused: true, Surveyed: true}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := record.Check(&b, res); err != nil {
		t.Fatal(err)
	}
	var keep []string
	for l := range strings.Lines(b.String()) {
		if !strings.HasPrefix(l, `"survey":`) {
			keep = append(keep, l)
		}
	}
	return res, strings.Join(keep, "")
}

// The form, filled in with what is drawn, is a survey that changes no byte but its note: from a laser 150 over the datum line, too, and with semicolons.
func TestTheFormFilledInWithWhatIsDrawn(t *testing.T) {
	_, want := ask(t, os.DirFS(demo))
	for _, sep := range []rune{',', ';'} {
		fsys := filled(t, sep, func(row map[string]string, drawn float64) {
			row["reading"] = strconv.FormatFloat(drawn-150, 'f', -1, 64)
			row["set-up"], row["by"] = "1", "RK"
		})
		res, got := ask(t, fsys)
		if got != want {
			t.Errorf("with %q: the answer is another", sep)
		}
		if s := res.Survey; s == nil || s.Bays != 10 || len(s.NotRead)+len(s.Differs)+len(s.Follows) != 0 || *s.Only != 0 || s.Readings < 70 || s.SetUps[0].Checks != 2 {
			t.Errorf("survey %+v", s)
		}
	}
}

// Ten bays as a new user walks them: some points cannot be seen, the laser is read 2 off at the end, the soffit of one bay is 30 lower.
func TestTheFormWalked(t *testing.T) {
	n := 0
	res, _ := ask(t, filled(t, ';', func(row map[string]string, drawn float64) {
		n++
		switch {
		case row["what"] == "datum" && row["no"] == "1":
			row["reading"] = "-150"
		case row["what"] == "datum":
			row["reading"] = "-152"
		case n%9 == 0:
			row["not seen"] = "yes"
		case row["bay"] == "B-C/1-2" && row["what"] == "soffit":
			row["reading"] = strings.ReplaceAll(strconv.FormatFloat(drawn-151-30, 'f', -1, 64), ".", ",")
		default:
			row["reading"] = strings.ReplaceAll(strconv.FormatFloat(drawn-151, 'f', -1, 64), ".", ",")
		}
	}))
	s := res.Survey
	if s.NotSeen < 5 || s.NotSeen != s.Blank || len(s.SetUps) != 1 || s.SetUps[0].Misclose != 2 {
		t.Errorf("%d not seen, %d blank, set-ups %+v", s.NotSeen, s.Blank, s.SetUps)
	}
	if len(s.Differs) != 1 || s.Differs[0].Of != "B-C/1-2" || s.Differs[0].Found != 3570 || s.Differs[0].By != -30 {
		t.Errorf("differs: %+v", s.Differs)
	}
}

// The form names every bay and every beam; no point of a soffit is under steel, and nothing is wider than the page.
func TestTheForm(t *testing.T) {
	p, _ := open(t, demo)
	points := setout.Form(p)
	seen := map[string]int{}
	for i, q := range points {
		if q.No != i+1 {
			t.Fatalf("point %d is No %d", i+1, q.No)
		}
		seen[q.What+" "+q.Bay+q.Zone]++
	}
	for j := range p.Bays {
		if n := seen["soffit "+p.Bays[j].Name]; n != 3 || seen["floor "+p.Bays[j].Name] != 1 {
			t.Errorf("bay %s: %d points of its soffit, %d of its floor", p.Bays[j].Name, n, seen["floor "+p.Bays[j].Name])
		}
	}
	if seen["steel SB-2A"] != 3 || points[0].What != "datum" || points[len(points)-1].What != "datum" {
		t.Errorf("SB-2A %d times, first %s, last %s", seen["steel SB-2A"], points[0].What, points[len(points)-1].What)
	}
	var b bytes.Buffer
	if err := sheets.FormText(&b, points, []string{p.Storeys[0].Name}, 60); err != nil {
		t.Fatal(err)
	}
	for l := range strings.Lines(b.String()) {
		if n := len([]rune(strings.TrimRight(l, "\n"))); n > 60 {
			t.Errorf("%d wide: %s", n, l)
		}
	}
	if err := sheets.FormCSV(io.Discard, nil, nil, ','); err != nil {
		t.Error(err)
	}
}
