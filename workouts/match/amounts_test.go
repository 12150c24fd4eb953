package match

import "testing"

// Amounts are as planned within their tolerance and not beyond it, on sessions without
// noise: 6 % of a rep of 4:00 are 14.4 s, 20 % of a recovery of 1:30 are 18 s, 35 % of a
// warm-up of 10:00 are 210 s, 15 % of 40:00 easy are 360 s; edges are found to a second.
// Whatever is allowed, 40 % off is never as planned.
func TestAmountsWithinTheirTolerance(t *testing.T) {
	const plan = "10:00 warm + 3 x 4:00 off 90s jog + 10:00 cool"
	session := func(warm, rep, rest, cool float64) []float64 {
		return legs(warm, 2.5, 240, 4, 90, 2, rep, 4, rest, 2, 240, 4, cool, 2.5)
	}
	for _, c := range []struct {
		name  string
		plan  string
		speed []float64
		o     Amounts
		want  DeviationKind // empty: as planned
	}{
		{"all as planned", plan, session(600, 240, 90, 600), Amounts{}, ""},
		{"rep 12 s short", plan, session(600, 228, 90, 600), Amounts{}, ""},
		{"rep 17 s short", plan, session(600, 223, 90, 600), Amounts{}, ShortRep},
		{"rep 12 s long", plan, session(600, 252, 90, 600), Amounts{}, ""},
		{"rep 17 s long", plan, session(600, 257, 90, 600), Amounts{}, LongRep},
		{"rep 17 s long, 9 % allowed", plan, session(600, 257, 90, 600), Amounts{Rep: 9}, ""},
		{"recovery 15 s short", plan, session(600, 240, 75, 600), Amounts{}, ""},
		{"recovery 21 s short", plan, session(600, 240, 69, 600), Amounts{}, ShortRecovery},
		{"recovery 15 s long", plan, session(600, 240, 105, 600), Amounts{}, ""},
		{"recovery 21 s long", plan, session(600, 240, 111, 600), Amounts{}, LongRecovery},
		{"recovery 21 s long, 30 % allowed", plan, session(600, 240, 111, 600), Amounts{Rest: 30}, ""},
		{"recovery 15 s long, 12 % allowed", plan, session(600, 240, 105, 600), Amounts{Rest: 12}, LongRecovery},
		{"recovery 40 s long, 80 % allowed", plan, session(600, 240, 130, 600), Amounts{Rest: 80}, LongRecovery},
		{"warm-up 3:20 long", plan, session(800, 240, 90, 600), Amounts{}, ""},
		{"warm-up 3:45 long", plan, session(825, 240, 90, 600), Amounts{}, WarmAmount},
		{"warm-up 3:20 short", plan, session(400, 240, 90, 600), Amounts{}, ""},
		{"warm-up 4:00 long, 80 % allowed", plan, session(845, 240, 90, 600), Amounts{Ends: 80}, WarmAmount},
		{"cool-down 3:45 short", plan, session(600, 240, 90, 375), Amounts{}, CoolAmount},
		{"cool-down 1:00 short, 5 % allowed", plan, session(600, 240, 90, 540), Amounts{Ends: 5}, CoolAmount},
		{"easy, 5:40 long", "40:00 easy", legs(2740, 2.8), Amounts{}, ""},
		{"easy, 6:20 long", "40:00 easy", legs(2780, 2.8), Amounts{}, EasyAmount},
		{"easy, 5:40 short", "40:00 easy", legs(2060, 2.8), Amounts{}, ""},
		{"easy, 6:20 short", "40:00 easy", legs(2020, 2.8), Amounts{}, EasyAmount},
	} {
		r, err := Check(parse(t, c.plan), made(c.speed), Options{Amounts: c.o})
		if err != nil {
			t.Fatal(err)
		}
		var kinds []DeviationKind
		for _, d := range r.Deviations {
			kinds = append(kinds, d.Kind)
		}
		if c.want == "" && r.Verdict != AsPlanned || c.want != "" && (r.Verdict != Departed || len(kinds) != 1 || kinds[0] != c.want) {
			t.Errorf("%s: %s %q, want %q", c.name, r.Verdict, r.Reasons, c.want)
		}
	}
}
