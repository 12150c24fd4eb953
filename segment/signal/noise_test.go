package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/ability"
)

// ar1 is the speed of a runner at 3 m/s with first-order autoregressive noise.
func ar1(seed uint64, n int, sd, rho float64) []float64 {
	v := wander(seeded(seed), n, sd, rho)
	for i := range v {
		v[i] += 3
	}
	return v
}

// blockExpectation is what the estimator of the long-run sd is after on such
// noise, in closed form: the sd of the difference of two neighbouring means
// of b values, by sums of the autocovariance sd^2 rho^k, times sqrt(b/2).
func blockExpectation(sd, rho float64, b int) float64 {
	var within, between float64
	for i := range b {
		for j := range b {
			within += math.Pow(rho, math.Abs(float64(i-j)))
			between += math.Pow(rho, float64(b+j-i))
		}
	}
	v := 2 * (within - between) * sd * sd / float64(b*b)
	return math.Sqrt(v * float64(b) / 2)
}

// The long-run sd of first-order autoregressive noise is sd sqrt((1+rho)/(1-rho))
// (elementary: the sum of the autocovariances), the sd of the difference of
// neighbours over sqrt 2 is sd sqrt(1-rho). Blocks of 15 s see the first less
// and less as the correlation comes near their length, which the closed form
// of their expectation tells.
func TestNoiseOfKnownVariance(t *testing.T) {
	const n = 90_000
	for _, c := range []struct {
		sd, tauS float64 // correlation time, s; 0 is white
		missed   float64 // share of the true long-run sd that blocks miss
	}{
		{0.3, 0, 0}, {0.1, 0, 0}, {0.3, 1, 0.05}, {0.2, 2, 0.10}, {0.15, 4, 0.21}, {0.38, 4, 0.21}, {0.02, 14, 0.57},
	} {
		rho := 0.0
		if c.tauS > 0 {
			rho = math.Exp(-1 / c.tauS)
		}
		longRun := c.sd * math.Sqrt((1+rho)/(1-rho))
		expected := blockExpectation(c.sd, rho, 15)
		near(t, "the share that blocks miss", 1-expected/longRun, c.missed, 0.01)
		got := estimateNoise(ar1(1, n, c.sd, rho), yes(n))
		near(t, "the long-run sd", got.LongRun, max(0.05, expected), 0.06*expected)
		near(t, "that over a quarter of a minute", got.Quarter, max(0.05, expected), 0.05*expected)
		near(t, "sigma", got.Sigma, max(0.01, c.sd*math.Sqrt(1-rho)), 0.02*c.sd*math.Sqrt(1-rho))
	}
}

// Errors of position, new each second with sd J, make speed errors that do not
// add up: a difference of means over B seconds has the variance
// 2 L^2/B + 6 J^2/B^2 when noise with the long-run sd L is there too (weights
// 1, -2, 1 on three errors; elementary). Over a quarter of a minute they count
// as sqrt(L^2 + 3 J^2/15); in the long run they do not.
func TestNoiseOfPositions(t *testing.T) {
	const n = 360_000
	for _, c := range []struct{ L, J float64 }{{0.3, 0}, {0.3, 0.5}, {0.5, 1}} {
		rng := seeded(8)
		v := make([]float64, n)
		last := 0.0
		for i := range v {
			e := c.J * rng.NormFloat64()
			v[i] = 30 + c.L*rng.NormFloat64() + e - last // far from standing
			last = e
		}
		got := estimateNoise(v, yes(n))
		near(t, "the long-run sd", got.LongRun, c.L, 0.1*c.L)
		near(t, "that over a quarter of a minute", got.Quarter, math.Sqrt(c.L*c.L+c.J*c.J/5), 0.05*c.L)
	}
}

// Changes of pace are outliers among the differences of blocks, of which the
// 35 % quantile is used. When a share of them is changed by large amounts, the
// estimate rises to at most the quantile 0.35/(1-share) of the rest: a factor
// of 1.6 with a change in four of ten differences, 3.4 with six of ten.
func TestNoiseIsRobustToChangesOfPace(t *testing.T) {
	const n, sd = 90_000, 0.2
	rho := math.Exp(-0.5)
	even := estimateNoise(ar1(2, n, sd, rho), yes(n)).LongRun
	last := even
	for _, c := range []struct{ every, share float64 }{{300, 0.1}, {150, 0.2}, {75, 0.4}, {50, 0.6}} {
		v := ar1(2, n, sd, rho)
		for i := range v {
			if math.Mod(float64(i)-7, 2*c.every) >= c.every {
				v[i] += 1.5 // m/s: each change falls inside a block and is seen twice
			}
		}
		got := estimateNoise(v, yes(n)).LongRun
		// P(|Z| < z) = p for z = sqrt(2) erfinv(p); 0.4538 is that for 0.35.
		bound := math.Sqrt2 * math.Erfinv(0.35/(1-c.share)) / 0.4538
		t.Logf("a change each %3.0f s: %.3f m/s sqrt(s), %.2f times that of even speed; the bound is %.2f", c.every, got, got/even, bound)
		if got < last*0.99 || got > bound*even*1.05 {
			t.Errorf("a change each %g s: %g, after %g; bound %g", c.every, got, last, bound*even)
		}
		last = got
	}
}

func TestNoiseConstant(t *testing.T) {
	near(t, "P(|Z| < 0.4538)", math.Erf(0.4538/math.Sqrt2), 0.35, 5e-5)
}

// Standing and unknown cells are no noise, and there is a floor under the
// figures: no device is exact.
func TestNoiseLeavesOut(t *testing.T) {
	const n = 6000
	want := estimateNoise(ar1(3, n, 0.3, 0), yes(n))
	v, known := ar1(3, n, 0.3, 0), yes(n)
	wild := seeded(5)
	for i := 1500; i < 3000; i++ {
		known[i] = false
		v[i] = 20 * wild.Float64()
	}
	for i := 4500; i < 5500; i++ {
		v[i] = ability.Standing * wild.Float64()
	}
	got := estimateNoise(v, known)
	near(t, "the long-run sd", got.LongRun, want.LongRun, 0.1*want.LongRun)
	near(t, "sigma", got.Sigma, want.Sigma, 0.1*want.Sigma)

	floor := Noise{Sigma: 0.01, LongRun: 0.05, Quarter: 0.05}
	for name, v := range map[string][]float64{"exact": ar1(1, n, 0, 0), "standing": make([]float64, n), "ten seconds": ar1(1, 10, 1e-3, 0), "none": nil} {
		if got := estimateNoise(v, yes(len(v))); got != floor {
			t.Errorf("%s: %+v, want %+v", name, got, floor)
		}
	}
}

// The standard error that Covered gives must be that of sums of such noise.
func TestNoiseGivesTheErrorOfMeans(t *testing.T) {
	const n, span = 90_000, 240
	sd, rho := 0.2, math.Exp(-0.5)
	v := ar1(6, n, sd, rho)
	tr := &Trace{Speed: v, Dist: make([]float64, n+1), Noise: estimateNoise(v, yes(n))}
	tr.Noise.Odometer = tr.Noise.LongRun
	for i := range v {
		tr.Dist[i+1] = tr.Dist[i] + v[i]
	}
	within, spans := 0, 0
	for at := 0.0; at+span <= n; at += span {
		m, se := tr.Covered(at, at+span)
		if spans++; math.Abs(m-3*span) <= 1.96*se {
			within++
		}
	}
	// Blocks miss a tenth of the long-run sd here: 92 % rather than 95 %.
	near(t, "the share of spans within 1.96 standard errors", float64(within)/float64(spans), 0.92, 0.03)
}

// TestLongRunOver: of white noise any block shows the same; of what hangs together
// for half a minute, longer blocks show more.
func TestLongRunOver(t *testing.T) {
	const n, sd = 40000, 0.2
	rng := seeded(5)
	white := make([]float64, n)
	for i := range white {
		white[i] = 4 + sd*rng.NormFloat64()
	}
	near(t, "white noise over 15 s", LongRunOver(15, white, yes(n)), sd, 0.015)
	near(t, "white noise over 40 s", LongRunOver(40, white, yes(n)), sd, 0.025)
	slow := wander(rng, n, 0.1, math.Exp(-1/15.0))
	for i := range slow {
		slow[i] += 4
	}
	short, long := LongRunOver(10, slow, yes(n)), LongRunOver(60, slow, yes(n))
	whole := 0.1 * math.Sqrt((1+math.Exp(-1/15.0))/(1-math.Exp(-1/15.0))) // of an AR(1) process
	if !(short < 0.6*long && long > 0.6*whole && long < whole) {
		t.Errorf("over 10 s %.3f, over 60 s %.3f, in the long run %.3f", short, long, whole)
	}
}
