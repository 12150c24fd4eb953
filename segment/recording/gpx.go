package recording

import (
	"bytes"
	"example.org/rungs/segment/recording/internal/xmltext"
)

// A gpxReader reads the track points of GPX 1.0 and 1.1. Way points and routes
// are no record of a run.
//
// GPX has no odometer: positions, times and elevation are the schema's; speed
// is an element of 1.0 and of an extension of 1.1, heart rate ("hr") and
// cadence ("cad") are of extensions.
type gpxReader struct{ xmlRead }

func readGPX(name string, text []byte, notes []Warning, lim limits) ([]*Recording, error) {
	var g *gpxReader
	most := bytes.Count(text, []byte("<trkpt"))
	fresh := func() (xmltext.Handler, error) {
		g = &gpxReader{}
		return g, g.first(name, "gpx", lim, most)
	}
	undeclared, stopped, err := xmltext.Read(text, fresh)
	if err != nil {
		return nil, err
	}
	return g.recordings(notes, undeclared, stopped)
}

func (g *gpxReader) Start(name, parent string, attrs []xmltext.Attribute) error {
	switch name {
	case "trkpt":
		g.begin()
		for _, a := range attrs {
			switch a.Name {
			case "lat":
				g.at.v[colLatitude] = number(a.Value)
			case "lon":
				g.at.v[colLongitude] = number(a.Value)
			}
		}
	case "trk":
		g.newTrack = true
		g.place = part{}
	case "trkseg":
		g.newTrack = true
	}
	return nil
}

func (g *gpxReader) End(name, parent string, text []byte) error {
	if !g.open {
		if name == "type" && parent == "trk" {
			g.place.sport, g.place.place = sportInWords(string(text))
		}
		return nil
	}
	switch name {
	case "trkpt":
		return g.keep()
	case "time":
		if parent == "trkpt" {
			g.setTime(text)
		}
	case "ele":
		g.at.v[colAltitude] = number(text)
	case "speed":
		g.at.v[colSpeed] = number(text)
	case "hr", "heartrate":
		g.at.v[colHeart] = number(text)
	case "cad", "cadence":
		g.at.v[colCadence] = number(text)
	}
	return nil
}
