package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/block/demo"
)

var demoCommand = command{
	name:    "demo",
	args:    "[FLAGS] FOLDER",
	summary: "write a folder of simulated recordings to try things on",
	about: `Invents runners and their training and writes it as recordings: a folder for each
runner, with five or six FIT files a week, some of them double or in pieces.
Everything in it is simulated; the same numbers give the same files. The folder
must not be there yet.`,
	example: "rungs demo --weeks 8 --runners 1 demo-runs",
	setup: func(fs *pflag.FlagSet) body {
		weeks := fs.Int("weeks", 4, "how many `WEEKS`")
		runners := fs.Int("runners", 1, "how many `RUNNERS`")
		return func(e *env, args []string) int {
			switch {
			case len(args) != 1 || args[0] == "":
				return e.misuse("demo: name one folder to write")
			case *weeks < 1 || *weeks > mostDemoWeeks:
				return e.misuse("demo: --weeks is from 1 to %d", mostDemoWeeks)
			case *runners < 1 || *runners > mostDemoRunners:
				return e.misuse("demo: --runners is from 1 to %d", mostDemoRunners)
			}
			return e.writeDemo(args[0], *weeks, *runners)
		}
	},
}

const (
	mostDemoWeeks   = 2000
	mostDemoRunners = 999
)

// writeDemo writes the recordings, on all cores.
func (e *env) writeDemo(folder string, weeks, runners int) int {
	if err := os.Mkdir(folder, 0o777); err != nil {
		if errors.Is(err, fs.ErrExist) {
			return e.complain(folder + ": it is there already; name a new folder")
		}
		return e.complain(fileTrouble(folder, err))
	}
	type one struct {
		folder string
		demo.Outing
	}
	todo := make(chan one)
	var wait sync.WaitGroup
	var mutex sync.Mutex
	var trouble error
	files, bytes := 0, 0
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for o := range todo {
				written, err := o.Files()
				size := 0
				for _, f := range written {
					size += len(f.Data)
					err = errors.Join(err, os.WriteFile(filepath.Join(o.folder, f.Name), f.Data, 0o666))
				}
				mutex.Lock()
				files, bytes = files+len(written), bytes+size
				if err != nil && trouble == nil {
					trouble = err
				}
				mutex.Unlock()
			}
		})
	}
	for r := 1; r <= runners; r++ {
		to := filepath.Join(folder, fmt.Sprintf("runner-%03d", r))
		if err := os.Mkdir(to, 0o777); err != nil {
			trouble = err
			break
		}
		for w := 1; w <= weeks; w++ {
			for _, o := range demo.Week(r, w) {
				todo <- one{to, o}
			}
		}
	}
	close(todo)
	wait.Wait()
	if trouble != nil {
		return e.complain(fileTrouble(folder, trouble))
	}
	return e.write(fmt.Sprintf("%s: %d recordings, simulated, %.1f MB\n", folder, files, float64(bytes)/1e6))
}
