package recording_test

import (
	"bytes"
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// One flipped bit in a FIT file never makes the distance longer by over 1 %, and
// shorter only where the reading broke off or the stretch is told: the checksum
// tells of any flip, but not of what to believe.
func TestFlippedBits(t *testing.T) {
	t.Parallel()
	for k, name := range []string{"good watch, open sky", "watch in the city", "watch with smart recording"} {
		d, ok := simulate.DeviceNamed(name)
		if !ok {
			t.Fatal(name)
		}
		s := simulate.Kinds()[3*k].Make(uint64(k))
		r, _ := simulate.Run(s, d, uint64(k))
		var file bytes.Buffer
		if err := simulate.WriteFIT(&file, r); err != nil {
			t.Fatal(err)
		}
		clean, err := recording.Read("clean.fit", bytes.NewReader(file.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		want := total(clean[0])
		rng := rand.New(rand.NewPCG(uint64(k), 16))
		const flips = 500
		refused, off, more := 0, 0, 0
		for range flips {
			bad := slices.Clone(file.Bytes())
			at, bit := rng.IntN(len(bad)), rng.IntN(8)
			bad[at] ^= 1 << bit
			all, err := recording.Read("bad.fit", bytes.NewReader(bad))
			if err != nil {
				refused++
				continue
			}
			sum := 0.0
			for _, r := range all {
				sum += total(r)
			}
			if math.Abs(sum/want-1) <= .01 {
				continue
			}
			off++
			if sum > want {
				more++
				t.Errorf("%s: bit %d of byte %d flipped: %.0f m for %.0f: %v", name, bit, at, sum, want, all[0].Warnings)
			}
			if !slices.ContainsFunc(all[0].Warnings, func(w recording.Warning) bool {
				return w.Code == recording.CutShort || w.Code == recording.StrayValue || w.Code == recording.DistanceJump || w.Code == recording.Gap
			}) {
				t.Errorf("%s: bit %d of byte %d flipped: %.0f m for %.0f without a word: %v", name, bit, at, sum, want, all[0].Warnings)
			}
		}
		t.Logf("%s: of %d flips %d are refused and %d are off by over 1 %%, %d of them too long", name, flips, refused, off, more)
		// A flip in the head of a message, one byte in about 37, ends the reading.
		if off > flips/20 {
			t.Errorf("%s: of %d flips %d are off by over 1 %%", name, flips, off)
		}
	}
}
