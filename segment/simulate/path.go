package simulate

import (
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/recording"
)

// The runs take place on the open North Sea, where no runner lives.
const (
	homeLat = 55.5
	homeLon = 3.5
)

// fixes is the positions the device wrote down.
func (v *view) fixes(s Session, m *motion, d Device, at []int, rng *rand.Rand) (lat, lon recording.Stream) {
	lat, lon = recording.MakeStream(len(at)), recording.MakeStream(len(at))
	way := rand.New(rand.NewPCG(m.waySeed, 4))
	slow, slowS, own := 2.5, 60.0, 0.2
	if d.FixM > 0 {
		slow, slowS = d.FixM*(2+2*rng.Float64())/3, d.FixS
		own = d.FixWhiteM * (4 + 6*rng.Float64()) / 7
	}
	east, north := noise(rng, slow, slowS), noise(rng, slow, slowS)
	// Metres per degree: the WGS84 radii of curvature at 55.5 N, in the
	// meridian and across it, 6378.9 and 6392.7 km.
	mPerLat := math.Pi / 180 * 6378900.0
	mPerLon := math.Pi / 180 * 6392687.0 * math.Cos(homeLat*math.Pi/180)
	x, y, turn, heading, last, i := 0.0, 0.0, 0.0, way.Float64()*2*math.Pi, 0.0, 0
	for k := 0; k < v.n && i < len(at); k++ {
		now := 0.0
		if b := v.body(k); b >= 0 {
			now = m.metres[b]
		}
		if s.Place == recording.Track {
			x, y = oval(now)
		} else {
			turn = 0.97*turn + 0.004*way.NormFloat64()
			heading += turn * (now - last) / 3
			x += (now - last) * math.Sin(heading)
			y += (now - last) * math.Cos(heading)
		}
		last = now
		f := 1.0
		if v.canyon[k] {
			f = 4
		}
		e, n := f*east.next(), f*north.next()
		if k == at[i] {
			if !v.lost[k] {
				lat.Set(i, homeLat+(y+n+own*rng.NormFloat64())/mPerLat)
				lon.Set(i, homeLon+(x+e+own*rng.NormFloat64())/mPerLon)
			}
			i++
		}
	}
	return lat, lon
}

// oval is a place on a 400 m track: straights of 84.39 m and bends measured
// 0.30 m out from a kerb of radius 36.50 m (World Athletics, from memory).
func oval(m float64) (x, y float64) {
	const straight, radius = 84.39, 36.80
	bend := math.Pi * radius
	m = math.Mod(m, 2*(straight+bend))
	side := 1.0
	if m >= straight+bend {
		m -= straight + bend
		side = -1
	}
	if m < straight {
		return side * (m - straight/2), side * -radius
	}
	a := (m - straight) / radius
	return side * (straight/2 + radius*math.Sin(a)), side * -radius * math.Cos(a)
}
