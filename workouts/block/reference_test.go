package block

import (
	"bytes"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/tormoder/fit"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block/demo"
)

// season writes 16 weeks of one runner as FIT files: treadmill, track, trail
// and road, some recorded twice, some in pieces. The runner begins in Berlin,
// is in New York from 16 February to 5 April and back in Berlin after that, so
// that both places change their clocks meanwhile. Sunday's run begins at 22:30
// UTC, which is Sunday in Berlin before 29 March and Monday after; Tuesday's is
// moved to Monday, 03:40 UTC, which is Sunday in New York and Monday in Berlin.
//
// No device writes a speed, so that the odometer is the only witness.
func season(t testing.TB, folder string) {
	t.Helper()
	for week := 1; week <= 16; week++ {
		for _, o := range demo.Week(3, week) {
			s := &o.Session
			switch s.Start.Weekday() {
			case time.Sunday:
				s.Start = s.Start.Truncate(24 * time.Hour).Add(22*time.Hour + 30*time.Minute)
			case time.Tuesday:
				s.Start = s.Start.Truncate(24 * time.Hour).Add(-24*time.Hour + 3*time.Hour + 40*time.Minute)
			}
			for i := range o.Devices {
				o.Devices[i].Speed = false
			}
			files, err := o.Files()
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range files {
				if err := os.WriteFile(filepath.Join(folder, f.Name), f.Data, 0o600); err != nil {
					t.Fatal(err)
				}
			}
		}
	}
}

const seasonZones = "Europe/Berlin, 2026-02-16 America/New_York, 2026-04-06 Europe/Berlin"

// seasonClock is the runner's clock, spelled out: hours ahead of UTC from each
// moment on. Berlin changes on the last Sunday of March at 01:00 UTC (Directive
// 2000/84/EC), New York on the second Sunday of March at 02:00 local time
// (Energy Policy Act of 2005).
var seasonClock = []struct {
	from  time.Time
	hours int
}{
	{time.Date(2026, 1, 1, 0, 0, 0, 0, time.UTC), +1},
	{time.Date(2026, 2, 16, 5, 0, 0, 0, time.UTC), -5},
	{time.Date(2026, 3, 8, 7, 0, 0, 0, time.UTC), -4},
	{time.Date(2026, 4, 5, 22, 0, 0, 0, time.UTC), +2}, // midnight of the 6th in Berlin
}

// A plainRun is a recording read by another library, and nothing but sums.
type plainRun struct {
	start          time.Time
	t, d           []float64 // s and m by record
	stopped        []recording.Span
	place          string
	elapsed, metre float64
}

func readPlain(t *testing.T, path string) plainRun {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	file, err := fit.Decode(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	a, err := file.Activity()
	if err != nil {
		t.Fatal(err)
	}
	p := plainRun{start: a.Records[0].Timestamp, place: a.Sessions[0].SubSport.String()}
	for _, r := range a.Records {
		p.t = append(p.t, r.Timestamp.Sub(p.start).Seconds())
		p.d = append(p.d, r.GetDistanceScaled())
	}
	n := len(p.t) - 1
	p.elapsed, p.metre = p.t[n], p.d[n]-p.d[0]
	stop := math.NaN()
	for _, e := range a.Events {
		at := e.Timestamp.Sub(p.start).Seconds()
		switch {
		case e.Event != fit.EventTimer:
		case e.EventType == fit.EventTypeStopAll:
			stop = at
		case e.EventType == fit.EventTypeStart && !math.IsNaN(stop):
			p.stopped = append(p.stopped, recording.Span{StartS: stop, EndS: at})
			stop = math.NaN()
		}
	}
	return p
}

// at is the odometer at a time, linear between records.
func (p plainRun) at(s float64) float64 {
	for i := 1; i < len(p.t); i++ {
		if p.t[i] >= s {
			share := max(0, (s-p.t[i-1])/(p.t[i]-p.t[i-1]))
			return p.d[i-1] + share*(p.d[i]-p.d[i-1]) - p.d[0]
		}
	}
	return p.metre
}

// plainWeek is the sums of a week, by name.
type plainWeek map[string]float64

// plainSums is the slow way: every file is read by another library, which are
// double and which are pieces is known from their names, weeks are counted from
// the first Monday, and the ledger is summed over the raw odometer between the
// edges that Split gives.
func plainSums(t *testing.T, folder string) map[string]plainWeek {
	t.Helper()
	weeks := map[string]plainWeek{}
	paths, err := filepath.Glob(filepath.Join(folder, "*.fit"))
	if err != nil {
		t.Fatal(err)
	}
	warmUps := map[string]plainRun{}
	for _, path := range paths { // by name, so a warm-up comes before its session
		p := readPlain(t, path)
		name := filepath.Base(path)
		hours := 0
		for _, c := range seasonClock {
			if !p.start.Before(c.from) {
				hours = c.hours
			}
		}
		day := p.start.Add(time.Duration(hours) * time.Hour).Truncate(24 * time.Hour)
		monday := demo.First.AddDate(0, 0, 7*int(math.Floor(day.Sub(demo.First).Hours()/24/7)))
		week := monday.Format(time.DateOnly)
		if weeks[week] == nil {
			weeks[week] = plainWeek{}
		}
		w := weeks[week]
		w["recordings"]++
		if strings.Contains(name, "-device-2") {
			continue
		}
		day10 := name[:len("2006-01-02")]
		if strings.Contains(name, "-warm-up") {
			warmUps[day10] = p
			continue
		}
		recs, err := recording.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		rec, whole := recs[0], p
		if first, ok := warmUps[day10]; ok {
			before, err := filepath.Glob(filepath.Join(folder, day10+"*-warm-up.fit"))
			if err != nil || len(before) != 1 {
				t.Fatal(before, err)
			}
			pieces, err := recording.Open(before[0])
			if err != nil {
				t.Fatal(err)
			}
			if rec, err = recording.Join(pieces[0], recs[0]); err != nil {
				t.Fatal(err)
			}
			whole = first
			shift := p.start.Sub(first.start).Seconds()
			whole.stopped = append(whole.stopped, recording.Span{StartS: first.elapsed, EndS: shift})
			for i := range p.t {
				whole.t, whole.d = append(whole.t, p.t[i]+shift), append(whole.d, p.d[i]-p.d[0]+first.metre+first.d[0])
			}
			whole.elapsed, whole.metre = shift+p.elapsed, first.metre+p.metre
		}
		s, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		// On a track the reps correct the odometer; by how much is in a warning, to
		// 0.1 %. The exact factor comes from the trace and is held against that.
		scale := 1.0
		for _, x := range s.Warnings {
			if x.Code == "odometer-scale" {
				scale = s.Trace.DistanceAt(1e9) / whole.metre
				said := 0.0
				fmt.Sscanf(x.Message, "the odometer reads %f %%", &said)
				if math.Abs(100*(1/scale-1)-said) > 0.06 {
					t.Errorf("%s: scale %.5f, said %.1f %%", name, scale, said)
				}
			}
		}
		still := whole.stopped // by the timer, and what Split found beside
		for _, g := range s.Segments {
			if g.Role == segment.Stop {
				still = append(still, recording.Span{StartS: g.StartS, EndS: g.EndS})
			}
		}
		moving := 0.0
		const step = 0.05
		for at := step / 2; at < whole.elapsed; at += step {
			stood := false
			for _, x := range still {
				stood = stood || at >= x.StartS && at < x.EndS
			}
			if !stood {
				moving += step
			}
		}
		w["sessions"]++
		w["distance"] += whole.metre * scale
		w["time"] += moving
		w[whole.place+" distance"] += whole.metre * scale
		work := 0.0
		for _, g := range s.Segments {
			if g.Role == segment.Work {
				work += g.EndS - g.StartS
			}
		}
		if work < 300 {
			continue
		}
		w["hard"]++
		w["hard distance"] += whole.metre * scale
		for _, g := range s.Segments {
			from, to := whole.at(g.StartS+s.Trace.DelayS), whole.at(g.EndS+s.Trace.DelayS)
			if g.StartS == 0 {
				from = 0
			}
			w[string(g.Role)+" distance"] += (to - from) * scale
			length := g.EndS - g.StartS
			if g.Role != segment.Work && g.Role != segment.Recovery {
				for _, x := range whole.stopped {
					stood := max(0, min(x.EndS, g.EndS)-max(x.StartS, g.StartS))
					length -= stood
					w["stop time"] += stood
				}
			}
			w[string(g.Role)+" time"] += length
		}
	}
	return weeks
}

// The sums of a season are those of the slow way, to 1 m and 1 s a week.
func TestSeasonAgainstPlainSums(t *testing.T) {
	folder := t.TempDir()
	season(t, folder)
	want := plainSums(t, folder)
	c, err := ParseCalendar(seasonZones)
	if err != nil {
		t.Fatal(err)
	}
	g := Gatherer{}
	runs, errs := g.Gather(t.Context(), []string{folder})
	if len(errs) > 0 {
		t.Fatal(errs)
	}
	sessions, said := g.Merge(runs)
	b := New(sessions, runs, athlete.New(), c)
	codes := map[string]int{}
	for _, w := range said {
		codes[w.Code]++
	}
	if codes[RecordedTwice] != 4 || codes[Joined] != 3 || len(codes) != 2 {
		t.Errorf("warnings %v, want 4 double recordings and 3 sessions in pieces", codes)
	}
	if len(b.Weeks) != len(want) || len(want) < 16 {
		t.Fatalf("%d weeks, want %d", len(b.Weeks), len(want))
	}
	subSports := map[recording.Place]string{recording.Outdoors: "Street", recording.Treadmill: "Treadmill", recording.Track: "Track", recording.Trail: "Trail"}
	checked, most := 0, 0.0
	for _, w := range b.Weeks {
		got := plainWeek{"recordings": float64(w.Recordings), "sessions": float64(w.Sessions), "distance": w.DistanceM, "time": w.TimeS,
			"hard": float64(w.Hard), "hard distance": w.HardM}
		for _, x := range w.Where {
			got[subSports[x.Place]+" distance"] = x.DistanceM
		}
		for i, role := range LedgerRoles {
			got[string(role)+" distance"] = w.Ledger[i].DistanceM
			got[string(role)+" time"] = w.Ledger[i].Seconds
		}
		plain := want[w.Start.Format(time.DateOnly)]
		for key, x := range plain {
			if _, ok := got[key]; !ok {
				t.Errorf("%s: no %s", w.Name, key)
			}
			checked++
			most = max(most, math.Abs(got[key]-x))
			if math.Abs(got[key]-x) > 1 {
				t.Errorf("%s: %s is %.2f, the slow way %.2f", w.Name, key, got[key], x)
			}
		}
		for key, x := range got {
			if x != 0 && plain[key] == 0 && math.Abs(x) > 1 {
				t.Errorf("%s: %s is %.2f, and nothing the slow way", w.Name, key, x)
			}
		}
	}
	t.Logf("%d weeks, %d sums, the greatest difference %.3f", len(b.Weeks), checked, most)
	if checked < 16*12 {
		t.Errorf("only %d sums compared", checked)
	}
}
