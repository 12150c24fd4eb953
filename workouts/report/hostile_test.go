package report

import (
	"encoding/csv"
	"encoding/json"
	"strings"
	"testing"
	"unicode"
)

// hostile are names that would do harm if they were taken for anything but
// text: markup, quotes, formulas of spreadsheets, escapes of terminals, marks
// that turn the direction of writing, and sheer length.
var hostile = []string{
	`<script>alert("x")</script>`,
	`"><img src=x onerror=alert(1)>`,
	`</title></style></svg><script>alert(1)</script>`,
	`<!-- -->`, `]]>`, `&lt;b&gt; &amp;`, `{{.}} ${x}`, `javascript:alert(1)`,
	`it's "quoted" and 'quoted'`,
	"`code` **bold** _em_ ~~gone~~ [link](http://example.org) ![image](x) | bar \\| bar \\\\| bar",
	"# heading", "- item", "1. item", "---", "> quote", "[ ] task", "http://example.org", "www.example.org/a|b",
	`=HYPERLINK("http://example.org";"x")`, `+1+1`, `-1+1`, `@SUM(A1)`, ` =1+1`, `a;=1+1`, "\t=1+1", `＝1+1`,
	"\x1b[31mred\x1b[0m \x1b]0;title\x07", "two\nlines\r\nand\rmore", "null\x00byte", "bad\xff\xfeutf-8",
	"evil\u202egpj.fit", "\u2066isolated\u2069 \u200eleft \u200fright \u061c", "\ufeffmark", "zero\u200bwidth\u200djoined",
	"line\u2028separator\u2029paragraph\u0085next",
	"走る 🏃 Läufe", strings.Repeat("x", 10_000), strings.Repeat("| a ", 2_500), strings.Repeat("走", 3_400),
}

// named is a report with the name wherever a report may have one.
func named(name string) *Report {
	s := demoSession()
	s.Recording.Name = name
	s.Warnings[0].Message = name
	r := Split(s, Options{})
	r.Title, r.Lead = name, append(r.Lead, name)
	r.Table.Notes = append(r.Table.Notes, name)
	r.Table.Columns = append(r.Table.Columns, Column{Head: name})
	for i := range r.Table.Rows {
		r.Table.Rows[i] = append(r.Table.Rows[i], Cell{Text: name, Fields: Object{{"name", name}}})
	}
	r.Further = []Table{{Title: name, Columns: []Column{{Head: name}}, Rows: [][]Cell{{{Text: name, Style: Alert}}}}}
	r.Said = append(r.Said, Sentence{Text: name, Style: Strong})
	return r
}

// A name shows as text in every format, and breaks none.
func TestHostileNames(t *testing.T) {
	for _, name := range hostile {
		r := named(name)
		outputs := map[string]string{
			"text": render(t, r, Page{Columns: 80}), "styled text": render(t, r, Page{Styled: true}), "markdown": asMarkdown(t, r),
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
		if got := rows[1][0]; strings.ReplaceAll(got, "'", "") != strings.ReplaceAll(Safe(name), "'", "") {
			t.Errorf("csv reads back %.40q, want %.40q", got, Safe(name))
		}
		for _, cell := range strings.FieldsFunc(rows[1][0], func(c rune) bool { return c == ';' }) {
			if first, n := strings.TrimSpace(cell), len(cell); n > 1 && strings.ContainsAny(first[:min(1, len(first))], "=+-@") {
				t.Errorf("a spreadsheet would compute %.40q", cell)
			}
		}
	}
}

// Formulas begin with one of = + - @ (OWASP on CSV injection, from memory);
// figures with a sign are no text, and stay as they are.
func TestCSVFormulas(t *testing.T) {
	r := Report{Table: Table{Rows: [][]Cell{{{Fields: Object{
		{"a", "=1+1"}, {"b", "-"}, {"c", "-2+3"}, {"d", Number{Value: -2.5, Decimals: 1}}, {"e", -3}, {"f", " @x"}, {"g", "x;+y"}, {"h", "a-b=c"},
		{"i", "＋1"}, {"j", Number{Value: 5, Unit: "bpm"}}, {"k", []string{"=1", "1"}},
	}}}}}}
	var b strings.Builder
	if err := r.CSV(&b); err != nil {
		t.Fatal(err)
	}
	want := "a,b,c,d,e,f,g,h,i,j_bpm,k_1,k_2\n'=1+1,-,'-2+3,-2.5,-3,\"' @x\",x;'+y,a-b=c,'＋1,5,'=1,1\n"
	if b.String() != strings.ReplaceAll(want, `"' @x"`, "' @x") {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
}

// Reports of one call share a head: each keeps its columns, null and object
// alike, and what comes later stands where its neighbours stand.
func TestSheet(t *testing.T) {
	var s Sheet
	for _, r := range []*Report{
		{Subject: Object{{"file", "a"}, {"start", nil}}, Table: Table{Rows: [][]Cell{{{Fields: Object{{"target", nil}, {"start_s", 1}}}}}}},
		{Subject: Object{{"file", "b"}, {"start", "now"}}, Table: Table{Rows: [][]Cell{{{Fields: Object{{"target", Object{{"kind", "pace"}}}, {"start_s", 2}, {"last", nil}}}}}}},
	} {
		if err := s.Add(r); err != nil {
			t.Fatal(err)
		}
	}
	var b strings.Builder
	if err := s.Write(&b); err != nil {
		t.Fatal(err)
	}
	if want := "file,start,target_kind,start_s,last\na,,,1,\nb,now,pace,2,\n"; b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	b.Reset()
	if err := (&Sheet{}).Write(&b); err != nil || b.Len() > 0 {
		t.Errorf("an empty sheet is %q, %v", b.String(), err)
	}
}
