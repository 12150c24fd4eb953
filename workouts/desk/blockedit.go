package desk

import (
	"errors"
	"fmt"
	"net/http"
	"slices"
	"strconv"
	"strings"
	"time"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/block/planfile"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/report"
)

// An edit is a change of the block by the fields of a form, and the words that say it.
type edit func(t planfile.Text, get func(string) string) (planfile.Text, string, error)

// changeBlock answers the forms that change a session.
func changeBlock(do edit) func(v *visit) error {
	return func(v *visit) error {
		get, err := v.form()
		if err != nil {
			return err
		}
		before, err := v.readText(folder.Plan)
		if err != nil {
			return err
		}
		if err := unchanged(before.src, get("seen")); err != nil {
			return err
		}
		t, err := planfile.Read(folder.Plan, before.src)
		if err != nil {
			return refusef(http.StatusConflict, "Mend its text first: the page of the block shows where.", "The planned block has mistakes.")
		}
		after, words, err := do(t, get)
		if err != nil {
			return unplanned(err)
		}
		if err := v.known(after, before.src); err != nil {
			return unplanned(err)
		}
		week := "/block"
		if n, err := strconv.Atoi(get("week")); err == nil && n > 0 && n <= mostWeeks {
			week += "/" + strconv.Itoa(n)
		}
		id, err := v.write(folder.Plan, words, week, func(now string) (string, error) {
			return after.String(), unchanged(now, get("seen"))
		})
		if err != nil {
			return err
		}
		return v.goTo(week, id)
	}
}

// known is nil when a change did not bring in a name that the library does not know.
func (d *Desk) known(after planfile.Text, before string) error {
	entries, err := d.workouts()
	if err != nil {
		return err
	}
	plan := after.Plan
	err = plan.Resolve(folder.Plan, after.String(), entries)
	var found workouts.Diagnostics
	if !errors.As(err, &found) {
		return err
	}
	for _, x := range found { // a name that stood there before is another matter
		if line := strings.Split(after.String(), "\n")[x.Line-1]; !slices.Contains(strings.Split(before, "\n"), line) {
			return workouts.Diagnostics{x}
		}
	}
	return nil
}

// unplanned says why the block was not changed.
func unplanned(err error) error {
	var found workouts.Diagnostics
	if errors.As(err, &found) {
		hint := found[0].Hint
		if hint == "" {
			hint = "Write it on the page of a plan, which shows mistakes as you type."
		}
		return refusef(http.StatusUnprocessableEntity, figures.Sentence(hint), "%s: %s.", strings.TrimSpace(found[0].SourceLine), found[0].Message)
	}
	return refusef(http.StatusUnprocessableEntity, "Nothing was changed.", "%s", figures.Sentence(err.Error()))
}

// date reads a field that holds a day.
func date(s string) (time.Time, error) {
	on, err := time.Parse(time.DateOnly, s)
	if err != nil {
		return on, fmt.Errorf("%q is no date", s)
	}
	return on, nil
}

// which reads the day and the place of a session.
func which(get func(string) string) (time.Time, int, error) {
	on, err := date(get("day"))
	if err != nil {
		return on, 0, err
	}
	i, err := strconv.Atoi(get("index"))
	if err != nil {
		return on, 0, fmt.Errorf("%q is no place in a day", get("index"))
	}
	return on, i, nil
}

func spoken(on time.Time) string { return on.Format("Monday 2 January") }

func putSession(t planfile.Text, get func(string) string) (planfile.Text, string, error) {
	on, err := date(get("day"))
	if err != nil {
		return t, "", err
	}
	workout := get("workout")
	if get("rest") != "" {
		workout = "rest"
	}
	after, err := t.Put(on, workout)
	return after, report.Safe(strings.TrimSpace(workout)) + " is planned on " + spoken(on) + ".", err
}

func takeSession(t planfile.Text, get func(string) string) (planfile.Text, string, error) {
	on, i, err := which(get)
	if err != nil {
		return t, "", err
	}
	after, err := t.Take(on, i)
	return after, "A session is taken off " + spoken(on) + ".", err
}

func moveSession(t planfile.Text, get func(string) string) (planfile.Text, string, error) {
	on, i, err := which(get)
	if err != nil {
		return t, "", err
	}
	to, err := date(get("to"))
	if err != nil {
		return t, "", err
	}
	after, err := t.Move(on, i, to)
	return after, "A session is moved from " + spoken(on) + " to " + spoken(to) + ".", err
}

// beginBlock makes the text of a new block.
func beginBlock(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	starts, err := date(get("starts"))
	if err != nil {
		return unplanned(err)
	}
	name := workouts.PrintableLine(strings.Join(strings.Fields(strings.ReplaceAll(get("name"), "#", " ")), " "))
	src := "starts: " + starts.Format(time.DateOnly) + "\n\nweek 1\n"
	if name != "" {
		src = "name: " + name + "\n" + src
	}
	if _, err := block.ParsePlan(folder.Plan, src); err != nil {
		return unplanned(err)
	}
	id, err := v.write(folder.Plan, "A block is begun.", "/block", func(now string) (string, error) {
		return src, unchanged(now, get("seen"))
	})
	if err != nil {
		return err
	}
	return v.goTo("/block/1", id)
}

// saveBlock takes the text as it was written by hand.
func saveBlock(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	src := strings.ReplaceAll(get("text"), "\r\n", "\n")
	s, err := v.scene(v.r.Context())
	if errors.Is(err, errStill) {
		return v.reading()
	}
	if err != nil {
		return err
	}
	id := 0
	plan, err := block.ParsePlan(folder.Plan, src)
	if err == nil {
		err = plan.Resolve(folder.Plan, src, s.entries)
	}
	if err != nil {
		t, wrong := v.readText(folder.Plan)
		if wrong != nil {
			return wrong
		}
		return v.blockPage(http.StatusUnprocessableEntity, s, src, t, 0, err)
	}
	id, err = v.write(folder.Plan, "The text of the block is saved.", "/block", func(now string) (string, error) {
		if strings.Contains(now, "\r\n") { // a browser tells line ends as it likes
			src = strings.ReplaceAll(src, "\n", "\r\n")
		}
		return src, unchanged(now, get("seen"))
	})
	if err != nil {
		return err
	}
	return v.goTo("/block", id)
}
