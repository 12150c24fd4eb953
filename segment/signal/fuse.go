package signal

import "math"

// fuse makes one distance of the odometer and device speed. The two agree on average
// (useDeviceSpeed saw to it), but over a rep the odometer wanders by several metres, while
// device speed only lags and may be out of scale. The lag is measured and taken out (lags), the
// scale follows the odometer as slowly as the recording asks for (scales), what is left is weighed by
// the noise of each (weigh), and where the two tell different tales for a while one of them
// is left out (part). The whole distance, less what is not believed, stays the odometer's.
//
// For a first-order lag of tau seconds the true distance over a span is the sum
// of the shown speed plus tau times the rise of the shown speed over the span,
// so taking it out adds no noise to sums.
func (tr *Trace) fuse() {
	n := tr.Len()
	tr.LagUpS, tr.LagDownS = tr.lags()
	shape, count := tr.unlagged(), tr.undelayed()
	b := tr.blocksOf(count, shape)
	scale, sd, ok := b.commonScale()
	if !ok || math.Abs(scale-1) > 0.15 {
		return
	}
	tr.part(b, scale, sd)
	local := b.scales(scale, sd)
	for i := range shape {
		shape[i] *= local(i)
	}
	calm, share := tr.weights(count, shape)
	if calm < 0.5 && tr.doubted == nil {
		return // the odometer is the calmer, and right
	}
	dist := make([]float64, n+1)
	var counted, fused float64
	for i := range n {
		switch {
		case tr.trusts(i):
			counted += count[i]
			count[i] = share[i]*shape[i] + (1-share[i])*count[i]
			fused += count[i]
		case tr.Known[i] && tr.device(i):
			count[i] = shape[i]
		}
	}
	if !(fused > 0) {
		return
	}
	for i := range n {
		if tr.trusts(i) {
			count[i] *= counted / fused
		}
		dist[i+1] = dist[i] + count[i]
	}
	tr.Dist = dist
	tr.Fused, tr.DelayS = true, 0
	if calm < 0.5 {
		tr.Device, tr.DeviceSpeed = false, nil // it only filled in
	}
}

// trusts says whether both streams are believed in a cell.
func (tr *Trace) trusts(i int) bool {
	return tr.Known[i] && !(tr.doubted != nil && tr.doubted[i]) && tr.device(i)
}

// Shows says whether DeviceSpeed is the device's in a cell.
func (tr *Trace) Shows(i int) bool { return tr.Device && tr.device(i) }

// device says whether device speed is there and believed in a cell.
func (tr *Trace) device(i int) bool { return tr.own == nil || tr.own[i] }

// unlagged is device speed with its lag taken out, m for each cell.
func (tr *Trace) unlagged() []float64 {
	n, v := tr.Len(), tr.DeviceSpeed
	out := make([]float64, n)
	for i := range n {
		rise := 0.0
		if i > 0 && i < n-1 {
			rise = (v[i+1] - v[i-1]) / 2
		}
		tau := tr.LagUpS
		if rise < 0 {
			tau = tr.LagDownS
		}
		out[i] = math.Max(0, v[i]+tau*rise)
	}
	return out
}

// undelayed is what the source counted, its delay taken out, m for each cell.
func (tr *Trace) undelayed() []float64 {
	n := tr.Len()
	out := make([]float64, n)
	at := tr.RunBy(0)
	for i := range out {
		next := tr.RunBy(float64(i + 1))
		out[i], at = next-at, next
	}
	return out
}
