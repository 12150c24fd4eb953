package main

import (
	"fmt"
	"slices"

	"github.com/spf13/pflag"
)

// Output formats.
const (
	formatText = "text"
	formatJSON = "json"
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

// formatFlag declares --format.
func formatFlag(fs *pflag.FlagSet) *choice {
	c := &choice{value: formatText, of: []string{formatText, formatJSON}}
	fs.Var(c, "format", "how to print: "+formatText+", or "+formatJSON+" with one object per recording and line")
	return c
}
