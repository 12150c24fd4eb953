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

// Worked by hand: three paces with equal errors s have a slope of half the
// difference of the ends, with the error s/sqrt(2), here more than their scatter
// about the line tells (-1/3, 2/3, -1/3); t on one degree of freedom is Cauchy's.
func TestSlopeByHand(t *testing.T) {
	p := rowOf([]float64{240, 239, 236}, 1).Progression
	near(t, "slope", p.SlopeSPerKmPerRep, -2, 1e-12)
	near(t, "its margin", p.SlopeSE, 1/math.Sqrt2, 1e-12)
	near(t, "p", p.P, 1-2/math.Pi*math.Atan(2*math.Sqrt2), 1e-9)
	near(t, "change", p.ChangeSPerKm, -4, 1e-12)
	near(t, "its margin", p.ChangeMargin, 2*12.7062/math.Sqrt2, 1e-3)
	near(t, "Theil-Sen", p.TheilSen, -2, 1e-12) // of -1, -2 and -3
	if p.Call != Level && p.Call != Uneven || p.QuickerThanPrevious != 1 || p.SlowerThanPrevious != 0 || p.Compared != 2 {
		t.Errorf("%+v", p)
	}
	// 239 and 236 differ by 3, more than 1.96 sqrt(2) = 2.77; 240 and 239 do not.
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
		{"quicker, three reps on a line", []float64{260, 240, 220.5}, 0.5, nil, Quicker},
		{"three reps off a line", []float64{245, 242, 236}, 1, nil, Uneven},
		{"quicker, four reps", []float64{245, 242, 240, 236}, 1, nil, Quicker},
		{"slower, four reps", []float64{236, 240, 242, 245}, 1, nil, Slower},
		{"two reps apart", []float64{245, 240}, 1, nil, Quicker},
		{"two reps within the margin", []float64{242, 240}, 1, nil, Level},
		// The sessions of these were once called quicker, and the last one uneven.
		{"two back and forth", []float64{240, 252, 236}, 1, nil, Uneven},
		{"four back and forth", []float64{240, 228, 246, 232}, 1, nil, Uneven},
		{"five, one of them a little slower", []float64{240, 237, 238, 234, 230}, 1, nil, Quicker},
		{"nine falling and one slow", []float64{245, 243, 241, 239, 237, 235, 233, 231, 229, 262}, 1, nil, Uneven},
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
	if p.Free != 5 || p.Call != Quicker {
		t.Errorf("%d degrees of freedom, %s", p.Free, p.Call)
	}
	if len(p.Sets) != 3 || p.AcrossSet == nil {
		t.Fatalf("sets %+v, across %v", p.Sets, p.AcrossSet)
	}
	for i, s := range p.Sets {
		near(t, "mean of a set", s.MeanPace, 246-4*float64(i), 1e-9)
		near(t, "slope of a set", s.SlopeSPerKmPerRep, -4, 1e-9)
	}
	near(t, "slope across sets", p.AcrossSet.SlopeSPerKmPerSet, -4, 1e-9)
	if p.AcrossSet.Test != SlopeTest || p.AcrossSet.Call != Uneven { // three means: t on one degree of freedom
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
