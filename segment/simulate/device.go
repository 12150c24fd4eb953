package simulate

import "example.org/rungs/segment/recording"

// A Device is a way of seeing and writing down a run.
type Device struct {
	Name   string
	Indoor bool

	EveryS  float64 // seconds between records; 0 for smart recording
	MaxGapS int     // longest gap of smart recording

	ScaleBiasPct float64 // mean error of the odometer, %
	ScaleSDPct   float64 // sd of that error between runs, %

	WanderPct float64 // sd of a wander of the scale within the run, odometer and speed alike, %
	WanderS   float64 // its correlation time, s
	FlatFrom  float64 // slope of shown over true speed about the run's mean, drawn for each
	FlatTo    float64 // run from this to that; zero is 1, nothing flattened

	HoldS    float64 // about the mean time for which a written distance stays before it jumps, s
	OweS     float64 // about how long the odometer counts too little, to add the rest late, s
	SpeedOfS float64 // the speed stream is the mean over the last so many whole seconds

	OdoLagS    float64 // the odometer's smoothing, s
	OdoNoise   float64 // sd of the odometer's slow error of speed, m/s
	OdoNoiseS  float64 // its correlation time, s
	OdoWhite   float64 // sd of a further error of speed, new each second, m/s
	JitterM    float64 // sd of an error of position that does not add up, m
	JitterS    float64 // its correlation time, s
	LagUpS     float64 // the speed stream's smoothing when quickening, s
	LagDownS   float64 // and when slowing
	SpeedNoise float64 // sd of the speed stream's own error, m/s
	SpeedS     float64 // its correlation time, s
	FixM       float64 // about the sd of the slow error of a position, m; zero is the usual 2.5 m
	FixS       float64 // its correlation time, s
	FixWhiteM  float64 // about the sd of a position's own error, m
	Canyon     float64 // share of the way with a bad sky, if it uses the sky at all
	UsesSky    bool

	DistanceStepM float64 // the odometer is written in steps of this
	SpeedStepMPS  float64

	Speed, Distance, Cadence, Altitude, Positions bool // streams it writes
	ZeroSpeed                                     bool // writes 0 for every speed
	Increments                                    bool // its speed is that of the odometer since the last record
	LapZero                                       bool // writes speed 0 in the first record of a lap

	Heart      HeartSensor
	LockP      float64 // probability that heart rate follows cadence for minutes
	DropPerH   float64 // dropouts an hour
	DropS      float64 // mean length of one, s
	DropRecord bool    // a dropout loses whole records rather than values

	Laps       LapMode
	LapEveryM  float64 // of automatic laps
	PressMissP float64 // probability of a forgotten press
	PressSDS   float64 // sd of a press about the true edge, s
	AutoPause  bool    // the timer stops when the runner does
	PauseP     float64 // probability that the runner stops the timer in a standing leg or halt of 15 s or more
}

// A HeartSensor is where heart rate comes from.
type HeartSensor int

// The sensors.
const (
	NoHeart HeartSensor = iota
	Strap
	Optical
)

// A LapMode is what starts new laps.
type LapMode int

// The lap modes.
const (
	NoLaps         LapMode = iota
	Presses                // the runner's button at every change of intent
	AutoLaps               // every LapEveryM of the odometer
	StepLaps               // the device leads through the planned steps
	AutoAndPresses         // both
)

// plainWatch is what the outdoor profiles have in common.
func plainWatch() Device {
	return Device{
		UsesSky: true, EveryS: 1, ScaleBiasPct: 0.3, ScaleSDPct: 1, OdoLagS: 1, DistanceStepM: 0.01, SpeedStepMPS: 0.001,
		Speed: true, Distance: true, Cadence: true, Altitude: true, Positions: true, Heart: Strap,
		LapEveryM: 1000, PressMissP: 0.04, PressSDS: 0.8, SpeedNoise: 0.02, SpeedS: 14,
	}
}

// Devices is the list of profiles, outdoor ones first. The noise figures are
// matched to open recordings: TestNoiseIsLikeReality measures both sides.
func Devices() []Device {
	outdoor := plainWatch()
	with := func(name string, change func(d *Device)) Device {
		d := outdoor
		d.Name = name
		change(&d)
		return d
	}
	list := []Device{
		with("good watch, open sky", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.OdoWhite, d.LagUpS, d.LagDownS, d.Laps = 0.15, 4, 0.15, 2, 4, Presses
		}),
		with("older watch, every second", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.OdoWhite, d.LagUpS, d.LagDownS, d.Laps = 0.38, 4, 0.28, 2, 8.5, AutoLaps
			d.ScaleSDPct = 1.5
		}),
		with("watch with smart recording", func(d *Device) {
			d.EveryS, d.MaxGapS = 0, 13
			d.OdoNoise, d.OdoNoiseS, d.OdoWhite, d.JitterM, d.JitterS = 0.4, 5, 0.35, 0.6, 5
			d.LagUpS, d.LagDownS, d.Laps = 3, 6, Presses
		}),
		with("watch in the city", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.JitterM, d.JitterS, d.LagUpS, d.LagDownS = 0.4, 1.5, 1, 6, 3, 6
			d.Canyon, d.ScaleBiasPct, d.ScaleSDPct, d.DropPerH, d.DropS, d.AutoPause = 0.3, 1, 1.5, 3, 15, true
			d.Heart, d.LockP = Optical, 0.15
		}),
		with("phone, distance only", func(d *Device) {
			d.EveryS, d.OdoNoise, d.OdoNoiseS, d.JitterM, d.JitterS = 5, 0.1, 4, 2.4, 0.5
			d.DropPerH, d.DropS, d.DropRecord = 1, 15, true
			d.Speed, d.Cadence, d.Heart, d.ScaleSDPct = false, false, NoHeart, 1.5
		}),
		with("watch with zero speed", func(d *Device) {
			d.EveryS, d.MaxGapS, d.OdoNoise, d.OdoNoiseS, d.OdoWhite = 0, 9, 0.15, 4, 0.2
			d.ZeroSpeed, d.Cadence, d.Positions, d.Laps = true, false, false, AutoLaps
		}),
		with("early watch, speed from distance", func(d *Device) {
			d.EveryS, d.MaxGapS, d.OdoNoise, d.OdoNoiseS, d.OdoWhite = 0, 10, 0.15, 4, 0.2
			d.Increments, d.LapZero, d.Cadence, d.Laps = true, true, false, AutoLaps
		}),
		with("watch on the track, laps of 400 m", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.OdoWhite, d.LagUpS, d.LagDownS = 0.3, 4, 0.25, 2, 5
			d.Laps, d.LapEveryM, d.ScaleBiasPct = AutoLaps, 400, 1.5
		}),
		with("watch leading through steps", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.OdoWhite, d.LagUpS, d.LagDownS, d.Laps = 0.2, 4, 0.2, 3, 5, StepLaps
		}),
		with("watch with foot sensor", func(d *Device) {
			d.UsesSky, d.OdoNoise, d.OdoNoiseS, d.LagUpS, d.LagDownS = false, 0.08, 1, 1.5, 2
			d.ScaleBiasPct, d.ScaleSDPct, d.Laps, d.Positions, d.PauseP = 0, 2, AutoAndPresses, false, 0.4
		}),
	}
	indoor := outdoor
	indoor.Indoor, indoor.UsesSky, indoor.Positions, indoor.Altitude = true, false, false, false
	within := func(name string, change func(d *Device)) Device {
		d := indoor
		d.Name = name
		change(&d)
		return d
	}
	return append(list,
		within("foot sensor on the treadmill", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.LagUpS, d.LagDownS = 0.08, 1, 1.5, 2.5
			d.ScaleBiasPct, d.ScaleSDPct, d.Laps = 1, 2, Presses
		}),
		within("wrist on the treadmill", func(d *Device) {
			d.OdoNoise, d.OdoNoiseS, d.LagUpS, d.LagDownS, d.SpeedNoise, d.SpeedS = 0.12, 6, 5, 8, 0.1, 15
			d.ScaleBiasPct, d.ScaleSDPct, d.Heart, d.LockP = 0, 3, Optical, 0.2
		}),
		within("treadmill's own file", func(d *Device) {
			d.ScaleBiasPct, d.ScaleSDPct, d.SpeedNoise = 0, 0.5, 0
			d.DistanceStepM, d.SpeedStepMPS, d.Cadence = 1, 0.1/3.6, false
		}),
		within("treadmill, heart rate only", func(d *Device) {
			d.Speed, d.Distance, d.Cadence = false, false, false
		}),
	)
}

// DevicesFor is the profiles that could have recorded a run at the place.
func DevicesFor(p recording.Place) []Device { return suiting(Devices(), p) }

func suiting(list []Device, p recording.Place) []Device {
	var out []Device
	for _, d := range list {
		if d.Indoor == (p == recording.Treadmill) {
			out = append(out, d)
		}
	}
	return out
}

// DeviceNamed returns the profile of that name, a further one too, or false.
func DeviceNamed(name string) (Device, bool) {
	for _, d := range append(Devices(), FurtherDevices()...) {
		if d.Name == name {
			return d, true
		}
	}
	return Device{}, false
}
