package clash

import (
	"context"
	"fmt"
	"math"
	"strings"
	"testing"
	"testing/fstest"

	"voidline/clash/finding"
	"voidline/clash/measure"
	"voidline/io/table"
	"voidline/void"
)

// star is n rows of 8 m of a trade that all cross in one point, each turned by the same angle from the one before: size gives the
// size of each, level its level, and rest what else stands in its row, under the headings more.
func star(t testing.TB, trade string, n int, more string, size func(i int) string, level func(i int) int, rest string) *void.Project {
	t.Helper()
	b := &strings.Builder{}
	fmt.Fprintf(b, "id,x1,y1,x2,y2,size,level%s\n", more)
	for i := range n {
		y, x := math.Sincos(math.Pi * float64(i) / float64(n))
		fmt.Fprintf(b, "S%d,%.1f,%.1f,%.1f,%.1f,%s,%d%s\n", i, -4000*x, -4000*y, 4000*x, 4000*y, size(i), level(i), rest)
	}
	p, err := table.Open(context.Background(), "star", table.Options{FS: fstest.MapFS{
		"bays.csv":     {Data: []byte("bay,x1,y1,x2,y2,soffit,ceiling\nA,-50000,-50000,50000,50000,6000,1000\n")},
		trade + ".csv": {Data: []byte(b.String())},
	}})
	if err != nil || len(p.Problems) > 0 {
		t.Fatal(err, p.Problems)
	}
	return p
}

// starOfPipes is a star of round rows, one in three a box, at one level but for one in four.
func starOfPipes(t testing.TB, n int) *void.Project {
	return star(t, "pipework", n, "", func(i int) string {
		if i%3 == 2 {
			return "50x900"
		}
		return "ø50"
	}, func(i int) int { return 2900 + i%4/3*(i%40) }, "")
}

// Of rows that cross in one point: what is counted of a pair, without the search for its least level move where that is not the
// lesser, is what judge says of it.
func TestStarIsAsJudged(t *testing.T) {
	p := starOfPipes(t, 60)
	c := Open(p, Options{Touch: 1})
	res, err := c.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	// 60 rows cross in 60·59/2 = 1,770 pairs; those at one level are in each other by 50 or more.
	if len(res.Findings) < 1500 {
		t.Fatalf("%d findings", len(res.Findings))
	}
	short := map[string]float64{}
	for i := range res.Findings {
		short[res.Findings[i].ID] = res.Findings[i].Short
	}
	upright, aside := 0, 0
	for a := range int32(p.Zones()) {
		for b := range a {
			A, B, ch := c.Full(a), c.Full(b), c.Set.Between(c.Trait(a), c.Trait(b))
			two := measure.TwoOf(A, B, 1, false)
			v, quick := measure.Judge(A, B, ch, 1, false), two.Judge(ch, false)
			if v.Overlap != quick.Overlap || v.N != quick.N || v.Overlap && v.Depth() != quick.Depth() {
				t.Fatalf("%s and %s: %+v, judge %+v", c.Zone(a).ID, c.Zone(b).ID, quick, v)
			}
			if !v.Overlap {
				continue
			}
			if v.Vertical < v.Sideways {
				upright++
			} else {
				aside++
			}
			got, told := short[finding.ID(c.Zone(a).ID, c.Zone(b).ID, "")] // ends that lie in each other are a joint
			if want := v.Depth() + v.Main().Asked; told && math.Abs(got-want) > 0.051 {
				t.Fatalf("%s and %s: short %g, want %g", c.Zone(a).ID, c.Zone(b).ID, got, want)
			}
		}
	}
	if upright < 1000 || aside < 1 {
		t.Errorf("%d overlap less upright, %d less sideways: too few of one sort", upright, aside)
	}
}

// BenchmarkStar times the counting of all pairs of rows that cross in one point, and the wording of them.
func BenchmarkStar(b *testing.B) {
	for _, n := range []int{100, 400} {
		p := starOfPipes(b, n)
		b.Run(fmt.Sprintf("rows=%d", n), func(b *testing.B) {
			pairs := 0
			for b.Loop() {
				a, err := Open(p, Options{Touch: 1, Once: true}).Answer(context.Background())
				if err != nil {
					b.Fatal(err)
				}
				pairs = a.Len()
				if err := a.Findings(context.Background(), func([]finding.Finding) error { return nil }); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N*pairs), "us/finding")
		})
	}
}
