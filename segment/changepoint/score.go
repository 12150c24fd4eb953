package changepoint

import (
	"cmp"
	"fmt"
	"slices"
)

// FMeasure scores found changes against those of several annotators: the
// harmonic mean of precision and recall with a margin (van den Burg & Williams
// 2020, arXiv 2003.06222). A change is found when a predicted one lies within
// margin samples; each prediction counts once. Precision is taken against the
// changes of all annotators together, recall is the mean over annotators.
//
// All changes are 0-based first indices of the new segment. 0 is taken as a
// change known to all, so that "no change" can be scored.
func FMeasure(annotations [][]int, predicted []int, margin int) (float64, error) {
	if len(annotations) == 0 {
		return 0, fmt.Errorf("changepoint: no annotators to score against")
	}
	if margin < 0 {
		return 0, fmt.Errorf("changepoint: margin is %d; it must not be negative", margin)
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

// Covering scores a segmentation of n samples against those of several
// annotators: each annotated segment counts, in proportion to its length, with
// the best overlap (intersection over union) any predicted segment has with
// it; the mean over annotators is taken (the same source). Changes are as in
// FMeasure.
func Covering(annotations [][]int, predicted []int, n int) (float64, error) {
	if len(annotations) == 0 {
		return 0, fmt.Errorf("changepoint: no annotators to score against")
	}
	for _, set := range append([][]int{predicted}, annotations...) {
		for _, c := range set {
			if c < 0 || c >= n {
				return 0, fmt.Errorf("changepoint: change at %d in a series of %d samples", c, n)
			}
		}
	}
	if n < 1 {
		return 0, fmt.Errorf("changepoint: no samples")
	}
	found := append(changeSet(predicted), n)
	var sum float64
	for _, a := range annotations {
		truth := append(changeSet(a), n)
		for i := 1; i < len(truth); i++ {
			sum += float64(truth[i]-truth[i-1]) * overlap(truth[i-1], truth[i], found)
		}
	}
	return sum / float64(n*len(annotations)), nil
}

// overlap is the best intersection over union of [i, j) with a piece between
// neighbouring borders.
func overlap(i, j int, borders []int) float64 {
	var best float64
	for b := 1; b < len(borders); b++ {
		p, q := borders[b-1], borders[b]
		if common := min(j, q) - max(i, p); common > 0 {
			best = max(best, float64(common)/float64(max(j, q)-min(i, p)))
		}
	}
	return best
}
