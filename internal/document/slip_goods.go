package document

import (
	"midcase/money"
	"midcase/say"
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

func (n *WorkOrder) slip() slip {
	w := n.writer()
	text := func(s say.Statement) string { return w.Capital(s) }
	p := slip{head: n.Head, goods: n.Goods, title: text(say.That("repair.title", say.Name("number", n.numbered()))),
		lead:  text(say.That("repair.lead", say.Name("watch", n.Goods.Title))),
		sides: [2]side{{text(say.That("repair.by")), n.Issuer}, {text(say.That("repair.workshop")), n.Workshop}}}
	due := w.String(say.That("repair.to-agree"))
	if n.Due != "" {
		due = n.when(n.Due)
	}
	p.facts = []fact{{name: text(say.That("slip.handed")), text: n.when(n.Handed)},
		{name: text(say.That("slip.due-back")), text: due}}
	if !n.Limit.IsZero() {
		p.total = amountLine{text: text(say.That("repair.limit")), amount: n.Limit}
	}
	p.paras = []string{text(say.That("repair.look"))}
	for i, work := range n.Work {
		if i == 0 {
			p.paras[0] = text(say.That("repair.to-do", say.Name("work", work)))
			continue
		}
		p.paras = append(p.paras, text(say.That("repair.and-do", say.Name("work", work))))
	}
	// What may be done with an old watch is often more than a workshop thinks.
	p.declaration = text(say.That("repair.agrees"))
	p.declares = []string{text(say.That("repair.ask-first")), text(say.That("repair.as-is")),
		text(say.That("repair.parts-back")), text(say.That("repair.no-water")),
		orElse(n.Lume, text(say.That("repair.lume")))}
	p.signs = []string{w.String(say.That("consigned.for-shop")), w.String(say.That("repair.for-workshop"))}
	p.cautions = []string{text(say.That("slip.law"))}
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
	w := n.writer()
	text := func(s say.Statement) string { return w.Capital(s) }
	p := slip{head: n.Head, goods: n.Goods, title: text(say.That("packing.title", say.Name("number", n.numbered()))),
		lead:  text(say.That("packing.lead", say.Name("watch", n.Goods.Title))),
		sides: [2]side{{text(say.That("packing.from")), n.Issuer}, {text(say.That("packing.to")), n.To}}}
	why, heading := say.That("packing.why-memo"), say.That("packing.heading-other")
	if n.Sold {
		why = say.That("packing.why-sold")
	}
	if n.Precious {
		heading = say.That("packing.heading-precious")
	}
	p.facts = []fact{{name: text(say.That("packing.day")), text: n.when(n.Sent)},
		{name: text(say.That("packing.why")), text: w.String(why)},
		{name: text(say.That("packing.heading")), text: text(heading)}}
	if !n.Value.IsZero() {
		p.total = amountLine{text: text(say.That("packing.value")), amount: n.Value}
	}
	p.paras = []string{text(say.That("packing.contents", say.All("contents", names(n.Contents)...))),
		text(say.That("packing.mechanical")),
		text(say.That("packing.lume", say.Name("known", orElse(n.Lume, w.String(say.That("packing.lume-none")))))),
		text(say.That("packing.strap")), text(say.That("packing.declared"))}
	p.signs = []string{w.String(say.That("packing.packed-by")), w.String(say.That("packing.received-by"))}
	p.cautions = []string{text(say.That("slip.law"))}
	return p
}
