package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"
)

func helpCommand() command {
	return command{
		name:    "help",
		args:    "[COMMAND]",
		summary: "say more about a command",
		about:   "Prints the help of a command, or the list of commands.",
		example: "rungs help check",
		setup: func(*pflag.FlagSet) body {
			return func(e *env, args []string) int {
				if len(args) == 0 {
					return e.write(overview())
				}
				c, status := e.commandOf("help", args)
				if status != exitFine {
					return status
				}
				return e.write(c.help())
			}
		},
	}
}

// commandOf finds the command that is named by the arguments of help or man.
func (e *env) commandOf(asked string, args []string) (command, int) {
	if len(args) == 1 {
		if c, ok := commandNamed(args[0]); ok {
			return c, exitFine
		}
		return command{}, e.misuse("%s: unknown command %q%s", asked, args[0], didYouMean(args[0], commandNames()))
	}
	if len(args) == 2 && len(subcommands(args[0])) > 0 {
		if c, ok := subcommandNamed(args[0], args[1]); ok {
			return c, exitFine
		}
		return command{}, e.misuse("%s: unknown command %q%s", asked, args[0]+" "+args[1], didYouMean(args[1], subcommandNames(args[0])))
	}
	return command{}, e.misuse("%s: one command at a time", asked)
}

// usage is the answer to no arguments at all.
func usage() string {
	return "usage: rungs COMMAND [FLAGS] [ARGUMENTS]\ncommands: " + strings.Join(commandNames(), ", ") +
		"\nBegin with a recording of yours: rungs split RECORDING says what was run.\n" +
		"Or with invented ones: rungs demo trial writes some, and says what to do with them.\n" +
		"rungs --help says more.\n"
}

// overview is the help of the whole program.
func overview() string {
	var b strings.Builder
	b.WriteString(wrapped("rungs finds the interval session in a recording of a run and holds it against a plan.") + "\n\n")
	b.WriteString("Usage: rungs COMMAND [FLAGS] [ARGUMENTS]\n\nCommands:\n")
	wide := 0
	for _, c := range commands() {
		wide = max(wide, len(c.name))
	}
	for _, c := range commands() {
		fmt.Fprintf(&b, "  %-*s  %s\n", wide, c.name, c.summary)
	}
	b.WriteString(`
Flags:
  -h, --help      this text; after a command, the help of that command
      --version   the version of the program

A FILE of "-" is standard input. Output goes to standard output, troubles to
standard error. A file that cannot be read does not stop the others.

Exit status: 0 fine, 1 the answer is no, 2 wrong use or unreadable input,
130 interrupted. NO_COLOR=1 turns off bold and colour; COLUMNS sets the width.
Output that goes to no terminal is the same whatever the terminal and locale.
`)
	return b.String()
}

// help is the help of one command.
func (c command) help() string {
	fs := newFlagSet(c.name)
	c.setup(fs)
	s := "Usage: " + c.usageLine() + "\n\n" + laidOut(c.about) + "\n"
	if flags := fs.FlagUsagesWrapped(80); flags != "" {
		s += "\nFlags:\n" + flags
	}
	return s + "\nExample:\n  " + c.example + "\n"
}

// wrapped breaks a paragraph into lines of a help text.
func wrapped(s string) string {
	var b strings.Builder
	used := 0
	for i, word := range strings.Fields(s) {
		switch {
		case i == 0:
		case used+1+len(word) > 78:
			b.WriteByte('\n')
			used = 0
		default:
			b.WriteByte(' ')
			used++
		}
		b.WriteString(word)
		used += len(word)
	}
	return b.String()
}

// A paragraph is words that may be broken into lines anew, or lines that stand
// as they are, indented.
type paragraph struct {
	text string
	asIs bool
}

// paragraphs takes a help text apart.
func paragraphs(s string) (all []paragraph) {
	begun := false
	for line := range strings.SplitSeq(strings.TrimRight(s, "\n"), "\n") {
		asIs := strings.HasPrefix(line, "  ")
		switch {
		case line == "":
			begun = false
			continue
		case !begun || all[len(all)-1].asIs != asIs:
			all = append(all, paragraph{line, asIs})
		case asIs:
			all[len(all)-1].text += "\n" + line
		default:
			all[len(all)-1].text += " " + line
		}
		begun = true
	}
	return all
}

// laidOut is a help text with lines of even width.
func laidOut(s string) string {
	var texts []string
	for _, p := range paragraphs(s) {
		if !p.asIs {
			p.text = wrapped(p.text)
		}
		texts = append(texts, p.text)
	}
	return strings.Join(texts, "\n\n")
}
