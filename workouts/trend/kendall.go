package trend

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// A RankTest is the result of a rank test: P is two-sided, Exact tells whether it
// comes from the exact distribution or from the normal one.
type RankTest struct {
	Statistic float64
	Z         float64
	P         float64
	Exact     bool
}

// mostExact is the largest n for which MannKendall is exact.
const mostExact = 60

// MannKendall tests a series for a monotone trend (Mann 1945, Econometrica
// 13:245-259; Kendall 1975, Rank Correlation Methods). Statistic is S, the
// number of rising pairs less the number of falling ones. Without ties and up
// to 60 values P is exact; else it is normal, with the variance corrected for
// ties and S for continuity. P is 1 for fewer than two values.
func MannKendall(y []float64) RankTest {
	n := len(y)
	var s float64
	for i := range y {
		for j := i + 1; j < n; j++ {
			s += sign(y[j] - y[i])
		}
	}
	t := RankTest{Statistic: s, P: 1}
	if n < 2 {
		return t
	}
	v := kendallVariance(n, tieSizes(y))
	if v > 0 {
		t.Z = sign(s) * (math.Abs(s) - 1) / math.Sqrt(v)
		if s == 0 {
			t.Z = 0
		}
		t.P = math.Min(1, 2*distuv.UnitNormal.Survival(math.Abs(t.Z)))
	}
	if len(tieSizes(y)) == 0 && n <= mostExact {
		t.P, t.Exact = kendallExact(n, s), true
	}
	return t
}

// kendallVariance is the variance of S under no trend, ties counted.
func kendallVariance(n int, ties []int) float64 {
	f := func(k int) float64 { return float64(k) * float64(k-1) * float64(2*k+5) }
	v := f(n)
	for _, k := range ties {
		v -= f(k)
	}
	return v / 18
}

// kendallExact is P(|S| >= |s|) over all orders of n values, by counting
// orders by their inversions.
func kendallExact(n int, s float64) float64 {
	p := []float64{1} // p[k]: probability of k inversions
	for m := 2; m <= n; m++ {
		next := make([]float64, len(p)+m-1)
		for k, v := range p {
			for d := range m {
				next[k+d] += v / float64(m)
			}
		}
		p = next
	}
	pairs := float64(n*(n-1)) / 2
	var sum float64
	for k, v := range p {
		if math.Abs(pairs-2*float64(k)) >= math.Abs(s) {
			sum += v
		}
	}
	return math.Min(1, sum)
}

// MedianSlope is the median of the slopes of all pairs of values of a set, one place
// apart (Sen 1968, JASA 63:1379-1389): one slip does not move it. Values of different
// sets are not paired. NaN without a pair.
func MedianSlope(sets ...[]float64) float64 {
	var slopes []float64
	for _, y := range sets {
		for i := range y {
			for j := i + 1; j < len(y); j++ {
				slopes = append(slopes, (y[j]-y[i])/float64(j-i))
			}
		}
	}
	return Median(slopes)
}

// Median is the middle value, or the mean of the two in the middle; NaN of none. The
// slice is not changed.
func Median(v []float64) float64 {
	if len(v) == 0 {
		return math.NaN()
	}
	s := slices.Clone(v)
	slices.Sort(s)
	return (s[(len(s)-1)/2] + s[len(s)/2]) / 2
}

// tieSizes are the sizes of groups of equal values, of two and more.
func tieSizes(y []float64) []int {
	s := slices.Clone(y)
	slices.Sort(s)
	var out []int
	for i := 0; i < len(s); {
		j := i
		for j < len(s) && s[j] == s[i] {
			j++
		}
		if j-i > 1 {
			out = append(out, j-i)
		}
		i = max(j, i+1)
	}
	return out
}

func sign(x float64) float64 {
	switch {
	case x > 0:
		return 1
	case x < 0:
		return -1
	}
	return 0
}
