package tables

import (
	"fmt"
	"slices"
	"strings"
)

// AskSheet is the question which of several tables of a file is meant.
const AskSheet = "sheet"

// keyFields name what a list is about: a row of headings names one of them.
var keyFields = []string{"maker", "reference", "watch", "name", "first", "last", "email", "serial", "date", "price",
	"hammer"}

// choose is the table of a file that is read: the one that was asked for, else the longest
// that has headings of the kind. others are all of that sort, the chosen one first.
func (l *lexicon) choose(f opened, as Kind, answer string) (chosen tab, others []string) {
	var all []tab
	for _, t := range f.tabs {
		all = append(all, l.tablesOn(t, as)...)
	}
	type rated struct {
		tab
		rows int
	}
	var found []rated
	for _, t := range all {
		if _, body, ok := l.headerAt(t.rows, as); ok && l.rowsFrom(t.rows, body) > 0 {
			found = append(found, rated{t, l.rowsFrom(t.rows, body)})
		}
	}
	if len(found) == 0 {
		slices.SortStableFunc(all, func(a, b tab) int { return fullness(b.rows) - fullness(a.rows) })
		return all[0], nil
	}
	slices.SortStableFunc(found, func(a, b rated) int { return b.rows - a.rows })
	for i, t := range found {
		if answer != "" && strings.EqualFold(t.name, answer) {
			found = append([]rated{t}, slices.Delete(slices.Clone(found), i, i+1)...)
			break
		}
	}
	for _, t := range found {
		others = append(others, t.name)
	}
	return found[0].tab, others
}

// askSheet asks which of several tables is meant.
func (r *reader) askSheet(tabs []string) {
	if len(tabs) < 2 || slices.ContainsFunc(tabs, func(t string) bool {
		return strings.EqualFold(t, r.opt.Answers[AskSheet])
	}) {
		return
	}
	r.out.Questions = append(r.out.Questions, Question{AskSheet, fmt.Sprintf(
		"the file has %d tables of this kind; “%s” is read: which one do you mean?", len(tabs), tabs[0]), tabs, []int{}})
}

// rowsFrom counts the rows from one on that hold something of a list.
func (l *lexicon) rowsFrom(rows []gridRow, body int) int {
	n := 0
	for _, r := range rows[body:] {
		if r.filled() >= 2 {
			n++
		}
	}
	return n
}

// tablesOn parts a sheet on which tables stand one below the other, each with headings of
// its own. Headings that come again, as on every page of a print, begin no table.
func (l *lexicon) tablesOn(t tab, as Kind) []tab {
	var starts []int
	for i, r := range t.rows {
		if !l.startsTable(r, as) || i+1 < len(t.rows) && l.startsTable(t.rows[i+1], as) {
			continue
		}
		if n := len(starts); n > 0 && sameCells(t.rows[starts[n-1]], r) {
			continue
		}
		starts = append(starts, i)
	}
	starts = slices.DeleteFunc(starts, func(i int) bool { return i+1 == len(t.rows) })
	if len(starts) < 2 {
		return []tab{t}
	}
	var out []tab
	for k, from := range starts {
		to := len(t.rows)
		if k+1 < len(starts) {
			to = starts[k+1]
		}
		if k == 0 {
			from = 0 // its title, and groups of headings
		}
		one := tab{name: strings.TrimSpace(fmt.Sprintf("%s from row %d", t.name, t.rows[starts[k]].line)),
			rows: t.rows[from:to]}
		out = append(out, one)
	}
	return out
}

// startsTable reports whether a row is one of headings: most of its cells are known as
// such, one says what the list is about, and none holds a figure.
func (l *lexicon) startsTable(r gridRow, as Kind) bool {
	filled := r.filled()
	if filled < 2 || l.looksLikeData(r) {
		return false
	}
	n, key := 0, false
	seen := map[string]bool{}
	for i := range r.cells {
		f, _ := l.fieldNamed(r.cell(i), as)
		if f == "" || seen[f] {
			continue
		}
		seen[f] = true
		n++
		key = key || slices.Contains(keyFields, f)
	}
	const most = 0.6
	return key && n >= 2 && float64(n) >= most*float64(filled)
}

func sameCells(a, b gridRow) bool {
	for i := range max(len(a.cells), len(b.cells)) {
		if a.cell(i) != b.cell(i) {
			return false
		}
	}
	return true
}

// withoutHeadingsAgain leaves out the rows in which the headings come again.
func withoutHeadingsAgain(header gridRow, raw, rows []gridRow) []gridRow {
	again := func(r gridRow) bool {
		return sameCells(header, r) || slices.ContainsFunc(raw, func(h gridRow) bool { return sameCells(h, r) })
	}
	if !slices.ContainsFunc(rows, again) {
		return rows
	}
	return slices.DeleteFunc(slices.Clone(rows), again)
}

// remarks says of the table as a whole what keeps it from being read.
func (r *reader) remarks(header gridRow, headed bool) {
	note := func(format string, args ...any) { r.out.Notes = append(r.out.Notes, fmt.Sprintf(format, args...)) }
	if len(r.out.Rows) == 0 && len(r.out.KeptOut) == 0 {
		note("The table has headings, but no row below them.")
	}
	has := func(fields ...string) bool {
		return slices.ContainsFunc(fields, func(f string) bool { _, ok := r.column(f); return ok })
	}
	needed := func(what string, fields ...string) {
		if headed && !has(fields...) {
			note("No column was understood as %s: say which it is, or add it.", what)
		}
	}
	switch r.as {
	case Stock:
		needed("the watch (maker, reference)", "maker", "reference", "watch", "serial")
	case Sales:
		needed("the watch (maker, reference)", "maker", "reference", "watch", "note")
		needed("the day of the sale", "date")
		needed("the price", "price", "hammer", "all-in")
	case Clients:
		needed("the name", "name", "first", "last", "email", "phone")
	case Serials:
		needed("the number", "serial")
	}
	r.beside(header, note)
}

// beside names a second table that stands beside the first: its headings come again behind an empty column.
func (r *reader) beside(header gridRow, note func(string, ...any)) {
	first := map[string]bool{}
	for i := range header.cells {
		name := plain(header.cell(i))
		if i > 1 && name != "" && first[name] && header.cell(i-1) == "" {
			note("From column %d on the headings come again. What stands there was not read: move it below the other rows.",
				i+1)
			return
		}
		first[name] = first[name] || name != ""
	}
}
