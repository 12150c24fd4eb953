package main

import (
	"bytes"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const modulePath = "example.org/rungs"

// A goFile is a Go file of the module.
type goFile struct {
	path    string // from the root of the module, with slashes
	folder  string
	test    bool
	imports []string
	doc     bool // a package comment
	lines   int
	code    int    // lines of code
	about   string // the package comment
}

// goFiles reads all Go files of the module.
func goFiles(t *testing.T) []goFile {
	t.Helper()
	root := filepath.Join("..", "..")
	var files []goFile
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name := d.Name()
		if d.IsDir() && path != root && (name == "testdata" || strings.HasPrefix(name, ".")) {
			return fs.SkipDir
		}
		if d.IsDir() || filepath.Ext(name) != ".go" {
			return nil
		}
		src, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), path, src, parser.ImportsOnly|parser.ParseComments)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		f := goFile{
			path:   filepath.ToSlash(rel),
			folder: filepath.ToSlash(filepath.Dir(rel)),
			test:   strings.HasSuffix(name, "_test.go"),
			doc:    parsed.Doc != nil,
			lines:  bytes.Count(src, []byte("\n")),
			code:   codeLines(string(src)),
			about:  parsed.Doc.Text(),
		}
		for _, spec := range parsed.Imports {
			p, err := strconv.Unquote(spec.Path.Value)
			if err != nil {
				return err
			}
			f.imports = append(f.imports, p)
		}
		files = append(files, f)
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(files) < 20 {
		t.Fatalf("%d Go files found, which cannot be all", len(files))
	}
	return files
}

// Arrows point one way: cmd to workouts to segment. A test of segment may look
// back, to compare in the notation; changepoint stands alone even in its tests.
func TestImportsPointOneWay(t *testing.T) {
	for _, f := range goFiles(t) {
		top, _, _ := strings.Cut(f.folder, "/")
		for _, p := range f.imports {
			ours, ok := strings.CutPrefix(p, modulePath+"/")
			if !ok {
				continue
			}
			to, _, _ := strings.Cut(ours, "/")
			switch {
			case to == "cmd":
				t.Errorf("%s imports a command, %s", f.path, p)
			case !f.test && top == "segment" && to != "segment":
				t.Errorf("%s imports %s: segment knows nothing of %s", f.path, p, to)
			case f.folder == "segment/changepoint" && ours != f.folder:
				t.Errorf("%s imports %s: changepoint knows nothing of running", f.path, p)
			case !f.test && ours == "segment/simulate" && f.folder != "workouts/block/demo":
				t.Errorf("%s imports %s: simulated runs are for tests and the demo", f.path, p)
			}
		}
	}
}

// Walls inside workouts: what a package may import of it. A package that is not here may
// import all but words.
var walls = map[string][]string{
	"workouts/trend":    {},
	"workouts/figures":  {"workouts/trend"},
	"workouts":          {"workouts/figures"},
	"workouts/athlete":  {"workouts", "workouts/figures", "workouts/trend"},
	"workouts/notation": {"workouts", "workouts/figures"},
	"workouts/match":    {"workouts", "workouts/figures", "workouts/trend", "workouts/notation"},
	"workouts/fitfile":  {"workouts", "workouts/figures", "workouts/notation"},
	"workouts/likeness": {"workouts", "workouts/athlete", "workouts/figures", "workouts/trend"},
}

// joins is where numbers and words meet beside the command: nothing but the command imports it.
const joins = "workouts/desk"

// Numbers import no words, and no words import the words of another, but that a plan while it
// is typed is told in the words of a plan.
func TestWordsStandLast(t *testing.T) {
	shared := []string{"workouts/report", "workouts/report/chart"}
	for _, f := range goFiles(t) {
		if f.test {
			continue
		}
		for _, p := range f.imports {
			to, ours := strings.CutPrefix(p, modulePath+"/")
			if !ours || !strings.HasPrefix(to, "workouts") {
				continue
			}
			if may, ok := walls[f.folder]; ok && !slices.Contains(may, to) {
				t.Errorf("%s imports %s, which stands above it", f.path, to)
			}
			if f.folder == "workouts/report/draft" && to == "workouts/report/session" {
				continue
			}
			words := strings.HasPrefix(to, "workouts/report")
			switch {
			case to == joins && f.folder != "cmd/rungs":
				t.Errorf("%s imports %s, which stands above it", f.path, to)
			case f.folder == joins:
			case words && strings.HasPrefix(f.folder, "workouts/report") && !slices.Contains(shared, to):
				t.Errorf("%s imports the words of another package, %s", f.path, to)
			case words && strings.HasPrefix(f.folder, "workouts") && !strings.HasPrefix(f.folder, "workouts/report"):
				t.Errorf("%s imports words, %s", f.path, to)
			case f.folder == "workouts/report/chart":
				t.Errorf("%s imports %s: pictures know nothing of workouts", f.path, to)
			}
		}
	}
}

// testOnly are the modules that only tests may use.
var testOnly = []string{
	"github.com/chromedp", "github.com/google/go-cmp", "github.com/rogpeppe/go-internal/testscript",
	"github.com/tkrajina/gpxgo", "golang.org/x/net", "pgregory.net/rapid", "testing",
}

func TestTestModulesStayInTests(t *testing.T) {
	for _, f := range goFiles(t) {
		for _, p := range f.imports {
			banned := slices.ContainsFunc(testOnly, func(m string) bool { return p == m || strings.HasPrefix(p, m+"/") })
			if banned && !f.test && f.folder != "workouts/internal/drawn" { // which only tests import
				t.Errorf("%s imports %s outside a test", f.path, p)
			}
		}
	}
}

func TestFilesAreSmall(t *testing.T) {
	const most = 400
	still := []string{"segment/amount.go", "segment/structure.go"} // to be split
	for _, f := range goFiles(t) {
		if !f.test && f.lines > most && !slices.Contains(still, f.path) {
			t.Errorf("%s has %d lines, more than %d: it holds more than one thing", f.path, f.lines, most)
		}
	}
}

func TestPackagesAreDescribed(t *testing.T) {
	described := map[string]bool{}
	for _, f := range goFiles(t) {
		if !f.test {
			described[f.folder] = described[f.folder] || f.doc
		}
	}
	for _, folder := range slices.Sorted(maps.Keys(described)) {
		if !described[folder] {
			t.Errorf("no file of %s has a package comment", folder)
		}
	}
}

func TestTopLevelIsFixed(t *testing.T) {
	for _, f := range goFiles(t) {
		top, _, _ := strings.Cut(f.folder, "/")
		if !slices.Contains([]string{"cmd", "segment", "workouts"}, top) {
			t.Errorf("%s: Go code lives under cmd, segment or workouts", f.path)
		}
	}
}
