package log

import (
	"fmt"
	"math"
	"strings"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
	"pgregory.net/rapid"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts"
)

func day(d int) time.Time { return time.Date(2026, 9, d, 0, 0, 0, 0, time.UTC) }

// entry is an entry for a day of September 2026, changed.
func entry(d int, change func(*Entry)) Entry {
	e := NewEntry(day(d))
	change(&e)
	return e
}

// Lines that are read, and how they are written. An empty second column is the
// first one.
var good = []struct {
	text, written string
	entry         Entry
}{
	{"2026-09-08 hard", "", entry(8, func(e *Entry) { e.Hard = true })},
	{"  2026-09-08:  EASY ;", "2026-09-08 easy", entry(8, func(e *Entry) { e.Easy = true })},
	{"2026-09-08 7:05 race; track", "2026-09-08 07:05 race; track", entry(8, func(e *Entry) { e.Clock, e.Race, e.Place = 425, true, recording.Track })},
	{"2026-09-08 00:00: leave   out", "2026-09-08 00:00 leave out", entry(8, func(e *Entry) { e.Clock, e.LeaveOut = 0, true })},
	{"2026-09-08 effort 0", "", entry(8, func(e *Entry) { e.Effort = 0 })},
	{"2026-09-08 effort: 10.0", "2026-09-08 effort 10", entry(8, func(e *Entry) { e.Effort = 10 })},
	{"2026-09-08 note Effort 7; hard", "", entry(8, func(e *Entry) { e.Note = "Effort 7; hard" })},
	{"2026-09-08 NOTE: a  b", "2026-09-08 note a b", entry(8, func(e *Entry) { e.Note = "a b" })},
	{"2026-09-08 note:", "", Entry{}},
	{"2026-09-08 title # 1; treadmill", "2026-09-08 treadmill; title # 1", entry(8, func(e *Entry) { e.Title, e.Place = "# 1", recording.Treadmill })},
	{"2026-09-08 file a b.fit; with 18:52", "", entry(8, func(e *Entry) { e.File, e.With, e.LeaveOut = "a b.fit", "18:52", false })},
	{"2026-09-08 reps 15:02-19:02.0  1:02:03.5-1:03:04", "2026-09-08 reps 15:02-19:02 1:02:03.5-1:03:04", entry(8, func(e *Entry) { e.Reps = spans(902, 1142, 3723.5, 3784) })},
	{"2026-09-08 Reps: 0:00-90:00; was 90:00; hard", "2026-09-08 hard; was 90:00; reps 0:00-1:30:00", entry(8, func(e *Entry) { e.Hard, e.Was, e.Reps = true, "90:00", spans(0, 5400) })},
	{"2026-09-08 reps NONE", "2026-09-08 reps none", entry(8, func(e *Entry) { e.Reps = spans() })},
	{"2026-09-08 was 3x(400m+200m jog); trail", "2026-09-08 trail; was 3x(400m+200m jog)", entry(8, func(e *Entry) { e.Was, e.Place = "3x(400m+200m jog)", recording.Trail })},
}

// spans are reps by where they begin and end, s.
func spans(edges ...float64) []recording.Span {
	out := []recording.Span{}
	for i := 0; i+1 < len(edges); i += 2 {
		out = append(out, recording.Span{StartS: edges[i], EndS: edges[i+1]})
	}
	return out
}

var sameEntry = cmp.Options{cmpopts.IgnoreFields(Entry{}, "Line", "Workout"), cmpopts.EquateNaNs(), cmpopts.EquateApprox(0, 1e-6)}

func TestGoodLines(t *testing.T) {
	for _, c := range good {
		l := Parse("log", c.text+"\n")
		if c.entry.Day.IsZero() {
			if len(l.Wrong()) != 1 {
				t.Errorf("%q: %d mistakes, want 1", c.text, len(l.Wrong()))
			}
			continue
		}
		if w := l.Wrong(); len(w) > 0 {
			t.Errorf("%q: %v", c.text, w)
			continue
		}
		got := l.Entries()[0]
		if d := cmp.Diff(c.entry, got, sameEntry); d != "" {
			t.Errorf("%q:\n%s", c.text, d)
		}
		want := c.written
		if want == "" {
			want = c.text
		}
		if got.String() != want {
			t.Errorf("%q is written %q, want %q", c.text, got.String(), want)
		}
		if (got.Was != "") != (len(got.Workout.Items) > 0) {
			t.Errorf("%q: the workout has %d items", c.text, len(got.Workout.Items))
		}
	}
}

// Mistakes: the line, the characters under the caret, and a part of what is said.
var bad = []struct{ text, at, says string }{
	{"hard", "hard", "is no date"},
	{"2026-02-30 hard", "2026-02-30", "is no date"},
	{"1899-02-20 hard", "1899-02-20", "is no date"},
	{"2026-09-08 24:00 hard", "24:00", "no time of day"},
	{"2026-09-08 6 x 400m", "6", "behind \"was\""},
	{"2026-09-08 ;;", "", "says nothing"},
	{"2026-09-08 file x.fit", "", "says nothing"},
	{"2026-09-08 hard; hard", "hard", "twice"},
	{"2026-09-08 note", "note", "nothing stands behind"},
	{"2026-09-08 title ; hard", "title", "nothing stands behind"},
	{"2026-09-08 track; trail", "trail", "says track already"},
	{"2026-09-08 was ( 1:00\r1:00 )", "1", "run together"},
	{"2026-09-08 effort seven", "seven", "no effort"},
	{"2026-09-08 effort 7.3", "7.3", "no effort"},
	{"2026-09-08 effort NaN", "NaN", "no effort"},
	{"2026-09-08 effort -1", "-1", "no effort"},
	{"2026-09-08 threadmill", "threadmill", `"treadmill"`},
	{"2026-09-08 härd; was 6 x", "härd", `"hard"`},
	{"2026-09-08 was 6 x 800m of 400m", "of", `"off"`},
	{"2026-09-08 was 6 x 800m # by feel", "# by feel", "no comment"},
	{"2026-09-08 easy run; hard", "run", "semicolon"},
	{"2026-09-08 reps", "reps", "nothing stands behind"},
	{"2026-09-08 reps 15:02", "15:02", "is no rep"},
	{"2026-09-08 reps 15:02-19:02 20:31-24:60; hard", "20:31-24:60", "is no rep"},
	{"2026-09-08 reps 1:60:02-2:19:02", "1:60:02-2:19:02", "is no rep"},
	{"2026-09-08 reps 15:02.25-19:02", "15:02.25-19:02", "is no rep"},
	{"2026-09-08 reps 15:02-19:02 none", "none", "is no rep"},
	{"2026-09-08 reps 15:02-15:03.9", "15:02-15:03.9", "before it is 2 s long"},
	{"2026-09-08 reps 15:02-14:02", "15:02-14:02", "before it is 2 s long"},
	{"2026-09-08 reps 15:02-19:02 19:01.9-24:00", "19:01.9-24:00", "in front of it"},
	{"2026-09-08 reps 15:02-999:59:59", "15:02-999:59:59", "later than any recording"},
}

func TestBadLines(t *testing.T) {
	for _, c := range bad {
		// A comment before, a good line behind: the mistake stops neither.
		l := Parse("log", "# x\n"+c.text+"\n2026-09-09 easy\n")
		w := l.Wrong()
		if len(w) == 0 {
			t.Errorf("%q is no mistake", c.text)
			continue
		}
		if n := len(l.Entries()); n != 1 {
			t.Errorf("%q: %d good lines, want 1", c.text, n)
		}
		d := w[0]
		runes := []rune(c.text)
		got := ""
		if d.Column-1+d.Length <= len(runes) {
			got = string(runes[d.Column-1 : d.Column-1+d.Length])
		}
		if d.Line != 2 || c.at != "" && got != c.at || !strings.Contains(d.Message+" "+d.Hint, c.says) {
			t.Errorf("%q: line %d, at %q, want %q: %s; %s", c.text, d.Line, got, c.at, d.Message, d.Hint)
		}
	}
	for _, src := range []string{"2026-09-08 note \xff", strings.Repeat("x", workouts.MaxBytes+1)} {
		l := Parse("log", src)
		if w := l.Wrong(); len(w) != 1 || w[0].Code != codeText || l.String() != src {
			t.Errorf("%.30q: %v", src, w)
		}
	}
}

// Any entry that Check allows is read back from its line.
func TestRoundTrip(t *testing.T) {
	text := rapid.OneOf(rapid.String(), rapid.SampledFrom([]string{"", "", "note x", "18:10", ": a", "a: b", "hard", "ü — 走"}))
	rapid.Check(t, func(t *rapid.T) {
		e := NewEntry(time.Date(2000, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, rapid.IntRange(0, 20000).Draw(t, "day")))
		e.Clock = rapid.IntRange(-1, 24*60-1).Draw(t, "clock")
		for name, f := range map[string]*bool{"race": &e.Race, "hard": &e.Hard, "easy": &e.Easy, "out": &e.LeaveOut} {
			*f = rapid.Bool().Draw(t, name)
		}
		e.Place = rapid.SampledFrom(append([]recording.Place{""}, places...)).Draw(t, "place")
		if x := rapid.IntRange(-1, 20).Draw(t, "effort"); x >= 0 {
			e.Effort = float64(x) / 2
		}
		for name, f := range map[string]*string{"file": &e.File, "with": &e.With, "title": &e.Title, "note": &e.Note} {
			*f = Tidy(text.Draw(t, name))
		}
		e.Was = rapid.SampledFrom([]string{"", "5km", "3 x ( 400m + 200m jog )", "10:00 warm + 4 x 1km @ 4:00/km off 2:00 jog"}).Draw(t, "was")
		if n := rapid.IntRange(-1, 5).Draw(t, "reps"); n >= 0 {
			at := 0.0
			e.Reps = spans()
			for range n {
				from := at + float64(rapid.IntRange(0, 99999).Draw(t, "gap"))/10
				at = from + float64(rapid.IntRange(20, 40000).Draw(t, "rep"))/10
				e.Reps = append(e.Reps, recording.Span{StartS: from, EndS: at})
			}
		}
		if e.Check() != nil {
			t.Skip()
		}
		l := Parse("log", e.String())
		if w := l.Wrong(); len(w) > 0 {
			t.Fatalf("%q: %v", e.String(), w)
		}
		if d := cmp.Diff(e, l.Entries()[0], sameEntry); d != "" {
			t.Fatalf("%q:\n%s", e.String(), d)
		}
	})
}

// Whatever a file holds, it is printed back byte for byte, what can be read is
// read back from what is written, and mistakes have a place in the text.
func FuzzParse(f *testing.F) {
	for _, c := range good {
		f.Add(c.text)
	}
	for _, c := range bad {
		f.Add("# x\r\n" + c.text + "\r\n\n2026-09-09 easy")
	}
	f.Add("\ufeff2026-09-08 was 6 x 800m off\u00a0400m jog")
	f.Fuzz(func(t *testing.T, src string) {
		l := Parse("log", src)
		if l.String() != src {
			t.Fatalf("%q is printed as %q", src, l.String())
		}
		lines := strings.Split(src, "\n")
		for _, d := range l.Wrong() {
			if d.Line < 1 || d.Line > len(lines) || d.Column < 1 || d.Length < 1 || d.Column > len([]rune(lines[d.Line-1]))+2 {
				t.Fatalf("%q: %+v", src, d)
			}
			_ = d.String()
		}
		for _, e := range l.Entries() {
			if err := e.Check(); err != nil {
				t.Fatalf("%q: %v", src, err)
			}
			again := Parse("log", e.String())
			if w := again.Wrong(); len(w) > 0 {
				t.Fatalf("%q: %v", e.String(), w)
			}
			if d := cmp.Diff(e, again.Entries()[0], sameEntry); d != "" {
				t.Fatalf("%q:\n%s", src, d)
			}
		}
		edited := l
		e := entry(8, func(e *Entry) { e.Note = "fuzz" })
		if err := edited.Set(e); err != nil {
			t.Fatal(err)
		}
		if n := len(edited.Entries()); n != len(l.Entries())+1 {
			t.Fatalf("%q: %d entries became %d", src, len(l.Entries()), n)
		}
	})
}

// A line is put in by its day, comments and order are kept, and nothing else is
// touched: what is left without the new line is the old text.
func TestSet(t *testing.T) {
	for _, c := range []struct{ before, after string }{
		{"", "2026-09-08 hard\n"},
		{"# mine\n\n", "# mine\n\n2026-09-08 hard\n"},
		{"# mine\n2026-09-07 easy", "# mine\n2026-09-07 easy\n2026-09-08 hard\n"},
		{"# mine\r\n2026-09-07  EASY\r\n# later\r\n2026-09-09 easy\r\n", "# mine\r\n2026-09-07  EASY\r\n2026-09-08 hard\r\n# later\r\n2026-09-09 easy\r\n"},
		{"2026-09-09 easy\n", "2026-09-08 hard\n2026-09-09 easy\n"},
		{"\ufeff2026-09-09 easy\n", "\ufeff2026-09-08 hard\n2026-09-09 easy\n"},
		{"2026-09-09 easy\n2026-09-01 nonsense\n\xff\n", "2026-09-09 easy\n2026-09-01 nonsense\n2026-09-08 hard\n\xff\n"},
	} {
		l := Parse("log", c.before)
		if err := l.Set(entry(8, func(e *Entry) { e.Hard = true })); err != nil {
			t.Fatal(err)
		}
		if l.String() != c.after {
			t.Errorf("%q became %q, want %q", c.before, l.String(), c.after)
		}
		if i := len(l.lines); i > 0 && l.String() != Parse("log", l.String()).String() {
			t.Errorf("%q", l.String())
		}
	}
	l := Parse("log", "# a\n2026-09-08   title  x\t; hard\r\n2026-09-09 nonsense\n")
	e, ok := l.Find(NewEntry(day(8)))
	if !ok || e.Line != 2 {
		t.Fatal(e, ok)
	}
	e.Effort = 6.5
	if err := l.Set(e); err != nil {
		t.Fatal(err)
	}
	if want := "# a\n2026-09-08 hard; effort 6.5; title x\r\n2026-09-09 nonsense\n"; l.String() != want {
		t.Errorf("%q, want %q", l.String(), want)
	}
	for _, bad := range []Entry{
		{}, NewEntry(day(8)), entry(8, func(e *Entry) { e.Title = "a; b" }), entry(8, func(e *Entry) { e.Note = "a\nb" }),
		entry(8, func(e *Entry) { e.Was = "6 x" }), entry(8, func(e *Entry) { e.Effort = 12 }),
		entry(8, func(e *Entry) { e.Hard, e.Line = true, 3 }), entry(8, func(e *Entry) { e.Hard, e.Line = true, 9 }),
		entry(8, func(e *Entry) { e.Hard, e.Easy = true, true }), entry(8, func(e *Entry) { e.Hard, e.Clock = true, 1440 }),
	} {
		before := l.String()
		if err := l.Set(bad); err == nil || l.String() != before {
			t.Errorf("%+v was written", bad)
		}
	}
}

// Which session a line means: two on the 8th at 07:00 and 18:10, one on the 9th.
func TestMatch(t *testing.T) {
	at := func(d, h, m int) time.Time { return time.Date(2026, 9, d, h, m, 30, 0, time.FixedZone("", 7200)) }
	sessions := []Session{
		{at(8, 7, 0), 1800, []string{"runs/a/morning.fit"}},
		{at(8, 18, 10), 3600, []string{"runs/b/evening.fit", "runs/b.zip: second.fit"}},
		{at(9, 23, 50), 3600, []string{"runs/late.fit"}},
	}
	for _, c := range []struct {
		text string
		want int // session; -1 for none
		says string
	}{
		{"2026-09-08 hard", -1, "there are 2 sessions on that day"},
		{"2026-09-08 07:00 hard", 0, ""},
		{"2026-09-08 06:40 hard", 0, ""},
		{"2026-09-08 06:39 hard", -1, "no session was run at 06:39"},
		{"2026-09-08 18:40 hard", 1, ""},
		{"2026-09-08 19:30 hard", 1, ""},
		{"2026-09-08 19:31 hard", -1, "no session was run at 19:31"},
		{"2026-09-08 file evening.fit; hard", 1, ""},
		{"2026-09-08 file b/evening.fit; hard", 1, ""},
		{"2026-09-08 file ening.fit; hard", -1, "no recording of that day is named ening.fit"},
		{"2026-09-08 07:00 file evening.fit; hard", -1, "no session was run at 07:00"},
		{"2026-09-09 hard", 2, ""},
		{"2026-09-10 hard", -1, "no recording is of that day"},
	} {
		got, found := Parse("log", c.text).Match(sessions)
		for i, e := range got {
			if e.Hard != (i == c.want) || !e.Day.Equal(sessions[i].day()) {
				t.Errorf("%q: session %d: %+v", c.text, i, e)
			}
		}
		says := ""
		if len(found) > 0 {
			says = found[0].Message
		}
		if says != c.says {
			t.Errorf("%q: %q, want %q", c.text, says, c.says)
		}
	}
	// Two lines of one session add up; a contradiction counts for nothing.
	got, found := Parse("log", "2026-09-09 hard; note a\n2026-09-09 23:50 effort 8; note b\n2026-09-09 easy; track\n").Match(sessions)
	e := got[2]
	if !e.Hard || e.Effort != 8 || e.Note != "a; b" || e.Easy || e.Place != "" || e.Line != 1 || len(found) != 1 || found[0].Line != 3 {
		t.Errorf("%+v, %v", e, found)
	}
	if !math.IsNaN(got[0].Effort) || got[0].Says() {
		t.Errorf("%+v", got[0])
	}
}

func ExampleLog_Set() {
	l := Parse("training-log.txt", "# autumn\n2026-09-08 hard\n")
	e, _ := l.Find(NewEntry(time.Date(2026, 9, 8, 0, 0, 0, 0, time.UTC)))
	e.Effort = 7
	if err := l.Set(e); err != nil {
		fmt.Println(err)
	}
	fmt.Print(l)
	// Output:
	// # autumn
	// 2026-09-08 hard; effort 7
}
