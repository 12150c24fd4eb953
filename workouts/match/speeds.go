package match

import (
	"math"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// speeds is the run as the alignment reads it: smoothed speed second by
// second, where the runner stood, and prefix sums of misfits.
type speeds struct {
	s       *segment.Session
	n       int       // whole seconds
	look    []float64 // m: distance as on the flat at the same effort, up to each second; n+1 values
	smooth  []float64 // m/s, mean over width seconds around each
	width   int
	halt    []float64 // seconds stood before each second; n+1 values
	noise   float64   // standard deviation of smooth about an even speed, m/s
	seen    []float64 // by second that the split without the plan calls work: the price of laying it as something else; nil when it saw none
	presses []float64 // of the lap button, s, in order
	told    []edge    // of reps, where someone said that they were
	first   float64   // long-run standard deviation as first estimated, m/s * sqrt(s)
	longRn  float64   // the same, as in use
	cache   map[misfitKey][]float64
	given   *placing // of a plan that is known to be what was run; else nil
}

// A misfitKey names a prefix sum of misfits.
type misfitKey struct {
	band
	work, excuseHalts bool
}

const (
	standstill = 0.9 // m/s: slower than any walk
	leastHaltS = 4
)

// readSpeeds reads a session for a plan whose shortest step lasts shortest
// seconds. Flat is the speed on the flat at the same effort, second by second;
// nil takes speed as it is.
func readSpeeds(s *segment.Session, shortest float64, flat []float64) *speeds {
	tr := s.Trace
	n := len(tr.Speed)
	sp := &speeds{s: s, n: n, look: tr.Dist, cache: map[misfitKey][]float64{}}
	if len(flat) == n {
		sp.look = make([]float64, n+1)
		for i, v := range flat {
			share := 1.0
			if x := v / tr.Speed[i]; x > 0.2 && x < 5 {
				share = x
			}
			sp.look[i+1] = sp.look[i] + share*(tr.Dist[i+1]-tr.Dist[i])
		}
	}
	if s.Recording != nil {
		sp.presses = recording.Presses(s.Recording.Laps)
	}
	sp.told = toldEdges(s)
	sp.priceSeen(shortest)
	sp.findHalts()
	sp.first = sp.firstNoise()
	sp.setNoise(sp.first)
	sp.smoothOver(sp.window(shortest))
	return sp
}

// priceSeen sets what it costs to lay a step over each second that the split without the
// plan calls work, or does not; nil where it found none.
func (sp *speeds) priceSeen(shortest float64) {
	for _, g := range sp.s.Segments {
		if g.Role != segment.Work {
			continue
		}
		if sp.seen == nil {
			sp.seen = make([]float64, sp.n)
		}
		price := rateSeen
		if sp.told != nil {
			price = rateTold
		}
		if g.Seconds() >= likeShare*shortest {
			price += priceSeen / g.Seconds()
		}
		for i := max(0, int(g.StartS+0.5)); i < sp.n && float64(i)+0.5 < g.EndS; i++ {
			sp.seen[i] = price
		}
	}
}

// findHalts counts the seconds stood before each second.
func (sp *speeds) findHalts() {
	tr, n := sp.s.Trace, sp.n
	sp.halt = make([]float64, n+1)
	stood := make([]bool, n)
	for i := 0; i < n; {
		j := i
		for j < n && (sp.around(j, 3) < standstill || len(tr.Timer) == n && !tr.Timer[j]) {
			j++
		}
		if j-i >= leastHaltS {
			for k := i; k < j; k++ {
				stood[k] = true
			}
		}
		i = max(j, i+1)
	}
	for i, h := range stood {
		sp.halt[i+1] = sp.halt[i]
		if h {
			sp.halt[i+1]++
		}
	}
}

// around is the mean speed over w seconds around second i, m/s.
func (sp *speeds) around(i, w int) float64 {
	lo, hi := max(0, i-w/2), min(sp.n, i+w/2+1)
	return math.Max((sp.look[hi]-sp.look[lo])/float64(hi-lo), 0)
}

// window is over how many seconds to smooth: enough to bring the noise down,
// no more than half of the shortest step of the plan (s).
func (sp *speeds) window(shortest float64) int {
	const least, most, wanted = 7, 21, 0.2 // s, s, m/s
	w := int(math.Pow(sp.longRn/wanted, 2))
	return max(least, min(most, w, int(shortest/2))) | 1
}

// smoothOver sets the smoothed speeds.
func (sp *speeds) smoothOver(w int) {
	sp.width = w
	sp.smooth = make([]float64, sp.n)
	for i := range sp.smooth {
		sp.smooth[i] = sp.around(i, w)
	}
	sp.setNoise(sp.longRn)
}

// setNoise sets the long-run noise, m/s * sqrt(s).
func (sp *speeds) setNoise(longRun float64) {
	sp.longRn = math.Max(longRun, 0.05)
	sp.noise = sp.longRn / math.Sqrt(float64(max(sp.width, 1)))
	clear(sp.cache)
}

// goesBy reports whether the runner goes by the distance that the device shows, as all
// do but on a track.
func (sp *speeds) goesBy() bool {
	tr := sp.s.Trace
	return len(tr.Shown) == len(tr.Dist) && len(tr.Faults) == 0 && (sp.s.Recording == nil || sp.s.Recording.Place != recording.Track)
}

// dist is the distance by second i that the runner goes by, m.
func (sp *speeds) dist(i int) float64 {
	list := sp.s.Trace.Dist
	if sp.goesBy() {
		list = sp.s.Trace.Shown
	}
	return list[min(i, len(list)-1)]
}

// ran is the distance from a to b seconds that the runner goes by, m.
func (sp *speeds) ran(a, b float64) float64 {
	if sp.goesBy() {
		return sp.s.Trace.ShownAt(b) - sp.s.Trace.ShownAt(a)
	}
	return sp.s.Distance(a, b)
}

// stoodS is the seconds stood still from second a to second b.
func (sp *speeds) stoodS(a, b int) float64 {
	within := func(i int) int { return max(0, min(i, sp.n)) }
	return sp.halt[within(b)] - sp.halt[within(a)]
}

// misfits is the prefix sum of how badly each second fits a band, and work or what is
// none: n+1 values. With excuseHalts, seconds stood cost rateHalt whatever the band.
func (sp *speeds) misfits(b band, work, excuseHalts bool) []float64 {
	// Bands are shared after rounding to half a percent, to keep them few.
	b.low, b.high = roundLog(b.low), roundLog(b.high)
	key := misfitKey{b, work, excuseHalts}
	if sum, ok := sp.cache[key]; ok {
		return sum
	}
	sum := make([]float64, sp.n+1)
	for i, v := range sp.smooth {
		c := 0.0
		switch {
		case excuseHalts && sp.halt[i+1] > sp.halt[i]:
			c = rateHalt
		default:
			d := 0.0
			if v < b.low {
				d = b.low - v
			} else if v > b.high {
				d = v - b.high
			}
			if d > 0 {
				at := math.Max(v, 1)
				s2 := b.scale*b.scale*at*at + sp.noise*sp.noise
				c = math.Min(d*d/(2*s2), mostMisfit) / correlationS
			}
			switch {
			case sp.seen == nil:
			case !work:
				c += sp.seen[i]
			case sp.seen[i] == 0 && sp.told != nil:
				c += rateTold
			case sp.seen[i] == 0 && excuseHalts: // a planned rep
				c += rateUnseen
			case sp.seen[i] == 0:
				c += rateExtra
			}
		}
		sum[i+1] = sum[i] + c
	}
	sp.cache[key] = sum
	return sum
}

func roundLog(v float64) float64 {
	if !(v > 0) || math.IsInf(v, 1) {
		return v
	}
	return math.Exp(math.Round(math.Log(v)*200) / 200)
}

// mean is the mean speed from a to b seconds, m/s, as on the flat; NaN for no
// time.
func (sp *speeds) mean(a, b float64) float64 {
	if !(b > a) {
		return math.NaN()
	}
	return (sp.at(b) - sp.at(a)) / (b - a)
}

// at is the distance as on the flat by moment t, m.
func (sp *speeds) at(t float64) float64 {
	t = math.Max(0, math.Min(t, float64(sp.n)))
	i := min(int(t), sp.n-1)
	return sp.look[i] + (t-float64(i))*(sp.look[i+1]-sp.look[i])
}

// twoLevels splits the running speeds into a slow and a fast cluster (two
// means) and returns their centres; equal when there is nothing to split.
func (sp *speeds) twoLevels() (slow, fast float64) {
	var v []float64
	for i, x := range sp.smooth {
		if sp.halt[i+1] == sp.halt[i] && x > 0 {
			v = append(v, x)
		}
	}
	if len(v) == 0 {
		return 0, 0
	}
	slices.Sort(v)
	sum := make([]float64, len(v)+1)
	for i, x := range v {
		sum[i+1] = sum[i] + x
	}
	best, at := math.Inf(-1), 0
	n := float64(len(v))
	for k := 1; k < len(v); k++ {
		f := float64(k)
		a, b := sum[k]/f, (sum[len(v)]-sum[k])/(n-f)
		if gain := f * (n - f) * (b - a) * (b - a); gain > best {
			best, at = gain, k
		}
	}
	if at == 0 {
		return v[0], v[0]
	}
	return sum[at] / float64(at), (sum[len(v)] - sum[at]) / (n - float64(at))
}
