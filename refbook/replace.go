package refbook

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/goccy/go-yaml"
)

// ReplaceReference writes a reference in the place of the one of the same id. What stands around it stays as it is;
// comments inside it are kept, gathered at its beginning. The text must still be checked as a whole.
func ReplaceReference(text []byte, ref Reference) ([]byte, error) {
	m, r := located(text)
	i := slices.IndexFunc(m.References, func(x Reference) bool { return fold(x.ID) == fold(ref.ID) })
	if i < 0 {
		return nil, &EditError{strconv.Quote(ref.ID), "a reference of this file"}
	}
	return replace(text, r, fmt.Sprintf("references[%d]", i), ref)
}

// ReplaceSerial writes a run of numbers in the place of the one of the same id, as [ReplaceReference] does.
func ReplaceSerial(text []byte, run Serial) ([]byte, error) {
	m, r := located(text)
	i := slices.IndexFunc(m.Serials, func(x Serial) bool { return fold(x.ID) == fold(run.ID) })
	if i < 0 {
		return nil, &EditError{strconv.Quote(run.ID), "a run of numbers of this file"}
	}
	return replace(text, r, fmt.Sprintf("serials[%d]", i), run)
}

// replace writes a value in the place of the entry that stands at a path.
func replace(text []byte, r *report, path string, value any) ([]byte, error) {
	lines := strings.Split(string(text), "\n")
	first := r.lines[path]
	column, isEntry := dash(lines, first)
	if !isEntry {
		return nil, &EditError{"an entry written in one line with others",
			"each entry of the list on lines of its own, after a dash; edit the text"}
	}
	last := lastOf(lines, first)
	written, err := yamlLines(value)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", path, err)
	}
	indent := strings.Repeat(" ", column)
	out := slices.Clone(lines[:first-1])
	for i, l := range written {
		if i == 0 {
			out = append(out, indent+"- "+l)
			for _, c := range comments(lines[first-1 : last]) {
				out = append(out, indent+"  #"+c)
			}
			continue
		}
		out = append(out, indent+"  "+l)
	}
	return []byte(strings.Join(append(out, lines[last:]...), "\n")), nil
}

// comments are the comments within some lines, in their order, without the sign that begins them.
func comments(lines []string) []string {
	var found []string
	all := yaml.CommentMap{}
	var read any
	if err := yaml.UnmarshalWithOptions([]byte(strings.Join(lines, "\n")), &read, yaml.CommentToMap(all)); err != nil {
		return nil // the text was read before, so it reads
	}
	for _, at := range all {
		for _, c := range at {
			found = append(found, c.Texts...)
		}
	}
	place := func(c string) int {
		return slices.IndexFunc(lines, func(l string) bool { return strings.Contains(l, "#"+c) })
	}
	slices.SortStableFunc(found, func(a, b string) int { return place(a) - place(b) })
	return slices.Compact(found)
}
