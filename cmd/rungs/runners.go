package main

import (
	"bytes"
	"errors"
	"fmt"
	"net/url"
	"os"
	"path/filepath"
	"slices"
	"strings"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/listing"
	"example.org/rungs/workouts/site"
)

// runners adds up every folder in the folders given as a runner of its own: with its own
// athlete file, log and planned block, where it has them.
func (b *blocker) runners(paths []string) int {
	status := exitFine
	var all []listing.Runner
	var pages []string // folders of pages, by runner
	for _, path := range paths {
		inside, err := os.ReadDir(path)
		if err != nil {
			status = max(status, b.complain(fileTrouble(path, err)))
			continue
		}
		for _, d := range inside {
			if !d.IsDir() || strings.HasPrefix(d.Name(), ".") || !holdsRecording(filepath.Join(path, d.Name())) {
				continue
			}
			to := ""
			if b.pages != "" {
				to = unlike(d.Name(), pages)
				pages = append(pages, to)
			}
			r, found := b.runner(d.Name(), filepath.Join(path, d.Name()), to)
			if status = max(status, found); r != nil {
				all = append(all, *r)
			}
		}
	}
	if len(all) == 0 {
		return max(status, b.complain("block: no folder in "+strings.Join(paths, ", ")+" holds a recording; each runner has a folder there"))
	}
	if b.pages == "" {
		return max(status, b.print(listing.Club(all), b.format))
	}
	var page bytes.Buffer
	if err := report.HTML(&page, listing.Club(all)); err != nil {
		return b.complain("cannot lay out the pages: " + err.Error())
	}
	return max(status, b.writeSite(b.pages, []site.Page{{Name: clubPage, Contents: page.Bytes()}}))
}

// clubPage is the page of all runners; each has a folder of pages beside it.
const clubPage = "index.html"

// unlike is a name for a runner's pages that no other runner has: the folders of two runners
// may have the same name.
func unlike(name string, others []string) string {
	out := name
	for n := 2; slices.ContainsFunc(others, func(o string) bool { return strings.EqualFold(o, out) }); n++ {
		out = fmt.Sprintf("%s-%d", name, n)
	}
	return out
}

// holdsRecording tells whether a folder holds a recording, at any depth.
func holdsRecording(path string) bool {
	for _, err := range recording.Files([]string{path}) {
		return !errors.Is(err, recording.ErrNoRecords)
	}
	return false
}

// runner adds up one runner's folder, and writes its pages into a folder of b.pages when one
// is given; nil when that cannot be done, which is said.
func (b *blocker) runner(name, path, pages string) (*listing.Runner, int) {
	one := *b
	f := folder.Folder{Path: path}
	one.training, one.all, one.athlete = &training{Folder: f, env: b.env}, true, athlete.New()
	status := exitFine
	if file := f.AthletePath(); file != "" {
		var found int
		if one.athlete, found = b.loadAthlete(file); found != exitFine {
			return nil, found
		}
	}
	said, err := log.Read(f.LogPath())
	switch {
	case err != nil:
		status = b.complain(fileTrouble(f.LogPath(), err))
	case len(said.Wrong()) > 0:
		status = b.complainFully(said.Wrong())
	}
	one.training.log = said
	sums, entries, found := one.add([]string{path}, nil)
	if sums == nil {
		return nil, max(status, found)
	}
	r := &listing.Runner{Name: name, Block: sums, Telling: listing.Telling{Holds: b.span.holds, Kept: one.Kept, Warnings: one.Warnings}}
	status = max(status, found)
	if pages == "" {
		return r, status
	}
	r.Page = url.PathEscape(pages) + "/" + clubPage
	one.pages = filepath.Join(b.pages, pages)
	one.Above = []report.Link{{Text: "all runners", To: "../" + clubPage}}
	if b.span.whole() {
		return r, max(status, one.tell(sums, entries))
	}
	// A page of some days shows those alone, as the page of a single runner does.
	one.Kept, one.Warnings = nil, nil
	return r, max(status, one.run([]string{path}))
}
