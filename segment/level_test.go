package segment

import (
	"math"
	"testing"
)

// TestOrdinary: a warm-up and a cool-down that were taken for work are the running to compare with, where there is no other;
// not so the parts of one block.
func TestOrdinary(t *testing.T) {
	var speed []float64
	for _, x := range []struct{ seconds, mps float64 }{{600, 2.7}, {120, 3.6}, {60, 0}, {120, 3.6}, {60, 0}, {120, 3.6}, {300, 2.5}} {
		for range int(x.seconds) {
			speed = append(speed, x.mps)
		}
	}
	j := judgeOf(speed, 0.1)
	at := 0
	for _, hi := range []int{600, 720, 780, 900, 960, 1080, 1380} {
		j.pieces = append(j.pieces, j.piece(at, hi))
		at = hi
	}
	j.bySpeed = []int{2, 4, 6, 0, 1, 3, 5}
	p := func(lo, hi int) piece { return j.piece(lo, hi) }
	for _, c := range []struct {
		what string
		l    labelling
		want float64
	}{
		{"as run", labelling{before: p(0, 600), works: []piece{p(600, 720), p(780, 900), p(960, 1080)}, between: []piece{p(720, 780), p(900, 960)}, after: p(1080, 1380)}, 2.7},
		{"all is work", labelling{before: p(0, 0), works: []piece{p(0, 600), p(600, 720), p(780, 900), p(960, 1080), p(1080, 1380)}, between: []piece{p(600, 600), p(720, 780), p(900, 960), p(1080, 1080)}, after: p(1380, 1380)}, 2.7},
		{"the cool-down is work", labelling{before: p(0, 0), works: []piece{p(780, 900), p(960, 1080), p(1080, 1380)}, between: []piece{p(900, 960), p(1080, 1080)}, after: p(1380, 1380)}, 2.5},
		{"one block", labelling{before: p(0, 0), works: []piece{p(0, 600), p(600, 720)}, between: []piece{p(600, 600)}, after: p(720, 720)}, 0},
	} {
		if got := j.ordinary(c.l); math.Abs(got-c.want) > 1e-9 {
			t.Errorf("%s: %v m/s are ordinary, want %v", c.what, got, c.want)
		}
	}
}
