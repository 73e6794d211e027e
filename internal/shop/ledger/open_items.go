package ledger

import (
	"cmp"
	"slices"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

// personal are the accounts that are kept for each party.
func personal(a Account) bool {
	switch a {
	case Receivable, Payable, Consignors, Partners, Deposits:
		return true
	}
	return false
}

type partyKey struct {
	account  Account
	party    string
	currency money.Currency
	watch    string // of what a buyer owes or an owner gets
}

// openItems are the sums that stand with one party, the oldest first. What is paid is
// set off against the oldest.
type openItems struct {
	items []openItem
	base  decimal.Decimal
}

type openItem struct {
	day    string
	amount decimal.Decimal // a debit is above zero
}

func (b *Books) party(e Entry, l Line) {
	if !personal(l.Account) {
		return
	}
	k := partyKey{account: l.Account, party: l.Party, currency: l.Amount.Currency()}
	if e.Kind == KindRevalue { // worth something else on the day, and owed as before
		return
	}
	if byWatch(l.Account) {
		if k.watch = l.Watch; l.Watch == "" {
			k.watch = b.oldestAgainst(k, l.Amount.Sign())
		}
	}
	o, ok := b.parties[k]
	if !ok {
		o = &openItems{}
		b.parties[k] = o
	}
	b.add(&o.base, l.Base)
	left := l.Amount.Decimal()
	for len(o.items) > 0 && left.Sign() != 0 && o.items[0].amount.Sign() != left.Sign() {
		first := &o.items[0]
		sum, err := first.amount.Add(left)
		if err != nil {
			b.accounts.err = wrongEntry("a sum is too large to hold exactly")
			return
		}
		if sum.Sign() == first.amount.Sign() {
			first.amount = sum
			return
		}
		left = sum
		o.items = o.items[1:]
	}
	if left.Sign() != 0 {
		o.items = append(o.items, openItem{e.Day, left})
	}
}

// oldestAgainst is the watch of the oldest sum of a party that a payment without a watch is for, empty for
// none.
func (b *Books) oldestAgainst(k partyKey, sign int) string {
	watch, since := "", ""
	for other, o := range b.parties {
		if other.account != k.account || other.party != k.party || other.currency != k.currency || len(o.items) == 0 ||
			o.items[0].amount.Sign() != -sign {
			continue
		}
		if day := o.items[0].day; since == "" || day < since || day == since && other.watch < watch {
			watch, since = other.watch, day
		}
	}
	return watch
}

// OpenSum is what is open with one party, with the day of its oldest part.
type OpenSum struct {
	Account Account     `json:"account"`
	Party   string      `json:"party"`
	Watch   string      `json:"watch,omitempty"` // of what a buyer owes or an owner gets
	Amount  money.Money `json:"amount"`          // above zero: owed to the shop
	Base    money.Money `json:"base"`
	Since   string      `json:"since"`
	Days    int         `json:"days"`
	Bucket  string      `json:"bucket"`
}

// OpenSums lists what is open with whom, the oldest first.
func (b *Books) OpenSums(asOf time.Time) ([]OpenSum, error) {
	var out []OpenSum
	for k, o := range b.parties {
		if len(o.items) == 0 {
			continue
		}
		sum := decimal.Zero
		for _, it := range o.items {
			var err error
			if sum, err = sum.Add(it.amount); err != nil {
				return nil, err
			}
		}
		m, err := amount(sum, k.currency)
		if err != nil {
			return nil, err
		}
		s := OpenSum{Account: k.account, Party: k.party, Watch: k.watch, Amount: m, Base: b.inBase(o.base), Since: o.items[0].day}
		s.Days = daysSince(s.Since, asOf)
		s.Bucket = Bucket(s.Days)
		out = append(out, s)
	}
	slices.SortFunc(out, func(x, y OpenSum) int {
		return cmp.Or(cmp.Compare(x.Since, y.Since), cmp.Compare(x.Account, y.Account), cmp.Compare(x.Party, y.Party),
			cmp.Compare(x.Amount.Currency(), y.Amount.Currency()), cmp.Compare(x.Watch, y.Watch))
	})
	return out, nil
}

// Bucket names the span of days that an age falls into.
func Bucket(days int) string {
	switch {
	case days <= 30:
		return "0–30"
	case days <= 90:
		return "31–90"
	case days <= 180:
		return "91–180"
	case days <= 365:
		return "181–365"
	}
	return "over 365"
}

func daysSince(day string, asOf time.Time) int {
	t, err := time.Parse(dayForm, day)
	if err != nil {
		return 0
	}
	y, m, d := asOf.Date()
	return int(time.Date(y, m, d, 0, 0, 0, 0, time.UTC).Sub(t).Hours() / 24)
}
