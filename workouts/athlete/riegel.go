package athlete

import (
	"fmt"
	"math"

	"example.org/rungs/workouts"
)

// Riegel estimates the time, in seconds, in which a runner who raced fromM
// metres in seconds would race toM metres: T2 = T1 (D2/D1)^1.06.
//
// Riegel P. S. 1981, Athletic records and human endurance, American Scientist
// 69:285-290 (the exponent as quoted by others, the paper itself from memory).
func Riegel(seconds, fromM, toM float64) float64 {
	return seconds * math.Pow(toM/fromM, 1.06)
}

// A Race is a recent result.
type Race struct {
	Metres, Seconds float64
}

// Estimate is the race pace over metres, in s/km, that the race suggests, and
// what has to be said about it; the caution is empty when nothing has.
func (r Race) Estimate(metres float64) (secPerKm float64, caution string) {
	t := Riegel(r.Seconds, r.Metres, metres)
	half, _ := workouts.DistanceOf("half")
	switch {
	case metres > half*1.01 && r.Metres < metres:
		// Vickers & Vertosick 2016, BMC Sports Sci. Med. Rehabil. 8:26:
		// well calibrated to the half marathon, N = 2303.
		caution = "beyond the half marathon this estimate was at least 10 minutes too fast for half of 2303 runners (Vickers & Vertosick 2016)"
	case t < 210 || r.Seconds < 210 || t > 13800:
		// Range of Riegel's own data, 3.5 to 230 minutes: from memory.
		caution = "the formula was made for races of 3.5 to 230 minutes"
	case metres/r.Metres > 4 || r.Metres/metres > 4:
		caution = fmt.Sprintf("the race was %.1f times as long or as short; a nearer one would say more", max(metres/r.Metres, r.Metres/metres))
	}
	return t / metres * 1000, caution
}
