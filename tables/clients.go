package tables

import (
	"net/mail"
	"strings"
)

// client reads a row of a list of clients. An empty opt-in is no consent, and what is
// neither yes nor no is asked.
func (r *reader) client(row gridRow, out *Row) bool {
	r.text(row, out, "name", "first", "last", "address", "interests", "note", "signed_up")
	r.reached(row, out)
	r.whole(row, out)
	r.names(out)
	r.consent(row, out)
	if out.Fields["name"] == nil && out.Fields["email"] == nil && out.Fields["phone"] == nil {
		return r.lost(row, "name", "nobody is named: type a name, an e-mail address or a telephone number")
	}
	r.remarked(out)
	return true
}

// reached reads the e-mail address and the telephone number of a client. Of several addresses the first is taken, and
// all stay on record.
func (r *reader) reached(row gridRow, out *Row) {
	if cell := r.get(row, "email"); cell != "" {
		all := strings.FieldsFunc(cell, func(c rune) bool { return c == ';' || c == ',' || c == '/' })
		var first string
		for i, one := range all {
			a, err := mail.ParseAddress(strings.TrimSpace(one))
			if err != nil || !mailLike.MatchString(a.Address) {
				first = ""
				break
			}
			if i == 0 {
				first = strings.ToLower(a.Address)
			}
		}
		switch {
		case first == "":
			r.keepOut(row.line, "email", cell, "not an e-mail address")
		default:
			out.Fields["email"] = first
			r.took("email")
			if len(all) > 1 {
				r.remark(out, "email", cell)
			}
		}
	}
	switch cell := r.get(row, "phone"); {
	case cell == "":
	case hasFigure(cell):
		out.Fields["phone"] = cell
		r.took("phone")
	case !r.saysNoPrice(cell):
		r.keepOut(row.line, "phone", cell, "no telephone number: type its figures, or leave the cell empty")
	}
}

// names joins first and last name, or parts the name ("Last, First").
func (r *reader) names(out *Row) {
	first, _ := out.Fields["first"].(string)
	last, _ := out.Fields["last"].(string)
	name, _ := out.Fields["name"].(string)
	switch {
	case first != "" && last != "", name == "" && first+last != "":
		out.Fields["name"] = strings.TrimSpace(first + " " + last)
	case name != "" && first+last == "":
		if l, f, ok := strings.Cut(name, ","); ok {
			out.Fields["first"], out.Fields["last"] = strings.TrimSpace(f), strings.TrimSpace(l)
			out.Fields["name"] = strings.TrimSpace(f) + " " + strings.TrimSpace(l)
		} else if at := strings.LastIndex(name, " "); at > 0 {
			out.Fields["first"], out.Fields["last"] = name[:at], name[at+1:]
		}
	}
}

// whole joins the parts of an address.
func (r *reader) whole(row gridRow, out *Row) {
	street, _ := out.Fields["address"].(string)
	r.text(row, out, "postcode", "city", "country")
	text := func(field string) string { t, _ := out.Fields[field].(string); return t }
	town := strings.TrimSpace(text("postcode") + " " + text("city"))
	var parts []string
	for _, p := range []string{street, town, text("country")} {
		if p != "" {
			parts = append(parts, p)
		}
	}
	if len(parts) > 0 {
		out.Fields["address"] = strings.Join(parts, ", ")
	}
}

// refuses reports whether an opt-in cell says no in more words, which no answer about the others turns into a yes: "no
// thanks", "unsubscribed 2022", "not yet".
func (r *reader) refuses(cell string) bool {
	said := plain(cell)
	for phrase := range r.no {
		if len(phrase) > 2 && strings.HasPrefix(said, phrase+" ") {
			return true // "opted out 3/2024"
		}
	}
	for i, w := range strings.Fields(said) {
		if i == 0 && r.no.has(w) || r.withdrew.has(w) || r.without.has(w) || r.denials.has(w) && len(w) > 2 {
			return true
		}
	}
	return false
}

func (r *reader) consent(row gridRow, out *Row) {
	cell := r.get(row, "consent")
	if before, _, ok := strings.Cut(cell, "("); ok { // "yes (March 2024)"
		cell = strings.TrimSpace(before)
	}
	switch {
	case cell == "":
	case r.no.has(cell), r.refuses(cell):
		out.Fields["consent"] = "no"
		r.took("consent")
	case r.yes.has(cell):
		out.Fields["consent"] = "yes"
		r.took("consent")
	default:
		r.anyConsent = append(r.anyConsent, row.line)
		if answer := r.opt.Answers[AskConsent]; answer != "" {
			out.Fields["consent"] = answer
			r.took("consent")
		}
	}
}
