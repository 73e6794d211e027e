package change

import (
	"fmt"
	"strings"

	"midcase/internal/web/pages/wording"
	"midcase/money"
)

// Money reads an amount with or without its currency; nothing is no amount.
func Money(text string, currency money.Currency) (money.Money, error) {
	fields := strings.Fields(text)
	if len(fields) == 0 {
		return money.Money{}, nil
	}
	if last := fields[len(fields)-1]; len(fields) > 1 && len(last) == 3 && strings.Trim(last, "0123456789") == last {
		currency, fields = money.Currency(strings.ToUpper(last)), fields[:len(fields)-1]
	}
	plain, err := wording.English.Amount(strings.Join(fields, ""))
	if err != nil {
		return money.Money{}, err
	}
	m, err := money.Parse(plain, string(currency))
	if err == nil && m.Sign() <= 0 {
		err = fmt.Errorf("amount %q is not above zero", text)
	}
	return m, err
}
