package segment

import (
	"math"
	"math/rand/v2"
	"testing"
)

// legsAt is the response of runners at a time before and after the moment that they mean, by the formula.
func legsAt(t, tau float64) float64 {
	if t <= 0 {
		return 0
	}
	return 1 - math.Exp(-t/tau)
}

// TestRespond holds responses to what calculus gives: of a runner seen through a first-order lag, through a mean over the
// seconds before, and of a belt through a mean to both sides.
func TestRespond(t *testing.T) {
	for _, tt := range []struct {
		name string
		s    smoothing
		want func(t float64) float64
	}{
		{"legs", smoothing{legsS: 2}, func(t float64) float64 { return legsAt(t, 2) }},
		{"a lag", smoothing{legsS: 2, lagS: 5}, func(t float64) float64 {
			if t <= 0 {
				return 0
			}
			return 1 - (5*math.Exp(-t/5)-2*math.Exp(-t/2))/3
		}},
		{"a mean over 10 s", smoothing{legsS: 2, meanS: 10}, func(t float64) float64 {
			whole := func(t float64) float64 { // integral of the legs'
				if t <= 0 {
					return 0
				}
				return t - 2*(1-math.Exp(-t/2))
			}
			return (whole(t) - whole(t-10)) / 10
		}},
		{"a belt, blurred", smoothing{rampS: 4, blurS: 3}, func(t float64) float64 {
			sum, weight := 0.0, 0.0
			for u := -3.0; u <= 3; u += 0.001 {
				w := 3 - math.Abs(u)
				sum, weight = sum+w*min(1, max(0, (t-u)/4)), weight+w
			}
			return sum / weight
		}},
	} {
		r := respond(tt.s)
		for k, got := range r.h {
			at := float64(k-r.lead) / 2
			if at > 40 {
				break
			}
			if want := tt.want(at); math.Abs(got-want) > 0.01 {
				t.Errorf("%s: %.4f after %.1f s, want %.4f", tt.name, got, at, want)
			}
		}
	}
}

// slowFit is fit without sums that carry over and without the parabola: it tries each moment, by the normal equations.
func slowFit(r *response, v view, every int) (moment, rss, step float64) {
	rss = math.Inf(1)
	for q := 2; q <= 2*len(v.y)-7; q += every {
		var n, sg, sgg, sy, sgy, left float64
		g := make([]float64, len(v.y))
		for i := v.from; i < v.to; i++ {
			if k := 2*i + 1 - q + r.lead; k >= 0 {
				g[i] = r.h[k]
			}
			if v.restLast {
				g[i] = 1 - g[i]
			}
			n, sg, sgg, sy, sgy = n+1, sg+g[i], sgg+g[i]*g[i], sy+v.y[i], sgy+g[i]*v.y[i]
		}
		var level, s float64
		if rest := v.restFirst || v.restLast; rest && sgg < 1e-9 || !rest && sgg-sg*sg/n < 1e-9 {
			continue
		} else if rest {
			s = sgy / sgg
		} else {
			det := n*sgg - sg*sg
			level, s = (sgg*sy-sg*sgy)/det, (n*sgy-sg*sy)/det
		}
		for i := v.from; i < v.to; i++ {
			left += sq(v.y[i] - level - s*g[i])
		}
		if v.restLast {
			s = -s
		}
		if left < rss {
			moment, rss, step = float64(q)/2, left, s
		}
	}
	return moment, rss, step
}

func TestFit(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	for range 1000 {
		s := smoothing{legsS: 2, blurS: 1 + 4*rng.Float64()}.by(rng.IntN(tried))
		r := respond(s)
		y := make([]float64, 10+rng.IntN(33))
		moment, step := float64(2+rng.IntN(2*len(y)-8))/2, (0.2+2*rng.Float64())*float64(1-2*rng.IntN(2))
		for i := range y {
			y[i] = 3
			if k := 2*i + 1 - int(2*moment) + r.lead; k >= 0 {
				y[i] += step * r.h[k]
			}
		}
		at, rss, found := r.fit(whole(y), 1)
		if math.Abs(at-moment) > 0.05 || math.Abs(rss) > 1e-9 || math.Abs(found-step) > 1e-6 {
			t.Fatalf("%+v: a step of %v at %v is %v at %v with %v left", s, step, moment, found, at, rss)
		}
		for i := range y {
			y[i] += 0.1 * rng.NormFloat64()
		}
		for _, every := range []int{1, 2} {
			at, rss, found = r.fit(whole(y), every)
			want, wantRSS, wantStep := slowFit(r, whole(y), every)
			if math.Abs(at-want) > 0.25 || every == 2 && at != want || math.Abs(rss-wantRSS) > 1e-9 || math.Abs(found-wantStep) > 1e-9*(1+math.Abs(found)) {
				t.Fatalf("step %v at %v with %v left, want %v at %v with %v", found, at, rss, wantStep, want, wantRSS)
			}
		}
	}
}

// TestFitOfAPart: of the cells before or after a pause, and of a runner who is at rest on the other side of it, the moment is that
// of all cells, and of noise what the slow twin finds.
func TestFitOfAPart(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for range 1000 {
		s := smoothing{legsS: haltS, blurS: 1}.by(rng.IntN(tried))
		r := respond(s)
		v := whole(make([]float64, 30+rng.IntN(12)))
		moment, speed := 12+float64(rng.IntN(12))/2, 2+3*rng.Float64()
		if v.restLast = rng.IntN(2) == 0; v.restLast {
			v.to = int(moment) + 4 + rng.IntN(4)
		} else {
			v.restFirst, v.from = true, int(moment)-2+rng.IntN(3)
		}
		for i := range v.y {
			h := 0.0
			if k := 2*i + 1 - int(2*moment) + r.lead; k >= 0 {
				h = r.h[k]
			}
			if v.restLast {
				h = 1 - h
			}
			v.y[i] = speed * h
		}
		for i := range v.y { // while the timer stands
			if i < v.from || i >= v.to {
				v.y[i] = math.NaN()
			}
		}
		at, rss, found := r.fit(v, 1)
		if math.Abs(at-moment) > 0.1 || math.Abs(rss) > 1e-6 || math.Abs(math.Abs(found)-speed) > 1e-3 || (found < 0) != v.restLast {
			t.Fatalf("%+v from %d to %d: a step of %v at %v is %v at %v with %v left", s, v.from, v.to, speed, moment, found, at, rss)
		}
		for i := range v.y {
			v.y[i] += 0.1 * rng.NormFloat64()
		}
		at, rss, found = r.fit(v, 2)
		want, wantRSS, wantStep := slowFit(r, v, 2)
		if at != want || math.Abs(rss-wantRSS) > 1e-9 || math.Abs(found-wantStep) > 1e-9*(1+math.Abs(found)) {
			t.Fatalf("step %v at %v with %v left, want %v at %v with %v", found, at, rss, wantStep, want, wantRSS)
		}
	}
}
