package clash_test

import (
	"bytes"
	"flag"
	"fmt"
	"hash/fnv"
	"math/rand/v2"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"voidline/clash"
	"voidline/clash/setout"
	"voidline/clash/tolerance"
	"voidline/reports/floor"
	"voidline/void"
	"voidline/void/need"
)

// Many more projects whose answers are kept, of each only how many lines of each kind there are and a sum of them: enough to see that something changed, in
// which project and in what kind of answer. Which lines they are is seen with -kept.lines FOLDER, before the change and after it.

var keptLines = flag.String("kept.lines", "", "a `folder` to write the lines into of which testdata/kept/sums.txt has the sums")

// keptSum returns a line that says how many lines of each kind there are, and their sum. An indented line is of the kind of the one it stands under.
func keptSum(name string, lines []string) string {
	var kinds []string
	n, sums := map[string]int{}, map[string]uint64{}
	kind := ""
	for _, l := range lines {
		if !strings.HasPrefix(l, "\t") {
			kind, _, _ = strings.Cut(l, " ")
		}
		if n[kind]++; n[kind] == 1 {
			kinds = append(kinds, kind)
		}
		h := fnv.New64a()
		fmt.Fprintf(h, "%d %s", sums[kind], l)
		sums[kind] = h.Sum64()
	}
	for _, k := range kinds {
		name += fmt.Sprintf(" %s %d %06x", k, n[k], sums[k]&0xffffff)
	}
	return name
}

func TestKeptSums(t *testing.T) {
	need.Amd64(t)
	ways := []clash.Options{
		{Touch: 1, Excused: true, Tolerance: tolerance.WorstCase, Deflection: 360},
		{Touch: clash.None, Excused: true, Tolerance: tolerance.RootOfSquares},
		{Touch: 5, Firm: true},
		{Touch: 1, Excused: true, Trades: []string{"containment", "pipework"}},
	}
	var sums []string
	ask := func(name string, p *void.Project, opt clash.Options) {
		check := clash.Open(p, opt)
		lines := keptAnswer(t, answerOf(t, check))
		for i := range p.Bays {
			lines = append(lines, "stack of "+p.Bays[i].Label)
			for _, l := range check.StackBuilt(i, p.Bays[i].Plan.Center(), 360).Layers {
				lines = append(lines, "\t"+keptFact(reflect.ValueOf(l)))
			}
		}
		for _, l := range setout.Levels(p) {
			lines = append(lines, "levels "+keptFact(reflect.ValueOf(l)))
		}
		lines = append(append(lines, "sheets"), keptIndented(sheetsOf(t, p, check))...)
		for i := range p.Storeys {
			lines = append(lines, "line of "+p.Storeys[i].Name)
			fl, err := setout.Strike(p, check, setout.FloorSettings{Storey: i, Lines: 1})
			if err != nil {
				lines = append(lines, "\t"+err.Error())
				continue
			}
			var doc bytes.Buffer
			if err := (&floor.Sheet{Project: p, Floor: fl}).JSON(&doc); err != nil {
				t.Fatal(err)
			}
			for _, l := range keptAnswer(t, doc.String()) {
				if !strings.HasPrefix(l, "curve ") {
					lines = append(lines, "\t"+l)
				}
			}
		}
		if *keptLines != "" {
			if err := os.WriteFile(filepath.Join(*keptLines, name+".txt"), []byte(strings.Join(lines, "\n")+"\n"), 0o644); err != nil {
				t.Fatal(err)
			}
		}
		sums = append(sums, keptSum(name, lines))
	}
	for n := range 72 {
		b := random(31000+uint64(n), mix{zones: 110, storeys: 1 + n%2, gaps: n % 6})
		ask(fmt.Sprint("building-", n), b.opened(t, spelling{}), ways[n%len(ways)])
	}
	for n := range 30 {
		ask(fmt.Sprint("hatches-", n), openKept(t, hatchJob(rand.New(rand.NewPCG(uint64(n), 770)))), clash.Options{Touch: 1, Proved: true, Excused: true})
		ask(fmt.Sprint("bars-", n), openKept(t, barsJob(rand.New(rand.NewPCG(uint64(n), 771)))), clash.Options{Touch: 1, Proved: n%3 == 0, Excused: true, Tolerance: tolerance.WorstCase})
	}
	for n := range 30 {
		k := keptProject(200 + uint64(n))
		ask(fmt.Sprint("edges-", n), openKept(t, k.files()), ways[n%len(ways)])
	}
	keptEqual(t, "kept/sums.txt", sums)
}
