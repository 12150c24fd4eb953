package block

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"

	"example.org/rungs/segment"
	"example.org/rungs/segment/simulate"
)

var tallies = cmp.Comparer(func(a, b Tally) bool { return slices.Equal(a, b) })

// Packing loses nothing, and is worth it.
func TestPack(t *testing.T) {
	for i, k := range simulate.Kinds() {
		s := k.Make(uint64(i))
		s.Start = utc(3, 3, 17)
		devices := simulate.DevicesFor(s.Place)
		rec, _ := simulate.Run(s, devices[i%len(devices)], uint64(i))
		session, err := segment.Split(rec)
		if err != nil {
			t.Fatal(err)
		}
		run := Summarise(session)
		packed := run.pack()
		if packed.Detail != nil || len(packed.Packed) == 0 {
			t.Fatalf("%s: not packed", k.Name)
		}
		again, err := packed.unpack()
		if err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(run.Detail, again.Detail, tallies); diff != "" {
			t.Errorf("%s: %s", k.Name, diff)
		}
		text, err := json.Marshal(run.Detail)
		if err != nil {
			t.Fatal(err)
		}
		if len(packed.Packed) > len(text)/2 {
			t.Errorf("%s: %d bytes packed, %d as text", k.Name, len(packed.Packed), len(text))
		}
	}
}

// What was packed elsewhere and is damaged is refused.
func TestUnpackRubbish(t *testing.T) {
	whole := Run{Detail: &Detail{Sensor: true, StepS: 1}}.pack().Packed
	for _, packed := range [][]byte{{1, 2, 3}, whole[:len(whole)/2], append([]byte{0xff}, whole...)} {
		r, err := Run{Packed: packed}.unpack()
		if err == nil || r.Detail == nil {
			t.Errorf("% x: %v, %v", packed, r.Detail, err)
		}
	}
	g := readLines("x", strings.NewReader(lineStart+`1","file":"f","sums":{"where":[{}],"packed":"AQID"}}`))
	if len(g.runs) > 0 || len(g.errs) != 1 || !strings.HasPrefix(g.errs[0].Error(), "x:1: ") {
		t.Errorf("%v %v", g.runs, g.errs)
	}
	if r, err := (Run{}).unpack(); err != nil || r.Detail == nil {
		t.Errorf("nothing packed: %v, %v", r.Detail, err)
	}
}
