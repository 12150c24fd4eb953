package segment_test

import (
	"flag"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"testing"

	"gonum.org/v1/gonum/mat"

	"example.org/rungs/segment"
)

// TestTold fits the map from what the weights tell to what comes true, and writes it with
// -refit, after the weights were fitted:
//
//	go test ./segment -run TestTold -refit -v
//
// It is the logistic regression of right on the logarithms of what was told and of what that leaves, by Newton's method.
func TestTold(t *testing.T) {
	if f := flag.Lookup("refit"); f.Value.String() != "true" {
		t.Skip("runs with -refit only")
	}
	const first, sessions = 66_000_000, 4800
	sure, right := toldAndRight(first, sessions)
	var x [][3]float64
	var y []float64
	for i, p := range sure {
		if !math.IsNaN(p) {
			told := 1 / (1 + math.Exp(-segment.TellingOf(p)))
			x = append(x, [3]float64{1, math.Log(told), -math.Log(max(1-told, 1e-4))})
			y = append(y, 0)
			if right[i] {
				y[len(y)-1] = 1
			}
		}
	}
	b := mat.NewVecDense(3, slices.Clone(segment.Told[:]))
	for range 50 {
		g, h := mat.NewVecDense(3, nil), mat.NewSymDense(3, nil)
		for i, row := range x {
			v := mat.NewVecDense(3, row[:])
			p := 1 / (1 + math.Exp(-mat.Dot(v, b)))
			g.AddScaledVec(g, y[i]-p, v)
			h.SymRankOne(h, p*(1-p), v)
		}
		var c mat.Cholesky
		var step mat.VecDense
		if !c.Factorize(h) || c.SolveVecTo(&step, g) != nil {
			t.Fatal("what was told does not tell the three numbers")
		}
		b.AddVec(b, &step)
	}
	source, err := os.ReadFile("told.go")
	if err != nil {
		t.Fatal(err)
	}
	for k, name := range []string{"toldEven    =", "toldFor     =", "toldAgainst ="} {
		t.Logf("%d readings: %s %.3f, was %.3f", len(x), name, b.AtVec(k), segment.Told[k])
		line := regexp.MustCompile(name + ".*")
		if !line.Match(source) {
			t.Fatalf("told.go has no %q", name)
		}
		source = line.ReplaceAll(source, fmt.Appendf(nil, "%s %.3g", name, b.AtVec(k)))
	}
	if err := os.WriteFile("told.go", source, 0o644); err != nil {
		t.Fatal(err)
	}
}
