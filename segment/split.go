package segment

import (
	"cmp"
	"errors"
	"fmt"
	"math"
	"slices"
	"sync"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// ErrTooShort says that a recording holds too little to say anything of it.
var ErrTooShort = errors.New("fewer than 30 seconds of records: nothing to split")

// Split says what was run in a recording, which it leaves as it is. The error is
// that of Recording.Validate when the recording is nil or not in order, and
// ErrTooShort when there are fewer than two records or 30 seconds of them. Options may tell
// what else is known (Knowing).
//
// Branches: what is odd of a recording is told one by one.
func Split(r *recording.Recording, opts ...Option) (*Session, error) {
	var o options
	for _, set := range opts {
		set(&o)
	}
	if err := r.Validate(); err != nil {
		return nil, err
	}
	if r.Len() < 2 || r.Duration() < 30 {
		return nil, ErrTooShort
	}
	tr := signal.Build(r)
	s := &Session{Recording: r, Trace: tr, Warnings: append([]recording.Warning(nil), r.Warnings...)}
	s.ScaleSE = scaleSD
	if r.Place == recording.Treadmill {
		s.ScaleSE = treadmillScaleSD
	}
	j, best, ok, list := read(r, tr)
	if len(o.known) > 0 {
		var as *Known
		if best, ok, as = prefer(o.known, best, ok, list); ok {
			j = best.by
		}
		s.sayKnown(as)
	}
	if ok {
		best = j.sharpen(best, j.presses)
	}
	if ok {
		if r.Place == recording.Track && best.offsetSE > 0 && math.Abs(best.offset) < 0.05 {
			// On a track the reps measure the odometer, not the other way round.
			s.measured, s.ScaleSE = true, max(trackScaleSD, best.offsetSE)
		}
		if s.measured && math.Abs(best.offset) > 0.003 {
			tr.Rescale(math.Exp(-best.offset))
			best.rescale(math.Exp(-best.offset))
			s.Warnings = append(s.Warnings, recording.Warning{
				Code:    "odometer-scale",
				Message: fmt.Sprintf("the odometer reads %+.1f %% against the reps on the track; distances and paces are corrected for that", 100*math.Expm1(best.offset)),
				StartS:  math.NaN(), EndS: math.NaN(),
			})
		}
	} else {
		best = reading{}
	}
	s.edges, s.stands, s.judge, s.list = sync.OnceValue(j.edges), sync.OnceValue(s.standing), j, list
	if tr.Source == signal.Nothing && tr.HeartRate != nil {
		s.warn("heart-rate-only", "there is neither distance nor speed: reps are read from heart rate alone, their edges are vague and there is no pace", math.NaN(), math.NaN())
	}
	for _, f := range tr.Faults {
		s.warn(f.Code, f.Text, f.StartS, f.EndS)
	}
	if n := len(tr.Locked); n > 0 {
		s.warn("heart-rate-like-cadence", fmt.Sprintf("heart rate follows the cadence for %.0f s in all: the sensor may have counted steps; it is not used there", tr.LockedShare()*float64(tr.Len())),
			tr.Locked[0].StartS, tr.Locked[n-1].EndS)
	}
	s.assemble(best)
	return s, nil
}

// edges lists every edge of the finest split, refined.
func (j *judge) edges() []Edge {
	var out []Edge
	unit := sq(j.noise)
	var meets [][2]piece
	for i := 1; i < len(j.pieces); i++ {
		meets = append(meets, [2]piece{j.pieces[i-1], j.pieces[i]})
	}
	for i, e := range j.placeEdges(meets, nil) {
		out = append(out, Edge{AtS: e.at, SE: e.se, Weight: j.survives[i+1] / unit})
	}
	slices.SortFunc(out, func(a, b Edge) int { return cmp.Compare(a.AtS, b.AtS) })
	return out
}
