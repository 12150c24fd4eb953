package simulate

import (
	"bytes"
	"encoding/gob"
	"math"
	"sync"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/rungs/segment/recording"
)

// catalogue is a run of each kind on each device that suits it, made once.
var catalogue = sync.OnceValue(func() []run {
	var out []run
	for i, k := range Kinds() {
		s := k.Make(uint64(i))
		for j, d := range DevicesFor(s.Place) {
			r, truth := Run(s, d, uint64(100*i+j))
			out = append(out, run{s, d, r, truth})
		}
	}
	return out
})

type run struct {
	s     Session
	d     Device
	r     *recording.Recording
	truth Truth
}

// everyRun calls f with each run of the catalogue.
func everyRun(t *testing.T, f func(t *testing.T, s Session, d Device, r *recording.Recording, truth Truth)) {
	t.Helper()
	for _, x := range catalogue() {
		t.Run(x.s.Name+"/"+x.d.Name, func(t *testing.T) { f(t, x.s, x.d, x.r, x.truth) })
	}
}

func TestRunIsDeterministic(t *testing.T) {
	for i, k := range Kinds() {
		s := k.Make(uint64(i))
		ds := DevicesFor(s.Place)
		d := ds[i%len(ds)]
		a, ta := Run(s, d, uint64(i))
		b, tb := Run(k.Make(uint64(i)), d, uint64(i))
		if !bytes.Equal(bitsOf(t, a), bitsOf(t, b)) { // to compare them field by field takes seconds
			t.Errorf("recordings of %s differ:\n%s", k.Name, cmp.Diff(a, b, cmpopts.EquateNaNs()))
		}
		if x := cmp.Diff(ta, tb, cmpopts.EquateNaNs()); x != "" {
			t.Errorf("truths of %s differ:\n%s", k.Name, x)
		}
		if c, _ := Run(s, d, uint64(i)+1); bytes.Equal(bitsOf(t, a), bitsOf(t, c)) {
			t.Errorf("%s: another seed gives the same recording", k.Name)
		}
	}
}

// bitsOf is a recording as bytes; what is no number has bits, too.
func bitsOf(t *testing.T, r *recording.Recording) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := gob.NewEncoder(&b).Encode(r); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTruthIsConsistent(t *testing.T) {
	everyRun(t, func(t *testing.T, s Session, d Device, r *recording.Recording, truth Truth) {
		if len(truth.Legs) != len(s.Legs) {
			t.Fatalf("%d true legs of %d meant", len(truth.Legs), len(s.Legs))
		}
		at, sum, rep := 0.0, 0.0, 0
		for i, l := range truth.Legs {
			if l.StartS != at || l.EndS <= l.StartS {
				t.Errorf("leg %d runs from %g to %g after one that ended at %g", i, l.StartS, l.EndS, at)
			}
			at = l.EndS
			sum += l.DistanceM
			if l.Role == work {
				if rep++; l.Rep != rep || l.Set < 1 {
					t.Errorf("leg %d is set %d rep %d, want rep %d", i, l.Set, l.Rep, rep)
				}
			}
			if p := l.DistanceM / 1000 * l.PaceSPerKm; l.DistanceM > 50 && math.Abs(p-(l.EndS-l.StartS)) > 1e-6 {
				t.Errorf("leg %d: pace %g over %g m is not %g s", i, l.PaceSPerKm, l.DistanceM, l.EndS-l.StartS)
			}
		}
		if diff := at - r.Duration(); diff < 0 || diff > 1+1e-9 {
			t.Errorf("truth ends at %g, the recording at %g", at, r.Duration())
		}
		if n := r.Distance.Count(); n > 0 {
			odo := r.Distance.Value[len(r.T)-1]
			if d.PauseP == 0 && math.Abs(odo/truth.Scale/sum-1) > 0.03 {
				t.Errorf("odometer %g, scale %g, truth %g m", odo, truth.Scale, sum)
			}
		}
	})
}

func TestRecordingIsWellFormed(t *testing.T) {
	everyRun(t, func(t *testing.T, s Session, d Device, r *recording.Recording, _ Truth) {
		last := 0.0
		for i, x := range r.T {
			if i > 0 && x <= r.T[i-1] {
				t.Fatalf("time %g after %g", x, r.T[i-1])
			}
			if v, ok := r.Distance.At(i); ok {
				if v < last {
					t.Fatalf("odometer falls from %g to %g at %g s", last, v, x)
				}
				last = v
			}
		}
		at := 0.0
		for _, l := range r.Laps {
			if l.StartS != at || l.EndS <= at {
				t.Errorf("lap %g to %g after %g", l.StartS, l.EndS, at)
			}
			at = l.EndS
		}
		if at != r.Duration() {
			t.Errorf("laps end at %g, recording at %g", at, r.Duration())
		}
	})
}

func TestCatalogueIsLargeEnough(t *testing.T) {
	structured, loose := 0, 0
	seen := map[string]bool{}
	for _, k := range Kinds() {
		if seen[k.Name] {
			t.Errorf("two kinds are called %q", k.Name)
		}
		seen[k.Name] = true
		s := k.Make(1)
		if s.Structured != k.Structured || s.Structured != (s.Notation != "") {
			t.Errorf("%s: structured %v, notation %q", k.Name, s.Structured, s.Notation)
		}
		if k.Structured {
			structured++
		} else {
			loose++
		}
	}
	if structured < 28 || loose < 12 || structured+loose < 40 {
		t.Errorf("%d structured and %d unstructured kinds", structured, loose)
	}
}

func BenchmarkRun(b *testing.B) {
	k, _ := KindNamed("4 minute reps")
	s := k.Make(3)
	d, _ := DeviceNamed("good watch, open sky")
	var hours float64
	for i := 0; b.Loop(); i++ {
		r, _ := Run(s, d, uint64(i))
		hours += r.Duration() / 3600
	}
	b.ReportMetric(hours/float64(b.N), "hours/op")
}
