package block

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/athlete"
)

// A Reason is why a session counts as hard, or, said by the log, as easy.
type Reason string

// Reasons, in the order in which they are asked for.
const (
	SaidRace Reason = "race"      // the log calls it a race
	SaidHard Reason = "said hard" // by the log
	SaidEasy Reason = "said easy" // by the log; it is not hard
	ByWork   Reason = "work"      // time of work in reps
	ByHeart  Reason = "heart"     // time in the upper two zones of heart rate
	ByPace   Reason = "pace"      // a stretch at threshold pace and quicker
	NotHard  Reason = ""
)

// When a run without reps is hard: 20 minutes in the upper two of the zones of heart
// rate, or 20 minutes in a row at threshold pace or quicker; 10 minutes are enough
// when they are more than half of the run, as in a race of 5 km. Common practice, no
// source.
const (
	longHardS  = 20 * 60.0
	shortHardS = 10 * 60.0
)

// HardRule says when a run is hard, for the help of a command.
const HardRule = `A session is hard with 5 minutes of work in reps (the athlete file may say
otherwise); a run without reps, such as a race, when it has 20 minutes in the upper
two zones of heart rate, or 20 minutes in a row at threshold pace and quicker (10
minutes are enough when they are more than half of the run): common practice, no
source. Threshold pace is that of the athlete file, else that of its "half". The
log has the last word: race, hard, easy.`

// judge says whether the session is hard and why.
func (s *Session) judge(a athlete.Athlete, z athlete.Zones) {
	s.WorkS = hardWork(s.Parts, a.Hard)
	s.Why = s.reason(a, z)
	s.Hard = s.Why != NotHard && s.Why != SaidEasy
	if s.Hard && s.Why != ByWork && !worked(s.Parts) {
		// All of it was the work.
		parts := make([]Part, len(s.Parts))
		for i, p := range s.Parts {
			if p.Role == segment.Run {
				p.Role, p.Set, p.Rep = segment.Work, 1, 1
				s.WorkS += p.Seconds()
			}
			parts[i] = p
		}
		detail := *s.Detail
		detail.Parts = parts
		for _, t := range []*[efforts]Tally{&detail.Heart, &detail.Speed} {
			t[AtWork], t[Elsewhere] = t[Elsewhere], t[AtWork]
		}
		s.Detail = &detail
	}
	for _, p := range s.Parts {
		if p.Role == segment.Work {
			s.WorkM += p.DistanceM
		}
	}
}

func worked(parts []Part) bool {
	for _, p := range parts {
		if p.Role == segment.Work {
			return true
		}
	}
	return false
}

func (s *Session) reason(a athlete.Athlete, z athlete.Zones) Reason {
	if e := s.Said; e != nil {
		switch {
		case e.Easy:
			return SaidEasy
		case e.Race:
			return SaidRace
		case e.Hard:
			return SaidHard
		}
	}
	switch {
	case s.WorkS > 0 && s.WorkS >= a.Hard.WorkS:
		return ByWork
	case s.long(s.upperS(z)):
		return ByHeart
	case s.long(s.quickS(thresholdOf(a))):
		return ByPace
	}
	return NotHard
}

// long tells whether so many seconds of effort make the session a hard one.
func (s *Session) long(seconds float64) bool {
	return seconds >= longHardS || seconds >= shortHardS && seconds > s.MovingS/2
}

// upperS is the time in the upper two zones, s.
func (s *Session) upperS(z athlete.Zones) float64 {
	if len(z.Lower) < 2 {
		return 0
	}
	h := HeartTime{ZonesS: make([]float64, len(z.Lower))}
	h.add(s.Run, z)
	return h.UpperTwoS()
}

// quickS is the longest known stretch at a pace or quicker, s: one of the quickest
// stretches of the run, or all of it.
func (s *Session) quickS(pace float64) float64 {
	if !(pace > 0) {
		return 0
	}
	most := 0.0
	if s.DistanceM > 0 && 1000*s.ElapsedS/s.DistanceM <= pace {
		most = s.ElapsedS
	}
	for _, q := range s.Quickest {
		if q.Metres > 0 && 1000*q.Seconds/q.Metres <= pace {
			most = math.Max(most, q.Seconds)
		}
	}
	return most
}

// thresholdOf is the athlete's threshold pace, s/km; that of the half marathon when
// there is none; 0 when neither is known.
func thresholdOf(a athlete.Athlete) float64 {
	for _, name := range []string{"threshold", "half"} {
		if r, ok := a.Reference(name); ok {
			return r.SecPerKm
		}
	}
	return 0
}
