//go:build unix

package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"runtime"
	"runtime/debug"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"
	"unicode/utf8"
)

// The whole corpus takes minutes: go test ./cmd/rungs -run TestHostileInput -hostile all -timeout 1h
var hostile = flag.String("hostile", "", "run the cases of hostile input whose names begin so, or all, not a part of each kind")

// Bounds that every case keeps.
const (
	mostSeconds = 5.0       // of processor time, and more than that waiting is a hang
	mostMemory  = 150 << 20 // bytes
	patience    = time.Minute
)

// A hostileCase is one call of the command.
type hostileCase struct {
	name   string
	args   []string                // IN is the path of the input
	input  []byte                  // of the file IN, or of standard input where an argument is "-"
	make   func(path string) error // makes what is no plain file, in place of input
	stored string                  // where the input is kept
	stdin  string                  // a device to read as standard input
	want   string                  // the statuses that are right
	truth  *totals                 // what it is a damaged copy of; its totals may not differ without a warning
}

// totals of a recording.
type totals struct{ metres, seconds float64 }

// TestHostileInput gives the command truncated, changed, endless, nested and absurd
// input: recordings, plans, athlete files, sums, names. Whatever it is, the status is
// right, trouble is said in short lines and not by a crash, and a total that is off by
// more than a twentieth is not told without a warning.
func TestHostileInput(t *testing.T) {
	if testing.Short() {
		t.Skip("starts many processes")
	}
	cases := hostileCases(t)
	if len(cases) < 9000 {
		t.Errorf("only %d cases", len(cases))
	}
	every := 120 // a part of each kind, for every day
	if *hostile != "" {
		every = 1
	}
	all := len(cases)
	chosen := cases[:0]
	for i, c := range cases {
		switch {
		case every == 1 && *hostile != "all" && !strings.HasPrefix(c.name, *hostile):
		case i%every == 0 || strings.HasPrefix(c.name, "kind:") && i%min(every, 10) == 0:
			chosen = append(chosen, c)
		}
	}
	clear(cases[len(chosen):])
	cases = chosen
	// What was made is kept on the disk: the system counts the memory of a process that
	// starts another as the other's, at its highest.
	store := t.TempDir()
	for i := range cases {
		if cases[i].make == nil {
			cases[i].stored = filepath.Join(store, fmt.Sprint(i))
			if err := os.WriteFile(cases[i].stored, cases[i].input, 0o600); err != nil {
				t.Fatal(err)
			}
			cases[i].input = nil
		}
	}
	debug.FreeOSMemory()
	os.WriteFile("/proc/self/clear_refs", []byte("5"), 0) // forget how high it was
	folder := t.TempDir()
	next := make(chan int)
	var workers sync.WaitGroup
	var most struct {
		sync.Mutex
		memory  int64
		seconds float64
		run     int
	}
	for w := range runtime.GOMAXPROCS(0) {
		workers.Go(func() {
			for i := range next {
				memory, seconds := cases[i].run(t, filepath.Join(folder, fmt.Sprint(w)))
				most.Lock()
				most.memory, most.seconds, most.run = max(most.memory, memory), max(most.seconds, seconds), most.run+1
				most.Unlock()
			}
		})
	}
	for i := range cases {
		next <- i
	}
	close(next)
	workers.Wait()
	t.Logf("%d of %d cases; at most %d MB and %.1f s", most.run, all, most.memory>>20, most.seconds)
}

// run carries a case out in a folder of its own.
func (c hostileCase) run(t *testing.T, folder string) (memory int64, seconds float64) {
	os.RemoveAll(folder)
	if err := os.MkdirAll(folder, 0o700); err != nil {
		t.Error(err)
		return
	}
	path := filepath.Join(folder, "in")
	args := make([]string, len(c.args))
	var stdin *os.File
	for i, a := range c.args {
		args[i] = strings.ReplaceAll(a, "IN", path)
	}
	switch {
	case c.make != nil:
		if err := c.make(path); err != nil {
			t.Errorf("%s: %v", c.name, err)
			return
		}
	default:
		if err := os.Link(c.stored, path); err != nil {
			t.Error(err)
			return
		}
	}
	from := c.stdin
	if from == "" {
		from = path
	}
	for _, a := range args {
		if a == "-" {
			f, err := os.Open(from)
			if err != nil {
				t.Error(err)
				return
			}
			stdin = f
			defer f.Close()
		}
	}
	ctx, cancel := context.WithTimeout(t.Context(), patience)
	defer cancel()
	cmd := exec.CommandContext(ctx, "rungs", args...) // this test binary, see TestMain
	if stdin != nil {
		cmd.Stdin = stdin
	}
	cmd.Dir = folder
	cmd.Env = append(os.Environ(), "HOME="+folder, "XDG_CACHE_HOME="+folder+"/cache", "XDG_CONFIG_HOME="+folder, "XDG_DATA_HOME="+folder)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	err := cmd.Run()
	var exit *exec.ExitError
	if err != nil && !errors.As(err, &exit) {
		t.Errorf("%s: %v", c.name, err)
		return
	}
	status := cmd.ProcessState.ExitCode()
	memory, seconds = cost(cmd.ProcessState)
	fail := func(format string, a ...any) {
		t.Errorf("%s: %s\nrungs %.300q\n%.1000s", c.name, fmt.Sprintf(format, a...), args, said.String())
	}
	switch text := said.String(); {
	case strings.Contains(text, "goroutine ") || strings.Contains(text, "panic:") || strings.Contains(text, "fatal error"):
		fail("it crashed")
	case ctx.Err() != nil || seconds > mostSeconds:
		fail("it took %.1f s", seconds)
	case memory > mostMemory:
		fail("it took %d MB", memory>>20)
	case !strings.Contains(c.want, fmt.Sprint(status)) || status < 0:
		fail("status %d, not one of %s", status, c.want)
	case status == exitTrouble && text == "":
		fail("trouble is not said")
	case status == exitFine && out.Len() == 0:
		fail("nothing is said")
	case !utf8.ValidString(text) || !utf8.Valid(out.Bytes()):
		fail("what is said is not UTF-8")
	}
	c.lines(said.String(), fail)
	if c.truth != nil && status == exitFine {
		c.compare(out.Bytes(), fail)
	}
	return memory, seconds
}

// lines checks how trouble is said.
func (c hostileCase) lines(said string, fail func(string, ...any)) {
	lines := strings.Split(said, "\n")
	for _, line := range lines {
		if utf8.RuneCountInString(line) > longestLine {
			fail("a line of %d characters", utf8.RuneCountInString(line))
			return
		}
	}
	if len(lines) > 5*mostOfKind {
		fail("%d lines", len(lines))
	}
}

// compare holds the totals of what was read against what was damaged.
func (c hostileCase) compare(out []byte, fail func(string, ...any)) {
	for _, line := range bytes.Split(bytes.TrimSpace(out), []byte("\n")) {
		var told struct {
			Sums struct {
				ElapsedS  float64 `json:"elapsed_s"`
				DistanceM float64 `json:"distance_m"`
			} `json:"sums"`
			Warnings []struct{ Code string } `json:"warnings"`
		}
		if err := json.Unmarshal(line, &told); err != nil {
			fail("no JSON: %v", err)
			return
		}
		const share = 0.05
		off := func(got, want float64) bool { return math.Abs(got-want) > share*want }
		if len(told.Warnings) == 0 && (off(told.Sums.DistanceM, c.truth.metres) || off(told.Sums.ElapsedS, c.truth.seconds)) {
			fail("%.0f m in %.0f s without a warning, of %.0f m in %.0f s", told.Sums.DistanceM, told.Sums.ElapsedS, c.truth.metres, c.truth.seconds)
		}
	}
}

// cost is the peak of memory in bytes and the processor time in seconds. Of memory the
// system tells that of this process too where that is more, as it was split from it.
func cost(p *os.ProcessState) (memory int64, seconds float64) {
	if usage, ok := p.SysUsage().(*syscall.Rusage); ok {
		memory = int64(usage.Maxrss)
		if runtime.GOOS != "darwin" { // which counts bytes, others kilobytes
			memory <<= 10
		}
	}
	return memory, (p.UserTime() + p.SystemTime()).Seconds()
}
