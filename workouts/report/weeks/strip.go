package weeks

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/chart"
)

// stripRows is how many weeks are one picture: a month, which fits on a page of A4.
// stripMonths is how many months are drawn; the tables have all weeks.
const (
	stripRows   = 4
	stripMonths = 5
)

// Strips draw the weeks of a block day by day, the last month first. Days that holds refuses
// are left out; nil keeps all. Today is marked, unless it is zero.
func Strips(b *block.Block, kept []block.KeptWeek, holds func(day time.Time) bool, today time.Time) (charts []chart.Chart) {
	u := figures.UnitOf(b.Athlete.Miles)
	rows := teller{Block: b}.stripWeeks(kept, holds, u)
	for _, w := range rows {
		for k := range w.Days {
			w.Days[k].Today = w.Days[k].Day.Equal(today)
		}
	}
	for to := len(rows); to > 0 && len(charts) < stripMonths; to -= stripRows {
		some := rows[max(0, to-stripRows):to]
		if !slices.ContainsFunc(some, hasDays) {
			continue
		}
		c := chart.WeekStrip(some, u.Name)
		if len(rows) > stripRows {
			c.Title += ", " + some[0].Days[0].Day.Format("2 Jan") + " to " + some[len(some)-1].Days[6].Day.Format("2 Jan")
		}
		if kept == nil {
			c.Caption = strings.Replace(c.Caption, ", lines across are the planned distance", "", 1)
		}
		charts = append(charts, c)
	}
	return charts
}

// hasDays tells whether a day of the week has a distance, so that there is a scale.
func hasDays(w chart.StripWeek) bool {
	return slices.ContainsFunc(w.Days, func(d chart.StripDay) bool { return d.Planned > 0 || len(d.Parts) > 0 })
}

// stripWeeks are the weeks with runs or plans, as rows.
//
// Branches: a day is run, planned, both or neither.
func (b teller) stripWeeks(kept []block.KeptWeek, holds func(day time.Time) bool, u figures.Unit) []chart.StripWeek {
	days := map[time.Time]*chart.StripDay{}
	starts := map[time.Time]bool{}
	day := func(d time.Time) *chart.StripDay {
		starts[b.Calendar.Week(d)] = true
		if days[d] == nil {
			days[d] = &chart.StripDay{Day: d}
		}
		return days[d]
	}
	if holds == nil {
		holds = func(time.Time) bool { return true }
		for i := range b.Weeks {
			starts[b.Weeks[i].Start] = true
		}
	}
	for i := range b.Sessions {
		if !holds(b.Sessions[i].Day) {
			continue
		}
		addRun(day(b.Sessions[i].Day), &b.Sessions[i], u)
	}
	volumes := map[time.Time]block.KeptWeek{}
	for _, k := range kept {
		volumes[b.Calendar.Week(k.Start)] = k
		for _, s := range k.Sessions {
			if !holds(s.Day) {
				continue
			}
			b.addPlan(day(s.Day), s, u)
		}
	}
	var rows []chart.StripWeek
	for start := range starts {
		w := chart.StripWeek{Name: "week of " + start.Format("2 Jan")}
		for d := range 7 {
			x := chart.StripDay{Day: start.AddDate(0, 0, d)}
			if found := days[x.Day]; found != nil {
				x = *found
			}
			w.Days = append(w.Days, x)
		}
		if i := slices.IndexFunc(b.Weeks, func(x block.Week) bool { return x.Start.Equal(start) }); i >= 0 {
			w.Run = b.Weeks[i].DistanceM / u.Metres
			if n := b.Weeks[i].Hard; n > 0 {
				w.Note = fmt.Sprintf("%d hard", n)
			}
		}
		if k, ok := volumes[start]; ok {
			w.Planned = volumeNumber(k.Planned.Volume, u)
			if s := callText(k); s != "" {
				w.Name += ": " + s
			}
		}
		rows = append(rows, w)
	}
	slices.SortFunc(rows, func(a, b chart.StripWeek) int { return a.Days[0].Day.Compare(b.Days[0].Day) })
	return rows
}

// addRun adds what was run on a day; of hard sessions its parts and its speed.
func addRun(d *chart.StripDay, s *block.Session, u figures.Unit) {
	add := func(ink chart.Ink, metres float64) {
		if metres > 0 {
			d.Parts = append(d.Parts, chart.StripPart{Ink: ink, Value: metres / u.Metres})
		}
	}
	if !s.Hard {
		add(chart.Easy, s.DistanceM)
		return
	}
	full := s.Full()
	sums := map[segment.Role]float64{}
	rest := s.DistanceM
	for _, p := range full.Parts {
		sums[p.Role] += p.DistanceM
	}
	for _, role := range []segment.Role{segment.Warm, segment.Work, segment.Recovery, segment.Cool} {
		add(partInks[role], sums[role])
		rest -= sums[role]
	}
	if rest > 1 { // m; less is rounding
		add(chart.Easy, rest)
	}
	d.Trace = nil
	for _, m := range full.Way[:max(0, len(full.Way)-1)] { // the last is no full stretch
		d.Trace = append(d.Trace, float64(m))
	}
	if what := brief(s.Main); what != "" {
		d.What = what
		d.Figures = append(d.Figures, "hard")
	}
}

// addPlan adds what was planned for a day, and what became of it.
func (b teller) addPlan(d *chart.StripDay, s block.KeptSession, u figures.Unit) {
	if s.Planned == nil {
		d.Figures = append(d.Figures, "not planned")
		return
	}
	if !s.Planned.Rest {
		if o := b.Athlete.Outline(s.Planned.Workout); o.Open == 0 && o.Metres.Value > 0 {
			d.Planned += o.Metres.Value / u.Metres
		}
		switch {
		case d.What != "":
		case s.Outcome == block.Moved && len(d.Parts) == 0:
			d.What = outcomeText(s)
		default:
			d.What = brief(s.Planned.String())
		}
	}
	if s.Outcome == block.Missed {
		d.Missed = true
		return
	}
	if text := outcomeText(s); text != d.What {
		d.Figures = append(d.Figures, text)
	}
}

// outcomeText says what became of a planned session.
func outcomeText(s block.KeptSession) string {
	switch s.Outcome {
	case block.Ahead:
		return "still to come"
	case block.Moved:
		return "moved to " + block.DayWord(s.Run.Day.Weekday())
	}
	return string(s.Outcome)
}

// callText says how the volume of a week went; empty without a planned one.
func callText(k block.KeptWeek) string {
	switch k.Call {
	case block.Within:
		return "as much as planned"
	case block.Below:
		return "less than planned"
	case block.Above:
		return "more than planned"
	case block.Open:
		return "not over yet"
	}
	return ""
}

// volumeNumber is a planned distance as a number of units: "45-50"; empty for none
// and for a planned time.
func volumeNumber(v block.Volume, u figures.Unit) string {
	if v.InTime || !(v.High > 0) {
		return ""
	}
	number := func(m float64) string { return strings.TrimSuffix(fmt.Sprintf("%.1f", m/u.Metres), ".0") }
	if low, high := number(v.Low), number(v.High); low != high && v.Low > 0 {
		return low + "-" + high
	}
	return number(v.High)
}

// brief is a workout in the notation without its warm-up, cool-down, recoveries and
// targets: "2 x ( 5 x 400m )".
func brief(notation string) string {
	var kept []string
	skip := false
	for _, w := range strings.Fields(notation) {
		switch w {
		case "off", "@":
			skip = true
		case "+", "(", ")":
			skip = false
		}
		if !skip {
			kept = append(kept, w)
		}
	}
	parts := strings.Split(strings.Join(kept, " "), " + ")
	main := slices.DeleteFunc(slices.Clone(parts), func(p string) bool {
		return strings.HasSuffix(p, " warm") || strings.HasSuffix(p, " cool")
	})
	if len(main) == 0 {
		main = parts
	}
	return strings.Join(main, " + ")
}
