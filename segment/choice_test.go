package segment

import (
	"math"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// A choice is a recording as the fit sees it: the features of its readings, and which of
// them are right. None of them is chosen where no structure is right.
type choice struct {
	weight float64
	list   [][]float64
	right  []bool
	none   bool
}

// A fitter finds the weights under which the right readings are the most probable, where a
// reading has the odds exp(weights . features) against none: conditional logistic
// regression (McFadden 1974; from memory), with a ridge on weights of scaled features and
// each weight kept to its way. The sums are taken in a fixed order, so that the same
// samples give the same bytes.
type fitter struct {
	choices []choice
	way     []float64 // sign that a weight must have; 0 for either
	ridge   float64
	slips   float64   // share of recordings with reps in which the right reading can be chosen by no rule: they draw the weights the less, the more improbable it is
	scale   []float64 // root mean square of each feature
}

// loss is minus the penalised log likelihood at scaled weights x. grad is its gradient, and h,
// if there is one, the covariance of the features over all readings, which is its
// curvature where one reading is right and more than that elsewhere.
func (f *fitter) loss(x, grad []float64, h *mat.SymDense) float64 {
	n := len(x)
	const lanes = 4 // whatever the machine
	type part struct {
		total float64
		grad  []float64
		h     []float64
	}
	parts := make([]part, lanes)
	w := make([]float64, n)
	for i := range w {
		w[i] = x[i] / f.scale[i]
	}
	parallel(lanes, func(lane int) {
		p := &parts[lane]
		p.grad, p.h = make([]float64, n), make([]float64, n*n)
		var odds []float64
		for k := lane; k < len(f.choices); k += lanes {
			c := &f.choices[k]
			odds = odds[:0]
			hi := 0.0
			for _, y := range c.list {
				v := 0.0
				for i := range y {
					v += w[i] * y[i]
				}
				odds, hi = append(odds, v), max(hi, v)
			}
			all, good := math.Exp(-hi), 0.0
			if c.none {
				good = all
			}
			for i, v := range odds {
				e := math.Exp(v - hi)
				all += e
				if c.right[i] {
					good += e
				}
			}
			good = max(good, 1e-300)
			slips := f.slips
			if c.none { // which nothing but weights keeps from being chosen
				slips /= 4
			}
			chosen := (1 - slips) * good / all
			p.total -= c.weight * math.Log(slips+chosen)
			weight := c.weight * chosen / (slips + chosen)
			mean := make([]float64, n)
			for i, v := range odds {
				q := math.Exp(v-hi) / all
				d := q
				if c.right[i] {
					d -= math.Exp(v-hi) / good
				}
				if q < 1e-9 && d > -1e-9 {
					continue
				}
				for a, y := range c.list[i] {
					y /= f.scale[a]
					p.grad[a] += weight * d * y
					mean[a] += q * y
					if h == nil || y == 0 {
						continue
					}
					for b := a; b < n; b++ {
						p.h[a*n+b] += weight * q * y * c.list[i][b] / f.scale[b]
					}
				}
			}
			for a := range n {
				for b := a; h != nil && b < n; b++ {
					p.h[a*n+b] -= weight * mean[a] * mean[b]
				}
			}
		}
	})
	total := 0.0
	for a := range n {
		total += f.ridge / 2 * x[a] * x[a]
		grad[a] = f.ridge * x[a]
		for _, p := range parts {
			grad[a] += p.grad[a]
		}
		for b := a; h != nil && b < n; b++ {
			v := 0.0
			if a == b {
				v = f.ridge
			}
			for _, p := range parts {
				v += p.h[a*n+b]
			}
			h.SetSym(a, b, v)
		}
	}
	for _, p := range parts {
		total += p.total
	}
	return total
}

// fit gives the weights, their standard errors and the loss, by Newton's method projected to
// the ways of the weights (Bertsekas 1982, SIAM J. Control Optim. 20:221-246; from memory).
func (f *fitter) fit(start []float64) (w, se []float64, loss float64) {
	n := len(start)
	f.scale = make([]float64, n)
	count := 0.0
	for _, c := range f.choices {
		for _, y := range c.list {
			count++
			for i := range y {
				f.scale[i] += sq(y[i])
			}
		}
	}
	x := make([]float64, n)
	for i := range x {
		f.scale[i] = max(math.Sqrt(f.scale[i]/count), 1e-3)
		x[i] = start[i] * f.scale[i]
	}
	project := func(x []float64) {
		for i := range x {
			if f.way[i] != 0 && x[i]*f.way[i] < 0 {
				x[i] = 0
			}
		}
	}
	project(x)
	g, h := make([]float64, n), mat.NewSymDense(n, nil)
	loss = f.loss(x, g, h)
	for damp, tries := 1e-3, 0; tries < 100 && damp < 1e8; tries++ {
		var free []int
		for i := range n {
			if f.way[i] == 0 || x[i] != 0 || g[i]*f.way[i] <= 0 {
				free = append(free, i)
			}
		}
		m, v := mat.NewSymDense(len(free), nil), mat.NewVecDense(len(free), nil)
		for a, i := range free {
			v.SetVec(a, g[i])
			for b := a; b < len(free); b++ {
				m.SetSym(a, b, h.At(i, free[b]))
			}
			m.SetSym(a, a, h.At(i, i)*(1+damp)+1e-12)
		}
		var factor mat.Cholesky
		var step mat.VecDense
		if !factor.Factorize(m) || factor.SolveVecTo(&step, v) != nil {
			damp *= 10
			continue
		}
		y := slices.Clone(x)
		for a, i := range free {
			y[i] -= step.AtVec(a)
		}
		project(y)
		g2, h2 := make([]float64, n), mat.NewSymDense(n, nil)
		next := f.loss(y, g2, h2)
		if !(next < loss) {
			damp *= 8
			continue
		}
		done := loss-next < 1e-9*loss
		x, g, h, loss, damp = y, g2, h2, next, max(damp/5, 1e-9)
		if done {
			break
		}
	}
	w, se = make([]float64, n), make([]float64, n)
	var factor mat.Cholesky
	var inverse mat.SymDense
	known := factor.Factorize(h) && factor.InverseTo(&inverse) == nil
	for i := range w {
		w[i], se[i] = x[i]/f.scale[i], math.NaN()
		if known {
			se[i] = math.Sqrt(inverse.At(i, i)) / f.scale[i]
		}
	}
	return w, se, loss
}

// TestFitter holds the fit to R's glm on mtcars (am ~ wt and am ~ wt + hp; values computed
// with R 4.2.2, whose standard errors are those of the last step but one), which it is where
// each choice has one reading.
func TestFitter(t *testing.T) {
	wt := []float64{2.620, 2.875, 2.320, 3.215, 3.440, 3.460, 3.570, 3.190, 3.150, 3.440, 3.440, 4.070, 3.730, 3.780, 5.250, 5.424,
		5.345, 2.200, 1.615, 1.835, 2.465, 3.520, 3.435, 3.840, 3.845, 1.935, 2.140, 1.513, 3.170, 2.770, 3.570, 2.780}
	hp := []float64{110, 110, 93, 110, 175, 105, 245, 62, 95, 123, 123, 180, 180, 180, 205, 215,
		230, 66, 52, 65, 97, 150, 150, 245, 175, 66, 91, 113, 264, 175, 335, 109}
	am := []float64{1, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 0, 0, 0, 0, 0, 1, 1, 1, 1, 1, 1, 1}
	for _, c := range []struct {
		name         string
		row          func(i int) []float64
		w, se        []float64
		logL, accord float64
	}{
		{"am ~ wt", func(i int) []float64 { return []float64{1, wt[i]} }, []float64{12.040370, -4.023970}, []float64{4.509706, 1.436416}, -9.588042, 2e-4},
		{"am ~ wt + hp", func(i int) []float64 { return []float64{1, wt[i], hp[i]} },
			[]float64{18.866299, -8.083475, 0.036256}, []float64{7.443558, 3.068675, 0.017734}, -5.029555, 2e-4},
	} {
		t.Run(c.name, func(t *testing.T) {
			f := fitter{way: make([]float64, len(c.w))}
			for i := range am {
				f.choices = append(f.choices, choice{1, [][]float64{c.row(i)}, []bool{am[i] == 1}, am[i] == 0})
			}
			w, se, loss := f.fit(make([]float64, len(c.w)))
			for i := range w {
				if math.Abs(w[i]/c.w[i]-1) > c.accord || math.Abs(se[i]/c.se[i]-1) > c.accord {
					t.Errorf("weight %d is %.6f, standard error %.6f; R has %.6f, %.6f", i, w[i], se[i], c.w[i], c.se[i])
				}
			}
			if math.Abs(-loss-c.logL) > 1e-5 {
				t.Errorf("log likelihood %.6f; R has %.6f", -loss, c.logL)
			}
		})
	}
	// A weight that may not go where the data draw it stays at zero.
	f := fitter{way: []float64{0, 1}}
	for i := range am {
		f.choices = append(f.choices, choice{1, [][]float64{{1, wt[i]}}, []bool{am[i] == 1}, am[i] == 0})
	}
	if w, _, _ := f.fit([]float64{0, 0}); w[1] != 0 {
		t.Errorf("a weight that must not be negative is %g", w[1])
	}
}
