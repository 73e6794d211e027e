package change

import (
	"fmt"
	"strconv"
	"strings"

	"github.com/a-h/templ"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// Values are the record as the form shows it.
func Values(w shop.Watch) map[string]string {
	return map[string]string{
		"state": string(w.State), "place": w.Place, "asking": amount(w.Asking), "cost": amount(w.Cost), "asked": amount(w.Asked),
		"acquired": w.Acquired.String(), "note": w.Note,
	}
}

func amount(m money.Money) string {
	if m.IsZero() {
		return ""
	}
	return m.String()
}

// Read takes a form over the record.
func Read(w shop.Watch, currency money.Currency, values map[string]string) (shop.Watch, evidence.Problems) {
	var p evidence.Problems
	w.State = shop.State(values["state"])
	known := false
	for _, s := range shop.States() {
		known = known || s == w.State
	}
	if !known {
		p = append(p, evidence.Problem{Field: "state", Found: strconv.Quote(values["state"]), Want: "one of the list"})
	}
	w.Place, w.Note = strings.TrimSpace(values["place"]), strings.TrimSpace(values["note"])
	for name, into := range map[string]*money.Money{"asking": &w.Asking, "cost": &w.Cost, "asked": &w.Asked} {
		m, err := Money(values[name], currency)
		if err != nil {
			p = append(p, evidence.Problem{Field: name, Found: strconv.Quote(values[name]), Want: "an amount above zero, such as 6500 or 6500 EUR; empty if there is none"})
			continue
		}
		*into = m
	}
	w.Acquired = edtf.Date{}
	if text := strings.TrimSpace(values["acquired"]); text != "" {
		date, err := edtf.Parse(text)
		if err != nil {
			p = append(p, evidence.Problem{Field: "acquired", Found: strconv.Quote(text), Want: "a day, month or year, such as 2026-03-01"})
		}
		w.Acquired = date
	}
	return w, p
}

// Money reads an amount with or without its currency; nothing is no amount. A mark that
// may be of thousands or of decimals is read as in English, and refused where that would
// be a guess.
func Money(text string, currency money.Currency) (money.Money, error) {
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return money.Money{}, nil
	}
	if last := fields[len(fields)-1]; len(fields) > 1 && len(last) == 3 && strings.Trim(last, "0123456789") == last {
		currency, fields = money.Currency(strings.ToUpper(last)), fields[:len(fields)-1]
	}
	plain, err := wording.English.Amount(strings.Join(fields, ""))
	if err != nil {
		return money.Money{}, err
	}
	m, err := money.Parse(plain, string(currency))
	if err == nil && m.Sign() <= 0 {
		err = fmt.Errorf("amount %q is not above zero", text)
	}
	return m, err
}

// Differences are the fields in which two records differ from what was typed.
func Differences(typed, now map[string]string) map[string]string {
	out := map[string]string{}
	for name, v := range now {
		if typed[name] != v {
			out[name] = v
		}
	}
	return out
}

func problem(d Data, name string) string {
	for _, p := range d.Problems {
		if p.Field == name {
			return "Found " + p.Found + "; want " + p.Want + "."
		}
	}
	return ""
}

func attributes(d Data, name string) templ.Attributes {
	a := templ.Attributes{"aria-describedby": "h-" + name}
	if problem(d, name) != "" {
		a["aria-describedby"], a["aria-invalid"] = "e-"+name, "true"
	}
	if name == "place" {
		a["list"] = "places"
	}
	return a
}

func orNothing(s string) string {
	if s == "" {
		return "nothing"
	}
	return s
}
