package block

import (
	"math"
	"slices"

	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/athlete"
)

// Quickest is the quickest stretch of a length within a recording. One of
// Metres and Seconds is what was asked for.
type Quickest struct {
	Length  string  `json:"length"` // name of the event
	StartS  float64 `json:"start_s"`
	Seconds float64 `json:"seconds"`
	Metres  float64 `json:"metres"`
	SE      float64 `json:"se"` // of what was not asked for: s, or m
}

// quickest finds the quickest stretch of every length that fits, of all that an
// athlete may ask for: sums hold for any athlete.
func quickest(tr *signal.Trace) []Quickest {
	way := cleanWay(tr)
	var out []Quickest
	for _, l := range athlete.Events() {
		q, ok := Quickest{}, false
		if l.Metres > 0 {
			q, ok = leastTime(way, l.Metres)
		} else {
			q, ok = mostMetres(way, int(l.Seconds))
		}
		if !ok {
			continue
		}
		q.Length = l.Name
		q.SE = tr.Noise.Odometer * math.Sqrt(q.Seconds) // m
		if l.Metres > 0 {
			q.SE *= q.Seconds / q.Metres
		}
		q.StartS, q.Seconds, q.Metres, q.SE = fine(q.StartS), fine(q.Seconds), fine(q.Metres), fine(q.SE)
		out = append(out, q)
	}
	return out
}

// spike is by how much the speed of a single second may differ from those beside it, m/s.
const spike = 3.0

// cleanWay is the distance covered by every whole second, without what cannot
// have been run: seconds of which nothing is known add nothing, jumps of the
// position count as the speed around them.
func cleanWay(tr *signal.Trace) []float64 {
	way := make([]float64, tr.Len()+1)
	for c := range tr.Len() {
		d := tr.Dist[c+1] - tr.Dist[c]
		switch {
		case !tr.Known[c]:
			d = 0
		case math.Abs(d-tr.Speed[c]) > spike:
			d = tr.Speed[c]
		}
		way[c+1] = way[c] + max(d, 0)
	}
	return way
}

// leastTime is the least time in which metres were covered, linear within a
// second. The best stretch begins or ends at a whole second.
func leastTime(way []float64, metres float64) (Quickest, bool) {
	n := len(way) - 1
	best := Quickest{Metres: metres, Seconds: math.Inf(1)}
	if way[n] < metres {
		return best, false
	}
	j := 0 // the first second by which metres were covered from the i-th on
	for i := 0; i <= n; i++ {
		// What begins in the second before the i-th, or at it, and takes less than the best ends within so many more.
		if from := max(i-1, 0); best.Seconds < float64(n) && way[min(n, from+int(best.Seconds)+2)]-way[from] < metres {
			continue
		}
		for j = max(j, i); j <= n && way[j]-way[i] < metres; j++ {
			// One that ends at the j-th begins in the second before the i-th, and takes more than j-i seconds.
			if i == 0 || float64(j-i) >= best.Seconds || way[j]-way[i-1] < metres {
				continue
			}
			start := float64(i-1) + (way[j]-way[i-1]-metres)/(way[i]-way[i-1])
			if t := float64(j) - start; t < best.Seconds {
				best.StartS, best.Seconds = start, t
			}
		}
		if j > n {
			break
		}
		// One that begins at the i-th ends in the second before the j-th, and takes more than j-i-1 seconds.
		if float64(j-i-1) >= best.Seconds {
			continue
		}
		end := float64(j) - (way[j]-way[i]-metres)/(way[j]-way[j-1])
		if t := end - float64(i); t < best.Seconds {
			best.StartS, best.Seconds = float64(i), t
		}
	}
	return best, !math.IsInf(best.Seconds, 1)
}

// mostMetres is the most distance covered in a number of whole seconds.
func mostMetres(way []float64, seconds int) (Quickest, bool) {
	best := Quickest{Seconds: float64(seconds), Metres: -1}
	for i := 0; i+seconds < len(way); i++ {
		if d := way[i+seconds] - way[i]; d > best.Metres {
			best.StartS, best.Metres = float64(i), d
		}
	}
	return best, best.Metres > 0
}

// OfDistance tells whether a distance was asked for.
func (q Quickest) OfDistance() bool {
	return !slices.ContainsFunc(athlete.Events(), func(e athlete.Event) bool { return e.Name == q.Length && e.Metres == 0 })
}
