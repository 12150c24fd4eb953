package desk

import (
	"crypto/rand"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"mime/multipart"
	"net/http"
	"os"
	"path"
	"path/filepath"
	"strings"
	"time"
	"unicode"

	"example.org/rungs/segment/recording"
)

// place is the folder that recordings are dropped into, where the training folder has it; else
// they come into the training folder itself.
const place = "recordings"

// A dropped file is what became of one that was dropped.
type dropped struct {
	Name string `json:"name"` // in the folder
	What string `json:"what"` // a sentence
	Kept bool   `json:"kept"`
}

// most are the limits of a drop: files at once, and bytes of each.
const (
	mostFiles   = 2000
	mostOneFile = 128 << 20
)

// takeDrop takes in the files that were dropped or chosen. Each is written aside, flushed and
// then given its name, which no other file has.
func takeDrop(v *visit) error {
	parts, err := v.r.MultipartReader()
	if err != nil {
		return refusef(http.StatusBadRequest, "Choose recordings, or drop them onto the page.", "No files were sent.")
	}
	folder := "."
	if info, err := v.root.Stat(place); err == nil && info.IsDir() {
		folder = place
	}
	v.clearDrops(folder)
	var all []dropped
	for {
		p, err := parts.NextPart()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return cutShort(all, err)
		}
		if p.FileName() == "" {
			continue
		}
		if len(all) == mostFiles {
			all = append(all, dropped{Name: "the others", What: fmt.Sprintf("are not kept: %d files are taken at once.", mostFiles)})
			break
		}
		x, err := v.take(folder, p)
		if err != nil {
			return cutShort(all, err)
		}
		all = append(all, x)
	}
	if v.r.Header.Get("Accept") == "application/json" {
		return v.json(all)
	}
	return showNew(all)(v)
}

// cutShort tells what was kept before a drop ended early.
func cutShort(all []dropped, err error) error {
	kept := 0
	for _, x := range all {
		if x.Kept {
			kept++
		}
	}
	var large *http.MaxBytesError
	if errors.As(err, &large) {
		return refusef(http.StatusRequestEntityTooLarge, "Drop fewer at once.", "The files have more than %d MB; %d of them were kept.", mostUpload>>20, kept)
	}
	return refusef(http.StatusBadRequest, "Drop the others again.", "The drop ended early (%v); %d files were kept.", err, kept)
}

// take writes one file of a drop. What is wrong with the file itself is no error.
func (v *visit) take(folder string, p *multipart.Part) (dropped, error) {
	name := fileName(p.FileName())
	part := filepath.Join(folder, ".drop-"+rand.Text()+dropEnd)
	f, err := v.root.OpenFile(part, os.O_RDWR|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return dropped{}, err
	}
	defer v.root.Remove(part)
	n, err := io.Copy(f, io.LimitReader(p, mostOneFile+1))
	if err == nil {
		err = f.Sync()
	}
	if err := errors.Join(err, f.Close()); err != nil {
		return dropped{}, err
	}
	open := func() (io.ReadCloser, error) { return v.root.Open(part) }
	switch {
	case n > mostOneFile:
		return dropped{name, fmt.Sprintf("is not kept: it has more than %d MB.", mostOneFile>>20), false}, nil
	case n == 0:
		return dropped{name, "is not kept: it is empty.", false}, nil
	case !recording.Looks(name, open):
		return dropped{name, "is not kept: it is no recording (FIT, GPX, TCX, CSV; plain, gzip or zip).", false}, nil
	}
	return v.settle(folder, name, part)
}

// settle gives a file that was written aside its name, or the next free one.
func (v *visit) settle(folder, name, part string) (dropped, error) {
	if !v.writing.TryRLock() {
		return dropped{}, refusef(http.StatusServiceUnavailable, "Nothing was written.", "The desk is being closed.")
	}
	defer v.writing.RUnlock()
	end := path.Ext(name)
	if end == ".gz" {
		end = path.Ext(strings.TrimSuffix(name, end)) + end
	}
	stem := strings.TrimSuffix(name, end)
	for k := 1; k <= mostNames; k++ {
		as := name
		if k > 1 {
			as = fmt.Sprintf("%s-%d%s", stem, k, end)
		}
		to := filepath.Join(folder, as)
		switch err := v.root.Link(part, to); {
		case err == nil:
			return dropped{filepath.ToSlash(to), "is kept.", true}, nil
		case !errors.Is(err, fs.ErrExist): // where files have one name only
			if _, e := v.root.Lstat(to); errors.Is(e, fs.ErrNotExist) {
				return dropped{filepath.ToSlash(to), "is kept.", true}, v.root.Rename(part, to)
			}
		}
		if same, err := v.equal(part, to); err == nil && same {
			return dropped{filepath.ToSlash(to), "was here already.", true}, nil
		}
	}
	return dropped{name, "is not kept: there are too many files of that name.", false}, nil
}

// mostNames is how many files of one name are told apart by a number.
const mostNames = 1000

// equal tells whether two files of the folder have the same contents.
func (v *visit) equal(a, b string) (bool, error) {
	x, err := v.root.Open(a)
	if err != nil {
		return false, err
	}
	defer x.Close()
	y, err := v.root.Open(b)
	if err != nil {
		return false, err
	}
	defer y.Close()
	p, q := make([]byte, 64<<10), make([]byte, 64<<10)
	for {
		n, err := io.ReadFull(x, p)
		m, err2 := io.ReadFull(y, q)
		switch {
		case n != m || string(p[:n]) != string(q[:m]):
			return false, nil
		case errors.Is(err, io.EOF) || errors.Is(err, io.ErrUnexpectedEOF):
			return errors.Is(err2, io.EOF) || errors.Is(err2, io.ErrUnexpectedEOF), nil
		case err != nil || err2 != nil:
			return false, errors.Join(err, err2)
		}
	}
}

// fileName is the name that a browser gave a file, without folders and without characters that
// are more than a name somewhere.
func fileName(given string) string {
	if i := strings.LastIndexAny(given, `/\`); i >= 0 {
		given = given[i+1:]
	}
	name := strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) || strings.ContainsRune(" ._-+()", r) {
			return r
		}
		return '-'
	}, strings.ToValidUTF8(given, "-"))
	name = strings.TrimLeft(name, ". ")
	name = strings.TrimRight(name, ". ")
	if n := len(name) - mostName; n > 0 { // the end tells the format
		name = strings.TrimLeft(strings.ToValidUTF8(name[n:], ""), ". ")
	}
	if name == "" {
		name = "recording"
	}
	return name
}

// mostName is the longest name of a file, in bytes; file systems take 255.
const mostName = 120

// dropEnd ends the names of files that are being written.
const dropEnd = ".part"

// oldDrop is the age at which a file that is being written belongs to no drop any more.
const oldDrop = time.Hour

// clearDrops removes what drops that were killed left.
func (v *visit) clearDrops(folder string) {
	entries, _ := fs.ReadDir(v.root.FS(), filepath.ToSlash(folder))
	for _, e := range entries {
		if n := e.Name(); !strings.HasPrefix(n, ".drop-") || !strings.HasSuffix(n, dropEnd) {
			continue
		}
		if info, err := e.Info(); err == nil && time.Since(info.ModTime()) > oldDrop {
			v.root.Remove(filepath.Join(folder, e.Name()))
		}
	}
}
