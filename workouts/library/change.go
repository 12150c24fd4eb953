package library

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"

	"example.org/rungs/workouts"
	"example.org/rungs/workouts/internal/keep"
	"example.org/rungs/workouts/notation"
)

// Add puts a workout, given in the notation, into the library under a name. It
// is written canonically, comments kept. A workout that is there already is
// replaced only when told so; otherwise the error is ErrTaken. A text with
// mistakes is refused with its workouts.Diagnostics.
func (l Library) Add(name, text string, replace bool) error {
	if err := CheckName(name); err != nil {
		return err
	}
	text, err := notation.Format(name+extension, text)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(l.Folder, 0o777); err != nil {
		return err
	}
	return l.locked(func() error {
		if !replace {
			if err := l.free(name, ""); err != nil {
				return err
			}
		}
		return keep.Replace(l.path(name), []byte(text))
	})
}

// Change gives a workout another text while no other process changes the library: the one
// that edit makes of the text it has now, of one that may not be there yet. With keep false it
// is taken away. An error of edit leaves it as it is. A text with mistakes is refused with
// its workouts.Diagnostics.
func (l Library) Change(name string, edit func(now string, there bool) (after string, keep bool, err error)) error {
	if err := CheckName(name); err != nil {
		return err
	}
	if err := os.MkdirAll(l.Folder, 0o777); err != nil {
		return err
	}
	return l.locked(func() error {
		there := l.known(name) == nil
		if err := l.free(name, name); err != nil {
			return err
		}
		now := ""
		if there {
			now = l.text(name)
		}
		after, kept, err := edit(now, there)
		switch {
		case err != nil || kept && there && after == now:
			return err
		case !kept && !there:
			return nil
		case !kept:
			if err := os.Remove(l.path(name)); err != nil {
				return err
			}
			return keep.FlushFolder(l.Folder)
		}
		if _, err := notation.Parse(name+extension, after); err != nil {
			return err
		}
		return keep.Replace(l.path(name), []byte(after))
	})
}

// Rename gives a workout another name. One that has that name already is
// replaced only when told so; otherwise the error is ErrTaken. The old name
// need not be one that CheckName allows.
func (l Library) Rename(name, to string, replace bool) error {
	if err := CheckName(to); err != nil {
		return err
	}
	return l.locked(func() error {
		if err := l.known(name); err != nil {
			return err
		}
		if !replace {
			if err := l.free(to, name); err != nil {
				return err
			}
		}
		if err := os.Rename(l.path(name), l.path(to)); err != nil {
			return err
		}
		return keep.FlushFolder(l.Folder)
	})
}

// Remove takes workouts out of the library: all of them, or none when one is
// unknown. It returns the texts they had, as far as they could be read.
func (l Library) Remove(names ...string) (texts []string, err error) {
	err = l.locked(func() error {
		for _, name := range names {
			if err := l.known(name); err != nil {
				return err
			}
		}
		for _, name := range names {
			text := l.text(name)
			err := os.Remove(l.path(name))
			if info, e := os.Lstat(l.path(name)); err != nil && e == nil && info.IsDir() {
				return fmt.Errorf("%s: is a folder with files in it, not a workout; move them away first", l.path(name))
			}
			if err != nil && !errors.Is(err, fs.ErrNotExist) {
				return err
			}
			texts = append(texts, text)
		}
		return keep.FlushFolder(l.Folder)
	})
	return texts, err
}

// text is what stands under a name, as far as it is a file and no longer than a
// workout may be.
func (l Library) text(name string) string {
	info, err := os.Stat(l.path(name)) // before it is opened: a pipe may have nobody at its other end
	if err != nil || !info.Mode().IsRegular() {
		return ""
	}
	f, err := os.Open(l.path(name))
	if err != nil {
		return ""
	}
	defer f.Close()
	text, _ := io.ReadAll(io.LimitReader(f, workouts.MaxBytes))
	return string(text)
}

// free tells whether a name is not taken, in upper or lower case, by another
// workout than the one excepted.
func (l Library) free(name, except string) error {
	names, err := l.names()
	if err != nil {
		return err
	}
	for _, n := range names {
		if n != except && strings.EqualFold(n, name) {
			return fmt.Errorf("%s: %w in %s already", n, ErrTaken, l.Folder)
		}
	}
	return nil
}

// locked does something while no other process changes the library, and clears
// away what a process that was killed while writing left behind.
func (l Library) locked(do func() error) error {
	unlock, err := keep.Lock(l.Folder)
	if errors.Is(err, fs.ErrNotExist) {
		return fmt.Errorf("%s: there is no library yet", l.Folder)
	}
	if err != nil {
		return err
	}
	defer unlock()
	files, err := os.ReadDir(l.Folder)
	if err != nil {
		return err
	}
	for _, f := range files {
		if isTemporary(f.Name()) {
			os.Remove(filepath.Join(l.Folder, f.Name()))
		}
	}
	return do()
}

// Check reads every file and says how many workouts there are and what is
// wrong: files that cannot be read, and names that CheckName refuses.
func (l Library) Check() (workouts int, found []error, err error) {
	entries, damaged, err := l.List()
	if err != nil {
		return 0, nil, err
	}
	for _, d := range damaged {
		found = append(found, d)
	}
	for _, e := range entries {
		if err := CheckName(e.Name); err != nil {
			found = append(found, fmt.Errorf("%s: %w", l.path(e.Name), err))
		}
	}
	return len(entries), found, nil
}
