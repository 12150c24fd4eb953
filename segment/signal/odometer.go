package signal

import (
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// odometer takes the distances where the device counts on, and says for how long it
// usually holds its count, s; 0 for most.
func odometer(t []float64, s recording.Stream) (ts, ds []float64, holdS float64) {
	ts, ds, holdS = held(stepped(counted(t, s)))
	ts, ds = thaw(ts, ds)
	return ts, ds, holdS
}

// counted is what an odometer counted, from zero and never backwards: a counter that
// was reset goes on from where it was.
func counted(t []float64, s recording.Stream) (ts, ds []float64) {
	base, last := math.NaN(), 0.0
	ts, ds = make([]float64, 0, len(t)), make([]float64, 0, len(t))
	for i := range t {
		v, ok := s.At(i)
		if !ok || math.IsNaN(v) || math.IsInf(v, 0) {
			continue
		}
		if math.IsNaN(base) {
			base = v
		}
		if v-base < last-50 { // a reset, not jitter
			base = v - last
		}
		last = max(last, v-base)
		ts, ds = append(ts, t[i]), append(ds, last)
	}
	return ts, ds
}

// thaw drops the records over which the odometer stood still and then caught up
// in one leap: the device had lost the sky, the runner ran on.
func thaw(t, d []float64) (ts, ds []float64) {
	k := 0 // records kept
	for i := range d {
		if i > 0 && k > 1 && d[i] > d[i-1] && (d[i]-d[i-1])/(t[i]-t[i-1]) > 7 {
			j := k - 1
			for j > 0 && d[k-1]-d[j-1] < 0.3 {
				j--
			}
			// ds[j..k-1] is flat; the leap must make up for it.
			frozen := t[i] - t[j]
			if mean := (d[i] - d[j]) / frozen; frozen > 4 && mean > 1.3 && mean < 6.5 {
				k = j + 1
			}
		}
		t[k], d[k] = t[i], d[i]
		k++
	}
	return t[:k], d[:k]
}

// calm smooths an odometer whose single records are in error: when each step
// that is too long is followed by one too short, a weighted mean over neighbours
// (1/4, 1/2, 1/4) removes most of it without moving any edge.
func calm(t, d []float64) []float64 {
	n := len(d)
	if n < 20 {
		return d
	}
	var prod, sq, k float64
	speed := func(i int) float64 { return (d[i] - d[i-1]) / (t[i] - t[i-1]) }
	for i := 3; i < n; i++ {
		a, b := speed(i-1)-speed(i-2), speed(i)-speed(i-1)
		if math.Abs(a) > 2.5 || math.Abs(b) > 2.5 {
			continue
		}
		prod, sq, k = prod+a*b, sq+(a*a+b*b)/2, k+1
	}
	// White speed noise has -0.5 here, position noise -2/3; noise that hangs
	// together, which smoothing would not help, has more than -0.4.
	if k < 20 || prod > -0.45*sq {
		return d
	}
	out := slices.Clone(d)
	for i := 1; i < n-1; i++ {
		if t[i+1]-t[i-1] > 2*longestGap {
			continue
		}
		// On an uneven grid, pull towards the chord rather than the mean.
		chord := d[i-1] + (d[i+1]-d[i-1])*(t[i]-t[i-1])/(t[i+1]-t[i-1])
		out[i] = (d[i] + chord) / 2
	}
	return out
}

// stepped takes an odometer that counts in steps of several metres (kilometres to two
// decimals, say) at the moments at which it counts on. Elsewhere it tells nothing:
// between the steps the runner ran on, and where one is long in coming, stood.
func stepped(t, d []float64) (ts, ds []float64) {
	const coarse = 4.0 // m
	least, n := math.Inf(1), 0
	for i := 1; i < len(d); i++ {
		if rise := d[i] - d[i-1]; rise > 0.01 {
			least, n = min(least, rise), n+1
		}
	}
	if least < coarse || n < 10 || n*4 > len(d)*3 { // a count with every record tells no steps
		return t, d
	}
	for i := 1; i < len(d); i++ {
		if steps := (d[i] - d[i-1]) / least; math.Abs(steps-math.Round(steps)) > 0.02 {
			return t, d
		}
	}
	var waits []float64
	last := 0
	for i := 1; i < len(d); i++ {
		if d[i] > d[i-1] {
			waits = append(waits, t[i]-t[last])
			last = i
		}
	}
	usual := Select(waits, len(waits)/2)
	ts, ds = append(ts, t[0]), append(ds, d[0])
	put := func(at, metres float64) { ts, ds = append(ts, at), append(ds, metres) }
	for i := 1; i < len(d); i++ {
		at, metres := ts[len(ts)-1], ds[len(ds)-1]
		if d[i] == metres && i < len(d)-1 {
			continue
		}
		if t[i]-at > max(12, 4*usual) { // stood for a while, halfway on
			put(at+usual, (metres+d[i])/2)
			put(t[i]-usual, (metres+d[i])/2)
		}
		put(t[i], d[i])
	}
	return ts, ds
}
