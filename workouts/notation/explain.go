package notation

import (
	"fmt"
	"math"
	"strings"
	"unicode/utf8"

	"example.org/rungs/workouts"
)

// Explain writes an outline as text: a line per step with where it begins, the
// totals, and a profile. Miles says how distances and paces are counted. A "~"
// stands before what rests on an assumed pace.
func Explain(o workouts.Outline, miles bool) string {
	unit := "km"
	if miles {
		unit = "mi"
	}
	rows := [][]string{{"step", "role", "what", "goal", "from", unit}}
	for _, s := range o.Steps {
		what := amountText(s.Step.Amount)
		if s.Step.Manner != workouts.Unsaid && s.Step.Manner != workouts.Work {
			what += " " + string(s.Step.Manner)
		}
		role := string(s.Role)
		if s.Rep > 0 {
			role += fmt.Sprintf(" %d", s.Rep)
		}
		rows = append(rows, []string{fmt.Sprint(s.Index + 1), role, what, goalText(s.Goal, miles),
			rough(s.BeginsS, longClock(s.BeginsS.Value)), rough(s.BeginsM, distance(s.BeginsM.Value, miles))})
	}
	total := "total"
	if o.Open > 0 {
		total = fmt.Sprintf("total without %d open", o.Open)
	}
	rows = append(rows, []string{"", "", total, "",
		rough(o.Seconds, longClock(o.Seconds.Value)), rough(o.Metres, distance(o.Metres.Value, miles))})
	var b strings.Builder
	b.WriteString(table(rows))
	if profile := o.Profile(60); profile != "" {
		fmt.Fprintf(&b, "\n%s\n", strings.TrimRight(profile, " "))
	}
	if o.Seconds.Rough || o.Metres.Rough {
		b.WriteString("~ rests on an assumed pace, where none was written\n")
	}
	return b.String()
}

func rough(e workouts.Estimate, text string) string {
	if e.Rough {
		return "~" + text
	}
	return text
}

func distance(metres float64, miles bool) string {
	if miles {
		return fmt.Sprintf("%.2f", metres/workouts.MetresPerMile)
	}
	return fmt.Sprintf("%.2f", metres/1000)
}

// goalText is what one rep is held to, in plain units.
func goalText(g workouts.Goal, miles bool) string {
	pace := func(secPerKm float64) string {
		if miles {
			return clockText(math.Round(secPerKm * workouts.MetresPerMile / 1000))
		}
		return clockText(math.Round(secPerKm))
	}
	unit := "/km"
	if miles {
		unit = "/mi"
	}
	switch g.Kind {
	case workouts.PaceGoal:
		switch {
		case g.EndPace > 0:
			return pace(g.Pace) + " -> " + pace(g.EndPace) + unit
		case g.LowPace < g.HighPace:
			return pace(g.LowPace) + "-" + pace(g.HighPace) + unit
		}
		return pace(g.Pace) + unit
	case workouts.QuickerGoal:
		switch {
		case g.First:
			return "the first"
		case g.QuickerBy > 0 && miles:
			return "quicker by " + decimal(g.QuickerBy*workouts.MetresPerMile/1000, 1) + "s/mi"
		case g.QuickerBy > 0:
			return "quicker by " + decimal(g.QuickerBy, 1) + "s/km"
		}
		return "quicker"
	case workouts.HeartGoal:
		return heartText(workouts.HeartRange{Unit: workouts.BPM, Low: math.Round(g.LowBPM), High: math.Round(g.HighBPM)})
	case workouts.UnresolvedGoal:
		return g.Name + "?"
	}
	return ""
}

// table aligns rows of cells: the first and the last two columns to the right.
func table(rows [][]string) string {
	widths := make([]int, len(rows[0]))
	for _, row := range rows {
		for i, cell := range row {
			widths[i] = max(widths[i], utf8.RuneCountInString(cell))
		}
	}
	var b strings.Builder
	for _, row := range rows {
		var line strings.Builder
		for i, cell := range row {
			pad := strings.Repeat(" ", widths[i]-utf8.RuneCountInString(cell))
			if i > 0 {
				line.WriteString("  ")
			}
			if i == 0 || i >= len(row)-2 {
				line.WriteString(pad + cell)
			} else {
				line.WriteString(cell + pad)
			}
		}
		b.WriteString(strings.TrimRight(line.String(), " ") + "\n")
	}
	return b.String()
}
