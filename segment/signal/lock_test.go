package signal

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// heartAndFeet is a heart at 150 and feet at 172 a minute for n seconds, the
// heart equal to the feet in the given spans.
func heartAndFeet(n int, locked ...recording.Span) (hr, cadence []float64) {
	hr, cadence = make([]float64, n), make([]float64, n)
	for i := range n {
		hr[i], cadence[i] = 150+3*math.Sin(float64(i)/30), 172+2*math.Sin(float64(i)/7)
		for _, s := range locked {
			if float64(i) >= s.StartS && float64(i) < s.EndS {
				hr[i] = cadence[i] + math.Mod(float64(i), 5) - 2
			}
		}
	}
	return hr, cadence
}

// The rule is ours: within 3 a minute in 85 % of a window of 90 s; thresholds
// from memory, no source.
func TestLocks(t *testing.T) {
	for _, c := range []struct {
		name   string
		n      int
		locked []recording.Span
		change func(hr, cadence []float64)
		want   []recording.Span
	}{
		{name: "free", n: 1800},
		{name: "for five minutes", n: 1800, locked: []recording.Span{{StartS: 600, EndS: 900}}, want: []recording.Span{{StartS: 600, EndS: 900}}},
		{name: "to the end", n: 1800, locked: []recording.Span{{StartS: 1500, EndS: 1800}}, want: []recording.Span{{StartS: 1500, EndS: 1800}}},
		{name: "twice", n: 1800, locked: []recording.Span{{StartS: 300, EndS: 500}, {StartS: 900, EndS: 1100}},
			want: []recording.Span{{StartS: 300, EndS: 500}, {StartS: 900, EndS: 1100}}},
		{name: "two that are nearly one", n: 1800, locked: []recording.Span{{StartS: 300, EndS: 500}, {StartS: 510, EndS: 700}},
			want: []recording.Span{{StartS: 300, EndS: 700}}},
		{name: "a minute by chance", n: 1800, locked: []recording.Span{{StartS: 600, EndS: 660}}},
		{name: "too short a run", n: 80, locked: []recording.Span{{StartS: 0, EndS: 80}}},
		{name: "while walking", n: 1800, locked: []recording.Span{{StartS: 600, EndS: 900}}, change: func(hr, cadence []float64) {
			for i := range hr {
				hr[i], cadence[i] = hr[i]-60, cadence[i]-60
			}
		}},
		{name: "heart rate mostly unknown", n: 1800, locked: []recording.Span{{StartS: 600, EndS: 900}}, change: func(hr, _ []float64) {
			for i := range hr {
				if i%2 == 0 {
					hr[i] = math.NaN()
				}
			}
		}},
		{name: "four beats off", n: 1800, locked: []recording.Span{{StartS: 600, EndS: 900}}, change: func(hr, cadence []float64) {
			for i := range hr {
				if i >= 600 && i < 900 {
					hr[i] = cadence[i] + 4
				}
			}
		}},
	} {
		t.Run(c.name, func(t *testing.T) {
			hr, cadence := heartAndFeet(c.n, c.locked...)
			if c.change != nil {
				c.change(hr, cadence)
			}
			got := locks(hr, cadence)
			if len(got) != len(c.want) {
				t.Fatalf("%v, want %v", got, c.want)
			}
			total := 0.0
			for i, s := range got {
				// A window may begin and end 15 % of its length outside.
				near(t, "a start", s.StartS, c.want[i].StartS, 14)
				near(t, "an end", s.EndS, c.want[i].EndS, 14)
				total += s.Seconds()
			}
			tr := &Trace{Speed: make([]float64, c.n), Locked: got}
			near(t, "the share", tr.LockedShare(), total/float64(c.n), 1e-12)
		})
	}
	hr, cadence := heartAndFeet(600, recording.Span{StartS: 0, EndS: 600})
	if locks(nil, cadence) != nil || locks(hr, nil) != nil {
		t.Error("something is locked to nothing")
	}
}

// slowLocks is the rule as it is said: each window by itself, then the union.
func slowLocks(hr, cadence []float64) []recording.Span {
	var out []recording.Span
	for lo := 0; lo+90 <= len(hr); lo++ {
		same, all := 0, 0
		for i := lo; i < lo+90; i++ {
			if cadence[i] > 120 && !math.IsNaN(hr[i]) {
				all++
				if math.Abs(hr[i]-cadence[i]) <= 3 {
					same++
				}
			}
		}
		if all < 67 || float64(same) < 0.85*float64(all) {
			continue
		}
		if k := len(out) - 1; k >= 0 && float64(lo) <= out[k].EndS {
			out[k].EndS = float64(lo + 90)
		} else {
			out = append(out, recording.Span{StartS: float64(lo), EndS: float64(lo + 90)})
		}
	}
	return out
}

// Simulated optical sensors that lock for 3 to 15 minutes, and some that do not.
func TestLocksOfSimulatedRuns(t *testing.T) {
	d, ok := simulate.DeviceNamed("watch in the city")
	if !ok {
		t.Fatal("no such device")
	}
	k, ok := simulate.KindNamed("4 minute reps")
	if !ok {
		t.Fatal("no such kind")
	}
	found := 0
	for seed := range uint64(6) {
		d.LockP = 1
		r, _ := simulate.Run(k.Make(seed), d, seed)
		tr := Build(r)
		want := slowLocks(tr.HeartRate, tr.Cadence)
		if len(want) != len(tr.Locked) {
			t.Errorf("seed %d: %v, want %v", seed, tr.Locked, want)
		}
		for i := range min(len(want), len(tr.Locked)) {
			if tr.Locked[i] != want[i] {
				t.Errorf("seed %d: %v, want %v", seed, tr.Locked[i], want[i])
			}
		}
		if tr.LockedShare() > 0.03 {
			found++
		}
	}
	if found < 5 {
		t.Errorf("%d of 6 locked runs were found", found)
	}
}
