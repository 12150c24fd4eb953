package match

// joinRests lets a recovery take in the unplanned slow stretches next to it:
// what lies between two reps that follow each other in the plan is one rest.
func joinRests(ts []task, path []placed) []placed {
	isWork := func(p placed) bool { return p.move == moveFast || p.task >= 0 && ts[p.task].work }
	var out []placed
	for i := 0; i < len(path); {
		if isWork(path[i]) {
			out = append(out, path[i])
			i++
			continue
		}
		j := i
		for j < len(path) && !isWork(path[j]) {
			j++
		}
		gap := path[i:j]
		between := i > 0 && j < len(path) && path[i-1].move != moveSkip && path[j].move != moveSkip
		if between {
			gap = joined(gap)
		}
		out = append(out, gap...)
		i = j
	}
	return out
}

// joined gives the slow stretches of a gap to the planned step after them, or
// else to the one before.
func joined(gap []placed) []placed {
	var out []placed
	wait := -1.0 // start of a slow stretch that waits for a step
	for _, p := range gap {
		switch p.move {
		case moveSlow:
			if wait < 0 {
				wait = p.start
			}
			continue
		case moveStep:
			if wait >= 0 {
				p.start, wait = wait, -1
			}
		}
		out = append(out, p)
	}
	if wait < 0 {
		return out
	}
	end := gap[len(gap)-1].end
	for k := len(out) - 1; k >= 0; k-- {
		if out[k].move == moveStep {
			out[k].end = end
			for m := k + 1; m < len(out); m++ {
				out[m].start, out[m].end = end, end
			}
			return out
		}
	}
	return append(out, placed{moveSlow, -1, wait, end})
}
