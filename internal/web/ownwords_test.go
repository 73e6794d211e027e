package web_test

import (
	"net/http"
	"net/url"
	"strings"
	"testing"

	"midcase/evidence"
)

// A line of notes that is mended to another finding teaches its words: the next notes and the counter read them so,
// the page shows who taught them, and removing them undoes it.
func TestMendingTeachesTheShopsWords(t *testing.T) {
	s := serveBare(t)
	path := watchPath(soundWatch) + "/notes"
	read := func() string {
		p := s.post(path, url.Values{"text": {"dial: specks near 4"}, "do": {"read"}}).page(t)
		return p.Find("[data-row='0'] select[name='r0.term'] option[selected]").AttrOr("value", "")
	}
	if got := read(); got != "spotting" {
		t.Fatalf("before, it is read as %q", got)
	}
	a := s.post(path, url.Values{"text": {"dial: specks near 4"}, "do": {"save"}, "keep": {"0"}, "r0.slot": {"dial"},
		"r0.term": {"moisture"}, "r0.severity": {"1"}, "r0.where": {"near 4"}})
	s.wantStatus(a, http.StatusSeeOther)
	want(t, s.page(strings.Split(a.Header.Get("Location"), "#")[0]).Find(".notice"),
		"“specks” will be read as you mended it")
	if got := read(); got != "moisture" {
		t.Errorf("afterwards it is read as %q", got)
	}
	if q, err := s.shop.Desk.Heard(t.Context(), "KR-1 specks on the dial"); err != nil || len(q.Seen) != 1 ||
		q.Seen[0].(*evidence.Finding).Term != "moisture" {
		t.Errorf("the counter hears %+v, %v", q, err)
	}
	want(t, s.page("/own-words").Find("table"), "specks")
	s.wantStatus(s.post("/own-words/remove", url.Values{"say": {"specks"}}), http.StatusSeeOther)
	if got := read(); got != "spotting" {
		t.Errorf("once removed it is read as %q", got)
	}
	s.wantStatus(s.post("/own-words", url.Values{"say": {"dial"}, "term": {"spotting"}}), http.StatusUnprocessableEntity)
	s.wantStatus(s.post("/own-words", url.Values{"say": {"Peppered"}, "term": {"spotting"}}), http.StatusSeeOther)
	want(t, s.page("/own-words").Find("table"), "peppered")
}
