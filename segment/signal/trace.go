// Package signal turns the streams of a recording into one even, honest
// speed trace: which source was used and why, where it is blind, how noisy it
// is and how far it lags behind the runner.
package signal

// A Trace is speed on an even grid of seconds. Cell i covers the time from i
// to i+1 seconds after the recording's first record.
type Trace struct {
	Speed []float64 // m/s, mean over the cell
	Known []bool    // false where the recording says nothing of the cell
	Dist  []float64 // m, cumulative at the cell borders; len(Speed)+1 values

	Source string // "distance", "speed", "positions"
	Reason string // why that source, one sentence

	LagS float64 // seconds the source was found to lag behind; already taken out
}
