package web_test

import (
	"context"
	"fmt"
	"io"
	"net/http"
	"os"
	"path/filepath"
	"testing"
	"time"

	"midcase/edtf"
	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/rooms"
	"midcase/internal/store"
	"midcase/internal/storetest"
	"midcase/internal/web"
	"midcase/money"
	"midcase/refbook"
)

// big is a shop with n watches, each with a serial number and one part; their opinions
// are being formed when it is handed out.
func big(b *testing.B, n int) *rooms.Shop {
	b.Helper()
	url := os.Getenv("MIDCASE_BENCH_STORE") // a postgres:// URL of an empty database, to measure that
	if url == "" {
		url = "sqlite:" + filepath.Join(b.TempDir(), "midcase.db")
	}
	st, err := store.Open(b.Context(), url)
	if err != nil {
		b.Fatal(err)
	}
	b.Cleanup(func() { st.Close() })
	book, err := refbook.Load(demo.Book())
	if err != nil {
		b.Fatal(err)
	}
	ids := 0
	s, err := rooms.Open(b.Context(), shop.On(st, &storetest.Memory{}, bookdir.Fixed(demo.Book())),
		shop.Options{Now: func() time.Time { return now },
			NewID: func(p string) string { ids++; return fmt.Sprintf("%s_%06d", p, ids) }})
	if err != nil {
		b.Fatal(err)
	}
	have, err := st.CountWatches(b.Context(), shop.Filter{})
	if err != nil {
		b.Fatal(err)
	}
	makers := book.Makers
	for i := have; i < n; i++ {
		m := makers[i%len(makers)]
		ref := m.References[(i/len(makers))%len(m.References)]
		w := shop.Watch{ID: shop.WatchID(fmt.Sprintf("w_big%06d", i)), Title: m.Name + " " + ref.ID + " " + ref.Name,
			Maker: m.Name, Reference: ref.ID, Serial: fmt.Sprint(200000 + 37*i),
			State: shop.Listed, Owned: shop.Own, Place: fmt.Sprintf("tray %d", i%80), Cost: money.MustParse("4100", "EUR"), Asking: money.MustParse("6900", "EUR"), Acquired: edtf.MustParse("2026-03-01"), Created: now, Changed: now}
		item := func(k int, d evidence.Data) evidence.Item {
			return evidence.Item{ID: evidence.ID(fmt.Sprintf("ev_%06d_%d", i, k)), At: now.Add(-time.Hour), By: "bench",
				Data: d}
		}
		items := []evidence.Item{item(1, &evidence.Mark{What: evidence.MarkSerial, Text: w.Serial}),
			item(2, &evidence.Finding{Slot: evidence.Dial, Term: "spotting", Severity: 1})}
		if _, err := st.CreateWatch(b.Context(), w, items...); err != nil {
			b.Fatal(err)
		}
	}
	return s
}

// BenchmarkStockPage10000 is the first page of the stock with 10,000 watches: right after
// the program started, while opinions are being formed; searched; and in rest.
func BenchmarkStockPage10000(b *testing.B) {
	s := big(b, 10_000)
	h := web.New(s, web.Options{User: "bench"})
	get := func(b *testing.B, path string) {
		b.Helper()
		r, err := http.NewRequestWithContext(b.Context(), http.MethodGet, "http://shop.test"+path, nil)
		if err != nil {
			b.Fatal(err)
		}
		r.Header.Set("Accept-Encoding", "gzip")
		w := &sink{header: http.Header{}}
		h.ServeHTTP(w, r)
		if w.status != 0 && w.status != http.StatusOK {
			b.Fatalf("%s: status %d", path, w.status)
		}
		b.ReportMetric(float64(w.n), "bytes/page")
	}
	start := time.Now()
	get(b, "/")
	b.Logf("very first page: %d ms", time.Since(start).Milliseconds())
	b.Run("while forming", func(b *testing.B) {
		for b.Loop() {
			get(b, "/")
		}
	})
	for {
		_, forming, err := s.Desk.Overview(context.WithoutCancel(b.Context()))
		if err != nil {
			b.Fatal(err)
		}
		if forming == 0 {
			break
		}
		time.Sleep(100 * time.Millisecond)
	}
	b.Logf("all opinions formed after %d ms", time.Since(start).Milliseconds())
	for name, path := range map[string]string{"first page": "/", "searched": "/?q=corvane+44",
		"sorted by value": "/?sort=-value", "last page": "/?page=100"} {
		b.Run(name, func(b *testing.B) {
			for b.Loop() {
				get(b, path)
			}
		})
	}
}

// sink counts what is written to it.
type sink struct {
	header http.Header
	status int
	n      int
}

func (s *sink) Header() http.Header  { return s.header }
func (s *sink) WriteHeader(code int) { s.status = code }
func (s *sink) Write(b []byte) (int, error) {
	s.n += len(b)
	return io.Discard.Write(b)
}
