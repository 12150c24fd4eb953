package segment

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// Calibrated by its true scale, which the simulation knows, a session has the paces that
// were run, and the error that was given; the structure keeps its amounts.
func TestCalibrate(t *testing.T) {
	k, ok := simulate.KindNamed("treadmill 3 minute reps")
	d, known := simulate.DeviceNamed("wrist on the treadmill")
	if !ok || !known {
		t.Fatal("no such kind or device")
	}
	r, truth := simulate.Run(k.Make(4), d, 4)
	plain, err := Split(r)
	if err != nil {
		t.Fatal(err)
	}
	s, _ := Split(r)
	s.Calibrate(truth.Scale-1, 0.002)
	if s.ScaleSE != 0.002 {
		t.Errorf("the scale error is %v", s.ScaleSE)
	}
	for i, g := range s.Segments {
		was := plain.Segments[i]
		if math.IsInf(was.Pace, 1) {
			continue
		}
		for name, ratio := range map[string]float64{"pace": g.Pace / was.Pace, "distance": was.DistanceM / g.DistanceM, "margin": g.WithinSE / was.WithinSE,
			"trace": plain.Distance(g.StartS, g.EndS) / s.Distance(g.StartS, g.EndS)} {
			if math.Abs(ratio-truth.Scale) > 1e-9 {
				t.Errorf("segment %d: the %s changed by %v, the scale is %v", i, name, ratio, truth.Scale)
			}
		}
		if want := math.Hypot(g.WithinSE, 0.002*g.Pace); math.Abs(g.PaceSE-want) > 1e-9 {
			t.Errorf("segment %d: error %v, want %v", i, g.PaceSE, want)
		}
	}
	for i, b := range s.Structure {
		if b.Amount != plain.Structure[i].Amount {
			t.Errorf("amount %v became %v", plain.Structure[i].Amount, b.Amount)
		}
	}
}

// What reps on a track measured of the odometer is not overruled, even where it is hardly off.
func TestTrackMeasuresItself(t *testing.T) {
	k, ok := simulate.KindNamed("track 400s")
	d, known := simulate.DeviceNamed("watch on the track, laps of 400 m")
	if !ok || !known {
		t.Fatal("no such kind or device")
	}
	measured := 0
	for seed := range uint64(12) {
		r, _ := simulate.Run(k.Make(seed), d, seed)
		s, err := Split(r)
		if err != nil {
			t.Fatal(err)
		}
		if r.Place != recording.Track || !s.Measured() {
			continue
		}
		measured++
		pace, se := s.Segments[0].Pace, s.ScaleSE
		if s.Calibrate(0.05, 0.001); s.Segments[0].Pace != pace || s.ScaleSE != se || se >= scaleSD {
			t.Errorf("seed %d: pace %v became %v, error %v became %v", seed, pace, s.Segments[0].Pace, se, s.ScaleSE)
		}
	}
	if measured < 8 {
		t.Errorf("%d of 12 track sessions measured the odometer", measured)
	}
}
