package segment

import (
	"math"
	"math/rand/v2"

	"example.org/rungs/segment/recording"
)

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
		return kept(r, func(i int) bool { return i%5 == 0 })
	}},
	{"a record every 2 s", func(r *recording.Recording) *recording.Recording { return sparse(r, 2) }},
	{"a record every 8 s", func(r *recording.Recording) *recording.Recording { return sparse(r, 8) }},
	{"a noisy odometer", func(r *recording.Recording) *recording.Recording {
		if r.Distance.Count()*2 < r.Len() {
			return nil
		}
		c := *r
		c.Distance = recording.MakeStream(r.Len())
		rng, e := rand.New(rand.NewPCG(uint64(r.Len()), 1)), 0.0
		for i := range r.T {
			e = 0.8*e + 0.8*rng.NormFloat64()
			if d, ok := r.Distance.At(i); ok {
				c.Distance.Set(i, d+e)
			}
		}
		return &c
	}},
}

// sparse keeps a record every so many seconds.
func sparse(r *recording.Recording, every float64) *recording.Recording {
	last := math.Inf(-1)
	return kept(r, func(i int) bool {
		if r.T[i] < last+every {
			return false
		}
		last = r.T[i]
		return true
	})
}

// kept is a recording of which some records are left; use is asked once for each, in order.
func kept(r *recording.Recording, use func(i int) bool) *recording.Recording {
	c := *r
	c.T, c.Stage = nil, nil
	var list []int
	for i := range r.T {
		if use(i) {
			list, c.T = append(list, i), append(c.T, r.T[i])
		}
	}
	for _, s := range []struct{ from, to *recording.Stream }{{&r.Distance, &c.Distance}, {&r.Speed, &c.Speed}, {&r.HeartRate, &c.HeartRate},
		{&r.Cadence, &c.Cadence}, {&r.Altitude, &c.Altitude}, {&r.Latitude, &c.Latitude}, {&r.Longitude, &c.Longitude}} {
		if s.from.Count() == 0 {
			continue
		}
		*s.to = recording.MakeStream(len(list))
		for k, i := range list {
			if v, ok := s.from.At(i); ok {
				s.to.Set(k, v)
			}
		}
	}
	return &c
}
