package recording

import (
	"testing"

	"github.com/muktihari/fit/proto"
)

func TestSportInWords(t *testing.T) {
	for text, want := range map[string]struct {
		sport Sport
		place Place
	}{
		"Running": {Running, PlaceUnknown}, "run": {Running, PlaceUnknown}, "jogging": {Running, PlaceUnknown},
		"trail_running": {Running, Trail}, "Treadmill Run": {Running, Treadmill}, "indoor_running": {Running, Treadmill},
		"track_running": {Running, Track}, "Walking": {Walking, PlaceUnknown}, "hiking": {"hiking", PlaceUnknown},
		"Biking": {Cycling, PlaceUnknown}, "indoor_cycling": {Cycling, PlaceUnknown}, "open_water_swimming": {Swimming, PlaceUnknown},
		"cross_country_skiing": {"cross country skiing", PlaceUnknown}, "Other": {SportUnknown, PlaceUnknown},
		"9": {SportUnknown, PlaceUnknown}, " ": {SportUnknown, PlaceUnknown},
	} {
		if sport, place := sportInWords(text); sport != want.sport || place != want.place {
			t.Errorf("%q: got %q %q, want %q %q", text, sport, place, want.sport, want.place)
		}
	}
}

// Sports and sub-sports by their numbers in the FIT profile (21.205).
func TestFITSport(t *testing.T) {
	for _, c := range []struct {
		sport, sub int
		want       Sport
		place      Place
	}{
		{1, 0, Running, PlaceUnknown}, {1, 1, Running, Treadmill}, {1, 2, Running, Outdoors}, {1, 3, Running, Trail},
		{1, 4, Running, Track}, {1, 45, Running, Treadmill}, {1, 255, Running, PlaceUnknown}, {4, 1, Running, Treadmill},
		{4, 15, "fitness equipment", PlaceUnknown}, {2, 0, Cycling, PlaceUnknown}, {5, 17, Swimming, PlaceUnknown},
		{11, 0, Walking, PlaceUnknown}, {0, 0, SportUnknown, PlaceUnknown}, {255, 255, SportUnknown, PlaceUnknown},
	} {
		r := fitRun(each(5, base, 1), steady).sport(c.sport, c.sub).read(t)
		if r.Sport != c.want || r.Place != c.place {
			t.Errorf("%d, %d: got %q %q, want %q %q", c.sport, c.sub, r.Sport, r.Place, c.want, c.place)
		}
	}
}

// Developer fields may be of any number type; the all-ones values are invalid.
func TestDeveloperNumbers(t *testing.T) {
	for _, c := range []struct {
		v    proto.Value
		want float64
	}{
		{proto.Float32(2.5), 2.5}, {proto.Float64(2.5), 2.5},
		{proto.Uint8(250), 2.5}, {proto.Uint16(250), 2.5}, {proto.Uint32(250), 2.5},
		{proto.Int8(100), 1}, {proto.Int16(-250), -2.5}, {proto.Int32(-250), -2.5},
		{proto.Uint8(0xFF), nan}, {proto.Uint16(0xFFFF), nan}, {proto.Uint32(0xFFFFFFFF), nan},
		{proto.Int8(0x7F), nan}, {proto.Int16(0x7FFF), nan}, {proto.Int32(0x7FFFFFFF), nan},
		{proto.String("2.5"), nan}, {proto.Value{}, nan},
	} {
		if got := numeric(c.v, 100); !near(got, c.want, 1e-12) {
			t.Errorf("%v: got %v, want %v", c.v.Any(), got, c.want)
		}
	}
}
