// Package recording reads what a runner's device wrote down and gives it back
// as one plain type, whatever the file format was.
//
// A Recording is data, not judgement: values stay as the file has them, in SI
// units, and everything odd about the file becomes a Warning beside them. Only
// what cannot be true is taken out: a single value that nobody could have run to
// and back from, and what an odometer leaps by or begins anew at.
// What can be read of a damaged file is read. What cannot be read at all gives
// an *Error with the place, the reason and what to do.
//
// # Formats
//
// FIT: activities, multisport activities (a recording each part), chained
// files, and the planned workout in them. GPX 1.0 and 1.1: tracks; tracks more
// than an hour apart are recordings of their own. TCX version 2: activities.
// CSV: see below. Each also compressed with gzip or in a zip archive. The
// format is told by the content. Text may be in UTF-8, UTF-16 or Latin-1.
//
// Cadence is given in steps a minute; the formats count strides, some files
// steps, told apart by the size (120 a minute lies between). The turns of a
// crank are left out.
//
// # CSV
//
// The first line names the columns, in any case, with or without spaces and
// underscores. They are separated by commas, semicolons (then a decimal comma
// is understood) or tabs. A time column and one other are needed.
//
//	t_s, time_s, elapsed_s         seconds from the start
//	time, timestamp                RFC 3339, seconds, or h:mm:ss
//	distance_m, distance           m, cumulative
//	speed_mps, speed               m/s
//	pace_s_per_km, pace_s_per_mi, pace_min_per_km, pace_min_per_mi
//	                               a number of that unit, or minutes:seconds
//	pace                           unit found by comparing with the distance,
//	                               and always warned about
//	hr_bpm, hr, heart_rate         beats/min
//	cadence, cadence_spm           steps/min, or strides/min
//	altitude_m, altitude, elevation_m, elevation    m
//	lat, latitude, lon, longitude, lng              degrees, WGS84
//	stage                          a label
//
// An empty cell, or NaN, is not measured. Any other cell that is no number is
// not measured either and is warned about. A pace becomes a speed where there
// is no speed.
//
// # Warnings
//
// Times, from the file's clock:
//
//	clock-not-set       it says a year before 2000, so the date is not known
//	clock-step          it was set during the recording (it jumped by more than
//	                    a day, or went back while the odometer went on)
//	backward-time       records in the wrong order, now sorted
//	duplicate-time      records of one instant, made one; the later values win
//	missing-time        records without a time, left out
//	stray-time          records with a time that does not belong there, left out
//	no-time-zone        times without a zone, taken as UTC
//	sparse-sampling     records over 2.5 s apart for a fifth of the time or more
//	gap                 nothing recorded for over 20 s (or 4 usual intervals)
//	timer-stops         the timer was stopped, by the runner or by itself
//	new-track           a new track after a pause
//	empty-lap           a lap with no time or no record in it
//
// Quantities:
//
//	speed-zero          device speed zero while the distance grows
//	only-distance       nothing but distance
//	only-heart-rate     heart rate, and nothing to see movement by
//	distance-falls      the odometer went back; where it began anew, its counts are added
//	distance-jump       the odometer leapt and stayed there; the leap is taken out,
//	                    unless it made up for a lost sky or for the belt's scale
//	position-jump       the same of positions, where it is over half a kilometre
//	stray-value         values that cannot be true beside their neighbours, left out
//	unit-suspect        values that differ from the rest of the file by just the
//	                    ratio of two units; they are kept as they are
//	too-fast-for-a-run  a run at the speed of a vehicle for two minutes or more
//	heart-rate-all-zero zero throughout: not measured
//	heart-rate-zero     zero in places: not measured there
//	heart-rate-apart    heart rate in messages of its own, not read
//	lap-heart-rate-255  a lap's average heart rate of 255: not measured
//	cadence-in-steps    steps where the format has strides
//	impossible-value    off the globe, at 0, 0, or too large; left out
//	developer-field     an app's field repeats or replaces one of the device's
//	pace-unit           the unit of a pace column had to be guessed
//	bad-cell            cells that are no numbers
//	column-ignored      columns not understood or given twice
//
// Files:
//
//	cut-short           damaged or broken off; what came before was read
//	wrong-checksum      some values may be damaged
//	wrong-header        a faulty FIT header
//	trailing-data       something after the end, left out
//	zero-padding        zeros after the end of a text, as after a loss of power, left out
//	damaged-part        a part of a chained file that cannot be read, left out
//	leading-space       blank space before the XML declaration
//	undeclared-prefix   an XML prefix without a declaration
//	text-encoding       text that is not UTF-8
//	joined              two recordings were joined
//
// Normal things that need care and no warning: fractions of a second, files
// with enhanced_speed only or with compressed speed and distance, laps out of
// order, an odometer that does not begin at zero.
//
// Size: every format is read here into one type, and the faults of all of them are told alike.
package recording
