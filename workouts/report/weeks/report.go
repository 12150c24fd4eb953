// Package weeks tells training blocks: the words, tables and pictures of what package block
// adds up.
package weeks

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// A Telling is what a report of a block says beside the weeks.
type Telling struct {
	Trends   []block.Trend
	Kept     []block.KeptWeek // of a plan; nil without one
	PlanName string
	Warnings []recording.Warning // of Merge
	Last     time.Time           // day of the last session of all, where only some days are told; else zero
	Above    []report.Link       // pages that the one of all weeks belongs to
	Page     bool                // make what only a page shows, Report.Front, as well
}

// Report tells a block to people and programs.
func Report(whole *block.Block, t Telling) *report.Report {
	return teller{Block: whole}.report(t)
}

func (b teller) report(t Telling) *report.Report {
	u := figures.UnitOf(b.Athlete.Miles)
	r := &report.Report{
		Title:    b.title(),
		Lead:     b.lead(u),
		Table:    report.Tabulate("", b.told(), b.weekColumns(u)),
		Warnings: slices.Concat(t.Warnings, b.zoneWarnings(), b.Warnings),
		Before:   b.before(),
		After:    report.Object{{Key: "all", Value: b.allFields()}},
	}
	if t.Page {
		r.Front = b.front(t, u)
	}
	r.Table.Key = "weeks"
	if slices.ContainsFunc(b.Weeks, func(w block.Week) bool { return figures.Known(w.Monotony()) }) {
		r.Table.Notes = []string{"monotony is the mean of the daily distances divided by their standard deviation: high when all days are alike. Foster (1998) took the load of sessions in place of distance."}
	}
	r.Further = append(r.Further, b.ledgerTable(u), b.heartTable(), b.paceTable(u))
	r.Further = append(r.Further, b.bestsTable(u), b.trendsTable(t.Trends, u))
	if t.Kept != nil {
		r.Further = append(r.Further, b.planWeeksTable(t.Kept, t.PlanName, u), b.planSessionsTable(t, u))
	}
	for _, s := range b.sentences(u) {
		r.Said = append(r.Said, report.Sentence{Text: s})
	}
	if len(b.Weeks) == 0 && !t.Last.IsZero() {
		r.Title = "no runs in these days"
		r.SayLast(t.Last, b.Calendar.Week(t.Last), "see")
		r.KeepBack(len(t.Warnings))
	}
	return r
}

// A teller tells a block with its methods.
type teller struct {
	*block.Block
	pages pageNames // of the sessions, in a folder; nil for a page that stands alone
}

func (b teller) title() string {
	if len(b.Weeks) == 0 {
		return "no runs"
	}
	first, last := b.Weeks[0], b.Weeks[len(b.Weeks)-1]
	if len(b.Weeks) == 1 {
		return "week " + first.Name
	}
	return fmt.Sprintf("%d weeks, %s to %s", len(b.Weeks), first.Name, last.Name)
}

func (b teller) lead(u figures.Unit) []string {
	w := b.Whole
	if len(b.Weeks) == 0 {
		return nil
	}
	line := fmt.Sprintf("%s, %s", figures.Plural(w.Recordings, "recording"), figures.Plural(w.Sessions, "session"))
	if w.DistanceM > 0 {
		line += ", " + u.Distance(w.DistanceM)
	}
	if w.TimeS > 0 {
		line += " in " + figures.Sum(w.TimeS)
	}
	zone := "time zone " + b.Calendar.String()
	if b.Calendar.Home == time.Local {
		zone = strings.Replace(zone, "Local", "of this machine", 1)
	}
	return []string{line, fmt.Sprintf("weeks begin on a %s; %s", b.Calendar.FirstDay, zone)}
}

// before is what a program needs to read the weeks.
func (b teller) before() report.Object {
	o := report.Object{
		{Key: "schema", Value: "rungs/block/1"},
		{Key: "time_zone", Value: b.Calendar.String()},
		{Key: "first_day", Value: strings.ToLower(b.Calendar.FirstDay.String())},
		{Key: "zone_source", Value: report.OrNil(b.zoneSource())},
	}
	var from []report.Number
	for _, bpm := range b.Zones.Lower {
		from = append(from, report.Number{Value: bpm, Decimals: 1})
	}
	var paces []report.Object
	for _, z := range b.Paces {
		paces = append(paces, report.Object{
			{Key: "name", Value: z.Name}, {Key: "estimated", Value: z.Estimated},
			report.Num("slow_s_per_km", z.Slow, 2), report.Num("quick_s_per_km", z.Quick, 2),
		})
	}
	return append(o, report.Field{Key: "zones_from_bpm", Value: list(from)}, report.Field{Key: "pace_zones", Value: list(paces)})
}

// list is never null for programs.
func list[T any](items []T) []T {
	if items == nil {
		return []T{}
	}
	return items
}

func (b teller) zoneSource() string {
	if b.Zones.Name == "" {
		return ""
	}
	s := b.Zones.Name
	if b.Zones.Source != "" {
		s += " (" + b.Zones.Source + ")"
	}
	if _, estimated := b.Athlete.MaxHeart(); estimated && len(b.Athlete.OwnZones) == 0 {
		s += ", with a maximum worked out from the age"
	}
	return s
}

// weekColumns are the columns of the weeks, those for programs at the end.
func (b teller) weekColumns(u figures.Unit) []report.ColumnOf[block.Week] {
	right := func(head string, rank int) report.Column {
		return report.Column{Head: head, Align: report.Right, Rank: rank}
	}
	columns := []report.ColumnOf[block.Week]{
		{Column: report.Column{Head: "week"}, Cell: func(w block.Week) report.Cell {
			return report.Cell{Text: b.name(w), Fields: report.Object{{Key: "week", Value: w.Name}}}
		}},
		{Column: right("from", 3), Cell: func(w block.Week) report.Cell {
			return report.Cell{Text: w.Start.Format("2 Jan"), Fields: report.Object{{Key: "start", Value: w.Start.Format(time.DateOnly)}}}
		}},
		{Column: right("sessions", 1), Cell: func(w block.Week) report.Cell {
			return report.Cell{Text: figures.Count(w.Sessions), Fields: report.Object{
				{Key: "recordings", Value: w.Recordings}, {Key: "sessions", Value: w.Sessions}, {Key: "hard_sessions", Value: w.Hard}}}
		}},
		{Column: right("distance", 0), Cell: func(w block.Week) report.Cell {
			return report.Cell{Text: u.Distance(w.DistanceM), Style: report.Strong, Fields: report.Object{metresField("distance_m", w.DistanceM)}}
		}},
		{Column: right("change", 2), Cell: changeCell},
		{Column: right("time", 0), Cell: func(w block.Week) report.Cell {
			return report.Cell{Text: figures.Sum(w.TimeS), Fields: report.Object{secondsField("time_s", w.TimeS), secondsField("elapsed_s", w.ElapsedS)}}
		}},
		{Column: right("longest", 2), Cell: func(w block.Week) report.Cell {
			if w.Longest == nil {
				return report.Cell{Fields: report.Object{{Key: "longest_m", Value: nil}, {Key: "longest_s", Value: nil}, {Key: "longest_file", Value: nil}}}
			}
			return report.Cell{Text: u.Distance(w.Longest.DistanceM), Fields: report.Object{
				metresField("longest_m", w.Longest.DistanceM), secondsField("longest_s", w.Longest.MovingS), {Key: "longest_file", Value: w.Longest.File}}}
		}},
	}
	for i, p := range block.Places {
		columns = append(columns, report.ColumnOf[block.Week]{Column: right(placeHeads[p], 4), Cell: func(w block.Week) report.Cell {
			return report.Cell{Text: u.Distance(w.Where[i].DistanceM), Fields: report.Object{
				metresField(placeKeys[p]+"_m", w.Where[i].DistanceM), secondsField(placeKeys[p]+"_s", w.Where[i].MovingS)}}
		}})
	}
	return append(columns,
		report.ColumnOf[block.Week]{Column: right("monotony", 5), Cell: func(w block.Week) report.Cell {
			c := report.Cell{Fields: report.Object{report.Num("monotony", w.Monotony(), 2)}}
			if m := w.Monotony(); !math.IsNaN(m) && !math.IsInf(m, 0) {
				c.Text = fmt.Sprintf("%.1f", m)
			}
			return c
		}},
		report.ColumnOf[block.Week]{Column: report.Column{Data: true}, Cell: func(w block.Week) report.Cell {
			return report.Cell{Fields: append(b.sums(w), report.Field{Key: "stands_for_weeks", Value: b.standsFor(w)})} // several without a recording
		}},
	)
}

var (
	placeHeads = map[recording.Place]string{recording.Outdoors: "outdoors", recording.Treadmill: "treadmill",
		recording.Track: "track", recording.Trail: "trail", recording.PlaceUnknown: "place not known"}
	placeKeys = map[recording.Place]string{recording.Outdoors: "outdoor", recording.Treadmill: "indoor",
		recording.Track: "track", recording.Trail: "trail", recording.PlaceUnknown: "unsaid"}
)

func changeCell(w block.Week) report.Cell {
	c := report.Cell{Fields: report.Object{{Key: "change_pct", Value: nil}, {Key: "jump", Value: false}}}
	if w.Before == nil {
		return c
	}
	c.Fields = report.Object{report.Num("change_pct", 100*w.Before.Share, 1), {Key: "jump", Value: w.Before.Jump}}
	if !math.IsNaN(w.Before.Share) {
		c.Text = fmt.Sprintf("%+.0f %%", 100*w.Before.Share)
	}
	if w.Before.Jump {
		c.Text, c.Style = c.Text+" !", report.Alert
	}
	return c
}

// sums are the fields of a week that have tables of their own for people.
func (b teller) sums(w block.Week) report.Object {
	o := report.Object{
		metresField("hard_session_m", w.HardM), secondsField("hard_session_s", w.HardS),
		report.Num("hard_share_of_sessions", ratio(float64(w.Hard), float64(w.Sessions)), 4),
		report.Num("hard_share_of_distance", ratio(w.HardM, w.DistanceM), 4),
	}
	for i, role := range block.LedgerRoles {
		if role != segment.Stop {
			o = append(o, metresField(string(role)+"_m", w.Ledger[i].DistanceM))
		}
		o = append(o, secondsField(string(role)+"_s", w.Ledger[i].Seconds))
	}
	o = append(o, report.Field{Key: "reps", Value: w.Reps}, secondsField("rep_mean_s", orNaN(w.RepS)),
		secondsField("all_work_s", w.EffortS[block.AtWork]), secondsField("all_recovery_s", w.EffortS[block.InRecovery]), secondsField("all_other_s", w.EffortS[block.Elsewhere]),
		report.Field{Key: "zones_s", Value: numbers(w.Heart.ZonesS)}, secondsField("below_zones_s", w.Heart.BelowS))
	upper := math.NaN()
	if len(b.Zones.Lower) >= 2 {
		upper = w.Heart.UpperTwoS()
	}
	return append(o, secondsField("upper_two_s", upper), report.Num("upper_two_share", ratio(upper, w.Heart.KnownS), 4),
		secondsField("heart_known_s", w.Heart.KnownS), secondsField("heart_missing_s", w.Heart.MissingS), secondsField("heart_locked_s", w.Heart.LockedS),
		secondsField("work_heart_s", w.Heart.WorkS), secondsField("work_upper_two_s", w.Heart.WorkUpperS),
		report.Field{Key: "zone_source", Value: report.OrNil(b.zoneSource())},
		report.Field{Key: "pace_zones_s", Value: numbers(w.PacesS)}, report.Field{Key: "work_pace_zones_s", Value: numbers(w.PaceWork)})
}

// allFields are the fields of the whole block: those of a week that make sense.
func (b teller) allFields() report.Object {
	w := b.Whole
	if len(b.Weeks) == 0 {
		return report.Object{}
	}
	o := report.Object{{Key: "weeks", Value: len(b.Weeks)}, {Key: "recordings", Value: w.Recordings}, {Key: "sessions", Value: w.Sessions},
		{Key: "hard_sessions", Value: w.Hard}, metresField("distance_m", w.DistanceM), secondsField("time_s", w.TimeS), secondsField("elapsed_s", w.ElapsedS)}
	for i, p := range block.Places {
		o = append(o, metresField(placeKeys[p]+"_m", w.Where[i].DistanceM))
	}
	return append(o, b.sums(w)...)
}

func numbers(values []float64) []report.Number {
	out := make([]report.Number, len(values))
	for i, v := range values {
		out[i] = report.Number{Value: v, Decimals: 0}
	}
	return out
}

func ratio(a, b float64) float64 {
	if b == 0 {
		return math.NaN()
	}
	return a / b
}

// orNaN is NaN for what is zero when it is not known.
func orNaN(v float64) float64 {
	if v == 0 {
		return math.NaN()
	}
	return v
}

func metresField(key string, v float64) report.Field  { return report.Num(key, v, 1) }
func secondsField(key string, v float64) report.Field { return report.Num(key, v, 1) }
