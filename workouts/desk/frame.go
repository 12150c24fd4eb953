package desk

import (
	"bytes"
	"embed"
	"fmt"
	"html/template"
	"io/fs"
	"net/http"
	"path"
	"strconv"
	"strings"
	"sync"

	"example.org/rungs/workouts/report"
)

//go:embed pages
var pagesFolder embed.FS

// A tab leads to a part of the desk, from every page.
type tab struct{ Text, To string }

// tabs are in the order of a runner's week.
var tabs = []tab{{"Weeks", "/"}, {"Plan", "/plan"}, {"Library", "/library"}, {"Block", "/block"}, {"New recordings", "/new"}}

// A frame is what every page has. Its template is pages/frame.html, and Body is the template
// of the page, pages/NAME.html, which defines "body".
type frame struct {
	Title  string
	Tabs   []tab
	At     string // path of the tab that the page belongs to
	Notice string // what was just done
	Undo   *save  // what can be undone; nil for nothing
	Fresh  bool   // that was just done
	Trail  string // path of the page, for the script
	Serial int    // of the sums that it shows; 0 when they are not read yet
	Data   any    // of the page
}

// templates are the pages by their names, each in the frame.
var templates = sync.OnceValue(func() map[string]*template.Template {
	out := map[string]*template.Template{}
	files, err := fs.Glob(pagesFolder, "pages/*.html")
	if err != nil {
		panic(err)
	}
	for _, f := range files {
		name := strings.TrimSuffix(path.Base(f), ".html")
		t := template.New("frame.html").Funcs(template.FuncMap{"article": article, "safe": report.Safe})
		out[name] = template.Must(t.ParseFS(pagesFolder, "pages/frame.html", f))
	}
	return out
})

// article lays a report out inside a page; id is a word of its own on that page.
func article(id string, r *report.Report) (template.HTML, error) {
	var b bytes.Buffer
	err := report.Article(&b, id, r)
	return template.HTML(b.String()), err
}

// show lays out a page: the template pages/NAME.html with its data. Text in the data that came from files goes
// through report.Safe in the template: {{safe .Title}}.
func (v *visit) show(name, title string, data any) error {
	return v.showStatus(http.StatusOK, name, title, data)
}

func (v *visit) showStatus(status int, name, title string, data any) error {
	t, ok := templates()[name]
	if !ok {
		return fmt.Errorf("there is no page %q", name)
	}
	f := frame{Title: title, Tabs: tabs, At: v.tab(), Data: data, Trail: v.r.URL.Path, Serial: v.serial()}
	f.Notice, f.Undo, f.Fresh = v.notice()
	var b bytes.Buffer
	if err := t.Execute(&b, f); err != nil {
		return err
	}
	v.w.Header().Set("Content-Type", "text/html; charset=utf-8")
	v.w.WriteHeader(status)
	_, err := v.w.Write(b.Bytes())
	return ignore(err)
}

// tab is the path of the tab that a page belongs to: the longest that begins its own.
func (v *visit) tab() string {
	best := "/"
	for _, t := range tabs {
		if strings.HasPrefix(v.r.URL.Path, t.To) && len(t.To) > len(best) {
			best = t.To
		}
	}
	return best
}

// notice says what was just done, and gives what can be undone.
func (v *visit) notice() (words string, undo *save, fresh bool) {
	if v.r.URL.Query().Has("undone") {
		words = "It is undone."
	}
	if s, ok := v.saves.last(); ok {
		fresh = v.r.URL.Query().Get("done") == strconv.Itoa(s.id)
		undo = &s
	}
	return words, undo, fresh
}

// ID and Words are for the template.
func (s *save) ID() int       { return s.id }
func (s *save) Words() string { return report.Safe(s.words) }

// frameRoutes are what all pages need.
var frameRoutes = []route{
	{"GET /desk.css", func(v *visit) error { return v.asset("text/css; charset=utf-8", report.CSS()+deskCSS+plansCSS) }},
	{"GET /desk.js", func(v *visit) error { return v.asset(script, deskJS) }},
	{"GET /edges.js", func(v *visit) error { return v.asset(script, edgesJS) }},
	{"POST /undo", doUndo},
	{"/", func(v *visit) error {
		return refusef(http.StatusNotFound, "Look at the weeks.", "There is no such page.")
	}},
}

var (
	//go:embed desk.css
	deskCSS string
	//go:embed desk.js
	deskJS string
	//go:embed edges.js
	edgesJS string
)

const script = "text/javascript; charset=utf-8"

func (v *visit) asset(kind, contents string) error {
	v.w.Header().Set("Content-Type", kind)
	_, err := v.w.Write([]byte(contents))
	return ignore(err)
}
