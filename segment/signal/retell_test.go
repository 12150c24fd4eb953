package signal

import (
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// openRecordings are the files of the folder of open recordings that match, which is not part of the
// project: RUNGS_DATA, or shared/data beside the module. None where it is not there.
func openRecordings(t *testing.T, pattern string) map[string]*recording.Recording {
	t.Helper()
	dir := os.Getenv("RUNGS_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data")
	}
	paths, err := filepath.Glob(filepath.Join(dir, pattern))
	if err != nil {
		t.Fatal(err)
	}
	out := map[string]*recording.Recording{}
	for _, p := range paths {
		p = strings.TrimSuffix(p, ".truth.tsv")
		p = strings.TrimSuffix(p, ".csv") + ".csv"
		list, err := recording.Open(p)
		if err != nil {
			t.Fatal(err)
		}
		out[strings.TrimSuffix(filepath.Base(p), ".csv")] = list[0]
	}
	return out
}

// A retelling is a recording told by fewer of its streams, or nil where it cannot be.
type retelling struct {
	name string
	of   func(r *recording.Recording) *recording.Recording
}

// retellings are those that must not change what was run.
func retellings() []retelling {
	only := func(distance, speed, positions bool) func(r *recording.Recording) *recording.Recording {
		return func(r *recording.Recording) *recording.Recording {
			q := *r
			drop := func(keep bool, list ...*recording.Stream) (had bool) {
				for _, s := range list {
					had = had || s.Count() > 0
					if !keep {
						*s = recording.Stream{}
					}
				}
				return had || !keep
			}
			if !drop(distance, &q.Distance) || !drop(speed, &q.Speed) || !drop(positions, &q.Latitude, &q.Longitude) {
				return nil
			}
			return &q
		}
	}
	return []retelling{
		{"distance only", only(true, false, false)},
		{"speed only", only(false, true, false)},
		{"every fifth record", func(r *recording.Recording) *recording.Recording {
			if medianStep(r.T) > 1.5 {
				return nil
			}
			return thinned(r, 5)
		}},
		{"positions only", only(false, false, true)},
	}
}

// thinned keeps every so many records, and the last.
func thinned(r *recording.Recording, every int) *recording.Recording {
	q := *r
	q.T = nil
	var at []int
	for i := range r.T {
		if i%every == 0 || i == r.Len()-1 {
			at, q.T = append(at, i), append(q.T, r.T[i])
		}
	}
	for _, s := range []*recording.Stream{&q.Distance, &q.Speed, &q.HeartRate, &q.Cadence, &q.Altitude, &q.Latitude, &q.Longitude} {
		if s.Value == nil {
			continue
		}
		thin := recording.MakeStream(len(at))
		for k, i := range at {
			if v, ok := s.At(i); ok {
				thin.Set(k, v)
			}
		}
		*s = thin
	}
	return &q
}

// apart is by how much two traces of one run differ: the root mean square of speeds over 10 s, m/s, where
// both know, in units of the first one's distance; and of the whole distance, as a share.
func apart(a, b *Trace) (mps, share float64) {
	total := func(tr *Trace) float64 { return tr.DistanceAt(float64(tr.Len())) }
	scale := total(a) / total(b)
	sum, k := 0.0, 0.0
	for lo := 10; lo+20 < min(a.Len(), b.Len()); lo += 5 {
		known := true
		for c := lo; c < lo+10; c++ {
			known = known && a.Known[c] && b.Known[c]
		}
		if known {
			x, y := float64(lo), float64(lo+10)
			sum, k = sum+sq((a.RunBy(y)-a.RunBy(x)-scale*(b.RunBy(y)-b.RunBy(x)))/10), k+1
		}
	}
	return math.Sqrt(sum / max(k, 1)), 1/scale - 1
}

// TestSameness tells recordings again by fewer of their streams and compares the traces with those of
// all streams. With -v it prints a row for each. The limits are a little wider than what was
// measured.
func TestSameness(t *testing.T) {
	var rows []told
	open := openRecordings(t, "real-*.truth.tsv")
	for _, name := range sortedKeys(open) {
		rows = append(rows, told{name, open[name]})
	}
	for i, name := range []string{"good watch, open sky", "older watch, every second", "watch in the city", "watch leading through steps", "watch with foot sensor"} {
		d, ok := simulate.DeviceNamed(name)
		if !ok {
			t.Fatalf("no device is called %q", name)
		}
		rows = append(rows, simulated(t, d, i)...)
	}
	for i, d := range simulate.FurtherDevices() {
		if !d.Indoor && d.Distance && d.OweS == 0 {
			rows = append(rows, simulated(t, d, i)...)
		}
	}
	sums, n := map[string]float64{}, map[string]float64{}
	for _, x := range rows {
		whole := Build(x.r)
		line := fmt.Sprintf("| %-55s |", x.name)
		for _, tell := range retellings() {
			q := tell.of(x.r)
			if q == nil {
				line += "           - |"
				continue
			}
			mps, share := apart(whole, Build(q))
			line += fmt.Sprintf(" %.2f %+.1f %% |", mps, 100*share)
			if strings.HasPrefix(x.name, "real-") {
				continue
			}
			sums[tell.name] += sq(mps)
			n[tell.name]++
			if math.Abs(share) > 0.06 {
				t.Errorf("%s, %s: the distance is %+.1f %%", x.name, tell.name, 100*share)
			}
		}
		t.Log(line)
	}
	for name, limit := range map[string]float64{"distance only": 0.25, "speed only": 0.1, "every fifth record": 0.08, "positions only": 0.25} {
		got := math.Sqrt(sums[name] / n[name])
		t.Logf("%s: %.3f m/s apart over 10 s in %.0f simulated sessions", name, got, n[name])
		if !(got < limit) {
			t.Errorf("%s: %.3f m/s apart over 10 s, want less than %g", name, got, limit)
		}
	}
}

// A told is a recording and what it is called.
type told struct {
	name string
	r    *recording.Recording
}

// simulated are two sessions on a device.
func simulated(t *testing.T, d simulate.Device, i int) []told {
	t.Helper()
	var out []told
	for _, kind := range []string{"1000s on the road", "short 30/30"} {
		k, ok := simulate.KindNamed(kind)
		if !ok {
			t.Fatalf("no kind is called %q", kind)
		}
		s := k.Make(uint64(70 + i))
		s.Place = recording.Outdoors
		r, _ := simulate.Run(s, d, uint64(70+i))
		out = append(out, told{d.Name + ": " + kind, r})
	}
	return out
}
