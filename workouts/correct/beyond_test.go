package correct

import (
	"strings"
	"testing"

	"example.org/rungs/segment/recording"
)

// TestBeyond: a rep that is said to go on after the recording is told; times are written in whole seconds.
func TestBeyond(t *testing.T) {
	reps := []recording.Span{{StartS: 900, EndS: 1140}, {StartS: 1200, EndS: 5940}}
	said := beyond(reps, 3444)
	if len(said) != 1 || !strings.Contains(said[0].Message, "goes on to 1:39:00, and the recording ends at 57:24") {
		t.Errorf("said %v", said)
	}
	if said := beyond(reps, 5939); said != nil {
		t.Errorf("of one second: %v", said)
	}
	if said := beyond(nil, 100); said != nil {
		t.Errorf("of no reps: %v", said)
	}
}
