package money

import (
	"fmt"

	"github.com/govalues/decimal"
)

// New makes an amount of an exact decimal. It errs on a currency that is not in use.
func New(d decimal.Decimal, c Currency) (Money, error) {
	if _, ok := minorUnits[c]; !ok {
		return Money{}, fmt.Errorf("currency %q: not an ISO 4217 code in use", string(c))
	}
	return Money{d, c}, nil
}
