package web

import (
	"go/ast"
	"go/constant"
	"go/parser"
	"go/token"
	"os"
	"strings"
	"testing"
)

// registered are the addresses that the files of this package hand to a ServeMux.
func registered(t *testing.T) map[string]bool {
	t.Helper()
	entries, err := os.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	out, fset := map[string]bool{}, token.NewFileSet()
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), ".go") || strings.HasSuffix(e.Name(), "_test.go") {
			continue
		}
		f, err := parser.ParseFile(fset, e.Name(), nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(f, func(n ast.Node) bool {
			c, ok := n.(*ast.CallExpr)
			if !ok || len(c.Args) != 2 {
				return true
			}
			if s, ok := c.Fun.(*ast.SelectorExpr); ok && (s.Sel.Name == "Handle" || s.Sel.Name == "HandleFunc") {
				pattern := literal(c.Args[0])
				if pattern == "" {
					t.Errorf("%s: an address that this test cannot read", fset.Position(c.Pos()))
				}
				out[pattern] = true
			}
			return true
		})
	}
	return out
}

// literal is the text of a string, of benchPath, or of a sum of both.
func literal(e ast.Expr) string {
	switch e := e.(type) {
	case *ast.BasicLit:
		return constant.StringVal(constant.MakeFromLiteral(e.Value, e.Kind, 0))
	case *ast.Ident:
		if e.Name == "benchPath" {
			return benchPath
		}
	case *ast.BinaryExpr:
		return literal(e.X) + literal(e.Y)
	}
	return ""
}

// unasked are the addresses at which nobody is asked for a name.
var unasked = []string{"GET /assets/", "GET /healthz", "GET /sign-in", "POST /sign-in",
	"POST /sign-in/passkey", "POST /sign-in/passkey/ask", "GET /feeds/{key}/calendar.ics",
	"GET /verify", "GET /verify/{number}", "GET /private/{token}",
	"GET /private/{token}/pictures/{sha}"}

func TestEveryAddressAsksForARight(t *testing.T) {
	all := registered(t)
	if len(all) < 100 {
		t.Fatalf("%d addresses found", len(all))
	}
	for _, pattern := range unasked {
		if !all[pattern] {
			t.Errorf("%s is gone", pattern)
		}
		if _, path, _ := strings.Cut(pattern, " "); !open(strings.ReplaceAll(path, "{key}", "k")) {
			t.Errorf("%s asks for a name", pattern)
		}
		delete(all, pattern)
	}
	for pattern := range all {
		if _, ok := needs[pattern]; !ok {
			t.Errorf("%s: no right is named for it in rights.go, so that only owners may ask for it", pattern)
		}
	}
	for pattern := range needs {
		if !all[pattern] {
			t.Errorf("%s of rights.go is gone", pattern)
		}
	}
}

// Needs is what each address asks for, for tests that walk them.
var Needs = needs
