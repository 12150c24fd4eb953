package match

import (
	"fmt"
	"math"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/figures"
)

// nearest says what of the run comes closest to a plan that it was not: the reps
// planned, those that the split without the plan found, and which of these is nearest
// to one planned. Empty when none were planned.
func (m *measurer) nearest() string {
	var planned []float64
	metres, mile := false, false
	for _, t := range m.lay.tasks {
		if t.work && !t.open && (len(planned) == 0 || t.metres == metres) {
			planned, metres, mile = append(planned, t.amount), t.metres, t.planned.Step.Amount.Mile
		}
	}
	run := m.seenAmounts(metres)
	unit := "s"
	if metres {
		unit = "m"
	}
	switch {
	case len(planned) == 0:
		return ""
	case len(run) == 0:
		return fmt.Sprintf("planned %s of %s; the run shows none by itself", figures.Plural(len(planned), "rep"), amounts(planned, unit, mile))
	}
	best, off := 0.0, math.Inf(1)
	for _, x := range run {
		for _, p := range planned {
			if d := math.Abs(math.Log(math.Max(x, 1) / p)); d < off {
				best, off = x, d
			}
		}
	}
	s := fmt.Sprintf("planned %s of %s, run %d of %s", figures.Plural(len(planned), "rep"), amounts(planned, unit, mile), len(run), amounts(run, unit, mile))
	if len(run) > 1 {
		s += "; the nearest had " + amountText(best, unit, mile)
	}
	return s
}

// seenAmounts are the lengths of the reps that the split without the plan found, m or s.
func (m *measurer) seenAmounts(metres bool) []float64 {
	var run []float64
	for _, g := range m.sp.s.Segments {
		switch {
		case g.Role != segment.Work:
		case metres:
			run = append(run, m.sp.ran(g.StartS, g.EndS))
		default:
			run = append(run, g.Seconds())
		}
	}
	return run
}

// amounts is the range of a list of amounts.
func amounts(list []float64, unit string, mile bool) string {
	var all []Deviation
	for _, x := range list {
		all = append(all, Deviation{Size: x, Unit: unit, mile: mile})
	}
	return strings.ReplaceAll(sizes(all, Options{}), ".00 ", " ")
}
