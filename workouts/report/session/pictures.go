package session

import (
	"math"
	"slices"
	"strconv"

	"example.org/rungs/segment"
	"example.org/rungs/workouts/figures"
	"example.org/rungs/workouts/report/chart"
	"example.org/rungs/workouts/trend"
)

// smoothS is the number of seconds over which the courses of reps are averaged, so that
// their lines can be told apart; our own choice.
const smoothS = 9

// alike is how much longer or shorter than the median rep a rep may be and still be drawn
// over the others; our own choice.
const alike = 0.25

// overlaid draws the reps of about one length from a common start; none for
// fewer than two.
// Branches: what reps have in common, target and length, is told rep by rep.
func overlaid(s *segment.Session, reps []repPoint, u figures.Unit) []chart.Chart {
	x, speed := speedTrace(s, stopSpans(s))
	var lengths []float64
	for _, r := range reps {
		if n := r.EndS - r.StartS; n > 0 && !r.cut {
			lengths = append(lengths, n)
		}
	}
	if len(lengths) == 0 || len(x) == 0 {
		return nil
	}
	slices.Sort(lengths)
	middle := quantile(lengths, 0.5)
	o := chart.Overlay{Unit: drawnUnit(u)}
	for _, r := range reps {
		n := r.EndS - r.StartS
		if !(n > 0) || n > (1+alike)*middle || n < (1-alike)*middle && !r.cut {
			continue
		}
		course := chart.OverlayRep{Name: "+", Cut: r.cut, Figures: u.Pace(r.pace) + " " + u.Per() + " " + u.Margin(r.se)}
		if r.rep > 0 {
			course.Name = strconv.Itoa(r.rep)
		}
		for i, t := range x {
			if t >= r.StartS && t <= r.EndS {
				course.Seconds, course.Speed = append(course.Seconds, t-r.StartS), append(course.Speed, speed[i])
			}
		}
		course.Speed = smooth(course.Speed, smoothS)
		o.Reps = append(o.Reps, course)
		low, high := r.target.LowSPerKm, r.target.HighSPerKm
		switch first := len(o.Reps) == 1; {
		case first && figures.Known(low) && low > r.target.Tolerance:
			o.Low, o.High, o.Tolerance = low, high, r.target.Tolerance
		case first || low != o.Low || high != o.High:
			o.Low, o.High = 0, 0 // not one target for all
		}
		switch {
		case len(o.Reps) == 1:
			o.Planned = r.plannedS
		case math.Abs(o.Planned-r.plannedS) > 0.5:
			o.Planned = 0
		}
	}
	c, ok := chart.RepsOverlaid(o)
	if !ok {
		return nil
	}
	return []chart.Chart{c}
}

// smooth is the mean over so many neighbours, an odd number, of those known.
func smooth(v []float64, over int) []float64 {
	out := make([]float64, len(v))
	for i := range v {
		sum, n := 0.0, 0
		for k := max(0, i-over/2); k <= min(len(v)-1, i+over/2); k++ {
			if figures.Known(v[k]) {
				sum, n = sum+v[k], n+1
			}
		}
		out[i] = sum / float64(n)
		if !figures.Known(v[i]) {
			out[i] = math.NaN()
		}
	}
	return out
}

// Least and largest length of a rep or a run that is drawn stretch by stretch, in
// the unit; our own choice.
const (
	insideLeast = 3
	insideMost  = 250
)

// inside draws a run, or a rep of it, kilometre by kilometre or mile by mile;
// none for what is shorter than three.
func inside(s *segment.Session, from, to float64, name string, u figures.Unit) []chart.Chart {
	in := chart.Inside{Unit: drawnUnit(u), Name: name, Stretches: stretches(s, from, to, u)}
	if len(in.Stretches) == 0 {
		return nil
	}
	in.Drift = heartDrift(in.Stretches)
	var charts []chart.Chart
	if c, ok := chart.PaceInside(in); ok {
		charts = append(charts, c)
	}
	if c, ok := chart.HeartAgainstPace(in); ok {
		charts = append(charts, c)
	}
	return charts
}

// stretches are the kilometres or miles of a run, or of a rep of it, the last one as
// long as it is; none for what is shorter than three. Paces are without stops.
func stretches(s *segment.Session, from, to float64, u figures.Unit) (out []chart.Stretch) {
	whole := s.Distance(from, to)
	unitM := 1000 * u.PerKm()
	if !figures.Known(whole) || whole < insideLeast*unitM || whole > insideMost*unitM {
		return nil
	}
	stops := stopSpans(s)
	start, begin := from, s.Distance(0, from)
	for k := 1; start < to; k++ {
		at := min(float64(k)*unitM, whole)
		end := to
		if at < whole {
			end = reaches(s, begin+at, start, to)
		}
		if at-float64(k-1)*unitM < 0.05*unitM { // too short to have a pace of its own
			break
		}
		stood := 0.0
		for _, x := range stops {
			stood += max(0, min(x.EndS, end)-max(x.StartS, start))
		}
		pace, se := s.Pace(start, end)
		if moving := end - start - stood; moving > 0 {
			pace *= moving / (end - start)
		}
		out = append(out, chart.Stretch{
			From: float64(k - 1), To: at / unitM, Pace: pace, Margin: trend.Z95 * se, Heart: meanBeats(s, start, end), Seconds: end - start, StoodS: stood,
		})
		start = end
		if at >= whole {
			break
		}
	}
	return out
}

// reaches is when the distance from the start reaches so many metres, s.
func reaches(s *segment.Session, metres, from, to float64) float64 {
	for range 40 { // halvings: a day to less than a millionth of a second
		if mid := (from + to) / 2; s.Distance(0, mid) < metres {
			from = mid
		} else {
			to = mid
		}
	}
	return (from + to) / 2
}

// meanBeats is the mean heart rate between two times in seconds, NaN when there is none.
func meanBeats(s *segment.Session, from, to float64) float64 {
	sum, n := 0.0, 0
	for i := max(0, int(from)); i < len(s.Trace.HeartRate) && float64(i) < to; i++ {
		if v := s.Trace.HeartRate[i]; figures.Known(v) {
			sum, n = sum+v, n+1
		}
	}
	return sum / float64(n)
}

// heartDrift is what the heart gained from the first half to the second at
// equal pace: the coefficient of the half in a least-squares fit of heart rate on
// speed and half, without the first stretch, in which the heart comes up (the
// textbook formula for two regressors). It needs eight stretches.
func heartDrift(stretches []chart.Stretch) chart.HeartDrift {
	none := chart.HeartDrift{Beats: math.NaN()}
	var v, h, half []float64
	for i, x := range stretches {
		if i > 0 && figures.Known(x.Heart) && figures.Known(x.Pace) && x.Pace > 0 && x.Pace < figures.Standing && x.To-x.From > 0.5 {
			v, h = append(v, 1000/x.Pace), append(h, x.Heart)
		}
	}
	n := len(v)
	if n < 8 {
		return none
	}
	for i := range v {
		half = append(half, 0)
		if i >= n/2 {
			half[i] = 1
		}
	}
	mv, mh, mz := mean(v), mean(h), mean(half)
	var vv, zz, vz, vh, zh, hh float64
	for i := range v {
		a, b, c := v[i]-mv, half[i]-mz, h[i]-mh
		vv, zz, vz, vh, zh, hh = vv+a*a, zz+b*b, vz+a*b, vh+a*c, zh+b*c, hh+c*c
	}
	det := vv*zz - vz*vz
	if !(det > 1e-9*vv*zz) {
		return none
	}
	slope, gain := (vh*zz-zh*vz)/det, (zh*vv-vh*vz)/det
	rest := max(0, hh-slope*vh-gain*zh) / float64(n-3)
	return chart.HeartDrift{Beats: gain, Margin: trend.Z95 * math.Sqrt(rest*vv/det), Pace: 1000 / mv}
}

func mean(v []float64) float64 {
	sum := 0.0
	for _, x := range v {
		sum += x
	}
	return sum / float64(len(v))
}

// partInks are the inks of the parts of a session.
var partInks = map[segment.Role]chart.Ink{
	segment.Work: chart.Work, segment.Recovery: chart.Recovery, segment.Warm: chart.Warm,
	segment.Cool: chart.Cool, segment.Easy: chart.Easy, segment.Run: chart.Easy, segment.Stop: chart.Stop,
}

// ledgerBar draws the parts of a session in the order they were run; none for
// fewer than two.
func ledgerBar(s *segment.Session, u figures.Unit) []chart.Chart {
	var l chart.LedgerSession
	for _, x := range s.Segments {
		p := chart.LedgerPart{Word: roleWords[x.Role], Ink: partInks[x.Role], Seconds: x.Seconds()}
		if x.Role == segment.Stop {
			p.Word = "standing"
		} else if figures.Known(x.DistanceM) && x.DistanceM > 0 {
			p.Short = figures.Decimal(x.DistanceM/1000/u.PerKm(), 2)
			p.Distance = p.Short + " " + u.Name
		}
		l.Parts = append(l.Parts, p)
	}
	if len(l.Parts) < 2 {
		return nil
	}
	c, ok := chart.LedgerBars([]chart.LedgerSession{l})
	if !ok {
		return nil
	}
	return []chart.Chart{c}
}

// Steps of the bands of time: our own choice, round on the runner's clock.
const (
	paceStepS  = 30 // s per unit
	heartStep  = 10 // beats/min
	mostBands  = 10 // more are not read
	leastBandS = 5  // s; bands at the ends with less are left out
)

// timeBands draws the time by pace beside that by heart rate.
func timeBands(s *segment.Session, u figures.Unit) []chart.Chart {
	_, speed := speedTrace(s, stopSpans(s))
	pace, heart := map[int]float64{}, map[int]float64{}
	for _, v := range smooth(speed, smoothS) {
		if figures.Known(v) && v > figures.Strolling {
			pace[int(1000/v*u.PerKm()/paceStepS)]++
		}
	}
	for _, v := range s.Trace.HeartRate {
		if figures.Known(v) && v > 0 {
			heart[-int(v/heartStep)]++ // the highest first
		}
	}
	paces := bands(pace, func(k int) string {
		return figures.Clock(float64(k*paceStepS)) + " to " + figures.Clock(float64((k+1)*paceStepS))
	},
		func(k int) string { return "slower than " + figures.Clock(float64(k*paceStepS)) })
	hearts := bands(heart, func(k int) string { return strconv.Itoa(-k*heartStep) + " to " + strconv.Itoa((1-k)*heartStep) },
		func(k int) string { return "below " + strconv.Itoa((1-k)*heartStep) })
	c, ok := chart.TimeBands(paces, hearts, u.Per())
	if !ok {
		return nil
	}
	return []chart.Chart{c}
}

// bands lists counts of seconds from the first to the last band; what is beyond
// the most that are read is one band.
func bands(counts map[int]float64, name, beyond func(k int) string) (list []chart.TimeBand) {
	var ks []int
	for k, n := range counts {
		if n >= leastBandS {
			ks = append(ks, k)
		}
	}
	if len(ks) == 0 {
		return nil
	}
	slices.Sort(ks)
	from, to := ks[0], ks[len(ks)-1]
	for k := from; k <= to && len(list) < mostBands; k++ {
		list = append(list, chart.TimeBand{Name: name(k), Seconds: counts[k]})
	}
	if last := from + mostBands - 1; to > last {
		rest := chart.TimeBand{Name: beyond(last)}
		for _, k := range ks {
			if k >= last {
				rest.Seconds += counts[k]
			}
		}
		list[mostBands-1] = rest
	}
	return list
}
