package signal

import (
	"fmt"
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

const (
	// longestGap is the longest time between records that smart recording
	// leaves while the runner runs on, with a margin (common practice, no source).
	longestGap = 16.0
	// standing is the speed under which nobody walks on purpose.
	standing = 0.35
	// odometerDelay is by how much an odometer lags, s: the filters in it, about
	// half a second, and the second it counts over (measured on simulated devices
	// that match open recordings).
	odometerDelay = 0.9
	// fastest is beyond any runner over a whole second; the men's 100 m record
	// holds about 12 m/s for a moment.
	fastest = 12.0
)

// Build makes the trace of a recording. It never fails: a recording without
// any source of speed gives a trace with Source Nothing and no known cell.
func Build(r *recording.Recording) *Trace {
	n := int(math.Ceil(r.Duration()))
	tr := &Trace{
		Speed: make([]float64, n),
		Known: make([]bool, n),
		Timer: make([]bool, n),
		Dist:  make([]float64, n+1),
		Step:  medianStep(r.T),

		DelayS: odometerDelay,
	}
	for i := range tr.Timer {
		tr.Timer[i] = true
	}
	for _, s := range r.Stops {
		for i := max(0, int(math.Round(s.StartS))); i < min(n, int(math.Round(s.EndS))); i++ {
			tr.Timer[i] = false
		}
	}
	t, d := tr.choose(r)
	if len(t) >= 2 {
		tr.lay(t, calm(t, d))
		tr.useDeviceSpeed(r)
		tr.Speed = median9(tr.Speed)
	}
	tr.HeartRate = heartRate(r, n)
	tr.Cadence = even(r.T, r.Cadence, n)
	tr.Locked = locks(tr.HeartRate, tr.Cadence)
	tr.Grade = grade(r, tr)
	if tr.Source == Nothing && tr.HeartRate != nil {
		tr.Speed, tr.Known = demand(tr.HeartRate)
	}
	tr.Noise = estimateNoise(tr.Speed, tr.Known)
	tr.Noise.Odometer = tr.Noise.LongRun
	if tr.Device {
		odometer := make([]float64, n)
		for i := range odometer {
			odometer[i] = tr.Dist[i+1] - tr.Dist[i]
		}
		tr.Noise.Odometer = max(tr.Noise.LongRun, estimateNoise(odometer, tr.Known).LongRun)
		tr.fuse()
	}
	tr.Effort = tr.effort()
	return tr
}

// medianStep is the median time between records in seconds.
func medianStep(t []float64) float64 {
	if len(t) < 2 {
		return 1
	}
	steps := make([]float64, 0, len(t)-1)
	for i := 1; i < len(t); i++ {
		steps = append(steps, t[i]-t[i-1])
	}
	slices.Sort(steps)
	return steps[len(steps)/2]
}

// choose picks the source of distance over time and says why: times (s) and
// cumulative metres, only where both are known.
func (tr *Trace) choose(r *recording.Recording) (t, d []float64) {
	n := r.Len()
	enough := func(s recording.Stream) bool { return n > 0 && s.Count()*2 >= n }
	switch {
	case enough(r.Distance) && grows(r.Distance):
		tr.Source, tr.Reason = Odometer, "the odometer is complete and is not smoothed over seconds as device speed is"
		t, d = cumulative(r.T, r.Distance)
	case enough(r.Speed) && grows(r.Speed):
		tr.Source, tr.Reason = DeviceSpeed, "there is no usable odometer"
		t, d = integrate(r.T, r.Speed)
	case enough(r.Latitude) && enough(r.Longitude):
		t, d = alongPositions(r)
		if len(d) > 0 && d[len(d)-1] > 0 {
			tr.Source, tr.Reason = Positions, "there is neither odometer nor device speed"
			return t, d
		}
		fallthrough
	default:
		tr.Source, tr.Reason = Nothing, "the recording holds no distance, speed or positions"
		return nil, nil
	}
	return t, d
}

// grows reports whether a stream holds anything but one and the same value.
func grows(s recording.Stream) bool {
	first, seen := 0.0, false
	for i, v := range s.Value {
		if !s.Valid[i] {
			continue
		}
		if seen && v != first {
			return true
		}
		first, seen = v, true
	}
	return false
}

// cumulative takes the odometer, from zero and never backwards: a counter that
// was reset goes on from where it was.
func cumulative(t []float64, s recording.Stream) (ts, ds []float64) {
	base, last := math.NaN(), 0.0
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
	return thaw(ts, ds)
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

// integrate sums device speed by the trapezoid rule; over a gap too long for
// smart recording the slower of its two ends is held.
func integrate(t []float64, s recording.Stream) (ts, ds []float64) {
	var lastT, lastV, sum float64
	for i := range t {
		v, ok := s.At(i)
		if !ok || math.IsNaN(v) || v < 0 || v > fastest {
			continue
		}
		if len(ts) > 0 {
			dt := t[i] - lastT
			if dt > longestGap {
				sum += dt * min(v, lastV)
			} else {
				sum += dt * (v + lastV) / 2
			}
		}
		ts, ds = append(ts, t[i]), append(ds, sum)
		lastT, lastV = t[i], v
	}
	return ts, ds
}

// alongPositions sums geodesic distance between positions, each averaged with
// its neighbours over about five seconds first, since position noise would
// make the sum too long (Ranacher et al. 2016, IJGIS 30(2):316-333).
func alongPositions(r *recording.Recording) (ts, ds []float64) {
	var lat, lon []float64
	for i := range r.T {
		la, ok1 := r.Latitude.At(i)
		lo, ok2 := r.Longitude.At(i)
		if ok1 && ok2 {
			ts, lat, lon = append(ts, r.T[i]), append(lat, la), append(lon, lo)
		}
	}
	const half = 2.5 // s
	smooth := func(v []float64) []float64 {
		out := make([]float64, len(v))
		lo, hi, sum := 0, 0, 0.0
		for i := range v {
			for hi < len(v) && ts[hi] <= ts[i]+half {
				sum += v[hi] - v[0]
				hi++
			}
			for ts[lo] < ts[i]-half {
				sum -= v[lo] - v[0]
				lo++
			}
			out[i] = v[0] + sum/float64(hi-lo)
		}
		return out
	}
	if len(lat) == 0 {
		return nil, nil
	}
	lat, lon = smooth(lat), smooth(lon)
	ds = make([]float64, len(ts))
	for i := 1; i < len(ts); i++ {
		ds[i] = ds[i-1] + recording.Geodesic(lat[i-1], lon[i-1], lat[i], lon[i])
	}
	return ts, ds
}

// lay spreads cumulative distance over the cells and marks where nothing is
// known: gaps too long for smart recording in which the runner did not stand.
func (tr *Trace) lay(t, d []float64) {
	n := tr.Len()
	k := 0
	for b := 0; b <= n; b++ {
		x := float64(b)
		switch {
		case x <= t[0]:
			tr.Dist[b] = d[0]
		case x >= t[len(t)-1]:
			tr.Dist[b] = d[len(d)-1]
		default:
			for t[k+1] < x {
				k++
			}
			tr.Dist[b] = d[k] + (d[k+1]-d[k])*(x-t[k])/(t[k+1]-t[k])
		}
	}
	for i := range n {
		tr.Speed[i] = tr.Dist[i+1] - tr.Dist[i]
		tr.Known[i] = float64(i) >= t[0]-1 && float64(i) < t[len(t)-1]
	}
	for i := 1; i < len(t); i++ {
		dt := t[i] - t[i-1]
		if dt <= longestGap {
			continue
		}
		v := (d[i] - d[i-1]) / dt
		for c := int(math.Ceil(t[i-1])); c < min(n, int(t[i])); c++ {
			if v >= standing && tr.Timer[c] {
				tr.Known[c] = false
			}
		}
	}
}

// calm smooths an odometer that sees-saws: when each step that is too long is
// followed by one too short, the error is in the position of single records,
// and a weighted mean over neighbours (1/4, 1/2, 1/4) removes most of it
// without moving any edge.
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
	// White speed noise has -0.5 here, position noise -2/3.
	if k < 20 || prod > -0.58*sq {
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

// useDeviceSpeed takes changes of pace from device speed when that stream is
// in step with the odometer: it is smoothed by the device, which has better
// sensors than its own odometer shows. Distances stay the odometer's.
func (tr *Trace) useDeviceSpeed(r *recording.Recording) {
	if tr.Source != Odometer || r.Speed.Count()*10 < r.Len()*9 {
		return
	}
	n := tr.Len()
	stream := recording.MakeStream(r.Len())
	for i := range r.T {
		v, ok := r.Speed.At(i)
		c := min(n-1, max(0, int(r.T[i])))
		if ok && (v > 0.1 || tr.Speed[c] < 1 && tr.Speed[max(0, c-1)] < 1) { // some devices write 0 at every lap
			stream.Set(i, v)
		}
	}
	v := even(r.T, stream, n)
	if v == nil {
		return
	}
	var agree, all float64
	const block = 20
	for lo := 0; lo+block <= n; lo += block {
		var sum, k float64
		for c := lo; c < lo+block; c++ {
			if tr.Known[c] && !math.IsNaN(v[c]) {
				sum, k = sum+v[c], k+1
			}
		}
		if k < block/2 {
			continue
		}
		odo := (tr.Dist[lo+block] - tr.Dist[lo]) / block
		if odo < 0.5 {
			continue
		}
		all++
		if math.Abs(sum/k-odo) < 0.12*odo+0.15 {
			agree++
		}
	}
	if all == 0 || agree < 0.8*all {
		return
	}
	odometer := slices.Clone(tr.Speed)
	for c := range n {
		if tr.Known[c] && !math.IsNaN(v[c]) {
			tr.Speed[c] = v[c]
		}
	}
	tr.Device = true
	if estimateNoise(tr.Speed, tr.Known).LongRun > 0.8*estimateNoise(median9(odometer), tr.Known).LongRun {
		tr.Speed, tr.Device = odometer, false
		return
	}
	tr.DeviceSpeed = slices.Clone(tr.Speed)
}

// median9 is a running median over nine seconds: it keeps the edges of reps and
// drops what lasts under five seconds, such as position jumps and the see-saw
// of rounded odometers.
func median9(speed []float64) []float64 {
	const half = 4
	n := len(speed)
	out := make([]float64, n)
	var window [2*half + 1]float64 // sorted
	m := 0
	insert := func(v float64) {
		i := m
		for ; i > 0 && window[i-1] > v; i-- {
			window[i] = window[i-1]
		}
		window[i] = v
		m++
	}
	remove := func(v float64) {
		i := 0
		for window[i] != v {
			i++
		}
		copy(window[i:m-1], window[i+1:m])
		m--
	}
	for i := 0; i < min(half, n); i++ {
		insert(speed[i])
	}
	for i := range n {
		if i-half-1 >= 0 {
			remove(speed[i-half-1])
		}
		if i+half < n {
			insert(speed[i+half])
		}
		if m%2 == 1 {
			out[i] = window[m/2]
		} else {
			out[i] = (window[m/2-1] + window[m/2]) / 2
		}
		out[i] = min(out[i], fastest)
	}
	return out
}

// even lays a stream on the grid by linear interpolation, NaN over gaps.
// It returns nil for a missing stream.
func even(t []float64, s recording.Stream, n int) []float64 {
	if s.Count() == 0 {
		return nil
	}
	out := make([]float64, n)
	for i := range out {
		out[i] = math.NaN()
	}
	last := -1
	for i := range t {
		v, ok := s.At(i)
		if !ok || math.IsNaN(v) {
			continue
		}
		if last >= 0 && t[i]-t[last] <= longestGap {
			v0 := s.Value[last]
			for c := int(math.Ceil(t[last] - 0.5)); c < n && float64(c)+0.5 <= t[i]; c++ {
				if c >= 0 {
					out[c] = v0 + (v-v0)*(float64(c)+0.5-t[last])/(t[i]-t[last])
				}
			}
		}
		last = i
	}
	return out
}

// heartRate is the heart rate on the grid without values no runner has.
func heartRate(r *recording.Recording, n int) []float64 {
	s := recording.MakeStream(r.Len())
	for i := range r.Len() {
		if v, ok := r.HeartRate.At(i); ok && v >= 30 && v <= 240 {
			s.Set(i, v)
		}
	}
	if s.Count()*4 < r.Len() {
		return nil
	}
	return even(r.T, s, n)
}

// Describe says in one line what the trace was made from.
func (tr *Trace) Describe() string {
	return fmt.Sprintf("speed from %s: %s", tr.Source, tr.Reason)
}
