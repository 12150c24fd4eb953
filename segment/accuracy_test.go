package segment_test

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"example.org/rungs/segment"
	"example.org/rungs/segment/internal/opendata"
	"example.org/rungs/segment/recording"
	"example.org/rungs/segment/simulate"
)

var accuracy = flag.Bool("accuracy", false, "measure the accuracy anew and write ACCURACY.md")

// TestAccuracyPage measures what ACCURACY.md shows and writes it with -accuracy:
//
//	go test ./segment -run TestAccuracyPage -accuracy -full -evalseeds 3
//
// It needs the folder of open recordings and some minutes.
func TestAccuracyPage(t *testing.T) {
	if !*accuracy {
		t.Skip("runs with -accuracy only")
	}
	dir := opendata.Folder(t)
	var b strings.Builder
	b.WriteString(`# How accurate the split is

This page is written by

` + "```" + `
go test ./segment -run TestAccuracyPage -accuracy -full -evalseeds 3
` + "```" + `

Nothing in the simulated sessions was looked at while the weights were fitted: their seeds are others.
The open recordings are another matter: the weights are fitted to them too.

- *exact*: every rep found, none invented, in the named kinds also the same sets. A rep is found when it
  overlaps the true one by 75 % of their union.
- *main set*, *as meant*: the notation equals what the simulated coach wrote, without and with warm-up and
  cool-down.
- errors are medians of absolute values. *pace* is against the truth, *within* the same less what all reps
  of a run have in common.
- the last columns are the share of truths inside the 95 % intervals.

## Sessions from a broad grammar

Shapes, amounts, contrasts, recoveries, restlessness, hills and devices are drawn at random
(segment/simulate/grammar.go). Sets are not asked for here.

`)
	table, _, _, _, _ := grammarTable(1200)
	b.WriteString(table)
	b.WriteString("\n## Names of reps\n\nOf the sessions in which every rep was found, in per cent: those whose reps are all named by the amount that was\nmeant (half of the drawn ones are not round, and are told as the nearest that is); those told by no amount though some\nwas meant; and those in which a rep is named by an amount that is off by an eighth and by three standard errors.\n\n")
	b.WriteString(namingTable(namings(1200)))
	b.WriteString("\n## Probabilities\n\nOf readings with reps, how often those told with some probability were right:\n\n")
	table, _ = reliability(1200)
	b.WriteString(table)
	b.WriteString("\n## Margins of paces and edges\n\nThe share of errors inside the 95 % intervals, in per cent, and of how many reps: of paces within a run, and of\nwhere reps start and end, by the length of the reps. Then how late edges are in the mean, and paces with the scale.\n\n")
	b.WriteString(marginsTable(240, func(simulate.Device, margins) {}))
	b.WriteString("\n## Named kinds on all devices\n\n")
	table, _, _, _ = evaluate(untuned, max(*evalSeeds, 1))
	b.WriteString(table)
	b.WriteString("\n## Open recordings\n\nReps matched are those that overlap the true ones by 75 % of their union, 60 % below a minute.\n\n| recording | reps | found | matched |\n|---|---|---|---|\n")
	files, _ := filepath.Glob(filepath.Join(dir, "real-*.csv"))
	for _, path := range files {
		list, err := recording.Open(path)
		if err != nil {
			t.Fatal(err)
		}
		s, err := segment.Split(list[0])
		if err != nil {
			t.Fatal(err)
		}
		var truth []trueRep
		if name := strings.TrimSuffix(path, ".csv") + ".truth.tsv"; exists(name) {
			truth = readTruth(t, name)
		}
		hits := 0
		for _, want := range truth {
			need := matched
			if want.end-want.start < 60 {
				need = 0.6
			}
			for _, f := range foundReps(s) {
				if segment.Overlap(want.start, want.end, f.StartS, f.EndS) >= need {
					hits++
					break
				}
			}
		}
		if n := len(foundReps(s)); len(truth)+n > 0 {
			fmt.Fprintf(&b, "| %s | %d | %d | %d |\n", strings.TrimSuffix(filepath.Base(path), ".csv"), len(truth), n, hits)
		}
	}
	b.WriteString("\nThe others hold no reps, and none are found.\n")
	if err := os.WriteFile("ACCURACY.md", []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
