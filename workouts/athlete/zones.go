package athlete

// Zones divides the heart rate.
type Zones struct {
	Name   string    // of the classification; "own" when the athlete set them
	Source string    // publication, and of what the percentages are
	Lower  []float64 // beats/min, increasing; zone n begins at Lower[n-1]
}

// Bounds are the beats/min at which zone n begins and ends; high is 0 for the
// last, which is open. There is no zone when ok is false.
func (z Zones) Bounds(n int) (low, high float64, ok bool) {
	if n < 1 || n > len(z.Lower) {
		return 0, 0, false
	}
	if n < len(z.Lower) {
		high = z.Lower[n]
	}
	return z.Lower[n-1], high, true
}

// A classification is a published division in percent of the maximum or of
// the reserve.
type classification struct {
	name, source string
	ofReserve    bool
	lower        []float64 // percent
}

// classifications lists what "zones" of the athlete file may name; the first
// is the default.
var classifications = []classification{
	{
		// Five-zone endurance scale, 60-72, 72-82, 82-87, 88-93, 94-100 % of
		// the maximum. The fifth from memory.
		name: "seiler", source: "five-zone endurance scale, Seiler, percent of maximum",
		lower: []float64{60, 72, 82, 88, 94},
	}, {
		// Very light, light, moderate, vigorous, near maximal. Table 1 as
		// adapted from Garber; another reprint has 95 for 96.
		name: "acsm-max", source: "Garber et al. 2011, MSSE 43(7):1334-1359, percent of maximum",
		lower: []float64{0, 57, 64, 77, 96},
	}, {
		// The same classes; another reprint has 85 for 90.
		name: "acsm-reserve", source: "Garber et al. 2011, MSSE 43(7):1334-1359, percent of reserve", ofReserve: true,
		lower: []float64{0, 30, 40, 60, 90},
	},
}

// zones is the classification in beats/min; ok is false when the rates it
// needs are unknown (zero).
func (c classification) zones(maxHR, restHR float64) (z Zones, ok bool) {
	if maxHR <= 0 || c.ofReserve && restHR <= 0 {
		return Zones{}, false
	}
	z = Zones{Name: c.name, Source: c.source}
	for _, p := range c.lower {
		if c.ofReserve {
			z.Lower = append(z.Lower, Karvonen(p, maxHR, restHR))
		} else {
			z.Lower = append(z.Lower, p/100*maxHR)
		}
	}
	return z, true
}

// Karvonen is the heart rate at a percentage of the reserve, in beats/min:
// rest + p/100 (max - rest).
//
// Karvonen, Kentala, Mustala 1957, Ann. Med. Exp. Biol. Fenn. 35:307-315 (the
// paper from memory).
func Karvonen(percent, maxHR, restHR float64) float64 {
	return restHR + percent/100*(maxHR-restHR)
}

// Tanaka estimates the maximum heart rate from the age in years:
// 208 - 0.7 age, beats/min. Single people are often 10 beats and more away.
//
// Tanaka, Monahan, Seals 2001, JACC 37:153-156; it was about 5 beats too high
// for women who run marathons (Nikolaidis et al. 2018, Front. Physiol. 9:226).
func Tanaka(age float64) float64 { return 208 - 0.7*age }
