package simulate

import "math"

// minetti is the energy cost of running on a grade (rise over run), J/kg/m:
// Minetti et al. 2002, J. Appl. Physiol. 93:1039-1046, for -0.45 to 0.45,
// beyond which the ends are held.
func minetti(grade float64) float64 {
	i := max(-0.45, min(0.45, grade))
	return ((((155.4*i-30.4)*i-43.3)*i+46.3)*i+19.5)*i + 3.6
}

// steepest is the most that a downhill speeds a runner up: cost alone would
// promise more than legs can take (from memory, no source).
const steepest = 1.18

// effortSpeed is the speed on a grade at the effort of flat speed v, m/s.
func effortSpeed(v, grade float64) float64 {
	return v * min(steepest, minetti(0)/minetti(grade))
}

// answeredSpeed is the speed on a grade of a runner who answers to its cost by part
// only: v = v0 (C0/C)^k with k for rising and for falling ground. From Townshend et al.
// 2010, MSSE 42:160-169 (8 runners, -23 % up, +13.8 % down), follow k = 0.69 and 0.51.
func answeredSpeed(v, grade, up, down float64) float64 {
	k := up
	if grade < 0 {
		k = down
	}
	return v * min(steepest, math.Pow(minetti(0)/minetti(grade), k))
}

// walkSpeed is how fast one walks on a grade, m/s: Tobler 1993 (from memory),
// 6 exp(-3.5 |grade + 0.05|) km/h, raised from 1.4 to the 1.5 m/s of a leg that is walked.
func walkSpeed(grade float64) float64 {
	return 1.5 * math.Exp(-3.5*(math.Abs(grade+0.05)-0.05))
}

// flatSpeed is the speed on the flat of equal cost, m/s.
func flatSpeed(v, grade float64) float64 { return v * minetti(grade) / minetti(0) }

// A heart follows the demand of speed as a first-order system.
type heart struct {
	r   Runner
	bpm float64
}

func (h *heart) step(flatMPS, elapsedS, dt float64) {
	want := max(h.r.HeartRest, h.r.HeartBase+h.r.HeartGain*flatMPS)
	if flatMPS > 1 {
		want += h.r.HeartDrift * elapsedS / 3600
	}
	// The line bends near the maximum rather than passing it.
	if knee := h.r.HeartMax - 12; want > knee {
		want = knee + 12*(1-math.Exp(-(want-knee)/12))
	}
	h.bpm += (want - h.bpm) * (1 - math.Exp(-dt/h.r.HeartTauS))
}

// cadence is steps per minute at a speed, from memory: walking about 110 at
// 1.4 m/s, running 160 at 2.5 m/s and some 9 more for each further m/s.
func cadence(mps float64) float64 {
	switch {
	case mps < 0.4:
		return 0
	case mps < 2:
		return 60 + 36*mps
	}
	return 137.5 + 9*mps
}
