package clash

import (
	"context"
	"errors"
	"sync/atomic"
	"testing"
	"time"

	"voidline/clash/rules"
	"voidline/void"
)

// However many workers there are, things come in order and each once; the reader's error or a done context ends it at once, and nothing is made after it.
func TestStreamWhateverWorkers(t *testing.T) {
	p := void.New("", nil)
	p.Resolve()
	for _, workers := range []int{1, 2, 7} {
		c := Open(p, Options{Workers: workers})
		for _, n := range []int{0, 1, wordedBatch - 1, wordedBatch, wordedBatch + 1, 20*wordedBatch + 3} {
			for _, ends := range []int{n + 1, n / 2, 1} { // how many are read before it is ended; beyond n: it is not
				for _, cancelled := range []bool{false, true} {
					ctx, cancel := context.WithCancel(context.Background())
					enough := errors.New("enough")
					over := atomic.Bool{}
					read := 0
					err := stream(ctx, c, n, func(_ *rules.Reader, k int) int {
						if k%wordedBatch == wordedBatch/2 {
							time.Sleep(time.Millisecond) // so that some are being made when it ends
						}
						if over.Load() {
							t.Error("made after the end")
						}
						return k
					}, func(list []int) error {
						for _, k := range list {
							if k != read {
								t.Fatalf("%d workers, of %d: %d comes as number %d", workers, n, k, read)
							}
							read++
						}
						if read >= ends && cancelled {
							cancel()
						} else if read >= ends {
							return enough
						}
						return nil
					})
					over.Store(true)
					cancel()
					want, most := error(nil), n
					if ends <= n && n > 0 {
						want, most = enough, min(n, ends+wordedBatch-1)
						if cancelled {
							want = context.Canceled
						}
					}
					if cancelled && read == n {
						want = nil // all was there
					}
					if err != want || read > most || want == nil && read != n {
						t.Errorf("%d workers, ended behind %d of %d (cancelled %t): %v, %d read", workers, ends, n, cancelled, err, read)
					}
				}
			}
		}
	}
}
