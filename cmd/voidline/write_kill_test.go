//go:build unix

package main

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"
)

// written is a project whose tables the built program writes: a bay and pipes that are clear of each other, so that what is told is the writing.
type written struct {
	t       *testing.T
	dir     string
	program string
}

const manyPipes = 400

func (k *written) begin() {
	k.t.Helper()
	must := func(err error) {
		if err != nil {
			k.t.Fatal(err)
		}
	}
	if k.program == "" {
		// This very binary is the program where it is called voidline (see TestMain).
		self, err := os.Executable()
		must(err)
		k.program = filepath.Join(k.t.TempDir(), "voidline")
		must(os.Symlink(self, k.program))
		k.dir = filepath.Join(k.t.TempDir(), "job")
	}
	must(os.RemoveAll(k.dir))
	must(os.MkdirAll(k.dir, 0o777))
	must(os.WriteFile(filepath.Join(k.dir, "bays.csv"), []byte(bayWith("2600")), 0o666))
	must(os.WriteFile(filepath.Join(k.dir, "pipework.csv"), []byte(pipesWith("3000", "3000")), 0o666))
}

func bayWith(ceiling string) string {
	return "bay,x1,y1,x2,y2,soffit,ceiling\nOFF,0,0,100000,100000,4000," + ceiling + "\n"
}

// pipesWith is the table of pipes with the levels of the first two.
func pipesWith(first, second string) string {
	var b strings.Builder
	b.WriteString("id,service,x1,y1,x2,y2,size,level,run,note\n")
	for i := range manyPipes {
		level := "3000"
		switch i {
		case 0:
			level = first
		case 1:
			level = second
		}
		fmt.Fprintf(&b, "P%d,CWS,1000,%d,9000,%d,DN50,%s,R%d,\"by hand, kept\"\n", i, 1000+200*i, 1000+200*i, level, i)
	}
	return b.String()
}

func (k *written) try(changes ...string) (*exec.Cmd, *bytes.Buffer) {
	cmd := exec.Command(k.program, slices.Concat([]string{"try", k.dir}, changes, []string{"--write"})...)
	var errs bytes.Buffer
	cmd.Stderr = &errs
	return cmd, &errs
}

func (k *written) read(name string) string {
	k.t.Helper()
	text, err := os.ReadFile(filepath.Join(k.dir, name))
	if err != nil {
		k.t.Fatal(err)
	}
	return string(text)
}

// kept returns the texts of the files that were kept of a table.
func (k *written) kept(name string) (out []string) {
	k.t.Helper()
	list, err := filepath.Glob(filepath.Join(k.dir, name+".old*"))
	if err != nil {
		k.t.Fatal(err)
	}
	for _, f := range list {
		out = append(out, k.read(filepath.Base(f)))
	}
	return out
}

// The built program killed at any moment: each table is the old one or the new one, whole; where it is the new one the old one is kept beside; and
// it can be gone on with.
func TestWriteKilled(t *testing.T) {
	k := &written{t: t}
	k.begin()
	start := time.Now()
	cmd, errs := k.try("bay OFF ceiling 2650", "P0 level 3010")
	if err := cmd.Run(); err != nil {
		t.Fatal(err, errs.String())
	}
	whole := time.Since(start)
	rounds := 30
	if testing.Short() {
		rounds = 10
	}
	before, after := 0, 0
	for n := range rounds {
		k.begin()
		cmd, _ := k.try("bay OFF ceiling 2650", "P0 level 3010")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		// Most of the time is reading and checking: kills are nearer together towards its end.
		at := whole * time.Duration(n) / time.Duration(rounds-1)
		if n%2 == 1 {
			at = whole * time.Duration(75+25*n/rounds) / 100
		}
		time.Sleep(at)
		_ = cmd.Process.Kill()
		_ = cmd.Wait()
		bays, pipes := k.read("bays.csv"), k.read("pipework.csv")
		was := map[string]string{"bays.csv": bayWith("2600"), "pipework.csv": pipesWith("3000", "3000")}
		is := map[string]string{"bays.csv": bayWith("2650"), "pipework.csv": pipesWith("3010", "3000")}
		for name, text := range map[string]string{"bays.csv": bays, "pipework.csv": pipes} {
			if text != was[name] && text != is[name] {
				t.Fatalf("killed after %v, %s is neither the old one nor the new one: %q", at, name, text)
			}
			old := k.kept(name)
			for _, o := range old {
				if o != was[name] {
					t.Fatalf("killed after %v, what was kept of %s is not what was there: %q", at, name, o)
				}
			}
			if text == is[name] && len(old) != 1 {
				t.Fatalf("killed after %v, %s is the new one and %d old ones are kept", at, name, len(old))
			}
		}
		if bays == was["bays.csv"] {
			before++
		}
		if bays == is["bays.csv"] && pipes == is["pipework.csv"] {
			after++
		}
		cmd, errs = k.try("bay OFF ceiling 2650", "P0 level 3010")
		if err := cmd.Run(); err != nil {
			t.Fatalf("killed after %v it cannot be gone on with: %v: %s", at, err, errs)
		}
		if k.read("bays.csv") != is["bays.csv"] || k.read("pipework.csv") != is["pipework.csv"] {
			t.Fatalf("killed after %v and gone on with, the tables are %q and %q", at, k.read("bays.csv"), k.read("pipework.csv"))
		}
	}
	t.Logf("%v whole; killed before anything was written %d times, after all was %d times of %d", whole, before, after, rounds)
	if before == 0 {
		t.Error("never killed before it wrote: that says little")
	}
}

// Somebody saves a table while the program is at work: what they saved is not lost. Saved between reading and writing it is refused. Between the last
// look at the table and the rename that replaces it a few microseconds remain, which no file system here closes: one hit of those is let go.
func TestWriteMeetsASave(t *testing.T) {
	k := &written{t: t}
	k.begin()
	theirs := pipesWith("3000", "3050") // they changed another cell
	start := time.Now()
	cmd, errs := k.try("P0 level 3010")
	if err := cmd.Run(); err != nil {
		t.Fatal(err, errs.String())
	}
	whole := time.Since(start)
	refused, hit := 0, 0
	for n := range 60 {
		k.begin()
		cmd, errs := k.try("P0 level 3010")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(whole * time.Duration(n%20) / 20)
		saved := filepath.Join(t.TempDir(), "saved.csv")
		if err := os.WriteFile(saved, []byte(theirs), 0o666); err != nil {
			t.Fatal(err)
		}
		if err := os.Rename(saved, filepath.Join(k.dir, "pipework.csv")); err != nil {
			t.Fatal(err)
		}
		err := cmd.Wait()
		is := k.read("pipework.csv")
		switch {
		case err == nil && is == pipesWith("3010", "3050"): // saved before it was read
		case err == nil && is == theirs && len(k.kept("pipework.csv")) == 1: // saved after it was written
		case err != nil && cmd.ProcessState.ExitCode() == statusUsage && is == theirs && strings.Contains(errs.String(), "run again"):
			if refused++; len(k.kept("pipework.csv")) > 0 {
				t.Fatalf("refused, and yet %d files are kept", len(k.kept("pipework.csv")))
			}
		case err == nil && is == pipesWith("3010", "3000") && hit == 0:
			hit++
		default:
			t.Fatalf("status %d, %s; the table is %q", cmd.ProcessState.ExitCode(), errs, is)
		}
		if refused >= 3 && n >= 20 {
			break
		}
	}
	t.Logf("%v whole; refused %d times, hit between the last look and the rename %d times", whole, refused, hit)
	if refused == 0 {
		t.Error("never saved between reading and writing: that says little")
	}
}

// Two at once: whoever says that it wrote has its cell in the table; who does not is told to run again.
func TestTwoWriteAtOnce(t *testing.T) {
	k := &written{t: t}
	both, one := 0, 0
	for range 12 {
		k.begin()
		a, errsA := k.try("P0 level 3010")
		b, errsB := k.try("P1 level 3020")
		if err := a.Start(); err != nil {
			t.Fatal(err)
		}
		if err := b.Start(); err != nil {
			t.Fatal(err)
		}
		errA, errB := a.Wait(), b.Wait()
		first, second, wrote := "3000", "3000", 0
		for _, x := range []struct {
			err  error
			cmd  *exec.Cmd
			errs *bytes.Buffer
			cell *string
			to   string
		}{{errA, a, errsA, &first, "3010"}, {errB, b, errsB, &second, "3020"}} {
			switch said := x.errs.String(); {
			case x.err == nil && strings.Contains(said, "Wrote 1 cell."):
				*x.cell = x.to
				wrote++
			case x.cmd.ProcessState.ExitCode() != statusUsage || !strings.Contains(said, "run again") && !strings.Contains(said, "another voidline is writing it"):
				t.Fatalf("status %d, %s", x.cmd.ProcessState.ExitCode(), said)
			}
		}
		if is := k.read("pipework.csv"); is != pipesWith(first, second) {
			t.Fatalf("%s and %s were said to be written, and the table is %q", first, second, is)
		}
		if old := k.kept("pipework.csv"); wrote == 0 || len(old) != wrote || !slices.Contains(old, pipesWith("3000", "3000")) {
			t.Fatalf("%d wrote, and %d old tables are kept", wrote, len(old))
		}
		if wrote == 2 {
			both++
		} else {
			one++
		}
	}
	t.Logf("both wrote %d times, one was refused %d times", both, one)
}
