package block

import (
	"fmt"
	"math"
	"math/bits"
	"slices"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/likeness"
)

// Outcome says what became of a planned session.
type Outcome string

// Outcomes.
const (
	Done     Outcome = "done"     // on its day
	Moved    Outcome = "moved"    // within three days of its own
	Cut      Outcome = "cut"      // on its day, but less of it than planned
	Replaced Outcome = "replaced" // something else was run on its day
	Missed   Outcome = "missed"   // nothing was run on its day, which is over
	Ahead    Outcome = "ahead"    // still to come: its day is not over
	Extra    Outcome = "extra"    // a hard session that was not planned
)

// VolumeCall says how a week's volume compares with the plan's.
type VolumeCall string

// Volume calls.
const (
	NoVolume VolumeCall = ""
	Within   VolumeCall = "within"
	Below    VolumeCall = "below"
	Above    VolumeCall = "above"
	Open     VolumeCall = "ahead" // the week is not over
)

// VolumeMargin is how far a week may be off a volume and count as within it:
// common practice, no source.
const VolumeMargin = 0.05

// A KeptWeek is a planned week against what was run.
type KeptWeek struct {
	Planned   PlannedWeek
	Start     time.Time // midnight UTC
	DistanceM float64
	TimeS     float64 // without stops
	Call      VolumeCall
	Sessions  []KeptSession
}

// A KeptSession is a planned session and what became of it, or an extra one.
type KeptSession struct {
	Planned  *PlannedSession // nil for an extra one
	Day      time.Time       // it was planned on; of an extra one, it was run on
	Outcome  Outcome
	Run      *Session   // what was run; nil when nothing was
	Also     []*Session // more that was run for it, as doubles
	Share    float64    // of its amount, or of its reps, that was run; 1 within the tolerance; NaN when nothing was run for it
	Likeness float64    // of the workout and the run, 0 to 1; 0 when nothing was run
}

// Against holds a plan against what was run until today, the runner's date as
// midnight UTC. The names in the plan must be resolved.
//
// Branches: a loop over each kind of what is laid out.
func (p Plan) Against(b *Block, today time.Time) ([]KeptWeek, error) {
	if p.Starts.Weekday() != b.Calendar.FirstDay {
		return nil, fmt.Errorf("the plan starts on a %s, and weeks begin on a %s", p.Starts.Weekday(), b.Calendar.FirstDay)
	}
	var out []KeptWeek
	var planned []*PlannedSession
	var wants []want
	week := map[time.Time]int{} // by the first day of a week, its place in out
	of := []int{}               // by planned session
	for i, w := range p.Weeks {
		k := KeptWeek{Planned: w, Start: p.Starts.AddDate(0, 0, 7*(w.Number-1))}
		for _, s := range p.sessions(i) {
			planned, of = append(planned, s), append(of, i)
			wants = append(wants, wantOf(s, k.Start.AddDate(0, 0, int(s.Day-k.Start.Weekday()+7)%7)))
		}
		week[k.Start] = i
		out = append(out, k)
	}
	gots := make([]got, len(b.Sessions))
	for j, s := range b.Sessions {
		gots[j] = got{s.Day, s.MovingS, s.DistanceM}
		if i, ok := week[b.Calendar.Week(s.Day)]; ok {
			out[i].DistanceM += s.DistanceM
			out[i].TimeS += s.MovingS
		}
	}
	f := &fitter{planned: planned, wants: wants, sessions: b.Sessions, known: map[[2]int]agreement{}}
	used := map[int]bool{}
	for i, s := range settle(wants, gots, today, f.fits) {
		k := KeptSession{Planned: planned[i], Day: wants[i].day, Outcome: s.outcome, Share: s.share}
		for n, j := range s.runs {
			used[j] = true
			if n == 0 {
				k.Run = &b.Sessions[j]
				if !wants[i].rest {
					k.Likeness = likenessTo(planned[i].Workout, k.Run.Run)
				}
			} else {
				k.Also = append(k.Also, &b.Sessions[j])
			}
		}
		out[of[i]].Sessions = append(out[of[i]].Sessions, k)
	}
	for j := range b.Sessions {
		r := &b.Sessions[j]
		if i, ok := week[b.Calendar.Week(r.Day)]; ok && !used[j] && r.Hard && len(out[i].Sessions) > 0 {
			out[i].Sessions = append(out[i].Sessions, KeptSession{Day: r.Day, Outcome: Extra, Run: r, Share: math.NaN()})
		}
	}
	for i := range out {
		k := &out[i]
		k.Call = k.Planned.Volume.call(k.DistanceM, k.TimeS, k.Start.AddDate(0, 0, 7).Before(today.AddDate(0, 0, 1)))
	}
	return out, nil
}

// wantOf is a planned session as settling needs it.
func wantOf(s *PlannedSession, day time.Time) want {
	w := want{day: day, rest: s.Rest}
	works := 0
	for _, p := range s.Workout.Expand() {
		if p.Role == segment.Work {
			works++
		}
	}
	if s.Rest || works > 1 {
		return w
	}
	seconds, metres, open := amountOf(s.Workout, false)
	switch {
	case open:
	case metres == 0:
		w.seconds = seconds
	case seconds == 0:
		w.metres = metres
	}
	return w
}

// amountOf adds up the steps of a workout, or its work alone: s, m, and whether one
// has no amount.
func amountOf(w workouts.Workout, workOnly bool) (seconds, metres float64, open bool) {
	for _, p := range w.Expand() {
		if workOnly && p.Role != segment.Work {
			continue
		}
		a := p.Step.Amount
		seconds, metres, open = seconds+a.Seconds, metres+a.Metres, open || a.Kind == workouts.Open
	}
	return seconds, metres, open
}

// A fitter says how planned sessions and runs go together, each pair once.
type fitter struct {
	planned  []*PlannedSession
	wants    []want
	sessions []Session
	known    map[[2]int]agreement
}

func (f *fitter) fits(i, j int) agreement {
	a, ok := f.known[[2]int{i, j}]
	if !ok {
		a = f.find(i, j)
		f.known[[2]int{i, j}] = a
	}
	return a
}

func (f *fitter) find(i, j int) agreement {
	w, s := f.planned[i].Workout, &f.sessions[j]
	none := agreement{0, math.NaN()}
	works, _, _ := amountOf(w, true)
	_, far, _ := amountOf(w, true)
	if works == 0 && far == 0 && f.wants[i].byAmount() { // easy running
		if s.Why == ByWork || s.Why == SaidRace {
			return none
		}
		return agreementOf(f.wants[i].share(s.MovingS, s.DistanceM))
	}
	if l := likenessTo(w, s.Run); l >= library.LeastLikeness {
		// One in three reps may be missing from what is as like as that: what of it was run is what is likest.
		best := agreement{l, 1}
		for _, c := range cuts(w) {
			if x := likenessTo(c.workout, s.Run); x > l {
				if l, best = x, (agreement{x, 1}); c.missing > library.MostOdd {
					best = agreement{x * c.share, c.share}
				}
			}
		}
		return best
	}
	if f.wants[i].byAmount() { // work in one piece
		if s.Main != "" {
			return none
		}
		a := agreementOf(f.wants[i].share(s.MovingS, s.DistanceM))
		if b := agreementOf(want{seconds: works, metres: far}.share(s.MovingS, s.DistanceM)); b.like > a.like {
			a = b
		}
		return a
	}
	for _, c := range cuts(w) {
		if l := likenessTo(c.workout, s.Run); l >= library.LeastLikeness {
			return agreement{l * c.share, c.share}
		}
	}
	return none
}

// A cutWorkout is a workout of which the last reps are left out.
type cutWorkout struct {
	workout workouts.Workout
	share   float64 // of the reps that is left
	missing int
}

// cuts are a workout cut short at every rep of its last repeat, down to half of its
// reps, as a check has it.
func cuts(w workouts.Workout) (out []cutWorkout) {
	reps := func(w workouts.Workout) (n int) {
		for _, p := range w.Expand() {
			if p.Role == segment.Work {
				n++
			}
		}
		return n
	}
	all := reps(w)
	last := -1
	for i, it := range w.Items {
		if it.Count > 1 {
			last = i
		}
	}
	if last < 0 {
		return nil
	}
	for n := w.Items[last].Count - 1; n >= 1; n-- {
		c := w
		c.Items = slices.Clone(w.Items)
		c.Items[last].Count = n
		share := float64(reps(c)) / float64(all)
		if share < halfRun || share >= 1 {
			break
		}
		out = append(out, cutWorkout{c, share, all - reps(c)})
	}
	return out
}

// call compares a volume. A week that is not over can only be above it.
func (v Volume) call(metres, seconds float64, over bool) VolumeCall {
	x := metres
	if v.InTime {
		x = seconds
	}
	switch {
	case v.Low == 0:
		return NoVolume
	case x > v.High*(1+VolumeMargin):
		return Above
	case x >= v.Low*(1-VolumeMargin):
		return Within
	case !over:
		return Open
	}
	return Below
}

// likenessTo is how like a run is to a workout, 0 to 1.
func likenessTo(w workouts.Workout, r Run) float64 {
	return 1 - likeness.DistanceRun(w, r.session())
}

// session is the run as Split found it, without its trace.
func (r Run) session() *segment.Session {
	r = r.full()
	s := &segment.Session{
		Recording: r.span(),
		Trace:     &signal.Trace{Source: signal.Odometer, Step: r.StepS},
		Structure: r.Found,
	}
	place := recording.Place("")
	if len(r.Where) > 0 {
		place = r.Where[0].Place
	}
	for _, p := range r.Parts {
		g := segment.Segment{Role: p.Role, Set: p.Set, Rep: p.Rep, StartS: p.StartS, EndS: p.EndS,
			StartSE: p.StartSE, EndSE: p.EndSE, DistanceM: p.DistanceM, Pace: p.Pace()}
		g.WithinSE = g.Pace * p.DistSE / p.DistanceM
		g.PaceSE = math.Hypot(g.WithinSE, g.Pace*odometerSEAt(place))
		s.Segments = append(s.Segments, g)
	}
	return s
}

// Named gives the name of the workout that a session clearly is, empty when
// there is none or more than one. Easy and steady running is not asked for: it is
// alike everywhere.
func Named(entries []library.Entry) func(Session) string {
	by := library.NewRecogniser(entries)
	return func(s Session) string {
		if s.Unmeasured || s.Main == "" {
			return ""
		}
		r, err := by.Likely(s.session())
		if err != nil {
			return ""
		}
		if f := r.Fitting(); len(f) == 1 {
			return f[0].Entry.Name
		}
		return ""
	}
}

// assign pairs planned sessions with runs so that the sum of the likenesses is
// the greatest, exactly: the best for every set of the planned sessions, run by
// run. A likeness of zero is no pair. It gives the run of each, -1 for none.
func assign(like [][]float64, runs int) []int {
	n := len(like)
	pairs := make([]int, n)
	for i := range pairs {
		pairs[i] = -1
	}
	if n == 0 || n > mostPlanned {
		return pairs
	}
	size := 1 << n
	best := make([][]float64, runs+1) // by runs taken so far, by set of planned sessions that have one
	for j := range best {
		best[j] = make([]float64, size)
	}
	for j := range runs {
		for set := range size {
			top := best[j][set]
			for rest := set; rest != 0; rest &= rest - 1 {
				i := bits.TrailingZeros(uint(rest))
				if like[i][j] > 0 {
					top = max(top, best[j][set&^(1<<i)]+like[i][j])
				}
			}
			best[j+1][set] = top
		}
	}
	set := size - 1
	for j := runs; j > 0; j-- {
		if best[j][set] == best[j-1][set] {
			continue
		}
		for rest := set; rest != 0; rest &= rest - 1 {
			i := bits.TrailingZeros(uint(rest))
			if like[i][j-1] > 0 && best[j][set] == best[j-1][set&^(1<<i)]+like[i][j-1] {
				pairs[i] = j - 1
				set &^= 1 << i
				break
			}
		}
	}
	return pairs
}

// mostPlanned is the most sessions of a planned week; ParsePlan keeps to it.
const mostPlanned = 14
