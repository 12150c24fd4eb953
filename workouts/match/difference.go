package match

import (
	"fmt"
	"math"
	"slices"

	"gonum.org/v1/gonum/stat"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/figures"
)

// Limits of the verdict. They were set on simulated sessions and are tested on
// other ones.
const (
	leastThere  = 0.5  // of the planned work that must be there, in any amount, for it to be the session
	leastUnseen = 0.8  // of all planned reps and recoveries that must be as planned where a split without the plan saw no work
	leastRatio  = 0.5  // of its amount that a rep must have to be there
	mostRatio   = 1.7  // times its amount that it may have
	nearRatio   = 1.15 // either way, that it may be off when another number of reps was run: else both are another session's
	mostUnlike  = 0.5  // of the planned work that may be run besides, in nothing like it
	chanceShare = 0.5  // of the contrast to their recoveries by which reps may differ where that split saw no work
	loneRatio   = 1.25 // the same, of a lone rep that a split without the plan did not see
	leastBegun  = 2    // reps that make a session that was stopped, however much was left
	touchS      = 5    // s between reps that are run as one
	leastPieces = 3    // of work seen in one rep that make it several: two may be one that was cut by mistake
	brokenShare = 0.15 // of a rep run at recovery speed, beyond which it is no rep

	leastContrast       = 1.10  // speed of work over the speed of the rest of the run
	leastWithRests      = 1.04  // the same, of a plan whose recoveries show that there is a pattern
	leastRestContrast   = 1.12  // of the reps over the recoveries between them
	leastFloatContrast  = 1.025 // of the reps over recoveries of any kind
	leastUnseenContrast = 1.045 // the same, where a split without the plan saw no work
	leastFollow         = 0.35  // of a change of target that a change of pace must follow
	leastRunning        = 1.8   // m/s, below which nobody runs: common practice, no source
	leastOutsideS       = 60    // s of running beside a stretch that it is compared with
	leastSpreadPct      = 3.0   // by which targets must differ for that to count
)

// different tells why the session cannot be the planned one; empty when it can.
// Branches: each case is a ground of its own, the weightiest first.
func (m *measurer) different() string {
	c := m.count()
	if c.planned == 0 {
		return m.differentWithoutWork()
	}
	contrast, least := m.contrast(), leastContrast
	if m.restsPlanned() {
		least = leastWithRests
	}
	switch {
	case c.run == 0:
		return fmt.Sprintf("none of the %d planned reps was run", c.planned)
	case c.merged*2 > c.rests && (c.rests > 1 || contrast < least), c.merged*3 > c.rests && c.merged >= 2, c.merged*3 >= c.rests && c.merged >= 3:
		return "the run has no recoveries where the plan has them"
	case m.noRests():
		return "the recoveries are hardly slower than the reps"
	case contrast < least:
		return "the planned work is not quicker than the rest of the run"
	case c.rests == 0 && m.flat():
		return "the pace does not change where the plan changes it"
	case m.nothingSeen() && (m.fitting(c) < leastUnseen || m.scattered()):
		return "nothing in the run stands out as work, and the plan does not fit what is there"
	case c.there < leastThere*c.work && !c.begun:
		return fmt.Sprintf("less than half of the planned work is there: %d of %s had about the planned length", c.alike, figures.Plural(c.planned, "rep"))
	case c.unlike > mostUnlike*c.work:
		return "most of the work that was run is like none of the planned reps"
	}
	return ""
}

// A counted is how much of the planned work is there.
type counted struct {
	planned, run, extra, alike int     // reps planned, those of them run, more than planned, and about as long as planned
	rests, merged              int     // recoveries planned between reps, and those run through
	work, there                float64 // s: planned work, and what of it is there in any amount
	unlike                     float64 // s of work that was not planned, and is nothing like what was
	begun                      bool    // the first reps were run about as planned and nothing else: a session that was stopped
}

func (m *measurer) count() counted {
	c := counted{begun: true}
	for i, rep := range m.r.Reps {
		if rep.Step < 0 {
			c.extra++
			c.begun = false
			continue
		}
		c.planned++
		if rep.Outcome != Missed {
			c.begun = c.begun && c.run+1 == c.planned
			c.run++
		}
		if rec := rep.Recovery; rec != nil && rec.Step >= 0 && i+1 < len(m.r.Reps) && restful(m.lay.task(rec.Step).planned) {
			c.rests++
			if rep.Merged {
				c.merged++
			}
		}
	}
	m.weigh(&c)
	c.begun = c.begun && c.alike >= leastBegun && c.alike == c.run
	return c
}

// weigh counts how much of the planned work is there, and what is there besides.
func (m *measurer) weigh(c *counted) {
	whole := m.likeStretches(*c)
	for _, rep := range m.r.Reps {
		if rep.Step < 0 {
			if !m.likePlanned(rep) {
				c.unlike += rep.Seconds()
			}
			continue
		}
		t := m.lay.task(rep.Step)
		c.work += t.seconds()
		if rep.Outcome == Missed || m.slowShare(rep) > brokenShare {
			continue
		}
		ratio := m.ratio(rep)
		near := rep.Outcome == Done || ratio > 1/nearRatio && ratio < nearRatio
		if near {
			c.alike++
		}
		if near || whole && ratio >= leastRatio && ratio <= mostRatio {
			c.there += t.seconds()
		}
	}
}

// likePlanned tells whether an unplanned rep might be one more of some planned one.
func (m *measurer) likePlanned(rep Rep) bool {
	return slices.ContainsFunc(m.lay.tasks, func(t task) bool {
		if !t.work || t.open {
			return t.work
		}
		x := rep.Seconds()
		if t.metres {
			x = m.sp.ran(rep.StartS, rep.EndS)
		}
		return x > leastRatio*t.amount && x < mostRatio*t.amount
	})
}

// ratio is how many times its planned amount a rep had; 1 for an open one.
func (m *measurer) ratio(rep Rep) float64 {
	if t := m.lay.task(rep.Step); !t.open && rep.Outcome != Missed {
		return (t.amount + rep.AmountDrift) / t.amount
	}
	return 1
}

// scattered tells whether reps of one kind differ from each other by half of what sets
// them apart from their recoveries: such a pattern may be chance.
func (m *measurer) scattered() bool {
	apart, _ := m.restContrast(false)
	for _, row := range m.r.rows() {
		if len(row) > 2 && m.r.scatter(row)/m.r.meanPace(row) > chanceShare*apart {
			return true
		}
	}
	return false
}

// fitting is the share of reps and recoveries that are as long as planned, until the
// session was cut short if it was.
func (m *measurer) fitting(c counted) float64 {
	done, of := 0, c.planned+c.extra
	stopped := m.stopped() != ""
	for i, rep := range m.r.Reps {
		lone := c.planned == 1 && rep.Step >= 0 && m.ratio(rep) > 1/loneRatio && m.ratio(rep) < loneRatio
		left := stopped && (rep.Outcome == Missed || rep.Outcome == Short && i+1 == c.run)
		if left || lone || rep.Outcome == Done {
			done++
		}
		if rec := rep.Recovery; rec != nil && rec.Step >= 0 {
			of++
			if rec.Outcome == Done && !rep.Merged {
				done++
			}
		}
	}
	return float64(done) / float64(of)
}

// likeStretches tells whether as many stretches of work were run as there are reps
// planned, each by itself. Only then can it be seen that a rep was the planned one
// though it was long or short.
func (m *measurer) likeStretches(c counted) bool {
	apart := 0 // reps planned with something between them and the next
	for i := range m.lay.tasks {
		if m.lay.tasks[i].work && (i+1 == len(m.lay.tasks) || !m.lay.tasks[i+1].work) {
			apart++
		}
	}
	stretches, end := 0, math.Inf(-1)
	for _, rep := range m.r.Reps {
		if rep.Outcome == Missed {
			continue
		}
		if rep.StartS-end > touchS {
			stretches++
		}
		end = rep.EndS
	}
	return apart == c.planned && stretches == c.planned && c.merged == 0 && !math.IsInf(m.contrast(), 1)
}

// flat tells whether the reps of a plan whose targets differ were run without
// regard to that: their paces rise by less than leastFollow for every second
// that the targets do, or fewer than half of the changes between neighbours were run.
// In a plan without recoveries nothing else shows it.
func (m *measurer) flat() bool {
	var want, ran []float64
	changes, followed, before := 0, 0, -1
	for i, rep := range m.r.Reps {
		if math.IsNaN(rep.Target.middle()) || rep.Outcome == Missed || math.IsInf(rep.Pace, 0) {
			continue
		}
		want, ran = append(want, rep.Target.middle()), append(ran, rep.Pace)
		if before >= 0 {
			n, f := followedFrom(m.r.Reps[before : i+1])
			changes, followed = changes+n, followed+f
		}
		before = i
	}
	if len(want) < 2 || slices.Max(want) < (1+leastSpreadPct/100)*slices.Min(want) {
		return false
	}
	_, slope := stat.LinearRegression(want, ran, nil, false)
	return slope < leastFollow || followed*2 < changes
}

// followedFrom counts the changes of target from one rep that was run to the next, and those of
// them that its pace followed. The changes to reps between the two that were left out were not.
func followedFrom(reps []Rep) (changes, followed int) {
	for i := 1; i < len(reps); i++ {
		a, b := reps[i-1], reps[i]
		d := b.Target.middle() - a.Target.middle()
		if !(math.Abs(d) >= leastSpreadPct/100*a.Target.middle()) {
			continue
		}
		changes++
		if len(reps) == 2 && (b.Pace-a.Pace)/d >= leastFollow {
			followed++
		}
	}
	return changes, followed
}

// middle is the pace in the middle of the target, s/km; NaN when it asks for none.
func (t Target) middle() float64 { return (t.LowSPerKm + t.HighSPerKm) / 2 }

// slowShare is the share of a rep's time, stops aside, spent well below the
// speed of the rep's own quicker half; of a rep that the split without the plan
// found too 0, and of one in which it found several what lies between those.
func (m *measurer) slowShare(rep Rep) float64 {
	var v []float64
	unseen, between, waiting, pieces := 0, 0, 0, 0
	for i := max(0, int(rep.StartS)+3); i < int(rep.EndS)-3 && i < m.sp.n; i++ {
		if m.sp.halt[i+1] > m.sp.halt[i] {
			continue
		}
		v = append(v, m.sp.smooth[i])
		switch {
		case m.sp.seen == nil:
		case m.sp.seen[i] == 0:
			unseen, waiting = unseen+1, waiting+1
		case pieces == 0:
			pieces, waiting = 1, 0
		case waiting > 0:
			pieces, between, waiting = pieces+1, between+waiting, 0
		}
	}
	if len(v) == 0 || m.sp.seen != nil && float64(unseen) <= brokenShare*float64(len(v)) {
		return 0
	}
	slices.Sort(v)
	limit := 0.82 * v[len(v)*3/4]
	k, _ := slices.BinarySearch(v, limit)
	if pieces >= leastPieces {
		k = max(k, between)
	}
	return float64(k) / float64(len(v))
}

// contrast is the speed of the planned work over that of the rest of the run;
// +Inf when there is no rest to speak of.
func (m *measurer) contrast() float64 {
	var d, t float64
	for _, rep := range m.r.Reps {
		if rep.Outcome != Missed {
			d, t = d+m.sp.at(rep.EndS)-m.sp.at(rep.StartS), t+rep.Seconds()
		}
	}
	n := float64(m.sp.n)
	if rest := n - t; t > 0 && rest > 0.1*n && rest > 60 {
		return d / t / math.Max((m.sp.at(n)-d)/rest, 0.1)
	}
	return math.Inf(1)
}

// restsPlanned tells whether the plan has recoveries of any kind between reps.
func (m *measurer) restsPlanned() bool {
	return slices.ContainsFunc(m.lay.tasks, func(t task) bool { return t.rest })
}

// restContrast is the logarithm of the speed of the reps over that of the
// recoveries after them, and its standard error; infinite without recoveries.
// Plainly counts only those that are meant to be plainly slower.
func (m *measurer) restContrast(plainly bool) (ratio, se float64) {
	var work, workS, rest, restS float64
	for _, rep := range m.r.Reps {
		rec := rep.Recovery
		if rep.Outcome == Missed || rec == nil || rec.Step < 0 || rec.Outcome == Missed || plainly && !restful(m.lay.task(rec.Step).planned) {
			continue
		}
		work, workS = work+m.sp.at(rep.EndS)-m.sp.at(rep.StartS), workS+rep.Seconds()
		rest, restS = rest+m.sp.at(rec.EndS)-m.sp.at(rec.StartS), restS+rec.Seconds()
	}
	if restS == 0 || rest <= 0 || work <= 0 {
		return math.Inf(1), 0
	}
	v := work / workS
	return math.Log(v / (rest / restS)), m.sp.longRn / v * math.Sqrt(1/workS+1/restS)
}

// noRests tells whether the recoveries that were found are none: those that
// are meant to be plainly slower must be, and any kind must be slower by more
// than the noise can do when the places are chosen to suit the plan.
func (m *measurer) noRests() bool {
	plain, _ := m.restContrast(true)
	all, se := m.restContrast(false)
	least := leastFloatContrast
	if m.nothingSeen() {
		least = leastUnseenContrast
	}
	return plain < math.Log(leastRestContrast) || all < math.Max(math.Log(least), 3*se)
}

// nothingSeen tells whether the session was split without the plan, and no work
// was seen in it: then the plan must fit the better to be believed.
func (m *measurer) nothingSeen() bool {
	s := m.sp.s.Segments
	return len(s) > 0 && !slices.ContainsFunc(s, func(g segment.Segment) bool { return g.Role == segment.Work })
}

// quicker tells whether a stretch was run plainly quicker than the rest of what was
// run, stops left out.
func (m *measurer) quicker(p placed) bool {
	var inside, outside []float64
	for i := range m.sp.n {
		switch {
		case m.sp.halt[i+1] > m.sp.halt[i] || m.sp.smooth[i] < leastRunning:
		case float64(i) >= p.start && float64(i) < p.end:
			inside = append(inside, m.sp.smooth[i])
		default:
			outside = append(outside, m.sp.smooth[i])
		}
	}
	if len(inside) == 0 || len(outside) < leastOutsideS {
		return false
	}
	slices.Sort(inside)
	slices.Sort(outside)
	return inside[len(inside)/2] > leastRestContrast*outside[len(outside)/2]
}

// differentWithoutWork judges a plan that holds easy running only.
func (m *measurer) differentWithoutWork() string {
	for _, g := range m.sp.s.Segments {
		if g.Role == segment.Work {
			return "the plan is easy running only, but work was run"
		}
	}
	for _, st := range m.r.Steps {
		if st.Outcome == Missed && st.Planned.Role == segment.Easy {
			return "the planned easy running is not there"
		}
	}
	for _, p := range m.lay.path {
		if p.move == moveFast && (!m.o.Given || m.quicker(p)) {
			return "the plan is easy running only, but work was run"
		}
	}
	var planned, ran float64
	for _, st := range m.r.Steps {
		if t := m.lay.task(st.Planned.Index); !t.open {
			planned += t.amount
			ran += t.amount + st.AmountDrift
		}
	}
	if planned > 0 && ran < leastThere*planned {
		return "less than half of the planned easy running is there"
	}
	return ""
}
