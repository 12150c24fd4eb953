package main

import (
	"fmt"
	"path/filepath"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/weeks"
	"example.org/rungs/workouts/site"
)

// writePages writes the block and its sessions as a folder of pages, and says what became
// of them.
func (b *blocker) writePages(sums *block.Block) int {
	pages, err := weeks.Pages(sums, b.Telling)
	if err != nil {
		return b.complain("cannot lay out the pages: " + err.Error())
	}
	return b.writeSite(b.pages, pages)
}

// writeSite writes pages into a folder, and says what became of them.
func (b *blocker) writeSite(folder string, pages []site.Page) int {
	b.saving.Lock()
	defer b.saving.Unlock()
	written, removed, err := site.Write(folder, pages)
	if err != nil {
		return b.complain(err.Error())
	}
	text := fmt.Sprintf("%s: %s, %d of them new or changed", filepath.Join(folder, pages[0].Name), figures.Plural(len(pages), "page"), written)
	if removed > 0 {
		text += fmt.Sprintf("; %d of sessions that are no longer there were removed", removed)
	}
	return b.write(text + "\n")
}
