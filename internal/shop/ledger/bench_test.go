package ledger

import (
	"fmt"
	"testing"
	"time"
)

// benchEntries are 100,000 entries about 20,000 watches: bought, worked on, a deposit,
// sold, paid.
func benchEntries(b *testing.B, watches int) []Entry {
	b.Helper()
	s := newShopBooks(b, "EUR")
	var out []Entry
	for i := range watches {
		s.entries = nil
		id := fmt.Sprintf("w_%d", i)
		head := func(day, party string) Head {
			return Head{ID: fmt.Sprintf("le_%d_%d", i, len(s.entries)), Day: day, At: at, By: "Ada", Watch: id,
				Party: party, Base: "EUR"}
		}
		add := func(e Entry, err error) {
			if err != nil {
				b.Fatal(err)
			}
			s.entries = append(s.entries, e)
		}
		buyer := fmt.Sprintf("c_%d", i%5000)
		day := func(n int) string {
			return time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i/10+n).Format(dayForm)
		}
		add(Purchase(PurchaseTerms{Head: head(day(0), "c_1"), Price: eur("3000"), Pay: Bank, Scheme: Margin}))
		add(Repair(WorkTerms{Head: head(day(3), "c_9"), Cost: eur("250"), Pay: Bank, Holding: s.holding(id)}))
		add(Deposit(DepositTerms{Head: head(day(20), buyer), Amount: eur("500"), Pay: Bank}))
		add(Sale(SaleTerms{Head: head(day(30), buyer), Price: eur("4500"), Pay: Receivable, TaxRate: dec("0.20"),
			Holding: s.holding(id), Route: "own site"}))
		add(CustomerPayment(SettleTerms{Head: head(day(31), buyer), Open: []Lot{s.open(Receivable, buyer)[0]}, Pay: Bank}))
		out = append(out, s.entries...)
	}
	return out
}

func BenchmarkPost100000(b *testing.B) {
	entries := benchEntries(b, 20_000)
	b.ResetTimer()
	for b.Loop() {
		books := NewBooks("EUR")
		for _, e := range entries {
			if err := books.Post(e); err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkReports(b *testing.B) {
	books := NewBooks("EUR")
	for _, e := range benchEntries(b, 20_000) {
		if err := books.Post(e); err != nil {
			b.Fatal(err)
		}
	}
	report := func(name string, f func() error) {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				if err := f(); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
	report("balances", func() error { _, err := books.Balances(); return err })
	report("stock book", func() error { books.StockBook(); return nil })
	report("VAT", func() error { _, err := books.VAT("", ""); return err })
	report("profit", func() error { _, err := books.ProfitBy(func(w string) string { return w }); return err })
	report("standings", func() error { _, err := books.OpenSums(at); return err })
}
