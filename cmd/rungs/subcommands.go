package main

import "strings"

// subcommands are the commands that follow a command of that name, such as those of
// the library; none for most.
func subcommands(name string) []command {
	switch name {
	case "library":
		return libraryCommands()
	case "log":
		return logCommands()
	}
	return nil
}

// subcommandNamed finds one of them.
func subcommandNamed(name, sub string) (command, bool) {
	for _, c := range subcommands(name) {
		if c.name == name+" "+sub {
			return c, true
		}
	}
	return command{}, false
}

// subcommandNames are their names, without that of the command they follow.
func subcommandNames(name string) []string {
	var names []string
	for _, c := range subcommands(name) {
		names = append(names, strings.TrimPrefix(c.name, name+" "))
	}
	return names
}
