package main

import (
	"fmt"
	"strings"

	"github.com/spf13/pflag"

	"example.org/rungs/workouts/athlete"
	"example.org/rungs/workouts/library"
)

func manCommand() command {
	return command{
		name:    "man",
		args:    "[COMMAND]",
		summary: "print the manual page, of all or of one command",
		about: `Prints the manual page of the program, or that of a command, made from the same
table as the help, in the man(7) macros:

  rungs man > ~/.local/share/man/man1/rungs.1
  rungs man check > ~/.local/share/man/man1/rungs-check.1`,
		example: "rungs man > rungs.1",
		setup: func(*pflag.FlagSet) body {
			return func(e *env, args []string) int {
				if len(args) == 0 {
					return e.write(manual())
				}
				c, status := e.commandOf("man", args)
				if status != exitFine {
					return status
				}
				return e.write(manualOf(c))
			}
		},
	}
}

// manualDate is when the words of this file were last looked over.
const manualDate = "2026-11-25"

// manual is the manual page, in the macros of man(7).
func manual() string {
	var m roff
	m.text(`.TH RUNGS 1 ` + manualDate + ` "rungs ` + roffEscape(version()) + `" "User commands"`)
	m.request("SH", "NAME")
	m.text(`rungs \- find the interval session of a run and hold it against a plan`)
	m.request("SH", "SYNOPSIS")
	m.request("B", "rungs")
	m.text(`\fICOMMAND\fR [\fIFLAGS\fR] [\fIARGUMENTS\fR]`)
	m.request("SH", "DESCRIPTION")
	m.prose(`rungs reads the recording of a run (FIT, GPX, TCX or CSV; plain, gzipped or zipped), finds
the interval session in it and holds it against what was planned: which rep is
which, how far each drifted from its target, whether the reps really got quicker,
within the measuring error. It needs no account and sends nothing anywhere.

A file of "-" is standard input. Output goes to standard output, troubles to standard
error. A file that cannot be read does not stop the others.`)
	m.request("SH", "COMMANDS")
	for _, c := range commands() {
		m.command(c)
		for _, c := range subcommands(c.name) {
			m.command(c)
		}
	}
	m.ends()
	m.request("SH", "FILES")
	for _, s := range [][2]string{
		{"~/.config/rungs/athlete.toml", "The athlete's paces, heart rates and units."},
		{"~/.local/share/rungs/library/", "The library: a plain text file for each workout."},
		{"~/.cache/rungs/block/", "Sums of recordings. May be deleted at any time."},
	} {
		m.item(s[0], s[1])
	}
	m.request("SH", "CAUTION")
	m.prose(`Heart rates and zones are a rough guide, not advice on health: chest pain, faintness or
palpitations are reasons to stop and see a doctor.`)
	return m.String()
}

// manualOf is the page of one command, and of those that follow it.
func manualOf(c command) string {
	var m roff
	name := strings.ReplaceAll(c.name, " ", "-")
	m.text(`.TH RUNGS\-` + roffEscape(strings.ToUpper(name)) + ` 1 ` + manualDate + ` "rungs ` + roffEscape(version()) + `" "User commands"`)
	m.request("SH", "NAME")
	m.text(`rungs\-` + roffEscape(name) + ` \- ` + roffEscape(c.summary))
	m.request("SH", "COMMANDS")
	m.command(c)
	for _, c := range subcommands(c.name) {
		m.command(c)
	}
	m.ends()
	return m.String()
}

// ends writes what holds for all commands.
func (m *roff) ends() {
	m.request("SH", "EXIT STATUS")
	for _, s := range [][2]string{
		{"0", "All is fine."},
		{"1", "The answer is no: a session was not run as planned, say."},
		{"2", "Wrong use, or input that could not be read."},
		{"130", "Interrupted."},
	} {
		m.item(s[0], s[1])
	}
	m.request("SH", "ENVIRONMENT")
	for _, s := range [][2]string{
		{athlete.Variable, "The athlete file, unless --athlete names it."},
		{library.Variable, "The folder of the library, unless --library names it."},
		{"NO_COLOR", "When set, nothing is bold or coloured."},
		{"COLUMNS", "The width of the output; that of the terminal when unset."},
		{"LC_ALL, LC_CTYPE, LANG", "The first that is set says whether a terminal shows UTF-8; where it does not, the line of speeds is drawn in ASCII."},
		{"TZ", "The time zone of the runner, unless --time-zone names it."},
		{"XDG_CONFIG_HOME, XDG_DATA_HOME, XDG_CACHE_HOME", "Where the files below are, for those who moved them."},
	} {
		m.item(s[0], s[1])
	}
}

// A roff is a page in the making.
type roff struct{ strings.Builder }

// request writes a macro and its arguments.
func (m *roff) request(name string, args ...string) {
	m.WriteString("." + name)
	for _, a := range args {
		a = strings.ReplaceAll(roffEscape(a), `"`, `\(dq`)
		if strings.Contains(a, " ") {
			a = `"` + a + `"`
		}
		m.WriteString(" " + a)
	}
	m.WriteByte('\n')
}

// text writes a line that is roff already.
func (m *roff) text(s string) { m.WriteString(s + "\n") }

// prose writes paragraphs of help.
func (m *roff) prose(s string) {
	for i, p := range paragraphs(s) {
		if i > 0 {
			m.request("PP")
		}
		if p.asIs {
			m.asIs(p.text)
			continue
		}
		for line := range strings.SplitSeq(wrapped(roffEscape(p.text)), "\n") {
			m.line(line)
		}
	}
}

// asIs writes lines that stay as they are.
func (m *roff) asIs(s string) {
	m.request("nf")
	for line := range strings.SplitSeq(s, "\n") {
		m.line(roffEscape(line))
	}
	m.request("fi")
}

// line writes a line of escaped words; one that looks like a request is kept
// from being one.
func (m *roff) line(s string) {
	if strings.HasPrefix(s, ".") {
		s = `\&` + s
	}
	m.text(s)
}

// item writes a word and, beside it, what it means.
func (m *roff) item(word, means string) {
	m.request("TP")
	m.request("B", word)
	m.prose(means)
}

// command writes what help says of a command.
func (m *roff) command(c command) {
	m.request("SS", c.usageLine())
	m.prose(c.about)
	fs := newFlagSet(c.name)
	c.setup(fs)
	fs.VisitAll(func(f *pflag.Flag) {
		value, means := pflag.UnquoteUsage(f)
		flag := "--" + f.Name
		if f.Shorthand != "" {
			flag = "-" + f.Shorthand + ", " + flag
		}
		m.request("TP")
		if value == "" {
			m.request("B", flag)
		} else {
			m.text(`\fB` + roffEscape(flag) + `\fR \fI` + roffEscape(value) + `\fR`)
		}
		if d := defaultOf(f); d != "" {
			means += fmt.Sprintf(" (default %s)", d)
		}
		m.prose(means)
	})
	m.request("PP")
	m.text("Example:")
	m.request("PP")
	m.asIs("  " + c.example)
}

// defaultOf is the value of a flag that is not given; empty when that is none.
func defaultOf(f *pflag.Flag) string {
	switch f.DefValue {
	case "", "false", "0", "[]":
		return ""
	}
	return f.DefValue
}

var roffEscapes = strings.NewReplacer(`\`, `\e`, `-`, `\-`, "'", `\(aq`, "`", `\(ga`, "^", `\(ha`, "~", `\(ti`,
	"±", `\(+-`, "≈", `\(~~`)

func roffEscape(s string) string { return roffEscapes.Replace(s) }
