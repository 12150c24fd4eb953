package block

import (
	"slices"

	"example.org/rungs/segment/recording"
)

// A noteBook gathers the warnings of recordings by their code.
type noteBook map[string]*noted

type noted struct {
	sessions int
	first    string // file of the first
	message  string // and its message
}

func (b noteBook) add(s *Session) {
	for _, n := range s.Notes {
		if b[n.Code] == nil {
			b[n.Code] = &noted{first: s.File, message: n.Message}
		}
		b[n.Code].sessions++
	}
}

// warnings pass the notes on, one for each code.
func (b noteBook) warnings() (out []recording.Warning) {
	var codes []string
	for code := range b {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	for _, code := range codes {
		n := b[code]
		if n.sessions == 1 {
			out = append(out, recording.WarningOf(code, "%s: %s", n.first, n.message))
		} else {
			out = append(out, recording.WarningOf(code, "%d sessions, the first of them %s: %s", n.sessions, n.first, n.message))
		}
	}
	return out
}
