package changepoint

import (
	"math"
	"math/rand/v2"
	"testing"
)

// autoregression is n samples of y[t] = phi y[t-1] + e[t] with e of unit variance: its
// variance is 1/(1 - phi^2), its long-run variance 1/(1 - phi)^2.
func autoregression(r *rand.Rand, n int, phi float64) []float64 {
	y := make([]float64, n)
	v := r.NormFloat64() / math.Sqrt(1-phi*phi)
	for t := range y {
		y[t] = v
		v = phi*v + r.NormFloat64()
	}
	return y
}

// TestLongRunVariance: mean over runs against the theory, all known and with a third
// unknown in runs of ten.
func TestLongRunVariance(t *testing.T) {
	const n, runs = 3000, 40
	r := rand.New(rand.NewPCG(8, 9))
	for _, phi := range []float64{-0.5, 0, 0.5, 0.86} {
		var whole, holes, coefficient float64
		for range runs {
			y := autoregression(r, n, phi)
			whole += LongRunVariance(y) / runs
			coefficient += AR1(y) / runs
			for i := range y {
				if i/10%3 == 0 {
					y[i] = math.NaN()
				}
			}
			holes += LongRunVariance(y) / runs
		}
		want := 1 / (1 - phi) / (1 - phi)
		if math.Abs(whole/want-1) > 0.05 || math.Abs(holes/want-1) > 0.08 {
			t.Errorf("phi %v: long-run variance %v, with holes %v; want %v", phi, whole, holes, want)
		}
		if math.Abs(coefficient-phi) > 0.01 {
			t.Errorf("phi %v: AR1 gives %v", phi, coefficient)
		}
	}
}

// TestLongRunVarianceSmoothed: noise that is no autoregression. The moving average
// of k samples of independent noise has long-run variance 1 whatever k, and variance
// 1/k.
func TestLongRunVarianceSmoothed(t *testing.T) {
	const n, runs = 3600, 150
	r := rand.New(rand.NewPCG(10, 11))
	for _, k := range []int{2, 5, 15} {
		var mean float64
		for range runs {
			white := autoregression(r, n+k, 0)
			y := make([]float64, n)
			for i := range y {
				for _, v := range white[i : i+k] {
					y[i] += v / float64(k)
				}
			}
			mean += LongRunVariance(y) / runs
		}
		if mean < 0.95 || mean > 1.3 {
			t.Errorf("moving average of %d: long-run variance %v, want 1 to 1.25", k, mean)
		}
	}
}

// TestNeweyWest works the weighted sum by hand: r = 1, -1, 2, 0, -2 has
// autocovariances 2, -3/5, -2/5 at lags 0, 1, 2; bandwidth 3 weights them 1, 4/3, 2/3.
func TestNeweyWest(t *testing.T) {
	r := []float64{1, -1, 2, 0, -2}
	if got, want := neweyWest(r, 3), 2-3./5*4/3-2./5*2/3; math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, want %v", got, want)
	}
	if got, want := AR1(r), -3/math.Sqrt(6*9); math.Abs(got-want) > 1e-12 {
		t.Errorf("AR1 %v, want %v", got, want)
	}
	if got := AR1([]float64{1, math.NaN(), 2, 4}); got != 1 {
		t.Errorf("one known pair: AR1 %v, want 1", got)
	}
}

// TestDifferenceSigma: differences 1, -1, 1, 5, -1 have median 1 and absolute
// deviations 0, 2, 0, 4, 2 with median 2 (by hand; factor from Hampel 1974).
func TestDifferenceSigma(t *testing.T) {
	y := []float64{0, 1, 0, 1, 6, 5}
	want := 2 * 1.482602218505602 / math.Sqrt2
	if got := DifferenceSigma(y); math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, want %v", got, want)
	}
	if got := DifferenceSigma(append([]float64{9, math.NaN()}, y...)); math.Abs(got-want) > 1e-12 {
		t.Errorf("after an unknown sample: %v, want %v", got, want)
	}
}

// TestBlockVariance holds the figures of its comment, for noise alone and with steps
// of five standard deviations.
func TestBlockVariance(t *testing.T) {
	const n, runs, m = 3600, 30, 20
	r := rand.New(rand.NewPCG(12, 13))
	for _, phi := range []float64{-0.4, 0, 0.5} {
		var alone, stepped, holes float64
		for range runs {
			y := autoregression(r, n, phi)
			alone += BlockVariance(y, m) / runs
			for i := range y {
				y[i] += 5 / math.Sqrt(1-phi*phi) * float64(i/(12*m)%2)
			}
			stepped += BlockVariance(y, m) / runs
			for i := range y {
				if i%3 == 0 {
					y[i] = math.NaN()
				}
			}
			if phi == 0 {
				holes += BlockVariance(y, m) / runs
			}
		}
		truth := 1 / (1 - phi) / (1 - phi)
		want := 1 - 3*phi/(m*(1-phi*phi))
		if math.Abs(alone/truth-want) > 0.06 || stepped/truth/want < 1.3 || stepped/truth/want > 1.7 {
			t.Errorf("phi %v: %v of the truth, with steps %v; want %v and half as much again", phi, alone/truth, stepped/truth, want)
		}
		if phi == 0 && math.Abs(holes/stepped-1) > 0.15 {
			t.Errorf("a third unknown: %v, all known %v", holes, stepped)
		}
	}
}

// TestPenalty holds what the package comment says of the penalty: false changes in
// first-order autoregressions of 3,600 samples.
func TestPenalty(t *testing.T) {
	const n, runs = 3600, 40
	r := rand.New(rand.NewPCG(14, 15))
	factor := 2 * math.Log(n)
	for _, c := range []struct{ phi, differences float64 }{{0, 0}, {0.5, 74}, {0.86, 250}, {0.95, 288}} {
		var byDifferences, byLongRun float64
		for range runs {
			y := autoregression(r, n, c.phi)
			cost, err := NewL2(y, nil)
			if err != nil {
				t.Fatal(err)
			}
			sigma := DifferenceSigma(y)
			short, _, err := Search(cost, factor*sigma*sigma, Options{MinLen: 1})
			if err != nil {
				t.Fatal(err)
			}
			byDifferences += float64(len(short)) / runs
			mean := cost.Mean(0, n)
			for i := range y {
				y[i] -= mean
			}
			long, _, err := Search(cost, factor*LongRunVariance(y), Options{MinLen: 30})
			if err != nil {
				t.Fatal(err)
			}
			byLongRun += float64(len(long)) / runs
		}
		if math.Abs(byDifferences-c.differences) > 0.05*c.differences || byLongRun > 2./runs {
			t.Errorf("phi %v: %v false changes with the penalty from differences, want %v; %v from the long-run variance, want none", c.phi, byDifferences, c.differences, byLongRun)
		}
	}
}

func TestNoiseEdges(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name string
		got  float64
		want float64
	}{
		{"DifferenceSigma of nothing", DifferenceSigma(nil), nan},
		{"DifferenceSigma of one sample", DifferenceSigma([]float64{1}), nan},
		{"DifferenceSigma of strangers", DifferenceSigma([]float64{1, nan, 2}), nan},
		{"DifferenceSigma of a constant", DifferenceSigma([]float64{2, 2, 2}), 0},
		{"BlockVariance of blocks of nothing", BlockVariance([]float64{1, 2, 3}, 0), nan},
		{"BlockVariance of a short series", BlockVariance([]float64{1, 2, 3}, 2), nan},
		{"LongRunVariance of nothing", LongRunVariance(nil), nan},
		{"LongRunVariance of one residual", LongRunVariance([]float64{nan, 1}), nan},
		{"LongRunVariance of strangers", LongRunVariance([]float64{1, nan, -1}), 1},
		{"LongRunVariance of zeros", LongRunVariance(make([]float64, 9)), 0},
		{"AR1 of nothing", AR1(nil), 0},
		{"AR1 of zeros", AR1(make([]float64, 9)), 0},
	} {
		if c.got != c.want && !(math.IsNaN(c.got) && math.IsNaN(c.want)) {
			t.Errorf("%s is %v, want %v", c.name, c.got, c.want)
		}
	}
}
