package segment

import (
	"cmp"
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// TestOnsetErrors holds the errors told of edges, without lap presses, to the simulated truth: of the edges that are said to
// be sharp, middling and vague, 95 % intervals hold nearly as many as they should. These are the kinds and seeds on which the
// constants were fitted.
func TestOnsetErrors(t *testing.T) {
	type seen struct{ err, se float64 }
	var list []seen
	for _, d := range append(simulate.Devices(), simulate.FurtherDevices()...) {
		for i := uint64(0); i < 12; i++ {
			seed := 5_000_000 + i
			s := simulate.Grammar(seed)
			for d.Indoor != (s.Place == recording.Treadmill) {
				seed += 1_000_003
				s = simulate.Grammar(seed)
			}
			r, truth := simulate.Run(s, d, seed)
			tr := signal.Build(r)
			j, best, ok, _ := read(r, tr)
			if !ok || tr.Source == signal.Nothing {
				continue
			}
			best = j.sharpen(best, nil)
			for _, l := range truth.Legs {
				for k := range best.starts {
					a, b := best.starts[k], best.ends[k]
					both := math.Min(b.at, l.EndS) - math.Max(a.at, l.StartS)
					either := math.Max(b.at, l.EndS) - math.Min(a.at, l.StartS)
					if l.Role == string(Work) && both > 0.75*either {
						list = append(list, seen{a.at - l.StartS, a.se}, seen{b.at - l.EndS, b.se})
					}
				}
			}
		}
	}
	slices.SortFunc(list, func(a, b seen) int { return cmp.Compare(a.se, b.se) })
	for k, what := range []string{"sharp", "middling", "vague"} {
		part := list[k*len(list)/3 : (k+1)*len(list)/3]
		in := 0
		for _, e := range part {
			if math.Abs(e.err) < 1.96*e.se {
				in++
			}
		}
		c := float64(in) / float64(len(part))
		t.Logf("%s edges, of errors up to %.2f s: 95 %% intervals hold %.3f of %d", what, part[len(part)-1].se, c, len(part))
		if c < 0.9 || c > 0.99 {
			t.Errorf("%s edges: 95 %% intervals hold %.3f", what, c)
		}
	}
}

// TestEdgesBesidePauses: a watch whose timer stands still when the runner does shows nothing of how its speed comes down, and
// shows it from some seconds after the start on. Reps end where the runner stops and begin where he starts.
func TestEdgesBesidePauses(t *testing.T) {
	d, _ := simulate.DeviceNamed("good watch, open sky")
	d.AutoPause, d.Laps, d.LagDownS = true, simulate.NoLaps, 6
	k, _ := simulate.KindNamed("standing rests")
	n, late := 0, [2]float64{}
	for seed := uint64(1); seed <= 12; seed++ {
		r, truth := simulate.Run(k.Make(seed), d, seed)
		s, err := Split(r)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Stops) < 3 {
			t.Fatalf("seed %d: the timer stood still %d times", seed, len(r.Stops))
		}
		spans := workSpans(truth)
		for _, g := range s.Segments {
			if g.Role != Work || g.Rep < 2 || g.Rep >= len(spans) {
				continue
			}
			t := spans[g.Rep-1]
			late[0], late[1], n = late[0]+math.Abs(g.StartS-t.StartS), late[1]+math.Abs(g.EndS-t.EndS), n+1
		}
	}
	if n < 30 {
		t.Fatalf("only %d reps", n)
	}
	for i, what := range []string{"starts", "ends"} {
		if off := late[i] / float64(n); off > 0.9 {
			t.Errorf("%s of %d reps are off by %.2f s in the mean", what, n, off)
		} else {
			t.Logf("%s of %d reps are off by %.2f s in the mean", what, n, off)
		}
	}
}

// TestOtherBelts: belts change their speed at rates of their own, and who steps off one stands at once. Edges are where the
// change begins, whatever the rate.
func TestOtherBelts(t *testing.T) {
	for _, c := range []struct {
		name     string
		up, down float64 // s that a change of 1.5 m/s takes
	}{{"the usual belt", 5, 3.75}, {"a quick belt", 2.5, 1}, {"a slow belt", 6.5, 4.9}, {"stepping on and off", 0.5, 0.5}} {
		const n, low, high = 1800, 2.7, 4.2
		fine := make([]float64, 10*n) // tenths of a second
		var starts, ends []float64
		at := 200
		for k := range 8 {
			starts, ends = append(starts, float64(at)+0.1*float64(k)), append(ends, float64(at)+90+0.07*float64(k))
			at += 180
		}
		for i := range fine {
			x := float64(i) / 10
			fine[i] = low
			for k := range starts {
				switch {
				case x >= ends[k] && x < ends[k]+c.down:
					fine[i] = high - (high-low)*(x-ends[k])/c.down
				case x >= starts[k] && x < ends[k]:
					fine[i] = low + (high-low)*math.Min(1, (x-starts[k])/c.up)
				}
			}
		}
		speed, dist := make([]float64, n), make([]float64, n+1)
		for i := range speed {
			for k := range 10 {
				speed[i] += fine[10*i+k] / 10
			}
			dist[i+1] = dist[i] + speed[i]
		}
		j := judgeOf(speed, 0.05)
		j.belt, j.tr.Step, j.tr.Dist, j.tr.Source = true, 1, dist, signal.Odometer
		var meets [][2]piece
		var want []float64
		last := 0
		for k := range starts {
			a, b := int(starts[k])+3, int(ends[k])+3 // as a search cuts them
			next := n
			if k+1 < len(starts) {
				next = int(starts[k+1]) + 3
			}
			before, rep, after := j.piece(last, a), j.piece(a, b), j.piece(b, next)
			meets, want = append(meets, [2]piece{before, rep}, [2]piece{rep, after}), append(want, starts[k], ends[k])
			last = b
		}
		var off [2]float64
		for i, e := range j.onStream(meets) {
			off[i%2] += (e.at - want[i]) / float64(len(starts))
		}
		if math.Abs(off[0]) > 0.5 || math.Abs(off[1]) > 0.5 {
			t.Errorf("%s: starts are off by %+.2f s, ends by %+.2f s", c.name, off[0], off[1])
		} else {
			t.Logf("%s: starts are off by %+.2f s, ends by %+.2f s", c.name, off[0], off[1])
		}
	}
}
