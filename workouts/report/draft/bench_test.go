package draft

import (
	"maps"
	"slices"
	"strings"
	"testing"

	"example.org/rungs/workouts/athlete"
)

// hostile are texts that cost the most, as long as they may be.
var hostile = map[string]string{
	"many-steps":   "4 x ( 5 x ( 99 x 5s off 2s jog ) off 1:00 jog ) off 60s jog",
	"long-list":    strings.Repeat("1:00+", MostTyped/5-1) + "1:00",
	"most-drawn":   "100 x 30s off 30s jog",
	"deep":         strings.Repeat("2 x ( 5s + ", 7) + "5s" + strings.Repeat(" )", 7),
	"comments":     strings.Repeat("# a comment\n", 600) + "8km easy",
	"open-groups":  strings.Repeat("(", MostTyped),
	"mistakes":     strings.Repeat("1kms + ", MostTyped/7),
	"one-line":     "5 x 4:00 off 90s jog + " + strings.Repeat("x", 8000),
	"far-mistakes": strings.Repeat("1:00 # ok\n", 800) + "1kms",
	"astral":       strings.Repeat("🏃", MostTyped/4),
	"no-text":      strings.Repeat("\xff", MostTyped),
	"too-long":     strings.Repeat("1:00 + ", 100000),
	"markup":       "name: <script>alert(1)</script> & \"'\n5 x 4:00 @ </svg><img src=x onerror=alert(1)> off 90s jog",
	"directions":   "name: \u202egnp.txt\x1b[31m\n5 x 4:00 off 90s jog",
}

const track = "15:00 warm + 2 x ( 5 x 400m @ 3:30-3:40/km off 200m jog ) off 800m jog + 10:00 cool"

func BenchmarkOf(b *testing.B) {
	a := athlete.New()
	texts := maps.Clone(hostile)
	texts["session"] = track
	for _, name := range slices.Sorted(maps.Keys(texts)) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				Of(texts[name], a)
			}
		})
	}
}
