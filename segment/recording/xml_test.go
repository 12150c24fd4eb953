package recording

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	gpxgo "github.com/tkrajina/gpxgo/gpx"
)

// tcxPoints writes n track points a second apart, 3 m each, from a second on.
func tcxPoints(n, from int) string {
	var b strings.Builder
	for i := range n {
		s := from + i
		fmt.Fprintf(&b, `<Trackpoint><Time>2024-05-01T07:%02d:%02dZ</Time><DistanceMeters>%d</DistanceMeters><HeartRateBpm><Value>140</Value></HeartRateBpm></Trackpoint>`, s/60, s%60, 3*s)
	}
	return b.String()
}

// A lap that a damaged file breaks off in is kept.
func TestTCXCutShort(t *testing.T) {
	data := `<TrainingCenterDatabase><Activities><Activity Sport="Running">` +
		`<Lap StartTime="2024-05-01T07:00:00Z"><TotalTimeSeconds>9</TotalTimeSeconds><DistanceMeters>30</DistanceMeters><Track>` + tcxPoints(10, 0) + `</Track></Lap>` +
		`<Lap StartTime="2024-05-01T07:00:10Z"><TotalTimeSeconds>20</TotalTimeSeconds><DistanceMeters>60</DistanceMeters><Track>` + tcxPoints(10, 10) + `<Trackpoint><Ti`
	r := readOne(t, "t.tcx", data)
	if r.Len() != 20 || len(r.Laps) != 2 || r.Laps[0].Span != (Span{0, 9}) || r.Laps[1].Span != (Span{10, 30}) || codes(r) != CutShort {
		t.Errorf("%d records, laps %v, warnings %v", r.Len(), r.Laps, r.Warnings)
	}
}

// Elements of GPX 1.0 and 1.1, and extensions under any prefix.
func TestGPXElements(t *testing.T) {
	at := func(s Stream) float64 {
		if v, ok := s.At(1); ok {
			return v
		}
		return math.NaN()
	}
	second := func(inner string) string {
		return `<trkpt lat="45" lon="7"><time>2024-05-01T07:00:00Z</time></trkpt><trkpt lat="45.00003" lon="-7.5">` + inner + `</trkpt>`
	}
	for _, c := range []struct {
		name, data                   string
		altitude, speed, heart, feet float64
		sport                        Sport
		place                        Place
	}{
		{"1.0, with speed", `<gpx version="1.0" xmlns="http://www.topografix.com/GPX/1/0"><trk><trkseg>` +
			second(`<ele>120.5</ele><time>2024-05-01T07:00:01Z</time><course>10</course><speed>3.25</speed>`) + `</trkseg></trk></gpx>`,
			120.5, 3.25, math.NaN(), math.NaN(), SportUnknown, Outdoors},
		{"1.1, extension version 2", `<gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1" xmlns:anything="http://example.org/TrackPointExtension/v2"><metadata><time>2020-01-01T00:00:00Z</time></metadata><trk><name>x</name><type>trail_running</type><trkseg>` +
			second(`<ele>120.5</ele><time>2024-05-01T07:00:01Z</time><extensions><anything:TrackPointExtension><anything:hr>150</anything:hr><anything:cad>86</anything:cad><anything:speed>3.5</anything:speed></anything:TrackPointExtension></extensions>`) + `</trkseg></trk></gpx>`,
			120.5, 3.5, 150, 172, Running, Trail},
		{"extension as the default namespace", `<gpx><trk><type>treadmill_running</type><trkseg>` +
			second(`<time>2024-05-01T07:00:01Z</time><extensions><hr xmlns="http://example.org/e">150</hr></extensions>`) + `</trkseg></trk></gpx>`,
			math.NaN(), math.NaN(), 150, math.NaN(), Running, Treadmill},
		{"a number as the type, entities in the name", `<gpx><trk><name>R&eacute;p&amp;t &#228;</name><type>9</type><trkseg>` +
			second(`<ele> 120.5
			</ele><time>2024-05-01T07:00:01+00:00</time>`) + `</trkseg></trk></gpx>`,
			120.5, math.NaN(), math.NaN(), math.NaN(), SportUnknown, Outdoors},
	} {
		r := readOne(t, c.name, c.data)
		if !near(at(r.Altitude), c.altitude, 0) || !near(at(r.Speed), c.speed, 0) || !near(at(r.HeartRate), c.heart, 0) || !near(at(r.Cadence), c.feet, 0) {
			t.Errorf("%s: altitude %v, speed %v, heart rate %v, cadence %v", c.name, at(r.Altitude), at(r.Speed), at(r.HeartRate), at(r.Cadence))
		}
		if at(r.Latitude) != 45.00003 || at(r.Longitude) != -7.5 || r.Duration() != 1 {
			t.Errorf("%s: position %v %v after %v s", c.name, at(r.Latitude), at(r.Longitude), r.Duration())
		}
		if r.Sport != c.sport || r.Place != c.place || r.Format != "gpx" || len(r.Warnings) != 0 {
			t.Errorf("%s: %q %q, %v", c.name, r.Sport, r.Place, r.Warnings)
		}
	}
}

// Tracks more than an hour apart are recordings of their own, in any order.
func TestGPXTracks(t *testing.T) {
	point := func(day, minute int) string {
		return fmt.Sprintf(`<trkpt lat="45.%03d" lon="7"><time>2024-05-%02dT07:%02d:00Z</time></trkpt>`, minute, day, minute)
	}
	data := `<gpx><trk><type>running</type><trkseg>` + point(2, 0) + point(2, 1) + `</trkseg></trk><trk><trkseg>` +
		point(2, 3) + point(2, 4) + `</trkseg></trk><trk><type>cycling</type><trkseg>` + point(1, 0) + point(1, 1) + `</trkseg></trk></gpx>`
	all, err := Read("t.gpx", strings.NewReader(data))
	if err != nil || len(all) != 2 {
		t.Fatalf("got %d recordings, %v", len(all), err)
	}
	if r := all[0]; r.Name != "t.gpx#1" || r.Len() != 4 || r.Duration() != 240 || r.Sport != Running || len(r.Stops) != 0 {
		t.Errorf("first: %s, %d records, %v s, %q, stops %v", r.Name, r.Len(), r.Duration(), r.Sport, r.Stops)
	}
	if r := all[1]; r.Name != "t.gpx#2" || r.Len() != 2 || r.Sport != Cycling || r.Start.Day() != 1 {
		t.Errorf("second: %s, %d records, %q, %v", r.Name, r.Len(), r.Sport, r.Start)
	}
}

func TestTCX(t *testing.T) {
	lap := func(start, seconds, metres int, method, intensity, tracks string) string {
		return fmt.Sprintf(`<Lap StartTime="2024-05-01T07:%02d:%02dZ"><TotalTimeSeconds>%d</TotalTimeSeconds><DistanceMeters>%d</DistanceMeters>`+
			`<MaximumSpeed>5</MaximumSpeed><AverageHeartRateBpm><Value>140</Value></AverageHeartRateBpm><Intensity>%s</Intensity><TriggerMethod>%s</TriggerMethod>%s</Lap>`,
			start/60, start%60, seconds, metres, intensity, method, tracks)
	}
	track := func(s string) string { return "<Track>" + s + "</Track>" }
	extended := `<Trackpoint><Time>2024-05-01T07:02:00.5Z</Time><Position><LatitudeDegrees>45.5</LatitudeDegrees><LongitudeDegrees>7.25</LongitudeDegrees></Position>` +
		`<AltitudeMeters>99.5</AltitudeMeters><DistanceMeters>400</DistanceMeters><HeartRateBpm xsi:type="x"><Value>151</Value></HeartRateBpm>` +
		`<Extensions><ns3:TPX><ns3:Speed>3.25</ns3:Speed><ns3:RunCadence>86</ns3:RunCadence></ns3:TPX></Extensions></Trackpoint>`
	data := `<?xml version="1.0" encoding="UTF-8"?><TrainingCenterDatabase xmlns="http://example.org/TrainingCenterDatabase/v2" xmlns:ns3="http://example.org/ActivityExtension/v2" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance"><Activities><Activity Sport="Running"><Id>2024-05-01T07:00:00Z</Id>` +
		lap(0, 40, 180, "Manual", "Active", track(tcxPoints(21, 0))+track(tcxPoints(21, 40))) + // a pause from 20 s to 40 s within
		lap(60, 20, 60, "Distance", "Resting", track(tcxPoints(20, 61))) + // and one from 80 s to 120 s after it
		lap(120, 1, 10, "Location", "Active", track(extended)) +
		`<Creator><Name>x</Name></Creator></Activity><Activity Sport="Biking"><Lap StartTime="2024-05-01T07:30:00Z"><Track>` + tcxPoints(2, 1800) + `</Track></Lap></Activity></Activities></TrainingCenterDatabase>`
	all, err := Read("t.tcx", strings.NewReader(data))
	if err != nil || len(all) != 2 {
		t.Fatalf("got %d recordings, %v", len(all), err)
	}
	r := all[0]
	want := []Lap{
		{Span{0, 60}, 180, ManualTrigger, Active, -1},
		{Span{60, 80}, 60, DistanceTrigger, Rest, -1},
		{Span{120, 121}, 10, PositionTrigger, Active, -1},
	}
	if fmt.Sprint(r.Laps) != fmt.Sprint(want) {
		t.Errorf("laps %v, want %v", r.Laps, want)
	}
	if fmt.Sprint(r.Stops) != fmt.Sprint([]Span{{20, 40}, {80, 120}}) {
		t.Errorf("stops %v", r.Stops)
	}
	if r.Summary.TimerS != 61 || r.Summary.DistanceM != 250 || !math.IsNaN(r.Summary.ElapsedS) {
		t.Errorf("summary %v", r.Summary)
	}
	n := r.Len() - 1
	for _, c := range []struct {
		name string
		s    Stream
		want float64
	}{{"speed", r.Speed, 3.25}, {"cadence", r.Cadence, 172}, {"latitude", r.Latitude, 45.5}, {"longitude", r.Longitude, 7.25},
		{"altitude", r.Altitude, 99.5}, {"distance", r.Distance, 400}, {"heart rate", r.HeartRate, 151}} {
		if got, ok := c.s.At(n); !ok || got != c.want {
			t.Errorf("%s: got %v, want %v", c.name, got, c.want)
		}
	}
	if r.T[n] != 120.5 || r.Sport != Running || all[1].Sport != Cycling {
		t.Errorf("last record at %v s; %q, %q", r.T[n], r.Sport, all[1].Sport)
	}
}

func TestXMLRefused(t *testing.T) {
	for _, c := range []struct {
		data string
		is   error
		says string
	}{
		{gpx(`<trkpt lat="45" lon="7"></trkpt>`), ErrNoRecords, "x: has 1 track point without times: a planned route, not a recording; export the activity, not the route"},
		{gpx(`<trkpt lat="45" lon="7"><time>noon</time></trkpt>`), ErrNoRecords, `x: has 1 track point, and no time of them can be read (the first is "noon"); times must look like 2024-05-01T07:30:00Z`},
		{`<gpx><wpt lat="1" lon="2"/></gpx>`, ErrNoRecords, "x: holds no track; export the activity itself"},
		{"<gpx>\n<trk>\n </wrong>", ErrDamaged, "x:3:10: is no well-formed XML: element <trk> closed by </wrong>; export the file again"},
		{"<gpx>\n<trk>", ErrDamaged, "x:2:6: the file breaks off here; export the file again"},
		{`<html><body>Sign in</body></html>`, ErrFormat, "x: is a web page, not a recording; sign in and export the activity again"},
		{`<svg/>`, ErrFormat, `x: is XML with the document element "svg", and neither GPX nor TCX; give a FIT, GPX, TCX or CSV file`},
		{`<<<`, ErrFormat, "x: is no well-formed XML; export it again"},
		{`{"a": 1}`, ErrFormat, "x: is JSON text, not a recording; give a FIT, GPX, TCX or CSV file"},
		{`<TrainingCenterDatabase><Courses><Course><Track>` + tcxPoints(2, 0) + `</Track></Course></Courses></TrainingCenterDatabase>`, ErrNoRecords,
			"x: holds a course, not a recording; export the activity, not the course"},
		{`<TrainingCenterDatabase><Workouts><Workout/></Workouts></TrainingCenterDatabase>`, ErrPlanOnly,
			"x: holds a planned workout, not a recording; plans are read from FIT files and from the text notation"},
		{`<TrainingCenterDatabase><Activities><Activity Sport="Running"/></Activities></TrainingCenterDatabase>`, ErrNoRecords, "x: holds no track; export the activity itself"},
		{strings.Repeat(`<gpx><trk><trkseg>`, 1) + trkpt(0, "") + trkpt(0, "") + `</trkseg></trk></gpx>`, ErrNoRecords, "x: has 2 records, all of the same time"},
	} {
		all, err := Read("x", strings.NewReader(c.data))
		if len(all) != 0 || !errors.Is(err, c.is) || err.Error() != c.says {
			t.Errorf("got  %v\nwant %s", err, c.says)
		}
	}
}

// The files inside a second GPX library: read to the same points, or refused
// for a reason.
func TestGPXAgainstSecondLibrary(t *testing.T) {
	refused := map[string]string{
		"Mojstrovka.gpx": "all of the same time",
		"gpx1.1_with_extensions_without_namespaces.gpx": "holds no track",
		"gpx_with_garmin_extension.gpx":                 "holds no track",
		"iso8859-1encoded.gpx":                          "holds no track",
	}
	compared := 0
	for _, path := range moduleFiles(t, "github.com/tkrajina/gpxgo", "test_files/*.gpx") {
		name := filepath.Base(path)
		all, err := Open(path)
		if why, ok := refused[name]; ok {
			if err == nil || !strings.Contains(err.Error(), why) {
				t.Errorf("%s: %v, want %q", name, err, why)
			}
			continue
		}
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		data, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		second, err := gpxgo.ParseBytes(data)
		if err != nil {
			t.Errorf("%s: the second library: %v", name, err)
			continue
		}
		type place struct{ lat, lon, ele float64 }
		known := map[int64]place{}
		for _, trk := range second.Tracks {
			for _, seg := range trk.Segments {
				for _, p := range seg.Points {
					if !p.Timestamp.IsZero() {
						known[p.Timestamp.UnixMilli()] = place{p.Latitude, p.Longitude, p.Elevation.Value()}
					}
				}
			}
		}
		for _, r := range all {
			if r.Start.IsZero() {
				continue // a file of 1901, whose calendar is dropped
			}
			for i := range r.T {
				p, ok := known[r.Start.UnixMilli()+int64(math.Round(1000*r.T[i]))]
				lat, _ := r.Latitude.At(i)
				lon, _ := r.Longitude.At(i)
				ele, _ := r.Altitude.At(i)
				if !ok || lat != p.lat || lon != p.lon || ele != p.ele {
					t.Fatalf("%s: record %d is %v %v %v, the second library has %v", name, i, lat, lon, ele, p)
				}
				compared++
			}
		}
	}
	if compared < 900 {
		t.Errorf("only %d points were compared", compared)
	}
}
