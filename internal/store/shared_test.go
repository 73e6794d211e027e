package store

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"midcase/evidence"
	"midcase/internal/bookdir"
	"midcase/internal/demo"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/ledger"
	"midcase/internal/shop/rooms"
	"midcase/internal/shop/trade"
	"midcase/internal/storetest"
	"midcase/money"
)

// seenOf is what one of two shops shows of a watch, a figure a page.
type seenOf struct {
	list, worth, opinion float64 // the value in the list, in the worth of the whole stock, in the opinion
	metal                string  // by the book page
	title                string  // in the ledger
	basis                string  // the settings
	items                int     // of evidence, by the list
	stocked              int     // watches in the stock book
}

// Two shops on one database and one folder of the book, each with connections and a memory of its own, as
// two programs have. What one of them changes the other shows the next time that it is asked.
func TestTwoShopsSeeEachOthersChanges(t *testing.T) {
	t.Parallel()
	engines(t, func(t *testing.T, open func(t *testing.T) *Store) {
		a := open(t)
		folder := filepath.Join(t.TempDir(), "book")
		if err := os.CopyFS(folder, demo.Book()); err != nil {
			t.Fatal(err)
		}
		here, there := shopOn(t, a, folder, "a"), shopOn(t, openURL(t, a.url), folder, "b")
		id := stocked(t, here)
		last := look(t, here, id)
		if other := look(t, there, id); other != last {
			t.Fatalf("at the start:\n here %+v\nthere %+v", last, other)
		}
		for i, step := range []struct {
			name   string
			change func(s *rooms.Shop) error
			moved  func(was, now seenOf) bool
		}{
			{"an edit of the book", func(s *rooms.Shop) error { return toGold(t, s) }, func(was, now seenOf) bool {
				return now.metal == "gold18" && now.list > was.list && now.worth > was.worth &&
					now.opinion > was.opinion
			}},
			{"a corrected title", func(s *rooms.Shop) error {
				w, err := s.Watch(t.Context(), id)
				if err != nil {
					return err
				}
				w.Title = "Brackwell 852, corrected"
				_, err = s.Trade.Change(t.Context(), w)
				return err
			}, func(_, now seenOf) bool { return now.title == "Brackwell 852, corrected" }},
			{"a setting", func(s *rooms.Shop) error {
				set, err := s.Settings(t.Context())
				if err != nil {
					return err
				}
				set.Basis = "trade"
				return s.SetSettings(t.Context(), set)
			}, func(was, now seenOf) bool { return now.basis == "trade" && now.worth != was.worth }},
			{"a reading", func(s *rooms.Shop) error {
				_, err := s.Intake.Record(t.Context(), id, "Ines", &evidence.Finding{Slot: evidence.Dial,
					Term: "refinished", Severity: 3})
				return err
			}, func(was, now seenOf) bool { return now.items == was.items+1 }},
			{"sales", func(s *rooms.Shop) error {
				_, err := s.ImportSales(t.Context(), strings.NewReader(sales("gold18", 9000)), "more.csv")
				return err
			}, func(was, now seenOf) bool { return now.list != was.list && now.list == now.opinion }},
		} {
			by, other := here, there
			if i%2 == 1 {
				by, other = there, here
			}
			if err := step.change(by); err != nil {
				t.Fatalf("%s: %v", step.name, err)
			}
			now := look(t, other, id)
			if !step.moved(last, now) {
				t.Errorf("%s is not seen by the other shop:\nbefore %+v\n after %+v", step.name, last, now)
			}
			if own := look(t, by, id); own != now {
				t.Errorf("after %s the shops differ:\n own   %+v\n other %+v", step.name, own, now)
			}
			last = now
		}
	})
}

func shopOn(t *testing.T, st *Store, book, prefix string) *rooms.Shop {
	t.Helper()
	n := 0
	s, err := rooms.Open(t.Context(), shop.On(st, &storetest.Memory{}, bookdir.Open(book)), shop.Options{
		Now:   func() time.Time { return marketDay },
		NewID: func(p string) string { n++; return fmt.Sprintf("%s_%s%03d", p, prefix, n) },
	})
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var marketDay = time.Date(2026, 3, 2, 9, 0, 0, 0, time.UTC)

// sales are sales of a reference of the book in two metals.
func sales(metal string, price int) string {
	var b strings.Builder
	b.WriteString("date,maker,reference,metal,price,currency,venue,basis\n")
	for i := range 30 {
		on := marketDay.AddDate(0, -i, -i).Format(time.DateOnly)
		fmt.Fprintf(&b, "%s,Brackwell,852,%s,%d,EUR,dealer,sold\n", on, metal, price+20*i)
	}
	return b.String()
}

// stocked fills a shop with sales and one bought watch.
func stocked(t *testing.T, s *rooms.Shop) shop.WatchID {
	t.Helper()
	ctx := t.Context()
	for metal, price := range map[string]int{"steel": 2000, "gold18": 6000} {
		if _, err := s.ImportSales(ctx, strings.NewReader(sales(metal, price)), metal+".csv"); err != nil {
			t.Fatal(err)
		}
	}
	if _, err := s.People.Add(ctx, shop.Client{ID: "c_1", Name: "Selma Lund",
		Identity: &shop.Identity{Paper: "passport", Number: "X1", By: "Ines"}}); err != nil {
		t.Fatal(err)
	}
	w, err := s.Intake.TakeIn(ctx, intake.Arrival{Maker: "Brackwell", Reference: "852", Serial: "63200"}, "Ines")
	if err != nil {
		t.Fatal(err)
	}
	if _, err := s.Trade.Buy(ctx, w.ID, trade.Buying{Terms: trade.Terms{Client: "c_1", Day: "2026-02-20",
		Amount: money.MustParse("1000", "EUR")}}, "Ines"); err != nil {
		t.Fatal(err)
	}
	return w.ID
}

// toGold edits the book: the reference is of gold.
func toGold(t *testing.T, s *rooms.Shop) error {
	t.Helper()
	files, err := s.Library.BookFiles(t.Context())
	if err != nil {
		return err
	}
	const file = "brackwell.yaml"
	was := files[file]
	head, entry, ok := bytes.Cut(was, []byte(`  - id: "852"`))
	if !ok {
		return fmt.Errorf("no reference 852 in %s", file)
	}
	text := append(append(append([]byte(nil), head...), `  - id: "852"`...), bytes.Replace(entry, []byte("metal: steel"), []byte("metal: gold18"), 1)...)
	_, err = s.Library.SaveBookFile(t.Context(), file, bookdir.Sum(was), text, "a gold one was seen", "Ines")
	return err
}

func look(t *testing.T, s *rooms.Shop, id shop.WatchID) seenOf {
	t.Helper()
	ctx := shop.Pin(t.Context())
	list, forming, err := s.Desk.Overview(ctx)
	if err != nil || forming > 0 || len(list) != 1 || list[0].Median == nil {
		t.Fatalf("stock: %+v, %d being formed, %v", list, forming, err)
	}
	worth, err := s.Desk.StockWorth(ctx, marketDay, 0, nil)
	if err != nil {
		t.Fatal(err)
	}
	o, err := s.Opinion(ctx, id, marketDay)
	if err != nil || o.Value.Median == nil {
		t.Fatalf("opinion: %+v, %v", o.Value, err)
	}
	_, ref, ok := s.Book(ctx).Reference("Brackwell", "852")
	if !ok {
		t.Fatal("the book has no reference 852")
	}
	name, err := s.NamesOfWatches(ctx)
	if err != nil {
		t.Fatal(err)
	}
	set, err := s.Settings(ctx)
	if err != nil {
		t.Fatal(err)
	}
	out := seenOf{list: *list[0].Median, worth: worth.Median, opinion: *o.Value.Median, metal: ref.Metal,
		title: name(string(id)).Title, basis: string(set.Basis), items: list[0].Items}
	if err := s.Accounts.Books(ctx, func(b *ledger.Books) error { out.stocked = len(b.StockBook()); return nil }); err != nil {
		t.Fatal(err)
	}
	return out
}
