package desk

import (
	"errors"
	"fmt"
	"math"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
)

// essence is what an entry says, without which session it means and what it belongs with:
// what a page shows of it.
func essence(e log.Entry) string {
	e.Clock, e.File, e.With = -1, "", ""
	return e.String()
}

// A saidForm is what the runner can say of a session, as the form has it.
type saidForm struct {
	Title, Note, Was, Effort string
	Feel                     string // "hard", "easy" or empty
	Place                    string
	Race, LeaveOut           bool

	Efforts, Places []string
	Wrong           []string // what is wrong with Was, with a caret
}

// Texts of the choices.
var placeNames = []string{string(recording.Outdoors), string(recording.Treadmill), string(recording.Track), string(recording.Trail)}

func effortNames() (out []string) {
	for n := range 21 {
		out = append(out, effortText(float64(n)/2))
	}
	return out
}

func effortText(x float64) string {
	if math.IsNaN(x) {
		return ""
	}
	return strconv.FormatFloat(x, 'f', -1, 64)
}

// saidOf fills the form with an entry; wrong is what is wrong with its workout.
func saidOf(e log.Entry, wrong error) saidForm {
	f := saidForm{Title: e.Title, Note: e.Note, Was: e.Was, Effort: effortText(e.Effort), Place: string(e.Place), Race: e.Race, LeaveOut: e.LeaveOut,
		Efforts: effortNames(), Places: placeNames}
	switch {
	case e.Hard:
		f.Feel = "hard"
	case e.Easy:
		f.Feel = "easy"
	}
	f.Wrong = carets(wrong)
	return f
}

// carets are mistakes in a text, each with its place under the text.
func carets(err error) (out []string) {
	var found workouts.Diagnostics
	switch {
	case err == nil:
		return nil
	case errors.As(err, &found):
		for _, d := range found {
			out = append(out, d.String())
		}
	default:
		out = append(out, err.Error())
	}
	return out
}

// typed puts what a form says into an entry. The error is about the workout.
func typed(e log.Entry, get func(string) string) (log.Entry, error) {
	e.Title, e.Note = strings.ReplaceAll(log.Tidy(get("title")), ";", ","), log.Tidy(get("note"))
	e.Race, e.LeaveOut = get("race") != "", get("leave-out") != ""
	e.Hard, e.Easy = get("feel") == "hard", get("feel") == "easy"
	e.Place = ""
	if slices.Contains(placeNames, get("place")) {
		e.Place = recording.Place(get("place"))
	}
	e.Effort = math.NaN()
	if x, err := strconv.ParseFloat(get("effort"), 64); err == nil && slices.Contains(effortNames(), effortText(x)) {
		e.Effort = x
	}
	was := strings.TrimSpace(get("was"))
	if was == e.Was {
		return e, nil
	}
	e.Was, e.Workout, e.Reps = was, workouts.Workout{}, nil // edges belong to what it was before
	if was == "" {
		return e, nil
	}
	w, err := notation.Parse("", was)
	switch {
	case err != nil:
		return e, err
	case len(w.Items) == 0:
		return e, errors.New("it has no steps; write for example 6 x 800m off 400m jog")
	}
	e.Was, e.Workout = notation.Print(w), w
	return e, nil
}

// saveSaid writes what the form says. When the workout in it is wrong the page is shown again
// with what was typed, and nothing is written.
func saveSaid(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	o, err := v.open()
	if err != nil {
		return err
	}
	e, wrong := typed(o.entry, get)
	if wrong != nil {
		return v.showOpened(http.StatusUnprocessableEntity, o, o.entry, saidOf(e, wrong))
	}
	return v.saveEntry(o, e, get("seen"), "What you say of "+o.title()+" is saved.")
}

// saveEntry writes what the log shall say of a session, when it still says what was shown.
func (v *visit) saveEntry(o *opened, e log.Entry, seen, words string) error {
	back := "/session/" + o.name(o.run)
	id, err := v.write(folder.Log, words, back, func(now string) (string, error) {
		return logWith(now, block.Logged(o.told, v.Calendar), o.at, e, seen)
	})
	if err != nil {
		return err
	}
	return v.goTo(back, id)
}

// logWith is a log that says of one session what an entry says. Lines that mean other sessions
// stay as they are, byte by byte. It is an error when the session's own lines do not say what
// was seen any more.
func logWith(src string, sessions []log.Session, at int, e log.Entry, seen string) (string, error) {
	l := log.Parse(folder.Log, src)
	entries, _ := l.Match(sessions)
	was := entries[at]
	if err := unchanged(essence(was), seen); err != nil {
		return "", err
	}
	lines := linesOf(l, sessions, at)
	changed := changes(was, e)
	if len(changed) == 0 {
		return src, nil
	}
	main := slices.IndexFunc(lines, func(x log.Entry) bool { return x.With == "" })
	var gone []int
	for i := range lines {
		before := lines[i].String()
		for _, c := range changed {
			c.unsay(&lines[i])
			if i == main {
				c.say(&lines[i], e)
			}
		}
		switch {
		case !lines[i].Says():
			gone = append(gone, lines[i].Line)
		case lines[i].String() != before:
			if err := l.Set(lines[i]); err != nil {
				return "", err
			}
		}
	}
	for _, line := range slices.Backward(gone) {
		l.Remove(line)
	}
	if main < 0 {
		x := newLine(sessions, at)
		for _, c := range changed {
			c.say(&x, e)
		}
		if x.Says() {
			if err := l.Set(x); err != nil {
				return "", err
			}
		}
	}
	after, _ := l.Match(sessions)
	if essence(after[at]) != essence(e) {
		return "", refusef(http.StatusConflict, "Write it into "+folder.Log+" by hand, with the file behind the day.", "No line would mean this session alone.")
	}
	return l.String(), nil
}

// newLine is a line for a session: its day, and its time where there are several that day.
func newLine(sessions []log.Session, at int) log.Entry {
	date := func(i int) time.Time {
		y, m, d := sessions[i].Start.Date()
		return time.Date(y, m, d, 0, 0, 0, 0, time.UTC)
	}
	e := log.NewEntry(date(at))
	for i := range sessions {
		if i != at && date(i).Equal(date(at)) {
			e.Clock = sessions[at].Start.Hour()*60 + sessions[at].Start.Minute()
		}
	}
	return e
}

// linesOf are the lines of a log that mean a session, in their order.
func linesOf(l log.Log, sessions []log.Session, at int) (out []log.Entry) {
	for _, x := range l.Entries() {
		one := log.Parse("", x.String())
		if found, _ := one.Match(sessions); found[at].Line > 0 {
			out = append(out, x)
		}
	}
	return out
}

// A change is a field of an entry that is said otherwise.
type change struct {
	unsay func(e *log.Entry)
	say   func(e *log.Entry, as log.Entry)
}

// changes are the fields that two entries say differently.
func changes(was, is log.Entry) (out []change) {
	field := func(differs bool, set func(e *log.Entry, as log.Entry)) {
		if differs {
			nothing := log.NewEntry(is.Day)
			out = append(out, change{func(e *log.Entry) { set(e, nothing) }, set})
		}
	}
	field(was.Race != is.Race, func(e *log.Entry, as log.Entry) { e.Race = as.Race })
	field(was.Hard != is.Hard || was.Easy != is.Easy, func(e *log.Entry, as log.Entry) { e.Hard, e.Easy = as.Hard, as.Easy })
	field(was.LeaveOut != is.LeaveOut, func(e *log.Entry, as log.Entry) { e.LeaveOut = as.LeaveOut })
	field(was.Place != is.Place, func(e *log.Entry, as log.Entry) { e.Place = as.Place })
	field(effortText(was.Effort) != effortText(is.Effort), func(e *log.Entry, as log.Entry) { e.Effort = as.Effort })
	field(was.Was != is.Was, func(e *log.Entry, as log.Entry) { e.Was, e.Workout = as.Was, as.Workout })
	field(!log.SameReps(was.Reps, is.Reps), func(e *log.Entry, as log.Entry) { e.Reps = as.Reps })
	field(was.Title != is.Title, func(e *log.Entry, as log.Entry) { e.Title = as.Title })
	field(was.Note != is.Note, func(e *log.Entry, as log.Entry) { e.Note = as.Note })
	return out
}

// lookNotation tells what is wrong with a workout as it is typed.
func lookNotation(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	text := strings.TrimSpace(get("text"))
	answer := map[string]any{"wrong": []string{}, "text": ""}
	if text != "" {
		w, err := notation.Parse("", text)
		if err != nil {
			answer["wrong"] = carets(err)
		} else {
			answer["text"] = fmt.Sprintf("Read as: %s", notation.Print(w))
		}
	}
	return v.json(answer)
}
