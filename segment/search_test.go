package segment

import (
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// TestGlanceBoundsEvidence: weighing never finds more evidence than the glance before
// it said there can be, so that what is passed over could not have won.
func TestGlanceBoundsEvidence(t *testing.T) {
	weighed := 0
	for i, kind := range simulate.Kinds() {
		s := kind.Make(uint64(i))
		for k, device := range simulate.DevicesFor(s.Place) {
			if (i+k)%3 > 0 {
				continue
			}
			r, _ := simulate.Run(s, device, uint64(i))
			tr := signal.Build(r)
			j := newJudge(tr, tr.Effort, cut(tr.Effort, tr), r.Place)
			j.presses = recording.Presses(r.Laps)
			j.search(func(x reading) {
				weighed++
				if x.most != 0 && x.evidence > x.most+1e-9 { // parts of a divided rep get a bonus, and no bound
					t.Errorf("%s, %s: %d reps have %.2f nats, at most %.2f by the glance: %+v", kind.Name, device.Name, len(x.works), x.evidence, x.most, x.terms)
				}
			})
		}
	}
	if weighed < 2000 {
		t.Errorf("only %d readings were weighed", weighed)
	}
}
