package segment

import (
	"cmp"
	"maps"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// habits are those of a judge at a place.
func habits(p recording.Place) (work, rest, outer habit) {
	j := newJudge(&signal.Trace{}, nil, nil, p)
	return j.work, j.rest, j.outer
}

// inTime and inMetres are stretches of the given lengths at v m/s, with edges
// known to a second.
func inTime(v float64, seconds ...float64) []sight {
	var out []sight
	for _, s := range seconds {
		out = append(out, sight{seconds: s, metres: v * s, se: 1, noise: 0.2 * math.Sqrt(s)})
	}
	return out
}

func inMetres(v float64, metres ...float64) []sight {
	var out []sight
	for _, m := range metres {
		out = append(out, inTime(v, m/v)...)
	}
	return out
}

// seen is a copy of stretches whose distances an odometer shows too long by a
// factor.
func seen(obs []sight, factor float64) []sight {
	out := slices.Clone(obs)
	for i := range out {
		out[i].metres *= factor
	}
	return out
}

func TestFitAmount(t *testing.T) {
	// The lengths are those that handbooks of training write; the speeds make the
	// other unit awkward. A mile is 1609.344 m exactly (international yard and
	// pound agreement, 1959); 1600 m are four laps of a track (common practice,
	// no source).
	const mile = 1609.344
	secondsOf := func(s float64) Amount { return Amount{Seconds: s} }
	metresOf := func(m float64) Amount { return Amount{Metres: m} }
	road, track := recording.Outdoors, recording.Track
	tests := []struct {
		name  string
		place recording.Place
		obs   []sight
		want  Amount
	}{
		{"30 s", road, inTime(5.63, 30.2, 29.5, 30, 30.4, 29.8), secondsOf(30)},
		{"45 s", road, inTime(5.17, 45.2, 44.6, 45.1, 45), secondsOf(45)},
		{"1:00", road, inTime(5.21, 60.4, 59.7, 60, 60.2), secondsOf(60)},
		{"1:30", road, inTime(4.87, 90.1, 89.6, 90.5, 90), secondsOf(90)},
		{"2:00", road, inTime(4.73, 120.1, 120.6, 119.5), secondsOf(120)},
		{"3:00", road, inTime(4.33, 180.6, 179.2, 180.2, 180), secondsOf(180)},
		{"4:00", road, inTime(4.31, 240.1, 239.4, 240.8), secondsOf(240)},
		{"5:00", road, inTime(4.21, 300.6, 299.5, 300), secondsOf(300)},
		{"one of 20:00", road, inTime(3.87, 1200.8), secondsOf(1200)},
		{"200 m", track, inMetres(5.87, 200.5, 199.2, 200, 201, 199.6), metresOf(200)},
		{"400 m", track, inMetres(5.33, 400.5, 399.2, 400, 401), metresOf(400)},
		{"800 m", road, inMetres(4.83, 801, 799, 800.5), metresOf(800)},
		{"1000 m", road, inMetres(4.37, 1001, 999, 1000.5, 1000), metresOf(1000)},
		{"1200 m", track, inMetres(4.67, 1201, 1199, 1200), metresOf(1200)},
		{"3 km", road, inMetres(4.09, 3001, 2999), metresOf(3000)},
		{"mile on the road", road, inMetres(4.41, mile+1, mile-1, mile), Amount{Metres: mile, Mile: true}},
		{"1600 m on the road are a mile by a short odometer", road, inMetres(4.41, 1600, 1601, 1599), Amount{Metres: mile, Mile: true}},
		{"1600 m on the track", track, inMetres(4.41, 1601, 1599, 1600), metresOf(1600)},
		{"two miles", road, inMetres(4.13, 2*mile+1, 2*mile-1), Amount{Metres: 2 * mile, Mile: true}},
		{"one of eight cut short", road, inTime(4.33, 180, 180.4, 179.8, 131, 180.1, 179.6, 180.3, 180), secondsOf(180)},
		{"one of six run on", track, inMetres(5.33, 400, 401, 399.5, 566, 400.2, 400), metresOf(400)},
		{"a stop inside one", road, []sight{
			{seconds: 300.3, metres: 1264, se: 1}, {seconds: 332, metres: 1262, se: 1, halted: 32}, {seconds: 299.8, metres: 1260, se: 1},
			{seconds: 300.1, metres: 1266, se: 1}}, secondsOf(300)},
	}
	for _, tt := range tests {
		work, _, _ := habits(tt.place)
		if f := fitAmount(tt.obs, work); f.amount != tt.want {
			t.Errorf("%s: %+v (cost %.2f), rival %+v (cost %.2f), want %+v", tt.name, f.amount, f.cost, f.second, f.next, tt.want)
		}
	}
}

// TestFitAmountOdometer: an odometer that is off as a whole by what devices are
// off (Johansson et al. 2020: medians of 0.6 to 1.9 %) does not hide the metres,
// and less than the whole of it is the reps' own scatter.
func TestFitAmountOdometer(t *testing.T) {
	for _, place := range []recording.Place{recording.Outdoors, recording.Treadmill, recording.Track, recording.Trail} {
		work, _, _ := habits(place)
		for _, m := range []float64{400, 800, 1000} {
			exact := inMetres(4.61, m+0.7, m-0.8, m+0.3, m, m-0.4)
			last := math.Inf(-1)
			for _, off := range []float64{0, 0.006, 0.012, 0.019} {
				for _, sign := range []float64{1, -1} {
					f := fitAmount(seen(exact, 1+sign*off), work)
					if f.amount != (Amount{Metres: m}) {
						t.Errorf("%s: %v m seen %+.1f %% off are read as %+v", place, m, 100*sign*off, f.amount)
					}
					if f.cost < last-0.5 {
						t.Errorf("%s: %v m seen %+.1f %% off cost %.2f, less than %.2f with a smaller error", place, m, 100*sign*off, f.cost, last)
					}
					if sign < 0 {
						last = f.cost
					}
				}
			}
		}
	}
}

// TestFitAmountLate: a runner who jogs 15 minutes before the reps may stop late,
// not early.
func TestFitAmountLate(t *testing.T) {
	_, _, outer := habits(recording.Outdoors)
	for _, over := range []float64{0, 2, 5, 8, 11} {
		late := fitAmount(inTime(2.83, 900+over), outer)
		if late.amount != (Amount{Seconds: 900}) {
			t.Errorf("15:00 run on by %v s are read as %+v", over, late.amount)
		}
		if over < 5 {
			continue
		}
		early := fitAmount(inTime(2.83, 900-over), outer)
		if early.amount == (Amount{Seconds: 900}) && early.cost < late.cost+1 {
			t.Errorf("15:00 less %v s cost %.2f, hardly more than the same too long, %.2f", over, early.cost, late.cost)
		}
	}
}

// TestFitAmountOutlier: one odd stretch among many is an oddity, one among few
// is a plan.
func TestFitAmountOutlier(t *testing.T) {
	work, _, _ := habits(recording.Outdoors)
	extra := func(n int) float64 {
		all := make([]float64, n)
		for i := range all {
			all[i] = 180
		}
		whole := fitAmount(inTime(4.33, all...), work).cost
		all[n/2] = 131
		return fitAmount(inTime(4.33, all...), work).cost - whole
	}
	if few, many := extra(4), extra(5); few < many+2 {
		t.Errorf("an odd stretch costs %.1f nats among four and %.1f among five", few, many)
	}
}

func TestFitAmountUnits(t *testing.T) {
	// 1000 m in 4:00 is both.
	both := inMetres(1000.0/240, 1000, 1000.5, 999.5)
	byTime, byMetres := Amount{Seconds: 240}, Amount{Metres: 1000}
	work, _, _ := habits(recording.Outdoors)
	f := fitAmount(both, work)
	if !(f.amount == byTime && f.second == byMetres || f.amount == byMetres && f.second == byTime) || !(f.sure() > 0.5 && f.sure() < 0.9) {
		t.Errorf("1000 m in 4:00: %+v, rival %+v, sure %.2f", f.amount, f.second, f.sure())
	}
	work, _, _ = habits(recording.Track)
	if f := fitAmount(both, work); f.amount != byMetres {
		t.Errorf("1000 m in 4:00 on the track: %+v", f.amount)
	}
	// The unit that is kept is the unit that was meant.
	for _, place := range []recording.Place{recording.Outdoors, recording.Track} {
		work, _, _ = habits(place)
		var evenTimes, evenMetres []sight
		for _, v := range []float64{4.05, 4.12, 4.2, 4.27, 4.2} {
			evenTimes = append(evenTimes, inTime(v, 240)...)
			evenMetres = append(evenMetres, inMetres(v, 1000)...)
		}
		if f := fitAmount(evenTimes, work); f.amount != byTime {
			t.Errorf("%s: five times 240 s of 972 to 1025 m: %+v", place, f.amount)
		}
		if f := fitAmount(evenMetres, work); f.amount != byMetres {
			t.Errorf("%s: five times 1000 m in 234 to 247 s: %+v", place, f.amount)
		}
	}
}

func TestFitAmountNothing(t *testing.T) {
	work, _, _ := habits(recording.Outdoors)
	if f := fitAmount(nil, work); f != (amountFit{}) || f.sure() != 0 {
		t.Errorf("no stretch: %+v", f)
	}
	if f := fitAmount(make([]sight, 3), work); f != (amountFit{none: true}) || f.sure() != 0 {
		t.Errorf("stretches of no length: %+v", f)
	}
	// Lengths of no plan are rounded to seconds that grow with them.
	for _, tt := range []struct{ v, seconds, want float64 }{{5.15, 53, 55}, {4.56, 143, 145}, {4.2, 202, 195}, {4.2, 1010, 1020}} {
		if f := fitAmount(inTime(tt.v, tt.seconds), work); f.amount != (Amount{Seconds: tt.want}) || math.Abs(f.cost-freeRep) > 1e-9 {
			t.Errorf("%v s, which nobody plans: %+v", tt.seconds, f)
		}
	}
}

// TestPrior: a shelf is in order, has no amount twice, and its probabilities add
// up to one for each of two units; the units' own probabilities add up to no
// more than one.
func TestPrior(t *testing.T) {
	for name, s := range map[string]*shelf{"road": roadShelf(), "track": trackShelf(), "ends": outerShelf()} {
		sum := 0.0
		for _, list := range [][]meant{s.time, s.distance} {
			for i, m := range list {
				sum += math.Exp(-m.cost)
				if m.size <= 0 || i > 0 && m.size < list[i-1].size+1e-6 {
					t.Errorf("%s: %v after %v", name, m.size, list[max(0, i-1)].size)
				}
				if want := math.Abs(math.Remainder(m.size, metresPerMile/2)) < 1e-6; m.mile != want {
					t.Errorf("%s: %v m: mile is %v", name, m.size, m.mile)
				}
			}
		}
		if math.Abs(sum-2) > 1e-9 {
			t.Errorf("%s: the probabilities of both lists add up to %v", name, sum)
		}
	}
	for _, p := range []recording.Place{recording.PlaceUnknown, recording.Outdoors, recording.Track, recording.Treadmill, recording.Trail} {
		work, rest, outer := habits(p)
		for _, h := range []habit{work, rest, outer} {
			if sum := math.Exp(-h.time) + math.Exp(-h.distance); sum > 1 {
				t.Errorf("%s: the probabilities of time and distance add up to %v", p, sum)
			}
		}
	}
}

func TestAtLeast(t *testing.T) {
	list := roadShelf().time
	for x := 0.0; x < 12000; x += 2.5 {
		want := 0
		for want < len(list) && list[want].size < x {
			want++
		}
		if got := atLeast(list, x); got != want {
			t.Fatalf("first amount of %v or more: %d, want %d", x, got, want)
		}
	}
}

// drawSights are stretches that may belong together: near an amount of either
// unit, with or without scatter, stops and an odometer that is off.
func drawSights(rng *rand.Rand) []sight {
	n := 1 + rng.IntN(8)
	v := 1 + 4.5*rng.Float64()
	scatter := []float64{0, 0.002, 0.01, 0.04}[rng.IntN(4)]
	scale := math.Exp(0.016 * rng.NormFloat64())
	s := roadShelf()
	length := 15 * math.Exp(4*rng.Float64()) // s
	switch rng.IntN(3) {
	case 0:
		length = s.time[rng.IntN(len(s.time))].size
	case 1:
		length = s.distance[rng.IntN(len(s.distance))].size / v
	}
	length = max(8, min(length, 7200))
	var out []sight
	for range n {
		o := sight{seconds: length * math.Exp(scatter*rng.NormFloat64()), se: 0.5 + 3*rng.Float64()}
		pace := math.Exp(0.02 * rng.NormFloat64())
		o.metres, o.noise = v*pace*o.seconds*scale, rng.Float64()*math.Sqrt(o.seconds)
		if rng.IntN(3) > 0 {
			o.shown = max(1, o.metres+o.noise*rng.NormFloat64())
		}
		if rng.IntN(6) == 0 {
			o.halted = 0.2 * rng.Float64() * o.seconds
		}
		out = append(out, o)
	}
	return out
}

func misfitOf(obs []sight, lax laxity, common float64, see func(sight) (x, sd, late float64)) float64 {
	var devs []deviation
	for _, o := range obs {
		x, sd, late := see(o)
		devs = append(devs, deviation{x, sd, late})
	}
	return misfit(devs, lax, common)
}

// allAmounts is the cost of every amount of the shelf and of nothing round,
// without windows and memory.
func allAmounts(obs []sight, h habit) map[Amount]float64 {
	cost := map[Amount]float64{}
	offer := func(a Amount, c float64) {
		if old, ok := cost[a]; !ok || c < old {
			cost[a] = c
		}
	}
	var moving []float64
	for _, o := range obs {
		moving = append(moving, o.seconds-o.halted)
	}
	slices.Sort(moving)
	manners := []laxity{h.laxity, h.exact}
	choice := math.Log(2)
	if h.exact == (laxity{}) {
		manners, choice = manners[:1], 0
	}
	for _, lax := range manners {
		for _, c := range h.shelf.time {
			cost := misfitOf(obs, lax, lax.common/c.size, func(o sight) (x, sd, late float64) {
				x = math.Log(o.seconds / c.size)
				if moving := math.Log((o.seconds - o.halted) / c.size); math.Abs(moving) < math.Abs(x) {
					x = moving
				}
				return x, math.Sqrt(sq(lax.seconds)+sq(o.se)+sq(lax.share*c.size)) / c.size,
					math.Sqrt(sq(lax.seconds)+sq(o.se)+sq(lax.share*c.size)+sq(lax.late)) / c.size
			})
			offer(Amount{Seconds: c.size}, c.cost+choice+h.time+cost)
		}
		for _, c := range h.shelf.distance {
			// By what the device shows to the metre, or by a truth that it misses.
			likelihood := 0.0
			for _, way := range []struct{ odometer, common, probability float64 }{{0, 0.001, h.believes}, {1, h.scale, 1 - h.believes}} {
				likelihood += way.probability * math.Exp(-misfitOf(obs, lax, way.common, func(o sight) (x, sd, late float64) {
					v := o.metres / max(o.seconds-o.halted, 1)
					s := math.Sqrt(sq(lax.seconds*v) + sq(o.se*v) + sq(lax.share*c.size) + 4 + way.odometer*sq(o.noise))
					went := o.metres
					if way.odometer == 0 {
						went = o.display()
					}
					return math.Log(max(went, 1) / c.size), s / c.size, math.Hypot(s, lax.lateM) / c.size
				}))
			}
			offer(Amount{Metres: c.size, Mile: c.mile}, c.cost+choice+h.distance-math.Log(likelihood))
		}
	}
	medS, free := moving[len(moving)/2], h.free
	if len(moving)%2 == 0 {
		medS = (moving[len(moving)/2-1] + medS) / 2
	}
	if len(obs) > 1 {
		free += misfitOf(obs, h.laxity, 2, func(o sight) (x, sd, late float64) {
			sd = math.Sqrt(sq(h.seconds)+sq(o.se)+sq((h.share+0.02)*medS)) / medS
			return math.Log(o.seconds / medS), sd, sd
		})
	}
	step := 1.0
	switch {
	case h.late > 0:
		step, free = 60, free+1.2
	case medS >= 600:
		step = 60
	case medS >= 180:
		step = 15
	case medS >= 20:
		step = 5
	}
	offer(Amount{Seconds: max(step, step*math.Round(medS/step))}, free)
	return cost
}

// TestFitAmountTwin holds the fit to a search through all amounts.
func TestFitAmountTwin(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	won := map[string]int{} // by kind of amount
	for i := range 1500 {
		obs := drawSights(rng)
		work, rest, outer := habits([]recording.Place{recording.Outdoors, recording.Track, recording.Treadmill}[i%3])
		name, h := "work", work
		switch i % 4 {
		case 1:
			name, h = "rest", rest
		case 2:
			name, h, obs = "outer", outer, obs[:1]
		}
		got := fitAmount(obs, h)
		all := allAmounts(obs, h)
		list := slices.SortedFunc(maps.Keys(all), func(a, b Amount) int { return cmp.Compare(all[a], all[b]) })
		if list[0] != got.amount || math.Abs(all[list[0]]-got.cost) > 1e-9 {
			t.Fatalf("%s %v: %+v for %.6f, want %+v for %.6f", name, obs, got.amount, got.cost, list[0], all[list[0]])
		}
		switch {
		case got.amount.Mile:
			won["miles"]++
		case got.amount.Metres > 0:
			won["metres"]++
		case atShelf(h.shelf.time, got.amount.Seconds):
			won["time"]++
		default:
			won["nothing round"]++
		}
	}
	for _, kind := range []string{"miles", "metres", "time", "nothing round"} {
		if won[kind] < 20 {
			t.Errorf("%d of the fits are %s: too few to prove anything", won[kind], kind)
		}
	}
}

func atShelf(list []meant, size float64) bool {
	return slices.ContainsFunc(list, func(m meant) bool { return m.size == size })
}

// TestOffer: the best and the second best of any sequence of offers, whatever
// their order and however often an amount comes.
func TestOffer(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		type bid struct{ amount, cost int }
		bids := rapid.SliceOfN(rapid.Custom(func(t *rapid.T) bid {
			return bid{rapid.IntRange(1, 5).Draw(t, "amount"), rapid.IntRange(-9, 9).Draw(t, "cost")}
		}), 1, 12).Draw(t, "bids")
		f := amountFit{cost: math.Inf(1), next: math.Inf(1)}
		least := map[int]int{}
		for i, b := range bids {
			// Distinct costs, so that the order is one.
			b.cost = 20*b.cost + i
			f.offer(Amount{Seconds: float64(b.amount)}, float64(b.cost))
			if c, ok := least[b.amount]; !ok || b.cost < c {
				least[b.amount] = b.cost
			}
		}
		f.offer(Amount{Metres: 1}, math.Inf(1))
		var order []bid
		for a, c := range least {
			order = append(order, bid{a, c})
		}
		slices.SortFunc(order, func(a, b bid) int { return cmp.Compare(a.cost, b.cost) })
		if f.amount.Seconds != float64(order[0].amount) || f.cost != float64(order[0].cost) {
			t.Fatalf("best is %+v for %v, want %+v", f.amount, f.cost, order[0])
		}
		if len(order) == 1 {
			if !math.IsInf(f.next, 1) || f.sure() != 1 {
				t.Fatalf("rival of a single amount: %+v", f)
			}
			return
		}
		if f.second.Seconds != float64(order[1].amount) || f.next != float64(order[1].cost) {
			t.Fatalf("second is %+v for %v, want %+v", f.second, f.next, order[1])
		}
		odds := math.Exp(f.next - f.cost)
		if p := odds / (1 + odds); !math.IsInf(odds, 1) && math.Abs(f.sure()-p) > 1e-12 {
			t.Fatalf("odds of %v make a probability of %v", odds, f.sure())
		}
	})
}

// TestMemo: what is remembered is what would be found again, even of stretches
// that differ in nothing but a stop or their noise.
func TestMemo(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	work, rest, _ := habits(recording.Outdoors)
	for i := range 600 {
		obs := drawSights(rng)
		h := work
		if i%2 == 1 {
			h = rest
		}
		plain := h
		plain.memo = nil
		variants := [][]sight{obs, slices.Clone(obs), slices.Clone(obs)}
		k := rng.IntN(len(obs))
		variants[1][k].halted = 0.1 * obs[k].seconds
		variants[2][k].noise += 5
		for range 2 { // twice, so that all are remembered
			for n, v := range variants {
				if got, want := fitAmount(v, h), fitAmount(v, plain); got != want {
					t.Fatalf("variant %d of %v: remembered %+v, fitted %+v", n, obs, got, want)
				}
			}
		}
	}
}

// directMisfit is the misfit from its definition: the offset that all stretches
// share integrated out by Simpson's rule, against stretches that follow no plan.
func directMisfit(x, sd, late []float64, lax laxity, common float64) float64 {
	outlier := lax.outlier
	if len(x) < 5 {
		outlier /= 20
	}
	likelihood := func(o float64) float64 {
		p := normal(o, common)
		for i := range x {
			d := x[i] - o
			// A normal density with a wider upper half, if lateness is one-sided.
			lower, upper := sd[i], sd[i]
			if lax.late > 0 {
				upper = late[i]
			}
			side := lower
			if d > 0 {
				side = upper
			}
			density := math.Exp(-sq(d/side)/2) / ((lower + upper) / 2 * math.Sqrt(2*math.Pi))
			p *= ((1-outlier)*density + outlier*plainDensity) / plainDensity
		}
		return p
	}
	const n = 1000
	h := 16 * common / n
	sum := 0.0
	for i := range n + 1 {
		w := 2.0
		switch {
		case i == 0 || i == n:
			w = 1
		case i%2 == 1:
			w = 4
		}
		sum += w * likelihood(-8*common+float64(i)*h)
	}
	return -math.Log(sum * h / 3)
}

// TestMisfit holds the closed form to the integral: exact for normal scatter, and
// within a fraction of a nat with outliers and one-sided lateness, where it is an
// approximation.
func TestMisfit(t *testing.T) {
	rng := rand.New(rand.NewPCG(3, 3))
	worst := map[string]float64{}
	for i := range 900 {
		n, kind := 1+rng.IntN(9), [...]string{"normal", "outlier", "late"}[i%3]
		if kind == "late" {
			n = 1 // what lies before or after the reps comes alone
		}
		common := 0.001 + 0.02*rng.Float64()
		x, sd, late := make([]float64, n), make([]float64, n), make([]float64, n)
		obs := make([]sight, n)
		offset := common * rng.NormFloat64()
		for k := range x {
			sd[k] = 0.003 + 0.02*rng.Float64()
			late[k] = sd[k] * (1 + 2*rng.Float64())
			x[k] = offset + sd[k]*max(-2.5, min(2.5, rng.NormFloat64()))
			obs[k].seconds = float64(k)
		}
		lax, tolerance := laxity{}, 1e-6
		switch kind {
		case "outlier":
			lax, tolerance = laxity{outlier: 0.01}, 0.02
			if n >= 5 {
				x[rng.IntN(n)] += 0.5
			}
		case "late":
			lax, tolerance = laxity{late: 6, outlier: 0.02}, 0.25
			common = 0.001 * rng.Float64()
		}
		see := func(o sight) (float64, float64, float64) {
			k := int(o.seconds)
			return x[k], sd[k], late[k]
		}
		got, want := misfitOf(obs, lax, common, see), directMisfit(x, sd, late, lax, common)
		worst[kind] = max(worst[kind], math.Abs(got-want))
		if !(math.Abs(got-want) <= tolerance) {
			t.Errorf("%s: misfit of %.4f within %.4f, common %.4f, is %v, want %v", kind, x, sd, common, got, want)
		}
	}
	t.Log(worst)
}

// TestMisfitLong: hundreds of stretches, likely or not, neither overflow nor
// vanish in the product of their likelihoods.
func TestMisfitLong(t *testing.T) {
	for _, away := range []float64{0, 3} {
		one := func(n int) float64 {
			obs := make([]sight, n)
			return misfitOf(obs, laxity{outlier: 1e-9}, 1e-12, func(sight) (float64, float64, float64) { return away, 1e-6, 1e-6 })
		}
		if got, want := one(500), 50*one(10); math.Abs(got-want) > 1e-6*math.Abs(want) {
			t.Errorf("500 stretches cost %v, 50 times ten %v", got, want)
		}
	}
}

func TestMedian(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		x := rapid.SliceOfN(rapid.Float64Range(-9, 9), 1, 40).Draw(t, "x")
		sorted := slices.Sorted(slices.Values(x))
		n := len(x)
		want := (sorted[(n-1)/2] + sorted[n/2]) / 2
		if got := median(x); got != want || !slices.IsSorted(x) {
			t.Fatalf("median %v, want %v", got, want)
		}
	})
	if m := median(nil); !math.IsNaN(m) {
		t.Errorf("median of nothing is %v", m)
	}
}
