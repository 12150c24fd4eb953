package main

import (
	"context"
	"errors"
	"io"
	"os"
	"os/signal"

	"github.com/spf13/pflag"
)

// Exit statuses.
const (
	exitFine        = 0
	exitNo          = 1   // it ran, and the answer is no
	exitTrouble     = 2   // wrong use, or input that could not be read
	exitInterrupted = 130 // 128 + SIGINT, as shells have it
)

// run does what the arguments ask for and returns the exit status. An
// interrupt ends it at once, save that a file being replaced is finished, a
// new folder that is not whole is removed, and the desk closes by itself.
func run(args []string, stdin io.Reader, stdout, stderr io.Writer) int {
	ctx, stop := signal.NotifyContext(context.Background(), os.Interrupt)
	defer stop()
	e := newEnv(stdin, stdout, stderr)
	e.ctx = ctx
	done := make(chan int, 1)
	go func() { done <- e.dispatch(args) }()
	select {
	case status := <-done:
		return status
	case <-ctx.Done():
		if e.ends.Load() { // what it writes is finished first
			return <-done
		}
		e.saving.Lock()
		if e.unfinished != "" {
			os.RemoveAll(e.unfinished)
		}
		return exitInterrupted
	}
}

// dispatch finds the command and its flags.
func (e *env) dispatch(args []string) int {
	if len(args) == 0 {
		io.WriteString(e.stderr, usage())
		return exitTrouble
	}
	switch args[0] {
	case "-h", "--help":
		return e.write(overview())
	case "--version":
		return e.write("rungs " + version() + "\n")
	}
	name := args[0]
	c, ok := commandNamed(name)
	if !ok {
		if len(name) > 1 && name[0] == '-' {
			return e.misuse("unknown flag: %s%s", name, didYouMean(name, []string{"--help", "--version"}))
		}
		return e.misuse("unknown command %q%s", name, commandHint(name))
	}
	fs := newFlagSet(c.name)
	body := c.setup(fs)
	if err := fs.Parse(args[1:]); err != nil {
		return e.misflagged(c, fs, err)
	}
	status := body(e, fs.Args())
	return max(status, e.finish())
}

// commandHint says which command may have been meant by a word that is not one.
func commandHint(name string) string {
	if hint := didYouMean(name, append(commandNames(), "--version")); hint != "" {
		return hint
	}
	if _, err := os.Stat(name); err == nil {
		return "; rungs split " + name + " says what was run"
	}
	return "; rungs help lists the commands"
}

// newFlagSet makes a flag set that prints nothing itself.
func newFlagSet(name string) *pflag.FlagSet {
	fs := pflag.NewFlagSet(name, pflag.ContinueOnError)
	fs.SetOutput(io.Discard)
	fs.Usage = func() {}
	fs.SortFlags = false
	return fs
}

// misflagged answers arguments that do not parse, a call for help among them.
func (e *env) misflagged(c command, fs *pflag.FlagSet, err error) int {
	if errors.Is(err, pflag.ErrHelp) {
		return e.write(c.help())
	}
	hint := ""
	var missing *pflag.NotExistError
	if errors.As(err, &missing) {
		if hint = didYouMean("--"+missing.GetSpecifiedName(), flagNames(fs)); hint == "" {
			hint = "; rungs help " + c.name + " lists the flags"
		}
	}
	return e.misuse("%s: %v%s", c.name, err, hint)
}

// flagNames are the long names, with their dashes.
func flagNames(fs *pflag.FlagSet) []string {
	names := []string{"--help"}
	fs.VisitAll(func(f *pflag.Flag) { names = append(names, "--"+f.Name) })
	return names
}
