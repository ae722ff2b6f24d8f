package table_test

import (
	"context"
	"fmt"
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
	if err != nil {
		t.Fatal(err)
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
