package document

import (
	"slices"

	"midcase/internal/shop/ledger"
	"midcase/money"
	"midcase/say"
)

// The kinds of papers about a dealing, as Head.Kind has them.
const (
	KindInvoice     = "invoice"
	KindCredit      = "credit note"
	KindMemo        = "memo note"
	KindPurchase    = "purchase statement"
	KindConsignment = "consignment note"
)

// Schemes of taxing a sale, as the ledger names them.
const (
	schemeMargin   = "margin"
	schemeOrdinary = "ordinary"
)

// Payment is a part of the price that is paid already.
type Payment struct {
	Text   string      `json:"text"`
	Amount money.Money `json:"amount"`
}

// Instalment is one payment of a plan: when it is due, how much, and the interest in it.
type Instalment struct {
	Day      string      `json:"day"`
	Amount   money.Money `json:"amount"`
	Interest money.Money `json:"interest"`
}

// Invoice is the bill for a watch sold, or with Cancels a credit note that takes one back. Amounts
// are exact. Under the margin scheme no tax is shown (Directive 2006/112/EC, article 325)
// and the words of article 226 (14) stand instead.
type Invoice struct {
	Head
	Goods     Goods       `json:"goods"`
	Buyer     Party       `json:"buyer"`
	Supplied  string      `json:"supplied"` // day of supply, ISO 8601
	Price     money.Money `json:"price"`    // with tax
	Scheme    string      `json:"scheme"`   // margin, ordinary or none
	SchemeSay string      `json:"scheme_words,omitempty"`
	Rate      string      `json:"tax_rate,omitempty"`   // such as 0.20; ordinary scheme only
	Net       money.Money `json:"net,omitzero"`         // likewise
	Tax       money.Money `json:"tax,omitzero"`         // likewise
	TaxBase   money.Money `json:"tax_in_base,omitzero"` // the tax in the shop's currency, where the price is in another
	Agreed    money.Money `json:"agreed,omitzero"`      // the price before allowances, where there were any
	Allowed   []Payment   `json:"allowances,omitempty"` // below zero
	Paid      []Payment   `json:"paid,omitempty"`
	Due       money.Money `json:"due"`
	HowPaid   string      `json:"how_paid,omitempty"` // what the rest was or is to be paid by
	Bank      string      `json:"bank,omitempty"`
	Consigned bool        `json:"consigned,omitempty"` // sold for its owner
	OwnName   bool        `json:"own_name,omitempty"`  // likewise, but in the shop's own name

	Plan     []Instalment `json:"instalments,omitempty"` // by which the rest is paid
	PlanRate string       `json:"interest,omitempty"`    // of it a year, such as 0.06

	Untaxed     string `json:"untaxed,omitempty"`      // why no tax is charged: export, intra-community, …
	Customs     string `json:"customs,omitempty"`      // number of the customs document
	Destination string `json:"destination,omitempty"`  // the country to which the watch goes, ISO 3166-1 alpha-2
	MarginGoods string `json:"margin_goods,omitempty"` // what the margin scheme is for: second-hand, art or collectors

	Cancels string `json:"cancels,omitempty"` // the invoice that this takes back
	Part    bool   `json:"part,omitempty"`    // of it only
	Reason  string `json:"reason,omitempty"`
}

func (v *Invoice) slip() slip {
	w := v.writer()
	text := func(s say.Statement) string { return w.Capital(s) }
	p := slip{head: v.Head, goods: v.Goods, title: text(say.That("invoice.title", say.Name("number", v.numbered()))),
		lead:  text(say.That("invoice.lead", say.Name("watch", v.Goods.Title))),
		sides: [2]side{{text(say.That("invoice.seller")), v.Issuer}, {text(say.That("invoice.buyer")), v.Buyer}}}
	if v.Cancels != "" {
		p.title, p.lead = text(say.That("invoice.credit-title", say.Name("number", v.numbered()))), text(v.credits())
	}
	p.facts = v.facts(w)
	p.lines, p.total = v.amounts(w)
	if len(v.Paid) > 0 {
		p.lines = append(p.lines, p.total)
		for _, d := range v.Paid {
			p.lines = append(p.lines, amountLine{text: d.Text, amount: d.Amount.Neg()})
		}
		p.total = amountLine{text: text(say.That("invoice.balance")), amount: v.Due}
	}
	p.paras = append(v.says(w), v.planned(w)...)
	p.cautions = []string{text(say.That("slip.tax"))}
	return p
}

// planned says by which instalments the rest is paid.
func (v *Invoice) planned(w say.Writer) []string {
	if len(v.Plan) == 0 {
		return nil
	}
	out := []string{w.Capital(say.That("invoice.plan", say.Count("n", len(v.Plan)),
		say.Name("rate", orElse(v.PlanRate, "0")), say.Name("percent", v.rate(orElse(v.PlanRate, "0")))))}
	for _, one := range v.Plan {
		due := say.That("invoice.instalment", say.Day("day", one.Day), say.Money("amount", one.Amount))
		if one.Interest.Sign() > 0 {
			due = say.That("invoice.instalment-interest", say.Day("day", one.Day), say.Money("amount", one.Amount),
				say.Money("interest", one.Interest))
		}
		out = append(out, w.Capital(due))
	}
	return out
}

func (v *Invoice) facts(w say.Writer) []fact {
	text := func(s say.Statement) string { return w.Capital(s) }
	account := ""
	if v.Due.Sign() > 0 {
		account = v.Bank
	}
	return slices.DeleteFunc([]fact{{name: text(say.That("invoice.issued")), text: v.when(v.Day)},
		{name: text(say.That("invoice.supplied")), text: v.when(v.Supplied)},
		{name: text(say.That("invoice.payment")), text: v.HowPaid},
		{name: text(say.That("invoice.account")), text: account},
		{name: text(say.That("invoice.goes-to")), text: v.Destination},
		{name: text(say.That("invoice.customs")), text: v.Customs}}, func(f fact) bool { return f.text == "" })
}

// amounts are the lines from the price agreed to the total.
func (v *Invoice) amounts(w say.Writer) (lines []amountLine, total amountLine) {
	text := func(s say.Statement) string { return w.Capital(s) }
	if len(v.Allowed) > 0 {
		lines = append(lines, amountLine{text: v.Goods.Title, sub: w.String(say.That("invoice.agreed")),
			amount: v.Agreed})
		for _, a := range v.Allowed {
			lines = append(lines, amountLine{text: a.Text, amount: a.Amount})
		}
	}
	if v.Scheme != schemeOrdinary {
		if len(lines) == 0 {
			lines = []amountLine{{text: v.Goods.Title, sub: w.String(say.That("invoice.piece")), amount: v.Price}}
		}
		return lines, amountLine{text: text(say.That("invoice.total")), amount: v.Price}
	}
	inBase := ""
	if !v.TaxBase.IsZero() {
		inBase = w.String(say.That("slip.equal", say.Name("amount", exactIn(w, v.TaxBase))))
	}
	tax := text(say.That("invoice.tax", say.Name("rate", v.rate(v.Rate))))
	return append(lines, amountLine{text: text(say.That("invoice.net")), amount: v.Net},
			amountLine{text: tax, sub: inBase, amount: v.Tax}),
		amountLine{text: text(say.That("invoice.total-tax")), amount: v.Price}
}

// says is what the law or the dealing asks an invoice to say.
func (v *Invoice) says(w say.Writer) (paras []string) {
	if v.SchemeSay != "" {
		paras = append(paras, v.SchemeSay)
	}
	add := func(s say.Statement) { paras = append(paras, w.Capital(s)) }
	if v.Scheme == schemeMargin {
		add(say.That("invoice.margin"))
	}
	switch {
	case v.Consigned && v.OwnName:
		add(say.That("invoice.own-name"))
	case v.Consigned:
		add(say.That("invoice.for-owner"))
	}
	if why := untaxedBecause(v.Untaxed); !why.IsZero() {
		add(why)
	}
	return paras
}

// untaxedBecause says why a sale bears no tax; the zero Statement where nothing is to be said.
func untaxedBecause(why string) say.Statement {
	switch why {
	case ledger.UntaxedExport:
		return say.That("invoice.no-tax-export")
	case ledger.UntaxedIntra:
		return say.That("invoice.no-tax-intra")
	case ledger.UntaxedReverse:
		return say.That("invoice.no-tax-reverse")
	case ledger.UntaxedExempt:
		return say.That("invoice.no-tax-exempt")
	case ledger.UntaxedOutside:
		return say.That("invoice.no-tax-outside")
	}
	return say.Statement{}
}

// credits says which invoice a credit note takes back, and whether the whole of it.
func (v *Invoice) credits() say.Statement {
	reason := orElse(v.Reason, "none")
	if v.Part {
		return say.That("invoice.reduces", say.Name("number", v.Cancels), say.Name("reason", reason))
	}
	return say.That("invoice.cancels", say.Name("number", v.Cancels), say.Name("reason", reason))
}

// MemoNote goes with a watch that leaves the shop unsold, to another dealer.
type MemoNote struct {
	Head
	Goods    Goods       `json:"goods"`
	Borrower Party       `json:"borrower"`
	Value    money.Money `json:"value"`         // to be accounted for where it is sold or does not come back
	Handed   string      `json:"handed_over"`   // the day, ISO 8601
	Due      string      `json:"due,omitempty"` // the day it is due back, EDTF
	Risk     string      `json:"risk"`          // who bears loss and damage
}

func (n *MemoNote) slip() slip {
	w := n.writer()
	text := func(s say.Statement) string { return w.Capital(s) }
	p := slip{head: n.Head, goods: n.Goods, title: text(say.That("memo.title", say.Name("number", n.numbered()))),
		lead:  text(say.That("memo.lead", say.Name("watch", n.Goods.Title))),
		sides: [2]side{{text(say.That("memo.lender")), n.Issuer}, {text(say.That("memo.borrower")), n.Borrower}}}
	due := w.String(say.That("memo.on-demand"))
	if n.Due != "" {
		due = w.String(say.That("memo.or-on-demand", say.Name("due", n.when(n.Due))))
	}
	p.facts = []fact{{name: text(say.That("slip.handed")), text: n.when(n.Handed)},
		{name: text(say.That("slip.due-back")), text: due}, {name: text(say.That("slip.risk")), text: n.Risk}}
	p.total = amountLine{text: text(say.That("memo.value")), amount: n.Value}
	p.paras = []string{text(say.That("memo.property")), text(say.That("memo.sale"))}
	p.signs = []string{w.String(say.That("memo.for-lender")), w.String(say.That("memo.for-borrower"))}
	p.cautions = []string{text(say.That("slip.law"))}
	return p
}

// PurchaseStatement is what a seller declares when the shop buys: what is sold, for how
// much, and that it is the seller's to sell.
type PurchaseStatement struct {
	Head
	Goods   Goods       `json:"goods"`
	Seller  Party       `json:"seller"`
	Price   money.Money `json:"price,omitzero"`   // none where it is agreed later
	Bought  string      `json:"bought,omitempty"` // the day, where it is booked
	PaidBy  string      `json:"paid_by,omitempty"`
	Scheme  string      `json:"scheme,omitempty"` // under which the shop will sell on
	Private bool        `json:"private"`          // the seller does not charge tax
}

func (s *PurchaseStatement) slip() slip {
	w := s.writer()
	text := func(one say.Statement) string { return w.Capital(one) }
	p := slip{head: s.Head, goods: s.Goods, title: text(say.That("bought.title", say.Name("number", s.numbered()))),
		lead:  text(say.That("bought.lead", say.Name("watch", s.Goods.Title))),
		sides: [2]side{{text(say.That("invoice.seller")), s.Seller}, {text(say.That("invoice.buyer")), s.Issuer}}}
	p.facts = []fact{{name: text(say.That("bought.date")), text: s.when(s.Day)}}
	if s.Bought != "" {
		p.facts = append(p.facts, fact{name: text(say.That("bought.day")), text: s.when(s.Bought)})
	}
	if s.PaidBy != "" {
		p.facts = append(p.facts, fact{name: text(say.That("bought.paid-by")), text: s.PaidBy})
	}
	if !s.Price.IsZero() {
		p.total = amountLine{text: text(say.That("bought.price")), amount: s.Price}
	}
	p.declaration = text(say.That("bought.declares"))
	p.declares = []string{text(say.That("bought.owns")), text(say.That("bought.not-stolen")),
		text(say.That("bought.true")), text(say.That("bought.refund"))}
	if s.Private {
		p.declares = append(p.declares, text(say.That("bought.private")))
	}
	p.declares = append(p.declares, text(say.That("bought.shown")))
	p.signs = []string{w.String(say.That("bought.sign-seller")), w.String(say.That("bought.for-buyer"))}
	p.cautions = []string{text(say.That("slip.no-title")), text(say.That("slip.law"))}
	return p
}

// ConsignmentNote is given to the owner of a watch that the shop takes in to sell.
type ConsignmentNote struct {
	Head
	Goods      Goods       `json:"goods"`
	Owner      Party       `json:"owner"`
	Value      money.Money `json:"value"`                // agreed value, for insurance
	Commission string      `json:"commission,omitempty"` // share of the price, such as 0.15; or
	Net        money.Money `json:"net,omitzero"`         // what the owner gets, whatever the price
	Taken      string      `json:"taken_in"`             // the day, ISO 8601
	Until      string      `json:"until,omitempty"`
	Risk       string      `json:"risk"`
}

func (n *ConsignmentNote) slip() slip {
	w := n.writer()
	text := func(s say.Statement) string { return w.Capital(s) }
	p := slip{head: n.Head, goods: n.Goods, title: text(say.That("consigned.title", say.Name("number", n.numbered()))),
		lead: text(say.That("consigned.lead", say.Name("watch", n.Goods.Title))),
		sides: [2]side{{text(say.That("consigned.owner")), n.Owner},
			{text(say.That("consigned.consignee")), n.Issuer}}}
	p.facts = []fact{{name: text(say.That("consigned.taken")), text: n.when(n.Taken)}}
	if n.Until != "" {
		p.facts = append(p.facts, fact{name: text(say.That("consigned.until")), text: n.when(n.Until)})
	}
	if n.Commission != "" {
		p.facts = append(p.facts, fact{name: text(say.That("consigned.commission")),
			text: text(say.That("consigned.share", say.Name("share", n.rate(n.Commission))))})
	}
	p.facts = append(p.facts, fact{name: text(say.That("slip.risk")), text: n.Risk})
	if !n.Net.IsZero() {
		p.lines = append(p.lines, amountLine{text: text(say.That("consigned.net")), amount: n.Net})
	}
	p.total = amountLine{text: text(say.That("consigned.value")), amount: n.Value}
	p.paras = []string{text(say.That("consigned.terms"))}
	p.declaration = text(say.That("consigned.declares"))
	p.declares = []string{text(say.That("consigned.owns")), text(say.That("consigned.not-stolen"))}
	p.signs = []string{w.String(say.That("consigned.sign-owner")), w.String(say.That("consigned.for-shop"))}
	p.cautions = []string{text(say.That("slip.no-title")), text(say.That("slip.law"))}
	return p
}
