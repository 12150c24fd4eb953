package segment

import (
	"math"
	"math/rand/v2"
	"testing"
)

// TestBeatsTwin holds the search for a rhythm to a plain one that tries every way to lay
// reps, on 60 short series of noise with a rhythm in it.
func TestBeatsTwin(t *testing.T) {
	b := rhythm{work: 9, rest: 8, step: 1}
	leastW, costW := lengths(b.work, 2)
	leastR, costR := lengths(b.rest, 2)
	for seed := range uint64(60) {
		rng := rand.New(rand.NewPCG(seed, 1))
		n := 40 + rng.IntN(25)
		work, rest := make([]float64, n+1), make([]float64, n+1)
		for i := range n {
			v := rng.NormFloat64()
			if i%17 < 9 {
				v += 0.8
			}
			work[i+1], rest[i+1] = work[i]+v, rest[i]-v+0.3*rng.NormFloat64()
		}
		// plain is the most that can still be gained from cell t on, where a rep ended.
		var plain func(t int) float64
		rep := func(a int) float64 {
			most := math.Inf(-1)
			for k, c := range costW {
				if e := a + leastW + k; e <= n {
					most = max(most, work[e]-work[a]-c+plain(e))
				}
			}
			return most
		}
		memo := map[int]float64{}
		plain = func(t int) float64 {
			if v, ok := memo[t]; ok {
				return v
			}
			most := 0.0 // no further rep
			for a := t + 1; a <= n; a++ {
				switch k := a - t - leastR; {
				case k >= len(costR):
					most = max(most, rep(a)-beatBreak)
				case k >= 0:
					most = max(most, rest[a]-rest[t]-costR[k]+rep(a))
				}
			}
			memo[t] = most
			return most
		}
		want := math.Inf(-1)
		for a := range n + 1 {
			want = max(want, rep(a))
		}
		reps, got := b.beats(work, rest)
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("seed %d: %v gain %.6f, the plain search finds %.6f", seed, reps, got, want)
		}
		sum := 0.0
		for i, x := range reps {
			sum += work[x[1]] - work[x[0]] - costW[x[1]-x[0]-leastW]
			if i > 0 {
				if k := x[0] - reps[i-1][1] - leastR; k < len(costR) {
					sum += rest[x[0]] - rest[reps[i-1][1]] - costR[k]
				} else {
					sum -= beatBreak
				}
			}
		}
		if len(reps) > 0 && math.Abs(sum-got) > 1e-9 {
			t.Errorf("seed %d: %v sum to %.6f, not %.6f", seed, reps, sum, got)
		}
	}
}
