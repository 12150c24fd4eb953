// Package fitfile trades workouts with watches: plans to FIT workout files and back, and
// what such a file cannot say.
package fitfile

import (
	"errors"
	"fmt"
	"hash/fnv"
	"io"
	"math"
	"strings"
	"unicode/utf8"

	"github.com/muktihari/fit/encoder"
	"github.com/muktihari/fit/profile/factory"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/profile/untyped/fieldnum"
	"github.com/muktihari/fit/profile/untyped/mesgnum"
	"github.com/muktihari/fit/proto"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
)

// Limits of the format: a field's size is one byte, which counts the zero at
// the end of a text; an index of a message has twelve bits (FIT profile,
// message_index).
const (
	maxText  = 254
	maxSteps = 4096
)

// ErrSteps is returned for a workout that a FIT file cannot hold.
var ErrSteps = errors.New("a FIT workout has from 1 to 4096 steps")

// Write writes a workout as a FIT workout file. Equal workouts give equal
// bytes. For targets that name a pace or a zone of the athlete's, resolve the
// workout first.
//
// A progression over repeats gives each rep a step and a target of its own. What
// steps of that format cannot say (quicker, a progression within a step, a named pace,
// a speed rather than a pace) is also written as the note of its step, in the
// notation, so that Read reads it back and the watch shows it. Lost says
// what became of each of these, and names what is not in the file at all.
func Write(w io.Writer, wk workouts.Workout) (lost []string, err error) {
	plan, lost := planOf(wk)
	if n := len(plan.Steps); n == 0 || n > maxSteps {
		return nil, fmt.Errorf("%w; this one has %d", ErrSteps, n)
	}
	about, dropped := description(wk)
	lost = append(lost, dropped...)
	f := fitWriter{}
	name := cutText(plan.Name)
	if name != plan.Name {
		lost = append(lost, fmt.Sprintf("the name is cut to %q", name))
	}
	f.open(plan, about)
	f.add(mesgnum.Workout,
		field{fieldnum.WorkoutSport, typedef.SportRunning.Byte()},
		field{fieldnum.WorkoutNumValidSteps, uint16(len(plan.Steps))},
		text(fieldnum.WorkoutWktName, name),
		text(fieldnum.WorkoutWktDescription, about))
	for _, s := range plan.Steps {
		f.step(s)
	}
	enc := encoder.New(w, encoder.WithHeaderOption(encoder.HeaderOptionNormal, 15))
	return lost, enc.Encode(&proto.FIT{Messages: f.messages})
}

// cutText shortens a text to what a field holds, at a character.
func cutText(s string) string {
	if len(s) <= maxText {
		return s
	}
	s = s[:maxText]
	for !utf8.ValidString(s) {
		s = s[:len(s)-1]
	}
	return s
}

// description holds the tags and the note, as in the header of a library file.
func description(w workouts.Workout) (about string, dropped []string) {
	var lines []string
	if len(w.Tags) > 0 {
		lines = append(lines, "tags: "+strings.Join(w.Tags, ", "))
	}
	for line := range strings.SplitSeq(w.Note, "\n") {
		if line != "" {
			lines = append(lines, "note: "+line)
		}
	}
	for len(lines) > 0 && len(strings.Join(lines, "\n")) > maxText {
		dropped = append(dropped, fmt.Sprintf("no room for %q", lines[len(lines)-1]))
		lines = lines[:len(lines)-1]
	}
	return strings.Join(lines, "\n"), dropped
}

type fitWriter struct{ messages []proto.Message }

// A field is a field number and its stored value, nil to leave it out.
type field struct {
	num   byte
	value any
}

// text is a text field, left out when it is empty.
func text(num byte, s string) field {
	if s == "" {
		return field{num, nil}
	}
	return field{num, s}
}

func (f *fitWriter) add(num typedef.MesgNum, fields ...field) {
	m := proto.Message{Num: num}
	for _, p := range fields {
		if p.value != nil {
			m.Fields = append(m.Fields, factory.CreateField(num, p.num).WithValue(p.value))
		}
	}
	f.messages = append(f.messages, m)
}

// fitCreated is when every workout file is said to have been made, in seconds
// of the format (8 September 2021), so that the bytes do not depend on a clock.
const fitCreated = uint32(1_000_000_000)

// open writes the head of the file. Watches tell files apart by serial number
// and time, so the number is made from the contents.
func (f *fitWriter) open(plan recording.Plan, about string) {
	h := fnv.New32a()
	fmt.Fprintf(h, "%q %q %v", plan.Name, about, plan.Steps)
	f.add(mesgnum.FileId,
		field{fieldnum.FileIdType, typedef.FileWorkout.Byte()},
		field{fieldnum.FileIdManufacturer, typedef.ManufacturerDevelopment.Uint16()},
		field{fieldnum.FileIdProduct, uint16(0)},
		field{fieldnum.FileIdSerialNumber, max(h.Sum32(), 1)},
		field{fieldnum.FileIdTimeCreated, fitCreated})
}

func (f *fitWriter) step(s recording.PlanStep) {
	kind, length := typedef.WktStepDurationOpen, uint32(0)
	switch {
	case s.Repeat > 0:
		kind, length = typedef.WktStepDurationRepeatUntilStepsCmplt, uint32(s.BackTo)
	case s.TimeS > 0:
		kind, length = typedef.WktStepDurationTime, scaled(s.TimeS, 1000)
	case s.DistanceM > 0:
		kind, length = typedef.WktStepDurationDistance, scaled(s.DistanceM, 100)
	}
	target, value := typedef.WktStepTargetOpen, uint32(0)
	low, high := field{fieldnum.WorkoutStepCustomTargetValueLow, nil}, field{fieldnum.WorkoutStepCustomTargetValueHigh, nil}
	switch {
	case s.Repeat > 0:
		value = uint32(s.Repeat)
	case s.SpeedHigh > 0:
		target = typedef.WktStepTargetSpeed
		low.value, high.value = scaled(s.SpeedLow, 1000), scaled(s.SpeedHigh, 1000)
	case s.HeartZone > 0:
		target, value = typedef.WktStepTargetHeartRate, uint32(s.HeartZone)
	case s.HeartLow > 0 || s.HeartHigh > 0:
		target = typedef.WktStepTargetHeartRate
		offset := 100.0 // beats a minute stand above the percentages
		if s.HeartPercent {
			offset = 0
		}
		if s.HeartLow > 0 {
			low.value = scaled(s.HeartLow+offset, 1)
		}
		if s.HeartHigh > 0 {
			high.value = scaled(s.HeartHigh+offset, 1)
		}
	}
	intensity := field{fieldnum.WorkoutStepIntensity, nil}
	if s.Repeat == 0 {
		intensity.value = fitIntensity(s.Intensity)
	}
	f.add(mesgnum.WorkoutStep,
		field{fieldnum.WorkoutStepMessageIndex, uint16(s.Index)},
		text(fieldnum.WorkoutStepWktStepName, s.Name),
		field{fieldnum.WorkoutStepDurationType, kind.Byte()},
		field{fieldnum.WorkoutStepDurationValue, length},
		field{fieldnum.WorkoutStepTargetType, target.Byte()},
		field{fieldnum.WorkoutStepTargetValue, value},
		low, high, intensity,
		text(fieldnum.WorkoutStepNotes, s.Notes))
}

func scaled(v, scale float64) uint32 { return uint32(math.Round(v * scale)) }

func fitIntensity(i recording.Intensity) byte {
	switch i {
	case recording.Rest:
		return typedef.IntensityRest.Byte()
	case recording.WarmUp:
		return typedef.IntensityWarmup.Byte()
	case recording.CoolDown:
		return typedef.IntensityCooldown.Byte()
	}
	return typedef.IntensityActive.Byte()
}
