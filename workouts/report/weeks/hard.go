package weeks

import (
	"fmt"
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// Bounds of what is drawn, so that a page stays short: our own choice. Tables have all.
const (
	mostLadders   = 3  // workouts
	ladderTimes   = 8  // sessions of each, the last ones
	narrowLadders = 4  // of them on a phone
	mostBars      = 12 // hard sessions, the last ones
)

// partInks and partWords are the parts of a hard session in pictures.
var (
	partInks = map[segment.Role]chart.Ink{
		segment.Work: chart.Work, segment.Recovery: chart.Recovery, segment.Warm: chart.Warm,
		segment.Cool: chart.Cool, segment.Easy: chart.Easy, segment.Run: chart.Easy, segment.Stop: chart.Stop,
	}
	partWords = map[segment.Role]string{
		segment.Work: "work", segment.Recovery: "recovery", segment.Warm: "warm-up",
		segment.Cool: "cool-down", segment.Easy: "easy", segment.Run: "run", segment.Stop: "standing",
	}
)

// length is the unit for pictures.
func length(u figures.Unit) chart.Length { return chart.Length{Name: u.Name, Km: u.PerKm()} }

// rungs are the reps of a session.
func rungs(parts []block.Part) (reps []chart.Rung) {
	for _, p := range parts {
		switch {
		case p.Role == segment.Work && p.DistanceM > 0:
			g := chart.Rung{Name: fmt.Sprint(p.Rep), Set: p.Set, Pace: p.Pace(), Margin: math.NaN(), Fit: math.NaN()}
			if p.DistSE > 0 {
				g.Margin = trend.Z95 * p.Pace() * p.DistSE / p.DistanceM
			}
			reps = append(reps, g)
		case p.Role == segment.Recovery && len(reps) > 0:
			reps[len(reps)-1].Recovery += p.Seconds()
		}
	}
	return reps
}

// ladderCharts draw the reps of workouts that were run more than once, session by
// session.
func (b teller) ladderCharts(trends []block.Trend, u figures.Unit) (charts []chart.Chart) {
	for _, x := range trends[:min(len(trends), mostLadders)] {
		var ladders []chart.Ladder
		var course chart.LadderTrend
		for _, y := range x.Times {
			i := slices.IndexFunc(b.Sessions, func(s block.Session) bool { return s.File == y.File && s.Day.Equal(y.Day) })
			if i < 0 {
				continue
			}
			ladders = append(ladders, chart.Ladder{Unit: length(u), Day: y.Day, Reps: rungs(b.Sessions[i].Full().Parts)})
			pace, se := x.At(y.Day)
			course.Days, course.Fit, course.Margin = append(course.Days, y.Day), append(course.Fit, pace), append(course.Margin, trend.Z95*se)
		}
		if course.Words = called(x, u); course.Words == "" {
			course = chart.LadderTrend{}
		}
		last := func(n int) []chart.Ladder { return ladders[max(0, len(ladders)-n):] }
		c, ok := chart.LadderWeeks(nameOf(x), last(ladderTimes), course)
		if !ok {
			continue
		}
		if len(ladders) > narrowLadders {
			if narrow, ok := chart.LadderWeeks(nameOf(x), last(narrowLadders), course); ok {
				c.Narrow = &narrow
				c.Caption += fmt.Sprintf(" A phone shows the last %d.", narrowLadders)
			}
		}
		charts = append(charts, c)
	}
	if n := len(trends); n > len(charts) && len(charts) > 0 {
		charts[len(charts)-1].Caption += fmt.Sprintf(" Of %d workouts that were run more than once, %s; a table below has all.", n,
			map[bool]string{true: "the one run most often is drawn", false: fmt.Sprintf("the %d run most often are drawn", len(charts))}[len(charts) == 1])
	}
	return charts
}

// hardBars draw hard sessions in the order they were run.
func (b teller) hardBars(u figures.Unit) []chart.Chart {
	var list []chart.LedgerSession
	hard := 0
	for i := len(b.Sessions) - 1; i >= 0; i-- {
		s := &b.Sessions[i]
		if !s.Hard {
			continue
		}
		hard++
		if hard > mostBars {
			continue
		}
		if one := ledgerSession(s, u); len(one.Parts) > 0 {
			list = append(list, one)
		}
	}
	slices.Reverse(list)
	c, ok := chart.LedgerBars(list)
	if !ok {
		return nil
	}
	if hard > mostBars {
		c.Caption += fmt.Sprintf(" These are the last %d of %d.", len(list), hard)
	}
	return []chart.Chart{c}
}

// ledgerSession takes a session apart for a picture.
func ledgerSession(s *block.Session, u figures.Unit) chart.LedgerSession {
	one := chart.LedgerSession{Name: s.Day.Format("2 Jan")}
	if what := brief(s.Main); what != "" {
		one.Name += ", " + what
	}
	for _, p := range s.Full().Parts {
		q := chart.LedgerPart{Word: partWords[p.Role], Ink: partInks[p.Role], Seconds: p.Seconds()}
		if p.Role != segment.Stop && p.DistanceM > 0 {
			q.Short = figures.Decimal(p.DistanceM/u.Metres, 2)
			q.Distance = q.Short + " " + u.Name
		}
		one.Parts = append(one.Parts, q)
	}
	return one
}
