package block

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
)

// bestsTable are the quickest stretches.
func (b *Block) bestsTable(u unit) report.Table {
	right := func(head string) report.Column { return report.Column{Head: head, Align: report.Right} }
	t := table(b.Bests, []columnOf[Best]{
		{right("length"), func(q Best) report.Cell {
			return report.Cell{Text: q.Length, Fields: report.Object{{Key: "length", Value: q.Length}}}
		}},
		{right("result"), func(q Best) report.Cell {
			c := report.Cell{Text: fmt.Sprintf("%.0f m", q.Metres), Fields: report.Object{secondsField("seconds", q.Seconds), metresField("metres", q.Metres)}}
			if q.distance() {
				c.Text = clock(q.Seconds)
			}
			return c
		}},
		{report.Column{Head: "±", Tight: true}, func(q Best) report.Cell {
			margin := fmt.Sprintf("±%.0f", math.Max(1, math.Ceil(z95*q.SE)))
			key := "metres_se"
			if q.distance() {
				key = "seconds_se"
			}
			return report.Cell{Text: margin, Fields: report.Object{number(key, q.SE, 2)}}
		}},
		{right("pace /" + u.name), func(q Best) report.Cell {
			return report.Cell{Text: u.pace(1000 * q.Seconds / q.Metres), Fields: report.Object{number("pace_s_per_km", 1000*q.Seconds/q.Metres, 2)}}
		}},
		{report.Column{Head: "date"}, func(q Best) report.Cell {
			return report.Cell{Text: q.Day.Format(time.DateOnly), Fields: report.Object{{Key: "date", Value: q.Day.Format(time.DateOnly)}}}
		}},
		{report.Column{Head: "recording", Rank: 1}, func(q Best) report.Cell {
			return report.Cell{Text: q.File, Fields: report.Object{{Key: "file", Value: q.File}, secondsField("start_s", q.StartS)}}
		}},
	})
	t.Title, t.Key = "quickest stretches within a recording", "quickest"
	t.Notes = []string{"± is the 95 % margin without an odometer that is off throughout; the quickest of many is flattered by errors."}
	return t
}

// distance tells whether a distance was asked for.
func (q Quickest) distance() bool {
	return !slices.ContainsFunc(workouts.Events(), func(e workouts.Event) bool { return e.Name == q.Length && e.Metres == 0 })
}

// trendsTable are the workouts that were run more than once.
func (b *Block) trendsTable(trends []Trend, u unit) report.Table {
	per := u.metres / 1000
	t := table(trends, []columnOf[Trend]{
		{report.Column{Head: "workout"}, func(x Trend) report.Cell {
			return report.Cell{Text: x.Workout, Fields: report.Object{{Key: "workout", Value: x.Workout}, {Key: "from_library", Value: x.Named}}}
		}},
		{report.Column{Head: "where", Rank: 2}, func(x Trend) report.Cell {
			return report.Cell{Text: string(x.Place), Fields: report.Object{{Key: "place", Value: orNil(string(x.Place))}}}
		}},
		{report.Column{Head: "times", Align: report.Right}, func(x Trend) report.Cell {
			var times []report.Object
			for _, y := range x.Times {
				times = append(times, report.Object{{Key: "file", Value: y.File}, {Key: "date", Value: y.Day.Format(time.DateOnly)}, {Key: "reps", Value: y.Reps},
					number("pace_s_per_km", y.Pace, 2), number("pace_se_s_per_km", y.SE, 2), number("hr_avg", orNaN(y.HeartBPM), 0)})
			}
			return report.Cell{Text: count(len(x.Times)), Fields: report.Object{{Key: "times", Value: times}}}
		}},
		{report.Column{Head: "first /" + u.name, Align: report.Right, Rank: 1}, func(x Trend) report.Cell {
			return report.Cell{Text: u.pace(x.Times[0].Pace)}
		}},
		{report.Column{Head: "last", Align: report.Right, Rank: 1}, func(x Trend) report.Cell {
			return report.Cell{Text: u.pace(x.Times[len(x.Times)-1].Pace)}
		}},
		{report.Column{Head: "in 4 weeks", Align: report.Right}, func(x Trend) report.Cell {
			c := report.Cell{Fields: report.Object{number("slope_s_per_km_in_4_weeks", x.SlopeSPerKm, 2), number("slope_se", x.SlopeSE, 2),
				{Key: "test", Value: orNil(string(x.Test))}, number("p", x.P, 6), {Key: "call", Value: orNil(string(x.Call))}}}
			switch x.Call {
			case match.Level:
				c.Text = "~"
			case match.Quicker, match.Slower:
				c.Text = fmt.Sprintf("%+.0f s", x.SlopeSPerKm*per)
			}
			return c
		}},
		{report.Column{Head: "±", Tight: true}, func(x Trend) report.Cell {
			if x.Call != match.Quicker && x.Call != match.Slower {
				return report.Cell{}
			}
			return report.Cell{Text: fmt.Sprintf("±%.0f", math.Max(1, math.Ceil(z95*x.SlopeSE*per)))}
		}},
	})
	t.Title, t.Key = "workouts run more than once: pace of the work", "workouts"
	t.Notes = []string{"~ is a trend within the measuring error, of which the odometer from run to run is most (1 %, on a track 0.3 %: assumed)."}
	return t
}

// planWeeksTable holds the volume of weeks against the plan.
func (b *Block) planWeeksTable(kept []KeptWeek, name string, u unit) report.Table {
	t := table(kept, []columnOf[KeptWeek]{
		{report.Column{Head: "week", Align: report.Right}, func(k KeptWeek) report.Cell {
			return report.Cell{Text: count(k.Planned.Number), Fields: report.Object{{Key: "number", Value: k.Planned.Number}}}
		}},
		{report.Column{Head: "from", Align: report.Right, Rank: 1}, func(k KeptWeek) report.Cell {
			return report.Cell{Text: k.Start.Format("2 Jan"), Fields: report.Object{{Key: "start", Value: k.Start.Format(time.DateOnly)}}}
		}},
		{report.Column{Head: "planned", Align: report.Right}, func(k KeptWeek) report.Cell {
			v := k.Planned.Volume
			unit := "m"
			if v.InTime {
				unit = "s"
			}
			if v.Low == 0 {
				return report.Cell{Fields: report.Object{{Key: "planned", Value: nil}}}
			}
			return report.Cell{Text: v.String(), Fields: report.Object{{Key: "planned", Value: report.Object{
				number("low", v.Low, 1), number("high", v.High, 1), {Key: "unit", Value: unit}}}}}
		}},
		{report.Column{Head: "run", Align: report.Right}, func(k KeptWeek) report.Cell {
			c := report.Cell{Text: u.distance(k.DistanceM), Fields: report.Object{metresField("distance_m", k.DistanceM), secondsField("time_s", k.TimeS)}}
			if k.Planned.Volume.InTime {
				c.Text = clock(k.TimeS)
			}
			return c
		}},
		{report.Column{Head: "volume"}, func(k KeptWeek) report.Cell {
			c := report.Cell{Text: string(k.Call), Fields: report.Object{{Key: "volume", Value: orNil(string(k.Call))}}}
			if k.Call == Above || k.Call == Below {
				c.Style = report.Alert
			}
			return c
		}},
		{report.Column{Head: "sessions"}, func(k KeptWeek) report.Cell {
			n := map[Outcome]int{}
			planned := 0
			for _, s := range k.Sessions {
				n[s.Outcome]++
				if s.Planned != nil {
					planned++
				}
			}
			text := ""
			if planned > 0 {
				text = fmt.Sprintf("%d of %d", n[Done]+n[Moved], planned)
			}
			return report.Cell{Text: text, Fields: report.Object{{Key: "sessions_planned", Value: planned}, {Key: "sessions_done", Value: n[Done]},
				{Key: "sessions_moved", Value: n[Moved]}, {Key: "sessions_replaced", Value: n[Replaced]}, {Key: "sessions_missed", Value: n[Missed]},
				{Key: "sessions_extra", Value: n[Extra]}}}
		}},
	})
	t.Title, t.Key = "against the plan", "plan_weeks"
	if name != "" {
		t.Title += " " + name
	}
	t.Notes = []string{fmt.Sprintf("volume counts as within when it is at most %.0f %% off.", 100*volumeMargin)}
	return t
}

// planSessionsTable is what became of every planned session.
func (b *Block) planSessionsTable(kept []KeptWeek, u unit) report.Table {
	type one struct {
		week int
		KeptSession
	}
	var all []one
	for _, k := range kept {
		for _, s := range k.Sessions {
			all = append(all, one{k.Planned.Number, s})
		}
	}
	t := table(all, []columnOf[one]{
		{report.Column{Head: "week", Align: report.Right}, func(s one) report.Cell {
			return report.Cell{Text: count(s.week), Fields: report.Object{{Key: "week", Value: s.week}}}
		}},
		{report.Column{Head: "day"}, func(s one) report.Cell {
			return report.Cell{Text: dayWord(s.Day.Weekday()), Fields: report.Object{{Key: "date", Value: s.Day.Format(time.DateOnly)}}}
		}},
		{report.Column{Head: "planned"}, func(s one) report.Cell {
			if s.Planned == nil {
				return report.Cell{Fields: report.Object{{Key: "workout", Value: nil}}}
			}
			return report.Cell{Text: s.Planned.String(), Fields: report.Object{{Key: "workout", Value: s.Planned.String()}}}
		}},
		{report.Column{Head: "outcome"}, func(s one) report.Cell {
			c := report.Cell{Text: string(s.Outcome), Fields: report.Object{{Key: "outcome", Value: string(s.Outcome)}}}
			if s.Outcome == Missed || s.Outcome == Replaced {
				c.Style = report.Alert
			}
			if s.Outcome == Moved {
				c.Text += " to " + dayWord(s.Run.Day.Weekday())
			}
			return c
		}},
		{report.Column{Head: "run", Rank: 1}, func(s one) report.Cell {
			if s.Run == nil {
				return report.Cell{Fields: report.Object{{Key: "file", Value: nil}, {Key: "run_date", Value: nil}, {Key: "likeness", Value: nil}}}
			}
			c := report.Cell{Fields: report.Object{{Key: "file", Value: s.Run.File}, {Key: "run_date", Value: s.Run.Day.Format(time.DateOnly)}, number("likeness", s.Likeness, 3)}}
			if s.Outcome == Replaced || s.Outcome == Extra {
				c.Text = s.Run.Main
				if c.Text == "" {
					c.Text = u.distance(s.Run.DistanceM) + " in " + clock(s.Run.MovingS)
				}
			}
			return c
		}},
	})
	t.Title, t.Key = "planned sessions", "plan_sessions"
	return t
}

// zoneWarnings say what the zones rest on.
func (b *Block) zoneWarnings() []recording.Warning {
	if _, estimated := b.Athlete.MaxHeart(); estimated && b.Zones.Name != "" && len(b.Athlete.OwnZones) == 0 {
		return []recording.Warning{warning(workouts.HeartEstimated, "the heart-rate zones rest on a maximum worked out from the age, which is often 10 beats and more off")}
	}
	if b.Zones.Name == "" && b.Whole.Heart.KnownS > 0 {
		return []recording.Warning{warning(workouts.HeartUnknown, "there are heart rates and no zones: the athlete file needs the maximum, the age or zones")}
	}
	return nil
}
