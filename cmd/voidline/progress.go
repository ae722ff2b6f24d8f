package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"sync"
	"sync/atomic"
	"time"

	"golang.org/x/term"

	"voidline/clash"
)

// progress is the line on a terminal that says how far long work is. It shows itself only after a while, and wipes
// itself out. A nil progress shows nothing.
type progress struct {
	to      io.Writer
	rows    atomic.Int64
	stage   atomic.Int64 // 1 + the stage of the check; 0: the tables are read
	done    atomic.Int64
	of      atomic.Int64
	since   atomic.Int64           // when the stage began, ns since start
	model   atomic.Pointer[string] // what is done with a model file; nil where none is read
	start   time.Time
	stop    chan struct{}
	stopped sync.WaitGroup
	once    sync.Once
}

const (
	progressAfter = 600 * time.Millisecond
	progressEvery = 200 * time.Millisecond
)

// watch starts the line where errors go to a terminal.
func (w *world) watch() *progress {
	f := w.terminal
	if f == nil || os.Getenv("TERM") == "dumb" {
		return nil
	}
	width := 80
	if cols, _, err := term.GetSize(int(f.Fd())); err == nil && cols > 0 {
		width = cols
	}
	w.line.end()
	w.line = newProgress(f, width, progressAfter)
	return w.line
}

// clearing is a writer that takes the line away before anything else is written.
type clearing struct {
	w  *world
	to io.Writer
}

func (c clearing) Write(p []byte) (int, error) {
	c.w.line.end()
	return c.to.Write(p)
}

func newProgress(to io.Writer, width int, after time.Duration) *progress {
	p := &progress{to: to, start: time.Now(), stop: make(chan struct{})}
	p.stopped.Go(func() {
		shown := false
		next := time.NewTimer(after)
		defer next.Stop()
		for {
			select {
			case <-p.stop:
				if shown {
					fmt.Fprint(to, "\r\x1b[K")
				}
				return
			case <-next.C:
				line := p.line(time.Since(p.start))
				fmt.Fprint(to, "\r\x1b[K"+line[:min(len(line), max(0, width-1))]) // the line is plain ASCII
				shown = true
				next.Reset(progressEvery)
			}
		}
	})
	return p
}

// end takes the line away.
func (p *progress) end() {
	if p != nil {
		p.once.Do(func() { close(p.stop) })
		p.stopped.Wait()
	}
}

// read hears how many rows were read.
func (p *progress) read(rows int) {
	if p != nil {
		p.rows.Store(int64(rows))
	}
}

// models hears how far a model file is.
func (p *progress) models(what string, done, of int64) {
	if p == nil {
		return
	}
	if was := p.model.Load(); was == nil || *was != what {
		p.since.Store(int64(time.Since(p.start)))
		p.model.Store(&what)
	}
	p.of.Store(of)
	p.done.Store(done)
}

// check hears how far a check is.
func (p *progress) check(s clash.Stage, done, of int) {
	if p == nil {
		return
	}
	if stage, was := p.stage.Swap(int64(s)+1), p.of.Swap(int64(of)); stage != int64(s)+1 || was != int64(of) {
		p.since.Store(int64(time.Since(p.start)))
		p.done.Store(0)
	}
	if int64(done) > p.done.Load() {
		p.done.Store(int64(done))
	}
}

// line says how far the work is after so long.
func (p *progress) line(after time.Duration) string {
	stage := p.stage.Load()
	if what := p.model.Load(); what != nil {
		plain := strings.Map(func(r rune) rune {
			if r < ' ' || r > '~' {
				return '?'
			}
			return r
		}, *what)
		return fmt.Sprintf("voidline: %s: %d %%", plain, 100*p.done.Load()/max(p.of.Load(), 1))
	}
	if stage == 0 {
		return fmt.Sprintf("voidline: %s rows read", thousands(p.rows.Load()))
	}
	what := [...]string{"pairs of zones measured", "levels, supports and access checked", "services over others looked at", "findings written"}[stage-1]
	done, of := p.done.Load(), max(p.of.Load(), 1)
	s := fmt.Sprintf("voidline: %s: %d %%", what, 100*done/of)
	if in := after - time.Duration(p.since.Load()); done > 0 && in > time.Second {
		if left := time.Duration(float64(in) * float64(of-done) / float64(done)); left >= time.Second {
			s += fmt.Sprintf(", about %s left", left.Round(time.Second))
		}
	}
	return s
}

// thousands writes a number with its thousands apart.
func thousands(n int64) string {
	s := fmt.Sprint(n)
	var b strings.Builder
	for i, c := range s {
		if i > 0 && (len(s)-i)%3 == 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(c)
	}
	return b.String()
}
