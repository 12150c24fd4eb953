package recording

import (
	"bytes"
	"errors"
	"os"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// fuzzRead reads data twice: no panic, an *Error or sound recordings, and the
// same both times.
func fuzzRead(t *testing.T, data []byte) {
	lim := limits{bytes: 1 << 20, archiveBytes: 2 << 20, members: 100, records: 20_000, marks: 100}
	all, err := read("fuzz", bytes.NewReader(data), lim)
	if err != nil {
		var known *Error
		if !errors.As(err, &known) || known.Reason == "" {
			t.Fatalf("an error of no known kind: %v", err)
		}
	} else if len(all) == 0 {
		t.Fatal("neither a recording nor an error")
	}
	for _, r := range all {
		if fault := invariant(r); fault != "" {
			t.Fatal(fault)
		}
	}
	again, _ := read("fuzz", bytes.NewReader(data), lim)
	if diff := cmp.Diff(all, again, cmpopts.EquateNaNs()); diff != "" {
		t.Fatal("reading twice gives", diff)
	}
}

// seed adds the inputs of the tables that a filter wants.
func seed(f *testing.F, want func(data string) bool) {
	for _, o := range oddities {
		if data := o.data(); want(data) {
			f.Add([]byte(data))
		}
	}
}

func FuzzFIT(f *testing.F) {
	seed(f, func(s string) bool { return binaryFormat([]byte(s)) == fitFormat })
	f.Add(smallFIT())
	for _, path := range fitFiles(f) {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		if len(data) < 6000 { // larger ones only slow the search down
			f.Add(data)
		}
	}
	f.Fuzz(func(t *testing.T, data []byte) {
		fuzzRead(t, data)
		p, err := ReadPlan("fuzz", bytes.NewReader(data))
		var known *Error
		if (p == nil) == (err == nil) || err != nil && !errors.As(err, &known) {
			t.Fatalf("plan %v, error %v", p, err)
		}
	})
}

func FuzzGPX(f *testing.F) {
	seed(f, func(s string) bool { return strings.Contains(s, "trkpt") })
	f.Add(benchGPX(3))
	for _, path := range moduleFiles(f, "github.com/tkrajina/gpxgo", "test_files/*.gpx") {
		data, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		if len(data) < 6000 {
			f.Add(data)
		}
	}
	f.Fuzz(fuzzRead)
}

func FuzzTCX(f *testing.F) {
	seed(f, func(s string) bool { return strings.Contains(s, "Trackpoint") })
	f.Add(benchTCX(3))
	f.Fuzz(fuzzRead)
}

func FuzzCSV(f *testing.F) {
	seed(f, func(s string) bool { return binaryFormat([]byte(s)) == unknownFormat && !strings.Contains(s, "<") })
	f.Add([]byte(tinyCSV))
	f.Fuzz(fuzzRead)
}

func FuzzArchive(f *testing.F) {
	f.Add([]byte(gzipped(tinyCSV)))
	f.Add([]byte(gzipped(string(smallFIT()))))
	f.Add([]byte(zipped(f, "a.csv", tinyCSV, "b/c.fit", string(smallFIT()))))
	f.Add([]byte(gzipped(zipped(f, "a.csv", tinyCSV))))
	f.Fuzz(fuzzRead)
}
