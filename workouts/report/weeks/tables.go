package weeks

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// rows are the weeks, and all of them together when there are several.
func (b teller) rows() []block.Week {
	if len(b.Weeks) < 2 {
		return b.Weeks
	}
	return append(b.told(), b.Whole)
}

// told are the weeks as they are told: of those without a recording that follow each
// other the first stands for all.
func (b teller) told() (out []block.Week) {
	for i, w := range b.Weeks {
		if i == 0 || w.Recordings > 0 || b.Weeks[i-1].Recordings > 0 || !b.follows(i) {
			out = append(out, w)
		}
	}
	return out
}

// follows tells whether a week comes right behind the one before it.
func (b teller) follows(i int) bool {
	return b.Weeks[i].Start.Equal(b.Weeks[i-1].Start.AddDate(0, 0, 7))
}

// standsFor is how many weeks the line of a week is for.
func (b teller) standsFor(w block.Week) int {
	i := slices.IndexFunc(b.Weeks, func(x block.Week) bool { return x.Start.Equal(w.Start) && x.Name == w.Name })
	if i < 0 || w.Recordings > 0 {
		return 1
	}
	n := 1
	for k := i + 1; k < len(b.Weeks) && b.Weeks[k].Recordings == 0 && b.follows(k); k++ {
		n++
	}
	return n
}

// name is the name of a week, or of several without a recording.
func (b teller) name(w block.Week) string {
	if n := b.standsFor(w); n > 1 {
		return fmt.Sprintf("%s and %d more", w.Name, n-1)
	}
	return w.Name
}

var roleHeads = map[segment.Role]string{segment.Work: "work", segment.Recovery: "recovery", segment.Warm: "warm-up",
	segment.Cool: "cool-down", segment.Easy: "easy", segment.Stop: "stopped"}

func textColumn(head string, rank int, text func(block.Week) string) report.ColumnOf[block.Week] {
	return report.ColumnOf[block.Week]{Column: report.Column{Head: head, Align: report.Right, Rank: rank},
		Cell: func(w block.Week) report.Cell { return report.Cell{Text: text(w)} }}
}

func (b teller) weekColumn() report.ColumnOf[block.Week] {
	c := textColumn("week", 0, b.name)
	c.Align = report.Left
	return c
}

// ledgerTable takes the hard sessions apart.
func (b teller) ledgerTable(u figures.Unit) report.Table {
	if b.Whole.Hard == 0 {
		return report.Table{}
	}
	columns := []report.ColumnOf[block.Week]{
		b.weekColumn(),
		textColumn("hard", 0, func(w block.Week) string {
			if w.Sessions == 0 {
				return ""
			}
			return fmt.Sprintf("%d of %d", w.Hard, w.Sessions)
		}),
		textColumn("distance", 1, func(w block.Week) string { return u.Distance(w.HardM) }),
		textColumn("of all", 2, func(w block.Week) string {
			if w.HardM == 0 {
				return ""
			}
			return figures.Percent(ratio(w.HardM, w.DistanceM))
		}),
	}
	for i, role := range block.LedgerRoles {
		rank := 3
		if role == segment.Work {
			rank = 0
		}
		columns = append(columns, textColumn(roleHeads[role], rank, func(w block.Week) string { return u.Distance(w.Ledger[i].DistanceM) }))
		c := textColumn("", rank+2, func(w block.Week) string { return figures.Sum(w.Ledger[i].Seconds) })
		if role == segment.Stop {
			columns[len(columns)-1] = textColumn(roleHeads[role], 6, func(w block.Week) string { return figures.Sum(w.Ledger[i].Seconds) })
			continue
		}
		columns = append(columns, c)
	}
	t := report.Tabulate("", b.rows(), columns)
	t.Title = "in hard sessions"
	t.Notes = []string{b.hardRule()}
	if stops := b.Whole.Ledger[slices.Index(block.LedgerRoles[:], segment.Stop)]; figures.Sum(stops.Seconds) != "" {
		t.Notes = append(t.Notes, "stopped is time in which the device's timer stood still; it is in none of the other columns.")
	}
	return t
}

// hardRule says what makes a session hard.
func (b teller) hardRule() string {
	h := b.Athlete.Hard
	s := "a session is hard when it has " + figures.Sum(math.Max(h.WorkS, 1)) + " of work or more"
	if h.Pace > 0 {
		u := figures.UnitOf(b.Athlete.Miles)
		s += ", not counting work slower than " + u.Pace(h.Pace) + "/" + u.Name
	}
	if h.HeartBPM > 0 {
		s += fmt.Sprintf(", not counting work below %.0f beats/min", h.HeartBPM)
	}
	if slices.ContainsFunc(b.Sessions, func(x block.Session) bool { return x.Hard && x.Why != block.ByWork }) {
		s += "; so is one without reps by its heart rate or pace, and what the log calls hard or a race"
	}
	return s + "."
}

// heartTable is time by heart rate.
func (b teller) heartTable() report.Table {
	h := b.Whole.Heart
	if h.KnownS+h.LockedS == 0 {
		return report.Table{}
	}
	columns := []report.ColumnOf[block.Week]{b.weekColumn()}
	if len(b.Zones.Lower) > 0 {
		columns = append(columns, textColumn("below", 4, func(w block.Week) string { return figures.Sum(w.Heart.BelowS) }))
		for i := range b.Zones.Lower {
			columns = append(columns, textColumn(fmt.Sprintf("zone %d", i+1), 2, func(w block.Week) string { return figures.Sum(w.Heart.ZonesS[i]) }))
		}
		columns = append(columns,
			textColumn("upper two", 0, func(w block.Week) string { return figures.Sum(w.Heart.UpperTwoS()) }),
			textColumn("share", 1, func(w block.Week) string { return figures.Percent(ratio(w.Heart.UpperTwoS(), w.Heart.KnownS)) }))
	} else {
		columns = append(columns, textColumn("known", 0, func(w block.Week) string { return figures.Sum(w.Heart.KnownS) }))
	}
	columns = append(columns,
		textColumn("missing", 3, func(w block.Week) string { return figures.Sum(w.Heart.MissingS) }),
		textColumn("locked", 3, func(w block.Week) string { return figures.Sum(w.Heart.LockedS) }))
	t := report.Tabulate("", b.rows(), columns)
	t.Title = "time by heart rate"
	if s := b.zoneSource(); s != "" {
		var from []string
		for _, bpm := range b.Zones.Lower {
			from = append(from, fmt.Sprintf("%.0f", math.Ceil(bpm-1e-9)))
		}
		t.Notes = append(t.Notes, "zones: "+s+"; from "+strings.Join(from, ", ")+" beats/min.")
	}
	if figures.Sum(h.MissingS) != "" {
		missing := "missing is time without a heart rate"
		if h.Without > 0 {
			missing += fmt.Sprintf(" (%s had none at all)", figures.Plural(h.Without, "session"))
		}
		t.Notes = append(t.Notes, missing+"; it is in no zone.")
	}
	if figures.Sum(h.LockedS) != "" {
		t.Notes = append(t.Notes, "locked is time in which the sensor showed the cadence and not the heart; it is in no zone.")
	}
	return t
}

// paceTable is time by pace, in all and at work.
func (b teller) paceTable(u figures.Unit) report.Table {
	if len(b.Paces) == 0 || len(b.Weeks) == 0 {
		return report.Table{}
	}
	columns := []report.ColumnOf[block.Week]{b.weekColumn()}
	for i, z := range b.Paces {
		columns = append(columns, textColumn(z.Name, 1, func(w block.Week) string { return figures.Sum(w.PacesS[i]) }))
	}
	t := report.Tabulate("", b.rows(), columns)
	t.Title = "time by pace"
	all := make([]report.Cell, len(columns))
	all[0].Text = "of that, work"
	var ends []string
	estimated := ""
	for i, z := range b.Paces {
		all[i+1].Text = figures.Sum(b.Whole.PaceWork[i])
		switch {
		case z.Reference == 0:
		case math.IsInf(z.Slow, 1) || z.Quick == 0:
		default:
			ends = append(ends, fmt.Sprintf("%s %s to %s", z.Name, u.Pace(z.Slow), u.Pace(z.Quick)))
		}
		if z.Estimated {
			estimated = " Paces were worked out from a race."
		}
	}
	t.Rows = append(t.Rows, all)
	t.Notes = []string{fmt.Sprintf("by the nearest reference pace, /%s: %s; speeds are means over %d s.%s", u.Name, strings.Join(ends, ", "), block.SmoothS, estimated)}
	return t
}

// sentences say what the tables come to.
func (b teller) sentences(u figures.Unit) []string {
	out := append(b.workSentences(u), b.heartSentences()...)
	if s := b.jumpSentence(); s != "" {
		out = append(out, s)
	}
	return out
}

// workSentences tell how much was work.
func (b teller) workSentences(u figures.Unit) (out []string) {
	w := b.Whole
	if w.Hard > 0 && w.HardM > 0 {
		out = append(out, fmt.Sprintf("Of %s in hard sessions, %s was work (%s).",
			u.Distance(w.HardM), u.Distance(w.Ledger[0].DistanceM), figures.Percent(ratio(w.Ledger[0].DistanceM, w.HardM))))
	}
	if sum := w.EffortS[block.AtWork] + w.EffortS[block.InRecovery] + w.EffortS[block.Elsewhere]; sum > 0 && w.EffortS[block.AtWork] > 0 {
		out = append(out, fmt.Sprintf("Of all the time %s was work, %s recovery between reps, %s the rest.",
			figures.Percent(w.EffortS[block.AtWork]/sum), figures.Percent(w.EffortS[block.InRecovery]/sum), figures.Percent(w.EffortS[block.Elsewhere]/sum)))
	}
	return out
}

// heartSentences tell how much of the work the zones show, and how far to trust
// them.
func (b teller) heartSentences() []string {
	w, h := b.Whole, b.Whole.Heart
	if len(b.Zones.Lower) < 2 || h.WorkS == 0 || w.Reps == 0 {
		return nil
	}
	s := fmt.Sprintf("Of %s of work with a heart rate, %s was in the upper two zones (%s). "+
		"The heart lags (time constant about 58 s, Hunt et al. 2015): over a rep of %s, the mean here, it shows %s of a change of effort on average",
		figures.Sum(h.WorkS), nought(figures.Sum(h.WorkUpperS)), figures.Percent(ratio(h.WorkUpperS, h.WorkS)), figures.Sum(w.RepS), figures.Percent(block.HeartShows(w.RepS)))
	if w.RepS > 90 {
		s += ", over one of 1:00 only " + figures.Percent(block.HeartShows(60))
	}
	s += "."
	if len(b.Paces) > 0 {
		s += " Time by pace does not lag."
	} else {
		s += " Reference paces in the athlete file show the time by pace, which does not lag."
	}
	return []string{s, zonesCaution}
}

const zonesCaution = "Zones are a rough guide, not advice on health: chest pain, faintness or palpitations are reasons to stop and see a doctor."

// jumpSentence names the weeks that call for caution; empty when none does.
func (b teller) jumpSentence() string {
	var jumps []string
	for _, w := range b.Weeks {
		if w.Before != nil && w.Before.Jump {
			jumps = append(jumps, fmt.Sprintf("%s (%+.0f %%)", w.Name, 100*w.Before.Share))
		}
	}
	if len(jumps) == 0 {
		return ""
	}
	return "Caution with jumps of distance: " + strings.Join(jumps, ", ") + fmt.Sprintf(". Such a week has over %.0f %% more than the one before and more than any of the %d before it. ", 100*block.JumpShare, block.JumpWeeks) +
		"Injuries may be likelier after sudden increases, though studies disagree on how much is too much; go by how it feels, and take lasting pain to a doctor or physiotherapist."
}

func nought(s string) string {
	if s == "" {
		return "0:00"
	}
	return s
}
