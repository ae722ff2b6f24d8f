// Command voidline adds up whether the services above a suspended ceiling fit, before anything is fixed.
package main

import (
	"os"
	"runtime/debug"
)

// garbage is how much of what is in use may be garbage before it is collected, in percent: fresh memory is dearer than
// collecting on most machines. The environment's own GOGC stands.
const garbage = 60

func main() {
	if os.Getenv("GOGC") == "" {
		debug.SetGCPercent(garbage)
	}
	os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr))
}
