package recording

import (
	"slices"
	"time"
)

// A strayTime is a record that was left out for its time: where it stood.
type strayTime struct {
	at    int64 // the time of the record before it, of the first that of the next
	after int   // records before it
}

// dropStrayTimes leaves out records whose times do not belong where they stand:
// one that is before the record before it or after the next, though these two
// follow on each other, and one at either end long before or after all others.
// Records that only stand in the wrong order are left to be sorted.
func (b *builder) dropStrayTimes() {
	pts := b.points
	strays := b.strayTimes()
	if len(strays) == 0 || len(strays) > max(3, len(pts)/100) { // more are not single faults
		return
	}
	kept := pts[:0]
	for i, p := range pts {
		if k, ok := slices.BinarySearch(strays, i); ok {
			at := int64(0)
			if len(kept) > 0 {
				at = kept[len(kept)-1].at
			} else {
				at = pts[i+1].at
			}
			b.strays = append(b.strays, strayTime{at, i - k})
			continue
		}
		kept = append(kept, p)
	}
	b.points = kept
	b.moveMarks(strays)
}

// strayTimes are the records whose times are wrong, in order.
func (b *builder) strayTimes() (strays []int) {
	n := len(b.points)
	if n < fewest {
		return nil
	}
	step := b.usualStep()
	before, last := -1, 0 // the last two records that stay
	if b.strayFirst() {
		strays, last = append(strays, 0), 1
	}
	for i := last + 1; i < n; i++ {
		switch {
		case i+1 < n && b.strayAt(before, last, i, step), i+1 == n && b.strayLast(last, step):
			strays = append(strays, i)
		default:
			before, last = last, i
		}
	}
	return strays
}

// moveMarks counts the records before each mark anew, now that the strays are gone.
func (b *builder) moveMarks(strays []int) {
	fewer := func(after int) int {
		k, _ := slices.BinarySearch(strays, after)
		return after - k
	}
	for i := range b.breaks {
		b.breaks[i] = fewer(b.breaks[i])
	}
	b.breaks = slices.DeleteFunc(b.breaks, func(i int) bool { return i == 0 || i >= len(b.points) })
	for i := range b.laps {
		b.laps[i].after = fewer(b.laps[i].after)
	}
	for i := range b.switches {
		b.switches[i].after = fewer(b.switches[i].after)
	}
	for i := range b.parts {
		b.parts[i].after = fewer(b.parts[i].after)
	}
}

// usualStep is the median time from one record to the next, ns.
func (b *builder) usualStep() int64 {
	var steps []int64
	for i := 1; i < len(b.points); i++ {
		if d := b.points[i].at - b.points[i-1].at; d > 0 {
			steps = append(steps, d)
		}
	}
	if len(steps) == 0 {
		return int64(time.Second)
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// strayAt tells whether the time of record i is wrong, between the last record
// that stays (and the one before it, -1 for none) and the next.
func (b *builder) strayAt(before, last, i int, step int64) bool {
	pts := b.points
	at, low, high := pts[i].at, pts[last].at, pts[i+1].at
	if at >= low && at <= high || low > high || high-low > maxJump {
		return false
	}
	if at > high && i+2 < len(pts) && at <= pts[i+2].at {
		return false // changed places with the next
	}
	if at < low && before >= 0 && at >= pts[before].at {
		return false // with the one before
	}
	near := max(10*step, gapS*int64(time.Second))
	return low-at > near || at-high > near || b.strayNear(last, i, step)
}

// strayNear is strayAt for a time near those of its neighbours.
func (b *builder) strayNear(last, i int, step int64) bool {
	pts := b.points
	// Near by, it is a record in the wrong place or one with the wrong time: its
	// distance tells, else whether there is room for it where it stands.
	d, from, to := pts[i].v[colDistance], pts[last].v[colDistance], pts[i+1].v[colDistance]
	if to > from && d == d {
		return d >= from && d <= to
	}
	return pts[i+1].at-pts[last].at >= step+step/2
}

// strayFirst tells whether the time of the first record is wrong.
func (b *builder) strayFirst() bool {
	pts := b.points
	gap, next := pts[1].at-pts[0].at, pts[2].at-pts[1].at
	if next < 0 {
		return false
	}
	return gap < -next || b.lonely(gap, next, 1)
}

// strayLast tells whether the time of the last record is wrong, after the last
// that stays.
func (b *builder) strayLast(last int, step int64) bool {
	pts := b.points
	n := len(pts)
	gap := pts[n-1].at - pts[last].at
	return gap < -max(10*step, gapS*int64(time.Second)) || b.lonely(gap, step, n-1)
}

// lonely tells whether a gap at either end, after so many records, parts a single
// record from all others: ten minutes or more that no stop explains and in which
// no distance is counted.
func (b *builder) lonely(gap, step int64, after int) bool {
	if gap < int64(10*time.Minute) || gap < 100*step || slices.Contains(b.breaks, after) {
		return false
	}
	if b.points[after].v[colDistance]-b.points[after-1].v[colDistance] > countAtOnceM {
		return false
	}
	return !slices.ContainsFunc(b.switches, func(s timerSwitch) bool { return s.after == after })
}
