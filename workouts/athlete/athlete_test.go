package athlete_test

import (
	"errors"
	"fmt"
	"io/fs"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/notation"
	"github.com/google/go-cmp/cmp"
)

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s: got %v, want %v", what, got, want)
	}
}

func parse(t testing.TB, src string) workouts.Workout {
	t.Helper()
	w, err := notation.Parse("test", src)
	if err != nil {
		t.Fatalf("%q: %v", src, err)
	}
	return w
}

// Riegel 1981, American Scientist 69:285-290, T2 = T1 (D2/D1)^1.06. The values
// were computed from the formula to the hundredth of a second.
func TestRiegel(t *testing.T) {
	near(t, "20:00 over 5 km, for 10 km", athlete.Riegel(1200, 5000, 10000), 2501.92, 0.005)
	near(t, "1:30:00 over the half, for the marathon", athlete.Riegel(5400, 21097.5, 42195), 11258.63, 0.005)
	near(t, "the same distance", athlete.Riegel(1200, 5000, 5000), 1200, 0)
	near(t, "there and back", athlete.Riegel(athlete.Riegel(1200, 5000, 8000), 8000, 5000), 1200, 1e-9)
}

// Vickers & Vertosick 2016, BMC Sports Sci. Med. Rehabil. 8:26: well
// calibrated to the half, too fast beyond.
func TestEstimatesSayTheirLimits(t *testing.T) {
	ten := athlete.Race{Metres: 10000, Seconds: 2400}
	for _, c := range []struct {
		race    athlete.Race
		metres  float64
		caution string
	}{
		{ten, 21097.5, ""},
		{ten, 42195, "Vickers & Vertosick 2016"},
		{athlete.Race{Metres: 42195, Seconds: 3 * 3600}, 42195, ""},
		{athlete.Race{Metres: 42195, Seconds: 3 * 3600}, 21097.5, ""},
		{athlete.Race{Metres: 42195, Seconds: 3 * 3600}, 5000, "8.4 times"},
		{ten, 400, "3.5 to 230 minutes"},
	} {
		_, got := c.race.Estimate(c.metres)
		if c.caution == "" && got != "" || !strings.Contains(got, c.caution) {
			t.Errorf("%v m from %v: %q", c.metres, c.race, got)
		}
	}
	pace, _ := ten.Estimate(21097.5)
	near(t, "half pace", pace, 2400*math.Pow(2.10975, 1.06)/21.0975, 1e-9)
}

// Karvonen, Kentala, Mustala 1957; the examples as secondary pages work them.
func TestKarvonen(t *testing.T) {
	near(t, "200, 60, 60 %", athlete.Karvonen(60, 200, 60), 144, 1e-9)
	near(t, "180, 60, 75 %", athlete.Karvonen(75, 180, 60), 150, 1e-9)
	near(t, "200, 70, 60 %", athlete.Karvonen(60, 200, 70), 148, 1e-9)
}

// Tanaka, Monahan, Seals 2001, JACC 37:153-156: 208 - 0.7 age.
func TestTanaka(t *testing.T) {
	for age, want := range map[float64]float64{20: 194, 40: 180, 60: 166} {
		near(t, fmt.Sprint("age ", age), athlete.Tanaka(age), want, 1e-9)
	}
}

// ACSM classes, Garber et al. 2011, MSSE 43(7):1334-1359, as in Table 1 of the
// BJSM reprint: light from 57 % of the maximum, moderate 64, vigorous 77, near
// maximal 96; of the reserve 30, 40, 60, 90.
func TestPublishedZones(t *testing.T) {
	for _, c := range []struct {
		scheme string
		rest   float64
		at     map[float64]int // beats/min to zone
	}{
		{"acsm-max", 0, map[float64]int{113.9: 1, 114: 2, 127.9: 2, 128: 3, 153.9: 3, 154: 4, 191.9: 4, 192: 5, 200: 5}},
		{"acsm-reserve", 60, map[float64]int{61: 1, 101.9: 1, 102: 2, 115.9: 2, 116: 3, 143.9: 3, 144: 4, 185.9: 4, 186: 5}},
		// Seiler's five-zone scale: 60-72, 72-82, 82-87, 88-93, 94-100 % of the
		// maximum; the fifth from memory.
		{"seiler", 0, map[float64]int{119.9: 0, 120: 1, 143.9: 1, 144: 2, 163.9: 2, 164: 3, 174: 3, 176: 4, 186: 4, 188: 5}},
		{"", 0, map[float64]int{144: 2}}, // the default is Seiler's
	} {
		z, ok := athlete.Athlete{MaxHR: 200, RestHR: c.rest, ZoneScheme: c.scheme}.Zones()
		if !ok || z.Source == "" {
			t.Errorf("%q: no zones", c.scheme)
		}
		for bpm, want := range c.at {
			if got := zoneOf(z, bpm); got != want {
				t.Errorf("%q: %v beats/min are zone %d, want %d", c.scheme, bpm, got, want)
			}
		}
		for n := 1; n <= len(z.Lower); n++ {
			low, high, ok := z.Bounds(n)
			if !ok || zoneOf(z, low) != n || high != 0 && zoneOf(z, high) != n+1 {
				t.Errorf("%q: zone %d lies between %v and %v", c.scheme, n, low, high)
			}
		}
		if _, _, ok := z.Bounds(len(z.Lower) + 1); ok {
			t.Errorf("%q has a zone too many", c.scheme)
		}
	}
	if _, ok := (athlete.Athlete{MaxHR: 200, ZoneScheme: "acsm-reserve"}).Zones(); ok {
		t.Error("zones of the reserve without a resting heart rate")
	}
	if _, ok := athlete.New().Zones(); ok {
		t.Error("zones of an athlete of whom nothing is known")
	}
}

const fullAthlete = `# simulated
units = "mi"
age = 41
training = "~/running"

[heart]
max = 188
rest = 48
zones = [110, 132, 150, 161, 172]

[paces]
threshold = "6:25/mi"
"10k" = "3:50/km"
track = "18.5km/h"
mill = "10 mph"

[race]
distance = "half"
time = "1:25:30"

[hard]
work = "8:00"
pace = "4:30/km"
heart = 150
`

func TestParse(t *testing.T) {
	got, err := athlete.Parse("me.toml", fullAthlete)
	if err != nil {
		t.Fatal(err)
	}
	want := athlete.Athlete{
		Source: "me.toml", Miles: true, Age: 41, Training: "~/running", MaxHR: 188, RestHR: 48,
		OwnZones: []float64{110, 132, 150, 161, 172},
		Paces: map[string]workouts.Pace{
			"threshold": {SecPerKm: 385 / 1.609344, Unit: workouts.PerMile},
			"10k":       {SecPerKm: 230, Unit: workouts.PerKm},
			"track":     {SecPerKm: 3600 / 18.5, Unit: workouts.KmPerHour},
			"mill":      {SecPerKm: 3600 / 16.09344, Unit: workouts.MilesPerH},
		},
		Race: &athlete.Race{Metres: 21097.5, Seconds: 5130},
		Hard: athlete.Hard{WorkS: 480, Pace: 270, HeartBPM: 150},
	}
	if diff := cmp.Diff(want, got, closeFloats); diff != "" {
		t.Error(diff)
	}
	empty, err := athlete.Parse("", "")
	if err != nil {
		t.Fatal(err)
	}
	if diff := cmp.Diff(athlete.New(), empty); diff != "" {
		t.Errorf("an empty file says something:\n%s", diff)
	}
}

// closeFloats lets unit conversions round in the last bits.
var closeFloats = cmp.Comparer(func(a, b float64) bool { return math.Abs(a-b) <= 1e-9*max(math.Abs(a), 1) })

func TestAthleteMistakes(t *testing.T) {
	type want struct {
		line, column, length int
		code, message, hint  string
	}
	const paceHint = "write a pace as 3:45/km, 6:00/mi, 16km/h or 10mph"
	for _, c := range []struct {
		src  string
		want []want
	}{
		{"unitz = \"km\"\n", []want{{1, 1, 5, "athlete-key", `unknown key "unitz"`, `did you mean "units"?`}}},
		{"[heart]\nmaximum = 190\n", []want{{2, 1, 7, "athlete-key", `unknown key "heart.maximum"`,
			"the keys are units, age, training, quickest, heart, heart.max, heart.rest, heart.zones, paces, race, race.distance, race.time, hard, hard.work, hard.pace, hard.heart, odometer, odometer.outdoors, odometer.outdoors.over, odometer.outdoors.within, odometer.treadmill, odometer.treadmill.over, odometer.treadmill.within, and paces.NAME"}}},
		{"heart.mx = 190\n", []want{{1, 1, 8, "athlete-key", `unknown key "heart.mx"`, `did you mean "heart.max"?`}}},
		{"heart = { mx = 190 }\n", []want{{1, 11, 2, "athlete-key", `unknown key "heart.mx"`, `did you mean "heart.max"?`}}},
		{"# ä\n  [hart]\n  max = 190\n", []want{{2, 4, 4, "athlete-key", `unknown key "hart"`, `did you mean "heart"?`}}},
		{"units = \"miles\"\n", []want{{1, 9, 7, "athlete-value", `the value of "units" cannot be used`, `units is "km" or "mi"`}}},
		{"training = \"\"\n", []want{{1, 12, 2, "athlete-value", `the value of "training" cannot be used`, `training is the path of a folder, such as "~/running"`}}},
		{"units = 3 # three\n", []want{{1, 9, 1, "athlete-value", `the value of "units" cannot be used`, `units is "km" or "mi"`}}},
		{"age = 400\n", []want{{1, 7, 3, "athlete-value", `the value of "age" cannot be used`, "write an age in years, a number between 8 and 110"}}},
		{"heart = 190\n", []want{{1, 9, 3, "athlete-value", `the value of "heart" cannot be used`, "heart is a table: write [heart] on a line of its own"}}},
		{"[heart]\nmax = \"190\"\nrest = 500\n", []want{
			{2, 7, 5, "athlete-value", `the value of "heart.max" cannot be used`, "write beats per minute, a number between 100 and 240"},
			{3, 8, 3, "athlete-value", `the value of "heart.rest" cannot be used`, "write beats per minute, a number between 25 and 120"}}},
		{"[heart]\nmax = nan\n", []want{{2, 7, 3, "athlete-value", `the value of "heart.max" cannot be used`, "write beats per minute, a number between 100 and 240"}}},
		{"[heart]\nmax = 110\nrest = 110\n", []want{{3, 8, 3, "athlete-value", `the value of "heart.rest" cannot be used`, "the resting heart rate lies below the maximum"}}},
		{"[heart]\nzones = \"mine\"\n", []want{{2, 9, 6, "athlete-value", `the value of "heart.zones" cannot be used`, `the classifications are "seiler", "acsm-max", "acsm-reserve"`}}},
		{"[heart]\nzones = [120, 110]\n", []want{{2, 9, 10, "athlete-value", `the value of "heart.zones" cannot be used`, "write the beats per minute at which the zones begin, increasing: [110, 132, 150, 161, 172]"}}},
		{"[heart]\nzones = [120]\n", []want{{2, 9, 5, "athlete-value", `the value of "heart.zones" cannot be used`, "there may be 2 to 9 zones"}}},
		{"[heart]\nzones = 5\n", []want{{2, 9, 1, "athlete-value", `the value of "heart.zones" cannot be used`, `write the name of a classification, "seiler", or the beats per minute at which the zones begin`}}},
		{"[paces]\nhalf = \"4:05\"\n", []want{{2, 8, 6, "athlete-value", `the value of "paces.half" cannot be used`, paceHint}}},
		{"[paces]\nhalf = \"4:75/km\"\n", []want{{2, 8, 9, "athlete-value", `the value of "paces.half" cannot be used`, paceHint}}},
		{"[paces]\nhalf = \"0:05/km\"\n", []want{{2, 8, 9, "athlete-value", `the value of "paces.half" cannot be used`, "a pace lies between 1:30/km and 60:00/km, a speed between 1km/h and 40km/h"}}},
		{"[paces]\nhalf = 245\n", []want{{2, 8, 3, "athlete-value", `the value of "paces.half" cannot be used`, paceHint}}},
		{"[paces]\n\"my pace\" = \"4:05/km\"\n", []want{{2, 1, 9, "athlete-key", `"my pace" cannot name a reference pace`,
			"a name has up to 30 small letters and digits and begins with a letter, or is a distance such as 10k; words of the notation are taken"}}},
		{"[paces]\nquicker = \"4:05/km\"\n", []want{{2, 1, 7, "athlete-key", `"quicker" cannot name a reference pace`,
			"a name has up to 30 small letters and digits and begins with a letter, or is a distance such as 10k; words of the notation are taken"}}},
		{"[race]\ndistance = \"10\"\ntime = \"41:30\"\n", []want{{2, 12, 4, "athlete-value", `the value of "race.distance" cannot be used`,
			`write a distance as "10km", "1500m", "5mi", "mile", "half" or "marathon"`}}},
		{"[race]\ndistance = \"10km\"\n", []want{{2, 12, 6, "athlete-value", `the value of "race.distance" cannot be used`, "a race needs its time too"}}},
		{"[race]\ntime = \"41:30\"\n", []want{{2, 8, 7, "athlete-value", `the value of "race.time" cannot be used`, "a race needs its distance too"}}},
		{"[race]\ndistance = \"10km\"\ntime = \"4:30\"\n", []want{{3, 8, 6, "athlete-value", `the value of "race.time" cannot be used`, "nobody covers the distance in this time"}}},
		{"[hard]\nwork = \"8\"\n", []want{{2, 8, 3, "athlete-value", `the value of "hard.work" cannot be used`, "write minutes:seconds, as in 41:30, or hours:minutes:seconds"}}},
		{"[hard]\nwork = \"0:00\"\n", []want{{2, 8, 6, "athlete-value", `the value of "hard.work" cannot be used`, "write a time above zero"}}},
	} {
		a, err := athlete.Parse("me.toml", c.src)
		ds, ok := err.(workouts.Diagnostics)
		if !ok {
			t.Errorf("%q: no Diagnostics but %v", c.src, err)
			continue
		}
		var got []want
		for _, d := range ds {
			got = append(got, want{d.Line, d.Column, d.Length, d.Code, d.Message, d.Hint})
		}
		if diff := cmp.Diff(c.want, got, cmp.AllowUnexported(want{})); diff != "" {
			t.Errorf("%q:\n%s", c.src, diff)
		}
		if diff := cmp.Diff(athlete.New(), a); diff != "" {
			t.Errorf("%q left something behind:\n%s", c.src, diff)
		}
	}
}

// A file from Windows: a byte order mark, and line ends of two characters, of
// which no mistake speaks.
func TestAthleteFromWindows(t *testing.T) {
	a, err := athlete.Parse("me.toml", "\ufeffunits = \"mi\"\r\n[heart]\r\nmax = 186\r\n")
	if err != nil || !a.Miles || a.MaxHR != 186 {
		t.Errorf("%+v, %v", a, err)
	}
	if _, err := athlete.Parse("me.toml", "max =\r\nrest = 3\r\n"); err == nil || strings.Contains(err.Error(), "\\r") {
		t.Errorf("mistake: %v", err)
	}
}

// Mistakes in the TOML itself: the place is ours to convert, the words are the
// decoder's.
func TestAthleteSyntax(t *testing.T) {
	for _, c := range []struct {
		src          string
		line, column int
	}{
		{"units = km\n", 1, 9},
		{"# ä\n\nunits == 3\n", 3, 8},
		{"[heart\nmax = 190\n", 1, 7},
		{"units = \"km\"\nunits = \"mi\"\n", 2, 1},
		{"note = \"öö\" x\n", 1, 12},
		{"a = \"\xff\"\n", 1, 1},
		{strings.Repeat("# far too long\n", workouts.MaxBytes/15+1), 1, 1},
		{"\ufeffunits = \"km\"\r\nmax == 3\r\n", 2, 6},
	} {
		_, err := athlete.Parse("me.toml", c.src)
		ds, ok := err.(workouts.Diagnostics)
		if !ok || len(ds) != 1 || ds[0].Code != "athlete-syntax" || ds[0].Line != c.line || ds[0].Column != c.column || ds[0].Message == "" || ds[0].Hint == "" {
			t.Errorf("%q: %v", c.src, err)
		}
	}
}

func TestLoad(t *testing.T) {
	dir := t.TempDir()
	write := func(path, text string) string {
		path = filepath.Join(dir, path)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
		return path
	}
	flag := write("flag.toml", "age = 20")
	env := write("env.toml", "age = 30")
	home := write("home/.config/rungs/athlete.toml", "age = 40")
	own := write("xdg/rungs/athlete.toml", "age = 50")
	shared := write("shared/rungs/athlete.toml", "age = 60")
	for _, c := range []struct {
		name, flag string
		env        map[string]string
		source     string
		age        int
	}{
		{"by flag", flag, map[string]string{"RUNGS_ATHLETE": env, "HOME": filepath.Join(dir, "home")}, flag, 20},
		{"by the environment", "", map[string]string{"RUNGS_ATHLETE": env, "HOME": filepath.Join(dir, "home")}, env, 30},
		{"at home", "", map[string]string{"HOME": filepath.Join(dir, "home")}, home, 40},
		{"where XDG says", "", map[string]string{"HOME": filepath.Join(dir, "home"), "XDG_CONFIG_HOME": filepath.Join(dir, "xdg")}, own, 50},
		{"for all users", "", map[string]string{"HOME": filepath.Join(dir, "nobody"), "XDG_CONFIG_DIRS": "relative:" + filepath.Join(dir, "shared")}, shared, 60},
		{"nowhere", "", map[string]string{"XDG_CONFIG_DIRS": filepath.Join(dir, "nobody")}, "", 0},
	} {
		a, err := athlete.Load(c.flag, func(k string) string { return c.env[k] })
		if err != nil || a.Source != c.source || a.Age != c.age {
			t.Errorf("%s: %+v, %v", c.name, a, err)
		}
	}
	_, err := athlete.Load(filepath.Join(dir, "none.toml"), func(string) string { return "" })
	if !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("a file that was named and is not there: %v", err)
	}
	bad := write("bad/rungs/athlete.toml", "agee = 1")
	_, err = athlete.Load("", func(k string) string { return map[string]string{"XDG_CONFIG_HOME": filepath.Join(dir, "bad")}[k] })
	var ds workouts.Diagnostics
	if !errors.As(err, &ds) || ds[0].Summary() != bad+`:1:1: unknown key "agee"` {
		t.Errorf("a bad file: %v", err)
	}
}

func TestResolve(t *testing.T) {
	me, err := athlete.Parse("me.toml", "[heart]\nmax = 190\nrest = 50\n[paces]\nthreshold = \"4:00/km\"\n[race]\ndistance = \"5km\"\ntime = \"20:00\"\n")
	if err != nil {
		t.Fatal(err)
	}
	miles := me
	miles.Miles = true
	aged := athlete.Athlete{Age: 40}
	own := athlete.Athlete{OwnZones: []float64{110, 130, 150}}
	const k10 = 2501.92 / 10 // s/km, Riegel's example above
	for _, c := range []struct {
		who       athlete.Athlete
		src       string
		low, high float64 // s/km, or beats/min when the goal is a heart rate
		kind      workouts.GoalKind
		warnings  []string // codes
	}{
		{me, "1km @ threshold", 240, 240, workouts.PaceGoal, nil},
		{me, "1km @ threshold -5s", 235, 235, workouts.PaceGoal, nil},
		{me, "1km @ threshold +5s ±3s", 242, 248, workouts.PaceGoal, nil},
		{miles, "1km @ threshold -5s", 240 - 5/1.609344, 240 - 5/1.609344, workouts.PaceGoal, nil},
		{miles, "1km @ threshold -5s/km ±3s", 232, 238, workouts.PaceGoal, nil},
		{miles, "1km @ threshold ±3s", 240 - 3/1.609344, 240 + 3/1.609344, workouts.PaceGoal, nil},
		{me, "1km @ 5k", 240, 240, workouts.PaceGoal, nil}, // the race itself
		{me, "1km @ 5km", 240, 240, workouts.PaceGoal, nil},
		{me, "1km @ 10k", k10, k10, workouts.PaceGoal, []string{"pace-estimated"}},
		{me, "1km @ 10k - 5k", 240, k10, workouts.PaceGoal, []string{"pace-estimated"}},
		{me, "2 x 1km @ marathon off 1:00 jog @ marathon", 1200 * math.Pow(8.439, 1.06) / 42.195, 1200 * math.Pow(8.439, 1.06) / 42.195, workouts.PaceGoal, []string{"pace-estimated"}},
		{me, "1km @ treshold", 0, 0, workouts.UnresolvedGoal, []string{"pace-unknown"}},
		{athlete.New(), "1km @ 10k -> half", 0, 0, workouts.UnresolvedGoal, []string{"pace-unknown", "pace-unknown"}},
		{me, "1km @ threshold -200s", 0, 0, workouts.UnresolvedGoal, []string{"pace-unknown"}},
		{me, "1km @ 150-160bpm", 150, 160, workouts.HeartGoal, nil},
		{me, "1km @ <150bpm", 0, 150, workouts.HeartGoal, nil},
		{me, "1km @ 80-90%max", 152, 171, workouts.HeartGoal, nil},
		{me, "1km @ >50%reserve", 120, 0, workouts.HeartGoal, nil},
		{me, "1km @ zone 4", 167.2, 178.6, workouts.HeartGoal, nil}, // 88 and 94 % of 190
		{me, "1km @ zone 2-5", 136.8, 0, workouts.HeartGoal, nil},
		{me, "1km @ zone 6", 0, 0, workouts.UnresolvedGoal, []string{"heart-unknown"}},
		{aged, "1km @ 50%max", 90, 90, workouts.HeartGoal, []string{"heart-estimated"}},
		{aged, "1km @ zone 1", 108, 129.6, workouts.HeartGoal, []string{"heart-estimated"}},
		{aged, "1km @ 50%reserve", 0, 0, workouts.UnresolvedGoal, []string{"heart-unknown"}},
		{own, "1km @ zone 1-2", 110, 150, workouts.HeartGoal, nil},
		{own, "1km @ zone 4", 0, 0, workouts.UnresolvedGoal, []string{"heart-unknown"}},
		{athlete.New(), "1km @ zone 2", 0, 0, workouts.UnresolvedGoal, []string{"heart-unknown"}},
		{athlete.New(), "1km @ 80%max", 0, 0, workouts.UnresolvedGoal, []string{"heart-unknown"}},
	} {
		w := parse(t, c.src)
		text := notation.Print(w)
		resolved, warnings := c.who.Resolve(w)
		if notation.Print(w) != text {
			t.Errorf("%s was changed", c.src)
		}
		g := resolved.Expand()[0].Goal
		low, high := g.LowPace, g.HighPace
		if g.Kind == workouts.HeartGoal {
			low, high = g.LowBPM, g.HighBPM
		}
		if g.Kind != c.kind || math.Abs(low-c.low) > 0.001 || math.Abs(high-c.high) > 0.001 {
			t.Errorf("%s: %+v, want %s from %v to %v", c.src, g, c.kind, c.low, c.high)
		}
		var codes []string
		for _, w := range warnings {
			codes = append(codes, w.Code)
			if w.Message == "" || !math.IsNaN(w.StartS) {
				t.Errorf("%s: %+v", c.src, w)
			}
		}
		if diff := cmp.Diff(c.warnings, codes); diff != "" {
			t.Errorf("%s:\n%s", c.src, diff)
		}
		// Resolving twice is resolving once; what was written still prints.
		again, _ := c.who.Resolve(resolved)
		if diff := cmp.Diff(resolved, again); diff != "" {
			t.Errorf("%s, resolved again:\n%s", c.src, diff)
		}
		if !c.who.Miles && notation.Print(resolved) != text {
			t.Errorf("%s prints as %s once resolved", text, notation.Print(resolved))
		}
	}
	if got := messages(me.Resolve(parse(t, "1km @ treshold"))); got != `no reference pace is called "treshold", so steps held to it have no target: did you mean "threshold"?` {
		t.Error(got)
	}
	if got := messages(athlete.New().Resolve(parse(t, "1km @ 10k"))); got != `no reference pace is called "10k", so steps held to it have no target: set it under [paces] in the athlete file, or set a [race] to estimate it from` {
		t.Error(got)
	}
}

func messages(_ workouts.Workout, ws []recording.Warning) string {
	var parts []string
	for _, w := range ws {
		parts = append(parts, w.Message)
	}
	return strings.Join(parts, "\n")
}

func FuzzParse(f *testing.F) {
	f.Add(fullAthlete)
	f.Add("heart = { max = 190, rest = 40 }\nrace.distance = \"10k\"")
	f.Add("[paces]\n'10k' = \"4:00/km\"")
	for _, name := range []string{"x", "x10", "z2", "z1a", "zone3", "zonex"} {
		f.Add("[paces]\n" + name + " = \"4:00/km\"")
	}
	f.Fuzz(func(t *testing.T, src string) {
		a, err := athlete.Parse("f", src)
		if err == nil {
			for name, p := range a.Paces {
				// What the file may name, the notation can ask for.
				w, err := notation.Parse("n", "1km @ "+name)
				if err != nil {
					t.Fatalf("%q is a reference pace but not a target: %v", name, err)
				}
				r, warnings := a.Resolve(w)
				if len(warnings) > 0 || r.Expand()[0].Goal.Pace != p.SecPerKm {
					t.Fatalf("%q resolves to %v, %v", name, r.Expand()[0].Goal, warnings)
				}
			}
			return
		}
		ds, ok := err.(workouts.Diagnostics)
		if !ok || len(ds) == 0 {
			t.Fatalf("error %T", err)
		}
		for _, d := range ds {
			if d.Line < 1 || d.Line > strings.Count(src, "\n")+1 || d.Column < 1 || d.Length < 1 || d.Message == "" || d.Hint == "" {
				t.Fatalf("%+v", d)
			}
		}
	})
}

// A pace without a unit is in the athlete's: 6:26 a mile is 4:00 a kilometre (386 s over
// 1.609344 km), and where nobody could run it there is no target.
func TestPaceWithoutUnit(t *testing.T) {
	plain := workouts.Workout{Items: []workouts.Item{{Count: 1, Step: workouts.Step{Amount: workouts.Seconds(300), Manner: workouts.Work,
		Target: workouts.Target{Kind: workouts.PaceTarget, From: workouts.Pace{SecPerKm: 386}, Tolerance: workouts.PaceOffset{Seconds: 3}}}}}}
	for _, c := range []struct {
		miles bool
		pace  float64
		unit  workouts.PaceUnit
		slack float64
	}{{false, 386, workouts.PerKm, 3}, {true, 386 / 1.609344, workouts.PerMile, 3 / 1.609344}} {
		w, warnings := athlete.Athlete{Miles: c.miles}.Resolve(plain)
		got := w.Items[0].Step.Target
		if math.Abs(got.From.SecPerKm-c.pace) > 1e-9 || got.From.Unit != c.unit || math.Abs(got.Tolerance.PerKm()-c.slack) > 1e-9 || len(warnings) > 0 {
			t.Errorf("miles %v: %+v, %v", c.miles, got, warnings)
		}
	}
	plain.Items[0].Step.Target.From.SecPerKm = 120 // 2:00 a mile
	if w, warnings := (athlete.Athlete{Miles: true}).Resolve(plain); w.Items[0].Step.Target.From.SecPerKm != 0 || len(warnings) != 1 || warnings[0].Code != athlete.PaceUnknown {
		t.Errorf("2:00 a mile: %+v, %v", w.Items[0].Step.Target, warnings)
	}
}

// zoneOf is the zone that a heart rate lies in by the bounds, 0 below the first.
func zoneOf(z athlete.Zones, bpm float64) int {
	for n := 1; ; n++ {
		low, _, ok := z.Bounds(n)
		if !ok || bpm < low {
			return n - 1
		}
	}
}
