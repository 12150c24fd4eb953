package match

import (
	"math"
	"slices"

	"gonum.org/v1/gonum/stat/distuv"
)

// A Trend is the result of a rank test: P is two-sided, Exact tells whether it
// comes from the exact distribution or from the normal one.
type Trend struct {
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
func MannKendall(y []float64) Trend {
	n := len(y)
	var s float64
	for i := range y {
		for j := i + 1; j < n; j++ {
			s += sign(y[j] - y[i])
		}
	}
	t := Trend{Statistic: s, P: 1}
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

// TheilSen is the median of the slopes of all pairs of points with different x
// (Sen 1968, JASA 63:1379-1389), with the interval of the given level, in
// (0, 1), from the normal distribution of Kendall's statistic. All are NaN
// when no two x differ or the lengths do.
func TheilSen(x, y []float64, level float64) (slope, low, high float64) {
	var s []float64
	for i := range x {
		for j := i + 1; j < min(len(x), len(y)); j++ {
			if dx := x[j] - x[i]; dx != 0 {
				s = append(s, (y[j]-y[i])/dx)
			}
		}
	}
	if len(s) == 0 || len(x) != len(y) || !(level > 0 && level < 1) {
		return nan, nan, nan
	}
	slices.Sort(s)
	m := len(s)
	slope = (s[(m-1)/2] + s[m/2]) / 2
	v := kendallVariance(len(x), append(tieSizes(x), tieSizes(y)...))
	c := distuv.UnitNormal.Quantile((1+level)/2) * math.Sqrt(math.Max(v, 0))
	lo := int(math.RoundToEven((float64(m)-c)/2)) - 1
	hi := int(math.RoundToEven((float64(m) + c) / 2))
	return slope, s[max(lo, 0)], s[min(hi, m-1)]
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
