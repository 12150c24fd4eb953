package library

import (
	"cmp"
	"errors"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/likeness"
)

// Limits of recognition. They were set on simulated sessions and are tested on
// others.
const (
	// LeastLikeness is what a workout must reach to be the one that was run.
	LeastLikeness = 0.77
	// MostOdd is how many of its reps may be missing, and how many reps too
	// many there may be: with two it is another workout.
	MostOdd = 1
	// clearLead is by how much the likeness of the first must be above that of the
	// next for the first to be the one without doubt.
	clearLead = 0.04
)

// ErrNoSpeed says that a recording has nothing to compare.
var ErrNoSpeed = errors.New("the recording has no usable speed and too little heart rate: no workout can be recognised in it")

// A Candidate is a workout and how like it a recording is.
type Candidate struct {
	Entry    Entry
	Likeness float64 // 1 less the Distance: the share of both that corresponds
	Missing  int     // reps of the workout that were not run
	Extra    int     // reps that were run and are not in the workout
}

func (c Candidate) fits() bool {
	return c.Likeness >= LeastLikeness && max(c.Missing, c.Extra) <= MostOdd
}

// A Recognition ranks the workouts of a library for one recording.
type Recognition struct {
	Candidates []Candidate // all, the likest first; of equals the runner's own before starters of the shelf, then by name
	ByHeart    bool        // there was no speed, so times were found by heart rate
}

// A Recogniser ranks the workouts of a library for many recordings.
type Recogniser struct {
	entries []Entry
	courses []likeness.Course
	starter []int // as borrowed has it
}

// NewRecogniser prepares workouts for being compared.
func NewRecogniser(entries []Entry) Recogniser {
	r := Recogniser{entries: entries}
	for _, e := range entries {
		r.courses, r.starter = append(r.courses, likeness.CourseOf(e.Workout)), append(r.starter, borrowed(e))
	}
	return r
}

// Recognise ranks the workouts for a recording. One without speed is ranked by the
// times that its heart rate shows; ErrNoSpeed is for one that has neither.
func (by Recogniser) Recognise(s *segment.Session) (Recognition, error) { return by.rank(s, false) }

// Likely is Recognise without the workouts that cannot fit: it takes a fraction of the time, and Fitting tells the same.
func (by Recogniser) Likely(s *segment.Session) (Recognition, error) { return by.rank(s, true) }

func (by Recogniser) rank(s *segment.Session, likely bool) (Recognition, error) {
	var r Recognition
	run := likeness.CourseRun(s)
	if s.Trace.Source == signal.Nothing {
		byHeart, ok := splitByHeart(s)
		if !ok {
			return r, ErrNoSpeed
		}
		run, r.ByHeart = likeness.CourseRun(byHeart).TimesOnly(), true
	}
	var order []int
	like := make([]likeness.Comparison, len(by.entries))
	for i, c := range by.courses {
		if likely && !c.MayCorrespond(run, MostOdd) {
			continue
		}
		order, like[i] = append(order, i), c.Compare(run)
	}
	slices.SortStableFunc(order, func(a, b int) int {
		return cmp.Or(cmp.Compare(1-like[b].Distance, 1-like[a].Distance), cmp.Compare(by.starter[a], by.starter[b]), cmp.Compare(by.entries[a].Name, by.entries[b].Name))
	})
	for _, i := range order {
		r.Candidates = append(r.Candidates, Candidate{by.entries[i], 1 - like[i].Distance, like[i].Missing, like[i].Extra})
	}
	return r, nil
}

// Recognise ranks workouts for one recording (see Recogniser).
func Recognise(entries []Entry, s *segment.Session) (Recognition, error) {
	return NewRecogniser(entries).Recognise(s)
}

// borrowed is 1 for a workout that is one of the shelf unchanged, and 0 for the runner's own.
func borrowed(e Entry) int {
	if text, err := shelf.ReadFile("shelf/" + e.Name + extension); err == nil && string(text) == e.Text {
		return 1
	}
	return 0
}

// Fitting are the candidates that may be the one that was run, the likest
// first: those that fit and are less than clearLead behind the likest of them.
// None means that something else was run; one means that there is no doubt which.
func (r Recognition) Fitting() []Candidate {
	var out []Candidate
	for _, c := range r.Candidates {
		if c.fits() && (len(out) == 0 || out[0].Likeness-c.Likeness < clearLead) {
			out = append(out, c)
		}
	}
	return out
}
