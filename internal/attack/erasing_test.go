package attack

import (
	"net/http"
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
	if status != http.StatusOK || !strings.Contains(text, "JORUN") || !strings.Contains(text, "stays in the log") {
		t.Errorf("status %d; want the page to list the claim and to say that it stays", status)
	}
	gone, err := s.People.Erase(t.Context(), c.ID, "")
	if err != nil || len(gone.Mentions) != len(file.Mentions) {
		t.Errorf("erased: %+v, error %v; want the mentions that stay", gone, err)
	}
}
