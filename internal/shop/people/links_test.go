package people_test

import (
	"errors"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/rights"
	"midcase/internal/shop/shoptest"
)

// A private link opens by what stands in its address until its last day or until it is taken back; the address itself is
// kept nowhere, and each opening is counted.
func TestAPrivateLink(t *testing.T) {
	b, ctx := newHouse(t), t.Context()
	id := b.Offered(t)
	l := shop.Link{Watch: id, Client: "c_buyer", Language: "de", By: "Ines"}
	for field, bad := range map[string]struct {
		l    shop.Link
		days int
	}{"days": {l, 0}, "language": {shop.Link{Watch: id, Client: "c_buyer", Language: "xx", By: "Ines"}, 14},
		"by":     {shop.Link{Watch: id, Client: "c_buyer", Language: "de"}, 14},
		"client": {shop.Link{Watch: id, Client: "c_nobody", Language: "de", By: "Ines"}, 14}} {
		_, _, err := b.People.AddLink(ctx, bad.l, bad.days)
		shoptest.Refused(t, err, field)
	}
	_, _, err := b.People.AddLink(ctx, l, 91)
	shoptest.Refused(t, err, "days")
	made, secret, err := b.People.AddLink(ctx, l, 14)
	if err != nil || made.Until != "2026-03-16" || len(secret) < 20 {
		t.Fatalf("%+v, %v", made, err)
	}
	found, err := b.People.LinkUnder(ctx, secret)
	if err != nil || found.ID != made.ID || !found.Opens(shoptest.Morning) {
		t.Fatalf("%+v, %v", found, err)
	}
	if _, err := b.People.LinkUnder(ctx, secret+"x"); !errors.Is(err, shop.ErrNotFound) {
		t.Errorf("another address opens: %v", err)
	}
	for range 2 {
		if err := b.People.NoteOpened(ctx, found); err != nil {
			t.Fatal(err)
		}
	}
	all, err := b.People.Links(ctx, id, "")
	if err != nil || len(all) != 1 || all[0].Views != 2 {
		t.Errorf("%+v, %v; want two openings", all, err)
	}
	if all[0].Opens(shoptest.Morning.AddDate(0, 0, 15)) || !all[0].Opens(shoptest.Morning.AddDate(0, 0, 14)) {
		t.Error("it opens on its last day, and on none after it")
	}
	if ended, err := b.People.EndLink(ctx, made.ID); err != nil || ended.Opens(shoptest.Morning) {
		t.Errorf("taken back and open: %+v, %v", ended, err)
	}
	var denied *rights.Denied
	if _, err := b.People.Links(rights.With(ctx, rights.Viewer), id, ""); !errors.As(err, &denied) {
		t.Errorf("a viewer lists links to clients: %v", err)
	}
}
