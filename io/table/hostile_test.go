package table

import (
	"bytes"
	"context"
	"encoding/csv"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/google/go-cmp/cmp"

	"voidline/void"
)

// Problems that are kept. In each table of a project each cell in turn is made wrong in every way that is listed here, and what is told of it is
// written down in testdata/hostile.txt: file, line, column and words (… is the cell's text), or that it is taken. A change of what people are told shows
// here as a difference, which whoever makes it explains in the commit.

var hostileUpdate = flag.Bool("update", false, "write the kept problems anew")

// hostileCells are cells that are wrong somewhere, and some that are right where one would not think so.
var hostileCells = []string{
	"", "x?", "-1", "0", "0.5", "12,5", "1.250", "1e3", "2.5 m", "9999999", "FFL+", "SSL+2.9", "ceiling-45", "FFL+3000..FFL+2000", "A+600", "B1", "T1; D1", "ø150", "300x60", "0x60", "1 in 0", "yes", "top", "trey",
}

// hostileTables is a small project with every table and most columns; it is read without a problem.
var hostileTables = map[string]string{
	"levels.csv":   "storey,ffl,ssl,datum\nL1,0,-80,1000\nL2,4000,3920,1000\n",
	"grid.csv":     "axis,label,position\nx,A,0\nx,B,6000\ny,1,0\ny,2,6000\n",
	"buildups.csv": "build-up,layer,thickness,lifts out,module\ntiles,tile,15,yes,600\ntiles,tee,23,yes,\n",
	"bays.csv":     "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up,trough,guid,note\nB1,L1,A,grid 1,B,grid 2,FFL+3600,FFL+2700,tiles,30,,\nB1,L2,A,grid 1,B,grid 2,FFL+3600,none,,,,\n",
	"gaps.csv":     "of,to,side,gap,over,basis,why,source\nduct,tray,above,60,600,practice,room,\n",
	"hangers.csv":  "hanger,part,height,side,width,rods,from\nown channel,channel,41,under,41,2,soffit\nown channel,nut M10,8.4,inside,,,\n",
	"openings.csv": "in,at,x,y,size,level,face,margin,guid,note\nW1,,5000,1000,400x300,FFL+2900,bottom,25,,\n\"soffit B1, L1\",,1000,1000,ø200,,,,,\n",
	"access.csv":   "for,kind,side,depth,width,x,y,size,note\nV1,hatch,,,,2000,4000,450x450,\nV1,working space,north,600,500,,,,\n",
	"surveyed.csv": "no,storey,what,place,bay,zone,face,drawn,reading,level,set-up,not seen,day,by,note\n1,L1,soffit,,B1,,,,,FFL+3590,,,2026-11-30,,\n2,L1,zone,,,D1,bottom,,2010,,1,,,,\n3,L1,datum,,,,,,0,,1,,,,\n",
	"supports.csv": "run,length,row,number,along,hanger,rods,from,stage,note\nR1,,,1,300,own channel,2,soffit,fixed,\nR1,,,2,1500,,,,,\n",
	"partitions.csv": "id,storey,kind,x1,y1,x2,y2,size,level\n" +
		"W1,L1,wall,5000,0,5000,3000,150,FFL..FFL+3300\n",
	"tray.csv": "id,trade,service,kind,storey,bay,x1,y1,x2,y2,size,joint,top,insulation,level,face,fall,hanger,frame,tier,run,joins,recessed,reach,in room,circuits,class,rank,holds,stage,tolerance,guid,note\n" +
		"T1,containment,LV power,tray,L1,,500,3000,5500,3000,300x60,5,20,,FFL+2900,bottom,,own channel,F1,1,R1,D1,no,no,no,12,,4,level,ordered,10,,\n" +
		"T2,containment,data,basket,L1,,500,3000,5500,3000,200x60,,,,FFL+3200,,,own channel,F1,2,R2,,,,,,c,,,,,,\n",
	"ductwork.csv": "id,service,kind,storey,bay,x1,y1,x2,y2,width,height,diameter,insulation,level,fall,run\n" +
		"D1,supply air,duct,L1,,500,2000,4500,2000,400,200,,25,FFL+3000,1 in 100,\nD2,extract,,L1,B1,,,,,,,250,,soffit-300,,\n",
	"ceiling things.csv": "id,trade,kind,storey,x1,y1,size,level,recessed\nV1,ductwork,damper,L1,2000,4500,300x300x300,ceiling+60,\nV2,lighting,light fitting,L1,3000,4500,595x595x90,ceiling,yes\n",
}

func TestHostileCells(t *testing.T) {
	read := func(fsys fstest.MapFS) *void.Project {
		p, err := Open(context.Background(), "p", Options{FS: fsys})
		if p == nil {
			t.Fatal(err)
		}
		return p
	}
	fsys := fstest.MapFS{}
	for name, text := range hostileTables {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	tell := func(p *void.Project) (out []string) {
		for _, pr := range p.Problems {
			out = append(out, pr.Error())
		}
		for _, pr := range p.Warnings {
			out = append(out, "warning "+pr.Error())
		}
		slices.Sort(out)
		return out
	}
	p := read(fsys)
	usual := tell(p)
	if len(p.Problems) > 0 {
		t.Fatal(p.Problems)
	}
	var got bytes.Buffer
	for _, name := range slices.Sorted(func(yield func(string) bool) {
		for name := range hostileTables {
			if !yield(name) {
				return
			}
		}
	}) {
		recs, err := csv.NewReader(strings.NewReader(hostileTables[name])).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for k, head := range recs[0] {
			for i := 1; i < len(recs); i++ {
				if i > 1 && (recs[i][k] == "") == (recs[1][k] == "") {
					continue
				}
				was := recs[i][k]
				fmt.Fprintf(&got, "%s line %d %s, else %q\n", name, i+1, head, was)
				var said []string // what is told, in the order of the cells; and of which cells
				of := map[string][]string{}
				for _, c := range hostileCells {
					if c == was {
						continue
					}
					recs[i][k] = c
					var b bytes.Buffer
					w := csv.NewWriter(&b)
					if err := w.WriteAll(recs); err != nil {
						t.Fatal(err)
					}
					fsys[name] = &fstest.MapFile{Data: b.Bytes()}
					var told []string
					for _, s := range tell(read(fsys)) {
						if !slices.Contains(usual, s) {
							told = append(told, s)
						}
					}
					if len(told) == 0 {
						told = []string{"taken"}
					}
					say := strings.ReplaceAll(strings.Join(told, " | "), strconv.Quote(c), "…")
					if of[say] == nil {
						said = append(said, say)
					}
					of[say] = append(of[say], strconv.Quote(c))
				}
				for _, say := range said {
					fmt.Fprintf(&got, "\t%s: %s\n", strings.Join(of[say], ", "), say)
				}
				recs[i][k] = was
			}
		}
		fsys[name] = &fstest.MapFile{Data: []byte(hostileTables[name])}
	}
	file := filepath.Join("testdata", "hostile.txt")
	if *hostileUpdate {
		if err := os.MkdirAll("testdata", 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, got.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
		return
	}
	want, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	lines := func(b []byte) []string { return strings.Split(strings.ReplaceAll(string(b), "\r\n", "\n"), "\n") }
	if was, is := lines(want), lines(got.Bytes()); !slices.Equal(was, is) {
		d := strings.Split(cmp.Diff(was, is), "\n")
		t.Errorf("%s (-update writes it anew; say in the commit why each line is right):\n%s", file, strings.Join(d[:min(40, len(d))], "\n"))
	}
}
