package library

import (
	"fmt"
	"math"
	"os"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
)

// thorough tells whether the long measurements are wanted.
func thorough() bool { return os.Getenv("RUNGS_THOROUGH") != "" }

// withSpeed lists the device profiles that record any speed, the one that
// does not apart: without it no length of any rep is known.
func withSpeed() (some []simulate.Device, none simulate.Device) {
	for _, d := range simulate.Devices() {
		if d.Speed || d.Distance || d.Positions {
			some = append(some, d)
		} else {
			none = d
		}
	}
	return some, none
}

// on runs a session where the device can be used, and splits the recording.
func on(t testing.TB, d simulate.Device, s simulate.Session, seed uint64) *segment.Session {
	t.Helper()
	if d.Indoor {
		s.Place, s.Terrain = recording.Treadmill, simulate.Terrain{}
	}
	r, _ := simulate.Run(s, d, seed)
	split, err := segment.Split(r)
	if err != nil {
		t.Fatalf("%s on %s: %v", s.Name, d.Name, err)
	}
	return split
}

// A tally counts answers and keeps the wrong ones.
type tally struct {
	right, of int
	wrong     []string
}

func (c *tally) count(ok bool, format string, args ...any) {
	c.of++
	if ok {
		c.right++
	} else {
		c.wrong = append(c.wrong, fmt.Sprintf(format, args...))
	}
}

func (c tally) percent() float64 { return 100 * float64(c.right) / float64(c.of) }

// The whole shelf is the library. Every workout is run on every device that
// has speed, a third of the times with a rep missing or added where it has
// four reps or more, and must be found first. Then it is taken out of the
// library, and the answer must be none: these are the hardest strangers there
// are. Seeds are not used anywhere else.
func TestRecognition(t *testing.T) {
	entries := Shelf()
	if len(entries) < 30 {
		t.Fatalf("%d workouts, 30 are wanted", len(entries))
	}
	devices, _ := withSpeed()
	every := 6 // runs with one device of so many
	if thorough() {
		every = 1
	}
	var first, fitting, clear, leftOut tally
	n := 0
	for i, e := range entries {
		for k, d := range devices {
			if (i+k)%every != 0 {
				continue
			}
			n++
			how := asWritten
			if n%3 == 0 && len(amounts(e.Workout)) >= 4 {
				how = oneMissing + change(n/3%2)
			}
			seed := uint64(41_000_000 + 1000*i + k)
			s := on(t, d, simulated(e.Workout, seed, how), seed)
			r, err := Recognise(entries, s)
			if err != nil {
				t.Fatal(err)
			}
			best := r.Candidates[0]
			if d := likeness.DistanceRun(best.Entry.Workout, s); math.Abs(d+best.Likeness-1) > 1e-12 {
				t.Errorf("distance %g and likeness %g do not sum to 1", d, best.Likeness)
			}
			found := notation.Print(workouts.FromBlocks(s.Structure))
			first.count(best.Entry.Name == e.Name, "%s on %s (%d): took it for %s; %s", e.Name, d.Name, how, best.Entry.Name, found)
			fits := r.Fitting()
			fitting.count(len(fits) > 0 && fits[0].Entry.Name == e.Name, "%s on %s (%d): likest %s %.2f; %s", e.Name, d.Name, how, best.Entry.Name, best.Likeness, found)
			clear.count(len(fits) == 1 && fits[0].Entry.Name == e.Name, "")
			others, err := Recognise(append(append([]Entry{}, entries[:i]...), entries[i+1:]...), s)
			if err != nil {
				t.Fatal(err)
			}
			leftOut.count(len(others.Fitting()) == 0, "%s on %s (%d): took it for %s %.2f; %s", e.Name, d.Name, how,
				others.Candidates[0].Entry.Name, others.Candidates[0].Likeness, found)
		}
	}
	byHeart, timed := heartOnly(t, entries, every)
	t.Logf("without speed, by heart rate, of %d runs: first %.1f %%; of %d meant in time: %.1f %%", byHeart.of, byHeart.percent(), timed.of, timed.percent())
	if byHeart.percent() < 70 {
		t.Errorf("by heart rate %.1f %% are first, at least 70 %% is wanted", byHeart.percent())
	}
	// Every profile has the same weight.
	n1, n0 := float64(len(devices)), float64(len(devices)+1)
	t.Logf("first over all profiles, that without speed included: %.1f %%", (n1*first.percent()+byHeart.percent())/n0)
	t.Logf("of %d runs: first %.1f %%, first and fitting %.1f %%, the only one that fits %.1f %%; left out, none fits %.1f %%",
		first.of, first.percent(), fitting.percent(), clear.percent(), leftOut.percent())
	for _, w := range fitting.wrong {
		t.Log("not found: ", w)
	}
	for _, w := range leftOut.wrong {
		t.Log("not none: ", w)
	}
	// The default run is a sample of the measurement, so it has some slack.
	least := [3]float64{96, 94, 90}
	if thorough() {
		least = [3]float64{98, 97, 93}
	}
	for i, c := range []tally{first, fitting, leftOut} {
		if c.percent() < least[i] {
			t.Errorf("measure %d: %.1f %%, at least %.0f %% is wanted", i, c.percent(), least[i])
		}
	}
}

// heartOnly ranks runs recorded without any speed: all, and those meant in time.
func heartOnly(t *testing.T, entries []Entry, every int) (all, timed tally) {
	_, device := withSpeed()
	for i, e := range entries {
		if i%every != 0 {
			continue
		}
		seed := uint64(42_000_000 + i)
		r, err := Recognise(entries, on(t, device, simulated(e.Workout, seed, asWritten), seed))
		if err != nil {
			t.Fatal(err)
		}
		if !r.ByHeart {
			t.Fatalf("%s: recognised by speed that is not there", e.Name)
		}
		ok := r.Candidates[0].Entry.Name == e.Name
		all.count(ok, "")
		if amounts(e.Workout)[0].Kind == workouts.Time {
			timed.count(ok, "")
		}
	}
	return all, timed
}

// Strangers are runs without structure and sessions whose reps differ in more
// than one from those of every workout of the library: in number, length or
// order.
func TestStrangers(t *testing.T) {
	entries := Shelf()
	devices, _ := withSpeed()
	seeds := 1
	if thorough() {
		seeds = 8
	}
	var none tally
	for q, kind := range simulate.Kinds() {
		for i := range seeds {
			seed := uint64(43_000_000 + 1000*q + i)
			s := kind.Make(seed)
			if s.Structured && !stranger(t, s, entries) {
				continue
			}
			var fit []simulate.Device
			for _, d := range devices {
				if d.Indoor == (s.Place == recording.Treadmill) {
					fit = append(fit, d)
				}
			}
			d := fit[(q+i)%len(fit)]
			split := on(t, d, s, seed)
			r, err := Recognise(entries, split)
			if err != nil {
				t.Fatal(err)
			}
			none.count(len(r.Fitting()) == 0, "%s (%s) on %s: took it for %s %.2f", kind.Name, s.Notation, d.Name,
				r.Candidates[0].Entry.Name, r.Candidates[0].Likeness)
		}
	}
	t.Logf("of %d strangers: none fits %.1f %%", none.of, none.percent())
	for _, w := range none.wrong {
		t.Log("not none: ", w)
	}
	if none.percent() < 95 {
		t.Errorf("%.1f %%, at least 95 %% is wanted", none.percent())
	}
}

// stranger tells whether the reps of a session, as meant, differ in more than
// one from those of every workout: the edit distance of the two lists.
func stranger(t *testing.T, s simulate.Session, entries []Entry) bool {
	t.Helper()
	w, err := notation.Parse("", s.Notation)
	if err != nil {
		t.Fatalf("%s: %v", s.Name, err)
	}
	for _, e := range entries {
		if editDistance(amounts(w), amounts(e.Workout)) < 2 {
			return false
		}
	}
	return true
}

func amounts(w workouts.Workout) []workouts.Amount {
	var out []workouts.Amount
	for _, p := range w.Expand() {
		if p.Role == segment.Work {
			out = append(out, p.Step.Amount)
		}
	}
	return out
}

// editDistance counts the reps to insert, delete or change (Levenshtein 1966).
func editDistance(a, b []workouts.Amount) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i, x := range a {
		diagonal := row[0]
		row[0] = i + 1
		for j, y := range b {
			cost := diagonal
			if x != y {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}

// Of two workouts that are equally like a run, the runner's own is told before a
// starter of the shelf, whatever their names.
func TestOwnBeforeStarter(t *testing.T) {
	taken := starter(t, "three-minute-reps")
	own := taken
	own.Name = "z-" + taken.Name
	s, _, _ := outing(t, taken.Workout, 1, 1, device(t, "good watch, open sky"), 101)
	for _, entries := range [][]Entry{{taken, own}, {own, taken}} {
		r, err := Recognise(entries, s)
		if err != nil {
			t.Fatal(err)
		}
		if a, b := r.Candidates[0], r.Candidates[1]; a.Likeness != b.Likeness || a.Entry.Name != own.Name {
			t.Errorf("%s (%v) before %s (%v)", a.Entry.Name, a.Likeness, b.Entry.Name, b.Likeness)
		}
	}
}

// What leaves out workouts that cannot fit finds the same fitting ones as what looks at all.
func TestLikelyIsAllThatFits(t *testing.T) {
	by := NewRecogniser(Shelf())
	devices, none := withSpeed()
	fitting, compared := 0, 0
	for i, kind := range simulate.Kinds() {
		for _, d := range []simulate.Device{devices[i%len(devices)], none} {
			s := on(t, d, kind.Make(uint64(500+i)), uint64(500+i))
			all, err := by.Recognise(s)
			likely, err2 := by.Likely(s)
			if (err == nil) != (err2 == nil) || all.ByHeart != likely.ByHeart {
				t.Fatalf("%s on %s: %v and %v", kind.Name, d.Name, err, err2)
			}
			a, b := all.Fitting(), likely.Fitting()
			if len(a) != len(b) {
				t.Fatalf("%s on %s: %d fit of all, %d of the likely", kind.Name, d.Name, len(a), len(b))
			}
			for k := range a {
				if a[k].Entry.Name != b[k].Entry.Name || a[k].Likeness != b[k].Likeness {
					t.Errorf("%s on %s: %s, %v, of all, %s, %v, of the likely", kind.Name, d.Name, a[k].Entry.Name, a[k].Likeness, b[k].Entry.Name, b[k].Likeness)
				}
			}
			fitting, compared = fitting+len(a), compared+len(likely.Candidates)
			if len(likely.Candidates) > len(all.Candidates) || err == nil && len(all.Candidates) != len(Shelf()) {
				t.Fatalf("%d likely of %d", len(likely.Candidates), len(all.Candidates))
			}
		}
	}
	if fitting < 20 || compared > len(simulate.Kinds())*len(Shelf()) {
		t.Errorf("%d fit, %d were compared", fitting, compared)
	}
}
