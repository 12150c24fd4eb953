package recording_test

import (
	"errors"
	"fmt"
	"log"
	"strings"

	"example.org/rungs/segment/recording"
)

// The format is told by the content. Oddities are warnings, not errors.
func ExampleRead() {
	const csv = `t_s,distance_m,heart_rate
0,0,120
1,2.9,121
2,5.8,0
3,8.7,123
`
	recordings, err := recording.Read("run.csv", strings.NewReader(csv))
	if err != nil {
		log.Fatal(err)
	}
	r := recordings[0]
	fmt.Printf("%s, %d records, %.0f s\n", r.Format, r.Len(), r.Duration())
	for i, t := range r.T {
		if r.HeartRate.Valid[i] {
			fmt.Printf("%.0f s: %.1f m, %.0f beats/min\n", t, r.Distance.Value[i], r.HeartRate.Value[i])
		} else {
			fmt.Printf("%.0f s: %.1f m\n", t, r.Distance.Value[i])
		}
	}
	for _, w := range r.Warnings {
		fmt.Println(w.Code)
	}
	// Output:
	// csv, 4 records, 3 s
	// 0 s: 0.0 m, 120 beats/min
	// 1 s: 2.9 m, 121 beats/min
	// 2 s: 5.8 m
	// 3 s: 8.7 m, 123 beats/min
	// heart-rate-zero
}

// What cannot be read says why, and what to do.
func ExampleError() {
	_, err := recording.Read("notes.csv", strings.NewReader("monday,tuesday\n5 km,rest\n"))
	var bad *recording.Error
	if errors.As(err, &bad) {
		fmt.Println(bad.Reason)
		fmt.Println(bad.Hint)
	}
	// Output:
	// is text, and no recording: its first line is "monday,tuesday"
	// give a FIT, GPX or TCX file, or a CSV file whose first line names its columns (t_s or time, and distance_m, speed_mps, pace, hr_bpm ...)
}

// A degree of longitude at the equator of WGS84, and near a pole.
func ExampleGeodesic() {
	fmt.Printf("%.0f m\n", recording.Geodesic(0, 5, 0, 6))
	fmt.Printf("%.0f m\n", recording.Geodesic(89, 5, 89, 6))
	// Output:
	// 111319 m
	// 1949 m
}

// Laps that the device made by itself are no presses of the button.
func ExamplePresses() {
	lap := func(start, end float64, by recording.Trigger) recording.Lap {
		return recording.Lap{Span: recording.Span{StartS: start, EndS: end}, Trigger: by, Step: -1}
	}
	fmt.Println(recording.Presses([]recording.Lap{
		lap(0, 600, recording.ManualTrigger), lap(600, 840, recording.ManualTrigger),
		lap(840, 1100, recording.DistanceTrigger), lap(1100, 1400, recording.TriggerUnknown),
	}))
	// Output:
	// [600 840]
}
