package match

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/trend"
)

// A measurer turns a layout into the figures of a Result.
type measurer struct {
	sp  *speeds
	lay layout
	o   Options
	r   *Result
}

var nan = math.NaN()

// fill makes the reps, recoveries and other steps of the result.
func (m *measurer) fill() {
	r := m.r
	set := 1
	for k, p := range m.lay.path {
		switch p.move {
		case moveStep, moveSkip:
			t := &m.lay.tasks[p.task]
			switch {
			case t.work:
				r.Reps = append(r.Reps, m.rep(t, k))
				set = t.planned.Set
			case t.planned.Role == segment.Recovery && len(r.Reps) > 0 && r.Reps[len(r.Reps)-1].Recovery == nil:
				m.recover(&r.Reps[len(r.Reps)-1], t, k)
				r.Steps = append(r.Steps, m.step(t, k))
			default:
				r.Steps = append(r.Steps, m.step(t, k))
			}
		case moveFast:
			rep := Rep{Step: -1, Set: set, Outcome: Extra, Span: m.span(k), AmountDrift: nan, Drift: nan, DriftPct: nan}
			rep.Target = Target{LowSPerKm: nan, HighSPerKm: nan}
			rep.VsPrevious = Comparison{With: -1, DeltaSPerKm: nan, SE: nan}
			m.excuse(&rep)
			m.body(&rep)
			r.Reps = append(r.Reps, rep)
		case moveSlow:
			if n := len(r.Reps); n > 0 && r.Reps[n-1].Outcome == Extra && r.Reps[n-1].Recovery == nil {
				rec := &Recovery{Step: -1, Outcome: Extra, Span: m.span(k), AmountDrift: nan}
				m.heartIn(rec)
				r.Reps[n-1].Recovery = rec
			}
		}
	}
	r.widenFades()
}

// span measures stretch k of the path, as segment.Split measures a segment: where the edges are
// the same, so are the figures.
func (m *measurer) span(k int) Span {
	a, b := m.lay.edges[k], m.lay.edges[k+1]
	s := Span{StartS: a.at, EndS: b.at, StartSE: a.se, EndSE: b.se, DistanceM: nan, Pace: nan, PaceSE: nan}
	if !(b.at > a.at) {
		return s
	}
	s.DistanceM = m.sp.s.Distance(a.at, b.at)
	p := m.sp.s.PaceBetween(segment.Edge{AtS: a.at, SE: a.se}, segment.Edge{AtS: b.at, SE: b.se})
	s.Pace, s.PaceSE, s.LeanSE = p.Mean, p.SE, p.LeanSE
	return s
}

func missedSpan() Span {
	return Span{StartS: nan, EndS: nan, StartSE: nan, EndSE: nan, DistanceM: nan, Pace: nan, PaceSE: nan}
}

// mostMargin is the share of an amount beyond which vague edges excuse nothing more (common
// practice, no source).
const mostMargin = 0.15

// amount tells how the length of a span compares with what was planned, and
// the outcome.
func (m *measurer) amount(t *task, s Span) (drift float64, unit string, out Outcome) {
	if t.open {
		return nan, "", Done
	}
	x, unit, margin := s.Seconds(), "s", 2*math.Hypot(s.StartSE, s.EndSE)
	if t.metres {
		x, unit = m.sp.ran(s.StartS, s.EndS), "m"
		margin *= s.DistanceM / s.Seconds()
	} else if stood := m.sp.stoodS(int(s.StartS), int(s.EndS)); !t.rest && stood > 0 && math.Abs(x-stood-t.amount) < math.Abs(x-t.amount) {
		x -= stood
	}
	drift = x - t.amount
	least, share := t.slack(m.o.Amounts)
	slack := math.Max(least, share*t.amount) + math.Min(margin, mostMargin*t.amount)
	slack = math.Min(slack, math.Max(least, MostAmountPct/100.0*t.amount))
	switch {
	case drift < -slack:
		out = Short
	case drift > slack:
		out = Long
	default:
		out = Done
	}
	return drift, unit, out
}

// slack is how much of an amount may be missing or too much before a step
// counts as short or long: in s or m, or as a share, whichever is more.
func (t *task) slack(a Amounts) (least, share float64) {
	grain := 5.0 // s
	if t.metres {
		grain = 20 // m
	}
	switch t.planned.Role {
	case segment.Work:
		return grain, a.Rep / 100
	case segment.Recovery:
		return 2 * grain, a.Rest / 100
	case segment.Easy:
		return 2 * grain, a.Easy / 100
	}
	return 2 * grain, a.Ends / 100
}

func (m *measurer) rep(t *task, k int) Rep {
	p := t.planned
	rep := Rep{Step: p.Index, Set: p.Set, Rep: p.Rep, Planned: p, Outcome: Missed, Span: missedSpan(),
		Drift: nan, DriftPct: nan, AmountDrift: nan, Target: m.target(p.Goal)}
	rep.VsPrevious = Comparison{With: -1, DeltaSPerKm: nan, SE: nan}
	if m.lay.path[k].move == moveSkip {
		rep.FadePct, rep.FadeSE = nan, nan
		rep.HRAvg, rep.HRMax, rep.HREnd, rep.CadenceAvg = nan, nan, nan, nan
		return rep
	}
	rep.Span = m.span(k)
	m.excuse(&rep)
	rep.AmountDrift, rep.AmountUnit, rep.Outcome = m.amount(t, rep.Span)
	if !math.IsInf(rep.Pace, 0) { // not stood
		rep.TargetSE = math.Hypot(rep.PaceSE, rep.Pace*m.sp.s.ScaleSE)
	}
	rep.Drift, rep.DriftPct, rep.OnTarget = rep.Target.drift(rep.Pace, rep.TargetSE)
	rep.Unsure = rep.OnTarget == Level && math.Abs(rep.Drift) > rep.Target.Tolerance
	m.body(&rep)
	if rep.Target.Kind == HeartTarget {
		rep.Heart = m.heartTime(rep.Span, rep.Target)
	}
	return rep
}

// body fills in what is measured of every rep that was run.
func (m *measurer) body(rep *Rep) {
	s := rep.Span
	rep.FadePct, rep.FadeSE = m.fade(s)
	rep.HRAvg, rep.HRMax = m.over(m.sp.s.Trace.HeartRate, s.StartS, s.EndS)
	rep.HREnd, _ = m.over(m.sp.s.Trace.HeartRate, math.Max(s.StartS, s.EndS-3), s.EndS+1)
	rep.CadenceAvg, _ = m.over(m.sp.s.Trace.Cadence, s.StartS, s.EndS)
}

// excuse finds the interruptions of a rep and takes their time out of its pace.
func (m *measurer) excuse(rep *Rep) {
	rep.Interruptions = m.stops(rep.StartS, rep.EndS)
	share := m.moving(rep.StartS, rep.EndS)
	rep.Pace *= share
	rep.PaceSE *= share
	rep.LeanSE *= share
}

// moving is the share of the time from a to b that was not stood.
func (m *measurer) moving(a, b float64) float64 {
	return 1 - math.Min(0.9, total(m.stops(a, b))/(b-a))
}

// over is the mean and maximum of a stream between two moments, NaN when it
// says nothing there.
func (m *measurer) over(v []float64, a, b float64) (mean, most float64) {
	sum, n := 0.0, 0
	most = math.Inf(-1)
	for i := max(0, int(math.Ceil(a-0.5))); i < len(v) && float64(i)+0.5 < b; i++ {
		if !math.IsNaN(v[i]) {
			sum, n, most = sum+v[i], n+1, math.Max(most, v[i])
		}
	}
	if n == 0 {
		return nan, nan
	}
	return sum / float64(n), most
}

// stops lists the halts inside a span, away from its edges.
func (m *measurer) stops(a, b float64) []recording.Span {
	const margin = 4
	var out []recording.Span
	for i := int(a) + margin; i < int(b)-margin && i < m.sp.n; i++ {
		if m.sp.halt[i+1] > m.sp.halt[i] {
			if k := len(out) - 1; k >= 0 && out[k].EndS == float64(i) {
				out[k].EndS++
			} else {
				out = append(out, recording.Span{StartS: float64(i), EndS: float64(i + 1)})
			}
		}
	}
	return out
}

func (m *measurer) recover(rep *Rep, t *task, k int) {
	rec := &Recovery{Step: t.planned.Index, Outcome: Missed, Span: missedSpan(), AmountDrift: nan}
	if m.lay.path[k].move == moveStep {
		rec.Span = m.span(k)
		rec.AmountDrift, rec.AmountUnit, rec.Outcome = m.amount(t, rec.Span)
	}
	m.heartIn(rec)
	rep.Recovery = rec
}

// heartIn fills in what the heart did in a recovery.
func (m *measurer) heartIn(rec *Recovery) {
	rec.HRStart, rec.HREnd, rec.HRDrop, rec.HRDrop60 = nan, nan, nan, nan
	if !(rec.EndS > rec.StartS) {
		return
	}
	hr := m.sp.s.Trace.HeartRate
	rec.HRStart, _ = m.over(hr, rec.StartS-2, rec.StartS+2)
	rec.HREnd, _ = m.over(hr, rec.EndS-3, rec.EndS+1)
	rec.HRDrop = rec.HRStart - rec.HREnd
	if rec.Seconds() >= 60 {
		after, _ := m.over(hr, rec.StartS+58, rec.StartS+62)
		rec.HRDrop60 = rec.HRStart - after
	}
}

func (m *measurer) step(t *task, k int) Step {
	st := Step{Planned: t.planned, Outcome: Missed, Span: missedSpan(), AmountDrift: nan, Target: m.target(t.planned.Goal), MovingPace: nan, Drift: nan}
	if m.lay.path[k].move == moveStep {
		st.Span = m.span(k)
		st.AmountDrift, st.AmountUnit, st.Outcome = m.amount(t, st.Span)
		share := 1.0
		if st.EndS > st.StartS {
			share = m.moving(st.StartS, st.EndS)
		}
		if v := share * st.Pace; !math.IsInf(v, 0) {
			st.MovingPace, st.TargetSE = v, math.Hypot(share*st.PaceSE, v*m.sp.s.ScaleSE)
			st.Drift, _, st.OnTarget = st.Target.drift(v, st.TargetSE)
		}
	}
	return st
}

// target puts a goal into the form of the result.
func (m *measurer) target(g workouts.Goal) Target {
	t := Target{LowSPerKm: nan, HighSPerKm: nan}
	switch g.Kind {
	case workouts.PaceGoal:
		t.Kind = PaceTarget
		t.LowSPerKm, t.HighSPerKm = g.Pace, g.Pace
		switch {
		case g.EndPace > 0:
			t.Kind = RampTarget
			mean := 1000 / goalSpeed(g)
			t.LowSPerKm, t.HighSPerKm = mean, mean
		case g.TargetKind == workouts.BandTarget:
			t.Kind = BandTarget
			t.LowSPerKm, t.HighSPerKm = g.LowPace+g.Tolerance, g.HighPace-g.Tolerance
		}
		t.Tolerance = g.Tolerance
		if t.Tolerance == 0 && t.Kind != BandTarget {
			t.Tolerance = m.o.PaceTolerancePct / 100 * g.Pace
		}
	case workouts.QuickerGoal:
		t.Kind, t.QuickerBy = QuickerTarget, g.QuickerBy
	case workouts.HeartGoal:
		t.Kind, t.LowBPM, t.HighBPM = HeartTarget, g.LowBPM, g.HighBPM
	case workouts.UnresolvedGoal:
		t.Kind, t.Name = UnknownTarget, g.Name
	}
	return t
}

// drift is how far a pace is from the target, s/km and percent of the nearer
// edge, and the call against tolerance and margin.
func (t Target) drift(pace, se float64) (d, pct float64, call Call) {
	if math.IsNaN(t.LowSPerKm) || math.IsNaN(pace) || math.IsInf(pace, 0) {
		return nan, nan, NoCall
	}
	near := t.LowSPerKm
	switch {
	case pace < t.LowSPerKm:
	case pace > t.HighSPerKm:
		near = t.HighSPerKm
	default:
		return 0, 0, Level
	}
	d = pace - near
	call = Level
	if math.Abs(d) > t.Tolerance+trend.Z95*se {
		call = Slower
		if d < 0 {
			call = Quicker
		}
	}
	return d, 100 * d / near, call
}

// heartSettleS is what the heart needs to answer a change of speed.
const heartSettleS = signal.HeartTauS

func (m *measurer) heartTime(s Span, t Target) *HeartTime {
	h := &HeartTime{SettleS: math.Min(heartSettleS, s.Seconds())}
	hr := m.sp.s.Trace.HeartRate
	for i := max(0, int(math.Ceil(s.StartS+heartSettleS))); i < len(hr) && float64(i) < s.EndS; i++ {
		switch v := hr[i]; {
		case math.IsNaN(v):
		case t.LowBPM > 0 && v < t.LowBPM:
			h.BelowS++
		case t.HighBPM > 0 && v > t.HighBPM:
			h.AboveS++
		default:
			h.InsideS++
		}
	}
	return h
}
