package main

import (
	"bufio"
	"cmp"
	"context"
	"errors"
	"flag"
	"fmt"
	"io"
	"maps"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/golang/geo/r3"

	"voidline/clash"
	"voidline/clash/figure"
	"voidline/io/table"
	"voidline/void"
	"voidline/void/body"
	"voidline/void/need"
)

// The peers are general-purpose programs that search and measure the same boxes and cylinders; their
// sources, and a generator of buildings for them, stand beside the repository in ../shared/bench. Their
// table has one row a body:
//
//	id,trade,shape,x1,y1,z1,x2,y2,z2,width,height
//
// in mm, the two points being the ends of the axis at mid width and mid height, and they ask which bodies are
// nearer than 25 mm. Rows are numbered from 0.

var (
	peersFrom = flag.String("peers.from", "", "a `TABLE` of the peers, for TestConvertPeers")
	peersTo   = flag.String("peers.to", "", "the project `FOLDER` that TestConvertPeers writes")
	peersMore = flag.String("peers.zones", "", "compare near pairs with the peers' on these numbers of zones too, such as `100000,1000000`")
)

const (
	peersBay    = 7500.0 // mm, square
	peersStorey = 3800.0 // mm from floor to floor; the generator shifts each storey by up to 15
	peersGap    = 25.0   // mm, what is near
)

// peerRow is a row of the peers' table.
type peerRow struct {
	id    string
	trade string
	round bool
	from  [3]float64
	to    [3]float64
	w, h  float64
	text  [11]string // as written
}

// service reports whether the row is none of the structure.
func (r *peerRow) service() bool { return r.trade != "slab" && r.trade != "beam" }

// readPeers calls each with the rows of a peers' table in their order. The row is good only during the call.
func readPeers(from io.Reader, each func(n int, r *peerRow) error) error {
	s := bufio.NewScanner(from)
	if !s.Scan() || s.Text() != "id,trade,shape,x1,y1,z1,x2,y2,z2,width,height" {
		return errors.Join(errors.New("not a table of the peers"), s.Err())
	}
	for n := 0; s.Scan(); n++ {
		var r peerRow
		if c := copy(r.text[:], strings.Split(s.Text(), ",")); c != len(r.text) {
			return fmt.Errorf("row %d has %d cells", n, c)
		}
		r.id, r.trade, r.round = r.text[0], r.text[1], r.text[2] == "round"
		for k, to := range []*float64{&r.from[0], &r.from[1], &r.from[2], &r.to[0], &r.to[1], &r.to[2], &r.w, &r.h} {
			v, err := strconv.ParseFloat(r.text[3+k], 64)
			if err != nil {
				return fmt.Errorf("row %d: %w", n, err)
			}
			*to = v
		}
		if err := each(n, &r); err != nil {
			return fmt.Errorf("row %d: %w", n, err)
		}
	}
	return s.Err()
}

// thousandths reads a decimal of three places without rounding.
func thousandths(text string) (int64, error) {
	whole, part, ok := strings.Cut(text, ".")
	if !ok || len(part) != 3 {
		return 0, fmt.Errorf("%q has not three decimals", text)
	}
	return strconv.ParseInt(whole+part, 10, 64)
}

// halves writes so many half thousandths as a decimal, exactly.
func halves(n int64) string {
	sign := ""
	if n < 0 {
		sign, n = "-", -n
	}
	text := fmt.Sprintf("%s%d.%04d", sign, n/2000, n%2000*5)
	return strings.TrimSuffix(strings.TrimRight(text, "0"), ".")
}

// tables writes the tables of a project, each to a file of its own.
type tables struct {
	dir   string
	files []*os.File
	open  map[string]*bufio.Writer
	err   error
}

// to returns where the rows of a table go; its heading is written first.
func (t *tables) to(name, head string) *bufio.Writer {
	if w := t.open[name]; w != nil {
		return w
	}
	f, err := os.Create(filepath.Join(t.dir, name+".csv"))
	t.err = errors.Join(t.err, err)
	w := bufio.NewWriterSize(f, 1<<18)
	if t.open == nil {
		t.open = map[string]*bufio.Writer{}
	}
	t.open[name], t.files = w, append(t.files, f)
	w.WriteString(head + "\n") // a bufio.Writer keeps its first error for Flush
	return w
}

// close finishes the tables and returns the first error of all that was written.
func (t *tables) close() error {
	for _, name := range slices.Sorted(maps.Keys(t.open)) {
		t.err = errors.Join(t.err, t.open[name].Flush())
	}
	for _, f := range t.files {
		t.err = errors.Join(t.err, f.Close())
	}
	return t.err
}

// convertPeers writes a table of the peers as a project folder. Every row becomes a zone of the same id with
// the same body:
//
//   - slabs to structure.csv, beams to steel.csv, and so on, a trade a table; lengths by both ends and the
//     level of their axis, light fittings as items, drops as items with a range of levels;
//   - levels above the FFL of the storey that the row lies in;
//   - a bay for each slab, without a ceiling and with the slab's top for a soffit, since its underside is that of
//     a zone; and the grid that the slabs stand on;
//   - rules by which any is to be 25 from any, and which put the built-in ones out of the way.
//
// With alone each row is a run of its own and the light fittings are trunking: nothing is joined to anything.
func convertPeers(from io.Reader, dir string, alone bool) error {
	t := &tables{dir: dir}
	storeys, across, deep := 0, 0, 0
	err := readPeers(from, func(_ int, r *peerRow) error {
		var mm [6]int64 // thousandths
		for k := range mm {
			var err error
			if mm[k], err = thousandths(r.text[3+k]); err != nil {
				return err
			}
		}
		s := int((r.from[2] + r.to[2] - peersStorey) / 2 / peersStorey) // all lies above the middle of its storey
		storeys = max(storeys, s+1)
		above := func(n int64) string { return halves(n - 2000*int64(s)*int64(peersStorey)) } // the storey's FFL
		run := ""
		if alone {
			run = r.id
		}
		var w *bufio.Writer
		switch r.trade {
		case "slab":
			i, j := int((r.from[0]+r.to[0])/2/peersBay), int((r.from[1]+r.to[1])/2/peersBay)
			across, deep = max(across, i+1), max(deep, j+1)
			thick, err := strconv.ParseInt(r.text[10], 10, 64)
			if err != nil {
				return err
			}
			fmt.Fprintf(t.to("bays", "bay,storey,x1,y1,x2,y2,soffit,ceiling"), "%s/%d,L%d,%s,grid %d,%s,grid %d,FFL+%s,none\n",
				letters(i), j+1, s, letters(i), j+1, letters(i+1), j+2, above(2*mm[2]+1000*thick))
			w = t.to("structure", "id,storey,x1,y1,x2,y2,size,level,face,run,kind")
		case "beam":
			w = t.to("steel", "id,storey,x1,y1,x2,y2,size,level,face,run")
		case "duct":
			w = t.to("ductwork", "id,storey,x1,y1,x2,y2,size,level,face,run")
		case "pipe":
			w = t.to("pipework", "id,storey,x1,y1,x2,y2,size,level,face,run,fall,service")
		case "tray":
			w = t.to("containment", "id,storey,x1,y1,x2,y2,size,level,face,run")
		case "luminaire":
			w = t.to("lighting", "id,storey,x1,y1,x2,y2,size,level,face,run,kind,recessed")
		default:
			return fmt.Errorf("no trade %q", r.trade)
		}
		size := r.text[9] + "x" + r.text[10]
		if r.round {
			size = "ø" + r.text[9]
		}
		place := r.text[3] + "," + r.text[4] + "," + r.text[6] + "," + r.text[7]
		level, face := "FFL+"+above(2*mm[2]), "centre"
		fall := ""
		switch {
		case r.trade == "luminaire":
			if mm[1] != mm[4] || mm[2] != mm[5] || mm[3] <= mm[0] {
				return errors.New("a light fitting that does not lie along x")
			}
			place = halves(mm[0]+mm[3]) + "," + r.text[4] + ",,"
			size = halves(2*(mm[3]-mm[0])) + "x" + size
		case mm[0] == mm[3] && mm[1] == mm[4]:
			if !r.round {
				return errors.New("an upright duct")
			}
			place = r.text[3] + "," + r.text[4] + ",,"
			level, face = "FFL+"+above(2*min(mm[2], mm[5]))+"..FFL+"+above(2*max(mm[2], mm[5])), ""
		case mm[2] != mm[5]:
			if !r.round {
				return errors.New("a duct that falls: its ends would be upright")
			}
			fall = strconv.FormatFloat(100*(r.from[2]-r.to[2])/math.Hypot(r.to[0]-r.from[0], r.to[1]-r.from[1]), 'f', -1, 64) + " %"
		}
		fmt.Fprintf(w, "%s,L%d,%s,%s,%s,%s,%s", r.id, s, place, size, level, face, run)
		switch r.trade {
		case "slab":
			w.WriteString(",slab")
		case "pipe":
			service := "compressed air" // it neither drips nor heats
			if alone {
				service = "" // of two runs without one nobody knows whether they carry the same
			}
			fmt.Fprintf(w, ",%s,%s", fall, service)
		case "luminaire":
			if alone {
				w.WriteString(",trunking,no")
			} else {
				w.WriteString(",light fitting,no")
			}
		}
		w.WriteByte('\n')
		return nil
	})
	lv := t.to("levels", "storey,ffl")
	for s := range storeys {
		fmt.Fprintf(lv, "L%d,%d\n", s, s*int(peersStorey))
	}
	g := t.to("grid", "axis,label,position")
	for i := range across + 1 {
		fmt.Fprintf(g, "x,%s,%d\n", letters(i), i*int(peersBay))
	}
	for j := range deep + 1 {
		fmt.Fprintf(g, "y,%d,%d\n", j+1, j*int(peersBay))
	}
	gaps := t.to("gaps", "of,to,side,gap,basis,why")
	fmt.Fprintf(gaps, "any,any,around,%g,practice,what the peers ask\n", peersGap)
	gaps.WriteString("any,any,above,0,practice,no room to lay cables: the peers know of none\n")
	gaps.WriteString("any,any,one side,0,practice,no hand room: the peers know of none\n")
	return errors.Join(err, t.close())
}

// letters names grid line i of those along x: A to Z, then AA.
func letters(i int) string {
	if i < 26 {
		return string(rune('A' + i))
	}
	return letters(i/26-1) + letters(i%26)
}

// TestConvertPeers writes the project of a peers' table, to be measured by hand:
//
//	go test ./cmd/voidline -run TestConvertPeers -peers.from z.csv -peers.to FOLDER
func TestConvertPeers(t *testing.T) {
	if *peersFrom == "" || *peersTo == "" {
		t.Skip("for use by hand: wants -peers.from and -peers.to")
	}
	f, err := os.Open(*peersFrom)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if err := os.MkdirAll(*peersTo, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := convertPeers(f, *peersTo, false); err != nil {
		t.Fatal(err)
	}
}

// peers are the programs of the peers, built.
type peers struct {
	gen, tuned string
	fcl        string // "" where its library is not there
}

// buildPeers builds the peers' programs, and skips where that cannot be done.
func buildPeers(t testing.TB) peers {
	t.Helper()
	src, err := filepath.Abs(filepath.Join("..", "..", "..", "shared", "bench"))
	if err != nil {
		t.Fatal(err)
	}
	if _, err := os.Stat(src); err != nil {
		need.Skip(t, "the peers' sources, shared/bench, are not beside this repository")
	}
	if _, err := exec.LookPath("g++"); err != nil {
		need.Skip(t, "there is no g++ to build the peers with")
	}
	if runtime.GOARCH != "amd64" {
		need.Skip(t, "the hand-tuned peer is written for amd64")
	}
	dir := t.TempDir()
	p := peers{filepath.Join(dir, "gen"), filepath.Join(dir, "tuned"), filepath.Join(dir, "fcl")}
	build := exec.Command("go", "build", "-o", p.gen, ".")
	build.Dir = filepath.Join(src, "gen")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("the peers' generator does not build: %v\n%s", err, out)
	}
	std := []string{"-std=c++17", "-O1", "-DNDEBUG"}
	args := append(slices.Clone(std), "-march=native", "-ffp-contract=off", "-o", p.tuned, filepath.Join(src, "cpp", "tuned.cpp"), "-lpthread")
	if out, err := exec.Command("g++", args...).CombinedOutput(); err != nil {
		need.Skip(t, "the hand-tuned peer does not build here (it wants AVX2): %v\n%s", err, out)
	}
	args = append(slices.Clone(std), "-I/usr/include/eigen3", "-o", p.fcl, filepath.Join(src, "cpp", "fcl_peer.cpp"), "-lfcl", "-lccd")
	if out, err := exec.Command("g++", args...).CombinedOutput(); err != nil {
		t.Logf("without the collision library, which does not build here: %.200s", out)
		p.fcl = ""
	}
	return p
}

// rowPair is two rows of the peers' table, the lower number first.
type rowPair [2]int32

func rowsOf(a, b int32) rowPair { return rowPair{min(a, b), max(a, b)} }

// near runs a peer that writes its near pairs to a file, and returns them.
func near(t testing.TB, program string, args ...string) map[rowPair]bool {
	t.Helper()
	file := filepath.Join(t.TempDir(), "near")
	if out, err := exec.Command(program, append(args, file)...).CombinedOutput(); err != nil {
		t.Fatalf("%s: %v\n%s", program, err, out)
	}
	text, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	set := map[rowPair]bool{}
	for line := range strings.Lines(string(text)) {
		var a, b int32
		if _, err := fmt.Sscan(line, &a, &b); err != nil {
			t.Fatalf("%s wrote %q", program, line)
		}
		set[rowsOf(a, b)] = true
	}
	return set
}

// The peers say which bodies are nearer than 25 mm. voidline, asked for 25 around everything, has to say the
// same of every pair of which one at least is no structure. Two ways:
//
//   - with nothing that could be joined to anything, the two sets are equal;
//   - as people write such tables, a pair may be excused as joined: every pair that is missing must be one that may
//     be, and so many are missing as voidline says that it excused.
//
// Nearer is "by more than a hair", 0.001 mm, for voidline: a pair within that of the gap may be missing.
func TestNearPairsWithPeers(t *testing.T) {
	p := buildPeers(t)
	sizes := []string{"10000"}
	if !testing.Short() {
		sizes = append(sizes, "100000")
	}
	if *peersMore != "" {
		sizes = append(sizes, strings.Split(*peersMore, ",")...)
	}
	for _, n := range sizes {
		t.Run("zones="+n, func(t *testing.T) {
			csv := filepath.Join(t.TempDir(), "z.csv")
			if out, err := exec.Command(p.gen, "-n", n, "-seed", "1", "-o", csv).CombinedOutput(); err != nil {
				t.Fatalf("%v\n%s", err, out)
			}
			rows := peerRows(t, csv)
			want := near(t, p.tuned, csv, "2", "0", "1000")
			if p.fcl != "" {
				other := near(t, p.fcl, csv, "indep")
				only, miss := lacking(want, other), lacking(other, want)
				t.Logf("near pairs: %d of the hand-tuned peer; of the collision library %d, %d missing and %d more", len(want), len(other), len(only), len(miss))
				for _, k := range append(only, miss...) {
					a, b := rows[k[0]].body(), rows[k[1]].body()
					t.Logf("the peers differ about %s and %s, %.6f apart", rows[k[0]].id, rows[k[1]].id, body.Gap(a, b).MM)
				}
			}
			services := map[rowPair]bool{}
			for k := range want {
				if rows[k[0]].service() || rows[k[1]].service() {
					services[k] = true
				}
			}
			if len(services) == 0 {
				t.Fatal("no near pair has a service in it: nothing is compared")
			}
			t.Logf("%d of them with a service, %d of structure alone, which voidline leaves out", len(services), len(want)-len(services))
			for _, alone := range []bool{true, false} {
				t.Run(map[bool]string{true: "nothing joined", false: "as written"}[alone], func(t *testing.T) {
					compareNear(t, csv, rows, services, alone)
				})
			}
		})
	}
}

// lacking returns what is in a and not in b, sorted.
func lacking(a, b map[rowPair]bool) []rowPair {
	var out []rowPair
	for k := range a {
		if !b[k] {
			out = append(out, k)
		}
	}
	slices.SortFunc(out, func(x, y rowPair) int { return cmp.Or(cmp.Compare(x[0], y[0]), cmp.Compare(x[1], y[1])) })
	return out
}

func peerRows(t testing.TB, csv string) []peerRow {
	t.Helper()
	f, err := os.Open(csv)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var rows []peerRow
	if err := readPeers(f, func(_ int, r *peerRow) error {
		r.text = [11]string{}
		rows = append(rows, *r)
		return nil
	}); err != nil {
		t.Fatal(err)
	}
	return rows
}

// compareNear compares voidline's answer for a table of the peers with their near pairs.
func compareNear(t *testing.T, csv string, rows []peerRow, want map[rowPair]bool, alone bool) {
	f, err := os.Open(csv)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	dir := t.TempDir()
	if err := convertPeers(f, dir, alone); err != nil {
		t.Fatal(err)
	}
	p, err := table.Open(context.Background(), dir, table.Options{})
	if err != nil {
		t.Fatal(err)
	}
	ch := clash.Open(p, clash.Options{Touch: clash.None}) // touching is near
	if len(p.Problems)+len(p.Warnings) > 0 || p.Zones() != len(rows) {
		t.Fatalf("%d zones of %d rows, problems %v, warnings %v", p.Zones(), len(rows), p.Problems, p.Warnings)
	}
	rowOf := map[string]int32{}
	for i := range rows {
		rowOf[rows[i].id] = int32(i)
	}
	sameBodies(t, p, rows)
	res, err := ch.Findings(context.Background())
	if err != nil {
		t.Fatal(err)
	}
	got := map[rowPair]bool{}
	for i := range res.Findings {
		f := &res.Findings[i]
		a, okA := rowOf[f.A]
		b, okB := int32(0), false
		if f.B != nil {
			b, okB = rowOf[*f.B]
		}
		if !okA || !okB {
			t.Fatalf("%+v: not of two rows", f)
		}
		got[rowsOf(a, b)] = true
	}
	if len(res.BuildersWork) > 0 {
		t.Errorf("%d services go through a slab: their pairs are no findings", len(res.BuildersWork))
	}
	excused := 0
	for _, n := range res.Excused {
		excused += n
	}
	apart := func(k rowPair) float64 { return body.Gap(rows[k[0]].body(), rows[k[1]].body()).MM }
	more, met, joined := 0, 0, 0
	for _, k := range lacking(got, want) {
		if more++; more <= 10 {
			t.Errorf("%s and %s, %.6f apart: found, and the peers do not have them near", rows[k[0]].id, rows[k[1]].id, apart(k))
		}
	}
	for _, k := range lacking(want, got) {
		a, b := &rows[k[0]], &rows[k[1]]
		switch d := apart(k); {
		case peersGap-d <= figure.Slack:
			met++ // it would be told as 25 clear, 25 needed: nothing that a person could mend
		case !alone && mayJoin(a, b):
			joined++
		default:
			if more++; more <= 10 {
				t.Errorf("%s and %s, %.6f apart: near for the peers, not found", a.id, b.id, d)
			}
		}
	}
	if more > 10 {
		t.Errorf("%d such pairs in all", more)
	}
	if joined != excused {
		t.Errorf("%d pairs are missing that may be joined, and voidline says that it excused %d", joined, excused)
	}
	if !alone && joined == 0 {
		t.Error("no pair is joined: the accounting accounts for nothing")
	}
	t.Logf("%d near pairs with a service, %d found, %d excused as joined, %d that lack less than a record carries", len(want), len(got), excused, met)
}

// body returns the row's body, made of the numbers in the peers' table.
func (r *peerRow) body() body.Body {
	p, q := r3.Vector{X: r.from[0], Y: r.from[1], Z: r.from[2]}, r3.Vector{X: r.to[0], Y: r.to[1], Z: r.to[2]}
	if r.round {
		return body.Cylinder(p, q, r.w)
	}
	return body.Box(p, q, r.w, r.h)
}

// sameBodies wants of every zone the body that the peers have, within 1e-9 mm.
func sameBodies(t *testing.T, p *void.Project, rows []peerRow) {
	t.Helper()
	const within = 1e-9
	wrong := 0
	for i := range rows {
		r := &rows[i]
		k, ok := p.ZoneByID(r.id)
		if !ok {
			t.Fatalf("no zone %s", r.id)
		}
		z, want := p.Zone(k).Full(), r.body()
		ends := [2]r3.Vector{z.Start(), z.End()}
		if ends[0].Sub(want.Start()).Norm() > ends[1].Sub(want.Start()).Norm() {
			ends[0], ends[1] = ends[1], ends[0] // a drop is written from its foot
		}
		off := math.Max(ends[0].Sub(want.Start()).Norm(), ends[1].Sub(want.End()).Norm())
		if off <= within && z.Round == want.Round && math.Abs(z.W-want.W) <= within && (z.Round || math.Abs(z.H-want.H) <= within) &&
			(z.Round || math.Abs(z.Across.X*want.Across.Y-z.Across.Y*want.Across.X) <= within/1e3) {
			continue
		}
		if wrong++; wrong <= 5 {
			t.Errorf("%s is %+v, the peers have %+v", r.id, z, want)
		}
	}
	if wrong > 5 {
		t.Errorf("%d bodies in all are not the peers'", wrong)
	}
}

// mayJoin reports whether two rows that are near may be excused as joined: of one trade, or one of them a light
// fitting, and an end of one within 50 mm of the other. Of an end only the circle round its face is looked at, so
// that more pairs may be than are.
func mayJoin(a, b *peerRow) bool {
	if !a.service() || !b.service() || a.trade != b.trade && a.trade != "luminaire" && b.trade != "luminaire" {
		return false
	}
	reaches := func(a, b *peerRow) bool {
		if a.trade == "luminaire" {
			return false // it has no ends
		}
		face := math.Hypot(a.w, a.h) / 2
		if a.round {
			face = a.w / 2
		}
		for _, e := range [][3]float64{a.from, a.to} {
			if b.distance(e) <= 50+face {
				return true
			}
		}
		return false
	}
	return reaches(a, b) || reaches(b, a)
}

// distance returns the distance of a point from the row's body, mm.
func (r *peerRow) distance(at [3]float64) float64 {
	var d, c [3]float64
	length := 0.0
	for k := range d {
		d[k] = r.to[k] - r.from[k]
		length += d[k] * d[k]
		c[k] = at[k] - (r.from[k]+r.to[k])/2
	}
	length = math.Sqrt(length)
	along := 0.0
	for k := range d {
		d[k] /= length
		along += d[k] * c[k]
	}
	out := func(v, half float64) float64 { return math.Max(0, math.Abs(v)-half) }
	off := 0.0
	for k := range c {
		c[k] -= along * d[k]
		off += c[k] * c[k]
	}
	if r.round {
		return math.Hypot(out(along, length/2), out(math.Sqrt(off), r.w/2))
	}
	side := -d[1]*c[0] + d[0]*c[1] // boxes are level
	return math.Hypot(out(along, length/2), math.Hypot(out(side, r.w/2), out(c[2], r.h/2)))
}
