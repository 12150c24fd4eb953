package changepoint

import (
	"encoding/binary"
	"math"
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
	f.Add(bytes(1, 2, 3, 9, 9, 9), bytes(1, 0, 2), 1.0, 2)
	f.Add(bytes(1e150, -1e150, 0, 1e-300), bytes(1, 1, 1, 5e-324), 1e300, 1)
	f.Add(bytes(math.NaN(), math.Inf(1), 3), bytes(0, 0, 1), 0.0, 1)
	f.Add(bytes(0, math.Copysign(0, -1), 1, 1, 0), []byte{}, 5e-324, 3)
	f.Add(bytes(1060912.1882352941, 1e-76, 0.000247, 0.331), []byte{}, 5e-324, 1)
	f.Add(bytes(1060912.1882352941, 1e-76, 0.000247, 0.331), bytes(2.068e189), 5e-324, 1)
	f.Add(bytes(1e-76, 6e-67, 1e-76), bytes(3.5e274), 1.1e299, 1)
	f.Add(bytes(1e-76, 1e-76, 1e-76, 1e-76), bytes(2e-317), 0.0, 1)
	f.Fuzz(func(t *testing.T, yBytes, wBytes []byte, penalty float64, minLen int) {
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
		c, err := NewL2(y, w)
		if err != nil {
			return
		}
		got, cost, err := Search(c, penalty, minLen)
		if err != nil {
			return
		}
		fit(t, func() string { return "" }, c, got, cost, minLen)
		if len(y) < minLen {
			return
		}
		want, wantCost := slowSearch(c, penalty, minLen)
		scale := penalty*float64(len(y)) + math.Abs(c.Of(0, len(y))) + c.sums[len(y)].wyy
		a, b := cost+penalty*float64(len(got)), wantCost+penalty*float64(len(want))
		if math.Abs(a-b) > 1e-9*scale+1e-300 {
			t.Errorf("y %v, w %v, penalty %v, minimum length %d: Search gives %v = %v, slow twin %v = %v", y, w, penalty, minLen, got, a, want, b)
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
