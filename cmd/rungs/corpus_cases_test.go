//go:build unix

package main

import (
	"archive/zip"
	"bytes"
	"compress/flate"
	"compress/gzip"
	bytesin "encoding/binary"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"strings"
	"syscall"
	"testing"
	"time"
	"unicode/utf16"

	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

// sample is the run that is damaged: 200 s at 3 m/s, a record a second.
const (
	sampleS  = 200
	sampleMS = 3.0
)

var sampleTotals = &totals{metres: sampleS * sampleMS, seconds: sampleS}

// samples gives the run in every format.
func samples(t *testing.T) map[string][]byte {
	t.Helper()
	start := time.Date(2026, 9, 7, 7, 0, 0, 0, time.UTC)
	n := sampleS + 1
	rec := &recording.Recording{Name: "x", Start: start, Sport: recording.Running, Place: recording.Outdoors, T: make([]float64, n),
		Distance: recording.MakeStream(n), Speed: recording.MakeStream(n), HeartRate: recording.MakeStream(n)}
	var csv, gpx, tcx bytes.Buffer
	csv.WriteString("time,distance_m,speed_mps,hr_bpm\n")
	gpx.WriteString(`<?xml version="1.0"?><gpx version="1.1"><trk><type>running</type><trkseg>` + "\n")
	tcx.WriteString(`<?xml version="1.0"?><TrainingCenterDatabase><Activities><Activity Sport="Running"><Lap StartTime="2026-09-07T07:00:00Z"><TotalTimeSeconds>200</TotalTimeSeconds><DistanceMeters>600</DistanceMeters><Track>` + "\n")
	for i := range n {
		m, at := sampleMS*float64(i), start.Add(time.Duration(i)*time.Second).Format(time.RFC3339)
		rec.T[i] = float64(i)
		rec.Distance.Set(i, m)
		rec.Speed.Set(i, sampleMS)
		rec.HeartRate.Set(i, 150)
		fmt.Fprintf(&csv, "%s,%.1f,%.1f,150\n", at, m, sampleMS)
		fmt.Fprintf(&gpx, `<trkpt lat="%.7f" lon="7.0000000"><ele>100</ele><time>%s</time><extensions><hr>150</hr></extensions></trkpt>`+"\n", 45+m/111_141, at) // m in a degree of latitude there (WGS 84)
		fmt.Fprintf(&tcx, `<Trackpoint><Time>%s</Time><DistanceMeters>%.1f</DistanceMeters><HeartRateBpm><Value>150</Value></HeartRateBpm></Trackpoint>`+"\n", at, m)
	}
	gpx.WriteString("</trkseg></trk></gpx>\n")
	tcx.WriteString("</Track></Lap></Activity></Activities></TrainingCenterDatabase>\n")
	var fit bytes.Buffer
	if err := simulate.WriteFIT(&fit, rec); err != nil {
		t.Fatal(err)
	}
	return map[string][]byte{"fit": fit.Bytes(), "gpx": gpx.Bytes(), "tcx": tcx.Bytes(), "csv": csv.Bytes()}
}

// splitting is the call that tells the totals.
var splitting = []string{"split", "--format", "json", "--sums", "IN"}

func hostileCases(t *testing.T) []hostileCase {
	files := samples(t)
	random := rand.New(rand.NewPCG(22, 7))
	var cases []hostileCase
	for _, kind := range []string{"fit", "gpx", "tcx", "csv"} {
		cases = append(cases, damagedCases(kind, files[kind], random)...)
	}
	cases = append(cases, textCases(random)...)
	cases = append(cases, bombCases(t, files)...)
	return append(cases, placeCases(files)...)
}

// damagedCases are truncations, changes and doublings of one recording.
func damagedCases(kind string, file []byte, random *rand.Rand) (cases []hostileCase) {
	add := func(how string, data []byte, want string) {
		c := hostileCase{name: kind + " " + how, args: splitting, input: data, want: want}
		if kind == "fit" { // it has a checksum, so nothing may go unseen
			c.truth = sampleTotals
		}
		cases = append(cases, c)
	}
	cases = append(cases, hostileCase{name: "kind: whole " + kind, args: splitting, input: file, want: "0", truth: sampleTotals})
	for i := range 600 {
		add(fmt.Sprintf("cut at part %d of 600", i), file[:len(file)*i/600], "02")
	}
	for i := range 500 {
		changed := bytes.Clone(file)
		for range 1 + i%4 {
			changed[random.IntN(len(changed))] ^= 1 << random.IntN(8)
		}
		add(fmt.Sprintf("bits flipped, %d", i), changed, "02")
	}
	for i := range 350 {
		from, to := random.IntN(len(file)), random.IntN(len(file))
		from, to = min(from, to), max(from, to)
		add(fmt.Sprintf("piece left out, %d", i), append(bytes.Clone(file[:from]), file[to:]...), "02")
		add(fmt.Sprintf("piece doubled, %d", i), append(bytes.Clone(file[:to]), file[from:]...), "02")
		noise := bytes.Clone(file)
		for k := from; k < min(to, from+50); k++ {
			noise[k] = byte(random.Uint32())
		}
		add(fmt.Sprintf("noise, %d", i), noise, "02")
	}
	if kind != "fit" {
		for name, data := range encodings(file) {
			add("as "+name, data, "02")
		}
	}
	return cases
}

// encodings are a text in others than UTF-8.
func encodings(text []byte) map[string][]byte {
	units := utf16.Encode([]rune(string(text)))
	out := map[string][]byte{"text with a mark": append([]byte("\xef\xbb\xbf"), text...), "with blanks before": append(bytes.Repeat([]byte(" "), 100_000), text...),
		"with NULs": bytes.ReplaceAll(text, []byte("1"), []byte{0}), "with a control": bytes.ReplaceAll(text, []byte("\n"), []byte("\x1b[31m\n")),
		"with old line ends": bytes.ReplaceAll(text, []byte("\n"), []byte("\r")), "with both line ends": bytes.ReplaceAll(text, []byte("\n"), []byte("\r\n")),
		"Latin-1": append([]byte{0xe9}, text...)}
	for name, order := range map[string]bytesin.ByteOrder{"UTF-16 LE": bytesin.LittleEndian, "UTF-16 BE": bytesin.BigEndian} {
		raw := make([]byte, 2*len(units)+2)
		order.PutUint16(raw, 0xfeff)
		for i, u := range units {
			order.PutUint16(raw[2*i+2:], u)
		}
		out[name], out["odd "+name] = raw, raw[:len(raw)-1]
	}
	return out
}

// textCases are plans, athlete files and sums that are no such thing, or nearly.
func textCases(random *rand.Rand) (cases []hostileCase) {
	words := []string{"5", "x", "(", ")", "1km", "400m", "4:00", "@", "3:45/km", "->", "off", "90s", "jog", "+", "open", "quicker", "-5s", "warm", "%", "1e999", "-1", "é", "\u202e", "\x00", "\xff", "\n", "tags:", "#", "99999999999999999999", "zone", "150bpm", "<", ">"}
	toml := []string{"[heart]", "max = 190", "[[a]]", "paces = 3", "[paces]", `easy = "5:30/km"`, "a.b.c = 1", `"\u0000" = 1`, "x = [[[[", "x = {a={b={", "quickest = [\"mile\"]", "quickest = [1]", "age = 1e400", "age = nan", "units = \"mi\"", "\x00", "\xff", "'''", `"""`, "#", "= =", "\u202e = 2", "race.time = \"9:99\"", "1979-05-27T07:32:00Z"}
	sums := []string{`{"schema":"rungs/split/1"`, `,"file":"x"`, `,"sums":{`, `"elapsed_s":1e308`, `"distance_m":-5`, `"where":[{}]`, `"packed":"AAAA"`, `}`, `}`, "\n", `[`, `null`, "\x00", `,`, `"start":"2026-01-01T00:00:00Z"`}
	draw := func(from []string, between string) []byte {
		var b strings.Builder
		for range 1 + random.IntN(24) {
			b.WriteString(from[random.IntN(len(from))] + between)
		}
		return []byte(b.String())
	}
	for i := range 500 {
		cases = append(cases,
			hostileCase{name: fmt.Sprintf("plan file %d", i), args: []string{"explain", "IN"}, input: draw(words, " "), want: "02"},
			hostileCase{name: fmt.Sprintf("athlete file %d", i), args: []string{"explain", "--athlete", "IN", "5 x 1km @ easy"}, input: draw(toml, "\n"), want: "02"},
			hostileCase{name: fmt.Sprintf("sums %d", i), args: []string{"block", "IN"}, input: append([]byte(`{"schema":"rungs/split/`), draw(sums, "")...), want: "02"})
	}
	for i := range 200 {
		plan := strings.ReplaceAll(string(draw(words, " ")), "\x00", "")
		cases = append(cases, hostileCase{name: fmt.Sprintf("plan in words %d", i), args: []string{"fmt", "--", "IN.missing " + plan}, want: "02"},
			hostileCase{name: fmt.Sprintf("name %d", i), args: []string{"library", "add", "--", plan, "4:00"}, want: "02"},
			hostileCase{name: fmt.Sprintf("week plan %d", i), args: []string{"block", "--plan", "IN", "."}, input: append([]byte("starts: 2026-09-07\nweek 1: "), draw(words, " ")...), want: "02"})
	}
	return cases
}

// placeCases are pipes, devices, folders, links and names, wherever a file is named.
func placeCases(files map[string][]byte) (cases []hostileCase) {
	pipe := func(path string) error { return syscall.Mkfifo(path, 0o600) }
	link := func(to string) func(string) error { return func(path string) error { return os.Symlink(to, path) } }
	sparse := func(size int64) func(string) error {
		return func(path string) error {
			if err := os.WriteFile(path, nil, 0o600); err != nil {
				return err
			}
			return os.Truncate(path, size)
		}
	}
	begun := func(head []byte, size int64) func(string) error {
		return func(path string) error {
			if err := os.WriteFile(path, head, 0o600); err != nil {
				return err
			}
			return os.Truncate(path, size)
		}
	}
	folder := func(path string) error { return os.Mkdir(path, 0o700) }
	places := map[string]func(string) error{"a pipe": pipe, "zeros without end": link("/dev/zero"), "noise without end": link("/dev/urandom"), "a link to itself": link("in"),
		"a link to nothing": link("nowhere"), "a folder": folder, "a terminal": link("/dev/tty"), "2 GiB of nothing": sparse(2 << 30), "an unreadable file": link("/proc/self/mem")}
	for kind, file := range files {
		for size, name := range map[int64]string{50 << 20: "50 MB", 100 << 20: "100 MB", 3 << 30: "3 GB"} {
			places["a whole "+kind+" with nothing behind it, "+name] = begun(file, size)
			places["a "+kind+" that goes over into nothing, "+name] = begun(file[:len(file)/2], size)
		}
	}
	calls := map[string][]string{"split": {"split", "IN"}, "check": {"check", "--plan", "5 x 1km off 90s", "IN"}, "plan": {"check", "--plan", "IN", "IN"}, "explain": {"explain", "IN"},
		"fmt": {"fmt", "IN"}, "block": {"block", "IN"}, "athlete": {"explain", "--athlete", "IN", "4:00"}, "weeks": {"block", "--plan", "IN", "."}, "match": {"library", "match", "IN"}, "add": {"library", "add", "a", "IN"}}
	for call, args := range calls {
		for place, make := range places {
			cases = append(cases, hostileCase{name: "kind: " + call + " of " + place, args: args, make: make, want: "012"})
		}
	}
	for call, args := range map[string][]string{"split": {"split", "-"}, "block": {"block", "-"}, "plan": {"explain", "-"}, "check": {"check", "--plan", "-", "IN"}} {
		for _, device := range []string{"/dev/zero", "/dev/urandom", "/dev/null"} {
			cases = append(cases, hostileCase{name: "kind: " + call + " of " + device, args: args, stdin: device, want: "2"})
		}
	}
	for i, name := range []string{"\u202e", "\x1b[31m", "a\nb", "-", "--", " ", "..", strings.Repeat("x", 255), strings.Repeat("é/", 2000), "con", "*", "IN#1", "\xff", "🏃"} {
		for call, args := range map[string][]string{"split": {"split", "--", name}, "add": {"library", "add", "--", name, "4:00"}, "remove": {"library", "remove", "--", name}, "zone": {"split", "--time-zone", name, "IN"}} {
			cases = append(cases, hostileCase{name: fmt.Sprintf("kind: %s of name %d", call, i), args: args, input: files["csv"], want: "02"})
		}
	}
	return cases
}

// bombCases are archives and texts that cost far more than they weigh.
func bombCases(t *testing.T, files map[string][]byte) (cases []hostileCase) {
	t.Helper()
	packer, err := flate.NewWriter(nil, flate.BestSpeed) // one for all, since a new one takes 1 MB
	if err != nil {
		t.Fatal(err)
	}
	zipped := func(members int, name string, write func(w io.Writer)) []byte {
		var b bytes.Buffer
		z := zip.NewWriter(&b)
		z.RegisterCompressor(zip.Deflate, func(w io.Writer) (io.WriteCloser, error) { packer.Reset(w); return packer, nil })
		for i := range members {
			w, err := z.Create(fmt.Sprintf(name, i))
			if err != nil {
				t.Fatal(err)
			}
			write(w)
		}
		z.Close()
		return b.Bytes()
	}
	packed := func(data []byte) []byte {
		var b bytes.Buffer
		z := gzip.NewWriter(&b)
		z.Write(data)
		z.Close()
		return b.Bytes()
	}
	zeros := func(w io.Writer) {
		none := make([]byte, 1<<20)
		for range 300 {
			w.Write(none)
		}
	}
	begins := func(head []byte) func(io.Writer) {
		return func(w io.Writer) { w.Write(head); zeros(w) }
	}
	var bomb bytes.Buffer
	z, err := gzip.NewWriterLevel(&bomb, gzip.BestSpeed)
	if err != nil {
		t.Fatal(err)
	}
	begins(files["gpx"][:len(files["gpx"])/2])(z)
	z.Close()
	long := strings.Repeat("x", 20<<20)
	texts := map[string][]byte{
		"a zip of zeros": zipped(5, "%d.fit", zeros), "a zip of a recording and zeros": zipped(5, "%d.gpx", begins(files["gpx"])),
		"a zip of a table and zeros": zipped(3, "%d.csv", begins(files["csv"])), "a gzip of a recording and zeros": bomb.Bytes(), "a gzip in a gzip": packed(bomb.Bytes()), "a gzip in a gzip in a gzip": packed(packed(bomb.Bytes())),
		"a zip of bombs": zipped(5, "%d.gz", func(w io.Writer) { w.Write(bomb.Bytes()) }), "a zip of empty files": zipped(19_000, "%d.fit", func(io.Writer) {}),
		"a zip of too many files": zipped(20_001, "%d.fit", func(io.Writer) {}), "a zip with odd names": zipped(40, "../\u202e\x1b[31m%d"+strings.Repeat("é", 20_000)+".gpx", func(w io.Writer) { w.Write([]byte("<gpx>")) }),
		"a long time": []byte("<gpx><trk><trkseg><trkpt lat='1' lon='2'><time>" + long + "</time></trkpt></trkseg></trk></gpx>"), "a long root": []byte("<" + long + ">"),
		"a long attribute": []byte("<gpx a='" + long + "'></gpx>"), "deep elements": []byte("<gpx>" + strings.Repeat("<a>", 3_000_000)), "many attributes": []byte("<gpx " + strings.Repeat("a='1' ", 2_000_000) + "/>"),
		"an entity bomb": []byte("<!DOCTYPE gpx [<!ENTITY a 'aaaaaaaaaa'><!ENTITY b '&a;&a;&a;&a;'>]><gpx>" + strings.Repeat("&b;", 1_000_000) + "</gpx>"), "a long comment": []byte("<!--" + long + "--><gpx/>"),
		"a long header": []byte("t_s,distance_m," + long + "\n1,2\n"), "many columns": []byte("t_s,distance_m" + strings.Repeat(",a", 3_000_000) + "\n1,2\n"), "a long cell": []byte("t_s,distance_m\n1," + long + "\n"),
		"an open quotation mark": []byte("t_s,distance_m\n\"" + strings.Repeat("1,2\n", 5_000_000)), "too many rows": []byte("t_s,distance_m\n" + strings.Repeat("1,2\n", 1_100_000)), "a long first line": []byte(long), "a long first line with commas": []byte(strings.Repeat("a,", 10<<20)),
		"rows of quotation marks": []byte("t_s,distance_m\n" + strings.Repeat("\"\",\"\n", 2_000_000)), "many sports": []byte("<TrainingCenterDatabase>" + strings.Repeat("<Activity><Lap/><Trackpoint><Time>2026-01-01T00:00:00Z</Time></Trackpoint></Activity>", 20_000)),
		"many laps": []byte("<TrainingCenterDatabase><Activity>" + strings.Repeat("<Lap StartTime='2026-01-01T00:00:00Z'></Lap>", 20_000)),
	}
	for name, data := range texts {
		for call, args := range map[string][]string{"split": {"split", "IN"}, "block": {"block", "IN"}, "standard input": {"split", "-"}, "add": {"library", "add", "a", "IN"}} {
			cases = append(cases, hostileCase{name: "kind: " + call + " of " + name, args: args, input: data, want: "02"})
		}
	}
	for name, text := range map[string]string{
		"a deep table": "[" + strings.Repeat("a.", 20_000) + "a]\n", "a deep key": strings.Repeat("a.", 20_000) + "a = 1\n", "a deep list": "a = " + strings.Repeat("[", 30_000), "a list over lines": "a = " + strings.Repeat("[\n", 30_000),
		"deep braces": strings.Repeat("a={", 20_000), "many tables": strings.Repeat("[a]\n", 10_000), "many keys": manyKeys(8000), "many headings": manyHeadings(7000), "a long string": `a = "` + strings.Repeat("x", 60_000) + `"`, "deep quoted keys": "[" + strings.Repeat(`"a".`, 10_000) + "a]\n",
		"dots behind a mark": "[\"#\"" + strings.Repeat(".a", 20_000) + "]\n", "too long": strings.Repeat("# x\n", 100_000),
	} {
		cases = append(cases, hostileCase{name: "kind: athlete file of " + name, args: []string{"explain", "--athlete", "IN", "4:00"}, input: []byte(text), want: "02"})
	}
	for name, text := range map[string]string{"brackets": strings.Repeat("2 x (", 10_000), "repeats": strings.Repeat("99 x ( ", 7) + "1:00" + strings.Repeat(" )", 7), "steps": strings.Repeat("1:00 + ", 9000) + "1:00", "a long word": strings.Repeat("x", 60_000), "digits": strings.Repeat("9", 60_000) + "m",
		"too long": strings.Repeat("1:00 + ", 1_000_000)} {
		for call, args := range map[string][]string{"explain": {"explain", "IN"}, "fmt": {"fmt", "IN"}, "check": {"check", "--plan", "IN", "."}, "add": {"library", "add", "a", "IN"}, "weeks": {"block", "--plan", "IN", "."}} {
			cases = append(cases, hostileCase{name: "kind: " + call + " of a plan of " + name, args: args, input: []byte(text), want: "02"})
		}
	}
	return cases
}

func manyKeys(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "k%d=1\n", i)
	}
	return b.String()
}

func manyHeadings(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "[k%d]\n", i)
	}
	return b.String()
}
