package block

import (
	"math"
	"slices"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
)

// A Block is weeks in a row and what they add up to.
type Block struct {
	Calendar Calendar
	Athlete  athlete.Athlete
	Zones    athlete.Zones // of heart rate; without a Name when they are not known
	Paces    []PaceZone    // slowest first; nil without reference paces

	Weeks    []Week    // from the first with a run to the last; long gaps are left out
	Whole    Week      // all of them together; its Start is the first's
	Sessions []Session // in the order in which they began
	Bests    []Best    // the quickest stretches of every length, in the order of the athlete's events
	Warnings []recording.Warning
}

// A Week is the sums of the sessions that began in it.
type Week struct {
	Name  string
	Start time.Time // midnight UTC of its first day

	Recordings int // all of them, also those that are not counted
	Sessions   int
	DistanceM  float64
	TimeS      float64 // without stops
	ElapsedS   float64
	Where      []Where // by place, in the order of Places, all of them
	Longest    *Session
	Days       [7]float64 // distance by day, m

	Hard     int     // sessions
	HardM    float64 // their distance
	HardS    float64 // their time by the clock
	Ledger   [len(LedgerRoles)]Line
	Reps     int              // in hard sessions
	RepS     float64          // their mean length
	EffortS  [efforts]float64 // time of all sessions at work, in recoveries, and the rest of it
	Heart    HeartTime
	PacesS   []float64 // time by pace zone
	PaceWork []float64 // the same within the work of all sessions

	Before *Change // against the week before; nil for the first
}

// A Session is a run in the weeks.
type Session struct {
	Run
	Day   time.Time // midnight UTC of the runner's date
	Hard  bool
	Why   Reason  // it is hard, or said to be easy
	WorkS float64 // work that counts towards hard, s
	WorkM float64 // all of its work, m
	work  *Time   // nil without a structure
}

// Places are the kinds of place, in the order they are told in.
var Places = [...]recording.Place{recording.Outdoors, recording.Treadmill, recording.Track, recording.Trail, recording.PlaceUnknown}

// LedgerRoles are the lines of the ledger, in its order.
var LedgerRoles = [...]segment.Role{segment.Work, segment.Recovery, segment.Warm, segment.Cool, segment.Easy, segment.Stop}

// A Line is one line of a ledger.
type Line struct {
	DistanceM float64
	Seconds   float64
}

// New adds the sessions that Merge gave up to weeks. Recordings is all that
// there were, for counting.
func New(sessions, recordings []Run, a athlete.Athlete, c Calendar) *Block {
	b := &Block{Calendar: c, Athlete: a, Paces: paceZones(a)}
	b.Zones, _ = a.Zones()
	weeks := map[time.Time]*Week{}
	at := func(day time.Time) *Week {
		start := c.Week(day)
		if weeks[start] == nil {
			weeks[start] = b.week(start)
		}
		return weeks[start]
	}
	joined := map[string]time.Time{} // the day of the session that a piece belongs to
	for _, s := range sessions {
		for _, piece := range s.Pieces {
			joined[piece] = c.Day(s.Start)
		}
	}
	for _, r := range recordings {
		if r.Start.IsZero() || !r.counts() || r.LeftOut != "" {
			continue
		}
		day, ok := joined[r.File]
		if !ok {
			day = c.Day(r.Start)
		}
		at(day).Recordings++
	}
	b.enlist(sessions)
	whole := b.week(time.Time{})
	notes := noteBook{}
	for i, full := range unpackAhead(b.Sessions) {
		s := &b.Sessions[i]
		packed := s.Run
		s.Run = full
		s.judge(a, b.Zones)
		s.work = timeOf(s)
		at(s.Day).add(s, b)
		whole.add(s, b)
		b.best(s)
		notes.add(s)
		s.Run = packed // few details are in memory at a time
	}
	b.gather(weeks, whole)
	b.Warnings = append(b.Warnings, notes.warnings()...)
	return b
}

// enlist takes in the sessions that can be counted, and says why not of others.
func (b *Block) enlist(sessions []Run) {
	b.Sessions = make([]Session, 0, len(sessions))
	for _, r := range sessions {
		if w, left := leftOut(r); left {
			b.Warnings = append(b.Warnings, w)
			continue
		}
		if r.Unmeasured {
			b.Warnings = append(b.Warnings, recording.WarningOf(NoDistance, "%s tells no distance; only its time is counted", r.File))
		}
		b.Sessions = append(b.Sessions, Session{Run: r, Day: b.Calendar.Day(r.Start)})
	}
	slices.SortStableFunc(b.Sessions, func(a, b Session) int { return a.Start.Compare(b.Start) })
}

// leftOut tells whether a session cannot be put into any week, and why.
func leftOut(r Run) (recording.Warning, bool) {
	switch {
	case !r.counts():
		return recording.WarningOf(NotARun, "%s is of %s and is not counted", r.File, r.Sport), true
	case r.LeftOut != "":
		return recording.WarningOf(TooLittle, "%s is not counted: %s", r.File, r.LeftOut), true
	case r.Start.IsZero():
		return recording.WarningOf(NoDate, "%s has no date and is not counted", r.File), true
	}
	return recording.Warning{}, false
}

func (b *Block) week(start time.Time) *Week {
	w := &Week{Name: b.Calendar.WeekName(start), Start: start, PacesS: make([]float64, len(b.Paces)), PaceWork: make([]float64, len(b.Paces))}
	w.Heart.ZonesS = make([]float64, len(b.Zones.Lower))
	for _, p := range Places {
		w.Where = append(w.Where, Where{Place: p})
	}
	return w
}

// gather puts the weeks in order, fills those without a run in, and sums all.
func (b *Block) gather(weeks map[time.Time]*Week, whole *Week) {
	b.Whole = *whole
	if len(weeks) == 0 {
		return
	}
	var starts []time.Time
	for s := range weeks {
		starts = append(starts, s)
	}
	slices.SortFunc(starts, time.Time.Compare)
	for i, s := range starts {
		if i > 0 {
			b.fill(starts[i-1], s)
		}
		b.Weeks = append(b.Weeks, *weeks[s])
	}
	for i := range b.Weeks {
		whole.Recordings += b.Weeks[i].Recordings
		b.Weeks[i].Before = b.change(i)
	}
	whole.Name, whole.Start = "all", starts[0]
	b.Whole = *whole
}

// mostEmpty is how many weeks in a row without a run are shown. One recording
// with a wrong date must not make hundreds.
const mostEmpty = 12

// fill adds the weeks without a run between two that have one.
func (b *Block) fill(before, after time.Time) {
	n := int(after.Sub(before).Hours()/24/7) - 1
	if n > mostEmpty {
		b.Warnings = append(b.Warnings, recording.WarningOf(LongGap, "there is no run for %d weeks after %s, and they are left out; are all dates right?", n, b.Calendar.WeekName(before)))
		return
	}
	for i := range n {
		b.Weeks = append(b.Weeks, *b.week(before.AddDate(0, 0, 7*(i+1))))
	}
}

// add counts a session.
func (w *Week) add(s *Session, b *Block) {
	w.Sessions++
	w.DistanceM += s.DistanceM
	w.TimeS += s.MovingS
	w.ElapsedS += s.ElapsedS
	for _, x := range s.Where {
		i := max(0, slices.Index(Places[:], x.Place))
		w.Where[i].DistanceM += x.DistanceM
		w.Where[i].MovingS += x.MovingS
	}
	if w.Longest == nil || s.DistanceM > w.Longest.DistanceM {
		w.Longest = s
	}
	if d := int(s.Day.Sub(w.Start).Hours() / 24); d >= 0 && d < 7 {
		w.Days[d] += s.DistanceM
	}
	if s.Hard {
		w.Hard++
		w.HardM += s.DistanceM
		w.HardS += s.ElapsedS
		for _, p := range s.Parts {
			w.enter(p)
		}
	}
	w.Heart.add(s.Run, b.Zones)
	for _, p := range s.Parts {
		w.EffortS[effortOf(p.Role)] += p.Seconds()
	}
	for e := range efforts {
		for i, z := range b.Paces {
			t := s.Speed[e].Seconds(z.lowSpeed(), z.highSpeed())
			w.PacesS[i] += t
			if e == AtWork {
				w.PaceWork[i] += t
			}
		}
	}
}

// enter puts a part of a hard session into the ledger.
func (w *Week) enter(p Part) {
	i := slices.Index(LedgerRoles[:], p.Role)
	if i < 0 {
		i = slices.Index(LedgerRoles[:], segment.Easy)
	}
	stood := 0.0
	if p.Role != segment.Work && p.Role != segment.Recovery && p.Role != segment.Stop {
		stood = p.StoppedS
	}
	w.Ledger[i].DistanceM += p.DistanceM
	w.Ledger[i].Seconds += p.Seconds() - stood
	w.Ledger[slices.Index(LedgerRoles[:], segment.Stop)].Seconds += stood
	if p.Role == segment.Work {
		w.Reps++
		w.RepS += (p.Seconds() - w.RepS) / float64(w.Reps)
	}
}

// hardWork is the time of the work that counts towards a hard session, s. What
// is not known of a part does not count against it.
func hardWork(parts []Part, h athlete.Hard) float64 {
	sum := 0.0
	for _, p := range parts {
		switch {
		case p.Role != segment.Work:
		case h.Pace > 0 && p.DistanceM > 0 && p.Pace() > h.Pace:
		case h.HeartBPM > 0 && p.HeartBPM > 0 && p.HeartBPM < h.HeartBPM:
		default:
			sum += p.Seconds()
		}
	}
	return sum
}

// Monotony is the mean of the daily distances over their standard deviation
// (with n-1): the more alike the days, the higher. NaN without running, +Inf
// when all days are alike.
//
// Foster C. 1998, Med. Sci. Sports Exerc. 30(7):1164-1168 (from memory), who
// used session effort rather than distance.
func (w Week) Monotony() float64 {
	mean := 0.0
	for _, d := range w.Days {
		mean += d / 7
	}
	if mean == 0 {
		return math.NaN()
	}
	v := 0.0
	for _, d := range w.Days {
		v += (d - mean) * (d - mean) / 6
	}
	return mean / math.Sqrt(v)
}

// A Change is a week against the one before it.
type Change struct {
	Share float64 // of the distance of the week before; +0.1 is 10 % more; NaN when there was none
	Jump  bool    // it calls for caution
}

// When a week calls for caution: more than 30 % above the week before, and
// above each of the last four, so that the return after a rest week does not call for it.
// Runners who progressed by more than 30 % over two weeks had more
// distance-related injuries than those who stayed below 10 % (Nielsen et al.
// 2014, J. Orthop. Sports Phys. Ther. 44(10):739-747, from memory); a trial of
// 10 % a week against a usual programme found no difference (Buist et al. 2008,
// Am. J. Sports Med. 36(1):33-39, from memory). The four weeks are common
// practice, no source.
const (
	JumpShare = 0.30
	JumpWeeks = 4
)

func (b *Block) change(i int) *Change {
	ago := func(k int) int { return int(b.Weeks[i].Start.Sub(b.Weeks[k].Start).Hours() / 24 / 7) }
	if i == 0 || ago(i-1) > 1 {
		return nil
	}
	now, before := b.Weeks[i].DistanceM, b.Weeks[i-1].DistanceM
	c := &Change{Share: now/before - 1}
	if before == 0 {
		c.Share = math.NaN()
	}
	most := 0.0
	for k := max(0, i-JumpWeeks); k < i; k++ {
		if ago(k) > JumpWeeks {
			continue
		}
		most = max(most, b.Weeks[k].DistanceM)
	}
	c.Jump = most > 0 && now > (1+JumpShare)*before && now > most && before > 0
	return c
}
