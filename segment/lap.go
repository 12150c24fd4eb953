package segment

import (
	"math"

	"example.org/rungs/segment/recording"
)

// lapM is a lap of a track, m (World Athletics, Technical Rule 14.1; from memory).
const lapM = 400.0

// inLaps reports whether a run went round a track: the device says so, or the runner was
// back at the same place after every 400 m, in half of all places within 50 m, which holds the
// errors of satellites and of the odometer (common practice, no source).
func inLaps(r *recording.Recording) bool {
	if r.Place == recording.Track {
		return true
	}
	const near, grid = 50.0, 50.0
	const perDegree = 111_195.0 // m, on a sphere with a radius of 6371 km
	type spot struct{ metres, north, east float64 }
	var spots []spot
	for i := range r.T {
		d, ok1 := r.Distance.At(i)
		lat, ok2 := r.Latitude.At(i)
		lon, ok3 := r.Longitude.At(i)
		if ok1 && ok2 && ok3 {
			spots = append(spots, spot{d, lat * perDegree, lon * perDegree * math.Cos(lat*math.Pi/180)})
		}
	}
	var apart []float64
	at, next := 0, lapM
	for _, s := range spots {
		for spots[at].metres < s.metres-lapM {
			at++
		}
		if back := spots[at]; s.metres >= next && back.metres <= s.metres-lapM+grid/2 {
			next = s.metres + grid
			apart = append(apart, math.Hypot(s.north-back.north, s.east-back.east))
		}
	}
	return len(apart) > 0 && median(apart) < near
}
