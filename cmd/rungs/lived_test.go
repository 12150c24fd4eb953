package main

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// A life is a runner who sits down in the training folder in the evenings.
type life struct {
	*testing.T
	out string // what the last command said
}

// evening moves the clock to 21:00 of a day of September 2026.
func (l *life) evening(day int) {
	now = func() time.Time { return time.Date(2026, 9, day, 21, 0, 0, 0, time.UTC) }
}

// leg is a part of a run at an even speed, m/s, and heart rate, beats/min; 0 is none.
type leg struct {
	seconds      int
	speed, heart float64
}

// arrives writes a recording that starts at a time of that September: a record a second,
// as the legs have it, distances times a scale.
func (l *life) arrives(name, start string, scale float64, legs ...leg) {
	l.Helper()
	at, err := time.Parse("2006-01-02 15:04:05", "2026-09-"+start)
	if err != nil {
		l.Fatal(err)
	}
	var b strings.Builder
	b.WriteString("time,distance_m,hr_bpm\n")
	metres := 0.0
	row := func(heart float64) {
		fmt.Fprintf(&b, "%s,%.2f,", at.Format(time.RFC3339), metres)
		if heart > 0 {
			fmt.Fprintf(&b, "%.0f", heart)
		}
		b.WriteByte('\n')
	}
	row(legs[0].heart)
	for _, g := range legs {
		for range g.seconds {
			at, metres = at.Add(time.Second), metres+scale*g.speed
			row(g.heart)
		}
	}
	l.write(filepath.Join("recordings", name), b.String())
}

func (l *life) write(name, text string) {
	l.Helper()
	if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
		l.Fatal(err)
	}
	if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
		l.Fatal(err)
	}
}

// rungs runs a command and holds it to its exit status.
func (l *life) rungs(status int, args ...string) {
	l.Helper()
	var stdout, stderr bytes.Buffer
	got := run(args, strings.NewReader(""), &stdout, &stderr)
	l.out = stdout.String() + stderr.String()
	if got != status {
		l.Fatalf("rungs %s: exit status %d, want %d:\n%s", strings.Join(args, " "), got, status, l.out)
	}
}

// says holds what the last command said to lines, each a pattern.
func (l *life) says(patterns ...string) {
	l.Helper()
	for _, p := range patterns {
		if !regexp.MustCompile("(?m)" + p).MatchString(l.out) {
			l.Errorf("nothing like %q in:\n%s", p, l.out)
		}
	}
}

// Three weeks from an empty folder. No command has a flag, so that all must be found
// by itself. Every figure is added up by hand from the legs.
func TestThreeWeeks(t *testing.T) {
	t.Chdir(t.TempDir())
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	t.Setenv("XDG_CONFIG_HOME", t.TempDir())
	t.Setenv("XDG_DATA_HOME", t.TempDir())
	for _, name := range []string{"RUNGS_ATHLETE", "RUNGS_LIBRARY", "COLUMNS"} {
		t.Setenv(name, "")
	}
	defer func(before func() time.Time) { now = before }(now)
	l := &life{T: t}

	// Monday: nothing is there, and every command says what to do.
	l.evening(7)
	l.rungs(2, "log")
	l.says("begin a log with rungs log note")
	l.rungs(2, "block")
	l.rungs(2, "check")
	l.write("athlete.toml", "[heart]\nmax = 186\n")
	l.write("training-plan.txt", `starts: 2026-09-07
week 1: 30-35km
  mon: rest
  tue: 10:00 warm + 3 x 4:00 off 90s jog + 10:00 cool
  wed: 55:00 easy
  thu: rest
  fri: 8km easy
  sat: 10:00 warm + 20:00 + 10:00 cool
  sun: 15km easy
week 2: 50km
  tue: 10:00 warm + 6 x 2:00 off 60s jog + 10:00 cool
  wed: 30:00 easy
  wed: 30:00 easy
  thu: 40:00 easy
  sat: rest
  sun: 5km
week 3
  tue: 40:00 easy
  thu: 10:00 warm + 5 x 3:00 off 90s jog + 10:00 cool
  sun: 16km easy
`)
	l.rungs(0, "log")
	l.says("^no session in these days$", "^2026-W37: Nothing was run yet\\.$", "^Still to come")

	// Tuesday: two watches. 1800 + 984 + 225 + 1008 + 225 + 1032 + 1680 = 6954 m in 35:00,
	// 3024 m of it work in 12:00. The second watch has no heart rate, and counts once.
	l.evening(8)
	tuesday := []leg{{600, 3, 130}, {240, 4.1, 160}, {90, 2.5, 140}, {240, 4.2, 163}, {90, 2.5, 140}, {240, 4.3, 166}, {600, 2.8, 135}}
	l.arrives("tue.csv", "08 17:00:00", 1, tuesday...)
	for i := range tuesday {
		tuesday[i].heart = 0
	}
	l.arrives("tue-second.csv", "08 17:00:04", 1.01, tuesday...)
	l.rungs(0, "log", "note", "today", "legs heavy; windy")
	l.rungs(0, "log")
	l.says("^1 session$", "^ *Tue 8 Sep +17:00 +7\\.0 km +35:00 .*hard, by its work +3\\.0 km .* run +legs heavy; windy ")
	l.rungs(0, "check")
	l.says("^As planned\\.$")
	l.rungs(0, "split", "recordings/tue.csv")
	l.says("^found: 10:00 warm \\+ 3 x 4:00 @ 3:5[89]/km off 1:30 jog \\+ 10:00 cool$")

	// Wednesday: 5400 m in 30:00 and 4500 m in 25:00 for one run of 55:00.
	l.evening(9)
	l.arrives("wed-early.csv", "09 05:00:00", 1, leg{1800, 3, 140})
	l.arrives("wed-late.csv", "09 17:00:00", 1, leg{1500, 3, 140})
	l.rungs(0, "log", "mark", "today", "05:00", "title", "Before work")
	l.rungs(0, "log")
	l.says("^3 sessions$", "^ *Wed 9 Sep +05:00 +Before work +5\\.4 km +30:00 .* run ", "^ *Wed 9 Sep +17:00 +4\\.5 km +25:00 .* run ")

	// Friday, after a day of rest: 2650 x 3 = 7950 m in 44:10.
	l.evening(11)
	l.arrives("fri.csv", "11 17:00:00", 1, leg{2650, 3, 139})
	l.rungs(0, "check")
	l.says("^Wed 9 Sep 2026: 55:00 easy$", "^As planned, by recordings/wed-early\\.csv and recordings/wed-late\\.csv\\.$")
	l.rungs(0, "block")
	l.says("^ *1 +7 Sep +30-35km +24\\.8 km ", "thu +done +rest$", "sat +still to come ", "sun +still to come ")

	// Saturday nothing was run, and by Sunday that was moved: 1800 + 4800 + 1740 = 8340 m
	// in 40:00, 20:00 of it work. The long run of Sunday was moved to Monday, 15.0 km in 1:23:20.
	l.evening(12)
	l.rungs(0, "block")
	l.says("sat +still to come ")
	l.evening(13)
	l.rungs(1, "check")
	l.says("^Sat 12 Sep 2026: 10:00 warm \\+ 20:00 \\+ 10:00 cool$", "^Missed\\.$")
	l.arrives("sun.csv", "13 08:00:00", 1, leg{600, 3, 135}, leg{1200, 4, 168}, leg{600, 2.9, 140})
	l.rungs(0, "block")
	l.says("sat +moved to sun ", "sun +still to come +15km easy$")
	l.evening(14)
	l.arrives("mon.csv", "14 17:00:00", 1, leg{5000, 3, 141})
	l.rungs(0, "block")
	// Week 1: 6954 + 5400 + 4500 + 7950 + 8340 = 33,144 m in 2:54:10.
	l.says("sun +moved to mon +15km easy$", "^ *1 +7 Sep +30-35km +33\\.1 km +within ")
	l.rungs(0, "log")
	// Hard are Tuesday and Sunday, 6954 + 8340 m of 33,144 (46 %); work 3024 + 4800 m of these (51 %).
	l.says("^2026-W37: 5 sessions, 33\\.1 km in 2:54:10\\.$", "^2 of them were hard, 15\\.3 km or 46 % of the distance; 7\\.8 km of that was work, 51 %\\.$")

	// Week 2. Tuesday 1800 + 6 x 504 + 5 x 150 + 1680 = 7254 m in 10:00 + 12:00 + 5:00 + 10:00 = 37:00.
	l.evening(15)
	reps := []leg{{600, 3, 130}}
	for i := range 6 {
		if i > 0 {
			reps = append(reps, leg{60, 2.5, 145})
		}
		reps = append(reps, leg{120, 4.2, 165})
	}
	l.arrives("tue2.csv", "15 17:00:00", 1, append(reps, leg{600, 2.8, 135})...)
	// Wednesday both halves as one: 3480 x 3 = 10,440 m in 58:00.
	l.evening(16)
	l.arrives("wed2.csv", "16 17:00:00", 1, leg{3480, 3, 138})
	l.rungs(0, "block")
	l.says("tue +done +10:00 warm \\+ 6 x 2:00 off 1:00 jog \\+ 10:00 cool$", "wed +done +30:00 easy$")
	// Thursday through the town: six times 6:40 at 3 m/s, 7200 m, with lights between
	// that look like rests. It was an easy run.
	l.evening(17)
	var lights []leg
	for i := range 6 {
		if i > 0 {
			lights = append(lights, leg{75, 0, 110})
		}
		lights = append(lights, leg{400, 3, 141})
	}
	l.arrives("thu2.csv", "17 17:00:00", 1, lights...)
	l.rungs(0, "split", "recordings/thu2.csv")
	l.says("^6 reps: ")
	l.rungs(0, "log", "correct", "today", "40:00 easy")
	l.says("2026-09-17 was 40:00 easy$")
	l.rungs(0, "split", "recordings/thu2.csv")
	l.says("^5 stops, 6:[01]\\d in all\\.$", "\\[corrected\\]$")
	if strings.Contains(l.out, "work") || strings.Contains(l.out, "correction-not-shown") {
		t.Errorf("stops at lights are told to be reps:\n%s", l.out)
	}
	l.rungs(0, "log")
	l.says("^ *Thu 17 Sep +17:00 +7\\.2 km +40:[01]\\d .* 40:00 easy +run ")

	// The plan changes on Friday: Saturday's rest becomes 6 km. 2000 x 3 = 6000 m.
	l.evening(18)
	old, err := os.ReadFile("training-plan.txt")
	if err != nil {
		t.Fatal(err)
	}
	l.write("training-plan.txt", string(old)+"2026-09-19: 6km easy\n")
	l.rungs(0, "block")
	l.says("sat +still to come +6km easy$")
	l.evening(19)
	l.arrives("sat2.csv", "19 08:00:00", 1, leg{2000, 3, 137})
	// Sunday a race: 5000 m in 16:40.
	l.evening(20)
	l.arrives("race.csv", "20 09:00:00", 1, leg{1000, 5, 178})
	l.rungs(0, "log", "mark", "recordings/race.csv", "race", "effort 9", "title Town run")
	l.rungs(0, "check")
	l.says("^recordings/race\\.csv\n", "^plan: 5km$")
	l.rungs(0, "log")
	// Week 2: 15,000 + 7254 + 10,440 + 7200 + 6000 + 5000 = 50,894 m in 1:23:20 + 37:00 + 58:00 +
	// 40:00 + 33:20 + 16:40 = 4:28:20, 54 % more than week 1. Hard 7254 + 5000 m (24 %); work
	// 3024 + 5000 m of these (65 %). The upper two zones begin at 88 % of 186 beats/min: 12:00 + 16:40.
	l.says("^ *Sun 20 Sep +09:00 +Town run +5\\.0 km +16:40 .* race +9 +5\\.0 km .* run ",
		"^2026-W38: 6 sessions, 50\\.9 km in 4:28:[23]\\d, 54 % more than the week before \\(33\\.1 km\\)\\.$",
		"^2 of them were hard, 12\\.3 km or 24 % of the distance; 8\\.0 km of that was work, 65 %\\.$",
		"^28:[34]\\d was spent in the upper two zones of heart rate")

	// Week 3. Tuesday 2400 x 3 = 7200 m; on Wednesday a friend wore the watch; Thursday is
	// missed; on Sunday 12 km of the 16, 4000 x 3 m in 1:06:40.
	l.evening(22)
	l.arrives("tue3.csv", "22 17:00:00", 1, leg{2400, 3, 138})
	l.evening(23)
	l.arrives("wed3.csv", "23 17:00:00", 1, leg{1200, 6, 0})
	l.rungs(0, "log", "mark", "today", "leave out")
	l.evening(27)
	l.arrives("sun3.csv", "27 08:00:00", 1, leg{4000, 3, 140})
	l.evening(28)
	l.rungs(0, "log")
	// Week 3: 7200 + 12,000 = 19,200 m in 1:46:40; the mean before is (33,144 + 50,894) / 2 = 42,019 m.
	l.says("^13 sessions$", "^ *Sun 27 Sep +08:00 +12\\.0 km +1:06:40 .* cut \\(75 %\\) ",
		"^2026-W39: 2 sessions, 19\\.2 km in 1:46:40, 54 % less than the mean of the 2 weeks before \\(42\\.0 km\\)\\.$", "^No session was hard\\.$",
		"^Planned and not run: 10:00 warm \\+ 5 x 3:00 off 1:30 jog \\+ 10:00 cool on Thursday\\.$",
		"^Cut short: 16km easy on Sunday, of which 75 % was run\\.$",
		"recordings/wed3\\.csv is not counted: line \\d of the log leaves it out")
	l.rungs(0, "block")
	// In all 33,144 + 50,894 + 19,200 = 103,238 m in 2:54:10 + 4:28:20 + 1:46:40 = 9:09:10.
	l.says("^15 recordings, 13 sessions, 103\\.2 km in 9:09:[12]\\d$",
		"^2026-W38 +14 Sep +6 +50\\.9 km +\\+54 % ", "^all +4 of 13 +27\\.5 km +27 % +15\\.8 km +1:00:[34]\\d ",
		"^ *1 +7 Sep +30-35km +33\\.1 km +within +5 of 5$", "^ *2 +14 Sep +50km +50\\.9 km +within +6 of 6$", "^ *3 +21 Sep +19\\.2 km +1 of 3$",
		"^ *3 +thu +missed ", "^ *3 +sun +cut +16km easy$")
	l.rungs(1, "check")
	l.says("^Departed from the plan: the easy running was short by 4\\.00 km\\.$")

	// Read anew, without what was kept, all is the same.
	l.rungs(0, "block")
	kept := l.out
	t.Setenv("XDG_CACHE_HOME", t.TempDir())
	if l.rungs(0, "block"); l.out != kept {
		t.Errorf("without a cache:\n%s\nwith one:\n%s", l.out, kept)
	}
}
