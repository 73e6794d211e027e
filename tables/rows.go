package tables

import (
	"regexp"
	"slices"
	"strings"
	"unicode"

	"midcase/notes"
)

// money is the JSON form of an amount.
type wireMoney struct {
	Amount   string `json:"amount"`
	Currency string `json:"currency"`
}

// String is the amount with its currency, where it has one.
func (m wireMoney) String() string { return strings.TrimSpace(m.Amount + " " + m.Currency) }

// watchNamed is the maker and reference that a cell names.
type watchNamed struct{ maker, reference string }

// watch reads maker and reference from their columns, or from one that holds both.
func (r *reader) watch(row gridRow, out *Row) {
	maker, reference := r.get(row, "maker"), r.get(row, "reference")
	text := r.get(row, "watch")
	if text == "" {
		text = strings.TrimSpace(maker + " " + reference)
	}
	if text == "" {
		return
	}
	named, known := r.watches[text]
	if !known {
		named = r.nameWatch(text, maker, reference)
		r.watches[text] = named
	}
	if named.maker != "" {
		out.Fields["maker"] = named.maker
		r.took("maker")
	} else {
		r.noMaker = append(r.noMaker, row.line)
	}
	if named.reference != "" {
		out.Fields["reference"] = named.reference
		r.took("reference")
	}
	if named.maker != "" && named.reference != "" {
		r.took("watch")
	}
}

var refWord = regexp.MustCompile(`(?i)\b(ref|réf|rif|reference|referenz|model|modell)\.?\s*`)

// nameWatch finds maker and reference by the book; without one, the words with figures
// are the reference and the others the maker.
func (r *reader) nameWatch(text, maker, reference string) watchNamed {
	clean := strings.Join(strings.Fields(refWord.ReplaceAllString(text, " ")), " ")
	if r.opt.Book != nil {
		if m, ref := notes.FindWatch(clean, r.opt.Book); m != "" && ref != "" {
			return watchNamed{m, ref}
		} else if m != "" && reference == "" {
			return watchNamed{m, withoutWords(clean, m)}
		}
	}
	if maker != "" && reference != "" {
		return watchNamed{maker, refWord.ReplaceAllString(reference, "")}
	}
	if answer := r.opt.Answers[AskMaker]; answer != "" && maker == "" {
		return watchNamed{answer, clean}
	}
	return splitNames(clean)
}

func withoutWords(text, maker string) string {
	return strings.TrimSpace(strings.Replace(text, maker, "", 1))
}

// splitNames takes words with figures, and short capitals before them, for the
// reference.
func splitNames(text string) watchNamed {
	fields := strings.Fields(text)
	var maker, ref []string
	for i, f := range fields {
		next := i+1 < len(fields) && strings.ContainsFunc(fields[i+1], unicode.IsDigit)
		if strings.ContainsFunc(f, unicode.IsDigit) || len(f) <= 3 && strings.ToUpper(f) == f && next {
			ref = append(ref, f)
		} else {
			maker = append(maker, f)
		}
	}
	return watchNamed{strings.Join(maker, " "), strings.Join(ref, " ")}
}

// day reads a cell of days into a field.
func (r *reader) day(row gridRow, field string, out *Row) bool {
	c, ok := r.column(field)
	if !ok {
		return false
	}
	cell := r.get(row, field)
	date, ambiguous, ok := r.dayOf(cell, r.orders[c.at], r.opt.Now)
	switch {
	case ok:
		out.Fields[field] = date
		r.took(field)
		return true
	case ambiguous:
		r.anyOrder = append(r.anyOrder, row.line)
		return false
	case cell == "" && r.as != Sales:
		return false
	}
	reason := "not a day, month or year"
	if cell == "" {
		reason = "no day"
	}
	r.keepOut(row.line, field, cell, reason)
	return false
}

// money reads an amount into a field, with the currency of the cell, of the header, of
// the row's currency column, or of the answer.
func (r *reader) money(row gridRow, field string, out *Row) (amount, bool) {
	c, _ := r.column(field)
	cell := r.get(row, field)
	if cell == "" {
		return amount{}, false
	}
	a, ok := r.amountOf(cell)
	if !ok || !a.valid() {
		reason := "no price"
		if !r.saysNoPrice(cell) {
			reason = "not an amount of money"
		}
		r.keepOut(row.line, field, cell, reason)
		return amount{}, false
	}
	if a.Currency == "" {
		a.Currency = c.currency
	}
	if a.Currency == "" {
		a.Currency = r.currencyIn(strings.ToLower(r.get(row, "currency")))
	}
	if a.Currency == "" {
		a.Currency = r.opt.Answers[AskCurrency]
	}
	if a.Currency == "" && !slices.Contains(r.noCurrency, row.line) {
		r.noCurrency = append(r.noCurrency, row.line)
	}
	out.Fields[field] = wireMoney{a.Amount, a.Currency}
	r.took(field)
	return a, true
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
	if m, ok := table.of(cell); ok {
		out.Fields[field] = m
		r.took(field)
		return
	}
	r.keepOut(row.line, field, cell, "not understood")
}

var digits = regexp.MustCompile(`\D+`)

// number reads a serial number: its figures; a mark of doubt stays out of it.
func (r *reader) number(row gridRow, out *Row) {
	cell := r.get(row, "serial")
	if cell == "" {
		return
	}
	n := strings.TrimRight(cell, "?. ")
	if strings.ContainsFunc(n, unicode.IsLetter) {
		out.Fields["serial"] = n
	} else if n = digits.ReplaceAllString(n, ""); n != "" {
		out.Fields["serial"] = n
	} else {
		r.keepOut(row.line, "serial", cell, "no figures in it")
		return
	}
	r.took("serial")
}

// stock reads a row of a stock list.
func (r *reader) stock(row gridRow, out *Row) bool {
	r.watch(row, out)
	if out.Fields["maker"] == nil && out.Fields["reference"] == nil && r.get(row, "serial") == "" {
		return false
	}
	r.number(row, out)
	if cell := r.get(row, "year"); cell != "" {
		if y, ok := r.yearOf(cell); ok {
			out.Fields["year"] = y
			r.took("year")
		} else {
			r.keepOut(row.line, "year", cell, "not a year")
		}
	}
	r.day(row, "bought", out)
	r.money(row, "cost", out)
	r.money(row, "asking", out)
	r.meaning(row, "state", r.state, out)
	r.meaning(row, "completeness", r.completeness, out)
	r.text(row, out, "seller", "note")
	r.evidence(row, out)
	return true
}

// evidence reads the note column as notes on the watch.
func (r *reader) evidence(row gridRow, out *Row) {
	note, _ := out.Fields["note"].(string)
	if note == "" {
		return
	}
	opt := notes.Options{Book: r.opt.Book, Year: r.opt.Now.Year()}
	opt.Maker, _ = out.Fields["maker"].(string)
	opt.Reference, _ = out.Fields["reference"].(string)
	if r.opt.Book != nil {
		if _, ok := r.opt.Book.Maker(opt.Maker); !ok {
			opt.Maker, opt.Reference = "", ""
		}
	}
	out.Items = notes.Read(note, opt).Items
}

// sale reads a row of a record of sales.
func (r *reader) sale(row gridRow, out *Row) bool {
	r.watch(row, out)
	if out.Fields["maker"] == nil && out.Fields["reference"] == nil {
		if !row.empty() {
			r.keepOut(row.line, "reference", "", "no watch is named")
		}
		return false
	}
	dated := r.day(row, "date", out)
	priced := r.price(row, out)
	r.place(row, out)
	if note := r.get(row, "note"); note != "" {
		out.Fields["note"] = note
		r.took("note")
		r.described(note, out)
	}
	if cell := r.get(row, "year"); cell != "" {
		if y, ok := r.yearOf(cell); ok {
			out.Fields["year"] = y
			r.took("year")
		}
	}
	r.text(row, out, "dial", "condition", "serial")
	if cell := r.get(row, "metal"); cell != "" {
		out.Fields["metal"] = cell
		if m, ok := r.metals.of(cell); ok {
			out.Fields["metal"] = m
		}
		r.took("metal")
	}
	if r.get(row, "completeness") != "" {
		r.meaning(row, "completeness", r.completeness, out)
	}
	return dated && priced || r.ambiguousDate(row.line) && priced
}

func (r *reader) ambiguousDate(line int) bool { return slices.Contains(r.anyOrder, line) }

// price reads the price of a sale: the one column, or hammer and price with premium side
// by side.
func (r *reader) price(row gridRow, out *Row) bool {
	if _, ok := r.column("hammer"); !ok {
		if _, ok := r.column("all-in"); !ok {
			a, ok := r.money(row, "price", out)
			r.basisOf(a, row, out)
			if !ok && r.get(row, "price") == "" {
				r.keepOut(row.line, "price", "", "no price")
			}
			return ok
		}
	}
	probe := Row{Fields: map[string]any{}}
	_, hammer := r.money(row, "hammer", &probe)
	_, allIn := r.money(row, "all-in", &probe)
	basis := r.opt.Answers[AskBasis]
	switch {
	case hammer && allIn && basis == "":
		r.bothPrices = append(r.bothPrices, row.line)
		basis = "hammer"
	case hammer && !allIn:
		basis = "hammer"
	case allIn && !hammer:
		basis = "all-in"
	case !hammer && !allIn:
		r.renameKeptOut(row.line)
		return false
	}
	out.Fields["price"], out.Fields["basis"] = probe.Fields[basis], basis
	r.setCurrency(out)
	return true
}

// renameKeptOut calls a missing hammer price what it is: a missing price.
func (r *reader) renameKeptOut(line int) {
	n := 0
	for i := range r.out.KeptOut {
		k := &r.out.KeptOut[i]
		if k.Line == line && (k.Field == "hammer" || k.Field == "all-in") {
			k.Field = "price"
			n++
		}
	}
	if n == 0 {
		r.keepOut(line, "price", "", "no price")
	}
}

// basisOf takes the basis from the price cell, or from a column of its own.
func (r *reader) basisOf(a amount, row gridRow, out *Row) {
	if a.Basis != "" {
		out.Fields["basis"] = a.Basis
	}
	if cell := r.get(row, "basis"); cell != "" {
		if b, ok := r.basis.of(cell); ok {
			out.Fields["basis"] = b
			r.took("basis")
		}
		if v, ok := r.venue.of(cell); ok {
			out.Fields["venue"] = v
			r.took("basis")
		}
	}
	r.setCurrency(out)
}

func (r *reader) setCurrency(out *Row) {
	if m, ok := out.Fields["price"].(wireMoney); ok {
		out.Fields["currency"] = m.Currency
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
		if y, ok := r.yearOf(cell); ok {
			out.Fields["date"] = y
			r.took("date")
		} else {
			r.day(row, "date", out)
		}
	}
	r.text(row, out, "source", "note")
	return out.Fields["serial"] != nil
}
