package ledger

import (
	"fmt"
	"testing"
	"time"

	"github.com/govalues/decimal"

	"midcase/money"
)

var at = time.Date(2026, 3, 1, 12, 0, 0, 0, time.UTC)

func eur(s string) money.Money { return money.MustParse(s, "EUR") }
func chf(s string) money.Money { return money.MustParse(s, "CHF") }
func gbp(s string) money.Money { return money.MustParse(s, "GBP") }

func dec(s string) decimal.Decimal { return decimal.MustParse(s) }

// shopBooks posts entries as they are made and fails the test on an error.
type shopBooks struct {
	t       testing.TB
	base    money.Currency
	entries []Entry
	books   *Books
}

func newShopBooks(t testing.TB, base money.Currency) *shopBooks {
	return &shopBooks{t: t, base: base, books: NewBooks(base)}
}

func (s *shopBooks) head(day, watch, party string) Head {
	return Head{ID: fmt.Sprintf("le_%d", len(s.entries)+1), Day: day, At: at, By: "Ada", Watch: watch, Party: party,
		Document: fmt.Sprintf("D-%d", len(s.entries)+1), Base: s.base}
}

func (s *shopBooks) post(e Entry, err error) Entry {
	s.t.Helper()
	if err != nil {
		s.t.Fatal(err)
	}
	if err := s.books.Post(e); err != nil {
		s.t.Fatal(err)
	}
	e.Seq = int64(len(s.entries))
	s.entries = append(s.entries, e)
	return e
}

func (s *shopBooks) holding(watch string) Holding {
	s.t.Helper()
	h, err := HoldingOf(watch, s.entries)
	if err != nil {
		s.t.Fatal(err)
	}
	return h
}

func (s *shopBooks) open(a Account, party string) []Lot {
	s.t.Helper()
	l, err := Open(a, party, s.entries)
	if err != nil {
		s.t.Fatal(err)
	}
	return l
}

// base is what stands on an account in the shop's currency.
func (s *shopBooks) stands(a Account) string {
	s.t.Helper()
	all, err := s.books.Balances()
	if err != nil {
		s.t.Fatal(err)
	}
	sum := decimal.Zero
	for _, b := range all {
		if b.Account == a {
			if sum, err = sum.Add(b.Base.Decimal()); err != nil {
				s.t.Fatal(err)
			}
		}
	}
	return sum.Pad(2).String()
}

func (s *shopBooks) want(a Account, amount string) {
	s.t.Helper()
	if got := s.stands(a); got != amount {
		s.t.Errorf("%s: got %s; want %s", a, got, amount)
	}
}
