package desk

import (
	"errors"
	"net/http"
)

const dropPath = "/new"

var newsRoutes = []route{
	{"GET /news", func(v *visit) error {
		p := v.progress()
		v.ground.mu.Lock()
		serial := 0
		if v.ground.now != nil {
			serial = v.ground.now.serial
		}
		v.ground.mu.Unlock()
		return v.json(map[string]int{"serial": serial, "done": p.Done, "of": p.Of})
	}},
	{"GET /new", func(v *visit) error {
		s, err := v.sums(v.r.Context())
		if errors.Is(err, errStill) {
			return v.reading()
		}
		if err != nil {
			return err
		}
		return v.show("new", "New recordings", s)
	}},
}

// reading shows how far the reading of the folder is, until the page asked for can be shown.
func (v *visit) reading() error {
	return v.showStatus(http.StatusOK, "reading", "Reading the folder", v.progress())
}
