package main

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

var full = flag.Bool("full", false, "add up twelve weeks of twelve runners rather than two")

// aClub is twelve runners, a folder each with an athlete file of its own, and a place for the cache.
func aClub(t testing.TB) (club string, names []string) {
	t.Helper()
	weeks := 2
	if *full {
		weeks = 12
	}
	place := t.TempDir()
	t.Setenv("XDG_CACHE_HOME", filepath.Join(place, "cache"))
	t.Setenv("HOME", place) // where other systems keep the cache
	club = filepath.Join(place, "club")
	wellDone(t, "demo", "--weeks", strconv.Itoa(weeks), "--runners", "12", club)
	folders, err := os.ReadDir(club)
	if err != nil || len(folders) != 12 {
		t.Fatalf("%d runners, %v", len(folders), err)
	}
	for i, f := range folders {
		file := "age = " + strconv.Itoa(30+i) + "\n[hard]\nwork = \"" + strconv.Itoa(5+i) + ":00\"\n"
		if err := os.WriteFile(filepath.Join(club, f.Name(), "athlete.toml"), []byte(file), 0o600); err != nil {
			t.Fatal(err)
		}
		names = append(names, f.Name())
	}
	return club, names
}

// wellDone runs a command that must end well, and gives what it prints.
func wellDone(t testing.TB, args ...string) []byte {
	t.Helper()
	var out, trouble bytes.Buffer
	if status := run(args, strings.NewReader(""), &out, &trouble); status != exitFine || trouble.Len() > 0 {
		t.Fatalf("%q: status %d: %s", args, status, trouble.String())
	}
	return out.Bytes()
}

// single is the block of one runner by that runner's athlete file.
func single(club, name string, more ...string) []string {
	folder := filepath.Join(club, name)
	return append([]string{"block", "--time-zone", "UTC", "--athlete", filepath.Join(folder, "athlete.toml"), folder}, more...)
}

// The row of each of twelve runners is what the runner's own block says, read anew and from
// the cache.
func TestRowsAreTheSingleBlocks(t *testing.T) {
	club, names := aClub(t)
	for _, when := range []string{"read anew", "from the cache"} {
		var told struct {
			Runners []struct {
				Runner         string
				Sessions, Hard int
				Warnings       int
				Distance       float64 `json:"distance_m"`
				Time           float64 `json:"time_s"`
				HardDistance   float64 `json:"hard_distance_m"`
			}
		}
		if err := json.Unmarshal(wellDone(t, "block", "--runners", "--time-zone", "UTC", "--format", "json", club), &told); err != nil || len(told.Runners) != len(names) {
			t.Fatalf("%s: %d rows, %v", when, len(told.Runners), err)
		}
		hard := 0
		for i, row := range told.Runners {
			var alone struct {
				All struct {
					Sessions     int
					Hard         int     `json:"hard_sessions"`
					Distance     float64 `json:"distance_m"`
					Time         float64 `json:"time_s"`
					HardDistance float64 `json:"hard_session_m"`
				}
			}
			if err := json.Unmarshal(wellDone(t, single(club, names[i], "--format", "json")...), &alone); err != nil {
				t.Fatal(err)
			}
			a := alone.All
			if row.Runner != names[i] || row.Sessions == 0 || row.Sessions != a.Sessions || row.Hard != a.Hard || row.Distance != a.Distance ||
				row.Time != a.Time || row.HardDistance != a.HardDistance {
				t.Errorf("%s: the row is %+v, alone it is %+v", when, row, a)
			}
			hard += row.Hard
		}
		if hard == 0 {
			t.Errorf("%s: no session of anyone was hard", when)
		}
	}
}

// BenchmarkRunners is the time of twelve runners: their single blocks one by one and their
// rows, both read anew, and the rows from the cache.
func BenchmarkRunners(b *testing.B) {
	club, names := aClub(b)
	rows := []string{"block", "--runners", "--time-zone", "UTC", club}
	for _, part := range []struct {
		name string
		do   func()
	}{
		{"single", func() {
			for _, n := range names {
				wellDone(b, single(club, n, "--no-cache")...)
			}
		}},
		{"rows", func() { wellDone(b, append(rows, "--no-cache")...) }},
		{"cached", func() { wellDone(b, rows...) }},
	} {
		b.Run(part.name, func(b *testing.B) {
			part.do() // which fills the cache
			for b.Loop() {
				part.do()
			}
			b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N), "ms")
		})
	}
}
