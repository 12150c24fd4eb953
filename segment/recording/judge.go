package recording

import (
	"fmt"
	"slices"
)

// judge puts units right that the format leaves open and warns of what is odd
// about the streams.
func (r *Recording) judge() {
	r.judgeHeart()
	r.judgeCadence()
}

// judgeHeart drops heart rates of zero: a sensor writes zero when it has none.
func (r *Recording) judgeHeart() {
	zeros, first, last := 0, 0, 0
	for i, ok := range r.HeartRate.Valid {
		if ok && r.HeartRate.Value[i] <= 0 {
			if zeros == 0 {
				first = i
			}
			zeros, last = zeros+1, i
			r.HeartRate.Value[i], r.HeartRate.Valid[i] = 0, false
		}
	}
	switch {
	case zeros == 0:
	case r.HeartRate.Count() == 0:
		r.HeartRate = Stream{}
		r.warnAll(HeartRateAllZero, "heart rate is zero throughout, so it was not measured")
	default:
		r.Warn(HeartRateZero, fmt.Sprintf("heart rate is zero in %s and was not measured there", count(zeros, "record")), r.T[first], r.T[last])
	}
}

// Above this a median cadence cannot be strides a minute, and below it not
// running steps a minute (common practice, no source: runners take 140 to 200).
const cadenceBorder = 120

// judgeCadence turns strides into steps for those on foot, and drops the
// turns of anything else.
func (r *Recording) judgeCadence() {
	switch r.Sport {
	case Running, Walking, SportUnknown, "hiking", "generic", "training", "transition", "multisport", "fitness equipment":
	default:
		r.Cadence = Stream{}
		return
	}
	var moving []float64
	for i, ok := range r.Cadence.Valid {
		if ok && r.Cadence.Value[i] > 0 {
			moving = append(moving, r.Cadence.Value[i])
		}
	}
	if len(moving) == 0 {
		return
	}
	slices.Sort(moving)
	if median := moving[len(moving)/2]; median >= cadenceBorder {
		if r.Format == "fit" {
			r.warnAll(CadenceInSteps, fmt.Sprintf("cadence was taken as steps, not strides: half of it is over %.0f a minute", median))
		}
		return
	}
	for i := range r.Cadence.Value {
		r.Cadence.Value[i] *= 2
	}
}
