package listing

import (
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/report"
)

func utc(month time.Month, day, hour int) time.Time {
	return time.Date(2026, month, day, hour, 0, 0, 0, time.UTC)
}

// easy is an even run at 6:00/km.
func easy(start time.Time, km float64, place recording.Place) block.Run {
	m, s := 1000*km, 360*km
	return block.Run{File: start.Format("0102-15"), Start: start, Sport: recording.Running, ElapsedS: s, MovingS: s, DistanceM: m,
		Where: []block.Where{{Place: place, DistanceM: m, MovingS: s}}, Detail: &block.Detail{Parts: []block.Part{{Role: segment.Run, EndS: s, DistanceM: m}}}}
}

// reps is 2 km easy in 12:00 and reps of 1 km in so many seconds each, 200 m in 1:30
// between them, each with a standard error of 2 m.
func reps(start time.Time, seconds ...float64) block.Run {
	r := block.Run{File: start.Format("0102-15"), Start: start, Sport: recording.Running, Main: "reps", Detail: &block.Detail{}}
	add := func(role segment.Role, s, m float64) {
		r.Parts = append(r.Parts, block.Part{Role: role, StartS: r.ElapsedS, EndS: r.ElapsedS + s, DistanceM: m, DistSE: 2})
		r.ElapsedS, r.DistanceM = r.ElapsedS+s, r.DistanceM+m
	}
	add(segment.Warm, 720, 2000)
	for i, s := range seconds {
		if i > 0 {
			add(segment.Recovery, 90, 200)
		}
		add(segment.Work, s, 1000)
	}
	r.MovingS = r.ElapsedS
	r.Where = []block.Where{{Place: recording.Track, DistanceM: r.DistanceM, MovingS: r.MovingS}}
	return r
}

// Six weeks, added up by hand. Four weeks of 30, 40, 30 and 40 km (mean 35) go before
// the one of 42 km: 20 km outdoors, 8 on the treadmill, two sessions on the track of
// 2 + 5 + 4 x 0.2 = 7.8 km and 2 + 3 + 2 x 0.2 = 5.4 km with 5 and 3 km of work: 41.2 km,
// 18 % more than 35; 13.2 km hard, 32 %; 8 km of work, 61 % of that. Time: 28 km at 6:00
// is 2:48:00; the reps take 12:00 + 20:00 + 4 x 1:30 = 38:00 and 12:00 + 12:00 + 3:00 =
// 27:00: 3:53:00. Of 5 reps from 4:10 to 3:50 the last is 20 s quicker, the margin is
// 1.96 x hypot(250, 230) x 2/1000 = 1.3 s; three reps of 4:00 are level. The run of 20 km
// is 25 % longer than the longest of the 30 days before, which is 16 km.
func TestWeekByHand(t *testing.T) {
	var runs []block.Run
	for i, km := range []float64{30, 40, 30, 40} {
		for k, part := range []float64{16, km - 16} {
			runs = append(runs, easy(utc(8, 10+7*i+3*k, 7), part, recording.Outdoors))
		}
	}
	// The longest before must lie within 30 days: the 24 km of 20 August and 10 September
	// are made of two runs of 12 km.
	var short []block.Run
	for _, r := range runs {
		if r.DistanceM > 16000 {
			short = append(short, easy(r.Start, r.DistanceM/2000, recording.Outdoors), easy(r.Start.Add(8*time.Hour), r.DistanceM/2000, recording.Outdoors))
		} else {
			short = append(short, r)
		}
	}
	runs = append(short, easy(utc(9, 7, 7), 8, recording.Treadmill), reps(utc(9, 8, 17), 250, 245, 240, 235, 230),
		reps(utc(9, 10, 17), 240, 240, 240), easy(utc(9, 13, 8), 20, recording.Outdoors))
	runs[len(runs)-1].Said = &log.Entry{Title: "Long run", Effort: 6}
	c, err := block.ParseCalendar("UTC")
	if err != nil {
		t.Fatal(err)
	}
	b := block.New(runs, runs, athlete.New(), c)
	plan, err := block.ParsePlan("p", "starts: 2026-09-07\nweek 1\n tue: 30:00 easy\n wed: 8km easy\n fri: 10km easy\n sun: 20km easy\n")
	if err != nil {
		t.Fatal(err)
	}
	kept, err := plan.Against(b, utc(9, 11, 0))
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		"4 sessions, 41.2 km in 3:53:00, 18 % more than the mean of the 4 weeks before (35.0 km).",
		"Run 20.0 km outdoors, 8.0 km on the treadmill and 13.2 km on the track.",
		"2 of them were hard, 13.2 km or 32 % of the distance; 8.0 km of that was work, 61 %.",
		"The 5 reps of Tuesday got quicker, from 4:10 to 3:50 /km (±2 s from one to the other).",
		"The 3 reps of Thursday stayed level, from 4:00 to 4:00 /km (±2 s from one to the other).",
		"Something else was run instead of 30:00 easy on Tuesday.",
		"Still to come: 10km easy on Friday.",
		"Be careful: the run of Sunday, 20.0 km, was 25 % longer than the longest of the 30 days before it (16.0 km); in a study of 5,205 runners more were hurt after one such run, and no more after a rise from week to week.",
	}
	got := week(b, 4, kept)
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s\nwant\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
	r := Report(b, Telling{Holds: func(day time.Time) bool { return !day.Before(utc(9, 7, 0)) }, Kept: kept})
	if len(r.Table.Rows) != 4 || len(r.Said) != len(want) {
		t.Errorf("%d rows, %d sentences", len(r.Table.Rows), len(r.Said))
	}
	var out strings.Builder
	if err := r.Text(&out, report.Page{}); err != nil {
		t.Fatal(err)
	}
	for _, s := range []string{"moved from wed", "instead of 30:00 easy", "Long run", "  run  "} {
		if !strings.Contains(out.String(), s) {
			t.Errorf("the list lacks %q\n%s", s, out.String())
		}
	}
	// The first week has none before it, and 30 days before it nothing is known.
	for _, s := range week(b, 0, nil) {
		if strings.Contains(s, "before") {
			t.Errorf("the first week says %q", s)
		}
	}
}
