package segment

import (
	"math"
	"testing"
)

// Standing inside a warm-up is told apart from its running pace: 20 minutes at 3 m/s with 6
// minutes of standing in their midst are run at 333 s/km, not at 433.
func TestStoodInAPart(t *testing.T) {
	at, speed := []float64{0, 600, 960}, []float64{3, 0, 3}
	for i := range 6 {
		at = append(at, 1560+300*float64(i), 1740+300*float64(i))
		speed = append(speed, 4.5, 2.6)
	}
	s, err := Split(odometer(1, 3700, at, speed))
	if err != nil {
		t.Fatal(err)
	}
	g := s.Segments[0]
	if g.Role != Warm && g.Role != Easy || math.Abs(g.StoodS-360) > 6 || math.Abs(g.Pace/(1000/3.0)-1) > 0.02 {
		t.Errorf("%s: %.0f s, %.0f of them stood, at %.0f s/km; want 360 s stood and 333 s/km", g.Role, g.Seconds(), g.StoodS, g.Pace)
	}
	for _, g := range s.Segments {
		if g.Role == Work && g.StoodS != 0 {
			t.Errorf("rep %d: %.0f s stood", g.Rep, g.StoodS)
		}
	}
}
