package cli

import (
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
	Price  string `arg:"" help:"Price, such as 5200EUR."`
	Scheme string `help:"Tax scheme under which it may be sold: margin, ordinary or none; default the shop's." enum:",margin,ordinary,none" default:""`
	Tax    string `help:"Tax in the price, to reclaim; ordinary scheme only." placeholder:"AMOUNT"`
}

// Run buys a watch.
func (c stockBuyCmd) Run(a *app) error {
	return c.deal(a, c.Price, ledger.Payable, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		t := trade.Buying{Terms: d, Scheme: c.Scheme}
		var err error
		if t.Tax, err = optionalMoney(c.Tax); err != nil {
			return shop.Movement{}, err
		}
		return s.Trade.Buy(a.ctx, id, t, by)
	})
}

func optionalMoney(text string) (money.Money, error) {
	if text == "" {
		return money.Money{}, nil
	}
	m, err := parseMoney(text)
	if err != nil {
		return m, misuse{err}
	}
	return m, nil
}

type stockConsignCmd struct {
	moneyFlags
	Value      string `arg:"" help:"Agreed value, such as 5200EUR."`
	Commission string `help:"The shop's share of the sale price, such as 15%." placeholder:"SHARE"`
	Net        string `help:"What the consignor gets, whatever the price." placeholder:"AMOUNT"`
}

// Run takes a watch on consignment.
func (c stockConsignCmd) Run(a *app) error {
	return c.deal(a, c.Value, ledger.Payable, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		t := trade.Consigning{Terms: d}
		var err error
		if t.Net, err = optionalMoney(c.Net); err != nil {
			return shop.Movement{}, err
		}
		if c.Commission != "" {
			if t.Commission, err = share("--commission", c.Commission); err != nil {
				return shop.Movement{}, err
			}
		}
		return s.Trade.ConsignIn(a.ctx, id, t, by)
	})
}

type stockShareCmd struct {
	moneyFlags
	Price   string   `arg:"" help:"Price of the whole watch, such as 5200EUR."`
	Partner []string `required:"" help:"A partner and its share, such as 'Paula & Co=50%'; again for each." placeholder:"CLIENT=SHARE" sep:"none"`
	Leads   bool     `help:"The partner named by --client paid and will sell."`
	Scheme  string   `help:"Tax scheme: margin, ordinary or none; default the shop's." enum:",margin,ordinary,none" default:""`
}

// Run buys a watch with partners.
func (c stockShareCmd) Run(a *app) error {
	return c.deal(a, c.Price, ledger.Payable, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		t := trade.Sharing{Terms: d, Scheme: c.Scheme}
		if c.Leads {
			t.Leader = d.Client
		}
		for _, x := range c.Partner {
			i := strings.LastIndexByte(x, '=')
			if i < 0 {
				return shop.Movement{}, wrong("--partner %q: want a form such as 'Paula & Co=50%%'", x)
			}
			id, err := clientID(a, s, x[:i])
			if err != nil {
				return shop.Movement{}, err
			}
			part, err := share("--partner", x[i+1:])
			if err != nil {
				return shop.Movement{}, err
			}
			t.Stakes = append(t.Stakes, ledger.Stake{Party: id, Share: part})
		}
		return s.Trade.ShareBuy(a.ctx, id, t, by)
	})
}

type stockExchangeCmd struct {
	moneyFlags
	Allowance string `arg:"" help:"What it counts for, such as 1000EUR."`
	For       string `required:"" help:"The watch sold, for which the client still owes." placeholder:"WATCH"`
	Scheme    string `help:"Tax scheme: margin, ordinary or none; default the shop's." enum:",margin,ordinary,none" default:""`
}

// Run takes a watch in part exchange.
func (c stockExchangeCmd) Run(a *app) error {
	return c.deal(a, c.Allowance, ledger.Receivable, func(s *opened, id shop.WatchID, d trade.Terms,
		by string) (shop.Movement, error) {
		sold, err := s.Find(a.ctx, c.For)
		if err != nil {
			return shop.Movement{}, err
		}
		return s.Trade.PartExchange(a.ctx, id, trade.Buying{Terms: d, Scheme: c.Scheme}, sold.ID, by)
	})
}

// workFlags are what work and fees have in common.
type workFlags struct {
	moneyFlags
	Cost         string `arg:"" help:"Cost, such as 450EUR."`
	What         string `arg:"" help:"What was done or paid for, such as service, photographs, carriage."`
	Tax          string `help:"Tax in the cost, to reclaim." placeholder:"AMOUNT"`
	ForConsignor bool   `help:"The consignor bears it."`
}

func (c workFlags) working(d trade.Terms) (trade.Working, error) {
	tax, err := optionalMoney(c.Tax)
	return trade.Working{Terms: d, What: c.What, Tax: tax, ForConsignor: c.ForConsignor}, err
}

type stockWorkCmd struct {
	workFlags
	Bag     []string `help:"An original part taken out and kept, such as 'crown=worn original'; again for each." placeholder:"SLOT=WHAT" sep:"none"`
	PutBack []string `help:"A part put back from the bag." placeholder:"SLOT=WHAT" sep:"none"`
}

// Run books work.
func (c stockWorkCmd) Run(a *app) error {
	return c.deal(a, c.Cost, ledger.Payable, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		t, err := c.working(d)
		if err != nil {
			return shop.Movement{}, err
		}
		if t.Removed, err = keptParts(c.Bag); err != nil {
			return shop.Movement{}, err
		}
		if t.PutBack, err = keptParts(c.PutBack); err != nil {
			return shop.Movement{}, err
		}
		return s.Trade.Repair(a.ctx, id, t, by)
	})
}

type stockFeeCmd struct{ workFlags }

// Run books a cost of selling.
func (c stockFeeCmd) Run(a *app) error {
	return c.deal(a, c.Cost, ledger.Payable, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		t, err := c.working(d)
		if err != nil {
			return shop.Movement{}, err
		}
		return s.Trade.Fee(a.ctx, id, t, by)
	})
}

type stockReserveCmd struct {
	moneyFlags
	Until   string `required:"" help:"The last day of the reservation." placeholder:"2026-03-01"`
	Deposit string `help:"The deposit taken, such as 500EUR." placeholder:"AMOUNT"`
}

// Run reserves a watch.
func (c stockReserveCmd) Run(a *app) error {
	until, err := dayFlag("until", c.Until)
	if err != nil {
		return err
	}
	return c.deal(a, c.Deposit, ledger.Bank, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		return s.Trade.Reserve(a.ctx, id, trade.Reserving{Terms: d, Until: until}, by)
	})
}

type stockReleaseCmd struct {
	moneyFlags
	KeepDeposit bool `help:"The shop keeps the deposit, as agreed and as law allows."`
}

// Run ends a reservation.
func (c stockReleaseCmd) Run(a *app) error {
	return c.deal(a, "", ledger.Bank, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		return s.Trade.Release(a.ctx, id, d, c.KeepDeposit, by)
	})
}

type stockSellCmd struct {
	moneyFlags
	Price   string `arg:"" help:"The whole price, such as 6800EUR; a deposit taken is part of it."`
	Route   string `help:"By which route: own site, private client, auction, trade." default:"own site"`
	Scheme  string `help:"Tax scheme; default as bought." enum:",margin,ordinary,none" default:""`
	TaxRate string `help:"Rate of tax, such as 20%; default the shop's." placeholder:"RATE"`
}

// Run sells a watch.
func (c stockSellCmd) Run(a *app) error {
	if !known(trade.Routes(), c.Route) {
		return wrong("route %q: want one of %s", c.Route, joined(trade.Routes()))
	}
	return c.deal(a, c.Price, ledger.Receivable, func(s *opened, id shop.WatchID, d trade.Terms,
		by string) (shop.Movement, error) {
		t := trade.Selling{Terms: d, Route: c.Route, Scheme: c.Scheme}
		if c.TaxRate != "" {
			r, err := share("--tax-rate", c.TaxRate)
			if err != nil {
				return shop.Movement{}, err
			}
			t.TaxRate = new(decimal.Decimal)
			*t.TaxRate = r
		}
		return s.Trade.Sell(a.ctx, id, t, by)
	})
}

type stockRefundCmd struct {
	moneyFlags
	Part string `help:"Give only this back; the sale stands at a lower price." placeholder:"AMOUNT"`
}

// Run refunds a sale.
func (c stockRefundCmd) Run(a *app) error {
	return c.deal(a, c.Part, ledger.Receivable, func(s *opened, id shop.WatchID, d trade.Terms,
		by string) (shop.Movement, error) {
		return s.Trade.Refund(a.ctx, id, d, by)
	})
}

type stockGiveBackCmd struct{ moneyFlags }

// Run gives a consigned watch back.
func (c stockGiveBackCmd) Run(a *app) error {
	return c.deal(a, "", ledger.Bank, func(s *opened, id shop.WatchID, d trade.Terms, by string) (shop.Movement,
		error) {
		return s.Trade.GiveBack(a.ctx, id, d, by)
	})
}

type stockWriteOffCmd struct {
	stepFlags
	What     string `arg:"" help:"What happened, such as \"stolen in transit\"; nothing about people."`
	Day      string `help:"The day on which it happened; default today." placeholder:"2026-03-01"`
	Document string `help:"Number of the report." placeholder:"NUMBER"`
}

// Run writes a watch off.
func (c stockWriteOffCmd) Run(a *app) error {
	return c.step(a, func(s *opened, id shop.WatchID, by string) (shop.Movement, error) {
		return s.Trade.WriteOff(a.ctx, id, trade.Terms{Day: c.Day, Document: c.Document, Text: c.What}, by)
	})
}

type stockPrivateCmd struct {
	lookFlags
	Until string `required:"" help:"The last private day." placeholder:"2026-03-01"`
	By    string `help:"Who does it; default the user." env:"MIDCASE_USER"`
}

// Run shows a watch privately first.
func (c stockPrivateCmd) Run(a *app) error {
	until, err := dayFlag("until", c.Until)
	if err != nil {
		return err
	}
	return c.look(a, func(s *opened, w shop.Watch) error {
		v, err := s.People.PrivateFirst(a.ctx, w.ID, until, user(c.By))
		return a.showing(v, err, c.JSON)
	})
}

type stockOfferCmd struct {
	lookFlags
	Client  string `arg:"" help:"Id, name or e-mail address of a client."`
	Kind    string `help:"shown, offered, promised, accepted, declined or withdrawn." enum:"shown,offered,promised,accepted,declined,withdrawn" default:"offered"`
	Price   string `help:"At what price." placeholder:"AMOUNT"`
	Until   string `help:"The last day of the offer or promise." placeholder:"2026-03-01"`
	Channel string `help:"How: email, phone, message, post, in the shop." placeholder:"CHANNEL"`
	By      string `help:"Who; default the user." env:"MIDCASE_USER"`
}

// Run records an offer.
func (c stockOfferCmd) Run(a *app) error {
	var until edtf.Date
	price, err := optionalMoney(c.Price)
	if err == nil {
		until, err = dayFlag("until", c.Until)
	}
	if err != nil {
		return err
	}
	return c.look(a, func(s *opened, w shop.Watch) error {
		id, err := clientID(a, s, c.Client)
		if err != nil {
			return err
		}
		v, err := s.People.Show(a.ctx, shop.Showing{Watch: w.ID, Client: id, Kind: c.Kind, Price: price, Until: until,
			Channel: c.Channel}, user(c.By))
		return a.showing(v, err, c.JSON)
	})
}

// showing prints what was recorded.
func (a *app) showing(v shop.Showing, err error, asJSON bool) error {
	if err != nil {
		return refused(err)
	}
	if asJSON {
		return a.printJSON(v)
	}
	_, err = a.out.Write([]byte(v.ID + "\n"))
	return err
}
