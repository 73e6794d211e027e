package tables

import (
	"cmp"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"unicode"

	iso4217 "golang.org/x/text/currency"

	"midcase/evidence"
	"midcase/notes"
)

// wireMoney is the JSON form of an amount.
type wireMoney struct {
	Amount   string `json:"amount"`
	Currency string `json:"currency"`
}

// String is the amount with its currency, where it has one.
func (m wireMoney) String() string { return strings.TrimSpace(m.Amount + " " + m.Currency) }

// quotes are set around a name or code and are no part of it.
var quotes = strings.NewReplacer(`"`, "", "“", "", "”", "", "„", "", "«", "", "»", "")

// watchNamed is the maker and reference that a cell names, and what it says of the watch
// beside them ("black dial").
type watchNamed struct{ maker, reference, rest string }

// watch reads maker and reference from their columns, or from one that holds both.
func (r *reader) watch(row gridRow, out *Row) {
	maker, reference := quotes.Replace(r.get(row, "maker")), quotes.Replace(r.get(row, "reference"))
	text := quotes.Replace(r.get(row, "watch"))
	if text == "" {
		text = strings.TrimSpace(maker + " " + reference)
	}
	if text == "" {
		text = r.lotTitle(row)
	}
	if text == "" {
		return
	}
	key := text + "\x1f" + reference
	named, known := r.watches[key]
	if !known {
		named = r.spelled(r.nameWatch(text, maker, reference))
		r.watches[key] = named
	}
	if named.rest != "" {
		r.described(named.rest, out)
	}
	if named.maker != "" {
		out.Fields["maker"] = named.maker
		r.took("maker")
	}
	if named.reference != "" {
		out.Fields["reference"] = named.reference
		r.took("reference")
	}
	if named.maker != "" && named.reference != "" {
		r.took("watch")
	}
}

// day reads a cell of days into a field.
func (r *reader) day(row gridRow, field string, out *Row) bool {
	c, ok := r.column(field)
	if !ok {
		return false
	}
	cell := r.get(row, field)
	date, future, ambiguous, ok := r.dayIn(c.at, cell)
	switch {
	case future:
		r.keepOut(row.line, field, cell, "a day that is still to come: type the right one")
		return false
	case ok:
		out.Fields[field] = date
		r.took(field)
		return true
	case ambiguous:
		r.anyOrder = append(r.anyOrder, row.line)
		return false
	case field == "bought" && cell != "":
		if span, is := r.spanOf(cell); is {
			out.Fields[field] = span
			r.took(field)
			return true
		}
	case cell == "" && r.as != Sales:
		return false
	}
	if month, is := r.withinMonth(c.at, cell); is {
		out.Fields[field] = month
		r.remark(out, field, cell)
		r.took(field)
		return true
	}
	if year, is := r.withinYear(cell); is && r.as == Sales {
		out.Fields[field] = year
		r.remark(out, field, cell)
		r.took(field)
		return true
	}
	reason := "not a day, month or year: write it as 2026-03-31"
	if cell == "" {
		reason = "no day: write one, such as 2026-03-31"
	}
	r.keepOut(row.line, field, cell, reason)
	return false
}

// withinMonth is the month of "early Sept 2024" or "Ende April 25".
func (r *reader) withinMonth(at int, cell string) (string, bool) {
	part, rest, _ := strings.Cut(strings.TrimSpace(cell), " ")
	if p := strings.ToLower(strings.TrimRight(part, ".")); !r.early.has(p) && !r.mid.has(p) && !r.late.has(p) {
		return "", false
	}
	rest = strings.TrimPrefix(strings.TrimPrefix(rest, "of "), "di ")
	date, future, _, ok := r.dayIn(at, rest)
	return date, ok && !future && len(date) == len("2006-01")
}

// withinYear is the past year within which a season, a quarter, "early 2022" or "end of 2022" lies.
func (r *reader) withinYear(cell string) (string, bool) {
	span, ok := r.spanOf(cell)
	if !ok {
		lower := strings.NewReplacer(" of ", " ", " de ", " ", " di ", " ").Replace(strings.ToLower(cell))
		span, ok = r.whenOf(lower, r.opt.Now)
	}
	first, last, _ := strings.Cut(span, "/")
	const year = 4
	if !ok || len(first) < year || len(last) < year || first[:year] != last[:year] {
		return "", false
	}
	return first[:year], r.opt.Now.IsZero() || first[:year] <= strconv.Itoa(r.opt.Now.Year())
}

// money reads an amount into a field, with the currency of the cell, of the header, of
// the row's currency column, or of the answer.
func (r *reader) money(row gridRow, field string, out *Row) (amount, bool) {
	c, _ := r.column(field)
	cell := r.get(row, field)
	if cell == "" {
		return amount{}, false
	}
	cell = r.homeMoney(cell, cmp.Or(c.currency, r.currencyNamed(r.get(row, "currency")), r.opt.Base))
	a, ok := r.amountIn(r.rounded(row, c, cell))
	if ok && r.tooLittle(row, field, c, a, cell) {
		r.keepOut(row.line, field, cell, "far below the other amounts here: type it whole, such as 4200 or 42.00")
		return amount{}, false
	}
	if !ok {
		if a, ok = r.endOfRange(row, field, cell, out); !ok {
			r.keepOut(row.line, field, cell, r.noAmount(cell))
			return amount{}, false
		}
	}
	a.Currency = cmp.Or(a.Currency, c.currency, r.currencyNamed(r.get(row, "currency")))
	a.Currency = r.dollarsOfTheShop(cell, a.Currency)
	if a.Currency != "" && !slices.Contains(r.seen, a.Currency) {
		r.seen = append(r.seen, a.Currency)
	}
	if a.Currency == "" {
		a.Currency = r.opt.Answers[AskCurrency]
	}
	if named := r.get(row, "currency"); named != "" && r.currencyNamed(named) == "" {
		r.keepOut(row.line, "currency", named, "no currency: type a code of three letters, such as EUR")
	}
	if a.Currency == "" && !lastIs(r.noCurrency, row.line) {
		r.noCurrency = append(r.noCurrency, row.line)
	}
	out.Fields[field] = wireMoney{a.Amount, a.Currency}
	r.took(field)
	return a, r.taxed(row, field, c, a, cell, out)
}

var cents = regexp.MustCompile(`[.,]\d\d\b`)

// tooLittle reports whether an amount is a hundredth of the usual one of its column or less, and written as if it was
// shortened: "4.2" where the others are 4,200.
func (r *reader) tooLittle(row gridRow, field string, c Column, a amount, cell string) bool {
	const least = 100
	if _, edited := r.edits[cellAt{row.line, field}]; edited || a.number() >= least || a.number()*least > r.usual[c.at] {
		return false
	}
	return !cents.MatchString(cell) && r.currencyIn(strings.ToLower(cell)) == ""
}

// taxed keeps what stands beside an amount: words that no field holds, and that it is without tax, which is asked about.
// It reports whether the amount stays.
func (r *reader) taxed(row gridRow, field string, c Column, a amount, cell string, out *Row) bool {
	net := a.Net || c.net
	switch answer := r.opt.Answers[AskNet]; {
	case net && answer == netOut:
		delete(out.Fields, field)
		r.keepOut(row.line, field, cell, "without tax: type what was paid with it")
		return false
	case net && answer == "" && !lastIs(r.net, row.line):
		r.net = append(r.net, row.line)
	}
	switch {
	case a.Beside != "" || a.Net:
		r.remark(out, field, cell)
	case c.net:
		r.remark(out, field, cell+", "+c.Header)
	}
	return true
}

// homeMoney writes the code for words such as "kr" where the list or the shop is in a currency so called.
func (r *reader) homeMoney(cell, currency string) string {
	word := map[string]string{"SEK": "kr", "NOK": "kr", "DKK": "kr", "ISK": "kr", "INR": "rs", "MXN": "pesos"}[currency]
	if word == "" {
		return cell
	}
	words := strings.Fields(cell)
	for i, w := range words {
		if strings.EqualFold(strings.Trim(w, "."), word) {
			words[i] = currency
		}
	}
	return strings.Join(words, " ")
}

// endOfRange is the end of a range of prices that the answer takes; the range stays on record as a remark. Without an
// answer the cell stays out and is asked about.
func (r *reader) endOfRange(row gridRow, field, cell string, out *Row) (amount, bool) {
	low, high, ok := r.rangeOf(cell)
	if c, _ := r.column(field); !ok || r.tooLittle(row, field, c, high, cell) {
		return amount{}, false
	}
	r.ranges = append(r.ranges, row.line)
	switch r.opt.Answers[AskRange] {
	case "low":
		r.remark(out, field, cell)
		return low, true
	case "high":
		r.remark(out, field, cell)
		return high, true
	}
	return amount{}, false
}

// remark keeps what a cell said in so many words.
func (r *reader) remark(out *Row, field, cell string) {
	out.remarks = append(out.remarks, field+" in the list: “"+cell+"”")
}

// currencyNamed reads a column of currencies: a sign, a word, or any code of ISO 4217.
func (r *reader) currencyNamed(cell string) string {
	if c := r.currencyIn(strings.ToLower(cell)); c != "" {
		return c
	}
	code := strings.ToUpper(strings.TrimSpace(cell))
	if _, err := iso4217.ParseISO(code); err == nil {
		return code
	}
	return ""
}

// dollarsOfTheShop takes a bare "$" for the dollar that the shop keeps its books in.
func (r *reader) dollarsOfTheShop(cell, currency string) string {
	base := r.opt.Base
	if currency == "USD" && strings.Contains(cell, "$") && !strings.Contains(strings.ToUpper(cell), "US") &&
		slices.Contains([]string{"AUD", "CAD", "HKD", "NZD", "SGD", "MXN"}, base) {
		return base
	}
	return currency
}

// text keeps a cell as it is.
func (r *reader) text(row gridRow, out *Row, fields ...string) {
	for _, f := range fields {
		if cell := r.get(row, f); cell != "" {
			out.Fields[f] = cell
			r.took(f)
		}
	}
}

// meaning reads a cell by a table of meanings.
func (r *reader) meaning(row gridRow, field string, table meanings, out *Row) {
	cell := r.get(row, field)
	if cell == "" {
		return
	}
	if m, ok := table.of(cell); ok && !r.denied(cell, table, m) {
		out.Fields[field] = m
		r.took(field)
		return
	}
	r.keepOut(row.line, field, cell, "not understood: write "+oneOf(table))
}

// oneOf lists what a cell of a table of meanings may come to.
func oneOf(table meanings) string {
	var out []string
	for _, m := range table.all {
		out = append(out, strings.ReplaceAll(m.id, "_", " "))
	}
	slices.Sort(out)
	return strings.Join(slices.Compact(out), ", ")
}

var digits = regexp.MustCompile(`\D+`)

// number reads a serial number: its figures; a mark of doubt stays out of it. A number
// that a spreadsheet has rounded is kept out, since its last figures are lost.
func (r *reader) number(row gridRow, out *Row) {
	cell := r.get(row, "serial")
	if cell == "" {
		return
	}
	n := strings.TrimRight(cell, "?. ")
	if m := wholeFloat.FindStringSubmatch(n); m != nil {
		n = m[1]
	}
	switch {
	case rounded.MatchString(n):
		r.keepOut(row.line, "serial", cell, "the spreadsheet rounded this number: type it as text")
		return
	case !strings.ContainsFunc(n, unicode.IsDigit):
		r.keepOut(row.line, "serial", cell, "no figures in it: type the number, or leave the cell empty")
		return
	case strings.ContainsFunc(n, unicode.IsLetter), strings.ContainsAny(n, "/*_"):
		out.Fields["serial"] = n
	default:
		out.Fields["serial"] = digits.ReplaceAllString(n, "")
	}
	r.took("serial")
}

var (
	wholeFloat = regexp.MustCompile(`^(\d+)\.0+$`)
	rounded    = regexp.MustCompile(`^\d(?:[.,]\d+)?[eE]\+?\d+$`)
)

// stock reads a row of a stock list.
func (r *reader) stock(row gridRow, out *Row) bool {
	r.watch(row, out)
	named := out.Fields["maker"] != nil || out.Fields["reference"] != nil || r.get(row, "serial") != ""
	if !named || row.filled() == 1 && r.remarkAlone(out) {
		return r.lost(row, "reference", "no watch is named: type its maker and reference")
	}
	r.number(row, out)
	r.year(row, out)
	r.day(row, "bought", out)
	r.money(row, "cost", out)
	if _, ok := r.money(row, "asking", out); !ok {
		if cell := r.get(row, "asking"); len(strings.TrimSpace(cell)) > 2 && r.saysNoPrice(cell) {
			r.remark(out, "asking", cell)
		}
	}
	r.text(row, out, "seller", "buyer", "movement", "place", "note")
	r.stateOf(row, out)
	r.set(row, out)
	r.evidence(out)
	r.remarked(out)
	return true
}

// remarkAlone reports whether the only cell of a row names no watch: a heading, or "Stand 31.08.2026". With a book its
// maker must be one of the book's.
func (r *reader) remarkAlone(out *Row) bool {
	maker, _ := out.Fields["maker"].(string)
	if r.opt.Book != nil {
		if _, known := r.opt.Book.Maker(maker); known {
			return out.Fields["reference"] == nil
		}
	}
	reference, _ := out.Fields["reference"].(string)
	return reference == "" || r.looksLikeDay(reference) || maker != "" && r.opt.Book != nil
}

// remarked adds the words that no field holds to the note: a range, "on request". Notes are read before.
func (r *reader) remarked(out *Row) {
	if len(out.remarks) == 0 {
		return
	}
	note, _ := out.Fields["note"].(string)
	out.Fields["note"] = strings.TrimPrefix(note+"; "+strings.Join(out.remarks, "; "), "; ")
}

// year reads when a watch was made.
func (r *reader) year(row gridRow, out *Row) {
	cell := r.get(row, "year")
	if cell == "" {
		return
	}
	if y, ok := r.whenOf(cell, r.opt.Now); ok {
		out.Fields["year"] = y
		r.took("year")
		return
	}
	r.keepOut(row.line, "year", cell, "not a year: write it as 1965, about 1965 or 1960s")
}

// evidence reads the note column as notes on the watch.
func (r *reader) evidence(out *Row) {
	note, _ := out.Fields["note"].(string)
	if note == "" {
		return
	}
	opt := notes.Options{Book: r.opt.Book, Year: r.opt.Now.Year(), Own: r.opt.Own}
	opt.Maker, _ = out.Fields["maker"].(string)
	opt.Reference, _ = out.Fields["reference"].(string)
	if r.opt.Book != nil {
		if _, ok := r.opt.Book.Maker(opt.Maker); !ok {
			opt.Maker, opt.Reference = "", ""
		}
	}
	out.Items = notes.Read(note, opt).Items
	r.severities(out)
}

// severities gives the findings that do not say how bad they are the severity of the answer, and asks for one.
func (r *reader) severities(out *Row) {
	answer, _ := strconv.Atoi(r.opt.Answers[AskSeverity])
	for i := range out.Items {
		it := &out.Items[i]
		f, is := it.Data.(*evidence.Finding)
		if !is || !slices.Equal(it.Open, []string{"severity"}) {
			continue
		}
		r.openFindings++
		if !lastIs(r.noSeverity, out.Line) {
			r.noSeverity = append(r.noSeverity, out.Line)
		}
		if answer > 0 {
			f.Severity, it.Open = answer, nil
		}
	}
}

// place reads where a sale was made; a name that says nothing stays as the source. With
// columns of hammer prices every sale is an auction's.
func (r *reader) place(row gridRow, out *Row) {
	cell := r.get(row, "venue")
	if cell != "" {
		out.Fields["source"] = cell
		r.took("venue")
	}
	if v, ok := r.venue.of(cell); ok {
		out.Fields["venue"] = v
	}
	if b, ok := r.basis.of(cell); ok && out.Fields["basis"] == nil && (b == "hammer" || b == "all-in") {
		out.Fields["basis"] = b // "auction, hammer"
	}
	_, hammer := r.column("hammer")
	_, allIn := r.column("all-in")
	if out.Fields["venue"] == nil && (hammer || allIn) {
		out.Fields["venue"] = "auction"
	}
}

// serial reads a row of numbers with their dates.
func (r *reader) serial(row gridRow, out *Row) bool {
	r.watch(row, out)
	r.number(row, out)
	if cell := r.get(row, "date"); cell != "" {
		if y, ok := r.whenOf(cell, r.opt.Now); ok {
			out.Fields["date"] = y
			r.took("date")
		} else {
			r.day(row, "date", out)
		}
	}
	r.text(row, out, "source", "note")
	if out.Fields["serial"] == nil && r.get(row, "serial") == "" {
		return r.lost(row, "serial", "no number: type it, or leave the row out")
	}
	return out.Fields["serial"] != nil
}
