// Package report lays a result out for people and for programs. A Report holds every figure
// once: as the words a person reads and as the fields a program reads. The renderers (Text,
// Markdown, JSON, CSV, HTML) only lay a Report out, so that no two outputs can disagree.
//
// The packages below it make the reports: session of one run and its plan, listing of many,
// weeks of a block, shelf of a library.
package report

import "example.org/rungs/segment/recording"

// A Report is what is to be said of one recording.
type Report struct {
	Title string   // what the report is about
	Lead  []string // sentences above the table

	Answer []Sentence // what was asked, in at most three sentences; it comes first

	Profile *Profile // speed over time, for people; nil for none

	Table   Table
	Further []Table    // more tables, below the first
	Said    []Sentence // sentences below the tables

	Warnings []recording.Warning

	Front Front // what a page opens with

	Before  Object // fields in front of the table's
	After   Object // fields behind the table's
	Subject Object // those of Before that tell recordings apart, which CSV puts in front of each row
}

// A Sentence is a finding in words.
type Sentence struct {
	Text  string
	Style Style
}

// A Table is rows of cells under columns. Each row has a cell per column.
type Table struct {
	Title   string // a line above it; empty for none
	Key     string // name of the list of rows in machine output; empty for a table that is for people only
	Columns []Column
	Rows    [][]Cell
	Notes   []string // how to read its marks; printed once below it
}

// A Column heads the cells below it.
type Column struct {
	Head  string
	Align Align
	Rank  int  // 0 is always shown; the highest rank is the first to go when the page is narrow
	Tight bool // stands close to the column on its left, of which it is a part
	Wrap  bool // may take several lines on a page
	Data  bool // for programs only
}

// Align says at which side a column's cells stand flush.
type Align int

// Alignments.
const (
	Left Align = iota
	Right
)

// A Cell is one figure or word, for both kinds of reader.
type Cell struct {
	Text   string // for people; control characters are neutralised when rendered
	Style  Style
	Fields Object // for programs
	Link   string // a page in the same folder; only on a page
}

// Style is the weight of a cell or sentence where the page can show it. It
// never carries meaning of its own: the words say it too.
type Style int

// Styles.
const (
	Plain Style = iota
	Strong
	Faint
	Alert
)
