package recording

import (
	"fmt"
	"math"
	"slices"
	"time"
)

// Bounds for recognising recordings of one run (common practice, no source):
// nobody runs two runs at once, so a long overlap in time is enough unless the
// distances contradict it. Watch and treadmill, or two watches, differ by a few
// percent; a foot sensor that nobody calibrated by more.
const (
	sameOverlap  = .5  // of the shorter one's time
	sameDistance = .25 // of the greater distance over the common time
)

// SameRun tells whether two recordings are of one run, worn on two devices or
// saved twice, and says why or why not in one sentence. It compares the time
// they have in common and the distance in it.
func SameRun(a, b *Recording) (same bool, reason string) {
	if a.Start.IsZero() || b.Start.IsZero() {
		return false, "one of them does not know its date"
	}
	if a.Sport != b.Sport && a.Sport != SportUnknown && b.Sport != SportUnknown {
		return false, fmt.Sprintf("one is of %s, the other of %s", a.Sport, b.Sport)
	}
	offset := b.Start.Sub(a.Start).Seconds()
	from, to := max(0, offset), min(a.Duration(), offset+b.Duration())
	if to <= from {
		return false, "they have no time in common"
	}
	shorter := min(a.Duration(), b.Duration())
	if share := (to - from) / shorter; share < sameOverlap {
		return false, fmt.Sprintf("they have only %.0f %% of the shorter one's time in common", 100*share)
	}
	common := fmt.Sprintf("they have %.0f s in common, %.0f %% of the shorter one", to-from, 100*(to-from)/shorter)
	da, okA := a.moved(from, to)
	db, okB := b.moved(from-offset, to-offset)
	if !okA || !okB {
		return true, common + "; the distances cannot be compared"
	}
	apart := math.Abs(da-db) / max(da, db, 1)
	if apart > sameDistance && math.Abs(da-db) > 100 {
		return false, fmt.Sprintf("%s, but cover %.0f m and %.0f m in it", common, da, db)
	}
	return true, fmt.Sprintf("%s, and cover %.0f m and %.0f m in it", common, da, db)
}

// moved is the distance covered between two times, from the odometer or, when
// there is none, along the positions.
func (r *Recording) moved(from, to float64) (metres float64, ok bool) {
	i, _ := slices.BinarySearch(r.T, from)
	j, _ := slices.BinarySearch(r.T, to+1e-9)
	part := &Recording{T: r.T[i:j], Distance: r.Distance.slice(i, j), Latitude: r.Latitude.slice(i, j), Longitude: r.Longitude.slice(i, j)}
	if metres, ok = part.travelled(); ok {
		return metres, true
	}
	if part.Latitude.Count() < 2 {
		return 0, false
	}
	return part.trackLength(), true
}

// slice is the part of a stream from record i up to record j; it shares memory.
func (s Stream) slice(i, j int) Stream {
	if s.Value == nil {
		return s
	}
	return Stream{s.Value[i:j], s.Valid[i:j]}
}

// MaxJoinGap is the longest time between two recordings that are pieces of one
// session (common practice, no source): a warm-up saved apart, a device that
// was stopped and started anew.
const MaxJoinGap = 20 * time.Minute

// Joinable tells whether second is a further piece of the session of first, and
// says why or why not in one sentence.
func Joinable(first, second *Recording) (ok bool, reason string) {
	if first.Start.IsZero() || second.Start.IsZero() {
		return false, "one of them does not know its date"
	}
	if first.Sport != second.Sport && first.Sport != SportUnknown && second.Sport != SportUnknown {
		return false, fmt.Sprintf("one is of %s, the other of %s", first.Sport, second.Sport)
	}
	gap := second.Start.Sub(first.Start).Seconds() - first.Duration()
	switch {
	case gap <= 0:
		return false, "the second begins before the first ends"
	case gap > MaxJoinGap.Seconds():
		return false, fmt.Sprintf("%.0f min lie between them", gap/60)
	}
	return true, fmt.Sprintf("the second begins %.0f s after the first ends", gap)
}

// longestPause is the longest time between two recordings that Join takes for one
// session, s: half a day, which nobody stands about in a session.
const longestPause = 12 * 3600

// Join makes one recording of two pieces of one session, in the order of time;
// neither is changed. The time between them becomes a stop, and the second
// one's odometer goes on from the first one's. A planned workout is kept from
// the one that has it, from the first if both do. The pieces must not overlap, and
// the time between them may be up to half a day: Joinable tells whether they look
// like one session, the runner may know better. The error says why they cannot be
// joined.
func Join(first, second *Recording) (*Recording, error) {
	if second.Start.Before(first.Start) {
		first, second = second, first
	}
	gap := second.Start.Sub(first.Start).Seconds() - first.Duration()
	switch {
	case first.Start.IsZero() || first.Len() == 0 || second.Len() == 0:
		return nil, refuse(first.Name+" + "+second.Name, ErrNotJoinable, "cannot be joined: one of them has no date or no records", "")
	case gap < 0:
		return nil, refuse(first.Name+" + "+second.Name, ErrNotJoinable, "cannot be joined: they overlap", "")
	case gap > longestPause:
		return nil, refuse(first.Name+" + "+second.Name, ErrNotJoinable, fmt.Sprintf("cannot be joined: the second begins %.0f hours after the first ends", gap/3600), "")
	}
	return join(first, second), nil
}

// join is Join of two recordings that may be joined, in the order of time.
func join(first, second *Recording) *Recording {
	n := first.Len()
	shift := second.Start.Sub(first.Start).Seconds()
	out := &Recording{
		Name: first.Name + " + " + second.Name, Format: first.Format, Start: first.Start,
		Sport: first.Sport, Place: first.Place, Plan: first.Plan,
		T: slices.Clone(first.T),
	}
	if out.Sport == SportUnknown {
		out.Sport = second.Sport
	}
	if out.Place == PlaceUnknown {
		out.Place = second.Place
	}
	if out.Plan == nil {
		out.Plan = second.Plan
	}
	for _, t := range second.T {
		out.T = append(out.T, t+shift)
	}
	from, more := first.streams(), second.streams()
	for c, s := range out.streams() {
		*s = concat(*from[c], *more[c], n, second.Len())
	}
	out.carryOdometer(n)
	if first.Stage != nil || second.Stage != nil {
		out.Stage = make([]string, out.Len())
		copy(out.Stage, first.Stage)
		copy(out.Stage[n:], second.Stage)
	}
	out.Laps = slices.Clone(first.Laps)
	for _, l := range second.Laps {
		l.Span = l.shifted(shift)
		if second.Plan != out.Plan {
			l.Step = -1
		}
		out.Laps = append(out.Laps, l)
	}
	if first.Plan != out.Plan {
		for i := range first.Laps {
			out.Laps[i].Step = -1
		}
	}
	out.Stops = append(slices.Clone(first.Stops), Span{first.Duration(), shift})
	for _, s := range second.Stops {
		out.Stops = append(out.Stops, s.shifted(shift))
	}
	out.Summary = Summary{
		ElapsedS:  shift + either(second.Summary.ElapsedS, second.Duration()),
		TimerS:    first.Summary.TimerS + second.Summary.TimerS,
		DistanceM: first.Summary.DistanceM + second.Summary.DistanceM,
	}
	out.Warnings = slices.Clone(first.Warnings)
	for _, w := range second.Warnings {
		w.StartS, w.EndS = w.StartS+shift, w.EndS+shift // NaN stays NaN
		out.Warnings = append(out.Warnings, w)
	}
	out.Warn(Joined, fmt.Sprintf("two recordings were joined, %.0f s apart", shift-first.Duration()), first.Duration(), shift)
	return out
}

func (s Span) shifted(by float64) Span { return Span{s.StartS + by, s.EndS + by} }

// concat joins the streams of n and m records.
func concat(a, b Stream, n, m int) Stream {
	if a.Value == nil && b.Value == nil {
		return Stream{}
	}
	s := MakeStream(n + m)
	copy(s.Value, a.Value)
	copy(s.Valid, a.Valid)
	copy(s.Value[n:], b.Value)
	copy(s.Valid[n:], b.Valid)
	return s
}

// carryOdometer lets the distance from record n on go on from the last before
// it, unless the odometer did so by itself.
func (r *Recording) carryOdometer(n int) {
	last, next := -1, -1
	for i, ok := range r.Distance.Valid {
		switch {
		case ok && i < n:
			last = i
		case ok && next < 0:
			next = i
		}
	}
	if last < 0 || next < 0 || r.Distance.Value[next] >= r.Distance.Value[last] {
		return
	}
	base := r.Distance.Value[last]
	for i := n; i < len(r.Distance.Value); i++ {
		if r.Distance.Valid[i] {
			r.Distance.Value[i] += base
		}
	}
}
