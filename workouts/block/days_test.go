package block

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"
)

// Sessions of the table below: "30" is 30 minutes of easy running, "8k" 8 km of it,
// "5x1k" reps, "3x1k" the same cut to three, "rest" a day off.
func readWant(day time.Time, text string) want {
	w := want{day: day, rest: text == "rest"}
	w.seconds, w.metres = readAmount(text)
	return w
}

func readAmount(text string) (seconds, metres float64) {
	if km, ok := strings.CutSuffix(text, "k"); ok && !strings.Contains(text, "x") {
		x, _ := strconv.ParseFloat(km, 64)
		return 0, 1000 * x
	}
	x, _ := strconv.ParseFloat(text, 64)
	return 60 * x, 0
}

// Twenty and more kinds of day, and what a coach would say: common practice, no source.
// Days are numbered from Monday; 8 is the Monday after. "1:30,25" is two sessions on day 1.
var daysOfCoach = []struct {
	name, planned, run string
	today              int
	says               string // of each planned session in order: outcome, runs, share in per cent when not 100
}{
	{"as planned", "1:5x1k", "1:5x1k", 9, "done 0"},
	{"an easy run a little longer", "1:45", "1:47.7", 9, "done 0"},
	{"a run a little shorter", "1:16k", "1:15k", 9, "done 0"},
	{"an easy run as two", "1:55", "1:30,25", 9, "done 0+1"},
	{"an easy run as two, and strides of reps besides", "1:55", "1:30,5x1k,25", 9, "done 0+2"},
	{"two planned, run as one", "1:30,25", "1:55", 9, "done 0; done 0"},
	{"two planned, two run", "1:30,45", "1:44,31", 9, "done 1; done 0"},
	{"reps and an easy run on one day, in the other order", "1:5x1k,30", "1:31,5x1k", 9, "done 1; done 0"},
	{"two planned, one run", "1:45,20", "1:44", 9, "done 0; missed"},
	{"a run more than planned", "1:45", "1:44,20", 9, "done 0"},
	{"rest", "1:rest", "", 9, "done"},
	{"run on a day of rest", "1:rest", "1:30", 9, "replaced 0"},
	{"reps on the next day", "1:5x1k", "2:5x1k", 9, "moved 0"},
	{"reps before their day", "2:5x1k", "1:5x1k", 1, "moved 0"},
	{"two days changed over", "1:5x1k 2:40", "1:40 2:5x1k", 9, "moved 1; moved 0"},
	{"the long run on Saturday instead", "6:30 7:25k", "6:25k 7:30", 9, "moved 1; moved 0"},
	{"over the border of the week", "7:25k", "8:25k", 9, "moved 0"},
	{"too late to be the same", "1:5x1k", "5:5x1k", 9, "missed"},
	{"reps cut", "1:5x1k", "1:3x1k", 9, "cut 0 60"},
	{"reps moved and cut", "1:5x1k", "2:3x1k", 9, "moved 0 60"},
	{"an easy run cut", "1:60", "1:40", 9, "cut 0 67"},
	{"an easy run cut, in two", "1:60", "1:25,20", 9, "cut 0+1 75"},
	{"an easy run drawn out, in two", "1:55", "1:36,30", 9, "done 0+1 120"},
	{"an easy run drawn out", "1:40", "1:60", 9, "done 0 150"},
	{"drawn out, and a longer one missed: nothing was moved", "1:40 4:60", "1:60", 9, "done 0 150; missed"},
	{"easy instead of reps", "1:5x1k", "1:40", 9, "replaced 0"},
	{"reps instead of easy", "1:40", "1:5x1k", 9, "replaced 0"},
	{"far more than planned", "1:30", "1:25k", 9, "replaced 0"},
	{"nothing, and the day is over", "1:40", "", 2, "missed"},
	{"nothing yet today", "1:40", "", 1, "ahead"},
	{"an easy run today is not tomorrow's", "2:40", "1:40", 1, "ahead"},
	{"a day of rest still to come", "2:rest", "", 1, "ahead"},
	{"the same easy run each day, one day missed", "1:40 2:40 3:40", "1:40 3:40", 9, "done 0; missed; done 1"},
	{"one of two equal days of reps", "1:5x1k 4:5x1k", "4:5x1k", 9, "missed; done 0"},
}

func TestDaysAsACoachWouldSay(t *testing.T) {
	day := func(n string) time.Time {
		d, err := strconv.Atoi(n)
		if err != nil {
			t.Fatal(err)
		}
		return time.Date(2026, 9, 6+d, 0, 0, 0, 0, time.UTC)
	}
	each := func(text string, do func(day time.Time, session string)) {
		for _, d := range strings.Fields(text) {
			n, list, _ := strings.Cut(d, ":")
			for _, s := range strings.Split(list, ",") {
				do(day(n), s)
			}
		}
	}
	if len(daysOfCoach) < 20 {
		t.Error("these are not twenty kinds of day")
	}
	for _, c := range daysOfCoach {
		var wants []want
		var gots []got
		var planned, run []string
		each(c.planned, func(d time.Time, s string) { wants, planned = append(wants, readWant(d, s)), append(planned, s) })
		each(c.run, func(d time.Time, s string) {
			seconds, metres := readAmount(s)
			if strings.Contains(s, "x") {
				seconds, metres = 2400, 8000 // which are not what reps are known by
			}
			if metres == 0 {
				metres = seconds / 60 * 200 // 5:00/km
			} else if seconds == 0 {
				seconds = metres * 0.3
			}
			gots, run = append(gots, got{d, seconds, metres}), append(run, s)
		})
		fits := func(i, j int) agreement {
			switch reps := strings.Contains(run[j], "x"); {
			case reps != strings.Contains(planned[i], "x"):
				return agreement{0, math.NaN()}
			case reps && planned[i] == run[j]:
				return agreement{1, 1}
			case reps:
				return agreement{0.6, 0.6}
			}
			return agreementOf(wants[i].share(gots[j].seconds, gots[j].metres))
		}
		var said []string
		for _, s := range settle(wants, gots, day(strconv.Itoa(c.today)), fits) {
			var runs []string
			for _, j := range s.runs {
				runs = append(runs, strconv.Itoa(j))
			}
			text := strings.TrimSpace(string(s.outcome) + " " + strings.Join(runs, "+"))
			if !math.IsNaN(s.share) && s.share != 1 {
				text += fmt.Sprintf(" %.0f", 100*s.share)
			}
			said = append(said, text)
		}
		if got := strings.Join(said, "; "); got != c.says {
			t.Errorf("%s: %q, want %q", c.name, got, c.says)
		}
	}
}
