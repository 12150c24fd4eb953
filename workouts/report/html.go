package report

import (
	"cmp"
	_ "embed"
	"html/template"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"
	"sync"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/chart"
)

var (
	//go:embed page/page.html
	pageHTML string
	//go:embed page/page.css
	pageCSS string

	pageTemplate = sync.OnceValue(func() *template.Template {
		return template.Must(template.New("page").Funcs(template.FuncMap{"inc": func(i int) int { return i + 1 }}).Parse(pageHTML))
	})
)

// HTML writes reports as one page that needs no other file, no network and no
// script. All text is escaped, as Safe has it.
func HTML(w io.Writer, reports ...*Report) error {
	p := webPage{}
	rules := ""
	for i, r := range reports {
		a := r.article("r" + strconv.Itoa(i+1))
		for _, list := range [][]webTable{a.Early, a.Tables} {
			for k := range list {
				rules += list[k].rules()
				if len(reports) > 1 { // parts of a page have names of their own
					list[k].Label += ", recording " + strconv.Itoa(i+1)
				}
			}
		}
		p.Articles = append(p.Articles, a)
	}
	p.CSS = template.CSS(chart.CSS() + pageCSS + rules)
	if len(reports) > 0 {
		p.Title = Safe(cmp.Or(reports[0].Title, reports[0].Front.Byline, reports[0].Front.Answer))
		if n := len(reports) - 1; n > 0 {
			p.Title += " and " + strconv.Itoa(n) + " more"
		}
	}
	if len(reports) > 1 {
		p.Overview = overview(p.Articles)
	}
	return pageTemplate().Execute(w, p)
}

// CSS is the style of pages, for a page made elsewhere that holds Articles.
func CSS() string { return chart.CSS() + pageCSS + cellRules() }

// Article writes a report as one article of a page made elsewhere, which must have the style
// that CSS gives. All ids in it begin with id, which must be unique on that page.
func Article(w io.Writer, id string, r *Report) error {
	a := r.article(id)
	for _, list := range [][]webTable{a.Early, a.Tables} {
		for k := range list {
			list[k].dress()
		}
	}
	return pageTemplate().ExecuteTemplate(w, "article", a)
}

// A webPage is what the template lays out. All strings went through Safe.
type webPage struct {
	Title    string
	CSS      template.CSS
	Overview []webLink // of several articles
	Articles []*webArticle
}

// A webLink leads to an article, and says its answer.
type webLink struct{ ID, Name, Answer, Class string }

type webArticle struct {
	ID, Byline  string
	Answer      []string // pieces that stay on a line if they can
	AnswerClass string
	First       []webSentence // the first sentence of the answer
	Lead        []webSentence // the others, below the first picture
	Lines       []string      // about the run, small
	Facts       []Fact
	Links       []Link
	Figures     []Figure // three at most
	More        []Figure // the others
	Charts      []webChart
	Early       []webTable // right below the first picture
	Tables      []webTable
	Warnings    []webWarning
	Care        string
}

type webSentence struct{ Text, Class string }

type webChart struct {
	ID, Title, Caption string
	Wide, Narrow       template.HTML
	Next               string // id of what follows the chart
	Class              string // what is done with it on paper
	Article            *webArticle
}

type webWarning struct{ Text, Code string }

// article lays a report out; id is the prefix of the ids in it.
func (r *Report) article(id string) *webArticle {
	a := &webArticle{ID: id}
	a.head(r)
	a.sentences(r)
	a.figures(r.Front)
	a.tables(r)
	for i, c := range r.Front.Charts {
		next := id + "-tables"
		if i+1 < len(r.Front.Charts) {
			next = id + "-chart-" + strconv.Itoa(i+2)
		}
		a.Charts = append(a.Charts, a.chart(c, id+"-chart-"+strconv.Itoa(i+1), next))
	}
	for _, w := range r.Warnings {
		a.Warnings = append(a.Warnings, webWarning{Safe(WarningSentence(w)), Safe(w.Code)})
	}
	if a.Care = Safe(r.Front.Care); slices.ContainsFunc(a.Tables, func(t webTable) bool { return slices.Contains(t.Notes, a.Care) }) {
		a.Care = ""
	}
	return a
}

// head is the answer that an article opens with, or else its title.
func (a *webArticle) head(r *Report) {
	f := r.Front
	a.Byline, a.Answer, a.AnswerClass = Safe(f.Byline), pieces(Safe(f.Answer)), styleClass(f.Style)
	switch {
	case f.Answer == "":
		a.Byline, a.Answer = "", pieces(Safe(r.Title))
	case f.Byline == "":
		a.Byline = Safe(r.Title)
	}
	switch n := len(f.Answer); {
	case n > 400:
		a.AnswerClass += " longest"
	case n > 70:
		a.AnswerClass += " long"
	}
}

func (a *webArticle) sentences(r *Report) {
	f := r.Front
	lines, said := r.Lead, r.Said
	if f.Answer != "" {
		lines, said = lines[:min(1, len(lines))], f.Lead
	}
	if f.Lines != nil {
		lines = f.Lines
	}
	for _, s := range lines {
		a.Lines = append(a.Lines, Safe(s))
	}
	for i, s := range said {
		x := webSentence{Safe(s.Text), styleClass(s.Style)}
		if i == 0 {
			a.First = append(a.First, x)
		} else {
			a.Lead = append(a.Lead, x)
		}
	}
}

func (a *webArticle) figures(f Front) {
	for _, x := range f.Facts {
		a.Facts = append(a.Facts, Fact{Safe(x.Name), Safe(x.Text)})
	}
	for _, x := range f.Links {
		a.Links = append(a.Links, Link{Safe(x.Text), x.To})
	}
	for i, x := range f.Figures {
		if y := (Figure{Safe(x.Value), Safe(x.Name)}); i < mostFigures {
			a.Figures = append(a.Figures, y)
		} else {
			a.More = append(a.More, y)
		}
	}
}

func (a *webArticle) tables(r *Report) {
	f := r.Front
	for i, t := range append(append([]Table{r.Table}, r.Further...), f.Tables...) {
		if len(t.Rows) > 0 {
			x := t.web(a.ID + "-table-" + strconv.Itoa(i+1))
			if i == 0 && x.Title == "" && f.Heading != "" {
				x.Title = Safe(f.Heading)
				x.Label = x.Title
			}
			if t.Key != "" && t.Key == f.First {
				a.Early = append(a.Early, x)
			} else {
				a.Tables = append(a.Tables, x)
			}
		}
	}
}

// chart draws a picture; id is its own, next that of what follows it.
func (a *webArticle) chart(c chart.Chart, id, next string) webChart {
	high := 0.0
	for _, p := range c.Panels {
		high += p.Height
	}
	x := webChart{Class: chartClass(high > sheetHeight, len(c.Marks) > 0), ID: id, Title: Safe(c.Title), Caption: Safe(c.Caption), Next: next, Article: a}
	var wide, narrow strings.Builder
	c.SVG(&wide, id+"-wide", chart.Wide)
	c.SVGBeside(&narrow, id+"-narrow", chart.Narrow, id+"-wide")
	x.Wide, x.Narrow = template.HTML(wide.String()), template.HTML(narrow.String())
	return x
}

// sheetHeight is the height, in px, above which a picture gets a sheet of paper of its own;
// three weeks of a strip are higher. Our own choice.
const sheetHeight = 450

// chartClass tells, for paper, whether a picture has a sheet of its own, as a month of weeks
// does, and whether it has marks, whose readings need no room there.
func chartClass(sheet, marked bool) string {
	switch {
	case sheet:
		return "sheet"
	case marked:
		return "marked"
	}
	return ""
}

// mostFigures is how many key figures a page opens with.
const mostFigures = 3

// overview lists articles with their answers.
func overview(articles []*webArticle) (links []webLink) {
	for _, a := range articles {
		x := webLink{ID: a.ID, Name: a.Byline, Answer: strings.Join(a.Answer, " "), Class: a.AnswerClass}
		if x.Name == "" {
			x.Name, x.Answer = x.Answer, ""
		}
		if strings.Contains(x.Class, "alert") {
			x.Class = "alert"
		} else {
			x.Class = ""
		}
		if len(a.First) > 0 && x.Answer != "" {
			x.Answer = strings.TrimSuffix(x.Answer, ".") + ". " + a.First[0].Text
		}
		links = append(links, x)
	}
	return links
}

// pieces breaks a workout in the notation behind each "+" outside parentheses.
func pieces(s string) []string {
	if s == "" {
		return nil
	}
	var list []string
	depth, from := 0, 0
	for i, r := range s {
		switch {
		case r == '(':
			depth++
		case r == ')':
			depth--
		case r == '+' && depth == 0 && strings.HasPrefix(s[i:], "+ "):
			list, from = append(list, s[from:i+1]), i+2
		}
	}
	return append(list, s[from:])
}

// sentencePlace is the place of a warning as the beginning of a sentence.
func sentencePlace(w recording.Warning) string {
	switch {
	case math.IsNaN(w.StartS) || figures.Clock(w.StartS) == "":
		return ""
	case figures.Clock(w.EndS) != "" && figures.Clock(w.EndS) != figures.Clock(w.StartS):
		return "From " + figures.Clock(w.StartS) + " to " + figures.Clock(w.EndS) + ": "
	}
	return "At " + figures.Clock(w.StartS) + ": "
}

// WarningSentence is a warning as a sentence. The name of a file at its beginning is left
// as it is.
func WarningSentence(w recording.Warning) string {
	s := sentencePlace(w) + w.Message
	if first, _, _ := strings.Cut(s, " "); strings.ContainsAny(first, "./\\") {
		return strings.TrimSuffix(s, ".") + "."
	}
	return figures.Sentence(s)
}

func styleClass(s Style) string {
	switch s {
	case Strong:
		return "strong"
	case Faint:
		return "faint"
	case Alert:
		return "alert"
	}
	return ""
}
