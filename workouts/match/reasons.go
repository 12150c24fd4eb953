package match

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/rungs/workouts/figures"
)

// A findings is the deviations of one kind, and of one side of a target.
type findings struct {
	kind DeviationKind
	side Call
	all  []Deviation
}

// summed says every kind of departure once, with its range; what is left unsaid of a
// session that was cut short is what was not run.
func (r *Result) summed(cut bool, o Options) []string {
	var kinds []findings
	for _, d := range r.Deviations {
		if !d.Counts || cut && r.withheld(d) {
			continue
		}
		side := NoCall
		if d.Kind == OffTarget {
			side = bySign(d.Size)
		}
		k := slices.IndexFunc(kinds, func(f findings) bool { return f.kind == d.Kind && f.side == side })
		if k < 0 {
			k = len(kinds)
			kinds = append(kinds, findings{d.Kind, side, nil})
		}
		kinds[k].all = append(kinds[k].all, d)
	}
	reps := 0
	for _, rep := range r.Reps {
		if rep.Step >= 0 {
			reps++
		}
	}
	rank := func(f findings) int {
		at := slices.Index(weight, f.kind)
		if most := f.all[0].Rep >= 0 && len(f.all) > 1 && 2*len(f.all) > reps; most {
			at -= len(weight) // what most reps have in common comes first
		}
		return at
	}
	slices.SortStableFunc(kinds, func(a, b findings) int { return rank(a) - rank(b) })
	var out []string
	for _, f := range kinds {
		out = append(out, r.sum(f, o))
	}
	return out
}

// withheld tells what the place where a session stopped has said already.
func (r *Result) withheld(d Deviation) bool {
	switch d.Kind {
	case MissedRep:
		return !slices.ContainsFunc(r.Reps[d.Rep:], func(x Rep) bool { return x.Outcome != Missed })
	case ShortRep:
		return !slices.ContainsFunc(r.Reps[d.Rep+1:], func(x Rep) bool { return x.Outcome != Missed })
	}
	return false
}

// weight is the order in which kinds are told, of those that no more than half of the reps have.
var weight = []DeviationKind{MissedRep, ExtraRep, SwappedSets, MergedReps, ShortRep, LongRep, InterruptedRep, NotQuicker, OffTarget, EasyPace, OffHeart,
	Faded, UnevenReps, ShortRecovery, LongRecovery, WarmAmount, CoolAmount, EasyAmount}

// sum says the findings of one kind in one sentence.
func (r *Result) sum(f findings, o Options) string {
	if len(f.all) == 1 {
		return f.all[0].Message
	}
	who := ""
	if f.all[0].Rep >= 0 {
		who = r.who(f.all)
	}
	switch f.kind {
	case MissedRep:
		return who + " were not run"
	case ExtraRep:
		return fmt.Sprintf("%d extra reps were run, of %s", len(f.all), sizes(f.all, o))
	case ShortRep:
		return who + " were short, by " + sizes(f.all, o)
	case LongRep:
		return who + " were long, by " + sizes(f.all, o)
	case InterruptedRep:
		return who + " were interrupted, for " + sizes(f.all, o)
	case MergedReps:
		return who + " were run through into the next ones without recovery"
	case OffTarget:
		return fmt.Sprintf("%s were %s than their targets, by %s", who, f.side, sizes(f.all, o))
	case OffHeart:
		return who + " were mostly outside their heart-rate target"
	case ShortRecovery:
		return "the recoveries after " + who + " were short, by " + sizes(f.all, o)
	case LongRecovery:
		return "the recoveries after " + who + " were long, by " + sizes(f.all, o)
	}
	var all []string
	for _, d := range f.all {
		all = append(all, d.Message)
	}
	return strings.Join(all, "; ")
}

// who names the reps of findings: "reps 5 to 7", "reps 2 and 4", "36 of 40 reps".
func (r *Result) who(all []Deviation) string {
	const most = 3 // numbers to list one by one
	var numbers []int
	planned := 0
	for _, rep := range r.Reps {
		if rep.Step >= 0 {
			planned++
		}
	}
	for _, d := range all {
		numbers = append(numbers, r.Reps[d.Rep].Rep)
	}
	n := len(numbers)
	switch {
	case n == planned:
		return fmt.Sprintf("all %d reps", n)
	case n > most && numbers[n-1]-numbers[0] != n-1:
		return fmt.Sprintf("%d of %d reps", n, planned)
	}
	return "reps " + figures.Numbers(numbers)
}

// sizes is the range of the sizes of findings, without signs.
func sizes(all []Deviation, o Options) string {
	least, most := math.Inf(1), 0.0
	unit, mile := all[0].Unit, all[0].mile
	for _, d := range all {
		if d.Unit != unit {
			continue // a recovery by distance that was stood in
		}
		least, most = math.Min(least, math.Abs(d.Size)), math.Max(most, math.Abs(d.Size))
	}
	one := func(x float64) string { return amountText(x, unit, mile) }
	if unit == "s/km" {
		u := figures.UnitOf(o.Miles)
		a, b := fmt.Sprintf("%.0f", u.PerKm()*least), fmt.Sprintf("%.0f", u.PerKm()*most)
		if a == b {
			return a + " " + u.Spoken()
		}
		return a + " to " + b + " " + u.Spoken()
	}
	a, b := one(least), one(most)
	if a == b {
		return a
	}
	if n := strings.LastIndex(b, " "); n >= 0 && strings.HasSuffix(a, b[n:]) {
		a = strings.TrimSuffix(a, b[n:]) // the unit once
	}
	return a + " to " + b
}
