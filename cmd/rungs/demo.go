package main

import (
	"cmp"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"runtime"
	"sync"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/block/demo"
	"example.org/rungs/workouts/figures"
)

var demoCommand = command{
	name:    "demo",
	args:    "[FLAGS] FOLDER",
	summary: "write a folder of simulated recordings to try things on",
	about: `Writes two weeks of an invented runner's training: recordings, plans, and a
README.txt that tells the story and the commands to follow it with.

With --weeks or --runners it is more, and without a story: a folder for each
runner, with five or six FIT files a week, some of them double or in pieces.

Everything in it is simulated; the same numbers give the same files. The folder
must not be there yet.`,
	example: "rungs demo trial",
	setup: func(fs *pflag.FlagSet) body {
		weeks := fs.Int("weeks", 4, "how many `WEEKS`, without a story")
		runners := fs.Int("runners", 1, "how many `RUNNERS`, without a story")
		return func(e *env, args []string) int {
			switch {
			case len(args) != 1 || args[0] == "":
				return e.misuse("demo: name one folder to write")
			case *weeks < 1 || *weeks > mostDemoWeeks:
				return e.misuse("demo: --weeks is from 1 to %d", mostDemoWeeks)
			case *runners < 1 || *runners > mostDemoRunners:
				return e.misuse("demo: --runners is from 1 to %d", mostDemoRunners)
			}
			if fs.Changed("weeks") || fs.Changed("runners") {
				return e.writeWeeks(args[0], *weeks, *runners)
			}
			return e.writeStory(args[0])
		}
	},
}

const (
	mostDemoWeeks   = 2000
	mostDemoRunners = 999
)

// inNewFolder makes a folder and fills it, whole or not at all.
func (e *env) inNewFolder(folder string, fill func() error) int {
	e.saving.Lock()
	err := os.Mkdir(folder, 0o777)
	if err == nil {
		e.unfinished = folder
	}
	e.saving.Unlock()
	switch {
	case errors.Is(err, fs.ErrExist):
		return e.complain(folder + ": it is there already; name a new folder")
	case err != nil:
		return e.complain(fileTrouble(folder, err))
	}
	err = fill()
	e.saving.Lock()
	defer e.saving.Unlock()
	e.unfinished = ""
	if err != nil {
		os.RemoveAll(folder)
		return e.complain(fileTrouble(folder, err))
	}
	return exitFine
}

// writeStory writes the demo with a story.
func (e *env) writeStory(folder string) int {
	files, err := demo.Story()
	if err != nil {
		return e.complain(err.Error())
	}
	recordings := 0
	status := e.inNewFolder(folder, func() error {
		for _, f := range files {
			if err := e.create(filepath.Join(folder, f.Name), f.Data); err != nil {
				return err
			}
			if filepath.Ext(f.Name) == ".fit" {
				recordings++
			}
		}
		return nil
	})
	if status != exitFine {
		return status
	}
	return e.write(fmt.Sprintf("%s: %s, simulated; README.txt in it says how to go on\n", folder, figures.Plural(recordings, "recording")))
}

// writeWeeks writes the recordings of many weeks.
func (e *env) writeWeeks(folder string, weeks, runners int) int {
	var files, bytes int
	status := e.inNewFolder(folder, func() (err error) {
		files, bytes, err = e.recordWeeks(folder, weeks, runners)
		return err
	})
	if status != exitFine {
		return status
	}
	return e.write(fmt.Sprintf("%s: %s, simulated, %.1f MB\n", folder, figures.Plural(files, "recording"), float64(bytes)/1e6))
}

// recordWeeks records them, on all cores, and counts files and bytes.
func (e *env) recordWeeks(folder string, weeks, runners int) (files, bytes int, trouble error) {
	type one struct {
		folder string
		demo.Outing
	}
	todo := make(chan one)
	var wait sync.WaitGroup
	var mutex sync.Mutex // of the results
	failed := func(err error) bool {
		mutex.Lock()
		defer mutex.Unlock()
		trouble = cmp.Or(trouble, err)
		return trouble != nil
	}
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for o := range todo {
				written, err := o.Files()
				size := 0
				for _, f := range written {
					size += len(f.Data)
					err = cmp.Or(err, e.create(filepath.Join(o.folder, f.Name), f.Data))
				}
				failed(err)
				mutex.Lock()
				files, bytes = files+len(written), bytes+size
				mutex.Unlock()
			}
		})
	}
	for r := 1; r <= runners && !failed(nil); r++ {
		to := filepath.Join(folder, fmt.Sprintf("runner-%03d", r))
		if failed(os.Mkdir(to, 0o777)) {
			break
		}
		for w := 1; w <= weeks && !failed(nil); w++ {
			for _, o := range demo.Week(r, w) {
				todo <- one{to, o}
			}
		}
	}
	close(todo)
	wait.Wait()
	return files, bytes, trouble
}
