package athlete

import (
	"fmt"
	"slices"
	"strings"

	"github.com/BurntSushi/toml"

	"example.org/rungs/workouts"
)

// keys are the keys that may be written, in the order in which hints name them, each with
// what takes in its value. Beside them stand the names of reference paces.
var keys = []struct {
	name string
	take func(r *reader, key toml.Key, v any)
}{
	{"units", (*reader).units},
	{"age", func(r *reader, key toml.Key, v any) { r.athlete.Age = int(r.number(key, v, 8, 110, "an age in years")) }},
	{"training", (*reader).training},
	{"quickest", (*reader).quickest},
	{"heart", (*reader).table},
	{"heart.max", func(r *reader, key toml.Key, v any) { r.athlete.MaxHR = r.number(key, v, 100, 240, "beats per minute") }},
	{"heart.rest", func(r *reader, key toml.Key, v any) { r.athlete.RestHR = r.number(key, v, 25, 120, "beats per minute") }},
	{"heart.zones", (*reader).zones},
	{"paces", (*reader).table},
	{"race", (*reader).table},
	{"race.distance", (*reader).raceDistance},
	{"race.time", func(r *reader, key toml.Key, v any) { r.raceS = r.clock(key, v) }},
	{"hard", (*reader).table},
	{"hard.work", func(r *reader, key toml.Key, v any) { r.athlete.Hard.WorkS = r.clock(key, v) }},
	{"hard.pace", (*reader).hardPace},
	{"hard.heart", func(r *reader, key toml.Key, v any) {
		r.athlete.Hard.HeartBPM = r.number(key, v, 60, 240, "beats per minute")
	}},
	{"odometer", (*reader).table},
	{"odometer.outdoors", (*reader).table},
	{"odometer.outdoors.over", func(r *reader, key toml.Key, v any) { r.athlete.Outdoors.Over = r.over(key, v) }},
	{"odometer.outdoors.within", func(r *reader, key toml.Key, v any) { r.athlete.Outdoors.Within = r.within(key, v) }},
	{"odometer.treadmill", (*reader).table},
	{"odometer.treadmill.over", func(r *reader, key toml.Key, v any) { r.athlete.Treadmill.Over = r.over(key, v) }},
	{"odometer.treadmill.within", func(r *reader, key toml.Key, v any) { r.athlete.Treadmill.Within = r.within(key, v) }},
}

// key takes in one key with its value.
func (r *reader) key(key toml.Key, v any) {
	if len(key) == 2 && key[0] == "paces" {
		r.pace(key, v)
		return
	}
	name := strings.Join(key, ".")
	var known []string
	for _, k := range keys {
		if k.name == name {
			k.take(r, key, v)
			return
		}
		known = append(known, k.name)
	}
	if slices.ContainsFunc(r.unknown, func(table string) bool { return strings.HasPrefix(name, table+".") }) {
		return // its table was reported
	}
	r.unknown = append(r.unknown, name)
	hint := "the keys are " + strings.Join(known, ", ") + ", and paces.NAME"
	if near := workouts.Nearest(name, known); near != "" {
		hint = fmt.Sprintf("did you mean %q?", near)
	}
	line, column, length := r.find(key, false)
	r.failAt(line, column, length, codeAthleteKey, fmt.Sprintf("unknown key %q", name), hint)
}

func (r *reader) table(key toml.Key, v any) {
	if _, ok := v.(map[string]any); !ok {
		name := strings.Join(key, ".")
		r.fail(key, fmt.Sprintf("%s is a table: write [%s] on a line of its own", name, name))
	}
}

func (r *reader) units(key toml.Key, v any) {
	text, ok := v.(string)
	if !ok || text != "km" && text != "mi" {
		r.fail(key, `units is "km" or "mi"`)
	}
	r.athlete.Miles = text == "mi"
}

func (r *reader) training(key toml.Key, v any) {
	text, _ := v.(string)
	if text == "" || workouts.PrintableLine(text) != text {
		r.fail(key, `training is the path of a folder, such as "~/running"`)
	}
	r.athlete.Training = text
}

func (r *reader) raceDistance(key toml.Key, v any) {
	text, _ := v.(string)
	metres, ok := workouts.DistanceOf(text)
	if !ok {
		r.fail(key, `write a distance as "10km", "1500m", "5mi", "mile", "half" or "marathon"`)
	}
	r.raceM = metres
}

func (r *reader) hardPace(key toml.Key, v any) {
	text, _ := v.(string)
	p, err := workouts.ParsePace(text)
	if err != nil {
		r.fail(key, err.Error())
	}
	r.athlete.Hard.Pace = p.SecPerKm
}
