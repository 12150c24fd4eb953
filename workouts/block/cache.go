package block

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync/atomic"
)

// A Cache keeps the sums of files by their content, in a folder: one small file
// for each, written aside and renamed, with a checksum. So it may be used by
// several processes at once, be interrupted at any moment, be damaged, and be
// deleted; what is not there is made anew. A nil Cache keeps nothing.
type Cache struct {
	folder  string
	damaged atomic.Int64
	failed  atomic.Pointer[error]
}

// OpenCache opens the cache in a folder for one version of the program, named
// by any text, and makes it when it is missing. Entries of other versions are
// removed, save those of the version used last before.
func OpenCache(folder, version string) (*Cache, error) {
	c := &Cache{folder: filepath.Join(folder, hash([]byte(version))[:16])}
	if err := os.MkdirAll(c.folder, 0o777); err != nil {
		return nil, err
	}
	c.sweep(folder)
	return c, nil
}

// sweep removes what is not needed. What it cannot remove stays, and nothing is said of it.
func (c *Cache) sweep(folder string) {
	versions, _ := os.ReadDir(folder)
	newest, when := "", int64(0)
	for _, v := range versions {
		if info, err := v.Info(); err == nil && c.other(v) && info.ModTime().UnixNano() > when {
			newest, when = v.Name(), info.ModTime().UnixNano()
		}
	}
	for _, v := range versions {
		if c.other(v) && v.Name() != newest {
			os.RemoveAll(filepath.Join(folder, v.Name()))
		}
	}
	// What an interrupted process left. Another process may be writing one of
	// these now; then its entry is made anew some other time.
	entries, _ := os.ReadDir(c.folder)
	for _, e := range entries {
		if strings.HasPrefix(e.Name(), unfinished) {
			os.Remove(filepath.Join(c.folder, e.Name()))
		}
	}
}

// other tells whether a folder is that of another version of the program.
func (c *Cache) other(v fs.DirEntry) bool {
	_, err := hex.DecodeString(v.Name())
	return v.IsDir() && err == nil && len(v.Name()) == 16 && v.Name() != filepath.Base(c.folder)
}

// unfinished begins the names of files that are being written.
const unfinished = "new-"

// Damaged is how many entries could not be read and are replaced.
func (c *Cache) Damaged() int {
	if c == nil {
		return 0
	}
	return int(c.damaged.Load())
}

// Failed is why entries could not be written; nil when they could.
func (c *Cache) Failed() error {
	if c == nil || c.failed.Load() == nil {
		return nil
	}
	return *c.failed.Load()
}

// Folder is where the entries are.
func (c *Cache) Folder() string { return c.folder }

// get reads an entry into v and tells whether there was one that makes sense and
// is the user's own.
func (c *Cache) get(key string, v any, sensible func() bool) bool {
	return c.getWith(key, v, func(tail []byte) bool { return len(tail) == 0 && sensible() })
}

// getWith is get for an entry of which a part, the tail, is no JSON.
func (c *Cache) getWith(key string, v any, sensible func(tail []byte) bool) bool {
	if c == nil || key == "" {
		return false
	}
	raw, err := c.read(key)
	if err != nil {
		if !errors.Is(err, fs.ErrNotExist) {
			c.damaged.Add(1)
		}
		return false
	}
	sum, body, ok := bytes.Cut(raw, []byte("\n"))
	head, tail, _ := bytes.Cut(body, []byte("\n"))
	if !ok || string(sum) != hash(body) || json.Unmarshal(head, v) != nil || !sensible(tail) {
		c.damaged.Add(1)
		return false
	}
	return true
}

// mostEntry bounds an entry, in bytes; one of a day's run has a few kB, one of an
// archive of a thousand runs a few MB.
const mostEntry = 64 << 20

// read gives the bytes of an entry: of a regular file of the user's, and not of
// a pipe, a device or what another user put there.
func (c *Cache) read(key string) ([]byte, error) {
	path := filepath.Join(c.folder, key)
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > mostEntry || !ownedByUser(info) {
		return nil, fs.ErrInvalid
	}
	return os.ReadFile(path)
}

// put writes an entry. Without a cache that can be written the program is slower, and that is all.
func (c *Cache) put(key string, v any) { c.putWith(key, v, nil) }

// putWith is put for an entry with a tail that is no JSON.
func (c *Cache) putWith(key string, v any, tail []byte) {
	if c == nil || key == "" {
		return
	}
	if err := c.write(key, v, tail); err != nil {
		c.failed.Store(&err)
	}
}

func (c *Cache) write(key string, v any, tail []byte) error {
	body, err := json.Marshal(v) // which holds no end of a line
	if err != nil {
		return err
	}
	if len(tail) > 0 {
		body = append(append(body, '\n'), tail...)
	}
	f, err := os.CreateTemp(c.folder, unfinished)
	if err != nil {
		return err
	}
	_, err = f.Write(append([]byte(hash(body)+"\n"), body...))
	if err := errors.Join(err, f.Close()); err != nil {
		os.Remove(f.Name())
		return err
	}
	to := filepath.Join(c.folder, key)
	err = os.Rename(f.Name(), to)
	if info, e := os.Stat(to); err != nil && e == nil && info.IsDir() { // where an entry should be
		os.RemoveAll(to)
		err = os.Rename(f.Name(), to)
	}
	if errors.Is(err, fs.ErrNotExist) {
		return nil // another process that was just started swept it away
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

func hash(b []byte) string {
	sum := sha256.Sum256(b)
	return hex.EncodeToString(sum[:])
}
