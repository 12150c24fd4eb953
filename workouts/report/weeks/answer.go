package weeks

import (
	"fmt"
	"strings"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
)

// front opens the page of a block: the answer, the days, the planned sessions, the hard
// ones, then the weeks. Sentences stand where what they are about is shown.
func (b teller) front(t Telling, u figures.Unit) report.Front {
	f := report.Front{Byline: b.title(), Heading: "Week by week", Links: t.Above}
	if len(b.Weeks) == 0 {
		return f
	}
	f.Answer, f.Lines = b.answer(u), b.lead(u)
	if t.Kept != nil {
		if s := keptText(t.Kept); s != "" {
			f.Answer, f.Lead = s, []report.Sentence{{Text: b.answer(u) + "."}}
		}
		f.First = "plan_sessions"
		if t.PlanName != "" {
			f.Facts = []report.Fact{{Name: "plan", Text: t.PlanName}}
		}
	}
	if s := b.jumpSentence(); s != "" {
		f.Lead = append(f.Lead, report.Sentence{Text: s, Style: report.Alert})
	}
	for _, s := range b.workSentences(u) {
		f.Lead = append(f.Lead, report.Sentence{Text: s})
	}
	if b.pages != nil {
		f.Tables = append(f.Tables, b.sessionsTable(b.pages, u))
	}
	f.Figures = b.keyFigures(t.Kept, u)
	strips := Strips(b.Block, t.Kept, nil, time.Time{})
	f.Charts = append(f.Charts, strips[:min(1, len(strips))]...)
	f.Charts = append(f.Charts, b.ladderCharts(t.Trends, u)...)
	f.Charts = append(f.Charts, b.hardBars(u)...)
	weeks := b.axis()
	f.Charts = append(f.Charts, b.workChart(weeks, t.Kept, u)...)
	f.Charts = append(f.Charts, b.placeChart(weeks, u)...)
	if zones := b.zoneChart(weeks); zones != nil {
		f.Charts, f.Care = append(f.Charts, zones...), zonesCaution
	}
	if len(strips) > 1 {
		f.Charts = append(f.Charts, strips[1:]...)
	}
	return f
}

// keyFigures are the figures of a block, the first three for its head.
func (b teller) keyFigures(kept []block.KeptWeek, u figures.Unit) (list []report.Figure) {
	w := b.Whole
	add := func(value, name string) {
		if value != "" {
			list = append(list, report.Figure{Value: value, Name: name})
		}
	}
	switch n, planned := len(b.Weeks), plannedText(kept, u); {
	case planned != "":
		add(u.Distance(w.DistanceM), "run; planned "+planned)
	case n > 1:
		add(u.Distance(w.DistanceM/float64(n)), "a week on average")
	}
	add(figures.Sum(w.TimeS), "time without stops")
	add(fmt.Sprintf("%d of %d", w.Hard, w.Sessions), "sessions were hard")
	if len(b.Zones.Lower) >= 2 && w.Heart.KnownS > 0 {
		add(figures.Percent(ratio(w.Heart.UpperTwoS(), w.Heart.KnownS)), "of the time in the upper two zones")
	}
	if w.Longest != nil {
		add(u.Distance(w.Longest.DistanceM), "longest run")
	}
	return list
}

// plannedText is the planned distance of all weeks; empty when a week has none.
func plannedText(kept []block.KeptWeek, u figures.Unit) string {
	var sum block.Volume
	for _, k := range kept {
		v := k.Planned.Volume
		if v.InTime || !(v.High > 0) {
			return ""
		}
		sum.Low, sum.High = sum.Low+v.Low, sum.High+v.High
	}
	s := volumeNumber(sum, u)
	if s == "" {
		return ""
	}
	return s + " " + u.Name
}

// answer is the block in a few words.
func (b teller) answer(u figures.Unit) string {
	span := "in one week"
	if n := len(b.Weeks); n > 1 {
		span = fmt.Sprintf("in %d weeks", n)
	}
	work := u.Distance(b.Whole.Ledger[0].DistanceM)
	switch all := u.Distance(b.Whole.DistanceM); {
	case all == "":
		return figures.Sum(b.Whole.TimeS) + " of running " + span
	case work == "":
		return all + " " + span + ", none of it in hard sessions"
	default:
		return all + " " + span + ", with " + work + " of work in hard sessions"
	}
}

// keptText says how much of a plan was run, first of what was due; empty when nothing
// was planned.
func keptText(kept []block.KeptWeek) string {
	n, planned := outcomes(kept...)
	due, run := planned-n[block.Ahead], n[block.Done]+n[block.Moved]
	var text string
	switch {
	case planned == 0:
		return ""
	case due == 0:
		text = figures.Plural(planned, "session") + " planned"
	case run == due:
		text = fmt.Sprintf("All %s run", figures.Plural(due, "planned session"))
	default:
		text = fmt.Sprintf("%d of %s run", run, figures.Plural(due, "planned session"))
	}
	if due == 1 {
		text = strings.Replace(text, "All 1 planned session", "The planned session", 1)
	}
	if m := n[block.Moved]; m > 0 {
		text += fmt.Sprintf(" (%d on another day)", m)
	}
	for _, o := range []struct {
		outcome block.Outcome
		words   string
	}{{block.Cut, "cut short"}, {block.Replaced, "replaced"}, {block.Missed, "missed"}} {
		if n[o.outcome] > 0 {
			text += fmt.Sprintf(", %d %s", n[o.outcome], o.words)
		}
	}
	if n[block.Ahead] > 0 {
		text += fmt.Sprintf(", %d still to come", n[block.Ahead])
	}
	if n[block.Extra] > 0 {
		text += "; " + figures.Plural(n[block.Extra], "hard session") + " beyond the plan"
	}
	return text
}

// outcomes counts sessions by what became of them, and those planned; days of rest are
// no sessions.
func outcomes(kept ...block.KeptWeek) (n map[block.Outcome]int, planned int) {
	n = map[block.Outcome]int{}
	for _, k := range kept {
		for _, s := range k.Sessions {
			if s.Planned != nil && s.Planned.Rest {
				continue
			}
			n[s.Outcome]++
			if s.Planned != nil {
				planned++
			}
		}
	}
	return n, planned
}
