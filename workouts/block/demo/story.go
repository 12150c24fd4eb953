package demo

import (
	"bytes"
	"embed"

	"example.org/rungs/segment/simulate"
)

//go:embed story
var written embed.FS

// Story is two weeks of one runner's training for a half marathon: recordings,
// plans, the athlete file, and a README.txt with commands to follow.
func Story() ([]File, error) {
	var files []File
	entries, err := written.ReadDir("story")
	if err != nil {
		return nil, err
	}
	for _, e := range entries {
		data, err := written.ReadFile("story/" + e.Name())
		if err != nil {
			return nil, err
		}
		files = append(files, File{e.Name(), data})
	}
	for _, d := range simulate.Demo() {
		recs, _ := d.Record()
		for i, r := range recs {
			var b bytes.Buffer
			if err := simulate.WriteFIT(&b, r); err != nil {
				return nil, err
			}
			files = append(files, File{d.Files[i] + ".fit", b.Bytes()})
		}
		if d.Plan != "" {
			files = append(files, File{d.Files[0] + ".plan", []byte(d.Plan + "\n")})
		}
	}
	return files, nil
}
