// Package changepoint cuts a series into segments of constant level: it finds
// where the level changes, how sure the places are, and how noisy the series is.
//
// # Model
//
// A series of n samples y[0..n) is cut at changes 0 < c1 < c2 < ... < ck < n, each
// the 0-based first index of a new segment. A [Cost] says how badly one segment
// fits a piece [i, j); the best segmentation with k changes minimises
//
//	C(0, c1) + C(c1, c2) + ... + C(ck, n) + penalty * k.
//
// Any cost goes with any search.
//
//	cost       model of a segment             C(i, j)                          time
//	L2         constant mean                  sum w (y - mean)^2               O(1)
//	Huber      constant level, wild samples   least sum w rho_k(y - u)         O(j-i)
//	Gaussian   constant mean and variance     -2 log-likelihood                O(1)
//
//	search     gives                                          time
//	Search     the optimum for one penalty                    near-linear for L2 and Huber,
//	                                                          else up to n^2 costs
//	Best       the optimum for each number of changes 0..K    K times Search, else K n^2
//	Path       all optima for a range of penalties            Search for each
//
// All three are exact, minimum lengths included: no grid, no greedy step, and
// pruning that stays right when segments must not be short (functional.go and
// inequality.go say why). Near-linear means that the starts which are still
// in the running number ten or so for noisy data; for a slope without any noise
// they are as many as fit between two changes. For Huber they number about the
// square root of penalty times n, in units of the noise.
//
// # Unknown samples, uneven spacing
//
// Weights say how much a sample counts. For samples of uneven duration the weight
// is the duration, and a segment's mean is then the mean over time; an unknown
// sample has weight 0. The minimum length can be given in samples and in units
// of position ([Options]).
//
// # Choosing the penalty
//
// For L2 and independent noise of variance v (for weight 1) a penalty of
//
//	2 v ln n
//
// seldom finds a change that is not there (this is BIC, counting level and place
// of each change). Recordings are rarely like that. Smoothing makes the noise
// positively correlated; then v from first differences ([DifferenceSigma]) is far
// too small and noise is cut to pieces, and differencing a quantity makes it
// negatively correlated, v is too large, and changes are missed. What counts is
// the long-run variance, the variance of the mean of m samples times m, with
// segments long against the correlation (Romano, Rigaill, Runge, Fearnhead 2022,
// JASA 117:2147-2162, show the failure and treat it in the model). So
//
//  1. start with v from [BlockVariance], blocks a good deal longer than the
//     correlation and a good deal shorter than the segments;
//  2. search with a penalty of 2 v ln n and a minimum length as large as the
//     question allows, at the least several correlation times;
//  3. take v from the residuals about the segments ([LongRunVariance]) and repeat;
//  4. look at [Path] around that penalty: a segmentation that is optimal over a
//     wide range of penalties, a factor of two or more, is there on its own
//     merit; one that is optimal over a narrow range is an accident.
//
// For 3,600 samples of a first-order autoregression without any change, the
// penalty from differences finds 0, 74, 250 and 288 changes a series at
// autocorrelations 0, 0.5, 0.86 and 0.95; that from the long-run variance of the
// residuals with minimum length 30 finds one in fewer than one series of fifty
// (the tests repeat this). With negative correlation the minimum length is what
// protects: at -0.4 and minimum length 1 there are three false changes a series.
//
// For Huber the same penalty errs a little on the safe side (the authors of its
// functional pruning take 1.4 v ln n). For Gaussian, whose cost has no unit, 3 ln n
// takes the place of 2 v ln n (level, variance, place), times the ratio of long-run
// to plain variance.
//
// # How sure a change is
//
// [Interval] gives a confidence interval for the place of a change; it too wants
// the long-run variance. [FMeasure] and [Covering] score found changes against
// those of several annotators.
//
// Nothing here keeps state: costs and searches may be used by several goroutines at
// once.
package changepoint
