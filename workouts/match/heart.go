package match

import (
	"example.org/rungs/segment"
	"example.org/rungs/segment/signal"
)

// Speeds that stand for the parts of a session of which only the heart rate is known,
// m/s: any two that are plainly apart would do.
const (
	heartWorkMPS = 4.0
	heartEasyMPS = 2.5
)

// byHeart is a session of which nothing but the heart rate is known, in the shape that
// the alignment reads: work and the rest stand apart as the split without the plan
// found them. It has no distances and no paces. Nil when there is no heart rate either.
func byHeart(s *segment.Session) *segment.Session {
	if s == nil || s.Trace == nil || s.Trace.Source != signal.Nothing || len(s.Segments) == 0 {
		return nil
	}
	end := s.Segments[len(s.Segments)-1].EndS
	n := int(end)
	if n < 2 || end > 1e9 || !anyKnown(s.Trace.HeartRate) {
		return nil
	}
	tr := *s.Trace
	tr.Speed, tr.Dist, tr.Shown = make([]float64, n), make([]float64, n+1), nil
	k := 0
	for i := range n {
		for k+1 < len(s.Segments) && float64(i)+0.5 >= s.Segments[k].EndS {
			k++
		}
		v := heartEasyMPS
		switch s.Segments[k].Role {
		case segment.Work:
			v = heartWorkMPS
		case segment.Stop:
			v = 0
		}
		tr.Speed[i], tr.Dist[i+1] = v, tr.Dist[i]+v
	}
	out := *s
	out.Trace = &tr
	return &out
}

func anyKnown(v []float64) bool {
	for _, x := range v {
		if x > 0 {
			return true
		}
	}
	return false
}

// blind tells whether distances and paces are not known.
func blind(s *segment.Session) bool { return s.Trace.Source == signal.Nothing }
