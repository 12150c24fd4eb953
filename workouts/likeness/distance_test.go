package likeness

import (
	"math"
	"testing"

	"pgregory.net/rapid"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/internal/drawn"
	"example.org/rungs/workouts/notation"
)

func parse(t testing.TB, src string) workouts.Workout {
	t.Helper()
	w, err := notation.Parse("test", src)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

// Expected values are worked out by hand from the weights that the doc comment
// of Distance gives: reps 1, recoveries 0.4, ends 0.15, content 0.5.
func TestDistanceByHand(t *testing.T) {
	for _, c := range []struct {
		a, b string
		want float64
		why  string
	}{
		{"5 x 4:00 off 90s jog", "5 x 4:00 off 90s jog", 0, "the same"},
		{"5 x 4:00 @ 3:50/km off 90s jog", "5 x 4:00 @ quicker off 90s jog", 0, "targets do not count"},
		{"10:00 warm + 5 x 4:00 off 90s jog", "5 x 4:00 off 90s jog", 0, "an end that only one has does not count"},
		{"5 x 4:00 off 90s jog", "5 x 4:00 off 90s", 0, "an unsaid manner is any"},
		{"5 x 4:00 off 90s jog", "5 x 4:00 off 90s stand", 2 * 4 * 0.4 * 0.5 / (2*5 + 2*4*0.4), "standing is half of jogging"},
		{"6 x 4:00 off 90s jog", "5 x 4:00 off 90s jog", (1 + 0.4) / (11 + 9*0.4), "a rep and a recovery are left over"},
		{"5 x 4:00 off 90s jog", "20:00", 1, "nothing in common"},
		{"5 x 4:00 off 90s jog", "30:00 easy", 1, "easy running is not work"},
		{"30:00 easy", "30:00 easy", 0, "easy running, the same"},
		{"30:00 easy", "15:00 easy + 15:00 steady", 1, "steady running is work where nothing is harder"},
		{"10 x 30s off 30s jog", "9 x 30s off 30s jog", (0.5 + 0.4) / (19*0.5 + 17*0.4), "a rep of 30 s is half a rep"},
		{"1:00:00 easy + 15:00", "15:00", 0, "an end that only one has does not count, content or not"},
		{"3km + 2km + 1km", "5km + 1km", 4 * 0.05 / 5 * 0.75, "3 and 2 km run into one: of the joined three reps a twentieth"},
		{"8 x open off 2:00 jog", "8 x 3:00 off 2:00 jog", 16 * 0.1 / (16 + 14*0.4), "any length is as good as nine tenths"},
	} {
		got := Distance(parse(t, c.a), parse(t, c.b))
		if math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s against %s: %.4f, want %.4f (%s)", c.a, c.b, got, c.want, c.why)
		}
	}
}

// The curve that the doc comment of Distance describes.
func TestAlikeByLength(t *testing.T) {
	rep := func(s float64) stretch { return stretch{seconds: measure{s, 0}, metres: measure{s, math.Inf(1)}} }
	for _, c := range []struct{ pct, want float64 }{{0, 1}, {5, 0.7}, {10, 0.3}, {15, 0.1}, {-5, 0.7}} {
		got := alike(rep(240), rep(240*math.Exp(c.pct/100)), repSpread, scales{})
		if math.Abs(got-c.want) > 0.05 {
			t.Errorf("%g %%: %.3f, the doc comment says %.1f", c.pct, got, c.want)
		}
		four := alike(rep(240), rep(240*math.Exp(4*c.pct/100)), restSpread, scales{})
		if math.Abs(got-four) > 1e-9 {
			t.Errorf("recoveries at %g %% are alike by %.3f, reps at a quarter of that by %.3f", 4*c.pct, four, got)
		}
	}
}

// Order counts, and so does how the same reps are put into sets.
func TestDistanceTellsApart(t *testing.T) {
	same := []string{
		"1:00 + 1:00 jog + 2:00 + 1:00 jog + 3:00 + 1:00 jog + 4:00",
		"4:00 + 1:00 jog + 3:00 + 1:00 jog + 2:00 + 1:00 jog + 1:00",
		"2 x ( 2:00 + 1:00 jog + 3:00 ) off 1:00 jog",
		"2 x ( 2 x 2:30 off 1:00 jog ) off 4:00 jog",
		"4 x 2:30 off 1:00 jog",
	}
	for i, a := range same {
		for _, b := range same[i+1:] {
			if d := Distance(parse(t, a), parse(t, b)); d < 0.05 {
				t.Errorf("%s and %s are only %.3f apart", a, b, d)
			}
		}
	}
}

func TestDistanceProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		a, b := drawn.Workout(t, "a"), drawn.Workout(t, "b")
		d := Distance(a, b)
		if !(d >= 0 && d <= 1) {
			t.Fatalf("distance %g", d)
		}
		if back := Distance(b, a); math.Abs(d-back) > 1e-9 {
			t.Fatalf("%s and %s: %g one way, %g the other", notation.Print(a), notation.Print(b), d, back)
		}
		// Only open lengths keep a workout from being wholly like itself.
		if self := Distance(a, a); self > 0.1+1e-9 || self > 1e-9 && !hasOpen(a) {
			t.Fatalf("%s is %g from itself", notation.Print(a), self)
		}
	})
}

func hasOpen(w workouts.Workout) bool {
	for _, p := range w.Expand() {
		if p.Step.Amount.Kind == workouts.Open {
			return true
		}
	}
	return false
}

// Each rep left out takes a workout further away.
func TestDistanceGrowsWithRepsLeftOut(t *testing.T) {
	whole := parse(t, "10 x 400m off 200m jog")
	last := 0.0
	for n := 9; n > 0; n-- {
		w := parse(t, "2 x 400m off 200m jog")
		w.Items[0].Count = n
		d := Distance(whole, w.Normal())
		if d <= last {
			t.Errorf("%d reps are %.3f from ten, %d are %.3f", n, d, n+1, last)
		}
		last = d
	}
}

// everyWay is the twin of laid.best: it tries every way of laying two courses
// against each other, behind reps i and j, after the pair that ends there.
func (l *laid) everyWay(i, j int, behind bool) float64 {
	most := 0.0
	for x := i + 1; x < len(l.a.reps); x++ {
		for y := j + 1; y < len(l.b.reps); y++ {
			for _, n := range []pair{{0, 0, 1, 1}, {0, 0, 2, 1}, {0, 0, 3, 1}, {0, 0, 1, 2}, {0, 0, 1, 3}} {
				p := pair{x + n.n - 1, y + n.m - 1, n.n, n.m}
				if p.i >= len(l.a.reps) || p.j >= len(l.b.reps) {
					continue
				}
				v := l.gain(p)
				skippedA, skippedB := x-i-1, y-j-1
				if behind && min(skippedA, skippedB) == 0 && max(skippedA, skippedB) <= mostSkipped {
					v += l.rest(i, x-1, j, y-1)
				}
				most = math.Max(most, v+l.everyWay(p.i, p.j, true))
			}
		}
	}
	return most
}

func TestBestIsTheBestOfEveryWay(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		l := laid{a: drawCourse(t, "a"), b: drawCourse(t, "b"), scales: scales{metres: rapid.Float64Range(-0.05, 0.05).Draw(t, "scale")}}
		fast := l.best()
		slow := l.everyWay(-1, -1, false)
		if math.Abs(fast-slow) > 1e-9 {
			t.Fatalf("%g, every way gives %g", fast, slow)
		}
		sum := 0.0
		for k, p := range l.pairs {
			sum += l.gain(p)
			if k > 0 {
				q := l.pairs[k-1] // behind p
				if q.i-q.n < p.i || q.j-q.m < p.j {
					t.Fatalf("pairs overlap or cross: %v before %v", p, q)
				}
			}
		}
		if sum > fast+1e-9 {
			t.Fatalf("the pairs are worth %g, the whole %g", sum, fast)
		}
	})
}

func drawCourse(t *rapid.T, label string) Course {
	lengths := []float64{20, 60, 120, 126, 180, 240}
	rests := []float64{0, 20, 60, 90}
	manners := []workouts.Manner{workouts.Jog, workouts.Stand, workouts.Float}
	one := func(of []float64) stretch {
		s := nothing()
		v := rapid.SampledFrom(of).Draw(t, label)
		s.seconds, s.metres = measure{v, 0.01}, measure{v * 4, 0.05}
		if rapid.Bool().Draw(t, label) {
			s.seconds, s.metres = measure{v, 0.05}, measure{v * 4, 0.01}
		}
		s.manner = rapid.SampledFrom(manners).Draw(t, label)
		return s
	}
	var c Course
	for i := range rapid.IntRange(1, 5).Draw(t, label) {
		if i > 0 {
			c.rests = append(c.rests, one(rests))
		}
		c.reps = append(c.reps, one(lengths))
	}
	return c
}

// An odometer that reads 3 % too much throughout is forgiven, one rep that is
// 12 % too long is not.
func TestCommonScaleIsForgiven(t *testing.T) {
	plan := CourseOf(parse(t, "6 x 800m off 400m jog"))
	run := func(factor func(rep int) float64) Course {
		c := Course{run: true}
		for i := range 6 {
			s := nothing()
			s.seconds, s.metres = measure{190, 0.02}, measure{800 * factor(i), 0.02}
			c.reps = append(c.reps, s)
			if i > 0 {
				r := nothing()
				r.seconds, r.metres, r.speed, r.share = measure{160, 0.02}, measure{400 * factor(i), 0.02}, 2.5, 0.6
				c.rests = append(c.rests, r)
			}
		}
		return c
	}
	if d := plan.distance(run(func(int) float64 { return 1.03 })); d > 0.001 {
		t.Errorf("an odometer 3 %% off makes a distance of %.4f", d)
	}
	odd := plan.Compare(run(func(i int) float64 {
		if i == 2 {
			return 1.15
		}
		return 1.03
	}))
	if odd.Distance < 0.05 || odd.Missing != 1 || odd.Extra != 1 {
		t.Errorf("a rep 12 %% too long: %+v", odd)
	}
}
