// Package figures is how amounts of running are written: times, paces, distances,
// counts and their margins, and the constants that several packages count by. What is
// not known is an empty string, never a zero.
package figures

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"example.org/rungs/segment/recording"
)

// MetresPerMile is the international mile, exact by definition (1959).
const MetresPerMile = recording.MetresPerMile

// Strolling is the speed, in m/s, below which a runner stands, but for some steps (common practice, no source).
const Strolling = 0.5

// Standing is the pace, in s/km, from which on nobody walks.
const Standing = 1000 / Strolling

// Known tells whether a value is a number.
func Known(v float64) bool { return !math.IsNaN(v) && !math.IsInf(v, 0) }

// Clock prints seconds as 4:05 or 1:02:11, rounded to whole seconds. Nothing
// that takes thirty years is a time.
func Clock(s float64) string {
	if !Known(s) || math.Abs(s) > 1e9 {
		return ""
	}
	n := int64(math.Round(math.Abs(s)))
	text := fmt.Sprintf("%d:%02d", n/60, n%60)
	if n >= 3600 {
		text = fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	if s < 0 && n > 0 {
		return "-" + text
	}
	return text
}

// Sum is Clock for a sum of times: nothing when it comes to none.
func Sum(s float64) string {
	if !(math.Round(s) > 0) {
		return ""
	}
	return Clock(s)
}

// Brief prints seconds as words name them: 45s below a minute, else as Clock.
func Brief(s float64) string {
	if n := math.Round(s); n < 60 {
		return Decimal(n, 0) + "s"
	}
	return Clock(s)
}

// Decimal prints v with so many decimals, never as a negative zero.
func Decimal(v float64, decimals int) string {
	s := strconv.FormatFloat(v, 'f', decimals, 64)
	if x, _ := strconv.ParseFloat(s, 64); x == 0 && s[0] == '-' {
		return s[1:]
	}
	return s
}

// Signed prints a difference with its sign, or plain zero.
func Signed(v float64, decimals int) string {
	if !Known(v) {
		return ""
	}
	s := Decimal(v, decimals)
	if x, _ := strconv.ParseFloat(s, 64); x > 0 {
		return "+" + s
	}
	return s
}

// Whole prints a value without decimals.
func Whole(v float64) string {
	if !Known(v) {
		return ""
	}
	return Decimal(v, 0)
}

// Metres prints whole metres.
func Metres(m float64) string {
	if !Known(m) {
		return ""
	}
	return Decimal(m, 0) + " m"
}

// Kilometres prints metres as km to 10 m.
func Kilometres(m float64) string {
	if !Known(m) {
		return ""
	}
	return Decimal(m/1000, 2) + " km"
}

// Beats prints a heart rate in beats/min, nothing when there is none.
func Beats(v float64) string {
	if !Known(v) || v <= 0 {
		return ""
	}
	return Decimal(v, 0)
}

// Percent prints a share as whole per cent.
func Percent(share float64) string {
	if !Known(share) {
		return ""
	}
	return Decimal(100*share, 0) + " %"
}

// Count prints a number of things, nothing for none.
func Count(n int) string {
	if n == 0 {
		return ""
	}
	return strconv.Itoa(n)
}

// Plural prints a count with its noun.
func Plural(n int, noun string) string {
	if n == 1 {
		return "1 " + noun
	}
	return strconv.Itoa(n) + " " + noun + "s"
}

// Sentence gives s a capital and a full stop.
func Sentence(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 || r == utf8.RuneError {
		return s
	}
	s = string(unicode.ToUpper(r)) + s[n:]
	if !strings.HasSuffix(s, ".") {
		s += "."
	}
	return s
}

// Numbers names numbers in ascending order: "5 to 7", "2 and 4", "1, 3 and 5"; empty for none.
func Numbers(list []int) string {
	n := len(list)
	switch {
	case n == 0:
		return ""
	case n > 2 && list[n-1]-list[0] == n-1:
		return strconv.Itoa(list[0]) + " to " + strconv.Itoa(list[n-1])
	}
	s := strconv.Itoa(list[0])
	for k, x := range list[1:] {
		if k == n-2 {
			s += " and " + strconv.Itoa(x)
		} else {
			s += ", " + strconv.Itoa(x)
		}
	}
	return s
}
