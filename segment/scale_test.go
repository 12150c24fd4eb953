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
