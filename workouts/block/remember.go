package block

import (
	"path/filepath"
	"time"
)

// A Stamped file is the sums of one as it was at a size and a time of change.
type Stamped struct {
	Size    int64     `json:"size"`
	Changed time.Time `json:"changed"`
	Holds   bool      `json:"holds"` // one recording or several; else it has no runs
	Runs    []Run     `json:"runs,omitempty"`
}

// A stampedEntry is what the cache keeps of a file, with what is no part of a Run elsewhere.
type stampedEntry struct {
	Stamped
	Path   string   `json:"path"`
	Keys   []string `json:"keys,omitempty"`   // by run
	Inside []string `json:"inside,omitempty"` // the same
}

// stampAge is how much older than now a file must be to be known by its time: one that is
// changed twice within a tick of the clock of its file system, which is two seconds on some,
// would look the same.
const stampAge = 3 * time.Second

// Remember keeps the sums of the files of a folder by their paths, so that those that were not
// changed need not be read, not even to know their content; they hold for the workouts of the runner
// that there are. Files changed just now are not kept.
func (g Gatherer) Remember(folder string, files map[string]Stamped) {
	var list []stampedEntry
	for path, f := range files {
		if time.Since(f.Changed) < stampAge {
			continue
		}
		e := stampedEntry{Stamped: f, Path: path}
		for _, r := range f.Runs {
			e.Keys, e.Inside = append(e.Keys, r.key), append(e.Inside, r.inside)
		}
		list = append(list, e)
	}
	g.Cache.put(g.filesKey(folder), list)
}

// Recall gives what Remember kept of a folder; nothing when there is nothing, or it is damaged.
func (g Gatherer) Recall(folder string) map[string]Stamped {
	var list []stampedEntry
	if !g.Cache.get(g.filesKey(folder), &list, func() bool { return true }) {
		return nil
	}
	files := map[string]Stamped{}
	for _, e := range list {
		if len(e.Keys) != len(e.Runs) || len(e.Inside) != len(e.Runs) {
			continue
		}
		for i := range e.Runs {
			e.Runs[i].key, e.Runs[i].path, e.Runs[i].inside = e.Keys[i], e.Path, e.Inside[i]
		}
		files[e.Path] = e.Stamped
	}
	return files
}

// filesKey names the entry of a folder as it is called, and where it is.
func (g Gatherer) filesKey(folder string) string {
	at, err := filepath.Abs(folder)
	if err != nil {
		return ""
	}
	return "files-" + hash([]byte(folder+"\x00"+at+g.knownKey()))
}
