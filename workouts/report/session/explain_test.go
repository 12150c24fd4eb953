package session

import (
	"bytes"
	"encoding/json"
	"testing"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/notation"
	"example.org/rungs/workouts/report"
)

func parsed(t *testing.T, src string) workouts.Workout {
	t.Helper()
	w, err := notation.Parse("", src)
	if err != nil {
		t.Fatal(err)
	}
	return w
}

func TestExplainText(t *testing.T) {
	const want = `plan: 15:00 warm + 3 x 4:00 @ 4:00 -> 3:50/km off 1:30 jog + 2 x ( 2 x 1:00 @ quicker off 30s walk ) off open stand
▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▃▄██████▅▂▂▇██████▂▂▅██████▇▆▁▆▆▆▂▄▆
                          1──────  2──────   3──────4 5─6 7─

step  part      set  rep  run         target          from        at   time  distance
   1  warm-up             15:00 warm                  0:00   0.00 km  15:00   ≈2380 m
   2  work        1    1  4:00        4:00/km        15:00  ≈2.38 km   4:00    1000 m
   3  recovery            1:30 jog                   19:00  ≈3.38 km   1:30    ≈210 m
   4  work        1    2  4:00        3:55/km        20:30  ≈3.59 km   4:00    1021 m
   5  recovery            1:30 jog                   24:30  ≈4.61 km   1:30    ≈210 m
   6  work        1    3  4:00        3:50/km        26:00  ≈4.82 km   4:00    1043 m
   7  work        2    4  1:00        sets the pace  30:00  ≈5.86 km   1:00    ≈210 m
   8  recovery            30s walk                   31:00  ≈6.08 km   0:30     ≈50 m
   9  work        2    5  1:00        quicker        31:30  ≈6.13 km   1:00    ≈210 m
  10  recovery            open stand                 32:30  ≈6.34 km
  11  work        3    6  1:00        sets the pace  32:30  ≈6.34 km   1:00    ≈210 m
  12  recovery            30s walk                   33:30  ≈6.55 km   0:30     ≈50 m
  13  work        3    7  1:00        quicker        34:00  ≈6.60 km   1:00    ≈210 m
≈ rests on a pace that was assumed, not written.

7 reps of work: 16:00, ≈3.92 km. In all 35:00, ≈6.82 km, and 1 open step.
`
	// By hand: 240 s at 240, 235 and 230 s/km make 1000, 1021.3 and 1043.5 m;
	// 15:00 + 3 x 4:00 + 2 x 1:30 + 4 x 1:00 + 2 x 0:30 make 35:00.
	r := Explain(parsed(t, "15:00 warm + 3 x 4:00 @ 4:00->3:50/km off 90s jog + 2 x (2 x 1:00 @ quicker off 30s walk) off open stand"), athlete.New(), nil)
	if got := render(t, r, report.Page{}); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	var b bytes.Buffer
	if err := r.JSON(&b); err != nil || !json.Valid(b.Bytes()) {
		t.Errorf("%v, JSON %s", err, b.Bytes())
	}
}
