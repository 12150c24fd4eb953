package segment

import (
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

func TestSetNumbers(t *testing.T) {
	single := func(i int) part { return part{from: i, to: i} }
	for _, tt := range []struct {
		name  string
		shape []part
		want  []int
	}{
		{"one rep", []part{single(0)}, []int{1}},
		{"a repeat", []part{{from: 0, to: 3}}, []int{1, 1, 1, 1}},
		{"a ladder", []part{single(0), single(1), single(2)}, []int{1, 1, 1}},
		{"two repeats", []part{{from: 0, to: 1}, {from: 2, to: 4}}, []int{1, 1, 2, 2, 2}},
		{"sets", []part{{from: 0, to: 5, passes: 2}}, []int{1, 1, 1, 2, 2, 2}},
		{"strides, sets, a dash, a dash", []part{{from: 0, to: 2}, {from: 3, to: 8, passes: 3}, single(9), single(10)},
			[]int{1, 1, 1, 2, 2, 3, 3, 4, 4, 5, 5}},
		{"a rep between repeats", []part{single(0), {from: 1, to: 2}, single(3)}, []int{1, 2, 2, 3}},
		{"by feel", []part{{from: 0, to: 4, open: true}}, []int{1, 1, 1, 1, 1}},
	} {
		if got := setNumbers(tt.shape); !slices.Equal(got, tt.want) {
			t.Errorf("%s: sets %v, want %v", tt.name, got, tt.want)
		}
	}
}

// unroll writes a structure out: every step in the order it was run.
func unroll(blocks []Block) []Block {
	var out []Block
	for _, b := range blocks {
		if len(b.Body) == 0 {
			for range b.Count {
				out = append(out, b)
			}
			continue
		}
		for pass := range b.Count {
			out = append(out, unroll(b.Body)...)
			if b.Rest != nil && pass+1 < b.Count {
				out = append(out, unroll([]Block{*b.Rest})...)
			}
		}
	}
	return out
}

// TestBlocks: a structure, written out, is the reps and recoveries it was made of.
func TestBlocks(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	sets, tails := 0, 0
	for range 1500 {
		reps, rests := drawReps(rng, 1+rng.IntN(12))
		work, rest, _ := habits(recording.Outdoors)
		r := reading{reps: reps, rests: rests, easy: 2.8}
		r.shape, _ = shapeOf(reps, rests, work, rest, false)
		if rng.IntN(2) == 0 {
			r.before = piece{hi: 600}
		}
		if rng.IntN(2) == 0 {
			r.after = piece{hi: 600}
		}
		if rng.IntN(4) == 0 {
			r.wait = 120
		}
		last := r.shape[len(r.shape)-1]
		r.tail = last.passes == 0 && last.rest != nil && rng.IntN(2) == 0
		got := unroll(blocks(r))
		var want []Role
		if r.before.seconds() > 0 {
			want = append(want, Warm)
		}
		if r.wait > 0 {
			want = append(want, Stop)
		}
		for i := range reps {
			want = append(want, Work)
			if i < len(rests) && rests[i].seconds > 0 || i == len(rests) && r.tail {
				want = append(want, Recovery)
			}
		}
		if r.after.seconds() > 0 {
			want = append(want, Cool)
		}
		if first, _ := r.outerRoles(); first == Easy {
			for i, role := range want {
				if role == Warm || role == Cool {
					want[i] = Easy
				}
			}
		}
		roles := make([]Role, len(got))
		for i, b := range got {
			roles[i] = b.Role
		}
		if !slices.Equal(roles, want) {
			t.Fatalf("%s\nis written out as %v, want %v", outline(r.shape), roles, want)
		}
		for _, b := range got {
			if b.Role == Work && !(b.Pace > 0) || (b.Role == Recovery || b.Role == Stop) != (b.Manner != "") {
				t.Fatalf("%s: a step of %s at %v s/km, manner %q", outline(r.shape), b.Role, b.Pace, b.Manner)
			}
		}
		for _, p := range r.shape {
			sets += min(1, p.passes)
		}
		if r.tail {
			tails++
		}
	}
	if sets < 50 || tails < 50 {
		t.Errorf("%d sets and %d last recoveries: too few to prove anything", sets, tails)
	}
}

// TestSets: amounts and paces of sets come from the right reps.
func TestSets(t *testing.T) {
	reps := cycle(6, run(4.37, 180), run(4.93, 60))
	for i := range reps {
		reps[i].speed += 0.01 * float64(i)
	}
	rests := cycle(5, run(2.41, 60), run(2.71, 120))
	work, rest, _ := habits(recording.Outdoors)
	r := reading{reps: reps, rests: rests, easy: 3}
	r.shape, _ = shapeOf(reps, rests, work, rest, false)
	pace := func(speed float64) float64 { return 1000 / speed }
	minutes := func(role Role, seconds, pace float64, manner string) Block {
		return Block{Count: 1, Role: role, Amount: Amount{Seconds: seconds}, Pace: pace, Manner: manner}
	}
	between := minutes(Recovery, 120, pace(2.71), "jog")
	want := []Block{{Count: 3, Body: []Block{
		minutes(Work, 180, pace(4.37), ""), minutes(Recovery, 60, pace(2.41), "jog"), minutes(Work, 60, pace(4.94), ""),
	}, Rest: &between}}
	if d := cmp.Diff(want, blocks(r), cmpopts.IgnoreFields(Block{}, "Sure", "Rival"), cmpopts.EquateApprox(0, 1e-9)); d != "" {
		t.Errorf("three times 3:00 and 1:00 (-want +got):\n%s", d)
	}
}

func TestRunnerUp(t *testing.T) {
	work := Block{Count: 1, Role: Work, Amount: Amount{Metres: 1000}, Sure: 0.9, Rival: Amount{Seconds: 240}}
	jog := Block{Count: 1, Role: Recovery, Amount: Amount{Seconds: 90}, Sure: 0.7, Rival: Amount{Metres: 200}}
	warm := Block{Count: 1, Role: Warm, Amount: Amount{Seconds: 900}, Sure: 0.8, Rival: Amount{Metres: 3000}}
	open := Block{Count: 1, Role: Stop, Manner: "stand"}
	list := func(w, r, ends Block) []Block {
		return []Block{ends, open, {Count: 3, Body: []Block{{Count: 4, Body: []Block{w}, Rest: &r}}, Rest: &open}}
	}
	given := list(work, jog, warm)
	sure, rival := runnerUp(given)
	want := jog
	want.Amount, want.Rival, want.Sure = jog.Rival, jog.Amount, 0.3
	if sure != 0.7 || cmp.Diff(list(work, want, warm), rival, cmpopts.EquateApprox(0, 1e-12)) != "" {
		t.Errorf("the rival of a recovery: %v\n%s", sure, cmp.Diff(list(work, want, warm), rival))
	}
	if d := cmp.Diff(list(work, jog, warm), given); d != "" {
		t.Errorf("the structure itself was changed:\n%s", d)
	}
	warm.Sure = 0.6
	if sure, rival = runnerUp(list(work, jog, warm)); sure != 0.6 || rival[0].Amount != warm.Rival {
		t.Errorf("the rival of a warm-up: %v %+v", sure, rival)
	}
	warm.Sure, jog.Sure = 0.99, 0.95
	if sure, rival = runnerUp(list(work, jog, warm)); sure != 0.9 || rival != nil {
		t.Errorf("a structure that is sure: %v %+v", sure, rival)
	}
	if sure, rival = runnerUp([]Block{open}); sure != 1 || rival != nil {
		t.Errorf("a structure without amounts: %v %+v", sure, rival)
	}
}

func TestOuterRoles(t *testing.T) {
	ran := func(before int, rep, rest stretch, wait float64) reading {
		return reading{labelling: labelling{before: piece{hi: before}}, reps: repeat(3, rep), rests: repeat(2, rest), easy: 3, wait: wait}
	}
	short, jog := run(4.5, 180), run(2.4, 90)
	for _, tt := range []struct {
		name string
		r    reading
		want Role
	}{
		{"a warm-up", ran(900, short, jog, 0), Warm},
		{"an hour before the reps", ran(3600, short, jog, 0), Easy},
		{"an hour and a wait", ran(3600, short, jog, 120), Warm},
		{"long reps with easy running between", ran(900, metres(3.6, 3000), metres(3, 1000), 0), Easy},
		{"long reps with jogs between", ran(900, metres(3.6, 3000), jog, 0), Warm},
		{"a block", reading{labelling: labelling{before: piece{hi: 900}}, reps: repeat(1, run(4, 1200)), easy: 3}, Warm},
	} {
		before, after := tt.r.outerRoles()
		want := Cool
		if tt.want == Easy {
			want = Easy
		}
		if before != tt.want || after != want {
			t.Errorf("%s: %s and %s, want %s and %s", tt.name, before, after, tt.want, want)
		}
	}
}

func TestHeart(t *testing.T) {
	nan := math.NaN()
	v := []float64{nan, 100, 110, 120, nan, 130, 140, 150, 160, 170, nan}
	for _, tt := range []struct{ start, end, avg, top, last float64 }{
		{0, 11, 135, 170, 155}, // 140, 150, 160 and 170 in the last five seconds
		{1, 4, 110, 120, 110},
		{5, 10, 150, 170, 150},
		{0, 1, nan, nan, nan},
		{4, 5, nan, nan, nan},
		{-5, 3, 105, 110, 105},
		{9, 99, 170, 170, nan}, // nothing in the last five seconds
		{20, 30, nan, nan, nan},
	} {
		avg, top, last := heart(v, tt.start, tt.end)
		if fmt.Sprint(avg, top, last) != fmt.Sprint(tt.avg, tt.top, tt.last) {
			t.Errorf("from %v to %v: mean %v, highest %v, at the end %v; want %v, %v, %v", tt.start, tt.end, avg, top, last, tt.avg, tt.top, tt.last)
		}
	}
	if avg, top, last := heart(nil, 0, 10); !math.IsNaN(avg) || !math.IsNaN(top) || !math.IsNaN(last) {
		t.Error("a missing stream has values")
	}
}

// TestStanding: stops of a quarter of a minute are listed, shorter ones and what is
// not known are not.
func TestStanding(t *testing.T) {
	r := odometer(1, 900.0, []float64{0, 100, 130, 300, 309, 600}, []float64{3, 0, 3, 0, 3, 0})
	s := &Session{Recording: r, Trace: signal.Build(r)}
	got := s.standing()
	if len(got) != 2 || math.Abs(got[0].StartS-100) > 3 || math.Abs(got[0].EndS-130) > 3 || math.Abs(got[1].StartS-600) > 3 || got[1].EndS != 900 {
		t.Errorf("stood %v, want 100 to 130 and 600 to 900", got)
	}
	// Eight seconds at 0.7 m/s between two stops are no run; at 3 m/s they are, and so is half a minute.
	for _, x := range []struct {
		seconds, speed float64
		stops          int
	}{{8, 0.7, 1}, {8, 3, 2}, {30, 0.7, 2}} {
		r := odometer(1, 900, []float64{0, 300, 360, 360 + x.seconds, 450}, []float64{3, 0, x.speed, 0, 3})
		if got := (&Session{Recording: r, Trace: signal.Build(r)}).standing(); len(got) != x.stops {
			t.Errorf("%g s at %g m/s between two stops: stood %v, want %d stops", x.seconds, x.speed, got, x.stops)
		}
	}
	for i := 600; i < 900; i++ {
		s.Trace.Known[i] = false
	}
	if got := s.standing(); len(got) != 1 {
		t.Errorf("where nothing is known, stood %v", got)
	}
	for i := 700; i < 800; i++ {
		s.Trace.Timer[i] = false // the runner stopped it
	}
	if got := s.standing(); len(got) != 2 || got[1] != (recording.Span{StartS: 700, EndS: 800}) {
		t.Errorf("while the timer stood still, stood %v", got)
	}
}

// TestMeasure: distance and pace of an ideal odometer, with the delay of real
// ones taken out, and margins that grow with the edges'.
func TestMeasure(t *testing.T) {
	r := odometer(1, 1000, []float64{0, 300, 600}, []float64{3, 4, 0})
	s := &Session{Recording: r, Trace: signal.Build(r), ScaleSE: scaleSD}
	s.Trace.DelayS = 0 // this one has none
	sharp := s.measure(Work, 1, 2, edge{300, 1}, edge{600, 1})
	if sharp.Role != Work || sharp.Set != 1 || sharp.Rep != 2 || sharp.Seconds() != 300 {
		t.Errorf("%+v", sharp)
	}
	if math.Abs(sharp.DistanceM-1200) > 2 || math.Abs(sharp.Pace-250) > 0.5 {
		t.Errorf("1200 m in 300 s: %.1f m at %.1f s/km", sharp.DistanceM, sharp.Pace)
	}
	if !(sharp.WithinSE > 0 && sharp.PaceSE > sharp.WithinSE) || math.Abs(sharp.PaceSE-math.Hypot(sharp.WithinSE, scaleSD*sharp.Pace)) > 1e-9 {
		t.Errorf("margins: %v within the recording, %v in all", sharp.WithinSE, sharp.PaceSE)
	}
	// A second too many at the end, stood, costs half of what would be run in it, by theory.
	start := Edge{AtS: 300, SE: 1}
	one, five := s.paceError(start, Edge{AtS: 600, SE: 1}), s.paceError(start, Edge{AtS: 600, SE: 5})
	if want := math.Sqrt(sq(one.edges) + 24*sq(4/2)); math.Abs(five.edges-want) > 0.02*want {
		t.Errorf("an edge known to 5 s gives an error of %v m, want %v", five.edges, want)
	}
	if vague := s.measure(Work, 1, 2, edge{300, 1}, edge{600, 5}); !(vague.WithinSE > 2*sharp.WithinSE) {
		t.Errorf("an edge known to 5 s gives a margin of %v, one known to a second %v", vague.WithinSE, sharp.WithinSE)
	}
	stood := s.measure(Stop, 0, 0, edge{700, 2}, edge{900, 2})
	if stood.DistanceM != 0 || !math.IsInf(stood.Pace, 1) || !math.IsNaN(stood.PaceSE) || !math.IsNaN(stood.WithinSE) {
		t.Errorf("standing: %+v", stood)
	}
	if p, se := s.Pace(300, 300); !math.IsNaN(p) || !math.IsNaN(se) {
		t.Errorf("the pace of no time at all is %v", p)
	}
	s.Trace.Source = signal.Nothing
	if d := s.measure(Work, 1, 1, edge{300, 1}, edge{600, 1}); !math.IsNaN(d.DistanceM) || !math.IsNaN(d.Pace) || !math.IsNaN(d.PaceSE) {
		t.Errorf("without distance: %+v", d)
	}
}
