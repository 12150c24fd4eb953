package main

import (
	"os"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
)

// valueProposals are the values of a flag: its words when it is a choice, else
// what its placeholder in the help stands for.
func valueProposals(fs *pflag.FlagSet, f *pflag.Flag) proposals {
	if c, ok := f.Value.(*choice); ok {
		return wordsOnly(c.of)
	}
	name, _ := pflag.UnquoteUsage(f)
	return placeProposals(fs, name)
}

// placeProposals are what a placeholder of a usage line or a flag stands for,
// such as FOLDER|FILE.
func placeProposals(fs *pflag.FlagSet, placeholder string) (p proposals) {
	for one := range strings.SplitSeq(placeholder, "|") {
		switch one {
		case "FILE":
			p.files = true
		case "FOLDER":
			p.folders = true
		case "WORKOUT":
			p.files = true
		case "PLAN":
			p.files = true
			if fs.Lookup("library") != nil {
				p.words = append(p.words, entryProposals(libraryEntries(fs))...)
			}
		case "NAME":
			p.words = append(p.words, entryProposals(libraryEntries(fs))...)
		case "STARTER":
			p.words = append(p.words, entryProposals(library.Shelf())...)
		case "TAG":
			p.words = append(p.words, wordsOnly(tagsOf(libraryEntries(fs))).words...)
		case "KIND":
			p.words = append(p.words, wordsOnly(kindNames()).words...)
		case "DAY":
			for day := range 7 {
				p.words = append(p.words, proposal{word: strings.ToLower(time.Weekday((day + 1) % 7).String())})
			}
		case "SHELL":
			p.words = append(p.words, wordsOnly(shells()).words...)
		case "COMMAND":
			p.words = append(p.words, commandProposals(commands(), "")...)
		}
	}
	return p
}

// placeholder is the word of a usage line, such as "[FLAGS] NAME FILE...", for
// the argument at a place that counts from 0; empty when there is none.
func placeholder(usage string, place int) string {
	var places []string
	for word := range strings.FieldsSeq(usage) {
		bare := strings.Trim(strings.TrimSuffix(word, "]"), "[.")
		if bare == "FLAGS" || bare == "|" || strings.HasPrefix(bare, "-") {
			continue
		}
		places = append(places, bare)
		if strings.Contains(word, "...") && place >= len(places) {
			return bare
		}
	}
	if place < len(places) {
		return places[place]
	}
	return ""
}

func wordsOnly(words []string) (p proposals) {
	for _, w := range words {
		p.words = append(p.words, proposal{word: w})
	}
	return p
}

// libraryEntries are the workouts of the library that the flags or the
// environment name; none when there is trouble, for nobody asked about it.
func libraryEntries(fs *pflag.FlagSet) []library.Entry {
	folder := ""
	if f := fs.Lookup("library"); f != nil {
		folder = f.Value.String()
	}
	l, err := library.Locate(folder, os.Getenv)
	if err != nil {
		return nil
	}
	entries, _, err := l.List()
	if err != nil {
		return nil
	}
	return entries
}

func entryProposals(entries []library.Entry) (words []proposal) {
	for _, entry := range entries {
		words = append(words, proposal{entry.Name, notation.Print(entry.Workout)})
	}
	return words
}

func tagsOf(entries []library.Entry) (tags []string) {
	for _, entry := range entries {
		tags = append(tags, entry.Workout.Tags...)
	}
	slices.Sort(tags)
	return slices.Compact(tags)
}
