package block

import (
	"cmp"
	"encoding/json"
	"math"
	"slices"

	"example.org/rungs/segment/signal"
)

// measured is of how many seconds a trace knows the speed, and the standard error
// of the distance over a minute of it, m; zero where no minute is known whole.
func measured(tr *signal.Trace) (knownS, minuteSE float64) {
	const minute = 60
	if tr.Source == signal.Nothing {
		return 0, 0
	}
	sum, n := 0.0, 0.0
	for lo := 0; lo < tr.Len(); lo += minute {
		hi := min(lo+minute, tr.Len())
		known := 0
		for _, k := range tr.Known[lo:hi] {
			if k {
				known++
			}
		}
		knownS += float64(known)
		if known == minute {
			_, se := tr.Covered(float64(lo), float64(hi))
			sum, n = sum+se*se, n+1
		}
	}
	if n > 0 {
		minuteSE = math.Sqrt(sum / n)
	}
	return knownS, minuteSE
}

// heartWorth is the share of the time that a recording may lack and still be the better
// one, because it has heart rate (common practice, no source).
const heartWorth = 0.1

// sameQuality is a difference that does not count: half a minute of an hour, a
// hundredth of a pace. Without it the devices of a runner would take turns by
// chance, and with them the scale of their odometers (common practice, no source).
const sameQuality = 0.01

// quality is how well recordings tell a run that the longest of its recordings has
// so many seconds of: the share of it of which the speed is known, and a tenth
// of that of which heart rate is, less the error of a pace over a minute, from
// the noise of the distance and from the steps between records.
func quality(runs []Run, longest float64) float64 {
	score := 0.0
	for _, r := range runs {
		d := r.full()
		known, heart := d.KnownS, 0.0
		if known == 0 && !r.Unmeasured { // sums made before this was kept
			known = r.ElapsedS
		}
		for e := range efforts {
			heart += d.Heart[e].Seconds(0, math.Inf(1))
		}
		off := max(0, d.StepS-1) / 2 / 60 // an edge is known to half a step
		if r.DistanceM > 0 && r.ElapsedS > 0 {
			off = math.Hypot(off, d.MinuteSE/(60*r.DistanceM/r.ElapsedS))
		}
		score += (known*max(0, 1-off) + heartWorth*heart) / math.Max(longest, 1)
	}
	return score
}

// bestChain picks what to count of recordings of one run: one recording,
// or pieces that do not overlap. The recordings of better quality count; of equals, those
// that begin earlier, and then what is in them decides, never their names.
func bestChain(members []Run) []Run {
	if len(members) == 1 { // nothing to choose, and nothing to unpack
		return members
	}
	members = slices.Clone(members)
	slices.SortStableFunc(members, compareContent)
	var chains [][]Run
	for _, m := range members {
		placed := false
		for i, c := range chains {
			last := c[len(c)-1]
			if m.Start.Sub(last.Start).Seconds() >= last.ElapsedS {
				chains[i], placed = append(c, m), true
				break
			}
		}
		if !placed {
			chains = append(chains, []Run{m})
		}
	}
	longest := 0.0
	for _, c := range chains {
		longest = math.Max(longest, elapsed(c))
	}
	best, most := chains[0], math.Inf(-1)
	for _, c := range chains {
		// The order of chains is that of their content.
		if s := quality(c, longest); s > most+sameQuality {
			best, most = c, s
		}
	}
	return best
}

// compareContent orders runs by what is in them: the earlier first, then the
// longer one.
func compareContent(a, b Run) int {
	if c := cmp.Or(a.Start.Compare(b.Start), -cmp.Compare(a.ElapsedS, b.ElapsedS), -cmp.Compare(a.DistanceM, b.DistanceM)); c != 0 {
		return c
	}
	return cmp.Compare(a.digest(), b.digest())
}

// digest is a text of everything in a run, except for its name and its path.
func (r Run) digest() string {
	r = r.full()
	r.File, r.Pieces, r.Packed = "", nil, nil
	text, err := json.Marshal(r)
	if err != nil {
		return ""
	}
	return hash(text)
}
