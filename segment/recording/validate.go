package recording

import (
	"fmt"
	"math"
)

// Validate says what is wrong with a recording that was made or changed by hand;
// those that Open and its kin read are in order. Times must be finite and grow from
// record to record; each stream must be empty or have a value and a mark for every
// record; stages must be none or one for every record.
//
// A value that is not finite counts as not measured.
//
// The error is an *Error that names the first thing wrong and where it is. A nil
// recording is an error too.
func (r *Recording) Validate() error {
	if r == nil {
		return refuse("recording", ErrEmpty, "is nil", "give one that Open has read, or fill one")
	}
	wrong := func(format string, args ...any) error {
		name := r.Name
		if name == "" {
			name = "recording"
		}
		return refuse(name, ErrDamaged, fmt.Sprintf(format, args...), "mend the recording before it is used")
	}
	for i, t := range r.T {
		if math.IsNaN(t) || math.IsInf(t, 0) {
			return wrong("the time of record %d (T[%d]) is %v s", i+1, i, t)
		}
		if i > 0 && t <= r.T[i-1] {
			return wrong("record %d is at %v s, which is not after the one before, at %v s (T must grow)", i+1, t, r.T[i-1])
		}
	}
	names := [columns]string{"distance", "speed", "heart rate", "cadence", "altitude", "latitude", "longitude"}
	for c, s := range r.streams() {
		if len(s.Value) != len(s.Valid) || len(s.Value) != 0 && len(s.Value) != r.Len() {
			return wrong("%s has %d values and %d marks for %d records", names[c], len(s.Value), len(s.Valid), r.Len())
		}
	}
	if len(r.Stage) != 0 && len(r.Stage) != r.Len() {
		return wrong("there are %d stages for %d records", len(r.Stage), r.Len())
	}
	return nil
}
