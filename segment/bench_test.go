package segment_test

import (
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/internal/opendata"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// BenchmarkSplit splits whole recordings of about an hour: reps, many short
// reps, sets, hills and a steady run.
func BenchmarkSplit(b *testing.B) {
	for _, name := range []string{"4 minute reps", "short 30/30", "sets of 400s", "hill reps", "marathon-effort blocks", "plain easy", "easy with traffic lights"} {
		kind, ok := simulate.KindNamed(name)
		if !ok {
			b.Fatalf("no kind %q", name)
		}
		for _, device := range []string{"good watch, open sky", "watch with zero speed"} {
			d, ok := simulate.DeviceNamed(device)
			if !ok {
				b.Fatalf("no device %q", device)
			}
			r, _ := simulate.Run(kind.Make(7), d, 7)
			b.Run(name+"/"+device, func(b *testing.B) {
				b.ReportAllocs()
				for b.Loop() {
					if _, err := segment.Split(r); err != nil {
						b.Fatal(err)
					}
				}
				b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/(r.Duration()/3600), "ms/hour")
			})
		}
	}
}

// BenchmarkReal splits all open recordings, where they are.
func BenchmarkReal(b *testing.B) {
	var list []*recording.Recording
	hours := 0.0
	for _, path := range opendata.Runs(b) {
		read, err := recording.Open(path)
		if err != nil {
			b.Fatal(err)
		}
		list = append(list, read[0])
		hours += read[0].Duration() / 3600
	}
	for b.Loop() {
		for _, r := range list {
			if _, err := segment.Split(r); err != nil {
				b.Fatal(err)
			}
		}
	}
	b.ReportMetric(b.Elapsed().Seconds()*1000/float64(b.N)/hours, "ms/hour")
}
