package recording

import "math"

// The WGS84 ellipsoid (defining constants of the datum).
const (
	wgs84A = 6378137.0             // equatorial radius, m
	wgs84F = 1 / 298.257223563     // flattening
	wgs84B = wgs84A * (1 - wgs84F) // polar radius, m
)

// Geodesic is the length in metres of the shortest line on the WGS84 ellipsoid
// between two positions in degrees. NaN in gives NaN out.
//
// It is Vincenty's inverse solution (T. Vincenty 1975, Survey Review
// 23(176):88-93), good to well under a millimetre at any distance run on foot.
// The iteration is known not to settle for nearly antipodal points; after 100
// rounds the great circle on the sphere of the ellipsoid's mean radius is given
// instead, which is up to 0.6 % off.
func Geodesic(lat1, lon1, lat2, lon2 float64) float64 {
	const degree = math.Pi / 180
	l := math.Remainder(lon2-lon1, 360) * degree
	// Reduced latitudes.
	u1 := math.Atan((1 - wgs84F) * math.Tan(lat1*degree))
	u2 := math.Atan((1 - wgs84F) * math.Tan(lat2*degree))
	sinU1, cosU1 := math.Sincos(u1)
	sinU2, cosU2 := math.Sincos(u2)

	lambda := l
	for range 100 {
		sinL, cosL := math.Sincos(lambda)
		sinSigma := math.Hypot(cosU2*sinL, cosU1*sinU2-sinU1*cosU2*cosL)
		if sinSigma == 0 && cosL > 0 {
			return 0
		}
		cosSigma := sinU1*sinU2 + cosU1*cosU2*cosL
		sigma := math.Atan2(sinSigma, cosSigma)
		sinAlpha := 0.0
		if sinSigma > 0 {
			sinAlpha = cosU1 * cosU2 * sinL / sinSigma
		}
		cos2Alpha := 1 - sinAlpha*sinAlpha
		cos2M := 0.0 // on the equator there is no midpoint term
		if cos2Alpha > 1e-15 {
			cos2M = cosSigma - 2*sinU1*sinU2/cos2Alpha
		}
		c := wgs84F / 16 * cos2Alpha * (4 + wgs84F*(4-3*cos2Alpha))
		next := l + (1-c)*wgs84F*sinAlpha*
			(sigma+c*sinSigma*(cos2M+c*cosSigma*(2*cos2M*cos2M-1)))
		if math.IsNaN(next) {
			return math.NaN()
		}
		settled := math.Abs(next-lambda) < 1e-13
		lambda = next
		if math.Abs(lambda) > math.Pi {
			break // left the hemisphere: it will not settle
		}
		if !settled {
			continue
		}
		uu := cos2Alpha * (wgs84A*wgs84A - wgs84B*wgs84B) / (wgs84B * wgs84B)
		a := 1 + uu/16384*(4096+uu*(-768+uu*(320-175*uu)))
		b := uu / 1024 * (256 + uu*(-128+uu*(74-47*uu)))
		delta := b * sinSigma * (cos2M + b/4*(cosSigma*(2*cos2M*cos2M-1)-
			b/6*cos2M*(4*sinSigma*sinSigma-3)*(4*cos2M*cos2M-3)))
		return wgs84B * a * (sigma - delta)
	}
	return greatCircle(lat1, lon1, lat2, lon2)
}

// nearby is Geodesic for positions within a few kilometres, to 0.1 %, on the
// plane that touches the ellipsoid at the first: fast enough for every record.
func nearby(lat1, lon1, lat2, lon2 float64) float64 {
	const degree = math.Pi / 180
	const e2 = wgs84F * (2 - wgs84F)
	sin, cos := math.Sincos((lat1 + lat2) / 2 * degree)
	w := 1 - e2*sin*sin
	across := wgs84A / math.Sqrt(w) // radius of curvature in the prime vertical
	along := across * (1 - e2) / w  // and in the meridian
	dLat := (lat2 - lat1) * degree * along
	dLon := lon2 - lon1
	if dLon > 180 || dLon < -180 {
		dLon = math.Remainder(dLon, 360)
	}
	dLon *= degree * across * cos
	return math.Sqrt(dLat*dLat + dLon*dLon)
}

// greatCircle is the haversine distance on a sphere of WGS84's mean radius, m.
func greatCircle(lat1, lon1, lat2, lon2 float64) float64 {
	const degree = math.Pi / 180
	const radius = (2*wgs84A + wgs84B) / 3
	s := math.Sin((lat2 - lat1) / 2 * degree)
	t := math.Sin((lon2 - lon1) / 2 * degree)
	h := s*s + math.Cos(lat1*degree)*math.Cos(lat2*degree)*t*t
	return 2 * radius * math.Asin(math.Sqrt(min(h, 1)))
}
