package trade

import (
	"cmp"
	"context"
	"fmt"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// BookRules say how the shop keeps its books. What the law of a place asks is for its adviser to say.
type BookRules struct {
	// Filed is the last month whose tax return was handed in, Locked the last one that nothing may
	// change; both as 2006-01, empty for none. A month after Filed is open.
	Filed  string `json:"filed,omitempty"`
	Locked string `json:"locked,omitempty"`
	// Carry is how money in other currencies goes out: ledger.FirstInFirstOut, also where empty, or
	// ledger.WeightedAverage.
	Carry string `json:"carry,omitempty"`
	// DepositTax says whether tax is due when a deposit comes in, KeptTax whether on one that the shop
	// keeps. nil: nobody was asked, and none is booked.
	DepositTax *bool `json:"deposit_tax,omitempty"`
	KeptTax    *bool `json:"kept_deposit_tax,omitempty"`
}

const bookRulesName = shop.BookRulesName

// PeriodState is what may still happen in a month.
type PeriodState string

// The states of a month.
const (
	PeriodOpen   PeriodState = "open"
	PeriodFiled  PeriodState = "filed"
	PeriodLocked PeriodState = "locked"
)

// State is the state of the month of a day.
func (b BookRules) State(day string) PeriodState {
	month := day[:min(len(day), 7)]
	switch {
	case month <= b.Locked:
		return PeriodLocked
	case month <= b.Filed:
		return PeriodFiled
	}
	return PeriodOpen
}

// firstOpen is the first day that is open.
func (b BookRules) firstOpen() string {
	t, err := time.Parse("2006-01", max(b.Filed, b.Locked))
	if err != nil {
		return ""
	}
	return t.AddDate(0, 1, 0).Format(time.DateOnly)
}

// BookRules returns the shop's rules of booking.
func (r *Room) BookRules(ctx context.Context) (BookRules, error) {
	var b BookRules
	_, err := r.shop.ReadSetting(ctx, bookRulesName, "book rules", &b)
	return b, err
}

// ChangeBookRules changes the shop's rules of booking.
func (r *Room) ChangeBookRules(ctx context.Context, change func(*BookRules)) (BookRules, error) {
	const what = "set book rules"
	var b BookRules
	err := r.shop.ChangeSetting(ctx, bookRulesName, what, &b, func() error {
		was := b.Carry
		change(&b)
		if b.Carry != "" && b.Carry != ledger.FirstInFirstOut && b.Carry != ledger.WeightedAverage {
			return shop.Refuse(what, "carry", b.Carry, ledger.FirstInFirstOut+" or "+ledger.WeightedAverage)
		}
		if cmp.Or(was, ledger.FirstInFirstOut) != cmp.Or(b.Carry, ledger.FirstInFirstOut) {
			if booked, err := r.shop.Booked(ctx); err != nil || booked {
				return orRefuse(err, shop.Refuse(what, "carry", b.Carry, "the way in which the books were begun"))
			}
		}
		return nil
	})
	return b, err
}

func orRefuse(err, refused error) error {
	if err != nil {
		return err
	}
	return refused
}

// SetPeriod files or locks everything up to a month, or opens what was filed from a month on. What is
// locked stays so.
func (r *Room) SetPeriod(ctx context.Context, month string, to PeriodState) (BookRules, error) {
	const what = "set a period"
	t, err := time.Parse("2006-01", month)
	if err != nil {
		return BookRules{}, shop.Refuse(what, "month", fmt.Sprintf("%q", month), "a month such as 2026-03")
	}
	if to != PeriodOpen && t.AddDate(0, 1, 0).After(r.shop.Now()) {
		return BookRules{}, shop.Refuse(what, "month", month, "a month that is over")
	}
	b, err := r.BookRules(ctx)
	if err != nil {
		return b, err
	}
	if month <= b.Locked {
		return b, shop.Refuse(what, "month", month+", which is locked", "a month after "+b.Locked)
	}
	if to == PeriodFiled && month <= b.Filed {
		return b, shop.Refuse(what, "month", month+", which is filed", "a month after "+b.Filed)
	}
	return r.ChangeBookRules(ctx, func(b *BookRules) {
		switch to {
		case PeriodFiled:
			b.Filed = month
		case PeriodLocked:
			b.Locked, b.Filed = month, max(b.Filed, month)
		case PeriodOpen: // a month that is open files nothing before it
			if month > b.Filed {
				return
			}
			b.Filed = max(b.Locked, t.AddDate(0, -1, 0).Format("2006-01"))
		}
	})
}

// corrected is the day on which an entry of a day is taken back, and the filed month that this corrects:
// its own day while the month is open, else today.
func (b BookRules) corrected(day, today string) (on, month string) {
	if b.State(day) == PeriodOpen {
		return day, ""
	}
	return max(today, b.firstOpen(), day), day[:7]
}

// keepStep keeps a step whose entries lie in open months, with money of other currencies carried in its
// lots.
func (r *Room) keepStep(ctx context.Context, what string, step shop.Step) (shop.Step, error) {
	if len(step.Entries) == 0 {
		return r.stores.Steps.KeepStep(ctx, step)
	}
	rules, err := r.BookRules(ctx)
	if err != nil {
		return step, err
	}
	last := r.shop.Now().AddDate(0, 0, 1).Format(time.DateOnly)
	for _, e := range step.Entries {
		if state := rules.State(e.Day); state == PeriodLocked || state == PeriodFiled && !closing(e) {
			return step, shop.Refuse(what, "day", fmt.Sprintf("%s, a day of a month that is %s", e.Day, state),
				"a day from "+rules.firstOpen()+" on; a mistake in a closed month is undone by an entry of today")
		}
		if e.Day > last && e.Kind != ledger.KindRevalue {
			return step, shop.Refuse(what, "day", e.Day+", which is to come", "today or a day before")
		}
	}
	if err := r.carry(ctx, rules, &step); err != nil {
		return step, err
	}
	return r.stores.Steps.KeepStep(ctx, step)
}

// closing reports whether an entry closes a period: it changes no tax, so that it may come after the return.
func closing(e ledger.Entry) bool { return e.Kind == ledger.KindRevalue || e.Kind == ledger.KindClose }

// carry has money of other currencies go out for what it stood for.
func (r *Room) carry(ctx context.Context, rules BookRules, step *shop.Step) error {
	other := false
	for _, e := range step.Entries {
		for _, l := range e.Lines {
			other = other || (l.Account == ledger.Bank || l.Account == ledger.Cash) && l.Amount.Currency() != e.Base
		}
	}
	if !other {
		return nil
	}
	purse, err := r.Purse(ctx, rules.Carry)
	if err != nil {
		return err
	}
	for i, e := range step.Entries {
		if step.Entries[i], err = purse.Carry(e); err != nil {
			return fmt.Errorf("exchange difference: %w", err)
		}
	}
	return nil
}

// filledPurse is the money in other currencies after so many entries.
type filledPurse struct {
	purse *ledger.Purse
	next  int64
}

// Purse is the money in other currencies as it stands, in a copy that the caller may change.
func (r *Room) Purse(ctx context.Context, method string) (*ledger.Purse, error) {
	rev, err := r.shop.Revision(ctx)
	if err != nil {
		return nil, fmt.Errorf("money in other currencies: %w", err)
	}
	kept, err := r.purses.Grow(ctx, method, rev.Ledger, func(ctx context.Context, was filledPurse) (filledPurse, error) {
		now := filledPurse{ledger.NewPurse(method), was.next}
		if was.purse != nil {
			now.purse = was.purse.Clone()
		}
		for e, err := range r.stores.Steps.Entries(ctx, shop.EntryFilter{From: now.next}) {
			if err == nil {
				err = now.purse.Post(e)
			}
			if err != nil {
				return was, fmt.Errorf("money in other currencies: %w", err)
			}
			now.next = e.Seq + 1
		}
		return now, nil
	})
	if err != nil {
		return nil, err
	}
	return kept.purse.Clone(), nil
}

// Lots lists the money in other currencies, by account and currency, the first to go out first.
func (r *Room) Lots(ctx context.Context) ([]ledger.MoneyLot, error) {
	rules, err := r.BookRules(ctx)
	if err != nil {
		return nil, err
	}
	purse, err := r.Purse(ctx, rules.Carry)
	if err != nil {
		return nil, err
	}
	return purse.All(money.InUse()), nil
}

// rateDoubt asks about a rate that is far from the table.
func (r *Room) rateDoubt(ctx context.Context, what string, m money.Money, rate decimal.Decimal, day string) error {
	f, _ := rate.Float64()
	return r.shop.RateDoubt(ctx, what, m.Currency(), f, day)
}
