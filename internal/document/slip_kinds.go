package document

import "midcase/money"

// The kinds of papers about a dealing, as Head.Kind has them.
const (
	KindInvoice     = "invoice"
	KindCredit      = "credit note"
	KindMemo        = "memo note"
	KindPurchase    = "purchase statement"
	KindConsignment = "consignment note"
)

// Cautions that go with papers about a dealing.
const (
	taxCaution = "Which tax scheme applies and what an invoice must state depends on local rules: ask your " +
		"accountant. This paper is not tax advice and not an appraisal."
	lawCaution = "What such a paper must state depends on local rules: have the wording checked where you " +
		"trade. This paper is not legal advice and not an appraisal."
	noTitleProof = "A signature is a statement, not proof of title."
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

	Untaxed     string `json:"untaxed,omitempty"`      // why no tax is charged: export, intra-community, …
	Customs     string `json:"customs,omitempty"`      // number of the customs document
	Destination string `json:"destination,omitempty"`  // the country to which the watch goes, ISO 3166-1 alpha-2
	MarginGoods string `json:"margin_goods,omitempty"` // what the margin scheme is for: second-hand, art or collectors

	Cancels string `json:"cancels,omitempty"` // the invoice that this takes back
	Part    bool   `json:"part,omitempty"`    // of it only
	Reason  string `json:"reason,omitempty"`
}

func (v *Invoice) slip() slip {
	p := slip{head: v.Head, goods: v.Goods, title: titled("Invoice", v.Number),
		sides: [2]side{{"Seller", v.Issuer}, {"Buyer", v.Buyer}}}
	p.lead = "One second-hand wristwatch: " + v.Goods.Title + "."
	p.facts = []fact{{name: "Date of issue", text: isoDayWords(v.Day)},
		{name: "Date of supply", text: isoDayWords(v.Supplied)}}
	if v.Cancels != "" {
		p.title, p.lead = titled("Credit note", v.Number), v.credits()
	}
	var agreed []amountLine
	if len(v.Allowed) > 0 {
		agreed = append(agreed, amountLine{text: v.Goods.Title, sub: "price agreed", amount: v.Agreed})
		for _, a := range v.Allowed {
			agreed = append(agreed, amountLine{text: a.Text, amount: a.Amount})
		}
	}
	switch v.Scheme {
	case schemeOrdinary:
		p.lines = []amountLine{{text: "Net amount", amount: v.Net}, {text: "Value added tax, " + percentOf(v.Rate),
			sub: otherCurrency(v.TaxBase), amount: v.Tax}}
		p.total = amountLine{text: "Total including tax", amount: v.Price}
	default:
		p.lines = []amountLine{{text: v.Goods.Title, sub: "one piece", amount: v.Price}}
		if len(agreed) > 0 {
			p.lines = nil
		}
		p.total = amountLine{text: "Total", amount: v.Price}
	}
	p.lines = append(agreed, p.lines...)
	for _, d := range v.Paid {
		p.lines = append(p.lines, amountLine{text: d.Text, amount: d.Amount.Neg()})
	}
	if len(v.Paid) > 0 {
		p.lines = append(p.lines[:len(p.lines)-len(v.Paid)], append([]amountLine{p.total},
			p.lines[len(p.lines)-len(v.Paid):]...)...)
		p.total = amountLine{text: "Balance due", amount: v.Due}
	}
	if v.HowPaid != "" {
		p.facts = append(p.facts, fact{name: "Payment", text: v.HowPaid})
	}
	if v.Bank != "" && v.Due.Sign() > 0 {
		p.facts = append(p.facts, fact{name: "Account", text: v.Bank})
	}
	for _, f := range []fact{{name: "Goods go to", text: v.Destination}, {name: "Customs document", text: v.Customs}} {
		if f.text != "" {
			p.facts = append(p.facts, f)
		}
	}
	p.paras = v.says()
	p.cautions = []string{taxCaution}
	return p
}

// says is what the law or the dealing asks an invoice to say.
func (v *Invoice) says() (paras []string) {
	if v.SchemeSay != "" {
		paras = append(paras, v.SchemeSay)
	}
	if v.Scheme == schemeMargin {
		paras = append(paras, "The price includes tax on the seller's margin. It is not shown separately, and "+
			"the buyer cannot deduct it.")
	}
	switch {
	case v.Consigned && v.OwnName:
		paras = append(paras, "Sold in the seller's own name on behalf of its owner.")
	case v.Consigned:
		paras = append(paras, "Sold in the name and on behalf of its owner, who is named on request.")
	}
	if words := untaxedKinds[v.Untaxed].words; words != "" {
		paras = append(paras, words)
	}
	return paras
}

// credits says which invoice a credit note takes back, and whether the whole of it.
func (v *Invoice) credits() string {
	does := "Cancels invoice "
	if v.Part {
		does = "Reduces invoice "
	}
	return does + v.Cancels + after(": ", v.Reason) + "."
}

// titled is the title of a paper, or of a draft.
func titled(kind, number string) string {
	if number == "" {
		return kind + ", draft"
	}
	return kind + " " + number
}

func otherCurrency(m money.Money) string {
	if m.IsZero() {
		return ""
	}
	return "equal to " + exact(m)
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
	p := slip{head: n.Head, goods: n.Goods, title: titled("Memo note", n.Number),
		sides: [2]side{{"Lender", n.Issuer}, {"Borrower", n.Borrower}}}
	p.lead = "One wristwatch handed over on memo; it is not sold: " + n.Goods.Title + "."
	due := "on demand"
	if n.Due != "" {
		due = isoDayWords(n.Due) + ", or earlier on demand"
	}
	p.facts = []fact{{name: "Handed over", text: isoDayWords(n.Handed)}, {name: "Due back", text: due},
		{name: "Loss and damage", text: n.Risk}}
	p.total = amountLine{text: "Memo value", amount: n.Value}
	p.paras = []string{"The watch belongs to the lender until the lender has invoiced it and been paid. The " +
		"borrower may show it and offer it for sale, but may not pledge it, lend it to others, open it or have " +
		"work done on it without the lender's consent.",
		"The borrower tells the lender of a sale at once and pays the memo value, or returns the watch in the " +
			"condition in which it was received."}
	p.signs = []string{"for the lender", "for the borrower"}
	p.cautions = []string{lawCaution}
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
	p := slip{head: s.Head, goods: s.Goods, title: titled("Purchase statement", s.Number),
		sides: [2]side{{"Seller", s.Seller}, {"Buyer", s.Issuer}}}
	p.lead = "The seller sells, and the buyer buys, one wristwatch: " + s.Goods.Title + "."
	p.facts = []fact{{name: "Date", text: isoDayWords(s.Day)}}
	if s.Bought != "" {
		p.facts = append(p.facts, fact{name: "Bought", text: isoDayWords(s.Bought)})
	}
	if s.PaidBy != "" {
		p.facts = append(p.facts, fact{name: "Paid by", text: s.PaidBy})
	}
	if !s.Price.IsZero() {
		p.total = amountLine{text: "Price", amount: s.Price}
	}
	p.declaration = "The seller declares:"
	p.declares = []string{
		"I own the watch and may sell it. Nobody else has any right to it, whether as lender, pledgee, heir, " +
			"insurer or partner.",
		"It was not stolen, lost or found, and I do not know of any report of it as stolen or lost.",
		"What I said about its origin, age, parts and repairs is true to the best of my knowledge, and I have " +
			"told the buyer of every fault I know.",
		"If any of this proves untrue, I will take the watch back and refund the price.",
	}
	if s.Private {
		p.declares = append(p.declares, "I sell it as a private person, or without charging value added tax for "+
			"another reason.")
	}
	p.declares = append(p.declares, "I have shown proof of my identity, and I agree that the buyer keeps a record "+
		"of it as the law requires.")
	p.signs = []string{"the seller", "for the buyer"}
	p.cautions = []string{noTitleProof, lawCaution}
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
	p := slip{head: n.Head, goods: n.Goods, title: titled("Consignment note", n.Number),
		sides: [2]side{{"Owner", n.Owner}, {"Consignee", n.Issuer}}}
	p.lead = "One wristwatch taken on consignment, to be sold for its owner: " + n.Goods.Title + "."
	p.facts = []fact{{name: "Taken in", text: isoDayWords(n.Taken)}}
	if n.Until != "" {
		p.facts = append(p.facts, fact{name: "Until", text: isoDayWords(n.Until)})
	}
	if n.Commission != "" {
		p.facts = append(p.facts, fact{name: "Commission", text: percentOf(n.Commission) +
			" of the price including tax"})
	}
	p.facts = append(p.facts, fact{name: "Loss and damage", text: n.Risk})
	if !n.Net.IsZero() {
		p.lines = append(p.lines, amountLine{text: "Paid to the owner when it is sold and paid for", amount: n.Net})
	}
	p.total = amountLine{text: "Agreed value", amount: n.Value}
	p.paras = []string{"The watch belongs to the owner until it is sold. When the buyer has paid, the shop pays " +
		"the owner the price less the agreed deductions. Either side may end this agreement; the watch is then " +
		"returned in the condition in which it was received."}
	p.declaration = "The owner declares:"
	p.declares = []string{"I own the watch and may have it sold. Nobody else has any right to it.",
		"It was not stolen, lost or found, and I have told the shop of every fault I know."}
	p.signs = []string{"the owner", "for the shop"}
	p.cautions = []string{noTitleProof, lawCaution}
	return p
}
