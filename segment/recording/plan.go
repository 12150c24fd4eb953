package recording

// A Plan is a planned workout as a device file stores it: a flat list of steps
// in which a repeat step points back at an earlier one. The workouts package
// turns it into a Workout.
type Plan struct {
	Name  string
	About string // its description
	Steps []PlanStep
}

// A PlanStep is one step of a Plan. Exactly one of TimeS, DistanceM and Repeat
// is positive; all zero means the step is open (ended by a button).
type PlanStep struct {
	Index     int // message index, which Lap.Step refers to
	Name      string
	Notes     string
	Intensity Intensity
	TimeS     float64
	DistanceM float64

	Repeat int // total number of passes over the steps from BackTo to here
	BackTo int // index of the step to go back to

	SpeedLow, SpeedHigh float64 // m/s; zero when there is no speed target
	HeartLow, HeartHigh float64 // beats/min when at least 100 apart from zero, see HeartPercent
	HeartPercent        bool    // HeartLow and HeartHigh are percent of maximum
	HeartZone           int     // 1 to 5; zero when there is no zone target

	Unsupported string // what of the step could not be kept, in words; empty when all was
}
