package block

import (
	"encoding/json"
	"slices"

	"example.org/rungs/segment"
	"example.org/rungs/segment/recording"
)

// keptFile is what the cache keeps of a file. Sums that no workouts of the runner would change
// hold whatever these are; the others are kept again for those that they were made with.
type keptFile struct {
	Runs     []Run `json:"runs"`
	Swayable bool  `json:"swayable,omitempty"`
}

// A storedFile is the JSON of the entry of one. The packed details of its runs, most of an entry, stand behind it one
// after the other: to read them as text takes as long as all else.
type storedFile struct {
	keptFile
	Details []int `json:"details"` // bytes of the detail of each run
}

// split splits a recording, knowing the workouts of the runner.
func (g Gatherer) split(r *recording.Recording) (*segment.Session, error) {
	return segment.Split(r, segment.Knowing(g.Known...))
}

// knownKey stands for the workouts of the runner in keys of the cache; empty without any.
func (g Gatherer) knownKey() string {
	if len(g.Known) == 0 {
		return ""
	}
	text, err := json.Marshal(g.Known)
	if err != nil { // of figures that are none
		return ""
	}
	return hash(text)
}

// ownKey is the key of the sums of a content for the workouts of the runner, given those that hold without any.
func (s splitter) ownKey(key string, plain keptFile) string {
	if s.knownKey == "" || !plain.Swayable {
		return key
	}
	return "own-" + hash([]byte(key+s.knownKey))
}

// getSums gives the sums that stand under a key, and tells whether they do.
func (c *Cache) getSums(key string, k *keptFile) bool {
	var f storedFile
	ok := c.getWith(key, &f, func(tail []byte) bool {
		if len(f.Details) != len(f.Runs) {
			return false
		}
		for i, n := range f.Details {
			if n < 0 || n > len(tail) {
				return false
			}
			if n > 0 {
				f.Runs[i].Packed, tail = tail[:n:n], tail[n:]
			}
		}
		return len(tail) == 0 && sensible(f.Runs...)
	})
	if ok {
		*k = f.keptFile
	}
	return ok
}

func (c *Cache) putSums(key string, k keptFile) {
	f := storedFile{keptFile{slices.Clone(k.Runs), k.Swayable}, make([]int, len(k.Runs))}
	var tail []byte
	for i, r := range k.Runs {
		f.Details[i], tail = len(r.Packed), append(tail, r.Packed...)
		f.Runs[i].Packed = nil
	}
	c.putWith(key, f, tail)
}
