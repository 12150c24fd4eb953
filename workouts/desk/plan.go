package desk

import (
	"bytes"
	_ "embed"
	"errors"
	"html/template"
	"mime"
	"net/http"
	"net/url"
	"slices"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/draft"
	"example.org/rungs/workouts/report/session"
)

var (
	//go:embed plans.js
	plansJS string
	//go:embed plans.css
	plansCSS string
)

// planRoutes are those of the page on which a plan is written. What changes nothing is asked
// for with the plan in the address, so that the page can be loaded again.
var planRoutes = []route{
	{"GET /plan", onScene(showPlan)},
	{"POST /plan/look", lookPlan},
	{"POST /plan/keep", keepPlan},
	{"GET /plan/watch", watchPlan},
	{"GET /plan/sheet", sheetPlan},
	{"GET /plans.js", func(v *visit) error { return v.asset("text/javascript; charset=utf-8", plansJS) }},
}

// A planPage is what pages/plan.html lays out.
type planPage struct {
	Text     string // as it was typed
	Name     string // in the library; empty when it is not there
	Of       string // workout of the library that was opened
	Seen     string // token of its text
	Most     int    // bytes of a text
	Told     toldPlan
	Sessions []sessionChoice
	Check    *report.Report // against a session; nil when it was not asked for
	Why      string         // there is no check
	Refused  string         // why it was not kept
	Examples []example
}

// A toldPlan is a plan as far as it is written, and what a watch would not show of it.
type toldPlan struct {
	draft.Draft
	Lost []string
}

// Pictures are made by package draft, which escapes what they say.
func (t toldPlan) WidePicture() template.HTML   { return template.HTML(t.Wide) }
func (t toldPlan) NarrowPicture() template.HTML { return template.HTML(t.Narrow) }

// An example shows how a plan is written.
type example struct{ Text, Says string }

// To is the address that opens the example.
func (e example) To() string { return "/plan?text=" + url.QueryEscape(e.Text) }

var examples = []example{
	{"8km easy", "one easy run"},
	{"15:00 warm + 5 x 4:00 off 1:30 jog + 10:00 cool", "five times four minutes, with a minute and a half of jogging between"},
	{"2km warm + 6 x 800m @ 3:50/km off 400m jog + 1km cool", "at a pace"},
	{"15:00 warm + 3 x ( 4 x 1:00 off 30s walk ) off 4:00 jog + 10:00 cool", "three sets of four"},
	{"15:00 warm + 5 x 1km @ 4:10 -> 3:55/km off 2:00 jog + 10:00 cool", "from one pace to another, a little at each rep"},
	{"15:00 warm + 3 x 10:00 @ 150-160bpm off 2:00 walk + 10:00 cool", "by heart rate"},
}

// A sessionChoice is a session that a plan can be held against.
type sessionChoice struct {
	Name, Words string
	Chosen      bool
}

// mostChoices is how many sessions can be chosen from, the newest: half a year of five a week.
const mostChoices = 130

// choices are the sessions that a plan can be held against, the newest first.
func (s *scene) choices(chosen string, miles bool) (out []sessionChoice) {
	for _, r := range slices.Backward(s.all) {
		if r.Start.IsZero() || len(out) == mostChoices {
			continue
		}
		words := s.desk.Calendar.Local(r.Start).Format("Mon 2 Jan 2006, 15:04")
		if !r.Unmeasured {
			words += ", " + figures.UnitOf(miles).Distance(r.DistanceM)
		}
		if r.Main != "" {
			words += ": " + r.Main
		}
		name := s.name(r)
		out = append(out, sessionChoice{name, report.Safe(words), name == chosen})
	}
	return out
}

// tell reads a plan as it is typed.
func tell(text string, a athlete.Athlete) toldPlan {
	t := toldPlan{Draft: draft.Of(text, a)}
	if t.Plan != "" {
		if resolved, _ := a.Resolve(t.Workout); len(t.Mistakes) == 0 {
			t.Lost, _ = fitfile.Write(new(bytes.Buffer), resolved)
		}
	}
	return t
}

// showPlan shows a plan being written, with its check when one was asked for.
func showPlan(v *visit, s *scene) error {
	q := v.r.URL.Query()
	p := planPage{Text: q.Get("text"), Name: q.Get("name"), Of: q.Get("of"), Seen: q.Get("seen"), Most: draft.MostTyped, Examples: examples}
	if !q.Has("text") {
		p.open(s, q)
	}
	p.Told = tell(p.Text, s.athlete)
	p.Sessions = s.choices(q.Get("session"), s.athlete.Miles)
	if q.Get("do") == "check" && len(p.Told.Mistakes) == 0 && p.Told.Plan != "" {
		var err error
		if p.Check, err = v.checked(s, p.Told.Workout, q.Get("session")); err != nil {
			p.Why = err.Error()
		}
	}
	return v.show("plan", "A plan", p)
}

// open takes the text of a workout of the library, or of a starter, that was asked for.
func (p *planPage) open(s *scene, q url.Values) {
	for _, e := range s.entries {
		if e.Name == p.Of {
			p.Text, p.Name, p.Seen = e.Text, e.Name, token(e.Text)
		}
	}
	for _, e := range library.Shelf() {
		if e.Name == q.Get("starter") {
			p.Text, p.Name = e.Text, e.Name
		}
	}
}

// checked holds a workout against a session, as the log has that.
func (v *visit) checked(s *scene, w workouts.Workout, name string) (*report.Report, error) {
	o, err := v.opened(s, name)
	if err != nil {
		return nil, err
	}
	session, err := o.as(o.entry)
	if err != nil {
		return nil, err
	}
	return o.held(session, w, nil)
}

// lookPlan answers the script with what the page shows of a plan.
func lookPlan(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	a, err := v.Athlete()
	if err != nil {
		a = athlete.New()
	}
	told := tell(get("text"), a)
	var b bytes.Buffer
	if err := templates()["plan"].ExecuteTemplate(&b, "told", told); err != nil {
		return err
	}
	return v.json(map[string]any{"told": b.String(), "plan": told.Draft})
}

// keepPlan puts a plan into the library. What keeps it from there is told on the page, with
// the plan as it was typed.
func keepPlan(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	id, err := v.keep(get("name"), get("of"), get("seen"), get("text"))
	if err == nil {
		return v.goTo("/library/"+url.PathEscape(get("name")), id)
	}
	var r refusal
	s, still := v.scene(v.r.Context())
	if !errors.As(err, &r) || still != nil {
		return err
	}
	p := planPage{Text: get("text"), Name: get("name"), Of: get("of"), Seen: get("seen"), Refused: r.Error(), Most: draft.MostTyped, Examples: examples}
	p.Told = tell(p.Text, s.athlete)
	p.Sessions = s.choices(get("session"), s.athlete.Miles)
	return v.showStatus(r.status, "plan", "Not kept", p)
}

// keep writes a plan as the workout of a name. It was opened as the workout Of, whose text had the
// token seen; both are empty for a new one.
func (v *visit) keep(name, of, seen, written string) (int, error) {
	if err := library.CheckName(name); err != nil {
		return 0, refusef(http.StatusUnprocessableEntity, "Give it another.", "%v.", err)
	}
	kept, err := notation.Format("", written)
	if err != nil {
		return 0, refusef(http.StatusUnprocessableEntity, "Mend them first.", "The plan has mistakes, or nothing is written yet, so it was not kept.")
	}
	return v.writeWorkout(name, report.Safe(name)+" is kept in the library.", "/library", func(now text) (string, bool, error) {
		switch {
		case now.there && name != of:
			return "", true, refusef(http.StatusConflict, "Give another, or open that one from the library and change it there.", "The library has a workout of that name already.")
		case !now.there && name == of || now.there && token(now.src) != seen:
			return "", true, errChanged
		}
		return kept, true, nil
	})
}

// watchPlan gives a plan as a file for a watch.
func watchPlan(v *visit) error {
	q := v.r.URL.Query()
	w, err := notation.Parse("", q.Get("text"))
	if err != nil {
		return refusef(http.StatusUnprocessableEntity, "Go back: the page shows them, and what to do.", "The plan has mistakes, so there is no file for a watch.")
	}
	a, err := v.Athlete()
	if err != nil {
		return err
	}
	name := q.Get("name")
	if library.CheckName(name) != nil {
		name = "workout"
	}
	if w.Name == "" {
		w.Name = name
	}
	resolved, _ := a.Resolve(w)
	var b bytes.Buffer
	if _, err := fitfile.Write(&b, resolved); err != nil {
		return refusef(http.StatusUnprocessableEntity, "Make it shorter.", "A watch cannot hold it: %v.", err)
	}
	v.w.Header().Set("Content-Type", "application/vnd.ant.fit")
	v.w.Header().Set("Content-Disposition", mime.FormatMediaType("attachment", map[string]string{"filename": name + ".fit"}))
	_, err = v.w.Write(b.Bytes())
	return ignore(err)
}

// sheetPlan shows a plan alone, step by step, to be printed.
func sheetPlan(v *visit) error {
	w, err := notation.Parse("", v.r.URL.Query().Get("text"))
	if err != nil {
		return refusef(http.StatusUnprocessableEntity, "Go back: the page shows them, and what to do.", "The plan has mistakes, so there is no sheet of it.")
	}
	a, err := v.Athlete()
	if err != nil {
		return err
	}
	return v.show("sheet", "A plan to take along", session.Explain(w, a, nil))
}
