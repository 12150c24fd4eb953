package recording

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	tormoder "github.com/tormoder/fit"
)

const (
	tormoderModule = "github.com/tormoder/fit"
	muktihari      = "github.com/muktihari/fit"
)

// CRC-16 check value of "123456789" (the FIT protocol's polynomial; published
// catalogues of checksums list BB3D), the smallest file and the one-message
// file of the FIT SDK's tests.
func TestFITChecksum(t *testing.T) {
	if got := checksum([]byte("123456789")); got != 0xBB3D {
		t.Errorf("check value: got %04X, want BB3D", got)
	}
	minimal := []byte{0x0E, 0x20, 0x8B, 0x08, 0, 0, 0, 0, 0x2E, 0x46, 0x49, 0x54, 0x8D, 0x48, 0, 0}
	if got := checksum(minimal[:12]); got != 0x488D {
		t.Errorf("header: got %04X, want 488D", got)
	}
	rng := rand.New(rand.NewPCG(1, 1))
	for n := range 300 {
		data := make([]byte, n)
		slow := uint16(0)
		for i := range data {
			data[i] = byte(rng.Uint32())
			slow ^= uint16(data[i])
			for range 8 { // a bit at a time, as the protocol defines it
				slow = slow>>1 ^ 0xA001*(slow&1)
			}
		}
		if got := checksum(data); got != slow {
			t.Fatalf("%d bytes: got %04X, want %04X", n, got, slow)
		}
	}
	if _, err := Read("minimal.fit", bytes.NewReader(minimal)); !errors.Is(err, ErrNoRecords) && !errors.Is(err, ErrDamaged) {
		t.Errorf("the smallest file: got %v", err)
	}
	one := []byte("\x0e\x20\x8b\x08\x24\x00\x00\x00.FIT\x8e\xa3" +
		"\x40\x00\x00\x00\x00\x04\x00\x01\x00\x01\x02\x84\x04\x04\x86\x08\x0a\x07" +
		"\x00\x04\x01\x00\x00\xca\x9a\x3babcdefghi\x00\x5d\xf2")
	if got := checksum(one[:12]); got != 0xA38E {
		t.Errorf("header: got %04X, want A38E", got)
	}
	if got := checksum(one[:len(one)-2]); got != 0xF25D {
		t.Errorf("file: got %04X, want F25D", got)
	}
	if _, err := Read("one.fit", bytes.NewReader(one)); !errors.Is(err, ErrNoRecords) {
		t.Errorf("the one-message file: got %v", err)
	}
}

// Scales, offsets, invalid values, epoch and semicircles are those of the FIT
// profile (21.205) and protocol; 1000000000 is 2021-09-08T01:46:40Z there.
func TestFITRecordFields(t *testing.T) {
	full := []field{{253, 4, tUint32}, {5, 4, tUint32}, {6, 2, tUint16}, {73, 4, tUint32}, {3, 1, tUint8},
		{4, 1, tUint8}, {53, 1, tUint8}, {2, 2, tUint16}, {78, 4, tUint32}, {0, 4, tSint32}, {1, 4, tSint32}}
	for _, big := range []bool{false, true} {
		f := new(fitFile).start()
		f.big[1] = big
		f.def(1, 20, full...)
		f.data(1, base, 123456, 3000, none32, 150, 85, 64, 5000, none32, 1<<30, -(1 << 29))
		f.data(1, base+1, none32, 0xFFFF, none32, 0xFF, 0xFF, 0xFF, 0xFFFF, none32, 0x7FFFFFFF, 0x7FFFFFFF)
		f.data(1, base+2, 0, 0xFFFF, 3210, 1, 0, 0xFF, 0xFFFF, 2555, 1<<29, 1<<30)
		f.def(2, 12, field{0, 1, tEnum}, field{1, 1, tEnum})
		f.data(2, 1, 4)
		r := f.read(t)
		nan := math.NaN()
		if r.Sport != Running || r.Place != Track {
			t.Errorf("got %q %q, want running on a track", r.Sport, r.Place)
		}
		if want := time.Date(2021, 9, 8, 1, 46, 40, 0, time.UTC); !r.Start.Equal(want) {
			t.Errorf("start: got %v, want %v", r.Start, want)
		}
		for _, c := range []struct {
			name string
			s    Stream
			want [3]float64
		}{
			{"time", Stream{r.T, []bool{true, true, true}}, [3]float64{0, 1, 2}},
			{"distance", r.Distance, [3]float64{1234.56, nan, 0}},
			{"speed", r.Speed, [3]float64{3, nan, 3.21}},
			{"heart rate", r.HeartRate, [3]float64{150, nan, 1}},
			{"cadence", r.Cadence, [3]float64{171, nan, 0}},
			{"altitude", r.Altitude, [3]float64{500, nan, 11}},
			{"latitude", r.Latitude, [3]float64{90, nan, 45}},
			{"longitude", r.Longitude, [3]float64{-45, nan, 90}},
		} {
			for i, want := range c.want {
				got, ok := c.s.At(i)
				if !ok {
					got = nan
				}
				if !near(got, want, 1e-9) {
					t.Errorf("big endian %v: %s of record %d: got %v, want %v", big, c.name, i, got, want)
				}
			}
		}
	}
}

func TestFITLapsAndStops(t *testing.T) {
	f := new(fitFile).start()
	f.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32})
	f.def(2, 21, field{253, 4, tUint32}, field{0, 1, tEnum}, field{1, 1, tEnum})
	f.def(3, 19, field{253, 4, tUint32}, field{2, 4, tUint32}, field{7, 4, tUint32}, field{9, 4, tUint32},
		field{24, 1, tEnum}, field{23, 1, tEnum}, field{71, 2, tUint16})
	f.def(4, 18, field{253, 4, tUint32}, field{2, 4, tUint32}, field{5, 1, tEnum}, field{6, 1, tEnum},
		field{7, 4, tUint32}, field{8, 4, tUint32}, field{9, 4, tUint32})
	f.data(2, base, 0, 0)
	for i := 0; i <= 60; i++ {
		f.data(1, base+i, 300*i)
	}
	f.data(2, base+60, 0, 4)
	f.data(3, base+60, base, 60000, 18000, 0, 5, 0xFFFF)
	f.data(2, base+90, 0, 0)
	for i := 90; i <= 150; i++ {
		f.data(1, base+i, 300*(i-30))
	}
	f.data(2, base+150, 0, 9)
	f.data(3, base+150, base+60, none32, none32, 7, 4, 3)
	f.data(4, base+150, base, 1, 1, 150000, 120000, 36000)
	r := f.read(t)
	if r.Sport != Running || r.Place != Treadmill {
		t.Errorf("got %q %q, want running on a treadmill", r.Sport, r.Place)
	}
	if want := (Summary{150, 120, 360}); r.Summary != want {
		t.Errorf("summary: got %v, want %v", r.Summary, want)
	}
	if len(r.Stops) != 1 || r.Stops[0] != (Span{60, 90}) {
		t.Errorf("stops: got %v, want one from 60 s to 90 s", r.Stops)
	}
	if len(r.Laps) != 2 {
		t.Fatalf("got %d laps, want 2", len(r.Laps))
	}
	if want := (Lap{Span{0, 60}, 180, ManualTrigger, Active, -1}); r.Laps[0] != want {
		t.Errorf("lap 1: got %+v, want %+v", r.Laps[0], want)
	}
	if got := r.Laps[1]; got.Span != (Span{60, 150}) || !math.IsNaN(got.DistanceM) ||
		got.Trigger != SessionEnd || got.Intensity != Rest || got.Step != 3 {
		t.Errorf("lap 2: got %+v", got)
	}
}

// Totals of every running file in the libraries' test data against the file's
// own session message, within 0.5 % (time also within the last second).
func TestFITTotals(t *testing.T) {
	files := append(moduleFiles(t, tormoderModule, "testdata/*/*.fit"),
		moduleFiles(t, muktihari, "testdata/*.fit", "testdata/*/*.fit")...)
	runs := 0
	for _, path := range files {
		all, err := Open(path)
		if err != nil {
			var known *Error
			if !errors.As(err, &known) {
				t.Errorf("%s: error of no known kind: %v", path, err)
			}
			continue
		}
		for _, r := range all {
			if r.Sport != Running {
				continue
			}
			runs++
			moving := r.Duration()
			for _, s := range r.Stops {
				moving -= s.Seconds()
			}
			check := func(what string, got, want, least float64) {
				if want == want && math.Abs(got-want) > max(.005*want, least) {
					t.Errorf("%s: %s %.1f, and the file itself says %.1f", filepath.Base(r.Name), what, got, want)
				}
			}
			check("elapsed time, s", r.Duration(), r.Summary.ElapsedS, 1)
			check("timer time, s", moving, r.Summary.TimerS, 1)
			if got, ok := odometer(r); ok {
				check("distance, m", got, r.Summary.DistanceM, 0)
			}
		}
	}
	if runs < 10 {
		t.Errorf("only %d runs were compared", runs)
	}
	t.Logf("%d runs compared", runs)
}

// odometer is the last distance less the first, which an odometer that runs
// on through the parts of an activity has from the part before.
func odometer(r *Recording) (float64, bool) {
	first, last, n := 0.0, 0.0, 0
	for i := range r.T {
		if d, ok := r.Distance.At(i); ok {
			if n == 0 && d > 50 {
				first = d
			}
			last = d
			n++
		}
	}
	return last - first, n > 1
}

// Every record of every activity against a second FIT library.
func TestFITAgainstSecondLibrary(t *testing.T) {
	compared, left := 0, 0
	for _, path := range moduleFiles(t, tormoderModule, "testdata/*/*.fit") {
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		second, err := tormoder.Decode(bytes.NewReader(data))
		if err != nil {
			continue
		}
		activity, err := second.Activity()
		if err != nil || len(activity.Records) == 0 {
			continue
		}
		all, err := Open(path)
		if errors.Is(err, ErrNoRecords) && tormoder.IsBaseTime(activity.Records[0].Timestamp) {
			continue // its records have no time
		}
		if err != nil {
			t.Errorf("%s: the second library reads it, and here: %v", path, err)
			continue
		}
		byTime := map[int64]*tormoder.RecordMsg{}
		twice := map[int64]bool{}
		for _, m := range activity.Records {
			at := m.Timestamp.Unix()
			twice[at] = byTime[at] != nil
			byTime[at] = m
		}
		for _, r := range all {
			if r.Start.IsZero() {
				continue // the second library counts such clocks otherwise
			}
			for i := range r.T {
				at := r.Start.Unix() + int64(math.Round(r.T[i]))
				m := byTime[at]
				if m == nil {
					t.Errorf("%s: no record at %d s", r.Name, int(r.T[i]))
					break
				}
				if twice[at] {
					continue
				}
				compared++
				for _, c := range []struct {
					name string
					s    Stream
					want float64
					tol  float64
				}{
					{"distance", r.Distance, m.GetDistanceScaled(), 1e-9},
					{"speed", r.Speed, either(m.GetEnhancedSpeedScaled(), m.GetSpeedScaled()), 1e-9},
					{"altitude", r.Altitude, either(m.GetEnhancedAltitudeScaled(), m.GetAltitudeScaled()), 1e-9},
					{"latitude", r.Latitude, m.PositionLat.Degrees(), 1e-9},
					{"longitude", r.Longitude, m.PositionLong.Degrees(), 1e-9},
				} {
					got, ok := c.s.At(i)
					if !ok {
						got = math.NaN()
					}
					if !ok && slices.ContainsFunc(r.Warnings, func(w Warning) bool {
						return w.Code == StrayValue && strings.Contains(w.Message, c.name) && w.StartS <= r.T[i] && r.T[i] <= w.EndS
					}) {
						left++ // as the warning says
						continue
					}
					if !near(got, c.want, c.tol) {
						t.Fatalf("%s: %s at %v s: got %v, the second library has %v", r.Name, c.name, r.T[i], got, c.want)
					}
				}
			}
		}
	}
	if compared < 30000 || left > 1 { // one is the speed of 26 m/s of a bicycle that stands
		t.Errorf("only %d records were compared, %d values were left out", compared, left)
	}
}

// A triathlon; sports, laps and distances of its five sessions are those of the
// dump beside the file (num_laps, total_distance). The odometer runs through.
func TestFITMultisport(t *testing.T) {
	want := []string{"swimming 3 laps 513.26 m", "transition 2 laps 132.35 m", "cycling 2 laps 13517.59 m", "transition 1 laps 71.72 m", "running 3 laps 4491.51 m"}
	for _, name := range []string{"triathlon_summary_first.fit", "triathlon_summary_last.fit"} {
		all, err := Open(filepath.Join(moduleDir(t, muktihari), "testdata/from_garmin_forums", name))
		if err != nil {
			t.Fatal(err)
		}
		var got []string
		before := 0.0
		for _, r := range all {
			end, _ := r.Distance.At(r.Len() - 1)
			got = append(got, fmt.Sprintf("%s %d laps %.2f m", r.Sport, len(r.Laps), r.Summary.DistanceM))
			if math.Abs(end-before-r.Summary.DistanceM) > .005*r.Summary.DistanceM {
				t.Errorf("%s: the odometer grows from %.2f m to %.2f m", r.Name, before, end)
			}
			before = end
		}
		if !slices.Equal(got, want) {
			t.Errorf("%s: got %v, want %v", name, got, want)
		}
	}
}

func TestFITChain(t *testing.T) {
	one := new(fitFile).start()
	one.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32})
	one.data(1, base, 0)
	one.data(1, base+10, 3000)
	two := new(fitFile).start()
	two.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32})
	two.data(1, base+100, 0)
	two.data(1, base+120, 5000)
	all, err := Read("chain.fit", bytes.NewReader(append(one.bytes(), two.bytes()...)))
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 2 || all[0].Name != "chain.fit#1" || all[1].Name != "chain.fit#2" || all[1].Duration() != 20 {
		t.Errorf("got %d recordings", len(all))
	}
}
