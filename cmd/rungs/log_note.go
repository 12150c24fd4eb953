package main

import (
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/log"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
)

const sayText = `DAY is a date such as 2026-09-08, "today", "yesterday", or a recording, whose day and
time count. Where several sessions share a day, TIME says which one is meant. Only the
line of that session is changed, or a new one is put in; the log is made in the working
folder when there is no training folder.`

var logNote = command{
	name:    "log note",
	args:    "DAY [TIME] TEXT",
	summary: "write down what there is to say",
	about: `Writes a note about a session into the log; an empty TEXT takes it out.
` + sayText,
	example: `rungs log note today "legs heavy, wind"`,
	setup: sayer("log note", func(e *log.Entry, words []string) error {
		e.Note = log.Tidy(strings.Join(words, " "))
		return nil
	}),
}

var logMark = command{
	name:    "log mark",
	args:    "DAY [TIME] FIELD...",
	summary: "say hard, race, effort 7, title ...",
	about: `Says something of a session in the log: race, hard, easy, leave out, outdoors,
treadmill, track, trail, and with something behind them effort, title, with, was, reps, note.
Each FIELD is one of these, as in a line of the log; what the line said of it before is
replaced. "no hard" takes a word out again.
` + sayText,
	example: `rungs log mark 2026-09-13 race "effort 9.5" "title Town run"`,
	setup:   sayer("log mark", mark),
}

var logCorrect = command{
	name:    "log correct",
	args:    "DAY [TIME] WORKOUT",
	summary: "say what a session really was",
	about: `Says what a session really was, in the notation of workouts: split, check and
block then read the recording as that. An empty WORKOUT takes it out.
` + sayText,
	example: `rungs log correct 2026-09-08 "6 x 800m off 400m jog"`,
	setup: sayer("log correct", func(e *log.Entry, words []string) error {
		text := strings.TrimSpace(strings.Join(words, " "))
		if text == "" {
			e.Was = ""
			return nil
		}
		w, err := notation.Parse("WORKOUT", text)
		if err != nil {
			return err
		}
		e.Was = notation.Print(w)
		return nil
	}),
}

// sayer makes the setup of a command that changes what the log says of a session.
func sayer(name string, say func(*log.Entry, []string) error) func(fs *pflag.FlagSet) body {
	return func(fs *pflag.FlagSet) body {
		zone := zoneFlag(fs)
		today := fs.String("today", "", "the `DATE` that today is taken to be; the clock's when not given")
		return func(e *env, args []string) int {
			c, status := e.readZone(name, *zone)
			if status != exitFine {
				return status
			}
			s, err := (&spanFlags{today: *today}).of(c, now())
			if err != nil {
				return e.misuse("%s: %v", name, err)
			}
			if len(args) < 2 {
				return e.misuse("%s: give the day, and what to say", name)
			}
			entry, rest, err := e.meant(args, c, s.today)
			if err != nil {
				return e.complain(name + ": " + err.Error())
			}
			if len(rest) == 0 {
				return e.misuse("%s: say something behind the day", name)
			}
			return e.say(name, entry, func(entry *log.Entry) error { return say(entry, rest) })
		}
	}
}

// say changes the line of a session, or makes one, and prints it.
func (e *env) say(name string, entry log.Entry, change func(*log.Entry) error) int {
	f, ok := trainingFolder()
	if !ok {
		f = folder.Folder{Path: "."}
	}
	e.saving.Lock()
	defer e.saving.Unlock()
	line, number := "", 0
	err := log.Change(f.LogPath(), func(l *log.Log) error {
		if old, ok := l.Find(entry); ok {
			entry = old
		}
		if err := change(&entry); err != nil {
			return err
		}
		if entry.Line > 0 && !entry.Says() {
			l.Remove(entry.Line)
			return nil
		}
		if err := l.Set(entry); err != nil {
			return err
		}
		written, _ := l.Find(entry)
		line, number = written.String(), written.Line
		return nil
	})
	var found workouts.Diagnostics
	switch {
	case errors.As(err, &found):
		return e.complainFully(err)
	case err != nil:
		return e.complain(name + ": " + err.Error())
	case line == "":
		return e.write(fmt.Sprintf("%s: nothing is said of %s any more\n", f.LogPath(), entry.Day.Format(time.DateOnly)))
	}
	return e.write(report.Safe(fmt.Sprintf("%s:%d: %s", f.LogPath(), number, line)) + "\n")
}

// meant reads the day and the time in front of the arguments.
func (e *env) meant(args []string, c block.Calendar, today time.Time) (entry log.Entry, rest []string, err error) {
	entry = log.NewEntry(today)
	switch day, failed := time.Parse(time.DateOnly, args[0]); {
	case args[0] == "today":
	case args[0] == "yesterday":
		entry.Day = today.AddDate(0, 0, -1)
	case failed == nil:
		entry.Day = day
	default:
		recordings, err := recording.Open(args[0])
		if err != nil && !looksLikeFile(args[0]) {
			return entry, nil, fmt.Errorf("%q is no day; write one such as 2026-09-08, today, yesterday, or name a recording", args[0])
		}
		if err != nil {
			return entry, nil, err
		}
		start := recordings[0].Start
		if len(recordings) != 1 || start.IsZero() {
			return entry, nil, fmt.Errorf("%s: holds no single recording with a date; write the day", args[0])
		}
		entry.Day = c.Day(start)
		local := c.Local(start)
		entry.Clock = local.Hour()*60 + local.Minute()
		return entry, args[1:], nil
	}
	if entry.Day.After(today) {
		return entry, nil, fmt.Errorf("%s is still to come; what is planned stands in a plan", args[0])
	}
	if len(args) > 1 {
		clock, ok := log.ParseClock(args[1])
		switch {
		case ok:
			entry.Clock = clock
			return entry, args[2:], nil
		case len(args) > 2 && clockLike.MatchString(args[1]):
			return entry, nil, fmt.Errorf("%q is no time of day; write one such as 18:10", args[1])
		}
	}
	return entry, args[1:], nil
}

// clockLike is what can only be meant as a time of day.
var clockLike = regexp.MustCompile(`^(\d{1,2}[:.]\d\d|\d{1,2}([:.]\d\d)?[ap]m)$`)

// mark reads fields as a line of the log has them into an entry.
func mark(e *log.Entry, fields []string) error {
	var said []string
	for i := 0; i < len(fields); i++ {
		f := fields[i]
		for i+1 < len(fields) && log.TakesMore(f) { // "effort 7" as two arguments
			f += " " + fields[i+1]
			i++
		}
		word, no := strings.CutPrefix(strings.TrimSpace(f), "no ")
		if !no {
			said = append(said, f)
			continue
		}
		if !e.Unsay(word) {
			return fmt.Errorf("%q is no word of the log", word)
		}
	}
	if len(said) == 0 {
		return nil
	}
	i := slices.IndexFunc(said, func(f string) bool { return strings.HasPrefix(strings.ToLower(strings.TrimSpace(f)), "note") })
	if i >= 0 { // it goes to the end of the line
		said = append(slices.Delete(slices.Clone(said), i, i+1), said[i])
	}
	l := log.Parse("FIELD", "2000-01-01 "+strings.Join(said, "; "))
	if wrong := l.Wrong(); len(wrong) > 0 {
		d := wrong[0]
		return fmt.Errorf("%s; %s", d.Message, d.Hint)
	}
	e.Say(l.Entries()[0])
	return nil
}
