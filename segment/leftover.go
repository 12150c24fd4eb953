package segment

import "math"

// leftOvers counts what the labels miss: stretches outside the reps that are as long and as
// fast as reps, those inside that are as slow as recoveries, and recoveries that hold
// something as fast as reps.
func (j *judge) leftOvers(r *reading) {
	e := &r.features
	briefest, slowest, seconds, typical := math.Inf(1), math.Inf(1), 0.0, 0.0
	slowestAtOnce := math.Inf(1) // at a length of one second
	faster := 0.0                // stretches elsewhere that are faster than the reps
	for i, w := range r.works {
		atOnce := r.paces[i] - exponent*math.Log(w.seconds())
		briefest, slowest, slowestAtOnce = min(briefest, w.seconds()), min(slowest, r.paces[i]), min(slowestAtOnce, atOnce)
		seconds, typical = seconds+w.seconds(), typical+w.seconds()*atOnce
	}
	typical /= seconds
	atMost := math.Log(float64(len(j.speed)))
	base := level(j.notWork(r.labelling, 30, 0.3))
	if base > slowest-0.05 {
		base = slowest - 0.05
	}
	base = max(base, slowest-0.3)
	k := 0
	// runs gives each row of pieces in p that are wanted, and its highest level.
	runs := func(p piece, wanted func(q piece, lv float64) bool, give func(row piece, top float64)) {
		row, top := piece{}, math.Inf(-1)
		end := func() {
			if row.hi > row.lo {
				give(row, top)
			}
			row, top = piece{}, math.Inf(-1)
		}
		for k < len(j.pieces) && j.pieces[k].lo+j.pieces[k].hi <= 2*p.hi {
			q, lv := j.pieces[k], j.levels[k]
			k++
			switch {
			case q.lo+q.hi < 2*p.lo:
			case wanted(q, lv):
				if row.hi == row.lo {
					row.lo = max(q.lo, p.lo)
				}
				row.hi, top = min(q.hi, p.hi), max(top, lv)
			default:
				end()
			}
		}
		end()
	}
	var buf [16]piece
	outside := func(p piece) []piece { // those that may be reps, until it is called again
		quick := buf[:0]
		runs(p, func(q piece, lv float64) bool {
			if lv < (slowestAtOnce+exponent*atMost+base)/2 { // so not for a shorter one either
				return false
			}
			slow := slowestAtOnce + exponent*math.Log(max(q.seconds(), briefest))
			return lv > (slow+base)/2
		}, func(row piece, top float64) {
			run := row.seconds()
			switch {
			case run > 0.75*briefest:
				e[leftLong]++
			case run > 0.45*briefest && run > 20:
				e[leftPart]++
			}
			if run > 0.45*briefest {
				quick = append(quick, row)
			}
			if top > typical+exponent*math.Log(run) && run >= briefest/3 {
				faster++
			}
		})
		return quick
	}
	briefestRest, longest := math.Inf(1), 0
	for _, b := range r.between {
		longest = max(longest, b.hi-b.lo)
		if b.hi > b.lo {
			briefestRest = min(briefestRest, b.seconds())
		}
	}
	reach := longest + longest/4 + 2*shortest
	quick := outside(r.before)
	for i, from := len(quick)-1, r.before.hi; i >= 0 && quick[i].hi >= from-reach; i-- {
		from = quick[i].lo
		e[leftNext]++
	}
	for i, w := range r.works {
		own, beside := r.paces[i], math.Inf(-1)
		for _, s := range r.sides(i) {
			if !s.joined && s.seconds() >= 5 && !stopped(s.mean, w.mean) {
				beside = max(beside, level(s.mean))
			}
		}
		if math.IsInf(beside, -1) {
			beside = own - 0.3
		}
		mid := (own + min(beside, own-0.06)) / 2
		bridged := r.bridged != nil && r.bridged[i]
		runs(w, func(q piece, lv float64) bool { return lv < mid && !(bridged && q.mean < 1.2) }, func(row piece, _ float64) {
			clear := j.clearness(row, w)
			switch run := row.seconds(); {
			case run >= 0.6*briefestRest && run >= 2*shortest:
				e[dipLong] += math.Log(run/4) * clear
			case run >= shortest:
				e[dips] += math.Log(run/4) * clear
			}
		})
		if i < len(r.between) && r.between[i].hi > r.between[i].lo {
			b := r.between[i]
			low := level(b.mean)
			if stopped(b.mean, w.mean) {
				low = slowest - 0.3
			}
			fast := min(own, r.paces[i+1])
			mid := (fast + min(low, fast-0.06)) / 2
			runs(b, func(_ piece, lv float64) bool { return lv > mid }, func(row piece, _ float64) {
				if run := row.seconds(); run >= shortest {
					e[bumps] += math.Log(run/4) * j.clearness(row, b)
				}
			})
		}
	}
	to := r.tailTo
	for _, q := range outside(piece{lo: r.tailTo, hi: r.after.hi}) {
		if q.lo > to+reach {
			break
		}
		to = q.hi
		e[leftNext]++
	}
	for _, f := range [...]feature{leftLong, leftPart, leftNext, dips, dipLong, bumps} {
		e[f] = math.Log1p(e[f])
	}
	e[fasterUneven] = math.Log1p(faster) * r.unevenness()
}

// tailOf is the cell to which one more recovery like the others follows the last rep, as
// in "on and off"; the end of the last rep when none does.
func (j *judge) tailOf(r *reading) int {
	end, n := r.after.lo, len(r.between)
	if n == 0 || r.continuous() {
		return end
	}
	var buf [24]float64
	lengths, sum := buf[:0], 0.0
	for _, b := range r.between[max(0, n-len(buf)):] {
		lengths, sum = append(lengths, b.seconds()), sum+level(b.mean)
	}
	usual, like := int(median(lengths)), sum/float64(len(lengths))
	to := end + usual
	if to > r.after.hi-30 || usual < 20 {
		return end
	}
	m, rest := level(mean(j.cum, end, to)), level(mean(j.cum, to, min(r.after.hi, to+300)))
	if math.Abs(m-like) < 0.05 && m-rest > 0.05 {
		return to
	}
	return end
}

// clearness is how clearly a row of pieces stands out from the stretch that it lies in, from 0 for what noise may do to 1:
// the share of its likelihood over that of noise.
func (j *judge) clearness(row, in piece) float64 {
	d := mean(j.cum, row.lo, row.hi) - in.mean
	nats := row.seconds() * sq(d/j.noise) / 2
	return nats / (nats + math.Log(float64(len(j.speed))))
}
