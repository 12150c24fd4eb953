package recording

// A chain is the values of one stream in the order of time. A wrong value does
// not fit what came before it; what comes after the wrong ones fits again. At the
// ends of a count no value is wrong, only what it rises by.
type chain struct {
	n    int
	at   func(i int) float64 // s
	fits func(i, j int) bool // value j > i may follow value i with nothing between
	anew func(i, j int) bool // at j a counter may begin anew; nil where nothing counts
	fell func(i, j int) bool // from i to j a count falls, so that i may be the last wrong one; nil where nothing counts

	most int     // a run of wrong values has no more of them than this,
	over float64 // and takes no longer, s
	tail int     // so many values right before a break may be the wrong ones
}

// sort tells the wrong values from the others. A short run of values is wrong
// that fits neither what is before nor what is after it. Where neither side of a
// break is short, the values from there on are on a level of their own: levels
// are where these begin, ascending.
func (c chain) sort() (wrong []bool, levels []int) {
	wrong = make([]bool, c.n)
	drop := func(from, to int) {
		for i := from; i < to; i++ {
			wrong[i] = true
		}
	}
	breaks := c.breaks()
	if len(breaks)*5 > c.n { // not single faults: this stream is like that
		return wrong, nil
	}
	breaks = append(breaks, c.n)
	from := 0 // where what is believed begins
	for k := 1; k < len(breaks)-1; {
		at := breaks[k]
		last, next := at-1, c.back(at-1, breaks[k:])
		fell := c.falls(last, at)
		if next == 0 && fell {
			// Between records far apart the return may be no break.
			if head := c.head(at, breaks[k+1]); head > at {
				drop(at, head)
				k++
				continue
			}
		}
		begins := breaks[k+1]-at > 1 && c.begins(last, at)
		if next == 0 && !begins {
			last, next = c.before(from, breaks[k:], wrong, fell)
		}
		if next > 0 {
			drop(last+1, breaks[k+next-1])
			k += next
			continue
		}
		switch {
		case c.anew != nil:
			levels = append(levels, at)
		case c.short(from, at) && !c.short(at, c.n):
			drop(from, at)
		case c.short(at, c.n):
			drop(at, c.n)
			return wrong, levels
		default:
			levels = append(levels, at)
		}
		from = at
		k++
	}
	return wrong, levels
}

// falls tells whether a count falls from i to j.
func (c chain) falls(i, j int) bool { return c.fell != nil && c.fell(i, j) }

// begins tells whether a counter may begin anew at j, after i.
func (c chain) begins(i, j int) bool { return c.anew != nil && c.anew(i, j) }

// breaks is where values do not fit the one before; the first begins them.
func (c chain) breaks() []int {
	breaks := []int{0}
	for i := 1; i < c.n; i++ {
		if !c.fits(i-1, i) {
			breaks = append(breaks, i)
		}
	}
	return breaks
}

// back looks for the values after a break that fit the last one before it that
// is believed, and gives how many breaks on they begin; 0 when there are none.
func (c chain) back(last int, breaks []int) int {
	for k, at := range breaks[:len(breaks)-1] {
		if k > 0 && !c.short(breaks[0], at) {
			break
		}
		if (k > 0 || last < at-1) && c.fits(last, at) {
			return k + 1
		}
	}
	return 0
}

// before does the same where the values right before the break are the wrong ones,
// of which there may be more where a count fell; next is 0 when they are not.
func (c chain) before(from int, breaks []int, wrong []bool, fell bool) (last, next int) {
	at, most := breaks[0], c.tail
	if fell {
		most = c.most
	}
	for last = at - 2; last >= max(from, at-1-most) && !wrong[last] && c.at(at)-c.at(last) <= c.over; last-- {
		if next = c.back(last, breaks); next > 0 {
			return last, next
		}
	}
	return 0, 0
}

// head is the value soon after a break that fits the last one before it; at
// itself when none does.
func (c chain) head(at, to int) int {
	for h := at + 1; h < min(to, at+1+c.tail); h++ {
		if c.fits(at-1, h) {
			return h
		}
	}
	return at
}

// short tells whether values are few enough to be a run of wrong ones.
func (c chain) short(from, to int) bool {
	return to-from <= c.most && c.at(to-1)-c.at(from) <= c.over
}
