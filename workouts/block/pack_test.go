package block

import (
	"encoding/json"
	"fmt"
	"math"
	"math/rand/v2"
	"reflect"
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

// fill sets every field of a value to something that is not zero, to the last field that a
// later hand adds: what packing forgets is lost from every cached block.
func fill(v reflect.Value, rng *rand.Rand, deep int) {
	switch v.Kind() {
	case reflect.Struct:
		for i := range v.NumField() {
			fill(v.Field(i), rng, deep)
		}
	case reflect.Pointer:
		if deep > 0 {
			v.Set(reflect.New(v.Type().Elem()))
			fill(v.Elem(), rng, deep-1)
		}
	case reflect.Slice:
		if deep == 0 {
			return
		}
		v.Set(reflect.MakeSlice(v.Type(), 1+rng.IntN(5), 5))
		for i := range v.Len() {
			fill(v.Index(i), rng, deep-1)
		}
	case reflect.Array:
		for i := range v.Len() {
			fill(v.Index(i), rng, deep)
		}
	case reflect.Bool:
		v.SetBool(true)
	case reflect.Int:
		v.SetInt(rng.Int64N(1<<40) - 1<<39)
	case reflect.Uint16:
		v.SetUint(1 + rng.Uint64N(math.MaxUint16))
	case reflect.String:
		v.SetString(fmt.Sprint("x", rng.IntN(1000)))
	case reflect.Float64:
		odd := []float64{math.Inf(1), math.Copysign(0, -1), math.SmallestNonzeroFloat64, -math.MaxFloat64, 0.1 + 0.2, 1e15 + 0.001}
		v.SetFloat([]float64{odd[rng.IntN(len(odd))], float64(rng.IntN(1e6)) / 1000, rng.NormFloat64()}[rng.IntN(3)])
	default:
		panic(v.Kind())
	}
}

// Every field is packed, and every bit of it.
func TestPackAllFields(t *testing.T) {
	for seed := range uint64(200) {
		var d Detail
		fill(reflect.ValueOf(&d).Elem(), rand.New(rand.NewPCG(seed, 1)), 4)
		again, err := Run{Detail: &d}.pack().unpack()
		if err != nil {
			t.Fatal(err)
		}
		if !reflect.DeepEqual(*again.Detail, d) {
			t.Fatal(cmp.Diff(d, *again.Detail, tallies))
		}
	}
	nan, err := Run{Detail: &Detail{Found: []segment.Block{{Pace: math.NaN()}}}}.pack().unpack()
	if err != nil || !math.IsNaN(nan.Found[0].Pace) {
		t.Errorf("no number becomes %v, %v", nan.Found, err)
	}
}

// Whatever stands in a packed detail, it is read or refused, in bounded memory.
func FuzzUnpack(f *testing.F) {
	var d Detail
	fill(reflect.ValueOf(&d).Elem(), rand.New(rand.NewPCG(1, 1)), 4)
	f.Add(Run{Detail: &d}.pack().Packed)
	f.Add(Run{Detail: &Detail{Way: []int{30, 31}, Notes: []Note{{"a", "b"}}}}.pack().Packed)
	f.Fuzz(func(t *testing.T, packed []byte) {
		r, err := Run{Packed: packed}.unpack()
		if err != nil || len(packed) == 0 {
			return
		}
		again, err := r.pack().unpack()
		if err != nil || fmt.Sprintf("%#v", again.Parts) != fmt.Sprintf("%#v", r.Parts) || len(again.Way) != len(r.Way) {
			t.Fatalf("%v: %+v is read back as %+v", err, r.Detail, again.Detail)
		}
	})
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
