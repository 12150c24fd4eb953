package segment

import (
	"slices"
	"strings"
	"sync/atomic"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// TestToldAmount: where minutes and kilometres fit alike, the step that the device led
// the runner through decides; a step that does not fit says nothing.
func TestToldAmount(t *testing.T) {
	work, _, outer := habits(recording.Outdoors)
	km, minutes := Amount{Metres: 1000}, Amount{Seconds: 300}
	lap := sight{seconds: 300.6, metres: 1001, shown: 1000.5, se: 0.8, noise: 3}
	for _, told := range []Amount{km, minutes} {
		lap.told = told
		if f := fitAmount([]sight{lap}, outer); f.amount != told || f.sure() < 0.98 {
			t.Errorf("led through %v: %+v, sure %.2f", told, f, f.sure())
		}
	}
	lap.told = Amount{}
	plain := fitAmount([]sight{lap}, outer)
	if s := plain.sure(); s > 0.9 {
		t.Errorf("not led: %+v is %.2f sure", plain, s)
	}
	for _, told := range []Amount{{Seconds: 600}, {Metres: 400}} {
		lap.told = told
		if f := fitAmount([]sight{lap}, outer); f != plain {
			t.Errorf("led through %v, ran something else: %+v, want %+v", told, f, plain)
		}
	}
	// All of a row must have been led through it.
	row := inMetres(1000/300.0, 1000, 1000, 1000)
	alone := fitAmount(row, work)
	row[0].told, row[1].told = minutes, minutes
	if f := fitAmount(row, work); f != alone {
		t.Errorf("two of three were led: %+v, want %+v", f, alone)
	}
	row[2].told = minutes
	if f := fitAmount(row, work); f.amount != minutes {
		t.Errorf("three of three were led: %+v", f)
	}
}

// TestLedSteps: laps take the amount of their step; open steps, repeats and laps of no
// step take none.
func TestLedSteps(t *testing.T) {
	r := &recording.Recording{
		Plan: &recording.Plan{Steps: []recording.PlanStep{
			{Index: 0, TimeS: 600}, {Index: 1, DistanceM: 800}, {Index: 2, TimeS: 90}, {Index: 3, Repeat: 2, BackTo: 1}, {Index: 4},
		}},
	}
	end := 0.0
	lap := func(step int, seconds float64) {
		r.Laps = append(r.Laps, recording.Lap{Span: recording.Span{StartS: end, EndS: end + seconds}, Step: step})
		end += seconds
	}
	lap(0, 600)
	lap(1, 180)
	lap(2, 90)
	lap(1, 182)
	lap(-1, 30)
	lap(3, 10)
	lap(9, 10)
	lap(4, 300)
	j := &judge{steps: ledSteps(r)}
	for _, tt := range []struct {
		from, to float64
		want     Amount
	}{
		{0, 604, Amount{Seconds: 600}}, {603, 778, Amount{Metres: 800}}, {780, 870, Amount{Seconds: 90}},
		{872, 1055, Amount{Metres: 800}}, {1052, 1082, Amount{}}, {1082, 1092, Amount{}}, {1102, 1402, Amount{}},
		{600, 870, Amount{}}, {592, 780, Amount{}}, {600, 790, Amount{}},
	} {
		if got := j.told(edge{at: tt.from}, edge{at: tt.to}); got != tt.want {
			t.Errorf("from %v to %v s: %v, want %v", tt.from, tt.to, got, tt.want)
		}
	}
	r.Plan = nil
	if got := ledSteps(r); got != nil {
		t.Errorf("without a plan: %v", got)
	}
}

// TestLedRunner: reps of one minute a lap of 300 m can be read in both units, but for a
// device that led through them.
func TestLedRunner(t *testing.T) {
	device, _ := simulate.DeviceNamed("watch leading through steps")
	for _, unit := range []string{"4 minute reps", "1000s on the road"} {
		kind, _ := simulate.KindNamed(unit)
		s := kind.Make(1)
		for i := range s.Legs {
			if l := &s.Legs[i]; l.Rep > 0 && l.Role == "work" { // 4:00 for 1 km
				l.StartMPS, l.EndMPS = 1000/240.0, 1000/240.0
			}
		}
		r, truth := simulate.Run(s, device, 1)
		got, err := Split(r)
		if err != nil {
			t.Fatal(err)
		}
		var amounts []Amount
		for _, b := range got.Structure {
			if b.Count > 1 && len(b.Body) == 1 {
				amounts = append(amounts, b.Body[0].Amount)
			}
		}
		for _, l := range truth.Legs {
			if want := (Amount{Seconds: l.MeantS, Metres: l.MeantM}); l.Role == "work" && (len(amounts) != 1 || amounts[0] != want) {
				t.Errorf("%s: %v, want %v", unit, amounts, want)
				break
			}
		}
	}
}

// TestLedWork: steps of work are reps unless all steps are work; laps that end within a step are its parts, and those of no
// step count for nothing.
func TestLedWork(t *testing.T) {
	type S = recording.Span
	lap := func(from, to float64, step int, i recording.Intensity) recording.Lap {
		return recording.Lap{Span: S{StartS: from, EndS: to}, Step: step, Intensity: i}
	}
	laps := []recording.Lap{
		lap(0, 600, 0, recording.WarmUp), lap(600, 800, 1, recording.Active), lap(800, 900, 1, recording.Active),
		lap(900, 960, 2, recording.Rest), lap(960, 1260, 1, recording.Active), lap(1260, 1300, -1, recording.Active),
	}
	if got, want := ledWork(laps), []S{{StartS: 600, EndS: 900}, {StartS: 960, EndS: 1260}}; !slices.Equal(got, want) {
		t.Errorf("led through %v, want %v", got, want)
	}
	if got := ledWork(laps[1:3]); got != nil {
		t.Errorf("nothing but work: %v, want none", got)
	}
	if got := ledWork([]recording.Lap{lap(0, 600, -1, recording.Active), lap(600, 700, -1, recording.Rest)}); got != nil {
		t.Errorf("no steps: %v, want none", got)
	}
}

// TestLed: what a device led through is the session, where the runner kept to it. On seeds that nothing was fitted to
// sessions are read as led (but for those that have nothing to compare with), and steady runs with the steps of another day
// have no reps.
func TestLed(t *testing.T) {
	const from, n = 92_000_000, 200
	d, _ := simulate.DeviceNamed("watch leading through steps")
	var led, right, ignored, quiet atomic.Int64
	parallel(n, func(i int) {
		seed := uint64(from + i)
		if s := simulate.Grammar(seed); s.Place != recording.Treadmill && !strings.HasSuffix(s.Name, "race") {
			r, truth := simulate.Run(s, d, seed)
			led.Add(1)
			if x := newSample("", s.Name, r, workSpans(truth)); x != nil && x.correct(&weights) {
				right.Add(1)
			}
		}
		if s := simulate.GrammarSteady(seed); s.Place != recording.Treadmill {
			r, _ := simulate.Run(s, d, seed)
			otherSteps(r, d, seed)
			ignored.Add(1)
			if len(repsOf(r)) == 0 {
				quiet.Add(1)
			}
		}
	})
	t.Logf("%d of %d sessions read as led, no reps in %d of %d steady runs with other steps", right.Load(), led.Load(), quiet.Load(), ignored.Load())
	if share := float64(right.Load()) / float64(led.Load()); share < 0.97 {
		t.Errorf("%.3f of the sessions are read as led, want at least .97", share)
	}
	if share := float64(quiet.Load()) / float64(ignored.Load()); share < 0.97 {
		t.Errorf("%.3f of the steady runs with other steps have no reps, want at least .97", share)
	}
}
