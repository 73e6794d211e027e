package tables

import (
	"regexp"
	"strings"
)

// stateOf reads the state of a watch. What a cell says beside it is kept: when and for
// how much it was sold, whose it is on consignment, and the words as they stand.
func (r *reader) stateOf(row gridRow, out *Row) {
	r.meaning(row, "state", r.state, out)
	for _, f := range []string{"sold", "sold_for"} {
		if _, ok := r.column(f); !ok {
			continue
		}
		if f == "sold" {
			r.day(row, f, out)
		} else {
			r.money(row, f, out)
		}
	}
	if out.Fields["state"] == nil && out.Fields["sold"] != nil {
		out.Fields["state"] = "sold"
	}
	c, ok := r.column("state")
	if !ok {
		return
	}
	cell := row.cell(c.at)
	if _, said := out.Fields["state"]; !said || len(strings.Fields(cell)) < 2 {
		return
	}
	switch out.Fields["state"] {
	case "sold":
		r.soldAs(cell, r.orders[c.at], row, out)
	case "consigned", "memo_out", "reserved":
		if m := whose.FindStringSubmatch(cell); m != nil {
			field := "buyer"
			if out.Fields["state"] == "consigned" {
				field = "seller"
			}
			if out.Fields[field] == nil {
				out.Fields[field] = strings.TrimSpace(m[1] + m[2])
			}
		}
	}
}

// whose is the name behind "Consigned (J. Marsh)", "Kommission Hr. Beck", "res. for Mrs Low".
var whose = regexp.MustCompile(`\(([^)]+)\)|(?:\b(?:for|from|to|of|by|von|für|bei|pour|chez|de|per|da)\s+|` +
	`[:,–-]\s*|\b(?:Kommission|consigned|reserviert|réservée?|riservato|dépôt)\s+)(\p{Lu}[\p{L}.' -]+)$`)

// soldAs finds the day and the price in words such as "Sold 4/2/25 $1,700". Where they do
// not tell both, the words are kept.
func (r *reader) soldAs(cell string, ord order, row gridRow, out *Row) {
	var rest []string
	for _, word := range strings.Fields(cell) {
		word = strings.Trim(word, "(),;")
		if out.Fields["sold"] != nil || !r.looksLikeDay(word) {
			rest = append(rest, word)
			continue
		}
		if c, ok := r.column("bought"); ok && ord == unknown {
			ord = r.orders[c.at]
		}
		if day, _, ok := r.dayOf(word, ord, r.opt.Now); ok {
			out.Fields["sold"] = day
		}
	}
	if a, ok := r.amountOf(strings.Join(rest, " ")); ok && a.Currency != "" && a.valid() && out.Fields["sold_for"] == nil {
		out.Fields["sold_for"] = wireMoney{a.Amount, r.dollarsOfTheShop(cell, a.Currency)}
	}
	if out.Fields["sold"] == nil || out.Fields["sold_for"] == nil {
		out.Fields["sold_words"] = cell
	}
}

// set reads what comes with a watch: by the words for box and papers with what denies
// them, else by the usual phrases.
func (r *reader) set(row gridRow, out *Row) {
	if r.boxAndPapersApart(row, out) {
		return
	}
	cell := r.get(row, "completeness")
	if cell == "" {
		return
	}
	if c, ok := r.boxAndPapers(cell); ok {
		out.Fields["completeness"] = c
		r.took("completeness")
		return
	}
	if c, ok := r.completeness.of(cell); ok {
		out.Fields["completeness"] = c
		r.took("completeness")
		return
	}
	if c, ok := r.yesAndNo(cell); ok {
		out.Fields["completeness"] = c
		r.took("completeness")
		return
	}
	r.keepOut(row.line, "completeness", cell, "not understood: write full set, papers, box or watch only")
}

// boxAndPapersApart reads two columns that say yes or no to a box and to papers.
func (r *reader) boxAndPapersApart(row gridRow, out *Row) bool {
	if _, ok := r.column("papers"); !ok {
		return false
	}
	has, said := map[string]bool{}, false
	for _, f := range []string{"box", "papers"} {
		cell := r.get(row, f)
		yes := r.yes.has(cell) || strings.EqualFold(cell, "x")
		if cell == "" || !yes && !r.no.has(cell) && !r.without.has(cell) {
			continue
		}
		has[f], said = yes, true
		r.took(f)
	}
	switch {
	case has["box"] && has["papers"]:
		out.Fields["completeness"] = "full"
	case has["papers"]:
		out.Fields["completeness"] = "papers"
	case said:
		out.Fields["completeness"] = "watch"
	}
	return said
}

// yesAndNo reads "oui/non" under a heading that names box and papers, in its order.
func (r *reader) yesAndNo(cell string) (string, bool) {
	c, ok := r.column("completeness")
	if !ok {
		return "", false
	}
	parts := strings.FieldsFunc(plain(cell), func(c rune) bool { return c == '/' || c == ',' || c == '+' || c == ' ' })
	var there []string
	for _, w := range strings.Fields(boxSigns.Replace(strings.ToLower(c.Header))) {
		switch w = strings.Trim(w, ".:()"); {
		case r.boxWords.has(w):
			there = append(there, "box")
		case r.paperWords.has(w):
			there = append(there, "papers")
		}
	}
	if len(parts) != 2 || len(there) != 2 || there[0] == there[1] {
		return "", false
	}
	has := map[string]bool{}
	for i, p := range parts {
		if !r.yes.has(p) && !r.without.has(p) {
			return "", false
		}
		has[there[i]] = r.yes.has(p)
	}
	switch {
	case has["box"] && has["papers"]:
		return "full", true
	case has["papers"]:
		return "papers", true
	}
	return "watch", true
}

var boxSigns = strings.NewReplacer("’", "'", ",", " , ", ";", " , ", "+", " + ", "&", " + ", "/", " / ", "b/p", "b + p")

// boxAndPapers reads words for box and papers. A denial reaches on over "or" and "and",
// up to a comma or a "with".
func (l *lexicon) boxAndPapers(cell string) (string, bool) {
	box, papers, named, denied, anyDenied := false, false, 0, false, false
	wasBox, wasPapers, since := false, false, 0 // at the last comma, and what was named since
	lower := strings.ToLower(cell)
	if rest, ok := strings.CutPrefix(lower, "o. "); ok {
		lower = "ohne " + rest
	}
	words := strings.Fields(boxSigns.Replace(lower))
	for _, w := range words {
		w = strings.Trim(w, ".:()")
		switch {
		case w == "," || w == "with" || w == "mit" || w == "avec" || w == "con" || w == "but" || w == "only":
			denied, wasBox, wasPapers, since = false, box, papers, 0
		case l.behind.has(w) && since > 0: // "papers lost"
			box, papers, anyDenied = wasBox, wasPapers, true
		case l.without.has(w) && w != "":
			denied, anyDenied = true, true
		case l.boxWords.has(w):
			box = box || !denied
			named, since = named+1, since+1
		case l.paperWords.has(w):
			papers = papers || !denied
			named, since = named+1, since+1
		}
	}
	switch {
	case named < 2 && !anyDenied, named == 0:
		return "", false
	case box && papers:
		return "full", true
	case papers:
		return "papers", true
	}
	return "watch", true
}

// denied reports whether the words before a phrase take it back: "not sold yet" is not sold.
func (l *lexicon) denied(cell string, table meanings, id string) bool {
	p := " " + plain(cell) + " "
	for _, x := range table.all {
		at := strings.Index(p, x.phrase)
		if x.id != id || at < 0 {
			continue
		}
		before := strings.Fields(p[:at])
		for _, w := range before[max(0, len(before)-3):] {
			if l.denials.has(w) {
				return true
			}
		}
		return false
	}
	return false
}
