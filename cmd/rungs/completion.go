package main

import (
	_ "embed" // the scripts of the shells
	"errors"
	"strings"

	"github.com/spf13/pflag"
)

// The scripts ask the program for what may come next, so they hold no list of
// commands and flags that could grow old.
var (
	//go:embed completion.bash
	bashScript string
	//go:embed completion.zsh
	zshScript string
	//go:embed completion.fish
	fishScript string
)

// shells are the shells that there is a script for.
func shells() []string { return []string{"bash", "zsh", "fish"} }

// askWords is the word by which a script asks.
const askWords = "words"

func completionCommand() command {
	return command{
		name:    "completion",
		args:    "SHELL",
		summary: "print a script by which a shell completes commands and flags",
		about: `Prints a script for a shell (` + list(shells()) + `). Read by the shell when it starts, it
completes commands, flags, the words that flags take, files, and the names of
workouts in the library:

  bash  eval "$(rungs completion bash)"    in ~/.bashrc
  zsh   eval "$(rungs completion zsh)"     in ~/.zshrc, after compinit
  fish  rungs completion fish | source     in ~/.config/fish/config.fish

The scripts ask "rungs completion ` + askWords + ` WORD..." what may stand for the last of the
words. Its first line says whether files or folders may as well; the others are a
word each, and what it means after a tab.`,
		example: "rungs completion bash > rungs.bash",
		setup: func(fs *pflag.FlagSet) body {
			fs.SetInterspersed(false) // the words that are asked about are no flags of this command
			return func(e *env, args []string) int {
				if len(args) > 0 && args[0] == askWords {
					return e.write(complete(args[1:]).String())
				}
				if len(args) != 1 {
					return e.misuse("completion: name one shell: %s", list(shells()))
				}
				switch args[0] {
				case "bash":
					return e.write(bashScript)
				case "zsh":
					return e.write(zshScript)
				case "fish":
					return e.write(fishScript)
				}
				return e.misuse("completion: there is a script for %s, not for %q%s", list(shells()), args[0], didYouMean(args[0], shells()))
			}
		},
	}
}

// A proposal is a word that may come next.
type proposal struct {
	word  string
	means string
}

// proposals are all that may come next.
type proposals struct {
	words          []proposal
	files, folders bool // and such names
}

// String is what the scripts read.
func (p proposals) String() string {
	var b strings.Builder
	switch {
	case p.files:
		b.WriteString("files\n")
	case p.folders:
		b.WriteString("folders\n")
	default:
		b.WriteString("words\n")
	}
	for _, w := range p.words {
		b.WriteString(w.word)
		if w.means != "" {
			b.WriteString("\t" + w.means)
		}
		b.WriteByte('\n')
	}
	return b.String()
}

// beginning keeps the words that begin so.
func (p proposals) beginning(start string) proposals {
	var kept []proposal
	for _, w := range p.words {
		if strings.HasPrefix(w.word, start) {
			kept = append(kept, w)
		}
	}
	p.words = kept
	return p
}

// complete proposes what the last of the words after "rungs" may be.
//
// Branches: a kind of word each.
func complete(words []string) proposals {
	if len(words) == 0 {
		words = []string{""}
	}
	before, last := words[:len(words)-1], words[len(words)-1]
	if len(before) == 0 {
		p := proposals{words: commandProposals(commands(), "")}
		if strings.HasPrefix(last, "-") {
			p.words = []proposal{{"--help", "the help of the program"}, {"--version", "its version"}}
		}
		return p.beginning(last)
	}
	c, ok := commandNamed(before[0])
	if !ok {
		return proposals{}
	}
	before = before[1:]
	if (c.name == "help" || c.name == "man") && len(before) == 1 && len(subcommands(before[0])) > 0 {
		return proposals{words: commandProposals(subcommands(before[0]), before[0]+" ")}.beginning(last)
	}
	if subs := subcommands(c.name); len(subs) > 0 {
		own := c.name == logCommand.name // it does something by itself, too
		sub, is := command{}, false
		if len(before) > 0 {
			sub, is = subcommandNamed(c.name, before[0])
		}
		switch {
		case is:
			c, before = sub, before[1:]
		case len(before) == 0 && !strings.HasPrefix(last, "-"):
			p := proposals{words: commandProposals(subs, c.name+" ")}
			if own {
				p.files, p.folders = true, true
			}
			return p.beginning(last)
		case !own:
			if len(before) == 0 {
				return proposals{words: commandProposals(subs, c.name+" ")}.beginning(last)
			}
			return proposals{}
		}
	}
	return c.complete(before, last)
}

func commandProposals(table []command, prefix string) (words []proposal) {
	for _, c := range table {
		words = append(words, proposal{strings.TrimPrefix(c.name, prefix), c.summary})
	}
	return words
}

// complete proposes a flag, the value of a flag, or an argument.
func (c command) complete(before []string, last string) proposals {
	fs := newFlagSet(c.name)
	c.setup(fs)
	var pending *pflag.ValueRequiredError
	switch err := fs.Parse(before); {
	case errors.As(err, &pending):
		return valueProposals(fs, pending.GetFlag()).beginning(last)
	case err != nil:
		return proposals{}
	case fs.ArgsLenAtDash() >= 0 || !strings.HasPrefix(last, "-"):
		return placeProposals(fs, placeholder(c.args, fs.NArg())).beginning(last)
	}
	if name, value, ok := strings.Cut(last, "="); ok {
		f := fs.Lookup(strings.TrimPrefix(name, "--"))
		if f == nil || !strings.HasPrefix(name, "--") {
			return proposals{}
		}
		p := valueProposals(fs, f).beginning(value)
		for i := range p.words {
			p.words[i].word = name + "=" + p.words[i].word
		}
		return p
	}
	p := proposals{words: []proposal{{"--help", "the help of this command"}}}
	fs.VisitAll(func(f *pflag.Flag) {
		_, means := pflag.UnquoteUsage(f)
		p.words = append(p.words, proposal{"--" + f.Name, strings.Join(strings.Fields(means), " ")})
	})
	return p.beginning(last)
}
