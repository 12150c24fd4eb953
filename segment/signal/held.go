package signal

import "slices"

const (
	// heldRise is the least mean speed over a wait after which the wait was no
	// standstill, m/s: half of a walk (common practice, no source).
	heldRise = 0.8
	// longHold is beyond the seconds for which devices were seen to hold their count as
	// a habit: 2 to 3 s, with records up to 8 s apart.
	longHold = 12.0
)

// held takes an odometer that keeps its count for some records and then makes up for
// them at once, again and again, at the moments at which it counts on. Between those
// the runner ran on; where one is longer in coming than the device's habit (s, 0 for none) explains and
// little was covered, the runner stood, halfway on.
func held(t, d []float64) (ts, ds []float64, habit float64) {
	habit, ok := holdingHabit(t, d)
	if !ok {
		return t, d, 0
	}
	const still = 1.3 // m/s: slower than this over a long wait, somebody stood, as in thaw
	ts, ds = append(ts, t[0]), append(ds, d[0])
	put := func(at, metres float64) { ts, ds = append(ts, at), append(ds, metres) }
	for i := 1; i < len(d); i++ {
		at, metres := ts[len(ts)-1], ds[len(ds)-1]
		if d[i]-metres < least && i < len(d)-1 {
			continue
		}
		wait := t[i] - at
		if wait > max(2.5*habit, longHold/2) && d[i]-metres < still*wait {
			put(at+habit, (metres+d[i])/2)
			put(t[i]-habit, (metres+d[i])/2)
		}
		put(t[i], d[i])
	}
	return ts, ds, habit
}

// least is the rise of an odometer that counts as one, m: the finest step devices write.
const least = 0.01

// holdingHabit is for how long, s, an odometer usually holds its count before it makes up
// for it, and whether it has that habit: a fifth of its counts come after a hold in which the
// runner cannot have stood.
func holdingHabit(t, d []float64) (seconds float64, ok bool) {
	var holds []float64
	counts, last := 0, 0
	for i := 1; i < len(d); i++ {
		if d[i]-d[last] < least {
			continue
		}
		counts++
		if wait := t[i] - t[last]; i-last > 1 && wait <= longHold && d[i]-d[last] > heldRise*wait {
			holds = append(holds, wait)
		}
		last = i
	}
	if len(holds) < 10 || len(holds)*5 < counts {
		return 0, false
	}
	slices.Sort(holds)
	return holds[len(holds)*9/10], true
}
