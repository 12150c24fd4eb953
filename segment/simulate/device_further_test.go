package simulate

import (
	"math"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
)

func further(t *testing.T, name string) Device {
	t.Helper()
	i := slices.IndexFunc(FurtherDevices(), func(d Device) bool { return d.Name == name })
	if i < 0 {
		t.Fatalf("no further device %q", name)
	}
	return FurtherDevices()[i]
}

// Every further device tells of a run of its place in the streams of its profile, with
// times that rise and a distance that never falls, and the same for the same seed.
func TestFurtherDevicesAreWellFormed(t *testing.T) {
	for _, place := range []recording.Place{recording.Outdoors, recording.Treadmill} {
		kind := "4 minute reps"
		if place == recording.Treadmill {
			kind = "treadmill 3 minute reps"
		}
		for _, d := range FurtherDevicesFor(place) {
			if found, ok := DeviceNamed(d.Name); !ok || found != d {
				t.Errorf("%s is not found by its name", d.Name)
			}
			for seed := range uint64(5) {
				r, _ := runOf(t, kind, d.Name, seed, nil)
				again, _ := runOf(t, kind, d.Name, seed, nil)
				for i, x := range r.T {
					if i > 0 && (x <= r.T[i-1] || d.Distance && r.Distance.Value[i] < r.Distance.Value[i-1]) {
						t.Fatalf("%s: record %d at %g s, %g m goes back", d.Name, i, x, r.Distance.Value[i])
					}
				}
				for _, c := range []struct {
					on       bool
					s, again recording.Stream
				}{{d.Speed, r.Speed, again.Speed}, {d.Distance, r.Distance, again.Distance}, {d.Positions, r.Latitude, again.Latitude}} {
					if c.on != (c.s.Count() > r.Len()*9/10) {
						t.Errorf("%s: %d values of %d, profile says %v", d.Name, c.s.Count(), r.Len(), c.on)
					}
					if !slices.Equal(c.s.Value, c.again.Value) {
						t.Errorf("%s: the same seed gives another recording", d.Name)
					}
				}
			}
		}
	}
}

// A held odometer keeps its value in 48 to 64 % of neighbouring records, never for more
// than 3 s while running, and ends where it would have without. These shares and the
// 3 s are those of an open recording.
func TestHeldOdometer(t *testing.T) {
	const name = "watch that holds its odometer"
	for seed := range uint64(20) {
		r, truth := runOf(t, "4 minute reps", name, seed, nil)
		free, _ := runOf(t, "4 minute reps", name, seed, func(d *Device) { d.HoldS = 0 })
		same, longest, run := 0.0, 0, 0
		var jumps []float64
		for i := 1; i < r.Len()-1; i++ {
			if step := r.Distance.Value[i] - r.Distance.Value[i-1]; step == 0 {
				same++
				run++
			} else {
				jumps, run = append(jumps, step), 0
			}
			if longest = max(longest, run+1); r.Distance.Value[i] > free.Distance.Value[i]+1e-9 {
				t.Fatalf("seed %d: %g m shown where %g were run", seed, r.Distance.Value[i], free.Distance.Value[i])
			}
		}
		if share := same / float64(r.Len()-2); share < 0.48 || share > 0.64 {
			t.Errorf("seed %d: %.1f %% of neighbouring records are the same", seed, 100*share)
		}
		if longest > 3 {
			t.Errorf("seed %d: a value stays for %d s", seed, longest)
		}
		if end := r.Len() - 1; r.Distance.Value[end] != free.Distance.Value[end] {
			t.Errorf("seed %d: ends at %g m, not %g", seed, r.Distance.Value[end], free.Distance.Value[end])
		}
		// Its speed is good: in the middle of a rep within .15 m/s of the truth, as scaled.
		for _, l := range truth.Legs {
			if l.Role != work {
				continue
			}
			var mean float64
			from, to := int(l.StartS)+30, int(l.EndS)-30
			for k := from; k < to; k++ {
				mean += r.Speed.Value[k] / float64(to-from)
			}
			if v := 1000 / l.PaceSPerKm * truth.Scale; math.Abs(mean-v) > 0.15 {
				t.Errorf("seed %d: speed %.2f in a rep at %.2f m/s", seed, mean, v)
			}
		}
		slices.Sort(jumps)
		if j := jumps[len(jumps)/2]; j < 4 || j > 14 {
			t.Errorf("seed %d: half of the jumps are below %.1f m", seed, j)
		}
	}
}

// The wandering scale has its standard deviation and correlation: from 40 runs of three
// hours, within 15 % and .12 (about 720 independent values).
func TestWanderingScale(t *testing.T) {
	d := further(t, "foot sensor with a wandering scale")
	var ss, sp, n float64
	for seed := range uint64(40) {
		o := newOdometer(d, 1.01, seed, 200)
		var x []float64
		for range 3 * 3600 {
			o.next(3, false, false, false)
			x = append(x, o.now/1.01-1)
		}
		for i := range len(x) - 600 {
			ss, sp, n = ss+x[i]*x[i], sp+x[i]*x[i+600], n+1
		}
	}
	if sd := math.Sqrt(ss / n); math.Abs(sd/0.007-1) > 0.15 {
		t.Errorf("sd %.5f, want .007", sd)
	}
	if c := sp / ss; math.Abs(c-1/math.E) > 0.12 {
		t.Errorf("correlation after 10 minutes %.2f, want %.2f", c, 1/math.E)
	}
	// Speed and distance wander together: over 5 minutes they differ by less than the scale does.
	r, _ := runOf(t, "long easy", d.Name, 2, func(d *Device) { d.SpeedNoise = 0 })
	for from := 300; from+300 < r.Len() && len(r.Stops) == 0; from += 300 {
		sum := 0.0
		for k := from; k < from+300; k++ {
			sum += r.Speed.Value[k+1]
		}
		if ratio := sum / (r.Distance.Value[from+300] - r.Distance.Value[from]); math.Abs(ratio-1) > 0.006 {
			t.Errorf("from %d s: speed tells %.4f of the distance", from, ratio)
		}
	}
}

// A mean of 10 s is late by 5 s at half of a step, and a first-order lag of 5 s by 5 ln 2
// = 3.5 s, against the same device without; a step that is itself a ramp makes it differ.
func TestSmoothedSpeedIsLate(t *testing.T) {
	for _, c := range []struct {
		name string
		want float64
	}{{"watch with the mean speed of 10 s", 5}, {"watch with a slow speed", 3.5}} {
		var late []float64
		for seed := range uint64(6) {
			r, truth := runOf(t, "4 minute reps", c.name, seed, func(d *Device) { d.SpeedNoise = 0 })
			sharp, _ := runOf(t, "4 minute reps", c.name, seed, func(d *Device) {
				d.SpeedNoise, d.SpeedOfS, d.LagUpS, d.LagDownS = 0, 0, 0, 0
			})
			crossing := func(r *recording.Recording, l, before TruthLeg) float64 {
				v0, v1 := 1000/before.PaceSPerKm, 1000/l.PaceSPerKm
				mid := (v0 + v1) / 2 * truth.Scale
				for k := int(l.StartS) - 3; k < int(l.StartS)+40; k++ {
					a, b := r.Speed.Value[k], r.Speed.Value[k+1]
					if (b > mid) == (v1 > v0) && (a > mid) != (v1 > v0) {
						return float64(k) + (mid-a)/(b-a)
					}
				}
				return math.NaN()
			}
			for i, l := range truth.Legs[1:] {
				if l.Role == work {
					if x := crossing(r, l, truth.Legs[i]) - crossing(sharp, l, truth.Legs[i]); !math.IsNaN(x) {
						late = append(late, x)
					}
				}
			}
		}
		mean := 0.0
		for _, x := range late {
			mean += x / float64(len(late))
		}
		if len(late) < 20 || math.Abs(mean-c.want) > 0.8 {
			t.Errorf("%s: late by %.2f s at %d edges, want %.1f", c.name, mean, len(late), c.want)
		}
	}
}

// A late correction gives back exactly what was not counted, hundreds of metres, within 7
// minutes of the last 3 tenths of the run.
func TestLateCorrection(t *testing.T) {
	const name = "watch that corrects itself late"
	for seed := range uint64(20) {
		r, _ := runOf(t, "long easy", name, seed, nil)
		right, _ := runOf(t, "long easy", name, seed, func(d *Device) { d.OweS = 0 })
		n := r.Len()
		var owed []float64
		most := 0.0
		for i := range n {
			owed = append(owed, right.Distance.Value[i]-r.Distance.Value[i])
			most = max(most, owed[i])
		}
		if most < 300 || most > 4500 {
			t.Errorf("seed %d: owes %.0f m", seed, most)
		}
		if math.Abs(owed[n-1]) > 0.02 || math.Abs(r.Summary.DistanceM-right.Summary.DistanceM) > 0.02 {
			t.Errorf("seed %d: still owes %.2f m at the end", seed, owed[n-1])
		}
		first := slices.IndexFunc(owed, func(x float64) bool { return x > most-0.02 })
		pays, paid := 0, 0
		for i := first; i < n; i++ {
			if owed[i] < most-0.02 && pays == 0 {
				pays = i
			}
			if owed[i] < 0.02 && paid == 0 {
				paid = i
			}
		}
		if at := r.T[pays] / r.Duration(); at < 0.7 || r.T[paid]-r.T[pays] > 425 {
			t.Errorf("seed %d: pays from %.2f of the run for %.0f s", seed, at, r.T[paid]-r.T[pays])
		}
	}
}

// The error of positions is an Ornstein-Uhlenbeck process, sd 2 to 4 m and 60 s, and a
// white part of .2 to .5 m: from the difference to the same fixes without error.
func TestPositionErrorHasMemory(t *testing.T) {
	d := further(t, "positions only, every second")
	calm := d
	calm.FixM, calm.FixWhiteM = 1e-9, 1e-9
	k, _ := KindNamed("long easy")
	var ss, s1, s60, n float64
	for seed := range uint64(12) {
		s := k.Make(seed)
		a, _ := Run(s, d, seed)
		b, _ := Run(s, calm, seed)
		var e []float64
		own := 0.0
		for i := range a.T {
			e = append(e, (a.Latitude.Value[i]-b.Latitude.Value[i])*math.Pi/180*6378900)
			own += e[i] * e[i] / float64(a.Len())
		}
		// With 90 minutes of 60 s memory an sd is known to 11 %; of 2 to 4.03 m.
		if sd := math.Sqrt(own); sd < 1.3 || sd > 5.4 {
			t.Errorf("seed %d: sd %.2f m", seed, sd)
		}
		for i := range len(e) - 60 {
			ss, n = ss+e[i]*e[i], n+1
			s1 += (e[i+1] - e[i]) * (e[i+1] - e[i]) / 2
			s60 += e[i] * e[i+60]
		}
	}
	if c := s60 / ss; math.Abs(c-1/math.E) > 0.1 {
		t.Errorf("correlation after 60 s %.3f, want %.3f", c, 1/math.E)
	}
	// Half the mean squared step is the white variance and sd^2 (1 - e^(-1/60)): with the
	// mean squares of even draws from .2 to .5 and 2 to 4, .13 + 9.33 x .0165 = .284 m2.
	if v := s1 / n; math.Abs(v/0.284-1) > 0.35 {
		t.Errorf("half the mean squared step is %.3f m2, want .284", v)
	}
}

// On the treadmill a flattening wrist shows a step of speed as .75 to .95 of what it shows
// unflattened, in distance too, and the whole run right but for the scale, which stays
// within two sd of 2.5 %.
func TestFlattenedSpeed(t *testing.T) {
	lo, hi := 1.0, 0.0
	for seed := range uint64(30) {
		steps := func(flat bool) (speed, metres float64, r *recording.Recording, truth Truth) {
			r, truth = runOf(t, "treadmill 3 minute reps", "wrist that flattens speed on the treadmill", seed, func(d *Device) {
				d.SpeedNoise, d.OdoNoise, d.OdoWhite = 0, 0, 0
				if !flat {
					d.FlatFrom, d.FlatTo = 0, 0
				}
			})
			rep, rest := int(truth.Legs[1].EndS)-20, int(truth.Legs[2].EndS)-20
			shown := func(k int) float64 { return (r.Distance.Value[k+10] - r.Distance.Value[k-10]) / 20 }
			return r.Speed.Value[rep] - r.Speed.Value[rest], shown(rep) - shown(rest), r, truth
		}
		speed, metres, r, truth := steps(true)
		speed0, metres0, _, _ := steps(false)
		b := speed / speed0
		lo, hi = min(lo, b), max(hi, b)
		if b < 0.745 || b > 0.955 {
			t.Errorf("seed %d: a step is shown as %.3f of it", seed, b)
		}
		if math.Abs(metres/metres0-b) > 0.01 {
			t.Errorf("seed %d: speed shows %.3f of a step, distance %.3f", seed, b, metres/metres0)
		}
		total := 0.0
		for _, l := range truth.Legs {
			total += l.DistanceM
		}
		if x := r.Summary.DistanceM / truth.Scale / total; math.Abs(x-1) > 0.01 {
			t.Errorf("seed %d: the whole is told as %.3f of it", seed, x)
		}
		if math.Abs(truth.Scale-1) > 0.0501 {
			t.Errorf("seed %d: scale %.4f", seed, truth.Scale)
		}
	}
	if hi-lo < 0.1 {
		t.Errorf("slopes of %.2f to %.2f hardly differ between runs", lo, hi)
	}
}
