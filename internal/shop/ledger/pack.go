package ledger

import (
	"encoding/json"
	"fmt"

	"github.com/govalues/decimal"

	"midcase/money"
)

// packed is the form in which stores keep an entry: its lines as lists of texts, which
// read several times quicker than objects. The order is account, amount, currency,
// rate, amount in the shop's currency, watch, party.
type packed struct {
	Entry
	Lines [][7]string `json:"lines"`
}

// Pack is the entry's text for a store. Unpack reads it back as it was.
func Pack(e Entry) ([]byte, error) {
	p := packed{Entry: e, Lines: make([][7]string, len(e.Lines))}
	p.Entry.Lines = nil
	for i, l := range e.Lines {
		p.Lines[i] = [7]string{string(l.Account), l.Amount.Amount(), string(l.Amount.Currency()), l.Rate.String(),
			l.Base.Amount(), l.Watch, l.Party}
	}
	return json.Marshal(p)
}

// Unpack reads what Pack wrote.
func Unpack(b []byte) (Entry, error) {
	var p packed
	if err := json.Unmarshal(b, &p); err != nil {
		return Entry{}, err
	}
	e := p.Entry
	e.Lines = make([]Line, len(p.Lines))
	for i, t := range p.Lines {
		l := &e.Lines[i]
		l.Account, l.Watch, l.Party = Account(t[0]), t[5], t[6]
		var err error
		if l.Rate, err = decimal.Parse(t[3]); err != nil {
			return Entry{}, fmt.Errorf("line %d: rate %q: %w", i+1, t[3], err)
		}
		if l.Amount, err = unpackAmount(t[1], money.Currency(t[2])); err != nil {
			return Entry{}, fmt.Errorf("line %d: %w", i+1, err)
		}
		if l.Base, err = unpackAmount(t[4], e.Base); err != nil {
			return Entry{}, fmt.Errorf("line %d: %w", i+1, err)
		}
	}
	return e, nil
}

func unpackAmount(text string, c money.Currency) (money.Money, error) {
	d, err := decimal.Parse(text)
	if err != nil {
		return money.Money{}, fmt.Errorf("amount %q: %w", text, err)
	}
	return money.New(d, c)
}
