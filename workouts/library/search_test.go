package library

import (
	"math"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/likeness"
)

func TestKinds(t *testing.T) {
	for src, want := range map[string]likeness.Kind{
		"1:00:00 easy": likeness.EasyRun,
		"20:00 easy + 4 x ( 1:00 stand ) + 20:00 easy":                    likeness.EasyRun,
		"15:00 warm + 20:00 + 10:00 cool":                                 likeness.Tempo,
		"2 x 15:00 off 3:00 jog":                                          likeness.Tempo,
		"3 x 4km off 1km easy":                                            likeness.Tempo,
		"3 x ( 3 x 2:00 off 1:00 jog ) off 4:00 walk":                     likeness.Sets,
		"3 x ( 1200m + 200m jog + 400m ) off 400m jog":                    likeness.Sets,
		"12 x 1:00 off 1:00 jog":                                          likeness.OnOff,
		"8 x ( 800m + 800m easy )":                                        likeness.OnOff,
		"5 x 4:00 off 90s jog":                                            likeness.Repeats,
		"8 x 200m off 200s walk":                                          likeness.Repeats, // metres against seconds are not even
		"6 x open off open jog":                                           likeness.Repeats,
		"1:00 + 1:00 jog + 2:00 + 1:00 jog + 3:00":                        likeness.Ladder,
		"3km + 2km + 1km":                                                 likeness.Ladder,
		"400m + 400m jog + 800m + 400m jog + 1200m + 400m jog + 800m":     likeness.Ladder,
		"3:00 + 1:00 jog + 1:00":                                          likeness.Mixed,
		"1:00 + 1:00 jog + 3:00 + 1:00 jog + 2:00 + 1:00 jog + 4:00":      likeness.Mixed,
		"4 x 1km off 400m jog + 400m jog + 4 x 200m off 200m jog":         likeness.Mixed,
		"1:00 + 1:00 jog + 2:00 + 1:00 jog + 2:00 + 1:00 jog + 3:00":      likeness.Mixed,
		"open + 1:00 jog + 3:00 + 1:00 jog + 4:00":                        likeness.Mixed,
		"30:00 steady":                                                    likeness.Tempo,
		"10 x 1km off 1:00 jog + 2km easy + 3 x 200m off 200m jog + 1:00": likeness.Mixed,
	} {
		if got := likeness.KindOf(parse(t, src)); got != want {
			t.Errorf("%s is of the kind %s, want %s", src, got, want)
		}
	}
}

func TestParseRange(t *testing.T) {
	inf := math.Inf(1)
	for src, want := range map[string]Range{
		"400m":        {392, 408, true},
		"3:00":        {176.4, 183.6, false},
		"3:00-5:00":   {180, 300, false},
		"400m - 1km":  {400, 1000, true},
		"20:00-":      {1200, inf, false},
		"-45s":        {0, 45, false},
		"1mi-2mi":     {figures.MetresPerMile, 2 * figures.MetresPerMile, true},
		"1h-1:30:00 ": {3600, 5400, false},
	} {
		got, err := ParseRange(src)
		if err != nil || math.Abs(got.Low-want.Low) > 1e-9 || got.High != want.High && math.Abs(got.High-want.High) > 1e-9 || got.Metres != want.Metres {
			t.Errorf("%q: %+v, %v; want %+v", src, got, err, want)
		}
	}
	for src, part := range map[string]string{
		"": "write a length", "-": "write a length", "fast": "write a length", "3:00-400m": "from a time to a distance", "5:00-3:00": "the smaller length",
		"open": "write a length", "400m easy": "write a length", "2 x 400m": "write a length", "400m @ 3:50/km": "write a length", "1-2-3": "write a length",
	} {
		if _, err := ParseRange(src); err == nil || !strings.Contains(err.Error(), part) {
			t.Errorf("%q: %v, want %q in it", src, err, part)
		}
	}
}

func FuzzParseRange(f *testing.F) {
	for _, s := range []string{"400m", "3:00-5:00", "20:00-", "-45s", "1mi - 2mi", "5:00-3:00", "--"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		r, err := ParseRange(s)
		if err == nil && !(r.Low >= 0 && r.High > 0 && r.Low <= r.High) {
			t.Fatalf("%q: %+v", s, r)
		}
	})
}

func TestSearch(t *testing.T) {
	entries := []Entry{
		{Name: "fours", Workout: parse(t, "tags: road\n\n5 x 4:00 off 90s jog")},
		{Name: "laps", Workout: parse(t, "tags: Track, short\n\n10 x 400m @ 3:30/km off 200m jog")},
		{Name: "tempo", Workout: parse(t, "tags: road\n\n20:00 @ 4:10/km")},
		{Name: "easy", Workout: parse(t, "45:00 easy")},
	}
	r := func(s string) Range {
		t.Helper()
		v, err := ParseRange(s)
		if err != nil {
			t.Fatal(err)
		}
		return v
	}
	for _, c := range []struct {
		why  string
		q    Query
		want []string
	}{
		{"everything", Query{}, []string{"fours", "laps", "tempo", "easy"}},
		{"words in a name and a tag", Query{Words: " TRACK laps "}, []string{"laps"}},
		{"a word of the notation", Query{Words: "20:00"}, []string{"tempo"}},
		{"words that are not together", Query{Words: "laps 20:00"}, nil},
		{"a tag", Query{Tags: []string{"ROAD"}}, []string{"fours", "tempo"}},
		{"two tags", Query{Tags: []string{"track", "short"}}, []string{"laps"}},
		{"a tag nobody has", Query{Tags: []string{"track", "road"}}, nil},
		{"a kind", Query{Kind: likeness.Tempo}, []string{"tempo"}},
		{"kind and tag", Query{Kind: likeness.Repeats, Tags: []string{"road"}}, []string{"fours"}},
		{"work of 20 minutes", Query{Work: r("20:00")}, []string{"fours", "tempo"}},
		{"10 x 400 m at 3:30/km is 14:00 of work", Query{Work: r("13:50-14:10")}, []string{"laps"}},
		{"work of 4 km", Query{Work: r("4km")}, []string{"laps"}},
		{"20:00 at 4:10/km is 4.8 km", Query{Work: r("4.7km-4.9km")}, []string{"tempo"}},
		{"reps of 400 m", Query{Rep: r("400m")}, []string{"laps"}},
		{"400 m at 3:30/km is 84 s", Query{Rep: r("83s-85s")}, []string{"laps"}},
		{"reps of 3 to 5 minutes", Query{Rep: r("3:00-5:00")}, []string{"fours"}},
		{"no rep is so long", Query{Rep: r("1:00:00-")}, nil},
		{"easy runs have no work", Query{Work: r("-1:00:00")}, []string{"fours", "laps", "tempo", "easy"}},
		{"easy runs have no rep", Query{Rep: r("-1:00:00")}, []string{"fours", "laps", "tempo"}},
	} {
		var got []string
		for _, e := range Search(entries, c.q, athlete.New()) {
			got = append(got, e.Name)
		}
		if diff := cmp.Diff(c.want, got); diff != "" {
			t.Errorf("%s: %s", c.why, diff)
		}
	}
}
