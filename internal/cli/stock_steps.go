package cli

import (
	"context"
	"errors"
	"fmt"
	"strings"

	"midcase/edtf"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
	"midcase/money"
)

// stockSteps are the steps in the life of a watch.
type stockSteps struct {
	Where    stockWhereCmd    `cmd:"" help:"Where a watch is and who has it."`
	History  stockHistoryCmd  `cmd:"" help:"Every step of a watch."`
	Holds    stockHoldsCmd    `cmd:"" help:"What to settle before a watch is sold, by the shop's local rules."`
	Move     stockMoveCmd     `cmd:"" help:"Record the next step of a watch: at the watchmaker, photographed, listed, out on memo, or moved elsewhere."`
	Buy      stockBuyCmd      `cmd:"" help:"Buy an offered watch."`
	Consign  stockConsignCmd  `cmd:"" help:"Take an offered watch on consignment."`
	Share    stockShareCmd    `cmd:"" help:"Buy an offered watch together with partners."`
	Exchange stockExchangeCmd `cmd:"" help:"Take an offered watch in part exchange."`
	Work     stockWorkCmd     `cmd:"" help:"Book work done on a watch. Original parts that were removed go into its bag."`
	Fee      stockFeeCmd      `cmd:"" help:"Book a cost of selling a watch."`
	Reserve  stockReserveCmd  `cmd:"" help:"Reserve a watch, with or without a deposit."`
	Release  stockReleaseCmd  `cmd:"" help:"End a reservation."`
	Sell     stockSellCmd     `cmd:"" help:"Sell a watch."`
	Refund   stockRefundCmd   `cmd:"" help:"Refund a buyer: in full, taking the watch back, or in part."`
	Instal   stockInstalCmd   `cmd:"" name:"instalments" help:"Agree with a buyer that what is open is paid in monthly instalments, with interest or without; print the plan."`
	GiveBack stockGiveBackCmd `cmd:"" help:"Return a consigned watch to its owner."`
	Lot      stockLotCmd      `cmd:"" help:"Buy several offered watches at one price, divided by what each is worth."`
	Reduce   stockReduceCmd   `cmd:"" help:"Book a part of the price that the seller gives back."`
	WriteOff stockWriteOffCmd `cmd:"" name:"write-off" help:"Write off a watch that was lost, stolen or broken beyond repair."`
	Private  stockPrivateCmd  `cmd:"" help:"Show a watch privately first, until a day."`
	Offer    stockOfferCmd    `cmd:"" help:"Record that a watch was shown, offered or promised to a client."`
	Rules    stockRulesCmd    `cmd:"" help:"Show or set the local rules: days to hold, identity, statement, register check, cash."`
	Undo     stockUndoCmd     `cmd:"" help:"Undo the last step of a watch and reverse its money."`
}

// stepFlags are what every step has in common.
type stepFlags struct {
	onWatch
	doer
	output
}

// step does a step with a watch and prints it.
func step[T any](a *app, c stepFlags, w shop.Watch, with T, do func(context.Context, shop.WatchID, T,
	string) (shop.Movement, error)) error {
	m, err := do(a.ctx, w.ID, with, c.who())
	m = shop.SeenMovement(a.ctx, m)
	return c.line(a, m, err, "no. %d %s: %s", w.Number, w.Title, moveWords(m))
}

// moveWords is a movement in a line.
func moveWords(m shop.Movement) string {
	parts := []string{stateWords(m.To)}
	if m.From != "" && m.From != m.To {
		parts[0] = stateWords(m.From) + " to " + stateWords(m.To)
	}
	if m.Undoes != "" {
		parts[0] = "undone, back to " + stateWords(m.To)
	}
	if !m.Price.IsZero() {
		parts = append(parts, exact(m.Price))
	}
	for _, x := range []struct{ label, text string }{{"at ", m.Place}, {"with ", m.Holder}, {"for ", m.Person},
		{"until ", m.Due.String()}, {"", m.Note}, {"", m.Reason}} {
		if x.text != "" {
			parts = append(parts, x.label+x.text)
		}
	}
	for _, k := range m.Removed {
		parts = append(parts, "kept in the bag: "+keptWords(k))
	}
	for _, h := range m.Ignored {
		parts = append(parts, "despite "+h.Rule)
	}
	return strings.Join(parts, ", ")
}

func keptWords(k shop.Kept) string { return strings.TrimSpace(k.Slot.Name() + " " + k.What) }

func stateWords(s shop.State) string { return strings.ReplaceAll(string(s), "_", " ") }

// moneyFlags are the terms of a dealing about money.
type moneyFlags struct {
	stepFlags
	Client   string       `help:"The other side: id, name or e-mail address of a client." placeholder:"CLIENT"`
	Rate     exchangeRate `help:"Rate of exchange: what 1 of the amount's currency is worth in the shop's." placeholder:"RATE"`
	Pay      string       `help:"How it is paid: bank, cash, owed, or capital for an opening balance." enum:"bank,cash,owed,capital" default:"bank"`
	Document string       `help:"Number of the invoice or receipt." placeholder:"NUMBER"`
	Day      string       `help:"Day (default: today)." placeholder:"2026-03-01"`
	Place    string       `help:"Where the watch is now." placeholder:"PLACE"`
	Override string       `help:"Why it goes ahead despite a hold. It is logged." placeholder:"REASON"`
}

// ProvideTerms reads the terms.
func (c moneyFlags) ProvideTerms(a *app, s *opened) (terms, error) {
	id, err := clientID(a, s, c.Client)
	return terms{trade.Terms{Client: id, Rate: c.Rate.Decimal, Pay: paid(c.Pay), Document: c.Document, Day: c.Day,
		Place: c.Place, Override: c.Override}}, err
}

type stockMoveCmd struct {
	stepFlags
	To     string      `arg:"" optional:"" help:"The new state: at_watchmaker, photographed, listed, reserved, memo_out, bought … Leave it out to change the place only."`
	Client string      `help:"For whom, or who has it on memo." placeholder:"CLIENT"`
	Holder string      `help:"Who has it, if not the shop." placeholder:"NAME"`
	Place  string      `help:"Where it is now." placeholder:"PLACE"`
	Due    edtf.Date   `help:"Day on which it is due back, or the last day of a reservation." placeholder:"2026-03-01"`
	Day    string      `help:"Day (default: today)." placeholder:"2026-03-01"`
	Asking money.Money `help:"Asking price from now on, such as 7900EUR." placeholder:"AMOUNT"`
	Note   string      `help:"A note. Do not write about people: it is kept for good."`
}

// Run moves a watch.
func (c stockMoveCmd) Run(a *app, s *opened, w shop.Watch) error {
	person, err := clientID(a, s, c.Client)
	if err != nil {
		return err
	}
	holder := c.Holder
	if x, err := s.People.Find(a.ctx, holder); err == nil && holder != "" { // a client is named by the id
		holder = x.ID
	} else if errors.Is(err, shop.ErrAmbiguous) {
		return err
	}
	return step(a, c.stepFlags, w, trade.Moving{To: shop.State(c.To), Day: c.Day, Person: person, Place: c.Place,
		Holder: holder, Due: c.Due, Asking: c.Asking, Note: c.Note}, s.Trade.Move)
}

type stockUndoCmd struct {
	stepFlags
	Reason string `required:"" help:"Why the step was wrong."`
}

// Run undoes the last step.
func (c stockUndoCmd) Run(a *app, s *opened, w shop.Watch) error {
	return step(a, c.stepFlags, w, c.Reason, s.Trade.Undo)
}

type stockHistoryCmd struct {
	onWatch
	table
}

// Run lists the steps of a watch.
func (c stockHistoryCmd) Run(a *app, s *opened, w shop.Watch) error {
	moves, err := s.Trade.History(a.ctx, w.ID)
	if err != nil {
		return err
	}
	people, _, err := s.Names(a.ctx, "history")
	return list(a, c.table, moves, err, "No steps yet.", "DAY|BY|STEP|LEDGER", func(m shop.Movement) cells {
		m.Person = orElse(people[m.Person], m.Person)
		return cells{m.Day, m.By, moveWords(m), strings.Join(m.Entries, " ")}
	})
}

type stockWhereCmd struct {
	onWatch
	output
}

// Run says where a watch is.
func (c stockWhereCmd) Run(a *app, s *opened, w shop.Watch) error {
	x, err := s.Trade.WhereIs(a.ctx, w.ID)
	return c.print(a, x, err, func() error {
		fmt.Fprintf(a.out, "no. %d %s: %s since %s, with %s", x.Number, x.Title, stateWords(x.State), x.Since,
			orElse(x.Holder, "the shop"))
		if x.Place != "" {
			fmt.Fprintf(a.out, ", %s", x.Place)
		}
		if !x.Due.IsZero() {
			fmt.Fprintf(a.out, ", until %s", x.Due)
		}
		fmt.Fprintln(a.out)
		for _, k := range x.Bag {
			fmt.Fprintf(a.out, "in the bag: %s\n", keptWords(k))
		}
		return nil
	})
}

type stockHoldsCmd struct {
	onWatch
	table
}

// Run lists holds.
func (c stockHoldsCmd) Run(a *app, s *opened, w shop.Watch) error {
	holds, err := s.Trade.Holds(a.ctx, w.ID, a.now())
	err = list(a, c.table, holds, err, "Nothing to settle.", "|RULE|WHY", func(h shop.Hold) cells {
		if h.Blocks {
			return cells{"HOLD", h.Rule, h.Why}
		}
		return cells{"note", h.Rule, h.Why}
	})
	if err == nil && !c.JSON {
		_, err = fmt.Fprintln(a.err, trade.CheckLocalRules)
	}
	return err
}

// Accounts for paying later: what the shop owes, and what it is owed.
const (
	byShop  = ledger.Payable
	byBuyer = ledger.Receivable
)
