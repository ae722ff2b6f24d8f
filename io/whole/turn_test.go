package whole

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
)

// turnTest is set for the child: the folder, the step at which it ends as if it were killed, and whether links are known.
const turnTest = "VOIDLINE_TURN_TEST"

// dayOf is a set of one day: a page and two files that it links to.
func dayOf(day string) []File {
	page := func(folder string) []byte {
		return []byte(day + ` <a href="` + folder + `a.csv">a</a> <a href="` + folder + `b.pdf">b</a>`)
	}
	return []File{
		{Name: "report.html", Data: page(""), Linked: func(folder string) []byte { return page(folder + "/") }},
		{Name: "a.csv", Data: []byte(day)},
		{Name: "b.pdf", Data: []byte(day)},
	}
}

// TestTurnChild is the child: it renews the folder and ends, without a word, at one step of it.
func TestTurnChild(t *testing.T) {
	at, ok := os.LookupEnv(turnTest)
	if !ok {
		t.Skip("the child of TestKilledTurning")
	}
	var dir string
	var end, links int
	if _, err := fmt.Sscanf(at, "%d %d %s", &end, &links, &dir); err != nil {
		t.Fatal(err)
	}
	step := 0
	count := func() {
		if step++; step == end {
			os.Exit(9)
		}
	}
	rename = func(a, b string) error { count(); return os.Rename(a, b) }
	link = func(a, b string) error {
		count()
		if links == 0 {
			return os.ErrInvalid
		}
		return os.Link(a, b)
	}
	s, err := Stage(dir, dayOf("tuesday"))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Commit(); err != nil {
		t.Fatal(err)
	}
}

var href = regexp.MustCompile(`href="([^"]*)"`)

// TestKilledTurning ends a process at every step of renewing a folder: the page is of one day, and so is all that it links to. The
// next time all is renewed, and nothing is left.
func TestKilledTurning(t *testing.T) {
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	for _, links := range []int{1, 0} {
		seen := map[string]int{}
		for end := 1; ; end++ {
			dir := t.TempDir()
			s, err := Stage(dir, dayOf("monday"))
			if err == nil {
				err = s.Commit()
			}
			if err != nil {
				t.Fatal(err)
			}
			child := exec.Command(self, "-test.run=^TestTurnChild$")
			child.Env = append(os.Environ(), turnTest+"="+strconv.Itoa(end)+" "+strconv.Itoa(links)+" "+dir)
			out, err := child.CombinedOutput()
			if err != nil && child.ProcessState.ExitCode() != 9 {
				t.Fatalf("%v\n%s", err, out)
			}
			page := read(t, filepath.Join(dir, "report.html"))
			day, _, _ := strings.Cut(page, " ")
			seen[day]++
			for _, m := range href.FindAllStringSubmatch(page, -1) {
				if got := read(t, filepath.Join(dir, filepath.FromSlash(m[1]))); got != day {
					t.Errorf("step %d: the page is of %s, %s that it links to of %s", end, day, m[1], got)
				}
			}
			if err == nil {
				if got := names(t, dir); len(got) != 3 {
					t.Errorf("left behind: %q", got)
				}
				break
			}
			if s, err = Stage(dir, dayOf("wednesday")); err == nil {
				err = s.Commit()
			}
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range dayOf("wednesday") {
				if got := read(t, filepath.Join(dir, f.Name)); got != string(f.Data) {
					t.Errorf("step %d: then %s is %q", end, f.Name, got)
				}
			}
		}
		// By hand: three old files kept, the page turned, two second names, two files placed, the page placed: 9 steps.
		if seen["monday"]+seen["tuesday"] != 10 || seen["monday"] != 4 || seen["tuesday"] != 6 {
			t.Errorf("ended at so many steps: %v", seen)
		}
	}
}
