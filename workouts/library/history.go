package library

import (
	"cmp"
	"fmt"
	"math"
	"slices"

	"time"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/match"
)

// Codes of the warnings of a History.
const (
	RunTwice    = "recorded-twice"   // two recordings of one session
	RunUndated  = "no-date"          // a recording without a start time
	RunDoubtful = "fits-another-too" // a recording that fits another workout of the library as well
	RunNoSpeed  = "no-speed"         // a recording that seems to be one by its heart rate, without speed to compare
)

// A History is every time that a workout was run, the oldest first.
type History struct {
	Entry       Entry
	OdometerPct float64 // by how much the odometer is taken to differ from run to run
	Runs        []Run
	Warnings    []recording.Warning
}

// A Run is one time that a workout was run. NaN marks what is not known.
type Run struct {
	Name     string // of the recording
	Start    time.Time
	Place    recording.Place
	Likeness float64
	Result   *match.Result

	Done, Planned int // reps; Done were run, be it short or long

	WorkS, WorkM float64 // of the reps that were planned and run
	Pace, PaceSE float64 // mean over them, s/km; PaceSE without the odometer's error
	Drift        float64 // mean of the reps' drifts from target, s/km

	HeartBPM     float64 // mean over the reps, by time
	EqualPaceBPM float64 // what it would have been at the pace of EqualPace
	EqualPaceSE  float64
	EqualPace    float64 // s/km, the mean of all runs in the same kind of place

	RecoveryS      float64 // mean over the planned recoveries that were taken
	RecoveryDriftS float64 // mean of actual less planned, of those planned in seconds
	HeartDrop60    float64 // mean fall of the heart rate in their first minute, beats/min

	Versus *Versus // against the last run in the same kind of place; nil for the first

	ElapsedS float64 // length of the recording
}

// Versus compares a run with an earlier one over the reps that both have.
type Versus struct {
	With        int // index in History.Runs
	Reps        int
	DeltaSPerKm float64 // this less the earlier; negative is quicker
	SE          float64 // the odometer's error from run to run included
	Call        match.Call
	HeartBPM    float64 // difference of heart rate at equal pace
	HeartSE     float64
}

// Errors that two runs do not share.
//
// Watches are wrong by 3 to 6 % over devices and places (Gilgen-Ammann et al.
// 2020, JMIR mHealth 8(6):e17118), much of it always the same for one watch on
// one kind of course. What differs from run to run is taken as 1.5 %, on a
// track whose reps gave the distance as 0.3 %: assumed, no source. So is the 3
// beats/min by which heart rate at one pace differs from day to day.
const (
	OdometerPct     = 1.5 // standard deviation
	trackOdometerSE = 0.003
	heartDaySE      = 3.0
)

// heartGainSD is how much signal.HeartGain differs between runners, beats/min per m/s
// (standard deviation, from the same source).
const heartGainSD = 8.3

func (h *Historian) warn(code, format string, args ...any) {
	h.history.Warnings = append(h.history.Warnings, recording.Warning{
		Code: code, Message: fmt.Sprintf(format, args...), StartS: math.NaN(), EndS: math.NaN()})
}

// History puts the runs in order, keeps one of two recordings of the same
// session, and compares.
func (h *Historian) History() History {
	slices.SortStableFunc(h.history.Runs, func(a, b Run) int {
		if x, y := a.Start.IsZero(), b.Start.IsZero(); x != y { // undated ones come first, and are compared with nothing
			if x {
				return -1
			}
			return 1
		}
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.Name, b.Name))
	})
	h.dropTwins()
	for _, r := range h.history.Runs {
		if r.Start.IsZero() {
			h.warn(RunUndated, "%s has no date, so it is compared with nothing", r.Name)
		}
	}
	h.equalPaces()
	h.compare()
	return h.history
}

// dropTwins keeps one of two recordings of one session: the one with heart
// rate, else the first.
func (h *Historian) dropTwins() {
	var kept []Run
	for _, r := range h.history.Runs {
		if k := len(kept) - 1; k >= 0 && overlap(kept[k], r) {
			a, b := kept[k], r
			if math.IsNaN(a.HeartBPM) && !math.IsNaN(b.HeartBPM) {
				a, b = b, a
			}
			h.warn(RunTwice, "%s and %s are recordings of one session; %s is used", kept[k].Name, r.Name, a.Name)
			kept[k] = a
			continue
		}
		kept = append(kept, r)
	}
	h.history.Runs = kept
}

// overlap tells whether two dated recordings share more than half of the
// shorter one's time.
func overlap(a, b Run) bool {
	if a.Start.IsZero() || b.Start.IsZero() {
		return false
	}
	gap := b.Start.Sub(a.Start).Seconds()
	shared := math.Min(a.ElapsedS, gap+b.ElapsedS) - math.Max(0, gap)
	return shared > 0.5*math.Min(a.ElapsedS, b.ElapsedS)
}

// equalPaces works out what the heart rates would have been at one pace, for
// each kind of place: the mean pace there.
func (h *Historian) equalPaces() {
	runs := h.history.Runs
	for i := range runs {
		r := &runs[i]
		metres, seconds := 0.0, 0.0
		for _, o := range runs {
			if o.Place == r.Place && o.WorkM > 0 {
				metres, seconds = metres+o.WorkM, seconds+o.WorkS
			}
		}
		r.EqualPace = 1000 * seconds / metres
		// What a change of speed adds to the mean heart rate of a rep of t seconds.
		t := r.WorkS / float64(max(r.Done, 1))
		share := 1 - signal.HeartTauS/t*(1-math.Exp(-t/signal.HeartTauS))
		dv := metres/seconds - r.WorkM/r.WorkS
		r.EqualPaceBPM = r.HeartBPM + signal.HeartGain*share*dv
		r.EqualPaceSE = math.Hypot(heartDaySE, heartGainSD*share*dv)
	}
}

// compare holds every run against the last one in the same kind of place.
func (h *Historian) compare() {
	runs := h.history.Runs
	for i := range runs {
		for k := i - 1; k >= 0; k-- {
			if runs[k].Place == runs[i].Place && !runs[k].Start.IsZero() {
				if v, ok := versus(runs[i], runs[k], h.history.OdometerPct/100); ok {
					v.With = k
					runs[i].Versus = &v
					break
				}
			}
		}
	}
}

// Pair is the history of two of its runs alone, by their indexes, the second held against
// the first when both were in the same kind of place.
func (h History) Pair(first, second int) History {
	a, b := h.Runs[first], h.Runs[second]
	a.Versus, b.Versus = nil, nil
	if v, ok := versus(b, a, h.OdometerPct/100); ok && a.Place == b.Place {
		b.Versus = &v
	}
	h.Runs, h.Warnings = []Run{a, b}, nil
	return h
}

// versus compares a run with an earlier one, given by how much the odometer
// differs from run to run; ok is false when they share no rep.
func versus(now, then Run, odometerSE float64) (v Versus, ok bool) {
	var a, b []match.Rep
	for _, x := range plannedReps(now.Result) {
		for _, y := range plannedReps(then.Result) {
			if x.Step == y.Step {
				a, b = append(a, x), append(b, y)
			}
		}
	}
	if len(a) == 0 {
		return v, false
	}
	_, _, paceA, seA := total(a)
	_, _, paceB, seB := total(b)
	v.Reps = len(a)
	v.DeltaSPerKm = paceA - paceB
	v.SE = math.Sqrt(seA*seA + seB*seB + sq(paceA*now.OdometerSE(odometerSE)) + sq(paceB*then.OdometerSE(odometerSE)))
	v.Call = called(v.DeltaSPerKm, v.SE)
	v.HeartBPM = now.EqualPaceBPM - then.EqualPaceBPM
	v.HeartSE = math.Hypot(now.EqualPaceSE, then.EqualPaceSE)
	return v, true
}

func sq(x float64) float64 { return x * x }

// OdometerSE is the error of distance that the run does not share with others,
// as a share: the one given, unless a track gave the distance.
func (r Run) OdometerSE(given float64) float64 {
	if r.Place == recording.Track {
		for _, rep := range r.Result.Reps {
			if rep.AmountUnit == "m" {
				return min(given, trackOdometerSE)
			}
		}
	}
	return given
}
