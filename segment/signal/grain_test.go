package signal

import (
	"math"
	"math/rand/v2"
	"testing"

	"example.org/rungs/segment/recording"
)

func TestGrainOf(t *testing.T) {
	stream := func(n int, grain float64) recording.Stream {
		s := recording.MakeStream(n)
		for i := range n {
			s.Value[i], s.Valid[i] = 3.37*float64(i), true
			if grain > 0 {
				s.Value[i] = math.Floor(s.Value[i]/grain) * grain
			}
		}
		return s
	}
	for _, grain := range []float64{0, 1, 5, 10} {
		if got := grainOf(stream(100, grain)); got != grain {
			t.Errorf("in steps of %g m: %g", grain, got)
		}
	}
	few := stream(10, 10)
	gap := stream(100, 10)
	gap.Valid[50], gap.Value[50] = false, 501.3
	if got := grainOf(few); got != 0 {
		t.Errorf("ten records tell a grain of %g", got)
	}
	if got := grainOf(gap); got != 10 {
		t.Errorf("a value that was not measured makes the grain %g", got)
	}
}

// TestWithin holds the noise of means over some seconds to means of a rounded odometer.
func TestWithin(t *testing.T) {
	rng := rand.New(rand.NewPCG(6, 6))
	const grain, speed = 10.0, 3.4
	for _, seconds := range []float64{10, 20, 60} {
		sum, n := 0.0, 20000
		for range n {
			at := 1000 * rng.Float64()
			mean := (math.Floor((at+speed*seconds)/grain) - math.Floor(at/grain)) * grain / seconds
			sum += sq(mean - speed)
		}
		got := Noise{Grain: grain}.Within(0, seconds) / math.Sqrt(seconds)
		// The two ends are rounded alike where the stretch is a multiple of the grain; over all lengths their errors are as of two.
		if share := speed * seconds / grain; math.Abs(share-math.Round(share)) < 0.1 {
			t.Fatalf("%g s are a multiple of the grain", seconds)
		}
		part := speed*seconds/grain - math.Floor(speed*seconds/grain)
		want := grain * math.Sqrt(part*(1-part)) / seconds // the exact error of this length, a coin with two sides
		if seen := math.Sqrt(sum / float64(n)); math.Abs(seen/want-1) > 0.03 {
			t.Errorf("over %g s means err by %.3f m/s, exactly by %.3f", seconds, seen, want)
		}
		if got < 0.7*want || got > 1.5*want {
			t.Errorf("over %g s the error is taken as %.3f m/s, it is %.3f", seconds, got, want)
		}
	}
	if got := (Noise{}).Within(0.2, 30); got != 0.2 {
		t.Errorf("without a grain the noise is %g", got)
	}
}
