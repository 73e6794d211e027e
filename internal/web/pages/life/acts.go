package life

import (
	"slices"

	"midcase/internal/shop"
	"midcase/internal/web/pages/frame"
)

// Act is one step that the watch may take next, or one thing to book about it.
type Act struct {
	ID   string
	Name string // on the choice, such as "Buy"
	Do   string // on the button, such as "Book the purchase"
	Says string // what it does, in a sentence
}

// The acts. What each needs is in Groups.
var (
	buy          = Act{"buy", "Buy", "Book the purchase", "The watch becomes the shop's own stock at the price paid."}
	consign      = Act{"consign", "Take on consignment", "Take it in", "The watch stays its owner's; the shop earns a commission or what the price exceeds."}
	share        = Act{"share", "Buy with partners", "Book the shared purchase", "The own part goes into stock; each partner is charged its share."}
	exchange     = Act{"exchange", "Take in part exchange", "Book the part exchange", "What it counts for is taken off what its owner still owes for a watch bought here."}
	decline      = Act{"decline", "Decline", "Give it back", "The offer was declined and the watch went back."}
	offerAgain   = Act{"offer-again", "Offered again", "Put it on the desk again", "It came back and is thought about once more."}
	enter        = Act{"enter", "Enter its purchase", "Enter the purchase", "The watch is in stock, but the ledger does not know what it cost. This books the purchase only."}
	enterConsign = Act{"consign", "Enter its consignment", "Enter the consignment", "The watch is here on consignment, but the ledger does not know on what terms."}
	workshop     = Act{"at_watchmaker", "To the watchmaker", "Send it to the watchmaker", "Who has it and when it is due back; book the work when the bill comes."}
	photographed = Act{"photographed", "Photographed", "Mark as photographed", "Pictures are taken; it is ready to be listed."}
	list         = Act{"listed", "List", "List it", "From this day on it counts as on sale."}
	back         = Act{"back", "Back in stock", "Put it back in stock", "Off sale and back from wherever it was."}
	reserve      = Act{"reserve", "Reserve", "Reserve it", "Held for one buyer until a day, with a deposit or without."}
	deposit      = Act{"reserve", "More deposit, other day", "Change the reservation", "A further deposit of the same buyer, or another last day."}
	release      = Act{"release", "End the reservation", "End the reservation", "The watch is listed again. Deposits go back, or stay with the shop as agreed and as law allows."}
	memo         = Act{"memo", "Out on memo", "Send it out on memo", "Another dealer has it unsold and brings it back by a day."}
	sell         = Act{"sell", "Sell", "Book the sale", "The price, the tax, the watch's own cost, partners' parts or the consignor's due are booked together."}
	refund       = Act{"refund", "Take it back", "Refund and take it back", "The whole sale is turned round and the watch comes back into stock."}
	allowance    = Act{"allowance", "Refund a part", "Book the allowance", "The sale stands at a lower price; tax and partners' parts follow."}
	giveBack     = Act{"give-back", "Give back to its owner", "Give it back", "The consigned watch goes back to its owner unsold."}
	work         = Act{"work", "Book work", "Book the work", "Service or repair with its cost; original parts taken out go into the watch's bag. It becomes part of the cost."}
	fee          = Act{"fee", "Book a fee", "Book the fee", "A cost of selling: photographs, insurance, carriage, a venue's or a card's charge."}
	place        = Act{"place", "Another place", "Move it", "The state stays; where it is changes."}
	writeOff     = Act{"write-off", "Write it off", "Write it off", "Lost or stolen: its cost becomes a loss."}
)

// byState are the acts that lead into a state by Move.
var byState = map[shop.State]Act{shop.AtWorkshop: workshop, shop.Photographed: photographed, shop.Listed: list, shop.Reserved: reserve, shop.OnMemo: memo, shop.Sold: sell}

// Acts lists what may be done with the watch now, the steps first.
func Acts(l shop.Life) []Act {
	w := l.Watch
	owned := l.Where.Owned
	var out []Act
	switch w.State {
	case shop.Offered:
		return append([]Act{buy, consign, share, exchange, decline}, place)
	case shop.Sold:
		if l.Holding.Sale != nil {
			out = append(out, refund, allowance)
		}
		return append(out, fee)
	}
	if owned == "" {
		return []Act{offerAgain}
	}
	for _, to := range shop.NextStates(w) {
		switch {
		case to == shop.Bought || to == shop.Consigned || to == shop.PartShare:
			out = append(out, back)
		case to == shop.Returned && owned == shop.OfOthers:
			out = append(out, giveBack)
		case to == shop.Listed && w.State == shop.Reserved:
			out = append(out, release)
		default:
			if a, ok := byState[to]; ok {
				out = append(out, a)
			}
		}
	}
	if w.State == shop.Reserved {
		out = append(out, deposit)
	}
	unknown := l.Holding.Bought == "" && l.Holding.Consign == nil
	if unknown && owned == shop.OfOthers {
		out = append(out, enterConsign)
	} else if unknown && owned == shop.Own {
		out = append(out, enter)
	}
	out = append(out, work, fee, place)
	if l.Holding.Owned() {
		out = append(out, writeOff)
	}
	return out
}

// Find is the act of an id among those that may be done.
func Find(acts []Act, id string) (Act, bool) {
	i := slices.IndexFunc(acts, func(a Act) bool { return a.ID == id })
	if i < 0 {
		return Act{}, false
	}
	return acts[i], true
}

// fields of many forms.
var (
	day      = Field{Name: "day", Label: "Day", Kind: "day", Hint: "empty: today"}
	where    = Field{Name: "place", Label: "Place", Hint: "where it is then; empty: as before"}
	document = Field{Name: "document", Label: "Invoice or receipt number"}
	rate     = Field{Name: "rate", Label: "Rate of exchange", Kind: "rate", Hint: "the shop's currency for 1 of the other; empty: the table's of that day"}
	override = Field{Name: "override", Label: "Reason for going ahead against a hold", Broad: true, Hint: "only where something stands against it; it is kept with the step for good"}
	note     = Field{Name: "note", Label: "Note", Hint: "nothing about people: it is kept for good", Broad: true}
	tax      = Field{Name: "tax", Label: "Tax in it, to reclaim", Kind: "money", Hint: "ordinary scheme only; empty: none"}
	newOne   = Field{Name: "new_client", Label: "Add as a new client if not on record", Kind: "check"}
	kind     = Field{Name: "client_kind", Label: "The new client is a", Kind: "select", Options: []frame.Choice{{Value: "person", Text: "person"}, {Value: "dealer", Text: "dealer"}, {Value: "firm", Text: "firm"}, {Value: "workshop", Text: "workshop"}}}
	scheme   = Field{Name: "scheme", Label: "Tax scheme", Kind: "select", Options: []frame.Choice{{Value: "", Text: "the shop's usual"}, {Value: "margin", Text: "margin"}, {Value: "ordinary", Text: "ordinary"}, {Value: "none", Text: "none"}}}
)

func client(label, hint string) Field {
	return Field{Name: "client", Label: label, List: "people", Hint: hint}
}

func amount(label, hint string) Field {
	return Field{Name: "amount", Label: label, Kind: "money", Hint: hint}
}

func pay(label string, options ...string) Field {
	f := Field{Name: "pay", Label: label, Kind: "select"}
	texts := map[string]string{"bank": "bank", "cash": "cash", "owed": "later (it stands open)", "capital": "older books (opening balance)", "keep": "kept by the shop"}
	for _, o := range options {
		f.Options = append(f.Options, frame.Choice{Value: o, Text: texts[o]})
	}
	return f
}

// person are the fields for who comes into it first; with identity where rules may ask for it.
func person(identity bool) Inputs {
	g := Inputs{Title: "Not on record yet?", Fields: []Field{newOne, kind}}
	if identity {
		g.Title = "Not on record yet, or identity seen now?"
		g.Fields = append(g.Fields, Field{Name: "paper", Label: "Identity: paper seen", Hint: "passport, identity card; empty: not seen now"}, Field{Name: "number", Label: "Its number"}, Field{Name: "issuer", Label: "Issued by"})
	}
	return g
}

func more(fields ...Field) Inputs { return Inputs{Title: "Rate, tax, documents", Fields: fields} }

// Groups are the questions of an act.
func Groups(a Act, l shop.Life) []Inputs {
	until := Field{Name: "due", Label: "Due back", Kind: "day"}
	switch a.ID {
	case "buy", "enter":
		how := pay("Paid from", "bank", "cash", "owed")
		if a.ID == "enter" {
			how = pay("Paid from", "capital", "bank", "cash", "owed")
		}
		return []Inputs{{Fields: []Field{amount("Price paid", "such as 5200, or 5200 CHF"), client("Seller", "name, e-mail or id"), how, day, where}}, person(true), more(rate, scheme, tax, document, override)}
	case "consign":
		return []Inputs{{Fields: []Field{amount("Agreed value", "for insurance; such as 5200"), client("Owner", "name, e-mail or id"), {Name: "commission", Label: "Commission, % of the price", Kind: "number", Hint: "such as 15; or"},
			{Name: "net", Label: "What the owner gets, whatever the price", Kind: "money"}, day, where}}, person(true), more(rate, document, override)}
	case "share":
		return []Inputs{{Fields: []Field{amount("Price of the whole watch", "such as 9000"), client("Seller", "or the partner who leads"), {Name: "partner", Label: "Partner", List: "people", Hint: "a dealer on record"}, {Name: "partner_share", Label: "Partner's share, %", Kind: "number", Hint: "such as 50"},
			{Name: "partner2", Label: "Second partner", List: "people", Hint: "if there is one"}, {Name: "partner2_share", Label: "Second partner's share, %", Kind: "number"}, {Name: "leads", Label: "The partner paid and will sell", Kind: "check"}, pay("Paid from", "bank", "cash", "owed"), day, where}}, person(true), more(rate, scheme, document, override)}
	case "exchange":
		return []Inputs{{Fields: []Field{amount("What it counts for", "such as 2500"), client("Its owner", "who bought the other watch and still owes for it"), {Name: "against", Label: "For the watch, file or serial number", Hint: "the watch that was sold"}, day, where}}, person(true), more(rate, scheme, document)}
	case "decline", "offer-again", "back", "photographed":
		return []Inputs{{Fields: []Field{day, where, note}}}
	case "at_watchmaker":
		until.Label = "Due back from the watchmaker"
		return []Inputs{{Fields: []Field{{Name: "holder", Label: "Watchmaker", List: "people", Hint: "a client, or any name of a firm"}, until, day, where, note}}}
	case "listed":
		return []Inputs{{Fields: []Field{{Name: "asking", Label: "We ask", Kind: "money", Value: plain(l.Watch.Asking), Hint: "empty: as before"}, day, where, note}}}
	case "place":
		return []Inputs{{Fields: []Field{{Name: "place", Label: "Place", Value: l.Watch.Place, Hint: "where it is now"}, {Name: "holder", Label: "Who has it in hand", List: "people", Hint: "empty: the shop"}, until, day, note}}}
	case "reserve":
		until.Label = "Reserved until"
		return []Inputs{{Fields: []Field{client("Buyer", "name, e-mail or id"), until, amount("Deposit", "empty: none"), pay("Deposit paid by", "bank", "cash"), day}}, person(false), more(rate, document, override)}
	case "memo":
		return []Inputs{{Fields: []Field{client("Who takes it", "a dealer on record"), until, day, where, note}}, person(false)}
	case "release":
		return []Inputs{{Fields: []Field{pay("Deposits go back by", "bank", "cash", "keep"), day, where, document}}}
	case "sell":
		route := Field{Name: "route", Label: "Route", Kind: "select"}
		for _, r := range shop.Routes() {
			route.Options = append(route.Options, frame.Choice{Value: r, Text: r})
		}
		fields := []Field{amount("Price", "the whole price; a deposit taken is part of it"), client("Buyer", "name, e-mail or id"), route, pay("Paid by", "bank", "cash", "owed"), day, document}
		rest := more(rate, Field{Name: "scheme", Label: "Tax scheme", Kind: "select", Options: append([]frame.Choice{{Value: "", Text: "as bought"}}, scheme.Options[1:]...)}, Field{Name: "tax_rate", Label: "Tax rate, %", Kind: "number", Hint: "empty: the shop's"}, where)
		if l.Holding.Leader != "" {
			rest.Fields = append(rest.Fields, Field{Name: "accounted", Label: "What the leading partner accounts for", Kind: "money", Hint: "price less its tax and costs"})
		}
		return []Inputs{{Fields: fields}, {Fields: []Field{override}}, person(false), rest}
	case "refund":
		return []Inputs{{Fields: []Field{pay("Money goes back by", "bank", "cash", "owed"), day, where, document}}, more(override)}
	case "allowance":
		return []Inputs{{Fields: []Field{amount("Given back", "the sale stands at so much less"), pay("Paid by", "bank", "cash", "owed"), day, document}}, more(rate, override)}
	case "give-back":
		return []Inputs{{Fields: []Field{day, where, document}}}
	case "work", "fee":
		what := Field{Name: "what", Label: "What was done", Hint: "service, repair, polish"}
		who := client("Workshop", "name, e-mail or id")
		if a.ID == "fee" {
			what, who = Field{Name: "what", Label: "What it was for", Hint: "photographs, carriage, commission"}, client("Paid to", "empty: nobody on record")
		}
		fields := []Field{what, amount("Cost", "such as 450"), who, pay("Paid from", "bank", "cash", "owed"), day}
		groups := []Inputs{{Fields: fields}}
		if a.ID == "work" {
			parts := []Field{}
			for _, n := range []string{"1", "2"} {
				parts = append(parts, Field{Name: "bag_slot" + n, Label: "Original part taken out and kept", Kind: "select", Options: slots()}, Field{Name: "bag_what" + n, Label: "What it is", Hint: "such as worn original crown"})
			}
			parts = append(parts, Field{Name: "back_slot", Label: "Part put back from the bag", Kind: "select", Options: inBag(l.Where.Bag)})
			groups = append(groups, Inputs{Title: "Parts into the bag, or back from it", Fields: parts}, person(false))
		}
		rest := more(rate, tax, document, override)
		if l.Where.Owned == shop.OfOthers {
			rest.Fields = append(rest.Fields, Field{Name: "for_consignor", Label: "Its owner bears it", Kind: "check"})
		}
		return append(groups, rest)
	case "write-off":
		return []Inputs{{Fields: []Field{{Name: "text", Label: "What happened", Hint: "nothing about people", Broad: true}, day, document}}}
	}
	return nil
}
