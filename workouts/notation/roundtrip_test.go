package notation

import (
	"math"
	"strings"
	"testing"
	"unicode/utf8"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"github.com/google/go-cmp/cmp"
	"pgregory.net/rapid"
)

// Generators of everything that can be written, in normal form.

func genAmount(stand bool) *rapid.Generator[workouts.Amount] {
	return rapid.Custom(func(t *rapid.T) workouts.Amount {
		most := 4
		if stand {
			most = 2
		}
		switch rapid.IntRange(0, most).Draw(t, "amount kind") {
		case 0:
			return workouts.Amount{Kind: workouts.Open}
		case 1:
			return workouts.Seconds(float64(rapid.IntRange(1, 59).Draw(t, "s")))
		case 2:
			return workouts.Seconds(float64(rapid.IntRange(1, 4*3600).Draw(t, "s")))
		case 3:
			// Miles are written to a thousandth at most.
			return workouts.Miles(float64(rapid.IntRange(1, 26000).Draw(t, "mi/1000")) / 1000)
		}
		return workouts.Metres(float64(rapid.IntRange(1, 42195).Draw(t, "m")))
	})
}

func genOffset(t *rapid.T, what string) workouts.PaceOffset {
	return workouts.PaceOffset{
		Seconds: float64(rapid.IntRange(1, 600).Draw(t, what)) / 10,
		Unit:    rapid.SampledFrom([]workouts.PaceUnit{workouts.AthleteUnit, workouts.PerKm, workouts.PerMile}).Draw(t, "unit"),
	}
}

func genPace(t *rapid.T) workouts.Pace {
	switch rapid.IntRange(0, 4).Draw(t, "pace kind") {
	case 0:
		return workouts.MakePace(float64(rapid.IntRange(1500, 9000).Draw(t, "pace"))/10, workouts.PerMile)
	case 1:
		return workouts.MakePace(float64(rapid.IntRange(400, 2500).Draw(t, "speed"))/100, workouts.KmPerHour)
	case 2:
		return workouts.MakePace(float64(rapid.IntRange(300, 1500).Draw(t, "speed"))/100, workouts.MilesPerH)
	case 3:
		p := workouts.Pace{Name: rapid.SampledFrom([]string{"half", "marathon", "10k", "5k", "threshold", "1500m", "t_2"}).Draw(t, "name")}
		if rapid.Bool().Draw(t, "offset") {
			p.Offset = genOffset(t, "offset")
			if rapid.Bool().Draw(t, "negative") {
				p.Offset.Seconds = -p.Offset.Seconds
			}
		}
		return p
	}
	return workouts.MakePace(float64(rapid.IntRange(1500, 9000).Draw(t, "pace"))/10, workouts.PerKm)
}

func genHeart(t *rapid.T) workouts.HeartRange {
	unit := rapid.SampledFrom([]workouts.HeartUnit{workouts.BPM, workouts.PercentMax, workouts.PercentReserve, workouts.Zone}).Draw(t, "heart unit")
	least, most := 40, 100
	switch unit {
	case workouts.BPM:
		least, most = 60, 220
	case workouts.Zone:
		least, most = 1, 9
	}
	h := workouts.HeartRange{Unit: unit}
	h.Low = float64(rapid.IntRange(least, most).Draw(t, "low"))
	h.High = float64(rapid.IntRange(int(h.Low), most).Draw(t, "high"))
	if unit != workouts.Zone {
		switch rapid.IntRange(0, 2).Draw(t, "open end") {
		case 0:
			h.Low = 0
		case 1:
			h.High = 0
		}
	}
	if unit == workouts.BPM {
		h.LowBPM, h.HighBPM = h.Low, h.High
	}
	return h
}

func genTarget(t *rapid.T) workouts.Target {
	var out workouts.Target
	switch rapid.IntRange(0, 6).Draw(t, "target kind") {
	case 0:
		out = workouts.Target{Kind: workouts.PaceTarget, From: genPace(t)}
	case 1:
		out = workouts.Target{Kind: workouts.BandTarget, From: genPace(t), To: genPace(t)}
	case 2:
		out = workouts.Target{Kind: workouts.ProgressionTarget, From: genPace(t), To: genPace(t)}
	case 3:
		out = workouts.Target{Kind: workouts.QuickerTarget}
		if rapid.Bool().Draw(t, "by") {
			out.By = genOffset(t, "by")
		}
	case 4:
		return workouts.Target{Kind: workouts.HeartTarget, Heart: genHeart(t)}
	default:
		return out
	}
	if rapid.Bool().Draw(t, "tolerance") {
		out.Tolerance = genOffset(t, "tolerance")
		// Beside an absolute pace the unit is never left to the athlete.
		if beside := besideTarget(out); out.Tolerance.Unit == workouts.AthleteUnit {
			out.Tolerance.Unit = beside
		}
	}
	return out
}

func genStep(t *rapid.T, manners []workouts.Manner) workouts.Step {
	m := rapid.SampledFrom(manners).Draw(t, "manner")
	return workouts.Step{Amount: genAmount(m == workouts.Stand).Draw(t, "amount"), Manner: m, Target: genTarget(t)}
}

func genItem(t *rapid.T, depth int) workouts.Item {
	it := workouts.Item{Count: 1}
	if rapid.Bool().Draw(t, "repeated") {
		it.Count = rapid.IntRange(2, 12).Draw(t, "count")
		if rapid.Bool().Draw(t, "rest") {
			rest := genStep(t, []workouts.Manner{workouts.Unsaid, workouts.Easy, workouts.Steady, workouts.Float, workouts.Jog, workouts.Walk, workouts.Stand})
			it.Rest = &rest
		}
		if depth < 3 && rapid.IntRange(0, 2).Draw(t, "group") == 0 {
			n := rapid.IntRange(1, 3).Draw(t, "items")
			for range n {
				it.Body = append(it.Body, genItem(t, depth+1))
			}
			return it
		}
	}
	it.Step = genStep(t, workouts.Manners)
	return it
}

func genWorkout(t *rapid.T) workouts.Workout {
	var w workouts.Workout
	for range rapid.IntRange(1, 4).Draw(t, "items") {
		w.Items = append(w.Items, genItem(t, 0))
	}
	return w.Normal()
}

func TestParsePrintGivesTheSameWorkout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := genWorkout(t)
		if seconds, metres := w.Length(); w.Size() > workouts.MaxPlanned || seconds > workouts.MaxSeconds || metres > workouts.MaxMetres {
			t.Skip("too long to be written")
		}
		text := Print(w)
		back, err := Parse("w", text)
		if err != nil {
			t.Fatalf("%s\n%v", text, err)
		}
		// Exactly: every number that can be written is read back to the last bit.
		if diff := cmp.Diff(w, back); diff != "" {
			t.Fatalf("%s\n%s", text, diff)
		}
		if again := Print(back); again != text {
			t.Fatalf("printed %q, then %q", text, again)
		}
	})
}

func TestParsePrintFileGivesTheSameWorkout(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		w := genWorkout(t)
		if seconds, metres := w.Length(); w.Size() > workouts.MaxPlanned || seconds > workouts.MaxSeconds || metres > workouts.MaxMetres {
			t.Skip("too long to be written")
		}
		w.Name = rapid.StringMatching(`([a-zäöü0-9#:+()]+( [a-zé0-9#:+()]+){0,3})?`).Draw(t, "name")
		w.Tags = rapid.SliceOfN(rapid.StringMatching(`[a-z0-9#:-]+`), 0, 3).Draw(t, "tags")
		w.Note = rapid.StringMatching(`([a-z:#]+( [a-z:#]+){0,3}(\n[a-z:#]+){0,2})?`).Draw(t, "note")
		if len(w.Tags) == 0 {
			w.Tags = nil
		}
		text := PrintFile(w)
		back, err := Parse("w", text)
		if err != nil {
			t.Fatalf("%s\n%v", text, err)
		}
		if diff := cmp.Diff(w, back); diff != "" {
			t.Fatalf("%s\n%s", text, diff)
		}
		if formatted, err := Format("w", text); err != nil || formatted != text {
			t.Fatalf("printed\n%s\nformatted\n%s\n%v", text, formatted, err)
		}
	})
}

// check holds any text at all to what is promised of it.
func check(t *testing.T, src string) {
	t.Helper()
	w, err := Parse("f", src)
	if err != nil {
		checkDiagnostics(t, src, err)
		return
	}
	text := Print(w)
	back, err := Parse("f", text)
	if err != nil {
		t.Fatalf("%q was read, printed as %q, and not read again: %v", src, text, err)
	}
	if diff := cmp.Diff(w.Items, back.Items); diff != "" {
		t.Fatalf("%q, printed %q:\n%s", src, text, diff)
	}
	if again := Print(back); again != text {
		t.Fatalf("%q printed as %q, then as %q", src, text, again)
	}
	if n := len(w.Expand()); n != w.Size() || n > workouts.MaxPlanned || n == 0 {
		t.Fatalf("%q unrolls into %d steps, Size says %d", src, n, w.Size())
	}
	formatted, err := Format("f", src)
	if err != nil {
		t.Fatalf("%q was read but not formatted: %v", src, err)
	}
	back, err = Parse("f", formatted)
	if err != nil {
		t.Fatalf("%q formatted as %q: %v", src, formatted, err)
	}
	if diff := cmp.Diff(w, back); diff != "" {
		t.Fatalf("%q formatted as %q:\n%s", src, formatted, diff)
	}
	if again, err := Format("f", formatted); err != nil || again != formatted {
		t.Fatalf("%q formatted as %q, then as %q", src, formatted, again)
	}
	if a, b := strings.Count(src, "#"), strings.Count(formatted, "#"); a > 0 && b == 0 && strings.Contains(src, "\n#") {
		t.Fatalf("%q lost its comments: %q", src, formatted)
	}
	if o := athlete.New().Outline(w); o.Speed(0, o.Seconds.Value) < 0 || math.IsInf(o.Speed(0, o.Seconds.Value), 0) {
		t.Fatalf("%q has the speed %v", src, o.Speed(0, o.Seconds.Value))
	}
}

func checkDiagnostics(t *testing.T, src string, err error) {
	t.Helper()
	ds, ok := err.(Diagnostics)
	if !ok || len(ds) == 0 || len(ds) > maxDiagnostics {
		t.Fatalf("%q: error %T of length %d", src, err, len(ds))
	}
	source := lines(src)
	for i, d := range ds {
		if d.Line < 1 || d.Line > len(source) || d.Column < 1 || d.Column > utf8.RuneCountInString(source[d.Line-1])+1 || d.Length < 1 {
			t.Fatalf("%q: %+v is out of the text", src, d)
		}
		if d.Message == "" || d.Hint == "" || d.Code == "" {
			t.Fatalf("%q: %+v does not say all", src, d)
		}
		if i > 0 && (ds[i-1].Line > d.Line || ds[i-1].Line == d.Line && ds[i-1].Column > d.Column) {
			t.Fatalf("%q: diagnostics out of order", src)
		}
		if len(d.String()) > 2000 {
			t.Fatalf("%q: a diagnostic of %d bytes", src, len(d.String()))
		}
	}
}

func FuzzParse(f *testing.F) {
	for _, s := range sessions {
		f.Add(s.src)
	}
	for _, m := range mistakes {
		f.Add(m.src)
	}
	for _, c := range formatCases {
		f.Add(c.in)
	}
	f.Fuzz(func(t *testing.T, src string) { check(t, src) })
}
