package block

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment/simulate"
)

// Of two recordings of one run the better told one counts, however they are
// named and in whatever order they come: the one with heart rate, the one with
// records every second, the one with the calmer odometer. Where they are about
// equally good, as a city's may be, the same one counts under either name.
func TestBetterToldCounts(t *testing.T) {
	named := func(name string, change func(d *simulate.Device)) simulate.Device {
		d, ok := simulate.DeviceNamed(name)
		if !ok {
			t.Fatal(name)
		}
		if change != nil {
			change(&d)
		}
		return d
	}
	kind, ok := simulate.KindNamed("4 minute reps")
	if !ok {
		t.Fatal("no such kind")
	}
	good := named("good watch, open sky", nil)
	for _, c := range []struct {
		name  string
		worse simulate.Device
		clear bool
	}{
		{"no heart rate", named("good watch, open sky", func(d *simulate.Device) { d.Heart = simulate.NoHeart }), true},
		{"a phone", named("phone, distance only", nil), true},
		{"a city", named("watch in the city", nil), false},
		{"every eighth second", named("good watch, open sky", func(d *simulate.Device) { d.EveryS = 8 }), true},
		{"a noisy odometer", named("older watch, every second", func(d *simulate.Device) { d.OdoNoise, d.SpeedNoise = 2, .8 }), true},
	} {
		// The worse one is the runner's own, or the other device, started later.
		for _, devices := range [][]simulate.Device{{good, c.worse}, {c.worse, good}} {
			for seed := range uint64(3) {
				recs, _ := simulate.RunAll(kind.Make(seed), devices, seed)
				better := 0
				if devices[1] == good {
					better = 1
				}
				var counted []int
				for _, names := range [][]string{{"a.fit", "b.fit"}, {"b.fit", "a.fit"}} {
					folder := t.TempDir()
					for i, r := range recs {
						var file bytes.Buffer
						if err := simulate.WriteFIT(&file, r); err != nil {
							t.Fatal(err)
						}
						if err := os.WriteFile(filepath.Join(folder, names[i]), file.Bytes(), 0o600); err != nil {
							t.Fatal(err)
						}
					}
					runs, errs := Gatherer{}.Gather(t.Context(), []string{folder})
					if len(errs) > 0 {
						t.Fatal(errs)
					}
					sessions, said := Gatherer{}.Merge(runs)
					if len(sessions) != 1 || codesOf(said) != RecordedTwice {
						t.Fatalf("%s, seed %d: %d sessions, %v", c.name, seed, len(sessions), said)
					}
					name := filepath.Base(sessions[0].File)
					if !strings.HasSuffix(said[0].Message, name+" is counted") {
						t.Errorf("%s counts, and it is said: %s", name, said[0].Message)
					}
					counted = append(counted, slices.Index(names, name))
				}
				if counted[0] != counted[1] || c.clear && counted[0] != better {
					t.Errorf("%s, seed %d: devices %v count under the two names, %d is the better one", c.name, seed, counted, better)
				}
			}
		}
	}
}

// Where nothing tells two recordings apart but what is in them, the names still
// do not decide.
func TestTiesAreBrokenByContent(t *testing.T) {
	start := utc(9, 8, 17)
	one := withWay(easyOf("a", start, 10, ""))
	other := withWay(easyOf("b", start, 10, ""))
	other.Parts[0].HeartBPM = 140 // is in no score
	first := bestChain([]Run{one, other})[0].Parts[0].HeartBPM
	one.File, other.File = other.File, one.File
	for _, members := range [][]Run{{one, other}, {other, one}} {
		if got := bestChain(members)[0].Parts[0].HeartBPM; got != first {
			t.Errorf("named the other way the one with %v counts, not that with %v", got, first)
		}
	}
}
