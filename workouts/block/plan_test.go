package block

import (
	"errors"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
)

const autumn = `# eight weeks to the half marathon
name:  Autumn   half
starts: 2026-09-07   # a Monday

week 1: 45-50km
  Tuesday: four-minutes-each-quicker   # by feel
  thu: 2 x (5 x 400m off 200m jog) off 800m jog
  sun: 1:30:00 easy
week 2: 5h
week 3
  mon: 8km easy
WEEK 12: 28.5 - 30 mi
`

const autumnCanonical = `name: Autumn half
starts: 2026-09-07

week 1: 45-50km
  tue: four-minutes-each-quicker
  thu: 2 x ( 5 x 400m off 200m jog ) off 800m jog
  sun: 1:30:00 easy

week 2: 5:00:00

week 3
  mon: 8km easy

week 12: 28.5-30mi
`

func TestParsePlan(t *testing.T) {
	p, err := ParsePlan("autumn.plan", autumn)
	if err != nil {
		t.Fatal(err)
	}
	if got := printPlan(p); got != autumnCanonical {
		t.Errorf("prints as\n%s\nwant\n%s", got, autumnCanonical)
	}
	if p.Name != "Autumn half" || !p.Starts.Equal(utc(9, 7, 0)) || len(p.Weeks) != 4 {
		t.Errorf("name %q, starts %s, %d weeks", p.Name, p.Starts, len(p.Weeks))
	}
	if v := p.Weeks[0].Volume; v != (Volume{Low: 45000, High: 50000}) {
		t.Errorf("volume of week 1 is %+v", v)
	}
	if v := p.Weeks[1].Volume; v != (Volume{Low: 18000, High: 18000, InTime: true}) {
		t.Errorf("volume of week 2 is %+v", v)
	}
	near(t, "low volume of week 12", p.Weeks[3].Volume.Low, 28.5*1609.344, 1e-6)
	if s := p.Weeks[0].Sessions; s[0].Day != time.Tuesday || s[0].Name != "four-minutes-each-quicker" || s[1].Name != "" {
		t.Errorf("sessions %+v", s)
	}
}

// Every mistake has its place, and all are told.
func TestPlanMistakes(t *testing.T) {
	const head = "starts: 2026-09-07\n"
	for _, c := range []struct {
		src, place, code, message, hint string
	}{
		{"week 1: 45km\n", "1:1", codeHeader, "does not say when it starts", "starts: 2026-09-07"},
		{"starts: soon", "1:9", codeHeader, "this is no date", "2026-09-07"},
		{"starts: 2026-02-29", "1:9", codeHeader, "this is no date", ""},
		{head + head, "2:1", codeHeader, "the start stands once", ""},
		{head + "name: a\nname: b", "3:1", codeHeader, "the name stands once", ""},
		{head + "a line", "2:1", codeLine, "this is no line of a plan", "week N"},
		{head + "stats: x", "2:1", codeLine, `unknown word "stats"`, `did you mean "starts"`},
		{head + "week 0", "2:6", codeWeek, "weeks are numbered from 1", ""},
		{head + "week 521", "2:6", codeWeek, "weeks are numbered from 1", "up to 520"},
		{head + "week 2\nweek 2", "3:6", codeWeek, "week 2 stands behind week 2", "each once"},
		{head + "week 1: far", "2:9", codeWeek, "this is no volume", "45-50km"},
		{head + "week 1: 50-45km", "2:9", codeWeek, "this is no volume", ""},
		{head + "week 1: 0km", "2:9", codeWeek, "this is no volume", ""},
		{head + "week 1: 90", "2:9", codeWeek, "this is no volume", ""},
		{head + "  tue: 5km easy", "2:3", codeDay, "a day without a week", "week 1"},
		{head + "week 1\n  tue:", "3:3", codeDay, "a day without a workout", ""},
		{head + "week 1\n  tue: 5 x 4:00 of 90s jog", "3:17", "", `unknown manner "of"`, `did you mean "off"?`},
		{head + "week 1\n\ttüs: x", "3:2", codeLine, "this is no line of a plan", ""},
		{head + "week 1\n2026-02-30: 5km", "3:1", codeDay, "this is no date", ""},
		{head + "week 1\n2026-09-10:", "3:1", codeDay, "a day without a workout", "rest"},
		{head + "week 1\n 2026-09-10: 5 x 4:00 of 90s jog # of", "3:23", "", `unknown manner "of"`, `did you mean "off"?`},
		{"\xff", "1:1", codeLine, "no text of a block", "UTF-8"},
	} {
		_, err := ParsePlan("p", c.src)
		var found workouts.Diagnostics
		if !errors.As(err, &found) {
			t.Errorf("%q: %v", c.src, err)
			continue
		}
		d := found[0]
		if place := fmt.Sprintf("%d:%d", d.Line, d.Column); place != c.place || c.code != "" && d.Code != c.code ||
			!strings.Contains(d.Message, c.message) || !strings.Contains(d.Hint, c.hint) {
			t.Errorf("%q: %s %s\n%s\n%s", c.src, place, d.Code, d.Message, d.Hint)
		}
	}
	_, err := ParsePlan("p", "starts: x\nweek z\nweek 1: y\n tue: 5 x")
	if found := (workouts.Diagnostics)(nil); !errors.As(err, &found) || len(found) != 4 {
		t.Errorf("four mistakes: %v", err)
	}
	many := head + "week 1\n" + strings.Repeat("tue: 5km easy\n", mostPlanned+1)
	if _, err := ParsePlan("p", many); err == nil || !strings.Contains(err.Error(), "more than 14 sessions") {
		t.Errorf("many sessions: %v", err)
	}
}

func TestResolve(t *testing.T) {
	w, err := notation.Parse("x", "5 x 4:00 off 90s jog")
	if err != nil {
		t.Fatal(err)
	}
	entries := []library.Entry{{Name: "four-minutes-each-quicker", Workout: w}}
	p, err := ParsePlan("autumn.plan", autumn)
	if err != nil {
		t.Fatal(err)
	}
	if err := p.Resolve("autumn.plan", autumn, entries); err != nil {
		t.Fatal(err)
	}
	if got := notation.Print(p.Weeks[0].Sessions[0].Workout); got != "5 x 4:00 off 1:30 jog" {
		t.Errorf("resolved to %s", got)
	}
	entries[0].Name = "four-minutes-each-quickr"
	err = p.Resolve("autumn.plan", autumn, entries)
	want := `autumn.plan:6:12: the library has no workout "four-minutes-each-quicker"
      Tuesday: four-minutes-each-quicker   # by feel
               ^^^^^^^^^^^^^^^^^^^^^^^^^
did you mean "four-minutes-each-quickr"?`
	if err == nil || err.Error() != want {
		t.Errorf("got\n%v\nwant\n%s", err, want)
	}
}

var planFields = cmp.Options{cmpopts.IgnoreUnexported(PlannedSession{}, PlannedWeek{})}

// Printing then parsing gives the same plan.
func TestPlanRoundTrip(t *testing.T) {
	texts := []string{"four-minutes", "8km easy", "5 x 4:00 @ 3:50/km off 1:30 jog", "10:00 warm + 3 x ( 2 x 1km off 45s stand ) off 4:00 walk + 1mi cool"}
	rapid.Check(t, func(t *rapid.T) {
		p := Plan{Name: rapid.SampledFrom([]string{"", "Autumn half", "8 Wochen, größer"}).Draw(t, "name"),
			Starts: time.Date(2026, 1, rapid.IntRange(1, 400).Draw(t, "day"), 0, 0, 0, 0, time.UTC)}
		number := 0
		for range rapid.IntRange(0, 5).Draw(t, "weeks") {
			number += rapid.IntRange(1, 9).Draw(t, "later")
			w := PlannedWeek{Number: number}
			low := rapid.IntRange(0, 100).Draw(t, "low")
			high := low + rapid.IntRange(0, 30).Draw(t, "wide")
			switch kind := rapid.IntRange(0, 2).Draw(t, "unit"); {
			case low == 0:
			case kind == 0:
				w.Volume = Volume{Low: float64(low) * 1000, High: float64(high) * 1000}
			case kind == 1:
				w.Volume = Volume{Low: float64(low) * figures.MetresPerMile, High: float64(high) * figures.MetresPerMile, Miles: true}
			default:
				w.Volume = Volume{Low: float64(60 * low), High: float64(60 * high), InTime: true}
			}
			for range rapid.IntRange(0, 3).Draw(t, "sessions") {
				s := PlannedSession{Day: time.Weekday(rapid.IntRange(0, 6).Draw(t, "weekday"))}
				if s.Name = rapid.SampledFrom(texts).Draw(t, "workout"); s.Name != texts[0] {
					workout, err := notation.Parse("w", s.Name)
					if err != nil {
						t.Fatal(err)
					}
					s.Name, s.Workout = "", workout
				}
				w.Sessions = append(w.Sessions, s)
			}
			p.Weeks = append(p.Weeks, w)
		}
		for range rapid.IntRange(0, 3).Draw(t, "changes") {
			day := p.Starts.AddDate(0, 0, rapid.IntRange(0, 30).Draw(t, "date"))
			s := PlannedSession{Day: day.Weekday(), Date: day, Rest: rapid.Bool().Draw(t, "rest")}
			if !s.Rest {
				s.Name = texts[0]
			}
			p.Changes = append(p.Changes, s)
		}
		again, err := ParsePlan("p", printPlan(p))
		if err != nil {
			t.Fatalf("%s\n%v", printPlan(p), err)
		}
		if diff := cmp.Diff(p, again, planFields, cmpopts.EquateApprox(0, 1e-6)); diff != "" {
			t.Fatalf("%s\n%s", printPlan(p), diff)
		}
	})
}

func FuzzPlan(f *testing.F) {
	f.Add(autumn)
	f.Add(autumnCanonical)
	f.Add("starts: 2026-09-07\nweek 1: 1:00:00-2:00:00\n  tue: 5 x 4:00 of")
	f.Add("starts: 2026-09-07\nweek 1: 40km\n tue: rest\n tue: 8km easy\n2026-09-09: REST\n2026-09-09: 5km # late")
	f.Add("starts: 9999-12-31\nweek 520: 999.9996km\nsun: open\n\x00: \u202e")
	f.Fuzz(func(t *testing.T, src string) {
		p, err := ParsePlan("p", src)
		if err != nil {
			var found workouts.Diagnostics
			if !errors.As(err, &found) || len(found) == 0 {
				t.Fatalf("%q: %v is no list of mistakes", src, err)
			}
			for _, d := range found {
				if d.Line < 1 || d.Column < 1 || d.Length < 1 || d.Line > strings.Count(src, "\n")+1 {
					t.Fatalf("%q: place %d:%d+%d", src, d.Line, d.Column, d.Length)
				}
			}
			return
		}
		text := printPlan(p)
		again, err := ParsePlan("p", text)
		if err != nil {
			t.Fatalf("%q prints as %q, which is wrong: %v", src, text, err)
		}
		if printPlan(again) != text {
			t.Fatalf("%q prints as %q, then as %q", src, text, printPlan(again))
		}
	})
}

// printPlan prints a plan in its canonical form, which ParsePlan reads back.
func printPlan(p Plan) string {
	var b strings.Builder
	if p.Name != "" {
		fmt.Fprintf(&b, "name: %s\n", p.Name)
	}
	fmt.Fprintf(&b, "starts: %s\n", p.Starts.Format(time.DateOnly))
	for _, w := range p.Weeks {
		fmt.Fprintf(&b, "\nweek %d", w.Number)
		if v := w.Volume.String(); v != "" {
			fmt.Fprintf(&b, ": %s", v)
		}
		b.WriteByte('\n')
		for _, s := range w.Sessions {
			fmt.Fprintf(&b, "  %s: %s\n", DayWord(s.Day), s)
		}
	}
	if len(p.Changes) > 0 {
		b.WriteByte('\n')
	}
	for _, s := range p.Changes {
		fmt.Fprintf(&b, "%s: %s\n", s.Date.Format(time.DateOnly), s)
	}
	return b.String()
}
