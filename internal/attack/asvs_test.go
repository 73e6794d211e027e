package attack

import (
	"fmt"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// asvsLevelTwo has, for each section of the standard, how many requirements are of the levels 1 and 2: within a section
// they come first. Counted in the published table of OWASP ASVS 5.0.0 (CC BY-SA 4.0), which states 70 and 183.
var asvsLevelTwo = map[string][]int{
	"1": {2, 9, 11, 3, 2}, "2": {3, 3, 4, 1}, "3": {0, 2, 4, 6, 5, 0, 2}, "4": {3, 1, 2, 4}, "5": {1, 3, 2, 3},
	"6": {3, 12, 4, 4, 5, 3, 0, 4}, "7": {3, 4, 2, 5, 2, 2}, "8": {2, 3, 1, 1}, "9": {3, 4},
	"10": {2, 2, 4, 11, 5, 2, 3}, "11": {2, 3, 3, 4, 1, 1}, "12": {3, 2, 4}, "13": {1, 5, 2, 5}, "14": {2, 4, 3},
	"15": {3, 3, 7}, "16": {1, 5, 4, 3, 3}, "17": {1, 4, 2},
}

// asvsNumbers are all of them, in the order of the standard.
func asvsNumbers() (out []string) {
	for chapter := 1; chapter <= len(asvsLevelTwo); chapter++ {
		for section, n := range asvsLevelTwo[fmt.Sprint(chapter)] {
			for i := range n {
				out = append(out, fmt.Sprintf("%d.%d.%d", chapter, section+1, i+1))
			}
		}
	}
	return out
}

// The page has every requirement of both levels, in order, none twice; what is held names a test.
func TestEveryRequirementStandsOnce(t *testing.T) {
	all := asvsNumbers()
	if len(all) != 70+183 {
		t.Fatalf("%d requirements; the standard has 253", len(all))
	}
	text, err := os.ReadFile("../../docs/asvs.md")
	if err != nil {
		t.Fatal(err)
	}
	row := regexp.MustCompile(`^\| (\d+\.\d+\.\d+)(?:-(\d+\.\d+\.\d+))? \| [^|]+ \| ([^|]+) \| [^|]+ \| ([^|]+) \|$`)
	next := 0
	for line := range strings.Lines(string(text)) {
		m := row.FindStringSubmatch(strings.TrimRight(line, "\n"))
		if m == nil {
			continue
		}
		last := m[1]
		if m[2] != "" {
			last = m[2]
		}
		from, to := slices.Index(all, m[1]), slices.Index(all, last)
		if from != next || to < from {
			t.Fatalf("%s to %s stands where %s should", m[1], last, all[min(next, len(all)-1)])
		}
		next = to + 1
		if state := m[3]; state == "yes" && !strings.Contains(m[4], "`Test") {
			t.Errorf("%s is held, says the page, and no test shows it", m[1])
		}
	}
	if next != len(all) {
		t.Errorf("the page ends before %s", all[next])
	}
}
