package desk

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"net/url"
	"slices"
	"strconv"
	"sync"
	"time"

	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/likeness"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/session"
	"example.org/rungs/workouts/report/shelf"
)

var libraryRoutes = []route{
	{"GET /library", showLibrary},
	{"GET /library/{name}", onScene(showWorkout)},
	{"GET /library-starters", showStarters},
	{"POST /library/remove", removeWorkout},
}

// A libraryPage is what pages/library.html lays out.
type libraryPage struct {
	Query    library.Query
	Kinds    []likeness.Kind
	Total    int            // in the library
	Found    string         // how many of them were looked for: "3 workouts"
	Listing  *report.Report // nil when there is nothing to list
	Damaged  []string
	Starters bool // the workouts are those of the shelf
}

// showLibrary lists the workouts that were searched for.
func showLibrary(v *visit) error {
	q := library.Query{Words: v.r.URL.Query().Get("words"), Kind: likeness.Kind(v.r.URL.Query().Get("kind"))}
	var entries []library.Entry
	p := libraryPage{Query: q, Kinds: likeness.Kinds}
	if v.Library.Folder != "" {
		var damaged []library.Damage
		var err error
		if entries, damaged, err = v.Library.List(); err != nil && !errors.Is(err, fs.ErrNotExist) {
			return err
		}
		for _, d := range damaged {
			p.Damaged = append(p.Damaged, d.Error())
		}
	}
	return v.list(p, entries, "/library/")
}

// showStarters lists the shelf, from which a plan can begin.
func showStarters(v *visit) error {
	q := library.Query{Words: v.r.URL.Query().Get("words"), Kind: likeness.Kind(v.r.URL.Query().Get("kind"))}
	return v.list(libraryPage{Query: q, Kinds: likeness.Kinds, Starters: true}, library.Shelf(), "/plan?starter=")
}

// list lays out a page of workouts, each of which leads on.
func (v *visit) list(p libraryPage, entries []library.Entry, to string) error {
	a, err := v.Athlete()
	if err != nil {
		return err
	}
	p.Total = len(entries)
	found := library.Search(entries, p.Query, a)
	p.Found = figures.Plural(len(found), "workout")
	if len(found) > 0 {
		p.Listing = shelf.Listing("", found, a) // the page has a title
		for i, row := range p.Listing.Table.Rows {
			row[0].Link = to + url.PathEscape(found[i].Name)
		}
	}
	title := "Library"
	if p.Starters {
		title = "Starters"
	}
	return v.show("library", title, p)
}

// A workoutPage is what pages/workout.html lays out.
type workoutPage struct {
	Name, Title  string
	Seen         string // token of its text
	Explained    *report.Report
	Past, Beside *report.Report // Beside is nil when no two runs were chosen
	Runs         []runChoice
	First        int // indexes of the runs that are chosen
	Second       int
}

// A runChoice is a run of a workout that can be laid beside another.
type runChoice struct {
	Index int
	Words string
}

// showWorkout tells a workout, how it went over time, and two runs of it side by side.
func showWorkout(v *visit, s *scene) error {
	name := v.r.PathValue("name")
	i := slices.IndexFunc(s.entries, func(e library.Entry) bool { return e.Name == name })
	if i < 0 {
		return refusef(http.StatusNotFound, "Look at the library.", "There is no workout of that name, or it has mistakes.")
	}
	e := s.entries[i]
	h, errs := s.history(v.r.Context(), e)
	if v.r.Context().Err() != nil {
		return nil
	}
	explained := session.Explain(e.Workout, s.athlete, nil)
	explained.Front.Byline = e.Name
	p := workoutPage{Name: e.Name, Seen: token(e.Text), Explained: explained, Past: shelf.History(h, s.athlete.Miles)}
	for _, err := range errs {
		p.Past.Said = append(p.Past.Said, report.Sentence{Text: "Not read: " + err.Error() + ".", Style: report.Alert})
	}
	for i, r := range h.Runs {
		words := "no date"
		if !r.Start.IsZero() {
			words = v.Calendar.Local(r.Start).Format("Mon 2 Jan 2006, 15:04")
		}
		p.Runs = append(p.Runs, runChoice{i, words + ", " + figures.UnitOf(s.athlete.Miles).Pace(r.Pace) + " " + figures.UnitOf(s.athlete.Miles).Per()})
	}
	p.First, p.Second = max(0, len(h.Runs)-2), len(h.Runs)-1
	q := v.r.URL.Query()
	a, errA := strconv.Atoi(q.Get("first"))
	b, errB := strconv.Atoi(q.Get("second"))
	if errA == nil && errB == nil && min(a, b) >= 0 && max(a, b) < len(h.Runs) && a != b {
		p.First, p.Second = a, b
		two := h.Pair(a, b)
		p.Beside = &report.Report{Title: fmt.Sprintf("%s beside %s", day(h.Runs[a].Start), day(h.Runs[b].Start))}
		shelf.Pair(p.Beside, two, s.athlete.Miles)
	}
	return v.show("workout", e.Name, p)
}

func day(t time.Time) string {
	if t.IsZero() {
		return "no date"
	}
	return t.Format("2 Jan 2006")
}

// pasts are the histories of one scene, each made once.
type pasts struct {
	sync.Mutex
	of map[string]past
}

type past struct {
	history library.History
	errs    []error
}

// history is how a workout went over time.
func (s *scene) history(ctx context.Context, e library.Entry) (library.History, []error) {
	s.pasts.Lock()
	defer s.pasts.Unlock()
	if p, ok := s.pasts.of[e.Name]; ok {
		return p.history, p.errs
	}
	h := library.NewHistorian(e, s.entries, s.athlete, library.OdometerPct)
	errs := s.desk.gatherer().Past(ctx, h, block.Past{Runs: s.runs, Courses: s.courses(), Log: s.log, Calendar: s.desk.Calendar, Calibrate: s.athlete.Calibrate})
	p := past{h.History(), errs}
	if ctx.Err() == nil {
		if s.pasts.of == nil {
			s.pasts.of = map[string]past{}
		}
		s.pasts.of[e.Name] = p
	}
	return p.history, p.errs
}

// removeWorkout takes a workout out of the library.
func removeWorkout(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	name := get("name")
	if err := library.CheckName(name); err != nil {
		return refusef(http.StatusBadRequest, "Choose a workout of the library.", "%v.", err)
	}
	id, err := v.writeWorkout(name, report.Safe(name)+" is taken out of the library.", "/library", func(now text) (string, bool, error) {
		if !now.there || token(now.src) != get("seen") {
			return "", true, errChanged
		}
		return "", false, nil
	})
	if err != nil {
		return err
	}
	return v.goTo("/library", id)
}
