package segment_test

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

var marginBorders = segment.MarginBorders

// margins are errors of matched reps over their standard errors, by what they are of.
type margins struct {
	within, start, end [len(marginBorders)][]float64 // errors over standard errors
	startS, endS       []float64                     // errors, s
	pace               []float64                     // with the scale, over standard errors; one for each run
}

func (m *margins) add(b margins) {
	for k := range marginBorders {
		m.within[k] = append(m.within[k], b.within[k]...)
		m.start[k] = append(m.start[k], b.start[k]...)
		m.end[k] = append(m.end[k], b.end[k]...)
	}
	m.startS, m.endS, m.pace = append(m.startS, b.startS...), append(m.endS, b.endS...), append(m.pace, b.pace...)
}

// marginsOf are those of the reps that a split found. What the run has in common, its scale, is that of its whole
// distance.
func marginsOf(s *segment.Session, truth simulate.Truth) (out margins) {
	scale := segment.ScaleIn(s, truth)
	for _, t := range trueReps(truth) {
		for _, f := range foundReps(s) {
			if segment.Overlap(t.start, t.end, f.StartS, f.EndS) < matched {
				continue
			}
			k := segment.MarginBin(t.end - t.start)
			out.startS, out.endS = append(out.startS, f.StartS-t.start), append(out.endS, f.EndS-t.end)
			out.start[k] = append(out.start[k], (f.StartS-t.start)/f.StartSE)
			out.end[k] = append(out.end[k], (f.EndS-t.end)/f.EndSE)
			if e := f.Pace*scale - t.pace; !math.IsNaN(e) && !math.IsNaN(f.WithinSE) {
				out.within[k] = append(out.within[k], e/(f.WithinSE*scale))
				if len(out.pace) == 0 {
					out.pace = append(out.pace, (f.Pace-t.pace)/f.PaceSE)
				}
			}
		}
	}
	return out
}

// marginsOn splits so many sessions on a device that no figure was fitted to; a third are of named kinds.
func marginsOn(d simulate.Device, from uint64, n int) (out margins) {
	list := make([]margins, n)
	segment.Parallel(n, func(i int) {
		r, truth := segment.DrawMargin(d, from, i)
		if found, err := segment.Split(r); err == nil {
			list[i] = marginsOf(found, truth)
		}
	})
	for _, m := range list {
		out.add(m)
	}
	return out
}

// meanOf is the mean without the 3 % farthest out on either side: edges that were cut elsewhere are no bias.
func meanOf(x []float64) float64 {
	y := slices.Sorted(slices.Values(x))
	cut := len(y) * 3 / 100
	y = y[cut : len(y)-cut]
	sum := 0.0
	for _, v := range y {
		sum += v
	}
	return sum / float64(len(y))
}

// marginsTable splits so many sessions on each device, shows what is found to see, and makes a table: the
// share of errors that 95 % intervals hold, and of how many; starts and ends early (less than 0) or late, s.
func marginsTable(sessions int, see func(d simulate.Device, m margins)) string {
	const from = 88_000_000 // never fitted to
	var b strings.Builder
	b.WriteString("| device | within: to 100 s | to 260 s | to 620 s | longer | start: to 100 s | to 260 s | to 620 s | longer | end: to 100 s | to 260 s | to 620 s | longer | start s | end s | with scale |\n" +
		strings.Repeat("|---", 16) + "|\n")
	for _, d := range append(simulate.Devices(), simulate.FurtherDevices()...) {
		m := marginsOn(d, from, sessions)
		fmt.Fprintf(&b, "| %s |", d.Name)
		for _, bins := range [][len(marginBorders)][]float64{m.within, m.start, m.end} {
			for _, z := range bins {
				fmt.Fprintf(&b, " %.0f of %d |", 100*covered(z), len(z))
			}
		}
		fmt.Fprintf(&b, " %+.2f | %+.2f | %.0f |\n", meanOf(m.startS), meanOf(m.endS), 100*covered(m.pace))
		see(d, m)
	}
	return b.String()
}

// TestMargins holds the standard errors of paces within a run, of starts and of ends to the simulated truth,
// on each device and for four lengths of reps, and edges to no bias.
func TestMargins(t *testing.T) {
	sessions := 24
	if *full {
		sessions = 240
	}
	var all margins
	t.Log("\n" + marginsTable(sessions, func(d simulate.Device, m margins) {
		holdMargins(t, d, m)
		all.add(m)
	}))
	for k, border := range marginBorders {
		least := 0.88
		if k == len(marginBorders)-1 { // few, of which some are cut far off
			least = 0.8
		}
		for what, z := range map[string][]float64{"paces within the run": all.within[k], "starts": all.start[k], "ends": all.end[k]} {
			if c := covered(z); c < least || c > 0.99 {
				t.Errorf("reps up to %g s: 95 %% intervals of %s cover %.3f", border, what, c)
			}
		}
	}
	if s, e := meanOf(all.startS), meanOf(all.endS); math.Abs(s) > 0.3 || math.Abs(e) > 0.3 {
		t.Errorf("over all devices starts are off by %+.2f s and ends by %+.2f s", s, e)
	}
}

// holdMargins holds one device to limits a little wider than what 240 sessions showed, since fewer are run in every test.
// Heart rate alone tells of edges only vaguely.
func holdMargins(t *testing.T, d simulate.Device, m margins) {
	bias := 0.6
	if !d.Distance && !d.Positions {
		bias = 2
	}
	for what, bins := range map[string][len(marginBorders)][]float64{"paces within the run": m.within, "starts": m.start, "ends": m.end} {
		var z []float64
		for _, bin := range bins {
			z = append(z, bin...)
		}
		if c := covered(z); len(z) > 0 && c < 0.85 {
			t.Errorf("%s: 95 %% intervals of %s cover %.3f", d.Name, what, c)
		}
	}
	if s, e := meanOf(m.startS), meanOf(m.endS); math.Abs(s) > bias || math.Abs(e) > bias {
		t.Errorf("%s: starts are off by %+.2f s and ends by %+.2f s", d.Name, s, e)
	}
}
