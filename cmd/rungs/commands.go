package main

import (
	"runtime/debug"
	"strings"

	"github.com/spf13/pflag"
)

// A command is one row of the table that dispatch and help are made from.
type command struct {
	name    string
	args    string // how its arguments are written in a usage line
	summary string // a few words, for the list of commands
	about   string // paragraphs of help
	example string // one command line

	// setup declares the flags and returns what to do with the arguments that
	// are no flags.
	setup func(fs *pflag.FlagSet) body
}

// A body does the work of a command and returns the exit status.
type body func(e *env, args []string) int

// commands is the table. It is a function because help is in it and reads it.
func commands() []command {
	return []command{splitCommand, checkCommand, libraryCommand, blockCommand, logCommand, deskCommand, fmtCommand, explainCommand, demoCommand, completionCommand(), manCommand(), helpCommand()}
}

func commandNamed(name string) (command, bool) {
	for _, c := range commands() {
		if c.name == name {
			return c, true
		}
	}
	return command{}, false
}

func commandNames() []string {
	var names []string
	for _, c := range commands() {
		names = append(names, c.name)
	}
	return names
}

// usageLine is how the command is called.
func (c command) usageLine() string {
	return strings.TrimRight("rungs "+c.name+" "+c.args, " ")
}

// version is what the Go toolchain knows of this build.
func version() string {
	if info, ok := debug.ReadBuildInfo(); ok && info.Main.Version != "" {
		return info.Main.Version
	}
	return "(devel)"
}
