package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"
)

// TestGainByChance holds the closed form to values: a normal sample is parted at its upper share, and the logarithms of
// its variance and of that inside the parts are compared.
func TestGainByChance(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	values := make([]float64, 200_000)
	for i := range values {
		values[i] = rng.NormFloat64()
	}
	slices.Sort(values)
	n := len(values)
	all := squaresAbout(meanOf(values), values)
	for _, p := range []float64{0.1, 0.3, 0.5, 0.8} {
		low, high := values[:n-int(p*float64(n))], values[n-int(p*float64(n)):]
		inside := squaresAbout(meanOf(low), low) + squaresAbout(meanOf(high), high)
		if got, want := gainByChance(p), math.Log(all/inside)/2; math.Abs(got-want) > 0.01 {
			t.Errorf("the upper %.1f: %.3f nats a value, the sample gains %.3f", p, got, want)
		}
	}
}

// TestSeparate: reps at one level and running at another lie about two means; the quicker half of running whose levels are
// drawn from one normal distribution does not, whatever threshold parts them.
func TestSeparate(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	const stretches, each = 40, 60
	read := func(levels [stretches]float64, fast func(i int) bool) float64 {
		var speed []float64
		var reps [][2]int
		for i, v := range levels {
			if fast(i) {
				if k := len(reps); k > 0 && reps[k-1][1] == len(speed) {
					reps[k-1][1] += each
				} else {
					reps = append(reps, [2]int{len(speed), len(speed) + each})
				}
			}
			for range each {
				speed = append(speed, math.Exp(v))
			}
		}
		j := judgeOf(speed, 0.1)
		r := &reading{labelling: j.labelled(reps)}
		j.glance(r)
		j.separate(r)
		return r.features[twoLevels]
	}
	var two [stretches]float64
	for i := range two {
		two[i] = math.Log(2.8) + 0.02*rng.NormFloat64()
		if i > 8 && i < 32 && i%2 == 0 {
			two[i] += 0.15
		}
	}
	if got := read(two, func(i int) bool { return i > 8 && i < 32 && i%2 == 0 }); got < 10 {
		t.Errorf("reps at 15 %% more: %.1f nats", got)
	}
	sum := 0.0
	const runs = 60
	for range runs {
		var one [stretches]float64
		for i := range one {
			one[i] = math.Log(2.8) + 0.08*rng.NormFloat64()
		}
		sum += read(one, func(i int) bool { return one[i] > math.Log(2.8) })
	}
	if mean := sum / runs; mean > 2 {
		t.Errorf("one level that varies: %.1f nats in the mean", mean)
	}
}

// TestPaces: what a rep takes to gather speed after a stop is no part of its pace; beside a jog nothing is left out.
func TestPaces(t *testing.T) {
	var speed []float64
	stretch := func(n int, mps float64) {
		for range n {
			speed = append(speed, mps)
		}
	}
	stretch(300, 3)
	for range 4 {
		stretch(30, 0)
		stretch(2, 1.5)
		stretch(2, 3)
		stretch(16, 5)
	}
	stretch(300, 3)
	j := judgeOf(speed, 0.1)
	l := j.labelled([][2]int{{330, 350}, {380, 400}, {430, 450}, {480, 500}})
	for i, got := range j.paces(l) {
		if math.Abs(got-math.Log(5)) > 1e-9 {
			t.Errorf("rep %d: %.3f m/s, want 5", i+1, math.Exp(got))
		}
	}
	for i := range speed {
		speed[i] = max(speed[i], 2.9)
	}
	j = judgeOf(speed, 0.1)
	l = j.labelled([][2]int{{330, 350}, {380, 400}, {430, 450}, {480, 500}})
	want := level((2*2.9 + 2*3 + 16*5) / 20)
	for i, got := range j.paces(l) {
		if math.Abs(got-want) > 1e-9 {
			t.Errorf("beside a jog, rep %d: %.3f m/s, want %.3f", i+1, math.Exp(got), math.Exp(want))
		}
	}
}
