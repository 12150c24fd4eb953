package match

import (
	"math"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/trend"
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
			c := Comparison{With: set[k-1], DeltaSPerKm: b.Pace - a.Pace, SE: math.Hypot(a.ownSE(), b.ownSE()), Call: Level}
			if math.Abs(c.DeltaSPerKm) > trend.Z95*c.SE {
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

func (r *Result) progression(row []int) Progression {
	p := Progression{Reps: row, Of: len(row)}
	p.Course, _ = r.courseOf(row)
	sets := r.sets(row)
	paces, ses := make([][]float64, len(sets)), make([][]float64, len(sets))
	longest := 0
	for s, set := range sets {
		longest = max(longest, len(set))
		for _, i := range set {
			rep := r.Reps[i]
			paces[s], ses[s] = append(paces[s], rep.Pace), append(ses[s], rep.ownSE())
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
	p.SlopeSPerKmPerRep, p.SlopeSE, p.SlopeMargin = l.Slope, l.SE, l.Margin()
	p.ChangeSPerKm, p.ChangeMargin = l.Slope*float64(longest-1), l.Margin()*float64(longest-1)
	p.Scatter, p.Free = l.Scatter, max(l.Free, 0)
	p.Test, p.P, p.Call = l.test(), l.P(), l.call()
	p.TheilSen = trend.MedianSlope(paces...)
	for s, set := range sets {
		p.Fit = append(p.Fit, trend.Monotone(paces[s], weights(ses[s]), l.Slope)...)
		if len(sets) == 1 {
			return p
		}
		one := fitLine(paces[s:s+1], ses[s:s+1])
		sp := SetProgression{Set: r.Reps[set[0]].Set, Of: len(set), SlopeSPerKmPerRep: one.Slope, SlopeSE: one.SE, Call: one.call()}
		sp.MeanPace, sp.SE = trend.WeightedMean(paces[s], ses[s])
		p.Sets = append(p.Sets, sp)
	}
	p.AcrossSet = acrossSets(p.Sets)
	return p
}

func acrossSets(sp []SetProgression) *SetTrend {
	means, se := make([]float64, len(sp)), make([]float64, len(sp))
	for k, s := range sp {
		means[k], se[k] = s.MeanPace, s.SE
	}
	l := fitLine([][]float64{means}, [][]float64{se})
	return &SetTrend{Of: len(sp), SlopeSPerKmPerSet: l.Slope, SlopeSE: l.SE, Test: l.test(), P: l.P(), Call: l.call()}
}

func weights(se []float64) []float64 {
	w := make([]float64, len(se))
	for i, s := range se {
		w[i] = 1 / (s * s)
	}
	return w
}
