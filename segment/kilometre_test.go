package segment

import (
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
)

// TestKilometres: cuts lie where whole kilometres were shown, and nothing is cut about
// walks and stops.
func TestKilometres(t *testing.T) {
	tr := signal.Build(odometer(1, 1600, []float64{0, 500}, []float64{4, 2.5}))
	j := newJudge(tr, tr.Speed, nil, recording.Outdoors)
	got := j.kilometres(0, 1600) // 2 km in 500 s, then a kilometre each 400 s, 300 s left
	want := [][2]int{{0, 250}, {250, 500}, {500, 900}, {900, 1600}}
	if len(got) != len(want) {
		t.Fatalf("%d pieces, want %d: %v", len(got), len(want), got)
	}
	for i, p := range got {
		if d := p.lo - want[i][0]; d < -1 || d > 1 {
			t.Errorf("piece %d begins at %d, want %d", i, p.lo, want[i][0])
		}
		if i > 0 && p.lo != got[i-1].hi {
			t.Errorf("pieces %d and %d do not touch", i-1, i)
		}
	}
	if last := got[len(got)-1].hi; last != 1600 {
		t.Errorf("the last piece ends at %d", last)
	}
	if short := j.kilometres(0, 450); len(short) != 1 {
		t.Errorf("1800 m: %v", short)
	}
	stop := signal.Build(odometer(1, 1600, []float64{0, 500, 530}, []float64{4, 0, 2.5}))
	if whole := newJudge(stop, stop.Speed, nil, recording.Outdoors).kilometres(0, 1600); len(whole) != 1 || whole[0].hi != 1600 {
		t.Errorf("with a stop: %v", whole)
	}
}

// TestByKilometre: kilometres on and off, which differ too little to be found anywhere,
// are found in the block that they make.
func TestByKilometre(t *testing.T) {
	pieces := row(3, 700, 4.2, 238, 3.8, 263, 4.2, 238, 3.8, 263, 4.2, 238, 3.8, 263, 3, 400)
	var from, speed []float64
	for _, p := range pieces {
		from, speed = append(from, float64(p.lo)), append(speed, p.mean)
	}
	tr := signal.Build(odometer(1, float64(pieces[len(pieces)-1].hi), from, speed))
	j := newJudge(tr, tr.Speed, nil, recording.Outdoors)
	block := j.piece(700, 2203)
	found := false
	for _, l := range j.byKilometre(reading{labelling: labelling{works: []piece{block}}}) {
		if len(l.works) != 3 {
			continue
		}
		found = true
		for i, w := range l.works {
			if at := []int{700, 1201, 1702}[i]; w.lo < at-3 || w.lo > at+3 || w.seconds() < 230 || w.seconds() > 246 {
				t.Errorf("rep %d from %d to %d, want 238 s from %d", i, w.lo, w.hi, at)
			}
		}
	}
	if !found {
		t.Error("no labelling of three reps")
	}
	if few := j.byKilometre(reading{labelling: labelling{works: []piece{j.piece(0, 700)}}}); few != nil {
		t.Errorf("in 2.1 km: %v", few)
	}
}
