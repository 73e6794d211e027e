package trade

import (
	"cmp"
	"context"
	"fmt"
	"strconv"
	"strings"
	"time"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// Reserving holds a watch for a buyer, with a deposit or without.
type Reserving struct {
	Terms           // Amount is the deposit, none for none
	Until edtf.Date // the last day of the reservation
}

// Reserve reserves a watch for a client. For one that is reserved for the same client
// already it takes a further deposit or another last day.
func (r *Room) Reserve(ctx context.Context, id shop.WatchID, t Reserving, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "reserve", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if d.before.State != shop.Reserved || d.before.Client != t.Client {
		if err := d.to(shop.Reserved, ""); err != nil {
			return shop.Movement{}, err
		}
	}
	if err := d.person(t.Client); err != nil {
		return shop.Movement{}, err
	}
	if err := d.cash(t.Terms); err != nil {
		return shop.Movement{}, err
	}
	if t.Amount.Sign() != 0 {
		tax, err := d.depositTax(t.Amount)
		if err != nil {
			return shop.Movement{}, err
		}
		if err := d.post(ledger.Deposit(ledger.DepositTerms{Head: d.head(t.Client, t.Document, t.Text),
			Amount: t.Amount, Rate: t.Rate, Pay: t.pay(), Tax: tax})); err != nil {
			return shop.Movement{}, err
		}
	}
	d.movement.Price, d.after.Client = t.Amount, t.Client
	d.place(t.Place, "", t.Until)
	return d.keep()
}

// depositTax is the tax in a deposit, where the shop's rules tax deposits and the watch is sold with tax on
// the whole price. Under the margin scheme the margin is known with the sale, and tax waits for it.
func (d *pending) depositTax(amount money.Money) (money.Money, error) {
	rules, err := d.s.BookRules(d.ctx)
	if err != nil || rules.DepositTax == nil || !*rules.DepositTax || d.holding.Scheme != ledger.Ordinary {
		return money.Money{}, err
	}
	rate, err := d.s.taxRate(d.ctx, nil)
	if err != nil {
		return money.Money{}, err
	}
	return ledger.TaxIncluded(amount, rate)
}

// Release ends a reservation: the watch is listed again, deposits go back to the
// buyer, or stay with the shop where keepDeposit is set (as agreed, and as law allows).
func (r *Room) Release(ctx context.Context, id shop.WatchID, t Terms, keepDeposit bool, by string) (shop.Movement,
	error) {
	d, err := r.begin(ctx, "release", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if d.before.State != shop.Reserved {
		return shop.Movement{}, shop.Refuse(d.what, "state", string(d.before.State), "a reserved watch")
	}
	if err := d.to(shop.Listed, ""); err != nil {
		return shop.Movement{}, err
	}
	pay := t.pay()
	if keepDeposit {
		pay = ledger.OtherIncome
	}
	if len(d.holding.Deposits) > 0 {
		party := d.holding.Deposits[0].Party
		d.movement.Person = party
		rules, err := r.BookRules(ctx)
		if err != nil {
			return shop.Movement{}, err
		}
		kept := rules.KeptTax != nil && *rules.KeptTax
		if err := d.post(ledger.DepositBack(d.head(party, t.Document, t.Text), d.holding, pay, kept)); err != nil {
			return shop.Movement{}, err
		}
	}
	if d.after.Client, err = r.sellerOf(ctx, d.before); err != nil {
		return shop.Movement{}, err
	}
	d.place(t.Place, "", edtf.Date{})
	return d.keep()
}

// Selling are the terms of a sale. The amount is the whole price; deposits of this buyer
// are taken off what is still to pay.
type Selling struct {
	Terms
	Route           string           // own site, private client, auction, trade
	Scheme          string           // empty: as bought
	TaxRate         *decimal.Decimal // nil: the shop's
	LeaderAccounted money.Money      // where a partner led the purchase: price less its tax and costs
	Untaxed         string           // why no tax is charged: one of ledger.Untaxed; empty: it is, or the scheme is none
	Customs         string           // number of the customs document of an export
	Destination     string           // the country to which it goes, two letters; empty: the buyer's
}

// Routes lists the ways by which a watch is sold.
func Routes() []string { return []string{"own site", "private client", "auction", "trade"} }

// Sell sells a watch. Inside a hold it is refused, with the reason, unless Override says why
// it goes ahead; that is kept with the movement.
func (r *Room) Sell(ctx context.Context, id shop.WatchID, t Selling, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "sell", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if err := d.to(shop.Sold, ""); err != nil {
		return shop.Movement{}, err
	}
	if err := d.person(t.Client); err != nil {
		return shop.Movement{}, err
	}
	if err := d.sellable(t); err != nil {
		return shop.Movement{}, err
	}
	if err := r.rateDoubt(ctx, d.what, t.Amount, t.Rate, d.day); err != nil {
		return shop.Movement{}, err
	}
	rate, err := r.taxRate(ctx, t.TaxRate)
	if err != nil {
		return shop.Movement{}, err
	}
	if t.Route == "" {
		t.Route = "own site"
	}
	if err := d.untaxed(&t); err != nil {
		return shop.Movement{}, err
	}
	err = d.post(ledger.Sale(ledger.SaleTerms{Head: d.head(t.Client, t.Document, t.Text), Price: t.Amount, Rate: t.Rate,
		Pay: t.pay(), Route: t.Route,
		Scheme: t.Scheme, TaxRate: rate, Holding: d.holding, LeaderAccounted: t.LeaderAccounted, Untaxed: t.Untaxed, Customs: t.Customs, Destination: t.Destination}))
	if err != nil {
		return shop.Movement{}, err
	}
	d.movement.Price, d.after.Client = t.Amount, t.Client
	d.after.PrivateTo = edtf.Date{}
	d.step.Showings = append(d.step.Showings, shop.Showing{ID: r.shop.NewID("sh"), Watch: id, Client: t.Client,
		Kind: shop.Accepted, At: d.movement.At, By: d.by, Price: t.Amount})
	d.place(t.Place, t.Client, edtf.Date{})
	return d.keep()
}

// untaxed holds a sale without tax against what such a sale needs on record.
func (d *pending) untaxed(t *Selling) error {
	t.Destination = strings.ToUpper(strings.TrimSpace(t.Destination))
	switch {
	case t.Untaxed == "" && t.Customs+t.Destination == "":
		return nil
	case t.Untaxed == "":
		return shop.Refuse(d.what, "untaxed", "nothing",
			"why no tax is charged, since a customs document or a country is "+
				"named: "+strings.Join(ledger.Untaxed(), ", "))
	}
	buyer, err := d.s.stores.Clients.Client(d.ctx, t.Client)
	if err != nil {
		return fmt.Errorf("%s: %w", d.what, err)
	}
	if (t.Untaxed == ledger.UntaxedIntra || t.Untaxed == ledger.UntaxedReverse) && buyer.TaxNumber == "" {
		return shop.Refuse(d.what, "untaxed", t.Untaxed+", but the buyer's tax number is not on record",
			"the tax number first, on the client's page")
	}
	if t.Untaxed == ledger.UntaxedExport || t.Untaxed == ledger.UntaxedIntra {
		t.Destination = cmp.Or(t.Destination, buyer.Address.Country, buyer.Country)
		if t.Destination == "" {
			return shop.Refuse(d.what, "destination", "nothing", "the country to which the watch goes, two letters")
		}
	}
	return nil
}

// sellable holds a sale against the holds and against what others were promised.
func (d *pending) sellable(t Selling) error {
	day, err := time.Parse(time.DateOnly, d.day)
	if err != nil {
		return err
	}
	holds, err := d.s.Holds(d.ctx, d.before.ID, day)
	if err != nil {
		return err
	}
	if t.pay() == ledger.Cash {
		rules, err := d.s.Rules(d.ctx)
		if err != nil {
			return err
		}
		cash := t.Amount // the deposits in it were counted when they came
		for _, l := range d.holding.Deposits {
			if l.Party == t.Client && l.Amount.Currency() == cash.Currency() {
				if cash, err = cash.Add(l.Amount.Neg()); err != nil {
					return err
				}
			}
		}
		more, err := d.s.cashHold(d.ctx, rules, t.Client, d.day, cash)
		if err != nil {
			return err
		}
		holds = append(holds, more...)
	}
	if d.before.State == shop.Reserved && d.before.Client != t.Client {
		holds = append(holds, shop.Hold{Rule: "reservation", Why: "it is reserved for another client",
			Until: d.before.Due, Blocks: true})
	}
	promised, err := d.s.PromisedToOthers(d.ctx, d.before.ID, t.Client, day)
	if err != nil {
		return err
	}
	return d.against(blocking(append(holds, promised...)), t.Override)
}

// taxRate is the one given, or the shop's.
func (r *Room) taxRate(ctx context.Context, given *decimal.Decimal) (decimal.Decimal, error) {
	if given != nil {
		return *given, nil
	}
	set, err := r.shop.Settings(ctx)
	if err != nil {
		return decimal.Zero, err
	}
	rate, err := decimal.Parse(strconv.FormatFloat(set.Terms.Tax.Rate, 'f', -1, 64))
	if err != nil {
		return decimal.Zero, fmt.Errorf("rate of tax in the settings: %w", err)
	}
	return rate, nil
}

// Refund gives a buyer money back. Without an amount the whole sale is turned round and the
// watch comes back; with one the sale stands at a lower price.
func (r *Room) Refund(ctx context.Context, id shop.WatchID, t Terms, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "refund", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if d.before.State != shop.Sold || d.holding.Sale == nil {
		return shop.Movement{}, shop.Refuse(d.what, "watch", string(d.before.State),
			"a watch with a sale in the ledger that stands")
	}
	buyer := d.holding.Sale.Party
	d.movement.Person, d.movement.Price = buyer, t.Amount
	t.Client = buyer
	if err := d.cash(t); err != nil {
		return shop.Movement{}, err
	}
	if t.Amount.IsZero() {
		if err := d.to(shop.Returned, ""); err != nil {
			return shop.Movement{}, err
		}
		d.place(t.Place, "", edtf.Date{})
		if d.after.Client, err = r.sellerOf(ctx, d.before); err != nil {
			return shop.Movement{}, err
		}
	}
	err = d.post(ledger.Refund(ledger.RefundTerms{Head: d.head(buyer, t.Document, t.Text), Amount: t.Amount,
		Rate: t.Rate, Pay: t.pay(), Holding: d.holding}))
	if err != nil {
		return shop.Movement{}, err
	}
	return d.keep()
}

// WriteOff books a watch that was lost or stolen. Its state becomes returned with no
// owner: it is the shop's no more.
func (r *Room) WriteOff(ctx context.Context, id shop.WatchID, t Terms, by string) (shop.Movement, error) {
	d, err := r.begin(ctx, "write off", id, t.Day, by)
	if err != nil {
		return shop.Movement{}, err
	}
	if c := d.holding.Consign; c != nil && d.holding.Sale == nil { // its owner is owed the agreed value
		err = d.post(ledger.ConsignLost(d.head(c.Party, t.Document, t.Text), *c))
	} else {
		err = d.post(ledger.WriteOff(d.head("", t.Document, t.Text), d.holding))
	}
	if err != nil {
		return shop.Movement{}, err
	}
	d.after.State, d.after.Owned, d.movement.Note = shop.Returned, "", "lost or stolen, written off"
	d.place("lost", "", edtf.Date{})
	return d.keep()
}
