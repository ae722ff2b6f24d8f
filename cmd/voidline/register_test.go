package main

import (
	"archive/zip"
	"bytes"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/clash/register"
	"voidline/io/bcf"
	"voidline/io/findings"
	file "voidline/io/register"
	"voidline/io/table"
	"voidline/reports/meeting"
	"voidline/reports/message"
	pages "voidline/reports/page"
	"voidline/reports/record"
	"voidline/void"
)

// demo checks a copy of the demo project, after an edit of one of its tables.
func demo(t *testing.T, edit func(dir string)) (string, *void.Project, *finding.Result) {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "demo")
	if err := os.CopyFS(dir, os.DirFS(filepath.Join(root, "testdata", "demo"))); err != nil {
		t.Fatal(err)
	}
	if edit != nil {
		edit(dir)
	}
	p, res := checked(t, dir)
	return dir, p, res
}

func checked(t *testing.T, dir string) (*void.Project, *finding.Result) {
	t.Helper()
	p, err := table.Open(t.Context(), dir, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	if len(res.Findings) < 10 {
		t.Fatalf("%d findings in the demo: too few to show anything", len(res.Findings))
	}
	return p, res
}

// TestAnswerReadsBack: what reports write, io reads, and it is the same to the byte.
func TestAnswerReadsBack(t *testing.T) {
	_, _, res := demo(t, nil)
	var first, second bytes.Buffer
	if err := record.Check(&first, res); err != nil {
		t.Fatal(err)
	}
	got, problems := findings.Parse("demo.json", first.Bytes())
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	if err := record.Check(&second, got); err != nil {
		t.Fatal(err)
	}
	if !bytes.Equal(first.Bytes(), second.Bytes()) {
		t.Error("written, read and written again, the answer differs")
	}
}

// rename puts another id for a zone in every table of a folder.
func rename(t *testing.T, dir, from, to string) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.csv"))
	if err != nil {
		t.Fatal(err)
	}
	for _, n := range names {
		if filepath.Base(n) == file.Name {
			continue
		}
		data, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(n, bytes.ReplaceAll(data, []byte(from), []byte(to)), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

// TestRegisterOfTheDemo goes through two weeks of the demo: checked, agreed to by hand, sent out as an exchange
// file, answered, a zone renamed, checked again.
func TestRegisterOfTheDemo(t *testing.T) {
	dir, p, res := demo(t, nil)
	var errs strings.Builder
	w := &world{errs: &errs}
	o, err := updateRegister(w, dir, p, res, 1, "2026-03-02")
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Entries) != len(res.Findings) || !strings.HasPrefix(errs.String(), "register on 2026-03-02: ") {
		t.Errorf("%d entries for %d findings; said %q", len(o.Entries), len(res.Findings), errs.String())
	}
	name := filepath.Join(dir, file.Name)
	before, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	// The register beside the tables is no table.
	if _, again := checked(t, dir); len(again.Findings) != len(res.Findings) {
		t.Errorf("%d findings with the register in the folder, %d without", len(again.Findings), len(res.Findings))
	}
	if _, err := updateRegister(w, dir, p, res, 1, "2026-03-02"); err != nil {
		t.Fatal(err)
	}
	if after, err := os.ReadFile(name); err != nil || !bytes.Equal(before, after) {
		t.Errorf("updated again on one day it changed: %v", err)
	}

	// Out as an exchange file, and home again with an answer.
	for _, v := range []bcf.Version{bcf.V30, bcf.V21} {
		var out bytes.Buffer
		if err := bcf.Write(&out, exchange(p, res, o, nil, "2026-03-02", nil), v); err != nil {
			t.Fatal(err)
		}
		in, problems, told := bcf.Read("out.bcf", bytes.NewReader(out.Bytes()), int64(out.Len()))
		if len(problems)+len(told) > 0 {
			t.Fatal(problems, told)
		}
		if len(in.Topics) != len(res.Findings) {
			t.Errorf("%s: %d topics for %d findings", v, len(in.Topics), len(res.Findings))
		}
	}
	id := res.Findings[0].ID
	home := exchange(p, res, o, nil, "2026-03-05", nil)
	home.Topics[0].Status, home.Topics[0].AssignedTo = "agreed", "Zoë"
	home.Topics[0].Comments = []bcf.Comment{{On: "2026-03-04", Author: "J. Nowak", Text: "it can stand"}}
	var back bytes.Buffer
	if err := bcf.Write(&back, home, bcf.V30); err != nil {
		t.Fatal(err)
	}
	// Read as somebody else's: a comment whose GUID is not ours.
	exchangeFile := filepath.Join(t.TempDir(), "home.bcf")
	if err := os.WriteFile(exchangeFile, foreign(t, back.Bytes()), 0o644); err != nil {
		t.Fatal(err)
	}
	errs.Reset()
	if err := answersFrom(w, dir, exchangeFile); err != nil {
		t.Fatalf("%v\n%s", err, errs.String())
	}
	f, err := openRegister(w, dir)
	if err != nil {
		t.Fatal(err)
	}
	rows := f.Rows()
	if c := rows[0].Cells; c[register.ColFinding] != id || c[register.ColState] != "open" || c[register.ColReason] != "" || c[register.ColAgreedBy] != "" || c[register.ColAnswers] != "2026-03-04 J. Nowak: it can stand; status agreed" || c[register.ColOwner] != "Zoë" {
		t.Errorf("after the answer: %q", c)
	}
	// What came home stands in the report, in the message to the trade, and in the next exchange file.
	o, err = register.Update(rows, res, register.Options{Date: "2026-03-05", Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	rep := meeting.Make(meeting.Input{Result: res, Date: "2026-03-05", Register: o})
	var page, note bytes.Buffer
	if err := pages.Write(&page, rep, pages.Options{}); err != nil {
		t.Fatal(err)
	}
	if err := message.Write(&note, rep, message.Options{Trade: res.Findings[0].Mover(), Result: res, Width: 1000}); err != nil {
		t.Fatal(err)
	}
	for name, said := range map[string]string{"page": page.String(), "message": note.String()} {
		for _, want := range []string{"2026-03-04 J. Nowak: it can stand", "Zoë"} {
			if !strings.Contains(said, want) {
				t.Errorf("the %s does not say %q", name, want)
			}
		}
	}
	next := exchange(p, res, o, nil, "2026-03-09", nil)
	if topic := next.Topics[0]; topic.Status != "open" || topic.AssignedTo != "Zoë" || len(topic.Comments) != 1 || topic.Comments[0] != (bcf.Comment{On: "2026-03-04", Author: "J. Nowak", Text: "it can stand"}) {
		t.Errorf("the next exchange file: %+v", topic)
	}
	if err := os.WriteFile(name, bytes.Replace(data(t, name), []byte(id+",open,"), []byte(id+",agreed,"), 1), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err = openRegister(w, dir)
	if err != nil {
		t.Fatal(err)
	}
	rows = f.Rows()
	rows[0].Cells[register.ColReason], rows[0].Cells[register.ColAgreedBy] = "it can stand", "A. Bell"
	if _, err := f.Write(rows); err != nil {
		t.Fatal(err)
	}

	// Next week a zone has another id.
	zone := res.Findings[0].A
	if _, ok := p.ZoneByID(zone); !ok {
		zone = *res.Findings[0].B
	}
	rename(t, dir, zone, zone+"-new")
	p, res = checked(t, dir)
	errs.Reset()
	o, err = updateRegister(w, dir, p, res, 1, "2026-03-09")
	if err != nil {
		t.Fatal(err)
	}
	if len(o.Rows) != len(rows) || len(o.Matched) == 0 {
		t.Errorf("%d rows, %d before; %d matched\n%s", len(o.Rows), len(rows), len(o.Matched), errs.String())
	}
	if e := o.Entries[0]; e.State != register.Agreed || !e.Unconfirmed || e.News != register.IsAgreed || e.AgreedBy != "A. Bell" {
		t.Errorf("after the renaming: %+v", e)
	}
	// The topic of the earlier id is closed, and so is that of a finding that is cleared.
	closed := func(in *bcf.Package) (ids []string) {
		for _, topic := range in.Topics {
			if topic.Status == "closed" {
				ids = append(ids, topic.ID)
			}
		}
		return ids
	}
	if ids := closed(exchange(p, res, o, nil, "2026-03-09", nil)); !slices.Contains(ids, id) || len(ids) != len(o.Matched) {
		t.Errorf("closed: %v of %d matched", ids, len(o.Matched))
	}
	last := res.Findings[len(res.Findings)-1].ID
	fewer := *res
	fewer.Findings = res.Findings[:len(res.Findings)-1]
	o, err = register.Update(o.Rows, &fewer, register.Options{Date: "2026-03-16", Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	if ids := closed(exchange(p, &fewer, o, nil, "2026-03-16", nil)); !slices.Contains(ids, last) {
		t.Errorf("closed: %v, want %s among them", ids, last)
	}
	since, err := register.Compare(res, &fewer, register.CompareOptions{Touch: 1})
	if err != nil {
		t.Fatal(err)
	}
	if ids := closed(exchange(p, &fewer, nil, since, "2026-03-16", nil)); !slices.Equal(ids, []string{last}) {
		t.Errorf("closed since last time: %v, want %s", ids, last)
	}
}

func data(t *testing.T, name string) []byte {
	t.Helper()
	b, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	return b
}

// foreign gives the comments of an exchange file other GUIDs, as if another program had written them.
func foreign(t *testing.T, data []byte) []byte {
	t.Helper()
	p, problems, _ := bcf.Read("x", bytes.NewReader(data), int64(len(data)))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	return repack(t, data, func(name, text string) string {
		for _, topic := range p.Topics {
			for _, c := range topic.Comments {
				text = strings.ReplaceAll(text, c.GUID, "11111111-2222-3333-4444-555555555555")
			}
		}
		return text
	})
}

func TestUpdateRegisterRefuses(t *testing.T) {
	dir, p, res := demo(t, nil)
	w := &world{errs: &strings.Builder{}}
	narrowed := *res
	narrowed.Filter = "bay A"
	if _, err := updateRegister(w, dir, p, &narrowed, 1, "2026-03-02"); err == nil || !strings.Contains(err.Error(), "a register needs the whole result") {
		t.Errorf("a narrowed answer: %v", err)
	}
	if _, err := os.Stat(filepath.Join(dir, file.Name)); err == nil {
		t.Error("a register was made all the same")
	}
	if err := os.WriteFile(filepath.Join(dir, file.Name), []byte("finding,owner\nx,\"y\n"), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := updateRegister(w, dir, p, res, 1, "2026-03-02"); err == nil || !strings.Contains(err.Error(), "cannot be read: nothing was written to it") {
		t.Errorf("a broken register: %v", err)
	}
}

// repack writes a zip anew with the text of each file changed.
func repack(t *testing.T, data []byte, change func(name, text string) string) []byte {
	t.Helper()
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	out := zip.NewWriter(&b)
	for _, f := range in.File {
		r, err := f.Open()
		if err != nil {
			t.Fatal(err)
		}
		text, err := io.ReadAll(r)
		if err != nil {
			t.Fatal(err)
		}
		w, err := out.Create(f.Name)
		if err != nil {
			t.Fatal(err)
		}
		if _, err := io.WriteString(w, change(f.Name, string(text))); err != nil {
			t.Fatal(err)
		}
	}
	if err := out.Close(); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}
