package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"unicode"
	"unicode/utf8"

	"voidline/reports/words"
)

// forged is what a hostile name would have stand in a line of its own.
const forged = "FORGED: no findings"

// hostileEnds are the ends of names that a terminal would obey, or that begin a line.
var hostileEnds = map[string]string{
	"escape":       "\x1b[2J the screen is wiped",
	"line feed":    "\n" + forged,
	"return":       "\r" + forged,
	"both":         "\r\n" + forged + "\r\n",
	"form feed":    "\f" + forged,
	"tab":          "\v\t" + forged,
	"C1":           "\u009b2J\u0090\u0085" + forged,
	"raw C1":       "\x9b2J",
	"bidi":         "\u202e\u2066\u200f\u061c",
	"separators":   "\u2028" + forged + "\u2029" + forged,
	"delete":       "\x7f a sign is taken out, \x08 another",
	"no UTF-8":     "\xff\xc0\xaf",
	"tag and zero": "\U000e0041\u200b\ufeff\u2060",
}

// obeyed reports whether a sign must not reach a terminal.
func obeyed(r rune) bool {
	return r != '\n' && (unicode.IsControl(r) || unicode.Is(unicode.Cf, r) || r == '\u2028' || r == '\u2029')
}

// looksAt fails where an output has a sign that a terminal obeys, or a line that a name has forged.
func looksAt(t *testing.T, what string, out []byte) {
	t.Helper()
	if !utf8.Valid(out) {
		t.Errorf("%s: not UTF-8", what)
	}
	before := ""
	for line := range strings.SplitSeq(strings.ReplaceAll(string(out), "\r\n", "\n"), "\n") {
		for _, r := range line {
			if obeyed(r) {
				t.Errorf("%s: %+q in %+q", what, r, line)
				break
			}
		}
		// A long paragraph may be broken before any word: there the word would have had no room in the line before.
		first, _, _ := strings.Cut(line, " ")
		if strings.HasPrefix(line, "FORGED") && words.Width(before)+1+words.Width(first) <= 72 {
			t.Errorf("%s: a forged line %+q", what, line)
		}
		before = line
	}
}

// projectEndingIn writes a project in which every name and every text ends in a hostile way, and that has something of
// everything to tell.
func projectEndingIn(t *testing.T, dir, end string) {
	t.Helper()
	q := func(s string) string { return `"` + strings.ReplaceAll(s+end, `"`, `""`) + `"` }
	put := func(name, text string) {
		t.Helper()
		if err := os.WriteFile(filepath.Join(dir, name), []byte(text), 0o600); err != nil {
			t.Skipf("no such file name here: %v", err)
		}
	}
	file := end
	if !utf8.ValidString(end) {
		file = "" // such a file cannot be opened
	}
	put("levels.csv", "storey,ffl\n"+q("L0")+",0\n"+q("L1")+",4000\n")
	put("grid.csv", "axis,label,position\nx,"+q("A")+",0\ny,"+q("1")+",0\nx,B,6000\n")
	put("buildups.csv", "build-up,layer,thickness,lifts out\n"+q("U")+","+q("tile")+",20,yes\n")
	bay := func(name string) string { return q(name) + "," + q("L0") }
	put("bays.csv", "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up,note\n"+
		bay("B1")+",0,0,6000,6000,3600,2700,"+q("U")+","+q("note")+"\n"+bay("B2")+",6000,0,12000,6000,3600,,,\n")
	head := "id,service,kind,storey,x1,y1,x2,y2,size,level,hanger,run,joins,circuits,class,note,frame,tier,tolerance\n"
	row := func(id, service, kind, rest string) string {
		return q(id) + "," + service + "," + kind + "," + q("L0") + "," + rest + "\n"
	}
	put("duct"+file+".csv", head+
		row("D1", "supply air", "duct", "500,1000,5500,1000,600x300,2900,"+q("own")+","+q("run")+","+q("nobody")+",,,"+q("note")+",,,")+
		row("D2", "supply air", "duct", "1000,500,1000,5500,300x300,3000,,"+q("r2")+",,,,,,,")+
		row("FC", "supply air", q("fan coil unit thing"), "3000,3000,,,600x600x300,2750,,,,,,,,,"))
	put("tray.csv", head+
		row("T1", "power", "tray", "500,2000,11500,2000,300x60,2710,channel 41 M10,"+q("run t")+",,,,,,,5")+
		row("T2", "data", "basket", "500,2200,11500,2200,150x60,2900,"+q("own")+",,,,,,"+q("F")+","+q("1")+",")+
		row("T3", q("nothing known"), "tray", "20000,2200,21500,2200,150x60,2900,,,,,,,,,"))
	put("steel.csv", head+row("SB", "", "beam", "3000,0,3000,6000,200x400,3200,,,,,,,,,"))
	put("openings.csv", "in,at,size,level,note\n"+q("SB")+",1000,300x200,3300,"+q("note")+"\n")
	put("access.csv", "for,kind,x,y,note\n"+q("FC")+",hatch,5000,5000,"+q("note")+"\n")
	put("hangers.csv", "hanger,part,height,from\n"+q("own")+","+q("part")+",30,"+q("sky")+"\n")
	put("gaps.csv", "of,to,gap,why,source\nduct,tray,50,"+q("why")+","+q("source")+"\n"+q("thing")+",tray,50,,\n")
	put("sources.csv", "file,drawing,revision,date,by\ntray.csv,"+q("M-1")+","+q("C")+","+q("2026")+","+q("me")+"\n"+q("none.csv")+",,,,\n")
	put("extra"+file+".xlsx", "")
}

// Whatever bytes names of files, folders, zones, bays and all else hold, no command lets one reach a terminal that the
// terminal obeys, and none begins a line.
func TestNamesReachNoTerminal(t *testing.T) {
	for what, end := range hostileEnds {
		t.Run(what, func(t *testing.T) {
			t.Parallel()
			base := t.TempDir()
			dir := filepath.Join(base, "job"+end)
			if err := os.Mkdir(dir, 0o700); err != nil {
				t.Skipf("no such folder name here: %v", err)
			}
			projectEndingIn(t, dir, end)
			bad := filepath.Join(base, "bad"+end)
			if err := os.Mkdir(bad, 0o700); err != nil {
				t.Fatal(err)
			}
			projectEndingIn(t, bad, end)
			for name, text := range map[string]string{
				"bays.csv":   "bay,storey,x1,y1,x2,y2,soffit,ceiling,build-up\n\"B1" + end + "\",\"L9" + end + "\",\"x" + end + "\",0,6000,6000,3600,2700,\"V" + end + "\"\n",
				"tray.csv":   "id,x1,y1,x2,y2,size,level,fall,\"head" + end + "\"\n\"T" + end + "\",\"9" + end + "\",0,1,1,\"1x" + end + "\",\"2" + end + "\",\"f" + end + "\",\n",
				"access.csv": "for,kind\n\"nobody" + end + "\",\"hole" + end + "\"\n",
				"duct" + strings.ToValidUTF8(end, "") + ".csv":  "id,\"" + end + "\"\n",
				"trays" + strings.ToValidUTF8(end, "") + ".csv": "",
			} {
				if err := os.WriteFile(filepath.Join(bad, name), []byte(text), 0o600); err != nil {
					t.Fatal(err)
				}
			}
			out := filepath.Join(base, "out"+end)
			answer := filepath.Join(base, "answer"+end+".json")
			wants := map[string]int{"check": 1, "levels": 0, "rules": 0} // of those that are asked for dir alone
			for _, args := range [][]string{
				{"check", dir},
				{"check", dir, "--format", "csv"},
				{"check", dir, "--format", "markdown"},
				{"check", dir, "--format", "json"},
				{"check", dir, "--tolerance", "worst"},
				{"check", dir, "--register", "--date", "2026-11-29"},
				{"check", dir, "--register", "--date", "2026-11-30"},
				{"check", dir, "--format", "json", "-o", answer},
				{"check", dir, "-o", filepath.Join(dir, "tray.csv")},
				{"check", dir, "-o", filepath.Join(base, "no"+end, "file")},
				{"check", dir, "--bay", "B" + end},
				{"check", dir, "--trade", "T" + end},
				{"check", dir, "--only", "O" + end},
				{"check", dir, "--format", "F" + end},
				{"check", dir, "--touch", "1" + end},
				{"check", dir, "--most", "1" + end},
				{"check", bad},
				{"check", bad, "--partial"},
				{"check", filepath.Join(base, "nowhere"+end)},
				{"check", answer},
				{"check", dir, dir},
				{"check", "--flag" + end, dir},
				{"stack", dir, "--bay", "B1" + end},
				{"stack", dir, "--bay", "B1" + end, "--at", "1000,1000"},
				{"stack", dir, "--bay", "B" + end, "--at", "1000,1" + end},
				{"stack", dir, "--bay", "B1" + end, "--at", "Z" + end + ",1"},
				{"section", dir, "--bay", "B1" + end, "-o", out + ".svg"},
				{"section", dir, "--bay", "B1" + end, "-o", out + ".what" + end},
				{"section", dir, "--bay", "X" + end},
				{"section", dir, "--bay", "B1" + end, "--cut", "x=" + end},
				{"section", dir, "--bay", "B1" + end},
				{"plan", dir, "-o", out + ".svg"},
				{"plan", dir, "--storey", "X" + end},
				{"plan", dir, "--bay", "B1" + end},
				{"report", dir, "-o", out, "--date", "2026-11-30"},
				{"report", dir, "-o", out, "--register", "--date", "2026-12-01", "--bcf", "3.0"},
				{"report", dir, "-o", dir},
				{"report", dir, "-o", answer},
				{"report", dir, "--trade", "ductwork", "--format", "text"},
				{"report", dir, "--trade", "containment", "--format", "markdown"},
				{"report", dir, "--trade", "T" + end, "--format", "text"},
				{"report", dir, "-o", out, "--since", answer},
				{"report", dir, "-o", out, "--since", dir + end},
				{"report", dir, "-o", out, "--date", "1" + end},
				{"compare", answer, dir},
				{"compare", dir, dir},
				{"compare", bad, dir},
				{"compare", answer, filepath.Join(base, "nowhere"+end)},
				{"compare", filepath.Join(dir, "tray.csv"), dir},
				{"levels", dir},
				{"rules", dir},
				{"rules", bad},
				{"rules", filepath.Join(base, "none"+end)},
				{"setout", dir, "run t" + end},
				{"setout", dir, "run t" + end, "--format", "csv"},
				{"setout", dir, "run t" + end, "--format", "rows"},
				{"setout", dir, "T1" + end},
				{"setout", dir, "T2" + end},
				{"setout", dir, "none" + end},
				{"setout", dir, "run t" + end, "--min", "x" + end},
				{"setout", dir, "D1" + end},
				{"setout", dir, "T1" + end, "--max", "FFL+2000"},
				{"register", dir, "--answers", answer},
				{"register", dir, "--answers", filepath.Join(base, "none"+end)},
				{"tables", "t" + end},
				{"tables"},
				{"new", dir},
				{"new", filepath.Join(base, "fresh"+end)},
				{"new", answer},
				{"completion", end},
				{"help", "h" + end},
				{"cmd" + end},
				{"--flag" + end},
			} {
				var stdout, stderr bytes.Buffer
				status := run(append([]string{"voidline"}, args...), strings.NewReader(""), &stdout, &stderr)
				name := fmt.Sprintf("voidline %+q", args)
				if bytes.Contains(stderr.Bytes(), []byte("fault of the program")) {
					t.Fatalf("%s: status %d\n%s", name, status, stderr.Bytes())
				}
				if want, ok := wants[args[0]]; ok && len(args) == 2 && args[1] == dir && (status != want || stdout.Len() == 0) {
					t.Errorf("%s: status %d, want %d\n%s", name, status, want, stderr.Bytes())
				}
				looksAt(t, name+" stdout", stdout.Bytes())
				looksAt(t, name+" stderr", stderr.Bytes())
			}
			// What is written for people to read on a terminal later.
			_ = filepath.WalkDir(base, func(path string, d fs.DirEntry, err error) error {
				if err == nil && !d.IsDir() && strings.HasPrefix(path, out) && (strings.HasSuffix(path, ".json") || strings.HasSuffix(path, ".csv") || strings.HasSuffix(path, ".svg")) {
					data, err := os.ReadFile(path)
					if err != nil {
						t.Fatal(err)
					}
					looksAt(t, fmt.Sprintf("%+q", path), bytes.TrimPrefix(data, []byte("\ufeff")))
				}
				return nil
			})
		})
	}
}

// What is said on the error stream goes through world.tell, so that it is one clean line.
func TestOneWayToTheErrorStream(t *testing.T) {
	files, err := filepath.Glob("*.go")
	if err != nil || len(files) < 10 {
		t.Fatal(files, err)
	}
	for _, f := range files {
		text, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		if f != "run.go" && f != "terminal_test.go" && strings.Contains(string(text), "(w.errs,") {
			t.Errorf("%s writes to the error stream itself: use world.tell", f)
		}
	}
}
