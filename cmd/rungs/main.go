// Command rungs reads recordings of runs, finds the interval session in them
// and holds it against a plan, rep by rep.
//
// Run "rungs help" for its commands; README.md is its manual.
//
// Size: each command is a file of its own, and they share their flags and how they fail.
package main

import "os"

func main() { os.Exit(run(os.Args[1:], os.Stdin, os.Stdout, os.Stderr)) }
