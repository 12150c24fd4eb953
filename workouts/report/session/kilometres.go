package session

import (
	"math"

	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// stretchTable is a run kilometre by kilometre, or mile by mile.
func stretchTable(all []chart.Stretch, u figures.Unit) report.Table {
	type S = chart.Stretch
	toM := 1000 * u.PerKm()
	t := report.Tabulate("stretches", all, []report.ColumnOf[S]{
		{Column: report.Column{Head: u.Name, Align: report.Right}, Cell: func(x S) report.Cell {
			c := report.Cell{Text: figures.Decimal(x.To, 0), Fields: report.Object{{Key: "from_m", Value: metres(x.From * toM)}, {Key: "to_m", Value: metres(x.To * toM)}}}
			if math.Abs(x.To-math.Round(x.To)) > 0.005 { // the odd end
				c.Text = figures.Decimal(x.To, 2)
			}
			return c
		}},
		{Column: report.Column{Head: "time", Align: report.Right, Rank: 1}, Cell: func(x S) report.Cell {
			return report.Cell{Text: figures.Clock(x.Seconds), Fields: report.Object{{Key: "time_s", Value: seconds(x.Seconds)}}}
		}},
		{Column: report.Column{Head: "stood", Align: report.Right, Rank: 2}, Cell: func(x S) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "stood_s", Value: seconds(x.StoodS)}}}
			if x.StoodS >= 1 {
				c.Text = figures.Clock(x.StoodS)
			}
			return c
		}},
		{Column: report.Column{Head: "pace " + u.Per(), Align: report.Right}, Cell: func(x S) report.Cell {
			return report.Cell{Text: u.Pace(x.Pace), Fields: report.Object{{Key: "pace_s_per_km", Value: pace(x.Pace)}}}
		}},
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(x S) report.Cell {
			c := report.Cell{Fields: report.Object{{Key: "pace_margin_s_per_km", Value: pace(x.Margin)}}}
			if figures.Known(x.Pace) && x.Pace < figures.Standing {
				c.Text = u.Margin(x.Margin / trend.Z95)
			}
			return c
		}},
		{Column: report.Column{Head: "HR avg", Align: report.Right, Rank: 3}, Cell: func(x S) report.Cell {
			return report.Cell{Text: figures.Beats(x.Heart), Fields: report.Object{{Key: "hr_avg", Value: beats(x.Heart)}}}
		}},
	})
	t.Title = map[bool]string{true: "kilometre by kilometre", false: "mile by mile"}[u.PerKm() == 1]
	return t
}

// A drift is the share by which the heart rate for a given speed rose from the first half of
// a run to the second, with half of its 95 % interval; NaN where that cannot be told.
type drift struct{ share, margin float64 }

// Stretches that a drift needs in each half, so that their scatter can be told: our own choice.
const leastInHalf = 3

// driftOf compares heart rate over speed, as Smyth and others (2022, Sports Med.
// 52:2283-2295) do with stretches of a marathon. The first stretch, in which the heart
// comes up, is left out, and so are what was stood in for long and the odd end. The
// margin is from the scatter of the stretches of each half.
func driftOf(all []chart.Stretch) drift {
	var logs []float64
	for i, x := range all {
		if i > 0 && figures.Known(x.Heart) && x.Pace > 0 && x.Pace < figures.Standing && x.To-x.From > 0.5 && x.StoodS < 0.1*x.Seconds {
			logs = append(logs, math.Log(x.Heart*x.Pace)) // heart rate over speed, but for a constant
		}
	}
	n := len(logs) / 2
	if n < leastInHalf {
		return drift{math.NaN(), math.NaN()}
	}
	first, second := logs[:n], logs[len(logs)-n:]
	variance := 0.0
	for _, half := range [][]float64{first, second} {
		m := mean(half)
		for _, x := range half {
			variance += (x - m) * (x - m)
		}
	}
	variance /= float64(2*n - 2)
	return drift{math.Expm1(mean(second) - mean(first)), trend.Z95 * math.Sqrt(2*variance/float64(n))}
}

// driftSaid tells a drift; nothing when it cannot be told.
func driftSaid(d drift) []report.Sentence {
	if !figures.Known(d.share) {
		return nil
	}
	off := figures.Decimal(math.Max(0.1, math.Ceil(1000*d.margin)/10), 1) + " %"
	text := "At equal speed the heart rate stayed the same from the first half to the second, within ±" + off
	switch by := figures.Decimal(100*math.Abs(d.share), 1) + " ±" + off; {
	case math.Abs(d.share) <= d.margin:
	case d.share > 0:
		text = "At equal speed the heart rate rose by " + by + " from the first half to the second"
	default:
		text = "At equal speed the heart rate fell by " + by + " from the first half to the second"
	}
	return []report.Sentence{{Text: text + " (heart rate over speed, Smyth and others 2022; the first stretch left out)."}}
}
