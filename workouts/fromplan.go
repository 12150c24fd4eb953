package workouts

import (
	"fmt"
	"math"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
)

// PlanStepLost is the code of the warnings of FromPlan.
const PlanStepLost = "plan-step-lost"

// FromPlan turns a planned workout as a device file stores it into a Workout.
// Amounts and paces are rounded to whole seconds and metres. What could not be
// kept is said in warnings, step by step.
func FromPlan(p recording.Plan) (Workout, []recording.Warning) {
	r := planReader{}
	for _, s := range p.Steps {
		r.step(s)
	}
	w := Workout{Name: p.Name, Items: r.items}.Normal()
	if w.Size() > MaxPlanned {
		r.lost("the plan has more than %d steps; the rest is left out", MaxPlanned)
	}
	return w, r.warnings
}

type planReader struct {
	items    []Item
	first    []int // of each item: the lowest message index in it
	warnings []recording.Warning
}

func (r *planReader) lost(format string, args ...any) {
	r.warnings = append(r.warnings, recording.Warning{Code: PlanStepLost, Message: fmt.Sprintf(format, args...), StartS: math.NaN(), EndS: math.NaN()})
}

func (r *planReader) step(s recording.PlanStep) {
	if s.Unsupported != "" {
		r.lost("planned step %d: %s", s.Index+1, s.Unsupported)
	}
	if s.Repeat > 0 {
		r.repeat(s)
		return
	}
	step := Step{Amount: planAmount(s), Manner: Work}
	switch s.Intensity {
	case recording.WarmUp:
		step.Manner = Warm
	case recording.CoolDown:
		step.Manner = Cool
	case recording.Rest:
		step.Manner = Jog
	}
	step.Target = r.target(s)
	r.items = append(r.items, Item{Count: 1, Step: step})
	r.first = append(r.first, s.Index)
}

// repeat wraps the steps from BackTo to here into a group.
func (r *planReader) repeat(s recording.PlanStep) {
	from := len(r.items)
	for from > 0 && r.first[from-1] >= s.BackTo {
		from--
	}
	if from == len(r.items) {
		r.lost("planned step %d repeats nothing", s.Index+1)
		return
	}
	if s.Repeat > MaxCount {
		r.lost("planned step %d repeats %d times; %d are kept", s.Index+1, s.Repeat, MaxCount)
	}
	body := append([]Item(nil), r.items[from:]...)
	first := r.first[from]
	r.items = append(r.items[:from], Item{Count: min(s.Repeat, MaxCount), Body: body})
	r.first = append(r.first[:from], first)
}

func planAmount(s recording.PlanStep) Amount {
	switch {
	case s.TimeS > 0:
		return Seconds(min(max(math.Round(s.TimeS), 1), MaxSeconds))
	case s.DistanceM > 0:
		// A whole number of miles in metres to the centimetre was meant as miles.
		if mi := s.DistanceM / figures.MetresPerMile; mi >= 0.5 && math.Abs(mi*4-math.Round(mi*4)) < 0.0001 {
			return Miles(math.Round(mi*4) / 4)
		}
		return Metres(min(max(math.Round(s.DistanceM), 1), MaxMetres))
	}
	return Amount{Kind: Open}
}

func (r *planReader) target(s recording.PlanStep) Target {
	switch {
	case s.SpeedLow > 0 && s.SpeedHigh >= s.SpeedLow:
		quick, slow := math.Round(1000/s.SpeedHigh), math.Round(1000/s.SpeedLow)
		if quick < QuickestPace || slow > SlowestPace {
			r.lost("planned step %d: a speed of %.2f to %.2f m/s cannot be a target", s.Index+1, s.SpeedLow, s.SpeedHigh)
			return Target{}
		}
		if quick == slow {
			return Target{Kind: PaceTarget, From: MakePace(quick, PerKm)}
		}
		return Target{Kind: BandTarget, From: MakePace(quick, PerKm), To: MakePace(slow, PerKm)}
	case s.HeartZone > 0:
		return heartTarget(Zone, float64(s.HeartZone), float64(s.HeartZone))
	case s.HeartHigh > 0 && s.HeartHigh >= s.HeartLow && s.HeartPercent:
		return heartTarget(PercentMax, s.HeartLow, s.HeartHigh)
	case s.HeartHigh > 0 && s.HeartHigh >= s.HeartLow:
		return heartTarget(BPM, s.HeartLow, s.HeartHigh)
	}
	return Target{}
}

func heartTarget(unit HeartUnit, low, high float64) Target {
	h := HeartRange{Unit: unit, Low: low, High: high}
	if unit == BPM {
		h.LowBPM, h.HighBPM = low, high
	}
	return Target{Kind: HeartTarget, Heart: h}
}
