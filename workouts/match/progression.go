package match

import (
	"math"

	"gonum.org/v1/gonum/stat/distuv"

	"example.org/rungs/segment"
	"example.org/rungs/workouts"
)

const (
	// oneSided is the normal quantile of a one-sided 5 % test: "quicker than
	// the last" is said wrongly of one level pair in twenty.
	oneSided = 1.6448536269514722
	// alpha is the two-sided level of the tests for a trend.
	alpha = 0.05
	// leastRanks is the least number of reps whose ranks can reach alpha: 2/n!
	// is 0.083 for four and 0.017 for five.
	leastRanks = 5
)

// progress compares the reps of every row with each other.
func (r *Result) progress() {
	most := 0.0
	for _, row := range r.rows() {
		r.comparePairs(row)
		if len(row) < 2 {
			continue
		}
		p := r.progression(row)
		r.Progressions = append(r.Progressions, p)
		var work float64
		for _, i := range row {
			work += r.Reps[i].Seconds()
		}
		if work > most {
			most, r.Progression = work, p
		}
	}
}

// rows groups the reps that have a pace and belong together: the same step
// repeated, or all planned work when no step repeats.
func (r *Result) rows() [][]int {
	var keys []workouts.Step
	count := map[workouts.Step]int{}
	repeats := false
	for _, rep := range r.Reps {
		if rep.Step < 0 {
			continue
		}
		if count[rep.Planned.Step]++; count[rep.Planned.Step] == 1 {
			keys = append(keys, rep.Planned.Step)
		} else {
			repeats = true
		}
	}
	var all []int
	rows := map[workouts.Step][]int{}
	for i, rep := range r.Reps {
		if rep.Step >= 0 && rep.Pace > 0 && !math.IsInf(rep.Pace, 0) && rep.PaceSE > 0 {
			rows[rep.Planned.Step] = append(rows[rep.Planned.Step], i)
			all = append(all, i)
		}
	}
	if !repeats {
		return [][]int{all}
	}
	var out [][]int
	for _, k := range keys {
		out = append(out, rows[k])
	}
	return out
}

// sets splits a row into its sets when every set but perhaps one holds two
// reps and more; else the row is one sequence.
func (r *Result) sets(row []int) [][]int {
	var out [][]int
	for k, i := range row {
		if k == 0 || r.Reps[i].Set != r.Reps[row[k-1]].Set {
			out = append(out, nil)
		}
		out[len(out)-1] = append(out[len(out)-1], i)
	}
	single := 0
	for _, s := range out {
		if len(s) < 2 {
			single++
		}
	}
	if len(out) > 1 && single*2 >= len(out) {
		return [][]int{row}
	}
	return out
}

// comparePairs holds each rep of a row against the one before it in its set.
func (r *Result) comparePairs(row []int) {
	for _, set := range r.sets(row) {
		for k := 1; k < len(set); k++ {
			a, b := &r.Reps[set[k-1]], &r.Reps[set[k]]
			c := Comparison{With: set[k-1], DeltaSPerKm: b.Pace - a.Pace, SE: math.Hypot(a.PaceSE, b.PaceSE), Call: Level}
			if math.Abs(c.DeltaSPerKm) > oneSided*c.SE {
				c.Call = bySign(c.DeltaSPerKm)
			}
			b.VsPrevious = c
		}
	}
}

func bySign(d float64) Call {
	if d < 0 {
		return Quicker
	}
	return Slower
}

// A line is a weighted least-squares slope over places with a common slope
// and, for several sets, an own level each.
type line struct {
	slope, se float64
	misfit    float64 // weighted squares about the levels of the sets, without a slope
	free      int     // degrees of freedom of misfit
}

func fitLine(sets [][]float64, se [][]float64) line {
	var sxx, sxy float64
	var l line
	for s, y := range sets {
		var w, mx, my float64
		for i := range y {
			k := 1 / (se[s][i] * se[s][i])
			w, mx, my = w+k, mx+k*float64(i), my+k*y[i]
		}
		mx, my = mx/w, my/w
		for i := range y {
			k := 1 / (se[s][i] * se[s][i])
			dx, dy := float64(i)-mx, y[i]-my
			sxx, sxy, l.misfit = sxx+k*dx*dx, sxy+k*dx*dy, l.misfit+k*dy*dy
		}
		l.free += len(y) - 1
	}
	l.slope, l.se = math.NaN(), math.NaN() // of a single rep
	if sxx > 0 {
		l.slope, l.se = sxy/sxx, 1/math.Sqrt(sxx)
	}
	return l
}

// p is the two-sided p of the slope against its margin.
func (l line) p() float64 {
	return math.Min(1, 2*distuv.UnitNormal.Survival(math.Abs(l.slope)/l.se))
}

// call judges a trend: significant, else uneven when the values differ by more
// than their margins, else level.
func (l line) call(p float64) Call {
	switch {
	case l.free < 1 || math.IsNaN(l.slope):
		return NoCall
	case p < alpha:
		return bySign(l.slope)
	case distuv.ChiSquared{K: float64(l.free)}.Survival(l.misfit) < alpha:
		return Uneven
	}
	return Level
}

func (r *Result) progression(row []int) Progression {
	p := Progression{Reps: row, Of: len(row)}
	sets := r.sets(row)
	paces, ses := make([][]float64, len(sets)), make([][]float64, len(sets))
	var x, y, w []float64
	for s, set := range sets {
		for k, i := range set {
			rep := r.Reps[i]
			paces[s], ses[s] = append(paces[s], rep.Pace), append(ses[s], rep.PaceSE)
			x, y, w = append(x, float64(k)), append(y, rep.Pace), append(w, 1/(rep.PaceSE*rep.PaceSE))
			if rep.VsPrevious.With >= 0 {
				p.Compared++
			}
			switch rep.VsPrevious.Call {
			case Quicker:
				p.QuickerThanPrevious++
			case Slower:
				p.SlowerThanPrevious++
			}
		}
	}
	l := fitLine(paces, ses)
	p.SlopeSPerKmPerRep, p.SlopeSE = l.slope, l.se
	p.Test, p.P = trendTest(paces, l)
	p.Call = l.call(p.P)
	if len(sets) == 1 {
		p.TheilSen, _, _ = TheilSen(x, y, 0.95)
		p.Fit = monotone(y, w, l.slope)
		return p
	}
	p.TheilSen = pooledTheilSen(paces)
	for s, set := range sets {
		one := fitLine(paces[s:s+1], ses[s:s+1])
		sp := SetProgression{Set: r.Reps[set[0]].Set, Of: len(set), SlopeSPerKmPerRep: one.slope, SlopeSE: one.se, Call: one.call(one.p())}
		sp.MeanPace, sp.SE = weightedMean(paces[s], ses[s])
		p.Sets = append(p.Sets, sp)
		p.Fit = append(p.Fit, monotone(paces[s], weights(ses[s]), l.slope)...)
	}
	p.AcrossSet = acrossSets(paces, p.Sets)
	return p
}

// trendTest picks the test by n: exact ranks where they can reach 5 %, the
// measuring error elsewhere.
func trendTest(sets [][]float64, l line) (Test, float64) {
	if len(sets) == 1 && len(sets[0]) >= leastRanks {
		return MannKendallTest, MannKendall(sets[0]).P
	}
	if n := len(sets[0]); len(sets) > 1 && n <= mostTreatments {
		least := 2.0
		for _, s := range sets {
			if len(s) != n {
				least = 2 // unequal sets: Page's L does not apply
				break
			}
			for k := 2; k <= n; k++ {
				least /= float64(k)
			}
		}
		if least <= alpha {
			rise, fall := Page(sets).P, Page(negated(sets)).P
			return PageTest, math.Min(1, 2*math.Min(rise, fall))
		}
	}
	return MeasuringErrorTest, l.p()
}

func acrossSets(sets [][]float64, sp []SetProgression) *SetTrend {
	means, se := make([]float64, len(sp)), make([]float64, len(sp))
	all, orders := 0, 1.0 // ways to deal the reps out to the sets
	for k, s := range sp {
		means[k], se[k] = s.MeanPace, s.SE
		for j := 1; j <= s.Of; j++ {
			all++
			orders *= float64(all) / float64(j)
		}
	}
	l := fitLine([][]float64{means}, [][]float64{se})
	t := &SetTrend{Of: len(sp), SlopeSPerKmPerSet: l.slope, SlopeSE: l.se, Test: MeasuringErrorTest, P: l.p()}
	if 2/orders <= alpha {
		t.Test, t.P = JonckheereTest, Jonckheere(sets).P
	}
	t.Call = l.call(t.P)
	return t
}

func negated(sets [][]float64) [][]float64 {
	out := make([][]float64, len(sets))
	for s, y := range sets {
		for _, v := range y {
			out[s] = append(out[s], -v)
		}
	}
	return out
}

func pooledTheilSen(sets [][]float64) float64 {
	// Points of different sets are kept apart by pairing them nowhere.
	var slopes []float64
	for _, y := range sets {
		for i := range y {
			for j := i + 1; j < len(y); j++ {
				slopes = append(slopes, (y[j]-y[i])/float64(j-i))
			}
		}
	}
	return median(slopes)
}

func weights(se []float64) []float64 {
	w := make([]float64, len(se))
	for i, s := range se {
		w[i] = 1 / (s * s)
	}
	return w
}

func weightedMean(y, se []float64) (mean, meanSE float64) {
	var w, s float64
	for i, v := range y {
		k := 1 / (se[i] * se[i])
		w, s = w+k, s+k*v
	}
	return s / w, 1 / math.Sqrt(w)
}

// monotone is the closest monotone series in the direction of the slope.
func monotone(y, w []float64, slope float64) []float64 {
	if slope > 0 {
		return Isotonic(y, w)
	}
	neg := make([]float64, len(y))
	for i, v := range y {
		neg[i] = -v
	}
	out := Isotonic(neg, w)
	for i := range out {
		out[i] = -out[i]
	}
	return out
}

// wantsQuicker tells whether the plan asks the reps of a row to get quicker,
// and by how much, s/km per rep.
func (r *Result) wantsQuicker(row []int) (by float64, asked bool) {
	for _, i := range row {
		if p := r.Reps[i].Planned; p.Role == segment.Work && p.Goal.Kind == workouts.QuickerGoal {
			return p.Goal.QuickerBy, true
		}
	}
	return 0, false
}
