package refbook

import (
	"fmt"
	"slices"
	"strings"

	"github.com/goccy/go-yaml"
)

// Join writes the entries of a maker that its file does not have yet behind those that
// are there: metals, calibres, families, bracelets, end pieces, runs of numbers and
// references. What the file has stays as it is, comments too; entries that it already
// has, by id, are left alone, references among them named in had; a run of numbers that it
// has takes the milestones that are new. The text must still be checked as a whole.
func Join(text []byte, add Maker) (joined []byte, had []string, err error) {
	m, _ := located(text)
	lists := []struct {
		key  string
		have []string
		add  []addition
	}{
		{"serials", ids(m.Serials, serialID), entriesOf(add.Serials, serialID)},
		{"metals", ids(m.Metals, metalID), entriesOf(add.Metals, metalID)},
		{"calibres", ids(m.Calibres, calibreID), entriesOf(add.Calibres, calibreID)},
		{"families", ids(m.Families, familyID), entriesOf(add.Families, familyID)},
		{"bracelets", ids(m.Bracelets, braceletID), entriesOf(add.Bracelets, braceletID)},
		{"end_pieces", ids(m.EndPieces, endPieceID), entriesOf(add.EndPieces, endPieceID)},
		{"references", ids(m.References, referenceID), entriesOf(add.References, referenceID)},
	}
	for _, l := range lists {
		n := len(l.have)
		for _, e := range l.add {
			if slices.ContainsFunc(l.have, func(id string) bool { return fold(id) == fold(e.id) }) {
				switch run, isRun := e.value.(Serial); {
				case isRun:
					if text, err = addAnchors(text, m, run); err != nil {
						return nil, nil, err
					}
				case l.key == "references":
					had = append(had, e.id)
				}
				continue
			}
			lines, err := yamlLines(e.value)
			if err != nil {
				return nil, nil, fmt.Errorf("%s %s: %w", l.key, e.id, err)
			}
			if text, err = appendEntry(text, l.key, n, lines); err != nil {
				return nil, nil, fmt.Errorf("%s: %w", l.key, err)
			}
			n++
		}
	}
	return text, had, nil
}

// addAnchors writes the milestones that a run of numbers does not have yet.
func addAnchors(text []byte, m Maker, run Serial) ([]byte, error) {
	for _, s := range m.Serials {
		if fold(s.ID) != fold(run.ID) {
			continue
		}
		for _, a := range run.Anchors {
			if slices.ContainsFunc(s.Anchors, func(b Anchor) bool { return a.Number == b.Number }) {
				continue
			}
			var err error
			if text, err = AddAnchor(text, s.ID, a); err != nil {
				return nil, fmt.Errorf("serials %s: %w", s.ID, err)
			}
		}
	}
	return text, nil
}

// addition is an entry of a list with its id.
type addition struct {
	id    string
	value any
}

func entriesOf[T any](all []T, id func(*T) string) []addition {
	var out []addition
	for i := range all {
		out = append(out, addition{id(&all[i]), all[i]})
	}
	return out
}

// Text is a maker as the text of a file of the book.
func (m Maker) Text() ([]byte, error) {
	return yaml.MarshalWithOptions(m, yaml.IndentSequence(true))
}

func yamlLines(v any) ([]string, error) {
	text, err := yaml.MarshalWithOptions(v, yaml.IndentSequence(true))
	if err != nil {
		return nil, err
	}
	return strings.Split(strings.TrimRight(string(text), "\n"), "\n"), nil
}

// appendEntry writes an entry behind the n of a list, or begins the list at the end of
// the file.
func appendEntry(text []byte, key string, n int, lines []string) ([]byte, error) {
	if n > 0 {
		_, r := located(text)
		return insert(text, r, key, n, n, lines)
	}
	for _, l := range strings.Split(string(text), "\n") {
		if strings.HasPrefix(l, key+":") {
			return nil, &EditError{"a list in one line, or an empty one", "entries on lines of their own, each after a dash; edit the text"}
		}
	}
	out := strings.TrimRight(string(text), "\n") + "\n" + key + ":\n"
	for i, l := range lines {
		if i == 0 {
			out += "  - " + l + "\n"
		} else {
			out += "    " + l + "\n"
		}
	}
	return []byte(out), nil
}
