package clash_test

import (
	"context"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/io/table"
)

// Two pipes of 100 that cross at one level: the one of DN15 (small) moves for the other, until it is made; what is fixed never does, and where both
// are fixed nothing is told to move. A beam does not move for what is made.
func TestStage(t *testing.T) {
	for _, test := range []struct {
		name, big, small string // stages
		moves            string // "" for nobody
	}{
		{"as drawn", "", "", "S"},
		{"both ordered", "ordered", "ordered", "S"},
		{"the small one made", "", "made", "B"},
		{"both made", "made", "made", "S"},
		{"the small one fixed", "", "fixed", "B"},
		{"made and fixed", "made", "fixed", "B"},
		{"the large one fixed, the small one made", "fixed", "made", "S"},
		{"both fixed", "fixed", "fixed", ""},
	} {
		p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
			"bays.csv": {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2500\n")},
			"pipework.csv": {Data: []byte("id,service,x1,y1,x2,y2,size,level,stage\nB,CHW flow,1000,3000,5000,3000,ø150,CL 3000," + test.big +
				"\nS,CHW flow,3000,1000,3000,5000,ø20,CL 3000," + test.small + "\n")},
		}})
		if err != nil {
			t.Fatal(err)
		}
		res, err := clash.Open(p, clash.Options{Touch: 1, Proved: true}).Findings(context.Background())
		if err != nil || len(res.Findings) != 1 {
			t.Fatal(test.name, err, len(res.Findings))
		}
		f := &res.Findings[0]
		got := ""
		if len(f.Moves) > 0 {
			got = f.Moves[0].Zone
		}
		if got != test.moves {
			t.Errorf("%s: %q moves (%+v), want %q", test.name, got, f.Moves, test.moves)
		}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2500\n")},
		"steel.csv":    {Data: []byte("id,kind,x1,y1,x2,y2,size,level\nB,beam,1000,3000,5000,3000,150x300,2900\n")},
		"pipework.csv": {Data: []byte("id,service,x1,y1,x2,y2,size,level,stage\nS,CHW flow,3000,1000,3000,5000,ø20,CL 3000,made\n")},
	}})
	if err != nil {
		t.Fatal(err)
	}
	res, err := clash.Open(p, clash.Options{Touch: 1}).Findings(context.Background())
	if err != nil || len(res.Findings) != 1 || res.Findings[0].GivesWay != "S" {
		t.Errorf("%v, %+v", err, res.Findings)
	}
}

// A stage that is none is a problem of the tables.
func TestNoStage(t *testing.T) {
	_, err := table.Open(context.Background(), "p", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3600,2500\n")},
		"pipework.csv": {Data: []byte("id,x1,y1,x2,y2,size,level,stage\nS,3000,1000,3000,5000,ø20,CL 3000,mad\n")},
	}})
	if want := `pipework.csv:2: stage: "mad" is not a stage; give drawn, ordered, made or fixed (did you mean "made"?)`; err == nil || err.Error() != want {
		t.Errorf("%v, want %s", err, want)
	}
}
