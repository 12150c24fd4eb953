package match

import (
	"fmt"
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

const (
	longStandS    = 45   // seconds stood in a recovery by distance that make it a long one
	leastHaltSumS = 6    // seconds stood in a rep that count as an interruption
	throughShare  = 0.93 // of the speed of the reps around it, above which a recovery was run through
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
			v := m.sp.mean(rec.StartS, rec.EndS)
			a.Merged = v > throughShare*math.Min(m.speedOf(*a), m.speedOf(b))
		}
	}
}

// speedOf is the speed of a rep as on the flat, stops left out, m/s.
func (m *measurer) speedOf(r Rep) float64 {
	return m.sp.mean(r.StartS, r.EndS) / m.moving(r.StartS, r.EndS)
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
