package segment_test

import (
	"bytes"
	"flag"
	"fmt"
	"math"
	"os"
	"testing"

	"example.org/rungs/segment"
)

// TestTold fits the map from what the weights tell to what comes true, and writes it with
// -refit, after the weights were fitted:
//
//	go test ./segment -run TestTold -refit -v
//
// It is the logistic regression of right on the logit of what was told, by Newton's method.
func TestTold(t *testing.T) {
	if f := flag.Lookup("refit"); f.Value.String() != "true" {
		t.Skip("runs with -refit only")
	}
	const first, sessions = 66_000_000, 1200
	sure, right := toldAndRight(first, sessions)
	even, by := segment.ToldEven, segment.ToldBy
	var x, y []float64
	for i, p := range sure {
		if !math.IsNaN(p) {
			p = min(max(p, 1e-9), 1-1e-9)
			x = append(x, (math.Log(p/(1-p))-even)/by)
			y = append(y, 0)
			if right[i] {
				y[len(y)-1] = 1
			}
		}
	}
	a, b := even, by
	for range 50 {
		var ga, gb, haa, hab, hbb float64
		for i := range x {
			p := 1 / (1 + math.Exp(-a-b*x[i]))
			ga, gb = ga+y[i]-p, gb+(y[i]-p)*x[i]
			v := p * (1 - p)
			haa, hab, hbb = haa+v, hab+v*x[i], hbb+v*x[i]*x[i]
		}
		d := haa*hbb - hab*hab
		a, b = a+(hbb*ga-hab*gb)/d, b+(haa*gb-hab*ga)/d
	}
	t.Logf("%d readings: even odds come true as %.3f (was %.3f), the rest by %.3f (was %.3f)", len(x), a, even, b, by)
	source, err := os.ReadFile("told.go")
	if err != nil {
		t.Fatal(err)
	}
	replace := func(name string, was, is float64) {
		old := fmt.Appendf(nil, "%s = %v", name, was)
		if !bytes.Contains(source, old) {
			t.Fatalf("told.go has no %q", old)
		}
		source = bytes.Replace(source, old, fmt.Appendf(nil, "%s = %.3g", name, is), 1)
	}
	replace("toldEven", even, a)
	replace("toldBy  ", by, b)
	if err := os.WriteFile("told.go", source, 0o644); err != nil {
		t.Fatal(err)
	}
}
