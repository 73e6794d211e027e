package ledger

import (
	"errors"

	"github.com/govalues/decimal"

	"midcase/money"
)

// Holding is what the ledger knows of one watch: what it stands for in stock, on what
// terms, who else has a share. HoldingOf folds it from the watch's entries.
type Holding struct {
	Stock    []Lot // own cost, by account and currency
	Deposits []Lot // deposits held, by party and currency
	// DepositTax is the tax that was accounted for on these before the sale, by party.
	DepositTax []Lot
	Purchase   money.Money // the price once paid for the whole watch, in the shop's currency
	Scheme     string      // under which it was bought, empty where it was not
	Bought     string      // the day on which it came in, bought or on consignment
	Stakes     []Stake     // partners' shares
	Leader     string      // the partner who paid and will sell; empty for the shop
	Consign    *Consign    // the terms of the consignor, where consigned
	Sale       *Entry      // the sale that stands, where sold
	Allowed    []Entry     // allowances on that sale
}

// Owned reports whether the shop has the watch in stock on its own account.
func (h Holding) Owned() bool { return len(h.Stock) > 0 && h.Consign == nil }

// Cost is what the watch stands for in stock, in the shop's currency.
func (h Holding) Cost(base money.Currency) (money.Money, error) {
	sum, err := amount(decimal.Zero, base)
	for _, l := range h.Stock {
		if err == nil {
			sum, err = sum.Add(l.Base)
		}
	}
	return sum, err
}

// own is the shop's share in the watch.
func (h Holding) own() (decimal.Decimal, error) {
	own := decimal.One
	var err error
	for _, s := range h.Stakes {
		if own, err = own.Sub(s.Share); err != nil {
			return decimal.Zero, err
		}
	}
	return own, nil
}

// shares are the shop's share and then the partners'.
func (h Holding) shares() ([]decimal.Decimal, error) {
	own, err := h.own()
	out := []decimal.Decimal{own}
	for _, s := range h.Stakes {
		out = append(out, s.Share)
	}
	return out, err
}

// HoldingOf folds the entries of one watch, in their order. Entries of other watches
// are passed over; entries that were answered by a counter-entry count for nothing.
func HoldingOf(watch string, entries []Entry) (Holding, error) {
	var h Holding
	gone := map[string]bool{}
	for _, e := range entries {
		if e.Reverses != "" {
			gone[e.Reverses], gone[e.ID] = true, true
		}
	}
	stock, deposits, taxes := newLots(), newLots(), newLots()
	for _, e := range entries {
		if gone[e.ID] {
			continue
		}
		for _, l := range e.Lines {
			if l.Watch != watch {
				continue
			}
			switch l.Account {
			case StockPurchase, StockWork, StockLowered:
				stock.add(lotKey{account: l.Account, currency: l.Amount.Currency()}, l)
			case Deposits:
				deposits.add(lotKey{account: l.Account, party: l.Party, currency: l.Amount.Currency()}, l)
			case VATDeposits:
				taxes.add(lotKey{account: l.Account, party: l.Party, currency: l.Amount.Currency()}, l)
			}
		}
		if e.Watch == watch {
			h.learn(e)
		}
	}
	var err error
	if h.Stock, err = stock.standing(1); err != nil {
		return Holding{}, err
	}
	if h.DepositTax, err = taxes.standing(1); err != nil {
		return Holding{}, err
	}
	h.Deposits, err = deposits.standing(-1)
	return h, err
}

// learn takes from an entry what it says about the terms on which the watch is held.
func (h *Holding) learn(e Entry) {
	switch e.Kind {
	case KindPurchase, KindPartExchange, KindShareBuy:
		h.Purchase, h.Scheme, h.Bought, h.Stakes, h.Leader = e.Goods.Price, e.Goods.Scheme, e.Day, e.Stakes, ""
		if e.Kind == KindShareBuy && e.Goods.Led {
			h.Leader = e.Party
		}
		h.Consign, h.Sale, h.Allowed = nil, nil, nil
	case KindConsignIn:
		h.Consign, h.Sale, h.Allowed, h.Bought = e.Consign, nil, nil, e.Day
	case KindConsignOut, KindConsignLost:
		h.Consign, h.Bought = nil, ""
	case KindReduction:
		if less, err := h.Purchase.Add(e.Goods.Price); err == nil {
			h.Purchase = less
		}
	case KindSale:
		h.Sale, h.Allowed = &e, nil
	case KindRefund:
		if e.Goods != nil && e.Goods.Part {
			h.Allowed = append(h.Allowed, e)
		} else {
			h.Sale, h.Allowed = nil, nil
		}
	}
}

type lotKey struct {
	account  Account
	party    string
	currency money.Currency
	watch    string // of what a buyer owes: an invoice is paid by itself
}

type lotSum struct {
	amount, base decimal.Decimal
	rate         decimal.Decimal // of the last line
	baseCurrency money.Currency
}

// lots sums lines by account, party and currency, in the order of their coming.
type lots struct {
	order []lotKey
	sums  map[lotKey]*lotSum
	err   error
}

func newLots() *lots { return &lots{sums: map[lotKey]*lotSum{}} }

func (s *lots) add(k lotKey, l Line) {
	sum, ok := s.sums[k]
	if !ok {
		sum = &lotSum{baseCurrency: l.Base.Currency()}
		s.sums[k] = sum
		s.order = append(s.order, k)
	}
	a, err := sum.amount.Add(l.Amount.Decimal())
	b, err2 := sum.base.Add(l.Base.Decimal())
	if err != nil || err2 != nil {
		s.err = wrongEntry("sum of %s is too large to hold exactly", k.account)
		return
	}
	sum.amount, sum.base, sum.rate = a, b, l.Rate
}

// standing are the sums that are not zero; sign −1 turns credits into positive lots.
func (s *lots) standing(sign int) ([]Lot, error) {
	if s.err != nil {
		return nil, s.err
	}
	var out []Lot
	for _, k := range s.order {
		sum := s.sums[k]
		if sum.amount.IsZero() && sum.base.IsZero() {
			continue
		}
		a, b := sum.amount, sum.base
		if sign < 0 {
			a, b = a.Neg(), b.Neg()
		}
		m, err := amount(a, k.currency)
		if err != nil {
			return nil, err
		}
		base, err := amount(b, sum.baseCurrency)
		if err != nil {
			return nil, err
		}
		l, err := newLot(k.account, k.party, m, base, sum.rate)
		if err != nil {
			return nil, err
		}
		l.Watch = k.watch
		out = append(out, l)
	}
	return out, nil
}

// byWatch reports whether what stands on an account is kept apart by watch: a buyer pays each invoice by
// itself, an owner is paid for each watch, and a credit of one is not set off against another unless somebody says so.
func byWatch(a Account) bool { return a == Receivable || a == Consignors }

// Open are the sums that stand with a party on an account, by currency and, for buyers and owners, by watch:
// what a consignor, a partner or a buyer is owed (above zero) or owes (below). A payment that names no
// watch is for the oldest ones.
func Open(account Account, party string, entries []Entry) ([]Lot, error) {
	sums := newLots()
	for _, e := range entries {
		for _, l := range e.Lines {
			if l.Account != account || l.Party != party {
				continue
			}
			k := lotKey{account: account, party: party, currency: l.Amount.Currency()}
			if byWatch(account) {
				k.watch = l.Watch
			}
			sums.add(k, l)
		}
	}
	if byWatch(account) {
		sums.setOff()
	}
	return sums.standing(-1)
}

// setOff sets what was paid for no watch off against the oldest sums of the same currency.
func (s *lots) setOff() {
	for k, none := range s.sums {
		if k.watch != "" || none.amount.IsZero() {
			continue
		}
		for _, other := range s.order {
			sum := s.sums[other]
			if other.watch == "" || other.currency != k.currency || sum.amount.Sign() != -none.amount.Sign() ||
				none.amount.IsZero() {
				continue
			}
			part, base := sum.amount, sum.base
			if sum.amount.Abs().Cmp(none.amount.Abs()) > 0 { // the sum stays, smaller
				part, base = none.amount.Neg(), none.base.Neg()
			}
			var errs [4]error
			sum.amount, errs[0] = sum.amount.Sub(part)
			none.amount, errs[1] = none.amount.Add(part)
			sum.base, errs[2] = sum.base.Sub(base)
			none.base, errs[3] = none.base.Add(base)
			s.err = errors.Join(append(errs[:], s.err)...)
		}
	}
}
