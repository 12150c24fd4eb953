package desk

import (
	"fmt"
	"math"
	"net/http"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/session"
)

// repsTyped reads the reps that a form has: pairs of from and to, of which empty ones are none.
func repsTyped(r *http.Request) ([]recording.Span, error) {
	from, to := r.PostForm["from"], r.PostForm["to"]
	var words []string
	for i := range from {
		a, b := strings.TrimSpace(from[i]), ""
		if i < len(to) {
			b = strings.TrimSpace(to[i])
		}
		if a != "" || b != "" {
			words = append(words, a+"-"+b)
		}
	}
	if len(words) == 0 {
		return []recording.Span{}, nil
	}
	reps, _, err := log.ParseReps(strings.Join(words, " "))
	if err != nil {
		return nil, refusef(http.StatusBadRequest, "Write times from the start on, such as 15:02 and 19:02, in the order of the reps; leave both empty for no rep.",
			"%s", figures.Sentence(err.Error()))
	}
	return reps, nil
}

// tryReps gives the parts of a session as they would be with the reps of a form. Nothing is
// written.
func tryReps(v *visit) error {
	o, e, err := v.withReps()
	if err != nil {
		return err
	}
	s, err := o.as(e)
	if err != nil {
		return err
	}
	return v.json(partsOf(s, o.athlete))
}

// withReps opens a session, and gives what the log would say of it with the reps of a form.
func (v *visit) withReps() (*opened, log.Entry, error) {
	if _, err := v.form(); err != nil {
		return nil, log.Entry{}, err
	}
	o, err := v.open()
	if err != nil {
		return nil, log.Entry{}, err
	}
	e := o.entry
	if e.Reps, err = repsTyped(v.r); err != nil {
		return nil, e, err
	}
	if v.r.PostForm.Get("was") == "no" || e.Was != "" && repsIn(e) != len(e.Reps) {
		e.Was = "" // of so many reps it was not
	}
	return o, e, nil
}

// repsIn is how many reps the workout of an entry has.
func repsIn(e log.Entry) (n int) {
	for _, p := range e.Workout.Expand() {
		if p.Role == segment.Work {
			n++
		}
	}
	return n
}

// saveReps writes the reps of a form into the log, unless they are read there without being told.
func saveReps(v *visit) error {
	o, e, err := v.withReps()
	if err != nil {
		return err
	}
	plain := e
	plain.Reps = nil
	if log.SameReps(e.Reps, correct.Told(o.plain(o.base, plain), plain).Reps()) {
		e = plain
	}
	return v.saveEntry(o, e, v.r.PostForm.Get("seen"), "The reps of "+o.title()+" are saved.")
}

// A readingRow is a reading to choose.
type readingRow struct {
	Key     string // of the form
	What    string // the notation, or words
	Reps    string // as the log writes them
	Percent string
	Now     bool // the session is read so
}

// keyOfReading is how a form names a reading: by its reps.
func keyOfReading(s *segment.Session) string { return token(log.FormatReps(s.Reps())) }

// readingRows are the readings that the model thinks possible, the most probable first, and
// which of them is the session as it is read now.
func readingRows(o *opened, now *segment.Session) (rows []readingRow) {
	for _, r := range o.base.Readings() {
		rows = append(rows, readingRow{
			Key: keyOfReading(r.Session), What: readingText(o, r.Session), Reps: log.FormatReps(r.Session.Reps()),
			Percent: probability(r.Probability), Now: segment.SameReps(r.Session.Reps(), now.Reps()),
		})
	}
	return rows
}

// probability is a probability in words: nothing is quite sure.
func probability(p float64) string {
	switch {
	case p > 0.99:
		return "over 99 %"
	case p < 0.01:
		return "under 1 %"
	}
	return figures.Percent(p)
}

// readingText is a reading in the notation, or that it is none.
func readingText(o *opened, s *segment.Session) string {
	if text := session.Found(s, session.Options{Miles: o.athlete.Miles}); text != "" {
		return report.Safe(text)
	}
	return "no reps: one run"
}

// saveReading writes a reading that was chosen into the log: as what it was, where that is
// read again as the same reps, else with these. The reading that is made without the log takes
// what the log said back.
func saveReading(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	o, err := v.open()
	if err != nil {
		return err
	}
	for i, r := range o.base.Readings() {
		if keyOfReading(r.Session) != get("reading") {
			continue
		}
		e := o.entry
		e.Was, e.Reps = "", nil
		if i > 0 {
			e = o.chosen(e, r.Session)
		}
		return v.saveEntry(o, e, get("seen"), fmt.Sprintf("%s is read as: %s.", o.title(), readingText(o, r.Session)))
	}
	return refusef(http.StatusConflict, "Look at the session as it is now, and choose again.", "The reading that was chosen is none of this session any more.")
}

// chosen is what the log says when a reading was chosen.
func (o *opened) chosen(e log.Entry, s *segment.Session) log.Entry {
	reps := s.Reps()
	if len(reps) == 0 {
		e.Reps = reps
		return e
	}
	text := session.Found(s, session.Options{Miles: o.athlete.Miles})
	if w, err := notation.Parse("", text); err == nil && len(w.Items) > 0 && !strings.ContainsAny(text, ";#") {
		e.Was, e.Workout = text, w
		if segment.SameReps(correct.Told(o.plain(o.base, e), e).Reps(), reps) {
			return e
		}
	}
	e.Was, e.Reps = "", reps
	return e
}

// A trace is what the script draws: the speed, and how far the recording goes.
type trace struct {
	EndS   float64    `json:"end_s"`
	EveryS float64    `json:"every_s"`
	Speed  []*float64 `json:"speed"` // km/h or mi/h, every so many seconds; null where it is not known
	Unit   string     `json:"unit"`
	Heart  []*float64 `json:"heart"` // beats/min; null where it is not known; empty without
}

// mostPoints is how many points of a trace are sent: more than a screen is wide.
const mostPoints = 8000

// showTrace gives the speed of a session second by second, or in means where it is long.
func showTrace(v *visit) error {
	o, err := v.open()
	if err != nil {
		return err
	}
	u := figures.UnitOf(o.athlete.Miles)
	tr := o.base.Trace
	every := 1 + tr.Len()/mostPoints
	t := trace{EndS: o.base.Recording.Duration(), EveryS: float64(every), Unit: u.Name + "/h", Speed: []*float64{}, Heart: []*float64{}}
	if tr.Source != signal.Nothing {
		t.Speed = means(tr.Speed, every, 3600/u.Metres)
	}
	if tr.HeartRate != nil {
		t.Heart = means(tr.HeartRate, every, 1)
	}
	return v.json(t)
}

// means are the means of every so many values, times a factor, to two decimals.
func means(x []float64, every int, factor float64) []*float64 {
	out := []*float64{}
	for lo := 0; lo < len(x); lo += every {
		sum, n := 0.0, 0
		for _, y := range x[lo:min(lo+every, len(x))] {
			if figures.Known(y) {
				sum, n = sum+y, n+1
			}
		}
		if n == 0 {
			out = append(out, nil)
			continue
		}
		y := math.Round(100*factor*sum/float64(n)) / 100
		out = append(out, &y)
	}
	return out
}
