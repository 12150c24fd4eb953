package recording

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/muktihari/fit/profile/basetype"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/profile/untyped/fieldnum"
	"github.com/muktihari/fit/proto"
)

// ReadPlan reads the planned workout of a FIT file: a workout file, or an activity
// in which the device kept the workout it followed. The name stands for the file in
// messages. Errors are of type *Error.
func ReadPlan(name string, data io.Reader) (*Plan, error) {
	raw, err := slurp(name, data, MaxBytes, nil)
	if err != nil {
		return nil, err
	}
	if binaryFormat(raw) != fitFormat {
		return nil, refuse(name, ErrFormat, "is no FIT file", "planned workouts are read from FIT files and from the text notation")
	}
	for at := 0; at < len(raw) && binaryFormat(raw[at:]) == fitFormat; {
		f := &fitReader{builder: newBuilder(name, "fit", defaultLimits), planOnly: true}
		size, stopped := f.decode(raw[at:], int64(at))
		switch {
		case f.full != nil:
			return nil, f.full
		case stopped != nil:
			return nil, stopped // a plan must be whole
		case f.planned():
			return f.takePlan(), nil
		}
		at += size
	}
	return nil, refuse(name, ErrNoRecords, "holds no planned workout", "")
}

func (f *fitReader) planned() bool { return len(f.steps) > 0 }

// takePlan orders the steps by index; nil when the file has none.
func (f *fitReader) takePlan() *Plan {
	if !f.planned() {
		return nil
	}
	slices.SortStableFunc(f.steps, func(a, b PlanStep) int { return a.Index - b.Index })
	for i := range f.steps {
		s := &f.steps[i]
		if s.Repeat > 0 && (s.BackTo >= s.Index || s.BackTo < f.steps[0].Index) {
			s.Unsupported = strings.TrimPrefix(s.Unsupported+fmt.Sprintf("; it goes back to step %d, which is not before it", s.BackTo), "; ")
		}
	}
	return &Plan{Name: f.planName, About: f.planAbout, Steps: f.steps}
}

// text reads a string field, "" when it is absent.
func text(m *proto.Message, num byte) string {
	v := m.FieldValueByNum(num)
	s := v.String()
	if v.Type() == proto.TypeSliceString {
		s = strings.Join(v.SliceString(), " ")
	}
	if v.Type() == proto.TypeInvalid || s == basetype.StringInvalid {
		return ""
	}
	return strings.Clone(strings.TrimSpace(strings.ToValidUTF8(s, ""))) // the decoder reuses its memory
}

// step takes one workout_step.
//
// A repeat step (duration type 6) has the index of the step to go back to as
// its duration value and a count as its target value (both from the profile).
// That the count is of all passes, not of those after the first, is from
// memory: the profile says only "number of repetitions", and neither example in
// the libraries' test data decides it. The FIT SDK's example (WorkoutRepeatSteps:
// _A_, B1_, B2_, Rep back to 1 with 3, _C_) names no total, and no activity
// there has both a repeat and laps with step indexes.
func (f *fitReader) step(m *proto.Message) {
	if len(f.steps) >= f.limits.marks {
		f.full = f.tooMany(f.limits.marks, "planned steps")
		return
	}
	s := PlanStep{
		Index:     len(f.steps),
		Name:      text(m, fieldnum.WorkoutStepWktStepName),
		Notes:     text(m, fieldnum.WorkoutStepNotes),
		Intensity: fitIntensity(m.FieldValueByNum(fieldnum.WorkoutStepIntensity).Uint8()),
	}
	if i := m.FieldValueByNum(fieldnum.WorkoutStepMessageIndex).Uint16(); i != basetype.Uint16Invalid {
		s.Index = int(i & 0x0FFF)
	}
	var lost []string
	lose := func(format string, args ...any) { lost = append(lost, fmt.Sprintf(format, args...)) }
	value := m.FieldValueByNum(fieldnum.WorkoutStepDurationValue).Uint32()
	count := m.FieldValueByNum(fieldnum.WorkoutStepTargetValue).Uint32()
	kind := typedef.WktStepDuration(m.FieldValueByNum(fieldnum.WorkoutStepDurationType).Uint8())
	if !s.length(kind, value, count, lose) {
		f.target(m, &s, count, lose)
	}
	if second := typedef.WktStepTarget(m.FieldValueByNum(fieldnum.WorkoutStepSecondaryTargetType).Uint8()); second != typedef.WktStepTargetInvalid && second != typedef.WktStepTargetOpen {
		lose("second target %s", words(second.String()))
	}
	s.Unsupported = strings.Join(lost, "; ")
	f.steps = append(f.steps, s)
}

// length takes how long a step is, or that it repeats others, which it tells.
//
// Branches: one for each kind of the profile.
func (s *PlanStep) length(kind typedef.WktStepDuration, value, count uint32, lose func(string, ...any)) (repeats bool) {
	switch {
	case kind == typedef.WktStepDurationOpen || kind == typedef.WktStepDurationInvalid:
	case value == basetype.Uint32Invalid:
		lose("its length is missing")
	default:
		switch kind {
		case typedef.WktStepDurationTime, typedef.WktStepDurationTimeOnly, typedef.WktStepDurationRepetitionTime:
			s.TimeS = float64(value) / 1000
		case typedef.WktStepDurationDistance:
			s.DistanceM = float64(value) / 100
		case typedef.WktStepDurationRepeatUntilStepsCmplt:
			repeats = true
			s.BackTo, s.Repeat = int(value), 1
			if count != basetype.Uint32Invalid && count > 0 && count <= maxRepeats {
				s.Repeat = int(count)
			} else {
				lose("its number of repeats is missing or beyond %d", maxRepeats)
			}
		case typedef.WktStepDurationRepeatUntilTime, typedef.WktStepDurationRepeatUntilDistance,
			typedef.WktStepDurationRepeatUntilCalories, typedef.WktStepDurationRepeatUntilHrLessThan,
			typedef.WktStepDurationRepeatUntilHrGreaterThan, typedef.WktStepDurationRepeatUntilPowerLessThan,
			typedef.WktStepDurationRepeatUntilPowerGreaterThan, 17, 18, 27: // the last three: until some measure of load
			repeats = true
			s.BackTo, s.Repeat = int(value), 1
			lose("it repeats until something is reached (rule %d, value %d), so how often is not known beforehand", kind, count)
		case typedef.WktStepDurationHrLessThan, typedef.WktStepDurationHrGreaterThan:
			bound, unit := heart(value)
			side := "below"
			if kind == typedef.WktStepDurationHrGreaterThan {
				side = "above"
			}
			lose("it ends when heart rate is %s %.0f %s", side, bound, unit)
		case typedef.WktStepDurationCalories:
			lose("it ends after %d kcal", value)
		default:
			lose("it ends in a way not known here (rule %d, value %d)", kind, value)
		}
	}
	return repeats
}

// maxRepeats bounds a count that can only be damage beyond it.
const maxRepeats = 1000

// target reads what a step is to be run at.
func (f *fitReader) target(m *proto.Message, s *PlanStep, zone uint32, lose func(string, ...any)) {
	low := m.FieldValueByNum(fieldnum.WorkoutStepCustomTargetValueLow).Uint32()
	high := m.FieldValueByNum(fieldnum.WorkoutStepCustomTargetValueHigh).Uint32()
	inZone := zone != 0 && zone != basetype.Uint32Invalid
	switch kind := typedef.WktStepTarget(m.FieldValueByNum(fieldnum.WorkoutStepTargetType).Uint8()); kind {
	case typedef.WktStepTargetOpen, typedef.WktStepTargetInvalid:
	case typedef.WktStepTargetSpeed, typedef.WktStepTargetSpeedLap:
		if inZone {
			lose("speed zone %d", zone)
			return
		}
		if low != basetype.Uint32Invalid {
			s.SpeedLow = float64(low) / 1000
		}
		if high != basetype.Uint32Invalid {
			s.SpeedHigh = float64(high) / 1000
		}
	case typedef.WktStepTargetHeartRate, typedef.WktStepTargetHeartRateLap:
		switch {
		case inZone && zone > 5:
			lose("heart-rate zone %d", zone)
		case inZone:
			s.HeartZone = int(zone)
		default:
			s.heartBounds(low, high, lose)
		}
	default:
		lose("target %s", words(kind.String()))
	}
}

// heartBounds takes the ends of a range of heart rates.
func (s *PlanStep) heartBounds(low, high uint32, lose func(string, ...any)) {
	lowUnit, highUnit := "", ""
	if low != basetype.Uint32Invalid {
		s.HeartLow, lowUnit = heart(low)
	}
	if high != basetype.Uint32Invalid {
		s.HeartHigh, highUnit = heart(high)
	}
	if lowUnit != "" && highUnit != "" && lowUnit != highUnit {
		lose("heart rate from %.0f %s to %.0f %s", s.HeartLow, lowUnit, s.HeartHigh, highUnit)
		s.HeartLow, s.HeartHigh = 0, 0
		return
	}
	s.HeartPercent = lowUnit == percentOfMax || highUnit == percentOfMax
}

const percentOfMax = "% of maximum"

// heart reads a workout_hr: up to 100 it is a percentage of the maximum, above
// it beats a minute plus 100 (FIT profile).
func heart(v uint32) (bound float64, unit string) {
	if v <= 100 {
		return float64(v), percentOfMax
	}
	return float64(v) - 100, "beats/min"
}
