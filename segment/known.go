package segment

import (
	"fmt"
	"math"
	"slices"
)

// An Option changes how Split reads a recording.
type Option func(*options)

type options struct{ known []Known }

// A Known is a workout that the runner has: the amounts of its reps, and of the recoveries
// between them, in order. An amount of zero may have any length.
type Known struct {
	Name  string // how it is told of
	Reps  []Amount
	Rests []Amount // one fewer
}

// Knowing makes readings whose reps and recoveries are those of one of these workouts more
// likely, by so much that what is told with 90 % stays. So it decides between readings that
// are about as likely, and a warning of the code ReadAsKnown says when it did. Workouts
// without reps, and lists of which the lengths do not go together, are passed over.
func Knowing(list ...Known) Option {
	return func(o *options) {
		for _, k := range list {
			if len(k.Reps) > 0 && len(k.Rests) == len(k.Reps)-1 {
				o.known = append(o.known, k)
			}
		}
	}
}

// ownOdds is the logarithm of the odds that it adds to a reading to be of a workout that the
// runner has, nats: those at which two readings are told with 90 and 10 %, so that what is
// clear is not overturned. The likelihood of what simulated runners run asks for more
// (TestOwnOdds), and then a workout hides those that are nearly the same.
var ownOdds = tellingOf(0.9)

// ReadAsKnown is the code of the warning that a session is read as a workout that the runner
// has, and would be read otherwise without it.
const ReadAsKnown = "read-as-known"

// Swayable tells whether there are workouts with which Knowing would change the reading of a
// session that was split without it.
func (s *Session) Swayable() bool {
	best := 0.0
	for _, x := range s.list { // the most probable first
		switch {
		case best > 0 && x.near(s.list[0].labelling):
		case best == 0 && x.odds > 0:
			best = x.odds
		default:
			return x.odds+ownOdds > best
		}
	}
	return false
}

// MayBe tells whether a session is read as a workout, or would be by a runner who has it (Knowing). It is
// false where someone said what was run.
func (s *Session) MayBe(k Known) bool {
	if len(s.list) == 0 || s.Probability == 1 || len(k.Rests) != len(k.Reps)-1 {
		return false
	}
	least := max(0, s.list[0].odds) - ownOdds
	for _, x := range s.list { // the most probable first
		if x.odds < least {
			return false
		}
		if x.is(k) {
			return true
		}
	}
	return false
}

// groups are readings of the same reps, which come from the most probable on; so do the groups.
func groups(list []*reading) (out [][]*reading) {
	for _, x := range list {
		k := slices.IndexFunc(out, func(g []*reading) bool {
			return x.near(g[0].labelling)
		})
		if k < 0 {
			out = append(out, []*reading{x})
		} else {
			out[k] = append(out[k], x)
		}
	}
	return out
}

// prefer makes the readings of known workouts more likely. It gives the most probable reading
// then, and the workout it is of when another would be without that.
func prefer(known []Known, best reading, ok bool, list []*reading) (reading, bool, *Known) {
	agree := map[*reading]*Known{}
	raised := false
	for _, g := range groups(list) {
		if k := slices.IndexFunc(known, g[0].is); k >= 0 {
			raised = true
			for _, x := range g {
				x.odds += ownOdds
				agree[x] = &known[k]
			}
		}
	}
	if !raised {
		return best, ok, nil
	}
	was := best
	slices.SortStableFunc(list, byOdds)
	if list[0].odds <= 0 {
		return best, ok, nil
	}
	best = *list[0]
	best.weigh(list)
	if ok && best.near(was.labelling) {
		return best, true, nil
	}
	return best, true, agree[list[0]]
}

// How far rough reps and recoveries may be off a known amount: seconds for the edges, and a
// share of it (common practice, no source).
const (
	knownEdgeS = 4.0
	knownRep   = 0.03
	knownRest  = 0.15
)

// is tells whether a reading is of a known workout.
func (r *reading) is(k Known) bool {
	if len(r.works) != len(k.Reps) {
		return false
	}
	for i, w := range r.works {
		if !k.Reps[i].about(r.by.stretch(w), knownRep) {
			return false
		}
	}
	for i, b := range r.between {
		if !k.Rests[i].about(r.by.stretch(b), knownRest) {
			return false
		}
	}
	return true
}

// about tells whether a stretch may be of an amount, by time, or by what the device showed or
// counted.
func (a Amount) about(s stretch, share float64) bool {
	switch {
	case a.Seconds > 0:
		return math.Abs(s.seconds-a.Seconds) <= knownEdgeS+share*a.Seconds
	case a.Metres > 0:
		off := min(math.Abs(s.metres-a.Metres), math.Abs(s.display()-a.Metres))
		return off <= knownEdgeS*s.speed+share*a.Metres
	}
	return true
}

func (s *Session) sayKnown(k *Known) {
	if k != nil {
		s.warn(ReadAsKnown, fmt.Sprintf("two readings were about as likely, and it is read as %s, which is among your workouts", k.Name), math.NaN(), math.NaN())
	}
}
