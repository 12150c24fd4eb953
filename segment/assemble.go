package segment

import (
	"fmt"
	"math"
	"slices"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// assemble turns a reading into segments and blocks.
func (s *Session) assemble(r reading) {
	total := edge{at: s.Recording.Duration()}
	add := func(role Role, set, rep int, from, to edge) {
		to.at = min(to.at, total.at) // the trace is rounded up to whole seconds
		if to.at > from.at {
			s.Segments = append(s.Segments, s.measure(role, set, rep, from, to))
		}
	}
	s.Evidence, s.Sure = math.NaN(), 1
	if len(r.works) == 0 {
		from := edge{}
		for _, p := range s.stood() {
			add(Run, 0, 0, from, edge{p.StartS, 2})
			add(Stop, 0, 0, edge{p.StartS, 2}, edge{p.EndS, 2})
			from = edge{p.EndS, 2}
		}
		add(Run, 0, 0, from, total)
		return
	}
	sets := setNumbers(r.shape)
	n := len(r.works)
	first, last := r.outerRoles()
	begin := r.starts[0]
	begin.at -= r.wait
	add(first, 0, 0, edge{}, begin)
	add(Stop, 0, 0, begin, r.starts[0])
	for i := range n {
		add(Work, sets[i], i+1, r.starts[i], r.ends[i])
		if i+1 < n {
			add(Recovery, sets[i], i+1, r.ends[i], r.starts[i+1])
		}
	}
	end := r.ends[n-1]
	if r.tail {
		end = r.tailEnd
		add(Recovery, sets[n-1], n, r.ends[n-1], end)
	}
	add(last, 0, 0, end, total)
	s.Structure = blocks(r)
	s.Evidence, s.Probability = r.evidence, r.sure
	s.Sure, s.RunnerUp = runnerUp(s.Structure)
	for i, b := range r.bridged {
		if b {
			s.warn("stop-inside-rep", fmt.Sprintf("rep %d holds a stop of %.0f s, which counts in its time and pace", i+1, r.reps[i].halted), r.starts[i].at, r.ends[i].at)
		}
	}
}

func (s *Session) warn(code, message string, start, end float64) {
	s.Warnings = append(s.Warnings, recording.Warning{Code: code, Message: message, StartS: start, EndS: end})
}

// standing lists the stops of a quarter of a minute and more; some steps between two of them are no run.
func (s *Session) standing() []recording.Span {
	const least = 15 // s
	if s.Trace.Source == signal.Nothing {
		return nil
	}
	var out []recording.Span
	n := s.Trace.Len()
	for lo := 0; lo < n; lo++ {
		hi := lo
		for hi < n && s.Trace.Speed[hi] < 0.5 && (s.Trace.Known[hi] || !s.Trace.Timer[hi]) {
			hi++
		}
		if hi-lo >= least {
			stop := recording.Span{StartS: float64(lo), EndS: math.Min(float64(hi), s.Recording.Duration())}
			k := len(out) - 1
			if k >= 0 && stop.StartS-out[k].EndS < least && s.Distance(out[k].EndS, stop.StartS) < running*(stop.StartS-out[k].EndS) {
				out[k].EndS = stop.EndS
			} else {
				out = append(out, stop)
			}
		}
		lo = hi
	}
	return out
}

// stood is standing, found once in a session that was split.
func (s *Session) stood() []recording.Span {
	if s.stands == nil {
		return s.standing()
	}
	return s.stands()
}

// runnerUp finds the least sure amount of a structure and, when its rival is
// nearly as good, the structure with that in its place.
func runnerUp(blocks []Block) (sure float64, rival []Block) {
	sure = 1
	var least *Block
	var walk func(list []Block) []Block
	walk = func(list []Block) []Block {
		out := slices.Clone(list)
		for i := range out {
			b := &out[i]
			b.Body = walk(b.Body)
			if b.Rest != nil {
				rest := *b.Rest
				b.Rest = &rest
			}
			for _, c := range []*Block{b, b.Rest} {
				if c != nil && c.Sure > 0 && c.Sure < sure {
					sure, least = c.Sure, c
				}
			}
		}
		return out
	}
	rival = walk(blocks)
	if least == nil || sure > 0.85 {
		return sure, nil
	}
	least.Amount, least.Rival, least.Sure = least.Rival, least.Amount, 1-least.Sure
	return sure, rival
}

// setNumbers gives each rep the number of its set, from 1: every repeat and every
// pass of sets is one, and single reps in a row share one.
func setNumbers(shape []part) []int {
	var out []int
	set, loose := 0, false
	for _, p := range shape {
		n := p.to - p.from + 1
		switch {
		case p.passes > 0:
			for k := range n {
				if k%(n/p.passes) == 0 {
					set++
				}
				out = append(out, set)
			}
			loose = false
		case n == 1:
			if !loose {
				set++
			}
			loose = true
			out = append(out, set)
		default:
			set++
			loose = false
			for range n {
				out = append(out, set)
			}
		}
	}
	return out
}

// measure makes a segment from its edges. The margins of a pace that was stood
// are NaN.
func (s *Session) measure(role Role, set, rep int, from, to edge) Segment {
	g := Segment{Role: role, Set: set, Rep: rep, StartS: from.at, EndS: to.at, StartSE: from.se, EndSE: to.se}
	g.DistanceM = s.Distance(g.StartS, g.EndS)
	p := s.PaceBetween(Edge{AtS: from.at, SE: from.se}, Edge{AtS: to.at, SE: to.se})
	g.Pace, g.WithinSE = p.Mean, p.SE
	if role != Stop {
		for _, h := range s.stood() {
			g.StoodS += math.Max(0, math.Min(h.EndS, g.EndS)-math.Max(h.StartS, g.StartS))
		}
		if moved := 1 - g.StoodS/g.Seconds(); moved > 0.01 && role != Work && role != Recovery {
			g.Pace, g.WithinSE = g.Pace*moved, g.WithinSE*moved
		}
	}
	g.PaceSE = math.Hypot(g.WithinSE, s.ScaleSE*g.Pace)
	if math.IsInf(g.Pace, 1) {
		g.WithinSE, g.PaceSE = math.NaN(), math.NaN()
	}
	g.HRAvg, g.HRMax, g.HREnd = heart(s.Trace.HeartRate, g.StartS, g.EndS)
	g.CadenceAvg, _, _ = heart(s.Trace.Cadence, g.StartS, g.EndS)
	return g
}

// heart is the mean, the greatest and the last value (mean of the last five
// seconds) of a grid stream over a span.
func heart(v []float64, start, end float64) (avg, top, last float64) {
	avg, top, last = math.NaN(), math.NaN(), math.NaN()
	var sum, k, tail, tk float64
	for c := max(0, int(start)); c < len(v) && float64(c) < end; c++ {
		x := v[c]
		if math.IsNaN(x) || math.IsInf(x, 0) {
			continue
		}
		sum, k = sum+x, k+1
		if !(x <= top) {
			top = x
		}
		if float64(c) >= end-5 {
			tail, tk = tail+x, tk+1
		}
	}
	if k > 0 {
		avg = sum / k
	}
	if tk > 0 {
		last = tail / tk
	}
	return avg, top, last
}

// blocks writes a reading as the structure a coach would write.
func blocks(r reading) []Block {
	var out []Block
	first, last := r.outerRoles()
	if r.before.seconds() >= leastEnd {
		out = append(out, Block{Count: 1, Role: first, Amount: r.warm.amount, Sure: r.warm.sure(), Rival: r.warm.second, Pace: math.NaN()})
	}
	if r.wait > 0 {
		out = append(out, Block{Count: 1, Role: Stop, Pace: math.NaN(), Manner: "stand"})
	}
	main := partBlocks(r, r.shape, 0, 1)
	if r.tail {
		b := &main[len(main)-1]
		b.Body = append(b.Body, *b.Rest)
		b.Rest = nil
	}
	out = append(out, main...)
	if r.after.seconds() >= leastEnd {
		out = append(out, Block{Count: 1, Role: last, Amount: r.cool.amount, Sure: r.cool.sure(), Rival: r.cool.second, Pace: math.NaN()})
	}
	return out
}

// outerRoles says what the running before and after the reps was for. Nobody
// warms up for more than half an hour, nor recovers from long reps at easy pace:
// then the reps lie inside a long run.
func (r reading) outerRoles() (before, after Role) {
	inside := r.before.seconds() > 30*60
	if !inside && len(r.rests) > 0 && r.reps[0].seconds >= 480 {
		inside = true
		for i := range r.rests {
			inside = inside && r.manner(i) == "easy"
		}
	}
	if inside && r.wait == 0 {
		return Easy, Easy
	}
	return Warm, Cool
}

// partBlocks writes parts; base is the index of the first rep of the pass.
func partBlocks(r reading, parts []part, base, passes int) []Block {
	var out []Block
	for _, p := range parts {
		from := base + p.from
		switch {
		case p.passes > 0:
			b := Block{Count: p.passes, Body: partBlocks(r, p.inner, from, p.passes)}
			if !p.rest.none {
				stride := (p.to - p.from + 1) / p.passes
				rest := restBlock(r, p.rest, from+stride-1, stride, p.passes-1)
				b.Rest = &rest
			}
			out = append(out, b)
		case p.from == p.to:
			out = append(out, repBlock(r, p.work, from, 1))
		default:
			n := p.to - p.from + 1
			b := Block{Count: n, Body: []Block{repBlock(r, p.work, from, n)}}
			rest := restBlock(r, p.rest, from, 1, n-1)
			b.Rest = &rest
			out = append(out, b)
		}
		if p.after != nil && !p.after.none {
			out = append(out, restBlock(r, p.after, base+p.to, 1, 1))
		}
	}
	return out
}

// repBlock describes n reps from rep i on by their amount and median pace.
func repBlock(r reading, f amountFit, i, n int) Block {
	paces := make([]float64, n)
	for k := range n {
		paces[k] = paceOf(r.reps[i+k])
	}
	return Block{Count: 1, Role: Work, Amount: f.amount, Sure: f.sure(), Rival: f.second, Pace: median(paces)}
}

// paceOf is the pace of a stretch in s/km, NaN where no distance is known.
func paceOf(s stretch) float64 {
	if s.metres <= 0 {
		return math.NaN()
	}
	return 1000 / s.speed
}

// restBlock describes n recoveries that are alike: that after rep i, and after every
// stride-th from there on.
func restBlock(r reading, f *amountFit, i, stride, n int) Block {
	reps, paces := make([]int, n), make([]float64, n)
	for k := range n {
		reps[k] = i + k*stride
		paces[k] = paceOf(r.rests[reps[k]])
	}
	return Block{Count: 1, Role: Recovery, Amount: f.amount, Sure: f.sure(), Rival: f.second, Pace: median(paces), Manner: r.mannerOf(reps...)}
}
