package match

import (
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

// The whole catalogue of simulated sessions, other runners and other ground
// than those the prices were set on: each structured session against the plan
// that was meant, and runs without structure against plans that they are not.
func TestCatalogue(t *testing.T) {
	t.Parallel()
	strangers := []string{
		"15:00 warm + 6 x 800m off 400m jog + 10:00 cool",
		"10:00 warm + 5 x 4:00 @ 4:00/km off 90s jog + 10:00 cool",
		"8:00 warm + 10 x 45s off 2:00 jog + 15:00 cool",
		"15:00 warm + 20:00 + 10:00 cool",
		"10:00 warm + 8 x 2:00 off 1:00 float + 10:00 cool",
	}
	var done, recognised, refused tally
	for _, k := range simulate.Kinds() {
		for seed := uint64(41000); seed < 41002; seed++ {
			ses := k.Make(seed)
			devices := simulate.DevicesFor(ses.Place)
			d := devices[int(seed)%len(devices)]
			if !d.Distance && !d.Speed {
				continue
			}
			rec, _ := simulate.Run(ses, d, seed)
			s, err := segment.Split(rec)
			if err != nil {
				t.Fatal(err)
			}
			if !k.Structured {
				for _, text := range strangers {
					r := check(t, text, s)
					refused.add(r.Verdict == Different)
					if r.Verdict != Different {
						t.Logf("%s, seed %d, %s: %s taken for it, %q", k.Name, seed, d.Name, text, r.Reasons)
					}
				}
				continue
			}
			r := check(t, ses.Notation, s)
			recognised.add(r.Verdict != Different)
			if r.Verdict == Different {
				t.Logf("%s, seed %d, %s: %s not recognised, %q", k.Name, seed, d.Name, ses.Notation, r.Reasons)
			}
			for _, rep := range r.Reps {
				if rep.Step >= 0 {
					done.add(rep.Outcome == Done)
				}
			}
		}
	}
	t.Logf("planned sessions recognised %.1f %% of %d, their reps done %.1f %% of %d; runs without structure refused %.1f %% of %d",
		recognised.pct(), recognised.of, done.pct(), done.of, refused.pct(), refused.of)
	if recognised.pct() < 97 || done.pct() < 97 || refused.pct() < 97 {
		t.Error("all three must reach 97 %")
	}
}
