package signal

import (
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// tape is a device without any error, which tells the true distance at each second.
var tape = simulate.Device{Name: "tape", EveryS: 1, Distance: true, DistanceStepM: 0.001, SpeedStepMPS: 0.001}

// repBorders part reps by their length, s.
var repBorders = [...]float64{100, 260, 620, math.Inf(1)}

// TestCoveredCovers holds the standard errors of reps, less the scale that the run has as a whole, to the
// simulated truth: with -v it prints which share of 95 % intervals hold the truth, for each
// device and four lengths of reps.
func TestCoveredCovers(t *testing.T) {
	kinds := []string{"1000s on the road", "4 minute reps", "short 30/30", "mile reps", "pyramid", "marathon-effort blocks", "cut-down 3-2-1 km", "two tempo blocks", "floats", "200s"}
	var inside, all [len(repBorders)]float64
	for _, d := range append(simulate.Devices(), simulate.FurtherDevices()...) {
		if !d.Distance && !d.Positions || d.OweS > 0 {
			continue // nothing to measure; a fault, which is told
		}
		var in, of [len(repBorders)]float64
		for _, name := range kinds {
			k, ok := simulate.KindNamed(name)
			if !ok {
				t.Fatalf("no kind is called %q", name)
			}
			for seed := uint64(8060); seed < 8062; seed++ {
				s := k.Make(seed)
				s.Place = recording.Outdoors
				if d.Indoor {
					s.Place = recording.Treadmill
				}
				for _, z := range repErrors(s, d, seed) {
					b := 0
					for z[0] > repBorders[b] {
						b++
					}
					of[b]++
					if math.Abs(z[1]) < 1.96 {
						in[b]++
					}
				}
			}
		}
		line, sumIn, sumOf := fmt.Sprintf("| %-44s |", d.Name), 0.0, 0.0
		for b := range of {
			line += fmt.Sprintf(" %3.0f %% of %2.0f |", 100*in[b]/of[b], of[b])
			inside[b], all[b] = inside[b]+in[b], all[b]+of[b]
			sumIn, sumOf = sumIn+in[b], sumOf+of[b]
		}
		t.Log(line)
		if sumIn < 0.8*sumOf {
			t.Errorf("%s: 95 %% intervals cover %.0f %%", d.Name, 100*sumIn/sumOf)
		}
	}
	for b, border := range repBorders {
		t.Logf("reps up to %g s: %.1f %% of %.0f", border, 100*inside[b]/all[b], all[b])
		if c := inside[b] / all[b]; !(c > 0.92 && c < 0.995) {
			t.Errorf("reps up to %g s: 95 %% intervals cover %.1f %%", border, 100*c)
		}
	}
}

// repErrors are the seconds of each rep of a session, and the error of its distance in standard errors.
func repErrors(s simulate.Session, d simulate.Device, seed uint64) (out [][2]float64) {
	recs, truth := simulate.RunAll(s, []simulate.Device{d, tape}, seed)
	late := int(recs[1].Start.Sub(recs[0].Start) / time.Second) // the tape is started so much later
	tr := Build(recs[0])
	last := recs[1].Len() - 6
	from, to := float64(late+5), float64(late+last)
	scale := (tr.RunBy(to) - tr.RunBy(from)) / (recs[1].Distance.Value[last] - recs[1].Distance.Value[5])
	for _, l := range truth.Legs {
		if l.Role == "work" && l.StartS > from && l.EndS < to {
			metres, se := tr.Covered(l.StartS, l.EndS)
			out = append(out, [2]float64{l.EndS - l.StartS, (metres/scale - l.DistanceM) / (se / scale)})
		}
	}
	return out
}
