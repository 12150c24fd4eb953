package library_test

import (
	"fmt"
	"log"
	"os"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/notation"
)

// A library is a folder of texts. Which of its workouts was run?
func ExampleRecognise() {
	folder, err := os.MkdirTemp("", "library")
	if err != nil {
		log.Fatal(err)
	}
	defer os.RemoveAll(folder)
	l := library.Library{Folder: folder}
	for name, text := range map[string]string{
		"four-minutes": "15:00 warm + 5 x 4:00 @ quicker off 90s jog + 10:00 cool",
		"sets-of-400s": "2km warm + 2 x ( 5 x 400m off 200m jog ) off 800m jog + 1km cool",
	} {
		if err := l.Add(name, text, false); err != nil {
			log.Fatal(err)
		}
	}
	entries, _, err := l.List()
	if err != nil {
		log.Fatal(err)
	}
	recordings, err := recording.Open("../../testdata/demo/thursday-track.fit")
	if err != nil {
		log.Fatal(err)
	}
	session, err := segment.Split(recordings[0])
	if err != nil {
		log.Fatal(err)
	}
	found, err := library.Recognise(entries, session)
	if err != nil {
		log.Fatal(err)
	}
	for _, c := range found.Candidates {
		fmt.Printf("%s, alike above %.2f: %v\n", c.Entry.Name, library.LeastLikeness, c.Likeness >= library.LeastLikeness)
	}
	// Output:
	// sets-of-400s, alike above 0.77: true
	// four-minutes, alike above 0.77: false
}

// The shelf of starters, searched for short reps.
func ExampleSearch() {
	reps, err := library.ParseRange("380m-420m")
	if err != nil {
		log.Fatal(err)
	}
	for _, e := range library.Search(library.Shelf(), library.Query{Kind: likeness.Sets, Rep: reps}, athlete.New()) {
		fmt.Printf("%s: %s\n", e.Name, notation.Print(e.Workout))
	}
	// Output:
	// 1200-and-400: 15:00 warm + 3 x ( 1200m @ 5k + 200m jog + 400m @ 1500m ) off 400m jog + 10:00 cool
	// sets-of-400s: 15:00 warm + 2 x ( 5 x 400m @ 3k off 100m walk ) off 800m jog + 10:00 cool
}
