package simulate

import (
	"math"
	"math/rand/v2"
	"time"

	"example.org/rungs/segment/recording"
)

// Run runs a session and records it with one device. Equal arguments give
// equal results.
func Run(s Session, d Device, seed uint64) (*recording.Recording, Truth) {
	recs, truth := RunAll(s, []Device{d}, seed)
	return recs[0], truth
}

// RunAll runs a session once, recorded by several devices. The runner goes by
// the first; each further one is started some seconds later, which shows in
// its Start. Truth is on the clock, and has the scale, of the first.
func RunAll(s Session, ds []Device, seed uint64) ([]*recording.Recording, Truth) {
	if s.Start.IsZero() {
		s.Start = time.Date(2026, time.March, 3, 17, 30, 0, 0, time.UTC)
	}
	var scales []float64
	scaleRNG := rand.New(rand.NewPCG(seed, 1))
	for _, d := range ds {
		pct := d.ScaleBiasPct + d.ScaleSDPct*max(-2, min(2, scaleRNG.NormFloat64()))
		scales = append(scales, 1+pct/100)
	}
	belt := 0.0
	if s.Place == recording.Treadmill {
		belt = 0.1 / 3.6
	}
	// Each device has a sky and an odometer, and the runner reads that of the first.
	under := func(i int) (*sky, *odometer) {
		return newSky(s, ds[i], seed, 100+uint64(i)), newOdometer(ds[i], scales[i], seed, 200+uint64(i))
	}
	var reads *display
	if belt == 0 && s.Place != recording.Track && ds[0].Distance {
		sky, odo := under(0)
		reads = &display{sky: sky, odo: odo}
	}
	m := move(s, reads, belt, ds[0].Laps == StepLaps, rand.New(rand.NewPCG(seed, 2)))
	var recs []*recording.Recording
	for i, d := range ds {
		rng := rand.New(rand.NewPCG(seed, 3+uint64(i)))
		lateS := 0
		if i > 0 {
			lateS = 2 + rng.IntN(30)
		}
		sky, odo := under(i)
		recs = append(recs, observe(s, m, d, sky, odo, lateS, rng))
	}
	return recs, Truth{
		Legs: m.legs, Stops: m.stops, Notation: s.Notation, Main: s.Main, Structured: s.Structured, Scale: scales[0],
	}
}

// An ar is first-order autoregressive noise, a value per second.
type ar struct {
	rng       *rand.Rand
	rho, kick float64
	value     float64
}

// noise has standard deviation sd and correlation time tauS; zero sd is silence.
func noise(rng *rand.Rand, sd, tauS float64) *ar {
	rho := 0.0
	if tauS > 0 {
		rho = math.Exp(-1 / tauS)
	}
	return &ar{rng: rng, rho: rho, kick: sd * math.Sqrt(1-rho*rho), value: sd * rng.NormFloat64()}
}

func (a *ar) next() float64 {
	if a.kick == 0 {
		return 0
	}
	a.value = a.rho*a.value + a.kick*a.rng.NormFloat64()
	return a.value
}
