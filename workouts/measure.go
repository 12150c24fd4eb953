package workouts

import (
	"errors"
	"math"
	"strconv"
	"strings"

	"example.org/rungs/workouts/figures"
)

// ParseClock reads "41:30" or "1:05:00" as seconds.
func ParseClock(s string) (float64, error) {
	parts := strings.Split(strings.TrimSpace(s), ":")
	bad := errors.New("write minutes:seconds, as in 41:30, or hours:minutes:seconds")
	if len(parts) < 2 || len(parts) > 3 {
		return 0, bad
	}
	total := 0.0
	for i, part := range parts {
		v, err := strconv.ParseUint(part, 10, 16)
		if err != nil || i > 0 && (len(part) != 2 || v >= 60) {
			return 0, bad
		}
		total = total*60 + float64(v)
	}
	return total, nil
}

// ParsePace reads an absolute pace in canonical form: "3:45/km", "6:00/mi",
// "16km/h", "10mph".
func ParsePace(s string) (Pace, error) {
	s = strings.ToLower(strings.ReplaceAll(s, " ", ""))
	bad := errors.New("write a pace as 3:45/km, 6:00/mi, 16km/h or 10mph")
	for _, unit := range []PaceUnit{PerKm, PerMile, KmPerHour, MilesPerH} {
		text, ok := strings.CutSuffix(s, string(unit))
		if !ok {
			continue
		}
		var v float64
		var err error
		if unit.IsSpeed() {
			v, err = strconv.ParseFloat(text, 64)
		} else {
			// The tenth of a second is written after the clock.
			clock, tenth, fine := strings.Cut(text, ".")
			v, err = ParseClock(clock)
			if fine && len(tenth) != 1 {
				err = bad
			} else if d, e := strconv.ParseUint("0"+tenth, 10, 8); e != nil {
				err = bad
			} else {
				v = math.Round(v*10+float64(d)) / 10
			}
		}
		if err != nil || !(v > 0) {
			return Pace{}, bad
		}
		if p := MakePace(v, unit); p.SecPerKm >= QuickestPace && p.SecPerKm <= SlowestPace {
			return p, nil
		}
		return Pace{}, errors.New("a pace lies between 1:30/km and 60:00/km, a speed between 1km/h and 40km/h")
	}
	return Pace{}, bad
}

// distanceNames are the race distances that are called by a name.
// Half marathon and marathon as in the rules of the sport, 21.0975 and 42.195 km.
var distanceNames = map[string]float64{"mile": figures.MetresPerMile, "half": 21097.5, "marathon": 42195}

// DistanceOf is the race distance that a name stands for, in metres: "10k",
// "10km", "1500m", "5mi", "mile", "half", "marathon".
func DistanceOf(name string) (metres float64, ok bool) {
	name = strings.ToLower(strings.ReplaceAll(name, " ", ""))
	if m, ok := distanceNames[name]; ok {
		return m, true
	}
	digits := strings.TrimRight(name, "abcdefghijklmnopqrstuvwxyz")
	v, err := strconv.ParseFloat(digits, 64)
	if err != nil || strings.Trim(digits, "0123456789.") != "" {
		return 0, false
	}
	switch name[len(digits):] {
	case "k", "km":
		v *= 1000
	case "mi":
		v *= figures.MetresPerMile
	case "m":
	default:
		return 0, false
	}
	return v, v >= 100 && v <= MaxMetres
}
