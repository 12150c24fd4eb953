package simulate

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"math/rand/v2"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"example.org/rungs/segment/recording"
)

//go:generate go test . -run ^TestDemoIsCurrent$ -update

var update = flag.Bool("update", false, "rewrite the files of testdata/demo")

const demoFolder = "../../testdata/demo"

// A demoRun is one recording of the demo, or two of one run.
type demoRun struct {
	day     int // of September 2026
	hour    int
	files   []string // without .fit; the runner goes by the first
	devices []Device
	plan    string // "" when nothing was planned
	s       Session
	seed    uint64
}

// demoAthlete is the invented runner of testdata/demo/README.md: 20:15 for
// 5 km, 1:33 hoped for in the half marathon.
func demoAthlete(place recording.Place, maxGrade float64) *athlete {
	a := &athlete{Rand: rand.New(rand.NewPCG(1, 1)), v5: 5000 / 1215.0, place: place, runner: DefaultRunner()}
	a.easyMPS, a.jogMPS = pace(330), pace(375)
	a.runner.SpreadPct, a.runner.HeartBase, a.runner.HeartMax = 0.7, 66, 186
	if place != recording.Treadmill {
		a.terrain = Terrain{BaseM: 60, MaxGrade: maxGrade, RollM: 1100}
	}
	return a
}

// pace is the speed of so many seconds a kilometre.
func pace(sPerKm float64) float64 { return 1000 / sPerKm }

// paced sets the speeds of the reps, s/km at start and end.
func paced(s Session, reps ...[2]float64) Session {
	for i := range s.Legs {
		if l := &s.Legs[i]; l.Role == work {
			l.StartMPS, l.EndMPS = pace(reps[l.Rep-1][0]), pace(reps[l.Rep-1][1])
		}
	}
	return s
}

func even(sPerKm ...float64) (out [][2]float64) {
	for _, p := range sPerKm {
		out = append(out, [2]float64{p, p})
	}
	return out
}

func profile(t *testing.T, name string, scalePct float64, change func(d *Device)) Device {
	t.Helper()
	d, ok := DeviceNamed(name)
	if !ok {
		t.Fatalf("no device %q", name)
	}
	d.ScaleBiasPct, d.ScaleSDPct, d.PressMissP, d.LockP = scalePct, 0, 0, 0
	if change != nil {
		change(&d)
	}
	return d
}

func demo(t *testing.T) []demoRun {
	foot := profile(t, "foot sensor on the treadmill", 0.6, nil)
	belt := profile(t, "treadmill's own file", 0, nil)
	mill := func(kmh ...float64) Session {
		a := demoAthlete(recording.Treadmill, 0)
		s := a.session("treadmill", secs(900).warm(10.5/3.6), times(5, secs(240).work(1)).off(secs(90).jog(9.5/3.6)), secs(600).cool(10/3.6))
		var reps []float64
		for _, v := range kmh {
			reps = append(reps, 3600/v)
		}
		return paced(s, even(reps...)...)
	}
	a := demoAthlete(recording.Track, 0)
	track := a.onTrack().session("track", metres(2000).warm(pace(335)),
		times(2, times(5, metres(400).work(1)).off(metres(200).jog(pace(370)))).off(metres(800).jog(pace(380))), metres(1000).cool(pace(350)))
	track = paced(track, even(212, 217, 219, 221, 220, 219, 221, 218, 222, 216)...)
	for i := range track.Legs {
		if l := &track.Legs[i]; l.Role == work && l.Rep == 8 {
			l.Metres = 240 // a gate was shut across the bend
		}
	}
	a = demoAthlete(recording.Outdoors, 0.012)
	lights := a.loosely("easy", secs(2700).easy(a.easyMPS))
	lights.Legs[0].Halts = []Halt{{310, 41}, {655, 14}, {1120, 63}, {1388, 22}, {1905, 37}, {2301, 9}}
	a = demoAthlete(recording.Outdoors, 0.008)
	long := paced(a.session("long", metres(4000).easy(a.easyMPS), times(3, metres(3000).work(1)).off(metres(1000).offEasy(a.easyMPS)), metres(2000).easy(a.easyMPS)),
		[2]float64{284, 281}, [2]float64{281, 283}, [2]float64{286, 301})
	a = demoAthlete(recording.Outdoors, 0.008)
	tempo := paced(a.session("tempo", secs(900).warm(a.easyMPS), secs(1200).work(1), secs(600).cool(pace(345))), [2]float64{251, 273})
	a = demoAthlete(recording.Outdoors, 0.06)
	hills := a.loosely("easy", metres(8000).easy(a.easyMPS))

	const millPlan = "15:00 warm + 5 x 4:00 @ 4:25 -> 4:05/km off 1:30 jog + 10:00 cool"
	return []demoRun{
		{8, 18, []string{"tuesday-treadmill", "tuesday-treadmill-belt"}, []Device{foot, belt}, millPlan, mill(13.6, 13.9, 14.2, 14.0, 14.7), 11},
		{10, 17, []string{"thursday-track"}, []Device{profile(t, "older watch, every second", 0.9, func(d *Device) { d.Laps = Presses })},
			"2km warm + 2 x ( 5 x 400m @ 3:40/km off 200m jog ) off 800m jog + 1km cool", track, 12},
		{12, 7, []string{"saturday-easy"}, []Device{profile(t, "watch in the city", 0.7, nil)}, "", lights, 13},
		{13, 8, []string{"sunday-long"}, []Device{profile(t, "watch with smart recording", 0.4, func(d *Device) { d.Laps = AutoLaps })},
			"4km easy + 3 x 3km @ 4:40/km off 1km easy + 2km easy", long, 14},
		{15, 18, []string{"next-tuesday-treadmill"}, []Device{foot}, millPlan, mill(13.7, 14.0, 14.3, 14.5, 14.8), 15},
		{17, 17, []string{"next-thursday-tempo"}, []Device{profile(t, "watch leading through steps", -0.3, nil)},
			"15:00 warm + 20:00 @ 4:20/km + 10:00 cool", tempo, 16},
		{19, 8, []string{"next-saturday-hills"}, []Device{profile(t, "good watch, open sky", 0.2, func(d *Device) { d.EveryS, d.MaxGapS, d.Laps = 0, 9, AutoLaps })}, "", hills, 17},
	}
}

// demoFiles makes every file of the demo but its README.
func demoFiles(t *testing.T) map[string][]byte {
	files := map[string][]byte{}
	for _, d := range demo(t) {
		d.s.Start = time.Date(2026, time.September, d.day, d.hour, 4, 0, 0, time.UTC)
		recs, truth := RunAll(d.s, d.devices, d.seed)
		for i, r := range recs {
			var b bytes.Buffer
			if err := WriteFIT(&b, r); err != nil {
				t.Fatal(err)
			}
			files[d.files[i]+".fit"] = b.Bytes()
		}
		files[d.files[0]+".truth.tsv"] = truthTable(truth)
		if d.plan != "" {
			files[d.files[0]+".plan"] = []byte(d.plan + "\n")
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
	for _, d := range demo(t) {
		if got := target.ReplaceAllString(d.plan, ""); got != d.s.Notation {
			t.Errorf("%s: plan %q, meant %q", d.files[0], got, d.s.Notation)
		}
	}
}

// The README of the demo tells what happened; the truth must bear it out.
func TestDemoHappensAsTold(t *testing.T) {
	paces := map[string][]float64{}
	var lengths []float64
	for _, d := range demo(t) {
		_, truth := RunAll(d.s, d.devices, d.seed)
		for _, l := range truth.Legs {
			if l.Role == work {
				paces[d.files[0]] = append(paces[d.files[0]], l.PaceSPerKm)
				if d.files[0] == "thursday-track" {
					lengths = append(lengths, math.Round(l.DistanceM/10)*10)
				}
			}
		}
		if d.files[0] == "saturday-easy" && len(truth.Stops) != 6 {
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
	for _, d := range demo(t) {
		for _, f := range d.files {
			if !strings.Contains(string(text), "`"+f+".fit`") {
				t.Errorf("README.md does not speak of %s.fit", f)
			}
		}
	}
}
