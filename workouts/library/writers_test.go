package library

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"
	"time"

	"example.org/rungs/workouts"
)

// The test binary is also the process that is killed, or that writes beside
// another: TestMain hands over when this variable says so.
const writerVariable = "RUNGS_TEST_WRITER"

func TestMain(m *testing.M) {
	if job := os.Getenv(writerVariable); job != "" {
		os.Exit(writer(job))
	}
	os.Exit(m.Run())
}

// gotShared is the exit status of the writer that got the shared name.
const gotShared = 10

// writer does a job of words: "forever FOLDER FIRST" replaces a workout by one
// of two texts for ever, "names FOLDER PREFIX N" adds N workouts under names of its
// own, and tries for a name and for a rename that the other one tries for too.
func writer(job string) int {
	words := strings.Split(job, "|")
	l := Library{words[1]}
	switch words[0] {
	case "forever":
		first, _ := strconv.Atoi(words[2])
		for i := first; ; i++ {
			if err := l.Add("tuesday", versions[i%2], true); err != nil {
				fmt.Fprintln(os.Stderr, err)
				return 1
			}
			if i == first {
				fmt.Println("ready")
			}
		}
	case "names":
		fmt.Println("ready")
		bufio.NewReader(os.Stdin).ReadByte() // until all are ready
		n, _ := strconv.Atoi(words[3])
		for i := range n {
			if err := l.Add(fmt.Sprintf("%s-%d", words[2], i), versions[0], false); err != nil {
				fmt.Fprintln(os.Stderr, err)
				return 1
			}
		}
		if err := l.Rename("moved", "moved-by-"+words[2], false); err != nil && !errors.Is(err, ErrUnknown) {
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
		switch err := l.Add("shared", "name: "+words[2]+"\n\n5km", false); {
		case err == nil:
			return gotShared
		case !errors.Is(err, ErrTaken):
			fmt.Fprintln(os.Stderr, err)
			return 1
		}
	}
	return 0
}

// versions are two texts that are told apart at every byte count.
var versions = [2]string{
	"name: old\n\n" + strings.Repeat("15:00 warm\n", 300),
	"name: new\n\n" + strings.Repeat("400m\n", 900),
}

func start(job ...string) *exec.Cmd {
	c := exec.Command(os.Args[0], "-test.run=^$")
	c.Env = append(os.Environ(), writerVariable+"="+strings.Join(job, "|"))
	c.Stderr = os.Stderr
	return c
}

// times is how often the violent tests are done by default, and when the long
// measurements are wanted.
func times(few, many int) int {
	if thorough() {
		return many
	}
	return few
}

// Killed while it writes, again and again, a library is whole each time, holds
// the old text or the new, and can be changed at once.
func TestKilledWriterLeavesALibraryWhole(t *testing.T) {
	l := folder(t)
	if err := l.Add("tuesday", versions[0], false); err != nil {
		t.Fatal(err)
	}
	if err := l.Add("thursday", "5km", false); err != nil {
		t.Fatal(err)
	}
	texts := map[string]int{}
	leftovers := 0
	for i := range times(30, 200) {
		c := start("forever", l.Folder, strconv.Itoa(i%2))
		out, err := c.StdoutPipe()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.Start(); err != nil {
			t.Fatal(err)
		}
		bufio.NewReader(out).ReadString('\n')
		time.Sleep(time.Duration(rand.IntN(20_000)) * time.Microsecond)
		c.Process.Kill()
		c.Wait()

		for file := range contents(t, l) {
			if isTemporary(file) {
				leftovers++
			}
		}
		entries, damaged, err := l.List()
		if err != nil || len(damaged) > 0 || len(entries) != 2 {
			t.Fatalf("kill %d: %v, %v, %d workouts", i, err, damaged, len(entries))
		}
		e, err := l.Get("tuesday")
		if err != nil {
			t.Fatal(err)
		}
		texts[e.Workout.Name]++
		if n := len(e.Workout.Items); n != 300 && n != 900 {
			t.Fatalf("kill %d: %d steps", i, n)
		}
		if err := l.Add("thursday", "6km", true); err != nil {
			t.Fatalf("after kill %d: %v", i, err)
		}
		if n := len(contents(t, l)); n != 2 {
			t.Fatalf("kill %d left %d files after a change", i, n)
		}
	}
	t.Logf("old or new: %v; %d kills left a temporary file, cleared by the next change", texts, leftovers)
	if len(texts) != 2 {
		t.Errorf("only one of the two texts was ever seen: %v", texts)
	}
}

// Two processes that change a library at once lose nothing: each finds all it
// added, one of them gets the name that both want, and one the workout that
// both rename.
func TestTwoWritersLoseNothing(t *testing.T) {
	for i := range times(15, 100) {
		l := folder(t)
		if err := l.Add("moved", "7km", false); err != nil {
			t.Fatal(err)
		}
		const each = 5
		var writers []*exec.Cmd
		var signals []io.Writer
		for _, name := range []string{"a", "b"} {
			c := start("names", l.Folder, name, strconv.Itoa(each))
			in, err := c.StdinPipe()
			if err != nil {
				t.Fatal(err)
			}
			out, err := c.StdoutPipe()
			if err != nil {
				t.Fatal(err)
			}
			if err := c.Start(); err != nil {
				t.Fatal(err)
			}
			bufio.NewReader(out).ReadString('\n')
			writers, signals = append(writers, c), append(signals, in)
		}
		for _, s := range signals {
			s.Write([]byte{'\n'})
		}
		won := 0
		for _, c := range writers {
			err := c.Wait()
			var exit *exec.ExitError
			switch {
			case errors.As(err, &exit) && exit.ExitCode() == gotShared:
				won++
			case err != nil:
				t.Fatalf("round %d: %v", i, err)
			}
		}
		entries, damaged, err := l.List()
		if err != nil || len(damaged) > 0 {
			t.Fatalf("round %d: %v %v", i, err, damaged)
		}
		moved := 0
		for _, e := range entries {
			if strings.HasPrefix(e.Name, "moved-by-") {
				moved++
			}
		}
		if moved != 1 {
			t.Fatalf("round %d: %d writers renamed one workout", i, moved)
		}
		if want := 2*each + 2; len(entries) != want || won != 1 {
			t.Fatalf("round %d: %d workouts, want %d; %d got the shared name", i, len(entries), want, won)
		}
	}
}

// Change hands over the text as it is and keeps what comes of it, unless it is refused.
func TestChange(t *testing.T) {
	l := Library{Folder: filepath.Join(t.TempDir(), "new")}
	write := func(name, text string, keep bool) (was string, err error) {
		err = l.Change(name, func(now string, there bool) (string, bool, error) {
			if was = "none"; there {
				was = now
			}
			return text, keep, nil
		})
		return was, err
	}
	const first, second = "8km easy # slow\n", "9km easy\n"
	for _, step := range []struct {
		text string
		keep bool
		was  string
	}{{"", false, "none"}, {first, true, "none"}, {second, true, first}, {second, true, second}, {"", false, second}, {first, true, "none"}} {
		if was, err := write("easy", step.text, step.keep); err != nil || was != step.was {
			t.Errorf("%+v: was %q, %v", step, was, err)
		}
	}
	var found workouts.Diagnostics
	if _, err := write("easy", "8km eazy", true); !errors.As(err, &found) {
		t.Errorf("a text with a mistake: %v", err)
	}
	if _, err := write("../easy", first, true); !errors.Is(err, ErrName) {
		t.Errorf("no name: %v", err)
	}
	refused := errors.New("no")
	if err := l.Change("easy", func(string, bool) (string, bool, error) { return second, true, refused }); !errors.Is(err, refused) {
		t.Errorf("refused by edit: %v", err)
	}
	if e, err := l.Get("easy"); err != nil || e.Text != first {
		t.Errorf("%q, %v", e.Text, err)
	}
}
