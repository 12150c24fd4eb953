package recording

import "strings"

// sportInWords reads a sport written as text. A number, as some programs write,
// says nothing.
func sportInWords(text string) (Sport, Place) {
	text = strings.ToLower(strings.TrimSpace(text))
	has := func(parts ...string) bool {
		for _, p := range parts {
			if strings.Contains(text, p) {
				return true
			}
		}
		return false
	}
	var sport Sport
	switch {
	case has("run", "jog"):
		sport = Running
	case has("walk"):
		sport = Walking
	case has("hik"):
		sport = "hiking"
	case has("bik", "cycl", "ride"):
		sport = Cycling
	case has("swim"):
		sport = Swimming
	case text == "other" || strings.Trim(text, "0123456789") == "":
		return SportUnknown, PlaceUnknown
	default:
		return Sport(strings.ReplaceAll(text, "_", " ")), PlaceUnknown
	}
	switch {
	case has("treadmill"), has("indoor") && sport.onFoot():
		return sport, Treadmill
	case has("trail"):
		return sport, Trail
	case has("track"):
		return sport, Track
	}
	return sport, PlaceUnknown
}

// onFoot tells whether a cadence of the sport is of feet. A file that does not
// say is one of this program's: a run.
func (s Sport) onFoot() bool {
	switch s {
	case SportUnknown, Running, Walking, "hiking", "training", "transition", "multisport", "fitness equipment":
		return true
	}
	return false
}
