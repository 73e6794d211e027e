package people_test

import (
	"encoding/json"
	"slices"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
	"midcase/internal/shop/people"
	"midcase/internal/shop/shoptest"
)

// Words that name a client are taken away from evidence and from the note of a watch for good: what is left of the item
// proves the log and names nobody.
func TestWordsThatNameAClientAreTakenAway(t *testing.T) {
	b, ctx := newHouse(t), t.Context()
	c, err := b.People.Add(ctx, shop.Client{Name: "Tomas Arkwell", Email: "tomas@arkwell.example"})
	if err != nil {
		t.Fatal(err)
	}
	w := b.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Note: "left here by Tomas Arkwell"})
	items := b.Record(t, w.ID, &evidence.Claim{About: "price", Text: "Tomas Arkwell wants 900"},
		&evidence.Claim{About: "maker", Text: "somebody else's words"})
	found := shoptest.Must[[]people.Mention](t)(b.People.Mentions(ctx, c))
	if len(found) < 2 || !slices.ContainsFunc(found, func(m people.Mention) bool { return m.Where == "evidence" && m.Removable }) {
		t.Fatalf("found %+v", found)
	}
	_, _, err = b.People.Redact(ctx, c.ID, "Ines", "no such record")
	shoptest.Refused(t, err, "from")
	taken, still, err := b.People.Redact(ctx, c.ID, "Ines")
	if err != nil || taken != 2 || slices.ContainsFunc(still, func(m people.Mention) bool { return m.Removable }) {
		t.Fatalf("%d taken, %+v still, %v", taken, still, err)
	}
	log, err := b.Log(ctx, w.ID)
	if err != nil {
		t.Fatal(err)
	}
	text, err := json.Marshal(log)
	if err != nil || strings.Contains(string(text), "Arkwell") || !strings.Contains(string(text), "somebody else's words") {
		t.Errorf("%v: the log holds %s", err, text)
	}
	file := evidence.Fold(log, b.Now())
	if len(file.Items) != 1 || len(file.Withdrawn) != 1 || file.Withdrawn[0].Item.ID != items[0].ID {
		t.Errorf("%d items stand, withdrawn are %+v", len(file.Items), file.Withdrawn)
	}
	if w, err := b.Watch(ctx, w.ID); err != nil || w.Note != "" {
		t.Errorf("the note is %q, %v", w.Note, err)
	}
	_, _, err = b.People.Redact(ctx, c.ID, "Ines")
	shoptest.Refused(t, err, "from") // nothing is left to take
}
