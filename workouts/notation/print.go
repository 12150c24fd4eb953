package notation

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/figures"
)

// Print writes the steps of a workout in one canonical line, without its name,
// tags and note. An empty workout is an empty line.
func Print(w workouts.Workout) string {
	return strings.Join(itemTexts(w), " + ")
}

// PrintFile writes a library file: the header, a blank line, an item a line.
func PrintFile(w workouts.Workout) string {
	texts := headerLines(w)
	if len(texts) > 0 {
		texts = append(texts, "")
	}
	texts = append(texts, itemTexts(w)...)
	if len(texts) == 0 {
		return ""
	}
	return strings.Join(texts, "\n") + "\n"
}

func itemTexts(w workouts.Workout) []string {
	var texts []string
	for _, it := range w.Normal().Items {
		texts = append(texts, itemText(it))
	}
	return texts
}

func itemText(it workouts.Item) string {
	var s string
	if len(it.Body) > 0 {
		parts := make([]string, len(it.Body))
		for i, inner := range it.Body {
			parts[i] = itemText(inner)
		}
		s = "( " + strings.Join(parts, " + ") + " )"
	} else {
		s = stepText(it.Step, workouts.Work)
	}
	if it.Count > 1 {
		s = strconv.Itoa(it.Count) + " x " + s
	}
	if it.Rest != nil {
		s += " off " + stepText(*it.Rest, workouts.Unsaid)
	}
	return s
}

// stepText writes a step; the manner is left out when it is the default.
func stepText(s workouts.Step, standard workouts.Manner) string {
	text := amountText(s.Amount)
	if s.Manner != standard && s.Manner != workouts.Unsaid {
		text += " " + string(s.Manner)
	}
	if s.Target.Kind != workouts.NoTarget {
		text += " @ " + TargetText(s.Target)
	}
	return text
}

// amountText writes an amount: a clock for a minute and more, metres up to
// 2000 unless whole kilometres.
func amountText(a workouts.Amount) string {
	switch {
	case a.Kind == workouts.Open:
		return "open"
	case a.Kind == workouts.Time:
		if s := math.Round(a.Seconds); s < 60 {
			return decimal(s, 0) + "s"
		}
		return figures.Clock(a.Seconds)
	case a.Mile:
		return decimal(a.Metres/figures.MetresPerMile, 3) + "mi"
	}
	m := math.Round(a.Metres)
	if m > 2000 || m >= 1000 && math.Mod(m, 1000) == 0 {
		return decimal(m/1000, 3) + "km"
	}
	return decimal(m, 0) + "m"
}

// clockText writes a pace's seconds as m:ss, to the tenth where it has one.
func clockText(seconds float64) string {
	t := int(math.Round(seconds * 10))
	s := fmt.Sprintf("%d:%02d", t/600, t/10%60)
	if t%10 != 0 {
		s += fmt.Sprintf(".%d", t%10)
	}
	return s
}

// decimal writes v with at most n decimals.
func decimal(v float64, n int) string {
	s := strconv.FormatFloat(v, 'f', n, 64)
	if strings.Contains(s, ".") {
		s = strings.TrimRight(strings.TrimRight(s, "0"), ".")
	}
	return s
}

// TargetText writes a target as it stands after "@"; empty for none.
func TargetText(t workouts.Target) string {
	var s string
	switch t.Kind {
	case workouts.PaceTarget:
		s = paceText(t.From, true)
	case workouts.BandTarget, workouts.ProgressionTarget:
		named := t.From.Name != "" || t.To.Name != ""
		join := "-"
		if t.Kind == workouts.ProgressionTarget {
			join = " -> "
		} else if named {
			join = " - "
		}
		s = paceText(t.From, named || t.From.Unit != t.To.Unit) + join + paceText(t.To, true)
	case workouts.QuickerTarget:
		s = "quicker"
		if t.By.Seconds != 0 {
			s += " by " + offsetText(t.By, workouts.AthleteUnit)
		}
	case workouts.HeartTarget:
		s = heartText(t.Heart)
	}
	if t.Tolerance.Seconds != 0 {
		s += " ±" + offsetText(t.Tolerance, besideTarget(t))
	}
	return s
}

func paceText(p workouts.Pace, unit bool) string {
	if p.Name != "" {
		switch {
		case p.Offset.Seconds > 0:
			return p.Name + " +" + offsetText(p.Offset, workouts.AthleteUnit)
		case p.Offset.Seconds < 0:
			o := p.Offset
			o.Seconds = -o.Seconds
			return p.Name + " -" + offsetText(o, workouts.AthleteUnit)
		}
		return p.Name
	}
	s := clockText(p.Value())
	if p.Unit.IsSpeed() {
		s = decimal(p.Value(), 2)
	}
	if unit {
		s += string(p.Unit)
	}
	return s
}

// offsetText writes an offset, with its unit when that differs from the one
// it would be read with.
func offsetText(o workouts.PaceOffset, beside workouts.PaceUnit) string {
	s := decimal(o.Seconds, 1) + "s"
	if o.Unit != beside {
		s += string(o.Unit)
	}
	return s
}

func heartText(h workouts.HeartRange) string {
	low, high := decimal(h.Low, 2), decimal(h.High, 2)
	if h.Unit == workouts.Zone {
		if h.Low == h.High {
			return "zone " + low
		}
		return "zone " + low + "-" + high
	}
	switch {
	case h.Low == 0:
		return "<" + high + string(h.Unit)
	case h.High == 0:
		return ">" + low + string(h.Unit)
	case h.Low == h.High:
		return low + string(h.Unit)
	}
	return low + "-" + high + string(h.Unit)
}
