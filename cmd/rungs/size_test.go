package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"maps"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// branches counts the ways through a function: one, and one more for each if, loop, case
// and logical operator (McCabe 1976, IEEE Trans. Softw. Eng. 2:308-320). Functions inside
// it are counted with it.
func branches(f ast.Node) int {
	n := 1
	ast.Inspect(f, func(x ast.Node) bool {
		switch x := x.(type) {
		case *ast.IfStmt, *ast.ForStmt, *ast.RangeStmt:
			n++
		case *ast.CaseClause:
			if x.List != nil {
				n++
			}
		case *ast.CommClause:
			if x.Comm != nil {
				n++
			}
		case *ast.BinaryExpr:
			if x.Op == token.LAND || x.Op == token.LOR {
				n++
			}
		}
		return true
	})
	return n
}

// reason is how a comment defends a size beyond the limits.
var reason = regexp.MustCompile(`(Branches|Size): \w+`)

// stillLarge are the functions above the limit that give no reason. The list only ever gets
// shorter: nothing is added to it, and a function that is mended leaves it.
var stillLarge = []string{
	"segment.consistentShape",
	"segment.contrasts",
	"segment.fitBoth",
	"segment.leftOvers",
	"segment.missing",
	"segment.readOuter",
	"segment.stepsInside",
	"segment.variants",
	"segment/ability.Beyond",
	"segment/signal.part",
}

// A function of more than 15 branches says why in its comment ("Branches: ...").
func TestFunctionsAreSimple(t *testing.T) {
	const most = 15
	found := map[string]bool{}
	for _, f := range goFiles(t) {
		if f.test {
			continue
		}
		parsed, err := parser.ParseFile(token.NewFileSet(), filepath.Join("..", "..", filepath.FromSlash(f.path)), nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		for _, d := range parsed.Decls {
			fn, ok := d.(*ast.FuncDecl)
			if !ok {
				continue
			}
			n := branches(fn)
			if n <= most || fn.Doc != nil && reason.MatchString(fn.Doc.Text()) {
				continue
			}
			name := f.folder + "." + fn.Name.Name
			found[name] = true
			if !slices.Contains(stillLarge, name) {
				t.Errorf("%s: %s has %d branches, more than %d", f.path, name, n, most)
			}
		}
	}
	for _, name := range stillLarge {
		if !found[name] {
			t.Errorf("%s is mended: take it off the list", name)
		}
	}
}

// A package of more than 2,000 lines of code says why in its comment ("Size: ...").
func TestPackagesAreSmall(t *testing.T) {
	const most = 2000
	code, excused := map[string]int{}, map[string]bool{}
	for _, f := range goFiles(t) {
		if !f.test {
			code[f.folder] += f.code
			excused[f.folder] = excused[f.folder] || reason.MatchString(f.about)
		}
	}
	for _, folder := range slices.Sorted(maps.Keys(code)) {
		if code[folder] > most && !excused[folder] {
			t.Errorf("%s has %d lines of code, more than %d, and its comment does not say why", folder, code[folder], most)
		}
	}
}

// codeLines counts lines that are neither empty nor nothing but a comment.
func codeLines(src string) (n int) {
	for line := range strings.Lines(src) {
		if line = strings.TrimSpace(line); line != "" && !strings.HasPrefix(line, "//") {
			n++
		}
	}
	return n
}
