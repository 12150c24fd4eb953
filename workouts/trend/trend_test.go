package trend

import (
	"bufio"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"
)

func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s = %v, want %v", what, got, want)
	}
}

// nile is the annual flow at Aswan, 1871-1970 (Cobb 1978, Biometrika
// 65:243-251).
func nile(t *testing.T) []float64 {
	t.Helper()
	f, err := os.Open("../../testdata/nile.csv")
	if os.IsNotExist(err) {
		t.Skip("testdata/nile.csv is not there")
	}
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	var out []float64
	for in := bufio.NewScanner(f); in.Scan(); {
		line := in.Text()
		if v, err := strconv.ParseFloat(line[strings.LastIndex(line, ",")+1:], 64); err == nil && !strings.HasPrefix(line, "#") {
			out = append(out, v)
		}
	}
	if len(out) != 100 {
		t.Fatalf("read %d values, want 100", len(out))
	}
	return out
}

// Values for the Nile series computed with R (Mann-Kendall by hand, tau agrees
// with cor.test) and scipy (Theil-Sen).
func TestNile(t *testing.T) {
	y := nile(t)
	mk := MannKendall(y)
	near(t, "S", mk.Statistic, -1387, 0)
	near(t, "variance", kendallVariance(100, tieSizes(y)), 112728.3333, 1e-4)
	near(t, "z", mk.Z, -4.128067, 1e-6)
	near(t, "p", mk.P, 3.6583e-5, 1e-9)
	if mk.Exact {
		t.Error("exact p claimed with ties")
	}
	near(t, "median slope", MedianSlope(y), -2.6, 1e-9)
}

// By hand: slopes of -1, -2 and -3 in one set, and one of 5 in the other, which is not
// paired with the first.
func TestMedianSlopeOfSets(t *testing.T) {
	near(t, "median slope", MedianSlope([]float64{10, 9, 6}, []float64{0, 5}), -1.5, 1e-12)
	if v := MedianSlope([]float64{1}); !math.IsNaN(v) {
		t.Errorf("one value has a slope of %v", v)
	}
}

// By hand; the input stays as it is.
func TestMedian(t *testing.T) {
	in := []float64{3, 1, 2, 10}
	near(t, "median", Median(in), 2.5, 0)
	if !slices.Equal(in, []float64{3, 1, 2, 10}) || !math.IsNaN(Median(nil)) {
		t.Errorf("left %v; median of nothing %v", in, Median(nil))
	}
}

// Least two-sided exact p is 2/n!: a fact of counting.
func TestMannKendallLeastP(t *testing.T) {
	y := []float64{}
	want := 2.0
	for n := 1; n <= 8; n++ {
		y = append(y, float64(n))
		want /= float64(n)
		near(t, "p at n="+strconv.Itoa(n), MannKendall(y).P, math.Min(want, 1), 1e-12)
	}
}

// The exact distribution against plain enumeration of all orders.
func TestExactAgainstEnumeration(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		n := rapid.IntRange(2, 6).Draw(t, "n")
		y := ramp(n)
		rng := rand.New(rand.NewPCG(rapid.Uint64().Draw(t, "seed"), 1))
		rng.Shuffle(n, func(i, j int) { y[i], y[j] = y[j], y[i] })
		var mk, all float64
		s := MannKendall(y)
		permute(ramp(n), func(v []float64) {
			all++
			if math.Abs(plainS(v)) >= math.Abs(s.Statistic) {
				mk++
			}
		})
		if math.Abs(s.P-mk/all) > 1e-12 {
			t.Fatalf("Mann-Kendall of %v: p = %v, want %v", y, s.P, mk/all)
		}
	})
}

func ramp(n int) []float64 {
	y := make([]float64, n)
	for i := range y {
		y[i] = float64(i + 1)
	}
	return y
}

func permute(v []float64, visit func([]float64)) {
	var rec func(int)
	rec = func(k int) {
		if k == len(v) {
			visit(v)
			return
		}
		for i := k; i < len(v); i++ {
			v[k], v[i] = v[i], v[k]
			rec(k + 1)
			v[k], v[i] = v[i], v[k]
		}
	}
	rec(0)
}

func plainS(v []float64) (s float64) {
	for i := range v {
		for j := range i {
			if v[i] > v[j] {
				s++
			} else if v[i] < v[j] {
				s--
			}
		}
	}
	return s
}

// Values from the tests and docs of scipy.optimize.isotonic_regression, after
// Busing 2022, J. Stat. Softw. 102(1).
func TestIsotonic(t *testing.T) {
	for _, c := range []struct{ y, w, want []float64 }{
		{nil, nil, []float64{}},
		{[]float64{8, 4, 8, 2, 2, 0, 8}, nil, []float64{4, 4, 4, 4, 4, 4, 8}},
		{[]float64{3, 2, 1, 10, 9, 8, 20, 10}, []float64{1, 2, 5, .5, .5, .5, 1, 3},
			[]float64{1.5, 1.5, 1.5, 9, 9, 9, 12.5, 12.5}},
		{[]float64{1.5, 1, 4, 6, 5.7, 5, 7.8, 9, 7.5, 9.5, 9}, nil,
			[]float64{1.25, 1.25, 4, 16.7 / 3, 16.7 / 3, 16.7 / 3, 7.8, 8.25, 8.25, 9.25, 9.25}},
	} {
		in := slices.Clone(c.y)
		if d := cmp.Diff(c.want, Isotonic(c.y, c.w), cmpopts.EquateApprox(0, 1e-12)); d != "" {
			t.Errorf("Isotonic(%v, %v): %s", c.y, c.w, d)
		}
		if !slices.Equal(in, c.y) {
			t.Errorf("Isotonic changed its input %v", in)
		}
	}
	if Isotonic([]float64{1, 2}, []float64{1}) != nil {
		t.Error("unequal lengths accepted")
	}
}

// The slow twin of Isotonic: the max-min formula of the isotonic fit (Barlow
// et al. 1972, from memory).
func TestIsotonicMaxMin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		y := rapid.SliceOfN(rapid.Float64Range(-10, 10), 1, 12).Draw(t, "y")
		w := rapid.SliceOfN(rapid.Float64Range(0.1, 5), len(y), len(y)).Draw(t, "w")
		got := Isotonic(y, w)
		for i := range y {
			want := math.Inf(-1)
			for a := 0; a <= i; a++ {
				least := math.Inf(1)
				for b := i; b < len(y); b++ {
					var s, q float64
					for k := a; k <= b; k++ {
						s, q = s+w[k]*y[k], q+w[k]
					}
					least = math.Min(least, s/q)
				}
				want = math.Max(want, least)
			}
			if math.Abs(got[i]-want) > 1e-9 {
				t.Fatalf("at %d: %v, want %v", i, got[i], want)
			}
		}
	})
}
