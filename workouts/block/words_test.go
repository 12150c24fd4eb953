package block_test

import (
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/weeks"
)

func init() {
	block.Tell = func(b *block.Block, t block.Telling) *report.Report {
		return weeks.Report(b, weeks.Telling{Trends: t.Trends, Kept: t.Kept, PlanName: t.PlanName, Warnings: t.Warnings})
	}
}
