package block

import (
	"cmp"
	"fmt"
	"path/filepath"
	"slices"
	"strings"
	"sync"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
)

// Codes of the warnings about what the log says.
const (
	LeftOutByLog = "left-out-by-log" // the log leaves a session out
	NotRead      = "not-read-again"  // a correction that could not be laid over its recording
)

// Obey does to the sessions that Merge gave what the log says of them: it joins
// those that belong together, leaves out, reads corrected ones again, and keeps the
// rest for New. Lines that mean no session are in the diagnostics. The recordings
// of what is joined or corrected are read again, once while there is a cache.
func (g Gatherer) Obey(sessions []Run, l log.Log, c Calendar) ([]Run, []recording.Warning, workouts.Diagnostics) {
	told, warnings, found := g.Tell(sessions, l, c)
	kept, more := g.Heed(told)
	return kept, append(warnings, more...), found
}

// Tell is the first half of Obey: it joins sessions and puts what the log says beside
// each, also beside those that it leaves out.
func (g Gatherer) Tell(sessions []Run, l log.Log, c Calendar) ([]Run, []recording.Warning, workouts.Diagnostics) {
	sessions, warnings := g.joinTold(slices.Clone(sessions), l, c)
	entries, found := l.Match(Logged(sessions, c))
	for i := range sessions {
		if !sessions[i].Start.IsZero() && entries[i].Line > 0 {
			sessions[i].Said = &entries[i]
		}
	}
	return sessions, warnings, found
}

// Heed is the second half: it leaves out and reads again.
func (g Gatherer) Heed(told []Run) ([]Run, []recording.Warning) {
	var kept []Run
	var warnings []recording.Warning
	for _, r := range told {
		if r.Said != nil && r.Said.LeaveOut {
			warnings = append(warnings, recording.WarningOf(LeftOutByLog, "%s is not counted: line %d of the log leaves it out", r.File, r.Said.Line))
			continue
		}
		kept = append(kept, r)
	}
	said := make([]recording.Warning, len(kept))
	var wait sync.WaitGroup
	slots := make(chan struct{}, g.workers())
	for i := range kept {
		if e := kept[i].Said; e != nil && saysRun(*e) != "" {
			slots <- struct{}{}
			wait.Go(func() {
				kept[i], said[i] = g.corrected(kept[i])
				<-slots
			})
		}
	}
	wait.Wait()
	for i, w := range said {
		if w.Code != "" {
			warnings = append(warnings, w)
		}
		if e := kept[i].Said; e != nil && e.Place != "" {
			kept[i].Where = []Where{{e.Place, kept[i].DistanceM, kept[i].MovingS}}
		}
	}
	return kept, warnings
}

// Logged is what the log is matched to.
func Logged(runs []Run, c Calendar) []log.Session {
	out := make([]log.Session, len(runs))
	for i, r := range runs {
		out[i] = log.Session{Start: c.Local(r.Start), ElapsedS: r.ElapsedS, Files: r.Files()}
	}
	return out
}

// Files are the names of the recordings that the run was made from.
func (r Run) Files() []string {
	if len(r.Pieces) > 0 {
		return r.Pieces
	}
	return []string{r.File}
}

// joinTold joins the sessions of which the log says that they belong together.
func (g Gatherer) joinTold(sessions []Run, l log.Log, c Calendar) ([]Run, []recording.Warning) {
	entries, _ := l.Match(Logged(sessions, c))
	var warnings []recording.Warning
	into := map[int]int{}
	root := func(i int) int {
		for next, ok := into[i]; ok; next, ok = into[i] {
			i = next
		}
		return i
	}
	for i, e := range entries {
		if e.With == "" {
			continue
		}
		j, ok := with(e, i, sessions, c)
		if !ok {
			warnings = append(warnings, recording.WarningOf(NotJoined, "line %d of the log: no other recording of that day is meant by %q", e.Line, "with "+e.With))
			continue
		}
		if a, b := root(i), root(j); a != b {
			into[max(a, b)] = min(a, b)
		}
	}
	if len(into) == 0 {
		return sessions, warnings
	}
	groups := make([][]Run, len(sessions))
	for i, r := range sessions {
		k := root(i)
		groups[k] = append(groups[k], r.apart()...)
	}
	var out []Run
	for _, pieces := range groups {
		if len(pieces) > 1 && len(into) > 0 {
			slices.SortStableFunc(pieces, func(a, b Run) int { return cmp.Or(a.Start.Compare(b.Start), cmp.Compare(a.File, b.File)) })
			joined, said := g.join(pieces)
			out, warnings = append(out, joined...), append(warnings, said)
			continue
		}
		out = append(out, pieces...)
	}
	return out, warnings
}

// apart are the pieces that a run was joined from, or the run itself.
func (r Run) apart() []Run {
	if len(r.pieces) > 0 {
		return r.pieces
	}
	return []Run{r}
}

// with finds the session that another one belongs to: one of the same day, told by its time or name.
func with(e log.Entry, i int, sessions []Run, c Calendar) (int, bool) {
	clock, timed := log.ParseClock(e.With)
	for j, r := range sessions {
		if j == i || r.Start.IsZero() || !c.Day(r.Start).Equal(e.Day) {
			continue
		}
		start := c.Local(r.Start)
		minutes := start.Hour()*60 + start.Minute()
		switch {
		case timed && clock >= minutes-20 && float64(clock) <= float64(minutes)+r.ElapsedS/60+20:
			return j, true
		case !timed && slices.ContainsFunc(r.Files(), func(f string) bool {
			return f == e.With || strings.HasSuffix(filepath.ToSlash(f), "/"+filepath.ToSlash(e.With))
		}):
			return j, true
		}
	}
	return 0, false
}

// saysRun stands for what the log says was run, in a key of the cache; empty where it does not.
func saysRun(e log.Entry) (what string) {
	if e.Was != "" {
		what = notation.Print(e.Workout)
	}
	if e.Reps != nil {
		what += " reps " + log.FormatReps(e.Reps)
	}
	return what
}

// corrected reads a run again as what the log says it was.
func (g Gatherer) corrected(r Run) (Run, recording.Warning) {
	key := ""
	if r.key != "" {
		key = "was-" + hash([]byte(r.key+" "+saysRun(*r.Said)))
	}
	var again Run
	if !g.Cache.get(key, &again, func() bool { return sensible(again) }) {
		rec, err := r.Recording()
		var s *segment.Session
		if err == nil {
			s, err = segment.Split(rec)
		}
		if err != nil {
			return r, recording.WarningOf(NotRead, "%s: the log says what it was, and it could not be read again: %v", r.File, err)
		}
		again = Summarise(correct.Told(s, *r.Said)).pack()
		g.Cache.put(key, again)
	}
	again.File, again.Pieces, again.Said, again.pieces, again.path, again.inside, again.key = r.File, r.Pieces, r.Said, r.pieces, r.path, r.inside, key
	again.Where = slices.Clone(r.Where)
	share(again.Where, again.DistanceM, again.MovingS)
	return again, recording.Warning{}
}

// Paths are the files that Recording reads; none of a run that was made elsewhere.
func (r Run) Paths() (paths []string) {
	for _, p := range r.apart() {
		if p.path != "" {
			paths = append(paths, p.path)
		}
	}
	return paths
}

// Recording reads the recording of a run again, or its pieces as one.
func (r Run) Recording() (*recording.Recording, error) {
	if len(r.Pieces) > 0 && len(r.pieces) == 0 {
		return nil, fmt.Errorf("%s: it was joined elsewhere", r.File)
	}
	return readPieces(r.apart())
}
