package signal

import (
	"flag"
	"math"
	"math/rand/v2"
	"os"
	"slices"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
)

// TestMain has properties drawn from the same seed each time; -rapid.seed draws
// others.
func TestMain(m *testing.M) {
	flag.Parse()
	if seed := flag.Lookup("rapid.seed"); seed.Value.String() == "0" {
		if err := seed.Value.Set("1"); err != nil {
			panic(err)
		}
	}
	os.Exit(m.Run())
}

// blank is a recording with records at the given times, s, and no streams.
func blank(t ...float64) *recording.Recording {
	return &recording.Recording{
		Name: "made up", Format: "simulated", Sport: recording.Running, T: t,
		Start: time.Date(2026, time.March, 3, 17, 30, 0, 0, time.UTC),
	}
}

// ticks is a recording with a record each second, from 0 to seconds.
func ticks(seconds int) *recording.Recording {
	t := make([]float64, seconds+1)
	for i := range t {
		t[i] = float64(i)
	}
	return blank(t...)
}

// stream samples f at the times of r; NaN stands for not measured.
func stream(r *recording.Recording, f func(t float64) float64) recording.Stream {
	s := recording.MakeStream(r.Len())
	for i, t := range r.T {
		if v := f(t); !math.IsNaN(v) {
			s.Set(i, v)
		}
	}
	return s
}

// A leg is an even speed held for some seconds.
type leg struct{ seconds, mps float64 }

// A course is legs with changes of speed in no time, whose distances and
// first-order responses are known in closed form.
type course []leg

func (c course) seconds() float64 {
	sum := 0.0
	for _, l := range c {
		sum += l.seconds
	}
	return sum
}

// speed is the true speed at t, m/s; the last leg goes on for ever.
func (c course) speed(t float64) float64 {
	for _, l := range c[:len(c)-1] {
		if t < l.seconds {
			return l.mps
		}
		t -= l.seconds
	}
	return c[len(c)-1].mps
}

// metres is the true distance by t.
func (c course) metres(t float64) float64 {
	sum := 0.0
	for _, l := range c[:len(c)-1] {
		if t < l.seconds {
			return sum + t*l.mps
		}
		sum, t = sum+l.seconds*l.mps, t-l.seconds
	}
	return sum + t*c[len(c)-1].mps
}

// shown is what a device shows at t that follows a quicker runner with a time
// constant of up seconds and a slower one with down, having settled at first:
// u + (v - u) exp(-t/tau) after each change from v towards u.
func (c course) shown(t, up, down float64) float64 {
	v := c[0].mps
	for i, l := range c {
		tau := up
		if l.mps < v {
			tau = down
		}
		in := l.seconds
		if i == len(c)-1 {
			in = math.Inf(1)
		}
		if t < in {
			return l.mps + (v-l.mps)*math.Exp(-t/tau)
		}
		v, t = l.mps+(v-l.mps)*math.Exp(-in/tau), t-in
	}
	return v
}

// intervals is a session as runners do it, beginning and ending slowly.
func intervals(reps int, repS, repMPS, jogS, jogMPS float64) course {
	c := course{{600, 2.8}}
	for i := range reps {
		c = append(c, leg{repS, repMPS})
		if i < reps-1 {
			c = append(c, leg{jogS, jogMPS})
		}
	}
	return append(c, leg{480, 2.7})
}

// wander is first-order autoregressive noise: standard deviation sd and
// correlation rho from one value to the next.
func wander(rng *rand.Rand, n int, sd, rho float64) []float64 {
	out := make([]float64, n)
	x := sd * rng.NormFloat64()
	for i := range out {
		out[i] = x
		x = rho*x + sd*math.Sqrt(1-rho*rho)*rng.NormFloat64()
	}
	return out
}

func seeded(seed uint64) *rand.Rand { return rand.New(rand.NewPCG(seed, 2)) }

// tracker is an odometer that counts the course with the given speed errors,
// m/s, one for each second.
func tracker(c course, errors []float64) func(t float64) float64 {
	sum := make([]float64, len(errors)+1)
	for i, e := range errors {
		sum[i+1] = sum[i] + max(0, c.metres(float64(i+1))-c.metres(float64(i))+e)
	}
	return func(t float64) float64 { return sum[int(t)] }
}

// near fails unless got is within tolerance of want.
func near(t *testing.T, what string, got, want, tolerance float64) {
	t.Helper()
	if !(math.Abs(got-want) <= tolerance) {
		t.Errorf("%s is %.6g, want %.6g to within %.3g", what, got, want, tolerance)
	}
}

// yes is n times true.
func yes(n int) []bool { return slices.Repeat([]bool{true}, n) }

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}
