package session

import (
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"
	"unicode"

	"example.org/rungs/workouts/report"
	"example.org/rungs/workouts/report/internal/hostile"
)

// named is a report with the name wherever a report may have one.
func named(name string) *report.Report {
	s := demoSession()
	s.Recording.Name = name
	s.Warnings[0].Message = name
	r := Split(s, Options{})
	r.Title, r.Lead = name, append(r.Lead, name)
	r.Table.Notes = append(r.Table.Notes, name)
	r.Table.Columns = append(r.Table.Columns, report.Column{Head: name})
	for i := range r.Table.Rows {
		r.Table.Rows[i] = append(r.Table.Rows[i], report.Cell{Text: name, Fields: report.Object{{Key: "name", Value: name}}})
	}
	r.Further = []report.Table{{Title: name, Columns: []report.Column{{Head: name}}, Rows: [][]report.Cell{{{Text: name, Style: report.Alert}}}}}
	r.Said = append(r.Said, report.Sentence{Text: name, Style: report.Strong})
	return r
}

// A name shows as text in every format, and breaks none.
func TestHostileNames(t *testing.T) {
	for _, name := range hostile.Names {
		r := named(name)
		outputs := map[string]string{
			"text": render(t, r, report.Page{Columns: 80}), "styled text": render(t, r, report.Page{Styled: true}), "markdown": asMarkdown(t, r),
		}
		var data, sheet strings.Builder
		if err := r.JSON(&data); err != nil {
			t.Fatal(err)
		}
		if err := r.CSV(&sheet); err != nil {
			t.Fatal(err)
		}
		outputs["csv"] = sheet.String()
		for format, out := range outputs {
			for _, c := range out {
				if !unicode.IsGraphic(c) && c != '\n' && !(c == '\x1b' && format == "styled text") {
					t.Errorf("%s lets %U of %.40q through", format, c, name)
					break
				}
			}
		}
		for _, tag := range []string{"<script", "<img", "<!--", "</title"} {
			if strings.Contains(strings.ReplaceAll(outputs["markdown"], `\<`, ""), tag) {
				t.Errorf("markdown has the tag of %.40q", name)
			}
		}
		var back struct{ File string }
		if err := json.Unmarshal([]byte(data.String()), &back); err != nil {
			t.Errorf("%.40q: %v", name, err)
		}
		if want := strings.ToValidUTF8(name, "\ufffd"); !strings.Contains(name, "\xff") && back.File != want {
			t.Errorf("json reads back %.40q, want %.40q", back.File, want)
		}
		rows, err := csv.NewReader(strings.NewReader(sheet.String())).ReadAll()
		if err != nil || len(rows) != 1+len(r.Table.Rows) {
			t.Fatalf("%.40q: csv reads back as %d rows, %v", name, len(rows), err)
		}
		if n := strings.Count(sheet.String(), "\n"); n != len(rows) {
			t.Errorf("%.40q: %d lines of csv for %d rows", name, n, len(rows))
		}
		if got := rows[1][0]; strings.ReplaceAll(got, "'", "") != strings.ReplaceAll(report.Safe(name), "'", "") {
			t.Errorf("csv reads back %.40q, want %.40q", got, report.Safe(name))
		}
		for _, cell := range strings.FieldsFunc(rows[1][0], func(c rune) bool { return c == ';' }) {
			if first, n := strings.TrimSpace(cell), len(cell); n > 1 && strings.ContainsAny(first[:min(1, len(first))], "=+-@") {
				t.Errorf("a spreadsheet would compute %.40q", cell)
			}
		}
	}
}
