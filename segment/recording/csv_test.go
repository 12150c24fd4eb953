package recording

import (
	"errors"
	"fmt"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"example.org/rungs/segment/internal/opendata"
)

func TestCSVColumns(t *testing.T) {
	for _, c := range []struct {
		name, data   string
		distance     float64 // at the last record
		speed, heart float64 // at record 1
		codes        string
	}{
		{"plain", "t_s,distance_m,speed_mps,hr_bpm\n0,0,0,100\n2,6,3,110\n4,12,3,120\n", 12, 3, 110, ""},
		{"names in any case", "Time,HeartRate,DISTANCE\n2024-05-01T07:30:00Z,100,0\n2024-05-01T07:30:02Z,110,6\n", 6, math.NaN(), 110, ""},
		{"hr", "time,hr,distance_m\n2024-05-01T07:30:00+02:00,100,0\n2024-05-01T07:30:02+02:00,110,6\n", 6, math.NaN(), 110, ""},
		{"time_s for t_s", "time_s,distance_m,speed_mps\n0,0,0\n2,6,3\n4,12,3\n", 12, 3, math.NaN(), ""},
		{"pace in s/km", "t_s,distance_m,pace_s_per_km\n0,0,\n2,8,250\n4,16,250\n", 16, 4, math.NaN(), ""},
		{"pace as mm:ss", "t_s,distance_m,pace_s_per_km\n0,0,\n2,8,4:10\n4,16,4:10\n", 16, 4, math.NaN(), ""},
		{"semicolon, decimal comma", "t_s;distance_m;speed_mps\n0;0;0\n2;6,5;3,25\n", 6.5, 3.25, math.NaN(), ""},
		{"tab", "t_s\tdistance_m\n0\t0\n2\t6.5\n", 6.5, math.NaN(), math.NaN(), OnlyDistance},
		{"byte order mark, carriage returns", "\xef\xbb\xbft_s,distance_m\r\n0,0\r\n2,6.5\r\n", 6.5, math.NaN(), math.NaN(), OnlyDistance},
		{"missing values", "t_s,distance_m,hr_bpm\n0,0,\n2,NaN,110\n4,12,nan\n", 12, math.NaN(), 110, ""},
		{"heart rate of zero", "t_s,distance_m,hr_bpm\n0,0,0\n2,6,0\n", 6, math.NaN(), math.NaN(), HeartRateAllZero + " " + OnlyDistance},
		{"bad cell", "t_s,distance_m,hr_bpm\n0,0,100\n2,6,fast\n", 6, math.NaN(), math.NaN(), BadCell},
		{"unknown column", "t_s,distance_m,mood\n0,0,good\n2,6,bad\n", 6, math.NaN(), math.NaN(), ColumnIgnored + " " + OnlyDistance},
		{"no time zone", "time,distance_m\n2024-05-01 07:30:00,0\n2024-05-01 07:30:02,6\n", 6, math.NaN(), math.NaN(), NoTimeZone + " " + OnlyDistance},
		{"no time", "t_s,distance_m\n0,0\n,3\n2,6\n", 6, math.NaN(), math.NaN(), MissingTime + " " + OnlyDistance},
	} {
		r := readOne(t, c.name, c.data)
		n := r.Len() - 1
		if got, _ := r.Distance.At(n); got != c.distance {
			t.Errorf("%s: distance %v, want %v", c.name, got, c.distance)
		}
		at := func(s Stream) float64 {
			if v, ok := s.At(1); ok {
				return v
			}
			return math.NaN()
		}
		if got := at(r.Speed); !near(got, c.speed, 1e-9) {
			t.Errorf("%s: speed %v, want %v", c.name, got, c.speed)
		}
		if got := at(r.HeartRate); !near(got, c.heart, 1e-9) {
			t.Errorf("%s: heart rate %v, want %v", c.name, got, c.heart)
		}
		if got := codes(r); got != c.codes {
			t.Errorf("%s: warnings %q, want %q", c.name, got, c.codes)
		}
	}
}

// The unit of a column named only "pace" follows from the distance.
func TestCSVPaceUnit(t *testing.T) {
	for _, c := range []struct{ cell, says string }{
		{"4.5", "min/km"}, {"4:30", "min/km"}, {"270", "s/km"},
		{"7.242048", "min/mi"}, {"434.52288", "s/mi"}, {"7:14.52288", "min/mi"},
	} {
		var b strings.Builder
		b.WriteString("t_s,distance_m,pace\n")
		for i := 0; i <= 40; i++ {
			row := []string{num(float64(5 * i)), num(float64(5*i) / .270), c.cell}
			b.WriteString(strings.Join(row, ",") + "\n")
		}
		r := readOne(t, "pace.csv", b.String())
		if got, _ := r.Speed.At(3); math.Abs(got-1/.270) > 1e-6 {
			t.Errorf("%s: speed %v m/s, want %v", c.cell, got, 1/.270)
		}
		if !strings.HasPrefix(codes(r), PaceUnit) || !strings.Contains(r.Warnings[0].Message, "taken as "+c.says) {
			t.Errorf("%s: warnings %v", c.cell, r.Warnings)
		}
	}
	// A pace that fits no unit is left out.
	var b strings.Builder
	b.WriteString("t_s,distance_m,pace\n")
	for i := 0; i <= 40; i++ {
		b.WriteString(strings.Join([]string{num(float64(5 * i)), num(float64(15 * i)), "12"}, ",") + "\n")
	}
	if r := readOne(t, "pace.csv", b.String()); r.Speed.Value != nil || !strings.HasPrefix(codes(r), PaceUnit) {
		t.Errorf("a pace of no unit was taken: %v", r.Warnings)
	}
}

// The recordings kept for tuning, and the annotated benchmark run (van den
// Burg & Williams 2020): 376 samples, pace in minutes a mile, heart rate zero,
// 4333 m in 1887 s with the phases in a column.
func TestCSVData(t *testing.T) {
	for _, path := range opendata.Runs(t) {
		all, err := Open(path)
		if err != nil || len(all) != 1 {
			t.Errorf("%s: %d recordings, %v", path, len(all), err)
			continue
		}
		// The shortest is 27 minutes of smart recording on a treadmill.
		r := all[0]
		if moves := max(r.Distance.Count(), r.Speed.Count(), r.Latitude.Count()); r.Len() < 200 || moves < r.Len()*9/10 {
			t.Errorf("%s: %d records, %d of which tell of movement", path, r.Len(), moves)
		}
	}
	all, err := Open(opendata.File(t, "run_log.csv"))
	if err != nil {
		t.Fatal(err)
	}
	r := all[0]
	last, _ := r.Distance.At(r.Len() - 1)
	if r.Len() != 376 || r.Duration() != 1887 || math.Abs(last-4333.3) > 1 {
		t.Errorf("got %d records, %v s, %v m", r.Len(), r.Duration(), last)
	}
	if r.HeartRate.Value != nil || codes(r) != PaceUnit+" "+HeartRateAllZero+" "+SparseSampling || !strings.Contains(r.Warnings[0].Message, "min/mi") {
		t.Errorf("warnings: %v", r.Warnings)
	}
	// The phases begin at these samples (from its Stage column).
	var starts []int
	for i := 1; i < len(r.Stage); i++ {
		if r.Stage[i] != r.Stage[i-1] {
			starts = append(starts, i)
		}
	}
	want := []int{60, 96, 114, 174, 204, 240, 258, 317}
	if len(starts) != len(want) {
		t.Fatalf("phases start at %v, want %v", starts, want)
	}
	for i := range want {
		if starts[i] != want[i] {
			t.Fatalf("phases start at %v, want %v", starts, want)
		}
	}
}

func TestRefused(t *testing.T) {
	dir := t.TempDir()
	write := func(name, data string) string {
		path := filepath.Join(dir, name)
		if err := os.WriteFile(path, []byte(data), 0o600); err != nil {
			t.Fatal(err)
		}
		return path
	}
	for _, c := range []struct {
		path string
		is   error
		says string // after the path
	}{
		{filepath.Join(dir, "gone.fit"), os.ErrNotExist, ": does not exist; check the name"},
		{dir, ErrFolder, ": is a folder; name a file in it"},
		{write("empty.fit", ""), ErrEmpty, ": is empty; copy it from the device again"},
		{write("text.fit", "Dear diary,\ntoday I ran.\n"), ErrFormat, `: is text, and no recording: its first line is "Dear diary,"; give a FIT, GPX or TCX file, or a CSV file whose first line names its columns (t_s or time, and distance_m, speed_mps, pace, hr_bpm ...)`},
		{write("blank.csv", " \n\n"), ErrFormat, ": is nothing but blank space; copy it from the device again"},
		{write("picture.fit", "\x89PNG\r\n\x1a\n0000000000"), ErrFormat, ": is a picture, not a recording; give a FIT, GPX, TCX or CSV file"},
		{write("noise.bin", "\x00\x01\x02\x03\x04\x05\x06\x07\x08\x09\x0a\x0b\x0c"), ErrFormat, ": is binary data of no format known here; give a FIT, GPX, TCX or CSV file"},
		{write("headeronly.csv", "t_s,distance_m\n"), ErrNoRecords, ": has a header and no rows"},
		{write("badtimes.csv", "time,distance_m\nsoon,3\n"), ErrNoRecords, `:2:1: "soon" is no value of the column "time", and no row has a time; write times as seconds or like 2024-05-01T07:30:00Z`},
		{write("decades.csv", "t_s,distance_m\n0,0\n80000,5\n160000,6\n240000,6\n320000,6\n400000,6\n480000,6\n560000,6\n640000,6\n720000,6\n800000,6\n880000,7\n"), ErrTooLarge, ": spans 10 days, and one run can not; check the times in it"},
		{write("cut.fit", "\x0e\x20\x8b\x08"), ErrFormat, ": is a FIT file cut off within its first 12 bytes, or no FIT file; copy it from the device again"},
		{write("header.fit", "\x07\x20\x8b\x08\x00\x00\x00\x00.FIT\x8e\xa3"), ErrDamaged, ": byte 14: is a damaged FIT file: it breaks off after its header; copy it from the device again"},
	} {
		all, err := Open(c.path)
		if len(all) != 0 || err == nil {
			t.Errorf("%s was read", c.path)
			continue
		}
		var known *Error
		if !errors.As(err, &known) || !errors.Is(err, c.is) || err.Error() != c.path+c.says {
			t.Errorf("got  %v\nwant %s%s", err, c.path, c.says)
		}
	}
}

func TestLimits(t *testing.T) {
	small := limits{bytes: 40, archiveBytes: 100, members: 2, records: 3, marks: 3}
	if _, err := read("big.csv", strings.NewReader("t_s,distance_m\n"+strings.Repeat("1,1\n", 20)), small); !errors.Is(err, ErrTooLarge) {
		t.Errorf("bytes: got %v", err)
	}
	small.bytes = 1000
	if _, err := read("long.csv", strings.NewReader("t_s,distance_m\n1,1\n2,2\n3,3\n4,4\n"), small); !errors.Is(err, ErrTooLarge) {
		t.Errorf("records of a table: got %v", err)
	}
	for _, c := range []struct{ what, data string }{
		{"records of a FIT file", string(fitRun(each(4, base, 1), steady).bytes())},
		{"records of a GPX file", gpx(trkpt(0, ""), trkpt(1, ""), trkpt(2, ""), trkpt(3, ""))},
		{"laps of a FIT file", func() string {
			f := fitRun(each(2, base, 1), steady)
			f.def(3, 19, field{253, 4, tUint32}, field{2, 4, tUint32})
			for range 4 {
				f.data(3, base+1, base)
			}
			return string(f.bytes())
		}()},
		{"parts of a chained file", strings.Repeat(string(fitRun(each(2, base, 1), steady).bytes()), 4)},
		{"tracks of a GPX file", gpx(strings.Repeat(trkpt(0, "")+"</trkseg></trk><trk><trkseg>"+strings.Replace(trkpt(1, ""), "2024", "2023", 1)+"</trkseg></trk><trk><trkseg>", 3))},
		{"laps of a TCX file", `<TrainingCenterDatabase><Activities><Activity>` +
			strings.Repeat(`<Lap StartTime="2024-05-01T07:00:00Z"></Lap>`, 4) + `</Activity></Activities></TrainingCenterDatabase>`},
	} {
		small.bytes = 10_000
		if all, err := read("long", strings.NewReader(c.data), small); len(all) != 0 || !errors.Is(err, ErrTooLarge) {
			t.Errorf("%s: got %d recordings, %v", c.what, len(all), err)
		}
	}
	small.records = 10_000
	small.bytes = 1 << 20
	clock := csvOf("t_s,distance_m", 3000, func(i int) string { return fmt.Sprintf("%d,%d", 200_000*(i%2), i) })
	if _, err := read("clock", strings.NewReader(clock), small); !errors.Is(err, ErrDamaged) || err.Error() != "clock: has a clock that jumps 2999 times; export it again" {
		t.Errorf("a clock that jumps: %v", err)
	}
}

func num(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }
