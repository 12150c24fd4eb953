package changepoint

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"testing"
	"time"
)

// column reads a column of numbers, with its header, from a CSV file with comment
// lines.
func column(t *testing.T, file, header string) []float64 {
	t.Helper()
	texts := textColumn(t, file, header)
	values := make([]float64, len(texts))
	for i, text := range texts {
		var err error
		if values[i], err = strconv.ParseFloat(text, 64); err != nil {
			t.Fatal(err)
		}
	}
	return values
}

func textColumn(t *testing.T, file, header string) []string {
	t.Helper()
	f, err := os.Open(file)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	c := slices.Index(rows[0], header)
	if c < 0 {
		t.Fatalf("%s has no column %q", file, header)
	}
	var values []string
	for _, row := range rows[1:] {
		values = append(values, row[c])
	}
	return values
}

func nile(t *testing.T) (*L2, []float64) {
	t.Helper()
	y := column(t, filepath.Join("..", "..", "testdata", "nile.csv"), "volume")
	c, err := NewL2(y, nil)
	if err != nil {
		t.Fatal(err)
	}
	return c, y
}

// TestNile: Zeileis et al. 2003, CSDA 44:109-123, and the manual of strucchange
// (breakpoints.Rd) date the change in the flow of the Nile at 1898, the 28th
// observation, when the first Ashwan dam was built. Means and sums of squares
// were computed with strucchange 1.5-3.
func TestNile(t *testing.T) {
	c, y := nile(t)
	if len(y) != 100 || y[0] != 1120 || y[99] != 740 {
		t.Fatalf("the data are not those of Cobb 1978: %v", y)
	}
	sums := leastSums(c, 5, 15)
	for k, want := range []struct {
		changes []int
		rss     float64
	}{
		{[]int{}, 2835157},
		{[]int{28}, 1597457},
		{[]int{28, 83}, 1552924},
		{[]int{28, 68, 83}, 1538097},
		{[]int{28, 45, 68, 83}, 1507888},
		{[]int{15, 30, 45, 68, 83}, 1659994},
	} {
		if rss := sumOf(c, want.changes); math.Abs(sums[k]-want.rss) > 0.5 || math.Abs(rss-want.rss) > 0.5 {
			t.Errorf("%d changes: least RSS %.1f, that of %v %.1f; want %v", k, sums[k], want.changes, rss, want.rss)
		}
	}
	// Penalties between the differences of these sums: 1,237,700, 44,533 and 45,036 for two more.
	for _, want := range []struct {
		penalty float64
		changes []int
	}{{1.3e6, []int{}}, {1e5, []int{28}}, {3e4, []int{28, 83}}, {2e4, []int{28, 45, 68, 83}}} {
		got, _, err := Search(c, want.penalty, 15)
		if err != nil || !slices.Equal(got, want.changes) {
			t.Errorf("penalty %v: %v, %v; want %v", want.penalty, got, err, want.changes)
		}
	}
	for _, seg := range []struct {
		i, j      int
		mean, rss float64
	}{{0, 28, 1097.75, 492047.25}, {28, 100, 849.9722, 1105409.9444}} {
		if m, rss := c.Mean(seg.i, seg.j), c.Of(seg.i, seg.j); math.Abs(m-seg.mean) > 5e-5 || math.Abs(rss-seg.rss) > 5e-5 {
			t.Errorf("[%d, %d): mean %v, RSS %v; want %v, %v", seg.i, seg.j, m, rss, seg.mean, seg.rss)
		}
	}
}

// TestNileOptima: exact optima without a minimum length, which are not nested, and
// for given penalties, from an independent dynamic programme in another language.
func TestNileOptima(t *testing.T) {
	c, _ := nile(t)
	sums := leastSums(c, 6, 1)
	for k, want := range []struct {
		changes []int
		rss     float64
	}{
		{[]int{}, 2835156.75},
		{[]int{28}, 1597457.1944},
		{[]int{19, 28}, 1542326.6579},
		{[]int{28, 83, 95}, 1438125.5364},
		{[]int{28, 41, 45, 47}, 1341858.9336},
		{[]int{28, 37, 40, 45, 47}, 1264751.3917},
		{[]int{28, 41, 45, 47, 83, 95}, 1180605.1530},
	} {
		if rss := sumOf(c, want.changes); math.Abs(sums[k]-want.rss) > 5e-5 || math.Abs(rss-want.rss) > 5e-5 {
			t.Errorf("%d changes: least RSS %.4f, that of %v %.4f; want %v", k, sums[k], want.changes, rss, want.rss)
		}
	}
	eleven := []int{6, 7, 10, 19, 28, 37, 40, 45, 47, 83, 95}
	for _, want := range []struct {
		penalty float64
		changes []int
	}{{5e4, eleven}, {1e5, []int{28}}, {2e5, []int{28}}, {5e5, []int{28}}, {1e6, []int{28}},
		{1237699, []int{28}}, {1237700, []int{}}, {1.3e6, []int{}}} {
		got, _, err := Search(c, want.penalty, 1)
		if err != nil || !slices.Equal(got, want.changes) {
			t.Errorf("penalty %v: %v, %v; want %v", want.penalty, got, err, want.changes)
		}
	}
}

// TestBinarySegmentationCase: the small case of issue 242 of ruptures; its own
// greedy answer is the exact one.
func TestBinarySegmentationCase(t *testing.T) {
	c, err := NewL2([]float64{0.0, 0.1, 1.2, 1.0}, nil)
	if err != nil {
		t.Fatal(err)
	}
	// By hand: sums of squares 1.1275, 0.025, 0.005 and 0 for 0 to 3 changes.
	for _, want := range []struct {
		penalty float64
		changes []int
	}{{2, []int{}}, {1, []int{2}}, {0.01, []int{2, 3}}, {0.001, []int{1, 2, 3}}} {
		got, _, err := Search(c, want.penalty, 1)
		if err != nil || !slices.Equal(got, want.changes) {
			t.Errorf("penalty %v: %v, %v; want %v", want.penalty, got, err, want.changes)
		}
	}
}

// dataFile finds a file that is not in the repository, or skips the test.
func dataFile(t *testing.T, name string) string {
	t.Helper()
	dir := os.Getenv("RUNGS_DATA")
	if dir == "" {
		dir = filepath.Join("..", "..", "..", "shared", "data")
	}
	file := filepath.Join(dir, name)
	if _, err := os.Stat(file); err != nil {
		t.Skipf("%s is not in the data folder (set RUNGS_DATA to the folder)", name)
	}
	return file
}

// differenceSigma is the robust noise of a series from its first differences: their
// median absolute deviation from the median, times 1.4826, over the root of two.
func differenceSigma(y []float64) float64 {
	d := make([]float64, len(y)-1)
	for i := range d {
		d[i] = y[i+1] - y[i]
	}
	middle := func() float64 {
		slices.Sort(d)
		return (d[(len(d)-1)/2] + d[len(d)/2]) / 2
	}
	m := middle()
	for i := range d {
		d[i] = math.Abs(d[i] - m)
	}
	return 1.4826 * middle() / math.Sqrt2
}

// TestRunLogSearch: the changes in run_log at given penalties, computed with the R
// package robseg 2019.7.2 (functional pruning without minimum length), with noise
// from first differences. That noise is 0.892 m/s.
func TestRunLogSearch(t *testing.T) {
	file := dataFile(t, "run_log.csv")
	pace, distance := column(t, file, "Pace"), column(t, file, "Distance")
	clock := textColumn(t, file, "Time")
	speed := make([]float64, len(pace))
	for i := 1; i < len(speed); i++ {
		a, errA := time.Parse(time.RFC3339, clock[i-1])
		b, errB := time.Parse(time.RFC3339, clock[i])
		if errA != nil || errB != nil {
			t.Fatal(errA, errB)
		}
		speed[i] = (distance[i] - distance[i-1]) / b.Sub(a).Seconds()
	}
	if s := differenceSigma(speed[1:]); math.Abs(s-0.892) > 1e-3 {
		t.Errorf("noise of the speed %v m/s, want 0.892", s)
	}
	bySpeed := []int{61, 96, 117, 176, 205, 240, 259, 318}
	byPace := []int{2, 60, 96, 114, 176, 204, 240, 258, 317}
	for _, want := range []struct {
		name    string
		y       []float64
		times   float64 // the default penalty of Fearnhead & Rigaill 2019
		count   int
		changes []int
	}{
		{"speed", speed, 1, 8, bySpeed},
		{"pace", pace, 1, 81, nil},
		{"pace", pace, 100, 9, byPace},
		{"pace", pace, 500, 9, byPace},
	} {
		sigma := differenceSigma(want.y)
		penalty := 2 * want.times * sigma * sigma * math.Log(float64(len(want.y)))
		c, err := NewL2(want.y, nil)
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := Search(c, penalty, 1)
		if err != nil || len(got) != want.count || want.changes != nil && !slices.Equal(got, want.changes) {
			t.Errorf("%s, %v times the default penalty: %d changes %v, %v; want %d %v", want.name, want.times, len(got), got, err, want.count, want.changes)
		}
	}
}
