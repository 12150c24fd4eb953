// Package desk shows a training folder in a browser on the runner's own machine, and writes
// what the runner says there by the same writers as the commands; DESK.md is the manual.
//
// The ground (ground.go) is what the folder holds, read once and again where it changed. A
// visit (visit.go) is one request, which the guard (guard.go) has let in. Pages lay out what
// package report makes, in one frame (frame.go); what they write can be undone (saves.go).
package desk
