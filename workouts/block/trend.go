package block

import (
	"cmp"
	"math"
	"slices"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/trend"
)

// A Trend is one workout over the block: every time it was run in one kind of
// place, and whether it got quicker.
type Trend struct {
	Workout string // name in the library, or notation without targets
	Named   bool   // it is a name
	Place   recording.Place
	Times   []Time // two or more

	SlopeSPerKm float64 // of the pace of the work in four weeks, s/km; negative is getting quicker
	SlopeSE     float64
	Test        match.Test
	P           float64 // of a rank test; NaN where the measuring error judges
	Call        match.Call
}

// A Time is one time that a workout was run.
type Time struct {
	File     string
	Day      time.Time
	Reps     int
	Pace, SE float64 // of all work together, s/km; SE counts the odometer's error from run to run
	HeartBPM float64 // mean of the reps by time; 0 unknown
}

// Errors of distance that two runs do not share, as shares: assumed, no
// source. On a track the reps themselves give the distance.
const (
	odometerSE      = 0.01
	trackOdometerSE = 0.003
)

// fourWeeks is the unit of time of a trend, in days.
const fourWeeks = 28

// leastRanks is the least number of values whose ranks can reach 5 %: 2/n! is
// 0.083 for four and 0.017 for five.
const leastRanks = 5

// Trends follows every workout that was run at least twice. Name gives the
// name of a session's workout, empty when it has none; nil names none.
func (b *Block) Trends(name func(Session) string) []Trend {
	type key struct {
		workout string
		place   recording.Place
	}
	by := map[key]*Trend{}
	for _, s := range b.Sessions {
		if s.work == nil {
			continue
		}
		k := key{s.Main, s.Where[0].Place}
		named := false
		if name != nil {
			if n := name(s); n != "" {
				k.workout, named = n, true
			}
		}
		if by[k] == nil {
			by[k] = &Trend{Workout: k.workout, Named: named, Place: k.place}
		}
		by[k].Times = append(by[k].Times, *s.work)
	}
	var out []Trend
	for _, t := range by {
		if len(t.Times) > 1 {
			t.judge()
			out = append(out, *t)
		}
	}
	slices.SortFunc(out, func(a, b Trend) int {
		return cmp.Or(cmp.Compare(len(b.Times), len(a.Times)), cmp.Compare(a.Workout, b.Workout), cmp.Compare(a.Place, b.Place))
	})
	return out
}

// timeOf sums up the work of a session; nil when there is none.
func timeOf(s *Session) *Time {
	t := Time{File: s.File, Day: s.Day}
	seconds, metres, variance, beats, beatS := 0.0, 0.0, 0.0, 0.0, 0.0
	for _, p := range s.Parts {
		if p.Role != segment.Work {
			continue
		}
		t.Reps++
		seconds, metres, variance = seconds+p.Seconds(), metres+p.DistanceM, variance+p.DistSE*p.DistSE
		if p.HeartBPM > 0 {
			beats, beatS = beats+p.HeartBPM*p.Seconds(), beatS+p.Seconds()
		}
	}
	if metres <= 0 || s.Main == "" {
		return nil
	}
	t.Pace = 1000 * seconds / metres
	t.SE = t.Pace * math.Hypot(math.Sqrt(variance)/metres, odometerSEAt(s.Where[0].Place))
	if beatS > 0 {
		t.HeartBPM = beats / beatS
	}
	return &t
}

// odometerSEAt is the error that an odometer has throughout a run at a place, as a share.
func odometerSEAt(p recording.Place) float64 {
	if p == recording.Track {
		return trackOdometerSE
	}
	return odometerSE
}

// judge fits the slope by weighted least squares and calls it.
func (t *Trend) judge() {
	n := len(t.Times)
	weeks, paces, errors := make([]float64, n), make([]float64, n), make([]float64, n)
	for i, x := range t.Times {
		weeks[i] = x.Day.Sub(t.Times[0].Day).Hours() / 24 / fourWeeks
		paces[i], errors[i] = x.Pace, x.SE
	}
	line := trend.FitLineAt([][]float64{weeks}, [][]float64{paces}, [][]float64{errors})
	t.P, t.Call, t.Test = math.NaN(), match.NoCall, match.NoTest
	t.SlopeSPerKm, t.SlopeSE = line.Slope, line.KnownSE
	if math.IsNaN(line.Slope) { // all on one day
		return
	}
	t.Test = match.MeasuringErrorTest
	clear := math.Abs(line.Slope) > trend.Z95*line.KnownSE
	if n >= leastRanks {
		t.Test = match.MannKendallTest
		rank := trend.MannKendall(paces)
		t.P = rank.P
		// By how much an odometer differs from run to run, these show by themselves.
		own := make([]float64, n)
		for i, e := range errors {
			own[i] = e / 100 // the weights stay
		}
		margin := trend.FitLineAt([][]float64{weeks}, [][]float64{paces}, [][]float64{own}).Margin()
		t.SlopeSE = margin / trend.Z95
		clear = t.P < trend.Alpha && rank.Statistic*line.Slope > 0 && math.Abs(line.Slope) > margin // as it is printed
	}
	switch {
	case !clear:
		t.Call = match.Level
	case line.Slope < 0:
		t.Call = match.Quicker
	default:
		t.Call = match.Slower
	}
}

// At is the pace that the trend has on a day, and its standard error, both s/km:
// the line through the weighted mean of all times. NaN where there is no line.
func (t Trend) At(day time.Time) (pace, se float64) {
	var sum, middle, mean float64
	weeks := func(d time.Time) float64 { return d.Sub(t.Times[0].Day).Hours() / 24 / fourWeeks }
	for _, x := range t.Times {
		w := 1 / (x.SE * x.SE)
		sum, middle, mean = sum+w, middle+w*weeks(x.Day), mean+w*x.Pace
	}
	from := weeks(day) - middle/sum
	return mean/sum + t.SlopeSPerKm*from, math.Hypot(1/math.Sqrt(sum), t.SlopeSE*from)
}

// A Best is the quickest stretch of a length in the block.
type Best struct {
	Quickest
	File string
	Day  time.Time
}

// best takes the quickest stretches of a session in.
func (b *Block) best(s *Session) {
	events := b.Athlete.Events()
	at := func(name string) int {
		return slices.IndexFunc(events, func(e athlete.Event) bool { return e.Name == name })
	}
	for _, q := range s.Quickest {
		if at(q.Length) < 0 {
			continue
		}
		i, found := slices.BinarySearchFunc(b.Bests, at(q.Length), func(x Best, i int) int { return cmp.Compare(at(x.Length), i) })
		one := Best{q, s.File, s.Day}
		switch {
		case !found:
			b.Bests = slices.Insert(b.Bests, i, one)
		case q.Metres*b.Bests[i].Seconds > b.Bests[i].Metres*q.Seconds:
			b.Bests[i] = one
		}
	}
}
