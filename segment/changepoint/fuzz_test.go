package changepoint

import (
	"encoding/binary"
	"math"
	"slices"
	"testing"
)

// FuzzSearch feeds any numbers at all: there must be an error or a segmentation
// that is allowed and as good as the slow twin's.
func FuzzSearch(f *testing.F) {
	bytes := func(values ...float64) []byte {
		var b []byte
		for _, v := range values {
			b = binary.LittleEndian.AppendUint64(b, math.Float64bits(v))
		}
		return b
	}
	f.Add(bytes(1, 2, 3, 9, 9, 9), bytes(1, 0, 2), 1.0, 2, 1.0)
	f.Add(bytes(1e150, -1e150, 0, 1e-300), bytes(1, 1, 1, 5e-324), 1e300, 1, 1e-9)
	f.Add(bytes(math.NaN(), math.Inf(1), 3), bytes(0, 0, 1), 0.0, 1, 1e9)
	f.Add(bytes(0, math.Copysign(0, -1), 1, 1, 0), []byte{}, 5e-324, 3, 1.0)
	f.Add(bytes(1060912.1882352941, 1e-76, 0.000247, 0.331), []byte{}, 5e-324, 1, 6.0)
	f.Add(bytes(1060912.1882352941, 1e-76, 0.000247, 0.331), bytes(2.068e189), 5e-324, 1, 6.0)
	f.Add(bytes(1e-76, 6e-67, 1e-76), bytes(3.5e274), 1.1e299, 1, 1e-9)
	f.Add(bytes(1e-76, 1e-76, 1e-76, 1e-76), bytes(2e-317), 0.0, 1, 1e9)
	f.Fuzz(func(t *testing.T, yBytes, wBytes []byte, penalty float64, minLen int, k float64) {
		y, w := floatsOf(yBytes), floatsOf(wBytes)
		if len(y) > 40 {
			y = y[:40]
		}
		if len(w) > 0 { // weights come round again
			short := w
			w = make([]float64, len(y))
			for i := range w {
				w[i] = short[i%len(short)]
			}
		} else {
			w = nil
		}
		o := Options{MinLen: minLen}
		var costs []Cost
		if c, err := NewL2(y, w); err == nil {
			costs = append(costs, c)
		}
		if c, err := NewHuber(y, w, k); err == nil {
			costs = append(costs, c)
		}
		if c, err := NewGaussian(y, w, k); err == nil {
			costs = append(costs, c)
		}
		for _, c := range costs {
			got, cost, err := Search(c, penalty, o)
			if err != nil {
				continue
			}
			about := func() string { return "" }
			fit(t, about, c, got, cost, o)
			want, wantCost := slowSearch(tabulate(c), penalty, o)
			scale := penalty*float64(len(y)) + math.Abs(c.Of(0, len(y)))
			switch c := c.(type) {
			case *L2:
				scale += c.sums[len(y)].wyy
			case *Huber:
				r := max(c.hi, -c.lo) + c.k
				scale += c.sums[len(y)].w * r * r
			case *Gaussian:
				r := c.hi - c.lo
				if c.floor < 1e-12*r*r {
					scale = math.Inf(1) // rounding decides
				}
				heaviest := 1.0
				if w != nil {
					heaviest = slices.Max(w)
				}
				if c.floor > 0 { // rounding of sums of squares: 1e-15 of them
					scale += 1e-6 * float64(len(y)) * heaviest * (r * r / c.floor)
				}
			}
			a, b := cost+penalty*float64(len(got)), wantCost+penalty*float64(len(want))
			if math.Abs(a-b) > 1e-9*scale+1e-300 {
				t.Errorf("%T: y %v, w %v, penalty %v, %+v, k %v: Search gives %v = %v, slow twin %v = %v", c, y, w, penalty, o, k, got, a, want, b)
			}
			if _, err := Path(c, penalty, 2*penalty, o); err != nil && penalty < math.MaxFloat64/2 {
				t.Errorf("%T: y %v, w %v: Path from %v: %v", c, y, w, penalty, err)
			}
			if _, _, err := Best(c, 3, o); err != nil {
				t.Errorf("%T: y %v, w %v: Best: %v", c, y, w, err)
			}
		}
		LongRunVariance(y)
		BlockVariance(y, minLen)
		if _, _, err := Interval(1, penalty, k, math.Abs(penalty), 0.9); err != nil && penalty > 1e-3 && penalty < 1e3 && k >= 0 && k < 1e3 {
			t.Error(err)
		}
	})
}

func floatsOf(b []byte) []float64 {
	var values []float64
	for ; len(b) >= 8; b = b[8:] {
		values = append(values, math.Float64frombits(binary.LittleEndian.Uint64(b)))
	}
	return values
}
