package block

import (
	"math"
	"regexp"
	"strconv"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
)

var volumeText = regexp.MustCompile(`^([0-9.:]+)\s*(?:-\s*([0-9.:]+)\s*)?(km|mi|h)?$`)

func parseVolume(s string) (v Volume, ok bool) {
	m := volumeText.FindStringSubmatch(s)
	if m == nil {
		return v, false
	}
	unit := 0.0
	switch m[3] {
	case "km":
		unit = 1000
	case "mi":
		unit, v.Miles = figures.MetresPerMile, true
	case "h":
		unit, v.InTime = 3600, true
	default:
		v.InTime = true
	}
	one := func(text string) float64 {
		if m[3] == "" {
			t, err := workouts.ParseClock(text)
			if err != nil {
				return math.NaN()
			}
			return t
		}
		x, err := strconv.ParseFloat(text, 64)
		if err != nil {
			return math.NaN()
		}
		return math.Round(x*1000) / 1000 * unit
	}
	v.Low = one(m[1])
	if v.High = v.Low; m[2] != "" {
		v.High = one(m[2])
	}
	most := workouts.MaxMetres
	if v.InTime {
		most = workouts.MaxSeconds
		v.Low, v.High = math.Round(v.Low), math.Round(v.High)
	}
	return v, v.Low > 0 && v.High >= v.Low && v.High <= most
}

// String is the volume as a plan writes it.
func (v Volume) String() string {
	one := func(x float64) string {
		switch {
		case v.InTime:
			return figures.Sum(x)
		case v.Miles:
			x /= figures.MetresPerMile
		default:
			x /= 1000
		}
		return strconv.FormatFloat(math.Round(x*1000)/1000, 'f', -1, 64)
	}
	s := one(v.Low)
	if v.High != v.Low {
		s += "-" + one(v.High)
	}
	switch {
	case v.Low == 0:
		return ""
	case v.InTime:
		return s
	case v.Miles:
		return s + "mi"
	}
	return s + "km"
}
