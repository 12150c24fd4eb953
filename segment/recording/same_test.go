package recording

import (
	"errors"
	"math"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// made is a recording of n seconds at a speed, starting so many seconds after
// a fixed time.
func made(name string, startS, n int, speed float64) *Recording {
	nan := math.NaN()
	r := &Recording{Name: name, Format: "simulated", Sport: Running, Start: time.Date(2024, 5, 1, 7, 0, startS, 0, time.UTC),
		T: make([]float64, n+1), Distance: MakeStream(n + 1), HeartRate: MakeStream(n + 1), Summary: Summary{nan, nan, nan}}
	for i := range r.T {
		r.T[i] = float64(i)
		r.Distance.Set(i, speed*float64(i))
		r.HeartRate.Set(i, 140)
	}
	return r
}

func TestSameRun(t *testing.T) {
	with := func(r *Recording, change func(*Recording)) *Recording { change(r); return r }
	watch := made("watch", 0, 3600, 3)
	for _, c := range []struct {
		name string
		b    *Recording
		same bool
		says string
	}{
		{"a second watch, started and stopped a little later", made("b", 20, 3610, 3.06), true,
			"they have 3580 s in common, 99 % of the shorter one, and cover 10740 m and 10955 m in it"},
		{"the same file again", made("b", 0, 3600, 3), true, "they have 3600 s in common, 100 % of the shorter one, and cover 10800 m and 10800 m in it"},
		{"a watch worn for a piece of it", made("b", 600, 1200, 2.9), true, "they have 1200 s in common, 100 % of the shorter one, and cover 3600 m and 3480 m in it"},
		{"a treadmill that counts 15 % less", made("b", 0, 3600, 2.55), true, "they have 3600 s in common, 100 % of the shorter one, and cover 10800 m and 9180 m in it"},
		{"heart rate only", with(made("b", 0, 3600, 3), func(r *Recording) { r.Distance = Stream{} }), true,
			"they have 3600 s in common, 100 % of the shorter one; the distances cannot be compared"},
		{"someone else's", made("b", 0, 3600, 2), false, "they have 3600 s in common, 100 % of the shorter one, but cover 10800 m and 7200 m in it"},
		{"the next run", made("b", 4000, 3600, 3), false, "they have no time in common"},
		{"a clock that is off", made("b", 3000, 3600, 3), false, "they have only 17 % of the shorter one's time in common"},
		{"a ride", with(made("b", 0, 3600, 3), func(r *Recording) { r.Sport = Cycling }), false, "one is of running, the other of cycling"},
		{"no date", with(made("b", 0, 3600, 3), func(r *Recording) { r.Start = time.Time{} }), false, "one of them does not know its date"},
	} {
		same, reason := SameRun(watch, c.b)
		if same != c.same || reason != c.says {
			t.Errorf("%s: %v, %s\nwant %v, %s", c.name, same, reason, c.same, c.says)
		}
		if back, _ := SameRun(c.b, watch); back != same {
			t.Errorf("%s: the answer depends on the order", c.name)
		}
	}
	positions := made("p", 0, 600, 3)
	positions.Distance = Stream{}
	positions.Latitude, positions.Longitude = MakeStream(601), MakeStream(601)
	for i := range 601 {
		positions.Latitude.Set(i, 45+2.7e-5*float64(i)) // 3.0 m a second along the meridian
		positions.Longitude.Set(i, 7.5)
	}
	if same, reason := SameRun(made("a", 0, 600, 3), positions); !same || !strings.Contains(reason, "1800 m in it") && !strings.Contains(reason, "m and 1") {
		t.Errorf("positions: %v, %s", same, reason)
	}
}

func TestJoin(t *testing.T) {
	first, second := made("warm.fit", 0, 600, 2.5), made("session.fit", 700, 1800, 3)
	first.Laps = []Lap{{Span{0, 600}, 1500, ManualTrigger, WarmUp, 2}}
	first.Stops = []Span{{100, 110}}
	first.Summary = Summary{600, 590, 1500}
	second.Laps = []Lap{{Span{0, 300}, 900, ManualTrigger, Active, 0}}
	second.Stops = []Span{{50, 60}}
	second.Summary = Summary{1800, 1790, 5400}
	second.Plan = &Plan{Name: "p"}
	second.Warn(Gap, "g", 5, 6)
	second.warnAll(HeartRateApart, "h")
	second.Cadence = MakeStream(1801)
	second.Cadence.Set(0, 180)
	keep := func() (*Recording, *Recording) { // deep copies, to see that nothing is changed
		return copyOf(first), copyOf(second)
	}
	wantFirst, wantSecond := keep()
	joined, err := Join(second, first) // in any order
	if err != nil {
		t.Fatal(err)
	}
	same := cmp.Options{cmpopts.EquateNaNs()}
	if diff := cmp.Diff(wantFirst, first, same); diff != "" {
		t.Errorf("the first was changed: %s", diff)
	}
	if diff := cmp.Diff(wantSecond, second, same); diff != "" {
		t.Errorf("the second was changed: %s", diff)
	}
	if fault := invariant(joined); fault != "" {
		t.Error(fault)
	}
	if joined.Name != "warm.fit + session.fit" || joined.Len() != 601+1801 || joined.Duration() != 2500 || !joined.Start.Equal(first.Start) {
		t.Errorf("%s, %d records, %v s from %v", joined.Name, joined.Len(), joined.Duration(), joined.Start)
	}
	if d, _ := joined.Distance.At(joined.Len() - 1); d != 1500+5400 {
		t.Errorf("distance %v m, want 6900", d)
	}
	if !slices.Equal(joined.Stops, []Span{{100, 110}, {600, 700}, {750, 760}}) {
		t.Errorf("stops %v", joined.Stops)
	}
	if joined.Laps[0].Step != -1 || joined.Laps[1].Step != 0 || joined.Laps[1].Span != (Span{700, 1000}) || joined.Plan != second.Plan {
		t.Errorf("laps %v", joined.Laps)
	}
	if joined.Summary != (Summary{2500, 2380, 6900}) {
		t.Errorf("summary %v", joined.Summary)
	}
	if v, ok := joined.Cadence.At(601); !ok || v != 180 || joined.Cadence.Count() != 1 {
		t.Errorf("cadence %v %v", v, ok)
	}
	if codes(joined) != Gap+" "+HeartRateApart+" "+Joined || joined.Warnings[0].StartS != 705 {
		t.Errorf("warnings %v", joined.Warnings)
	}
	// An odometer that went on by itself is left alone.
	for i := range second.Distance.Value {
		second.Distance.Value[i] += 1600
	}
	if joined, err = Join(first, second); err != nil {
		t.Fatal(err)
	}
	if d, _ := joined.Distance.At(joined.Len() - 1); d != 7000 {
		t.Errorf("distance %v m, want 7000", d)
	}
	for _, c := range []struct {
		b    *Recording
		says string
	}{
		{made("b", 300, 600, 3), "the second begins before the first ends"},
		{made("b", 600+1300, 600, 3), "22 min lie between them"},
		{&Recording{Name: "b"}, "one of them does not know its date"},
	} {
		if ok, reason := Joinable(made("a", 0, 600, 3), c.b); ok || reason != c.says {
			t.Errorf("got %v, %s, want %s", ok, reason, c.says)
		}
	}
	for _, c := range []struct {
		b    *Recording
		says string
	}{
		{made("b", 300, 600, 3), "a + b: cannot be joined: they overlap"},
		{made("b", 600+13*3600, 600, 3), "a + b: cannot be joined: the second begins 13 hours after the first ends"},
		{&Recording{Name: "b"}, "b + a: cannot be joined: one of them has no date or no records"},
	} {
		r, err := Join(made("a", 0, 600, 3), c.b)
		if r != nil || !errors.Is(err, ErrNotJoinable) || err.Error() != c.says {
			t.Errorf("got %v, want %s", err, c.says)
		}
	}
}

func copyOf(r *Recording) *Recording {
	c := *r
	c.T = slices.Clone(r.T)
	c.Laps, c.Stops, c.Warnings = slices.Clone(r.Laps), slices.Clone(r.Stops), slices.Clone(r.Warnings)
	for _, s := range c.streams() {
		s.Value, s.Valid = slices.Clone(s.Value), slices.Clone(s.Valid)
	}
	return &c
}
