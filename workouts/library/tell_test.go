package library

import "example.org/rungs/workouts/report"

// Tell is shelf.History, which a test of this package cannot import; see words_test.go.
var Tell func(h History, miles bool) *report.Report

// Report tells a history as the command does.
func (h History) Report(miles bool) *report.Report { return Tell(h, miles) }
