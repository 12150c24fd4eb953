package desk

import (
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"os"
	"path/filepath"
	"strconv"
	"sync"

	"example.org/rungs/segment/input"
	"example.org/rungs/workouts/internal/keep"
)

// mostText is the most that a text file of the folder may have, in bytes, as the log.
const mostText = 16 << 20

// A text is a file of the folder as it was read.
type text struct {
	name  string // in the folder
	src   string
	there bool
}

// token stands for a text in forms: a form that carries another than the file has now was
// filled in by what is not so any more.
func token(s string) string {
	sum := sha256.Sum256([]byte(s))
	return hex.EncodeToString(sum[:12])
}

// readText reads a file of the folder; one that is missing is empty. A link that leads out of
// the folder is refused.
func (d *Desk) readText(name string) (text, error) {
	t := text{name: name}
	info, err := d.root.Stat(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return t, nil
	case err != nil:
		return t, refusef(http.StatusForbidden, "Put the file itself into the folder.", "%s cannot be read: %v.", name, reason(err))
	case !info.Mode().IsRegular() || info.Size() > mostText:
		return t, refusef(http.StatusForbidden, "Is it the right file?", "%s is no text, or too large.", name)
	}
	f, err := d.root.Open(name)
	if err != nil {
		return t, err
	}
	defer f.Close()
	raw, err := input.All(f, mostText)
	t.src, t.there = string(raw), true
	return t, err
}

// reason is an error without the path.
func reason(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// A save is something that was written, so that it can be undone.
type save struct {
	id            int    // from 1
	words         string // what was done, a sentence
	name          string // of the file, in the folder
	before, after text
	back          string // path of the page where it was done
}

// saves are what this desk wrote, the last at the end.
type saves struct {
	sync.Mutex
	list []save
	next int
}

// mostSaves is how many saves can be undone: each keeps the file in memory twice.
const mostSaves = 20

// last is the save that can be undone; false without one.
func (s *saves) last() (save, bool) {
	s.Lock()
	defer s.Unlock()
	if len(s.list) == 0 {
		return save{}, false
	}
	return s.list[len(s.list)-1], true
}

// errChanged says that another program was quicker.
var errChanged = refusal{http.StatusConflict, "Another window or program changed this meanwhile. Nothing was written.", "Look at it as it is now, and say it again."}

// write changes a text file of the folder, while no other process does, and gives the number
// of the save. Edit gets the file as it is now and gives what it shall be; its error leaves
// all as it is. It is edit that holds the file against the token of what was shown (see unchanged).
func (d *Desk) write(name, words, back string, edit func(now string) (string, error)) (int, error) {
	var s save
	err := d.locked(name, func(now text) (string, bool, error) {
		after, err := edit(now.src)
		s = save{words: words, name: name, before: now, after: text{name, after, true}, back: back}
		return after, true, err
	})
	if err != nil || s.before.src == s.after.src {
		return 0, err
	}
	d.saves.Lock()
	defer d.saves.Unlock()
	d.saves.next++
	s.id = d.saves.next
	d.saves.list = append(d.saves.list, s)
	if n := len(d.saves.list); n > mostSaves {
		d.saves.list = append([]save(nil), d.saves.list[n-mostSaves:]...)
	}
	return s.id, nil
}

// unchanged is nil when a text has the token that was shown.
func unchanged(now, shown string) error {
	if token(now) != shown {
		return errChanged
	}
	return nil
}

// locked lets edit give a file of the folder new contents, or tell that it goes (false), while
// no other process writes there. The file is replaced whole.
func (d *Desk) locked(name string, edit func(now text) (after string, keep bool, err error)) error {
	if !filepath.IsLocal(name) {
		return refusef(http.StatusForbidden, "Nothing was written.", "%q is no file of the folder.", name)
	}
	if !d.writing.TryRLock() {
		return refusef(http.StatusServiceUnavailable, "Nothing was written.", "The desk is being closed.")
	}
	defer d.writing.RUnlock()
	path := filepath.Join(d.Folder.Path, name)
	place, err := filepath.EvalSymlinks(filepath.Dir(path))
	if err != nil {
		return err
	}
	if real, err := filepath.EvalSymlinks(path); err == nil {
		place = filepath.Dir(real) // one file has one lock
	}
	unlock, err := keep.Lock(place)
	if err != nil {
		return err
	}
	defer unlock()
	keep.Clear(place, filepath.Base(path))
	now, err := d.readText(name) // which refuses what leads out of the folder
	if err != nil {
		return err
	}
	after, kept, err := edit(now)
	switch {
	case err != nil || kept && now.there && after == now.src:
		return err
	case !kept:
		if err := os.Remove(path); err != nil {
			return err
		}
		return keep.FlushFolder(place)
	}
	return keep.Replace(path, []byte(after))
}

// undo takes back the last save, which the number must be of, when the file is still as it left it.
func (d *Desk) undo(id int) (save, error) {
	s, ok := d.saves.last()
	if !ok || s.id != id {
		return s, refusef(http.StatusConflict, "Look at the page as it is now.", "That was not the last thing that was saved here, so it is not undone.")
	}
	err := d.locked(s.name, func(now text) (string, bool, error) {
		if !now.there || now.src != s.after.src {
			return "", true, refusef(http.StatusConflict, "Change it by hand.", "%s was changed meanwhile by another window or program, so this is not undone.", s.name)
		}
		return s.before.src, s.before.there, nil
	})
	if err != nil {
		return s, err
	}
	d.saves.Lock()
	defer d.saves.Unlock()
	for i, x := range d.saves.list {
		if x.id == id {
			d.saves.list = append(d.saves.list[:i], d.saves.list[i+1:]...)
			break
		}
	}
	return s, nil
}

// doUndo answers the button.
func doUndo(v *visit) error {
	get, err := v.form()
	if err != nil {
		return err
	}
	id, err := strconv.Atoi(get("save"))
	if err != nil {
		return refusef(http.StatusBadRequest, "Nothing was changed.", "%q is no number of a save.", get("save"))
	}
	s, err := v.undo(id)
	if err != nil {
		return err
	}
	http.Redirect(v.w, v.r, s.back+"?undone="+fmt.Sprint(s.id), http.StatusSeeOther)
	return nil
}
