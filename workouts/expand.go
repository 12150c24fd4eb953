package workouts

import "example.org/rungs/segment"

// A Planned is one step of the unrolled workout.
type Planned struct {
	Index int  // from 0, in running order
	Step  Step // as written
	Rest  bool // stands between repeats ("off")

	Role segment.Role
	Set  int // from 1 for work and for the recoveries after it; 0 elsewhere
	Rep  int // from 1, counted through the whole workout; a recovery bears the number of the rep before it

	Goal Goal
}

// Expand unrolls the workout into its steps in running order, at most
// MaxPlanned of them. Reference paces, percentages and zones have a goal only
// when Athlete.Resolve has filled them in.
//
// Roles follow from the manner and the place:
//
//   - work is Work; warm and cool are Warm and Cool;
//   - steady is Work in a workout that has nothing harder, and like easy elsewhere;
//   - easy, float, jog, walk and stand between two work steps, and every rest,
//     are Recovery; before the first work step they are Warm, after the last
//     Cool, unless they end a repeated group that holds work;
//   - in a workout without work all but warm, cool and rests is Easy.
//
// A set is one pass through the innermost repeated group that holds two or
// more work reps. Where there is no such group, a repeat is a set, and so are
// single work steps that follow each other.
//
// A "quicker" step within a repeat is to be quicker than at the pass before;
// outside repeats, than the rep before it in its set.
func (w Workout) Expand() []Planned {
	u := unroller{work: Steady, last: map[*Item]int{}}
	items := w.Normal().Items
	if hasManner(items, Work) {
		u.work = Work
	}
	u.items(items, false, 1, 1)
	u.assignRoles()
	return u.out
}

// unroller walks the items, keeping count of sets and reps.
type unroller struct {
	work     Manner // the manner that counts as work here
	out      []Planned
	set, rep int
	newSet   bool          // the next rep opens a set
	within   int           // repeats of work around here
	grouped  []bool        // per step of out: within such a repeat
	last     map[*Item]int // number of the last rep of each step written
}

// items unrolls a sequence. Inside a set the numbering of sets is at rest.
// Pass and passes place the sequence within the innermost repeat around it.
func (u *unroller) items(items []Item, inSet bool, pass, passes int) {
	for i := range items {
		it := &items[i]
		switch {
		case it.Count > 1:
			u.repeat(it, inSet)
		case len(it.Body) > 0:
			u.items(it.Body, inSet, pass, passes)
		default:
			u.step(it, it.Step, pass, passes)
		}
	}
}

func (u *unroller) repeat(it *Item, inSet bool) {
	reps := u.repsOf(it)
	passIsSet := reps == 2 && !inSet && !u.hasSets(it.Body)
	wholeIsSet := reps == 1 && !inSet
	isSet := passIsSet || wholeIsSet
	u.newSet = u.newSet || wholeIsSet
	if reps > 0 {
		u.within++
		defer func() { u.within-- }()
	}
	for k := 1; k <= it.Count && len(u.out) < MaxPlanned; k++ {
		u.newSet = u.newSet || passIsSet
		if len(it.Body) > 0 {
			u.items(it.Body, inSet || isSet, k, it.Count)
		} else {
			u.step(it, it.Step, k, it.Count)
		}
		if it.Rest != nil && k < it.Count {
			u.step(nil, *it.Rest, k, it.Count-1)
		}
	}
	u.newSet = u.newSet || isSet
}

// repsOf is how many reps one pass of a repeat has, 2 for several.
func (u *unroller) repsOf(it *Item) int {
	switch {
	case len(it.Body) > 0:
		return min(u.workReps(it.Body), 2)
	case it.Step.Manner == u.work:
		return 1
	}
	return 0
}

// step adds one step; from is where it is written, nil for a rest.
func (u *unroller) step(from *Item, s Step, pass, passes int) {
	if len(u.out) >= MaxPlanned {
		return
	}
	p := Planned{Index: len(u.out), Step: s, Rest: from == nil, Goal: goalOf(s.Target, pass, passes)}
	if s.Manner == u.work && !p.Rest {
		before := u.rep // in the set
		if u.newSet || u.set == 0 {
			u.set++
			u.newSet = false
			before = 0
		}
		if pass > 1 {
			before = u.last[from]
		} else if passes > 1 {
			before = 0
		}
		u.rep++
		u.last[from] = u.rep
		p.Role = segment.Work
		if p.Goal.Kind == QuickerGoal {
			p.Goal.Than, p.Goal.First = before, before == 0
		}
	}
	p.Set, p.Rep = u.set, u.rep
	u.out = append(u.out, p)
	u.grouped = append(u.grouped, u.within > 0)
}

// assignRoles fills in the roles that depend on where the work is.
func (u *unroller) assignRoles() {
	first, last := len(u.out), -1
	for i, p := range u.out {
		if p.Role == segment.Work {
			first, last = min(first, i), i
		}
	}
	for i := range u.out {
		p := &u.out[i]
		switch {
		case p.Role == segment.Work:
			continue
		case p.Step.Manner == Warm:
			p.Role = segment.Warm
		case p.Step.Manner == Cool:
			p.Role = segment.Cool
		case p.Rest || u.grouped[i] && p.Rep > 0:
			p.Role = segment.Recovery
		case last < 0:
			p.Role = segment.Easy
		case i < first:
			p.Role = segment.Warm
		case i > last:
			p.Role = segment.Cool
		default:
			p.Role = segment.Recovery
		}
		if p.Role != segment.Recovery {
			p.Set, p.Rep = 0, 0
		}
	}
}

// workReps counts the work reps of one pass through items, up to MaxPlanned.
func (u *unroller) workReps(items []Item) int {
	n := 0
	for _, it := range items {
		each := 0
		if len(it.Body) > 0 {
			each = u.workReps(it.Body)
		} else if it.Step.Manner == u.work {
			each = 1
		}
		n = min(n+min(max(it.Count, 1), MaxPlanned)*each, MaxPlanned)
	}
	return n
}

// hasSets tells whether items hold a repeated group of two or more work reps.
func (u *unroller) hasSets(items []Item) bool {
	for _, it := range items {
		if len(it.Body) == 0 {
			continue
		}
		if u.hasSets(it.Body) || it.Count > 1 && u.workReps(it.Body) >= 2 {
			return true
		}
	}
	return false
}

func hasManner(items []Item, m Manner) bool {
	for _, it := range items {
		if len(it.Body) > 0 && hasManner(it.Body, m) || len(it.Body) == 0 && it.Step.Manner == m {
			return true
		}
	}
	return false
}
