package block

import (
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// A stamp is what the system tells of a file without reading it. Who changes a file can set
// the time of its content back, but not the time at which that was done.
type stamp struct {
	Size    int64  `json:"size"`
	Changed int64  `json:"changed"` // the content, ns since 1970
	Touched int64  `json:"touched"` // anything of the file, its times among it, ns since 1970
	Node    uint64 `json:"node"`    // of the file system
}

// A stampedKey is the content of a file when it had a stamp.
type stampedKey struct {
	Path string `json:"path"`
	stamp
	Key string `json:"key"`
}

// stamps spare reading files that are as they were when the same paths were gathered before:
// to hash them takes longer than all else of a block from the cache.
type stamps struct {
	entry  string // of the cache; empty without one
	before map[string]stampedKey

	mutex sync.Mutex
	now   []stampedKey
	anew  bool // one of now is not in before
}

// stamps gives what is kept of the files of paths.
func (c *Cache) stamps(paths []string) *stamps {
	s := &stamps{before: map[string]stampedKey{}}
	at, err := filepath.Abs(".")
	if c == nil || err != nil {
		return s
	}
	s.entry = "stamps-" + hash([]byte(at+"\x00"+strings.Join(paths, "\x00")))
	var list []stampedKey
	if c.get(s.entry, &list, func() bool { return true }) {
		for _, x := range list {
			s.before[x.Path] = x
		}
	}
	return s
}

// keep writes the stamps for the next time, where one is new.
func (s *stamps) keep(c *Cache) {
	if s.anew {
		c.put(s.entry, s.now)
	}
}

// key is that of the content of a file with that stamp; empty when it is not known.
func (s *stamps) key(path string, is stamp) string {
	if was := s.before[path]; was.stamp == is {
		return was.Key
	}
	return ""
}

// saw takes down the content of a file whose stamp was taken before it was read. One that
// was changed just now could change once more and look the same.
func (s *stamps) saw(path string, is stamp, key string) {
	if s.entry == "" || is == (stamp{}) || time.Since(time.Unix(0, is.Touched)) < stampAge {
		return
	}
	s.mutex.Lock()
	defer s.mutex.Unlock()
	x := stampedKey{path, is, key}
	s.now, s.anew = append(s.now, x), s.anew || s.before[path] != x
}
