package workouts

// Normal returns the workout in the normal form that Item describes: groups
// done once are spliced into their surroundings, a group of a single step
// becomes a repeated step, and a rest that stands between nothing is dropped.
// The workout itself is not changed.
func (w Workout) Normal() Workout {
	w.Items = normalItems(w.Items)
	return w
}

func normalItems(items []Item) []Item {
	var out []Item
	for _, it := range items {
		it.Count = max(it.Count, 1)
		if it.Count == 1 {
			it.Rest = nil
		}
		if len(it.Body) == 0 {
			it.Body = nil
			if it.Step.Manner == Unsaid {
				it.Step.Manner = Work
			}
			if it.Step.Amount.Kind != "" {
				out = append(out, it)
			}
			continue
		}
		it.Step = Step{}
		it.Body = normalItems(it.Body)
		switch {
		case len(it.Body) == 0:
		case it.Count == 1:
			out = append(out, it.Body...)
		case len(it.Body) == 1 && it.Body[0].Count == 1:
			out = append(out, Item{Count: it.Count, Step: it.Body[0].Step, Rest: it.Rest})
		default:
			out = append(out, it)
		}
	}
	return out
}

// Size is the number of steps the workout unrolls into, rests included. It
// does not unroll it, and stops counting somewhere above MaxPlanned.
func (w Workout) Size() int { return sizeOf(w.Items) }

func sizeOf(items []Item) int {
	n := 0
	for _, it := range items {
		pass := 1
		if len(it.Body) > 0 {
			pass = sizeOf(it.Body)
		}
		if it.Rest != nil {
			pass++
		}
		// Both factors are bounded first, so the product cannot overflow.
		each := min(max(it.Count, 1), MaxPlanned+1) * min(pass, MaxPlanned+1)
		if it.Rest != nil {
			each--
		}
		n += each
		if n > MaxPlanned {
			return MaxPlanned + 1
		}
	}
	return n
}

// Length sums the written amounts with all their repeats: seconds over the
// time steps, metres over the distance steps. It does not unroll the workout.
func (w Workout) Length() (seconds, metres float64) { return lengthOf(w.Items) }

func lengthOf(items []Item) (seconds, metres float64) {
	for _, it := range items {
		s, m := it.Step.Amount.Seconds, it.Step.Amount.Metres
		if len(it.Body) > 0 {
			s, m = lengthOf(it.Body)
		}
		n := float64(max(it.Count, 1))
		seconds, metres = seconds+n*s, metres+n*m
		if it.Rest != nil {
			seconds += (n - 1) * it.Rest.Amount.Seconds
			metres += (n - 1) * it.Rest.Amount.Metres
		}
	}
	return seconds, metres
}
