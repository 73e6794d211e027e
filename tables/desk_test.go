package tables

import (
	"testing"
	"time"
)

// TestAmountsCutByTheSeparatorAreWhole reads lists typed by hand, where a quote stands behind a space or an amount has no
// quotes at all (common practice, no published source).
func TestAmountsCutByTheSeparatorAreWhole(t *testing.T) {
	for name, text := range map[string]string{
		"quote behind a space": "3/14/24, Ardwick C-12, \"$3,850\", walk-in\n4/22/24, Ardwick C-12, \"$3,990\", post\n",
		"no quotes":            "Date,Watch,Price,Where\n3/14/24,Ardwick C-12,$3,850,walk-in\n4/22/24,Ardwick C-12,$3,990,post\n",
	} {
		got, err := Read([]byte(text), Sales, Options{Now: time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)})
		if err != nil || len(got.Rows) != 2 {
			t.Errorf("%s: %d rows, %v", name, len(got.Rows), err)
			continue
		}
		for i, want := range []string{"3850 USD", "3990 USD"} {
			if m, _ := got.Rows[i].Fields["price"].(wireMoney); m.String() != want {
				t.Errorf("%s: row %d costs %s, want %s", name, i+1, m, want)
			}
		}
	}
	apart := "Price,Lot\n$900,120\n$850,121\n$700,122\n"
	rows, err := open([]byte(apart))
	if err != nil || len(rows[1].cells) != 2 {
		t.Errorf("an amount and a number beside it became %q, %v", rows[1].cells, err)
	}
}

func TestAmountsInWordsAndLargeUnits(t *testing.T) {
	l := vocabulary()
	for text, want := range map[string]string{
		"two thousand five hundred":      "2500 ",
		"eighteen hundred dollars":       "1800 USD",
		"twelve thousand francs":         "12000 CHF",
		"1.3m yen":                       "1300000 JPY",
		"52万円":                           "520000 JPY",
		"1,2 Mio. €":                     "1200000 EUR",
		"2.35k":                          "2350 ",
		"three hundred and fifty pounds": "350 GBP",
	} {
		a, ok := l.amountOf(text)
		if got := a.Amount + " " + a.Currency; !ok || got != want {
			t.Errorf("%q is %q, %v; want %q", text, got, ok, want)
		}
	}
	for _, text := range []string{"one careful owner", "ten of them at 500 or 600", "a few thousand"} {
		if a, ok := l.amountOf(text); ok && a.Amount != "" {
			t.Errorf("%q is taken for %s", text, a.Amount)
		}
	}
}

func TestDaysInWords(t *testing.T) {
	l, now := vocabulary(), time.Date(2026, 3, 1, 0, 0, 0, 0, time.UTC)
	for text, want := range map[string]string{
		"3rd of April 2025":       "2025-04-03",
		"1er mars 2025":           "2025-03-01",
		"Tuesday, March 4, 2025":  "2025-03-04",
		"le 15 août 2024":         "2024-08-15",
		"2025年2月3日":               "2025-02-03",
		"Di., 4.3.2025":           "2025-03-04",
		"12 de febbraio 2024":     "2024-02-12",
		"November 2024":           "2024-11",
		"the 21st of June, 2024":  "2024-06-21",
		"Monday 2 September 2024": "2024-09-02",
	} {
		if got, _, ok := l.dayOf(text, unknown, now); !ok || got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
	}
	for text, want := range map[string]string{"Q2 2024": "2024-04/2024-06", "2023 Q4": "2023-10/2023-12",
		"primavera 2024": "2024-03/2024-05", "winter 2024": "", "last summer": "", "model 2024": ""} {
		if got, _ := l.spanOf(text); got != want {
			t.Errorf("%q is %q, want %q", text, got, want)
		}
		if got, _, ok := l.dayOf(text, unknown, now); ok {
			t.Errorf("%q is taken for the day %s", text, got)
		}
	}
}

func TestAHeadingInTheUpperRowAlone(t *testing.T) {
	text := "Watch\t\tPurchase\t\tRemarks\nBrand\tRef.\tDate\tPrice\t\nArdwick\tC-12\t2025-03-04\t2400 USD\tcrown replaced\n"
	got, err := Read([]byte(text), Stock, Options{})
	if err != nil || len(got.Rows) != 1 {
		t.Fatalf("%d rows, %v", len(got.Rows), err)
	}
	if f := got.Rows[0].Fields; f["note"] != "crown replaced" || f["bought"] != "2025-03-04" || f["reference"] != "C-12" {
		t.Errorf("read as %v", f)
	}
	if field, _ := vocabulary().fieldNamed("Annotazioni", Stock); field != "note" {
		t.Errorf("a column of remarks is taken for %q", field)
	}
}
