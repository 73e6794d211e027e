package papers

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"time"

	"midcase/evidence"
	"midcase/internal/document"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/money"
	"midcase/opinion"
)

// find is the step that a paper about a dealing is of.
func find(ctx context.Context, s *rooms.Shop, o Order) (Occasion, error) {
	what := "make " + string(o.Kind)
	if err := mayRead(ctx, o.Kind); err != nil {
		return Occasion{}, err
	}
	all, err := Occasions(ctx, s, o.Watch)
	if err != nil {
		return Occasion{}, err
	}
	for _, d := range all {
		if d.Kind == o.Kind && (o.Step == "" || d.Step.ID == o.Step) {
			return d, nil
		}
	}
	if o.Kind == shop.PaperPurchase && o.Step == "" {
		return Occasion{Kind: o.Kind}, nil // before the purchase is booked
	}
	wants := map[shop.PaperKind]string{shop.PaperInvoice: "a sale of this watch that was not undone",
		shop.PaperCredit:   "an invoice whose sale was undone or refunded",
		shop.PaperMemo:     "a watch that is out on memo",
		shop.PaperPurchase: "a purchase of this watch that was not undone", shop.PaperConsignment: "a watch on consignment",
		shop.PaperWork: "a watch that was handed to a watchmaker", shop.PaperPacking: "a watch that was sold or is out on memo",
		shop.PaperSettlement: "a consigned watch that was sold"}
	found := "no such step"
	if o.Step != "" {
		found = fmt.Sprintf("%q", o.Step)
	}
	return Occasion{}, wrong(what, "step", found, wants[o.Kind])
}

// drafted is a paper about a dealing, ready but for its number.
type drafted struct {
	slip   document.Slip
	client string
	total  money.Money
}

// gathered is what every paper about a dealing needs.
type gathered struct {
	ctx    context.Context
	s      *rooms.Shop
	order  Order
	d      Occasion
	watch  shop.Watch
	letter shop.Letterhead
	head   document.Head
	goods  document.Goods
	client shop.Client
}

func draft(ctx context.Context, s *rooms.Shop, o Order, d Occasion) (drafted, error) {
	g := gathered{ctx: ctx, s: s, order: o, d: d}
	var err error
	if g.watch, err = s.Watch(ctx, o.Watch); err != nil {
		return drafted{}, err
	}
	if g.letter, err = s.Letterhead(ctx); err != nil {
		return drafted{}, err
	}
	id := d.Step.Person
	if d.Entry.Party != "" {
		id = d.Entry.Party
	}
	if id == "" {
		id = g.watch.Client
	}
	switch {
	case o.Kind == shop.PaperWork:
		id = d.Step.Person
	case o.Kind == shop.PaperSettlement && d.Entry.Consign != nil:
		id = d.Entry.Consign.Party
	}
	if err := g.otherSide(id); err != nil {
		return drafted{}, err
	}
	day := o.Day
	if day == "" {
		day = s.Now().Format(time.DateOnly)
	}
	g.head = document.Head{Kind: string(o.Kind), Day: day, SignedBy: g.letter.SignedBy,
		Issuer: document.Party{Name: g.letter.Name, Lines: g.letter.Lines, TaxNumber: g.letter.TaxNumber,
			Registration: g.letter.Registration, Country: g.letter.Country}}
	if size, root, ok := s.LogHead(ctx); ok {
		g.head.LogHead = fmt.Sprintf("%d %s", size, root)
	}
	if g.goods, err = goodsOf(ctx, s, g.watch, o.Kind != shop.PaperPurchase, dealtOn(s.Now(), d)); err != nil {
		return drafted{}, err
	}
	one, total, err := g.slip()
	return drafted{slip: one, client: g.client.ID, total: total}, err
}

// otherSide finds the client of a dealing. A workshop need not be one: its name on the step will do.
func (g *gathered) otherSide(id string) error {
	what := "make " + string(g.order.Kind)
	if id == "" && g.order.Kind == shop.PaperWork {
		holder := g.d.Step.Holder // a client's id, or the name of a firm
		if c, err := g.s.People.Client(g.ctx, holder); err == nil && c.Erased.IsZero() {
			g.client = c
			return nil
		}
		g.client.Name = orOther(holder, orOther(g.d.Step.Place, "the workshop"))
		return nil
	}
	if id == "" {
		return wrong(what, "client", "nobody on record", "the other side of the dealing as a client")
	}
	var err error
	if g.client, err = g.s.People.Client(g.ctx, id); err != nil {
		return fmt.Errorf("%s: client: %w", what, err)
	}
	if !g.client.Erased.IsZero() {
		return wrong(what, "client", "a client whose data were erased", "a client on record")
	}
	return nil
}

func (g gathered) slip() (document.Slip, money.Money, error) {
	switch g.order.Kind {
	case shop.PaperInvoice, shop.PaperCredit:
		return g.invoice()
	case shop.PaperSettlement:
		return g.settlement()
	case shop.PaperWork:
		return g.workOrder()
	case shop.PaperPacking:
		return g.packingList()
	case shop.PaperMemo:
		n := &document.MemoNote{Head: g.head, Goods: g.goods, Borrower: party(g.client, false), Value: g.d.Step.Price,
			Handed: g.d.Step.Day, Due: g.d.Step.Due.String(), Risk: g.letter.MemoRisk}
		if n.Value.IsZero() {
			n.Value = g.watch.Asking
		}
		if n.Value.IsZero() {
			return nil, n.Value, wrong("make memo note", "value", "no value on record",
				"what is asked for the watch, on its record")
		}
		return n, n.Value, nil
	case shop.PaperConsignment:
		c := g.d.Entry.Consign
		if c == nil {
			return nil, money.Money{}, wrong("make consignment note", "step", "no terms in the ledger",
				"a consignment that is booked")
		}
		n := &document.ConsignmentNote{Head: g.head, Goods: g.goods, Owner: party(g.client, false), Value: c.Value,
			Net: c.Net, Taken: g.d.Step.Day, Until: g.d.Step.Due.String(), Risk: "borne by the shop up to the agreed value, from receipt until the watch is sold or returned"}
		if !c.Commission.IsZero() {
			n.Commission = c.Commission.String()
		}
		return n, n.Value, nil
	}
	p := &document.PurchaseStatement{Head: g.head, Goods: g.goods, Seller: party(g.client, true), Price: g.order.Price,
		Private: true}
	if g.d.Entry.Goods != nil {
		p.Price, p.Scheme = g.d.Step.Price, g.d.Entry.Goods.Scheme
		p.Private = p.Scheme != ledger.Ordinary
		p.PaidBy, p.Bought = paidBy(g.d.Entry), g.d.Step.Day
	}
	return p, p.Price, nil
}

// party is a client as a paper names them.
func party(c shop.Client, identity bool) document.Party {
	a := c.Address
	out := document.Party{Name: c.Name, TaxNumber: c.TaxNumber, City: a.City, PostCode: a.PostCode, Region: a.Region,
		Country: orOther(a.Country, c.Country)}
	if a.Street != "" {
		out.Street = []string{a.Street}
	}
	add := func(s string) {
		if s = strings.TrimSpace(s); s != "" {
			out.Lines = append(out.Lines, s)
		}
	}
	add(a.Street)
	add(strings.TrimSpace(a.PostCode + " " + a.City))
	add(strings.TrimSpace(a.Region))
	add(orOther(a.Country, c.Country))
	if identity && c.Identity != nil {
		out.Identity = strings.TrimSpace(fmt.Sprintf("%s %s", c.Identity.Paper, c.Identity.Number))
		if c.Identity.Issuer != "" {
			out.Identity += ", " + c.Identity.Issuer
		}
		if d := c.Identity.Seen.String(); d != "" {
			out.Identity += ", seen " + d
		}
	}
	return out
}

func orOther(s, other string) string {
	if s != "" {
		return s
	}
	return other
}

// paidBy says what account an entry of a purchase credits.
func paidBy(e ledger.Entry) string {
	for _, l := range e.Lines {
		if l.Amount.Sign() < 0 {
			switch l.Account {
			case ledger.Bank:
				return "bank"
			case ledger.Cash:
				return "cash"
			case ledger.Receivable:
				return "offset against another watch"
			case ledger.Payable:
				return "owed"
			}
		}
	}
	return ""
}

// dealtOn is the last moment of the day of a dealing, or now.
func dealtOn(now time.Time, d Occasion) time.Time {
	text := d.Step.Day
	if d.Entry.Day != "" {
		text = d.Entry.Day
	}
	day, err := time.Parse(time.DateOnly, text)
	if err != nil || day.AddDate(0, 0, 1).After(now) {
		return now
	}
	return day.AddDate(0, 0, 1).Add(-time.Nanosecond)
}

// goodsOf describes the watch by its record and, where faults is set, with what is known to
// be wrong with it. What the seller declares is the seller's, so that a purchase statement
// has no faults of ours in it.
// Known faults are those of the dealing, not of the day of printing.
func goodsOf(ctx context.Context, s *rooms.Shop, w shop.Watch, faults bool, dealt time.Time) (document.Goods, error) {
	o, file, err := s.OpinionOn(ctx, w.ID, s.Now(), opinion.Settings{})
	if err != nil {
		return document.Goods{}, err
	}
	g := document.Goods{File: fmt.Sprint(w.Number), Title: w.Title, Maker: w.Maker, Reference: w.Reference,
		Serial: orOther(w.Serial, o.Watch.Serial), Metal: orOther(o.Metal.Name, o.Watch.Metal)}
	var movement []string
	if o.Watch.Calibre != "" {
		movement = append(movement, "calibre "+o.Watch.Calibre)
	}
	for _, m := range evidence.All[*evidence.Mark](file) {
		if m.Data.What == evidence.MarkMovementNumber {
			movement = append(movement, "number "+m.Data.Text)
			break
		}
	}
	g.Movement = strings.Join(movement, ", ")
	g.Set = map[string]string{"watch": "the watch alone", "papers": "papers", "full": "box and papers"}[o.Watch.Set]
	if d := o.Dating; d.Known {
		g.Made = fmt.Sprintf("%d–%d (our opinion)", d.Interval90[0].Year(), d.Interval90[1].Year())
		if d.Interval90[0].Year() == d.Interval90[1].Year() {
			g.Made = fmt.Sprintf("%d (our opinion)", d.Interval90[0].Year())
		}
	}
	if !faults {
		return g, nil
	}
	if dealt.Before(s.Now()) {
		if o, _, err = s.OpinionOn(ctx, w.ID, dealt, opinion.Settings{}); err != nil {
			return document.Goods{}, err
		}
	}
	for _, v := range opinion.Troubles() {
		var slots []string
		for _, p := range o.Parts {
			if p.Verdict == v {
				slots = append(slots, p.Slot.Name())
			}
		}
		if len(slots) > 0 {
			g.Faults = append(g.Faults, strings.ToUpper(v[:1])+v[1:]+": "+strings.Join(slots, ", ")+".")
		}
	}
	if due := o.Running.ServiceExpected; due != nil && *due {
		g.Faults = append(g.Faults, document.ServiceDue)
	}
	return g, nil
}

// invoice is the bill for the sale, or takes it back. Its sums are all that the ledger has about the sale
// up to the day of the paper.
func (g gathered) invoice() (document.Slip, money.Money, error) {
	e, what := g.d.Entry, "make "+string(g.order.Kind)
	if e.Goods == nil || e.Kind != ledger.KindSale {
		return nil, money.Money{}, wrong(what, "step", "no sale in the ledger", "a sale that is booked")
	}
	if e.Goods.Led {
		return nil, money.Money{}, wrong(what, "step", "a sale by the partner who leads",
			"the partner's own invoice: the shop has a share in the watch and does not sell it")
	}
	g.head.Terms = g.letter.Terms
	v := &document.Invoice{Head: g.head, Goods: g.goods, Buyer: party(g.client, false), Supplied: e.Day,
		Scheme: e.Goods.Scheme, Consigned: e.Goods.Consign, Bank: g.letter.Bank, Untaxed: e.Goods.Untaxed,
		Customs: e.Goods.Customs, Destination: e.Goods.Destination}
	if v.Consigned {
		v.Scheme, v.OwnName = ledger.NoTax, e.Consign != nil && e.Consign.OwnName
		if v.OwnName { // sold as the shop's own: the commission is the margin
			v.Scheme = ledger.Margin
		}
	}
	if v.Scheme == ledger.Margin {
		v.SchemeSay, v.MarginGoods = g.letter.MarginWords, g.letter.MarginGoods
	}
	if g.order.Kind == shop.PaperCredit {
		return g.credit(v)
	}
	b, err := g.billed(g.head.Day)
	if err != nil {
		return nil, money.Money{}, err
	}
	v.Price, v.Paid, v.Due, v.HowPaid = b.total, b.paid, b.due, b.howPaid
	if len(b.allowed) > 0 {
		v.Agreed, v.Allowed = b.price, b.allowed
	}
	if v.HowPaid == "paid" {
		v.HowPaid = ""
	}
	return v, v.Price, taxed(v, e)
}

// credit takes an invoice back, or with an allowance a part of it; what earlier credit notes took back is
// left out.
func (g gathered) credit(v *document.Invoice) (document.Slip, money.Money, error) {
	v.Cancels, v.Reason, v.Part = g.d.Invoice.Number, g.d.Reason, g.d.Part.ID != ""
	if v.Part {
		v.Price = priceOf(g.d.Part)
	} else {
		v.Price = g.d.Invoice.Total.Neg()
		for _, before := range g.d.Credited {
			var err error
			if v.Price, err = v.Price.Add(before.Total.Neg()); err != nil {
				return nil, v.Price, err
			}
		}
	}
	v.Due = v.Price
	return v, v.Price, taxed(v, g.d.Entry)
}

// Offered lists what papers can be made of a watch, with those about dealings that are
// there. A purchase statement can be made before the purchase is booked, of an offered
// watch with a client.
func Offered(ctx context.Context, s *rooms.Shop, w shop.Watch) ([]Occasion, error) {
	all, err := Occasions(ctx, s, w.ID)
	if err != nil {
		return nil, err
	}
	if w.Client != "" && w.State == shop.Offered && !slices.ContainsFunc(all,
		func(d Occasion) bool { return d.Kind == shop.PaperPurchase }) {
		all = append(all, Occasion{Kind: shop.PaperPurchase})
	}
	return slices.DeleteFunc(all, func(o Occasion) bool { return mayRead(ctx, o.Kind) != nil }), nil
}
