package signal

import (
	"testing"

	"example.org/rungs/segment/recording"
)

// anHour is a session of an hour with all streams each second.
func anHour() *recording.Recording {
	c := intervals(10, 180, 4.2, 78, 2.3)
	c = append(c, leg{3600 - c.seconds(), 2.7})
	r := twoStreams(c, 1)
	altitude, _ := waves(0.03)
	r.Altitude = stream(r, func(t float64) float64 { return altitude(c.metres(t)) })
	r.HeartRate = filled(append(response(c, HeartGain, HeartTauS), 140)...)
	r.Cadence = stream(r, func(t float64) float64 { return 137.5 + 9*c.speed(t) })
	withPositions(r, c.metres)
	return r
}

func BenchmarkBuild(b *testing.B) {
	for _, x := range []struct {
		name   string
		change func(r *recording.Recording)
	}{
		{"Fused", func(*recording.Recording) {}},
		{"Odometer", func(r *recording.Recording) { r.Speed = recording.Stream{} }},
		{"Positions", func(r *recording.Recording) { r.Speed, r.Distance = recording.Stream{}, recording.Stream{} }},
		{"HeartRate", func(r *recording.Recording) {
			r.Speed, r.Distance, r.Latitude = recording.Stream{}, recording.Stream{}, recording.Stream{}
		}},
	} {
		b.Run(x.name, func(b *testing.B) {
			r := anHour()
			x.change(r)
			if tr := Build(r); tr.Fused != (x.name == "Fused") {
				b.Fatalf("source %s, fused %v", tr.Source, tr.Fused)
			}
			b.ReportAllocs()
			for b.Loop() {
				Build(r)
			}
			b.ReportMetric(1, "hours/op")
		})
	}
}
