package main

import (
	"bytes"
	"cmp"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"golang.org/x/net/html"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts/block/demo"
)

// A setPage is one of the many pages that are looked at for what must hold on every page.
type setPage struct {
	name string
	args []string // of the command that prints it
	// here takes the folders of this machine out, whose names would change how lines break.
	here *strings.Replacer
}

// A pageFolder holds the recordings and texts that the pages of the set are made of.
type pageFolder struct {
	t    testing.TB
	path string
}

// in is a file of the folder.
func (f pageFolder) in(name string) string { return filepath.Join(f.path, name) }

// text writes a text.
func (f pageFolder) text(name, contents string) string {
	f.t.Helper()
	if err := os.MkdirAll(filepath.Dir(f.in(name)), 0o777); err != nil {
		f.t.Fatal(err)
	}
	if err := os.WriteFile(f.in(name), []byte(contents), 0o666); err != nil {
		f.t.Fatal(err)
	}
	return f.in(name)
}

// kind records a simulated run of a kind by a device.
func (f pageFolder) kind(kind, device string) string {
	f.t.Helper()
	k, ok := simulate.KindNamed(kind)
	d, known := simulate.DeviceNamed(device)
	if !ok || !known {
		f.t.Fatalf("no %q or %q", kind, device)
	}
	rec, _ := simulate.Run(k.Make(5), d, 5)
	return f.record(strings.ReplaceAll(kind, "/", "-")+", "+device+".fit", rec)
}

// record writes a recording.
func (f pageFolder) record(name string, rec *recording.Recording) string {
	f.t.Helper()
	var b bytes.Buffer
	if err := simulate.WriteFIT(&b, rec); err != nil {
		f.t.Fatal(err)
	}
	return f.text(name, b.String())
}

// reps records so many reps of equal work and rest, in seconds, with a heart rate or without.
func (f pageFolder) reps(reps int, work, rest float64, heart bool) string {
	f.t.Helper()
	name := "good watch, open sky"
	d, _ := simulate.DeviceNamed(name)
	if !heart {
		d.Heart = simulate.NoHeart
	}
	s := simulate.Session{Name: "reps", Structured: true, Place: recording.Outdoors, Runner: simulate.DefaultRunner(),
		Legs: []simulate.Leg{{Role: "warm", Manner: "warm", Seconds: 900, StartMPS: 2.8, EndMPS: 2.8}}}
	for i := range reps {
		s.Legs = append(s.Legs, simulate.Leg{Role: "work", Manner: "work", Set: 1, Rep: i + 1, Seconds: work, StartMPS: 4.3, EndMPS: 4.3})
		if i+1 < reps {
			s.Legs = append(s.Legs, simulate.Leg{Role: "recovery", Manner: "jog", Set: 1, Rep: i + 1, Seconds: rest, StartMPS: 2.4, EndMPS: 2.4})
		}
	}
	s.Legs = append(s.Legs, simulate.Leg{Role: "cool", Manner: "cool", Seconds: 600, StartMPS: 2.6, EndMPS: 2.6})
	rec, _ := simulate.Run(s, d, 11)
	return f.record(fmt.Sprintf("%d reps, heart %v.fit", reps, heart), rec)
}

// weeks records so many weeks of a runner into a folder.
func (f pageFolder) weeks(folder string, runner, weeks int) string {
	f.t.Helper()
	for w := 1; w <= weeks; w++ {
		for _, o := range demo.Week(runner, w) {
			files, err := o.Files()
			if err != nil {
				f.t.Fatal(err)
			}
			for _, x := range files {
				f.text(filepath.Join(folder, x.Name), string(x.Data))
			}
		}
	}
	return f.in(folder)
}

// club is a folder of several runners, with one run each.
func (f pageFolder) club(demo string) string {
	runs := []string{"tuesday-treadmill", "thursday-track", "saturday-easy", "sunday-long", "next-saturday-hills", "next-thursday-tempo"}
	for i := range 12 {
		b, err := os.ReadFile(filepath.Join(demo, runs[i%len(runs)]+".fit"))
		if err != nil {
			f.t.Fatal(err)
		}
		f.text(fmt.Sprintf("club/runner %d/run.fit", i+1), string(b))
	}
	return f.in("club")
}

// pageSet are pages of every kind, of simulated runs and, where they are, of open recordings.
func pageSet(t *testing.T) []setPage {
	t.Helper()
	f := pageFolder{t, t.TempDir()}
	demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	root := filepath.Join(demo, "..", "..")
	d := func(name string) string { return filepath.Join(demo, name) }
	miles := f.text("miles.toml", "units = \"mi\"\n[heart]\nmax = 186\nrest = 48\n")
	athlete, shelf := filepath.Join(root, "testdata", "athlete.toml"), filepath.Join(root, "workouts", "library", "shelf")
	twoWeeks := filepath.Join(root, "cmd", "rungs", "testdata", "two-weeks.txt")
	forty, fortyQuiet, many := f.reps(40, 60, 60, true), f.reps(40, 60, 60, false), f.reps(400, 30, 30, true)
	mile := f.kind("mile reps", "good watch, open sky")
	ladder, fading := f.kind("pyramid", "watch in the city"), f.kind("fading reps", "good watch, open sky")
	season, three := f.weeks("season", 1, 20), f.weeks("three", 2, 3)
	var set []setPage
	here := strings.NewReplacer(f.path, "/runs", filepath.Clean(root), "/rungs")
	add := func(name string, args ...string) { set = append(set, setPage{name, args, here}) }
	page := func(command string, args ...string) []string {
		return append([]string{command, "--format", "html"}, args...)
	}
	days := []string{"--no-cache", "--time-zone", "UTC"}

	add("check-good", page("check", "--plan", d("tuesday-treadmill.plan"), d("tuesday-treadmill.fit"))...)
	add("check-departed", page("check", "--plan", d("thursday-track.plan"), d("thursday-track.fit"))...)
	add("check-long", page("check", "--plan", d("sunday-long.plan"), d("sunday-long.fit"))...)
	add("check-tempo", page("check", "--plan", d("next-thursday-tempo.plan"), d("next-thursday-tempo.fit"))...)
	add("check-wrong-plan", page("check", "--plan", "15:00 warm + 3 x 2km @ 4:10/km off 3:00 jog + 10:00 cool", d("thursday-track.fit"))...)
	add("check-easy-plan", page("check", "--plan", "45:00 easy", d("saturday-easy.fit"))...)
	add("check-40", page("check", "--plan", "15:00 warm + 40 x 1:00 @ 3:55/km off 1:00 jog + 10:00 cool", forty)...)
	add("check-40-no-heart", page("check", "--plan", "15:00 warm + 40 x 1:00 @ 3:40/km off 1:00 jog + 10:00 cool", fortyQuiet)...)
	add("check-400", page("check", "--plan", "15:00 warm + 400 x 0:30 @ 3:55/km off 0:30 jog + 10:00 cool", many)...)
	add("check-miles", page("check", "--athlete", miles, "--plan", "2mi warm + 4 x 1mi @ 6:20/mi off 3:00 jog + 2mi cool", mile)...)
	add("check-fading", page("check", "--plan", "10:00 warm + 7 x 3:00 @ quicker off 1:30 jog + 10:00 cool", fading)...)
	add("check-several", page("check", "--plan", d("tuesday-treadmill.plan"), d("tuesday-treadmill.fit"), d("thursday-track.fit"), d("next-tuesday-treadmill.fit"))...)
	add("split-good", page("split", d("tuesday-treadmill.fit"))...)
	add("split-easy", page("split", d("saturday-easy.fit"))...)
	add("split-long", page("split", d("sunday-long.fit"))...)
	add("split-hills", page("split", d("next-saturday-hills.fit"))...)
	add("split-heart-only", page("split", f.kind("treadmill 3 minute reps", "treadmill, heart rate only"))...)
	add("split-miles", page("split", "--athlete", miles, mile)...)
	add("split-pyramid", page("split", ladder)...)
	add("split-sets", page("split", f.kind("sets of 400s", "phone, distance only"))...)
	add("split-race", page("split", f.kind("steady race", "watch in the city"))...)
	add("split-long-easy", page("split", "--athlete", miles, f.kind("long easy", "good watch, open sky"))...)
	add("split-lights", page("split", f.kind("easy with traffic lights", "watch in the city"))...)
	add("split-fartlek", page("split", f.kind("fartlek by feel", "good watch, open sky"))...)
	add("split-several", page("split", d("tuesday-treadmill.fit"), d("saturday-easy.fit"), d("sunday-long.fit"))...)
	add("explain-sets", page("explain", d("thursday-track.plan"))...)
	add("explain-long", page("explain", "--athlete", athlete, d("sunday-long.plan"))...)
	add("explain-heart", page("explain", "--athlete", miles, "20:00 warm @ zone 1 + 6 x 1mi @ 150-165bpm off 2:00 stand + 2mi easy + 15:00 cool")...)
	add("block-demo", page("block", append(slices.Clone(days), "--athlete", athlete, "--library", shelf, demo)...)...)
	add("block-plan", page("block", append(slices.Clone(days), "--athlete", athlete, "--plan", twoWeeks, "--today", "2026-09-19", demo)...)...)
	add("block-20", page("block", append(slices.Clone(days), "--athlete", athlete, season)...)...)
	add("block-3-miles", page("block", append(slices.Clone(days), "--athlete", miles, three)...)...)
	add("block-runners", page("block", append(slices.Clone(days), "--runners", f.club(demo))...)...)
	add("log", page("log", append(slices.Clone(days), "--athlete", athlete, "--since", "2026-09-01", "--until", "2026-09-30", demo)...)...)
	add("log-week", page("log", append(slices.Clone(days), "--athlete", miles, "--plan", twoWeeks, "--week", "2026-W37", demo)...)...)
	add("history", "library", "history", "--format", "html", "--library", shelf, "four-minutes-each-quicker", demo)
	add("history-20", "library", "history", "--format", "html", "--library", f.library(), "sixes", season)

	site := filepath.Join(f.path, "site")
	var out bytes.Buffer
	if status := run(page("block", append(slices.Clone(days), "--athlete", athlete, "--pages", site, demo)...), strings.NewReader(""), &out, &out); status != exitFine {
		t.Fatalf("status %d: %s", status, out.String())
	}
	pages, err := filepath.Glob(filepath.Join(site, "*.html"))
	if err != nil || len(pages) != 8 {
		t.Fatalf("%d pages of a folder, want the block and seven sessions; %v", len(pages), err)
	}
	for _, path := range pages {
		linksLead(t, path)
	}
	add("site-reps", pages[0])
	add("site-sets", pages[1])
	add("site-easy", pages[2])
	add("site-weeks", filepath.Join(site, "index.html"))
	return append(set, openPages()...)
}

// library is a library of the workout that the simulated season repeats.
func (f pageFolder) library() string {
	f.text("library/sixes.plan", "15:00 warm + 6 x 3:00 off 1:30 jog + 10:00 cool\n")
	return f.in("library")
}

// openPages are pages of open recordings; none where they are not.
func openPages() (set []setPage) {
	folder := openFolder()
	if folder == "" {
		return nil
	}
	for _, name := range []string{"6x800", "eye-10x200-standing", "eye-30-30-gps", "hilly-race", "odd-8k-stops", "odd-runwalk-44min", "race-5k", "steady-21k-pauses", "10k-zero-speed"} {
		path := filepath.Join(folder, "real-"+name+".csv")
		if _, err := os.Stat(path); err == nil {
			set = append(set, setPage{"open-" + name, []string{"split", "--format", "html", path}, strings.NewReplacer()})
		}
	}
	return append(set, setPage{"open-check", []string{"check", "--format", "html", "--plan", "2km warm + 6 x 800m @ 3:30/km off 2:00 jog + 1km cool", filepath.Join(folder, "real-6x800.csv")}, strings.NewReplacer()})
}

// openFolder is the folder of open recordings, which is no part of the project (package
// opendata of segment says where); empty where it is not.
func openFolder() string {
	folder := cmp.Or(os.Getenv("RUNGS_DATA"), filepath.Join("..", "..", "..", "shared", "data"))
	if _, err := os.Stat(folder); err != nil {
		return ""
	}
	return folder
}

// page prints the page.
func (s setPage) page(t *testing.T) []byte {
	t.Helper()
	if len(s.args) == 1 {
		b, err := os.ReadFile(s.args[0])
		if err != nil {
			t.Fatal(err)
		}
		return []byte(s.here.Replace(string(b)))
	}
	var out, trouble bytes.Buffer
	if status := run(s.args, strings.NewReader(""), &out, &trouble); status > exitNo {
		t.Fatalf("%s: status %d: %s", s.name, status, trouble.String())
	}
	return []byte(s.here.Replace(out.String()))
}

// linksLead holds that a page of a folder leads to others, and that these are there.
func linksLead(t *testing.T, path string) {
	t.Helper()
	raw, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	root, err := html.Parse(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	links := 0
	for n := range root.Descendants() {
		for _, a := range n.Attr {
			if n.Data != "a" || a.Key != "href" || strings.HasPrefix(a.Val, "#") {
				continue
			}
			links++
			if _, err := os.Stat(filepath.Join(filepath.Dir(path), a.Val)); err != nil {
				t.Errorf("%s: a link leads nowhere: %v", filepath.Base(path), err)
			}
		}
	}
	if links == 0 {
		t.Errorf("%s leads nowhere", filepath.Base(path))
	}
}

// notesHaveColumns holds that a note below a table which says what a column is, such as "drift
// is ...", speaks of a column that is there, and of marks that stand in a cell.
func notesHaveColumns(t *testing.T, page []byte) {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	words := func(n *html.Node) string {
		text := ""
		for x := range n.Descendants() {
			if x.Type == html.TextNode {
				text += x.Data
			}
		}
		return strings.TrimSpace(text)
	}
	for n := range root.Descendants() {
		if n.Type != html.ElementNode || n.Data != "section" {
			continue
		}
		var heads, notes []string
		cells := ""
		for x := range n.Descendants() {
			switch {
			case x.Type != html.ElementNode:
			case x.Data == "th":
				heads = append(heads, words(x))
			case x.Data == "td":
				cells += " " + words(x)
			case x.Data == "p":
				notes = append(notes, words(x))
			}
		}
		for _, note := range notes {
			about, _, ok := strings.Cut(note, " is ")
			switch {
			case !ok || strings.Count(about, " ") > 2 || strings.Contains(about, ","):
			case about == "~" || about == "≈" || about == "±":
				if !strings.Contains(cells, about) {
					t.Errorf("no cell has the mark of the note %q", note)
				}
			case about == strings.ToLower(about) && !strings.HasPrefix(about, "a ") && about != "speed": // which is no column
				if !slices.Contains(heads, about) {
					t.Errorf("no column of %q is what the note tells of: %q", heads, note)
				}
			}
		}
	}
}
