package layout

import (
	"go/ast"
	"go/parser"
	"go/token"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// silent are the packages that return statements, never sentences, with the functions
// that make their errors: what is said there is an error's, not the answer's.
var silent = map[string][]string{
	"deal":      {"bad", "inRange", "checkTiers"},
	"market":    {"Refuse"},
	"timing":    {},
	"photo":     {"pickError", "countOf"},
	"opinion":   {},
	"telling":   {},
	"condition": {},
	"refbook":   {},
	"gate":      {},
	"lettering": {},
}

// onlyFiles narrows a package of which other parts still hold words.
var onlyFiles = map[string]string{"refbook": "compare*.go"}

// namesOfThings are names that files and JSON keep; the list only shrinks.
var namesOfThings = []string{
	"year of making", "venue and basis", "one grade better", "a tenth more", "ten years later",
	"photographs, insurance, carriage", "carriage and insurance",
	"plots without an applied marker aged more", "plots without an applied marker aged less",
	"one plot unlike the others", "some plots unlike the others", "hands unlike the plots", "too few plots to judge",
	"no luminous plots found",
	"6H minus CH", "greatest deviation from the mean", "20 mm or less", "lug to lug",
	"percent under the stated pull", "looked for, not found", "clock not corrected", "does not belong", "does not fit",
}

// wordsOf finds the words of a text; a verb of package fmt is none.
var wordsOf = regexp.MustCompile(`(^|[ (“])[\pL’']{2,}`)

const fewestWords = 3

// sentences are the texts of a file with three words or more, outside errors.
func (s source) sentences(errorMakers []string) map[token.Pos]string {
	found, left := map[token.Pos]string{}, map[ast.Node]bool{}
	leave := func(nodes ...ast.Expr) {
		for _, n := range nodes {
			ast.Inspect(n, func(n ast.Node) bool { left[n] = true; return true })
		}
	}
	ast.Inspect(s.file, func(n ast.Node) bool {
		switch n := n.(type) {
		case *ast.FuncDecl:
			return !(n.Recv != nil && n.Name.Name == "Error") && !onlyError(n.Type)
		case *ast.CallExpr:
			if makesError(n.Fun, errorMakers) {
				leave(n.Args...)
			}
		case *ast.CompositeLit:
			if t, ok := n.Type.(*ast.Ident); ok && strings.HasSuffix(t.Name, "Error") {
				leave(n.Elts...)
			} else if t, ok := n.Type.(*ast.SelectorExpr); ok && strings.HasSuffix(t.Sel.Name, "Error") {
				leave(n.Elts...)
			}
		case *ast.Field:
			if n.Tag != nil {
				left[n.Tag] = true
			}
		case *ast.BasicLit:
			text, err := strconv.Unquote(n.Value)
			if n.Kind == token.STRING && err == nil && !left[n] && strings.Contains(text, " ") &&
				len(wordsOf.FindAllString(text, -1)) >= fewestWords && !slices.Contains(namesOfThings, text) {
				found[n.Pos()] = text
			}
		}
		return true
	})
	return found
}

// onlyError reports whether a function returns an error and nothing else, as those that
// check what goes in.
func onlyError(f *ast.FuncType) bool {
	if f.Results == nil || len(f.Results.List) != 1 {
		return false
	}
	result, ok := f.Results.List[0].Type.(*ast.Ident)
	return ok && result.Name == "error"
}

// makesError reports whether a call makes an error: of package errors or fmt, or one of
// the package's own.
func makesError(f ast.Expr, own []string) bool {
	switch f := f.(type) {
	case *ast.SelectorExpr:
		x, ok := f.X.(*ast.Ident)
		return ok && (x.Name == "errors" || x.Name == "fmt" && f.Sel.Name == "Errorf") ||
			slices.Contains(own, f.Sel.Name)
	case *ast.Ident:
		return slices.Contains(own, f.Name)
	}
	return false
}

// TestNoSentencesWhereStatementsAreReturned fails where a package that computes or
// composes writes English instead of returning a statement of package say.
func TestNoSentencesWhereStatementsAreReturned(t *testing.T) {
	looked := map[string]bool{}
	for _, s := range sources(t) {
		dir := filepath.Dir(s.path)
		errorMakers, watched := silent[dir]
		if only, narrow := onlyFiles[dir]; narrow {
			in, err := filepath.Match(only, filepath.Base(s.path))
			watched = watched && in && err == nil
		}
		if !watched || s.isTest() {
			continue
		}
		looked[dir] = true
		for pos, text := range s.sentences(errorMakers) {
			t.Errorf("%s:%d: %q is English: return a statement and put its words into say/catalogue", s.path,
				s.line(pos), text)
		}
	}
	for dir := range silent {
		if !looked[dir] {
			t.Errorf("%s has no file; the test looks in the wrong place", dir)
		}
	}
}

// parsed is a file given as text.
func parsed(t *testing.T, text string) source {
	t.Helper()
	fset := token.NewFileSet()
	file, err := parser.ParseFile(fset, "p.go", text, 0)
	if err != nil {
		t.Fatal(err)
	}
	return source{"p.go", fset, file, []byte(text)}
}

func TestASentenceIsFoundAndAnErrorIsNot(t *testing.T) {
	for text, want := range map[string]int{
		`var x = "the price is too high"`: 1,
		`var x = "service"`:               0,
		`var x = "year of making"`:        0,
		`func f() (int, error) { return 0, errors.New("all of it is wrong") }`:          0,
		`func f() (int, error) { return 0, fmt.Errorf("no such thing %d", 3) }`:         0,
		`func f() (int, error) { return 0, bad("price", 3, "a price above nought") }`:   0,
		`func f() string { return fmt.Sprintf("asks from %d to %d bring more", 1, 2) }`: 1,
	} {
		if got := len(parsed(t, "package p\n"+text).sentences([]string{"bad"})); got != want {
			t.Errorf("%s: %d sentences found; want %d", text, got, want)
		}
	}
}
