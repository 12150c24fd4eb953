package main

import (
	"fmt"
	"path/filepath"

	"example.org/rungs/workouts/block"
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
	b.saving.Lock()
	defer b.saving.Unlock()
	written, removed, err := site.Write(b.pages, pages)
	if err != nil {
		return b.complain(err.Error())
	}
	text := fmt.Sprintf("%s: %d pages, %d of them new or changed", filepath.Join(b.pages, pages[0].Name), len(pages), written)
	if removed > 0 {
		text += fmt.Sprintf("; %d of sessions that are no longer there were removed", removed)
	}
	return b.write(text + "\n")
}
