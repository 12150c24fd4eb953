package recording

import "math"

// Codes of warnings; the package comment says what each means.
const (
	ClockNotSet      = "clock-not-set"
	ClockStep        = "clock-step"
	BackwardTime     = "backward-time"
	DuplicateTime    = "duplicate-time"
	MissingTime      = "missing-time"
	NoTimeZone       = "no-time-zone"
	SparseSampling   = "sparse-sampling"
	Gap              = "gap"
	TimerStops       = "timer-stops"
	NewTrack         = "new-track"
	EmptyLap         = "empty-lap"
	LapHeart255      = "lap-heart-rate-255"
	SpeedZero        = "speed-zero"
	OnlyDistance     = "only-distance"
	OnlyHeartRate    = "only-heart-rate"
	DistanceFalls    = "distance-falls"
	UnitSuspect      = "unit-suspect"
	TooFast          = "too-fast-for-a-run"
	HeartRateAllZero = "heart-rate-all-zero"
	HeartRateZero    = "heart-rate-zero"
	HeartRateApart   = "heart-rate-apart"
	CadenceInSteps   = "cadence-in-steps"
	ImpossibleValue  = "impossible-value"
	StrayValue       = "stray-value"
	StrayTime        = "stray-time"
	DistanceJump     = "distance-jump"
	PositionJump     = "position-jump"
	DeveloperField   = "developer-field"
	PaceUnit         = "pace-unit"
	BadCell          = "bad-cell"
	ColumnIgnored    = "column-ignored"
	CutShort         = "cut-short"
	WrongChecksum    = "wrong-checksum"
	WrongHeader      = "wrong-header"
	TrailingData     = "trailing-data"
	ZeroPadding      = "zero-padding"
	DamagedPart      = "damaged-part"
	LeadingSpace     = "leading-space"
	UndeclaredPrefix = "undeclared-prefix"
	TextEncoding     = "text-encoding"
	Joined           = "joined"
)

// wholeFile is a warning about the whole file.
func wholeFile(code, message string) Warning {
	return Warning{Code: code, Message: clipped(message), StartS: math.NaN(), EndS: math.NaN()}
}

// warnAll adds a warning about the whole recording.
func (r *Recording) warnAll(code, message string) {
	r.Warnings = append(r.Warnings, wholeFile(code, message))
}
