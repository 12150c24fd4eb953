package match

import (
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/trend"
	"gonum.org/v1/gonum/stat/distuv"
)

var full = flag.Bool("full", false, "run every case on every device, with many seeds")

// mostOf is the largest number of n that a rate of p gives with a chance of 1 in 100
// to be passed, from the binomial distribution.
func mostOf(n int, p float64) int {
	b := distuv.Binomial{N: float64(n), P: p}
	k := int(p * float64(n))
	for b.CDF(float64(k)) < 0.99 {
		k++
	}
	return k
}

// Normal values about a level, with and without a trend: false trends at 5 % and no
// more whatever the number of reps, and as many true ones as Student's t finds.
// Seeds are fixed, so that the counts are.
func TestRatesOfLine(t *testing.T) {
	const draws = 4000
	for n := 3; n <= 12; n++ {
		for _, c := range []struct{ se, scatter float64 }{{1, 0}, {0.2, 1.5}, {1, 3}} {
			rng := rand.New(rand.NewPCG(uint64(n), uint64(10*c.scatter)))
			level, rising := 0, 0
			y, se := make([]float64, n), make([]float64, n)
			sd := math.Hypot(c.se, c.scatter)
			// A slope of four errors of itself, by the scatter that there is.
			slope := 4 * sd / math.Sqrt(float64(n*(n*n-1))/12)
			for range draws {
				for i := range y {
					y[i], se[i] = 240+sd*rng.NormFloat64(), c.se
				}
				if hasTrend(fitLine([][]float64{y}, [][]float64{se})) {
					level++
				}
				for i := range y {
					y[i] -= slope * float64(i)
				}
				if fitLine([][]float64{y}, [][]float64{se}).call() == Quicker {
					rising++
				}
			}
			if level > mostOf(draws, trend.Alpha) {
				t.Errorf("%d reps, error %v, scatter %v: %d of %d level rows have a trend", n, c.se, c.scatter, level, draws)
			}
			if n > 3 && c.scatter > 1 && c.se < 1 && level < draws/25 { // all error is scatter: the test is exact
				t.Errorf("%d reps, error %v, scatter %v: only %d of %d level rows have a trend", n, c.se, c.scatter, level, draws)
			}
			// The chance that t with n-2 degrees of freedom about 4 passes its quantile.
			want := passing(n-2, 4)
			if got := float64(rising) / draws; c.scatter > 1 && c.se < 1 && math.Abs(got-want) > 0.03 {
				t.Errorf("%d reps: %.2f of true trends seen, want %.2f", n, got, want)
			}
		}
	}
}

func hasTrend(l line) bool { return l.call() == Quicker || l.call() == Slower }

// passing is the chance that a normal deviate about mean, over an independent root of
// chi-square by its degrees of freedom, passes the two-sided 5 % point of Student's t:
// by plain integration over the chi-square.
func passing(free int, mean float64) float64 {
	q := distuv.StudentsT{Mu: 0, Sigma: 1, Nu: float64(free)}.Quantile(0.975)
	c := distuv.ChiSquared{K: float64(free)}
	sum, steps := 0.0, 20000
	for i := range steps {
		s := math.Sqrt(c.Quantile((float64(i)+0.5)/float64(steps)) / float64(free))
		sum += distuv.UnitNormal.Survival(q*s - mean)
	}
	return sum / float64(steps)
}

// grounds are where level reps are run: on the belt, on the track, on the road.
var grounds = []string{"treadmill's own file", "watch on the track, laps of 400 m", "good watch, open sky"}

// progressionOf runs so many reps of 2:00, each quicker than the last by step s/km,
// that scatter by pct percent about that.
func progressionOf(t *testing.T, d simulate.Device, n int, step float64, seed uint64, pct float64) Progression {
	sc := stage(t, fmt.Sprintf("8:00 warm + %d x 2:00 off 60s jog + 3:00 cool", n), 4.2, seed)
	works := sc.works()
	for k, i := range works {
		v := 1000 / (235 + step*float64(len(works)-1-k)) * (1 + pct/100*sc.rng.NormFloat64())
		sc.acts[i].leg.StartMPS, sc.acts[i].leg.EndMPS = v, v
	}
	s, _ := sc.run(d, seed, level)
	r := splitAndChecked(t, sc, s)
	return r.Progression
}

// Level reps of natural scatter have a trend in no more than one session of twenty, and
// reps that get quicker by 3 s/km each are seen to. With -v -full it prints the table.
func TestFalseTrends(t *testing.T) {
	t.Parallel()
	counts, scatters, seeds := []int{3, 4, 6, 9, 12}, []float64{0.3, 1.2}, uint64(6)
	if *full {
		counts, scatters, seeds = []int{3, 4, 5, 6, 7, 8, 9, 10, 11, 12}, []float64{0.3, 0.6, 0.9, 1.2}, 12
	}
	var b strings.Builder
	for g, name := range grounds {
		d := device(t, name)
		all, of := 0, 0
		fmt.Fprintf(&b, "\n%-36s reps  trends at level, power for 3 s/km a rep, by scatter of %v %%", name, scatters)
		for _, n := range counts {
			fmt.Fprintf(&b, "\n%36s %5d", "", n)
			for k, pct := range scatters {
				level, seen := 0, 0
				for seed := range seeds {
					from := 400000 + 10000*uint64(g) + 500*uint64(n) + 50*uint64(k) + seed
					if c := progressionOf(t, d, n, 0, from, pct).Call; c == Quicker || c == Slower {
						level++
					}
					if progressionOf(t, d, n, 3, from+25, pct).Call == Quicker {
						seen++
					}
				}
				all, of = all+level, of+int(seeds)
				fmt.Fprintf(&b, "   %2d of %d, %3.0f %%", level, seeds, 100*float64(seen)/float64(seeds))
				if n >= 9 && pct <= 0.6 && seen*10 < int(seeds)*9 {
					t.Errorf("%s: %d reps quicker by 3 s/km each, scatter %v %%: seen in %d of %d", name, n, pct, seen, seeds)
				}
			}
		}
		fmt.Fprintf(&b, "\n%36s %5s   %d of %d", "", "all", all, of)
		if all > mostOf(of, trend.Alpha) {
			t.Errorf("%s: %d of %d level sessions have a trend", name, all, of)
		}
	}
	t.Log(b.String())
}

// fades runs reps that slow by pct percent over the second half, and counts how often a
// fade and its sign are called.
func fades(t *testing.T, d simulate.Device, plan string, pct float64, seed uint64) (slower, quicker, of int) {
	sc := stage(t, plan, 4.2, seed)
	for _, i := range sc.works() {
		l := &sc.acts[i].leg
		// An even change from start to end: between the middles of the halves lies half of it.
		l.StartMPS *= 1 + pct/100
		l.EndMPS *= 1 - pct/100
	}
	s, _ := sc.run(d, seed, level)
	r := splitAndChecked(t, sc, s)
	for _, x := range r.Reps {
		if x.Step < 0 || x.Outcome != Done || !(x.FadeSE > 0) {
			continue
		}
		of++
		switch {
		case x.FadePct > trend.Z95*x.FadeSE:
			slower++
		case x.FadePct < -trend.Z95*x.FadeSE:
			quicker++
		}
	}
	return slower, quicker, of
}

// Reps run at one speed fade in no more than one of twenty, at each length; reps that
// slow evenly by 4 % either way of their mean are seen to, those of a minute by 12 %.
func TestFade(t *testing.T) {
	t.Parallel()
	seeds := uint64(4)
	if *full {
		seeds = 16
	}
	for i, p := range calibrationPlans {
		called, of, seen, slow := 0, 0, 0, 0
		much := map[string]float64{"60 s": 12, "3 min": 4, "1 km": 4}[p.name] // %
		for k, d := range usableDevices() {
			for seed := range seeds {
				from := 500000 + 10000*uint64(i) + 100*uint64(k) + seed
				s, q, n := fades(t, d, p.plan, 0, from)
				called, of = called+s+q, of+n
				if d.Name == "good watch, open sky" || d.Indoor {
					s, _, n = fades(t, d, p.plan, much, from+50)
					seen, slow = seen+s, slow+n
				}
			}
		}
		t.Logf("%s: %d of %d level reps called; %d of %d that slow by %.0f %%", p.name, called, of, seen, slow, much)
		if called*20 > of || of < 200 {
			t.Errorf("%s: a fade is called in %d of %d level reps", p.name, called, of)
		}
		if float64(seen) < 0.75*float64(slow) || slow < 50 {
			t.Errorf("%s: a fade of %.0f %% is seen in %d of %d reps", p.name, much, seen, slow)
		}
	}
}

// Reps that are truly inside their tolerance are called off target in no more than one
// of twenty on any device, the odometer's scale counted; reps 12 % off are called where
// the scale is known to 2 %.
func TestOffTarget(t *testing.T) {
	t.Parallel()
	seeds := uint64(6)
	if *full {
		seeds = 24
	}
	for k, d := range usableDevices() {
		called, of, seen, off := 0, 0, 0, 0
		for seed := range seeds {
			for _, pace := range []string{"4:00", "4:30"} {
				sc := stage(t, "10:00 warm + 6 x 3:00 @ "+pace+"/km ±4s off 90s jog + 5:00 cool", 4.2, seed)
				for _, i := range sc.works() {
					sc.acts[i].leg.StartMPS, sc.acts[i].leg.EndMPS = 1000.0/242, 1000.0/242 // 4:02
				}
				s, _ := sc.run(d, 600000+1000*uint64(k)+seed, level)
				s, err := segment.Split(s.Recording)
				if err != nil {
					t.Fatal(err)
				}
				r := check(t, "10:00 warm + 6 x 3:00 @ "+pace+"/km ±4s off 90s jog + 5:00 cool", s)
				for _, rep := range r.Reps {
					is := rep.OnTarget == Quicker || rep.OnTarget == Slower
					switch {
					case rep.OnTarget == NoCall:
					case pace == "4:00":
						of++
						if is {
							called++
						}
					default:
						off++
						if rep.OnTarget == Quicker {
							seen++
						}
					}
				}
			}
		}
		t.Logf("%-36s %d of %d inside the tolerance called off, %d of %d far outside", d.Name, called, of, seen, off)
		if called > mostOf(of, 0.05) || of < 30 {
			t.Errorf("%s: %d of %d reps inside the tolerance are called off target", d.Name, called, of)
		}
		if !d.Indoor && d.Name != "phone, distance only" && seen*10 < off*9 {
			t.Errorf("%s: %d of %d reps far off target are called", d.Name, seen, off)
		}
	}
}
