package demo

import (
	"bytes"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
)

// Every week has five outings within it, one of them in two pieces in every
// fifth week and one on two devices in every fourth; files have names of their
// own, read back as what they are, and are the same when made again.
func TestWeek(t *testing.T) {
	names := map[string]bool{}
	for week := 1; week <= 5; week++ {
		begin := First.AddDate(0, 0, 7*(week-1))
		outings, files := Week(7, week), 0
		again := Week(7, week)
		for i, o := range outings {
			if o.Session.Start.Before(begin) || !o.Session.Start.Before(begin.AddDate(0, 0, 7)) {
				t.Errorf("week %d: %s begins %s", week, o.Name, o.Session.Start)
			}
			made, err := o.Files()
			if err != nil {
				t.Fatal(err)
			}
			second, err := again[i].Files()
			if err != nil {
				t.Fatal(err)
			}
			for j, f := range made {
				files++
				if names[f.Name] {
					t.Errorf("two files are named %s", f.Name)
				}
				names[f.Name] = true
				if !bytes.Equal(f.Data, second[j].Data) {
					t.Errorf("%s differs when made again", f.Name)
				}
				recs, err := recording.Read(f.Name, bytes.NewReader(f.Data))
				if err != nil || len(recs) != 1 {
					t.Fatal(f.Name, len(recs), err)
				}
				r := recs[0]
				if r.Sport != recording.Running || r.Place != o.Session.Place || r.Start.Sub(o.Session.Start) > time.Minute {
					t.Errorf("%s: %s, %s, from %s", f.Name, r.Sport, r.Place, r.Start)
				}
			}
		}
		want := 5
		if week%4 == 0 || week%5 == 0 {
			want = 6
		}
		if files != want {
			t.Errorf("week %d has %d files, want %d", week, files, want)
		}
	}
	if a, b := Week(1, 1)[0], Week(2, 1)[0]; a.Session.Legs[1].StartMPS == b.Session.Legs[1].StartMPS {
		t.Error("two runners run at the same speed")
	}
	if a, b := Week(1, 1)[0], Week(1, 11)[0]; !(b.Session.Legs[1].StartMPS > a.Session.Legs[1].StartMPS) {
		t.Error("the runner gets no quicker")
	}
}
