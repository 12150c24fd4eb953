package workouts_test

import (
	"math"
	"testing"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/notation"
	"github.com/google/go-cmp/cmp"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

// closeFloats lets unit conversions round in the last bits.
var closeFloats = cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(math.Abs(a), 1) })

// The international mile is 1609.344 m (1959, from memory: by definition).
func TestMile(t *testing.T) {
	if figures.MetresPerMile != 1609.344 || workouts.Miles(2).Metres != 3218.688 {
		t.Error("the mile is off")
	}
	near(t, "6:00/mi in s/km", workouts.MakePace(360, workouts.PerMile).SecPerKm, 223.69, 0.005)
	near(t, "10 mph in s/km", workouts.MakePace(10, workouts.MilesPerH).SecPerKm, 223.69, 0.005)
	near(t, "16 km/h in s/km", workouts.MakePace(16, workouts.KmPerHour).SecPerKm, 225, 0)
}

func TestDistanceOf(t *testing.T) {
	for name, want := range map[string]float64{"10k": 10000, "10 km": 10000, "5mi": 8046.72, "1500m": 1500, "mile": 1609.344,
		"Half": 21097.5, "marathon": 42195, "8k": 8000, "threshold": 0, "10": 0, "k": 0, "": 0, "1e5m": 0, "50m": 0, "infk": 0, "0x10m": 0} {
		got, ok := workouts.DistanceOf(name)
		if ok != (want > 0) || ok && math.Abs(got-want) > 1e-9 {
			t.Errorf("%q: %v, %v", name, got, ok)
		}
	}
}

// A second reader of paces must agree with the notation, which alone takes a pace
// without a unit: the athlete file is where the unit is said.
func TestParsePaceAgreesWithTheNotation(t *testing.T) {
	for _, text := range []string{"3:45/km", "3:45.5/km", "6:00/mi", "16km/h", "16.5 km/h", "10mph", "9.25mph", "12:00/km",
		"3:5/km", "0:30/km", "3:60/km", "45km/h", "quick/km", "/km", "-3:45/km", "3:45.55/km", "nankm/h", "3:45./km", "+3:45/km"} {
		p, err := workouts.ParsePace(text)
		w, notationErr := notation.Parse("n", "1km @ "+text)
		if (err == nil) != (notationErr == nil) {
			t.Errorf("%q: %v here, %v in the notation", text, err, notationErr)
			continue
		}
		if err == nil {
			if diff := cmp.Diff(w.Items[0].Step.Target.From, p, closeFloats); diff != "" {
				t.Errorf("%q:\n%s", text, diff)
			}
		}
	}
}
