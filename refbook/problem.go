package refbook

import (
	"fmt"
	"sort"
	"strings"
)

// Problem is one thing wrong with the book: where, what was found, what would be
// right.
type Problem struct {
	File  string `json:"file"`
	Line  int    `json:"line"` // counted from 1; 0 where there is no file
	Path  string `json:"path"` // such as references[2].slots[0].variants[1].windows[0]
	Found string `json:"found"`
	Hint  string `json:"hint"`
}

// String says the problem in one line, file and line first.
func (p Problem) String() string {
	var b strings.Builder
	if p.File != "" {
		b.WriteString(p.File)
		if p.Line > 0 {
			fmt.Fprintf(&b, ":%d", p.Line)
		}
		b.WriteString(": ")
	}
	if p.Path != "" {
		b.WriteString(p.Path + ": ")
	}
	b.WriteString("found " + p.Found)
	if p.Hint != "" {
		b.WriteString("; " + p.Hint)
	}
	return b.String()
}

// Problems is everything wrong with a book; as an error it lists all of it, one
// problem a line.
type Problems []Problem

// Error implements error.
func (p Problems) Error() string {
	lines := make([]string, len(p))
	for i, q := range p {
		lines[i] = q.String()
	}
	return strings.Join(lines, "\n")
}

// err returns the problems sorted by file and line, or nil if there are none.
func (p Problems) err() error {
	if len(p) == 0 {
		return nil
	}
	sort.SliceStable(p, func(i, j int) bool {
		if p[i].File != p[j].File {
			return p[i].File < p[j].File
		}
		return p[i].Line < p[j].Line
	})
	return p
}

// report collects the problems of one file, and knows the line of each path in it.
type report struct {
	file     string
	lines    map[string]int
	seen     map[string]bool // paths that have a problem already
	problems Problems
}

func newReport(file string) *report {
	return &report{file: file, lines: map[string]int{}, seen: map[string]bool{}}
}

// at reports a problem at a known line.
func (r *report) at(line int, path, found, hint string) {
	r.seen[path] = true
	r.problems = append(r.problems, Problem{r.file, line, path, found, hint})
}

// add reports a problem at the line of the path. A path that has a problem already
// gets no second one, since the second mostly follows from the first.
func (r *report) add(path, found, hint string) {
	if r.seen[path] {
		return
	}
	r.at(r.line(path), path, found, hint)
}

// line is the line of the path, or of the nearest thing around it.
func (r *report) line(path string) int {
	for path != "" {
		if n, ok := r.lines[path]; ok {
			return n
		}
		path = path[:max(strings.LastIndexAny(path, ".["), 0)]
	}
	if len(r.lines) == 0 {
		return 0
	}
	return 1
}

// nearest returns a question that offers the closest of the names, or an empty
// string where none is close.
func nearest(got string, names []string) string {
	if best := closest(got, names); best != "" {
		return fmt.Sprintf("did you mean %s?", best)
	}
	return ""
}

// Nearest is the name closest to what was typed, without regard to case; empty where it is
// one of the names, or none is close.
func Nearest(got string, names []string) string {
	name := closest(got, names)
	if strings.EqualFold(name, strings.TrimSpace(got)) {
		return ""
	}
	return name
}

// closest is the name with the fewest edits from what was typed; empty where none is close.
func closest(got string, names []string) string {
	limit := max(2, len(got)/3)
	if len(got) <= 3 {
		limit = 1 // in a short word two edits leave nothing of it
	}
	best, bestAt := "", limit+1
	for _, n := range names {
		if d := distance(strings.ToLower(got), strings.ToLower(n)); d < bestAt {
			best, bestAt = n, d
		}
	}
	return best
}

// distance is the number of single-letter edits between two words (Levenshtein).
func distance(a, b string) int {
	row := make([]int, len(b)+1)
	for j := range row {
		row[j] = j
	}
	for i := range len(a) {
		left := row[0]
		row[0] = i + 1
		for j := range len(b) {
			cost := left
			if a[i] != b[j] {
				cost++
			}
			left = row[j+1]
			row[j+1] = min(cost, row[j]+1, row[j+1]+1)
		}
	}
	return row[len(b)]
}
