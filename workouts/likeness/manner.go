package likeness

import (
	"math"

	"example.org/rungs/workouts"
)

// A class is what the manners of recoveries are told apart by.
type class int

const (
	anyhow class = iota
	stood
	walked
	jogged
	floated
)

func classOf(m workouts.Manner) class {
	switch m {
	case workouts.Unsaid:
		return anyhow
	case workouts.Stand:
		return stood
	case workouts.Walk:
		return walked
	case workouts.Float, workouts.Steady:
		return floated
	}
	return jogged
}

// sameManner tells whether two recoveries may have been taken alike.
func sameManner(a, b stretch) bool {
	switch planA, planB := math.IsNaN(a.speed), math.IsNaN(b.speed); {
	case planA && planB:
		x, y := classOf(a.manner), classOf(b.manner)
		return x == y || x == anyhow || y == anyhow
	case planA:
		return mayBe(classOf(a.manner), b)
	case planB:
		return mayBe(classOf(b.manner), a)
	}
	// Both were run: within a factor of two, standing and strolling alike.
	return a.speed < 2*b.speed+0.5 && b.speed < 2*a.speed+0.5
}

// mayBe tells whether a recovery that was run may have been meant so. The
// ranges overlap, as people do: common practice, no source. Walking turns into
// running at about 2 m/s.
func mayBe(c class, s stretch) bool {
	switch c {
	case stood:
		return s.speed < 1
	case walked:
		return s.speed > 0.6 && s.speed < 2.1
	case jogged:
		return s.speed > 1.7 && s.share < 0.8
	case floated:
		return s.share > 0.72
	}
	return true
}
