package report

import (
	"encoding/csv"
	"math"
	"strings"
	"testing"
)

// RFC 4180 has the quotation marks; its section 2.7 doubles one inside a field.
func TestCSV(t *testing.T) {
	r := Report{Table: Table{Key: "weeks", Rows: [][]Cell{
		{{Fields: Object{{"week", `a "long" one, two`}, {"hard", 2}}}, {Fields: Object{{"m", Number{Value: 1.25, Decimals: 1}}, {"ok", true}}}},
		{{Fields: Object{{"week", "two\nlines"}, {"hard", nil}}}, {Fields: Object{
			{"m", Number{Value: math.NaN()}}, {"zones_s", []Number{{Value: 3}, {Value: 4}}}, {"o", Object{{"x", 1}, {"y", "z"}}}, {"parts", []Object{{}}},
		}}},
	}}}
	var b strings.Builder
	if err := r.CSV(&b); err != nil {
		t.Fatal(err)
	}
	want := "week,hard,m,zones_s_1,zones_s_2,o_x,o_y,ok\n" +
		"\"a \"\"long\"\" one, two\",2,1.2,,,,,true\n" +
		"two\\nlines,,,3,4,1,z,\n"
	if b.String() != want {
		t.Errorf("got\n%s\nwant\n%s", b.String(), want)
	}
	if rows, err := csv.NewReader(strings.NewReader(b.String())).ReadAll(); err != nil || len(rows) != 3 {
		t.Errorf("does not read back: %v, %v", rows, err)
	}
	if err := (&Report{Table: Table{Rows: [][]Cell{{{Fields: Object{{"x", struct{}{}}}}}}}}).CSV(&b); err == nil {
		t.Error("a value that no cell can hold was written")
	}
}

// A report of several tables shows them all; programs see those with a key.
func TestFurtherTables(t *testing.T) {
	table := func(title, key, cell string) Table {
		return Table{Title: title, Key: key, Columns: []Column{{Head: "head"}}, Rows: [][]Cell{{{Text: cell, Fields: Object{{"cell", cell}}}}}}
	}
	r := Report{Title: "report", Table: table("first", "a", "one"), Further: []Table{table("second", "b", "two"), table("third", "", "three"), {Title: "empty", Key: "c"}},
		Said: []Sentence{{Text: "said"}}}
	var text, data strings.Builder
	if err := r.Text(&text, Page{}); err != nil {
		t.Fatal(err)
	}
	if want := "report\n\nfirst\nhead\none\n\nsecond\nhead\ntwo\n\nthird\nhead\nthree\n\nsaid\n"; text.String() != want {
		t.Errorf("got\n%s\nwant\n%s", text.String(), want)
	}
	if err := r.JSON(&data); err != nil {
		t.Fatal(err)
	}
	if want := `{"a":[{"cell":"one"}],"b":[{"cell":"two"}],"c":[],"warnings":[]}` + "\n"; data.String() != want {
		t.Errorf("got %s, want %s", data.String(), want)
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
