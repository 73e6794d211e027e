package attack

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/evidence"
	"midcase/internal/shop"
	"midcase/internal/shop/intake"
)

// Erasing once claimed that nobody could read the person's data again, while notes and claims named them.
func TestErasingListsWhatItDoesNotReach(t *testing.T) {
	s := serve(t)
	c, err := s.People.Add(t.Context(), shop.Client{Name: "Jorun Askvik", Email: "jorun@mail.example",
		Phone: "+47 22 00 11 22"})
	if err != nil {
		t.Fatal(err)
	}
	claim := s.Record(t, s.watch, &evidence.Claim{About: "history", Text: "bought by JORUN  Askvik in 1981"})[0]
	s.Record(t, s.watch, &evidence.Claim{About: "price", Text: "a fair price", From: "Jorunn of the fair"})
	s.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Note: "call 22 00 11 22 before noon"})
	friend, err := s.People.Add(t.Context(), shop.Client{Name: "Ansel Brightmoor", Note: "came by Jorun@Mail.example"})
	if err != nil {
		t.Fatal(err)
	}
	file, _, err := s.People.BeforeErasing(t.Context(), c.ID)
	if err != nil {
		t.Fatal(err)
	}
	found := map[string]string{}
	for _, m := range file.Mentions {
		found[m.Where+" "+m.ID+" "+m.Field] = m.Excerpt
	}
	for _, want := range []string{"evidence " + string(claim.ID) + " text", "client " + friend.ID + " note",
		"watch  note"} {
		if found[want] == "" {
			t.Errorf("%s is not listed: %v", want, found)
		}
	}
	if len(found) != 3 {
		t.Errorf("listed %v; want the claim, the note on the watch and that on the friend", found)
	}
	status, text := s.get("/clients/" + c.ID + "/erase")
	if status != http.StatusOK || !strings.Contains(text, "JORUN") ||
		!strings.Contains(text, "only the hash of its words stays") {
		t.Errorf("status %d; want the page to list the claim and to say what stays", status)
	}
	gone, err := s.People.Erase(t.Context(), c.ID, "")
	if err != nil || len(gone.Mentions) != len(file.Mentions) {
		t.Errorf("erased: %+v, error %v; want the mentions that stay", gone, err)
	}
}

// What names a person in evidence and notes can be taken away: then it is in no page and no export, and the log holds.
func TestWordsTakenAwayAreNowhere(t *testing.T) {
	s := serve(t)
	ctx := t.Context()
	c, err := s.People.Add(ctx, shop.Client{Name: "Jorun Askvik", Phone: "+47 22 00 11 22"})
	if err != nil {
		t.Fatal(err)
	}
	claim := s.Record(t, s.watch, &evidence.Claim{About: "history", Text: "bought by Jorun Askvik in 1981"})[0]
	other := s.Record(t, s.watch, &evidence.Claim{About: "history", Text: "kept in a drawer"})[0]
	noted := s.TakeIn(t, intake.Arrival{Maker: "Corvane", Reference: "KR-1", Note: "call 22 00 11 22 before noon"})
	erasing := "/clients/" + c.ID + "/erase"
	if _, text := s.get(erasing); strings.Count(text, `name="from"`) != 2 {
		t.Errorf("the page offers %d records; want the claim and the note", strings.Count(text, `name="from"`))
	}
	if status, _ := s.post("/clients/"+c.ID+"/redact", url.Values{}); status == http.StatusSeeOther {
		t.Error("nothing was ticked, and something was done")
	}
	status, _ := s.post("/clients/"+c.ID+"/redact", url.Values{"from": {
		"evidence " + string(s.watch) + " " + string(claim.ID), "watch " + string(noted.ID) + " ",
		"evidence " + string(s.watch) + " " + string(other.ID)}})
	if status != http.StatusSeeOther {
		t.Fatalf("status %d", status)
	}
	if _, text := s.get(erasing); !strings.Contains(text, "No other record contains the name") {
		t.Error("the page still lists a record")
	}
	for _, path := range []string{s.path(""), s.path("/history"), s.path(".json"), "/watches/" + string(noted.ID),
		"/stock", "/api/v1/watches/" + string(s.watch)} {
		if _, text := s.get(path); strings.Contains(text, "Askvik") || strings.Contains(text, "22 00 11 22") {
			t.Errorf("%s still has the words", path)
		}
	}
	if _, text := s.get(s.path("")); !strings.Contains(text, "kept in a drawer") {
		t.Error("an item that names nobody was taken away, too")
	}
	items, err := s.Stores().Watches.Evidence(ctx, s.watch)
	if err != nil {
		t.Fatal(err)
	}
	last := items[len(items)-1]
	if w, ok := last.Data.(*evidence.Withdrawal); !ok || w.Of != claim.ID || w.Redacts == "" || last.By != "Ines" {
		t.Errorf("the log ends with %+v; want the withdrawal that names the hash", last)
	}
}
