package store

import (
	"encoding/json"
	"fmt"
	"path/filepath"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/market"
	"midcase/money"
)

func benchStore(b *testing.B) *Store {
	b.Helper()
	s, err := Open(b.Context(), filepath.Join(b.TempDir(), "shop.db"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { s.Close() })
	return s
}

func BenchmarkAddSales12000(b *testing.B) {
	sales := make([]market.Sale, 12_000)
	for i := range sales {
		sales[i] = market.Sale{ID: fmt.Sprintf("s_%d", i), Date: "2020-05-01", Maker: "Maker", Reference: "R-1",
			Price: money.MustParse("1234.50", "EUR"), Family: "Diver"}
	}
	for b.Loop() {
		b.StopTimer()
		s := benchStore(b)
		b.StartTimer()
		if n, err := s.AddSales(b.Context(), sales, time.Now()); n != len(sales) || err != nil {
			b.Fatal(n, err)
		}
	}
}

func BenchmarkWalkSales12000(b *testing.B) {
	s := benchStore(b)
	sales := make([]market.Sale, 12_000)
	for i := range sales {
		sales[i] = market.Sale{ID: fmt.Sprintf("s_%d", i), Date: "2020-05-01", Maker: "Maker", Reference: "R-1",
			Price: money.MustParse("1234.50", "EUR"), Family: "Diver"}
	}
	if _, err := s.AddSales(b.Context(), sales, time.Now()); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		for _, err := range s.Sales(b.Context()) {
			if err != nil {
				b.Fatal(err)
			}
		}
	}
}

func BenchmarkSearch10000Watches(b *testing.B) {
	s := benchStore(b)
	ctx := b.Context()
	err := s.change(ctx, "fill", func(tx *transaction) error {
		for i := range 10_000 {
			w := shop.Watch{ID: shop.WatchID(fmt.Sprintf("w_%d", i)), Number: i + 1, Version: 1,
				Title: fmt.Sprintf("Diver %d in steel", i),
				Maker: "Émeraude", Reference: "R-100", Serial: fmt.Sprint(100_000 +
					i), Note: "bought with box and papers from an estate"}
			doc, err := json.Marshal(w)
			if err != nil {
				return err
			}
			if err := putWatch(ctx, tx, w, string(doc)); err != nil {
				return err
			}
		}
		return nil
	})
	if err != nil {
		b.Fatal(err)
	}
	b.Run("page", func(b *testing.B) {
		for b.Loop() {
			if found, err := s.Watches(ctx, shop.Filter{Text: "éme 99", Limit: 50}); len(found) != 50 || err != nil {
				b.Fatal(len(found), err)
			}
		}
	})
	b.Run("count", func(b *testing.B) {
		for b.Loop() {
			if n, err := s.CountWatches(ctx, shop.Filter{Text: "no such watch"}); n != 0 || err != nil {
				b.Fatal(n, err)
			}
		}
	})
	b.Run("serial", func(b *testing.B) {
		for b.Loop() {
			if _, err := s.FindWatch(ctx, "109999"); err != nil {
				b.Fatal(err)
			}
		}
	})
}

func BenchmarkAppend(b *testing.B) {
	s := benchStore(b)
	if _, err := s.CreateWatch(b.Context(), shop.Watch{ID: "w_1"}); err != nil {
		b.Fatal(err)
	}
	n := 0
	for b.Loop() {
		n++
		if err := s.Append(b.Context(), "w_1", item(fmt.Sprintf("ev_%d", n))); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkVerify20000Items(b *testing.B) {
	s := benchStore(b)
	items := make([]evidence.Item, 20_000)
	for i := range items {
		items[i] = item(fmt.Sprintf("ev_%d", i))
	}
	if _, err := s.CreateWatch(b.Context(), shop.Watch{ID: "w_1"}, items...); err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if err := s.Verify(b.Context()); err != nil {
			b.Fatal(err)
		}
	}
}
