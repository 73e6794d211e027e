package document

import (
	"strings"

	"midcase/money"
)

// The papers that go with a watch which leaves the house.
const (
	KindWork    = "repair order"
	KindPacking = "packing list"
)

// WorkOrder goes with a watch to whoever is to work on it: what is to be done, what must not be, and up to which sum.
type WorkOrder struct {
	Head
	Goods    Goods       `json:"goods"`
	Workshop Party       `json:"workshop"`
	Handed   string      `json:"handed_over"`    // the day, ISO 8601
	Due      string      `json:"due,omitempty"`  // the day it is due back, EDTF
	Work     []string    `json:"work"`           // what is to be done, one a line
	Limit    money.Money `json:"limit,omitzero"` // the sum of the estimates; more only after asking
	Lume     string      `json:"lume,omitempty"` // what is known of luminous paint
}

// keepAsItIs is what every workshop is told; what may be done with an old watch is often more than a workshop thinks.
var keepAsItIs = []string{
	"Nothing is done beyond what is written here without asking first; where it would cost more, an estimate comes before the work.",
	"The case is not polished, buffed or brushed. Dial and hands are not cleaned, refinished or given new luminous material. No number, mark or engraving is removed or deepened.",
	"Parts that are replaced come back with the watch, in a bag with its number; the order says which part was put in and where it came from.",
	"Nothing is tested for water resistance with the watch closed and the movement inside unless it is written here.",
}

const lumeUnknown = "Luminous material of old watches may hold radium, promethium or tritium. It is not scraped, brushed or " +
	"blown out; work on it is for a workshop that is equipped and allowed to do it."

func (n *WorkOrder) slip() slip {
	p := slip{head: n.Head, goods: n.Goods, title: titled("Repair order", n.Number),
		sides: [2]side{{"Ordered by", n.Issuer}, {"Workshop", n.Workshop}}}
	p.lead = "One wristwatch handed over for work; it stays the property of its owner: " + n.Goods.Title + "."
	due := "to be agreed"
	if n.Due != "" {
		due = isoDayWords(n.Due)
	}
	p.facts = []fact{{name: "Handed over", text: isoDayWords(n.Handed)}, {name: "Due back", text: due}}
	if !n.Limit.IsZero() {
		p.total = amountLine{text: "Up to, without asking", amount: n.Limit}
	}
	p.paras = []string{"To be done: look at it and give an estimate. No work before it is agreed."}
	for i, work := range n.Work {
		if i == 0 {
			p.paras[0] = "To be done: " + work + "."
			continue
		}
		p.paras = append(p.paras, "And: "+work+".")
	}
	p.declaration = "The workshop agrees:"
	p.declares = append(append(p.declares, keepAsItIs...), orElse(n.Lume, lumeUnknown))
	p.signs = []string{"for the shop", "for the workshop"}
	p.cautions = []string{lawCaution}
	return p
}

// PackingList goes into the parcel with a watch: what is in it, and what carrier and customs ask.
type PackingList struct {
	Head
	Goods    Goods       `json:"goods"`
	To       Party       `json:"to"`
	Sent     string      `json:"sent"` // the day of the dealing, ISO 8601
	Contents []string    `json:"contents"`
	Value    money.Money `json:"value,omitzero"`
	Lume     string      `json:"lume,omitempty"`
	Precious bool        `json:"precious"` // the case is wholly of precious metal
	Sold     bool        `json:"sold"`     // else it is sent on memo and comes back
}

func (n *PackingList) slip() slip {
	p := slip{head: n.Head, goods: n.Goods, title: titled("Packing list", n.Number),
		sides: [2]side{{"From", n.Issuer}, {"To", n.To}}}
	p.lead = "In this parcel: " + n.Goods.Title + "."
	why := "sent on memo, not sold; it comes back or is invoiced"
	if n.Sold {
		why = "sold, second-hand"
	}
	heading := "9102: wrist-watches other than with a case wholly of precious metal"
	if n.Precious {
		heading = "9101: wrist-watches with a case wholly of precious metal or of metal clad with it"
	}
	p.facts = []fact{{name: "Day", text: isoDayWords(n.Sent)}, {name: "Why it is sent", text: why},
		{name: "Customs heading", text: heading}}
	if !n.Value.IsZero() {
		p.total = amountLine{text: "Value for customs and carriage", amount: n.Value}
	}
	p.paras = []string{
		"Contents: " + strings.Join(n.Contents, "; ") + ".",
		"Mechanical: there is no cell or battery in it.",
		"Luminous paint: " + orElse(n.Lume, "none is known of, and none was measured.") + " Ask the carrier before you send it: " +
			"goods with radioactive material fall under rules of their own (UN 2911, instruments and articles), and post and carriers may refuse them.",
		"Straps: leather of protected animals, such as crocodiles, needs permits across borders. Where none is there, take the strap off before it is sent abroad.",
		"Heading, value and origin are declared by the sender, who answers for them. The heading is the usual one by the metal of the case; customs decide.",
	}
	p.signs = []string{"packed by", "received by"}
	p.cautions = []string{lawCaution}
	return p
}
