package notation_test

import (
	"bytes"
	"encoding/json"
	"errors"
	"math"
	"reflect"
	"slices"
	"strings"
	"sync"
	"testing"
	"unicode/utf8"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/session"
	"pgregory.net/rapid"
)

// files are simulated recordings of all kinds of sessions and devices, as FIT.
var files = sync.OnceValue(func() (all [][]byte) {
	kinds := simulate.Kinds()
	for i := 0; i < len(kinds); i += 5 {
		s := kinds[i].Make(uint64(i))
		devices := simulate.DevicesFor(s.Place)
		r, _ := simulate.Run(s, devices[i%len(devices)], uint64(i))
		var b bytes.Buffer
		if err := simulate.WriteFIT(&b, r); err != nil {
			panic(err)
		}
		all = append(all, b.Bytes())
	}
	return all
})

// drawRecording draws a recording: as the device wrote it, damaged in the file,
// or with values that no runner has. Nil when nothing can be read any more.
func drawRecording(t *rapid.T) *recording.Recording {
	raw := slices.Clone(files()[rapid.IntRange(0, len(files())-1).Draw(t, "file")])
	harm := rapid.IntRange(0, 5).Draw(t, "harm")
	switch harm {
	case 1:
		raw = raw[:rapid.IntRange(0, len(raw)).Draw(t, "cut")]
	case 2:
		for range rapid.IntRange(1, 20).Draw(t, "flips") {
			raw[rapid.IntRange(0, len(raw)-1).Draw(t, "at")] = rapid.Byte().Draw(t, "byte")
		}
	}
	recordings, err := recording.Read("run.fit", bytes.NewReader(raw))
	if err != nil || len(recordings) == 0 {
		return nil
	}
	r := recordings[0]
	n := r.Len()
	if harm < 3 || n == 0 {
		return r
	}
	from := rapid.IntRange(0, n-1).Draw(t, "from")
	to := rapid.IntRange(from, n).Draw(t, "to")
	for _, s := range []*recording.Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude} {
		if len(s.Value) == 0 || rapid.Bool().Draw(t, "spared") {
			continue
		}
		switch harm {
		case 3:
			for i := from; i < to; i++ {
				s.Valid[i] = false
			}
		case 4:
			by := rapid.SampledFrom([]float64{0, -1, 1e-9, 1000, 1e12}).Draw(t, "times")
			for i := from; i < to; i++ {
				s.Value[i] *= by
			}
		case 5:
			*s = recording.Stream{}
		}
	}
	return r
}

// checkWhole is check from one end to the other, on any plan and any recording:
// each planned rep is answered for once, figures are numbers or known not to be,
// and every way of printing prints.
func checkWhole(t *rapid.T) {
	drawn := notation.GenWorkout(t)
	if seconds, metres := drawn.Length(); drawn.Size() > 400 || seconds > workouts.MaxSeconds || metres > workouts.MaxMetres {
		t.Skip("too long")
	}
	plan, err := notation.Parse("plan", notation.Print(drawn))
	if err != nil {
		t.Fatal(err)
	}
	r := drawRecording(t)
	if r == nil {
		t.Skip("nothing to read is left of it")
	}
	s, err := segment.Split(r)
	if err != nil {
		t.Skip("too short")
	}
	athlete := athlete.New()
	if rapid.Bool().Draw(t, "known athlete") {
		athlete.MaxHR, athlete.RestHR = 186, 48
		athlete.Paces = map[string]workouts.Pace{"half": workouts.MakePace(264, workouts.PerKm)}
	}
	athlete.Miles = rapid.Bool().Draw(t, "miles")
	plan, warnings := athlete.Resolve(plan)
	result, err := match.Check(plan, s, match.Options{PaceTolerancePct: 3})
	if errors.Is(err, match.ErrNothingPlanned) || errors.Is(err, match.ErrNothingRun) {
		t.Skip(err)
	}
	if err != nil {
		t.Fatal(err)
	}
	repsAnswerFor(t, plan, result)
	finite(t, "result", reflect.ValueOf(*result))
	prints(t, session.Check(result, s, session.Options{Page: true, Miles: athlete.Miles, Warnings: warnings}))
	prints(t, session.Split(s, session.Options{Page: true, Miles: athlete.Miles}))
}

// repsAnswerFor holds the reps to those that the plan unrolls into: each once,
// in order, and any number of extra ones besides; none of a different session.
func repsAnswerFor(t *rapid.T, plan workouts.Workout, result *match.Result) {
	if result.Verdict == match.Different {
		if len(result.Reps) > 0 {
			t.Fatalf("%s: a different session has %d reps", notation.Print(plan), len(result.Reps))
		}
		return
	}
	var want, got []int
	for _, p := range plan.Expand() {
		if p.Role == segment.Work {
			want = append(want, p.Index)
		}
	}
	extras := 0
	for _, rep := range result.Reps {
		switch {
		case rep.Step >= 0:
			got = append(got, rep.Step)
		case rep.Outcome != match.Extra:
			t.Fatalf("a rep of no step is %s", rep.Outcome)
		default:
			extras++
		}
	}
	if slices.Sort(got); !slices.Equal(got, want) {
		t.Fatalf("%s: reps of the steps %v, want %v and %d extra ones", notation.Print(plan), got, want, extras)
	}
}

// infinite are the fields that may be +Inf: a pace while standing.
var infinite = []string{"Pace", "Drift", "DriftPct", "DeltaSPerKm", "FadePct", "MeanPace", "Fit"}

// finite says that no figure is infinite but a pace while standing, and no
// count of seconds negative.
func finite(t *rapid.T, path string, v reflect.Value) {
	switch v.Kind() {
	case reflect.Float64:
		name := strings.TrimRight(path[strings.LastIndexByte(path, '.')+1:], "[]")
		if math.IsInf(v.Float(), 0) && !slices.Contains(infinite, name) {
			t.Fatalf("%s is %v", path, v.Float())
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finite(t, path+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Slice:
		for i := range v.Len() {
			finite(t, path+"[]", v.Index(i))
		}
	case reflect.Pointer:
		if !v.IsNil() {
			finite(t, path, v.Elem())
		}
	}
}

// prints lays a report out in every way; JSON parses, text is text.
func prints(t *rapid.T, r *report.Report) {
	var b bytes.Buffer
	if err := r.JSON(&b); err != nil {
		t.Fatal(err)
	}
	var fields map[string]any
	if err := json.Unmarshal(b.Bytes(), &fields); err != nil || fields["schema"] == nil || bytes.Count(b.Bytes(), []byte("\n")) != 1 {
		t.Fatalf("%v in %s", err, &b)
	}
	for _, page := range []report.Page{{}, {Columns: 40, Styled: true}, {Columns: 1}} {
		b.Reset()
		if err := r.Text(&b, page); err != nil {
			t.Fatal(err)
		}
		for _, word := range []string{"NaN", "Inf", "%!"} {
			if bytes.Contains(b.Bytes(), []byte(word)) {
				t.Fatalf("%s in\n%s", word, &b)
			}
		}
		if !utf8.Valid(b.Bytes()) {
			t.Fatalf("no text: %q", b.Bytes())
		}
	}
	for name, render := range map[string]func() error{
		"markdown": func() error { return r.Markdown(&b) },
		"csv":      func() error { return r.CSV(&b) },
		"html":     func() error { return report.HTML(&b, r) },
	} {
		b.Reset()
		if err := render(); err != nil || b.Len() == 0 && name != "csv" {
			t.Fatalf("%s: %v, %d bytes", name, err, b.Len())
		}
	}
}

func TestCheckWhole(t *testing.T) { rapid.Check(t, checkWhole) }

func FuzzCheckWhole(f *testing.F) { f.Fuzz(rapid.MakeFuzz(checkWhole)) }
