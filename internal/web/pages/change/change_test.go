package change

import (
	"maps"
	"testing"

	"midcase/internal/shop"
)

func TestMoney(t *testing.T) {
	for text, want := range map[string]string{"6500": "6500.00 EUR", " 6,500 ": "6500.00 EUR", "6500 usd": "6500.00 USD", "6 500.50 EUR": "6500.50 EUR", "": ""} {
		m, err := Money(text, "EUR")
		if err != nil {
			t.Errorf("Money(%q): %v", text, err)
			continue
		}
		if got := amount(m); got != want {
			t.Errorf("Money(%q) = %q; want %q", text, got, want)
		}
	}
	for _, bad := range []string{"-5", "0", "much", "5 EUROS", "1e9999", "NaN", "5 EUR 6"} {
		if m, err := Money(bad, "EUR"); err == nil {
			t.Errorf("Money(%q) = %v; want an error", bad, m)
		}
	}
}

// TestReadOfValues: a form that nobody touched changes nothing.
func TestReadOfValues(t *testing.T) {
	price, err := Money("9500 CHF", "EUR")
	if err != nil {
		t.Fatal(err)
	}
	w := shop.Watch{State: shop.Listed, Place: "safe, tray 3", Asking: price, Note: "two\nlines"}
	got, problems := Read(w, "EUR", Values(w))
	if len(problems) > 0 || !maps.Equal(Values(got), Values(w)) {
		t.Errorf("%+v, %v; want %+v", got, problems, w)
	}
}
