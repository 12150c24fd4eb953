// Package site writes a folder of pages that opens from the disk, without a server.
package site

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// A Page is a file of the folder. Pages lead to those before them, so that the first is
// written last.
type Page struct {
	Name     string // without a folder: "index.html"
	Contents []byte
}

// mark is what every page of ours holds (report.HTML); a file without it is someone else's.
const mark = `<meta name="generator" content="rungs">`

// ErrNotOurs is that a file in the way was not written by this program.
var ErrNotOurs = errors.New("is there already and is no page of rungs; name another folder")

// Write makes a folder hold the pages, and no other page of ours. Pages that are there with
// the same contents are not touched. All that is new is first written beside its place, so
// that a full disk or a file in the way leaves the folder as it was; then the pages are
// renamed, the first one last. It returns how many were written and removed.
func Write(folder string, pages []Page) (written, removed int, err error) {
	made, err := makeFolder(folder)
	if err != nil {
		return 0, 0, err
	}
	var fresh []Page
	wanted := map[string]bool{}
	for _, p := range pages {
		wanted[p.Name] = true
		same, err := compare(filepath.Join(folder, p.Name), p.Contents)
		if err != nil {
			return 0, 0, err
		}
		if !same {
			fresh = append(fresh, p)
		}
	}
	stale, err := old(folder, wanted)
	if err != nil {
		return 0, 0, err
	}
	part := func(p Page) string { return filepath.Join(folder, "."+p.Name+".part") }
	for i, p := range fresh {
		if err = writeFile(part(p), p.Contents); err != nil {
			for _, q := range fresh[:i+1] {
				os.Remove(part(q))
			}
			if made {
				os.Remove(folder)
			}
			return 0, 0, fmt.Errorf("%s: %w", filepath.Join(folder, p.Name), plain(err))
		}
	}
	for i := len(fresh) - 1; i >= 0; i-- {
		if err := os.Rename(part(fresh[i]), filepath.Join(folder, fresh[i].Name)); err != nil {
			for _, q := range fresh[:i+1] {
				os.Remove(part(q))
			}
			return len(fresh) - 1 - i, 0, fmt.Errorf("%s: %w", filepath.Join(folder, fresh[i].Name), plain(err))
		}
	}
	for _, path := range stale {
		if os.Remove(path) == nil {
			removed++
		}
	}
	return len(fresh), removed, nil
}

// makeFolder makes the folder where it is not there, and tells whether it did.
func makeFolder(folder string) (bool, error) {
	info, err := os.Stat(folder)
	switch {
	case err == nil && !info.IsDir():
		return false, fmt.Errorf("%s: is no folder", folder)
	case err == nil:
		return false, nil
	case !errors.Is(err, fs.ErrNotExist):
		return false, fmt.Errorf("%s: %w", folder, plain(err))
	}
	if err := os.MkdirAll(folder, 0o777); err != nil {
		return false, fmt.Errorf("%s: %w", folder, plain(err))
	}
	return true, nil
}

// compare tells whether a file holds the contents; it is an error when it is not ours.
func compare(path string, contents []byte) (bool, error) {
	there, err := os.ReadFile(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return false, nil
	case err != nil:
		return false, fmt.Errorf("%s: %w", path, plain(err))
	case bytes.Equal(there, contents):
		return true, nil
	case !bytes.Contains(there, []byte(mark)):
		return false, fmt.Errorf("%s: %w", path, ErrNotOurs)
	}
	return false, nil
}

// old are the pages of ours in a folder that are no longer wanted.
func old(folder string, wanted map[string]bool) (paths []string, err error) {
	entries, err := os.ReadDir(folder)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", folder, plain(err))
	}
	for _, e := range entries {
		if wanted[e.Name()] || !e.Type().IsRegular() || !strings.HasSuffix(e.Name(), ".html") {
			continue
		}
		path := filepath.Join(folder, e.Name())
		if b, err := os.ReadFile(path); err == nil && bytes.Contains(b, []byte(mark)) {
			paths = append(paths, path)
		}
	}
	return paths, nil
}

func writeFile(path string, contents []byte) error {
	f, err := os.Create(path)
	if err != nil {
		return err
	}
	_, err = f.Write(contents)
	return errors.Join(err, f.Close())
}

// plain is an error without the path that it names.
func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	var l *os.LinkError
	if errors.As(err, &l) {
		return l.Err
	}
	return err
}
