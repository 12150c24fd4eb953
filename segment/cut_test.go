package segment

import (
	"math"
	"testing"

	"example.org/rungs/segment/changepoint"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// TestCutIsOptimal: pieces cover the trace without a gap, none is shorter than the shortest,
// their means are those of the trace, and no split costs less: not that of the search, and
// none with one edge moved or left out.
func TestCutIsOptimal(t *testing.T) {
	checked := 0
	for i, kind := range simulate.Kinds() {
		s := kind.Make(uint64(i))
		devices := simulate.DevicesFor(s.Place)
		r, _ := simulate.Run(s, devices[i%len(devices)], uint64(i))
		tr := signal.Build(r)
		w := make([]float64, tr.Len())
		for c, known := range tr.Known {
			if known {
				w[c] = 1
			}
		}
		cost, err := changepoint.NewL2(tr.Effort, w)
		if err != nil {
			t.Fatal(err)
		}
		pieces := cut(tr.Effort, tr)
		penalty := finest(tr, tr.Effort)
		_, least, err := changepoint.Search(cost, penalty, shortest)
		if err != nil {
			t.Fatal(err)
		}
		sum, at := 0.0, 0
		for _, p := range pieces {
			if p.lo != at || p.hi-p.lo < shortest {
				t.Fatalf("%s: a piece from %d to %d after %d", kind.Name, p.lo, p.hi, at)
			}
			mean, known := 0.0, 0.0
			for c := p.lo; c < p.hi; c++ {
				mean, known = mean+w[c]*tr.Effort[c], known+w[c]
			}
			if known != p.w || known > 0 && math.Abs(mean/known-p.mean) > 1e-9 {
				t.Fatalf("%s: a piece of %g known cells at %g m/s, not %g at %g", kind.Name, p.w, p.mean, known, mean/known)
			}
			sum, at = sum+cost.Of(p.lo, p.hi), p.hi
		}
		if at != tr.Len() {
			t.Fatalf("%s: the pieces end at %d of %d", kind.Name, at, tr.Len())
		}
		if math.Abs(sum-least) > 1e-6*(1+least) {
			t.Errorf("%s: the pieces cost %.6f, the best split %.6f", kind.Name, sum, least)
		}
		for k := 1; k < len(pieces); k++ {
			a, b := pieces[k-1], pieces[k]
			own := cost.Of(a.lo, a.hi) + cost.Of(b.lo, b.hi)
			if own+penalty > cost.Of(a.lo, b.hi)+1e-6 {
				t.Errorf("%s: the edge at %d costs more than it saves", kind.Name, b.lo)
			}
			for m := a.lo + shortest; m <= b.hi-shortest; m++ {
				if cost.Of(a.lo, m)+cost.Of(m, b.hi) < own-1e-6 {
					t.Errorf("%s: the edge at %d were better at %d", kind.Name, b.lo, m)
					break
				}
			}
			checked++
		}
	}
	if checked < 500 {
		t.Errorf("only %d edges were checked", checked)
	}
}
