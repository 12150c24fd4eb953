package match

import (
	"math"
	"slices"
)

// alikeRatio is how many times longer or shorter a stretch may be than the reps of a
// row and still be one of them (common practice, no source).
const alikeRatio = 1.3

// hardly is the share of an easy step below which it may be the rest after a rep (set on
// recordings that begin with a rep).
const hardly = 0.3

// leastEnd is the share of a warm-up or cool-down below which it is none (common practice, no source).
const leastEnd = 0.1

// inOrder numbers the reps of rows of like steps as they were run: the planned ones
// come first and the extra ones last. Which of nine like reps was one too many, nobody
// can see; the last one is what a runner adds. Where the device led through the steps,
// it knows, and the path stays as it is.
func inOrder(ts []task, path []placed, sp *speeds) []placed {
	if sp.led() {
		return path
	}
	for from := 0; from < len(ts); {
		if !ts[from].work {
			from++
			continue
		}
		to := from // the last rep of the row
		for k := from + 1; k < len(ts) && (ts[k].rest || ts[k].group == ts[from].group); k++ {
			if ts[k].work {
				to = k
			}
		}
		path = rowInOrder(ts, path, from, to, sp)
		from = to + 1
	}
	return path
}

// rowInOrder deals with the row of the tasks from to to.
func rowInOrder(ts []task, path []placed, from, to int, sp *speeds) []placed {
	w := row{ts, from, to, sp}
	first, last, extra := w.bounds(path)
	if !extra {
		return startingFirst(ts, path, from, to)
	}
	runs, gaps, ok := w.runs(path[first : last+1])
	if !ok {
		return path // something else was run in between
	}
	var out []placed
	for _, p := range path[first : last+1] {
		if p.task >= 0 && p.task < from { // a warm-up that was the rest after a rep
			out = append(out, placed{moveSkip, p.task, path[first].start, path[first].start})
		}
	}
	return slices.Concat(path[:first], out, w.numbered(runs, gaps), path[last+1:])
}

// A row is the tasks from to to: like reps with what lies between them.
type row struct {
	ts       []task
	from, to int
	sp       *speeds
}

// alike tells whether a stretch may be one of the reps of the row.
func (w row) alike(p placed) bool {
	t := &w.ts[w.from]
	if p.move == moveStep && w.ts[p.task].group == t.group {
		return true
	}
	if p.move != moveFast || t.open {
		return false
	}
	x := p.end - p.start
	if t.metres {
		x = w.sp.ran(p.start, p.end)
	}
	return math.Abs(math.Log(math.Max(x, 1)/t.amount)) < math.Log(alikeRatio)
}

// bounds are the places in the path of the first and the last rep of the row, extra ones
// beside it taken in, and whether there are such.
// Branches: each case is one sort of stretch, and split up, their order would not show.
func (w row) bounds(path []placed) (first, last int, extra bool) {
	first, last = -1, -1
	lead := -1 // an extra one before the row
	for i, p := range path {
		in := p.task >= w.from && p.task <= w.to && w.ts[p.task].work
		switch {
		case in && first < 0 && lead >= 0:
			first, last, extra = lead, i, true
		case in && first < 0:
			first, last = i, i
		case in:
			last = i
		case p.task >= 0 && (w.ts[p.task].rest || p.move == moveSkip || hardlyRun(&w.ts[p.task], p)):
		case p.task >= 0 || p.move == moveFast && !w.alike(p):
			lead = -1
		case p.move == moveFast && first < 0 && lead < 0:
			lead = i
		case p.move == moveFast && first >= 0 && !otherSteps(w.ts, path[last+1:i], w.to):
			last, extra = i, true
		}
	}
	extra = extra || first >= 0 && slices.ContainsFunc(path[first:last+1], func(p placed) bool { return p.move == moveFast })
	return first, last, extra
}

// runs are the reps of a stretch of the path and the gaps between them; ok is false when
// work of another kind lies there too.
func (w row) runs(path []placed) (runs, gaps []placed, ok bool) {
	end := math.NaN()
	for _, p := range path {
		if !w.alike(p) || !(p.end > p.start) {
			if p.move == moveFast {
				return nil, nil, false
			}
			continue
		}
		if len(runs) > 0 {
			gaps = append(gaps, placed{moveSlow, -1, end, p.start})
		}
		runs, end = append(runs, p), p.end
	}
	return runs, gaps, true
}

// numbered gives the runs to the reps of the row in order, the gaps to its recoveries; what
// is left of either was not planned, or not run.
func (w row) numbered(runs, gaps []placed) []placed {
	var out []placed
	k, used := 0, 0 // of runs; the gap that a recovery has taken
	for i := w.from; i <= w.to; i++ {
		at := runs[min(k, len(runs)-1)].start
		if k > 0 {
			at = runs[k-1].end
		}
		switch {
		case w.ts[i].work && k < len(runs):
			out = append(out, placed{moveStep, i, runs[k].start, runs[k].end})
			k++
		case w.ts[i].work:
			out = append(out, placed{moveSkip, i, at, at})
		case k > used && k-1 < len(gaps) && gaps[k-1].end > gaps[k-1].start:
			used = k
			out = append(out, placed{moveStep, i, gaps[k-1].start, gaps[k-1].end})
		default:
			out = append(out, placed{moveSkip, i, at, at})
		}
	}
	for ; k < len(runs); k++ {
		if g := gaps[k-1]; k > 0 && g.end > g.start {
			out = append(out, g)
		}
		out = append(out, placed{moveFast, -1, runs[k].start, runs[k].end})
	}
	return out
}

// hardlyRun tells whether so little of an easy step was run that it may have been the
// rest after a rep.
func hardlyRun(t *task, p placed) bool { return p.end-p.start < hardly*t.seconds() }

// startingFirst lets a row of which the first reps were left out begin with its first:
// of eight like reps of ten, the last two were not run.
// Branches: each loop deals with one part of the path, and is short.
func startingFirst(ts []task, path []placed, from, to int) []placed {
	first := slices.IndexFunc(path, func(p placed) bool { return p.task == from })
	run := slices.IndexFunc(path, func(p placed) bool {
		return p.move == moveStep && p.task >= from && p.task <= to && ts[p.task].work
	})
	if first < 0 || run < 0 || path[run].task == from {
		return path
	}
	by := path[run].task - from // steps left out
	if !inTurn(ts[from:to+1], by) {
		return path
	}
	within := func(p placed) bool { return p.task >= from && p.task <= to }
	var before, after []placed
	last := run
	for i, p := range path {
		if within(p) && p.move == moveStep {
			last = i
		}
	}
	for i, p := range path[:last+1] {
		switch {
		case !within(p):
		case i >= run:
			p.task -= by
		case p.end > p.start:
			p.move, p.task = moveSlow, -1 // a recovery with no rep before it
		default:
			continue
		}
		before = append(before, p)
	}
	end := path[last].end
	for i := path[last].task - by + 1; i <= to; i++ {
		before = append(before, placed{moveSkip, i, end, end})
	}
	for _, p := range path[last+1:] {
		if !within(p) {
			after = append(after, p)
		}
	}
	return slices.Concat(before, after)
}

// inTurn tells whether steps are of one kind as those so many places before them, so that
// the first ones may stand for the last.
func inTurn(ts []task, by int) bool {
	for i := 0; i+by < len(ts); i++ {
		if ts[i].work != ts[i+by].work || ts[i].metres != ts[i+by].metres || ts[i].amount != ts[i+by].amount {
			return false
		}
	}
	return true
}

// otherSteps tells whether a stretch of the path holds steps of the plan that are not
// recoveries of the row.
func otherSteps(ts []task, path []placed, to int) bool {
	return slices.ContainsFunc(path, func(p placed) bool { return p.task >= 0 && (p.task > to+1 || !ts[p.task].rest) })
}

// led tells whether the device led the runner through numbered steps.
func (sp *speeds) led() bool {
	if sp.s.Recording == nil {
		return false
	}
	for _, l := range sp.s.Recording.Laps {
		if l.Step >= 0 {
			return true
		}
	}
	return false
}

// withEnds gives a lone planned step before the first rep, or after the last one, all
// that was run there: a warm-up is what comes before the work, however long. A step
// that lies between reps which were not planned is the rest between them.
func withEnds(ts []task, path []placed) []placed {
	firstWork, lastWork := len(ts), -1
	for i := range ts {
		if ts[i].work {
			firstWork, lastWork = min(firstWork, i), i
		}
	}
	if lastWork < 0 {
		return path
	}
	isRep := func(p placed) bool {
		return p.end > p.start && (p.move == moveFast || p.move == moveStep && ts[p.task].work)
	}
	first, last := slices.IndexFunc(path, isRep), -1
	for i, p := range path {
		if isRep(p) {
			last = i
		}
	}
	if first < 0 {
		return path
	}
	if lastWork == len(ts)-2 {
		path = wholeEnd(path, lastWork+1, last+1, len(path), leastEnd*ts[lastWork+1].seconds())
	}
	if firstWork == 1 {
		path = wholeEnd(path, 0, 0, first, leastEnd*ts[0].seconds())
	}
	return path
}

// wholeEnd gives the stretch of the path between two places to the step i, wherever it
// lay, unless it is shorter than least, s. Branches: it is one pass that sorts the
// stretches of the path.
func wholeEnd(path []placed, i, from, to int, least float64) []placed {
	end := placed{moveStep, i, math.NaN(), math.NaN()}
	var before, inside, after []placed
	for k, p := range path {
		own := p.task == i
		switch {
		case k >= from && k < to:
			if p.end > p.start && math.IsNaN(end.start) {
				end.start = p.start
			}
			if p.end > p.start {
				end.end = p.end
			}
			if !own && p.task >= 0 {
				inside = append(inside, p) // left out, or a rest with nothing after it
			}
		case own && !(p.end > p.start): // left out
		case k < from:
			before = append(before, unplannedIf(p, own))
		default:
			after = append(after, unplannedIf(p, own))
		}
	}
	if !(end.end-end.start >= least) {
		return path
	}
	for k := range inside {
		if inside[k].move == moveStep {
			return path // a planned step was run there as well
		}
	}
	if to == len(path) { // steps left out come before the one that ends the session
		for k := range inside {
			inside[k].start, inside[k].end = end.start, end.start
		}
		return slices.Concat(before, inside, []placed{end}, after)
	}
	for k := range inside {
		inside[k].start, inside[k].end = end.end, end.end
	}
	return slices.Concat(before, []placed{end}, inside, after)
}

// unplannedIf makes a stretch one that no step stands for.
func unplannedIf(p placed, so bool) placed {
	if so {
		p.move, p.task = moveSlow, -1
	}
	return p
}
