package block

import (
	"cmp"
	"math"
	"slices"

	"example.org/rungs/segment/signal"
	"example.org/rungs/workouts/athlete"
)

// HeartTime is time by heart rate, while the device's timer ran.
type HeartTime struct {
	ZonesS   []float64 // by zone
	BelowS   float64   // below the first zone
	KnownS   float64   // with a heart rate that is believed
	MissingS float64   // without one
	LockedS  float64   // with one that follows the cadence
	Without  int       // sessions without any

	WorkS      float64 // of the work: with a heart rate that is believed
	WorkUpperS float64 // and in the upper two zones
}

// UpperTwoS is the time in the upper two zones.
func (h HeartTime) UpperTwoS() float64 {
	sum := 0.0
	for i := max(0, len(h.ZonesS)-2); i < len(h.ZonesS); i++ {
		sum += h.ZonesS[i]
	}
	return sum
}

func (h *HeartTime) add(r Run, z athlete.Zones) {
	h.MissingS += r.NoHeartS
	h.LockedS += r.LockedS
	if !r.Sensor {
		h.Without++
	}
	for e := range efforts {
		known := r.Heart[e].Seconds(0, math.Inf(1))
		h.KnownS += known
		if e == AtWork {
			h.WorkS += known
		}
		for n := 1; n <= len(z.Lower); n++ {
			low, high, _ := z.Bounds(n)
			if high == 0 {
				high = math.Inf(1)
			}
			// A rate was rounded to 0.1 when it was counted: the bound is too, so
			// that one that is exactly on it belongs to the zone above.
			t := r.Heart[e].Seconds(beats(low), beats(high))
			h.ZonesS[n-1] += t
			if e == AtWork && n >= len(z.Lower)-1 {
				h.WorkUpperS += t
			}
		}
		if len(z.Lower) > 0 {
			h.BelowS += r.Heart[e].Seconds(0, beats(z.Lower[0]))
		}
	}
}

// beats is a bound in units of the tally; the last bits of a percentage do not
// lift it above the rate it means.
func beats(bpm float64) float64 { return bpm*perBeat - 1e-6 }

// A PaceZone is the paces about one of the athlete's reference paces, or those
// slower or quicker than all of them.
type PaceZone struct {
	Name      string
	Reference float64 // s/km; 0 for slower and quicker
	Slow      float64 // s/km, its slow end; +Inf for slower
	Quick     float64 // s/km, its quick end; 0 for quicker
	Estimated bool    // the reference was worked out from a race
}

// lowSpeed and highSpeed bound the zone in units of the tally.
func (z PaceZone) lowSpeed() float64  { return 1000 / z.Slow * perMetre }
func (z PaceZone) highSpeed() float64 { return 1000 / z.Quick * perMetre }

// paceMargin is how far from the slowest and quickest reference a pace may be
// and still count as one: the tolerance that a target has elsewhere.
const paceMargin = 0.03

// raceNames are the references that a race stands for when the athlete has set
// none.
var raceNames = []string{"marathon", "half", "10k", "5k"}

// paceZones divides the paces among the athlete's reference paces: a pace
// belongs to the nearest by speed. Without any there are none.
func paceZones(a athlete.Athlete) []PaceZone {
	var zones []PaceZone
	var names []string
	for name := range a.Paces {
		names = append(names, name)
	}
	if len(names) == 0 && a.Race != nil {
		names = raceNames
	}
	for _, name := range names {
		if r, ok := a.Reference(name); ok && r.SecPerKm > 0 {
			zones = append(zones, PaceZone{Name: name, Reference: r.SecPerKm, Estimated: r.Estimated})
		}
	}
	if len(zones) == 0 {
		return nil
	}
	slices.SortFunc(zones, func(x, y PaceZone) int {
		return cmp.Or(cmp.Compare(y.Reference, x.Reference), cmp.Compare(x.Name, y.Name))
	})
	zones = slices.CompactFunc(zones, func(x, y PaceZone) bool { return x.Reference == y.Reference })
	for i := range zones {
		z := &zones[i]
		z.Slow, z.Quick = z.Reference*(1+paceMargin), z.Reference*(1-paceMargin)
		if i > 0 {
			z.Slow = zones[i-1].Quick
		}
		if i+1 < len(zones) {
			z.Quick = 2 / (1/z.Reference + 1/zones[i+1].Reference) // in the middle by speed
		}
	}
	slower := PaceZone{Name: "slower", Slow: math.Inf(1), Quick: zones[0].Slow}
	quicker := PaceZone{Name: "quicker", Slow: zones[len(zones)-1].Quick}
	return append(append([]PaceZone{slower}, zones...), quicker)
}

// HeartShows is the share of a change of effort that the heart rate shows on
// average over so many seconds from the change on.
func HeartShows(seconds float64) float64 {
	return 1 - signal.HeartTauS/seconds*(1-math.Exp(-seconds/signal.HeartTauS))
}
