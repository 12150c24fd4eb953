package recording

import (
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"testing"
	"time"

	"github.com/muktihari/fit/decoder"
	"github.com/muktihari/fit/proto"
	tormoder "github.com/tormoder/fit"
)

type deaf struct{}

func (deaf) OnMesg(proto.Message) {}

// Reading a FIT file beside the bare decode of it: "decoder" is the library
// used here without a reader behind it, "second" the other library's decode.
func BenchmarkFIT(b *testing.B) {
	for _, f := range []struct{ module, path string }{
		{tormoderModule, "testdata/me/activity-small-fenix2-run.fit"},
		{tormoderModule, "testdata/me/activity-large-fenxi2-multisport.fit"},
		{muktihari, "testdata/from_official_sdk/Activity.fit"},
	} {
		data, err := os.ReadFile(filepath.Join(moduleDir(b, f.module), f.path))
		if err != nil {
			b.Fatal(err)
		}
		name := filepath.Base(f.path)
		b.Run(name+"/read", func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(name, bytes.NewReader(data)); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+"/decoder", func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				dec := decoder.New(bytes.NewReader(data), decoder.WithMesgListener(deaf{}), decoder.WithBroadcastOnly())
				if _, err := dec.Decode(); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(name+"/second", func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := tormoder.Decode(bytes.NewReader(data)); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

// benchGPX and benchTCX write a run of n seconds as devices do.
func benchGPX(n int) []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="made for a benchmark" xmlns="http://www.topografix.com/GPX/1/1" xmlns:x="http://example.org/TrackPointExtension/v1">
  <trk><name>Run</name><type>running</type><trkseg>`)
	start := time.Date(2024, 5, 1, 7, 0, 0, 0, time.UTC)
	for i := range n {
		fmt.Fprintf(&b, `
      <trkpt lat="%.7f" lon="%.7f">
        <ele>%.1f</ele>
        <time>%s</time>
        <extensions>
          <x:TrackPointExtension>
            <x:hr>%d</x:hr>
            <x:cad>%d</x:cad>
          </x:TrackPointExtension>
        </extensions>
      </trkpt>`, 45+float64(i)*3e-5, 7.5, 200+float64(i%40)/10, start.Add(time.Duration(i)*time.Second).Format("2006-01-02T15:04:05.000Z"), 120+i%50, 85+i%5)
	}
	b.WriteString("\n  </trkseg></trk>\n</gpx>\n")
	return b.Bytes()
}

func benchTCX(n int) []byte {
	var b bytes.Buffer
	b.WriteString(`<?xml version="1.0" encoding="UTF-8"?>
<TrainingCenterDatabase xmlns="http://www.example.org/TrainingCenterDatabase/v2">
  <Activities><Activity Sport="Running"><Id>2024-05-01T07:00:00Z</Id>
    <Lap StartTime="2024-05-01T07:00:00Z"><TotalTimeSeconds>3600</TotalTimeSeconds><DistanceMeters>12000</DistanceMeters><Intensity>Active</Intensity><TriggerMethod>Manual</TriggerMethod><Track>`)
	start := time.Date(2024, 5, 1, 7, 0, 0, 0, time.UTC)
	for i := range n {
		fmt.Fprintf(&b, `
          <Trackpoint>
            <Time>%s</Time>
            <Position>
              <LatitudeDegrees>%.7f</LatitudeDegrees>
              <LongitudeDegrees>%.7f</LongitudeDegrees>
            </Position>
            <AltitudeMeters>%.1f</AltitudeMeters>
            <DistanceMeters>%.2f</DistanceMeters>
            <HeartRateBpm>
              <Value>%d</Value>
            </HeartRateBpm>
            <Extensions>
              <TPX xmlns="http://www.example.org/ActivityExtension/v2">
                <Speed>%.3f</Speed>
                <RunCadence>%d</RunCadence>
              </TPX>
            </Extensions>
          </Trackpoint>`, start.Add(time.Duration(i)*time.Second).Format("2006-01-02T15:04:05.000Z"), 45+float64(i)*3e-5, 7.5, 200+float64(i%40)/10, float64(i)*3.3, 120+i%50, 3.3, 85+i%5)
	}
	b.WriteString("\n    </Track></Lap></Activity></Activities>\n</TrainingCenterDatabase>\n")
	return b.Bytes()
}

// Reading XML beside a bare loop over its tokens.
func BenchmarkXML(b *testing.B) {
	for _, f := range []struct {
		name string
		data []byte
	}{{"gpx", benchGPX(20000)}, {"tcx", benchTCX(20000)}} {
		b.Run(f.name+"/read", func(b *testing.B) {
			b.SetBytes(int64(len(f.data)))
			b.ReportAllocs()
			for b.Loop() {
				if _, err := Read(f.name, bytes.NewReader(f.data)); err != nil {
					b.Fatal(err)
				}
			}
		})
		b.Run(f.name+"/tokens", func(b *testing.B) {
			b.SetBytes(int64(len(f.data)))
			b.ReportAllocs()
			for b.Loop() {
				dec := xml.NewDecoder(bytes.NewReader(f.data))
				for {
					if _, err := dec.Token(); err == io.EOF {
						break
					} else if err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
