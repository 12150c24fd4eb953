package weeks

import (
	"fmt"
	"math"
	"testing"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
)

// The runs of the tests of package block, which cannot be imported.

func near(t *testing.T, what string, got, want, within float64) {
	t.Helper()
	if !(math.Abs(got-want) <= within) {
		t.Errorf("%s is %.4f, want %.4f", what, got, want)
	}
}

func utc(month time.Month, day, hour int) time.Time {
	return time.Date(2026, month, day, hour, 0, 0, 0, time.UTC)
}

func calendar(t testing.TB, s string) block.Calendar {
	t.Helper()
	c, err := block.ParseCalendar(s)
	if err != nil {
		t.Fatal(err)
	}
	return c
}

// easyOf is an easy run of whole kilometres at 6:00 /km.
func easyOf(file string, start time.Time, km float64, place recording.Place) block.Run {
	m, s := 1000*km, 360*km
	return block.Run{File: file, Start: start, Sport: recording.Running, ElapsedS: s, MovingS: s, DistanceM: m,
		Where: []block.Where{{Place: place, DistanceM: m, MovingS: s}}, Detail: &block.Detail{Parts: []block.Part{{Role: segment.Easy, EndS: s, DistanceM: m}}}}
}

// repsOf is 2 km warm-up, 5 reps of 1 km in 4:00, 4 recoveries of 200 m in
// 1:30, and 1.2 km cool-down in 8:00: 9 km in 12:00 + 20:00 + 6:00 + 8:00.
func repsOf(file string, start time.Time) block.Run {
	r := block.Run{File: file, Start: start, Sport: recording.Running, Main: "5 x 1km off 200m jog", Detail: &block.Detail{}}
	add := func(role segment.Role, rep int, seconds, metres, heart float64) {
		r.Parts = append(r.Parts, block.Part{Role: role, Rep: rep, StartS: r.ElapsedS, EndS: r.ElapsedS + seconds, DistanceM: metres, HeartBPM: heart})
		r.ElapsedS, r.DistanceM = r.ElapsedS+seconds, r.DistanceM+metres
	}
	add(segment.Warm, 0, 720, 2000, 130)
	for rep := 1; rep <= 5; rep++ {
		add(segment.Work, rep, 240, 1000, 170)
		if rep < 5 {
			add(segment.Recovery, rep, 90, 200, 150)
		}
	}
	add(segment.Cool, 0, 480, 1200, 135)
	r.MovingS = r.ElapsedS
	r.Where = []block.Where{{Place: recording.Track, DistanceM: r.DistanceM, MovingS: r.MovingS}}
	r.Heart[block.AtWork], r.Heart[block.InRecovery], r.Heart[block.Elsewhere] = block.Tally{1700, 1200}, block.Tally{1500, 360}, block.Tally{1300, 720, 1350, 480}
	r.Sensor = true
	return r
}

// repsAt is repsOf with reps of so many seconds, in week n from January on.
func repsAt(week int, seconds float64, place recording.Place) block.Run {
	r := repsOf(fmt.Sprintf("week%d", week), utc(1, 6+7*week, 17))
	r.Where[0].Place = place
	shift := 0.0
	for i := range r.Parts {
		p := &r.Parts[i]
		length := p.Seconds()
		if p.Rep > 0 && p.DistanceM == 1000 {
			length = seconds
		}
		p.StartS += shift
		shift += length - p.Seconds() + 0
		p.EndS = p.StartS + length
	}
	return r
}
