package session

import "example.org/rungs/workouts/report"

// Decimals by kind of figure: finer than any device measures, coarse enough
// that output does not change with the last bit of a float.
func seconds(v float64) report.Number { return report.Number{Value: v, Decimals: 1} }
func metres(v float64) report.Number  { return report.Number{Value: v, Decimals: 1} }
func pace(v float64) report.Number    { return report.Number{Value: v, Decimals: 2} } // and differences of pace
func percent(v float64) report.Number { return report.Number{Value: v, Decimals: 2} }
func beats(v float64) report.Number   { return report.Number{Value: v, Decimals: 0, Unit: "bpm"} } // fields hr_...
func steps(v float64) report.Number   { return report.Number{Value: v, Decimals: 0, Unit: "spm"} } // steps a minute, fields cadence_...
func chance(v float64) report.Number  { return report.Number{Value: v, Decimals: 6} }
