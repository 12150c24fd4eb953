package segment

import "math"

// A feature is one thing that speaks for or against a reading: a sum over its reps of
// something measured, or a property of the whole. The log odds of a reading against
// running without a plan are the features times their weights (weights.go).
type feature int

// The features. Contrasts are logarithms of ratios of speed in tenths, so that weights are
// of one size; amounts are nats; the others are counts, shares or logarithms of these.
const (
	structured      feature = iota // 1
	oneBlock                       // 1 where all work touches
	twoReps                        // 1 for so many
	threeReps                      // 1 for so many
	reps                           // how many
	contrastWeakest                // of the rep that stands out least
	unlike                         // how far reps are from as quick as their lengths make each other, sum of logarithms
	contrastLacking                // sum of what reps lack of a tenth
	unframed                       // 1 where there is too little ordinary running to compare with
	fallenShort                    // sum of what steps beside reps lack of .08
	spreadInWork                   // how much pieces inside reps depart from them
	spreadInRest                   // the same inside running recoveries
	misplacing                     // how much likelier the step is elsewhere near each edge, logarithm of 1 + nats, summed
	likelyWork                     // nats by which the pieces of the reps are likelier at levels of their own than at one
	likelyOuter                    // the same of those before and after
	apartMean                      // logarithm of the step over four times the scatter inside labels
	apartSum                       // the same, a share for each rep
	twoLevels                      // nats by which the levels of reps and of other running are likelier about two means than about one, less what a threshold through normal ones would make
	amountWork                     // nats that amounts save in describing the reps
	amountRest                     // nats that they save in describing recoveries
	amountEnds                     // nats that they save in describing what lies before and after
	restsUnlike                    // how far recoveries are from being taken alike, sum of logarithms
	restBrief                      // how much shorter recoveries are than 40 s, mean of logarithms
	restLong                       // how much longer they are than three reps, mean of logarithms
	dips                           // stretches inside reps that look like recoveries, each by how clearly and the logarithm of its length
	dipLong                        // those as long as .6 of the briefest recovery and twice the shortest stretch
	bumps                          // stretches inside recoveries that look like work, each by how clearly
	workUnusual                    // how far the time of all reps is from what is usual for their length, logarithm of 1 + squares, of which those of too little count half
	bothEnds                       // 1 with running before and after
	leftLong                       // stretches elsewhere as long and fast as reps
	leftPart                       // those at least half as long
	leftNext                       // those at least .45 as long that lie a recovery away from the reps
	heartAgainst                   // how far heart rate does not go along
	heartShare                     // share of its variance that the labels explain, times the logarithm of 1 + the minutes run before: a heart must settle
	blockLevels                    // twoLevels of such a block, a minute at a time
	hill                           // 1 when the speeds are those of even cost
	hillAmount                     // nats that amounts save there
	slopeMade                      // mean of what contrasts owe to how slopes are accounted for, if positive
	restsClimb                     // share of recoveries that climb more steeply than the reps beside them, less that of those that climb less
	climbAmount                    // nats that amounts save there: hills come in like lengths
	pressesHit                     // edges with a lap press beside them
	pressesStopped                 // pressesHit times the share of recoveries that are stood or walked: who stops may press
	pressesMissed                  // presses inside reps
	pressesLacking                 // edges without a press, times the share that has one
	haltsInside                    // stops inside reps
	joins                          // changes of pace without a recovery
	joinClear                      // how far beyond wander these are in one block, sum of logarithms
	joinAlike                      // the same where they come alike in each of several reps, its root times contrastWeakest
	stopRests                      // share of recoveries that are stood or walked
	ledReps                        // steps of work that the device led through and that are reps: logarithm of 1 + how many, times their share of all
	everyLap                       // what the steps between work and running recoveries lack of .15, summed, where both together are a lap of a track: wind
	onBelt                         // 1 on a treadmill
	// What says more together than each alone; of all pairs of features, those that a score test
	// against the others asked for.
	pressesLikely // likelyWork times pressesHit: presses and speed agree
	pressesRests  // amountRest times pressesHit
	pressesBrief  // restBrief times pressesHit: who presses may rest briefly
	outerStopped  // likelyOuter times stopRests
	fasterUneven  // logarithm of how many stretches elsewhere are faster than the reps, times the spread of the logarithms of the lengths of reps
	restsAfter    // amountRest times the share of five minutes that are run after
	unframedRests // unframed times amountRest
	featureCount
)

// evidence is the features of a reading.
type evidence [featureCount]float64

// dot is the log odds that weights make of the features.
func (e *evidence) dot(w *evidence) float64 { return dot(e[:], w[:]) }

// dot is the sum of products of two lists of one length.
func dot(x, w []float64) float64 {
	sum := 0.0
	for i, v := range x {
		sum += v * w[i]
	}
	return sum
}

// running is the speed under which nobody runs, m/s: a little below the transition from
// walking, about 2 m/s (from memory, no source).
const running = 1.7

// stopped reports whether a stretch beside a rep is walked or stood.
func stopped(beside, rep float64) bool { return beside < 0.62*rep || beside < 1.5 }

// level is the logarithm of a speed, from a slow walk on.
func level(mps float64) float64 { return math.Log(max(mps, 0.5)) }

// exponent is that of speed over time in races and reps, Riegel 1981 (T2 = T1
// (D2/D1)^1.06): speed goes with the time to the power of 1/1.06 - 1.
const exponent = 1/1.06 - 1

// glance reads the features of a labelling that are quickly read.
func (j *judge) glance(r *reading) {
	e := &r.features
	n := float64(len(r.works))
	e[structured], e[reps] = 1, n
	switch {
	case r.continuous():
		e[oneBlock] = 1
	case len(r.works) == 2:
		e[twoReps] = 1
	case len(r.works) == 3:
		e[threeReps] = 1
	}
	r.tailTo, r.paces = j.tailOf(r), j.paces(r.labelling)
	j.contrasts(r)
	j.leftOvers(r)
	j.frame(r)
	j.rested(r)
	j.marks(r)
	j.asLed(r)
	if j.belt {
		e[onBelt] = 1
	}
}

// gauge reads the others.
func (j *judge) gauge(r *reading) {
	e := &r.features
	j.spreads(r)
	j.unlike(r)
	j.separate(r)
	j.lapped(r)
	j.misplaced(r)
	j.likelihoods(r)
	j.amounts(r)
	j.heartbeat(r)
	saved := max(0, e[amountWork]) + max(0, e[amountRest])
	e[climbAmount] = e[restsClimb] * saved
	if j.hills {
		e[hill], e[hillAmount] = 1, saved
	}
	j.together(r)
}

// cooled is how long a cool-down lasts at least, s (common practice, no source).
const cooled = 300.0

// together reads what says more together than each alone.
func (j *judge) together(r *reading) {
	e := &r.features
	e[pressesLikely] = e[likelyWork] * e[pressesHit]
	e[pressesRests] = e[amountRest] * e[pressesHit]
	e[pressesBrief] = e[restBrief] * e[pressesHit]
	e[outerStopped] = e[likelyOuter] * e[stopRests]
	e[restsAfter] = e[amountRest] * min(1, j.moving(r.after)/cooled)
	e[unframedRests] = e[unframed] * e[amountRest]
}

// minutes is the logarithm of 1 + for how many minutes a stretch was not stood.
func (j *judge) minutes(p piece) float64 { return math.Log1p(j.moving(p) / 60) }

// unevenness is the standard deviation of the logarithms of the lengths of the reps.
func (l labelling) unevenness() float64 {
	var sum, squares float64
	n := float64(len(l.works))
	for _, w := range l.works {
		x := math.Log(max(w.seconds(), 1))
		sum, squares = sum+x, squares+x*x
	}
	return math.Sqrt(max(0, squares/n-sq(sum/n)))
}
