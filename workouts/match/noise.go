package match

import (
	"math"
	"slices"
)

// noiseIn estimates the long-run standard deviation of the speed noise, in
// m/s * sqrt(s), from inside the reps of a layout, where the runner meant to
// hold a speed: means over blocks of blockS seconds are compared with those
// one, two and three blocks later. What they differ by at lag three is taken
// as all of their variance, and what they differ by less at shorter lags as
// covariance, which counts twice. Trends within a rep are slow and hardly
// show. The result is 0 when there are too few blocks.
//
// The estimate holds the device's noise and the quick part of the runner's own
// unevenness; a wander slower than half a minute is running, not noise.
func (sp *speeds) noiseIn(lay layout) float64 {
	const blockS, inset, most, leastPairs = 8, 6, 3, 12
	var sum, n [most + 1]float64
	for k, p := range lay.path {
		if p.move == moveSkip || p.move == moveSlow || p.move == moveStep && !lay.tasks[p.task].work {
			continue
		}
		from, to := int(lay.edges[k].at)+inset, int(lay.edges[k+1].at)-inset
		var means []float64
		for a := from; a+blockS <= to && a >= 0 && a+blockS <= sp.n; a += blockS {
			m := (sp.dist(a+blockS) - sp.dist(a)) / blockS
			if sp.stoodS(a, a+blockS) > 0 {
				m = nan
			}
			means = append(means, m)
		}
		for i := range means {
			for lag := 1; lag <= most && i+lag < len(means); lag++ {
				if d := means[i+lag] - means[i]; !math.IsNaN(d) {
					sum[lag], n[lag] = sum[lag]+d*d/2, n[lag]+1
				}
			}
		}
	}
	if n[most] < leastPairs {
		return 0
	}
	d1, d2, d3 := sum[1]/n[1], sum[2]/n[2], sum[3]/n[3]
	v := d3 + 2*(d3-d1) + 2*math.Max(d3-d2, 0)
	return math.Sqrt(blockS * math.Max(v, d3/8))
}

// firstNoise estimates the same before anything is known of the run: from the
// smaller half of the differences of means over blocks that lie two blocks
// apart, since the larger ones are changes of pace.
func (sp *speeds) firstNoise() float64 {
	const blockS = 8
	const q, z = 0.35, 0.4538 // P(|Z| < 0.4538) = 0.35
	mean := func(a int) float64 { return (sp.dist(a+blockS) - sp.dist(a)) / blockS }
	var d []float64
	for a := 0; a+3*blockS <= sp.n; a += blockS {
		if sp.stoodS(a, a+3*blockS) == 0 {
			d = append(d, math.Abs(mean(a+2*blockS)-mean(a)))
		}
	}
	if len(d) == 0 {
		return 0
	}
	slices.Sort(d)
	return d[int(q*float64(len(d)-1))] / z * math.Sqrt(blockS/2)
}
