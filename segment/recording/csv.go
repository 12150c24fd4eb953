package recording

import (
	"bytes"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"math"
	"slices"
	"strconv"
	"strings"

	"example.org/rungs/segment/recording/internal/rows"
)

// csvColumns maps the spellings of a header, letters and digits only and in
// lower case, to what is in the column.
var csvColumns = map[string]string{
	"ts": "seconds", "times": "seconds", "seconds": "seconds", "elapseds": "seconds",
	"time": "time", "timestamp": "time",
	"distancem": "distance", "distance": "distance",
	"speedmps": "speed", "speed": "speed",
	"pacesperkm": "s/km", "pacespermi": "s/mi", "paceminperkm": "min/km", "paceminpermi": "min/mi", "pace": "pace",
	"hrbpm": "heart", "hr": "heart", "heartrate": "heart", "heartratebpm": "heart",
	"cadence": "cadence", "cadencespm": "cadence",
	"altitudem": "altitude", "altitude": "altitude", "elevationm": "altitude", "elevation": "altitude",
	"lat": "lat", "latitude": "lat", "lon": "lon", "longitude": "lon", "lng": "lon",
	"stage": "stage",
}

// headerKey brings a column's name to the spelling of csvColumns.
func headerKey(name string) string {
	return strings.Map(func(r rune) rune {
		switch {
		case r >= 'A' && r <= 'Z':
			return r + 'a' - 'A'
		case r >= 'a' && r <= 'z', r >= '0' && r <= '9':
			return r
		}
		return -1
	}, name)
}

// separator is the most frequent of the usual ones in a header line.
func separator(line string) rune {
	best := ','
	for _, c := range []rune{';', '\t'} {
		if strings.Count(line, string(c)) > strings.Count(line, string(best)) {
			best = c
		}
	}
	return best
}

// looksLikeHeader tells whether a line names a time column and another one.
func looksLikeHeader(line string) bool {
	clock, known := false, 0
	for _, name := range strings.Split(line, string(separator(line))) {
		switch csvColumns[headerKey(name)] {
		case "":
		case "seconds", "time":
			clock = true
		default:
			known++
		}
	}
	return clock && known > 0
}

// A csvReader reads one table.
type csvReader struct {
	*builder
	rows    rows.Reader
	comma   rune
	names   []string // as the file spells them
	kinds   []string // "" for a column of no use
	paceCol int      // of the column with pace; -1 when there is none
	paces   []float64
	clock   string           // "seconds" or "time"
	mixed   map[string]int32 // stage to index
	bad     struct {
		n, line, column int
		text            string
	}
	long             struct{ n, line int } // rows too long for one
	untimed, unzoned int
}

// readCSV reads a table with a header line; the package comment has the columns.
func readCSV(name string, data []byte, notes []Warning, lim limits) ([]*Recording, error) {
	head, _, _ := bytes.Cut(data, []byte("\n"))
	r := &csvReader{builder: newBuilder(name, "csv", lim),
		comma: separator(string(head)), paceCol: -1, mixed: map[string]int32{}}
	r.warnings = notes
	if slices.ContainsFunc(notes, func(w Warning) bool { return w.Code == ZeroPadding }) {
		data = data[:bytes.LastIndexByte(data, '\n')+1] // the last row may lack digits
	}
	data, open := rows.CloseQuotes(data, r.comma)
	if open > 0 {
		r.note(BadCell, "the quotation mark in line %d is not closed and was passed over, as were all after it", open)
	}
	r.points = make([]point, 0, min(bytes.Count(data, []byte("\n"))+1, lim.records))
	r.rows = rows.New(data, r.comma)
	if err := r.header(); err != nil {
		return nil, err
	}
	for {
		cells, err := r.rows.Read()
		if err == io.EOF {
			break
		}
		if err == rows.ErrLong {
			if r.long.n++; r.long.n == 1 {
				r.long.line = r.rows.Line()
			}
			continue
		}
		if err != nil {
			var p *csv.ParseError
			if errors.As(err, &p) {
				return nil, &Error{Path: name, Line: p.Line, Column: p.Column, Offset: -1, Reason: "is no row of a table: " + p.Err.Error(), Hint: "mend or delete the line", Err: ErrDamaged}
			}
			return nil, systemError(name, err)
		}
		if err := r.row(cells); err != nil {
			return nil, err
		}
	}
	return r.finishTable()
}

func (r *csvReader) header() error {
	cells, err := r.rows.Read()
	if err != nil {
		return &Error{Path: r.name, Line: 1, Offset: -1, Reason: "the header line cannot be read", Hint: "name the columns in the first line", Err: ErrFormat}
	}
	var ignored []string
	seen := map[string]bool{}
	for i, c := range cells {
		kind := csvColumns[headerKey(c)]
		group := kind
		if strings.Contains(kind, "/") || kind == "pace" {
			group = "pace"
		}
		if kind == "" || seen[group] {
			ignored = append(ignored, strconv.Quote(strings.TrimSpace(c)))
			kind = ""
		}
		if kind != "" {
			seen[group] = true
			if group == "pace" {
				r.paceCol = i
			}
		}
		r.names = append(r.names, strings.TrimSpace(c))
		r.kinds = append(r.kinds, kind)
	}
	switch {
	case seen["seconds"]:
		r.clock = "seconds"
	case seen["time"]:
		r.clock = "time"
	}
	if len(ignored) > 0 {
		r.note(ColumnIgnored, "columns not understood or given twice: %s", strings.Join(ignored, ", "))
	}
	return nil
}

// row takes one line of the table.
func (r *csvReader) row(cells []string) error {
	p := blank(math.MinInt64)
	pace := math.NaN()
	empty := true
	for i, c := range cells {
		if i >= len(r.kinds) {
			break
		}
		c = strings.TrimSpace(c)
		if c == "" || strings.EqualFold(c, "nan") {
			continue
		}
		empty = false
		if !r.cell(i, c, &p, &pace) {
			r.badCell(i, c)
		}
	}
	if empty {
		return nil
	}
	if p.at == math.MinInt64 {
		r.untimed++
		return nil
	}
	if err := r.add(p); err != nil {
		return err
	}
	if r.paceCol >= 0 {
		r.paces = append(r.paces, pace)
	}
	return nil
}

// cell takes the cell of column i, and tells whether it could be read.
func (r *csvReader) cell(i int, c string, p *point, pace *float64) (ok bool) {
	var v float64
	switch kind := r.kinds[i]; kind {
	case "":
		return true
	case "stage":
		p.stage = r.stageOf(c)
		return true
	case "seconds", "time":
		if kind != r.clock {
			return true
		}
		var at int64
		if at, ok = r.time(c); ok {
			p.at = at
		}
	case "pace", "s/km", "s/mi", "min/km", "min/mi":
		if v, ok = r.pace(kind, c); ok {
			*pace = v
		}
	default:
		if v, ok = r.number(c); ok {
			p.v[csvTarget[kind]] = v
		}
	}
	return ok
}

// stageOf is the number of a label, of which few differ.
func (r *csvReader) stageOf(c string) int32 {
	k, ok := r.mixed[c]
	if !ok {
		k = int32(len(r.stages))
		c = strings.Clone(c)
		r.stages = append(r.stages, c)
		r.mixed[c] = k
	}
	return k
}

var csvTarget = map[string]column{"distance": colDistance, "speed": colSpeed, "heart": colHeart,
	"cadence": colCadence, "altitude": colAltitude, "lat": colLatitude, "lon": colLongitude}

// number reads a cell; infinity is no number.
func (r *csvReader) number(c string) (float64, bool) {
	if r.comma == ';' {
		c = strings.Replace(c, ",", ".", 1)
	}
	v, err := strconv.ParseFloat(c, 64)
	return v, err == nil && !math.IsNaN(v) && !math.IsInf(v, 0)
}

// time reads a time cell as ns; calendar times set hasClock.
func (r *csvReader) time(c string) (int64, bool) {
	if v, ok := r.number(c); ok {
		if math.Abs(v) > 4e9 {
			return 0, false
		}
		if v > 1e9 && r.clock == "time" {
			r.hasClock = true // seconds since 1970
		}
		whole, part := math.Modf(v)
		return int64(whole)*1e9 + int64(math.Round(part*1e9)), true
	}
	if at, zoned, ok := parseTime(c); ok {
		if !zoned {
			r.unzoned++
		}
		r.hasClock = true
		return at, true
	}
	if v, ok := clockTime(c); ok {
		return int64(v * 1e9), true
	}
	return 0, false
}

// clockTime reads m:ss or h:mm:ss, with a fraction if any, as seconds.
func clockTime(c string) (float64, bool) {
	fields := strings.Split(c, ":")
	if len(fields) < 2 || len(fields) > 3 {
		return 0, false
	}
	total := 0.0
	for i, f := range fields {
		v, err := strconv.ParseFloat(f, 64)
		if err != nil || !(v >= 0 && v < 1e6) || (i > 0 && v >= 60) {
			return 0, false
		}
		total = total*60 + v
	}
	return total, true
}

// badCell remembers the first cell that is no number.
func (r *csvReader) badCell(i int, text string) {
	if r.bad.n == 0 {
		r.bad.line = r.rows.Line()
		r.bad.column, r.bad.text = i, strings.Clone(text)
	}
	r.bad.n++
}

func (r *csvReader) finishTable() ([]*Recording, error) {
	if len(r.points) == 0 {
		if r.bad.n > 0 {
			return nil, &Error{Path: r.name, Line: r.bad.line, Column: r.bad.column + 1, Offset: -1,
				Reason: fmt.Sprintf("%q is no value of the column %q, and no row has a time", r.bad.text, r.names[r.bad.column]),
				Hint:   "write times as seconds or like 2024-05-01T07:30:00Z", Err: ErrNoRecords}
		}
		return nil, refuse(r.name, ErrNoRecords, "has a header and no rows", "")
	}
	if r.bad.n > 0 {
		r.note(BadCell, "%s could not be read and count as not measured; the first is %q in column %q of line %d",
			count(r.bad.n, "cell"), r.bad.text, r.names[r.bad.column], r.bad.line)
	}
	if r.long.n > 0 {
		r.note(BadCell, "%s with more than %d bytes left out; the first is line %d", count(r.long.n, "row"), rows.Longest, r.long.line)
	}
	if r.untimed > 0 {
		r.note(MissingTime, "%s without a time left out", count(r.untimed, "row"))
	}
	if r.unzoned > 0 {
		r.note(NoTimeZone, "the times have no time zone and were taken as UTC")
	}
	r.settlePace()
	return r.finish()
}
