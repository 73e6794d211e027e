package cli

import (
	"errors"
	"fmt"
	"strings"

	"github.com/govalues/decimal"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/trade"
)

// stockSteps are the steps in the life of a watch.
type stockSteps struct {
	Where    stockWhereCmd    `cmd:"" help:"Where a watch is, who has it, where it may go."`
	History  stockHistoryCmd  `cmd:"" help:"Every step of a watch."`
	Holds    stockHoldsCmd    `cmd:"" help:"What stands against selling a watch, by the shop's local rules."`
	Move     stockMoveCmd     `cmd:"" help:"Take a watch a step further: to the watchmaker, photographed, listed, out on memo, or to another place."`
	Buy      stockBuyCmd      `cmd:"" help:"Buy an offered watch."`
	Consign  stockConsignCmd  `cmd:"" help:"Take an offered watch on consignment."`
	Share    stockShareCmd    `cmd:"" help:"Buy an offered watch together with partners."`
	Exchange stockExchangeCmd `cmd:"" help:"Take an offered watch as part of the price of another."`
	Work     stockWorkCmd     `cmd:"" help:"Book work done on a watch; original parts taken out go into its bag."`
	Fee      stockFeeCmd      `cmd:"" help:"Book a cost of selling a watch."`
	Reserve  stockReserveCmd  `cmd:"" help:"Reserve a watch, with a deposit or without."`
	Release  stockReleaseCmd  `cmd:"" help:"End a reservation."`
	Sell     stockSellCmd     `cmd:"" help:"Sell a watch."`
	Refund   stockRefundCmd   `cmd:"" help:"Give a buyer money back: all of it and take the watch back, or a part."`
	GiveBack stockGiveBackCmd `cmd:"" help:"Give a consigned watch back to its owner."`
	WriteOff stockWriteOffCmd `cmd:"" name:"write-off" help:"Write off a watch that was lost, stolen or broken beyond repair: its cost becomes a loss."`
	Private  stockPrivateCmd  `cmd:"" help:"Show a watch privately first, until a day."`
	Offer    stockOfferCmd    `cmd:"" help:"Record that a watch was shown, offered or promised to a client."`
	Rules    stockRulesCmd    `cmd:"" help:"Show or set the local rules: days to hold, identity, statement, look-up, cash."`
	Undo     stockUndoCmd     `cmd:"" help:"Take the last step of a watch back, with its money, by counter-entries."`
}

// stepFlags are what every step has in common.
type stepFlags struct {
	Watch string `arg:"" help:"Id, file number or serial number."`
	By    string `help:"Who does it; default the user." env:"MIDCASE_USER"`
	JSON  bool   `name:"json" help:"Print the step as JSON."`
}

// step opens the shop, finds the watch, does the step and prints it.
func (c stepFlags) step(a *app, do func(s *opened, id shop.WatchID, by string) (shop.Movement, error)) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	m, err := do(s, w.ID, user(c.By))
	if err != nil {
		return refused(err)
	}
	if c.JSON {
		return a.printJSON(m)
	}
	_, err = fmt.Fprintf(a.out, "no. %d %s: %s\n", w.Number, w.Title, moveWords(m))
	return err
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
		parts = append(parts, m.Price.String())
	}
	for _, x := range []struct{ label, text string }{{"at ", m.Place}, {"with ", m.Holder}, {"for ", m.Person},
		{"until ", m.Due.String()}, {"", m.Note}, {"", m.Reason}} {
		if x.text != "" {
			parts = append(parts, x.label+x.text)
		}
	}
	for _, k := range m.Removed {
		parts = append(parts, "kept in the bag: "+strings.TrimSpace(k.Slot.Name()+" "+k.What))
	}
	for _, h := range m.Ignored {
		parts = append(parts, "against "+h.Rule)
	}
	return strings.Join(parts, ", ")
}

func stateWords(s shop.State) string { return strings.ReplaceAll(string(s), "_", " ") }

// moneyFlags are the terms of a dealing about money.
type moneyFlags struct {
	stepFlags
	Client   string `help:"The other side: id, name or e-mail address of a client." placeholder:"CLIENT"`
	Rate     string `help:"Rate of exchange: the shop's currency for 1 of the amount's." placeholder:"RATE"`
	Pay      string `help:"How it is paid: bank, cash, owed, or capital for an opening balance." enum:"bank,cash,owed,capital" default:"bank"`
	Document string `help:"Number of the invoice or receipt." placeholder:"NUMBER"`
	Day      string `help:"The day on which it happened; default today." placeholder:"2026-03-01"`
	Place    string `help:"Where the watch is now." placeholder:"PLACE"`
	Override string `help:"Why it goes ahead against a hold. It is logged." placeholder:"REASON"`
}

// dealing reads the terms. owed is the account that stands for paying later.
func (c moneyFlags) dealing(a *app, s *opened, amount string, owed ledger.Account) (trade.Terms, error) {
	d := trade.Terms{Document: c.Document, Day: c.Day, Place: c.Place, Override: c.Override}
	d.Pay = map[string]ledger.Account{"bank": ledger.Bank, "cash": ledger.Cash, "owed": owed,
		"capital": ledger.Capital}[c.Pay]
	var err error
	if d.Client, err = clientID(a, s, c.Client); err != nil {
		return d, err
	}
	if amount != "" {
		if d.Amount, err = parseMoney(amount); err != nil {
			return d, misuse{err}
		}
	}
	if c.Rate != "" {
		if d.Rate, err = ledger.ParseRate(c.Rate); err != nil {
			return d, misuse{err}
		}
	}
	return d, nil
}

// clientID finds a client by what was given; nothing stays nothing.
func clientID(a *app, s *opened, key string) (string, error) {
	if key == "" {
		return "", nil
	}
	c, err := s.People.Find(a.ctx, key)
	return c.ID, err
}

// deal is a step about money.
func (c moneyFlags) deal(a *app, amount string, owed ledger.Account, do func(s *opened, id shop.WatchID, d trade.Terms,
	by string) (shop.Movement, error)) error {
	return c.step(a, func(s *opened, id shop.WatchID, by string) (shop.Movement, error) {
		d, err := c.dealing(a, s, amount, owed)
		if err != nil {
			return shop.Movement{}, err
		}
		return do(s, id, d, by)
	})
}

// day reads a date flag; nothing stays none.
func dayFlag(name, text string) (edtf.Date, error) {
	if text == "" {
		return edtf.Date{}, nil
	}
	d, err := edtf.Parse(text)
	if err != nil {
		return d, wrong("--%s %q: want a day such as 2026-03-01", name, text)
	}
	return d, nil
}

// share reads a share such as 0.15 or 15%.
func share(name, text string) (decimal.Decimal, error) {
	number, percent := strings.CutSuffix(strings.TrimSpace(text), "%")
	d, err := decimal.Parse(strings.TrimSpace(number))
	if err == nil && percent {
		d, err = d.Quo(decimal.MustNew(100, 0))
	}
	if err != nil || d.IsNeg() {
		return decimal.Zero, wrong("%s %q: want a share such as 0.15 or 15%%", name, text)
	}
	return d, nil
}

type stockMoveCmd struct {
	stepFlags
	To     string `arg:"" optional:"" help:"The state: at_watchmaker, photographed, listed, reserved, memo_out, bought and so on; none to change the place only."`
	Client string `help:"For whom, or who has it on memo." placeholder:"CLIENT"`
	Holder string `help:"Who has it in hand, where not the shop." placeholder:"NAME"`
	Place  string `help:"Where it is now." placeholder:"PLACE"`
	Due    string `help:"The day on which it is due back, or the last of a reservation." placeholder:"2026-03-01"`
	Day    string `help:"The day on which it happened; default today." placeholder:"2026-03-01"`
	Asking string `help:"What is asked for it from now on, such as 7900EUR." placeholder:"AMOUNT"`
	Note   string `help:"A note; nothing about people, it is kept for good."`
}

// Run moves a watch.
func (c stockMoveCmd) Run(a *app) error {
	due, err := dayFlag("due", c.Due)
	if err != nil {
		return err
	}
	asking, err := optionalMoney(c.Asking)
	if err != nil {
		return err
	}
	return c.step(a, func(s *opened, id shop.WatchID, by string) (shop.Movement, error) {
		person, err := clientID(a, s, c.Client)
		if err != nil {
			return shop.Movement{}, err
		}
		holder := c.Holder
		if x, err := s.People.Find(a.ctx, holder); err == nil && holder != "" { // a client is named by the id
			holder = x.ID
		} else if errors.Is(err, shop.ErrAmbiguous) {
			return shop.Movement{}, err
		}
		return s.Trade.Move(a.ctx, id, trade.Moving{To: shop.State(c.To), Day: c.Day, Person: person, Place: c.Place,
			Holder: holder, Due: due, Asking: asking, Note: c.Note}, by)
	})
}

type stockUndoCmd struct {
	stepFlags
	Reason string `required:"" help:"Why the step was wrong."`
}

// Run takes the last step back.
func (c stockUndoCmd) Run(a *app) error {
	return c.step(a, func(s *opened, id shop.WatchID, by string) (shop.Movement, error) {
		return s.Trade.Undo(a.ctx, id, c.Reason, by)
	})
}

type lookFlags struct {
	Watch string `arg:"" help:"Id, file number or serial number."`
	JSON  bool   `name:"json" help:"Print JSON."`
}

func (c lookFlags) look(a *app, do func(s *opened, w shop.Watch) error) error {
	s, w, err := a.openWatch(c.Watch)
	if err != nil {
		return err
	}
	defer s.close()
	return do(s, w)
}

type stockHistoryCmd struct{ lookFlags }

// Run lists the steps of a watch.
func (c stockHistoryCmd) Run(a *app) error {
	return c.look(a, func(s *opened, w shop.Watch) error {
		moves, err := s.Trade.History(a.ctx, w.ID)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(moves)
		}
		rows := [][]string{{"DAY", "BY", "STEP", "LEDGER"}}
		for _, m := range moves {
			rows = append(rows, []string{m.Day, m.By, moveWords(m), strings.Join(m.Entries, " ")})
		}
		return a.table(rows)
	})
}

type stockWhereCmd struct{ lookFlags }

// Run says where a watch is.
func (c stockWhereCmd) Run(a *app) error {
	return c.look(a, func(s *opened, w shop.Watch) error {
		x, err := s.Trade.WhereIs(a.ctx, w.ID)
		if err != nil {
			return err
		}
		if c.JSON {
			return a.printJSON(x)
		}
		holder := x.Holder
		if holder == "" {
			holder = "the shop"
		}
		fmt.Fprintf(a.out, "no. %d %s: %s since %s, with %s", x.Number, x.Title, stateWords(x.State), x.Since, holder)
		if x.Place != "" {
			fmt.Fprintf(a.out, ", %s", x.Place)
		}
		if !x.Due.IsZero() {
			fmt.Fprintf(a.out, ", until %s", x.Due)
		}
		fmt.Fprintln(a.out)
		for _, k := range x.Bag {
			fmt.Fprintf(a.out, "in the bag: %s\n", strings.TrimSpace(k.Slot.Name()+" "+k.What))
		}
		return nil
	})
}

type stockHoldsCmd struct{ lookFlags }

// Run lists holds.
func (c stockHoldsCmd) Run(a *app) error {
	return c.look(a, func(s *opened, w shop.Watch) error {
		holds, err := s.Trade.Holds(a.ctx, w.ID, a.now())
		if err != nil {
			return err
		}
		if c.JSON {
			if holds == nil {
				holds = []shop.Hold{}
			}
			return a.printJSON(holds)
		}
		for _, h := range holds {
			mark := "note"
			if h.Blocks {
				mark = "HOLD"
			}
			fmt.Fprintf(a.out, "%s  %s: %s\n", mark, h.Rule, h.Why)
		}
		_, err = fmt.Fprintln(a.out, trade.CheckLocalRules)
		return err
	})
}

// keptPart reads slot=what.
func keptParts(all []string) ([]shop.Kept, error) {
	var out []shop.Kept
	for _, x := range all {
		slot, what, _ := strings.Cut(x, "=")
		k := shop.Kept{Slot: evidence.Slot(slot), What: what}
		if !k.Slot.Valid() {
			return nil, wrong("part %q: want a form such as crown=\"worn original\"", x)
		}
		out = append(out, k)
	}
	return out, nil
}
