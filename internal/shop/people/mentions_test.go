package people_test

import (
	"slices"
	"testing"

	"midcase/internal/shop"
	"midcase/internal/shop/people"
	"midcase/internal/shop/shoptest"
)

// A listing in the dealer's own words that names a client is listed, in every version that was kept.
func TestListingsThatNameAClientAreFound(t *testing.T) {
	b := newHouse(t)
	c, err := b.People.Add(t.Context(), shop.Client{Name: "Tomas Arkwell"})
	if err != nil {
		t.Fatal(err)
	}
	id := b.Offered(t)
	of := shop.TextOf{Form: "page", Language: "en"}
	for i, text := range []string{"From the estate of Tomas Arkwell.", "From an estate."} {
		if _, err := b.KeepText(t.Context(), shop.OwnText{Watch: id, Of: of, By: "tester", Text: text}, i); err != nil {
			t.Fatal(err)
		}
	}
	found := shoptest.Must[[]people.Mention](t)(b.People.Mentions(t.Context(), c))
	at := slices.IndexFunc(found, func(m people.Mention) bool { return m.Where == "listing text" })
	if at < 0 || found[at].Watch != id || found[at].ID != of.Key()+" version 1" || found[at].Removable {
		t.Errorf("found %+v", found)
	}
	if at >= 0 && slices.ContainsFunc(found[at+1:], func(m people.Mention) bool { return m.Where == "listing text" }) {
		t.Errorf("a version without the name is named: %+v", found)
	}
}
