package segment

import (
	"bytes"
	"encoding/gob"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/signal"
	"example.org/rungs/segment/simulate"
)

// checkSession makes sure of what every session promises, whatever the recording.
func checkSession(t *testing.T, s *Session) {
	t.Helper()
	end := s.Recording.Duration()
	if len(s.Segments) == 0 || s.Segments[0].StartS != 0 || s.Segments[len(s.Segments)-1].EndS != end {
		t.Fatalf("%d segments do not cover the %v s of the recording: %v", len(s.Segments), end, spans(s))
	}
	last, works, sets := 0.0, 0, 0
	for i, g := range s.Segments {
		if g.StartS != last || !(g.EndS > g.StartS) {
			t.Fatalf("segment %d, from %v to %v, does not begin where the last one ended, at %v", i, g.StartS, g.EndS, last)
		}
		last = g.EndS
		switch g.Role {
		case Work:
			works++
			if g.Rep != works || g.Set < sets || g.Set > sets+1 {
				t.Fatalf("work %d is rep %d of set %d, after set %d", works, g.Rep, g.Set, sets)
			}
			sets = g.Set
		case Recovery:
			if g.Rep != works || g.Set != sets || works == 0 {
				t.Fatalf("a recovery after rep %d of set %d is numbered %d, %d", works, sets, g.Rep, g.Set)
			}
		case Warm, Cool, Easy, Run, Stop:
			if g.Rep != 0 || g.Set != 0 {
				t.Fatalf("%s is numbered %d, %d", g.Role, g.Rep, g.Set)
			}
		default:
			t.Fatalf("role %q", g.Role)
		}
		for name, v := range map[string]float64{"start error": g.StartSE, "end error": g.EndSE, "distance": g.DistanceM, "pace error": g.PaceSE,
			"pace error within": g.WithinSE, "mean heart rate": g.HRAvg, "highest": g.HRMax, "at the end": g.HREnd, "cadence": g.CadenceAvg} {
			if math.IsInf(v, 0) || v < 0 && name != "cadence" { // an absurd cadence is averaged as it is
				t.Fatalf("segment %d: %s is %v", i, name, v)
			}
		}
		if math.IsNaN(g.StartSE) || math.IsNaN(g.EndSE) {
			t.Fatalf("segment %d: edges are known to %v and %v s", i, g.StartSE, g.EndSE)
		}
		if !(g.Pace > 0) && !math.IsNaN(g.Pace) || math.IsInf(g.Pace, 1) && g.DistanceM >= 0.001 {
			t.Fatalf("segment %d: %v m at %v s/km", i, g.DistanceM, g.Pace)
		}
		if s.Trace.Source == signal.Nothing != math.IsNaN(g.DistanceM) {
			t.Fatalf("segment %d: %v m from %s", i, g.DistanceM, s.Trace.Source)
		}
	}
	steps := unroll(s.Structure)
	meant := 0
	for _, b := range steps {
		if b.Role == Work {
			meant++
		}
		if b.Amount.Seconds < 0 || b.Amount.Metres < 0 || b.Amount.Seconds > 0 && b.Amount.Metres > 0 || b.Amount.Mile && b.Amount.Metres == 0 {
			t.Fatalf("an amount of %+v", b.Amount)
		}
		if !(b.Sure >= 0 && b.Sure <= 1) || b.Sure > 0 && b.Amount == (Amount{}) {
			t.Fatalf("%+v is sure by %v", b.Amount, b.Sure)
		}
	}
	if meant != works || (works == 0) != (len(s.Structure) == 0) {
		t.Fatalf("the structure has %d work steps, the session %d work segments: %v", meant, works, spans(s))
	}
	if (works == 0) != math.IsNaN(s.Evidence) || math.IsInf(s.Evidence, 0) || !(s.Sure > 0 && s.Sure <= 1) || works == 0 && s.RunnerUp != nil || !(s.ScaleSE > 0) {
		t.Fatalf("%d works: evidence %v, sure %v", works, s.Evidence, s.Sure)
	}
	if s.RunnerUp != nil && len(unroll(s.RunnerUp)) != len(steps) {
		t.Fatalf("the runner-up has %d steps, the structure %d", len(unroll(s.RunnerUp)), len(steps))
	}
	if works > 0 && len(s.Edges()) == 0 {
		t.Fatalf("%d works and no edges", works)
	}
	for i, e := range s.Edges() {
		if i > 0 && e.AtS < s.Edges()[i-1].AtS || !(e.SE > 0) || math.IsInf(e.SE, 0) || !(e.Weight > 0) || math.IsNaN(e.AtS) || math.IsInf(e.AtS, 0) {
			t.Fatalf("edge %d: %+v", i, e)
		}
	}
	for _, w := range s.Warnings {
		if w.Code == "" || w.Message == "" || strings.Contains(w.Message, "NaN") || strings.Contains(w.Message, "Inf") {
			t.Fatalf("a warning of %q: %q", w.Code, w.Message)
		}
	}
}

func spans(s *Session) string {
	var out strings.Builder
	for _, g := range s.Segments {
		fmt.Fprintf(&out, "%s %.1f-%.1f ", g.Role, g.StartS, g.EndS)
	}
	return out.String()
}

// frozen is all that a value holds, as bytes, so that NaN equals NaN.
func frozen(t *testing.T, v any) []byte {
	t.Helper()
	var out bytes.Buffer
	if err := gob.NewEncoder(&out).Encode(v); err != nil {
		t.Fatal(err)
	}
	return out.Bytes()
}

// TestSplit splits every kind of simulated session, seen by one device or the
// other, some of them twice.
func TestSplit(t *testing.T) {
	for k, kind := range simulate.Kinds() {
		session := kind.Make(3)
		devices := simulate.DevicesFor(session.Place)
		r, _ := simulate.Run(session, devices[k%len(devices)], 3)
		s, err := Split(r)
		if err != nil {
			t.Fatalf("%s: %v", kind.Name, err)
		}
		checkSession(t, s)
		if k%3 > 0 {
			continue
		}
		again, err := Split(r)
		if err != nil || !bytes.Equal(frozen(t, s), frozen(t, again)) {
			t.Errorf("%s: the same recording gives two sessions:\n%s\n%s", kind.Name, spans(s), spans(again))
		}
	}
}

// simulated is a session of a kind as a device saw it.
func simulated(t *testing.T, kind, device string, seed uint64) *recording.Recording {
	t.Helper()
	k, ok1 := simulate.KindNamed(kind)
	d, ok2 := simulate.DeviceNamed(device)
	if !ok1 || !ok2 {
		t.Fatalf("no kind %q or no device %q", kind, device)
	}
	r, _ := simulate.Run(k.Make(seed), d, seed)
	return r
}

func split(t *testing.T, r *recording.Recording) *Session {
	t.Helper()
	s, err := Split(r)
	if err != nil {
		t.Fatal(err)
	}
	checkSession(t, s)
	return s
}

// TestOdometerStart: an odometer that does not begin at zero changes nothing.
func TestOdometerStart(t *testing.T) {
	for _, kind := range []string{"800s by distance", "sets of 400s", "fartlek by feel", "plain easy", "hill reps"} {
		r := simulated(t, kind, "older watch, every second", 4)
		want := split(t, r)
		for _, metres := range []float64{0.37, 1234.56, 41000, -500} {
			shifted := *r
			shifted.Distance = recording.Stream{Value: slices.Clone(r.Distance.Value), Valid: r.Distance.Valid}
			for i := range shifted.Distance.Value {
				shifted.Distance.Value[i] += metres
			}
			got := split(t, &shifted)
			near := cmp.Options{cmpopts.EquateNaNs(), cmpopts.EquateApprox(1e-6, 1e-6)} // adding rounds
			if d := cmp.Diff(want.Segments, got.Segments, near) + cmp.Diff(want.Structure, got.Structure, near); d != "" {
				t.Errorf("%s: an odometer that begins at %v m changes\n%s", kind, metres, d)
			}
		}
	}
}

// TestSplitLeavesRecording: the recording is not changed, even where distances are
// corrected by the track.
func TestSplitLeavesRecording(t *testing.T) {
	r := simulated(t, "track 400s", "watch on the track, laps of 400 m", 2)
	before := frozen(t, r)
	if s := split(t, r); !slices.ContainsFunc(s.Warnings, func(w recording.Warning) bool { return w.Code == "odometer-scale" }) {
		t.Error("nothing was corrected")
	}
	if !bytes.Equal(before, frozen(t, r)) {
		t.Error("the recording was changed")
	}
}

func TestTooShort(t *testing.T) {
	of := func(t ...float64) *recording.Recording {
		r := &recording.Recording{T: t, Distance: recording.MakeStream(len(t)), HeartRate: recording.MakeStream(len(t))}
		for i := range t {
			r.Distance.Set(i, 3*t[i])
			r.HeartRate.Set(i, 120)
		}
		return r
	}
	for _, r := range []*recording.Recording{{}, of(0), of(0, 1), of(0, 10, 29.9)} {
		if s, err := Split(r); !errors.Is(err, ErrTooShort) || s != nil {
			t.Errorf("%d records over %v s: %v, %v", r.Len(), r.Duration(), s, err)
		}
	}
	for _, r := range []*recording.Recording{of(0, 30), of(0, 1, 2, 30.25), of(0, 900, 1800.9)} {
		split(t, r)
	}
}

// TestFractionalEnd: a recording may end between two seconds, in the middle of a
// rep, and within or just after a last recovery.
func TestFractionalEnd(t *testing.T) {
	for _, kind := range []string{"no ends", "no cool-down", "on and off", "alternating kilometres"} {
		whole := simulated(t, kind, "good watch, open sky", 3)
		s := split(t, whole)
		last := s.Segments[len(s.Segments)-1]
		for _, cut := range []int{0, 1, int(last.Seconds()) - 40, int(last.Seconds()) - 20, int(last.Seconds()) - 1, int(last.Seconds()), int(last.Seconds()) + 1} {
			n := whole.Len() - max(0, cut)
			r := *whole
			r.T = slices.Clone(whole.T[:n])
			for _, s := range []*recording.Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude, &r.Longitude} {
				s.Value, s.Valid = s.Value[:n], s.Valid[:n]
			}
			r.T[n-1] -= 0.63
			split(t, &r)
		}
	}
}

// only keeps some streams of a recording.
func only(r *recording.Recording, keep ...*recording.Stream) *recording.Recording {
	out := *r
	out.Laps = nil
	for _, s := range []struct{ from, to *recording.Stream }{
		{&r.Distance, &out.Distance}, {&r.Speed, &out.Speed}, {&r.HeartRate, &out.HeartRate}, {&r.Cadence, &out.Cadence},
		{&r.Altitude, &out.Altitude}, {&r.Latitude, &out.Latitude}, {&r.Longitude, &out.Longitude},
	} {
		if !slices.Contains(keep, s.from) {
			*s.to = recording.Stream{}
		}
	}
	return &out
}

// TestStreams: one session, seen through one stream at a time, has one structure.
// Heart rate alone knows no metres and tells a walk from a jog badly.
func TestStreams(t *testing.T) {
	for _, tt := range []struct {
		kind  string
		seed  uint64
		heart bool
	}{
		{"4 minute reps", 1, true}, {"walking rests", 8, true}, {"sets of 3 x 2:00", 1, false}, {"800s by distance", 1, false}, {"plain easy", 1, true},
	} {
		r := simulated(t, tt.kind, "good watch, open sky", tt.seed)
		want := split(t, r)
		for _, view := range []struct {
			name   string
			r      *recording.Recording
			source signal.Source
			same   bool
		}{
			{"distance", only(r, &r.Distance), signal.Odometer, true},
			{"speed", only(r, &r.Speed), signal.DeviceSpeed, true},
			{"positions", only(r, &r.Latitude, &r.Longitude), signal.Positions, true},
			{"heart rate", only(r, &r.HeartRate), signal.Nothing, tt.heart},
		} {
			got := split(t, view.r)
			if got.Trace.Source != view.source {
				t.Errorf("%s: the source is %s", view.name, got.Trace.Source)
			}
			if w, g := brief(want.Structure), brief(got.Structure); view.same && w != g {
				t.Errorf("%s by %s: %s, want %s", tt.kind, view.name, g, w)
			}
			count := func(s *Session) (n int) {
				for _, b := range unroll(s.Structure) {
					if b.Role == Work {
						n++
					}
				}
				return n
			}
			if w, g := count(want), count(got); w != g {
				t.Errorf("%s by %s: %d reps, want %d", tt.kind, view.name, g, w)
			}
		}
	}
}

// Reps are said to be read from heart rate only where there is one.
func TestHeartRateAloneIsSaid(t *testing.T) {
	r := simulated(t, "4 minute reps", "good watch, open sky", 1)
	for name, c := range map[string]struct {
		r    *recording.Recording
		said bool
	}{"heart rate": {only(r, &r.HeartRate), true}, "cadence": {only(r, &r.Cadence), false}} {
		s, err := Split(c.r)
		if err != nil {
			t.Fatal(err)
		}
		if said := slices.ContainsFunc(s.Warnings, func(w recording.Warning) bool { return w.Code == "heart-rate-only" }); said != c.said {
			t.Errorf("%s: said %v", name, said)
		}
	}
}

// brief is a structure without paces and probabilities.
func brief(blocks []Block) string {
	var out []string
	for _, b := range blocks {
		w := fmt.Sprint(b.Role, " ", b.Amount.Seconds, "s ", b.Amount.Metres, "m")
		if len(b.Body) > 0 {
			w = fmt.Sprint(b.Count, " x ( ", brief(b.Body), " )")
			if b.Rest != nil {
				w += " off " + brief([]Block{*b.Rest})
			}
		}
		out = append(out, w)
	}
	return strings.Join(out, " + ")
}

// Hostile recordings keep to what the readers promise (times that grow, streams as
// long as the times), and to nothing else. They are coded in bytes, so that a
// fuzzer can grow them: five bytes of what there is, then eight for each
// record.

const (
	hostileHead   = 5
	hostileRecord = 8
	mostRecords   = 500
	longestS      = 2 * 3600
)

// oddities are values no sensor shows.
var oddities = []float64{math.NaN(), math.Inf(1), math.Inf(-1), 1e300, -1e300, -7, 5e-324, 1e9}

// decode makes a recording of bytes.
func decode(data []byte) *recording.Recording {
	var head [hostileHead]byte
	data = data[copy(head[:], data):]
	n := min(len(data)/hostileRecord, mostRecords)
	places := []recording.Place{recording.PlaceUnknown, recording.Outdoors, recording.Treadmill, recording.Track, recording.Trail}
	r := &recording.Recording{Place: places[int(head[1])%len(places)], Sport: recording.Running}
	streams := []*recording.Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude, &r.Longitude}
	for i, s := range streams {
		if head[0]>>i&1 == 1 {
			*s = recording.MakeStream(n)
		}
	}
	step := []float64{1, 1, 5, 0.25, 0.7}[int(head[2])%5]
	at, metres := 0.0, 0.0
	for i := range n {
		b := data[i*hostileRecord:]
		if i > 0 {
			gap := step * float64(1+b[0]%16)
			switch {
			case b[0] >= 250: // a hole
				gap = 37 * float64(b[0]-249)
			case b[0] >= 240:
				gap = 1e-6
			}
			if at += gap; at > longestS {
				break
			}
			metres += gap * float64(int(b[2])-20) / 30
		}
		r.T = append(r.T, at)
		values := []float64{metres, float64(b[3]) / 30, float64(b[4]), float64(b[5]), float64(b[6]) * 2,
			48 + metres/111200, 11 + float64(b[7])*1e-4}
		for k, s := range streams {
			if s.Value == nil || b[1] == byte(k) { // a value missing
				continue
			}
			if b[1] == byte(16+k) {
				values[k] = oddities[int(b[7])%len(oddities)]
			}
			s.Set(i, values[k])
		}
		moment := at
		if b[7]%16 == 15 {
			moment = oddities[int(b[6])%len(oddities)]
		}
		switch b[1] {
		case 40, 41, 42, 43: // laps of all sorts, in any order
			triggers := []recording.Trigger{recording.ManualTrigger, recording.DistanceTrigger, recording.TriggerUnknown, recording.SessionEnd}
			r.Laps = append(r.Laps, lap(moment-float64(b[6]), moment, triggers[b[1]-40], int(b[5]%4)-1))
		case 44, 45:
			r.Stops = append(r.Stops, recording.Span{StartS: moment, EndS: moment + float64(int(b[6])-20)})
		}
	}
	for _, s := range streams {
		if s.Value != nil {
			s.Value, s.Valid = s.Value[:len(r.T)], s.Valid[:len(r.T)]
		}
	}
	return r
}

// encode is the inverse of decode, as far as its steps allow, with every skip-th
// record.
func encode(r *recording.Recording, skip int) []byte {
	out := []byte{0, 1, 0, 0, 0}
	for i, s := range []recording.Stream{r.Distance, r.Speed, r.HeartRate, r.Cadence, r.Altitude, r.Latitude, r.Longitude} {
		if s.Value != nil {
			out[0] |= 1 << i
		}
	}
	for i, p := range []recording.Place{recording.PlaceUnknown, recording.Outdoors, recording.Treadmill, recording.Track, recording.Trail} {
		if r.Place == p {
			out[1] = byte(i)
		}
	}
	small := func(x float64) byte { return byte(max(0, min(255, math.Round(x)))) }
	last, metres, laps := 0, 0.0, 0
	for i := 0; i < r.Len(); i += skip {
		b := [hostileRecord]byte{1: 60}
		gap := max(1, min(16, math.Round(r.T[i]-r.T[last])))
		v := 0.0
		if d, ok := r.Distance.At(i); ok {
			v = (d - metres) / gap
			metres += gap * (math.Round(v*30) / 30) // what decode will count
		}
		speed, _ := r.Speed.At(i)
		hr, _ := r.HeartRate.At(i)
		cadence, _ := r.Cadence.At(i)
		altitude, _ := r.Altitude.At(i)
		b[0], b[2], b[3], b[4], b[5], b[6] = byte(gap-1), small(20+30*v), small(30*speed), small(hr), small(cadence), small(altitude/2)
		if laps < len(r.Laps) && r.T[i] >= r.Laps[laps].EndS {
			b[1], laps = 40, laps+1
		}
		out, last = append(out, b[:]...), i
	}
	return out
}

// checkSplit splits what was decoded: an error for too little, else a session that
// keeps its promises.
func checkSplit(t *testing.T, data []byte) *Session {
	t.Helper()
	r := decode(data)
	s, err := Split(r)
	if r.Len() < 2 || r.Duration() < 30 {
		if !errors.Is(err, ErrTooShort) {
			t.Fatalf("%d records over %v s: %v", r.Len(), r.Duration(), err)
		}
		return nil
	}
	if err != nil {
		t.Fatal(err)
	}
	checkSession(t, s)
	return s
}

// hostileSeeds are simulated runs in the code of the fuzzer.
func hostileSeeds() [][]byte {
	var out [][]byte
	for i, kind := range []string{"800s by distance", "short 30/30", "sets of 200s stood", "change of pace inside the rep", "fartlek by feel",
		"race with warm-up", "hill reps", "traffic stop inside a rep", "treadmill 3 minute reps", "easy with traffic lights", "no ends"} {
		k, _ := simulate.KindNamed(kind)
		session := k.Make(1)
		devices := simulate.DevicesFor(session.Place)
		r, _ := simulate.Run(session, devices[i%len(devices)], 1)
		out = append(out, encode(r, 1+r.Len()/400))
	}
	return out
}

// TestHostile splits runs that were damaged at random.
func TestHostile(t *testing.T) {
	rng := rand.New(rand.NewPCG(1, 1))
	worked := 0
	for _, seed := range hostileSeeds() {
		if s := checkSplit(t, seed); s != nil && len(s.Structure) > 0 {
			worked++
		}
		for range 5 {
			data := slices.Clone(seed)
			data[0], data[1], data[2] = byte(rng.Uint32()), byte(rng.Uint32()), byte(rng.Uint32())
			if rng.IntN(2) == 0 {
				data[0] |= 7
			}
			for range rng.IntN(60) {
				at := rng.IntN(len(data))
				n := min(len(data)-at, 1+rng.IntN(30))
				switch rng.IntN(4) {
				case 0: // noise
					for k := range n {
						data[at+k] = byte(rng.Uint32())
					}
				case 1: // one value over and over
					for k := range n {
						data[at+k] = data[at]
					}
				case 2: // records lost
					data = slices.Delete(data, at, at+n)
				case 3: // one odd record
					if k := hostileHead + (at/hostileRecord)*hostileRecord; k+hostileRecord <= len(data) {
						data[k+1] = []byte{0, 1, 2, 16, 17, 18, 20, 21, 22, 40, 42, 44, 45}[rng.IntN(13)]
						data[k+7] = byte(rng.Uint32())
					}
				}
			}
			checkSplit(t, data)
		}
	}
	if worked < 8 {
		t.Errorf("%d of the seeds show reps: too few to prove anything", worked)
	}
}

func FuzzSplit(f *testing.F) {
	for _, seed := range hostileSeeds() {
		f.Add(seed)
	}
	f.Add([]byte{})
	f.Add([]byte("\xfe'\u0197a\x85\x11.\xc2\xca\x00\xdf\xd6\xfe'\u0197D\x80\x8c\xcd")) // next to no distance
	f.Fuzz(func(t *testing.T, data []byte) {
		if s := checkSplit(t, data); s != nil {
			if again, _ := Split(decode(data)); !bytes.Equal(frozen(t, s), frozen(t, again)) {
				t.Fatal("the same recording gives two sessions")
			}
		}
	})
}

// TestSplitRefuses: what is no recording is an error that says where, and no panic.
func TestSplitRefuses(t *testing.T) {
	back := &recording.Recording{Name: "mine", T: make([]float64, 60)}
	for i := range back.T {
		back.T[i] = float64(i)
	}
	back.T[40] = 3
	for name, c := range map[string]struct {
		r    *recording.Recording
		want string
	}{
		"none":     {nil, "recording: is nil"},
		"backward": {back, "mine: record 41 is at 3 s, which is not after the one before, at 39 s"},
		"empty":    {&recording.Recording{}, ErrTooShort.Error()},
	} {
		if s, err := Split(c.r); s != nil || err == nil || !strings.HasPrefix(err.Error(), c.want) {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
}
