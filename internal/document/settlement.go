package document

import (
	"slices"

	"midcase/money"
	"midcase/say"
)

// KindSettlement is the paper for the owner of a watch that the shop sold.
const KindSettlement = "settlement"

// The movements that a settlement lists, as SettledItem.Kind has them.
const (
	SettledAllowance = "allowance" // given to the buyer, which lowers the price
	SettledCost      = "cost"      // work or a fee that the owner bears
	SettledAdvance   = "advance"   // paid to the owner before the sale
	SettledBank      = "bank"
	SettledCash      = "cash"
	SettledTogether  = "together" // for several watches at once
)

// SettledItem is one movement of a settlement: below zero it is taken off what the owner gets.
type SettledItem struct {
	Kind   string      `json:"kind"`
	Day    string      `json:"day,omitempty"` // ISO 8601
	Text   string      `json:"text,omitempty"`
	Amount money.Money `json:"amount"`
}

// Settlement accounts to the owner for a watch that was sold on commission. Where the shop sold in the owner's name
// and charges tax, it is its invoice for the commission, too (Directive 2006/112/EC, article 226). In the shop's own
// name the commission is the margin, whose tax is not shown (article 325). All is in the currency of the price.
type Settlement struct {
	Head
	Goods      Goods         `json:"goods"`
	Owner      Party         `json:"owner"`
	Sold       string        `json:"sold"` // the day, ISO 8601
	OwnName    bool          `json:"own_name,omitempty"`
	Share      string        `json:"share,omitempty"`      // agreed: of the price, such as 0.15; or
	Net        money.Money   `json:"net_agreed,omitzero"`  // what the owner gets
	Price      money.Money   `json:"price"`                // paid by the buyer, before allowances
	Allowed    []SettledItem `json:"allowances,omitempty"` // below zero
	Commission money.Money   `json:"commission"`           // with tax, after allowances
	Rate       string        `json:"tax_rate,omitempty"`   // of the commission, where it bears tax
	BeforeTax  money.Money   `json:"commission_net,omitzero"`
	Tax        money.Money   `json:"tax,omitzero"`
	TaxBase    money.Money   `json:"tax_in_base,omitzero"` // in the shop's currency, where the price is in another
	Costs      []SettledItem `json:"costs,omitempty"`      // below zero
	Owed       money.Money   `json:"owed"`                 // to the owner, before what was paid
	Paid       []SettledItem `json:"paid,omitempty"`       // below zero
	Due        money.Money   `json:"due"`                  // to the owner; below zero, to the shop
	Elsewhere  []SettledItem `json:"elsewhere,omitempty"`  // in other currencies
	BuyerOwes  money.Money   `json:"buyer_owes,omitzero"`
	Replaces   string        `json:"replaces,omitempty"` // the settlement that this one takes the place of
	Cancels    string        `json:"cancels,omitempty"`  // the settlement that this one takes back
	Returned   bool          `json:"returned,omitempty"` // it is taken back since the buyer got the price back
}

// invoices reports whether it is an invoice with tax for the commission.
func (v *Settlement) invoices() bool { return !v.OwnName && v.Rate != "" }

func (v *Settlement) slip() slip {
	w := v.writer()
	text := func(s say.Statement) string { return w.Capital(s) }
	p := slip{head: v.Head, goods: Goods{Title: v.Goods.Title}}
	number := v.Number
	if number == "" {
		number = "–"
	}
	p.title = text(say.That("settlement.title", say.Name("number", number)))
	if v.invoices() {
		p.title = text(say.That("settlement.title-invoice", say.Name("number", number)))
	}
	p.lead = text(say.That("settlement.lead", say.Name("watch", v.Goods.Title)))
	if v.OwnName {
		p.lead = text(say.That("settlement.lead-own", say.Name("watch", v.Goods.Title)))
	}
	p.sides = [2]side{{text(say.That("settlement.owner")), v.Owner}, {text(say.That("settlement.seller")), v.Issuer}}
	p.facts = v.facts(w)
	p.lines, p.total = v.amounts(w)
	p.paras = v.says(w)
	p.cautions = []string{text(say.That("settlement.caution"))}
	return p
}

func (v *Settlement) facts(w say.Writer) []fact {
	text := func(s say.Statement) string { return w.Capital(s) }
	out := []fact{{name: text(say.That("settlement.issued")), text: w.Value(say.Date(v.Day), "")},
		{name: text(say.That("settlement.sold")), text: w.Value(say.Date(v.Sold), "")}}
	agreed := ""
	switch {
	case v.Net.Sign() > 0:
		agreed = text(say.That("settlement.agreed-net", say.Name("net", exactIn(w, v.Net))))
	case v.Share != "":
		agreed = text(say.That("settlement.agreed-share", say.Name("share", rateIn(w, v.Share))))
	}
	out = append(out, fact{name: text(say.That("settlement.agreed")), text: agreed},
		fact{name: text(say.That("settlement.serial")), text: v.Goods.Serial},
		fact{name: text(say.That("settlement.reference")), text: v.Goods.Reference},
		fact{name: text(say.That("settlement.file")), text: v.Goods.File})
	return slices.DeleteFunc(out, func(f fact) bool { return f.text == "" })
}

// amounts are the lines from the price down to what is still to be paid.
func (v *Settlement) amounts(w say.Writer) ([]amountLine, amountLine) {
	text := func(s say.Statement) string { return w.Capital(s) }
	out := []amountLine{{text: text(say.That("settlement.price")), amount: v.Price}}
	out = append(out, v.items(w, v.Allowed)...)
	switch {
	case v.invoices():
		sub := ""
		if !v.TaxBase.IsZero() {
			sub = w.String(say.That("slip.equal", say.Name("amount", exactIn(w, v.TaxBase))))
		}
		out = append(out, amountLine{text: text(say.That("settlement.commission-net")), amount: v.BeforeTax.Neg()},
			amountLine{text: text(say.That("settlement.tax", say.Name("rate", rateIn(w, v.Rate)))), sub: sub,
				amount: v.Tax.Neg()})
	default:
		out = append(out, amountLine{text: text(say.That("settlement.commission")), amount: v.Commission.Neg()})
	}
	out = append(out, v.items(w, v.Costs)...)
	owed := amountLine{text: text(say.That("settlement.owed")), amount: v.Owed}
	if v.Cancels != "" {
		owed.text = text(say.That("settlement.taken-back"))
	}
	if len(v.Paid) == 0 {
		return out, owed
	}
	out = append(append(out, owed), v.items(w, v.Paid)...)
	due := amountLine{text: text(say.That("settlement.due")), amount: v.Due}
	if v.Due.Sign() < 0 {
		due = amountLine{text: text(say.That("settlement.due-back")), amount: v.Due.Neg()}
	}
	return out, due
}

func (v *Settlement) items(w say.Writer, all []SettledItem) []amountLine {
	var out []amountLine
	for _, i := range all {
		out = append(out, amountLine{text: v.item(w, i), sub: i.Text, amount: i.Amount})
	}
	return out
}

func (v *Settlement) item(w say.Writer, i SettledItem) string {
	switch {
	case i.Kind == SettledAllowance:
		return w.Capital(say.That("settlement.allowance", say.Day("day", i.Day)))
	case i.Kind == SettledCost:
		return w.Capital(say.That("settlement.cost", say.Day("day", i.Day)))
	case i.Kind == SettledAdvance:
		return w.Capital(say.That("settlement.advance", say.Day("day", i.Day)))
	case i.Kind == SettledTogether:
		return w.Capital(say.That("settlement.paid-together"))
	case i.Amount.Sign() > 0:
		return w.Capital(say.That("settlement.paid-by-owner", say.Day("day", i.Day)))
	case i.Kind == SettledCash:
		return w.Capital(say.That("settlement.paid-cash", say.Day("day", i.Day)))
	}
	return w.Capital(say.That("settlement.paid-bank", say.Day("day", i.Day)))
}

// says is what goes with the amounts in words.
func (v *Settlement) says(w say.Writer) (out []string) {
	add := func(s say.Statement) { out = append(out, w.Capital(s)) }
	switch {
	case v.Cancels != "" && v.Returned:
		add(say.That("settlement.cancels-refunded", say.Name("number", v.Cancels)))
	case v.Cancels != "":
		add(say.That("settlement.cancels", say.Name("number", v.Cancels)))
	case v.Replaces != "":
		add(say.That("settlement.replaces", say.Name("number", v.Replaces)))
	}
	switch {
	case v.invoices():
		add(say.That("settlement.is-invoice", say.Name("commission", exactIn(w, v.Commission)),
			say.Name("rate", rateIn(w, v.Rate)), say.Name("tax", exactIn(w, v.Tax))))
	case v.OwnName && v.Rate != "":
		add(say.That("settlement.own-name", say.Name("amount", exactIn(w, v.supplied()))))
	default:
		add(say.That("settlement.no-tax"))
	}
	if v.BuyerOwes.Sign() > 0 {
		add(say.That("settlement.buyer-owes", say.Name("amount", exactIn(w, v.BuyerOwes))))
	}
	for _, i := range v.Elsewhere {
		what := v.item(w, i) + after(": ", i.Text)
		add(say.That("settlement.elsewhere", say.Name("what", what), say.Name("amount", exactIn(w, i.Amount))))
	}
	return out
}

// supplied is what the owner supplied the watch to the shop for, where the shop sold in its own name: the price
// after allowances less the commission.
func (v *Settlement) supplied() money.Money {
	sum := v.Price
	for _, less := range append([]SettledItem{{Amount: v.Commission.Neg()}}, v.Allowed...) {
		if next, err := sum.Add(less.Amount); err == nil { // one currency, which papers made from the ledger have
			sum = next
		}
	}
	return sum
}

// Reverse is the settlement that takes this one back: the same amounts with the other sign. What was paid stays
// paid.
func (v Settlement) Reverse(returned bool) *Settlement {
	out := v
	out.Cancels, out.Replaces, out.Returned = v.Number, "", returned
	out.Number, out.Code, out.Paid, out.Elsewhere, out.BuyerOwes = "", "", nil, nil, money.Money{}
	turn := func(all []SettledItem) []SettledItem {
		all = slices.Clone(all)
		for i := range all {
			all[i].Amount = all[i].Amount.Neg()
		}
		return all
	}
	out.Allowed, out.Costs = turn(v.Allowed), nil // the work was done, whoever owns the watch now
	for _, m := range []*money.Money{&out.Price, &out.Commission, &out.BeforeTax, &out.Tax, &out.TaxBase} {
		if !m.IsZero() {
			*m = m.Neg()
		}
	}
	out.Owed = out.supplied()
	out.Due = out.Owed
	return &out
}
