package desk

import (
	"cmp"
	"net/http"
	"net/url"
	"strconv"
	"strings"
	"time"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/block/planfile"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/draft"
)

// blockRoutes are those of the planned block. The text file is what counts: every change is
// one of its lines.
var blockRoutes = []route{
	{"GET /block", onScene(showBlock)},
	{"GET /block/{week}", onScene(showBlock)},
	{"POST /block/begin", beginBlock},
	{"POST /block/put", changeBlock(putSession)},
	{"POST /block/take", changeBlock(takeSession)},
	{"POST /block/move", changeBlock(moveSession)},
	{"POST /block/text", saveBlock},
}

// weeksPlanned is how many weeks a page of the block has.
const weeksPlanned = 4

// A blockPage is what pages/block.html lays out.
type blockPage struct {
	There   bool // there is a planned block
	Name    string
	Next    string // the day that a new block may start on
	Seen    string // token of the text
	Text    string
	Wrong   []draft.Mistake
	Week    int // the first that is shown
	Weeks   []plannedWeek
	Earlier int // first week of the page before; 0 for none
	Later   int
	Days    []dayChoice // of the weeks that are shown
	Choices []string    // workouts of the library
	Why     string      // what keeps the plan from being held against the runs
}

// A dayChoice is a day that a session can be moved to.
type dayChoice struct{ Date, Words string }

// A plannedWeek is a week as the page has it.
type plannedWeek struct {
	Number int
	Words  string // its days
	Sum    string // what is planned and what the plan asks for
	Days   []plannedDay
}

// A plannedDay is a day with what is planned on it.
type plannedDay struct {
	Date, Words string
	Today       bool
	Sessions    []plannedSession
}

// A plannedSession is a session that is planned on a day.
type plannedSession struct {
	Index   int // among those of the day
	Text    string
	Link    string // leads to its workout, in the library or as a plan; empty for rest
	Says    string // what it comes to, or the workout that the name stands for
	Outcome string // what became of it; empty when that cannot be said yet
	Check   string // leads to the check of what was run for it; empty when nothing was
	Days    []dayChoice
	Date    string
}

// showBlock shows some weeks of the planned block.
func showBlock(v *visit, s *scene) error {
	t, err := v.readText(folder.Plan)
	if err != nil {
		return err
	}
	week, _ := strconv.Atoi(v.r.PathValue("week"))
	return v.blockPage(http.StatusOK, s, t.src, t, week, nil)
}

// blockPage lays out the block as it is, with a text of it that was typed and is not saved
// when that has mistakes.
func (v *visit) blockPage(status int, s *scene, typed string, t text, week int, wrong error) error {
	p := blockPage{There: t.there, Seen: token(t.src), Text: typed}
	p.Next = v.Calendar.Week(s.today).AddDate(0, 0, 7).Format(time.DateOnly)
	text, err := planfile.Read(t.name, t.src)
	if wrong == nil && t.there {
		if wrong = err; wrong == nil {
			plan := text.Plan
			wrong = plan.Resolve(t.name, t.src, s.entries)
			text.Plan = plan
		}
	}
	p.Wrong = draft.MistakesIn(typed, wrong)
	if t.there && err == nil {
		p.lay(s, text.Plan, week)
	}
	for _, e := range s.entries {
		p.Choices = append(p.Choices, e.Name)
	}
	return v.showStatus(status, "block", "Block", p)
}

// lay fills in the weeks from one on; the current one when it is 0.
func (p *blockPage) lay(s *scene, plan block.Plan, week int) {
	p.Name = report.Safe(plan.Name)
	if week < 1 {
		week = max(1, plan.WeekOf(s.today))
	}
	week = min(week, mostWeeks)
	p.Week, p.Later = week, week+weeksPlanned
	if week > 1 {
		p.Earlier = max(1, week-weeksPlanned)
	}
	first := plan.Starts.AddDate(0, 0, 7*(week-1))
	for d := range 7 * weeksPlanned {
		on := first.AddDate(0, 0, d)
		p.Days = append(p.Days, dayChoice{on.Format(time.DateOnly), on.Format("Mon 2 Jan")})
	}
	settled := map[int]block.KeptSession{} // by line
	if _, kept, err := s.weeks(first.AddDate(0, 0, -35), first.AddDate(0, 0, 7*weeksPlanned+6)); err != nil {
		p.Why = err.Error()
	} else {
		for _, k := range kept {
			for _, x := range k.Sessions {
				if x.Planned != nil && x.Outcome != block.Ahead {
					settled[x.Planned.Line()] = x
				}
			}
		}
	}
	for n := range weeksPlanned {
		p.Weeks = append(p.Weeks, p.week(s, plan, week+n, settled))
	}
}

// mostWeeks is how far a plan may reach: ten years, as in its text.
const mostWeeks = 520

// week lays out one week.
func (p *blockPage) week(s *scene, plan block.Plan, number int, settled map[int]block.KeptSession) plannedWeek {
	start := plan.Starts.AddDate(0, 0, 7*(number-1))
	w := plannedWeek{Number: number, Words: start.Format("2 January") + " to " + start.AddDate(0, 0, 6).Format("2 January 2006")}
	var seconds, metres athlete.Estimate
	for d := range 7 {
		on := start.AddDate(0, 0, d)
		day := plannedDay{Date: on.Format(time.DateOnly), Words: on.Format("Mon 2 Jan"), Today: on.Equal(s.today)}
		for i, x := range plan.On(on) {
			session := plannedSession{Index: i, Text: report.Safe(x.String()), Days: p.Days, Date: day.Date}
			became := settled[x.Line()]
			session.Outcome = string(became.Outcome)
			workout := x.Workout
			for _, e := range s.entries {
				if e.Name == x.Name && !x.Rest {
					session.Link, workout = "/library/"+url.PathEscape(e.Name), e.Workout
				}
			}
			if len(workout.Items) > 0 {
				text := url.QueryEscape(notation.Print(workout))
				session.Link = cmp.Or(session.Link, "/plan?text="+text)
				if became.Run != nil {
					session.Check = "/plan?do=check&session=" + url.QueryEscape(s.name(became.Run.Run)) + "&text=" + text + "#checked"
				}
				o := s.athlete.Outline(workout)
				seconds, metres = seconds.Plus(o.Seconds), metres.Plus(o.Metres)
				session.Says = amount(o.Seconds, o.Metres, s.athlete.Miles)
			}
			day.Sessions = append(day.Sessions, session)
		}
		w.Days = append(w.Days, day)
	}
	var parts []string
	if seconds.Value > 0 || metres.Value > 0 {
		parts = append(parts, "planned: "+amount(seconds, metres, s.athlete.Miles))
	}
	for _, x := range plan.Weeks {
		if x.Number == number && x.Volume.String() != "" {
			parts = append(parts, "the week asks for "+x.Volume.String())
		}
	}
	w.Sum = strings.Join(parts, "; ")
	return w
}

// amount is a time and a distance, of which one may have been worked out with an assumed pace.
func amount(seconds, metres athlete.Estimate, miles bool) string {
	about := func(rough bool) string {
		if rough {
			return "≈"
		}
		return ""
	}
	return about(metres.Rough) + figures.UnitOf(miles).Distance(metres.Value) + ", " + about(seconds.Rough) + figures.Sum(seconds.Value)
}
