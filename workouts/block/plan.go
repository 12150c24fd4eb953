package block

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
)

// A Plan is a block as it was meant: weeks with a volume and sessions on days.
//
//	name: Autumn half marathon
//	starts: 2026-09-07
//
//	week 1: 45-50km
//	  tue: four-minutes-each-quicker          # a workout of the library
//	  thu: 2 x ( 5 x 400m off 200m jog ) off 800m jog
//	  sun: 8km easy
//	  sun: 30:00 easy                         # a second session of the day
//	  mon: rest
//
//	week 2: 5:00:00
//
//	2026-09-17: 10km easy                     # instead of what the day had
//
// A "#" begins a comment. Volume is a distance (km, mi) or a time, one or a
// band; a week may be without. Weeks not listed have no plan.
type Plan struct {
	Name   string
	Starts time.Time // midnight UTC of the first day of week 1
	Weeks  []PlannedWeek

	// Changes are sessions by date, which stand for all that the weeks have on
	// that date.
	Changes []PlannedSession
}

// A PlannedWeek is one week of a plan.
type PlannedWeek struct {
	Number   int // from 1
	Volume   Volume
	Sessions []PlannedSession
	line     int
}

// Line is where the week begins in the text it was read from, from 1; zero when
// it was not read.
func (w PlannedWeek) Line() int { return w.line }

// A Volume is a band of distance or time; both ends are equal for a single
// value, and zero for none.
type Volume struct {
	Low, High float64 // m, or s when InTime
	InTime    bool
	Miles     bool // written in miles
}

// A PlannedSession is a workout on a day.
type PlannedSession struct {
	Day     time.Weekday
	Date    time.Time        // midnight UTC, of a change; zero in a week
	Rest    bool             // a day off
	Name    string           // of a workout of the library; empty when it is written out
	Workout workouts.Workout // when it is written out; filled in for a name by Resolve
	line    int
	column  int
}

// Line is where the session stands in the text it was read from, from 1; zero when
// it was not read.
func (s PlannedSession) Line() int { return s.line }

// Codes of the diagnostics of a plan.
const (
	codeLine   = "block-line"
	codeHeader = "block-header"
	codeWeek   = "block-week"
	codeDay    = "block-day"
	codeName   = "block-name"
)

// mostWeeks is ten years.
const mostWeeks = 520

var (
	weekLine = regexp.MustCompile(`(?i)^week\s+(\d{1,4})\s*(?::\s*(.*))?$`)
	dateLine = regexp.MustCompile(`^(\d{4}-\d{2}-\d{2})\s*:\s*(.*)$`)
	keyLine  = regexp.MustCompile(`^([A-Za-z]+)\s*:\s*(.*)$`)
)

type planReader struct {
	file        string
	plan        Plan
	diagnostics workouts.Diagnostics
	line        int
	source      string // the line
}

// ParsePlan reads a plan; name stands for it in messages. A non-nil error is
// workouts.Diagnostics with all the mistakes found.
func ParsePlan(name, src string) (Plan, error) {
	p := planReader{file: name}
	if len(src) > workouts.MaxBytes || !utf8.ValidString(src) {
		p.line = 1
		p.fail("", codeLine, "the plan is no text of a block", fmt.Sprintf("write it as UTF-8 text of at most %d bytes", workouts.MaxBytes))
		return Plan{}, p.diagnostics
	}
	for n, line := range strings.Split(src, "\n") {
		p.line, p.source = n+1, strings.TrimRight(line, "\r")
		text, _, _ := strings.Cut(p.source, "#")
		if text = strings.TrimSpace(text); text != "" {
			p.take(text)
		}
	}
	if p.plan.Starts.IsZero() && len(p.diagnostics) == 0 {
		p.line, p.source = 1, ""
		p.fail("", codeHeader, "the plan does not say when it starts", `write a line such as "starts: 2026-09-07"`)
	}
	if len(p.diagnostics) > 0 {
		p.diagnostics.Sort()
		return Plan{}, p.diagnostics
	}
	return p.plan, nil
}

// fail reports a mistake at a part of the line; empty is all of it.
func (p *planReader) fail(part, code, message, hint string) {
	if part == "" {
		part = strings.TrimSpace(p.source)
	}
	at := max(strings.Index(p.source, part), 0)
	p.failAt(utf8.RuneCountInString(p.source[:at])+1, utf8.RuneCountInString(part), code, message, hint)
}

func (p *planReader) failAt(column, length int, code, message, hint string) {
	p.diagnostics = append(p.diagnostics, workouts.Diagnostic{File: p.file, Line: p.line, Column: column, Length: max(length, 1),
		Code: code, Message: message, Hint: hint, SourceLine: workouts.PrintableLine(p.source)})
}

// take reads one line without its comment.
func (p *planReader) take(text string) {
	if m := weekLine.FindStringSubmatch(text); m != nil {
		p.week(m[1], strings.TrimSpace(m[2]))
		return
	}
	if m := dateLine.FindStringSubmatch(text); m != nil {
		p.change(m[1], m[2])
		return
	}
	m := keyLine.FindStringSubmatch(text)
	if m == nil {
		p.fail("", codeLine, "this is no line of a plan", `lines are "starts: DATE", "week N: VOLUME", "DAY: WORKOUT" and "DATE: WORKOUT"`)
		return
	}
	key, value := strings.ToLower(m[1]), m[2]
	if day, ok := ParseWeekday(key); ok {
		p.session(day, m[1], value)
		return
	}
	switch key {
	case "name":
		if p.plan.Name != "" || len(p.plan.Weeks) > 0 {
			p.fail(m[1], codeHeader, "the name stands once, above the weeks", "")
		}
		p.plan.Name = strings.Join(strings.Fields(workouts.PrintableLine(value)), " ")
	case "starts":
		day, err := time.Parse(time.DateOnly, value)
		switch {
		case err != nil:
			p.fail(value, codeHeader, "this is no date", "write one such as 2026-09-07")
		case !p.plan.Starts.IsZero() || len(p.plan.Weeks) > 0:
			p.fail(m[1], codeHeader, "the start stands once, above the weeks", "")
		case day.Year() < 1900:
			p.fail(value, codeHeader, "nobody ran by this program then", "write one such as 2026-09-07")
		}
		p.plan.Starts = day
	default:
		hint := `lines are "name: TEXT", "starts: DATE", "week N: VOLUME" and "DAY: WORKOUT"`
		if near := workouts.Nearest(key, []string{"name", "starts", "week", "mon", "tue", "wed", "thu", "fri", "sat", "sun"}); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		p.fail(m[1], codeLine, fmt.Sprintf("unknown word %q", m[1]), hint)
	}
}

func (p *planReader) week(number, volume string) {
	w := PlannedWeek{line: p.line}
	w.Number, _ = strconv.Atoi(number)
	switch k := len(p.plan.Weeks); {
	case w.Number < 1 || w.Number > mostWeeks:
		p.fail(number, codeWeek, "weeks are numbered from 1", fmt.Sprintf("up to %d", mostWeeks))
	case k > 0 && p.plan.Weeks[k-1].Number >= w.Number:
		p.fail(number, codeWeek, fmt.Sprintf("week %d stands behind week %d", w.Number, p.plan.Weeks[k-1].Number), "weeks stand in their order, each once")
	}
	if volume != "" {
		v, ok := parseVolume(volume)
		if !ok {
			p.fail(volume, codeWeek, "this is no volume", `write a distance as 45km or 45-50km (or mi), or a time as 5:00:00 or 5h`)
		}
		w.Volume = v
	}
	p.plan.Weeks = append(p.plan.Weeks, w)
}

func (p *planReader) session(day time.Weekday, word, text string) {
	if len(p.plan.Weeks) == 0 {
		p.fail(word, codeDay, "a day without a week", `write a line such as "week 1: 45km" above it`)
		return
	}
	if text == "" {
		p.fail(word, codeDay, "a day without a workout", "write the workout, its name in the library, or rest")
		return
	}
	s := PlannedSession{Day: day}
	if !p.workout(&s, text) {
		return
	}
	last := &p.plan.Weeks[len(p.plan.Weeks)-1]
	if len(last.Sessions) == mostPlanned {
		p.fail(word, codeDay, fmt.Sprintf("more than %d sessions in a week", mostPlanned), "")
		return
	}
	last.Sessions = append(last.Sessions, s)
}

// change reads a session by date.
func (p *planReader) change(date, text string) {
	day, err := time.Parse(time.DateOnly, date)
	switch {
	case err != nil || day.Year() < 1900:
		p.fail(date, codeDay, "this is no date", "write one such as 2026-09-07")
		return
	case text == "":
		p.fail(date, codeDay, "a day without a workout", "write the workout, its name in the library, or rest")
		return
	}
	same := 0
	for _, c := range p.plan.Changes {
		if c.Date.Equal(day) {
			same++
		}
	}
	s := PlannedSession{Day: day.Weekday(), Date: day}
	switch {
	case !p.workout(&s, text):
	case same == mostPlanned:
		p.fail(date, codeDay, fmt.Sprintf("more than %d sessions on a day", mostPlanned), "")
	default:
		p.plan.Changes = append(p.plan.Changes, s)
	}
}

// restWord is a day off.
const restWord = "rest"

// workout reads what stands behind a day, and tells whether it could be read.
func (p *planReader) workout(s *PlannedSession, text string) bool {
	s.line = p.line
	colon := strings.IndexByte(p.source, ':')
	s.column = utf8.RuneCountInString(p.source[:colon+strings.Index(p.source[colon:], text)]) + 1
	if strings.EqualFold(text, restWord) {
		s.Rest = true
		return true
	}
	w, err := notation.Parse(p.file, text)
	switch {
	case err == nil:
		s.Workout = w
		return true
	case library.CheckName(text) == nil:
		s.Name = text
		return true
	}
	var found workouts.Diagnostics
	if errors.As(err, &found) {
		for _, d := range found {
			p.failAt(s.column+d.Column-1, d.Length, d.Code, d.Message, d.Hint)
		}
	} else {
		p.fail(text, codeDay, err.Error(), "")
	}
	return false
}

// String is the workout as a plan writes it.
func (s PlannedSession) String() string {
	if s.Rest {
		return restWord
	}
	if s.Name != "" {
		return s.Name
	}
	return notation.Print(s.Workout)
}

// DayWord is a day of the week in three letters: mon.
func DayWord(d time.Weekday) string { return strings.ToLower(d.String()[:3]) }

// Resolve looks up the workouts that the plan names. The error is
// workouts.Diagnostics that point into src, the text of the plan.
func (p *Plan) Resolve(name, src string, entries []library.Entry) error {
	var found workouts.Diagnostics
	var names []string
	for _, e := range entries {
		names = append(names, e.Name)
	}
	lines := strings.Split(src, "\n")
	var all []*PlannedSession
	for i := range p.Weeks {
		for j := range p.Weeks[i].Sessions {
			all = append(all, &p.Weeks[i].Sessions[j])
		}
	}
	for i := range p.Changes {
		all = append(all, &p.Changes[i])
	}
	for _, s := range all {
		if s.Name == "" {
			continue
		}
		k := slices.Index(names, s.Name)
		if k >= 0 {
			s.Workout = entries[k].Workout
			continue
		}
		hint := "rungs library list tells the names; --library says which library"
		if near := workouts.Nearest(s.Name, names); near != "" {
			hint = fmt.Sprintf("did you mean %q?", near)
		}
		line := ""
		if s.line >= 1 && s.line <= len(lines) {
			line = strings.TrimRight(lines[s.line-1], "\r")
		}
		found = append(found, workouts.Diagnostic{File: name, Line: s.line, Column: s.column, Length: utf8.RuneCountInString(s.Name),
			Code: codeName, Message: fmt.Sprintf("the library has no workout %q", s.Name), Hint: hint, SourceLine: workouts.PrintableLine(line)})
	}
	if len(found) > 0 {
		return found
	}
	return nil
}
