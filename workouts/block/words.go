package block

import (
	"fmt"
	"math"
	"strconv"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/report"
)

// Words and figures, as in the other reports.

// A unit is the distance that the athlete counts by.
type unit struct {
	name   string
	metres float64
}

func unitOf(miles bool) unit {
	if miles {
		return unit{"mi", workouts.MetresPerMile}
	}
	return unit{"km", 1000}
}

// distance prints metres in the unit, nothing when there are none.
func (u unit) distance(m float64) string {
	if !(m > 0) {
		return ""
	}
	return strconv.FormatFloat(m/u.metres, 'f', 1, 64) + " " + u.name
}

// pace prints s/km by the unit.
func (u unit) pace(secPerKm float64) string {
	if !(secPerKm > 0) || math.IsInf(secPerKm, 0) {
		return ""
	}
	return clock(secPerKm * u.metres / 1000)
}

func kilometres(m float64) string { return strconv.FormatFloat(m/1000, 'f', 2, 64) + " km" }

// clock prints seconds as 4:05 or 1:02:11, nothing when there are none.
func clock(seconds float64) string {
	if math.IsNaN(seconds) || math.Round(seconds) <= 0 {
		return ""
	}
	s := int(math.Round(seconds))
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}

func percent(v float64) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return ""
	}
	return strconv.FormatFloat(100*v, 'f', 0, 64) + " %"
}

func count(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

func plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

func orNil(s string) any {
	if s == "" {
		return nil
	}
	return s
}

// Fields for programs.

func number(key string, v float64, decimals int) report.Field {
	return report.Field{Key: key, Value: report.Number{Value: v, Decimals: decimals}}
}

func metresField(key string, v float64) report.Field  { return number(key, v, 1) }
func secondsField(key string, v float64) report.Field { return number(key, v, 1) }
