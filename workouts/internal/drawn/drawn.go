// Package drawn draws workouts for the tests of several packages.
package drawn

import (
	"pgregory.net/rapid"

	"example.org/rungs/workouts"
)

// Workout draws any workout that the notation can say, in normal form.
func Workout(t *rapid.T, label string) workouts.Workout {
	d := drawer{t, label}
	for {
		if w := (workouts.Workout{Items: d.items(2)}).Normal(); len(w.Items) > 0 && w.Size() < 200 {
			return w
		}
	}
}

type drawer struct {
	*rapid.T
	label string
}

func (d drawer) int(low, high int) int { return rapid.IntRange(low, high).Draw(d.T, d.label) }

func (d drawer) items(depth int) []workouts.Item {
	var items []workouts.Item
	for range d.int(1, 3) {
		it := workouts.Item{Count: max(1, d.int(-2, 5))}
		if depth > 0 && d.int(0, 2) == 0 {
			it.Body = d.items(depth - 1)
		} else {
			it.Step = d.step(workouts.Manners)
		}
		if it.Count > 1 && d.int(0, 1) == 0 {
			rest := d.step(append([]workouts.Manner{workouts.Unsaid}, workouts.Manners...))
			it.Rest = &rest
		}
		items = append(items, it)
	}
	return items
}

func (d drawer) step(manners []workouts.Manner) workouts.Step {
	return workouts.Step{Amount: d.amount(), Manner: rapid.SampledFrom(manners).Draw(d.T, d.label), Target: d.target()}
}

func (d drawer) amount() workouts.Amount {
	switch d.int(0, 8) {
	case 0:
		return workouts.Amount{Kind: workouts.Open}
	case 1:
		return workouts.Miles(float64(d.int(1, 40)) / 10)
	case 2, 3, 4:
		return workouts.Metres(float64(d.int(1, 5000)))
	}
	return workouts.Seconds(float64(d.int(1, 4000)))
}

func (d drawer) pace() workouts.Pace {
	switch d.int(0, 6) {
	case 0:
		return workouts.MakePace(float64(d.int(1800, 7000))/10, workouts.PerMile)
	case 1:
		return workouts.MakePace(float64(d.int(400, 2200))/100, workouts.KmPerHour)
	case 2:
		return workouts.MakePace(float64(d.int(300, 1300))/100, workouts.MilesPerH)
	case 3:
		p := workouts.Pace{Name: rapid.SampledFrom([]string{"half", "10k", "5k", "threshold"}).Draw(d.T, d.label)}
		p.Offset.Seconds = float64(d.int(-9, 9))
		return p
	}
	return workouts.MakePace(float64(d.int(1500, 9000))/10, workouts.PerKm)
}

func (d drawer) target() workouts.Target {
	tolerance := workouts.PaceOffset{}
	switch d.int(0, 9) {
	case 0, 1:
		p := d.pace()
		if d.int(0, 2) == 0 {
			tolerance = workouts.PaceOffset{Seconds: float64(d.int(1, 9)), Unit: p.Unit.PerDistance()}
		}
		return workouts.Target{Kind: workouts.PaceTarget, From: p, Tolerance: tolerance}
	case 2, 3:
		a := d.pace()
		b := a
		for b == a { // a band of one pace is written as that pace
			b = d.pace()
		}
		kind := workouts.BandTarget
		if d.int(0, 1) == 0 {
			kind = workouts.ProgressionTarget
		}
		return workouts.Target{Kind: kind, From: a, To: b}
	case 4:
		return workouts.Target{Kind: workouts.QuickerTarget, By: workouts.PaceOffset{Seconds: float64(d.int(0, 5))}}
	case 5:
		return workouts.Target{Kind: workouts.HeartTarget, Heart: d.heart()}
	}
	return workouts.Target{}
}

func (d drawer) heart() workouts.HeartRange {
	h := workouts.HeartRange{Unit: rapid.SampledFrom([]workouts.HeartUnit{
		workouts.BPM, workouts.PercentMax, workouts.PercentReserve, workouts.Zone}).Draw(d.T, d.label)}
	switch h.Unit {
	case workouts.Zone:
		h.Low = float64(d.int(1, 5))
		h.High = min(5, h.Low+float64(d.int(0, 1)))
		return h
	case workouts.BPM:
		h.Low = float64(d.int(100, 150))
		h.High = h.Low + float64(d.int(0, 40))
	default:
		h.Low = float64(d.int(50, 80))
		h.High = h.Low + float64(d.int(0, 20))
	}
	switch d.int(0, 3) {
	case 0:
		h.Low = 0
	case 1:
		h.High = 0
	}
	if h.Unit == workouts.BPM {
		h.LowBPM, h.HighBPM = h.Low, h.High
	}
	return h
}
