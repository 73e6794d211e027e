package ledger

import (
	"midcase/internal/web/pages/frame"
	"midcase/internal/web/pages/life"
)

// Kinds are the entries without a watch that can be made by hand.
func Kinds() []frame.Choice {
	return []frame.Choice{{Value: "overhead", Text: "A cost of the shop"}, {Value: "capital", Text: "Money of the owner in"}, {Value: "capital-out", Text: "Money of the owner out"}, {Value: "exchange", Text: "Money changed"}}
}

func payment(label string, owed bool) life.Field {
	f := life.Field{Name: "pay", Label: label, Kind: "select", Options: []frame.Choice{{Value: "bank", Text: "bank"}, {Value: "cash", Text: "cash"}}}
	if owed {
		f.Options = append(f.Options, frame.Choice{Value: "owed", Text: "later (it stands open)"})
	}
	return f
}

var (
	dayField      = life.Field{Name: "day", Label: "Day", Kind: "day", Hint: "empty: today"}
	rateField     = life.Field{Name: "rate", Label: "Rate of exchange", Kind: "rate", Hint: "the shop's currency for 1 of the other; empty: the table's"}
	documentField = life.Field{Name: "document", Label: "Number of the invoice or payment"}
	textField     = life.Field{Name: "text", Label: "What it is for", Hint: "nothing about people: it is kept for good", Broad: true}
)

// EnterFields are the questions of an entry of a kind.
func EnterFields(kind string) []life.Inputs {
	amount := life.Field{Name: "amount", Label: "Amount", Kind: "money", Hint: "such as 1450, or 1450 CHF"}
	switch kind {
	case "capital", "capital-out":
		label := "Paid into"
		if kind == "capital-out" {
			label = "Paid from"
		}
		return []life.Inputs{{Fields: []life.Field{amount, payment(label, false), dayField, rateField, textField}}}
	case "exchange":
		out, in := amount, amount
		out.Label, in.Label, in.Name = "Went out", "Came in", "in"
		rate, inRate := rateField, rateField
		rate.Label, inRate.Label, inRate.Name = "Rate of what went out", "Rate of what came in", "in_rate"
		into := payment("Into", false)
		into.Name = "into"
		return []life.Inputs{{Fields: []life.Field{out, payment("From", false), in, into, dayField, rate, inRate, textField}}}
	}
	tax := life.Field{Name: "tax", Label: "Tax in it, to reclaim", Kind: "money", Hint: "empty: none"}
	client := life.Field{Name: "client", Label: "Paid to", List: "people", Hint: "a client on record; empty: nobody"}
	return []life.Inputs{{Fields: []life.Field{amount, client, payment("Paid from", true), dayField, tax, rateField, documentField, textField}}}
}

// SettleFields are the questions of a settlement.
func SettleFields() []life.Inputs {
	return []life.Inputs{{Fields: []life.Field{{Name: "amount", Label: "Amount", Kind: "money"}, payment("Paid by", false), dayField, documentField, rateField}}}
}
