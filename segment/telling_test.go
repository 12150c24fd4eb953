package segment

import "example.org/rungs/segment/recording"

// A telling is one way to tell a recording by fewer of its streams; nil where it has too
// few.
type telling struct {
	name string
	tell func(r *recording.Recording) *recording.Recording
}

var tellings = []telling{
	{"no heart rate", func(r *recording.Recording) *recording.Recording {
		if r.HeartRate.Count() == 0 {
			return nil
		}
		c := *r
		c.HeartRate = recording.Stream{}
		return &c
	}},
	{"no laps", func(r *recording.Recording) *recording.Recording {
		if len(r.Laps) < 2 {
			return nil
		}
		c := *r
		c.Laps, c.Plan = nil, nil
		return &c
	}},
	{"distance only", func(r *recording.Recording) *recording.Recording {
		if r.Distance.Count()*2 < r.Len() || r.Speed.Count() == 0 {
			return nil
		}
		c := *r
		c.Speed, c.Latitude, c.Longitude = recording.Stream{}, recording.Stream{}, recording.Stream{}
		return &c
	}},
	{"speed only", func(r *recording.Recording) *recording.Recording {
		if r.Speed.Count()*2 < r.Len() || r.Distance.Count() == 0 {
			return nil
		}
		c := *r
		c.Distance, c.Latitude, c.Longitude = recording.Stream{}, recording.Stream{}, recording.Stream{}
		return &c
	}},
	{"every fifth record", func(r *recording.Recording) *recording.Recording {
		if r.Duration()/float64(r.Len()) > 1.5 {
			return nil
		}
		c := *r
		var keep []int
		for i := 0; i < r.Len(); i += 5 {
			keep = append(keep, i)
		}
		c.T = nil
		for _, i := range keep {
			c.T = append(c.T, r.T[i])
		}
		for _, s := range []struct{ from, to *recording.Stream }{{&r.Distance, &c.Distance}, {&r.Speed, &c.Speed}, {&r.HeartRate, &c.HeartRate}, {&r.Cadence, &c.Cadence}, {&r.Altitude, &c.Altitude}, {&r.Latitude, &c.Latitude}, {&r.Longitude, &c.Longitude}} {
			if s.from.Count() == 0 {
				continue
			}
			*s.to = recording.MakeStream(len(keep))
			for k, i := range keep {
				if v, ok := s.from.At(i); ok {
					s.to.Set(k, v)
				}
			}
		}
		return &c
	}},
}
