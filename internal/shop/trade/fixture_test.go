package trade_test

import (
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/shoptest"
)

// newHouse is a shop with clients and without a book.
func newHouse(t testing.TB) *shoptest.Bench {
	t.Helper()
	return shoptest.WithBook(t, nil).WithClients(t)
}

var eur = shoptest.EUR

func done(t testing.TB) func(shop.Movement, error) shop.Movement {
	return shoptest.Must[shop.Movement](t)
}

func refusedFor(t testing.TB, what string, err error, field string) {
	t.Helper()
	t.Log(what)
	shoptest.Refused(t, err, field)
}
