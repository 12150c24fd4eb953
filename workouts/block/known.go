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
	Details  []int `json:"details"` // bytes of the packed detail of each, which stand behind the JSON one after the other
	Swayable bool  `json:"swayable,omitempty"`
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

// getSums gives the sums that stand under a key, and tells whether they do. Their details, most of an entry, are its tail: to read
// them as text takes as long as all else.
func (c *Cache) getSums(key string, k *keptFile) bool {
	return c.getWith(key, k, func(tail []byte) bool {
		if len(k.Details) != len(k.Runs) {
			return false
		}
		for i, n := range k.Details {
			if n < 0 || n > len(tail) {
				return false
			}
			if n > 0 {
				k.Runs[i].Packed, tail = tail[:n:n], tail[n:]
			}
		}
		return len(tail) == 0 && sensible(k.Runs...)
	})
}

func (c *Cache) putSums(key string, k keptFile) {
	var tail []byte
	heads := slices.Clone(k.Runs)
	k.Details = make([]int, len(heads))
	for i, r := range heads {
		k.Details[i], tail = len(r.Packed), append(tail, r.Packed...)
		heads[i].Packed = nil
	}
	k.Runs = heads
	c.putWith(key, k, tail)
}
