//go:build unix

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"voidline/clash"
	"voidline/clash/finding"
	"voidline/io/table"
	"voidline/io/whole"
	"voidline/reports/record"
	"voidline/void"
)

// What a check costs, whole and in its parts, by the number of zones and where they stand dense. .ci/bench runs these
// beside the peers and prints tables.

var (
	scaleMost    = flag.Int("scale.zones", 100_000, "benchmarks of whole buildings have at most so many zones, 1000 at least")
	scaleProject = flag.String("scale.project", "", "a project `FOLDER` for BenchmarkFolder")
	scaleTouch   = flag.Float64("scale.touch", 1, "BenchmarkFolder checks with this --touch, `MM`")
	scaleDense   = flag.Int("scale.dense", 2000, "BenchmarkDense puts at most so many zones in one place, 2000 at least")
)

// program builds the program, for its memory is to be its own.
func program(b *testing.B) string {
	b.Helper()
	file := filepath.Join(b.TempDir(), "voidline")
	if out, err := exec.Command("go", "build", "-o", file, ".").CombinedOutput(); err != nil {
		b.Fatalf("%v\n%s", err, out)
	}
	return file
}

// timeProgram runs voidline check on a folder, the answer written to a file as JSON, once a round. It reports the
// seconds, those of all processors, zones a second, the findings, the bytes written and the most memory that was
// resident.
//
// A process's peak begins with that of who started it, so nothing large may have been in this one before.
func timeProgram(b *testing.B, file, dir string, touch float64) {
	out := filepath.Join(b.TempDir(), "answer.json")
	peak, busy := int64(0), time.Duration(0)
	for b.Loop() {
		var errs bytes.Buffer
		cmd := exec.Command(file, "check", dir, "--touch", fmt.Sprint(touch), "--format", "json", "-o", out)
		cmd.Stderr = &errs
		if err := cmd.Run(); err != nil && cmd.ProcessState.ExitCode() != statusFindings {
			b.Fatalf("%v\n%s", err, errs.String())
		}
		peak = max(peak, resident(cmd.ProcessState))
		busy += cmd.ProcessState.UserTime() + cmd.ProcessState.SystemTime()
	}
	head := answerHead(b, out)
	info, err := os.Stat(out)
	if err != nil {
		b.Fatal(err)
	}
	seconds := b.Elapsed().Seconds() / float64(b.N)
	b.ReportMetric(seconds, "s")
	b.ReportMetric(busy.Seconds()/float64(b.N), "cpu-s")
	b.ReportMetric(float64(head.zones)/seconds, "zones/s")
	b.ReportMetric(1e6*seconds/float64(max(head.zones, 1)), "us/zone")
	b.ReportMetric(float64(head.findings), "findings")
	b.ReportMetric(float64(info.Size())/1e6, "MB-written")
	b.ReportMetric(float64(peak)/(1<<20), "MiB-resident")
	b.ReportMetric(0, "ns/op") // it is "s"
}

// resident returns the most memory that an ended process had resident, in bytes.
func resident(p *os.ProcessState) int64 {
	u, ok := p.SysUsage().(*syscall.Rusage)
	if !ok {
		return 0
	}
	if runtime.GOOS == "darwin" {
		return int64(u.Maxrss) // bytes there, KiB elsewhere
	}
	return int64(u.Maxrss) << 10
}

type head struct{ zones, findings int }

// answerHead reads how much was checked and found from the head of an answer, which may be long.
func answerHead(b *testing.B, file string) head {
	b.Helper()
	f, err := os.Open(file)
	if err != nil {
		b.Fatal(err)
	}
	defer f.Close()
	var h head
	d := json.NewDecoder(f)
	if _, err := d.Token(); err != nil {
		b.Fatal(err)
	}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			b.Fatal(err)
		}
		switch key {
		case "checked":
			var c finding.Checked
			if err := d.Decode(&c); err != nil {
				b.Fatal(err)
			}
			h.zones = c.Zones
		case "counts":
			var c finding.Counts
			if err := d.Decode(&c); err != nil {
				b.Fatal(err)
			}
			h.findings = c.Overlap + c.Tight + c.Access
		case "findings":
			return h
		default:
			var skip json.RawMessage
			if err := d.Decode(&skip); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.Fatalf("%s has no findings", file)
	return h
}

// timeParts does in this process what the program does, and reports the seconds of its parts: reading the rows,
// resolving them, searching and measuring, writing. Resolving cannot be asked for alone: it is what opening takes more
// than reading does.
func timeParts(b *testing.B, dir string, touch float64) {
	out := filepath.Join(b.TempDir(), "answer.json")
	ctx := context.Background()
	var read, open, measure, check, write time.Duration
	rounds, findings, pairs := 0, 0, 0
	lap := func(sum *time.Duration, f func()) {
		from := time.Now()
		f()
		*sum += time.Since(from)
	}
	for b.Loop() {
		runtime.GC()
		collectLate() // as the program does
		lap(&read, func() {
			p := void.New("", nil)
			_, err := table.Read(ctx, dir, table.Options{Zone: func(file string, row *void.ZoneRow) {
				for len(p.Files) <= int(row.At.File) {
					p.Files = append(p.Files, file)
				}
				p.AddZone(file, row)
			}})
			if err != nil {
				b.Fatal(err)
			}
		})
		runtime.GC()
		collectLate() // as the program does
		var p *void.Project
		var a *clash.Answer
		var err error
		lap(&open, func() { p, err = table.Open(ctx, dir, table.Options{}) })
		if err != nil {
			b.Fatal(err)
		}
		// The pairs are done when the next stage begins to say how far it is.
		from := time.Now()
		var later sync.Once
		opt := clash.Options{Touch: clash.Length(touch), Once: true, Progress: func(s clash.Stage, _, _ int) {
			if s > clash.Pairs {
				later.Do(func() { measure += time.Since(from) })
			}
		}}
		lap(&check, func() { a, err = clash.Open(p, opt).Answer(ctx) })
		if err != nil || len(p.Problems) > 0 {
			b.Fatalf("%v, %d problems", err, len(p.Problems))
		}
		lap(&write, func() {
			err = whole.Write(out, func(w io.Writer) error { return record.Answer(ctx, w, a) })
		})
		if err != nil {
			b.Fatal(err)
		}
		rounds++
		findings, pairs = a.Len(), a.Head().Checked.Pairs
	}
	each := func(d time.Duration) float64 { return d.Seconds() / float64(rounds) }
	b.ReportMetric(each(read), "read-s")
	b.ReportMetric(max(0, each(open)-each(read)), "resolve-s") // of few zones it is less than the two differ by chance
	b.ReportMetric(each(measure), "measure-s")
	b.ReportMetric(each(check), "check-s")
	b.ReportMetric(each(write), "write-s")
	b.ReportMetric(float64(findings), "findings")
	b.ReportMetric(float64(pairs), "pairs")
	b.ReportMetric(each(open)+each(check)+each(write), "s")
	b.ReportMetric(0, "ns/op") // it is "s" and the second reading
}

// eachBuilding times f on buildings of 1000 zones, ten times as many, and so on.
func eachBuilding(b *testing.B, f func(b *testing.B, dir string)) {
	for n := 1000; n <= *scaleMost; n *= 10 {
		b.Run(fmt.Sprintf("zones=%d", n), func(b *testing.B) {
			dir := b.TempDir()
			if err := writeBuilding(dir, n, 1); err != nil {
				b.Fatal(err)
			}
			b.ResetTimer()
			f(b, dir)
		})
	}
}

// BenchmarkWholeCheck runs the built program on buildings.
func BenchmarkWholeCheck(b *testing.B) {
	file := program(b)
	eachBuilding(b, func(b *testing.B, dir string) { timeProgram(b, file, dir, 1) })
}

// BenchmarkDense runs the built program on places where everything is near everything.
func BenchmarkDense(b *testing.B) {
	file := program(b)
	for _, d := range denseProjects {
		for _, n := range d.zones {
			if n > *scaleDense && d.crowded {
				continue
			}
			b.Run(fmt.Sprintf("%s/zones=%d", strings.ReplaceAll(d.name, " ", "-"), n), func(b *testing.B) {
				dir := b.TempDir()
				if err := d.write(dir, n); err != nil {
					b.Fatal(err)
				}
				b.ResetTimer()
				timeProgram(b, file, dir, 1)
			})
		}
	}
}

// BenchmarkFolder runs the built program on a folder of -scale.project, and then its parts in this process.
func BenchmarkFolder(b *testing.B) {
	if *scaleProject == "" {
		b.Skip("for use by hand: wants -scale.project")
	}
	dir, err := filepath.Abs(*scaleProject)
	if err != nil {
		b.Fatal(err)
	}
	file := program(b)
	b.Run("program", func(b *testing.B) { timeProgram(b, file, dir, *scaleTouch) })
	b.Run("parts", func(b *testing.B) { timeParts(b, dir, *scaleTouch) })
}

// BenchmarkParts times the parts of a check of buildings.
func BenchmarkParts(b *testing.B) {
	eachBuilding(b, func(b *testing.B, dir string) { timeParts(b, dir, 1) })
}
