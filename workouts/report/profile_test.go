package report

import (
	"math"
	"strings"
	"testing"

	"example.org/rungs/workouts/figures"
)

// steps are speeds in m/s, each held for 60 s.
func stepProfile(speeds ...float64) *Profile {
	return &Profile{Seconds: 60 * float64(len(speeds)), Unit: figures.Kilometre, Speed: func(from, to float64) float64 {
		sum := 0.0
		for i, v := range speeds {
			sum += v * max(0, min(to, 60*float64(i+1))-max(from, 60*float64(i)))
		}
		return sum / (to - from)
	}}
}

func drawn(p *Profile, page Page) string {
	var b strings.Builder
	p.text(&b, page)
	return b.String()
}

// By hand: the scale goes from the slowest to the quickest, but from no less
// than 40 % and no more than 70 % of the quickest, in eighths.
func TestProfileBars(t *testing.T) {
	nan := math.NaN()
	for _, c := range []struct {
		name    string
		profile *Profile
		page    Page
		want    string
	}{
		{"slowest to quickest", stepProfile(2, 3, 4, 2), Page{Columns: 4}, "▁▅█▁\n"},
		{"two columns to a minute", stepProfile(2, 3, 4, 2), Page{Columns: 8}, "▁▁▅▅██▁▁\n"},
		{"mean of two minutes", stepProfile(2, 4, 3, 3), Page{Columns: 2}, "██\n"},
		{"small changes stay small", stepProfile(4, 3.9, 4, 3.8), Page{Columns: 4}, "███▇\n"},
		{"a walk does not flatten", stepProfile(1, 3, 4), Page{Columns: 3}, "▁▅█\n"},
		{"standing is a gap", stepProfile(4, 0.2, 4), Page{Columns: 3}, "█ █\n"},
		{"unknown is a gap", stepProfile(4, nan, 4), Page{Columns: 3}, ""},
		{"in ASCII", stepProfile(2, 3, 4, 2.3), Page{Columns: 4, ASCII: true}, ".+@:\n"},
		{"nobody ran", stepProfile(0, 0), Page{Columns: 2}, ""},
		{"no time", stepProfile(), Page{Columns: 2}, ""},
		{"none", nil, Page{}, ""},
	} {
		if c.name == "unknown is a gap" {
			c.profile.Speed = func(from, _ float64) float64 { return []float64{4, nan, 4}[int(from/60)] }
			c.want = "█ █\n"
		}
		if got := drawn(c.profile, c.page); got != c.want {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
	}
}

// 8:20/km is 2 m/s, 4:10/km is 4 m/s.
func TestProfileScale(t *testing.T) {
	p := stepProfile(2, 3, 4, 2)
	p.Scale = true
	for _, c := range []struct {
		page Page
		want string
	}{
		{Page{Columns: 8}, "▁▁▅▅██▁▁\n▁ 8:20\nto █\n4:10\n/km; 30\ns a\ncolumn\n"},
		{Page{Columns: 100}, "▁ 8:20 to █ 4:10 /km; 2.4 s a column\n"},
		{Page{}, "▁ 8:20 to █ 4:10 /km; 4.0 s a column\n"},
		{Page{ASCII: true}, ". 8:20 to @ 4:10 /km; 4.0 s a column\n"},
	} {
		if got := drawn(p, c.page); !strings.HasSuffix(got, c.want) {
			t.Errorf("%+v: %q, want the end %q", c.page, got, c.want)
		}
	}
	p.Unit = figures.Mile
	if got := drawn(p, Page{}); !strings.Contains(got, "▁ 13:25 to █ 6:42 /mi") {
		t.Errorf("in miles: %q", got)
	}
}

func TestProfileMarks(t *testing.T) {
	rep := func(from, to float64, set int, label string) Mark {
		return Mark{StartS: from, EndS: to, Set: set, Label: label}
	}
	for _, c := range []struct {
		name    string
		reps    []Mark
		columns int
		want    string
	}{
		{"room for each", []Mark{rep(60, 120, 1, "1"), rep(180, 240, 1, "2")}, 10, "  1─  2─\n"},
		{"touching", []Mark{rep(60, 120, 1, "1"), rep(120, 240, 1, "2")}, 10, "  1────2\n"},
		{"no room for a number", []Mark{rep(0, 30, 1, "9"), rep(60, 90, 1, "10"), rep(120, 150, 1, "11")}, 10, "9──11\n"},
		{"sets", []Mark{rep(0, 20, 1, "1"), rep(30, 50, 1, "2"), rep(60, 90, 1, "3"), rep(180, 200, 2, "4"), rep(210, 300, 2, "5")}, 10, "1─3   4──5\n"},
		{"other sets of short reps", []Mark{rep(0, 60, 1, "1"), rep(90, 105, 2, "2"), rep(115, 130, 2, "3"), rep(180, 195, 3, "4"), rep(240, 255, 3, "5")}, 10, "1─ ── 4─5\n"},
		{"neighbours that touch", []Mark{rep(0, 20, 1, "1"), rep(30, 90, 1, "2"), rep(90, 110, 2, "3"), rep(180, 300, 2, "14")}, 10, "1──3  14──\n"},
		{"nothing but a line", []Mark{rep(0, 30, 1, "10"), rep(30, 60, 1, "11")}, 5, "──\n"},
		{"beyond the end", []Mark{rep(270, 400, 1, "1")}, 10, "         1\n"},
	} {
		p := stepProfile(3, 4, 3, 4, 3)
		p.Reps = c.reps
		got := drawn(p, Page{Columns: c.columns})
		if _, under, _ := strings.Cut(got, "\n"); under != c.want {
			t.Errorf("%s: %q, want %q", c.name, under, c.want)
		}
	}
}

// A rep has its own style, running between reps is faint.
func TestProfileStyle(t *testing.T) {
	p := stepProfile(2, 4, 2, 4)
	p.Reps = []Mark{{StartS: 60, EndS: 120, Label: "1"}, {StartS: 180, EndS: 240, Label: "2", Style: Alert}}
	want := "\x1b[2m▁▁\x1b[0m██\x1b[2m▁▁\x1b[0m\x1b[31m██\x1b[0m\n  1─  \x1b[31m2─\x1b[0m\n"
	if got := drawn(p, Page{Columns: 8, Styled: true}); got != want {
		t.Errorf("%q, want %q", got, want)
	}
}
