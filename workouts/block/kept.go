package block

import (
	"fmt"
	"math"
	"math/bits"
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
	Moved    Outcome = "moved"    // on another day of its week
	Replaced Outcome = "replaced" // something else was run on its day
	Missed   Outcome = "missed"   // and nothing else was run on its day
	Ahead    Outcome = "ahead"    // its day is after the last recording
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
	Open     VolumeCall = "ahead" // the week is not over as far as the recordings tell
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
	Run      *Session // what was run; nil when nothing was
	Likeness float64  // of the workout and the run, 0 to 1; 0 when there is none
}

// Against holds a plan against what was run. The names in it must be resolved.
func (p Plan) Against(b *Block) ([]KeptWeek, error) {
	if p.Starts.Weekday() != b.Calendar.FirstDay {
		return nil, fmt.Errorf("the plan starts on a %s, and weeks begin on a %s", p.Starts.Weekday(), b.Calendar.FirstDay)
	}
	last := time.Time{}
	for _, s := range b.Sessions {
		if s.Day.After(last) {
			last = s.Day
		}
	}
	var out []KeptWeek
	for _, w := range p.Weeks {
		k := KeptWeek{Planned: w, Start: p.Starts.AddDate(0, 0, 7*(w.Number-1))}
		end := k.Start.AddDate(0, 0, 7)
		var run []*Session
		for i := range b.Sessions {
			if s := &b.Sessions[i]; !s.Day.Before(k.Start) && s.Day.Before(end) {
				run = append(run, s)
				k.DistanceM += s.DistanceM
				k.TimeS += s.MovingS
			}
		}
		k.Call = w.Volume.call(k.DistanceM, k.TimeS, !end.AddDate(0, 0, -1).After(last))
		k.Sessions = keep(k.Start, w.Sessions, run, last)
		out = append(out, k)
	}
	return out, nil
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

// keep says what became of the sessions of a week.
func keep(start time.Time, planned []PlannedSession, run []*Session, last time.Time) []KeptSession {
	like := make([][]float64, len(planned))
	days := make([]time.Time, len(planned))
	for i, p := range planned {
		days[i] = start.AddDate(0, 0, int(p.Day-start.Weekday()+7)%7)
		like[i] = make([]float64, len(run))
		for j, r := range run {
			if l := likenessTo(p.Workout, r.Run); l >= library.LeastLikeness {
				like[i][j] = l + nearness(days[i], r.Day)
			}
		}
	}
	pairs := assign(like, len(run))
	used := make([]bool, len(run))
	for _, j := range pairs {
		if j >= 0 {
			used[j] = true
		}
	}
	var out []KeptSession
	for i := range planned {
		k := KeptSession{Planned: &planned[i], Day: days[i]}
		switch j := pairs[i]; {
		case j >= 0 && run[j].Day.Equal(days[i]):
			k.Outcome, k.Run, k.Likeness = Done, run[j], like[i][j]-nearness(days[i], run[j].Day)
		case j >= 0:
			k.Outcome, k.Run, k.Likeness = Moved, run[j], like[i][j]-nearness(days[i], run[j].Day)
		case days[i].After(last):
			k.Outcome = Ahead
		default:
			k.Outcome = Missed
			for j, r := range run {
				if !used[j] && r.Day.Equal(days[i]) {
					k.Outcome, k.Run, used[j] = Replaced, r, true
					k.Likeness = likenessTo(planned[i].Workout, r.Run)
					break
				}
			}
		}
		out = append(out, k)
	}
	if len(planned) == 0 {
		return out
	}
	for j, r := range run {
		if !used[j] && r.Hard {
			out = append(out, KeptSession{Day: r.Day, Outcome: Extra, Run: r})
		}
	}
	return out
}

// nearness is what running a session near its day is worth when several runs
// are about equally like it: up to 0.05 on the day itself.
func nearness(planned, run time.Time) float64 {
	return 0.05 * (1 - math.Abs(run.Sub(planned).Hours())/24/7)
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
// there is none or more than one.
func Named(entries []library.Entry) func(Session) string {
	return func(s Session) string {
		if s.Unmeasured {
			return ""
		}
		r, err := library.Recognise(entries, s.session())
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
