package say

import (
	"fmt"
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/text/language"
)

// call is one call of That in the program.
type call struct {
	at   string
	kind Kind
	args map[string]string // by name, the constructor
}

// calls reads every call of That outside tests. Kind and names have to be written out.
func calls(t *testing.T) []call {
	t.Helper()
	var out []call
	files := token.NewFileSet()
	err := filepath.WalkDir("..", func(path string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (strings.HasPrefix(d.Name(), ".") && d.Name() != ".." || d.Name() == "node_modules" ||
			d.Name() == "testdata"):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(path, ".go") || strings.HasSuffix(path, "_test.go"):
			return nil
		}
		f, err := parser.ParseFile(files, path, nil, parser.SkipObjectResolution)
		if err != nil {
			return err
		}
		ast.Inspect(f, func(n ast.Node) bool {
			c, ok := n.(*ast.CallExpr)
			if !ok || !isThat(c.Fun, f.Name.Name) {
				return true
			}
			one, err := readCall(c)
			if one.at = files.Position(c.Pos()).String(); err != nil {
				t.Errorf("%s: %v", one.at, err)
			} else {
				out = append(out, one)
			}
			return true
		})
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(out) < 5 {
		t.Fatalf("found %d calls of That; the test looks in the wrong place", len(out))
	}
	return out
}

func isThat(f ast.Expr, inPackage string) bool {
	if s, ok := f.(*ast.SelectorExpr); ok {
		x, ok := s.X.(*ast.Ident)
		return ok && x.Name == "say" && s.Sel.Name == "That"
	}
	i, ok := f.(*ast.Ident)
	return ok && inPackage == "say" && i.Name == "That"
}

func readCall(c *ast.CallExpr) (call, error) {
	kind, ok := literal(c.Args[0])
	if !ok {
		return call{}, fmt.Errorf("the kind is not written out")
	}
	out := call{kind: Kind(kind), args: map[string]string{}}
	for _, a := range c.Args[1:] {
		made, ok := a.(*ast.CallExpr)
		if ok {
			if s, on := made.Fun.(*ast.SelectorExpr); on && s.Sel.Name == "On" {
				made, ok = s.X.(*ast.CallExpr)
			}
		}
		if !ok || len(made.Args) == 0 {
			return out, fmt.Errorf("%s: an argument is not made where it is given", kind)
		}
		name, ok := literal(made.Args[0])
		if !ok {
			return out, fmt.Errorf("%s: the name of an argument is not written out", kind)
		}
		constructor := ""
		switch f := made.Fun.(type) {
		case *ast.SelectorExpr:
			constructor = f.Sel.Name
		case *ast.Ident:
			constructor = f.Name
		}
		out.args[name] = constructor
	}
	return out, nil
}

func literal(e ast.Expr) (string, bool) {
	b, ok := e.(*ast.BasicLit)
	if !ok || b.Kind != token.STRING {
		return "", false
	}
	s, err := strconv.Unquote(b.Value)
	return s, err == nil
}

// stylesOf lists the styles that the arguments of a constructor can be written in.
func (c *Catalogue) stylesOf(constructor string) []string {
	forms := append(slices.Collect(maps.Keys(c.forms)), "", "name", "Name", "a", "on", "of", "in", "gender", "select",
		"plural")
	switch constructor {
	case "Money", "Amount", "Fixed", "Share", "Day":
		return []string{""}
	case "Measured":
		return []string{"", "value", "range", "half"}
	case "Valued":
		return []string{"", "value", "range"}
	case "Count":
		return []string{"", "plural"}
	case "Month", "Span":
		return []string{"", "within", "from"}
	case "Term":
		return forms
	case "Name", "figure":
		return []string{"", "select"}
	case "All":
		out := append(slices.Collect(maps.Keys(c.lists)), "", "plural")
		for join := range c.lists {
			for _, form := range append(forms, "capital", "within", "from") {
				out = append(out, join+"."+form)
			}
		}
		return out
	case "Saying", "Chance":
		return []string{"", "capital"}
	}
	return nil // a function of the caller's, whose type is not known here
}

func TestEveryKindIsInTheCatalogueWithItsArguments(t *testing.T) {
	t.Parallel()
	c, used := InEnglish(), map[Kind]bool{}
	for _, one := range calls(t) {
		used[one.kind] = true
		m, ok := c.messages[one.kind]
		if !ok {
			t.Errorf("%s: the catalogue has no %s", one.at, one.kind)
			continue
		}
		uses := m.uses(map[string][]string{})
		if given, asked := sorted(one.args), sorted(uses); !slices.Equal(given, asked) {
			t.Errorf("%s: %s is given %v; the catalogue uses %v", one.at, one.kind, given, asked)
		}
		for name, styles := range uses {
			allowed := c.stylesOf(one.args[name])
			for _, style := range styles {
				if allowed != nil && !slices.Contains(allowed, style) {
					t.Errorf("%s: %s writes {%s, %s}, which %s cannot be", one.at, one.kind, name, style,
						one.args[name])
				}
			}
		}
	}
	for kind := range c.messages {
		if !used[kind] {
			t.Errorf("%s of the catalogue is said nowhere", kind)
		}
	}
}

func sorted[V any](m map[string]V) []string { return slices.Sorted(maps.Keys(m)) }

func TestCataloguesOfAllLanguagesLoad(t *testing.T) {
	t.Parallel()
	all, err := catalogues()
	if err != nil {
		t.Fatal(err)
	}
	english := all[language.English]
	if english == nil {
		t.Fatal("no English catalogue")
	}
	for tag, c := range all {
		for kind, m := range c.messages {
			if _, ok := english.messages[kind]; !ok {
				t.Errorf("%s: %s, which English does not have", tag, kind)
			}
			uses, known := m.uses(map[string][]string{}), english.messages[kind].uses(map[string][]string{})
			for arg := range uses {
				if known[arg] == nil {
					t.Errorf("%s: %s uses {%s}; in English it has %v", tag, kind, arg, sorted(known))
				}
			}
		}
		for kind := range english.messages {
			if _, ok := c.messages[kind]; !ok && readByBuyers(kind) {
				t.Errorf("%s: no %s", tag, kind)
			}
		}
		for _, set := range nounsOfBuyers {
			for id := range english.nouns[set] {
				if c.nouns[set][id].forms["name"] == "" {
					t.Errorf("%s: no noun %s.%s", tag, set, id)
				}
			}
		}
		for unit := range english.units {
			if _, ok := c.units[unit]; !ok {
				t.Errorf("%s: no unit %s", tag, unit)
			}
		}
	}
}

// nounsOfBuyers are the sets of words that a text for buyers takes from.
var nounsOfBuyers = []string{"slot", "verdict", "mark", "document", "size", "grade", "element", "metal", "watch_kind",
	"work", "place", "view", "section", "base_metal", "colour", "basis", "value_kind", "channel", "attitude",
	"sold_metal"}

// countsOfVerdicts are the names of the sentences that count verdicts.
var countsOfVerdicts = []string{"fits", "probably-original", "surface-redone", "probably-replaced", "does-not-belong",
	"missing", "not-examined", "not-judged", "cannot-tell"}

// readByBuyers reports whether a text for buyers can hold the sentence; the workbench
// speaks English alone.
func readByBuyers(kind Kind) bool {
	group, name, _ := strings.Cut(string(kind), ".")
	if group == "watches" { // of those, a report has how many parts have each verdict
		return slices.Contains(countsOfVerdicts, name)
	}
	return slices.Contains([]string{"tell", "phrase", "likelihood", "rules", "slip", "invoice", "memo", "bought",
		"consigned", "repair", "packing", "settlement", "report", "valuation", "object", "summary", "dating", "parts",
		"grade", "rank", "sizes", "hallmark", "density", "metal", "running", "service", "sound", "value", "basis",
		"unknown", "caution", "item"}, group) ||
		group == "market" && name != "ratios" && name != "mistakes" || group == "chart" && name != "versions"
}

func TestBrokenCataloguesSayWhere(t *testing.T) {
	t.Parallel()
	const months = "months: [a, b, c, d, e, f, g, h, i, j, k, l]\n"
	for text, want := range map[string]string{
		"language: xx-1\n":        "want a tag",
		"language: en\n":          "want 12 names",
		"language: en\nkeys: 3\n": "keys",
		"language: en\n" + months + "messages: {a: {b: 'x {n'}}":                               "a.b: at 4",
		"language: en\n" + months + "messages: {a: {b: 'x } y'}}":                              "without its {",
		"language: en\n" + months + "messages: {a: {b: '{n, plural, one {x}}'}}":               "no branch other",
		"language: en\n" + months + "messages: {a: {b: '{n, plural}'}}":                        "no branches",
		"language: en\n" + months + "messages: {a: {b: '{n, select, a {x} a {y} other {z}}'}}": "twice",
		"language: en\n" + months + "messages: {a: {b: '{}'}}":                                 "no name",
		"language: en\n" + months + "messages: {a: {b: '{n,}'}}":                               "no style",
		"language: en\n" + months + "nouns: {slot: {hands: {number: many}}}":                   "want a word",
		"language: en\n" + months + "messages: {a: {b: '" + strings.Repeat("{n, plural, other {",
			9) + strings.Repeat("}}", 9) + "'}}": "more than 6",
	} {
		if _, err := Load([]byte(text)); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%.60q: %v; want %q in it", text, err, want)
		}
	}
}

func FuzzMessage(f *testing.F) {
	for _, s := range []string{"a {b} c", "{n, plural, =0 {none} one {{n} part} other {{n, x} parts}}", "{", "}",
		"{a,b,c}"} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, text string) {
		m, err := parseMessage(text)
		if err != nil {
			return
		}
		var args []Arg
		for name := range m.uses(map[string][]string{}) {
			args = append(args, Count(name, 2))
		}
		c := &Catalogue{Tag: language.English, messages: map[Kind]message{"x": m}}
		_ = Writer{c, Plain}.String(Statement{"x", args})
	})
}
