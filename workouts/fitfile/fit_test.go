package fitfile

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/tormoder/fit"
	"pgregory.net/rapid"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/internal/drawn"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
)

func writeFIT(t interface{ Fatal(...any) }, w workouts.Workout) (b []byte, lost []string) {
	var out bytes.Buffer
	lost, err := Write(&out, w)
	if err != nil {
		t.Fatal(err)
	}
	return out.Bytes(), lost
}

func readFIT(t interface{ Fatal(...any) }, b []byte) workouts.Workout {
	w, warnings, err := Read("test.fit", bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	if len(warnings) > 0 {
		t.Fatal(warnings)
	}
	return w
}

// Any workout comes back as it was, to the letter, save where two repeats that
// are run the same cannot be told apart; then Write says so.
func TestFITRoundTrip(t *testing.T) {
	told := 0
	rapid.Check(t, func(t *rapid.T) {
		w := drawn.Workout(t, "w")
		w.Name = rapid.SampledFrom([]string{"", "Tuesday", "Läufe am Dienstag", "路"}).Draw(t, "name")
		w.Tags = rapid.SampledFrom([][]string{nil, {"track"}, {"track", "short"}}).Draw(t, "tags")
		w.Note = rapid.SampledFrom([]string{"", "Jog back.", "Jog back.\nTwice."}).Draw(t, "note")
		b, lost := writeFIT(t, w)
		back := readFIT(t, b)
		if reads := strings.Join(lost, "\n"); strings.Contains(reads, "reads back as") {
			told++
			if !strings.Contains(reads, notation.Print(back)) || !sameRun(back, w) {
				t.Fatalf("%s reads back as %s, and it said: %s", notation.Print(w), notation.Print(back), reads)
			}
			return
		}
		if got, want := notation.PrintFile(back), notation.PrintFile(w); got != want {
			t.Fatalf("wrote\n%sread\n%s", want, got)
		}
	})
	t.Logf("%d workouts read back as another that is run the same", told)
}

// sameRun tells whether two workouts ask the same, step by step. The paces of a
// progression are written out in its own unit, to a tenth of a second or a hundredth
// of a speed, so each is off by half of that at most.
func sameRun(a, b workouts.Workout) bool {
	x, y := a.Expand(), b.Expand()
	if len(x) != len(y) {
		return false
	}
	for i := range x {
		s, u := x[i].Step, y[i].Step
		if s.Target.Kind != u.Target.Kind {
			one := s.Target.From // of the two, that which was written out
			if s.Target.Kind != workouts.PaceTarget {
				one = u.Target.From
			}
			v, w := workouts.Pace{SecPerKm: x[i].Goal.Pace, Unit: one.Unit}, workouts.Pace{SecPerKm: y[i].Goal.Pace, Unit: one.Unit}
			half := 0.05
			if one.Unit.IsSpeed() {
				half = 0.005
			}
			if !(math.Abs(v.Value()-w.Value()) < half+1e-9) || x[i].Goal.EndPace != y[i].Goal.EndPace {
				return false
			}
			s.Target, u.Target = workouts.Target{}, workouts.Target{}
		}
		if saidOf(s) != saidOf(u) {
			return false
		}
	}
	return true
}

// The fields alone, without names and notes, say all of amounts, repeats and
// the targets that the format has.
func TestFITFieldsAlone(t *testing.T) {
	for _, c := range []struct{ src, want string }{
		{"15:00 warm + 5 x ( 4:00 @ 3:50/km + 90s jog ) + 10:00 cool", "15:00 warm + 5 x ( 4:00 @ 3:50/km + 1:30 jog ) + 10:00 cool"},
		{"3 x ( 800m @ 3:30-3:40/km + 400m jog )", "3 x ( 800m @ 3:30-3:40/km + 400m jog )"},
		{"1mi @ 150-160bpm + 2.25mi @ 80-90%max", "1mi @ 150-160bpm + 2.25mi @ 80-90%max"},
		{"20:00 @ zone 3 + open", "20:00 @ zone 3 + open"},
		{"5 x 4:00 @ 3:50/km off 90s jog", "4 x ( 4:00 @ 3:50/km + 1:30 jog ) + 4:00 @ 3:50/km"},
		{"2 x 15:00 off 3:00 jog", "15:00 + 3:00 jog + 15:00"},
		{"5 x 4:00 @ 4:00 -> 3:40/km", "4:00 @ 4:00/km + 4:00 @ 3:55/km + 4:00 @ 3:50/km + 4:00 @ 3:45/km + 4:00 @ 3:40/km"},
		{"3 x ( 800m @ 4:00 -> 3:40/km + 400m easy )", "800m @ 4:00/km + 400m + 800m @ 3:50/km + 400m + 800m @ 3:40/km + 400m"},
		{"2 x ( 2 x 2:00 @ 4:00 -> 3:50/km off 1:00 jog ) off 3:00 jog", "2:00 @ 4:00/km + 1:00 jog + 2:00 @ 3:50/km + 3:00 jog + 2:00 @ 4:00/km + 1:00 jog + 2:00 @ 3:50/km"},
		{"4:00 @ 4:00 -> 3:40/km", "4:00 @ 3:40-4:00/km"},
		{"4:00 @ quicker + 1km @ 15km/h + 1km @ 6:00/mi ±5s", "4:00 + 1km @ 4:00/km + 1km @ 3:41-3:47/km"},
	} {
		plan, _ := planOf(parse(t, c.src))
		for i := range plan.Steps {
			plan.Steps[i].Name, plan.Steps[i].Notes = "", ""
		}
		w, warnings := FromPlan(plan)
		if got := notation.Print(w); got != c.want || len(warnings) > 0 {
			t.Errorf("%s: %s, want %s; %v", c.src, got, c.want, warnings)
		}
	}
}

// What a step cannot say is named.
func TestFITSaysWhatIsLost(t *testing.T) {
	long := strings.Repeat("ä", 200)
	for _, c := range []struct {
		src  string
		want []string
	}{
		{"5 x 4:00 off 90s jog", nil},
		{"4:00 @ 15km/h ±5s", nil},
		{"5 x 4:00 @ quicker by 2s off 90s jog", []string{`4:00 @ quicker by 2s: a FIT step has no such target; it stands in the note of the step`}},
		{"3 x 4:00 @ 4:00 -> 3:40/km", []string{"it is run the same, but reads back as 4:00 @ 4:00/km + 4:00 @ 3:50/km + 4:00 @ 3:40/km"}},
		{"4:00 @ 4:00 -> 3:40/km", []string{`4:00 @ 4:00 -> 3:40/km: a FIT step has one target; it is given as a band, and as it is in the note of the step`}},
		{"1km @ half -5s", []string{`1km @ half -5s: the athlete's value is not known; it stands in the note of the step`}},
		{"1km @ zone 2-3", []string{`1km @ zone 2-3: the athlete's value is not known; it stands in the note of the step`}},
		{"2 x ( 3 x ( 1:00 + 1:00 jog ) + 2:00 )", []string{"there are repeats within repeats, which not every watch follows"}},
		{"1:00 + 2 x 1:00 off 30s float + 1:00", []string{"it is run the same, but reads back as 2 x ( 1:00 + 1:00 ) off 30s float"}},
		{"name: " + long + "\n\n5km", []string{"the name is cut to \"" + strings.Repeat("ä", 127) + "\""}},
		{"tags: a\nnote: " + long + "\n\n5km", []string{"no room for \"note: " + long + "\""}},
	} {
		b, lost := writeFIT(t, parse(t, c.src))
		if diff := cmp.Diff(c.want, lost); diff != "" {
			t.Errorf("%s: %s", c.src, diff)
		}
		readFIT(t, b)
	}
}

func TestFITRefuses(t *testing.T) {
	if _, err := Write(&bytes.Buffer{}, workouts.Workout{}); !errors.Is(err, ErrSteps) {
		t.Errorf("an empty workout: %v", err)
	}
	w := parse(t, "1:00")
	for range 5000 {
		w.Items = append(w.Items, w.Items[0])
	}
	if _, err := Write(&bytes.Buffer{}, w); !errors.Is(err, ErrSteps) {
		t.Errorf("5001 steps: %v", err)
	}
	if _, _, err := Read("x", strings.NewReader("5 x 400m")); !errors.Is(err, recording.ErrFormat) {
		t.Errorf("text: %v", err)
	}
}

// A resolved workout has the athlete's paces in the fields and reads back with
// their names.
func TestFITOfResolvedPaces(t *testing.T) {
	a := athlete.New()
	a.Paces = map[string]workouts.Pace{"half": workouts.MakePace(250, workouts.PerKm)}
	w, _ := a.Resolve(parse(t, "4 x 2km @ half -5s off 3:00 jog"))
	plan, lost := planOf(w)
	if len(lost) > 0 {
		t.Error(lost)
	}
	// 250 less 5 s/km is 4.0816 m/s, stored in mm/s.
	if s := plan.Steps[0]; s.SpeedLow != 4.082 || s.SpeedHigh != 4.082 {
		t.Errorf("speed %g to %g, want 4.082", s.SpeedLow, s.SpeedHigh)
	}
	b, _ := writeFIT(t, w)
	if got := notation.Print(readFIT(t, b)); got != "4 x 2km @ half -5s off 3:00 jog" {
		t.Error(got)
	}
	// From one named pace to another, each rep has its own: 250, 245 and 240 s/km.
	a.Paces["10k"] = workouts.MakePace(240, workouts.PerKm)
	w, _ = a.Resolve(parse(t, "3 x 1km @ half -> 10k"))
	plan, _ = planOf(w)
	if len(plan.Steps) != 3 || plan.Steps[0].SpeedLow != 4 || plan.Steps[1].SpeedLow != 4.082 || plan.Steps[2].SpeedHigh != 4.167 {
		t.Errorf("steps %+v, want 4, 4.082 and 4.167 m/s", plan.Steps)
	}
}

// A step that the watch or its owner changed is read as changed, whatever its
// old note says.
func TestFITNoteThatContradictsIsNotBelieved(t *testing.T) {
	plan, _ := planOf(parse(t, "5:00 @ 15km/h"))
	plan.Steps[0].TimeS = 240
	if w, _ := FromPlan(plan); notation.Print(w) != "4:00 @ 4:00/km" {
		t.Error(notation.Print(w))
	}
	plan.Steps[0].TimeS, plan.Steps[0].SpeedLow, plan.Steps[0].SpeedHigh = 300, 4, 4
	if w, _ := FromPlan(plan); notation.Print(w) != "5:00 @ 4:10/km" {
		t.Error(notation.Print(w))
	}
}

func TestFITBytesAreDeterministic(t *testing.T) {
	seen := map[uint32]string{}
	for _, e := range library.Shelf() {
		a, _ := writeFIT(t, e.Workout)
		b, _ := writeFIT(t, e.Workout)
		if !bytes.Equal(a, b) {
			t.Errorf("%s: two writings differ", e.Name)
		}
		w, err := fit.Decode(bytes.NewReader(a))
		if err != nil {
			t.Fatal(err)
		}
		if other := seen[w.FileId.SerialNumber]; other != "" {
			t.Errorf("%s and %s have one serial number", e.Name, other)
		}
		seen[w.FileId.SerialNumber] = e.Name
	}
}

// A second, independent library (github.com/tormoder/fit) reads what was
// written: every field of every step.
func TestFITBySecondLibrary(t *testing.T) {
	src := "name: Mixed bag\n\n15:00 warm\n3 x ( 800m @ 3:45/km + 90s jog )\n4 x 1:00 @ 150-160bpm off 30s stand\n20:00 @ 80-90%max\n1mi @ zone 3\nopen @ quicker\n10:00 cool\n"
	b, _ := writeFIT(t, parse(t, src))
	file, err := fit.Decode(bytes.NewReader(b))
	if err != nil {
		t.Fatal(err)
	}
	got, err := file.Workout()
	if err != nil {
		t.Fatal(err)
	}
	if got.Workout.WktName != "Mixed bag" || got.Workout.NumValidSteps != 12 || got.Workout.Sport != fit.SportRunning {
		t.Errorf("workout %+v", got.Workout)
	}
	type step struct {
		name      string
		duration  fit.WktStepDuration
		value     uint32
		target    fit.WktStepTarget
		targetV   uint32
		low, high uint32
		intensity fit.Intensity
		notes     string
	}
	const none = math.MaxUint32
	speed := uint32(4444) // 1000 m in 225 s is 4.444 m/s
	want := []step{
		{"warm", fit.WktStepDurationTime, 900_000, fit.WktStepTargetOpen, 0, none, none, fit.IntensityWarmup, ""},
		{"work", fit.WktStepDurationDistance, 80_000, fit.WktStepTargetSpeed, 0, speed, speed, fit.IntensityActive, ""},
		{"jog", fit.WktStepDurationTime, 90_000, fit.WktStepTargetOpen, 0, none, none, fit.IntensityRest, ""},
		{"", fit.WktStepDurationRepeatUntilStepsCmplt, 1, fit.WktStepTargetOpen, 3, none, none, fit.IntensityInvalid, ""},
		{"work", fit.WktStepDurationTime, 60_000, fit.WktStepTargetHeartRate, 0, 250, 260, fit.IntensityActive, ""},
		{"rest stand", fit.WktStepDurationTime, 30_000, fit.WktStepTargetOpen, 0, none, none, fit.IntensityRest, ""},
		{"", fit.WktStepDurationRepeatUntilStepsCmplt, 4, fit.WktStepTargetOpen, 3, none, none, fit.IntensityInvalid, ""},
		{"work", fit.WktStepDurationTime, 60_000, fit.WktStepTargetHeartRate, 0, 250, 260, fit.IntensityActive, ""},
		{"work", fit.WktStepDurationTime, 1_200_000, fit.WktStepTargetHeartRate, 0, 80, 90, fit.IntensityActive, ""},
		{"work", fit.WktStepDurationDistance, 160_934, fit.WktStepTargetHeartRate, 3, none, none, fit.IntensityActive, ""},
		{"work", fit.WktStepDurationOpen, 0, fit.WktStepTargetOpen, 0, none, none, fit.IntensityActive, "open @ quicker"},
		{"cool", fit.WktStepDurationTime, 600_000, fit.WktStepTargetOpen, 0, none, none, fit.IntensityCooldown, ""},
	}
	var steps []step
	for i, s := range got.WorkoutSteps {
		if int(s.MessageIndex) != i {
			t.Errorf("step %d has index %d", i, s.MessageIndex)
		}
		steps = append(steps, step{s.WktStepName, s.DurationType, s.DurationValue, s.TargetType, s.TargetValue,
			s.CustomTargetValueLow, s.CustomTargetValueHigh, s.Intensity, s.Notes})
	}
	if diff := cmp.Diff(want, steps, cmp.AllowUnexported(step{})); diff != "" {
		t.Error(diff)
	}
}

// Every workout of the shelf, read by the second library, has the steps in the
// order in which the workout is run, repeats followed by hand.
func TestFITShelfBySecondLibrary(t *testing.T) {
	for _, e := range library.Shelf() {
		b, _ := writeFIT(t, e.Workout)
		file, err := fit.Decode(bytes.NewReader(b))
		if err != nil {
			t.Fatal(err)
		}
		got, err := file.Workout()
		if err != nil {
			t.Fatal(err)
		}
		var run []workouts.Amount
		passes := map[int]int{}
		for i := 0; i < len(got.WorkoutSteps); i++ {
			s := got.WorkoutSteps[i]
			switch s.DurationType {
			case fit.WktStepDurationRepeatUntilStepsCmplt:
				if passes[i]++; passes[i] < int(s.TargetValue) {
					i = int(s.DurationValue) - 1
				} else {
					passes[i] = 0
				}
			case fit.WktStepDurationTime:
				run = append(run, workouts.Seconds(float64(s.DurationValue)/1000))
			case fit.WktStepDurationDistance:
				run = append(run, workouts.Metres(float64(s.DurationValue)/100))
			}
		}
		var want []workouts.Amount
		for _, p := range e.Workout.Expand() {
			a := p.Step.Amount
			a.Mile, a.Metres = false, math.Round(a.Metres*100)/100
			want = append(want, a)
		}
		if diff := cmp.Diff(want, run); diff != "" {
			t.Errorf("%s: %s", e.Name, diff)
		}
	}
}

// The workout files that ship in the test data of both FIT libraries, three
// with groups of steps done over and over or one by one, and one with targets
// of its own. What they hold is said by the .csv files beside them in
// github.com/muktihari/fit: 60 s at zone 2, twice 500 m at a power, and a last
// step that ends when the heart rate falls below 125. Power is no target here.
func TestFITExamples(t *testing.T) {
	lost := func(step int, what string) string { return fmt.Sprintf("planned step %d: %s", step, what) }
	const power, below = "target power", "it ends when heart rate is below 125 beats/min; target power"
	for name, want := range map[string]struct {
		written string
		lost    []string
	}{
		"WorkoutIndividualSteps": {"1:00 warm @ zone 2 + 500m + 500m + open cool",
			[]string{lost(2, power), lost(3, power), lost(4, below)}},
		"WorkoutRepeatSteps": {"1:00 warm @ zone 2 + 3 x ( 500m + 500m ) + open cool",
			[]string{lost(2, power), lost(3, power), lost(5, below)}},
		"WorkoutRepeatGreaterThanStep": {"1:00 warm @ zone 2 + 500m + 500m + open cool",
			[]string{lost(2, power), lost(3, power),
				lost(4, "it repeats until something is reached (rule 11, value 80), so how often is not known beforehand"), lost(5, below)}},
		"WorkoutCustomTargetValues": {"1:00 warm @ 50-60%max + 500m + 500m + open cool",
			[]string{lost(2, power), lost(3, power), lost(4, below)}},
	} {
		for module, folder := range map[string]string{
			"github.com/muktihari/fit": "testdata/from_official_sdk", "github.com/tormoder/fit": "testdata/fitsdk",
		} {
			dir, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", module).Output()
			if err != nil {
				t.Skipf("no module cache: %v", err)
			}
			src, err := os.ReadFile(filepath.Join(strings.TrimSpace(string(dir)), folder, name+".fit"))
			if err != nil {
				t.Fatal(err)
			}
			w, warnings, err := Read(name, bytes.NewReader(src))
			if err != nil {
				t.Fatal(err)
			}
			if got := notation.Print(w); got != want.written {
				t.Errorf("%s of %s: %s, want %s", name, module, got, want.written)
			}
			var said []string
			for _, x := range warnings {
				said = append(said, x.Message)
			}
			if diff := cmp.Diff(want.lost, said); diff != "" {
				t.Errorf("%s of %s: %s", name, module, diff)
			}
			b, _ := writeFIT(t, w)
			if again := readFIT(t, b); notation.Print(again) != want.written {
				t.Errorf("%s written and read again: %s", name, notation.Print(again))
			}
		}
	}
}

// A watch may name a rest that is a distance "stand"; then it is walked.
func TestRestOfADistanceIsNotStood(t *testing.T) {
	for _, name := range []string{"rest stand", "stand"} {
		rest := recording.PlanStep{Index: 1, Name: name, Intensity: recording.Rest, DistanceM: 200}
		rep := recording.PlanStep{Name: "work", Intensity: recording.Active, DistanceM: 600}
		last := rep
		last.Index = 3
		w, _ := FromPlan(recording.Plan{Steps: []recording.PlanStep{rep, rest, {Index: 2, Repeat: 5, BackTo: 0}, last}})
		text := notation.Print(w)
		if _, err := notation.Parse("", text); err != nil || !strings.Contains(text, "200m walk") {
			t.Errorf("%s: %s, %v", name, text, err)
		}
	}
}

func FuzzReadFIT(f *testing.F) {
	for _, e := range library.Shelf() {
		b, _ := writeFIT(f, e.Workout)
		f.Add(b)
	}
	f.Fuzz(func(t *testing.T, b []byte) {
		w, _, err := Read("fuzz", bytes.NewReader(b))
		seconds, metres := w.Length()
		if err != nil || w.Size() == 0 || w.Size() > workouts.MaxPlanned || seconds > workouts.MaxSeconds || metres > workouts.MaxMetres {
			return // nothing, or more than the notation says, which it refuses with the place
		}
		if _, err := notation.Parse("", notation.PrintFile(w)); err != nil {
			t.Fatalf("%v\n%s", err, notation.PrintFile(w))
		}
		var out bytes.Buffer
		if _, err := Write(&out, w); err != nil && !errors.Is(err, ErrSteps) {
			t.Fatal(err)
		}
	})
}

// Names and notes are the only places that FromPlan adds to; any words may
// stand there.
func FuzzPlanWords(f *testing.F) {
	f.Add("work", "4:00 @ quicker", "rest jog", "90s", "tags: a\nnote: b")
	f.Add("rest", "", "rest", "1:30 @ half", "")
	f.Add("rest  walk", "2 x 1:00", "Rest", "\x00", "\n\n5km")
	f.Fuzz(func(t *testing.T, name, note, restName, restNote, about string) {
		step := recording.PlanStep{Name: name, Notes: note, Intensity: recording.Active, TimeS: 240}
		rest := recording.PlanStep{Index: 1, Name: restName, Notes: restNote, Intensity: recording.Rest, TimeS: 90}
		again := step
		again.Index = 3
		plan := recording.Plan{About: about, Steps: []recording.PlanStep{step, rest, {Index: 2, Repeat: 3, BackTo: 0}, again}}
		w, _ := FromPlan(plan)
		if seconds, _ := w.Length(); seconds != 4*240+3*90 {
			t.Fatalf("%s: %g s", notation.Print(w), seconds)
		}
		if _, err := notation.Parse("", notation.PrintFile(w)); err != nil {
			t.Fatalf("%v\n%s", err, notation.PrintFile(w))
		}
	})
}
