package main

import (
	"bytes"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// hostileFiles are names of recordings that would do harm if they were taken
// for markup, and of the greatest length that file systems take; by the file of
// the demo that they hold.
var hostileFiles = map[string]string{
	`"><img src=x onerror=alert(1)>.fit`:        "tuesday-treadmill.fit",
	"evil\u202egpj<script>alert(1)<b>.fit":      "next-tuesday-treadmill.fit",
	strings.Repeat("x", 240) + ".fit":           "thursday-track.fit",
	strings.Repeat("<i> ", 60) + "}}.fit":       "saturday-easy.fit",
	"' onload='alert(1)' x='{{.Title}}`.fit":    "next-thursday-tempo.fit",
	"]]>-->&lt;&amp;&#60;script&#62;.fit":       "next-saturday-hills.fit",
	strings.Repeat("走る", 40) + "🏃 \x1b[31m.fit": "tuesday-treadmill-belt.fit",
}

// TestHostilePagesInBrowser shows pages of such names, and of a planned block
// whose name has ten thousand characters: as text, and within the screen.
func TestHostilePagesInBrowser(t *testing.T) {
	tab := openTab(t)
	demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	shelf, err := filepath.Abs(filepath.Join("..", "..", "workouts", "library", "shelf"))
	if err != nil {
		t.Fatal(err)
	}
	t.Chdir(t.TempDir())
	if err := os.Mkdir("runs", 0o777); err != nil {
		t.Fatal(err)
	}
	var files []string
	for name, from := range hostileFiles {
		b, err := os.ReadFile(filepath.Join(demo, from))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, filepath.Join("runs", name))
		if err := os.WriteFile(files[len(files)-1], b, 0o666); err != nil {
			t.Skipf("such names cannot be given here: %v", err)
		}
	}
	slices.Sort(files)
	name := strings.Repeat(`<script>alert(1)</script>`, 200) + strings.Repeat("x", 5000)
	plan := "name: " + name + "\nstarts: 2026-09-07\nweek 1: 45-50km\n  tue: 15:00 warm + 5 x 4:00 @ quicker off 1:30 jog + 10:00 cool\n"
	if err := os.WriteFile("plan.txt", []byte(plan), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		name string
		args []string
	}{
		{"block", []string{"block", "--no-cache", "--time-zone", "UTC", "--library", shelf, "--plan", "plan.txt", "--format", "html", "runs"}},
		{"history", []string{"library", "history", "--library", shelf, "--format", "html", "four-minutes-each-quicker", "runs"}},
		{"split", append([]string{"split", "--format", "html"}, files...)},
		{"check", append([]string{"check", "--format", "html", "--plan", "15:00 warm + 5 x 4:00 @ quicker off 1:30 jog + 10:00 cool"}, files...)},
	} {
		t.Run(c.name, func(t *testing.T) {
			var out, trouble bytes.Buffer
			if status := run(c.args, strings.NewReader(""), &out, &trouble); status > exitNo {
				t.Fatalf("status %d: %.400s", status, trouble.String())
			}
			p := openPage(t, tab, "page.html", out.Bytes())
			for _, width := range []int64{360, 1000} {
				p.look(t, width, "light", "screen")
				testWidth(t, p, width)
			}
			if n := ask[int](t, p, "document.querySelectorAll('script,img,i,b,iframe,object').length"); n > 0 {
				t.Errorf("names have become %d elements", n)
			}
			if n := ask[int](t, p, "[...document.querySelectorAll('*')].flatMap(e => [...e.attributes]).filter(a => a.name.startsWith('on')).length"); n > 0 {
				t.Errorf("names have become %d programs", n)
			}
			text := ask[string](t, p, "document.body.innerText")
			if !strings.Contains(text, "<") || strings.ContainsAny(text, "\u202e\x1b") {
				t.Error("names are not shown as text")
			}
			for _, x := range p.trouble {
				t.Errorf("the page is not quiet: %s", x)
			}
		})
	}
}
