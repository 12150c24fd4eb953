package simulate

import (
	"encoding/csv"
	"math"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"example.org/rungs/segment/internal/opendata"
	"example.org/rungs/segment/recording"
)

// A legNoise is how speed scatters about a line inside one leg.
type legNoise struct{ sd, lag1 float64 }

// scatter measures the values at times from 15 s inside the leg.
func scatter(t, v []float64, from, to float64) (legNoise, bool) {
	var x, y []float64
	for i := range t {
		if t[i] >= from+15 && t[i] < to-15 && !math.IsNaN(v[i]) {
			x, y = append(x, t[i]), append(y, v[i])
		}
	}
	n := float64(len(x))
	if n < 15 {
		return legNoise{}, false
	}
	mx, my, sxx, sxy := 0.0, 0.0, 0.0, 0.0
	for i := range x {
		mx, my = mx+x[i]/n, my+y[i]/n
	}
	for i := range x {
		sxx += (x[i] - mx) * (x[i] - mx)
		sxy += (x[i] - mx) * (y[i] - my)
	}
	e, ss, sp := make([]float64, len(x)), 0.0, 0.0
	for i := range x {
		e[i] = y[i] - my - sxy/sxx*(x[i]-mx)
		ss += e[i] * e[i]
		if i > 0 {
			sp += e[i] * e[i-1]
		}
	}
	return legNoise{math.Sqrt(ss / n), sp / ss}, true
}

// increments is the speed of the odometer between one record and the next, at
// the later of the two.
func increments(t, d []float64) (at, v []float64) {
	for i := 1; i < len(t); i++ {
		if t[i] > t[i-1] && !math.IsNaN(d[i]) && !math.IsNaN(d[i-1]) {
			at, v = append(at, t[i]), append(v, (d[i]-d[i-1])/(t[i]-t[i-1]))
		}
	}
	return at, v
}

// realFile opens a recording of the data folder, or skips.
func realFile(t *testing.T, name string) [][]string {
	t.Helper()
	f, err := os.Open(opendata.File(t, name))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	c := csv.NewReader(f)
	c.Comment = '#'
	if strings.HasSuffix(name, ".tsv") {
		c.Comma = '\t'
	}
	rows, err := c.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	return rows[1:]
}

func number(s string) float64 {
	v, err := strconv.ParseFloat(s, 64)
	if err != nil {
		return math.NaN()
	}
	return v
}

// The noise of the profiles lies within that of the open recordings they
// stand for: the middle of the simulated legs between the extremes of the real
// ones, for the standard deviation and the lag-1 autocorrelation of speed
// about a line within legs. Sources: a track session and a road session with
// laps as truth, and the phases of run_log of the annotated change-point
// benchmark (van den Burg & Williams 2020).
func TestNoiseIsLikeReality(t *testing.T) {
	for _, c := range []struct {
		data, truth  string
		kind, device string
		speed        bool // of the device's stream, else of the odometer
	}{
		{"real-track-400-800.csv", "real-track-400-800.truth.tsv", "track pyramid", "older watch, every second", false},
		{"real-track-400-800.csv", "real-track-400-800.truth.tsv", "track pyramid", "older watch, every second", true},
		{"real-6x800.csv", "real-6x800.truth.tsv", "800s by distance", "watch with smart recording", false},
		{"run_log.csv", "", "run and walk", "phone, distance only", false},
	} {
		t.Run(c.data, func(t *testing.T) {
			var times, metres, speed []float64
			var edges [][2]float64
			if c.truth == "" {
				// Stage,HeartRate,Pace,Distance about every 5 s; a phase is a run of one stage.
				from, stage := 0.0, ""
				for i, row := range realFile(t, c.data) {
					now := 5 * float64(i)
					times, metres = append(times, now), append(metres, number(row[4]))
					if row[1] != stage && i > 0 {
						edges, from = append(edges, [2]float64{from, now}), now
					}
					stage = row[1]
				}
			} else {
				for _, row := range realFile(t, c.data) {
					times, metres, speed = append(times, number(row[0])), append(metres, number(row[1])), append(speed, number(row[2]))
				}
				for _, row := range realFile(t, c.truth) {
					if row[2] == "rep" || row[2] == "recovery" {
						edges = append(edges, [2]float64{number(row[0]), number(row[1])})
					}
				}
			}
			at, v := increments(times, metres)
			if c.speed {
				at, v = times, speed
			}
			var actual, made []legNoise
			for _, e := range edges {
				if n, ok := scatter(at, v, e[0], e[1]); ok {
					actual = append(actual, n)
				}
			}
			for seed := range uint64(8) {
				r, truth := runOf(t, c.kind, c.device, seed, nil)
				at, v := increments(r.T, values(r.Distance))
				if c.speed {
					at, v = r.T, values(r.Speed)
				}
				for _, l := range truth.Legs {
					if n, ok := scatter(at, v, l.StartS, l.EndS); ok && (l.Role == work || l.Role == recovery) {
						made = append(made, n)
					}
				}
			}
			if len(actual) < 5 || len(made) < 20 {
				t.Fatalf("only %d real and %d simulated legs to measure", len(actual), len(made))
			}
			between(t, "standard deviation", actual, made, func(n legNoise) float64 { return n.sd })
			between(t, "lag-1 autocorrelation", actual, made, func(n legNoise) float64 { return n.lag1 })
		})
	}
}

func between(t *testing.T, what string, actual, made []legNoise, of func(legNoise) float64) {
	t.Helper()
	sorted := func(list []legNoise) (out []float64) {
		for _, n := range list {
			out = append(out, of(n))
		}
		slices.Sort(out)
		return out
	}
	r, m := sorted(actual), sorted(made)
	t.Logf("%s: real %.2f to %.2f, median %.2f (n %d); simulated median %.2f (n %d)",
		what, r[0], r[len(r)-1], r[len(r)/2], len(r), m[len(m)/2], len(m))
	if mid := m[len(m)/2]; mid < r[0] || mid > r[len(r)-1] {
		t.Errorf("%s: the simulated median %.3f lies outside the real legs", what, mid)
	}
}

func values(s recording.Stream) []float64 {
	out := make([]float64, len(s.Value))
	for i := range out {
		out[i] = math.NaN()
		if v, ok := s.At(i); ok {
			out[i] = v
		}
	}
	return out
}
