package recording

import (
	"encoding/binary"
	"math"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
)

// A fitFile writes small FIT files for the tests, byte by byte, so that they
// do not depend on the library under test.
type fitFile struct {
	body   []byte
	fields [16][]field
	big    [16]bool
}

// A field is a field of a definition message: number, size, base type.
type field struct{ num, size, base byte }

// Base types (FIT protocol).
const (
	tEnum, tSint8, tUint8, tString, tByte = 0x00, 0x01, 0x02, 0x07, 0x0D
	tUint16, tSint32, tUint32             = 0x84, 0x85, 0x86
)

// def writes a definition message for a local type.
func (f *fitFile) def(local byte, global uint16, fields ...field) {
	f.body = append(f.body, 0x40|local, 0, 0, byte(global), byte(global>>8), byte(len(fields)))
	if f.big[local] {
		f.body = append(f.body[:len(f.body)-4], 1, byte(global>>8), byte(global), byte(len(fields)))
	}
	for _, d := range fields {
		f.body = append(f.body, d.num, d.size, d.base)
	}
	f.fields[local] = fields
}

// data writes a data message; a value per field, strings and bytes as string.
func (f *fitFile) data(local byte, values ...any) {
	f.body = append(f.body, local)
	f.values(local, values...)
}

func (f *fitFile) values(local byte, values ...any) {
	for i, d := range f.fields[local] {
		raw := make([]byte, 8)
		switch v := values[i].(type) {
		case int, int64:
			bits, ok := v.(int64)
			if !ok {
				bits = int64(v.(int))
			}
			if f.big[local] {
				binary.BigEndian.PutUint64(raw, uint64(bits)<<(64-8*int(d.size)))
			} else {
				binary.LittleEndian.PutUint64(raw, uint64(bits))
			}
		case string:
			raw = make([]byte, d.size)
			copy(raw, v)
		default:
			panic("value of no known kind")
		}
		f.body = append(f.body, raw[:d.size]...)
	}
}

// bytes gives the file with header and checksums.
func (f *fitFile) bytes() []byte {
	head := []byte{14, 0x20, 0x8B, 0x08, 0, 0, 0, 0, '.', 'F', 'I', 'T', 0, 0}
	binary.LittleEndian.PutUint32(head[4:], uint32(len(f.body)))
	binary.LittleEndian.PutUint16(head[12:], checksum(head[:12]))
	all := append(head, f.body...)
	return binary.LittleEndian.AppendUint16(all, checksum(all))
}

const base = 1000000000 // FIT time of 2021-09-08T01:46:40Z

// start writes the file_id of an activity.
func (f *fitFile) start() *fitFile {
	f.def(0, 0, field{0, 1, tEnum}, field{4, 4, tUint32})
	f.data(0, 4, base)
	return f
}

// openFIT reads the file and wants one recording.
func (f *fitFile) read(t *testing.T) *Recording {
	t.Helper()
	return readOne(t, "made.fit", string(f.bytes()))
}

func readOne(t *testing.T, name, data string) *Recording {
	t.Helper()
	all, err := Read(name, strings.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	if len(all) != 1 {
		t.Fatalf("got %d recordings, want 1", len(all))
	}
	return all[0]
}

// moduleDir is the folder of a module in the module cache.
func moduleDir(t testing.TB, path string) string {
	t.Helper()
	dir, err := moduleDirs(path)
	if err != nil {
		t.Skipf("the test data of %s is not at hand: %v", path, err)
	}
	return dir
}

var moduleDirs = func() func(string) (string, error) {
	var mu sync.Mutex
	known := map[string]string{}
	return func(path string) (string, error) {
		mu.Lock()
		defer mu.Unlock()
		if dir, ok := known[path]; ok {
			return dir, nil
		}
		out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}", path).Output()
		if err == nil {
			known[path] = strings.TrimSpace(string(out))
		}
		return known[path], err
	}
}()

func moduleFiles(t testing.TB, module string, patterns ...string) []string {
	t.Helper()
	var files []string
	for _, p := range patterns {
		found, err := filepath.Glob(filepath.Join(moduleDir(t, module), p))
		if err != nil {
			t.Fatal(err)
		}
		files = append(files, found...)
	}
	if len(files) == 0 {
		t.Fatalf("no test files in %s", module)
	}
	return files
}

// near tells whether two numbers agree, NaN with NaN.
func near(a, b, tolerance float64) bool {
	return math.Abs(a-b) <= tolerance || a != a && b != b
}

// codes lists the warnings' codes.
func codes(r *Recording) string {
	var all []string
	for _, w := range r.Warnings {
		all = append(all, w.Code)
	}
	return strings.Join(all, " ")
}

// none32 is what a field of 32 bits holds when it has no value.
const none32 = int64(0xFFFFFFFF)
