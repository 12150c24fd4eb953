package athlete

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"math"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"unicode/utf8"

	"github.com/BurntSushi/toml"

	"example.org/rungs/segment/input"
	"example.org/rungs/workouts"
)

// Variable is the environment variable that names the athlete file.
const Variable = "RUNGS_ATHLETE"

// Load reads the athlete file at path; when path is empty, the one that
// the environment variable RUNGS_ATHLETE names; when that is unset, the first
// rungs/athlete.toml in the places for configuration of the XDG Base Directory
// Specification. Without any it returns New. A file that was named must
// exist. The error is Diagnostics when the file was read.
func Load(path string, getenv func(string) string) (Athlete, error) {
	if path == "" {
		path = getenv(Variable)
	}
	if path != "" {
		return read(path)
	}
	for _, folder := range configFolders(getenv) {
		a, err := read(filepath.Join(folder, "rungs", "athlete.toml"))
		if !errors.Is(err, fs.ErrNotExist) {
			return a, err
		}
	}
	return New(), nil
}

// configFolders lists the places for configuration, most important first.
// Relative ones do not count, says the specification.
func configFolders(getenv func(string) string) []string {
	home := getenv("XDG_CONFIG_HOME")
	if home == "" && getenv("HOME") != "" {
		home = filepath.Join(getenv("HOME"), ".config")
	}
	shared := getenv("XDG_CONFIG_DIRS")
	if shared == "" {
		shared = "/etc/xdg"
	}
	folders := append([]string{home}, filepath.SplitList(shared)...)
	return slices.DeleteFunc(folders, func(f string) bool { return !filepath.IsAbs(f) })
}

func read(path string) (Athlete, error) {
	f, err := input.Open(path, math.MaxInt64)
	if err != nil {
		return New(), err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, workouts.MaxBytes+1)) // one that is too long is told so
	if err != nil {
		return New(), err
	}
	return Parse(path, string(src))
}

// Parse reads the text of an athlete file, which is TOML 1.0. A non-nil
// error is Diagnostics with all the mistakes found.
func Parse(name, src string) (Athlete, error) {
	src = strings.ReplaceAll(strings.TrimPrefix(src, "\ufeff"), "\r\n", "\n") // as TOML takes them
	if len(src) > workouts.MaxBytes {
		return New(), workouts.Diagnostics{{File: name, Line: 1, Column: 1, Length: 1, Code: codeAthleteSyntax,
			Message: fmt.Sprintf("the file has more than %d bytes", workouts.MaxBytes), Hint: "an athlete file has a few lines; is this the right one?"}}
	}
	r := reader{file: name, athlete: New(), lines: strings.Split(src, "\n")}
	r.athlete.Source = name
	if !utf8.ValidString(src) {
		return New(), workouts.Diagnostics{{File: name, Line: 1, Column: 1, Length: 1, Code: codeAthleteSyntax,
			Message: "the file is not UTF-8 text", Hint: "save it as UTF-8"}}
	}
	if line := nestedLine(src); line > 0 {
		r.failAt(line, 1, 1, codeAthleteSyntax, "tables and lists are nested too deep", "an athlete file has headings such as [heart] and lists of numbers")
		return New(), r.diagnostics
	}
	var values map[string]any
	meta, err := toml.Decode(src, &values)
	var syntax toml.ParseError
	switch {
	case errors.As(err, &syntax):
		r.syntax(src, syntax)
	case err != nil:
		r.failAt(1, 1, 1, codeAthleteSyntax, err.Error(), "")
	}
	for _, key := range meta.Keys() {
		if len(r.diagnostics) > 0 && err != nil || len(r.diagnostics) >= mostMistakes {
			break
		}
		r.key(key, lookUp(values, key))
	}
	if len(r.diagnostics) > 0 {
		r.diagnostics.Sort()
		return New(), r.diagnostics
	}
	r.whole()
	if len(r.diagnostics) > 0 {
		return New(), r.diagnostics
	}
	return r.athlete, nil
}

// Codes of the diagnostics about an athlete file.
const (
	codeAthleteSyntax = "athlete-syntax"
	codeAthleteKey    = "athlete-key"
	codeAthleteValue  = "athlete-value"
)

type reader struct {
	file         string
	lines        []string
	athlete      Athlete
	raceM, raceS float64
	unknown      []string
	diagnostics  workouts.Diagnostics
}

func (r *reader) failAt(line, column, length int, code, message, hint string) {
	source := ""
	if line >= 1 && line <= len(r.lines) {
		source = workouts.PrintableLine(strings.TrimRight(r.lines[line-1], "\r"))
	}
	r.diagnostics = append(r.diagnostics, workouts.Diagnostic{File: r.file, Line: line, Column: column, Length: max(length, 1),
		Code: code, Message: message, Hint: hint, SourceLine: source})
}

// syntax turns the decoder's error, which counts bytes, into a diagnostic.
func (r *reader) syntax(src string, e toml.ParseError) {
	start := min(max(e.Position.Start, 0), len(src))
	end := min(start+max(e.Position.Len, 1), len(src))
	before := src[strings.LastIndex(src[:start], "\n")+1 : start]
	at, _, _ := strings.Cut(src[start:end], "\n")
	r.failAt(strings.Count(src[:start], "\n")+1, utf8.RuneCountInString(before)+1, utf8.RuneCountInString(at),
		codeAthleteSyntax, e.Message, `the file is TOML: lines such as units = "km" under headings such as [heart]`)
}

func lookUp(values map[string]any, key toml.Key) any {
	var v any = values
	for _, k := range key {
		table, ok := v.(map[string]any)
		if !ok {
			return nil
		}
		v = table[k]
	}
	return v
}

var paceName = regexp.MustCompile(`^([a-z_][a-z0-9_]*|[0-9]+(k|km|m|mi))$`)

// Reserved words have another meaning after "@" in the notation, and so have these
// few before a number.
var (
	reservedBefore = regexp.MustCompile(`^(x|z|zone)([0-9]|$)`)
	reserved       = []string{"quicker", "faster", "slower", "progressive", "progression", "off", "by", "at", "open", "to"}
)

// fail reports a wrong value.
func (r *reader) fail(key toml.Key, hint string) {
	line, column, length := r.find(key, true)
	r.failAt(line, column, length, codeAthleteValue, fmt.Sprintf("the value of %q cannot be used", strings.Join(key, ".")), hint)
}

func (r *reader) number(key toml.Key, v any, low, high float64, what string) float64 {
	var n float64
	switch v := v.(type) {
	case int64:
		n = float64(v)
	case float64:
		n = v
	}
	if !(n >= low && n <= high) {
		r.fail(key, fmt.Sprintf("write %s, a number between %.0f and %.0f", what, low, high))
		return 0
	}
	return n
}

func (r *reader) clock(key toml.Key, v any) float64 {
	text, _ := v.(string)
	s, err := workouts.ParseClock(text)
	switch {
	case err != nil:
		r.fail(key, err.Error())
	case s == 0 || s > workouts.MaxSeconds:
		r.fail(key, "write a time above zero")
	}
	return s
}

func (r *reader) pace(key toml.Key, v any) {
	name := key[1]
	if !paceName.MatchString(name) || slices.Contains(reserved, name) || reservedBefore.MatchString(name) || len(name) > 30 {
		line, column, length := r.find(key, false)
		r.failAt(line, column, length, codeAthleteKey, fmt.Sprintf("%q cannot name a reference pace", name),
			"a name has up to 30 small letters and digits and begins with a letter, or is a distance such as 10k; words of the notation are taken")
		return
	}
	text, _ := v.(string)
	p, err := workouts.ParsePace(text)
	if err != nil {
		r.fail(key, err.Error())
		return
	}
	if r.athlete.Paces == nil {
		r.athlete.Paces = map[string]workouts.Pace{}
	}
	r.athlete.Paces[name] = p
}

func (r *reader) zones(key toml.Key, v any) {
	switch v := v.(type) {
	case string:
		var names []string
		for _, c := range classifications {
			if c.name == v {
				r.athlete.ZoneScheme = v
				return
			}
			names = append(names, fmt.Sprintf("%q", c.name))
		}
		r.fail(key, "the classifications are "+strings.Join(names, ", "))
	case []any:
		before := 30.0
		for _, one := range v {
			n, ok := one.(int64)
			if !ok || float64(n) <= before && before > 30 || n < 30 || n > 240 {
				r.fail(key, "write the beats per minute at which the zones begin, increasing: [110, 132, 150, 161, 172]")
				return
			}
			before = float64(n)
			r.athlete.OwnZones = append(r.athlete.OwnZones, before)
		}
		if len(v) < 2 || len(v) > 9 {
			r.fail(key, "there may be 2 to 9 zones")
		}
	default:
		r.fail(key, `write the name of a classification, "seiler", or the beats per minute at which the zones begin`)
	}
}

// whole checks what several keys say together.
func (r *reader) whole() {
	a := &r.athlete
	switch {
	case r.raceM > 0 && r.raceS > 0:
		pace := r.raceS / r.raceM * 1000
		if pace < workouts.QuickestPace || pace > workouts.SlowestPace {
			r.fail(toml.Key{"race", "time"}, "nobody covers the distance in this time")
		}
		a.Race = &Race{Metres: r.raceM, Seconds: r.raceS}
	case r.raceM > 0:
		r.fail(toml.Key{"race", "distance"}, "a race needs its time too")
	case r.raceS > 0:
		r.fail(toml.Key{"race", "time"}, "a race needs its distance too")
	}
	r.wholeOdometers()
	if a.RestHR > 0 && a.MaxHR > 0 && a.RestHR >= a.MaxHR {
		r.fail(toml.Key{"heart", "rest"}, "the resting heart rate lies below the maximum")
	}
}

// quickest takes the lengths that quickest stretches are told of.
func (r *reader) quickest(key toml.Key, v any) {
	list, _ := v.([]any)
	for _, one := range list {
		text, _ := one.(string)
		e, ok := eventNamed(text)
		if !ok || slices.Contains(r.athlete.Quickest, e) {
			list = nil
			break
		}
		r.athlete.Quickest = append(r.athlete.Quickest, e)
	}
	if len(list) == 0 {
		var names []string
		for _, e := range events {
			names = append(names, e.Name)
		}
		r.fail(key, `write a list such as ["800m", "mile", "5km", "20:00"], each once, out of `+strings.Join(names, ", "))
	}
}
