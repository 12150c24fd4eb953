package main

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"unicode"
)

// tellers are the packages whose sentences people read in reports.
var tellers = []string{"workouts/match", "workouts/block", "workouts/correct", "workouts/library"}

// wordy tells whether a literal is a piece of a sentence: three words and more, at least one
// of them in small letters.
func wordy(s string) bool {
	words := 0
	for _, w := range strings.Fields(s) {
		if strings.IndexFunc(w, unicode.IsLower) >= 0 && strings.IndexFunc(w, func(r rune) bool { return r == '=' || r == '<' || r == '{' || r == '_' }) < 0 {
			words++
		}
	}
	return words >= 3
}

// sentences are the literals of a file that are pieces of sentences, without those that
// nobody reads: of imports, tags and panics.
func sentences(t *testing.T, path string) map[string]bool {
	t.Helper()
	parsed, err := parser.ParseFile(token.NewFileSet(), path, nil, 0)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]bool{}
	ast.Inspect(parsed, func(x ast.Node) bool {
		switch x := x.(type) {
		case *ast.ImportSpec:
			return false
		case *ast.CallExpr:
			if f, ok := x.Fun.(*ast.Ident); ok && f.Name == "panic" {
				return false
			}
		case *ast.BasicLit:
			if s, err := strconv.Unquote(x.Value); x.Kind == token.STRING && err == nil && wordy(s) && !strings.Contains(s, "svg ") {
				found[strings.Join(strings.Fields(s), " ")] = true
			}
		}
		return true
	})
	return found
}

// TestSentences keeps every sentence of every report in one file, where a reader who does not
// know the program can go through them: go test ./cmd/rungs -run Sentences -update writes it.
func TestSentences(t *testing.T) {
	byFolder := map[string]map[string]bool{}
	for _, f := range goFiles(t) {
		if f.test || !strings.HasPrefix(f.folder, "workouts/report") && !slices.Contains(tellers, f.folder) {
			continue
		}
		for s := range sentences(t, filepath.Join("..", "..", filepath.FromSlash(f.path))) {
			if byFolder[f.folder] == nil {
				byFolder[f.folder] = map[string]bool{}
			}
			byFolder[f.folder][s] = true
		}
	}
	var b strings.Builder
	b.WriteString("The sentences of all reports, and pieces of them, as the sources have them. Written by a test; read it as a stranger.\n")
	n := 0
	for _, folder := range slices.Sorted(maps.Keys(byFolder)) {
		fmt.Fprintf(&b, "\n%s\n", folder)
		for _, s := range slices.Sorted(maps.Keys(byFolder[folder])) {
			fmt.Fprintf(&b, "  %s\n", s)
			n++
		}
	}
	if n < 200 {
		t.Errorf("%d sentences, which cannot be all", n)
	}
	file := filepath.Join("testdata", "sentences.txt")
	if *update {
		if err := os.WriteFile(file, []byte(b.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	kept, err := os.ReadFile(file)
	if err != nil {
		t.Fatal(err)
	}
	if string(kept) != b.String() {
		t.Errorf("%s does not have the sentences of the sources; write it with -update and read what is new", file)
	}
}
