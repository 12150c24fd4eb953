package draft

import (
	"encoding/json"
	"encoding/xml"
	"errors"
	"io"
	"strings"
	"testing"
	"unicode/utf16"

	"pgregory.net/rapid"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/report/session"
)

// A plan without mistakes is told with the very words and pictures of the page that
// explains it.
func TestDraftTellsAPlan(t *testing.T) {
	d := Of("name: Track\n\n"+track+"\n", athlete.New())
	// By hand: 15:00 + 10:00 + 10 reps of 400 m at 3:35 /km (86 s) + 8 recoveries of 200 m and
	// one of 800 m jogged at an assumed 7:12 /km (86.4 and 345.6 s) = 56:36.8.
	if d.Plan != track || len(d.Mistakes) > 0 || !strings.Contains(d.Said, "10 reps of work: 14:20, 4.00 km. In all ≈56:37") {
		t.Errorf("plan %q, said %q, mistakes %v", d.Plan, d.Said, d.Mistakes)
	}
	page := session.Explain(d.Workout, athlete.New(), nil)
	if d.Said != page.Said[0].Text || len(d.Figures) != 3 || d.Figures[1] != (Figure(page.Front.Figures[1])) || len(d.Notes) != len(page.Table.Notes) {
		t.Errorf("%+v is not what explain says: %+v", d, page.Front)
	}
	for _, svg := range []string{d.Wide, d.Narrow} {
		if !strings.HasPrefix(svg, "<svg") || !strings.Contains(svg, "400m 3:30-3:40/km") || svg == "" {
			t.Errorf("no picture of the plan: %.300s", svg)
		}
	}
	if d.Wide == d.Narrow {
		t.Error("one picture for all widths")
	}
	if none := Of(" \n", athlete.New()); none.Plan != "" || len(none.Mistakes) > 0 || none.Wide != "" {
		t.Errorf("nothing is written, and it says %+v", none)
	}
	if open := Of("open easy", athlete.New()); open.Plan != "open easy" || open.Wide != "" || len(open.Mistakes) > 0 {
		t.Errorf("a plan without a length: %+v", open)
	}
	if many := Of(hostile["many-steps"], athlete.New()); many.Wide != "" || !strings.Contains(strings.Join(many.Notes, " "), "too many for a picture") || many.Said == "" {
		t.Errorf("a plan of many steps: %+v", many)
	}
}

// Each mistake has its place, in characters for people and in UTF-16 units for a text area.
func TestDraftTellsMistakes(t *testing.T) {
	d := Of("# 🏃 track\n5 x 4:00 of 90s jog\n2 x (", athlete.New())
	if d.Plan != "" || d.Wide != "" || len(d.Mistakes) < 2 {
		t.Fatalf("%+v", d)
	}
	m := d.Mistakes[0]
	const shown = "5 x 4:00 of 90s jog\n         ^^\n"
	// "# 🏃 track" is 10 UTF-16 units and a line end; "5 x 4:00 " is 9.
	if m.Line != 2 || m.Column != 10 || m.Length != 2 || m.Offset != 20 || m.End != 22 || m.Shown != shown || !strings.Contains(m.Hint, `"off"`) {
		t.Errorf("%+v", m)
	}
	if long := Of(hostile["too-long"], athlete.New()); len(long.Mistakes) != 1 || !strings.Contains(long.Mistakes[0].Hint, "shorten") {
		t.Errorf("%+v", long)
	}
}

// checkDraft holds what a page relies on, whatever is typed.
func checkDraft(t interface{ Fatalf(string, ...any) }, text string) {
	d := Of(text, athlete.New())
	raw, err := json.Marshal(d)
	if err != nil || len(raw) > 1<<20 {
		t.Fatalf("%q: %d bytes, %v", text, len(raw), err)
	}
	if (d.Plan == "") == (len(d.Mistakes) == 0) && strings.TrimSpace(text) != "" {
		t.Fatalf("%q: neither a plan nor mistakes, or both: %+v", text, d)
	}
	whole := len(utf16.Encode([]rune(text)))
	for _, m := range d.Mistakes {
		if m.Line < 1 || m.Column < 1 || m.Length < 1 || m.Offset < 0 || m.End < m.Offset || m.End > whole || m.Message == "" {
			t.Fatalf("%q: %+v", text, m)
		}
	}
	for _, svg := range []string{d.Wide, d.Narrow} {
		for in := xml.NewDecoder(strings.NewReader(svg)); ; {
			x, err := in.Token()
			if errors.Is(err, io.EOF) {
				break
			}
			if err != nil {
				t.Fatalf("%q: the picture is no XML: %v", text, err)
			}
			e, ok := x.(xml.StartElement)
			if !ok {
				continue
			}
			if e.Name.Local == "script" || e.Name.Local == "img" || e.Name.Local == "foreignObject" {
				t.Fatalf("%q: the picture has <%s>", text, e.Name.Local)
			}
			for _, a := range e.Attr {
				if strings.HasPrefix(strings.ToLower(a.Name.Local), "on") || strings.Contains(strings.ToLower(a.Value), "javascript:") {
					t.Fatalf("%q: the picture has %s=%q", text, a.Name.Local, a.Value)
				}
			}
		}
	}
	for _, s := range append([]string{d.Plan, d.Said}, d.Notes...) {
		if strings.ContainsAny(s, "\x1b\u202e\x00") {
			t.Fatalf("%q: %q would upset a terminal", text, s)
		}
	}
}

func TestDraftOfHostileText(t *testing.T) {
	for _, text := range hostile {
		checkDraft(t, text)
	}
	rapid.Check(t, func(t *rapid.T) {
		words := rapid.SliceOfN(rapid.SampledFrom([]string{"5 x ", "(", ")", "4:00", " + ", "400m", " @ ", "3:50/km", " off ", "jog", "\n", "\r", "# 🏃", "<b>", "name: ", "\u202e", "open", "7", "e\u0301"}), 0, 20)
		checkDraft(t, strings.Join(words.Draw(t, "words"), ""))
	})
}

func FuzzDraft(f *testing.F) {
	f.Add(track)
	f.Add(hostile["markup"])
	f.Add(hostile["directions"])
	f.Add("5 x\r\n4:00\roff 🏃\xff")
	f.Fuzz(func(t *testing.T, text string) { checkDraft(t, text) })
}
