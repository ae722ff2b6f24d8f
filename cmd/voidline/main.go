// Command voidline adds up whether the services above a suspended ceiling fit, before anything is fixed.
package main

import (
	"math"
	"os"
	"runtime"
	"runtime/debug"
)

// A run is short, and most of what it makes lives as long as it does: nothing is collected before so much memory is in use, bytes, and from then on
// when so much of what is in use may be garbage, percent. Both weigh processor time against memory, measured with .ci/bench.
const (
	uncollected = 96 << 20
	garbage     = 40
)

func main() {
	if os.Getenv("GOGC") == "" && os.Getenv("GOMEMLIMIT") == "" { // the environment's own stand
		collectLate()
	}
	os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr))
}

// collectLate puts off the first collection of garbage until uncollected is in use. What is made here is nobody's: it goes with that collection, and
// says that it has been.
func collectLate() {
	debug.SetGCPercent(-1)
	debug.SetMemoryLimit(uncollected)
	runtime.AddCleanup(new([16]byte), func(percent int) {
		debug.SetMemoryLimit(math.MaxInt64)
		debug.SetGCPercent(percent)
	}, garbage)
}
