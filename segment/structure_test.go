package segment

import (
	"fmt"
	"math"
	"math/rand/v2"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/segment/recording"
)

// run is a stretch of some seconds at v m/s, as a device sees it.
func run(v, seconds float64) stretch {
	s := stretch{sight: inTime(v, seconds)[0], speed: v, moving: v}
	s.se = 1.2
	return s
}

// metres is a stretch of a distance at v m/s.
func metres(v, m float64) stretch { return run(v, m/v) }

// outline writes a shape on one line: "6 x 180s / 90s" is six reps with
// recoveries between them, "+" joins parts, "|" stands for reps that touch.
func outline(parts []part) string {
	var out strings.Builder
	amount := func(f amountFit) string {
		switch {
		case f.none:
			return "|"
		case f.amount.Metres > 0:
			return fmt.Sprintf("%.0fm", f.amount.Metres)
		}
		return fmt.Sprintf("%.0fs", f.amount.Seconds)
	}
	for i, p := range parts {
		if i > 0 {
			out.WriteString(" + ")
		}
		n := p.to - p.from + 1
		switch {
		case p.open:
			fmt.Fprintf(&out, "%d open", n)
		case p.passes > 0:
			fmt.Fprintf(&out, "%d x ( %s ) / %s", p.passes, outline(p.inner), amount(*p.rest))
		case n == 1:
			out.WriteString(amount(p.work))
		default:
			fmt.Fprintf(&out, "%d x %s / %s", n, amount(p.work), amount(*p.rest))
		}
		if p.after != nil {
			fmt.Fprintf(&out, " + %s", amount(*p.after))
		}
	}
	return out.String()
}

// A week of sessions as club handbooks print them, run to within a second or a
// metre or two.
func TestShapes(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	road, track := recording.Outdoors, recording.Track
	tests := []struct {
		want  string
		place recording.Place
		reps  []stretch
		rests []stretch
	}{
		{"1200s", road, []stretch{run(3.91, 1200)}, nil},
		{"6 x 180s / 90s", road, repeat(6, run(4.33, 180)), repeat(5, run(2.41, 90))},
		{"5 x 1000m / 120s", road, repeat(5, metres(4.57, 1000)), repeat(4, run(2.41, 120))},
		{"8 x 400m / 200m", track, repeat(8, metres(5.51, 400)), repeat(7, metres(2.37, 200))},
		{"16 x 30s / 30s", road, repeat(16, run(5.57, 30)), repeat(15, run(2.43, 30))},
		{"3 x ( 3 x 120s / 60s ) / 240s", road, repeat(9, run(4.71, 120)),
			cycle(8, run(2.41, 60), run(2.41, 60), run(1.47, 240))},
		{"2 x ( 5 x 400m / 200m ) / 800m", track, repeat(10, metres(5.51, 400)),
			cycle(9, metres(2.37, 200), metres(2.37, 200), metres(2.37, 200), metres(2.37, 200), metres(2.43, 800))},
		{"4 x ( 180s + 60s + 60s ) / 120s", road, cycle(8, run(4.37, 180), run(4.93, 60)), cycle(7, run(2.41, 60), run(2.41, 120))},
		{"3 x ( 1200m + 200m + 400m ) / 400m", track, cycle(6, metres(4.71, 1200), metres(5.61, 400)),
			cycle(5, metres(2.37, 200), metres(2.37, 400))},
		{"3 x ( 180s + | + 60s ) / 120s", road, cycle(6, run(4.03, 180), run(4.87, 60)), cycle(5, stretch{}, run(2.43, 120))},
		{"60s + 60s + 120s + 60s + 180s + 90s + 240s + 120s + 300s", road,
			[]stretch{run(5.13, 60), run(4.83, 120), run(4.67, 180), run(4.57, 240), run(4.43, 300)},
			[]stretch{run(2.43, 60), run(2.43, 60), run(2.43, 90), run(2.43, 120)}},
		{"400m + 400m + 800m + 400m + 1200m + 400m + 800m + 400m + 400m", track,
			[]stretch{metres(5.53, 400), metres(5.27, 800), metres(5.07, 1200), metres(5.27, 800), metres(5.53, 400)},
			repeat(4, metres(2.57, 400))},
		{"3000m + | + 2000m + | + 1000m", road, []stretch{metres(4.03, 3000), metres(4.27, 2000), metres(4.57, 1000)}, make([]stretch, 2)},
		{"4 x 20s / 40s + 120s + 5 x 240s / 120s", road, append(repeat(4, run(5.87, 20)), repeat(5, run(4.33, 240))...),
			append(append(repeat(3, run(2.77, 40)), run(1.47, 120)), repeat(4, run(2.47, 120))...)},
		{"4 x 1000m / 400m + 400m + 4 x 200m / 200m", track, append(repeat(4, metres(4.67, 1000)), repeat(4, metres(5.77, 200))...),
			append(repeat(4, metres(2.57, 400)), repeat(3, metres(2.57, 200))...)},
	}
	for _, tt := range tests {
		for try := range 5 { // other slips each time
			reps, rests := slips(rng, tt.reps, 0.5), slips(rng, tt.rests, 1)
			work, rest, _ := habits(tt.place)
			parts, cost := shapeOf(reps, rests, work, rest, false)
			if got := outline(parts); got != tt.want {
				t.Errorf("%s\nis read as %s\n(cost %.1f)", tt.want, got, cost)
			}
			if len(reps) > 3 && !strings.Contains(tt.want, "1200m + 400m + 800m") && cost > 0 {
				t.Errorf("%s explains nothing: cost %.1f", tt.want, cost)
			}
			if got := outline(consistentShape(reps, rests, 0, work, rest, false)); got != tt.want {
				t.Errorf("%s\nin one unit is read as %s", tt.want, got)
			}
			if try == 0 && len(reps) > 1 {
				// The first and the last rep belong to the first and the last part.
				if parts[0].from != 0 || parts[len(parts)-1].to != len(reps)-1 {
					t.Errorf("%s: parts from %d to %d", tt.want, parts[0].from, parts[len(parts)-1].to)
				}
			}
		}
	}
}

// repeat and cycle are n stretches, all alike or of some kinds in turn.
func repeat(n int, s stretch) []stretch { return cycle(n, s) }

func cycle(n int, kinds ...stretch) []stretch {
	var out []stretch
	for i := range n {
		out = append(out, kinds[i%len(kinds)])
	}
	return out
}

// slips is what comes of stretches that are kept to within sd seconds.
func slips(rng *rand.Rand, list []stretch, sd float64) []stretch {
	out := make([]stretch, len(list))
	for i, s := range list {
		if s.seconds > 0 {
			v := s.metres / s.seconds
			s.seconds += max(-2*sd, min(2*sd, sd*rng.NormFloat64()))
			if r := math.Round(s.metres); math.Abs(s.metres-r) < 1e-6 && math.Mod(r, 100) == 0 { // meant in metres
				s.metres = r + max(-2, min(2, rng.NormFloat64()))
			} else {
				s.metres = v * s.seconds
			}
			s.speed = s.metres / s.seconds
			s.moving = s.speed
		}
		out[i] = s
	}
	return out
}

// TestByFeel: surges that keep to no length are read as such, round ones and such as grow by even steps are not, and what a
// device led through never is.
func TestByFeel(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	read := func(rest func() float64, seconds ...float64) (*judge, reading) {
		list := []float64{2.9, 600}
		for _, s := range seconds {
			list = append(list, 4.3, s, 2.6, rest())
		}
		return readIdeal(recording.Outdoors, 3.5, 1, row(append(list, 2.9, 500)...))
	}
	anyhow := func() float64 { return math.Round(50 + 120*rng.Float64()) }
	steady := func() float64 { return 90 }
	open := 0
	for range 40 {
		var seconds []float64
		for range 12 {
			seconds = append(seconds, math.Round(35+130*rng.Float64()))
		}
		if _, r := read(anyhow, seconds...); r.shape[0].open {
			open++
		}
	}
	if open < 36 {
		t.Errorf("%d of 40 sessions by feel are read so", open)
	}
	for _, seconds := range [][]float64{{60, 120, 180, 240, 180, 120, 60}, {60, 180, 90, 240, 60, 120}, {41, 82, 123, 164}, {49, 49, 49, 49, 49}} {
		if j, r := read(steady, seconds...); r.shape[0].open {
			t.Errorf("%v s are read as by feel: they save %.1f nats, may be so: %v", seconds, r.features[amountWork], j.byFeel(&r))
		}
	}
	j, r := read(anyhow, 37, 124, 61, 93, 158, 49)
	if !j.byFeel(&r) {
		t.Error("37, 124, 61, 93, 158 and 49 s are not by feel")
	}
	if r.reps[2].told = (Amount{Seconds: 61}); j.byFeel(&r) {
		t.Error("what a device led through is by feel")
	}
}

// TestOneUnit: a rep of 1000 m that took five minutes is one of 1000 m among reps
// in metres and one of 5:00 among reps in minutes.
func TestOneUnit(t *testing.T) {
	work, rest, _ := habits(recording.Outdoors)
	rests := repeat(2, run(2.43, 90))
	twice := metres(1000.0/300, 1000)
	for _, tt := range []struct {
		reps []stretch
		want string
	}{
		{[]stretch{metres(3.61, 400), metres(3.47, 800), twice}, "400m + 90s + 800m + 90s + 1000m"},
		{[]stretch{run(3.61, 60), run(3.47, 180), twice}, "60s + 90s + 180s + 90s + 300s"},
	} {
		if got := outline(consistentShape(tt.reps, rests, 0, work, rest, false)); got != tt.want {
			t.Errorf("%s, want %s", got, tt.want)
		}
	}
}

// drawReps are reps and recoveries with some order: repeats, sets, ladders, changes of
// pace, anything.
func drawReps(rng *rand.Rand, n int) (reps, rests []stretch) {
	seconds := []float64{30, 45, 60, 90, 120, 180, 240, 300, 73, 131, 400 / 4.7, 800 / 4.7}
	pause := []float64{30, 60, 90, 120, 240, 47, 84, 0}
	period := 1 + rng.IntN(4)
	var a, b [8]float64
	for i := range a {
		a[i], b[i] = seconds[rng.IntN(len(seconds))], pause[rng.IntN(len(pause))]
	}
	v := 3.5 + 1.5*rng.Float64()
	byFeel := rng.IntN(6) == 0
	for i := range n {
		k := i % period
		if byFeel {
			a[k], b[k] = 40+120*rng.Float64(), 40+120*rng.Float64()
		}
		if rng.IntN(12) == 0 {
			k = rng.IntN(8)
		}
		reps = append(reps, run(v*(1+0.02*rng.NormFloat64()), a[k]*(1+0.005*rng.NormFloat64())))
		if i == n-1 {
			break
		}
		if b[k] == 0 {
			rests = append(rests, stretch{})
			continue
		}
		rests = append(rests, run(2.4*(1+0.05*rng.NormFloat64()), b[k]*(1+0.02*rng.NormFloat64())))
	}
	return reps, rests
}

// bruteBest is the least cost over all ways to cut the reps of a shaper into
// parts: each of 2^(n-1) sets of borders, and for each part every kind.
func bruteBest(sh *shaper) float64 {
	n := len(sh.reps)
	kinds := map[[2]int]float64{}
	least := math.Inf(1)
	for bits := range 1 << (n - 1) {
		cost, from := 0.0, 0
		for to := range n {
			if to < n-1 && bits>>to&1 == 0 {
				continue
			}
			span := [2]int{from, to}
			if _, ok := kinds[span]; !ok {
				kinds[span] = brutePart(sh, from, to)
			}
			cost += kinds[span]
			if to < n-1 {
				cost += sh.restAfter(to).cost
			}
			from = to + 1
		}
		least = min(least, cost)
	}
	return least
}

func sights(lists [][]stretch) []sight {
	var out []sight
	for _, l := range lists {
		for _, s := range l {
			out = append(out, s.sight)
		}
	}
	return out
}

var paired int // repeats that may be on and off

// brutePart is the least cost of reps from..to as one part: a rep, a repeat,
// sets of any period, or all of them by feel where they may be.
func brutePart(sh *shaper, from, to int) float64 {
	least := math.Inf(1)
	reps, n := sh.reps[from:to+1], to-from+1
	odd := func(x float64) float64 {
		return -math.Log((0.999*normal(math.Log(x), 0.7) + 0.001*plainDensity) / plainDensity)
	}
	if alike(reps, 1.15) {
		cost := fitAmount(sights(reps), sh.work).cost + cohesion(reps)
		switch {
		case n == 1:
			least = sh.repFit(from).cost + costStep + odd(reps[0][0].seconds/sh.typical)
		case sh.rests[from][0].seconds > 0 && alike(sh.rests[from:to], 1.9):
			rest := fitAmount(sights(sh.rests[from:to]), sh.rest)
			apart := rest.cost
			work := fitAmount(sights(reps), sh.work)
			for a, c := range map[Amount]float64{work.amount: work.cost, work.second: work.next} {
				for b, d := range map[Amount]float64{rest.amount: rest.cost, rest.second: rest.next} {
					if a == b && a != (Amount{}) { // on and off
						apart = min(apart, c+d-1.6-work.cost)
						paired++
					}
				}
			}
			least = cost + costRepeat + apart
		}
	}
	if !sh.sets || n < 4 {
		return least
	}
	if n == len(sh.reps) && sh.feel {
		var all []float64
		for _, r := range sh.rests {
			all = append(all, r[0].seconds)
		}
		cost, typical := costRepeat+costOpen, median(all)
		for i, r := range sh.reps {
			cost += odd(r[0].seconds / sh.typical)
			if i < n-1 {
				cost += odd(max(sh.rests[i][0].seconds, 1) / typical)
			}
		}
		if all[0] > 0 {
			least = min(least, cost)
		}
	}
	if plain(reps, sh.rests[from:to]) {
		return least // a plain repeat
	}
	for passes := 2; passes <= n/2; passes++ {
		period := n / passes
		if n%passes != 0 {
			continue
		}
		pass := shaper{typical: sh.typical, work: sh.work, rest: sh.rest}
		var apart [][]stretch
		mixed := false // reps touch in some passes only
		for k := range period {
			var r, p []stretch
			for i := from + k; i <= to; i += period {
				r = append(r, sh.reps[i]...)
				if k < period-1 {
					p = append(p, sh.rests[i]...)
					mixed = mixed || (sh.rests[i][0].seconds == 0) != (sh.rests[from+k][0].seconds == 0)
				} else if i < to {
					apart = append(apart, sh.rests[i])
				}
			}
			pass.reps = append(pass.reps, r)
			if k < period-1 {
				pass.rests = append(pass.rests, p)
			}
		}
		if apart[0][0].seconds > 0 && alike(apart, 1.9) && !mixed {
			least = min(least, costSets+bruteBest(&pass)+fitAmount(sights(apart), sh.rest).cost)
		}
	}
	return least
}

// TestShapeTwin holds the dynamic program to the least cost over all partitions,
// and the parts it returns to that cost.
func TestShapeTwin(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	kinds := map[string]int{}
	for i := range 3000 {
		n, feel := 1+rng.IntN(6), i%2 == 0
		reps, rests := drawReps(rng, n)
		work, rest, _ := habits(recording.Outdoors)
		parts, cost := shapeOf(reps, rests, work, rest, feel)
		sh := &shaper{sets: true, feel: feel, work: work, rest: rest}
		var lengths []float64
		for i := range reps {
			sh.reps = append(sh.reps, reps[i:i+1])
			lengths = append(lengths, reps[i].seconds)
			if i < n-1 {
				sh.rests = append(sh.rests, rests[i:i+1])
			}
		}
		sh.typical = median(lengths)
		want := bruteBest(sh)
		sum, at := 0.0, 0
		for _, p := range parts {
			if p.from != at || p.to < p.from {
				t.Fatalf("%s: parts do not touch", outline(parts))
			}
			at = p.to + 1
			sum += p.cost
			if p.after != nil {
				sum += p.after.cost
			}
			switch {
			case p.open:
				kinds["by feel"]++
			case p.passes > 0:
				kinds["sets"]++
			case p.to > p.from:
				kinds["repeats"]++
			default:
				kinds["reps"]++
			}
		}
		if at != n || math.Abs(sum-want) > 1e-9 {
			t.Fatalf("%s of %d reps costs %v, the cheapest %v", outline(parts), n, sum, want)
		}
		if math.Abs(cost-want) > 1e-9 {
			t.Fatalf("%s costs %v, want %v", outline(parts), cost, want)
		}
	}
	for _, k := range []string{"by feel", "sets", "repeats", "reps"} {
		if kinds[k] < 50 {
			t.Errorf("%d parts are %s: too few to prove anything", kinds[k], k)
		}
	}
	if paired < 50 {
		t.Errorf("%d repeats have reps and recoveries of one amount: too few to prove anything", paired)
	}
	t.Log(kinds)
}

// TestInGroups: like stretches take one amount and share its cost; what is unlike all others is fitted alone.
func TestInGroups(t *testing.T) {
	work, _, _ := habits(recording.Outdoors)
	sh := shaper{work: work}
	lists := [][]stretch{{run(4.5, 181)}, {run(4.6, 91)}, {run(4.4, 179)}, {run(4.4, 240)}, {run(4.5, 183)}, {run(4.7, 89)}}
	if got, want := groupsOf(lists), [][]int{{5, 1}, {2, 0, 4}, {3}}; !cmp.Equal(got, want) {
		t.Fatalf("groups %v, want %v", got, want)
	}
	fits := sh.inGroups(lists, work)
	for i, want := range []float64{180, 90, 180, 240, 180, 90} {
		alone := fitAmount(sights(lists[i:i+1]), work)
		if got := fits[i]; got.amount.Seconds != want || got.cost > alone.cost || want == 240 && got != alone {
			t.Errorf("stretch %d: %v for %.2f, want %v s for %.2f at most", i, got.amount, got.cost, want, alone.cost)
		}
	}
	together := fitAmount(sights([][]stretch{lists[2], lists[0], lists[4]}), work)
	if got, want := fits[0].cost, together.cost/3+math.Log(3); math.Abs(got-want) > 1e-9 {
		t.Errorf("one of three costs %v, want a third and the choice of a group, %v", got, want)
	}
	if got, want := fits[0].sure(), together.sure(); math.Abs(got-want) > 1e-9 {
		t.Errorf("sure by %v, all three by %v", got, want)
	}
}

// TestPair: reps and recoveries of about one amount are read as on and off.
func TestPair(t *testing.T) {
	minute, metres := Amount{Seconds: 60}, Amount{Metres: 200}
	for _, tt := range []struct {
		name       string
		work, rest amountFit
		want       [2]Amount
		saved      float64
	}{
		{"equal already", amountFit{amount: minute, cost: -9, next: -2, second: metres}, amountFit{amount: minute, cost: -5, next: 1}, [2]Amount{minute, minute}, 1.6},
		{"the reps' second", amountFit{amount: metres, cost: -9, next: -8, second: minute}, amountFit{amount: minute, cost: -5, next: 1}, [2]Amount{minute, minute}, 0.6},
		{"the recoveries' second", amountFit{amount: minute, cost: -9, next: -2}, amountFit{amount: metres, cost: -5, next: -4.5, second: minute}, [2]Amount{minute, minute}, 1.1},
		{"too dear", amountFit{amount: metres, cost: -9, next: -7, second: minute}, amountFit{amount: minute, cost: -5, next: 1}, [2]Amount{metres, minute}, 0},
		{"nothing meant", amountFit{cost: 3}, amountFit{cost: 2}, [2]Amount{}, 0},
	} {
		work, rest := tt.work, tt.rest
		pair(&work, &rest)
		if got := [2]Amount{work.amount, rest.amount}; got != tt.want {
			t.Errorf("%s: %v, want %v", tt.name, got, tt.want)
		}
		if saved := tt.work.cost + tt.rest.cost - work.cost - rest.cost; math.Abs(saved-tt.saved) > 1e-9 {
			t.Errorf("%s: %v nats saved, want %v", tt.name, saved, tt.saved)
		}
	}
}

// TestManyReps: with many reps parts are looked for only where something differs;
// that finds what a search of all borders finds, of sessions with an order.
func TestManyReps(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for _, n := range []int{9, 10, 12, 16, 20} {
		for _, list := range [][2][]stretch{
			{repeat(n, run(5.21, 60)), repeat(n-1, run(2.47, 60))},
			{repeat(n, run(5.21, 60)), cycle(n-1, run(2.47, 60), run(2.47, 60), run(2.47, 180))},
			{cycle(n, run(4.37, 180), run(4.93, 60)), cycle(n-1, run(2.41, 60), run(2.41, 120))},
		} {
			reps, rests := slips(rng, list[0], 0.4), slips(rng, list[1], 0.8)
			work, rest, _ := habits(recording.Outdoors)
			sh := shaper{sets: true, work: work, rest: rest, typical: 60}
			all := make([]bool, n+1)
			for i := range n + 1 {
				all[i] = true
				if i < n {
					sh.reps = append(sh.reps, reps[i:i+1])
				}
				if i < n-1 {
					sh.rests = append(sh.rests, rests[i:i+1])
				}
			}
			parts, cost := sh.best()
			every, least := sh.bestWithin(all)
			if math.Abs(cost-least) > 1e-9 {
				t.Errorf("%s for %.3f; %s for %.3f", outline(parts), cost, outline(every), least)
			}
		}
	}
}

func TestAlike(t *testing.T) {
	lists := func(seconds ...float64) [][]stretch {
		var out [][]stretch
		for _, s := range seconds {
			out = append(out, []stretch{run(4, s)})
		}
		return out
	}
	for _, tt := range []struct {
		lists [][]stretch
		ratio float64
		want  bool
	}{
		{lists(60), 1.3, true},
		{lists(60, 70, 80), 1.3, true},
		{lists(60, 70, 120), 1.3, false},
		{lists(60, 60, 60, 60, 60, 60, 60, 20), 1.3, true},                          // one of eight may be cut short
		{lists(60, 60, 60, 60, 60, 60, 60, 95), 1.3, true},                          // or drawn out a little
		{lists(60, 60, 60, 60, 60, 60, 60, 120), 1.3, false},                        // not doubled
		{lists(60, 60, 60, 60, 60, 60, 20), 1.3, false},                             // one of seven may not
		{lists(10, 16, 17), 1.3, true},                                              // seconds of slack
		{[][]stretch{{run(4, 60)}, {run(2, 120)}}, 1.3, true},                       // one distance
		{[][]stretch{{run(2, 60)}, {run(4, 60)}}, 1.3, true},                        // one time
		{[][]stretch{{run(2, 60)}, {run(4, 120)}}, 1.3, false},                      // neither
		{[][]stretch{{{}}, {{}}}, 1.9, true},                                        // reps that touch
		{[][]stretch{{{}}, {run(2.4, 60)}}, 1.9, false},                             // some that touch, some not
		{[][]stretch{{run(4, 60), run(4, 150)}, {run(4, 60)}}, 1.3, false},          // the passes of a set count singly
		{[][]stretch{repeat(7, run(4, 60)), {run(4, 25)}, {run(4, 60)}}, 1.3, true}, // one of nine
	} {
		if got := alike(tt.lists, tt.ratio); got != tt.want {
			t.Errorf("%v within %v: %v", sights(tt.lists), tt.ratio, got)
		}
	}
}

func TestCohesion(t *testing.T) {
	at := func(speeds ...float64) float64 {
		var list [][]stretch
		for _, v := range speeds {
			list = append(list, []stretch{run(v, 60)})
		}
		return cohesion(list)
	}
	if c := at(4); c != 0 {
		t.Errorf("one rep saves %v", -c)
	}
	last := math.Inf(-1)
	for _, spread := range []float64{0, 0.03, 0.06, 0.1, 0.15, 0.3} {
		c := at(4*(1-spread), 4, 4*(1+spread))
		if c < last || spread <= 0.06 && c >= 0 || spread >= 0.3 && c <= 0 {
			t.Errorf("speeds spread by %v cost %v, by less %v", spread, c, last)
		}
		last = c
	}
	if pair, many := at(4, 4), at(4, 4, 4, 4, 4); many >= pair {
		t.Errorf("five of one speed save %v, two %v", -many, -pair)
	}
	if c := at(4, 4, 4, 0); math.IsNaN(c) || math.IsInf(c, 0) {
		t.Errorf("a rep that stood costs %v", c)
	}
}

// TestManyDriftingReps: reps that drift apart by little each, so that no border is seen, are more than can be looked for
// everywhere, and are named as run by feel.
func TestManyDriftingReps(t *testing.T) {
	work, rest, _ := habits(recording.Outdoors)
	var reps []stretch
	for i := range 300 {
		reps = append(reps, run(4, 30+0.5*float64(i)))
	}
	if parts, cost := shapeOf(reps, repeat(299, run(2.5, 60)), work, rest, false); len(parts) != 1 || !parts[0].open || math.IsInf(cost, 0) {
		t.Errorf("%d parts for %v", len(parts), cost)
	}
}

// TestVeryManyUnlikeReps: more changes of amount than anybody plans are named as run by feel,
// also where some reps touch.
func TestVeryManyUnlikeReps(t *testing.T) {
	rng := rand.New(rand.NewPCG(12, 1))
	for _, touching := range []bool{false, true} {
		var reps, rests []stretch
		for i := range 200 {
			s := 10 + 300*rng.Float64()
			reps = append(reps, stretch{sight: sight{seconds: s, metres: 4 * s, se: 1}, speed: 4, moving: 4})
			if i > 0 {
				s := 10 + 200*rng.Float64()
				if touching && i%7 == 0 {
					s = 0
				}
				rests = append(rests, stretch{sight: sight{seconds: s, metres: 2 * s, se: 1}, speed: 2, moving: 2})
			}
		}
		h := habit{shelf: roadShelf(), time: 0.8, distance: 0.7, believes: 0.85, scale: scaleSD, free: freeRep, laxity: strict, memo: map[uint64]fits{}}
		parts := consistentShape(reps, rests, 3, h, h, false)
		if len(parts) != 1 || !parts[0].open || parts[0].to != 199 {
			t.Errorf("touching %v: %d parts", touching, len(parts))
		}
	}
}
