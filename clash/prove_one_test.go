package clash_test

import (
	"context"
	"os"
	"testing"

	"github.com/google/go-cmp/cmp"

	"voidline/clash"
	"voidline/io/table"
)

// One finding put to the proof by itself comes out as among all of them: the demo.
func TestProveOne(t *testing.T) {
	open := func() *clash.Check {
		p, err := table.Open(context.Background(), "demo", table.Options{FS: os.DirFS("../testdata/demo")})
		if err != nil {
			t.Fatal(err)
		}
		return clash.Open(p, clash.Options{Touch: 1})
	}
	all, one := open(), open()
	res, err := clash.Open(all.Project, clash.Options{Touch: 1, Proved: true}).Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	plain, err := one.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	clear := 0
	for k := range plain.Findings {
		f, err := one.Prove(context.Background(), plain.Findings[k])
		if err != nil {
			t.Fatal(err)
		}
		want := res.Findings[k]
		want.Holds = f.Holds // said where no move is told, proved or not
		if d := cmp.Diff(want, f); d != "" {
			t.Errorf("finding %d of %d (-among all +alone):\n%s", k, len(plain.Findings), d)
		}
		for _, m := range f.Moves {
			if m.Clear != nil && *m.Clear {
				clear++
			}
		}
	}
	if clear < 20 {
		t.Errorf("%d moves are clear: too few to mean anything", clear)
	}
	// What was asked before an edit is left as it is.
	changed, pr := one.Project.Edit(plain.Findings[0].A, "level", "FFL+2000")
	if pr != nil {
		t.Fatal(pr)
	}
	one.Changed(changed)
	if f, err := one.Prove(context.Background(), plain.Findings[0]); err != nil || cmp.Diff(plain.Findings[0], f) != "" {
		t.Error("proved with what is no longer so")
	}
}
