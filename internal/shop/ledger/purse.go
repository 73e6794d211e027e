package ledger

import (
	"github.com/govalues/decimal"

	"midcase/money"
)

// The ways of carrying money in other currencies.
const (
	FirstInFirstOut = "fifo"    // what came in first goes out first
	WeightedAverage = "average" // what goes out has the average rate of what is there
)

// Purse is the money in other currencies that stands at the bank and in the till, in the lots in which
// it came in. Post entries in their order, then Carry the next one.
type Purse struct {
	method string
	lots   map[purseKey][]MoneyLot
}

type purseKey struct {
	account  Account
	currency money.Currency
}

// MoneyLot is money of another currency with what it stands for in the shop's.
type MoneyLot struct {
	Account Account     `json:"account"`
	Day     string      `json:"day"` // on which it came in; of an average: the last one
	Amount  money.Money `json:"amount"`
	Base    money.Money `json:"base"`
}

// NewPurse is an empty purse; method is FirstInFirstOut (also where empty) or WeightedAverage.
func NewPurse(method string) *Purse {
	return &Purse{method: method, lots: map[purseKey][]MoneyLot{}}
}

// Clone is a purse of its own with the same money in it.
func (p *Purse) Clone() *Purse {
	out := NewPurse(p.method)
	for k, lots := range p.lots {
		out.lots[k] = append([]MoneyLot(nil), lots...)
	}
	return out
}

// Lots lists what stands on an account in a currency, the first to go out first. Below zero the account
// is overdrawn.
func (p *Purse) Lots(a Account, c money.Currency) []MoneyLot {
	return append([]MoneyLot(nil), p.lots[purseKey{a, c}]...)
}

// All lists every lot, by account and currency.
func (p *Purse) All(currencies []money.Currency) []MoneyLot {
	var out []MoneyLot
	for _, a := range []Account{Bank, Cash} {
		for _, c := range currencies {
			out = append(out, p.Lots(a, c)...)
		}
	}
	return out
}

// carries reports whether a line moves money of another currency.
func carries(l Line, base money.Currency) bool {
	return ofMoney(l.Account) && l.Amount.Currency() != base
}

// Post takes an entry up. A revaluation at the end of a period moves no money: it is taken back on the
// next day, so that the lots stay as they were bought.
func (p *Purse) Post(e Entry) error {
	if e.Kind == KindRevalue {
		return nil
	}
	for _, l := range e.Lines {
		if carries(l, e.Base) {
			if err := p.post(l, e.Day); err != nil {
				return err
			}
		}
	}
	return nil
}

// post adds what a line brings to the lots, or takes what it takes from them. What an older entry took
// at another value than that of its lots stays with what is left.
func (p *Purse) post(l Line, day string) error {
	k := purseKey{l.Account, l.Amount.Currency()}
	base, rest, err := p.take(k, l, day)
	if err != nil || rest.Sign() == 0 && base.Decimal().Cmp(l.Base.Decimal()) == 0 {
		return err
	}
	left, err := sub(l.Base, base)
	if err != nil {
		return err
	}
	lots := p.lots[k]
	switch {
	case rest.Sign() != 0:
		lots = append(lots, MoneyLot{l.Account, day, rest, left})
	case len(lots) > 0:
		last := &lots[len(lots)-1]
		if last.Base, err = last.Base.Add(left); err != nil {
			return err
		}
	}
	if p.method == WeightedAverage && len(lots) > 1 {
		sum := lots[0]
		for _, one := range lots[1:] {
			var err2 error
			sum.Amount, err = sum.Amount.Add(one.Amount)
			sum.Base, err2 = sum.Base.Add(one.Base)
			if err != nil || err2 != nil {
				return wrongEntry("money in %s: a sum is too large to hold exactly", k.currency)
			}
		}
		sum.Day, lots = day, []MoneyLot{sum}
	}
	p.lots[k] = lots
	return nil
}

// take takes a line from the lots that stand against it. base is what these stood for, with the
// sign of the line; rest is what the lots did not cover.
func (p *Purse) take(k purseKey, l Line, day string) (base, rest money.Money, err error) {
	rest = l.Amount
	if base, err = amount(decimal.Zero, l.Base.Currency()); err != nil {
		return base, rest, err
	}
	lots := p.lots[k]
	for len(lots) > 0 && rest.Sign() != 0 && lots[0].Amount.Sign() != rest.Sign() {
		first := lots[0]
		after, err := first.Amount.Add(rest)
		if err != nil {
			return base, rest, err
		}
		if after.Sign() == 0 || after.Sign() == rest.Sign() { // the whole lot
			base, err = sub(base, first.Base)
			rest, lots = after, lots[1:]
		} else {
			var part money.Money
			if part, err = shareOf(first.Base, rest, first.Amount); err == nil { // with the sign of the line
				base, err = base.Add(part)
			}
			if err == nil {
				first.Base, err = first.Base.Add(part)
			}
			first.Amount = after
			lots = append([]MoneyLot{first}, lots[1:]...)
			rest, _ = sub(rest, rest)
		}
		if err != nil {
			return base, rest, err
		}
	}
	p.lots[k] = lots
	return base, rest, nil
}

// shareOf is m · part / whole, to the minor unit.
func shareOf(m, part, whole money.Money) (money.Money, error) {
	d, err := m.Decimal().Mul(part.Decimal())
	if err == nil {
		d, err = d.Quo(whole.Decimal())
	}
	if err != nil {
		return money.Money{}, wrongEntry("share of %s: %w", m, err)
	}
	return amount(money.ToMinor(d, m.Currency()), m.Currency())
}

// Carry returns the entry with money of another currency going out for what it stood for, and the
// difference to the rate of the day as one of exchange (IAS 21, paragraph 28). Then the purse has the
// entry. The entry given is not changed. A counter-entry takes back what was booked, as it was booked.
func (p *Purse) Carry(e Entry) (Entry, error) {
	if e.Kind == KindRevalue || e.Reverses != "" {
		return e, p.Post(e)
	}
	d := draft{e: e}
	d.e.Lines = append([]Line(nil), e.Lines...)
	for i, l := range e.Lines {
		if !carries(l, e.Base) {
			continue
		}
		k := purseKey{l.Account, l.Amount.Currency()}
		base, rest, err := p.Clone().take(k, l, e.Day)
		if err != nil {
			return Entry{}, err
		}
		over, err := Convert(rest, l.Rate, e.Base)
		if err == nil {
			base, err = base.Add(over)
		}
		if err != nil {
			return Entry{}, err
		}
		if rate, ok := carriedAt(l, base); ok {
			out := l
			out.Rate, out.Base = rate, base
			d.e.Lines[i] = out
			d.between(l, out)
		}
		if err := p.post(d.e.Lines[i], e.Day); err != nil {
			return Entry{}, err
		}
	}
	if len(d.e.Lines) == len(e.Lines) {
		return e, nil
	}
	d.e.Lines = joinedLines(d.e.Lines)
	d.difference(ExchangeDiff)
	return d.done()
}

// carriedAt is the rate at which a line comes to another base amount; not ok where it has that one
// already, or where it stood for nothing.
func carriedAt(l Line, base money.Money) (decimal.Decimal, bool) {
	if base.Decimal().Cmp(l.Base.Decimal()) == 0 || base.Sign() != 0 && base.Sign() != l.Amount.Sign() {
		return decimal.Zero, false
	}
	rate, err := base.Decimal().Quo(l.Amount.Decimal())
	if base.Sign() == 0 { // a lot so small that it stood for nothing
		rate, err = decimal.New(1, decimal.MaxScale)
	}
	if err != nil || !rate.IsPos() {
		return decimal.Zero, false
	}
	again, err := Convert(l.Amount, rate, base.Currency())
	return rate, err == nil && again.Decimal().Cmp(base.Decimal()) == 0
}

// between balances a line that was booked anew at another rate through the account between currencies.
func (d *draft) between(was, is Line) {
	d.e.Lines = append(d.e.Lines,
		Line{Conversion, is.Amount.Neg(), is.Rate, is.Base.Neg(), was.Watch, was.Party},
		Line{Conversion, was.Amount, was.Rate, was.Base, was.Watch, was.Party})
}

// joinedLines leaves out pairs of lines between currencies that take one another back.
func joinedLines(lines []Line) []Line {
	gone := map[int]bool{}
	for i, a := range lines {
		for j := i + 1; j < len(lines) && a.Account == Conversion && !gone[i]; j++ {
			b := lines[j]
			if b.Account == Conversion && !gone[j] && a.Amount.Currency() == b.Amount.Currency() &&
				a.Amount.Decimal().Cmp(b.Amount.Decimal().Neg()) == 0 && a.Base.Decimal().Cmp(b.Base.Decimal().Neg()) == 0 {
				gone[i], gone[j] = true, true
			}
		}
	}
	var out []Line
	for i, l := range lines {
		if !gone[i] {
			out = append(out, l)
		}
	}
	return out
}
