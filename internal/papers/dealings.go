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
	"midcase/say"
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
	words  say.Writer // in the language of the paper
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
	if err := g.reader(); err != nil {
		return drafted{}, err
	}
	g.head = document.Head{Kind: string(o.Kind), Day: day, SignedBy: g.letter.SignedBy,
		Language: g.words.Catalogue.Tag.String(),
		Issuer: document.Party{Name: g.letter.Name, Lines: g.letter.Lines, TaxNumber: g.letter.TaxNumber,
			Registration: g.letter.Registration, Country: g.letter.Country}}
	if size, root, ok := s.LogHead(ctx); ok {
		g.head.LogHead = fmt.Sprintf("%d %s", size, root)
	}
	if g.goods, err = g.goodsOf(o.Kind != shop.PaperPurchase, dealtOn(s.Now(), d)); err != nil {
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
		g.client.Name = orOther(holder, g.d.Step.Place)
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
		n := &document.MemoNote{Head: g.head, Goods: g.goods, Borrower: g.party(false), Value: g.d.Step.Price,
			Handed: g.d.Step.Day, Due: g.d.Step.Due.String(), Risk: g.memoRisk()}
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
		n := &document.ConsignmentNote{Head: g.head, Goods: g.goods, Owner: g.party(false), Value: c.Value,
			Net: c.Net, Taken: g.d.Step.Day, Until: g.d.Step.Due.String(),
			Risk: g.words.String(say.That("consigned.risk-usual"))}
		if !c.Commission.IsZero() {
			n.Commission = c.Commission.String()
		}
		return n, n.Value, nil
	}
	p := &document.PurchaseStatement{Head: g.head, Goods: g.goods, Seller: g.party(true), Price: g.order.Price,
		Private: true}
	if g.d.Entry.Goods != nil {
		p.Price, p.Scheme = g.d.Step.Price, g.d.Entry.Goods.Scheme
		p.Private = p.Scheme != ledger.Ordinary
		p.PaidBy, p.Bought = g.words.String(paidBy(g.d.Entry)), g.d.Step.Day
	}
	return p, p.Price, nil
}

// reader finds the language of the paper: as asked for, else the client's, else the shop's.
func (g *gathered) reader() error {
	language := g.order.Language
	if language == "" {
		set, err := g.s.Settings(g.ctx)
		if err != nil {
			return err
		}
		language = say.LanguageOf(g.client.Language, set.Locale)
	}
	var ok bool
	if g.words, ok = say.In(language); !ok {
		return wrong("make "+string(g.order.Kind), "language", fmt.Sprintf("%q", language),
			fmt.Sprintf("one of %v", say.Languages()))
	}
	return nil
}

// memoRisk is who bears loss and damage of a watch on memo: in the shop's own words, where it has other than the usual.
func (g gathered) memoRisk() string {
	if g.letter.MemoRisk != shop.UsualMemoRisk {
		return g.letter.MemoRisk
	}
	return g.words.String(say.That("memo.risk-usual"))
}

// party is the client as a paper names them.
func (g gathered) party(identity bool) document.Party {
	c := g.client
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
			out.Identity += ", " + g.words.String(say.That("slip.seen", say.Day("day", d)))
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
func paidBy(e ledger.Entry) say.Statement {
	for _, l := range e.Lines {
		if l.Amount.Sign() < 0 {
			switch l.Account {
			case ledger.Bank:
				return say.That("bought.by-bank")
			case ledger.Cash:
				return say.That("bought.by-cash")
			case ledger.Receivable:
				return say.That("bought.by-offset")
			case ledger.Payable:
				return say.That("bought.by-owed")
			}
		}
	}
	return say.Statement{}
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
func (g gathered) goodsOf(faults bool, dealt time.Time) (document.Goods, error) {
	w, words := g.watch, g.words
	o, file, err := g.s.OpinionOn(g.ctx, w.ID, g.s.Now(), opinion.Settings{})
	if err != nil {
		return document.Goods{}, err
	}
	out := document.Goods{File: fmt.Sprint(w.Number), Title: w.Title, Maker: w.Maker, Reference: w.Reference,
		Serial: orOther(w.Serial, o.Watch.Serial)}
	if metal := o.Watch.Metal; metal != "" || o.Metal.Name != "" {
		out.Metal = words.Value(say.Noun{Set: "metal", ID: metal, English: o.Metal.Name}, "")
	}
	var movement []string
	if o.Watch.Calibre != "" {
		movement = append(movement, words.String(say.That("slip.calibre-is", say.Name("calibre", o.Watch.Calibre))))
	}
	for _, m := range evidence.All[*evidence.Mark](file) {
		if m.Data.What == evidence.MarkMovementNumber {
			movement = append(movement, words.String(say.That("slip.number-is", say.Name("number", m.Data.Text))))
			break
		}
	}
	out.Movement = strings.Join(movement, ", ")
	out.Set = words.String(say.That("slip.set-is", say.Name("set", o.Watch.Set)))
	if d := o.Dating; d.Known {
		years := fmt.Sprintf("%d–%d", d.Interval90[0].Year(), d.Interval90[1].Year())
		if d.Interval90[0].Year() == d.Interval90[1].Year() {
			years = fmt.Sprint(d.Interval90[0].Year())
		}
		out.Made = words.String(say.That("slip.made-is", say.Name("years", years)))
	}
	if !faults {
		return out, nil
	}
	if dealt.Before(g.s.Now()) {
		if o, _, err = g.s.OpinionOn(g.ctx, w.ID, dealt, opinion.Settings{}); err != nil {
			return document.Goods{}, err
		}
	}
	out.Faults = g.troubles(o)
	return out, nil
}

// troubles are what an opinion finds wrong with a watch.
func (g gathered) troubles(o opinion.Opinion) (out []string) {
	for _, v := range opinion.Troubles() {
		var slots say.List
		for _, p := range o.Parts {
			if p.Verdict == v {
				slots = append(slots, say.Noun{Set: "slot", ID: string(p.Slot), English: p.Slot.Name()})
			}
		}
		if len(slots) > 0 {
			out = append(out, g.words.Capital(say.That("slip.trouble", say.Term("verdict", "verdict", v, v),
				say.All("slots", slots...))))
		}
	}
	if due := o.Running.ServiceExpected; due != nil && *due {
		out = append(out, g.words.Capital(say.That("slip.service-due")))
	}
	return out
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
	v := &document.Invoice{Head: g.head, Goods: g.goods, Buyer: g.party(false), Supplied: e.Day,
		Scheme: e.Goods.Scheme, Consigned: e.Goods.Consign, Bank: g.letter.Bank, Untaxed: e.Goods.Untaxed,
		Customs: e.Goods.Customs, Destination: e.Goods.Destination}
	if v.Consigned {
		v.Scheme, v.OwnName = ledger.NoTax, e.Consign != nil && e.Consign.OwnName
		if v.OwnName { // sold as the shop's own: the commission is the margin
			v.Scheme = ledger.Margin
		}
	}
	if v.Scheme == ledger.Margin {
		v.SchemeSay, v.MarginGoods = g.marginWords(), g.letter.MarginGoods
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
	if err := g.instalments(v, e); err != nil {
		return nil, money.Money{}, err
	}
	return v, v.Price, taxed(v, e)
}

// instalments puts the plan by which the rest is paid on the invoice, where it was agreed by its day.
func (g gathered) instalments(v *document.Invoice, sale ledger.Entry) error {
	if v.Due.Sign() <= 0 {
		return nil
	}
	steps, err := g.s.Trade.History(g.ctx, g.watch.ID)
	if err != nil {
		return err
	}
	for _, m := range shop.Effective(steps) {
		if m.Plan == nil || m.Plan.Sale != sale.ID || m.Day > g.head.Day {
			continue
		}
		v.Plan, v.PlanRate = nil, m.Plan.Rate.String()
		for _, one := range m.Plan.Instalments {
			v.Plan = append(v.Plan, document.Instalment{Day: one.Day, Amount: one.Amount, Interest: one.Interest})
		}
	}
	return nil
}

// marginWords names the margin scheme as the directive does in the language of the paper. Words of the shop's own stay,
// and in another language than the shop's those of the directive stand beside them.
func (g gathered) marginWords() string {
	typed := strings.TrimSpace(g.letter.MarginWords)
	plain := func(s string) string {
		return strings.ToLower(strings.NewReplacer("—", "–", "-", "–", "'", "’").Replace(s))
	}
	named := say.That("invoice.margin-words", say.Name("goods", g.letter.MarginGoods))
	here := g.words.String(named)
	for _, language := range say.Languages() {
		w, _ := say.In(language)
		for _, of := range shop.MarginGoods() {
			if plain(typed) != plain(w.String(say.That("invoice.margin-words", say.Name("goods", of)))) {
				continue
			}
			if language == g.head.Language {
				return typed
			}
			return here
		}
	}
	if g.head.Language == say.Languages()[0] {
		return typed
	}
	return typed + " (" + here + ")"
}

// credit takes an invoice back, or with an allowance a part of it; what earlier credit notes took back is
// left out.
func (g gathered) credit(v *document.Invoice) (document.Slip, money.Money, error) {
	v.Cancels, v.Reason, v.Part = g.d.Invoice.Number, g.words.String(g.d.Reason), g.d.Part.ID != ""
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
