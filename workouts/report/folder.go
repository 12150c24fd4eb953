package report

import (
	"path/filepath"
	"strings"
)

// A Folder is the deepest one that all recordings of a table lie in, so that people read
// it once and not in every row. Programs are given whole names.
type Folder string

// FolderOf finds the folder of some names of files; it is empty where they share none.
func FolderOf(names []string) Folder {
	shared := ""
	for i, name := range names {
		folder, _ := filepath.Split(name)
		if i == 0 {
			shared = folder
		}
		for !strings.HasPrefix(folder, shared) {
			shared, _ = filepath.Split(strings.TrimRight(shared, string(filepath.Separator)))
		}
	}
	return Folder(shared)
}

// Inside is a name as it stands in a row.
func (f Folder) Inside(name string) string { return strings.TrimPrefix(name, string(f)) }

// Note says below a table where its recordings lie; nothing where rows say it.
func (f Folder) Note() []string {
	if f == "" {
		return nil
	}
	return []string{"Folder of the recordings: " + filepath.Clean(string(f))}
}
