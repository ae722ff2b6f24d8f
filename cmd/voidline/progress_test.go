package main

import (
	"bytes"
	"strings"
	"sync"
	"testing"
	"time"

	"voidline/clash"
)

// shared is a buffer for two goroutines.
type shared struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (s *shared) Write(p []byte) (int, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.Write(p)
}

func (s *shared) String() string {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.b.String()
}

func TestProgressLine(t *testing.T) {
	p := &progress{start: time.Now()}
	say := func(after time.Duration, want string) {
		t.Helper()
		if got := p.line(after); got != want {
			t.Errorf("after %v: %q, want %q", after, got, want)
		}
	}
	say(time.Second, "voidline: 0 rows read")
	p.read(1234567)
	say(time.Second, "voidline: 1 234 567 rows read")
	p.check(clash.Pairs, 25, 100)
	p.since.Store(int64(2 * time.Second))
	say(2500*time.Millisecond, "voidline: pairs of zones measured: 25 %")
	say(6*time.Second, "voidline: pairs of zones measured: 25 %, about 12s left")
	p.check(clash.Pairs, 20, 100) // goroutines are not in step: it does not go back
	say(6*time.Second, "voidline: pairs of zones measured: 25 %, about 12s left")
	p.check(clash.Words, 10, 10)
	say(9*time.Second, "voidline: findings written: 100 %")
}

// The line is there while work goes on, fits the terminal, and is wiped out before anything else is written.
func TestProgressIsWipedOut(t *testing.T) {
	var to shared
	w := &world{width: 80}
	w.errs = clearing{w, &to}
	w.line = newProgress(&to, 20, 0)
	w.line.read(4200)
	for end := time.Now().Add(20 * time.Second); !strings.Contains(to.String(), "4 200 ro"); {
		if time.Now().After(end) {
			t.Fatalf("no line after 20 s: %q", to.String())
		}
		time.Sleep(time.Millisecond)
	}
	if _, err := w.errs.Write([]byte("voidline: a word\n")); err != nil {
		t.Fatal(err)
	}
	const wiped = "\r\x1b[K"
	said := to.String()
	if !strings.HasSuffix(said, wiped+"voidline: a word\n") {
		t.Errorf("the line is not wiped out before a word: %q", said)
	}
	for _, l := range strings.Split(strings.TrimSuffix(said, "voidline: a word\n"), wiped) {
		if len(l) > 19 {
			t.Errorf("%q is wider than the terminal", l)
		}
	}
	var none *progress
	none.read(1)
	none.check(clash.Pairs, 1, 2)
	none.end()
}
