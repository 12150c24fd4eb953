package library

import (
	"fmt"
	"slices"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/match"
)

// A Historian collects the history of one workout.
type Historian struct {
	history History
	all     Recogniser // of the workouts of the library, that of the history first
	athlete athlete.Athlete
}

// NewHistorian starts a history of an entry among all entries of its library,
// which may be closer to a recording. The odometer is taken to differ from run
// to run by a standard deviation in percent, mostly OdometerPct.
func NewHistorian(of Entry, all []Entry, a athlete.Athlete, odometerPct float64) *Historian {
	others := slices.DeleteFunc(slices.Clone(all), func(e Entry) bool { return e.Name == of.Name })
	return &Historian{history: History{Entry: of, OdometerPct: odometerPct}, athlete: a, all: NewRecogniser(append([]Entry{of}, others...))}
}

// Add takes a session in when it is one of the workout, and tells whether it
// is. It does not keep the session.
func (h *Historian) Add(s *segment.Session) (bool, error) {
	t, err := h.Try(s)
	if err != nil {
		return false, err
	}
	h.Take(s.Recording.Name, t)
	return t.Is, nil
}

// A Trial is what a session shows of the workout of a history. It depends on nothing but
// the session, the library and the athlete, so it can be kept (see Historian.Key).
type Trial struct {
	Is       bool                // it is one
	NoSpeed  bool                // it seems to be one by its heart rate, without speed to compare
	Also     string              // a workout of the library that it fits as well; empty for none
	Warnings []recording.Warning // about the plan
	Run      Run                 // when it is one
}

// Try tells what a session shows of the workout. The history stays as it is, so that
// several may be tried at once.
func (h *Historian) Try(s *segment.Session) (t Trial, err error) {
	of := h.history.Entry
	r, err := h.all.Likely(s)
	if err != nil {
		return t, err
	}
	likeness := 0.0
	for _, c := range r.Fitting() {
		switch {
		case c.Entry.Name == of.Name:
			t.Is, likeness = true, c.Likeness
		case t.Also == "":
			t.Also = c.Entry.Name
		}
	}
	if t.NoSpeed = t.Is && r.ByHeart; !t.Is || t.NoSpeed {
		t.Is = false
		return t, nil
	}
	plan, warnings := h.athlete.Resolve(of.Workout)
	result, err := match.Check(plan, s, match.Options{})
	if err != nil {
		return Trial{}, err
	}
	t.Warnings, t.Run = warnings, runOf(result)
	t.Run.Start, t.Run.Place, t.Run.Likeness = s.Recording.Start, s.Recording.Place, likeness
	t.Run.ElapsedS = s.Recording.Duration()
	return t, nil
}

// Take takes in what a recording of a name showed.
func (h *Historian) Take(name string, t Trial) {
	if t.NoSpeed {
		h.warn(RunNoSpeed, "%s may be one by its heart rate, but has no speed to compare", name)
	}
	if !t.Is {
		return
	}
	for _, w := range t.Warnings {
		if !slices.ContainsFunc(h.history.Warnings, func(x recording.Warning) bool { return x.Code == w.Code && x.Message == w.Message }) {
			h.history.Warnings = append(h.history.Warnings, w)
		}
	}
	if t.Also != "" {
		h.warn(RunDoubtful, "%s fits %s as well", name, t.Also)
	}
	t.Run.Name = name
	h.history.Runs = append(h.history.Runs, t.Run)
}

// farFrom is how far below LeastLikeness the sums of a session may bring a workout for a
// closer look to be worth it: sums have the margins of paces by the kind of place alone. On
// 253 simulated and open recordings against the shelf the two likenesses differed by at most
// 0.024 (TestSumsTellWorkouts of block).
const farFrom = 0.1

// Worth tells whether a run may be one of the workout by Try, by its course as its sums have it.
func (h *Historian) Worth(run likeness.Course) bool {
	of := h.all.courses[0]
	if !of.MayCorrespond(run, MostOdd+1) {
		return false
	}
	c := of.Compare(run)
	return 1-c.Distance >= LeastLikeness-farFrom && max(c.Missing, c.Extra) <= MostOdd+1
}

// Key stands for all that a Trial depends on besides the session.
func (h *Historian) Key() string {
	var b strings.Builder
	for _, e := range h.all.entries {
		fmt.Fprintf(&b, "%q %q\n", e.Name, e.Text)
	}
	a := h.athlete
	race := a.Race
	a.Race = nil // a pointer
	fmt.Fprintf(&b, "%+v", a)
	if race != nil {
		fmt.Fprintf(&b, " %+v", *race)
	}
	return b.String()
}
