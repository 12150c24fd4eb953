package segment

import (
	"path/filepath"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

func BenchmarkReal(b *testing.B) {
	files, _ := filepath.Glob("../../shared/data/real-*.csv")
	var list []*recording.Recording
	hours := 0.0
	for _, f := range files {
		l, err := recording.Open(f)
		if err != nil {
			b.Fatal(err)
		}
		list = append(list, l[0])
		hours += l[0].Duration() / 3600
	}
	var traces []*signal.Trace
	for _, r := range list {
		traces = append(traces, signal.Build(r))
	}
	b.Run("trace", func(b *testing.B) {
		for b.Loop() {
			for _, r := range list {
				signal.Build(r)
			}
		}
		b.ReportMetric(float64(b.Elapsed().Microseconds())/1000/float64(b.N)/hours, "ms/h")
	})
	b.Run("read", func(b *testing.B) {
		n := 0
		for b.Loop() {
			for i, r := range list {
				_, _, _, l := readAll(r, traces[i])
				n += len(l)
			}
		}
		b.ReportMetric(float64(b.Elapsed().Microseconds())/1000/float64(b.N)/hours, "ms/h")
		b.ReportMetric(float64(n)/float64(b.N)/float64(len(list)), "readings")
	})
}
