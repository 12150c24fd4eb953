package simulate

import (
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/recording"
)

// pauses is when the device's timer stood still, on the device's clock.
func pauses(m *motion, d Device, lateS float64, rng *rand.Rand) []recording.Span {
	var out []recording.Span
	add := func(start, end float64) {
		start, end = math.Round(start-lateS), math.Round(end-lateS)
		if k := len(out) - 1; k >= 0 && start <= out[k].EndS+1 {
			start = out[k].EndS + 2
		}
		if total := float64(len(m.mps))*stepS - lateS; start >= 2 && end < total-2 && end > start+1 {
			out = append(out, recording.Span{StartS: start, EndS: end})
		}
	}
	switch {
	case d.AutoPause:
		m.eachRest(func(start, end float64) { add(start+3, end+2) }) // the timer starts after 2 s of moving
		return out
	case d.PauseP == 0:
		return nil
	}
	press := func(start, end float64) {
		if end-start >= 15 && rng.Float64() < d.PauseP {
			add(start+1+3*rng.Float64(), end-1+5*rng.Float64())
		}
	}
	halts := m.stops
	for _, l := range m.legs {
		for len(halts) > 0 && halts[0].StartS < l.EndS {
			press(halts[0].StartS, halts[0].EndS)
			halts = halts[1:]
		}
		if l.Manner == "stand" {
			press(l.StartS, l.EndS)
		}
	}
	return out
}

// eachRest gives the rests of more than 5 s; the timer stops after 3 s.
func (m *motion) eachRest(rest func(start, end float64)) {
	from := -1.0
	for i, v := range m.mps {
		now := float64(i) * stepS
		switch {
		case v < 0.4 && from < 0:
			from = now
		case v >= 0.4 && from >= 0:
			if now-from > 5 {
				rest(from, now)
			}
			from = -1
		}
	}
}

// A lapEnd is where a lap ends.
type lapEnd struct {
	at      float64
	trigger recording.Trigger
	leg     int // the leg that ends here, -1 when unknown
}

// laps is the laps of the recording, touching, from its start to its end.
func (v *view) laps(m *motion, d Device, rng *rand.Rand) []recording.Lap {
	end := float64(v.n - 1)
	var marks []lapEnd
	legs := m.legs
	switch d.Laps {
	case NoLaps:
		return []recording.Lap{{Span: recording.Span{EndS: end}, DistanceM: v.distanceAt(d, end), Trigger: recording.SessionEnd, Step: -1}}
	case StepLaps:
		for i, l := range legs[:len(legs)-1] {
			t := recording.ManualTrigger
			switch {
			case l.MeantS > 0:
				t = recording.TimeTrigger
			case l.MeantM > 0:
				t = recording.DistanceTrigger
			}
			marks = append(marks, lapEnd{l.EndS, t, i})
		}
	case Presses, AutoAndPresses:
		for _, l := range legs[:len(legs)-1] {
			if rng.Float64() >= d.PressMissP {
				marks = append(marks, lapEnd{l.EndS + 0.3 + d.PressSDS*rng.NormFloat64(), recording.ManualTrigger, -1})
			}
		}
	}
	if d.Laps == AutoLaps || d.Laps == AutoAndPresses {
		marks = v.withAutoLaps(marks, d.LapEveryM)
	}
	marks = append(marks, lapEnd{end + float64(v.lateS), recording.SessionEnd, len(legs) - 1})
	var out []recording.Lap
	from := 0.0
	for _, k := range marks {
		to := min(end, math.Round((k.at-float64(v.lateS))*1000)/1000)
		if to <= from {
			continue
		}
		l := recording.Lap{Span: recording.Span{StartS: from, EndS: to}, Trigger: k.trigger, Step: -1}
		l.DistanceM = v.distanceAt(d, to) - v.distanceAt(d, from)
		if d.Laps == StepLaps {
			l.Step, l.Intensity = k.leg, intensity(legs[k.leg].Role)
		}
		out = append(out, l)
		from = to
	}
	return out
}

// withAutoLaps puts a lap of the device's own at every so many metres between the others.
func (v *view) withAutoLaps(marks []lapEnd, everyM float64) []lapEnd {
	var merged []lapEnd
	for k := 1; k < v.n; k++ {
		count := math.Floor(v.odometer[k] / everyM)
		if count > math.Floor(v.odometer[k-1]/everyM) {
			part := (count*everyM - v.odometer[k-1]) / (v.odometer[k] - v.odometer[k-1])
			at := float64(k-1) + part
			for len(marks) > 0 && marks[0].at-float64(v.lateS) < at {
				merged, marks = append(merged, marks[0]), marks[1:]
			}
			merged = append(merged, lapEnd{at + float64(v.lateS), recording.DistanceTrigger, -1})
		}
	}
	return append(merged, marks...)
}

// distanceAt is the odometer at a moment of the device's clock, to the
// centimetre; NaN without one.
func (v *view) distanceAt(d Device, t float64) float64 {
	if !d.Distance {
		return math.NaN()
	}
	k := min(v.n-2, int(t))
	m := v.odometer[k] + (v.odometer[k+1]-v.odometer[k])*(t-float64(k))
	return math.Round(m*100) / 100
}

// plan is the steps that a device leads through, as it stores them.
func (m *motion) plan(name string) *recording.Plan {
	p := &recording.Plan{Name: name}
	for i, l := range m.legs {
		p.Steps = append(p.Steps, recording.PlanStep{Index: i, Intensity: intensity(l.Role), TimeS: l.MeantS, DistanceM: l.MeantM})
	}
	return p
}

func intensity(role string) recording.Intensity {
	switch role {
	case warm:
		return recording.WarmUp
	case cool:
		return recording.CoolDown
	case recovery, stop:
		return recording.Rest
	}
	return recording.Active
}
