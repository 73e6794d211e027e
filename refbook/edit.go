package refbook

import (
	"fmt"
	"midcase/typed"
	"strconv"
	"strings"

	"midcase/edtf"
	"midcase/evidence"
)

// The edits of this file change the text of a book's file and nothing beside the lines
// that they add: comments, order and spacing stay as somebody wrote them.

// ReadMaker reads the text of one file as far as it can be read, and returns what is
// wrong with it by itself, under the name of the file.
func ReadMaker(name string, text []byte) (Maker, Problems) {
	r := newReport(name)
	m := readMaker(text, r)
	if err := r.problems.err(); err != nil {
		return m, r.problems
	}
	return m, nil
}

// Section finds the lines of a reference in the text of its maker's file, counted from
// 1, first and last included. ok is false where the text does not have it as an entry
// of lines of its own.
func Section(text []byte, reference string) (first, last int, ok bool) {
	m, r := located(text)
	for i := range m.References {
		if fold(m.References[i].ID) == fold(reference) {
			first, ok = r.lines[fmt.Sprintf("references[%d]", i)]
			break
		}
	}
	if !ok {
		return 0, 0, false
	}
	lines := strings.Split(string(text), "\n")
	if _, isEntry := dash(lines, first); !isEntry {
		return 0, 0, false
	}
	return first, lastOf(lines, first), true
}

// located reads a file for where things stand in it.
func located(text []byte) (Maker, *report) {
	r := newReport("")
	return readMaker(text, r), r
}

// dash is the column of the dash that begins the entry of a list on a line.
func dash(lines []string, line int) (column int, ok bool) {
	if line < 1 || line > len(lines) {
		return 0, false
	}
	s := lines[line-1]
	body := strings.TrimLeft(s, " ")
	return len(s) - len(body), strings.HasPrefix(body, "- ")
}

// lastOf is the last line of the entry that begins on a line: all that is written
// further in than its dash, less empty lines and comments after it.
func lastOf(lines []string, first int) int {
	column, _ := dash(lines, first)
	last := first
	for i := first; i < len(lines); i++ {
		body := strings.TrimLeft(lines[i], " \t")
		if strings.TrimSpace(body) == "" {
			continue
		}
		if len(lines[i])-len(body) <= column {
			break
		}
		last = i + 1
	}
	return last
}

// EditError says why an edit could not be made.
type EditError struct{ Found, Want string }

// Error implements error.
func (e *EditError) Error() string { return typed.Refusal(e.Found, e.Want) }

// AddVariant writes a version into a slot of a reference, after those that are there.
// The slot must be there, with its versions on lines of their own. The text given is
// not changed; the new one must still be checked as a whole.
func AddVariant(text []byte, reference string, slot evidence.Slot, v Variant) ([]byte, error) {
	m, r := located(text)
	for i := range m.References {
		if fold(m.References[i].ID) != fold(reference) {
			continue
		}
		for j, s := range m.References[i].Slots {
			if s.Slot != slot {
				continue
			}
			if _, has := s.Variant(v.ID); has {
				return nil, &EditError{strconv.Quote(v.ID), "an id that no version of this part has yet"}
			}
			at := fmt.Sprintf("references[%d].slots[%d].variants", i, j)
			return insert(text, r, at, len(s.Variants), len(s.Variants), variantLines(v))
		}
		return nil, &EditError{fmt.Sprintf("no %s among the parts of %s", slot.Name(), reference),
			"a part that the reference has; write a new one into the text"}
	}
	return nil, &EditError{strconv.Quote(reference), "a reference of this file"}
}

// SetWindow writes another time into a window of a version, the windows counted from 0, with how gradually it came
// and went where that is not 0. The window must stand on a line of its own, as in {made: 1964/1967}.
func SetWindow(text []byte, reference string, slot evidence.Slot, variant string, window int, made edtf.Date,
	softMonths float64) ([]byte, error) {
	m, r := located(text)
	for i := range m.References {
		ref := &m.References[i]
		if fold(ref.ID) != fold(reference) {
			continue
		}
		for j := range ref.Slots {
			for k, v := range ref.Slots[j].Variants {
				if ref.Slots[j].Slot == slot && fold(v.ID) == fold(variant) && window < len(v.Windows) {
					at := fmt.Sprintf("references[%d].slots[%d].variants[%d].windows[%d]", i, j, k, window)
					return rewrite(text, r.lines[at+".made"], v.Windows[window], made, softMonths)
				}
			}
		}
	}
	return nil, &EditError{fmt.Sprintf("%s, %s %s, window %d", reference, slot, variant, window+1),
		"a window of a version of this file"}
}

// SetWindows writes other windows in the place of all those of a version, which must stand on one line, as in
// windows: [{made: 1964/1967}]. Each keeps what the window nearest to it had beside its time.
func SetWindows(text []byte, reference string, slot evidence.Slot, variant string, windows []Window) ([]byte, error) {
	m, r := located(text)
	for i := range m.References {
		ref := &m.References[i]
		for j := range ref.Slots {
			for k, v := range ref.Slots[j].Variants {
				if fold(ref.ID) != fold(reference) || ref.Slots[j].Slot != slot || fold(v.ID) != fold(variant) ||
					len(v.Windows) == 0 {
					continue
				}
				line := r.lines[fmt.Sprintf("references[%d].slots[%d].variants[%d].windows[0].made", i, j, k)]
				return rewriteAll(text, line, v.Windows, windows)
			}
		}
	}
	return nil, &EditError{fmt.Sprintf("%s, %s %s", reference, slot, variant), "a version of this file with its windows"}
}

func rewriteAll(text []byte, line int, was, now []Window) ([]byte, error) {
	lines := strings.Split(string(text), "\n")
	if line < 1 || line > len(lines) {
		return nil, &EditError{"windows written over several lines", "windows: [{made: …}] on one line"}
	}
	head, rest, begun := strings.Cut(lines[line-1], "windows: [")
	_, tail, ended := strings.Cut(rest, "]")
	if !begun || !ended {
		return nil, &EditError{"windows written over several lines", "windows: [{made: …}] on one line"}
	}
	var all []string
	for i, w := range now {
		old := was[min(i, len(was)-1)]
		one := "{made: " + strconv.Quote(w.Made.String())
		if w.SoftMonths != 0 {
			one += ", soft_months: " + number(w.SoftMonths)
		}
		if old.Share != 0 {
			one += ", share: " + number(old.Share)
		}
		if old.Works != "" {
			one += ", works: " + strconv.Quote(old.Works)
		}
		if len(old.Markets) > 0 {
			one += ", markets: [" + strings.Join(old.Markets, ", ") + "]"
		}
		all = append(all, one+"}")
	}
	lines[line-1] = head + "windows: [" + strings.Join(all, ", ") + "]" + tail
	return []byte(strings.Join(lines, "\n")), nil
}

// rewrite writes a time in the place of another on a line.
func rewrite(text []byte, line int, was Window, made edtf.Date, softMonths float64) ([]byte, error) {
	lines := strings.Split(string(text), "\n")
	for _, old := range []string{strconv.Quote(was.Made.String()), "'" + was.Made.String() + "'", was.Made.String()} {
		if line < 1 || line > len(lines) || !strings.Contains(lines[line-1], old) {
			continue
		}
		with := strconv.Quote(made.String())
		if softMonths != 0 && was.SoftMonths == 0 && strings.Contains(lines[line-1], "{") {
			with += ", soft_months: " + number(softMonths)
		}
		lines[line-1] = strings.Replace(lines[line-1], old, with, 1)
		return []byte(strings.Join(lines, "\n")), nil
	}
	return nil, &EditError{"the window written over several lines", "{made: …} on one line"}
}

// AddAnchor writes a pair of number and month into a run of numbers, at its place in
// the order of numbers, under the same conditions as AddVariant.
func AddAnchor(text []byte, serial string, a Anchor) ([]byte, error) {
	m, r := located(text)
	for i := range m.Serials {
		s := &m.Serials[i]
		if fold(s.ID) != fold(serial) {
			continue
		}
		place := 0
		for place < len(s.Anchors) && s.Anchors[place].Number <= a.Number {
			if s.Anchors[place].Number == a.Number {
				return nil, &EditError{strconv.FormatInt(a.Number, 10), "a number of which the month is not there yet"}
			}
			place++
		}
		line := fmt.Sprintf("{number: %d, month: %s", a.Number, strconv.Quote(a.Month.String()))
		if a.Source != "" {
			line += ", source: " + strconv.Quote(a.Source)
		}
		return insert(text, r, fmt.Sprintf("serials[%d].anchors", i), place, len(s.Anchors), []string{line + "}"})
	}
	return nil, &EditError{strconv.Quote(serial), "a run of numbers of this file"}
}

// insert writes an entry into a list of n before the entry at a place, or after the last.
func insert(text []byte, r *report, list string, place, n int, entry []string) ([]byte, error) {
	lines := strings.Split(string(text), "\n")
	beside := min(place, n-1)
	first, ok := r.lines[fmt.Sprintf("%s[%d]", list, beside)]
	column, isEntry := dash(lines, first)
	if !ok || !isEntry {
		return nil, &EditError{"a list in one line, or an empty one",
			"entries on lines of their own, each after a dash; edit the text"}
	}
	at := first - 1 // lines before the new entry
	if place >= n {
		at = lastOf(lines, first)
	}
	indent := strings.Repeat(" ", column)
	var out []string
	out = append(out, lines[:at]...)
	for i, l := range entry {
		if i == 0 {
			out = append(out, indent+"- "+l)
		} else {
			out = append(out, indent+"  "+l)
		}
	}
	out = append(out, lines[at:]...)
	return []byte(strings.Join(out, "\n")), nil
}

// variantLines writes a version in the form of the book.
func variantLines(v Variant) []string {
	out := []string{"id: " + strconv.Quote(v.ID), "name: " + strconv.Quote(v.Name)}
	add := func(key, value string) {
		if value != "" {
			out = append(out, key+": "+strconv.Quote(value))
		}
	}
	add("look", v.Look)
	if len(v.Windows) > 0 {
		out = append(out, "windows:")
	}
	for _, w := range v.Windows {
		line := "  - {made: " + strconv.Quote(w.Made.String())
		if w.SoftMonths != 0 {
			line += ", soft_months: " + number(w.SoftMonths)
		}
		if w.Share != 0 {
			line += ", share: " + number(w.Share)
		}
		if w.Works != "" {
			line += ", works: " + strconv.Quote(w.Works)
		}
		out = append(out, line+"}")
	}
	if v.Service {
		out = append(out, "service: true")
		if !v.Supplied.IsZero() {
			add("supplied", v.Supplied.String())
		}
	}
	add("lume", v.Lume)
	add("source", v.Source)
	return out
}
