package cli

import (
	"context"
	"fmt"
	"strings"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

type stockBuyCmd struct {
	moneyFlags
	Price  money.Money `arg:"" help:"Price, such as 5200EUR."`
	Scheme string      `help:"Tax scheme under which it may be sold: margin, ordinary or none (default: the shop's)." enum:",margin,ordinary,none" default:""`
	Tax    money.Money `help:"Tax in the price, to reclaim; ordinary scheme only." placeholder:"AMOUNT"`
}

// Run buys a watch.
func (c stockBuyCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, trade.Buying{Terms: t.of(c.Price, byShop), Scheme: c.Scheme, Tax: c.Tax},
		s.Trade.Buy)
}

type stockConsignCmd struct {
	moneyFlags
	Value      money.Money     `arg:"" help:"Agreed value, such as 5200EUR."`
	Commission decimal.Decimal `help:"The shop's share of the sale price, such as 15%." placeholder:"SHARE"`
	Net        money.Money     `help:"What the consignor gets, whatever the price." placeholder:"AMOUNT"`
	OwnName    bool            `help:"The shop will sell it in its own name (default: in the owner's)."`
}

// Run takes a watch on consignment.
func (c stockConsignCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, trade.Consigning{Terms: t.of(c.Value, byShop), Commission: c.Commission, Net: c.Net,
		OwnName: c.OwnName},
		s.Trade.ConsignIn)
}

type stockShareCmd struct {
	moneyFlags
	Price   money.Money `arg:"" help:"Price of the whole watch, such as 5200EUR."`
	Partner []string    `required:"" help:"A partner and their share, such as 'Paula & Co=50%'; may be repeated." placeholder:"CLIENT=SHARE" sep:"none"`
	Leads   bool        `help:"The partner named by --client paid and will sell."`
	Scheme  string      `help:"Tax scheme: margin, ordinary or none (default: the shop's)." enum:",margin,ordinary,none" default:""`
}

// Run buys a watch with partners.
func (c stockShareCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	with := trade.Sharing{Terms: t.of(c.Price, byShop), Scheme: c.Scheme}
	if c.Leads {
		with.Leader = t.Client
	}
	for _, x := range c.Partner {
		i := strings.LastIndexByte(x, '=')
		if i < 0 {
			return wrong("--partner: “%s” has no share. Write client and share, such as 'Paula & Co=50%%'", x)
		}
		id, err := clientID(a, s, x[:i])
		if err != nil {
			return err
		}
		part, err := parseShare(x[i+1:])
		if err != nil {
			return misuse{fmt.Errorf("--partner: %w", err)}
		}
		with.Stakes = append(with.Stakes, ledger.Stake{Party: id, Share: part})
	}
	return step(a, c.stepFlags, w, with, s.Trade.ShareBuy)
}

type stockExchangeCmd struct {
	moneyFlags
	Allowance money.Money `arg:"" help:"What it is taken in for, such as 1000EUR."`
	For       string      `required:"" help:"The watch sold, for which the client still owes." placeholder:"WATCH"`
	Scheme    string      `help:"Tax scheme: margin, ordinary or none (default: the shop's)." enum:",margin,ordinary,none" default:""`
}

// Run takes a watch in part exchange.
func (c stockExchangeCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	sold, err := s.Find(a.ctx, c.For)
	if err != nil {
		return err
	}
	return step(a, c.stepFlags, w, trade.Buying{Terms: t.of(c.Allowance, byBuyer), Scheme: c.Scheme},
		func(ctx context.Context, id shop.WatchID, t trade.Buying, by string) (shop.Movement, error) {
			return s.Trade.PartExchange(ctx, id, t, sold.ID, by)
		})
}

// workFlags are what work and fees have in common.
type workFlags struct {
	moneyFlags
	Cost         money.Money `arg:"" help:"Cost, such as 450EUR."`
	What         string      `arg:"" help:"What was done or paid for, such as service, photographs, carriage."`
	Tax          money.Money `help:"Tax in the cost, to reclaim." placeholder:"AMOUNT"`
	ForConsignor bool        `help:"The consignor pays it."`
}

func (c workFlags) working(t terms) trade.Working {
	return trade.Working{Terms: t.of(c.Cost, byShop), What: c.What, Tax: c.Tax, ForConsignor: c.ForConsignor}
}

type stockWorkCmd struct {
	workFlags
	Bag     []shop.Kept `help:"An original part removed and kept, such as 'crown=worn original'; may be repeated." placeholder:"PART=WHAT" sep:"none"`
	PutBack []shop.Kept `help:"A part put back from the bag." placeholder:"PART=WHAT" sep:"none"`
}

// Run books work.
func (c stockWorkCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	with := c.working(t)
	with.Removed, with.PutBack = c.Bag, c.PutBack
	return step(a, c.stepFlags, w, with, s.Trade.Repair)
}

type stockFeeCmd struct{ workFlags }

// Run books a cost of selling.
func (c stockFeeCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, c.working(t), s.Trade.Fee)
}

type stockReserveCmd struct {
	moneyFlags
	Until   edtf.Date   `required:"" help:"Last day of the reservation." placeholder:"2026-03-01"`
	Deposit money.Money `help:"Deposit received, such as 500EUR." placeholder:"AMOUNT"`
}

// Run reserves a watch.
func (c stockReserveCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, trade.Reserving{Terms: t.of(c.Deposit, ledger.Bank), Until: c.Until},
		s.Trade.Reserve)
}

type stockReleaseCmd struct {
	moneyFlags
	KeepDeposit bool `help:"The shop keeps the deposit, as agreed and as the law allows."`
}

// Run ends a reservation.
func (c stockReleaseCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, t.of(money.Money{}, ledger.Bank),
		func(ctx context.Context, id shop.WatchID, t trade.Terms, by string) (shop.Movement, error) {
			return s.Trade.Release(ctx, id, t, c.KeepDeposit, by)
		})
}

type stockSellCmd struct {
	moneyFlags
	Price   money.Money      `arg:"" help:"Full price, such as 6800EUR; a deposit already received is part of it."`
	Route   string           `help:"Route: own site, private client, auction or trade." enum:"own site,private client,auction,trade" default:"own site"`
	Scheme  string           `help:"Tax scheme (default: as bought)." enum:",margin,ordinary,none" default:""`
	TaxRate *decimal.Decimal `help:"Tax rate, such as 20% (default: the shop's)." placeholder:"RATE"`

	Untaxed     string `help:"Why no tax is charged: export, intra-community, reverse-charge, exempt or outside (not subject to tax)." enum:",export,intra-community,reverse-charge,exempt,outside" default:""`
	Customs     string `help:"Number of the customs document of an export." placeholder:"NUMBER"`
	Destination string `help:"Country to which it goes, by two letters (default: the buyer's)." placeholder:"CH"`
}

// Run sells a watch.
func (c stockSellCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, trade.Selling{Terms: t.of(c.Price, byBuyer), Route: c.Route, Scheme: c.Scheme,
		TaxRate: c.TaxRate, Untaxed: c.Untaxed, Customs: c.Customs, Destination: c.Destination}, s.Trade.Sell)
}

type stockRefundCmd struct {
	moneyFlags
	Part money.Money `help:"Refund only this; the sale stays, at a lower price." placeholder:"AMOUNT"`
}

// Run refunds a sale.
func (c stockRefundCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, t.of(c.Part, byBuyer), s.Trade.Refund)
}

type stockGiveBackCmd struct{ moneyFlags }

// Run returns a consigned watch.
func (c stockGiveBackCmd) Run(a *app, s *opened, w shop.Watch, t terms) error {
	return step(a, c.stepFlags, w, t.of(money.Money{}, ledger.Bank), s.Trade.GiveBack)
}

type stockWriteOffCmd struct {
	stepFlags
	What     string `arg:"" help:"What happened, such as \"stolen in transit\". Do not write about people."`
	Day      string `help:"Day (default: today)." placeholder:"2026-03-01"`
	Document string `help:"Number of the report." placeholder:"NUMBER"`
}

// Run writes a watch off.
func (c stockWriteOffCmd) Run(a *app, s *opened, w shop.Watch) error {
	return step(a, c.stepFlags, w, trade.Terms{Day: c.Day, Document: c.Document, Text: c.What}, s.Trade.WriteOff)
}

type stockPrivateCmd struct {
	onWatch
	doer
	output
	Until edtf.Date `required:"" help:"Last private day." placeholder:"2026-03-01"`
}

// Run shows a watch privately first.
func (c stockPrivateCmd) Run(a *app, s *opened, w shop.Watch) error {
	v, err := s.People.PrivateFirst(a.ctx, w.ID, c.Until, c.who())
	return c.line(a, v, err, "%s", v.ID)
}

type stockOfferCmd struct {
	onWatch
	offering
	Client string `arg:"" help:"Id, name or e-mail address of the client."`
	Kind   string `help:"shown, offered, promised, accepted, declined or withdrawn." enum:"shown,offered,promised,accepted,declined,withdrawn" default:"offered"`
}

// Run records an offer.
func (c stockOfferCmd) Run(a *app, s *opened, w shop.Watch) error {
	v, err := c.show(a, s, w, c.Client, c.Kind)
	return c.line(a, v, err, "%s", v.ID)
}
