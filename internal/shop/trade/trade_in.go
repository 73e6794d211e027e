package trade

import (
	"context"
	"fmt"
	"strconv"
	"strings"

	"github.com/govalues/decimal"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Dealing is what all dealings about money have in common.
type Terms struct {
	Day      string // 2006-01-02; empty: today
	Client   string // the other side: seller, buyer, consignor, workshop
	Amount   money.Money
	Rate     decimal.Decimal // the shop's currency for 1 of the amount's, where they differ
	Pay      ledger.Account  // bank, cash, or owed; empty: the bank
	Document string          // invoice or receipt number
	Text     string          // nothing about people: it is kept for good
	Place    string
	Override string // the reason for going against a hold; logged
	// Of is the watch whose invoice a buyer pays; empty: the oldest first.
	Of shop.WatchID
}

func (t Terms) pay() ledger.Account {
	if t.Pay == "" {
		return ledger.Bank
	}
	return t.Pay
}

// Buying are the terms of a purchase.
type Buying struct {
	Terms
	Scheme string      // margin, ordinary or none; empty: the shop's
	Tax    money.Money // in the price, to reclaim; ordinary scheme only
}

// Buy buys an offered watch on the shop's own account. For a watch that is in stock
// already but not in the ledger, such as one from older books, it books the purchase only;
// with capital as the account paid from, as an opening balance.
func (r *Room) Buy(ctx context.Context, id shop.WatchID, t Buying, by string) (shop.Movement, error) {
	d, err := r.comingIn(ctx, "buy", id, t.Terms, shop.Own, by)
	if err != nil {
		return shop.Movement{}, err
	}
	scheme, err := r.scheme(ctx, t.Scheme)
	if err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.Purchase(ledger.PurchaseTerms{Head: d.head(t.Client, t.Document, t.Text), Price: t.Amount,
		Rate: t.Rate, Pay: t.pay(), Scheme: scheme, Tax: t.Tax}))
	if err != nil {
		return shop.Movement{}, err
	}
	return d.cameIn(t.Terms)
}

// comingIn begins a dealing by which a watch comes into stock.
func (r *Room) comingIn(ctx context.Context, what string, id shop.WatchID, t Terms, owned shop.Ownership,
	by string) (*pending, error) {
	d, err := r.begin(ctx, what, id, t.Day, by)
	if err != nil {
		return nil, err
	}
	if d.before.State == shop.Offered || d.before.State == shop.Sold && owned == shop.Own {
		if err := d.to(base[owned], owned); err != nil {
			return nil, err
		}
	} else if d.before.Ownership() != owned || d.holding.Bought != "" || d.holding.Consign != nil ||
		d.before.State == shop.Sold {
		return nil, shop.Refuse(what, "state", string(d.before.State),
			"an offered watch, or one in stock that the ledger does not know")
	}
	if err := d.person(t.Client); err != nil {
		return nil, err
	}
	return d, d.cash(t)
}

// cameIn keeps a purchase and puts its price and day on the record.
func (d *pending) cameIn(t Terms) (shop.Movement, error) {
	if err := d.bought(t); err != nil {
		return shop.Movement{}, err
	}
	return d.keep()
}

// bought puts price and day of a purchase on the record.
func (d *pending) bought(t Terms) error {
	d.movement.Price = t.Amount
	d.after.Cost, d.after.Client = t.Amount, t.Client
	if d.after.Owned == shop.OfOthers {
		d.after.Cost = money.Money{} // the agreed value is no cost of the shop
	}
	d.place(t.Place, d.before.Holder, d.before.Due)
	return d.after.Acquired.UnmarshalText([]byte(d.day))
}

// cash holds a payment in cash against the local limit, and its rate against the table.
func (d *pending) cash(t Terms) error {
	if err := d.s.rateDoubt(d.ctx, d.what, t.Amount, t.Rate, d.day); err != nil {
		return err
	}
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
func (d *pending) against(holds []shop.Hold, reason string) error {
	if len(holds) == 0 {
		return nil
	}
	if strings.TrimSpace(reason) == "" {
		var p evidence.Problems
		for _, h := range holds {
			p = append(p, evidence.Problem{Field: h.Rule, Found: h.Why,
				Want: "this settled first, or a reason for going against it"})
		}
		return &shop.Invalid{What: d.what, Problems: p}
	}
	d.movement.Ignored = append(d.movement.Ignored, holds...)
	d.movement.Reason = strings.TrimSpace(reason)
	return nil
}

// scheme is the one given, or the shop's.
func (r *Room) scheme(ctx context.Context, given string) (string, error) {
	if given != "" {
		return given, nil
	}
	set, err := r.shop.Settings(ctx)
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
	Terms
	Commission decimal.Decimal // share of the sale price, tax included; or
	Net        money.Money     // what the consignor gets, whatever the price
	OwnName    bool            // the shop will sell in its own name, not in the owner's
}

// ConsignIn takes an offered watch on consignment.
func (r *Room) ConsignIn(ctx context.Context, id shop.WatchID, t Consigning, by string) (shop.Movement, error) {
	t.Pay = ""
	d, err := r.comingIn(ctx, "consign", id, t.Terms, shop.OfOthers, by)
	if err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.ConsignIn(ledger.ConsignTerms{Head: d.head(t.Client, t.Document, t.Text), Value: t.Amount,
		Rate: t.Rate, Commission: t.Commission, Net: t.Net, OwnName: t.OwnName}))
	if err != nil {
		return shop.Movement{}, err
	}
	return d.cameIn(t.Terms)
}

// GiveBack gives a consigned watch back to its owner unsold.
func (r *Room) GiveBack(ctx context.Context, id shop.WatchID, t Terms, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "give back", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if d.before.Ownership() != shop.OfOthers || d.before.State == shop.Sold {
		return shop.Movement{}, shop.Refuse(d.what, "watch",
			strings.TrimSpace(string(d.before.State)+" "+string(d.before.Ownership())), "a consigned watch that is not sold")
	}
	if err := d.to(shop.Returned, ""); err != nil {
		return shop.Movement{}, err
	}
	if c := d.holding.Consign; c != nil {
		if err := d.person(c.Party); err != nil {
			return shop.Movement{}, err
		}
		if err := d.post(ledger.ConsignOut(d.head(c.Party, t.Document, t.Text), *c)); err != nil {
			return shop.Movement{}, err
		}
	}
	d.place(t.Place, d.movement.Person, d.after.Due)
	return d.keep()
}

// Sharing are the terms on which a watch is bought with other dealers.
type Sharing struct {
	Terms
	Scheme string
	Stakes []ledger.Stake // the partners' shares; the rest is the shop's
	Leader string         // the partner who pays and will sell; empty for the shop
}

// ShareBuy buys an offered watch together with partners. Where a partner leads, the
// client of the dealing is that partner.
func (r *Room) ShareBuy(ctx context.Context, id shop.WatchID, t Sharing, by string) (shop.Movement, error) {
	d, err := r.comingIn(ctx, "share", id, t.Terms, shop.InPartner, by)
	if err != nil {
		return shop.Movement{}, err
	}
	for _, st := range t.Stakes {
		if err := d.person(st.Party); err != nil {
			return shop.Movement{}, err
		}
	}
	d.movement.Person = t.Client
	scheme, err := r.scheme(ctx, t.Scheme)
	if err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.ShareBuy(ledger.ShareTerms{Head: d.head(t.Client, t.Document, t.Text), Price: t.Amount,
		Rate: t.Rate, Pay: t.pay(), Scheme: scheme, Stakes: t.Stakes, Leader: t.Leader}))
	if err != nil {
		return shop.Movement{}, err
	}
	return d.cameIn(t.Terms)
}

// PartExchange buys an offered watch by taking it as part of the price of another, which its
// seller has bought and still owes for.
func (r *Room) PartExchange(ctx context.Context, id shop.WatchID, t Buying, against shop.WatchID,
	by string) (shop.Movement, error) {
	t.Pay = ledger.Receivable
	d, err := r.comingIn(ctx, "part exchange", id, t.Terms, shop.Own, by)
	if err != nil {
		return shop.Movement{}, err
	}
	scheme, err := r.scheme(ctx, t.Scheme)
	if err != nil {
		return shop.Movement{}, err
	}
	owed, err := d.owedFor(against, t.Client, t.Amount.Currency())
	if err != nil {
		return shop.Movement{}, err
	}
	rate, err := d.rateOf(owed.Amount.Currency(), t.Amount.Currency())
	if err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.PartExchange(ledger.PartExchangeTerms{Head: d.head(t.Client, t.Document, t.Text),
		Allowance: t.Amount, Rate: t.Rate, Scheme: scheme, Against: string(against), Owed: owed, OwedRate: rate}))
	if err != nil {
		return shop.Movement{}, err
	}
	return d.cameIn(t.Terms)
}

// owedFor is what a client still owes for a watch, in the currency of the allowance where there is such a
// sum. Where nothing is owed, a part exchange is refused.
func (d *pending) owedFor(against shop.WatchID, client string, of money.Currency) (ledger.Lot, error) {
	open, err := d.s.Open(d.ctx, ledger.Receivable, client)
	if err != nil {
		return ledger.Lot{}, err
	}
	var found []ledger.Lot
	for _, l := range open {
		if l.Watch != string(against) || l.Amount.Sign() >= 0 {
			continue
		}
		if l.Amount.Currency() == of {
			return l, nil
		}
		found = append(found, l)
	}
	if len(found) == 0 {
		return ledger.Lot{}, shop.Refuse(d.what, "for", "a watch for which this client owes nothing",
			"a watch sold to this client with the price, or a part of it, still owed")
	}
	return found[0], nil
}

// rateOf is the rate of the day of a currency that is neither the shop's nor the other one of a dealing.
func (d *pending) rateOf(c, other money.Currency) (decimal.Decimal, error) {
	if c == other || c == d.s.shop.Currency() {
		return decimal.Zero, nil
	}
	rate, ok := d.s.shop.RateOn(d.ctx, c, d.day)
	if !ok {
		return decimal.Zero, shop.Refuse(d.what, "rate", fmt.Sprintf("no rate of %s for %s", c, d.day),
			fmt.Sprintf("it in the table of rates first, since the sale was in %s; or the allowance in %s", c, c))
	}
	return decimal.Parse(strconv.FormatFloat(rate, 'f', -1, 64))
}

// Working is work done on a watch. The client is the workshop.
type Working struct {
	Terms
	What         string      // service, repair, polish
	Tax          money.Money // in the cost, to reclaim
	ForConsignor bool
	Replaced     []evidence.Replaced // for the evidence: what was put in
	Removed      []shop.Kept         // original parts taken out and kept in the bag
	PutBack      []shop.Kept
}

// Repair books work, records it as evidence, and keeps note of original parts that go
// into the bag. The state stays; Move takes the watch to the watchmaker and back.
func (r *Room) Repair(ctx context.Context, id shop.WatchID, t Working, by string) (shop.Movement, error) {
	const what = "repair"
	d, err := r.begin(ctx, what, id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if err := d.person(t.Client); err != nil {
		return shop.Movement{}, err
	}
	if err := d.cash(t.Terms); err != nil {
		return shop.Movement{}, err
	}
	if err := checkKept(what, append(append([]shop.Kept(nil), t.Removed...), t.PutBack...)); err != nil {
		return shop.Movement{}, err
	}
	if t.Amount.Sign() != 0 {
		err := d.post(ledger.Repair(ledger.WorkTerms{Head: d.head(t.Client, t.Document, t.Text), Cost: t.Amount,
			Rate: t.Rate, Tax: t.Tax, Pay: t.pay(), Holding: d.holding, ForConsignor: t.ForConsignor}))
		if err != nil {
			return shop.Movement{}, err
		}
	}
	work := &evidence.Work{What: t.What, Replaced: t.Replaced, Cost: t.Amount, Text: t.Text}
	if err := work.Date.UnmarshalText([]byte(d.day)); err != nil {
		return shop.Movement{}, err
	}
	items, err := r.shop.NewItems(what, by, []evidence.Data{work})
	if err != nil {
		return shop.Movement{}, err
	}
	d.step.Items = map[shop.WatchID][]evidence.Item{id: items}
	d.movement.Price, d.movement.Removed, d.movement.PutBack, d.movement.Note = t.Amount, t.Removed, t.PutBack, t.What
	d.place(t.Place, d.before.Holder, d.before.Due)
	return d.keep()
}

// Fee books a cost of selling a watch: photographs, insurance, carriage, a venue's or a
// card's charge.
func (r *Room) Fee(ctx context.Context, id shop.WatchID, t Working, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "fee", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if t.Client != "" {
		if err := d.person(t.Client); err != nil {
			return shop.Movement{}, err
		}
	}
	if err := d.cash(t.Terms); err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.Fee(ledger.WorkTerms{Head: d.head(t.Client, t.Document, t.Text), Cost: t.Amount, Rate: t.Rate,
		Tax: t.Tax, Pay: t.pay(), Holding: d.holding, ForConsignor: t.ForConsignor}))
	if err != nil {
		return shop.Movement{}, err
	}
	d.movement.Price, d.movement.Note = t.Amount, t.What
	return d.keep()
}
