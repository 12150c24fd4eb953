package signal

import (
	"math"

	"example.org/rungs/segment/recording"
)

const (
	// trackS is over how many seconds to either side positions are averaged for the length of the
	// way, since their noise would make it too long.
	trackS = 2.5
	// slopeS is over how many seconds to either side speed is fitted to them: the slope
	// of a line has a quarter of the noise of the difference of two means, and edges stay within
	// some seconds.
	slopeS = 4.0
	// levelS is over how many seconds to either side the fitted speeds are held to the way's
	// length, which they cut short in bends.
	levelS = 15.0
)

// alongPositions is the way along positions. Its length is that of geodesic distances between
// positions, each averaged with its neighbours over about five seconds first, since position noise would
// make the sum too long (Ranacher et al. 2016, IJGIS 30(2):316-333); its speed from moment
// to moment is that of lines fitted to the positions.
func alongPositions(r *recording.Recording) (ts, ds []float64) {
	var lat, lon []float64
	for i := range r.T {
		la, ok1 := r.Latitude.At(i)
		lo, ok2 := r.Longitude.At(i)
		if ok1 && ok2 {
			ts, lat, lon = append(ts, r.T[i]), append(lat, la), append(lon, lo)
		}
	}
	if len(lat) == 0 {
		return nil, nil
	}
	smoothLat, smoothLon := averaged(ts, lat), averaged(ts, lon)
	ds = make([]float64, len(ts))
	var near plane
	for i := 1; i < len(ts); i++ {
		ds[i] = ds[i-1] + near.distance(smoothLat[i-1], smoothLon[i-1], smoothLat[i], smoothLon[i])
	}
	return ts, stood(ts, reshaped(ts, ds, slopes2(ts, lat, lon)))
}

// stood takes out what errors of position add up to where nobody moved: a third of a metre each second on simulated devices.
// Nobody walks so slowly.
func stood(t, d []float64) []float64 {
	const creepMPS, asideS = 0.6, 7.0
	out := make([]float64, len(d))
	lo, hi := 0, 0
	for i := 1; i < len(d); i++ {
		for hi < len(d)-1 && t[hi] < t[i]+asideS {
			hi++
		}
		for t[lo] < t[i-1]-asideS {
			lo++
		}
		out[i] = out[i-1] + max(0, d[i]-d[i-1])
		if d[hi]-d[lo] < creepMPS*(t[hi]-t[lo]) {
			out[i] = out[i-1]
		}
	}
	return out
}

// A plane is the ellipsoid near a latitude, flat: what is less than planeReach degrees apart is measured
// there to some hundred-thousandths, in a tenth of the time of a geodesic.
type plane struct {
	made          bool
	lat           float64 // degrees
	northM, eastM float64 // of a degree
}

const planeReach = 0.01 // degrees, about a kilometre

// distance is that between two points, m.
func (p *plane) distance(lat1, lon1, lat2, lon2 float64) float64 {
	north, east := lat2-lat1, math.Remainder(lon2-lon1, 360)
	if !(math.Abs(north) < planeReach && math.Abs(east) < planeReach && math.Abs(lat1) < 85) {
		return recording.Geodesic(lat1, lon1, lat2, lon2)
	}
	if !p.made || math.Abs(lat1-p.lat) > planeReach/100 {
		// Radii of curvature along and across the meridian, WGS 84.
		const a, e2 = 6378137.0, 0.00669437999014
		sin, cos := math.Sincos(lat1 * math.Pi / 180)
		w := 1 - e2*sin*sin
		p.made, p.lat = true, lat1
		p.northM, p.eastM = a*(1-e2)/(w*math.Sqrt(w))*math.Pi/180, a/math.Sqrt(w)*cos*math.Pi/180
	}
	return math.Hypot(north*p.northM, east*p.eastM)
}

// averaged are degrees averaged over trackS to either side.
func averaged(t, v []float64) []float64 {
	out := make([]float64, len(v))
	lo, hi, sum := 0, 0, 0.0
	for i := range v {
		for hi < len(v) && t[hi] <= t[i]+trackS {
			sum += math.Remainder(v[hi]-v[0], 360) // the date line may lie between
			hi++
		}
		for t[lo] < t[i]-trackS {
			sum -= math.Remainder(v[lo]-v[0], 360)
			lo++
		}
		out[i] = v[0] + sum/float64(hi-lo)
	}
	return out
}

// slopes2 are the speeds, m/s, of lines fitted to the positions within slopeS, NaN for fewer than five.
func slopes2(t, lat, lon []float64) []float64 {
	const metresPerDegree = 111_195.0 // of a sphere; only ratios count
	out := make([]float64, len(t))
	across := metresPerDegree * math.Cos(lat[0]*math.Pi/180)
	lo, hi := 0, 0
	var n, st, stt, sx, sy, stx, sty float64
	add := func(i int, w float64) {
		s, x, y := t[i]-t[0], across*math.Remainder(lon[i]-lon[0], 360), metresPerDegree*(lat[i]-lat[0])
		n, st, stt, sx, sy, stx, sty = n+w, st+w*s, stt+w*s*s, sx+w*x, sy+w*y, stx+w*s*x, sty+w*s*y
	}
	for i := range t {
		for hi < len(t) && t[hi] <= t[i]+slopeS {
			add(hi, 1)
			hi++
		}
		for t[lo] < t[i]-slopeS {
			add(lo, -1)
			lo++
		}
		out[i] = math.NaN()
		if v := stt - st*st/n; n >= 5 && v > 1 {
			out[i] = math.Hypot(stx-st*sx/n, sty-st*sy/n) / v
		}
	}
	return out
}

// reshaped has the length of a way over 2*levelS and between the speeds at its points.
func reshaped(t, way, speed []float64) []float64 {
	n := len(t)
	fitted := make([]float64, n)
	for i := 1; i < n; i++ {
		dt := t[i] - t[i-1]
		v := (speed[i-1] + speed[i]) / 2
		if math.IsNaN(v) || dt > slopeS {
			fitted[i] = fitted[i-1] + (way[i] - way[i-1])
			continue
		}
		fitted[i] = fitted[i-1] + v*dt
	}
	out := make([]float64, n)
	lo, hi := 0, 0
	for i := 1; i < n; i++ {
		for hi < n-1 && t[hi] < t[i]+levelS {
			hi++
		}
		for t[lo] < t[i]-levelS {
			lo++
		}
		const little = 1.0 // m, which keeps the ratio tame where somebody stands
		out[i] = out[i-1] + (fitted[i]-fitted[i-1])*(way[hi]-way[lo]+little)/(fitted[hi]-fitted[lo]+little)
	}
	return out
}
