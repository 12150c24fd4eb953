package recording

import (
	"fmt"
	"math"
	"strings"

	"github.com/muktihari/fit/profile/basetype"
	"github.com/muktihari/fit/profile/typedef"
	"github.com/muktihari/fit/profile/untyped/fieldnum"
	"github.com/muktihari/fit/profile/untyped/mesgnum"
	"github.com/muktihari/fit/proto"
)

// FIT counts seconds from 1989-12-31T00:00:00Z (FIT profile, date_time).
const fitEpoch = 631065600

// semicircle is a FIT unit of angle in degrees.
const semicircle = 180.0 / (1 << 31)

// A fitReader hears the messages of one FIT file in file order.
type fitReader struct {
	*builder
	kind    typedef.File
	untimed int
	full    error  // there is more of something than the limits allow
	packed  uint32 // compressed distance so far, 1/16 m
	apart   int    // heart-rate messages outside the records
	lapped  Sport  // what the first lap says

	planOnly  bool // nothing but a planned workout is wanted
	planName  string
	planAbout string
	steps     []PlanStep

	developer      map[[2]byte]*developerField // by developer index and field number
	developerOrder [][2]byte
}

// recordings finishes one FIT file, given why decoding stopped.
func (f *fitReader) recordings(stopped *Error) ([]*Recording, error) {
	if f.full != nil {
		return nil, f.full
	}
	if len(f.points) == 0 {
		switch {
		case stopped != nil:
			return nil, stopped
		case f.untimed > 0:
			return nil, refuse(f.name, ErrNoRecords, fmt.Sprintf("holds %s, and none has a time", count(f.untimed, "record")), "")
		case f.kind == typedef.FileWorkout:
			return nil, refuse(f.name, ErrPlanOnly, "is a planned workout, not a recording", "give it as the plan")
		case f.kind == typedef.FileActivity:
			return nil, refuse(f.name, ErrNoRecords, "is an activity without records", "")
		}
		return nil, refuse(f.name, ErrNoRecords, fmt.Sprintf("is a FIT file of type %q and holds no records", words(f.kind.String())), "give an activity file")
	}
	if stopped != nil {
		f.note(CutShort, "the file is damaged at byte %d (%s), and what was written before was read",
			stopped.Offset, strings.TrimPrefix(stopped.Reason, "is a damaged FIT file: "))
	}
	if f.sport == SportUnknown {
		f.sport = f.lapped
	}
	f.settleDeveloper()
	f.plan = f.takePlan()
	if f.untimed > 0 {
		f.note(MissingTime, "%s without a time left out", count(f.untimed, "record"))
	}
	return f.finish()
}

// OnMesg takes one message; the decoder calls it.
func (f *fitReader) OnMesg(m proto.Message) {
	if f.full != nil {
		return
	}
	switch {
	case m.Num == mesgnum.Workout:
		f.planName = text(&m, fieldnum.WorkoutWktName)
		f.planAbout = text(&m, fieldnum.WorkoutWktDescription)
		return
	case m.Num == mesgnum.WorkoutStep:
		f.step(&m)
		return
	case f.planOnly:
		return
	}
	switch m.Num {
	case mesgnum.Record:
		f.record(&m)
	case mesgnum.FieldDescription:
		f.describe(&m)
	case mesgnum.Hr:
		f.apart++
	case mesgnum.Lap, mesgnum.Event, mesgnum.Session:
		if f.full = f.mark(); f.full != nil {
			return
		}
		switch m.Num {
		case mesgnum.Lap:
			f.lap(&m)
		case mesgnum.Event:
			f.event(&m)
		case mesgnum.Session:
			f.session(&m)
		}
	case mesgnum.Sport:
		f.sport, f.place = sportAndPlace(&m, fieldnum.SportSport, fieldnum.SportSubSport)
	case mesgnum.FileId:
		f.kind = typedef.File(m.FieldValueByNum(fieldnum.FileIdType).Uint8())
	}
}

// record takes one record.
//
// Branches: one for each field that is read.
func (f *fitReader) record(m *proto.Message) {
	p := blank(math.MinInt64)
	speed, altitude, fraction := math.NaN(), math.NaN(), math.NaN()
	for i := range m.Fields {
		v := m.Fields[i].Value
		switch m.Fields[i].Num {
		case fieldnum.RecordTimestamp:
			if t := v.Uint32(); t != basetype.Uint32Invalid {
				p.at = fitTime(t)
			}
		case fieldnum.RecordDistance:
			p.v[colDistance] = scaled32(v, 100, 0)
		case fieldnum.RecordEnhancedSpeed:
			p.v[colSpeed] = scaled32(v, 1000, 0)
		case fieldnum.RecordSpeed:
			speed = scaled16(v, 1000, 0)
		case fieldnum.RecordEnhancedAltitude:
			p.v[colAltitude] = scaled32(v, 5, 500)
		case fieldnum.RecordAltitude:
			altitude = scaled16(v, 5, 500)
		case fieldnum.RecordHeartRate:
			p.v[colHeart] = scaled8(v, 1)
		case fieldnum.RecordCompressedSpeedDistance:
			if b := v.SliceUint8(); len(b) == 3 && !(b[0] == 0xFF && b[1] == 0xFF && b[2] == 0xFF) {
				f.unpack(&p, b)
			}
		case fieldnum.RecordCadence:
			p.v[colCadence] = scaled8(v, 1)
		case fieldnum.RecordFractionalCadence:
			fraction = scaled8(v, 128)
		case fieldnum.RecordPositionLat:
			p.v[colLatitude] = degrees(v)
		case fieldnum.RecordPositionLong:
			p.v[colLongitude] = degrees(v)
		}
	}
	if p.at == math.MinInt64 {
		f.untimed++
		return
	}
	p.v[colSpeed] = either(p.v[colSpeed], speed)
	p.v[colAltitude] = either(p.v[colAltitude], altitude)
	if fraction == fraction {
		p.v[colCadence] += fraction
	}
	if f.full = f.add(p); f.full != nil {
		return
	}
	if f.developer != nil {
		f.extend(m)
	}
}

// unpack reads compressed_speed_distance: 12 bits of speed in cm/s, then 12
// bits of distance in 1/16 m, which roll over (FIT profile).
func (f *fitReader) unpack(p *point, b []byte) {
	speed := uint32(b[0]) | uint32(b[1]&0x0F)<<8
	distance := uint32(b[1]>>4) | uint32(b[2])<<4
	f.packed += (distance - f.packed) & 0xFFF
	p.v[colSpeed] = float64(speed) / 100
	p.v[colDistance] = float64(f.packed) / 16
}

func (f *fitReader) lap(m *proto.Message) {
	start := m.FieldValueByNum(fieldnum.LapStartTime).Uint32()
	end := m.FieldValueByNum(fieldnum.LapTimestamp).Uint32()
	elapsed := scaled32(m.FieldValueByNum(fieldnum.LapTotalElapsedTime), 1000, 0)
	l := lapMark{after: len(f.points)}
	switch {
	case start == basetype.Uint32Invalid && (end == basetype.Uint32Invalid || elapsed != elapsed):
		return // it has no place in time
	case start == basetype.Uint32Invalid:
		l.end = fitTime(end)
		l.start = l.end - int64(elapsed*1e9)
	case elapsed == elapsed:
		l.start = fitTime(start)
		l.end = l.start + int64(elapsed*1e9)
	case end != basetype.Uint32Invalid:
		l.start, l.end = fitTime(start), fitTime(end)
	default:
		l.start = fitTime(start)
		l.end = l.start
	}
	l.DistanceM = scaled32(m.FieldValueByNum(fieldnum.LapTotalDistance), 100, 0)
	l.Step = -1
	if step := m.FieldValueByNum(fieldnum.LapWktStepIndex).Uint16(); step != basetype.Uint16Invalid {
		l.Step = int(step & 0x0FFF) // message_index: the upper bits are flags
	}
	switch typedef.LapTrigger(m.FieldValueByNum(fieldnum.LapLapTrigger).Uint8()) {
	case typedef.LapTriggerManual:
		l.Trigger = ManualTrigger
	case typedef.LapTriggerTime:
		l.Trigger = TimeTrigger
	case typedef.LapTriggerDistance:
		l.Trigger = DistanceTrigger
	case typedef.LapTriggerPositionStart, typedef.LapTriggerPositionLap,
		typedef.LapTriggerPositionWaypoint, typedef.LapTriggerPositionMarked:
		l.Trigger = PositionTrigger
	case typedef.LapTriggerSessionEnd:
		l.Trigger = SessionEnd
	}
	l.Intensity = fitIntensity(m.FieldValueByNum(fieldnum.LapIntensity).Uint8())
	f.laps = append(f.laps, l)
	if f.lapped == SportUnknown {
		f.lapped, _ = sportAndPlace(m, fieldnum.LapSport, fieldnum.LapSubSport)
	}
}

func fitIntensity(v uint8) Intensity {
	switch typedef.Intensity(v) {
	case typedef.IntensityActive, typedef.IntensityInterval:
		return Active
	case typedef.IntensityRest, typedef.IntensityRecovery:
		return Rest
	case typedef.IntensityWarmup:
		return WarmUp
	case typedef.IntensityCooldown:
		return CoolDown
	}
	return IntensityUnknown
}

func (f *fitReader) event(m *proto.Message) {
	at := m.FieldValueByNum(fieldnum.EventTimestamp).Uint32()
	if typedef.Event(m.FieldValueByNum(fieldnum.EventEvent).Uint8()) != typedef.EventTimer || at == basetype.Uint32Invalid {
		return
	}
	s := timerSwitch{at: fitTime(at), after: len(f.points)}
	switch typedef.EventType(m.FieldValueByNum(fieldnum.EventEventType).Uint8()) {
	case typedef.EventTypeStart:
		s.running = true
	case typedef.EventTypeStop, typedef.EventTypeStopAll, typedef.EventTypeStopDisable, typedef.EventTypeStopDisableAll:
	default:
		return
	}
	f.switches = append(f.switches, s)
}

func (f *fitReader) session(m *proto.Message) {
	p := part{after: len(f.points)}
	p.sport, p.place = sportAndPlace(m, fieldnum.SessionSport, fieldnum.SessionSubSport)
	p.summary = Summary{
		ElapsedS:  scaled32(m.FieldValueByNum(fieldnum.SessionTotalElapsedTime), 1000, 0),
		TimerS:    scaled32(m.FieldValueByNum(fieldnum.SessionTotalTimerTime), 1000, 0),
		DistanceM: scaled32(m.FieldValueByNum(fieldnum.SessionTotalDistance), 100, 0),
	}
	start := m.FieldValueByNum(fieldnum.SessionStartTime).Uint32()
	if start == basetype.Uint32Invalid {
		if len(f.parts) > 0 {
			return // no telling which records are its
		}
		start = 0
	}
	p.start = fitTime(start)
	f.parts = append(f.parts, p)
}

// sportAndPlace reads a sport and a sub-sport field.
func sportAndPlace(m *proto.Message, sport, sub byte) (Sport, Place) {
	var s Sport
	switch v := typedef.Sport(m.FieldValueByNum(sport).Uint8()); v {
	case typedef.SportInvalid, typedef.SportGeneric, typedef.SportAll:
	default:
		s = Sport(words(v.String()))
	}
	kind := typedef.SubSport(m.FieldValueByNum(sub).Uint8())
	if s == "fitness equipment" && kind == typedef.SubSportTreadmill {
		s = Running
	}
	switch kind {
	case typedef.SubSportTreadmill, typedef.SubSportIndoorRunning, typedef.SubSportIndoorWalking:
		return s, Treadmill
	case typedef.SubSportTrail:
		return s, Trail
	case typedef.SubSportTrack:
		return s, Track
	case typedef.SubSportStreet:
		return s, Outdoors
	}
	return s, PlaceUnknown
}

// words turns a profile name into words.
func words(name string) string { return strings.ReplaceAll(strings.ToLower(name), "_", " ") }

// fitTime is a date_time in ns since 1970.
func fitTime(t uint32) int64 { return (int64(t) + fitEpoch) * 1e9 }

// The scaled functions decode a value as (stored / scale) - offset; NaN when
// the file marks it invalid.
func scaled8(v proto.Value, scale float64) float64 {
	if x := v.Uint8(); x != basetype.Uint8Invalid {
		return float64(x) / scale
	}
	return math.NaN()
}

func scaled16(v proto.Value, scale, offset float64) float64 {
	if x := v.Uint16(); x != basetype.Uint16Invalid {
		return float64(x)/scale - offset
	}
	return math.NaN()
}

func scaled32(v proto.Value, scale, offset float64) float64 {
	if x := v.Uint32(); x != basetype.Uint32Invalid {
		return float64(x)/scale - offset
	}
	return math.NaN()
}

// degrees decodes semicircles.
func degrees(v proto.Value) float64 {
	if x := v.Int32(); x != basetype.Sint32Invalid {
		return float64(x) * semicircle
	}
	return math.NaN()
}

// either is a, or b where a is not a number.
func either(a, b float64) float64 {
	if a == a {
		return a
	}
	return b
}
