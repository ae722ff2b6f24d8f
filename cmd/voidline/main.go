// Command voidline adds up whether the services above a suspended ceiling fit, before anything is fixed.
package main

import "os"

func main() { os.Exit(run(os.Args, os.Stdin, os.Stdout, os.Stderr)) }
