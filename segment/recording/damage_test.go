package recording

import (
	"errors"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
)

// Files of the FIT libraries' test data that hold no recording of a run, and
// why. All others read.
var refusedFIT = map[string]string{
	"DeveloperData.fit":                "none has a time",
	"MonitoringFile.fit":               "holds no records",
	"Settings.fit":                     "holds no records",
	"Settings2.fit":                    "holds no records",
	"WeightScaleMultiUser.fit":         "holds no records",
	"WeightScaleSingleUser.fit":        "holds no records",
	"WorkoutCustomTargetValues.fit":    "a planned workout",
	"WorkoutIndividualSteps.fit":       "a planned workout",
	"WorkoutRepeatGreaterThanStep.fit": "a planned workout",
	"WorkoutRepeatSteps.fit":           "a planned workout",
	"TestEncode.fit":                   "none has a time",
}

func fitFiles(t testing.TB) []string {
	return append(moduleFiles(t, tormoderModule, "testdata/*/*.fit"),
		moduleFiles(t, muktihari, "testdata/*.fit", "testdata/*/*.fit")...)
}

func TestEveryFITFile(t *testing.T) {
	seen := map[string]bool{}
	for _, path := range fitFiles(t) {
		name := filepath.Base(path)
		all, err := Open(path)
		why, refused := refusedFIT[name]
		switch {
		case refused && (err == nil || !strings.Contains(err.Error(), why)):
			t.Errorf("%s: %v, want %q", path, err, why)
		case !refused && err != nil:
			t.Error(err)
		}
		seen[name] = true
		for _, r := range all {
			if fault := invariant(r); fault != "" {
				t.Errorf("%s: %s", r.Name, fault)
			}
		}
	}
	for name := range refusedFIT {
		if !seen[name] {
			t.Errorf("%s is not among the files", name)
		}
	}
}

// smallFIT has records, laps, events, a session, a plan and developer fields.
func smallFIT() []byte {
	f := fitRun(each(12, base, 1), steady)
	f.def(2, 21, field{253, 4, tUint32}, field{0, 1, tEnum}, field{1, 1, tEnum})
	f.data(2, base+5, 0, 1)
	f.data(2, base+7, 0, 0)
	f.def(3, 19, field{253, 4, tUint32}, field{2, 4, tUint32}, field{7, 4, tUint32})
	f.data(3, base+6, base, 6000)
	f.def(4, 27, planSteps...)
	f.data(4, 0, 0, 60000, 2, 0, 0, 0, 0)
	f.def(5, 18, field{253, 4, tUint32}, field{2, 4, tUint32}, field{5, 1, tEnum}, field{9, 4, tUint32})
	f.data(5, base+11, base, 1, 3300)
	return f.bytes()
}

// A file cut off at any byte gives what was written before with a warning, or
// an *Error; the records are those of the whole file as far as they go.
func TestTruncation(t *testing.T) {
	activity, err := os.ReadFile(filepath.Join(moduleDir(t, tormoderModule), "testdata/fitsdk/Activity.fit"))
	if err != nil {
		t.Fatal(err)
	}
	for name, data := range map[string][]byte{"made.fit": smallFIT(), "activity.fit": activity,
		"run.gpx": benchGPX(4), "run.tcx": benchTCX(4), "run.gz": []byte(gzipped(string(benchTCX(4))))} {
		whole := readOne(t, name, string(data))
		if len(whole.Warnings) > 0 && name != "made.fit" && strings.Contains(codes(whole), CutShort) {
			t.Fatalf("%s: %v", name, whole.Warnings)
		}
		longest := 0
		for n := range data {
			all, err := Read(name, strings.NewReader(string(data[:n])))
			if err != nil {
				var known *Error
				if !errors.As(err, &known) || len(all) != 0 {
					t.Fatalf("%s cut at %d: %d recordings, %v", name, n, len(all), err)
				}
				if longest > 0 {
					t.Fatalf("%s cut at %d gives an error, and less of it does not: %v", name, n, err)
				}
				continue
			}
			if len(all) != 1 {
				t.Fatalf("%s cut at %d: %d recordings", name, n, len(all))
			}
			r := all[0]
			if !slices.ContainsFunc(r.Warnings, func(w Warning) bool { return w.Code == CutShort }) && strings.TrimSpace(string(data[n:])) != "" {
				t.Fatalf("%s cut at %d: no warning of it: %v", name, n, r.Warnings)
			}
			if fault := invariant(r); fault != "" {
				t.Fatalf("%s cut at %d: %s", name, n, fault)
			}
			if r.Len() < longest || r.Len() > whole.Len() {
				t.Fatalf("%s cut at %d has %d records, cut before it had %d", name, n, r.Len(), longest)
			}
			longest = r.Len()
			for i, at := range r.T {
				d, ok := r.Distance.At(i)
				e, okWhole := whole.Distance.At(i)
				if at != whole.T[i] || ok != okWhole || math.Abs(d-e) > 0 {
					t.Fatalf("%s cut at %d: record %d differs from that of the whole file", name, n, i)
				}
			}
		}
		if longest != whole.Len() {
			t.Errorf("%s: the longest piece has %d records of %d", name, longest, whole.Len())
		}
	}
}

// One wrong byte never stops the program, and never goes unsaid: the checksum
// catches it, or the reading breaks off, or the file is refused.
func TestDamagedByte(t *testing.T) {
	data := smallFIT()
	for i := range data {
		for _, flip := range []byte{0x01, 0x80, 0xFF} {
			bad := slices.Clone(data)
			bad[i] ^= flip
			all, err := Read("bad.fit", strings.NewReader(string(bad)))
			if err != nil {
				continue
			}
			for _, r := range all {
				if len(r.Warnings) == 0 && i != 1 && i != 2 && i != 3 { // bytes 1 to 3 are versions
					t.Fatalf("byte %d wrong by %02X: no warning", i, flip)
				}
				if fault := invariant(r); fault != "" {
					t.Fatalf("byte %d wrong by %02X: %s", i, flip, fault)
				}
			}
		}
	}
}
