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
// ErrTooShort when there are fewer than two records or 30 seconds of them.
func Split(r *recording.Recording) (*Session, error) {
	if r.Len() < 2 || r.Duration() < 30 {
		return nil, ErrTooShort
	}
	tr := signal.Build(r)
	s := &Session{Recording: r, Trace: tr, Warnings: append([]recording.Warning(nil), r.Warnings...)}
	s.ScaleSE = scaleSD
	if r.Place == recording.Treadmill {
		s.ScaleSE = treadmillScaleSD
	}
	j := newJudge(tr, tr.Effort, cut(tr.Effort, tr), r.Place)
	presses := recording.Presses(r.Laps)
	j.presses, j.steps = presses, ledSteps(r)
	best, ok := j.search(nil)
	if hills := tr.EvenCost(); hills != nil {
		// Hill reps show in the cost of running, not in speed. Any hilly run shows
		// something there, so only a regular pattern is believed.
		h := newJudge(tr, hills, cut(hills, tr), r.Place)
		if alt, found := h.search(nil); found && len(alt.works) > 3 && alt.evidence > 20 &&
			alt.terms.shape > 2*float64(len(alt.works)) && (!ok || alt.evidence > best.evidence+5) {
			j, best, ok = h, alt, true
		}
	}
	if ok {
		best = j.sharpen(best, presses)
	}
	if ok && best.shape[0].open && best.before.seconds() < 120 && best.after.seconds() < 120 {
		ok = false // neither amounts nor easy running around it: stops cut up a run
	}
	if ok {
		if r.Place == recording.Track && math.Abs(best.offset) > 0.003 && math.Abs(best.offset) < 0.05 {
			// On a track the reps measure the odometer, not the other way round.
			tr.Rescale(math.Exp(-best.offset))
			s.ScaleSE = max(trackScaleSD, best.offsetSE)
			s.Warnings = append(s.Warnings, recording.Warning{
				Code:    "odometer-scale",
				Message: fmt.Sprintf("the odometer reads %+.1f %% against the reps on the track; distances and paces are corrected for that", 100*math.Expm1(best.offset)),
				StartS:  math.NaN(), EndS: math.NaN(),
			})
		}
	} else {
		best = reading{}
	}
	s.edges = sync.OnceValue(j.edges)
	if tr.Source == signal.Nothing {
		s.warn("heart-rate-only", "there is neither distance nor speed: reps are read from heart rate alone, their edges are vague and there is no pace", math.NaN(), math.NaN())
	}
	for _, f := range tr.Faults {
		s.warn(f.Code, f.Text, f.StartS, f.EndS)
	}
	for _, p := range tr.Locked {
		s.warn("heart-rate-like-cadence", "heart rate equals cadence: the sensor may have counted steps; it is not used as evidence here", p.StartS, p.EndS)
	}
	s.assemble(best)
	return s, nil
}

// edges lists every edge of the finest split, refined.
func (j *judge) edges() []Edge {
	var out []Edge
	unit := sq(j.tr.Noise.LongRun)
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
