package recording

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"testing"
	"time"
)

// ordered writes records with their times, which may be wrong, and the seconds in
// which they were made, 3 m each, in one of the formats.
var ordered = map[string]func(times, made []int) string{
	"fit": func(times, made []int) string {
		stamps := make([]int, len(times))
		for i, s := range times {
			stamps[i] = base + s
		}
		return string(fitRun(stamps, func(i int) float64 { return steady(made[i]) }).bytes())
	},
	"csv": func(times, made []int) string {
		return csvOf("t_s,distance_m,hr", len(times), func(i int) string { return fmt.Sprintf("%d,%g,140", times[i], steady(made[i])) })
	},
	"gpx": func(times, made []int) string {
		var points []string
		for i, s := range times {
			points = append(points, fmt.Sprintf(`<trkpt lat="%.7f" lon="7.5"><time>%s</time></trkpt>`, 45+float64(made[i])*2.7e-5, clockAt(s)))
		}
		return gpx(points...)
	},
	"tcx": func(times, made []int) string {
		var b strings.Builder
		b.WriteString(`<TrainingCenterDatabase><Activities><Activity Sport="Running"><Lap StartTime="2024-05-01T07:00:00Z"><TotalTimeSeconds>300</TotalTimeSeconds><Track>`)
		for i, s := range times {
			fmt.Fprintf(&b, "<Trackpoint><Time>%s</Time><DistanceMeters>%g</DistanceMeters></Trackpoint>", clockAt(s), steady(made[i]))
		}
		b.WriteString(`</Track></Lap></Activity></Activities></TrainingCenterDatabase>`)
		return b.String()
	},
}

func clockAt(second int) string {
	return time.Date(2024, 5, 1, 7, 0, second, 0, time.UTC).Format(time.RFC3339)
}

// In every format records in the wrong order are sorted, records of one time made
// one, and a time that does not belong where it stands costs its record, each
// with a warning at its place; the run is as long as it was.
func TestOrderOfRecords(t *testing.T) {
	straight := each(300, 0, 1)
	swapped := slices.Clone(straight)
	swapped[100], swapped[101] = swapped[101], swapped[100]
	later := slices.Concat(straight[:100], straight[110:120], straight[100:110], straight[120:])
	reversed := slices.Clone(straight)
	slices.Reverse(reversed)
	twice := slices.Insert(slices.Clone(straight), 150, 149)
	for format, write := range ordered {
		for _, c := range []struct {
			name        string
			times, made []int
			code        string
			from, to    float64 // of the warning
		}{
			{"straight", straight, straight, "", 0, 0},
			{"two changed places", swapped, swapped, BackwardTime, 100, 101},
			{"ten came late", later, later, BackwardTime, 100, 101},
			{"last first", reversed, reversed, BackwardTime, 0, 299},
			{"one twice", twice, twice, DuplicateTime, 149, 149},
			{"one of two seconds before", withSecond(straight, 200, 197), straight, StrayTime, 199, 199},
			{"one of an hour before", withSecond(straight, 200, -3400), straight, StrayTime, 199, 199},
			{"one of a year ahead", withSecond(straight, 200, 31_536_000), straight, StrayTime, 199, 199},
			{"the first of an hour ahead", withSecond(straight, 0, 3800), straight, StrayTime, 0, 0},
			{"the last of three hours ahead", withSecond(straight, 299, 9000), straight, StrayTime, 298, 298},
		} {
			r := readOne(t, "x."+format, write(c.times, c.made))
			found := slices.DeleteFunc(slices.Clone(r.Warnings), func(w Warning) bool {
				return !slices.Contains([]string{BackwardTime, DuplicateTime, StrayTime, ClockStep}, w.Code)
			})
			switch {
			case c.code == "" && len(found) == 0:
			case len(found) != 1 || found[0].Code != c.code || found[0].StartS > c.from || math.Abs(found[0].EndS-c.to) > 1:
				t.Errorf("%s, %s: %v, want %q from %g to %g", format, c.name, r.Warnings, c.code, c.from, c.to)
			}
			long := 299.0
			if c.code == StrayTime && strings.HasPrefix(c.name, "the ") {
				long--
			}
			got, _ := r.travelled()
			if format == "gpx" {
				got = r.trackLength() // which leaves out less than 10 m at the end
			}
			if r.Duration() != long || got > 3*long+1 || got < 3*long-10 {
				t.Errorf("%s, %s: %v s and %v m, want %v s and %v m", format, c.name, r.Duration(), got, long, 3*long)
			}
			if fault := invariant(r); fault != "" {
				t.Errorf("%s, %s: %s", format, c.name, fault)
			}
		}
	}
}

func withSecond(seconds []int, i, s int) []int {
	out := slices.Clone(seconds)
	out[i] = s
	return out
}
