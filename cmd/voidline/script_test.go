package main

import (
	"bytes"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"os/signal"
	"path/filepath"
	"regexp"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf16"

	"github.com/rogpeppe/go-internal/testscript"
)

// The scripts in testdata/script are the command's specification: one behaviour each. Beside the
// commands of testscript they have:
//
//	exits N program [args...]
//	    Runs the program, which must end with status N and speak of no fault of its own.
//	refuses NAME...
//	    Lays the tables of the folder NAME over those of the folder base and checks that project: status 2,
//	    nothing on stdout, and on stderr the problems of NAME/want, each once and in that order.
//	[!] finding A B [field=value...]
//	    The JSON answer on stdout has one finding of A and B, in either order ("-" for none), with
//	    these fields: overlap.vertical=35.9, moves.0.by=15.9. With ! it has none.
//	answer field=value...
//	    The JSON answer on stdout has these fields; len counts a list: findings.len=0.
//	recode HOW FILE...
//	    Writes text files anew: crlf, cr, bom, utf16le, utf16be (both with byte order mark), windows1252.
//	long FILE BYTES
//	    Lengthens a file's last line to a file of that size.
//	binary FILE
//	    Writes a file of bytes that are no text.
//	unescape FILE
//	    Turns \e, \a, \3 and \4 in a file into the control characters.
//	tree FOLDER NAME...
//	    The folder holds these names and no others, hidden ones counted.
//	numbered N LINES FILE...
//	    LINES is an answer of check --format lines; each FILE (a plan as .svg, a report as .html, a message as .txt) gives N or more
//	    of its findings their problem's number, and each the same that LINES gives it.
//	crowd FOLDER N
//	    Writes a project whose check takes long: N ducts, each near many others.
//	interrupts [-TERM|-HUP] program [args...]
//	    Runs the program, interrupts it (or terminates it, or hangs up) while it works, and wants status 3, "voidline: stopped" and an
//	    end within 10 s.
var commands = map[string]func(ts *testscript.TestScript, neg bool, args []string){
	"exits":      exits,
	"refuses":    refuses,
	"finding":    hasFinding,
	"answer":     answer,
	"recode":     recode,
	"long":       long,
	"binary":     binary,
	"unescape":   unescape,
	"tree":       tree,
	"numbered":   numbered,
	"crowd":      crowd,
	"repeated":   repeated,
	"interrupts": interrupts,
}

var update = flag.Bool("update", false, "write what came into the scripts where cmp fails")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"voidline": main})
}

func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:                 "testdata/script",
		Cmds:                commands,
		UpdateScripts:       *update,
		RequireExplicitExec: true,
		RequireUniqueNames:  true,
		Setup: func(e *testscript.Env) error { // the demo project, for reading
			demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
			e.Setenv("DEMO", demo)
			return err
		},
		Condition: func(cond string) (bool, error) {
			if cond == "root" {
				return os.Geteuid() == 0, nil
			}
			return false, fmt.Errorf("no condition %q", cond)
		},
	})
}

// status runs a program in the script and returns its exit status.
func status(ts *testscript.TestScript, args []string) int {
	err := ts.Exec(args[0], args[1:]...)
	var e *exec.ExitError
	switch {
	case errors.As(err, &e):
		return e.ExitCode()
	case err != nil:
		ts.Fatalf("%v", err)
	}
	return 0
}

func positive(ts *testscript.TestScript, neg, ok bool, usage string) {
	if neg || !ok {
		ts.Fatalf("usage: %s", usage)
	}
}

func exits(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) >= 2, "exits N program [args...]")
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	if got := status(ts, args[1:]); got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
	sound(ts)
}

// sound fails where the program fell over itself.
func sound(ts *testscript.TestScript) {
	stderr := ts.ReadFile("stderr")
	for _, sign := range []string{"fault of the program", "panic:", "goroutine ", "runtime error"} {
		if strings.Contains(stderr, sign) {
			ts.Fatalf("the program fell over:\n%s", stderr)
		}
	}
}

func refuses(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) > 0, "refuses NAME...")
	for _, name := range args {
		dir := ts.MkAbs(filepath.Join("laid", name))
		ts.Check(os.MkdirAll(dir, 0o777))
		for _, from := range []string{"base", name} {
			files, err := filepath.Glob(filepath.Join(ts.MkAbs(from), "*.csv"))
			ts.Check(err)
			if len(files) == 0 {
				ts.Fatalf("no table in %s", from)
			}
			for _, f := range files {
				data, err := os.ReadFile(f)
				ts.Check(err)
				ts.Check(os.WriteFile(filepath.Join(dir, filepath.Base(f)), data, 0o666))
			}
		}
		problems := strings.Split(strings.TrimSpace(ts.ReadFile(filepath.Join(name, "want"))), "\n")
		refused(ts, "laid/"+name, problems)
	}
}

// refused checks a project whose tables have these problems.
func refused(ts *testscript.TestScript, dir string, problems []string) {
	if got := status(ts, []string{"voidline", "check", dir}); got != statusInput {
		ts.Fatalf("%s: exit status %d, want %d", dir, got, statusInput)
	}
	sound(ts)
	if out := ts.ReadFile("stdout"); out != "" {
		ts.Fatalf("%s: something on stdout:\n%s", dir, out)
	}
	word := "errors"
	if len(problems) == 1 {
		word = "error"
	}
	want := append(slices.Clone(problems), fmt.Sprintf(
		"voidline: %d %s in the tables of %s: nothing was checked (--partial checks the rows that can be read)", len(problems), word, dir))
	if got := ts.ReadFile("stderr"); got != strings.Join(want, "\n")+"\n" {
		ts.Fatalf("%s: stderr is\n%s\nwant\n%s", dir, got, strings.Join(want, "\n"))
	}
}

// decoded returns the JSON answer on stdout.
func decoded(ts *testscript.TestScript) map[string]any {
	var doc map[string]any
	if err := json.Unmarshal([]byte(ts.ReadFile("stdout")), &doc); err != nil {
		ts.Fatalf("stdout is no JSON: %v", err)
	}
	return doc
}

func hasFinding(ts *testscript.TestScript, neg bool, args []string) {
	if len(args) < 2 || neg && len(args) > 2 {
		ts.Fatalf("usage: [!] finding A B [field=value...]")
	}
	list, ok := decoded(ts)["findings"].([]any)
	if !ok {
		ts.Fatalf("no findings in the answer")
	}
	name := func(v any) string {
		if s, ok := v.(string); ok {
			return s
		}
		return "-"
	}
	var hits []any
	for _, f := range list {
		m := f.(map[string]any)
		a, b := name(m["a"]), name(m["b"])
		if a == args[0] && b == args[1] || a == args[1] && b == args[0] {
			hits = append(hits, f)
		}
	}
	switch {
	case neg && len(hits) > 0:
		ts.Fatalf("there is a finding of %s and %s: %v", args[0], args[1], hits)
	case neg:
		return
	case len(hits) != 1:
		ts.Fatalf("%d findings of %s and %s, want 1", len(hits), args[0], args[1])
	}
	compare(ts, hits[0], args[2:])
}

func answer(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) > 0, "answer field=value...")
	compare(ts, decoded(ts), args)
}

// compare fails unless doc has the fields: path=value each.
func compare(ts *testscript.TestScript, doc any, fields []string) {
	for _, f := range fields {
		path, want, ok := strings.Cut(f, "=")
		if !ok {
			ts.Fatalf("%q is not field=value", f)
		}
		got, ok := at(doc, path)
		if !ok {
			ts.Fatalf("no field %s in %v", path, doc)
		}
		switch v := got.(type) {
		case float64:
			w, err := strconv.ParseFloat(want, 64)
			if err != nil || math.Abs(v-w) > 1e-9 {
				ts.Fatalf("%s = %v, want %s in %v", path, v, want, doc)
			}
		default:
			if s := fmt.Sprint(v); s != want && !(v == nil && want == "null") {
				ts.Fatalf("%s = %s, want %s in %v", path, s, want, doc)
			}
		}
	}
}

// How each form writes a finding's id and the number of its problem. In a message the number stands before all of a problem.
var (
	numberInLines = regexp.MustCompile(`(?m)^ *(?P<n>\d+)  (?P<id>[a-z2-7]{12})  `)
	numberedForms = map[string]*regexp.Regexp{
		".svg":  regexp.MustCompile(`id="[^"]*f-(?P<id>[a-z2-7]{12})"[^>]*><title>[^<]*</title></path>\s*(?:<path[^>]*/>\s*)?<text[^>]*>(?P<n>\d+)</text>`),
		".html": regexp.MustCompile(`data-f="(?P<id>[a-z2-7]{12})"><p class="head"><span class="num">(?P<n>\d+)</span>`),
		".txt":  regexp.MustCompile(`(?m)^(?P<n>\d+)\. |\[(?P<id>[a-z2-7]{12})\]`),
	}
)

// numbersIn returns the numbers by finding.
func numbersIn(form *regexp.Regexp, text string) map[string]string {
	out, last := map[string]string{}, ""
	for _, m := range form.FindAllStringSubmatch(text, -1) {
		if n := m[form.SubexpIndex("n")]; n != "" {
			last = n
		}
		if id := m[form.SubexpIndex("id")]; id != "" {
			out[id] = last
		}
	}
	return out
}

func numbered(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) > 2, "numbered N LINES FILE...")
	least, err := strconv.Atoi(args[0])
	ts.Check(err)
	want := numbersIn(numberInLines, ts.ReadFile(args[1]))
	for _, name := range args[2:] {
		got := numbersIn(numberedForms[filepath.Ext(name)], ts.ReadFile(name))
		if len(got) < least || least == 0 {
			ts.Fatalf("%s numbers %d findings, want %d", name, len(got), least)
		}
		for id, n := range got {
			if want[id] != n {
				ts.Fatalf("%s calls %s problem %s, %s calls it %q", name, id, n, args[1], want[id])
			}
		}
	}
}

// at walks a path of names and numbers with points between them.
func at(doc any, path string) (any, bool) {
	for _, step := range strings.Split(path, ".") {
		switch v := doc.(type) {
		case map[string]any:
			x, ok := v[step]
			if !ok {
				return nil, false
			}
			doc = x
		case []any:
			i, err := strconv.Atoi(step)
			switch {
			case step == "len":
				doc = float64(len(v))
			case err != nil || i < 0 || i >= len(v):
				return nil, false
			default:
				doc = v[i]
			}
		default:
			return nil, false
		}
	}
	return doc, true
}

func recode(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) >= 2, "recode HOW FILE...")
	for _, name := range args[1:] {
		file := ts.MkAbs(name)
		data, err := os.ReadFile(file)
		ts.Check(err)
		switch text := string(data); args[0] {
		case "crlf":
			data = []byte(strings.ReplaceAll(text, "\n", "\r\n"))
		case "cr":
			data = []byte(strings.ReplaceAll(text, "\n", "\r"))
		case "bom":
			data = append([]byte("\xef\xbb\xbf"), data...)
		case "utf16le", "utf16be":
			data = nil
			for _, u := range utf16.Encode([]rune("\ufeff" + text)) {
				if args[0] == "utf16le" {
					data = append(data, byte(u), byte(u>>8))
				} else {
					data = append(data, byte(u>>8), byte(u))
				}
			}
		case "windows1252":
			data = nil
			for _, r := range text { // what the scripts write is in Latin-1, where the two agree
				if r >= 0x100 {
					ts.Fatalf("%q is not in Latin-1", r)
				}
				data = append(data, byte(r))
			}
		default:
			ts.Fatalf("recode %s?", args[0])
		}
		ts.Check(os.WriteFile(file, data, 0o666))
	}
}

func long(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) == 2, "long FILE BYTES")
	size, err := strconv.ParseInt(args[1], 10, 64)
	ts.Check(err)
	name := ts.MkAbs(args[0])
	data, err := os.ReadFile(name)
	ts.Check(err)
	data = append(bytes.TrimRight(data, "\n"), bytes.Repeat([]byte("n"), 2<<20)...)
	ts.Check(os.WriteFile(name, data, 0o666))
	// The rest is a hole in the file: nobody should read so far.
	ts.Check(os.Truncate(name, max(size, int64(len(data)))))
}

func binary(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) == 1, "binary FILE")
	data := make([]byte, 4096)
	x := uint32(1)
	for i := range data {
		x = x*1664525 + 1013904223
		data[i] = byte(x >> 24)
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), data, 0o666))
}

func unescape(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) == 1, "unescape FILE")
	data, err := os.ReadFile(ts.MkAbs(args[0]))
	ts.Check(err)
	text := strings.NewReplacer(`\e`, "\x1b", `\a`, "\a", `\3`, "\x03", `\4`, "\x04").Replace(string(data))
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(text), 0o666))
}

func tree(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) > 0, "tree FOLDER NAME...")
	entries, err := os.ReadDir(ts.MkAbs(args[0]))
	ts.Check(err)
	var names []string
	for _, e := range entries {
		if e.Name() != ".tmp" { // testscript's own, at the top
			names = append(names, e.Name())
		}
	}
	want := slices.Clone(args[1:])
	slices.Sort(want)
	if !slices.Equal(names, want) {
		ts.Fatalf("%s holds %q, want %q", args[0], names, want)
	}
}

func crowd(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) == 2, "crowd FOLDER N")
	n, err := strconv.Atoi(args[1])
	ts.Check(err)
	dir := ts.MkAbs(args[0])
	ts.Check(os.MkdirAll(dir, 0o777))
	ts.Check(os.WriteFile(filepath.Join(dir, "bays.csv"), []byte("bay,x1,y1,x2,y2,soffit,ceiling\nB1,0,0,60000,60000,3600,2500\n"), 0o666))
	var b strings.Builder
	b.WriteString("id,x1,y1,x2,y2,size,level\n")
	for i := range n {
		fmt.Fprintf(&b, "D%d,%d,%d,%d,%d,ø200,%d\n", i, 1000+i%7, 1000+i, 59000-i%11, 59000-i%997, 2600+i%700)
	}
	ts.Check(os.WriteFile(filepath.Join(dir, "ductwork.csv"), []byte(b.String()), 0o666))
}

// repeated writes a file: a head, so many times a part with NNN for its number, a tail.
func repeated(ts *testscript.TestScript, neg bool, args []string) {
	positive(ts, neg, len(args) == 5, "repeated HEAD PART TAIL N FILE")
	n, err := strconv.Atoi(args[3])
	ts.Check(err)
	part := ts.ReadFile(args[1])
	var b strings.Builder
	b.WriteString(ts.ReadFile(args[0]))
	for i := range n {
		b.WriteString(strings.ReplaceAll(part, "NNN", strconv.Itoa(100000+i)))
	}
	b.WriteString(ts.ReadFile(args[2]))
	ts.Check(os.WriteFile(ts.MkAbs(args[4]), []byte(b.String()), 0o666))
}

func interrupts(ts *testscript.TestScript, neg bool, args []string) {
	by := os.Signal(os.Interrupt)
	if len(args) > 0 {
		switch args[0] {
		case "-TERM":
			by, args = syscall.SIGTERM, args[1:]
		case "-HUP":
			by, args = syscall.SIGHUP, args[1:]
			// Where the tests were started so that a hang-up is ignored, the program would ignore it, too, and rightly.
			heard := make(chan os.Signal, 1)
			signal.Notify(heard, syscall.SIGHUP)
			defer signal.Stop(heard)
		}
	}
	positive(ts, neg, len(args) > 0, "interrupts [-TERM|-HUP] program [args...]")
	if runtime.GOOS == "windows" {
		ts.Fatalf("no interrupt here")
	}
	program, err := exec.LookPath(args[0])
	if err != nil {
		program = filepath.Join(filepath.SplitList(ts.Getenv("PATH"))[0], args[0])
	}
	// Before the program listens, an interrupt ends it without a word: then wait longer.
	for wait := 300 * time.Millisecond; wait < 5*time.Second; wait *= 2 {
		cmd := exec.Command(program, args[1:]...)
		cmd.Dir = ts.MkAbs(".")
		var stdout, stderr bytes.Buffer
		cmd.Stdout, cmd.Stderr = &stdout, &stderr
		ts.Check(cmd.Start())
		done := make(chan error, 1)
		go func() { done <- cmd.Wait() }()
		select {
		case <-done:
			ts.Fatalf("it ended by itself before the interrupt, status %d:\n%s", cmd.ProcessState.ExitCode(), stderr.String())
		case <-time.After(wait):
		}
		ts.Check(cmd.Process.Signal(by))
		select {
		case <-done:
		case <-time.After(10 * time.Second):
			cmd.Process.Kill()
			<-done
			ts.Fatalf("still working 10 s after the interrupt")
		}
		if cmd.ProcessState.ExitCode() < 0 {
			continue
		}
		if got := cmd.ProcessState.ExitCode(); got != statusUsage || stderr.String() != "voidline: stopped\n" || stdout.Len() > 0 {
			ts.Fatalf("status %d, stderr %q, %d bytes on stdout, want %d, %q, none", got, stderr.String(), stdout.Len(), statusUsage, "voidline: stopped\n")
		}
		return
	}
	ts.Fatalf("it never listened to the interrupt")
}
