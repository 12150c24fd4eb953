// Package changepoint cuts a series into segments of constant level: it finds
// where the level changes.
//
// A series of n samples y[0..n) is cut at changes 0 < c1 < c2 < ... < ck < n, each
// the 0-based first index of a new segment. [L2] says how badly one level fits a
// piece [i, j): by the weighted sum of squares about its mean. [Search] finds the
// segmentation that minimises
//
//	C(0, c1) + C(c1, c2) + ... + C(ck, n) + penalty * k.
//
// It is exact, minimum lengths included: no grid, no greedy step, and pruning that
// stays right when segments must not be short (functional.go says why). Its time
// is near-linear in n: for noisy data ten or so starts of the last segment are
// still in the running at any sample. For a slope without any noise they are as
// many as fit between two changes.
//
// Weights say how much a sample counts. For samples of uneven duration the weight
// is the duration, and a segment's mean is then the mean over time; an unknown
// sample has weight 0.
//
// For independent noise of variance v (for weight 1) a penalty of
//
//	2 v ln n
//
// seldom finds a change that is not there (this is BIC, counting level and place
// of each change). Recordings are rarely like that: smoothing makes the noise
// positively correlated, and then v from first differences is far too small and
// noise is cut to pieces. What counts is the long-run variance, the variance of the
// mean of m samples times m, with segments long against the correlation (Romano,
// Rigaill, Runge, Fearnhead 2022, JASA 117:2147-2162, show the failure and treat
// it in the model). The minimum length protects too; it should be several times as
// long as the noise hangs together.
//
// Nothing here keeps state: costs and searches may be used by several goroutines at
// once.
package changepoint
