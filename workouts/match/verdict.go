package match

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
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

	untargetedShare   = 1.5  // reps without a target may differ this much more
	otherRestShare    = 0.8  // of the credit of a rep whose recovery was half as long again as planned, or that much too short
	easyRatio         = 1.5  // an easy run this much too long or short is another run
	lostDriftPct      = 18.0 // a typical drift from target beyond which it was not this session
	brokenShare       = 0.25 // of a rep run at recovery speed, beyond which it is no rep
	leastContrast     = 1.10 // speed of work over the speed of the rest
	leastRestContrast = 1.12 // of the reps over the recoveries between them
	endCost           = 0.05 // of a warm-up or cool-down that is not there
	leastFollow       = 0.35 // of a change of target that a change of pace must follow
	leastSpreadPct    = 3.0  // by which targets must differ for that to count
	longStandS        = 45   // seconds stood in a recovery by distance that make it a long one
	leastHaltSumS     = 6    // seconds stood in a rep that count as an interruption
)

// judge finds the deviations and the verdict.
func (m *measurer) judge() {
	r := m.r
	m.markMerged()
	for i := range r.Reps {
		m.deviationsOf(i)
	}
	m.stepDeviations()
	if s := m.lay.swapped; s != [2]int{} {
		m.deviate(SwappedSets, -1, true, "sets %d and %d were run in each other's place", s[0], s[1])
	}
	m.trendDeviations()
	if why := m.different(); why != "" {
		r.Verdict = Different
		r.Reasons = []string{why}
		r.Found = found(m.sp.s)
		return
	}
	r.Verdict = AsPlanned
	for _, d := range r.Deviations {
		if d.Counts {
			r.Verdict = Departed
			r.Reasons = append(r.Reasons, d.Message)
		}
	}
}

func (m *measurer) deviate(kind DeviationKind, rep int, counts bool, format string, args ...any) {
	m.r.Deviations = append(m.r.Deviations, Deviation{kind, rep, fmt.Sprintf(format, args...), counts})
}

// markMerged finds reps that were run into the next without the recovery that
// the plan has between them.
func (m *measurer) markMerged() {
	r := m.r
	for i := 0; i+1 < len(r.Reps); i++ {
		a, b := &r.Reps[i], r.Reps[i+1]
		rec := a.Recovery
		if rec == nil || rec.Step < 0 || a.Outcome == Missed || b.Outcome == Missed {
			continue
		}
		if !restful(m.lay.task(rec.Step).planned) {
			continue
		}
		switch {
		case rec.Outcome == Missed:
			a.Merged = b.StartS-a.EndS < 5
		default:
			v := 1000 / rec.Pace
			a.Merged = v > 0.93*math.Min(1000/a.Pace, 1000/b.Pace)
		}
	}
}

// restful tells whether a recovery is meant to be plainly slower than work.
func restful(p workouts.Planned) bool {
	if p.Goal.Kind == workouts.PaceGoal {
		return false
	}
	switch p.Step.Manner {
	case workouts.Float, workouts.Steady, workouts.Easy:
		return false
	}
	return true
}

func (m *measurer) deviationsOf(i int) {
	rep := &m.r.Reps[i]
	name := fmt.Sprintf("rep %d", rep.Rep)
	switch rep.Outcome {
	case Missed:
		m.deviate(MissedRep, i, true, "%s was not run", name)
		return
	case Extra:
		m.deviate(ExtraRep, i, true, "an extra rep of %s was run after %s", clock(rep.Seconds()), m.lastBefore(i))
		return
	case Short:
		m.deviate(ShortRep, i, true, "%s was cut short by %s", name, amountText(-rep.AmountDrift, rep.AmountUnit))
	case Long:
		m.deviate(LongRep, i, true, "%s was longer than planned by %s", name, amountText(rep.AmountDrift, rep.AmountUnit))
	}
	if stood := total(rep.Interruptions); stood >= leastHaltSumS {
		m.deviate(InterruptedRep, i, true, "%s was interrupted for %s", name, clock(stood))
	}
	if rep.Merged {
		m.deviate(MergedReps, i, true, "%s was run through into the next one without recovery", name)
	} else if rec := rep.Recovery; rec != nil && rec.Step >= 0 {
		switch rec.Outcome {
		case Short:
			m.deviate(ShortRecovery, i, true, "the recovery after %s was shorter than planned by %s", name, amountText(-rec.AmountDrift, rec.AmountUnit))
		case Long:
			m.deviate(LongRecovery, i, true, "the recovery after %s was longer than planned by %s", name, amountText(rec.AmountDrift, rec.AmountUnit))
		case Done:
			if stood := m.sp.stoodS(int(rec.StartS), int(rec.EndS)); rec.AmountUnit == "m" && stood >= longStandS {
				m.deviate(LongRecovery, i, true, "the recovery after %s had its distance but %s of standing as well", name, clock(stood))
			}
		}
	}
	if rep.OnTarget == Quicker || rep.OnTarget == Slower {
		m.deviate(OffTarget, i, true, "%s was %.0f s/km %s than its target", name, math.Abs(rep.Drift), rep.OnTarget)
	}
	if h := rep.Heart; h != nil && h.InsideS < h.AboveS+h.BelowS {
		side := "below"
		if h.AboveS > h.BelowS {
			side = "above"
		}
		m.deviate(OffTarget, i, true, "%s was mostly %s its heart-rate target", name, side)
	}
}

func (m *measurer) lastBefore(i int) string {
	for k := i - 1; k >= 0; k-- {
		if m.r.Reps[k].Step >= 0 {
			return fmt.Sprintf("rep %d", m.r.Reps[k].Rep)
		}
	}
	return "the warm-up"
}

func (m *measurer) stepDeviations() {
	for _, st := range m.r.Steps {
		switch {
		case st.Outcome == Missed && st.Planned.Role == segment.Warm:
			m.deviate(MissedWarm, -1, false, "the warm-up was not recorded")
		case st.Outcome == Missed && st.Planned.Role == segment.Cool:
			m.deviate(MissedCool, -1, false, "the cool-down was not recorded")
		}
	}
}

// trendDeviations holds the progression against a plan that asks for one.
func (m *measurer) trendDeviations() {
	for _, p := range m.r.Progressions {
		by, asked := m.r.wantsQuicker(p.Reps)
		if !asked {
			continue
		}
		first := p.Reps[0]
		switch {
		case p.Call == Slower || p.Call == Uneven:
			m.deviate(NotQuicker, first, true, "the reps were to get quicker, but were %s", p.Call)
		case p.Call == Level && p.SlopeSPerKmPerRep >= 0:
			m.deviate(NotQuicker, first, true, "the reps were to get quicker, but were level")
		case p.Call == Level:
			m.r.warn("progression-unknown", "the reps were to get quicker and seem to, but by no more than the measuring error")
		case by > 0 && p.SlopeSPerKmPerRep+2*p.SlopeSE < -2*by:
			m.deviate(NotQuicker, first, true, "the reps got quicker by %.1f s/km each, where %.1f were planned", -p.SlopeSPerKmPerRep, by)
		}
	}
}

func (r *Result) warn(code, message string) {
	r.Warnings = append(r.Warnings, recording.Warning{Code: code, Message: message, StartS: nan, EndS: nan})
}

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
		if rep.Outcome != Missed {
			run++
			last = i
			plannedS += rep.Seconds() * m.lay.task(rep.Step).amount / math.Max(m.lay.task(rep.Step).amount+rep.AmountDrift, 1)
		} else {
			plannedS += m.lay.task(rep.Step).seconds()
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
	contrast := m.contrast()
	fidelity := credit/float64(planned) - extraS/math.Max(plannedS, 1)
	for _, st := range m.r.Steps {
		if st.Outcome == Missed && (st.Planned.Role == segment.Warm || st.Planned.Role == segment.Cool) {
			fidelity -= endCost
		}
	}
	if off := math.Abs(typical); off > typicalPct {
		fidelity *= 1 - (off-typicalPct)/(3*lostDriftPct)
	}
	switch {
	case run == 0:
		return fmt.Sprintf("none of the %d planned reps was run", planned)
	case math.Abs(typical) > lostDriftPct:
		return fmt.Sprintf("the reps were typically %.0f %% off their target pace", math.Abs(typical))
	case merged*2 > rests && (rests > 1 || contrast < leastContrast), merged*3 > rests && merged >= 3:
		return "the run has no recoveries where the plan has them"
	case m.restContrast() < leastRestContrast:
		return "the recoveries are hardly slower than the reps"
	case contrast < leastContrast:
		return "the planned work is not quicker than the rest of the run"
	case rests == 0 && m.flat():
		return "the pace does not change where the plan changes it"
	case fidelity < leastFidelity:
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
	case rec != nil && rec.Step >= 0 && (rec.Outcome == Short || rec.Outcome == Long) && m.offAmount(rec.Step, rec.AmountDrift) > math.Log(1.5):
		c *= otherRestShare
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
			d, t = d+rep.DistanceM, t+rep.Seconds()
		}
	}
	n := float64(m.sp.n)
	if rest := n - t; t > 0 && rest > 0.1*n && rest > 60 {
		return d / t / math.Max((m.sp.s.Distance(0, n)-d)/rest, 0.1)
	}
	return math.Inf(1)
}

// restContrast is the speed of the reps over that of the recoveries between
// them that are meant to be plainly slower; +Inf without any.
func (m *measurer) restContrast() float64 {
	var work, workS, rest, restS float64
	for _, rep := range m.r.Reps {
		rec := rep.Recovery
		if rep.Outcome == Missed || rec == nil || rec.Step < 0 || rec.Outcome == Missed || !restful(m.lay.task(rec.Step).planned) {
			continue
		}
		work, workS = work+rep.DistanceM, workS+rep.Seconds()
		rest, restS = rest+rec.DistanceM, restS+rec.Seconds()
	}
	if restS == 0 || rest <= 0 {
		return math.Inf(1)
	}
	return work / workS / (rest / restS)
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

func total(spans []recording.Span) float64 {
	sum := 0.0
	for _, s := range spans {
		sum += s.Seconds()
	}
	return sum
}

func median(v []float64) float64 {
	if len(v) == 0 {
		return nan
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// clock writes seconds as 45s or 3:05.
func clock(s float64) string {
	n := int(math.Round(s))
	if n < 60 {
		return fmt.Sprintf("%ds", n)
	}
	if n < 3600 {
		return fmt.Sprintf("%d:%02d", n/60, n%60)
	}
	return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
}

func amountText(x float64, unit string) string {
	if unit == "m" {
		return fmt.Sprintf("%.0f m", x)
	}
	return clock(x)
}

// found writes what was run instead.
func found(s *segment.Session) string {
	if len(s.Structure) == 0 {
		return ""
	}
	return notation.Print(workouts.FromBlocks(s.Structure))
}
