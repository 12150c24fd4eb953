package segment

import (
	"fmt"

	"example.org/rungs/segment/recording"
)

// A crop is a piece of a recording, as a runner would have made it who started late or stopped early.
type crop struct {
	name  string
	r     *recording.Recording
	truth []recording.Span
}

// cropped is what was recorded from one time to another, s; nil where that is too little.
func cropped(r *recording.Recording, from, to float64) *recording.Recording {
	c := kept(r, func(i int) bool { return r.T[i] >= from && r.T[i] <= to })
	if len(c.T) < 2 {
		return nil
	}
	start, end := c.T[0], c.T[len(c.T)-1]-c.T[0]
	for i := range c.T {
		c.T[i] -= start
	}
	c.Plan, c.Laps, c.Stops = nil, nil, nil
	for _, l := range r.Laps {
		if l.StartS, l.EndS = max(l.StartS-start, 0), min(l.EndS-start, end); l.EndS > l.StartS {
			c.Laps = append(c.Laps, l)
		}
	}
	for _, s := range r.Stops {
		if s.StartS, s.EndS = max(s.StartS-start, 0), min(s.EndS-start, end); s.EndS > s.StartS {
			c.Stops = append(c.Stops, s)
		}
	}
	return c
}

// crops are pieces of a recording. One with reps begins with the warm-up, some of it, none, or one or two reps later, and
// ends likewise; three reps are left at least. One without is cut into halves and the like.
func crops(r *recording.Recording, truth []recording.Span) (out []crop) {
	add := func(name string, from, to float64, left []recording.Span) {
		c := cropped(r, from, to)
		if c == nil {
			return
		}
		start := 0.0
		for i := range r.T {
			if r.T[i] >= from {
				start = r.T[i]
				break
			}
		}
		var spans []recording.Span
		for _, s := range left {
			spans = append(spans, recording.Span{StartS: s.StartS - start, EndS: s.EndS - start})
		}
		out = append(out, crop{name, c, spans})
	}
	if truth == nil {
		for _, x := range [][2]float64{{0, 0.5}, {0.5, 1}, {0.25, 0.75}, {0, 0.8}, {0.2, 1}} {
			add(fmt.Sprintf("from %g to %g", x[0], x[1]), x[0]*r.Duration(), x[1]*r.Duration(), nil)
		}
		return out
	}
	const much, little = 120.0, 15.0 // s
	type end struct {
		name string
		at   float64
		reps int
	}
	n := len(truth)
	starts := []end{{"all", 0, 0}, {"two minutes", truth[0].StartS - much, 0}, {"no", truth[0].StartS - little, 0}}
	ends := []end{{"all", r.Duration(), n}, {"two minutes", truth[n-1].EndS + much, n}, {"no", truth[n-1].EndS + little, n}}
	for k := 1; k <= 2 && k < n; k++ {
		starts = append(starts, end{fmt.Sprintf("%d reps less", k), truth[k].StartS - little, k})
		ends = append(ends, end{fmt.Sprintf("%d reps less", k), truth[n-1-k].EndS + little, n - k})
	}
	for _, a := range starts {
		for _, b := range ends {
			if b.reps-a.reps >= 3 && a.at >= 0 && (a.name != "all" || b.name != "all") {
				add(a.name+" before, "+b.name+" after", a.at, b.at, truth[a.reps:b.reps])
			}
		}
	}
	return out
}
