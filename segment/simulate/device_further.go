package simulate

import (
	"math/rand/v2"
	"slices"

	"example.org/rungs/segment/recording"
)

// FurtherDevices is profiles that are worse, or worse in other ways, than those of
// [Devices], outdoor ones first. They stand apart so that tables made with Devices can be
// compared over time.
func FurtherDevices() []Device {
	with := func(name string, change func(d *Device)) Device {
		d := plainWatch()
		d.Name = name
		d.OdoNoise, d.OdoNoiseS, d.OdoWhite, d.LagUpS, d.LagDownS = 0.15, 4, 0.15, 2, 4
		change(&d)
		return d
	}
	return []Device{
		// Measured on an open recording: the distance stays for 2 to 3 s and jumps by 10 to
		// 14 m, 48 to 64 % of neighbouring records are the same; speed is good.
		with("watch that holds its odometer", func(d *Device) {
			d.HoldS, d.LagUpS, d.LagDownS = 2.35, 1.5, 2
		}),
		// The error of a shoe's sensor grows with speed and slope and lies .10 m/s apart
		// between runners (Falbriard et al. 2021, doi 10.3389/fspor.2021.585809), so it moves
		// with form and ground. That it does by .7 % over 10 minutes is an assumption.
		with("foot sensor with a wandering scale", func(d *Device) {
			d.UsesSky, d.Positions, d.OdoNoise, d.OdoNoiseS, d.OdoWhite = false, false, 0.08, 1, 0
			d.LagUpS, d.LagDownS, d.ScaleBiasPct, d.ScaleSDPct = 1.5, 2, 0, 2
			d.WanderPct, d.WanderS, d.Laps = 0.7, 600, Presses
		}),
		// Open recordings have speeds that pass an edge some 5 s after the odometer; the two
		// forms of smoothing are from memory.
		with("watch with the mean speed of 10 s", func(d *Device) { d.SpeedOfS = 10 }),
		with("watch with a slow speed", func(d *Device) { d.LagUpS, d.LagDownS, d.Laps = 5, 5, AutoLaps }),
		// Measured on an open recording: 1,773 m were added within 391 s late in the run.
		with("watch that corrects itself late", func(d *Device) { d.OweS, d.Laps = 600, AutoLaps }),
		// The error of positions has memory: an Ornstein-Uhlenbeck process fits better than
		// white noise (Sensors 2020, 20:6050), with a bend near one minute on an old receiver.
		// Sizes are from memory: 2 to 4 m, and .2 to .5 m from fix to fix.
		with("positions only, every second", func(d *Device) { onlyPositions(d) }),
		with("positions only, every 5 s", func(d *Device) { onlyPositions(d); d.EveryS = 5 }),
		// A wrist's model of speed misses by 4.2 % for people it knows and 9.8 % for others
		// (arXiv 2006.02348), and such models lean towards the mean: by how much is from memory.
		with("wrist that flattens speed on the treadmill", func(d *Device) {
			d.Indoor, d.UsesSky, d.Positions, d.Altitude = true, false, false, false
			d.OdoNoise, d.OdoNoiseS, d.LagUpS, d.LagDownS, d.SpeedNoise, d.SpeedS = 0.1, 6, 4, 5, 0.06, 15
			d.ScaleBiasPct, d.ScaleSDPct, d.FlatFrom, d.FlatTo, d.Heart = 0, 2.5, 0.75, 0.95, Optical
		}),
	}
}

func onlyPositions(d *Device) {
	d.Speed, d.Distance, d.Cadence = false, false, false
	d.FixM, d.FixS, d.FixWhiteM = 3, 60, 0.35
}

// FurtherDevicesFor is the further profiles that could have recorded a run at the place.
func FurtherDevicesFor(p recording.Place) []Device { return suiting(FurtherDevices(), p) }

// meanMPS is the body's mean speed while it moves.
func (m *motion) meanMPS() float64 {
	sum, n := 0.0, 0.0
	for _, v := range m.mps {
		if v >= 0.5 {
			sum, n = sum+v, n+1
		}
	}
	return sum / max(1, n)
}

// owe lets the odometer count too little for some minutes in the middle of the run, as
// under a lost sky, and add it all late in the run. What it owes is half of that way or
// more. A runner who runs by metres goes by what it should have shown.
func (v *view) owe(d Device, rng *rand.Rand) {
	n := float64(v.n)
	from := int(n * (0.1 + 0.25*rng.Float64()))
	to := from + int(min(0.35*n, d.OweS*(0.7+0.6*rng.Float64())))
	share := 0.5 + 0.5*rng.Float64()
	pay := int(n * (0.72 + 0.1*rng.Float64()))
	payS := min(0.15*n, 120+300*rng.Float64())
	right := slices.Clone(v.odometer)
	each := share * (right[to] - right[from]) / payS
	owed := 0.0
	for k := 1; k < v.n; k++ {
		step := right[k] - right[k-1]
		switch {
		case k > from && k <= to:
			owed += share * step
			step *= 1 - share
		case k > pay:
			give := min(each, owed)
			owed -= give
			step += give
		}
		v.odometer[k] = v.odometer[k-1] + step
	}
}

// written is the odometer as the records have it, at every second.
func (v *view) written(d Device, rng *rand.Rand) []float64 {
	if d.HoldS == 0 {
		return v.odometer
	}
	mean := d.HoldS - 0.35 + 0.7*rng.Float64() // each run has its own
	out, next := slices.Clone(v.odometer), 1
	for k := 1; k < v.n-1; k++ {
		if k < next {
			out[k] = out[k-1]
			continue
		}
		next = k + int(mean+rng.Float64())
	}
	return out
}
