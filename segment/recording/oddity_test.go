package recording

import (
	"bytes"
	"compress/gzip"
	"encoding/binary"
	"fmt"
	"math"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf16"
)

// fitRun writes records of time and distance (m), and returns the file to add to.
func fitRun(times []int, metre func(i int) float64) *fitFile {
	f := new(fitFile).start()
	f.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32}, field{3, 1, tUint8})
	for i, t := range times {
		f.data(1, t, int(math.Round(100*metre(i))), 140)
	}
	return f
}

// each is the times from, from+step, and so on.
func each(n, from, step int) []int {
	times := make([]int, n)
	for i := range times {
		times[i] = from + i*step
	}
	return times
}

func steady(i int) float64 { return 3 * float64(i) }

func (f *fitFile) sport(sport, sub int) *fitFile {
	f.def(5, 12, field{0, 1, tEnum}, field{1, 1, tEnum})
	f.data(5, sport, sub)
	return f
}

// gpx wraps track points; each is lat, lon, time and what else stands in it.
func gpx(points ...string) string {
	return `<?xml version="1.0"?><gpx version="1.1" xmlns="http://www.topografix.com/GPX/1/1"><trk><type>running</type><trkseg>` +
		strings.Join(points, "") + `</trkseg></trk></gpx>`
}

func trkpt(second int, more string) string {
	return fmt.Sprintf(`<trkpt lat="%.5f" lon="7.5"><time>2024-05-01T07:%02d:%02dZ</time>%s</trkpt>`, 45+float64(second)*3e-5, second/60, second%60, more)
}

func inUTF16(text string, order binary.ByteOrder, mark bool) string {
	var b []byte
	if mark {
		text = "\ufeff" + text
	}
	for _, u := range utf16.Encode([]rune(text)) {
		b = append(b, 0, 0)
		order.PutUint16(b[len(b)-2:], u)
	}
	return string(b)
}

func gzipped(data string) string {
	var b bytes.Buffer
	z := gzip.NewWriter(&b)
	if _, err := z.Write([]byte(data)); err != nil {
		panic(err)
	}
	if err := z.Close(); err != nil {
		panic(err)
	}
	return b.String()
}

func csvOf(header string, n int, row func(i int) string) string {
	var b strings.Builder
	b.WriteString(header + "\n")
	for i := range n {
		b.WriteString(row(i) + "\n")
	}
	return b.String()
}

// oddities lists every oddity of the package comment, with the codes it must
// give and what must still be right.
var oddities = []struct {
	name  string
	data  func() string
	codes string
	check func(r *Recording) string // what is wrong; "" when nothing is
}{
	{"a clock that counts from power-on", func() string {
		return string(fitRun(each(5, 1000, 1), steady).bytes())
	}, ClockNotSet, func(r *Recording) string { return want(r.Start.IsZero() && r.Duration() == 4, "start %v", r.Start) }},
	{"a GPX of 1980", func() string {
		return gpx(`<trkpt lat="45" lon="7"><time>1980-01-06T00:00:00Z</time></trkpt><trkpt lat="45.001" lon="7"><time>1980-01-06T00:00:20Z</time></trkpt>`)
	}, ClockNotSet + " " + SparseSampling, func(r *Recording) string { return want(r.Start.IsZero() && r.Duration() == 20, "start %v", r.Start) }},
	{"a clock set on the way", func() string {
		return string(fitRun(append(each(3, 1000, 1), each(3, base, 1)...), steady).bytes())
	}, ClockStep, func(r *Recording) string {
		return want(slices.Equal(r.T, []float64{0, 1, 2, 3, 4, 5}) && r.Start.Unix() == base+fitEpoch-3, "times %v from %v", r.T, r.Start)
	}},
	{"a clock set back", func() string {
		return string(fitRun(append(each(11, base, 1), each(10, base+5, 1)...), steady).bytes())
	}, ClockStep, func(r *Recording) string { return want(r.Duration() == 20 && r.Len() == 21, "times %v", r.T) }},
	{"a stray record from another century", func() string {
		return string(fitRun([]int{base, base + 1, 1000, base + 3, base + 4}, steady).bytes())
	}, ClockStep, func(r *Recording) string { return want(r.Duration() == 4, "times %v", r.T) }},
	{"a stray record from another century in a longer recording", func() string {
		times := each(30, base, 5)
		times[12] = 1000
		return string(fitRun(times, func(i int) float64 { return 15 * float64(i) }).bytes())
	}, StrayTime + " " + SparseSampling, func(r *Recording) string {
		w := r.Warnings[0]
		return want(r.Duration() == 145 && r.Len() == 29 && w.StartS == 55 && w.EndS == 55, "times %v, %v", r.T, w)
	}},
	{"a time a year ahead, one an hour back, one that is not the last's", func() string {
		times := each(400, base, 1)
		times[100] += 365 * 86400
		times[200] -= 3600
		times[399] += 7200
		return string(fitRun(times, steady).bytes())
	}, StrayTime, func(r *Recording) string {
		w := r.Warnings[0]
		return want(r.Duration() == 398 && r.Len() == 397 && w.StartS == 99 && w.EndS == 398, "%v, %v", r.Duration(), w)
	}},
	{"one wrong distance, five zeros, and a leap that stays", func() string {
		return string(fitRun(each(400, base, 1), func(i int) float64 {
			switch {
			case i == 50:
				return 1500
			case i >= 100 && i < 105:
				return 0
			case i >= 200:
				return 20000 + steady(i)
			}
			return steady(i)
		}).bytes())
	}, StrayValue + " " + DistanceJump, func(r *Recording) string {
		v, j := r.Warnings[0], r.Warnings[1]
		last, _ := r.Distance.At(399)
		return want(r.Distance.Count() == 394 && near(last, 1197, 1e-6) && v.StartS == 50 && v.EndS == 104 && j.StartS == 199 && j.EndS == 200,
			"%d distances, %v m, %v", r.Distance.Count(), last, r.Warnings)
	}},
	{"positions that leap by a degree and stay, after one at a latitude of 0", func() string {
		return csvOf("t_s,lat,lon,hr", 400, func(i int) string {
			lat := 45 + 2.7e-5*float64(i)
			switch {
			case i == 50:
				lat = 0
			case i >= 200:
				lat++
			}
			return fmt.Sprintf("%d,%.7f,7.5,140", i, lat)
		})
	}, StrayValue + " " + PositionJump, func(r *Recording) string {
		return want(r.Latitude.Count() == 399 && r.trackLength() > 1180 && r.trackLength() < 1197, "%d positions, %v m", r.Latitude.Count(), r.trackLength())
	}},
	{"records in the wrong order", func() string {
		order := []int{0, 1, 3, 2, 4, 5}
		return string(fitRun([]int{base, base + 1, base + 3, base + 2, base + 4, base + 5}, func(i int) float64 { return steady(order[i]) }).bytes())
	}, BackwardTime, func(r *Recording) string {
		return want(slices.Equal(r.Distance.Value, []float64{0, 3, 6, 9, 12, 15}), "distances %v", r.Distance.Value)
	}},
	{"the same time twice at the end of a lap", func() string {
		return "t_s,distance_m,speed_mps,hr_bpm\n0,0,3,140\n1,3,3,140\n2,6,3,\n2,6,0,141\n3,9,3,140\n"
	}, DuplicateTime, func(r *Recording) string {
		return want(r.Len() == 4 && r.Speed.Value[2] == 3 && r.HeartRate.Value[2] == 141, "speed %v, heart rate %v", r.Speed.Value, r.HeartRate.Value)
	}},
	{"fractions of a second", func() string {
		return gpx(`<trkpt lat="45" lon="7"><time>2024-05-01T07:00:00.250Z</time></trkpt><trkpt lat="45.00003" lon="7"><time>2024-05-01T07:00:01.75Z</time></trkpt>`)
	}, "", func(r *Recording) string { return want(r.Duration() == 1.5, "duration %v", r.Duration()) }},
	{"points without a time", func() string {
		return gpx(trkpt(0, ""), `<trkpt lat="45" lon="7"></trkpt>`, `<trkpt lat="45" lon="7"><time>noon</time></trkpt>`, trkpt(1, ""))
	}, MissingTime, func(r *Recording) string { return want(r.Len() == 2, "%d records", r.Len()) }},
	{"times without a zone", func() string {
		return strings.ReplaceAll(gpx(trkpt(0, ""), trkpt(1, "")), "Z<", "<")
	}, NoTimeZone, func(r *Recording) string { return want(r.Start.Hour() == 7, "start %v", r.Start) }},
	{"smart sampling up to 13 s", func() string {
		return string(fitRun([]int{base, base + 1, base + 8, base + 21, base + 29, base + 42}, func(i int) float64 { return []float64{0, 3, 24, 63, 87, 126}[i] }).bytes())
	}, SparseSampling, func(r *Recording) string {
		return want(strings.Contains(r.Warnings[0].Message, "up to 13 s"), "%v", r.Warnings)
	}},
	{"a gap", func() string {
		return string(fitRun(append(each(30, base, 1), each(30, base+60, 1)...), steady).bytes())
	}, Gap, func(r *Recording) string {
		return want(r.Warnings[0].StartS == 29 && r.Warnings[0].EndS == 60, "%v", r.Warnings)
	}},
	{"many gaps", func() string {
		var times []int
		for k := range 10 {
			times = append(times, each(30, base+100*k, 1)...)
		}
		return string(fitRun(times, steady).bytes())
	}, strings.TrimSpace(strings.Repeat(Gap+" ", 6)), func(r *Recording) string {
		return want(strings.HasPrefix(r.Warnings[5].Message, "4 more gaps"), "%v", r.Warnings)
	}},
	{"a pause as events, without a second start", func() string {
		f := fitRun(each(30, base, 1), steady)
		f.def(2, 21, field{253, 4, tUint32}, field{0, 1, tEnum}, field{1, 1, tEnum})
		f.data(2, base+29, 0, 1)
		for i := range 30 {
			f.data(1, base+60+i, 9000+300*i, 140)
		}
		return string(f.bytes())
	}, TimerStops, func(r *Recording) string {
		return want(len(r.Stops) == 1 && r.Stops[0] == Span{29, 60}, "stops %v", r.Stops)
	}},
	{"a stop that begins before the last one ended", func() string {
		f := fitRun(each(30, base, 1), steady)
		f.def(2, 21, field{253, 4, tUint32}, field{0, 1, tEnum}, field{1, 1, tEnum})
		for _, e := range [][2]int{{29, 1}, {70, 0}, {65, 1}, {75, 0}} {
			f.data(2, base+e[0], 0, e[1])
		}
		for i := range 30 {
			f.data(1, base+70+i, 9000+300*i, 140)
		}
		return string(f.bytes())
	}, TimerStops, func(r *Recording) string {
		return want(len(r.Stops) == 2 && r.Stops[1] == Span{70, 75}, "stops %v", r.Stops)
	}},
	{"a new track after a pause", func() string {
		return gpx(trkpt(0, ""), trkpt(1, ""), `</trkseg><trkseg>`, trkpt(40, ""), trkpt(41, ""))
	}, NewTrack, func(r *Recording) string {
		return want(len(r.Stops) == 1 && r.Stops[0] == Span{1, 40}, "stops %v", r.Stops)
	}},
	{"empty laps", func() string {
		f := fitRun(each(10, base, 1), steady)
		f.def(3, 19, field{253, 4, tUint32}, field{2, 4, tUint32}, field{7, 4, tUint32})
		f.data(3, base+5, base, 5000)
		f.data(3, base+5, base+5, 0)
		f.data(3, base+9, base+5, 4000)
		return string(f.bytes())
	}, EmptyLap, func(r *Recording) string { return want(len(r.Laps) == 3, "%d laps", len(r.Laps)) }},
	{"empty laps, the later one first", func() string {
		f := fitRun(each(10, base, 1), steady)
		f.def(3, 19, field{253, 4, tUint32}, field{2, 4, tUint32}, field{7, 4, tUint32})
		f.data(3, base+8, base+8, 0)
		f.data(3, base-900, base-900, 0)
		return string(f.bytes())
	}, EmptyLap, func(r *Recording) string { return want(len(r.Laps) == 2, "%d laps", len(r.Laps)) }},
	{"a lap with an average heart rate of 255", func() string {
		return `<TrainingCenterDatabase><Activities><Activity Sport="Running"><Lap StartTime="2024-05-01T07:00:00Z"><TotalTimeSeconds>2</TotalTimeSeconds>` +
			`<AverageHeartRateBpm><Value>255</Value></AverageHeartRateBpm><Track>` + tcxPoints(3, 0) + `</Track></Lap></Activity></Activities></TrainingCenterDatabase>`
	}, LapHeart255, func(r *Recording) string { return want(len(r.Laps) == 1, "%d laps", len(r.Laps)) }},
	{"device speed zero while the distance grows", func() string {
		return csvOf("t_s,distance_m,speed_mps", 20, func(i int) string { return fmt.Sprintf("%d,%d,%d", i, 3*i, 3*((i/5+1)%2)) })
	}, SpeedZero, func(r *Recording) string {
		return want(r.Warnings[0].StartS == 5 && r.Warnings[0].EndS == 18, "%v", r.Warnings)
	}},
	{"enhanced speed only", func() string {
		f := new(fitFile).start()
		f.def(1, 20, field{253, 4, tUint32}, field{73, 4, tUint32})
		f.data(1, base, 3000)
		f.data(1, base+1, 70000)
		return string(f.bytes())
	}, "", func(r *Recording) string { return want(r.Speed.Value[1] == 70, "speed %v", r.Speed.Value) }},
	{"compressed speed and distance", func() string {
		f := new(fitFile).start()
		f.def(1, 20, field{253, 4, tUint32}, field{8, 3, tByte})
		for i := range 4 { // 3.21 m/s and 100 m a record: 1600 sixteenths, which roll over at 4096
			d := 1600 * i % 4096
			f.data(1, base+i, string([]byte{321 & 0xFF, byte(321>>8 | d&0xF<<4), byte(d >> 4)}))
		}
		f.data(1, base+4, "\xff\xff\xff")
		return string(f.bytes())
	}, "", func(r *Recording) string {
		return want(slices.Equal(r.Distance.Value, []float64{0, 100, 200, 300, 0}) && !r.Distance.Valid[4] && r.Speed.Value[2] == 3.21,
			"distance %v, speed %v", r.Distance, r.Speed)
	}},
	{"a compressed time stamp", func() string {
		f := new(fitFile).start()
		f.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32}, field{3, 1, tUint8})
		f.def(2, 20, field{5, 4, tUint32}, field{3, 1, tUint8})
		f.data(1, base, 0, 140)
		for i := 10; i <= 40; i += 10 { // five bits of time that roll over at 32 s
			f.body = append(f.body, 0x80|2<<5|byte((base+i)&31))
			f.values(2, 300*i, 140)
		}
		return string(f.bytes())
	}, SparseSampling, func(r *Recording) string {
		return want(slices.Equal(r.T, []float64{0, 10, 20, 30, 40}), "times %v", r.T)
	}},
	{"distance only", func() string {
		return csvOf("t_s,distance_m", 5, func(i int) string { return fmt.Sprintf("%d,%d", i, 3*i) })
	}, OnlyDistance, nil},
	{"heart rate only", func() string {
		return csvOf("t_s,hr", 5, func(i int) string { return fmt.Sprintf("%d,%d", i, 140+i) })
	}, OnlyHeartRate, nil},
	{"heart rate all zeros", func() string {
		return csvOf("t_s,distance_m,speed_mps,hr", 5, func(i int) string { return fmt.Sprintf("%d,%d,3,0", i, 3*i) })
	}, HeartRateAllZero, func(r *Recording) string { return want(r.HeartRate.Value == nil, "heart rate %v", r.HeartRate) }},
	{"heart rate zero at first", func() string {
		return csvOf("t_s,distance_m,speed_mps,hr", 5, func(i int) string { return fmt.Sprintf("%d,%d,3,%d", i, 3*i, 140*(i/3)) })
	}, HeartRateZero, func(r *Recording) string { return want(r.HeartRate.Count() == 2, "heart rate %v", r.HeartRate) }},
	{"heart rate apart from the records", func() string {
		f := fitRun(each(5, base, 1), steady)
		f.def(6, 132, field{253, 4, tUint32}, field{6, 1, tUint8})
		f.data(6, base, 140)
		return string(f.bytes())
	}, HeartRateApart, nil},
	{"an odometer that goes back", func() string {
		return csvOf("t_s,distance_m,hr", 10, func(i int) string { return fmt.Sprintf("%d,%d,140", i, 3*(i%6)) })
	}, DistanceFalls, nil},
	{"speed in km/h", func() string {
		return csvOf("t_s,distance_m,speed_mps", 200, func(i int) string { return fmt.Sprintf("%d,%d,10.8", i, 3*i) })
	}, UnitSuspect, func(r *Recording) string {
		return want(strings.Contains(r.Warnings[0].Message, "km/h") && r.Speed.Value[3] == 10.8, "%v", r.Warnings)
	}},
	{"distance in km", func() string {
		return csvOf("t_s,distance_m,lat,lon,hr", 300, func(i int) string {
			return fmt.Sprintf("%d,%.5f,%.6f,7.5,140", i, .003*float64(i), 45+2.7e-5*float64(i))
		})
	}, UnitSuspect, func(r *Recording) string {
		return want(strings.Contains(r.Warnings[0].Message, "kilometres"), "%v", r.Warnings)
	}},
	{"a run by bicycle", func() string {
		return string(fitRun(each(300, base, 1), func(i int) float64 { return 9 * float64(i) }).sport(1, 0).bytes())
	}, TooFast, func(r *Recording) string {
		return want(strings.HasPrefix(r.Warnings[0].Message, "299 s"), "%v", r.Warnings)
	}},
	{"steps for strides", func() string {
		f := new(fitFile).start()
		f.def(1, 20, field{253, 4, tUint32}, field{73, 4, tUint32}, field{4, 1, tUint8})
		for i := range 5 {
			f.data(1, base+i, 3000, 172)
		}
		return string(f.bytes())
	}, CadenceInSteps, func(r *Recording) string { return want(r.Cadence.Value[2] == 172, "cadence %v", r.Cadence.Value) }},
	{"the turns of a crank", func() string {
		f := new(fitFile).start().sport(2, 0)
		f.def(1, 20, field{253, 4, tUint32}, field{73, 4, tUint32}, field{4, 1, tUint8})
		f.data(1, base, 8000, 85)
		f.data(1, base+1, 8000, 85)
		return string(f.bytes())
	}, "", func(r *Recording) string {
		return want(r.Cadence.Value == nil && r.Sport == Cycling, "cadence %v", r.Cadence)
	}},
	{"a position at 0, 0 and one off the globe", func() string {
		return csvOf("t_s,lat,lon", 5, func(i int) string {
			return fmt.Sprintf("%d,%s", i, []string{"0,0", "45,7", "95,7", "45.00003,7", "45.00006,"}[i])
		})
	}, ImpossibleValue + " " + ImpossibleValue, func(r *Recording) string {
		return want(r.Latitude.Count() == 2 && r.Longitude.Count() == 2 && r.Place == Outdoors, "latitude %v, %v", r.Latitude, r.Place)
	}},
	{"positions of a treadmill", func() string {
		return csvOf("t_s,distance_m,hr,lat,lon", 5, func(i int) string { return fmt.Sprintf("%d,%d,140,0,0", i, 3*i) })
	}, ImpossibleValue, func(r *Recording) string {
		return want(r.Place == PlaceUnknown && r.Latitude.Value == nil, "%q", r.Place)
	}},
	{"an app's speed beside the device's", func() string { return developerRun(true) }, DeveloperField,
		func(r *Recording) string { return want(r.Speed.Value[1] == 3, "speed %v", r.Speed.Value) }},
	{"an app's speed alone", func() string { return developerRun(false) }, DeveloperField,
		func(r *Recording) string { return want(r.Speed.Value[1] == 2.5, "speed %v", r.Speed.Value) }},
	{"a pace of no unit", func() string { return "t_s,pace,hr\n0,5:00,140\n1,5:00,140\n" }, PaceUnit,
		func(r *Recording) string {
			return want(near(r.Speed.Value[0], 1000./300, 1e-9), "speed %v", r.Speed.Value)
		}},
	{"a cell that is no number", func() string { return "t_s,distance_m,hr\n0,0,140\n1,far,140\n2,6,140\n" }, BadCell,
		func(r *Recording) string {
			return want(strings.Contains(r.Warnings[0].Message, `"far" in column "distance_m" of line 3`), "%v", r.Warnings)
		}},
	{"a column given twice", func() string { return "t_s,distance_m,hr,hr_bpm,weather\n0,0,140,1,sun\n1,3,141,1,sun\n" }, ColumnIgnored,
		func(r *Recording) string { return want(r.HeartRate.Value[0] == 140, "%v", r.HeartRate) }},
	{"a FIT file cut short", func() string { b := fitRun(each(9, base, 1), steady).bytes(); return string(b[:len(b)-12]) }, CutShort,
		func(r *Recording) string { return want(r.Len() == 8, "%d records", r.Len()) }},
	{"a FIT file without its checksum", func() string { b := fitRun(each(9, base, 1), steady).bytes(); return string(b[:len(b)-2]) }, CutShort,
		func(r *Recording) string { return want(r.Len() == 9, "%d records", r.Len()) }},
	{"a GPX file cut short", func() string { return gpx(trkpt(0, ""), trkpt(1, ""), trkpt(2, ""))[:300] }, CutShort,
		func(r *Recording) string { return want(r.Len() == 2, "%d records", r.Len()) }},
	{"a gzip file cut short", func() string {
		z := gzipped(csvOf("t_s,distance_m,hr", 300, func(i int) string { return fmt.Sprintf("%d,%d,%d", i, 3*i, 140+i*i%17) }))
		return z[:len(z)-100]
	}, CutShort, func(r *Recording) string { return want(r.Len() > 100 && r.Len() < 300, "%d records", r.Len()) }},
	{"a wrong checksum", func() string { b := fitRun(each(9, base, 1), steady).bytes(); b[len(b)-1] ^= 1; return string(b) }, WrongChecksum, nil},
	{"a wrong header checksum", func() string { b := fitRun(each(9, base, 1), steady).bytes(); b[12] ^= 1; return string(b) },
		WrongHeader + " " + WrongChecksum, func(r *Recording) string { return want(r.Len() == 9, "%d records", r.Len()) }},
	{"a header of no length", func() string { b := fitRun(each(9, base, 1), steady).bytes(); b[0] = 0; return string(b) },
		WrongHeader + " " + WrongHeader + " " + WrongChecksum, func(r *Recording) string { return want(r.Len() == 9, "%d records", r.Len()) }},
	{"a header that says nothing follows", func() string {
		b := fitRun(each(9, base, 1), steady).bytes()
		copy(b[4:8], "\x00\x00\x00\x00")
		return string(b[:len(b)-2])
	}, WrongHeader + " " + WrongHeader + " " + CutShort, func(r *Recording) string { return want(r.Len() == 9, "%d records", r.Len()) }},
	{"a header of 12 bytes", func() string {
		f := fitRun(each(9, base, 1), steady)
		head := []byte{12, 0x10, 0x64, 0, 0, 0, 0, 0, '.', 'F', 'I', 'T'}
		binary.LittleEndian.PutUint32(head[4:], uint32(len(f.body)))
		all := append(head, f.body...)
		return string(binary.LittleEndian.AppendUint16(all, checksum(all)))
	}, "", func(r *Recording) string { return want(r.Len() == 9, "%d records", r.Len()) }},
	{"a table that ends in zeros, within a row", func() string { return "t_s,distance_m,hr\n0,0,140\n1,3,140\n2,6,14" + strings.Repeat("\x00", 1<<20) }, ZeroPadding,
		func(r *Recording) string { return want(r.Len() == 2, "%d records", r.Len()) }},
	{"a track that ends in zeros", func() string { return gpx(trkpt(0, ""), trkpt(1, "")) + strings.Repeat("\x00", 1<<20) }, ZeroPadding,
		func(r *Recording) string { return want(r.Len() == 2, "%d records", r.Len()) }},
	{"a row too long for one", func() string {
		return "t_s,distance_m,hr\n0,0,140\n1,3,140" + strings.Repeat("\x00", 1<<17) + "\n2,6,140\n"
	}, BadCell,
		func(r *Recording) string {
			return want(r.Len() == 2 && strings.Contains(r.Warnings[0].Message, "line 3"), "%d records, %v", r.Len(), r.Warnings)
		}},
	{"a text without end in a track", func() string {
		return gpx(trkpt(0, ""), trkpt(1, ""), "<name>&amp;"+strings.Repeat("x", 2<<20)+"</name>")
	}, CutShort,
		func(r *Recording) string { return want(r.Len() == 2, "%d records", r.Len()) }},
	{"something after the end", func() string { return string(fitRun(each(9, base, 1), steady).bytes()) + "and so on" }, TrailingData, nil},
	{"a chain with a broken part", func() string {
		other := fitRun(each(9, base, 1), steady).bytes()
		return string(fitRun(each(9, base, 1), steady).bytes()) + string(other[:30])
	}, DamagedPart, func(r *Recording) string { return want(r.Len() == 9, "%d records", r.Len()) }},
	{"space before the XML declaration", func() string { return "\n  " + gpx(trkpt(0, ""), trkpt(1, "")) }, LeadingSpace, nil},
	{"a byte order mark", func() string { return "\ufeff" + gpx(trkpt(0, ""), trkpt(1, "")) }, "", nil},
	{"an undeclared prefix", func() string {
		return gpx(trkpt(0, "<extensions><q:hr>140</q:hr></extensions>"), trkpt(1, "<extensions><q:hr>141</q:hr></extensions>"))
	}, UndeclaredPrefix, func(r *Recording) string { return want(r.HeartRate.Count() == 2, "heart rate %v", r.HeartRate) }},
	{"UTF-16, little end first", func() string { return inUTF16(gpx(trkpt(0, ""), trkpt(1, "")), binary.LittleEndian, true) }, TextEncoding, nil},
	{"UTF-16, big end first, no mark", func() string { return inUTF16(gpx(trkpt(0, ""), trkpt(1, "")), binary.BigEndian, false) }, TextEncoding, nil},
	{"UTF-16 table", func() string { return inUTF16("t_s,distance_m,hr\n0,0,140\n1,3,140\n", binary.LittleEndian, true) }, TextEncoding, nil},
	{"Latin-1, declared", func() string {
		return strings.Replace(gpx("<!-- \xe9t\xe9 -->", trkpt(0, ""), trkpt(1, "")), `"1.0"?`, `"1.0" encoding="ISO-8859-1"?`, 1)
	}, TextEncoding, nil},
	{"Latin-1, not declared", func() string { return gpx("<!-- \xe9t\xe9 -->", trkpt(0, ""), trkpt(1, "")) }, TextEncoding, nil},
	{"nothing odd", func() string { return string(fitRun(each(60, base, 1), steady).sport(1, 0).bytes()) }, "",
		func(r *Recording) string {
			return want(r.Place == PlaceUnknown && r.Sport == Running, "%q %q", r.Place, r.Sport)
		}},
}

func want(ok bool, format string, args ...any) string {
	if ok {
		return ""
	}
	return fmt.Sprintf(format, args...)
}

// developerRun has a field of an app's for speed, 2.5 m/s as a float, declared
// to stand for the native one, beside 3 m/s of the device's if it has that.
func developerRun(native bool) string {
	f := new(fitFile).start()
	f.def(3, 207, field{3, 1, tUint8}) // developer_data_id
	f.data(3, 0)
	f.def(4, 206, field{0, 1, tUint8}, field{1, 1, tUint8}, field{2, 1, tUint8}, field{3, 8, tString}, field{8, 4, tString}, field{14, 2, tUint16}, field{15, 1, tUint8})
	f.data(4, 0, 0, 0x88, "Pod", "m/s", 20, 6)
	f.def(1, 20, field{253, 4, tUint32}, field{5, 4, tUint32}, field{6, 2, tUint16})
	f.body[len(f.body)-15] |= 0x20 // with developer fields
	f.body = append(f.body, 1, 0, 4, 0)
	for i := range 3 {
		speed := 3000
		if !native {
			speed = 0xFFFF
		}
		f.data(1, base+i, 300*i, speed)
		f.body = append(f.body, 0, 0, 0x20, 0x40) // 2.5 as IEEE 754, low byte first
	}
	return string(f.bytes())
}

func TestOddities(t *testing.T) {
	for _, c := range oddities {
		all, err := Read(c.name, strings.NewReader(c.data()))
		if err != nil || len(all) != 1 {
			t.Errorf("%s: %d recordings, %v", c.name, len(all), err)
			continue
		}
		r := all[0]
		if got := codes(r); got != c.codes {
			t.Errorf("%s: warnings %q, want %q: %v", c.name, got, c.codes, r.Warnings)
		} else if c.check != nil {
			if wrong := c.check(r); wrong != "" {
				t.Errorf("%s: %s", c.name, wrong)
			}
		}
		if fault := invariant(r); fault != "" {
			t.Errorf("%s: %s", c.name, fault)
		}
	}
}

// The table in the package comment, the constants and the tests have the same
// codes.
func TestWarningCodes(t *testing.T) {
	doc, err := os.ReadFile("doc.go")
	if err != nil {
		t.Fatal(err)
	}
	_, table, _ := strings.Cut(string(doc), "# Warnings")
	var documented []string
	for _, m := range regexp.MustCompile(`(?m)^//\t([a-z0-9-]+) {1,}\S`).FindAllStringSubmatch(table, -1) {
		documented = append(documented, m[1])
	}
	source, err := os.ReadFile("warning.go")
	if err != nil {
		t.Fatal(err)
	}
	var defined []string
	for _, m := range regexp.MustCompile(`(?m)^\t[A-Z]\w+ += "([a-z0-9-]+)"`).FindAllStringSubmatch(string(source), -1) {
		defined = append(defined, m[1])
	}
	seen := map[string]bool{Joined: true} // TestJoin has it
	for _, c := range oddities {
		for _, code := range strings.Fields(c.codes) {
			seen[code] = true
		}
	}
	slices.Sort(documented)
	slices.Sort(defined)
	if !slices.Equal(documented, defined) {
		t.Errorf("documented %v\ndefined %v", documented, defined)
	}
	for _, code := range defined {
		if !seen[code] {
			t.Errorf("no oddity of the table gives %s", code)
		}
	}
	if len(seen) != len(defined) {
		t.Errorf("%d codes seen, %d defined", len(seen), len(defined))
	}
}

// invariant checks what every recording promises.
func invariant(r *Recording) string {
	if r.Len() == 0 {
		return "no records"
	}
	if r.T[0] != 0 {
		return fmt.Sprintf("the first record is at %v s", r.T[0])
	}
	for i := range r.T {
		if i > 0 && !(r.T[i] > r.T[i-1]) {
			return fmt.Sprintf("record %d is not after the one before", i)
		}
	}
	for c, s := range r.streams() {
		if s.Value == nil && s.Valid == nil {
			continue
		}
		if len(s.Value) != r.Len() || len(s.Valid) != r.Len() || s.Count() == 0 {
			return fmt.Sprintf("stream %d has %d values and %d marks, %d valid, for %d records", c, len(s.Value), len(s.Valid), s.Count(), r.Len())
		}
		for i, ok := range s.Valid {
			if v := s.Value[i]; v != v || math.IsInf(v, 0) || !ok && v != 0 {
				return fmt.Sprintf("stream %d has %v at record %d", c, v, i)
			}
		}
	}
	if r.Stage != nil && len(r.Stage) != r.Len() {
		return "stages"
	}
	for _, l := range r.Laps {
		if !(l.EndS >= l.StartS) || math.IsInf(l.DistanceM, 0) {
			return fmt.Sprintf("lap %+v", l)
		}
	}
	for i, s := range r.Stops {
		if !(s.EndS > s.StartS) || s.StartS < 0 || s.EndS > r.Duration() || i > 0 && s.StartS < r.Stops[i-1].EndS {
			return fmt.Sprintf("stops %v", r.Stops)
		}
	}
	for _, w := range r.Warnings {
		if w.Code == "" || w.Message == "" || (w.StartS != w.StartS) != (w.EndS != w.EndS) || w.EndS < w.StartS {
			return fmt.Sprintf("warning %+v", w)
		}
	}
	return ""
}
