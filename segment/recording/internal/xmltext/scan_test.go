package xmltext

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"slices"
	"testing"
	"unicode/utf8"
)

// A witness writes down what it is handed.
type witness struct{ said []string }

func (w *witness) Start(name, parent string, attrs []Attribute) error {
	s := fmt.Sprintf("<%s in %s", name, parent)
	for _, a := range attrs {
		s += fmt.Sprintf(" %s=%q", a.Name, a.Value)
	}
	w.said = append(w.said, s)
	return nil
}

func (w *witness) End(name, parent string, text []byte) error {
	w.said = append(w.said, fmt.Sprintf(">%s in %s %q", name, parent, text))
	return nil
}

// same holds the scanner to encoding/xml: what it does not call odd is well-formed,
// and says the same. It tells whether it was read.
func same(t *testing.T, doc []byte) bool {
	t.Helper()
	var quick, slow witness
	s := scanner{text: doc}
	if err := s.scan(&quick); err == errOdd {
		return false
	} else if err != nil {
		t.Fatal(err)
	}
	undeclared, err := walk(doc, &slow)
	if err != nil || undeclared != "" || !slices.Equal(quick.said, slow.said) {
		t.Fatalf("encoding/xml: %v, undeclared %q\n%q\nnot\n%q\nin %q", err, undeclared, slow.said, quick.said, doc)
	}
	return true
}

var plainDocuments = [][]byte{
	[]byte(`<?xml version="1.0" encoding="UTF-8"?>
<gpx version="1.1" creator="made for a test" xmlns="http://www.topografix.com/GPX/1/1" xmlns:x="http://example.org/TrackPointExtension/v1">
  <trk><name>Run</name><type>running</type><trkseg>
      <trkpt lat="45.0000000" lon="7.5000000">
        <ele>200.0</ele>
        <time>2024-05-01T07:00:00.000Z</time>
        <extensions>
          <x:TrackPointExtension>
            <x:hr>120</x:hr>
            <x:cad>85</x:cad>
          </x:TrackPointExtension>
        </extensions>
      </trkpt>
      <trkpt lat="45.0000300" lon="7.5000000">
        <ele>200.1</ele>
        <time>2024-05-01T07:00:01.000Z</time>
      </trkpt>
  </trkseg></trk>
</gpx>
`),
	[]byte(`<?xml version="1.0" encoding="UTF-8"?>
<TrainingCenterDatabase xmlns="http://www.example.org/TrainingCenterDatabase/v2">
  <Activities><Activity Sport="Running"><Id>2024-05-01T07:00:00Z</Id>
    <Lap StartTime="2024-05-01T07:00:00Z"><TotalTimeSeconds>3600</TotalTimeSeconds><Intensity>Active</Intensity><Track>
          <Trackpoint>
            <Time>2024-05-01T07:00:00.000Z</Time>
            <Position>
              <LatitudeDegrees>45.0000000</LatitudeDegrees>
              <LongitudeDegrees>7.5000000</LongitudeDegrees>
            </Position>
            <DistanceMeters>0.00</DistanceMeters>
            <HeartRateBpm><Value>120</Value></HeartRateBpm>
          </Trackpoint>
    </Track></Lap>
  </Activity></Activities>
</TrainingCenterDatabase>
`),
	[]byte("<?xml version=\"1.0\"?>\n<a x='1' y:z=\"2\"><b/>text<c xmlns:p='u' xmlns='v'>é <p:d p:e=''></p:d>\n</c >last</a>\n"),
	[]byte("<a xmlns:p='u'><p:b> 1\t2 </p:b><c\n d='e'\r\n/>\r\n</a>"),
}

// Documents as devices write them are read by the scanner, and whatever is done to a
// byte of them, or two, it says what encoding/xml says, or leaves it to that.
func TestScannerAgreesWithTheSlowTwin(t *testing.T) {
	for i, doc := range plainDocuments {
		if !same(t, doc) && i != 2 { // which has a blank in an end tag
			t.Errorf("document %d is called odd", i)
		}
		for n := range doc {
			same(t, doc[:n])
			same(t, slices.Delete(slices.Clone(doc), n, n+1))
		}
	}
	random := rand.New(rand.NewPCG(1, 2))
	odd := []byte("<>/&;:=\"'!?-[]\r\n\t x0\x00\x0b\xc3\xa9\xef")
	read := 0
	for range 15_000 {
		doc := slices.Clone(plainDocuments[random.IntN(len(plainDocuments))])
		for range 1 + random.IntN(2) {
			at, c := random.IntN(len(doc)), odd[random.IntN(len(odd))]
			if random.IntN(2) == 0 {
				doc[at] = c
			} else {
				doc = slices.Insert(doc, at, c)
			}
		}
		if utf8.Valid(doc) && same(t, doc) { // as all text is that comes to it
			read++
		}
	}
	if read < 1_000 {
		t.Errorf("only %d of the changed documents are read by the scanner", read)
	}
}

func FuzzScanner(f *testing.F) {
	for _, doc := range plainDocuments {
		f.Add(doc)
	}
	f.Fuzz(func(t *testing.T, doc []byte) {
		if utf8.Valid(doc) && !bytes.HasPrefix(doc, []byte("\xef\xbb\xbf")) {
			same(t, doc)
		}
	})
}
