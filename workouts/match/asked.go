package match

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/trend"
)

// Limits of what a plan asks of a row of reps (common practice, no source).
const (
	leastGainPct = 1.0  // of the pace, over the session: a gain surely below it is none
	askedShare   = 0.25 // of the gain asked from rep to rep that may be missing or too much
	courseShare  = 0.5  // of the change asked from the first rep to the last, likewise
)

// courseOf tells what is asked of the reps of a row, and how much: the gain from
// rep to rep, or the change from the first target to the last, s/km.
func (r *Result) courseOf(row []int) (c Course, much float64) {
	if len(row) == 0 {
		return NoCourse, 0
	}
	first, last := r.Reps[row[0]].Planned, r.Reps[row[len(row)-1]].Planned
	like, paced := true, true
	for _, i := range row {
		p := r.Reps[i].Planned
		if p.Role == segment.Work && p.Goal.Kind == workouts.QuickerGoal {
			return QuickerCourse, p.Goal.QuickerBy
		}
		like = like && p.Step == first.Step
		paced = paced && p.Goal.Kind == workouts.PaceGoal && p.Goal.EndPace == 0
	}
	switch {
	case paced && last.Goal.Pace != first.Goal.Pace && len(r.sets(row)) == 1:
		return TargetCourse, last.Goal.Pace - first.Goal.Pace
	case like:
		return EvenCourse, 0
	}
	return NoCourse, 0
}

// courses holds every row against the course that its plan asks for.
func (m *measurer) courses() {
	for _, p := range m.r.Progressions {
		switch c, much := m.r.courseOf(p.Reps); c {
		case QuickerCourse:
			m.judgeQuicker(p, much)
		case TargetCourse:
			m.judgeChange(p, much)
		case EvenCourse:
			m.judgeEven(p)
		}
	}
}

// judgeQuicker holds a row against "quicker", by so much a rep when that is said.
// What is asked is asked of each rep, so pairs decide; the trend does where they
// leave it open. What cannot be told is no departure.
func (m *measurer) judgeQuicker(p Progression, by float64) {
	var back []string
	for _, i := range p.Reps {
		if v := m.r.Reps[i].VsPrevious; v.Call == Slower {
			back = append(back, fmt.Sprintf("%s was slower than the one before by %s", m.r.name(i), m.o.difference(v.DeltaSPerKm, trend.Z95*v.SE)))
		}
	}
	most := p.ChangeMargin - p.ChangeSPerKm // the largest gain that there can be
	switch {
	case p.Call == Slower:
		m.deviate(NotQuicker, p.Reps[0], "the reps were to get quicker, but got slower over the session by %s", m.o.difference(p.ChangeSPerKm, p.ChangeMargin))
	case len(back) > 2:
		m.deviate(NotQuicker, p.Reps[0], "the reps were to get quicker, but %d of %d were slower than the one before", len(back), p.Compared)
	case len(back) > 0:
		m.deviate(NotQuicker, p.Reps[0], "the reps were to get quicker, but %s", strings.Join(back, ", and "))
	case by > 0:
		m.judgeGain(p, by)
	case p.Call != Quicker && most < leastGainPct/100*m.r.meanPace(p.Reps):
		m.deviate(NotQuicker, p.Reps[0], "the reps were to get quicker, but gained no more than %s over the session", m.o.difference(math.Max(most, 0), nan))
	case p.Call != Quicker && p.QuickerThanPrevious < p.Compared:
		m.r.warn("progression-unknown", "whether the reps got quicker, as asked, cannot be told: "+m.untold(p))
	}
}

// untold says why a trend is not called.
func (m *measurer) untold(p Progression) string {
	if p.Call == Uneven {
		return "they scatter by " + m.o.difference(p.Scatter, nan)
	}
	return "the differences are within the margin"
}

// judgeGain holds what was gained from rep to rep, as run, against what was asked.
func (m *measurer) judgeGain(p Progression, by float64) {
	var gain, variance, n float64
	for _, i := range p.Reps {
		if v := m.r.Reps[i].VsPrevious; v.With >= 0 {
			n++
		}
	}
	for _, set := range m.r.sets(p.Reps) {
		a, b := m.r.Reps[set[0]], m.r.Reps[set[len(set)-1]]
		gain += a.Pace - b.Pace
		variance += a.ownSE()*a.ownSE() + b.ownSE()*b.ownSE()
	}
	if n == 0 {
		return
	}
	gain, margin := gain/n, trend.Z95*math.Sqrt(variance)/n
	if math.Abs(gain-by) > margin+askedShare*by {
		m.deviate(NotQuicker, p.Reps[0], "the reps got quicker by %s each, where %s was asked", m.o.fine(gain, margin), m.o.difference(by, nan))
	}
}

// judgeChange holds the change from the first rep to the last against that of
// their targets.
func (m *measurer) judgeChange(p Progression, want float64) {
	if p.Of < 2 {
		return
	}
	a, b := m.r.Reps[p.Reps[0]], m.r.Reps[p.Reps[p.Of-1]]
	ran, margin := b.Pace-a.Pace, trend.Z95*math.Hypot(a.ownSE(), b.ownSE())
	if math.Abs(ran-want) <= margin+courseShare*math.Abs(want) {
		return
	}
	m.deviate(NotQuicker, p.Reps[0], "from the first rep to the last the pace was to change by %s and changed by %s",
		m.o.signed(want, nan), m.o.signed(ran, margin))
}

// judgeEven tells of a row that was to be run at one pace and was not: it changed by
// more than its targets leave room for, or scatters by more than the tolerance. Reps
// without a target may get quicker.
func (m *measurer) judgeEven(p Progression) {
	if p.Of < 3 {
		return
	}
	allowed := m.o.PaceTolerancePct / 100 * m.r.meanPace(p.Reps)
	change := allowed
	target := m.r.Reps[p.Reps[0]].Target
	if target.Kind == PaceTarget || target.Kind == BandTarget {
		allowed = target.Tolerance
		change = target.HighSPerKm - target.LowSPerKm + 2*target.Tolerance // from one edge to the other
		allowed = math.Max(allowed, change/2)
	}
	switch scatter := m.r.scatter(p.Reps); {
	case p.Call == Slower && p.ChangeSPerKm > change:
		m.deviate(Faded, p.Reps[0], "the reps got slower over the session by %s", m.o.difference(p.ChangeSPerKm, p.ChangeMargin))
	case p.Call == Quicker && -p.ChangeSPerKm > change && target.Kind == PaceTarget:
		m.deviate(UnevenReps, p.Reps[0], "the reps were to be run at one pace, but got quicker over the session by %s", m.o.difference(p.ChangeSPerKm, p.ChangeMargin))
	case p.Call == Uneven && scatter > allowed && !m.r.offTarget(p.Reps):
		m.deviate(UnevenReps, p.Reps[0], "the reps were uneven: they scatter by %s", m.o.difference(scatter, nan))
	}
}

// offTarget tells whether some rep of a row is off its own target, which says more
// than that the row is uneven.
func (r *Result) offTarget(row []int) bool {
	return slices.ContainsFunc(row, func(i int) bool { return r.Reps[i].OnTarget == Quicker || r.Reps[i].OnTarget == Slower })
}

// meanPace is the mean of the paces of a row, s/km.
func (r *Result) meanPace(row []int) float64 {
	sum := 0.0
	for _, i := range row {
		sum += r.Reps[i].Pace
	}
	return sum / float64(len(row))
}

// scatter is the standard deviation of the paces of a row, s/km, less what their
// errors explain.
func (r *Result) scatter(row []int) float64 {
	mean, ss, errors := r.meanPace(row), 0.0, 0.0
	for _, i := range row {
		d := r.Reps[i].Pace - mean
		ss, errors = ss+d*d, errors+r.Reps[i].ownSE()*r.Reps[i].ownSE()
	}
	n := float64(len(row))
	return math.Sqrt(math.Max(ss/(n-1)-errors/n, 0))
}
