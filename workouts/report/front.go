package report

import "example.org/rungs/workouts/report/chart"

// A Front is what a page has besides the words and tables of other outputs:
// the answer it opens with, the key figures and the pictures. All fields may be
// empty; the page then opens with the title and the sentences.
type Front struct {
	Byline  string     // what the page is about, small, above the answer; Title when empty
	Answer  string     // the finding in a few words
	Style   Style      // of the answer
	Facts   []Fact     // what was found and what it was held against
	Lead    []Sentence // below the answer, in the place of Said
	Lines   []string   // about the run, small; the first of the report's Lead when nil
	Figures []Figure   // the first three at the top
	Charts  []chart.Chart
	First   string  // key of the table that stands right below the first picture; may be empty
	Links   []Link  // to other pages of a folder
	Heading string  // of the first table
	Tables  []Table // for which only a page has room
	Care    string  // a caution that the pictures call for
}

// A Fact is a name and what it stands for, such as a plan in the notation.
type Fact struct{ Name, Text string }

// A Figure is a key figure: "4:16 /km", "pace of the work".
type Figure struct{ Value, Name string }

// A Link leads to another page, by its name in the same folder.
type Link struct{ Text, To string }
