package block

import (
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"

	"example.org/rungs/segment"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/report"
)

// leastTimeSlowly tries every begin on a fine grid.
func leastTimeSlowly(way []float64, metres float64) float64 {
	at := func(t float64) float64 {
		i := min(int(t), len(way)-2)
		return way[i] + (t-float64(i))*(way[i+1]-way[i])
	}
	best := math.Inf(1)
	n := float64(len(way) - 1)
	const step = 1. / 16
	for from := 0.0; from <= n; from += step {
		lo, hi := from, n
		if at(n)-at(from) < metres {
			break
		}
		for range 50 {
			if mid := (lo + hi) / 2; at(mid)-at(from) >= metres {
				hi = mid
			} else {
				lo = mid
			}
		}
		best = min(best, hi-from)
	}
	return best
}

// The quickest stretch is never slower than one on a fine grid, and exists.
func TestLeastTimeAgainstSlowTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		steps := rapid.SliceOfN(rapid.SampledFrom([]float64{0, 0, 1, 2.5, 3, 4, 6.25}), 1, 60).Draw(t, "metres a second")
		way := []float64{0}
		for _, d := range steps {
			way = append(way, way[len(way)-1]+d)
		}
		metres := rapid.SampledFrom([]float64{1, 7, 40, 100}).Draw(t, "metres")
		q, ok := leastTime(way, metres)
		slow := leastTimeSlowly(way, metres)
		if ok != !math.IsInf(slow, 1) {
			t.Fatalf("found %v, slowly %v", ok, slow)
		}
		if !ok {
			return
		}
		if q.Seconds > slow+1e-9 {
			t.Fatalf("%.6f s, slowly %.6f s", q.Seconds, slow)
		}
		at := func(t float64) float64 {
			i := min(int(t), len(way)-2)
			return way[i] + (t-float64(i))*(way[i+1]-way[i])
		}
		if got := at(q.StartS+q.Seconds) - at(q.StartS); got < metres-1e-6 || q.StartS < 0 || q.StartS+q.Seconds > float64(len(steps))+1e-9 {
			t.Fatalf("from %.4f for %.4f s are %.6f m", q.StartS, q.Seconds, got)
		}
	})
}

func TestMostMetresAgainstSlowTwin(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		way := []float64{0}
		for _, d := range rapid.SliceOfN(rapid.SampledFrom([]float64{0, 1, 2.5, 3, 4}), 1, 60).Draw(t, "metres a second") {
			way = append(way, way[len(way)-1]+d)
		}
		seconds := rapid.IntRange(1, 70).Draw(t, "seconds")
		q, ok := mostMetres(way, seconds)
		best := 0.0
		for i := range way {
			for j := i; j < len(way); j++ {
				if j-i == seconds {
					best = max(best, way[j]-way[i])
				}
			}
		}
		if ok != (best > 0) || ok && q.Metres != best {
			t.Fatalf("%v %.3f, slowly %.3f", ok, q.Metres, best)
		}
	})
}

// A run at 3 m/s with one kilometre at 4 m/s: the kilometre took 250 s, and of
// any longer stretch the rest was at 3 m/s. A jump of the position by 100 m is
// no 400 m in half a minute.
func TestQuickestOfKnownRun(t *testing.T) {
	rec := steady(2000, func(t float64) float64 {
		if t >= 600 && t < 850 {
			return 4
		}
		return 3
	}, even(150))
	for i := 1500; i < rec.Len(); i++ {
		rec.Distance.Value[i] += 100
	}
	got := map[string]Quickest{}
	for _, q := range summarise(t, rec).Quickest {
		got[q.Length] = q
	}
	near(t, "400 m", got["400 m"].Seconds, 100, 0.01)
	near(t, "1000 m", got["1000 m"].Seconds, 250, 0.01)
	near(t, "1000 m from", got["1000 m"].StartS, 600, 1)
	near(t, "mile", got["mile"].Seconds, 250+609.344/3, 0.01)
	near(t, "5 km", got["5 km"].Seconds, 250+4000./3, 0.5)
	near(t, "1:00", got["1:00"].Metres, 240, 0.01)
	near(t, "5:00", got["5:00"].Metres, 1000+150, 0.01)
	near(t, "20:00", got["20:00"].Metres, 1000+2850, 1)
}

// Seconds of which nothing is known add nothing.
func TestUnknownSecondsAreNotQuick(t *testing.T) {
	rec := steady(900, even(3), even(150))
	var tr *signal.Trace
	// A hole of 60 s in which the odometer grew by 600 m.
	keep := 0
	for i := range rec.T {
		if rec.T[i] > 300 && rec.T[i] < 360 {
			continue
		}
		rec.T[keep], rec.Distance.Value[keep], rec.HeartRate.Value[keep] = rec.T[i], rec.Distance.Value[i], rec.HeartRate.Value[i]
		if rec.T[i] >= 360 {
			rec.Distance.Value[keep] += 420
		}
		keep++
	}
	rec.T, rec.Distance.Value, rec.Distance.Valid = rec.T[:keep], rec.Distance.Value[:keep], rec.Distance.Valid[:keep]
	rec.HeartRate.Value, rec.HeartRate.Valid = rec.HeartRate.Value[:keep], rec.HeartRate.Valid[:keep]
	s, err := segment.Split(rec)
	if err != nil {
		t.Fatal(err)
	}
	tr = s.Trace
	for _, q := range quickest(tr) {
		if q.Length == "400 m" {
			near(t, "400 m", q.Seconds, 400./3, 0.01)
		}
	}
}

// Without a word from the athlete the standard events are told, in the order of
// their length; else those of the athlete file, a time among them.
func TestQuickestAsTheAthleteAsks(t *testing.T) {
	rec := steady(1900, even(3), even(150)) // 5.7 km
	rec.Start = time.Date(2026, 9, 7, 7, 0, 0, 0, time.UTC)
	run := summarise(t, rec)
	lengths := func(a athlete.Athlete) (out []string) {
		for _, x := range New([]Run{run}, []Run{run}, a, Calendar{FirstDay: time.Monday}).Bests {
			out = append(out, x.Length)
		}
		return out
	}
	if got, want := lengths(athlete.New()), []string{"800 m", "1500 m", "mile", "3000 m", "5 km"}; !slices.Equal(got, want) {
		t.Errorf("told are %q, want %q", got, want)
	}
	asks, err := athlete.Parse("a", `quickest = ["12:00", "400m", "10km"]`)
	if err != nil {
		t.Fatal(err)
	}
	if got, want := lengths(asks), []string{"12:00", "400 m"}; !slices.Equal(got, want) {
		t.Errorf("told are %q, want %q", got, want)
	}
}

// Recordings without a date make no week; a table by pace is left out then.
func TestPacesWithoutAWeek(t *testing.T) {
	a, err := athlete.Parse("a", "[paces]\neasy = \"5:30/km\"\n[heart]\nmax = 190\n")
	if err != nil {
		t.Fatal(err)
	}
	undated := summarise(t, steady(1900, even(3), even(150)))
	undated.Start = time.Time{}
	for _, runs := range [][]Run{nil, {undated}} {
		b := New(runs, runs, a, Calendar{FirstDay: time.Monday})
		var out strings.Builder
		if err := b.Report(Telling{}).Text(&out, report.Page{}); err != nil {
			t.Fatal(err)
		}
		if len(b.Weeks) != 0 || strings.Contains(out.String(), "time by pace") {
			t.Errorf("%d recordings: %s", len(runs), out.String())
		}
	}
}
