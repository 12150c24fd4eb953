package library

import (
	"embed"
	"strings"

	"example.org/rungs/workouts/notation"
)

// The shelf holds classic sessions, common practice and without a source.
//
//go:embed shelf/*.plan
var shelf embed.FS

// Caution belongs beside the shelf wherever it is shown.
const Caution = "These are sessions that many runners use, not advice for anyone: shorten them to what you are used to, " +
	"add hard running slowly, and ask a doctor first after a long break or with a heart condition."

// Shelf lists the starter workouts by name. They are in no library until they
// are added to one.
func Shelf() []Entry {
	files, err := shelf.ReadDir("shelf")
	if err != nil {
		panic(err) // embedded
	}
	var entries []Entry
	for _, f := range files {
		text, err := shelf.ReadFile("shelf/" + f.Name())
		if err != nil {
			panic(err)
		}
		w, err := notation.Parse(f.Name(), string(text))
		if err != nil {
			panic(err) // a test reads them all
		}
		entries = append(entries, Entry{strings.TrimSuffix(f.Name(), extension), string(text), w})
	}
	return entries
}
