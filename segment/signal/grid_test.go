package signal

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/rungs/segment/recording"
)

// cells writes a yes or no for each cell in runs: "5+ 3- 2+".
func cells(b []bool) string {
	var out []string
	for i := 0; i < len(b); {
		k := i
		for k < len(b) && b[k] == b[i] {
			k++
		}
		out = append(out, fmt.Sprintf("%d%s", k-i, map[bool]string{true: "+", false: "-"}[b[i]]))
		i = k
	}
	return strings.Join(out, " ")
}

// from is the times of records each second from a to b.
func from(a, b float64) []float64 {
	var out []float64
	for t := a; t <= b; t++ {
		out = append(out, t)
	}
	return out
}

func TestGapsAndStops(t *testing.T) {
	even := func(t float64) float64 { return 3 * t }
	for _, c := range []struct {
		name         string
		t            []float64
		metres       func(t float64) float64
		stops        []recording.Span
		known, timer string
	}{
		{"every second", from(0, 60), even, nil, "60+", "60+"},
		{"no whole seconds", []float64{0, 0.5, 20.5, 21.2}, even, nil, "1+ 19- 2+", "22+"},
		// Smart recording leaves 16 s at most while the runner runs on.
		{"16 s apart", append(from(0, 20), from(36, 60)...), even, nil, "60+", "60+"},
		{"17 s apart", append(from(0, 20), from(37, 60)...), even, nil, "20+ 17- 23+", "60+"},
		{"the edges of a gap inside cells", append(append(from(0, 20), 20.4, 50.6), from(51, 60)...), even, nil, "21+ 29- 10+", "60+"},
		{"hours apart", append(from(0, 20), from(7220, 7240)...), even, nil, "20+ 7200- 20+", "7240+"},
		{"stood through a gap", append(from(0, 20), from(80, 100)...), func(t float64) float64 {
			if t <= 20 {
				return 3 * t
			}
			return 3*max(20, t-60) + min(20, t-60)/2 // 10 m in a minute, as position drifts
		}, nil, "100+", "100+"},
		{"timer stopped in a gap", append(from(0, 20), from(80, 100)...), even,
			[]recording.Span{{StartS: 20, EndS: 80}}, "100+", "20+ 60- 20+"},
		{"timer stopped in part of a gap", append(from(0, 20), from(80, 100)...), even,
			[]recording.Span{{StartS: 30.4, EndS: 59.6}}, "20+ 10- 30+ 20- 20+", "30+ 30- 40+"},
		{"stops that overlap, end late or begin early", from(0, 60), even,
			[]recording.Span{{StartS: -5, EndS: 4}, {StartS: 30, EndS: 40}, {StartS: 35, EndS: 45}, {StartS: 55, EndS: 99}},
			"60+", "4- 26+ 15- 10+ 5-"},
		{"a stop that ends before it begins", from(0, 60), even, []recording.Span{{StartS: 40, EndS: 30}}, "60+", "60+"},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := blank(c.t...)
			r.Distance, r.Stops = stream(r, c.metres), c.stops
			tr := Build(r)
			if got := cells(tr.Known); got != c.known {
				t.Errorf("known: %s, want %s", got, c.known)
			}
			if got := cells(tr.Timer); got != c.timer {
				t.Errorf("timer: %s, want %s", got, c.timer)
			}
			last := c.t[len(c.t)-1]
			near(t, "the whole distance", tr.Dist[tr.Len()], c.metres(last), 1e-9)
			if n := int(math.Ceil(last)); tr.Len() != n || len(tr.Dist) != n+1 {
				t.Errorf("%d cells and %d borders in %g s", tr.Len(), len(tr.Dist), last)
			}
		})
	}
}

// Distance is a straight line between records, wherever those lie in the cells.
func TestLayIsLinear(t *testing.T) {
	tr := &Trace{Speed: make([]float64, 10), Known: make([]bool, 10), Timer: yes(10), Dist: make([]float64, 11)}
	tr.lay([]float64{0.5, 2.25, 2.75, 3, 7, 9.5}, []float64{0, 7, 8, 10, 18, 23})
	want := []float64{0, 2, 6, 10, 12, 14, 16, 18, 20, 22, 23}
	if diff := cmp.Diff(want, tr.Dist, cmpopts.EquateApprox(0, 1e-12)); diff != "" {
		t.Errorf("distances (-want +got):\n%s", diff)
	}
	for i, v := range tr.Speed {
		near(t, "a cell's speed", v, want[i+1]-want[i], 1e-12)
	}
	if got := cells(tr.Known); got != "10+" {
		t.Errorf("known: %s", got)
	}
}

// Rounding on the way to a record must not carry distance past it.
func TestLayNeverFalls(t *testing.T) {
	rng := seeded(7)
	for range 2000 {
		a := 1e5 * rng.Float64()
		b := a + 1e5*rng.Float64()
		tr := &Trace{Speed: make([]float64, 6), Known: make([]bool, 6), Timer: yes(6), Dist: make([]float64, 7)}
		tr.lay([]float64{0, 3, 6}, []float64{a, b, b})
		if !slices.IsSorted(tr.Dist) {
			t.Fatalf("from %v to %v: %v", a, b, tr.Dist)
		}
	}
}

// A source that begins late, or ends early, knows nothing outside.
func TestUnknownEnds(t *testing.T) {
	for _, c := range []struct {
		first, last float64
		want        string
	}{
		{0, 60, "60+"}, {5, 60, "5- 55+"}, {5.5, 60, "5- 55+"}, {0, 50, "50+ 10-"}, {0, 50.5, "51+ 9-"}, {20, 40, "20- 20+ 20-"},
	} {
		tr := &Trace{Speed: make([]float64, 60), Known: make([]bool, 60), Timer: yes(60), Dist: make([]float64, 61)}
		mid := (c.first + c.last) / 2
		at := []float64{c.first, mid, c.last}
		if c.last-c.first > 2*longestGap {
			at = slices.Concat(from(c.first, c.last), []float64{c.last})
			at = slices.Compact(at)
		}
		d := make([]float64, len(at))
		for i := range d {
			d[i] = 3 * (at[i] - at[0])
		}
		tr.lay(at, d)
		if got := cells(tr.Known); got != c.want {
			t.Errorf("records from %g to %g s: known %s, want %s", c.first, c.last, got, c.want)
		}
	}
}

func TestMedianStep(t *testing.T) {
	for _, c := range []struct {
		t    []float64
		want float64
	}{
		{nil, 1}, {[]float64{0}, 1}, {[]float64{0, 5}, 5}, {[]float64{0, 1, 2, 9}, 1}, {[]float64{0, 0.5, 3, 9, 10}, 2.5},
	} {
		if got := medianStep(c.t); got != c.want {
			t.Errorf("%v: %g, want %g", c.t, got, c.want)
		}
	}
}

// Streams are taken at the middle of each cell, by straight lines between
// records at most longestGap apart.
func TestEven(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name    string
		t, v    []float64 // NaN: no value
		n       int
		want    []float64
		missing bool
	}{
		{name: "no value", t: []float64{0, 1}, v: []float64{nan, nan}, n: 1, missing: true},
		{name: "a line", t: []float64{0, 2, 4}, v: []float64{0, 4, 2}, n: 4, want: []float64{1, 3, 3.5, 2.5}},
		{name: "over a record without a value", t: []float64{0, 1, 2}, v: []float64{1, nan, 3}, n: 2, want: []float64{1.5, 2.5}},
		{name: "one value", t: []float64{0, 1, 2}, v: []float64{nan, 7, nan}, n: 2, want: []float64{nan, nan}},
		{name: "begins late, ends early", t: []float64{0, 1, 2, 3, 4}, v: []float64{nan, 1, 2, 3, nan}, n: 4, want: []float64{nan, 1.5, 2.5, nan}},
		{name: "records at the middles", t: []float64{0.5, 1.5}, v: []float64{3, 5}, n: 2, want: []float64{3, 5}},
		{name: "many records in a cell", t: []float64{0, 0.2, 0.4, 0.7, 1}, v: []float64{9, 9, 4, 7, 9}, n: 1, want: []float64{5}},
	} {
		t.Run(c.name, func(t *testing.T) {
			r := blank(c.t...)
			s := recording.MakeStream(r.Len())
			for i, v := range c.v {
				if !math.IsNaN(v) {
					s.Set(i, v)
				}
			}
			got := even(r.T, s, c.n)
			if c.missing != (got == nil) {
				t.Fatalf("missing: %v, want %v", got == nil, c.missing)
			}
			if diff := cmp.Diff(c.want, got, cmpopts.EquateNaNs(), cmpopts.EquateApprox(0, 1e-12)); diff != "" {
				t.Errorf("(-want +got):\n%s", diff)
			}
		})
	}
	r := blank(append(from(0, 20), from(37, 60)...)...)
	gap := even(r.T, stream(r, func(t float64) float64 { return t }), 60)
	for c, v := range gap {
		if inGap := c >= 20 && c < 37; math.IsNaN(v) != inGap {
			t.Errorf("cell %d across a gap of 17 s is %g", c, v)
		} else if !inGap {
			near(t, "a cell", v, float64(c)+0.5, 1e-12)
		}
	}
}

func TestHeartRate(t *testing.T) {
	r := ticks(100)
	r.HeartRate = stream(r, func(t float64) float64 {
		switch {
		case t < 10:
			return 29 // nobody's
		case t < 20:
			return 241
		case t == 50:
			return 0
		}
		return 150
	})
	hr := heartRate(r, 100)
	for c, v := range hr {
		if unknown := c < 20; math.IsNaN(v) != unknown || !unknown && v != 150 {
			t.Errorf("cell %d is %g", c, v)
		}
	}
	// Kept from a quarter of the records on.
	for share, want := range map[int]bool{24: false, 26: true} {
		r.HeartRate = stream(r, func(t float64) float64 {
			if t >= float64(share) {
				return math.NaN()
			}
			return 150
		})
		if got := heartRate(r, 100) != nil; got != want {
			t.Errorf("heart rate in %d of 101 records is used: %v", share, got)
		}
	}
}
