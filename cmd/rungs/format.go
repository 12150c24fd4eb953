package main

import (
	"fmt"
	"slices"

	"github.com/spf13/pflag"
)

// Output formats.
const (
	formatText     = "text"
	formatMarkdown = "markdown"
	formatJSON     = "json"
	formatCSV      = "csv"
	formatHTML     = "html"
)

// A choice is a flag that takes one of a few words.
type choice struct {
	value string
	of    []string
}

func (c *choice) String() string { return c.value }
func (c *choice) Type() string   { return "FORMAT" }

func (c *choice) Set(s string) error {
	if !slices.Contains(c.of, s) {
		return fmt.Errorf("it is one of %s%s", list(c.of), didYouMean(s, c.of))
	}
	c.value = s
	return nil
}

// list joins words for a sentence.
func list(words []string) string {
	s := ""
	for i, w := range words {
		switch {
		case i == 0:
		case i == len(words)-1:
			s += " and "
		default:
			s += ", "
		}
		s += w
	}
	return s
}

// formatFlag declares --format for a command that prints reports. Every command has the
// formats of tables; further are those in which this one has more to show.
func formatFlag(fs *pflag.FlagSet, further ...string) *choice {
	c := &choice{value: formatText, of: append([]string{formatText, formatMarkdown, formatJSON, formatCSV}, further...)}
	usage := "how to print: " + formatText + ", " + formatMarkdown + ", " + formatJSON + " (an object per recording, on a line)"
	fs.Var(c, "format", usage+",\n"+list(append([]string{formatCSV + " (the rows of the first table)"}, further...)))
	return c
}
