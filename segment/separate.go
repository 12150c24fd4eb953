package segment

import (
	"math"
	"slices"
)

const (
	alikeSD     = 0.03 // of levels that are meant alike, at least: by so much a runner's own pace varies from one stretch to the next
	blockOfWork = 60   // s, into which a single block and what lies around it are divided
	mostLevels  = 60.0 // that count: over hours every run has two
)

// separate reads whether the levels of reps and those of all other running, over stretches as long as reps, lie about two
// means. Whatever varies lies about two means once a threshold is put through it: what normal levels would gain by that does
// not count.
func (j *judge) separate(r *reading) {
	var buf [3][64]float64
	fast, slow, lengths := buf[0][:0], buf[1][:0], buf[2][:0]
	of, block := twoLevels, blockOfWork
	if r.continuous() {
		of = blockLevels
		fast = j.runIn(fast, r.works[0].lo, r.after.lo, block)
	} else {
		for i, w := range r.works {
			fast = append(fast, r.paces[i]-exponent*math.Log(w.seconds()/60))
			lengths = append(lengths, w.seconds())
		}
		block = int(min(300, max(15, median(lengths))))
	}
	slow = j.runIn(slow, r.before.lo, r.before.hi, block)
	for i, b := range r.between {
		if b.hi > b.lo && !stopped(b.mean, r.works[i].mean) {
			slow = j.runIn(slow, b.lo, b.hi, b.hi-b.lo)
		}
	}
	slow = j.runIn(slow, r.tailTo, r.after.hi, block)
	n, m := float64(len(fast)), float64(len(slow))
	if n == 0 || m == 0 || n+m < 4 {
		return
	}
	quickest := slices.Max(fast)
	for i, v := range slow {
		slow[i] = min(v, quickest) // a ride home is no more against reps than one more rep
	}
	a, b := meanOf(fast), meanOf(slow)
	inside := (squaresAbout(a, fast) + squaresAbout(b, slow)) / (n + m)
	apart := n * m * sq(max(0, a-b)) / sq(n+m)
	r.features[of] = min(n+m, mostLevels) * (math.Log1p(apart/(inside+sq(alikeSD)))/2 - gainByChance(n/(n+m)))
}

// runIn appends the levels of what is run in a stretch, one for each whole block of it; what is half stood, or walked, is passed over.
func (j *judge) runIn(levels []float64, lo, hi, block int) []float64 {
	for at := lo; at+block <= hi; at += block {
		if run := j.moved[at+block] - j.moved[at]; 2*run >= float64(block) {
			if v := (j.cum[at+block] - j.cum[at]) / run; v > running {
				levels = append(levels, level(v))
			}
		}
	}
	return levels
}

// gainByChance is by how much, in nats a value, normal values are likelier about two means once a threshold parts the upper
// share of them: the variance inside the parts is 1 - density(z)^2/(p (1-p)) of the whole.
func gainByChance(p float64) float64 {
	z := math.Sqrt2 * math.Erfinv(1-2*p)
	return -math.Log(1-sq(normal(z, 1))/(p*(1-p))) / 2
}

func meanOf(list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += x
	}
	return sum / float64(len(list))
}

func squaresAbout(mean float64, list []float64) float64 {
	sum := 0.0
	for _, x := range list {
		sum += sq(x - mean)
	}
	return sum
}
