package block

import (
	"fmt"
	"math"
	"slices"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/ability"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
)

// A Run is the sums of one recording, or of the pieces of one session joined.
// They hold for any athlete. Zero is "not known" where zero cannot be.
type Run struct {
	File    string          `json:"file"`
	Pieces  []string        `json:"pieces,omitempty"` // recordings it was joined from
	Start   time.Time       `json:"start"`            // zero when the recording has no date
	Sport   recording.Sport `json:"sport,omitempty"`
	LeftOut string          `json:"left_out,omitempty"` // why nothing can be said of it

	ElapsedS   float64 `json:"elapsed_s"`            // first record to last
	MovingS    float64 `json:"moving_s"`             // less the stops
	DistanceM  float64 `json:"distance_m"`           // first record to last
	Unmeasured bool    `json:"unmeasured,omitempty"` // nothing in it tells the distance

	Where []Where `json:"where,omitempty"` // adds up to DistanceM and MovingS
	Main  string  `json:"main,omitempty"`  // notation of what was found, without warm-up, cool-down and targets

	*Detail        // nil while it is packed
	Packed  []byte `json:"packed,omitempty"` // the detail; see pack

	Said *log.Entry `json:"-"` // what the log says of it; nil for nothing

	pieces []Run // recordings it was joined from

	path   string // file it was read from; empty when made elsewhere
	inside string // its name in that file, behind the path: of an archive, and where there are several
	key    string // of the content; empty when not known
}

// Detail is the larger part of a run. It is unpacked for one run at a time.
type Detail struct {
	Parts []Part          `json:"parts,omitempty"` // the segments; they add up to DistanceM and ElapsedS
	Found []segment.Block `json:"found,omitempty"` // the structure, without paces
	StepS float64         `json:"step_s,omitempty"`

	KnownS   float64 `json:"known_s,omitempty"`     // of which the speed is known
	MinuteSE float64 `json:"minute_se_m,omitempty"` // standard error of the distance over a minute

	Heart    [efforts]Tally `json:"heart"` // seconds by heart rate, 0.1 beats/min, timer running
	Speed    [efforts]Tally `json:"speed"` // seconds by speed, 2 cm/s, smoothed, timer running
	NoHeartS float64        `json:"no_heart_s,omitempty"`
	LockedS  float64        `json:"locked_s,omitempty"` // heart rate follows cadence, so is not believed
	Sensor   bool           `json:"sensor,omitempty"`   // there is heart rate

	Quickest []Quickest `json:"quickest,omitempty"`
	Way      []int      `json:"way_m,omitempty"` // m in each 10 s, for comparing recordings
	Notes    []Note     `json:"notes,omitempty"` // the warnings, one of each code
}

// Where is the distance and time run in one kind of place.
type Where struct {
	Place     recording.Place `json:"place,omitempty"`
	DistanceM float64         `json:"distance_m"`
	MovingS   float64         `json:"moving_s"`
}

// A Part is one segment of a run.
type Part struct {
	Role      segment.Role `json:"role"`
	Set       int          `json:"set,omitempty"`
	Rep       int          `json:"rep,omitempty"`
	StartS    float64      `json:"start_s"`
	EndS      float64      `json:"end_s"`
	StartSE   float64      `json:"start_se_s,omitempty"`
	EndSE     float64      `json:"end_se_s,omitempty"`
	StoppedS  float64      `json:"stopped_s,omitempty"` // the timer stood still
	DistanceM float64      `json:"distance_m"`
	DistSE    float64      `json:"distance_se_m,omitempty"` // without an error common to the whole run
	HeartBPM  float64      `json:"heart_bpm,omitempty"`     // mean
}

// Seconds is the part's length by the clock.
func (p Part) Seconds() float64 { return p.EndS - p.StartS }

// Pace is its mean pace in s/km by the clock; +Inf when standing.
func (p Part) Pace() float64 { return 1000 * p.Seconds() / p.DistanceM }

// A Note is a warning without its place.
type Note struct {
	Code    string `json:"code"`
	Message string `json:"message"`
}

// Efforts that sums are kept apart by.
const (
	AtWork = iota
	InRecovery
	Elsewhere
	efforts
)

func effortOf(r segment.Role) int {
	switch r {
	case segment.Work:
		return AtWork
	case segment.Recovery:
		return InRecovery
	}
	return Elsewhere
}

// counts tells whether the recording is of a run: running, on a treadmill, or of a sport
// that the file does not name.
func (r Run) counts() bool {
	if r.Sport == recording.SportUnknown || r.Sport == recording.Running {
		return true
	}
	return r.Sport != recording.Cycling && len(r.Where) > 0 && r.Where[0].Place == recording.Treadmill
}

// Summarise makes the sums of a session.
func Summarise(s *segment.Session) Run {
	rec := s.Recording
	r := Run{File: rec.Name, Start: rec.Start, Sport: rec.Sport, ElapsedS: rec.Duration(), Detail: &Detail{StepS: s.Trace.Step}}
	r.Unmeasured = s.Trace.Source == signal.Nothing
	if !r.Unmeasured {
		r.DistanceM = s.Trace.DistanceAt(float64(s.Trace.Len()))
		r.Way = way(s.Trace)
		r.Quickest = quickest(s.Trace)
	}
	r.MovingS = moving(s)
	r.Where = []Where{{rec.Place, r.DistanceM, r.MovingS}}
	r.Parts = parts(s, r.DistanceM)
	r.Found = unpaced(s.Structure)
	r.Main = mainSet(r.Found)
	known, se := measured(s.Trace)
	r.KnownS, r.MinuteSE = fine(known), fine(se)
	r.tally(s)
	if q := ridden(r.Quickest); q != nil {
		r.Notes = append(r.Notes, Note{NoRun, fmt.Sprintf("%s in %s are quicker than anyone has run: if it was a ride, say \"leave out\" of it in the log", figures.Kilometre.Length(q.Metres), figures.Clock(q.Seconds))})
	}
	for _, w := range s.Warnings {
		if !slices.ContainsFunc(r.Notes, func(n Note) bool { return n.Code == w.Code }) {
			r.Notes = append(r.Notes, Note{w.Code, w.Message})
		}
	}
	return r
}

// NoRun is the code of the note of a recording that is quicker than anyone has run.
const NoRun = "no-run"

// ridden is the longest of some stretches that nobody can have run; nil for none.
func ridden(list []Quickest) (q *Quickest) {
	for i, x := range list {
		if x.Seconds > 0 && x.Metres/x.Seconds > ability.Runnable(x.Seconds) && (q == nil || x.Seconds > q.Seconds) {
			q = &list[i]
		}
	}
	return q
}

// moving is the time outside stops, whether Split found them or the device's
// timer stood still.
func moving(s *segment.Session) float64 {
	spans := slices.Clone(s.Recording.Stops)
	for _, x := range s.Segments {
		if x.Role == segment.Stop {
			spans = append(spans, recording.Span{StartS: x.StartS, EndS: x.EndS})
		}
	}
	return s.Recording.Duration() - covered(spans, 0, s.Recording.Duration())
}

// covered is the length of the union of spans between from and to.
func covered(spans []recording.Span, from, to float64) float64 {
	spans = slices.Clone(spans)
	slices.SortFunc(spans, func(a, b recording.Span) int {
		switch {
		case a.StartS < b.StartS:
			return -1
		case a.StartS > b.StartS:
			return 1
		}
		return 0
	})
	sum, done := 0.0, from
	for _, s := range spans {
		lo, hi := math.Max(s.StartS, done), math.Min(s.EndS, to)
		if hi > lo {
			sum, done = sum+hi-lo, hi
		}
	}
	return sum
}

// parts measures the segments so that they add up to the total: the last is as long as
// the recording, which need not end with a whole second of the trace.
func parts(s *segment.Session, total float64) []Part {
	end := s.Recording.Duration()
	at := func(t float64) float64 {
		if t >= end {
			return total
		}
		return s.Trace.RunBy(t)
	}
	var out []Part
	for _, g := range s.Segments {
		p := Part{
			Role: g.Role, Set: g.Set, Rep: g.Rep, StartS: fine(g.StartS), EndS: fine(g.EndS),
			StartSE: fine(g.StartSE), EndSE: fine(g.EndSE),
			StoppedS:  fine(covered(s.Recording.Stops, g.StartS, g.EndS)),
			DistanceM: fine(at(g.EndS) - at(g.StartS)),
			HeartBPM:  fine(g.HRAvg),
		}
		p.DistSE = fine(p.DistanceM * g.WithinSE / g.Pace)
		out = append(out, p)
	}
	return out
}

// fine is v to a thousandth, which is short to write and finer than any device
// measures; zero when v is no number.
func fine(v float64) float64 {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return 0
	}
	return math.Round(v*1000) / 1000
}

// wayS is how long each figure of Detail.Way is for, save the last.
const wayS = 10

// way is the distance in each wayS, rounded so that errors do not add up.
func way(tr *signal.Trace) []int {
	var out []int
	before := 0
	for t := wayS; t < tr.Len()+wayS; t += wayS {
		now := int(math.Round(tr.Dist[min(t, tr.Len())]))
		out, before = append(out, now-before), now
	}
	return out
}

// thin is a recording with the run's way alone, enough to tell whether two
// recordings are of one run.
func (r Run) thin() *recording.Recording {
	rec := r.span()
	if n := len(r.Way); n > 0 {
		rec.T, rec.Distance = make([]float64, n+1), recording.MakeStream(n+1)
		rec.Distance.Set(0, 0)
		for i, d := range r.Way {
			rec.T[i+1] = float64(wayS * (i + 1))
			rec.Distance.Set(i+1, rec.Distance.Value[i]+float64(d))
		}
		rec.T[n] = r.ElapsedS
	}
	return rec
}

// span is a recording with the run's time alone, enough to tell whether two are
// pieces of one session.
func (r Run) span() *recording.Recording {
	return &recording.Recording{Name: r.File, Start: r.Start, Sport: r.Sport, T: []float64{0, r.ElapsedS}}
}

// unpaced is a structure without its paces, which may be no numbers.
func unpaced(blocks []segment.Block) []segment.Block {
	var out []segment.Block
	for _, b := range blocks {
		b.Pace = 0
		b.Body = unpaced(b.Body)
		if b.Rest != nil {
			rest := *b.Rest
			rest.Pace = 0
			b.Rest = &rest
		}
		out = append(out, b)
	}
	return out
}

// mainSet writes a structure without what comes before and after the work.
func mainSet(blocks []segment.Block) string {
	for len(blocks) > 0 && !works(blocks[0]) {
		blocks = blocks[1:]
	}
	for len(blocks) > 0 && !works(blocks[len(blocks)-1]) {
		blocks = blocks[:len(blocks)-1]
	}
	if len(blocks) == 0 {
		return ""
	}
	return notation.Print(workouts.FromBlocks(blocks))
}

func works(b segment.Block) bool {
	return len(b.Body) == 0 && b.Role == segment.Work || slices.ContainsFunc(b.Body, works)
}
