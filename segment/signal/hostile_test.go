package signal

import (
	"encoding/binary"
	"fmt"
	"math"
	"reflect"
	"slices"
	"testing"

	"pgregory.net/rapid"

	"example.org/rungs/segment/recording"
)

// fault says what is wrong with the trace of a recording, or nothing.
func fault(r *recording.Recording, tr *Trace) string {
	n := int(math.Ceil(r.Duration()))
	lengths := map[string]int{
		"Speed": len(tr.Speed), "Known": len(tr.Known), "Timer": len(tr.Timer), "Dist": len(tr.Dist) - 1, "Effort": len(tr.Effort),
	}
	for name, list := range map[string][]float64{
		"DeviceSpeed": tr.DeviceSpeed, "Grade": tr.Grade, "HeartRate": tr.HeartRate, "Cadence": tr.Cadence, "EvenCost": tr.EvenCost(),
	} {
		if list != nil {
			lengths[name] = len(list)
		}
	}
	for name, got := range lengths {
		if got != n {
			return fmt.Sprintf("%s has %d cells of %d", name, got, n)
		}
	}
	// x != x is how NaN is told; a comparison with NaN is false.
	inside := func(list []float64, low, high float64, unknown bool) bool {
		for _, x := range list {
			if !(x >= low && x <= high || unknown && x != x) {
				return false
			}
		}
		return true
	}
	costliest := CostOfRunning(1) / CostOfRunning(0)
	switch {
	case !inside(tr.Speed, 0, fastest, false):
		return "speed is not that of a runner"
	case !inside(tr.DeviceSpeed, 0, math.MaxFloat64, false):
		return "device speed is not a number, or negative"
	case !inside(tr.Effort, 0, fastest*costliest, false):
		return "effort is out of bounds"
	case !inside(tr.EvenCost(), 0, fastest*costliest, false):
		return "speed of even cost is out of bounds"
	case !inside(tr.Grade, -0.45, 0.45, false):
		return "grade is out of bounds"
	case !inside(tr.HeartRate, 30, 240, true):
		return "heart rate is out of bounds"
	case !inside(tr.Cadence, -math.MaxFloat64, math.MaxFloat64, true):
		return "cadence is infinite"
	case !inside(tr.Dist, 0, math.MaxFloat64, false) || tr.Dist[0] != 0:
		return "distance is not a number from zero on"
	case !slices.IsSorted(tr.Dist):
		return "distance falls"
	case !(tr.Noise.Sigma >= 0.01 && tr.Noise.LongRun >= 0.05 && tr.Noise.Quarter >= tr.Noise.LongRun && tr.Noise.Odometer >= 0.05):
		return fmt.Sprintf("noise is %+v", tr.Noise)
	case !inside([]float64{tr.Noise.Sigma, tr.Noise.Quarter, tr.Noise.Odometer, tr.DelayS, tr.LagUpS, tr.LagDownS}, 0, math.MaxFloat64, false):
		return "noise or lag is not a number"
	case !(tr.Step > 0 && tr.Step <= max(1, r.Duration())):
		return fmt.Sprintf("records %g s apart", tr.Step)
	case !slices.Contains([]Source{Odometer, DeviceSpeed, Positions, Nothing}, tr.Source) || tr.Reason == "":
		return fmt.Sprintf("source %q, because %q", tr.Source, tr.Reason)
	case tr.Source == Nothing && (tr.Dist[n] != 0 || tr.HeartRate == nil && slices.Contains(tr.Known, true)):
		return "something is known from nothing"
	case tr.Source != Nothing && !(tr.Dist[n] > 0):
		return "nothing was covered"
	case tr.Device != (tr.DeviceSpeed != nil) || tr.Device && tr.Source != Odometer && tr.Source != DeviceSpeed || tr.Device && !tr.Fused:
		return fmt.Sprintf("device %v, fused %v, source %s, %d device speeds", tr.Device, tr.Fused, tr.Source, len(tr.DeviceSpeed))
	case (tr.Fused || tr.Source == Positions) != (tr.DelayS == 0):
		return fmt.Sprintf("fused %v, with a delay of %g s", tr.Fused, tr.DelayS)
	case !(tr.LockedShare() >= 0 && tr.LockedShare() <= 1):
		return fmt.Sprintf("%g of it is locked", tr.LockedShare())
	}
	at := 0.0
	for _, s := range tr.Locked {
		if !(s.StartS >= at && s.EndS > s.StartS && s.EndS <= float64(n)) {
			return fmt.Sprintf("locked in %v", tr.Locked)
		}
		at = s.EndS
	}
	if tr.Source == Odometer && tr.doubted == nil {
		_, d := cumulative(r.T, r.Distance)
		if got, want := tr.Dist[n], d[len(d)-1]; math.Abs(got-want) > 1e-6*(1+want) {
			return fmt.Sprintf("the odometer's %g m became %g m", want, got)
		}
	}
	return ""
}

// mustBuild builds a trace twice and holds it to everything that holds of any.
func mustBuild(t interface{ Fatalf(string, ...any) }, r *recording.Recording) *Trace {
	was := *r
	for _, s := range []*recording.Stream{&was.Distance, &was.Speed, &was.HeartRate, &was.Cadence, &was.Altitude, &was.Latitude, &was.Longitude} {
		s.Value, s.Valid = slices.Clone(s.Value), slices.Clone(s.Valid)
	}
	was.T, was.Stops = slices.Clone(r.T), slices.Clone(r.Stops)
	tr := Build(r)
	if f := fault(r, tr); f != "" {
		t.Fatalf("%s", f)
	}
	if !reflect.DeepEqual(&was, r) {
		t.Fatalf("the recording was changed")
	}
	if !same(tr, Build(r)) {
		t.Fatalf("building twice gives two traces")
	}
	return tr
}

// same reports whether two traces are alike to the bit, NaN being like NaN.
func same(a, b *Trace) bool {
	x, y := *a, *b
	alike := func(p, q *[]float64) bool {
		defer func() { *p, *q = nil, nil }() // the rest is compared as a whole
		return (*p == nil) == (*q == nil) && slices.EqualFunc(*p, *q, func(v, w float64) bool {
			return math.Float64bits(v) == math.Float64bits(w) || v != v && w != w
		})
	}
	return alike(&x.Speed, &y.Speed) && alike(&x.Dist, &y.Dist) && alike(&x.DeviceSpeed, &y.DeviceSpeed) && alike(&x.Effort, &y.Effort) &&
		alike(&x.Grade, &y.Grade) && alike(&x.HeartRate, &y.HeartRate) && alike(&x.Cadence, &y.Cadence) && reflect.DeepEqual(x, y)
}

// anyStream draws a stream of n values: missing, never valid, stuck, growing,
// of a runner, wild, or wild now and then.
func anyStream(t *rapid.T, n int, name string, low, high float64) recording.Stream {
	kind := rapid.SampledFrom([]string{"missing", "invalid", "stuck", "growing", "wandering", "wild", "spiked", "short"}).Draw(t, name)
	if kind == "missing" {
		return recording.Stream{}
	}
	s := recording.MakeStream(n)
	if kind == "invalid" {
		return s
	}
	rng := seeded(rapid.Uint64().Draw(t, name+" seed"))
	holes := rapid.SampledFrom([]float64{0, 0, 0.02, 0.3, 0.7}).Draw(t, name+" holes")
	far := rapid.SampledFrom([]float64{1, 10, 1e6}).Draw(t, name+" scale")
	x := low + (high-low)*rng.Float64()
	for i := range n {
		switch kind {
		case "growing":
			x += (high - low) / 2000 * rng.Float64()
		case "wandering", "spiked":
			x = min(max(x+(high-low)/30*rng.NormFloat64(), low), high)
		case "wild":
			x = far * (high - low) * rng.NormFloat64()
		case "short":
			if i > n/3 {
				return s
			}
		}
		v := x
		if kind == "spiked" && rng.Float64() < 0.02 {
			v = far * (high - low) * rng.NormFloat64()
		}
		if rng.Float64() >= holes {
			s.Set(i, v)
		}
	}
	return s
}

// anyRecording draws a recording with strictly increasing times and anything
// but NaN in its streams.
func anyRecording(t *rapid.T) *recording.Recording {
	n := rapid.IntRange(0, 500).Draw(t, "records")
	rng := seeded(rapid.Uint64().Draw(t, "times"))
	pace := rapid.SampledFrom([]string{"each second", "smart", "fine", "broken"}).Draw(t, "sampling")
	at, x := make([]float64, n), 0.0
	for i := range n {
		at[i] = x
		switch pace {
		case "each second":
			x++
		case "smart":
			x += float64(1 + rng.IntN(12))
		case "fine":
			x += 1e-3 + 0.4*rng.Float64()
		case "broken":
			if x++; rng.Float64() < 0.01 {
				x += 10 + 9000*rng.Float64() // hours
			}
		}
	}
	r := blank(at...)
	r.Distance = anyStream(t, n, "distance", 0, 10_000)
	r.Speed = anyStream(t, n, "speed", 0, 6)
	r.HeartRate = anyStream(t, n, "heart rate", 60, 200)
	r.Cadence = anyStream(t, n, "cadence", 0, 190)
	r.Altitude = anyStream(t, n, "altitude", -20, 300)
	r.Latitude = anyStream(t, n, "latitude", -89, 89)
	r.Longitude = anyStream(t, n, "longitude", -180, 180)
	kind := rapid.SampledFrom([]string{"anything", "anything", "in step", "positions", "heart rate"}).Draw(t, "kind")
	if kind == "positions" || kind == "heart rate" {
		r.Distance, r.Speed = recording.Stream{}, recording.Stream{}
	}
	if kind == "heart rate" {
		r.Latitude = recording.Stream{}
	}
	if n > 0 && kind == "in step" { // so that device speed may be taken
		sum := 0.0
		r.Distance, r.Speed = recording.MakeStream(n), recording.MakeStream(n)
		v := wander(rng, n, 1, 0.98)
		for i := range n {
			if i > 0 {
				sum += (at[i] - at[i-1]) * max(0, 3+v[i]+0.5*rng.NormFloat64())
			}
			r.Distance.Set(i, sum)
			r.Speed.Set(i, max(0, 3+v[i]))
		}
		if rng.Float64() < 0.3 {
			r.Speed.Set(rng.IntN(n), 1e6*rng.NormFloat64())
		}
	}
	if n > 0 && rapid.Bool().Draw(t, "heart on feet") {
		r.HeartRate = r.Cadence
	}
	end := r.Duration()
	for range rapid.IntRange(0, 3).Draw(t, "stops") {
		a, b := (1.2*rng.Float64()-0.1)*end, (1.2*rng.Float64()-0.1)*end
		r.Stops = append(r.Stops, recording.Span{StartS: a, EndS: b})
	}
	return r
}

// Whatever a recording holds, its trace is sound: no panic, no NaN or infinity
// where none is promised, and the odometer's distance kept.
func TestAnyRecording(t *testing.T) {
	seen := map[Source]int{}
	device, fused, hills := 0, 0, 0
	rapid.Check(t, func(t *rapid.T) {
		tr := mustBuild(t, anyRecording(t))
		seen[tr.Source]++
		if tr.Device {
			device++
		}
		if tr.Fused {
			fused++
		}
		if tr.EvenCost() != nil {
			hills++
		}
	})
	t.Logf("sources %v; device speed in %d, fused in %d, hills in %d", seen, device, fused, hills)
	if testing.Short() {
		return // too few were drawn to see all
	}
	for _, s := range []Source{Odometer, DeviceSpeed, Positions, Nothing} {
		if seen[s] == 0 {
			t.Errorf("no recording had its speed from %s", s)
		}
	}
	if device == 0 || fused == 0 || hills == 0 {
		t.Errorf("device speed in %d, fused in %d, hills in %d", device, fused, hills)
	}
}

// Values as large as the readers let pass, at once.
func TestLargestValues(t *testing.T) {
	r := ticks(300)
	big := func(v float64) recording.Stream {
		return stream(r, func(t float64) float64 { return v * math.Mod(t, 2) })
	}
	r.Distance, r.Speed, r.HeartRate, r.Cadence = big(1e7), big(1000), big(254), big(1000)
	r.Altitude, r.Latitude, r.Longitude = big(100_000), big(90), big(360)
	mustBuild(t, r)
	r.Distance = recording.Stream{}
	mustBuild(t, r)
	r.Speed = recording.Stream{}
	mustBuild(t, r)
}

// recordSize is the bytes of a record of the fuzz target's form.
const recordSize = 16

// decode reads a recording from bytes: 16 a record.
func decode(data []byte) *recording.Recording {
	n := min(len(data)/recordSize, 3000)
	r := blank(make([]float64, n)...)
	streams := []*recording.Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude, &r.Longitude}
	for _, s := range streams {
		*s = recording.MakeStream(n)
	}
	at, metres := 0.0, 0.0
	for i := range n {
		b := data[i*recordSize:]
		if i > 0 {
			switch dt := float64(b[0]); {
			case dt < 128:
				at += 1 + dt/8 // 1 to 17 s
			case dt < 250:
				at += (dt - 127) / 64
			default:
				at += 600 * (dt - 249)
			}
		}
		if at > 20_000 { // longer ones only slow the search down
			return cutTo(r, i)
		}
		r.T[i] = at
		number := func(k int) float64 { return float64(int16(binary.LittleEndian.Uint16(b[k:]))) }
		metres += number(2) / 256
		for k, v := range []float64{metres, number(4) / 256, float64(b[6]), 2 * float64(b[7]), number(8) / 5, number(10) / 365, number(12) / 182} {
			if b[1]&(1<<k) != 0 {
				streams[k].Set(i, v)
			}
		}
		if b[1]&0x80 != 0 {
			r.Stops = append(r.Stops, recording.Span{StartS: at, EndS: at + number(14)})
		}
	}
	return r
}

// cutTo keeps the first n records.
func cutTo(r *recording.Recording, n int) *recording.Recording {
	r.T = r.T[:n]
	for _, s := range []*recording.Stream{&r.Distance, &r.Speed, &r.HeartRate, &r.Cadence, &r.Altitude, &r.Latitude, &r.Longitude} {
		s.Value, s.Valid = s.Value[:n], s.Valid[:n]
	}
	return r
}

// encode is decode's inverse, but for rounding.
func encode(r *recording.Recording) []byte {
	data := make([]byte, recordSize*r.Len())
	metres := 0.0
	for i := range r.T {
		b := data[i*recordSize:]
		if i > 0 {
			b[0] = byte(min(127, 8*max(0, r.T[i]-r.T[i-1]-1)))
		}
		put := func(k int, v float64) {
			binary.LittleEndian.PutUint16(b[k:], uint16(int16(min(max(math.Round(v), math.MinInt16), math.MaxInt16))))
		}
		for k, s := range []recording.Stream{r.Distance, r.Speed, r.HeartRate, r.Cadence, r.Altitude, r.Latitude, r.Longitude} {
			v, ok := s.At(i)
			if !ok {
				continue
			}
			b[1] |= 1 << k
			switch k {
			case 0:
				put(2, 256*(v-metres))
				metres += math.Round(256*(v-metres)) / 256
			case 1:
				put(4, 256*v)
			case 2:
				b[6] = byte(v)
			case 3:
				b[7] = byte(v / 2)
			case 4:
				put(8, 5*v)
			case 5:
				put(10, 365*v)
			case 6:
				put(12, 182*v)
			}
		}
	}
	return data
}

// brief is a session short enough for a fuzzer.
var brief = course{{80, 2.8}, {40, 4.2}, {40, 2.3}, {40, 4.2}, {60, 2.7}}

// Inputs are long, so -fuzzminimizetime 20x keeps the search from standing still.
func FuzzBuild(f *testing.F) {
	r := twoStreams(brief, 1)
	f.Add(encode(r))
	altitude, grade := waves(0.08)
	f.Add(encode(hill(300, ranOver(300, grade, func(float64) float64 { return 3 }, 1, 1), altitude)))
	hr, cadence := heartAndFeet(301, recording.Span{StartS: 100, EndS: 250})
	r = ticks(300)
	r.HeartRate, r.Cadence = filled(hr...), filled(cadence...)
	f.Add(encode(r))
	withPositions(r, func(t float64) float64 { return 300 * t }) // far enough for the rounding
	f.Add(encode(r))
	r.Speed = stream(r, brief.speed)
	f.Add(encode(r))
	f.Add([]byte{})
	f.Add(make([]byte, recordSize))
	f.Add(make([]byte, 40*recordSize))
	f.Fuzz(func(t *testing.T, data []byte) { mustBuild(t, decode(data)) })
}

// The seeds must be what they are meant to be, or the fuzzer starts from noise.
func TestFuzzSeedsSurvive(t *testing.T) {
	r := twoStreams(brief, 1)
	got := decode(encode(r))
	if !slices.Equal(got.T, r.T) {
		t.Fatal("times differ")
	}
	for i := range r.T {
		near(t, "distance", got.Distance.Value[i], r.Distance.Value[i], 0.01)
		near(t, "speed", got.Speed.Value[i], r.Speed.Value[i], 0.01)
	}
	if got.HeartRate.Count() != 0 || got.Distance.Count() != r.Len() {
		t.Error("streams come and go")
	}
}
