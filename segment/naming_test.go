package segment_test

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

// A naming counts how the notation names the reps of sessions that were found.
type naming struct {
	sessions int
	meant    int // every rep by the amount that was meant
	open     int // by no amount, though some was meant
	wrong    int // some rep by an amount that it is not
}

func (n *naming) add(m naming) {
	n.sessions, n.meant, n.open, n.wrong = n.sessions+m.sessions, n.meant+m.meant, n.open+m.open, n.wrong+m.wrong
}

// amountsOf are the amounts of the reps that blocks stand for, each in its turn.
func amountsOf(blocks []segment.Block) (out []segment.Amount) {
	for _, b := range blocks {
		for range b.Count {
			if len(b.Body) > 0 {
				out = append(out, amountsOf(b.Body)...)
			} else if b.Role == segment.Work {
				out = append(out, b.Amount)
			}
		}
	}
	return out
}

// namingOf holds the names of reps, which are all found, against what was meant and what was run.
func namingOf(s *segment.Session, truth simulate.Truth) naming {
	const far = 0.12 // from an amount, as a share, beside what the edges may be off
	var meant []simulate.TruthLeg
	for _, l := range truth.Legs {
		if l.Role == "work" {
			meant = append(meant, l)
		}
	}
	out := naming{sessions: 1, meant: 1}
	told, reps := amountsOf(s.Structure), foundReps(s)
	if len(told) != len(meant) {
		return naming{sessions: 1, wrong: 1}
	}
	for i, a := range told {
		open := meant[i].MeantS == 0 && meant[i].MeantM == 0
		if math.Abs(a.Seconds-meant[i].MeantS) > 1 || math.Abs(a.Metres-meant[i].MeantM) > 3 {
			out.meant = 0
		}
		short := 0.0 // of the amount, s
		switch g := reps[i]; {
		case a.Seconds > 0:
			short = a.Seconds - g.Seconds()
		case a.Metres > 0:
			short = (a.Metres/g.DistanceM - 1) * g.Seconds()
		case !open:
			out.open = 1
		}
		if short = math.Abs(short); short > far*reps[i].Seconds() && short > 3+3*math.Hypot(reps[i].StartSE, reps[i].EndSE) {
			out.wrong = 1
		}
	}
	return out
}

// namings are those of n sessions of the grammar, by shape and of all, of which each rep was found.
func namings(n int) map[string]*naming {
	type named struct {
		shape string
		naming
	}
	list := make([]named, n)
	segment.Parallel(n, func(i int) {
		x := drawnRun(i, false)
		s, err := segment.Split(x.r)
		if err != nil {
			panic(err) // a simulated run is never too short
		}
		if judgeReps(s, trueReps(withoutSets(x.truth))).exact == 1 {
			list[i] = named{x.shape, namingOf(s, x.truth)}
		}
	})
	out := map[string]*naming{}
	for _, x := range list {
		for _, name := range []string{x.shape, "all"} {
			if out[name] == nil {
				out[name] = &naming{}
			}
			out[name].add(x.naming)
		}
	}
	delete(out, "")
	return out
}

// namingTable is a table of them.
func namingTable(list map[string]*naming) string {
	var b strings.Builder
	b.WriteString("| | sessions | as meant | by no amount | a rep that is not so |\n|---|---|---|---|---|\n")
	for _, name := range slices.Sorted(maps.Keys(list)) {
		x := list[name]
		fmt.Fprintf(&b, "| %s | %d | %.1f | %.1f | %.1f |\n", name, x.sessions, 100*share(x.meant, x.sessions), 100*share(x.open, x.sessions), 100*share(x.wrong, x.sessions))
	}
	return b.String()
}

// TestNaming: reps that are found are named by what they are. Pyramids of round amounts were once told as run by feel, and
// a block before eight short reps as one of nine. Half of all amounts that the grammar draws are not round.
func TestNaming(t *testing.T) {
	list := namings(300)
	t.Log("\n" + namingTable(list))
	all := list["all"]
	if got := share(all.meant, all.sessions); got < 0.7 {
		t.Errorf("%.2f are named as meant", got)
	}
	if got := share(all.open, all.sessions); got > 0.05 {
		t.Errorf("%.2f by no amount", got)
	}
	if got := share(all.wrong, all.sessions); got > 0.04 {
		t.Errorf("%.2f with a rep that is not so", got)
	}
}
