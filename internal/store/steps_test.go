package store

import (
	"fmt"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/money"
)

// fillSteps keeps a watch with three steps, each with an entry and a showing.
func fillSteps(t testing.TB, s *Store) {
	t.Helper()
	if _, err := s.CreateWatch(t.Context(), shop.Watch{ID: "w_1"}); err != nil {
		t.Fatal(err)
	}
	for i := range 3 {
		e, err := ledger.Deposit(ledger.DepositTerms{Head: ledger.Head{ID: fmt.Sprintf("le_%d", i), Day: "2026-03-01",
			Watch: "w_1", Party: "c_1", Base: "EUR"}, Amount: money.MustParse("100.10", "EUR"), Pay: ledger.Bank})
		if err != nil {
			t.Fatal(err)
		}
		if _, err := s.KeepStep(t.Context(), shop.Step{Entries: []ledger.Entry{e},
			Movements: []shop.Movement{{ID: fmt.Sprintf("mv_%d", i), Watch: "w_1", To: shop.Reserved}},
			Showings: []shop.Showing{{ID: fmt.Sprintf("sh_%d", i), Watch: "w_1", Client: "c_1",
				Kind: shop.Shown}}}); err != nil {
			t.Fatal(err)
		}
	}
}

func BenchmarkWalkLedger100000(b *testing.B) {
	s := benchStore(b)
	var all []ledger.Entry
	for i := range 100_000 {
		e, err := ledger.Deposit(ledger.DepositTerms{Head: ledger.Head{ID: fmt.Sprintf("le_%d", i), Day: "2026-03-01",
			Watch: fmt.Sprintf("w_%d", i/5), Party: fmt.Sprintf("c_%d", i%5000), Base: "EUR"},
			Amount: money.MustParse("100.10", "EUR"), Pay: ledger.Bank})
		if err != nil {
			b.Fatal(err)
		}
		all = append(all, e)
	}
	if _, err := s.KeepStep(b.Context(), shop.Step{Entries: all}); err != nil {
		b.Fatal(err)
	}
	for name, f := range map[string]shop.EntryFilter{"all": {}, "of a watch": {Watch: "w_777"},
		"of a party": {Party: "c_77"}, "the last 50": {Last: 50}} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				for _, err := range s.Entries(b.Context(), f) {
					if err != nil {
						b.Fatal(err)
					}
				}
			}
		})
	}
}
