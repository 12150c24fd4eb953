package signal

import (
	"math"

	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
)

// estimateNoise measures speed noise from differences of block means, so that
// changes of pace (few) do not count and slow wander (always there) does:
// var(difference of two means over B seconds) = 2 LongRun^2 / B. The lower
// third of the absolute differences is used, since in short reps more than
// half of the blocks hold a change.
func estimateNoise(speed []float64, known []bool) Noise {
	nz := longRun(speed, known)
	nz.Sigma = max(scaleOf(sumsMoving(speed, known, 1).differences(1))/math.Sqrt2, 0.01)
	return nz
}

// longRun is the part of the noise that is read from blocks.
func longRun(speed []float64, known []bool) Noise {
	f := sumsMoving(speed, known, 5) // of which the longer blocks are made
	plain := f.longRunVariance(15)
	// Errors of position that do not add up (variance J^2 each) make differences
	// of block means vary by 2 L^2/B + 6 J^2/B^2; two lengths of block tell L and J
	// apart. Noise that hangs together shows more in longer blocks, not less.
	const short, long = 10, 20
	free := (long*f.longRunVariance(long) - short*f.longRunVariance(short)) / (long - short)
	return Noise{
		LongRun: max(math.Sqrt(min(max(free, plain/6), plain)), 0.05),
		Quarter: max(math.Sqrt(plain), 0.05),
	}
}

// measureNoise sets the noise of speed and of distances.
func (tr *Trace) measureNoise(place recording.Place) {
	tr.Noise = estimateNoise(tr.Speed, tr.Known)
	kind := errorsOf[tr.Source]
	if tr.Fused && tr.Source == Odometer {
		kind = fusedErrors
	}
	nz := &tr.Noise
	nz.Odometer = kind.excess * nz.LongRun
	if tr.Fused && tr.Source == Odometer {
		nz.Odometer = max(kind.excess*min(tr.fusedNoise, nz.LongRun), leastNoise) * tr.unsteady
	}
	nz.EndM = math.Hypot(kind.endM, perSecondM*max(tr.Step-1, 0))
	if tr.Source == Nothing || tr.Source == Positions {
		return
	}
	nz.Wander = leastWander
	own := nz.LongRun // of what counts
	if tr.Fused && tr.Source == Odometer {
		own = tr.countNoise
	}
	switch {
	case place == recording.Treadmill && own > stepNoise:
		nz.Lean = wristLean
	case countsSteps(own, place):
		nz.Wander = stepWander
		if place == recording.Treadmill { // the ground is even
			nz.Wander /= 2
		}
	}
}

// countsSteps tells whether an odometer of some long-run noise counts steps, and neither distance by satellites nor, where
// one may be, that of a belt.
func countsSteps(noise float64, place recording.Place) bool {
	return noise <= stepNoise && (noise > beltNoise || place == recording.Outdoors || place == recording.Trail)
}

// grainOf is the largest of 10, 5 and 1 m that all distances are multiples of; 0 for none, or too few to tell.
func grainOf(s recording.Stream) float64 {
	const fewest = 20
	for _, grain := range [...]float64{10, 5, 1} {
		n := 0
		for i, d := range s.Value {
			if !s.Valid[i] {
				continue
			}
			if x := d / grain; math.Abs(x-math.Round(x)) > 1e-6 {
				n = 0
				break
			}
			n++
		}
		if n >= fewest {
			return grain
		}
	}
	return 0
}

// Within is the long-run noise of a mean over so many seconds, m/s * sqrt(s), in which the rounding of both ends counts: an
// error of grain^2/12 m^2 each (Sheppard's, as of any rounding).
func (n Noise) Within(longRun, seconds float64) float64 {
	return math.Sqrt(sq(longRun) + sq(n.Grain)/(6*seconds))
}

// A kind of source errs by more than its noise over a quarter of a minute tells, since
// that noise hangs together and is read from where speed is even, and by some metres at the ends of a span, since
// no lag is known exactly (all measured on simulated devices that match open recordings, sets
// apart from those of the tests).
type sourceErrors struct{ excess, endM float64 }

var (
	errorsOf    = map[Source]sourceErrors{Odometer: {1.15, 0.3}, DeviceSpeed: {1.2, 1.2}, Positions: {1.1, 0.5}, Nothing: {1, 0}}
	fusedErrors = sourceErrors{1.45, 0.4}
)

const (
	// leastNoise is what two streams together are no better than, m/s * sqrt(s) (simulated devices).
	leastNoise = 0.06

	// perSecondM is how much more the ends of a span err for each further second between records,
	// m: half of a record's time, at the difference of speed between easy and quick.
	perSecondM = 0.65

	// What counts steps is calmer than what counts by satellites, and a belt that counts
	// itself, never outdoors, calmer than both, long-run standard deviation in m/s * sqrt(s) (simulated devices).
	beltNoise, stepNoise = 0.06, 0.16

	// stepWander is how far the scale of a step counter wanders within a run, as a share, and wanderS
	// for how long it hangs together, s. Its error is .10 m/s between runs (Falbriard et al.
	// 2021, Front. Sports Act. Living 3:585809), so it moves with form; by how much within one is from memory.
	stepWander, wanderS = 0.006, 600.0

	// leastWander is what no odometer is better than over minutes (simulated devices).
	leastWander = 0.0015

	// wristLean is the share of the difference from the run's mean speed by which a wrist on
	// a treadmill may err, since its model of speed leans towards the mean (from memory; it
	// misses by 4.2 % for people it knows, arXiv 2006.02348).
	wristLean = 0.15
)

// A DistanceError is what a distance errs by beside other parts of the run, by its causes, m each: speed noise, what is
// left of lags at both ends, a scale that wanders, speed that leans towards the run's mean (Noise), and device speed
// where the odometer is not believed. What leans errs spans of one speed alike, and makes differences between spans
// smaller, never larger: two spans are compared without it. An odometer that is wrong by the same share throughout is
// not among them.
type DistanceError struct{ Noise, Ends, Wander, Lean, Alone float64 }

// SE is the standard error of all of them together, m.
func (e DistanceError) SE() float64 {
	return math.Sqrt(sq(e.Noise) + sq(e.Ends) + sq(e.Wander) + sq(e.Lean) + sq(e.Alone))
}

// Covered is the distance from start to end (s from the first record) in metres and its standard error by theory.
// Both are NaN when the span is empty.
func (tr *Trace) Covered(start, end float64) (metres, se float64) {
	if !(end > start) || len(tr.Speed) == 0 {
		return math.NaN(), math.NaN()
	}
	e := tr.DistanceError(start, end)
	return tr.RunBy(end) - tr.RunBy(start), e.SE()
}

// DistanceError is what the distance from start to end errs by in theory, end being later.
func (tr *Trace) DistanceError(start, end float64) (e DistanceError) {
	metres, t, nz := tr.RunBy(end)-tr.RunBy(start), end-start, tr.Noise
	e.Noise = nz.Odometer * math.Sqrt(t)
	e.Ends = min(nz.EndM, nz.EndM*t/10) // what is over in some seconds has no ends to err at
	if nz.Wander > 0 {
		e.Wander = nz.Wander * metres * math.Sqrt(max(0, meanOf(t)-meanOf(float64(tr.Len()))))
	}
	if nz.Lean > 0 {
		e.Lean = nz.Lean * math.Abs(metres-tr.usual*t)
	}
	e.Alone = aloneScale * tr.alone(start, end)
	return e
}

// aloneScale is the error of device speed's scale where the odometer is not believed, as a share: it is that of
// the running before and after (simulated devices).
const aloneScale = 0.04

// alone is the distance in a span that one stream tells of alone, since the other is not believed, m.
func (tr *Trace) alone(start, end float64) (metres float64) {
	if tr.doubted == nil || !tr.Fused {
		return 0
	}
	for i := max(0, int(start)); i < tr.Len() && float64(i) < end; i++ {
		if tr.doubted[i] {
			metres += tr.Dist[i+1] - tr.Dist[i]
		}
	}
	return metres
}

// meanOf is the variance of a mean over t seconds of what hangs together for wanderS, as a share of
// its own (Ornstein-Uhlenbeck).
func meanOf(t float64) float64 {
	x := wanderS / t
	return 2 * x * (1 - x*(1-math.Exp(-1/x)))
}

// blockSums are the sums of speed over blocks of cells while moving, and of how many cells.
type blockSums struct {
	of, cells []float64
	block     int
}

func sumsMoving(speed []float64, known []bool, block int) blockSums {
	use := make([]bool, len(speed))
	for i, v := range speed {
		use[i] = known[i] && v > ability.Standing
	}
	return sumsOf(speed, use, block)
}

// sumsOf takes the cells that are to be used.
func sumsOf(speed []float64, use []bool, block int) blockSums {
	n := len(speed) / block
	s := blockSums{make([]float64, n), make([]float64, n), block}
	for k := range n {
		for i := k * block; i < (k+1)*block; i++ {
			if use[i] {
				s.of[k] += speed[i]
				s.cells[k]++
			}
		}
	}
	return s
}

// differences are the absolute differences between the means of neighbouring blocks
// of so many sums while moving.
func (s blockSums) differences(many int) []float64 {
	out := make([]float64, 0, len(s.of)/many)
	prev := math.NaN()
	for lo := 0; lo+many <= len(s.of); lo += many {
		var sum, w float64
		for k := lo; k < lo+many; k++ {
			sum, w = sum+s.of[k], w+s.cells[k]
		}
		m := math.NaN()
		if w > 0.7*float64(many*s.block) {
			m = sum / w
		}
		if d := math.Abs(m - prev); !math.IsNaN(d) {
			out = append(out, d)
		}
		prev = m
	}
	return out
}

// longRunVariance is that of differences over blocks of so many cells, a multiple of
// those in a sum.
func (s blockSums) longRunVariance(cells int) float64 {
	return sq(scaleOf(s.differences(cells/s.block))) * float64(cells) / 2
}

// scaleOf is the standard deviation of which d are the absolute values, from their
// lower third. It reorders d.
func scaleOf(d []float64) float64 {
	if len(d) == 0 {
		return 0
	}
	const q, z = 0.35, 0.4538 // P(|Z| < 0.4538) = 0.35
	return Select(d, int(q*float64(len(d)-1)+0.5)) / z
}

func sq(x float64) float64 { return x * x }

// LongRunOver is the long-run noise as differences of means over blocks of so many
// cells show it: what hangs together for a while is in it.
func LongRunOver(block int, speed []float64, known []bool) float64 {
	return math.Sqrt(sumsMoving(speed, known, block).longRunVariance(block))
}
