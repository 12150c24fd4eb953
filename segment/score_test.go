package segment_test

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
	"example.org/rungs/workouts"
	"example.org/rungs/workouts/notation"
)

// matched is the overlap over union from which a rep found is a true rep.
const matched = segment.SameRep

// A score adds up how splits compare with the truth.
type score struct {
	structured, exact, main, meant int // sessions; exact in structure; main set and all as meant
	truth, found, matched          int // reps
	steady, steadyWrong            int // unstructured runs; those with reps found
	falseReps                      int
	steadyHours                    float64

	duration, start, end []float64 // errors, s
	pace                 []float64 // error against the truth, %
	within               []float64 // the same less what all reps of the run have in common, %
	zPace, zStart, zEnd  []float64 // errors over standard errors
	zWithin              []float64
}

func (a *score) add(b score) {
	a.structured += b.structured
	a.exact += b.exact
	a.main += b.main
	a.meant += b.meant
	a.truth += b.truth
	a.found += b.found
	a.matched += b.matched
	a.steady += b.steady
	a.steadyWrong += b.steadyWrong
	a.falseReps += b.falseReps
	a.steadyHours += b.steadyHours
	for _, p := range []struct {
		to   *[]float64
		from []float64
	}{
		{&a.duration, b.duration}, {&a.start, b.start}, {&a.end, b.end}, {&a.pace, b.pace}, {&a.within, b.within},
		{&a.zPace, b.zPace}, {&a.zStart, b.zStart}, {&a.zEnd, b.zEnd}, {&a.zWithin, b.zWithin},
	} {
		*p.to = append(*p.to, p.from...)
	}
}

func (a *score) exactShare() float64 { return share(a.exact, a.structured) }
func (a *score) precision() float64  { return share(a.matched, a.found) }
func (a *score) recall() float64     { return share(a.matched, a.truth) }

func share(k, n int) float64 { return float64(k) / float64(max(n, 1)) }

// medianOf is the median of absolute values, NaN for none.
func medianOf(x []float64) float64 {
	if len(x) == 0 {
		return math.NaN()
	}
	y := make([]float64, len(x))
	for i, v := range x {
		y[i] = math.Abs(v)
	}
	slices.Sort(y)
	return y[len(y)/2]
}

// covered is the share of errors within 1.96 standard errors.
func covered(z []float64) float64 {
	k := 0
	for _, v := range z {
		if math.Abs(v) <= 1.96 {
			k++
		}
	}
	return share(k, len(z))
}

const scoreHead = "| | sessions | exact | main set | as meant | recall | precision | duration s | start s | end s | pace % | within % | 95 % covers: pace | within | start | end |\n" +
	"|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|---|"

func (a *score) row(name string) string {
	if a.structured == 0 {
		return fmt.Sprintf("| %s | %d steady | %.1f %% without reps, %.2f false reps an hour |", name, a.steady,
			100*(1-share(a.steadyWrong, a.steady)), float64(a.falseReps)/math.Max(a.steadyHours, 1e-9))
	}
	pc := func(k, n int) string { return fmt.Sprintf("%.1f", 100*share(k, n)) }
	return fmt.Sprintf("| %s | %d | %s | %s | %s | %s | %s | %.1f | %.1f | %.1f | %.2f | %.2f | %.0f | %.0f | %.0f | %.0f |", name, a.structured,
		pc(a.exact, a.structured), pc(a.main, a.structured), pc(a.meant, a.structured), pc(a.matched, a.truth), pc(a.matched, a.found),
		medianOf(a.duration), medianOf(a.start), medianOf(a.end), medianOf(a.pace), medianOf(a.within),
		100*covered(a.zPace), 100*covered(a.zWithin), 100*covered(a.zStart), 100*covered(a.zEnd))
}

// A trueRep is what a rep really was.
type trueRep struct {
	start, end float64
	set        int
	pace       float64 // s/km; NaN when only the edges are known
}

func trueReps(tr simulate.Truth) []trueRep {
	var reps []trueRep
	for _, l := range tr.Legs {
		if l.Role == "work" {
			reps = append(reps, trueRep{l.StartS, l.EndS, l.Set, l.PaceSPerKm})
		}
	}
	return reps
}

func foundReps(s *segment.Session) []segment.Segment {
	var reps []segment.Segment
	for _, g := range s.Segments {
		if g.Role == segment.Work {
			reps = append(reps, g)
		}
	}
	return reps
}

// judgeReps scores the reps of a session against the true ones. Exact is every
// rep matched, none invented, and the same grouping into sets.
func judgeReps(s *segment.Session, truth []trueRep) (out score) {
	found := foundReps(s)
	out.truth, out.found = len(truth), len(found)
	same := len(truth) == len(found)
	var errs, ses []float64
	for i, t := range truth {
		for k, f := range found {
			if segment.Overlap(t.start, t.end, f.StartS, f.EndS) < matched {
				continue
			}
			out.matched++
			same = same && i == k && (t.set == 0 || f.Set == t.set)
			out.duration = append(out.duration, f.Seconds()-(t.end-t.start))
			out.start = append(out.start, f.StartS-t.start)
			out.end = append(out.end, f.EndS-t.end)
			out.zStart = append(out.zStart, (f.StartS-t.start)/f.StartSE)
			out.zEnd = append(out.zEnd, (f.EndS-t.end)/f.EndSE)
			if e := f.Pace/t.pace - 1; !math.IsNaN(e) {
				out.pace = append(out.pace, 100*e)
				out.zPace = append(out.zPace, e*t.pace/f.PaceSE)
				errs, ses = append(errs, e), append(ses, f.WithinSE/f.Pace)
			}
		}
	}
	if n := float64(len(errs)); n > 2 {
		common := 0.0
		for _, e := range errs {
			common += e / n
		}
		f := math.Sqrt(n / (n - 1))
		for i, e := range errs {
			out.within = append(out.within, 100*(e-common)*f)
			out.zWithin = append(out.zWithin, (e-common)*f/ses[i])
		}
	}
	out.structured = 1
	if same && out.matched == len(truth) {
		out.exact = 1
	}
	return out
}

// judgeRun scores a split of a simulated run.
func judgeRun(r *recording.Recording, tr simulate.Truth) score {
	s, err := segment.Split(r)
	if err != nil {
		panic(fmt.Sprintf("%s: %v", r.Name, err)) // a simulated run is never too short
	}
	if !tr.Structured {
		n := len(foundReps(s))
		out := score{steady: 1, falseReps: n, steadyHours: r.Duration() / 3600}
		if n > 0 {
			out.steadyWrong = 1
		}
		return out
	}
	out := judgeReps(s, trueReps(tr))
	written := writtenWithoutTargets(s)
	if written == tr.Notation {
		out.meant = 1
	}
	if out.exact == 1 && strings.Contains(written, tr.Main) {
		out.main = 1
	}
	return out
}

// writtenWithoutTargets is the structure found, in the notation.
func writtenWithoutTargets(s *segment.Session) string {
	var strip func(list []segment.Block) []segment.Block
	strip = func(list []segment.Block) []segment.Block {
		out := slices.Clone(list)
		for i := range out {
			out[i].Pace = math.NaN()
			out[i].Body = strip(out[i].Body)
		}
		return out
	}
	return notation.Print(workouts.FromBlocks(strip(s.Structure)))
}
