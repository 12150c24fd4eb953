package signal

import (
	"math"
	"slices"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
)

// useDeviceSpeed takes changes of pace from device speed when that stream is
// in step with the odometer and calmer: it is smoothed by the device, which has better
// sensors than its own odometer shows. Where it is missing, or zero while distance grows, or
// beyond what anyone runs, the odometer goes on. The whole distance stays the odometer's.
func (tr *Trace) useDeviceSpeed(r *recording.Recording) {
	if tr.Source != Odometer || r.Speed.Count()*3 < r.Len() || ofDistance(r) {
		return
	}
	v := tr.deviceSpeed(r)
	if !tr.inStep(v) {
		return
	}
	n := tr.Len()
	own, speed, known := make([]bool, n), make([]float64, n), make([]bool, n)
	for c := range n {
		speed[c], known[c] = tr.Speed[c], tr.Known[c]
		if tr.believes(c) && !math.IsNaN(v[c]) {
			speed[c], own[c], known[c] = v[c], true, true
		}
	}
	was := *tr
	tr.Known, tr.Device, tr.own, tr.DeviceSpeed = known, true, own, speed
	if tr.fuse(); !tr.Fused {
		*tr = was
	}
}

// ofDistance says whether device speed is nothing but the distance since the last record over the time: then it tells
// nothing more. It is in all records or in less than half of them (open recordings), some of which show 0 at a lap.
func ofDistance(r *recording.Recording) bool {
	const rounding, share = 0.02, 0.8 // m
	same, all := 0, 0
	for i := 1; i < r.Len(); i++ {
		if !r.Speed.Valid[i] || !r.Distance.Valid[i] || !r.Distance.Valid[i-1] {
			continue
		}
		metres, shown := r.Distance.Value[i]-r.Distance.Value[i-1], r.Speed.Value[i]*(r.T[i]-r.T[i-1])
		if metres == 0 && shown == 0 {
			continue
		}
		all++
		if math.Abs(shown-metres) <= rounding {
			same++
		}
	}
	return all > 0 && float64(same) >= share*float64(all)
}

// believes says whether a stream beside the source may tell of a cell: in it something is
// known, or the source is not believed.
func (tr *Trace) believes(c int) bool {
	return tr.Known[c] || tr.doubted != nil && tr.doubted[c]
}

// deviceSpeed is that stream on the grid, NaN where it is missing or plainly wrong.
func (tr *Trace) deviceSpeed(r *recording.Recording) []float64 {
	n := tr.Len()
	doubted := func(c int) bool { return tr.doubted != nil && tr.doubted[c] }
	v := evenWhere(r.T, r.Speed, n, func(i int, v float64) bool {
		c := min(n-1, max(0, int(r.T[i])))
		still := v > 0.1 || doubted(c) || tr.Speed[c] < 1 && tr.Speed[max(0, c-1)] < 1 // some devices write 0 at every lap
		return v >= 0 && v <= fastest && still
	})
	forget := func(s recording.Span) {
		for c := int(s.StartS); c < int(s.EndS); c++ {
			v[c] = math.NaN()
		}
	}
	if onFoot(r) {
		for _, s := range ability.Beyond(v, 1) {
			forget(s)
		}
	}
	for _, f := range tr.Faults {
		lo, hi := int(f.StartS), int(f.EndS)
		switch f.Code {
		case beyondRunning: // it must tell a different tale to be better
			if ability.Metres(v[lo:hi]) > 0.7*f.metres {
				forget(f.Span)
			}
		case carriedAlong: // it has nothing to add, and comes to rest late
			still := slices.IndexFunc(v[hi:min(n, hi+longestLinger)], func(v float64) bool { return !(v > ability.Walking) })
			forget(recording.Span{StartS: f.StartS, EndS: float64(hi + max(0, still))})
		}
	}
	return v
}

// longestLinger is for how long device speed goes on when the runner has stopped, s (open recordings).
const longestLinger = 20

// inStep says whether device speed tells of the same run as the source: means over 40 s, in which
// a lag and the odometer's noise count for little, agree in half of those with both.
func (tr *Trace) inStep(v []float64) bool {
	var agree, all float64
	const block = 40
	for lo := 0; lo+block <= tr.Len(); lo += block {
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
	return all > 0 && agree*2 >= all
}
