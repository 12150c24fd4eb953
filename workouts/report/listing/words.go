package listing

import (
	"fmt"
	"math"
	"slices"
	"sort"
	"strings"
	"time"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/figures"
)

// How many weeks before it a week is compared with.
const weeksBefore = 4

// The longest run of the last days that a run is held against, and by how much it must
// go beyond it to be told. One run more than 10 % longer than the longest of the last 30
// days came with more injuries (hazard ratio 1.64 up to 30 %, 1.52 up to 100 %, 2.28
// above), a rise from week to week with none more (Frandsen and others 2025, Br. J.
// Sports Med. 59:1203-1210, n = 5205).
const (
	longestDays  = 30
	longestShare = 1.10
)

// week is the i-th week of a block in words, a sentence each, for reading aloud.
func week(b *block.Block, i int, kept []block.KeptWeek) []string {
	w := &b.Weeks[i]
	u := figures.UnitOf(b.Athlete.Miles)
	if w.Sessions == 0 {
		return append([]string{"Nothing was run."}, missed(kept, w.Start)...)
	}
	out := []string{volume(b, i, u)}
	out = append(out, places(w, u)...)
	out = append(out, hard(w, u)...)
	out = append(out, upper(b, w)...)
	out = append(out, progress(b, w, u)...)
	out = append(out, missed(kept, w.Start)...)
	return append(out, cautions(b, w, u)...)
}

// volume tells the distance of a week, and against the mean of the weeks before.
func volume(b *block.Block, i int, u figures.Unit) string {
	w := &b.Weeks[i]
	s := figures.Plural(w.Sessions, "session") + ", "
	if w.DistanceM > 0 {
		s += u.Distance(w.DistanceM) + " in "
	}
	s += figures.Sum(w.TimeS)
	mean, n := meanBefore(b, i)
	if n == 0 || !(mean > 0) {
		return s + "."
	}
	of := "the week before"
	if n > 1 {
		of = fmt.Sprintf("the mean of the %d weeks before", n)
	}
	switch change := 100 * (w.DistanceM/mean - 1); {
	case math.Abs(change) < 5: // as a volume counts as planned
		return s + fmt.Sprintf(", about as much as %s (%s).", of, u.Distance(mean))
	case change > 0:
		return s + fmt.Sprintf(", %.0f %% more than %s (%s).", change, of, u.Distance(mean))
	default:
		return s + fmt.Sprintf(", %.0f %% less than %s (%s).", -change, of, u.Distance(mean))
	}
}

// meanBefore is the mean distance of the weeks before, m, and how many there are. Weeks
// without a run count, those before the first run do not.
func meanBefore(b *block.Block, i int) (mean float64, n int) {
	first := b.Weeks[0].Start
	for k := 1; k <= weeksBefore; k++ {
		start := b.Weeks[i].Start.AddDate(0, 0, -7*k)
		if start.Before(first) {
			break
		}
		n++
		near := b.Weeks[max(0, i-k):i] // long gaps are left out
		if j := slices.IndexFunc(near, func(w block.Week) bool { return w.Start.Equal(start) }); j >= 0 {
			mean += near[j].DistanceM
		}
	}
	return mean / math.Max(float64(n), 1), n
}

var placeWords = map[recording.Place]string{recording.Outdoors: "outdoors", recording.Treadmill: "on the treadmill",
	recording.Track: "on the track", recording.Trail: "on trails", recording.PlaceUnknown: "where the recordings do not say"}

func places(w *block.Week, u figures.Unit) []string {
	var parts []string
	for _, p := range w.Where {
		if p.DistanceM > 0 {
			parts = append(parts, u.Distance(p.DistanceM)+" "+placeWords[p.Place])
		}
	}
	if len(parts) == 0 || len(parts) == 1 && w.Where[len(w.Where)-1].DistanceM > 0 {
		return nil // nothing tells where
	}
	return []string{"Run " + join(parts) + "."}
}

// hard tells the hard sessions, and what of them was work.
func hard(w *block.Week, u figures.Unit) []string {
	if w.Hard == 0 {
		return []string{"No session was hard."}
	}
	verb := "were"
	if w.Hard == 1 {
		verb = "was"
	}
	s := fmt.Sprintf("%d of them %s hard", w.Hard, verb)
	if w.Sessions == 1 {
		s = "It was hard"
	}
	if w.DistanceM > 0 {
		s += fmt.Sprintf(", %s or %.0f %% of the distance", u.Distance(w.HardM), 100*w.HardM/w.DistanceM)
	}
	for i, role := range block.LedgerRoles {
		if m := w.Ledger[i].DistanceM; role == segment.Work && m > 0 && w.HardM > 0 {
			s += fmt.Sprintf("; %s of that was work, %.0f %%", u.Distance(m), 100*m/w.HardM)
		}
	}
	return []string{s + "."}
}

// upper tells the time in the upper two zones.
func upper(b *block.Block, w *block.Week) []string {
	if len(b.Zones.Lower) < 2 || w.Heart.KnownS == 0 {
		return nil
	}
	t := w.Heart.UpperTwoS()
	if !(t >= 1) {
		return []string{"No time was spent in the upper two zones of heart rate."}
	}
	return []string{fmt.Sprintf("%s was spent in the upper two zones of heart rate, %.0f %% of the time with a heart rate.", figures.Sum(t), 100*t/w.Heart.KnownS)}
}

// progress tells of each session of three and more reps of about one length whether its
// reps got quicker.
func progress(b *block.Block, w *block.Week, u figures.Unit) (out []string) {
	for i := firstFrom(b, w.Start); inWeek(b, i, w); i++ {
		s := &b.Sessions[i]
		if !s.Hard {
			continue
		}
		if p := s.Progress(); p.Reps >= 3 {
			way := "stayed level"
			switch {
			case p.ChangeSPerKm < -p.MarginSPerKm:
				way = "got quicker"
			case p.ChangeSPerKm > p.MarginSPerKm:
				way = "slowed"
			}
			out = append(out, fmt.Sprintf("The %d reps of %s %s, from %s to %s /%s (±%.0f s from one to the other).",
				p.Reps, s.Day.Format("Monday"), way, u.Pace(p.First), u.Pace(p.Last), u.Name, math.Max(1, math.Ceil(p.MarginSPerKm*u.Metres/1000))))
		}
	}
	return out
}

// firstFrom is the place of the first session of a day or after it: sessions are in the
// order of their days.
func firstFrom(b *block.Block, day time.Time) int {
	return sort.Search(len(b.Sessions), func(i int) bool { return !b.Sessions[i].Day.Before(day) })
}

// inWeek tells whether there is an i-th session, and of this week.
func inWeek(b *block.Block, i int, w *block.Week) bool {
	return i < len(b.Sessions) && b.Calendar.Week(b.Sessions[i].Day).Equal(w.Start)
}

// missed tells what was planned for a week and not run or not all of it, and what is to come.
func missed(kept []block.KeptWeek, start time.Time) (out []string) {
	for _, k := range kept {
		if !k.Start.Equal(start) {
			continue
		}
		var lost, ahead, other, cut []string
		for _, s := range k.Sessions {
			switch {
			case s.Planned == nil || s.Planned.Rest:
			case s.Outcome == block.Missed:
				lost = append(lost, s.Planned.String()+" on "+s.Day.Format("Monday"))
			case s.Outcome == block.Cut:
				cut = append(cut, fmt.Sprintf("%s on %s, of which %.0f %% was run", s.Planned, s.Day.Format("Monday"), 100*s.Share))
			case s.Outcome == block.Replaced:
				other = append(other, s.Planned.String()+" on "+s.Day.Format("Monday"))
			case s.Outcome == block.Ahead:
				ahead = append(ahead, s.Planned.String()+" on "+s.Day.Format("Monday"))
			}
		}
		if len(lost) > 0 {
			out = append(out, "Planned and not run: "+join(lost)+".")
		}
		if len(cut) > 0 {
			out = append(out, "Cut short: "+join(cut)+".")
		}
		if len(other) > 0 {
			out = append(out, "Something else was run instead of "+join(other)+".")
		}
		if len(ahead) > 0 {
			out = append(out, "Still to come: "+join(ahead)+".")
		}
	}
	return out
}

// cautions tells runs well beyond the longest of the 30 days before them.
func cautions(b *block.Block, w *block.Week, u figures.Unit) (out []string) {
	for i := firstFrom(b, w.Start); inWeek(b, i, w); i++ {
		s := &b.Sessions[i]
		since := s.Day.AddDate(0, 0, -longestDays)
		longest := 0.0
		for j := firstFrom(b, since); j < i; j++ {
			if o := &b.Sessions[j]; o.Start.Before(s.Start) {
				longest = math.Max(longest, o.DistanceM)
			}
		}
		known := !b.Sessions[0].Day.After(since) // else what was run before is not known
		if known && longest > 0 && s.DistanceM > longestShare*longest {
			out = append(out, fmt.Sprintf("Be careful: the run of %s, %s, was %.0f %% longer than the longest of the %d days before it (%s); in a study of 5,205 runners more were hurt after one such run, and no more after a rise from week to week.",
				s.Day.Format("Monday"), u.Distance(s.DistanceM), 100*(s.DistanceM/longest-1), longestDays, u.Distance(longest)))
		}
	}
	return out
}

// join joins parts for a sentence.
func join(parts []string) string {
	if len(parts) < 2 {
		return strings.Join(parts, "")
	}
	return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
}
