package register

import (
	"bytes"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"

	"voidline/clash/register"
	"voidline/io/whole"
)

// sheet is a register as a spreadsheet and a person leave it: columns of their own, quotes where none are
// needed, a short row, a long row, a row of their own, a blank line.
const sheet = "sep=;\r\n" +
	"Finding;STATE;our notes;\"owner\";due;reason;first_seen;Last Seen;;agreed\r\n" +
	"abcdefghijkl;open;\"a;b\nc \"\"x\"\"\";  me ;5/3/26;\"=1+1\";02.03.2026;2026-03-02\r\n" +
	"\r\n" +
	"M-1;waiting;'quoted;\"you\";;;;;;12,5;beyond\r\n" +
	"bbbbbbbbbbbb;back;5\" pipe;;;;;;;\r\n"

func set(rows []register.Row, i int, c register.Column, s string) { rows[i].Cells[c] = s }

func mustParse(t *testing.T, data string) *File {
	t.Helper()
	f, problems := parse(Name, []byte(data))
	if len(problems) > 0 {
		t.Fatal(problems)
	}
	f.there = true
	return f
}

func TestNothingChanges(t *testing.T) {
	f := mustParse(t, sheet)
	data, err := f.bytes(f.Rows())
	if err != nil || string(data) != sheet {
		t.Errorf("Bytes = %q, %v", data, err)
	}
}

func TestRows(t *testing.T) {
	rows := mustParse(t, sheet).Rows()
	if len(rows) != 3 {
		t.Fatalf("%d rows, want 3", len(rows))
	}
	for _, test := range []struct {
		row  int
		col  register.Column
		want string
	}{
		{0, register.ColFinding, "abcdefghijkl"},
		{0, register.ColOwner, "  me "},
		{0, register.ColReason, "=1+1"},
		{0, register.ColFirst, "02.03.2026"},
		{0, register.ColAgreed, ""},
		{1, register.ColFinding, "M-1"},
		{1, register.ColOwner, "you"},
		{1, register.ColAgreed, "12,5"},
		{2, register.ColState, "back"},
		{2, register.ColQuery, ""},
	} {
		if got := rows[test.row].Cells[test.col]; got != test.want {
			t.Errorf("row %d, %s = %q, want %q", test.row, test.col.Heading(), got, test.want)
		}
	}
	if rows[0].Line != 3 || rows[1].Line != 6 || rows[2].Line != 7 {
		t.Errorf("lines %d, %d, %d, want 3, 6, 7", rows[0].Line, rows[1].Line, rows[2].Line)
	}
}

func TestOneCellChanges(t *testing.T) {
	f := mustParse(t, sheet)
	// So that no column is lacking, the header has them all.
	var more strings.Builder
	for c := range register.ColumnCount {
		if h := register.Column(c).Heading(); f.at[c] < 0 {
			more.WriteString(";" + h)
		}
	}
	full := strings.Replace(sheet, ";;agreed\r\n", ";;agreed;"+more.String()+"\r\n", 1)
	f = mustParse(t, full)
	rows := f.Rows()
	set(rows, 2, register.ColState, "cleared")
	set(rows, 0, register.ColState, "agreed")
	set(rows, 0, register.ColAgreed, "35.9")
	data, err := f.bytes(rows)
	if err != nil {
		t.Fatal(err)
	}
	want := strings.Replace(full, "bbbbbbbbbbbb;back;", "bbbbbbbbbbbb;cleared;", 1)
	want = strings.Replace(want, "abcdefghijkl;open;", "abcdefghijkl;agreed;", 1)
	want = strings.Replace(want, "02.03.2026;2026-03-02\r\n", "02.03.2026;2026-03-02;;35,9\r\n", 1)
	if string(data) != want {
		t.Errorf("got  %q\nwant %q", data, want)
	}
}

func TestColumnsAndRowsAreAdded(t *testing.T) {
	f := mustParse(t, "finding,state,mine\nabcdefghijkl,open,x,,beyond")
	rows := f.Rows()
	set(rows, 0, register.ColBay, "=cmd|' /C calc'!A0, B")
	rows = append(rows, register.Row{})
	set(rows, 1, register.ColFinding, "bbbbbbbbbbbb")
	set(rows, 1, register.ColX, "-1200")
	set(rows, 1, register.ColA, "-T1")
	data, err := f.bytes(rows)
	if err != nil {
		t.Fatal(err)
	}
	lines := strings.Split(string(data), "\n")
	if len(lines) != 4 || lines[3] != "" {
		t.Fatalf("%q", data)
	}
	if !strings.HasPrefix(lines[0], "finding,state,mine,,,storey,bay,place,") || !strings.HasSuffix(lines[0], ",y,z") {
		t.Errorf("header %q", lines[0])
	}
	if want := `abcdefghijkl,open,x,,beyond,,"'=cmd|' /C calc'!A0, B"`; lines[1] != want {
		t.Errorf("row %q, want %q", lines[1], want)
	}
	if !strings.HasPrefix(lines[2], "bbbbbbbbbbbb,,,,,,") || !strings.Contains(lines[2], ",'-T1,") || !strings.HasSuffix(lines[2], ",-1200,,") {
		t.Errorf("new row %q", lines[2])
	}
	back := mustParse(t, string(data)).Rows()
	for i := range rows {
		rows[i].Line = back[i].Line
		if back[i] != rows[i] {
			t.Errorf("read again %q, want %q", back[i].Cells, rows[i].Cells)
		}
	}
}

func TestPeoplesCellsAreGuarded(t *testing.T) {
	f := mustParse(t, sheet)
	rows := f.Rows()
	set(rows, 0, register.ColOwner, "me")
	if _, err := f.bytes(rows); !errors.Is(err, ErrPeople) {
		t.Errorf("an owner changed: %v", err)
	}
	if _, err := f.bytes(f.Rows()[:2]); !errors.Is(err, ErrPeople) {
		t.Errorf("a row dropped: %v", err)
	}
	// Whatever a person wrote, in every row and column of theirs; a cell that they left blank is filled.
	for i, row := range f.Rows() {
		for c := range register.Column(register.ColumnCount) {
			if f.at[c] < 0 || !c.People() {
				continue
			}
			rows := f.Rows()
			set(rows, i, c, "other")
			wrote := strings.TrimSpace(row.Cells[c]) != ""
			if _, err := f.bytes(rows); errors.Is(err, ErrPeople) != wrote || err != nil && !wrote {
				t.Errorf("row %d, %s %q changed: %v", i+1, c.Heading(), row.Cells[c], err)
			}
		}
	}
}

func TestEncodings(t *testing.T) {
	const text = "finding;state;owner;a\r\nabcdefghijkl;open;Zoë;\r\n"
	utf16 := func(e unicode.Endianness) []byte {
		b, err := unicode.UTF16(e, unicode.UseBOM).NewEncoder().Bytes([]byte(text))
		if err != nil {
			t.Fatal(err)
		}
		return b
	}
	windows, err := charmap.Windows1252.NewEncoder().Bytes([]byte(text))
	if err != nil {
		t.Fatal(err)
	}
	for _, test := range []struct {
		name   string
		data   []byte
		letter bool // it has a letter for Ł
	}{
		{"UTF-8", []byte(text), true},
		{"UTF-8 with a mark", append([]byte("\xef\xbb\xbf"), text...), true},
		{"UTF-16 LE", utf16(unicode.LittleEndian), true},
		{"UTF-16 BE", utf16(unicode.BigEndian), true},
		{"Windows-1252", windows, false},
	} {
		f, problems := parse(Name, test.data)
		if len(problems) > 0 {
			t.Errorf("%s: %v", test.name, problems)
			continue
		}
		f.there = true
		rows := f.Rows()
		if got := rows[0].Cells[register.ColOwner]; got != "Zoë" {
			t.Errorf("%s: owner %q", test.name, got)
		}
		if data, err := f.bytes(rows); err != nil || !bytes.Equal(data, test.data) {
			t.Errorf("%s: unchanged, but %q, %v", test.name, data, err)
		}
		set(rows, 0, register.ColA, "é1")
		data, err := f.bytes(rows)
		if err != nil {
			t.Errorf("%s: %v", test.name, err)
			continue
		}
		again, problems := parse(Name, data)
		if len(problems) > 0 || again.encoding != f.encoding || again.Rows()[0].Cells[register.ColA] != "é1" || again.Rows()[0].Cells[register.ColOwner] != "Zoë" {
			t.Errorf("%s: read again %v, %v", test.name, again.Rows(), problems)
		}
		set(rows, 0, register.ColA, "Łódź")
		if _, err := f.bytes(rows); test.letter != (err == nil) || err != nil && !errors.Is(err, ErrLetter) {
			t.Errorf("%s: a letter it %v: %v", test.name, test.letter, err)
		}
	}
}

func TestParseSaysWhere(t *testing.T) {
	for _, test := range []struct{ name, data, want string }{
		{"no finding column", "id,state\nx,y\n", `register.csv:1: no column for "finding"; give the id of a finding in each row (is the header there, and is this the register?)`},
		{"column twice", "finding,state,State\n", `register.csv:1:15: column "State" is there twice; give each column once`},
		{"quote not closed", "finding,owner\r\nabcdefghijkl,\"me\r\nx,y\r\n", `register.csv:2:14: a " opens a cell that is not closed`},
		{"text behind a quote", "sep=,\nfinding,owner\n\nabcdefghijkl,\"m\n\"e\n", `register.csv:5:2: text after the " that closes a cell (write a quote inside a cell twice: "5"" pipe")`},
		{"a spreadsheet's own file", "PK\x03\x04xx", "register.csv: not a text table but a file as spreadsheets save themselves; give a CSV file"},
		{"bytes", "finding\x00\n", "register.csv: not a text table: it holds bytes that no text has; give a CSV file"},
		{"half UTF-16", "\xff\xfef", "register.csv: holds bytes that are no letters, so that it could not be written back as it is; give a CSV file"},
		{"a lone surrogate", "\xff\xfe\x00\xd8f\x00", "register.csv: holds bytes that are no letters, so that it could not be written back as it is; give a CSV file"},
		{"too many cells", "sep=,\nfinding" + strings.Repeat(",", 1001), "register.csv:2: more than 1000 cells; give a row of the register"},
	} {
		_, problems := parse(Name, []byte(test.data))
		if len(problems) == 0 {
			t.Errorf("%s: no problem", test.name)
		} else if got := problems[0].String(); got != test.want {
			t.Errorf("%s: %s\nwant %s", test.name, got, test.want)
		}
	}
}

func TestFresh(t *testing.T) {
	name := filepath.Join(t.TempDir(), Name)
	for i, test := range []struct{ a, begin string }{{"T-1", "finding,state,storey"}, {"Tŷ", "\xef\xbb\xbffinding,state,storey"}} {
		name := fmt.Sprint(name, i)
		f, err := Open(name)
		if err != nil || f.There() {
			t.Fatal(err)
		}
		var r register.Row
		r.Cells[register.ColFinding], r.Cells[register.ColA] = "abcdefghijkl", test.a
		if wrote, err := f.Write([]register.Row{r}); !wrote || err != nil {
			t.Fatal(wrote, err)
		}
		data, err := os.ReadFile(name)
		if err != nil || !strings.HasPrefix(string(data), test.begin) || strings.Count(string(data), "\r\n") != 2 {
			t.Errorf("%q, %v", data, err)
		}
	}
	for _, empty := range []string{"", "\r\n", ",,,\n", "sep=;\n"} {
		f := mustParse(t, empty)
		var r register.Row
		r.Cells[register.ColFinding] = "abcdefghijkl"
		data, err := f.bytes([]register.Row{r})
		again, problems := parse(Name, data)
		if err != nil || len(problems) > 0 || len(again.Rows()) != 1 || again.Rows()[0].Cells != r.Cells || !strings.HasPrefix(string(data), empty) {
			t.Errorf("from %q: %q, %v, %v", empty, data, err, problems)
		}
	}
}

// laid writes a register and opens it.
func laid(t *testing.T) (string, *File, []register.Row) {
	t.Helper()
	name := filepath.Join(t.TempDir(), Name)
	if err := os.WriteFile(name, []byte(sheet), 0o640); err != nil {
		t.Fatal(err)
	}
	f, err := Open(name)
	if err != nil {
		t.Fatal(err)
	}
	rows := f.Rows()
	set(rows, 0, register.ColState, "agreed")
	return name, f, rows
}

func TestWriteRefuses(t *testing.T) {
	for _, test := range []struct {
		name string
		do   func(name string) error
		want error
		say  string
	}{
		{"changed by somebody", func(n string) error { return os.WriteFile(n, []byte(sheet+"x;y\r\n"), 0o644) }, ErrChanged, "run again"},
		{"taken away", os.Remove, ErrChanged, "it is gone"},
		{"open in a spreadsheet", func(n string) error {
			return os.WriteFile(filepath.Join(filepath.Dir(n), ".~lock."+Name+"#"), nil, 0o644)
		}, ErrOpen, "take .~lock.register.csv# away"},
		{"open in another", func(n string) error { return os.WriteFile(filepath.Join(filepath.Dir(n), "~$"+Name), nil, 0o644) }, ErrOpen, "close it there"},
	} {
		name, f, rows := laid(t)
		if err := test.do(name); err != nil {
			t.Fatal(err)
		}
		before, _ := os.ReadFile(name) // the one that was taken away reads as nothing
		wrote, err := f.Write(rows)
		if wrote || !errors.Is(err, test.want) || !strings.Contains(err.Error(), test.say) || !strings.Contains(err.Error(), "nothing was written") {
			t.Errorf("%s: %v, %v", test.name, wrote, err)
		}
		if after, _ := os.ReadFile(name); !bytes.Equal(before, after) {
			t.Errorf("%s: the file changed", test.name)
		}
	}
	name := filepath.Join(t.TempDir(), Name)
	f, err := Open(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(sheet), 0o644); err != nil {
		t.Fatal(err)
	}
	if _, err := f.Write(nil); !errors.Is(err, ErrChanged) {
		t.Errorf("made by somebody meanwhile: %v", err)
	}
}

func TestWrite(t *testing.T) {
	name, f, rows := laid(t)
	if wrote, err := f.Write(f.Rows()); wrote || err != nil {
		t.Errorf("nothing to write: %v, %v", wrote, err)
	}
	if wrote, err := f.Write(rows); !wrote || err != nil {
		t.Errorf("Write = %v, %v", wrote, err)
	}
	if data, err := os.ReadFile(name); err != nil || !strings.Contains(string(data), "abcdefghijkl;agreed;") {
		t.Errorf("%q, %v", data, err)
	}
	if wrote, err := f.Write(rows); wrote || !errors.Is(err, ErrChanged) {
		t.Errorf("written twice from one reading: %v, %v", wrote, err)
	}
}

// TestSavedMeanwhile: what somebody saves while the new register is written to the disk is not lost, and what is not there before is
// not written over.
func TestSavedMeanwhile(t *testing.T) {
	defer func() { replace = whole.Replace }()
	for _, test := range []struct {
		name string
		do   func(name string) error
		want error
	}{
		{"saved in place", func(name string) error { return os.WriteFile(name, []byte(sheet+"mine;;\n"), 0o644) }, ErrChanged},
		{"saved beside and renamed", func(name string) error {
			if err := os.WriteFile(name+"~", []byte(sheet+"mine;;\n"), 0o644); err != nil {
				return err
			}
			return os.Rename(name+"~", name)
		}, ErrChanged},
		{"taken away", os.Remove, ErrChanged},
		{"opened", func(name string) error {
			return os.WriteFile(filepath.Join(filepath.Dir(name), ".~lock."+Name+"#"), nil, 0o644)
		}, ErrOpen},
		{"marked read-only", func(name string) error { return os.Chmod(name, 0o444) }, ErrLocked},
	} {
		name, f, rows := laid(t)
		var saved []byte
		replace = func(name string, data []byte, still func() error) error {
			if err := test.do(name); err != nil {
				t.Fatal(err)
			}
			saved, _ = os.ReadFile(name) // nil where it is gone
			return whole.Replace(name, data, still)
		}
		if wrote, err := f.Write(rows); wrote || !errors.Is(err, test.want) {
			t.Errorf("%s: %v, %v", test.name, wrote, err)
		}
		if now, _ := os.ReadFile(name); !bytes.Equal(now, saved) {
			t.Errorf("%s: what was saved is lost", test.name)
		}
		if left, _ := filepath.Glob(filepath.Join(filepath.Dir(name), "."+Name+".*")); len(left) > 0 {
			t.Errorf("%s: left behind: %v", test.name, left)
		}
	}
}

func TestReadOnly(t *testing.T) {
	name, f, rows := laid(t)
	before, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.Chmod(name, 0o444); err != nil {
		t.Fatal(err)
	}
	if wrote, err := f.Write(f.Rows()); wrote || err != nil {
		t.Errorf("nothing to write: %v, %v", wrote, err)
	}
	if wrote, err := f.Write(rows); wrote || !errors.Is(err, ErrLocked) || !strings.Contains(err.Error(), "nothing was written") {
		t.Errorf("%v, %v", wrote, err)
	}
	if after, err := os.ReadFile(name); err != nil || !bytes.Equal(before, after) {
		t.Errorf("it changed: %v", err)
	}
}

// TestWriteWhatIsRead: a register that the next run would refuse is not written.
func TestWriteWhatIsRead(t *testing.T) {
	name, f, rows := laid(t)
	before, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	var r register.Row
	r.Cells[register.ColAnswers] = strings.Repeat("x", maxFile/16)
	for range 17 {
		rows = append(rows, r)
	}
	if wrote, err := f.Write(rows); wrote || !errors.Is(err, ErrOwn) || !strings.Contains(err.Error(), "it would be 68 MiB, at most 64 are read") {
		t.Errorf("%v, %v", wrote, err)
	}
	if after, err := os.ReadFile(name); err != nil || !bytes.Equal(before, after) {
		t.Errorf("it changed: %v", err)
	}
}

// TestWriteTooWide: with the register's own columns a sheet of 990 has more than the 1000 that are read, which is one problem; it is
// not written.
func TestWriteTooWide(t *testing.T) {
	name := filepath.Join(t.TempDir(), Name)
	before := "finding" + strings.Repeat(",ours", 989) + "\r\n"
	if err := os.WriteFile(name, []byte(before), 0o644); err != nil {
		t.Fatal(err)
	}
	f, err := Open(name)
	if err != nil {
		t.Fatal(err)
	}
	var r register.Row
	r.Cells[register.ColFinding] = "abcdefghijkl"
	if wrote, err := f.Write([]register.Row{r}); wrote || !errors.Is(err, ErrOwn) || !strings.Contains(err.Error(), "register.csv:1: ") {
		t.Errorf("%v, %v", wrote, err)
	}
	if after, err := os.ReadFile(name); err != nil || string(after) != before {
		t.Errorf("it changed: %v", err)
	}
}

// TestBytesTwice: a cell that was set in what was asked for first is not set in what is asked for next.
func TestBytesTwice(t *testing.T) {
	f := mustParse(t, sheet)
	for _, test := range []struct {
		col        register.Column
		text, want string
	}{
		{register.ColOwner, "me", "bbbbbbbbbbbb;back;5\" pipe;me;;;"},
		{register.ColDue, "soon", "bbbbbbbbbbbb;back;5\" pipe;;soon;;"},
	} {
		rows := f.Rows()
		set(rows, 2, test.col, test.text)
		if data, err := f.bytes(rows); err != nil || !strings.Contains(string(data), test.want) {
			t.Errorf("%s: no %q in %q, %v", test.col.Heading(), test.want, data, err)
		}
	}
}

func TestLock(t *testing.T) {
	name, f, rows := laid(t)
	unlock, err := whole.Lock(filepath.Dir(name))
	if err != nil {
		t.Fatal(err)
	}
	// Whether this system locks is asked of the lock: a Write that forgets it looks like a system without.
	if again, err := whole.Lock(filepath.Dir(name)); err == nil {
		again()
		t.Skip("this system locks no folders")
	}
	if _, err := f.Write(rows); !errors.Is(err, ErrBusy) {
		t.Errorf("while another writes: %v", err)
	}
	unlock()
	if wrote, err := f.Write(rows); !wrote || err != nil {
		t.Errorf("after it: %v, %v", wrote, err)
	}
}

// FuzzParse wants that a register that is read without a problem is written back to the byte, and that a
// change to one cell of the program's comes back and touches nothing of anybody else's.
func FuzzParse(f *testing.F) {
	f.Add([]byte(sheet))
	f.Add([]byte("finding,state\nabcdefghijkl,open"))
	f.Add([]byte("\xef\xbb\xbffinding;owner\r\"x\ry\";z\r"))
	f.Add([]byte("\xff\xfef\x00i\x00n\x00d\x00i\x00n\x00g\x00\n\x00x\x00"))
	f.Add([]byte("finding\towner\nx\t\"\"\"\"\n"))
	f.Add([]byte("finding, \"owner\" ,x\n\"a\" , \"b,c\",\xe9\n"))
	f.Fuzz(func(t *testing.T, data []byte) {
		r, problems := parse("f", data)
		if len(problems) > 0 {
			return
		}
		r.there = true
		rows := r.Rows()
		same, err := r.bytes(rows)
		if err != nil || !bytes.Equal(same, data) {
			t.Fatalf("unchanged: %q, %v, want %q", same, err, data)
		}
		if len(rows) == 0 {
			return
		}
		k := len(data) % len(rows)
		set(rows, k, register.ColState, "x,;\t\"y")
		rows = append(rows, register.Row{})
		set(rows, len(rows)-1, register.ColFinding, "abcdefghijkl")
		changed, err := r.bytes(rows)
		if err != nil {
			t.Fatal(err)
		}
		again, problems := parse("f", changed)
		if len(problems) > 0 {
			t.Fatalf("%q from %q: %v", changed, data, problems)
		}
		got := again.Rows()
		if len(got) != len(rows) {
			t.Fatalf("%q from %q: %d rows, want %d", changed, data, len(got), len(rows))
		}
		for i := range rows {
			rows[i].Line = got[i].Line
			if got[i] != rows[i] {
				t.Fatalf("%q from %q: row %d\n%q\nwant\n%q", changed, data, i, got[i].Cells, rows[i].Cells)
			}
		}
		// The raw cells of the old records stand as they stood.
		for i, rec := range r.rows {
			old, new := r.records[rec].fields, again.records[again.rows[i]].fields
			for c := range old {
				if c != r.at[register.ColState] && (c >= len(new) || new[c].raw != old[c].raw) {
					t.Fatalf("%q from %q: cell %d of row %d", changed, data, c, i)
				}
			}
		}
	})
}
