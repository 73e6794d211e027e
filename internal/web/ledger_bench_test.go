package web_test

import (
	"fmt"
	"net/http"
	"path/filepath"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/internal/web"
	"midcase/money"
)

// bookkeeper makes the entries of watches that are bought, worked on, reserved, sold and paid for,
// five each.
type bookkeeper struct {
	b       *testing.B
	entries []ledger.Entry
}

func (k *bookkeeper) watch(i int) {
	id, buyer := fmt.Sprintf("w_big%05d", i), fmt.Sprintf("c_%04d", i%5000)
	var own []ledger.Entry
	add := func(e ledger.Entry, err error) {
		if err != nil {
			k.b.Fatal(err)
		}
		own = append(own, e)
	}
	head := func(n int, party string) ledger.Head {
		day := time.Date(2020, 1, 1, 0, 0, 0, 0, time.UTC).AddDate(0, 0, i/9+n)
		return ledger.Head{ID: fmt.Sprintf("le_%05d_%d", i, len(own)), Day: day.Format(time.DateOnly), At: day,
			By: "Ada", Watch: id, Party: party, Document: fmt.Sprintf("D-%05d", i), Base: "EUR"}
	}
	holding := func() ledger.Holding {
		h, err := ledger.HoldingOf(id, own)
		if err != nil {
			k.b.Fatal(err)
		}
		return h
	}
	eur := func(s string) money.Money { return money.MustParse(s, "EUR") }
	add(ledger.Purchase(ledger.PurchaseTerms{Head: head(0, "c_0001"), Price: eur("3000"), Pay: ledger.Bank,
		Scheme: ledger.Margin}))
	add(ledger.Repair(ledger.WorkTerms{Head: head(3, "c_0009"), Cost: eur("250"), Pay: ledger.Bank,
		Holding: holding()}))
	add(ledger.Deposit(ledger.DepositTerms{Head: head(20, buyer), Amount: eur("500"), Pay: ledger.Bank}))
	if i%20 != 0 { // the others are in stock still
		add(ledger.Sale(ledger.SaleTerms{Head: head(30, buyer), Price: eur("4500"), Pay: ledger.Receivable,
			TaxRate: decimal.MustNew(20, 2), Holding: holding(), Route: "own site"}))
		open, err := ledger.Open(ledger.Receivable, buyer, own)
		if err != nil {
			k.b.Fatal(err)
		}
		add(ledger.CustomerPayment(ledger.SettleTerms{Head: head(31, buyer), Open: []ledger.Lot{open[0]}, Pay: ledger.Bank}))
	}
	k.entries = append(k.entries, own...)
}

// BenchmarkLedgerPages100000 are the pages of the ledger with about 100,000 entries about 20,000
// watches, and the first one right after a start.
func BenchmarkLedgerPages100000(b *testing.B) {
	const watches = 20_400
	st, err := store.Open(b.Context(), "sqlite:"+filepath.Join(b.TempDir(), "midcase.db"))
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { st.Close() })
	k := &bookkeeper{b: b}
	for i := range watches {
		if _, err := st.CreateWatch(b.Context(), shop.Watch{ID: shop.WatchID(fmt.Sprintf("w_big%05d", i)),
			Title: fmt.Sprintf("Corvane KR-%d Plenaire", i%40), Maker: "Corvane", Reference: fmt.Sprintf("KR-%d",
				i%40), State: shop.Sold, Created: now, Changed: now}); err != nil {
			b.Fatal(err)
		}
		k.watch(i)
	}
	for at := 0; at < len(k.entries); at += 10_000 {
		if _, err := st.KeepStep(b.Context(), shop.Step{Entries: k.entries[at:min(len(k.entries),
			at+10_000)]}); err != nil {
			b.Fatal(err)
		}
	}
	for i := range 5000 {
		if _, err := st.CreateClient(b.Context(), shop.Client{ID: fmt.Sprintf("c_%04d", i),
			Name: fmt.Sprintf("Client %d", i), Created: now, Changed: now}); err != nil {
			b.Fatal(err)
		}
	}
	open := func() (*rooms.Shop, error) {
		return rooms.Open(b.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(demo.Book())),
			shop.Options{Now: func() time.Time { return now }, NewID: func(p string) string { return p + "_1" }})
	}
	get := func(b *testing.B, h http.Handler, path string) {
		b.Helper()
		r, err := http.NewRequestWithContext(b.Context(), http.MethodGet, "http://shop.test"+path, nil)
		if err != nil {
			b.Fatal(err)
		}
		w := &sink{header: http.Header{}}
		h.ServeHTTP(w, r)
		if w.status != 0 && w.status != http.StatusOK {
			b.Fatalf("%s: status %d", path, w.status)
		}
	}
	var s *rooms.Shop
	var h http.Handler
	b.Run("first page after a start", func(b *testing.B) {
		for b.Loop() {
			if s, err = open(); err != nil {
				b.Fatal(err)
			}
			h = web.New(s, web.Options{User: "bench"})
			start := time.Now()
			get(b, h, "/ledger")
			b.ReportMetric(float64(time.Since(start).Milliseconds()), "ms/answer")
			for ready := false; !ready; {
				if _, ready, err = s.Accounts.BooksSoon(b.Context(), time.Second); err != nil {
					b.Fatal(err)
				}
			}
			b.ReportMetric(float64(time.Since(start).Milliseconds()), "ms/read")
		}
	})
	for _, path := range []string{"/ledger", "/ledger/journal", "/ledger/journal?page=1200", "/ledger/journal?account=expenses:fees", "/ledger/journal?account=assets&page=900", "/ledger/journal?q=D-00777", "/ledger/journal?q=777", "/ledger/stock-book",
		"/ledger/stock-book?page=150", "/ledger/vat?by=quarter", "/ledger/ageing", "/ledger/profit", "/ledger/profit?by=reference", "/ledger/profit?by=watch&page=40", "/ledger/due", "/ledger/enter", "/watches/w_big00777/life", "/watches/w_big00020/life?act=sell"} {
		b.Run(path, func(b *testing.B) {
			for b.Loop() {
				get(b, h, path)
			}
		})
	}
}

// BenchmarkWholeStock2000 is the page of the whole stock with 2,000 watches: the first time, when
// each is valued, and after that; and the page of what to pay for one of them.
func BenchmarkWholeStock2000(b *testing.B) {
	s := big(b, 2000)
	world := demo.NewWorld(1)
	world.Watches, world.Clients = nil, nil
	if err := world.Fill(b.Context(), s); err != nil {
		b.Fatal(err)
	}
	h := web.New(s, web.Options{User: "bench"})
	get := func(b *testing.B, path string) {
		b.Helper()
		r, err := http.NewRequestWithContext(b.Context(), http.MethodGet, "http://shop.test"+path, nil)
		if err != nil {
			b.Fatal(err)
		}
		w := &sink{header: http.Header{}}
		h.ServeHTTP(w, r)
		if w.status != 0 && w.status != http.StatusOK {
			b.Fatalf("%s: status %d", path, w.status)
		}
	}
	for _, path := range []string{"/stock/whole?months=6", "/stock/whole", "/watches/w_big000777/deal"} {
		start := time.Now()
		get(b, path)
		first := time.Since(start)
		b.Run(path, func(b *testing.B) {
			for b.Loop() {
				get(b, path)
			}
			b.ReportMetric(float64(first.Milliseconds()), "ms/first")
		})
	}
}
