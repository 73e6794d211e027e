package attack

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every test that the page of promises names is there: as a function of a test file, or as a journey.
func TestPromisedTestsExist(t *testing.T) {
	text, err := os.ReadFile("../../docs/security.md")
	if err != nil {
		t.Fatal(err)
	}
	there := testFunctions(t)
	named := regexp.MustCompile("`(Test[A-Za-z0-9]+)`").FindAllStringSubmatch(string(text), -1)
	if len(named) < 100 {
		t.Fatalf("%d tests named; the page has over 100", len(named))
	}
	for _, n := range named {
		if !there[n[1]] {
			t.Errorf("docs/security.md names %s, which no test file has", n[1])
		}
	}
	for _, n := range regexp.MustCompile("`(journeys/[a-z]+\\.test\\.mjs)`").FindAllStringSubmatch(string(text), -1) {
		if _, err := os.Stat(filepath.Join("../../e2e", n[1])); err != nil {
			t.Errorf("docs/security.md names %s: %v", n[1], err)
		}
	}
	// Every row of both tables names at least one test, but for what is not used here.
	for line := range strings.Lines(string(text)) {
		row := strings.HasPrefix(line, "| ") && !strings.HasPrefix(line, "| ---") &&
			!strings.HasPrefix(line, "| promise |") && !strings.HasPrefix(line, "| chapter |")
		if row && !strings.Contains(line, "`Test") && !strings.Contains(line, "not used | –") {
			t.Errorf("no test is named: %.80s", line)
		}
	}
}

// testFunctions are the names of all test functions of the module.
func testFunctions(t *testing.T) map[string]bool {
	t.Helper()
	function := regexp.MustCompile(`(?m)^func (Test[A-Za-z0-9]+)\(`)
	out := map[string]bool{}
	err := filepath.WalkDir("../..", func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && (d.Name() == "node_modules" || d.Name() == ".git") {
			return filepath.SkipDir
		}
		if !strings.HasSuffix(path, "_test.go") {
			return nil
		}
		b, err := os.ReadFile(path)
		for _, m := range function.FindAllSubmatch(b, -1) {
			out[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return out
}
