package match

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// Limits of the verdict. They were set on simulated sessions and are tested on
// other ones.
const (
	leastFidelity = 0.6  // mean credit of the planned reps below which it was some other session
	endedCredit   = 0.42 // of a rep left out at the end, as when a session is cut short
	missedCredit  = -0.5 // of a rep left out before others were run
	mergedShare   = 0.35 // of the credit of a rep run into the next one without its recovery
	lostRatio     = 1.35 // a rep this much too long or short earns nothing
	typicalPct    = 6.0  // a typical drift that still says nothing against the session
	shiftPct      = 3.0  // off the session's own typical drift that a rep may be
	lostShiftPct  = 10.0 // off that, a rep earns nothing

	untargetedShare     = 1.5   // reps without a target may differ this much more
	restRatio           = 1.3   // a recovery this much too long or short takes nothing from its rep
	restCost            = 0.5   // of the credit for every further factor of e
	leastRestShare      = 0.4   // of the credit that a recovery leaves its rep
	easyRatio           = 1.5   // an easy run this much too long or short is another run
	lostDriftPct        = 18.0  // a typical drift from target beyond which it was not this session
	brokenShare         = 0.25  // of a rep run at recovery speed, beyond which it is no rep
	leastContrast       = 1.10  // speed of work over the speed of the rest of the run
	leastWithRests      = 1.04  // the same, of a plan whose recoveries show that there is a pattern
	leastRestContrast   = 1.12  // of the reps over the recoveries between them
	leastFloatContrast  = 1.025 // of the reps over recoveries of any kind
	leastUnseenContrast = 1.045 // the same, where a split without the plan saw no work
	leastUnseen         = 0.8   // fidelity, likewise
	endCost             = 0.05  // of a warm-up or cool-down that is not there
	leastFollow         = 0.35  // of a change of target that a change of pace must follow
	leastSpreadPct      = 3.0   // by which targets must differ for that to count
)

// different tells why the session cannot be the planned one; empty when it can.
func (m *measurer) different() string {
	var drifts []float64
	planned, extra, merged, rests, run := 0, 0, 0, 0, 0
	plannedS, extraS := 0.0, 0.0
	last := -1 // the last planned rep that was run
	for i, rep := range m.r.Reps {
		if rep.Step < 0 {
			extra++
			extraS += rep.Seconds()
			continue
		}
		planned++
		t := m.lay.task(rep.Step)
		switch {
		case rep.Outcome == Missed:
			plannedS += t.seconds()
		case t.open:
			plannedS += rep.Seconds()
		default: // the time its amount takes at the pace it was run
			plannedS += rep.Seconds() * t.amount / math.Max(t.amount+rep.AmountDrift, 1)
		}
		if rep.Outcome != Missed {
			run++
			last = i
		}
		if !math.IsNaN(rep.DriftPct) {
			drifts = append(drifts, rep.DriftPct)
		}
		if rec := rep.Recovery; rec != nil && rec.Step >= 0 && i+1 < len(m.r.Reps) && restful(m.lay.task(rec.Step).planned) {
			rests++
			if rep.Merged {
				merged++
			}
		}
	}
	if planned == 0 {
		return m.differentWithoutWork()
	}
	typical := median(drifts)
	paces := m.typicalPaces()
	credit := 0.0
	for i, rep := range m.r.Reps {
		if rep.Step < 0 {
			continue
		}
		// What one rep is off cannot be told from what the session is off.
		off, lost := rep.DriftPct-typical*float64(len(drifts)-1)/math.Max(float64(len(drifts)), 1), lostShiftPct
		if len(drifts) == 1 {
			lost = lostDriftPct
		}
		if math.IsNaN(off) && rep.Target.Kind != QuickerTarget {
			off = (100*rep.Pace/paces[rep.Planned.Step] - 100) / untargetedShare
		}
		credit += m.credit(rep, i < last, math.Abs(off), lost)
	}
	contrast, least := m.contrast(), leastContrast
	if m.restsPlanned() {
		least = leastWithRests
	}
	fidelity := credit/float64(planned) - extraS/math.Max(plannedS, 1)
	for _, st := range m.r.Steps {
		if st.Outcome == Missed && (st.Planned.Role == segment.Warm || st.Planned.Role == segment.Cool) {
			fidelity -= endCost
		}
	}
	if off := math.Abs(typical); off > typicalPct && !m.offPace {
		fidelity *= 1 - (off-typicalPct)/(3*lostDriftPct)
	}
	switch {
	case run == 0:
		return fmt.Sprintf("none of the %d planned reps was run", planned)
	case m.offPace && m.doneReps() < planned:
		return fmt.Sprintf("the reps were typically %.0f %% off their target pace, and not all of their planned length", math.Abs(typical))
	case math.Abs(typical) > lostDriftPct && !m.offPace:
		return fmt.Sprintf("the reps were typically %.0f %% off their target pace", math.Abs(typical))
	case merged*2 > rests && (rests > 1 || contrast < least), merged*3 > rests && merged >= 3:
		return "the run has no recoveries where the plan has them"
	case m.noRests():
		return "the recoveries are hardly slower than the reps"
	case contrast < least:
		return "the planned work is not quicker than the rest of the run"
	case rests == 0 && m.flat():
		return "the pace does not change where the plan changes it"
	case fidelity < leastFidelity, fidelity < leastUnseen && m.nothingSeen():
		return fmt.Sprintf("too little fits: %d of %d planned reps were run as they were meant, and %d more", m.doneReps(), planned, extra)
	}
	return ""
}

// flat tells whether the reps of a plan whose targets differ were run without
// regard to that: their paces rise by less than leastFollow for every second
// that the targets do. In a plan without recoveries nothing else shows it.
func (m *measurer) flat() bool {
	var want, ran []float64
	for _, rep := range m.r.Reps {
		if rep.Outcome != Missed && !math.IsNaN(rep.Drift) && !math.IsInf(rep.Pace, 0) {
			want, ran = append(want, (rep.Target.LowSPerKm+rep.Target.HighSPerKm)/2), append(ran, rep.Pace)
		}
	}
	if len(want) < 2 || slices.Max(want) < (1+leastSpreadPct/100)*slices.Min(want) {
		return false
	}
	_, slope := stat.LinearRegression(want, ran, nil, false)
	return slope < leastFollow
}

// typicalPaces is the median pace of the reps of each step, s/km.
func (m *measurer) typicalPaces() map[workouts.Step]float64 {
	all := map[workouts.Step][]float64{}
	for _, rep := range m.r.Reps {
		if rep.Step >= 0 && rep.Outcome != Missed {
			all[rep.Planned.Step] = append(all[rep.Planned.Step], rep.Pace)
		}
	}
	out := map[workouts.Step]float64{}
	for k, v := range all {
		out[k] = median(v)
	}
	return out
}

// credit is how far a rep is the planned one, from 0 to 1; negative for one
// left out before others were run. Off is how far its pace is from what the
// session as a whole leads one to expect, percent: all reps a little too slow
// are still the planned ones. Off by lost, a rep earns nothing.
func (m *measurer) credit(rep Rep, before bool, off, lost float64) float64 {
	switch {
	case rep.Outcome == Missed && before:
		return missedCredit
	case rep.Outcome == Missed:
		return endedCredit
	case m.slowShare(rep) > brokenShare:
		return 0
	}
	c := 1.0
	if rep.Outcome != Done {
		c = math.Max(0, 1-m.offAmount(rep.Step, rep.AmountDrift)/math.Log(lostRatio))
	}
	if off > shiftPct && total(rep.Interruptions) == 0 {
		c *= math.Max(0, 1-(off-shiftPct)/(lost-shiftPct))
	}
	switch rec := rep.Recovery; {
	case rep.Merged:
		c *= mergedShare
	case rec != nil && rec.Step >= 0 && (rec.Outcome == Short || rec.Outcome == Long):
		c *= math.Max(leastRestShare, 1-restCost*math.Max(0, m.offAmount(rec.Step, rec.AmountDrift)-math.Log(restRatio)))
	}
	return c
}

// offAmount is the logarithm of how many times too long or too short a step was.
func (m *measurer) offAmount(step int, drift float64) float64 {
	a := m.lay.task(step).amount
	return math.Abs(math.Log(math.Max(a+drift, 0.01*a) / a))
}

func (m *measurer) doneReps() int {
	n := 0
	for _, rep := range m.r.Reps {
		if rep.Outcome == Done && m.slowShare(rep) <= brokenShare {
			n++
		}
	}
	return n
}

// slowShare is the share of a rep's time, stops aside, spent well below the
// speed of the rep's own quicker half.
func (m *measurer) slowShare(rep Rep) float64 {
	var v []float64
	for i := max(0, int(rep.StartS)+3); i < int(rep.EndS)-3 && i < m.sp.n; i++ {
		if m.sp.halt[i+1] == m.sp.halt[i] {
			v = append(v, m.sp.smooth[i])
		}
	}
	if len(v) == 0 {
		return 0
	}
	slices.Sort(v)
	limit := 0.82 * v[len(v)*3/4]
	k, _ := slices.BinarySearch(v, limit)
	return float64(k) / float64(len(v))
}

// contrast is the speed of the planned work over that of the rest of the run;
// +Inf when there is no rest to speak of.
func (m *measurer) contrast() float64 {
	var d, t float64
	for _, rep := range m.r.Reps {
		if rep.Outcome != Missed {
			d, t = d+m.sp.at(rep.EndS)-m.sp.at(rep.StartS), t+rep.Seconds()
		}
	}
	n := float64(m.sp.n)
	if rest := n - t; t > 0 && rest > 0.1*n && rest > 60 {
		return d / t / math.Max((m.sp.at(n)-d)/rest, 0.1)
	}
	return math.Inf(1)
}

// restsPlanned tells whether the plan has recoveries of any kind between reps.
func (m *measurer) restsPlanned() bool {
	return slices.ContainsFunc(m.lay.tasks, func(t task) bool { return t.rest })
}

// restContrast is the logarithm of the speed of the reps over that of the
// recoveries after them, and its standard error; infinite without recoveries.
// Plainly counts only those that are meant to be plainly slower.
func (m *measurer) restContrast(plainly bool) (ratio, se float64) {
	var work, workS, rest, restS float64
	for _, rep := range m.r.Reps {
		rec := rep.Recovery
		if rep.Outcome == Missed || rec == nil || rec.Step < 0 || rec.Outcome == Missed || plainly && !restful(m.lay.task(rec.Step).planned) {
			continue
		}
		work, workS = work+m.sp.at(rep.EndS)-m.sp.at(rep.StartS), workS+rep.Seconds()
		rest, restS = rest+m.sp.at(rec.EndS)-m.sp.at(rec.StartS), restS+rec.Seconds()
	}
	if restS == 0 || rest <= 0 || work <= 0 {
		return math.Inf(1), 0
	}
	v := work / workS
	return math.Log(v / (rest / restS)), m.sp.longRn / v * math.Sqrt(1/workS+1/restS)
}

// noRests tells whether the recoveries that were found are none: those that
// are meant to be plainly slower must be, and any kind must be slower by more
// than the noise can do when the places are chosen to suit the plan.
func (m *measurer) noRests() bool {
	plain, _ := m.restContrast(true)
	all, se := m.restContrast(false)
	least := leastFloatContrast
	if m.nothingSeen() {
		least = leastUnseenContrast
	}
	return plain < math.Log(leastRestContrast) || all < math.Max(math.Log(least), 3*se)
}

// nothingSeen tells whether the session was split without the plan, and no work
// was seen in it: then the plan must fit the better to be believed.
func (m *measurer) nothingSeen() bool {
	s := m.sp.s.Segments
	return len(s) > 0 && !slices.ContainsFunc(s, func(g segment.Segment) bool { return g.Role == segment.Work })
}

// differentWithoutWork judges a plan that holds easy running only.
func (m *measurer) differentWithoutWork() string {
	for _, g := range m.sp.s.Segments {
		if g.Role == segment.Work {
			return "the plan is easy running only, but work was run"
		}
	}
	for _, st := range m.r.Steps {
		if st.Outcome == Missed && st.Planned.Role == segment.Easy {
			return "the planned easy running is not there"
		}
	}
	for _, p := range m.lay.path {
		if p.move == moveFast {
			return "the plan is easy running only, but work was run"
		}
	}
	var planned, ran float64
	for _, st := range m.r.Steps {
		if t := m.lay.task(st.Planned.Index); !t.open {
			planned += t.amount
			ran += t.amount + st.AmountDrift
		}
	}
	if planned > 0 && math.Abs(math.Log(math.Max(ran, 1)/planned)) > math.Log(easyRatio) {
		return "the easy running is far from the planned amount"
	}
	return ""
}
