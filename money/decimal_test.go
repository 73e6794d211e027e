package money

import (
	"testing"

	"github.com/govalues/decimal"
)

func TestNew(t *testing.T) {
	m, err := New(decimal.MustParse("12.5"), "EUR")
	if err != nil || m.String() != "12.50 EUR" {
		t.Errorf("got %s, %v; want 12.50 EUR", m, err)
	}
	for _, c := range []Currency{"", "eur", "XXQ"} {
		if _, err := New(decimal.One, c); err == nil {
			t.Errorf("currency %q was taken", c)
		}
	}
}
