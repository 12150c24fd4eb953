package recording

import "math"

// What tells a heart rate that is counted steps from a heart that beats as fast
// as the feet by chance. Within a window both are near each other, and heart rate
// goes along with each small change of cadence: the correlation of their changes
// over lockChangeS is high, and the slope of the one on the other not far from 1,
// as of no heart, which takes a minute. All but two of the figures are fitted by
// TestLockedHeartRate, which has the false alarms and what is found.
const (
	lockWindowS = 90  // s
	lockNear    = 3.0 // beats and steps a minute
	lockShare   = .85 // of the window
	lockRunning = 120 // steps a minute; walkers' hearts are not in question
	lockChangeS = 4   // s
	lockFollows = .5  // correlation and slopeWeight x slope of a window that tells,
	lockHeld    = 45  // s by which such a window must be moved and still tell;
	lockMay     = .25 // of one that does not speak against it
	slopeWeight = 1.5 // a sensor that smooths shows less of each change
	lockLateS   = 6   // s, by which it comes late
	lockStill   = 1.0 // steps a minute; where cadence changes by less there is nothing to follow
	// A heart cannot change its rate by more than about 4 beats/min within four
	// seconds: the response of Hunt et al. 2015 (doi 10.1186/s12938-015-0112-7;
	// 24.2 beats/min per m/s, time constant 57.6 s) to a change of 2 m/s gives 3.
	// A sensor that begins or ends to follow the steps jumps.
	lockJump  = 8.0
	lockAbout = 20 // s, within which the ends of a stretch are known
)

// Locked is where heart rate is the cadence, step for step, as a sensor at the
// wrist shows it when it counts steps: spans in s, in order and apart, of more than
// a minute. Times t are in s, ascending; heart is in beats a minute, cadence in steps
// a minute. What is not known, and gaps of over 16 s, count for nothing.
func Locked(t []float64, heart, cadence Stream) []Span {
	if heart.Value == nil || cadence.Value == nil || len(t) < 2 {
		return nil
	}
	hr, steps := everySecond(t, heart), everySecond(t, cadence)
	near, some := nearness(hr, steps)
	if !some {
		return nil
	}
	var sums [lockLateS/2 + 1][]changes
	for k := range sums {
		sums[k] = changesOf(hr, steps, 2*k)
	}
	var out []Span
	for lo := 0; lo < len(near); lo++ {
		from := lo
		var held int
		lo, held = stretchFrom(lo, near, sums[:])
		hi := lo - 1 + lockWindowS
		if lo == from || held < lockHeld && !jumps(hr, from-lockAbout, hi+lockAbout) {
			continue
		}
		from, hi = trimmed(hr, steps, from, hi)
		if k := len(out) - 1; k >= 0 && float64(from) <= out[k].EndS {
			out[k].EndS = float64(hi)
		} else {
			out = append(out, Span{float64(from), float64(hi)})
		}
	}
	return out
}

// stretchFrom is a stretch of windows none of which speaks against a lock: where it ends, and
// for how many seconds on end the heart surely follows within it.
func stretchFrom(lo int, near []bool, sums [][]changes) (end, held int) {
	run := 0
	for ; lo < len(near) && near[lo]; lo++ {
		follows, still := followsBest(sums, lo)
		if follows < lockMay && !still {
			break
		}
		if run++; follows < lockFollows {
			run = 0
		}
		held = max(held, run)
	}
	return lo, held
}

// followsBest is how well the heart follows the steps in the window from a second on, by the
// best lag, and whether the steps are still.
func followsBest(sums [][]changes, lo int) (follows float64, still bool) {
	still = true
	for _, s := range sums {
		f, quiet := s[lo+lockWindowS].less(s[lo+lockChangeS]).follows()
		follows, still = max(follows, f), still && quiet
	}
	return follows, still
}

// everySecond lays a stream on whole seconds, NaN where it is not known.
func everySecond(t []float64, s Stream) []float64 {
	const longest = 16 // s that smart recording leaves between records, with a margin
	out := make([]float64, int(t[len(t)-1])+1)
	for i := range out {
		out[i] = math.NaN()
	}
	last := -1
	for i := range t {
		v, ok := s.At(i)
		if !ok {
			continue
		}
		if last >= 0 && t[i]-t[last] <= longest {
			for c := int(math.Ceil(t[last])); c <= int(t[i]); c++ {
				out[c] = s.Value[last] + (v-s.Value[last])*(float64(c)-t[last])/(t[i]-t[last])
			}
		}
		last = i
	}
	return out
}

// nearness tells for each second whether heart rate is near the cadence of a
// runner in the window that begins with it, and whether it is so anywhere.
func nearness(hr, steps []float64) (near []bool, some bool) {
	n := len(hr) - lockWindowS
	if n < 0 {
		return nil, false
	}
	near = make([]bool, n+1)
	same, all := 0, 0
	count := func(i, by int) {
		if steps[i] > lockRunning && hr[i] == hr[i] {
			all += by
			if math.Abs(hr[i]-steps[i]) <= lockNear {
				same += by
			}
		}
	}
	for i := range hr {
		count(i, 1)
		if i >= lockWindowS {
			count(i-lockWindowS, -1)
		}
		if lo := i - lockWindowS + 1; lo >= 0 && all >= lockWindowS*3/4 && float64(same) >= lockShare*float64(all) {
			near[lo], some = true, true
		}
	}
	return near, some
}

// trimmed moves the ends of a stretch, whose windows reach beyond it, to where
// heart rate is near the cadence for most of a quarter of a minute.
func trimmed(hr, steps []float64, from, to int) (int, int) {
	const quarter, most = 15, 13 // s
	near := func(lo int) bool {
		n := 0
		for i := lo; i < lo+quarter; i++ {
			if math.Abs(hr[i]-steps[i]) <= lockNear {
				n++
			}
		}
		return n >= most
	}
	for from+quarter < to && !near(from) {
		from++
	}
	for from+quarter < to && !near(to-quarter) {
		to--
	}
	return from, to
}

// changes are sums over changes of cadence, x, and of heart rate, y.
type changes struct{ n, x, y, xx, yy, xy float64 }

// changesOf sums up, to before each second, the changes up to it, those of heart
// rate so many seconds later.
func changesOf(hr, steps []float64, late int) []changes {
	out := make([]changes, len(hr)+1)
	for i := range hr {
		c := out[i]
		if i >= lockChangeS && i+late < len(hr) {
			x, y := steps[i]-steps[i-lockChangeS], hr[i+late]-hr[i+late-lockChangeS]
			if x == x && y == y {
				c = changes{c.n + 1, c.x + x, c.y + y, c.xx + x*x, c.yy + y*y, c.xy + x*y}
			}
		}
		out[i+1] = c
	}
	return out
}

func (c changes) less(d changes) changes {
	return changes{c.n - d.n, c.x - d.x, c.y - d.y, c.xx - d.xx, c.yy - d.yy, c.xy - d.xy}
}

// follows is the lesser of the correlation and the weighted slope of heart rate
// on cadence, and whether the cadence is too still to tell.
func (c changes) follows() (least float64, still bool) {
	if c.n < lockWindowS/2 {
		return 0, false
	}
	xx, yy, xy := c.xx-c.x*c.x/c.n, c.yy-c.y*c.y/c.n, c.xy-c.x*c.y/c.n
	still = xx < lockStill*lockStill*c.n
	if xx <= 0 || yy <= 0 {
		return 0, still
	}
	return min(xy/math.Sqrt(xx*yy), slopeWeight*xy/xx), still
}

// jumps tells whether heart rate changes between two seconds as no heart does:
// between the means of three seconds, four seconds apart.
func jumps(hr []float64, from, to int) bool {
	const half = 3
	for c := max(from, 0); c+2*half < min(to, len(hr)); c++ {
		before, after := 0.0, 0.0
		for k := range half {
			before += hr[c+k] / half
			after += hr[c+half+1+k] / half
		}
		if math.Abs(after-before) > lockJump { // never with a NaN
			return true
		}
	}
	return false
}
