package match

import (
	"math"
	"testing"
)

// margin is the two-sided 5 % point of the normal distribution (any table of it,
// such as NIST/SEMATECH e-Handbook 1.3.6.7.1: 1.960).
const margin = 1.960

// A rep is called quicker or slower than the last when the difference passes its
// printed margin, 1.96 errors of both together, and level just below it.
func TestCallsAgainstTheLastRep(t *testing.T) {
	for _, c := range []struct {
		delta, first, second float64 // s/km
		want                 Call
	}{
		{-0.99 * margin * 5, 3, 4, Level},
		{-1.01 * margin * 5, 3, 4, Quicker},
		{0.99 * margin * 5, 3, 4, Level},
		{1.01 * margin * 5, 3, 4, Slower},
		{-1.01 * margin * 4, 3, 4, Level}, // both errors count
		{0, 3, 4, Level},
	} {
		r := Result{Reps: []Rep{
			{Step: 0, Set: 1, Rep: 1, Span: Span{Pace: 240, PaceSE: c.first}},
			{Step: 1, Set: 1, Rep: 2, Span: Span{Pace: 240 + c.delta, PaceSE: c.second}},
		}}
		r.comparePairs([]int{0, 1})
		got := r.Reps[1].VsPrevious
		if got.Call != c.want || got.With != 0 || math.Abs(got.DeltaSPerKm-c.delta) > 1e-9 || math.Abs(got.SE-math.Hypot(c.first, c.second)) > 1e-9 {
			t.Errorf("%+v: %+v", c, got)
		}
	}
}

// Reps without a trend are uneven when their squares about the mean, in units of
// their errors, pass the chi-square test at 5 %: 5.991 for three reps, two
// degrees of freedom (NIST/SEMATECH e-Handbook 1.3.6.7.4). For 0, a, 0 the sum
// is 2 a^2/3, and the slope nothing.
func TestCallOfUnevenReps(t *testing.T) {
	const critical = 5.991
	for _, c := range []struct {
		of   float64 // the critical value
		want Call
	}{{0.99, Level}, {1.01, Uneven}} {
		a := math.Sqrt(1.5 * critical * c.of)
		l := fitLine([][]float64{{240, 240 + 2*a, 240}}, [][]float64{{2, 2, 2}})
		if got := l.call(); got != c.want || !same(l.Slope, 0) || !same(l.Misfit, critical*c.of) || l.LevelFree != 2 {
			t.Errorf("%v of the critical value: %s, %+v", c.of, got, l)
		}
	}
}

// A pace is off its target when it is beyond the tolerance by more than its own
// margin; drift counts from the nearer edge.
func TestCallsAgainstTheTarget(t *testing.T) {
	band := Target{LowSPerKm: 240, HighSPerKm: 250, Tolerance: 4}
	for _, c := range []struct {
		pace, se, drift float64
		want            Call
	}{
		{245, 2, 0, Level},
		{240, 2, 0, Level},
		{239, 2, -1, Level},
		{240 - 4 - 0.99*margin*2, 2, -4 - 0.99*margin*2, Level},
		{240 - 4 - 1.01*margin*2, 2, -4 - 1.01*margin*2, Quicker},
		{250 + 4 + 0.99*margin*2, 2, 4 + 0.99*margin*2, Level},
		{250 + 4 + 1.01*margin*2, 2, 4 + 1.01*margin*2, Slower},
		{254.1, 0, 4.1, Slower},
		{253.9, 0, 3.9, Level},
		{math.Inf(1), 2, nan, NoCall},
	} {
		d, pct, call := band.drift(c.pace, c.se)
		edge := 240.0
		if c.pace > 250 {
			edge = 250
		}
		if call != c.want || !same(d, c.drift) || !same(pct, 100*c.drift/edge) {
			t.Errorf("%+v: %v s/km, %v %%, %s", c, d, pct, call)
		}
	}
}

func same(a, b float64) bool {
	return math.IsNaN(a) && math.IsNaN(b) || math.Abs(a-b) < 1e-9
}

// A recovery is run through when it is hardly slower than the reps about it, from
// 93 % of their speed on (common practice, no source).
func TestRunThroughBeginsAtItsShare(t *testing.T) {
	const plan = "10:00 warm + 3 x 3:00 off 90s jog + 5:00 cool"
	for _, c := range []struct {
		share float64
		want  bool
	}{{0.90, false}, {0.96, true}} {
		r := check(t, plan, made(legs(600, 2.5, 180, 4, 90, 4*c.share, 180, 4, 90, 2, 180, 4, 300, 2.5)))
		if r.Verdict == Different || r.Reps[0].Merged != c.want || r.Reps[1].Merged {
			t.Errorf("recovery at %v of the speed: %s, merged %v, %v", c.share, r.Verdict, r.Reps[0].Merged, r.Reps[1].Merged)
		}
	}
}
