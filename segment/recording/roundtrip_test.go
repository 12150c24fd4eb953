package recording

import (
	"fmt"
	"math"
	"strconv"
	"strings"
	"testing"
	"time"

	"pgregory.net/rapid"
)

// A sample is a recording as a writer of one of the formats would have it:
// whole seconds and values on the grid of the format.
type sample struct {
	at     []int // s, increasing
	values [columns][]float64
}

// drawSample makes up to 60 records; each column is there or not, each value
// in it mostly. Latitudes are north, for 0, 0 is no position. Values are what a
// run can have: they go from one to the next by no more than the given steps a
// second, for what cannot be true is left out.
func drawSample(t *rapid.T) sample {
	n := rapid.IntRange(2, 60).Draw(t, "records")
	var s sample
	at := 0
	for range n {
		s.at = append(s.at, at)
		at += rapid.IntRange(1, 15).Draw(t, "step")
	}
	ranges := [columns]struct {
		low, high int
		grid      float64
		down, up  int // a second; 0 for any value of the range
	}{colDistance: {0, 5_000_000, 100, 0, 900}, colSpeed: {0, 7_000, 1000, 3000, 3000}, colHeart: {40, 220, 1, 1, 1}, colCadence: {60, 119, 1, 0, 0},
		colAltitude: {-2000, 20_000, 5, 0, 0}, colLatitude: {1, 80_000_000, 1e6, 30, 30}, colLongitude: {-179_000_000, 179_000_000, 1e6, 30, 30}}
	for c, r := range ranges {
		if c != int(colLongitude) && !rapid.Bool().Draw(t, fmt.Sprintf("column %d", c)) {
			continue
		}
		s.values[c] = make([]float64, n)
		last, since := 0, -1
		for i := range n {
			s.values[c][i] = nan
			there := rapid.IntRange(0, 9).Draw(t, "there") > 0
			if c == int(colLongitude) {
				there = s.values[colLatitude] != nil && s.values[colLatitude][i] == s.values[colLatitude][i]
			}
			if there {
				low, high := r.low, r.high
				if r.up > 0 && since >= 0 {
					dt := s.at[i] - since
					low, high = max(low, last-r.down*dt), min(high, last+r.up*dt)
				}
				last, since = rapid.IntRange(low, high).Draw(t, "value"), s.at[i]
				s.values[c][i] = float64(last) / r.grid
			}
		}
	}
	return s
}

// check compares what was read with what was written.
func (s sample) check(t *rapid.T, format, data string, has func(c column) bool, tolerance func(c column) float64) {
	all, err := Read("sample."+format, strings.NewReader(data))
	if err != nil || len(all) != 1 {
		t.Fatalf("%s: %d recordings, %v", format, len(all), err)
	}
	r := all[0]
	if fault := invariant(r); fault != "" {
		t.Fatalf("%s: %s", format, fault)
	}
	if r.Format != format || r.Len() != len(s.at) {
		t.Fatalf("%s: %s, %d records of %d", format, r.Format, r.Len(), len(s.at))
	}
	if want := time.Unix(base+fitEpoch+int64(s.at[0]), 0); !r.Start.Equal(want) {
		t.Fatalf("%s: start %v, want %v", format, r.Start, want)
	}
	for c, stream := range r.streams() {
		for i := range s.at {
			want := nan
			if s.values[c] != nil && has(column(c)) {
				want = s.values[c][i]
			}
			if column(c) == colCadence {
				want *= 2
			}
			got, ok := stream.At(i)
			if !ok {
				got = nan
			}
			if !near(got, want, tolerance(column(c))) || r.T[i] != float64(s.at[i]-s.at[0]) {
				t.Fatalf("%s: column %d of record %d is %v, was %v", format, c, i, got, want)
			}
		}
	}
}

// What a writer of each format puts in comes out again.
func TestRoundTrip(t *testing.T) {
	all := func(column) bool { return true }
	noOdometer := func(c column) bool { return c != colDistance }
	text := func(column) float64 { return 1e-9 }
	binary := func(c column) float64 {
		if c >= colLatitude {
			return semicircle / 2 * 1.001
		}
		return 1e-9
	}
	rapid.Check(t, func(t *rapid.T) {
		s := drawSample(t)
		s.check(t, "fit", s.fit(rapid.Bool().Draw(t, "big endian")), all, binary)
		s.check(t, "csv", s.csv(rapid.SampledFrom([]string{",", ";", "\t"}).Draw(t, "separator")), all, text)
		s.check(t, "gpx", s.gpx(rapid.SampledFrom([]string{"", "x:", "gpxtpx:"}).Draw(t, "prefix")), noOdometer, text)
		s.check(t, "tcx", s.tcx(), all, text)
	})
}

func (s sample) each(i int, write func(c column, v float64)) {
	for c, values := range s.values {
		if values != nil && values[i] == values[i] {
			write(column(c), values[i])
		}
	}
}

func (s sample) fit(big bool) string {
	fields := []field{{253, 4, tUint32}, {5, 4, tUint32}, {73, 4, tUint32}, {3, 1, tUint8}, {4, 1, tUint8}, {2, 2, tUint16}, {0, 4, tSint32}, {1, 4, tSint32}}
	scale := [columns]float64{colDistance: 100, colSpeed: 1000, colHeart: 1, colCadence: 1, colAltitude: 5, colLatitude: 1 / semicircle, colLongitude: 1 / semicircle}
	f := new(fitFile)
	f.big[1] = big
	f.start()
	f.def(1, 20, fields...)
	for i, at := range s.at {
		values := []any{base + at, none32, none32, 0xFF, 0xFF, 0xFFFF, 0x7FFFFFFF, 0x7FFFFFFF}
		s.each(i, func(c column, v float64) {
			if c == colAltitude {
				v += 500
			}
			values[1+c] = int(math.Round(v * scale[c]))
		})
		f.data(1, values...)
	}
	return string(f.bytes())
}

func (s sample) csv(comma string) string {
	var b strings.Builder
	b.WriteString(strings.Join([]string{"time", "Distance M", "SPEED_MPS", "HeartRate", "cadence", "elevation", "Latitude", "lng"}, comma) + "\n")
	for i, at := range s.at {
		cells := make([]string, columns)
		s.each(i, func(c column, v float64) {
			cells[c] = strconv.FormatFloat(v, 'f', -1, 64)
			if comma == ";" {
				cells[c] = strings.Replace(cells[c], ".", ",", 1)
			}
		})
		b.WriteString(stamp(at) + comma + strings.Join(cells, comma) + "\n")
	}
	return b.String()
}

func stamp(at int) string { return time.Unix(base+fitEpoch+int64(at), 0).UTC().Format(time.RFC3339) }

func (s sample) gpx(prefix string) string {
	var b strings.Builder
	b.WriteString(`<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1" xmlns:x="http://example.org/x"><trk><trkseg>`)
	names := [columns]string{colSpeed: "speed", colHeart: "hr", colCadence: "cad"}
	for i, at := range s.at {
		position, elevation, more := "", "", ""
		s.each(i, func(c column, v float64) {
			value := strconv.FormatFloat(v, 'f', -1, 64)
			switch c {
			case colLatitude:
				position = ` lat="` + value + `"`
			case colLongitude:
				position += ` lon="` + value + `"`
			case colAltitude:
				elevation = "<ele>" + value + "</ele>"
			case colDistance:
			default:
				more += "<" + prefix + names[c] + ">" + value + "</" + prefix + names[c] + ">"
			}
		})
		fmt.Fprintf(&b, "<trkpt%s>%s<time>%s</time><extensions>%s</extensions></trkpt>", position, elevation, stamp(at), more)
	}
	b.WriteString("</trkseg></trk></gpx>")
	return b.String()
}

func (s sample) tcx() string {
	var b strings.Builder
	b.WriteString(`<TrainingCenterDatabase><Activities><Activity Sport="Running"><Lap><Track>`)
	open := [columns]string{"<DistanceMeters>", "<Extensions><TPX><Speed>", "<HeartRateBpm><Value>", "<Cadence>", "<AltitudeMeters>", "<Position><LatitudeDegrees>", "<LongitudeDegrees>"}
	shut := [columns]string{"</DistanceMeters>", "</Speed></TPX></Extensions>", "</Value></HeartRateBpm>", "</Cadence>", "</AltitudeMeters>", "</LatitudeDegrees>", "</LongitudeDegrees></Position>"}
	for i, at := range s.at {
		b.WriteString("<Trackpoint><Time>" + stamp(at) + "</Time>")
		s.each(i, func(c column, v float64) { b.WriteString(open[c] + strconv.FormatFloat(v, 'f', -1, 64) + shut[c]) })
		b.WriteString("</Trackpoint>")
	}
	b.WriteString("</Track></Lap></Activity></Activities></TrainingCenterDatabase>")
	return b.String()
}
