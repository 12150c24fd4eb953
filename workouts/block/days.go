package block

import (
	"cmp"
	"math"
	"slices"
	"time"
)

// How planned days are settled, in the order that a coach would go:
//
//  1. on its day, each session that fits alone;
//  2. on its day, doubles run as one or one run as doubles, by their sum;
//  3. on its day, what was cut short or drawn out to no more than the double, alone or
//     by the sum;
//  4. within moveReach days, what is left of the plan with what is left of the runs;
//  5. what is left is replaced by what else was run on its day, still to come, or missed.

// moveReach is how many days a session may be moved and still be the one that
// was planned, also into another week: common practice, no source.
const moveReach = 3

// easyAmount is the share by which a run by amount may be off its plan, as a
// check has it (match.Amounts.Easy).
const easyAmount = 0.15

// halfRun is the share below which a run is another one, as a check has it: less
// than half of what was planned; and above its inverse.
const halfRun = 0.5

// A want is a planned session as settling needs it.
type want struct {
	day  time.Time // midnight UTC
	rest bool      // nothing is to be run
	// Amount of a run that is judged by it: easy and steady running, a race. One
	// of the two is set; neither for reps.
	seconds, metres float64
}

// byAmount tells whether a session is judged by how much was run.
func (w want) byAmount() bool { return w.seconds > 0 || w.metres > 0 }

// share is how much of the amount a run has; NaN when that cannot be said.
func (w want) share(seconds, metres float64) float64 {
	switch {
	case w.seconds > 0 && seconds > 0:
		return seconds / w.seconds
	case w.metres > 0 && metres > 0:
		return metres / w.metres
	}
	return math.NaN()
}

// A got is a session that was run as settling needs it.
type got struct {
	day             time.Time
	seconds, metres float64 // without stops
}

// A settled planned session.
type settled struct {
	outcome Outcome
	runs    []int   // what was run for it, by index; what was run instead when it was replaced
	share   float64 // of its amount or of its reps that was run; 1 where it fits; NaN where nothing was
}

// An agreement is how a planned session and a run go together.
type agreement struct {
	like  float64 // 0 to 1; 0 when they are different sessions
	share float64 // of the plan that was run: 1 within the tolerance
}

// good tells whether the run is the session as planned.
func (f agreement) good() bool { return f.like > 0 && f.share == 1 }

// agreementOf is the fit of an amount.
func agreementOf(share float64) agreement {
	switch {
	case math.Abs(share-1) <= easyAmount+1e-9:
		return agreement{1 - math.Abs(share-1)/2, 1}
	case share >= halfRun && share <= 1/halfRun:
		return agreement{0.9 - math.Abs(math.Log(share)), share}
	}
	return agreement{0, math.NaN()}
}

// A settler lays a plan over what was run. Fits gives the fit of a planned session
// and one run.
type settler struct {
	wants []want
	gots  []got
	fits  func(w, g int) agreement
	today time.Time
	out   []settled
	used  []bool
}

// settle says what became of planned sessions, each by the day that it is for the
// runner.
func settle(wants []want, gots []got, today time.Time, fits func(w, g int) agreement) []settled {
	s := &settler{wants: wants, gots: gots, fits: fits, today: today, out: make([]settled, len(wants)), used: make([]bool, len(gots))}
	planned, run := map[time.Time][]int{}, map[time.Time][]int{}
	var days []time.Time
	for i, w := range wants {
		if planned[w.day] == nil {
			days = append(days, w.day)
		}
		planned[w.day] = append(planned[w.day], i)
	}
	for j, g := range gots {
		run[g.day] = append(run[g.day], j)
	}
	slices.SortFunc(days, time.Time.Compare)
	for _, d := range days {
		s.alone(planned[d], run[d], agreement.good)
		s.together(planned[d], run[d], true)
		s.together(planned[d], run[d], false)
		s.alone(planned[d], run[d], func(f agreement) bool { return f.like > 0 })
	}
	s.move(run)
	for _, d := range days {
		s.rest(planned[d], run[d])
	}
	return s.out
}

// open are those of planned sessions that have no outcome and are to be run.
func (s *settler) open(planned []int) (out []int) {
	for _, i := range planned {
		if s.out[i].outcome == "" && !s.wants[i].rest {
			out = append(out, i)
		}
	}
	return out
}

// free are those of runs that are used for nothing.
func (s *settler) free(run []int) (out []int) {
	for _, j := range run {
		if !s.used[j] {
			out = append(out, j)
		}
	}
	return out
}

// take settles a planned session with runs.
func (s *settler) take(i int, o Outcome, share float64, runs ...int) {
	if o != Replaced && share < 1 {
		o = map[Outcome]Outcome{Done: Cut, Moved: Moved}[o]
	}
	s.out[i] = settled{o, runs, share}
	for _, j := range runs {
		s.used[j] = true
	}
}

// alone pairs the planned sessions of a day with its runs so that the likenesses
// add up to the most.
func (s *settler) alone(planned, run []int, enough func(agreement) bool) {
	planned, run = s.open(planned), s.free(run)
	like := make([][]float64, len(planned))
	for a, i := range planned {
		like[a] = make([]float64, len(run))
		for b, j := range run {
			if f := s.fits(i, j); enough(f) {
				like[a][b] = f.like
			}
		}
	}
	for a, b := range assign(like, len(run)) {
		if b >= 0 {
			s.take(planned[a], Done, s.fits(planned[a], run[b]).share, run[b])
		}
	}
}

// mostTogether is how many runs, or planned sessions, of a day are put together
// in every way.
const mostTogether = 6

// subsets gives the subsets of two and more, small ones first.
func subsets(of []int) (out [][]int) {
	n := min(len(of), mostTogether)
	for set := range 1 << n {
		var one []int
		for k := range n {
			if set>>k&1 == 1 {
				one = append(one, of[k])
			}
		}
		if len(one) > 1 {
			out = append(out, one)
		}
	}
	slices.SortStableFunc(out, func(a, b []int) int { return cmp.Compare(len(a), len(b)) })
	return out
}

// together holds runs by amount against each other by their sums; what is not good
// must be better than each of them alone.
func (s *settler) together(planned, run []int, good bool) {
	enough := func(f agreement, is, js []int) bool {
		if good || f.like == 0 {
			return f.good()
		}
		for _, i := range is {
			for _, j := range js {
				if s.fits(i, j).like >= f.like {
					return false
				}
			}
		}
		return true
	}
	for _, i := range s.open(planned) {
		if !s.wants[i].byAmount() {
			continue
		}
		for _, js := range subsets(s.free(run)) {
			seconds, metres := 0.0, 0.0
			for _, j := range js {
				seconds, metres = seconds+s.gots[j].seconds, metres+s.gots[j].metres
			}
			if f := agreementOf(s.wants[i].share(seconds, metres)); enough(f, []int{i}, js) {
				s.take(i, Done, f.share, js...)
				break
			}
		}
	}
	for _, j := range s.free(run) {
		for _, is := range subsets(s.open(planned)) {
			if f := agreementOf(s.sum(is).share(s.gots[j].seconds, s.gots[j].metres)); enough(f, is, []int{j}) {
				for _, i := range is {
					s.take(i, Done, f.share, j)
				}
				break
			}
		}
	}
}

// sum is planned sessions by amount as one; no amount when they are not of one kind.
func (s *settler) sum(is []int) (w want) {
	inTime := s.wants[is[0]].seconds > 0
	for _, i := range is {
		if !s.wants[i].byAmount() || s.wants[i].seconds > 0 != inTime {
			return want{}
		}
		w.seconds, w.metres = w.seconds+s.wants[i].seconds, w.metres+s.wants[i].metres
	}
	return w
}

// move pairs what is left within the reach, the most alike and nearest first. Easy
// running that is still to come was not moved to an earlier day: that was a run more.
func (s *settler) move(run map[time.Time][]int) {
	type pair struct {
		i, j  int
		worth float64
		fit   agreement
	}
	var pairs []pair
	for i, w := range s.wants {
		if s.out[i].outcome != "" || w.rest || w.byAmount() && !w.day.Before(s.today) {
			continue
		}
		for off := -moveReach; off <= moveReach; off++ {
			for _, j := range s.free(run[w.day.AddDate(0, 0, off)]) {
				f := s.fits(i, j)
				if off != 0 && (f.good() || f.like > 0 && !w.byAmount()) {
					pairs = append(pairs, pair{i, j, f.like - 0.01*math.Abs(float64(off)), f})
				}
			}
		}
	}
	slices.SortStableFunc(pairs, func(a, b pair) int { return cmp.Compare(b.worth, a.worth) })
	for _, p := range pairs {
		if s.out[p.i].outcome == "" && !s.used[p.j] {
			s.take(p.i, Moved, p.fit.share, p.j)
		}
	}
}

// rest settles what nothing was run for.
func (s *settler) rest(planned, run []int) {
	for _, i := range s.open(planned) {
		if js := s.free(run); len(js) > 0 {
			s.take(i, Replaced, math.NaN(), js[0])
		} else {
			s.none(i)
		}
	}
	for _, i := range planned {
		switch {
		case !s.wants[i].rest:
		case len(run) > 0:
			s.out[i] = settled{Replaced, slices.Clone(run), math.NaN()}
		case s.wants[i].day.Before(s.today):
			s.out[i] = settled{Done, nil, 1}
		default:
			s.none(i)
		}
	}
}

// none settles a session that has no run: missed once its day is over.
func (s *settler) none(i int) {
	s.out[i] = settled{Missed, nil, math.NaN()}
	if !s.wants[i].day.Before(s.today) {
		s.out[i].outcome = Ahead
	}
}
