package workouts

// GoalKind says which fields of a Goal count.
type GoalKind string

// Goal kinds.
const (
	NoGoal         GoalKind = ""
	PaceGoal       GoalKind = "pace"       // Pace, LowPace, HighPace; EndPace when it changes within the step
	QuickerGoal    GoalKind = "quicker"    // QuickerBy, Tolerance, Than, First
	HeartGoal      GoalKind = "heart"      // LowBPM, HighBPM
	UnresolvedGoal GoalKind = "unresolved" // Name
)

// A Goal is the target of one planned step, rep by rep and in plain units.
// Paces are s/km; low is the quick edge. Fields that do not count are zero.
type Goal struct {
	Kind       GoalKind
	TargetKind TargetKind // what it was made from

	Pace      float64 // the middle of what is asked; at the start of the step, when EndPace is set
	EndPace   float64 // at the end of a step that progresses within itself
	LowPace   float64 // the edges, tolerance included; both equal Pace
	HighPace  float64 // when neither band, tolerance nor EndPace widens them
	Tolerance float64 // as written; 0 when unsaid

	QuickerBy float64 // what each rep must gain; 0 is "any"
	Than      int     // the rep it must be quicker than; 0 for the first
	First     bool    // the first of its row, which has none to be quicker than

	LowBPM, HighBPM float64 // beats/min; 0 is open

	Name string // the reference pace, or the heart unit, that the athlete must supply
}

// goalOf resolves a target for pass k of n of the repeat around the step; n is
// 1 outside repeats.
func goalOf(t Target, k, n int) Goal {
	g := Goal{TargetKind: t.Kind, Tolerance: t.Tolerance.PerKm()}
	switch t.Kind {
	case PaceTarget, BandTarget, ProgressionTarget:
		g.Kind = PaceGoal
		from, to := t.From.SecPerKm, t.From.SecPerKm
		if from <= 0 {
			return unresolved(t.Kind, t.From.Name)
		}
		if t.Kind != PaceTarget {
			if to = t.To.SecPerKm; to <= 0 {
				return unresolved(t.Kind, t.To.Name)
			}
		}
		switch {
		case t.Kind != ProgressionTarget:
			g.Pace = (from + to) / 2
		case n > 1:
			g.Pace = between(t.From, t.To, float64(k-1)/float64(n-1))
			from, to = g.Pace, g.Pace
		default:
			g.Pace, g.EndPace = from, to
		}
		g.LowPace = min(from, to) - g.Tolerance
		g.HighPace = max(from, to) + g.Tolerance
	case QuickerTarget:
		g.Kind = QuickerGoal
		g.QuickerBy = t.By.PerKm()
	case HeartTarget:
		g.Kind = HeartGoal
		g.LowBPM, g.HighBPM = t.Heart.LowBPM, t.Heart.HighBPM
		if g.LowBPM == 0 && g.HighBPM == 0 {
			return unresolved(t.Kind, string(t.Heart.Unit))
		}
	}
	return g
}

func unresolved(kind TargetKind, name string) Goal {
	return Goal{Kind: UnresolvedGoal, TargetKind: kind, Name: name}
}

// between interpolates from a (at 0) to b (at 1), s/km. Speeds go in even
// steps of speed, paces in even steps of pace, as the runner would dial them.
func between(a, b Pace, at float64) float64 {
	if a.Unit.IsSpeed() && b.Unit.IsSpeed() {
		return 1 / (1/a.SecPerKm*(1-at) + 1/b.SecPerKm*at)
	}
	return a.SecPerKm*(1-at) + b.SecPerKm*at
}
