package match

import (
	"os"
	"strings"
	"testing"

	"example.org/rungs/segment"
)

// verdictNames are the verdicts as CHECK.md has them.
var verdictNames = map[string]Verdict{"As planned": AsPlanned, "Departed from the plan": Departed, "Cut short": CutShort, "A different session": Different}

// Every example of the table of verdicts in CHECK.md is what it says, on two devices and
// the treadmill.
func TestVerdictTable(t *testing.T) {
	text, err := os.ReadFile("CHECK.md")
	if err != nil {
		t.Fatal(err)
	}
	rows := 0
	seen := map[Verdict]bool{}
	var want Verdict
	for line := range strings.Lines(string(text)) {
		cells := strings.Split(strings.TrimSpace(line), "|")
		if len(cells) != 7 || !strings.Contains(cells[3], "`") {
			continue
		}
		for i := range cells {
			cells[i] = strings.Trim(cells[i], " `")
		}
		if cells[1] != "" {
			var ok bool
			if want, ok = verdictNames[cells[1]]; !ok {
				continue
			}
		}
		rows++
		seen[want] = true
		plan, ran, says := withEnd(cells[3], ""), withEnd(cells[4], cells[3]), strings.ToLower(cells[5])
		for k, name := range []string{"good watch, open sky", "older watch, every second", "treadmill's own file"} {
			seed := 800000 + uint64(10*rows+k)
			s, _ := stage(t, ran, 4.2, seed).run(device(t, name), seed, level)
			s, err := segment.Split(s.Recording)
			if err != nil {
				t.Fatal(err)
			}
			r := check(t, plan, s)
			said := strings.Join(r.Reasons, "; ")
			if r.Verdict != want || want != AsPlanned && !strings.Contains(said, says) {
				t.Errorf("%s: %q of %q: %s, %q; CHECK.md has %s, %q", name, ran, plan, r.Verdict, said, want, says)
			}
		}
	}
	if rows < 10 || len(seen) != 4 {
		t.Errorf("%d examples of %d verdicts found in CHECK.md", rows, len(seen))
	}
}

// withEnd writes a warm-up before, and a cool-down after, the work of an example; plan is
// the plan of a run, whose cool-down is written out where it was left out.
func withEnd(text, plan string) string {
	if strings.Contains(text, "easy") {
		return text
	}
	text = "10:00 warm + " + text
	if !strings.Contains(text, "cool") && !strings.Contains(plan, "cool") {
		text += " + 10:00 cool"
	}
	return text
}
