// Package block adds runs up: weeks and training blocks, with what was work in
// them and what was warm-up, rest and cool-down.
//
//	files -> Gather -> []Run -> Merge -> sessions -> New -> Block
//
// A Run is the sums of one recording. It does not depend on the athlete, so it
// is kept (Cache) and can be made elsewhere (JSON). Merge joins pieces of one
// session and counts double recordings once. A Block knows the athlete: zones,
// what is hard, the time zone.
//
// # What is counted
//
// A session belongs to the day it began on, in the runner's time zone. Its
// distance is what the odometer grew by between its first record and its last
// (on a track after the correction that the reps gave), its time leaves out the
// stops. Within a hard session the ledger gives every second and metre to one
// part: work and recovery by the clock, whatever the device's timer did; warm-up,
// easy running and cool-down without the time the timer stood still, which
// counts as stopped. The lines of the ledger add up to the session.
//
// Size: reading, merging and adding up share the sums of a run, most of which are private.
package block
