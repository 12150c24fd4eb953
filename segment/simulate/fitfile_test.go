package simulate

import (
	"bytes"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/muktihari/fit/decoder"
	"github.com/muktihari/fit/profile/untyped/mesgnum"
	"github.com/tormoder/fit"

	"example.org/rungs/segment/recording"
)

// fitOf records one session of a kind with a device and writes it.
func fitOf(t *testing.T, kind, device string, seed uint64) (*recording.Recording, []byte) {
	t.Helper()
	k, ok := KindNamed(kind)
	d, ok2 := DeviceNamed(device)
	if !ok || !ok2 {
		t.Fatalf("no kind %q or no device %q", kind, device)
	}
	r, _ := Run(k.Make(seed), d, seed)
	var b bytes.Buffer
	if err := WriteFIT(&b, r); err != nil {
		t.Fatal(err)
	}
	return r, b.Bytes()
}

var fitCases = []struct{ kind, device string }{
	{"800s by distance", "watch with smart recording"},
	{"4 minute reps", "watch leading through steps"},
	{"easy with traffic lights", "watch in the city"},
	{"sets of 200s stood", "watch with foot sensor"},
	{"treadmill progression of reps", "treadmill's own file"},
	{"treadmill 3 minute reps", "treadmill, heart rate only"},
}

// The file is read by an independent library, github.com/tormoder/fit.
func TestWriteFITReadsBackElsewhere(t *testing.T) {
	for i, c := range fitCases {
		t.Run(c.kind+"/"+c.device, func(t *testing.T) {
			r, data := fitOf(t, c.kind, c.device, uint64(i))
			file, err := fit.Decode(bytes.NewReader(data), fit.WithUnknownFields(), fit.WithUnknownMessages())
			if err != nil {
				t.Fatal(err)
			}
			if len(file.UnknownFields) > 0 || r.Plan == nil && len(file.UnknownMessages) > 0 {
				t.Errorf("unknown fields %v, messages %v", file.UnknownFields, file.UnknownMessages)
			}
			a, err := file.Activity()
			if err != nil {
				t.Fatal(err)
			}
			if len(a.Records) != r.Len() || len(a.Laps) != len(r.Laps) || len(a.Sessions) != 1 || len(a.Events) != 2+2*len(r.Stops) {
				t.Fatalf("%d records, %d laps, %d sessions, %d events; want %d, %d, 1, %d",
					len(a.Records), len(a.Laps), len(a.Sessions), len(a.Events), r.Len(), len(r.Laps), 2+2*len(r.Stops))
			}
			for i, m := range a.Records {
				if got := m.Timestamp.Sub(r.Start).Seconds(); got != r.T[i] {
					t.Fatalf("record %d at %g s, want %g", i, got, r.T[i])
				}
				near(t, i, "distance", m.GetDistanceScaled(), r.Distance, 0.006)
				near(t, i, "speed", m.GetEnhancedSpeedScaled(), r.Speed, 0.0006)
				near(t, i, "altitude", m.GetEnhancedAltitudeScaled(), r.Altitude, 0.01)
				near(t, i, "heart rate", orNaN8(m.HeartRate), r.HeartRate, 0)
				near(t, i, "cadence", 2*(orNaN8(m.Cadence)+m.GetFractionalCadenceScaled()), r.Cadence, 0)
				near(t, i, "latitude", m.PositionLat.Degrees(), r.Latitude, 5e-8)
				near(t, i, "longitude", m.PositionLong.Degrees(), r.Longitude, 5e-8)
			}
			for i, m := range a.Laps {
				l := r.Laps[i]
				if d := m.GetTotalElapsedTimeScaled() - l.Seconds(); math.Abs(d) > 0.0006 {
					t.Errorf("lap %d is %g s too long", i, d)
				}
				if d := m.StartTime.Sub(r.Start.Add(time.Duration(l.StartS * 1e9))); d.Abs() > 501*time.Millisecond {
					t.Errorf("lap %d starts %v off", i, d)
				}
				if l.Step >= 0 && int(m.WktStepIndex) != l.Step {
					t.Errorf("lap %d is of step %d, want %d", i, m.WktStepIndex, l.Step)
				}
			}
			s := a.Sessions[0]
			if s.Sport != fit.SportRunning || (r.Place == recording.Treadmill) != (s.SubSport == fit.SubSportTreadmill) {
				t.Errorf("sport %v, sub-sport %v for a run at %q", s.Sport, s.SubSport, r.Place)
			}
			if d := s.GetTotalTimerTimeScaled() - r.Summary.TimerS; math.Abs(d) > 0.001 {
				t.Errorf("timer time is off by %g s", d)
			}
		})
	}
}

func orNaN8(v uint8) float64 {
	if v == 0xFF {
		return math.NaN()
	}
	return float64(v)
}

// near compares a decoded value with record i of a stream; NaN is absent.
func near(t *testing.T, i int, what string, got float64, s recording.Stream, tolerance float64) {
	t.Helper()
	want, ok := s.At(i)
	if ok == math.IsNaN(got) || ok && math.Abs(got-want) > tolerance {
		t.Fatalf("record %d: %s is %g, want %g (present: %v)", i, what, got, want, ok)
	}
}

func TestWriteFITIsReproducibleAndInterleaved(t *testing.T) {
	for i, c := range fitCases {
		_, data := fitOf(t, c.kind, c.device, uint64(i))
		if _, again := fitOf(t, c.kind, c.device, uint64(i)); !bytes.Equal(data, again) {
			t.Errorf("%s on %s: two writings differ", c.kind, c.device)
		}
		file, err := decoder.New(bytes.NewReader(data)).Decode()
		if err != nil {
			t.Fatal(err)
		}
		last := uint32(0)
		for k, m := range file.Messages {
			if m.Num != mesgnum.Record && m.Num != mesgnum.Lap && m.Num != mesgnum.Event {
				continue
			}
			at := m.FieldValueByNum(253).Uint32() // timestamp, in every message
			if at < last {
				t.Errorf("%s on %s: message %d (%v) goes back in time", c.kind, c.device, k, m.Num)
			}
			last = at
		}
	}
}

func TestWriteFITRefusesWhatFITCannotHold(t *testing.T) {
	start := time.Date(2026, 3, 3, 0, 0, 0, 0, time.UTC)
	for _, c := range []struct {
		r    recording.Recording
		want string
	}{
		{recording.Recording{Start: start}, "needs records"},
		{recording.Recording{T: []float64{0}}, "no start time"},
		{recording.Recording{Start: start, T: []float64{0, 1.5}}, "record 1 is at 1.5 s"},
	} {
		err := WriteFIT(&bytes.Buffer{}, &c.r)
		if err == nil || !strings.Contains(err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", err, c.want)
		}
	}
}
