package signal

import (
	"maps"
	"slices"
	"testing"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

func sortedKeys[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

// TestCommonSense holds of every recording there is: no minute is quicker than anyone ever ran
// one but where that is told, nobody stands who covers more than 0.8 m/s, and the cells add up to
// the whole.
func TestCommonSense(t *testing.T) {
	all := openRecordings(t, "real-*.csv")
	for _, d := range append(simulate.Devices(), simulate.FurtherDevices()...) {
		for i, k := range simulate.Kinds() {
			if i%6 != len(d.Name)%6 {
				continue
			}
			s := k.Make(5)
			s.Place = recording.Outdoors
			if d.Indoor {
				s.Place = recording.Treadmill
			}
			all[d.Name+": "+k.Name], _ = simulate.Run(s, d, 5)
		}
	}
	stood := 0
	for _, name := range sortedKeys(all) {
		tr := Build(all[name])
		if tr.Source == Nothing {
			continue
		}
		told := make([]bool, tr.Len())
		for _, f := range tr.Faults {
			for c := max(0, int(f.StartS)); c < min(tr.Len(), int(f.EndS)+1); c++ {
				told[c] = true
			}
		}
		for lo := 0; lo+60 <= tr.Len(); lo++ {
			if v := (tr.Dist[lo+60] - tr.Dist[lo]) / 60; v > ability.Runnable(60) && !slices.Contains(told[lo:lo+60], true) {
				t.Errorf("%s: %.1f m/s in the minute from %d s", name, v, lo)
				break
			}
		}
		for lo := 0; lo < tr.Len(); lo++ {
			hi := lo
			for hi < tr.Len() && tr.Speed[hi] < 0.5 {
				hi++
			}
			if hi-lo >= 10 {
				stood++
				if v := (tr.Dist[hi] - tr.Dist[lo]) / float64(hi-lo); v > 0.8 {
					t.Errorf("%s: %.2f m/s while standing from %d to %d s", name, v, lo, hi)
				}
			}
			lo = max(lo, hi)
		}
		sum := 0.0
		for c := range tr.Len() {
			sum += tr.Dist[c+1] - tr.Dist[c]
		}
		near(t, name+": the sum of the cells", sum, tr.Dist[tr.Len()], 1e-6*(1+sum))
	}
	t.Logf("%d recordings, %d stretches of standing", len(all), stood)
	if len(all) < 100 || stood < 100 {
		t.Errorf("only %d recordings and %d stretches of standing", len(all), stood)
	}
}
