package simulate

import (
	"math"
	"math/rand/v2"
)

// A sky draws, second by second, where the sky is bad and where it is lost.
type sky struct {
	rng    *rand.Rand
	share  float64 // of the way with a bad sky
	drops  float64 // probability of losing it in a second
	dropS  float64
	bad    bool
	second int
	lostTo int
}

func newSky(s Session, d Device, seed, stream uint64) *sky {
	k := &sky{rng: rand.New(rand.NewPCG(seed, stream)), drops: d.DropPerH / 3600, dropS: d.DropS}
	if d.UsesSky {
		k.share = min(0.9, max(d.Canyon, s.Terrain.Canyon))
	}
	return k
}

func (s *sky) next() (bad, lost bool) {
	s.second++
	if s.share > 0 {
		const meanS = 40
		leave := 1.0 / meanS
		if !s.bad {
			leave *= s.share / (1 - s.share)
		}
		if s.rng.Float64() < leave {
			s.bad = !s.bad
		}
	}
	if s.drops > 0 && s.second >= 10 && s.second >= s.lostTo && s.rng.Float64() < s.drops {
		s.lostTo = s.second + 2 + int(s.dropS*s.rng.ExpFloat64())
	}
	return s.bad, s.second < s.lostTo
}

// An odometer counts the way, second by second, as a device does.
type odometer struct {
	scale, follow              float64
	now                        float64 // the scale of this second
	flat                       float64 // slope of shown over true speed about level
	level                      float64 // m/s; zero while not known
	err, white, towers, jitter *ar
	wander                     *ar // of the scale; nil for none

	sum, seen, missed, shown float64
}

func newOdometer(d Device, scale float64, seed, stream uint64) *odometer {
	rng := rand.New(rand.NewPCG(seed, stream))
	o := &odometer{scale: scale, now: scale, flat: 1, follow: 1}
	o.err, o.white = noise(rng, d.OdoNoise, d.OdoNoiseS), noise(rng, d.OdoWhite, 0)
	o.towers = noise(rng, 0.5, 12)
	o.jitter = noise(rng, d.JitterM, d.JitterS)
	if d.OdoLagS > 0 {
		o.follow = 1 - math.Exp(-1/d.OdoLagS)
	}
	if d.WanderPct > 0 {
		o.wander = noise(rng, d.WanderPct/100, d.WanderS)
	}
	if d.FlatTo > 0 {
		o.flat = d.FlatFrom + (d.FlatTo-d.FlatFrom)*rng.Float64()
	}
	return o
}

// flattened is a true speed as a device tells it that shows slow as too fast and fast as
// too slow. Standing is known. Scale comes on top.
func (o *odometer) flattened(mps float64) float64 {
	if o.level == 0 || o.flat == 1 || mps < 0.5 {
		return mps
	}
	return o.level + o.flat*(mps-o.level)
}

// next counts the true metres of a second and returns what is shown after it.
func (o *odometer) next(metres float64, bad, lost, paused bool) float64 {
	if o.wander != nil {
		o.now = o.scale * (1 + o.wander.next())
	}
	moved := o.flattened(metres) * o.now
	o.seen += (moved - o.seen) * o.follow
	e, jitter := o.err.next()+o.white.next(), o.jitter.next()
	if bad {
		e = 2.5*e + o.towers.next()
	}
	if moved < 0.3 {
		e *= 0.2 // a device knows when it stands
	}
	switch {
	case paused:
		o.seen = 0
		return o.shown
	case lost:
		o.missed += moved
		return o.shown
	}
	o.sum += max(0, o.seen+e) + 0.96*o.missed // chords are shorter than the way
	o.missed = 0
	o.shown = max(o.shown, o.sum+jitter)
	return o.shown
}

// A display is the distance that the runner reads while running.
type display struct {
	sky  *sky
	odo  *odometer
	lost bool
	at   float64 // true metres when it last changed
}

// second tells the display where the runner is after a whole second.
func (d *display) second(metres float64) {
	var bad bool
	bad, d.lost = d.sky.next()
	d.odo.next(metres-d.at, bad, d.lost, false)
	d.at = metres
}

// shows is the distance shown at some true metres in the second under way.
func (d *display) shows(metres float64) float64 {
	if d.lost {
		return d.odo.shown
	}
	return d.odo.shown + (metres-d.at)*d.odo.now
}
