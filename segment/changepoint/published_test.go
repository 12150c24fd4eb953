package changepoint

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
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
	sets, sums, err := Best(c, 5, Options{MinLen: 15})
	if err != nil {
		t.Fatal(err)
	}
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
		if !slices.Equal(sets[k], want.changes) || math.Abs(sums[k]-want.rss) > 0.5 {
			t.Errorf("%d changes: %v, RSS %.1f; want %v, %v", k, sets[k], sums[k], want.changes, want.rss)
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
	sets, sums, err := Best(c, 6, Options{MinLen: 1})
	if err != nil {
		t.Fatal(err)
	}
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
		if !slices.Equal(sets[k], want.changes) || math.Abs(sums[k]-want.rss) > 5e-5 {
			t.Errorf("%d changes: %v, RSS %.4f; want %v, %v", k, sets[k], sums[k], want.changes, want.rss)
		}
	}
	eleven := []int{6, 7, 10, 19, 28, 37, 40, 45, 47, 83, 95}
	for _, want := range []struct {
		penalty float64
		changes []int
	}{{5e4, eleven}, {1e5, []int{28}}, {2e5, []int{28}}, {5e5, []int{28}}, {1e6, []int{28}}, {1.3e6, []int{}}} {
		got, _, err := Search(c, want.penalty, Options{MinLen: 1})
		if err != nil || !slices.Equal(got, want.changes) {
			t.Errorf("penalty %v: %v, %v; want %v", want.penalty, got, err, want.changes)
		}
	}
	path, err := Path(c, 5e4, 1.3e6, Options{MinLen: 1})
	if err != nil {
		t.Fatal(err)
	}
	last := path[len(path)-1]
	if len(last.Changes) != 0 || math.Abs(last.Low-1237699.56) > 0.005 || !slices.Equal(path[0].Changes, eleven) {
		t.Errorf("path from %v to %v at %v; want from %v to none at 1237699.56", path[0].Changes, last.Changes, last.Low, eleven)
	}
}

// TestNileInterval: confint of strucchange 1.5-3, which follows Bai 1997; it gives
// the last index k of the segment before, 1-based, which is our first index of the
// segment after.
func TestNileInterval(t *testing.T) {
	before, after := 492047.25/28, 1105409.9444/72
	pooled := (492047.25 + 1105409.9444) / 100
	step := 849.9722 - 1097.75
	for _, want := range []struct {
		before, after, level float64
		low, high            int
	}{
		{before, after, 0.90, 26, 31},
		{before, after, 0.95, 25, 32},
		{before, after, 0.99, 23, 34},
		{pooled, pooled, 0.95, 25, 31},
	} {
		low, high, err := Interval(28, step, want.before, want.after, want.level)
		if err != nil || low != want.low || high != want.high {
			t.Errorf("level %v: %d to %d, %v; want %d to %d", want.level, low, high, err, want.low, want.high)
		}
	}
}

// withLength adds the length term of the modified BIC of Zhang & Siegmund 2007,
// Biometrics 63:22-32, to a cost.
type withLength struct{ Cost }

func (c withLength) Of(i, j int) float64 { return c.Cost.Of(i, j) + math.Log(float64(j-i)) }

// TestNileGaussian: change in mean and variance with the modified BIC and a minimum
// length of 2 gives the false changes 4 and 6 beside 28 (computed with the R
// package changepoint 2.3, cpt.meanvar).
func TestNileGaussian(t *testing.T) {
	_, y := nile(t)
	c, err := NewGaussian(y, nil, 1e-3)
	if err != nil {
		t.Fatal(err)
	}
	// The length term breaks the condition of pruning, so the slow twin is used.
	got, _ := slowSearch(tabulate(withLength{c}), 4*math.Log(100), Options{MinLen: 2})
	if want := []int{4, 6, 28}; !slices.Equal(got, want) {
		t.Errorf("changes %v, want %v", got, want)
	}
	got, _, err = Search(c, 3*math.Log(100), Options{MinLen: 10})
	if err != nil || !slices.Equal(got, []int{28}) {
		t.Errorf("minimum length 10: changes %v, %v; want 28 alone", got, err)
	}
}

// TestBinarySegmentationCase: the small case of issue 242 of ruptures; its own
// greedy answer is the exact one.
func TestBinarySegmentationCase(t *testing.T) {
	c, err := NewL2([]float64{0.0, 0.1, 1.2, 1.0}, nil)
	if err != nil {
		t.Fatal(err)
	}
	sets, _, err := Best(c, 3, Options{MinLen: 1})
	if want := [][]int{{}, {2}, {2, 3}, {1, 2, 3}}; err != nil || fmt.Sprint(sets) != fmt.Sprint(want) {
		t.Errorf("%v, %v; want %v", sets, err, want)
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

// annotations of one series, in the order of the annotators' numbers as text.
func annotations(t *testing.T, series string) [][]int {
	t.Helper()
	text, err := os.ReadFile(dataFile(t, "annotations.json"))
	if err != nil {
		t.Fatal(err)
	}
	var all map[string]map[string][]int
	if err := json.Unmarshal(text, &all); err != nil {
		t.Fatal(err)
	}
	var ids []string
	for id := range all[series] {
		ids = append(ids, id)
	}
	slices.Sort(ids)
	var sets [][]int
	for _, id := range ids {
		sets = append(sets, all[series][id])
	}
	return sets
}

// stage has the true phases of the series run_log of the annotated benchmark (van
// den Burg & Williams 2020, arXiv 2003.06222).
var stage = []int{60, 96, 114, 174, 204, 240, 258, 317}

// TestRunLogScores: the scores of "no change" are those published with the
// benchmark (scores/*.json, method zero); those of the true phases were computed
// with its own scorer.
func TestRunLogScores(t *testing.T) {
	sets := annotations(t, "run_log")
	for _, want := range []struct {
		changes   []int
		f1, cover float64
		tolerance float64
	}{
		{nil, 0.4455958549, 0.3035168628, 5e-11},
		{stage, 0.9899, 0.8268, 5e-5},
	} {
		f1, err := FMeasure(sets, want.changes, 5)
		if err != nil || math.Abs(f1-want.f1) > want.tolerance {
			t.Errorf("%v: F-measure %v, %v; want %v", want.changes, f1, err, want.f1)
		}
		cover, err := Covering(sets, want.changes, 376)
		if err != nil || math.Abs(cover-want.cover) > want.tolerance {
			t.Errorf("%v: covering %v, %v; want %v", want.changes, cover, err, want.cover)
		}
	}
}

// TestRunLogSearch: the changes in run_log at given penalties, computed with the R
// package robseg 2019.7.2 (functional pruning without minimum length), with noise
// from first differences. It also holds DifferenceSigma: 0.892 m/s.
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
	if s := DifferenceSigma(speed[1:]); math.Abs(s-0.892) > 1e-3 {
		t.Errorf("noise of the speed %v m/s, want 0.892", s)
	}
	bySpeed := []int{61, 96, 117, 176, 205, 240, 259, 318}
	byPace := []int{2, 60, 96, 114, 176, 204, 240, 258, 317}
	for _, want := range []struct {
		name    string
		y       []float64
		huber   bool
		times   float64 // the default penalty of Fearnhead & Rigaill 2019
		count   int
		changes []int
	}{
		{"speed", speed, false, 1, 8, bySpeed},
		{"speed, Huber", speed, true, 1, 8, bySpeed},
		{"pace", pace, false, 1, 81, nil},
		{"pace", pace, false, 100, 9, byPace},
		{"pace", pace, false, 500, 9, byPace},
		{"pace, Huber", pace, true, 50, 8, byPace[1:]},
	} {
		sigma := DifferenceSigma(want.y)
		penalty := want.times * sigma * sigma * math.Log(float64(len(want.y)))
		var c Cost
		var err error
		if want.huber {
			c, err = NewHuber(want.y, nil, 1.345*sigma)
			penalty *= 1.4
		} else {
			c, err = NewL2(want.y, nil)
			penalty *= 2
		}
		if err != nil {
			t.Fatal(err)
		}
		got, _, err := Search(c, penalty, Options{MinLen: 1})
		if err != nil || len(got) != want.count || want.changes != nil && !slices.Equal(got, want.changes) {
			t.Errorf("%s, %v times the default penalty: %d changes %v, %v; want %d %v", want.name, want.times, len(got), got, err, want.count, want.changes)
		}
	}
}
