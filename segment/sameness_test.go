package segment

import (
	"fmt"
	"math/rand/v2"
	"path/filepath"
	"strings"
	"testing"

	"example.org/rungs/segment/internal/opendata"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// TestSameReps retells simulated sessions, and open ones where they are, by fewer of their
// streams: the reps must mostly stay the same. It prints in how many they do.
func TestSameReps(t *testing.T) {
	type told struct{ same, all int }
	retold := func(list []*recording.Recording) []told {
		out := make([]told, len(tellings))
		rows := make([][]told, len(list))
		parallel(len(list), func(i int) {
			rows[i] = make([]told, len(tellings))
			whole := repsOf(list[i])
			if len(whole) == 0 {
				return
			}
			for k, how := range tellings {
				r := how.tell(list[i])
				if r == nil {
					continue
				}
				if rows[i][k].all++; sameReps(whole, repsOf(r)) {
					rows[i][k].same++
				}
			}
		})
		for _, row := range rows {
			for k := range row {
				out[k].same, out[k].all = out[k].same+row[k].same, out[k].all+row[k].all
			}
		}
		return out
	}
	var simulated []*recording.Recording
	for seed := uint64(66_000_000); len(simulated) < 60; seed++ {
		s := simulate.Grammar(seed)
		devices := simulate.DevicesFor(s.Place)
		d := devices[rand.New(rand.NewPCG(seed, 1)).IntN(len(devices))]
		if !d.Speed || !d.Distance {
			continue
		}
		r, _ := simulate.Run(s, d, seed)
		simulated = append(simulated, r)
	}
	rows := retold(simulated)
	var b strings.Builder
	b.WriteString("| told as | simulated |\n|---|---|\n")
	same, all := 0, 0
	for k, how := range tellings {
		fmt.Fprintf(&b, "| %s | %d of %d |\n", how.name, rows[k].same, rows[k].all)
		same, all = same+rows[k].same, all+rows[k].all
	}
	t.Log("\n" + b.String())
	if s := share(same, all); s < 0.9 {
		t.Errorf("%.3f of the retellings have the same reps, want at least .9", s)
	}
	t.Run("open", func(t *testing.T) {
		dir := opendata.Folder(t)
		files, _ := filepath.Glob(filepath.Join(dir, "*.truth.tsv"))
		var open []*recording.Recording
		for _, f := range files {
			list, err := recording.Open(strings.TrimSuffix(f, ".truth.tsv") + ".csv")
			if err != nil {
				t.Fatal(err)
			}
			open = append(open, list[0])
		}
		same, all := 0, 0
		for k, row := range retold(open) {
			t.Logf("%s: %d of %d", tellings[k].name, row.same, row.all)
			same, all = same+row.same, all+row.all
		}
		if s := share(same, all); s < 0.65 {
			t.Errorf("%.3f of the retellings have the same reps, want at least .65", s)
		}
	})
}

// repsOf are the reps that Split finds.
func repsOf(r *recording.Recording) (out []Segment) {
	s, err := Split(r)
	if err != nil {
		return nil
	}
	for _, g := range s.Segments {
		if g.Role == Work {
			out = append(out, g)
		}
	}
	return out
}

// sameReps reports whether each rep overlaps its like by 75 % of their union, or by 60 %
// below a minute.
func sameReps(a, b []Segment) bool {
	if len(a) != len(b) {
		return false
	}
	for i, x := range a {
		y, need := b[i], 0.75
		if x.Seconds() < 60 {
			need = 0.6
		}
		if overlap(x.StartS, x.EndS, y.StartS, y.EndS) < need {
			return false
		}
	}
	return true
}
