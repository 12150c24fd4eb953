package segment

import (
	"math"

	"example.org/rungs/segment/changepoint"
	"example.org/rungs/segment/signal"
)

// shortest is the shortest stretch that is looked for, in seconds: strides and
// the pauses between them are longer.
const shortest = 8

// A piece is a run of cells with one level of speed.
type piece struct {
	lo, hi int     // cells [lo, hi)
	w      float64 // s that are known
	mean   float64 // m/s
	ss     float64 // sum of squares about the mean, (m/s)^2 s
}

func (p piece) seconds() float64 { return float64(p.hi - p.lo) }

func join(a, b piece) piece {
	if a.w+b.w == 0 {
		return piece{lo: a.lo, hi: b.hi, mean: a.mean}
	}
	w := a.w + b.w
	d := b.mean - a.mean
	return piece{a.lo, b.hi, w, (a.w*a.mean + b.w*b.mean) / w, a.ss + b.ss + d*d*a.w*b.w/w}
}

// cut splits the trace into pieces finer than any structure needs, by exact search;
// everything after works on pieces and so stays cheap.
func cut(speed []float64, tr *signal.Trace) []piece {
	n := len(speed)
	if n < 2*shortest {
		return nil
	}
	w := make([]float64, n)
	for i := range w {
		if tr.Known[i] {
			w[i] = 1
		}
	}
	cost, err := changepoint.NewL2(speed, w)
	if err != nil {
		return nil // unreachable: the trace holds no NaN and no negative weight
	}
	penalty := finest(tr, speed)
	var changes []int
	for {
		changes, _, err = changepoint.Search(cost, penalty, shortest)
		if err != nil {
			return nil
		}
		if len(changes) <= max(mostPieces, n/(2*shortest)) {
			break
		}
		penalty *= 1.6
	}
	pieces := make([]piece, 0, len(changes)+1)
	lo := 0
	for _, hi := range append(changes, n) {
		p := piece{lo: lo, hi: hi, mean: cost.Mean(lo, hi), ss: cost.Of(lo, hi)}
		for i := lo; i < hi; i++ {
			p.w += w[i]
		}
		if math.IsNaN(p.mean) {
			p.mean = 0
		}
		pieces = append(pieces, p)
		lo = hi
	}
	return pieces
}

const mostPieces = 240

// finest is the penalty of the finest split: the usual 2 ln n, in units of the
// long-run variance, halved so that nothing real is lost.
func finest(tr *signal.Trace, speed []float64) float64 {
	return sq(calmest(tr, speed)) * math.Log(float64(len(speed)))
}

// calmest is the long-run noise, m/s * sqrt(s), not taken for more than stretches of five
// seconds show: over a quarter of a minute short reps are part of what varies. It is not
// less than half of how a runner's own pace wanders.
func calmest(tr *signal.Trace, speed []float64) float64 {
	moving, k := 0.0, 0.0
	for i, v := range speed {
		if tr.Known[i] && v > running {
			moving, k = moving+v, k+1
		}
	}
	own := 0.0
	if k > 0 {
		own = wander / 2 * moving / k
	}
	return max(min(tr.Noise.Quarter, growth*signal.LongRunOver(5, speed, tr.Known)), own, 0.05)
}

// growth is by how much noise that hangs together adds up from 5 s to a quarter of a
// minute at most: with 1.5, 2 and 3 the right reading of simulated sessions is thought of
// about as often.
const growth = 2.0

// coarser is by how much the penalty grows from one split to the next.
const coarser = 1.3

// ladderOf gives the optimal splits of the pieces from the finest to the
// coarsest, each as a list of pieces: the penalty path, read at penalties in
// geometric progression. survives[i] is the largest of these penalties at which
// the start of piece i is still an edge.
func ladderOf(pieces []piece, low float64) (levels [][]piece, survives []float64) {
	// What varies inside the pieces is the same in all splits of them.
	means, weights := make([]float64, len(pieces)), make([]float64, len(pieces))
	for i, p := range pieces {
		means[i], weights[i] = p.mean, p.w
	}
	c, err := changepoint.NewL2(means, weights)
	if err != nil {
		return [][]piece{pieces}, make([]float64, len(pieces)) // unreachable, as in cut
	}
	high := max(c.Of(0, c.Len()), 2*low)
	out := [][]piece{pieces}
	survives = make([]float64, len(pieces))
	for i := range survives {
		survives[i] = low
	}
	last := len(pieces)
	for penalty := low * coarser; penalty < high && last > 2; penalty *= coarser {
		changes, _, err := changepoint.Search(c, penalty, 1)
		if err != nil || len(changes)+1 == last || len(changes) == 0 {
			continue
		}
		last = len(changes) + 1
		for _, i := range changes {
			survives[i] = penalty
		}
		level := make([]piece, 0, last)
		lo := 0
		for _, hi := range append(changes, len(pieces)) {
			p := pieces[lo]
			for _, q := range pieces[lo+1 : hi] {
				p = join(p, q)
			}
			level = append(level, p)
			lo = hi
		}
		out = append(out, level)
	}
	return out, survives
}
