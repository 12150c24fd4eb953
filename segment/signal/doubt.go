package signal

import (
	"fmt"
	"math"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
)

// part finds where the two streams tell different tales for a while, and doubts the
// one that is the less likely: device speed where it stands still or never changes, and within
// a minute where it only comes after the odometer or departs further from what it told before
// and after; else the odometer, which devices correct late.
func (tr *Trace) part(b blocks, scale, sd float64) {
	apart := func(k int) bool {
		d := math.Abs(b.count[k] - scale*b.shape[k])
		return b.cells[k] > 0 && d > max(4*sd, 0.35*max(b.count[k], scale*b.shape[k]), 0.5*b.cells[k])
	}
	var odd []tale
	for k := 0; k < len(b.count); k++ {
		if !apart(k) {
			continue
		}
		t := tale{from: k}
		for ; k < len(b.count) && apart(k); k++ {
			t.metres += b.count[k] - scale*b.shape[k]
		}
		t.to = k
		if n := len(odd) - 1; n >= 0 && b.rests(odd[n], t) {
			odd[n].to, odd[n].metres = t.to, odd[n].metres+t.metres
		} else {
			odd = append(odd, t)
		}
	}
	for _, t := range odd {
		lo, hi := t.from*blockS, min(t.to*blockS, tr.Len())
		short := hi-lo <= longestFollow
		late := short && tr.follows(lo, hi, t.metres/float64(hi-lo))
		device := late || tr.stuck(lo, hi) || short && departs(b.shape, b.cells, t) > departs(b.count, b.cells, t)
		tr.disbelieve(lo, hi, device)
		if math.Abs(t.metres) >= leastFault && !late && !tr.besideFault(lo, hi) {
			f := Fault{Span: recording.Span{StartS: float64(lo), EndS: float64(hi)}, Stream: Odometer, Code: streamsApart}
			name := "distance"
			f.ExcessM = t.metres
			if device {
				f.ExcessM = -t.metres
				f.Stream, name = DeviceSpeed, "device speed"
			}
			f.Text = fmt.Sprintf("distance and device speed differ by %.0f m; %s is not believed there", math.Abs(t.metres), name)
			tr.Faults = append(tr.Faults, f)
		}
	}
	for _, t := range odd {
		clear(b.cells[t.from:t.to]) // they say nothing of the scale
	}
	tr.joinLate()
}

// A tale is a row of blocks in which the odometer tells of so many metres more than device speed.
type tale struct {
	from, to int
	metres   float64
}

// rests says whether between two tales of one kind there is only a rest, in which nothing can differ.
func (b blocks) rests(t, next tale) bool {
	const longest = 180 / blockS
	if t.metres*next.metres < 0 || next.from-t.to > longest {
		return false
	}
	for k := t.to; k < next.from; k++ {
		if b.shape[k] > 1*b.cells[k] { // m/s: more than ambling
			return false
		}
	}
	return true
}

// departs is by how much the mean of a stream in a row of blocks differs from that in the minute to
// either side, m per cell.
func departs(metres, cells []float64, t tale) float64 {
	const aside = 60 / blockS
	mean := func(from, to int) (sum, n float64) {
		for k := max(0, from); k < min(to, len(metres)); k++ {
			sum, n = sum+metres[k], n+cells[k]
		}
		return sum, n
	}
	in, n := mean(t.from, t.to)
	before, nb := mean(t.from-aside, t.from)
	after, na := mean(t.to, t.to+aside)
	if n == 0 || nb+na == 0 {
		return 0
	}
	return math.Abs(in/n - (before+after)/(nb+na))
}

// besideFault says whether a span touches one that has been told of, or nearly.
func (tr *Trace) besideFault(lo, hi int) bool {
	for _, f := range tr.Faults {
		if f.Code != heldDistance && float64(lo) <= f.EndS+blockS && float64(hi) >= f.StartS-blockS {
			return true
		}
	}
	return false
}

// disbelieve leaves device speed or else the odometer out of a span.
func (tr *Trace) disbelieve(lo, hi int, device bool) {
	n := tr.Len()
	if tr.own == nil {
		tr.own = make([]bool, n)
		for i := range tr.own {
			tr.own[i] = true
		}
	}
	doubted := make([]bool, n)
	copy(doubted, tr.doubted)
	tr.doubted = doubted
	if device { // its lag is taken out by differences, which reach into the cells beside it
		lo, hi = max(0, lo-2), min(n, hi+2)
	}
	for i := lo; i < hi; i++ {
		if device {
			tr.own[i] = false
		} else if tr.Known[i] {
			tr.doubted[i] = true
		}
	}
}

// follows says whether device speed goes after an odometer that is ahead of it by so many m/s (less than
// 0 behind it) in a span: by half of that, within the span or soon after. Then it lags, and
// the odometer tells what was run; when an odometer is corrected, device speed stays as it was.
func (tr *Trace) follows(lo, hi int, ahead float64) bool {
	least, most := math.Inf(1), 0.0
	for _, v := range tr.DeviceSpeed[max(0, lo-1):min(tr.Len(), hi+blockS)] {
		v /= ahead
		least = min(least, v)
		most = max(most, v-least)
	}
	return most > 0.5
}

// longestFollow is for how long device speed may go after a change, s: the slowest seen took 45. What lasts
// longer has no before and after to be held against.
const longestFollow = 60

// stuck says whether device speed stands still or shows one value throughout a span.
func (tr *Trace) stuck(lo, hi int) bool {
	low, high := math.Inf(1), 0.0
	for _, v := range tr.DeviceSpeed[lo:hi] {
		low, high = min(low, v), max(high, v)
	}
	return high < ability.Standing || high-low < 1e-3
}
