package imports

import (
	"bytes"
	"strings"

	"midcase/internal/shop/people"
	"midcase/tables"
)

// Understood is what a file says: a table of the kind, or vCards where it is to list clients.
func Understood(data []byte, as tables.Kind, opt tables.Options) (tables.Reading, error) {
	if as != tables.Clients || !people.IsCards(data) {
		return tables.Read(data, as, opt)
	}
	cards, rejected, err := people.ReadCards(bytes.NewReader(data))
	if err != nil {
		return tables.Reading{}, err
	}
	out := tables.Reading{Columns: []tables.Column{}, Rows: []tables.Row{}, Questions: []tables.Question{},
		KeptOut: []tables.KeptOut{}, Repeated: []tables.Repeat{}}
	for _, p := range rejected {
		out.KeptOut = append(out.KeptOut, tables.KeptOut{Line: p.Line, Field: "name", Reason: p.Why})
	}
	earlier := people.EarlierCards(cards)
	for i, c := range cards {
		if of := earlier[i]; of > 0 {
			out.Repeated = append(out.Repeated, tables.Repeat{Line: c.N, Of: of})
		}
		out.Rows = append(out.Rows, tables.Row{Line: c.N, Fields: fieldsOf(c)})
	}
	return out, nil
}

// fieldsOf are the fields of a card by their names in a list of clients. Consent is never among them.
func fieldsOf(c people.Card) map[string]any {
	a := c.Client.Address
	var street []string
	for _, v := range []string{a.Street, a.PostCode, a.City, a.Region, a.Country} {
		if v != "" {
			street = append(street, v)
		}
	}
	out := map[string]any{}
	for name, v := range map[string]string{"name": c.Client.Name, "first": c.First, "last": c.Last,
		"email": c.Client.Email, "phone": c.Client.Phone, "address": strings.Join(street, ", "),
		"note": strings.TrimSpace(c.Client.Note)} {
		if v != "" {
			out[name] = v
		}
	}
	return out
}
