package simulate

import (
	"cmp"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"time"

	"github.com/muktihari/fit/encoder"
	"github.com/muktihari/fit/profile/basetype"
	"github.com/muktihari/fit/profile/factory"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/profile/untyped/fieldnum"
	"github.com/muktihari/fit/profile/untyped/mesgnum"
	"github.com/muktihari/fit/proto"

	"example.org/rungs/segment/recording"
)

// WriteFIT writes a recording as a FIT activity file: records, timer events
// and laps in time order, then the session. Equal recordings give equal bytes.
//
// FIT has whole seconds and absolute times, so the records must lie on whole
// seconds and Start must be set; edges of laps and stops are rounded, the
// length of a lap is kept to the millisecond.
func WriteFIT(w io.Writer, r *recording.Recording) error {
	if r.Len() == 0 {
		return errors.New("a FIT activity needs records, and the recording has none")
	}
	if r.Start.IsZero() {
		return errors.New("a FIT file has absolute times, and the recording has no start time")
	}
	f := fitWriter{r: r}
	f.open()
	f.plan()
	type timed struct {
		at, rank int
		add      func()
	}
	var queue []timed
	for i, t := range r.T {
		if t != math.Trunc(t) {
			return fmt.Errorf("FIT records lie on whole seconds, and record %d is at %g s", i, t)
		}
		queue = append(queue, timed{int(t), 1, func() { f.record(i) }})
	}
	for _, s := range r.Stops {
		queue = append(queue,
			timed{int(math.Round(s.StartS)), 2, func() { f.timer(s.StartS, typedef.EventTypeStopAll) }},
			timed{int(math.Round(s.EndS)), 0, func() { f.timer(s.EndS, typedef.EventTypeStart) }})
	}
	for i, l := range r.Laps {
		queue = append(queue, timed{int(math.Round(l.EndS)), 3, func() { f.lap(i) }})
	}
	slices.SortStableFunc(queue, func(a, b timed) int {
		return cmp.Or(cmp.Compare(a.at, b.at), cmp.Compare(a.rank, b.rank))
	})
	for _, q := range queue {
		q.add()
	}
	f.close()
	// Invalid values are kept, so that one definition serves all records.
	valid := encoder.NewMessageValidator(encoder.ValidatorWithPreserveInvalidValues())
	enc := encoder.New(w, encoder.WithMessageValidator(valid), encoder.WithHeaderOption(encoder.HeaderOptionNormal, 15))
	return enc.Encode(&proto.FIT{Messages: f.messages})
}

type fitWriter struct {
	r        *recording.Recording
	messages []proto.Message
}

// A pair is a field number and its stored value.
type pair struct {
	num   byte
	value any
}

func (f *fitWriter) add(num typedef.MesgNum, pairs ...pair) {
	m := proto.Message{Num: num, Fields: make([]proto.Field, len(pairs))}
	for i, p := range pairs {
		m.Fields[i] = factory.CreateField(num, p.num).WithValue(p.value)
	}
	f.messages = append(f.messages, m)
}

// fitEpoch is 1989-12-31T00:00:00Z in Unix seconds.
const fitEpoch = 631065600

// when is the stored time at t seconds from the first record.
func (f *fitWriter) when(t float64) uint32 {
	return uint32(f.r.Start.Add(time.Duration(math.Round(t))*time.Second).Unix() - fitEpoch)
}

func (f *fitWriter) open() {
	f.add(mesgnum.FileId,
		pair{fieldnum.FileIdType, typedef.FileActivity.Byte()},
		pair{fieldnum.FileIdManufacturer, typedef.ManufacturerDevelopment.Uint16()},
		pair{fieldnum.FileIdProduct, uint16(0)},
		pair{fieldnum.FileIdTimeCreated, f.when(0)})
	f.timer(0, typedef.EventTypeStart)
}

func (f *fitWriter) timer(t float64, kind typedef.EventType) {
	f.add(mesgnum.Event,
		pair{fieldnum.EventTimestamp, f.when(t)},
		pair{fieldnum.EventEvent, typedef.EventTimer.Byte()},
		pair{fieldnum.EventEventType, kind.Byte()})
}

func (f *fitWriter) record(i int) {
	r := f.r
	p := []pair{{fieldnum.RecordTimestamp, f.when(r.T[i])}}
	if r.Latitude.Valid != nil {
		p = append(p, pair{fieldnum.RecordPositionLat, semicircles(r.Latitude, i)},
			pair{fieldnum.RecordPositionLong, semicircles(r.Longitude, i)})
	}
	if r.Distance.Valid != nil {
		p = append(p, pair{fieldnum.RecordDistance, stored32(r.Distance, i, 100, 0)})
	}
	if r.Speed.Valid != nil {
		p = append(p, pair{fieldnum.RecordEnhancedSpeed, stored32(r.Speed, i, 1000, 0)})
	}
	if r.Altitude.Valid != nil {
		p = append(p, pair{fieldnum.RecordEnhancedAltitude, stored32(r.Altitude, i, 5, 500)})
	}
	if r.HeartRate.Valid != nil {
		p = append(p, pair{fieldnum.RecordHeartRate, stored8(r.HeartRate, i, 1)})
	}
	if r.Cadence.Valid != nil {
		// FIT counts strides, two steps each, and their fraction in 1/128.
		whole, part := stored8(r.Cadence, i, 0.5), uint8(basetype.Uint8Invalid)
		if whole != basetype.Uint8Invalid {
			strides := r.Cadence.Value[i] / 2
			whole = uint8(strides)
			part = uint8((strides - math.Floor(strides)) * 128)
		}
		p = append(p, pair{fieldnum.RecordCadence, whole}, pair{fieldnum.RecordFractionalCadence, part})
	}
	f.add(mesgnum.Record, p...)
}

func (f *fitWriter) lap(i int) {
	l := f.r.Laps[i]
	p := append(f.totals(fieldnum.LapTotalElapsedTime, fieldnum.LapTotalTimerTime, fieldnum.LapTotalDistance, l.Span, l.DistanceM),
		pair{fieldnum.LapTimestamp, f.when(l.EndS)},
		pair{fieldnum.LapStartTime, f.when(l.StartS)},
		pair{fieldnum.LapMessageIndex, uint16(i)},
		pair{fieldnum.LapLapTrigger, fitTrigger(l.Trigger)},
		pair{fieldnum.LapIntensity, fitIntensity(l.Intensity)})
	if l.Step >= 0 {
		p = append(p, pair{fieldnum.LapWktStepIndex, uint16(l.Step)})
	}
	f.add(mesgnum.Lap, p...)
}

// totals is the elapsed and timer time and the distance of a span.
func (f *fitWriter) totals(elapsed, timer, distance byte, s recording.Span, metres float64) []pair {
	run := s.Seconds()
	for _, stop := range f.r.Stops {
		run -= max(0, min(s.EndS, stop.EndS)-max(s.StartS, stop.StartS))
	}
	p := []pair{
		{elapsed, uint32(math.Round(s.Seconds() * 1000))},
		{timer, uint32(math.Round(run * 1000))},
	}
	if !math.IsNaN(metres) {
		p = append(p, pair{distance, uint32(math.Round(metres * 100))})
	}
	return p
}

func (f *fitWriter) close() {
	r := f.r
	end := r.Duration()
	f.timer(end, typedef.EventTypeStopAll)
	sport, sub := fitSport(r.Sport, r.Place)
	whole := recording.Span{EndS: end}
	p := append(f.totals(fieldnum.SessionTotalElapsedTime, fieldnum.SessionTotalTimerTime, fieldnum.SessionTotalDistance, whole, r.Summary.DistanceM),
		pair{fieldnum.SessionTimestamp, f.when(end)},
		pair{fieldnum.SessionStartTime, f.when(0)},
		pair{fieldnum.SessionSport, sport},
		pair{fieldnum.SessionSubSport, sub},
		pair{fieldnum.SessionFirstLapIndex, uint16(0)},
		pair{fieldnum.SessionNumLaps, uint16(len(r.Laps))},
		pair{fieldnum.SessionTrigger, typedef.SessionTriggerActivityEnd.Byte()})
	f.add(mesgnum.Session, p...)
	f.add(mesgnum.Activity,
		pair{fieldnum.ActivityTimestamp, f.when(end)},
		pair{fieldnum.ActivityTotalTimerTime, f.totals(0, 1, 2, whole, math.NaN())[1].value},
		pair{fieldnum.ActivityNumSessions, uint16(1)},
		pair{fieldnum.ActivityType, typedef.ActivityManual.Byte()},
		pair{fieldnum.ActivityEvent, typedef.EventActivity.Byte()},
		pair{fieldnum.ActivityEventType, typedef.EventTypeStop.Byte()})
}

// plan writes the planned workout, if the recording carries one.
func (f *fitWriter) plan() {
	if f.r.Plan == nil {
		return
	}
	steps := f.r.Plan.Steps
	f.add(mesgnum.Workout,
		pair{fieldnum.WorkoutSport, typedef.SportRunning.Byte()},
		pair{fieldnum.WorkoutNumValidSteps, uint16(len(steps))},
		pair{fieldnum.WorkoutWktName, f.r.Plan.Name})
	for _, s := range steps {
		p := []pair{{fieldnum.WorkoutStepMessageIndex, uint16(s.Index)}}
		kind, value := typedef.WktStepDurationOpen, uint32(0)
		switch {
		case s.Repeat > 0:
			kind, value = typedef.WktStepDurationRepeatUntilStepsCmplt, uint32(s.BackTo)
		case s.TimeS > 0:
			kind, value = typedef.WktStepDurationTime, uint32(math.Round(s.TimeS*1000))
		case s.DistanceM > 0:
			kind, value = typedef.WktStepDurationDistance, uint32(math.Round(s.DistanceM*100))
		}
		p = append(p, pair{fieldnum.WorkoutStepDurationType, kind.Byte()}, pair{fieldnum.WorkoutStepDurationValue, value})
		switch {
		case s.Repeat > 0:
			p = append(p, pair{fieldnum.WorkoutStepTargetValue, uint32(s.Repeat)})
		case s.SpeedLow > 0:
			p = append(p, pair{fieldnum.WorkoutStepTargetType, typedef.WktStepTargetSpeed.Byte()},
				pair{fieldnum.WorkoutStepTargetValue, uint32(0)},
				pair{fieldnum.WorkoutStepCustomTargetValueLow, uint32(math.Round(s.SpeedLow * 1000))},
				pair{fieldnum.WorkoutStepCustomTargetValueHigh, uint32(math.Round(s.SpeedHigh * 1000))})
		default:
			p = append(p, pair{fieldnum.WorkoutStepTargetType, typedef.WktStepTargetOpen.Byte()})
		}
		if s.Repeat == 0 {
			p = append(p, pair{fieldnum.WorkoutStepIntensity, fitIntensity(s.Intensity)})
		}
		if s.Name != "" {
			p = append(p, pair{fieldnum.WorkoutStepWktStepName, s.Name})
		}
		f.add(mesgnum.WorkoutStep, p...)
	}
}

func stored32(s recording.Stream, i int, scale, offset float64) uint32 {
	if v, ok := s.At(i); ok {
		return uint32(math.Round((v + offset) * scale))
	}
	return basetype.Uint32Invalid
}

func stored8(s recording.Stream, i int, scale float64) uint8 {
	if v, ok := s.At(i); ok {
		return uint8(min(254, max(0, math.Round(v*scale))))
	}
	return basetype.Uint8Invalid
}

func semicircles(s recording.Stream, i int) int32 {
	if v, ok := s.At(i); ok {
		return int32(math.Round(v / 180 * (1 << 31)))
	}
	return basetype.Sint32Invalid
}

func fitTrigger(t recording.Trigger) byte {
	switch t {
	case recording.ManualTrigger:
		return typedef.LapTriggerManual.Byte()
	case recording.DistanceTrigger:
		return typedef.LapTriggerDistance.Byte()
	case recording.TimeTrigger:
		return typedef.LapTriggerTime.Byte()
	case recording.PositionTrigger:
		return typedef.LapTriggerPositionLap.Byte()
	case recording.SessionEnd:
		return typedef.LapTriggerSessionEnd.Byte()
	}
	return typedef.LapTriggerInvalid.Byte()
}

func fitIntensity(i recording.Intensity) byte {
	switch i {
	case recording.Active:
		return typedef.IntensityActive.Byte()
	case recording.Rest:
		return typedef.IntensityRest.Byte()
	case recording.WarmUp:
		return typedef.IntensityWarmup.Byte()
	case recording.CoolDown:
		return typedef.IntensityCooldown.Byte()
	}
	return typedef.IntensityInvalid.Byte()
}

func fitSport(s recording.Sport, p recording.Place) (sport, sub byte) {
	kind := typedef.SportGeneric
	switch s {
	case recording.Running:
		kind = typedef.SportRunning
	case recording.Walking:
		kind = typedef.SportWalking
	}
	under := typedef.SubSportGeneric
	switch p {
	case recording.Treadmill:
		under = typedef.SubSportTreadmill
	case recording.Track:
		under = typedef.SubSportTrack
	case recording.Trail:
		under = typedef.SubSportTrail
	case recording.Outdoors:
		under = typedef.SubSportStreet
	}
	return kind.Byte(), under.Byte()
}
