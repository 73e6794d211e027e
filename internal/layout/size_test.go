package layout

import (
	"bufio"
	"bytes"
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"os"
	"os/exec"
	"path/filepath"
	"sort"
	"strings"
	"testing"
	"unicode/utf8"
)

// The sizes that CONTRIBUTING.md names.
const (
	mostFunctionLines = 60
	mostMethods       = 90
	mostColumns       = 120
	tabColumns        = 4
)

// unfinished are packages whose lines are still longer; the list only shrinks.
var unfinished = map[string]bool{
	"condition":                     true,
	"internal/shop":                 true,
	"internal/shop/desk":            true,
	"internal/shop/intake":          true,
	"internal/shop/ledger":          true,
	"internal/shop/people":          true,
	"internal/shop/trade":           true,
	"internal/store":                true,
	"internal/storetest":            true,
	"internal/web":                  true,
	"internal/web/form":             true,
	"internal/web/pages/clients":    true,
	"internal/web/pages/photobench": true,
	"internal/web/pages/whole":      true,
	"notes":                         true,
	"opinion":                       true,
	"say":                           true,
	"tables":                        true,
}

// tooLarge are the functions and types that are still larger; the list only shrinks.
var tooLarge = map[string]bool{
	"internal/shop.Shop": true,
	"notes.rates":        true,
	"opinion.forming":    true,
}

// source is one file that somebody wrote.
type source struct {
	path string // within the module
	fset *token.FileSet
	file *ast.File
	text []byte
}

// sources are the Go files of the module that no program wrote.
func sources(t *testing.T) []source {
	t.Helper()
	out, err := exec.Command("go", "list", "-m", "-f", "{{.Dir}}").Output()
	if err != nil {
		t.Fatalf("go list -m: %v", err)
	}
	root := strings.TrimSpace(string(out))
	var all []source
	err = filepath.WalkDir(root, func(path string, d os.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "node_modules" || d.Name() == "testdata" || d.Name() == ".git"):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_templ.go"):
			return nil
		}
		text, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		fset := token.NewFileSet()
		file, err := parser.ParseFile(fset, path, text, parser.ParseComments|parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		rel, err := filepath.Rel(root, path)
		all = append(all, source{filepath.ToSlash(rel), fset, file, text})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 100 {
		t.Fatalf("only %d files found under %s", len(all), root)
	}
	return all
}

// isTest reports whether a file holds tests; tables of cases may be as long as they need.
func (s source) isTest() bool {
	return strings.HasSuffix(s.path, "_test.go") || strings.HasPrefix(s.path, "internal/storetest/")
}

func TestFunctionsAreShort(t *testing.T) {
	for _, s := range sources(t) {
		for _, d := range s.file.Decls {
			f, ok := d.(*ast.FuncDecl)
			if !ok || s.isTest() {
				continue
			}
			if n := s.line(f.End()) - s.line(f.Pos()) + 1; n > mostFunctionLines &&
				!tooLarge[filepath.Dir(s.path)+"."+f.Name.Name] {
				t.Errorf("%s:%d: %s has %d lines, more than %d", s.path, s.line(f.Pos()), f.Name.Name, n,
					mostFunctionLines)
			}
		}
	}
}

func TestTypesHaveFewMethods(t *testing.T) {
	methods := map[string]int{}
	for _, s := range sources(t) {
		for _, d := range s.file.Decls {
			if f, ok := d.(*ast.FuncDecl); ok && f.Recv != nil && !s.isTest() {
				methods[filepath.Dir(s.path)+"."+receiver(f.Recv.List[0].Type)]++
			}
		}
	}
	for name, n := range methods {
		if n > mostMethods && !tooLarge[name] {
			t.Errorf("%s has %d methods, more than %d", name, n, mostMethods)
		}
	}
}

func receiver(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.StarExpr:
		return receiver(e.X)
	case *ast.IndexExpr:
		return receiver(e.X)
	case *ast.Ident:
		return e.Name
	}
	return "?"
}

func (s source) line(p token.Pos) int { return s.fset.Position(p).Line }

// TestLinesAreShort leaves out lines that hold a long string: in a table of data a row
// reads better on one line.
func TestLinesAreShort(t *testing.T) {
	var long []string
	for _, s := range sources(t) {
		if unfinished[filepath.Dir(s.path)] {
			continue
		}
		data := s.stringLines()
		lines := bufio.NewScanner(bytes.NewReader(s.text))
		lines.Buffer(nil, 1<<20)
		for n := 1; lines.Scan(); n++ {
			if output(s.path, lines.Text()) {
				continue
			}
			if w := columns(lines.Text()); w > mostColumns && !data[n] {
				long = append(long, fmt.Sprintf("%s:%d: %d columns", s.path, n, w))
			}
		}
	}
	sort.Strings(long)
	for _, l := range long {
		t.Error(l)
	}
}

// output reports whether a line may be what an example prints, which cannot be wrapped.
func output(path, line string) bool {
	return strings.HasSuffix(path, "example_test.go") && strings.HasPrefix(strings.TrimSpace(line), "//")
}

// stringLines are the lines on which a string stands that is long by itself.
func (s source) stringLines() map[int]bool {
	out := map[int]bool{}
	ast.Inspect(s.file, func(n ast.Node) bool {
		if l, ok := n.(*ast.BasicLit); ok && l.Kind == token.STRING && len(l.Value) > mostColumns/3 {
			for i := s.line(l.Pos()); i <= s.line(l.End()); i++ {
				out[i] = true
			}
		}
		return true
	})
	return out
}

func columns(line string) int {
	return utf8.RuneCountInString(line) + strings.Count(line, "\t")*(tabColumns-1)
}
