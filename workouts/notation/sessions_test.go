package notation

import (
	"math"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/athlete"
)

// sessions are workouts as coaches write them: common practice, no source.
// The totals are added up by hand, per session in its comment where they are
// not plain. Time and distance count the written amounts only.
var sessions = []struct {
	name    string
	src     string
	want    string // canonical
	seconds float64
	metres  float64
	steps   int // unrolled, rests included
	reps    int // of work
}{
	{"intervals, warm and cool", "15:00 warm + 5 x 4:00 @ 4:05 -> 3:45/km off 90s jog + 10:00 cool",
		"15:00 warm + 5 x 4:00 @ 4:05 -> 3:45/km off 1:30 jog + 10:00 cool", 900 + 1200 + 360 + 600, 0, 11, 5},
	{"sets by feel", "3 x ( 3 x 2:00 @ quicker off 1:00 jog ) off 4:00 walk",
		"3 x ( 3 x 2:00 @ quicker off 1:00 jog ) off 4:00 walk", 9*120 + 6*60 + 2*240, 0, 9 + 6 + 2, 9},
	{"alternating 800s", "8 x ( 800m @ half -5s + 800m easy )",
		"8 x ( 800m @ half -5s + 800m easy )", 0, 12800, 16, 8},
	{"quarters, all run together", "8x400m off 60s", "8 x 400m off 1:00", 7 * 60, 3200, 15, 8},
	{"quarters with a unicode times", "10×400M@3:20/km off 200m jog", "10 x 400m @ 3:20/km off 200m jog", 0, 4000 + 1800, 19, 10},
	{"thousands in a band", "6 x 1k @ 3:50-3:55/km off 2 min jog", "6 x 1km @ 3:50-3:55/km off 2:00 jog", 600, 6000, 11, 6},
	{"mile repeats", "2 miles warm-up + 4 x 1 mile @ 6:10/mile off 3 min jog + 1 mile cool-down",
		"2mi warm + 4 x 1mi @ 6:10/mi off 3:00 jog + 1mi cool", 540, 7 * 1609.344, 9, 4},
	{"steady half-hour tempo", "10min warm + 30min @ threshold + 10min cool", "10:00 warm + 30:00 @ threshold + 10:00 cool", 3000, 0, 3, 1},
	{"cruise intervals", "4 x 10:00 @ threshold +5s off 1:00 jog", "4 x 10:00 @ threshold +5s off 1:00 jog", 2400 + 180, 0, 7, 4},
	{"pyramid", "1:00 + 1:00 jog + 2:00 + 2:00 jog + 3:00 + 3:00 jog + 2:00 + 2:00 jog + 1:00",
		"1:00 + 1:00 jog + 2:00 + 2:00 jog + 3:00 + 3:00 jog + 2:00 + 2:00 jog + 1:00", 17 * 60, 0, 9, 5},
	{"ladder down", "2km @ 4:00/km + 400m jog + 1600m @ 3:55/km + 400m jog + 1200m @ 3:50/km + 400m jog + 800m @ 3:45/km + 400m jog + 400m @ 3:35/km",
		"2km @ 4:00/km + 400m jog + 1600m @ 3:55/km + 400m jog + 1200m @ 3:50/km + 400m jog + 800m @ 3:45/km + 400m jog + 400m @ 3:35/km", 0, 6000 + 1600, 9, 5},
	{"minutes on, minutes off", "20 x ( 1:00 + 1:00 easy )", "20 x ( 1:00 + 1:00 easy )", 2400, 0, 40, 20},
	{"thirty-thirties", "2 x ( 10 x 30s off 30s jog ) off 3:00 jog", "2 x ( 10 x 30s off 30s jog ) off 3:00 jog", 20*30 + 18*30 + 180, 0, 39, 20},
	{"strides after an easy run", "45:00 easy + 6 x 20s off 40s walk", "45:00 easy + 6 x 20s off 40s walk", 2700 + 120 + 200, 0, 12, 6},
	{"long run", "1h45 easy @ <75%max", "1:45:00 easy @ <75%max", 6300, 0, 1, 0},
	{"long run, last part quick", "24km easy + 8km @ marathon", "24km easy + 8km @ marathon", 0, 32000, 2, 1},
	{"marathon blocks", "3km warm + 3 x 5km @ marathon ±3s off 1km float @ marathon +20s + 2km cool",
		"3km warm + 3 x 5km @ marathon ±3s off 1km float @ marathon +20s + 2km cool", 0, 3000 + 15000 + 2000 + 2000, 7, 3},
	{"progressive run", "40:00 steady @ 5:00 -> 4:10/km", "40:00 steady @ 5:00 -> 4:10/km", 2400, 0, 1, 1},
	{"hill repeats by feel", "20min easy + 10 x 45s off open walk + 15min easy",
		"20:00 easy + 10 x 45s off open walk + 15:00 easy", 1200 + 450 + 900, 0, 21, 10},
	{"treadmill steps of speed", "10:00 warm @ 10km/h + 5 x 3:00 @ 14 -> 16 km/h off 2:00 jog @ 9 km/h + 5:00 cool @ 9kph",
		"10:00 warm @ 10km/h + 5 x 3:00 @ 14 -> 16km/h off 2:00 jog @ 9km/h + 5:00 cool @ 9km/h", 600 + 900 + 480 + 300, 0, 11, 5},
	{"treadmill in miles", "6 x 2:00 @ 9.5mph off 1:00 walk @ 3 mph", "6 x 2:00 @ 9.5mph off 1:00 walk @ 3mph", 720 + 300, 0, 11, 6},
	{"four by four", "10:00 warm @ 60-70%max + 4 x 4:00 @ 90-95%max off 3:00 jog @ 70%max + 5:00 cool",
		"10:00 warm @ 60-70%max + 4 x 4:00 @ 90-95%max off 3:00 jog @ 70%max + 5:00 cool", 600 + 960 + 540 + 300, 0, 9, 4},
	{"easy by heart", "50 min easy @ 130 - 145 bpm", "50:00 easy @ 130-145bpm", 3000, 0, 1, 0},
	{"rest until the heart is down", "6 x 800m @ 5k off open stand @ <120bpm", "6 x 800m @ 5k off open stand @ <120bpm", 0, 4800, 11, 6},
	{"zones", "15min @ Z1 + 2 x 20min @ zone 3-4 off 5min @ zone 1", "15:00 @ zone 1 + 2 x 20:00 @ zone 3-4 off 5:00 @ zone 1", 900 + 2400 + 300, 0, 4, 3},
	{"repetitions for the 1500", "2 x ( 4 x 200m @ 1500m off 200m jog ) off 800m jog", "2 x ( 4 x 200m @ 1500m off 200m jog ) off 800m jog", 0, 1600 + 1200 + 800, 15, 8},
	{"broken kilometres", "5 x ( 600m @ 5k + 200m float + 200m @ 1500m ) off 2:00 stand",
		"5 x ( 600m @ 5k + 200m float + 200m @ 1500m ) off 2:00 stand", 480, 5000, 19, 10},
	{"over and under", "4 x ( 2:00 @ 10k -5s + 3:00 steady @ marathon ) off 2:00 jog",
		"4 x ( 2:00 @ 10k -5s + 3:00 steady @ marathon ) off 2:00 jog", 4*300 + 360, 0, 11, 4},
	{"each one quicker by two seconds", "5 x 1000m @ quicker by 2s off 90 seconds stand", "5 x 1km @ quicker by 2s off 1:30 stand", 360, 5000, 9, 5},
	{"primes for minutes", "12' easy + 6 x 3'30\" off 1'30\" jog + 8′ easy", "12:00 easy + 6 x 3:30 off 1:30 jog + 8:00 easy", 720 + 1260 + 450 + 480, 0, 13, 6},
	{"hours in words", "1 hour 30 minutes easy", "1:30:00 easy", 5400, 0, 1, 0},
	{"two kinds of rep", "3 x 1600m @ 10k off 400m jog + 4 x 400m @ 3k off 400m jog",
		"3 x 1600m @ 10k off 400m jog + 4 x 400m @ 3k off 400m jog", 0, 4800 + 800 + 1600 + 1200, 12, 7},
	{"a long rest between kinds", "3 x 2k @ 10k off 2min jog + 5min walk + 6 x 300m off 100m walk",
		"3 x 2km @ 10k off 2:00 jog + 5:00 walk + 6 x 300m off 100m walk", 240 + 300, 6000 + 1800 + 500, 17, 9},
	{"over lines", "10 min warm-up\n5 x 3 min off 2 min jog\n10 min cool-down\n", "10:00 warm + 5 x 3:00 off 2:00 jog + 10:00 cool", 600 + 900 + 480 + 600, 0, 11, 5},
	{"over lines with a group", "2 km warm\r\n3 x (\r\n  800 m @ 10k\r\n  400 m @ 5k\r\n)\r\noff 3:00 walk\r\n2 km cool\r\n",
		"2km warm + 3 x ( 800m @ 10k + 400m @ 5k ) off 3:00 walk + 2km cool", 360, 7600, 10, 6},
	{"with comments", "# Tuesday\n15:00 warm # on the path\n\n6 x 400m off 1:00 # the oval\n", "15:00 warm + 6 x 400m off 1:00", 1200, 2400, 12, 6},
	{"run and walk for a start", "8 x ( 2:00 jog + 1:00 walk )", "8 x ( 2:00 jog + 1:00 walk )", 1440, 0, 16, 0},
	{"a time trial", "2mi warm + 5km @ 5k ±2s/mi + 2mi cool", "2mi warm + 5km @ 5k ±2s/mi + 2mi cool", 0, 4*1609.344 + 5000, 3, 1},
	{"half-mile reps", "8 x 0.5mi @ 5:50/mi off 0.25mi jog", "8 x 0.5mi @ 5:50/mi off 0.25mi jog", 0, 4*1609.344 + 1.75*1609.344, 15, 8},
	{"three levels", "2 x ( 3 x ( 4 x 200m off 30s ) off 2:00 jog ) off 5:00 walk",
		"2 x ( 3 x ( 4 x 200m off 30s ) off 2:00 jog ) off 5:00 walk", 18*30 + 4*120 + 300, 4800, 24 + 18 + 4 + 1, 24},
	{"from marathon to half pace", "5 x 2km @ marathon -> half off 1:00 jog", "5 x 2km @ marathon -> half off 1:00 jog", 240, 10000, 9, 5},
	{"between two race paces", "8 x 600m @ 10k-5k off 1:00", "8 x 600m @ 10k - 5k off 1:00", 420, 4800, 15, 8},
	{"tolerance in plain characters", "5 x 1km @ 3:45/km +/- 2.5s off 2:00", "5 x 1km @ 3:45/km ±2.5s off 2:00", 480, 5000, 9, 5},
	{"at in letters", "6 x 800m at 3:30 per km off 90 sec rest", "6 x 800m @ 3:30/km off 1:30", 450, 4800, 11, 6},
	{"everything in capitals", "10 MIN WARM + 3 X 1 MI @ 7:00/MI OFF 2 MIN JOG + 10 MIN COOL", "10:00 warm + 3 x 1mi @ 7:00/mi off 2:00 jog + 10:00 cool", 600 + 240 + 600, 3 * 1609.344, 7, 3},
	{"a group that is none", "( 10:00 warm + 5 x ( 1km ) off 60s )", "10:00 warm + 5 x 1km off 1:00", 840, 5000, 10, 5},
	{"reserve", "30:00 steady @ 60-70%HRR", "30:00 steady @ 60-70%reserve", 1800, 0, 1, 1},
	{"a stop at the end", "10.55 km easy + 5:00 stand", "10.55km easy + 5:00 stand", 300, 10550, 2, 0},
}

func TestSessionsAsCoachesWriteThem(t *testing.T) {
	if len(sessions) < 40 {
		t.Fatalf("only %d sessions", len(sessions))
	}
	for _, s := range sessions {
		t.Run(s.name, func(t *testing.T) {
			w, err := Parse("plan", s.src)
			if err != nil {
				t.Fatal(err)
			}
			if got := Print(w); got != s.want {
				t.Errorf("printed\n%s, want\n%s", got, s.want)
			}
			planned := w.Expand()
			var seconds, metres float64
			reps := 0
			for _, p := range planned {
				seconds += p.Step.Amount.Seconds
				metres += p.Step.Amount.Metres
				if p.Role == segment.Work {
					reps++
					if p.Rep != reps {
						t.Errorf("step %d is rep %d, want %d", p.Index, p.Rep, reps)
					}
				}
			}
			// Sums of miles round in the last bits.
			if seconds != s.seconds || math.Abs(metres-s.metres) > 1e-6 {
				t.Errorf("adds up to %v s and %v m, want %v s and %v m", seconds, metres, s.seconds, s.metres)
			}
			if len(planned) != s.steps || reps != s.reps {
				t.Errorf("%d steps with %d reps, want %d with %d", len(planned), reps, s.steps, s.reps)
			}
			if a, b := w.Length(); a != s.seconds || math.Abs(b-s.metres) > 1e-6 {
				t.Errorf("Length says %v s and %v m", a, b)
			}
			// The canonical text is the same workout.
			back, err := Parse("plan", s.want)
			if err != nil {
				t.Fatal(err)
			}
			if again := Print(back); again != s.want {
				t.Errorf("printed again\n%s", again)
			}
			if o := athlete.New().Outline(w); len(o.Steps) != s.steps {
				t.Errorf("the outline has %d steps", len(o.Steps))
			}
		})
	}
}
