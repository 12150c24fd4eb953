package match

import (
	"fmt"
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/trend"
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
		m.deviate(SwappedSets, -1, "sets %d and %d were run in each other's place", s[0], s[1])
	}
	m.courses()
	switch why := m.different(); {
	case why != "" && m.o.Given:
		r.warn(Contradicted, why)
	case why != "":
		r.Verdict = Different
		r.Reasons = []string{why}
		r.Found, r.Nearest = found(m.sp.s, m.o), m.nearest()
		// What the steps were laid over is no match, and is not told as one.
		r.Reps, r.Steps, r.Deviations, r.Progression, r.Progressions = nil, nil, nil, Progression{}, nil
		return
	}
	r.Verdict = AsPlanned
	if stopped := m.stopped(); stopped != "" {
		r.Verdict = CutShort
		r.Reasons = []string{stopped}
	}
	for _, reason := range r.summed(r.Verdict == CutShort, m.o) {
		if r.Verdict == AsPlanned {
			r.Verdict = Departed
		}
		r.Reasons = append(r.Reasons, reason)
	}
}

// deviate adds a departure that counts; note adds one that does not.
func (m *measurer) deviate(kind DeviationKind, rep int, format string, args ...any) *Deviation {
	m.r.Deviations = append(m.r.Deviations, Deviation{Kind: kind, Rep: rep, Step: -1, Message: fmt.Sprintf(format, args...), Counts: true, Size: nan, Margin: nan})
	return &m.r.Deviations[len(m.r.Deviations)-1]
}

// sized is deviate for what is so many of a unit off.
func (m *measurer) sized(kind DeviationKind, rep int, size, margin float64, unit, format string, args ...any) {
	d := m.deviate(kind, rep, format, args...)
	d.Size, d.Margin, d.Unit = size, margin, unit
}

// offBy is deviate for an amount of which so much is missing or too much; the format has a
// place for who it is told of and one for how much.
func (m *measurer) offBy(kind DeviationKind, rep int, planned workouts.Planned, drift float64, unit, format, who string) *Deviation {
	drift = math.Abs(drift)
	mile := planned.Step.Amount.Mile
	d := m.deviate(kind, rep, format, who, amountText(drift, unit, mile))
	d.Size, d.Unit, d.mile = drift, unit, mile
	return d
}

func (m *measurer) note(kind DeviationKind, step int, message string) {
	m.r.Deviations = append(m.r.Deviations, Deviation{Kind: kind, Rep: -1, Step: step, Message: message, Size: nan, Margin: nan})
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
			if a.Merged = b.StartS-a.EndS < 5; a.Merged {
				m.shareOut(a, &r.Reps[i+1], m.lay.task(rec.Step))
			}
		default:
			v := m.sp.mean(rec.StartS, rec.EndS)
			a.Merged = v > throughShare*math.Min(m.speedOf(*a), m.speedOf(b))
		}
	}
}

// shareOut keeps two reps that were run as one from being called long, where what they are
// too long by together is the recovery that was run through: that is told already.
func (m *measurer) shareOut(a, b *Rep, rest *task) {
	unit := "s"
	if rest.metres {
		unit = "m"
	}
	if rest.open || a.AmountUnit != unit || b.AmountUnit != unit {
		return
	}
	least, share := rest.slack(m.o.Amounts)
	if over := a.AmountDrift + b.AmountDrift; math.Abs(over-rest.amount) > 2*math.Max(least, share*rest.amount) {
		return
	}
	for _, rep := range []*Rep{a, b} {
		if rep.Outcome == Long {
			rep.Outcome = Done
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
	name := m.r.name(i)
	switch rep.Outcome {
	case Missed:
		m.deviate(MissedRep, i, "%s was not run", name)
		return
	case Extra:
		m.sized(ExtraRep, i, rep.Seconds(), nan, "s", "an extra rep of %s was run after %s", figures.Brief(rep.Seconds()), m.lastBefore(i))
		return
	case Short:
		m.offBy(ShortRep, i, rep.Planned, rep.AmountDrift, rep.AmountUnit, "%s was short by %s", name)
	case Long:
		m.offBy(LongRep, i, rep.Planned, rep.AmountDrift, rep.AmountUnit, "%s was long by %s", name)
	}
	if stood := total(rep.Interruptions); stood >= leastHaltSumS {
		m.sized(InterruptedRep, i, stood, nan, "s", "%s was interrupted for %s", name, figures.Brief(stood))
	}
	if rep.Merged {
		m.deviate(MergedReps, i, "%s was run through into the next one without recovery", name)
	} else if rec := rep.Recovery; rec != nil && rec.Step >= 0 {
		m.recoveryDeviation(i, name, rec)
	}
	if rep.OnTarget == Quicker || rep.OnTarget == Slower {
		m.sized(OffTarget, i, rep.Drift, trend.Z95*rep.TargetSE, "s/km", "%s was %s than its target by %s", name, rep.OnTarget, m.o.difference(rep.Drift, trend.Z95*rep.TargetSE))
	}
	if h := rep.Heart; h != nil && h.InsideS < h.AboveS+h.BelowS {
		side, much := "below", h.BelowS
		if h.AboveS > h.BelowS {
			side, much = "above", h.AboveS
		}
		m.sized(OffHeart, i, much, nan, "s", "%s was mostly %s its heart-rate target", name, side)
	}
}

// recoveryDeviation holds the recovery after rep i against its amount.
func (m *measurer) recoveryDeviation(i int, name string, rec *Recovery) {
	switch planned := m.lay.task(rec.Step).planned; rec.Outcome {
	case Short:
		m.offBy(ShortRecovery, i, planned, rec.AmountDrift, rec.AmountUnit, "the recovery after %s was short by %s", name)
	case Long:
		m.offBy(LongRecovery, i, planned, rec.AmountDrift, rec.AmountUnit, "the recovery after %s was long by %s", name)
	case Done:
		if stood := m.sp.stoodS(int(rec.StartS), int(rec.EndS)); rec.AmountUnit == "m" && stood >= longStandS {
			m.sized(LongRecovery, i, stood, nan, "s", "the recovery after %s had its distance but %s of standing as well", name, figures.Brief(stood))
		}
	}
}

func (m *measurer) lastBefore(i int) string {
	for k := i - 1; k >= 0; k-- {
		if m.r.Reps[k].Step >= 0 && m.r.Reps[k].Outcome != Missed {
			return m.r.name(k)
		}
	}
	return "the warm-up"
}

// stepDeviations hold warm-up, cool-down and easy running against their amounts.
func (m *measurer) stepDeviations() {
	for _, st := range m.r.Steps {
		what, missed, amount := "the easy running", MissedEasy, EasyAmount
		switch st.Planned.Role {
		case segment.Warm:
			what, missed, amount = "the warm-up", MissedWarm, WarmAmount
		case segment.Cool:
			what, missed, amount = "the cool-down", MissedCool, CoolAmount
		case segment.Recovery:
			continue
		}
		if st.OnTarget == Quicker || st.OnTarget == Slower {
			margin := trend.Z95 * st.TargetSE
			m.sized(EasyPace, -1, st.Drift, margin, "s/km", "%s was %s than its target by %s", what, st.OnTarget, m.o.difference(st.Drift, margin))
			m.r.Deviations[len(m.r.Deviations)-1].Step = st.Planned.Index
		}
		var d *Deviation
		switch st.Outcome {
		case Missed:
			m.note(missed, st.Planned.Index, what+" was not recorded")
			continue
		case Short:
			d = m.offBy(amount, -1, st.Planned, st.AmountDrift, st.AmountUnit, "%s was short by %s", what)
		case Long:
			d = m.offBy(amount, -1, st.Planned, st.AmountDrift, st.AmountUnit, "%s was long by %s", what)
		default:
			continue
		}
		d.Step = st.Planned.Index
	}
}

// stopped tells where a session was cut short: the last rep run ended early or
// further ones were not run, and neither was anything planned after them.
func (m *measurer) stopped() string {
	last, missed, planned := -1, 0, 0
	for i, rep := range m.r.Reps {
		switch {
		case rep.Step < 0:
			return "" // more was run, not less
		case rep.Outcome == Missed:
			missed++
		default:
			last, missed = i, 0
		}
		planned++
	}
	if last < 0 || missed == 0 && m.r.Reps[last].Outcome != Short {
		return ""
	}
	rep := m.r.Reps[last]
	after := 0 // planned steps after it
	for _, st := range m.r.Steps {
		if st.Planned.Index < rep.Step {
			continue
		}
		after++
		if rest := st.Planned.Role == segment.Recovery; st.Outcome != Missed && !(rest && missed > 0) {
			return ""
		}
	}
	if missed == 0 && after == 0 {
		return "" // the last thing planned was run, and short
	}
	if rep.Outcome == Short {
		return fmt.Sprintf("stopped in rep %d of %d, %s before its end; the rest was not run", rep.Rep, planned, amountText(-rep.AmountDrift, rep.AmountUnit, rep.Planned.Step.Amount.Mile))
	}
	return fmt.Sprintf("stopped after rep %d of %d; the rest was not run", rep.Rep, planned)
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

// found writes what was run instead.
func found(s *segment.Session, o Options) string {
	unit := workouts.PerKm
	switch {
	case len(s.Structure) == 0:
		return ""
	case o.Miles:
		unit = workouts.PerMile
	}
	return notation.Print(workouts.FromBlocksIn(s.Structure, unit))
}
