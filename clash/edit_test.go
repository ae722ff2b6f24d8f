package clash_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"math/rand"
	"slices"
	"testing"
	"testing/fstest"

	"voidline/clash"
	"voidline/io/table"
	"voidline/reports/record"
	"voidline/void"
)

// small is a project of one bay for tests that change it.
func small() map[string]string {
	return map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling,build-up\nA,0,0,8000,8000,3600,2700,boards\n",
		"buildups.csv": "build-up,layer,thickness\nboards,board,25\nboards,top-hat,25\n",
		"steel.csv": "id,x1,y1,x2,y2,size,level,face\nB1,0,4000,8000,4000,UB 254x146x31,soffit,top\n" +
			"B2,0,5000,8000,5000,UB 254x146x31,soffit,top\n",
		"ductwork.csv": ducts([2]ductRow{{"D1", "0", "2000", "8000", "2000", "500x250", "FFL+2900"}, {"D2", "3000", "0", "3000", "8000", "400x200", "FFL+3000"}}),
		"pipework.csv": "id,service,x1,y1,x2,y2,size,insulation,level,fall,run\nP1,LTHW,0,5000,8000,5000,DN50,30,steel-100,,H1\n" +
			"P2,soil,1000,0,1000,8000,ø110,,3100,1 in 80,S1\n",
		"tray.csv": "id,service,kind,x1,y1,x2,y2,size,level,hanger,run\nT1,power,basket,0,6000,8000,6000,300x60,build-up+20,channel 41 M10,T1\n",
	}
}

type ductRow struct{ id, x1, y1, x2, y2, size, level string }

func ducts(rows [2]ductRow) string {
	s := "id,x1,y1,x2,y2,size,insulation,level,run\n"
	for i, r := range rows {
		s += fmt.Sprintf("%s,%s,%s,%s,%s,%s,25,%s,SA%d\n", r.id, r.x1, r.y1, r.x2, r.y2, r.size, r.level, i+1)
	}
	return s
}

func openText(t testing.TB, files map[string]string) *void.Project {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	p, err := table.Open(context.Background(), "p", table.Options{FS: fsys})
	if bad := (void.Problems{}); err != nil && !errors.As(err, &bad) {
		t.Fatal(err)
	}
	if t, ok := t.(*testing.T); ok {
		everyProject(t, files)
	}
	return p
}

func answerOf(t testing.TB, c *clash.Check) string {
	t.Helper()
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	var b bytes.Buffer
	if err := record.Check(&b, res); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// Edits one after the other, and then asked again, is the same as the edited tables read afresh.
func TestEditIsReadingAfresh(t *testing.T) {
	p := openText(t, small())
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	first := answerOf(t, check)
	rows := [2]ductRow{{"D1", "0", "2000", "8000", "2000", "500x250", "FFL+2900"}, {"D2", "3000", "0", "3000", "8000", "400x200", "FFL+3000"}}
	rng := rand.New(rand.NewSource(7))
	differ := 0
	for step := range 60 {
		i := rng.Intn(2)
		old, d := rows, &rows[i]
		column, text := "level", fmt.Sprintf("FFL+%d", 2760+10*rng.Intn(50))
		switch rng.Intn(4) {
		case 0:
			d.level = text
		case 1:
			column, text = "y1", fmt.Sprint(100*rng.Intn(80))
			d.y1 = text
		case 2:
			column, text = "size", fmt.Sprintf("%dx%d", 200+50*rng.Intn(10), 100+50*rng.Intn(5))
			d.size = text
		default:
			column, text = "x2", fmt.Sprint(100*rng.Intn(80))
			d.x2 = text
		}
		changed, problem := p.Edit(d.id, column, text)
		fresh := small()
		fresh["ductwork.csv"] = ducts(rows)
		q := openText(t, fresh)
		if (problem != nil) != (len(q.Problems) > 0) {
			t.Fatalf("step %d: Edit(%s, %s, %s) says %v, the tables read afresh say %v", step, d.id, column, text, problem, q.Problems)
		}
		if problem != nil {
			rows = old
			fresh["ductwork.csv"] = ducts(rows)
			q = openText(t, fresh)
		}
		check.Changed(changed)
		got, want := answerOf(t, check), answerOf(t, clash.Open(q, clash.Options{Touch: 1}))
		if got != want {
			t.Fatalf("step %d: after %s %s = %s the answer differs from reading afresh\n%s\n---\n%s", step, d.id, column, text, got, want)
		}
		if got != first {
			differ++
		}
	}
	if differ < 20 {
		t.Errorf("only %d of 60 edits changed the answer", differ)
	}
}

// An edit that will not do changes nothing and says what was expected.
func TestEditRefused(t *testing.T) {
	p := openText(t, small())
	check := clash.Open(p, clash.Options{Touch: 1})
	before := answerOf(t, check)
	for _, test := range []struct{ zone, column, text string }{
		{"D1", "level", "up there"},
		{"D1", "level", "2.9"},
		{"D1", "x2", "0"}, // y2 is y1: no length is left
		{"D1", "size", "UB 1x2x3"},
		{"D1", "hanger", "string"},
		{"D1", "bay", "Z"},
		{"D1", "id", "D9"},
		{"D1", "colour", "red"},
		{"D9", "level", "2900"},
	} {
		changed, problem := p.Edit(test.zone, test.column, test.text)
		if problem == nil {
			t.Errorf("Edit(%v) is taken", test)
		} else if problem.What == "" || len(changed.Zones) > 0 {
			t.Errorf("Edit(%v) = %v, %+v; want no change and a reason", test, changed, problem)
		}
		check.Changed(changed)
		if got := answerOf(t, check); got != before {
			t.Fatalf("after the refused Edit(%v) the answer differs", test)
		}
	}
}

// A beam that moves takes along what hangs on it.
func TestEditCarries(t *testing.T) {
	p := openText(t, small())
	changed, problem := p.Edit("B2", "level", "soffit-40")
	if problem != nil {
		t.Fatal(problem)
	}
	var ids []string
	for _, i := range changed.Zones {
		ids = append(ids, p.Zone(i).ID)
	}
	slices.Sort(ids)
	if want := []string{"B2", "P1"}; !slices.Equal(ids, want) {
		t.Errorf("lowering B2 changes %v, want %v: the beam and the pipe that hangs under it", ids, want)
	}
}

// A cancelled check ends with the context's error and no answer.
func TestFindingsCancelled(t *testing.T) {
	ctx, cancel := context.WithCancel(context.Background())
	cancel()
	res, err := clash.Open(openText(t, small()), clash.Options{}).Findings(ctx)
	if res != nil || !errors.Is(err, context.Canceled) {
		t.Errorf("Findings of a cancelled context = %v, %v; want no answer and %v", res, err, context.Canceled)
	}
}

// asAnew demands that a check that was asked again says what one that is opened anew says.
func asAnew(t *testing.T, when string, check *clash.Check, p *void.Project) {
	t.Helper()
	if got, anew := answerOf(t, check), answerOf(t, clash.Open(p, clash.Options{Touch: 1})); got != anew {
		t.Errorf("%s: asked again and anew differ:\n%s", when, difference(got, anew))
	}
}

// Two lengths of one pipe, 400 each, lie 100 over a tray that asks 150 above it for more than 600: of 800 both are told. With one of them lifted away 400 are left, which nobody
// tells; asked again it is as asked anew, there and back.
func TestASumThatLosesAStretchAgain(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3900,none\n",
		"tray.csv":     "id,kind,x1,y1,x2,y2,size,level,run\nT,tray,500,1000,5500,1000,300x50,3000,T\n",
		"pipework.csv": "id,service,kind,x1,y1,x2,y2,size,level,run\nP1,cold water,pipe,1000,1000,1400,1000,ø60,3150,P\nP2,cold water,pipe,1400,1000,1800,1000,ø60,3150,P\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	for step, test := range []struct {
		level string
		want  int
	}{{"3150", 2}, {"3400", 0}, {"3150", 2}} {
		if step > 0 {
			change, problem := p.Edit("P2", "level", test.level)
			if problem != nil {
				t.Fatal(problem)
			}
			check.Changed(change)
		}
		res := mustFind(t, check)
		over := 0
		for _, f := range res.Findings {
			if f.A == "T" || f.B != nil && *f.B == "T" {
				over++
			}
		}
		if over != test.want {
			t.Errorf("P2 at %s: %d findings of the tray, want %d", test.level, over, test.want)
		}
		asAnew(t, "P2 at "+test.level, check, p)
	}
}

// T is alone in B. Moved into A it leaves B empty, which is told, and moved back it is not: asked again as asked anew.
func TestABayThatIsEmptiedAgain(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv": "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,6000,6000,3900,none\nB,6000,0,12000,6000,3900,none\n",
		"tray.csv": "id,kind,x1,y1,x2,y2,size,level\nS,tray,500,1000,5500,1000,300x50,3000\nT,tray,6500,4000,8500,4000,300x50,3000\n",
	})
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	check := clash.Open(p, clash.Options{Touch: 1})
	for step, test := range []struct {
		x1, x2 string
		want   string
	}{{"6500", "8500", ""}, {"2500", "4500", "B"}, {"6500", "8500", ""}} {
		if step > 0 {
			change, problem := p.EditCells("T", []void.CellText{{Column: "x1", Text: test.x1}, {Column: "x2", Text: test.x2}})
			if problem != nil {
				t.Fatal(problem)
			}
			check.Changed(change)
		}
		res := mustFind(t, check)
		empty := ""
		for _, n := range res.Unchecked {
			if n.Text == "no zone is in this bay" {
				empty += n.Bay
			}
		}
		if empty != test.want {
			t.Errorf("T from %s: empty is %q, want %q", test.x1, empty, test.want)
		}
		asAnew(t, "T from "+test.x1, check, p)
	}
}

// A trade whose only row is taken out is not counted any more, as in a check that is opened anew.
func TestATradeThatIsGoneIsNotCounted(t *testing.T) {
	p := openText(t, map[string]string{
		"bays.csv":     "bay,x1,y1,x2,y2,soffit,ceiling\nA,0,0,9000,9000,3600,none\n",
		"tray.csv":     "id,trade,kind,x1,y1,x2,y2,size,level\nT,containment,tray,1000,1000,4000,1000,300x60,3000\n",
		"ductwork.csv": "id,kind,x1,y1,x2,y2,size,level\nD,duct,1000,3000,4000,3000,300x200,3000\n",
	})
	check := clash.Open(p, clash.Options{})
	count := func() map[string]int { return mustFind(t, check).Checked.ByTrade }
	if got := count(); len(got) != 2 || got["containment"] != 1 {
		t.Fatalf("counted %v", got)
	}
	ch, problem := p.Remove("T")
	if problem != nil {
		t.Fatal(problem)
	}
	check.Changed(ch)
	if got := count(); len(got) != 1 || got["ductwork"] != 1 {
		t.Errorf("counted %v, want the duct alone", got)
	}
}
