package chart

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"time"
)

// An Axis maps values to places, linearly. From is at the left or bottom, To
// at the right or top; From may be the larger.
type Axis struct {
	Name     string // printed at its end; of the x axis only
	From, To float64
	Scale    Scale // where its ticks are; nil for none
}

// A Tick is a labelled place on an axis.
type Tick struct {
	At   float64
	Text string
}

// A Scale chooses at most so many ticks between two values.
type Scale func(from, to float64, most int) []Tick

// at is the place of v, as a share of the axis.
func (a Axis) at(v float64) float64 { return (v - a.From) / (a.To - a.From) }

// even are the multiples of the finest of the steps that give no more than
// most ticks; the coarsest step when all give more.
func even(from, to float64, most int, steps []float64, text func(float64) string) []Tick {
	lo, hi := min(from, to), max(from, to)
	if !(hi > lo) || math.IsInf(hi-lo, 0) || len(steps) == 0 {
		return nil
	}
	step := steps[len(steps)-1]
	for _, s := range steps {
		if math.Floor(hi/s)-math.Ceil(lo/s)+1 <= float64(max(most, 2)) {
			step = s
			break
		}
	}
	var ticks []Tick
	for k := math.Ceil(lo/step - 1e-9); k*step <= hi+1e-9*step && len(ticks) < 100; k++ {
		ticks = append(ticks, Tick{k * step, text(k * step)})
	}
	return ticks
}

// Numbers has ticks at 1, 2 and 5 times powers of ten, with so many decimals.
func Numbers(decimals int) Scale {
	return func(from, to float64, most int) []Tick {
		var steps []float64
		for e := -decimals; e < 9; e++ {
			for _, m := range []float64{1, 2, 5} {
				steps = append(steps, m*math.Pow10(e))
			}
		}
		return even(from, to, most, steps, func(v float64) string {
			return strconv.FormatFloat(v+0, 'f', decimals, 64)
		})
	}
}

// Clock has ticks of an axis in seconds, as 5:00 or 1:05:00.
func Clock(from, to float64, most int) []Tick {
	steps := []float64{1, 2, 5, 10, 15, 30, 60, 120, 300, 600, 900, 1200, 1800, 3600, 7200, 10800, 21600, 43200, 86400}
	return even(from, to, most, steps, clock)
}

// Pace has ticks of an axis in s/km, at clean paces for a unit that is so many
// kilometres long.
func Pace(unitKm float64) Scale {
	return func(from, to float64, most int) []Tick {
		steps := []float64{1, 2, 5, 10, 15, 20, 30, 60, 120, 300, 600}
		ticks := even(from*unitKm, to*unitKm, most, steps, clock)
		for i := range ticks {
			ticks[i].At /= unitKm
		}
		return ticks
	}
}

// SpeedAsPace has ticks of an axis in m/s, at clean paces for a unit that is so
// many kilometres long: the rounder first, the finer where there is room.
func SpeedAsPace(unitKm float64) Scale {
	return func(from, to float64, most int) []Tick {
		lo, hi := max(min(from, to), 1000*unitKm/1800), max(from, to)
		apart := math.Abs(to-from) / float64(max(most, 2))
		if !(hi > lo) || !(apart > 0) || hi > 100 {
			return nil
		}
		var ticks []Tick
		for _, step := range []float64{600, 300, 60, 30, 15, 5, 1} {
			var more []Tick
			last := math.NaN()
			for k := math.Ceil(1000 * unitKm / hi / step); k*step <= 1000*unitKm/lo; k++ {
				at := 1000 * unitKm / (k * step)
				near := math.Abs(at-last) < apart
				for _, t := range ticks {
					near = near || math.Abs(at-t.At) < apart
				}
				if !near {
					more, last = append(more, Tick{at, clock(k * step)}), at
				}
			}
			if ticks = append(ticks, more...); step <= 30 && len(ticks) >= 4 {
				break
			}
		}
		slices.SortFunc(ticks, func(a, b Tick) int { return cmp.Compare(a.At, b.At) })
		return ticks
	}
}

// Dates has ticks at days, in days from the first of them, as many as fit.
func Dates(days []time.Time) Scale {
	layout := "2 Jan"
	if days[0].Year() != days[len(days)-1].Year() {
		layout = "2 Jan 06"
	}
	return func(from, to float64, most int) []Tick {
		var ticks []Tick
		apart := (to - from) / float64(max(most, 1))
		before := math.Inf(-1)
		for _, d := range days {
			if x := d.Sub(days[0]).Hours() / 24; x-before >= apart {
				ticks = append(ticks, Tick{At: x, Text: d.Format(layout)})
				before = x
			}
		}
		return ticks
	}
}

// Given has the ticks given, every second or third when there are too many.
func Given(ticks ...Tick) Scale {
	return func(from, to float64, most int) []Tick {
		every := (len(ticks) + max(most, 1) - 1) / max(most, 1)
		var some []Tick
		for i := 0; i < len(ticks); i += max(every, 1) {
			some = append(some, ticks[i])
		}
		return some
	}
}

// clock prints seconds as 4:05 or 1:02:11.
func clock(s float64) string {
	n := int64(math.Round(s))
	if n >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", n/3600, n/60%60, n%60)
	}
	return fmt.Sprintf("%d:%02d", n/60, n%60)
}
