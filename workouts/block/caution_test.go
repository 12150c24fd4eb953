package block

import (
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/workouts/athlete"
)

// A week calls for caution from 30 % above the week before on (Nielsen et al.
// 2014, see JumpShare), no later.
func TestCautionBeginsAtItsShare(t *testing.T) {
	for _, c := range []struct {
		km   float64 // after a week of 40 km
		want bool
	}{{51.9, false}, {52.1, true}} {
		runs := []Run{
			easyOf("a", utc(1, 5, 8), 40, recording.Outdoors),
			easyOf("b", utc(1, 12, 8), c.km, recording.Outdoors),
		}
		b := New(runs, runs, athlete.New(), calendar(t, "UTC"))
		if len(b.Weeks) != 2 || b.Weeks[1].Before.Jump != c.want {
			t.Errorf("40 km and then %v: %+v", c.km, b.Weeks[1].Before)
		}
	}
}
