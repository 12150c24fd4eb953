package signal

import (
	"math"
	"slices"

	"example.org/rungs/segment/recording"
)

// useDeviceSpeed takes changes of pace from device speed when that stream is
// in step with the odometer: it is smoothed by the device, which has better
// sensors than its own odometer shows. Distances stay the odometer's.
func (tr *Trace) useDeviceSpeed(r *recording.Recording) {
	if tr.Source != Odometer || r.Speed.Count()*10 < r.Len()*9 {
		return
	}
	n := tr.Len()
	v := evenWhere(r.T, r.Speed, n, func(i int, v float64) bool {
		c := min(n-1, max(0, int(r.T[i])))
		return v >= 0 && v <= fastest && (v > 0.1 || tr.Speed[c] < 1 && tr.Speed[max(0, c-1)] < 1) // some devices write 0 at every lap
	})
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
	if longRun(tr.Speed, tr.Known).LongRun > 0.8*longRun(median9(odometer), tr.Known).LongRun {
		tr.Speed, tr.Device = odometer, false
		return
	}
	tr.DeviceSpeed = slices.Clone(tr.Speed)
}
