package desk

import (
	"errors"
	"fmt"
	"net/http"
	"path/filepath"
	"slices"
	"sync"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/correct"
	"example.org/rungs/workouts/fitfile"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/match"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/session"
)

var sessionRoutes = []route{
	{"GET /session/{name}", showSession},
	{"GET /session/{name}/trace", showTrace},
	{"POST /session/{name}/try", tryReps},
	{"POST /session/{name}/reps", saveReps},
	{"POST /session/{name}/reading", saveReading},
	{"POST /session/{name}/say", saveSaid},
	{"POST /look", lookNotation},
}

// An opened session is one that a page is about.
type opened struct {
	*scene
	at    int // in told
	run   block.Run
	entry log.Entry        // what the log says of it
	base  *segment.Session // as Split reads it
}

// open opens the session that a visit asks for.
func (v *visit) open() (*opened, error) {
	s, err := v.scene(v.r.Context())
	if errors.Is(err, errStill) {
		return nil, refusef(http.StatusServiceUnavailable, "Wait a moment, and ask again.", "The folder is still being read.")
	}
	if err != nil {
		return nil, err
	}
	return v.opened(s, v.r.PathValue("name"))
}

// opened is the session of a name.
func (d *Desk) opened(s *scene, name string) (o *opened, err error) {
	o = &opened{scene: s}
	if o.at, err = s.session(name); err != nil {
		return nil, err
	}
	o.run = s.told[o.at]
	o.entry = log.NewEntry(d.Calendar.Day(o.run.Start))
	if o.run.Said != nil {
		o.entry = *o.run.Said
	}
	o.base, err = d.split(s, o.run)
	return o, err
}

// splits are the sessions that were split last, so that moving an edge does not read a
// recording again.
type splits struct {
	sync.Mutex
	list []oneSplit // the last one used at the end
}

type oneSplit struct {
	key     string
	session *segment.Session
}

// mostSplits is how many are kept: a session and its readings have some 10 MB.
const mostSplits = 3

// split reads the recording of a session and splits it. What it gives is not to be changed.
func (d *Desk) split(s *scene, r block.Run) (*segment.Session, error) {
	key := fmt.Sprintf("%d %s", s.serial, s.name(r))
	d.splits.Lock()
	defer d.splits.Unlock()
	if i := slices.IndexFunc(d.splits.list, func(x oneSplit) bool { return x.key == key }); i >= 0 {
		found := d.splits.list[i]
		d.splits.list = append(slices.Delete(d.splits.list, i, i+1), found)
		return found.session, nil
	}
	session, err := d.splitAnew(r)
	if err != nil {
		return nil, err
	}
	d.splits.list = append(d.splits.list, oneSplit{key, session})
	if n := len(d.splits.list); n > mostSplits {
		d.splits.list = slices.Delete(d.splits.list, 0, n-mostSplits)
	}
	return session, nil
}

// splitAnew reads and splits. A file that became a link out of the folder meanwhile is refused.
func (d *Desk) splitAnew(r block.Run) (*segment.Session, error) {
	for _, path := range r.Paths() {
		name, err := filepath.Rel(d.Folder.Path, path)
		if err == nil {
			_, err = d.root.Stat(name)
		}
		if err != nil {
			return nil, refusef(http.StatusNotFound, "Look at the weeks.", "The recording cannot be read any more: %v.", reason(err))
		}
	}
	rec, err := r.Recording()
	if err != nil {
		return nil, err
	}
	return segment.Split(rec, segment.Knowing(d.Known...))
}

// plain is a session as correct.Plain has it, where the runner has workouts.
func (o *opened) plain(base *segment.Session, e log.Entry) *segment.Session {
	if len(o.desk.Known) == 0 {
		return base
	}
	return correct.Plain(base, e)
}

// as is the session read as an entry of the log says, by the runner's clock and odometer.
func (o *opened) as(e log.Entry) (*segment.Session, error) {
	base := o.base
	if o.athlete.Calibrates(base) { // which changes the trace that others share
		var err error
		if base, err = o.desk.splitAnew(o.run); err != nil {
			return nil, err
		}
	}
	told := *correct.Told(o.plain(base, e), e)
	rec := *told.Recording
	rec.Start, rec.Name = o.desk.Calendar.Local(rec.Start), o.run.File
	told.Recording = &rec
	o.athlete.Calibrate(&told)
	return &told, nil
}

// A sessionPage is what pages/session.html lays out.
type sessionPage struct {
	Name, Seen    string
	Before, After string // names of the sessions beside it; empty for none
	Article       *report.Report
	Parts         partsTable
	Reps          []repRow
	Readings      []readingRow
	Said          saidForm
}

// A repRow is a rep in the form, as the log writes it.
type repRow struct{ From, To string }

// spareRows are the empty rows of the form, for reps that were missed.
const spareRows = 2

// showSession tells a session, with all that can be said of it.
func showSession(v *visit) error {
	o, err := v.open()
	if err != nil {
		return err
	}
	return v.showOpened(http.StatusOK, o, o.entry, saidOf(o.entry, nil))
}

// showOpened lays out the page of a session as an entry reads it, with what is typed into its form.
func (v *visit) showOpened(status int, o *opened, e log.Entry, f saidForm) error {
	s, err := o.as(e)
	if err != nil {
		return err
	}
	p := sessionPage{Name: o.name(o.run), Seen: token(essence(o.entry)), Said: f}
	if o.at > 0 {
		p.Before = o.name(o.told[o.at-1])
	}
	if o.at+1 < len(o.told) {
		p.After = o.name(o.told[o.at+1])
	}
	p.Parts = partsOf(s, o.athlete)
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			p.Reps = append(p.Reps, repRow{log.Clock(g.StartS), log.Clock(g.EndS)})
		}
	}
	p.Reps = append(p.Reps, make([]repRow, spareRows)...)
	p.Readings = readingRows(o, s)
	p.Article = o.article(s)
	return v.showStatus(status, "session", o.title(), p)
}

// title names a session by its title in the log, or by its day.
func (o *opened) title() string {
	day := o.desk.Calendar.Local(o.run.Start).Format("Monday 2 January 2006")
	if o.entry.Title != "" {
		return o.entry.Title + ", " + day
	}
	return day
}

// article tells how the session went against the plan when it was planned, else what was run.
func (o *opened) article(s *segment.Session) *report.Report {
	r := session.Split(s, session.Options{Miles: o.athlete.Miles, Page: true})
	r.Table = report.Table{} // which the page has below, where edges can be moved
	w, warnings, ok := o.planned(s)
	if !ok {
		return r
	}
	if held, err := o.held(s, w, warnings); err == nil {
		return held
	}
	return r
}

// held is a workout held against the session, with what is to be warned of besides.
func (o *opened) held(s *segment.Session, w workouts.Workout, warnings []recording.Warning) (*report.Report, error) {
	resolved, more := o.athlete.Resolve(w)
	options := session.Options{Miles: o.athlete.Miles, Page: true, Warnings: slices.Concat(warnings, more)}
	res, err := match.Check(resolved, s, match.Options{Miles: session.CountsMiles(resolved, options)})
	if err != nil {
		return nil, err
	}
	return session.Check(res, s, options), nil
}

// A partsTable is the segments of a session as the page has them.
type partsTable struct {
	Head  []string   `json:"head"`
	Rows  [][]string `json:"rows"`
	Notes []string   `json:"notes"`
	What  string     `json:"what"` // the structure in the notation
}

// partsOf lays out the segments, without columns that say nothing.
func partsOf(s *segment.Session, a athlete.Athlete) partsTable {
	t := session.Split(s, session.Options{Miles: a.Miles}).Table
	out := partsTable{Rows: make([][]string, len(t.Rows))}
	for c, col := range t.Columns {
		if !slices.ContainsFunc(t.Rows, func(row []report.Cell) bool { return row[c].Text != "" }) {
			continue
		}
		out.Head = append(out.Head, report.Safe(col.Head))
		for i, row := range t.Rows {
			out.Rows[i] = append(out.Rows[i], report.Safe(row[c].Text))
		}
	}
	for _, n := range t.Notes {
		out.Notes = append(out.Notes, report.Safe(n))
	}
	out.What = report.Safe(session.Found(s, session.Options{Miles: a.Miles}))
	return out
}

// planned is the workout that a session was planned as: by the planned block, or by the device.
func (o *opened) planned(s *segment.Session) (workouts.Workout, []recording.Warning, bool) {
	if k, ok := o.keptFor(); ok {
		return k.Planned.Workout, nil, true
	}
	if s.Recording.Plan == nil {
		return workouts.Workout{}, nil, false
	}
	w, warnings := fitfile.FromPlan(*s.Recording.Plan)
	return w, warnings, true
}

// keptFor is the planned session that this one was run for, when it has reps.
func (o *opened) keptFor() (block.KeptSession, bool) {
	day := o.desk.Calendar.Week(o.desk.Calendar.Day(o.run.Start))
	_, kept, err := o.weeks(day.AddDate(0, 0, -7), day.AddDate(0, 0, 13))
	if err != nil {
		return block.KeptSession{}, false
	}
	for _, week := range kept {
		for _, k := range week.Sessions {
			run := k.Run != nil && k.Run.Start.Equal(o.run.Start) && k.Run.File == o.run.File
			if run && k.Planned != nil && !k.Planned.Rest && k.Outcome != block.Replaced && k.Outcome != block.Extra {
				return k, hasWork(k.Planned.Workout)
			}
		}
	}
	return block.KeptSession{}, false
}

func hasWork(w workouts.Workout) bool {
	return slices.ContainsFunc(w.Expand(), func(p workouts.Planned) bool { return p.Role == segment.Work })
}
