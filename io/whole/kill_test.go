//go:build !windows

package whole_test

import (
	"bufio"
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"math/rand"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
	"time"

	"voidline/io/whole"
)

// killed is set for the child: the name of the file that it writes without end.
const killed = "VOIDLINE_KILL_TEST"

// content is version n of the file: its number, filling of a size that hangs on it, and the sum of both.
func content(n uint64) []byte {
	r := rand.New(rand.NewSource(int64(n)))
	data := make([]byte, 8+20000+r.Intn(200000))
	binary.LittleEndian.PutUint64(data, n)
	r.Read(data[8:])
	sum := sha256.Sum256(data)
	return append(data, sum[:]...)
}

// version returns which version data is, false where it is none, or not whole.
func version(data []byte) (uint64, bool) {
	if len(data) < 8+sha256.Size {
		return 0, false
	}
	body, sum := data[:len(data)-sha256.Size], data[len(data)-sha256.Size:]
	if is := sha256.Sum256(body); !bytes.Equal(is[:], sum) {
		return 0, false
	}
	return binary.LittleEndian.Uint64(body), true
}

// TestKilledChild is the child: it writes version after version, and says each that is written.
func TestKilledChild(t *testing.T) {
	name := os.Getenv(killed)
	if name == "" {
		t.Skip("the child of TestKilled")
	}
	data, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	n, ok := version(data)
	if !ok {
		t.Fatal("no version to begin with")
	}
	for {
		n++
		if err := whole.WriteFile(name, content(n)); err != nil {
			t.Fatal(err)
		}
		fmt.Println("wrote", n)
	}
}

// TestKilled kills a writing process at random moments, a few hundred times: what is left is a whole file, the
// last one that was said to be written or the one after it.
func TestKilled(t *testing.T) {
	times := 300
	if testing.Short() {
		times = 30
	}
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	dir := t.TempDir()
	name := filepath.Join(dir, "report.html")
	if err := os.WriteFile(name, content(0), 0o644); err != nil {
		t.Fatal(err)
	}
	const seed = 1
	r := rand.New(rand.NewSource(seed))
	last := uint64(0)
	var written, inWrite int
	for i := range times {
		child := exec.Command(self, "-test.run=^TestKilledChild$")
		child.Env = append(os.Environ(), killed+"="+name)
		out, err := child.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := child.Start(); err != nil {
			t.Fatal(err)
		}
		said := last
		lines := bufio.NewScanner(out)
		// The first word means that it is at work; from then on any moment will do.
		if !lines.Scan() {
			t.Fatalf("seed %d, kill %d: the child wrote nothing", seed, i)
		}
		if _, err := fmt.Sscanf(lines.Text(), "wrote %d", &said); err != nil {
			t.Fatalf("the child said %q", lines.Text())
		}
		time.Sleep(time.Duration(r.Intn(8000)) * time.Microsecond)
		if err := child.Process.Kill(); err != nil {
			t.Fatal(err)
		}
		for lines.Scan() {
			var n uint64
			if _, err := fmt.Sscanf(lines.Text(), "wrote %d", &n); err == nil {
				said = n
			}
		}
		_ = child.Wait() // killed: its error says so

		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatalf("seed %d, kill %d: %v", seed, i, err)
		}
		is, ok := version(data)
		if !ok {
			t.Fatalf("seed %d, kill %d: a torn file of %d bytes", seed, i, len(data))
		}
		if is != said && is != said+1 {
			t.Fatalf("seed %d, kill %d: version %d, and %d was the last that was said to be written", seed, i, is, said)
		}
		written += int(is - last)
		last = is
		// What a killed process leaves beside the file is hidden, and no table of a project.
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if e.Name() == filepath.Base(name) {
				continue
			}
			if e.Name()[0] != '.' {
				t.Errorf("%s is left behind", e.Name())
			}
			inWrite++
			if err := os.Remove(filepath.Join(dir, e.Name())); err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Logf("%d kills, %d of them with a temporary file half written or not yet renamed; %d versions written", times, inWrite, written)
	if inWrite == 0 {
		t.Error("no kill came in the midst of a write")
	}
}
