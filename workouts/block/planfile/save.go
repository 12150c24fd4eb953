package planfile

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/internal/keep"
)

// ErrChanged says that a file is not as it was shown any more.
var ErrChanged = errors.New("was changed meanwhile, by you elsewhere or by another program")

// Mark stands for a text that was shown, to tell later whether it still is what the
// file has.
func Mark(src string) string {
	sum := sha256.Sum256([]byte(src))
	return hex.EncodeToString(sum[:16])
}

// Load gives the text of a file, empty when it is missing.
func Load(path string) (string, error) {
	info, err := os.Stat(path) // before it is opened: a pipe may have nobody at its other end
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return "", nil
	case err != nil:
		return "", err
	case !info.Mode().IsRegular():
		return "", fmt.Errorf("%s: is no file", path)
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	src, err := io.ReadAll(io.LimitReader(f, workouts.MaxBytes+1))
	if len(src) > workouts.MaxBytes {
		err = fmt.Errorf("%s: has more than %d bytes; is it the planned block?", path, workouts.MaxBytes)
	}
	return string(src), err
}

// Save writes a text that can be read as a planned block over the one whose Mark is given,
// whole or not at all, while no other process does the same. A file that has become another
// one meanwhile is left alone: the error is ErrChanged. A text with mistakes is refused with
// its workouts.Diagnostics.
func Save(path, shown, src string) error {
	if _, err := block.ParsePlan(filepath.Base(path), src); err != nil {
		return err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		path = real // one file has one lock
	}
	folder := filepath.Dir(path)
	unlock, err := keep.Lock(folder)
	if err != nil {
		return err
	}
	defer unlock()
	keep.Clear(folder, filepath.Base(path))
	now, err := Load(path)
	switch {
	case err != nil:
		return err
	case Mark(now) != shown:
		return fmt.Errorf("%s %w; nothing was written: look at it and do it again", path, ErrChanged)
	case now == src:
		return nil
	}
	return keep.Replace(path, []byte(src))
}
