package athlete

import (
	"fmt"
	"math"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
)

// Codes of the warnings of Athlete.Resolve.
const (
	PaceUnknown    = "pace-unknown"    // a reference pace that the athlete does not have
	PaceEstimated  = "pace-estimated"  // a reference pace worked out from a race
	HeartUnknown   = "heart-unknown"   // a heart target that needs rates which are not known
	HeartEstimated = "heart-estimated" // a heart target that rests on a maximum worked out from the age
)

// Resolve fills in what the targets of a workout leave to the athlete:
// reference paces in s/km, heart bounds in beats/min, and the unit of paces and offsets
// that were written without one. What cannot be filled in, and what was
// estimated, is said once each. The given workout is not changed.
func (a Athlete) Resolve(w workouts.Workout) (workouts.Workout, []recording.Warning) {
	r := resolver{athlete: a, said: map[string]bool{}}
	w.Items = r.items(w.Items)
	return w, r.warnings
}

type resolver struct {
	athlete  Athlete
	warnings []recording.Warning
	said     map[string]bool
}

func (r *resolver) warn(code, format string, args ...any) {
	message := fmt.Sprintf(format, args...)
	if !r.said[code+message] {
		r.said[code+message] = true
		r.warnings = append(r.warnings, recording.Warning{Code: code, Message: message, StartS: math.NaN(), EndS: math.NaN()})
	}
}

func (r *resolver) items(items []workouts.Item) []workouts.Item {
	if items == nil {
		return nil
	}
	out := make([]workouts.Item, len(items))
	for i, it := range items {
		it.Step.Target = r.target(it.Step.Target)
		it.Body = r.items(it.Body)
		if it.Rest != nil {
			rest := *it.Rest
			rest.Target = r.target(rest.Target)
			it.Rest = &rest
		}
		out[i] = it
	}
	return out
}

func (r *resolver) target(t workouts.Target) workouts.Target {
	switch t.Kind {
	case workouts.BandTarget, workouts.ProgressionTarget:
		t.From, t.To = r.pace(t.From), r.pace(t.To)
	case workouts.PaceTarget:
		t.From = r.pace(t.From)
	case workouts.QuickerTarget:
		t.By = r.offset(t.By)
	case workouts.HeartTarget:
		t.Heart = r.heart(t.Heart)
	}
	t.Tolerance = r.offset(t.Tolerance)
	return t
}

func (r *resolver) offset(o workouts.PaceOffset) workouts.PaceOffset {
	if o.Seconds != 0 && o.Unit == workouts.AthleteUnit && r.athlete.Miles {
		o.Unit = workouts.PerMile
	}
	return o
}

func (r *resolver) pace(p workouts.Pace) workouts.Pace {
	if p.Name == "" {
		return r.plain(p)
	}
	p.Offset = r.offset(p.Offset)
	ref, ok := r.athlete.Reference(p.Name)
	switch {
	case !ok:
		r.warn(PaceUnknown, "no reference pace is called %q, so steps held to it have no target: %s", p.Name, r.cure(p.Name))
		p.SecPerKm = 0
		return p
	case ref.Estimated && ref.Caution != "":
		r.warn(PaceEstimated, "the pace of %q is estimated from the race over %s; %s", p.Name, distanceText(r.athlete.Race.Metres), ref.Caution)
	case ref.Estimated:
		r.warn(PaceEstimated, "the pace of %q is estimated from the race over %s", p.Name, distanceText(r.athlete.Race.Metres))
	}
	p.SecPerKm = ref.SecPerKm + p.Offset.PerKm()
	if p.SecPerKm < workouts.QuickestPace || p.SecPerKm > workouts.SlowestPace {
		r.warn(PaceUnknown, "%q with its offset is not a pace anyone runs at, so steps held to it have no target", p.Name)
		p.SecPerKm = 0
	}
	return p
}

// plain gives a pace that was written without a unit that of the athlete.
func (r *resolver) plain(p workouts.Pace) workouts.Pace {
	if p.Unit != workouts.AthleteUnit || p.SecPerKm <= 0 {
		return p
	}
	written := p.SecPerKm
	unit := workouts.PerKm
	if r.athlete.Miles {
		unit = workouts.PerMile
	}
	p = workouts.MakePace(written, unit)
	if p.SecPerKm < workouts.QuickestPace || p.SecPerKm > workouts.SlowestPace {
		r.warn(PaceUnknown, "%d:%02d%s is not a pace anyone runs at, so steps held to it have no target", int(written)/60, int(written)%60, unit)
		p.SecPerKm = 0
	}
	return p
}

// cure says how to supply a reference pace.
func (r *resolver) cure(name string) string {
	if near := workouts.Nearest(name, r.athlete.paceNames()); near != "" {
		return fmt.Sprintf("did you mean %q?", near)
	}
	if _, ok := workouts.DistanceOf(name); ok {
		return "set it under [paces] in the athlete file, or set a [race] to estimate it from"
	}
	return "set it under [paces] in the athlete file"
}

func distanceText(metres float64) string {
	if metres >= 2000 {
		return fmt.Sprintf("%.1f km", metres/1000)
	}
	return fmt.Sprintf("%.0f m", metres)
}

func (r *resolver) heart(h workouts.HeartRange) workouts.HeartRange {
	if h.Unit == workouts.BPM {
		h.LowBPM, h.HighBPM = h.Low, h.High
		return h
	}
	h.LowBPM, h.HighBPM = 0, 0
	maxHR, estimated := r.athlete.MaxHeart()
	if h.Unit == workouts.Zone {
		zones, ok := r.athlete.Zones()
		low, _, found := zones.Bounds(int(h.Low))
		_, high, foundHigh := zones.Bounds(int(h.High))
		if ok && !(found && foundHigh) {
			r.warn(HeartUnknown, "there are %d zones, so steps held to zone %.0f have no target", len(zones.Lower), h.High)
			return h
		}
		if ok {
			h.LowBPM, h.HighBPM = low, high
			r.estimated(estimated && zones.Name != "own")
			return h
		}
	}
	switch {
	case maxHR == 0:
		r.warn(HeartUnknown, "the maximum heart rate is not known, so steps held to %s have no target: set max under [heart] in the athlete file", h.Unit)
		return h
	case r.athlete.RestHR == 0 && h.Unit != workouts.PercentMax:
		r.warn(HeartUnknown, "the resting heart rate is not known, so steps held to %s have no target: set rest under [heart] in the athlete file", h.Unit)
		return h
	}
	at := func(percent float64) float64 {
		switch {
		case percent == 0:
			return 0
		case h.Unit == workouts.PercentReserve:
			return Karvonen(percent, maxHR, r.athlete.RestHR)
		}
		return percent / 100 * maxHR
	}
	h.LowBPM, h.HighBPM = at(h.Low), at(h.High)
	r.estimated(estimated)
	return h
}

func (r *resolver) estimated(yes bool) {
	if yes {
		r.warn(HeartEstimated, "the maximum heart rate is estimated from the age and may be wrong by 10 beats/min and more; a measured one belongs in the athlete file, and anyone with symptoms or a heart condition should ask a physician before hard running")
	}
}
