package match

import (
	"fmt"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

// A check of forty reps on a run of three hours.
func BenchmarkCheckFortyReps(b *testing.B) {
	d, ok := simulate.DeviceNamed("good watch, open sky")
	if !ok {
		b.Fatal("no such device")
	}
	sc := stage(b, "20:00 warm + 40 x 2:00 @ 4:00/km off 90s jog + 20:00 cool", 4.2, 1)
	s, _ := sc.run(d, 1, nil)
	s, err := segment.Split(s.Recording)
	if err != nil {
		b.Fatal(err)
	}
	for _, text := range []string{
		"20:00 warm + 40 x 2:00 @ 4:00/km off 90s jog + 20:00 cool",
		"40 x 800m off 200m jog",
		"20:00 warm + 4 x ( 10 x 400m @ 3:40/km off 60s stand ) off 3:00 walk + 20:00 cool",
		"40 x open off open jog",
		"20:00 warm + 10 x 800m @ 3:50/km off 400m jog + 10 x 400m @ 3:40/km off 200m jog + 20 x 30s off 30s jog",
	} {
		plan := parse(b, text)
		b.Run(fmt.Sprintf("%.40s", text), func(b *testing.B) {
			for b.Loop() {
				if _, err := Check(plan, s, Options{}); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}
