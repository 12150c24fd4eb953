package segment

import (
	"math"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// TestInLaps: who runs on a track is back after every lap, which positions tell where the
// device does not; nobody else is, and without positions nothing is known.
func TestInLaps(t *testing.T) {
	watch, _ := simulate.DeviceNamed("good watch, open sky")
	told := map[recording.Place]int{}
	for seed := range uint64(60) {
		s := simulate.Grammar(seed)
		if s.Place == recording.Treadmill {
			continue
		}
		r, _ := simulate.Run(s, watch, seed)
		track := s.Place == recording.Track
		if got := inLaps(r); track && !got {
			t.Errorf("seed %d: a run that is said to be on a track is not in laps", seed)
		}
		r.Place = recording.PlaceUnknown
		if got := inLaps(r); got != track {
			t.Errorf("seed %d, %s: in laps: %t", seed, s.Place, got)
		}
		told[s.Place]++
		r.Longitude = recording.Stream{}
		if inLaps(r) {
			t.Errorf("seed %d: in laps without a longitude", seed)
		}
	}
	if told[recording.Track] < 5 || told[recording.Outdoors] < 20 {
		t.Fatalf("only %v were tried", told)
	}
}

// TestWindOnNoTrack: rep and recovery that add up to 400 m by chance are no wind, but on a track.
func TestWindOnNoTrack(t *testing.T) {
	speed := make([]float64, 2400) // reps of 60 s, 210 m, and recoveries of 60 s, 190 m
	dist := make([]float64, len(speed)+1)
	for i := range speed {
		speed[i] = 190. / 60
		if i >= 600 && i < 1800 && i/60%2 == 0 {
			speed[i] = 210. / 60
		}
		dist[i+1] = dist[i] + speed[i]
	}
	for _, on := range []bool{false, true} {
		j := judgeOf(speed, 0.1)
		j.tr.Dist, j.laps = dist, func() bool { return on }
		r := reading{labelling: labelling{before: j.piece(0, 600), after: j.piece(1740, 2400)}}
		for i := 600; i < 1740; i += 120 {
			if i > 600 {
				r.between = append(r.between, j.piece(i-60, i))
			}
			r.works = append(r.works, j.piece(i, i+60))
		}
		r.paces = j.paces(r.labelling)
		j.lapped(&r)
		want := 0.0
		if on {
			want = 9 * (1.5 - 10*math.Log(210./190))
		}
		if got := r.features[everyLap]; math.Abs(got-want) > 1e-9 {
			t.Errorf("in laps %t: %v counts as wind, want %v", on, got, want)
		}
	}
}
