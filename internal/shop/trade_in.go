package shop

import (
	"context"
	"strings"

	"github.com/govalues/decimal"

	"midcase/evidence"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Dealing is what all dealings about money have in common.
type Dealing struct {
	Day      string // 2006-01-02; empty: today
	Client   string // the other side: seller, buyer, consignor, workshop
	Amount   money.Money
	Rate     decimal.Decimal // the shop's currency for 1 of the amount's, where they differ
	Pay      ledger.Account  // bank, cash, or owed; empty: the bank
	Document string          // invoice or receipt number
	Text     string          // nothing about people: it is kept for good
	Place    string
	Override string // the reason for going against a hold; logged
}

func (t Dealing) pay() ledger.Account {
	if t.Pay == "" {
		return ledger.Bank
	}
	return t.Pay
}

// Buying are the terms of a purchase.
type Buying struct {
	Dealing
	Scheme string      // margin, ordinary or none; empty: the shop's
	Tax    money.Money // in the price, to reclaim; ordinary scheme only
}

// Buy buys an offered watch on the shop's own account. For a watch that is in stock
// already but not in the ledger, such as one from older books, it books the purchase only;
// with capital as the account paid from, as an opening balance.
func (s *Shop) Buy(ctx context.Context, id WatchID, t Buying, by string) (Movement, error) {
	d, err := s.comingIn(ctx, "buy", id, t.Dealing, Own, by)
	if err != nil {
		return Movement{}, err
	}
	scheme, err := s.scheme(ctx, t.Scheme)
	if err != nil {
		return Movement{}, err
	}
	err = d.post(ledger.Purchase(ledger.PurchaseTerms{Head: d.head(t.Client, t.Document, t.Text), Price: t.Amount, Rate: t.Rate, Pay: t.pay(), Scheme: scheme, Tax: t.Tax}))
	if err != nil {
		return Movement{}, err
	}
	return d.cameIn(t.Dealing)
}

// comingIn begins a dealing by which a watch comes into stock.
func (s *Shop) comingIn(ctx context.Context, what string, id WatchID, t Dealing, owned Ownership, by string) (*dealing, error) {
	d, err := s.deal(ctx, what, id, t.Day, by)
	if err != nil {
		return nil, err
	}
	if d.before.State == Offered {
		if err := d.to(base[owned], owned); err != nil {
			return nil, err
		}
	} else if d.before.Ownership() != owned || d.holding.Bought != "" || d.holding.Consign != nil || d.before.State == Sold {
		return nil, invalid(what, "state", string(d.before.State), "an offered watch, or one in stock that the ledger does not know")
	}
	if err := d.person(t.Client); err != nil {
		return nil, err
	}
	return d, d.cash(t)
}

// cameIn keeps a purchase and puts its price and day on the record.
func (d *dealing) cameIn(t Dealing) (Movement, error) {
	d.movement.Price = t.Amount
	d.after.Cost, d.after.Client = t.Amount, t.Client
	if d.after.Owned == OfOthers {
		d.after.Cost = money.Money{} // the agreed value is no cost of the shop
	}
	if err := d.after.Acquired.UnmarshalText([]byte(d.day)); err != nil {
		return Movement{}, err
	}
	d.place(t.Place, d.before.Holder, d.before.Due)
	return d.keep()
}

// cash holds a payment in cash against the local limit.
func (d *dealing) cash(t Dealing) error {
	if t.pay() != ledger.Cash {
		return nil
	}
	rules, err := d.s.Rules(d.ctx)
	if err != nil {
		return err
	}
	holds, err := d.s.cashHold(d.ctx, rules, t.Client, d.day, t.Amount)
	if err != nil {
		return err
	}
	return d.against(blocking(holds), t.Override)
}

// against refuses the step where holds block it and no reason was given; with one, the
// step goes on and the movement says against what and why.
func (d *dealing) against(holds []Hold, reason string) error {
	if len(holds) == 0 {
		return nil
	}
	if strings.TrimSpace(reason) == "" {
		var p evidence.Problems
		for _, h := range holds {
			p = append(p, evidence.Problem{Field: h.Rule, Found: h.Why, Want: "this settled first, or a reason for going against it"})
		}
		return &Invalid{What: d.what, Problems: p}
	}
	d.movement.Ignored = append(d.movement.Ignored, holds...)
	d.movement.Reason = strings.TrimSpace(reason)
	return nil
}

// scheme is the one given, or the shop's.
func (s *Shop) scheme(ctx context.Context, given string) (string, error) {
	if given != "" {
		return given, nil
	}
	set, err := s.Settings(ctx)
	if err != nil {
		return "", err
	}
	if set.Terms.Tax.Scheme == "" {
		return ledger.NoTax, nil
	}
	return set.Terms.Tax.Scheme, nil
}

// Consigning are the terms on which a watch is sold for its owner. The amount is its
// agreed value.
type Consigning struct {
	Dealing
	Commission decimal.Decimal // share of the sale price, tax included; or
	Net        money.Money     // what the consignor gets, whatever the price
}

// ConsignIn takes an offered watch on consignment.
func (s *Shop) ConsignIn(ctx context.Context, id WatchID, t Consigning, by string) (Movement, error) {
	t.Pay = ""
	d, err := s.comingIn(ctx, "consign", id, t.Dealing, OfOthers, by)
	if err != nil {
		return Movement{}, err
	}
	err = d.post(ledger.ConsignIn(ledger.ConsignTerms{Head: d.head(t.Client, t.Document, t.Text), Value: t.Amount, Rate: t.Rate, Commission: t.Commission, Net: t.Net}))
	if err != nil {
		return Movement{}, err
	}
	return d.cameIn(t.Dealing)
}

// GiveBack gives a consigned watch back to its owner unsold.
func (s *Shop) GiveBack(ctx context.Context, id WatchID, t Dealing, by string) (Movement, error) {
	d, err := s.deal(ctx, "give back", id, t.Day, by)
	if err != nil {
		return Movement{}, err
	}
	if d.before.Ownership() != OfOthers || d.before.State == Sold {
		return Movement{}, invalid(d.what, "watch", strings.TrimSpace(string(d.before.State)+" "+string(d.before.Ownership())), "a consigned watch that is not sold")
	}
	if err := d.to(Returned, ""); err != nil {
		return Movement{}, err
	}
	if c := d.holding.Consign; c != nil {
		if err := d.person(c.Party); err != nil {
			return Movement{}, err
		}
		if err := d.post(ledger.ConsignOut(d.head(c.Party, t.Document, t.Text), *c)); err != nil {
			return Movement{}, err
		}
	}
	d.place(t.Place, d.movement.Person, d.after.Due)
	return d.keep()
}

// Sharing are the terms on which a watch is bought with other dealers.
type Sharing struct {
	Dealing
	Scheme string
	Stakes []ledger.Stake // the partners' shares; the rest is the shop's
	Leader string         // the partner who pays and will sell; empty for the shop
}

// ShareBuy buys an offered watch together with partners. Where a partner leads, the
// client of the dealing is that partner.
func (s *Shop) ShareBuy(ctx context.Context, id WatchID, t Sharing, by string) (Movement, error) {
	d, err := s.comingIn(ctx, "share", id, t.Dealing, InPartner, by)
	if err != nil {
		return Movement{}, err
	}
	for _, st := range t.Stakes {
		if err := d.person(st.Party); err != nil {
			return Movement{}, err
		}
	}
	d.movement.Person = t.Client
	scheme, err := s.scheme(ctx, t.Scheme)
	if err != nil {
		return Movement{}, err
	}
	err = d.post(ledger.ShareBuy(ledger.ShareTerms{Head: d.head(t.Client, t.Document, t.Text), Price: t.Amount, Rate: t.Rate, Pay: t.pay(), Scheme: scheme, Stakes: t.Stakes, Leader: t.Leader}))
	if err != nil {
		return Movement{}, err
	}
	return d.cameIn(t.Dealing)
}

// PartExchange buys an offered watch by taking it as part of the price of another, which its
// seller has bought and still owes for.
func (s *Shop) PartExchange(ctx context.Context, id WatchID, t Buying, against WatchID, by string) (Movement, error) {
	t.Pay = ledger.Receivable
	d, err := s.comingIn(ctx, "part exchange", id, t.Dealing, Own, by)
	if err != nil {
		return Movement{}, err
	}
	scheme, err := s.scheme(ctx, t.Scheme)
	if err != nil {
		return Movement{}, err
	}
	err = d.post(ledger.PartExchange(ledger.PartExchangeTerms{Head: d.head(t.Client, t.Document, t.Text), Allowance: t.Amount, Rate: t.Rate, Scheme: scheme, Against: string(against)}))
	if err != nil {
		return Movement{}, err
	}
	return d.cameIn(t.Dealing)
}

// Working is work done on a watch. The client is the workshop.
type Working struct {
	Dealing
	What         string      // service, repair, polish
	Tax          money.Money // in the cost, to reclaim
	ForConsignor bool
	Replaced     []evidence.Replaced // for the evidence: what was put in
	Removed      []Kept              // original parts taken out and kept in the bag
	PutBack      []Kept
}

// Repair books work, records it as evidence, and keeps note of original parts that go
// into the bag. The state stays; Move takes the watch to the watchmaker and back.
func (s *Shop) Repair(ctx context.Context, id WatchID, t Working, by string) (Movement, error) {
	const what = "repair"
	d, err := s.deal(ctx, what, id, t.Day, by)
	if err != nil {
		return Movement{}, err
	}
	if err := d.person(t.Client); err != nil {
		return Movement{}, err
	}
	if err := d.cash(t.Dealing); err != nil {
		return Movement{}, err
	}
	if err := checkKept(what, append(append([]Kept(nil), t.Removed...), t.PutBack...)); err != nil {
		return Movement{}, err
	}
	if t.Amount.Sign() != 0 {
		err := d.post(ledger.Repair(ledger.WorkTerms{Head: d.head(t.Client, t.Document, t.Text), Cost: t.Amount, Rate: t.Rate, Tax: t.Tax, Pay: t.pay(), Holding: d.holding, ForConsignor: t.ForConsignor}))
		if err != nil {
			return Movement{}, err
		}
	}
	work := &evidence.Work{What: t.What, Replaced: t.Replaced, Cost: t.Amount, Text: t.Text}
	if err := work.Date.UnmarshalText([]byte(d.day)); err != nil {
		return Movement{}, err
	}
	items, err := s.items(what, by, []evidence.Data{work})
	if err != nil {
		return Movement{}, err
	}
	d.step.Items = map[WatchID][]evidence.Item{id: items}
	d.movement.Price, d.movement.Removed, d.movement.PutBack, d.movement.Note = t.Amount, t.Removed, t.PutBack, t.What
	d.place(t.Place, d.before.Holder, d.before.Due)
	return d.keep()
}

// Fee books a cost of selling a watch: photographs, insurance, carriage, a venue's or a
// card's charge.
func (s *Shop) Fee(ctx context.Context, id WatchID, t Working, by string) (Movement, error) {
	d, err := s.deal(ctx, "fee", id, t.Day, by)
	if err != nil {
		return Movement{}, err
	}
	if t.Client != "" {
		if err := d.person(t.Client); err != nil {
			return Movement{}, err
		}
	}
	if err := d.cash(t.Dealing); err != nil {
		return Movement{}, err
	}
	err = d.post(ledger.Fee(ledger.WorkTerms{Head: d.head(t.Client, t.Document, t.Text), Cost: t.Amount, Rate: t.Rate, Tax: t.Tax, Pay: t.pay(), Holding: d.holding, ForConsignor: t.ForConsignor}))
	if err != nil {
		return Movement{}, err
	}
	d.movement.Price, d.movement.Note = t.Amount, t.What
	return d.keep()
}
