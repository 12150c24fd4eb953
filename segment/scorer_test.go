package segment_test

import (
	"cmp"
	"encoding/json"
	"fmt"
	"math"
	"os"
	"slices"
	"strings"
	"testing"
)

// fMeasure scores found changes against those of several annotators: the
// harmonic mean of precision and recall with a margin (van den Burg & Williams
// 2020, arXiv 2003.06222). A change is found when a predicted one lies within
// margin samples; each prediction counts once. Precision is taken against the
// changes of all annotators together, recall is the mean over annotators.
//
// All changes are 0-based first indices of the new segment. 0 is taken as a
// change known to all, so that "no change" can be scored.
func fMeasure(annotations [][]int, predicted []int, margin int) (float64, error) {
	if len(annotations) == 0 {
		return 0, fmt.Errorf("no annotators to score against")
	}
	if margin < 0 {
		return 0, fmt.Errorf("margin is %d; it must not be negative", margin)
	}
	found := changeSet(predicted)
	var all []int
	var recall float64
	for _, a := range annotations {
		truth := changeSet(a)
		all = append(all, truth...)
		recall += float64(matches(truth, found, margin)) / float64(len(truth))
	}
	recall /= float64(len(annotations))
	precision := float64(matches(changeSet(all), found, margin)) / float64(len(found))
	return 2 * precision * recall / (precision + recall), nil
}

// changeSet is sorted, without repeats, and holds 0.
func changeSet(changes []int) []int {
	set := append([]int{0}, changes...)
	slices.Sort(set)
	return slices.Compact(set)
}

// matches counts the changes in truth that have a found one within the margin,
// in order, each taking the nearest (the earlier of two) that is still free.
func matches(truth, found []int, margin int) int {
	free := slices.Clone(found)
	count := 0
	for _, t := range truth {
		if len(free) == 0 {
			break
		}
		distance := func(x int) int { return max(x-t, t-x) }
		x := slices.MinFunc(free, func(a, b int) int { return cmp.Compare(distance(a), distance(b)) })
		if distance(x) <= margin {
			count++
			free = slices.DeleteFunc(free, func(f int) bool { return f == x })
		}
	}
	return count
}

// covering scores a segmentation of n samples against those of several
// annotators: each annotated segment counts, in proportion to its length, with
// the best overlap (intersection over union) any predicted segment has with
// it; the mean over annotators is taken (the same source). Changes are as in
// fMeasure.
func covering(annotations [][]int, predicted []int, n int) (float64, error) {
	if len(annotations) == 0 {
		return 0, fmt.Errorf("no annotators to score against")
	}
	for _, set := range append([][]int{predicted}, annotations...) {
		for _, c := range set {
			if c < 0 || c >= n {
				return 0, fmt.Errorf("change at %d in a series of %d samples", c, n)
			}
		}
	}
	if n < 1 {
		return 0, fmt.Errorf("no samples")
	}
	found := append(changeSet(predicted), n)
	var sum float64
	for _, a := range annotations {
		truth := append(changeSet(a), n)
		for i := 1; i < len(truth); i++ {
			sum += float64(truth[i]-truth[i-1]) * bestOverlap(truth[i-1], truth[i], found)
		}
	}
	return sum / float64(n*len(annotations)), nil
}

// bestOverlap is the best intersection over union of [i, j) with a piece between
// neighbouring borders.
func bestOverlap(i, j int, borders []int) float64 {
	var best float64
	for b := 1; b < len(borders); b++ {
		p, q := borders[b-1], borders[b]
		if common := min(j, q) - max(i, p); common > 0 {
			best = max(best, float64(common)/float64(max(j, q)-min(i, p)))
		}
	}
	return best
}

// TestScores: the values are in the tests of the scorer of the annotated benchmark
// (van den Burg & Williams 2020, analysis/scripts/metrics.py).
func TestScores(t *testing.T) {
	one, two := [][]int{{10, 20}, {11, 20}, {10}, {0, 5}}, [][]int{{}, {10}, {50}}
	for _, c := range []struct {
		annotations [][]int
		predicted   []int
		want        float64
	}{
		{one, []int{10, 20}, 1},
		{two, []int{10}, 0.9090909090909091},
		{two, []int{}, 0.8},
	} {
		if got, err := fMeasure(c.annotations, c.predicted, 5); err != nil || math.Abs(got-c.want) > 1e-12 {
			t.Errorf("fMeasure(%v, %v) = %v, %v; want %v", c.annotations, c.predicted, got, err, c.want)
		}
	}
	three, four := [][]int{{10, 20}, {10}, {0, 5}}, [][]int{{}, {10}, {40}}
	for _, c := range []struct {
		annotations [][]int
		predicted   []int
		n           int
		want        float64
	}{
		{three, []int{10, 20}, 45, 0.7962962963},
		{four, []int{10}, 45, 0.7954144621},
		{four, []int{}, 45, 0.8189300412},
		{[][]int{{3}}, []int{3, 5}, 6, 0.8333333333}, // {1 2 3} {4 5 6} by {1 2 3} {4 5} {6}
	} {
		if got, err := covering(c.annotations, c.predicted, c.n); err != nil || math.Abs(got-c.want) > 5e-11 {
			t.Errorf("covering(%v, %v, %d) = %v, %v; want %v", c.annotations, c.predicted, c.n, got, err, c.want)
		}
	}
}

// TestFMeasureCountsOnce: a prediction near two true changes finds one of them. By
// hand: precision 1, recall (1 + 1)/3, as 0 is known to all.
func TestFMeasureCountsOnce(t *testing.T) {
	got, err := fMeasure([][]int{{50, 52}}, []int{51}, 5)
	if want := 2 * (2. / 3) / (1 + 2./3); err != nil || math.Abs(got-want) > 1e-12 {
		t.Errorf("%v, %v; want %v", got, err, want)
	}
}

func TestScoreErrors(t *testing.T) {
	f := func(a [][]int, p []int, margin int) error { _, err := fMeasure(a, p, margin); return err }
	cover := func(a [][]int, p []int, n int) error { _, err := covering(a, p, n); return err }
	for _, c := range []struct {
		err  error
		want string
	}{
		{f(nil, nil, 5), "no annotators to score against"},
		{f([][]int{{}}, nil, -1), "margin is -1; it must not be negative"},
		{cover(nil, nil, 5), "no annotators to score against"},
		{cover([][]int{{}}, nil, 0), "no samples"},
		{cover([][]int{{5}}, nil, 5), "change at 5 in a series of 5 samples"},
		{cover([][]int{{}}, []int{-1}, 5), "change at -1 in a series of 5 samples"},
	} {
		if c.err == nil || !strings.Contains(c.err.Error(), c.want) {
			t.Errorf("error %v, want one with %q", c.err, c.want)
		}
	}
}

// annotations of one series, in the order of the annotators' numbers as text.
func annotations(t *testing.T, series string) [][]int {
	t.Helper()
	text, err := os.ReadFile(dataFile(t, "annotations.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]map[string][]int
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	var ids []string
	for id := range all[series] {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	var sets [][]int
	for _, id := range ids {
		sets = append(sets, all[series][id])
	}
	return sets
}

// stage has the true phases of the series run_log of the annotated benchmark (van
// den Burg & Williams 2020, arXiv 2003.06222).
var stage = []int{60, 96, 114, 174, 204, 240, 258, 317}

// TestRunLogScores: the scores of "no change" are those published with the
// benchmark (scores/*.json, method zero); those of the true phases were computed
// with its own scorer.
func TestRunLogScores(t *testing.T) {
	sets := annotations(t, "run_log")
	for _, want := range []struct {
		changes   []int
		f1, cover float64
		tolerance float64
	}{
		{nil, 0.4455958549, 0.3035168628, 5e-11},
		{stage, 0.9899, 0.8268, 5e-5},
	} {
		f1, err := fMeasure(sets, want.changes, 5)
		if err != nil || math.Abs(f1-want.f1) > want.tolerance {
			t.Errorf("%v: F-measure %v, %v; want %v", want.changes, f1, err, want.f1)
		}
		cover, err := covering(sets, want.changes, 376)
		if err != nil || math.Abs(cover-want.cover) > want.tolerance {
			t.Errorf("%v: covering %v, %v; want %v", want.changes, cover, err, want.cover)
		}
	}
}
