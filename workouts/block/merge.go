package block

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"sync"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
)

// Codes of the warnings of a Block.
const (
	RecordedTwice = "recorded-twice"  // two recordings of one run; one is counted
	Overlapping   = "overlapping"     // two recordings at once that are not of one run; both are counted
	Joined        = "joined"          // pieces of one session
	NotJoined     = "not-joined"      // pieces that could not be read again
	NoDate        = "no-date"         // not counted in any week
	NotARun       = "not-a-run"       // of another sport; not counted
	TooLittle     = "too-little"      // nothing can be said of it; not counted
	NoDistance    = "no-distance"     // counted with its time alone
	SeveralPeople = "several-runners" // so many overlaps that the recordings are not of one runner
	LongGap       = "long-gap"        // many weeks without a run, which are left out
)

// Merge makes sessions of runs: of two recordings of one run one is kept, and
// pieces of one session are joined, for which they are read again. It gives the
// sessions in the order of time, undated ones first, and what it did.
func (g Gatherer) Merge(runs []Run) ([]Run, []recording.Warning) {
	runs = slices.Clone(runs)
	slices.SortStableFunc(runs, func(a, b Run) int {
		return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.File, b.File))
	})
	kept, warnings := once(runs)
	groups := make([][]Run, 0, len(kept)) // of pieces; most have one
	for i := range kept {
		if i > 0 && joinable(kept[i-1], kept[i]) {
			groups[len(groups)-1] = append(groups[len(groups)-1], kept[i])
		} else {
			groups = append(groups, kept[i:i+1:i+1])
		}
	}
	joined := make([]recording.Warning, len(groups))
	var wait sync.WaitGroup
	slots := make(chan struct{}, g.workers())
	for i := range groups {
		if len(groups[i]) > 1 {
			slots <- struct{}{}
			wait.Go(func() {
				groups[i], joined[i] = g.join(groups[i])
				<-slots
			})
		}
	}
	wait.Wait()
	sessions := make([]Run, 0, len(kept))
	for i, runs := range groups {
		sessions = append(sessions, runs...)
		if joined[i].Code != "" {
			warnings = append(warnings, joined[i])
		}
	}
	return sessions, warnings
}

// once leaves one recording of each run. Runs are in the order of time.
func once(runs []Run) (kept []Run, warnings []recording.Warning) {
	group, overlaps := alike(runs)
	warnings = overlapsSaid(overlaps)
	last := make([]int, len(runs)) // of each group
	for i, g := range group {
		last[g] = i
	}
	kept = make([]Run, 0, len(runs))
	for i := range runs {
		if group[i] != i {
			continue
		}
		members := runs[i : i+1 : i+1]
		for j := i + 1; j <= last[i]; j++ {
			if group[j] == i {
				members = append(members, runs[j])
			}
		}
		chain := bestChain(members)
		kept = append(kept, chain...)
		for _, m := range members {
			if !slices.ContainsFunc(chain, func(c Run) bool { return c.File == m.File }) {
				warnings = append(warnings, recording.WarningOf(RecordedTwice, "%s (%s) and %s (%s) are recordings of one run; %s is counted",
					names(chain), figures.Kilometres(total(chain)), m.File, figures.Kilometres(m.DistanceM), names(chain)))
			}
		}
	}
	slices.SortStableFunc(kept, func(a, b Run) int { return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.File, b.File)) })
	return kept, warnings
}

// alike groups the recordings of one run: of each, the first of its group. Those at once that
// are not of one run are overlaps.
func alike(runs []Run) (group []int, overlaps []overlap) {
	group = make([]int, len(runs))
	for i := range runs {
		group[i] = i
		if runs[i].Start.IsZero() || !runs[i].counts() || runs[i].LeftOut != "" {
			continue
		}
		for j := i - 1; j >= 0; j-- {
			if runs[i].Start.Sub(runs[j].Start).Hours() > 240 { // no recording lasts longer
				break
			}
			if !runs[j].counts() || runs[j].LeftOut != "" || runs[i].Start.Sub(runs[j].Start).Seconds() >= runs[j].ElapsedS {
				continue
			}
			if same, reason := sameRun(runs[j], runs[i]); !same {
				overlaps = append(overlaps, overlap{runs[j].File, runs[i].File, reason})
				continue
			}
			from, to := group[i], group[j]
			for k := range group {
				if group[k] == from {
					group[k] = to
				}
			}
		}
	}
	return group, overlaps
}

// An overlap is two recordings at once that are not of one run.
type overlap struct{ a, b, reason string }

// mostOverlaps is how many overlaps one runner may have, by a borrowed watch or a
// clock that is wrong: our own choice, no source.
const mostOverlaps = 3

// overlapsSaid tells overlaps, many of them once: then they are of several runners.
func overlapsSaid(all []overlap) (out []recording.Warning) {
	if len(all) > mostOverlaps {
		x := all[0]
		return append(out, recording.WarningOf(SeveralPeople, "%d pairs of recordings overlap and are not of one run, such as %s and %s (%s): these look like the recordings of several runners, added up as one; "+
			"put those of each runner into a folder of their own, and name the folder above with --runners", len(all), x.a, x.b, x.reason))
	}
	for _, x := range all {
		out = append(out, recording.WarningOf(Overlapping, "%s and %s overlap and are counted both: %s; are they of two runners?", x.a, x.b, x.reason))
	}
	return out
}

// sameRun tells whether two recordings are of one run, or one and the same.
func sameRun(a, b Run) (same bool, reason string) {
	if a.key != "" && a.key == b.key {
		return true, "they are the same"
	}
	return recording.SameRun(a.full().thin(), b.full().thin())
}

func elapsed(runs []Run) (s float64) {
	for _, r := range runs {
		s += r.ElapsedS
	}
	return s
}

func total(runs []Run) (m float64) {
	for _, r := range runs {
		m += r.DistanceM
	}
	return m
}

func names(runs []Run) string {
	var all []string
	for _, r := range runs {
		all = append(all, r.File)
	}
	return strings.Join(all, " + ")
}

// joinable tells whether two recordings are pieces of one session.
func joinable(a, b Run) bool {
	if !a.counts() || !b.counts() || a.LeftOut != "" || b.LeftOut != "" {
		return false
	}
	ok, _ := recording.Joinable(a.span(), b.span())
	return ok
}

// join makes one session of pieces. Where a piece cannot be read again they
// stay apart, and that is said.
func (g Gatherer) join(pieces []Run) ([]Run, recording.Warning) {
	said := recording.WarningOf(Joined, "%s are pieces of one session", names(pieces))
	key := g.joinKey(pieces)
	var whole Run
	if !g.Cache.get(key, &whole, func() bool { return sensible(whole) }) {
		var err error
		if whole, err = g.joinAgain(pieces); err != nil {
			return pieces, recording.WarningOf(NotJoined, "%s are pieces of one session and are counted apart: %v", names(pieces), err)
		}
		whole = whole.pack()
		g.Cache.put(key, whole)
	}
	whole.File = names(pieces)
	whole.Pieces = nil
	whole.Where = nil
	for _, p := range pieces {
		whole.Pieces = append(whole.Pieces, p.File)
		whole.Where = append(whole.Where, p.Where...)
	}
	whole.key, whole.pieces = key, pieces
	share(whole.Where, whole.DistanceM, whole.MovingS)
	return []Run{whole}, said
}

// share makes the places add up to the session: stops at their ends, and the
// scale of the odometer on a track, may differ between pieces and whole.
func share(where []Where, metres, seconds float64) {
	m, s := 0.0, 0.0
	for _, w := range where {
		m, s = m+w.DistanceM, s+w.MovingS
	}
	for i := range where {
		if m > 0 {
			where[i].DistanceM *= metres / m
		}
		if s > 0 {
			where[i].MovingS *= seconds / s
		}
	}
}

// joinKey is the key of a session in the cache; empty when a piece has none.
func (g Gatherer) joinKey(pieces []Run) string {
	var keys []string
	for _, p := range pieces {
		if p.key == "" {
			return ""
		}
		keys = append(keys, p.key)
	}
	return "join-" + hash([]byte(strings.Join(keys, "+")+g.knownKey()))
}

// joinAgain reads the pieces again and splits them as one session.
func (g Gatherer) joinAgain(pieces []Run) (Run, error) {
	whole, err := readPieces(pieces)
	if err != nil {
		return Run{}, err
	}
	s, err := g.split(whole)
	if err != nil {
		return Run{}, err
	}
	return Summarise(s), nil
}

// readPieces reads the recordings of pieces again, as one. Whether they belong
// together was settled before.
func readPieces(pieces []Run) (whole *recording.Recording, err error) {
	for _, p := range pieces {
		r, err := p.read()
		if err != nil {
			return nil, err
		}
		if whole == nil {
			whole = r
			continue
		}
		if whole, err = recording.Join(whole, r); err != nil {
			return nil, err
		}
	}
	return whole, nil
}

// read reads the run's recording again.
func (r Run) read() (*recording.Recording, error) {
	path, name := r.path, r.path+r.inside
	if path == "" { // made elsewhere; then the name is the path, and perhaps a number
		path, name = r.File, r.File
		if i := strings.LastIndexByte(path, '#'); i > 0 {
			path = path[:i]
		}
	}
	if path == stdin {
		return nil, fmt.Errorf("%s: standard input cannot be read again", r.File)
	}
	raw, err := recording.ReadFile(path)
	if err != nil {
		return nil, err
	}
	for rec, err := range recording.Each(path, raw) {
		if err == nil && rec.Name == name {
			return rec, nil
		}
	}
	return nil, fmt.Errorf("%s: the recording is not there any more", r.File)
}
