package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// secondOrder is what a first-order device shows, at the middles of n cells, of a
// step of so many m/s from a base that a runner means at a moment (s).
func secondOrder(n int, base, step, moment, tau float64) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = base
		if t := float64(i) + 0.5 - moment; t > 0 {
			out[i] += step * (1 - (tau*math.Exp(-t/tau)-shownLegsS*math.Exp(-t/shownLegsS))/(tau-shownLegsS))
		}
	}
	return out
}

// A surges is a speed that goes up and down, with the moments at which it begins
// to change.
type surges struct {
	speed  []float64 // m/s, mean over each second
	onsets []float64 // s
	meets  [][2]piece
}

// makeSurges are changes between 3 and 4.4 m/s every 90 s and some, as a device
// with one time constant up and one down shows them, and the pieces that a search
// would cut, late by its lag.
func makeSurges(rng *rand.Rand, n int, up, down, noise float64) surges {
	var s surges
	var last, at float64 = 3, 0
	lo := 0
	for i := range n {
		at = math.Round(at + 80 + 30*rng.Float64()) // from a whole second on
		onset := at + rng.Float64()
		level, tau := 4.4, up
		if i%2 == 1 {
			level, tau = 3, down
		}
		for len(s.speed) < int(at) {
			s.speed = append(s.speed, last)
		}
		s.speed = append(s.speed, secondOrder(80, last, level-last, onset-at, tau)...)
		cut := int(onset + 0.7*tau)
		s.meets = append(s.meets, [2]piece{{lo: lo, hi: cut, mean: last}, {lo: cut, mean: level}})
		if i > 0 {
			s.meets[i-1][1].hi = cut
		}
		s.onsets = append(s.onsets, onset)
		last, lo = level, cut
	}
	s.meets[n-1][1].hi = len(s.speed)
	for i := range s.speed {
		s.speed[i] += noise * rng.NormFloat64()
	}
	return s
}

// onSpeed places edges on a device speed that lags.
func onSpeed(v []float64, meets [][2]piece) []edge {
	tr := &signal.Trace{DeviceSpeed: v, Device: true, Step: 1, Dist: make([]float64, len(v)+1), Speed: v, Source: signal.Odometer}
	for i, x := range v {
		tr.Dist[i+1] = tr.Dist[i] + x
	}
	return (&judge{tr: tr}).onStream(meets)
}

// TestOnDevice: edges are found whatever the device's lag, which is not the same
// when quickening and when slowing.
func TestOnDevice(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	for _, tt := range []struct{ up, down, noise, within float64 }{
		{0.6, 1.2, 0, 0.5}, {2.01, 4, 0, 0.5}, {3, 7.5, 0, 0.5}, {10, 5.5, 0, 0.5}, // on the grid of time constants
		{1.6, 4.8, 0, 0.9}, {2.5, 8.5, 0, 1.1}, // between
		{2.01, 4, 0.03, 1}, {3, 6, 0.03, 1.3},
	} {
		s := makeSurges(rng, 10, tt.up, tt.down, tt.noise)
		for i, e := range onSpeed(s.speed, s.meets) {
			if d := e.at - s.onsets[i]; math.Abs(d) > tt.within || !(e.se >= 0.25 && e.se < 3) {
				t.Errorf("time constants %v and %v, noise %v: onset %d is %.2f s off, se %.2f", tt.up, tt.down, tt.noise, i, d, e.se)
			}
		}
	}
}

func TestOnDeviceRefuses(t *testing.T) {
	s := makeSurges(rand.New(rand.NewPCG(3, 3)), 2, 2.1, 4, 0)
	short, flat, wrong := s.meets[0], s.meets[0], s.meets[0]
	short[0].lo, short[1].hi = short[1].lo-4, short[1].lo+4
	wrong[0].mean, wrong[1].mean = 5, 3 // speed goes up where the pieces go down
	level := make([]float64, len(s.speed))
	for name, c := range map[string]struct {
		v []float64
		m [2]piece
	}{"too short": {s.speed, short}, "flat": {level, flat}, "the wrong way": {s.speed, wrong}} {
		if e := onSpeed(c.v, [][2]piece{c.m})[0]; e != (edge{float64(c.m[1].lo), 8}) {
			t.Errorf("%s: an edge at %v, se %v", name, e.at, e.se)
		}
	}
}

// odometer is a recording of nothing but distance: speeds (m/s), each from a
// moment (s) on, with a record every so many seconds.
func odometer(every, end float64, from, speed []float64) *recording.Recording {
	return odometerOf(1e-9, every, end, from, speed)
}

// odometerOf is that of a runner whose legs take so long (time constant, s).
func odometerOf(legs, every, end float64, from, speed []float64) *recording.Recording {
	r := &recording.Recording{Place: recording.Outdoors}
	for t := 0.0; t <= end; t += every {
		r.T = append(r.T, t)
	}
	r.Distance = recording.MakeStream(len(r.T))
	for i, t := range r.T {
		d := 0.0
		for k := range from {
			upTo := t
			if k+1 < len(from) {
				upTo = min(t, from[k+1])
			}
			in := max(0, upTo-from[k])
			d += in * speed[k]
			if k > 0 {
				d += (speed[k-1] - speed[k]) * legs * (1 - math.Exp(-in/legs))
			}
		}
		r.Distance.Set(i, d)
	}
	return r
}

// TestOnOdometer: an odometer without noise tells the moment of a step to a
// fraction of its sampling.
func TestOnOdometer(t *testing.T) {
	rng := rand.New(rand.NewPCG(4, 4))
	for _, every := range []float64{1, 5} {
		for range 40 {
			from := []float64{0, 300 + 5*rng.Float64(), 480 + 5*rng.Float64(), 570 + 5*rng.Float64()}
			speed := []float64{3, 4.4 + rng.Float64(), 2.4, 4.2 + rng.Float64()}
			tr := signal.Build(odometerOf(legsS, every, 750, from, speed))
			var pieces []piece
			for i, at := range from {
				p := piece{lo: int(at), hi: tr.Len(), mean: speed[i]}
				if i > 0 {
					p.lo += rng.IntN(9) - 4 // a rough cut
					pieces[i-1].hi = p.lo
				}
				pieces = append(pieces, p)
			}
			for i := 1; i < len(pieces); i++ {
				e := (&judge{tr: tr}).onStream([][2]piece{{pieces[i-1], pieces[i]}})[0]
				if d := e.at + tr.DelayS - from[i]; math.Abs(d) > 0.3 || !(e.se > 0 && e.se <= 2.5) {
					t.Errorf("a record every %v s: a step at %.2f is seen %.2f s off, se %.2f", every, from[i], d, e.se)
				}
			}
		}
	}
	tr := signal.Build(odometer(1, 600, []float64{0, 300}, []float64{3, 3.1}))
	if e := (&judge{tr: tr}).onStream([][2]piece{{{lo: 0, hi: 295, mean: 3}, {lo: 295, hi: 600, mean: 3.1}}})[0]; e.at != 295 || e.se < 5 {
		t.Errorf("a step too small to place is placed at %v, se %v", e.at, e.se)
	}
}

// TestOnCost: in an even-sided series a step stands where it stands.
func TestOnCost(t *testing.T) {
	speed := slices.Concat(slices.Repeat([]float64{3}, 200), slices.Repeat([]float64{4.4}, 120), slices.Repeat([]float64{2.5}, 100))
	j := newJudge(&signal.Trace{Known: slices.Repeat([]bool{true}, len(speed))}, speed, nil, recording.Outdoors)
	p := []piece{{lo: 0, hi: 193, mean: 3}, {lo: 193, hi: 328, mean: 4.4}, {lo: 328, hi: 420, mean: 2.5}}
	for i, want := range []float64{200, 320} {
		if e := j.onCost(p[i], p[i+1]); e.at != want {
			t.Errorf("a step at %v is seen at %v", want, e.at)
		}
	}
}

func TestNearLevel(t *testing.T) {
	// A rep that fades from 5 to 4.4 m/s after a minute, from a walk.
	tr := signal.Build(odometer(1, 400, []float64{0, 100, 190, 280}, []float64{1.4, 5, 4.4, 2.4}))
	rep := piece{lo: 100, hi: 280, mean: 4.7}
	if v := nearLevel(tr, rep, true); math.Abs(v-5) > 0.01 {
		t.Errorf("begins at %v, want 5", v)
	}
	if v := nearLevel(tr, rep, false); math.Abs(v-4.4) > 0.01 {
		t.Errorf("ends at %v, want 4.4", v)
	}
	if v := nearLevel(tr, piece{lo: 100, hi: 104, mean: 4.7}, true); v != 4.7 {
		t.Errorf("a short piece runs at %v, want its mean", v)
	}
}

func TestBlend(t *testing.T) {
	if e := blend(edge{100, 1}, edge{102, 1}); e.at != 101 || math.Abs(e.se-math.Sqrt(0.5)) > 1e-12 {
		t.Errorf("two equal witnesses: %+v", e)
	}
	// Weights are one over the variance: 1 and 1/4.
	if e := blend(edge{100, 1}, edge{102, 2}); math.Abs(e.at-100.4) > 1e-12 || math.Abs(e.se-math.Sqrt(0.8)) > 1e-12 {
		t.Errorf("a sharp and a vague witness: %+v", e)
	}
	if e := blend(edge{100, 1}, edge{110, 1}); e.at != 100 || e.se < 5 {
		t.Errorf("witnesses that contradict each other: %+v", e)
	}
}

// lap is a lap between two moments and what ended it.
func lap(from, to float64, t recording.Trigger, step int) recording.Lap {
	return recording.Lap{Span: recording.Span{StartS: from, EndS: to}, Trigger: t, Step: step}
}

// lapsAt cuts a recording into laps, each ended by a press.
func lapsAt(end float64, presses ...float64) []recording.Lap {
	var out []recording.Lap
	from := 0.0
	for _, at := range presses {
		out = append(out, lap(from, at, recording.ManualTrigger, -1))
		from = at
	}
	return append(out, lap(from, end, recording.SessionEnd, -1))
}

func TestPresses(t *testing.T) {
	manual, led, automatic := recording.ManualTrigger, recording.TimeTrigger, recording.DistanceTrigger
	laps := []recording.Lap{
		lap(0, 600, automatic, -1), lap(600, 720.5, manual, -1), lap(720.5, 900, automatic, -1), // pressed at 720.5
		lap(900, 1000, led, 2), lap(1000, 1100, led, 3), // steps from 900, 1000, to 1100
		lap(1300, 1200, manual, -1), lap(0, 3, manual, -1), // out of order; at the start
		lap(0, math.NaN(), manual, -1), lap(math.Inf(-1), math.Inf(1), manual, 0), lap(0, 1e300, manual, -1), lap(-50, -9, led, 1),
	}
	if got, want := recording.Presses(laps), []float64{720.5, 900, 1000, 1100, 1200}; !slices.Equal(got, want) {
		t.Errorf("pressed at %v, want %v", got, want)
	}
}

func TestPressed(t *testing.T) {
	truth := []float64{600, 780, 870, 1050, 1140, 1320, 1410, 1590}
	slips := []float64{1.5, -1.2, 0.8, -1.6, 1.1, 1.4, -1.3, 1.2} // of the edges as seen
	all := []int{0, 1, 2, 3, 4, 5, 6, 7}
	const end = 1800
	both := func(after float64, which ...int) []recording.Lap {
		var at []float64
		for _, i := range which {
			at = append(at, truth[i]+after)
		}
		return lapsAt(end, at...)
	}
	automatic := lapsAt(end, truth...)
	timed := lapsAt(end, truth...)
	led := lapsAt(end, truth...)
	mixed := []recording.Lap{} // presses, and a kilometre of the device's own just before and after each
	from := 0.0
	for i, at := range truth {
		automatic[i].Trigger, timed[i].Trigger = recording.DistanceTrigger, recording.TimeTrigger
		led[i].Trigger, led[i].Step = recording.TimeTrigger, i
		mixed = append(mixed, lap(from, at-2, recording.DistanceTrigger, -1), lap(at-2, at, recording.ManualTrigger, -1),
			lap(at, at+2, recording.DistanceTrigger, -1))
		from = at + 2
	}
	mixed = append(mixed, lap(from, end, recording.SessionEnd, -1))
	tests := []struct {
		name  string
		laps  []recording.Lap
		heard []int // edges that presses move
	}{
		{"every press", both(0.3, all...), all},
		{"half of them missed", both(0.2, 1, 3, 5, 6), []int{1, 3, 5, 6}},
		{"too many missed", both(0, 1, 4, 5), nil},
		{"all late", both(8, all...), nil},
		{"automatic kilometres that coincide", automatic, nil},
		{"automatic minutes that coincide", timed, nil},
		{"steps of a workout", led, all},
		{"presses between automatic laps", mixed, all},
		{"two presses near one edge", both(0, 0, 1, 2, 3, 4, 5, 6, 7, 7), all},
		{"no laps", nil, nil},
		{"one lap", lapsAt(end), nil},
	}
	for _, tt := range tests {
		edges := make([]edge, len(truth))
		for i, at := range truth {
			edges[i] = edge{at + slips[i], 1.5}
		}
		got := pressed(slices.Clone(edges), recording.Presses(tt.laps))
		for i, e := range got {
			if !slices.Contains(tt.heard, i) {
				if e != edges[i] {
					t.Errorf("%s: edge %d was moved from %v to %v", tt.name, i, edges[i].at, e.at)
				}
				continue
			}
			// Between what was seen and the press, nearer to the press, surer than both.
			before, now := math.Abs(edges[i].at-truth[i]), math.Abs(e.at-truth[i])
			if now > 0.5*before+0.3 || e.se >= pressSE {
				t.Errorf("%s: edge %d is %.2f s off after %.2f s, se %.2f", tt.name, i, now, before, e.se)
			}
		}
	}
}

// TestBetween: a stretch has the distance between its edges, and its speed while
// moving leaves out what was stood.
func TestBetween(t *testing.T) {
	tr := signal.Build(odometer(1, 600, []float64{0, 200, 240, 300}, []float64{4, 0, 2.5, 4}))
	j := newJudge(tr, tr.Effort, nil, recording.Outdoors)
	s := j.between(edge{200 - tr.DelayS, 1}, edge{300 - tr.DelayS, 2})
	if math.Abs(s.seconds-100) > 1e-9 || math.Abs(s.metres-150) > 1 || math.Abs(s.speed-1.5) > 0.01 || math.Abs(s.moving-2.5) > 0.05 {
		t.Errorf("40 s stood and 60 s jogged: %.1f s, %.1f m, %.2f m/s, %.2f m/s while moving", s.seconds, s.metres, s.speed, s.moving)
	}
	if s.se != math.Sqrt(5) {
		t.Errorf("se %v of edges known to 1 s and 2 s", s.se)
	}
}

// TestSharpenKeepsOrder: refined reps last, do not overlap and stay inside, however
// rough the cut they come from.
func TestSharpenKeepsOrder(t *testing.T) {
	rng := rand.New(rand.NewPCG(5, 5))
	for range 300 {
		var from, speed []float64
		at := 0.0
		for at < 500 {
			from, speed = append(from, at), append(speed, []float64{0, 1.4, 2.5, 3, 4.4, 5.2}[rng.IntN(6)])
			at += 8 + 60*rng.Float64()
		}
		tr := signal.Build(odometer([]float64{1, 3, 5}[rng.IntN(3)], 500.0+float64(rng.IntN(9)), from, speed))
		pieces := cut(tr.Effort, tr)
		if len(pieces) < 2 {
			continue
		}
		j := newJudge(tr, tr.Effort, pieces, recording.Outdoors)
		l, ok := gather(pieces, drawLabels(rng, len(pieces)))
		if !ok {
			continue
		}
		var presses []float64
		for range rng.IntN(6) {
			presses = append(presses, 500*rng.Float64())
		}
		slices.Sort(presses)
		r := j.sharpen(reading{labelling: l}, recording.Presses(lapsAt(500, presses...)))
		last := 0.0
		for i := range r.works {
			a, b := r.starts[i], r.ends[i]
			if !(a.at >= last && b.at > a.at && b.at <= float64(tr.Len()) && a.se > 0 && b.se > 0) {
				t.Fatalf("%d reps of %v: rep %d from %+v to %+v, after %v", len(r.works), l.works, i, a, b, last)
			}
			if d := b.at - a.at; math.Abs(r.reps[i].seconds-d) > 1e-9 {
				t.Fatalf("rep %d lasts %v, not %v", i, r.reps[i].seconds, d)
			}
			last = b.at
		}
	}
}
