package segment

import (
	"path/filepath"
	"slices"
	"strings"

	"example.org/rungs/segment/recording"
)

// A lender is an open recording without reps whose unrest others borrow: how speed varies
// about its median over a minute and a half, as ratios, one for each second of running.
type lender struct {
	name        string
	ways, shown []float64 // by the odometer and by device speed
}

// lendersIn are the open recordings in a folder that hold ten minutes of running.
func lendersIn(dir string) (out []lender) {
	if dir == "" {
		return nil
	}
	files, _ := filepath.Glob(filepath.Join(dir, "real-*.csv"))
	for _, path := range files {
		name := strings.TrimSuffix(filepath.Base(path), ".csv")
		if strings.HasPrefix(name, "real-eye") || strings.HasPrefix(name, "real-lap") {
			continue
		}
		list, err := recording.Open(path)
		if err != nil {
			continue
		}
		r := list[0]
		l := lender{name: name}
		l.ways = unrestOf(r, func(i int) (float64, bool) {
			a, ok1 := r.Distance.At(i - 1)
			b, ok2 := r.Distance.At(i)
			dt := r.T[i] - r.T[i-1]
			return (b - a) / dt, ok1 && ok2 && dt < 16
		})
		l.shown = unrestOf(r, func(i int) (float64, bool) {
			v, ok := r.Speed.At(i)
			return v, ok && v > 0
		})
		if len(l.ways) >= 600 {
			out = append(out, l)
		}
	}
	return out
}

// unrestOf is how speed varies about its median over a minute and a half, as ratios, one for
// each second of running; stops and walks are left out.
func unrestOf(r *recording.Recording, speed func(i int) (float64, bool)) (out []float64) {
	var even []float64
	k := 0
	for s := 0.0; s < r.Duration(); s++ {
		for k+1 < r.Len()-1 && r.T[k+1] <= s {
			k++
		}
		if v, ok := speed(k + 1); ok {
			even = append(even, v)
		}
	}
	for i, v := range even {
		near := slices.Sorted(slices.Values(even[max(0, i-45):min(len(even), i+46)]))
		if m := near[len(near)/2]; m > 1.8 && v > 1.2 {
			out = append(out, min(max(v/m, 0.5), 1.6))
		}
	}
	return out
}

// lend makes each second of a simulated run as much faster or slower than its neighbours as
// that of the lender was, with device speed where it has one and that is wanted, else
// without.
func (l *lender) lend(r *recording.Recording, withSpeed bool, from int) {
	shown := l.shown
	if !withSpeed || len(shown) < 600 {
		shown = nil
	}
	borrow(r, l.ways, shown, from)
}

// borrow makes each second of a run as much faster or slower than its neighbours as ways
// say of the odometer and shown of device speed; an empty one takes device speed away.
func borrow(r *recording.Recording, ways, shown []float64, from int) {
	was, sum := 0.0, 0.0
	for i := range r.T {
		d, _ := r.Distance.At(i)
		at := int(r.T[i]) + from
		sum += (d - was) * ways[at%len(ways)]
		was, r.Distance.Value[i] = d, sum
		if v, ok := r.Speed.At(i); ok && len(shown) > 0 {
			r.Speed.Value[i] = v * shown[at%len(shown)]
		}
	}
	if len(shown) == 0 {
		r.Speed = recording.Stream{}
	}
}
