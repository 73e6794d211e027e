package clients

import (
	"testing"

	"midcase/internal/web/pages/wording"
)

func TestReasonsWriteAmountsAsPagesDo(t *testing.T) {
	for text, want := range map[string]string{
		"budget 18500.00 EUR, asking price 6920 EUR (over 99 %)": "budget 18,500 EUR, asking price 6,920 EUR (over 99 %)",
		"budget 950.00 EUR, value 12500.50 CHF":                  "budget 950.00 EUR, value 12,500.50 CHF",
		"made 1965, wanted 1960 to 1969":                         "made 1965, wanted 1960 to 1969",
		"no budget named; asking price 13470, value 12900 EUR":   "no budget named; asking price 13,470, value 12,900 EUR",
	} {
		if got := wording.English.Written(reason(text)); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}
