package input_test

import (
	"bytes"
	"errors"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/iotest"

	"example.org/rungs/segment/input"
)

// endless is a stream without end that counts what is taken of it.
type endless struct{ taken int }

func (e *endless) Read(p []byte) (int, error) { e.taken += len(p); return len(p), nil }

func TestAllKeepsTheLimit(t *testing.T) {
	for _, n := range []int{0, 1, 4095, 4096, 4097, 9999, 10_000} {
		want := bytes.Repeat([]byte("x"), n)
		for name, r := range map[string]io.Reader{"at once": bytes.NewReader(want), "by bytes": iotest.OneByteReader(bytes.NewReader(want))} {
			if got, err := input.All(r, 10_000); err != nil || !bytes.Equal(got, want) {
				t.Errorf("%d bytes, %s: %d, %v", n, name, len(got), err)
			}
		}
	}
	if _, err := input.All(strings.NewReader(strings.Repeat("x", 10_001)), 10_000); !errors.Is(err, input.ErrTooLarge) {
		t.Errorf("a byte too many: %v", err)
	}
	e := &endless{}
	if _, err := input.All(e, 10_000); !errors.Is(err, input.ErrTooLarge) || e.taken > 10_001 {
		t.Errorf("without end: %v after %d bytes", err, e.taken)
	}
	got, err := input.All(io.MultiReader(strings.NewReader("ab"), iotest.ErrReader(io.ErrClosedPipe)), 10)
	if string(got) != "ab" || !errors.Is(err, io.ErrClosedPipe) {
		t.Errorf("%q %v", got, err)
	}
}

func TestOpenRefuses(t *testing.T) {
	folder := t.TempDir()
	path := filepath.Join(folder, "f")
	if err := os.WriteFile(path, []byte("12345"), 0o600); err != nil {
		t.Fatal(err)
	}
	f, err := input.Open(path, 5)
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	if got, err := input.All(f, 5); err != nil || string(got) != "12345" {
		t.Errorf("%q %v", got, err)
	}
	for name, want := range map[string]error{path: input.ErrTooLarge, folder: input.ErrFolder, os.DevNull: input.ErrNoFile, path + "x": fs.ErrNotExist} {
		if _, err := input.Open(name, 4); !errors.Is(err, want) {
			t.Errorf("%s: %v, want %v", name, err, want)
		}
	}
}
