package match

import (
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

// rowOf makes a result of reps of one step with the given paces (s/km) and
// margins, in sets of the given sizes.
func rowOf(paces []float64, se float64, sizes ...int) *Result {
	r := &Result{}
	set, left := 0, 0
	for i, p := range paces {
		for left == 0 {
			left = len(paces)
			if set < len(sizes) {
				left = sizes[set]
			}
			set++
		}
		left--
		r.Reps = append(r.Reps, Rep{Step: i, Set: set, Rep: i + 1, Outcome: Done,
			Planned:    workouts.Planned{Index: i, Role: segment.Work},
			Span:       Span{StartS: float64(300 * i), EndS: float64(300*i + 180), Pace: p, PaceSE: se},
			VsPrevious: Comparison{With: -1}})
	}
	r.progress()
	return r
}

// Which test judges depends on n: ranks only where they can reach 5 %.
func TestChoiceOfTest(t *testing.T) {
	for _, c := range []struct {
		n    int
		sets []int
		want Test
	}{
		{2, nil, MeasuringErrorTest}, {3, nil, MeasuringErrorTest}, {4, nil, MeasuringErrorTest},
		{5, nil, MannKendallTest}, {12, nil, MannKendallTest},
		{9, []int{3, 3, 3}, PageTest},           // 2/6^3 = 0.009
		{6, []int{3, 3}, MeasuringErrorTest},    // 2/6^2 = 0.056
		{8, []int{4, 4}, PageTest},              // 2/24^2 = 0.003
		{7, []int{4, 3}, MeasuringErrorTest},    // unequal sets
		{12, []int{2, 2, 2, 2, 2, 2}, PageTest}, // 2/2^6 = 0.03
	} {
		paces := make([]float64, c.n)
		for i := range paces {
			paces[i] = 240 - float64(i)
		}
		if got := rowOf(paces, 1, c.sets...).Progression.Test; got != c.want {
			t.Errorf("%d reps in sets %v: %s, want %s", c.n, c.sets, got, c.want)
		}
	}
	// From set to set: Jonckheere's test where the reps can be dealt to the sets
	// in enough ways, 6!/(3! 3!) = 20 being too few and 8!/(4! 4!) = 70 enough.
	across := func(sizes ...int) Test {
		n := 0
		for _, s := range sizes {
			n += s
		}
		paces := make([]float64, n)
		for i := range paces {
			paces[i] = 240 - float64(i)
		}
		return rowOf(paces, 1, sizes...).Progression.AcrossSet.Test
	}
	if got := across(3, 3); got != MeasuringErrorTest {
		t.Errorf("two sets of three: %s", got)
	}
	if got := across(4, 4); got != JonckheereTest {
		t.Errorf("two sets of four: %s", got)
	}
}

// Worked by hand: three paces with equal margins s have a slope of half the
// difference of the ends, with the margin s/sqrt(2); p is normal.
func TestSlopeByHand(t *testing.T) {
	p := rowOf([]float64{240, 239, 236}, 1).Progression
	near(t, "slope", p.SlopeSPerKmPerRep, -2, 1e-12)
	near(t, "its margin", p.SlopeSE, 1/math.Sqrt2, 1e-12)
	near(t, "p", p.P, 2*normalTail(2*math.Sqrt2), 1e-12)
	near(t, "Theil-Sen", p.TheilSen, -2, 1e-12) // of -1, -2 and -3
	if p.Call != Quicker || p.QuickerThanPrevious != 1 || p.SlowerThanPrevious != 0 || p.Compared != 2 {
		t.Errorf("%+v", p)
	}
	// 239 and 236 differ by 3, more than 1.645 sqrt(2) = 2.33; 240 and 239 do not.
	r := rowOf([]float64{240, 239, 236}, 1)
	if r.Reps[1].VsPrevious.Call != Level || r.Reps[2].VsPrevious.Call != Quicker {
		t.Errorf("calls %q, %q", r.Reps[1].VsPrevious.Call, r.Reps[2].VsPrevious.Call)
	}
	near(t, "margin of a difference", r.Reps[1].VsPrevious.SE, math.Sqrt2, 1e-12)
}

func TestCalls(t *testing.T) {
	for _, c := range []struct {
		name  string
		paces []float64
		se    float64
		sets  []int
		want  Call
	}{
		{"level within the margins", []float64{240, 241, 239, 240}, 2, nil, Level},
		{"quicker, four reps", []float64{245, 242, 240, 236}, 1, nil, Quicker},
		{"slower, four reps", []float64{236, 240, 242, 245}, 1, nil, Slower},
		{"uneven, four reps", []float64{240, 250, 238, 246}, 1, nil, Uneven},
		{"quicker, six reps", []float64{245, 244, 243, 242, 241, 240}, 1, nil, Quicker},
		{"uneven, six reps", []float64{240, 250, 240, 250, 240, 250}, 1, nil, Uneven},
		{"level, six reps", []float64{240, 241, 240, 239, 241, 240}, 2, nil, Level},
		{"one rep", []float64{240}, 1, nil, NoCall},
		{"quicker in each of three sets", []float64{245, 242, 239, 246, 243, 240, 244, 242, 238}, 1, []int{3, 3, 3}, Quicker},
	} {
		p := rowOf(c.paces, c.se, c.sets...).Progression
		if p.Call != c.want {
			t.Errorf("%s: %q (p %.3f, %s), want %q", c.name, p.Call, p.P, p.Test, c.want)
		}
	}
}

// Sets restart: within each the reps are compared, and the sets with each other.
func TestSets(t *testing.T) {
	r := rowOf([]float64{250, 246, 242, 246, 242, 238, 242, 238, 234}, 1, 3, 3, 3)
	p := r.Progression
	near(t, "slope within sets", p.SlopeSPerKmPerRep, -4, 1e-9)
	near(t, "p of Page's L", p.P, 2.0/216, 1e-12)
	if len(p.Sets) != 3 || p.AcrossSet == nil {
		t.Fatalf("sets %+v, across %v", p.Sets, p.AcrossSet)
	}
	for i, s := range p.Sets {
		near(t, "mean of a set", s.MeanPace, 246-4*float64(i), 1e-9)
		if s.Call != Quicker {
			t.Errorf("set %d: %s", s.Set, s.Call)
		}
	}
	near(t, "slope across sets", p.AcrossSet.SlopeSPerKmPerSet, -4, 1e-9)
	if p.AcrossSet.Test != JonckheereTest || p.AcrossSet.Call != Quicker {
		t.Errorf("across: %+v", p.AcrossSet)
	}
	for i, rep := range r.Reps {
		if (rep.VsPrevious.With < 0) != (i%3 == 0) {
			t.Errorf("rep %d is compared with %d", i+1, rep.VsPrevious.With)
		}
	}
	if len(p.Fit) != 9 || p.Fit[3] != 246 {
		t.Errorf("monotone fit %v", p.Fit)
	}
}

// The monotone fit goes in the direction of the slope.
func TestMonotoneFit(t *testing.T) {
	p := rowOf([]float64{240, 242, 238, 236, 237}, 1).Progression
	for i, want := range []float64{241, 241, 238, 236.5, 236.5} {
		near(t, "fit", p.Fit[i], want, 1e-9)
	}
}
