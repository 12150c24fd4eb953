package ability

import (
	"math"
	"testing"
)

// The limit is the men's world records and 3 %: 43.03 s for 400 m, 26:11.00 for 10,000 m; between two of
// them it is between their speeds, and it never rises with time.
func TestRunnable(t *testing.T) {
	for seconds, want := range map[float64]float64{43.03: 400 / 43.03, 1571: 10000.0 / 1571, 5: 100 / 9.58, 18000: 42195.0 / 7235} {
		if got := Runnable(seconds); math.Abs(got-1.03*want) > 0.002 {
			t.Errorf("over %g s %.4f m/s, want %.4f", seconds, got, 1.03*want)
		}
	}
	for s := 1.0; s < 20000; s *= 1.1 {
		if Runnable(s*1.1) > Runnable(s) {
			t.Fatalf("%.3f m/s over %.0f s is more than over less", Runnable(s*1.1), s*1.1)
		}
	}
}

// What nobody runs is narrowed to the cells that are to blame, alike from both sides; of a ride by bus, which few run as
// fast, the heart tells, with the walk to the stop left out.
func TestBeyondAndCarried(t *testing.T) {
	speed, heart, turned := make([]float64, 900), make([]float64, 900), make([]float64, 900)
	for i := range speed {
		speed[i], heart[i] = 3, 150
		switch {
		case i >= 300 && i < 400:
			speed[i] = 9
		case i >= 600:
			speed[i], heart[i] = 1.3, 100
		}
		if i >= 700 && i < 760 {
			speed[i], heart[i] = 7.5, 100-float64(i-700)/10
		}
	}
	for i, v := range speed {
		turned[len(speed)-1-i] = v
	}
	spans, back := Beyond(speed, 1), Beyond(turned, 1)
	if len(spans) != 1 || math.Abs(spans[0].StartS-300) > 1 || math.Abs(spans[0].EndS-400) > 1 {
		t.Errorf("beyond what can be run is %v", spans)
	}
	if len(back) != 1 || math.Abs(900-back[0].EndS-spans[0].StartS) > 1 {
		t.Errorf("turned round it is %v", back)
	}
	nothing := func() []float64 { return nil }
	if got := Carried(speed, heart, nothing); len(got) != 1 || math.Abs(got[0].StartS-700) > 10 || math.Abs(got[0].EndS-760) > 10 {
		t.Errorf("carried in %v", got)
	}
	if got := Carried(speed, nil, nothing); got != nil {
		t.Errorf("without heart rate carried in %v", got)
	}
}
