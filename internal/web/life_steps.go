package web

import (
	"errors"
	"fmt"
	"strconv"
	"strings"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
)

// errForm stands for problems that the form has noted itself.
var errForm = errors.New("the form has problems")

// ready is nil where nothing typed is wrong so far.
func (f *stepForm) ready() error {
	if len(f.problems) > 0 {
		return errForm
	}
	return nil
}

// take takes the step of an act.
func (f *stepForm) take(act string, l shop.Life) (shop.Movement, error) {
	switch act {
	case "buy", "enter", "consign", "share", "exchange":
		return f.comeIn(act, l.Watch.ID)
	case "sell", "refund", "allowance", "give-back", "write-off":
		return f.goOut(act, l)
	case "reserve", "release":
		return f.hold(act, l.Watch.ID)
	case "work", "fee":
		return f.spend(act, l.Watch.ID)
	}
	return f.move(act, l)
}

func (f *stepForm) comeIn(act string, id shop.WatchID) (shop.Movement, error) {
	s, ctx := f.s.shop, f.ctx
	switch act {
	case "consign":
		t := shop.Consigning{Commission: f.share("commission"), Net: f.money("net")}
		if f.is("commission") == f.is("net") {
			f.wrong("commission", "both or neither", "a commission, or what the owner gets; one of the two")
		}
		t.Dealing = f.dealing(true, true, ledger.Payable)
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.ConsignIn(ctx, id, t, f.by)
	case "share":
		t := shop.Sharing{Scheme: f.values["scheme"], Stakes: f.stakes()}
		t.Dealing = f.dealing(true, true, ledger.Payable)
		if f.is("leads") {
			t.Leader = t.Client
		}
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.ShareBuy(ctx, id, t, f.by)
	case "exchange":
		sold, err := s.Find(ctx, f.values["against"])
		if err != nil {
			f.wrong("against", strconv.Quote(f.values["against"]), "the file or serial number of the watch that was sold")
		}
		t := shop.Buying{Scheme: f.values["scheme"]}
		t.Dealing = f.dealing(true, true, ledger.Receivable)
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.PartExchange(ctx, id, t, sold.ID, f.by)
	}
	t := shop.Buying{Scheme: f.values["scheme"], Tax: f.money("tax")}
	t.Dealing = f.dealing(true, true, ledger.Payable)
	if err := f.ready(); err != nil {
		return shop.Movement{}, err
	}
	return s.Buy(ctx, id, t, f.by)
}

// stakes are the partners and their shares. Partners are on record: no client is added for them.
func (f *stepForm) stakes() []ledger.Stake {
	var out []ledger.Stake
	for _, name := range []string{"partner", "partner2"} {
		if !f.is(name) {
			if name == "partner" {
				f.wrong(name, "nothing", "a dealer on record")
			}
			continue
		}
		c, err := f.s.shop.FindClient(f.ctx, f.values[name])
		if err != nil {
			f.wrong(name, strconv.Quote(f.values[name]), "the name of one client on record")
		}
		if !f.is(name + "_share") {
			f.wrong(name+"_share", "nothing", "a percentage, such as 50")
		}
		out = append(out, ledger.Stake{Party: c.ID, Share: f.share(name + "_share")})
	}
	return out
}

func (f *stepForm) goOut(act string, l shop.Life) (shop.Movement, error) {
	s, ctx, id := f.s.shop, f.ctx, l.Watch.ID
	switch act {
	case "sell":
		t := shop.Selling{Route: f.values["route"], Scheme: f.values["scheme"], LeaderAccounted: f.money("accounted")}
		if f.is("tax_rate") {
			r := f.share("tax_rate")
			t.TaxRate = &r
		}
		t.Dealing = f.dealing(true, true, ledger.Receivable)
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.Sell(ctx, id, t, f.by)
	case "refund", "allowance":
		d := f.dealing(act == "allowance", false, ledger.Receivable)
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.Refund(ctx, id, d, f.by)
	case "give-back":
		d := f.dealing(false, false, ledger.Payable)
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.GiveBack(ctx, id, d, f.by)
	}
	if !f.is("text") {
		f.wrong("text", "nothing", "what happened: lost, stolen, broken beyond repair")
	}
	d := f.dealing(false, false, ledger.Payable)
	d.Text = f.values["text"]
	if err := f.ready(); err != nil {
		return shop.Movement{}, err
	}
	return s.WriteOff(ctx, id, d, f.by)
}

func (f *stepForm) hold(act string, id shop.WatchID) (shop.Movement, error) {
	s, ctx := f.s.shop, f.ctx
	if act == "release" {
		keep := f.values["pay"] == "keep"
		if keep {
			f.values["pay"] = "bank"
		}
		d := f.dealing(false, false, ledger.Payable)
		if err := f.ready(); err != nil {
			return shop.Movement{}, err
		}
		return s.Release(ctx, id, d, keep, f.by)
	}
	t := shop.Reserving{Until: f.date("due")}
	if t.Until.IsZero() && f.values["due"] == "" {
		f.wrong("due", "nothing", "the last day of the reservation")
	}
	t.Dealing = f.dealing(false, true, ledger.Bank)
	if err := f.ready(); err != nil {
		return shop.Movement{}, err
	}
	return s.Reserve(ctx, id, t, f.by)
}

func (f *stepForm) spend(act string, id shop.WatchID) (shop.Movement, error) {
	t := shop.Working{What: f.values["what"], Tax: f.money("tax"), ForConsignor: f.is("for_consignor")}
	if t.What == "" {
		f.wrong("what", "nothing", "what was done or paid for, such as service")
	}
	for _, n := range []string{"1", "2"} {
		if slot := f.values["bag_slot"+n]; slot != "" {
			t.Removed = append(t.Removed, shop.Kept{Slot: evidence.Slot(slot), What: f.values["bag_what"+n]})
		}
	}
	if slot, what, ok := strings.Cut(f.values["back_slot"], "="); ok {
		t.PutBack = []shop.Kept{{Slot: evidence.Slot(slot), What: what}}
	}
	t.Dealing = f.dealing(act == "fee", act == "work", ledger.Payable)
	if err := f.ready(); err != nil {
		return shop.Movement{}, err
	}
	if act == "fee" {
		return f.s.shop.Fee(f.ctx, id, t, f.by)
	}
	return f.s.shop.Repair(f.ctx, id, t, f.by)
}

// move takes a step that moves no money.
func (f *stepForm) move(act string, l shop.Life) (shop.Movement, error) {
	m := shop.Moving{Day: f.values["day"], Place: f.values["place"], Note: f.values["note"], Due: f.date("due"), Asking: f.money("asking"), Holder: f.holder("holder")}
	switch act {
	case "place": // the state stays
		if m.Due.IsZero() && m.Holder == "" {
			m.Due, m.Holder = l.Watch.Due, l.Watch.Holder
		}
	case "memo":
		m.To = shop.OnMemo
		if m.Due.IsZero() && f.values["due"] == "" {
			f.wrong("due", "nothing", "the day on which it is due back")
		}
		m.Person = f.client("client", true)
	case "decline":
		m.To = shop.Returned
	case "offer-again":
		m.To = shop.Offered
	case "back":
		m.To = map[shop.Ownership]shop.State{shop.Own: shop.Bought, shop.OfOthers: shop.Consigned, shop.InPartner: shop.PartShare}[l.Where.Owned]
	default:
		m.To = shop.State(act)
	}
	if err := f.ready(); err != nil {
		return shop.Movement{}, err
	}
	mv, err := f.s.shop.Move(f.ctx, l.Watch.ID, m, f.by)
	if errors.Is(err, shop.ErrConflict) {
		return mv, fmt.Errorf("move: %w", err)
	}
	return mv, err
}
