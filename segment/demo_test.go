package segment_test

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
)

// TestDemo splits the simulated demo recordings and holds them to the truth
// beside them: every rep found, none invented, each as long as it was to within
// two seconds, or the time between records where that is longer, and half of them to within one.
func TestDemo(t *testing.T) {
	files, err := filepath.Glob(filepath.Join("..", "testdata", "demo", "*.truth.tsv"))
	if err != nil || len(files) == 0 {
		t.Fatalf("no truth tables: %v", err)
	}
	var all []float64
	for _, path := range files {
		name := strings.TrimSuffix(filepath.Base(path), ".truth.tsv")
		t.Run(name, func(t *testing.T) {
			truth := demoTruth(t, path)
			s := splitFile(t, strings.TrimSuffix(path, ".truth.tsv")+".fit")
			sc := judgeReps(s, truth)
			if sc.matched != len(truth) || sc.found != len(truth) {
				t.Fatalf("%d of %d reps matched, %d found: %s", sc.matched, len(truth), sc.found, writtenWithoutTargets(s))
			}
			most := max(2, s.Trace.Step)
			for i, d := range sc.duration {
				all = append(all, d)
				if math.Abs(d) > most {
					t.Errorf("rep %d is %.1f s off", i+1, d)
				}
			}
		})
	}
	if m := medianOf(all); !(m <= 1) {
		t.Errorf("half of %d reps are more than %.2f s off", len(all), m)
	}
}

// demoTruth reads the reps from a truth table; its columns are named.
func demoTruth(t *testing.T, path string) []trueRep {
	t.Helper()
	f, err := os.Open(path)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comma, r.Comment = '\t', '#'
	rows, err := r.ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	number := func(row []string, name string) float64 {
		i, ok := column[name]
		if !ok {
			t.Fatalf("%s has no column %q: %v", path, name, rows[0])
		}
		v, err := strconv.ParseFloat(row[i], 64)
		if err != nil {
			t.Fatalf("%s: %v", path, err)
		}
		return v
	}
	var reps []trueRep
	for _, row := range rows[1:] {
		if row[column["role"]] == "work" {
			reps = append(reps, trueRep{start: number(row, "start_s"), end: number(row, "end_s"), pace: number(row, "pace_s_per_km")})
		}
	}
	return reps
}
