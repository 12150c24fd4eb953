package recording

import "math"

// Codes of warnings; the package comment says what each means.
const (
	ClockNotSet      = "clock-not-set"
	ClockStep        = "clock-step"
	BackwardTime     = "backward-time"
	DuplicateTime    = "duplicate-time"
	MissingTime      = "missing-time"
	HeartRateAllZero = "heart-rate-all-zero"
	HeartRateZero    = "heart-rate-zero"
	CadenceInSteps   = "cadence-in-steps"
	PaceUnit         = "pace-unit"
	BadCell          = "bad-cell"
	ColumnIgnored    = "column-ignored"
	NoTimeZone       = "no-time-zone"
	CutShort         = "cut-short"
	WrongChecksum    = "wrong-checksum"
	TrailingData     = "trailing-data"
	DamagedPart      = "damaged-part"
)

// warnAll adds a warning about the whole recording.
func (r *Recording) warnAll(code, message string) {
	r.Warn(code, message, math.NaN(), math.NaN())
}
