package desk

import (
	"net/http"
)

// dropPath is where recordings are dropped; larger bodies than elsewhere are read there.
const dropPath = "/new"

var newsRoutes = []route{
	{"GET /news", showNews},
	{"GET /new", showNew(nil)},
	{"POST /new", takeDrop},
}

// News is what the script asks for every second.
type news struct {
	Serial int `json:"serial"` // of the sums
	Done   int `json:"done"`   // files read
	Of     int `json:"of"`     // files being read; 0 when none are
}

func showNews(v *visit) error {
	read := v.progress()
	return v.json(news{v.serial(), read.Done, read.Of})
}

// A newPage is what pages/new.html lays out.
type newPage struct {
	Dropped []dropped
	Broken  []broken
	Files   int
	Latest  []latest // the recordings that came last
	Folder  string
}

// A latest recording leads to its session.
type latest struct{ File, Day, To string }

// mostLatest is how many recordings are listed.
const mostLatest = 10

// showNew shows what came in, what is broken, and where to drop more, after a drop with what
// became of its files.
func showNew(all []dropped) func(v *visit) error {
	return onScene(func(v *visit, s *scene) error {
		p := newPage{Dropped: all, Broken: s.broken, Files: len(s.runs), Folder: v.Folder.Path}
		for i := len(s.told) - 1; i >= 0 && len(p.Latest) < mostLatest; i-- {
			if r := s.told[i]; !r.Start.IsZero() {
				p.Latest = append(p.Latest, latest{r.File, v.Calendar.Local(r.Start).Format("Mon 2 Jan 2006, 15:04"), "/session/" + s.name(r)})
			}
		}
		return v.show("new", "New recordings", p)
	})
}

// reading shows how far the reading of the folder is, until the page asked for can be shown.
func (v *visit) reading() error {
	return v.showStatus(http.StatusOK, "reading", "Reading the folder", v.progress())
}
