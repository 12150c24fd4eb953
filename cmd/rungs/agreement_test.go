package main

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"fmt"
	"math"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/net/html"
)

// A toldFigure is a field of a row in JSON and how people read it.
type toldFigure struct {
	key  string
	unit float64 // half of the last place of the field
	say  func(v float64) string
}

// asClock writes seconds as 4:05 or 1:02:11, by its own means.
func asClock(s float64) string {
	n := int(math.Round(s))
	if n >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}

func asMetres(m float64) string  { return fmt.Sprintf("%.0f m", m) }
func asKm(m float64) string      { return fmt.Sprintf("%.1f km", m/1000) }
func perMile(s float64) string   { return asClock(1.609344 * s) }
func asWhole(v float64) string   { return fmt.Sprintf("%.0f", v) }
func asMargin(se float64) string { return fmt.Sprintf("±%.0f", max(1, math.Ceil(1.959964*se-1e-9))) }
func asMiles(m float64) string {
	if mi := m / 1609.344; mi >= 1 {
		return fmt.Sprintf("%.2f mi", mi)
	}
	return fmt.Sprintf("%.3f mi", m/1609.344)
}
func asSigned(v float64) string {
	if s := fmt.Sprintf("%+.0f", v); s != "+0" && s != "-0" {
		return s
	}
	return "0"
}

// An agreement is a report whose formats are to say the same.
type agreement struct {
	name    string
	args    []string
	rows    string // key of the rows in JSON
	head    string // of the table in text
	figures []toldFigure
}

// agreements are of the demo and of simulated runs, in kilometres and in miles.
func agreements(t *testing.T) (list []agreement) {
	demo, err := filepath.Abs(filepath.Join("..", "..", "testdata", "demo"))
	if err != nil {
		t.Fatal(err)
	}
	f := pageFolder{t, t.TempDir()}
	miles := f.text("miles.toml", "units = \"mi\"\n")
	reps := []toldFigure{{"time_s", 0.1, asClock}, {"distance_m", 0.05, asMetres}, {"pace_s_per_km", 0.005, asClock}, {"pace_se_s_per_km", 0.005, asMargin},
		{"drift_s_per_km", 0.005, asSigned}, {"hr_end", 0, asWhole}, {"recovery.time_s", 0.1, asClock}}
	parts := []toldFigure{{"start_s", 0.05, asClock}, {"time_s", 0.1, asClock}, {"distance_m", 0.05, asMetres}, {"pace_s_per_km", 0.005, asClock},
		{"pace_se_within_s_per_km", 0.005, asMargin}, {"hr_avg", 0, asWhole}, {"hr_max", 0, asWhole}, {"hr_end", 0, asWhole}, {"cadence_avg", 0, asWhole}}
	inMiles := []toldFigure{{"time_s", 0.1, asClock}, {"distance_m", 0.05, asMiles}, {"pace_s_per_km", 0.005, perMile}, {"hr_avg", 0, asWhole}}
	weeks := []toldFigure{{"distance_m", 0.05, asKm}, {"time_s", 0.05, asClock}, {"sessions", 0, asWhole}, {"longest_m", 0.05, asKm}}
	for _, name := range []string{"tuesday-treadmill", "thursday-track", "next-thursday-tempo", "next-tuesday-treadmill"} {
		list = append(list,
			agreement{"check " + name, []string{"check", "--plan", filepath.Join(demo, name+".plan"), filepath.Join(demo, name+".fit")}, "reps", "rep", reps},
			agreement{"split " + name, []string{"split", filepath.Join(demo, name+".fit")}, "segments", "part", parts})
	}
	for _, kind := range []string{"fading reps", "pyramid", "walking rests", "800s by distance"} {
		file := f.kind(kind, "good watch, open sky")
		list = append(list, agreement{"split " + kind, []string{"split", file}, "segments", "part", parts},
			agreement{"split in miles " + kind, []string{"split", "--athlete", miles, file}, "segments", "part", inMiles})
	}
	return append(list, agreement{"block", []string{"block", "--no-cache", "--time-zone", "UTC", demo}, "weeks", "week", weeks})
}

// The figures of a row are the same in JSON, CSV, text and on the page, in one rounding.
func TestFormatsAgree(t *testing.T) {
	held := 0
	for _, c := range agreements(t) {
		t.Run(c.name, func(t *testing.T) {
			print := func(format string) []byte {
				t.Helper()
				var out, trouble bytes.Buffer
				if status := run(slices.Insert(slices.Clone(c.args), 1, "--format", format), strings.NewReader(""), &out, &trouble); status > exitNo {
					t.Fatalf("%s: status %d: %s", format, status, trouble.String())
				}
				return out.Bytes()
			}
			var all map[string]any
			if err := json.Unmarshal(print("json"), &all); err != nil {
				t.Fatal(err)
			}
			rows, _ := all[c.rows].([]any)
			text, page := textRows(string(print("text")), c.head), pageRows(t, print("html"))
			records, err := csv.NewReader(bytes.NewReader(print("csv"))).ReadAll()
			if err != nil {
				t.Fatal(err)
			}
			if len(rows) == 0 || len(text) < len(rows) || len(page) < len(rows) || len(records) != len(rows)+1 {
				t.Fatalf("%d rows in JSON, %d in text, %d on the page, %d in CSV", len(rows), len(text), len(page), len(records)-1)
			}
			for i, row := range rows {
				row, _ := row.(map[string]any)
				sameInCSV(t, row, records[0], records[i+1])
				for _, f := range c.figures {
					v, ok := figureOf(row, f.key)
					if !ok {
						continue
					}
					held++
					// The field is rounded itself, so that its value may lie on either side.
					said := []string{f.say(v), f.say(v - f.unit), f.say(v + f.unit)}
					in := func(cells []string) bool {
						return slices.ContainsFunc(said, func(s string) bool { return slices.Contains(cells, s) })
					}
					if !in(page[i]) {
						t.Errorf("row %d: %s is %v, and the page has none of %q in %q", i+1, f.key, v, said, page[i])
					}
					if !slices.ContainsFunc(said, func(s string) bool { return strings.Contains(text[i]+" ", " "+s+" ") }) {
						t.Errorf("row %d: %s is %v, and the text has none of %q in %q", i+1, f.key, v, said, text[i])
					}
				}
			}
		})
	}
	t.Logf("%d figures", held)
	if held < 1200 {
		t.Errorf("only %d figures were held against each other", held)
	}
}

// figureOf is a number of a row; time_s is the end minus the start where the row has none.
func figureOf(row map[string]any, key string) (float64, bool) {
	if outer, inner, ok := strings.Cut(key, "."); ok {
		within, _ := row[outer].(map[string]any)
		return figureOf(within, inner)
	}
	if v, ok := row[key].(float64); ok {
		return v, true
	}
	from, ok1 := row["start_s"].(float64)
	to, ok2 := row["end_s"].(float64)
	return to - from, key == "time_s" && ok1 && ok2
}

// sameInCSV holds every number of a JSON row against the column of its name.
func sameInCSV(t *testing.T, row map[string]any, heads, record []string) {
	t.Helper()
	for key, v := range row {
		want, ok := v.(float64)
		if !ok {
			continue
		}
		i := slices.IndexFunc(heads, func(h string) bool { return h == key || h == key+"_bpm" || h == key+"_spm" })
		if i < 0 {
			t.Errorf("CSV has no column for %s", key)
			continue
		}
		if got, err := strconv.ParseFloat(record[i], 64); err != nil || got != want {
			t.Errorf("%s is %v in JSON and %q in CSV", key, want, record[i])
		}
	}
}

// textRows are the lines below the head of the first table that begins with a word.
func textRows(text, head string) (rows []string) {
	inside := false
	for line := range strings.Lines(text) {
		fields := strings.Fields(line)
		switch {
		case inside && len(fields) == 0:
			return rows
		case inside:
			rows = append(rows, " "+strings.TrimRight(line, "\n"))
		case len(fields) > 2 && (fields[0] == head || fields[0] == "set" && fields[1] == head):
			inside = true
		}
	}
	return rows
}

// pageRows are the cells of the first table of a page, row by row.
func pageRows(t *testing.T, page []byte) (rows [][]string) {
	t.Helper()
	root, err := html.Parse(bytes.NewReader(page))
	if err != nil {
		t.Fatal(err)
	}
	for n := range root.Descendants() {
		if n.Data != "section" || !slices.ContainsFunc(n.Attr, func(a html.Attribute) bool { return a.Key == "id" && a.Val == "r1-table-1" }) {
			continue
		}
		for r := range n.Descendants() {
			if r.Data != "tr" || r.Parent.Data != "tbody" {
				continue
			}
			var cells []string
			for c := range r.ChildNodes() {
				text := ""
				for x := range c.Descendants() {
					if x.Type == html.TextNode {
						text += x.Data
					}
				}
				cells = append(cells, strings.TrimSpace(text))
			}
			rows = append(rows, cells)
		}
	}
	return rows
}
