package report

import (
	"encoding/json"
	"math"
	"testing"
)

func TestNumber(t *testing.T) {
	for _, c := range []struct {
		n    Number
		want string
	}{
		{Number{Value: math.NaN(), Decimals: 2}, "null"},
		{Number{Value: math.Inf(1), Decimals: 2}, "null"},
		{Number{Value: math.Inf(-1), Decimals: 2}, "null"},
		{Number{Value: -0.001, Decimals: 2}, "0.00"},
		{Number{Value: math.Copysign(0, -1), Decimals: 0}, "0"},
		{Number{Value: -0.5, Decimals: 1}, "-0.5"},
		{Number{Value: 1e20, Decimals: 1}, "100000000000000000000.0"},
		{Number{Value: 245.005, Decimals: 1}, "245.0"},
	} {
		b, err := json.Marshal(c.n)
		if err != nil || string(b) != c.want {
			t.Errorf("%v = %s, %v; want %s", c.n, b, err, c.want)
		}
	}
}
