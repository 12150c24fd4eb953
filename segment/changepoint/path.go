package changepoint

import "fmt"

// A Solution is a segmentation and the penalties for which it is optimal.
type Solution struct {
	Low, High float64 // closed interval of penalties
	Changes   []int   // as Search gives them
	Cost      float64 // sum of the costs of the segments
}

// Path finds every segmentation that is optimal for some penalty in [low, high]
// (CROPS: Haynes, Eckley, Fearnhead 2017, JCGS 26:134-143). The solutions come
// by growing penalty, so with fewer and fewer changes; their intervals touch and
// together cover [low, high]. A segmentation that is optimal at a single
// penalty only, as one of several, may be left out.
//
// Search is called about twice for each solution. There are many solutions at
// low penalties, about as many as there are samples at 0.
func Path(c Cost, low, high float64, o Options) ([]Solution, error) {
	if err := o.check(c); err != nil {
		return nil, err
	}
	for _, p := range []float64{low, high} {
		if err := checkPenalty(p); err != nil {
			return nil, err
		}
	}
	if low > high {
		return nil, fmt.Errorf("changepoint: penalties from %v to %v; the lower comes first", low, high)
	}
	at := func(penalty float64) (Solution, error) {
		changes, cost, err := Search(c, penalty, o)
		return Solution{Low: penalty, High: penalty, Changes: changes, Cost: cost}, err
	}
	first, err := at(low)
	if err != nil {
		return nil, err
	}
	last, err := at(high)
	if err != nil {
		return nil, err
	}
	path := []Solution{first}
	// todo holds solutions still to be joined to the end of path, the next on
	// top.
	todo := []Solution{last}
	for len(todo) > 0 {
		a, b := &path[len(path)-1], todo[len(todo)-1]
		more := len(a.Changes) - len(b.Changes)
		if more <= 0 { // the same, or equally good
			a.High = max(a.High, b.High)
			todo = todo[:len(todo)-1]
			continue
		}
		// Where the two are equally good, nothing else may be better.
		meet := min(b.High, max(a.Low, (b.Cost-a.Cost)/float64(more)))
		if more > 1 {
			mid, err := at(meet)
			if err != nil {
				return nil, err
			}
			if m := len(mid.Changes); m < len(a.Changes) && m > len(b.Changes) {
				todo = append(todo, mid)
				continue
			}
		}
		a.High, b.Low = meet, meet
		b.High = max(b.High, meet)
		path = append(path, b)
		todo = todo[:len(todo)-1]
	}
	return path, nil
}
