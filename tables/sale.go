package tables

import (
	"slices"
	"strings"
)

// sale reads a row of a record of sales.
func (r *reader) sale(row gridRow, out *Row) bool {
	r.watch(row, out)
	if out.Fields["maker"] == nil && out.Fields["reference"] == nil {
		if !row.empty() {
			r.keepOut(row.line, "reference", "", "no watch is named: type its reference")
		}
		return false
	}
	if note := r.noted(row); r.undone(note) && !r.edited(row.line, "price") {
		r.keepOut(row.line, "price", note, "the note says that the sale did not come about or was taken back: "+
			"type the price if it counts")
		return false
	}
	dated := r.day(row, "date", out)
	priced := r.price(row, out)
	r.place(row, out)
	r.estimates(row, out)
	if note := r.get(row, "note"); note != "" {
		out.Fields["note"] = note
		r.took("note")
		r.described(note, out)
	}
	r.year(row, out)
	r.text(row, out, "dial", "condition")
	r.number(row, out)
	if cell := r.get(row, "metal"); cell != "" {
		out.Fields["metal"] = cell
		if m, ok := r.metalIn(cell); ok {
			out.Fields["metal"] = m
		}
		r.took("metal")
	}
	r.set(row, out)
	r.remarked(out)
	return dated && priced || r.ambiguousDate(row.line) && priced
}

// undone reports whether a clause of a note says that a sale did not hold: "unsold", "returned by client".
func (r *reader) undone(note string) bool {
	for _, clause := range strings.FieldsFunc(note, func(c rune) bool { return strings.ContainsRune(",;.()", c) }) {
		said := plain(clause)
		if r.takenBack[said] {
			return true
		}
		for phrase := range r.takenBack {
			rest, ok := strings.CutPrefix(said, phrase+" ")
			next, _, _ := strings.Cut(rest, " ")
			if ok && slices.Contains([]string{"by", "on", "after", "von", "am", "nach", "par", "le", "dal", "il"}, next) {
				return true
			}
		}
	}
	return false
}

func (r *reader) edited(line int, field string) bool {
	_, is := r.edits[cellAt{line, field}]
	return is
}

// estimates reads what a house expected, as a range in one column or in two.
func (r *reader) estimates(row gridRow, out *Row) {
	for _, f := range []string{"estimate_low", "estimate_high"} {
		if cell := r.get(row, f); cell != "" {
			if a, ok := r.amountOf(cell); ok {
				out.Fields[f] = a.Amount
				r.took(f)
			}
		}
	}
	cell := r.get(row, "estimate")
	at := figures.FindAllString(cell, -1)
	if len(at) != 2 {
		return
	}
	low, okLow := decimalOf(strings.TrimSpace(at[0]))
	high, okHigh := decimalOf(strings.TrimSpace(at[1]))
	if okLow && okHigh {
		out.Fields["estimate_low"], out.Fields["estimate_high"] = low, high
		r.took("estimate")
	}
}

func (r *reader) ambiguousDate(line int) bool { return lastIs(r.anyOrder, line) }

// lastIs reports whether a line is the last of those listed so far: rows are read in their order.
func lastIs(lines []int, line int) bool { return len(lines) > 0 && lines[len(lines)-1] == line }

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
