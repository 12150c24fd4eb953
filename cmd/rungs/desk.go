package main

import (
	"context"
	"fmt"
	"math/rand/v2"
	"net"
	"os"
	"os/exec"
	"runtime"
	"strconv"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/block"
	"example.org/rungs/workouts/desk"
	"example.org/rungs/workouts/folder"
	"example.org/rungs/workouts/library"
	"example.org/rungs/workouts/log"
)

var deskCommand = command{
	name:    "desk",
	args:    "[FLAGS]",
	summary: "look at the training folder in a browser, and write there",
	about: `Opens pages over the training folder in a browser on this machine: the weeks, each
session with what can be said of it, and new recordings, which may be dropped onto the
page. What you say there is written into the same files as by the other commands, and
can be undone. Nothing leaves the machine: no other machine can reach the pages, and no
other page in the browser can.

` + trainingText + `

It runs until it is interrupted (Ctrl-C). The manual is workouts/desk/DESK.md.

The exit status is 0 when it was ended by an interrupt, 2 when it could not begin.`,
	example: "rungs desk --no-browser",
	setup: func(fs *pflag.FlagSet) body {
		athleteFile := athleteFlag(fs)
		zone := zoneFlag(fs)
		firstDay := fs.String("first-day", "monday", "the `DAY` that weeks begin on")
		shelf := fs.StringP("library", "l", "", "the `FOLDER` of the library")
		place := fs.StringP("folder", "f", "", "the training `FOLDER`; else the one that the working folder is in")
		port := fs.Int("port", 0, "answer on this `PORT` of 127.0.0.1; on a free one when not given")
		noBrowser := fs.Bool("no-browser", false, "print the address to open, and open nothing")
		noCache := fs.Bool("no-cache", false, "read all files anew, and keep nothing")
		return func(e *env, args []string) int {
			if len(args) > 0 {
				return e.misuse("desk: takes no file; --folder names the training folder")
			}
			if *port < 0 || *port > 65535 {
				return e.misuse("desk: --port is from 1 to 65535")
			}
			o := desk.Options{Now: now}
			var status int
			if o.Calendar, status = e.readZone("desk", *zone); status != exitFine {
				return status
			}
			day, ok := block.ParseWeekday(*firstDay)
			if !ok {
				return e.misuse("desk: --first-day: %q is no day of the week", *firstDay)
			}
			o.Calendar.FirstDay = day
			if o.Folder, ok = trainingFolder(); *place != "" {
				o.Folder, ok = folder.Folder{Path: *place}, true
			}
			if !ok {
				return e.misuse("desk: there is no training folder here; name one with --folder, or begin a log with rungs log note")
			}
			o.Library, _ = library.Locate(*shelf, os.Getenv) // without a place there is none
			o.Athlete = func() (athlete.Athlete, error) {
				named := *athleteFile
				if named == "" && os.Getenv(athlete.Variable) == "" {
					named = o.Folder.AthletePath()
				}
				return athlete.Load(named, os.Getenv)
			}
			if !*noCache {
				o.Cache = (&blocker{env: e}).openCache()
			}
			of := &training{Folder: o.Folder, env: e}
			of.log, _ = log.Read(o.Folder.LogPath()) // what is wrong with it the desk says
			o.Known = own(of)
			return e.serve(o, *port, !*noBrowser)
		}
	},
}

// serve runs a desk until the user interrupts.
func (e *env) serve(o desk.Options, port int, show bool) int {
	budgetMemory()
	d, err := desk.Open(o)
	if err != nil {
		return e.complain(fileTrouble(o.Folder.Path, err))
	}
	l, err := listen(port)
	if err != nil {
		return e.complain(fmt.Sprintf("desk: no address to answer on: %v", err))
	}
	e.ends.Store(true) // an interrupt waits for what is being written
	err = d.Serve(e.ctx, l, func(address, once string) {
		if show && openBrowser(e.ctx, once) == nil {
			fmt.Fprintf(e.stderr, "The desk is open in the browser. If it is not, open %s\nCtrl-C ends it.\n", address)
			return
		}
		e.write(address + "\n")
		fmt.Fprintln(e.stderr, "Open this address in a browser on this machine. Ctrl-C ends it.")
	})
	if closed := d.Close(); err == nil {
		err = closed
	}
	if err != nil {
		return e.complain("desk: " + err.Error())
	}
	return exitFine
}

// listen takes a port of this machine alone. When any will do it is one of a loopback address
// drawn at random, where the system has more than one (RFC 1122, 3.2.1.3): a browser sends
// the cookie of an address to all of its ports, and others may answer on those of 127.0.0.1.
func listen(port int) (net.Listener, error) {
	if port == 0 {
		ip := net.IPv4(127, byte(1+rand.IntN(254)), byte(rand.IntN(256)), byte(1+rand.IntN(254)))
		if l, err := net.Listen("tcp", net.JoinHostPort(ip.String(), "0")); err == nil {
			return l, nil
		}
	}
	return net.Listen("tcp", net.JoinHostPort("127.0.0.1", strconv.Itoa(port)))
}

// openBrowser asks the system to show an address; it fails on systems for which it does not
// know how.
func openBrowser(ctx context.Context, address string) error {
	opener := map[string][]string{"darwin": {"open"}, "windows": {"rundll32", "url.dll,FileProtocolHandler"}}[runtime.GOOS]
	if opener == nil {
		if os.Getenv("DISPLAY") == "" && os.Getenv("WAYLAND_DISPLAY") == "" {
			return exec.ErrNotFound
		}
		opener = []string{"xdg-open"}
	}
	c := exec.CommandContext(context.WithoutCancel(ctx), opener[0], append(opener[1:], address)...)
	if err := c.Start(); err != nil {
		return err
	}
	go c.Wait() // so that it is no zombie
	return nil
}
