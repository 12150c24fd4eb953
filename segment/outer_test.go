package segment

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// TestOdometerOffset: the reps meant in metres tell how far the odometer is off,
// wherever in the shape they are.
func TestOdometerOffset(t *testing.T) {
	byMetres := func(from, to int, m float64) part {
		return part{from: from, to: to, work: amountFit{amount: Amount{Metres: m}}}
	}
	byTime := func(from, to int) part { return part{from: from, to: to, work: amountFit{amount: Amount{Seconds: 60}}} }
	sets := func(from, to, passes int, inner ...part) part {
		return part{from: from, to: to, passes: passes, inner: inner}
	}
	open := part{from: 0, to: 5, open: true}
	tests := []struct {
		name  string
		shape []part
		meant []float64 // of each rep, m; 0 for none
	}{
		{"one repeat", []part{byMetres(0, 4, 800)}, []float64{800, 800, 800, 800, 800}},
		{"sets", []part{sets(0, 5, 2, byMetres(0, 2, 400))}, []float64{400, 400, 400, 400, 400, 400}},
		{"sets of two kinds", []part{sets(0, 5, 3, byMetres(0, 0, 1200), byMetres(1, 1, 400))},
			[]float64{1200, 400, 1200, 400, 1200, 400}},
		{"sets of a repeat and a rep in minutes, after strides", []part{byTime(0, 2),
			sets(3, 11, 3, byMetres(0, 1, 300), byTime(2, 2)), byMetres(12, 12, 2000)},
			[]float64{0, 0, 0, 300, 300, 0, 300, 300, 0, 300, 300, 0, 2000}},
		{"by time", []part{byTime(0, 5)}, make([]float64, 6)},
		{"by feel", []part{open}, make([]float64, 6)},
		{"two reps", []part{byMetres(0, 1, 800), byTime(2, 4)}, []float64{800, 800, 0, 0, 0}},
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for _, tt := range tests {
		for range 20 {
			var reps []stretch
			var offsets []float64
			for _, m := range tt.meant {
				o := 0.03 * rng.NormFloat64()
				if m == 0 {
					reps = append(reps, run(4, 7*60*rng.Float64()))
					continue
				}
				reps = append(reps, metres(4, m*math.Exp(o)))
				offsets = append(offsets, o)
			}
			o, ok := odometerOffset(reps, tt.shape)
			got := o.seen
			if o.shown != o.seen || o.shownSE != o.seenSE || ok && !(o.seenSE > 0 && o.seenSE < 0.1) {
				t.Fatalf("%s: %+v for displays that say the same", tt.name, o)
			}
			if ok != (len(offsets) >= 3) || ok && math.Abs(got-median(offsets)) > 1e-9 || !ok && got != 0 {
				t.Fatalf("%s: %v %v, want the median of %v", tt.name, got, ok, offsets)
			}
		}
	}
}

// TestTimeAt: the time at which a distance was reached is the inverse of distance.
func TestTimeAt(t *testing.T) {
	tr := signal.Build(odometer(1, 900, []float64{0, 300, 340, 500}, []float64{3, 0, 4.5, 2.5}))
	j := newJudge(tr, tr.Effort, nil, recording.Outdoors)
	for at := 1.0; at < 899; at += 7.3 {
		if at > 295 && at < 345 {
			continue // stood
		}
		if got := j.timeAt(tr.DistanceAt, tr.DistanceAt(at)); math.Abs(got-at) > 0.02 {
			t.Errorf("reached what it had at %.2f s at %.2f s", at, got)
		}
	}
	if got := j.timeAt(tr.DistanceAt, 1e9); math.Abs(got-float64(tr.Len())) > 0.02 {
		t.Errorf("a distance beyond the end is reached at %v", got)
	}
}

func TestStandingBefore(t *testing.T) {
	speed := func(values ...float64) []float64 { // pairs of m/s and s
		var out []float64
		for i := 0; i < len(values); i += 2 {
			out = append(out, slices.Repeat(values[i:i+1], int(values[i+1]))...)
		}
		return out
	}
	for _, tt := range []struct {
		name  string
		speed []float64
		at    float64
		want  float64
	}{
		{"a wait on the line", speed(3, 100, 0, 120, 4, 60), 220, 120},
		{"with some shuffling", speed(3, 100, 0, 50, 1, 8, 0, 62, 4, 60), 220, 120},
		{"seen too late", speed(3, 100, 0, 120, 4, 60), 228.6, 128},
		{"from the first second on", speed(0, 100, 4, 60), 100, 100},
		{"a stop long before", speed(0, 100, 3, 40, 4, 60), 140, 0},
		{"none", speed(3, 100, 4, 60), 100, 0},
		{"before the start", speed(0, 100), 0, 0},
	} {
		j := &judge{tr: &signal.Trace{Speed: tt.speed}}
		if got := j.standingBefore(tt.at); got != tt.want {
			t.Errorf("%s: stood %v s, want %v", tt.name, got, tt.want)
		}
	}
}

// readIdeal takes an ideal odometer's recording of the pieces (m/s over cells of a
// second), which shows distances too long by a factor, and sharpens the reading in
// which those faster than a threshold are work.
func readIdeal(place recording.Place, threshold, scale float64, pieces []piece) (*judge, reading) {
	var from, speed []float64
	fast := make([]bool, len(pieces))
	for i, p := range pieces {
		from, speed = append(from, float64(p.lo)), append(speed, p.mean*scale)
		fast[i] = p.mean > threshold
	}
	tr := signal.Build(odometer(1, float64(pieces[len(pieces)-1].hi), from, speed))
	j := newJudge(tr, tr.Effort, cut(tr.Effort, tr), place)
	level := make([]piece, len(pieces))
	for i, p := range pieces {
		level[i] = j.piece(p.lo, p.hi)
	}
	l, _ := gather(level, fast)
	return j, j.sharpen(reading{labelling: l}, nil)
}

// TestReadOuter: what lies before and after the reps.
func TestReadOuter(t *testing.T) {
	// 3 km, 5 x 1000 m with jogs of 120 s, 2 km.
	kilometres := []float64{3, 1000}
	for i := range 5 {
		if i > 0 {
			kilometres = append(kilometres, 2.43, 120)
		}
		kilometres = append(kilometres, 1000.0/232, 232)
	}
	kilometres = append(kilometres, 2.5, 800)
	for _, scale := range []float64{1, 1.018, 0.982} {
		_, r := readIdeal(recording.Track, 3.5, scale, row(kilometres...))
		if math.Abs(r.offset-math.Log(scale)) > 0.003 {
			t.Errorf("an odometer off by %v is seen off by %v", math.Log(scale), r.offset)
		}
		if r.warm.amount != (Amount{Metres: 3000}) || r.cool.amount != (Amount{Metres: 2000}) || r.wait != 0 || r.tail {
			t.Errorf("by an odometer of %v: %+v before, %+v after, waited %v, tail %v", scale, r.warm.amount, r.cool.amount, r.wait, r.tail)
		}
	}
	// Twelve minutes, a wait on the line, 5 km, 8 minutes.
	_, r := readIdeal(recording.Outdoors, 3.5, 1, row(3.1, 720, 0, 200, 4.2, 1190, 2.61, 480))
	if math.Abs(r.wait-200) > 6 || r.warm.amount != (Amount{Seconds: 720}) || r.cool.amount != (Amount{Seconds: 480}) {
		t.Errorf("waited %v, %+v before, %+v after", r.wait, r.warm.amount, r.cool.amount)
	}
	// 800 m on, 800 m off six times, then ten minutes at the same easy speed.
	onOff := []float64{2.97, 900}
	for range 6 {
		onOff = append(onOff, 4, 200, 3.02, 265)
	}
	onOff[len(onOff)-1] += 600
	_, r = readIdeal(recording.Outdoors, 3.5, 1, row(onOff...))
	if !r.tail || math.Abs(r.tailEnd.at-r.ends[5].at-265) > 5 || r.cool.amount != (Amount{Seconds: 600}) {
		t.Errorf("on and off: tail %v to %.0f s after the last rep, %+v after it", r.tail, r.tailEnd.at-r.ends[5].at, r.cool.amount)
	}
	// Jogs are no "off": the last rep is followed by the cool-down.
	jogs := []float64{3, 900}
	for i := range 6 {
		if i > 0 {
			jogs = append(jogs, 2.2, 180)
		}
		jogs = append(jogs, 4.4, 180)
	}
	jogs = append(jogs, 2.6, 780)
	if _, r = readIdeal(recording.Outdoors, 3.5, 1, row(jogs...)); r.tail || r.cool.amount != (Amount{Seconds: 780}) {
		t.Errorf("jogs: tail %v, %+v after the last rep", r.tail, r.cool.amount)
	}
	// Less than a minute before and after is nothing.
	if _, r = readIdeal(recording.Outdoors, 3.5, 1, row(3, 40, 4.4, 180, 2.2, 90, 4.4, 180, 3, 30)); r.warm != (amountFit{}) || r.cool != (amountFit{}) {
		t.Errorf("%+v before, %+v after", r.warm, r.cool)
	}
}

// TestManner: how a recovery was spent. Speeds in m/s; the words are those of the
// notation.
func TestManner(t *testing.T) {
	for _, tt := range []struct {
		want                        string
		rep, seconds, speed, moving float64
		easy                        float64
	}{
		{"stand", 5, 60, 0.1, 0.1, 3},
		{"stand", 5, 60, 0.3, 1.9, 3}, // a few steps
		{"walk", 5, 120, 1.4, 1.5, 3},
		{"walk", 4, 60, 1, 1.6, 0},
		{"jog", 5, 90, 2.5, 2.5, 3},
		{"jog", 4, 90, 2.5, 2.6, 0},      // nothing to compare with
		{"jog", 4, 120, 1.2, 2.5, 2.9},   // half stood, half jogged
		{"jog", 4.4, 60, 2.95, 2.95, 3},  // easy pace for a minute is a jog
		{"easy", 4, 350, 2.95, 2.95, 3},  // and for a kilometre it is easy running
		{"jog", 4, 350, 2.5, 2.5, 3},     // but not as slow as this
		{"float", 4, 90, 3.4, 3.4, 3},    // quicker than easy
		{"float", 4, 300, 3.6, 3.6, 3},   // the same for long
		{"easy", 4, 300, 3.15, 3.15, 3},  // long and little quicker
		{"jog", 5.5, 90, 3.3, 3.3, 3},    // too slow against the reps
		{"stand", 4, 60, 0.4, 0.4, 0},    // nothing to compare with
		{"walk", 4, 300, 1.7, 1.74, 2.4}, // a brisk walk
	} {
		r := reading{reps: []stretch{run(tt.rep, 180)}, rests: []stretch{run(tt.speed, tt.seconds)}, easy: tt.easy}
		r.rests[0].moving = tt.moving
		if got := r.manner(0); got != tt.want {
			t.Errorf("%v s at %v m/s, %v while moving, after a rep at %v, easy is %v: %q, want %q", tt.seconds, tt.speed, tt.moving, tt.rep, tt.easy, got, tt.want)
		}
	}
	if got := (&reading{reps: make([]stretch, 1), rests: make([]stretch, 1)}).manner(0); got != "jog" {
		t.Errorf("nothing but heart rate: %q", got)
	}
}

// TestOffsetIsOfTheDisplay: when the display read what was meant, it is what the runner
// went by, however the distance was measured. In the laps of an open session of 6 x 800 m
// (dblock/tcx test data) it reads 800 and 400 m to within 4 m, all twelve times.
func TestOffsetIsOfTheDisplay(t *testing.T) {
	rng := rand.New(rand.NewPCG(2, 2))
	var worst float64
	for range 200 {
		var reps []stretch
		for range 6 {
			r := metres(4, 800*math.Exp(0.01+0.012*rng.NormFloat64()))
			r.shown = 800 + 2*rng.NormFloat64()
			reps = append(reps, r)
		}
		o, ok := odometerOffset(reps, []part{{from: 0, to: 5, work: amountFit{amount: Amount{Metres: 800}}}})
		if !ok || math.Abs(o.shown) > 0.004 {
			t.Fatalf("%+v %v", o, ok)
		}
		worst = max(worst, math.Abs(o.seen-0.01)/o.seenSE)
	}
	if worst < 1.5 || worst > 12 {
		t.Errorf("the offset is up to %.1f standard errors off", worst)
	}
}

// TestMannerOfMost: a single recovery is called what most are, a row by itself, and
// walks and stops always are.
func TestMannerOfMost(t *testing.T) {
	r := reading{easy: 3}
	for _, v := range []float64{2.7, 2.8, 3.3, 2.6, 1.4, 0.2} {
		rest := run(v, 90)
		rest.moving = v
		r.reps, r.rests = append(r.reps, run(4, 180)), append(r.rests, rest)
	}
	for i, want := range []string{"jog", "jog", "jog", "jog", "walk", "stand"} {
		if got := r.mannerOf(i); got != want {
			t.Errorf("recovery %d: %s, want %s", i, got, want)
		}
	}
	if got := r.manner(2); got != "float" {
		t.Errorf("by itself: %s", got)
	}
	for i := range r.rests[:2] {
		r.rests[i].moving = 3.4
	}
	if got := r.mannerOf(3); got != "float" {
		t.Errorf("one jog among floats: %s", got)
	}
	if got := r.mannerOf(0, 1, 2, 3); got != "float" { // the first three count
		t.Errorf("a row: %s", got)
	}
}

// TestByDisplay: reps that the display shows as meant speak for it, by Bayes' rule, and
// such as an odometer that is off explains better speak against it.
func TestByDisplay(t *testing.T) {
	for _, tt := range []struct {
		shown, se, before, least, most float64
	}{
		{0.001, 0.003, 0.85, 0.96, 0.97}, // a density over five times as high
		{0.02, 0.003, 0.85, 0.03, 0.03},
		{0.012, 0.002, 0.15, 0.03, 0.03},
		{0, 0.003, 0.15, 0.45, 0.55},  // five times as likely, from odds of one to six
		{0.005, 0.05, 0.5, 0.5, 0.56}, // reps too vague to tell
	} {
		o := offset{shown: tt.shown, shownSE: tt.se}
		if got := o.byDisplay(tt.before); got < tt.least-1e-9 || got > tt.most+1e-9 {
			t.Errorf("shown off by %v +- %v: %.3f after %.2f, want %.2f to %.2f", tt.shown, tt.se, got, tt.before, tt.least, tt.most)
		}
	}
}
