package table

import (
	"bytes"
	"context"
	"io"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"voidline/void"
)

// FuzzRead reads any bytes as any table. Whatever they are: each record is handed over or counted as missing, a
// missing row has a problem, places are in the file, and Locate finds what Read found.
func FuzzRead(f *testing.F) {
	names := []string{"tray.csv", "levels.csv", "grid.csv", "buildups.csv", "bays.csv", "gaps.csv", "hangers.csv", "openings.csv", "access.csv", "gap.csv"}
	for i, text := range []string{
		goodZones, "storey,ffl\nG,0\n", "axis;label;position\nx;A;1,5\n", "build-up\tthickness_m\nX\t0.05\n", goodBays,
		"of,to,gap\ntray,any,25\n", "hanger,part,height\nH,nut,10\n", "in,at,size\nD1,0,ø50\n", "for\nD1\n", "of\nx\n",
	} {
		f.Add(uint8(i), []byte(text))
	}
	for _, text := range []string{
		"", "\ufeff\"id\",x1,y1,size,level\r\n\"a\nb\",x,,NaN,1:80\r\n", "id,x1\nD1\"\n\"D2\n,,\nD3,\"x\"y\n", "sep=;\rid;x1;y1;size;level\rD1;1.200;0,5;ø50;u/s\r",
		"id,x1,y1,size,level,id\nD1,\x00\n", "\xff\xfei\x00d\x00\n\x00\x00\xd8", "id;bay;size;level\nD\xfc;B;\xd8 250;2700", "title\n\nid,bay,size,level\nD1,B1,1,1\n",
		"id,bay,size,level\n\"\nD1,B1,600x300,2700\n\"\"\"\nD2,B1,600x300,2700", "PK\x03\x04", "id;BAY;siZe;level\n';;1;", "id\tbay\tsize\tlevel\n\"D\"\t\"B\t1\"\t \"x\"\t\n",
	} {
		f.Add(uint8(0), []byte(text))
	}
	f.Fuzz(func(t *testing.T, which uint8, data []byte) {
		name := names[int(which)%len(names)]
		fsys := folder(map[string]string{name: string(data)})
		delivered := 0
		var last void.At
		tables, err := readTables(context.Background(), "project", Options{FS: fsys, Zone: func(file string, row *void.ZoneRow) {
			if file == "tray.csv" {
				delivered++
				if row.ID.Text == "" || row.ID.Fault != nil || row.Level.Fault != nil {
					t.Errorf("a zone %+v was handed over", row)
				}
				if row.At.Line <= last.Line || row.At.Offset <= last.Offset || row.At.Offset >= int64(len(data)) {
					t.Errorf("a zone at %+v after one at %+v of %d bytes", row.At, last, len(data))
				}
				last = row.At
				if o := row.At.Offset; data[o-1] != '\n' && data[o-1] != '\r' && data[o-1] != 0 {
					t.Errorf("a zone at offset %d of %q, where no line begins", o, data)
				}
			}
		}})
		if err != nil {
			t.Fatal(err)
		}
		delivered += len(tables.Levels) + len(tables.Grid) + len(tables.BuildUps) + len(tables.Gaps) + len(tables.Hangers) + len(tables.Openings) + len(tables.Access)
		if name == "bays.csv" {
			delivered += len(tables.Bays)
		}
		said := 0
		for _, p := range tables.Problems {
			if p.File == name {
				said++
			}
			if lines := 1 + bytes.Count(data, []byte("\n")) + bytes.Count(data, []byte("\r")); p.Line > lines || p.Line < 0 || p.Column < 0 || p.What == "" {
				t.Errorf("problem %q in %d lines", p, lines)
			}
			// With quotes a cell may begin on another line than its row.
			if p.Cell != "" && p.Column > 0 && !bytes.Contains(data, []byte(`"`)) {
				checkLocate(t, fsys, p)
			}
		}
		if len(tables.Unread) > 0 {
			if said == 0 {
				t.Error("unread, and no problem says so")
			}
			return
		}
		want, ok := countRecords(data)
		if got := delivered + tables.RowsMissing; ok && got != want {
			t.Errorf("%d rows handed over and %d missing of %q, want %d", delivered, tables.RowsMissing, data, want)
		}
		if tables.RowsMissing > 0 && said == 0 {
			t.Errorf("%d rows missing, and no problem says so", tables.RowsMissing)
		}
	})
}

// checkLocate takes the column off a problem and looks for it again.
func checkLocate(t *testing.T, fsys fstest.MapFS, p void.Problem) {
	without := p
	without.Column = 0
	got := []void.Problem{without}
	if locate(fsys, got); got[0] != p {
		t.Errorf("locate(%v) = %v, want %v", without, got[0], p)
	}
}

// countRecords counts the records of a table under its header in another way than Read: by lines. That holds for
// text without quotes and without a sep= line; of other text it knows nothing.
func countRecords(data []byte) (n int, ok bool) {
	in, err := newLines(bytes.NewReader(data))
	if err != nil || bytes.ContainsAny(data, `"`) || bytes.Contains(bytes.ToLower(data), []byte("sep")) {
		return 0, false
	}
	n = -1
	for {
		text, _, err := in.next()
		if err == io.EOF {
			return max(n, 0), true
		} else if err != nil {
			return 0, false
		}
		rest := strings.TrimSpace(string(text))
		if rest != "" && strings.TrimFunc(rest, func(r rune) bool { return strings.ContainsRune(",;\t", r) || unicode.IsSpace(r) }) == "" {
			return 0, false // whether this is a blank row depends on the separator
		}
		if rest != "" {
			n++
		}
	}
}

// FuzzRewrite changes cells of any file. Whatever it is: the change is refused, or the cells say what they should, and the
// file begins as it did.
func FuzzRewrite(f *testing.F) {
	for _, text := range []string{
		goodZones, "id,x1,y1,size,level,note\nD1,0,0,ø50,2700,\"a\nb\"\n\nD2,1,1,ø50,2800", "\ufeff\"id\",x1,y1,size,level\r\n\"a\nb\",x,,NaN,1:80\r\n", "sep=;\rid;x1;y1;size;level_m\rD1;1.200;0,5;ø50;2,7\r",
		"\xff\xfei\x00d\x00,\x00l\x00e\x00v\x00e\x00l\x00,\x00b\x00a\x00y\x00,\x00s\x00i\x00z\x00e\x00\n\x00A\x00,\x002\x00,\x00B\x00,\x001\x00\n\x00", "id;bay;size;level\nD\xfc;B;\xd8 250;2700\n\xfc;;;;;", "id\tbay\tsize\tlevel\n\"D\"\t\"B\t1\"\t \"x\"\t\n",
	} {
		f.Add([]byte(text), uint8(2), "FFL+2740.5", "ü; \"x\"")
	}
	f.Fuzz(func(t *testing.T, data []byte, line uint8, level, note string) {
		k := &original{data: data, whole: true}
		changes := []CellChange{{File: "tray.csv", Line: int(line), Column: "level", Text: level}, {File: "tray.csv", Line: int(line), Column: "note", Text: note}}
		out, err := k.rewritten("tray.csv", changes)
		if err != nil {
			return
		}
		if !bytes.HasPrefix(out, data[:min(2, len(data))]) {
			t.Errorf("%q begins otherwise than %q", out, data)
		}
		o := &Originals{files: map[string]*original{"tray.csv": {data: out, whole: true}}}
		for _, c := range changes {
			text, ok := o.text("tray.csv", c.Line, c.Column)
			in := zones.fields()[slices.IndexFunc(zones.fields(), func(f field) bool { return f.name == c.Column })]
			if !ok || !same(zones.row.Field(in.index).Type, text, c.Text) {
				t.Errorf("%s is %q, want %q in %q", c.Column, text, c.Text, out)
			}
		}
	})
}
