//go:build !windows

package table

import (
	"bufio"
	"context"
	"errors"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"
	"time"

	"voidline/io/whole"
)

// rewriteKilled is set for the child: the folder whose tables it rewrites without end.
const rewriteKilled = "VOIDLINE_REWRITE_TEST"

var rewriteNames = []string{"pipes.csv", "tray.csv", "wiring.csv"}

// generation is version n of a table: each of its rows says n. The size hangs on the name alone.
func generation(name string, n int) string {
	var b strings.Builder
	b.WriteString("id;x1;y1;size;level;note\r\n")
	for i := range 2 * len(name) {
		fmt.Fprintf(&b, "%s-%d;%d;1;100x100x100;FFL+%d;\"as \"\"drawn\"\"\"\r\n", name, i, i, 100+n)
	}
	return b.String()
}

// generationOf returns which version a table is, false where it is none, or not whole.
func generationOf(name, text string) (int, bool) {
	var n int
	_, level, _ := strings.Cut(text, "FFL+")
	if _, err := fmt.Sscanf(level, "%d", &n); err != nil {
		return 0, false
	}
	return n - 100, text == generation(name, n-100)
}

// rewriteOnce rewrites all tables of a folder to the version after theirs.
func rewriteOnce(dir string) error {
	p, o, err := OpenKept(context.Background(), dir, Options{})
	if err != nil {
		return err
	}
	if len(p.Problems) > 0 {
		return p.Problems[0]
	}
	is := map[string]int{}
	for _, name := range rewriteNames {
		is[name], _ = generationOf(name, string(o.files[name].data))
	}
	var changes []CellChange
	for i := range p.Zones() {
		z := p.Zone(i)
		name := p.Files[z.At().File]
		changes = append(changes, CellChange{File: name, Line: int(z.At().Line), ID: z.ID, Column: "level", Text: fmt.Sprint("FFL+", 101+is[name])})
	}
	_, err = o.Rewrite(changes)
	return err
}

// TestRewriteKilledChild is the child: it rewrites the tables again and again, and says each time.
func TestRewriteKilledChild(t *testing.T) {
	dir := os.Getenv(rewriteKilled)
	if dir == "" {
		t.Skip("the child of TestRewriteKilled")
	}
	for n := 1; ; n++ {
		if err := rewriteOnce(dir); err != nil {
			t.Fatal(err)
		}
		fmt.Println("wrote", n)
	}
}

// killing is a folder whose tables are rewritten by processes that are killed.
type killing struct {
	t   *testing.T
	dir string

	amid, apart, hidden int // how often a file was kept and not yet replaced, some were replaced and others not, hidden files were left
}

// begin puts the first version of each table there and nothing else.
func (k *killing) begin() {
	k.t.Helper()
	for _, name := range entries(k.t, k.dir) {
		if err := os.RemoveAll(filepath.Join(k.dir, name)); err != nil {
			k.t.Fatal(err)
		}
	}
	put := func(name, text string) {
		if err := os.WriteFile(filepath.Join(k.dir, name), []byte(text), 0o644); err != nil {
			k.t.Fatal(err)
		}
	}
	put("bays.csv", rewriteBays)
	for _, name := range rewriteNames {
		put(name, generation(name, 0))
	}
}

// look wants that each table is whole, as it was said to be or as it was to be next; that what is kept is whole; that each version that was
// there is kept or stands there; and that it can be gone on with.
func (k *killing) look(kill string, said int) {
	t := k.t
	t.Helper()
	now := map[string]int{}
	for _, name := range rewriteNames {
		is, ok := generationOf(name, stands(t, k.dir, name))
		if !ok || is != said && is != said+1 {
			t.Fatalf("%s: %s is version %d, whole: %t, and %d was the last that was said to be written", kill, name, is, ok, said)
		}
		now[name] = is
	}
	if now[rewriteNames[0]] != now[rewriteNames[2]] {
		k.apart++
	}
	kept := map[string]map[int]bool{}
	for _, entry := range entries(t, k.dir) {
		name, _, is := strings.Cut(entry, ".old")
		if entry[0] == '.' {
			k.hidden++
		}
		if entry[0] == '.' || !is {
			continue
		}
		v, ok := generationOf(name, stands(t, k.dir, entry))
		if !ok {
			t.Fatalf("%s: %s is not whole", kill, entry)
		}
		if kept[name] == nil {
			kept[name] = map[int]bool{}
		}
		kept[name][v] = true
	}
	for _, name := range rewriteNames {
		for v := range now[name] {
			if !kept[name][v] {
				t.Fatalf("%s: version %d of %s is lost", kill, v, name)
			}
		}
		if kept[name][now[name]] {
			k.amid++
		}
	}
	if err := rewriteOnce(k.dir); err != nil {
		t.Fatalf("%s: %v", kill, err)
	}
}

// child returns a process that rewrites the tables without end, run by another where there is one.
func (k *killing) child(by ...string) *exec.Cmd {
	self, err := os.Executable()
	if err != nil {
		k.t.Fatal(err)
	}
	line := append(by, self, "-test.run=^TestRewriteKilledChild$")
	child := exec.Command(line[0], line[1:]...)
	child.Env = append(os.Environ(), rewriteKilled+"="+k.dir, "GOMAXPROCS=1")
	return child
}

// TestRewriteKilled kills a rewriting process at random moments.
func TestRewriteKilled(t *testing.T) {
	times := 60
	if testing.Short() {
		times = 10
	}
	const seed = 1
	r := rand.New(rand.NewSource(seed))
	k := &killing{t: t, dir: t.TempDir()}
	for i := 0; i < times || k.hidden == 0 && i < 20*times; i++ { // until one came in the midst of a write
		k.begin()
		child := k.child()
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		lines := bufio.NewScanner(out)
		// The first word means that it is at work; from then on any moment will do.
		if !lines.Scan() {
			t.Fatalf("seed %d, kill %d: the child wrote nothing", seed, i)
		}
		time.Sleep(time.Duration(r.Intn(20000)) * time.Microsecond)
		if err := child.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		said := 0
		for more := true; more; more = lines.Scan() {
			if _, err := fmt.Sscanf(lines.Text(), "wrote %d", &said); err != nil {
				t.Fatalf("the child said %q", lines.Text())
			}
		}
		_ = child.Wait() // killed: its error says so
		k.look(fmt.Sprintf("seed %d, kill %d", seed, i), said)
	}
	t.Logf("at least %d kills: %+v", times, []int{k.amid, k.apart, k.hidden})
	if k.hidden == 0 {
		t.Error("no kill came in the midst of a write")
	}
}

// TestRewriteKilledAtEachStep kills a rewriting process at each of its steps: when it gives a file its place or a second name for the
// first time, the second, and so on. It needs a program that kills at a call of the system, and skips without.
func TestRewriteKilledAtEachStep(t *testing.T) {
	strace, err := exec.LookPath("strace")
	if err != nil {
		t.Skip(err)
	}
	k := &killing{t: t, dir: t.TempDir()}
	kills := 0
	step := func(call string, n int) {
		k.begin()
		child := k.child(strace, "-f", "-qq", "-o", os.DevNull, "-e", "trace="+call, "-e", fmt.Sprintf("inject=%s:signal=KILL:when=%d", call, n))
		out, err := child.Output()
		if len(out) == 0 && err == nil {
			t.Fatalf("%s %d: the child ended by itself", call, n)
		}
		said := strings.Count(string(out), "wrote")
		if strings.Contains(string(out), "FAIL") || said > 20 {
			t.Skipf("it cannot kill here: %v %q", err, out)
		}
		kills++
		k.look(fmt.Sprintf("%s %d", call, n), said)
	}
	// Calls are counted by thread, and which thread makes one is chance: so again, until both halves were met.
	for round := 0; round == 0 || round < 10 && (k.amid == 0 || k.apart == 0); round++ {
		for _, call := range []string{"linkat", "renameat", "unlinkat"} {
			for n := 1; n <= 7; n++ {
				step(call, n)
			}
		}
	}
	t.Logf("%d kills: %+v", kills, []int{k.amid, k.apart, k.hidden})
	if k.amid == 0 || k.apart == 0 {
		t.Errorf("%d times a file was kept and not yet replaced, %d times some were replaced and others not", k.amid, k.apart)
	}
}

// Many who rewrite one table at once lose nothing of each other's: each reads a number and writes the one after it.
func TestRewriteRace(t *testing.T) {
	dir := t.TempDir()
	onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "pipes.csv": generation("pipes.csv", 0), "tray.csv": generation("tray.csv", 0), "wiring.csv": generation("wiring.csv", 0)})
	var wrote, refused atomic.Int64
	var all sync.WaitGroup
	for range 4 {
		all.Go(func() {
			for range 10 {
				switch err := rewriteOnce(dir); {
				case err == nil:
					wrote.Add(1)
				case errors.Is(err, whole.ErrBusy), errors.Is(err, whole.ErrChanged):
					refused.Add(1)
				default:
					t.Error(err)
				}
			}
		})
	}
	all.Wait()
	for _, name := range rewriteNames {
		if is, ok := generationOf(name, stands(t, dir, name)); !ok || is != int(wrote.Load()) {
			t.Errorf("%s is version %d, whole: %t; %d times it was written", name, is, ok, wrote.Load())
		}
	}
	t.Logf("written %d times, refused %d times", wrote.Load(), refused.Load())
	if wrote.Load() == 0 {
		t.Error("nobody wrote")
	}
}

// Who saves a file between the last look at it and its being replaced is not overwritten: it is looked at once more when all is ready.
func TestRewriteChangedMeanwhile(t *testing.T) {
	dir := t.TempDir()
	_, o := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "pipes.csv": generation("pipes.csv", 0), "tray.csv": generation("tray.csv", 0)})
	defer func() { beside = whole.Beside }()
	beside = func(name string) (string, error) {
		kept, err := whole.Beside(name)
		if filepath.Base(name) == "tray.csv" {
			if err := os.WriteFile(name+".new", []byte("mine"), 0o644); err != nil {
				t.Fatal(err)
			}
			if err := os.Rename(name+".new", name); err != nil {
				t.Fatal(err)
			}
		}
		return kept, err
	}
	kept, err := o.Rewrite([]CellChange{{File: "pipes.csv", Line: 2, Column: "level", Text: "900"}, {File: "tray.csv", Line: 2, Column: "level", Text: "900"}})
	if !errors.Is(err, whole.ErrChanged) || kept != nil {
		t.Errorf("%v, kept %v", err, kept)
	}
	if stands(t, dir, "tray.csv") != "mine" || stands(t, dir, "pipes.csv") != generation("pipes.csv", 0) {
		t.Error("a file was replaced")
	}
	if got := entries(t, dir); len(got) != 3 {
		t.Errorf("it left %v", got)
	}
}

// Where the old one of a later file cannot be kept, that is told, no file is replaced, and what was kept of those before it is taken away.
func TestRewriteWhereAnOldFileCannotBeKept(t *testing.T) {
	dir := t.TempDir()
	_, o := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "pipes.csv": generation("pipes.csv", 0), "tray.csv": generation("tray.csv", 0)})
	defer func() { beside = whole.Beside }()
	full, asked := errors.New("no room"), 0
	beside = func(name string) (string, error) {
		if asked++; filepath.Base(name) == "tray.csv" {
			return "", full
		}
		return whole.Beside(name)
	}
	kept, err := o.Rewrite([]CellChange{{File: "pipes.csv", Line: 2, Column: "level", Text: "900"}, {File: "tray.csv", Line: 2, Column: "level", Text: "900"}})
	if !errors.Is(err, full) || kept != nil || asked != 2 {
		t.Errorf("%v, kept %v, asked %d times", err, kept, asked)
	}
	for _, name := range []string{"pipes.csv", "tray.csv"} {
		if stands(t, dir, name) != generation(name, 0) {
			t.Errorf("%s was replaced", name)
		}
	}
	if got := entries(t, dir); len(got) != 3 {
		t.Errorf("it left %v", got)
	}
}

// A new table that is written between old ones has no old one: where a later one cannot be kept, those kept before and after it are taken away, and it is not there.
func TestRenewWhereAnOldFileBehindANewOneCannotBeKept(t *testing.T) {
	dir := t.TempDir()
	_, o := onDisk(t, dir, map[string]string{"bays.csv": rewriteBays, "pipes.csv": generation("pipes.csv", 0), "mapping.csv": "class,becomes\nIfcWall,room\n", "model.csv": "table,row,cells\n"})
	defer func() { beside = whole.Beside }()
	full := errors.New("no room")
	beside = func(name string) (string, error) {
		if filepath.Base(name) == "model.csv" {
			return "", full
		}
		return whole.Beside(name)
	}
	kept, err := o.Renew([]TableChange{{File: "pipes.csv", Cells: []CellChange{{File: "pipes.csv", Line: 2, Column: "level", Text: "900"}}}}, []whole.File{
		{Name: "tray.csv", Data: []byte(generation("tray.csv", 1))}, {Name: "mapping.csv", Data: []byte("class,becomes\n")}, {Name: "model.csv", Data: []byte("table,row,cells\na,b,c\n")},
	})
	if !errors.Is(err, full) || kept != nil {
		t.Errorf("%v, kept %v", err, kept)
	}
	if got := entries(t, dir); !slices.Equal(got, []string{"bays.csv", "mapping.csv", "model.csv", "pipes.csv"}) {
		t.Errorf("it left %v", got)
	}
}
