package block

import (
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/report"
)

// Telling is weeks.Telling, which a test of this package cannot import.
type Telling struct {
	Trends   []Trend
	Kept     []KeptWeek
	PlanName string
	Warnings []recording.Warning
}

// Tell is weeks.Report; see words_test.go.
var Tell func(b *Block, t Telling) *report.Report

// Report tells a block as the command does.
func (b *Block) Report(t Telling) *report.Report { return Tell(b, t) }
