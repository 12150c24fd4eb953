package athlete

import "strings"

// Bounds that keep a hostile file from costing seconds and hundreds of megabytes:
// an athlete file nests two deep. Common practice, no source.
const (
	mostNesting  = 16
	mostMistakes = 20
)

// nestedLine is the first line at which something is nested deeper than any
// athlete file: dots of one key, or brackets that are open. 0 when there is none.
func nestedLine(src string) int {
	open := 0
	for n, line := range strings.Split(src, "\n") {
		line = line[:commentAt(line)]
		key, _, _ := strings.Cut(line, "=")
		open += strings.Count(line, "[") + strings.Count(line, "{") - strings.Count(line, "]") - strings.Count(line, "}")
		if strings.Count(key, ".") > mostNesting || strings.Count(line, ".") > 4*mostNesting ||
			strings.Count(line, "[") > 4*mostNesting || strings.Count(line, "{") > mostNesting || open > mostNesting {
			return n + 1
		}
	}
	return 0
}

// commentAt is where the comment of a line begins: at a "#" outside quotation marks,
// or at its end.
func commentAt(line string) int {
	quote := byte(0)
	for i := 0; i < len(line); i++ {
		switch c := line[i]; {
		case quote == '"' && c == '\\':
			i++
		case quote != 0 && c == quote:
			quote = 0
		case quote != 0:
		case c == '"' || c == '\'':
			quote = c
		case c == '#':
			return i
		}
	}
	return len(line)
}
