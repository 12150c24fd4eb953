package segment

import (
	"cmp"
	"errors"
	"math"
	"slices"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// ErrTooShort says that a recording holds too little to say anything of it.
var ErrTooShort = errors.New("fewer than 30 seconds of records: nothing to split")

// Split says what was run in a recording.
func Split(r *recording.Recording) (*Session, error) {
	if r.Len() < 2 || r.Duration() < 30 {
		return nil, ErrTooShort
	}
	tr := signal.Build(r)
	s := &Session{Recording: r, Trace: tr, Warnings: append([]recording.Warning(nil), r.Warnings...)}
	j := newJudge(tr, tr.Effort, cut(tr.Effort, tr), r.Place == recording.Track)
	best, ok := j.search(r.Laps, nil)
	if !ok {
		best = reading{}
	}
	s.Edges = j.edges()
	s.assemble(best)
	return s, nil
}

// mostReps keeps nonsense out; nobody plans more.
const mostReps = 80

// search judges the labellings of all splits on the penalty path and returns
// the one with the most evidence, if that is enough.
func (j *judge) search(laps []recording.Lap, watch func(reading)) (reading, bool) {
	pieces, tr, speed := j.pieces, j.tr, j.speed
	if len(pieces) < 2 {
		return reading{}, false
	}
	best := reading{evidence: math.Inf(-1)}
	seen := map[uint64]bool{}
	proposals := swells(pieces)
	levels, survives := ladderOf(pieces, finest(tr, len(speed)))
	j.survives = survives
	for _, level := range levels {
		proposals = append(proposals, labellings(level)...)
	}
	{
		for _, l := range proposals {
			if k := l.key(); seen[k] {
				continue
			} else {
				seen[k] = true
			}
			if len(l.works) > mostReps {
				continue
			}
			if least, typical := l.contrast(); !(typical > 0.02) || least < -0.2 {
				continue
			}
			rd := j.read(l)
			if watch != nil {
				watch(rd)
			}
			if rd.evidence > best.evidence {
				best = rd
			}
		}
	}
	if len(best.works) > 0 {
		best = j.improve(best, seen, watch)
		best = j.divide(best, watch)
	}
	if best.evidence < needed {
		return best, false
	}
	return j.sharpen(best, laps), true
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

// improve leaves out one rep after the other while that adds evidence.
func (j *judge) improve(best reading, seen map[uint64]bool, watch func(reading)) reading {
	for {
		next := best
		for i := range best.works {
			l, ok := best.without(i)
			if !ok || seen[l.key()] {
				continue
			}
			seen[l.key()] = true
			rd := j.read(l)
			if watch != nil {
				watch(rd)
			}
			if rd.evidence > next.evidence {
				next = rd
			}
		}
		if next.evidence <= best.evidence {
			return best
		}
		best = next
	}
}
