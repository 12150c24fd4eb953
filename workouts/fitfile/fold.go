package fitfile

import (
	"slices"
	"strings"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// marked begins the manner of a step that is known to stand between repeats,
// until fold has put it there.
const marked = restName + " "

// mostFolded is the most items that are tried as one pass of a repeat, which
// keeps hostile files from taking long.
const mostFolded = 64

// A foldable is an item and its text, by which items are compared.
type foldable struct {
	item workouts.Item
	text string
}

func makeFoldable(it workouts.Item) foldable {
	return foldable{it, notation.Print(workouts.Workout{Items: []workouts.Item{it}})}
}

// fold puts marked rests back between repeats: it looks for k passes of X and
// R with X behind them, and for X, R, X with the longest X there is.
func fold(items []workouts.Item) []workouts.Item {
	var fs []foldable
	for _, it := range items {
		it.Body = fold(it.Body)
		fs = append(fs, makeFoldable(it))
	}
	for i := 0; i < len(fs); i++ {
		if from, to, it := foldAt(fs, i); from < to {
			fs = slices.Replace(fs, from, to, makeFoldable(it))
			i = max(from-mostFolded, 0) - 1 // it may be part of another
		}
	}
	var out []workouts.Item
	for _, f := range fs {
		out = append(out, f.item)
	}
	return out
}

// foldAt finds the repeat that items from..to are, where item i is the passes
// or the rest in the middle; none when from and to are equal.
func foldAt(fs []foldable, i int) (from, to int, it workouts.Item) {
	if it := fs[i].item; it.Count > 1 && it.Count < workouts.MaxCount && len(it.Body) > 1 && it.Rest == nil {
		x, r := it.Body[:len(it.Body)-1], it.Body[len(it.Body)-1]
		to := i + 1 + len(x)
		if isMarked(r) && to <= len(fs) && slices.EqualFunc(fs[i+1:to], x, func(f foldable, it workouts.Item) bool {
			return f.text == makeFoldable(it).text
		}) {
			return i, to, repeated(it.Count+1, x, r)
		}
	}
	if !isMarked(fs[i].item) {
		return 0, 0, it
	}
	for n := min(i, len(fs)-i-1, mostFolded); n > 0; n-- {
		x := fs[i-n : i]
		if slices.EqualFunc(x, fs[i+1:i+1+n], func(a, b foldable) bool { return a.text == b.text }) {
			var body []workouts.Item
			for _, f := range x {
				body = append(body, f.item)
			}
			return i - n, i + n + 1, repeated(2, fold(body), fs[i].item)
		}
	}
	return 0, 0, it
}

func isMarked(it workouts.Item) bool {
	return len(it.Body) == 0 && it.Count == 1 && strings.HasPrefix(string(it.Step.Manner), marked)
}

// unmarked is a marked step with its own manner.
func unmarked(s workouts.Step) workouts.Step {
	s.Manner = workouts.Manner(strings.TrimPrefix(string(s.Manner), marked))
	return s
}

func repeated(count int, x []workouts.Item, r workouts.Item) workouts.Item {
	rest := unmarked(r.Step)
	it := workouts.Item{Count: min(count, workouts.MaxCount), Body: slices.Clone(x), Rest: &rest}
	return workouts.Workout{Items: []workouts.Item{it}}.Normal().Items[0]
}

// unmark turns rests that were found elsewhere than between repeats into
// ordinary recoveries.
func unmark(items []workouts.Item) {
	for i := range items {
		unmark(items[i].Body)
		s := &items[i].Step
		if !strings.HasPrefix(string(s.Manner), marked) {
			continue
		}
		*s = unmarked(*s)
		if s.Manner == workouts.Unsaid {
			s.Manner = workouts.Jog
		}
	}
}
