package segment

import "math"

// A response is what a stream shows of a change from standing at 0 to 1 that is meant at one moment:
// the runner needs time to follow, the device smooths what it sees, and records are some time apart.
// Values stand half a second apart.
type response struct {
	lead int // values before the moment
	h    []float64
	// Sums over every second value, of values and of their squares.
	sum, square []float64
	spread      float64 // s, over which the change is drawn out: 1 over the sum of squares of its rises each second
}

// A smoothing is what makes a response.
type smoothing struct {
	legsS float64 // time constant with which a runner changes speed, s; 0 for a belt
	rampS float64 // seconds for which a belt changes its speed at one rate
	lagS  float64 // time constant of the device
	meanS float64 // the device shows the mean over so many seconds
	blurS float64 // a mean to both sides, of weights that fall to 0 at so many seconds
}

const (
	// longestFit is the most cells of an edge that are looked at, and so how far a response reaches, s.
	longestFit = 44
	fine       = 4 // values a second while a response is made
)

func respond(s smoothing) *response {
	lead := int(math.Ceil(s.blurS)) + 1 // s
	x := make([]float64, fine*(lead+2*longestFit))
	for i := range x {
		switch t := float64(i)/fine - float64(lead); {
		case t < 0:
		case s.rampS > 0:
			x[i] = math.Min(1, t/s.rampS)
		default:
			x[i] = 1 - math.Exp(-t/s.legsS)
		}
	}
	lagged(x, s.lagS)
	trailing(x, s.meanS, 0)
	trailing(x, s.blurS, s.blurS/2) // twice an even mean is one whose weights fall evenly
	trailing(x, s.blurS, s.blurS/2)
	r := &response{lead: 2 * lead}
	rises := 0.0
	for i := 0; i < len(x); i += fine / 2 {
		r.h = append(r.h, x[i])
		k := len(r.h) - 1
		a, b := x[i], x[i]*x[i]
		if k >= 2 {
			rises += sq(r.h[k]-r.h[k-2]) / 2
			a, b = a+r.sum[k-2], b+r.square[k-2]
		}
		r.sum, r.square = append(r.sum, a), append(r.square, b)
	}
	r.spread = 1 / rises
	return r
}

// lagged smooths x, which has a value each 1/fine s, by a first-order lag.
func lagged(x []float64, tau float64) {
	if tau <= 0 {
		return
	}
	decay, y, last := math.Exp(-1/(fine*tau)), 0.0, 0.0
	for i, v := range x {
		y = decay*y + (1-decay)*(v+last)/2
		x[i], last = y, v
	}
}

// trailing makes each value the mean over the seconds before it, or over those around it where it is put so many
// seconds ahead.
func trailing(x []float64, seconds, ahead float64) {
	if seconds <= 0 {
		return
	}
	n := len(x)
	area := make([]float64, n) // up to the middle of each value
	for i := 1; i < n; i++ {
		area[i] = area[i-1] + (x[i-1]+x[i])/(2*fine)
	}
	upTo := func(at float64) float64 { // in values
		switch {
		case at <= 0:
			return 0
		case at >= float64(n-1):
			return area[n-1] + (at-float64(n-1))*x[n-1]/fine
		}
		k := int(at)
		return area[k] + (at-float64(k))*(area[k+1]-area[k])
	}
	end := x[n-1]
	for i := range x {
		at := float64(i) + ahead*fine
		x[i] = (upTo(at) - upTo(at-seconds*fine)) / seconds
	}
	x[n-1] = end
}

// A view is what is seen of an edge: y in cells of a second, of which those from one to before another tell
// something, and whether the runner is known to stand before or after it.
type view struct {
	y         []float64 // m/s
	from, to  int
	restFirst bool
	restLast  bool
}

// whole is a view of which each cell tells something.
func whole(y []float64) view { return view{y: y, to: len(y)} }

// fit fits y = a + s*response to each moment that is every half second or every whole one
// from the first cell to the fourth last, and returns the best moment, s from the start of y, between
// those tried where every half second is, the sum of squares left and the step s. At rest before, a is 0; at rest
// after, a is -s.
func (r *response) fit(v view, every int) (moment, rss, step float64) {
	y, n := v.y, float64(v.to-v.from)
	var sy, syy float64
	for _, v := range y[v.from:v.to] {
		sy, syy = sy+v, syy+v*v
	}
	rss = math.Inf(1)
	best, last := 0, 2*len(y)-7
	var left [2*longestFit + 1]float64
	for q := 2; q <= last; q += every {
		left[q] = math.Inf(1)
		first := 1 - q + r.lead // where the middle of the first cell stands
		from := max(v.from, (1-first)/2)
		if from >= v.to {
			continue
		}
		m, end := first+2*from, first+2*(v.to-1)
		sg, sgg := r.sum[end], r.square[end]
		if m >= 2 {
			sg, sgg = sg-r.sum[m-2], sgg-r.square[m-2]
		}
		syg := 0.0
		for i, k := from, m; i < v.to; i, k = i+1, k+2 {
			syg += y[i] * r.h[k]
		}
		// The sum of products of y and of what is fitted, and the square of the latter, about their means but at rest.
		c, square, sign, of := syg-sg*sy/n, sgg-sg*sg/n, 1.0, syy-sy*sy/n
		switch {
		case v.restFirst:
			c, square, of = syg, sgg, syy
		case v.restLast:
			c, square, sign, of = sy-syg, n-2*sg+sgg, -1, syy
		}
		if square < 1e-9 {
			continue
		}
		left[q] = max(0, of-c*c/square)
		if left[q] < rss {
			best, rss, step = q, left[q], sign*c/square
		}
	}
	moment = float64(best) / 2
	if every == 1 && best > 2 && best < last {
		if a, b := left[best-1]-rss, left[best+1]-rss; a+b > 0 && !math.IsInf(a+b, 1) { // a parabola through three
			moment += (a - b) / (a + b) / 4
		}
	}
	return moment, rss, step
}
