package tables

import (
	"regexp"
	"strings"
)

// Column is a column with what was understood of it.
type Column struct {
	Header     string  `json:"header"`
	Field      string  `json:"field"` // canonical; empty where it is none
	Understood float64 `json:"understood"`

	at       int    // place in the row
	currency string // named in the header, as in "EK €"
}

// headerRows is how far down a header row is looked for.
const headerRows = 25

// headerAt finds the header row: the one with the most cells that are known headers. A
// second header row beneath it is joined to it. ok is false where no row has two.
func (l *lexicon) headerAt(rows []gridRow, as Kind) (header gridRow, body int, ok bool) {
	best, at := 1, -1
	for i := 0; i < len(rows) && i < headerRows; i++ {
		if n := l.headersIn(rows[i], as); n > best {
			best, at = n, i
		}
	}
	if at < 0 {
		return gridRow{}, 0, false
	}
	header, body = rows[at], at+1
	if body < len(rows) && l.headersIn(rows[body], as) > 0 && !l.looksLikeData(rows[body]) {
		joined := gridRow{line: header.line}
		for i := 0; i < max(len(header.cells), len(rows[body].cells)); i++ {
			joined.cells = append(joined.cells, strings.TrimSpace(header.cell(i)+" "+rows[body].cell(i)))
		}
		if l.headersIn(joined, as) >= best {
			return joined, body + 1, true
		}
	}
	return header, body, true
}

func (l *lexicon) headersIn(r gridRow, as Kind) int {
	n := 0
	seen := map[string]bool{}
	for i := range r.cells {
		if f, _ := l.fieldNamed(r.cell(i), as); f != "" && !seen[f] {
			seen[f] = true
			n++
		}
	}
	return n
}

// looksLikeData reports whether a row holds figures, as a header does not.
func (l *lexicon) looksLikeData(r gridRow) bool {
	n := 0
	for i := range r.cells {
		if strings.ContainsAny(r.cell(i), "0123456789") {
			n++
		}
	}
	return n > 0
}

// fieldNamed is the field that a header names, and the currency in it.
func (l *lexicon) fieldNamed(header string, as Kind) (field, currency string) {
	text := plain(header)
	if text == "" || len(text) > 60 {
		return "", ""
	}
	currency = l.currencyIn(text)
	if currency != "" {
		kept := strings.FieldsFunc(
			text,
			func(c rune) bool { return c == ' ' || c == '/' && strings.HasPrefix(text, "/") },
		)
		var rest []string
		for _, k := range kept {
			if l.currencyIn(" "+k+" ") == "" {
				rest = append(rest, k)
			}
		}
		text = strings.Join(rest, " ")
	}
	return l.headers[as][text], currency
}

// columns understands every column: by its header first, then by what stands in it. No
// field is given twice.
func (l *lexicon) columns(header gridRow, body []gridRow, as Kind) []Column {
	width := len(header.cells)
	for _, r := range body[:min(len(body), 200)] {
		width = max(width, len(r.cells))
	}
	out := make([]Column, width)
	taken := map[string]bool{}
	for i := range out {
		out[i] = Column{Header: header.cell(i), at: i}
		f, cur := l.fieldNamed(header.cell(i), as)
		if f != "" && !taken[f] {
			out[i].Field, out[i].currency = f, cur
			taken[f] = true
		}
	}
	for i := range out {
		if out[i].Field != "" || out[i].Header == "#" {
			continue
		}
		if f := l.fieldByContent(columnCells(body, i), as); f != "" && !taken[f] {
			out[i].Field = f
			taken[f] = true
		}
	}
	l.swapMakerForWatch(out, body, as, taken)
	return out
}

// columnCells are the filled cells of a column, a sample of them where it is long.
func columnCells(body []gridRow, at int) []string {
	const sample = 400
	var out []string
	for _, r := range body {
		if c := r.cell(at); c != "" {
			out = append(out, c)
		}
		if len(out) >= sample {
			break
		}
	}
	return out
}

var (
	mailLike  = regexp.MustCompile(`^[^@\s]+@[^@\s]+\.[^@\s]+$`)
	dayLike   = regexp.MustCompile(`^\d{1,4}[./-]\d{1,2}[./-]\d{2,4}$`)
	phoneLike = regexp.MustCompile(`^\+?[\d\s()/.-]{7,}$`)
)

// fieldByContent understands a column without a known header by its cells: most of them
// must be of one sort.
func (l *lexicon) fieldByContent(cells []string, as Kind) string {
	if len(cells) < 3 {
		return ""
	}
	share := func(is func(string) bool) float64 {
		n := 0
		for _, c := range cells {
			if is(c) {
				n++
			}
		}
		return float64(n) / float64(len(cells))
	}
	const most = 0.7
	if as == Clients {
		switch {
		case share(mailLike.MatchString) > most:
			return "email"
		case share(phoneLike.MatchString) > most:
			return "phone"
		}
		return ""
	}
	words := func(c string) bool { return strings.Count(c, " ") >= 3 || strings.Contains(c, ",") }
	state := func(c string) bool { _, ok := l.state.of(c); return ok }
	switch {
	case as == Sales && share(dayLike.MatchString) > most: // "Sold", "Hammer fell"
		return "date"
	case share(func(c string) bool { a, ok := l.amountOf(c); return ok && a.Currency != "" }) > most && as == Sales:
		return "price"
	case share(words) > most:
		return "note"
	case as == Stock && share(state) > most:
		return "state"
	}
	return ""
}

// swapMakerForWatch makes "watch" of a column called maker or reference that holds both.
func (l *lexicon) swapMakerForWatch(cols []Column, body []gridRow, as Kind, taken map[string]bool) {
	if as == Clients || as == Serials || taken["watch"] || taken["maker"] && taken["reference"] {
		return
	}
	for i := range cols {
		if cols[i].Field == "reference" || cols[i].Field == "maker" {
			cols[i].Field = "watch"
			return
		}
	}
}
