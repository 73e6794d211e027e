package wording_test

import (
	"context"
	"fmt"
	"strings"
	"time"

	"midcase/internal/web/pages/wording"
	"midcase/money"
	"midcase/say"
)

func Example() {
	price := money.MustParse("12345.00", "EUR")
	day := time.Date(2026, 3, 1, 9, 30, 0, 0, time.UTC)
	plain := strings.NewReplacer("\u00a0", " ", "\u202f", " ") // spaces at which no line breaks
	for _, accept := range []string{"en", "de", "fr-CH"} {
		ctx := wording.With(context.Background(), wording.Reading{Locale: say.LocaleOf("", accept)})
		fmt.Println(plain.Replace(wording.Money(ctx, price) + "; " + wording.DayOf(ctx, day) + "; " +
			wording.PlusMinus(ctx, 0.3, 0.4)))
	}
	// Output:
	// 12,345 EUR; 1 Mar 2026; ± 0.8
	// 12.345 EUR; 1 Mar 2026; ± 0,8
	// 12 345 EUR; 1 Mar 2026; ± 0,8
}
