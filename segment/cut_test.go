package segment

import (
	"math"
	"testing"

	"example.org/rungs/segment/changepoint"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// TestCutTwin holds the search over pairs of cells to the exact one over single cells:
// hardly dearer, with the same clear edges, and of pieces no shorter.
func TestCutTwin(t *testing.T) {
	var clear, same int
	var dearer []float64 // shares
	for i, kind := range simulate.Kinds() {
		s := kind.Make(uint64(i))
		devices := simulate.DevicesFor(s.Place)
		r, _ := simulate.Run(s, devices[i%len(devices)], uint64(i))
		tr := signal.Build(r)
		n := len(tr.Effort)
		w := make([]float64, n)
		for c, known := range tr.Known {
			if known {
				w[c] = 1
			}
		}
		cost, err := changepoint.NewL2(tr.Effort, w)
		if err != nil {
			t.Fatal(err)
		}
		penalty := finest(tr, tr.Effort)
		exact, total, err := changepoint.Search(cost, penalty, changepoint.Options{MinLen: shortest})
		if err != nil {
			t.Fatal(err)
		}
		total += penalty * float64(len(exact))
		if len(exact) > mostPieces {
			continue // a coarser split is made then
		}
		pieces := cut(tr.Effort, tr)
		sum := -penalty
		edges := map[int]bool{}
		for k, p := range pieces {
			sum += cost.Of(p.lo, p.hi) + penalty
			edges[p.lo] = true
			if k > 0 && p.lo != pieces[k-1].hi || p.hi-p.lo < shortest-1 {
				t.Fatalf("%s: pieces %+v", kind.Name, pieces)
			}
		}
		if sum < total-1e-6 {
			t.Errorf("%s: costs %.6f, less than the optimum %.6f", kind.Name, sum, total)
		}
		dearer = append(dearer, sum/total-1)
		for _, at := range exact {
			lo, hi := max(0, at-shortest), min(n, at+shortest)
			if math.Abs(cost.Mean(lo, at)-cost.Mean(at, hi)) < 0.5 {
				continue
			}
			clear++
			if edges[at-1] || edges[at] || edges[at+1] {
				same++
			}
		}
	}
	typical := median(dearer)
	worst := dearer[len(dearer)-1]
	t.Logf("%.2f %% dearer, at most %.2f %%; %d of %d clear edges within a cell", 100*typical, 100*worst, same, clear)
	if typical > 0.01 || worst > 0.1 || clear < 500 || float64(same) < 0.97*float64(clear) {
		t.Errorf("%.2f %% dearer, at most %.2f %%; %d of %d clear edges within a cell", 100*typical, 100*worst, same, clear)
	}
}
