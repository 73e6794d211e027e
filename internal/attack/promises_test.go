package attack

import (
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// Every test that the pages on security name is there: as a function of a test file, or as a journey.
func TestPromisedTestsExist(t *testing.T) {
	text, err := os.ReadFile("../../docs/security.md")
	if err != nil {
		t.Fatal(err)
	}
	standard, err := os.ReadFile("../../docs/asvs.md")
	if err != nil {
		t.Fatal(err)
	}
	there := testFunctions(t)
	for page, least := range map[string]int{string(text): 80, string(standard): 150} {
		named := regexp.MustCompile("`(Test[A-Za-z0-9]+)`").FindAllStringSubmatch(page, -1)
		if len(named) < least {
			t.Fatalf("%d tests named; the page has over %d: %.40s", len(named), least, page)
		}
		for _, n := range named {
			if !there[n[1]] {
				t.Errorf("%.40s… names %s, which no test file has", page, n[1])
			}
		}
	}
	for _, n := range regexp.MustCompile("`(journeys/[a-z]+\\.test\\.mjs)`").FindAllStringSubmatch(string(text), -1) {
		if _, err := os.Stat(filepath.Join("../../e2e", n[1])); err != nil {
			t.Errorf("docs/security.md names %s: %v", n[1], err)
		}
	}
	// Every row of the table names at least one test.
	for line := range strings.Lines(string(text)) {
		row := strings.HasPrefix(line, "| ") && !strings.HasPrefix(line, "| ---") &&
			!strings.HasPrefix(line, "| promise |")
		if row && !strings.Contains(line, "`Test") {
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
