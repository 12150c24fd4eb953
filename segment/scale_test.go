package segment

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// The error that is told of an odometer's scale, 1.96 standard errors of it, holds
// the true scale of simulated treadmill devices 19 times in 20, or nearly.
func TestScaleErrorOnTheTreadmill(t *testing.T) {
	k, ok := simulate.KindNamed("treadmill 3 minute reps")
	if !ok {
		t.Fatal("no such kind")
	}
	within, all := 0, 0
	for _, d := range simulate.DevicesFor(recording.Treadmill) {
		for seed := range uint64(30) {
			r, truth := simulate.Run(k.Make(seed), d, 700+seed)
			s, err := Split(r)
			if err != nil {
				t.Fatal(err)
			}
			if !(truth.Scale > 0) || s.ScaleSE == 0 {
				continue // heart rate only
			}
			all++
			if math.Abs(truth.Scale-1) < 1.96*s.ScaleSE {
				within++
			}
		}
	}
	if share := float64(within) / float64(all); all < 60 || share < 0.9 {
		t.Errorf("%d of %d scales are within the error told (%.2f)", within, all, share)
	}
	t.Logf("%d of %d", within, all)
}

// On a track whose reps measured the odometer, the paces of the structure are those of the
// corrected reps: the notation says what the table says.
func TestNotationOnACorrectedTrack(t *testing.T) {
	k, ok := simulate.KindNamed("track 400s")
	d, known := simulate.DeviceNamed("watch on the track, laps of 400 m")
	if !ok || !known {
		t.Fatal("no such kind or device")
	}
	corrected := 0
	for seed := range uint64(20) {
		r, _ := simulate.Run(k.Make(seed), d, seed)
		s, err := Split(r)
		if err != nil {
			t.Fatal(err)
		}
		told := false
		for _, w := range s.Warnings {
			told = told || w.Code == "odometer-scale"
		}
		if !told {
			continue
		}
		var paces []float64
		for _, g := range s.Segments {
			if g.Role == Work {
				paces = append(paces, g.Pace)
			}
		}
		for _, b := range s.Structure {
			if b.Count == len(paces) && len(b.Body) == 1 {
				corrected++
				if want := median(paces); math.Abs(b.Body[0].Pace/want-1) > 0.002 {
					t.Errorf("seed %d: the notation has %.1f s/km, the reps %.1f", seed, b.Body[0].Pace, want)
				}
			}
		}
	}
	if corrected < 5 {
		t.Errorf("only %d odometers were corrected", corrected)
	}
}
