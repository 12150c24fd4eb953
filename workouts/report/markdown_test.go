package report

import (
	"bytes"
	"encoding/xml"
	"errors"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/report/internal/hostile"
)

func asMarkdown(t *testing.T, r *Report) string {
	t.Helper()
	var b strings.Builder
	if err := r.Markdown(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

// The delimiter row, the bars and the alignment by a colon are those of GitHub
// Flavored Markdown, section 4.10.
func TestMarkdown(t *testing.T) {
	r := &Report{
		Title: "a|b.fit", Lead: []string{"plan: 2 x 1km", "- no list"},
		Table: example(),
		Further: []Table{
			{Title: "empty"},
			{Title: "named", Columns: []Column{{Head: "x"}}, Rows: [][]Cell{{{Text: "much", Style: Strong}}}},
		},
		Said: []Sentence{{Text: "1. A finding.", Style: Alert}, {Text: "Another_one."}},
		Warnings: []recording.Warning{
			{Code: "gap", Message: "no records here", StartS: 700, EndS: 703},
			{Code: "no-cadence", Message: "no cadence in the file", StartS: 5, EndS: 5},
		},
	}
	r.Table.Notes = []string{"~ is level.", "± is the margin."}
	want := `## a\|b.fit

plan: 2 x 1km

\- no list

| rep |   pace ± | vs last |
| --: | -------: | ------: |
|   1 |  4:05 ±2 |         |
|   2 | 4:00 ±12 |      -5 |
|  10 |    stood |      \~ |

- \~ is level.
- ± is the margin.

### named

| x        |
| -------- |
| **much** |

**1\. A finding.**

Another\_one.

- warning from 11:40 to 11:43: no records here \[gap\]
- warning at 0:05: no cadence in the file \[no-cadence\]
`
	if got := asMarkdown(t, r); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
}

// A backslash takes the meaning from any ASCII punctuation (CommonMark 0.31.2,
// section 2.4), from the bar of a table too (GFM, example 200).
func TestMarkdownEscapes(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"Läufe im März.fit", "Läufe im März.fit"},
		{"f|oo", `f\|oo`},
		{"back\\slash", `back\\slash`},
		{"`code` *strong* _em_ ~~no~~", "\\`code\\` \\*strong\\* \\_em\\_ \\~\\~no\\~\\~"},
		{"<script>alert(1)</script>", `\<script\>alert(1)\</script\>`},
		{"&lt;", `\&lt;`},
		{"![x](y)", `!\[x\](y)`},
		{"http://example.org www.example.org", `http\://example.org www\.example.org`},
		{"a\nb", `a\\nb`},
		{"evil\u202egpj.fit", `evil\\u202egpj.fit`},
		{"4:05 ±2, -5 and +3 %", "4:05 ±2, -5 and +3 %"},
	} {
		if got := markdown(c.in); got != c.want {
			t.Errorf("markdown(%q) = %q, want %q", c.in, got, c.want)
		}
	}
	for _, c := range []struct{ in, want string }{
		{"# a", `\# a`}, {"- a", `\- a`}, {"---", `\---`}, {"12. a", `12\. a`}, {"9.99 km", "9.99 km"}, {"12", "12"},
		{"1)", `1\)`}, {"=", `\=`}, {"    a", "a"},
	} {
		if got := markdownLine(c.in); got != c.want {
			t.Errorf("markdownLine(%q) = %q, want %q", c.in, got, c.want)
		}
	}
}

// markdownNode is an element of the tree that cmark-gfm prints as XML.
type markdownNode struct {
	XMLName     xml.Name
	Destination string         `xml:"destination,attr"`
	Text        string         `xml:",chardata"`
	Nodes       []markdownNode `xml:",any"`
}

// text is what a reader sees of a node.
func (n markdownNode) text() string {
	if n.XMLName.Local == "text" || n.XMLName.Local == "code_block" {
		return n.Text
	}
	var b strings.Builder
	for _, x := range n.Nodes {
		b.WriteString(x.text())
	}
	return b.String()
}

// find lists the nodes of a kind in order.
func (n markdownNode) find(kind string) (found []markdownNode) {
	if n.XMLName.Local == kind {
		found = append(found, n)
	}
	for _, x := range n.Nodes {
		found = append(found, x.find(kind)...)
	}
	return found
}

// readMarkdown reads Markdown with the reference implementation of GitHub's,
// with all its extensions.
func readMarkdown(t *testing.T, src string) markdownNode {
	t.Helper()
	args := []string{"--to", "xml"}
	for _, x := range []string{"table", "strikethrough", "autolink", "tasklist", "tagfilter"} {
		args = append(args, "--extension", x)
	}
	cmd := exec.Command("cmark-gfm", args...)
	cmd.Stdin = strings.NewReader(src)
	out, err := cmd.Output()
	if errors.Is(err, exec.ErrNotFound) {
		const message = "cmark-gfm is not installed, so nothing but our own tables judges the Markdown"
		if os.Getenv("CI") == "true" {
			t.Fatal(message)
		}
		t.Skip(message)
	}
	if err != nil {
		t.Fatal(err)
	}
	var tree markdownNode
	d := xml.NewDecoder(bytes.NewReader(out))
	d.Strict = false // the program lets control characters through
	if err := d.Decode(&tree); err != nil && !errors.Is(err, io.EOF) {
		t.Fatalf("%v\n%s", err, out)
	}
	return tree
}

// Whatever a name holds, the reference implementation reads one table whose
// cells show the text itself, and nothing that text could have made.
func TestMarkdownReadsAsText(t *testing.T) {
	names := append([]string(nil), hostile.Names...)
	const alphabet = "\\`*_{}[]()<>#+-.!|~&$:/=\"'@ aw1\té走"
	letters := []rune(alphabet)
	random := rand.New(rand.NewPCG(1, 2))
	for range 2000 {
		var b strings.Builder
		for range 1 + random.IntN(14) {
			b.WriteRune(letters[random.IntN(len(letters))])
		}
		names = append(names, b.String())
	}
	r := &Report{Table: Table{Columns: []Column{{Head: "name"}, {Head: "again"}}}}
	for _, s := range names {
		r.Table.Rows = append(r.Table.Rows, []Cell{{Text: s}, {Text: s, Style: Strong}})
		r.Lead = append(r.Lead, s)
		r.Table.Notes = append(r.Table.Notes, s)
	}
	tree := readMarkdown(t, asMarkdown(t, r))
	for _, n := range tree.Nodes {
		if !slices.Contains([]string{"paragraph", "table", "list"}, n.XMLName.Local) {
			t.Errorf("a %s was read: %.80q", n.XMLName.Local, n.text())
		}
	}
	for _, kind := range []string{"html_inline", "html_block", "code", "emph", "image", "strikethrough", "softbreak", "linebreak", "heading"} {
		for _, n := range tree.find(kind) {
			t.Errorf("a %s was read: %.80q", kind, n.text())
		}
	}
	for _, n := range tree.find("link") {
		if !strings.HasPrefix(n.Destination, "mailto:") { // which nothing in the syntax prevents
			t.Errorf("a link was read: %q", n.Destination)
		}
	}
	same := func(what string, nodes []markdownNode, each int) {
		if len(nodes) != each*len(names) {
			t.Fatalf("%d %s, want %d", len(nodes), what, each*len(names))
		}
		for i, n := range nodes {
			if want := strings.TrimSpace(Safe(names[i/each])); strings.TrimSpace(n.text()) != want {
				t.Errorf("%s reads %.80q, want %.80q", what, n.text(), want)
			}
		}
	}
	var cells []markdownNode
	for _, row := range tree.find("table_row") {
		cells = append(cells, row.Nodes...)
	}
	same("cells", cells, 2)
	same("items", tree.find("item"), 1)
	var paragraphs []markdownNode
	for _, n := range tree.Nodes {
		if n.XMLName.Local == "paragraph" {
			paragraphs = append(paragraphs, n)
		}
	}
	if got := len(paragraphs); got > len(names) || got < len(names)*9/10 { // names of nothing but space make none
		t.Errorf("%d paragraphs of %d names", got, len(names))
	}
}

// readEscapes undoes them: a backslash in front of ASCII punctuation (CommonMark
// 0.31.2, section 2.4). What would have a meaning without one is an error.
func readEscapes(t *testing.T, s string) string {
	t.Helper()
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '\\' && i+1 < len(s) && strings.IndexByte("!\"#$%&'()*+,-./:;<=>?@[\\]^_`{|}~", s[i+1]) >= 0:
			i++
		case strings.IndexByte("\\`*_[]<>&|~$#", s[i]) >= 0:
			t.Errorf("%q has a bare %c", s, s[i])
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

func FuzzMarkdown(f *testing.F) {
	for _, s := range hostile.Names {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		want := strings.TrimSpace(Safe(s))
		for _, got := range []string{markdown(s), markdownLine(s)} {
			if back := readEscapes(t, got); back != want {
				t.Errorf("%q is written %q, which reads %q", s, got, back)
			}
		}
		if got := markdownLine(s); begins.MatchString(got) {
			t.Errorf("%q begins a list", got)
		}
	})
}
