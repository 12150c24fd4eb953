package log

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"

	"example.org/rungs/segment/recording"
)

// noReps says that there were no reps.
const noReps = "none"

// mostRepS is the latest that a rep may end, s: the longest recording that is read has ten days.
const mostRepS = 10 * 24 * 3600

// leastRepS is the shortest rep, s: two records of most devices.
const leastRepS = 2

// mostReps is how many reps a line may tell: a rep in each half minute of five hours.
const mostReps = 600

// FormatReps writes where reps were as a line of the log has it: "15:02-19:02 20:31.5-24:30",
// times from the first record on, in minutes and seconds, or hours too, to a tenth of a second.
func FormatReps(reps []recording.Span) string {
	if len(reps) == 0 {
		return noReps
	}
	words := make([]string, len(reps))
	for i, r := range reps {
		words[i] = Clock(r.StartS) + "-" + Clock(r.EndS)
	}
	return strings.Join(words, " ")
}

// Clock writes a time of a rep, s from the first record on, as FormatReps does.
func Clock(seconds float64) string {
	n := int64(math.Round(10 * seconds))
	s := fmt.Sprintf("%d:%02d", n/600, n/10%60)
	if n >= 36000 {
		s = fmt.Sprintf("%d:%02d:%02d", n/36000, n/600%60, n/10%60)
	}
	if n%10 != 0 {
		s += fmt.Sprintf(".%d", n%10)
	}
	return s
}

// ParseReps reads what FormatReps writes. The place is that of the word that is wrong, from 0;
// the error says what is wrong with it. None gives an empty list that is not nil.
func ParseReps(text string) (reps []recording.Span, place int, err error) {
	words := strings.Fields(text)
	if len(words) == 1 && strings.EqualFold(words[0], noReps) {
		return []recording.Span{}, 0, nil
	}
	for i, w := range words {
		from, to, ok := strings.Cut(w, "-")
		a, okA := clockS(from)
		b, okB := clockS(to)
		switch {
		case !ok || !okA || !okB:
			return nil, i, fmt.Errorf("%q is no rep", w)
		case math.Round(10*(b-a)) < 10*leastRepS:
			return nil, i, fmt.Errorf("the rep %s ends before it is %d s long", w, leastRepS)
		case i > 0 && a < reps[i-1].EndS:
			return nil, i, fmt.Errorf("the rep %s begins before the one in front of it ends", w)
		case b > mostRepS:
			return nil, i, fmt.Errorf("the rep %s ends later than any recording", w)
		case i == mostReps:
			return nil, i, fmt.Errorf("there are more than %d reps", mostReps)
		}
		reps = append(reps, recording.Span{StartS: a, EndS: b})
	}
	return reps, 0, nil
}

var clockText = regexp.MustCompile(`^(?:(\d{1,3}):)?(\d{1,3}):(\d\d)(?:\.(\d))?$`)

// clockS reads a time such as 15:02.5 or 1:02:03, s.
func clockS(text string) (float64, bool) {
	m := clockText.FindStringSubmatch(text)
	if m == nil {
		return 0, false
	}
	var n [5]int
	for i := 1; i < len(m); i++ {
		n[i], _ = strconv.Atoi(m[i]) // what is missing is 0
	}
	if n[3] > 59 || m[1] != "" && n[2] > 59 {
		return 0, false
	}
	return float64(n[1]*36000+n[2]*600+n[3]*10+n[4]) / 10, true
}

// SameReps tells whether two tell the same of the reps: the same as FormatReps writes them, or both
// nothing.
func SameReps(a, b []recording.Span) bool {
	return (a == nil) == (b == nil) && FormatReps(a) == FormatReps(b)
}
