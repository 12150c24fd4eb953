package notation

import (
	"flag"
	"fmt"
	"os"
	"regexp"
	"strings"
	"testing"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"github.com/google/go-cmp/cmp"
)

var update = flag.Bool("update", false, "rewrite the results in NOTATION.md")

// block is a fenced block of the manual.
type block struct {
	kind, text, section string
	from, to            int // bytes of the text
}

func blocks(manual string) []block {
	var out []block
	section := ""
	at := 0
	var open *block
	for _, line := range strings.SplitAfter(manual, "\n") {
		switch trimmed := strings.TrimRight(line, "\n"); {
		case open == nil && strings.HasPrefix(trimmed, "```"):
			open = &block{kind: strings.TrimPrefix(trimmed, "```"), section: section, from: at + len(line)}
		case open != nil && trimmed == "```":
			open.to = at
			open.text = manual[open.from:at]
			out = append(out, *open)
			open = nil
		case open == nil && strings.HasPrefix(trimmed, "#"):
			section = strings.TrimSpace(strings.TrimLeft(trimmed, "#"))
		}
		at += len(line)
	}
	return out
}

// Every example of the manual is run:
//
//	workout    is read
//	canonical  what the workout above is printed as
//	steps      what it unrolls into, a line a step: role, rep, step, goal
//	mistake    is refused
//	says       what is said of the mistake above
//	athlete    is read as an athlete file
func TestManual(t *testing.T) {
	src, err := os.ReadFile("NOTATION.md")
	if err != nil {
		t.Fatal(err)
	}
	manual := string(src)
	me := athlete.New()
	var w workouts.Workout
	var example, said string
	codes := map[string]bool{}
	ran := map[string]int{}
	rewritten := ""
	kept := 0
	for _, b := range blocks(manual) {
		ran[b.kind]++
		got := b.text
		switch b.kind {
		case "workout":
			example = b.text
			if w, err = Parse("plan", b.text); err != nil {
				t.Errorf("%s: %v", b.section, err)
			}
		case "canonical":
			if got, err = Format("plan", example); err != nil {
				t.Errorf("%s: %v", b.section, err)
			}
		case "steps":
			resolved, _ := me.Resolve(w)
			got = stepLines(resolved)
		case "mistake":
			_, err := Parse("plan", strings.TrimSuffix(b.text, "\n"))
			if err == nil {
				t.Errorf("%s: %q is no mistake", b.section, b.text)
				continue
			}
			said = err.Error() + "\n"
			for _, d := range err.(Diagnostics) {
				codes[strings.Trim(b.section, "`")+" has "+d.Code] = true
			}
		case "says":
			got = said
		case "athlete":
			if me, err = athlete.Parse("athlete.toml", b.text); err != nil {
				t.Errorf("%s: %v", b.section, err)
			}
		case "ebnf", "":
		default:
			t.Errorf("%s: a block of kind %q", b.section, b.kind)
		}
		rewritten += manual[kept:b.from] + got
		kept = b.to
		if got != b.text && !*update {
			t.Errorf("%s: the manual has\n%s\nbut it is\n%s", b.section, b.text, got)
		}
	}
	rewritten += manual[kept:]
	if *update && rewritten != manual {
		if err := os.WriteFile("NOTATION.md", []byte(rewritten), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	for kind, least := range map[string]int{"workout": 20, "canonical": 8, "steps": 5, "mistake": 20, "says": 20, "athlete": 1, "ebnf": 1} {
		if ran[kind] < least {
			t.Errorf("only %d blocks of kind %q", ran[kind], kind)
		}
	}
	for _, code := range allCodes(t) {
		if !strings.Contains(manual, "### `"+code+"`\n") {
			t.Errorf("the manual has no section on %q", code)
		}
		if code != codeTooBig && !codes[code+" has "+code] {
			t.Errorf("the section on %q has no example of it", code)
		}
	}
}

func stepLines(w workouts.Workout) string {
	var b strings.Builder
	for _, p := range w.Expand() {
		role := string(p.Role)
		if p.Rep > 0 {
			role += fmt.Sprintf(" %d.%d", p.Set, p.Rep)
		}
		s := p.Step
		s.Target = workouts.Target{}
		fmt.Fprintf(&b, "%-13s %-12s %s", role, stepText(s, workouts.Work), goalLine(p.Goal))
		text := strings.TrimRight(b.String(), " ")
		b.Reset()
		b.WriteString(text + "\n")
	}
	return b.String()
}

func goalLine(g workouts.Goal) string {
	switch g.Kind {
	case workouts.PaceGoal:
		switch {
		case g.EndPace > 0:
			return fmt.Sprintf("%s to %s/km", clockText(g.Pace), clockText(g.EndPace))
		case g.LowPace < g.HighPace:
			return fmt.Sprintf("%s to %s/km", clockText(g.LowPace), clockText(g.HighPace))
		}
		return clockText(g.Pace) + "/km"
	case workouts.QuickerGoal:
		if g.First {
			return "sets the pace"
		}
		return fmt.Sprintf("quicker than rep %d", g.Than)
	case workouts.HeartGoal:
		return fmt.Sprintf("%.0f to %.0f beats/min", g.LowBPM, g.HighBPM)
	case workouts.UnresolvedGoal:
		return "unknown: " + g.Name
	}
	return ""
}

// The grammar of the manual names the manners and units that are read.
func TestManualGrammar(t *testing.T) {
	src, err := os.ReadFile("NOTATION.md")
	if err != nil {
		t.Fatal(err)
	}
	for _, b := range blocks(string(src)) {
		if b.kind != "ebnf" {
			continue
		}
		_, manner, ok := strings.Cut(b.text, "manner")
		_, manner, ok2 := strings.Cut(manner, "manner   =")
		manner, _, ok3 := strings.Cut(manner, " .")
		if !ok || !ok2 || !ok3 {
			t.Fatal("the grammar has no manners")
		}
		var got []workouts.Manner
		for _, m := range regexp.MustCompile(`"(\w+)"`).FindAllStringSubmatch(manner, -1) {
			got = append(got, workouts.Manner(m[1]))
		}
		if diff := cmp.Diff(workouts.Manners, got); diff != "" {
			t.Error(diff)
		}
	}
}
