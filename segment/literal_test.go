package segment

import (
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"
)

// mostTyped is how many numbers this package may hold that somebody typed: no more than there are. 187 of them are the
// amounts that people mean (amount.go). When weights were typed, too (c92dfbf), there were 583, and none was fitted.
const mostTyped = 666

// TestLiterals counts the numbers in this package that were typed, and those that were fitted (files that a fit writes). 0, 1 and
// 2 do not count, nor do 10, 60 and 1000 where they turn units into others.
//
//	go test ./segment -run TestLiterals -v
func TestLiterals(t *testing.T) {
	fitted, typed := 0, 0
	files, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		name := f.Name()
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") {
			continue
		}
		source, err := parser.ParseFile(token.NewFileSet(), name, nil, parser.ParseComments)
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		ast.Inspect(source, func(x ast.Node) bool {
			if l, ok := x.(*ast.BasicLit); ok && (l.Kind == token.INT || l.Kind == token.FLOAT) {
				switch l.Value {
				case "0", "1", "2", "10", "60", "1000":
				default:
					n++
				}
			}
			return true
		})
		if ast.IsGenerated(source) {
			fitted += n
		} else {
			typed += n
			if n > 20 {
				t.Logf("%s: %d", name, n)
			}
		}
	}
	t.Logf("%d numbers were typed, %d fitted", typed, fitted)
	if typed > mostTyped {
		t.Errorf("%d numbers were typed, more than %d", typed, mostTyped)
	}
}
