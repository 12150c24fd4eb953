package simulate

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

//go:generate go test . -run ^TestDemoIsCurrent$ -update

var update = flag.Bool("update", false, "rewrite the files of testdata/demo")

const demoFolder = "../../testdata/demo"

// demoFiles makes every file of the demo but its README.
func demoFiles(t *testing.T) map[string][]byte {
	files := map[string][]byte{}
	for _, d := range Demo() {
		recs, truth := d.Record()
		for i, r := range recs {
			var b bytes.Buffer
			if err := WriteFIT(&b, r); err != nil {
				t.Fatal(err)
			}
			files[d.Files[i]+".fit"] = b.Bytes()
		}
		files[d.Files[0]+".truth.tsv"] = truthTable(truth)
		if d.Plan != "" {
			files[d.Files[0]+".plan"] = []byte(d.Plan + "\n")
		}
	}
	return files
}

func truthTable(truth Truth) []byte {
	var b bytes.Buffer
	fmt.Fprintf(&b, "# simulated; seconds from the first record, true metres, true s/km\n# notation: %s\n# odometer over true distance: %.4f\n", truth.Notation, truth.Scale)
	for _, s := range truth.Stops {
		fmt.Fprintf(&b, "# stood still: %.2f to %.2f\n", s.StartS, s.EndS)
	}
	fmt.Fprintf(&b, "role\tmanner\tset\trep\tstart_s\tend_s\tdistance_m\tpace_s_per_km\n")
	for _, l := range truth.Legs {
		fmt.Fprintf(&b, "%s\t%s\t%d\t%d\t%.2f\t%.2f\t%.1f\t%.1f\n", l.Role, l.Manner, l.Set, l.Rep, l.StartS, l.EndS, l.DistanceM, l.PaceSPerKm)
	}
	return b.Bytes()
}

// fused says whether the compiler turns x*y + z into one rounding, as it does
// on most machines but amd64: the last bits of a simulation differ then.
//
//go:noinline
func fused(x, y, z float64) bool { return x*y+z != 0 }

func TestDemoIsCurrent(t *testing.T) {
	if fused(1+0x1p-30, 1+0x1p-30, -1-0x1p-29) {
		t.Skip("multiply-add is fused here, and the demo was made without: its last bits differ")
	}
	files := demoFiles(t)
	for name, want := range files {
		path := filepath.Join(demoFolder, name)
		if *update {
			if err := os.WriteFile(path, want, 0o644); err != nil {
				t.Fatal(err)
			}
			continue
		}
		got, err := os.ReadFile(path)
		if err != nil {
			t.Error(err)
		} else if !bytes.Equal(got, want) {
			t.Errorf("%s is not what go generate ./segment/simulate makes", path)
		}
	}
	entries, err := os.ReadDir(demoFolder)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if _, ok := files[e.Name()]; !ok && e.Name() != "README.md" {
			t.Errorf("%s is made by nobody", filepath.Join(demoFolder, e.Name()))
		}
	}
}

// A plan without its targets is what the runner meant to do.
func TestDemoPlansAreWhatWasMeant(t *testing.T) {
	target := regexp.MustCompile(` @ \S+( -> \S+)?`)
	for _, d := range Demo() {
		if got := target.ReplaceAllString(d.Plan, ""); got != d.Session.Notation {
			t.Errorf("%s: plan %q, meant %q", d.Files[0], got, d.Session.Notation)
		}
	}
}

// The README of the demo tells what happened; the truth must bear it out.
func TestDemoHappensAsTold(t *testing.T) {
	paces := map[string][]float64{}
	var lengths []float64
	for _, d := range Demo() {
		_, truth := d.Record()
		for _, l := range truth.Legs {
			if l.Role == work {
				paces[d.Files[0]] = append(paces[d.Files[0]], l.PaceSPerKm)
				if d.Files[0] == "thursday-track" {
					lengths = append(lengths, math.Round(l.DistanceM/10)*10)
				}
			}
		}
		if d.Files[0] == "saturday-easy" && len(truth.Stops) != 6 {
			t.Errorf("saturday-easy has %d stops", len(truth.Stops))
		}
	}
	p := paces["tuesday-treadmill"]
	if len(p) != 5 || !(p[1] < p[0] && p[2] < p[1] && p[3] > p[2] && p[4] < p[2]) {
		t.Errorf("tuesday-treadmill: %.1f s/km; only the fourth rep must be slower than the one before", p)
	}
	for i, q := range paces["next-tuesday-treadmill"] {
		if q >= p[i] || i > 0 && q >= paces["next-tuesday-treadmill"][i-1] {
			t.Errorf("next-tuesday-treadmill: rep %d at %.1f s/km", i+1, q)
		}
	}
	if got, want := fmt.Sprint(lengths), "[400 400 400 400 400 400 400 240 400 400]"; got != want {
		t.Errorf("thursday-track: %s, want %s", got, want)
	}
	if l := paces["sunday-long"]; len(l) != 3 || l[2] < l[0]+6 || l[2] < l[1]+6 {
		t.Errorf("sunday-long: %.1f s/km; the last block must be slower", l)
	}
}

func TestDemoReadmeNamesEveryRecording(t *testing.T) {
	text, err := os.ReadFile(filepath.Join(demoFolder, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range Demo() {
		for _, f := range d.Files {
			if !strings.Contains(string(text), "`"+f+".fit`") {
				t.Errorf("README.md does not speak of %s.fit", f)
			}
		}
	}
}
