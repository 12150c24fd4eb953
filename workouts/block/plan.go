package block

import (
	"errors"
	"fmt"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
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
//	  sun: 1:30:00 easy
//
//	week 2: 5:00:00
//
// A "#" begins a comment. Volume is a distance (km, mi) or a time, one or a
// band; a week may be without. Weeks not listed have no plan.
type Plan struct {
	Name   string
	Starts time.Time // midnight UTC of the first day of week 1
	Weeks  []PlannedWeek
}

// A PlannedWeek is one week of a plan.
type PlannedWeek struct {
	Number   int // from 1
	Volume   Volume
	Sessions []PlannedSession
}

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
	Name    string           // of a workout of the library; empty when it is written out
	Workout workouts.Workout // when it is written out; filled in for a name by Resolve
	line    int
	column  int
}

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
	m := keyLine.FindStringSubmatch(text)
	if m == nil {
		p.fail("", codeLine, "this is no line of a plan", `lines are "starts: DATE", "week N: VOLUME" and "DAY: WORKOUT"`)
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
	w := PlannedWeek{}
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
		p.fail(word, codeDay, "a day without a workout", "write the workout, or its name in the library; leave days off out")
		return
	}
	column := utf8.RuneCountInString(p.source[:strings.Index(p.source, text)]) + 1
	s := PlannedSession{Day: day, line: p.line, column: column}
	w, err := notation.Parse(p.file, text)
	switch {
	case err == nil:
		s.Workout = w
	case library.CheckName(text) == nil:
		s.Name = text
	default:
		var found workouts.Diagnostics
		if errors.As(err, &found) {
			for _, d := range found {
				p.failAt(column+d.Column-1, d.Length, d.Code, d.Message, d.Hint)
			}
		} else {
			p.fail(text, codeDay, err.Error(), "")
		}
		return
	}
	last := &p.plan.Weeks[len(p.plan.Weeks)-1]
	if len(last.Sessions) == mostPlanned {
		p.fail(word, codeDay, fmt.Sprintf("more than %d sessions in a week", mostPlanned), "")
		return
	}
	last.Sessions = append(last.Sessions, s)
}

var volumeText = regexp.MustCompile(`^([0-9.:]+)\s*(?:-\s*([0-9.:]+)\s*)?(km|mi|h)?$`)

func parseVolume(s string) (v Volume, ok bool) {
	m := volumeText.FindStringSubmatch(s)
	if m == nil {
		return v, false
	}
	unit := 0.0
	switch m[3] {
	case "km":
		unit = 1000
	case "mi":
		unit, v.Miles = figures.MetresPerMile, true
	case "h":
		unit, v.InTime = 3600, true
	default:
		v.InTime = true
	}
	one := func(text string) float64 {
		if m[3] == "" {
			t, err := workouts.ParseClock(text)
			if err != nil {
				return math.NaN()
			}
			return t
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return math.NaN()
		}
		return math.Round(x*1000) / 1000 * unit
	}
	v.Low = one(m[1])
	if v.High = v.Low; m[2] != "" {
		v.High = one(m[2])
	}
	most := workouts.MaxMetres
	if v.InTime {
		most = workouts.MaxSeconds
		v.Low, v.High = math.Round(v.Low), math.Round(v.High)
	}
	return v, v.Low > 0 && v.High >= v.Low && v.High <= most
}

// String is the volume as a plan writes it.
func (v Volume) String() string {
	one := func(x float64) string {
		switch {
		case v.InTime:
			return figures.Sum(x)
		case v.Miles:
			x /= figures.MetresPerMile
		default:
			x /= 1000
		}
		return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64)
	}
	s := one(v.Low)
	if v.High != v.Low {
		s += "-" + one(v.High)
	}
	switch {
	case v.Low == 0:
		return ""
	case v.InTime:
		return s
	case v.Miles:
		return s + "mi"
	}
	return s + "km"
}

// String is the workout as a plan writes it.
func (s PlannedSession) String() string {
	if s.Name != "" {
		return s.Name
	}
	return notation.Print(s.Workout)
}

// String prints the plan in its canonical form, which ParsePlan reads back.
func (p Plan) String() string {
	var b strings.Builder
	if p.Name != "" {
		fmt.Fprintf(&b, "name: %s\n", p.Name)
	}
	fmt.Fprintf(&b, "starts: %s\n", p.Starts.Format(time.DateOnly))
	for _, w := range p.Weeks {
		fmt.Fprintf(&b, "\nweek %d", w.Number)
		if v := w.Volume.String(); v != "" {
			fmt.Fprintf(&b, ": %s", v)
		}
		b.WriteByte('\n')
		for _, s := range w.Sessions {
			fmt.Fprintf(&b, "  %s: %s\n", DayWord(s.Day), s)
		}
	}
	return b.String()
}

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
	for i := range p.Weeks {
		for j := range p.Weeks[i].Sessions {
			s := &p.Weeks[i].Sessions[j]
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
	}
	if len(found) > 0 {
		return found
	}
	return nil
}
