package block

import "testing"

// TestRidden: the men's records from 1500 m to the half marathon (World Athletics, as of 2026, from memory) can be run, also
// by an odometer that is 2 % off; ten per cent more cannot.
func TestRidden(t *testing.T) {
	records := []Quickest{{Length: "1500 m", Metres: 1500, Seconds: 206}, {Length: "5 km", Metres: 5000, Seconds: 755.4}, {Length: "10 km", Metres: 10000, Seconds: 1571}, {Length: "half", Metres: 21097.5, Seconds: 3440}}
	for _, share := range []float64{1, 1.02} {
		list := []Quickest{}
		for _, q := range records {
			q.Metres *= share
			list = append(list, q)
		}
		if q := ridden(list); q != nil {
			t.Errorf("at %g of the record %s is called a ride", share, q.Length)
		}
	}
	if q := ridden([]Quickest{records[0], {Length: "10 km", Metres: 10000, Seconds: 1430}, {Length: "5 km", Metres: 5000, Seconds: 700}}); q == nil || q.Length != "10 km" {
		t.Errorf("10 km in 23:50 are taken for a run: %v", q)
	}
	if q := ridden(nil); q != nil {
		t.Error("nothing is a ride")
	}
}
