package weeks

import (
	"bytes"
	"fmt"
	"math"
	"strings"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/site"
	"example.org/rungs/workouts/trend"
)

// Names of sessions are those of their pages in a folder, by what tells sessions apart.
type pageNames map[string]string

func (n pageNames) of(s *block.Session) string {
	if s == nil {
		return ""
	}
	return n[s.File+"\x00"+s.Start.String()]
}

// namesOf names the page of each session by its day and time of day.
func namesOf(b *block.Block) pageNames {
	names, taken := pageNames{}, map[string]int{}
	for i := range b.Sessions {
		s := &b.Sessions[i]
		name := "undated"
		if !s.Start.IsZero() {
			name = b.Calendar.Local(s.Start).Format("2006-01-02-1504")
		}
		taken[name]++
		if n := taken[name]; n > 1 {
			name += fmt.Sprintf("-%d", n)
		}
		names[s.File+"\x00"+s.Start.String()] = name + ".html"
	}
	return names
}

// frontPage is the page of the block in a folder.
const frontPage = "index.html"

// Pages are the block and one page for each of its sessions, linked both ways.
func Pages(b *block.Block, t Telling) ([]site.Page, error) {
	whole := teller{b, namesOf(b)}
	var pages []site.Page
	add := func(name string, r *report.Report) error {
		var out bytes.Buffer
		err := report.HTML(&out, r)
		pages = append(pages, site.Page{Name: name, Contents: out.Bytes()})
		return err
	}
	if err := add(frontPage, whole.report(t)); err != nil {
		return nil, err
	}
	for i := range b.Sessions {
		if err := add(whole.pages.of(&b.Sessions[i]), whole.sessionPage(i, t)); err != nil {
			return nil, err
		}
	}
	return pages, nil
}

// sessionPage tells session i of a block from its sums.
func (b teller) sessionPage(i int, t Telling) *report.Report {
	s, u := b.Sessions[i], figures.UnitOf(b.Athlete.Miles)
	s.Run = s.Full()
	f := report.Front{Heading: "Part by part", Lines: []string{s.File}}
	f.Byline = "no date"
	if !s.Start.IsZero() {
		f.Byline = b.Calendar.Local(s.Start).Format("Monday 2 January 2006, 15:04")
	}
	whole := strings.TrimPrefix(u.Distance(s.DistanceM)+" in "+figures.Clock(s.MovingS), " in ")
	f.Answer = whole
	if s.Main != "" {
		f.Answer = s.Main
		f.Lead = append(f.Lead, report.Sentence{Text: whole + " in all; stops are not counted."})
	}
	if s.Said != nil {
		f.Facts = said(f.Facts, s)
	}
	for _, k := range t.Kept {
		for _, x := range k.Sessions {
			if x.Planned != nil && x.Run != nil && x.Run.File == s.File && x.Run.Start.Equal(s.Start) {
				f.Facts = append(f.Facts, report.Fact{Name: "planned", Text: x.Planned.String() + " (" + block.DayWord(x.Day.Weekday()) + "): " + outcomeText(x)})
			}
		}
	}
	f.Figures = sessionFigures(s, u)
	f.Charts = sessionCharts(s, u)
	f.Links = append(f.Links, report.Link{Text: "all weeks", To: frontPage})
	if i > 0 {
		f.Links = append(f.Links, report.Link{Text: "session before", To: b.pages.of(&b.Sessions[i-1])})
	}
	if i+1 < len(b.Sessions) {
		f.Links = append(f.Links, report.Link{Text: "next session", To: b.pages.of(&b.Sessions[i+1])})
	}
	r := &report.Report{Title: f.Byline, Front: f, Table: partsTable(s.Parts, u)}
	for _, n := range s.Notes {
		r.Warnings = append(r.Warnings, recording.Warning{Code: n.Code, Message: n.Message, StartS: math.NaN(), EndS: math.NaN()})
	}
	return r
}

// said are the facts that the log knows.
func said(facts []report.Fact, s block.Session) []report.Fact {
	for _, x := range []report.Fact{{Name: "title", Text: s.Said.Title}, {Name: "note", Text: s.Said.Note}} {
		if x.Text != "" {
			facts = append(facts, x)
		}
	}
	return facts
}

// sessionFigures are the pace of the work, or of all, and the distances.
func sessionFigures(s block.Session, u figures.Unit) (list []report.Figure) {
	add := func(value, name string) {
		if value != "" {
			list = append(list, report.Figure{Value: value, Name: name})
		}
	}
	seconds, metres, variance, reps := 0.0, 0.0, 0.0, 0
	for _, p := range s.Parts {
		if p.Role == segment.Work && p.DistanceM > 0 {
			seconds, metres, variance, reps = seconds+p.Seconds(), metres+p.DistanceM, variance+p.DistSE*p.DistSE, reps+1
		}
	}
	if reps > 0 {
		pace := 1000 * seconds / metres
		add(strings.TrimSpace(u.Pace(pace)+" "+u.Per()+" "+u.Margin(pace*math.Sqrt(variance)/metres)), "pace of the work")
		add(u.Distance(metres), fmt.Sprintf("of work in %s", figures.Plural(reps, "rep")))
	} else if s.DistanceM > 0 {
		add(u.Pace(1000*s.MovingS/s.DistanceM)+" "+u.Per(), "pace while moving")
	}
	add(u.Distance(s.DistanceM), "in all")
	return list
}

// sessionCharts are the reps, what the session was made of, and its speed.
func sessionCharts(s block.Session, u figures.Unit) (charts []chart.Chart) {
	if c, ok := chart.RepLadder(chart.Ladder{Unit: length(u), Reps: rungs(s.Parts)}); ok {
		charts = append(charts, c)
	}
	if len(s.Parts) > 1 {
		one := ledgerSession(&s, u)
		one.Name = ""
		if c, ok := chart.LedgerBars([]chart.LedgerSession{one}); ok {
			charts = append(charts, c)
		}
	}
	return append(charts, speedChart(s.Way, u)...)
}

// wayS is the time of a stretch of Run.Way, s; smooth is how many of them are one mean.
const (
	wayS   = 10
	smooth = 3
)

// speedChart is the speed over the time, in means of half a minute.
func speedChart(way []int, u figures.Unit) []chart.Chart {
	l := chart.Line{Ink: chart.Work, Width: 1.5}
	most := 0.0
	for i := 0; i+smooth <= len(way); i += smooth {
		sum := 0
		for _, m := range way[i : i+smooth] {
			sum += m
		}
		v := float64(sum) / (smooth * wayS) * 3600 / u.Metres
		l.X, l.Y = append(l.X, (float64(i)+smooth/2.0)*wayS), append(l.Y, v)
		most = max(most, v)
	}
	if len(l.X) < 2 || most == 0 {
		return nil
	}
	c := chart.Chart{Title: "Speed from start to end", Caption: "Means of 30 seconds.", X: chart.Axis{From: 0, To: float64(len(way)) * wayS, Scale: chart.Clock}}
	c.Panels = []chart.Panel{{Name: "speed, " + u.Name + "/h", Height: 120, Y: chart.Axis{From: 0, To: 1.1 * most, Scale: chart.Numbers(0)}, Layers: []chart.Layer{l}}}
	c.Text = fmt.Sprintf("Speed in means of 30 seconds over %s, at most %.1f %s/h.", figures.Sum(float64(len(way)*wayS)), most, u.Name)
	return []chart.Chart{c}
}

// partsTable are the parts of a session in running order.
func partsTable(parts []block.Part, u figures.Unit) report.Table {
	right := func(head string, rank int, text func(p block.Part) string) report.ColumnOf[block.Part] {
		return report.ColumnOf[block.Part]{Column: report.Column{Head: head, Align: report.Right, Rank: rank}, Cell: func(p block.Part) report.Cell {
			return report.Cell{Text: text(p)}
		}}
	}
	several := false
	for _, p := range parts {
		several = several || p.Set > 1
	}
	count := func(n int) string {
		if n == 0 {
			return ""
		}
		return fmt.Sprint(n)
	}
	return report.Tabulate("", parts, []report.ColumnOf[block.Part]{
		{Column: report.Column{Head: "part"}, Cell: func(p block.Part) report.Cell { return report.Cell{Text: partWords[p.Role]} }},
		right("set", 0, func(p block.Part) string { return map[bool]string{true: count(p.Set)}[several] }),
		right("rep", 0, func(p block.Part) string { return map[bool]string{true: count(p.Rep)}[p.Role == segment.Work] }),
		right("from", 3, func(p block.Part) string { return figures.Clock(p.StartS) }),
		right("time", 1, func(p block.Part) string { return figures.Clock(p.Seconds()) }),
		right("distance", 1, func(p block.Part) string {
			if !(p.DistanceM > 0) {
				return ""
			}
			if u == figures.Kilometre { // as the page of a recording has it
				return figures.Metres(p.DistanceM)
			}
			return figures.Decimal(p.DistanceM/u.Metres, 3) + " " + u.Name
		}),
		right("pace "+u.Per(), 0, func(p block.Part) string { return u.Pace(p.Pace()) }),
		{Column: report.Column{Head: "±", Tight: true}, Cell: func(p block.Part) report.Cell {
			if p.Role != segment.Work || !(p.DistSE > 0) {
				return report.Cell{}
			}
			return report.Cell{Text: fmt.Sprintf("±%.0f", max(1, math.Ceil(trend.Z95*p.Pace()*u.PerKm()*p.DistSE/p.DistanceM)))}
		}},
		right("heart rate", 2, func(p block.Part) string { return figures.Beats(p.HeartBPM) }),
	})
}

// sessionsTable leads to the page of each session.
func (b teller) sessionsTable(names pageNames, u figures.Unit) report.Table {
	var list []*block.Session
	for i := range b.Sessions {
		list = append(list, &b.Sessions[i])
	}
	t := report.Tabulate("", list, []report.ColumnOf[*block.Session]{
		{Column: report.Column{Head: "session"}, Cell: func(s *block.Session) report.Cell {
			text := "no date"
			if !s.Start.IsZero() {
				text = b.Calendar.Local(s.Start).Format(time.DateOnly + " 15:04")
			}
			return report.Cell{Text: text, Link: names.of(s)}
		}},
		{Column: report.Column{Head: "distance", Align: report.Right}, Cell: func(s *block.Session) report.Cell {
			return report.Cell{Text: u.Distance(s.DistanceM)}
		}},
		{Column: report.Column{Head: "time", Align: report.Right, Rank: 1}, Cell: func(s *block.Session) report.Cell {
			return report.Cell{Text: figures.Clock(s.MovingS)}
		}},
		{Column: report.Column{Head: "found", Rank: 2, Wrap: true}, Cell: func(s *block.Session) report.Cell {
			return report.Cell{Text: brief(s.Main)}
		}},
	})
	t.Title = "sessions"
	return t
}
