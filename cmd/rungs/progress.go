package main

import (
	"fmt"
	"io"
	"os"
	"strings"
	"time"

	"golang.org/x/term"

	"example.org/rungs/workouts/figures"
)

// progress draws a bar while files are read, on a terminal only.
func progress(w io.Writer) func(done, of int) {
	f, ok := w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil
	}
	columns, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		columns = 80
	}
	var last time.Time
	return func(done, of int) {
		if done == of {
			fmt.Fprintf(f, "\r%*s\r", len(bar(done, of, columns)), "")
			return
		}
		if now := time.Now(); now.Sub(last) > 100*time.Millisecond {
			last = now
			io.WriteString(f, "\r"+bar(done, of, columns))
		}
	}
}

// bar is one line of progress. It leaves the last column free, so that the
// terminal does not go on to the next line.
func bar(done, of, columns int) string {
	told := fmt.Sprintf("%*d of %s", len(fmt.Sprint(of)), done, figures.Plural(of, "file"))
	wide := min(30, columns-1-len("[] ")-len(told))
	if wide < 5 {
		return told[:max(0, min(len(told), columns-1))]
	}
	n := wide * done / max(of, 1)
	return "[" + strings.Repeat("=", n) + strings.Repeat(" ", wide-n) + "] " + told
}
