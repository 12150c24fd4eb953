// Command rungs reads recordings of runs, finds the interval session in them
// and holds it against a plan, rep by rep.
//
// Run "rungs help" for its commands; README.md is its manual.
package main

import "os"

func main() {
	boundMemory()
	os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr))
}
