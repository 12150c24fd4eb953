// Package log reads and writes the log: a text file, a line a session, of what
// the runner knows and no recording says. LOG.md is its manual.
//
//	file -> Read -> Log -> Match -> an Entry for each session
//
// People write it by hand; a command changes single lines (Change, Log.Set)
// and leaves every other byte as it is.
package log
