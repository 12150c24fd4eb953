// Package planfile changes the text of a planned block: it puts a session on a day,
// moves it, or takes it away. Nothing else of the text changes, not a comment, a
// blank or the kind of its line ends: the file is its owner's, who may write it by hand
// as well.
package planfile

import (
	"cmp"
	"errors"
	"fmt"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
)

// Reasons for refusing a change, for errors.Is.
var (
	ErrBefore  = errors.New("is before the plan starts")
	ErrRest    = errors.New("a day of rest has nothing else")
	ErrAside   = errors.New("lines by date count only in weeks that the plan lists")
	ErrGone    = errors.New("there is no such session on the day")
	ErrWorkout = errors.New("is no workout for a line of a plan")
)

// A Text is the text of a planned block that can be read. It does not change;
// Put, Move and Take give another one.
type Text struct {
	name  string
	lines []string // each with its line end, which the last one may lack
	Plan  block.Plan
}

// Read reads the text of a planned block; name stands for it in messages. The error is
// workouts.Diagnostics, as block.ParsePlan has it.
func Read(name, src string) (Text, error) {
	plan, err := block.ParsePlan(name, src)
	if err != nil {
		return Text{}, err
	}
	return Text{name: name, lines: slices.Collect(strings.Lines(src)), Plan: plan}, nil
}

// String is the text, to the byte.
func (t Text) String() string { return strings.Join(t.lines, "") }

// Put plans a session on a date, midnight UTC, behind what the day has. The workout is
// one in the notation, the name of one in the library, or "rest".
//
// Where the date has changes of its own, it becomes a further one; else it is a line of
// the week, which is begun when the plan does not list it yet. The error is ErrBefore,
// ErrRest, ErrAside, ErrWorkout, or workouts.Diagnostics where the workout or what comes of the text
// is at fault.
func (t Text) Put(day time.Time, workout string) (Text, error) {
	workout = strings.TrimSpace(workout)
	if err := check(workout); err != nil {
		return Text{}, err
	}
	return t.put(day, " "+workout, strings.EqualFold(workout, "rest"))
}

// check tells what keeps a workout from being one in a line.
func check(workout string) error {
	switch {
	case workout == "" || strings.ContainsAny(workout, "\r\n#") || !utf8.ValidString(workout):
		return fmt.Errorf("%q: %w; write it on one line, without a comment", workout, ErrWorkout)
	case strings.EqualFold(workout, "rest"):
		return nil
	}
	_, err := notation.Parse("", workout)
	if err != nil && library.CheckName(workout) == nil {
		return nil
	}
	return err
}

// put is Put with what stands behind the colon of the line.
func (t Text) put(day time.Time, behind string, rest bool) (Text, error) {
	number := t.Plan.WeekOf(day)
	if number < 1 {
		return Text{}, fmt.Errorf("%s %w, on %s; plan a later day", day.Format(time.DateOnly), ErrBefore, t.Plan.Starts.Format(time.DateOnly))
	}
	for _, s := range t.Plan.On(day) {
		if s.Rest || rest {
			return Text{}, fmt.Errorf("%s: %w; take away what the day has first", day.Format("Mon 2 Jan 2006"), ErrRest)
		}
	}
	word := block.DayWord(day.Weekday()) + ":"
	for _, w := range t.Plan.Weeks {
		if w.Number != number {
			continue
		}
		if line := t.lastChange(day); line > 0 {
			return t.insert(line, t.indent(line)+day.Format(time.DateOnly)+":"+behind)
		}
		line, indent := t.behind(w, day.Weekday())
		return t.insert(line, indent+word+behind)
	}
	for _, c := range t.Plan.Changes {
		if t.Plan.WeekOf(c.Date) == number { // which would count from now on
			return Text{}, fmt.Errorf("line %d: %w; write \"week %d\" in the text, or take the line out", c.Line(), ErrAside, number)
		}
	}
	return t.insert(t.before(number), "", fmt.Sprintf("week %d", number), unit+word+behind)
}

// unit is how far sessions stand in, where no other one shows it.
const unit = "  "

// lastChange is the line of the last change of a date, 0 for none.
func (t Text) lastChange(day time.Time) (line int) {
	for _, c := range t.Plan.Changes {
		if c.Date.Equal(day) {
			line = max(line, c.Line())
		}
	}
	return line
}

// behind is the line that a session of the day goes behind: the last one of its week for
// that day or an earlier one, else the head of the week. Indent is how far it stands in.
func (t Text) behind(w block.PlannedWeek, day time.Weekday) (line int, indent string) {
	order := func(d time.Weekday) int { return int(d-t.Plan.Starts.Weekday()+7) % 7 }
	line, indent = w.Line(), unit
	for i, s := range w.Sessions {
		if i == 0 || order(s.Day) <= order(day) {
			indent = t.indent(s.Line())
		}
		if order(s.Day) <= order(day) {
			line = s.Line()
		}
	}
	return line, indent
}

// before is the line that a new week goes behind: the last one of the weeks before it,
// else the last one that says something above all weeks.
func (t Text) before(number int) (line int) {
	first := len(t.lines) + 1
	for _, w := range t.Plan.Weeks {
		if w.Number > number {
			first = min(first, w.Line())
			continue
		}
		line = w.Line()
		for _, s := range w.Sessions {
			line = max(line, s.Line())
		}
	}
	if line > 0 {
		return line
	}
	for n := 1; n < first; n++ {
		if text, _, _ := strings.Cut(t.lines[n-1], "#"); strings.TrimSpace(text) != "" {
			line = n
		}
	}
	return line
}

// indent is the blank in front of a line.
func (t Text) indent(line int) string {
	s := t.lines[line-1]
	return s[:len(s)-len(strings.TrimLeft(s, " \t"))]
}

// Take takes the session of an index, from 0, off a date, as Plan.On counts them, with
// the comment on its line. With the last change of a date, what the week has on that day
// comes back. The error is ErrGone.
func (t Text) Take(day time.Time, index int) (Text, error) {
	s, err := t.find(day, index)
	if err != nil {
		return Text{}, err
	}
	return t.remove(s.Line())
}

// Move is Take and Put at once; the comment on the line stays with the session. To the
// same day nothing changes.
func (t Text) Move(day time.Time, index int, to time.Time) (Text, error) {
	s, err := t.find(day, index)
	switch {
	case err != nil:
		return Text{}, err
	case day.Equal(to):
		return t, nil
	}
	_, behind, _ := strings.Cut(strings.TrimRight(t.lines[s.Line()-1], "\r\n"), ":")
	without, err := t.remove(s.Line())
	if err != nil {
		return Text{}, err
	}
	return without.put(to, behind, s.Rest)
}

func (t Text) find(day time.Time, index int) (block.PlannedSession, error) {
	if on := t.Plan.On(day); index >= 0 && index < len(on) {
		return on[index], nil
	}
	return block.PlannedSession{}, fmt.Errorf("%s: %w; look at the plan again", day.Format("Mon 2 Jan 2006"), ErrGone)
}

// insert puts lines behind the one of a number. A text that ends without a line end still
// does.
func (t Text) insert(behind int, texts ...string) (Text, error) {
	end := lineEnd(t.lines[behind-1])
	if end == "" {
		end = cmp.Or(lineEnd(t.lines[0]), "\n")
	}
	lines := slices.Clone(t.lines)
	for i := range texts {
		texts[i] += end
	}
	if last := lines[behind-1]; !strings.HasSuffix(last, "\n") {
		lines[behind-1] += end
		texts[len(texts)-1] = strings.TrimSuffix(texts[len(texts)-1], end)
	}
	return Read(t.name, strings.Join(slices.Insert(lines, behind, texts...), ""))
}

// remove takes a line away, and the line end before the last one when that has none.
func (t Text) remove(line int) (Text, error) {
	lines := slices.Clone(t.lines)
	if line > 1 && !strings.HasSuffix(lines[line-1], "\n") {
		lines[line-2] = strings.TrimSuffix(lines[line-2], lineEnd(lines[0]))
	}
	return Read(t.name, strings.Join(slices.Delete(lines, line-1, line), ""))
}

func lineEnd(line string) string {
	switch {
	case strings.HasSuffix(line, "\r\n"):
		return "\r\n"
	case strings.HasSuffix(line, "\n"):
		return "\n"
	}
	return ""
}
