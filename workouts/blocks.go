package workouts

import (
	"math"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/figures"
)

// FromBlocks writes the structure found in a recording as a workout. Amounts
// are rounded to whole seconds and metres (miles to a thousandth), the paces
// of work steps to whole seconds per km.
func FromBlocks(blocks []segment.Block) Workout { return FromBlocksIn(blocks, PerKm) }

// FromBlocksIn is FromBlocks with paces in whole seconds per km or per mile.
func FromBlocksIn(blocks []segment.Block, unit PaceUnit) Workout {
	return Workout{Items: itemsFromBlocks(blocks, unit)}.Normal()
}

func itemsFromBlocks(blocks []segment.Block, unit PaceUnit) []Item {
	var items []Item
	for _, b := range blocks {
		it := Item{Count: b.Count}
		if len(b.Body) > 0 {
			it.Body = itemsFromBlocks(b.Body, unit)
		} else {
			it.Step = stepFromBlock(b, unit)
		}
		if b.Rest != nil {
			rest := stepFromBlock(*b.Rest, unit)
			it.Rest = &rest
		}
		items = append(items, it)
	}
	return items
}

func stepFromBlock(b segment.Block, unit PaceUnit) Step {
	s := Step{Amount: amountFromBlock(b.Amount)}
	switch b.Role {
	case segment.Warm:
		s.Manner = Warm
	case segment.Cool:
		s.Manner = Cool
	case segment.Easy:
		s.Manner = Easy
	case segment.Work:
		s.Manner = Work
		if b.Pace > 0 && !math.IsInf(b.Pace, 0) {
			pace := b.Pace
			if unit == PerMile {
				pace *= kmPerMile
			}
			s.Target = Target{Kind: PaceTarget, From: MakePace(math.Round(pace), unit)}
		}
	default:
		switch m := Manner(b.Manner); {
		case b.Role == segment.Stop:
			s.Manner, s.Amount = Stand, amountFromBlock(segment.Amount{Seconds: b.Amount.Seconds})
		case m == Stand && s.Amount.Kind != Distance:
			s.Manner = Stand
		case m == Stand: // over a distance, which nobody stands
			s.Manner = Walk
		case m == Float, m == Easy, m == Walk:
			s.Manner = m
		default:
			s.Manner = Jog
		}
	}
	return s
}

func amountFromBlock(a segment.Amount) Amount {
	switch {
	case a.Mile && a.Metres > 0:
		return Miles(math.Max(math.Round(a.Metres/figures.MetresPerMile*1000), 1) / 1000)
	case a.Metres > 0:
		return Metres(math.Max(math.Round(a.Metres), 1))
	case a.Seconds > 0:
		return Seconds(math.Max(math.Round(a.Seconds), 1))
	}
	return Amount{Kind: Open}
}
