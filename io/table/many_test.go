package table_test

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/io/table"
	"voidline/void"
)

// Of very many wrong rows the first thousand problems of a file are kept, and the number told is that of all: 3,000 rows, each with
// a size and a level that are none, are 6,000 problems, with one of another file 6,001.
func TestAllBadRowsAreCounted(t *testing.T) {
	b := &strings.Builder{}
	b.WriteString("id,x1,y1,x2,y2,size,level\n")
	for i := range 3000 {
		fmt.Fprintf(b, "P%d,0,0,1000,0,wide,what\n", i)
	}
	p, err := table.Open(context.Background(), "job", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2700\n")},
		"pipework.csv": {Data: []byte(b.String())},
		"tray.csv":     {Data: []byte("id,x1,y1,x2,y2,size,level\nT1,0,0,1000,0,wide,2900\n")},
	}})
	var bad void.Problems
	if !errors.As(err, &bad) || p == nil || void.CountProblems(bad) != 6001 {
		t.Fatalf("Open = %v, %v; want the project, and 6001 problems as the error", p, err)
	}
	ps := table.Placed("job", p.Problems)
	if got := void.CountProblems(ps); got != 6001 || p.RowsMissing != 3001 {
		t.Errorf("%d problems, %d rows missing; want 6001 and 3001", got, p.RowsMissing)
	}
	if len(ps) != 1002 {
		t.Fatalf("%d problems kept, want 1,000 and the number of the rest of the one file, 1 of the other", len(ps))
	}
	if rest := ps[1000]; rest.File != "pipework.csv" || rest.More != 5000 || rest.What != "and 5000 more" {
		t.Errorf("after the kept ones: %+v, want the number of the rest, 5000", rest)
	}
}

// What void says of rows is bounded like what the reader says. 3,000 rows of one id are 2,999 problems, of which the first thousand are
// kept, with their columns. 3,000 rows of which no bay holds any, by heights under the soffit, are 3,000. 3,000 rows at survey coordinates
// are 12,000 cells, told together as one problem.
func TestAllRowsThatCannotStandAreCounted(t *testing.T) {
	of := func(row string) (ps []void.Problem, missing int) {
		t.Helper()
		b := &strings.Builder{}
		b.WriteString("id,x1,y1,x2,y2,size,level\n")
		for i := range 3000 {
			b.WriteString(strings.ReplaceAll(row, "N", fmt.Sprint(i)) + "\n")
		}
		dir := t.TempDir()
		for name, text := range map[string]string{"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2700\n", "pipework.csv": b.String()} {
			if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
				t.Fatal(err)
			}
		}
		p, err := table.Open(context.Background(), dir, table.Options{})
		if bad := (void.Problems{}); !errors.As(err, &bad) {
			t.Fatal(err)
		}
		return table.Placed(dir, p.Problems), p.RowsMissing
	}
	for _, c := range []struct {
		row                    string
		missing, count, column int
	}{
		{"P,0,0,1000,0,100x50,2900", 2999, 2999, 1},
		{"PN,9000,0,9100,0,100x50,soffit-60", 3000, 3000, len("P0,9000,0,9100,0,100x50,") + 1},
	} {
		ps, missing := of(c.row)
		if n := void.CountProblems(ps); n != c.count || missing != c.missing || len(ps) != 1001 || ps[1000].More != c.count-1000 {
			t.Errorf("%s: %d problems, %d kept, %d rows missing, the last of them %+v; want %d, 1001, %d", c.row, n, len(ps), missing, ps[len(ps)-1], c.count, c.missing)
			continue
		}
		first := 2 + 3000 - c.count // line 1 is the header, and the first of an id is good
		for i, p := range ps[:1000] {
			column := c.column
			if c.column > 1 {
				column += len(fmt.Sprint(i)) - 1
			}
			if p.Line != first+i || p.Column != column {
				t.Fatalf("%s: problem %d is at %d:%d, want %d:%d", c.row, i, p.Line, p.Column, first+i, column)
			}
		}
	}
	ps, missing := of("PN,530120000,180340000,530121000,180340000,100x50,2900")
	if len(ps) != 1 || missing != 3000 || !strings.Contains(ps[0].What, "and so are 11999 more cells of this file") {
		t.Errorf("%d rows missing, told %v; want 3000 and one problem of 12,000 cells", missing, ps)
	}
}
