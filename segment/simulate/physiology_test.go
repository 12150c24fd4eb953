package simulate

import (
	"math"
	"testing"
)

// The fractions of a first-order response with the published time constant
// of 57.6 s (BioMed Eng OnLine 2015, doi 10.1186/s12938-015-0112-7), computed
// from 1 - exp(-t/57.6), and the published gain, 24.2 bpm per m/s.
func TestHeartReachesPublishedFractions(t *testing.T) {
	r := DefaultRunner()
	r.HeartDrift, r.HeartMax = 0, 1000
	from, to := 2.5, 3.5
	h := heart{r: r, bpm: r.HeartBase + r.HeartGain*from}
	start := h.bpm
	want := map[int]float64{30: 0.406, 60: 0.647, 90: 0.790, 180: 0.956, 300: 0.995}
	for s := 1; s <= 300; s++ {
		for range perS {
			h.step(to, float64(s), stepS)
		}
		if f, ok := want[s]; ok {
			got := (h.bpm - start) / 24.2
			if math.Abs(got-f) > 0.0006 {
				t.Errorf("after %d s the response is %.4f of the gain, want %.3f", s, got, f)
			}
			delete(want, s)
		}
	}
	if len(want) > 0 {
		t.Errorf("not compared: %v", want)
	}
}

func TestHeartStaysBelowItsMaximum(t *testing.T) {
	h := heart{r: DefaultRunner(), bpm: 150}
	for range 4000 {
		h.step(9, 0, stepS)
	}
	if h.bpm > 190 || h.bpm < 185 {
		t.Errorf("at an impossible effort heart rate is %g, want just under 190", h.bpm)
	}
}

// Values of the polynomial of Minetti et al. 2002 (J. Appl. Physiol.
// 93:1039-1046) as computed from its coefficients; the measured figures of the
// paper's abstract are looser checks on the coefficients themselves.
func TestMinetti(t *testing.T) {
	for _, c := range []struct{ grade, want, tolerance float64 }{
		{-0.45, 4.032, 0.0006}, {-0.30, 2.462, 0.0006}, {-0.20, 1.800, 0.0006}, {-0.10, 2.152, 0.0006},
		{0, 3.600, 0.0006}, {0.05, 4.685, 0.0006}, {0.10, 5.968, 0.0006}, {0.20, 9.007, 0.0006},
		{0.30, 12.579, 0.0006}, {0.45, 19.426, 0.0006},
		// measured, with one standard deviation
		{0, 3.40, 0.24}, {0.45, 18.93, 1.74}, {-0.20, 1.73, 0.36}, {-0.45, 3.92, 0.81},
		{0.9, 19.426, 0.0006}, // held beyond the measured range
	} {
		if got := minetti(c.grade); math.Abs(got-c.want) > c.tolerance {
			t.Errorf("cost at grade %g is %.4f, want %g +/- %g", c.grade, got, c.want, c.tolerance)
		}
	}
}

// Even effort means even cost per second, until the downhill limit.
func TestEffortSpeedKeepsPower(t *testing.T) {
	for g := -0.02; g <= 0.2; g += 0.02 {
		power := effortSpeed(3, g) * minetti(g)
		if want := 3 * minetti(0); math.Abs(power-want) > 1e-9 {
			t.Errorf("at grade %g the power is %g, want %g", g, power, want)
		}
	}
	if got := effortSpeed(3, -0.15); got != 3*steepest {
		t.Errorf("down a steep hill the speed is %g, want %g", got, 3*steepest)
	}
}
