package tables

import (
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"
)

// Column is a column with what was understood of it.
type Column struct {
	Header     string  `json:"header"`
	Field      string  `json:"field"` // canonical; empty where it is none
	Understood float64 `json:"understood"`

	at       int    // place in the row
	currency string // named in the header, as in "EK €"
	net      bool   // the header says that its amounts are without tax
}

// headerRows is how far down a header row is looked for.
const headerRows = 25

// headerAt finds the header row: the one with the most cells that are known headers. A
// second header row beneath it is joined to it, and one above it where it makes more of
// the headers known. ok is false where no row has two.
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
		// "sold" below "Status" is what a first row says, not a second one of headings
		if n := l.headersIn(joined, as); n > best || n == best && l.headersIn(rows[body], as) > 1 {
			return joined, body + 1, true
		}
	}
	if at > 0 {
		header = l.underGroups(rows[at-1], header, as)
	}
	return header, body, true
}

// underGroups joins to the headers the names of groups in the row above ("Purchase" over
// "Date" and "Price"), for the columns whose own header leaves open what they are.
func (l *lexicon) underGroups(above, header gridRow, as Kind) gridRow {
	filled := 0
	for i := range above.cells {
		if above.cell(i) != "" {
			filled++
		}
	}
	if filled < 2 || l.looksLikeData(above) {
		return header
	}
	out := gridRow{line: header.line, cells: slices.Clone(header.cells)}
	for len(out.cells) < len(above.cells) {
		out.cells = append(out.cells, "")
	}
	group := ""
	for i := range out.cells {
		if c := above.cell(i); c != "" {
			group = c
		}
		own, _ := l.fieldNamed(header.cell(i), as)
		of := l.fieldOnly(group, as)
		switch {
		case header.cell(i) == "" && above.cell(i) != "" && of != "":
			out.cells[i] = group // a heading of one column that stands in the upper row ("Remarks")
			continue
		case group == "" || header.cell(i) == "" || own != "" && !l.vague(header.cell(i), as):
			continue
		}
		if joined := group + " " + header.cell(i); l.fieldOnly(joined, as) != "" && l.fieldOnly(joined, as) != of {
			out.cells[i] = joined
		}
	}
	if l.headersIn(out, as) < l.headersIn(header, as) {
		return header
	}
	return out
}

func (l *lexicon) fieldOnly(header string, as Kind) string {
	f, _ := l.fieldNamed(header, as)
	return f
}

// vague reports whether a header says no more than "date", "price", "number" or "name".
func (l *lexicon) vague(header string, as Kind) bool {
	parts := l.partsOf(header)
	for _, p := range []string{"day", "money", "number", "person"} {
		if parts[p] && len(parts) == 1 {
			return true
		}
	}
	return false
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

// fieldNamed is the field that a header names, and the currency in it: as a whole, else
// by the parts of it ("Purchase" and "date").
func (l *lexicon) fieldNamed(header string, as Kind) (field, currency string) {
	text := strings.TrimRight(plain(header), "? ") // "Opt-in?"
	if text == "" || len(text) > 60 {
		return "", ""
	}
	text, currency = l.withoutCurrency(text)
	if f, known := l.headers[as][text]; known {
		return f, currency
	}
	if strings.ContainsAny(text, "0123456789@") || len(strings.Fields(text)) > 5 {
		return "", currency
	}
	return l.fieldByParts(text, as), currency
}

// withoutCurrency takes the currency out of a header ("Price in USD", "EK €").
func (l *lexicon) withoutCurrency(text string) (rest, currency string) {
	currency = l.currencyIn(text)
	if currency == "" {
		return text, ""
	}
	var kept []string
	for _, k := range strings.FieldsFunc(text, func(c rune) bool { return c == ' ' || c == '/' }) {
		if l.currencyIn(" "+k+" ") == "" {
			kept = append(kept, k)
		} else if n := len(kept); n > 1 && kept[n-1] == "in" {
			kept = kept[:n-1]
		}
	}
	return strings.Join(kept, " "), currency
}

// columns understands every column: by an answer, by its header, then by what stands in
// it. No field is given twice but that of notes.
func (l *lexicon) columns(header gridRow, body []gridRow, as Kind, answers map[string]string) []Column {
	width := len(header.cells)
	for _, r := range body[:min(len(body), 200)] {
		width = max(width, len(r.cells))
	}
	out := make([]Column, width)
	taken, settled := map[string]bool{}, map[int]bool{}
	for i := range out {
		out[i] = Column{Header: header.cell(i), at: i}
		_, out[i].currency = l.fieldNamed(header.cell(i), as)
		answer, told := answers[AskColumn+strconv.Itoa(i+1)]
		if !told {
			continue
		}
		settled[i] = true
		if answer != notUsed && (!taken[answer] || answer == "note") {
			out[i].Field, taken[answer] = answer, true
		}
	}
	heard := l.heard(header, width, as)
	filled, empty := l.inOrder(heard, body)
	for _, order := range [][]int{filled, empty} {
		for round := range 4 { // a header that says all goes before one that says parts
			for _, i := range order {
				if settled[i] || l.rank(heard[i], as) > round {
					continue
				}
				if f := l.fieldHeard(heard[i], round, columnCells(body, i), as); f != "" && !taken[f] {
					out[i].Field, taken[f], settled[i] = f, true, true
				}
			}
		}
	}
	l.boxBesidePapers(out, body, taken)
	for _, i := range filled {
		if settled[i] || out[i].Header == "#" || out[i].Field != "" {
			continue
		}
		if f := l.fieldByContent(columnCells(body, i), as); f != "" && !taken[f] {
			out[i].Field, taken[f] = f, true
		}
	}
	if as == Sales && taken["hammer"] && taken["price"] && !taken["all-in"] { // the price beside a hammer price is the one with premium
		at := slices.IndexFunc(out, func(c Column) bool { return c.Field == "price" })
		out[at].Field, taken["all-in"] = "all-in", true
	}
	l.makerByReference(out, body, as, taken)
	l.swapMakerForWatch(out, body, as, taken)
	l.onlyNet(out, body, as, taken)
	for _, i := range filled {
		if out[i].Field == "" && !settled[i] && taken["note"] && l.fieldOnly(out[i].Header, as) == "note" {
			out[i].Field = "note" // more columns of notes are read together
		}
	}
	for i := range out {
		out[i].net = moneyFields[out[i].Field] && l.partsOf(out[i].Header)["untaxed"]
	}
	return out
}

// heard are the headings as they are understood: a lone "for" or "at" goes with the heading before it ("Bought", "For").
func (l *lexicon) heard(header gridRow, width int, as Kind) []string {
	out := make([]string, width)
	for i := range out {
		out[i] = header.cell(i)
		switch plain(out[i]) {
		case "for", "at", "für", "um", "pour", "à", "a", "per":
			if i > 0 && l.fieldOnly(out[i-1], as) != "" {
				out[i] = out[i-1] + " for"
			}
		}
	}
	return out
}

// fieldHeard is the field of a heading in a round of hearing them.
func (l *lexicon) fieldHeard(heading string, round int, cells []string, as Kind) string {
	f, _ := l.fieldNamed(heading, as)
	if round == 3 { // what it says whole is another column
		f = l.fieldByParts(plain(heading), as)
	}
	if f == "serial" && counted(cells) && l.vague(heading, as) {
		return "" // "No" of 1, 2, 3
	}
	return l.settle(f, cells, as)
}

// inOrder are the columns in their order, those of amounts without tax behind the others, since what was paid is the one
// with tax where a list has both; empty ones are apart.
func (l *lexicon) inOrder(headings []string, body []gridRow) (filled, empty []int) {
	var net []int
	for i, h := range headings {
		switch {
		case len(columnCells(body, i)) == 0:
			empty = append(empty, i)
		case l.partsOf(h)["untaxed"]:
			net = append(net, i)
		default:
			filled = append(filled, i)
		}
	}
	return append(filled, net...), empty
}

// boxBesidePapers names two columns that say yes or no to a box and to papers.
func (l *lexicon) boxBesidePapers(cols []Column, body []gridRow, taken map[string]bool) {
	box, papers := -1, -1
	for i, c := range cols {
		name := strings.Trim(plain(c.Header), "? ")
		says := share(columnCells(body, c.at), func(c string) bool { return l.yes.has(c) || l.without.has(c) || l.no.has(c) || c == "x" })
		switch {
		case says < 0.7:
		case l.boxWords.has(name):
			box = i
		case l.paperWords.has(name):
			papers = i
		}
	}
	if box < 0 || papers < 0 {
		return
	}
	for i := range cols {
		if cols[i].Field == "completeness" && (i == box || i == papers) {
			taken["completeness"] = false
		}
	}
	cols[box].Field, cols[papers].Field = "box", "papers"
	taken["box"], taken["papers"] = true, true
}

var moneyFields = map[string]bool{"price": true, "cost": true, "asking": true, "sold_for": true}

// onlyNet takes a column of net amounts for the price where a list of sales has no other.
func (l *lexicon) onlyNet(cols []Column, body []gridRow, as Kind, taken map[string]bool) {
	if as != Sales || taken["price"] || taken["hammer"] || taken["all-in"] {
		return
	}
	for i := range cols {
		parts := l.partsOf(cols[i].Header)
		if cols[i].Field == "" && parts["untaxed"] && share(columnCells(body, cols[i].at), l.amountish) > 0.7 {
			cols[i].Field, taken["price"] = "price", true
			return
		}
	}
}

// makerByReference takes an unnamed column for the maker where each reference always has the same word in it, and one word
// belongs to several references: no other column of a list does that.
func (l *lexicon) makerByReference(cols []Column, body []gridRow, as Kind, taken map[string]bool) {
	if as != Stock && as != Sales || taken["maker"] || taken["watch"] || !taken["reference"] {
		return
	}
	reference := slices.IndexFunc(cols, func(c Column) bool { return c.Field == "reference" })
	for i := range cols {
		if cols[i].Field == "" && l.follows(cols[i].at, cols[reference].at, body) {
			cols[i].Field, taken["maker"] = "maker", true
			return
		}
	}
}

// follows reports whether the words of a column follow from those of another, as makers do from references.
func (l *lexicon) follows(at, from int, body []gridRow) bool {
	of, references := map[string]string{}, map[string]map[string]bool{}
	filled, again := 0, 0
	for _, row := range body[:min(len(body), 400)] {
		word, ref := row.cell(at), row.cell(from)
		if ref == "" {
			continue
		}
		if word == "" || hasFigure(word) || len(strings.Fields(word)) > 3 || l.dayish(word) || l.yes.has(word) || l.no.has(word) {
			return false
		}
		if was, known := of[ref]; known {
			again++
			if was != word {
				return false
			}
		}
		of[ref] = word
		if references[word] == nil {
			references[word] = map[string]bool{}
		}
		references[word][ref] = true
		filled++
	}
	shared := 0
	for _, refs := range references {
		if len(refs) > 1 {
			shared++
		}
	}
	return filled >= 5 && again >= 2 && len(references) > 1 && shared > 0
}

// rank is the round in which a header is heard: those known as a whole first, then those
// that may mean a state or a place, or any number, then those known by their parts.
func (l *lexicon) rank(header string, as Kind) int {
	text, _ := l.withoutCurrency(plain(header))
	field, known := l.headers[as][text]
	switch {
	case !known:
		return 2
	case field == "state" && l.partsOf(text)["place"], field == "serial" && l.vague(text, as):
		return 1
	}
	return 0
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
	share := func(is func(string) bool) float64 { return share(cells, is) }
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
	words := func(c string) bool {
		return strings.ContainsFunc(c, unicode.IsLetter) && (strings.Count(c, " ") >= 3 || strings.Contains(c, ",")) &&
			!l.dayish(c) && !l.amountish(c)
	}
	state := func(c string) bool { _, ok := l.state.of(c); return ok && len(strings.Fields(c)) <= 5 }
	set := func(c string) bool {
		_, parts := l.boxAndPapers(c)
		_, whole := l.completeness.of(c)
		return (parts || whole) && len(strings.Fields(c)) <= 5
	}
	place := func(c string) bool {
		_, venue := l.venue.of(c)
		_, basis := l.basis.of(c)
		return (venue || basis) && len(strings.Fields(c)) <= 5
	}
	switch {
	case share(set) > most && share(func(c string) bool { return l.no.has(c) || l.yes.has(c) }) < most:
		return "completeness"
	case as == Sales && share(place) > most:
		return "basis"
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
